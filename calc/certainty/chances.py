"""How the chance that a set works counts in the rank: each ranked set is tried in the draws that tell how sure it is.

The rule, declared here alone: each tenth of the draws in which a set breaks a limit counts as much as a ride frequency at
the end of its wanted range, times the weight of the rank. Only sets that the search ranked are tried, so the search is as
quick as it was; the draws are always the same ones, and equal sums go by part code.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from calc.certainty.sources import Array
from calc.certainty.trials import Trial, tries
from calc.memo import Memo, Same
from calc.rig.rig import Rig
from calc.search.problem import Choice, Problem, SetCode, SpringSet
from calc.search.ranking import rank_key
from calc.tables import Springs

# The share of failing draws that counts as much as a frequency at the end of its range.
FAILING = 0.1


def rule_text() -> str:
    """Return the rule in a sentence."""
    return (
        f"A set that fails in {100 * FAILING:.0f} % of the trials counts as far off as one whose ride frequency is at the end "
        "of its wanted range."
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Chances:
    """The ranked sets of one axle in all draws. Nothing is tried where the reader lets chances not count."""

    weight: float
    tried: Mapping[SetCode, Trial]

    def works(self, one: SpringSet, aside: Array | None = None) -> float:
        """Return the share of draws in which a set works, its corners so far from the axle's mean where that is known."""
        found = self.tried.get(one.code())
        if found is None:
            return 1.0
        return found.alone if aside is None else found.beside(aside)

    def counts(self, chance: float) -> float:
        """Return what a chance adds to a set's sum."""
        return self.weight * (1.0 - chance) / FAILING


def chances(rig: Rig, task: Problem, springs: Springs, sets: Sequence[SpringSet]) -> Chances:
    """Return how some sets of an axle do in the draws. The rig is one that has all that the search needs."""
    # Of the rig only its values are looked at one by one; what is not compared whole is not there to be read.
    bare = replace(rig, name="", note="", values={}, proofs=(), ignored=(), ordered=())
    return _tried.looking(
        Same(springs),
        task,
        bare,
        tuple(sets),
        values=rig.values,
        make=lambda values: _chances(replace(bare, values=values), task, springs, sets),
        place=task.axle,
    )


_tried: Memo[Chances] = Memo()


def _chances(rig: Rig, task: Problem, springs: Springs, sets: Sequence[SpringSet]) -> Chances:
    weight = task.weights.chance
    if weight == 0.0 or not sets:
        return Chances(weight=weight, tried={})
    found = tries(rig, task, springs, sets)
    return Chances(weight=weight, tried={one.code(): trial for one, trial in zip(sets, found, strict=True)})


def by_chance(choice: Choice, found: Chances, springs: Springs) -> Choice:
    """Return a search with its ranked sets in the order of their own sums and chances, each axle for itself."""
    ranked = sorted(choice.ranked, key=lambda one: rank_key(one, one.score + found.counts(found.works(one)), springs))
    return in_order(choice, ranked)


def in_order(choice: Choice, ranked: Sequence[SpringSet]) -> Choice:
    """Return a search with some of its ranked sets, in this order."""
    same: Any = len(ranked) == len(choice.ranked) and all(
        one is other for one, other in zip(ranked, choice.ranked, strict=True)
    )
    return choice if same else replace(choice, ranked=tuple(ranked))
