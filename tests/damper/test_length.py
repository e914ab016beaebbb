"""Damper length: what must hold for every damper and strap, and the strap solved by scipy from its stretch."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.damper.length import length

dampers = st.fixed_dictionaries(
    {
        "collapsed_length": st.floats(0.3, 0.6),
        "extended_length": st.floats(0.65, 1.0),
        "length_at_bump": st.floats(0.3, 0.6),
        "length_at_droop": st.floats(0.65, 1.0),
        "bump_margin": st.floats(0.0, 0.05),
        "droop_margin": st.floats(0.0, 0.05),
    }
)


@given(dampers)
def test_both_ends_fit_only_if_the_stroke_is_enough(damper):
    found = length(**damper)
    fits = found.bump_spare >= damper["bump_margin"] and found.droop_spare >= damper["droop_margin"]
    assert not fits or found.stroke >= found.stroke_needed - 1e-12
    assert found.bump_spare + found.usable_stroke + found.droop_spare == pytest.approx(found.stroke, abs=1e-12)


@given(dampers, st.floats(0.2, 0.9), st.floats(0.0, 0.2))
def test_the_strap_is_the_one_that_hangs_at_the_wanted_droop(damper, distance, stretch):
    found = length(**damper, strap_distance=distance, strap_stretch=stretch)
    cut = brentq(lambda free: free + stretch * free - distance, 0.0, 2.0, xtol=1e-14)
    assert found.strap_length == pytest.approx(cut, abs=1e-12)
    assert (found.strap_overreach >= 0) == (stretch <= 0.08) or abs(found.strap_overreach) < 1e-12


@given(dampers, st.floats(0.001, 0.05))
def test_moving_a_mount_moves_the_spare_from_one_end_to_the_other(damper, moved):
    """Both mounts' distances grow alike when a bracket is moved out: bump gains what droop loses."""
    before = length(**damper)
    after = length(
        **{
            **damper,
            "length_at_bump": damper["length_at_bump"] + moved,
            "length_at_droop": damper["length_at_droop"] + moved,
        }
    )
    assert after.bump_spare - before.bump_spare == pytest.approx(moved, abs=1e-12)
    assert before.droop_spare - after.droop_spare == pytest.approx(moved, abs=1e-12)
    assert after.stroke_needed == pytest.approx(before.stroke_needed, abs=1e-12)
