"""Ride frequency against the free motion of a leaning coil-over on its tire, and what must hold for every corner."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from calc.geometry.mount_points import mount_points
from calc.ride.natural_frequency import natural_frequency

GRAVITY = 9.80665
UPRIGHT = {"axial_load": 0.0, "motion_ratio": 1.0, "motion_ratio_slope": 0.0}


def test_free_motion_of_a_leaning_coil_over_on_its_tire():
    """The whole nonlinear corner, integrated: eyes and lean as they move, a massless axle in balance, 1 mm of bounce.

    Period from the upward crossings of 20 swings. At 1 mm the nonlinearity is of the order of 1e-5 of the frequency.
    """
    lean, length, rate, tire, mass = math.radians(24), 0.62, 32e3, 240e3, 480.0
    ratio = math.cos(lean)
    load = mass * GRAVITY
    axial = load / ratio
    upright, across = length * math.cos(lean), length * math.sin(lean)

    def upward(travel: float) -> float:
        """Force that holds the body up when the wheel stands this far above its place at ride."""
        now = math.hypot(upright - travel, across)
        return (axial + rate * (length - now)) * (upright - travel) / now

    def push(body: float) -> float:
        """The same for the body's own height: the massless axle settles where spring and tire agree."""
        travel = brentq(lambda wheel: upward(wheel) - load + tire * (wheel + body), -0.05, 0.05, xtol=1e-14)
        return upward(travel)

    def motion(_time: float, state: np.ndarray) -> list[float]:
        return [state[1], push(state[0]) / mass - GRAVITY]

    def rising(_time: float, state: np.ndarray) -> float:
        return float(state[0])

    rising.direction = 1.0  # type: ignore[attr-defined]
    swings = 20
    mounts = mount_points(lean=lean, damper_length=length)
    found = natural_frequency(
        axial_rate=rate,
        axial_load=axial,
        motion_ratio=mounts.motion_ratio,
        motion_ratio_slope=mounts.motion_ratio_slope,
        tire_rate=tire,
        sprung_mass_on_spring=mass,
    )
    solved = solve_ivp(
        motion,
        (0.0, (swings + 1) / found.natural_frequency),
        [-1e-3, 0.0],
        events=rising,
        rtol=1e-9,
        atol=1e-12,
    )
    crossings = solved.t_events[0]
    measured = (len(crossings) - 1) / (crossings[-1] - crossings[0])
    assert len(crossings) >= swings
    assert found.natural_frequency == pytest.approx(measured, rel=1e-4)
    flat = natural_frequency(
        axial_rate=rate,
        axial_load=axial,
        motion_ratio=mounts.motion_ratio,
        motion_ratio_slope=0.0,
        tire_rate=tire,
        sprung_mass_on_spring=mass,
    )
    # Without the geometric term the answer is off by far more than the tolerance: the test can tell.
    assert abs(flat.natural_frequency - measured) > 20e-4 * measured


rates = st.floats(5e3, 3e5)
masses = st.floats(100.0, 1500.0)
ratios = st.floats(0.3, 1.3)


@given(rates, masses, ratios, st.floats(5e4, 2e6), st.floats(1.01, 3.0))
def test_stiffer_is_quicker_and_heavier_is_slower(rate, mass, ratio, tire, more):
    corner = {"axial_load": mass * GRAVITY / ratio, "motion_ratio": ratio, "motion_ratio_slope": 0.0}
    base = natural_frequency(**corner, axial_rate=rate, tire_rate=tire, sprung_mass_on_spring=mass)
    stiff = natural_frequency(**corner, axial_rate=rate * more, tire_rate=tire, sprung_mass_on_spring=mass)
    heavy = natural_frequency(**corner, axial_rate=rate, tire_rate=tire, sprung_mass_on_spring=mass * more)
    hard = natural_frequency(**corner, axial_rate=rate, tire_rate=tire * more, sprung_mass_on_spring=mass)
    assert stiff.natural_frequency > base.natural_frequency
    assert hard.natural_frequency > base.natural_frequency
    assert heavy.natural_frequency == pytest.approx(base.natural_frequency / math.sqrt(more))
    assert base.ride_rate < min(base.wheel_rate, tire)


@given(rates, masses, ratios, st.floats(1.1, 4.0))
def test_load_and_rate_scaled_together_keep_the_frequency(rate, mass, ratio, factor):
    """The first answer of the handbook: with the tire scaled too, load and rates together change nothing."""
    slope, tire = -0.1, 260e3
    base = natural_frequency(
        axial_rate=rate,
        axial_load=mass * GRAVITY / ratio,
        motion_ratio=ratio,
        motion_ratio_slope=slope * rate * ratio**3 / (mass * GRAVITY),
        tire_rate=tire,
        sprung_mass_on_spring=mass,
    )
    scaled = natural_frequency(
        axial_rate=rate * factor,
        axial_load=factor * mass * GRAVITY / ratio,
        motion_ratio=ratio,
        motion_ratio_slope=slope * rate * ratio**3 / (mass * GRAVITY),
        tire_rate=tire * factor,
        sprung_mass_on_spring=mass * factor,
    )
    assert scaled.natural_frequency == pytest.approx(base.natural_frequency)
