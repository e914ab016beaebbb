"""Height of the center of gravity from weighing with one axle raised, several lifts fitted together."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units
from calc.chart import Chart, Curve, Dot, Panel
from calc.quantity import Choice, Display, Option, Quantity, Table
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step, Values, refuse
from calc.units import INCH
from calc.vocabulary import (
    AxleRating,
    FrontAxleMass,
    FrontTireRadius,
    FrontUnsprungMass,
    RearAxleMass,
    RearTireRadius,
    RearUnsprungMass,
    TotalMass,
    Wheelbase,
    axle_mass,
    center_of_gravity_height,
    length,
    tire_loaded_radius,
)

_DEGREE = math.pi / 180
_STEEP_ENOUGH = 10 * _DEGREE
_FRONT, _REAR = "front", "rear"

_axle_raised = Choice(
    label="Raised axle",
    options=(
        Option(_REAR, "the rear axle", "The front wheels stay on their pads."),
        Option(_FRONT, "the front axle", "The rear wheels stay on their pads."),
    ),
    typical=_REAR,
    help="The other one stays on the pads and is read.",
)
_frame_angle = Quantity(
    label="Angle of the frame",
    symbol="θ",
    kind=units.ANGLE,
    low=0.5 * _DEGREE,
    high=40 * _DEGREE,
    typical=8 * _DEGREE,
    help="How far the frame has turned from its level stance, by an angle finder on the frame.",
    plus_minus=0.1 * _DEGREE,
)
_hub_rise = length.called(
    "Rise of the raised hubs",
    "n",
    "How much higher the raised hubs are above the other hubs than when level.",
    low=1 * INCH,
    high=80 * INCH,
    typical=15 * INCH,
    plus_minus=INCH / 8,
)
_count = Quantity(
    label="Lifts", symbol="N", kind=units.COUNT, low=1.0, high=20.0, typical=3.0, help="Rows of the table."
)
_gain = axle_mass.called(
    "Load gained per tangent",
    "G",
    "Slope of the straight line through the readings: what the axle that stays down gains as the tangent grows by 1.",
    low=-2e4,
    high=2e4,
    low_open=False,
    usual=None,
    typical=315.0,
    plus_minus=0.0,
)
_sensitivity = Quantity(
    label="Height per degree of error",
    symbol="s_θ",
    kind=units.LENGTH_PER_ANGLE,
    low=-1e3,
    high=1e3,
    typical=-2.0,
    help="How far the height by the highest lift alone falls when its angle is read one degree too large; in one line with "
    "others it moves a little less.",
)


@dataclass(frozen=True, kw_only=True)
class Lift:
    """One lift: its angle or the rise of the hubs, and what the axle that stays down reads."""

    frame_angle: Annotated[float, _frame_angle] | None = None
    hub_rise: Annotated[float, _hub_rise] | None = None
    reading: Annotated[
        float, axle_mass.called("Reading of the axle that stays down", "m_n'", "Both pads of that axle, added.")
    ]


_lifts = Table(
    label="Lifts",
    row=Lift,
    help="Each with its angle or with the rise of the hubs, not with both. Read some on the way up and some on the way "
    "down.",
    least=1,
    most=20,
)


@dataclass(frozen=True, kw_only=True)
class RaisedAxle:
    """The height of the center of gravity, what it rests on, and how sensitive it is."""

    # Wrong readings may put it anywhere: the findings say so.
    center_of_gravity_height: Annotated[float, center_of_gravity_height.within(low=-50.0, high=50.0)]
    sprung_center_height: (
        Annotated[
            float,
            center_of_gravity_height.called(
                "Sprung center of gravity, height",
                "z_s",
                "Of all that the springs carry, from level ground.",
                typical=0.95,
                low=-50.0,
                high=50.0,
            ),
        ]
        | None
    )
    height_sensitivity: Annotated[float, _sensitivity]
    total_mass: TotalMass
    load_gain: Annotated[float, _gain]
    reading_raised: Annotated[
        float,
        axle_mass.called(
            "Raised reading used",
            "m_n'",
            "The raised readings of the axle that stays down, weighed as the straight line weighs them.",
        ),
    ]
    tire_radius_mean: Annotated[
        float,
        tire_loaded_radius.called(
            "Effective hub height", "r_m", "Both radii, each by the load its axle carries while the other is raised."
        ),
    ]
    line_miss: (
        Annotated[float, axle_mass.called("Largest miss of a reading", "Δm_max", low=0.0, usual=None, typical=5.0)]
        | None
    )
    largest_angle: Annotated[float, _frame_angle.called("Angle of the highest lift", "θ_max")]
    largest_reading: Annotated[float, axle_mass.called("Largest reading", "m_n,max")]
    lift_count: Annotated[float, _count]


def raised_axle(
    *,
    front_axle_mass: FrontAxleMass,
    rear_axle_mass: RearAxleMass,
    wheelbase: Wheelbase,
    front_tire_radius: FrontTireRadius,
    rear_tire_radius: RearTireRadius,
    axle_raised: Annotated[str, _axle_raised] = _REAR,
    lifts: Annotated[tuple[Lift, ...], _lifts],
    front_unsprung_mass: FrontUnsprungMass | None = None,
    rear_unsprung_mass: RearUnsprungMass | None = None,
    axle_rating: AxleRating | None = None,
) -> RaisedAxle:
    """Return the height of the center of gravity from level readings and from lifts of one axle.

    The readings of the axle that stays down, corrected for unequal tire radii, are fitted by a straight line over the
    tangent of the frame's angle; the level reading is one of its points. With one lift the line goes through both.
    The height counts from level ground, the wheelbase and the radii in the level stance.
    The lifts are one table; the other inputs may be arrays that broadcast together.

    Raises ContradictionError when a lift has no angle or two, when the hubs cannot rise so far, when raising an axle
    would take load off the other or leave nothing on the raised one, and when the axles weigh more than the whole.
    Valid with the suspension locked at ride length, tires at one pressure, one axle free to roll.
    Source: after ISO 10392 (secondary), with unequal radii worked out on the page.

    >>> found = raised_axle(front_axle_mass=1315.4, rear_axle_mass=1084.1, wheelbase=2.85, front_tire_radius=0.44,
    ...     rear_tire_radius=0.44, lifts=(Lift(frame_angle=math.radians(10), reading=1370.9),))
    >>> round(float(found.center_of_gravity_height), 3)
    0.814
    """
    # Over 60 lines: its inputs, its docstring and its results stand one to a line around one formula.
    STEP.refuse(locals())
    rear_up = axle_raised == _REAR
    down, up = (front_tire_radius, rear_tire_radius) if rear_up else (rear_tire_radius, front_tire_radius)
    total: Any = front_axle_mass + rear_axle_mass
    level: Any = front_axle_mass if rear_up else rear_axle_mass
    _refuse_lifts(lifts, level, total)
    angles = [_angle(index, lift, wheelbase, up - down) for index, lift in enumerate(lifts)]
    tangents = [np.tan(angle) for angle in angles]
    readings = [lift.reading for lift in lifts]
    mean = sum(tangents) / (len(lifts) + 1)
    spread = sum((tangent - mean) ** 2 for tangent in tangents) + mean**2
    weights = [(tangent - mean) / spread for tangent in tangents]
    gain = sum(weight * reading for weight, reading in zip(weights, readings, strict=True)) - mean / spread * level
    # These weights add up to 1, so they make one reading out of all: with a single lift, that lift's own.
    counting = sum(w * t * reading for w, t, reading in zip(weights, tangents, readings, strict=True))
    radius = (down * counting + up * (total - counting)) / total
    height = radius + gain * wheelbase / total
    largest = angles[0]
    for angle in angles[1:]:
        largest = np.maximum(largest, angle)
    sprung = None
    if front_unsprung_mass is not None and rear_unsprung_mass is not None:
        axles = front_unsprung_mass * front_tire_radius + rear_unsprung_mass * rear_tire_radius
        sprung = (total * height - axles) / (total - front_unsprung_mass - rear_unsprung_mass)
    return RaisedAxle(
        center_of_gravity_height=height,
        sprung_center_height=sprung,
        height_sensitivity=-gain * np.tan(largest) * wheelbase / total / np.sin(largest) ** 2,
        total_mass=total,
        load_gain=gain,
        reading_raised=counting,
        tire_radius_mean=radius,
        line_miss=_miss(tangents, readings, level, mean, gain) if len(lifts) > 1 else None,
        largest_angle=largest,
        largest_reading=max(lift.reading for lift in lifts),
        lift_count=float(len(lifts)),
    )


def _refuse_lifts(lifts: Sequence[Lift], level: Any, total: Any) -> None:
    for index, lift in enumerate(lifts):
        refuse(
            lift.frame_angle is None and lift.hub_rise is None,
            f"lifts.{index}.frame_angle",
            f"Lift {index + 1} has neither an angle nor a rise of the hubs.",
            "Allowed: one of the two.",
        )
        refuse(
            lift.frame_angle is not None and lift.hub_rise is not None,
            f"lifts.{index}.frame_angle",
            f"Lift {index + 1} has both an angle and a rise of the hubs.",
            "Allowed: one of the two; empty the one that was read less well.",
        )
        refuse(
            lift.reading <= level,
            f"lifts.{index}.reading",
            f"Lift {index + 1}: the axle that stays down reads {{reading}}, and level it reads {{level}}. Raising the "
            "other axle puts load on it.",
            "Allowed: above {level}; check which axle was raised, and that its wheels were free to roll.",
            reading=(lift.reading, axle_mass),
            level=(level, axle_mass),
        )
        refuse(
            lift.reading >= total,
            f"lifts.{index}.reading",
            f"Lift {index + 1}: the axle that stays down reads {{reading}}, and the whole vehicle weighs {{total}}.",
            "Allowed: below {total}.",
            reading=(lift.reading, axle_mass),
            total=(total, axle_mass),
        )


def _angle(index: int, lift: Lift, wheelbase: Any, radius_difference: Any) -> Any:
    """Return the frame's angle, from the rise of the hubs where that was read."""
    if lift.frame_angle is not None:
        return lift.frame_angle + 0.0 * wheelbase
    # From hub to hub: with unequal radii that line is not level when the frame is.
    between = np.hypot(wheelbase, radius_difference)
    rise = 0.0 if lift.hub_rise is None else lift.hub_rise
    refuse(
        rise + radius_difference >= math.sin(_frame_angle.high) * between,
        f"lifts.{index}.hub_rise",
        f"Lift {index + 1}: a rise of the hubs by {{rise}} on a wheelbase of {{wheelbase}} tips the frame beyond "
        "{most}.",
        "Allowed: less; the angle of the frame must stay below {most}.",
        rise=(rise, _hub_rise),
        wheelbase=(wheelbase, _hub_rise),
        most=(_frame_angle.high, _frame_angle),
    )
    return np.arcsin((rise + radius_difference) / between) - np.arcsin(radius_difference / between)


def _miss(tangents: Sequence[Any], readings: Sequence[Any], level: Any, mean: Any, gain: Any) -> Any:
    """Return how far the reading that lies worst misses the straight line, the level reading included."""
    count = len(readings) + 1
    middle = (sum(readings) + level) / count
    worst = np.abs(level - middle + gain * mean)
    for tangent, reading in zip(tangents, readings, strict=True):
        worst = np.maximum(worst, np.abs(reading - middle - gain * (tangent - mean)))
    return worst


def _chart(values: Values, display: Display) -> Chart:
    unit = display.unit(axle_mass, "reading")
    rear_up = values["axle_raised"] == _REAR
    down, up = ("front", "rear") if rear_up else ("rear", "front")
    difference = values[f"{up}_tire_radius"] - values[f"{down}_tire_radius"]
    level = values[f"{down}_axle_mass"]
    angles = [float(_angle(index, lift, values["wheelbase"], difference)) for index, lift in enumerate(values["lifts"])]
    tangents = [0.0, *(math.tan(angle) for angle in angles)]
    readings = [level, *(lift.reading for lift in values["lifts"])]
    middle = sum(readings) / len(readings) - values["load_gain"] * sum(tangents) / len(tangents)
    ends = (0.0, 1.08 * max(tangents))
    line = tuple((end, units.from_si(middle + values["load_gain"] * end, unit)) for end in ends)
    return Chart(
        key="raised-axle-chart",
        title="Readings against the tangent of the angle",
        description="What the axle that stays down reads, against the tangent of the frame's angle, with the straight "
        "line through the readings.",
        x_label="Tangent of the frame's angle",
        panels=(
            Panel(
                "Axle that stays down",
                unit.symbol,
                curves=(Curve(line, label="best straight line", at=ends[1] * 0.55),),
                dots=tuple(
                    Dot(tangent, units.from_si(reading, unit), "level" if index == 0 else f"lift {index}")
                    for index, (tangent, reading) in enumerate(zip(tangents, readings, strict=True))
                ),
                decimals=display.decimals(axle_mass, "reading"),
                tall=True,
            ),
        ),
        x_decimals=3,
    )


STEP = Step(
    function=raised_axle,
    title="Height of the center of gravity",
    question="One axle raised, the other on the pads: how high is the center of gravity, and how sure is that?",
    job="1b",
    sources=(
        Source(key="iso_10392_2011", where="axle load against the tangent of the lift angle", flag="secondary"),
        Source(key="derivation", where="moments about the hubs that stay down, radii unequal", flag="derivation"),
    ),
    groups={
        "Level": ("front_axle_mass", "rear_axle_mass", "wheelbase", "front_tire_radius", "rear_tire_radius"),
        "Raised": ("axle_raised", "lifts"),
        "Besides": ("front_unsprung_mass", "rear_unsprung_mass", "axle_rating"),
    },
    equations=(
        Equation(result="total_mass", text="front_axle_mass + rear_axle_mass", note="both axles, level"),
        Equation(
            result="tire_radius_mean",
            text="(front_tire_radius * reading_raised + rear_tire_radius * (total_mass - reading_raised)) / total_mass",
            note="the loads that the tires carry while raised",
            when="axle_raised == 'rear'",
        ),
        Equation(
            result="tire_radius_mean",
            text="(rear_tire_radius * reading_raised + front_tire_radius * (total_mass - reading_raised)) / total_mass",
            note="the loads that the tires carry while raised",
            when="axle_raised == 'front'",
        ),
        Equation(
            result="center_of_gravity_height",
            text="tire_radius_mean + load_gain * wheelbase / total_mass",
            note="a center above the hubs goes over toward the axle that stays down",
        ),
        Equation(
            result="height_sensitivity",
            text="-load_gain * tan(largest_angle) * wheelbase / total_mass / sin(largest_angle)**2",
            note="what an angle that is read wrong does, at the highest lift",
        ),
        Equation(
            result="sprung_center_height",
            text="(total_mass * center_of_gravity_height - front_unsprung_mass * front_tire_radius "
            "- rear_unsprung_mass * rear_tire_radius) / (total_mass - front_unsprung_mass - rear_unsprung_mass)",
            note="each axle taken off at the height of its hubs",
        ),
    ),
    refusals=(
        Refusal(
            field="rear_unsprung_mass",
            when="unsprung >= total_mass",
            problem="The axles together weigh {unsprung}, and the whole vehicle weighs {total_mass}.",
            allowed="Allowed: less than {total_mass} together.",
            given=(Equation(result="unsprung", text="front_unsprung_mass + rear_unsprung_mass", quantity=axle_mass),),
        ),
    ),
    example=Example(
        inputs={
            "front_axle_mass": "2900 lb",
            "rear_axle_mass": "2390 lb",
            "wheelbase": "2.850 m",
            "front_tire_radius": "0.440 m",
            "rear_tire_radius": "0.440 m",
            "axle_raised": _REAR,
            "lifts": (
                {"frame_angle": "4.0°", "reading": "2949 lb"},
                {"frame_angle": "8.0°", "reading": "2997 lb"},
                {"frame_angle": "12.0°", "reading": "3047 lb"},
            ),
            "front_unsprung_mass": "342.5 kg",
            "rear_unsprung_mass": "298 kg",
            "axle_rating": "1500 kg",
        },
        expected={
            "load_gain": ("690.40 lb", 0.005),
            "center_of_gravity_height": ("0.81195 m", 5e-6),
            "sprung_center_height": ("0.94739 m", 5e-6),
            "height_sensitivity": ("-31.921 mm/°", 0.0005),
            "line_miss": ("0.486 lb", 0.0005),
        },
        source=Source(
            key="derivation",
            where="the four points' line by numpy's polyfit; 0.440 m + 690.40/5290 × 2.850 m",
            flag="derivation",
        ),
        name="Wren, bare with one person",
    ),
    checks=(
        Check(
            rule="lifts enough",
            value="lift_count",
            at_least=3.0,
            warns=True,
            source=Source(key="iso_10392_2011", flag="secondary"),
            holds="{value} lifts: a wrong one shows.",
            fails="{value} of the {limit} lifts that are wanted: with fewer, a wrong reading does not show.",
        ),
        Check(
            rule="lifted far enough",
            value="largest_angle",
            at_least=_STEEP_ENOUGH,
            margin=0.1 * _DEGREE,
            warns=True,
            source=PRACTICE,
            holds="The highest lift, {value}, is steep enough: an angle read too large there moves its "
            "height by {height_sensitivity}.",
            close="The highest lift, {value}, is about the {limit} that is steep enough: an angle read too large there moves its "
            "height by {height_sensitivity}.",
            fails="The highest lift is only {value}, less than {limit}: an angle read too large there moves its height by {height_sensitivity}. "
            "Lift further only if the equipment is made for it.",
        ),
        Check(
            rule="readings lie on a line",
            value="line_miss",
            at_most=axle_mass.plus_minus,
            warns=True,
            source=PRACTICE,
            holds="All readings lie on one straight line, within {limit}: they agree.",
            fails="One reading misses the straight line by {value}, more than {limit}: a wheel that did not roll freely, a suspension that "
            "was not locked, or fuel that ran. Read that lift again.",
            unchecked="Whether the lifts agree, which takes two or more",
        ),
        Check(
            rule="center of gravity above the hubs",
            condition="center_of_gravity_height > tire_radius_mean",
            holds="The center of gravity lies {center_of_gravity_height} above the ground, above the hubs at "
            "{tire_radius_mean}.",
            fails="The center of gravity comes out below the hubs: check the readings.",
        ),
        Check(
            rule="sprung weight above the whole",
            condition="sprung_center_height >= center_of_gravity_height",
            holds="What the springs carry has its center at {sprung_center_height}: that height counts in roll.",
            fails="What the springs carry has its center at {sprung_center_height}, below that of the whole: check the "
            "unsprung weights.",
            unchecked="Height of what the springs carry",
        ),
        Check(
            rule="rating of the axle that stays down",
            value="largest_reading",
            at_most="axle_rating",
            holds="The axle that stays down carries {value} at the highest lift; its rating is {limit}.",
            close="The axle that stays down carries {value} at the highest lift, too near its rating of {limit}.",
            fails="The axle that stays down carries {value} at the highest lift, more than its rating of {limit}: do not "
            "lift so far.",
        ),
    ),
    practice=(
        Practice(
            text="Take the level readings and the lifts of the worked example, on a rig with a wheelbase of {wheelbase}, "
            "front tires of {front_tire_radius} and rear tires of {rear_tire_radius} loaded radius. How high is its "
            "center of gravity?",
            asks="center_of_gravity_height",
            vary=("wheelbase", "front_tire_radius", "rear_tire_radius"),
        ),
    ),
    chart=_chart,
    main=("center_of_gravity_height", "sprung_center_height", "height_sensitivity"),
)
