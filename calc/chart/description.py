"""What a chart shows: plain, frozen data in display units, checked when it is made."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from calc.errors import HandbookError

MOST_POINTS = 2000
MOST_CURVES = 6
MOST_DOTS = 40
MOST_GUIDES = 8
MOST_PANELS = 4
MOST_BARS = 24
_LARGEST = 1e12
_KEY = re.compile(r"[a-z][a-z0-9-]*")


class ChartError(HandbookError):
    """A chart cannot be drawn from what it was given."""


def _finite(value: float, what: str) -> None:
    if not math.isfinite(value):
        raise ChartError(f"{what} is {value}; a chart shows finite numbers only.")
    if abs(value) > _LARGEST:
        raise ChartError(f"{what} is {value:g}; a chart shows numbers up to {_LARGEST:g} only.")


def _few(items: Iterable[object], most: int, what: str) -> None:
    count = len(tuple(items))
    if count > most:
        raise ChartError(f"{count} {what}; a chart shows at most {most}.")


def _key(key: str) -> None:
    if not _KEY.fullmatch(key):
        raise ChartError(f"Chart key {key!r} must be small letters, digits and hyphens, a letter first.")


@dataclass(frozen=True, slots=True)
class Curve:
    """A line through points (x, y); None lifts the pen, for a step. Label stands beside the line near x `at`.

    A quiet curve is drawn in ink, thinner: what was there before, or what another method says.
    """

    points: tuple[tuple[float, float] | None, ...]
    label: str = ""
    at: float | None = None
    quiet: bool = False

    def __post_init__(self) -> None:
        _few(self.points, MOST_POINTS, "points in a curve")
        for point in self.points:
            if point is not None:
                _finite(point[0], f"A point's x in curve {self.label!r}")
                _finite(point[1], f"A point's y in curve {self.label!r}")
        if not any(self.pieces()):
            raise ChartError(f"Curve {self.label!r} has no points.")
        if self.at is not None:
            _finite(self.at, f"The position of the label of curve {self.label!r}")

    def pieces(self) -> list[list[tuple[float, float]]]:
        """The unbroken runs of points.

        >>> Curve(((0, 1), (2, 1), None, (2, 3))).pieces()
        [[(0, 1), (2, 1)], [(2, 3)]]
        """
        runs: list[list[tuple[float, float]]] = [[]]
        for point in self.points:
            if point is None:
                runs.append([])
            else:
                runs[-1].append(point)
        return [run for run in runs if run]


@dataclass(frozen=True, slots=True)
class Dot:
    """A value on or off a curve, with its text beside it."""

    x: float
    y: float
    label: str = ""

    def __post_init__(self) -> None:
        _finite(self.x, f"x of dot {self.label!r}")
        _finite(self.y, f"y of dot {self.label!r}")


@dataclass(frozen=True, slots=True)
class Guide:
    """An event at x: a dotted line through all panels, named above the grid.

    The value of x with the unit of the axis follows the name; give `value` for another text, "" for none.
    """

    x: float
    label: str
    accent: bool = False
    value: str | None = None

    def __post_init__(self) -> None:
        _finite(self.x, f"x of guide {self.label!r}")


@dataclass(frozen=True, slots=True)
class Wanted:
    """A wanted range of y, drawn as a bracket at x (at the left end if x is not given)."""

    low: float
    high: float
    x: float | None = None
    label: str | None = None

    def __post_init__(self) -> None:
        _finite(self.low, "The low end of a wanted range")
        _finite(self.high, "The high end of a wanted range")
        if self.low > self.high:
            raise ChartError(f"A wanted range runs from low to high; {self.low:g} to {self.high:g} does not.")
        if self.x is not None:
            _finite(self.x, "x of a wanted range")


@dataclass(frozen=True, slots=True)
class Panel:
    """One grid with its own y axis. The first panel of a chart is tall; `at_least` widens the y range.

    `decimals` is for values of y in the table and in brackets; ticks find their own.
    `dots_label` names the column of dots that lie on no curve.
    """

    y_label: str
    y_unit: str = ""
    curves: tuple[Curve, ...] = ()
    dots: tuple[Dot, ...] = ()
    wanted: tuple[Wanted, ...] = ()
    decimals: int = 0
    tall: bool = False
    at_least: tuple[float, float] | None = None
    dots_label: str = "points"

    def __post_init__(self) -> None:
        _few(self.curves, MOST_CURVES, "curves in a panel")
        _few(self.dots, MOST_DOTS, "dots in a panel")
        if not self.curves and not self.dots:
            raise ChartError(f"Panel {self.y_label!r} has neither a curve nor a dot.")
        if self.at_least is not None:
            _finite(self.at_least[0], f"The low end of the y range of {self.y_label!r}")
            _finite(self.at_least[1], f"The high end of the y range of {self.y_label!r}")


@dataclass(frozen=True, slots=True)
class Chart:
    """Panels over one x axis. `key` makes the ids of the picture: one key on a page, one chart."""

    key: str
    title: str
    description: str
    x_label: str
    panels: tuple[Panel, ...]
    x_unit: str = ""
    guides: tuple[Guide, ...] = ()
    note: str = ""
    x_decimals: int = 2
    x_at_least: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        _key(self.key)
        _few(self.guides, MOST_GUIDES, "guides in a chart")
        _few(self.panels, MOST_PANELS, "panels in a chart")
        if not self.panels:
            raise ChartError(f"Chart {self.title!r} has no panel.")
        if self.x_at_least is not None:
            _finite(self.x_at_least[0], "The low end of the x range")
            _finite(self.x_at_least[1], "The high end of the x range")


@dataclass(frozen=True, slots=True)
class Bar:
    """What a result becomes when one input stands at the low and at the high end of its +-."""

    label: str
    low: float
    high: float

    def __post_init__(self) -> None:
        _finite(self.low, f"The low end of bar {self.label!r}")
        _finite(self.high, f"The high end of bar {self.label!r}")


@dataclass(frozen=True, slots=True)
class Bars:
    """Bars about a center, longest first if the caller sorts them so: what to measure again."""

    key: str
    title: str
    description: str
    x_label: str
    center: float
    bars: tuple[Bar, ...]
    x_unit: str = ""
    decimals: int = 2
    center_label: str = "now"
    note: str = ""
    columns: tuple[str, str, str] = field(default=("Input", "Input low", "Input high"))

    def __post_init__(self) -> None:
        _key(self.key)
        _few(self.bars, MOST_BARS, "bars in a chart")
        _finite(self.center, "The center of the bars")
        if not self.bars:
            raise ChartError(f"Chart {self.title!r} has no bar.")
