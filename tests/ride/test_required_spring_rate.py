"""The rate for a wanted frequency against published answers and against a root found by scipy."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc import tables
from calc.ride.natural_frequency import natural_frequency
from calc.ride.required_spring_rate import required_spring_rate

# A busy machine must not decide a test.
unhurried = settings(deadline=None)

UPRIGHT = {"axial_load": 0.0, "motion_ratio": 1.0, "motion_ratio_slope": 0.0}


def published(source: str, name: str) -> dict:
    rows = tables.read_toml(f"published/{source}.toml")["check"]
    return next(row for row in rows if row["id"] == name)


def test_rate_of_one_of_four_springs_for_three_hertz():
    """Halliday, Resnick and Walker, chapter 15, problem 6 (read): 1450 kg on four springs, no tire."""
    expected = published("halliday_resnick_walker", "F04")["expected"][0]
    found = required_spring_rate(**UPRIGHT, wanted_frequency=3.0, sprung_mass_on_spring=1450 / 4, tire_rate=1e15)
    assert found.stack_rate == pytest.approx(expected["value"], abs=expected["tolerance"])
    assert found.ride_rate == pytest.approx(expected["value"], abs=expected["tolerance"])


def test_wheel_rate_from_ride_and_tire_rate():
    """Row M02 (an identity: springs in series, there and back)."""
    expected = published("identities", "M02")["expected"][0]
    found = required_spring_rate(**UPRIGHT, wanted_frequency=1.5, sprung_mass_on_spring=400.0, tire_rate=300e3)
    assert found.ride_rate == pytest.approx(expected["value"], abs=expected["tolerance"])
    assert 1 / (1 / found.wheel_rate + 1 / 300e3) == pytest.approx(found.ride_rate, rel=1e-9)


@unhurried
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


@unhurried
@given(st.floats(0.7, 1.8), st.floats(200.0, 900.0), st.floats(1.01, 1.5))
def test_more_is_asked_for_a_quicker_a_heavier_and_a_softer_tired_corner(wanted, mass, more):
    base = required_spring_rate(**UPRIGHT, wanted_frequency=wanted, sprung_mass_on_spring=mass, tire_rate=4e5)
    quicker = required_spring_rate(**UPRIGHT, wanted_frequency=wanted * more, sprung_mass_on_spring=mass, tire_rate=4e5)
    heavier = required_spring_rate(**UPRIGHT, wanted_frequency=wanted, sprung_mass_on_spring=mass * more, tire_rate=4e5)
    softer = required_spring_rate(**UPRIGHT, wanted_frequency=wanted, sprung_mass_on_spring=mass, tire_rate=4e5 / more)
    assert min(quicker.stack_rate, heavier.stack_rate, softer.stack_rate) > base.stack_rate
