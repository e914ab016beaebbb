"""How the whole body swings on its front and rear springs: bounce, pitch, and the points about which it turns."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Guide, Panel
from calc.quantity import Display, Quantity
from calc.step import Check, Equation, Example, Practice, Source, Step, Values
from calc.vocabulary import (
    DynamicIndex,
    FrontRideRate,
    FrontSprungMass,
    RearRideRate,
    RearSprungMass,
    Wheelbase,
    any_rate,
    behind_front_axle,
    share,
    sprung_mass,
    wheelbase,
)

# A span about the 1.2 that follows from Olley's front ride rate, 30 % below the rear; the span itself is ours.
REAR_OVER_FRONT = (1.1, 1.25)
_OLLEY = Source(key="olley", where="as summed up in Gillespie, chapter 5", flag="memory")
_INDEX = 0.95
# So far from the rig a center of motion says only that the body goes straight up and down.
_FAR = 1e4

_frequency = vocabulary.natural_frequency.called("Frequency", "f", "Undamped.", low=0.01, high=1e4, usual=None)
_times = Quantity(
    label="Ratio", symbol="n", kind=units.NUMBER, low=1e-5, high=1e5, typical=1.1, help="One over the other."
)
_center = behind_front_axle.called(
    "Center of motion behind the front axle",
    "x",
    "The point of the body that stands still; negative ahead of the front axle.",
    low=-1e6,
    high=1e6,
)


@dataclass(frozen=True, kw_only=True)
class PitchBounce:
    """Frequencies and centers of the two motions, and what Olley's conditions look at."""

    bounce_frequency: Annotated[
        float,
        _frequency.called("Frequency of bounce", "f_b", "Of the motion that is mostly up and down; undamped."),
    ]
    pitch_frequency: Annotated[
        float,
        _frequency.called("Frequency of pitch", "f_p", "Of the motion that is mostly nose up, nose down; undamped."),
    ]
    bounce_center_behind_front_axle: (
        Annotated[
            float,
            _center.called("Center of bounce, behind the front axle", "x_b", typical=4.0),
        ]
        | None
    )
    pitch_center_behind_front_axle: (
        Annotated[float, _center.called("Center of pitch, behind the front axle", "x_p")] | None
    )
    front_frequency: Annotated[float, _frequency.called("Front end by itself", "f_F", "Ride frequency of its corners.")]
    rear_frequency: Annotated[float, _frequency.called("Rear end by itself", "f_R", "Ride frequency of its corners.")]
    frequency_ratio: Annotated[float, _times.called("Rear frequency over front frequency", "n_RF")]
    frequency_spread: Annotated[
        float, _times.called("Faster over slower of the two motions", "n_bp", "Bounce and pitch.", low=1.0)
    ]
    spring_center_share: Annotated[
        float,
        share.called(
            "Spring center behind the center of gravity, of the wheelbase",
            "q_e",
            "Where one spring would have to sit to lift the body level; negative ahead of the center of gravity.",
            low=-1.0,
            typical=0.05,
        ),
    ]
    sprung_center_behind_front_axle: Annotated[
        float,
        behind_front_axle.called("Sprung center of gravity behind the front axle", "a", "Of what the springs carry."),
    ]


def pitch_bounce(
    *,
    front_sprung_mass: FrontSprungMass,
    rear_sprung_mass: RearSprungMass,
    wheelbase: Wheelbase,
    front_ride_rate: FrontRideRate,
    rear_ride_rate: RearRideRate,
    dynamic_index: DynamicIndex = _INDEX,
) -> PitchBounce:
    """Return bounce and pitch of the body on its front and rear ride rates, with the centers of both motions.

    Bounce is the motion whose center lies farther from the center of gravity than the radius of gyration; pitch the
    other one. A center that is nowhere, because the body goes straight up and down, is None (nan inside arrays).
    Takes single values or arrays that broadcast together.

    Raises nothing beyond the limits of its inputs.
    Valid for small undamped motion about ride, left and right alike, the axles taken as massless.
    Source: one rigid body on two springs; worked out on the page.

    >>> found = pitch_bounce(front_sprung_mass=550.0, rear_sprung_mass=450.0, wheelbase=2.5, front_ride_rate=17e3,
    ...     rear_ride_rate=18e3, dynamic_index=1.0)
    >>> round(float(found.pitch_center_behind_front_axle), 3), round(float(found.bounce_center_behind_front_axle), 3)
    (0.0, 2.5)
    """
    front, rear = 2 * front_ride_rate, 2 * rear_ride_rate
    mass = front_sprung_mass + rear_sprung_mass
    ahead = wheelbase * rear_sprung_mass / mass
    behind = wheelbase - ahead
    gyration = dynamic_index * ahead * behind
    lifted = (front + rear) / mass
    turned = (front * ahead**2 + rear * behind**2) / (mass * gyration)
    apart = (rear * behind - front * ahead) / (front + rear)
    quick = (lifted + turned) / 2 + np.sqrt(((lifted - turned) / 2) ** 2 + (lifted * apart) ** 2 / gyration)
    slow = front * rear * wheelbase**2 / (mass**2 * gyration) / quick
    bounce, pitch = np.where(lifted <= turned, slow, quick)[()], np.where(lifted <= turned, quick, slow)[()]
    front_alone = np.sqrt(front / front_sprung_mass) / (2 * np.pi)
    rear_alone = np.sqrt(rear / rear_sprung_mass) / (2 * np.pi)
    return PitchBounce(
        bounce_frequency=np.sqrt(bounce) / (2 * np.pi),
        pitch_frequency=np.sqrt(pitch) / (2 * np.pi),
        # Each center by the row of the equation of motion in which nothing cancels.
        bounce_center_behind_front_axle=_place(ahead, gyration * (bounce - turned), apart * lifted, wheelbase),
        pitch_center_behind_front_axle=_place(ahead, apart * lifted, pitch - lifted, wheelbase),
        front_frequency=front_alone,
        rear_frequency=rear_alone,
        frequency_ratio=rear_alone / front_alone,
        frequency_spread=np.sqrt(quick / slow),
        spring_center_share=apart / wheelbase,
        sprung_center_behind_front_axle=ahead,
    )


def _place(ahead: Any, above: Any, below: Any, wheelbase: Any) -> Any:
    """The center of a motion behind the front axle; None where it lies so far away that there is none."""
    known = np.abs(above) < _FAR * wheelbase * np.abs(below)
    if not np.any(known):
        return None
    return np.where(known, ahead - above / np.where(known, below, 1.0), np.nan)[()]


def _chart(values: Values, display: Display) -> Chart:
    base, center = values["wheelbase"], values["sprung_center_behind_front_axle"]
    unit = display.unit(wheelbase, "wheelbase")
    ends = (-0.35 * base, 1.35 * base)
    curves = []
    for name, at in (("bounce", 0.15), ("pitch", 1.1)):
        still = values[f"{name}_center_behind_front_axle"]
        # Straight up and down, or a line through its center, as far as 1 at the axle that moves more.
        heights = [1.0, 1.0] if still is None else [place - still for place in ends]
        most = 1.0 if still is None else max(abs(still), abs(base - still))
        sign = -1.0 if still is not None and still > base else 1.0
        points = tuple(
            (units.from_si(place, unit), sign * height / most) for place, height in zip(ends, heights, strict=True)
        )
        curves.append(Curve(points, label=name, at=units.from_si(at * base, unit)))
    return Chart(
        key="pitch-bounce-chart",
        title="How the body moves",
        description="The motion of the body along the vehicle, upward positive, in bounce and in pitch; each line crosses "
        "zero at its center of motion. The front is at the left.",
        x_label="Behind the front axle",
        x_unit=unit.symbol,
        x_decimals=display.decimals(wheelbase, "wheelbase"),
        guides=(
            Guide(0.0, "front axle", value=""),
            Guide(units.from_si(center, unit), "center of gravity", value=""),
            Guide(units.from_si(base, unit), "rear axle", value=""),
        ),
        panels=(
            Panel(
                "Motion, 1 at the axle that moves more",
                "",
                curves=tuple(curves),
                decimals=2,
                tall=True,
            ),
        ),
    )


STEP = Step(
    function=pitch_bounce,
    title="Bounce and pitch",
    question="Front and rear springs together: how does the body bounce and pitch, and about which points?",
    job="9b",
    sources=(
        Source(key="derivation", where="one rigid body on two springs", flag="derivation"),
        _OLLEY,
        Source(key="sae_j670", where="dynamic index", flag="memory"),
    ),
    equations=(
        Equation(
            result="sprung_center_behind_front_axle",
            text="wheelbase * rear_sprung_mass / (front_sprung_mass + rear_sprung_mass)",
            note="of what the springs carry",
        ),
        Equation(
            result="rear_arm",
            text="wheelbase - sprung_center_behind_front_axle",
            note="from there to the rear axle",
            quantity=wheelbase.called("Arm to the rear axle", "b_a"),
        ),
        Equation(
            result="gyration",
            text="sqrt(dynamic_index * sprung_center_behind_front_axle * rear_arm)",
            note="by the dynamic index",
            quantity=wheelbase.called("Radius of gyration in pitch", "r_y"),
        ),
        Equation(
            result="all_rates",
            text="2 * (front_ride_rate + rear_ride_rate)",
            note="two wheels at each end",
            quantity=any_rate.called("All four ride rates", "k_4"),
        ),
        Equation(
            result="all_sprung",
            text="front_sprung_mass + rear_sprung_mass",
            quantity=sprung_mass.called("All that the springs carry", "m_s"),
        ),
        Equation(
            result="spring_center_share",
            text="2 * (rear_ride_rate * rear_arm - front_ride_rate * sprung_center_behind_front_axle) / all_rates / wheelbase",
            note="what couples the two motions",
        ),
        Equation(
            result="lift_alone",
            text="sqrt(all_rates / all_sprung) / (2 * pi)",
            note="up and down, kept level",
            quantity=_frequency.called("Kept level", "f_z"),
        ),
        Equation(
            result="turn_alone",
            text="sqrt(2 * (front_ride_rate * sprung_center_behind_front_axle**2 + rear_ride_rate * rear_arm**2) "
            "/ all_sprung) / (2 * pi * gyration)",
            note="about the center of gravity, held there",
            quantity=_frequency.called("Held at the center of gravity", "f_θ"),
        ),
        Equation(
            result="quicker",
            text="sqrt((lift_alone**2 + turn_alone**2) / 2 + sqrt(((lift_alone**2 - turn_alone**2) / 2)**2 "
            "+ (lift_alone**2 * spring_center_share * wheelbase / gyration)**2))",
            note="both together: the quicker motion",
            quantity=_frequency.called("Quicker motion", "f_q"),
        ),
        Equation(
            result="slower",
            text="2 * sqrt(front_ride_rate * rear_ride_rate) * wheelbase / (all_sprung * gyration) / (4 * pi**2 * quicker)",
            note="the slower one, by the product of the two",
            quantity=_frequency.called("Slower motion", "f_l"),
        ),
        Equation(result="bounce_frequency", text="slower", note="up and down", when="lift_alone <= turn_alone"),
        Equation(result="pitch_frequency", text="quicker", note="nose up, nose down", when="lift_alone <= turn_alone"),
        Equation(result="bounce_frequency", text="quicker", note="up and down", when="lift_alone > turn_alone"),
        Equation(result="pitch_frequency", text="slower", note="nose up, nose down", when="lift_alone > turn_alone"),
        Equation(
            result="bounce_center_behind_front_axle",
            text="sprung_center_behind_front_axle - gyration**2 * (bounce_frequency**2 - turn_alone**2) "
            "/ (spring_center_share * wheelbase * lift_alone**2)",
            when="absolute(spring_center_share) > 1e-6",
        ),
        Equation(
            result="pitch_center_behind_front_axle",
            text="sprung_center_behind_front_axle - spring_center_share * wheelbase * lift_alone**2 "
            "/ (pitch_frequency**2 - lift_alone**2)",
            when="absolute(pitch_frequency - lift_alone) > 1e-6 * lift_alone",
        ),
        Equation(
            result="front_frequency",
            text="sqrt(2 * front_ride_rate / front_sprung_mass) / (2 * pi)",
            note="each end by itself",
        ),
        Equation(result="rear_frequency", text="sqrt(2 * rear_ride_rate / rear_sprung_mass) / (2 * pi)"),
        Equation(result="frequency_ratio", text="rear_frequency / front_frequency"),
        Equation(result="frequency_spread", text="quicker / slower"),
    ),
    example=Example(
        inputs={
            "front_sprung_mass": "2268 lb",
            "rear_sprung_mass": "2095 lb",
            "wheelbase": "2.850 m",
            "front_ride_rate": "142.6 lb/in",
            "rear_ride_rate": "156.0 lb/in",
            "dynamic_index": "0.95",
        },
        expected={
            "bounce_frequency": ("1.12059 Hz", 5e-6),
            "pitch_frequency": ("1.22534 Hz", 5e-6),
            "bounce_center_behind_front_axle": ("3.31341 m", 5e-6),
            "pitch_center_behind_front_axle": ("0.378188 m", 5e-7),
            "front_frequency": ("1.10896 Hz", 5e-6),
            "rear_frequency": ("1.20684 Hz", 5e-6),
            "spring_center_share": ("4.22639 %", 5e-6),
            "sprung_center_behind_front_axle": ("1.36850 m", 5e-6),
        },
        source=Source(
            key="derivation",
            where="scipy's eigh on the heights of the two ends instead of bounce and pitch",
            flag="derivation",
        ),
        name="Wren, crew aboard",
    ),
    checks=(
        Check(
            rule="rear quicker than front",
            value="frequency_ratio",
            at_least=REAR_OVER_FRONT[0],
            at_most=REAR_OVER_FRONT[1],
            margin=0.02,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The rear rides {value} times as often as the front. It meets each bump later and catches up, so the body "
            "soon moves level.",
            close="The rear rides {value} times as often as the front, about {limit}. Meeting each bump later, it needs to be "
            "quicker to catch up.",
            fails="The rear rides {value} times as often as the front, outside {limits}. The rear meets each bump "
            "later: it has to be quicker to catch up, but not by so much that it overtakes.",
        ),
        Check(
            rule="spring center behind the center of gravity",
            value="spring_center_share",
            at_least=0.065,
            margin=0.005,
            warns=True,
            source=_OLLEY,
            holds="The spring center lies {value} of the wheelbase behind the center of gravity: the same call for a softer "
            "front, stated another way.",
            close="The spring center lies {value} of the wheelbase behind the center of gravity, about the {limit} that Olley "
            "asks for.",
            fails="The spring center lies {value} of the wheelbase behind the center of gravity; Olley asks for {limit} or "
            "more, which means a softer front or a firmer rear.",
        ),
        Check(
            rule="bounce and pitch alike",
            value="frequency_spread",
            at_most=1.2,
            margin=0.02,
            warns=True,
            source=_OLLEY,
            holds="The faster motion is {value} times the slower: a bump does not end in a slow change from one to the other.",
            close="The faster motion is {value} times the slower, about {limit}.",
            fails="The faster motion is {value} times the slower; Olley asks for {limit} at most. Further apart, the two come "
            "in and out of step, and the body seesaws.",
        ),
        Check(
            rule="neither too quick",
            value="maximum(bounce_frequency, pitch_frequency)",
            of=_frequency,
            at_most=1.3,
            warns=True,
            source=_OLLEY,
            holds="Bounce at {bounce_frequency} and pitch at {pitch_frequency} are both within {limit}, which Olley found "
            "comfortable.",
            fails="Bounce at {bounce_frequency} or pitch at {pitch_frequency} is above {limit}, the most that Olley found "
            "comfortable.",
        ),
        Check(
            rule="pitch about a point between the axles",
            value="pitch_center_behind_front_axle",
            at_least=0.0,
            at_most="wheelbase",
            warns=True,
            holds="Pitch turns about a point {value} behind the front axle, between the axles.",
            close="Pitch turns about a point {value} ± {doubt} behind the front axle, about an axle at {limit}.",
            fails="Pitch turns about a point {value} behind the front axle, beyond an axle at {limit}: a bump "
            "under one axle throws the other end.",
            unchecked="About which point it pitches",
        ),
        Check(
            rule="dynamic index near one",
            value="dynamic_index",
            at_least=0.8,
            at_most=1.2,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="With a dynamic index of {value} a bump under one axle hardly moves the body over the other.",
            fails="With a dynamic index of {value}, outside {limits}, a bump under one axle moves the body over the other too.",
        ),
    ),
    practice=(
        Practice(
            text="A rig carries {front_sprung_mass} on its front springs and {rear_sprung_mass} on its rear springs, "
            "{wheelbase} apart. The ride rate is {front_ride_rate} at each front wheel and {rear_ride_rate} at each rear "
            "wheel, and the dynamic index is {dynamic_index}. What is the frequency of pitch?",
            asks="pitch_frequency",
            vary=("front_sprung_mass", "rear_sprung_mass", "front_ride_rate", "rear_ride_rate"),
        ),
        Practice(
            text="The front springs carry {front_sprung_mass} at a ride rate of {front_ride_rate} per wheel, the rear springs "
            "{rear_sprung_mass} at {rear_ride_rate} per wheel. How many times as often does the rear ride as the front?",
            asks="frequency_ratio",
            vary=("rear_sprung_mass", "front_ride_rate", "rear_ride_rate"),
        ),
    ),
    chart=_chart,
    groups={
        "Front": ("front_sprung_mass", "front_ride_rate"),
        "Rear": ("rear_sprung_mass", "rear_ride_rate"),
        "Body": ("wheelbase", "dynamic_index"),
    },
    main=("bounce_frequency", "pitch_frequency", "frequency_ratio"),
)
