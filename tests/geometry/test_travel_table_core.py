"""The travel table: recovered ratios, who tells the change of the ratio, and every refusal with its whole message."""

import math

import numpy as np
import pytest

from calc.errors import ContradictionError, InputError
from calc.geometry.travel_table import STEP, TravelPair, travel_table
from calc.step import run

INCH = 0.0254
LBF = 0.45359237 * 9.80665
LB_IN = LBF / INCH
UNEVEN = (24.5, 23.0, 21.0, 20.0, 18.5, 17.0, 15.0)


def table(heights, lengths):
    return tuple(
        TravelPair(wheel_height=float(height), damper_length=float(length))
        for height, length in zip(heights, lengths, strict=True)
    )


def leaning(heights, *, lean=0.3, length=0.66, ride=0.5):
    """Pairs of a coil-over that leans, its lower eye moving straight up."""
    drop = [height - ride for height in heights]
    return table(heights, [math.hypot(length * math.cos(lean) + d, length * math.sin(lean)) for d in drop])


def test_three_pairs_on_a_parabola_give_its_slope_and_bend():
    """L² = 0.04 + 0.5 h + 0.28 h²: at h = 0.5 L is 0.6 and its slope 0.65; the bend is (0.28 - 0.65²) / 0.6."""
    heights = np.array([0.40, 0.47, 0.61])
    lengths = np.sqrt(0.04 + 0.5 * heights + 0.28 * heights**2)
    found = travel_table(pairs=table(heights, lengths), ride_height=0.5)
    assert found.motion_ratio == pytest.approx(0.65, rel=1e-9)
    assert found.motion_ratio_slope_fitted == pytest.approx((0.65**2 - 0.28) / 0.6, rel=1e-7)
    assert found.damper_length == pytest.approx(0.6, rel=1e-12)
    assert found.spare_pairs is None
    assert found.fit_residual == pytest.approx(0.0, abs=1e-12)


def test_a_straight_table_has_no_change_of_the_ratio():
    heights = np.array([0.35, 0.41, 0.44, 0.52, 0.60, 0.63])
    found = travel_table(pairs=table(heights, 0.2 + 0.7 * heights), ride_height=0.5)
    assert found.motion_ratio == pytest.approx(0.7, rel=1e-9)
    assert found.motion_ratio_inverse == pytest.approx(1 / 0.7, rel=1e-9)
    assert found.motion_ratio_slope_fitted == pytest.approx(0.0, abs=1e-9)


def test_the_order_of_the_rows_does_not_matter():
    pairs = leaning([height * INCH for height in UNEVEN])
    turned = tuple(reversed(pairs))
    one, other = (travel_table(pairs=rows, ride_height=0.5) for rows in (pairs, turned))
    assert one.motion_ratio == pytest.approx(other.motion_ratio, rel=1e-12)
    assert one.motion_ratio_slope_fitted == pytest.approx(other.motion_ratio_slope_fitted, rel=1e-9)


def test_a_ratio_that_rises_and_falls_is_followed():
    """MR = 0.8 + 0.2 (1 - (10 (h - 0.5))²), read with a caliper of ± 0.2 mm: the ratio peaks inside the travel."""
    heights = np.linspace(0.42, 0.58, 9)
    offset = heights - 0.5
    lengths = 0.5 + offset - 0.2 * 100 * offset**3 / 3
    pairs = table(heights, lengths)
    found = {
        ride: float(travel_table(pairs=pairs, ride_height=ride, reading_doubt=2e-4).motion_ratio)
        for ride in (0.43, 0.5, 0.57)
    }
    for ride, ratio in found.items():
        assert ratio == pytest.approx(1.0 - 0.2 * (10 * (ride - 0.5)) ** 2, rel=1e-2)
    assert found[0.43] < found[0.5] > found[0.57]


def test_the_fitted_length_never_turns_back():
    """Readings that lie flat at one end and wobble within their doubt must not make the damper grow in bump."""
    heights = np.array([0.40, 0.42, 0.44, 0.46, 0.50, 0.55, 0.60])
    lengths = np.array([0.5010, 0.5000, 0.5004, 0.5012, 0.516, 0.548, 0.592])
    pairs = table(heights, lengths)
    places = np.linspace(0.45, 0.60, 200)
    found = travel_table(pairs=pairs, ride_height=places)
    assert np.all(found.motion_ratio > 0)
    assert np.all(np.diff(found.damper_length) > 0)


def test_with_enough_good_pairs_the_pairs_tell_the_change():
    pairs = leaning([0.35, 0.40, 0.45, 0.50, 0.56, 0.62, 0.66])
    found = travel_table(pairs=pairs, ride_height=0.5, lean=0.3, support_load_mean=4000.0, reading_doubt=2e-4)
    assert found.geometric_rate_doubt < 3 * LB_IN
    assert found.motion_ratio_slope == found.motion_ratio_slope_fitted
    assert found.geometric_rate == found.axial_load * found.motion_ratio_slope_fitted


def test_with_a_tape_the_lean_tells_the_change():
    pairs = leaning([0.35, 0.40, 0.45, 0.50, 0.56, 0.62, 0.66])
    found = travel_table(pairs=pairs, ride_height=0.5, lean=0.3, support_load_mean=5000.0)
    assert found.geometric_rate_doubt > 3 * LB_IN
    assert found.motion_ratio_slope == found.motion_ratio_slope_mounts
    assert found.motion_ratio_slope == pytest.approx(-(math.sin(0.3) ** 2) / 0.66, rel=1e-3)


@pytest.mark.parametrize(("count", "by_lean"), [(4, True), (5, False)])
def test_fewer_than_five_pairs_leave_the_change_to_the_lean(count, by_lean):
    heights = np.linspace(0.38, 0.62, count)
    found = travel_table(pairs=leaning(heights), ride_height=0.5, lean=0.3, reading_doubt=1e-4)
    told = found.motion_ratio_slope_mounts if by_lean else found.motion_ratio_slope_fitted
    assert found.motion_ratio_slope == told
    assert found.pair_count == count


def test_without_a_lean_the_change_stays_open_and_says_so():
    inputs = {"pairs": leaning([0.40, 0.47, 0.53, 0.60]), "ride_height": 0.5}
    outcome = run(STEP, inputs)
    assert outcome.values["motion_ratio_slope"] is None
    assert outcome.values["geometric_rate"] is None
    told = {finding.rule: finding for finding in outcome.findings}
    assert told["change of the motion ratio known"].state == "not checked"
    assert told["change of the motion ratio known"].text == (
        "How the motion ratio changes: needs lean of the coil-over."
    )
    assert told["enough pairs"].text == (
        "4 different heights, fewer than 5, are too few to see how the motion ratio changes: the lean must give it."
    )


def test_three_pairs_cannot_show_a_wrong_reading():
    outcome = run(STEP, {"pairs": leaning([0.40, 0.48, 0.60]), "ride_height": 0.5})
    told = next(finding for finding in outcome.findings if finding.rule == "pairs agree")
    assert told.state == "not checked"
    assert told.text == "Whether one reading is wrong: needs more pairs than fix the curve."


def test_a_wrong_reading_shows_in_the_residual():
    pairs = list(leaning([0.35, 0.40, 0.45, 0.50, 0.56, 0.62, 0.66]))
    pairs[3] = TravelPair(wheel_height=pairs[3].wheel_height, damper_length=pairs[3].damper_length + 0.012)
    outcome = run(STEP, {"pairs": tuple(pairs), "ride_height": 0.5})
    told = next(finding for finding in outcome.findings if finding.rule == "pairs agree")
    assert told.state == "fails"


def test_pairs_at_one_height_count_once():
    once = leaning([0.38, 0.44, 0.50, 0.56, 0.62])
    found = travel_table(pairs=(*once, *once), ride_height=0.5)
    assert found.pair_count == 5
    assert found.motion_ratio == pytest.approx(travel_table(pairs=once, ride_height=0.5).motion_ratio, rel=1e-9)


def test_arrays_of_ride_heights_give_what_single_ones_give():
    pairs = leaning([height * INCH for height in UNEVEN])
    rides = np.array([16.0, 19.0, 20.0, 23.5]) * INCH
    loads = np.array([3000.0, 4000.0, 5000.0, 20000.0])
    together = travel_table(pairs=pairs, ride_height=rides, lean=0.3, support_load_mean=loads, reading_doubt=3e-4)
    for index in range(4):
        alone = travel_table(
            pairs=pairs, ride_height=rides[index], lean=0.3, support_load_mean=loads[index], reading_doubt=3e-4
        )
        for name in ("motion_ratio", "motion_ratio_slope", "damper_length", "axial_load", "geometric_rate_doubt"):
            assert getattr(together, name)[index] == pytest.approx(getattr(alone, name), rel=1e-12)


# --- refusals -----------------------------------------------------------------------------------------------------------


def test_ride_inside_the_pairs_is_taken_and_outside_is_refused():
    pairs = leaning([height * INCH for height in UNEVEN], ride=20 * INCH)
    assert travel_table(pairs=pairs, ride_height=15 * INCH).motion_ratio > 0
    with pytest.raises(ContradictionError) as caught:
        travel_table(pairs=pairs, ride_height=14.9 * INCH)
    assert caught.value.field == "ride_height"
    assert str(caught.value) == (
        "Ride height, 14.90\u00a0in, lies outside the pairs, which run from 15.00\u00a0in to 24.50\u00a0in. "
        "Allowed: inside the pairs; read one more pair beyond ride."
    )


def test_two_heights_are_too_few():
    pairs = table([0.40, 0.40, 0.55], [0.50, 0.501, 0.64])
    with pytest.raises(ContradictionError) as caught:
        travel_table(pairs=pairs, ride_height=0.5)
    assert caught.value.field == "pairs"
    assert str(caught.value) == (
        "The pairs hold 2 wheel heights that differ. Allowed: 3 or more, better 7, from droop to bump."
    )


def test_heights_close_together_are_refused():
    heights = np.array([20.0, 20.4, 20.9]) * INCH
    with pytest.raises(ContradictionError) as caught:
        travel_table(pairs=table(heights, heights + 0.1), ride_height=20.2 * INCH)
    assert str(caught.value) == (
        "The wheel heights span only 0.90\u00a0in, too little beside readings of ± 0.06\u00a0in. "
        "Allowed: 1.00\u00a0in or more; best the whole travel."
    )
    wider = np.array([20.0, 20.4, 21.01]) * INCH
    assert travel_table(pairs=table(wider, wider + 0.1), ride_height=20.2 * INCH).motion_ratio == pytest.approx(1.0)


def test_a_reading_that_runs_the_wrong_way_is_named_by_its_row():
    pairs = table(np.array([20.0, 18.0, 22.0]) * INCH, np.array([26.0, 26.2, 28.0]) * INCH)
    with pytest.raises(ContradictionError) as caught:
        travel_table(pairs=pairs, ride_height=20 * INCH)
    assert caught.value.field == "pairs.0.damper_length"
    assert str(caught.value) == (
        "At wheel height 20.00\u00a0in the damper, 26.00\u00a0in, is shorter than it is at 18.00\u00a0in, "
        "26.20\u00a0in. Allowed: the damper grows longer as the wheel drops away from the body; read this pair again."
    )
    within_doubt = table(np.array([20.0, 18.0, 22.0]) * INCH, np.array([26.0, 26.1, 28.0]) * INCH)
    assert travel_table(pairs=within_doubt, ride_height=21 * INCH).motion_ratio > 0


def test_swapped_columns_of_an_arm_are_refused():
    heights = np.array([0.40, 0.45, 0.50, 0.55])
    with pytest.raises(ContradictionError) as caught:
        travel_table(pairs=table(heights, 0.3 + 2.5 * (heights - 0.4)), ride_height=0.5)
    assert caught.value.field == "pairs"
    assert str(caught.value) == (
        "The pairs give a motion ratio of 2.500 at ride, which no coil-over has. "
        "Allowed: from 0.100 to 2.000; check that the two columns are not swapped."
    )
    right = travel_table(pairs=table(heights, 0.3 + 0.4 * (heights - 0.4)), ride_height=0.5)
    assert right.motion_ratio == pytest.approx(0.4)


def test_run_tells_a_refused_table_as_an_input_error():
    with pytest.raises(InputError) as caught:
        run(STEP, {"pairs": table([0.40, 0.40, 0.55], [0.50, 0.501, 0.64]), "ride_height": 0.5})
    assert [error.field for error in caught.value.errors] == ["pairs"]


def test_arrays_of_reading_doubts_are_judged_one_by_one():
    pairs = leaning([height * INCH for height in UNEVEN])
    doubts = np.array([2e-4, 1.5e-3])
    found = travel_table(pairs=pairs, ride_height=0.5, lean=0.3, support_load_mean=4000.0, reading_doubt=doubts)
    for index in (0, 1):
        alone = travel_table(
            pairs=pairs, ride_height=0.5, lean=0.3, support_load_mean=4000.0, reading_doubt=float(doubts[index])
        )
        for name in ("motion_ratio", "motion_ratio_slope", "motion_ratio_slope_doubt", "fit_residual"):
            assert getattr(found, name)[index] == pytest.approx(getattr(alone, name), rel=1e-12)
