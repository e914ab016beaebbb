"""Rescaled rate: properties for any pair of axles."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.spring.rescaled_rate import rescaled_rate

axle = st.tuples(st.floats(400, 3000), st.floats(0, 390))


@given(axle, axle, axle)
def test_two_changes_one_after_the_other_are_one(first, second, third):
    def ratio(before, after):
        return rescaled_rate(
            axle_mass_before=before[0],
            unsprung_mass_before=before[1],
            axle_mass_after=after[0],
            unsprung_mass_after=after[1],
        ).load_ratio

    assert ratio(first, second) * ratio(second, third) == pytest.approx(ratio(first, third), rel=1e-12)


@given(axle, axle, st.floats(1, 500))
def test_more_load_asks_for_more_rate(before, after, more):
    given_axles = {
        "axle_mass_before": before[0],
        "unsprung_mass_before": before[1],
        "unsprung_mass_after": after[1],
    }
    lighter = rescaled_rate(**given_axles, axle_mass_after=after[0]).load_ratio
    assert rescaled_rate(**given_axles, axle_mass_after=after[0] + more).load_ratio > lighter
