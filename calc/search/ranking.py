"""How sets that work are ranked, and how those that narrowly do not are told apart: documented weights, ties by part code."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.limits import FIXED, REASONS, SCALE
from calc.search.judging import FloatArray, IntArray, Sets
from calc.search.problem import HEIGHTS, Problem, SpringSet
from calc.tables import Springs
from calc.units import INCH

KEPT = 12
NEAR = 3


def score(problem: Problem, springs: Springs, sets: Sets, shortfall: Mapping[str, FloatArray]) -> Any:
    """Return how far each set is off what is wished, by the problem's weights: the lowest is best."""
    weights, wishes = problem.weights, problem.wishes
    tender, helped = sets.tender, sets.helper >= 0
    height = problem.coilover.extended_length - sets.reference_travel
    total = weights.ride_height * _off_middle(height, wishes.height.span)
    total = total + weights.ride_frequency * _off_middle(sets.reference_frequency, wishes.frequency)
    if wishes.frequency_past_crossover is not None:
        past = _off_middle(sets.frequency_past_crossover, wishes.frequency_past_crossover)
        total = total + weights.frequency_past_crossover * np.where(tender < 0, 1.0, past)
    low, high = wishes.step
    ratio = sets.main_rate / sets.stack_rate
    off = np.maximum(np.maximum(low - ratio, ratio - high), 0.0) / max((high - low) / 2, 1e-6)
    total = total + weights.step * np.where(np.isfinite(sets.ring_gap), off, 0.0) ** 2
    spare = np.minimum(-shortfall["droop"], -shortfall["bump"])
    bind = np.minimum(-shortfall["tender_bind"], -shortfall["main_bind"])
    total = total + weights.travel * _lacking(spare, 1.0 * INCH)
    total = total + weights.bind * _lacking(np.where(tender < 0, -shortfall["main_bind"], bind), 0.5 * INCH)
    reserve = sets.highest - sets.preload
    total = total + weights.adjuster * _lacking(np.minimum(sets.adjuster, reserve), 0.5 * INCH)
    total = total + weights.price * _price_share(springs, sets) + weights.stock * _out_of_stock(springs, sets)
    return np.where(helped, total + weights.helper, total)


def _off_middle(value: Any, wanted: tuple[float, float]) -> Any:
    half = max((wanted[1] - wanted[0]) / 2, 1e-6)
    return ((value - (wanted[0] + wanted[1]) / 2) / half) ** 2


def _lacking(spare: Any, enough: float) -> Any:
    return np.maximum(0.0, 1.0 - spare / enough) ** 2


def prices(springs: Springs, sets: Sets) -> FloatArray | None:
    """Return what each set's springs cost together, one of each; None where the list does not price every spring."""
    known = springs.known.get("price")
    if known is not None and not np.all(known):
        return None
    upper: FloatArray = np.where(sets.tender < 0, 0.0, springs.price[sets.tender])
    top: FloatArray = np.where(sets.helper < 0, 0.0, springs.price[sets.helper])
    return springs.price[sets.main] + upper + top


def _price_share(springs: Springs, sets: Sets) -> Any:
    """The set's price between the cheapest spring and the dearest pair, 0 to 1; 0 where the list names no prices."""
    price = prices(springs, sets)
    if price is None:
        return np.zeros(np.shape(sets.main))
    usual = springs.price[~springs.is_helper]
    low, high = float(np.min(usual)), float(np.max(usual))
    return (price - low) / max(2 * high - low, 1e-9)


def _out_of_stock(springs: Springs, sets: Sets) -> Any:
    """1 where fewer than two of a spring are in stock (four where tender and main are the same part)."""
    known = springs.known.get("stock")
    if known is not None and not np.all(known):
        return np.zeros(np.shape(sets.main))
    stock = springs.stock
    needed = np.where(sets.tender == sets.main, 4, 2)
    short = (stock[sets.main] < needed) | ((sets.tender >= 0) & (stock[sets.tender] < needed))
    short = short | ((sets.helper >= 0) & (stock[sets.helper] < 2))
    return short.astype(np.float64)


def code_ranks(springs: Springs) -> IntArray:
    """Return each spring's place in the order of the part codes, from 1; last stands 0, for none (index -1)."""
    order = {part: place for place, part in enumerate(sorted(set(springs.part)), start=1)}
    return np.array([*(order[part] for part in springs.part), 0], dtype=np.int64)


def lowest(values: FloatArray, most: int, sets: Sets, ranks: IntArray) -> IntArray:
    """Return the places of the lowest values, at most so many; equal ones go by part code, as in `rank_key`."""
    finite = np.flatnonzero(np.isfinite(values)).astype(np.int64)
    if len(finite) <= most:
        return finite
    last = np.partition(values[finite], most - 1)[most - 1]
    within: IntArray = finite[values[finite] <= last + np.abs(last) * 1e-8 + 1e-12]
    if len(within) <= most:
        return within
    # There may be no end of equal sets: only as many as can stand in the answer are looked at one by one.
    distinct, which = np.unique(values[within], return_inverse=True)
    rounded = np.array([nine_figures(float(value)) for value in distinct])[which]
    codes = [ranks[indexes[within]] for indexes in (sets.helper, sets.main, sets.tender)]
    sorted_: IntArray = within[np.lexsort((*codes, rounded))][:most]
    return sorted_


def only_broken(shortfall: Mapping[str, FloatArray]) -> NDArray[np.int64]:
    """Return, by its place in `REASONS`, the one limit that each set breaks; -1 where it breaks none or several."""
    shape = np.shape(next(iter(shortfall.values())))
    count, which = np.zeros(shape, dtype=np.int64), np.full(shape, -1, dtype=np.int64)
    for place, name in enumerate(REASONS):
        if name in shortfall:
            broken: NDArray[np.bool_] = shortfall[name] > 0
            count += broken
            which[broken] = place
    which[count != 1] = -1
    return which


def only_miss(shortfall: Mapping[str, FloatArray]) -> FloatArray:
    """Return how far each set with one broken limit misses it; infinite for all that are no near miss."""
    which = only_broken(shortfall)
    missed = np.full(np.shape(which), np.inf)
    for place, name in enumerate(REASONS):
        if name in shortfall:
            mine = which == place
            missed[mine] = shortfall[name][mine] / SCALE[name]
    return np.where(missed < 1.0, missed, np.inf)


def best(sets: Sequence[SpringSet], springs: Springs) -> list[SpringSet]:
    """Return the best sets, at most `KEPT`."""
    return sorted(sets, key=lambda item: rank_key(item, item.score, springs))[:KEPT]


def miss(item: SpringSet) -> float:
    """Return how far a set with one broken limit misses it, measured so that different limits compare."""
    return max((value / SCALE[name] for name, value in item.shortfall.items() if value > 0), default=0.0)


def nearest(sets: Sequence[SpringSet], springs: Springs) -> list[SpringSet]:
    """Return the sets that miss least, at most `NEAR`."""
    return sorted(sets, key=lambda item: rank_key(item, miss(item), springs))[:NEAR]


def nine_figures(value: float) -> float:
    """Return a value rounded: equal sets may differ in their last bits from one machine to another, and must not swap ranks.

    >>> nine_figures(0.12345678949)
    0.123456789
    """
    return float(f"{value:.8e}")


def rank_key(item: SpringSet, value: float, springs: Springs) -> tuple[float, str, str, str]:
    """Return what a set is sorted by: a value, then the part codes of its springs."""
    tender, helper = ("" if index is None else springs.part[index] for index in (item.tender, item.helper))
    return nine_figures(value), tender, springs.part[item.main], helper


def first_reason(shortfall: Mapping[str, FloatArray]) -> NDArray[np.int64]:
    """Return, by its place in `REASONS`, the first limit that each set breaks; -1 where it breaks none."""
    first: Any = np.int64(-1)
    for index, name in reversed(list(enumerate(REASONS))):
        if name in shortfall:
            first = np.where(shortfall[name] > 0, np.int64(index), first)
    return np.asarray(first)


# --- sets that were judged to the end ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Batch:
    """Sets that were judged to the end."""

    sets: Sets
    shortfall: dict[str, FloatArray]
    score: FloatArray


def batch_of(problem: Problem, springs: Springs, sets: Sets, shortfall: Mapping[str, FloatArray]) -> Batch:
    """Return sets that were judged by every limit, with their score and how they stand against the wanted height."""
    whole = {name: np.where(np.isnan(value), np.inf, value) for name, value in shortfall.items()}
    fixed = dict(problem.fixed)
    sets = sets.having(against_height=_against_height(problem, sets))
    whole |= {limit.name: np.full(np.shape(sets.main), fixed.get(limit.name, -1.0)) for limit in FIXED}
    return Batch(sets=sets, shortfall=whole, score=score(problem, springs, sets, whole))


def sets_of(batch: Batch, places: IntArray) -> list[SpringSet]:
    """Return some sets by themselves."""
    return [set_of(batch, int(place)) for place in places]


def set_of(batch: Batch, place: int) -> SpringSet:
    """Return one set by itself, with its settings and what it does."""

    def one(name: str) -> float:
        return float(getattr(batch.sets, name)[place])

    def maybe(name: str) -> float | None:
        return one(name) if np.isfinite(one(name)) else None

    def each(name: str) -> tuple[float, ...]:
        return tuple(float(value) for value in getattr(batch.sets, name)[:, place])

    def index(indexes: IntArray) -> int | None:
        return int(indexes[place]) if indexes[place] >= 0 else None

    tender = index(batch.sets.tender)
    return SpringSet(
        helper=index(batch.sets.helper),
        tender=tender,
        main=int(batch.sets.main[place]),
        score=float(batch.score[place]),
        preload=one("preload"),
        wanted_preload=one("wanted_preload"),
        against_height=list(HEIGHTS)[int(batch.sets.against_height[place])],
        adjuster=one("adjuster"),
        ring_gap=maybe("ring_gap"),
        ring_below_adjuster=maybe("ring_below_adjuster"),
        crossover_travel=maybe("crossover_travel"),
        ride_travel=each("ride_travel"),
        ride_frequency=each("ride_frequency"),
        frequency_past_crossover=one("frequency_past_crossover") if tender is not None else None,
        axial_load=each("axial_load"),
        tender_left=maybe("tender_left"),
        main_left=one("main_left"),
        step_ratio=one("main_rate") / one("stack_rate") if maybe("ring_gap") is not None else None,
        helper_closed_travel=maybe("helper_closed_travel"),
        shortfall={name: float(value[place]) for name, value in batch.shortfall.items()},
    )


def _against_height(problem: Problem, sets: Sets) -> IntArray:
    """Return, by its place in `HEIGHTS`, how each set stands against the wanted height, and what keeps it from there."""
    low, high = problem.wishes.height.span
    length = problem.coilover.extended_length - sets.reference_travel
    step = problem.hardware.adjuster_step
    wanted, turns = np.rint(sets.wanted_preload / step), np.rint(sets.preload / step)
    by_floor = sets.least <= problem.limits.preload_floor
    groups = {
        "met": (low <= length) & (length <= high),
        "run_down": (wanted > turns) & (turns >= sets.last_turn),
        "backed_off": (wanted < turns) & (turns <= sets.first_turn) & ~by_floor,
        "floor": (wanted < turns) & (turns <= sets.first_turn) & by_floor,
    }
    names = list(HEIGHTS)
    found: IntArray = np.select(
        list(groups.values()), [np.int64(names.index(name)) for name in groups], np.int64(names.index("limit"))
    ).astype(np.int64)
    return found
