"""Bump stop: energies by scipy's quad, the landing by its equation of motion, and what must hold for every pad."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from calc.damper.bump_stop import STEP, bump_stop

GRAVITY = 9.80665
pads = st.fixed_dictionaries(
    {
        "pad_gap": st.floats(0.03, 0.12),
        "pad_depth": st.floats(0.02, 0.08),
        "pad_rate": st.floats(20e3, 80e3),
        "pad_solid_force": st.floats(7e3, 20e3),
        "pad_place": st.just("on the frame"),
        "pad_motion_ratio": st.floats(0.6, 1.1),
        "dynamic_factor": st.floats(1.0, 2.0),
        "sprung_mass_on_spring": st.floats(400.0, 700.0),
        "motion_ratio": st.just(1.0),
        "stack_rate": st.floats(20e3, 30e3),
        "droop_left": st.floats(0.05, 0.12),
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
        "pad_place": "on the frame",
        "pad_motion_ratio": 0.95,
        "dynamic_factor": 1.4,
        "sprung_mass_on_spring": 520.0,
        "motion_ratio": 1.0,
        "stack_rate": 26e3,
        "droop_left": 0.12,
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


corners = st.fixed_dictionaries(
    {
        "pad_gap": st.floats(0.06, 0.12),
        "pad_depth": st.floats(0.03, 0.06),
        "pad_rate": st.floats(30e3, 60e3),
        "pad_solid_force": st.floats(8e3, 16e3),
        "dynamic_factor": st.floats(1.0, 2.0),
        "sprung_mass_on_spring": st.floats(420.0, 700.0),
        "motion_ratio": st.floats(0.9, 0.995),
        "damper_length": st.floats(0.55, 0.85),
        "stack_rate": st.floats(22e3, 32e3),
        "stack_rate_past_crossover": st.floats(45e3, 90e3),
        "crossover_above_ride": st.floats(0.0, 0.1),
        "gas_pressure": st.floats(5e5, 2e6),
        "gas_volume": st.floats(2.4e-4, 4e-4),
        "rod_diameter": st.floats(0.016, 0.0225),
        "ride_travel": st.floats(0.1, 0.16),
        "droop_left": st.floats(0.05, 0.15),
        "drop_height": st.floats(0.02, 0.25),
    }
)
ATMOSPHERE = 101325.0


def along(given):
    """Axial force at a damper travel from ride, and damper travel at a wheel travel, written out from the eyes."""
    long, ratio = given["damper_length"], given["motion_ratio"]
    upright, beside = long * ratio, long * math.sqrt(1 - ratio**2)
    area = math.pi / 4 * given["rod_diameter"] ** 2
    room = given["gas_volume"] - area * given["ride_travel"]
    settled = (given["gas_pressure"] + ATMOSPHERE) * given["gas_volume"] / room
    carried = given["sprung_mass_on_spring"] * GRAVITY / ratio - (settled - ATMOSPHERE) * area

    def axial(travel):
        gas = (settled * (room / (room - area * travel)) ** 1.4 - ATMOSPHERE) * area
        before = min(travel, given["crossover_above_ride"])
        springs = carried + given["stack_rate"] * before
        springs += given["stack_rate_past_crossover"] * max(travel - given["crossover_above_ride"], 0.0)
        inside = min(max(travel - given["pad_gap"], 0.0), given["pad_depth"])
        solid = max(travel - given["pad_gap"] - given["pad_depth"], 0.0)
        return max(springs, 0.0) + gas + given["dynamic_factor"] * pad_force(inside, given) + 1e7 * solid

    def load(wheel):
        now = math.hypot(upright - wheel, beside)
        return axial(long - now) * (upright - wheel) / now

    def wheel(travel):
        return upright - math.sqrt((long - travel) ** 2 - beside**2)

    return load, wheel


@given(corners)
def test_the_fall_that_makes_it_solid_is_the_work_up_to_there(given_):
    load, wheel = along(given_)
    low, solid = wheel(-given_["droop_left"]), wheel(given_["pad_gap"] + given_["pad_depth"])
    breaks = sorted((wheel(given_["crossover_above_ride"]), wheel(given_["pad_gap"])))
    work = quad(load, low, solid, points=breaks, limit=200)[0]
    weight = given_["sprung_mass_on_spring"] * GRAVITY
    found = bump_stop(**given_)
    assert found.pad_solid == pytest.approx(solid, rel=1e-9)
    assert found.stop_height == pytest.approx(work / weight - (solid - low), abs=1e-6)
    assert found.solid_load_factor == pytest.approx(load(solid) / weight, rel=1e-9)


@pytest.mark.parametrize("height", [0.03, 0.09])
def test_a_landing_on_the_true_curve_by_its_equation_of_motion(height):
    """Wren's front with the crew: ring, quick gas, leaning coil-over and pad, followed in time until it turns back."""
    inputs = {**STEP.example_inputs(), "drop_height": height}
    load, wheel = along(inputs)
    mass = inputs["sprung_mass_on_spring"]

    def back(_, state):
        return state[1]

    back.terminal, back.direction = True, -1
    start = [wheel(-inputs["droop_left"]), math.sqrt(2 * GRAVITY * height)]
    done = solve_ivp(
        lambda _, state: [state[1], GRAVITY - load(state[0]) / mass],
        (0.0, 2.0),
        start,
        events=back,
        rtol=1e-9,
        atol=1e-11,
        max_step=2e-3,
    )
    deepest = done.y_events[0][0][0]
    found = bump_stop(**inputs)
    assert found.landing_travel == pytest.approx(deepest, abs=1e-6)
    assert found.landing_load_factor == pytest.approx(load(deepest) / mass / GRAVITY, rel=1e-4)
    # Never above what the energy of the fall could press into a pad and springs that take all of it.
    taken = quad(load, start[0], deepest, limit=200)[0]
    assert taken == pytest.approx(mass * GRAVITY * (height + deepest - start[0]), rel=1e-5)


def test_the_rate_past_the_crossover_is_taken_and_makes_the_landing_harder():
    """What the page advises must not be refused by its own step."""
    both = STEP.example_inputs()
    one = {
        name: value for name, value in both.items() if name not in ("stack_rate_past_crossover", "crossover_above_ride")
    }
    true, soft = bump_stop(**both), bump_stop(**one)
    assert true.solid_load_factor > soft.solid_load_factor + 0.5
    assert true.stop_height > soft.stop_height
    past = {**one, "stack_rate": both["stack_rate_past_crossover"]}
    # All the way on the main it hangs loose before full droop: answered, not refused.
    assert bump_stop(**past).solid_load_factor > true.solid_load_factor


# Wren's rear with the crew, on the set that an independent whole-rig model was run on.
REAR = {
    "pad_gap": 6.862 * 0.0254,
    "pad_depth": 0.0508,
    "pad_rate": 52538.05,
    "pad_solid_force": 9786.09,
    "sprung_mass_on_spring": 475.068,
    "motion_ratio": 0.950213,
    "damper_length": 0.783893,
    "stack_rate": 33613.05,
    "stack_rate_past_crossover": 74428.90,
    "crossover_above_ride": 0.087466,
    "gas_pressure": 1378951.459,
    "gas_volume": 3.44128e-4,
    "rod_diameter": 0.022225,
    "ride_travel": 0.117807,
    "droop_left": 0.117807,
    "drop_height": 0.0,
}


@pytest.mark.parametrize(
    ("given_", "load", "inches"), [(STEP.example_inputs(), 5.51, 4.61), (REAR, 6.42, 10.61)], ids=["front", "rear"]
)
def test_wrens_landing_is_that_of_an_independent_whole_rig_model(given_, load, inches):
    """Reviewed by another hand, to three digits; on the rate before the crossover it was 4.74 and 5.55, 2.94 and 7.29 in."""
    found = bump_stop(**given_)
    assert found.solid_load_factor == pytest.approx(load, rel=0.004)
    assert found.stop_height / 0.0254 == pytest.approx(inches, rel=0.004)
