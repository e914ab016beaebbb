"""Ride frequency: plain arithmetic written again, the tire in series, and the finding on measured sag."""

import math

import pytest

from calc.errors import ContradictionError
from calc.ride.natural_frequency import STEP, natural_frequency
from calc.step import run

INCH = 0.0254
POUND = 0.45359237
LBF = POUND * 9.80665
LB_IN = LBF / INCH
CORNER = {
    "axial_rate": 30e3,
    "axial_load": 5200.0,
    "motion_ratio": 0.95,
    "motion_ratio_slope": -0.15,
    "tire_rate": 260e3,
    "sprung_mass_on_spring": 510.0,
}


def bounced(rate_at_wheel: float, tire: float, mass: float) -> float:
    """Frequency by the two deflections added: what the mass sinks in spring and tire under a unit force."""
    softness = 1 / rate_at_wheel + 1 / tire
    return 1 / (2 * math.pi * math.sqrt(mass * softness))


def test_each_rate_by_plain_arithmetic():
    found = natural_frequency(**CORNER)
    assert found.geometric_rate == pytest.approx(-780.0)
    assert found.wheel_rate == pytest.approx(30e3 * 0.9025 - 780.0)
    assert 1 / found.ride_rate == pytest.approx(1 / 26295.0 + 1 / 260e3)
    assert found.natural_frequency == pytest.approx(bounced(26295.0, 260e3, 510.0))


def test_past_the_crossover_only_the_axial_rate_changes():
    found = natural_frequency(**CORNER, axial_rate_past_crossover=80e3)
    alone = natural_frequency(**{**CORNER, "axial_rate": 80e3})
    assert found.wheel_rate_past_crossover == alone.wheel_rate
    assert found.ride_rate_past_crossover == alone.ride_rate
    assert found.natural_frequency_past_crossover == alone.natural_frequency
    assert natural_frequency(**CORNER).natural_frequency_past_crossover is None


def test_a_very_stiff_tire_leaves_the_wheel_rate():
    found = natural_frequency(**{**CORNER, "tire_rate": 1e15})
    assert found.ride_rate == pytest.approx(found.wheel_rate, rel=1e-9)


def test_the_deflection_stands_for_the_frequency():
    """The root of g / δ over 2 π is the same frequency, with δ from the rate and not from a sag."""
    found = natural_frequency(**CORNER)
    assert math.sqrt(9.80665 / found.static_deflection) / (2 * math.pi) == pytest.approx(found.natural_frequency)


def test_measured_sag_of_a_preloaded_corner_promises_too_much_and_the_finding_says_so():
    """Ours: 5.05 in of sag by f = 3.127 / sqrt(inches) is 1.39 Hz, beside 1.11 Hz from the rate."""
    outcome = run(STEP, STEP.example_inputs())
    told = next(finding for finding in outcome.findings if finding.rule == "sag is no static deflection")
    assert told.state == "close"
    assert told.text == (
        "Do not take the measured sag for the static deflection: 5.05\u00a0in would imply 1.39\u00a0Hz, but the corner "
        "rides at 1.11\u00a0Hz, more than 2\u00a0% away. Preload and a second spring hide in the sag; the rate at ride decides."
    )


def test_sag_of_a_single_spring_without_preload_agrees():
    inputs = {**CORNER, "motion_ratio": 1.0, "motion_ratio_slope": 0.0, "tire_rate": 2e6, "axial_load": 510.0 * 9.80665}
    sag = 510.0 * 9.80665 / (30e3 * 2e6 / (30e3 + 2e6))
    outcome = run(STEP, {**inputs, "ride_travel": sag})
    told = next(finding for finding in outcome.findings if finding.rule == "sag is no static deflection")
    assert told.state == "holds"


@pytest.mark.parametrize("sag", [None, 0.0])
def test_without_a_sag_nothing_is_promised(sag):
    outcome = run(STEP, {**CORNER, "ride_travel": sag})
    assert outcome.values["frequency_from_sag"] is None
    told = next(finding for finding in outcome.findings if finding.rule == "sag is no static deflection")
    assert told.state == "not checked"


def test_a_load_that_is_not_the_sprung_weight_is_noticed():
    right = {**CORNER, "axial_load": 510.0 * 9.80665 / 0.95}
    states = []
    for load in (right["axial_load"], 1.2 * right["axial_load"]):
        outcome = run(STEP, {**right, "axial_load": load})
        states.append(next(item.state for item in outcome.findings if item.rule == "load and weight agree"))
    assert states == ["holds", "close"]


def test_a_changing_ratio_that_takes_everything_is_refused():
    """12 kN on a ratio that falls by 0.1 per meter takes 1200 N/m; the spring gives 1500 × 0.81 = 1215 N/m."""
    corner = {**CORNER, "axial_rate": 1500.0, "motion_ratio": 0.9, "motion_ratio_slope": -0.1}
    assert natural_frequency(**{**corner, "axial_load": 12000.0}).wheel_rate == pytest.approx(15.0)
    with pytest.raises(ContradictionError) as caught:
        natural_frequency(**{**corner, "axial_load": 12150.0})
    assert caught.value.field == "axial_rate"
    assert str(caught.value) == (
        "The changing motion ratio takes 6.9\u00a0lb/in off the 6.9\u00a0lb/in that the spring gives at the wheel: "
        "nothing is left. Allowed: a rate that leaves some; check the change of the motion ratio and the axial load."
    )


def test_the_same_past_the_crossover_names_that_field():
    with pytest.raises(ContradictionError) as caught:
        natural_frequency(
            **{**CORNER, "motion_ratio": 1.0, "motion_ratio_slope": -1.0}, axial_rate_past_crossover=5000.0
        )
    assert caught.value.field == "axial_rate_past_crossover"
