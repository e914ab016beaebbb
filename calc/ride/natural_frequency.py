"""How often the body bounces on one corner: wheel rate, ride rate and ride frequency."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Panel
from calc.constants import GRAVITY
from calc.quantity import Display
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step, Values
from calc.vocabulary import (
    AxialLoad,
    AxialRate,
    AxialRatePastCrossover,
    GeometricRate,
    MotionRatio,
    MotionRatioSlope,
    NaturalFrequencyPastCrossover,
    RideRate,
    RideTravel,
    SprungMassOnSpring,
    TireRate,
    WheelRate,
    WheelRatePastCrossover,
    any_rate,
    axial_rate,
    length,
)

_GILLESPIE = Source(key="gillespie_1992", where="chapter 5, ride", flag="memory")


@dataclass(frozen=True, kw_only=True)
class NaturalFrequencyOfCorner:
    """The rates at the wheel and the frequencies they give, with what a sag would have promised."""

    natural_frequency: Annotated[float, vocabulary.natural_frequency.within(low=0.01, high=1e3)]
    natural_frequency_past_crossover: NaturalFrequencyPastCrossover | None
    wheel_rate: WheelRate
    ride_rate: RideRate
    geometric_rate: GeometricRate
    wheel_rate_past_crossover: WheelRatePastCrossover | None
    ride_rate_past_crossover: Annotated[float, any_rate.called("Ride rate past the crossover", "k_r2", low=50.0)] | None
    static_deflection: Annotated[
        float,
        length.called(
            "Static deflection at the ride rate",
            "δ",
            "What the sprung weight would sink a spring that had the ride rate from zero load on.",
            low=0.0,
            high=100.0,
        ),
    ]
    frequency_from_sag: (
        Annotated[
            float,
            vocabulary.natural_frequency.called("Frequency implied by the sag (wrong)", "f_sag", low=0.01, high=1e3),
        ]
        | None
    )


def natural_frequency(
    *,
    axial_rate: AxialRate,
    axial_load: AxialLoad,
    motion_ratio: MotionRatio,
    motion_ratio_slope: MotionRatioSlope,
    tire_rate: TireRate,
    sprung_mass_on_spring: SprungMassOnSpring,
    axial_rate_past_crossover: AxialRatePastCrossover | None = None,
    ride_travel: RideTravel | None = None,
) -> NaturalFrequencyOfCorner:
    """Return wheel rate, ride rate and undamped ride frequency of a corner at ride, and past the crossover.

    The wheel rate is the axial rate times the motion ratio squared, and the axial load times the change of the motion
    ratio with wheel travel, z up in bump; the tire stands in series with it.
    Past the crossover the same load and motion ratio are taken.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the changing motion ratio takes off all the rate that the spring gives.
    Valid for small motion about ride, both wheels of the axle together, the axle itself taken as massless.
    Source: virtual work and the undamped oscillator; worked out on the page.

    >>> found = natural_frequency(axial_rate=30e3, axial_load=5000.0, motion_ratio=1.0, motion_ratio_slope=0.0,
    ...     tire_rate=260e3, sprung_mass_on_spring=500.0)
    >>> round(float(found.natural_frequency), 3)
    1.167
    """
    STEP.refuse(locals())
    bend = axial_load * motion_ratio_slope
    before = axial_rate * motion_ratio**2 + bend
    ride_before = before * tire_rate / (before + tire_rate)
    past = ride_past = None
    if axial_rate_past_crossover is not None:
        past = axial_rate_past_crossover * motion_ratio**2 + bend
        ride_past = past * tire_rate / (past + tire_rate)
    from_sag = None
    # A corner that has not moved from full extension has no sag to be misled by.
    if ride_travel is not None and np.all(np.asarray(ride_travel) > 0):
        from_sag = np.sqrt(GRAVITY / ride_travel) / (2 * np.pi)
    return NaturalFrequencyOfCorner(
        wheel_rate=before,
        ride_rate=ride_before,
        natural_frequency=np.sqrt(ride_before / sprung_mass_on_spring) / (2 * np.pi),
        geometric_rate=bend,
        wheel_rate_past_crossover=past,
        ride_rate_past_crossover=ride_past,
        natural_frequency_past_crossover=(
            None if ride_past is None else np.sqrt(ride_past / sprung_mass_on_spring) / (2 * np.pi)
        ),
        static_deflection=sprung_mass_on_spring * GRAVITY / ride_before,
        frequency_from_sag=from_sag,
    )


def _chart(values: Values, display: Display) -> Chart:
    shown = display.unit(axial_rate, "axial_rate")
    past = values["axial_rate_past_crossover"]
    points = [("at ride", values["axial_rate"], values["natural_frequency"])]
    if past is not None:
        points.append(("past the crossover", past, values["natural_frequency_past_crossover"]))
    rates = [rate for _, rate, _ in points]
    least = max(0.4 * min(rates), 1.2 * max(0.0, -values["geometric_rate"]) / values["motion_ratio"] ** 2)
    most = max(1.4 * max(rates), 2 * least)
    curve = []
    rigid = []
    for step in range(61):
        rate = least + (most - least) * step / 60
        wheel = rate * values["motion_ratio"] ** 2 + values["geometric_rate"]
        tire, mass = values["tire_rate"], values["sprung_mass_on_spring"]
        place = units.from_si(rate, shown)
        curve.append((place, math.sqrt(wheel * tire / (wheel + tire) / mass) / (2 * math.pi)))
        rigid.append((place, math.sqrt(wheel / mass) / (2 * math.pi)))
    return Chart(
        key="natural-frequency-chart",
        title="Ride frequency against the rate along the coil-over",
        description="The ride frequency with the tire in series, and what it would be on a rigid tire.",
        x_label="Rate along the coil-over",
        x_unit=shown.symbol,
        x_decimals=display.decimals(axial_rate, "axial_rate"),
        panels=(
            Panel(
                "Ride frequency",
                display.unit(vocabulary.natural_frequency).symbol,
                curves=(
                    Curve(tuple(curve), label="with the tire", at=curve[52][0]),
                    Curve(tuple(rigid), label="on a rigid tire", at=rigid[52][0], quiet=True),
                ),
                dots=tuple(Dot(units.from_si(rate, shown), value, label) for label, rate, value in points),
                decimals=display.decimals(vocabulary.natural_frequency),
                tall=True,
            ),
        ),
    )


STEP = Step(
    function=natural_frequency,
    title="Ride frequency",
    question="With this rate along the coil-over, how often does the corner bounce in a second?",
    job="5a",
    sources=(
        Source(
            key="derivation",
            where="virtual work for the wheel rate, springs in series, the undamped oscillator",
            flag="derivation",
        ),
        _GILLESPIE,
    ),
    equations=(
        Equation(
            result="geometric_rate",
            text="axial_load * motion_ratio_slope",
            note="the load itself, on a motion ratio that changes",
        ),
        Equation(
            result="wheel_rate",
            text="axial_rate * motion_ratio**2 + geometric_rate",
            note="once for the force, once for the travel",
        ),
        Equation(
            result="ride_rate",
            text="wheel_rate * tire_rate / (wheel_rate + tire_rate)",
            note="wheel and tire in series",
        ),
        Equation(
            result="natural_frequency",
            text="sqrt(ride_rate / sprung_mass_on_spring) / (2 * pi)",
            note="the sprung weight only",
        ),
        Equation(
            result="static_deflection",
            text="sprung_mass_on_spring * gravity / ride_rate",
            note="for the quick check, not the measured sag",
        ),
        Equation(
            result="wheel_rate_past_crossover",
            text="axial_rate_past_crossover * motion_ratio**2 + geometric_rate",
            note="the main spring alone",
        ),
        Equation(
            result="ride_rate_past_crossover",
            text="wheel_rate_past_crossover * tire_rate / (wheel_rate_past_crossover + tire_rate)",
        ),
        Equation(
            result="natural_frequency_past_crossover",
            text="sqrt(ride_rate_past_crossover / sprung_mass_on_spring) / (2 * pi)",
        ),
        Equation(
            result="frequency_from_sag",
            text="sqrt(gravity / ride_travel) / (2 * pi)",
            note="wrong for a preloaded or a dual stack: shown to compare",
            when="ride_travel > 0",
        ),
    ),
    refusals=tuple(
        Refusal(
            field=f"axial_rate{place}",
            when=f"wheel_rate{place} <= 0",
            problem=f"The changing motion ratio takes {{taken}} off the {{spring{place}}} that the spring gives at the wheel: "
            "nothing is left.",
            allowed="Allowed: a rate that leaves some; check the change of the motion ratio and the axial load.",
            given=(
                Equation(result="taken", text="-geometric_rate", quantity=any_rate),
                Equation(result=f"spring{place}", text=f"axial_rate{place} * motion_ratio**2", quantity=any_rate),
            ),
        )
        for place in ("", "_past_crossover")
    ),
    example=Example(
        inputs={
            "axial_rate": "166.9 lb/in",
            "axial_load": "1159 lbf",
            "motion_ratio": "0.9781",
            "motion_ratio_slope": "-0.001666 per in",
            "tire_rate": "1485 lb/in",
            "sprung_mass_on_spring": "1134 lb",
            "axial_rate_past_crossover": "456.2 lb/in",
            "ride_travel": "5.05 in",
        },
        expected={
            "geometric_rate": ("-1.93 lb/in", 0.005),
            "wheel_rate": ("157.7 lb/in", 0.05),
            "ride_rate": ("142.6 lb/in", 0.05),
            "natural_frequency": ("1.109 Hz", 5e-4),
            "wheel_rate_past_crossover": ("434.5 lb/in", 0.05),
            "ride_rate_past_crossover": ("336.15 lb/in", 0.05),
            "natural_frequency_past_crossover": ("1.703 Hz", 5e-4),
            "static_deflection": ("7.95 in", 0.005),
            "frequency_from_sag": ("1.392 Hz", 5e-4),
        },
        source=Source(key="derivation", where="by hand, with 386.09 in/s²", flag="derivation"),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="frequency usual",
            value="natural_frequency",
            at_least=0.8,
            at_most=2.0,
            warns=True,
            source=PRACTICE,
            holds="The corner rides at {value}, where soft off-road rigs do.",
            fails="The corner rides at {value}; such rigs are seldom outside {limits}. Check rate and weight.",
        ),
        Check(
            rule="load and weight agree",
            value="absolute(axial_load * motion_ratio - sprung_mass_on_spring * gravity)",
            of=vocabulary.force,
            at_most=0.1,
            times="sprung_mass_on_spring * gravity",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The axial load times the motion ratio carries the sprung weight on this spring.",
            fails="The axial load times the motion ratio is more than {share} off the sprung weight on this spring: one of them is off.",
        ),
        Check(
            rule="change of the motion ratio",
            value="absolute(geometric_rate)",
            of=vocabulary.any_rate,
            at_most=0.05,
            times="wheel_rate",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The changing motion ratio makes {geometric_rate} of the wheel rate, {wheel_rate}: small, but counted.",
            fails="The changing motion ratio makes {geometric_rate} of the wheel rate, {wheel_rate}, more than {share}: make sure of it.",
        ),
        Check(
            rule="sag is no static deflection",
            value="absolute(frequency_from_sag - natural_frequency)",
            of=vocabulary.natural_frequency,
            at_most=0.02,
            times="natural_frequency",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="Measured sag and rate give the same frequency here; with preload or a second spring they will not.",
            fails="Do not take the measured sag for the static deflection: {ride_travel} would imply "
            "{frequency_from_sag}, but the corner rides at {natural_frequency}, more than {share} away. "
            "Preload and a second spring hide in the sag; the rate at ride decides.",
            unchecked="What the measured sag would imply",
        ),
        Check(
            rule="step at the crossover",
            condition="natural_frequency_past_crossover > natural_frequency",
            holds="The corner firms up: the rate past the crossover would give {natural_frequency_past_crossover} at ride height.",
            fails="Past the crossover the corner turns softer: the rate past the crossover must be the larger one.",
            unchecked="How firm it turns past the crossover",
        ),
    ),
    practice=(
        Practice(
            text="A corner has {axial_rate} along its coil-over and {axial_load} on it. The motion ratio is "
            "{motion_ratio} and changes by {motion_ratio_slope}. The tire has {tire_rate}, and the spring carries "
            "{sprung_mass_on_spring}. What is the ride frequency?",
            asks="natural_frequency",
            vary=("axial_rate", "axial_load", "sprung_mass_on_spring", "tire_rate"),
            astray=(
                "sqrt(wheel_rate / sprung_mass_on_spring) / (2 * pi)",
                "sqrt(axial_rate / sprung_mass_on_spring) / (2 * pi)",
            ),
        ),
        Practice(
            text="A coil-over has {axial_rate} along it and carries {axial_load}. The motion ratio is {motion_ratio} and "
            "changes by {motion_ratio_slope}. What is the wheel rate?",
            asks="wheel_rate",
            vary=("axial_rate", "axial_load", "sprung_mass_on_spring"),
            astray=("axial_rate * motion_ratio**2", "axial_rate * motion_ratio + geometric_rate", "axial_rate"),
        ),
    ),
    chart=_chart,
    groups={
        "Along the coil-over": ("axial_rate", "axial_rate_past_crossover", "axial_load"),
        "Motion ratio": ("motion_ratio", "motion_ratio_slope"),
        "Tire and weight": ("tire_rate", "sprung_mass_on_spring"),
        "To compare": ("ride_travel",),
    },
    main=("natural_frequency", "natural_frequency_past_crossover", "wheel_rate"),
)
