"""Choose springs: every single spring and every tender over main that fits one axle, in all its load cases.

Preload and ring come in closed form and are then rounded to what the hardware can be set to.
Hard limits reject, each with a count and the first reason; documented weights rank the rest.
Both coil-overs of an axle are alike, so the search runs on the mean load of left and right.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.job.coilover import Coilover, ride_frequency
from calc.spring._stack_curve import StackCurve, preload_for, ring_gap_for, ring_place
from calc.tables import Springs
from calc.units import INCH

CHUNK = 32_768
KEPT = 12
NEAR = 3
_ROUNDS = 6


@dataclass(frozen=True, kw_only=True)
class CaseLoad:
    """What one spring side carries in one load case: the mean of left and right."""

    name: str
    label: str
    support_load: float
    sprung_mass: float


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """What the rig should do, in its reference load case; travel must be left in every case."""

    frequency: tuple[float, float]
    frequency_past_crossover: tuple[float, float] | None
    crossover_above_ride: float | None
    bump: float
    droop: float


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Hard limits; they decide the answer, so they are printed. Defaults are common practice, without a source."""

    preload_floor: float = 0.375 * INCH
    adjuster_reserve: float = 0.25 * INCH
    tender_left: float = 0.375 * INCH
    main_left: float = 0.5 * INCH
    bore_tolerance: float = 0.02 * INCH
    ring_height: float = 1.25 * INCH


@dataclass(frozen=True, kw_only=True)
class Weights:
    """How much each wish counts in the rank; a lower sum is better."""

    ride_frequency: float = 1.0
    frequency_past_crossover: float = 1.0
    travel: float = 1.0
    bind: float = 0.5
    adjuster: float = 0.25
    price: float = 0.25
    stock: float = 0.5


@dataclass(frozen=True, kw_only=True)
class Hardware:
    """What the springs must fit: lengths in SI."""

    seat_space: float
    divider_thickness: float
    adjuster_range: float
    adjuster_step: float
    spring_inside_diameter: float
    ring_step: float = INCH / 16


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One axle's search."""

    axle: str
    coilover: Coilover
    hardware: Hardware
    tire_rate: float
    cases: tuple[CaseLoad, ...]
    reference: int
    wishes: Wishes
    limits: Limits = field(default_factory=Limits)
    weights: Weights = field(default_factory=Weights)


# The hard limits in the order in which they are counted. Each gives its shortfall: above 0 it is broken.
REASONS: Mapping[str, str] = {
    "stiff_tender": "The tender is stiffer than the main",
    "too_long": "Too long: with the adjuster backed off the rig stands too high",
    "too_short": "Too short: the adjuster cannot reach the least preload",
    "ride_frequency": "Ride frequency outside what is wanted",
    "no_crossover": "A single spring has no crossover",
    "frequency_past_crossover": "Frequency past the crossover outside what is wanted",
    "droop": "Less droop left than wanted, in some load case",
    "bump": "Less bump left than wanted, in some load case",
    "ring_at_rest": "Past the crossover while standing, in some load case",
    "ring_room": "The ring and its nut do not fit inside the shortened tender",
    "ring_unreached": "The ring is not reached before full bump",
    "tender_bind": "Tender binds before the ring",
    "main_bind": "Main binds before full bump",
}

# What a shortfall is measured against when misses of different limits are compared.
_SCALE = dict.fromkeys(REASONS, 1.0 * INCH) | {
    "ride_frequency": 0.1,
    "frequency_past_crossover": 0.1,
    "no_crossover": 1e-9,
    "stiff_tender": 1e-9,
}

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class SpringSet:
    """One set with its settings and what it does: indexes into the list, SI values, one entry per load case."""

    tender: int | None
    main: int
    score: float
    preload: float
    adjuster: float
    ring_gap: float | None
    ring_below_adjuster: float | None
    crossover_travel: float | None
    ride_travel: tuple[float, ...]
    ride_frequency: tuple[float, ...]
    frequency_past_crossover: float | None
    axial_load: tuple[float, ...]
    tender_left: float | None
    main_left: float
    shortfall: Mapping[str, float]

    def broken(self) -> tuple[str, ...]:
        """Return the limits that the set breaks, in order."""
        return tuple(name for name in REASONS if self.shortfall[name] > 0)


@dataclass(frozen=True, kw_only=True)
class Choice:
    """The answer of a search."""

    problem: Problem
    springs: Springs
    fitting: int
    tried: int
    working: int
    ranked: tuple[SpringSet, ...]
    rejected: Mapping[str, int]
    near: tuple[SpringSet, ...]


@dataclass(frozen=True)
class _Batch:
    """Arrays for one chunk of sets."""

    tender: NDArray[np.int64]
    main: NDArray[np.int64]
    values: dict[str, Any]
    shortfall: dict[str, FloatArray]
    score: FloatArray


def choose(problem: Problem, springs: Springs) -> Choice:
    """Return the ranked sets of one axle. For a page, `slices` does the same in small parts."""
    answer: Choice | None = None
    for part in slices(problem, springs):
        if isinstance(part, Choice):
            answer = part
    if answer is None:  # slices always ends with the answer
        raise RuntimeError("The search ended without an answer.")
    return answer


def judged(problem: Problem, springs: Springs, tender: int | None, main: int) -> SpringSet:
    """Return one set, given by its indexes into the list, set up and judged as the search does it."""
    indexes = np.array([-1 if tender is None else tender], dtype=np.int64), np.array([main], dtype=np.int64)
    return _set(evaluate(problem, springs, *indexes), 0)


def set_count(problem: Problem, springs: Springs) -> int:
    """Return how many sets a search goes through: every single and every pair of the springs whose bore fits."""
    count = len(_fitting(problem, springs))
    return count * (count + 1)


def slices(problem: Problem, springs: Springs) -> Iterator[tuple[int, int] | Choice]:
    """Search in chunks: yields (sets done, sets in all) after each and the answer last."""
    fitting = _fitting(problem, springs)
    count = len(fitting)
    total = count * (count + 1)
    kept: list[SpringSet] = []
    near: list[SpringSet] = []
    rejected = dict.fromkeys(REASONS, 0)
    working = 0
    for start in range(0, total, CHUNK):
        numbers = np.arange(start, min(start + CHUNK, total), dtype=np.int64)
        # Row 0 of the tenders stands for no tender: a single spring.
        tender = np.where(numbers // max(count, 1) == 0, -1, fitting[numbers // count - 1])
        batch = evaluate(problem, springs, tender, fitting[numbers % count])
        first = _first_reason(batch.shortfall)
        working += int(np.count_nonzero(first < 0))
        for index, name in enumerate(REASONS):
            rejected[name] += int(np.count_nonzero(first == index))
        kept = _best(kept + _sets(batch, _lowest(np.where(first < 0, batch.score, np.inf), KEPT)), springs)
        near = _nearest(near + _near_misses(batch), springs)
        yield min(start + CHUNK, total), total
    yield Choice(
        problem=problem,
        springs=springs,
        fitting=count,
        tried=total,
        working=working,
        ranked=tuple(kept),
        rejected=rejected,
        near=tuple(near),
    )


def _fitting(problem: Problem, springs: Springs) -> NDArray[np.int64]:
    bore = np.abs(springs.inside_diameter - problem.hardware.spring_inside_diameter) <= problem.limits.bore_tolerance
    known = springs.known.get("inside_diameter")
    return np.flatnonzero(bore if known is None else bore | ~known).astype(np.int64)


def evaluate(problem: Problem, springs: Springs, tender: NDArray[np.int64], main: NDArray[np.int64]) -> _Batch:
    """Set up and judge sets given by index; a tender of -1 is none. All limits are computed for every set."""
    single = tender < 0
    tender_rate = np.where(single, np.inf, springs.rate[tender])
    tender_length = np.where(single, 0.0, springs.free_length[tender])
    tender_stroke = np.where(single, np.inf, tender_length - springs.solid_length[tender])
    main_rate, main_length = springs.rate[main], springs.free_length[main]
    main_stroke = main_length - springs.solid_length[main]
    divider = np.where(single, 0.0, problem.hardware.divider_thickness)
    least = tender_length + main_length + divider - problem.hardware.seat_space

    limits, wishes, coilover = problem.limits, problem.wishes, problem.coilover
    lowest = np.maximum(least, limits.preload_floor)
    highest = least + problem.hardware.adjuster_range - limits.adjuster_reserve
    preload = _balanced_preload(problem, tender_rate, main_rate, lowest, np.maximum(highest, lowest))
    preload = _in_turns(preload, problem.hardware.adjuster_step, lowest, highest)
    adjuster = preload - least

    free = StackCurve(tender_rate=tender_rate, main_rate=main_rate, preload=preload)
    reference = problem.cases[problem.reference]
    ride = coilover.ride_travel(free, reference.support_load, np.full(np.shape(main_rate), coilover.bump_limit / 2))
    ring_gap, below = _ring(problem, tender_rate, main_rate, tender_length, preload, adjuster, ride, single)
    stack = StackCurve(
        tender_rate=tender_rate,
        main_rate=main_rate,
        preload=preload,
        ring_gap=ring_gap,
        tender_stroke=tender_stroke,
        main_stroke=main_stroke,
    )
    crossover = stack.crossover_travel
    travels = [coilover.ride_travel(stack, case.support_load, ride) for case in problem.cases]
    travels = [np.where(np.isfinite(travel), travel, coilover.bump_limit) for travel in travels]
    frequencies = [
        _frequency_at(problem, stack, travel, case) for travel, case in zip(travels, problem.cases, strict=True)
    ]
    past = _frequency_past(problem, main_rate, stack, crossover, reference)
    low, high = np.minimum.reduce(travels), np.maximum.reduce(travels)
    at_crossover = np.where(single, 0.0, np.minimum(crossover, coilover.bump_limit))
    tender_left = np.where(single, np.inf, stack.tender_left(at_crossover))
    main_left = stack.main_left(coilover.bump_limit)
    shortened = tender_length - np.where(single, 0.0, stack.tender_compression(at_crossover))

    wants_crossover = wishes.crossover_above_ride is not None
    shortfall = {
        "stiff_tender": np.where(single, -1.0, tender_rate / main_rate - 1.0),
        "too_long": least - _most_preload(problem, tender_rate, main_rate),
        "too_short": limits.preload_floor - highest,
        "ride_frequency": _outside(frequencies[problem.reference], wishes.frequency),
        "no_crossover": np.where(single, 1.0 if wants_crossover else -1.0, -1.0),
        "frequency_past_crossover": (
            np.where(single, -1.0, _outside(past, wishes.frequency_past_crossover))
            if wishes.frequency_past_crossover is not None
            else np.full(np.shape(main_rate), -1.0)
        ),
        "droop": wishes.droop - (low - coilover.strap_travel),
        "bump": wishes.bump - (coilover.bump_limit - high),
        "ring_at_rest": np.where(single, -1.0, high - crossover),
        "ring_room": np.where(single, -1.0, limits.ring_height - shortened),
        "ring_unreached": np.where(single | np.isinf(crossover), -1.0, crossover - coilover.bump_limit),
        "tender_bind": np.where(single, -1.0, limits.tender_left - tender_left),
        "main_bind": limits.main_left - main_left,
    }
    shortfall = {name: np.where(np.isnan(value), np.inf, value) for name, value in shortfall.items()}
    values = {
        "preload": preload,
        "adjuster": adjuster,
        "ring_gap": ring_gap,
        "ring_below_adjuster": below,
        "crossover_travel": crossover,
        "ride_travel": np.stack(travels),
        "ride_frequency": np.stack(frequencies),
        "frequency_past_crossover": past,
        "axial_load": np.stack(
            [
                np.asarray(coilover.axial_load(case.support_load, np.clip(travel, 0.0, coilover.bump_limit)))
                for travel, case in zip(travels, problem.cases, strict=True)
            ]
        ),
        "tender_left": tender_left,
        "main_left": main_left,
    }
    score = _score(problem, springs, tender, main, values, shortfall, highest - preload)
    return _Batch(tender=tender, main=main, values=values, shortfall=shortfall, score=score)


def _balanced_preload(
    problem: Problem, tender_rate: FloatArray, main_rate: FloatArray, lowest: FloatArray, highest: FloatArray
) -> Any:
    """The preload that leaves as much spare bump in the heaviest case as spare droop in the lightest one."""
    loads = [case.support_load for case in problem.cases]
    coilover, wishes = problem.coilover, problem.wishes
    wanted = coilover.bump_limit + coilover.strap_travel - wishes.bump + wishes.droop
    preload = lowest
    light = heavy = np.full(np.shape(main_rate), wanted / 2)
    for _ in range(_ROUNDS):
        stack = StackCurve(tender_rate=tender_rate, main_rate=main_rate, preload=preload)
        light = coilover.ride_travel(stack, min(loads), light)
        heavy = coilover.ride_travel(stack, max(loads), heavy)
        preload = np.clip(preload + (light + heavy - wanted) / 2, lowest, highest)
    return preload


def _most_preload(problem: Problem, tender_rate: FloatArray, main_rate: FloatArray) -> Any:
    """The preload that leaves just the wanted droop in the lightest load case: with more the rig stands too high."""
    coilover = problem.coilover
    lightest = min(case.support_load for case in problem.cases)
    top = coilover.strap_travel + problem.wishes.droop
    load = coilover.axial_load(lightest, top) - coilover.gas_force(top)
    rate = StackCurve(tender_rate=tender_rate, main_rate=main_rate, preload=0.0).stack_rate
    return preload_for(ride_travel=top, spring_load=load, stack_rate=rate)


def _ring(
    problem: Problem,
    tender_rate: FloatArray,
    main_rate: FloatArray,
    tender_length: FloatArray,
    preload: FloatArray,
    adjuster: FloatArray,
    ride: FloatArray,
    single: NDArray[np.bool_],
) -> tuple[Any, Any]:
    """The ring for the wanted crossover: its gap, and its place below the backed-off adjuster, rounded to a tape."""
    if problem.wishes.crossover_above_ride is None:
        return np.full(np.shape(ride), np.inf), np.full(np.shape(ride), np.inf)
    safe_rate = np.where(single, 1.0, tender_rate)
    gap = ring_gap_for(
        crossover_travel=ride + problem.wishes.crossover_above_ride, tender_rate=safe_rate, main_rate=main_rate
    )
    compression = preload * main_rate / (safe_rate + main_rate)
    place = ring_place(
        adjuster_setting=adjuster, tender_free_length=tender_length, tender_compression=compression, ring_gap=gap
    )
    rounded = _rounded(place, problem.hardware.ring_step)
    return np.where(single, np.inf, gap + place - rounded), np.where(single, np.inf, rounded)


def _rounded(value: Any, step: float) -> Any:
    return np.rint(value / step) * step if step > 0 else value


def _in_turns(preload: Any, step: float, lowest: FloatArray, highest: FloatArray) -> Any:
    """Round a preload to half turns, counted as a builder counts them: from where the springs just stop rattling.

    Rounding may neither fall below the least preload nor, where a lower half turn will do, spend the reserve.
    """
    rounded = _rounded(preload, step)
    rounded = np.where(rounded < lowest - 1e-12, rounded + step, rounded)
    lower = rounded - step
    return np.where((rounded > highest + 1e-12) & (lower >= lowest - 1e-12), lower, rounded)


def _frequency_at(problem: Problem, stack: StackCurve, travel: FloatArray, case: CaseLoad) -> Any:
    inside = np.clip(travel, 0.0, problem.coilover.bump_limit)
    rate = stack.rate(inside)
    force = problem.coilover.axial_load(case.support_load, inside)
    wheel = problem.coilover.wheel_rate(np.where(np.isfinite(rate), rate, 0.0), force, inside)
    return ride_frequency(wheel, problem.tire_rate, case.sprung_mass)


def _frequency_past(
    problem: Problem, main_rate: FloatArray, stack: StackCurve, crossover: FloatArray, case: CaseLoad
) -> Any:
    """The frequency just past the crossover, with the load that is carried there."""
    travel = np.where(np.isfinite(crossover), np.clip(crossover, 0.0, problem.coilover.bump_limit), 0.0)
    force = stack.force(travel) + problem.coilover.gas_force(travel)
    wheel = problem.coilover.wheel_rate(main_rate, np.where(np.isfinite(force), force, 0.0), travel)
    return ride_frequency(wheel, problem.tire_rate, case.sprung_mass)


def _outside(value: Any, wanted: tuple[float, float]) -> Any:
    return np.maximum(wanted[0] - value, value - wanted[1])


# --- ranking ------------------------------------------------------------------------------------------------------------


def _score(
    problem: Problem,
    springs: Springs,
    tender: NDArray[np.int64],
    main: NDArray[np.int64],
    values: Mapping[str, Any],
    shortfall: Mapping[str, FloatArray],
    reserve: FloatArray,
) -> Any:
    weights, wishes = problem.weights, problem.wishes
    score = weights.ride_frequency * _off_middle(values["ride_frequency"][problem.reference], wishes.frequency)
    if wishes.frequency_past_crossover is not None:
        past = _off_middle(values["frequency_past_crossover"], wishes.frequency_past_crossover)
        score = score + weights.frequency_past_crossover * np.where(tender < 0, 1.0, past)
    spare = np.minimum(-shortfall["droop"], -shortfall["bump"])
    bind = np.minimum(-shortfall["tender_bind"], -shortfall["main_bind"])
    score = score + weights.travel * _lacking(spare, 1.0 * INCH)
    score = score + weights.bind * _lacking(np.where(tender < 0, -shortfall["main_bind"], bind), 0.5 * INCH)
    score = score + weights.adjuster * _lacking(np.minimum(values["adjuster"], reserve), 0.5 * INCH)
    return (
        score
        + weights.price * _price_share(springs, tender, main)
        + weights.stock * _out_of_stock(springs, tender, main)
    )


def _off_middle(value: Any, wanted: tuple[float, float]) -> Any:
    half = max((wanted[1] - wanted[0]) / 2, 1e-6)
    return ((value - (wanted[0] + wanted[1]) / 2) / half) ** 2


def _lacking(spare: Any, enough: float) -> Any:
    return np.maximum(0.0, 1.0 - spare / enough) ** 2


def _price_share(springs: Springs, tender: NDArray[np.int64], main: NDArray[np.int64]) -> Any:
    """The set's price between the cheapest and the dearest, 0 to 1; 0 where the list names no prices."""
    known = springs.known.get("price")
    if known is not None and not np.all(known):
        return np.zeros(np.shape(main))
    low, high = float(np.min(springs.price)), float(np.max(springs.price))
    spread = max(2 * high - low, 1e-9)
    return (springs.price[main] + np.where(tender < 0, 0.0, springs.price[tender]) - low) / spread


def _out_of_stock(springs: Springs, tender: NDArray[np.int64], main: NDArray[np.int64]) -> Any:
    """1 where fewer than two of a spring are in stock (four where tender and main are the same part)."""
    known = springs.known.get("stock")
    if known is not None and not np.all(known):
        return np.zeros(np.shape(main))
    needed = np.where(tender == main, 4, 2)
    short = (springs.stock[main] < needed) | ((tender >= 0) & (springs.stock[tender] < needed))
    return short.astype(np.float64)


def _first_reason(shortfall: Mapping[str, FloatArray]) -> NDArray[np.int64]:
    broken = np.stack([shortfall[name] > 0 for name in REASONS])
    first: NDArray[np.int64] = np.where(np.any(broken, axis=0), np.argmax(broken, axis=0), -1).astype(np.int64)
    return first


def _lowest(score: FloatArray, most: int) -> NDArray[np.int64]:
    """The places of the lowest scores, with every place that ties with the last of them."""
    finite = np.flatnonzero(np.isfinite(score)).astype(np.int64)
    if len(finite) <= most:
        return finite
    last = np.partition(score[finite], most - 1)[most - 1]
    within: NDArray[np.int64] = finite[score[finite] <= last * (1 + 1e-8) + 1e-12]
    return within


def _near_misses(batch: _Batch) -> list[SpringSet]:
    broken = np.stack([batch.shortfall[name] > 0 for name in REASONS])
    one = np.count_nonzero(broken, axis=0) == 1
    miss = np.zeros(len(batch.main))
    for index, name in enumerate(REASONS):
        miss = np.where(one & broken[index], batch.shortfall[name] / _SCALE[name], miss)
    return _sets(batch, _lowest(np.where(one & (miss < 1.0), miss, np.inf), NEAR))


def _sets(batch: _Batch, places: NDArray[np.int64]) -> list[SpringSet]:
    return [_set(batch, int(place)) for place in places]


def _set(batch: _Batch, place: int) -> SpringSet:
    def one(name: str) -> float:
        return float(batch.values[name][place])

    def maybe(name: str) -> float | None:
        return one(name) if np.isfinite(one(name)) else None

    def each(name: str) -> tuple[float, ...]:
        return tuple(float(value) for value in batch.values[name][:, place])

    tender = int(batch.tender[place])
    return SpringSet(
        tender=None if tender < 0 else tender,
        main=int(batch.main[place]),
        score=float(batch.score[place]),
        preload=one("preload"),
        adjuster=one("adjuster"),
        ring_gap=maybe("ring_gap"),
        ring_below_adjuster=maybe("ring_below_adjuster"),
        crossover_travel=maybe("crossover_travel"),
        ride_travel=each("ride_travel"),
        ride_frequency=each("ride_frequency"),
        frequency_past_crossover=one("frequency_past_crossover") if tender >= 0 else None,
        axial_load=each("axial_load"),
        tender_left=maybe("tender_left"),
        main_left=one("main_left"),
        shortfall={name: float(value[place]) for name, value in batch.shortfall.items()},
    )


def _rank_key(item: SpringSet, value: float, springs: Springs) -> tuple[float, str, str]:
    # Nine figures: equal sets may differ in their last bits from one machine to another, and must not swap ranks.
    rounded = float(f"{value:.8e}")
    return rounded, "" if item.tender is None else springs.part[item.tender], springs.part[item.main]


def _best(sets: Sequence[SpringSet], springs: Springs) -> list[SpringSet]:
    return sorted(sets, key=lambda item: _rank_key(item, item.score, springs))[:KEPT]


def miss(item: SpringSet) -> float:
    """Return how far a set with one broken limit misses it, measured so that different limits compare."""
    return max((value / _SCALE[name] for name, value in item.shortfall.items() if value > 0), default=0.0)


def _nearest(sets: Sequence[SpringSet], springs: Springs) -> list[SpringSet]:
    return sorted(sets, key=lambda item: _rank_key(item, miss(item), springs))[:NEAR]
