"""Measured rate: scipy's linregress on random springs, and what must hold for every set of readings."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import linregress

from calc.spring.measured_rate import Reading, measured_rate

springs = st.tuples(st.floats(10e3, 200e3), st.floats(0.2, 0.5))
squashes = st.lists(st.floats(0.01, 0.15), min_size=3, max_size=12, unique=True)
noise = st.lists(st.floats(-20.0, 20.0), min_size=12, max_size=12)


def read(spring, squash, off):
    rate, free = spring
    return tuple(
        Reading(spring_length=free - along, press_force=max(rate * along + miss, 0.0))
        for along, miss in zip(squash, off, strict=False)
    )


@given(springs, squashes, noise)
def test_the_line_is_linregress(spring, squash, off):
    """Its error comes from one less the squared correlation, good to about a millionth of the rate."""
    assume(max(squash) - min(squash) > 0.02)
    pairs = read(spring, squash, off)
    line = linregress([pair.spring_length for pair in pairs], [pair.press_force for pair in pairs])
    assume(line.slope < 0)
    found = measured_rate(readings=pairs)
    assert found.spring_rate == pytest.approx(-line.slope, rel=1e-8)
    assert found.free_length == pytest.approx(-line.intercept / line.slope, rel=1e-8)
    assert found.rate_doubt == pytest.approx(2 * line.stderr, rel=1e-5, abs=1e-6 * spring[0])


@given(springs, squashes)
def test_a_true_spring_is_found_again(spring, squash):
    assume(max(squash) - min(squash) > 0.02)
    found = measured_rate(readings=read(spring, squash, [0.0] * 12))
    assert found.spring_rate == pytest.approx(spring[0], rel=1e-9)
    assert found.free_length == pytest.approx(spring[1], rel=1e-9)
    assert found.largest_miss <= 1e-6 * spring[0]


@given(springs, squashes, noise, st.floats(0.5, 2.0))
def test_a_scale_that_reads_all_too_high_by_a_share_moves_the_rate_and_not_the_free_length(spring, squash, off, share):
    assume(max(squash) - min(squash) > 0.02)
    pairs = read(spring, squash, off)
    assume(linregress([pair.spring_length for pair in pairs], [pair.press_force for pair in pairs]).slope < 0)
    true = measured_rate(readings=pairs)
    high = measured_rate(
        readings=tuple(
            Reading(spring_length=pair.spring_length, press_force=share * pair.press_force) for pair in pairs
        )
    )
    assert high.spring_rate == pytest.approx(share * true.spring_rate, rel=1e-9)
    assert high.free_length == pytest.approx(true.free_length, rel=1e-9)
