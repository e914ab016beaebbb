"""What to turn on the built rig: the fewest corners that bring all four heights to what was ordered.

Heights alone do not say which corner is wrong: one rigid frame stands on four springs, and a turn at one corner moves all
four. Of all ways to bring the heights back, the one with the fewest corners is proposed, in half turns.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from calc.prove.model import Model
from calc.ride._rest_energy import Array
from calc.rig.axle import HALF_TURN
from calc.rig.entries import CORNERS
from calc.spring._stack_curve import StackCurve
from calc.whole.at_rest import words
from calc.whole.leveling import MOST_TURNED

RULE = (
    "The fewest corners, in half turns, that bring all four heights to the ordered ones. No corner is turned for less than "
    "a reading can tell, and none moves the cross weight out of 1 % about the ordered one."
)
# How far the cross weight may lie off the ordered one after turning, as a share of the whole weight; where it lies further
# off already, turning brings it no further. Common practice, without a source.
CROSS_TOLERANCE = 0.01
_SLIGHT = 0.5  # of a turn: far enough to be told from rounding, near enough to be straight
_IDLE = 1e-3  # of what its ring does: an adjuster that moves less is past its crossover
_ROUNDS = 3


@dataclass(frozen=True, kw_only=True, eq=False)
class Room:
    """How far each corner's adjuster may still be turned on and off, in half turns; infinite where that is not known."""

    on: Array
    off: Array


@dataclass(frozen=True, kw_only=True, eq=False)
class Trim:
    """Turns at each corner (adjuster on, or ring down, is up), what is turned there, and what then is read.

    `left` is what still lies between each height and the wanted one; `short` the corners that have no thread left.
    `reached` tells whether every height comes within the tolerance.
    """

    turns: Array
    ring: tuple[bool, ...]
    height: Array
    left: Array
    cross_before: float
    cross_after: float
    short: tuple[int, ...]
    reached: bool


def trim(
    model: Model,
    unknowns: Array,
    stacks: StackCurve,
    measured: Array,
    wanted: Array,
    tolerance: float,
    room: Room,
    ordered_cross: float | None = None,
) -> Trim | None:
    """Return what to turn, or None where the rig does not stand.

    `stacks` are the springs at their present settings, `measured` and `wanted` the heights at the corners, `tolerance` what a
    reading may be off: another corner is turned only where that brings the worst height nearer by as much.
    Raises nothing of its own.
    """
    turn = model.ready[0].turn[0]
    before = model.outputs(unknowns[None], 0, stacks)
    if not before.stands:
        return None
    moves, crosses, ring = _moves(model, unknowns, stacks, turn)
    if moves is None or crosses is None:
        return None
    gap = wanted - measured
    turns = np.zeros(4)
    short: tuple[int, ...] = ()
    if np.abs(gap).max() > tolerance:
        off = float(before.cross[0]) - (float(before.cross[0]) if ordered_cross is None else ordered_cross)
        turns, short = _fewest(moves, gap, tolerance, room, turn, ring, (off, crosses))
    height, cross = measured, float(before.cross[0])
    for _ in range(_ROUNDS):
        after = model.outputs(unknowns[None], 0, turned(stacks, turns * turn, ring))
        if not after.stands:
            return None
        height = measured + after.height[0] - before.height[0]
        cross = float(after.cross[0])
        active = np.flatnonzero(turns)
        if len(active) == 0:
            break
        # Springs and geometry are not straight: what is still missing is turned once more at the same corners.
        more, *_ = np.linalg.lstsq(moves[:, active], wanted - height, rcond=None)
        again = turns.copy()
        again[active] = _halves(np.clip(turns[active] + more, -room.off[active], room.on[active]))
        if np.array_equal(again, turns):
            break
        turns = again
    left = wanted - height
    return Trim(
        turns=turns,
        ring=ring,
        height=height,
        left=left,
        cross_before=float(before.cross[0]),
        cross_after=cross,
        short=short,
        reached=bool(np.abs(left).max() <= tolerance),
    )


def turned(stacks: StackCurve, lengths: Array, ring: tuple[bool, ...]) -> StackCurve:
    """Return the springs with each corner run up by a length: its ring down where `ring` says so, else its adjuster on."""
    by_ring = np.array(ring)
    return stacks.turned(adjuster=np.where(by_ring, 0.0, lengths)[None], ring=np.where(by_ring, -lengths, 0.0)[None])


def _moves(
    model: Model, unknowns: Array, stacks: StackCurve, turn: Array
) -> tuple[Array | None, Array | None, tuple[bool, ...]]:
    """Return what one turn at each corner does to all heights (rows answer) and to the cross weight, and where the ring counts."""
    # All of them at once: each corner's adjuster on and off, then each corner's ring down and up.
    lengths = _SLIGHT * np.repeat(np.diag(turn), 2, axis=0) * np.tile([1.0, -1.0], 4)[:, None]
    still = np.zeros_like(lengths)
    moved = stacks.turned(adjuster=np.concatenate([lengths, still]), ring=np.concatenate([still, -lengths]))
    ends = model.outputs(np.repeat(unknowns[None], len(lengths) * 2, axis=0), 0, moved)
    if not ends.stands:
        return None, None, ()
    by_adjuster, by_ring = ((ends.height[::2] - ends.height[1::2]) / (2.0 * _SLIGHT)).reshape(2, 4, 4)
    shares = ((ends.cross[::2] - ends.cross[1::2]) / (2.0 * _SLIGHT)).reshape(2, 4)
    past = np.abs(np.diag(by_adjuster)) <= _IDLE * np.abs(np.diag(by_ring))
    heights = np.where(past[:, None], by_ring, by_adjuster).T
    return heights, np.where(past, shares[1], shares[0]), tuple(bool(one) for one in past)


def _fewest(
    moves: Array,
    gap: Array,
    tolerance: float,
    room: Room,
    turn: Array,
    ring: tuple[bool, ...],
    cross: tuple[float, Array],
) -> tuple[Array, tuple[int, ...]]:
    """Return the turns of the fewest corners that close the gap, each more of them worth at least what a reading can tell.

    `cross` is how far the cross weight lies off the ordered one, and what a turn at each corner does to it.
    """
    kept: tuple[Array, tuple[int, ...]] = (np.zeros(4), ())
    least = float(np.abs(gap).max())
    by_ring = np.array(ring)
    aside, crosses = cross
    allowed = max(CROSS_TOLERANCE, abs(aside)) + 1e-9
    stuck: tuple[int, ...] = ()
    best: tuple[float, Array, tuple[int, ...]] | None
    for count in range(1, 5):
        best = None
        for corners in combinations(range(4), count):
            chosen = list(corners)
            exact, *_ = np.linalg.lstsq(moves[:, chosen], gap, rcond=None)
            if np.any(np.abs(exact) * turn[chosen] > MOST_TURNED):
                continue
            # A ring has its thread to itself; what bounds it is checked on the rig page.
            on = np.where(by_ring[chosen], np.inf, room.on[chosen])
            off = np.where(by_ring[chosen], np.inf, room.off[chosen])
            held = _halves(np.clip(exact, -off, on))
            turns = np.zeros(4)
            turns[chosen] = held
            left = float(np.abs(gap - moves @ turns).max())
            short = tuple(
                corner for corner, want, got in zip(corners, exact, held, strict=True) if abs(want - got) > 0.5
            )
            if abs(aside + float(crosses @ turns)) > allowed:
                continue
            if best is None or left < best[0]:
                best = (left, turns, short)
        if best is not None and best[0] <= least - tolerance:
            least, kept = best[0], (best[1], best[2])
        if best is not None:
            stuck = stuck or best[2]
        if least <= tolerance:
            break
    # Where nothing is turned because a thread ends there, that is why.
    return kept if kept[0].any() else (kept[0], stuck)


def _halves(turns: Array) -> Array:
    return np.asarray(np.rint(turns * HALF_TURN) / HALF_TURN)


def turn_texts(one: Trim) -> tuple[str, ...]:
    """Return what to turn, a short order for each corner: "left front up 1.5 turns"."""
    found = []
    for place, turns in enumerate(one.turns):
        if turns == 0:
            continue
        way = "up" if turns > 0 else "down"
        count = f"{abs(turns):.1f} turn{'' if abs(turns) == 1 else 's'}"
        how = f", at the ring ({'down' if turns > 0 else 'up'} the body)" if one.ring[place] else ""
        found.append(f"{words(CORNERS[place])} {way} {count}{how}")
    return tuple(found)
