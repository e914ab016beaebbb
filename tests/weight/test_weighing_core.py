"""Weighing: moments written again in plain Python, and every finding."""

import pytest

from calc.errors import InputError
from calc.step import attempt, run
from calc.units import NO_BREAK
from calc.weight.weighing import STEP, weighing

POUND = 0.45359237
RIG = {
    "left_front_mass": 668.6,
    "right_front_mass": 646.8,
    "left_rear_mass": 529.8,
    "right_rear_mass": 554.3,
    "wheelbase": 2.85,
    "track_front": 1.64,
    "track_rear": 1.66,
}


def plain(text):
    """Return a message with its no-break spaces as spaces."""
    return str(text).replace(NO_BREAK, " ")


def state(found, rule):
    return next(finding for finding in found.findings if finding.rule == rule)


def test_the_weight_at_its_center_turns_about_no_point():
    """Moments of the four pads and of the weight at the place found, about two far points: both must vanish."""
    found = weighing(**RIG)
    pads = [
        (668.6, 0.0, 0.82),
        (646.8, 0.0, -0.82),
        (529.8, 2.85, 0.83),
        (554.3, 2.85, -0.83),
    ]
    total = sum(mass for mass, _, _ in pads)
    for far_x, far_y in ((7.0, -3.0), (-4.0, 11.0)):
        along = sum(mass * (x - far_x) for mass, x, _ in pads) - total * (found.center_behind_front_axle - far_x)
        across = sum(mass * (y - far_y) for mass, _, y in pads) - total * (found.center_left_of_center - far_y)
        assert along == pytest.approx(0.0, abs=1e-9)
        assert across == pytest.approx(0.0, abs=1e-9)


def test_unequal_tracks_move_the_center():
    """Left heavy in front by as much as right behind: with the wider track behind, the center is right of the middle."""
    found = weighing(
        left_front_mass=610.0,
        right_front_mass=590.0,
        left_rear_mass=490.0,
        right_rear_mass=510.0,
        wheelbase=2.8,
        track_front=1.5,
        track_rear=1.7,
    )
    assert found.center_left_of_center == pytest.approx((20 * 0.75 - 20 * 0.85) / 2200)


def test_cross_share_is_left_rear_and_right_front():
    found = weighing(**{**RIG, "left_rear_mass": 700.0, "right_front_mass": 700.0})
    total = 668.6 + 700.0 + 700.0 + 554.3
    assert found.cross_share == pytest.approx(1400.0 / total)
    assert found.left_share == pytest.approx((668.6 + 700.0) / total)
    assert found.front_share == pytest.approx((668.6 + 700.0) / total)


def test_plus_minus_of_an_axle_is_that_of_two_pads_in_squares():
    found = run(STEP, RIG)
    pad = 10 * POUND
    assert found.plus_minus["front_axle_mass"] == pytest.approx(pad * 2**0.5, rel=1e-9)
    assert found.plus_minus["total_mass"] == pytest.approx(pad * 2, rel=1e-9)


def test_a_pad_that_reads_nothing_is_refused_and_the_other_results_stay():
    done = attempt(STEP, {**RIG, "left_rear_mass": 0.0})
    assert [plain(error) for error in done.errors] == [
        "Left rear must be above 0 lb (got 0 lb). Allowed: above 0 lb and up to 8,818 lb. Typical: 1,323 lb."
    ]
    assert done.outcome.values["front_axle_mass"] == pytest.approx(1315.4)
    assert done.outcome.values["rear_axle_mass"] is None
    assert state(done.outcome, "the diagonals share the weight").state == "not checked"
    with pytest.raises(InputError, match=r"got −1\slb"):
        run(STEP, {**RIG, "left_rear_mass": -POUND})
    assert run(STEP, {**RIG, "left_rear_mass": 1.0}).values["left_rear_mass"] == 1.0


def test_rating_holds_is_close_and_fails():
    rule = "the front axle is within its rating"
    assert state(run(STEP, {**RIG, "front_axle_rating": 1500.0}), rule).state == "holds"
    near = state(run(STEP, {**RIG, "front_axle_rating": 1318.0}), rule)
    assert near.state == "close"
    assert plain(near.text) == "The front axle weighs 2,900 lb ± 14, too near its rating of 2,906 lb to be sure."
    over = state(run(STEP, {**RIG, "front_axle_rating": 1200.0}), rule)
    assert over.state == "fails"
    assert plain(over.text) == (
        "The front axle weighs 2,900 lb, more than its rating of 2,646 lb. Take weight off it before anything else."
    )
    absent = state(run(STEP, RIG), rule)
    assert absent.state == "not checked"
    assert plain(absent.text) == "The front axle is within its rating: needs front axle rating."
    assert state(run(STEP, {**RIG, "rear_axle_rating": 900.0}), "the rear axle is within its rating").state == "fails"


def test_a_crossed_up_rig_is_a_caution_and_not_a_failure():
    crossed = state(
        run(STEP, {**RIG, "left_rear_mass": 800.0, "right_rear_mass": 300.0}), "the diagonals share the weight"
    )
    assert crossed.state == "close"
    assert "look for a bound link, a bent frame or pads that are not level" in crossed.text
    assert state(run(STEP, RIG), "the diagonals share the weight").state == "holds"
