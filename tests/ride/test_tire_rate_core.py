"""Tire rate with pressure: plain arithmetic, limits, refusals. Numpy only; the rule itself is common practice, no source."""

import pytest

from calc.errors import ContradictionError
from calc.ride.tire_rate import STEP, tire_rate
from calc.step import run

PSI = 6894.757293168361
TIRE = {"measured_tire_rate": 260e3, "measured_tire_pressure": 25 * PSI, "tire_pressure": 19 * PSI}
LOADED = {**TIRE, "tire_load": 650.0, "measured_loaded_radius": 0.44}


def test_the_rule_by_plain_arithmetic():
    """24 / 30 of the rate, so the squash of 6374 N goes from 24.52 to 30.65 mm."""
    found = tire_rate(**LOADED)
    assert found.tire_rate_factor == pytest.approx(0.8)
    assert found.tire_rate == pytest.approx(208e3)
    assert found.tire_squash == pytest.approx(650 * 9.80665 / 208e3)
    assert found.loaded_radius_change == pytest.approx(650 * 9.80665 * (1 / 260e3 - 1 / 208e3))
    assert found.loaded_radius_at_pressure == pytest.approx(0.44 - 6.129e-3, abs=1e-6)


def test_the_same_pressure_changes_nothing_whatever_the_carcass():
    for carcass in (0.0, 3e4, 1e5):
        found = tire_rate(**{**LOADED, "tire_pressure": 25 * PSI}, carcass_pressure=carcass)
        assert found.tire_rate == 260e3
        assert found.loaded_radius_change == 0.0


def test_there_and_back_again():
    down = tire_rate(**TIRE)
    up = tire_rate(measured_tire_rate=float(down.tire_rate), measured_tire_pressure=19 * PSI, tire_pressure=25 * PSI)
    assert up.tire_rate == pytest.approx(260e3)


def test_a_carcass_that_counts_for_nothing_leaves_the_pressures():
    assert tire_rate(**TIRE, carcass_pressure=0.0).tire_rate_factor == pytest.approx(19 / 25)
    assert tire_rate(**TIRE, carcass_pressure=340e3).tire_rate_factor > 0.9


def test_without_a_weight_only_the_rate_comes():
    found = tire_rate(**TIRE)
    assert found.tire_squash is None
    assert found.loaded_radius_change is None
    assert tire_rate(**TIRE, tire_load=600.0).loaded_radius_at_pressure is None


def test_nothing_that_carries_is_refused():
    with pytest.raises(ContradictionError) as caught:
        tire_rate(**{**TIRE, "tire_pressure": 0.0}, carcass_pressure=0.0)
    assert caught.value.field == "tire_pressure"
    assert str(caught.value) == (
        "With zero pressure and zero carcass allowance the tire carries nothing. Allowed: a pressure or a "
        "carcass allowance above zero."
    )
    with pytest.raises(ContradictionError) as caught:
        tire_rate(**{**TIRE, "measured_tire_pressure": 0.0}, carcass_pressure=0.0)
    assert caught.value.field == "measured_tire_pressure"
    assert tire_rate(**{**TIRE, "tire_pressure": 0.0}).tire_rate_factor == pytest.approx(5 / 30)


def test_a_hub_on_the_ground_is_refused():
    soft = {**LOADED, "measured_tire_rate": 50e3, "tire_load": 1200.0, "measured_loaded_radius": 0.25}
    assert tire_rate(**soft).loaded_radius_at_pressure > 0.15
    with pytest.raises(ContradictionError) as caught:
        tire_rate(**{**soft, "tire_pressure": 0.0})
    assert caught.value.field == "tire_pressure"
    assert str(caught.value).replace("\u00a0", " ") == (
        "At this pressure the tire would sink by 55.60 in and put its hub on the ground. Allowed: more pressure; the "
        "rule does not reach so far."
    )


@pytest.mark.parametrize(
    ("pressure", "state"), [(16.2, "holds"), (15.8, "close"), (36.8, "holds"), (37.2, "close"), (4.0, "close")]
)
def test_the_rule_reaches_from_seven_tenths_to_fourteen(pressure, state):
    """0.7 × 30 is 21 psi, 16 by the gauge; 1.4 × 30 is 42 psi, 37 by the gauge."""
    outcome = run(STEP, {**TIRE, "tire_pressure": pressure * PSI}, dict.fromkeys(STEP.inputs, 0.0))
    assert outcome.findings[0].state == state


def test_what_is_far_off_is_told():
    outcome = run(STEP, {**LOADED, "tire_pressure": 4 * PSI}, dict.fromkeys(STEP.inputs, 0.0))
    told = {finding.rule: finding for finding in outcome.findings}
    assert told["near what was measured"].text.replace("\u00a0", " ") == (
        "445.4 lb/in is 0.300 times what was measured. The rule is good for 0.7 to 1.4 times: measure the tire at this "
        "pressure instead."
    )
    assert told["squash is not the whole tire"].state == "close"
    assert told["ride height"].state == "close"
    near = run(STEP, {**LOADED, "tire_pressure": 24 * PSI}, dict.fromkeys(STEP.inputs, 0.0))
    assert [finding.state for finding in near.findings] == ["holds", "holds", "holds"]
