"""One coil-over told in four ways is one rig: by its lean, a travel table, its mount coordinates, or a measured ratio."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.geometry.travel_table import TravelPair
from calc.order.motions import rolling_in_each, wheel_travel
from calc.order.order import completed, order, task
from calc.quantity import SHOP
from calc.rig.entries import AXLES
from calc.rig.file import wren
from calc.rig.rig import Entry, Rig
from calc.search.problem import Problem
from calc.sheet.rig.lists import handbook_springs
from calc.spring._stack_curve import StackCurve
from calc.whole.at_rest import AtRest, at_rest, four
from calc.whole.on_chosen_springs import Standing
from tests.conftest import long_run

INCH = 0.0254
WREN = wren()
SPRINGS = {
    "front": StackCurve(tender_rate=43782.0, main_rate=70050.0, preload=0.034, ring_gap=0.118),
    "rear": StackCurve(tender_rate=52538.0, main_rate=87563.0, preload=0.03, ring_gap=0.11),
}
READ = 0.5
HEIGHTS = (0.38, 0.42, 0.46, 0.50, 0.54, 0.58, 0.62)


def _with(rig: Rig, values: Mapping[str, float | None]) -> Rig:
    kept = {key: entry for key, entry in rig.values.items() if key not in values}
    return replace(rig, values=kept | {key: Entry(value=one) for key, one in values.items() if one is not None})


def length(drawn: Mapping[str, float], axle: str, up: float) -> float:
    """Eye to eye with the axle gone up: the lower eye goes straight up under the upper one."""
    long, lean = drawn[f"{axle}.damper_length"], drawn[f"{axle}.lean"]
    return math.hypot(long * math.cos(lean) - up, long * math.sin(lean))


def ways(drawn: Mapping[str, float]) -> dict[str, Rig]:
    """The rig of some mounts, told in four ways: only what each way measures is entered."""
    told: dict[str, Rig] = {"lean": _with(WREN, drawn)}
    ratio: dict[str, float | None] = {}
    eyes: dict[str, float | None] = {}
    pairs = {}
    for axle in AXLES:
        long, lean = drawn[f"{axle}.damper_length"], drawn[f"{axle}.lean"]
        base, height = drawn[f"{axle}.mount_base"], drawn[f"{axle}.mount_height"]
        ratio |= {
            f"{axle}.motion_ratio": math.cos(lean),
            f"{axle}.motion_ratio_slope": -(math.sin(lean) ** 2) / long,
        }
        eyes |= {
            f"{axle}.lean": None,
            f"{axle}.damper_length": None,
            f"{axle}.upper_mount_base": base - 2 * long * math.sin(lean),
            f"{axle}.upper_mount_height": height + long * math.cos(lean),
        }
        pairs[axle] = tuple(
            TravelPair(wheel_height=one, damper_length=length(drawn, axle, READ - one)) for one in HEIGHTS
        )
    told["measured ratio"] = _with(told["lean"], ratio)
    told["mounts"] = _with(told["lean"], eyes)
    rides: dict[str, float | None] = {f"{axle}.ride_height": READ + 0.02 for axle in AXLES}
    told["travel table"] = replace(_with(told["lean"], rides), travel_pairs=pairs)
    return told


def stands(rig: Rig) -> tuple[AtRest, dict[str, float]]:
    """Where the rig stands on fixed springs, and how far its wheels go, each axle on its mean load."""
    full = completed(rig)
    rest = at_rest(full, four(SPRINGS["front"], SPRINGS["rear"]))
    assert isinstance(rest, AtRest)
    travels = {}
    for axle in AXLES:
        found = task(full, axle)
        assert isinstance(found, Problem)
        ride = [float(found.coilover.ride_travel(SPRINGS[axle], case.support_load, 0.1)) for case in found.cases]
        chosen = SimpleNamespace(ride_travel=ride, crossover_travel=float(SPRINGS[axle].crossover_travel))
        item: Any = SimpleNamespace(axle=axle, task=found, chosen=chosen)
        travel = wheel_travel(full, item, None, SHOP)
        if travel is not None:
            travels |= {f"{axle}.{name}": float(travel.values[name]) for name in REACHES}
        travels |= {f"{axle}.ride {place}": one for place, one in enumerate(ride)}
    return rest, travels


REACHES = tuple(f"{way}_{end}" for way in ("heave", "one_wheel", "articulation") for end in ("bump", "droop"))

mounts = st.fixed_dictionaries(
    {
        f"{axle}.{name}": st.floats(low, high)
        for axle, long in (("front", 0.66), ("rear", 0.79))
        for name, low, high in (
            ("lean", 0.0, 0.35),
            ("damper_length", long - 0.03, long + 0.05),
            ("mount_base", 0.9, 1.15),
            ("mount_height", 0.36, 0.46),
            ("roll_center_height", 0.45, 0.65),
        )
    }
)


@settings(max_examples=long_run(3, 500))
@given(mounts)
def test_four_ways_of_entering_one_coil_over_are_one_rig(drawn: dict[str, float]) -> None:
    told = ways(drawn)
    rest, travels = stands(told.pop("lean"))
    for way, rig in told.items():
        other, reached = stands(rig)
        for mine, theirs in zip(rest.cases, other.cases, strict=True):
            assert math.degrees(abs(mine.body_roll - theirs.body_roll)) <= 0.05, way
            assert theirs.roll_margin == pytest.approx(mine.roll_margin, rel=1e-3), way
            for one, corner in zip(mine.corners, theirs.corners, strict=True):
                assert abs(one.travel - corner.travel) <= 0.01 * INCH, way
        assert reached.keys() == travels.keys()
        apart = {
            name: abs(reached[name] - one) for name, one in travels.items() if abs(reached[name] - one) > 0.01 * INCH
        }
        assert not apart, way


BARS = ("track_bar_frame_left", "track_bar_frame_height", "track_bar_axle_left", "track_bar_axle_height")
bars = st.tuples(st.floats(0.4, 0.7), st.floats(0.4, 0.65), st.floats(-0.7, -0.4), st.floats(0.4, 0.65))


@settings(max_examples=long_run(8, 500))
@given(mounts, bars, st.sampled_from(("lean", "measured ratio", "mounts", "travel table")), st.floats(0.7, 1.0))
def test_the_roll_margin_of_the_motions_is_that_at_rest(
    drawn: dict[str, float], bar: tuple[float, ...], way: str, arm: float
) -> None:
    """On any way of entering, with a track bar in front, and at the rear a ratio that may be that of an arm."""
    own: dict[str, float | None] = {f"front.{name}": one for name, one in zip(BARS, bar, strict=True)}
    if way == "measured ratio":
        own |= {"rear.motion_ratio": arm, "rear.motion_ratio_slope": 0.0}
    full = completed(_with(ways(drawn)[way], own))
    rest = at_rest(full, four(SPRINGS["front"], SPRINGS["rear"]))
    assert isinstance(rest, AtRest)
    axles: Any = [
        SimpleNamespace(axle=axle, frequency=SimpleNamespace(plus_minus={}), damping_before=None) for axle in AXLES
    ]
    stood = Standing(rest=rest, reference=0, adjuster=(), ring=(), levels=(), cross=0.5, sides=None)
    told = 0
    for case, found in zip(rest.cases, rolling_in_each(full, axles, stood, SHOP), strict=True):
        if found is not None:
            told += 1
            assert found.values["roll_margin"] == pytest.approx(case.roll_margin, rel=1e-9)
    assert told


def test_the_lean_alone_where_it_was_read_at_another_height_is_still_the_same_rig() -> None:
    """A lean of 12 degrees at 25.95 in, read two inches lower: the same eyes."""
    drawn = {f"{axle}.{name}": float(WREN.get(f"{axle}.{name}")) for axle in AXLES for name in EYES}
    lower = dict(drawn)
    for axle in AXLES:
        long = length(drawn, axle, 0.05)
        lower |= {
            f"{axle}.damper_length": long,
            f"{axle}.lean": math.asin(drawn[f"{axle}.damper_length"] * math.sin(drawn[f"{axle}.lean"]) / long),
            # Heights are read where the lean was: the axle's mounts stand as much higher below the body.
            f"{axle}.mount_height": drawn[f"{axle}.mount_height"] + 0.05,
        }
    one, other = (stands(_with(WREN, values)) for values in (drawn, lower))
    for mine, theirs in zip(one[0].cases, other[0].cases, strict=True):
        assert theirs.roll_margin == pytest.approx(mine.roll_margin, rel=1e-6)
        assert [corner.travel for corner in theirs.corners] == pytest.approx([corner.travel for corner in mine.corners])
    assert other[1] == pytest.approx(one[1])


EYES = ("lean", "damper_length", "mount_base", "mount_height", "roll_center_height")


@pytest.mark.parametrize("slope", [0.0, -0.4, 0.5])
def test_axle_table_and_whole_rig_come_to_one_place_with_a_measured_ratio(slope: float) -> None:
    """Both sides loaded alike: each corner of the whole rig then stands where its axle's table says."""
    even: dict[str, float | None] = {"left_front.corner_mass": 657.7, "right_front.corner_mass": 657.7}
    even |= {"left_rear.corner_mass": 542.0, "right_rear.corner_mass": 542.0}
    for axle in AXLES:
        even |= {f"{axle}.unsprung_left_of_center": 0.0, f"{axle}.motion_ratio": 0.8}
        even[f"{axle}.motion_ratio_slope"] = slope
    rig = replace(_with(WREN, even), load_cases=())
    rest, travels = stands(rig)
    for place, axle in enumerate(AXLES):
        for corner in rest.cases[0].corners[2 * place : 2 * place + 2]:
            assert corner.travel == pytest.approx(travels[f"{axle}.ride 0"], abs=1e-6)


def test_a_ratio_that_is_not_that_of_eyes_acts_on_its_base_at_the_roll_center() -> None:
    """A coil-over on an arm: its roll stiffness is that of two springs on the base where its line crosses the center."""
    arm: dict[str, float | None] = {"rear.motion_ratio": 0.75, "rear.motion_ratio_slope": 0.0, "rear.lean": 0.05}
    rig = completed(_with(WREN, arm))
    rest = at_rest(rig, four(SPRINGS["front"], SPRINGS["rear"]))
    assert isinstance(rest, AtRest)
    assert any(text.startswith("the rear coil-overs acting in roll on the base") for text in rest.assumed)
    found = task(rig, "rear")
    assert isinstance(found, Problem)
    case = rest.cases[0]
    travel = np.mean([corner.travel for corner in case.corners[2:]])
    rate = SPRINGS["rear"].rate(travel) + found.coilover.gas_rate(travel)
    base = 1.02 + 2 * (0.42 - 0.60) * math.tan(0.05)
    assert case.roll_stiffness[1] == pytest.approx(2 * rate * (0.75 * base / 2) ** 2, rel=1e-6)


def test_the_motions_tell_the_roll_and_the_travel_of_the_whole_rig() -> None:
    """On a measured ratio beside a lean that is not its own, the roll margin is one and the pad is solid in one place."""
    arm: dict[str, float | None] = {"rear.motion_ratio": 0.75, "rear.motion_ratio_slope": 0.0, "rear.lean": 0.05}
    arm |= {"rear.wanted_bump": 0.06, "rear.wanted_droop": 0.04}
    made = order(_with(WREN, arm), handbook_springs())
    told = {place: outcome.values for place, outcome in made.motions.items()}
    assert isinstance(made.standing, Standing)
    margin = made.standing.rest.cases[made.standing.reference].roll_margin
    assert told["roll"]["roll_margin"] == pytest.approx(margin, rel=1e-9)
    item = made.axles[1]
    assert item.task is not None
    assert item.chosen is not None
    left = item.task.coilover.bump_limit - item.chosen.ride_travel[item.task.reference]
    assert told["rear travel"]["heave_bump"] == pytest.approx(left / 0.75, rel=1e-9)
    for axle in AXLES:
        assert told[f"{axle} landing"]["pad_solid"] == pytest.approx(told[f"{axle} travel"]["heave_bump"], rel=1e-9)


def test_mounts_that_lean_fore_and_aft_are_what_ratio_change_and_lean_across_tell() -> None:
    """Eyes 0.12 m apart along the rig: the ratio is the upright part over the length, and changes as that part shrinks."""
    inward, upright, back = 0.11, 0.62, 0.12
    long = math.hypot(inward, upright, back)
    eyes: dict[str, float | None] = {"front.lean": None, "front.damper_length": None, "front.mount_back": 0.0}
    eyes |= {"front.upper_mount_base": 1.0 - 2 * inward, "front.upper_mount_height": 0.4 + upright}
    eyes["front.upper_mount_back"] = back
    ratio: dict[str, float | None] = {"front.lean": math.atan(inward / upright), "front.damper_length": long}
    ratio |= {"front.motion_ratio": upright / long, "front.motion_ratio_slope": ((upright / long) ** 2 - 1) / long}
    one, other = (stands(_with(WREN, values)) for values in (eyes, ratio))
    for mine, theirs in zip(one[0].cases, other[0].cases, strict=True):
        assert theirs.roll_margin == pytest.approx(mine.roll_margin, rel=1e-9)
        assert [corner.travel for corner in theirs.corners] == pytest.approx([corner.travel for corner in mine.corners])
    assert other[1] == pytest.approx(one[1])


# The front axle's eye 4 in behind its hubs, on arms that go round a pivot 35 in ahead of them.
BEHIND, AHEAD, ABOVE, BACK = 0.1, 0.9, 0.05, 0.06


def eyes_on_arms(drawn: Mapping[str, float], angle: float, turned: float = 0.0) -> tuple[float, float]:
    """How far the hubs have risen and how far the left eyes are apart, the arms gone up and the axle then turned."""
    long, lean, base = (drawn[f"front.{name}"] for name in ("damper_length", "lean", "mount_base"))
    low, center = drawn["front.mount_height"], drawn["front.roll_center_height"]
    hubs = float(WREN.get("front.tire_loaded_radius"))
    cos, sin = math.cos(angle), math.sin(angle)

    def round_pivot(behind: float, up: float) -> tuple[float, float]:
        """Behind and above the pivot."""
        return behind * cos - up * sin, behind * sin + up * cos

    risen = round_pivot(AHEAD, -ABOVE)[1] + ABOVE
    along, up = round_pivot(AHEAD + BEHIND, low - hubs - ABOVE)
    out, above = base / 2, up + hubs + ABOVE - center
    across = out * math.cos(turned) - above * math.sin(turned)
    height = center + out * math.sin(turned) + above * math.cos(turned)
    upper = base / 2 - long * math.sin(lean), low + long * math.cos(lean), BEHIND + BACK
    return risen, math.dist(upper, (across, height, along - AHEAD))


@settings(max_examples=long_run(4, 500))
@given(mounts)
def test_an_axle_on_arms_turns_by_its_eyes_however_its_ratio_was_told(drawn: dict[str, float]) -> None:
    """Its ratio in heave is a tenth above that of its eyes in roll, and was taken for it: by places, ratio and pairs."""
    own: dict[str, float | None] = {"front.mount_back": BEHIND, "front.upper_mount_back": BEHIND + BACK}
    own |= {"front.path_pivot_ahead": AHEAD, "front.path_pivot_above": ABOVE}
    rig = _with(ways(drawn)["mounts"], own)
    step = 1e-4
    (down, longer), (_, read), (up, shorter) = (eyes_on_arms(drawn, angle) for angle in (-step, 0.0, step))
    steep, flat = (longer - read) / -down, (read - shorter) / up
    measured = {
        "front.motion_ratio": (longer - shorter) / (up - down),
        "front.motion_ratio_slope": (flat - steep) / (up - down) * 2,
    }
    rest, travels = stands(rig)
    other, reached = stands(_with(rig, measured))
    for mine, theirs in zip(rest.cases, other.cases, strict=True):
        assert math.degrees(abs(mine.body_roll - theirs.body_roll)) <= 0.05
        assert theirs.roll_margin == pytest.approx(mine.roll_margin, rel=1e-3)
        for one, corner in zip(mine.corners, theirs.corners, strict=True):
            assert abs(one.travel - corner.travel) <= 0.01 * INCH
    assert {name: one for name, one in travels.items() if abs(reached[name] - one) > 0.01 * INCH} == {}
    # Where it rests the arm in roll is that of the eyes there, by differences of lengths in space.
    extended = float(WREN.get("front.damper_extended"))
    for case in rest.cases:
        long = extended - np.mean([corner.travel for corner in case.corners[:2]])
        there = brentq(lambda angle, long=long: eyes_on_arms(drawn, angle)[1] - long, -0.3, 0.3)
        turned = (eyes_on_arms(drawn, there, -step)[1] - eyes_on_arms(drawn, there, step)[1]) / (2 * step)
        assert case.roll_arm[0] == pytest.approx(turned, rel=0.01)
