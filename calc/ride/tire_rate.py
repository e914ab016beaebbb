"""The rate of a tire at another pressure than the one it was measured at, and how much lower it then stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Panel
from calc.constants import GRAVITY
from calc.quantity import Display, Quantity
from calc.step import Check, Equation, Example, Practice, Refusal, Source, Step, Values
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import TirePressure, corner_mass, length, tire_loaded_radius

_PSI = POUND_FORCE / INCH**2
# What the carcass carries without air, as if it were this much more pressure. Common practice, no source.
_CARCASS = 5 * _PSI

_rate = vocabulary.tire_rate
_pressure = vocabulary.tire_pressure
_carcass = _pressure.called(
    "Carcass allowance",
    "p_c",
    "Sidewalls carry a part without any air: about as much as this pressure would.",
    high=50 * _PSI,
    usual=None,
    typical=_CARCASS,
    assumed=_CARCASS,
    plus_minus=2 * _PSI,
)
_times = Quantity(
    label="Factor",
    symbol="n_T",
    kind=units.RATIO,
    low=0.0,
    high=100.0,
    typical=1.0,
    help="Times the measured tire rate.",
)
_squash = length.called(
    "Squash", "δ_T", "How far the load sinks the tire, if its rate were the same from the start.", low=0.0
)


@dataclass(frozen=True, kw_only=True)
class TireRateAtPressure:
    """The rate at the new pressure, and what it does to the squash and the loaded radius."""

    tire_rate: Annotated[float, vocabulary.tire_rate.within(low=100.0, high=5e7)]
    tire_rate_factor: Annotated[float, _times.called("Tire rate by the measured one")]
    tire_squash: Annotated[float, _squash.called("Squash at this pressure", "δ_T")] | None
    loaded_radius_change: (
        Annotated[
            float,
            length.called(
                "Change of the loaded radius",
                "Δr",
                "From the measured pressure to this one; negative when it sits lower.",
            ),
        ]
        | None
    )
    loaded_radius_at_pressure: (
        Annotated[
            float,
            tire_loaded_radius.called(
                "Loaded radius at this pressure", "r_p", "Hub center to the ground, same load.", low=0.01
            ),
        ]
        | None
    )


def tire_rate(
    *,
    measured_tire_rate: Annotated[
        float,
        _rate.called(
            "Tire rate, measured", "k_T,0", "Load per squash of one tire at the pressure that it was measured at."
        ),
    ],
    measured_tire_pressure: Annotated[
        float, _pressure.called("Tire pressure when measured", "p_T,0", "By the gauge, cold, as the rate was measured.")
    ],
    tire_pressure: TirePressure,
    carcass_pressure: Annotated[float, _carcass] = _CARCASS,
    tire_load: Annotated[float, corner_mass.called("Weight on the tire", "m_T", "What the scale under it reads.")]
    | None = None,
    measured_loaded_radius: (
        Annotated[
            float,
            tire_loaded_radius.called(
                "Loaded radius when measured",
                "r_0",
                "Hub center to the ground, at that pressure and under this weight.",
            ),
        ]
        | None
    ) = None,
) -> TireRateAtPressure:
    """Return a tire's rate at another pressure than it was measured at, and how its loaded radius changes.

    The rate grows as the gauge pressure and what the carcass counts for, together.
    The squash is weight over rate, so the radius falls by the difference of both squashes.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when pressure and carcass are both nothing, at either of the two, and when the tire would
    sink to the ground.
    Valid near the pressure that was measured, for about 0.7 to 1.4 times the rate; a tire on its rim is another thing.
    Source: common practice, no source: rate proportional to the gauge pressure plus about 5 psi.

    >>> found = tire_rate(measured_tire_rate=260e3, measured_tire_pressure=180e3, tire_pressure=110e3)
    >>> round(float(found.tire_rate)), round(float(found.tire_rate_factor), 3)
    (175141, 0.674)
    """
    STEP.refuse(locals())
    factor = (tire_pressure + carcass_pressure) / (measured_tire_pressure + carcass_pressure)
    rate = measured_tire_rate * factor
    squash = change = radius = None
    if tire_load is not None:
        squash = tire_load * GRAVITY / rate
        change = tire_load * GRAVITY / measured_tire_rate - squash
        if measured_loaded_radius is not None:
            radius = measured_loaded_radius + change
    return TireRateAtPressure(
        tire_rate=rate,
        tire_rate_factor=factor,
        tire_squash=squash,
        loaded_radius_change=change,
        loaded_radius_at_pressure=radius,
    )


def _chart(values: Values, display: Display) -> Chart:
    shown, unit = display.unit(_pressure, "tire_pressure"), display.unit(_rate)
    measured, here, carcass = (values[name] for name in ("measured_tire_pressure", "tire_pressure", "carcass_pressure"))
    most = 1.3 * max(measured, here, 10 * _PSI)

    def at(pressure: float) -> float:
        return float(values["measured_tire_rate"] * (pressure + carcass) / (measured + carcass))

    # Where the rule is good: 0.7 to 1.4 times the measured rate.
    ends = [max(0.0, factor * (measured + carcass) - carcass) for factor in (0.7, 1.4)]

    def line(low: float, high: float) -> tuple[tuple[float, float], ...]:
        return tuple((units.from_si(place, shown), units.from_si(at(place), unit)) for place in (low, high))

    curves = [Curve(line(0.0, most), label="by the rule", at=units.from_si(0.15 * most, shown), quiet=True)]
    if min(ends[1], most) > ends[0]:
        curves.append(
            Curve(
                line(ends[0], min(ends[1], most)),
                label="where it is good",
                at=units.from_si(0.9 * min(ends[1], most), shown),
            )
        )
    return Chart(
        key="tire-rate-chart",
        title="Tire rate against pressure",
        description="The rate of the tire against its gauge pressure: a straight line that does not pass through zero, "
        "because the carcass carries some of the load.",
        x_label="Tire pressure",
        x_unit=shown.symbol,
        x_decimals=display.decimals(_pressure, "tire_pressure"),
        panels=(
            Panel(
                "Tire rate",
                unit.symbol,
                curves=tuple(curves),
                dots=(
                    Dot(units.from_si(measured, shown), units.from_si(at(measured), unit), "measured"),
                    Dot(units.from_si(here, shown), units.from_si(at(here), unit), "now"),
                ),
                decimals=display.decimals(_rate),
                tall=True,
                at_least=(0.0, 1.0),
            ),
        ),
    )


STEP = Step(
    function=tire_rate,
    title="Tire rate at another pressure",
    question="The tire was measured at one pressure and is driven at another: how stiff is it, and how much lower does it sit?",
    job="5c",
    sources=(
        Source(
            key="common_practice",
            where="tire rate about proportional to gauge pressure plus 5 psi (0.34 bar)",
            flag="practice",
        ),
        Source(key="derivation", where="squash is weight over rate", flag="derivation"),
    ),
    equations=(
        Equation(
            result="tire_rate_factor",
            text="(tire_pressure + carcass_pressure) / (measured_tire_pressure + carcass_pressure)",
            note="the air, and the carcass as if it were air",
        ),
        Equation(result="tire_rate", text="measured_tire_rate * tire_rate_factor", note="common practice, no source"),
        Equation(result="tire_squash", text="tire_load * gravity / tire_rate", note="weight over rate"),
        Equation(
            result="loaded_radius_change",
            text="tire_load * gravity / measured_tire_rate - tire_squash",
            note="one squash less the other",
        ),
        Equation(result="loaded_radius_at_pressure", text="measured_loaded_radius + loaded_radius_change"),
    ),
    refusals=(
        *(
            Refusal(
                field=pressure,
                when=f"{pressure} + carcass_pressure <= 0",
                problem="With zero pressure and zero carcass allowance the tire carries nothing.",
                allowed="Allowed: a pressure or a carcass allowance above zero.",
            )
            for pressure in ("measured_tire_pressure", "tire_pressure")
        ),
        Refusal(
            field="tire_pressure",
            when="loaded_radius_at_pressure <= 0.01",
            problem="At this pressure the tire would sink by {tire_squash} and put its hub on the ground.",
            allowed="Allowed: more pressure; the rule does not reach so far.",
        ),
    ),
    example=Example(
        inputs={
            "measured_tire_rate": "1485 lb/in",
            "measured_tire_pressure": "26 psi",
            "tire_pressure": "18 psi",
            "carcass_pressure": "5 psi",
            "tire_load": "1511.5 lb",
            "measured_loaded_radius": "440 mm",
        },
        expected={
            "tire_rate": ("1101.774 lb/in", 5e-4),
            "tire_rate_factor": (0.7419355, 5e-8),
            "tire_squash": ("1.371878 in", 5e-7),
            "loaded_radius_change": ("-0.354033 in", 5e-7),
            "loaded_radius_at_pressure": ("431.0076 mm", 5e-5),
        },
        source=Source(
            key="derivation", where="by hand: 1485 lb/in × 23/31; 1511.5 lb over each rate", flag="derivation"
        ),
        name="Wren, front, aired down for the trail",
    ),
    checks=(
        Check(
            rule="near what was measured",
            value="tire_rate_factor",
            at_least=0.7,
            at_most=1.4,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="{tire_rate} is {value} times what was measured: near enough for the rule.",
            close="{tire_rate} is {value} times what was measured, about the {limit} to which the rule reaches.",
            fails="{tire_rate} is {value} times what was measured. The rule is good for {limits} times: measure the tire at this "
            "pressure instead.",
        ),
        Check(
            rule="squash is not the whole tire",
            value="tire_squash",
            at_most=0.15,
            times="measured_loaded_radius",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The tire is squashed by {value}: the air carries it.",
            fails="The tire is squashed by {value}, more than {share} of its radius: its rate is no longer straight, and the "
            "rim is near the ground.",
            unchecked="Whether the tire is squashed too far",
        ),
        Check(
            rule="ride height",
            value="absolute(loaded_radius_change)",
            of=length.called("Change of the loaded radius", "Δr"),
            at_most=INCH / 4,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The loaded radius changes by {loaded_radius_change}: the vehicle sits almost as it did.",
            fails="The loaded radius changes by {loaded_radius_change}, more than {limit}: set the pressure before you measure heights, and alike on "
            "both sides.",
            unchecked="What the pressure does to the height of the vehicle",
        ),
    ),
    practice=(
        Practice(
            text="A tire has {measured_tire_rate} at {measured_tire_pressure}. The carcass allowance is {carcass_pressure}. What is "
            "its rate at {tire_pressure}?",
            asks="tire_rate",
            vary=("measured_tire_rate", "measured_tire_pressure", "tire_pressure"),
        ),
        Practice(
            text="A tire of {measured_tire_rate} at {measured_tire_pressure} carries {tire_load}. Its pressure is changed to "
            "{tire_pressure}, and the carcass allowance is {carcass_pressure}. How far does its loaded radius change?",
            asks="loaded_radius_change",
            vary=("tire_load", "tire_pressure"),
        ),
    ),
    chart=_chart,
    groups={
        "Measured": ("measured_tire_rate", "measured_tire_pressure", "measured_loaded_radius"),
        "Driven": ("tire_pressure", "tire_load", "carcass_pressure"),
    },
    main=("tire_rate", "loaded_radius_change", "tire_rate_factor"),
)
