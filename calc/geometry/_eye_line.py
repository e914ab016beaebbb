"""The line between the two eyes of a coil-over: how its length changes as one eye moves along a path."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from calc.step import Equation, Refusal
from calc.vocabulary import motion_ratio


def length_slopes(reach: Sequence[Any], moved: Sequence[Any], bent: Sequence[Any]) -> tuple[Any, Any, Any]:
    """Return the length between the eyes with its first and second derivative along the path of the moving eye.

    `reach` goes from the moving eye to the fixed one, in components; `moved` and `bent` are the first and second
    derivative of the moving eye's place.

    >>> length, first, second = length_slopes((3.0, 4.0), (0.0, 1.0), (0.0, 0.0))
    >>> float(length), float(first), round(float(second), 3)
    (5.0, -0.8, 0.072)
    """
    length = np.sqrt(sum(part * part for part in reach))
    first = -sum(part * step for part, step in zip(reach, moved, strict=True)) / length
    speed = sum(step * step for step in moved)
    second = (speed - first * first - sum(part * bend for part, bend in zip(reach, bent, strict=True))) / length
    return length, first, second


def pair_roll_stiffness(*, axial_rate: Any, axial_load: Any, roll_slope: Any, roll_bend: Any) -> Any:
    """Return the roll stiffness of an axle's two coil-overs from how one's length changes with the roll angle.

    The load along it counts with the second derivative: it may soften in heave and stiffen in roll.

    >>> pair_roll_stiffness(axial_rate=30e3, axial_load=5000.0, roll_slope=-0.45, roll_bend=-0.1)
    13150.0
    """
    return 2 * (axial_rate * roll_slope * roll_slope - axial_load * roll_bend)


def no_ratio(*, field: str, problem: str, check: str) -> Refusal:
    """Return the refusal of a motion ratio that no coil-over has.

    >>> no_ratio(field="lean", problem="It has {motion_ratio}.", check="check the lean.").when
    'motion_ratio < 0.1 or motion_ratio > 2.0'
    """
    return Refusal(
        field=field,
        when=f"motion_ratio < {motion_ratio.low} or motion_ratio > {motion_ratio.high}",
        problem=problem,
        allowed="Allowed: from {least_ratio} to {most_ratio}; " + check,
        given=(
            Equation(result="least_ratio", text=f"{motion_ratio.low}", quantity=motion_ratio),
            Equation(result="most_ratio", text=f"{motion_ratio.high}", quantity=motion_ratio),
        ),
    )
