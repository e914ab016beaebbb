"""Motion ratio from the places of both eyes in space, with the axle's path: in heave, with one wheel, in articulation."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units
from calc.chart import Chart
from calc.geometry._eye_line import length_slopes, no_ratio, pair_roll_stiffness
from calc.geometry._eye_places import (
    MountBack,
    PathPivotAbove,
    PathPivotAhead,
    UpperMountBack,
    UpperMountBase,
    UpperMountHeight,
    pivot_ahead,
)
from calc.geometry._ratio_chart import ratio_chart
from calc.quantity import Choice, Display, Option, Quantity
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step, Values
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import (
    ArticulationRatio,
    AxialLoad,
    AxialRate,
    CoilOverRollStiffness,
    DamperLength,
    GeometricRate,
    MotionRatio,
    MotionRatioInverse,
    MotionRatioSlope,
    MountBase,
    MountHeight,
    OneWheelRatio,
    RollCenterHeight,
    SpringBase,
    SupportLoadMean,
    Track,
    lean,
    motion_ratio,
    mount_base,
    tire_loaded_radius,
)

_DEGREE = math.pi / 180
_STRAIGHT, _PARALLEL, _TURNING = "straight", "parallel", "turning"
_SHORTEST_LINK = 0.15
_SMALLEST_BASE = 0.05
_MOST_SHOWN = 0.13
_BY_STRAIGHT = f"axle_path == '{_STRAIGHT}'"
_SMALL_RATE = 3 * POUND_FORCE / INCH

_axle_path = Choice(
    label="Path of the axle",
    options=(
        Option(_STRAIGHT, "straight up and down", "Close enough for long, level links."),
        Option(_PARALLEL, "on an arc, not turning", "Upper and lower links of one length, side by side."),
        Option(_TURNING, "on an arc, turning with its arms", "Arms bolted to the axle, or the links' instant center."),
    ),
    typical=_STRAIGHT,
    help="How the axle goes as both wheels rise together.",
)
_part = mount_base.called("Part", low=-2.0, high=2.0, usual=None, typical=0.1)
_shift = Quantity(
    label="Path of the eye",
    symbol="p'",
    kind=units.RATIO,
    low=-10.0,
    high=10.0,
    typical=0.0,
    help="How far the eye on the axle goes per wheel travel.",
)
_bend = Quantity(
    label="Bend of the path",
    symbol="p''",
    kind=units.RATIO_PER_LENGTH,
    low=-100.0,
    high=100.0,
    typical=-1.0,
    help="How fast that changes with wheel travel.",
)
_ratio = motion_ratio.called


@dataclass(frozen=True, kw_only=True)
class MountPlaces:
    """Motion ratios at ride, how they change, and what the pair gives in roll.

    What needs the track and the roll center, or a load and a rate, is None without them.
    """

    motion_ratio: MotionRatio
    motion_ratio_inverse: MotionRatioInverse
    motion_ratio_slope: MotionRatioSlope
    damper_length: DamperLength
    lean: Annotated[float, lean.within(low=-60 * _DEGREE)]
    lean_back: Annotated[
        float,
        lean.called("Lean fore and aft", "β_x", "From upright, top toward the rear.", low=-60 * _DEGREE),
    ]
    articulation_ratio: ArticulationRatio | None
    one_wheel_ratio: OneWheelRatio | None
    other_wheel_ratio: (
        Annotated[
            float,
            _ratio(
                "Motion ratio, one wheel, other side",
                "R_2",
                "What the coil-over of the wheel that stays does while the other one moves.",
                low=-2.0,
                typical=0.2,
            ),
        ]
        | None
    )
    spring_base: SpringBase | None
    axial_load: AxialLoad | None
    geometric_rate: GeometricRate | None
    coil_over_roll_stiffness: CoilOverRollStiffness | None


def mount_places(
    *,
    upper_mount_base: UpperMountBase,
    upper_mount_height: UpperMountHeight,
    upper_mount_back: UpperMountBack,
    mount_base: MountBase,
    mount_height: MountHeight,
    mount_back: MountBack,
    axle_path: Annotated[str, _axle_path] = _STRAIGHT,
    path_pivot_ahead: PathPivotAhead | None = None,
    path_pivot_above: PathPivotAbove | None = None,
    tire_loaded_radius: Annotated[float, tire_loaded_radius] | None = None,
    track: Track | None = None,
    roll_center_height: RollCenterHeight | None = None,
    support_load_mean: SupportLoadMean | None = None,
    axial_rate: AxialRate | None = None,
) -> MountPlaces:
    """Return the motion ratios of a solid axle's coil-overs from where their eyes are, at ride.

    Both sides are mirror images. The body stands still, the axle moves: in heave along its path, in roll about a level
    line through its roll center. Wheel travel counts upward from ride, bump positive.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the body end is not above the axle end, when a path lacks its pivot or its radius or
    has a pivot too close, and when the motion ratio or the base comes out at nothing.
    Valid for small travel from ride; the chart goes through the travel exactly.
    Source: length of the line between the eyes, differentiated twice along the path; worked out on the page.

    >>> found = mount_places(upper_mount_base=0.7, upper_mount_height=0.9, upper_mount_back=0.0, mount_base=1.0,
    ...     mount_height=0.4, mount_back=0.0, track=1.6, roll_center_height=0.4)
    >>> round(float(found.motion_ratio), 4), round(float(found.motion_ratio_slope), 4), round(float(found.spring_base), 3)
    (0.9578, -0.1582, 1.0)
    """
    # Over 60 lines: its inputs, its docstring and its results stand one to a line around one formula.
    STEP.refuse(locals())
    inward, back = (mount_base - upper_mount_base) / 2, upper_mount_back - mount_back
    upright = upper_mount_height - mount_height
    moved, bent = _path(axle_path, path_pivot_ahead, path_pivot_above, mount_back, mount_height, tire_loaded_radius)
    length, first, second = length_slopes((inward, upright, back), (0.0, moved[1], moved[0]), (0.0, bent[1], bent[0]))
    ratio = -first
    axial = None if support_load_mean is None else support_load_mean / ratio
    articulation = base = stiffness = None
    if track is not None and roll_center_height is not None:
        half, above = mount_base / 2, mount_height - roll_center_height
        # The axle turns about its roll center: its eye goes up by its arm and inward by its height over the center.
        _, roll_slope, roll_bend = length_slopes(
            (-inward, upright, back), (-above, half, 0.0), (-half, -above, 0.0 * back)
        )
        base = -2 * roll_slope / ratio
        articulation = -2 * roll_slope / track
        if axial is not None and axial_rate is not None:
            stiffness = pair_roll_stiffness(
                axial_rate=axial_rate, axial_load=axial, roll_slope=roll_slope, roll_bend=roll_bend
            )
    return MountPlaces(
        motion_ratio=ratio,
        motion_ratio_inverse=1 / ratio,
        motion_ratio_slope=-second,
        damper_length=length,
        lean=np.arctan2(inward, upright),
        lean_back=np.arctan2(back, upright),
        articulation_ratio=articulation,
        one_wheel_ratio=None if articulation is None else (ratio + articulation) / 2,
        other_wheel_ratio=None if articulation is None else (ratio - articulation) / 2,
        spring_base=base,
        axial_load=axial,
        geometric_rate=None if axial is None else -axial * second,
        coil_over_roll_stiffness=stiffness,
    )


def _path(
    kind: str, ahead: Any, above: Any, mount_back: Any, mount_height: Any, radius: Any
) -> tuple[tuple[Any, Any], tuple[Any, Any]]:
    """Return how the axle's eye goes (back, up) per wheel travel, and how that changes."""
    if kind == _STRAIGHT:
        return (0.0, 1.0), (0.0, 0.0)
    # From the pivot to what goes round it: with parallel links every point of the axle goes as their ends do.
    to_back, to_up = ahead + 0.0 * mount_back, -above + 0.0 * mount_height
    if kind == _TURNING:
        to_back, to_up = mount_back + ahead, mount_height - radius - above
    moved = -to_up / ahead, to_back / ahead
    return moved, (-(to_back + above * moved[0]) / ahead**2, -(to_up + above * moved[1]) / ahead**2)


def _through(values: Values, angle: float) -> tuple[float, float]:
    """Return wheel travel and exact motion ratio after the arms have turned (on a straight path: gone) so far."""
    kind, eye = values["axle_path"], (values["mount_back"], values["mount_height"])
    travel, moved = angle, (0.0, 1.0)
    if kind == _STRAIGHT:
        eye = eye[0], eye[1] + travel
    else:
        ahead, above = values["path_pivot_ahead"], values["path_pivot_above"]
        cos, sin = math.cos(angle), math.sin(angle)
        hub = ahead * cos + above * sin, ahead * sin - above * cos
        travel = hub[1] + above
        if kind == _PARALLEL:
            arm, eye = hub, (eye[0] + hub[0] - ahead, eye[1] + travel)
        else:
            pivot_up = values["tire_loaded_radius"] + above
            to_back, to_up = eye[0] + ahead, eye[1] - pivot_up
            arm = to_back * cos - to_up * sin, to_back * sin + to_up * cos
            eye = arm[0] - ahead, arm[1] + pivot_up
        moved = -arm[1] / hub[0], arm[0] / hub[0]
    inward = (values["mount_base"] - values["upper_mount_base"]) / 2
    reach = (inward, values["upper_mount_height"] - eye[1], values["upper_mount_back"] - eye[0])
    _, first, _ = length_slopes(reach, (0.0, moved[1], moved[0]), (0.0, 0.0, 0.0))
    return travel, -float(first)


def _chart(values: Values, display: Display) -> Chart:
    reach = min(_MOST_SHOWN, (values["upper_mount_height"] - values["mount_height"]) / 2)
    most = reach if values["axle_path"] == _STRAIGHT else reach / values["path_pivot_ahead"]
    shown = sorted(_through(values, most * step / 30) for step in range(-30, 31))
    ratio = values["motion_ratio"]
    return ratio_chart(
        key="mount-places-chart",
        what="The motion ratio in heave",
        shown=shown,
        ratio=ratio,
        slope=values["motion_ratio_slope"],
        top=ratio + 0.02,
        display=display,
    )


_SMALLEST = (Equation(result="smallest", text=f"{_SMALLEST_BASE}", quantity=_part),)

STEP = Step(
    function=mount_places,
    title="Motion ratio from mount coordinates",
    question="Both eyes measured in height, side to side and fore and aft: what does the coil-over do in heave, with one "
    "wheel, and in articulation?",
    job="4c",
    sources=(
        Source(
            key="derivation", where="the line between the eyes, differentiated twice along the path", flag="derivation"
        ),
        Source(key="virtual_work", where="load at the wheel, force along the coil-over", flag="derivation"),
    ),
    groups={
        "Body end": ("upper_mount_base", "upper_mount_height", "upper_mount_back"),
        "Axle end": ("mount_base", "mount_height", "mount_back"),
        "Path of the axle": ("axle_path", "path_pivot_ahead", "path_pivot_above", "tire_loaded_radius"),
        "For roll, if wanted": ("track", "roll_center_height"),
        "For rates, if wanted": ("support_load_mean", "axial_rate"),
    },
    equations=(
        Equation(
            result="mount_inward",
            text="(mount_base - upper_mount_base) / 2",
            note="how far the body end is inward of the axle end",
            quantity=_part.called("Inward part", "Δy"),
        ),
        Equation(
            result="mount_upright",
            text="upper_mount_height - mount_height",
            quantity=_part.called("Upright part", "Δz"),
        ),
        Equation(
            result="mount_along",
            text="upper_mount_back - mount_back",
            note="how far the body end is behind the axle end",
            quantity=_part.called("Part along the vehicle", "Δx"),
        ),
        Equation(
            result="damper_length",
            text="sqrt(mount_inward**2 + mount_upright**2 + mount_along**2)",
            note="eye to eye",
        ),
        Equation(result="lean", text="atan(mount_inward / mount_upright)"),
        Equation(result="lean_back", text="atan(mount_along / mount_upright)"),
        Equation(
            result="path_back",
            text="0",
            note="straight up: the eye goes neither back nor ahead",
            when='axle_path == "straight"',
            quantity=_shift.called("Eye goes back per wheel travel", "p_x'"),
        ),
        Equation(
            result="path_back",
            text="path_pivot_above / path_pivot_ahead",
            note="links that slope down to the axle carry it back as it rises",
            when='axle_path == "parallel"',
            quantity=_shift.called("Eye goes back per wheel travel", "p_x'"),
        ),
        Equation(
            result="path_back",
            text="(tire_loaded_radius + path_pivot_above - mount_height) / path_pivot_ahead",
            note="square to the line from the pivot",
            when='axle_path == "turning"',
            quantity=_shift.called("Eye goes back per wheel travel", "p_x'"),
        ),
        Equation(
            result="path_up",
            text="1",
            note="the eye rises as the wheel does",
            when='axle_path == "straight" or axle_path == "parallel"',
            quantity=_shift.called("Eye goes up per wheel travel", "p_z'", typical=1.0),
        ),
        Equation(
            result="path_up",
            text="1 + mount_back / path_pivot_ahead",
            note="an eye behind the hubs rises more, one between pivot and hubs less",
            when='axle_path == "turning"',
            quantity=_shift.called("Eye goes up per wheel travel", "p_z'", typical=1.0),
        ),
        Equation(
            result="motion_ratio",
            text="(mount_upright * path_up + mount_along * path_back) / damper_length",
            note="the share of the path that points along the coil-over",
        ),
        Equation(result="motion_ratio_inverse", text="1 / motion_ratio", note="the same, as half the trade writes it"),
        Equation(
            result="path_bend_back",
            text="0",
            when='axle_path == "straight"',
            quantity=_bend.called("Bend of the path, back", "p_x''"),
        ),
        Equation(
            result="path_bend_back",
            text="-(path_pivot_ahead + path_pivot_above * path_back) / path_pivot_ahead**2",
            note="the arc bends toward the pivot",
            when='axle_path == "parallel"',
            quantity=_bend.called("Bend of the path, back", "p_x''"),
        ),
        Equation(
            result="path_bend_back",
            text="-(path_pivot_ahead + mount_back + path_pivot_above * path_back) / path_pivot_ahead**2",
            note="the arc bends toward the pivot",
            when='axle_path == "turning"',
            quantity=_bend.called("Bend of the path, back", "p_x''"),
        ),
        Equation(
            result="path_bend_up",
            text="0",
            when='axle_path == "straight" or axle_path == "parallel"',
            quantity=_bend.called("Bend of the path, up", "p_z''"),
        ),
        Equation(
            result="path_bend_up",
            text="-(mount_height - tire_loaded_radius - path_pivot_above + path_pivot_above * path_up) "
            "/ path_pivot_ahead**2",
            when='axle_path == "turning"',
            quantity=_bend.called("Bend of the path, up", "p_z''"),
        ),
        Equation(
            result="motion_ratio_slope",
            text="(motion_ratio**2 - path_back**2 - path_up**2 + mount_along * path_bend_back "
            "+ mount_upright * path_bend_up) / damper_length",
            note="what turns the line, and what bends the path",
        ),
        Equation(result="axial_load", text="support_load_mean / motion_ratio", note="virtual work: the force along it"),
        Equation(
            result="geometric_rate",
            text="axial_load * motion_ratio_slope",
            note="what the changing ratio adds to the wheel rate",
        ),
        Equation(
            result="roll_arm",
            text="(mount_upright * mount_base / 2 + mount_inward * (mount_height - roll_center_height)) / damper_length",
            note="how far the line passes the roll center",
            quantity=_part.called("Arm of the line about the roll center", "a"),
        ),
        Equation(
            result="spring_base",
            text="2 * roll_arm / motion_ratio",
            note="between the two lines, at the height of the roll center",
        ),
        Equation(
            result="articulation_ratio",
            text="2 * roll_arm / track",
            note="the motion ratio times base over track",
        ),
        Equation(
            result="one_wheel_ratio",
            text="(motion_ratio + articulation_ratio) / 2",
            note="half of it heave, half of it articulation",
        ),
        Equation(result="other_wheel_ratio", text="(motion_ratio - articulation_ratio) / 2"),
        Equation(
            result="roll_bend",
            text="(mount_base**2 / 4 + (mount_height - roll_center_height)**2 - roll_arm**2 "
            "+ mount_upright * (mount_height - roll_center_height) - mount_inward * mount_base / 2) / damper_length",
            note="second derivative of the length with the roll angle",
            quantity=_part.called("Bend in roll", "L''"),
        ),
        Equation(
            result="coil_over_roll_stiffness",
            text="2 * (axial_rate * roll_arm**2 - axial_load * roll_bend)",
            note="both sides; the load counts too",
        ),
    ),
    refusals=(
        Refusal(
            field="upper_mount_height",
            when=f"mount_upright < {_SMALLEST_BASE}",
            problem="The body end is {mount_upright} above the axle end, as the two heights say.",
            allowed="Allowed: {smallest} or more; both heights count from the ground.",
            given=_SMALLEST,
        ),
        *(
            Refusal(
                field=field,
                when=f"not ({_BY_STRAIGHT})",
                absent=True,
                problem="An axle that moves on an arc needs the position of its pivot.",
                allowed="Allowed: both, how far it lies ahead and above; or a straight path.",
            )
            for field in ("path_pivot_ahead", "path_pivot_above")
        ),
        Refusal(
            field="path_pivot_ahead",
            when=f"not ({_BY_STRAIGHT}) and absolute(path_pivot_ahead) < {_SHORTEST_LINK}",
            problem="The pivot lies {path_pivot_ahead} ahead of the hubs, too near for an arc that the axle could follow.",
            allowed="Allowed: {shortest} or more, ahead or (negative) behind.",
            given=(Equation(result="shortest", text=f"{_SHORTEST_LINK}", quantity=pivot_ahead),),
        ),
        Refusal(
            field="tire_loaded_radius",
            when=f"axle_path == '{_TURNING}'",
            absent=True,
            problem="An axle that turns with its arms needs the height of its hubs.",
            allowed="Allowed: the loaded radius of its tires; or another path.",
        ),
        no_ratio(
            field="upper_mount_height",
            problem="These coordinates give a motion ratio of {motion_ratio}, which no coil-over has.",
            check="check the signs of what lies behind and ahead.",
        ),
        Refusal(
            field="roll_center_height",
            when=f"spring_base < {_SMALLEST_BASE} and track > 0",
            problem="The lines of the two coil-overs come within {spring_base} of each other at the height of the roll center.",
            allowed="Allowed: a base of {smallest} or more there. Check the coordinates and the roll center.",
            given=_SMALLEST,
        ),
    ),
    example=Example(
        inputs={
            "upper_mount_base": "0.726 m",
            "upper_mount_height": "1.044 m",
            "upper_mount_back": "30 mm",
            "mount_base": "1.000 m",
            "mount_height": "0.400 m",
            "mount_back": "0 mm",
            "axle_path": _PARALLEL,
            "path_pivot_ahead": "-0.900 m",
            "path_pivot_above": "60 mm",
            "track": "1.640 m",
            "roll_center_height": "0.530 m",
            "support_load_mean": "1134 lbf",
            "axial_rate": "170 lb/in",
        },
        expected={
            "damper_length": ("25.949 in", 0.0005),
            "motion_ratio": (0.974064, 5e-7),
            "motion_ratio_slope": ("-0.000854 per in", 5e-7),
            "articulation_ratio": (0.562838, 5e-7),
            "one_wheel_ratio": (0.768451, 5e-7),
            "spring_base": ("0.94763 m", 5e-6),
            "geometric_rate": ("-0.994 lb/in", 0.0005),
            "coil_over_roll_stiffness": ("248.330 N·m/°", 0.001),
        },
        source=Source(
            key="derivation",
            where="differences of the length as the arc and the roll are followed point by point; 1,134 lbf / 0.974",
            flag="derivation",
        ),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="lean across",
            value="lean",
            at_least=-25 * _DEGREE,
            at_most=25 * _DEGREE,
            margin=2 * _DEGREE,
            warns=True,
            source=PRACTICE,
            holds="Across the vehicle it leans {value}: the damper moves {motion_ratio} of the wheel travel.",
            close="Across the vehicle it leans {value}, near {limit}, where the motion ratio begins to fall fast in bump.",
            fails="Across the vehicle it leans {value}, beyond {limit}: stiffer springs are needed, and the ratio falls "
            "fast in bump.",
        ),
        Check(
            rule="lean along",
            value="lean_back",
            at_least=-20 * _DEGREE,
            at_most=20 * _DEGREE,
            margin=2 * _DEGREE,
            warns=True,
            source=PRACTICE,
            holds="Fore and aft it leans {value}, top toward the rear being positive.",
            close="Fore and aft it leans {value}, near {limit}: look how far the eyes turn in their bushings.",
            fails="Fore and aft it leans {value}, beyond {limit}: the eyes may bind at the ends of the travel.",
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
        Check(
            rule="articulation against heave",
            condition="articulation_ratio <= motion_ratio",
            warns=True,
            holds="In articulation the damper moves {articulation_ratio} of the wheel travel, in heave {motion_ratio}: "
            "heave uses up the coil-over first.",
            fails="In articulation the damper moves {articulation_ratio} of the wheel travel, more than in heave: check "
            "the base and the track.",
            unchecked="What the coil-over does in articulation",
        ),
        Check(
            rule="the coil-overs stiffen in roll",
            value="coil_over_roll_stiffness",
            at_least=0.0,
            holds="Both coil-overs together hold the body upright with {value}. That compares setups; it is no safe angle.",
            fails="The coil-overs push the body over, {value}: check the coordinates.",
            unchecked="Roll stiffness of the coil-overs",
        ),
    ),
    practice=(
        Practice(
            text="Take the worked example with the body ends {upper_mount_base} apart and {upper_mount_height} above the "
            "ground. What is the motion ratio in heave?",
            asks="motion_ratio",
            vary=("upper_mount_base", "upper_mount_height"),
        ),
        Practice(
            text="Take the worked example with {mount_base} between the axle ends and a track of {track}. What is the "
            "motion ratio in articulation?",
            asks="articulation_ratio",
            vary=("mount_base", "track"),
        ),
    ),
    chart=_chart,
    main=("motion_ratio", "one_wheel_ratio", "articulation_ratio"),
)
