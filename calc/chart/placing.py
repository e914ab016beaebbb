"""Where labels go: boxes that never overlap and never leave the picture."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from calc.chart.lettering import ASCENT, DESCENT, text_width

# How much a crossed line counts, against one pixel of distance from the place asked for.
_CROSSED_CURVE = 60.0
_CROSSED_GUIDE = 15.0
_NEAR_STRANGER = 40.0
_NEAR = 9.0

Segment = tuple[float, float, float, float]


class Box(NamedTuple):
    """An upright rectangle in pixels, y down."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box) -> bool:
        """Whether two boxes share any area."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )

    def inside(self, other: Box) -> bool:
        """Whether this box lies wholly in another."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )

    def crossed(self, segment: Segment) -> bool:
        """Whether a straight piece of line passes through the box (Liang and Barsky's clipping test)."""
        x1, y1, x2, y2 = segment
        start, end = 0.0, 1.0
        for step, room_low, room_high in (
            (x2 - x1, x1 - self.left, self.right - x1),
            (y2 - y1, y1 - self.top, self.bottom - y1),
        ):
            if step == 0:
                if room_low < 0 or room_high < 0:
                    return False
                continue
            enter, leave = -room_low / step, room_high / step
            if enter > leave:
                enter, leave = leave, enter
            start, end = max(start, enter), min(end, leave)
            if start > end:
                return False
        return True


def text_box(x: float, y: float, content: str, style: str = "t", anchor: str = "start") -> Box:
    """The box of one line of text that stands at x on the base line y.

    >>> box = text_box(100, 50, "1,580", "tb", "end")
    >>> box.right, box.top, box.bottom
    (100.0, 39.0, 54.0)
    """
    width = text_width(content, style)
    left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
    return Box(left, y - ASCENT, left + width, y + DESCENT)


class Spot(NamedTuple):
    """One place a label could take; cost is how far it is from the best one.

    A label that stands far from what it names has a leader to it.
    """

    x: float
    y: float
    anchor: str
    cost: float = 0.0
    leader: Segment | None = None


def around(x: float, y: float, radius: float) -> list[Spot]:
    """Places for the label of a dot: beside it first, then farther out."""
    spots = []
    for ring, gap in enumerate((radius + 3, radius + 15, radius + 32)):
        far = ring * 40.0
        above, below = y - gap, y + gap + 9
        spots += [
            Spot(x - gap + 1, above, "end", far),
            Spot(x + gap - 1, below, "start", far + 1),
            Spot(x + gap - 1, above, "start", far + 2),
            Spot(x - gap + 1, below, "end", far + 3),
            Spot(x, above - 2, "middle", far + 6),
            Spot(x, below + 3, "middle", far + 7),
            Spot(x + gap + 2, y + 5, "start", far + 8),
            Spot(x - gap - 2, y + 5, "end", far + 9),
        ]
    return spots


def best(
    content: str,
    style: str,
    spots: Iterable[Spot],
    frame: Box,
    taken: Sequence[Box],
    curves: Sequence[Segment] = (),
    guides: Sequence[Segment] = (),
    strangers: Sequence[Segment] = (),
    most: float = math.inf,
) -> tuple[Spot, Box] | None:
    """Choose the cheapest spot where the label lies in the frame and on no taken box; None if there is none.

    Crossing a curve or a guide costs, and so does standing near a stranger, a curve that the label does not name.
    A spot that costs `most` or more is refused.

    >>> frame = Box(0, 0, 100, 100)
    >>> spot, box = best("7", "t", [Spot(-5, 50, "start"), Spot(50, 50, "start", 9)], frame, [])
    >>> spot.x
    50
    """
    chosen: tuple[float, Spot, Box] | None = None
    for spot in spots:
        if spot.cost >= (most if chosen is None else chosen[0]):
            continue
        box = text_box(spot.x, spot.y, content, style, spot.anchor)
        if not box.inside(frame) or any(box.overlaps(other) for other in taken):
            continue
        if spot.leader and any(other.crossed(spot.leader) for other in taken):
            continue
        cost = spot.cost
        cost += _CROSSED_CURVE * any(box.crossed(segment) for segment in curves)
        cost += _CROSSED_GUIDE * any(box.crossed(segment) for segment in guides)
        if strangers:
            reach = Box(box.left - _NEAR, box.top - _NEAR, box.right + _NEAR, box.bottom + _NEAR)
            cost += _NEAR_STRANGER * any(reach.crossed(segment) for segment in strangers)
        if cost < (most if chosen is None else chosen[0]):
            chosen = (cost, spot, box)
    return None if chosen is None else (chosen[1], chosen[2])


@dataclass(frozen=True, slots=True)
class Event:
    """A label above the grid, over the vertical line at x: one or more lines of text."""

    x: float
    lines: tuple[str, ...]
    style: str

    @property
    def width(self) -> float:
        """Width of the widest line."""
        return max(text_width(content, self.style) for content in self.lines)


@dataclass(frozen=True, slots=True)
class Seat:
    """Where an event's label stands: which row above the grid, and how it hangs on x."""

    row: int
    x: float
    anchor: str
    left: float
    right: float


_EVENT_GAP = 8.0


def _seats(event: Event, row: int, picture_width: float) -> list[Seat]:
    width = event.width
    found = []
    for anchor, x in (
        ("middle", event.x),
        ("end", event.x + 4),
        ("start", event.x - 4),
        ("end", event.x - 1),
        ("start", event.x + 1),
    ):
        left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
        if left < 0:
            anchor, x, left = "start", 0.0, 0.0
        elif left + width > picture_width:
            anchor, x, left = "end", picture_width, picture_width - width
        seat = Seat(row, x, anchor, left, left + width)
        if seat not in found:
            found.append(seat)
    return found


def _agree(event: Event, seat: Seat, other_event: Event, other: Seat) -> bool:
    """Whether two seats leave each other free: same row apart, and no guide line through a lower label."""
    if seat.row == other.row:
        return seat.left >= other.right + _EVENT_GAP or other.left >= seat.right + _EVENT_GAP
    upper_event, lower = (event, other) if seat.row > other.row else (other_event, seat)
    return not lower.left - 2 < upper_event.x < lower.right + 2


def seat_events(events: Sequence[Event], picture_width: float) -> list[Seat]:
    """Seat the labels of events, sorted by x, in as few rows as possible, none over another.

    >>> close = [Event(100, ("ride, crew",), "t"), Event(106, ("crossover",), "ta")]
    >>> [seat.row for seat in seat_events(close, 350)]
    [0, 0]
    >>> near = [*close, Event(112, ("stop touched",), "t")]
    >>> sorted({seat.row for seat in seat_events(near, 350)})
    [0, 1]
    """

    def search(index: int, seated: list[Seat], rows: int) -> list[Seat] | None:
        if index == len(events):
            return seated
        for row in range(rows):
            for seat in _seats(events[index], row, picture_width):
                free = all(_agree(events[index], seat, events[other], placed) for other, placed in enumerate(seated))
                if free:
                    done = search(index + 1, [*seated, seat], rows)
                    if done is not None:
                        return done
        return None

    for rows in range(1, 4):
        found = search(0, [], rows)
        if found is not None:
            return found
    # One row each always keeps labels apart; hung to the left, they meet only lines that end below them.
    return [_seats(event, row, picture_width)[1] for row, event in enumerate(events)]
