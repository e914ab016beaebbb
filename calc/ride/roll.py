"""How far the body leans in a turn, what that moves from tire to tire, and where the uphill tires leave a side slope."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Guide, Panel
from calc.constants import GRAVITY
from calc.quantity import Display, Quantity
from calc.ride._rest import ROLL_MARGIN_FAILS
from calc.ride._side_slope import SlopeAxle, side_slopes
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step, Values
from calc.vocabulary import (
    DrivenOnRoads,
    FrontBarRollStiffness,
    FrontCoilOverRollStiffness,
    FrontSprungMass,
    FrontTireRadius,
    FrontTireRate,
    FrontUnsprungMass,
    LateralAcceleration,
    RearBarRollStiffness,
    RearCoilOverRollStiffness,
    RearSprungMass,
    RearTireRadius,
    RearTireRate,
    RearUnsprungMass,
    RollGyrationShare,
    RollLever,
    SprungCenterHeight,
    TrackFront,
    TrackRear,
    axle_roll_stiffness,
    center_of_gravity_height,
    left_of_center,
    roll_center_height,
    share,
    sprung_mass,
    track,
)

_DEGREE = math.pi / 180
_PER_G = _DEGREE / GRAVITY
_GYRATION = 0.40
_TURN = 0.3 * GRAVITY
# The body's lean in a steady turn, in degrees per g: what road vehicles do, what soft rigs with bars do, and where a rig
# that is driven on roads fails. Common practice, without a source for the last two.
USUAL_ON_ROADS, USUAL_WITH_BARS, MOST_ON_ROADS = 8.0, 12.0, 18.0

_NHTSA = Source(key="nhtsa_hs_809_868", where="means of model year 2003", flag="read")
# The mean static stability factor of each class in that source.
CLASSES = {"cars": 1.41, "pickups": 1.18, "sport utilities": 1.17, "full-size vans": 1.12}
LOWEST_CLASS = min(CLASSES.values())
CLASS_MEANS = ", ".join(f"{kind} {mean:.2f}" for kind, mean in CLASSES.items())
_center = roll_center_height.called("Roll-center height", low=0.0)
_on_tires = vocabulary.coil_over_roll_stiffness.called(
    "Roll stiffness on the tires",
    "K",
    "Coil-overs and bar together, in series with both tires.",
    low=0.0,
)
_offset = left_of_center.called(
    "Center of gravity left of center",
    "y_cg",
    "Of the whole vehicle, from its middle; negative to the right. The slope is taken with that side downhill.",
    low=-0.5,
    high=0.5,
    assumed=0.0,
)
_slope = Quantity(
    label="Side slope",
    symbol="α",
    kind=units.ANGLE,
    low=0.0,
    high=90 * _DEGREE,
    typical=35 * _DEGREE,
    help="Across the vehicle, from level; rigid even ground, standing still.",
)
_transfer = vocabulary.force.called(
    "Load moved to the outer tire",
    "ΔW",
    "Off the inner tire and onto the outer one of this axle, in this turn.",
    low=0.0,
    high=1e12,
    typical=2e3,
)
_damping = vocabulary.damping_coefficient.called(
    "Damping coefficient, each damper", "c", "At the damper, the mean of compression and rebound."
)
_arm = vocabulary.length.called(
    "Arm of the coil-overs about the roll center",
    "a",
    "From the roll center square onto a coil-over's line: half the effective spring base times the cosine of the lean.",
    low=0.0,
    usual=(0.2, 1.0),
    typical=0.46,
    plus_minus=0.01,
)
_margin = Quantity(
    label="Roll margin",
    symbol="n_φ",
    kind=units.NUMBER,
    low=0.0,
    high=1e6,
    typical=3.0,
    help="Roll stiffness of springs and bars over the leverage of the weight above the roll axis; at 1 it falls over.",
)
_factor = Quantity(
    label="Static stability factor",
    symbol="SSF",
    kind=units.NUMBER,
    low=0.0,
    high=10.0,
    typical=1.0,
    help="Half the track over the height of the center of gravity, the vehicle taken as rigid.",
)
_push = Quantity(
    label="Moment on the axle itself",
    symbol="M",
    kind=units.MOMENT,
    low=0.0,
    high=1e7,
    typical=2e3,
    help="What the body's sideways push at the roll center, and the axle's own weight, do to the tires past all springs.",
)


@dataclass(frozen=True, kw_only=True)
class Roll:
    """Stiffness, sharing and gradient of roll, and the side slopes at which tires would leave rigid ground."""

    roll_margin: Annotated[float, _margin]
    roll_gradient: Annotated[float, vocabulary.roll_gradient]
    lean_in_turn: Annotated[
        float,
        Quantity(
            label="Lean in the turn",
            symbol="φ",
            kind=units.ANGLE,
            low=0.0,
            high=1e8,
            typical=3 * _DEGREE,
            help="Of the body, at the stated sideways acceleration.",
        ),
    ]
    front_load_transfer: Annotated[float, _transfer.called("Load moved to the outer tire, front", "ΔW_F")]
    rear_load_transfer: Annotated[float, _transfer.called("Load moved to the outer tire, rear", "ΔW_R")]
    front_couple_share: Annotated[
        float,
        share.called("Front share of the roll couple", "q_φ", "How much of the body's lean the front axle holds up."),
    ]
    roll_frequency: Annotated[
        float,
        vocabulary.natural_frequency.called(
            "Roll frequency", "f_φ", "How often the body would roll in a second.", low=0.0, high=1e3
        ),
    ]
    roll_damping_ratio: (
        Annotated[
            float,
            vocabulary.damping_ratio.called(
                "Damping ratio in roll",
                "ζ_φ",
                "Of the body on springs, bars and dampers; the tires taken as rigid.",
                high=1e3,
            ),
        ]
        | None
    )
    front_roll_stiffness: Annotated[float, _on_tires.called("Roll stiffness on the tires, front", "K_F")]
    rear_roll_stiffness: Annotated[float, _on_tires.called("Roll stiffness on the tires, rear", "K_R")]
    roll_lever: RollLever
    static_stability_factor: Annotated[float, _factor]
    side_slope_rigid: Annotated[
        float,
        _slope.called("Tips over at, taken as rigid", "α_r", "Springs and tires locked, weight off center counted."),
    ]
    side_slope_first_tire: Annotated[
        float,
        _slope.called("First uphill tire lifts at", "α_1", "On its springs and tires; even ground, standing still."),
    ]
    side_slope_both_tires: Annotated[
        float, _slope.called("Second uphill tire lifts at", "α_2", "On its springs and tires; there it tips over.")
    ]


def roll(
    *,
    front_sprung_mass: FrontSprungMass,
    rear_sprung_mass: RearSprungMass,
    front_unsprung_mass: FrontUnsprungMass,
    rear_unsprung_mass: RearUnsprungMass,
    sprung_center_height: SprungCenterHeight,
    front_roll_center_height: Annotated[float, _center.called("Roll-center height, front", "z_rc,F")],
    rear_roll_center_height: Annotated[float, _center.called("Roll-center height, rear", "z_rc,R")],
    front_coil_over_roll_stiffness: FrontCoilOverRollStiffness,
    rear_coil_over_roll_stiffness: RearCoilOverRollStiffness,
    front_tire_rate: FrontTireRate,
    rear_tire_rate: RearTireRate,
    track_front: TrackFront,
    track_rear: TrackRear,
    front_tire_radius: FrontTireRadius,
    rear_tire_radius: RearTireRadius,
    front_bar_roll_stiffness: FrontBarRollStiffness = 0.0,
    rear_bar_roll_stiffness: RearBarRollStiffness = 0.0,
    center_left_of_center: Annotated[float, _offset] = 0.0,
    lateral_acceleration: LateralAcceleration = _TURN,
    driven_on_roads: DrivenOnRoads | None = None,
    roll_gyration_share: RollGyrationShare = _GYRATION,
    front_damping_coefficient: Annotated[float, _damping.called("Damping coefficient, each front damper", "c_F")]
    | None = None,
    rear_damping_coefficient: Annotated[float, _damping.called("Damping coefficient, each rear damper", "c_R")]
    | None = None,
    front_roll_arm: Annotated[float, _arm.called("Arm of the coil-overs about the roll center, front", "a_F")]
    | None = None,
    rear_roll_arm: Annotated[float, _arm.called("Arm of the coil-overs about the roll center, rear", "a_R")]
    | None = None,
) -> Roll:
    """Return how the body rolls on its springs, bars and tires, and the side slopes at which tires leave the ground.

    Roll counts positive with the left side up. The lean of the weight itself is in it, so the stiffness of the springs is
    held against the weight's leverage above the roll axis. On a side slope the uphill tires of the two axles leave one
    after the other; an axle that has lost its uphill tire holds up no more lean.
    In a turn each axle moves load to its outer tire: by its share of the lean, and by what passes the springs at the
    roll center and in the axle itself. `driven_on_roads` only decides how the lean is judged.
    The damping ratio in roll needs both axles' dampers and the arms on which they work.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the sprung center of gravity lies on or below the roll axis, when the roll stiffness on
    the tires does not outweigh the leverage, and when the weight lies outside the tires.
    Valid for springs and tires of constant rate, roll centers that stay, rigid even ground, standing still; the slopes are
    estimates to compare setups with, never a safe angle.
    Source: moments about the roll axis, springs in series; worked out on the page.

    >>> found = roll(front_sprung_mass=1000.0, rear_sprung_mass=900.0, front_unsprung_mass=340.0, rear_unsprung_mass=300.0,
    ...     sprung_center_height=0.95, front_roll_center_height=0.53, rear_roll_center_height=0.6,
    ...     front_coil_over_roll_stiffness=14e3, rear_coil_over_roll_stiffness=14e3, front_tire_rate=260e3,
    ...     rear_tire_rate=260e3, track_front=1.64, track_rear=1.66, front_tire_radius=0.44, rear_tire_radius=0.44)
    >>> round(float(found.roll_margin), 2), round(math.degrees(found.side_slope_first_tire), 1)
    (3.88, 41.2)
    """
    # Over 60 lines: its inputs, its docstring and its results stand one to a line around one formula.
    STEP.refuse(locals())
    sprung = front_sprung_mass + rear_sprung_mass
    axis = (front_sprung_mass * front_roll_center_height + rear_sprung_mass * rear_roll_center_height) / sprung
    lever = sprung_center_height - axis
    leverage = sprung * GRAVITY * lever
    weights = front_sprung_mass + front_unsprung_mass, rear_sprung_mass + rear_unsprung_mass
    off = np.abs(center_left_of_center)
    axles = (
        SlopeAxle(
            springs=front_coil_over_roll_stiffness + front_bar_roll_stiffness,
            tires=front_tire_rate * track_front**2 / 2,
            holds=weights[0] * GRAVITY * track_front / 2,
            pushed=GRAVITY * (front_sprung_mass * front_roll_center_height + front_unsprung_mass * front_tire_radius),
            aside=weights[0] * GRAVITY * off,
        ),
        SlopeAxle(
            springs=rear_coil_over_roll_stiffness + rear_bar_roll_stiffness,
            tires=rear_tire_rate * track_rear**2 / 2,
            holds=weights[1] * GRAVITY * track_rear / 2,
            pushed=GRAVITY * (rear_sprung_mass * rear_roll_center_height + rear_unsprung_mass * rear_tire_radius),
            aside=weights[1] * GRAVITY * off,
        ),
    )
    front, rear = (axle.stiffness for axle in axles)
    left: Any = front + rear - leverage
    total = weights[0] + weights[1]
    height = (
        sprung * sprung_center_height + front_unsprung_mass * front_tire_radius + rear_unsprung_mass * rear_tire_radius
    ) / total
    between = (weights[0] * track_front + weights[1] * track_rear) / total
    first, both = side_slopes(axles, leverage)
    gyration = roll_gyration_share * between
    upright = axles[0].springs + axles[1].springs - leverage
    gradient = sprung * lever / left
    lean = gradient * lateral_acceleration
    # The same moments that push the axle on a slope, per sine of it, push it in a turn, per g.
    moved = [(one.stiffness * lean + one.pushed * lateral_acceleration / GRAVITY) for one in axles]
    damping = _roll_damping((front_damping_coefficient, front_roll_arm), (rear_damping_coefficient, rear_roll_arm))
    return Roll(
        roll_margin=(axles[0].springs + axles[1].springs) / leverage,
        roll_gradient=gradient,
        lean_in_turn=lean,
        front_load_transfer=moved[0] / track_front,
        rear_load_transfer=moved[1] / track_rear,
        front_couple_share=front / (front + rear),
        roll_frequency=np.sqrt(left / sprung) / gyration / (2 * np.pi),
        roll_damping_ratio=None if damping is None else damping / (2 * gyration * np.sqrt(upright * sprung)),
        front_roll_stiffness=front,
        rear_roll_stiffness=rear,
        roll_lever=lever,
        static_stability_factor=between / (2 * height),
        side_slope_rigid=np.arctan((between / 2 - off) / height),
        side_slope_first_tire=first,
        side_slope_both_tires=both,
    )


def _roll_damping(*axles: tuple[Any, Any]) -> Any:
    """Moment per angular speed of the body's lean: both dampers of each axle on their arms; None while one is not known."""
    if any(part is None for axle in axles for part in axle):
        return None
    return sum(2 * coefficient * arm**2 for coefficient, arm in axles)


def _chart(values: Values, display: Display) -> Chart:
    unit, shown = display.unit(_slope), display.unit(axle_roll_stiffness)
    inputs = {name: values[name] for name in STEP.inputs}
    now = values["front_coil_over_roll_stiffness"]
    tires = values["front_tire_rate"] * values["track_front"] ** 2 / 2
    leverage = GRAVITY * (values["front_sprung_mass"] + values["rear_sprung_mass"]) * values["roll_lever"]
    tried: Any = np.maximum(now * np.linspace(0.5, 2.5, 41), axle_roll_stiffness.low)
    springs = tried + values["front_bar_roll_stiffness"]
    # Softer ones may not stand at all.
    tried = tried[
        (tried >= now) | (springs * tires / (springs + tires) + values["rear_roll_stiffness"] > 1.001 * leverage)
    ]
    found = roll(**{**inputs, "front_coil_over_roll_stiffness": tried})
    places = [units.from_si(stiffness, shown) for stiffness in tried.tolist()]
    curves = []
    for label, slopes in (
        ("first tire leaves", found.side_slope_first_tire),
        ("both have left", found.side_slope_both_tires),
    ):
        heights = [units.from_si(slope, unit) for slope in np.asarray(slopes).tolist()]
        curves.append(Curve(tuple(zip(places, heights, strict=True)), label=label, at=places[-8]))
    return Chart(
        key="roll-chart",
        title="What the front springs do to the side slope",
        description="The side slope at which the first uphill tire and both uphill tires leave rigid ground, against the roll "
        "stiffness of the front coil-overs, everything else as entered. An estimate for comparing, never a safe angle.",
        x_label="Roll stiffness of both coil-overs, front",
        x_unit=shown.symbol,
        x_decimals=display.decimals(axle_roll_stiffness),
        guides=(Guide(units.from_si(now, shown), "now"),),
        panels=(
            Panel(
                "Side slope, estimate", unit.symbol, curves=tuple(curves), decimals=display.decimals(_slope), tall=True
            ),
        ),
        note="For comparing setups. Never a safe angle to drive.",
    )


STEP = Step(
    function=roll,
    title="Roll and side slope",
    question="How far does the body lean in a turn, what does that do to the tires, and what does a side slope do?",
    job="10",
    sources=(
        Source(key="derivation", where="moments about the roll axis, springs and tires in series", flag="derivation"),
        Source(key="gillespie_1992", where="chapter 6, roll stiffness", flag="memory"),
        Source(key="barton_fieldhouse_2018", where="page 174, roll gradient with gravity", flag="read"),
        _NHTSA,
        Source(key="milliken", where="roll gradients of road vehicles"),
        Source(
            key="ours",
            where=f"roll margin below {ROLL_MARGIN_FAILS:g} fails; radius of gyration {_GYRATION:.2f} of the track",
        ),
    ),
    equations=(
        Equation(
            result="all_sprung",
            text="front_sprung_mass + rear_sprung_mass",
            quantity=sprung_mass.called("All that the springs carry", "m_s"),
        ),
        Equation(
            result="axis_height",
            text="(front_sprung_mass * front_roll_center_height + rear_sprung_mass * rear_roll_center_height) / all_sprung",
            note="the roll axis under the sprung center of gravity",
            quantity=roll_center_height.called("Height of the roll axis", "z_a"),
        ),
        Equation(result="roll_lever", text="sprung_center_height - axis_height", note="what the weight leans with"),
        Equation(
            result="leverage",
            text="all_sprung * gravity * roll_lever",
            note="moment of the weight per angle of lean",
            quantity=_on_tires.called("Leverage of the weight", "K_g"),
        ),
        Equation(
            result="roll_margin",
            text="(front_coil_over_roll_stiffness + front_bar_roll_stiffness + rear_coil_over_roll_stiffness "
            "+ rear_bar_roll_stiffness) / leverage",
            note="springs and bars over that leverage",
        ),
        Equation(
            result="front_tires",
            text="front_tire_rate * track_front**2 / 2",
            note="both tires, half a track out each",
            quantity=_on_tires.called("Roll stiffness of the tires, front", "K_T,F"),
        ),
        Equation(
            result="rear_tires",
            text="rear_tire_rate * track_rear**2 / 2",
            quantity=_on_tires.called("Roll stiffness of the tires, rear", "K_T,R"),
        ),
        Equation(
            result="front_roll_stiffness",
            text="1 / (1 / (front_coil_over_roll_stiffness + front_bar_roll_stiffness) + 1 / front_tires)",
            note="in series with the tires",
        ),
        Equation(
            result="rear_roll_stiffness",
            text="1 / (1 / (rear_coil_over_roll_stiffness + rear_bar_roll_stiffness) + 1 / rear_tires)",
        ),
        Equation(
            result="front_couple_share",
            text="front_roll_stiffness / (front_roll_stiffness + rear_roll_stiffness)",
        ),
        Equation(
            result="roll_gradient",
            text="all_sprung * roll_lever / (front_roll_stiffness + rear_roll_stiffness - leverage)",
            note="the lean itself moves the weight outward, so the leverage is taken off",
        ),
        Equation(result="lean_in_turn", text="roll_gradient * lateral_acceleration"),
        Equation(
            result="front_push",
            text="lateral_acceleration * (front_sprung_mass * front_roll_center_height + front_unsprung_mass * front_tire_radius)",
            note="past the springs: at the roll center, and from the axle's own weight",
            quantity=_push.called("Moment on the axle itself, front", "M_F"),
        ),
        Equation(
            result="rear_push",
            text="lateral_acceleration * (rear_sprung_mass * rear_roll_center_height + rear_unsprung_mass * rear_tire_radius)",
            quantity=_push.called("Moment on the axle itself, rear", "M_R"),
        ),
        Equation(
            result="front_load_transfer",
            text="(front_roll_stiffness * lean_in_turn + front_push) / track_front",
            note="what the lean and that moment ask of two tires one track apart",
        ),
        Equation(
            result="rear_load_transfer",
            text="(rear_roll_stiffness * lean_in_turn + rear_push) / track_rear",
        ),
        Equation(
            result="all_weight",
            text="all_sprung + front_unsprung_mass + rear_unsprung_mass",
            quantity=vocabulary.total_mass.called("Total weight", "m"),
        ),
        Equation(
            result="center_height",
            text="(all_sprung * sprung_center_height + front_unsprung_mass * front_tire_radius "
            "+ rear_unsprung_mass * rear_tire_radius) / all_weight",
            note="axles at the height of their hubs",
            quantity=center_of_gravity_height.called("Center of gravity, height"),
        ),
        Equation(
            result="track_between",
            text="((front_sprung_mass + front_unsprung_mass) * track_front "
            "+ (rear_sprung_mass + rear_unsprung_mass) * track_rear) / all_weight",
            note="the track under the center of gravity",
            quantity=track.called("Track under the center of gravity", "b"),
        ),
        Equation(result="static_stability_factor", text="track_between / (2 * center_height)"),
        Equation(
            result="side_slope_rigid",
            text="atan((track_between / 2 - absolute(center_left_of_center)) / center_height)",
            note="the weight straight above the downhill tires",
        ),
        Equation(
            result="roll_frequency",
            text="sqrt((front_roll_stiffness + rear_roll_stiffness - leverage) / all_sprung) "
            "/ (roll_gyration_share * track_between) / (2 * pi)",
        ),
        Equation(
            result="stiffness_upright",
            text="front_coil_over_roll_stiffness + front_bar_roll_stiffness + rear_coil_over_roll_stiffness "
            "+ rear_bar_roll_stiffness - leverage",
            note="springs and bars less the leverage, the tires taken as rigid",
            quantity=_on_tires.called("Righting stiffness", "K_u", low=-1e9),
        ),
        Equation(
            result="roll_damping_ratio",
            text="(front_damping_coefficient * front_roll_arm**2 + rear_damping_coefficient * rear_roll_arm**2) "
            "/ (roll_gyration_share * track_between * sqrt(stiffness_upright * all_sprung))",
            note="both dampers of each axle on their arms, over the damping at which the lean would just not swing back",
        ),
    ),
    refusals=(
        Refusal(
            field="sprung_center_height",
            when="roll_lever <= 0",
            problem="The sprung center of gravity at {sprung_center_height} does not lie above the roll axis, which passes "
            "{axis_height} above the ground.",
            allowed="Allowed: above the roll axis. Check both heights; they count from the ground.",
        ),
        Refusal(
            field="center_left_of_center",
            when="aside >= minimum(track_front, track_rear) / 2",
            problem="The center of gravity lies {aside} from the middle, outside the tires.",
            allowed="Allowed: less than half the track.",
            given=(Equation(result="aside", text="absolute(center_left_of_center)", quantity=_offset),),
        ),
        Refusal(
            field="front_coil_over_roll_stiffness",
            when="both_axles <= leverage",
            problem="Upright is unstable: the roll stiffness on the tires, {both_axles} of both axles, is less than the "
            "weight's leverage above the roll axis, {leverage}. The rig falls over to one side.",
            allowed="Allowed: more than that leverage, by stiffer springs, a wider base or a bar.",
            given=(
                Equation(result="both_axles", text="front_roll_stiffness + rear_roll_stiffness", quantity=_on_tires),
            ),
        ),
    ),
    example=Example(
        inputs={
            "front_sprung_mass": "2268 lb",
            "rear_sprung_mass": "2095 lb",
            "front_unsprung_mass": "755 lb",
            "rear_unsprung_mass": "657 lb",
            "sprung_center_height": "0.969 m",
            "front_roll_center_height": "0.53 m",
            "rear_roll_center_height": "0.60 m",
            "front_coil_over_roll_stiffness": "181 lbf·ft/°",
            "rear_coil_over_roll_stiffness": "187 lbf·ft/°",
            "front_bar_roll_stiffness": "0 lbf·ft/°",
            "rear_bar_roll_stiffness": "0 lbf·ft/°",
            "front_tire_rate": "1485 lb/in",
            "rear_tire_rate": "1485 lb/in",
            "track_front": "1.640 m",
            "track_rear": "1.660 m",
            "front_tire_radius": "0.440 m",
            "rear_tire_radius": "0.440 m",
            "center_left_of_center": "-0.3 in",
            "lateral_acceleration": "0.3 g",
            "driven_on_roads": "no",
            "roll_gyration_share": "0.40",
            "front_damping_coefficient": "20 lbf·s/in",
            "rear_damping_coefficient": "18 lbf·s/in",
            "front_roll_arm": "18.2 in",
            "rear_roll_arm": "16.9 in",
        },
        expected={
            "roll_margin": (3.633536, 5e-7),
            "roll_gradient": ("22.98705 °/g", 5e-6),
            "lean_in_turn": ("6.896114 °", 5e-7),
            "front_load_transfer": ("503.6695 lbf", 5e-5),
            "rear_load_transfer": ("506.9708 lbf", 5e-5),
            "front_couple_share": ("49.19290 %", 5e-6),
            "roll_frequency": ("0.759303 Hz", 5e-7),
            "roll_damping_ratio": (0.314633, 5e-7),
            "front_roll_stiffness": ("174.0044 lbf·ft/°", 5e-5),
            "rear_roll_stiffness": ("179.7141 lbf·ft/°", 5e-5),
            "roll_lever": ("0.405388 m", 5e-7),
            "static_stability_factor": (0.982263, 5e-7),
            "side_slope_rigid": ("44.22150 °", 5e-6),
            "side_slope_first_tire": ("39.80274 °", 5e-6),
            "side_slope_both_tires": ("40.89940 °", 5e-6),
        },
        source=Source(
            key="derivation",
            where="by hand; the slopes from a linear solve of body and axles, each axle on two tires or one",
            flag="derivation",
        ),
        name="Wren, crew aboard",
    ),
    checks=(
        Check(
            rule="stands upright",
            value="roll_margin",
            at_least=ROLL_MARGIN_FAILS,
            source=Source(key="ours", flag="practice"),
            holds="Springs and bars resist roll with {value} times the leverage of the weight above the roll axis: it stands "
            "upright.",
            close="Springs and bars resist roll with {value} times the leverage of the weight above the roll axis, give or take "
            "{doubt}, about {limit}: it may hardly stand upright.",
            fails="Springs and bars resist roll with only {value} times the leverage of the weight above the roll axis, less than "
            "{limit}: it hardly stands upright. A lower load, a wider base, stiffer springs or a bar.",
        ),
        Check(
            rule="roll gradient",
            value="roll_gradient",
            at_most=USUAL_WITH_BARS * _PER_G,
            warns=True,
            source=PRACTICE,
            holds="The body leans by {value}, {lean_in_turn} at {lateral_acceleration}: no more than the {limit} that soft "
            "rigs with bars lean.",
            close="The body leans by {value}, {lean_in_turn} at {lateral_acceleration}: about the {limit} that soft rigs "
            "with bars lean.",
            fails="The body leans by {value}, {lean_in_turn} at {lateral_acceleration}: more than the {limit} that soft rigs "
            "with bars lean. Fit a bar, widen the spring base, or carry the load lower.",
            unchecked="How far the body leans in a turn",
        ),
        Check(
            rule="roll gradient on roads",
            value="roll_gradient",
            at_most=MOST_ON_ROADS * _PER_G,
            needs=("driven_on_roads",),
            when="driven_on_roads == 'yes'",
            source=PRACTICE,
            holds="On roads it leans by {value}, no more than {limit}.",
            close="On roads it leans by {value} ± {doubt}, about the {limit} that a rig driven there may lean.",
            fails="On roads it leans by {value}, more than {limit}: a swerve at speed can tip it. Do not drive it on roads "
            "like this. Fit a bar, widen the spring base, or carry the load lower.",
            unchecked="Whether it leans too far for roads",
        ),
        Check(
            rule="static stability factor",
            value="static_stability_factor",
            at_least=LOWEST_CLASS,
            warns=True,
            source=_NHTSA,
            holds="The static stability factor of {value} is at least {limit}, the lowest mean of a class of road vehicles "
            "in its source.",
            close="The static stability factor of {value} is about {limit}, the lowest mean of a class of road vehicles in "
            "its source.",
            fails="The static stability factor of {value} is below {limit}, the lowest mean of a class of road vehicles in "
            "its source: it tips earlier than any of them. Carry the load lower, or widen the track.",
            unchecked="How the static stability factor compares with road vehicles",
        ),
        Check(
            rule="inner tires stay down",
            condition="2 * front_load_transfer < (front_sprung_mass + front_unsprung_mass) * gravity "
            "and 2 * rear_load_transfer < (rear_sprung_mass + rear_unsprung_mass) * gravity",
            warns=True,
            holds="At {lateral_acceleration} the turn moves {front_load_transfer} to the outer front tire and "
            "{rear_load_transfer} to the outer rear tire; the inner ones stay down.",
            fails="At {lateral_acceleration} the turn would move {front_load_transfer} to the outer front tire and "
            "{rear_load_transfer} to the outer rear tire, more than an inner tire carries: it leaves the ground.",
            unchecked="What a turn moves from tire to tire",
        ),
        Check(
            rule="an axle can hold the body alone",
            condition="side_slope_both_tires > side_slope_first_tire",
            warns=True,
            holds="On an even slope the estimate has one uphill tire leave at {side_slope_first_tire} and the other at "
            "{side_slope_both_tires}. It is for comparing setups, never a safe angle.",
            fails="On an even slope the estimate has both uphill tires leave at once, at {side_slope_first_tire}: one axle "
            "cannot hold the body up alone. It is for comparing setups, never a safe angle.",
            unchecked="What a side slope does",
        ),
        Check(
            rule="what springs and tires take off the slope",
            value="side_slope_both_tires",
            at_least=0.85,
            times="side_slope_rigid",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="Rigid it would tip at {side_slope_rigid}; springs and tires let the weight lean out and leave "
            "{value}.",
            fails="Rigid it would tip at {side_slope_rigid}, but springs and tires let the weight lean out so far that only "
            "{value} is left, less than {share} of it.",
            unchecked="What springs and tires take off the slope",
        ),
        Check(
            rule="both axles take part",
            value="front_couple_share",
            at_least=0.35,
            at_most=0.65,
            margin=0.02,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The front axle holds up {value} of the lean, and the rear the rest.",
            fails="The front axle holds up {value} of the lean, outside {limits}: one axle does nearly all of it, and its uphill tire leaves "
            "early.",
        ),
    ),
    practice=(
        Practice(
            text="A rig has {front_coil_over_roll_stiffness} of roll stiffness in its front coil-overs and "
            "{rear_coil_over_roll_stiffness} in its rear ones, no bars. It carries {front_sprung_mass} on the front springs and "
            "{rear_sprung_mass} on the rear springs, with the center of that {sprung_center_height} above the ground. The roll "
            "centers are at {front_roll_center_height} and {rear_roll_center_height}. What is the roll margin?",
            asks="roll_margin",
            vary=("front_coil_over_roll_stiffness", "rear_coil_over_roll_stiffness", "front_sprung_mass"),
        ),
        Practice(
            text="A rig carries {front_sprung_mass} on the front springs and {rear_sprung_mass} on the rear springs, with the "
            "center of that {sprung_center_height} above the ground; the roll centers are at {front_roll_center_height} and "
            "{rear_roll_center_height}. The coil-overs resist roll with {front_coil_over_roll_stiffness} and "
            "{rear_coil_over_roll_stiffness}, no bars; all tires have {front_tire_rate}, the tracks are {track_front} and "
            "{track_rear}. How far does the body lean at {lateral_acceleration}?",
            asks="lean_in_turn",
            vary=("front_coil_over_roll_stiffness", "rear_coil_over_roll_stiffness", "lateral_acceleration"),
        ),
        Practice(
            text="The front coil-overs resist roll with {front_coil_over_roll_stiffness}, without a bar. The tires have "
            "{front_tire_rate} each at a track of {track_front}. What is the roll stiffness of the front on its tires?",
            asks="front_roll_stiffness",
            vary=("front_coil_over_roll_stiffness", "front_tire_rate"),
        ),
    ),
    chart=_chart,
    groups={
        "Weights": (
            "front_sprung_mass",
            "rear_sprung_mass",
            "front_unsprung_mass",
            "rear_unsprung_mass",
            "center_left_of_center",
        ),
        "Heights": (
            "sprung_center_height",
            "front_roll_center_height",
            "rear_roll_center_height",
            "front_tire_radius",
            "rear_tire_radius",
        ),
        "Roll stiffness": (
            "front_coil_over_roll_stiffness",
            "rear_coil_over_roll_stiffness",
            "front_bar_roll_stiffness",
            "rear_bar_roll_stiffness",
            "roll_gyration_share",
        ),
        "Tires": ("front_tire_rate", "rear_tire_rate", "track_front", "track_rear"),
        "Turn": ("lateral_acceleration", "driven_on_roads"),
        "Dampers, for the damping in roll": (
            "front_damping_coefficient",
            "rear_damping_coefficient",
            "front_roll_arm",
            "rear_roll_arm",
        ),
    },
    main=("roll_gradient", "lean_in_turn", "front_load_transfer", "rear_load_transfer"),
)
