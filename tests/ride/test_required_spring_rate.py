"""The rate for a wanted frequency against a root found by scipy."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.ride.natural_frequency import natural_frequency
from calc.ride.required_spring_rate import required_spring_rate

UPRIGHT = {"axial_load": 0.0, "motion_ratio": 1.0, "motion_ratio_slope": 0.0}


@given(
    st.floats(0.7, 1.8),
    st.floats(200.0, 900.0),
    st.floats(2e5, 6e5),
    st.floats(0.5, 1.2),
    st.floats(-0.4, 0.4),
    st.floats(0.0, 2000.0),
)
def test_the_rate_is_the_root_of_the_ride_frequency(wanted, mass, tire, ratio, slope, gas):
    corner = {
        "sprung_mass_on_spring": mass,
        "tire_rate": tire,
        "motion_ratio": ratio,
        "motion_ratio_slope": slope,
        "axial_load": mass * 9.80665 / ratio,
    }
    found = required_spring_rate(**corner, wanted_frequency=wanted, gas_rate=gas)

    def missed(stack: float) -> float:
        return natural_frequency(**corner, axial_rate=stack + gas).natural_frequency - wanted

    # From where the wheel rate is just above nothing, so that the frequency exists.
    least = max(0.0, -corner["axial_load"] * slope / ratio**2) * 1.0001 - gas + 1.0
    root = brentq(missed, least, 1e8, xtol=1e-6, rtol=1e-12)
    assert found.stack_rate == pytest.approx(root, rel=1e-7, abs=1e-3)


@given(st.floats(0.7, 1.8), st.floats(200.0, 900.0), st.floats(1.01, 1.5))
def test_more_is_asked_for_a_quicker_a_heavier_and_a_softer_tired_corner(wanted, mass, more):
    base = required_spring_rate(**UPRIGHT, wanted_frequency=wanted, sprung_mass_on_spring=mass, tire_rate=4e5)
    quicker = required_spring_rate(**UPRIGHT, wanted_frequency=wanted * more, sprung_mass_on_spring=mass, tire_rate=4e5)
    heavier = required_spring_rate(**UPRIGHT, wanted_frequency=wanted, sprung_mass_on_spring=mass * more, tire_rate=4e5)
    softer = required_spring_rate(**UPRIGHT, wanted_frequency=wanted, sprung_mass_on_spring=mass, tire_rate=4e5 / more)
    assert min(quicker.stack_rate, heavier.stack_rate, softer.stack_rate) > base.stack_rate
