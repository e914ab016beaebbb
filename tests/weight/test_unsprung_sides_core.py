"""Unsprung weight by sides: plain sums, mirror images, and what support loads makes of them."""

import numpy as np
import pytest

from calc.constants import GRAVITY
from calc.errors import ContradictionError
from calc.step import run
from calc.weight.support_load import support_load
from calc.weight.unsprung_sides import STEP, SidePart, unsprung_sides

PARTS = (
    SidePart(label="wheel", mass=46.0),
    SidePart(label="arm", mass=12.0, counted_share=0.5),
    SidePart(label="steering damper", mass=6.0, counted_share=0.5, side="left"),
    SidePart(label="bracket", mass=2.0, side="right"),
)


def test_each_side_has_its_own_sum():
    found = unsprung_sides(parts=PARTS, track=1.6)
    assert found.left_unsprung_mass == pytest.approx(46 + 6 + 3)
    assert found.right_unsprung_mass == pytest.approx(46 + 6 + 2)
    assert found.unsprung_mass == pytest.approx(109)
    assert found.unsprung_left_of_center == pytest.approx((55 * 0.8 - 54 * 0.8) / 109)


def test_mirrored_parts_mirror_the_sides():
    other = {"left": "right", "right": "left", "each": "each"}
    mirrored = tuple(
        SidePart(mass=part.mass, counted_share=part.counted_share, side=other[part.side]) for part in PARTS
    )
    one, two = unsprung_sides(parts=PARTS, track=1.6), unsprung_sides(parts=mirrored, track=1.6)
    assert (one.left_unsprung_mass, one.right_unsprung_mass) == (two.right_unsprung_mass, two.left_unsprung_mass)
    assert one.unsprung_left_of_center == pytest.approx(-two.unsprung_left_of_center)


def test_one_on_each_side_is_one_left_and_one_right():
    apart = tuple(
        SidePart(mass=part.mass, counted_share=part.counted_share, side=side)
        for part in PARTS
        for side in (("left", "right") if part.side == "each" else (part.side,))
    )
    assert unsprung_sides(parts=apart, track=1.6) == unsprung_sides(parts=PARTS, track=1.6)


def test_support_loads_take_each_wheel_off_its_own_reading():
    """By statics of one wheel: what its spring holds up is its reading less what it carries itself."""
    sides = unsprung_sides(parts=PARTS, track=1.6)
    found = support_load(
        axle_kind="independent",
        axle_left_mass=600.0,
        axle_right_mass=560.0,
        unsprung_mass=sides.unsprung_mass,
        unsprung_left_of_center=sides.unsprung_left_of_center,
        track=1.6,
        mount_base=1.0,
        mount_height=0.4,
        roll_center_height=0.1,
        lean=0.1,
    )
    assert found.support_load_left == pytest.approx((600.0 - 55.0) * GRAVITY, rel=1e-12)
    assert found.support_load_right == pytest.approx((560.0 - 54.0) * GRAVITY, rel=1e-12)


@pytest.mark.parametrize(("kept", "bare"), [("left", "right"), ("right", "left")])
def test_a_wheel_that_carries_nothing_is_refused(kept, bare):
    with pytest.raises(ContradictionError) as caught:
        unsprung_sides(parts=(SidePart(mass=40.0, side=kept),), track=1.6)
    assert caught.value.field == "parts"
    assert str(caught.value) == (
        f"The {bare} wheel carries nothing: no part is counted there. Allowed: at least one part with a weight and a share "
        "above 0 on each side."
    )
    both = (SidePart(mass=40.0, side=kept), SidePart(mass=0.1, side=bare))
    assert unsprung_sides(parts=both, track=1.6).unsprung_mass == pytest.approx(40.1)


def test_tracks_may_be_an_array():
    found = unsprung_sides(parts=PARTS, track=np.array([1.5, 1.6]))
    for index, track in enumerate((1.5, 1.6)):
        alone = unsprung_sides(parts=PARTS, track=track)
        assert found.unsprung_left_of_center[index] == pytest.approx(alone.unsprung_left_of_center, rel=1e-13)


def test_sides_far_apart_are_a_caution():
    assert run(STEP, {"parts": PARTS, "track": 1.6}).findings[0].state == "holds"
    uneven = (*PARTS, SidePart(mass=9.0, side="left"))
    found = run(STEP, {"parts": uneven, "track": 1.6}).findings[0]
    assert found.state == "close"
    assert found.text.endswith("more than 10\u00a0% of their mean apart. Check that each part is on its side.")
