"""Sets that a search ranked, solved again with the whole rig: what that contradicts is not recommended.

The search goes by each axle's mean load. Here the frame is rigid and the sides differ, so a corner may come short of
what its axle keeps on the mean; such a set drops, and says why.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc import vocabulary
from calc.limits import AT_CORNERS
from calc.quantity import Display
from calc.ride._rest import ON_STOPS, REFUSALS, STANDS, Rest
from calc.rig.entries import AXLES, CORNERS
from calc.search.judging import standing_numbers
from calc.search.problem import Choice, Problem, SetCode, SpringSet
from calc.whole.at_rest import words

# Equal to the last bit or nearly: rounding inside the machine must not drop a set.
_SLIGHT = 1e-9
# What a program reads of a limit that is not called by its name.
_CALLED = {"ring_at_rest": "ring"}


@dataclass(frozen=True, kw_only=True)
class Contradiction:
    """What the whole rig breaks of a set's limits: where, in which load case, what is left there and what is wanted."""

    what: str
    case: str
    corner: str = ""
    value: float = 0.0
    limit: float = 0.0
    status: int = STANDS

    def text(self, display: Display) -> str:
        """Return the reason in the reader's units. The load case is the reader's own text and stands last."""
        if self.what == "stands":
            return f"{REFUSALS[self.status]} Load case: {self.case}."
        where = f"The {words(self.corner)}"
        left, wanted = (display.text(abs(one), vocabulary.length) for one in (self.value, self.limit))
        if self.what == "ring":
            return f"{where} sits {left} past its crossover at rest. Load case: {self.case}."
        if self.value < 0:
            return f"{where} comes {left} short of any {self.what} at the damper; {wanted} is wanted. Load case: {self.case}."
        return f"{where} keeps {left} of {self.what} at the damper; {wanted} is wanted. Load case: {self.case}."


@dataclass(frozen=True, kw_only=True)
class Beside:
    """What places a set besides its own sum: the chance that it works, and what it does with the other axle's set."""

    works: float
    adds: float


@dataclass(frozen=True, kw_only=True)
class Resolved:
    """An axle's search without the sets that the whole rig contradicts, and those sets with the limits that each breaks.

    Where every set is contradicted they all stay, so that the reader sees what the best of them breaks.
    """

    choice: Choice | None
    dropped: tuple[tuple[SpringSet, tuple[Contradiction, ...]], ...] = ()
    solved: bool = False
    placed: Mapping[SetCode, Beside] = field(default_factory=dict)

    def beside(self, one: SpringSet) -> Beside | None:
        """Return what places a set besides its own sum, where that was worked out."""
        return self.placed.get(one.code())

    @property
    def none_left(self) -> bool:
        """Whether the whole rig contradicts every set that was solved again."""
        gone = {one.code() for one, _ in self.dropped}
        return bool(gone) and self.choice is not None and all(one.code() in gone for one in self.choice.ranked)

    def said(self, display: Display) -> str:
        """Return in one sentence what solving again did; nothing where it was not done."""
        if not self.solved or self.choice is None:
            return ""
        kept = len(self.choice.ranked)
        if not self.dropped:
            every = "The one ranked set keeps every limit" if kept == 1 else f"All {kept} ranked sets keep every limit"
            return f"{every} with the whole rig solved, every corner in every load case."
        if self.none_left:
            best = "the one set" if kept == 1 else f"each of the {kept} best sets"
            others = self.choice.working - kept
            rest = f" The other {others:,} were not solved again." if others > 0 else ""
            return f"The whole rig, solved, contradicts {best}.{rest} {self.to_relax(display)}"
        number = len(self.dropped)
        drops = "1 set drops" if number == 1 else f"{number} sets drop"
        return f"{drops}: the whole rig, solved, contradicts {'it' if number == 1 else 'them'}."

    def to_relax(self, display: Display) -> str:
        """Return what to give up, where every set is contradicted: the one limit that would admit most of them."""
        broken = [wrong for _, wrong in self.dropped]
        if any(wrong[0].what == "stands" for wrong in broken):
            return "A wider spring base, an anti-roll bar or a lower load is needed before any springs can do."
        alone: dict[str, list[Contradiction]] = {}
        for wrong in broken:
            if len(wrong) == 1:
                alone.setdefault(wrong[0].what, []).append(wrong[0])
        if not alone:
            return (
                "Bump and droop come short together: it needs dampers of more stroke, weight moved across, or less "
                "between the lightest and the heaviest load case."
            )
        what, ones = max(alone.items(), key=lambda pair: len(pair[1]))
        admitted = "1 set works" if len(ones) == 1 else f"{len(ones)} sets work"
        worst = min(one.value - one.limit for one in ones)
        if what == "ring":
            past = display.text(-worst, vocabulary.length)
            return f"With the crossover wanted {past} higher, {admitted}."
        least = max(ones[0].limit + worst, 0.0)
        return (
            f"With {display.text(least, vocabulary.length)} of {what} wanted in place of "
            f"{display.text(ones[0].limit, vocabulary.length)}, {admitted}."
        )


def sorted_out(task: Problem, choice: Choice, rest: Rest) -> Resolved:
    """Return an axle's search without the sets that the whole rig contradicts.

    `rest` is the rig at rest on each of its ranked sets, in all load cases.
    """
    cases = len(task.cases)
    kept, dropped = [], []
    for place, one in enumerate(choice.ranked):
        mine = slice(place * cases, (place + 1) * cases)
        wrong = contradictions(task, one, rest.status[mine], rest.travel[mine])
        if wrong:
            dropped.append((one, wrong))
        else:
            kept.append(one)
    if not dropped:
        return Resolved(choice=choice, solved=True)
    left = replace(choice, ranked=tuple(kept)) if kept else choice
    return Resolved(choice=left, dropped=tuple(dropped), solved=True)


def contradictions(task: Problem, chosen: SpringSet, status: Any, travel: Any) -> tuple[Contradiction, ...]:
    """Return the limits that the corners of this axle break, each where it is broken most; none where all is well.

    `status` and `travel` (load cases, corners) are those of a rest on this set. What sits on its stops shows as bump that
    is not there, at the axle whose stops they are.
    """
    for index, case in enumerate(task.cases):
        if status[index] not in (STANDS, ON_STOPS):
            return (Contradiction(what="stands", case=case.label, status=int(status[index])),)
    first = 2 * AXLES.index(task.axle)
    found = []
    crossover = np.inf if chosen.crossover_travel is None else chosen.crossover_travel
    for what, left, wanted in _asked(task, np.asarray(travel), crossover):
        worst = int(np.argmin(left))
        value = float(left.flat[worst])
        if value < wanted - _SLIGHT:
            case, corner = task.cases[worst // 2], CORNERS[first + worst % 2]
            found.append(Contradiction(what=what, case=case.label, corner=corner, value=value, limit=wanted))
    return tuple(found)


def keeping(task: Problem, sets: Sequence[SpringSet], status: Any, travel: Any) -> NDArray[np.bool_]:
    """Tell of each set whether its corners of this axle keep every limit: where `contradictions` finds nothing.

    `status` (sets, load cases) and `travel` (sets, load cases, corners) are those of a rest on each.
    """
    kept = np.isin(status, (STANDS, ON_STOPS)).all(axis=1)
    crossover = np.array([np.inf if one.crossover_travel is None else one.crossover_travel for one in sets])
    for _, left, wanted in _asked(task, np.asarray(travel), crossover[:, None, None]):
        kept &= left.min(axis=(1, 2)) >= wanted - _SLIGHT
    return np.asarray(kept)


def _asked(task: Problem, travel: NDArray[np.float64], crossover: Any) -> Iterator[tuple[str, Any, float]]:
    """Yield what is left at this axle's two corners, the last axis of each, and what is wanted."""
    first = 2 * AXLES.index(task.axle)
    mine = travel[..., first : first + 2]
    numbers = standing_numbers(task, mine, mine, crossover)
    for limit in AT_CORNERS:
        yield _CALLED.get(limit.name, limit.name), numbers[limit.value], limit.wanted(numbers)
