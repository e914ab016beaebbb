"""Choose springs: every single spring and every tender over main that fits one axle, in all its load cases.

Of the preloads that an adjuster can be set to, one that keeps every limit is found if there is any (`_preload`).
Hard limits reject, each with a count and the first reason; documented weights rank the rest.
What would hang loose is tried again with each helper of the list on top, judged by the same limits.
Both coil-overs of an axle are alike, so the search runs on the mean load of left and right.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from calc.limits import FIRM, FIXED, REASONS
from calc.search.bounds import Reach
from calc.search.bounds import pairs as reachable_pairs
from calc.search.bounds import singles as reachable_singles
from calc.search.judging import FloatArray, IntArray, Sets, early, gathered, late
from calc.search.pareto import Front, empty_front, front_of, merged
from calc.search.preload import aimed_turns, at_preload, doomed, middle
from calc.search.problem import (
    HEIGHTS,
    RULED_OUT,
    Choice,
    Counts,
    Limits,
    Problem,
    Relaxed,
    SpringSet,
    Trade,
)
from calc.search.ranking import (
    KEPT,
    NEAR,
    Batch,
    batch_of,
    best,
    code_ranks,
    first_reason,
    lowest,
    nearest,
    only_broken,
    only_miss,
    prices,
    rank_key,
    set_of,
    sets_of,
)
from calc.tables import Springs

CHUNK = 32_768
# Up to so many sets every one is judged; of more, those that bounds on rates and lengths leave.
JUDGED = 12_000_000
# What is left of a long list is worked out to the end, so that fewer sets make a slice.
LEFT = 4_096
MOST_HELPERS = 12
_RIDE_FREQUENCY = list(REASONS).index("ride_frequency")
# They are counted last, so that a set counts there only if its springs keep every other limit.
_FIRST_FIXED = len(REASONS) - len(FIXED)


def choose(problem: Problem, springs: Springs) -> Choice:
    """Return the ranked sets of one axle. For a page, `slices` does the same in small parts."""
    answer: Choice | None = None
    for part in slices(problem, springs):
        if isinstance(part, Choice):
            answer = part
    if answer is None:  # slices always ends with the answer
        raise RuntimeError("The search ended without an answer.")
    return answer


def judged(problem: Problem, springs: Springs, tender: int | None, main: int, helper: int | None = None) -> SpringSet:
    """Return one set, given by its indexes into the list, set up and judged as the search does it."""
    return set_of(evaluate(problem, springs, *_alone(tender, main, helper)), 0)


def judged_all(
    problem: Problem, springs: Springs, tender: IntArray, main: IntArray, helper: int | None = None
) -> list[SpringSet]:
    """Return what `judged` does of several sets with the same helper, if any; a tender of -1 is none."""
    top = None if helper is None else np.full(len(main), helper, dtype=np.int64)
    batch = evaluate(problem, springs, tender, main, top)
    return sets_of(batch, np.arange(len(main)))


def _alone(tender: int | None, main: int, helper: int | None) -> tuple[IntArray, IntArray, IntArray | None]:
    """Return the indexes of one set as arrays."""
    return (
        np.array([-1 if tender is None else tender], dtype=np.int64),
        np.array([main], dtype=np.int64),
        None if helper is None else np.array([helper], dtype=np.int64),
    )


def at_wanted_height(problem: Problem, springs: Springs, chosen: SpringSet) -> SpringSet:
    """Return a set as it would be at the wanted ride height: what that breaks is why another preload was taken."""
    sets, _ = early(problem, gathered(problem, springs, *_alone(chosen.tender, chosen.main, chosen.helper)))
    turns = aimed_turns(problem, sets, np.array([chosen.wanted_preload]))
    return judged_at(problem, springs, chosen, float(turns[0]) * problem.hardware.adjuster_step)


def judged_at(problem: Problem, springs: Springs, chosen: SpringSet, preload: float) -> SpringSet:
    """Return a set as it is with this preload, judged by every limit."""
    sets, shortfall = early(problem, gathered(problem, springs, *_alone(chosen.tender, chosen.main, chosen.helper)))
    sets = sets.having(wanted_preload=np.array([chosen.wanted_preload]))
    sets, more = at_preload(problem, sets, np.array([preload]))
    sets, last = late(problem, sets)
    return set_of(batch_of(problem, springs, sets, shortfall | more | last), 0)


def set_count(problem: Problem, springs: Springs) -> int:
    """Return how many sets a search goes through: every single and every pair of the springs whose bore fits."""
    count = len(_fitting(problem, springs))
    return count * (count + 1)


def slices(problem: Problem, springs: Springs) -> Iterator[tuple[int, int] | Choice]:
    """Search in chunks: yields (sets done, sets in all) after each and the answer last.

    A list of so many springs that their sets cannot all be judged is thinned out first, by bounds that lose none that works.
    """
    total = set_count(problem, springs)
    found = _Search(problem, springs, code_ranks(springs))
    yield from found.all_sets(total) if total <= JUDGED else found.thinned(total)
    yield found.answer(total)


@dataclass
class _Search:
    """One search: what is gone through, and what has been found among singles and pairs and with a helper on top."""

    problem: Problem
    springs: Springs
    ranks: IntArray
    ruled_out: dict[str, int] = field(default_factory=dict)
    helpers_left_out: int = 0

    def __post_init__(self) -> None:
        self.fitting = _fitting(self.problem, self.springs)
        self.helpers = _fitting(self.problem, self.springs, helpers=True)
        self.found = _Found(self.problem, self.springs, self.ranks)
        self.helped = _Found(self.problem, self.springs, self.ranks)

    def all_sets(self, total: int) -> Iterator[tuple[int, int]]:
        """Judge every set."""
        problem, springs, fitting = self.problem, self.springs, self.fitting
        for start in range(0, total, CHUNK):
            numbers = np.arange(start, min(start + CHUNK, total), dtype=np.int64)
            # Row 0 of the tenders stands for no tender: a single spring.
            row, place = np.divmod(numbers, max(len(fitting), 1))
            tender = np.where(row == 0, -1, fitting[row - 1])
            loose = self.found.add(gathered(problem, springs, tender, fitting[place]))
            for helper in self.helpers:
                top = np.full(len(loose.main), helper, dtype=np.int64)
                self.helped.add(gathered(problem, springs, loose.tender, loose.main, top))
            yield min(start + CHUNK, total), total

    def thinned(self, total: int) -> Iterator[tuple[int, int]]:
        """Judge the sets that bounds on rates and lengths leave; what hangs loose with the first few helpers on top."""
        problem, springs, fitting = self.problem, self.springs, self.fitting
        reach = Reach(problem)
        self.ruled_out = dict.fromkeys(RULED_OUT, 0)
        helpers = self.helpers[np.argsort(self.ranks[self.helpers], kind="stable")][:MOST_HELPERS]
        self.helpers_left_out = len(self.helpers) - len(helpers)
        done, whole = 0, total * (1 + len(helpers))
        for part in chain((reachable_singles(reach, springs, fitting),), reachable_pairs(reach, springs, fitting)):
            for name, number in part.ruled_out.items():
                self.ruled_out[name] += number
            for start in range(0, len(part.main), LEFT):
                some = slice(start, start + LEFT)
                self.found.add(gathered(problem, springs, part.tender[some], part.main[some]))
                yield done, whole
            done += part.looked_at
            yield done, whole
        for helper in helpers:
            length = float(springs.free_length[helper])
            shape = {
                "above": length + problem.hardware.divider_thickness,
                "closed": length - float(springs.solid_length[helper]),
            }
            single, more = (
                reachable_singles(reach, springs, fitting, **shape),
                reachable_pairs(reach, springs, fitting, **shape),
            )
            for part in chain((single,), more):
                for start in range(0, len(part.main), LEFT):
                    some = slice(start, start + LEFT)
                    loose = _loose(
                        problem, *early(problem, gathered(problem, springs, part.tender[some], part.main[some]))
                    )
                    top = np.full(len(loose.main), helper, dtype=np.int64)
                    self.helped.add(gathered(problem, springs, loose.tender, loose.main, top))
                    yield done, whole
                done += part.looked_at
                yield done, whole

    def answer(self, total: int) -> Choice:
        """Return what has been found."""
        problem, springs, found, helped = self.problem, self.springs, self.found, self.helped
        kept = tuple(best([*found.kept, *helped.kept], springs))
        blocked = bool(problem.blocked())
        return Choice(
            problem=problem,
            springs=springs,
            fitting=len(self.fitting),
            tried=total,
            working=found.working,
            ranked=() if blocked else kept,
            blocked=kept if blocked else (),
            rejected=found.rejected,
            near=tuple(nearest([*found.near, *helped.near], springs)),
            helped=Counts(tried=helped.tried, working=helped.working, rejected=helped.rejected),
            ruled_out=self.ruled_out,
            helpers_left_out=self.helpers_left_out,
            relaxed=tuple(_relaxed(springs, found, helped)),
            heights={name: found.heights[name] + helped.heights[name] for name in HEIGHTS},
            trades=() if blocked else tuple(_trades(problem, springs, merged(found.front, helped.front, self.ranks))),
        )


def _loose(problem: Problem, sets: Sets, shortfall: Mapping[str, FloatArray]) -> Sets:
    """Return the sets that hang loose, and that a helper may keep seated.

    Common practice tells what is loose, not the reader's own limits: one of them that is loosened takes no helper away.
    """
    usual = Limits()
    missing = usual.preload_floor + usual.adjuster_reserve - sets.least - problem.hardware.adjuster_range
    return sets.only((missing > 1e-9) & (shortfall["too_long"] <= 0))


def _relaxed(springs: Springs, *found: _Found) -> list[Relaxed]:
    """Return the limits whose giving way alone would admit sets, the one that admits the most first."""
    limits = []
    for name in REASONS:
        least = [one.least[name] for one in found if name in one.least]
        if least:
            first = min(least, key=lambda item: _by_shortfall(item, name, springs))
            limits.append(Relaxed(limit=name, admits=sum(one.alone.get(name, 0) for one in found), first=first))
    return sorted(limits, key=lambda item: -item.admits)


def _by_shortfall(item: SpringSet, name: str, springs: Springs) -> tuple[float, str, str, str]:
    return rank_key(item, item.shortfall[name], springs)


def _trades(problem: Problem, springs: Springs, front: Front) -> list[Trade]:
    """Return the sets that no other beats, the least frequency error first."""
    found: dict[int, Trade] = {}
    for with_helper in (False, True):
        places = np.flatnonzero((front.sets[:, 0] >= 0) == with_helper)
        if not len(places):
            continue
        helper, tender, main = front.sets[places].T
        batch = evaluate(problem, springs, tender, main, helper if with_helper else None)
        price = prices(springs, batch.sets)
        for at, place in enumerate(places):
            chosen = set_of(batch, at)
            ride = chosen.ride_frequency[problem.reference]
            found[int(place)] = Trade(
                chosen=chosen,
                frequency_error=abs(ride - sum(problem.wishes.frequency) / 2),
                travel_margin=-max(chosen.shortfall["droop"], chosen.shortfall["bump"]),
                price=None if price is None else 2.0 * float(price[at]),
                alike=int(front.alike[place]) - 1,
                above_wanted=problem.coilover.extended_length
                - chosen.ride_travel[problem.reference]
                - problem.wishes.height.length,
            )
    return [found[place] for place in sorted(found)]


@dataclass
class _Found:
    """What a search has found so far, of bounded size."""

    problem: Problem
    springs: Springs
    ranks: IntArray
    kept: list[SpringSet] = field(default_factory=list)
    near: list[SpringSet] = field(default_factory=list)
    rejected: dict[str, int] = field(default_factory=lambda: dict.fromkeys(REASONS, 0))
    tried: int = 0
    working: int = 0
    alone: dict[str, int] = field(default_factory=dict)
    least: dict[str, SpringSet] = field(default_factory=dict)
    front: Front = field(default_factory=empty_front)
    heights: dict[str, int] = field(default_factory=lambda: dict.fromkeys(HEIGHTS, 0))

    def add(self, sets: Sets) -> Sets:
        """Judge more sets, each no further than to where nothing can come of it. Returns those that hang loose."""
        self.tried += len(sets.main)
        sets, shortfall = early(self.problem, sets)
        short = _loose(self.problem, sets, shortfall)
        sets, shortfall = self._hopeful(sets, shortfall)
        sets, more = middle(self.problem, sets)
        # A helper that stands open counts before the ride frequency, and is only known at the end.
        if np.all(sets.helper < 0):
            sets, shortfall = self._hopeful(sets, shortfall | more, doomed(self.problem, sets))
        else:
            shortfall = shortfall | more
        sets, more = late(self.problem, sets)
        self._keep(batch_of(self.problem, self.springs, sets, shortfall | more))
        return short

    def _hopeful(
        self, sets: Sets, shortfall: Mapping[str, FloatArray], doomed_: NDArray[np.bool_] | None = None
    ) -> tuple[Sets, dict[str, FloatArray]]:
        """Count and leave out the sets that neither work, nor miss by little, nor would work without one limit.

        Of `doomed_` sets it is known that they break a limit that comes later.
        """
        first = first_reason(shortfall)
        # What is too long breaks the droop too, so that no set breaks that limit alone.
        hopeful = (first < 0) | np.isfinite(only_miss(shortfall)) | (only_broken(shortfall) == _RIDE_FREQUENCY)
        if doomed_ is not None:
            hopeful &= (first < 0) | ~doomed_
        self._count(first[~hopeful])
        return sets.only(hopeful), {name: value[hopeful] for name, value in shortfall.items()}

    def _count(self, first: NDArray[np.int64]) -> None:
        counts = np.bincount(first, minlength=len(REASONS))
        for index, name in enumerate(REASONS):
            self.rejected[name] += int(counts[index])

    def _keep(self, batch: Batch) -> None:
        first = first_reason(batch.shortfall)
        self.working += int(np.count_nonzero(first < 0))
        self._count(first[first >= 0])
        # What only breaks a limit that no springs move is kept too: it shows what the springs would do.
        works = (first < 0) | (first >= _FIRST_FIXED)
        ranked = self._lowest(batch, np.where(works, batch.score, np.inf), KEPT)
        self.kept = best(self.kept + ranked, self.springs)
        self.near = nearest(self.near + self._lowest(batch, only_miss(batch.shortfall), NEAR), self.springs)
        self._relax(batch)
        stand = np.bincount(batch.sets.against_height[first < 0], minlength=len(HEIGHTS))
        for index, name in enumerate(HEIGHTS):
            self.heights[name] += int(stand[index])
        if np.any(works):
            more = front_of(self.problem, self.springs, batch.sets, batch.shortfall, works)
            self.front = merged(self.front, more, self.ranks)

    def _lowest(self, batch: Batch, values: FloatArray, most: int) -> list[SpringSet]:
        return sets_of(batch, lowest(values, most, batch.sets, self.ranks))

    def _relax(self, batch: Batch) -> None:
        """Count the sets that one limit alone keeps out, and keep the nearest of each."""
        which = only_broken(batch.shortfall)
        counts = np.bincount(which[which >= 0], minlength=len(REASONS))
        for index, name in enumerate(REASONS):
            if name in FIRM or not counts[index]:
                continue
            self.alone[name] = self.alone.get(name, 0) + int(counts[index])
            amount = np.where(which == index, batch.shortfall[name], np.inf)
            near = self._lowest(batch, amount, 1)
            known = [self.least[name]] if name in self.least else []
            self.least[name] = min(known + near, key=lambda item: _by_shortfall(item, name, self.springs))


def _fitting(problem: Problem, springs: Springs, *, helpers: bool = False) -> IntArray:
    bore = np.abs(springs.inside_diameter - problem.hardware.spring_inside_diameter) <= problem.limits.bore_tolerance
    known = springs.known.get("inside_diameter")
    fits = bore if known is None else bore | ~known
    return np.flatnonzero(fits & (springs.is_helper == helpers)).astype(np.int64)


def evaluate(
    problem: Problem, springs: Springs, tender: IntArray, main: IntArray, helper: IntArray | None = None
) -> Batch:
    """Set up and judge sets given by index; a tender of -1 is none. All limits are computed for every set."""
    sets = gathered(problem, springs, tender, main, helper)
    shortfall: dict[str, FloatArray] = {}
    for stage in (early, middle, late):
        sets, more = stage(problem, sets)
        shortfall |= more
    return batch_of(problem, springs, sets, shortfall)
