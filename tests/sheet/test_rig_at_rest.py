"""The rig at rest on the page and on the printed order, beside the command line: the same words on all three."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest

from calc.answers.order import text_of
from calc.order import order
from calc.order.axle_order import side_settings
from calc.quantity import SHOP, Display
from calc.rig.file import wren
from calc.rig.part_words import PRELOAD, PRELOAD_TURNS
from calc.rig.rig import Entry, Item, Rig
from calc.sheet.rig import build_paper
from calc.sheet.rig.answers import View, said
from calc.tables import assortment_springs
from calc.whole.on_chosen_springs import Standing

METRIC = Display(system="metric")


def _leaning(mass: float, left: float) -> Rig:
    load = Item(label="Tank", mass=mass, carried="sprung", behind_front_axle=1.4, left_of_center=left)
    # Axles that bear it: over its rating no set would be ranked, and none solved again.
    rating = Entry(value=3000.0)
    rig = wren()
    rig = replace(rig, values={**rig.values, "front.axle_rating": rating, "rear.axle_rating": rating})
    return replace(rig, load_cases=tuple(replace(case, items=(*case.items, load)) for case in rig.load_cases))


def _flat(html: str) -> str:
    """The words of a page, one space between them."""
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).replace("\u00a0", " ").split())


def _page(made: order.Order, section: int, display: Display = SHOP) -> str:
    return _flat(said(View(order=made, display=display))[section].body)


def _print(made: order.Order, display: Display = SHOP) -> str:
    return _flat(build_paper.sheet(made, display))


def _terminal(made: order.Order, display: Display = SHOP) -> str:
    return " ".join(text_of(made, display).split())


@pytest.mark.parametrize("display", [SHOP, METRIC], ids=["shop", "metric"])
def test_what_drops_says_why_in_the_same_words_everywhere(display: Display) -> None:
    made = order.order(_leaning(250.0, 0.75), assortment_springs(), None, display)
    resolved = made.axles[1].resolved
    assert resolved is not None
    assert resolved.dropped
    reason = resolved.dropped[0][1][0].text(display).replace("\u00a0", " ")
    for told in (_page(made, 6, display), _print(made, display), _terminal(made, display)):
        assert reason in told
        assert resolved.said(display).replace("\u00a0", " ") in told


def test_where_every_set_is_contradicted_all_three_say_what_to_relax() -> None:
    made = order.order(_leaning(350.0, 0.8), assortment_springs())
    resolved = made.axles[0].resolved
    assert resolved is not None
    assert resolved.none_left
    relax = resolved.to_relax(SHOP).replace("\u00a0", " ")
    for told in (_page(made, 6), _print(made), _terminal(made)):
        assert "The whole rig, solved, contradicts each of the 12 best sets." in told
        assert relax in told
    assert made.estimate
    assert said(View(order=made, display=SHOP))[6].state == "fails"


def test_nothing_dropped_is_not_printed() -> None:
    made = order.order(wren(), assortment_springs())
    assert "All 12 ranked sets keep every limit with the whole rig solved" in _page(made, 6)
    assert "ranked sets keep every limit" not in _print(made)


def test_every_corner_of_every_load_case_is_on_the_page() -> None:
    made = order.order(wren(), assortment_springs())
    html = said(View(order=made, display=SHOP))[6].body
    at = html.index("The whole rig at rest")
    for corner in ("Left front", "Right front", "Left rear", "Right rear"):
        # Three load cases, one row each, and twice in what a turn does.
        assert html[at:].count(f'<th scope="row">{corner}</th>') == 4
    for case in made.rig.cases():
        assert case.label in html[at:]
    for title in ("What one turn does", "To level it, or to even its cross weight"):
        assert f"<summary>{title}</summary>" in html[at:]


def test_the_old_springs_stand_with_the_change() -> None:
    made = order.order(wren(), assortment_springs())
    told = _page(made, 3)
    assert "On its old springs, as it weighs now" in told
    assert "The scales said 49.0 % on left rear and right front" in told
    assert "fails On its old springs it rests on a bump stop at the left rear and the right rear." in told
    bare = replace(
        wren(), values={key: one for key, one in wren().values.items() if not key.partition(".")[2].startswith("old_")}
    )
    assert "On its old springs" not in _page(order.order(bare, assortment_springs()), 3)
    without = replace(wren(), values={key: one for key, one in wren().values.items() if key != "rear.old_preload"})
    assert "not checked How it sits on its old springs as it weighs now: needs rear old preload." in _page(
        order.order(without, assortment_springs()), 3
    )


def test_sides_set_apart_are_set_so_on_the_bench() -> None:
    made = order.order(_leaning(90.0, 0.7), assortment_springs())
    values = side_settings(made.axles[0])
    assert values
    told = _print(made)
    turned = ", ".join(f"{one['preload_turns']:.1f} turns {side} front" for side, one in values.items())
    assert turned in told
    left, right = values["left"], values["right"]
    assert f"Adjuster, from backed off {left['adjuster'] / 0.0254:.2f} in {right['adjuster'] / 0.0254:.2f} in" in told
    assert (
        f"Total turns from fully backed off (check) {left['adjuster_turns']:.1f} turns {right['adjuster_turns']:.1f} turns"
        in told
    )
    lines = _terminal(made)
    assert "Set on the bench, damper hanging free, left and right apart" in lines
    assert f"{PRELOAD} {left['preload'] / 0.0254:.2f} in {right['preload'] / 0.0254:.2f} in" in lines
    assert f"{PRELOAD_TURNS} {left['preload_turns']:.1f} turns {right['preload_turns']:.1f} turns" in lines


def test_the_printed_order_gives_both_damper_lengths() -> None:
    made = order.order(wren(), assortment_springs())
    told = _print(made)
    standing = made.standing
    assert isinstance(standing, Standing)
    for case in standing.rest.cases:
        # Front and rear dampers show 12 and 14 in of shaft extended, at 31 and 35.5 in.
        shaft = (19.0, 19.0, 21.5, 21.5)
        lengths = [corner.damper_length / 0.0254 for corner in case.corners]
        four = " ".join(f"{one:.2f}; {one - collapsed:.2f} in" for one, collapsed in zip(lengths, shaft, strict=True))
        assert f"Damper, eye to eye; shaft showing {four}" in told
    assert "taken alike" not in told
    blind = replace(wren(), values={key: one for key, one in wren().values.items() if key != "front.mount_base"})
    assert "Left and right are taken alike" in _print(order.order(blind, assortment_springs()))


def test_many_load_cases_stand_in_one_table() -> None:
    cases = wren().load_cases
    more = tuple(replace(case, name=f"{case.name} {turn}") for turn in (1, 2) for case in cases)
    reference = {**wren().values, "reference_case": Entry(value="crew 1")}
    made = order.order(replace(wren(), load_cases=more, values=reference), assortment_springs())
    told = _print(made)
    standing = made.standing
    assert isinstance(standing, Standing)
    for case in standing.rest.cases:
        left, right = (corner.damper_length / 0.0254 for corner in case.corners[:2])
        assert f"{left:.2f} and {right:.2f} in" in told
    assert "Load case, left and right" in told


def test_names_of_load_cases_stay_text() -> None:
    hostile = replace(
        wren(), load_cases=tuple(replace(case, label="<img src=x onerror=alert(1)>") for case in wren().load_cases)
    )
    made = order.order(hostile, assortment_springs())
    for section in (3, 6, 10, 13):
        assert "<img" not in said(View(order=made, display=SHOP))[section].body
    assert "<img" not in build_paper.sheet(made, SHOP)
