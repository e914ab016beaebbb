"""Force, rate and pressure of a damper's gas charge at a place in the travel."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Panel
from calc.constants import ATMOSPHERE
from calc.quantity import Choice, Display, Option, Quantity
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step, Values
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import (
    BumpLimit,
    GasPressure,
    GasRate,
    GasVolume,
    RideTravel,
    RodDiameter,
    length,
)

_PSI = POUND_FORCE / INCH**2
_SLOW, _IN_MOTION = "slow", "in motion"
_EXPONENT_IN_MOTION = 1.4
# What a charge was set at where nobody says otherwise: 20 °C (68 °F).
ROOM = 293.15

_process = Choice(
    label="How fast it is compressed",
    options=(
        Option(_SLOW, "Slowly, as it settles", "The gas keeps the temperature around it: exponent 1."),
        Option(_IN_MOTION, "In one fast stroke", "The gas keeps its heat: exponent 1.4."),
    ),
    typical=_SLOW,
    help="Slowly for where the rig sits; in one fast stroke for a hard bump from full extension.",
)
_air_pressure = Quantity(
    label="Air pressure",
    symbol="p_air",
    kind=units.PRESSURE,
    low=4e4,
    high=1.1e5,
    typical=ATMOSPHERE,
    assumed=ATMOSPHERE,
    help="Around the damper; it falls by about a tenth for each 3,300 ft (1,000 m) of height.",
)
_temperature = Quantity(
    label="Gas temperature",
    symbol="T",
    kind=units.TEMPERATURE,
    low=223.15,
    high=473.15,
    typical=ROOM,
    assumed=ROOM,
    help="Of the gas when the damper is where you ask about it; a worked damper is far hotter than the air.",
)
_exponent = Quantity(
    label="Exponent of the gas",
    symbol="n",
    kind=units.NUMBER,
    low=1.0,
    high=1.4,
    typical=1.0,
    help="1 when the gas keeps its temperature, 1.4 when it keeps its heat.",
)
_rod_area = Quantity(
    label="Rod area",
    symbol="A_rod",
    kind=units.AREA,
    low=1e-6,
    high=0.01,
    typical=3.88e-4,
    help="The cross section of the rod: what the gas pushes out.",
)


@dataclass(frozen=True, kw_only=True)
class Gas:
    """What the gas does at ride, fully extended, and at full bump where that is told."""

    gas_force: Annotated[float, vocabulary.gas_force.within(low=-1e4, high=1e7)]
    gas_rate: GasRate
    gas_pressure_at_ride: Annotated[
        float, vocabulary.gas_pressure.called("Gas pressure there, by the gauge", "p", low=-2e5, high=1e9)
    ]
    gas_rate_bouncing: Annotated[
        float,
        vocabulary.gas_rate.called(
            "Gas rate when it bounces there", "k_g,1.4", "For quick, small motion about the position it settled at."
        ),
    ]
    gas_force_extended: Annotated[
        float, vocabulary.gas_force.called("Gas force, fully extended", "F_g0", low=-1e4, high=1e7)
    ]
    gas_force_at_bump: (
        Annotated[float, vocabulary.gas_force.called("Gas force at full bump", "F_g,b", low=-1e4, high=1e7)] | None
    )
    rod_area: Annotated[float, _rod_area]
    gas_exponent: Annotated[float, _exponent]
    gas_volume_left: Annotated[float, vocabulary.gas_volume.called("Gas volume there", "V")]
    gas_volume_at_bump: Annotated[float, vocabulary.gas_volume.called("Gas volume at full bump", "V_b")] | None


def gas(
    *,
    gas_pressure: GasPressure,
    gas_volume: GasVolume,
    rod_diameter: RodDiameter,
    ride_travel: RideTravel,
    gas_process: Annotated[str, _process] = _SLOW,
    bump_limit: BumpLimit | None = None,
    charge_temperature: Annotated[
        float,
        _temperature.called("Temperature when charged", "T_0", "Of the gas, when the charge was read on the gauge."),
    ] = ROOM,
    gas_temperature: Annotated[float, _temperature] = ROOM,
    air_pressure: Annotated[float, _air_pressure] = ATMOSPHERE,
) -> Gas:
    """Return the force, the rate and the pressure of a damper's gas at a travel from full extension.

    Only the rod's area counts: on the piston the gas pushes both ways.
    Absolute pressure times volume to the exponent stays constant, and absolute pressure rises with absolute
    temperature; the exponent is 1 for slow changes and 1.4 for one fast stroke.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the rod would need more room than the gas has.
    Valid for a gas charge behind a floating piston, far from liquefying (nitrogen within 1 percent at these pressures).
    Source: the gas law of Boyle, with absolute pressure; worked out on the page.

    >>> found = gas(gas_pressure=1.379e6, gas_volume=2.95e-4, rod_diameter=0.022225, ride_travel=0.128)
    >>> round(float(found.gas_force)), round(float(found.gas_rate))
    (651, 1092)
    """
    STEP.refuse(locals())
    area = np.pi * rod_diameter**2 / 4
    exponent = 1.0 if gas_process == _SLOW else _EXPONENT_IN_MOTION
    charged = gas_pressure + air_pressure
    warmth = gas_temperature / charge_temperature
    left = gas_volume - area * ride_travel
    there = charged * warmth * (gas_volume / left) ** exponent
    at_bump = bump_force = None
    if bump_limit is not None:
        at_bump = gas_volume - area * bump_limit
        bump_force = (charged * warmth * (gas_volume / at_bump) ** exponent - air_pressure) * area
    return Gas(
        gas_force=(there - air_pressure) * area,
        gas_rate=exponent * there * area**2 / left,
        gas_pressure_at_ride=there - air_pressure,
        gas_rate_bouncing=_EXPONENT_IN_MOTION * charged * warmth * gas_volume / left * area**2 / left,
        gas_force_extended=(charged * warmth - air_pressure) * area,
        gas_force_at_bump=bump_force,
        rod_area=area,
        gas_exponent=exponent,
        gas_volume_left=left,
        gas_volume_at_bump=at_bump,
    )


def _chart(values: Values, display: Display) -> Chart:
    along, push = display.unit(length, "ride_travel"), display.unit(vocabulary.gas_force, "gas_force")
    area, volume, air = values["rod_area"], values["gas_volume"], values["air_pressure"]
    charged = (values["gas_pressure"] + air) * values["gas_temperature"] / values["charge_temperature"]
    ride, bump = values["ride_travel"], values["bump_limit"]
    most = min(bump or max(2 * ride, 4 * INCH), 0.9 * volume / area)
    most = max(most, ride)
    curves = []
    for label, exponent, own in (("slowly", 1.0, _SLOW), ("in one fast stroke", _EXPONENT_IN_MOTION, _IN_MOTION)):
        points = []
        for step in range(61):
            travel = most * step / 60
            force = (charged * (volume / (volume - area * travel)) ** exponent - air) * area
            points.append((units.from_si(travel, along), units.from_si(force, push)))
        quiet = values["gas_process"] != own
        curves.append(Curve(tuple(points), label=label, at=points[50][0], quiet=quiet))
    return Chart(
        key="gas-chart",
        title="Gas force through the travel",
        description="The gas force against damper travel from full extension, compressed slowly and in one fast stroke.",
        x_label="Damper travel from full extension",
        x_unit=along.symbol,
        panels=(
            Panel(
                "Gas force",
                push.symbol,
                curves=tuple(curves),
                dots=(Dot(units.from_si(ride, along), units.from_si(values["gas_force"], push), "here"),),
                decimals=display.decimals(vocabulary.gas_force, "gas_force"),
                tall=True,
            ),
        ),
    )


# Only in the working: ratios of temperature hold from absolute zero, so the lines that make one show it from there.
_ABSOLUTE = units.Kind(
    name="absolute temperature",
    dimension=units.Dimension(kelvin=1),
    shop=units.Unit("°R", 5 / 9),
    metric=units.Unit("K", 1.0),
    decimals={"°R": 1, "K": 1},
)
_absolute = Quantity(
    label="Gas temperature from absolute zero",
    symbol="T_abs",
    kind=_ABSOLUTE,
    low=200.0,
    high=500.0,
    typical=ROOM,
    help="Kelvin, or degrees Rankine.",
)
_warmth = Quantity(
    label="Absolute temperature over that when charged",
    symbol="τ",
    kind=units.RATIO,
    low=0.1,
    high=10.0,
    typical=1.0,
    help="Both temperatures counted from absolute zero: kelvin, or degrees Rankine.",
)
# A difference of temperatures has no zero of its own.
_DIFFERENCE = units.Kind(
    name="temperature difference",
    dimension=units.Dimension(kelvin=1),
    shop=units.Unit("°F", 5 / 9),
    metric=units.Unit("°C", 1.0),
    decimals={"°F": 0, "°C": 0},
)
_warmer = Quantity(
    label="Warmer or colder than when charged",
    symbol="ΔT",
    kind=_DIFFERENCE,
    low=0.0,
    high=500.0,
    typical=10.0,
    help="Between the gas now and the gas when its pressure was read.",
)
_extended = vocabulary.gas_pressure.called(
    "Absolute pressure, fully extended", "p_abs", "Gauge pressure and air pressure together, as warm as the gas is now."
)

STEP = Step(
    function=gas,
    title="Gas force and rate",
    question="How hard does the gas push the damper apart where the rig sits, and what spring rate does it add?",
    job="7b",
    sources=(
        Source(key="derivation", where="Boyle's law with absolute pressure, differentiated once", flag="derivation"),
    ),
    equations=(
        Equation(result="rod_area", text="pi * rod_diameter**2 / 4", note="on the piston the gas pushes both ways"),
        Equation(result="gas_exponent", text="1", note="settling slowly", when="gas_process == 'slow'"),
        Equation(result="gas_exponent", text="1.4", note="one fast stroke", when="gas_process == 'in motion'"),
        Equation(
            result="gas_volume_left",
            text="gas_volume - rod_area * ride_travel",
            note="the rod takes room as it comes in",
        ),
        Equation(
            result="absolute_gas_temperature",
            text="gas_temperature",
            note="counted from absolute zero",
            quantity=_absolute,
        ),
        Equation(
            result="absolute_charge_temperature",
            text="charge_temperature",
            note="counted from absolute zero",
            quantity=_absolute.called("Temperature when charged, from absolute zero", "T_0,abs"),
        ),
        Equation(
            result="warmth",
            text="absolute_gas_temperature / absolute_charge_temperature",
            note="how much the warmth raises the pressure",
            quantity=_warmth,
        ),
        Equation(
            result="extended_pressure",
            text="(gas_pressure + air_pressure) * warmth",
            note="absolute: the gauge leaves the air out",
            quantity=_extended,
        ),
        Equation(
            result="gas_pressure_at_ride",
            text="extended_pressure * (gas_volume / gas_volume_left)**gas_exponent - air_pressure",
            note="what the gauge would show there",
        ),
        Equation(result="gas_force", text="gas_pressure_at_ride * rod_area", note="always pushing the damper apart"),
        Equation(
            result="gas_rate",
            text="gas_exponent * (gas_pressure_at_ride + air_pressure) * rod_area**2 / gas_volume_left",
            note="how fast that force grows",
        ),
        Equation(
            result="gas_rate_bouncing",
            text="1.4 * extended_pressure * gas_volume * rod_area**2 / gas_volume_left**2",
            note="settled slowly, then bounced: 1.4 times the slow rate",
        ),
        Equation(
            result="gas_force_extended",
            text="(extended_pressure - air_pressure) * rod_area",
            note="what you feel when you push the rod in by hand",
        ),
        Equation(result="gas_volume_at_bump", text="gas_volume - rod_area * bump_limit"),
        Equation(
            result="gas_force_at_bump",
            text="(extended_pressure * (gas_volume / gas_volume_at_bump)**gas_exponent - air_pressure) * rod_area",
        ),
    ),
    refusals=tuple(
        Refusal(
            field=travel,
            when=f"{left} <= 0",
            problem=f"The rod needs {{{needed}}} of room {where}, and the gas has only {{gas_volume}}: the damper would "
            "lock before it.",
            allowed="Allowed: less than {most_travel} of travel with this gas volume and rod.",
            given=(
                Equation(result=needed, text=f"rod_area * {travel}", quantity=vocabulary.gas_volume),
                Equation(result="most_travel", text="gas_volume / rod_area", quantity=length),
            ),
        )
        for travel, left, needed, where in (
            ("ride_travel", "gas_volume_left", "room_there", "there"),
            ("bump_limit", "gas_volume_at_bump", "room_at_bump", "at full bump"),
        )
    ),
    example=Example(
        inputs={
            "gas_pressure": "200 psi",
            "gas_volume": "18 in³",
            "rod_diameter": "7/8 in",
            "ride_travel": "5.05 in",
            "gas_process": _SLOW,
            "bump_limit": "11.5 in",
            "charge_temperature": "68 °F",
            "gas_temperature": "68 °F",
            "air_pressure": "14.696 psi",
        },
        expected={
            "rod_area": ("0.6013 in²", 5e-5),
            "gas_volume_left": ("14.96 in³", 0.005),
            "gas_pressure_at_ride": ("243.6 psi", 0.05),
            "gas_force": ("146.5 lbf", 0.05),
            "gas_rate": ("6.24 lb/in", 0.005),
            "gas_rate_bouncing": ("8.74 lb/in", 0.005),
            "gas_force_extended": ("120.26 lbf", 0.005),
            "gas_force_at_bump": ("200.8 lbf", 0.05),
        },
        source=Source(key="derivation", where="by hand, step by step", flag="derivation"),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="charge usual",
            value="gas_pressure",
            at_least=100 * _PSI,
            at_most=400 * _PSI,
            warns=True,
            source=PRACTICE,
            holds="A charge of {value} is usual for such dampers; the maker's document decides.",
            fails="A charge of {value} is outside the usual {limits}: follow the maker's document.",
        ),
        Check(
            rule="room for the gas at full bump",
            value="gas_volume_at_bump",
            at_least=1 / 3,
            times="gas_volume",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="At full bump {value} of {gas_volume} is left for the gas, which then pushes with "
            "{gas_force_at_bump}.",
            fails="At full bump only {value} of {gas_volume} is left, less than {limit}: the pressure climbs steeply, and the "
            "gas takes over from the spring.",
            unchecked="How much room the gas keeps at full bump",
        ),
        Check(
            rule="temperature",
            value="absolute(gas_temperature - charge_temperature)",
            of=_warmer,
            at_most=20.0,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="Charged and used at about the same temperature.",
            fails="The gas is more than {limit} away from the temperature it was charged at: its force is {gas_force}, and ride height moves "
            "with it.",
        ),
    ),
    practice=(
        Practice(
            text="A damper is charged to {gas_pressure} with {gas_volume} of gas and has a rod of {rod_diameter}. With what "
            "force does the gas push when the damper has slowly settled {ride_travel} from full extension?",
            asks="gas_force",
            vary=("gas_pressure", "gas_volume", "rod_diameter", "ride_travel"),
            astray=(
                "gas_pressure * gas_volume / gas_volume_left * rod_area",
                "(gas_pressure_at_ride + air_pressure) * rod_area",
                "gas_force_extended",
            ),
        ),
        Practice(
            text="A damper is charged to {gas_pressure} with {gas_volume} of gas and has a rod of {rod_diameter}. What rate "
            "does the gas add when the damper has slowly settled {ride_travel} from full extension?",
            asks="gas_rate",
            vary=("gas_pressure", "gas_volume", "rod_diameter", "ride_travel"),
            astray=(
                "gas_pressure * gas_volume / gas_volume_left * rod_area**2 / gas_volume_left",
                "gas_pressure_at_ride * rod_area**2 / gas_volume_left",
                "gas_rate_bouncing",
            ),
        ),
    ),
    chart=_chart,
    groups={
        "Charge": ("gas_pressure", "gas_volume", "charge_temperature", "air_pressure"),
        "Damper": ("rod_diameter", "ride_travel", "bump_limit"),
        "Use": ("gas_process", "gas_temperature"),
    },
    main=("gas_force", "gas_rate", "gas_pressure_at_ride"),
)
