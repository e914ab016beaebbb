"""Unsprung weight from parts: sums and moments in plain Python, order and splitting make no difference."""

import pytest

from calc.errors import ContradictionError, InputError
from calc.step import run
from calc.units import NO_BREAK
from calc.weight.unsprung_parts import STEP, Part, unsprung_parts

FRONT = (
    Part(label="housing", mass=118.0, left_of_center=-0.174),
    Part(label="wheels", mass=92.0),
    Part(label="links", mass=24.0, counted_share=0.5, left_of_center=0.3),
)


def plain(text):
    """Return a message with its no-break spaces as spaces."""
    return str(text).replace(NO_BREAK, " ")


def test_sum_and_moment():
    found = unsprung_parts(parts=FRONT)
    assert found.unsprung_mass == pytest.approx(118 + 92 + 12)
    assert found.side_moment == pytest.approx(-118 * 0.174 + 12 * 0.3)
    assert found.unsprung_left_of_center == pytest.approx((-118 * 0.174 + 12 * 0.3) / 222)


def test_order_and_splitting_do_not_matter():
    whole = unsprung_parts(parts=FRONT)
    halves = tuple(
        Part(label=part.label, mass=part.mass / 2, counted_share=part.counted_share, left_of_center=part.left_of_center)
        for part in reversed(FRONT)
        for _ in range(2)
    )
    again = unsprung_parts(parts=halves)
    assert again.unsprung_mass == pytest.approx(whole.unsprung_mass)
    assert again.unsprung_left_of_center == pytest.approx(whole.unsprung_left_of_center)


def test_a_mirrored_axle_mirrors_its_center():
    mirrored = tuple(
        Part(mass=part.mass, counted_share=part.counted_share, left_of_center=-part.left_of_center) for part in FRONT
    )
    assert unsprung_parts(parts=mirrored).unsprung_left_of_center == pytest.approx(
        -unsprung_parts(parts=FRONT).unsprung_left_of_center
    )


def test_half_a_uniform_link_presses_on_each_end():
    """Statics of a bar on two supports: the moment about one end gives the other's load."""
    weight, length = 24.0, 0.9
    load_on_axle = weight * (length / 2) / length
    found = unsprung_parts(parts=(Part(label="link", mass=weight, counted_share=0.5),))
    assert found.unsprung_mass == pytest.approx(load_on_axle)


def test_nothing_counted_is_refused():
    with pytest.raises(ContradictionError) as caught:
        unsprung_parts(parts=(Part(mass=24.0, counted_share=0.0), Part(mass=0.0)))
    assert caught.value.field == "parts"
    assert plain(caught.value) == (
        "No part is counted: the whole weights times the shares add up to zero. "
        "Allowed: at least one part with a weight and a share above 0."
    )
    assert unsprung_parts(parts=(Part(mass=1.0),)).unsprung_mass == 1.0


def test_an_empty_list_and_a_bad_cell_are_told():
    with pytest.raises(InputError) as caught:
        run(STEP, {"parts": ()})
    assert plain(caught.value) == "Parts of the axle: 0 rows are filled in. Allowed: 1 to 40 rows."
    with pytest.raises(InputError) as caught:
        run(STEP, {"parts": (Part(mass=24.0, counted_share=1.5),)})
    assert caught.value.errors[0].field == "parts.0.counted_share"
    assert plain(caught.value) == (
        "Share counted must be at most 100.0 % (got 150.0 %). Allowed: from 0.0 % to 100.0 %. Typical: 100.0 %."
    )


def test_an_implausible_center_is_a_caution():
    far = run(STEP, {"parts": (Part(mass=100.0, left_of_center=0.4),)}).findings[0]
    assert far.state == "close"
    assert plain(far.text) == (
        "The unsprung center is at 15.75 in, left being positive, beyond 5.91 in: "
        "check the distances, and that right of center is entered as negative."
    )
    assert run(STEP, STEP.example_inputs()).findings[0].state == "holds"
