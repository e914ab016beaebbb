"""Damping against published answers, the poles that python-control finds, and a corner with its axle."""

import math

import control
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from calc import tables, units
from calc.damper.critical_damping import STEP, _let_go, critical_damping
from calc.quantity import SHOP
from calc.step import run

# A busy machine must not decide a test.
unhurried = settings(deadline=None)

rates = st.floats(5e3, 3e5)
masses = st.floats(100.0, 1500.0)
ratios = st.floats(0.3, 1.3)
dampers = st.floats(100.0, 20e3)


def published(source: str, name: str) -> dict:
    rows = tables.read_toml(f"published/{source}.toml")["check"]
    return next(row for row in rows if row["id"] == name)


def test_critical_damping_of_a_printed_example():
    """Thomson, example 2.7-1 (read; the amplitude ratio from memory), in its own gravity of 386 in/s²."""
    row = published("thomson", "Z02")
    expected = {item["quantity"]: item for item in row["expected"]}
    inch = units.INCH
    mass = 10 / 386 * units.POUND_FORCE / inch
    found = critical_damping(
        sprung_mass_on_spring=mass,
        wheel_rate=30 * units.POUND_FORCE / inch,
        motion_ratio=1.0,
        damping_coefficient=0.12 * units.POUND_FORCE / inch,
    )
    critical = expected["critical damping"]
    assert units.from_si(found.critical_damping, units.DAMPING.shop) == pytest.approx(
        critical["value"], abs=critical["tolerance"]
    )
    ratio = expected["damping ratio"]
    assert found.damping_ratio == pytest.approx(ratio["value"], abs=ratio["tolerance"])
    # The decrement by its own formula from our ratio: the printed one rests on the printed ratio.
    decrement = 2 * math.pi * found.damping_ratio / math.sqrt(1 - found.damping_ratio**2)
    printed, amplitudes = expected["logarithmic decrement"], expected["amplitude ratio"]
    assert decrement == pytest.approx(printed["value"], abs=printed["tolerance"])
    assert math.exp(decrement) == pytest.approx(amplitudes["value"], abs=amplitudes["tolerance"])


def test_damping_that_halves_the_swing_each_time():
    """NCERT Physics XI, problem 14.21 (secondary): it takes the undamped period, so the ratio is ln 2 / (2 π)."""
    expected = {item["quantity"]: item for item in published("ncert", "Z04")["expected"]}
    rate = 3000 * 10 / 4 / 0.15
    assert rate == expected["rate"]["value"]
    found = critical_damping(
        sprung_mass_on_spring=750.0,
        wheel_rate=rate,
        motion_ratio=1.0,
        wanted_damping_ratio=math.log(2) / (2 * math.pi),
    )
    damping = expected["damping"]
    assert found.wanted_damping_coefficient == pytest.approx(damping["value"], abs=damping["tolerance"])


def test_place_after_two_seconds():
    """Meriam and Kraige, sample problem 8/2 (secondary): 8 kg, 20 N s/m, 32 N/m, let go at 0.2 m."""
    expected = published("meriam_kraige", "Z06")["expected"][0]
    found = critical_damping(sprung_mass_on_spring=8.0, wheel_rate=32.0, motion_ratio=1.0, damping_coefficient=20.0)
    assert found.damping_ratio == pytest.approx(0.625)
    place = 0.2 * _let_go(found.damping_ratio, math.sqrt(32 / 8) * 2.0)
    assert place == pytest.approx(expected["value"], abs=expected["tolerance"])


def test_logarithmic_decrement_of_a_ratio():
    """A theory of machines question (secondary): 40 of 420; the spring is made so that 420 is critical."""
    expected = published("theory_of_machines_quiz", "Z07")["expected"][0]
    found = critical_damping(sprung_mass_on_spring=1.0, wheel_rate=210.0**2, motion_ratio=1.0, damping_coefficient=40.0)
    assert found.critical_damping == pytest.approx(420.0)
    decrement = 2 * math.pi * found.damping_ratio / math.sqrt(1 - found.damping_ratio**2)
    assert decrement == pytest.approx(expected["value"], abs=expected["tolerance"])


@unhurried
@given(masses, rates, ratios, dampers, st.floats(1.0, 6.0))
def test_ratios_are_those_of_the_poles(mass, rate, ratio, damper, step):
    """python-control's own damping ratio of m s² + c R² s + k, before and past the crossover."""
    found = critical_damping(
        sprung_mass_on_spring=mass,
        wheel_rate=rate,
        motion_ratio=ratio,
        wheel_rate_past_crossover=step * rate,
        damping_coefficient=damper,
    )
    for own, stiff in ((found.damping_ratio, rate), (found.damping_ratio_past_crossover, step * rate)):
        poles = control.poles(control.tf([1.0], [mass, damper * ratio**2, stiff]))
        # Two real poles have no ratio of their own each: their sum over twice the root of their product is the ratio.
        told = float(np.real(-np.sum(poles)) / (2 * np.sqrt(np.real(np.prod(poles)))))
        assert own == pytest.approx(told, rel=1e-6)
        if own < 0.999:
            _, natural, _ = control.damp(control.tf([1.0], [mass, damper * ratio**2, stiff]), doprint=False)
            assert natural[0] == pytest.approx(own, rel=1e-6)


@unhurried
@given(masses, rates, dampers, st.floats(1.01, 6.0))
def test_past_the_crossover_there_is_always_less(mass, rate, damper, step):
    found = critical_damping(
        sprung_mass_on_spring=mass,
        wheel_rate=rate,
        motion_ratio=1.0,
        wheel_rate_past_crossover=step * rate,
        damping_coefficient=damper,
        tire_rate=260e3,
    )
    assert found.damping_ratio_past_crossover < found.damping_ratio
    assert found.damping_ratio_on_tire < found.damping_ratio
    assert found.critical_damping_past_crossover > found.critical_damping


@unhurried
@given(st.floats(300.0, 800.0), st.floats(15e3, 60e3), st.floats(0.05, 0.15))
def test_the_ratio_on_the_tire_is_that_of_the_slow_mode_of_two_masses(mass, rate, ratio):
    """Oracle: the poles of body, axle, damper and tire by numpy.

    The formula leaves out the axle's mass and the square of the ratio: with 2 % of the body's mass as axle and ratios
    up to 0.15 both stay below 5 %.
    """
    axle, tire = 0.02 * mass, 260e3
    damper = ratio * 2 * math.sqrt(rate * mass)
    found = critical_damping(
        sprung_mass_on_spring=mass, wheel_rate=rate, motion_ratio=1.0, damping_coefficient=damper, tire_rate=tire
    )
    motion = np.array(
        [
            [0, 0, 1, 0],
            [0, 0, 0, 1],
            [-rate / mass, rate / mass, -damper / mass, damper / mass],
            [rate / axle, -(rate + tire) / axle, damper / axle, -damper / axle],
        ]
    )
    poles = np.linalg.eigvals(motion)
    slow = min((pole for pole in poles if pole.imag > 0), key=abs)
    assert found.damping_ratio_on_tire == pytest.approx(-slow.real / abs(slow), rel=0.05)


@pytest.mark.parametrize("ratio", [0.05, 0.35, 0.999, 1.0, 1.001, 2.5])
def test_the_swing_in_the_chart_is_the_integrated_motion(ratio):
    """scipy.integrate.solve_ivp of x'' + 2 ζ x' + x = 0 let go at 1, at a tolerance of 1e-10."""
    times = np.linspace(0.0, 12.0, 25)
    solved = solve_ivp(
        lambda _time, state: [state[1], -state[0] - 2 * ratio * state[1]],
        (0.0, 12.0),
        [1.0, 0.0],
        t_eval=times,
        rtol=1e-10,
        atol=1e-12,
    )
    drawn = [_let_go(ratio, float(time)) for time in times]
    assert drawn == pytest.approx(solved.y[0].tolist(), abs=1e-8)


def test_the_chart_has_a_curve_for_each_regime_and_the_critical_one():
    outcome = run(STEP, STEP.example_inputs())
    assert STEP.chart is not None
    chart = STEP.chart(outcome.values, SHOP)
    assert [curve.label for curve in chart.panels[0].curves] == [
        "critically damped",
        "before the crossover",
        "past the crossover",
    ]
    least = {curve.label: min(point[1] for point in curve.points if point) for curve in chart.panels[0].curves}
    assert least["critically damped"] > 0 > least["before the crossover"] > least["past the crossover"]
