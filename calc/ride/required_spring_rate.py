"""The spring rate that a wanted ride frequency asks for."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Panel
from calc.quantity import Display
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step, Values
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import (
    AxialLoad,
    AxialRate,
    MotionRatio,
    MotionRatioSlope,
    RideRate,
    SprungMassOnSpring,
    StackRate,
    TireRate,
    WantedFrequency,
    WheelRate,
    any_rate,
)

_LB_IN = POUND_FORCE / INCH


@dataclass(frozen=True, kw_only=True)
class RequiredSpringRate:
    """The rate to look for in a list, and the rates on the way to it from the ground up."""

    stack_rate: StackRate
    axial_rate: AxialRate
    wheel_rate: WheelRate
    ride_rate: RideRate


def required_spring_rate(
    *,
    wanted_frequency: WantedFrequency,
    sprung_mass_on_spring: SprungMassOnSpring,
    tire_rate: TireRate,
    motion_ratio: MotionRatio,
    motion_ratio_slope: MotionRatioSlope,
    axial_load: AxialLoad,
    gas_rate: Annotated[float, vocabulary.gas_rate.called("Gas rate", assumed=0.0)] = 0.0,
) -> RequiredSpringRate:
    """Return the rate that the springs of one coil-over need for a wanted ride frequency.

    From the ground up: the ride rate for the frequency, the tire taken out, the changing motion ratio taken out, the
    motion ratio squared, the gas taken out.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the tire alone is softer than the ride rate, and when gas and geometry already give
    the rate, so that no spring is left to choose.
    Valid for small motion about ride, both wheels of the axle together.
    Source: the ride frequency solved for the rate; worked out on the page.

    >>> found = required_spring_rate(wanted_frequency=1.5, sprung_mass_on_spring=400.0, tire_rate=300e3,
    ...     motion_ratio=1.0, motion_ratio_slope=0.0, axial_load=0.0)
    >>> round(float(found.ride_rate), 2), round(float(found.stack_rate), 1)
    (35530.58, 40303.9)
    """
    STEP.refuse(locals())
    ride = sprung_mass_on_spring * (2 * math.pi * wanted_frequency) ** 2
    wheel = ride * tire_rate / (tire_rate - ride)
    axial = (wheel - axial_load * motion_ratio_slope) / motion_ratio**2
    return RequiredSpringRate(stack_rate=axial - gas_rate, axial_rate=axial, wheel_rate=wheel, ride_rate=ride)


def _chart(values: Values, display: Display) -> Chart:
    shown = display.unit(any_rate, "stack_rate")
    wanted, mass, tire = values["wanted_frequency"], values["sprung_mass_on_spring"], values["tire_rate"]
    highest = min(1.6 * wanted, 0.98 * math.sqrt(tire / mass) / (2 * math.pi))
    curve: list[tuple[float, float]] = []
    rigid: list[tuple[float, float]] = []
    for step in range(61):
        frequency = 0.6 * wanted + (highest - 0.6 * wanted) * step / 60
        ride = mass * (2 * math.pi * frequency) ** 2
        for line, wheel in ((curve, ride * tire / (tire - ride)), (rigid, ride)):
            axial = (wheel - values["axial_load"] * values["motion_ratio_slope"]) / values["motion_ratio"] ** 2
            line.append((frequency, units.from_si(axial - values["gas_rate"], shown)))
    return Chart(
        key="required-spring-rate-chart",
        title="Stack rate against the wanted frequency",
        description="The rate that the springs of one coil-over need, with the tire in series, and what a rigid tire "
        "would ask for.",
        x_label="Wanted ride frequency",
        x_unit=display.unit(vocabulary.natural_frequency).symbol,
        panels=(
            Panel(
                "Stack rate",
                shown.symbol,
                curves=(
                    Curve(tuple(curve), label="with the tire", at=curve[48][0]),
                    Curve(tuple(rigid), label="on a rigid tire", at=rigid[48][0], quiet=True),
                ),
                dots=(Dot(wanted, units.from_si(values["stack_rate"], shown), "wanted"),),
                decimals=display.decimals(any_rate, "stack_rate"),
                tall=True,
            ),
        ),
    )


STEP = Step(
    function=required_spring_rate,
    title="Spring rate for a frequency",
    question="I want this corner to bounce so many times a second: what rate must its springs have?",
    job="5b",
    sources=(
        Source(key="derivation", where="the ride frequency solved for the rate, in this order", flag="derivation"),
    ),
    equations=(
        Equation(
            result="ride_rate",
            text="sprung_mass_on_spring * (2 * pi * wanted_frequency)**2",
            note="what the frequency asks for, seen from the ground",
        ),
        Equation(
            result="wheel_rate",
            text="ride_rate * tire_rate / (tire_rate - ride_rate)",
            note="the tire taken out of the series",
        ),
        Equation(
            result="axial_rate",
            text="(wheel_rate - axial_load * motion_ratio_slope) / motion_ratio**2",
            note="the changing motion ratio first, then the ratio squared",
        ),
        Equation(result="stack_rate", text="axial_rate - gas_rate", note="the gas does its part"),
    ),
    refusals=(
        Refusal(
            field="wanted_frequency",
            when="ride_rate >= tire_rate",
            problem="{wanted_frequency} needs a ride rate of {ride_rate}, but the tire alone has {tire_rate}: no spring "
            "reaches that.",
            allowed="Allowed: below {highest} on this tire.",
            given=(
                Equation(
                    result="highest",
                    text="sqrt(tire_rate / sprung_mass_on_spring) / (2 * pi)",
                    quantity=vocabulary.natural_frequency,
                ),
            ),
        ),
        Refusal(
            field="wanted_frequency",
            when="stack_rate <= 0",
            problem="{wanted_frequency} needs {axial_rate} along the coil-over, and the gas alone gives {gas_rate}: no "
            "spring is left to choose.",
            allowed="Allowed: a higher frequency, or less gas.",
        ),
    ),
    example=Example(
        inputs={
            "wanted_frequency": "1.11 Hz",
            "sprung_mass_on_spring": "1134 lb",
            "tire_rate": "1485 lb/in",
            "motion_ratio": "0.9781",
            "motion_ratio_slope": "-0.001666 per in",
            "axial_load": "1159 lbf",
            "gas_rate": "6.2 lb/in",
        },
        expected={
            "ride_rate": ("142.9 lb/in", 0.05),
            "wheel_rate": ("158.1 lb/in", 0.05),
            "axial_rate": ("167.25 lb/in", 0.05),
            "stack_rate": ("161.05 lb/in", 0.05),
        },
        source=Source(key="derivation", where="by hand, with 386.09 in/s²", flag="derivation"),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="tire stiff enough",
            value="ride_rate",
            at_most=0.5,
            times="tire_rate",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The tire is stiff beside the ride rate: a little error in it changes the springs little.",
            fails="The ride rate, {value}, is more than {share} of the tire's, {tire_rate}: the tire decides most of "
            "the answer, so measure it.",
        ),
        Check(
            rule="gas counted",
            condition="gas_rate > 0",
            warns=True,
            holds="The gas gives {gas_rate} of the {axial_rate} that are needed along the coil-over.",
            fails="No gas rate is counted: a charged damper makes the corner stiffer than these springs alone.",
        ),
        Check(
            rule="rate to be found in a list",
            value="stack_rate",
            at_least=60 * _LB_IN,
            at_most=900 * _LB_IN,
            warns=True,
            source=PRACTICE,
            holds="{value} is a rate that lists of coil springs hold, single or as two in series.",
            fails="{value} is a rate that lists of coil springs seldom hold, outside {limits}: check weight, motion ratio and frequency.",
        ),
    ),
    practice=(
        Practice(
            text="A corner is to ride at {wanted_frequency}. Its spring carries {sprung_mass_on_spring}, and the tire has "
            "{tire_rate}. What wheel rate does it need?",
            asks="wheel_rate",
            vary=("wanted_frequency", "sprung_mass_on_spring", "tire_rate"),
        ),
        Practice(
            text="A corner is to ride at {wanted_frequency} with {sprung_mass_on_spring} on its spring, on a tire of "
            "{tire_rate}. The motion ratio is {motion_ratio}, changing by {motion_ratio_slope} under {axial_load}; the "
            "gas gives {gas_rate}. What stack rate does it need?",
            asks="stack_rate",
            vary=("wanted_frequency", "sprung_mass_on_spring"),
        ),
    ),
    chart=_chart,
    groups={
        "Wanted": ("wanted_frequency",),
        "Weight and tire": ("sprung_mass_on_spring", "tire_rate"),
        "Along the coil-over": ("motion_ratio", "motion_ratio_slope", "axial_load", "gas_rate"),
    },
    main=("stack_rate", "wheel_rate", "ride_rate"),
)
