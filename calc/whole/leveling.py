"""What one turn of an adjuster or a ring does at all four corners, and the turns that level a rig or set its cross weight.

Adjuster and ring act as they do on the bench: turning the adjuster leaves the ring where it stands on the body.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.constants import GRAVITY
from calc.ride._rest import NOT_FOUND, REFUSALS, Influence, Rest
from calc.ride._rest_energy import SOLID_RATE, Array
from calc.rig.entries import CORNERS
from calc.spring._stack_curve import StackCurve
from calc.units import INCH
from calc.whole.at_rest import Stand, stands, words

# More thread than this to be turned is called absurd: ours, no source.
MOST_TURNED = 1.0 * INCH

_SLIGHT = 1e-7
_CLOSE_ENOUGH = 1e-9
_MOST_ROUNDS = 40


@dataclass(frozen=True, kw_only=True, eq=False)
class TurnEffect:
    """What one turn at each corner does: rows answer, columns are turned. Lengths of frame height, masses on tires."""

    frame_height: Array
    travel: Array
    tire_mass: Array


def turn_effects(
    ready: Stand, springs: StackCurve, rest: Rest, influence: Influence, case: int, *, of: str = "adjuster"
) -> TurnEffect:
    """Return the effect of running each adjuster down, or each ring up the body, by one turn, at the rate where it stands.

    `rest` and its `influence` are those of these springs in all load cases.
    Past the crossover the adjuster does nothing and only the ring counts; before it, the ring does nothing.
    """
    push = (_push(springs, rest.travel[case : case + 1], of) * ready.turn)[0]
    return TurnEffect(
        frame_height=influence.frame_height[case] * push,
        travel=influence.travel[case] * push,
        tire_mass=influence.tire_load[case] * push / GRAVITY,
    )


def _push(springs: StackCurve, travel: Array, of: str = "adjuster") -> Array:
    """Return how a coil-over's force grows, its length held, with the length that its adjuster or ring is turned."""
    before, after = springs.force(travel), springs.turned(**{of: _SLIGHT}).force(travel)
    bound = ~(np.isfinite(before) & np.isfinite(after))
    with np.errstate(invalid="ignore"):
        moved = (after - before) / _SLIGHT
    # Springs that are bound push with all that the adjuster is run down; their ring does nothing any more.
    return np.where(bound, SOLID_RATE if of == "adjuster" else 0.0, moved)


# --- leveling ------------------------------------------------------------------------------------------------------------------

LEVEL_FRAME, LEVEL_DAMPERS, CROSS_WEIGHT = "frame", "dampers", "cross weight"
RULES = {
    LEVEL_FRAME: "The body is brought level across, each axle keeps its mean height, and the cross weight stays "
    "what it is.",
    LEVEL_DAMPERS: "Left and right dampers are brought to the same length at each axle, and each axle keeps its mean "
    "height.",
    CROSS_WEIGHT: "The cross weight is brought to what is wanted, each axle keeps its mean height, and the body keeps "
    "its lean.",
}


@dataclass(frozen=True, kw_only=True, eq=False)
class Leveling:
    """The preload that each corner needs, from equal ones, and the rule that made four adjusters answer to four aims.

    `problem` is why there are no such turns; `loose` names corners whose springs they would leave without any preload.
    Cross share, body roll and damper travel are those after the turns.
    """

    rule: str
    turns: tuple[float, ...]
    preload: tuple[float, ...]
    problem: str
    loose: str
    absurd: str
    cross_share: float
    body_roll: float
    travel: tuple[float, ...]

    @property
    def refused(self) -> str:
        """Why nobody is to turn so: it cannot be reached, or springs would hang loose."""
        return self.problem or self.loose


def level(
    ready: Stand,
    springs: StackCurve,
    case: int,
    *,
    aim: str,
    cross_share: float | None = None,
    rest: Rest | None = None,
) -> Leveling:
    """Return the adjuster turns that level the rig in one load case, rings left where they stand.

    `aim` is "frame", "dampers" or "cross weight"; the wanted cross share is needed for the last, and may be given with
    the first. `rest` is the one on these springs in all load cases, where it is known.
    Refuses in `problem`: a corner past its crossover does not answer to its adjuster.
    """
    return levels(ready, springs, case, wanted=((aim, cross_share),), rest=rest)[0]


def levels(
    ready: Stand,
    springs: StackCurve,
    case: int,
    *,
    wanted: Sequence[tuple[str, float | None]],
    rest: Rest | None = None,
) -> tuple[Leveling, ...]:
    """Return what `level` does for several aims with their cross shares, solved together."""
    one, count = ready.only(case), len(wanted)
    moved = np.zeros((count, 4))
    now = one.solve(springs).rows([0] * count) if rest is None else rest.rows([case] * count)
    aims = np.array([_aim(now, place, *wish) for place, wish in enumerate(wanted)])
    problems = [_fallen(now, place) for place in range(count)]
    reached = [bool(problem) for problem in problems]
    for _ in range(_MOST_ROUNDS):
        if all(reached):
            break
        turned = springs.turned(adjuster=moved)
        push = _push(turned, now.travel)
        influence = now.influence()
        near = now.state.copy()
        for place in range(count):
            if reached[place]:
                continue
            problems[place] = _idle(turned, now, place, push[place])
            step = None
            if not problems[place]:
                step, problems[place] = _step(now, influence, place, wanted[place][0], aims[place], push[place])
            reached[place] = step is None
            if step is not None:
                step = step * min(1.0, 0.5 * INCH / max(float(np.abs(step).max()), 1e-12))
                moved[place] += step
                near[place] += influence.state[place] @ (push[place] * step)
        if all(reached):
            break
        now = one.solve(springs.turned(adjuster=moved), start=near)
        for place in range(count):
            if not reached[place]:
                problems[place] = _fallen(now, place)
                reached[place] = bool(problems[place])
    return tuple(
        _leveling(
            ready, springs, aim, moved[place], problems[place] if reached[place] else REFUSALS[NOT_FOUND], now, place
        )
        for place, (aim, _) in enumerate(wanted)
    )


def _aim(rest: Rest, place: int, aim: str, cross_share: float | None) -> tuple[float, ...]:
    share = float(rest.cross_share[place]) if cross_share is None else cross_share
    lean = float(rest.body_roll[place]) if aim == CROSS_WEIGHT else 0.0
    return (*_means(rest.frame_height[place]), lean, share if aim != LEVEL_DAMPERS else 0.0)


def _idle(springs: StackCurve, rest: Rest, place: int, push: Array) -> str:
    """Return which adjusters do nothing where the rig stands, and why; nothing where all of them work."""
    idle = [corner for corner in range(4) if push[corner] <= 0]
    if not idle:
        return ""
    carrying = np.broadcast_to(springs.force(rest.travel), rest.travel.shape)[place]
    loose = [corner for corner in idle if carrying[corner] <= 0]
    if loose:
        return _hanging(loose)
    return (
        f"The adjuster does nothing at the {_named(idle)}, which {'sit' if len(idle) > 1 else 'sits'} past "
        f"{'their' if len(idle) > 1 else 'its'} crossover: turn the ring there."
    )


def _hanging(loose: Sequence[int]) -> str:
    return (
        f"On the way to it the springs would hang loose at the {_named(loose)}: no preload is left to take off there. "
        "Move weight across instead, or use springs of their own on each side."
    )


def _named(corners: Sequence[int]) -> str:
    return " and the ".join(words(CORNERS[corner]) for corner in corners)


def _step(rest: Rest, influence: Influence, place: int, aim: str, aims: Array, push: Array) -> tuple[Array | None, str]:
    """Return the lengths to turn on next, or None with the problem that ends it, or with none once it is reached."""
    reached, slopes = _aimed(rest, influence, place, aim, push)
    if np.abs(aims - reached).max() <= _CLOSE_ENOUGH:
        return None, ""
    try:
        return np.asarray(np.linalg.solve(slopes, aims - reached), dtype=np.float64), ""
    except np.linalg.LinAlgError:
        return None, "Turning the adjusters cannot reach this: what is asked does not answer to them."


def _leveling(
    ready: Stand, springs: StackCurve, aim: str, moved: Array, problem: str, rest: Rest, place: int
) -> Leveling:
    preload = (springs.preload + moved)[0]
    turns = moved / ready.turn[0]
    # At full droop, which a strap may end early, springs without any preload hang loose and rattle.
    seated = preload + np.repeat([one.strap_travel for one in ready.coilovers], 2)
    loose = [corner for corner in range(4) if seated[corner] < -_SLIGHT and moved[corner] < -_SLIGHT]
    return Leveling(
        rule=RULES[aim],
        turns=tuple(float(value) for value in turns),
        preload=tuple(float(value) for value in preload),
        problem=problem,
        loose=_hanging(loose) if loose and not problem else "",
        absurd="" if problem or loose else _absurd(turns, moved),
        cross_share=float(rest.cross_share[place]),
        body_roll=float(rest.body_roll[place]),
        travel=tuple(float(value) for value in rest.travel[place]),
    )


def _fallen(rest: Rest, place: int) -> str:
    status = int(rest.status[place])
    return "" if stands(status) else REFUSALS[status]


def _means(corners: Any) -> Any:
    return (corners[0] + corners[1]) / 2, (corners[2] + corners[3]) / 2


def _aimed(rest: Rest, influence: Influence, place: int, aim: str, push: Array) -> tuple[Array, Array]:
    """Return the four aims as they stand and how each answers to the four adjusters."""
    travel, height = rest.travel[place], rest.frame_height[place]
    by_travel, by_height, by_load = influence.travel[place], influence.frame_height[place], influence.tire_load[place]
    reached = [*_means(height)]
    slopes = [*_means(by_height)]
    if aim == LEVEL_DAMPERS:
        reached += [travel[0] - travel[1], travel[2] - travel[3]]
        slopes += [by_travel[0] - by_travel[1], by_travel[2] - by_travel[3]]
    else:
        total = rest.tire_load[place].sum()
        reached += [rest.body_roll[place], rest.cross_share[place]]
        slopes += [influence.body_roll[place], (by_load[1] + by_load[2]) / total]
    return np.array(reached), np.array(slopes) * push


def _absurd(turns: Array, moved: Array) -> str:
    worst = int(np.argmax(np.abs(moved)))
    if abs(float(moved[worst])) <= MOST_TURNED:
        return ""
    what = f"{abs(turns[worst]):.0f} turns at the {words(CORNERS[worst])}"
    return f"Absurd: {what}. Soft springs move weight little by preload: move weight across instead."
