"""How body and wheel swing together on one corner: ride and wheel hop, their shapes, their damping, and tramp."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Panel
from calc.quantity import Display, Quantity
from calc.step import Check, Equation, Example, Practice, Source, Step, Values
from calc.vocabulary import (
    AxleGyrationShare,
    DampingCoefficient,
    DampingRatioOnTire,
    MotionRatio,
    SprungMassOnSpring,
    TireRate,
    Track,
    WheelRate,
    any_rate,
    unsprung_mass,
)

_GILLESPIE = Source(key="gillespie_1992", where="chapter 5, ride", flag="memory")
_GYRATION = 0.39

_frequency = vocabulary.natural_frequency.called("Frequency", "f", "Undamped.", low=0.01, high=1e4, usual=None)
_shape = Quantity(
    label="Share",
    symbol="X",
    kind=units.RATIO,
    low=-1e3,
    high=1e3,
    typical=0.1,
    help="Up and down, the same way when positive.",
)
# An axle that its own coil-overs push over has no tramp to speak of.
_roll_stiffness = vocabulary.coil_over_roll_stiffness.called("Roll stiffness of both coil-overs", low=0.0)
# An axle without weight would hop endlessly fast.
_axle_mass = unsprung_mass.called(unsprung_mass.label, low_open=True)
_hop_mass = unsprung_mass.called(
    "Axle weight at this wheel", "m_h", "Half of the axle: both wheels of it hop together."
)


@dataclass(frozen=True, kw_only=True)
class CornerModes:
    """The two frequencies of a corner, what moves in each, how each is damped, and the axle's tramp."""

    body_frequency: Annotated[
        float, _frequency.called("Body frequency, axle moving too", "f_1", "The slower of the two; undamped.")
    ]
    hop_frequency: Annotated[
        float, _frequency.called("Wheel-hop frequency", "f_2", "The faster of the two; undamped.", typical=8.0)
    ]
    tramp_frequency: (
        Annotated[
            float,
            _frequency.called(
                "Tramp frequency", "f_r", "One wheel up as the other goes down, the body still.", typical=9.0
            ),
        ]
        | None
    )
    wheel_in_body_mode: Annotated[float, _shape.called("Wheel motion per body motion", "X_1", "In the slower motion.")]
    body_in_hop_mode: Annotated[
        float,
        _shape.called(
            "Body motion per wheel motion",
            "X_2",
            "In wheel hop; negative, because the body goes the other way.",
            typical=-0.03,
        ),
    ]
    body_damping_ratio: (
        Annotated[
            float,
            vocabulary.damping_ratio.called("Damping ratio of the body, exact", "ζ_1", "Both masses moving.", high=1e3),
        ]
        | None
    )
    damping_ratio_on_tire: DampingRatioOnTire | None
    hop_damping_ratio: (
        Annotated[
            float, vocabulary.damping_ratio.called("Damping ratio of wheel hop", "ζ_h", "Both masses moving.", high=1e3)
        ]
        | None
    )


def corner_modes(
    *,
    sprung_mass_on_spring: SprungMassOnSpring,
    unsprung_mass: Annotated[float, _axle_mass],
    wheel_rate: WheelRate,
    tire_rate: TireRate,
    motion_ratio: MotionRatio | None = None,
    damping_coefficient: DampingCoefficient | None = None,
    track: Track | None = None,
    coil_over_roll_stiffness: Annotated[float, _roll_stiffness] | None = None,
    axle_gyration_share: AxleGyrationShare = _GYRATION,
) -> CornerModes:
    """Return the two natural frequencies of a corner, their shapes and damping, and the tramp of a solid axle.

    The body stands on the wheel rate, the axle's half between that and the tire. Both move along one upright line,
    up positive, counted from rest. Tramp is the axle turning between its springs and its tires, the body held still.
    Takes single values or arrays that broadcast together.

    Raises nothing beyond the limits of its inputs.
    Valid for small motion about ride, both wheels of the axle together, tires on the ground, force in proportion to
    travel and to speed. Past critical damping the ratio of a motion is half the sum of its two decay rates over their
    geometric mean.
    Source: two masses on two springs; worked out on the page.

    >>> found = corner_modes(sprung_mass_on_spring=317.5, unsprung_mass=90.8, wheel_rate=22e3, tire_rate=192e3)
    >>> round(float(found.body_frequency), 3), round(float(found.hop_frequency), 2)
    (1.254, 10.94)
    """
    body, hop = sprung_mass_on_spring, unsprung_mass / 2
    on_spring, between = wheel_rate / body, (wheel_rate + tire_rate) / hop
    fast = (on_spring + between) / 2 + np.sqrt(((on_spring - between) / 2) ** 2 + wheel_rate**2 / (body * hop))
    # By the product of the two: their difference would lose digits where the hop is far faster.
    slow = wheel_rate * tire_rate / (body * hop) / fast
    ratio = exact = hop_ratio = None
    if damping_coefficient is not None and motion_ratio is not None:
        at_wheel = damping_coefficient * motion_ratio**2
        simple = at_wheel / (2 * np.sqrt(wheel_rate * body))
        ratio = simple * (tire_rate / (tire_rate + wheel_rate)) ** 1.5
        exact, hop_ratio = _damped(body, hop, wheel_rate, tire_rate, at_wheel)
    tramp = None
    if track is not None and coil_over_roll_stiffness is not None:
        turning = 2 * coil_over_roll_stiffness / track**2 + tire_rate
        tramp = np.sqrt(turning / (2 * unsprung_mass * axle_gyration_share**2)) / (2 * np.pi)
    return CornerModes(
        body_frequency=np.sqrt(slow) / (2 * np.pi),
        hop_frequency=np.sqrt(fast) / (2 * np.pi),
        tramp_frequency=tramp,
        wheel_in_body_mode=1 - slow * body / wheel_rate,
        body_in_hop_mode=1 / (1 - fast * body / wheel_rate),
        body_damping_ratio=exact,
        damping_ratio_on_tire=ratio,
        hop_damping_ratio=hop_ratio,
    )


def _damped(body: Any, hop: Any, rate: Any, tire: Any, damping: Any) -> tuple[Any, Any]:
    """Return the damping ratios of the slower and the faster motion from the roots of the whole equation of motion."""
    body, hop, rate, tire, damping = np.broadcast_arrays(body, hop, rate, tire, damping)
    # Time counted so that the product of all four roots is 1: the numbers stay near 1 whatever the corner is.
    pace = (rate * tire / (body * hop)) ** 0.25
    third = damping * (body + hop) / (body * hop) / pace
    second = (rate * (body + hop) + tire * body) / (body * hop) / pace**2
    first = damping * tire / (body * hop) / pace**3
    companion = np.zeros((*body.shape, 4, 4))
    for index, part in enumerate((third, second, first, np.ones_like(third))):
        companion[..., 0, index] = -part
    companion[..., 1, 0] = companion[..., 2, 1] = companion[..., 3, 2] = 1.0
    roots = np.linalg.eigvals(companion).astype(np.complex128)
    # Two that swing belong together, and so do two that only decay; of four that decay, the two slower ones.
    order = np.lexsort((np.abs(roots), np.abs(roots.imag) > 1e-9 * np.abs(roots)), axis=-1)
    roots = np.take_along_axis(roots, order, axis=-1)
    halves = roots.reshape(*body.shape, 2, 2)
    pace_of = np.sqrt(np.abs(halves.prod(axis=-1)))
    ratios = -halves.real.sum(axis=-1) / (2 * pace_of)
    ratios = np.take_along_axis(ratios, np.argsort(pace_of, axis=-1), axis=-1)
    return ratios[..., 0][()], ratios[..., 1][()]


def _chart(values: Values, display: Display) -> Chart:
    body, axle = values["sprung_mass_on_spring"], values["unsprung_mass"]
    unit = display.unit(unsprung_mass, "unsprung_mass")
    weights: Any = axle * np.linspace(0.4, 1.8, 61)
    found = corner_modes(
        sprung_mass_on_spring=body,
        unsprung_mass=weights,
        wheel_rate=values["wheel_rate"],
        tire_rate=values["tire_rate"],
    )
    places = [units.from_si(weight, unit) for weight in weights.tolist()]
    here = units.from_si(axle, unit)
    curves = []
    for label, frequencies in (("wheel hop", found.hop_frequency), ("body", found.body_frequency)):
        curves.append(Curve(tuple(zip(places, np.asarray(frequencies).tolist(), strict=True)), label, at=places[46]))
    return Chart(
        key="corner-modes-chart",
        title="What the axle's weight does",
        description="The frequency of wheel hop and of the body against the unsprung weight of the axle: a heavier axle "
        "hops slower, and the body hardly notices.",
        x_label="Unsprung weight of the axle",
        x_unit=unit.symbol,
        x_decimals=display.decimals(unsprung_mass, "unsprung_mass"),
        panels=(
            Panel(
                "Frequency",
                display.unit(_frequency).symbol,
                curves=tuple(curves),
                dots=(Dot(here, values["hop_frequency"], "now"), Dot(here, values["body_frequency"], "now")),
                decimals=display.decimals(_frequency),
                tall=True,
                at_least=(0.0, 1.0),
            ),
        ),
    )


STEP = Step(
    function=corner_modes,
    title="Body and wheel hop",
    question="The axle has weight of its own: how does it hop between spring and tire, and does the damper hold it?",
    job="9a",
    sources=(
        Source(key="derivation", where="two masses on two springs and a damper", flag="derivation"),
        Source(key="ours", where="the axle's radius of gyration, 0.39 of the track", flag="practice"),
    ),
    equations=(
        Equation(
            result="hop_mass",
            text="unsprung_mass / 2",
            note="both wheels of the axle hop together",
            quantity=_hop_mass,
        ),
        Equation(
            result="body_alone",
            text="sqrt(wheel_rate / sprung_mass_on_spring) / (2 * pi)",
            note="the body on its spring, the wheel held still",
            quantity=_frequency.called("Body, wheel held still", "f_s"),
        ),
        Equation(
            result="wheel_alone",
            text="sqrt((wheel_rate + tire_rate) / hop_mass) / (2 * pi)",
            note="the wheel between spring and tire, the body held still",
            quantity=_frequency.called("Wheel, body held still", "f_u"),
        ),
        Equation(
            result="coupling",
            text="sqrt(wheel_rate / sqrt(sprung_mass_on_spring * hop_mass)) / (2 * pi)",
            note="the spring between them",
            quantity=_frequency.called("Coupling", "f_c"),
        ),
        Equation(
            result="hop_frequency",
            text="sqrt((body_alone**2 + wheel_alone**2) / 2 + sqrt(((body_alone**2 - wheel_alone**2) / 2)**2 + coupling**4))",
            note="the faster one",
        ),
        Equation(
            result="body_frequency",
            text="sqrt(wheel_rate * tire_rate / (sprung_mass_on_spring * hop_mass)) / (4 * pi**2 * hop_frequency)",
            note="by the product of the two",
        ),
        Equation(
            result="wheel_in_body_mode",
            text="1 - (2 * pi * body_frequency)**2 * sprung_mass_on_spring / wheel_rate",
            note="the wheel goes a little along with the body",
        ),
        Equation(
            result="body_in_hop_mode",
            text="1 / (1 - (2 * pi * hop_frequency)**2 * sprung_mass_on_spring / wheel_rate)",
            note="the body hardly follows the wheel, and against it",
        ),
        Equation(
            result="wheel_damping",
            text="damping_coefficient * motion_ratio**2",
            note="the damper's coefficient, brought to the wheel",
            quantity=vocabulary.damping_coefficient.called("Damping coefficient at the wheel", "c"),
        ),
        Equation(
            result="damping_ratio_on_tire",
            text="wheel_damping / (2 * sqrt(wheel_rate * sprung_mass_on_spring)) * (tire_rate / (tire_rate + wheel_rate))**1.5",
            note="the estimate, with a massless axle; the exact ratios are roots of the whole equation of motion",
        ),
        Equation(
            result="tramp_rate",
            text="2 * coil_over_roll_stiffness / track**2 + tire_rate",
            note="the roll stiffness, counted at the tires",
            quantity=any_rate.called("Rate at each tire in tramp", "k_tr"),
        ),
        Equation(
            result="tramp_mass",
            text="2 * unsprung_mass * axle_gyration_share**2",
            note="the axle's moment of inertia, counted at the tires",
            quantity=unsprung_mass.called("Weight at each tire in tramp", "m_tr"),
        ),
        Equation(result="tramp_frequency", text="sqrt(tramp_rate / tramp_mass) / (2 * pi)", note="the body held still"),
    ),
    example=Example(
        inputs={
            "sprung_mass_on_spring": "1134 lb",
            "unsprung_mass": "755 lb",
            "wheel_rate": "157.7 lb/in",
            "tire_rate": "1485 lb/in",
            "motion_ratio": "0.9781",
            "damping_coefficient": "15.75 lbf·s/in",
            "track": "1.640 m",
            "coil_over_roll_stiffness": "181 lbf·ft/°",
            "axle_gyration_share": "0.39",
        },
        expected={
            "body_frequency": ("1.10706 Hz", 5e-6),
            "hop_frequency": ("6.53385 Hz", 5e-6),
            "tramp_frequency": ("8.11023 Hz", 5e-6),
            "wheel_in_body_mode": (0.0988472, 5e-8),
            "body_in_hop_mode": (-0.0329055, 5e-8),
            "body_damping_ratio": (0.303924, 5e-7),
            "hop_damping_ratio": (0.201909, 5e-7),
            "damping_ratio_on_tire": (0.300878, 5e-7),
        },
        source=Source(
            key="derivation",
            where="scipy's eigh for frequencies and shapes, python-control's damp for the ratios",
            flag="derivation",
        ),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="hop well above the ride",
            value="hop_frequency",
            at_least=4.0,
            times="body_frequency",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="Wheel hop at {value} is more than {factor} times the body's {body_frequency}: each keeps to itself.",
            fails="Wheel hop at {value} is less than {factor} times the body's {body_frequency}: the axle's hop reaches the "
            "body. A lighter axle or a stiffer tire separates them.",
        ),
        Check(
            rule="hop usual",
            value="hop_frequency",
            at_most=15.0,
            margin=0.1,
            warns=True,
            # A slow hop is no fault of its own: near the body's frequency, or badly damped, it hurts, and the other rules
            # judge that.
            source=_GILLESPIE,
            holds="The wheels hop at {value}. Axles of road vehicles hop at up to {limit}, heavy axles on large soft tires "
            "more slowly. A slow hop does no harm while it is well above the ride and the damper holds it.",
            close="The wheels hop at {value}, about the {limit} of the quickest axles of road vehicles.",
            fails="The wheels hop at {value}, quicker than the {limit} of road vehicles: check the axle's weight and the "
            "tire rate.",
        ),
        Check(
            rule="damper holds the wheel",
            value="hop_damping_ratio",
            at_least=0.15,
            margin=0.01,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The damper gives wheel hop a ratio of {value}: the wheel settles within a few hops.",
            close="The damper gives wheel hop a ratio of {value}, about the {limit} below which it keeps hopping.",
            fails="The damper gives wheel hop a ratio of only {value}, less than {limit}: the wheel keeps hopping. A heavy axle needs more "
            "damping than the body alone.",
            unchecked="Whether the damper holds the wheel",
        ),
        Check(
            rule="estimate of the body's ratio",
            value="absolute(damping_ratio_on_tire - body_damping_ratio)",
            of=vocabulary.damping_ratio,
            at_most=0.1,
            times="body_damping_ratio",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The quick estimate of the body's ratio, {damping_ratio_on_tire}, agrees with the exact "
            "{body_damping_ratio}.",
            fails="The quick estimate of the body's ratio, {damping_ratio_on_tire}, is more than {share} off the exact "
            "{body_damping_ratio}: take the exact one.",
            unchecked="How the quick estimate compares with the exact ratio",
        ),
        Check(
            rule="tramp apart from hop",
            value="absolute(tramp_frequency - hop_frequency)",
            of=_frequency,
            at_least=0.1,
            times="hop_frequency",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="Tramp at {tramp_frequency} and hop at {hop_frequency} are apart, so one does not feed the other.",
            fails="Tramp at {tramp_frequency} and hop at {hop_frequency} are less than {share} apart: a bump under one wheel soon "
            "shakes both.",
            unchecked="How the axle tramps",
        ),
    ),
    practice=(
        Practice(
            text="An axle of {unsprung_mass} carries {sprung_mass_on_spring} on each spring, at a wheel rate of "
            "{wheel_rate} and on tires of {tire_rate} each. How often does the axle hop in a second?",
            asks="hop_frequency",
            vary=("unsprung_mass", "wheel_rate", "tire_rate"),
        ),
        Practice(
            text="An axle of {unsprung_mass} with a track of {track} has coil-overs that resist roll with "
            "{coil_over_roll_stiffness}, and tires of {tire_rate} each. Its radius of gyration is {axle_gyration_share} of "
            "the track. How often does it tramp in a second?",
            asks="tramp_frequency",
            vary=("unsprung_mass", "tire_rate", "coil_over_roll_stiffness"),
        ),
    ),
    chart=_chart,
    groups={
        "Weights and rates": ("sprung_mass_on_spring", "unsprung_mass", "wheel_rate", "tire_rate"),
        "Damper": ("motion_ratio", "damping_coefficient"),
        "Tramp of a solid axle": ("track", "coil_over_roll_stiffness", "axle_gyration_share"),
    },
    main=("body_frequency", "hop_frequency", "hop_damping_ratio"),
)
