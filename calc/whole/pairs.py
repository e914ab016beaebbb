"""Which front set goes with which rear set: every pair of the ranked sets, the whole rig solved on each.

A pair's sum is both sets' own sums, what the chance that each works counts (`chances.py`), and, by their weights, how far
the nose stands up or down in the load case of the wishes, how far the cross weight is off, and how far the rear's
frequency over the front's is off what a wanted road speed asks for.
A pair in which the whole rig contradicts either set, in any load case, is none. The best pair is the order: each axle's
sets are ranked beside the other axle's set of that pair, so that the first of both lists are that pair.
"""

# Over 400 lines: each term of a pair's sum is judged, ranked and told in words beside the others.

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import heapify, heappop, heappush
from typing import Any

import numpy as np

from calc import vocabulary
from calc.certainty.chances import Chances, by_chance, chances, in_order
from calc.errors import Needs
from calc.quantity import Display
from calc.ride._rest import Rest
from calc.ride.pitch_bounce import REAR_OVER_FRONT
from calc.rig import rank_weights
from calc.rig.axle import stack_of
from calc.rig.entries import AXLES, CORNERS
from calc.rig.height import read_length
from calc.rig.rig import Rig
from calc.search.problem import Choice, PairWeights, Problem, SetCode, SpringSet
from calc.search.ranking import rank_key
from calc.tables import Springs
from calc.units import INCH
from calc.whole.at_rest import of_corners
from calc.whole.on_chosen_springs import EVEN_CROSS
from calc.whole.solved import Solved, solved
from calc.whole.whole_rig_check import Beside, Resolved, keeping, sorted_out

# The rear meets each bump later and has to be quicker to catch up: as the step of pitch and bounce judges it.
WANTED_RATIO = REAR_OVER_FRONT
# What counts as much as the end of that range: an inch of nose, one hundredth of the whole weight on a diagonal.
NOSE, CROSS = 1.0 * INCH, 0.01
# A nose within what ride heights are known to counts nothing: what it would tell apart is noise. Common practice, no source.
LEVEL_ENOUGH = INCH / 4
# So late after the front, counted in its cycles, no frequency of the rear makes up for it.
_MOST_LATE = 0.5
_SHOWN = 5
_MOST_ROUNDS = 3


@dataclass(frozen=True, kw_only=True, eq=False)
class Pair:
    """A front and a rear set with what they do together; nose and cross weight are in the load case of the wishes.

    `frequency_ratios` has the rear's ride frequency over the front's in each load case. `nose` is how far the frame's
    front stands higher than its rear, against what the wanted ride heights make of it; None where no damper length was
    read with the lean, from which the frame's height counts.
    `works` are the chances of front and rear. `broken` names the axles whose set the whole rig contradicts.
    """

    front: SpringSet
    rear: SpringSet
    score: float
    frequency_ratios: tuple[float, ...]
    nose: float | None
    cross_share: float
    works: tuple[float, float]
    # What of the sum is neither set's own nor a chance: what they do together.
    adds: float
    broken: tuple[str, ...]

    @property
    def sets(self) -> tuple[SpringSet, SpringSet]:
        """Both sets, front and rear."""
        return self.front, self.rear


@dataclass(frozen=True, kw_only=True, eq=False)
class Pairs:
    """The pairs that stand, best first and at most a few of them; the pair in use; how many were tried and stand.

    The pair in use is the best one, where the reader has chosen no set; else the best one of those with that set.
    `ratio_counts` says whether the frequencies front to rear count in the rank, and `wanted_ratio` what the wanted road
    speed asks of them in the load case of the wishes.
    """

    ranked: tuple[Pair, ...]
    used: Pair
    tried: int
    standing: int
    wanted_cross: float
    cases: tuple[str, ...]
    ratio_counts: bool
    road_speed: float | None
    wanted_ratio: float | None

    @property
    def best(self) -> Pair | None:
        """The pair that is recommended."""
        return self.ranked[0] if self.ranked else None

    @property
    def own(self) -> bool:
        """Whether the reader's choice is another pair than the recommended one."""
        return self.best is not None and self.best.sets != self.used.sets


@dataclass(frozen=True, kw_only=True, eq=False)
class Resolution:
    """Each axle's search as the whole rig leaves it, the rig solved on all pairs, and the pairs: None while it cannot be."""

    axles: Mapping[str, Resolved]
    together: Solved | None = None
    pairs: Pairs | None = None


def resolve(
    rig: Rig,
    springs: Springs,
    problems: Mapping[str, Problem],
    choices: Mapping[str, Choice | None],
    picks: Mapping[str, SpringSet | None] | None = None,
) -> Resolution:
    """Return each axle's search in the order of the pairs, without the sets that the whole rig contradicts.

    The rig is one that `completed` gave; `picks` are the sets that the reader has chosen. Each axle's sets are judged and
    ranked beside the other axle's set that is in use, in every load case. Nothing drops while something that the whole rig
    needs is missing.
    """
    own = {axle: picked for axle, picked in (picks or {}).items() if picked is not None}
    tried: dict[str, Chances] = {}
    plain: dict[str, Resolved] = {}
    for axle in AXLES:
        choice, problem = choices.get(axle), problems.get(axle)
        if choice is not None and choice.ranked and problem is not None:
            tried[axle] = chances(rig, problem, springs, _with(choice.ranked, own.get(axle)))
            choice = by_chance(choice, tried[axle], springs)
        placed = {} if choice is None or axle not in tried else _alone(choice, tried[axle])
        plain[axle] = Resolved(choice=choice, placed=placed)
    front, rear = (plain[axle].choice for axle in AXLES)
    if front is None or rear is None or len(tried) < len(AXLES):
        return Resolution(axles=plain)
    try:
        together = solved(rig, springs, front, rear)
    except Needs:
        return Resolution(axles=plain)
    grid = _Grid(
        rig=rig,
        springs=springs,
        problems=(problems["front"], problems["rear"]),
        chances=(tried["front"], tried["rear"]),
        together=together,
    )
    every = grid.judged([(one, other) for one in front.ranked for other in rear.ranked])
    ranked = every.best(_SHOWN)
    used = ranked[0] if ranked else every.pair(0)
    if own:
        used = grid.with_own(own, front, rear)
    pairs = Pairs(
        ranked=ranked,
        used=used,
        tried=len(every.sets),
        standing=int(np.count_nonzero(every.stands)),
        wanted_cross=grid.cross,
        cases=tuple(case.label for case in together.ready.cases),
        ratio_counts=grid.weights.frequency_ratio > 0.0,
        road_speed=grid.road_speed,
        wanted_ratio=None
        if grid.road_speed is None
        else float(grid.settling(used.front.ride_frequency[grid.problems[0].reference])),
    )
    axles = grid.beside(used, front, rear) if ranked or own else grid.rounds(front, rear)
    return Resolution(axles=axles, together=together, pairs=pairs)


def settling_ratio(front: Any, wheelbase: float, speed: float) -> Any:
    """Return the rear's frequency over the front's at which both ends of a rig end their first cycle after a bump together.

    The rear meets the bump later by the wheelbase over the speed, and its cycle is shorter by as much: a derivation, from
    Olley's finding (from memory) that the rear is to be the quicker end at road speed.

    >>> round(float(settling_ratio(1.1, 2.85, 27.0)), 3)
    1.131
    """
    return 1.0 / (1.0 - np.minimum(wheelbase * front / speed, _MOST_LATE))


def _alone(choice: Choice, found: Chances) -> Mapping[SetCode, Beside]:
    return {one.code(): Beside(works=found.works(one), adds=0.0) for one in choice.ranked}


def _with(ranked: Sequence[SpringSet], own: SpringSet | None) -> tuple[SpringSet, ...]:
    """Return the ranked sets, and the reader's own where it is another."""
    return tuple(ranked) if own is None or any(own is one for one in ranked) else (*ranked, own)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Grid:
    """What pairs are judged by."""

    rig: Rig
    springs: Springs
    problems: tuple[Problem, Problem]
    chances: tuple[Chances, Chances]
    together: Solved

    @property
    def cross(self) -> float:
        return float(self.rig.get("wanted_cross_share") or EVEN_CROSS)

    @property
    def weights(self) -> PairWeights:
        return rank_weights.pair_weights(self.rig.ranking(), road=self.road_speed is not None)

    @property
    def road_speed(self) -> float | None:
        return None if (speed := self.rig.get("wanted_road_speed")) is None else float(speed)

    def settling(self, front: Any) -> Any:
        """Return the rear's frequency over the front's at which both ends end their first cycle together."""
        return settling_ratio(front, float(self.rig.get("wheelbase")), self.road_speed or math.inf)

    def rest(self, sets: Sequence[tuple[SpringSet, SpringSet]]) -> Rest:
        """Return the whole rig on some pairs, in all load cases of each."""
        known = self.together.on(*sets)
        if known is not None:
            return known
        stacks = {id(one): stack_of(self.springs, one) for pair in sets for one in pair}
        corners = [[stacks[id(one)] for one in pair for _ in range(2)] for pair in sets]
        return self.together.ready.solve(of_corners(*corners))

    def judged(self, sets: Sequence[tuple[SpringSet, SpringSet]]) -> _Judged:
        """Return some pairs, the whole rig solved on each, with their sums but for the chances at the corners."""
        rest, weights = self.rest(sets), self.weights
        count, cases, reference = len(sets), len(self.together.ready.cases), self.problems[0].reference
        status, travel = rest.status.reshape(count, cases), rest.travel.reshape(count, cases, len(CORNERS))
        kept = [
            keeping(problem, [pair[axle] for pair in sets], status, travel)
            for axle, problem in enumerate(self.problems)
        ]
        at = slice(reference, None, cases)
        noses = rest.frame_height[at, :2].mean(axis=1) - rest.frame_height[at, 2:].mean(axis=1)
        read = all(self.together.ready.read)
        if read:
            front, rear = (_raised(self.rig, problem) for problem in self.problems)
            noses = noses - (front - rear)
        shares = np.asarray(rest.cross_share[at])
        frequency = [np.array([pair[axle].ride_frequency for pair in sets]) for axle in range(2)]
        ratios = frequency[1] / frequency[0]
        low, high = WANTED_RATIO
        wanted = (low + high) / 2 if self.road_speed is None else self.settling(frequency[0][:, reference])
        sums = np.array([sum(one.score for one in pair) for pair in sets])
        sums = sums + weights.frequency_ratio * (((ratios[:, reference] - wanted) / ((high - low) / 2)) ** 2)
        off_level = np.maximum(np.abs(noses if read else 0.0) - LEVEL_ENOUGH, 0.0)
        sums = sums + weights.level * (off_level / NOSE) ** 2
        sums = sums + weights.cross * ((shares - self.cross) / CROSS) ** 2
        return _Judged(
            grid=self,
            sets=tuple(sets),
            rest=rest,
            sums=sums,
            travel=travel,
            ratios=ratios,
            noses=noses if read else None,
            shares=shares,
            kept=(kept[0], kept[1]),
        )

    def with_own(self, own: Mapping[str, SpringSet], front: Choice, rear: Choice) -> Pair:
        """Return the best pair with the sets that the reader has chosen; where none of them stands, the first."""
        fronts, rears = (
            (own[axle],) if axle in own else choice.ranked for axle, choice in zip(AXLES, (front, rear), strict=True)
        )
        mine = self.judged([(one, other) for one in fronts for other in rears])
        return next(iter(mine.best(1)), mine.pair(0))

    def beside(self, used: Pair, front: Choice, rear: Choice) -> Mapping[str, Resolved]:
        """Return each axle's search, judged and ranked beside the other axle's set that is in use."""
        found = {}
        for place, (axle, choice) in enumerate(zip(AXLES, (front, rear), strict=True)):
            other = used.sets[1 - place]
            sets = [(one, other) if place == 0 else (other, one) for one in choice.ranked]
            every = self.judged(sets)
            pairs = [every.pair(number) for number in range(len(sets))]
            placed = {pair.sets[place].code(): Beside(works=pair.works[place], adds=pair.adds) for pair in pairs}
            # The reader's own set need not be among the ranked ones.
            placed.setdefault(used.sets[place].code(), Beside(works=used.works[place], adds=used.adds))
            own = replace(sorted_out(self.problems[place], choice, every.rest), placed=placed)
            if own.none_left or own.choice is None:
                found[axle] = own
                continue
            totals = {pair.sets[place].code(): pair.score for pair in pairs}
            ranked = sorted(own.choice.ranked, key=lambda one: rank_key(one, totals[one.code()], self.springs))
            found[axle] = replace(own, choice=in_order(own.choice, ranked))
        return found

    def rounds(self, front: Choice, rear: Choice) -> Mapping[str, Resolved]:
        """Return each axle's search where no pair stands: judged beside the best that the other axle keeps."""
        best = [front.ranked[0], rear.ranked[0]]
        found: dict[str, Resolved] = {}
        for _ in range(_MOST_ROUNDS):
            before = list(best)
            for place, (axle, choice) in enumerate(zip(AXLES, (front, rear), strict=True)):
                other = best[1 - place]
                sets = [(one, other) if place == 0 else (other, one) for one in choice.ranked]
                found[axle] = sorted_out(self.problems[place], choice, self.rest(sets))
                kept = found[axle].choice
                best[place] = choice.ranked[0] if kept is None else kept.ranked[0]
            if all(one is other for one, other in zip(best, before, strict=True)):
                break
        return found


@dataclass(frozen=True, kw_only=True, eq=False)
class _Judged:
    """Some pairs with what they do. What each corner does in the draws is looked at only where it may decide a place."""

    grid: _Grid
    sets: tuple[tuple[SpringSet, SpringSet], ...]
    rest: Rest
    sums: Any
    travel: Any
    ratios: Any
    noses: Any
    shares: Any
    kept: tuple[Any, Any]

    @property
    def stands(self) -> Any:
        return self.kept[0] & self.kept[1]

    def pair(self, place: int) -> Pair:
        """Return one pair."""
        both = self.sets[place]
        works = []
        for axle, (one, found) in enumerate(zip(both, self.grid.chances, strict=True)):
            mean = np.array(one.ride_travel)[:, None]
            aside = self.travel[place][:, 2 * axle : 2 * axle + 2] - mean
            works.append(found.works(one, aside if np.all(np.isfinite(aside)) else None))
        return Pair(
            front=both[0],
            rear=both[1],
            score=float(self.sums[place]) + self._counted(works),
            frequency_ratios=tuple(float(one) for one in self.ratios[place]),
            nose=None if self.noses is None else float(self.noses[place]),
            cross_share=float(self.shares[place]),
            works=(works[0], works[1]),
            adds=float(self.sums[place]) - sum(one.score for one in both),
            broken=tuple(axle for axle, keeps in zip(AXLES, self.kept, strict=True) if not keeps[place]),
        )

    def best(self, most: int) -> tuple[Pair, ...]:
        """Return the best of the pairs that stand, at most so many; equal ones by part code."""
        # What corners do in the draws can only lower a chance: a pair whose sum without that is higher is never better.
        alone: dict[int, float] = {}
        for axle, found in enumerate(self.grid.chances):
            for one in {id(pair[axle]): pair[axle] for pair in self.sets}.values():
                alone[id(one)] = found.works(one)
        waiting: list[tuple[Any, int, Pair | None]] = [
            (
                self._key(place, float(self.sums[place]) + self._counted([alone[id(one)] for one in self.sets[place]])),
                place,
                None,
            )
            for place in map(int, np.flatnonzero(self.stands))
        ]
        heapify(waiting)
        ranked: list[Pair] = []
        while waiting and len(ranked) < most:
            _, place, known = heappop(waiting)
            if known is not None:
                ranked.append(known)
                continue
            known = self.pair(place)
            heappush(waiting, (self._key(place, known.score), place, known))
        return tuple(ranked)

    def _counted(self, works: Sequence[float]) -> float:
        return sum(found.counts(chance) for found, chance in zip(self.grid.chances, works, strict=True))

    def _key(self, place: int, total: float) -> Any:
        front, rear = self.sets[place]
        return rank_key(front, total, self.grid.springs), rank_key(rear, 0.0, self.grid.springs)


def _raised(rig: Rig, problem: Problem) -> float:
    """Return how far the wanted ride height raises the frame over an axle's hubs, against where the lean was read."""
    coilover = problem.coilover
    read, wanted = read_length(rig, problem.axle) or 0.0, problem.wishes.height.length
    return -float(coilover.wheel_travel(coilover.extended_length - read, coilover.extended_length - wanted))


# --- in words -----------------------------------------------------------------------------------------------------------------


def nose_text(nose: float, display: Display) -> str:
    """Return how the frame stands, nose against tail: "0.31 in up"."""
    return f"{display.text(abs(nose), vocabulary.length)} {'up' if nose > 0 else 'down'}"


def pair_line(found: Pairs, display: Display, name: Mapping[int, str]) -> str:
    """Say which pair is in use and what it does; where the reader's own is another, what the recommended one does better.

    `name` has each set's name by its id.
    """
    best, used = found.best, found.used

    def named(pair: Pair) -> str:
        return f"{name[id(pair.front)]} at the front with {name[id(pair.rear)]} at the rear"

    if best is None:
        return f"None of the {found.tried:,} front-and-rear combinations keeps every limit on the whole rig: each axle's own list says why."
    does = "; ".join(_does(used, display))
    if not found.own:
        return f"{named(used)}: this pair ranks first and is the one to order. {does[:1].upper()}{does[1:]}."
    yours = f"You chose {named(used)}. {does[:1].upper()}{does[1:]}."
    if used.broken:
        yours += f" It breaks a limit at the {' and the '.join(used.broken)}."
    gains, losses = _against(best, used, found, display)
    told = "; ".join(gains) if gains else "its sum is lower"
    for_it = f" For that, {'; '.join(losses)}." if losses else ""
    return f"{yours} {named(best)} ranks first: {told}.{for_it}"


def ratio_line(found: Pairs, display: Display) -> str:
    """Say how the frequencies of front and rear go together in every load case, and whether that counts."""
    told = "; ".join(
        f"{ratio:.2f} ({label})" for ratio, label in zip(found.used.frequency_ratios, found.cases, strict=True)
    )
    low, high = WANTED_RATIO
    if found.ratio_counts and found.road_speed is not None and found.wanted_ratio is not None:
        return (
            f"Rear over front frequency: {told}. It counts in the rank: at {display.text(found.road_speed, vocabulary.road_speed)} "
            f"{found.wanted_ratio:.2f} lets both ends finish their first cycle after a bump together."
        )
    if found.ratio_counts:
        return f"Rear over front frequency: {told}. It counts in the rank: {low:g} to {high:g} in the load case of the targets."
    return (
        f"Rear over front frequency: {told}. It does not count in the rank: {low:g} to {high:g}, our range by "
        "the rule of Olley, is for road cars at road speed, and no road speed is wanted."
    )


def _does(pair: Pair, display: Display) -> Iterator[str]:
    if pair.nose is not None:
        yield f"the nose sits {nose_text(pair.nose, display)}"
    yield f"cross weight {display.text(pair.cross_share, vocabulary.share)}"


def _against(best: Pair, used: Pair, found: Pairs, display: Display) -> tuple[list[str], list[str]]:
    """Return what the best pair does better than the one in use, and what it does worse: differences that can be read."""
    sides: tuple[list[str], list[str]] = ([], [])

    def compare(sentence: str, mine: str, theirs: str, off: float, instead_off: float) -> None:
        if mine != theirs:
            sides[0 if abs(off) < abs(instead_off) else 1].append(sentence.format(f"{mine} instead of {theirs}"))

    for axle, mine, theirs in zip(AXLES, best.works, used.works, strict=True):
        shown, instead = (f"{100 * chance:.0f} %" for chance in (mine, theirs))
        compare(f"the {axle} works in {{}} of the trials", shown, instead, 1.0 - mine, 1.0 - theirs)
    if best.nose is not None and used.nose is not None:
        noses = [nose_text(nose, display) for nose in (best.nose, used.nose)]
        compare("the nose sits {}", noses[0], noses[1], best.nose, used.nose)
    shares = [display.text(pair.cross_share, vocabulary.share) for pair in (best, used)]
    cross = found.wanted_cross
    compare("cross weight {}", shares[0], shares[1], best.cross_share - cross, used.cross_share - cross)
    own = [sum(one.score for one in pair.sets) for pair in (best, used)]
    if own[0] != own[1]:
        sides[0 if own[0] < own[1] else 1].append(
            f"each axle by itself ranks {'higher' if own[0] < own[1] else 'lower'}"
        )
    return sides
