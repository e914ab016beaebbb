"""All motions of the rig against scipy's eigh on four wheels and a body, put together another way."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import eigh

from calc.ride.rig_modes import rig_modes

bodies = st.floats(500.0, 2000.0)
axles = st.floats(120.0, 600.0)
rates = st.floats(1.5e4, 8e4)
tires = st.floats(1.5e5, 6e5)
tracks = st.floats(1.3, 2.0)
stiff = st.floats(1e4, 6e4)


def seven(masses, own, base, springs, rubbers, widths, rolls, lever, index):
    """Frequencies of a body (up, nose up, left side up) on four wheels, each a height of its own: no axle in it at all.

    An axle is the mean of its wheels' heights and their difference; so its weight joins the two wheels.
    """
    mass = sum(masses)
    ahead, behind = base * masses[1] / mass, base * masses[0] / mass
    width = sum((masses[end] + own[end]) * widths[end] for end in (0, 1)) / (mass + sum(own))
    stiffness = np.zeros((7, 7))
    inertia = np.diag([mass, mass * index * ahead * behind, mass * (0.4 * width) ** 2, 0.0, 0.0, 0.0, 0.0])
    stiffness[2, 2] = -mass * 9.80665 * lever
    for end, place in ((0, ahead), (1, -behind)):
        left, right = np.eye(7)[3 + 2 * end], np.eye(7)[4 + 2 * end]
        mean, lean = (left + right) / 2, (left - right) / widths[end]
        over = np.array([1.0, place, 0, 0, 0, 0, 0]) - mean
        turned = np.eye(7)[2] - lean
        stiffness += 2 * springs[end] * np.outer(over, over) + rolls[end] * np.outer(turned, turned)
        stiffness += rubbers[end] * (np.outer(left, left) + np.outer(right, right))
        inertia += own[end] * (np.outer(mean, mean) + (0.39 * widths[end]) ** 2 * np.outer(lean, lean))
    return np.sqrt(eigh(stiffness, inertia, eigvals_only=True)) / (2 * math.pi)


@given(
    bodies, bodies, axles, axles, st.floats(2.0, 4.0), rates, rates, tires, tires, tracks, tracks, stiff, stiff,
    st.floats(0.05, 0.3), st.floats(0.6, 1.4),
)  # fmt: skip
def test_the_seven_are_those_of_eigh(
    front, rear, front_axle, rear_axle, base, soft, firm, one_tire, other_tire, one_track, other_track, one_roll, other_roll,
    lever, index,
):  # fmt: skip
    found = rig_modes(
        front_sprung_mass=front,
        rear_sprung_mass=rear,
        front_unsprung_mass=front_axle,
        rear_unsprung_mass=rear_axle,
        wheelbase=base,
        track_front=one_track,
        track_rear=other_track,
        roll_lever=lever,
        front_wheel_rate=soft,
        rear_wheel_rate=firm,
        front_tire_rate=one_tire,
        rear_tire_rate=other_tire,
        front_coil_over_roll_stiffness=one_roll,
        rear_coil_over_roll_stiffness=other_roll,
        dynamic_index=index,
    )
    theirs = seven(
        (front, rear),
        (front_axle, rear_axle),
        base,
        (soft, firm),
        (one_tire, other_tire),
        (one_track, other_track),
        (one_roll, other_roll),
        lever,
        index,
    )
    own = sorted(
        (
            found.rig_bounce_frequency,
            found.rig_pitch_frequency,
            found.rig_roll_frequency,
            found.front_hop_frequency,
            found.rear_hop_frequency,
            found.front_tramp_frequency,
            found.rear_tramp_frequency,
        )
    )
    assert own == pytest.approx(theirs, rel=1e-8)
    assert found.axles_to_body == pytest.approx(
        min(
            found.front_hop_frequency,
            found.rear_hop_frequency,
            found.front_tramp_frequency,
            found.rear_tramp_frequency,
        )
        / max(found.rig_bounce_frequency, found.rig_pitch_frequency, found.rig_roll_frequency)
    )
