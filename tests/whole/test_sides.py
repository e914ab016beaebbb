"""Left and right: when the sides are set apart, that the frame then stands level, and when they are not and why."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calc.answers.order_data import data_of
from calc.order import order
from calc.order.axle_order import side_settings
from calc.quantity import SHOP
from calc.rig import axle as axles
from calc.rig.entries import AXLES
from calc.rig.file import wren
from calc.rig.loads import side_loads
from calc.rig.rig import Item, Rig
from calc.search.problem import Problem, SpringSet
from calc.spring._stack_curve import StackCurve
from calc.tables import assortment_springs
from calc.units import INCH
from calc.whole import sides
from calc.whole.at_rest import Stand, of_corners, stand
from calc.whole.on_chosen_springs import Standing
from calc.whole.own_sides import own_sides
from calc.whole.sides import SIDE_LIMIT, Sides, set_apart
from tests.search.test_choose import oracle


def _leaning(mass: float, left: float, behind: float = 1.4) -> Rig:
    load = Item(label="Tank", mass=mass, carried="sprung", behind_front_axle=behind, left_of_center=left)
    rig = wren()
    return replace(rig, load_cases=tuple(replace(case, items=(*case.items, load)) for case in rig.load_cases))


def _made(rig: Rig) -> tuple[order.Order, Standing, Sides]:
    made = order.order(rig, assortment_springs())
    assert isinstance(made.standing, Standing)
    assert made.standing.sides is not None
    return made, made.standing, made.standing.sides


def test_the_example_rig_is_set_alike() -> None:
    made, _, found = _made(wren())
    assert max(abs(share) for share in found.share) < SIDE_LIMIT
    assert all(item.preload is None and side_settings(item) == {} for item in made.axles)
    text = found.finding().text.replace("\u00a0", " ")
    assert found.finding().state == "holds"
    assert text.endswith(
        "1 % apart. Up to 10 % both sides get the same springs and settings: a spare fits either side, and people and "
        "load change sides. Load case: Crew of two with tools."
    )


@pytest.mark.parametrize(
    ("front", "rear", "axle"), [(-0.2, 0.1, "front"), (0.2, -0.1, "front"), (0.1, -0.2, "rear"), (-0.1, 0.2, "rear")]
)
def test_of_the_axle_whose_sides_are_further_apart_is_told(front: float, rear: float, axle: str) -> None:
    found = Sides(case="Crew", force=(4e3, 4e3, 4e3, 4e3), share=(front, rear), why_alike="Why.", instead="")
    assert found.finding().text.startswith(f"At the {axle} ")


def test_sides_far_apart_get_their_own_preload_and_the_body_stands_level() -> None:
    made, stands, found = _made(_leaning(90.0, 0.6))
    assert max(abs(share) for share in found.share) > SIDE_LIMIT
    assert found.turns is not None
    case = stands.rest.cases[stands.reference]
    # Half turns leave a little: a half turn moves a corner by less than a sixteenth of an inch.
    left, right = (corner.frame_height for corner in case.corners[:2])
    assert left == pytest.approx(right, abs=INCH / 8)
    # However front and rear share it, level springs hold the moment of the loads by statics, and lean adds none to it.
    held = carried = 0.0
    for place, item in enumerate(made.axles):
        loads, base = (
            side_loads(made.rig, AXLES[place], made.rig.reference()),
            made.rig.get(f"{AXLES[place]}.mount_base"),
        )
        assert loads is not None
        assert item.task is not None
        carried += base * (loads["support_load_left"] - loads["support_load_right"])
        for sign, corner in zip((1, -1), case.corners[2 * place : 2 * place + 2], strict=True):
            length = item.task.coilover.extended_length - corner.travel
            upright = float(np.sqrt(1 - (item.task.coilover.eye_offset / length) ** 2))
            held += sign * base * corner.axial_force * upright
    assert held == pytest.approx(carried, rel=0.05)
    assert all(turns * 2 == pytest.approx(round(turns * 2), abs=1e-9) for turns in found.turns)
    for item in made.axles:
        assert item.preload is not None
        assert item.chosen is not None
        assert item.task is not None
        assert min(item.preload) >= item.task.limits.preload_floor - 1e-9
        values = side_settings(item)
        for side, preload in zip(("left", "right"), item.preload, strict=True):
            assert values[side]["preload"] == preload
            assert values[side]["adjuster"] - item.chosen.adjuster == pytest.approx(preload - item.chosen.preload)
            assert values[side]["adjuster"] + values[side]["adjuster_left"] == pytest.approx(
                item.task.hardware.adjuster_range
            )
    text = found.finding().text.replace("\u00a0", " ")
    assert found.finding().state == "close"
    # At equal settings the rear's sides are further apart; a turn is a twelfth of an inch.
    apart = 2 * (found.force[2] - found.force[3]) / (found.force[2] + found.force[3])
    assert apart > SIDE_LIMIT
    assert (
        f"{100 * apart:.0f} % apart, more than 10 %: the same springs, each side with its own preload, level the body ("
        in text
    )
    front = made.axles[0]
    assert front.chosen is not None
    assert front.preload is not None
    assert f"(left front {(front.preload[0] - front.chosen.preload) / (INCH / 12):.1f} turns more" in text


def test_the_ring_keeps_its_gap_when_the_sides_are_set_apart() -> None:
    stack = StackCurve(main_rate=np.array([[7e4] * 4]), tender_rate=4e4, preload=0.03, ring_gap=0.1)
    moved = set_apart(stack, np.array([[0.01, -0.01, 0.0, 0.02]]))
    assert moved.preload == pytest.approx(np.array([[0.04, 0.02, 0.03, 0.05]]))
    assert moved.ring_gap == pytest.approx(np.full((1, 4), 0.1))
    assert moved.crossover_travel == pytest.approx(np.full((1, 4), float(stack.crossover_travel[0, 0])))
    free = set_apart(StackCurve(main_rate=np.array([[7e4] * 4]), preload=0.03), np.array([[0.01, 0.0, 0.0, 0.0]]))
    assert np.isinf(free.ring_gap).all()


@pytest.mark.parametrize(("mass", "behind"), [(60.0, 1.4), (90.0, 1.4), (120.0, 2.8), (200.0, 1.4), (350.0, 2.0)])
def test_sides_far_apart_are_set_apart_or_told_why_not(mass: float, behind: float) -> None:
    made, stands, found = _made(_leaning(mass, 0.6, behind))
    text = found.finding().text.replace("\u00a0", " ")
    if max(abs(share) for share in found.share) <= SIDE_LIMIT:
        assert found.turns is None
    elif found.turns is None:
        assert all(item.preload is None for item in made.axles)
        assert f"and both sides are set alike all the same: {found.why_alike} A spring about " in text
        assert "stiffer on the left, or weight moved across, would do it." in text
        assert found.instead.replace("\u00a0", " ") in text
    else:
        assert max(abs(turns) for turns in found.turns) <= 12
        assert abs(stands.rest.cases[stands.reference].body_roll) < 0.002
        assert next(one for one in made.rests if one.rule == "corners at rest").state == "holds"


def test_more_than_an_inch_of_turns_is_absurd() -> None:
    turn = INCH / 12
    assert sides._too_far(np.array([1.0, -1.0, 0.5, 0.0]) * INCH, np.array([12.0, -12.0, 6.0, 0.0])) == ""
    assert sides._too_far(np.array([1.0, -1.0, 22.0 / 12, 0.0]) * INCH, np.array([12.0, -12.0, 22.0, 0.0])) == (
        "it would take 22 turns at the left rear, which is absurd."
    )
    assert turn * 12 == pytest.approx(INCH)


def test_below_the_least_preload_both_sides_of_the_axle_are_turned_on() -> None:
    """The right front would fall an inch tenth below the floor of 0.375 in: three half turns of 1/24 in bring it up."""
    step = np.full(4, INCH / 24)
    lengths = np.array([0.25, -0.225, 0.0, 0.0]) * INCH
    lifted = sides._lifted(lengths, np.full(4, 0.5 * INCH), np.full(4, 0.375 * INCH), step)
    assert lifted == pytest.approx(np.array([0.25 + 3 / 24, -0.225 + 3 / 24, 0.0, 0.0]) * INCH)


def test_an_adjuster_without_thread_is_named() -> None:
    made, _, _ = _made(wren())
    problems = [item.task for item in made.axles if item.task is not None]
    sets = [item.chosen for item in made.axles if item.chosen is not None]
    left = [
        task.hardware.adjuster_range - task.limits.adjuster_reserve - one.adjuster
        for task, one in zip(problems, sets, strict=True)
    ]
    fits = np.array([left[0], -sets[0].adjuster, 0.0, left[1]])
    assert sides._out_of_reach(fits, problems, sets) == ""
    further = fits + np.array([0.0, 0.0, 0.0, 1e-4])
    assert sides._out_of_reach(further, problems, sets) == "the adjuster at the right rear has no thread for it."
    back = fits - np.array([0.0, 1e-4, 0.0, 0.0])
    assert sides._out_of_reach(back, problems, sets) == "the adjuster at the right front has no thread for it."


# --- springs of its own for each side ---------------------------------------------------------------------------------------


def _solvable(made: order.Order) -> tuple[Stand, list[Problem], list[SpringSet]]:
    ready = stand(made.rig)
    assert isinstance(ready, Stand)
    tasks = [item.task for item in made.axles if item.task is not None]
    return ready, tasks, [item.chosen for item in made.axles if item.chosen is not None]


def test_where_preload_cannot_level_it_each_side_is_named_springs_of_its_own() -> None:
    """Sag alike needs rates that go as the loads: checked on the loads of the whole rig, solved on those springs."""
    made, stands, found = _made(_leaning(120.0, 0.6))
    assert found.why_alike.endswith(("which is absurd.", "a main would bind too early at full bump."))
    assert found.own is not None
    springs, tasks = made.springs, [item.task for item in made.axles if item.task is not None]
    ready = stand(made.rig)
    assert isinstance(ready, Stand)
    pairs = [found.own.sets[axle] for axle in ("front", "rear")]
    rest = ready.solve(of_corners([axles.stack_of(springs, one) for pair in pairs for one in pair]))
    travel, force = rest.travel, rest.axial_force[stands.reference]
    for place, (pair, item) in enumerate(zip(pairs, made.axles, strict=True)):
        assert item.chosen is not None
        for one in pair:
            # One spring stays, and the other is as long.
            changed = [new for new, old in zip(one.springs(), item.chosen.springs(), strict=True) if new != old]
            replaced = [old for new, old in zip(one.springs(), item.chosen.springs(), strict=True) if new != old]
            assert len(changed) <= 1
            assert springs.free_length[changed] == pytest.approx(springs.free_length[replaced], abs=INCH / 16)
            assert one.broken() == ()
        rates = [1 / sum(1 / springs.rate[index] for index in one.springs()) for one in pair]
        left, right = force[2 * place : 2 * place + 2]
        assert rates[0] / rates[1] == pytest.approx(left / right, rel=0.12)
        wishes, coilover = tasks[place].wishes, tasks[place].coilover
        mine = travel[:, 2 * place : 2 * place + 2]
        assert (mine - coilover.strap_travel).min() >= wishes.droop
        assert (coilover.bump_limit - mine).min() >= wishes.bump
    assert found.own.body_roll == pytest.approx(rest.body_roll[stands.reference])
    assert abs(found.own.body_roll) < abs(found.own.lean_alike) / 4
    text = found.finding().text.replace("\u00a0", " ")
    first = springs.part[pairs[0][0].springs()[0]]
    assert f"Each side on springs of its own would do: at the front left {first} (" in text
    assert f"The body then leans {abs(np.degrees(found.own.body_roll)):.1f}° instead of 2.0°, with " in text
    told = data_of(made)["at_rest"]["sides"]
    assert told["own"]["sets"]["front"]["left"]["springs"][0] == first
    # What is told is not ordered: both sides stay alike until the reader decides.
    assert all(item.preload is None for item in made.axles)


def test_where_the_list_has_no_springs_for_a_side_that_is_said() -> None:
    """The rear's left side has none, by the plain solution of every spring that is as long; the front's sides have."""
    made, _, found = _made(_leaning(350.0, 0.6, 2.0))
    assert found.own is None
    assert found.instead == (
        "This list has none for it: with one spring of the chosen length changed on each side, no two keep every limit at "
        "the rear."
    )
    assert not any(_works(made, 1, "left", part) for part in ("tender", "main"))
    assert all(_works(made, 0, side, "main") for side in ("left", "right"))


def _works(made: order.Order, place: int, side: str, part: str) -> bool:
    """Whether a side's own load is held with one spring of the axle's set changed for any that is as long."""
    springs, item = made.springs, made.axles[place]
    assert item.task is not None
    assert item.chosen is not None
    assert item.chosen.tender is not None
    loads = [side_loads(made.rig, AXLES[place], case) for case in made.rig.cases()]
    cases = tuple(
        replace(case, support_load=one[f"support_load_{side}"], sprung_mass=one[f"support_load_{side}"] / 9.80665)
        for case, one in zip(item.task.cases, loads, strict=True)
        if one is not None
    )
    present = {"tender": item.chosen.tender, "main": item.chosen.main}
    alike = np.abs(springs.free_length - springs.free_length[present[part]]) < INCH / 16
    alike &= np.abs(springs.inside_diameter - springs.inside_diameter[present[part]]) < INCH / 50
    for index in np.flatnonzero(alike & ~springs.is_helper):
        tender, main = (
            (float(springs.rate[one]), float(springs.free_length[one]), float(springs.solid_length[one]))
            for one in {**present, part: int(index)}.values()
        )
        if not oracle(replace(item.task, cases=cases), tender, main).broken:
            return True
    return False


def test_a_contradiction_of_the_whole_rig_is_told_in_place_of_the_springs() -> None:
    """Each side works on its own load; with a roll center far above the body's weight the whole rig differs."""
    made, stands, _ = _made(_leaning(120.0, 0.6))
    ready, tasks, sets = _solvable(made)
    heavy = replace(ready, by_case={**ready.by_case, "sprung_weight": ready.by_case["sprung_weight"] * 1.5})
    told = own_sides(made.rig, heavy, made.springs, tasks, sets, ["front", "rear"], 0.0, SHOP)
    assert isinstance(told, str)
    assert told.startswith("with springs of its own for each side, the ")
    assert stands.sides is not None
    # It names the corner that comes short: with the weight a little further right, the right front.
    over = replace(ready, by_case={**ready.by_case, "sprung_left": ready.by_case["sprung_left"] - 0.10})
    told = own_sides(made.rig, over, made.springs, tasks, sets, ["front", "rear"], 0.0, SHOP)
    assert isinstance(told, str)
    assert told.startswith("with springs of its own for each side, the right front keeps ")
    assert " of bump at the damper" in told


def test_loads_that_are_not_known_name_no_springs() -> None:
    made, _, _ = _made(_leaning(120.0, 0.6))
    ready, tasks, sets = _solvable(made)
    values = {key: value for key, value in made.rig.values.items() if key != "front.mount_base"}
    told = own_sides(replace(made.rig, values=values), ready, made.springs, tasks, sets, ["front"], 0.0, SHOP)
    assert told == "what each side of the front carries needs its track and where its coil-overs are."


def test_springs_that_do_not_differ_or_do_not_help_are_not_named() -> None:
    made, _, found = _made(_leaning(120.0, 0.6))
    assert found.own is not None
    ready, tasks, sets = _solvable(made)
    level = abs(found.own.body_roll) / 2
    told = own_sides(made.rig, ready, made.springs, tasks, sets, ["front", "rear"], level, SHOP)
    assert told == "on the nearest ones for each side the body leans no less."
    # A list of nothing but the chosen springs.
    only = np.array(sorted({index for one in sets for index in one.springs()}))
    few = replace(
        made.springs,
        **{
            name: tuple(getattr(made.springs, name)[index] for index in only)
            if name in ("part", "note")
            else getattr(made.springs, name)[only]
            for name in vars(made.springs)
            if name not in ("known", "helper")
        },
        known={name: value[only] for name, value in made.springs.known.items()},
        helper=None if made.springs.helper is None else made.springs.helper[only],
    )
    again = [
        replace(one, tender=int(np.searchsorted(only, one.tender or 0)), main=int(np.searchsorted(only, one.main)))
        for one in sets
    ]
    told = own_sides(made.rig, ready, few, tasks, again, ["front", "rear"], 1.0, SHOP)
    assert isinstance(told, str)
    assert told.startswith(("of the chosen lengths it has none", "with one spring of the chosen length changed"))
