"""Plan view to scale: loads at the tires, center of gravity, wheelbase, tracks."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calc.chart.lettering import nice_step
from calc.drawing.pen import END, Picture
from calc.errors import HandbookError

_WIDTH = 350.0
_CENTER = 175.0
_TOP = 72.0
_TIRE = (31.0, 98.0)
_LONGEST = 440.0


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
    wheelbase_text: str,
    center_text: str,
    side_text: str,
    scale_length: float,
    scale_text: str,
) -> str:
    """The rig from above, drawn to scale from SI lengths, with texts already formatted.

    `center_left` is positive to the left; `scale_length` is the length of the scale bar.
    Raises PlanError for lengths that are not finite or not above zero.

    >>> plan = axle_plan(key="rig", title="Plan", description="Loads.", wheelbase=2.85,
    ...     front=Axle(1.64, "1,516", "1,507", 1.0), rear=Axle(1.66, "1,343", "1,409", 1.02),
    ...     center_behind_front=1.359, center_left=-0.008, wheelbase_text="112.2 in", center_text="53.5 in",
    ...     side_text="0.3 in right", scale_length=1.016, scale_text="40 in")
    >>> "112.2 in" in plan
    True
    """
    lengths = {
        "Wheelbase": wheelbase,
        "Front track": front.track,
        "Rear track": rear.track,
        "Scale bar": scale_length,
    }
    for name, length in lengths.items():
        if not math.isfinite(length) or length <= 0:
            raise PlanError(f"{name} is {length}; a plan to scale needs a length above 0 m.")
    for name, length in {"behind the front axle": center_behind_front, "left of center": center_left}.items():
        if not math.isfinite(length):
            raise PlanError(f"The center of gravity lies {length} m {name}; that cannot be drawn.")
    # One scale for both directions: tires 187 px apart, unless the plan would grow too long.
    scale = min(187.0 / max(front.track, rear.track), _LONGEST / max(wheelbase, center_behind_front))
    bottom = _TOP + scale * wheelbase
    bar_y = max(bottom, _TOP + scale * center_behind_front) + _TIRE[1] / 2 + 16
    picture = Picture(f"draw-plan-{key}", title, description, _WIDTH, bar_y + 16)
    picture.text(_CENTER, 14, "front", "t2", "middle")
    picture.path(f"M{_CENTER - 4:.1f} 28 L{_CENTER:.1f} 22 L{_CENTER + 4:.1f} 28", "hair")
    picture.line(_CENTER, 32, _CENTER, bottom + 40, "guide")
    for y, axle in ((_TOP, front), (bottom, rear)):
        half = scale * axle.track / 2
        picture.line(_CENTER - half, y, _CENTER + half, y)
        for side, load, anchor in ((-1, axle.left, "start"), (1, axle.right, "end")):
            picture.rect(_CENTER + side * half - _TIRE[0] / 2, y - _TIRE[1] / 2, *_TIRE)
            picture.text(_CENTER + side * (half - _TIRE[0] / 2 - 8), y + 26, load, "tb", anchor)
            if axle.spring_base is not None:
                picture.circle(_CENTER + side * scale * axle.spring_base / 2, y, 5, "solid")
    x, y = _CENTER - scale * center_left, _TOP + scale * center_behind_front
    _dimensions(picture, bottom, x, y, wheelbase_text, center_text)
    picture.path(f"M{x - 14:.1f} {y:.1f} H{x + 14:.1f} M{x:.1f} {y - 14:.1f} V{y + 14:.1f}", "dim")
    picture.circle(x, y, 9, "dot")
    # The words stand beside the point, clear of an axle's loads where the point is close to one.
    words = y - 3
    for axle_y in (_TOP, bottom):
        if axle_y - 34 < words + 24 and words - 14 < axle_y + 34:
            words = axle_y - 58 if axle_y == bottom else axle_y + 60
    picture.text(x + 22, words, "center of gravity", "ta")
    picture.text(x + 22, words + 18, side_text, "t2")
    half = scale * scale_length / 2
    picture.line(_CENTER - half, bar_y, _CENTER + half, bar_y)
    for end in (_CENTER - half, _CENTER + half):
        picture.line(end, bar_y - END, end, bar_y + END)
    picture.text(_CENTER + half + 10, bar_y + 5, scale_text, "t2")
    return picture.svg()


def _dimensions(picture: Picture, bottom: float, x: float, y: float, wheelbase: str, behind: str) -> None:
    for place, lower in ((33.0, y), (317.0, bottom)):
        picture.line(place, _TOP, place, lower, "dim")
        for end in (_TOP, lower):
            picture.line(place - END, end, place + END, end, "dim")
    picture.line(41, y, x - 16, y, "guide")
    picture.text(42, max((_TOP + y) / 2 + 34, _TOP + 66), behind, "ta")
    picture.text(309, (_TOP + bottom) / 2 + 57, wheelbase, "ta", "end")
