"""Damping forces against the decay of the corner that they make, and what must hold for every corner."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from calc.damper.force_targets import force_targets

masses = st.floats(100.0, 1500.0)
rates = st.floats(8e3, 2e5)
ratios = st.floats(0.4, 1.2)
shares = st.floats(0.4, 0.8)


def test_a_corner_with_these_forces_dies_away_by_the_wanted_ratio():
    """The bilinear corner, integrated over one whole swing: compression and rebound each half of it.

    Each half swing decays by its own exponential, so a whole swing decays by the sum of both logarithms.
    """
    mass, rate, ratio, share = 480.0, 25e3, 0.9, 0.6
    found = force_targets(
        sprung_mass_on_spring=mass,
        wheel_rate=rate,
        motion_ratio=ratio,
        wanted_damping_ratio=0.1,
        rebound_share=share,
    )

    def motion(_time, state):
        # Heave of the body, up positive: going down compresses the damper.
        speed = abs(state[1]) * ratio
        size = found.compression_force_slow if state[1] < 0 else found.rebound_force_slow
        return [state[1], (-rate * state[0] - math.copysign(size * speed / 0.127 * ratio, state[1])) / mass]

    def turns(_time, state):
        return state[1]

    turns.direction = -1.0
    solved = solve_ivp(motion, (0, 3), [0.05, 0.0], events=turns, rtol=1e-10, atol=1e-12, max_step=0.002)
    peaks = solved.y_events[0][:, 0]
    decrement = math.log(peaks[-2] / peaks[-1])
    halves = [2 * part * 0.1 for part in (share, 1 - share)]
    wanted = sum(math.pi * half / math.sqrt(1 - half**2) for half in halves)
    assert decrement == pytest.approx(wanted, rel=1e-4)
    # Two percent from that of a damper alike both ways: the mean gives the ratio.
    assert decrement == pytest.approx(2 * math.pi * 0.1 / math.sqrt(1 - 0.01), rel=0.02)


@given(masses, rates, ratios, st.floats(0.05, 1.0), shares, st.floats(0.05, 1.0), st.floats(0.05, 0.6))
def test_forces_rise_with_speed_and_the_knee_only_takes_off(mass, rate, ratio, wanted, share, slope, knee):
    corner = {
        "sprung_mass_on_spring": mass,
        "wheel_rate": rate,
        "motion_ratio": ratio,
        "wanted_damping_ratio": wanted,
        "rebound_share": share,
    }
    straight, bent = force_targets(**corner), force_targets(**corner, knee_speed=knee, slope_past_knee=slope)
    for direction in ("compression", "rebound"):
        forces = [getattr(bent, f"{direction}_force_{place}") for place in ("slow", "middle", "fast")]
        assert forces[0] < forces[1] < forces[2]
        for place in ("slow", "middle", "fast"):
            name = f"{direction}_force_{place}"
            assert getattr(bent, name) <= getattr(straight, name) * (1 + 1e-12)


@given(st.floats(0.0, 3e6), st.floats(0.03, 0.08), st.floats(0.008, 0.029), st.floats(0.05, 1.0), st.floats(0.02, 1.0))
def test_at_the_speed_of_cavitation_the_force_is_the_limit(pressure, piston, rod, slope, knee):
    corner = {"sprung_mass_on_spring": 500.0, "wheel_rate": 3e4, "motion_ratio": 0.9, "wanted_damping_ratio": 0.4}
    shape = {"knee_speed": knee, "slope_past_knee": slope}
    damper = {"gas_pressure": pressure, "piston_diameter": piston, "rod_diameter": rod}
    found = force_targets(**corner, **shape, **damper)
    there = force_targets(**corner, **shape, **damper, fast_speed=np.float64(found.cavitation_speed))
    assert there.compression_force_fast == pytest.approx(found.compression_limit)
