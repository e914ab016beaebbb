"""Draws a chart of panels at one width."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from calc import alive
from calc.chart.description import Chart, Curve, Panel, Wanted
from calc.chart.lettering import (
    ASCENT,
    LINE,
    broken,
    line,
    named,
    number,
    opening,
    step_decimals,
    text,
    text_width,
    ticks,
    with_unit,
)
from calc.chart.placing import Box, Event, Segment, Spot, around, best, seat_events

_TALL = 260.0
_TALL_NARROW = 230.0
_LOW = 150.0
_BETWEEN = 48.0
_HEAD = 26.0
_AXIS = 52.0
_DOT = 6.0
_TICK = 5.0
_NAME_BASE = 14.0
# Lines closer than this to the true one cannot be told from it.
_FLAT = 0.05


@dataclass(frozen=True, slots=True)
class _Scale:
    """Data to pixels along one axis."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def _spread(values: Sequence[float], at_least: tuple[float, float] | None) -> tuple[float, float]:
    """The range to show: all values, zero where it is near, never empty."""
    everything = [*values, *(at_least or ())]
    low, high = min(everything), max(everything)
    if 0 < low <= 0.4 * high:
        low = 0.0
    elif 0 > high >= 0.4 * low:
        high = 0.0
    # Two values equal but for rounding make a range that ticks cannot divide.
    if high - low <= 1e-6 * max(abs(low), abs(high)):
        reach = 0.1 * abs(high) or 1.0
        low, high = low - reach, high + reach
    return low, high


def _x_values(chart: Chart) -> list[float]:
    values = [guide.x for guide in chart.guides]
    for panel in chart.panels:
        values += [point[0] for curve in panel.curves for point in curve.points if point is not None]
        values += [dot.x for dot in panel.dots]
        values += [wanted.x for wanted in panel.wanted if wanted.x is not None]
    return values


def _y_values(panel: Panel) -> list[float]:
    values = [point[1] for curve in panel.curves for point in curve.points if point is not None]
    values += [dot.y for dot in panel.dots]
    return values + [end for wanted in panel.wanted for end in (wanted.low, wanted.high)]


def thinned(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Leave out points that lie on the line between their neighbors (Douglas and Peucker's method).

    >>> thinned([(0, 0), (1, 1), (2, 2), (3, 0)])
    [(0, 0), (2, 2), (3, 0)]
    """
    if len(points) < 3:
        return list(points)
    kept = {0, len(points) - 1}
    runs = [(0, len(points) - 1)]
    while runs:
        first, last = runs.pop()
        (x1, y1), (x2, y2) = points[first], points[last]
        dx, dy = x2 - x1, y2 - y1
        length = (dx * dx + dy * dy) ** 0.5
        farthest, distance = first, _FLAT
        for index in range(first + 1, last):
            x, y = points[index][0] - x1, points[index][1] - y1
            away = abs(x * dy - y * dx) / length if length > 0 else (x * x + y * y) ** 0.5
            if away > distance:
                farthest, distance = index, away
        if farthest != first:
            kept.add(farthest)
            runs += [(first, farthest), (farthest, last)]
    return [points[index] for index in sorted(kept)]


def _path(pieces: Sequence[Sequence[tuple[float, float]]], style: str) -> str:
    commands = []
    for piece in pieces:
        for index, (x, y) in enumerate(piece):
            commands.append(f"{'L' if index else 'M'}{x:.1f} {y:.1f}")
        if len(piece) == 1:
            commands.append(f"L{piece[0][0]:.1f} {piece[0][1]:.1f}")
    return f'<path class="{style}" d="{" ".join(commands)}"/>'


def _segments(pieces: Sequence[Sequence[tuple[float, float]]]) -> list[Segment]:
    found: list[Segment] = []
    for piece in pieces:
        found += [(x1, y1, x2, y2) for (x1, y1), (x2, y2) in pairwise(piece)]
    return found


def _on(piece: Sequence[tuple[float, float]], x: float) -> float | None:
    """Pixel y of a drawn piece at pixel x."""
    for (x1, y1), (x2, y2) in pairwise(piece):
        if min(x1, x2) <= x <= max(x1, x2):
            return y1 if x1 == x2 else y1 + (y2 - y1) * (x - x1) / (x2 - x1)
    return None


class _Drawing:
    """One chart being drawn at one width: what is drawn so far and which places are taken."""

    def __init__(self, chart: Chart, width: float) -> None:
        self.chart = chart
        self.width = width
        self.narrow = width < 600
        self.parts: list[str] = []
        self.notes: list[str] = []
        self.taken: list[Box] = []
        self._lay_out_x()

    def _lay_out_x(self) -> None:
        low, high = _spread(_x_values(self.chart), self.chart.x_at_least)
        self.y_ticks = []
        for index, panel in enumerate(self.chart.panels):
            parts = 5 if index == 0 or panel.tall else 3
            self.y_ticks.append(ticks(*_spread(_y_values(panel), panel.at_least), parts))
        widest = max(text_width(label, "t2") for marks in self.y_ticks for label in _tick_texts(marks))
        self.left = max(46.0 if self.narrow else 58.0, widest + 12.0)
        for parts in (6, 5, 4, 3, 2):
            self.x_ticks = ticks(low, high, parts)
            labels = _tick_texts(self.x_ticks)
            need = max(text_width(label, "t2") for label in labels)
            self.right = self.width - max(10.0 if self.narrow else 26.0, need / 2 + 1)
            if need + 10 <= (self.right - self.left) / (len(self.x_ticks) - 1):
                break
        self.x = _Scale(self.x_ticks[0], self.x_ticks[-1], self.left, self.right)

    def draw(self) -> str:
        chart = self.chart
        row_height = self._draw_events_height()
        top = max(_NAME_BASE + _HEAD, _HEAD + row_height)
        bottoms = []
        for index, panel in enumerate(chart.panels):
            height = (_TALL_NARROW if self.narrow else _TALL) if index == 0 or panel.tall else _LOW
            name_base = _NAME_BASE if index == 0 else top - _HEAD
            self._draw_grid(panel, self.y_ticks[index], name_base, top, height)
            bottoms.append((top, top + height))
            top += height + _BETWEEN + _HEAD
        bottom = bottoms[-1][1]
        self._draw_guides(bottoms[0][0], bottom)
        for panel, marks, (upper, lower) in zip(chart.panels, self.y_ticks, bottoms, strict=True):
            self._draw_panel(panel, _Scale(marks[0], marks[-1], lower, upper), Box(0, upper, self.width, lower))
        self._draw_x_axis(bottom)
        key = f"{chart.key}-{self.width:.0f}"
        head = opening(key, chart.title, chart.description, self.width, bottom + _AXIS)
        return head + "".join(self.parts) + "".join(self.notes) + "</svg>"

    def _draw_events_height(self) -> float:
        """Seat the guides' names; return the height of the rows they need above the grid."""
        chart = self.chart
        limit = 110.0 if self.narrow else 240.0
        self.events = []
        for guide in sorted(chart.guides, key=lambda item: item.x):
            value = guide.value
            if value is None:
                value = with_unit(number(guide.x, chart.x_decimals), chart.x_unit)
            style = "ta" if guide.accent else "t"
            whole = f"{guide.label} {value}".strip()
            if self.narrow and value:
                lines = [*broken(guide.label, limit, style), value]
            else:
                lines = broken(whole, limit, style)
            self.events.append(Event(self.x(guide.x), tuple(lines), style))
        self.seats = seat_events(self.events, self.width)
        self.row_lines: dict[int, int] = {}
        for event, seat in zip(self.events, self.seats, strict=True):
            self.row_lines[seat.row] = max(self.row_lines.get(seat.row, 1), len(event.lines))
        return 6 + sum(LINE * count + 6 for count in self.row_lines.values()) if self.events else 0.0

    def _draw_guides(self, top: float, bottom: float) -> None:
        self.guide_segments: list[Segment] = []
        for event, seat in zip(self.events, self.seats, strict=True):
            below = sum(LINE * count + 6 for row, count in self.row_lines.items() if row < seat.row)
            base = top - 14 - below
            start = base + 8
            self.parts.append(line(event.x, start, event.x, bottom, "guide"))
            self.guide_segments.append((event.x, start, event.x, bottom))
            for index, content in enumerate(reversed(event.lines)):
                self.notes.append(text(seat.x, base - LINE * index, content, event.style, seat.anchor, halo=True))

    def _draw_grid(self, panel: Panel, marks: Sequence[float], name_base: float, top: float, height: float) -> None:
        self.parts.append(text(0, name_base, named(panel.y_label, panel.y_unit), "tb"))
        y = _Scale(marks[0], marks[-1], top + height, top)
        zero_inside = marks[0] < 0 < marks[-1]
        for index, (mark, label) in enumerate(zip(marks, _tick_texts(marks), strict=True)):
            strong = index == 0 or (zero_inside and mark == 0)
            self.parts.append(line(self.left, y(mark), self.right, y(mark), "hair" if strong else "grid"))
            self.parts.append(text(self.left - 8, y(mark) + 5, label, "t2", "end"))

    def _draw_panel(self, panel: Panel, y: _Scale, area: Box) -> None:
        frame = Box(self.left + 2, area.top - 12, self.width, area.bottom - 2)
        drawn: list[tuple[Curve, list[list[tuple[float, float]]]]] = []
        # Quiet curves lie under the others.
        for curve in sorted(panel.curves, key=lambda item: not item.quiet):
            pieces = [thinned([(self.x(px), y(py)) for px, py in piece]) for piece in curve.pieces()]
            self.parts.append(_path(pieces, "part" if curve.quiet else "curve"))
            drawn.append((curve, pieces))
        segments = [segment for _, pieces in drawn for segment in _segments(pieces)]
        spots = [(self.x(dot.x), y(dot.y)) for dot in panel.dots]
        for px, py in spots:
            self.parts.append(f'<circle class="dot" cx="{px:.1f}" cy="{py:.1f}" r="{_DOT:.0f}"/>')
            self.taken.append(Box(px - _DOT, py - _DOT, px + _DOT, py + _DOT))
        brackets = [(wanted, self._bracket(wanted, y)) for wanted in panel.wanted]
        for dot, (px, py) in zip(panel.dots, spots, strict=True):
            if dot.label:
                self._place(dot.label, "tb", around(px, py, _DOT), frame, segments)
        for wanted, box in brackets:
            self._name_bracket(panel, wanted, box, frame, segments)
        for curve, pieces in drawn:
            if curve.label:
                style = "t2" if curve.quiet else "ta" if any(other.quiet for other in panel.curves) else "t"
                others = [piece for other, run in drawn if other is not curve for piece in _segments(run)]
                self._place(curve.label, style, self._beside(curve, pieces), frame, segments, others)

    def _place(
        self,
        content: str,
        style: str,
        spots: Sequence[Spot],
        frame: Box,
        curves: Sequence[Segment],
        strangers: Sequence[Segment] = (),
        most: float = math.inf,
    ) -> bool:
        """Put a label on its best free spot; the table holds what finds none."""
        found = best(content, style, spots, frame, self.taken, curves, self.guide_segments, strangers, most)
        if found is None:
            return False
        spot, box = found
        self.taken.append(Box(box.left - 2, box.top, box.right + 2, box.bottom))
        if spot.leader:
            self.parts.append(line(*spot.leader, "hair"))
            x, start, _, end = spot.leader
            self.taken.append(Box(x - 1, min(start, end), x + 1, max(start, end)))
        self.notes.append(text(spot.x, spot.y, content, style, spot.anchor, halo=True))
        return True

    def _bracket(self, wanted: Wanted, y: _Scale) -> Box:
        px = self.left + 0.03 * (self.right - self.left) if wanted.x is None else self.x(wanted.x)
        upper, lower = y(wanted.high), y(wanted.low)
        self.parts.append(line(px, lower, px, upper, "part"))
        for end in (lower, upper):
            self.parts.append(line(px - _TICK, end, px + _TICK, end, "part"))
        box = Box(px - _TICK, upper - 1, px + _TICK, lower + 1)
        self.taken.append(box)
        return box

    def _name_bracket(self, panel: Panel, wanted: Wanted, box: Box, frame: Box, segments: list[Segment]) -> None:
        content = wanted_text(panel, wanted)
        # The bare range is understood where the words do not fit beside their bracket.
        bare = content.removeprefix("wanted ")
        middle = (box.top + box.bottom) / 2 + 5
        clear, any_spot = 50.0, math.inf
        for words, far, most in (
            (content, 0.0, clear),
            (content, 14.0, clear),
            (bare, 0.0, clear),
            (bare, 14.0, clear),
            (content, 0.0, any_spot),
            (bare, 28.0, any_spot),
        ):
            spots = [
                Spot(box.left, box.bottom + 17 + far, "start"),
                Spot(box.right + 5, middle + far, "start", 1),
                Spot(box.right + 5, middle - far, "start", 1),
                Spot(box.left - 5, middle + far, "end", 2),
                Spot(box.left - 5, middle - far, "end", 2),
                Spot(box.left, box.top - 8 - far, "start", 3),
                Spot(box.right, box.top - 8 - far, "end", 4),
                Spot(box.right, box.bottom + 17 + far, "end", 4),
            ]
            if self._place(words, "t2", spots, frame, segments, most=most):
                return

    def _beside(self, curve: Curve, pieces: Sequence[Sequence[tuple[float, float]]]) -> list[Spot]:
        """Places beside a curve: near `at`, else anywhere along it, a little above or below the line."""
        wanted = None if curve.at is None else self.x(curve.at)
        spots = []
        for piece in pieces:
            start, end = min(x for x, _ in piece), max(x for x, _ in piece)
            for part in range(1, 24):
                px = start + (end - start) * part / 24
                py = _on(piece, px)
                if py is None:
                    continue
                away = 0.5 * abs(px - wanted) if wanted is not None else 1.5 * abs(part - 14)
                for gap, cost in ((10.0, 0.0), (24.0, 12.0), (38.0, 20.0), (56.0, 28.0)):
                    above, below = py - gap, py + gap + 9
                    led_up = (px, above + 5, px, py - 3) if gap > 10 else None
                    led_down = (px, below - ASCENT - 1, px, py + 3) if gap > 10 else None
                    total = away + cost
                    spots += [
                        Spot(px, above, "end", total, led_up),
                        Spot(px, below, "start", total + 1, led_down),
                        Spot(px, above, "start", total + 1, led_up),
                        Spot(px, above, "middle", total + 1, led_up),
                        Spot(px, below, "middle", total + 2, led_down),
                        Spot(px, below, "end", total + 2, led_down),
                    ]
        return sorted(spots, key=lambda spot: spot.cost)

    def _draw_x_axis(self, bottom: float) -> None:
        for mark, label in zip(self.x_ticks, _tick_texts(self.x_ticks), strict=True):
            px = self.x(mark)
            self.parts.append(line(px, bottom, px, bottom + _TICK, "hair"))
            self.parts.append(text(px, bottom + 21, label, "t2", "middle"))
        name = named(self.chart.x_label, self.chart.x_unit)
        self.parts.append(text(self.right, bottom + 42, name, "t", "end"))


def _tick_texts(marks: Sequence[float]) -> list[str]:
    decimals = step_decimals(marks[1] - marks[0])
    return [number(mark, decimals) for mark in marks]


def wanted_text(panel: Panel, wanted: Wanted) -> str:
    """The words beside a bracket.

    >>> from calc.chart.description import Dot
    >>> panel = Panel("Ride frequency", "Hz", dots=(Dot(0, 1),), decimals=2)
    >>> wanted_text(panel, Wanted(1.05, 1.15))
    'wanted 1.05 to 1.15'
    """
    if wanted.label is not None:
        return wanted.label
    return f"wanted {number(wanted.low, panel.decimals)} to {number(wanted.high, panel.decimals)}"


def draw_panels(chart: Chart, width: float) -> str:
    """Draw a chart of panels; deterministic text.

    >>> from calc.chart.description import Dot
    >>> chart = Chart("c", "Title", "Description", "Travel", (Panel("Force", "lbf", dots=(Dot(1, 2),)),))
    >>> draw_panels(chart, 350).count("<circle")
    1
    """
    alive.beat()
    return _Drawing(chart, width).draw()
