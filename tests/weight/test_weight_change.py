"""Weight change: totals, moments and the diagonal hold for any items; a mirrored rig gives mirrored corners."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calc.errors import ContradictionError
from calc.weight.weight_change import Item, weight_change

corner = st.floats(300, 900)
item = st.builds(
    Item,
    mass=st.floats(-120, 200),
    behind_front_axle=st.floats(-1.2, 4.2),
    left_of_center=st.floats(-0.8, 0.8),
    carried=st.sampled_from(["sprung", "front axle", "rear axle"]),
)
NAMES = ("left_front_mass", "right_front_mass", "left_rear_mass", "right_rear_mass")


def after(found):
    return [getattr(found, f"{name}_after") for name in NAMES]


@given(
    corners=st.tuples(corner, corner, corner, corner),
    items=st.lists(item, max_size=5),
    front=st.floats(1.3, 2.0),
    rear=st.floats(1.3, 2.0),
)
def test_what_must_hold_exactly(corners, items, front, rear):
    geometry = {"wheelbase": 2.85, "track_front": front, "track_rear": rear}
    try:
        found = weight_change(**dict(zip(NAMES, corners, strict=True)), **geometry, items=tuple(items))
    except ContradictionError:
        assume(False)
    new = after(found)
    total = sum(corners) + sum(one.mass for one in items)
    assert sum(new) == pytest.approx(total, rel=1e-12)
    along = (corners[2] + corners[3]) * 2.85 + sum(one.mass * one.behind_front_axle for one in items)
    assert (new[2] + new[3]) * 2.85 == pytest.approx(along, rel=1e-9, abs=1e-6)
    across = (corners[0] - corners[1]) * front / 2 + (corners[2] - corners[3]) * rear / 2
    across += sum(one.mass * one.left_of_center for one in items)
    assert (new[0] - new[1]) * front / 2 + (new[2] - new[3]) * rear / 2 == pytest.approx(across, abs=1e-6)
    assert (new[1] + new[2]) / total == pytest.approx((corners[1] + corners[2]) / sum(corners), rel=1e-9)


@given(corners=st.tuples(corner, corner, corner, corner), items=st.lists(item, max_size=4))
def test_a_mirrored_rig_gives_mirrored_corners(corners, items):
    geometry = {"wheelbase": 2.85, "track_front": 1.64, "track_rear": 1.66}
    mirrored = tuple(
        Item(
            mass=one.mass,
            behind_front_axle=one.behind_front_axle,
            left_of_center=-one.left_of_center,
            carried=one.carried,
        )
        for one in items
    )
    swapped = (corners[1], corners[0], corners[3], corners[2])
    try:
        found = after(weight_change(**dict(zip(NAMES, corners, strict=True)), **geometry, items=tuple(items)))
    except ContradictionError:
        with pytest.raises(ContradictionError):
            weight_change(**dict(zip(NAMES, swapped, strict=True)), **geometry, items=mirrored)
        return
    mirror = after(weight_change(**dict(zip(NAMES, swapped, strict=True)), **geometry, items=mirrored))
    assert mirror == pytest.approx([found[1], found[0], found[3], found[2]], rel=1e-9, abs=1e-9)
