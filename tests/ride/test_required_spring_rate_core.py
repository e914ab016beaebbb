"""The rate for a wanted frequency: forth and back again, the order, and both refusals on both sides."""

import math

import pytest

from calc.errors import ContradictionError
from calc.ride.natural_frequency import natural_frequency
from calc.ride.required_spring_rate import STEP, required_spring_rate
from calc.step import run

LB_IN = 0.45359237 * 9.80665 / 0.0254
CORNER = {
    "wanted_frequency": 1.2,
    "sprung_mass_on_spring": 520.0,
    "tire_rate": 260e3,
    "motion_ratio": 0.94,
    "motion_ratio_slope": -0.2,
    "axial_load": 5400.0,
    "gas_rate": 1100.0,
}


def test_the_corner_rides_as_wanted_with_the_rate_found():
    """Softness added up: a unit force sinks the tire, and the spring by the motion ratio twice."""
    found = required_spring_rate(**CORNER)
    at_wheel = (found.stack_rate + 1100.0) * 0.94**2 + 5400.0 * -0.2
    softness = 1 / at_wheel + 1 / 260e3
    assert 1 / (2 * math.pi * math.sqrt(520.0 * softness)) == pytest.approx(1.2, rel=1e-12)
    assert found.wheel_rate == pytest.approx(at_wheel, rel=1e-12)
    assert found.axial_rate == pytest.approx(found.stack_rate + 1100.0, rel=1e-12)


def test_forth_and_back_through_the_ride_frequency():
    found = required_spring_rate(**CORNER)
    back = natural_frequency(
        axial_rate=found.axial_rate,
        **{name: CORNER[name] for name in CORNER if name not in ("wanted_frequency", "gas_rate")},
    )
    assert back.natural_frequency == pytest.approx(1.2, rel=1e-12)
    assert back.ride_rate == pytest.approx(found.ride_rate, rel=1e-12)


def test_without_a_gas_rate_none_is_taken_and_the_finding_says_so():
    inputs = {name: value for name, value in CORNER.items() if name != "gas_rate"}
    outcome = run(STEP, inputs)
    assert outcome.values["stack_rate"] == outcome.values["axial_rate"]
    told = next(finding for finding in outcome.findings if finding.rule == "gas counted")
    assert told.state == "close"
    assert told.text == (
        "No gas rate is counted: a charged damper makes the corner stiffer than these springs alone. Assumed: gas rate, "
        "0\u00a0lb/in."
    )


def test_a_frequency_that_the_tire_cannot_reach_is_refused():
    """On 260 kN/m with 520 kg the tire alone swings at sqrt(500) / 2π = 3.5588 Hz."""
    limit = math.sqrt(500.0) / (2 * math.pi)
    assert required_spring_rate(**{**CORNER, "wanted_frequency": limit * 0.999}).stack_rate > 1e7
    with pytest.raises(ContradictionError) as caught:
        required_spring_rate(**{**CORNER, "wanted_frequency": 3.6})
    assert caught.value.field == "wanted_frequency"
    assert str(caught.value) == (
        "3.60\u00a0Hz needs a ride rate of 1,519.2\u00a0lb/in, but the tire alone has 1,484.6\u00a0lb/in: no spring reaches "
        "that. Allowed: below 3.56\u00a0Hz on this tire."
    )


def test_a_gas_that_does_it_alone_leaves_no_spring_to_choose():
    """At 0.3 Hz 520 kg need 1847.6 N/m of ride rate; tire and geometry apart, that is 3327 N/m along the coil-over."""
    soft = {**CORNER, "wanted_frequency": 0.3}
    needed = required_spring_rate(**{**soft, "gas_rate": 0.0}).axial_rate
    assert required_spring_rate(**{**soft, "gas_rate": 0.99 * needed}).stack_rate == pytest.approx(0.01 * needed)
    with pytest.raises(ContradictionError) as caught:
        required_spring_rate(**{**soft, "gas_rate": 4000.0})
    assert caught.value.field == "wanted_frequency"
    assert str(caught.value) == (
        "0.30\u00a0Hz needs 19.0\u00a0lb/in along the coil-over, and the gas alone gives 22.8\u00a0lb/in: no spring is left "
        "to choose. Allowed: a higher frequency, or less gas."
    )
