"""What one turn does at all four corners, against solving again, and leveling against its own aims."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calc.rig.entries import CORNERS
from calc.rig.file import wren
from calc.rig.rig import Entry, Rig
from calc.spring._stack_curve import StackCurve
from calc.whole.at_rest import Stand, old_springs, stand
from calc.whole.leveling import TurnEffect, level, levels, turn_effects

GRAVITY = 9.80665
CREW = 1


def _ready(rig: Rig) -> Stand:
    found = stand(rig)
    assert isinstance(found, Stand)
    return found


def _old(rig: Rig) -> StackCurve:
    found = old_springs(rig)
    assert isinstance(found, StackCurve)
    return found


def _effects(ready: Stand, springs: StackCurve, case: int, *, of: str = "adjuster") -> TurnEffect:
    rest = ready.solve(springs)
    return turn_effects(ready, springs, rest, rest.influence(), case, of=of)


@pytest.fixture(scope="module")
def rig() -> Rig:
    return wren()


def _ringed(rig: Rig, gap: float) -> StackCurve:
    """The old springs with solid lengths left out and a ring at this gap."""
    old = _old(rig)
    return StackCurve(
        main_rate=old.main_rate, tender_rate=old.tender_rate, preload=old.preload, ring_gap=np.full((1, 4), gap)
    )


@pytest.mark.parametrize(("of", "gap"), [("adjuster", 0.25), ("ring", 0.06)])
def test_the_effect_of_a_turn_is_what_solving_again_gives(rig: Rig, of: str, gap: float) -> None:
    ready, springs = _ready(rig), _ringed(rig, gap)
    effect = _effects(ready, springs, CREW, of=of)
    before = ready.only(CREW).solve(springs)
    part = 0.02
    for corner in range(4):
        moved = np.zeros((1, 4))
        moved[0, corner] = part * ready.turn[0, corner]
        after = ready.only(CREW).solve(springs.turned(**{of: moved}))
        raised = (after.frame_height - before.frame_height)[0] / part
        loaded = (after.tire_load - before.tire_load)[0] / part / GRAVITY
        assert np.abs(effect.frame_height[:, corner]).max() > 1e-4
        assert raised == pytest.approx(effect.frame_height[:, corner], rel=1e-3, abs=1e-7)
        assert loaded == pytest.approx(effect.tire_mass[:, corner], rel=1e-3, abs=1e-3)


def test_before_the_crossover_only_the_adjuster_counts_and_past_it_only_the_ring(rig: Rig) -> None:
    ready = _ready(rig)
    before, past = _ringed(rig, 0.25), _ringed(rig, 0.06)
    assert _effects(ready, before, CREW, of="ring").frame_height == pytest.approx(np.zeros((4, 4)), abs=1e-12)
    assert _effects(ready, past, CREW).frame_height == pytest.approx(np.zeros((4, 4)), abs=1e-9)


def test_an_adjuster_lifts_even_springs_that_are_bound(rig: Rig) -> None:
    """Bound, the stack is a block: its corner comes up by what solving again says, and a ring does nothing."""
    ready, old = _ready(rig), _old(rig)
    bound = StackCurve(
        main_rate=old.main_rate,
        tender_rate=old.tender_rate,
        preload=old.preload,
        tender_stroke=np.full((1, 4), 0.05),
        main_stroke=np.full((1, 4), 0.08),
    )
    before = ready.only(CREW).solve(bound)
    assert (before.travel > bound.solid_travel).all()
    effect = _effects(ready, bound, CREW)
    moved = np.zeros((1, 4))
    moved[0, 0] = ready.turn[0, 0]
    after = ready.only(CREW).solve(bound.turned(adjuster=moved))
    assert (after.frame_height - before.frame_height)[0] == pytest.approx(effect.frame_height[:, 0], rel=0.02, abs=1e-6)
    assert _effects(ready, bound, CREW, of="ring").frame_height == pytest.approx(np.zeros((4, 4)))


def test_a_turn_up_never_lowers_its_own_corner(rig: Rig) -> None:
    for case in range(3):
        effect = _effects(_ready(rig), _old(rig), case)
        assert (np.diag(effect.frame_height) > 0).all()
        assert (np.diag(effect.travel) < 0).all()


# --- leveling ----------------------------------------------------------------------------------------------------------------


def _means(corners: np.ndarray) -> list[float]:
    return [float(corners[:2].mean()), float(corners[2:].mean())]


def test_leveling_the_frame(rig: Rig) -> None:
    ready, springs = _ready(rig), _old(rig)
    first = ready.only(0).solve(springs)
    found = level(ready, springs, 0, aim="frame")
    assert (found.problem, found.absurd) == ("", "")
    assert found.rule == (
        "The body is brought level across, each axle keeps its mean height, and the cross weight stays what it is."
    )
    again = ready.only(0).solve(springs.turned(adjuster=np.array([found.turns]) * ready.turn))
    assert again.body_roll[0] == pytest.approx(0.0, abs=1e-8)
    assert again.cross_share[0] == pytest.approx(first.cross_share[0], abs=1e-8)
    assert _means(again.frame_height[0]) == pytest.approx(_means(first.frame_height[0]), abs=1e-8)


def test_leveling_the_dampers(rig: Rig) -> None:
    found = level(_ready(rig), _old(rig), 0, aim="dampers")
    travel = found.travel
    assert found.problem == ""
    assert travel[0] == pytest.approx(travel[1], abs=1e-8)
    assert travel[2] == pytest.approx(travel[3], abs=1e-8)


def test_a_wanted_cross_weight_is_reached_and_the_lean_kept(rig: Rig) -> None:
    ready, springs = _ready(rig), _old(rig)
    first = ready.only(0).solve(springs)
    found = level(ready, springs, 0, aim="cross weight", cross_share=0.50)
    assert found.problem == ""
    assert found.cross_share == pytest.approx(0.50, abs=1e-8)
    assert found.body_roll == pytest.approx(first.body_roll[0], abs=1e-8)


def test_several_aims_together_give_what_each_gives_alone(rig: Rig) -> None:
    ready, springs = _ready(rig), _old(rig)
    wanted = (("frame", None), ("dampers", None), ("cross weight", 0.5), ("cross weight", 0.53))
    together = levels(ready, springs, CREW, wanted=wanted)
    for found, (aim, share) in zip(together, wanted, strict=True):
        alone = level(ready, springs, CREW, aim=aim, cross_share=share)
        assert found.turns == pytest.approx(alone.turns, abs=1e-6)
        assert (found.rule, found.problem, found.absurd) == (alone.rule, alone.problem, alone.absurd)
        assert found.cross_share == pytest.approx(alone.cross_share, abs=1e-9)


def test_a_rig_that_has_fallen_is_not_leveled(rig: Rig) -> None:
    tall = tuple(replace(case, center_of_gravity_height=1.9) for case in rig.cases())
    values = {**rig.values, **{f"{axle}.mount_base": Entry(value=0.5) for axle in ("front", "rear")}}
    found = level(_ready(replace(rig, load_cases=tall, values=values)), _old(rig), 0, aim="frame")
    assert found.problem.startswith("Upright is unstable: ")
    assert found.turns == (0.0, 0.0, 0.0, 0.0)


def test_absurd_turns_are_called_so(rig: Rig) -> None:
    found = level(_ready(rig), _old(rig), 0, aim="cross weight", cross_share=0.53)
    assert found.problem == ""
    assert max(abs(turns) for turns in found.turns) > 12
    worst = int(np.argmax(np.abs(found.turns)))
    assert found.absurd == (
        f"Absurd: {abs(found.turns[worst]):.0f} turns at the {CORNERS[worst].replace('_', ' ')}. "
        "Soft springs move weight little by preload: move weight across instead."
    )


def test_turns_that_would_leave_springs_without_preload_are_not_advised(rig: Rig) -> None:
    old = _old(rig)
    slack = StackCurve(main_rate=old.main_rate, tender_rate=old.tender_rate, preload=np.full((1, 4), 0.002))
    found = level(_ready(rig), slack, 0, aim="cross weight", cross_share=0.53)
    low = [corner.replace("_", " ") for corner, preload in zip(CORNERS, found.preload, strict=True) if preload < 0]
    assert low
    assert found.refused.startswith(f"On the way to it the springs would hang loose at the {' and the '.join(low)}: ")
    assert "crossover" not in found.refused
    assert found.absurd == ""


def test_a_corner_past_its_crossover_does_not_answer_to_its_adjuster(rig: Rig) -> None:
    old = _old(rig)
    one = StackCurve(
        main_rate=old.main_rate,
        tender_rate=old.tender_rate,
        preload=old.preload,
        ring_gap=np.array([[0.06, 0.3, 0.3, 0.3]]),
    )
    found = level(_ready(rig), one, 0, aim="frame")
    assert found.problem == (
        "The adjuster does nothing at the left front, which sits past its crossover: turn the ring there."
    )
