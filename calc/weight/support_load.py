"""What each side's spring holds up: a solid axle makes it differ from the scale reading by more than the unsprung weight."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Panel
from calc.constants import GRAVITY
from calc.errors import ContradictionError
from calc.quantity import Display, Quantity
from calc.step import Check, Equation, Example, Practice, Refusal, Source, Step, Values
from calc.vocabulary import (
    AxleKind,
    AxleLeftMass,
    AxleRightMass,
    Lean,
    MountBase,
    MountHeight,
    RollCenterHeight,
    SupportLoadLeft,
    SupportLoadRight,
    Track,
    UnsprungLeftOfCenter,
    UnsprungMass,
)

_anti_roll_moment = Quantity(
    label="Anti-roll bar moment",
    symbol="M",
    kind=units.MOMENT,
    low=-2e4,
    high=2e4,
    typical=0.0,
    assumed=0.0,
    help="Positive when the bar carries the body's left side. None when it is unhooked for weighing.",
)
AntiRollMoment = Annotated[float, _anti_roll_moment]
_propshaft_torque = Quantity(
    label="Driveshaft torque on the axle",
    symbol="T",
    kind=units.MOMENT,
    low=-2e4,
    high=2e4,
    typical=0.0,
    assumed=0.0,
    help="Positive when it lifts the axle's left end. None when the rig is weighed in neutral. Solid axles only.",
)
PropshaftTorque = Annotated[float, _propshaft_torque]
_amplification = Quantity(
    label="Side difference at the springs, times that at the tires",
    symbol="a",
    kind=units.RATIO,
    low=0.0,
    high=50.0,
    typical=1.7,
    help="By how much a side difference at the tires grows at the springs: track over spring base.",
)
_difference = vocabulary.force.called(
    "Support load, left less right", "ΔP", "Positive when the left spring carries more."
)
_mass_moment = Quantity(
    label="Side moment",
    symbol="S",
    kind=units.MASS_MOMENT,
    low=-2e4,
    high=2e4,
    typical=20.0,
    help="A weight times its distance left of center.",
)
_SMALLEST_BASE = 0.05


@dataclass(frozen=True, kw_only=True)
class SupportLoads:
    """What each side's spring carries, counted at the wheel."""

    support_load_left: SupportLoadLeft
    support_load_right: SupportLoadRight
    support_load_mean: Annotated[float, vocabulary.support_load.called("Mean of both sides", "P", low=-1e5)]
    support_load_difference: Annotated[float, _difference]
    spring_base: Annotated[float, vocabulary.spring_base.within(low=_SMALLEST_BASE, high=10.0)]
    side_amplification: Annotated[float, _amplification]


def support_load(
    *,
    axle_kind: AxleKind,
    axle_left_mass: AxleLeftMass,
    axle_right_mass: AxleRightMass,
    unsprung_mass: UnsprungMass,
    unsprung_left_of_center: UnsprungLeftOfCenter,
    track: Track,
    mount_base: MountBase,
    mount_height: MountHeight,
    roll_center_height: RollCenterHeight,
    lean: Lean,
    anti_roll_moment: AntiRollMoment = 0.0,
    propshaft_torque: PropshaftTorque = 0.0,
) -> SupportLoads:
    """Return the load that each side's spring holds up, counted at the wheel.

    Solid axle: forces and moments about the roll center. The base that counts is where the coil-over lines cross the
    height of the roll center; a leaning coil-over whose mounts lie below it acts on a narrower base than its mounts.
    Independent wheels: each reading less its own wheel's unsprung weight, so that the base is the track,
    and mounts, lean and roll center do not enter.
    The load is that of virtual work: the force along the coil-over is the load over its motion ratio.
    Numbers may be arrays that broadcast together.

    Raises ContradictionError when the unsprung weight is not less than the axle's, when the base comes out at nothing,
    or when driveshaft torque is given for independent wheels.
    Valid at rest on level ground, tires not pushed sideways.
    Source: equilibrium of the axle, worked out on the page.

    >>> found = support_load(axle_kind="solid", axle_left_mass=668.6, axle_right_mass=646.8, unsprung_mass=342.5,
    ...     unsprung_left_of_center=-0.06, track=1.64, mount_base=1.0, mount_height=0.40, roll_center_height=0.53,
    ...     lean=0.20944)
    >>> round(float(found.spring_base), 4), round(found.support_load_left), round(found.support_load_right)
    (0.9447, 5169, 4372)
    """
    STEP.refuse(locals())
    solid = axle_kind == "solid"
    base = mount_base + 2 * (mount_height - roll_center_height) * np.tan(lean) if solid else track + 0.0 * mount_base
    torque = propshaft_torque if solid else 0.0
    turning = (axle_left_mass - axle_right_mass) * track / 2 - unsprung_mass * unsprung_left_of_center
    difference = 2 * (GRAVITY * turning - anti_roll_moment + torque) / base
    mean = GRAVITY * (axle_left_mass + axle_right_mass - unsprung_mass) / 2
    return SupportLoads(
        support_load_left=mean + difference / 2,
        support_load_right=mean - difference / 2,
        support_load_mean=mean,
        support_load_difference=difference,
        spring_base=base,
        side_amplification=track / base,
    )


def _chart(values: Values, display: Display) -> Chart:
    """Draw the side difference against the lean, beside what the plain base between the mounts would say."""
    lean_unit = display.unit(vocabulary.lean, "lean")
    unit = display.unit(_difference, "support_load_difference")
    given = {name: values[name] for name in STEP.inputs}

    def difference(lean: float) -> float:
        found = support_load(**{**given, "lean": lean})
        return units.from_si(float(found.support_load_difference), unit)

    steepest = max(math.radians(25), values["lean"] + math.radians(5))
    points: list[tuple[float, float]] = []
    for step in range(51):
        lean = steepest * step / 50
        try:
            points.append((units.from_si(lean, lean_unit), difference(lean)))
        except ContradictionError:
            break  # from here on the two lines cross: what the form refuses is not drawn
    solid = values["axle_kind"] == "solid"
    curves = [Curve(tuple(points), "base at the roll center" if solid else "independent wheels")]
    if solid:
        plain = difference(0.0)
        ends = tuple((x, plain) for x, _ in (points[0], points[-1]))
        curves.append(Curve(ends, "plain base between the mounts", quiet=True))
    here = values["support_load_difference"]
    return Chart(
        key="support-load",
        title="Side difference at the springs against lean",
        description="How much more the left spring holds up than the right one, for coil-overs that lean more and more, "
        "beside what the plain base between the mounts says.",
        x_label="Lean of the coil-over",
        x_unit=lean_unit.symbol,
        x_decimals=1,
        panels=(
            Panel(
                y_label="Support load, left less right",
                y_unit=unit.symbol,
                curves=tuple(curves),
                dots=(
                    Dot(
                        units.from_si(values["lean"], lean_unit),
                        units.from_si(here, unit),
                        display.number(here, _difference, "support_load_difference"),
                    ),
                ),
                at_least=(0.0, 0.0),
            ),
        ),
        note="" if solid else "With independent wheels the lean does not enter: the line is level.",
    )


STEP = Step(
    function=support_load,
    title="Support loads",
    question="The scales differ a little from side to side: how much does each spring really hold up?",
    job="3c",
    sources=(
        Source(key="derivation", where="equilibrium of the axle about its roll center", flag="derivation"),
        Source(key="virtual_work", where="load at the wheel, force along the coil-over", flag="derivation"),
    ),
    groups={
        "The axle on the scales": ("axle_kind", "axle_left_mass", "axle_right_mass", "track"),
        "Unsprung": ("unsprung_mass", "unsprung_left_of_center"),
        "Coil-overs": ("mount_base", "mount_height", "lean", "roll_center_height"),
        "Besides, if any": ("anti_roll_moment", "propshaft_torque"),
    },
    equations=(
        Equation(
            result="spring_base",
            text="mount_base + 2 * (mount_height - roll_center_height) * tan(lean)",
            note="solid axle: where the lines of the coil-overs cross the height of the roll center",
            when='axle_kind == "solid"',
        ),
        Equation(
            result="spring_base",
            text="track",
            note="independent wheels: each holds up its own side",
            when='axle_kind == "independent"',
        ),
        Equation(result="side_amplification", text="track / spring_base"),
        Equation(
            result="support_load_mean",
            text="gravity * (axle_left_mass + axle_right_mass - unsprung_mass) / 2",
            note="half of what is sprung",
        ),
        Equation(
            result="tire_moment",
            text="(axle_left_mass - axle_right_mass) * track / 2",
            note="what the tires turn the axle with, left up",
            quantity=_mass_moment.called("Side moment of the tires", "S_T"),
        ),
        Equation(
            result="unsprung_moment",
            text="unsprung_mass * unsprung_left_of_center",
            note="what its own weight turns it back with",
            quantity=_mass_moment.called("Side moment of the unsprung weight", "S_u"),
        ),
        Equation(
            result="support_load_difference",
            text="2 * (gravity * (tire_moment - unsprung_moment) - anti_roll_moment + propshaft_torque) / spring_base",
            note="the springs hold the rest, on their base",
        ),
        Equation(result="support_load_left", text="support_load_mean + support_load_difference / 2"),
        Equation(result="support_load_right", text="support_load_mean - support_load_difference / 2"),
    ),
    refusals=(
        Refusal(
            field="unsprung_mass",
            when="unsprung_mass >= axle_mass",
            problem="Unsprung weight, {unsprung_mass}, is not less than the axle weight, {axle_mass}.",
            allowed="Allowed: 0 and more, and below the two readings added.",
            given=(
                Equation(result="axle_mass", text="axle_left_mass + axle_right_mass", quantity=vocabulary.axle_mass),
            ),
        ),
        Refusal(
            field="lean",
            when=f"axle_kind == 'solid' and spring_base < {_SMALLEST_BASE}",
            problem="The lines of the two coil-overs come within {spring_base} of each other at the height of the roll center.",
            allowed="Allowed: a base of {smallest} or more there. Check the lean, the base and the two heights.",
            given=(Equation(result="smallest", text=f"{_SMALLEST_BASE}", quantity=vocabulary.spring_base),),
        ),
        Refusal(
            field="propshaft_torque",
            when="axle_kind == 'independent' and absolute(propshaft_torque) > 0",
            problem="Driveshaft torque is {propshaft_torque}, but with independent wheels the final drive is bolted to the frame.",
            allowed="Allowed: 0 for independent wheels.",
        ),
    ),
    example=Example(
        inputs={
            "axle_kind": "solid",
            "axle_left_mass": "1474 lb",
            "axle_right_mass": "1426 lb",
            "unsprung_mass": "755 lb",
            "unsprung_left_of_center": "-0.060 m",
            "track": "1.640 m",
            "mount_base": "1.000 m",
            "mount_height": "0.400 m",
            "roll_center_height": "0.530 m",
            "lean": "12 deg",
            "anti_roll_moment": "0 N·m",
            "propshaft_torque": "0 N·m",
        },
        expected={
            "spring_base": (0.944735, 5e-7),
            "side_amplification": (1.735936, 5e-6),
            "support_load_mean": ("1072.5 lbf", 1e-6),
            "support_load_difference": ("179.2248 lbf", 1e-3),
            "support_load_left": ("1162.112 lbf", 5e-3),
            "support_load_right": ("982.888 lbf", 5e-3),
        },
        source=Source(
            key="derivation",
            where="by hand: s = 1.000 − 0.260 × 0.212557; (48 × 1.640 + 2 × 755 × 0.060) / s = 179.22",
            flag="derivation",
        ),
        name="Wren, front, bare with one person",
    ),
    checks=(
        Check(
            rule="the left spring carries something",
            value="support_load_left",
            at_least=0.0,
            holds="The left spring carries {value}.",
            close="The left spring carries {value} ± {doubt}: it may carry nothing.",
            fails="The left spring would have to pull ({value}): look for a bound link or a wrong sign.",
        ),
        Check(
            rule="the right spring carries something",
            value="support_load_right",
            at_least=0.0,
            holds="The right spring carries {value}.",
            close="The right spring carries {value} ± {doubt}: it may carry nothing.",
            fails="The right spring would have to pull ({value}): look for a bound link or a wrong sign.",
        ),
        Check(
            rule="the sides are near enough for equal springs",
            value="absolute(support_load_difference)",
            of=_difference,
            at_most=0.2,
            times="support_load_mean",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The springs that it was weighed on differed by {support_load_difference} from left to right. Equal new "
            "springs share the weight as the whole rig at rest says (on the rig page). Do not preload for this "
            "difference.",
            fails="The springs that it was weighed on differed by {support_load_difference} from left to right, more than "
            "{share} of their mean. Move weight across, then weigh again. Equal new springs share the weight as the whole "
            "rig at rest says (on the rig page). Do not preload for this difference.",
        ),
        Check(
            rule="the driveline is without torque",
            condition="propshaft_torque == 0",
            warns=True,
            holds="No torque in the driveline: the loads are those of a rig at rest.",
            fails="Driveshaft torque {propshaft_torque} is counted: use these loads for that moment only, "
            "never for setting heights.",
        ),
    ),
    practice=(
        Practice(
            text="A solid axle reads {axle_left_mass} left and {axle_right_mass} right. Of that, {unsprung_mass} is "
            "unsprung, centered {unsprung_left_of_center} left of the middle (negative is right). The track is {track}, "
            "the mounts are {mount_base} apart at {mount_height}, the coil-overs lean {lean}, and the roll center is at "
            "{roll_center_height}. What does the left spring hold up?",
            asks="support_load_left",
            vary=("axle_left_mass", "axle_right_mass", "unsprung_mass", "track", "mount_base", "lean"),
        ),
        Practice(
            text="Coil-over mounts are {mount_base} apart at {mount_height} above the ground. The coil-overs lean {lean} "
            "and the roll center is at {roll_center_height}. What is the effective spring base?",
            asks="spring_base",
            vary=("mount_base", "mount_height", "lean", "roll_center_height"),
        ),
    ),
    chart=_chart,
    main=("support_load_left", "support_load_right", "side_amplification"),
)
