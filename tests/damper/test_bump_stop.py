"""Bump stop: energies by scipy's quad, the landing by its equation of motion, and what must hold for every pad."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from calc.damper.bump_stop import bump_stop

GRAVITY = 9.80665
pads = st.fixed_dictionaries(
    {
        "pad_gap": st.floats(0.03, 0.12),
        "pad_depth": st.floats(0.02, 0.08),
        "pad_rate": st.floats(20e3, 80e3),
        "pad_solid_force": st.floats(7e3, 20e3),
        "pad_motion_ratio": st.floats(0.6, 1.1),
        "dynamic_factor": st.floats(1.0, 2.0),
        "sprung_mass_on_spring": st.floats(400.0, 700.0),
        "wheel_rate": st.floats(20e3, 30e3),
        "droop_travel": st.floats(0.05, 0.12),
        "drop_height": st.floats(0.0, 0.4),
    }
)


def pad_force(squash, pad):
    cubic = (pad["pad_solid_force"] - pad["pad_rate"] * pad["pad_depth"]) / pad["pad_depth"] ** 3
    return pad["pad_rate"] * squash + cubic * squash**3


@given(pads)
def test_the_energy_is_the_area_under_the_force(pad):
    area = quad(lambda squash: pad_force(squash, pad), 0.0, pad["pad_depth"])[0]
    assert bump_stop(**pad).pad_energy == pytest.approx(area, rel=1e-9)


@given(pads, st.floats(0.01, 0.2))
def test_a_higher_fall_goes_deeper_and_hits_harder(pad, more):
    low, high = bump_stop(**pad), bump_stop(**{**pad, "drop_height": pad["drop_height"] + more})
    assert high.landing_travel > low.landing_travel
    assert high.landing_load_factor > low.landing_load_factor
    assert high.engagement_speed >= low.engagement_speed


@pytest.mark.parametrize("height", [0.05, 0.15, 0.4])
def test_the_landing_by_its_equation_of_motion(height):
    """Solved by scipy to 1e-10 until the body turns back."""
    pad = {
        "pad_gap": 0.08,
        "pad_depth": 0.05,
        "pad_rate": 40e3,
        "pad_solid_force": 12e3,
        "pad_motion_ratio": 0.95,
        "dynamic_factor": 1.4,
        "sprung_mass_on_spring": 520.0,
        "wheel_rate": 26e3,
        "droop_travel": 0.12,
        "drop_height": height,
    }

    def motion(_, state):
        squash = 0.95 * state[0] - 0.08
        push = 1.4 * pad_force(min(max(squash, 0.0), 0.05), pad) + 1e7 * max(squash - 0.05, 0.0)
        return [state[1], -(26e3 * state[0] + 0.95 * push) / 520.0]

    def back(_, state):
        return state[1]

    back.terminal, back.direction = True, -1
    start = [-0.12, np.sqrt(2 * GRAVITY * height)]
    done = solve_ivp(motion, (0.0, 2.0), start, events=back, rtol=1e-10, atol=1e-12, max_step=1e-3)
    assert bump_stop(**pad).landing_travel == pytest.approx(done.y_events[0][0][0], abs=1e-7)
