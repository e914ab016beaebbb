"""The whole rig on every pair of its ranked sets, solved together once: the search, the pairs and the standing take it.

One solve of some hundreds costs little more than one of a few, so the old springs are solved along.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass

from calc.errors import Needs
from calc.ride._rest import Rest
from calc.rig.axle import stack_of
from calc.rig.rig import Rig
from calc.search.problem import Choice, SpringSet
from calc.tables import Springs
from calc.whole.at_rest import Stand, of_corners, old_stacks, stand

_AsSet = tuple[tuple[int, ...], int | None, float, float | None]


@dataclass(frozen=True, kw_only=True, eq=False)
class Solved:
    """A rig at rest on pairs of sets, and on its old springs where they are known, each in all load cases."""

    ready: Stand
    rest: Rest
    places: Mapping[tuple[_AsSet, _AsSet], int]
    old: Rest | None

    def on(self, *pairs: Sequence[SpringSet]) -> Rest | None:
        """Return the rest on some pairs, front and rear set, one after the other; None where one of them is not among these."""
        cases = len(self.ready.cases)
        sets = {id(one): one for pair in pairs for one in pair}
        named = {key: _as_set(one) for key, one in sets.items()}
        places = [self.places.get((named[id(front)], named[id(rear)])) for front, rear in pairs]
        if None in places:
            return None
        return self.rest.rows([place * cases + case for place in places if place is not None for case in range(cases)])


def _as_set(one: SpringSet) -> _AsSet:
    """Return what a set is on the bench, by which it is known wherever it comes from."""
    return one.springs(), one.helper, one.preload, one.ring_gap


def solved(rig: Rig, springs: Springs, front: Choice, rear: Choice) -> Solved:
    """Return the rig, as `completed` gave it, at rest on every pair of the ranked sets. Raises Needs."""
    ready = stand(rig)
    stacks = {_as_set(one): stack_of(springs, one) for one in (*front.ranked, *rear.ranked)}
    fronts, rears = ([_as_set(one) for one in choice.ranked] for choice in (front, rear))
    pairs = [(one, other) for one in fronts for other in rears]
    both = [(stacks[one], stacks[other]) for one, other in pairs]
    with suppress(Needs):
        both.append(old_stacks(rig))
    rest = ready.solve(of_corners(*((one, one, other, other) for one, other in both)))
    new = len(pairs) * len(ready.cases)
    return Solved(
        ready=ready,
        rest=rest,
        places={pair: place for place, pair in enumerate(pairs)},
        old=rest.rows(range(new, new + len(ready.cases))) if len(both) > len(pairs) else None,
    )
