"""Rescaled rate: the factor by hand, what it keeps and what it does not, and both refusals."""

import math

import pytest

from calc.errors import ContradictionError
from calc.spring.rescaled_rate import STEP, rescaled_rate
from calc.step import run
from calc.units import NO_BREAK

AXLE = {
    "axle_mass_before": 1112.7,
    "unsprung_mass_before": 247.7,
    "axle_mass_after": 1315.4,
    "unsprung_mass_after": 342.5,
}
LB_IN = 0.45359237 * 9.80665 / 0.0254


def plain(text):
    """Return a message with its no-break spaces as spaces."""
    return str(text).replace(NO_BREAK, " ")


def test_factor_by_hand():
    """(1315.4 - 342.5) / (1112.7 - 247.7) = 972.9 / 865.0, by long division 1.124740."""
    assert rescaled_rate(**AXLE).load_ratio == pytest.approx(1.124740, abs=5e-7)


def test_nothing_changed_is_one_and_back_is_the_inverse():
    same = rescaled_rate(
        axle_mass_before=900.0, unsprung_mass_before=200.0, axle_mass_after=900.0, unsprung_mass_after=200.0
    )
    assert same.load_ratio == 1.0
    back = rescaled_rate(
        axle_mass_before=1315.4, unsprung_mass_before=342.5, axle_mass_after=1112.7, unsprung_mass_after=247.7
    )
    assert back.load_ratio * rescaled_rate(**AXLE).load_ratio == pytest.approx(1.0, rel=1e-14)


def test_a_heavier_axle_alone_asks_for_nothing():
    """Only what the springs carry counts: 95 kg more axle on the tires leaves the factor at 1."""
    found = rescaled_rate(
        axle_mass_before=1100.0, unsprung_mass_before=250.0, axle_mass_after=1195.0, unsprung_mass_after=345.0
    )
    assert found.load_ratio == 1.0


def ride(rates, lengths, preload, load, lean, damper_length):
    """Where a two-spring coil-over settles without a tire or gas, by bisection, and its body frequency.

    The geometry is a coil-over that leans: motion ratio cos(lean), which falls as the wheel rises.
    """
    series = rates[0] * rates[1] / (rates[0] + rates[1])

    def wheel_force(travel):
        return series * (preload + travel) * math.cos(lean)

    low, high = 0.0, sum(lengths)
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if wheel_force(middle) < load else (low, middle)
    axial = load / math.cos(lean)
    wheel_rate = series * math.cos(lean) ** 2 - axial * math.sin(lean) ** 2 / damper_length
    return low, math.sqrt(wheel_rate / (load / 9.80665)) / (2 * math.pi), wheel_rate


def test_height_and_frequency_stay_whatever_the_motion_ratio():
    factor = rescaled_rate(**AXLE).load_ratio
    before = 865.0 / 2 * 9.80665
    for lean in (0.0, math.radians(12), math.radians(25)):
        old = ride((150 * LB_IN, 250 * LB_IN), (0.3, 0.4), 0.08, before, lean, 0.6)
        new = ride((150 * LB_IN * factor, 250 * LB_IN * factor), (0.3, 0.4), 0.08, before * factor, lean, 0.6)
        assert new[0] == pytest.approx(old[0], rel=1e-9)
        assert new[1] == pytest.approx(old[1], rel=1e-9)


def test_the_tire_in_series_takes_less_than_one_percent():
    """The page says so for Wren's front axle."""
    factor = rescaled_rate(**AXLE).load_ratio
    load = 865.0 / 2 * 9.80665
    wheel = ride((150 * LB_IN, 250 * LB_IN), (0.3, 0.4), 0.08, load, math.radians(12), 0.6)[2]
    tire = 260e3
    before = math.sqrt(wheel * tire / (wheel + tire) / load)
    after = math.sqrt(wheel * factor * tire / (wheel * factor + tire) / (load * factor))
    assert 0.99 < after / before < 1.0


@pytest.mark.parametrize(
    ("changes", "field", "message"),
    [
        (
            {"unsprung_mass_before": 1112.7},
            "unsprung_mass_before",
            "Unsprung weight before, 2,453 lb, is not less than the axle weight before, 2,453 lb. "
            "Allowed: 0 and more, and below the axle weight.",
        ),
        (
            {"unsprung_mass_after": 1400.0},
            "unsprung_mass_after",
            "Unsprung weight after, 3,086 lb, is not less than the axle weight after, 2,900 lb. "
            "Allowed: 0 and more, and below the axle weight.",
        ),
    ],
)
def test_unsprung_must_be_less_than_the_axle(changes, field, message):
    with pytest.raises(ContradictionError) as caught:
        rescaled_rate(**{**AXLE, **changes})
    assert caught.value.field == field
    assert plain(caught.value) == message


def test_just_below_the_axle_weight_is_accepted():
    assert rescaled_rate(**{**AXLE, "unsprung_mass_before": 1112.6}).load_ratio == pytest.approx(9729.0, rel=1e-9)
    assert rescaled_rate(**{**AXLE, "unsprung_mass_after": 1315.3}).load_ratio == pytest.approx(0.1 / 865.0, rel=1e-9)


def test_plus_minus_by_hand():
    """First order: each weight's doubt over the load before, the one before times the factor as well."""
    found = run(STEP, AXLE, dict.fromkeys(AXLE, 5.0))
    ratio = 972.9 / 865.0
    by_hand = 5.0 / 865.0 * math.sqrt(2 + 2 * ratio**2)
    # The step moves each value up and down by the whole doubt, so a little curvature is left.
    assert found.plus_minus["load_ratio"] == pytest.approx(by_hand, rel=1e-3)


def test_a_large_factor_is_a_caution():
    found = run(STEP, {**AXLE, "axle_mass_after": 2000.0})
    assert [finding.state for finding in found.findings] == ["holds", "close"]
    assert found.findings[1].text == (
        "The factor 1.916 is outside 0.6 to 1.6: tire, gas and solid length no longer scale; work through the whole rig."
    )
