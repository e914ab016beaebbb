"""The build sheet: its numbers are those of the order, and its three plain forms say the same."""

from __future__ import annotations

import csv
import io
import json
import re
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from typing import Any

import pytest

from calc.answer.csv import values
from calc.answers.build_sheet import sheet_csv, sheet_data, sheet_parts, sheet_text
from calc.answers.order import text_of
from calc.answers.order_data import data_of
from calc.order.order import order
from calc.order.recording import sheet_in_force
from calc.quantity import METRIC, SHOP, Display
from calc.rig.entries import CORNERS
from calc.rig.file import KIND, wren
from calc.rig.ordered import BuildSheet, Ordered, record_from_data, record_to_data
from calc.rig.part_words import RING_BELOW_SEAT, RING_GAP, THREAD_LEFT, rate_text
from calc.rig.parts import Place
from calc.rig.rig import Entry, Rig
from calc.sheet.rig import build_paper, chosen_set
from calc.step import find
from calc.tables import assortment_springs
from tests.whole.wrens_order import wrens_order

INCH, POUND = 0.0254, 0.45359237
MADE = wrens_order()


def sheet(rig: Rig | None = None) -> BuildSheet:
    found = sheet_in_force(MADE if rig is None else order(rig, assortment_springs()), "2026-11-25")
    assert found is not None
    return found


def rows(found: BuildSheet) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(sheet_csv(found))))


def test_a_blank_rig_has_no_build_sheet() -> None:
    assert order(Rig(), assortment_springs()).sheet is None


def test_its_numbers_are_the_orders() -> None:
    found, told = sheet(), data_of(MADE)
    assert [setting.corner for setting in found.settings] == list(CORNERS)
    for setting in found.settings:
        own = told["axles"][setting.corner.partition("_")[2]]["settings"]
        assert setting.preload == own["preload"]
        assert setting.ring_below_seat == own["ring_below_seat"]
    cases = told["at_rest"]["cases"]
    for case, solved in zip(found.cases, cases, strict=True):
        for corner in case.corners:
            own = next(one for one in solved["corners"] if one["name"] == corner.corner)
            assert corner.tire_mass == own["tire_mass"]
            assert corner.bump_left == own["bump_left"]


def test_pieces_prices_and_gaps_are_those_worked_by_hand() -> None:
    found = sheet()
    springs = [part for part in found.parts if part.part]
    assert [part.count for part in springs] == [2] * 4
    assert found.total == pytest.approx(2 * sum(part.price or 0.0 for part in springs))
    # The pad is touched 2.5 in before the damper is collapsed; 12 in of stroke in front, 31 in extended.
    crew = next(case for case in found.cases if case.reference)
    for corner in crew.corners[:2]:
        travel = 31 * INCH - corner.damper_length
        assert corner.bump_stop_gap == pytest.approx(9.5 * INCH - travel)
        assert corner.shaft_showing == pytest.approx(12 * INCH - travel)


def test_the_ring_gap_at_ride_is_what_is_left_to_the_crossover_at_the_tenders_share() -> None:
    """Front 1.49 in and rear 1.95 in on the axle's mean: (wish above ride) k_m / (k_t + k_m)."""
    found = sheet()
    crew = next(case for case in found.cases if case.reference)
    for place, (axle, tender, main, mean) in enumerate((("front", 260, 400, 1.49), ("rear", 350, 450, 1.95))):
        chosen, task = MADE.axles[place].chosen, MADE.axles[place].task
        assert chosen is not None
        assert chosen.crossover_travel is not None
        assert task is not None
        corners = [one for one in crew.corners if one.corner.endswith(axle)]
        for one in corners:
            travel = task.coilover.extended_length - one.damper_length
            expected = (chosen.crossover_travel - travel) * main / (tender + main)
            assert one.ring_gap == pytest.approx(expected, abs=1e-6)
        gaps = [one.ring_gap or 0.0 for one in corners]
        assert sum(gaps) / 2 / INCH == pytest.approx(mean, abs=0.015)


def test_the_loads_of_a_case_are_the_weight_of_the_rig_in_it() -> None:
    """Bare as weighed, and 220 kg more with the crew, and 270 kg more when full: the example rig's own items."""
    for case, mass in zip(sheet().cases, (2399.5, 2619.5, 2889.5), strict=True):
        assert sum(corner.tire_mass for corner in case.corners) == pytest.approx(mass, abs=1e-3)


def test_the_table_and_the_data_say_the_same() -> None:
    found = sheet()
    data = json.loads(json.dumps(sheet_data(found), allow_nan=False))
    table = rows(found)
    for setting in data["settings"]:
        corner = setting["corner"].replace("_", " ").capitalize()
        own = {row["what"]: row for row in table if row["section"] == "settings" and row["place"] == corner}
        assert float(own["Ring gap, down to the divider"]["value"]) == pytest.approx(
            setting["ring_gap"] / INCH, rel=1e-3
        )
        assert own["Ring gap, down to the divider"]["unit"] == "in"
    crew = next(case for case in data["cases"] if case["reference"])
    loads = [row for row in table if row["section"] == f"forecast: {crew['label']}" and row["what"] == "Tire"]
    assert [float(row["value"]) for row in loads] == pytest.approx(
        [corner["tire_mass"] / POUND for corner in crew["corners"]], rel=1e-3
    )
    assert data["estimate"] is True
    assert data["date"] == "2026-11-25"


# What the reader entered stands as it was entered: 26 psi, not 26.0.
AS_ENTERED = ("Tire pressure", "Gas charge, cold, fully extended", "Rebound share", "Slope past the knee", "Knee speed")


def _plain(text: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", text)).replace("\N{NO-BREAK SPACE}", " ").split())


@pytest.mark.parametrize("display", [SHOP, METRIC], ids=["shop", "metric"])
def test_text_page_table_and_data_say_the_same(display: Display) -> None:
    """Every value of the table, as a reader prints it, stands in the text and on the page beside its name, and in the JSON."""
    found = sheet()
    text, page = _plain(sheet_text(found, display)), _plain(build_paper.sheet(MADE, display, "", "2026-11-25"))
    numbers = sorted(_numbers(sheet_data(found)))
    names = set()
    for section, _, fact in values(sheet_parts(found, display)):
        what, value, of = fact.label, fact.value, fact.of
        if not isinstance(value, float) or section == "parts":
            continue
        printed = fact.text(display)
        if section.startswith("damping forces"):
            printed = display.number(value, of)  # type: ignore[arg-type]
            assert printed in text
            assert f"{printed} / " in page or f" / {printed}" in page
        else:
            names.add(what)
            printed = printed.replace("\N{NO-BREAK SPACE}", " ")
            assert printed in text, (what, printed)
            # A unit that two values of one row have stands once.
            assert printed in page or f"{printed.rpartition(' ')[0]}; " in page, (what, printed)
            assert what in text
            # The page tells two of a kind in one row.
            assert what in page or f"; {what[:1].lower()}{what[1:]}" in page
        share = value / 100 if of == "%" else value
        place = bisect_left(numbers, share - 1e-12)
        assert numbers[place] == pytest.approx(share, rel=1e-12), what
    assert {"Shaft showing", "Ring gap at ride", "Shaft left to the bump stop"} <= names
    assert {"Tire pressure", "Gas charge, cold, fully extended", "Spring seat to underside of ring"} <= names
    for part in found.parts:
        assert part.what in page.lower()
        assert part.what in text
        if part.rate is not None:
            assert part.part in text
            assert rate_text(part.rate, display).replace("\N{NO-BREAK SPACE}", " ") in text
            assert rate_text(part.rate, display).replace("\N{NO-BREAK SPACE}", " ") in page
    for told in (text, page):
        assert "past the crossover" in told
        assert "Set as on the bench in every load case: preload 16.5 turns front, 6.0 turns rear" in told
        assert "Limit strap" in told
        # What stands by the ground is no setting of the bench, and the vehicle's frame is no damper's body.
        bench = told[told.index("hanging free") : told.lower().index("shaft showing")]
        assert "to the bump stop" not in bench
        assert "next to the body" not in told
        assert "Hub to body" not in told


def _numbers(data: Any) -> Iterator[float]:
    if isinstance(data, dict):
        yield from (number for one in data.values() for number in _numbers(one))
    elif isinstance(data, (list, tuple)):
        yield from (number for one in data for number in _numbers(one))
    elif isinstance(data, (int, float)) and not isinstance(data, bool):
        yield float(data)


def test_one_length_has_one_name_wherever_it_is_printed() -> None:
    item = MADE.axles[0]
    tables = (text_of(MADE, SHOP), chosen_set.settings_table(item, SHOP), sheet_text(sheet()))
    for told in tables:
        for name in (RING_BELOW_SEAT, RING_GAP, THREAD_LEFT):
            assert name in told
    assert find("stack").results["ring_below_seat"].quantity.label == RING_BELOW_SEAT


def test_a_spring_is_named_by_the_rate_that_it_is_ordered_by() -> None:
    """250 lb/in is 43.78 N/mm, not 44, and a spring of 44 N/mm is no 251 lb/in."""
    assert rate_text(250 * POUND * 9.80665 / INCH, METRIC) == "43.78\N{NO-BREAK SPACE}N/mm"
    assert rate_text(45_000.0, METRIC) == "45\N{NO-BREAK SPACE}N/mm"
    assert rate_text(44_000.0, SHOP) == "251.2\N{NO-BREAK SPACE}lb/in"


def test_the_second_page_says_whose_it_is() -> None:
    page = build_paper.sheet(MADE, SHOP)
    second = page[page.index('<div class="hb-order__second">') :]
    head = second[: second.index("</p>")]
    assert "Build sheet: Wren" in head
    assert "Estimate: do not order" in head
    assert "Page 2 of 2" in head


def test_an_order_of_an_older_handbook_is_still_read() -> None:
    """It said the bump stop's gap among the settings, and neither shaft, gaps at ride nor forces past the crossover."""
    found = sheet()
    data = record_to_data(Ordered(date="2026-01-02", handbook="0.1.0", sheet=found, rig=""), {})
    told = data["sheet"]
    del told["fittings"], told["forces_past"]
    for setting in told["settings"]:
        setting["bump_stop_gap"] = 0.1
    for case in told["cases"]:
        for corner in case["corners"]:
            for name in ("shaft_showing", "ring_gap", "bump_stop_gap"):
                del corner[name]
    read = record_from_data(json.loads(json.dumps(data)), "", Place(KIND)).sheet
    assert read.settings == found.settings
    assert (read.fittings, read.forces_past) == ((), ())
    assert "Shaft showing" not in sheet_text(read)


def test_no_cell_of_a_strangers_text_is_a_formula() -> None:
    rig = replace(wren(), name='=HYPERLINK("x")')
    rig = replace(rig, values={**rig.values, "condition": Entry(value="@SUM(A1)")})
    for row in rows(sheet(rig)):
        for name in ("section", "place", "what", "value"):
            number = name == "value" and row["unit"]
            assert number or not row[name].startswith(("=", "+", "-", "@", "\t", "\r")), row


@pytest.mark.parametrize("display", [None, METRIC], ids=["shop", "metric"])
def test_the_text_fits_eighty_columns_and_says_the_estimate_first(display: object) -> None:
    found = sheet()
    text = sheet_text(found) if display is None else sheet_text(found, METRIC)
    assert max(map(len, text.splitlines())) <= 80
    assert text.index("ESTIMATE: DO NOT ORDER") < text.index("PARTS")
    assert "CAUTION" in text


def test_with_one_axle_its_half_is_there_and_the_rest_is_a_reason() -> None:
    values = {key: one for key, one in wren().values.items() if not key.startswith("rear.wanted_frequency_")}
    rear_off = replace(wren(), values=values)
    found = sheet(rear_off)
    assert {setting.corner for setting in found.settings} == {"left_front", "right_front"}
    assert any("rear" in reason for reason in found.reasons)
    assert sheet_text(found)
