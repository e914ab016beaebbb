"""The eyes of the coil-overs in space: their motion ratio by differences of lengths written here, and what it goes before."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from calc.answers.order_data import data_of
from calc.geometry.travel_table import TravelPair
from calc.order.order import completed, order, task
from calc.rig.file import read_rig, wren, write_rig
from calc.rig.mounts import agreement, in_space
from calc.rig.rig import Entry, Rig
from calc.rig.travel import motion
from calc.search.problem import Problem
from calc.sheet.rig.lists import handbook_springs

# Axle end at 1.000 m base and 0.40 m, as the example rig has it; body end inboard and above.
UPPER = {"upper_mount_base": 0.72, "upper_mount_height": 1.06}


def with_places(**more: float) -> Rig:
    rig = wren()
    return replace(rig, values={**rig.values, **{f"front.{k}": Entry(value=v) for k, v in (UPPER | more).items()}})


def reach(up: float, roll: float = 0.0, back: float = 0.0, side: int = 1) -> float:
    """Eye to eye with the axle moved up and turned about its roll center (0.53 m), the body standing still."""
    out, above = side * 0.5, 0.40 - 0.53
    across = out * math.cos(roll) - above * math.sin(roll)
    height = 0.53 + out * math.sin(roll) + above * math.cos(roll) + up
    return math.dist((side * 0.36, 1.06, back), (across, height, 0.0))


def test_upright_fore_and_aft_the_places_are_lean_and_length_and_go_before_what_was_read() -> None:
    rig = completed(with_places())
    assert rig.get("front.lean") == pytest.approx(math.atan2(0.14, 0.66))
    assert rig.get("front.damper_length") == pytest.approx(math.hypot(0.14, 0.66))
    assert rig.values["front.lean"].origin == "derived"
    found = task(rig, "front")
    assert isinstance(found, Problem)
    # Exact through the travel: the ratio at any length is the tangent of the eyes' distance.
    coilover = found.coilover
    for up in (-0.05, 0.0, 0.05):
        travel = coilover.extended_length - reach(up)
        slope = (reach(up - 1e-6) - reach(up + 1e-6)) / 2e-6
        assert float(coilover.motion_ratio(travel)) == pytest.approx(slope, rel=1e-8)


def test_leaning_fore_and_aft_the_ratio_and_its_slope_are_differences_of_lengths() -> None:
    rig = completed(with_places(upper_mount_back=0.20))
    step = 1e-5
    near = [reach(up, back=0.20) for up in (-step, 0.0, step)]
    assert rig.get("front.motion_ratio") == pytest.approx((near[0] - near[2]) / (2 * step), rel=1e-8)
    assert rig.get("front.motion_ratio_slope") == pytest.approx(-(near[0] - 2 * near[1] + near[2]) / step**2, rel=1e-4)


def test_one_wheel_and_articulation_are_told() -> None:
    done = in_space(with_places(), "front")
    assert done is not None
    roll = 1e-6
    turned = (reach(0.0, -roll) - reach(0.0, roll)) / (2 * roll)
    assert done.outcome.values["articulation_ratio"] == pytest.approx(turned / 0.82, rel=1e-6)
    told = data_of(order(with_places(), handbook_springs()))["motions"]["front mounts"]
    ratio = told["motion_ratio"]
    assert told["one_wheel_ratio"] == pytest.approx((ratio + turned / 0.82) / 2, rel=1e-6)


def test_an_entered_ratio_and_travel_pairs_go_before_the_places() -> None:
    assert completed(with_places(motion_ratio=0.9)).get("front.motion_ratio") == 0.9
    heights = (-0.06, -0.03, 0.0, 0.03, 0.06)
    pairs = tuple(TravelPair(wheel_height=0.5 - up, damper_length=reach(up)) for up in heights)
    both = replace(with_places(ride_height=0.5), travel_pairs={"front": pairs})
    table, places = motion(both, "front"), in_space(both, "front")
    assert table is not None
    # The ratio is told where the lean was read; at the table's own ride height it is the table's.
    found = task(completed(both), "front")
    assert isinstance(found, Problem)
    there = found.coilover.path.ratio(table.outcome.values["damper_length"])
    assert there == pytest.approx(table.outcome.values["motion_ratio"])
    agreed = agreement("front", places, table)
    assert agreed is not None
    assert agreed.state == "holds"
    off = tuple(TravelPair(wheel_height=pair.wheel_height, damper_length=0.8 * pair.damper_length) for pair in pairs)
    apart = agreement("front", places, motion(replace(both, travel_pairs={"front": off}), "front"))
    assert apart is not None
    assert apart.state == "fails"


def test_the_places_are_kept_in_the_file() -> None:
    rig = with_places(upper_mount_back=0.1, mount_back=0.02, path_pivot_ahead=0.9, path_pivot_above=0.05)
    assert read_rig(write_rig(rig)).values == rig.values


def test_places_that_cannot_be_are_told_and_lean_and_length_stay() -> None:
    rig = with_places(upper_mount_height=0.41)
    done = in_space(rig, "front")
    assert done is not None
    assert [error.field for error in done.errors] == ["upper_mount_height"]
    assert completed(rig).get("front.lean") == wren().get("front.lean")
