"""Ride frequency against published answers and against the free motion of a leaning coil-over on its tire."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from calc import tables, units
from calc.geometry.mount_points import mount_points
from calc.ride.natural_frequency import natural_frequency
from calc.ride.required_spring_rate import required_spring_rate

# A busy machine must not decide a test.
unhurried = settings(deadline=None)

GRAVITY = 9.80665
UPRIGHT = {"axial_load": 0.0, "motion_ratio": 1.0, "motion_ratio_slope": 0.0}
RIGID = 1e15


def published(source: str, name: str) -> dict:
    rows = tables.read_toml(f"published/{source}.toml")["check"]
    return next(row for row in rows if row["id"] == name)


def si(text: str, kind: units.Kind) -> float:
    number, unit = units.split_number(text)
    return units.to_si(number, kind.unit(unit))


def test_ride_rates_and_frequencies_of_a_printed_example():
    """Gillespie (1992), chapter 5, example 1, from memory; its 0.159 sqrt(K × 386 / W) rounds both constants."""
    row = published("gillespie_1992", "H05")
    expected = {item["quantity"]: item for item in row["expected"]}
    for axle in ("front", "rear"):
        found = natural_frequency(
            **UPRIGHT,
            axial_rate=si(row["inputs"][f"{axle}_suspension_rate"], units.RATE),
            tire_rate=si(row["inputs"]["tire_rate"], units.RATE),
            sprung_mass_on_spring=si(row["inputs"][f"{axle}_load"], units.MASS),
        )
        rate, frequency = expected[f"{axle} ride rate"], expected[f"{axle} frequency"]
        assert units.from_si(found.ride_rate, units.RATE.shop) == pytest.approx(rate["value"], abs=rate["tolerance"])
        assert found.natural_frequency == pytest.approx(frequency["value"], abs=frequency["tolerance"])


@pytest.mark.parametrize(("name", "unit"), [("F01", "in"), ("F02", "mm")])
def test_frequency_times_root_of_deflection(name, unit):
    """Gillespie (1992), chapter 5, and the same law in mm: both from memory."""
    expected = published("gillespie_1992", name)["expected"][0]
    found = natural_frequency(**UPRIGHT, axial_rate=25e3, tire_rate=260e3, sprung_mass_on_spring=480.0)
    deflection = units.from_si(found.static_deflection, units.LENGTH.unit(unit))
    assert found.natural_frequency * math.sqrt(deflection) == pytest.approx(
        expected["value"], abs=expected["tolerance"]
    )


def test_one_hertz_is_a_deflection_of_ten_inches():
    """Gillespie, text to figure 5.19, from memory: printed as 10 in, exact 9.78 in."""
    expected = published("gillespie_1992", "F03")["expected"][0]
    wanted = required_spring_rate(**UPRIGHT, wanted_frequency=1.0, sprung_mass_on_spring=500.0, tire_rate=260e3)
    found = natural_frequency(**UPRIGHT, axial_rate=wanted.stack_rate, tire_rate=260e3, sprung_mass_on_spring=500.0)
    assert found.natural_frequency == pytest.approx(1.0)
    assert found.static_deflection / units.INCH == pytest.approx(expected["value"], abs=expected["tolerance"])


def test_period_of_a_car_that_sank_under_its_passengers():
    """A university physics quiz (secondary): 980 N sink the car 2.8 cm, and 1100 kg then swing."""
    row = published("university_physics_quiz", "F06")
    found = natural_frequency(**UPRIGHT, axial_rate=980 / 0.028, tire_rate=RIGID, sprung_mass_on_spring=1100.0)
    expected = row["expected"][0]
    assert 1 / found.natural_frequency == pytest.approx(expected["value"], abs=expected["tolerance"])


def test_frequency_of_a_bouncing_car():
    """OpenStax College Physics, examples 16.4 and 16.6 (secondary: inputs read, printed answers from memory)."""
    row = published("openstax", "F08")
    found = natural_frequency(**UPRIGHT, axial_rate=6.53e4, tire_rate=RIGID, sprung_mass_on_spring=900.0)
    frequency, period, speed = row["expected"]
    assert found.natural_frequency == pytest.approx(frequency["value"], abs=frequency["tolerance"])
    assert 1 / found.natural_frequency == pytest.approx(period["value"], abs=period["tolerance"])
    assert 2 * math.pi * found.natural_frequency * 0.1 == pytest.approx(speed["value"], abs=speed["tolerance"])


def test_free_motion_of_a_leaning_coil_over_on_its_tire():
    """The whole nonlinear corner, integrated: eyes and lean as they move, a massless axle in balance, 1 mm of bounce.

    Period from the upward crossings of 20 swings. At 1 mm the nonlinearity is of the order of 1e-5 of the frequency.
    """
    lean, length, rate, tire, mass = math.radians(24), 0.62, 32e3, 240e3, 480.0
    ratio = math.cos(lean)
    load = mass * GRAVITY
    axial = load / ratio
    upright, across = length * math.cos(lean), length * math.sin(lean)

    def upward(travel: float) -> float:
        """Force that holds the body up when the wheel stands this far above its place at ride."""
        now = math.hypot(upright - travel, across)
        return (axial + rate * (length - now)) * (upright - travel) / now

    def push(body: float) -> float:
        """The same for the body's own height: the massless axle settles where spring and tire agree."""
        travel = brentq(lambda wheel: upward(wheel) - load + tire * (wheel + body), -0.05, 0.05, xtol=1e-14)
        return upward(travel)

    def motion(_time: float, state: np.ndarray) -> list[float]:
        return [state[1], push(state[0]) / mass - GRAVITY]

    def rising(_time: float, state: np.ndarray) -> float:
        return float(state[0])

    rising.direction = 1.0  # type: ignore[attr-defined]
    swings = 20
    mounts = mount_points(lean=lean, damper_length=length)
    found = natural_frequency(
        axial_rate=rate,
        axial_load=axial,
        motion_ratio=mounts.motion_ratio,
        motion_ratio_slope=mounts.motion_ratio_slope,
        tire_rate=tire,
        sprung_mass_on_spring=mass,
    )
    solved = solve_ivp(
        motion,
        (0.0, (swings + 1) / found.natural_frequency),
        [-1e-3, 0.0],
        events=rising,
        rtol=1e-9,
        atol=1e-12,
    )
    crossings = solved.t_events[0]
    measured = (len(crossings) - 1) / (crossings[-1] - crossings[0])
    assert len(crossings) >= swings
    assert found.natural_frequency == pytest.approx(measured, rel=1e-4)
    flat = natural_frequency(
        axial_rate=rate,
        axial_load=axial,
        motion_ratio=mounts.motion_ratio,
        motion_ratio_slope=0.0,
        tire_rate=tire,
        sprung_mass_on_spring=mass,
    )
    # Without the geometric term the answer is off by far more than the tolerance: the test can tell.
    assert abs(flat.natural_frequency - measured) > 20e-4 * measured


rates = st.floats(5e3, 3e5)
masses = st.floats(100.0, 1500.0)
ratios = st.floats(0.3, 1.3)


@unhurried
@given(rates, masses, ratios, st.floats(5e4, 2e6), st.floats(1.01, 3.0))
def test_stiffer_is_quicker_and_heavier_is_slower(rate, mass, ratio, tire, more):
    corner = {"axial_load": mass * GRAVITY / ratio, "motion_ratio": ratio, "motion_ratio_slope": 0.0}
    base = natural_frequency(**corner, axial_rate=rate, tire_rate=tire, sprung_mass_on_spring=mass)
    stiff = natural_frequency(**corner, axial_rate=rate * more, tire_rate=tire, sprung_mass_on_spring=mass)
    heavy = natural_frequency(**corner, axial_rate=rate, tire_rate=tire, sprung_mass_on_spring=mass * more)
    hard = natural_frequency(**corner, axial_rate=rate, tire_rate=tire * more, sprung_mass_on_spring=mass)
    assert stiff.natural_frequency > base.natural_frequency
    assert hard.natural_frequency > base.natural_frequency
    assert heavy.natural_frequency == pytest.approx(base.natural_frequency / math.sqrt(more))
    assert base.ride_rate < min(base.wheel_rate, tire)


@unhurried
@given(rates, masses, ratios, st.floats(1.1, 4.0))
def test_load_and_rate_scaled_together_keep_the_frequency(rate, mass, ratio, factor):
    """The first answer of the handbook: with the tire scaled too, load and rates together change nothing."""
    slope, tire = -0.1, 260e3
    base = natural_frequency(
        axial_rate=rate,
        axial_load=mass * GRAVITY / ratio,
        motion_ratio=ratio,
        motion_ratio_slope=slope * rate * ratio**3 / (mass * GRAVITY),
        tire_rate=tire,
        sprung_mass_on_spring=mass,
    )
    scaled = natural_frequency(
        axial_rate=rate * factor,
        axial_load=factor * mass * GRAVITY / ratio,
        motion_ratio=ratio,
        motion_ratio_slope=slope * rate * ratio**3 / (mass * GRAVITY),
        tire_rate=tire * factor,
        sprung_mass_on_spring=mass * factor,
    )
    assert scaled.natural_frequency == pytest.approx(base.natural_frequency)
