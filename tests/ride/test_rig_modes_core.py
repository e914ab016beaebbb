"""All motions of the rig: where they come down to the simple steps, symmetry, refusals. Numpy only."""

import math

import numpy as np
import pytest

from calc.errors import ContradictionError
from calc.ride.corner_modes import corner_modes
from calc.ride.pitch_bounce import pitch_bounce
from calc.ride.rig_modes import STEP, rig_modes
from calc.step import run

RIG = {
    "front_sprung_mass": 1000.0,
    "rear_sprung_mass": 900.0,
    "front_unsprung_mass": 340.0,
    "rear_unsprung_mass": 300.0,
    "wheelbase": 2.8,
    "track_front": 1.64,
    "track_rear": 1.66,
    "roll_lever": 0.4,
    "front_wheel_rate": 27e3,
    "rear_wheel_rate": 30e3,
    "front_tire_rate": 260e3,
    "rear_tire_rate": 250e3,
    "front_coil_over_roll_stiffness": 14e3,
    "rear_coil_over_roll_stiffness": 15e3,
}
LEVERAGE = 1900 * 9.80665 * 0.4
FREQUENCIES = [name for name in STEP.results if name.endswith("_frequency")]


def test_axles_of_no_weight_leave_the_half_car():
    found = rig_modes(**{**RIG, "front_unsprung_mass": 0.01, "rear_unsprung_mass": 0.01})
    half = pitch_bounce(
        front_sprung_mass=1000.0,
        rear_sprung_mass=900.0,
        wheelbase=2.8,
        front_ride_rate=27e3 * 260e3 / 287e3,
        rear_ride_rate=30e3 * 250e3 / 280e3,
    )
    assert found.rig_bounce_frequency == pytest.approx(half.bounce_frequency, rel=1e-5)
    assert found.rig_pitch_frequency == pytest.approx(half.pitch_frequency, rel=1e-5)


def test_a_dynamic_index_of_one_leaves_two_corners():
    """Each end then swings by itself: its two motions are those of one of its corners."""
    found = rig_modes(**RIG, dynamic_index=1.0)
    front = corner_modes(sprung_mass_on_spring=500.0, unsprung_mass=340.0, wheel_rate=27e3, tire_rate=260e3)
    rear = corner_modes(sprung_mass_on_spring=450.0, unsprung_mass=300.0, wheel_rate=30e3, tire_rate=250e3)
    assert found.front_hop_frequency == pytest.approx(front.hop_frequency)
    assert found.rear_hop_frequency == pytest.approx(rear.hop_frequency)
    pair = sorted((found.rig_bounce_frequency, found.rig_pitch_frequency))
    assert pair == pytest.approx(sorted((front.body_frequency, rear.body_frequency)))


def test_a_very_heavy_body_leaves_the_axles_between_springs_and_tires():
    heavy = {**RIG, "front_sprung_mass": 1e9, "rear_sprung_mass": 1e9, "roll_lever": 1e-9}
    found = rig_modes(**heavy)
    assert found.rear_hop_frequency == pytest.approx(math.sqrt(280e3 / 150) / (2 * math.pi), rel=1e-5)
    turning = 14e3 + 260e3 * 1.64**2 / 2
    assert found.front_tramp_frequency == pytest.approx(
        math.sqrt(turning / (340 * (0.39 * 1.64) ** 2)) / (2 * math.pi), rel=1e-5
    )
    own = rig_modes(**heavy, front_axle_kind="independent")
    assert own.front_tramp_frequency == pytest.approx(found.front_tramp_frequency * 0.39 / 0.5, rel=1e-5)
    assert own.rear_tramp_frequency == pytest.approx(found.rear_tramp_frequency)


def test_bars_quicken_roll_and_tramp_only():
    bare, barred = rig_modes(**RIG), rig_modes(**RIG, front_bar_roll_stiffness=5e3, rear_bar_roll_stiffness=5e3)
    for name in ("rig_roll_frequency", "front_tramp_frequency", "rear_tramp_frequency"):
        assert getattr(barred, name) > getattr(bare, name)
    for name in ("rig_bounce_frequency", "rig_pitch_frequency", "front_hop_frequency", "rear_hop_frequency"):
        assert getattr(barred, name) == getattr(bare, name)


def test_turning_the_rig_round_swaps_its_ends():
    swapped = {
        name.replace("front", "?").replace("rear", "front").replace("?", "rear"): value for name, value in RIG.items()
    }
    found, turned = rig_modes(**RIG), rig_modes(**swapped)
    for name in ("rig_bounce_frequency", "rig_pitch_frequency", "rig_roll_frequency", "axles_to_body"):
        assert getattr(turned, name) == pytest.approx(getattr(found, name))
    assert turned.front_hop_frequency == pytest.approx(found.rear_hop_frequency)
    assert turned.front_tramp_frequency == pytest.approx(found.rear_tramp_frequency)


def test_a_rig_that_falls_over_is_refused():
    soft = {**RIG, "front_tire_rate": 1e12, "rear_tire_rate": 1e12}
    edge = LEVERAGE / 2
    stands = rig_modes(
        **{**soft, "front_coil_over_roll_stiffness": edge * 1.001, "rear_coil_over_roll_stiffness": edge * 1.001}
    )
    assert 0 < stands.rig_roll_frequency < 0.05
    with pytest.raises(ContradictionError) as caught:
        rig_modes(**{**soft, "front_coil_over_roll_stiffness": edge * 0.5, "rear_coil_over_roll_stiffness": edge * 0.5})
    assert caught.value.field == "front_coil_over_roll_stiffness"
    assert str(caught.value).replace("\u00a0", " ") == (
        "Upright is unstable: the roll stiffness on the tires, 48 lbf·ft/° of both axles, is less than the weight's leverage "
        "above the roll axis, 96 lbf·ft/°. The rig falls over to one side. Allowed: more than that leverage, by stiffer "
        "springs, a wider base or a bar."
    )


@pytest.mark.parametrize("end", ["front", "rear"])
def test_an_axle_without_weight_is_refused(end):
    with pytest.raises(ContradictionError) as caught:
        rig_modes(**{**RIG, f"{end}_unsprung_mass": 0.0})
    assert caught.value.field == f"{end}_unsprung_mass"
    assert str(caught.value) == "An axle without weight does not hop. Allowed: above zero."


def test_findings_tell_slow_roll_and_heavy_axles():
    outcome = run(STEP, RIG, dict.fromkeys(STEP.inputs, 0.0))
    told = {finding.rule: finding for finding in outcome.findings}
    assert told["axles well above the body"].state == "holds"
    assert told["roll about as quick as bounce"].state == "close"
    assert "the rig sways" in told["roll about as quick as bounce"].text
    heavy = {**RIG, "front_unsprung_mass": 1900.0, "front_bar_roll_stiffness": 20e3}
    again = {finding.rule: finding.state for finding in run(STEP, heavy, dict.fromkeys(STEP.inputs, 0.0)).findings}
    assert again["axles well above the body"] == "close"
    assert again["roll about as quick as bounce"] == "holds"


def test_arrays_equal_single_values():
    levers = np.array([0.3, 0.5])
    found = rig_modes(**{**RIG, "roll_lever": levers}, front_axle_kind="solid", rear_axle_kind="independent")
    for index in (0, 1):
        alone = rig_modes(**{**RIG, "roll_lever": levers[index]}, rear_axle_kind="independent")
        for name in FREQUENCIES:
            assert np.broadcast_to(getattr(found, name), 2)[index] == pytest.approx(getattr(alone, name), rel=1e-12)
