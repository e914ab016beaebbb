"""The curve through measured points against scipy's PchipInterpolator, its energy against quad."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator

from calc.damper._monotone import MonotoneCurve
from calc.damper.measured_curve import ForcePair, measured_curve
from calc.step import find, run

steps = st.lists(
    st.tuples(st.floats(0.01, 0.3), st.floats(0.0, 800.0).map(lambda rise: round(rise, 3))), min_size=2, max_size=8
)


def climbed(parts):
    places = np.cumsum([0.0, *(step for step, _ in parts)])
    heights = np.cumsum([0.0, *(rise for _, rise in parts)])
    return places, heights


@given(steps)
def test_the_curve_is_that_of_pchip_and_never_turns_back(parts):
    places, heights = climbed(parts)
    curve, theirs = MonotoneCurve(places, heights), PchipInterpolator(places, heights)
    tried = np.linspace(0.0, places[-1], 301)
    size = max(1.0, heights[-1])
    assert curve.at(tried) == pytest.approx(theirs(tried), rel=1e-10, abs=1e-10 * size)
    assert np.all(np.diff(curve.at(tried)) >= -1e-9 * size)
    assert curve.at(places) == pytest.approx(heights, abs=1e-10 * size)


@settings(max_examples=40)
@given(steps, steps, st.floats(0.005, 0.2), st.floats(0.1, 0.999))
def test_energy_is_that_of_quad_over_the_whole_swing(into, out, amplitude, share):
    speeds, compression = climbed(into)
    rebound = np.interp(speeds, *climbed(out))
    assume(compression[1] + rebound[1] > 1.0)
    pairs = tuple(
        ForcePair(speed=speed, compression=low, rebound=high)
        for speed, low, high in zip(speeds[1:], compression[1:], rebound[1:], strict=True)
    )
    peak = share * speeds[-1]
    frequency = peak / (2 * math.pi * amplitude)
    found = measured_curve(pairs=pairs, swing_amplitude=amplitude, swing_frequency=frequency)
    corners = [0.0, *(math.asin(speed / peak) for speed in speeds[1:] if speed < peak), math.pi / 2]
    whole = 0.0
    for forces in (compression, rebound):
        curve = PchipInterpolator(speeds, forces)
        for low, high in itertools.pairwise(corners):
            # Force times speed, over the time that a quarter of a swing takes, twice for there and back.
            work = quad(
                lambda angle, f=curve: float(f(peak * math.sin(angle))) * math.sin(angle), low, high, epsabs=1e-12
            )
            whole += 2 * amplitude * work[0]
    assert found.energy_per_swing == pytest.approx(whole, rel=1e-8)
    assert found.equivalent_damping_coefficient == pytest.approx(whole / (math.pi * peak * amplitude), rel=1e-8)
    assert found.compression_energy + found.rebound_energy == pytest.approx(found.energy_per_swing)


@given(st.floats(0.3, 0.95), st.floats(500.0, 4000.0))
def test_a_damper_that_bends_over_has_less_in_a_bigger_swing(power, size):
    speeds = [0.7 * (step / 30) for step in range(1, 31)]
    pairs = tuple(ForcePair(speed=v, compression=size * v**power, rebound=size * v**power) for v in speeds)
    small, large = (
        measured_curve(pairs=pairs, swing_amplitude=amplitude, swing_frequency=1.2).equivalent_damping_coefficient
        for amplitude in (0.02, 0.08)
    )
    assert large < small


def test_a_plus_minus_of_the_gas_counts_as_its_two_ends_asked_for_alone() -> None:
    step = find("measured_curve")
    given = {**step.example_inputs(), "gas_in_table": "in", "gas_force": 50.0}
    zero = {"swing_amplitude": 0.0, "swing_frequency": 0.0}
    found = run(step, given, {**zero, "gas_force": 20.0})
    low, high = (run(step, {**given, "gas_force": gas}).values["compression_equivalent"] for gas in (30.0, 70.0))
    assert found.plus_minus["compression_equivalent"] >= abs(high - low) / 2 * 0.99
    several = measured_curve(**{**given, "gas_force": np.array([30.0, 50.0, 70.0])})
    assert several.compression_equivalent == pytest.approx([low, found.values["compression_equivalent"], high])
