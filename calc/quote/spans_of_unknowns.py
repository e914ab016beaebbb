"""A verdict over a box of unknowns: a statement holds all over it, nowhere in it, or it depends.

A statement is one or two margins, which must not be negative. Each margin is continuous, and monotone in each unknown:
its least and greatest value over the whole box then lie at corners, and nothing between them can surprise.
The grid that is evaluated holds the corners and the middles; the middles only serve to tell which unknown decides.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

State = Literal["holds", "depends", "fails"]
Spans = Mapping[str, tuple[float, float]]
Values = Mapping[str, Any]
Margins = Callable[[Values], tuple[Any, ...]]

MOST_NAMED = 2
_LEVELS = 3
_SCAN = 65
_REFINED = 2
# No state depends on the last bit of a length or a frequency.
_LAST_BIT = 1e-9


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """What a box of unknowns leaves of a statement.

    `decided_by` names the unknowns whose knowledge would decide, the most influential first.
    Of the first of them: between `holds_from` and `holds_to` the statement holds whatever the others are, below
    `fails_below` and above `fails_above` it fails whatever they are. None: no such value, or no end inside the span.
    """

    state: State
    decided_by: tuple[str, ...] = ()
    can_hold: bool = False
    holds_from: float | None = None
    holds_to: float | None = None
    fails_below: float | None = None
    fails_above: float | None = None


def verdict(margins: Margins, spans: Spans) -> Verdict:
    """Return whether the margins stay at 0 or above over the whole box, nowhere in it, or in a part of it.

    With two margins, the statement must be one from which the box cannot escape between its ends: where the first
    is met somewhere and the second is met somewhere, both are met together somewhere.

    >>> found = verdict(lambda v: (v["length"] - 3.0 - v["wear"],), {"length": (2.0, 6.0), "wear": (0.0, 1.0)})
    >>> found.state, found.decided_by, found.holds_from, found.holds_to, round(found.fails_below, 3)
    ('depends', ('length',), 4.0, None, 3.0)
    """
    unknown = {name: span for name, span in spans.items() if span[1] > span[0]}
    parts = _evaluated(margins, spans, dict.fromkeys(unknown, _LEVELS))
    state = _state(parts)
    if state != "depends":
        return Verdict(state=state)
    decided_by = _decided_by(parts, tuple(unknown))
    return Verdict(state=state, decided_by=decided_by, **_ends(margins, spans, decided_by[0]))


def extent(function: Callable[[Values], Any], spans: Spans) -> tuple[float, float]:
    """Return the least and the greatest value over the box of something that is monotone in each unknown.

    >>> extent(lambda v: v["a"] - v["b"], {"a": (1.0, 2.0), "b": (0.0, 4.0)})
    (-3.0, 2.0)
    """
    unknown = [name for name, span in spans.items() if span[1] > span[0]]
    (values,) = _evaluated(lambda v: (function(v),), spans, dict.fromkeys(unknown, 2))
    return float(values.min()), float(values.max())


def _evaluated(
    margins: Margins, spans: Spans, levels: Mapping[str, int], within: Spans | None = None
) -> list[NDArray[np.float64]]:
    """Evaluate on a grid: one axis for each unknown, in the order of `levels`."""
    values: dict[str, Any] = {name: span[0] for name, span in spans.items()}
    shape = tuple(levels.values())
    for axis, (name, count) in enumerate(levels.items()):
        low, high = (within or {}).get(name, spans[name])
        points = np.linspace(low, high, count, dtype=np.float64)
        values[name] = points.reshape([-1 if place == axis else 1 for place in range(len(shape))])
    return [np.broadcast_to(np.asarray(part, dtype=np.float64), shape) for part in margins(values)]


def _state(parts: Sequence[NDArray[np.float64]]) -> State:
    if all(part.min() >= -_LAST_BIT for part in parts):
        return "holds"
    return "fails" if any(part.max() < -_LAST_BIT for part in parts) else "depends"


def _flags(parts: Sequence[NDArray[np.float64]], kept: Sequence[int]) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Whether the statement holds, and whether it fails, for each value of the kept axes whatever the others are."""
    others = tuple(axis for axis in range(parts[0].ndim) if axis not in kept)
    holds = np.logical_and.reduce([part.min(axis=others) >= -_LAST_BIT for part in parts])
    fails = np.logical_or.reduce([part.max(axis=others) < -_LAST_BIT for part in parts])
    return holds, fails


def _decided_by(parts: Sequence[NDArray[np.float64]], names: Sequence[str]) -> tuple[str, ...]:
    """Take the unknown that settles most when it is known, or else narrows most, then the next one with it, and so on."""
    chosen: list[int] = []
    while len(chosen) < min(MOST_NAMED, len(names)):
        ranked = []
        for axis in range(len(names)):
            if axis in chosen:
                continue
            kept = [*chosen, axis]
            holds, fails = _flags(parts, kept)
            settled = float(np.mean(holds | fails))
            ranked.append((round(settled, 9), -round(_spread(parts, kept), 9), -axis))
        settled, _, axis = max(ranked)
        chosen.append(-axis)
        if settled == 1.0:
            break
    return tuple(names[axis] for axis in chosen)


def _spread(parts: Sequence[NDArray[np.float64]], kept: Sequence[int]) -> float:
    """How much of the margins' spread is left when the kept unknowns are known: 1 all, 0 none."""
    others = tuple(axis for axis in range(parts[0].ndim) if axis not in kept)
    left = [
        float(np.mean(part.max(axis=others) - part.min(axis=others))) / float(np.ptp(part))
        for part in parts
        if np.ptp(part) > 0.0
    ]
    return max(left)


def _ends(margins: Margins, spans: Spans, name: str) -> dict[str, Any]:
    """Where along one unknown the statement is settled whatever the others are."""
    rest = {other: 2 for other, span in spans.items() if other != name and span[1] > span[0]}
    low, high = spans[name]

    def flags(start: float, end: float) -> tuple[NDArray[np.bool_], NDArray[np.bool_], NDArray[np.float64]]:
        parts = _evaluated(margins, spans, {name: _SCAN, **rest}, {name: (start, end)})
        holds, fails = _flags(parts, (0,))
        return holds, fails, np.linspace(start, end, _SCAN, dtype=np.float64)

    def settled_side(start: float, end: float, which: int, settled_last: bool) -> float:
        """The settled point nearest to the edge that lies between two points of a scan."""
        for _ in range(_REFINED):
            *both, points = flags(start, end)
            changes = (bool(one) != bool(two) for one, two in itertools.pairwise(both[which]))
            edge = next((index for index, changed in enumerate(changes) if changed), None)
            if edge is None:
                # It is settled at one value alone, which a closer look passes over: the edge is where it was seen.
                break
            start, end = float(points[edge]), float(points[edge + 1])
        return end if settled_last else start

    holds, fails, points = flags(low, high)
    found: dict[str, Any] = {"can_hold": bool(holds.any())}
    if holds.any():
        first, last = int(np.argmax(holds)), _SCAN - 1 - int(np.argmax(holds[::-1]))
        if first > 0:
            found["holds_from"] = settled_side(float(points[first - 1]), float(points[first]), 0, True)
        if last < _SCAN - 1:
            found["holds_to"] = settled_side(float(points[last]), float(points[last + 1]), 0, False)
    if fails[0]:
        last = int(np.argmin(fails)) - 1
        found["fails_below"] = settled_side(float(points[last]), float(points[last + 1]), 1, False)
    if fails[-1]:
        first = _SCAN - int(np.argmin(fails[::-1]))
        found["fails_above"] = settled_side(float(points[first - 1]), float(points[first]), 1, True)
    return found
