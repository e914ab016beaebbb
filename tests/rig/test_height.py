"""The wanted ride height sets the preload, and nothing moves it but a limit that would be broken."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.answers.build_sheet import sheet_csv, sheet_data, sheet_text
from calc.answers.order import text_of
from calc.answers.order_data import order_data
from calc.errors import Needs
from calc.limits import BY_NAME
from calc.order.choice_words import height_line, height_mend, moved_line
from calc.order.order import completed, order, task
from calc.quantity import SHOP
from calc.rig import height
from calc.rig.entries import AXLES
from calc.rig.file import KIND, read_rig, wren, write_rig
from calc.rig.ordered import Ordered, record_from_data, record_to_data
from calc.rig.parts import Place
from calc.rig.rig import Entry, Rig
from calc.rig.unread import Unread
from calc.search.choose import at_wanted_height, choose, evaluate, judged
from calc.search.problem import HEIGHTS, Choice, Problem, SpringSet
from calc.sheet import markup
from calc.sheet.rig.springs import axle_body
from calc.tables import assortment_springs
from calc.whole.on_chosen_springs import Standing
from tests.conftest import long_run
from tests.search.test_choose import INCH, assortment, random_problem, random_rows
from tests.whole.wrens_order import wrens_order

SPRINGS = assortment_springs()


def with_(rig: Rig, **values: Any) -> Rig:
    """The rig with entries of its front axle; None takes one away."""
    named = {f"front.{name}": value for name, value in values.items()}
    kept = {key: entry for key, entry in rig.values.items() if key not in named}
    return replace(rig, values=kept | {key: Entry(value=one) for key, one in named.items() if one is not None})


def problem_of(rig: Rig, **values: Any) -> Problem:
    found = task(completed(with_(rig, **values)), "front")
    assert isinstance(found, Problem)
    return found


def named(problem: Problem, tender: str = "SP-0140", main: str = "SP-0152") -> SpringSet:
    return judged(problem, SPRINGS, SPRINGS.part.index(tender), SPRINGS.part.index(main))


def length_at_ride(problem: Problem, one: SpringSet) -> float:
    return problem.coilover.extended_length - one.ride_travel[problem.reference]


@pytest.mark.parametrize(("bump", "droop"), [(4.5, 3.0), (3.0, 3.0), (6.0, 2.0), (0.0, 0.0), (1.0, 4.0)])
def test_wishes_that_are_met_already_do_not_move_the_ride(bump: float, droop: float) -> None:
    """These rode between 25.1 and 27.1 in, with up to 31 turns, while spare bump and droop set the preload."""
    problem = problem_of(wren(), wanted_bump=bump * INCH, wanted_droop=droop * INCH)
    one = named(problem)
    assert not one.broken()
    assert one.preload == pytest.approx(1.375 * INCH)
    assert length_at_ride(problem, one) / INCH == pytest.approx(25.95, abs=0.02)


def test_a_wish_that_is_not_met_moves_the_ride_no_further_than_it_must() -> None:
    """6.5 in of bump with water and tools: the frame comes up until they are there, and not by a whole turn more."""
    problem = problem_of(wren(), wanted_bump=6.5 * INCH)
    one, step = named(problem), problem.hardware.adjuster_step
    assert not one.broken()
    assert one.preload > one.wanted_preload + step
    assert 0.0 <= -one.shortfall["bump"] < 1.1 * step


@settings(max_examples=long_run(15, 500))
@given(seed=st.integers(0, 100_000))
def test_the_preload_is_rounded_and_moved_for_nothing_but_a_limit(seed: int) -> None:
    """By a balance of its own for each set: springs in series, gas and motion ratio at the wanted length."""
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    rows = random_rows(generator, 24)
    step, target = problem.hardware.adjuster_step, problem.wishes.height.length
    load = problem.cases[problem.reference].support_load
    for one in choose(problem, assortment(rows)).ranked:
        rate = 1.0 / sum(1.0 / rows[index][0] for index in one.springs())

        def spare(travel: float, one: SpringSet = one, rate: float = rate) -> float:
            lean = problem.coilover.eye_offset / (problem.coilover.extended_length - travel)
            gas = float(problem.coilover.gas_force(travel))
            return rate * (one.wanted_preload + travel) + gas - load / float(np.sqrt(1.0 - lean**2))

        ride = brentq(spare, 0.0, problem.coilover.bump_limit, xtol=1e-12)
        assert problem.coilover.extended_length - ride == pytest.approx(target, abs=1e-9)
        if abs(one.preload - one.wanted_preload) <= step / 2 + 1e-12:
            # The rounding moves the ride by hardly more than itself.
            assert abs(length_at_ride(problem, one) - target) < 0.75 * step
            continue
        # Else the half turn that is nearest to it is out of reach, or breaks a limit.
        at_height = evaluate_at(problem, rows, one)
        assert at_height


def evaluate_at(problem: Problem, rows: list[tuple[float, ...]], one: SpringSet) -> bool:
    """Whether the half turn next to the wanted preload is out of the adjuster's reach, or breaks a limit."""
    step, limits = problem.hardware.adjuster_step, problem.limits
    least = one.preload - one.adjuster
    lowest, highest = (
        max(least, limits.preload_floor),
        least + problem.hardware.adjuster_range - limits.adjuster_reserve,
    )
    nearest = round(one.wanted_preload / step) * step
    if not lowest - 1e-9 <= nearest <= highest + 1e-9:
        return True
    return bool(at_wanted_height(problem, assortment(rows), one).broken())


def test_three_manners_of_entering_it_agree() -> None:
    """26.5 in eye to eye: 7.5 in of shaft, and as much higher at the hub as the upright parts of both lengths differ."""
    rig = wren()
    read, lean = rig.get("front.damper_length"), rig.get("front.lean")
    sideways = read * np.sin(lean)
    higher = np.sqrt((26.5 * INCH) ** 2 - sideways**2) - read * np.cos(lean)
    ways = (
        {"wanted_damper_length": 26.5 * INCH},
        {"wanted_shaft_showing": 7.5 * INCH},
        {"wanted_height_change": float(higher)},
    )
    lengths = [problem_of(rig, **way).wishes.height.length for way in ways]
    assert lengths == pytest.approx([26.5 * INCH] * 3, abs=1e-12)
    full = completed(with_(rig, **ways[1]))
    assert full.values["front.wanted_damper_length"].origin == "derived"
    assert read_rig(write_rig(with_(rig, **ways[2]))).get("front.wanted_height_change") == float(higher)


def test_blank_it_is_where_the_lean_was_read_and_says_so() -> None:
    full = completed(wren())
    assert full.values["front.wanted_damper_length"] == Entry(value=0.65913, origin="assumed")
    assert "front.wanted_damper_length" in wrens_order().assumed
    assert height.wanted_text(full, "front", problem_of(wren()).wishes.height, SHOP).replace("\u00a0", " ") == (
        "25.95 in, give or take 0.50 in (assumed: the height at which the lean was read)"
    )
    own = completed(with_(wren(), wanted_damper_length=26.0 * INCH, wanted_height_band=0.25 * INCH))
    text = height.wanted_text(own, "front", task(own, "front").wishes.height, SHOP)  # type: ignore[union-attr]
    assert text.replace("\u00a0", " ") == "26.00 in, give or take 0.25 in"


@pytest.mark.parametrize("length", [30.9, 19.6])
def test_a_lean_that_was_read_at_an_end_of_the_travel_is_no_ride_height(length: float) -> None:
    full = completed(with_(wren(), damper_length=length * INCH))
    middle = (31.0 + 19.5) / 2
    assert full.get("front.wanted_damper_length") == pytest.approx(middle * INCH)
    assert height.origin(full, "front") == height.ORIGINS["middle"]


def test_a_measured_ratio_without_any_length_aims_at_the_middle_of_the_travel() -> None:
    rig = with_(wren(), damper_length=None, lean=None, motion_ratio=0.75)
    assert completed(rig).get("front.wanted_damper_length") == pytest.approx(25.25 * INCH)
    with pytest.raises(Needs, match="no damper length was read there"):
        task(completed(with_(rig, wanted_height_change=1.0 * INCH)), "front")
    known = with_(rig, wanted_height_change=1.0 * INCH, damper_length=26.0 * INCH)
    assert completed(known).get("front.wanted_damper_length") == pytest.approx(26.75 * INCH, abs=1e-9)


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"wanted_damper_length": 26.0, "wanted_shaft_showing": 7.0}, "in more than one manner"),
        ({"wanted_shaft_showing": 7.0, "wanted_height_change": 0.0}, "in more than one manner"),
        ({"wanted_damper_length": 31.5}, "outside the damper's travel"),
        ({"wanted_shaft_showing": 0.25}, "outside the damper's travel"),
        ({"wanted_height_change": 9.0}, "outside the damper's travel"),
        ({"wanted_height_change": -12.0}, "outside the damper's travel"),
    ],
)
def test_a_height_that_cannot_be_is_refused_in_a_sentence(values: dict[str, float], told: str) -> None:
    with pytest.raises(Needs, match=f"{told}.*Allowed:"):
        task(completed(with_(wren(), **{name: value * INCH for name, value in values.items()})), "front")


def test_a_height_that_cannot_be_read_is_unknown_and_none_is_assumed() -> None:
    rig = replace(wren(), unread={"front.wanted_shaft_showing": Unread(text="7 fathoms")})
    full = completed(rig)
    assert "front.wanted_damper_length" not in full.values
    with pytest.raises(Needs, match="7 fathoms"):
        task(full, "front")


# --- where it cannot be met ---------------------------------------------------------------------------------------------------


def missing(problem: Problem, group: str) -> tuple[SpringSet, str]:
    """The named set, which stands off the wanted height in this way, and what is said of it."""
    one = named(problem)
    assert one.against_height == group
    return one, height_mend(problem, SPRINGS, one, SHOP).replace("\u00a0", " ")


def told_number(text: str, after: str) -> float:
    return float(text.partition(after)[2].split()[0])


def test_where_the_adjuster_ends_more_thread_or_longer_springs_meet_it() -> None:
    problem = problem_of(wren(), wanted_damper_length=27.2 * INCH, wanted_droop=0.0, adjuster_range=2.0 * INCH)
    one, text = missing(problem, "run_down")
    short = told_number(text, "The adjuster ends ")
    more = replace(problem, hardware=replace(problem.hardware, adjuster_range=(2.0 + short + 0.01) * INCH))
    assert named(more).against_height == "met"
    assert length_at_ride(more, named(more)) == pytest.approx(27.2 * INCH, abs=0.03 * INCH)
    assert length_at_ride(problem, one) < (27.2 - 0.5) * INCH
    assert "stiffer springs, of" in text


def test_where_it_is_backed_off_shorter_springs_meet_it() -> None:
    problem = problem_of(wren(), wanted_damper_length=25.0 * INCH, seat_space=25.3 * INCH)
    one, text = missing(problem, "backed_off")
    by = told_number(text, "springs that are shorter by ")
    shorter = replace(problem, hardware=replace(problem.hardware, seat_space=(25.3 + by) * INCH))
    assert named(shorter).against_height == "met"
    assert length_at_ride(problem, one) > 25.5 * INCH


def test_where_the_least_preload_holds_it_up_the_rate_that_is_told_meets_it() -> None:
    problem = problem_of(wren(), wanted_damper_length=24.0 * INCH, wanted_bump=1.0 * INCH)
    one, text = missing(problem, "floor")
    softer = told_number(text, "softer springs, of ")
    travel = problem.coilover.extended_length - 24.0 * INCH
    force, _ = problem.coilover.spring_force(problem.cases[problem.reference].support_load, travel)
    shortened = float(force) / (softer * 4.4482216152605 / INCH)
    assert shortened - problem.limits.preload_floor == pytest.approx(travel, abs=0.03 * INCH)
    assert length_at_ride(problem, one) > 24.5 * INCH


def test_where_another_limit_keeps_it_off_that_limit_is_named() -> None:
    problem = problem_of(wren(), wanted_damper_length=28.0 * INCH)
    one, text = missing(problem, "limit")
    assert text.startswith("At that height it would fail: less droop left than wanted, in some load case; main binds")
    assert one.preload < one.wanted_preload


def test_the_search_counts_what_stands_at_the_height_and_what_would_bring_the_rest_there() -> None:
    generator = np.random.default_rng(3)
    problem = random_problem(generator)
    springs = assortment(random_rows(generator, 40))
    found = choose(problem, springs)
    tender, main = (column.ravel() for column in np.meshgrid(np.arange(-1, 40), np.arange(40)))
    batch = evaluate(problem, springs, tender, main)
    works = np.all([value <= 0 for value in batch.shortfall.values()], axis=0)
    off = problem.coilover.extended_length - batch.sets.reference_travel[works] - problem.wishes.height.length
    assert sum(found.heights.values()) == found.working + found.helped.working
    assert found.heights["met"] == np.count_nonzero(np.abs(off) <= problem.wishes.height.band)
    text = height_line(found, SHOP)
    for name in list(HEIGHTS)[1:]:
        assert (f"{found.heights[name]:,} {HEIGHTS[name]}" in text) == (found.heights[name] > 0)
    assert f"{found.heights['met']:,} ride inside the wanted height" in text
    assert height_line(Choice(**{**vars(found), "heights": dict.fromkeys(HEIGHTS, 0)}), SHOP) == ""


def test_a_corner_that_comes_short_moves_the_ride_as_far_as_it_needs() -> None:
    """With straps the rear's mean keeps the wanted droop to the half turn, and its right side a sixth of an inch less."""
    rig = wren()
    straps = {f"{axle}.{name}": Entry(value=one) for axle in AXLES for name, one in _STRAPPED.items()}
    rear = order(replace(rig, values={**rig.values, **straps}), SPRINGS)
    item = rear.axles[1]
    assert item.task is not None
    assert item.chosen is not None
    assert isinstance(rear.standing, Standing)
    step, wanted = item.task.hardware.adjuster_step, item.task.wishes.droop
    alone = judged(item.task, SPRINGS, item.chosen.tender, item.chosen.main)
    assert not alone.broken()
    assert item.chosen.preload < alone.preload < alone.wanted_preload - step
    droop = min(
        corner.droop_left
        for case in rear.standing.rest.cases
        for corner in case.corners
        if corner.name.endswith("rear")
    )
    assert 0.0 <= droop - wanted < 2.5 * step
    assert "turns less than the preload for the wanted ride height" in moved_line(item.task, SPRINGS, item.chosen)
    picked = {"rear.chosen_tender_part": item.chosen.tender, "rear.chosen_main_part": item.chosen.main}
    own = {key: Entry(value=SPRINGS.part[index or 0]) for key, index in picked.items()}
    again = order(replace(rig, values={**rig.values, **straps, **own}), SPRINGS).axles[1]
    assert again.own_pick
    assert again.chosen is not None
    assert again.chosen.preload == item.chosen.preload


_STRAPPED = {"limit_strap": "yes", "strap_travel": 1.0 * INCH}


def test_distance_from_the_height_is_scored_by_its_weight() -> None:
    problem = problem_of(wren(), wanted_damper_length=28.3 * INCH, wanted_droop=0.0, adjuster_range=2.0 * INCH)
    bare = replace(problem, weights=replace(problem.weights, ride_height=0.0))
    one, off = named(problem), length_at_ride(problem, named(problem)) - 28.3 * INCH
    assert one.score - named(bare).score == pytest.approx((off / (0.5 * INCH)) ** 2, rel=1e-9)
    assert BY_NAME["ride_height"].warns


# --- where it is told ------------------------------------------------------------------------------------------------------------


def test_every_load_cases_height_stands_on_page_text_and_sheet_with_its_sign() -> None:
    """An inch higher than the lean was read: the whole rig solved stands as much higher, hub to frame mark."""
    rig = with_(wren(), wanted_height_change=1.0 * INCH)
    made = order(rig, SPRINGS)
    item = made.axles[0]
    assert item.task is not None
    reference = item.cases[item.task.reference]
    assert reference.damper_length - reference.above_wanted == pytest.approx(item.task.wishes.height.length)
    assert abs(reference.above_wanted) < 0.03 * INCH
    sheet = made.sheet
    assert sheet is not None
    for case, answer in zip(sheet.cases, item.cases, strict=True):
        left, right = case.corners[:2]
        assert left.above_wanted is not None
        assert right.above_wanted is not None
        assert left.damper_length - left.above_wanted == pytest.approx(item.task.wishes.height.length)
        assert (left.above_wanted + right.above_wanted) / 2 == pytest.approx(answer.above_wanted, abs=0.03 * INCH)
    solved = next(case for case in sheet.cases if case.reference).corners[:2]
    assert sum(one.hub_to_body_change or 0.0 for one in solved) / 2 == pytest.approx(1.0 * INCH, abs=0.03 * INCH)
    light = item.cases[0].above_wanted / INCH
    assert f"+{light:.2f} in" in text_of(made, SHOP)
    assert f"+{light:.2f}</td>" in axle_body(item, SPRINGS, SHOP, markup.findings)
    corner = sheet.cases[0].corners[0].above_wanted or 0.0
    assert f"{corner / INCH:+.2f}\u00a0in".replace("\u00a0", " ") in sheet_text(sheet)
    rows = list(csv.reader(io.StringIO(sheet_csv(sheet))))
    told = [float(row[3]) for row in rows if row[2] == "Above (+) the wanted height" and row[1] == "Left front"]
    assert told[0] == pytest.approx(corner / INCH, abs=0.005)
    assert len(told) == len(sheet.cases)
    assert sheet_data(sheet)["cases"][0]["corners"][0]["above_wanted"] == corner
    axle = order_data(rig, SPRINGS)["axles"]["front"]
    assert axle["cases"][0]["above_wanted"] == item.cases[0].above_wanted
    assert axle["wanted_height"] == {"length": item.task.wishes.height.length, "band": 0.5 * INCH}
    # Nose up as wanted is no nose up.
    assert made.pairs is not None
    assert abs(made.pairs.used.nose or 1.0) < 0.3 * INCH
    finding = next(one for one in item.findings if one.rule == BY_NAME["ride_height"].rule)
    assert finding.state == "holds"


def test_an_order_of_an_older_handbook_is_read_without_its_heights() -> None:
    sheet = wrens_order().sheet
    assert sheet is not None
    record = Ordered(date="2026-05-02", handbook="0.1", sheet=sheet, rig="{}")
    data = json.loads(json.dumps(record_to_data(record, {})))
    assert record_from_data(data, record.rig, Place(KIND)) == record
    for case in data["sheet"]["cases"]:
        for corner in case["corners"]:
            corner.pop("above_wanted")
    again = record_from_data(data, record.rig, Place(KIND))
    assert again.sheet.cases[0].corners[0].above_wanted is None
    assert "Above (+)" not in sheet_text(again.sheet)
