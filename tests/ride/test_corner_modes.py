"""Body and wheel hop against scipy's eigh and python-control, and the tramp against an axle under a rolling body."""

import math

import control
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import eigh

from calc.ride.corner_modes import corner_modes

masses = st.floats(100.0, 1500.0)
axles = st.floats(80.0, 900.0)
rates = st.floats(8e3, 2e5)
tires = st.floats(8e4, 1e6)


@given(masses, axles, rates, tires)
def test_frequencies_and_shapes_are_those_of_eigh(mass, axle, rate, tire):
    stiffness = np.array([[rate, -rate], [-rate, rate + tire]])
    squares, shapes = eigh(stiffness, np.diag([mass, axle / 2]))
    found = corner_modes(sprung_mass_on_spring=mass, unsprung_mass=axle, wheel_rate=rate, tire_rate=tire)
    assert [found.body_frequency, found.hop_frequency] == pytest.approx(np.sqrt(squares) / (2 * math.pi), rel=1e-9)
    assert found.wheel_in_body_mode == pytest.approx(shapes[1, 0] / shapes[0, 0], rel=1e-7)
    assert found.body_in_hop_mode == pytest.approx(shapes[0, 1] / shapes[1, 1], rel=1e-7)


@given(masses, axles, rates, tires, st.floats(0.02, 0.6), st.floats(0.4, 1.2))
def test_damped_ratios_are_those_of_python_control(mass, axle, rate, tire, share, ratio):
    wheel = axle / 2
    damping = 2 * share * math.sqrt(rate * mass)
    system = control.ss(
        [
            [0, 0, 1, 0],
            [0, 0, 0, 1],
            [-rate / mass, rate / mass, -damping / mass, damping / mass],
            [rate / wheel, -(rate + tire) / wheel, damping / wheel, -damping / wheel],
        ],
        np.zeros((4, 1)),
        np.zeros((1, 4)),
        [[0]],
    )
    paces, ratios, poles = control.damp(system, doprint=False)
    if np.any(np.abs(poles.imag) < 1e-3 * np.abs(poles)):
        return  # what only decays has no ratio in python-control; the other file has that case
    order = np.argsort(paces)
    found = corner_modes(
        sprung_mass_on_spring=mass,
        unsprung_mass=axle,
        wheel_rate=rate,
        tire_rate=tire,
        motion_ratio=ratio,
        damping_coefficient=damping / ratio**2,
    )
    assert found.body_damping_ratio == pytest.approx(ratios[order[0]], rel=1e-6)
    assert found.hop_damping_ratio == pytest.approx(ratios[order[3]], rel=1e-6)


@given(masses, axles, rates, tires, st.floats(1.05, 3.0))
def test_a_heavier_axle_hops_slower_and_a_stiffer_tire_faster(mass, axle, rate, tire, more):
    corner = {"sprung_mass_on_spring": mass, "unsprung_mass": axle, "wheel_rate": rate, "tire_rate": tire}
    base = corner_modes(**corner)
    assert corner_modes(**{**corner, "unsprung_mass": axle * more}).hop_frequency < base.hop_frequency
    assert corner_modes(**{**corner, "tire_rate": tire * more}).hop_frequency > base.hop_frequency
    assert corner_modes(**{**corner, "tire_rate": tire * more}).body_frequency > base.body_frequency
    assert 0 < base.wheel_in_body_mode < 1
    assert base.body_in_hop_mode < 0


def test_tramp_is_the_quicker_roll_of_an_axle_under_a_body_that_rolls_too():
    """Body of 180 kg m² per axle, as a rig has, on the coil-overs' roll stiffness; the axle on its tires besides.

    The body's own turning lifts the tramp by a little: within half a percent of the body held still.
    """
    stiffness, track, tire, axle = 14e3, 1.64, 260e3, 342.5
    inertia = axle * (0.39 * track) ** 2
    squares = eigh(
        np.array([[stiffness, -stiffness], [-stiffness, stiffness + tire * track**2 / 2]]),
        np.diag([180.0, inertia]),
        eigvals_only=True,
    )
    found = corner_modes(
        sprung_mass_on_spring=514.0,
        unsprung_mass=axle,
        wheel_rate=27.6e3,
        tire_rate=tire,
        track=track,
        coil_over_roll_stiffness=stiffness,
    )
    exact = math.sqrt(squares[1]) / (2 * math.pi)
    assert found.tramp_frequency == pytest.approx(exact, rel=5e-3)
    assert found.tramp_frequency < exact
