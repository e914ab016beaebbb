"""What turns of the adjusters do to all four scale readings and to the frame: the whole rig solved before and after."""

# Over 400 lines: one formula with its declared inputs and results, and the equations of four corners that the page shows.

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.constants import GRAVITY
from calc.quantity import Quantity
from calc.ride._rest import Rest, solve
from calc.ride._rest_energy import Array, AxialForces, RestRigs
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step, refuse
from calc.units import INCH
from calc.vocabulary import (
    AdjusterTurnsPerLength,
    FrontSprungMass,
    LeftFrontMass,
    LeftRearMass,
    RearSprungMass,
    RightFrontMass,
    RightRearMass,
    TrackFront,
    TrackRear,
    center_of_gravity_height,
    corner_mass,
    motion_ratio,
    share,
    spring_base,
    spring_rate,
    tire_rate,
)

# Farther than any coil-over travels, by the track: no strap and no stop comes into it.
_FAR = 100.0
_CORNERS = ("left_front", "right_front", "left_rear", "right_rear")

_turns = Quantity(
    label="Adjuster turns",
    symbol="n",
    kind=units.NUMBER,
    low=-100.0,
    high=100.0,
    typical=3.0,
    assumed=0.0,
    help="Down (more preload) is positive, up is negative; zero where it is not turned.",
)
_reading = corner_mass.called("Scale reading", "m'", "What the pad reads after the turns.", plus_minus=0.0)
_rise = Quantity(
    label="Body rises",
    symbol="Δh",
    kind=units.LENGTH,
    low=-2.0,
    high=2.0,
    typical=0.003,
    help="Of the body above the ground, straight over the wheel; negative where it sinks.",
)
_lever = center_of_gravity_height.called("Roll lever", "h_a", "From the roll axis up to the sprung center of gravity.")
_lean = Quantity(
    label="Body leans",
    symbol="φ",
    kind=units.ANGLE,
    low=-0.8,
    high=0.8,
    typical=0.005,
    help="From where it stood before the turns; positive with the left side up.",
)
_change = share.called(
    "Change of the cross weight", "Δq_x", "Of left rear and right front, by the turns.", low=-1.0, high=1.0
)
_stiffness = vocabulary.coil_over_roll_stiffness.called("Roll stiffness", "K", low=0.0)
_couple = Quantity(
    label="Couple",
    symbol="C",
    kind=units.MOMENT,
    low=-1e6,
    high=1e6,
    typical=100.0,
    help="A turning moment across the vehicle; positive lifts the left side.",
)
_length = vocabulary.length.called("Length", "d", low=-5.0)


@dataclass(frozen=True, kw_only=True)
class RestAfterTurns:
    """Scale readings, cross weight and frame heights after the turns."""

    left_front_reading: Annotated[float, _reading.called("Left front, after", "m'_LF")]
    right_front_reading: Annotated[float, _reading.called("Right front, after", "m'_RF")]
    left_rear_reading: Annotated[float, _reading.called("Left rear, after", "m'_LR")]
    right_rear_reading: Annotated[float, _reading.called("Right rear, after", "m'_RR")]
    cross_share_at_rest: Annotated[
        float,
        share.called("Cross weight, after", "q'_x", "Left rear plus right front as a share of the total."),
    ]
    cross_share_change: Annotated[float, _change]
    left_front_rise: Annotated[float, _rise.called("Body rises, left front", "Δh_LF")]
    right_front_rise: Annotated[float, _rise.called("Body rises, right front", "Δh_RF")]
    left_rear_rise: Annotated[float, _rise.called("Body rises, left rear", "Δh_LR")]
    right_rear_rise: Annotated[float, _rise.called("Body rises, right rear", "Δh_RR")]
    lean_change: Annotated[float, _lean]


def rest(
    *,
    left_front_mass: LeftFrontMass,
    right_front_mass: RightFrontMass,
    left_rear_mass: LeftRearMass,
    right_rear_mass: RightRearMass,
    front_sprung_mass: FrontSprungMass,
    rear_sprung_mass: RearSprungMass,
    roll_lever: Annotated[float, _lever],
    front_stack_rate: Annotated[
        float, spring_rate.called("Rate of a coil-over's springs at ride, front", "k_F", "Both springs in series.")
    ],
    rear_stack_rate: Annotated[
        float, spring_rate.called("Rate of a coil-over's springs at ride, rear", "k_R", "Both springs in series.")
    ],
    front_motion_ratio: Annotated[float, motion_ratio.called("Motion ratio, front", "R_F")],
    rear_motion_ratio: Annotated[float, motion_ratio.called("Motion ratio, rear", "R_R")],
    front_spring_base: Annotated[float, spring_base.called("Effective spring base, front", "s_F")],
    rear_spring_base: Annotated[float, spring_base.called("Effective spring base, rear", "s_R")],
    front_tire_rate: Annotated[float, tire_rate.called("Tire rate, front", "k_T,F")],
    rear_tire_rate: Annotated[float, tire_rate.called("Tire rate, rear", "k_T,R")],
    track_front: TrackFront,
    track_rear: TrackRear,
    adjuster_turns_per_length: AdjusterTurnsPerLength,
    left_front_turns: Annotated[float, _turns.called("Turns, left front", "n_LF")] = 0.0,
    right_front_turns: Annotated[float, _turns.called("Turns, right front", "n_RF")] = 0.0,
    left_rear_turns: Annotated[float, _turns.called("Turns, left rear", "n_LR")] = 0.0,
    right_rear_turns: Annotated[float, _turns.called("Turns, right rear", "n_RR")] = 0.0,
) -> RestAfterTurns:
    """Return what four scale pads read, and how the frame has moved, after adjusters were turned.

    The rig is solved as a whole: one stiff body on two solid axles, four coil-overs and four tires, with the weight that
    leans out as the body leans. The readings before tell what each coil-over carries.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when an axle's springs would carry all that its tires do, when a coil-over carries nothing
    before the turns, when the springs do not hold the body upright, and when a spring falls loose or a tire lifts.
    Valid before the crossover, with the same rate before and after, no stop and no strap in reach, the unsprung weight in
    the middle.
    Source: forces and moments of body and axles, worked out on the page.

    >>> found = rest(left_front_mass=668.6, right_front_mass=646.8, left_rear_mass=529.8, right_rear_mass=554.3,
    ...     front_sprung_mass=973.0, rear_sprung_mass=786.0, roll_lever=0.39, front_stack_rate=27597.0,
    ...     rear_stack_rate=33614.0, front_motion_ratio=0.97, rear_motion_ratio=0.95, front_spring_base=0.945,
    ...     rear_spring_base=0.903, front_tire_rate=260e3, rear_tire_rate=260e3, track_front=1.64, track_rear=1.66,
    ...     adjuster_turns_per_length=12 / 0.0254, right_front_turns=3.0, left_rear_turns=3.0)
    >>> round(float(found.cross_share_at_rest), 4)
    0.4946
    """
    given = locals()
    STEP.refuse(given)
    return _solved(**given)


def _solved(**given: Any) -> RestAfterTurns:
    # Over 60 lines: half of it is the rig as the solver takes it, field by field.
    shape = np.broadcast_shapes(*(np.shape(value) for value in given.values()))
    one = {name: np.broadcast_to(np.asarray(value, dtype=np.float64), shape).ravel() for name, value in given.items()}

    def pair(name: str) -> Array:
        return np.stack([one[f"front_{name}"], one[f"rear_{name}"]], axis=1)

    def corners(name: str) -> Array:
        return np.stack([one[f"{corner}_{name}"] for corner in _CORNERS], axis=1)

    mass, sprung = corners("mass"), pair("sprung_mass")
    track = np.stack([one["track_front"], one["track_rear"]], axis=1)
    rate, ratio, base, tires = (pair(name) for name in ("stack_rate", "motion_ratio", "spring_base", "tire_rate"))
    axle_mass = mass[:, ::2] + mass[:, 1::2]
    unsprung = axle_mass - sprung
    # A side difference at the tires is a larger one on the springs' narrower base.
    uneven = (mass[:, ::2] - mass[:, 1::2]) * track / base
    support = np.stack([sprung + uneven, sprung - uneven], axis=2).reshape(-1, 4) * GRAVITY / 2
    force = support / np.repeat(ratio, 2, axis=1)
    total = sprung.sum(axis=1)
    left = ((mass[:, ::2] - mass[:, 1::2]) * track).sum(axis=1) / 2 / total
    # The frame where it stands before the turns is where everything counts from.
    heave = -axle_mass * GRAVITY / (2 * tires)
    roll = -(mass[:, ::2] - mass[:, 1::2]) * GRAVITY / (tires * track)
    half = np.stack([base, -base], axis=2).reshape(-1, 4) / 2
    travel = np.repeat(ratio, 2, axis=1) * (np.repeat(heave, 2, axis=1) + half * np.repeat(roll, 2, axis=1))
    rates = np.repeat(rate, 2, axis=1)
    loose = travel - force / rates
    length = corners("turns") / one["adjuster_turns_per_length"][:, None]
    zero, none = np.zeros_like(track), np.zeros(track.shape, dtype=np.bool_)
    far = np.repeat(_FAR * track, 2, axis=1)
    rigs = RestRigs(
        sprung_weight=total * GRAVITY,
        front_arm=track[:, 0] * sprung[:, 1] / total,
        rear_arm=track[:, 0] * sprung[:, 0] / total,
        sprung_left=left,
        sprung_height=one["roll_lever"],
        roll_center_height=zero,
        unsprung_weight=unsprung * GRAVITY,
        unsprung_left=zero,
        unsprung_height=zero,
        track=track,
        independent=none,
        bar_rate=zero,
        tire_rate=tires,
        extended_length=track,
        lean=zero,
        eye_length=track,
        mount_base=base,
        mount_height=zero,
        by_ratio=~none,
        motion_ratio=ratio,
        motion_ratio_slope=zero,
        eyes_known=zero,
        track_bar=np.zeros((1, 2, 4)),
        solid_travel=far,
        forces=AxialForces(
            places=(loose - length)[..., None],
            rates=rates[..., None],
            pad_place=far,
            pad_depth=zero,
            pad_cubic=zero,
            strap_travel=-far,
            gas_pressure=zero,
            gas_volume=np.ones_like(track),
            rod_area=zero,
            gas_limit=far,
        ),
    )
    start = np.zeros((len(total), 7))
    start[:, 3:] = np.stack([heave, roll], axis=2).reshape(-1, 4)
    found = solve(rigs, start)
    _all_carry(found, loose - length, shape)
    return _told(found, mass, shape)


def _all_carry(found: Rest, loose: Array, shape: tuple[int, ...]) -> None:
    """Refuse turns that let a spring fall loose or lift a tire: past that the readings answer otherwise."""
    for place, corner in enumerate(_CORNERS):
        name = corner.replace("_", " ")
        refuse(
            (found.travel[:, place] <= loose[:, place]).reshape(shape),
            f"{corner}_turns",
            f"With these turns the {name} spring falls loose.",
            "Allowed: turns with which every spring still carries.",
        )
        refuse(
            (found.tire_load[:, place] <= 0).reshape(shape),
            f"{corner}_turns",
            f"With these turns the {name} tire leaves the ground.",
            "Allowed: turns with which every tire still carries.",
        )


def _told(found: Rest, mass: Array, shape: tuple[int, ...]) -> RestAfterTurns:
    def told(value: Array) -> Any:
        return value.reshape(shape)[()]

    before = (mass[:, 1] + mass[:, 2]) / mass.sum(axis=1)
    readings = {f"{corner}_reading": found.tire_load[:, place] / GRAVITY for place, corner in enumerate(_CORNERS)}
    rises = {f"{corner}_rise": found.frame_height[:, place] for place, corner in enumerate(_CORNERS)}
    values = {
        **readings,
        **rises,
        "cross_share_at_rest": found.cross_share,
        "cross_share_change": found.cross_share - before,
        "lean_change": found.body_roll,
    }
    return RestAfterTurns(**{part.name: told(values[part.name]) for part in fields(RestAfterTurns)})


def _axle_equations(axle: str, letter: str, left: str, right: str) -> tuple[Equation, ...]:
    side = f"track_{axle}"
    return (
        Equation(
            result=f"{axle}_turned",
            text=f"{axle}_stack_rate * {axle}_motion_ratio * {axle}_spring_base / 2"
            f" * ({left}_turns - {right}_turns) / adjuster_turns_per_length",
            note=f"what the turns push, left against right, {axle}",
            quantity=_couple.called(f"Couple of the turns, {axle}", f"Q_{letter}"),
        ),
        Equation(
            result=f"{axle}_springs",
            text=f"{axle}_stack_rate * {axle}_motion_ratio**2 * {axle}_spring_base**2 / 2",
            quantity=_stiffness.called(f"Roll stiffness of the springs, {axle}", f"K_s,{letter}"),
        ),
        Equation(
            result=f"{axle}_tires",
            text=f"{axle}_tire_rate * {side}**2 / 2",
            quantity=_stiffness.called(f"Roll stiffness of the tires, {axle}", f"K_T,{letter}"),
        ),
        Equation(
            result=f"{axle}_roll_stiffness",
            text=f"{axle}_springs * {axle}_tires / ({axle}_springs + {axle}_tires)",
            note="springs on tires, in series",
            quantity=_stiffness.called(f"Roll stiffness on the tires, {axle}", f"K_{letter}"),
        ),
        Equation(
            result=f"{axle}_push",
            text=f"{axle}_turned * {axle}_tires / ({axle}_springs + {axle}_tires)",
            note="what of the turns the tires do not give way to",
            quantity=_couple.called(f"Couple of the turns on the tires, {axle}", f"q_{letter}"),
        ),
    )


def _reading_equations(axle: str, letter: str, left: str, right: str) -> tuple[Equation, ...]:
    lifted = f"({left}_turns + {right}_turns) / (2 * {axle}_motion_ratio * adjuster_turns_per_length)"
    return (
        Equation(
            result=f"{axle}_moved",
            text=f"({axle}_push - {axle}_roll_stiffness * lean_change) / (track_{axle} * gravity)",
            note="onto the left tire and off the right one",
            quantity=corner_mass.called(f"Moved to the left, {axle}", f"Δm_{letter}", low=-8000.0),
        ),
        Equation(result=f"{left}_reading", text=f"{left}_mass + {axle}_moved"),
        Equation(result=f"{right}_reading", text=f"{right}_mass - {axle}_moved"),
        Equation(
            result=f"{left}_rise",
            text=f"{lifted} + lean_change * track_{axle} / 2",
            note="half the turns lift the axle's middle, and the lean does the rest",
        ),
        Equation(result=f"{right}_rise", text=f"{lifted} - lean_change * track_{axle} / 2"),
    )


STEP = Step(
    function=rest,
    title="The rig at rest",
    question="Adjusters are turned: what do all four scales read then, and how has the body moved?",
    job="12a",
    sources=(Source(key="derivation", where="forces and moments of one body on two axles", flag="derivation"),),
    groups={
        "Scales, before": ("left_front_mass", "right_front_mass", "left_rear_mass", "right_rear_mass"),
        "Turns": (
            "left_front_turns",
            "right_front_turns",
            "left_rear_turns",
            "right_rear_turns",
            "adjuster_turns_per_length",
        ),
        "Front": (
            "front_stack_rate",
            "front_motion_ratio",
            "front_spring_base",
            "front_sprung_mass",
            "front_tire_rate",
            "track_front",
        ),
        "Rear": (
            "rear_stack_rate",
            "rear_motion_ratio",
            "rear_spring_base",
            "rear_sprung_mass",
            "rear_tire_rate",
            "track_rear",
        ),
        "Height": ("roll_lever",),
    },
    equations=(
        *_axle_equations("front", "F", "left_front", "right_front"),
        *_axle_equations("rear", "R", "left_rear", "right_rear"),
        Equation(
            result="leverage",
            text="(front_sprung_mass + rear_sprung_mass) * gravity * roll_lever",
            note="the weight leans out and pushes the lean on",
            quantity=_stiffness.called("Leverage of the weight", "K_g"),
        ),
        Equation(
            result="lean_change",
            text="(front_push + rear_push) / (front_roll_stiffness + rear_roll_stiffness - leverage)",
            note="the body turns until both axles and its weight hold each other",
        ),
        *_reading_equations("front", "F", "left_front", "right_front"),
        *_reading_equations("rear", "R", "left_rear", "right_rear"),
        Equation(
            result="total_mass",
            text="left_front_mass + right_front_mass + left_rear_mass + right_rear_mass",
            quantity=vocabulary.total_mass,
        ),
        Equation(
            result="cross_share_change",
            text="(rear_moved - front_moved) / total_mass",
            note="left rear and right front, by the turns",
        ),
        Equation(result="cross_share_at_rest", text="(left_rear_reading + right_front_reading) / total_mass"),
    ),
    refusals=(
        *(
            Refusal(
                field=f"{axle}_sprung_mass",
                when=f"{axle}_sprung_mass >= {axle}_axle_mass",
                problem=f"The {axle} springs carry {{{axle}_sprung_mass}}, but the {axle} tires carry only "
                f"{{{axle}_axle_mass}}.",
                allowed="Allowed: less than the axle's two readings together; the axle itself weighs something.",
                given=(
                    Equation(
                        result=f"{axle}_axle_mass",
                        text=f"left_{axle}_mass + right_{axle}_mass",
                        quantity=vocabulary.axle_mass,
                    ),
                ),
            )
            for axle in ("front", "rear")
        ),
        Refusal(
            field="roll_lever",
            when="on_tires <= leverage",
            problem="Upright is unstable: the roll stiffness on the tires, {on_tires}, is less than the weight's leverage above "
            "the roll axis, {leverage}. The rig falls over to one side.",
            allowed="Allowed: a lower lever, stiffer springs or a wider spring base.",
            given=(
                Equation(result="on_tires", text="front_roll_stiffness + rear_roll_stiffness", quantity=_stiffness),
            ),
        ),
        *(
            Refusal(
                field=f"{side}_{axle}_mass",
                # A side difference at the tires is a larger one on the springs' narrower base.
                when=f"{axle}_sprung_mass + ({side}_{axle}_mass - {other}_{axle}_mass) * track_{axle} / {axle}_spring_base"
                " <= 0",
                problem=f"By these readings the {side} {axle} coil-over carries nothing.",
                allowed="Allowed: readings with which every spring carries. Check for a bound link, and the spring base.",
            )
            for axle in ("front", "rear")
            for side, other in (("left", "right"), ("right", "left"))
        ),
    ),
    example=Example(
        inputs={
            "left_front_mass": "1474 lb",
            "right_front_mass": "1426 lb",
            "left_rear_mass": "1168 lb",
            "right_rear_mass": "1222 lb",
            "left_front_turns": "0",
            "right_front_turns": "3",
            "left_rear_turns": "3",
            "right_rear_turns": "0",
            "adjuster_turns_per_length": "12 per in",
            "front_stack_rate": "157.6 lb/in",
            "rear_stack_rate": "191.9 lb/in",
            "front_motion_ratio": "0.978",
            "rear_motion_ratio": "0.951",
            "front_spring_base": "0.945 m",
            "rear_spring_base": "0.903 m",
            "front_sprung_mass": "2145 lb",
            "rear_sprung_mass": "1733 lb",
            "front_tire_rate": "1485 lb/in",
            "rear_tire_rate": "1485 lb/in",
            "track_front": "1.640 m",
            "track_rear": "1.660 m",
            "roll_lever": "0.388 m",
        },
        expected={
            "left_front_reading": (663.289446, 5e-7),
            "right_front_reading": (652.128427, 5e-7),
            "left_rear_reading": (534.785882, 5e-7),
            "right_rear_reading": (549.299882, 5e-7),
            "cross_share_at_rest": (0.494649931, 5e-10),
            "cross_share_change": (0.004290763, 5e-10),
            "left_front_rise": (0.003748595, 5e-10),
            "right_front_rise": (0.002744248, 5e-10),
            "left_rear_rise": (0.003846888, 5e-10),
            "right_rear_rise": (0.002830294, 5e-10),
            "lean_change": (0.000612406, 5e-10),
        },
        source=Source(
            key="derivation",
            where="a linear solve of body and axles, written apart from this handbook",
            flag="derivation",
        ),
        name="Wren, as weighed",
    ),
    checks=(
        Check(
            rule="cross weight after the turns",
            value="cross_share_at_rest",
            at_least=vocabulary.CROSS_SHARE_SET[0],
            at_most=vocabulary.CROSS_SHARE_SET[1],
            warns=True,
            source=PRACTICE,
            holds="The cross weight is {value}: even enough.",
            close="The cross weight is {value} ± {doubt}, about the limit of {limit}.",
            fails="The cross weight is {value}, beyond {limit}: one diagonal carries more.",
        ),
        Check(
            rule="the turns move weight at all",
            value="absolute(cross_share_change)",
            of=_change,
            at_least=0.0005,
            times="absolute(left_front_turns) + absolute(right_front_turns) + absolute(left_rear_turns)"
            " + absolute(right_rear_turns)",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The turns change the cross weight by {cross_share_change}.",
            fails="So many turns change the cross weight by only {cross_share_change}, less than {share} a turn: soft springs move weight little by "
            "preload. Move weight across instead.",
        ),
        Check(
            rule="thread for the turns",
            value="maximum(maximum(absolute(left_front_turns), absolute(right_front_turns)), "
            "maximum(absolute(left_rear_turns), absolute(right_rear_turns))) / adjuster_turns_per_length",
            of=_length,
            at_most=INCH,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="No adjuster is turned by more than {at_most}.",
            fails="An adjuster is turned by {value}, more than {limit}: absurd for leveling, and the thread may end.",
        ),
    ),
    practice=(
        Practice(
            text="Wren is as in the worked example. The right front adjuster is screwed down by {right_front_turns} turns and "
            "the left rear one by {left_rear_turns}. What is the cross weight then?",
            asks="cross_share_at_rest",
            vary=("right_front_turns", "left_rear_turns"),
            spread=(0.0, 4.0),
            astray=(
                "(right_front_mass + left_rear_mass) / "
                "(left_front_mass + right_front_mass + left_rear_mass + right_rear_mass)",
            ),
        ),
    ),
    main=(
        "left_front_reading",
        "right_front_reading",
        "left_rear_reading",
        "right_rear_reading",
        "cross_share_at_rest",
    ),
)
