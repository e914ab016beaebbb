"""The inverse of the roll step: its bars, put into that step, give the wanted gradient; and plain searches for them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.errors import ContradictionError
from calc.ride.roll import roll
from calc.ride.wanted_roll_stiffness import STEP, wanted_roll_stiffness
from calc.step import run

GRAVITY = 9.80665
DEGREE_PER_G = 3.141592653589793 / 180 / GRAVITY
RIG = {
    "front_sprung_mass": 1028.0,
    "rear_sprung_mass": 950.0,
    "front_coil_over_roll_stiffness": 13.8e3,
    "rear_coil_over_roll_stiffness": 14.6e3,
    "front_tire_rate": 260e3,
    "rear_tire_rate": 250e3,
    "track_front": 1.64,
    "track_rear": 1.66,
}
REST = {
    "front_unsprung_mass": 342.5,
    "rear_unsprung_mass": 298.0,
    "front_roll_center_height": 0.53,
    "rear_roll_center_height": 0.60,
    "front_tire_radius": 0.44,
    "rear_tire_radius": 0.44,
}
AXIS = (1028.0 * 0.53 + 950.0 * 0.60) / 1978.0
DAMPERS = {
    "front_damping_coefficient": 2700.0,
    "rear_damping_coefficient": 2950.0,
    "front_roll_arm": 0.46,
    "rear_roll_arm": 0.43,
}


def rolled(lever, front_bar, rear_bar):
    bars = {"front_bar_roll_stiffness": front_bar, "rear_bar_roll_stiffness": rear_bar}
    return roll(**RIG, **REST, **DAMPERS, **bars, sprung_center_height=AXIS + lever)


@settings(max_examples=30)
@given(st.floats(4.0, 15.0), st.floats(0.0, 1.0), st.floats(0.3, 0.5), st.floats(0.0, 4e3))
def test_the_bars_give_the_wanted_gradient_and_cost_what_is_told(gradient, part, lever, there):
    before = rolled(lever, there, 0.0)
    found = wanted_roll_stiffness(
        **RIG,
        wanted_roll_gradient=gradient * DEGREE_PER_G,
        wanted_front_bar_share=part,
        roll_lever=lever,
        front_bar_roll_stiffness=there,
        roll_damping_ratio=float(before.roll_damping_ratio),
    )
    after = rolled(lever, there + found.front_bar_to_add, found.rear_bar_to_add)
    if found.missing_roll_stiffness <= 0:
        assert (found.front_bar_to_add, found.rear_bar_to_add) == (0.0, 0.0)
        assert before.roll_gradient <= gradient * DEGREE_PER_G * (1 + 1e-9)
        return
    assert after.roll_gradient == pytest.approx(gradient * DEGREE_PER_G, rel=1e-9)
    assert after.front_couple_share == pytest.approx(found.front_couple_share_with_bars, rel=1e-9)
    assert after.roll_damping_ratio == pytest.approx(found.roll_damping_ratio_with_bars, rel=1e-9)
    more = after.front_roll_stiffness - before.front_roll_stiffness
    assert more == pytest.approx(part * found.missing_roll_stiffness, rel=1e-6, abs=1e-6)
    # A moment on an axle turns it by so much less.
    springs = RIG["front_coil_over_roll_stiffness"] + there
    assert found.front_articulation_left == pytest.approx(
        (1000.0 / (springs + found.front_bar_to_add)) / (1000.0 / springs)
    )


def test_a_plain_search_finds_the_same_bars():
    """Bars of one stiffness, tried until the roll step says 10 deg/g, with the lean by moments written out."""
    weight, lever = 1978.0 * GRAVITY, 0.4054

    def lean(bar):
        total = 0.0
        for axle, tire, track in (("front", 260e3, 1.64), ("rear", 250e3, 1.66)):
            springs = RIG[f"{axle}_coil_over_roll_stiffness"] + bar[axle]
            total += 1 / (1 / springs + 2 / (tire * track**2))
        return weight * lever / (total - weight * lever) / GRAVITY / DEGREE_PER_G

    found = wanted_roll_stiffness(
        **RIG, wanted_roll_gradient=10 * DEGREE_PER_G, wanted_front_bar_share=1.0, roll_lever=lever
    )
    bar = brentq(lambda size: lean({"front": size, "rear": 0.0}) - 10.0, 0.0, 1e6, xtol=1e-9)
    assert (found.front_bar_to_add, found.rear_bar_to_add) == (pytest.approx(bar, rel=1e-9), 0.0)


def test_wren_misses_328_for_ten_degrees_per_g():
    """Reviewed by another hand: 328 lbf ft per degree on the tires, and the damping ratio in roll from 0.27 to about 0.18."""
    found = run(STEP, STEP.example_inputs()).values
    assert found["missing_roll_stiffness"] * 3.141592653589793 / 180 / 1.3558179483 == pytest.approx(328, abs=0.5)
    assert found["roll_damping_ratio_with_bars"] == pytest.approx(0.18, abs=0.006)


def test_what_the_tires_cannot_give_is_refused():
    soft = {**RIG, "front_tire_rate": 60e3}
    asked = {"wanted_roll_gradient": 1.0 * DEGREE_PER_G, "roll_lever": 0.4}
    with pytest.raises(ContradictionError) as caught:
        wanted_roll_stiffness(**soft, **asked, wanted_front_bar_share=1.0)
    assert caught.value.field == "wanted_roll_gradient"
    assert str(caught.value).startswith("No bar does that: the front tires alone give ")
    assert str(caught.value).endswith("Allowed: more lean, or less of it at the front.")
    assert (
        wanted_roll_stiffness(**{**soft, "front_tire_rate": 2e6, "rear_tire_rate": 2e6}, **asked).front_bar_to_add > 0
    )


def test_without_a_rig_that_stands_there_is_no_damping_ratio_to_begin_with():
    soft = {**RIG, "front_coil_over_roll_stiffness": 2e3, "rear_coil_over_roll_stiffness": 2e3}
    asked = {"wanted_roll_gradient": 10 * DEGREE_PER_G, "roll_lever": 0.4}
    assert wanted_roll_stiffness(**soft, **asked).missing_roll_stiffness > 40e3
    with pytest.raises(ContradictionError) as caught:
        wanted_roll_stiffness(**soft, **asked, roll_damping_ratio=0.3)
    assert str(caught.value) == (
        "Without the new bars the springs do not hold the weight upright, so there is no damping ratio to begin with. "
        "Leave it empty."
    )
