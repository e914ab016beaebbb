"""Motion ratio from the mounts against numeric derivatives and the virtual work of a leaning spring."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.differentiate import derivative

from calc import tables
from calc.geometry.mount_points import mount_points

# A busy machine must not decide a test.
unhurried = settings(deadline=None)

leans = st.floats(0.0, math.radians(60))
lengths = st.floats(0.15, 1.4)


@unhurried
@given(leans, lengths)
def test_the_damper_never_moves_more_than_the_wheel(lean, length):
    found = mount_points(lean=lean, damper_length=length, support_load_mean=1.0)
    assert 0.5 - 1e-12 <= found.motion_ratio <= 1.0
    assert found.motion_ratio * found.motion_ratio_inverse == pytest.approx(1.0, rel=1e-12)
    assert found.motion_ratio_slope <= 0.0
    assert found.axial_load >= 1.0


@unhurried
@given(leans, lengths, st.floats(0.2, 5.0))
def test_a_larger_drawing_has_the_same_ratio_and_changes_more_slowly(lean, length, scale):
    small, large = (mount_points(lean=lean, damper_length=size) for size in (length, scale * length))
    assert large.motion_ratio == small.motion_ratio
    assert large.motion_ratio_slope * scale == pytest.approx(small.motion_ratio_slope, rel=1e-12)


@unhurried
@given(st.floats(0.01, math.radians(59)), lengths)
def test_the_work_at_the_wheel_is_the_work_along_the_coil_over(lean, length):
    """The length between the eyes differentiated by scipy (adaptive, to about 1e-9) gives the ratio."""
    slope = derivative(
        lambda travel: np.hypot(length * math.cos(lean) - travel, length * math.sin(lean)), 0.0, initial_step=0.01
    )
    assert mount_points(lean=lean, damper_length=length).motion_ratio == pytest.approx(-slope.df, rel=1e-7)


def test_wheel_rate_of_a_leaning_spring_by_the_difference_of_its_upward_force():
    """Published row M01 (an identity: virtual work): 35 N/mm from (0, 500) to (150, 0) mm under 4000 N."""
    rows = tables.read_toml("published/identities.toml")["check"]
    row = next(row for row in rows if row["id"] == "M01")
    expected = row["expected"][0]
    across, upright, rate, force = 0.150, 0.500, 35e3, 4000.0
    at_rest = math.hypot(upright, across)
    found = mount_points(lean=math.atan2(across, upright), damper_length=at_rest)
    assert (rate * found.motion_ratio**2 + force * found.motion_ratio_slope) / 1e3 == pytest.approx(
        expected["value"], abs=5e-5
    )

    def upward(travel: float) -> float:
        length = math.hypot(upright - travel, across)
        return (force + rate * (at_rest - length)) * (upright - travel) / length

    step = 1e-5
    assert (upward(step) - upward(-step)) / (2 * step) / 1e3 == pytest.approx(expected["value"], abs=5e-5)
