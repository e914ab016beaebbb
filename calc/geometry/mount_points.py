"""Motion ratio of a leaning coil-over from its lean and its length."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.chart import Chart
from calc.geometry._ratio_chart import ratio_chart
from calc.quantity import Display
from calc.step import PRACTICE, Check, Equation, Example, Practice, Source, Step, Values
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import (
    AxialLoad,
    DamperLength,
    GeometricRate,
    Lean,
    MotionRatio,
    MotionRatioInverse,
    MotionRatioSlope,
    SupportLoadMean,
)

_DEGREE = math.pi / 180
_MOST_SHOWN = 0.15
_SMALL_RATE = 3 * POUND_FORCE / INCH


@dataclass(frozen=True, kw_only=True)
class MountPoints:
    """Motion ratio, its inverse and its change at ride; with the support load, what follows along the coil-over."""

    motion_ratio: MotionRatio
    motion_ratio_inverse: MotionRatioInverse
    motion_ratio_slope: MotionRatioSlope
    axial_load: AxialLoad | None
    geometric_rate: GeometricRate | None


def mount_points(
    *, lean: Lean, damper_length: DamperLength, support_load_mean: SupportLoadMean | None = None
) -> MountPoints:
    """Return the motion ratio of a coil-over whose lower eye moves straight up with the axle, and how it changes.

    Wheel travel counts upward (bump positive) from where lean and length were read.
    Takes single values or arrays that broadcast together.

    Raises nothing beyond the limits of its inputs.
    Valid in the plane across the vehicle, both wheels moving together, the upper eye fixed to the body.
    An axle path that also swings fore and aft needs the travel table.
    Source: the length of the line between the eyes, differentiated twice; worked out on the page.

    >>> found = mount_points(lean=math.radians(20), damper_length=0.6096, support_load_mean=4180.0)
    >>> round(float(found.motion_ratio), 4), round(float(found.motion_ratio_slope), 4)
    (0.9397, -0.1919)
    """
    ratio = np.cos(lean)
    slope = -(np.sin(lean) ** 2) / damper_length
    axial = None if support_load_mean is None else support_load_mean / ratio
    return MountPoints(
        motion_ratio=ratio,
        motion_ratio_inverse=1 / ratio,
        motion_ratio_slope=slope,
        axial_load=axial,
        geometric_rate=None if axial is None else axial * slope,
    )


def _chart(values: Values, display: Display) -> Chart:
    upright = values["damper_length"] * math.cos(values["lean"])
    across = values["damper_length"] * math.sin(values["lean"])
    reach = min(_MOST_SHOWN, upright / 2)
    heights = [reach * step / 30 for step in range(-30, 31)]
    shown = [(height, (upright - height) / math.hypot(upright - height, across)) for height in heights]
    ratio = values["motion_ratio"]
    return ratio_chart(
        key="mount-points-chart",
        what="The motion ratio",
        shown=shown,
        ratio=ratio,
        slope=values["motion_ratio_slope"],
        top=min(1.0, ratio + 0.02),
        display=display,
    )


STEP = Step(
    function=mount_points,
    title="Motion ratio from the mounts",
    question="The coil-over leans: what share of the wheel's travel does it move, and how does that change?",
    job="4b",
    sources=(Source(key="derivation", where="the line between the eyes, differentiated twice", flag="derivation"),),
    equations=(
        Equation(
            result="motion_ratio", text="cos(lean)", note="only the part of the travel along the coil-over counts"
        ),
        Equation(result="motion_ratio_inverse", text="1 / motion_ratio", note="the same, as half the trade writes it"),
        Equation(
            result="motion_ratio_slope",
            text="-sin(lean)**2 / damper_length",
            note="in bump it leans further, so the ratio falls",
        ),
        Equation(result="axial_load", text="support_load_mean / motion_ratio", note="virtual work: the force along it"),
        Equation(
            result="geometric_rate",
            text="axial_load * motion_ratio_slope",
            note="what the changing ratio adds to the wheel rate",
        ),
    ),
    example=Example(
        inputs={"lean": "12°", "damper_length": "25.95 in", "support_load_mean": "1134 lbf"},
        expected={
            "motion_ratio": (0.9781, 5e-5),
            "motion_ratio_inverse": (1.0223, 5e-5),
            "motion_ratio_slope": ("-0.001666 per in", 5e-7),
            "axial_load": ("1159.3 lbf", 0.05),
            "geometric_rate": ("-1.93 lb/in", 0.005),
        },
        source=Source(
            key="derivation",
            where="by hand with cos 12° = 0.97815 and sin 12° = 0.20791 from a table",
            flag="derivation",
        ),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="lean",
            value="lean",
            at_most=25 * _DEGREE,
            margin=2 * _DEGREE,
            warns=True,
            source=PRACTICE,
            holds="A lean of {value} costs little: the damper moves {motion_ratio} of the wheel travel.",
            close="A lean of {value} is near {limit}, where the motion ratio begins to fall fast in bump.",
            fails="A lean of {value} is more than {limit}: stiffer springs are needed, and the ratio falls fast in bump.",
        ),
        Check(
            rule="change of the motion ratio",
            value="geometric_rate",
            at_least=-_SMALL_RATE,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The changing motion ratio makes {value} of the wheel rate: small, but it is counted.",
            fails="The changing motion ratio makes {value} of the wheel rate, beyond {limit}: leaving it out shows in the frequency.",
            unchecked="What the changing motion ratio does to the wheel rate",
        ),
    ),
    practice=(
        Practice(
            text="A coil-over is {damper_length} long at ride and leans {lean}. What is its motion ratio?",
            asks="motion_ratio",
            vary=("lean", "damper_length"),
        ),
        Practice(
            text="A corner needs a support load of {support_load_mean} at the wheel. Its coil-over leans {lean}. "
            "What load acts along the coil-over?",
            asks="axial_load",
            vary=("lean", "support_load_mean"),
        ),
    ),
    chart=_chart,
    main=("motion_ratio", "motion_ratio_slope", "axial_load"),
)
