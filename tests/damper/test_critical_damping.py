"""Damping against the poles that python-control finds, and a corner with its axle."""

import math

import control
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from calc.damper.critical_damping import STEP, _let_go, critical_damping
from calc.quantity import SHOP
from calc.step import run

rates = st.floats(5e3, 3e5)
masses = st.floats(100.0, 1500.0)
ratios = st.floats(0.3, 1.3)
dampers = st.floats(100.0, 20e3)


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
