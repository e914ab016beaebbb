"""What one set can only gain by losing elsewhere: the Pareto set of frequency error, travel margin and price.

Sets arrive in chunks. What is kept is no more than what none of the sets so far beats, so memory grows with the answer and
not with the list. Sets that are alike in all three count as one, the one whose part codes come first.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.search.judging import FloatArray, IntArray, Sets
from calc.search.problem import Problem
from calc.search.ranking import prices
from calc.tables import Springs

# Smaller differences count as none: no scale and no tape tells them apart. Money is counted to the cent.
FREQUENCY_STEP = 0.01
TRAVEL_STEP = 0.001
_PRICE_STEP = 0.01
_FILTERS = 64


@dataclass(frozen=True)
class Front:
    """Sets that no other beats: what each costs (less is better, a row each), by index, and how many are alike."""

    costs: FloatArray
    sets: IntArray
    alike: IntArray

    def __len__(self) -> int:
        return len(self.alike)


def empty_front() -> Front:
    """Return the front of no sets."""
    return Front(np.empty((0, 3)), np.empty((0, 3), dtype=np.int64), np.empty(0, dtype=np.int64))


def costs_of(problem: Problem, springs: Springs, sets: Sets, shortfall: Mapping[str, FloatArray]) -> FloatArray:
    """Return what is traded, in steps: frequency off the middle of what is wanted, travel margin (negative), price.

    Where the list does not price every spring, price is left out of the trade.
    """
    low, high = problem.wishes.frequency
    error = np.abs(sets.reference_frequency - (low + high) / 2)
    price = prices(springs, sets)
    margin = np.maximum(shortfall["droop"], shortfall["bump"])
    money = np.zeros_like(error) if price is None else price
    costs: FloatArray = np.rint(np.stack([error / FREQUENCY_STEP, margin / TRAVEL_STEP, money / _PRICE_STEP], axis=-1))
    return costs


def merged(front: Front, more: Front, ranks: IntArray) -> Front:
    """Return what no set beats among two groups."""
    both = _alike_as_one(
        np.concatenate([front.costs, more.costs]),
        np.concatenate([front.sets, more.sets]),
        np.concatenate([front.alike, more.alike]),
        ranks,
    )
    places = unbeaten(both.costs)
    return Front(both.costs[places], both.sets[places], both.alike[places])


def _alike_as_one(costs: FloatArray, sets: IntArray, alike: IntArray, ranks: IntArray) -> Front:
    """Return the sets sorted by cost then by part codes, those of equal costs as the first of them."""
    codes = ranks[sets]
    order = np.lexsort((codes[:, 0], codes[:, 2], codes[:, 1], costs[:, 2], costs[:, 1], costs[:, 0]))
    costs, sets, alike = costs[order], sets[order], alike[order]
    new = np.ones(len(costs), dtype=np.bool_)
    new[1:] = np.any(costs[1:] != costs[:-1], axis=1)
    first = np.flatnonzero(new)
    counts = np.add.reduceat(alike, first) if len(first) else alike
    return Front(costs[first], sets[first], counts)


def unbeaten(costs: FloatArray) -> NDArray[np.int64]:
    """Return the places of the rows that no other row beats, rows sorted by column and no two of them equal.

    A row beats another when it is nowhere higher and somewhere lower. A few strong rows thin out the rest at once; what they
    leave is swept in order of the first column, past a staircase of the best of the other two.

    >>> unbeaten(np.array([[1.0, 5.0, 5.0], [2.0, 3.0, 4.0], [3.0, 4.0, 4.0], [4.0, 1.0, 9.0]])).tolist()
    [0, 1, 3]
    """
    left = np.arange(len(costs), dtype=np.int64)
    if len(costs) > _FILTERS:
        low, high = costs.min(axis=0), costs.max(axis=0)
        sums = np.sum((costs - low) / np.where(high > low, high - low, 1.0), axis=1)
        for strong in np.argpartition(sums, _FILTERS)[:_FILTERS]:
            row, those = costs[strong], costs[left]
            left = left[~(np.all(row <= those, axis=1) & np.any(row < those, axis=1))]
    kept: list[int] = []
    seconds: list[float] = []
    thirds: list[float] = []
    for place in left:
        _, second, third = (float(value) for value in costs[place])
        at = bisect_right(seconds, second)
        if at and thirds[at - 1] <= third:
            continue
        end = start = at - 1 if at and seconds[at - 1] == second else at
        while end < len(thirds) and thirds[end] >= third:
            end += 1
        seconds[start:end] = [second]
        thirds[start:end] = [third]
        kept.append(int(place))
    return np.array(kept, dtype=np.int64)


def front_of(problem: Problem, springs: Springs, sets: Sets, shortfall: Mapping[str, FloatArray], works: Any) -> Front:
    """Return the sets that work as a group to be merged."""
    some = sets.only(works)
    costs = costs_of(problem, springs, some, {name: shortfall[name][works] for name in ("droop", "bump")})
    return Front(
        costs, np.stack([some.helper, some.tender, some.main], axis=-1), np.ones(len(some.main), dtype=np.int64)
    )
