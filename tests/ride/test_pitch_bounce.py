"""Bounce and pitch against scipy's eigh on the heights of the two ends, and what must hold for every rig."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.linalg import eigh

from calc.ride.pitch_bounce import pitch_bounce

masses = st.floats(300.0, 3000.0)
rates = st.floats(8e3, 2e5)
bases = st.floats(1.8, 4.5)
indices = st.floats(0.5, 1.6)


def by_ends(front_mass, rear_mass, base, front_rate, rear_rate, index):
    """Frequencies, and for each the turn and the lift of the body, from front and rear height as the two unknowns."""
    mass = front_mass + rear_mass
    ahead, behind = base * rear_mass / mass, base * front_mass / mass
    lift = np.array([[behind / base, ahead / base], [-1 / base, 1 / base]])
    inertia = lift.T @ np.diag([mass, mass * index * ahead * behind]) @ lift
    squares, shapes = eigh(np.diag([2 * front_rate, 2 * rear_rate]), inertia)
    return np.sqrt(squares) / (2 * math.pi), [(lift @ shape).tolist() for shape in shapes.T]


@given(masses, masses, bases, rates, rates, indices)
def test_frequencies_and_centers_are_those_of_eigh(front_mass, rear_mass, base, front_rate, rear_rate, index):
    frequencies, motions = by_ends(front_mass, rear_mass, base, front_rate, rear_rate, index)
    assume(frequencies[1] > 1.001 * frequencies[0])  # nearly equal ones leave the centers to rounding
    found = pitch_bounce(
        front_sprung_mass=front_mass,
        rear_sprung_mass=rear_mass,
        wheelbase=base,
        front_ride_rate=front_rate,
        rear_ride_rate=rear_rate,
        dynamic_index=index,
    )
    assert sorted((found.bounce_frequency, found.pitch_frequency)) == pytest.approx(frequencies, rel=1e-9)
    if found.bounce_frequency > found.pitch_frequency:
        motions.reverse()
    (bounce_lift, bounce_turn), (pitch_lift, pitch_turn) = motions
    ahead = found.sprung_center_behind_front_axle
    # Far away a center hangs on rounding: what counts is how much the body turns for its lift.
    far = found.bounce_center_behind_front_axle
    turned = 0.0 if far is None else -1 / (far - ahead)
    assert turned * base == pytest.approx(bounce_turn / bounce_lift * base, rel=1e-6, abs=1e-7)
    assert found.pitch_center_behind_front_axle - ahead == pytest.approx(-pitch_lift / pitch_turn, rel=1e-6, abs=1e-7)


@given(masses, masses, bases, rates, rates, indices)
def test_the_two_centers_belong_together(front_mass, rear_mass, base, front_rate, rear_rate, index):
    """One ahead and one behind the center of gravity, their distances multiplying to the gyration squared."""
    found = pitch_bounce(
        front_sprung_mass=front_mass,
        rear_sprung_mass=rear_mass,
        wheelbase=base,
        front_ride_rate=front_rate,
        rear_ride_rate=rear_rate,
        dynamic_index=index,
    )
    assume(found.bounce_center_behind_front_axle is not None and found.pitch_center_behind_front_axle is not None)
    ahead = found.sprung_center_behind_front_axle
    bounce, pitch = found.bounce_center_behind_front_axle - ahead, found.pitch_center_behind_front_axle - ahead
    squared = index * ahead * (base - ahead)
    assert bounce * pitch == pytest.approx(-squared, rel=1e-6)
    assert abs(bounce) >= math.sqrt(squared) * (1 - 1e-9) >= abs(pitch) * (1 - 2e-9)


@given(masses, masses, bases, rates, rates, indices, st.floats(0.2, 5.0))
def test_loads_and_rates_scaled_together_change_nothing(
    front_mass, rear_mass, base, front_rate, rear_rate, index, more
):
    rig = {"wheelbase": base, "dynamic_index": index}
    found = pitch_bounce(
        **rig,
        front_sprung_mass=front_mass,
        rear_sprung_mass=rear_mass,
        front_ride_rate=front_rate,
        rear_ride_rate=rear_rate,
    )
    scaled = pitch_bounce(
        **rig,
        front_sprung_mass=front_mass * more,
        rear_sprung_mass=rear_mass * more,
        front_ride_rate=front_rate * more,
        rear_ride_rate=rear_rate * more,
    )
    assert scaled.bounce_frequency == pytest.approx(found.bounce_frequency)
    assert scaled.pitch_frequency == pytest.approx(found.pitch_frequency)
    assert scaled.frequency_ratio == pytest.approx(found.frequency_ratio)
