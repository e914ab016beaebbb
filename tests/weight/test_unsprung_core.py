"""Sprung and unsprung: the difference, its refusals on both sides, and the finding on the share."""

import pytest

from calc.errors import ContradictionError
from calc.quantity import METRIC
from calc.step import run
from calc.units import NO_BREAK
from calc.weight.unsprung import STEP, unsprung


def plain(text):
    """Return a message with its no-break spaces as spaces."""
    return str(text).replace(NO_BREAK, " ")


def test_what_is_sprung_and_unsprung_makes_the_axle():
    for axle, below in ((1315.4, 342.5), (1084.1, 298.0), (900.0, 0.0)):
        found = unsprung(axle_mass=axle, unsprung_mass=below)
        assert found.sprung_mass + below == pytest.approx(axle, rel=1e-15)
        assert found.unsprung_share * axle == pytest.approx(below, rel=1e-15)


def test_unsprung_must_be_less_than_the_axle():
    with pytest.raises(ContradictionError) as caught:
        unsprung(axle_mass=300.0, unsprung_mass=300.0)
    assert caught.value.field == "unsprung_mass"
    assert plain(caught.value) == (
        "Unsprung weight, 661 lb, is not less than the axle weight, 661 lb. "
        "Allowed: 0 and more, and below the axle weight."
    )
    assert plain(caught.value.message(METRIC)) == (
        "Unsprung weight, 300.0 kg, is not less than the axle weight, 300.0 kg. "
        "Allowed: 0 and more, and below the axle weight."
    )
    assert unsprung(axle_mass=300.0, unsprung_mass=299.0).sprung_mass == 1.0


def test_plus_minus_by_hand():
    """14 lb on the axle and 5 % of 755 lb unsprung, in squares."""
    pound = 0.45359237
    found = run(STEP, STEP.example_inputs())
    by_hand = ((14 * pound) ** 2 + (0.05 * 755 * pound) ** 2) ** 0.5
    assert found.plus_minus["sprung_mass"] == pytest.approx(by_hand, rel=1e-9)


@pytest.mark.parametrize(
    ("unsprung_mass", "state"), [(60.0, "close"), (260.0, "holds"), (390.0, "close"), (700.0, "close")]
)
def test_an_odd_share_is_a_caution_only(unsprung_mass, state):
    found = run(STEP, {"axle_mass": 1000.0, "unsprung_mass": unsprung_mass}).findings[0]
    assert found.state == state


def test_a_share_beyond_the_usual_says_what_to_do():
    found = run(STEP, {"axle_mass": 1000.0, "unsprung_mass": 700.0}).findings[0]
    assert plain(found.text) == (
        "70.0 % of the axle weight is unsprung, beyond 40.0 %: go through the parts again, "
        "or weigh the bare axle with its wheels."
    )
