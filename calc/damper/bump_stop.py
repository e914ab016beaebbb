"""A bump stop beside the coil-over: where it is touched, what it takes in, and how high a fall it stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units
from calc.chart import Chart, Curve, Guide, Panel
from calc.constants import GRAVITY
from calc.damper._pad import PadForce, pad_cubic, pad_force
from calc.quantity import Display, Quantity
from calc.roots import turns_positive
from calc.step import PRACTICE, Check, Equation, Example, Good, Mistake, Practice, Source, Step, Values, refuse
from calc.units import INCH
from calc.vocabulary import (
    SprungMassOnSpring,
    WheelRate,
    any_rate,
    length,
    motion_ratio,
    travel_left,
    velocity,
)

_MOST_DOUBLINGS = 80
_energy = Quantity(
    label="Energy", symbol="E", kind=units.ENERGY, low=0.0, high=1e6, typical=200.0, help="Taken in by the pad."
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

    pad_touch: Annotated[float, travel_left.called("Pad touched", "z_t", "Wheel travel up from ride, both wheels.")]
    pad_solid: Annotated[float, travel_left.called("Pad solid", "z_s", "Wheel travel up from ride, both wheels.")]
    pad_energy: Annotated[
        float, _energy.called("Energy of the pad, slowly", "E_p", "From touched to solid, in a press.")
    ]
    stop_height: Annotated[
        float,
        length.called(
            "Fall that just makes it solid",
            "h_s",
            "Of the body, from tires just touching at full droop, without help from damper and tire.",
            typical=0.3,
            low=-10.0,
            high=1e4,
        ),
    ]
    solid_load_factor: Annotated[float, _factor.called("Load over weight, just solid", "n_s", high=1e5)]
    landing_travel: Annotated[
        float, travel_left.called("Deepest travel of the landing", "z_m", "Wheel travel up from ride, both wheels.")
    ]
    landing_load_factor: Annotated[float, _factor.called("Load over weight, deepest", "n_m", high=1e4)]
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
    pad_motion_ratio: Annotated[
        float,
        motion_ratio.called(
            "Pad travel per wheel travel",
            "R_p",
            "1 for a pad between body and solid axle; the coil-over's motion ratio for one on the damper.",
            typical=1.0,
            assumed=1.0,
        ),
    ] = 1.0,
    dynamic_factor: Annotated[
        float,
        _factor.called(
            "Quick over slow force",
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
    wheel_rate: WheelRate,
    droop_travel: Annotated[
        float,
        travel_left.called("Droop at the wheel", "z_d", "Wheel travel from ride down to full droop.", low=0.0),
    ],
    drop_height: Annotated[
        float,
        length.called(
            "Height of the fall",
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
    solid; from there on it is nearly rigid. It acts beside a spring of one rate, which holds the weight up at ride.
    A landing starts with tires just touching at full droop; the body falls on, the tires do not give, and no damper
    helps: the worst case.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the pad would push less when solid than its rate makes of its depth, and when the
    spring would have to pull at full droop.
    Valid for both wheels landing together and one wheel rate over the travel.
    Source: energy of a body on springs in parallel; worked out on the page.

    >>> found = bump_stop(pad_gap=0.1, pad_depth=0.04, pad_rate=50e3, pad_solid_force=14800.0, dynamic_factor=1.0,
    ...     sprung_mass_on_spring=500.0, wheel_rate=30e3, droop_travel=0.13, drop_height=0.0)
    >>> round(float(found.pad_energy), 6)
    168.0
    """
    cubic = pad_cubic(pad_rate=pad_rate, pad_depth=pad_depth, pad_solid_force=pad_solid_force)
    weight: Any = sprung_mass_on_spring * GRAVITY
    hanging = weight - wheel_rate * droop_travel
    refuse(
        hanging < -1e-9 * weight,
        "droop_travel",
        "By its rate the spring would have to pull with {pull} at full droop.",
        "Allowed: at most {most} of droop; a stack that hangs loose ends there.",
        pull=(-hanging, pad_force),
        most=(weight / wheel_rate, travel_left),
    )
    touch, solid = pad_gap / pad_motion_ratio, (pad_gap + pad_depth) / pad_motion_ratio

    def stored(travel: Any) -> Any:
        """Return the spring's and the pad's energy above that at full droop, less what the weight gives on the way."""
        squash = np.clip(pad_motion_ratio * travel - pad_gap, 0.0, pad_depth)
        beyond = np.maximum(pad_motion_ratio * travel - pad_gap - pad_depth, 0.0)
        pad = pad_rate * squash**2 / 2 + cubic * squash**4 / 4 + pad_solid_force * beyond
        spring = wheel_rate * (travel**2 - droop_travel**2) / 2
        return spring + dynamic_factor * pad + pad_solid_rate * beyond**2 / 2

    fallen = weight * drop_height
    # Past ride, where the spring holds the weight up: from there on, everything slows the body.
    high = 0.0 * fallen + solid + droop_travel
    for _ in range(_MOST_DOUBLINGS):
        short = stored(high) < fallen
        if not np.any(short):
            break
        high = np.where(short, 2 * high, high)
    deepest = turns_positive(lambda travel: stored(travel) - fallen, 0.0, high)
    squash = np.clip(pad_motion_ratio * deepest - pad_gap, 0.0, pad_depth)
    beyond = np.maximum(pad_motion_ratio * deepest - pad_gap - pad_depth, 0.0)
    push = dynamic_factor * (pad_rate * squash + cubic * squash**3) + pad_solid_rate * beyond
    left = np.maximum(fallen - stored(touch), 0.0)
    return BumpStop(
        pad_touch=touch,
        pad_solid=solid,
        pad_energy=pad_depth * (pad_rate * pad_depth + pad_solid_force) / 4,
        stop_height=stored(solid) / weight,
        solid_load_factor=1 + (wheel_rate * solid + dynamic_factor * pad_solid_force * pad_motion_ratio) / weight,
        landing_travel=deepest,
        landing_load_factor=1 + (wheel_rate * deepest + push * pad_motion_ratio) / weight,
        engagement_speed=np.sqrt(2 * left / sprung_mass_on_spring),
    )


def _chart(values: Values, display: Display) -> Chart:
    across, up = display.unit(travel_left), display.unit(pad_force)
    weight = values["sprung_mass_on_spring"] * GRAVITY
    depth, ratio = values["pad_depth"], values["pad_motion_ratio"]
    cubic = (values["pad_solid_force"] - values["pad_rate"] * depth) / depth**3
    touch, solid, last = values["pad_touch"], values["pad_solid"], values["landing_travel"]

    def load(travel: float) -> tuple[float, float]:
        squash = min(max(ratio * travel - values["pad_gap"], 0.0), depth)
        beyond = max(ratio * travel - values["pad_gap"] - depth, 0.0)
        push = values["dynamic_factor"] * (values["pad_rate"] * squash + cubic * squash**3)
        push += values["pad_solid_rate"] * beyond
        wheel = weight + values["wheel_rate"] * travel + ratio * push
        return units.from_si(travel, across), units.from_si(wheel, up)

    marks = {-values["droop_travel"], touch, last, *((solid,) if last > solid else ())}
    marks |= {touch + (min(solid, last) - touch) * step / 24 for step in range(25) if last > touch}
    spring = tuple(
        (units.from_si(z, across), units.from_si(weight + values["wheel_rate"] * z, up))
        for z in (-values["droop_travel"], last)
    )
    guides = [Guide(units.from_si(touch, across), "touched")]
    if last > solid:
        guides.append(Guide(units.from_si(solid, across), "solid"))
    return Chart(
        key="bump-stop-chart",
        title="Load at the wheel through the landing",
        description="Load at the wheel against wheel travel from ride, from full droop to the deepest travel of the "
        "landing, and what the spring alone makes of it.",
        x_label="Wheel travel from ride, bump positive",
        x_unit=across.symbol,
        guides=tuple(guides),
        panels=(
            Panel(
                "Load at the wheel",
                up.symbol,
                curves=(
                    Curve(tuple(load(z) for z in sorted(marks)), label="spring and pad", at=load(last)[0] * 0.9),
                    Curve(spring, label="spring alone", at=spring[0][0] * 0.5, quiet=True),
                ),
                decimals=display.decimals(pad_force),
                tall=True,
            ),
        ),
    )


STEP = Step(
    function=bump_stop,
    title="Bump stop",
    question="When is the pad touched, how much does it take in, and from how high may the rig come down on it?",
    job="8",
    sources=(Source(key="derivation", where="energy of a body on springs in parallel", flag="derivation"), PRACTICE),
    groups={
        "Pad": ("pad_gap", "pad_depth", "pad_rate", "pad_solid_force", "pad_motion_ratio"),
        "Corner": ("sprung_mass_on_spring", "wheel_rate", "droop_travel"),
        "Landing": ("drop_height", "dynamic_factor", "pad_solid_rate"),
    },
    equations=(
        Equation(result="pad_touch", text="pad_gap / pad_motion_ratio", note="at the wheel"),
        Equation(result="pad_solid", text="(pad_gap + pad_depth) / pad_motion_ratio", note="at the wheel"),
        Equation(
            result="pad_energy",
            text="pad_depth * (pad_rate * pad_depth + pad_solid_force) / 4",
            note="under a force that is rate times squash and a cube",
        ),
        Equation(
            result="stop_height",
            text="(wheel_rate * (pad_solid**2 - droop_travel**2) / 2 + dynamic_factor * pad_energy) "
            "/ (sprung_mass_on_spring * gravity)",
            note="the fall's energy into spring and pad",
        ),
        Equation(
            result="solid_load_factor",
            text="1 + (wheel_rate * pad_solid + dynamic_factor * pad_solid_force * pad_motion_ratio) "
            "/ (sprung_mass_on_spring * gravity)",
            note="weight, spring and pad, over weight",
        ),
    ),
    example=Example(
        inputs={
            "pad_gap": "4.0 in",
            "pad_depth": "2.0 in",
            "pad_rate": "300 lb/in",
            "pad_solid_force": "2200 lbf",
            "pad_motion_ratio": "0.978",
            "dynamic_factor": "1.5",
            "sprung_mass_on_spring": "1134 lb",
            "wheel_rate": "160 lb/in",
            "droop_travel": "5.1 in",
            "drop_height": "2 in",
        },
        expected={
            "pad_touch": ("4.08998 in", 5e-6),
            "pad_solid": ("6.13497 in", 5e-6),
            "pad_energy": ("116.6667 ft·lbf", 5e-5),
            "stop_height": ("2.67216 in", 5e-6),
            "solid_load_factor": (4.71164, 5e-6),
        },
        source=Source(
            key="derivation",
            where="by hand: 2 × (600 + 2200)/4 = 1,400 in·lbf; (80 × (37.6379 − 26.0100) + 2,100)/1,134",
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
            fails="The landing goes to {value} of wheel travel and drives the pad solid at {limit}: the spring and the pad "
            "alone stand a fall of {stop_height}. Damper and tires must take the rest.",
        ),
        Check(
            rule="load on the mounts",
            value="landing_load_factor",
            at_most=5.0,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The wheel's load peaks at {value} times the weight on it.",
            fails="The wheel's load peaks at {value} times the weight on it, more than {limit}: a fabricator or an engineer "
            "must say whether the brackets stand that.",
        ),
    ),
    mistakes=(
        Mistake(
            wrong="Letting the damper end the travel.",
            right="The pad must be solid before the damper and before any spring binds.",
        ),
        Mistake(
            wrong="Judging a pad by squeezing it slowly.",
            right="Hit, it pushes 1.3 to 2 times as hard. That helps against a landing, and loads its bracket more.",
        ),
        Mistake(
            wrong="Measuring the gap with the rig empty.",
            right="Loaded, it stands lower: the gap counts at the heaviest load case.",
        ),
    ),
    good=(
        Good(
            text="A pad that takes up the last third of the bump travel; we know of no published figure for such rigs.",
            source=PRACTICE,
        ),
        Good(text="Dynamic force 1.3 to 2 times the slow one.", source=PRACTICE),
    ),
    practice=(
        Practice(
            text="A pad {pad_depth} deep pushes with {pad_solid_force} when solid; its rate is that of the worked example. "
            "What energy does it take in, squashed slowly?",
            asks="pad_energy",
            vary=("pad_depth", "pad_solid_force"),
        ),
    ),
    chart=_chart,
    main=("pad_touch", "landing_travel", "landing_load_factor"),
)
