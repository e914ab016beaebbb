"""Motion ratio from mount coordinates: derivatives by scipy on random rigs, mirror images and scale."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.differentiate import derivative, hessian

from calc.geometry.mount_places import mount_places

places = st.fixed_dictionaries(
    {
        "upper_mount_base": st.floats(0.5, 1.2),
        "upper_mount_height": st.floats(0.8, 1.3),
        "upper_mount_back": st.floats(-0.2, 0.2),
        "mount_base": st.floats(0.7, 1.3),
        "mount_height": st.floats(0.3, 0.5),
        "mount_back": st.floats(-0.2, 0.2),
    }
)


@given(places, st.floats(0.3, 0.7))
def test_a_straight_path_by_scipy(given_places, center):
    """Length over (travel, roll) differentiated by scipy's adaptive differences, to about 1e-7."""

    def length(z):
        travel, roll = z
        above = given_places["mount_height"] + travel - center
        side = given_places["mount_base"] / 2
        across = side * np.cos(roll) - above * np.sin(roll) - given_places["upper_mount_base"] / 2
        up = center + side * np.sin(roll) + above * np.cos(roll) - given_places["upper_mount_height"]
        return np.sqrt(across**2 + up**2 + (given_places["mount_back"] - given_places["upper_mount_back"]) ** 2)

    found = mount_places(
        **given_places, track=1.6, roll_center_height=center, support_load_mean=5000.0, axial_rate=30e3
    )
    heave = derivative(lambda travel: length((travel, 0.0 * travel)), 0.0, initial_step=0.01).df
    roll = derivative(lambda turn: length((0.0 * turn, turn)), 0.0, initial_step=0.01).df
    second = hessian(length, np.zeros(2), initial_step=0.01).ddf
    assert found.motion_ratio == pytest.approx(-heave, abs=1e-7)
    assert found.motion_ratio_slope == pytest.approx(-second[0, 0], abs=1e-5)
    assert found.articulation_ratio == pytest.approx(-2 * roll / 1.6, abs=1e-7)
    force = 5000.0 / -heave
    assert found.coil_over_roll_stiffness == pytest.approx(2 * (30e3 * roll**2 - force * second[1, 1]), rel=1e-4)


@given(places, st.floats(0.4, 1.5), st.floats(-0.2, 0.2), st.sampled_from(["parallel", "turning"]))
def test_front_and_rear_are_mirror_images(given_places, ahead, above, kind):
    path = {"axle_path": kind, "path_pivot_above": above, "tire_loaded_radius": 0.42}
    one = mount_places(**given_places, **path, path_pivot_ahead=ahead)
    mirrored = {
        name: -value if name in ("mount_back", "upper_mount_back") else value for name, value in given_places.items()
    }
    other = mount_places(**mirrored, **path, path_pivot_ahead=-ahead)
    assert one.motion_ratio == pytest.approx(other.motion_ratio, rel=1e-12)
    assert one.motion_ratio_slope == pytest.approx(other.motion_ratio_slope, rel=1e-9, abs=1e-12)
    assert one.lean_back == -other.lean_back


@given(places)
def test_a_far_pivot_is_a_straight_path(given_places):
    straight = mount_places(**given_places)
    for kind in ("parallel", "turning"):
        far = mount_places(
            **given_places, axle_path=kind, path_pivot_ahead=1e7, path_pivot_above=0.0, tire_loaded_radius=0.4
        )
        assert far.motion_ratio == pytest.approx(straight.motion_ratio, abs=1e-6)
        assert far.motion_ratio_slope == pytest.approx(straight.motion_ratio_slope, abs=1e-5)


@given(places, st.floats(0.3, 0.7))
def test_ratios_belong_together(given_places, center):
    found = mount_places(**given_places, track=1.6, roll_center_height=center)
    assert found.one_wheel_ratio + found.other_wheel_ratio == pytest.approx(found.motion_ratio, rel=1e-12)
    assert found.one_wheel_ratio - found.other_wheel_ratio == pytest.approx(found.articulation_ratio, rel=1e-12)
    assert found.articulation_ratio == pytest.approx(found.motion_ratio * found.spring_base / 1.6, rel=1e-12)
    upright = given_places["upper_mount_height"] - given_places["mount_height"]
    assert math.tan(found.lean) * upright == pytest.approx(
        (given_places["mount_base"] - given_places["upper_mount_base"]) / 2, abs=1e-12
    )
