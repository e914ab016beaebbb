"""The travel table's fit against numpy's polyfit, a constrained solve of scipy, and drawn reading errors."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from calc.geometry import travel_table as module
from calc.geometry.travel_table import TravelPair, travel_table

HEIGHTS = np.array([0.622, 0.584, 0.533, 0.508, 0.470, 0.432, 0.381])
RIDE = 0.508


def table(heights, lengths):
    return tuple(
        TravelPair(wheel_height=float(height), damper_length=float(length))
        for height, length in zip(heights, lengths, strict=True)
    )


def at_ride(drop, lengths):
    """Length, slope and bend at 0 of numpy's parabola through the squares, an error of a length counting alike everywhere."""
    bend, slope, level = np.polyfit(drop, lengths**2, 2, w=1 / (2 * lengths))
    length = math.sqrt(level)
    slope = slope / (2 * length)
    return length, slope, (bend - slope**2) / length


@given(st.floats(0.0, 0.45), st.floats(0.4, 0.9), st.lists(st.floats(-1.5e-3, 1.5e-3), min_size=7, max_size=7))
def test_a_rising_fit_is_the_plain_least_squares_parabola(lean, length, errors):
    """Readings within their doubt of a leaning coil-over: numpy.polyfit gives the same slope and bend."""
    drop = HEIGHTS - RIDE
    lengths = np.hypot(length * math.cos(lean) + drop, length * math.sin(lean)) + np.array(errors)
    found = travel_table(pairs=table(HEIGHTS, lengths), ride_height=RIDE, reading_doubt=3e-3)
    level, slope, bend = at_ride(drop, lengths)
    assert found.motion_ratio == pytest.approx(slope, rel=1e-8)
    assert found.motion_ratio_slope_fitted == pytest.approx(-bend, rel=1e-6, abs=1e-7)
    assert found.damper_length == pytest.approx(level, rel=1e-10)


def test_where_the_plain_parabola_turns_back_the_held_one_is_the_best_that_does_not():
    """Oracle: scipy's bounded least squares over the slopes at both ends, none below 0: enough for a parabola."""
    heights = np.array([0.40, 0.43, 0.46, 0.50, 0.60])
    lengths = np.array([0.5000, 0.4990, 0.5000, 0.5060, 0.5700])
    drop, span = heights - 0.4, 0.2
    assert np.polyfit(drop, lengths, 2)[1] < 0
    # A slope that runs straight from `low` at 0 to `high` at the span integrates to these two columns.
    columns = np.stack([np.ones(5), drop - drop**2 / (2 * span), drop**2 / (2 * span)], axis=1)
    weight = 1 / (2 * lengths)
    bounds = ([-np.inf, 0, 0], np.inf)
    held = lsq_linear(columns * weight[:, None], lengths**2 * weight, bounds=bounds, method="bvls")
    level, low, high = held.x
    assert low == 0.0
    found = travel_table(pairs=table(heights, lengths), ride_height=0.55, reading_doubt=4e-3)
    length = math.sqrt(level + high * 0.15**2 / (2 * span))
    slope = high * 0.15 / span / (2 * length)
    assert found.motion_ratio == pytest.approx(slope, rel=1e-9)
    assert found.motion_ratio_slope_fitted == pytest.approx(-(high / span / 2 - slope**2) / length, rel=1e-9)
    assert found.damper_length == pytest.approx(length, rel=1e-9)


def test_the_doubt_of_the_change_is_what_drawn_reading_errors_give():
    """4000 tables with normal errors in both readings (k = 2 is 1/16 in each), each fitted by numpy.polyfit.

    The spread of 4000 draws is known to 1.1 %; 4 % allows three times that and the bend of the curve.
    """
    doubt = 0.0254 / 16
    generator = np.random.default_rng(20261125)
    drop = HEIGHTS - RIDE
    exact = np.hypot(0.659 * math.cos(0.21) + drop, 0.659 * math.sin(0.21))
    bends = [
        at_ride(
            drop + generator.normal(0.0, doubt / 2, drop.size), exact + generator.normal(0.0, doubt / 2, drop.size)
        )[2]
        for _ in range(4000)
    ]
    found = travel_table(pairs=table(HEIGHTS, exact), ride_height=RIDE, reading_doubt=doubt)
    assert found.motion_ratio_slope_doubt == pytest.approx(2 * np.std(bends), rel=0.04)


@given(st.floats(0.0, 0.45), st.floats(0.45, 0.9))
def test_a_leaning_coil_over_is_found_again(lean, length):
    """Exact readings leave nothing: the square of the length is a parabola."""
    drop = HEIGHTS - RIDE
    lengths = np.hypot(length * math.cos(lean) + drop, length * math.sin(lean))
    found = travel_table(pairs=table(HEIGHTS, lengths), ride_height=RIDE, lean=lean, support_load_mean=5000.0)
    assert found.motion_ratio == pytest.approx(math.cos(lean), rel=1e-9)
    slope = -(math.sin(lean) ** 2) / length
    assert found.motion_ratio_slope_fitted == pytest.approx(slope, rel=1e-6, abs=1e-8)
    assert found.motion_ratio_slope_mounts == pytest.approx(slope, rel=1e-9, abs=1e-12)


@given(st.floats(-0.2, 0.2))
def test_where_zero_lies_does_not_matter(shift):
    lengths = np.hypot(0.64 + HEIGHTS - RIDE, 0.14)
    one = travel_table(pairs=table(HEIGHTS, lengths), ride_height=RIDE)
    other = travel_table(pairs=table(HEIGHTS + shift, lengths), ride_height=RIDE + shift)
    assert other.motion_ratio == pytest.approx(one.motion_ratio, rel=1e-9)
    assert other.motion_ratio_slope_fitted == pytest.approx(one.motion_ratio_slope_fitted, rel=1e-6)
    assert other.motion_ratio_slope_doubt == pytest.approx(one.motion_ratio_slope_doubt, rel=1e-9)


@given(st.permutations(range(7)))
def test_rows_in_any_order_give_one_answer(order):
    lengths = np.hypot(0.64 + HEIGHTS - RIDE, 0.14)
    one = travel_table(pairs=table(HEIGHTS, lengths), ride_height=RIDE)
    other = travel_table(pairs=table(HEIGHTS[list(order)], lengths[list(order)]), ride_height=RIDE)
    assert other.motion_ratio == pytest.approx(one.motion_ratio, rel=1e-10)


def test_a_height_is_looked_at_once(monkeypatch):
    """An edit asks for some thirty tables: of each, length, slope, bend and doubt come of one look at its curve."""
    pairs = table(HEIGHTS, np.hypot(0.64 + HEIGHTS - RIDE, 0.14))
    travel_table(pairs=pairs, ride_height=RIDE)
    basis, asked = module._basis, []
    monkeypatch.setattr(
        module, "_basis", lambda degree, derivative: asked.append(derivative) or basis(degree, derivative)
    )
    travel_table(pairs=pairs, ride_height=RIDE + 0.001)
    assert asked == [0, 1, 2]
