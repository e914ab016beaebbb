"""Critical damping of a corner, the damping ratio a damper gives, and the coefficient a wanted ratio needs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Panel
from calc.quantity import Display, Quantity
from calc.step import PRACTICE, Check, Equation, Example, Practice, Source, Step, Values
from calc.vocabulary import (
    CriticalDamping,
    CriticalDampingPastCrossover,
    DampingCoefficient,
    DampingRatioOnTire,
    DampingRatioPastCrossover,
    MotionRatio,
    SprungMassOnSpring,
    TireRate,
    WantedDampingCoefficient,
    WantedDampingRatio,
    WheelRate,
    WheelRatePastCrossover,
    share,
)

_GILLESPIE = Source(key="gillespie_1992", where="chapter 5, damping", flag="memory")
_LOW, _HIGH = 0.2, 0.5
_time = Quantity(
    label="Time",
    symbol="t",
    kind=units.NUMBER,
    low=0.0,
    high=100.0,
    typical=1.0,
    help="Seconds after the body is let go.",
)


@dataclass(frozen=True, kw_only=True)
class CriticalDampingOfCorner:
    """Critical damping before and past the crossover, the ratios, and the coefficient for a wanted ratio."""

    critical_damping: CriticalDamping
    critical_damping_past_crossover: CriticalDampingPastCrossover | None
    damping_ratio: Annotated[float, vocabulary.damping_ratio.within(high=1e3)] | None
    damping_ratio_past_crossover: DampingRatioPastCrossover | None
    damping_ratio_on_tire: DampingRatioOnTire | None
    wanted_damping_coefficient: WantedDampingCoefficient | None
    wanted_damping_ratio_past_crossover: (
        Annotated[
            float,
            vocabulary.damping_ratio.called("Ratio past the crossover at the wanted ratio", "ζ_w2", high=1e3),
        ]
        | None
    )


def critical_damping(
    *,
    sprung_mass_on_spring: SprungMassOnSpring,
    wheel_rate: WheelRate,
    motion_ratio: MotionRatio,
    wheel_rate_past_crossover: WheelRatePastCrossover | None = None,
    damping_coefficient: DampingCoefficient | None = None,
    wanted_damping_ratio: WantedDampingRatio | None = None,
    tire_rate: TireRate | None = None,
) -> CriticalDampingOfCorner:
    """Return the critical damping of a corner at the wheel, and the ratio or the coefficient that goes with it.

    The wheel rate is the total one of its regime, gas and changing motion ratio included.
    The coefficient is that at the damper, the mean of compression and rebound; the motion ratio squared brings it to
    the wheel.
    Past the crossover the same damper gives a smaller ratio.
    Takes single values or arrays that broadcast together.

    Raises nothing beyond the limits of its inputs.
    Valid for small motion about ride with force proportional to speed; the ratio on the tire takes the axle as massless.
    Source: the damped oscillator; worked out on the page.

    >>> found = critical_damping(sprung_mass_on_spring=500.0, wheel_rate=20e3, motion_ratio=1.0,
    ...     wanted_damping_ratio=0.35, wheel_rate_past_crossover=80e3)
    >>> round(float(found.critical_damping)), round(float(found.wanted_damping_ratio_past_crossover), 3)
    (6325, 0.175)
    """
    critical = _critical(wheel_rate, sprung_mass_on_spring)
    past = None
    if wheel_rate_past_crossover is not None:
        past = _critical(wheel_rate_past_crossover, sprung_mass_on_spring)
    ratio = None if damping_coefficient is None else damping_coefficient * motion_ratio**2 / critical
    return CriticalDampingOfCorner(
        critical_damping=critical,
        critical_damping_past_crossover=past,
        damping_ratio=ratio,
        damping_ratio_past_crossover=_past(ratio, wheel_rate, wheel_rate_past_crossover),
        damping_ratio_on_tire=(
            None if ratio is None or tire_rate is None else ratio * (tire_rate / (tire_rate + wheel_rate)) ** 1.5
        ),
        wanted_damping_coefficient=(
            None if wanted_damping_ratio is None else wanted_damping_ratio * critical / motion_ratio**2
        ),
        wanted_damping_ratio_past_crossover=_past(wanted_damping_ratio, wheel_rate, wheel_rate_past_crossover),
    )


def _critical(rate: Any, mass: Any) -> Any:
    return 2 * np.sqrt(rate * mass)


def _past(ratio: Any, before: Any, past: Any) -> Any:
    """The same coefficient against a stiffer spring: the ratio falls with the root of the rates."""
    return None if ratio is None or past is None else ratio * np.sqrt(before / past)


def _let_go(ratio: float, angle: float) -> float:
    """Height of a mass let go at 1, after this angle of its undamped swing."""
    if ratio < 1:
        bent = math.sqrt(1 - ratio**2)
        return math.exp(-ratio * angle) * (math.cos(bent * angle) + ratio / bent * math.sin(bent * angle))
    if ratio == 1:
        return math.exp(-angle) * (1 + angle)
    bent = math.sqrt(ratio**2 - 1)
    slow, fast = ratio - bent, ratio + bent
    return (fast * math.exp(-slow * angle) - slow * math.exp(-fast * angle)) / (fast - slow)


def _chart(values: Values, display: Display) -> Chart:
    mass, before, past = (values[name] for name in ("sprung_mass_on_spring", "wheel_rate", "wheel_rate_past_crossover"))
    ratio = values["damping_ratio"] if values["damping_ratio"] is not None else values["wanted_damping_ratio"]
    regimes = [("critically damped", 1.0, before, True)]
    if ratio is not None:
        regimes.append(("before the crossover" if past else "at ride", ratio, before, False))
        if past is not None:
            regimes.append(("past the crossover", float(_past(ratio, before, past)), past, False))
    span = 2.2 * 2 * math.pi / math.sqrt(before / mass)
    times = [span * step / 240 for step in range(241)]
    unit = display.unit(share)
    curves = []
    for label, own, rate, quiet in regimes:
        own_swing = math.sqrt(rate / mass)
        points = tuple((time, units.from_si(_let_go(own, own_swing * time), unit)) for time in times)
        # Named at its lowest point, where it is furthest from the others; one that never swings back, early on.
        place = math.pi / own_swing / math.sqrt(1 - own**2) if own < 0.9 else 0.16 * span
        curves.append(Curve(points, label=label, at=place, quiet=quiet))
    return Chart(
        key="critical-damping-chart",
        title="The body after it is let go",
        description="The height of the body over time after it is pushed down and let go, as a share of the push, for "
        "the damping ratio of each regime and for critical damping.",
        x_label="Time after letting go",
        x_unit="s",
        x_decimals=display.decimals(_time),
        panels=(
            Panel("Left of the push", unit.symbol, curves=tuple(curves), decimals=display.decimals(share), tall=True),
        ),
    )


STEP = Step(
    function=critical_damping,
    title="Critical damping and damping ratio",
    question="How much damping would just stop this corner from swinging, and what share of it does my damper give?",
    job="7a",
    sources=(
        Source(
            key="derivation", where="the damped oscillator; wheel and damper joined by virtual work", flag="derivation"
        ),
    ),
    equations=(
        Equation(
            result="critical_damping",
            text="2 * sqrt(wheel_rate * sprung_mass_on_spring)",
            note="at the wheel, before the crossover",
        ),
        Equation(
            result="critical_damping_past_crossover",
            text="2 * sqrt(wheel_rate_past_crossover * sprung_mass_on_spring)",
            note="the stiffer regime needs more",
        ),
        Equation(
            result="damping_ratio",
            text="damping_coefficient * motion_ratio**2 / critical_damping",
            note="the damper's coefficient, brought to the wheel",
        ),
        Equation(
            result="damping_ratio_past_crossover",
            text="damping_ratio * sqrt(wheel_rate / wheel_rate_past_crossover)",
            note="the same damper on a stiffer spring",
        ),
        Equation(
            result="damping_ratio_on_tire",
            text="damping_ratio * (tire_rate / (tire_rate + wheel_rate))**1.5",
            note="the tire gives way as well",
        ),
        Equation(
            result="wanted_damping_coefficient",
            text="wanted_damping_ratio * critical_damping / motion_ratio**2",
            note="at the damper, so divided by the square",
        ),
        Equation(
            result="wanted_damping_ratio_past_crossover",
            text="wanted_damping_ratio * sqrt(wheel_rate / wheel_rate_past_crossover)",
        ),
    ),
    example=Example(
        inputs={
            "sprung_mass_on_spring": "1134 lb",
            "wheel_rate": "157.7 lb/in",
            "motion_ratio": "0.9781",
            "wheel_rate_past_crossover": "434.5 lb/in",
            "damping_coefficient": "15.75 lbf·s/in",
            "wanted_damping_ratio": "0.35",
            "tire_rate": "1485 lb/in",
        },
        expected={
            "critical_damping": ("43.04 lbf·s/in", 0.005),
            "critical_damping_past_crossover": ("71.45 lbf·s/in", 0.005),
            "damping_ratio": (0.350, 5e-4),
            "damping_ratio_past_crossover": (0.211, 5e-4),
            "damping_ratio_on_tire": (0.301, 5e-4),
            "wanted_damping_coefficient": ("15.75 lbf·s/in", 0.006),
            "wanted_damping_ratio_past_crossover": (0.211, 5e-4),
        },
        source=Source(key="derivation", where="by hand, with 386.09 in/s²", flag="derivation"),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="damping ratio",
            value="damping_ratio",
            at_least=_LOW,
            at_most=_HIGH,
            margin=0.02,
            warns=True,
            source=PRACTICE,
            holds="The ratio is {value}: the body settles within about two swings and still lets bumps through.",
            close="The ratio is {value}, near {limit}, the end of what is usual.",
            fails="The ratio is {value}; usual is {limits}. Below, the body keeps swinging; above, the ride turns harsh.",
            unchecked="Whether the damping ratio is usual",
        ),
        Check(
            rule="damping past the crossover",
            value="damping_ratio_past_crossover",
            at_least=_LOW,
            margin=0.02,
            warns=True,
            source=PRACTICE,
            holds="Past the crossover {value} is left of {damping_ratio}: enough.",
            close="Past the crossover {value} is left of {damping_ratio}, near {limit}: the stiffer spring swings longer.",
            fails="Past the crossover only {value} is left of {damping_ratio}, less than {limit}: the stiffer spring will keep swinging. More "
            "damping, or a smaller step in the rate, helps.",
            unchecked="What is left of the damping past the crossover",
        ),
        Check(
            rule="wanted ratio reached",
            value="absolute(damping_ratio - wanted_damping_ratio)",
            of=vocabulary.damping_ratio,
            at_most=0.1,
            times="wanted_damping_ratio",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The damper gives {damping_ratio}, as wanted.",
            fails="The damper gives {damping_ratio}, wanted is {wanted_damping_ratio}, more than {share} away: the damper should give "
            "{wanted_damping_coefficient} instead of {damping_coefficient}.",
            unchecked="Whether the wanted ratio is reached",
        ),
    ),
    practice=(
        Practice(
            text="A spring carries {sprung_mass_on_spring} at a wheel rate of {wheel_rate}. What is the critical damping at "
            "the wheel?",
            asks="critical_damping",
            vary=("sprung_mass_on_spring", "wheel_rate"),
        ),
        Practice(
            text="A corner with {sprung_mass_on_spring} on its spring has a wheel rate of {wheel_rate} before the "
            "crossover and {wheel_rate_past_crossover} past it. Its damper gives {damping_coefficient} at a motion ratio "
            "of {motion_ratio}. What is the damping ratio past the crossover?",
            asks="damping_ratio_past_crossover",
            vary=("wheel_rate", "wheel_rate_past_crossover", "damping_coefficient"),
        ),
    ),
    chart=_chart,
    groups={
        "Weight and rates": ("sprung_mass_on_spring", "wheel_rate", "wheel_rate_past_crossover", "tire_rate"),
        "Damper": ("motion_ratio", "damping_coefficient", "wanted_damping_ratio"),
    },
    main=("damping_ratio", "damping_ratio_past_crossover", "wanted_damping_coefficient"),
)
