"""How sure a choice of springs is: what is in doubt moved to first order, and in draws by chance that keep the kinks.

Every plus-minus is taken as twice a standard deviation of a normal spread. First order moves one number at a time to both
ends of its plus-minus and adds the moves as squares; it is right where nothing kinks.
The draws move everything together, seeded, through the functions that judge a search, at the settings that are ordered.
Each source has a stream of its own, so neither the order of a list nor what else is in doubt changes its draws.
"""

# Over 400 lines: first order and draws go through one judging, and what either says is held against the other.

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc import alive
from calc.certainty.sources import Array, Drawn, Moves, Source, drawn, set_numbers, sources
from calc.limits import AT_CORNERS, TRIED
from calc.memo import remembered
from calc.rig.rig import Rig
from calc.search.judging import Sets, at_ride, late, standing_numbers
from calc.search.problem import Problem, SpringSet
from calc.search.ranking import score
from calc.tables import Springs

SEED = 20_260
DRAWS = 1_000
SLICE = 250
SETS = 5
# A set is told apart from another when it is the better one in at least this share of the paired draws.
APART = 0.95
# Half of the plus-minus is a standard deviation.
_DEVIATION = 0.5
# An assumed value may be off by far more than a reading of its kind.
_ASSUMED = 10.0

# What may hold or not, in the order in which it is told.
RULES: Mapping[str, str] = {limit.name: limit.trial for limit in TRIED}


@dataclass(frozen=True, kw_only=True, eq=False)
class Judged:
    """One set in every draw: margins by rule (below 0 it does not hold), and what it does.

    `travel`, `frequency` and `sprung_mass` (on one spring) have one row for each load case.
    """

    margins: Mapping[str, Array]
    travel: Array
    frequency: Array
    past: Array | None
    score: Array
    sprung_mass: Array
    crossover: Array
    problem: Problem

    def beside(self, aside: Array) -> Judged:
        """Return the same with the corners judged, each as far from its axle's mean as `aside` says, for each load case."""
        corners = _corner_margin(self.problem, self.travel, self.crossover, aside)
        margins = {**self.margins, "corners": np.broadcast_to(corners, self.score.shape)}
        return replace(self, margins={name: margins[name] for name in RULES if name in margins})

    @cached_property
    def works(self) -> NDArray[np.bool_]:
        """In which draws everything holds."""
        held: NDArray[np.bool_] = np.logical_and.reduce([margin >= 0.0 for margin in self.margins.values()])
        return held


def judge(
    rig: Rig,
    found: Drawn,
    springs: Springs,
    sets: Sequence[SpringSet],
    moves: Moves,
    asides: Sequence[Array | None] = (),
) -> tuple[Judged, ...]:
    """Return what each of some sets does in every draw, at the settings that it has: all of them worked out together.

    `asides` hold, for each load case and side, how far that corner of a set stands from its axle's mean; it is kept.
    """
    every: dict[int, Judged] = {}
    for row in _rows(found, springs, sets, moves):
        with np.errstate(all="ignore"):
            told, more = late(found.problem, row.sets)
        shortfall = _known(row.shortfall | more)
        margins = _margins(rig, found, told, shortfall)
        scores = np.asarray(score(found.problem, springs, told, shortfall))
        masses = np.stack([np.broadcast_to(case.sprung_mass, scores.shape[-1]) for case in found.problem.cases])
        for number, place in enumerate(row.places):
            every[place] = Judged(
                margins={name: margins[name][number] for name in RULES if name in margins},
                travel=told.ride_travel[:, number],
                frequency=told.ride_frequency[:, number],
                past=None if sets[place].tender is None else told.frequency_past_crossover[number],
                score=scores[number],
                sprung_mass=masses,
                crossover=told.crossover_travel[number],
                problem=found.problem,
            )
    beside = [*asides, *([None] * (len(sets) - len(asides)))]
    return tuple(every[place] if aside is None else every[place].beside(aside) for place, aside in enumerate(beside))


@dataclass(frozen=True, kw_only=True, eq=False)
class _Rowed:
    """Some sets, a row of draws each, judged at ride; `places` are those that they have among all."""

    places: tuple[int, ...]
    sets: Sets
    shortfall: dict[str, Array]


def _rows(found: Drawn, springs: Springs, sets: Sequence[SpringSet], moves: Moves) -> Iterator[_Rowed]:
    """Yield the sets without a helper, and those with one: each goes by a curve of its own."""
    problem, count = found.problem, len(found.possible)
    for helped in (False, True):
        places = tuple(place for place, one in enumerate(sets) if (one.helper is not None) == helped)
        if not places:
            continue
        alive.beat()
        mine = [sets[place] for place in places]
        numbers = set_numbers(problem, springs, mine, moves, count)
        shape = (len(mine), count)

        def of(indexes: Sequence[int | None], shape: tuple[int, int] = shape) -> NDArray[np.int64]:
            column = np.array([-1 if index is None else index for index in indexes], dtype=np.int64)[:, None]
            return np.broadcast_to(column, shape)

        start = np.broadcast_to(np.array([one.ride_travel[problem.reference] for one in mine])[:, None], shape)
        rows = Sets(
            helper=of([one.helper for one in mine]),
            tender=of([one.tender for one in mine]),
            main=of([one.main for one in mine]),
            **numbers,
        )
        with np.errstate(all="ignore"):
            rows, shortfall = at_ride(problem, rows, start)
        yield _Rowed(places=places, sets=rows, shortfall=shortfall)


def _known(shortfall: Mapping[str, Array]) -> dict[str, Array]:
    return {name: np.where(np.isnan(value), np.inf, value) for name, value in shortfall.items()}


def _margins(rig: Rig, found: Drawn, sets: Sets, shortfall: Mapping[str, Array]) -> dict[str, Any]:
    """Return what each draw keeps of every limit that is checked, by the limit's name."""
    problem, hardware = found.problem, found.problem.hardware
    unchecked = {limit.name for limit in problem.unchecked()}
    numbers = {
        "preload_at_droop": sets.preload_at_droop,
        "adjuster_setting": sets.adjuster,
        # The thread is counted by turns from backed off, as `highest` does.
        "adjuster_left": hardware.adjuster_range - sets.adjuster,
        "least_adjuster_left": problem.limits.adjuster_reserve,
        "bump_spare": problem.coilover.extended_length - problem.coilover.bump_limit - found.collapsed_length,
        "droop_spare": problem.coilover.strap_travel,
        "axle_mass": found.axle_mass,
        "axle_rating": rig.get(f"{problem.axle}.axle_rating"),
    }
    failing = set(problem.blocked())
    margins: dict[str, Any] = {}
    for limit in TRIED:
        if limit.name in unchecked or limit.value == "corner_left":
            continue
        if limit.name in failing and limit.name != "rating":
            # Its finding fails as the numbers stand, whatever else is drawn.
            margins[limit.name] = -1.0
        elif limit.trial_at_least is not None or (limit.name not in shortfall and limit.value in numbers):
            margins[limit.name] = limit.trial_margin(numbers)
        elif limit.name in shortfall:
            margins[limit.name] = -shortfall[limit.name]
    shape = np.shape(sets.main)
    return {name: np.broadcast_to(margin, shape) for name, margin in margins.items()}


def _corner_margin(problem: Problem, travel: Array, crossover: Array, aside: Array) -> Array:
    corners = travel[:, None, :] + aside[:, :, None]
    high, low = corners.max(axis=(0, 1)), corners.min(axis=(0, 1))
    numbers = standing_numbers(problem, low, high, crossover)
    least: Array = np.minimum.reduce([limit.margin(numbers) for limit in AT_CORNERS])
    return least


# --- first order ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True, eq=False)
class Bar:
    """What a result becomes when one source stands at the low and at the high end of its plus-minus."""

    source: Source
    low: float
    high: float

    @property
    def size(self) -> float:
        """Half of what lies between both ends."""
        return abs(self.high - self.low) / 2


@dataclass(frozen=True, kw_only=True, eq=False)
class FirstOrder:
    """A set with each source moved by itself: first as it is, then each source up and down."""

    sources: tuple[Source, ...]
    judged: Judged

    def bars(self, values: Array) -> tuple[Bar, ...]:
        """Return what each source moves a result by, the largest first, without those that move nothing."""
        found = [
            Bar(source=source, low=float(values[2 + 2 * place]), high=float(values[1 + 2 * place]))
            for place, source in enumerate(self.sources)
        ]
        least = 1e-9 * max((bar.size for bar in found), default=0.0)
        return tuple(sorted((bar for bar in found if bar.size > least), key=lambda bar: (-bar.size, bar.source.name)))

    def plus_minus(self, values: Array) -> float:
        """Return the plus-minus (k = 2) of a result, right where nothing kinks inside it."""
        return float(np.sqrt(np.sum(((values[1::2] - values[2::2]) / 2) ** 2)))

    def beside(self, aside: Array | None) -> FirstOrder:
        """Return the same with the corners judged too, where it is known how they stand."""
        return self if aside is None else replace(self, judged=self.judged.beside(aside))

    def closest(self, chances: Mapping[str, float]) -> str:
        """Return the rule that is most in doubt: the least sure, and of those alike the one with the least to spare.

        What is to spare is counted in its own plus-minus; a rule that nothing moves is in no doubt.
        """

        def spare(rule: str) -> float:
            margin = self.judged.margins[rule]
            doubt = self.plus_minus(margin) if np.all(np.isfinite(margin)) else 0.0
            return float(margin[0]) / doubt if doubt > 0.0 else np.inf

        spares = {rule: spare(rule) for rule in self.judged.margins}
        moved = [rule for rule in RULES if spares.get(rule, np.inf) < np.inf]
        return min(moved, key=lambda rule: (chances.get(rule, 1.0), spares[rule]), default="")

    def narrowest(self, values: Array) -> tuple[Bar, float] | None:
        """Return what can be measured again that narrows a result most, with its share of the doubt.

        An assumed value goes before a reading that moves the result as much.
        """
        bars = self.bars(values)
        ours = [bar for bar in bars if bar.source.measurable]
        if not ours:
            return None
        best = max(ours, key=lambda bar: (bar.size * (_ASSUMED if bar.source.assumed else 1.0), bar.source.name))
        return best, best.size**2 / sum(bar.size**2 for bar in bars)


def first_order(rig: Rig, task: Problem, springs: Springs, chosen: SpringSet) -> FirstOrder:
    """Return what each source moves the chosen set by. The rig is one that has all that the search needs."""
    every = sources(rig, task.axle, springs, (chosen,))
    count = 1 + 2 * len(every)
    moves = {}
    for place, source in enumerate(every):
        move = np.zeros(count)
        move[1 + 2 * place : 3 + 2 * place] = 1.0, -1.0
        moves[source.name] = move
    found = drawn(rig, task, moves, count)
    return FirstOrder(sources=every, judged=judge(rig, found, springs, (chosen,), moves)[0])


# --- draws ----------------------------------------------------------------------------------------------------------------


def draws(names: Sequence[str], count: int, seed: int = SEED) -> dict[str, Array]:
    """Return the draws of some sources, in parts of their plus-minus.

    >>> one = draws(["scale", "front.lean"], 4)
    >>> bool((one["scale"] == draws(["scale"], 4)["scale"]).all())
    True
    """
    return {name: _stream(name, count, seed) for name in names}


@remembered(256)
def _stream(name: str, count: int, seed: int) -> Array:
    # Every edit of a rig asks for the same streams again.
    generator = np.random.default_rng([seed, int.from_bytes(name.encode(), "little")])
    drawn_: Array = _DEVIATION * generator.standard_normal(count)
    drawn_.flags.writeable = False
    return drawn_


@dataclass(frozen=True, kw_only=True, eq=False)
class SetDoubt:
    """How sure one ranked set is: chances by rule, that all of them hold, and that it is the best of those compared.

    `tied` says that the draws do not tell it apart from the first.
    """

    chosen: SpringSet
    chances: Mapping[str, float]
    works: float
    best: float
    tied: bool
    frequency: tuple[float, float]
    travel: tuple[float, float]

    @property
    def least(self) -> str:
        """The rule that is least sure."""
        return min(self.chances, key=lambda rule: self.chances[rule])


@dataclass(frozen=True, kw_only=True, eq=False)
class AxleDoubt:
    """How sure one axle's ranked sets are; `left_out` draws could not be and are not counted."""

    axle: str
    sets: tuple[SetDoubt, ...]
    counted: int
    left_out: int
    none_works: float

    def of(self, chosen: SpringSet | None) -> SetDoubt | None:
        """Return the doubt of one set, if it is among those compared."""
        return next((one for one in self.sets if chosen is not None and one.chosen is chosen), None)

    @property
    def tied(self) -> int:
        """How many sets, the first included, the draws do not tell apart."""
        return 1 + sum(one.tied for one in self.sets[1:])


@dataclass
class _Tally:
    """What the slices of draws gave, one entry for each."""

    judged: list[tuple[Judged, ...]] = field(default_factory=list)
    possible: list[NDArray[np.bool_]] = field(default_factory=list)


def study_slices(
    rig: Rig,
    task: Problem,
    springs: Springs,
    sets: Sequence[SpringSet],
    asides: Sequence[Array | None] = (),
    count: int = DRAWS,
    seed: int = SEED,
    size: int = SLICE,
    adds: Sequence[float] = (),
) -> Iterator[tuple[int, int] | AxleDoubt]:
    """Draw in small parts: yields (draws done, draws in all) after each and the answer last.

    `adds` is what each set's sum grows by with the other axle's set, which no draw moves.
    """
    every = sources(rig, task.axle, springs, sets)
    moves = draws([source.name for source in every], count, seed)
    tally = _Tally()
    for start in range(0, count, size):
        end = min(start + size, count)
        alive.beat()
        part = {name: move[start:end] for name, move in moves.items()}
        found = drawn(rig, task, part, end - start)
        tally.possible.append(found.possible)
        tally.judged.append(judge(rig, found, springs, sets, part, asides))
        yield end, count
    yield _told(task, sets, tally, [*adds, *([0.0] * (len(sets) - len(adds)))])


@dataclass(frozen=True, kw_only=True, eq=False)
class Trial:
    """One set in every draw: where it breaks no limit but, where its corners are apart, those of the corners.

    `alone` is the share of the draws that can be in which it works, both its corners standing as their mean.
    """

    alone: float
    holds: NDArray[np.bool_]
    possible: NDArray[np.bool_]
    travel: Array
    crossover: Array
    problem: Problem

    def beside(self, aside: Array) -> float:
        """Return that share with the corners judged, each as far from its axle's mean as `aside` says, for each load case."""
        margin = _corner_margin(self.problem, self.travel, self.crossover, aside)
        return _of_possible(self.holds & (margin >= 0.0), self.possible)


def _of_possible(held: NDArray[np.bool_], possible: NDArray[np.bool_]) -> float:
    counted = np.count_nonzero(possible)
    return float(np.count_nonzero(held & possible)) / float(counted) if counted else 1.0


def tries(
    rig: Rig,
    task: Problem,
    springs: Springs,
    sets: Sequence[SpringSet],
    count: int = DRAWS,
    seed: int = SEED,
) -> tuple[Trial, ...]:
    """Return in which draws each set works: all of them are worked out together, and no further than that takes."""
    every = sources(rig, task.axle, springs, sets)
    moves = draws([source.name for source in every], count, seed)
    found = drawn(rig, task, moves, count)
    tried: dict[int, Trial] = {}
    for row in _rows(found, springs, sets, moves):
        with np.errstate(all="ignore"):
            judged, more = late(found.problem, row.sets, limits_alone=True)
        margins = _margins(rig, found, judged, _known(row.shortfall | more))
        held = np.logical_and.reduce([margins[name] >= 0.0 for name in RULES if name in margins])
        for number, place in enumerate(row.places):
            tried[place] = Trial(
                alone=_of_possible(held[number], found.possible),
                holds=held[number],
                possible=found.possible,
                travel=judged.ride_travel[:, number],
                crossover=judged.crossover_travel[number],
                problem=found.problem,
            )
    return tuple(tried[place] for place in range(len(sets)))


def study(
    rig: Rig,
    task: Problem,
    springs: Springs,
    sets: Sequence[SpringSet],
    asides: Sequence[Array | None] = (),
    count: int = DRAWS,
    seed: int = SEED,
) -> AxleDoubt:
    """Return how sure some sets of one axle are. For a page, `study_slices` does the same in small parts."""
    answer = list(study_slices(rig, task, springs, sets, asides, count, seed, size=count))[-1]
    if not isinstance(answer, AxleDoubt):  # the slices always end with the answer
        raise RuntimeError("The trials ended without an answer.")
    return answer


def _told(task: Problem, sets: Sequence[SpringSet], tally: _Tally, adds: Sequence[float]) -> AxleDoubt:
    possible = np.concatenate(tally.possible)
    counted = int(np.count_nonzero(possible))

    def joined(place: int, of: str) -> Any:
        return np.concatenate([getattr(part[place], of) for part in tally.judged], axis=-1)[..., possible]

    places = range(len(sets))
    works = np.stack([joined(place, "works") for place in places])
    # What breaks a limit in a draw comes after everything that works in it. Price and stock count as in the search.
    scores = np.where(works, np.stack([joined(place, "score") + adds[place] for place in places]), np.inf)
    best = _shares_of_best(scores)
    found = []
    for place, one in enumerate(sets):
        margins = {
            rule: np.concatenate([part[place].margins[rule] for part in tally.judged])[possible]
            for rule in tally.judged[0][place].margins
        }
        found.append(
            SetDoubt(
                chosen=one,
                chances={rule: _share(margin >= 0.0) for rule, margin in margins.items()},
                works=_share(works[place]),
                best=best[place],
                tied=place > 0 and max(_better(scores[0], scores[place]), _better(scores[place], scores[0])) < APART,
                frequency=_middle(joined(place, "frequency")[task.reference]),
                travel=_middle(joined(place, "travel")[task.reference]),
            )
        )
    return AxleDoubt(
        axle=task.axle,
        sets=tuple(found),
        counted=counted,
        left_out=len(possible) - counted,
        none_works=_share(~np.any(works, axis=0)),
    )


def _share(held: NDArray[np.bool_]) -> float:
    return float(np.count_nonzero(held)) / max(len(held), 1)


def _middle(values: Array) -> tuple[float, float]:
    """The span that holds 95 of 100 draws."""
    if not len(values):
        return (0.0, 0.0)
    low, high = np.quantile(values, (0.025, 0.975))
    return float(low), float(high)


def _shares_of_best(scores: Array) -> tuple[float, ...]:
    """In which share of the draws each set is the best; equal ones share a draw, and where none works nobody wins."""
    if not scores.shape[1]:
        return tuple(0.0 for _ in scores)
    least = scores.min(axis=0)
    with np.errstate(invalid="ignore"):
        first = np.isfinite(scores) & (scores <= least * (1.0 + 1e-9) + 1e-12)
    won = first / np.maximum(first.sum(axis=0), 1)
    return tuple(float(share) for share in won.mean(axis=1))


def _better(one: Array, other: Array) -> float:
    """In which share of the paired draws one set is better than another; alike counts half."""
    if not len(one):
        return 0.5
    with np.errstate(invalid="ignore"):
        near = np.isfinite(one) & np.isfinite(other) & (np.abs(one - other) <= 1e-9 * np.abs(other))
    alike = (one == other) | near
    return float(np.mean(np.where(alike, 0.5, one < other)))
