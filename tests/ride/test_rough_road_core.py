"""Rough ground: how it grows with class and road speed, what counts and what does not, what is said. Numpy only."""

import numpy as np
import pytest

from calc.ride.rough_road import STEP, rough_road
from calc.step import run

CORNER = {
    "sprung_mass_on_spring": 500.0,
    "unsprung_mass": 300.0,
    "wheel_rate": 28e3,
    "tire_rate": 260e3,
    "motion_ratio": 0.9,
    "damping_coefficient": 2500.0,
}
RESULTS = ("damper_speed_rms", "damper_travel_rms", "tire_load_rms", "body_acceleration_rms")


def test_each_class_is_twice_the_one_before_and_speed_counts_by_its_root():
    before = rough_road(**CORNER, road_class="C")
    for name in RESULTS:
        assert getattr(rough_road(**CORNER), name) == pytest.approx(2 * getattr(before, name))
        fast = rough_road(**CORNER, road_class="C", road_speed=4 * 30 / 3.6)
        assert getattr(fast, name) == pytest.approx(2 * getattr(before, name))
    assert rough_road(**CORNER, road_class="H").road_roughness == pytest.approx(0.262144)


def test_neither_spring_nor_weight_moves_the_damper_faster():
    found = rough_road(**CORNER)
    for change in ({"wheel_rate": 56e3}, {"sprung_mass_on_spring": 900.0}, {"unsprung_mass": 100.0}):
        other = rough_road(**{**CORNER, **change})
        assert other.damper_speed_rms == pytest.approx(found.damper_speed_rms)
    assert rough_road(**{**CORNER, "wheel_rate": 56e3}).damper_travel_rms == pytest.approx(found.damper_travel_rms)
    assert rough_road(**{**CORNER, "damping_coefficient": 1e4}).damper_speed_rms == pytest.approx(
        found.damper_speed_rms / 2
    )


def test_a_knee_that_is_never_reached_changes_nothing_and_one_at_rest_takes_the_slope():
    found = rough_road(**CORNER)
    far = rough_road(**CORNER, knee_speed=5.0, slope_past_knee=0.2)
    near = rough_road(**CORNER, road_class="H", knee_speed=0.01, slope_past_knee=0.25)
    assert far.damper_speed_rms == pytest.approx(found.damper_speed_rms, rel=1e-12)
    plain = rough_road(**CORNER, road_class="H")
    assert near.damper_speed_rms == pytest.approx(2 * plain.damper_speed_rms, rel=0.01)


def test_arrays_with_and_without_a_knee():
    slopes = np.array([1.0, 0.5, 0.25])
    found = rough_road(**CORNER, slope_past_knee=slopes, cavitation_speed=np.array([0.5, 1.0, 2.0]))
    for index, slope in enumerate(slopes.tolist()):
        alone = rough_road(**CORNER, slope_past_knee=slope, cavitation_speed=[0.5, 1.0, 2.0][index])
        for name in (*RESULTS, "cavitation_time_share", "cavitation_road_speed"):
            assert getattr(found, name)[index] == pytest.approx(getattr(alone, name), rel=1e-12)


def states(**changes):
    outcome = run(STEP, {**STEP.example_inputs(), **changes})
    return {finding.rule: (finding.state, finding.text) for finding in outcome.findings}


def test_what_is_said_of_the_ground():
    gentle, rough = states(), states(road_class="E")
    # Near the static load, within what is not known of it.
    assert [state for state, _ in gentle.values()] == ["holds", "close", "holds"]
    assert [state for state, _ in states(road_class="C").values()] == ["holds", "holds", "holds"]
    # 76.6 in/s are inside 83.2 ± 6.6 in/s, a larger doubt of what the ground asks than that of the gas.
    state, text = rough["gas holds up on this ground"]
    assert (state, "83.2\u00a0in/s\u00a0±\u00a06.6" in text) == ("close", True)
    state, text = states(road_class="E", road_speed=40 / 3.6)["gas holds up on this ground"]
    assert state == "fails"
    assert "class E" in text
    assert "estimate of a linear corner" in text
    assert rough["tire stays on this ground"][0] == "close"
    assert states(road_class="F", road_speed=20 / 3.6)["damper stays off the bump stop"][0] == "close"
    unknown = states(cavitation_speed=None, bump_left=None)
    assert [state for state, _ in unknown.values()] == ["not checked", "close", "not checked"]
