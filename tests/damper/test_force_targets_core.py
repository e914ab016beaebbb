"""Damping forces: plain arithmetic, the knee, both regimes, the limit by the gas, refusals. Numpy only."""

import math

import numpy as np
import pytest

from calc.damper.force_targets import STEP, force_targets
from calc.errors import ContradictionError
from calc.step import run

CORNER = {"sprung_mass_on_spring": 500.0, "wheel_rate": 20e3, "motion_ratio": 0.8, "wanted_damping_ratio": 0.3}
# Root of 20 000 × 500, twice, times 0.3, brought to the damper by 0.8².
MEAN = 2 * 0.3 * math.sqrt(1e7) / 0.64
DAMPER = {"gas_pressure": 1.4e6, "piston_diameter": 0.05, "rod_diameter": 0.02}
RING = math.pi / 4 * (0.05**2 - 0.02**2)


def test_the_mean_of_both_forces_gives_the_ratio():
    for share in (0.4, 0.5, 0.7):
        found = force_targets(**CORNER, rebound_share=share)
        assert found.wanted_damping_coefficient == pytest.approx(MEAN)
        for place, speed in (("slow", 0.127), ("middle", 0.254), ("fast", 0.508)):
            compression, rebound = (
                getattr(found, f"{direction}_force_{place}") for direction in ("compression", "rebound")
            )
            assert (compression + rebound) / 2 == pytest.approx(MEAN * speed)
            assert rebound / (compression + rebound) == pytest.approx(share)


def test_past_the_knee_the_force_grows_by_its_share():
    found = force_targets(**CORNER, knee_speed=0.2, slope_past_knee=0.25, rebound_share=0.5)
    assert found.compression_force_slow == pytest.approx(MEAN * 0.127)
    assert found.compression_force_middle == pytest.approx(MEAN * (0.2 + 0.25 * 0.054))
    assert found.rebound_force_fast == pytest.approx(MEAN * (0.2 + 0.25 * 0.308))
    at_knee = force_targets(**CORNER, knee_speed=0.2, slope_past_knee=0.25, middle_speed=0.2, rebound_share=0.5)
    assert at_knee.compression_force_middle == pytest.approx(MEAN * 0.2)


def test_past_the_crossover_the_same_ratio_takes_the_root_of_the_rates():
    found = force_targets(**CORNER, wheel_rate_past_crossover=45e3)
    assert found.force_factor_past_crossover == pytest.approx(1.5)
    assert found.wanted_damping_ratio_past_crossover == pytest.approx(0.2)
    stiff = force_targets(**{**CORNER, "wheel_rate": 45e3})
    assert stiff.rebound_force_fast == pytest.approx(1.5 * found.rebound_force_fast)
    assert force_targets(**CORNER).force_factor_past_crossover is None


def test_gas_is_in_the_forces_on_the_bench_only():
    found = force_targets(**CORNER, gas_force=600.0)
    assert found.compression_on_bench == pytest.approx(found.compression_force_middle + 600.0)
    assert found.rebound_on_bench == pytest.approx(found.rebound_force_middle - 600.0)
    assert force_targets(**CORNER).compression_on_bench is None
    assert force_targets(**CORNER).compression_force_fast == found.compression_force_fast


def test_the_limit_by_the_gas_and_the_speed_at_which_it_is_reached():
    straight = force_targets(**CORNER, **DAMPER)
    limit = (1.4e6 + 101325.0) * RING
    assert straight.compression_limit == pytest.approx(limit)
    assert straight.cavitation_speed == pytest.approx(limit / straight.compression_coefficient)
    bent = force_targets(**CORNER, **DAMPER, knee_speed=0.2, slope_past_knee=0.5, fast_speed=2.0)
    at_limit = force_targets(
        **CORNER, **DAMPER, knee_speed=0.2, slope_past_knee=0.5, fast_speed=float(bent.cavitation_speed)
    )
    assert at_limit.compression_force_fast == pytest.approx(limit)
    weak = force_targets(**CORNER, **{**DAMPER, "gas_pressure": 0.0}, knee_speed=1.0)
    assert weak.cavitation_speed == pytest.approx(101325.0 * RING / weak.compression_coefficient)
    helped = force_targets(**CORNER, **DAMPER, base_valve_pressure=5e5)
    assert helped.compression_limit == pytest.approx(limit + 5e5 * RING)


def test_no_damping_wanted_never_cavitates():
    none = force_targets(**{**CORNER, "wanted_damping_ratio": 0.0}, **DAMPER)
    assert none.compression_force_fast == 0.0
    assert none.cavitation_speed is None


def test_a_damper_that_cavitates_is_told_with_its_speed_and_cure():
    inputs = {**CORNER, "wanted_damping_ratio": 0.9, **DAMPER, "gas_pressure": 1e5, "fast_speed": 0.5}
    outcome = run(STEP, inputs)
    told = next(finding for finding in outcome.findings if finding.rule == "gas holds up the compression force")
    assert told.state == "fails"
    speed = (1e5 + 101325.0) * RING / (2 * 3 * MEAN * 0.4) / 0.0254
    assert told.text == (
        f"In compression it cavitates at {speed:.1f}\u00a0in/s, before the fast speed of 19.7\u00a0in/s: the gas can hold up no "
        "more than 75\u00a0lbf. A higher charge, a larger piston, a base valve, or a larger rebound share cures it."
    )
    alone = run(STEP, CORNER).findings
    assert {finding.rule: finding.state for finding in alone} == {
        "gas not in the forces": "not checked",
        "gas holds up the compression force": "not checked",
        "rebound share usual": "holds",
        "enough past the crossover": "not checked",
    }
    assert alone[0].text == (
        "The forces are damping alone; what a bench that leaves the gas in reads: needs gas force."
    )


def test_a_rod_as_thick_as_the_piston_is_refused():
    assert force_targets(**CORNER, gas_pressure=1e6, piston_diameter=0.0201, rod_diameter=0.02).compression_limit > 0
    with pytest.raises(ContradictionError) as caught:
        force_targets(**CORNER, gas_pressure=1e6, piston_diameter=0.0254, rod_diameter=0.0254)
    assert caught.value.field == "piston_diameter"
    assert str(caught.value) == (
        "The piston of 1.000\u00a0in is not thicker than its rod of 1.000\u00a0in. Allowed: more than the rod."
    )


def test_arrays_equal_single_values():
    pistons = np.array([0.05, 0.04])
    inputs = {**CORNER, **DAMPER, "wheel_rate_past_crossover": 5e4, "gas_force": 500.0, "slope_past_knee": 0.5}
    found = force_targets(**{**inputs, "piston_diameter": pistons})
    for index in (0, 1):
        alone = force_targets(**{**inputs, "piston_diameter": pistons[index]})
        for name in STEP.results:
            assert np.broadcast_to(getattr(found, name), 2)[index] == pytest.approx(getattr(alone, name), rel=1e-12)
