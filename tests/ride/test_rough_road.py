"""Rough ground against independent solutions: the spectrum integrated, a covariance, Newland's table, random draws."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.integrate
import scipy.linalg
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.ride.rough_road import STEP, rough_road
from calc.units import INCH
from tests.conftest import long_run

CORNERS = st.fixed_dictionaries(
    {
        "sprung_mass_on_spring": st.floats(100.0, 1500.0),
        "unsprung_mass": st.floats(60.0, 900.0),
        "wheel_rate": st.floats(8e3, 2e5),
        "tire_rate": st.floats(1e5, 7e5),
        "motion_ratio": st.floats(0.5, 1.1),
        "damping_coefficient": st.floats(500.0, 2e4),
        "road_speed": st.floats(1.0, 30.0),
    }
)
# ISO 8608 (from memory): class D is 1024e-6 m³ at 0.1 waves per meter, and the spectrum falls with the square.
CLASS_D, REFERENCE = 1024e-6, 0.1


def responses(corner, omega):
    """Damper speed, damper travel, tire load and body acceleration per displacement of the ground, from the two masses."""
    body, hop = corner["sprung_mass_on_spring"], corner["unsprung_mass"] / 2
    rate, tire, ratio = (corner[name] for name in ("wheel_rate", "tire_rate", "motion_ratio"))
    link = rate + 1j * omega * corner["damping_coefficient"] * ratio**2
    stiff = np.array([[link - omega**2 * body, -link], [-link, link + tire - omega**2 * hop]])
    push = np.broadcast_to(np.array([[0.0], [tire]]), (*omega.shape, 2, 1))
    above, axle = np.moveaxis(np.linalg.solve(np.moveaxis(stiff, -1, 0), push)[..., 0], -1, 0)
    stroke = ratio * (axle - above)
    return np.array([1j * omega * stroke, stroke, tire * (1 - axle), -(omega**2) * above])


def by_spectrum(corner):
    """The four root mean squares, integrated over the waves per length."""
    # Over their logarithm, which meets both natural frequencies with many places.
    wave = np.exp(np.linspace(math.log(1e-5), math.log(1e3), 20001))
    density = CLASS_D * (wave / REFERENCE) ** -2
    squares = np.abs(responses(corner, 2 * math.pi * wave * corner["road_speed"])) ** 2
    return np.sqrt(scipy.integrate.simpson(squares * density * wave, x=np.log(wave), axis=-1))


def told(corner, found):
    weight = (corner["sprung_mass_on_spring"] + corner["unsprung_mass"] / 2) * 9.80665
    return np.array(
        [
            found.damper_speed_rms,
            found.damper_travel_rms,
            found.tire_load_rms * weight,
            found.body_acceleration_rms * 9.80665,
        ]
    )


def wren(**changes):
    return {
        name: value
        for name, value in STEP.example_inputs().items()
        if name not in ("road_class", "knee_speed", "slope_past_knee", "cavitation_speed", "bump_left")
    } | changes


def test_it_is_the_spectrum_integrated():
    corner = wren()
    np.testing.assert_allclose(told(corner, rough_road(**corner)), by_spectrum(corner), rtol=2e-3)


def test_the_published_values_of_wren():
    """Engineering notes of the project: 11 in/s on class D; 22 in/s, 67 at three sigma, 1.2 in of wheel, 0.58 on E."""
    corner = wren()
    gentle, rough = rough_road(**corner), rough_road(**corner, road_class="E")
    assert gentle.damper_speed_rms / INCH == pytest.approx(11.0, abs=0.5)
    assert rough.damper_speed_rms / INCH == pytest.approx(22.0, abs=0.5)
    assert rough.damper_speed_three_sigma / INCH == pytest.approx(67.0, abs=0.5)
    assert rough.damper_travel_rms / corner["motion_ratio"] / INCH == pytest.approx(1.2, abs=0.05)
    assert rough.tire_load_rms == pytest.approx(0.58, abs=0.015)


@settings(deadline=None, max_examples=long_run(10, 500))
@given(CORNERS)
def test_it_is_the_covariance_of_the_linear_corner(corner):
    """A state model under white velocity of the ground: the covariance of its state solves Lyapunov's equation."""
    body, hop = corner["sprung_mass_on_spring"], corner["unsprung_mass"] / 2
    rate, tire, ratio = (corner[name] for name in ("wheel_rate", "tire_rate", "motion_ratio"))
    damping = corner["damping_coefficient"] * ratio**2
    # Spring squash, body speed, tire squash, axle speed.
    system = np.array(
        [
            [0.0, -1.0, 0.0, 1.0],
            [rate / body, -damping / body, 0.0, damping / body],
            [0.0, 0.0, 0.0, -1.0],
            [-rate / hop, damping / hop, tire / hop, -damping / hop],
        ]
    )
    enters = np.array([[0.0], [0.0], [1.0], [0.0]])
    # One-sided in hertz: (2 pi)² times the displacement's; half of it is the strength of the white noise.
    strength = (2 * math.pi) ** 2 * CLASS_D * REFERENCE**2 * corner["road_speed"] / 2
    covariance = scipy.linalg.solve_continuous_lyapunov(system, -strength * enters @ enters.T)
    looks = np.array(
        [
            ratio * np.array([0.0, -1.0, 0.0, 1.0]),
            ratio * np.array([1.0, 0.0, 0.0, 0.0]),
            tire * np.array([0.0, 0.0, 1.0, 0.0]),
            system[1],
        ]
    )
    expected = np.sqrt(np.diag(looks @ covariance @ looks.T))
    np.testing.assert_allclose(told(corner, rough_road(**corner)), expected, rtol=1e-6)


@settings(deadline=None, max_examples=long_run(10, 500))
@given(CORNERS)
def test_it_is_newlands_table(corner):
    """Mean square of (B0 + sB1 + s²B2 + s³B3)/(A0 + ... + s⁴A4) under white noise, Newland's appendix, from memory."""
    body, hop = corner["sprung_mass_on_spring"], corner["unsprung_mass"] / 2
    rate, tire, ratio = (corner[name] for name in ("wheel_rate", "tire_rate", "motion_ratio"))
    damping, both = corner["damping_coefficient"] * ratio**2, body + hop
    a0, a1, a2, a3, a4 = tire * rate, tire * damping, rate * both + tire * body, damping * both, body * hop

    def mean_square(b0, b1, b2, b3):
        above = a0 * b3**2 * (a0 * a3 - a1 * a2) + a0 * a1 * a4 * (2 * b1 * b3 - b2**2)
        above += -a0 * a3 * a4 * (b1**2 - 2 * b0 * b2) + a4 * b0**2 * (a1 * a4 - a2 * a3)
        return math.pi * above / (a0 * a4 * (a0 * a3**2 + a1**2 * a4 - a1 * a2 * a3))

    # Two-sided in radians per second: the one-sided velocity spectrum in hertz over 4 pi.
    strength = math.pi * CLASS_D * REFERENCE**2 * corner["road_speed"]
    tops = (
        (0.0, 0.0, ratio * body * tire, 0.0),
        (0.0, ratio * body * tire, 0.0, 0.0),
        (0.0, tire * rate * both, tire * damping * both, tire * body * hop),
        (0.0, tire * rate, tire * damping, 0.0),
    )
    expected = [math.sqrt(strength * mean_square(*top)) for top in tops]
    np.testing.assert_allclose(told(corner, rough_road(**corner)), expected, rtol=1e-6)


@settings(deadline=None, max_examples=long_run(5, 200))
@given(CORNERS, st.floats(0.05, 1.0), st.floats(0.05, 0.95))
def test_with_a_knee_the_coefficient_is_the_mean_slope_over_the_speeds(corner, knee, slope):
    found = rough_road(**corner, knee_speed=knee, slope_past_knee=slope)
    spread = float(found.damper_speed_rms)
    work = scipy.integrate.quad(
        lambda z: (min(z * spread, knee) + slope * max(z * spread - knee, 0)) * 2 * z * scipy.stats.norm.pdf(z),
        0.0,
        12.0,
        points=[min(knee / spread, 11.9)],
    )[0]
    # The slope that fits a force to a normal speed best: mean of force times speed over the mean square of the speed.
    assert found.effective_coefficient == pytest.approx(corner["damping_coefficient"] * work / spread, rel=1e-7)
    again = rough_road(**{**corner, "damping_coefficient": float(found.effective_coefficient)})
    np.testing.assert_allclose(told(corner, found), told(corner, again), rtol=1e-9)
    assert found.damper_speed_rms >= rough_road(**corner).damper_speed_rms


def test_time_past_cavitation_by_the_normal_law():
    for slope in (1.0, 0.4):
        found = rough_road(**wren(), slope_past_knee=slope, cavitation_speed=0.7, bump_left=0.03)
        expected = scipy.stats.norm.sf(0.7 / float(found.damper_speed_rms))
        assert found.cavitation_time_share == pytest.approx(expected, rel=1e-12)
        bottoms = scipy.stats.norm.sf(0.03 / float(found.damper_travel_rms))
        assert found.bottoming_time_share == pytest.approx(bottoms, rel=1e-12)
        there = rough_road(**wren(road_speed=float(found.cavitation_road_speed)), slope_past_knee=slope)
        assert there.damper_speed_three_sigma == pytest.approx(0.7, rel=1e-9)
