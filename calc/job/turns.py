"""What one turn of an adjuster or a ring does at all four corners, and the turns that level a rig or set its cross weight.

Adjuster and ring act as they do on the bench: turning the adjuster leaves the ring where it stands on the body.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.constants import GRAVITY
from calc.job.at_rest import Stand, stands, words
from calc.job.rig import CORNERS
from calc.ride._rest import NOT_FOUND, REFUSALS, Array, Influence, Rest
from calc.spring._stack_curve import StackCurve
from calc.units import INCH

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
    moved = (springs.turned(**{of: _SLIGHT}).force(travel) - springs.force(travel)) / _SLIGHT
    return np.where(np.isfinite(moved), moved, 0.0)


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
    """The preload that each corner needs, from equal ones, and the rule that made four adjusters answer to four aims."""

    rule: str
    turns: tuple[float, ...]
    preload: tuple[float, ...]
    problem: str
    absurd: str
    rest: Rest


def level(
    ready: Stand,
    springs: StackCurve,
    case: int,
    *,
    aim: str,
    cross_share: float | None = None,
    start: Array | None = None,
) -> Leveling:
    """Return the adjuster turns that level the rig in one load case, rings left where they stand.

    `aim` is "frame", "dampers" or "cross weight"; the wanted cross share is needed for the last, and may be given with
    the first. `start` is the state in which these springs rest, where it is known.
    Refuses in `problem`: a corner past its crossover does not answer to its adjuster.
    """
    one = ready.only(case)
    first = now = one.solve(springs, start=start)
    wanted = float(first.cross_share[0]) if cross_share is None else cross_share
    aims = np.array([*_means(first.frame_height[0]), 0.0, wanted if aim != LEVEL_DAMPERS else 0.0])
    if aim == CROSS_WEIGHT:
        aims[2] = first.body_roll[0]
    moved = np.zeros(4)
    current = springs
    problem = _fallen(first)
    for _ in range(_MOST_ROUNDS):
        if problem:
            break
        push = _push(current, now.travel)[0]
        idle = [words(CORNERS[place]) for place in range(4) if push[place] <= 0]
        if idle:
            problem = f"The adjuster does nothing at the {' and the '.join(idle)}, which stands past its crossover: "
            problem += "turn the ring there."
            break
        reached, slopes = _aimed(now, aim, push)
        if np.abs(aims - reached).max() <= _CLOSE_ENOUGH:
            break
        try:
            step = np.linalg.solve(slopes, aims - reached)
        except np.linalg.LinAlgError:
            problem = "Turning the adjusters cannot reach this: what is asked does not answer to them."
            break
        moved = moved + step * min(1.0, 0.5 * INCH / max(float(np.abs(step).max()), 1e-12))
        current = springs.turned(adjuster=moved)
        now = one.solve(current, start=now.state)
        problem = _fallen(now)
    else:
        problem = REFUSALS[NOT_FOUND]
    preload = (springs.preload + moved)[0]
    turns = moved / ready.turn[0]
    return Leveling(
        rule=RULES[aim],
        turns=tuple(float(value) for value in turns),
        preload=tuple(float(value) for value in preload),
        problem=problem,
        absurd="" if problem else _absurd(turns, moved, preload),
        rest=now,
    )


def _fallen(rest: Rest) -> str:
    status = int(rest.status[0])
    return "" if stands(status) else REFUSALS[status]


def _means(corners: Any) -> Any:
    return (corners[0] + corners[1]) / 2, (corners[2] + corners[3]) / 2


def _aimed(rest: Rest, aim: str, push: Array) -> tuple[Array, Array]:
    """Return the four aims as they stand and how each answers to the four adjusters."""
    influence = rest.influence()
    travel, height = rest.travel[0], rest.frame_height[0]
    by_travel, by_height, by_load = influence.travel[0], influence.frame_height[0], influence.tire_load[0]
    reached = [*_means(height)]
    slopes = [*_means(by_height)]
    if aim == LEVEL_DAMPERS:
        reached += [travel[0] - travel[1], travel[2] - travel[3]]
        slopes += [by_travel[0] - by_travel[1], by_travel[2] - by_travel[3]]
    else:
        total = rest.tire_load[0].sum()
        reached += [rest.body_roll[0], rest.cross_share[0]]
        slopes += [influence.body_roll[0], (by_load[1] + by_load[2]) / total]
    return np.array(reached), np.array(slopes) * push


def _absurd(turns: Array, moved: Array, preload: Array) -> str:
    worst = int(np.argmax(np.abs(moved)))
    far = abs(float(moved[worst])) > MOST_TURNED
    loose = [words(CORNERS[place]) for place in range(4) if preload[place] < 0]
    if not far and not loose:
        return ""
    what = f"{abs(turns[worst]):.0f} turns at the {words(CORNERS[worst])}" if far else "the springs would rattle loose"
    where = f", and the springs would hang loose at the {' and the '.join(loose)}" if loose and far else ""
    return f"Absurd: {what}{where}. Soft springs move weight little by preload: move weight across instead."
