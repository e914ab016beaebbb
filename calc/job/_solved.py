"""The whole rig on every pair of its ranked sets, solved together once: the search, the pairs and the standing ask for it.

One solve of some hundreds costs little more than one of a few, so the old springs are solved along.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from calc.job.at_rest import Stand, of_corners, old_stacks, stand
from calc.job.axle import Needs, stack_of
from calc.job.choose import Choice, SpringSet
from calc.job.rig import Rig
from calc.ride._rest import Rest
from calc.tables import Springs


@dataclass(frozen=True, kw_only=True, eq=False)
class Solved:
    """A rig at rest on pairs of sets, and on its old springs where they are known, each in all load cases.

    A set is known by being the same object.
    """

    ready: Stand
    rest: Rest
    places: Mapping[tuple[int, int], int]
    old: Rest | None

    def on(self, *pairs: Sequence[SpringSet]) -> Rest:
        """Return the rest on some of the pairs, front and rear set, one after the other."""
        cases = len(self.ready.cases)
        places = [self.places[id(front), id(rear)] for front, rear in pairs]
        return self.rest.rows([place * cases + case for place in places for case in range(cases)])


# The last one with what it was made from, which it keeps alive, so that no other set gets one of its sets' ids.
_last: list[tuple[Rig, Springs, tuple[Choice, Choice], Solved | Needs]] = []


def solved(rig: Rig, springs: Springs, front: Choice, rear: Choice) -> Solved | Needs:
    """Return the rig, as `completed` gave it, at rest on every pair of the ranked sets; or what that still needs."""
    if _last and _last[0][0] == rig and _last[0][1] is springs and _last[0][2][0] is front and _last[0][2][1] is rear:
        return _last[0][3]
    ready = stand(rig)
    found = ready if isinstance(ready, Needs) else _solved(rig, ready, springs, front, rear)
    _last[:] = [(rig, springs, (front, rear), found)]
    return found


def on_pairs(rig: Rig, springs: Springs, *pairs: Sequence[SpringSet]) -> Rest | None:
    """Return the rest on pairs of sets where all of them were among the last ones that were solved."""
    found = _last[0][3] if _last and _last[0][0] == rig and _last[0][1] is springs else None
    if not isinstance(found, Solved) or not all((id(one), id(other)) in found.places for one, other in pairs):
        return None
    return found.on(*pairs)


def on_old(rig: Rig) -> Rest | None:
    """Return the rest on the old springs where it was solved along with the last pairs."""
    found = _last[0][3] if _last and _last[0][0] == rig else None
    return found.old if isinstance(found, Solved) else None


def _solved(rig: Rig, ready: Stand, springs: Springs, front: Choice, rear: Choice) -> Solved:
    stacks = {id(one): stack_of(springs, one) for one in (*front.ranked, *rear.ranked)}
    pairs = [(id(one), id(other)) for one in front.ranked for other in rear.ranked]
    both = [(stacks[one], stacks[other]) for one, other in pairs]
    before = old_stacks(rig)
    if not isinstance(before, Needs):
        both.append(before)
    rest = ready.solve(of_corners(*((one, one, other, other) for one, other in both)))
    new = len(pairs) * len(ready.cases)
    return Solved(
        ready=ready,
        rest=rest,
        places={pair: place for place, pair in enumerate(pairs)},
        old=None if isinstance(before, Needs) else rest.rows(range(new, new + len(ready.cases))),
    )
