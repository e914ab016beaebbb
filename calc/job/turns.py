"""What one turn of an adjuster or a ring does at all four corners, and the turns that level a rig or set its cross weight.

Adjuster and ring act as they do on the bench: turning the adjuster leaves the ring where it stands on the body.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.constants import GRAVITY
from calc.job.at_rest import Stand, stands, words
from calc.job.rig import CORNERS
from calc.ride._rest import NOT_FOUND, REFUSALS, Influence, Rest
from calc.ride._rest_energy import SOLID_RATE, Array
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

    Cross share, body roll and damper travel are those after the turns.
    """

    rule: str
    turns: tuple[float, ...]
    preload: tuple[float, ...]
    problem: str
    absurd: str
    cross_share: float
    body_roll: float
    travel: tuple[float, ...]


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
        push = _push(springs.turned(adjuster=moved), now.travel)
        influence = now.influence()
        near = now.state.copy()
        for place in range(count):
            if reached[place]:
                continue
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


def _step(rest: Rest, influence: Influence, place: int, aim: str, aims: Array, push: Array) -> tuple[Array | None, str]:
    """Return the lengths to turn on next, or None with the problem that ends it, or with none once it is reached."""
    idle = [words(CORNERS[corner]) for corner in range(4) if push[corner] <= 0]
    if idle:
        problem = f"The adjuster does nothing at the {' and the '.join(idle)}, which stands past its crossover: "
        return None, problem + "turn the ring there."
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
    return Leveling(
        rule=RULES[aim],
        turns=tuple(float(value) for value in turns),
        preload=tuple(float(value) for value in preload),
        problem=problem,
        absurd="" if problem else _absurd(turns, moved, preload),
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


def _absurd(turns: Array, moved: Array, preload: Array) -> str:
    worst = int(np.argmax(np.abs(moved)))
    far = abs(float(moved[worst])) > MOST_TURNED
    loose = [words(CORNERS[place]) for place in range(4) if preload[place] < 0]
    if not far and not loose:
        return ""
    what = f"{abs(turns[worst]):.0f} turns at the {words(CORNERS[worst])}" if far else "the springs would rattle loose"
    where = f", and the springs would hang loose at the {' and the '.join(loose)}" if loose and far else ""
    return f"Absurd: {what}{where}. Soft springs move weight little by preload: move weight across instead."
