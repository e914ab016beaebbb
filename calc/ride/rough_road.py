"""What rough ground does to a corner: speed and travel of its damper, load of its tire, shaking of its body."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Panel
from calc.constants import GRAVITY, SMOOTHNESS, WAVENUMBER
from calc.formula import erfc
from calc.quantity import Display, Quantity
from calc.roots import turns_positive
from calc.step import Check, Equation, Example, Practice, Source, Step, Values
from calc.units import INCH
from calc.vocabulary import (
    BumpLeft,
    CavitationSpeed,
    KneeSpeed,
    MotionRatio,
    RoadClass,
    RoadSpeed,
    SlopePastKnee,
    SprungMassOnSpring,
    TireRate,
    WheelRate,
    damping_coefficient,
    road_speed,
    travel_left,
    unsprung_mass,
    velocity,
)

_ISO = Source(key="iso_8608", where="classes by geometric mean, 0.1 waves per meter, exponent 2", flag="memory")
_NEWLAND = Source(key="newland", where="mean squares of a fourth-degree response, closed form", flag="memory")
_CLASSES = "ABCDEFGH"
# The tail of a normal law is no measure of how seldom something is: below this only "under" it is told.
_LEAST_SHARE = 1e-4

_axle_mass = unsprung_mass.called(unsprung_mass.label, low_open=True)
# Without any damping the corner would swing without end.
_coefficient = damping_coefficient.called(damping_coefficient.label, low=10.0)
_linear = damping_coefficient.called(
    "Effective coefficient on this ground",
    "c_e",
    "At the damper, its mean slope over the speeds of this ground; without a knee the coefficient itself.",
    plus_minus_share=0.0,
    high=1e7,
)
_roughness = Quantity(
    label="Roughness of the ground",
    symbol="G_d",
    kind=units.ROUGHNESS,
    low=0.0,
    high=1.0,
    typical=1024e-6,
    help="Displacement spectrum at 0.1 waves per meter, geometric mean of the class; one cm³ is 10⁻⁶ m³.",
)
_class_factor = Quantity(
    label="Roughness, times class A",
    symbol="n_A",
    kind=units.COUNT,
    low=1.0,
    high=4.0**7,
    typical=64.0,
    help="Four times from each class to the next.",
)
_speed = velocity.called("Damper speed", high=1e3)
_travel = travel_left.called("Damper travel", "x_σ", "Along the damper.", low=0.0, high=1e3, typical=0.5 * INCH)
_tire = vocabulary.share.called(
    "Tire load", "q_T", "Swing of the load on the tire, as a share of its static load.", high=1e3, typical=0.3
)
_shaking = Quantity(
    label="Body acceleration, in g",
    symbol="a",
    kind=units.NUMBER,
    low=0.0,
    high=1e3,
    typical=0.15,
    help="Up and down over this spring.",
)


@dataclass(frozen=True, kw_only=True)
class RoughRoad:
    """The root mean square of what the ground does to a corner, three times it, and what that means for cavitation."""

    class_factor: Annotated[float, _class_factor]
    road_roughness: Annotated[float, _roughness]
    effective_coefficient: Annotated[float, _linear]
    damper_speed_rms: Annotated[
        float, _speed.called("Damper speed, r.m.s.", "v_σ", "Root mean square over this ground.")
    ]
    damper_speed_three_sigma: Annotated[
        float,
        _speed.called("Damper speed, three sigma", "v_3σ", "Three times the r.m.s.; nearly all speeds stay below it."),
    ]
    damper_travel_rms: Annotated[float, _travel.called("Damper travel, r.m.s.", "x_σ", "Up and down from ride.")]
    damper_travel_three_sigma: Annotated[
        float, _travel.called("Damper travel, three sigma", "x_3σ", "Up and down from ride.")
    ]
    tire_load_rms: Annotated[float, _tire.called("Tire load over static, r.m.s.", "q_T,σ")]
    tire_load_three_sigma: Annotated[float, _tire.called("Tire load over static, three sigma", "q_T,3σ")]
    body_acceleration_rms: Annotated[float, _shaking.called("Body acceleration, r.m.s., in g", "a_σ")]
    body_acceleration_three_sigma: Annotated[float, _shaking.called("Body acceleration, three sigma, in g", "a_3σ")]
    cavitation_time_share: (
        Annotated[
            float,
            vocabulary.share.called(
                "Share of time past cavitation",
                "q_cav",
                "Share of the time on this ground in which compression is faster than the cavitation speed.",
                least_told=_LEAST_SHARE,
            ),
        ]
        | None
    )
    bottoming_time_share: (
        Annotated[
            float,
            vocabulary.share.called(
                "Share of time past the bump left",
                "q_bump",
                "Share of the time in which the damper would be deeper than the bump stop lets it.",
                least_told=_LEAST_SHARE,
            ),
        ]
        | None
    )
    cavitation_road_speed: (
        Annotated[
            float,
            road_speed.called(
                "Cavitates above (road speed, three sigma)",
                "V_cav",
                "On this ground, where three sigma of the damper speed reaches the cavitation speed.",
                low=0.0,
                high=1e12,
                assumed=None,
            ),
        ]
        | None
    )


def rough_road(
    *,
    sprung_mass_on_spring: SprungMassOnSpring,
    unsprung_mass: Annotated[float, _axle_mass],
    wheel_rate: WheelRate,
    tire_rate: TireRate,
    motion_ratio: MotionRatio,
    damping_coefficient: Annotated[float, _coefficient],
    road_class: RoadClass = "D",
    road_speed: RoadSpeed = 30 / 3.6,
    knee_speed: KneeSpeed = 10 * INCH,
    slope_past_knee: SlopePastKnee = 1.0,
    cavitation_speed: CavitationSpeed | None = None,
    bump_left: BumpLeft | None = None,
) -> RoughRoad:
    """Return what a corner does on random ground of a class at a road speed, in closed form.

    The ground is the displacement spectrum of its class with exponent 2, so it moves the tire with a white velocity.
    The corner is two masses on two springs and a damper, all linear, and each mean square has a closed form. A knee
    lowers the coefficient to the damper's mean slope over the speeds that it meets, which is found from the answer.
    Takes single values or arrays that broadcast together, except the class.

    Raises nothing beyond the limits of its inputs.
    Valid for tires that stay on the ground, a damper that stays off its stops, one regime of the springs, a tire that
    touches at a point, and ground that swings by chance, without holes, rocks or washboard of one length.
    Source: Newland's mean squares of linear responses; ISO 8608; both from memory, worked out on the page.

    >>> found = rough_road(sprung_mass_on_spring=500.0, unsprung_mass=300.0, wheel_rate=28e3, tire_rate=260e3,
    ...     motion_ratio=1.0, damping_coefficient=2600.0)
    >>> round(float(found.damper_speed_rms), 4), round(float(found.damper_travel_rms), 5)
    (0.2902, 0.01451)
    """
    # Over 60 lines: its inputs, its docstring and its results stand one to a line around one formula.
    body, hop, rate, tire = sprung_mass_on_spring, unsprung_mass / 2, wheel_rate, tire_rate
    both = body + hop
    class_factor = 4.0 ** _CLASSES.index(road_class)
    roughness = SMOOTHNESS * class_factor
    # One cycle of waves: what a mean square takes of the ground, but for the corner's own numbers.
    ground = (np.pi * WAVENUMBER) ** 2 * roughness * road_speed
    plain = ground * tire / damping_coefficient
    speed = np.sqrt(plain) if np.all(slope_past_knee == 1) else _with_knee(plain, knee_speed, slope_past_knee)
    counting = damping_coefficient * _mean_slope(speed, knee_speed, slope_past_knee)
    damping = counting * motion_ratio**2
    travel = np.sqrt(ground * both / counting)
    shaking = np.sqrt(ground * (tire * damping**2 + both * rate**2) / damping) / body / GRAVITY
    swing = tire * hop * (tire * body**2 - 2 * rate * both * body) + both**2 * (tire * damping**2 + both * rate**2)
    load = np.sqrt(ground * swing / damping) / (body * both * GRAVITY)
    share = fastest = None
    if cavitation_speed is not None:
        share = erfc(cavitation_speed / (np.sqrt(2) * speed)) / 2
        third = cavitation_speed / 3
        slope = _mean_slope(third, knee_speed, slope_past_knee)
        fastest = road_speed * third**2 * slope / plain
    return RoughRoad(
        class_factor=class_factor,
        road_roughness=roughness,
        effective_coefficient=counting,
        damper_speed_rms=speed,
        damper_speed_three_sigma=3 * speed,
        damper_travel_rms=travel,
        damper_travel_three_sigma=3 * travel,
        tire_load_rms=load,
        tire_load_three_sigma=3 * load,
        body_acceleration_rms=shaking,
        body_acceleration_three_sigma=3 * shaking,
        cavitation_time_share=share,
        bottoming_time_share=None if bump_left is None else erfc(bump_left / (np.sqrt(2) * travel)) / 2,
        cavitation_road_speed=fastest,
    )


def _mean_slope(speed: Any, knee: Any, slope: Any) -> Any:
    """Return the mean slope of a force with a knee over normally spread speeds, as a share of that before the knee."""
    return 1 - (1 - slope) * erfc(knee / (np.sqrt(2) * speed))


def _with_knee(plain: Any, knee: Any, slope: Any) -> Any:
    """Return the r.m.s. speed of a damper with a knee: the faster it moves, the less of its coefficient counts."""
    low = np.sqrt(plain)
    return turns_positive(lambda speed: speed**2 * _mean_slope(speed, knee, slope) - plain, low, low / np.sqrt(slope))


def _chart(values: Values, display: Display) -> Chart:
    x_unit, y_unit = display.unit(road_speed, "road_speed"), display.unit(_speed, "damper_speed_three_sigma")
    most = 2 * values["road_speed"]
    speeds: Any = most * np.linspace(0.02, 1.0, 41)
    places = [units.from_si(speed, x_unit) for speed in speeds.tolist()]
    names = (
        *("sprung_mass_on_spring", "unsprung_mass", "wheel_rate", "tire_rate", "motion_ratio"),
        *("damping_coefficient", "knee_speed", "slope_past_knee"),
    )
    own = _CLASSES.index(values["road_class"])
    curves = []
    for index in range(max(own - 1, 0), min(own + 2, len(_CLASSES))):
        found = rough_road(
            **{name: values[name] for name in names}, road_class=_CLASSES[index], road_speed=speeds
        ).damper_speed_three_sigma
        heights = [units.from_si(height, y_unit) for height in np.asarray(found).tolist()]
        points = tuple(zip(places, heights, strict=True))
        curves.append(Curve(points, label=f"class {_CLASSES[index]}", at=places[33], quiet=index != own))
    if values["cavitation_speed"] is not None and values["cavitation_speed"] < 1e3:
        level = units.from_si(values["cavitation_speed"], y_unit)
        curves.append(Curve(((places[0], level), (places[-1], level)), label="cavitates", at=places[8], quiet=True))
    here = Dot(
        units.from_si(values["road_speed"], x_unit), units.from_si(values["damper_speed_three_sigma"], y_unit), "now"
    )
    return Chart(
        key="rough-road-chart",
        title="Damper speed on rough ground",
        description="Three sigma of the damper speed against the road speed, on the class of ground asked for and on its "
        "neighbors: twice from one class to the next, and with the root of the road speed.",
        x_label="Road speed",
        x_unit=x_unit.symbol,
        x_decimals=display.decimals(road_speed, "road_speed"),
        panels=(
            Panel(
                "Damper speed, three sigma",
                y_unit.symbol,
                curves=tuple(curves),
                dots=(here,),
                decimals=display.decimals(_speed, "damper_speed_three_sigma"),
                tall=True,
                at_least=(0.0, 1.0),
            ),
        ),
    )


def _three(name: str) -> Equation:
    return Equation(result=f"{name}_three_sigma", text=f"3 * {name}_rms")


STEP = Step(
    function=rough_road,
    title="Rough ground",
    question="How fast does the damper move on rough ground, how far, and does the tire stay on it?",
    job="9d",
    sources=(
        Source(key="derivation", where="two masses on two springs and a damper over white velocity", flag="derivation"),
        _NEWLAND,
        _ISO,
    ),
    equations=(
        Equation(result="road_roughness", text="smoothness * class_factor", note="four times from class to class"),
        Equation(
            result="hop_mass",
            text="unsprung_mass / 2",
            note="half of the axle on each tire",
            quantity=unsprung_mass.called("Axle weight at this wheel", "m_h", "Half of the axle."),
        ),
        Equation(
            result="both_masses",
            text="sprung_mass_on_spring + hop_mass",
            note="what rests on the tire",
            quantity=vocabulary.sprung_mass_on_spring.called("Weight on the tire", "m_b", high=1e4),
        ),
        Equation(
            result="effective_coefficient",
            text="damping_coefficient * (1 - (1 - slope_past_knee) * erfc(knee_speed / (sqrt(2) * damper_speed_rms)))",
            note="the mean slope over the speeds of this ground; it and the next line are found together",
            when="slope_past_knee < 1",
        ),
        Equation(
            result="effective_coefficient",
            text="damping_coefficient",
            note="without a knee",
            when="slope_past_knee == 1",
        ),
        Equation(
            result="damper_speed_rms",
            text="pi * wavenumber * sqrt(road_roughness * road_speed * tire_rate / effective_coefficient)",
            note="neither the springs nor the weights count",
        ),
        _three("damper_speed"),
        Equation(
            result="damper_travel_rms",
            text="pi * wavenumber * sqrt(road_roughness * road_speed * both_masses / effective_coefficient)",
            note="the springs do not count",
        ),
        _three("damper_travel"),
        Equation(
            result="wheel_damping",
            text="effective_coefficient * motion_ratio**2",
            note="brought to the wheel",
            quantity=damping_coefficient.called("Damping coefficient at the wheel", "c"),
        ),
        Equation(
            result="body_acceleration_rms",
            text="pi * wavenumber / (sprung_mass_on_spring * gravity) * sqrt(road_roughness * road_speed * "
            "(tire_rate * wheel_damping**2 + both_masses * wheel_rate**2) / wheel_damping)",
            note="in g; too much damping and too much spring both shake",
        ),
        _three("body_acceleration"),
        Equation(
            result="tire_load_rms",
            text="pi * wavenumber / (sprung_mass_on_spring * both_masses * gravity) * sqrt(road_roughness * road_speed / "
            "wheel_damping * (tire_rate * hop_mass * (tire_rate * sprung_mass_on_spring**2 - 2 * wheel_rate * "
            "both_masses * sprung_mass_on_spring) + both_masses**2 * (tire_rate * wheel_damping**2 + both_masses * "
            "wheel_rate**2)))",
            note="over the static load",
        ),
        _three("tire_load"),
        Equation(
            result="cavitation_time_share",
            text="erfc(cavitation_speed / (sqrt(2) * damper_speed_rms)) / 2",
            note="speeds spread normally, and half of them are compression",
        ),
        Equation(
            result="bottoming_time_share",
            text="erfc(bump_left / (sqrt(2) * damper_travel_rms)) / 2",
            note="so is the travel, and half of it is bump",
        ),
        Equation(
            result="cavitation_road_speed",
            text="(cavitation_speed / (3 * pi * wavenumber))**2 * damping_coefficient * (1 - (1 - slope_past_knee) * "
            "erfc(3 * knee_speed / (sqrt(2) * cavitation_speed))) / (road_roughness * tire_rate)",
            note="where three sigma reaches it",
        ),
    ),
    example=Example(
        inputs={
            "sprung_mass_on_spring": "1134 lb",
            "unsprung_mass": "755 lb",
            "wheel_rate": "157.7 lb/in",
            "tire_rate": "1485 lb/in",
            "motion_ratio": "0.9781",
            "damping_coefficient": "15.75 lbf·s/in",
            "road_class": "D",
            "road_speed": "30 km/h",
            "knee_speed": "10 in/s",
            "slope_past_knee": "50 %",
            "cavitation_speed": "76.6 in/s",
            "bump_left": "6.4 in",
        },
        expected={
            "road_roughness": (1024e-6, 1e-12),
            "effective_coefficient": ("12.41441 lbf·s/in", 5e-6),
            "damper_speed_rms": ("12.49614 in/s", 5e-6),
            "damper_speed_three_sigma": ("37.48841 in/s", 5e-6),
            "damper_travel_rms": ("0.64161 in", 5e-6),
            "tire_load_rms": (0.31717, 5e-6),
            "body_acceleration_rms": (0.16194, 5e-6),
        },
        source=Source(
            key="derivation", where="scipy's quad over the spectrum, and python-control's covariance", flag="derivation"
        ),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="gas holds up on this ground",
            value="cavitation_speed",
            at_least="damper_speed_three_sigma",
            holds="The gas holds up on this ground: compression cavitates at {value}, and three sigma of the damper speed on "
            "class {road_class} at {road_speed} is {limit}{limit_doubt}, an estimate of a linear corner.",
            close="Compression cavitates at {value}, about three sigma of the damper speed on class {road_class} at "
            "{road_speed}, {limit}{limit_doubt}, an estimate of a linear corner: more gas, or less of the damping in compression.",
            fails="Compression cavitates at {value}, below three sigma of the damper speed on class {road_class} at "
            "{road_speed}, {limit}{limit_doubt}, an estimate of a linear corner: {cavitation_time_share} of the time is past it. A higher "
            "charge, a larger piston, a base valve, a larger rebound share, or a road speed up to "
            "{cavitation_road_speed} cures it.",
            unchecked="Whether the gas holds up on this ground",
        ),
        Check(
            rule="tire stays on this ground",
            value="tire_load_three_sigma",
            at_most=1.0,
            warns=True,
            source=Source(key="derivation", where="a tire only pushes", flag="derivation"),
            holds="Three sigma of the tire's load is {value} of its static load, at most {at_most}: it stays on this ground.",
            close="Three sigma of the tire's load is {value} of its static load, about {at_most}: it nearly leaves this ground.",
            fails="Three sigma of the tire's load is {value} of its static load, more than {at_most}: the tire leaves this "
            "ground again and again, where no estimate of a linear corner holds. Drive slower.",
        ),
        Check(
            rule="damper stays off the bump stop",
            value="damper_travel_three_sigma",
            at_most="bump_left",
            warns=True,
            holds="Three sigma of the damper travel is {value}, and {limit} of bump is left: the bump stop is not driven "
            "solid on this ground.",
            close="Three sigma of the damper travel is {value}, about the {limit} of bump that is left.",
            fails="Three sigma of the damper travel is {value}, more than the {limit} of bump that is left: the bump stop is "
            "driven solid again and again. More bump travel, or more damping, or a lower road speed.",
            unchecked="Whether the damper stays off the bump stop on this ground",
        ),
    ),
    practice=(
        Practice(
            text="A corner with a tire of {tire_rate} and a damper of {damping_coefficient}, without a knee, is driven over "
            "class {road_class} at {road_speed}. How fast does the damper move, r.m.s.?",
            asks="damper_speed_rms",
            vary=("tire_rate", "damping_coefficient", "road_speed"),
            instead=(("slope_past_knee", 1.0),),
        ),
        Practice(
            text="A spring carries {sprung_mass_on_spring}, the axle weighs {unsprung_mass}, and the damper gives "
            "{damping_coefficient}, without a knee. On class {road_class} at {road_speed}, what is three sigma of the "
            "damper travel?",
            asks="damper_travel_three_sigma",
            vary=("sprung_mass_on_spring", "damping_coefficient", "road_speed"),
            instead=(("slope_past_knee", 1.0),),
        ),
    ),
    chart=_chart,
    groups={
        "Weights and rates": ("sprung_mass_on_spring", "unsprung_mass", "wheel_rate", "tire_rate"),
        "Damper": (
            *("motion_ratio", "damping_coefficient", "knee_speed", "slope_past_knee"),
            *("cavitation_speed", "bump_left"),
        ),
        "Ground": ("road_class", "road_speed"),
    },
    main=("damper_speed_rms", "damper_speed_three_sigma", "damper_travel_three_sigma"),
)
