"""The rig at rest, from its entries: every corner's height and tire load on any springs, in every load case.

The whole rig is solved at once (calc/ride/_rest.py), so a side difference is shared by the rigid frame as it is in the
shop. Adjuster and ring act as they do on the bench: turning the adjuster leaves the ring where it stands on the body.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc.constants import GRAVITY
from calc.errors import FieldError, InputError
from calc.job import axle as axles
from calc.job.axle import Needs
from calc.job.coilover import Coilover
from calc.job.rig import AXLES, CORNERS, LoadCase, Rig, corner_masses, unsprung_mass
from calc.ride._rest import (
    NOT_FOUND,
    ON_STOPS,
    REFUSALS,
    SOLID_RATE,
    STANDS,
    Array,
    AxialForces,
    Rest,
    RestRigs,
    solve,
)
from calc.spring._helped_curve import stack_curve
from calc.spring._stack_curve import StackCurve
from calc.units import INCH

# What the rest solve cannot do without, besides the corner weights, in the order in which a builder would look for it.
NEEDED = (
    "track",
    "unsprung_mass",
    "mount_base",
    "mount_height",
    "roll_center_height",
    "lean",
    "damper_length",
    "tire_rate",
    "damper_extended",
    "damper_stroke",
    "solid_before_collapsed",
)
OLD_SPRINGS = ("old_main_rate", "old_preload")
# The bump stop between touching and solid: an assumption, until its curve is measured.
PAD_RATE = 1e5
# More thread than this to be turned is called absurd: ours, no source.
MOST_TURNED = 1.0 * INCH

_SLIGHT = 1e-7
_CLOSE_ENOUGH = 1e-9
_MOST_ROUNDS = 40


@dataclass(frozen=True, kw_only=True, eq=False)
class Stand:
    """A rig without its springs, in its load cases, ready to be solved on any springs."""

    cases: tuple[LoadCase, ...]
    coilovers: tuple[Coilover, Coilover]
    pad_touch: Array
    turn: Array
    parts: Mapping[str, Any]
    by_case: Mapping[str, Array]
    assumed: tuple[str, ...]

    def rigs(self, springs: StackCurve) -> RestRigs:
        """Return the rigs of some sets (sets, 4), each set in all load cases one after the other."""
        sets, cases = len(np.atleast_2d(springs.main_rate)), len(self.cases)
        bump_limit = np.repeat(np.array([[one.bump_limit for one in self.coilovers]]), 2, axis=1)
        level = np.zeros((sets, 4))
        touch = np.minimum(self.pad_touch, bump_limit)
        pieces = springs.pieces()
        places = (*(place for place, _ in pieces), springs.solid_travel, touch, bump_limit)
        rates = (
            *(rate for _, rate in pieces),
            SOLID_RATE,
            np.where(self.pad_touch < bump_limit, PAD_RATE, 0.0),
            SOLID_RATE,
        )
        solid = np.minimum(bump_limit, springs.solid_travel) + level

        def axle(name: str) -> Array:
            return np.repeat(np.array([[getattr(one, name) for one in self.coilovers]]), 2, axis=1)

        def each(values: Array) -> Array:
            return np.repeat(values, cases, axis=0)

        return RestRigs(
            **{name: np.concatenate([value] * sets) for name, value in self.by_case.items()},
            **self.parts,
            solid_travel=each(solid),
            forces=AxialForces(
                places=each(np.stack([place + level for place in places], axis=-1)),
                rates=each(np.stack([rate + level for rate in rates], axis=-1)),
                strap_travel=axle("strap_travel"),
                gas_pressure=axle("gas_pressure"),
                gas_volume=axle("gas_volume"),
                rod_area=axle("rod_area"),
                gas_limit=bump_limit,
            ),
        )

    def solve(self, springs: StackCurve) -> Rest:
        """Return the rest of some sets (sets, 4), each set in all load cases one after the other."""
        return solve(self.rigs(springs))

    def only(self, case: int) -> Stand:
        """Return the stand in one load case."""
        part = {name: value[case : case + 1] for name, value in self.by_case.items()}
        return replace(self, cases=self.cases[case : case + 1], by_case=part)


def four(front: StackCurve, rear: StackCurve) -> StackCurve:
    """Return the springs of one set, both sides of an axle alike, as one curve of shape (1, 4)."""
    return of_corners((front, front, rear, rear))


def of_corners(springs: Sequence[StackCurve]) -> StackCurve:
    """Return the springs of the four corners as one curve of shape (1, 4)."""
    names = (
        *("main_rate", "preload", "tender_rate", "ring_gap", "tender_stroke", "main_stroke"),
        *("helper_rate", "helper_stroke", "helper_ring_gap"),
    )
    values: dict[str, Any] = {name: np.array([[float(getattr(one, name)) for one in springs]]) for name in names}
    return stack_curve(**values)


def turned(springs: StackCurve, *, adjuster: Any = 0.0, ring: Any = 0.0) -> StackCurve:
    """Return the springs after adjusters are run down and rings run up the body, each by a length."""
    return springs.turned(adjuster=adjuster, ring=ring)


# --- from the rig's entries ------------------------------------------------------------------------------------------------


def needs(rig: Rig) -> tuple[str, ...]:
    """Return the keys that the rest solve still needs, springs apart."""
    missing = [key for key in (*(f"{corner}.corner_mass" for corner in CORNERS), "wheelbase") if rig.get(key) is None]
    for axle in AXLES:
        for name in NEEDED:
            alternative = axles.INSTEAD.get(name)
            if rig.get(f"{axle}.{name}") is None and (alternative is None or rig.get(f"{axle}.{alternative}") is None):
                missing.append(f"{axle}.{name}")
    return tuple(missing)


def old_springs(rig: Rig) -> StackCurve | Needs:
    """Return the springs that the rig was weighed on, or what is not known of them. Their solid lengths are not asked."""
    missing = tuple(f"{axle}.{name}" for axle in AXLES for name in OLD_SPRINGS if rig.get(f"{axle}.{name}") is None)
    if missing:
        return Needs(keys=missing)
    front, rear = (
        StackCurve(
            tender_rate=rig.get(f"{axle}.old_tender_rate"),
            main_rate=rig.get(f"{axle}.old_main_rate"),
            preload=rig.get(f"{axle}.old_preload"),
        )
        for axle in AXLES
    )
    return four(front, rear)


def stand(rig: Rig) -> Stand | Needs:
    """Return the rig ready to be solved, or what it still needs or what contradicts itself."""
    missing = needs(rig)
    if missing:
        return Needs(keys=missing)
    try:
        return _stand(rig)
    except InputError as wrong:
        return Needs(keys=tuple(e.field for e in wrong.errors), sentences=tuple(e.message() for e in wrong.errors))
    except FieldError as error:
        return Needs(keys=(error.field,), sentences=(error.message(),))


def _stand(rig: Rig) -> Stand:
    assumed: list[str] = []

    def two(name: str, absent: float = 0.0) -> Array:
        values = [rig.get(f"{axle}.{name}") for axle in AXLES]
        return np.array([[absent if value is None else float(value) for value in values]])

    coilovers = tuple(axles.coilover(rig, axle) for axle in AXLES)
    front, rear = coilovers
    stroke, pad = two("damper_stroke"), two("pad_touch_before_collapsed", math.inf)
    by_ratio = np.array([[one.fixed_ratio is not None for one in coilovers]])
    lean, below = two("lean"), two("mount_height") - two("roll_center_height")
    length = two("damper_length")
    middle = np.array([[one.bump_limit / 2 for one in coilovers]])
    read_at = np.where(length > 0, two("damper_extended") - length, middle)
    # Where the motion ratio was measured, the springs act in roll on the base at the height of the roll center.
    base = np.where(by_ratio, two("mount_base") + 2 * below * np.tan(lean), two("mount_base"))
    radius = two("tire_loaded_radius", math.nan)
    if np.any(np.isnan(radius)):
        assumed.append("the unsprung weight's height taken as the roll center's")
    if np.any(np.isfinite(pad)):
        assumed.append(f"bump stops of {PAD_RATE / 1000:.0f} N/mm between touching and solid")
    unsprung_height = np.where(np.isnan(radius), two("roll_center_height"), radius)
    cases = rig.cases()
    loads = [_loads(rig, case, unsprung_height[0]) for case in cases]
    if any(case.center_of_gravity_height is None for case in cases):
        assumed.append("the weight's height above the roll centers left out where it is not entered")
    none = np.zeros((1, 2))
    return Stand(
        cases=cases,
        coilovers=(front, rear),
        pad_touch=np.repeat(np.where(np.isfinite(pad), stroke - pad, math.inf), 2, axis=1),
        turn=np.repeat(1.0 / two("adjuster_turns_per_length", 12.0 / INCH), 2, axis=1),
        parts={
            "roll_center_height": two("roll_center_height"),
            "unsprung_height": unsprung_height,
            "track": two("track"),
            "independent": none > 0,
            "bar_rate": none,
            "tire_rate": two("tire_rate"),
            "extended_length": two("damper_extended"),
            "lean": lean,
            "eye_length": np.where(length > 0, length, two("damper_extended")),
            "mount_base": base,
            "mount_height": two("mount_height"),
            "by_ratio": by_ratio,
            "motion_ratio": two("motion_ratio", 1.0),
            "motion_ratio_slope": two("motion_ratio_slope"),
            "ratio_travel": read_at,
        },
        by_case={name: np.stack([load[name] for load in loads]) for name in loads[0]},
        assumed=tuple(assumed),
    )


def _loads(rig: Rig, case: LoadCase, unsprung_height: Array) -> dict[str, Array]:
    """Return what a load case weighs: the sprung part and its place, the unsprung parts and theirs."""
    readings = corner_masses(rig, case)
    if readings is None:
        raise FieldError("left_front.corner_mass", "The corner weights are missing.")
    left, right = (np.array([readings[f"{side}_{axle}"] for axle in AXLES]) for side in ("left", "right"))
    track = np.array([float(rig.get(f"{axle}.track")) for axle in AXLES])
    unsprung = np.array([unsprung_mass(rig, axle, case.items) or 0.0 for axle in AXLES])
    moments = np.array([_unsprung_moment(rig, axle, case) for axle in AXLES])
    sprung = left + right - unsprung
    for place, axle in enumerate(AXLES):
        if sprung[place] <= 0:
            axles.case_load(rig, axle, case)  # says what is wrong with it
    total = sprung.sum()
    wheelbase = float(rig.get("wheelbase"))
    centers = np.array([float(rig.get(f"{axle}.roll_center_height")) for axle in AXLES])
    axis = float((sprung * centers).sum() / total)
    whole = case.center_of_gravity_height
    height = axis if whole is None else ((left + right).sum() * whole - (unsprung * unsprung_height).sum()) / total
    return {
        "sprung_weight": np.asarray(total * GRAVITY),
        "front_arm": np.asarray(wheelbase * sprung[1] / total),
        "rear_arm": np.asarray(wheelbase * sprung[0] / total),
        "sprung_left": np.asarray((((left - right) * track / 2).sum() - moments.sum()) / total),
        "sprung_height": np.asarray(height),
        "unsprung_weight": unsprung * GRAVITY,
        "unsprung_left": moments / np.where(unsprung > 0, unsprung, 1.0),
    }


def _unsprung_moment(rig: Rig, axle: str, case: LoadCase) -> float:
    own = float(rig.get(f"{axle}.unsprung_mass")) * float(rig.get(f"{axle}.unsprung_left_of_center") or 0.0)
    return own + sum(item.mass * item.left_of_center for item in case.items if item.carried == f"{axle} axle")


# --- what each corner does -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class CornerAtRest:
    """One corner in one load case. Frame heights count from a level common to all cases and springs of a rig."""

    name: str
    tire_mass: float
    travel: float
    bump_left: float
    droop_left: float
    damper_length: float
    axial_force: float
    frame_height: float
    state: str


@dataclass(frozen=True, kw_only=True)
class CaseAtRest:
    """One load case: a sentence where the rig does not stand as it should, and its corners where it stands at all."""

    name: str
    label: str
    status: int
    problem: str
    corners: tuple[CornerAtRest, ...]
    cross_share: float
    body_roll: float
    body_pitch: float
    roll_margin: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class AtRest:
    """A rig on one set of springs in every load case."""

    cases: tuple[CaseAtRest, ...]
    assumed: tuple[str, ...]


def at_rest(rig: Rig, springs: StackCurve | Needs) -> AtRest | Needs:
    """Return how the rig stands on these springs, of shape (1, 4), in every load case; or what that still needs."""
    ready = stand(rig)
    if isinstance(ready, Needs) or isinstance(springs, Needs):
        wanting = [one for one in (ready, springs) if isinstance(one, Needs)]
        return Needs(
            keys=tuple(dict.fromkeys(key for one in wanting for key in one.keys)),
            sentences=tuple(text for one in wanting for text in one.sentences),
        )
    rest = ready.solve(springs)
    return AtRest(
        cases=tuple(_case(ready, rest, springs, index) for index in range(len(ready.cases))), assumed=ready.assumed
    )


def _case(ready: Stand, rest: Rest, springs: StackCurve, index: int) -> CaseAtRest:
    case, status = ready.cases[index], int(rest.status[index])
    corners = tuple(_corner(ready, rest, springs, index, place) for place in range(4)) if _stands(status) else ()
    margin = float(rest.roll_margin[index])
    problem = REFUSALS.get(status, "")
    if status == ON_STOPS:
        where = [_words(corner.name) for corner in corners if corner.state == "on its stop"]
        problem = f"{problem.rstrip('.')} ({', '.join(where)})."
    return CaseAtRest(
        name=case.name,
        label=case.label,
        status=status,
        problem=problem,
        corners=corners,
        cross_share=float(rest.cross_share[index]),
        body_roll=float(rest.body_roll[index]),
        body_pitch=float(rest.body_pitch[index]),
        roll_margin=margin if math.isfinite(margin) and case.center_of_gravity_height is not None else None,
    )


def _stands(status: int) -> bool:
    return status in (STANDS, ON_STOPS)


def _corner(ready: Stand, rest: Rest, springs: StackCurve, index: int, place: int) -> CornerAtRest:
    one = ready.coilovers[place // 2]
    travel = float(rest.travel[index, place])
    load = float(rest.tire_load[index, place])
    if load <= 0:
        state = "tire off the ground"
    elif travel > min(one.bump_limit, float(springs.solid_travel[0, place])):
        state = "on its stop"
    elif travel > ready.pad_touch[0, place]:
        state = "on its bump stop"
    elif travel < one.strap_travel:
        state = "hanging on its strap"
    elif travel > springs.step_travel[0, place]:
        state = "past the crossover"
    else:
        state = ""
    return CornerAtRest(
        name=CORNERS[place],
        tire_mass=load / GRAVITY,
        travel=travel,
        bump_left=one.bump_limit - travel,
        droop_left=travel - one.strap_travel,
        damper_length=float(rest.damper_length[index, place]),
        axial_force=float(rest.axial_force[index, place]),
        frame_height=float(rest.frame_height[index, place]),
        state=state,
    )


def _words(corner: str) -> str:
    return corner.replace("_", " ")


# --- one turn ------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True, eq=False)
class TurnEffect:
    """What one turn at each corner does: rows answer, columns are turned. Lengths of frame height, masses on tires."""

    frame_height: Array
    travel: Array
    tire_mass: Array


def turn_effects(ready: Stand, springs: StackCurve, case: int, *, of: str = "adjuster") -> TurnEffect:
    """Return the effect of running each adjuster down, or each ring up the body, by one turn, at the rate where it stands.

    Past the crossover the adjuster does nothing and only the ring counts; before it, the ring does nothing.
    """
    rest = ready.only(case).solve(springs)
    influence = rest.influence()
    push = _push(springs, rest.travel, of) * ready.turn
    return TurnEffect(
        frame_height=influence.frame_height[0] * push,
        travel=influence.travel[0] * push,
        tire_mass=influence.tire_load[0] * push / GRAVITY,
    )


def _push(springs: StackCurve, travel: Array, of: str = "adjuster") -> Array:
    """Return how a coil-over's force grows, its length held, with the length that its adjuster or ring is turned."""
    moved: Array = (turned(springs, **{of: _SLIGHT}).force(travel) - springs.force(travel)) / _SLIGHT
    return np.where(np.isfinite(moved), moved, 0.0)


# --- leveling ------------------------------------------------------------------------------------------------------------------

LEVEL_FRAME, LEVEL_DAMPERS, CROSS_WEIGHT = "frame", "dampers", "cross weight"
RULES = {
    LEVEL_FRAME: "The frame is brought level across, each axle keeps its mean height, and the cross weight stays "
    "what it is.",
    LEVEL_DAMPERS: "Left and right dampers are brought to the same length at each axle, and each axle keeps its mean "
    "height.",
    CROSS_WEIGHT: "The cross weight is brought to what is wanted, each axle keeps its mean height, and the frame keeps "
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


def level(ready: Stand, springs: StackCurve, case: int, *, aim: str, cross_share: float | None = None) -> Leveling:
    """Return the adjuster turns that level the rig in one load case, rings left where they stand.

    `aim` is "frame", "dampers" or "cross weight"; the wanted cross share is needed for the last, and may be given with
    the first. Refuses in `problem`: a corner past its crossover does not answer to its adjuster.
    """
    one = ready.only(case)
    first = now = one.solve(springs)
    wanted = float(first.cross_share[0]) if cross_share is None else cross_share
    aims = np.array([*_means(first.frame_height[0]), 0.0, wanted if aim != LEVEL_DAMPERS else 0.0])
    if aim == CROSS_WEIGHT:
        aims[2] = first.body_roll[0]
    moved = np.zeros(4)
    current = springs
    problem = "" if _stands(int(first.status[0])) else REFUSALS[int(first.status[0])]
    for _ in range(_MOST_ROUNDS):
        if problem:
            break
        push = _push(current, now.travel)[0]
        idle = [_words(CORNERS[place]) for place in range(4) if push[place] <= 0]
        if idle:
            problem = f"The adjuster does nothing at the {' and the '.join(idle)}, which stands past its crossover: "
            problem += "turn the ring there."
            break
        reached, slopes = _aimed(now, aim, push)
        if np.abs(aims - reached).max() <= _CLOSE_ENOUGH:
            break
        step = np.linalg.solve(slopes, aims - reached)
        moved = moved + step * min(1.0, 0.5 * INCH / max(float(np.abs(step).max()), 1e-12))
        current = turned(springs, adjuster=moved)
        now = one.solve(current)
        problem = "" if _stands(int(now.status[0])) else REFUSALS[int(now.status[0])]
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
    loose = [_words(CORNERS[place]) for place in range(4) if preload[place] < 0]
    if not far and not loose:
        return ""
    what = f"{abs(turns[worst]):.0f} turns at the {_words(CORNERS[worst])}" if far else "the springs would rattle loose"
    where = f", and the springs would hang loose at the {' and the '.join(loose)}" if loose and far else ""
    return f"Absurd: {what}{where}. Soft springs move weight little by preload: move weight across instead."
