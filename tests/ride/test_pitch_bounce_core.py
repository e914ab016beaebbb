"""Bounce and pitch: each motion keeps the body in balance, and the limits that have plain answers. Numpy only."""

import math

import numpy as np
import pytest

from calc.ride.pitch_bounce import STEP, pitch_bounce
from calc.step import run

RIG = {
    "front_sprung_mass": 1000.0,
    "rear_sprung_mass": 900.0,
    "wheelbase": 2.8,
    "front_ride_rate": 25e3,
    "rear_ride_rate": 27e3,
}


def plain(rate: float, mass: float) -> float:
    return math.sqrt(rate / mass) / (2 * math.pi)


def test_each_motion_keeps_the_body_in_balance():
    """At the found frequency, turning about the found center: forces give the lift, moments give the turn."""
    found = pitch_bounce(**RIG)
    ahead = 2.8 * 900 / 1900
    inertia = 1900 * 0.95 * ahead * (2.8 - ahead)
    for frequency, center in (
        (found.bounce_frequency, found.bounce_center_behind_front_axle),
        (found.pitch_frequency, found.pitch_center_behind_front_axle),
    ):
        pace = (2 * math.pi * frequency) ** 2
        front, middle, rear = (place - center for place in (0.0, ahead, 2.8))
        forces = -2 * 25e3 * front, -2 * 27e3 * rear
        assert sum(forces) == pytest.approx(-1900 * pace * middle, rel=1e-9)
        moment = forces[0] * (0.0 - ahead) + forces[1] * (2.8 - ahead)
        assert moment == pytest.approx(-inertia * pace, rel=1e-9)


def test_a_dynamic_index_of_one_parts_the_ends():
    found = pitch_bounce(**RIG, dynamic_index=1.0)
    assert found.front_frequency == pytest.approx(plain(50e3, 1000.0))
    assert found.rear_frequency == pytest.approx(plain(54e3, 900.0))
    pair = sorted((found.bounce_frequency, found.pitch_frequency))
    assert pair == pytest.approx([found.front_frequency, found.rear_frequency])
    centers = sorted((found.bounce_center_behind_front_axle, found.pitch_center_behind_front_axle))
    assert centers == pytest.approx([0.0, 2.8], abs=1e-12)


def test_springs_that_balance_about_the_center_part_bounce_from_pitch():
    """k_F a = k_R b: straight up and down, and about the center of gravity."""
    ahead = 2.8 * 900 / 1900
    rates = {"front_ride_rate": 25e3, "rear_ride_rate": 25e3 * ahead / (2.8 - ahead)}
    found = pitch_bounce(**{**RIG, **rates}, dynamic_index=0.8)
    turned = 2 * (25e3 * ahead**2 + rates["rear_ride_rate"] * (2.8 - ahead) ** 2)
    assert found.spring_center_share == pytest.approx(0.0, abs=1e-15)
    assert found.bounce_frequency == pytest.approx(plain(2 * (25e3 + rates["rear_ride_rate"]), 1900.0))
    assert found.pitch_frequency == pytest.approx(plain(turned, 1900 * 0.8 * ahead * (2.8 - ahead)))
    assert found.pitch_center_behind_front_axle == pytest.approx(ahead)
    assert found.bounce_center_behind_front_axle is None


def test_a_rig_alike_at_both_ends_with_an_index_of_one_has_no_centers():
    """Both motions have one frequency: any mixture of them is a free motion too."""
    found = pitch_bounce(
        front_sprung_mass=900.0,
        rear_sprung_mass=900.0,
        wheelbase=2.5,
        front_ride_rate=2e4,
        rear_ride_rate=2e4,
        dynamic_index=1.0,
    )
    assert found.bounce_frequency == pytest.approx(found.pitch_frequency)
    assert found.bounce_center_behind_front_axle is None
    assert found.pitch_center_behind_front_axle is None
    outcome = run(
        STEP,
        {**dict.fromkeys(("front_sprung_mass", "rear_sprung_mass"), 900.0), "wheelbase": 2.5, "dynamic_index": 1.0}
        | {"front_ride_rate": 2e4, "rear_ride_rate": 2e4},
    )
    told = {finding.rule: finding for finding in outcome.findings}
    assert told["pitch about a point between the axles"].state == "not checked"
    assert told["rear quicker than front"].state == "close"


def test_turning_the_rig_round_mirrors_it():
    found = pitch_bounce(**RIG)
    round_again = pitch_bounce(
        front_sprung_mass=900.0,
        rear_sprung_mass=1000.0,
        wheelbase=2.8,
        front_ride_rate=27e3,
        rear_ride_rate=25e3,
    )
    assert round_again.bounce_frequency == pytest.approx(found.bounce_frequency)
    assert round_again.bounce_center_behind_front_axle == pytest.approx(2.8 - found.bounce_center_behind_front_axle)
    assert round_again.pitch_center_behind_front_axle == pytest.approx(2.8 - found.pitch_center_behind_front_axle)
    assert round_again.spring_center_share == pytest.approx(-found.spring_center_share)
    assert round_again.frequency_ratio == pytest.approx(1 / found.frequency_ratio)


def test_what_olley_asks_for_is_told_with_reasons():
    outcome = run(STEP, {**RIG, "rear_ride_rate": 20e3})
    told = {finding.rule: finding for finding in outcome.findings}
    assert told["rear quicker than front"].state == "close"
    assert told["rear quicker than front"].text == (
        "The rear rides 0.94 times as often as the front, outside 1.1 to 1.25. The rear meets each bump later: it has "
        "to be quicker to catch up, but not by so much that it overtakes."
    )
    assert told["spring center behind the center of gravity"].state == "close"
    assert told["neither too quick"].state == "holds"


def test_a_rig_that_meets_all_of_them():
    inputs = {**RIG, "front_ride_rate": 18e3, "rear_ride_rate": 18e3 * 0.9 * 1.17**2}
    outcome = run(STEP, inputs, dict.fromkeys(STEP.inputs, 0.0))
    assert outcome.values["frequency_ratio"] == pytest.approx(1.17)
    told = {finding.rule: finding.state for finding in outcome.findings}
    assert told == {
        "rear quicker than front": "holds",
        "spring center behind the center of gravity": "holds",
        "bounce and pitch alike": "holds",
        "neither too quick": "holds",
        "pitch about a point between the axles": "holds",
        "dynamic index near one": "holds",
    }


def test_too_quick_and_too_far_apart_are_told():
    told = {finding.rule: finding.state for finding in run(STEP, {**RIG, "rear_ride_rate": 60e3}).findings}
    assert told["neither too quick"] == told["bounce and pitch alike"] == "close"


def test_arrays_equal_single_values_and_hold_nan_where_there_is_no_center():
    ahead = 2.8 * 900 / 1900
    rates = np.array([20e3, 27e3, 25e3 * ahead / (2.8 - ahead)])
    found = pitch_bounce(**{**RIG, "rear_ride_rate": rates})
    for index in (0, 1):
        alone = pitch_bounce(**{**RIG, "rear_ride_rate": rates[index]})
        for name in STEP.results:
            assert np.broadcast_to(getattr(found, name), 3)[index] == pytest.approx(getattr(alone, name), rel=1e-12)
    assert np.isnan(found.bounce_center_behind_front_axle[2])
    assert np.isfinite(found.pitch_center_behind_front_axle[2])
