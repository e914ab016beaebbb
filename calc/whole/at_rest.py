"""The rig at rest, from its entries: every corner's height and tire load on any springs, in every load case.

The whole rig is solved at once (calc/ride/_rest.py), so a side difference is shared by the rigid frame as it is in the
shop.
"""

# Over 400 lines: a rig as its entries make it and what it does at rest mirror each other, entry by entry.

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc.constants import GRAVITY
from calc.damper._pad import pad_cubic
from calc.errors import FieldError, InputError, Needs
from calc.memo import Memo
from calc.ride._rest import ON_STOPS, REFUSALS, STANDS, Rest, solve
from calc.ride._rest_energy import SOLID_RATE, Array, AxialForces, RestRigs
from calc.rig import axle as axles
from calc.rig import mounts, track_bar
from calc.rig.entries import AXLES, CORNERS
from calc.rig.loads import corner_masses, unsprung_mass, unsprung_moment
from calc.rig.misread import in_the_way_at_rest, misread
from calc.rig.rig import LoadCase, Rig
from calc.search.coilover import Coilover
from calc.spring._helped_curve import stack_curve
from calc.spring._stack_curve import StackCurve
from calc.units import INCH
from calc.whole.stance import Stance, stances

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
# The bump stop between touching and solid: an assumption, until its rate is measured.
PAD_RATE = 1e5


# What a stack is made of; a divider that hangs on its tender is the same at rest.
_PARTS = (
    *("main_rate", "preload", "tender_rate", "ring_gap", "tender_stroke", "main_stroke"),
    *("helper_rate", "helper_stroke", "helper_ring_gap"),
)


@dataclass(frozen=True, kw_only=True, eq=False)
class Stand:
    """A rig without its springs, in its load cases, ready to be solved on any springs."""

    cases: tuple[LoadCase, ...]
    coilovers: tuple[Coilover, Coilover]
    pad_touch: Array
    pad_rate: Array
    pad_cubic: Array
    turn: Array
    read: tuple[bool, bool]
    parts: Mapping[str, Any]
    by_case: Mapping[str, Array]
    assumed: tuple[str, ...]

    def rigs(self, springs: StackCurve) -> RestRigs:
        """Return the rigs of some sets (sets, 4), each set in all load cases one after the other."""
        cases = len(self.cases)
        sets = max(len(np.atleast_2d(part)) for part in (springs.main_rate, springs.preload))
        bump_limit = np.repeat(np.array([[one.bump_limit for one in self.coilovers]]), 2, axis=1)
        level = np.zeros((sets, 4))
        touch = np.minimum(self.pad_touch, bump_limit)
        pieces = springs.pieces()
        places = (*(place for place, _ in pieces), springs.solid_travel, touch, bump_limit)
        rates = (
            *(rate for _, rate in pieces),
            SOLID_RATE,
            np.where(self.pad_touch < bump_limit, self.pad_rate, 0.0),
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
                pad_place=touch,
                pad_depth=bump_limit - touch,
                pad_cubic=self.pad_cubic,
                strap_travel=axle("strap_travel"),
                gas_pressure=axle("gas_pressure"),
                gas_volume=axle("gas_volume"),
                rod_area=axle("rod_area"),
                gas_limit=bump_limit,
            ),
        )

    def solve(self, springs: StackCurve, start: Array | None = None) -> Rest:
        """Return the rest of some sets (sets, 4), each set in all load cases one after the other.

        `start` is a state near by, where one is known.
        """
        return solve(self.rigs(springs), start)

    def only(self, case: int) -> Stand:
        """Return the stand in one load case."""
        part = {name: value[case : case + 1] for name, value in self.by_case.items()}
        return replace(self, cases=self.cases[case : case + 1], by_case=part)


def four(front: StackCurve, rear: StackCurve) -> StackCurve:
    """Return the springs of one set, both sides of an axle alike, as one curve of shape (1, 4)."""
    return of_corners((front, front, rear, rear))


def of_corners(*sets: Sequence[StackCurve]) -> StackCurve:
    """Return the springs of the four corners, of one set or of several, as one curve of shape (sets, 4)."""
    each = {id(one): one for corners in sets for one in corners}
    places = {key: place for place, key in enumerate(each)}
    chosen = np.array([[places[id(one)] for one in corners] for corners in sets])
    values: dict[str, Any] = {
        name: np.array([float(getattr(one, name)) for one in each.values()])[chosen] for name in _PARTS
    }
    return stack_curve(**values)


# --- from the rig's entries ------------------------------------------------------------------------------------------------


def needs(rig: Rig) -> tuple[str, ...]:
    """Return the keys that the rest solve still needs, springs apart."""
    missing = [key for key in (*(f"{corner}.corner_mass" for corner in CORNERS), "wheelbase") if rig.get(key) is None]
    for axle in AXLES:
        wanted = (f"{axle}.{name}" for name in axles.needed(rig, axle, NEEDED))
        missing += (key for key in wanted if rig.get(key) is None)
    return tuple(missing)


def old_springs(rig: Rig) -> StackCurve:
    """Return the springs that the rig was weighed on, of shape (1, 4). Raises Needs."""
    return four(*old_stacks(rig))


def old_stacks(rig: Rig) -> tuple[StackCurve, StackCurve]:
    """Return the old springs front and rear. Their solid lengths are not asked. Raises Needs."""
    wrong = tuple(one.sentence for one in misread(rig) if one.name.startswith("old_"))
    if wrong:
        raise Needs(sentences=wrong)
    missing = tuple(f"{axle}.{name}" for axle in AXLES for name in OLD_SPRINGS if rig.get(f"{axle}.{name}") is None)
    if missing:
        raise Needs(keys=missing)
    front, rear = (
        StackCurve(
            tender_rate=rig.get(f"{axle}.old_tender_rate"),
            main_rate=rig.get(f"{axle}.old_main_rate"),
            preload=rig.get(f"{axle}.old_preload"),
        )
        for axle in AXLES
    )
    return front, rear


# The search, the pairs and the standing ask for the same rig; proving for the states of another.
_ready: Memo[Stand] = Memo(room=3)


def stand(rig: Rig) -> Stand:
    """Return the rig ready to be solved. Raises Needs."""
    return _ready.of(rig, make=lambda: _made_ready(rig))


def _made_ready(rig: Rig) -> Stand:
    unread = in_the_way_at_rest(rig)
    if unread:
        raise Needs(sentences=unread)
    missing = needs(rig)
    if missing:
        raise Needs(keys=missing)
    try:
        return _stand(rig)
    except (InputError, FieldError) as wrong:
        raise Needs.of(wrong) from None


def _stand(rig: Rig) -> Stand:
    def two(name: str, absent: float = 0.0) -> Array:
        values = [rig.get(f"{axle}.{name}") for axle in AXLES]
        return np.array([[absent if value is None else float(value) for value in values]])

    coilovers = tuple(axles.coilover(rig, axle) for axle in AXLES)
    front, rear = coilovers
    stroke, pad = two("damper_stroke"), two("pad_touch_before_collapsed", math.inf)
    by_ratio = np.array([[one.ratio is not None for one in coilovers]])
    backs = [mounts.lean_back(rig, axle) for axle in AXLES]
    known = np.array(
        [[float(one.path.eyes_known) if back is None else 1.0 for one, back in zip(coilovers, backs, strict=True)]]
    )
    length = np.array([[one.ratio_length for one in coilovers]])
    independent = np.array([[rig.independent(axle) for axle in AXLES]])
    bars = [track_bar.ends(rig, axle) for axle in AXLES]
    assumed = tuple(_assumed(rig, known[0], [bar is None for bar in bars]))
    radius = two("tire_loaded_radius", math.nan)
    pads = [_pad(rig, axle) for axle in AXLES]
    unsprung_height = np.where(np.isnan(radius), two("roll_center_height"), radius)
    cases = rig.cases()
    loads = [_loads(rig, case, unsprung_height[0]) for case in cases]
    return Stand(
        cases=cases,
        coilovers=(front, rear),
        pad_touch=np.repeat(np.where(np.isfinite(pad), stroke - pad, math.inf), 2, axis=1),
        pad_rate=np.repeat(np.array([[rate for rate, _ in pads]]), 2, axis=1),
        pad_cubic=np.repeat(np.array([[cubic for _, cubic in pads]]), 2, axis=1),
        read=(rig.get("front.damper_length") is not None, rig.get("rear.damper_length") is not None),
        turn=np.repeat(1.0 / two("adjuster_turns_per_length", 12.0 / INCH), 2, axis=1),
        parts={
            "roll_center_height": two("roll_center_height"),
            "unsprung_height": unsprung_height,
            "track": two("track"),
            "independent": independent,
            "bar_rate": two("bar_roll_stiffness"),
            "tire_rate": two("tire_rate"),
            "extended_length": two("damper_extended"),
            "lean": two("lean"),
            "eye_length": length,
            "mount_base": two("mount_base"),
            "mount_height": two("mount_height"),
            "by_ratio": by_ratio,
            "motion_ratio": two("motion_ratio", 1.0),
            "motion_ratio_slope": two("motion_ratio_slope"),
            "eyes_known": known,
            "lean_back": np.array([[math.nan if back is None else back for back in backs]]),
            "track_bar": np.array([[one or (0.0, 0.0, 0.0, 0.0) for one in bars]]),
        },
        by_case={name: np.stack([load[name] for load in loads]) for name in loads[0]},
        assumed=assumed,
    )


def _assumed(rig: Rig, known: Array, barless: Sequence[bool]) -> Iterator[str]:
    """Yield what is taken where it is not entered.

    For each axle: how far its eyes are `known` in roll (below 1 where they are not), and whether no track bar is entered.
    """
    solid = [not rig.independent(axle) for axle in AXLES]
    if any(rig.get(f"{axle}.axle_kind") is None for axle in AXLES):
        yield "a solid axle where the kind is not entered"
    if any(rig.get(f"{axle}.lean") is None and joined for axle, joined in zip(AXLES, solid, strict=True)):
        yield "coil-overs upright across the vehicle where their lean is not entered"
    for axle, share, joined in zip(AXLES, known, solid, strict=True):
        if share < 1.0 and joined:
            yield (
                f"the {axle} coil-overs acting in roll on the base at the roll center's height, because the measured motion "
                "ratio is not that of their lean"
            )
    fixed = [axle for axle, joined, none in zip(AXLES, solid, barless, strict=True) if joined and none]
    if fixed:
        yield f"the roll center fixed on the body at the {' and at the '.join(fixed)}, no track bar entered"
    if any(rig.get(f"{axle}.tire_loaded_radius") is None for axle in AXLES):
        yield "the unsprung weight's height taken as the roll center's"
    touched = [axle for axle in AXLES if rig.get(f"{axle}.pad_touch_before_collapsed") is not None]
    if any(rig.get(f"{axle}.pad_rate") is None for axle in touched):
        yield "bump stops of 571 lb/in (100 N/mm) between touching and solid"
    elif any(rig.get(f"{axle}.pad_solid_force") is None for axle in touched):
        yield "bump stops that keep the rate they are touched with until they are solid"
    if any(case.center_of_gravity_height is None for case in rig.cases()):
        yield "the weight's height above the roll centers left out where it is not entered"


def _pad(rig: Rig, axle: str) -> tuple[float, float]:
    """Return an axle's pad: its rate as it is touched, and what grows with the cube of its squash."""
    rate, solid_force = rig.get(f"{axle}.pad_rate"), rig.get(f"{axle}.pad_solid_force")
    touched, solid = (rig.get(f"{axle}.{name}_before_collapsed") for name in ("pad_touch", "solid"))
    if rate is None or solid_force is None or touched is None or solid is None or touched <= solid:
        return float(PAD_RATE if rate is None else rate), 0.0
    try:
        return float(rate), float(pad_cubic(pad_rate=rate, pad_depth=touched - solid, pad_solid_force=solid_force))
    except FieldError as error:
        told = f"{axle.capitalize()}: {error.problem[:1].lower()}{error.problem[1:]}"
        raise FieldError(f"{axle}.{error.field}", told, allowed=error.allowed, values=error.values) from None


def _loads(rig: Rig, case: LoadCase, unsprung_height: Array) -> dict[str, Array]:
    """Return what a load case weighs: the sprung part and its place, the unsprung parts and theirs."""
    readings = corner_masses(rig, case)
    if readings is None:
        raise FieldError("left_front.corner_mass", "The corner weights are missing.")
    left, right = (np.array([readings[f"{side}_{axle}"] for axle in AXLES]) for side in ("left", "right"))
    track = np.array([float(rig.get(f"{axle}.track")) for axle in AXLES])
    unsprung = np.array([unsprung_mass(rig, axle, case.items) or 0.0 for axle in AXLES])
    moments = np.array([unsprung_moment(rig, axle, case) for axle in AXLES])
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


# --- what each corner does -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class CornerAtRest:
    """One corner in one load case.

    Frame heights count from a level common to all cases and springs of a rig. The ride height, hub to frame, counts from
    where the lean was read; None where no damper length was read with it. Sag is a share of strap to solid stop.
    """

    name: str
    tire_mass: float
    travel: float
    bump_left: float
    droop_left: float
    damper_length: float
    axial_force: float
    frame_height: float
    ride_height_change: float | None
    sag_share: float
    state: str


@dataclass(frozen=True, kw_only=True)
class CaseAtRest:
    """One load case: a sentence where the rig does not stand as it should, and its corners where it stands at all.

    `roll_stiffness` is what each axle's coil-overs and bar hold against the lean about its roll center, tires left out;
    `center_rise` is how far a track bar has moved that center up on the body, `roll_arm` how fast a coil-over gets shorter
    with the lean.
    """

    name: str
    label: str
    status: int
    problem: str
    corners: tuple[CornerAtRest, ...]
    cross_share: float
    body_roll: float
    body_pitch: float
    roll_stiffness: tuple[float, float]
    roll_margin: float | None
    center_rise: tuple[float, float]
    roll_arm: tuple[float, float]
    doubt: Stance | None = None


# What a corner may rest on besides its springs.
ON_PAD, ON_STRAP, ON_DAMPER = "on its bump stop", "hanging on its strap", "hanging on its damper"


@dataclass(frozen=True, kw_only=True, eq=False)
class AtRest:
    """A rig on one set of springs in every load case."""

    cases: tuple[CaseAtRest, ...]
    assumed: tuple[str, ...]


def at_rest(rig: Rig, springs: StackCurve) -> AtRest:
    """Return how the rig stands on these springs, of shape (1, 4), in every load case. Raises Needs."""
    ready = stand(rig)
    return answer_of(rig, ready, springs, ready.solve(springs))


def answer_of(rig: Rig, ready: Stand, springs: StackCurve, rest: Rest) -> AtRest:
    """Return what a rest on these springs, of shape (1, 4), means at every corner, and how sure its lean is."""
    doubts = stances(rig, ready.cases, springs, rest)
    return AtRest(
        cases=tuple(replace(_case(ready, rest, springs, index), doubt=doubt) for index, doubt in enumerate(doubts)),
        assumed=ready.assumed,
    )


def _case(ready: Stand, rest: Rest, springs: StackCurve, index: int) -> CaseAtRest:
    case, status = ready.cases[index], int(rest.status[index])
    corners = tuple(_corner(ready, rest, springs, index, place) for place in range(4)) if stands(status) else ()
    margin = float(rest.roll_margin[index])
    problem = REFUSALS.get(status, "")
    if status == ON_STOPS:
        where = [words(corner.name) for corner in corners if corner.state == "on its stop"]
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
        roll_stiffness=_two(rest.roll_stiffness[index]),
        roll_margin=margin if math.isfinite(margin) and case.center_of_gravity_height is not None else None,
        center_rise=_two(rest.center_rise[index]),
        roll_arm=_two(rest.roll_arm[index]),
    )


def _two(values: Array) -> tuple[float, float]:
    return float(values[0]), float(values[1])


def stands(status: int) -> bool:
    """Tell whether a status is a position that can be shown: free, or on its stops."""
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
        state = ON_PAD
    elif travel < one.strap_travel:
        # Without a strap it is the damper, fully extended, that holds the axle.
        state = ON_STRAP if one.strap_travel > 0 else ON_DAMPER
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
        ride_height_change=-float(rest.wheel_height[index, place]) if ready.read[place // 2] else None,
        sag_share=(travel - one.strap_travel) / (one.bump_limit - one.strap_travel),
        state=state,
    )


def words(corner: str) -> str:
    """Return a corner as a reader says it."""
    return corner.replace("_", " ")
