"""Centers of gravity against moments worked out by hand in the test, and the side view's travel against geometry."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from calc.rig.file import wren
from calc.rig.loads import centers
from calc.rig.rig import Entry, Rig
from calc.search.coilover import Coilover

WREN = wren()
CREW = WREN.reference()


def test_the_center_of_the_sprung_part_balances_the_whole() -> None:
    """Whole times its place is the sprung part times its place and both axles' unsprung parts times theirs."""
    found = centers(WREN, CREW)
    assert found is not None
    assert found.sprung is not None
    front, rear, base = 342.5, 298.0, 2.850
    assert found.whole.mass == pytest.approx(668.6 + 646.8 + 529.8 + 554.3 + 85 + 135, abs=1e-9)
    assert found.sprung.mass == pytest.approx(found.whole.mass - front - rear, abs=1e-9)
    for whole, sprung, parts in (
        (found.whole.behind_front_axle, found.sprung.behind_front_axle, rear * base),
        (found.whole.left_of_center, found.sprung.left_of_center, front * -0.060 + rear * -0.015),
        (found.whole.height, found.sprung.height, (front + rear) * 0.440),
    ):
        assert whole is not None
        assert sprung is not None
        assert found.whole.mass * whole == pytest.approx(found.sprung.mass * sprung + parts, rel=1e-9)


def test_what_is_not_known_has_no_center() -> None:
    assert centers(Rig(), Rig().reference()) is None
    without = {key: entry for key, entry in WREN.values.items() if key != "rear.unsprung_mass"}
    found = centers(replace(WREN, values=without), CREW)
    assert found is not None
    assert found.sprung is None
    heavy = {**WREN.values, "rear.unsprung_mass": Entry(value=2000.0)}
    found = centers(replace(WREN, values=heavy), CREW)
    assert found is not None
    assert found.sprung is None
    low = centers(WREN, replace(CREW, center_of_gravity_height=None))
    assert low is not None
    assert low.sprung is not None
    assert low.sprung.height is None


@pytest.mark.parametrize("lean", [0.0, 12.0, 25.0])
def test_the_wheel_rises_as_far_as_the_lower_eye(lean: float) -> None:
    """Pythagoras at both ends: the upper eye stands still, the lower one goes straight up."""
    offset = 0.66 * math.sin(math.radians(lean))
    coilover = Coilover(extended_length=0.7874, bump_limit=0.29, eye_offset=offset)
    start, end = 0.10, 0.25
    heights = [math.sqrt((0.7874 - travel) ** 2 - offset**2) for travel in (start, end)]
    assert coilover.wheel_travel(start, end) == pytest.approx(heights[0] - heights[1], rel=1e-12)


def test_a_measured_motion_ratio_divides_the_travel() -> None:
    coilover = Coilover(extended_length=0.7874, bump_limit=0.29, ratio=0.8, ratio_length=0.6424)
    assert coilover.wheel_travel(0.10, 0.25) == pytest.approx(0.15 / 0.8, rel=1e-12)
