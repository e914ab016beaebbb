"""Motion ratio from the mounts against numeric derivatives and what must hold for every one."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.differentiate import derivative

from calc.geometry.mount_points import mount_points

leans = st.floats(0.0, math.radians(60))
lengths = st.floats(0.15, 1.4)


@given(leans, lengths)
def test_the_damper_never_moves_more_than_the_wheel(lean, length):
    found = mount_points(lean=lean, damper_length=length, support_load_mean=1.0)
    assert 0.5 - 1e-12 <= found.motion_ratio <= 1.0
    assert found.motion_ratio * found.motion_ratio_inverse == pytest.approx(1.0, rel=1e-12)
    assert found.motion_ratio_slope <= 0.0
    assert found.axial_load >= 1.0


@given(leans, lengths, st.floats(0.2, 5.0))
def test_a_larger_drawing_has_the_same_ratio_and_changes_more_slowly(lean, length, scale):
    small, large = (mount_points(lean=lean, damper_length=size) for size in (length, scale * length))
    assert large.motion_ratio == small.motion_ratio
    assert large.motion_ratio_slope * scale == pytest.approx(small.motion_ratio_slope, rel=1e-12)


@given(st.floats(0.01, math.radians(59)), lengths)
def test_the_work_at_the_wheel_is_the_work_along_the_coil_over(lean, length):
    """The length between the eyes differentiated by scipy (adaptive, to about 1e-9) gives the ratio."""
    slope = derivative(
        lambda travel: np.hypot(length * math.cos(lean) - travel, length * math.sin(lean)), 0.0, initial_step=0.01
    )
    assert mount_points(lean=lean, damper_length=length).motion_ratio == pytest.approx(-slope.df, rel=1e-7)
