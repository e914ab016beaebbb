"""Plan view to scale: loads at the tires, center of gravity, wheelbase, tracks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calc.chart.placing import Box, text_box
from calc.drawing.pen import END, Picture
from calc.errors import HandbookError

_WIDTH = 350.0
_CENTER = 175.0
_TOP = 72.0
_TIRE = (31.0, 98.0)
_LONGEST = 520.0
_DOT = 9.0
_LEFT, _RIGHT = 33.0, 317.0
_SIDES = ((1, "start"), (-1, "end"))


class PlanError(HandbookError):
    """A plan cannot be drawn to scale from these lengths."""


@dataclass(frozen=True, slots=True)
class Axle:
    """One axle in the plan: its track, its tire loads as texts, and the spring base if it is known (meters)."""

    track: float
    left: str
    right: str
    spring_base: float | None = None


def axle_plan(
    *,
    key: str,
    title: str,
    description: str,
    wheelbase: float,
    front: Axle,
    rear: Axle,
    center_behind_front: float,
    center_left: float,
    sprung_center: tuple[float, float] | None = None,
    wheelbase_text: str,
    center_text: str,
    side_text: str,
    scale_length: float,
    scale_text: str,
) -> str:
    """The rig from above, drawn to scale from SI lengths, with texts already formatted.

    `center_left` is positive to the left; `sprung_center` is the sprung weight's center, behind the front axle and left,
    an open circle; `scale_length` is the length of the scale bar.
    Raises PlanError for lengths that are not finite or not above zero.

    >>> plan = axle_plan(key="rig", title="Plan", description="Loads.", wheelbase=2.85,
    ...     front=Axle(1.64, "1,516", "1,507", 1.0), rear=Axle(1.66, "1,343", "1,409", 1.02),
    ...     center_behind_front=1.359, center_left=-0.008, wheelbase_text="112.2 in", center_text="53.5 in",
    ...     side_text="0.3 in right", scale_length=1.016, scale_text="40 in")
    >>> "112.2 in" in plan
    True
    """
    # Over 60 lines: half of it is what is drawn and its example; the picture itself is made from top to bottom.
    lengths = {
        "Wheelbase": wheelbase,
        "Front track": front.track,
        "Rear track": rear.track,
        "Scale bar": scale_length,
    }
    for name, length in lengths.items():
        if not math.isfinite(length) or length <= 0:
            raise PlanError(f"{name} is {length}; a plan to scale needs a length above 0 m.")
    if not 0 <= center_behind_front <= wheelbase:
        raise PlanError(
            f"The center of gravity lies {center_behind_front} m behind the front axle;"
            f" it must lie between the axles, 0 to {wheelbase} m."
        )
    if not abs(center_left) <= max(front.track, rear.track) / 2:
        raise PlanError(f"The center of gravity lies {center_left} m left of center; that is outside of the tires.")
    # One scale for both directions: tires 187 px apart, unless the plan would grow too long.
    scale = min(187.0 / max(front.track, rear.track), _LONGEST / wheelbase)
    bottom = _TOP + scale * wheelbase
    bar_y = bottom + _TIRE[1] / 2 + 16
    x, y = _CENTER - scale * center_left, _TOP + scale * center_behind_front
    picture = Picture(f"draw-plan-{key}", title, description, _WIDTH, bar_y + 16)
    taken = [Box(x - _DOT - 5, y - _DOT - 5, x + _DOT + 5, y + _DOT + 5)]
    picture.text(_CENTER, 14, "front", "t2", "middle")
    picture.path(f"M{_CENTER - 4:.1f} 28 L{_CENTER:.1f} 22 L{_CENTER + 4:.1f} 28", "hair")
    picture.line(_CENTER, 32, _CENTER, bottom + 40, "guide")
    for axle_y, axle in ((_TOP, front), (bottom, rear)):
        _axle(picture, taken, axle_y, axle, scale)
    for place, lower in ((_LEFT, y), (_RIGHT, bottom)):
        picture.line(place, _TOP, place, lower, "dim")
        for end in (_TOP, lower):
            picture.line(place - END, end, place + END, end, "dim")
    picture.line(_LEFT + 8, y, x - 16, y, "guide")
    picture.path(f"M{x - 14:.1f} {y:.1f} H{x + 14:.1f} M{x:.1f} {y - 14:.1f} V{y + 14:.1f}", "dim")
    if sprung_center is not None:
        behind, left = sprung_center
        picture.circle(_CENTER - scale * left, _TOP + scale * behind, _DOT + 3, "mass")
    picture.circle(x, y, _DOT, "dot")
    middles = [(_TOP + y) / 2 + 5, (_TOP + bottom) / 2 + 5, *(_TOP + 64 + 18 * step for step in range(8))]
    _lines(picture, taken, [(_LEFT + 9, place, "start") for place in middles], ((center_text, "ta"),))
    middles = [(_TOP + bottom) / 2 + away for away in (57, 39, 21, 5, -13, -31)]
    _lines(picture, taken, [(_RIGHT - 8, place, "end") for place in middles], ((wheelbase_text, "ta"),))
    # Beside the point, else under or over it: clear of the loads where the point is close to an axle.
    spots = [(x + side * 22, y + away, anchor) for away in (-3, 40, -40, 66, -66, 92, -92) for side, anchor in _SIDES]
    _lines(picture, taken, spots, (("center of gravity", "ta"), (side_text, "t2")))
    half = scale * scale_length / 2
    picture.line(_CENTER - half, bar_y, _CENTER + half, bar_y)
    for end in (_CENTER - half, _CENTER + half):
        picture.line(end, bar_y - END, end, bar_y + END)
    picture.text(_CENTER + half + 10, bar_y + 5, scale_text, "t2")
    return picture.svg()


def _axle(picture: Picture, taken: list[Box], y: float, axle: Axle, scale: float) -> None:
    """One axle: tires, spring mounts, and the loads inside of the tires."""
    half = scale * axle.track / 2
    wide, high = _TIRE
    picture.line(_CENTER - half, y, _CENTER + half, y)
    for side in (-1, 1):
        tire = _CENTER + side * half
        picture.rect(tire - wide / 2, y - high / 2, wide, high)
        taken.append(Box(tire - wide / 2 - 2, y - high / 2 - 2, tire + wide / 2 + 2, y + high / 2 + 2))
        if axle.spring_base is not None:
            mount = _CENTER + side * scale * axle.spring_base / 2
            picture.circle(mount, y, 5, "solid")
            taken.append(Box(mount - 6, y - 6, mount + 6, y + 6))
    for load, side, anchor in ((axle.left, -1, "start"), (axle.right, 1, "end")):
        inner = _CENTER + side * (half - wide / 2 - 8)
        _lines(picture, taken, [(inner, y + away, anchor) for away in (26, -16, 44, -34)], ((load, "tb"),))


def _lines(
    picture: Picture,
    taken: list[Box],
    spots: Sequence[tuple[float, float, str]],
    lines: Sequence[tuple[str, str]],
) -> None:
    """Write lines of text at the first spot that is free; at the first of all if none is."""

    def boxes(spot: tuple[float, float, str]) -> list[Box]:
        x, y, anchor = spot
        return [text_box(x, y + 18 * row, words, style, anchor) for row, (words, style) in enumerate(lines)]

    def free(spot: tuple[float, float, str]) -> bool:
        return all(
            box.left >= 0 and box.right <= _WIDTH and not any(box.overlaps(other) for other in taken)
            for box in boxes(spot)
        )

    chosen = next((spot for spot in spots if free(spot)), spots[0])
    taken += boxes(chosen)
    for row, (words, style) in enumerate(lines):
        picture.text(chosen[0], chosen[1] + 18 * row, words, style, chosen[2])
