"""Motion ratio of a coil-over that stands on an arm, from lengths and angles."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calc.chart import Chart
from calc.geometry._eye_line import length_slopes, no_ratio
from calc.geometry._ratio_chart import ratio_chart
from calc.quantity import Display
from calc.step import PRACTICE, Check, Equation, Example, Practice, Source, Step, Values
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import (
    AxialLoad,
    AxialRate,
    DamperLength,
    GeometricRate,
    MotionRatio,
    MotionRatioInverse,
    MotionRatioSlope,
    SupportLoadMean,
    WheelRate,
    lean,
    length,
)

_DEGREE = math.pi / 180
_MOST_SHOWN = 0.1
_SMALL_RATE = 5 * POUND_FORCE / INCH
_arm = length.called(
    "Arm, pivot to hub",
    "r_h",
    "From the arm's pivot axis to the hub center, seen along the axis.",
    low=4 * INCH,
    high=60 * INCH,
    usual=(6 * INCH, 45 * INCH),
    typical=18 * INCH,
    plus_minus=0.06 * INCH,
)
_mount_distance = _arm.called(
    "Arm, pivot to lower eye",
    "r_m",
    "From the arm's pivot axis to the coil-over's eye on the arm, seen along the axis.",
    low=1 * INCH,
    usual=(2 * INCH, 45 * INCH),
    typical=12 * INCH,
)
_angle = lean.called("Angle of the arm", "α", "", low=-60 * _DEGREE, typical=-6 * _DEGREE)
_lever = length.called("Lever of the coil-over about the pivot", "a_c", low=-2.0)


@dataclass(frozen=True, kw_only=True)
class LeverArm:
    """Motion ratio at ride, its inverse and its change; with a load and a rate, what follows at the wheel."""

    motion_ratio: MotionRatio
    motion_ratio_inverse: MotionRatioInverse
    motion_ratio_slope: MotionRatioSlope
    meeting_angle: Annotated[
        float,
        lean.called(
            "Angle between arm and coil-over",
            "μ",
            "At the lower eye, between the line to the pivot and the coil-over, in the plane of the arm; 90° is square.",
            low=-90 * _DEGREE,
            high=270 * _DEGREE,
            typical=90 * _DEGREE,
        ),
    ]
    axial_load: AxialLoad | None
    geometric_rate: GeometricRate | None
    wheel_rate: WheelRate | None


def lever_arm(
    *,
    arm_length: Annotated[float, _arm],
    arm_angle: Annotated[
        float,
        _angle.called(
            "Angle of the arm",
            told="Of the line from the pivot to the hub center, from level; negative when the hub lies lower.",
        ),
    ],
    mount_distance: Annotated[float, _mount_distance],
    mount_angle: Annotated[
        float,
        _angle.called(
            "Lower eye above the arm's line",
            "δ",
            "Angle at the pivot between the lines to the hub and to the lower eye; positive when the eye lies above.",
            typical=0.0,
            assumed=0.0,
        ),
    ] = 0.0,
    coil_over_angle: Annotated[
        float,
        _angle.called(
            "Lean toward the pivot",
            "β_a",
            "Of the coil-over from upright, seen along the pivot axis; negative when the top leans away from it.",
            typical=15 * _DEGREE,
        ),
    ],
    side_lean: Annotated[
        float,
        lean.called(
            "Lean along the pivot axis",
            "θ_a",
            "How far the coil-over leans out of the plane in which the arm swings, either way.",
            typical=0.0,
            assumed=0.0,
        ),
    ] = 0.0,
    damper_length: DamperLength,
    support_load_mean: SupportLoadMean | None = None,
    axial_rate: AxialRate | None = None,
) -> LeverArm:
    """Return the motion ratio of a coil-over that stands on an arm, and how it changes.

    The hub is taken to turn about the pivot, and wheel travel is its upright part, bump positive.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the motion ratio comes out below 0.1 or above 2.
    Valid for an arm whose hub turns with it; with a second arm above, the wheel's own path is that of its virtual pivot.
    Source: the length of the line between the eyes, differentiated twice as the arm turns; worked out on the page.

    >>> found = lever_arm(arm_length=0.5, arm_angle=0.0, mount_distance=0.3, coil_over_angle=0.0, damper_length=0.5)
    >>> round(float(found.motion_ratio), 3), round(float(found.motion_ratio_slope), 3)
    (0.6, 0.0)
    """
    # Over 60 lines: most of them declare and explain its inputs, one to a line.
    STEP.refuse(locals())
    hub_across = arm_length * np.cos(arm_angle)
    place = arm_angle + mount_angle
    square = place - coil_over_angle
    turn, turning = 1 / hub_across, np.tan(arm_angle) / hub_across**2
    # Parts along the coil-over's own line, seen along the axis, square to it, and along the axis.
    reach = (damper_length * np.cos(side_lean), 0.0 * square, damper_length * np.sin(side_lean))
    along, beside = mount_distance * np.cos(square), mount_distance * np.sin(square)
    moved = (along * turn, beside * turn, 0.0)
    bent = (-beside * turn**2 + along * turning, along * turn**2 + beside * turning, 0.0)
    _, first, second = length_slopes(reach, moved, bent)
    ratio = -first
    axial = None if support_load_mean is None else support_load_mean / ratio
    geometric = None if axial is None else -axial * second
    return LeverArm(
        motion_ratio=ratio,
        motion_ratio_inverse=1 / ratio,
        motion_ratio_slope=-second,
        meeting_angle=math.pi / 2 - square,
        axial_load=axial,
        geometric_rate=geometric,
        wheel_rate=None if geometric is None or axial_rate is None else axial_rate * ratio**2 + geometric,
    )


def _turned(values: Values, turn: float) -> tuple[float, float]:
    """Return wheel travel and exact motion ratio after the arm has turned by an angle."""
    place = values["arm_angle"] + values["mount_angle"]
    eye = values["mount_distance"] * math.cos(place), values["mount_distance"] * math.sin(place)
    flat = values["damper_length"] * math.cos(values["side_lean"])
    top = (
        eye[0] - flat * math.sin(values["coil_over_angle"]),
        eye[1] + flat * math.cos(values["coil_over_angle"]),
        values["damper_length"] * math.sin(values["side_lean"]),
    )
    place += turn
    eye = values["mount_distance"] * math.cos(place), values["mount_distance"] * math.sin(place)
    across = values["arm_length"] * math.cos(values["arm_angle"] + turn)
    _, first, _ = length_slopes(
        (top[0] - eye[0], top[1] - eye[1], top[2]), (-eye[1] / across, eye[0] / across, 0.0), (0.0, 0.0, 0.0)
    )
    travel = values["arm_length"] * (math.sin(values["arm_angle"] + turn) - math.sin(values["arm_angle"]))
    return travel, -float(first)


def _chart(values: Values, display: Display) -> Chart:
    reach = min(_MOST_SHOWN, 0.3 * values["damper_length"])
    most = min(reach / values["arm_length"], 70 * _DEGREE - abs(values["arm_angle"]))
    shown = [_turned(values, most * step / 30) for step in range(-30, 31)]
    ratio = values["motion_ratio"]
    return ratio_chart(
        key="lever-arm-chart",
        what="The motion ratio",
        shown=shown,
        ratio=ratio,
        slope=values["motion_ratio_slope"],
        top=ratio + 0.02,
        display=display,
    )


STEP = Step(
    function=lever_arm,
    title="Motion ratio on an arm",
    question="The coil-over sits on an arm, between its pivot and the wheel: what share of the wheel's travel does it "
    "move?",
    job="4e",
    sources=(
        Source(
            key="derivation",
            where="the line between the eyes, differentiated twice as the arm turns",
            flag="derivation",
        ),
        Source(key="virtual_work", where="load at the wheel, force along the coil-over", flag="derivation"),
    ),
    groups={
        "Arm": ("arm_length", "arm_angle", "mount_distance", "mount_angle"),
        "Coil-over": ("coil_over_angle", "side_lean", "damper_length"),
        "For rates, if wanted": ("support_load_mean", "axial_rate"),
    },
    equations=(
        Equation(
            result="eye_angle",
            text="arm_angle + mount_angle - coil_over_angle",
            note="how far arm and coil-over are from square",
            quantity=_angle.called(
                "Off square", "ε", "How far the coil-over is from square to the arm.", high=180 * _DEGREE
            ),
        ),
        Equation(result="meeting_angle", text="pi / 2 - eye_angle", note="at the lower eye"),
        Equation(
            result="coil_over_lever",
            text="mount_distance * cos(eye_angle) * cos(side_lean)",
            note="how far the coil-over passes the pivot",
            quantity=_lever,
        ),
        Equation(
            result="motion_ratio",
            text="coil_over_lever / (arm_length * cos(arm_angle))",
            note="over how far the wheel's load passes it",
        ),
        Equation(result="motion_ratio_inverse", text="1 / motion_ratio", note="the same, as half the trade writes it"),
        Equation(
            result="lever_change",
            text="(coil_over_lever**2 - mount_distance**2) / damper_length "
            "- mount_distance * sin(eye_angle) * cos(side_lean)",
            note="how the lever changes as the arm turns up, per radian",
            quantity=_lever.called("Change of the lever", "a_c'"),
        ),
        Equation(
            result="motion_ratio_slope",
            text="(lever_change + motion_ratio * arm_length * sin(arm_angle)) / (arm_length * cos(arm_angle))**2",
            note="the coil-over's lever changes, and the wheel's does",
        ),
        Equation(result="axial_load", text="support_load_mean / motion_ratio", note="virtual work: the force along it"),
        Equation(
            result="geometric_rate",
            text="axial_load * motion_ratio_slope",
            note="what the changing ratio adds to the wheel rate",
        ),
        Equation(
            result="wheel_rate",
            text="axial_rate * motion_ratio**2 + geometric_rate",
            note="once for the force, once for the travel",
        ),
    ),
    refusals=(
        no_ratio(
            field="mount_distance",
            problem="These lengths and angles give a motion ratio of {motion_ratio}, which no coil-over has.",
            check="check the two lengths and the signs of the angles.",
        ),
    ),
    example=Example(
        inputs={
            "arm_length": "18 in",
            "arm_angle": "-6°",
            "mount_distance": "12 in",
            "mount_angle": "5°",
            "coil_over_angle": "18°",
            "side_lean": "8°",
            "damper_length": "20 in",
            "support_load_mean": "900 lbf",
            "axial_rate": "420 lb/in",
        },
        expected={
            "motion_ratio": (0.627650, 1e-6),
            "motion_ratio_slope": ("0.005617 per in", 5e-7),
            "axial_load": ("1433.92 lbf", 0.01),
            "geometric_rate": ("8.0544 lb/in", 0.0005),
            "wheel_rate": ("173.511 lb/in", 0.001),
        },
        source=Source(
            key="derivation",
            where="differences of the length between two points as the arm is turned; 900 lbf over the ratio",
            flag="derivation",
        ),
        name="an invented arm; Wren has solid axles",
    ),
    checks=(
        Check(
            rule="the coil-over is near square to the arm",
            value="meeting_angle",
            at_least=60 * _DEGREE,
            at_most=120 * _DEGREE,
            margin=3 * _DEGREE,
            warns=True,
            source=PRACTICE,
            holds="Arm and coil-over meet at {value}: near square, little is lost.",
            close="Arm and coil-over meet at {value}, near {limit}: the ratio changes fast on one side.",
            fails="Arm and coil-over meet at {value}, beyond {limit}: force is lost, and the ratio changes fast.",
        ),
        Check(
            rule="the ratio is one of an arm",
            value="motion_ratio",
            at_least=0.5,
            at_most=0.8,
            margin=0.02,
            warns=True,
            source=PRACTICE,
            holds="A motion ratio of {value} is usual on an arm.",
            close="A motion ratio of {value} is near {limit}, the edge of what is usual on an arm.",
            fails="A motion ratio of {value} is beyond {limit}: at a low one the coil-over carries a multiple of the wheel's "
            "load, at a high one it needs the wheel's whole travel. Check the lengths.",
        ),
        Check(
            rule="the ratio does not fall in bump",
            value="motion_ratio_slope",
            at_least=0.0,
            warns=True,
            holds="The ratio grows by {value} of wheel travel in bump: the corner gets firmer.",
            fails="The ratio changes by {value} of wheel travel in bump: the corner gets softer as it goes in.",
        ),
        Check(
            rule="change of the motion ratio",
            value="geometric_rate",
            at_least=-_SMALL_RATE,
            at_most=_SMALL_RATE,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The changing motion ratio makes {value} of the wheel rate: small, but it is counted.",
            fails="The changing motion ratio makes {value} of the wheel rate, beyond {limit}: leaving it out shows in the frequency.",
            unchecked="What the changing motion ratio does to the wheel rate",
        ),
    ),
    practice=(
        Practice(
            text="An arm is {arm_length} from pivot to hub, its angles those of the worked example; its coil-over "
            "is {mount_distance} from the pivot. What is the motion ratio?",
            asks="motion_ratio",
            vary=("arm_length", "mount_distance"),
        ),
        Practice(
            text="Take the worked example with a rate of {axial_rate} along the coil-over, leaning {coil_over_angle} toward "
            "the pivot. What is the wheel rate?",
            asks="wheel_rate",
            vary=("axial_rate", "coil_over_angle"),
        ),
    ),
    chart=_chart,
    main=("motion_ratio", "motion_ratio_slope", "wheel_rate"),
)
