"""The roll stiffness of an anti-roll bar from its sizes, the diameter for a wanted one, and what articulation does to it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Guide, Panel
from calc.quantity import Choice, Display, Option, Quantity
from calc.step import PRACTICE, Check, Equation, Example, Practice, Source, Step, Values
from calc.units import INCH, POUND_FORCE

_DEGREE = math.pi / 180
_BENT, _PLATES = "bent", "plates"
_MPSI = 1e6 * POUND_FORCE / INCH**2
# Of steel, as the coil step takes them.
SHEAR, ELASTIC = 11.5 * _MPSI, 30 * _MPSI
# What a hardened spring steel can take in twist, over and over: common practice, without a source.
MOST_SHEAR = 600e6

_arms = Choice(
    label="Arms",
    options=(
        Option(_BENT, "the bar's own ends, bent", "Round, as thick as the bar: they bend too."),
        Option(_PLATES, "stiff plates", "So stiff on edge that their bending may be left out."),
    ),
    typical=_BENT,
    help="Whether the arms are the ends of the bar itself, which bend, or stiff plates.",
)
_size = vocabulary.length.called("Diameter of the bar", "d_b", kind=units.DIAMETER)
_modulus = Quantity(
    label="Modulus",
    symbol="G",
    kind=units.STRESS,
    low=1e9,
    high=5e11,
    typical=SHEAR,
    help="Of the bar's steel.",
)
_stiffness = vocabulary.coil_over_roll_stiffness.called(
    "Roll stiffness of the bar",
    "K_b,1",
    "Righting moment per angle of roll of the body over the axle; what the rig page takes as its anti-roll bar.",
    low=0.0,
    high=1e12,
    typical=14e3,
)


@dataclass(frozen=True, kw_only=True)
class AntiRollBar:
    """What the bar gives, the diameter for what is wanted, and what full articulation does to it."""

    bar_stiffness: Annotated[float, _stiffness]
    twist_stiffness: Annotated[
        float, _stiffness.called("Roll stiffness by twist alone", "K_t,b", "With arms that would not bend.")
    ]
    arm_stiffness: (
        Annotated[float, _stiffness.called("Roll stiffness by arms alone", "K_a,b", "With a bar that would not twist.")]
        | None
    )
    needed_bar_diameter: (
        Annotated[
            float,
            _size.called(
                "Diameter for the wanted roll stiffness",
                "d_n",
                "Of a bar of this length, arm and base.",
                low=0.0,
                high=1e3,
            ),
        ]
        | None
    )
    link_force: (
        Annotated[
            float,
            vocabulary.force.called(
                "Force in each link",
                "F_l",
                "At full articulation; one link pulls, the other pushes.",
                low=0.0,
                high=1e12,
            ),
        ]
        | None
    )
    bar_shear_stress: (
        Annotated[
            float,
            Quantity(
                label="Shear stress in the bar",
                symbol="τ_b",
                kind=units.STRESS,
                low=0.0,
                high=1e16,
                typical=3e8,
                help="At its surface, at full articulation.",
            ),
        ]
        | None
    )


def anti_roll_bar(
    *,
    bar_diameter: Annotated[
        float,
        _size.called(
            "Diameter of the bar",
            "d_b",
            "Of a solid round bar, where it twists.",
            low=0.2 * INCH,
            high=4 * INCH,
            usual=(0.4 * INCH, 2 * INCH),
            typical=1.0 * INCH,
            plus_minus=0.005 * INCH,
        ),
    ],
    bar_length: vocabulary.BarLength,
    bar_arm: vocabulary.BarArm,
    bar_base: vocabulary.BarBase,
    arm_kind: Annotated[str, _arms] = _BENT,
    wanted_bar_stiffness: Annotated[
        float,
        _stiffness.called(
            "Wanted roll stiffness of the bar",
            "K_w,b",
            "From the roll stiffness for a wanted gradient.",
            low=1.0,
            high=1e7,
        ),
    ]
    | None = None,
    articulation_angle: Annotated[
        float,
        Quantity(
            label="Angle of the axle at full articulation",
            symbol="ψ_a",
            kind=units.ANGLE,
            low=0.0,
            high=45 * _DEGREE,
            usual=(2 * _DEGREE, 35 * _DEGREE),
            typical=12 * _DEGREE,
            help="Between axle and body, one wheel as far up and the other as far down as they go.",
        ),
    ]
    | None = None,
    bar_shear_modulus: Annotated[
        float, _modulus.called("Shear modulus of the bar", "G_b", "Of its steel.", assumed=SHEAR)
    ] = SHEAR,
    bar_elastic_modulus: Annotated[
        float,
        _modulus.called("Elastic modulus of the arms", "E_b", "Of their steel.", typical=ELASTIC, assumed=ELASTIC),
    ] = ELASTIC,
) -> AntiRollBar:
    """Return the roll stiffness of a solid round bar across the vehicle, its arms square to it, links at their ends.

    As the axle turns under the body, one link pulls and the other pushes: the arms turn the ends of the bar against each
    other, and bend. With the links a base apart, each end moves half of it times the angle.
    Takes single values or arrays that broadcast together.

    Raises nothing of its own: the limits of its inputs are all it needs.
    Valid for small angles, arms square to the bar and links square to the arms; bushings and links that do not give.
    Source: SAE Spring Design Manual, torsion bars, from memory; arms as cantilevers; worked out on the page.

    >>> found = anti_roll_bar(bar_diameter=0.0254, bar_length=0.9, bar_arm=0.25, bar_base=1.0, arm_kind="plates")
    >>> round(float(found.bar_stiffness))
    57601
    """
    # Over 60 lines: most of them declare and explain its inputs, one to a line.
    twist = math.pi * bar_shear_modulus * bar_diameter**4 / (32 * bar_length) * (bar_base / bar_arm) ** 2
    arms = None
    stiffness: Any = twist
    if arm_kind == _BENT:
        bending = 3 * bar_elastic_modulus * math.pi * bar_diameter**4 / 64 / bar_arm**3
        arms = bending * bar_base**2 / 2
        stiffness = twist * arms / (twist + arms)
    needed = None
    if wanted_bar_stiffness is not None:
        needed = bar_diameter * (wanted_bar_stiffness / stiffness) ** 0.25
    pull = stress = None
    if articulation_angle is not None:
        pull = stiffness * articulation_angle / bar_base
        stress = 16 * pull * bar_arm / (math.pi * bar_diameter**3)
    return AntiRollBar(
        bar_stiffness=stiffness,
        twist_stiffness=twist,
        arm_stiffness=arms,
        needed_bar_diameter=needed,
        link_force=pull,
        bar_shear_stress=stress,
    )


def _chart(values: Values, display: Display) -> Chart:
    across, up = display.unit(_size, "bar_diameter"), display.unit(_stiffness)
    now, wanted = values["bar_diameter"], values["wanted_bar_stiffness"]
    widest = 1.5 * max(now, values["needed_bar_diameter"] or now)
    tried: Any = np.linspace(0.4 * min(now, values["needed_bar_diameter"] or now), widest, 41)
    inputs = {name: values[name] for name in STEP.inputs}
    found = anti_roll_bar(**{**inputs, "bar_diameter": tried}).bar_stiffness
    points = tuple(
        (units.from_si(size, across), units.from_si(stiffness, up))
        for size, stiffness in zip(tried.tolist(), np.asarray(found).tolist(), strict=True)
    )
    guides = [Guide(units.from_si(now, across), "this bar")]
    if wanted is not None:
        guides.append(Guide(units.from_si(values["needed_bar_diameter"], across), "wanted"))
    return Chart(
        key="anti-roll-bar-chart",
        title="What the diameter does",
        description="Roll stiffness of the bar against its diameter, everything else as entered: it grows with the fourth "
        "power.",
        x_label="Diameter of the bar",
        x_unit=across.symbol,
        x_decimals=display.decimals(_size, "bar_diameter"),
        guides=tuple(guides),
        panels=(
            Panel(
                "Roll stiffness of the bar",
                up.symbol,
                curves=(Curve(points, label="bar", at=points[30][0]),),
                decimals=display.decimals(_stiffness),
                tall=True,
            ),
        ),
    )


STEP = Step(
    function=anti_roll_bar,
    title="Anti-roll bar",
    question="What roll stiffness does a bar give, how thick must it be, and what does articulation do to it?",
    job="10b",
    sources=(
        Source(key="sae_spring_manual", where="torsion bars"),
        Source(key="derivation", where="a bar that twists and arms that bend, one after the other", flag="derivation"),
        PRACTICE,
    ),
    groups={
        "Bar": ("bar_diameter", "bar_length", "bar_arm", "bar_base", "arm_kind"),
        "Wanted": ("wanted_bar_stiffness", "articulation_angle"),
        "Steel": ("bar_shear_modulus", "bar_elastic_modulus"),
    },
    equations=(
        Equation(
            result="twist_stiffness",
            text="pi * bar_shear_modulus * bar_diameter**4 / (32 * bar_length) * (bar_base / bar_arm)**2",
            note="a round bar in twist, turned by arms a base apart",
        ),
        Equation(
            result="arm_stiffness",
            text="3 * bar_elastic_modulus * pi * bar_diameter**4 / (64 * bar_arm**3) * bar_base**2 / 2",
            note="both arms as cantilevers",
            when="arm_kind == 'bent'",
        ),
        Equation(
            result="bar_stiffness",
            text="twist_stiffness * arm_stiffness / (twist_stiffness + arm_stiffness)",
            note="one after the other",
            when="arm_kind == 'bent'",
        ),
        Equation(result="bar_stiffness", text="twist_stiffness", when="arm_kind == 'plates'"),
        Equation(
            result="needed_bar_diameter",
            text="bar_diameter * sqrt(sqrt(wanted_bar_stiffness / bar_stiffness))",
            note="twist and bending both go with the fourth power of the diameter",
        ),
        Equation(
            result="link_force",
            text="bar_stiffness * articulation_angle / bar_base",
            note="the bar's moment by two links",
        ),
        Equation(
            result="bar_shear_stress",
            text="16 * link_force * bar_arm / (pi * bar_diameter**3)",
            note="at the surface of a round bar in twist",
        ),
    ),
    example=Example(
        inputs={
            "bar_diameter": "0.80 in",
            "bar_length": "36 in",
            "bar_arm": "11 in",
            "bar_base": "38 in",
            "arm_kind": "bent",
            "wanted_bar_stiffness": "184 lbf·ft/°",
            "articulation_angle": "12 °",
            "bar_shear_modulus": "11.5 Mpsi",
            "bar_elastic_modulus": "30 Mpsi",
        },
        expected={
            "bar_stiffness": ("192.8459 lbf·ft/°", 5e-5),
            "twist_stiffness": ("222.9632 lbf·ft/°", 5e-5),
            "arm_stiffness": ("1427.669 lbf·ft/°", 5e-4),
            "needed_bar_diameter": ("0.7906638 in", 5e-8),
            "link_force": ("730.7844 lbf", 5e-5),
            "bar_shear_stress": ("79.96171 ksi", 5e-6),
        },
        source=Source(key="derivation", where="by hand", flag="derivation"),
        name="Wren, front, a bar to fit",
    ),
    checks=(
        Check(
            rule="as stiff as is wanted",
            value="bar_stiffness",
            at_least=0.9,
            at_most=1.1,
            times="wanted_bar_stiffness",
            warns=True,
            source=PRACTICE,
            holds="The bar gives {value}, near the wanted {wanted_bar_stiffness}.",
            fails="The bar gives {value}, outside the {limits} that is near enough to the wanted {wanted_bar_stiffness}. "
            "A diameter of {needed_bar_diameter} gives it.",
            unchecked="Whether the bar is as stiff as is wanted",
        ),
        Check(
            rule="stress at full articulation",
            value="bar_shear_stress",
            at_most=MOST_SHEAR,
            warns=True,
            source=PRACTICE,
            holds="At full articulation the bar is twisted to {value}, no more than the {limit} that hardened spring steel can take.",
            close="At full articulation the bar is twisted to {value} ± {doubt}, about the {limit} that hardened spring steel "
            "bears.",
            fails="At full articulation the bar is twisted to {value}, more than the {limit} that hardened spring steel can take: "
            "it takes a set or breaks. Take a longer bar with longer arms, or unhook its links on the trail.",
            unchecked="What full articulation does to the bar",
        ),
    ),
    practice=(
        Practice(
            text="A solid round bar of {bar_diameter} is {bar_length} long between its arms; the arms, bent from the bar, are "
            "{bar_arm} long, and its links are {bar_base} apart. Its steel has a shear modulus of {bar_shear_modulus} and "
            "an elastic modulus of {bar_elastic_modulus}. What roll stiffness does it give?",
            asks="bar_stiffness",
            vary=("bar_diameter", "bar_length", "bar_arm"),
        ),
        Practice(
            text="With a bar of {bar_diameter} the roll stiffness is that of the worked example, and {wanted_bar_stiffness} is "
            "wanted with the same length, arms and base. How thick must the bar be?",
            asks="needed_bar_diameter",
            vary=("wanted_bar_stiffness",),
        ),
    ),
    chart=_chart,
    main=("bar_stiffness", "needed_bar_diameter", "bar_shear_stress"),
)
