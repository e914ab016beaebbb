"""The forces that a damper should give at stated speeds, and what the gas charge allows."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Guide, Panel
from calc.constants import ATMOSPHERE
from calc.damper._knee import bent
from calc.quantity import Display, Quantity
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step, Values
from calc.units import INCH
from calc.vocabulary import (
    CavitationSpeed,
    GasForce,
    GasPressure,
    KneeSpeed,
    MotionRatio,
    ReboundShare,
    RodDiameter,
    SlopePastKnee,
    SprungMassOnSpring,
    WantedDampingCoefficient,
    WantedDampingRatio,
    WheelRate,
    WheelRatePastCrossover,
    damping_coefficient,
    force,
    gas_pressure,
    rod_diameter,
    velocity,
)

_DIXON = Source(key="dixon", where="rebound share and force against speed", flag="memory")
_GILLESPIE = Source(key="gillespie_1992", where="chapter 5, damping", flag="memory")
_SLOW, _MIDDLE, _FAST = 5 * INCH, 10 * INCH, 20 * INCH

_speed = velocity.called(
    "Damper speed", "v", "A speed along the damper that the forces are wanted at.", low=0.005, high=5.0
)
_piston = rod_diameter.called(
    "Piston diameter", "d_p", "Bore of the damper.", low=0.5 * INCH, high=6 * INCH, usual=None, typical=2 * INCH
)
_base_valve = gas_pressure.called(
    "Pressure of the base valve",
    "Δp_b",
    "What a valve between the oil and the gas chamber adds at that speed; zero without one.",
    usual=None,
    typical=0.0,
    assumed=0.0,
    plus_minus=0.0,
)
_bare = force.called("Force", "F", "Damping alone: no gas in it.", low=0.0, high=1e7, typical=400.0)
_limit = force.called(
    "Highest compression force before cavitation",
    "F_max",
    "Before the oil behind the piston tears off: damping alone, gas not included.",
    low=0.0,
    high=1e6,
    typical=2400.0,
)
_factor = Quantity(
    label="Factor", symbol="n_2", kind=units.RATIO, low=0.1, high=10.0, typical=1.5, help="Times the forces before."
)


def _at(label: str, symbol: str) -> Quantity:
    return _bare.called(label, symbol)


@dataclass(frozen=True, kw_only=True)
class ForceTargets:
    """Forces by speed, damping alone, the coefficients they come from, and the limit that the gas charge sets."""

    compression_force_slow: Annotated[float, _at("Compression at the slow speed, gas not included", "F_c1")]
    rebound_force_slow: Annotated[float, _at("Rebound at the slow speed, gas not included", "F_r1")]
    compression_force_middle: Annotated[float, _at("Compression at the middle speed, gas not included", "F_c2")]
    rebound_force_middle: Annotated[float, _at("Rebound at the middle speed, gas not included", "F_r2")]
    compression_force_fast: Annotated[float, _at("Compression at the fast speed, gas not included", "F_c3")]
    rebound_force_fast: Annotated[float, _at("Rebound at the fast speed, gas not included", "F_r3")]
    compression_on_bench: Annotated[float, _at("Compression at the middle speed, gas included", "F_c2,g")] | None
    rebound_on_bench: (
        Annotated[
            float,
            force.called(
                "Rebound at the middle speed, gas included",
                "F_r2,g",
                "Less by the gas, which pushes the rod out.",
                low=-1e7,
                high=1e7,
            ),
        ]
        | None
    )
    wanted_damping_coefficient: WantedDampingCoefficient
    compression_coefficient: Annotated[
        float,
        damping_coefficient.called("Compression coefficient", "c_c,d", "At the damper, up to the knee.", high=1e7),
    ]
    rebound_coefficient: Annotated[
        float, damping_coefficient.called("Rebound coefficient", "c_r,d", "At the damper, up to the knee.", high=1e7)
    ]
    force_factor_past_crossover: (
        Annotated[
            float,
            _factor.called(
                "Force factor to keep the ratio past the crossover",
                "n_2",
                "What the same ratio would need there; one damper can only have one of the two.",
                low=1e-4,
                high=1e4,
            ),
        ]
        | None
    )
    wanted_damping_ratio_past_crossover: (
        Annotated[
            float,
            vocabulary.damping_ratio.called("Ratio past the crossover at the wanted ratio", "ζ_w2", high=1e3),
        ]
        | None
    )
    compression_limit: Annotated[float, _limit] | None
    cavitation_speed: CavitationSpeed | None


def force_targets(
    *,
    sprung_mass_on_spring: SprungMassOnSpring,
    wheel_rate: WheelRate,
    motion_ratio: MotionRatio,
    wanted_damping_ratio: WantedDampingRatio,
    wheel_rate_past_crossover: WheelRatePastCrossover | None = None,
    rebound_share: ReboundShare = 0.6,
    knee_speed: KneeSpeed = _MIDDLE,
    slope_past_knee: SlopePastKnee = 1.0,
    slow_speed: Annotated[float, _speed.called("Slow speed", "v_1", typical=_SLOW, assumed=_SLOW)] = _SLOW,
    middle_speed: Annotated[float, _speed.called("Middle speed", "v_2", typical=_MIDDLE, assumed=_MIDDLE)] = _MIDDLE,
    fast_speed: Annotated[float, _speed.called("Fast speed", "v_3", typical=_FAST, assumed=_FAST)] = _FAST,
    gas_force: GasForce | None = None,
    gas_pressure: GasPressure | None = None,
    piston_diameter: Annotated[float, _piston] | None = None,
    rod_diameter: RodDiameter | None = None,
    base_valve_pressure: Annotated[float, _base_valve] = 0.0,
) -> ForceTargets:
    """Return the compression and rebound forces that a wanted damping ratio means at stated damper speeds.

    All forces are damping alone, without gas. The mean of compression and rebound gives the ratio, at and below the
    knee; the rebound share parts it. The same ratio past the crossover takes all forces times the root of the two
    wheel rates. In compression the pressure behind the piston cannot fall below nothing: that limits the damping force.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the rod is not thinner than the piston.
    Valid for a gas charge behind a floating piston, the damper cold and fully extended, where its pressure is least.
    Source: the damped oscillator, and forces on the piston; worked out on the page.

    >>> found = force_targets(sprung_mass_on_spring=500.0, wheel_rate=20e3, motion_ratio=1.0, wanted_damping_ratio=0.35)
    >>> round(float(found.compression_force_middle)), round(float(found.rebound_force_middle))
    (450, 675)
    """
    # Over 60 lines: its inputs, its docstring and its results stand one to a line around one formula.
    STEP.refuse(locals())
    mean = 2 * wanted_damping_ratio * np.sqrt(wheel_rate * sprung_mass_on_spring) / motion_ratio**2
    compression, rebound = 2 * mean * (1 - rebound_share), 2 * mean * rebound_share

    def counting(speed: Any) -> Any:
        return bent(speed, knee_speed, slope_past_knee)

    factor = left = None
    if wheel_rate_past_crossover is not None:
        factor = np.sqrt(wheel_rate_past_crossover / wheel_rate)
        left = wanted_damping_ratio / factor
    limit = cavitates = None
    if gas_pressure is not None and piston_diameter is not None and rod_diameter is not None:
        limit = (gas_pressure + ATMOSPHERE + base_valve_pressure) * (np.pi / 4 * (piston_diameter**2 - rod_diameter**2))
        if np.all(np.asarray(compression) > 0):
            straight = limit / compression
            past = knee_speed + (straight - knee_speed) / slope_past_knee
            cavitates = np.where(straight <= knee_speed, straight, past)[()]
    middle = compression * counting(middle_speed), rebound * counting(middle_speed)
    return ForceTargets(
        compression_force_slow=compression * counting(slow_speed),
        rebound_force_slow=rebound * counting(slow_speed),
        compression_force_middle=middle[0],
        rebound_force_middle=middle[1],
        compression_force_fast=compression * counting(fast_speed),
        rebound_force_fast=rebound * counting(fast_speed),
        compression_on_bench=None if gas_force is None else middle[0] + gas_force,
        rebound_on_bench=None if gas_force is None else middle[1] - gas_force,
        wanted_damping_coefficient=mean,
        compression_coefficient=compression,
        rebound_coefficient=rebound,
        force_factor_past_crossover=factor,
        wanted_damping_ratio_past_crossover=left,
        compression_limit=limit,
        cavitation_speed=cavitates,
    )


def _chart(values: Values, display: Display) -> Chart:
    speed_unit, force_unit = display.unit(_speed), display.unit(_bare)
    most = 1.15 * max(values[name] for name in ("slow_speed", "middle_speed", "fast_speed", "knee_speed"))
    knee, slope, factor = values["knee_speed"], values["slope_past_knee"], values["force_factor_past_crossover"]
    places = sorted({most * step / 30 for step in range(31)} | {knee})

    def at_speed(speed: float) -> float:
        return units.from_si(speed, speed_unit)

    def line(coefficient: float, label: str, at: float, quiet: bool = False) -> Curve:
        return Curve(
            tuple(
                (at_speed(place), units.from_si(coefficient * float(bent(place, knee, slope)), force_unit))
                for place in places
            ),
            label=label,
            at=at_speed(at * most),
            quiet=quiet,
        )

    words = ("rebound", "compression")
    curves = [line(values[f"{word}_coefficient"], word, 0.88) for word in words]
    if factor is not None:
        curves += [
            line(factor * values[f"{word}_coefficient"], f"{word}, past the crossover", 0.6, quiet=True)
            for word in words
        ]
    dots = tuple(
        Dot(at_speed(values[f"{place}_speed"]), units.from_si(values[f"{name}_force_{place}"], force_unit))
        for name in words
        for place in ("slow", "middle", "fast")
    )
    limit, cavitates = values["compression_limit"], values["cavitation_speed"]
    guides = []
    if slope < 1:
        guides.append(Guide(at_speed(knee), "knee"))
    if limit is not None and cavitates is not None and cavitates <= most:
        guides.append(Guide(at_speed(cavitates), "cavitates", accent=True))
    return Chart(
        key="force-targets-chart",
        title="Damping forces for the wanted ratio",
        description="Rebound and compression force against damper speed, damping alone without gas, for the wanted ratio "
        "before the crossover and, thinner, for the same ratio past it.",
        x_label="Damper speed",
        x_unit=speed_unit.symbol,
        x_decimals=display.decimals(_speed),
        guides=tuple(guides),
        panels=(
            Panel(
                "Force, gas not included",
                force_unit.symbol,
                curves=tuple(curves),
                dots=dots,
                decimals=display.decimals(_bare),
                tall=True,
            ),
        ),
    )


def _bent(name: str, symbol: str) -> Equation:
    return Equation(
        result=f"{name}_bent",
        text=f"minimum({name}_speed, knee_speed) + slope_past_knee * maximum({name}_speed - knee_speed, 0)",
        note=f"the {name} speed, shortened past the knee",
        quantity=velocity.called(f"Effective speed, {name}", symbol),
    )


STEP = Step(
    function=force_targets,
    title="Damping forces to ask for",
    question="What should the damper give at stated speeds, in compression and in rebound, and does its gas allow it?",
    job="7d",
    sources=(
        Source(
            key="derivation",
            where="the damped oscillator, and the forces on a piston with gas behind it",
            flag="derivation",
        ),
        _DIXON,
        PRACTICE,
    ),
    equations=(
        Equation(
            result="wanted_damping_coefficient",
            text="2 * wanted_damping_ratio * sqrt(wheel_rate * sprung_mass_on_spring) / motion_ratio**2",
            note="at the damper, the mean of both directions",
        ),
        Equation(
            result="compression_coefficient",
            text="2 * wanted_damping_coefficient * (1 - rebound_share)",
            note="the mean stays",
        ),
        Equation(result="rebound_coefficient", text="2 * wanted_damping_coefficient * rebound_share"),
        _bent("slow", "v_1'"),
        Equation(result="compression_force_slow", text="compression_coefficient * slow_bent"),
        Equation(result="rebound_force_slow", text="rebound_coefficient * slow_bent"),
        _bent("middle", "v_2'"),
        Equation(result="compression_force_middle", text="compression_coefficient * middle_bent"),
        Equation(result="rebound_force_middle", text="rebound_coefficient * middle_bent"),
        Equation(
            result="compression_on_bench",
            text="compression_force_middle + gas_force",
            note="what a bench reads that leaves the gas in",
        ),
        Equation(result="rebound_on_bench", text="rebound_force_middle - gas_force"),
        _bent("fast", "v_3'"),
        Equation(result="compression_force_fast", text="compression_coefficient * fast_bent"),
        Equation(result="rebound_force_fast", text="rebound_coefficient * fast_bent"),
        Equation(
            result="force_factor_past_crossover",
            text="sqrt(wheel_rate_past_crossover / wheel_rate)",
            note="the stiffer regime needs more",
        ),
        Equation(
            result="wanted_damping_ratio_past_crossover",
            text="wanted_damping_ratio / force_factor_past_crossover",
            note="what the forces above leave there",
        ),
        Equation(
            result="compression_limit",
            text="(gas_pressure + atmosphere + base_valve_pressure) * pi / 4 * (piston_diameter**2 - rod_diameter**2)",
            note="absolute pressure, on what the rod leaves of the piston",
        ),
        Equation(
            result="cavitation_speed",
            text="compression_limit / compression_coefficient",
            when="compression_limit <= compression_coefficient * knee_speed",
        ),
        Equation(
            result="cavitation_speed",
            text="knee_speed + (compression_limit / compression_coefficient - knee_speed) / slope_past_knee",
            when="compression_limit > compression_coefficient * knee_speed and compression_coefficient > 0",
        ),
    ),
    refusals=(
        Refusal(
            field="piston_diameter",
            when="rod_diameter >= piston_diameter",
            problem="The piston of {piston_diameter} is not thicker than its rod of {rod_diameter}.",
            allowed="Allowed: more than the rod.",
        ),
    ),
    example=Example(
        inputs={
            "sprung_mass_on_spring": "1134 lb",
            "wheel_rate": "157.7 lb/in",
            "motion_ratio": "0.9781",
            "wanted_damping_ratio": "0.35",
            "wheel_rate_past_crossover": "434.5 lb/in",
            "rebound_share": "60 %",
            "knee_speed": "10 in/s",
            "slope_past_knee": "50 %",
            "slow_speed": "5 in/s",
            "middle_speed": "10 in/s",
            "fast_speed": "20 in/s",
            "gas_force": "146.5 lbf",
            "gas_pressure": "200 psi",
            "piston_diameter": "2.0 in",
            "rod_diameter": "7/8 in",
            "base_valve_pressure": "0 psi",
        },
        expected={
            "wanted_damping_coefficient": ("15.74746 lbf·s/in", 5e-6),
            "compression_coefficient": ("12.59797 lbf·s/in", 5e-5),
            "rebound_coefficient": ("18.89695 lbf·s/in", 5e-5),
            "compression_force_slow": ("62.9898 lbf", 5e-4),
            "rebound_force_slow": ("94.4847 lbf", 5e-4),
            "compression_force_middle": ("125.9797 lbf", 5e-4),
            "rebound_force_middle": ("188.9695 lbf", 5e-4),
            "compression_force_fast": ("188.9695 lbf", 5e-4),
            "rebound_force_fast": ("283.4542 lbf", 5e-4),
            "compression_on_bench": ("272.4797 lbf", 5e-4),
            "rebound_on_bench": ("42.4695 lbf", 5e-4),
            "force_factor_past_crossover": (1.659889, 5e-6),
            "wanted_damping_ratio_past_crossover": (0.210857, 5e-7),
            "compression_limit": ("545.386 lbf", 5e-4),
            "cavitation_speed": ("76.5832 in/s", 5e-4),
        },
        source=Source(
            key="derivation", where="by hand in pounds, inches and seconds, with 386.09 in/s²", flag="derivation"
        ),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="gas not in the forces",
            condition="rebound_on_bench > 0",
            warns=True,
            holds="The forces are damping alone. A bench that leaves the gas in reads {gas_force} more in compression and as much "
            "less in rebound.",
            fails="The forces are damping alone. A bench that leaves the gas in reads {gas_force} more in compression and as much "
            "less in rebound, so that at the middle speed the rod still pushes out while it is pulled.",
            unchecked="The forces are damping alone; what a bench that leaves the gas in reads",
        ),
        Check(
            rule="gas holds up the compression force",
            value="cavitation_speed",
            at_least="fast_speed",
            holds="The gas holds up the compression force: it would cavitate at {value}, and the fast speed is {limit}.",
            close="It would cavitate at {value}, about the fast speed of {limit}: more gas, or less of the damping in compression.",
            fails="In compression it cavitates at {value}, before the fast speed of {limit}: the gas can hold up no more than "
            "{compression_limit}. A higher charge, a larger piston, a base valve, or a larger rebound share cures it.",
            unchecked="Whether the gas holds up the compression force",
        ),
        Check(
            rule="rebound share usual",
            value="rebound_share",
            at_least=0.5,
            at_most=0.75,
            warns=True,
            source=PRACTICE,
            holds="Rebound takes {value} of the damping: the body is held on its way up, and bumps get through softly.",
            fails="Rebound takes {value} of the damping; usual is {limits}. Below, bumps come through hard; above, the corner "
            "is held down bump after bump and packs up.",
        ),
        Check(
            rule="enough past the crossover",
            value="wanted_damping_ratio_past_crossover",
            at_least=0.2,
            margin=0.02,
            warns=True,
            source=PRACTICE,
            holds="With these forces a ratio of {value} is left past the crossover: enough.",
            close="With these forces a ratio of {value} is left past the crossover, about {limit}; the full ratio there would take "
            "{force_factor_past_crossover} times the forces.",
            fails="With these forces only a ratio of {value} is left past the crossover, less than {limit}; the full ratio there would take "
            "{force_factor_past_crossover} times the forces. Choose between the two.",
            unchecked="What is left past the crossover",
        ),
    ),
    practice=(
        Practice(
            text="A spring carries {sprung_mass_on_spring} at a wheel rate of {wheel_rate} and a motion ratio of {motion_ratio}. A "
            "ratio of {wanted_damping_ratio} is wanted, {rebound_share} of it in rebound. What rebound force does the damper "
            "give at {slow_speed}, below its knee?",
            asks="rebound_force_slow",
            vary=("sprung_mass_on_spring", "wheel_rate", "wanted_damping_ratio"),
        ),
        Practice(
            text="A damper charged to {gas_pressure} has a piston of {piston_diameter} and a rod of {rod_diameter}, and no base "
            "valve. What is the most that its compression damping can reach?",
            asks="compression_limit",
            vary=("gas_pressure", "piston_diameter"),
        ),
    ),
    chart=_chart,
    groups={
        "Corner": (
            "sprung_mass_on_spring",
            "wheel_rate",
            "wheel_rate_past_crossover",
            "motion_ratio",
            "wanted_damping_ratio",
        ),
        "Shape": ("rebound_share", "knee_speed", "slope_past_knee"),
        "Speeds": ("slow_speed", "middle_speed", "fast_speed"),
        "Gas and piston": (
            "gas_force",
            "gas_pressure",
            "piston_diameter",
            "rod_diameter",
            "base_valve_pressure",
        ),
    },
    main=("compression_force_middle", "rebound_force_middle", "force_factor_past_crossover"),
)
