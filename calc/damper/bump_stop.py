"""A bump stop beside the coil-over: where it is touched, what it takes in, and how high a fall it stands."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Any

import numpy as np

from calc import units
from calc.chart import Chart, Curve, Guide, Panel
from calc.constants import ATMOSPHERE, GRAVITY
from calc.damper._landing import Corner, Gas, Pad, Path, Springs
from calc.damper._pad import PadForce, pad_cubic, pad_force
from calc.heave_path import HeavePath
from calc.quantity import Choice, Display, Option, Quantity
from calc.roots import turns_positive
from calc.step import PRACTICE, Check, Equation, Example, Practice, Source, Step, Values, refuse
from calc.units import INCH
from calc.vocabulary import (
    CrossoverAboveRide,
    DamperLength,
    GasPressure,
    GasVolume,
    MotionRatio,
    RideTravel,
    RodDiameter,
    SprungMassOnSpring,
    StackRate,
    StackRatePastCrossover,
    any_rate,
    force,
    gas_force,
    gas_volume,
    length,
    motion_ratio,
    motion_ratio_slope,
    travel_left,
    velocity,
)

_MOST_DOUBLINGS = 80
# Times the weight on the wheel that mounts are judged by: ours, for the step and for the rig alike.
MOST_LOAD = 5.0
LOAD_RULE = "load on the mounts as the pad goes solid"
_ON_DAMPER, _ON_FRAME = "on the damper", "on the frame"
_EYES, _MEASURED = "lean", "measured"
_ratio_by = Choice(
    label="Motion ratio at ride, by",
    options=(
        Option(_EYES, "lean", "Both eyes lie in one plane across the rig, on axle and body."),
        Option(_MEASURED, "measurement", "From a travel table, from mounts that lean fore and aft too, or on an arm."),
    ),
    typical=_EYES,
    help="What sets how the coil-over gets shorter as both wheels rise.",
)
_place = Choice(
    label="Where the pad sits",
    options=(
        Option(_ON_DAMPER, "On the damper's rod", "It goes as far as the damper does."),
        Option(_ON_FRAME, "Between frame and axle", "It goes its own way, a fixed share of the wheel's."),
    ),
    typical=_ON_DAMPER,
    help="A pad on the rod goes as far as the damper; one on the frame goes a fixed share of the wheel's travel.",
)
_droop = travel_left.called(
    "Droop left", "x_droop", "Damper travel from ride to where the strap or the damper ends it.", low=0.0
)
_energy = Quantity(
    label="Energy", symbol="E", kind=units.ENERGY, low=0.0, high=1e6, typical=200.0, help="Absorbed by the pad."
)
_factor = Quantity(
    label="Load over weight",
    symbol="n",
    kind=units.NUMBER,
    low=0.0,
    high=100.0,
    typical=3.0,
    help="Load at the wheel over the weight that rests on it.",
)


@dataclass(frozen=True, kw_only=True)
class BumpStop:
    """Where the pad is touched and solid, what it takes in, and how a landing ends. Travel is wheel travel from ride."""

    pad_touch: Annotated[
        float, travel_left.called("Wheel travel to pad contact", "z_t", "Wheel travel up from ride, both wheels.")
    ]
    pad_solid: Annotated[
        float, travel_left.called("Wheel travel to pad solid", "z_s", "Wheel travel up from ride, both wheels.")
    ]
    pad_energy: Annotated[
        float, _energy.called("Energy of the pad, pressed slowly", "E_p", "From touched to solid, in a press.")
    ]
    stop_height: Annotated[
        float,
        length.called(
            "Drop that bottoms the bump stop",
            "h_s",
            "Of the body, from tires just touching at full droop, without help from damper and tire.",
            typical=0.3,
            low=-10.0,
            high=1e4,
        ),
    ]
    solid_load_factor: Annotated[
        float, _factor.called("Peak wheel load when it bottoms, times static", "n_s", high=1e5)
    ]
    landing_travel: Annotated[
        float, travel_left.called("Deepest travel of the landing", "z_m", "Wheel travel up from ride, both wheels.")
    ]
    landing_load_factor: Annotated[
        float, _factor.called("Peak wheel load in this landing, times static", "n_m", high=1e4)
    ]
    engagement_speed: Annotated[
        float, velocity.called("Speed at the pad", "v_t", "Of the wheel against the body as the pad is touched.")
    ]


def bump_stop(
    *,
    pad_gap: Annotated[
        float,
        length.called(
            "Gap at ride",
            "g_p",
            "From the pad to what it lands on, along its own way, where the rig sits.",
            low=0.0,
            high=2.0,
            usual=(0.0, 12 * INCH),
            typical=4 * INCH,
            plus_minus=0.06 * INCH,
        ),
    ],
    pad_depth: Annotated[
        float,
        length.called(
            "Depth of the pad",
            "d_p",
            "How far it can be squashed, from touched to solid.",
            low=0.05 * INCH,
            high=1.0,
            usual=(0.25 * INCH, 8 * INCH),
            typical=2 * INCH,
            plus_minus=0.06 * INCH,
        ),
    ],
    pad_rate: Annotated[
        float,
        any_rate.called(
            "Rate of the pad as it is touched",
            "k_p",
            "Force over the first 1/4 in (6 mm) of squash, in a press.",
            typical=50e3,
            plus_minus_share=0.2,
        ),
    ],
    pad_solid_force: PadForce,
    pad_place: Annotated[str, _place] = _ON_DAMPER,
    pad_motion_ratio: Annotated[
        float,
        motion_ratio.called(
            "Pad travel per wheel travel",
            "R_p",
            "Of a pad between frame and axle; 1 straight above a solid axle. One on the damper goes as the damper does.",
            typical=1.0,
            assumed=1.0,
        ),
    ] = 1.0,
    dynamic_factor: Annotated[
        float,
        _factor.called(
            "Dynamic over slow force",
            "q_d",
            "A rubber or foam pad pushes 1.3 to 2 times as hard when it is hit as in a press.",
            low=1.0,
            high=4.0,
            typical=1.5,
            assumed=1.5,
        ),
    ] = 1.5,
    pad_solid_rate: Annotated[
        float,
        any_rate.called(
            "Rate once solid",
            "k_s",
            "What pad, bracket and bushings give when nothing is left of the pad: about 1/32 in (0.8 mm) under a rig's weight.",
            low=1e5,
            high=1e9,
            typical=1e7,
            assumed=1e7,
            plus_minus_share=0.0,
        ),
    ] = 1e7,
    sprung_mass_on_spring: SprungMassOnSpring,
    motion_ratio: MotionRatio,
    damper_length: DamperLength | None = None,
    ratio_by: Annotated[str, _ratio_by] = _EYES,
    motion_ratio_slope: Annotated[
        float,
        motion_ratio_slope.called(
            "Change of motion ratio with wheel travel", "R'", "At ride; only a measured ratio has one.", assumed=0.0
        ),
    ] = 0.0,
    stack_rate: StackRate,
    stack_rate_past_crossover: StackRatePastCrossover | None = None,
    crossover_above_ride: CrossoverAboveRide | None = None,
    gas_pressure: GasPressure | None = None,
    gas_volume: GasVolume | None = None,
    rod_diameter: RodDiameter | None = None,
    ride_travel: RideTravel | None = None,
    droop_left: Annotated[float, _droop],
    drop_height: Annotated[
        float,
        length.called(
            "Drop height",
            "h",
            "Of the body, from tires just touching at full droop.",
            low=0.0,
            high=5.0,
            usual=(0.0, 60 * INCH),
            typical=12 * INCH,
        ),
    ],
) -> BumpStop:
    """Return where a bump stop is touched and solid, what it takes in, and how a landing on it ends.

    The pad's force is rate times squash and a part that grows with its cube, so that it meets the force it has when
    solid; from there on it is nearly rigid. Beside it work the springs, with their rate up to the crossover and the one
    past it, and the gas, which a quick bump compresses without letting its heat go. Together they hold the weight up at
    ride. With the damper's length the motion ratio changes with travel, as the coil-over leans or as it was measured; without the
    length it stays.
    A landing starts with tires just touching at full droop; the body falls on, the tires do not give, and no damper
    helps: the worst case.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the pad would push less when solid than its rate makes of its depth, when the gas
    alone carries more than the weight or has no room until the pad is solid, when a coil-over between its eyes goes
    further than the damper, and when it would lie flat before the pad is solid.
    Valid for both wheels landing together, on springs that do not bind before the pad is solid.
    Source: energy of a body on springs, gas and a pad in parallel; worked out on the page.

    >>> found = bump_stop(pad_gap=0.1, pad_depth=0.04, pad_rate=50e3, pad_solid_force=14800.0, dynamic_factor=1.0,
    ...     sprung_mass_on_spring=500.0, motion_ratio=1.0, stack_rate=30e3, droop_left=0.13, drop_height=0.0)
    >>> round(float(found.pad_energy), 6)
    168.0
    """
    # Over 60 lines: most of them declare and explain its inputs, one to a line.
    weight: Any = sprung_mass_on_spring * GRAVITY
    corner = _corner(
        weight=weight,
        pad=Pad(
            gap=pad_gap,
            depth=pad_depth,
            rate=pad_rate,
            cubic=pad_cubic(pad_rate=pad_rate, pad_depth=pad_depth, pad_solid_force=pad_solid_force),
            solid_rate=pad_solid_rate,
            factor=dynamic_factor,
        ),
        pad_ratio=None if pad_place == _ON_DAMPER else pad_motion_ratio,
        path=_path(ratio_by, motion_ratio, motion_ratio_slope, damper_length, pad_gap + pad_depth),
        rates=(stack_rate, stack_rate_past_crossover, crossover_above_ride),
        charge=(gas_pressure, gas_volume, rod_diameter, ride_travel),
    )
    touch, solid = corner.pad_wheel(pad_gap), corner.solid
    droop = -corner.path.wheel(-droop_left)
    lowest = corner.energy(-droop)

    def stored(travel: Any) -> Any:
        """Return what is stored above that at full droop, less what the weight gives on the way."""
        return corner.energy(travel) - lowest - weight * (travel + droop)

    fallen = weight * drop_height
    # Past ride, where the springs hold the weight up: from there on, everything slows the body.
    high = 0.0 * fallen + solid + droop
    for _ in range(_MOST_DOUBLINGS):
        short = stored(high) < fallen
        if not np.any(short):
            break
        high = np.where(short, 2 * high, high)
    deepest = turns_positive(lambda travel: stored(travel) - fallen, 0.0, high)
    left = np.maximum(fallen - stored(touch), 0.0)
    return BumpStop(
        pad_touch=touch,
        pad_solid=solid,
        pad_energy=pad_depth * (pad_rate * pad_depth + pad_solid_force) / 4,
        stop_height=stored(solid) / weight,
        solid_load_factor=corner.load(solid) / weight,
        landing_travel=deepest,
        landing_load_factor=corner.load(deepest) / weight,
        engagement_speed=np.sqrt(2 * left / sprung_mass_on_spring),
    )


def _path(by: str, ratio: Any, slope: Any, long: Any, solid: Any) -> Path:
    """Return how damper and wheel travel together, up to the damper travel at which the pad is solid."""
    if long is None:
        return Path(ratio=ratio)
    refuse(
        (ratio > 1.0) & (by == _EYES),
        "motion_ratio",
        "A coil-over between two eyes goes {most} at most for each wheel travel, and the ratio is {ratio}.",
        "Allowed: up to {most}, or the motion ratio by measurement.",
        most=(1.0, motion_ratio),
        ratio=(ratio, motion_ratio),
    )
    change = -(1.0 - ratio**2) / long if by == _EYES else slope
    heave = HeavePath.measured(ratio=ratio, slope=change, length=long)
    refuse(
        (long <= solid) | (heave.ratio_squared(np.maximum(long - solid, 1e-9)) <= 0),
        "damper_length",
        "The coil-over would lie flat before the pad is solid.",
        "Allowed: a longer damper, a smaller gap, or a motion ratio that falls less.",
    )
    return Path(ratio=ratio, length=long, heave=heave)


def _corner(*, weight: Any, pad: Pad, pad_ratio: Any, path: Path, rates: Any, charge: Any) -> Corner:
    rate, past, crossover = rates
    stepped = past is not None and crossover is not None
    gas, held = Gas(), 0.0
    along = pad.gap + pad.depth if pad_ratio is None else path.along((pad.gap + pad.depth) / pad_ratio)
    if all(part is not None for part in charge):
        pressure, volume, rod, travel = charge
        area = np.pi * rod**2 / 4
        refuse(
            volume <= area * (travel + along),
            "gas_volume",
            "The rod needs {needed} of room until the pad is solid, and the gas has only {volume}.",
            "Allowed: more gas volume, a thinner rod or less travel.",
            needed=(area * (travel + along), gas_volume),
            volume=(volume, gas_volume),
        )
        settled = volume - area * travel
        gas = Gas(pressure=(pressure + ATMOSPHERE) * volume / settled, volume=settled, area=area)
        held = gas.force(0.0 * along)
    springs = weight / path.ratio - held
    refuse(
        springs <= 0,
        "gas_pressure",
        "The gas alone pushes with {gas}, more than the weight asks of the whole coil-over, {load}.",
        "Allowed: less gas, or more weight on the spring.",
        gas=(held, gas_force),
        load=(weight / path.ratio, gas_force),
    )
    return Corner(
        path=path,
        pad=pad,
        pad_ratio=pad_ratio,
        gas=gas,
        springs=Springs(
            at_ride=springs,
            rate=rate,
            past=past if stepped else rate,
            crossover=crossover if stepped else 0.0 * rate,
        ),
    )


def _chart(values: Values, display: Display) -> Chart:
    across, up = display.unit(travel_left), display.unit(pad_force)
    given = {name: values[name] for name in _OF_CORNER}
    pad = Pad(
        gap=values["pad_gap"],
        depth=values["pad_depth"],
        rate=values["pad_rate"],
        cubic=(values["pad_solid_force"] - values["pad_rate"] * values["pad_depth"]) / values["pad_depth"] ** 3,
        solid_rate=values["pad_solid_rate"],
        factor=values["dynamic_factor"],
    )
    corner = _corner(
        weight=values["sprung_mass_on_spring"] * GRAVITY,
        pad=pad,
        pad_ratio=None if values["pad_place"] == _ON_DAMPER else values["pad_motion_ratio"],
        path=_path(
            values["ratio_by"],
            given["motion_ratio"],
            given["motion_ratio_slope"],
            given["damper_length"],
            pad.gap + pad.depth,
        ),
        rates=tuple(given[name] for name in _RATES),
        charge=tuple(given[name] for name in _CHARGE),
    )
    without = replace(corner, pad=replace(pad, rate=0.0, cubic=0.0, solid_rate=0.0))
    touch, solid, last = values["pad_touch"], values["pad_solid"], values["landing_travel"]
    droop = float(-corner.path.wheel(-values["droop_left"]))

    def point(travel: float, of: Corner = corner) -> tuple[float, float]:
        return units.from_si(travel, across), units.from_si(float(of.load(travel)), up)

    even = [-droop + (last + droop) * part / 24 for part in range(25)]
    marks = sorted({*even, min(touch, last), last, *((solid,) if last > solid else ())})
    marks = sorted({*marks, *(touch + (min(solid, last) - touch) * part / 24 for part in range(25) if last > touch)})
    alone = tuple(point(travel, without) for travel in even)
    guides = [Guide(units.from_si(touch, across), "touched")]
    if last > solid:
        guides.append(Guide(units.from_si(solid, across), "solid"))
    return Chart(
        key="bump-stop-chart",
        title="Load at the wheel through the landing",
        description="Load at the wheel against wheel travel from ride, from full droop to the deepest travel of the "
        "landing, and what springs and gas alone make of it.",
        x_label="Wheel travel from ride, bump positive",
        x_unit=across.symbol,
        guides=tuple(guides),
        panels=(
            Panel(
                "Load at the wheel",
                up.symbol,
                curves=(
                    Curve(tuple(point(z) for z in marks), label="springs, gas and pad", at=point(last)[0] * 0.9),
                    Curve(alone, label="without the pad", at=alone[0][0] * 0.5, quiet=True),
                ),
                decimals=display.decimals(pad_force),
                tall=True,
            ),
        ),
    )


_RATES = ("stack_rate", "stack_rate_past_crossover", "crossover_above_ride")
_CHARGE = ("gas_pressure", "gas_volume", "rod_diameter", "ride_travel")
_OF_CORNER = ("motion_ratio", "motion_ratio_slope", "damper_length", *_RATES, *_CHARGE)
_on_damper = "pad_place == 'on the damper'"
_on_frame = "pad_place == 'on the frame'"
_square = Quantity(
    label="Square of the path",
    symbol="q",
    kind=units.RATIO,
    low=-10.0,
    high=10.0,
    typical=1.0,
    help="How the square of the length bends over wheel travel: 1 between two eyes.",
)
_absolute = Quantity(
    label="Gas pressure at ride, absolute",
    symbol="p_r",
    kind=units.PRESSURE,
    low=0.0,
    high=1e9,
    typical=2e6,
    help="Settled at ride, the pressure of the air around it counted.",
)


STEP = Step(
    function=bump_stop,
    title="Bump stop",
    question="When does the rig reach the pad, how much energy does it absorb, and how high a drop can it take?",
    job="8",
    sources=(
        Source(key="derivation", where="energy of a body on springs, gas and a pad in parallel", flag="derivation"),
        PRACTICE,
    ),
    groups={
        "Pad": ("pad_gap", "pad_depth", "pad_rate", "pad_solid_force", "pad_place", "pad_motion_ratio"),
        "Corner": ("sprung_mass_on_spring", "droop_left"),
        "Motion ratio": ("motion_ratio", "damper_length", "ratio_by", "motion_ratio_slope"),
        "Springs": ("stack_rate", "stack_rate_past_crossover", "crossover_above_ride"),
        "Gas": ("gas_pressure", "gas_volume", "rod_diameter", "ride_travel"),
        "Landing": ("drop_height", "dynamic_factor", "pad_solid_rate"),
    },
    equations=(
        Equation(
            result="path_square",
            text="1",
            note="the axle goes straight up between the eyes",
            when="ratio_by == 'lean'",
            quantity=_square,
        ),
        Equation(
            result="path_square",
            text="motion_ratio**2 - damper_length * motion_ratio_slope",
            when="ratio_by == 'measured'",
            quantity=_square,
        ),
        Equation(
            result="path_edge",
            text="damper_length**2 * (path_square - motion_ratio**2)",
            note="by which the ratio falls as the coil-over gets shorter",
            quantity=Quantity(
                label="Edge of the path",
                symbol="e",
                kind=units.AREA,
                low=-10.0,
                high=10.0,
                typical=0.02,
                help="Between two eyes, the square of how far one sits beside the other.",
            ),
        ),
        Equation(
            result="pad_touch",
            text="(damper_length**2 - (damper_length - pad_gap)**2) "
            "/ (damper_length * motion_ratio + sqrt(path_square * (damper_length - pad_gap)**2 - path_edge))",
            note="at the wheel",
            when=_on_damper,
        ),
        Equation(
            result="pad_solid",
            text="(damper_length**2 - (damper_length - pad_gap - pad_depth)**2) "
            "/ (damper_length * motion_ratio + sqrt(path_square * (damper_length - pad_gap - pad_depth)**2 - path_edge))",
            note="at the wheel",
            when=_on_damper,
        ),
        Equation(result="pad_touch", text="pad_gap / pad_motion_ratio", note="at the wheel", when=_on_frame),
        Equation(
            result="pad_solid", text="(pad_gap + pad_depth) / pad_motion_ratio", note="at the wheel", when=_on_frame
        ),
        Equation(
            result="pad_energy",
            text="pad_depth * (pad_rate * pad_depth + pad_solid_force) / 4",
            note="under a force that is rate times squash and a cube",
        ),
        Equation(
            result="rod_area",
            text="pi * rod_diameter**2 / 4",
            quantity=Quantity(
                label="Rod area",
                symbol="A_rod",
                kind=units.AREA,
                low=1e-6,
                high=0.01,
                typical=3.88e-4,
                help="The cross section of the rod: what the gas pushes out.",
            ),
        ),
        Equation(
            result="gas_room",
            text="gas_volume - rod_area * ride_travel",
            note="left at ride",
            quantity=gas_volume.called("Gas volume at ride", "V_r", low=0.0),
        ),
        Equation(
            result="gas_settled",
            text="(gas_pressure + atmosphere) * gas_volume / gas_room",
            note="settled slowly at ride",
            quantity=_absolute,
        ),
        Equation(
            result="spring_at_ride",
            text="sprung_mass_on_spring * gravity / motion_ratio - (gas_settled - atmosphere) * rod_area",
            note="what the springs carry at ride, along the damper",
            quantity=force.called("Spring force at ride", "F_s", low=0.0),
        ),
        Equation(
            result="spring_at_droop",
            text="maximum(spring_at_ride - stack_rate * droop_left, 0)",
            quantity=force.called("Spring force at full droop", "F_d", low=0.0),
        ),
        Equation(
            result="spring_at_crossover",
            text="spring_at_ride + stack_rate * crossover_above_ride",
            quantity=force.called("Spring force at the crossover", "F_c", low=0.0),
        ),
        Equation(
            result="past_crossover",
            text="pad_gap + pad_depth - crossover_above_ride",
            note="damper travel from the crossover until the pad is solid",
            when=_on_damper,
            quantity=length.called("Travel past the crossover", "x_2", low=-2.0),
        ),
        Equation(
            result="spring_energy",
            text="(spring_at_crossover**2 - spring_at_droop**2) / (2 * stack_rate) "
            "+ past_crossover * (spring_at_crossover + stack_rate_past_crossover * past_crossover / 2)",
            note="from full droop until the pad is solid, by the rate on each side of the crossover",
            when=f"{_on_damper} and crossover_above_ride >= 0 and past_crossover >= 0",
            quantity=_energy.called("Energy of the springs", "E_s", "From full droop until the pad is solid."),
        ),
        Equation(
            result="gas_energy",
            text="gas_settled * gas_room / 0.4 * ((gas_room / (gas_room - rod_area * (pad_gap + pad_depth)))**0.4 "
            "- (gas_room / (gas_room + rod_area * droop_left))**0.4) "
            "- atmosphere * rod_area * (pad_gap + pad_depth + droop_left)",
            note="compressed quickly, exponent 1.4",
            when=_on_damper,
            quantity=_energy.called("Energy of the gas", "E_g", "From full droop until the pad is solid."),
        ),
        Equation(
            result="wheel_droop",
            text="((damper_length + droop_left)**2 - damper_length**2) "
            "/ (damper_length * motion_ratio + sqrt(path_square * (damper_length + droop_left)**2 - path_edge))",
            note="at the wheel",
            quantity=travel_left.called("Droop at the wheel", "z_d"),
        ),
        Equation(
            result="stop_height",
            text="(spring_energy + gas_energy + dynamic_factor * pad_energy) / (sprung_mass_on_spring * gravity) "
            "- wheel_droop - pad_solid",
            note="what all three absorb, less the distance that the weight falls meanwhile",
            when=_on_damper,
        ),
        Equation(
            result="ratio_at_solid",
            text="sqrt(path_square - path_edge / (damper_length - pad_gap - pad_depth)**2)",
            note="a leaning coil-over leans more there",
            when=_on_damper,
            quantity=motion_ratio.called("Motion ratio, pad solid", "R_s"),
        ),
        Equation(
            result="gas_at_solid",
            text="(gas_settled * (gas_room / (gas_room - rod_area * (pad_gap + pad_depth)))**1.4 - atmosphere) * rod_area",
            when=_on_damper,
            quantity=gas_force.called("Gas force, pad solid", "F_g,s"),
        ),
        Equation(
            result="solid_load_factor",
            text="(spring_at_crossover + stack_rate_past_crossover * past_crossover + gas_at_solid "
            "+ dynamic_factor * pad_solid_force) * ratio_at_solid / (sprung_mass_on_spring * gravity)",
            note="springs, gas and pad, over weight",
            when=f"{_on_damper} and crossover_above_ride >= 0 and past_crossover >= 0",
        ),
    ),
    example=Example(
        inputs={
            "pad_gap": "4.41 in",
            "pad_depth": "2.0 in",
            "pad_rate": "300 lb/in",
            "pad_solid_force": "2200 lbf",
            "pad_place": "on the damper",
            "dynamic_factor": "1.5",
            "sprung_mass_on_spring": "1134 lb",
            "motion_ratio": "0.978",
            "damper_length": "25.91 in",
            "ratio_by": "lean",
            "stack_rate": "157.6 lb/in",
            "stack_rate_past_crossover": "400 lb/in",
            "crossover_above_ride": "2.50 in",
            "gas_pressure": "200 psi",
            "gas_volume": "18 in³",
            "rod_diameter": "0.875 in",
            "ride_travel": "5.09 in",
            "droop_left": "5.09 in",
            "drop_height": "3 in",
        },
        expected={
            "pad_touch": ("4.530451 in", 5e-7),
            "pad_solid": ("6.604012 in", 5e-7),
            "pad_energy": ("116.6667 ft·lbf", 5e-5),
            "stop_height": ("4.624887 in", 5e-7),
            "solid_load_factor": (5.505795, 5e-7),
            "landing_travel": ("6.178174 in", 5e-7),
            "landing_load_factor": (4.201132, 5e-7),
            "engagement_speed": ("48.60400 in/s", 5e-5),
        },
        source=Source(
            key="derivation",
            where="the fall followed in time by small steps, and each energy by hand",
            flag="derivation",
        ),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="room above the pad at ride",
            value="pad_gap",
            at_least=1 * INCH,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="At ride there are {value} above the pad: it works in bumps only.",
            close="At ride there are {value} above the pad, about the {limit} that it needs: small bumps reach it.",
            fails="At ride there are only {value} above the pad, less than {limit}: it rides on its stop, and the ride is that of the pad.",
        ),
        Check(
            rule="the landing stays off solid",
            value="landing_travel",
            at_most="pad_solid",
            warns=True,
            holds="The landing ends at {value} of wheel travel; the pad is solid at {limit}.",
            close="The landing ends at {value} of wheel travel, about where the pad is solid, {limit}.",
            fails="The landing goes to {value} of wheel travel and drives the pad solid at {limit}: springs, gas and pad "
            "alone take a drop of {stop_height}. Damper and tires must take the rest.",
        ),
        Check(
            rule=LOAD_RULE,
            value="solid_load_factor",
            at_most=MOST_LOAD,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="As the pad goes solid the wheel's load is {value} times the weight on it.",
            close="As the pad goes solid the wheel's load is {value} ± {doubt} times the weight on it, about {limit}: a "
            "fabricator or an engineer must say whether the brackets can take that.",
            fails="As the pad goes solid the wheel's load is {value} times the weight on it, more than {limit}: a fabricator "
            "or an engineer must say whether the brackets can take that.",
            unchecked="What the mounts bear as the pad goes solid",
        ),
        Check(
            rule="load on the mounts in this landing",
            value="landing_load_factor",
            at_most=MOST_LOAD,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The wheel's load peaks at {value} times the weight on it.",
            fails="The wheel's load peaks at {value} times the weight on it, more than {limit}: a fabricator or an engineer "
            "must say whether the brackets can take that.",
        ),
    ),
    practice=(
        Practice(
            text="A pad {pad_depth} deep pushes with {pad_solid_force} when solid; its rate is that of the worked example. "
            "How much energy does it absorb, squashed slowly?",
            asks="pad_energy",
            vary=("pad_depth", "pad_solid_force"),
        ),
    ),
    chart=_chart,
    main=("pad_touch", "landing_travel", "landing_load_factor"),
)
