"""The example rig at rest on its old springs, by the scales and by a balance of free bodies; turns and leveling."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from calc.answers.rest import old_finding
from calc.desk import rest_balance as balance
from calc.errors import Needs
from calc.quantity import SHOP
from calc.rig.axle import coilover
from calc.rig.entries import AXLES, CORNERS
from calc.rig.file import wren
from calc.rig.loads import corner_masses
from calc.rig.rig import Entry, Item, Rig
from calc.spring._stack_curve import StackCurve
from calc.units import INCH
from calc.whole import at_rest
from calc.whole.at_rest import ON_DAMPER, ON_STRAP, AtRest, Stand, of_corners, old_springs, stand
from calc.whole.on_chosen_springs import on_old_springs
from tests.whole.free_bodies import GRAVITY, vehicle_of


def _with(rig: Rig, values: Mapping[str, Any]) -> Rig:
    return replace(rig, values={**rig.values, **{key: Entry(value=value) for key, value in values.items()}})


def _without(rig: Rig, *keys: str) -> Rig:
    return replace(rig, values={key: entry for key, entry in rig.values.items() if key not in keys})


def _ready(rig: Rig) -> Stand:
    found = stand(rig)
    assert isinstance(found, Stand)
    return found


def _old(rig: Rig) -> StackCurve:
    found = old_springs(rig)
    assert isinstance(found, StackCurve)
    return found


def _answer(rig: Rig, springs: StackCurve | None = None) -> AtRest:
    found = at_rest.at_rest(rig, _old(rig) if springs is None else springs)
    assert isinstance(found, AtRest)
    return found


@pytest.fixture(scope="module")
def rig() -> Rig:
    return wren()


def test_on_its_old_springs_the_rig_carries_what_the_scales_said(rig: Rig) -> None:
    answer = _answer(rig)
    for case, found in zip(rig.cases(), answer.cases, strict=True):
        masses = corner_masses(rig, case)
        assert masses is not None
        load = {corner.name: corner.tire_mass for corner in found.corners}
        for axle in AXLES:
            weighed = masses[f"left_{axle}"] + masses[f"right_{axle}"]
            assert load[f"left_{axle}"] + load[f"right_{axle}"] == pytest.approx(weighed, rel=1e-8)
    # Read: 49.0 % on left rear and right front; equal preload left and right would give a little more.
    assert answer.cases[0].cross_share == pytest.approx((529.8 + 646.8) / 2399.5, abs=0.02)


def test_free_bodies_balance_where_the_example_rig_stands(rig: Rig) -> None:
    ready = _ready(rig)
    rest = ready.solve(_old(rig))
    for case, state in zip(rig.cases(), rest.state, strict=True):
        vehicle = vehicle_of(rig, case)
        assert np.abs(balance.unbalanced(vehicle, list(state))).max() < 1e-4
        theirs = balance.root(vehicle, [-0.02, 0.0, 0.0, -0.02, 0.0, -0.02, 0.0])
        assert theirs.success
        assert theirs.x == pytest.approx(state, abs=1e-9)


def test_a_rig_alike_on_both_sides_stands_as_each_axle_alone_would(rig: Rig) -> None:
    alike = _with(
        rig,
        {
            **{f"{side}_front.corner_mass": 657.7 for side in ("left", "right")},
            **{f"{side}_rear.corner_mass": 542.05 for side in ("left", "right")},
            **{f"{axle}.unsprung_left_of_center": 0.0 for axle in AXLES},
        },
    )
    central = tuple(
        replace(case, items=tuple(replace(item, left_of_center=0.0) for item in case.items))
        for case in rig.cases()[:2]  # the third presses its bump stops, which the axle alone knows nothing of
    )
    alike = replace(alike, load_cases=central)
    answer, springs = _answer(alike), _old(alike)
    for case, found in zip(alike.cases(), answer.cases, strict=True):
        masses = corner_masses(alike, case)
        assert masses is not None
        for place, corner in enumerate(found.corners):
            axle = AXLES[place // 2]
            load = (masses[corner.name] - float(alike.get(f"{axle}.unsprung_mass")) / 2) * GRAVITY
            one = StackCurve(
                main_rate=springs.main_rate[0, place],
                tender_rate=springs.tender_rate[0, place],
                preload=springs.preload[0, place],
            )
            assert corner.travel == pytest.approx(float(coilover(alike, axle).ride_travel(one, load, 0.15)), abs=1e-9)
        assert found.body_roll == pytest.approx(0.0, abs=1e-10)
        assert found.cross_share == pytest.approx(0.5, abs=1e-10)


def test_what_an_axle_carries_is_unsprung_and_moves_its_center(rig: Rig) -> None:
    lift = Item(label="Winch", mass=60.0, carried="front axle", left_of_center=0.3)
    case = replace(rig.cases()[0], items=(lift,))
    plain, loaded = _ready(rig), _ready(replace(rig, load_cases=(case,)))
    assert loaded.by_case["sprung_weight"][0] == pytest.approx(plain.by_case["sprung_weight"][0])
    assert loaded.by_case["unsprung_weight"][0] == pytest.approx(np.array([402.5, 298.0]) * GRAVITY)
    assert loaded.by_case["unsprung_left"][0] == pytest.approx([(342.5 * -0.06 + 60 * 0.3) / 402.5, -0.015])


def test_many_sets_at_once_give_what_each_gives_alone(rig: Rig) -> None:
    ready, one = _ready(rig), _old(rig)
    other = one.turned(adjuster=np.array([[0.01, -0.01, 0.0, 0.005]]))
    both = StackCurve(
        main_rate=np.concatenate([one.main_rate, other.main_rate]),
        tender_rate=np.concatenate([one.tender_rate, other.tender_rate]),
        preload=np.concatenate([one.preload, other.preload]),
    )
    together = ready.solve(both)
    for place, springs in enumerate((one, other)):
        alone = ready.solve(springs)
        assert together.travel[3 * place : 3 * place + 3] == pytest.approx(alone.travel, abs=1e-10)


def test_the_heaviest_case_presses_the_old_bump_stops_and_says_so(rig: Rig) -> None:
    full = _answer(rig).cases[2]
    assert [corner.state for corner in full.corners] == ["", "", "on its bump stop", "on its bump stop"]
    assert full.problem == ""


def test_a_corner_tells_its_sag_and_how_far_the_frame_stands_from_where_the_lean_was_read(rig: Rig) -> None:
    for case in _answer(rig).cases:
        for place, axle in enumerate(AXLES):
            pair = case.corners[2 * place : 2 * place + 2]
            usable = float(rig.get(f"{axle}.damper_stroke")) - float(rig.get(f"{axle}.solid_before_collapsed"))
            for corner in pair:
                assert corner.sag_share == pytest.approx(corner.travel / usable)
                assert corner.bump_left + corner.droop_left == pytest.approx(usable)
            # The mean of both sides is heave: a leaning damper between an eye that stays and one that goes straight up.
            lean, length = float(rig.get(f"{axle}.lean")), float(rig.get(f"{axle}.damper_length"))
            mean = sum(corner.damper_length for corner in pair) / 2
            height = math.sqrt(mean**2 - (length * math.sin(lean)) ** 2) - length * math.cos(lean)
            told = [corner.ride_height_change for corner in pair if corner.ride_height_change is not None]
            assert sum(told) / 2 == pytest.approx(height, abs=0.02 * INCH)


def test_without_a_damper_length_the_ride_height_is_not_told(rig: Rig) -> None:
    measured = _with(
        _without(rig, *(f"{axle}.{name}" for axle in AXLES for name in ("lean", "damper_length"))),
        {"front.motion_ratio": 0.9782, "rear.motion_ratio": 0.951},
    )
    assert {corner.ride_height_change for corner in _answer(measured).cases[0].corners} == {None}


def test_what_cannot_be_held_up_says_where_it_sits(rig: Rig) -> None:
    soft = _with(rig, {"rear.old_main_rate": 4000.0, "rear.old_tender_rate": 3000.0})
    heavy = tuple(
        replace(case, items=(Item(label="Load", mass=1600.0, carried="sprung", behind_front_axle=2.7),))
        for case in rig.cases()
    )
    case = _answer(replace(soft, load_cases=heavy)).cases[0]
    assert case.problem == "The springs cannot hold it up: it sits on its stops (left rear, right rear)."
    assert [corner.state for corner in case.corners][2:] == ["on its stop", "on its stop"]


def test_a_bar_holds_the_lean_and_free_bodies_agree(rig: Rig) -> None:
    barred = _with(rig, {"front.bar_roll_stiffness": 2.0e4})
    plain, held = _answer(rig), _answer(barred)
    ready = _ready(barred)
    rest = ready.solve(_old(rig))
    for index, case in enumerate(barred.cases()):
        assert abs(held.cases[index].body_roll) < abs(plain.cases[index].body_roll)
        assert (held.cases[index].roll_margin or 0.0) > (plain.cases[index].roll_margin or 0.0)
        vehicle = vehicle_of(barred, case)
        assert vehicle.ends[0].bar == 2.0e4
        assert np.abs(balance.unbalanced(vehicle, list(rest.state[index]))).max() < 1e-4


def test_a_measured_pad_holds_what_rests_on_it_and_free_bodies_agree(rig: Rig) -> None:
    """The heaviest case presses the old bump stops: a firmer pad is squashed less and is assumed no more."""
    case = rig.cases()[2]
    rig = _without(rig, *(f"{axle}.pad_{name}" for axle in AXLES for name in ("rate", "solid_force")))
    soft = _answer(rig).cases[2]
    measured = _with(rig, {"front.pad_rate": 4e5, "rear.pad_rate": 4e5})
    firm = _answer(measured)
    assert any("bump stops of" in line for line in _answer(rig).assumed)
    assert "bump stops that keep the rate they are touched with until they are solid" in firm.assumed
    pressed = [place for place, corner in enumerate(soft.corners) if corner.state == "on its bump stop"]
    assert pressed
    for place in pressed:
        assert firm.cases[2].corners[place].bump_left > soft.corners[place].bump_left
    state = _ready(measured).only(2).solve(_old(measured)).state[0]
    assert np.abs(balance.unbalanced(vehicle_of(measured, case), list(state))).max() < 1e-4
    # Its force when solid too: from touched on the same rate, then ever firmer, as the bump-stop step has it.
    curved = _with(measured, {"front.pad_solid_force": 5e4, "rear.pad_solid_force": 5e4})
    stiffer = _answer(curved)
    for place in pressed:
        assert stiffer.cases[2].corners[place].bump_left > firm.cases[2].corners[place].bump_left
    state = _ready(curved).only(2).solve(_old(curved)).state[0]
    assert np.abs(balance.unbalanced(vehicle_of(curved, case), list(state))).max() < 1e-4
    with pytest.raises(Needs) as soft_when_solid:
        stand(_with(measured, {"front.pad_solid_force": 1e4}))
    assert soft_when_solid.value.keys == ()
    (sentence,) = soft_when_solid.value.sentences
    assert "front" in sentence.lower()


def test_an_unstable_rig_is_named_and_shows_no_heights(rig: Rig) -> None:
    tall = tuple(replace(case, center_of_gravity_height=1.9) for case in rig.cases())
    narrow = _with(replace(rig, load_cases=tall), {f"{axle}.mount_base": 0.5 for axle in AXLES})
    case = _answer(narrow).cases[0]
    assert case.problem == (
        "Upright is unstable: the roll stiffness is less than the weight's leverage above the roll axis, "
        "so it falls over to one side."
    )
    assert case.corners == ()


def test_without_the_height_of_the_weight_the_margin_is_not_told(rig: Rig) -> None:
    low = replace(rig, load_cases=tuple(replace(case, center_of_gravity_height=None) for case in rig.cases()))
    answer = _answer(low)
    assert answer.cases[0].roll_margin is None
    assert "the weight's height above the roll centers left out where it is not entered" in answer.assumed


# --- what is missing ----------------------------------------------------------------------------------------------------------


def test_a_blank_rig_says_what_it_needs() -> None:
    with pytest.raises(Needs) as found:
        stand(Rig())
    keys = found.value.keys
    assert keys[:5] == (*(f"{corner}.corner_mass" for corner in CORNERS), "wheelbase")
    assert set(keys[5:]) == {f"{axle}.{name}" for axle in AXLES for name in at_rest.NEEDED}


def test_what_the_rig_and_what_the_springs_lack_is_told_together(rig: Rig) -> None:
    lacking = _without(rig, "front.roll_center_height", "rear.old_preload")
    with pytest.raises(Needs) as found:
        on_old_springs(lacking)
    assert found.value.keys == ("front.roll_center_height", "rear.old_preload")


def test_a_measured_motion_ratio_does_instead_of_the_lean(rig: Rig) -> None:
    measured = _with(
        _without(rig, *(f"{axle}.{name}" for axle in AXLES for name in ("lean", "damper_length"))),
        {"front.motion_ratio": 0.9782, "rear.motion_ratio": 0.951},
    )
    assert "coil-overs upright across the vehicle where their lean is not entered" in _answer(measured).assumed
    assert not any("lean" in text for text in _answer(rig).assumed)
    near, exact = _answer(measured).cases[0], _answer(rig).cases[0]
    for corner, other in zip(near.corners, exact.corners, strict=True):
        assert corner.travel == pytest.approx(other.travel, abs=0.5 * INCH)


def test_more_unsprung_than_the_axle_carries_is_told(rig: Rig) -> None:
    with pytest.raises(Needs) as found:
        stand(_with(rig, {"front.unsprung_mass": 1400.0}))
    assert found.value.keys == ()  # it is there, and contradicts the reading
    assert found.value.sentences == (
        "The front axle's unsprung weight is not less than what its tires carry. "
        "Allowed: 0 and more, and below the axle weight.",
    )


def test_of_corners_keeps_each_corners_own_springs() -> None:
    four = [StackCurve(main_rate=float(rate), preload=0.01) for rate in (1e4, 2e4, 3e4, 4e4)]
    assert of_corners(four).main_rate == pytest.approx(np.array([[1e4, 2e4, 3e4, 4e4]]))


@pytest.mark.parametrize(("strap", "state"), [(None, ON_DAMPER), (0.0, ON_DAMPER), (0.02, ON_STRAP)])
def test_only_a_strap_holds_by_the_strap(strap: float | None, state: str) -> None:
    """Springs that push the body up to the end of the travel: where no strap is entered it hangs on its damper."""
    entered = {f"{axle}.old_preload": 0.3 for axle in AXLES}
    if strap is not None:
        entered |= {f"{axle}.strap_travel": strap for axle in AXLES}
    found = _answer(_with(wren(), entered))
    states = {corner.state for case in found.cases for corner in case.corners}
    assert states & {ON_STRAP, ON_DAMPER} == {state}
    told = old_finding(found, SHOP).text
    assert ("hangs from a strap" in told) == (state == ON_STRAP)
    assert ("hangs from a damper" in told) == (state == ON_DAMPER)
