"""The gas: plain arithmetic of the gas law, the numeric derivative of its force, and every refusal."""

import math

import pytest

from calc.damper.gas import STEP, gas
from calc.errors import ContradictionError
from calc.quantity import SHOP
from calc.step import run
from calc.vocabulary import gas_force, length

INCH = 0.0254
LBF = 0.45359237 * 9.80665
PSI = LBF / INCH**2
DAMPER = {"gas_pressure": 200 * PSI, "gas_volume": 18 * INCH**3, "rod_diameter": 0.875 * INCH, "ride_travel": 5 * INCH}


def force(travel: float, exponent: float) -> float:
    """The law written again: absolute pressure times volume to the exponent stays."""
    area = math.pi / 4 * DAMPER["rod_diameter"] ** 2
    constant = (DAMPER["gas_pressure"] + 101325.0) * DAMPER["gas_volume"] ** exponent
    return (constant / (DAMPER["gas_volume"] - area * travel) ** exponent - 101325.0) * area


@pytest.mark.parametrize(("process", "exponent"), [("slow", 1.0), ("in motion", 1.4)])
@pytest.mark.parametrize("travel", [0.0, 0.05, 0.127, 0.3])
def test_force_and_rate_are_the_law_and_its_derivative(process, exponent, travel):
    """Central differences over 0.1 mm: truncation near 1e-8 of the rate, rounding near 1e-9."""
    found = gas(**{**DAMPER, "ride_travel": travel}, gas_process=process)
    assert found.gas_force == pytest.approx(force(travel, exponent), rel=1e-12)
    step = 1e-4
    assert found.gas_rate == pytest.approx(
        (force(travel + step, exponent) - force(travel - step, exponent)) / (2 * step), rel=1e-6
    )
    assert found.gas_exponent == exponent


def test_fully_extended_the_gauge_pressure_pushes_on_the_rod():
    found = gas(**{**DAMPER, "ride_travel": 0.0})
    assert found.gas_force == pytest.approx(200 * PSI * math.pi / 4 * (0.875 * INCH) ** 2)
    assert found.gas_force_extended == pytest.approx(found.gas_force)
    assert found.gas_pressure_at_ride == pytest.approx(200 * PSI)


def test_a_place_it_settled_at_bounces_at_one_point_four_times_the_slow_rate():
    found = gas(**DAMPER)
    assert found.gas_rate_bouncing == pytest.approx(1.4 * found.gas_rate)


def test_a_fast_stroke_pushes_harder_than_a_slow_one():
    slow, fast = (gas(**DAMPER, gas_process=process) for process in ("slow", "in motion"))
    assert fast.gas_force > slow.gas_force
    assert fast.gas_rate > 1.4 * slow.gas_rate


def test_warm_gas_pushes_by_the_absolute_ratio():
    """From 20 to 80 °C absolute pressure grows by 353.15 / 293.15."""
    cold, warm = gas(**DAMPER), gas(**DAMPER, gas_temperature=353.15)
    assert (warm.gas_pressure_at_ride + 101325.0) / (cold.gas_pressure_at_ride + 101325.0) == pytest.approx(
        353.15 / 293.15, rel=1e-12
    )


def test_thin_air_pushes_back_less_on_the_same_gas():
    """Charged by a gauge where it is used: the gauge pressure is the same, so is the force at full extension."""
    low, high = (gas(**DAMPER, air_pressure=air) for air in (101325.0, 70e3))
    assert low.gas_force_extended == pytest.approx(high.gas_force_extended, rel=1e-12)
    assert low.gas_force > high.gas_force


def test_full_bump_is_told_only_when_it_is_known():
    assert gas(**DAMPER).gas_force_at_bump is None
    found = gas(**DAMPER, bump_limit=11.5 * INCH)
    assert found.gas_force_at_bump == pytest.approx(force(11.5 * INCH, 1.0), rel=1e-12)


@pytest.mark.parametrize("field", ["ride_travel", "bump_limit"])
def test_a_rod_that_needs_more_room_than_the_gas_has_is_refused(field):
    """18 in³ over 0.60132 in² is 29.934 in of travel."""
    where = "there" if field == "ride_travel" else "at full bump"
    assert gas(**{**DAMPER, field: 29.9 * INCH}).gas_force > 0
    with pytest.raises(ContradictionError) as caught:
        gas(**{**DAMPER, field: 30 * INCH})
    assert caught.value.field == field
    assert str(caught.value) == (
        f"The rod needs 18.0\u00a0in³ of room {where}, and the gas has only 18.0\u00a0in³: the damper would lock before "
        "it. Allowed: less than 29.93\u00a0in of travel with this gas volume and rod."
    )


def test_a_gas_squeezed_to_less_than_a_third_is_a_caution():
    inputs = {**DAMPER, "gas_volume": 10 * INCH**3, "bump_limit": 12 * INCH}
    outcome = run(STEP, inputs)
    told = next(finding for finding in outcome.findings if finding.rule == "room for the gas at full bump")
    assert told.state == "close"
    assert told.text == (
        "At full bump only 2.8\u00a0in³ of 10.0\u00a0in³ is left, less than 3.3\u00a0in³: the pressure climbs "
        "steeply, and the gas takes over from the spring."
    )


def test_without_full_bump_the_room_is_not_checked():
    outcome = run(STEP, DAMPER)
    told = next(finding for finding in outcome.findings if finding.rule == "room for the gas at full bump")
    assert told.state == "not checked"
    assert told.text == "How much room the gas keeps at full bump: needs full bump, from full extension."


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ({"gas_pressure": 50 * PSI}, "charge usual"),
        ({"gas_pressure": 450 * PSI}, "charge usual"),
        ({"gas_temperature": 293.15 + 21.0}, "temperature"),
        ({"gas_temperature": 293.15 - 21.0}, "temperature"),
    ],
)
def test_an_odd_charge_is_a_caution_and_no_failure(changes, rule):
    assert STEP.inputs["charge_temperature"].default == 293.15
    states = {finding.rule: finding.state for finding in run(STEP, {**DAMPER, **changes}).findings}
    assert states[rule] == "close"
    assert {state for other, state in states.items() if other != rule} <= {"holds", "not checked"}


@pytest.mark.parametrize("process", ["slow", "in motion"])
def test_every_point_of_the_chart_is_the_force_that_the_step_gives(process):
    """Gas far warmer than charged, in thin air: each counts its own way in the curve."""
    inputs = {
        **DAMPER,
        "gas_process": process,
        "charge_temperature": 283.15,
        "gas_temperature": 343.15,
        "air_pressure": 80e3,
        "bump_limit": 11.5 * INCH,
    }
    outcome = run(STEP, inputs)
    panel = STEP.chart(outcome.values, SHOP).panels[0]
    along, push = SHOP.unit(length).factor, SHOP.unit(gas_force).factor
    (curve,) = (curve for curve in panel.curves if curve.quiet == (process != inputs["gas_process"]))
    assert len(curve.points) == 61
    for travel, shown in curve.points:
        at = gas(**{**inputs, "ride_travel": travel * along})
        assert shown == pytest.approx(at.gas_force / push, rel=1e-12)
    assert curve.points[-1][0] == pytest.approx(11.5, rel=1e-12)
    assert panel.dots[0].y == pytest.approx(outcome.values["gas_force"] / push, rel=1e-12)
