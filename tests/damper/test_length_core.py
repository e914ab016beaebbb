"""Damper length: sums worked here, refusals on both sides, findings."""

import pytest

from calc.damper.length import STEP, length
from calc.errors import ContradictionError
from calc.step import run

INCH = 0.0254
FRONT = {
    "extended_length": 31 * INCH,
    "collapsed_length": 19 * INCH,
    "length_at_bump": 19.75 * INCH,
    "length_at_droop": 30.5 * INCH,
}


def test_what_the_damper_uses_and_spares_is_its_stroke():
    found = length(**FRONT)
    assert found.bump_spare + found.usable_stroke + found.droop_spare == pytest.approx(found.stroke, rel=1e-12)
    assert found.stroke / INCH == pytest.approx(12.0)
    assert found.bump_spare / INCH == pytest.approx(0.75)
    assert found.droop_spare / INCH == pytest.approx(0.5)
    assert found.longest_collapsed / INCH == pytest.approx(19.25)
    assert found.shortest_extended / INCH == pytest.approx(30.75)


def test_a_damper_as_long_as_is_told_has_just_its_margins():
    """The longest collapsed and shortest extended length put back in leave the margins and nothing more."""
    found = length(**FRONT)
    again = length(**{**FRONT, "collapsed_length": found.longest_collapsed, "extended_length": found.shortest_extended})
    assert again.bump_spare / INCH == pytest.approx(0.5)
    assert again.droop_spare / INCH == pytest.approx(0.25)
    assert again.stroke == pytest.approx(again.stroke_needed, rel=1e-12)


@pytest.mark.parametrize("stretch", [0.05, 0.065, 0.08, 0.1])
def test_a_strap_hung_full_reaches_the_wanted_droop(stretch):
    found = length(**FRONT, strap_distance=22 * INCH, strap_stretch=stretch)
    hung = found.strap_length + stretch * found.strap_length
    assert hung == pytest.approx(22 * INCH, rel=1e-12)
    at_most = found.strap_length + 0.08 * found.strap_length
    assert found.strap_overreach == pytest.approx(at_most - 22 * INCH, abs=1e-12)
    assert found.strapped_spare == pytest.approx(31 * INCH - 30.5 * INCH - (at_most - 22 * INCH), abs=1e-12)


def test_without_a_strap_nothing_is_said_of_one():
    found = length(**FRONT)
    assert found.strap_length is found.strap_overreach is found.strapped_spare is None


def refusal(**changes):
    with pytest.raises(ContradictionError) as caught:
        length(**{**FRONT, **changes})
    return caught.value.field, str(caught.value).replace("\u00a0", " ")


def test_a_damper_that_does_not_move_is_refused():
    assert length(**{**FRONT, "collapsed_length": 30.9 * INCH}).stroke > 0
    assert refusal(collapsed_length=31 * INCH) == (
        "collapsed_length",
        "The damper is 31.00 in long collapsed and 31.00 in extended. Allowed: collapsed shorter than extended.",
    )


def test_mounts_that_are_swapped_are_refused():
    assert length(**{**FRONT, "length_at_bump": 30.4 * INCH}).usable_stroke > 0
    assert refusal(length_at_bump=30.5 * INCH) == (
        "length_at_bump",
        "The mounts are 30.50 in apart with the stop solid and 30.50 in at droop. Allowed: closer together at bump; check "
        "that the two are not swapped.",
    )


def told(rule, **changes):
    outcome = run(STEP, {**FRONT, **changes})
    found = next(finding for finding in outcome.findings if finding.rule == rule)
    return found.state, found.text.replace("\u00a0", " ")


def test_findings():
    assert told("the stop is solid before the damper is")[0] == "holds"
    assert told("the stop is solid before the damper is", length_at_bump=19.1 * INCH) == (
        "fails",
        "With the bump stop solid the damper has only 0.10 in to spare; 0.50 in is wanted. Space the stop down, or take a "
        "damper that is at most 18.60 in collapsed. Assumed: margin at bump, 0.5 in.",
    )
    assert told("the mounts end before the damper does", length_at_droop=31.2 * INCH)[0] == "fails"
    assert told("the stroke is enough", length_at_bump=18.0 * INCH)[0] == "fails"
    assert told("the strap spares the damper even at its longest") == (
        "not checked",
        "Whether the strap spares the damper: needs strap ends, at full droop.",
    )
    assert told("the strap spares the damper even at its longest", strap_distance=22 * INCH)[0] == "holds"
    assert told("the strap spares the damper even at its longest", strap_distance=50 * INCH)[0] == "fails"
