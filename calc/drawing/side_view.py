"""Side view to scale: tires on the ground, how far each wheel may still move, and how high the weight lies."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calc.drawing.axle_plan import PlanError
from calc.drawing.pen import END, Picture

_WIDTH = 350.0
_EDGE = 16.0
_LINE = 18.0
_DOT = 5.0
_LARGEST = 160.0


@dataclass(frozen=True, slots=True)
class Wheel:
    """One axle's wheel: its loaded radius and what it may still move up and down (meters), the travels as texts."""

    radius: float
    bump: float
    droop: float
    bump_text: str
    droop_text: str


@dataclass(frozen=True, slots=True)
class Center:
    """A center of gravity: behind the front axle and from the ground (meters), its height as a text."""

    behind_front: float
    height: float
    text: str


def side_view(
    *,
    key: str,
    title: str,
    description: str,
    wheelbase: float,
    front: Wheel,
    rear: Wheel,
    wheelbase_text: str,
    center: Center | None = None,
    sprung_center: Center | None = None,
) -> str:
    """The rig from its left side, drawn to scale from SI lengths, with texts already formatted.

    The wheels stand at ride; the dotted arcs are the tire at full bump and at full droop, the body held still.
    Raises PlanError for lengths that cannot be drawn.

    >>> wheel = Wheel(0.44, 0.12, 0.09, "4.7 in", "3.5 in")
    >>> view = side_view(key="rig", title="Side", description="Travel.", wheelbase=2.85, front=wheel, rear=wheel,
    ...     wheelbase_text="112.2 in", center=Center(1.36, 0.84, "33.1 in"))
    >>> "33.1 in" in view and "4.7 in" in view
    True
    """
    lengths = {"Wheelbase": wheelbase, "Front tire's radius": front.radius, "Rear tire's radius": rear.radius}
    for name, length in lengths.items():
        if not math.isfinite(length) or length <= 0:
            raise PlanError(f"{name} is {length}; a view to scale needs a length above 0 m.")
    for wheel in (front, rear):
        if not all(math.isfinite(length) and 0 <= length <= 1 for length in (wheel.bump, wheel.droop)):
            raise PlanError("A wheel's travel must be from 0 to 1 m to be drawn.")
    scale = min((_WIDTH - 2 * _EDGE) / (wheelbase + front.radius + rear.radius), _LARGEST)
    centers = [one for one in (center, sprung_center) if one is not None]
    reach = [2 * wheel.radius + wheel.bump for wheel in (front, rear)]
    over = max([scale * length + _LINE for length in reach] + [scale * one.height + 2 * _LINE for one in centers])
    ground = over + 8
    deepest = ground + scale * max(front.droop, rear.droop)
    bottom = deepest + 2 * _LINE + 16
    picture = Picture(f"draw-side-{key}", title, description, _WIDTH, bottom + 14)
    middle = _WIDTH / 2
    first = middle + scale * (front.radius - rear.radius - wheelbase) / 2
    places = (first, first + scale * wheelbase)
    picture.ground(4, _WIDTH - 4, ground)
    for place, wheel in zip(places, (front, rear), strict=True):
        _wheel(picture, place, ground, wheel, scale)
    for one, below, words in ((sprung_center, False, "sprung"), (center, True, "center of gravity")):
        if one is not None:
            _center(picture, places[0] + scale * one.behind_front, ground - scale * one.height, one.text, words, below)
    y = bottom - 6
    picture.line(places[0], y, places[1], y, "dim")
    for place in places:
        picture.line(place, y - END, place, y + END, "dim")
    picture.text(middle, y - 8, wheelbase_text, "ta", "middle")
    return picture.svg()


def _wheel(picture: Picture, x: float, ground: float, wheel: Wheel, scale: float) -> None:
    radius = scale * wheel.radius
    hub = ground - radius
    up, down = scale * wheel.bump, scale * wheel.droop
    for away, sweep in ((-up, 1), (down, 0)):
        picture.path(
            f"M{x - radius:.1f} {hub + away:.1f} A{radius:.1f} {radius:.1f} 0 0 {sweep} {x + radius:.1f} {hub + away:.1f}",
            "guide",
        )
    picture.circle(x, hub, radius)
    picture.line(x, hub - up, x, hub + down, "dim")
    for end in (hub - up, hub + down):
        picture.line(x - END, end, x + END, end, "dim")
    picture.circle(x, hub, 3, "solid")
    picture.text(x, hub - radius - up - 6, f"bump {wheel.bump_text}", "ta", "middle")
    picture.text(x, ground + down + 16, f"droop {wheel.droop_text}", "ta", "middle")


def _center(picture: Picture, x: float, y: float, text: str, words: str, below: bool) -> None:
    picture.path(f"M{x - 12:.1f} {y:.1f} H{x + 12:.1f} M{x:.1f} {y - 12:.1f} V{y + 12:.1f}", "dim")
    picture.circle(x, y, _DOT, "dot" if below else "mass")
    if below:
        picture.text(x, y + 26, words, "t2", "middle")
        picture.text(x, y + 44, text, "ta", "middle")
    else:
        picture.text(x, y - 16, f"{words} {text}", "ta", "middle")
