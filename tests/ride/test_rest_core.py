"""Turns and scale readings against a linear balance of body and axles that shares no code with the handbook."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from calc.errors import ContradictionError
from calc.ride.rest import STEP, rest
from calc.step import run

GRAVITY = 9.80665
CORNERS = ("left_front", "right_front", "left_rear", "right_rear")


def example(**changes: float) -> dict[str, Any]:
    return {**STEP.example_inputs(), **changes}


def balanced(inputs: dict[str, Any]) -> dict[str, float]:
    """Seven unknowns (body up, nose down, left up; each axle up, left up), stiffness and push added up spring by spring."""
    masses = inputs["front_sprung_mass"], inputs["rear_sprung_mass"]
    wheelbase = 2.85
    arms = wheelbase * masses[1] / sum(masses), -wheelbase * masses[0] / sum(masses)
    stiffness, push = np.zeros((7, 7)), np.zeros(7)
    ends = (("front", CORNERS[:2]), ("rear", CORNERS[2:]))
    for place, (axle, corners) in enumerate(ends):
        rate, ratio, base, tire = (
            inputs[f"{axle}_{name}"] for name in ("stack_rate", "motion_ratio", "spring_base", "tire_rate")
        )
        up, tilt = 3 + 2 * place, 4 + 2 * place
        for side, corner in zip((1.0, -1.0), corners, strict=True):
            opened = np.zeros(7)
            opened[[0, 1, 2, up, tilt]] = 1.0, -arms[place], side * base / 2, -1.0, -side * base / 2
            stiffness += rate * ratio**2 * np.outer(opened, opened)
            push += rate * ratio * inputs[f"{corner}_turns"] / inputs["adjuster_turns_per_length"] * opened
            hub = np.zeros(7)
            hub[[up, tilt]] = 1.0, side * inputs[f"track_{axle}"] / 2
            stiffness += tire * np.outer(hub, hub)
    stiffness[2, 2] -= sum(masses) * GRAVITY * inputs["roll_lever"]
    moved = np.linalg.solve(stiffness, push)
    found = {"lean_change": float(moved[2])}
    for place, (axle, corners) in enumerate(ends):
        half = inputs[f"track_{axle}"] / 2
        for side, corner in zip((1.0, -1.0), corners, strict=True):
            pressed = -inputs[f"{axle}_tire_rate"] * (moved[3 + 2 * place] + side * half * moved[4 + 2 * place])
            found[f"{corner}_reading"] = float(inputs[f"{corner}_mass"] + pressed / GRAVITY)
            found[f"{corner}_rise"] = float(moved[0] - arms[place] * moved[1] + side * half * moved[2])
    return found


@pytest.mark.parametrize("seed", range(25))
def test_readings_rises_and_lean_are_those_of_the_balance(seed: int) -> None:
    draw = np.random.default_rng(seed).uniform
    inputs = example(
        **{f"{corner}_mass": draw(500, 800) for corner in CORNERS},
        **{f"{corner}_turns": draw(-8, 8) for corner in CORNERS},
        **{f"{axle}_sprung_mass": draw(650, 900) for axle in ("front", "rear")},
        **{f"{axle}_stack_rate": draw(2e4, 8e4) for axle in ("front", "rear")},
        **{f"{axle}_motion_ratio": draw(0.7, 1.1) for axle in ("front", "rear")},
        **{f"{axle}_spring_base": draw(0.95, 1.2) for axle in ("front", "rear")},
        **{f"{axle}_tire_rate": draw(1.5e5, 4e5) for axle in ("front", "rear")},
        roll_lever=draw(0.1, 0.5),
        track_front=draw(1.4, 1.9),
        track_rear=draw(1.4, 1.9),
    )
    found = rest(**inputs)
    for name, value in balanced(inputs).items():
        assert getattr(found, name) == pytest.approx(value, rel=1e-9, abs=1e-12), name


def test_no_turn_changes_what_an_axle_carries() -> None:
    found = rest(**example(left_front_turns=5.0, right_rear_turns=-4.0))
    for left, right in (CORNERS[:2], CORNERS[2:]):
        before = example()[f"{left}_mass"] + example()[f"{right}_mass"]
        after = getattr(found, f"{left}_reading") + getattr(found, f"{right}_reading")
        assert after == pytest.approx(before, rel=1e-12)


def test_without_turns_nothing_moves() -> None:
    found = rest(**example(right_front_turns=0.0, left_rear_turns=0.0))
    for corner in CORNERS:
        assert getattr(found, f"{corner}_reading") == pytest.approx(example()[f"{corner}_mass"], rel=1e-12)
        assert getattr(found, f"{corner}_rise") == pytest.approx(0.0, abs=1e-12)
    assert found.cross_share_change == pytest.approx(0.0, abs=1e-12)


def test_the_same_turns_at_all_four_lift_it_and_move_no_weight() -> None:
    """In front 3 turns of 1/12 in over the motion ratio of 0.978, worked by hand: 0.2556 in."""
    found = rest(**example(**{f"{corner}_turns": 3.0 for corner in CORNERS}))
    assert found.left_front_rise / 0.0254 == pytest.approx(0.25 / 0.978, rel=1e-9)
    assert found.cross_share_change == pytest.approx(0.0, abs=1e-12)


def test_turns_that_are_not_given_are_none() -> None:
    untouched = rest(**{name: value for name, value in example().items() if not name.endswith("_turns")})
    assert untouched == rest(**example(**{f"{corner}_turns": 0.0 for corner in CORNERS}))
    assert untouched.cross_share_change == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("left_front", "state"), [(500.0, "close"), (622.0, "holds"), (800.0, "close")])
def test_a_cross_weight_far_from_even_is_a_caution_and_no_failure(left_front: float, state: str) -> None:
    inputs = example(left_front_mass=left_front, right_front_turns=0.0, left_rear_turns=0.0)
    found = {finding.rule: finding for finding in run(STEP, inputs).findings}
    assert found["cross weight after the turns"].state == state


@pytest.mark.parametrize("corner", CORNERS)
def test_a_turn_on_never_lowers_its_own_corner(corner: str) -> None:
    others = {f"{other}_turns": 0.0 for other in CORNERS}
    found = rest(**example(**{**others, f"{corner}_turns": 1.0}))
    assert getattr(found, f"{corner}_rise") > 0


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        (
            {"front_sprung_mass": 1400.0},
            "front_sprung_mass",
            "The front springs carry 3,086 lb, but the front tires carry only 2,900 lb. "
            "Allowed: less than the axle's two readings together; the axle itself weighs something.",
        ),
        (
            {"roll_lever": 2.5},
            "roll_lever",
            "Upright is unstable: the roll stiffness on the tires, 301 lbf·ft/°, is less than the weight's leverage above "
            "the roll axis, 555 lbf·ft/°. The rig falls over to one side. "
            "Allowed: a lower lever, stiffer springs or a wider spring base.",
        ),
        (
            {"left_front_mass": 1100.0, "right_front_mass": 200.0},
            "right_front_mass",
            "By these readings the right front coil-over carries nothing. "
            "Allowed: readings with which every spring carries. Check for a bound link, and the spring base.",
        ),
        (
            {
                "left_rear_turns": -70.0,
                "right_front_turns": -70.0,
                "right_rear_turns": 70.0,
                "left_front_turns": 70.0,
            },
            "left_rear_turns",
            "With these turns the left rear spring falls loose. Allowed: turns with which every spring still carries.",
        ),
    ],
)
def test_what_cannot_be_is_told(changes: dict[str, float], field: str, told: str) -> None:
    with pytest.raises(ContradictionError) as caught:
        rest(**example(**changes))
    assert caught.value.field == field
    assert caught.value.message().replace("\u00a0", " ") == told


def test_many_turns_on_soft_springs_are_called_out() -> None:
    inputs = example(right_front_turns=30.0, left_rear_turns=-25.0, front_stack_rate=1.6e4, rear_stack_rate=1.6e4)
    states = {finding.rule: finding.state for finding in run(STEP, inputs).findings}
    assert states["thread for the turns"] == "close"
    assert states["the turns move weight at all"] == "close"
