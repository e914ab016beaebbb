"""What is said of the rig on its chosen springs: findings in whole sentences, tables, plain data."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from calc.answer.parts import signed
from calc.answer.text import WIDTH
from calc.answers.order import order_text
from calc.answers.order_data import data_of, standing_data
from calc.answers.rest import case_table, cross_note, level_table, old_finding, turn_tables
from calc.order import order
from calc.quantity import SHOP, Display
from calc.rig.file import wren
from calc.rig.rig import Entry, Item, Rig
from calc.step import Finding
from calc.tables import assortment_springs
from calc.vocabulary import length
from calc.whole.at_rest import AtRest, at_rest, old_springs
from calc.whole.on_chosen_springs import Standing, findings, roll_finding
from tests.whole.wrens_order import wrens_order

METRIC = Display(system="metric")
DEGREES_PER_G = math.degrees(1.0) * 9.80665


def _with(rig: Rig, values: Mapping[str, Any]) -> Rig:
    return replace(rig, values={**rig.values, **{key: Entry(value=value) for key, value in values.items()}})


def _without(rig: Rig, *keys: str) -> Rig:
    return replace(rig, values={key: entry for key, entry in rig.values.items() if key not in keys})


def _plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.fixture(scope="module")
def made() -> order.Order:
    return wrens_order()


def _standing(made: order.Order) -> Standing:
    assert isinstance(made.standing, Standing)
    return made.standing


def _old(rig: Rig) -> AtRest:
    found = at_rest(rig, old_springs(rig))
    assert isinstance(found, AtRest)
    return found


# --- roll margin ----------------------------------------------------------------------------------------------------------------


def _margins(rest: AtRest, *margins: float | None) -> AtRest:
    cases = tuple(
        replace(case, roll_margin=margin, label=f"Case {place}")
        for place, (case, margin) in enumerate(zip(rest.cases, margins, strict=True))
    )
    return replace(rest, cases=cases)


@pytest.mark.parametrize(
    ("least", "state", "told"),
    [
        (
            1.29,
            "fails",
            "Roll margin 1.29, below 1.3: the weight nearly outweighs the springs in roll. Do not build it without an "
            "anti-roll bar or a wider spring base. Load case: Case 1.",
        ),
        (
            1.31,
            "holds",
            "Roll margin 1.3: the springs resist leaning 1.3 times as hard as the weight drives it, so it stands up; "
            "below 1.3 it hardly would. How far it leans is the roll gradient. Load case: Case 1.",
        ),
    ],
)
def test_roll_margin_on_both_sides_of_its_limit(made: order.Order, least: float, state: str, told: str) -> None:
    found = roll_finding(_margins(_standing(made).rest, 4.0, least, 3.0))
    assert (found.state, found.value) == (state, least)
    assert found.text == told


def test_roll_margin_without_the_weights_height_is_not_checked(made: order.Order) -> None:
    found = roll_finding(_margins(_standing(made).rest, 4.0, None, 3.0))
    assert found.state == "not checked"
    assert found.text == (
        "Whether the springs hold the weight upright: needs the height of the center of gravity in every load case, "
        "from a weighing with one axle raised."
    )


# --- how far it leans -----------------------------------------------------------------------------------------------------------


def _raised(rig: Rig, by: float, roads: str | None = None) -> Rig:
    """The rig with its center of gravity higher in every load case, driven on roads or not."""
    cases = tuple(
        replace(case, center_of_gravity_height=(case.center_of_gravity_height or 0.0) + by) for case in rig.load_cases
    )
    bare = _without(replace(rig, load_cases=cases), "driven_on_roads")
    return bare if roads is None else _with(bare, {"driven_on_roads": roads})


def _of(made: order.Order) -> dict[str, Finding]:
    return {finding.rule: finding for finding in made.rests}


def test_a_tall_rig_is_told_that_it_leans_and_tips_in_its_worst_load_case() -> None:
    """Center of gravity 0.12 m higher: 38.5 deg/g and a factor of 0.86 with the crew, more with full water and tools."""
    tall = order.order(_raised(wren(), 0.12), assortment_springs())
    crew = tall.motions.get("roll")
    assert crew is not None
    assert crew.values["roll_gradient"] * DEGREES_PER_G == pytest.approx(38.5, abs=1.0)
    assert crew.values["static_stability_factor"] == pytest.approx(0.86, abs=0.005)
    found = _of(tall)
    assert (found["roll margin"].state, found["roll gradient"].state) == ("holds", "close")
    assert found["roll gradient"].value is not None
    lean = found["roll gradient"].value * DEGREES_PER_G
    assert lean == pytest.approx(48.0, abs=1.0)
    assert _plain(found["roll gradient"].text) == (
        f"The body leans by {lean:.1f} °/g, {0.3 * lean:.1f}° at 0.30 g: more than the 12.0 °/g that soft rigs with bars lean. Fit a bar, widen "
        "the spring base, or carry the load lower. Load case: Full water and tools."
    )
    assert found["static stability factor"].state == "close"
    assert _plain(found["static stability factor"].text) == (
        "The static stability factor of 0.83 is below 1.12, the lowest mean of a class of road vehicles in its source: it "
        "tips earlier than any of them. Carry the load lower, or widen the track. Load case: Full water and tools."
    )
    # Nobody said whether it is driven on roads, so nothing is judged there, and it is said.
    assert found["roll gradient on roads"].state == "not checked"


@pytest.mark.parametrize(("roads", "state"), [("yes", "fails"), ("no", None)])
def test_on_roads_such_a_lean_fails_and_nothing_may_be_ordered_from_it(roads: str, state: str | None) -> None:
    made = order.order(_raised(wren(), 0.0, roads), assortment_springs())
    told = _of(made).get("roll gradient on roads")
    assert (told and told.state) == state
    assert ("the check “roll gradient on roads” fails" in made.reasons) == (roads == "yes")


def test_a_lean_that_cannot_be_worked_out_in_every_load_case_is_not_checked() -> None:
    rig = wren()
    cases = tuple(
        replace(case, center_of_gravity_height=None) if case.name == "full" else case for case in rig.load_cases
    )
    found = _of(order.order(replace(rig, load_cases=cases), assortment_springs()))
    assert found["roll gradient"].state == "not checked"
    assert found["roll gradient"].text == (
        "How far the body leans in a turn: needs the height of the center of gravity in every load case and the tires' "
        "loaded radii."
    )
    assert "static stability factor" not in found


def test_the_motions_and_the_rest_know_one_roll_margin(made: order.Order) -> None:
    rest = _standing(made).rest.cases[_standing(made).reference]
    told = made.motions.get("roll")
    assert told is not None
    assert told.values["roll_margin"] == pytest.approx(rest.roll_margin, rel=1e-12)


# --- findings -----------------------------------------------------------------------------------------------------------------


def test_what_is_missing_is_told_in_every_rule() -> None:
    made = order.order(_without(wren(), "front.mount_base", "rear.mount_base"), assortment_springs())
    assert [(one.rule, one.state) for one in made.rests] == [
        ("corners at rest", "not checked"),
        ("roll margin", "not checked"),
        ("roll gradient", "not checked"),
        ("left and right", "not checked"),
    ]
    assert made.rests[0].text == (
        "Whether every corner keeps its travel, the whole rig solved: needs front base between the lower mounts, "
        "rear base between the lower mounts."
    )


def test_without_a_set_at_an_axle_it_needs_one() -> None:
    assert [one.text for one in findings(None, None, ())] == [
        "Whether every corner keeps its travel, the whole rig solved: needs springs at both axles.",
        "Whether the springs hold the weight upright: needs springs at both axles.",
        "How far the body leans in a turn: needs springs at both axles.",
        "Whether left and right are set alike: needs springs at both axles.",
    ]


def test_an_own_pick_that_the_whole_rig_contradicts_fails_and_is_an_estimate() -> None:
    """Picked by hand, a set stays on a rig far heavier on one side, and is told."""
    springs = assortment_springs()
    load = Item(label="Tank", mass=350.0, carried="sprung", behind_front_axle=1.4, left_of_center=0.8)
    rig = wren()
    cases = tuple(replace(case, items=(*case.items, load)) for case in rig.load_cases)
    part = springs.part[int(springs.rate.argmax())]
    picked = _with(replace(rig, load_cases=cases), {"front.chosen_main_part": part})
    found = order.order(picked, springs)
    corners = next(one for one in found.rests if one.rule == "corners at rest")
    assert corners.state == "fails"
    assert found.axles[0].own_pick
    assert re.search(r"The (left|right) front (keeps|comes|stands) ", _plain(corners.text))
    assert "the check “corners at rest” fails" in found.reasons


# --- old springs ----------------------------------------------------------------------------------------------------------------


def test_old_springs_that_press_their_bump_stops_are_told() -> None:
    found = old_finding(_old(wren()), SHOP)
    assert found == Finding(
        rule="old springs",
        state="fails",
        text="On its old springs it rests on a bump stop at the left rear and the right rear. "
        "Load case: Full water and tools.",
    )


def test_old_springs_that_hold_it_up_tell_the_least_bump() -> None:
    light = replace(wren(), load_cases=wren().load_cases[:1])
    rest = _old(light)
    least = min(corner.bump_left for corner in rest.cases[0].corners)
    found = old_finding(rest, SHOP)
    assert found.state == "holds"
    assert _plain(found.text) == (
        f"On its old springs it hangs free of its stops; the least bump left is {least / 0.0254:.2f} in at the left front. "
        "Load case: Bare with one person, as weighed."
    )


def test_old_springs_that_cannot_hold_it_up_say_where_it_sits() -> None:
    soft = _with(wren(), {"rear.old_main_rate": 4000.0, "rear.old_tender_rate": 3000.0})
    heavy = Item(label="Load", mass=1600.0, carried="sprung", behind_front_axle=2.7)
    loaded = replace(soft, load_cases=tuple(replace(case, items=(heavy,)) for case in soft.load_cases))
    assert old_finding(_old(loaded), SHOP).text == (
        "On its old springs: the springs cannot hold it up: it sits on its stops (left rear, right rear). "
        "Load case: Bare with one person, as weighed."
    )


def test_cross_weight_of_the_scales_stands_beside_that_of_the_springs() -> None:
    """Read: 49.0 % by the four readings, (529.8 + 646.8) / 2399.5."""
    rig = wren()
    rest = _old(rig)
    shares = [case.cross_share for case in rest.cases]
    told = _plain(cross_note(rig, rest))
    assert told.startswith(
        "The scales said 49.0 % on left rear and right front; old springs set alike on both sides would give "
        f"{100 * shares[0]:.1f} %. The load changes that by "
    )
    assert f"{100 * (shares[1] - shares[0]):+.1f} % (Crew of two with tools)" in told
    loaded = replace(rig, load_cases=rig.load_cases[1:])
    assert cross_note(loaded, _old(loaded)) == ""


# --- tables ---------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("display", [SHOP, METRIC], ids=["shop", "metric"])
def test_tables_are_whole_and_fit_the_terminal(made: order.Order, display: Display) -> None:
    found = _standing(made)
    tables = [case_table(case, display) for case in found.rest.cases]
    every = [*tables, *turn_tables(found, display), level_table(found)]
    for table in every:
        assert table is not None
        assert all(len(row) == len(table.heads) for row in table.rows)
        assert all(cell for row in table.rows for cell in row)
        assert all(note.endswith(".") for note in table.notes)
    text = order_text(wren(), assortment_springs(), display)
    assert max(len(line) for line in text.splitlines()) <= WIDTH
    for title in ("THE WHOLE RIG AT REST", "ON ITS OLD SPRINGS, AS IT WEIGHS NOW"):
        assert f"\n{title}\n" in text


def test_a_load_case_is_told_in_one_line_and_four_rows(made: order.Order) -> None:
    found = _standing(made)
    case = found.rest.cases[found.reference]
    table = case_table(case, SHOP)
    assert table is not None
    assert table.heads == ("Corner", "Tire, lb", "Hub to frame mark, in", "Bump left, in", "Droop left, in", "Sag, %")
    assert [row[0] for row in table.rows] == ["Left front", "Right front", "Left rear", "Right rear"]
    tires = [int(row[1].replace(",", "")) for row in table.rows]
    # 1371.38 and 1248.12 kg on the axles with the crew aboard, by the weight change step's example.
    assert tires[0] + tires[1] == pytest.approx(1371.38279 / 0.45359237, abs=1.0)
    assert tires[2] + tires[3] == pytest.approx(1248.12085 / 0.45359237, abs=1.0)
    lean = abs(case.body_roll) * 57.29578
    side = "left" if case.body_roll < 0 else "right"
    assert case.doubt is not None
    # It leans by less than is known, so that is said.
    assert abs(case.body_roll) < case.doubt.body_roll
    assert _plain(table.caption) == (
        f"Crew of two with tools: {100 * case.cross_share:.1f} % ± {100 * case.doubt.cross_share:.1f} % on left rear and "
        f"right front, sits level as far as is known ({lean:.1f}° ± {case.doubt.body_roll * 57.29578:.1f}° to the {side})"
    )


def test_the_wanted_cross_weight_is_the_rigs_own() -> None:
    made = order.order(_with(wren(), {"wanted_cross_share": 0.495}), assortment_springs())
    found = _standing(made)
    assert found.levels[2].cross_share == pytest.approx(0.495, abs=1e-8)
    table = level_table(found)
    assert table is not None
    # The body leans by less than is known, and so do the dampers differ: no turns for that.
    assert [_plain(row[0]) for row in table.rows] == ["Cross weight 49.5 %"]
    assert _plain(table.rows[0][-1]) == "49.5 %"


def test_the_ring_has_its_own_table_where_a_corner_stands_past_its_crossover(made: order.Order) -> None:
    found = _standing(made)
    assert [table.caption.split(",")[0] for table in turn_tables(found, SHOP)] == ["One adjuster turn down"]
    past = replace(found, ring=tuple(replace(one, frame_height=one.frame_height + 1e-4) for one in found.ring))
    captions = [table.caption.split(",")[0] for table in turn_tables(past, SHOP)]
    assert captions == ["One adjuster turn down", "One ring turn up", "One ring turn up", "One ring turn up"]


@pytest.mark.parametrize(
    ("value", "told"), [(0.0254, "+1.00"), (-0.0254, "\u22121.00"), (0.0, "0.00"), (1e-6, "0.00"), (-1e-6, "0.00")]
)
def test_changes_carry_their_sign_and_nothing_has_none(value: float, told: str) -> None:
    assert signed(value, length, SHOP) == told


# --- plain data -----------------------------------------------------------------------------------------------------------------


def test_a_program_gets_finite_numbers_of_every_corner(made: order.Order) -> None:
    data = json.loads(json.dumps(standing_data(made.standing, made.standing_needs), allow_nan=False, sort_keys=True))
    assert [len(case["corners"]) for case in data["cases"]] == [4, 4, 4]
    assert [len(one) for one in data["turns"]["adjuster"][0]["frame_height"]] == [4, 4, 4, 4]
    assert [one["rule"].split(" ")[0] for one in data["leveling"]] == ["The", "Left", "The"]
    assert data["sides"]["turns"] is None
    assert standing_data(None, None) is None
    whole = json.loads(json.dumps(data_of(made), allow_nan=False, sort_keys=True))
    assert [len(case["corners"]) for case in whole["on_old_springs"]["cases"]] == [4, 4, 4]
    unknown = order.order(_without(wren(), "rear.old_preload"), assortment_springs())
    assert data_of(unknown)["on_old_springs"] is None
    blind = order.order(_without(wren(), "front.mount_base"), assortment_springs())
    assert standing_data(blind.standing, blind.standing_needs) == {"needs": ["front.mount_base"], "problems": []}
