"""A coil-over on an arm: derivatives by scipy on random arms, and proportion."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.differentiate import derivative

from calc.geometry.lever_arm import lever_arm

arms = st.fixed_dictionaries(
    {
        "arm_length": st.floats(0.3, 0.8),
        "arm_angle": st.floats(-0.4, 0.4),
        "mount_distance": st.floats(0.2, 0.5),
        "mount_angle": st.floats(-0.2, 0.2),
        "coil_over_angle": st.floats(-0.4, 0.4),
        "side_lean": st.floats(0.0, 0.4),
        "damper_length": st.floats(0.4, 0.8),
    }
)


@given(arms)
def test_the_ratio_by_scipy(arm):
    """Adaptive differences in the arm's angle, over the wheel's, to about 1e-8."""
    start = arm["arm_angle"] + arm["mount_angle"]
    eye = arm["mount_distance"] * np.exp(1j * start)
    flat = arm["damper_length"] * np.cos(arm["side_lean"])
    top = eye + flat * 1j * np.exp(1j * arm["coil_over_angle"])

    def length(turn):
        return np.hypot(np.abs(top - eye * np.exp(1j * turn)), arm["damper_length"] * np.sin(arm["side_lean"]))

    slope = derivative(length, 0.0, initial_step=0.05).df
    assert lever_arm(**arm).motion_ratio == pytest.approx(
        -slope / (arm["arm_length"] * np.cos(arm["arm_angle"])), abs=1e-7
    )


@given(arms, st.floats(0.5, 2.0))
def test_a_larger_drawing_has_the_same_ratio_and_changes_more_slowly(arm, scale):
    lengths = ("arm_length", "mount_distance", "damper_length")
    small = lever_arm(**arm)
    large = lever_arm(**{name: value * (scale if name in lengths else 1) for name, value in arm.items()})
    assert large.motion_ratio == pytest.approx(small.motion_ratio, rel=1e-12)
    assert large.motion_ratio_slope * scale == pytest.approx(small.motion_ratio_slope, rel=1e-9, abs=1e-12)
