"""Articulation: scipy's root finder on an independent length, and what must hold for every axle."""

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.geometry.articulation import articulation
from calc.quantity import SHOP
from calc.sheet.step_working import working_lines
from calc.step import find, run
from calc.terminal import machine_answer

axles = st.fixed_dictionaries(
    {
        "lean": st.floats(0.0, 0.4),
        "damper_length": st.floats(0.5, 0.8),
        "mount_base": st.floats(0.85, 1.2),
        "mount_height": st.floats(0.35, 0.5),
        "roll_center_height": st.floats(0.35, 0.65),
        "track": st.floats(1.4, 1.9),
        "ride_travel": st.floats(0.05, 0.15),
        "bump_limit": st.floats(0.2, 0.28),
    }
)


def length(given_axle, left, right):
    """Eye to eye of the left coil-over with both hubs lifted from ride, by complex numbers (across + i up)."""
    turn = math.asin((left - right) / given_axle["track"])
    lower = complex(given_axle["mount_base"] / 2, given_axle["mount_height"] - given_axle["roll_center_height"])
    line = given_axle["damper_length"] * complex(-math.sin(given_axle["lean"]), math.cos(given_axle["lean"]))
    # About the roll center, which stays on the body: what has gone up is that much higher over it.
    now = (complex(0, (left + right) / 2) + lower) * complex(math.cos(turn), math.sin(turn))
    return abs(lower + line - now)


@given(axles)
def test_each_end_by_brentq(given_axle):
    found = articulation(**given_axle)
    shortest = given_axle["damper_length"] + given_axle["ride_travel"] - given_axle["bump_limit"]
    longest = given_axle["damper_length"] + given_axle["ride_travel"]
    upright = given_axle["damper_length"] * math.cos(given_axle["lean"])
    for way, other in (("heave", 1.0), ("one_wheel", 0.0), ("articulation", -1.0)):
        for end, sign, wanted in (("bump", 1.0, shortest), ("droop", -1.0, longest)):
            root = brentq(
                lambda z, other=other, wanted=wanted: length(given_axle, z, other * z) - wanted,
                0.0,
                sign * min(0.9 * upright if sign > 0 else 1.0, 0.49 * given_axle["track"]),
                xtol=1e-13,
            )
            assert sign * root == pytest.approx(getattr(found, f"{way}_{end}"), abs=1e-9)


@given(axles)
def test_one_wheel_lies_between_the_others(given_axle):
    found = articulation(**given_axle)
    for end in ("bump", "droop"):
        heave, one, both = (getattr(found, f"{way}_{end}") for way in ("heave", "one_wheel", "articulation"))
        assert heave < one < both


@given(axles, st.floats(0.5, 2.0))
def test_a_larger_drawing_goes_further_in_proportion(given_axle, scale):
    small = articulation(**given_axle)
    large = articulation(**{name: value * (1 if name == "lean" else scale) for name, value in given_axle.items()})
    for name in ("heave_bump", "one_wheel_droop", "articulation_bump"):
        assert getattr(large, name) == pytest.approx(scale * getattr(small, name), rel=1e-9)


def test_mounts_higher_than_the_axle_can_turn_are_answered_alike_in_the_terminal_and_on_the_page() -> None:
    step = find("articulation")
    inputs = {**step.example_inputs(), "mount_height": 1.6}
    outcome = run(step, inputs)
    answer = machine_answer(step, outcome)
    json.dumps(answer, allow_nan=False)
    assert len(answer["working"]) == working_lines(step, outcome, SHOP).count("<dt>")
