"""The rig page in use: from a scale slip to an order, an own list, file, link and undo, and all that strangers bring."""

from __future__ import annotations

import base64
import io
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from calc import terminal
from calc.order import order
from calc.rig.file import rig_to_data, wren, write_rig
from calc.search.choose import choose
from calc.search.problem import Problem
from calc.tables import assortment_springs

pytestmark = pytest.mark.browser

PAGE = "rig.html"
WREN = rig_to_data(wren())

# What a builder types with both axles' dampers and hardware alike, in the order of the page.
SLIP = {
    "left_front.corner_mass": "1474",
    "right_front.corner_mass": "1426",
    "left_rear.corner_mass": "1168",
    "right_rear.corner_mass": "1222",
    "wheelbase": "112.2",
    "front.track": "64.6",
    "rear.track": "65.4",
    "front.axle_rating": "3300",
    "rear.axle_rating": "3500",
    "front.unsprung_mass": "755",
    "rear.unsprung_mass": "657",
    "front.lean": "12",
    "rear.lean": "18",
    "front.damper_length": "28",
    "rear.damper_length": "28",
    "front.wanted_frequency_low": "1.05",
    "front.wanted_frequency_high": "1.25",
    "rear.wanted_frequency_low": "1.1",
    "rear.wanted_frequency_high": "1.4",
    "front.wanted_crossover_above_ride": "2.5",
    "front.wanted_bump": "4.5",
    "front.wanted_droop": "2.5",
    "front.tire_rate": "1485",
    "front.damper_extended": "33",
    "front.damper_stroke": "13",
    "front.solid_before_collapsed": "0.5",
    "front.pad_touch_before_collapsed": "2.5",
    "front.limit_strap": "yes",
    "front.strap_travel": "1",
    "front.seat_space": "28",
    "front.divider_thickness": "0.8",
    "front.adjuster_range": "4",
    "front.adjuster_turns_per_length": "12",
    "front.spring_inside_diameter": "3",
    "front.ring_thickness": "1 1/8",
    "front.thread_length": "12",
    "front.body_length": "15",
    "front.gas_pressure": "200",
    "front.gas_volume": "18",
    "front.rod_diameter": "7/8",
}


def enter(page: Page, name: str, text: str) -> None:
    """Type into a field, or choose where there is a choice."""
    field = page.locator(f'[name="{name}"]')
    if field.evaluate("one => one.tagName") == "SELECT":
        field.select_option(text)
    else:
        field.fill(text)


def price_list() -> str:
    """A shop's own list, with odd headings, a decimal comma and one bad row."""
    rows = ["Item;Rate (lb/in);Free;Block;Bore;Each"]
    for length, solid in ((10, 3.5), (12, 4.2), (14, 5.2), (16, 6.0)):
        rows += [
            f"Q{length}-{rate};{rate};{length},0;{str(solid).replace('.', ',')};3;90" for rate in range(175, 501, 25)
        ]
    return "\n".join([*rows, "Q99-1;heavy;10;3,5;3;90"])


def open_all(page: Page) -> None:
    page.evaluate("document.querySelectorAll('details.hb-part').forEach((part) => { part.open = true; })")


def open_wren(me: Any) -> Page:
    page: Page = me.visit(PAGE)
    page.get_by_role("button", name="Open Wren, the example").click()
    expect(page.locator('[data-region="head-6"] .ans')).to_be_visible(timeout=60_000)
    me.settled()
    open_all(page)
    return page


def test_wren_is_opened_changed_and_chosen(reader: Callable[..., Any]) -> None:
    me = reader()
    page = open_wren(me)
    assert me.region("head-1") == "5,290 lb, 54.8 % on the front holds"
    task = order.task(order.completed(wren()), "front")
    assert isinstance(task, Problem)
    working = choose(task, assortment_springs()).working
    assert f"{working} of 17,556 sets work in all three load cases" in me.region("says-6")
    assert me.region("estimate").startswith(f"Estimate: do not order. {len(wren().values)} values are examples")
    # A heavier front asks for other springs, and what was typed is the reader's.
    me.fill("left_front.corner_mass", "1650")
    me.fill("right_front.corner_mass", "1640")
    assert me.region("head-1").startswith("5,680 lb")
    expect(page.locator('[data-origin-of="left_front.corner_mass"]')).to_have_text("measured")
    assert f"{working} of" not in me.region("says-6")
    assert f"{len(wren().values) - 2} values are examples" in me.region("estimate")
    # Another set than the first, by keyboard, which stays where it is.
    second = page.locator("#pick-rear-1")
    parts = page.locator("tr:has(#pick-rear-1)").inner_text()
    second.focus()
    page.keyboard.press("Space")
    me.settled()
    expect(page.locator("#pick-rear-1")).to_be_checked()
    expect(page.locator("#pick-rear-1")).to_be_focused()
    code = re.findall(r"SP-\d+", parts)[-1]
    assert code in me.region("order")


def test_from_a_scale_slip_to_an_order_in_at_most_forty_entries(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(PAGE)
    open_all(page)
    entries = 0
    for name, text in SLIP.items():
        enter(page, name, text)
        entries += 1
    me.settled()
    assert "of 17,556 sets work in the one load case" in me.region("says-6")
    # Nothing is invented now but the list that it was chosen from.
    assert me.region("estimate").startswith("Estimate: do not order. The spring list is an invented example.")
    page.locator("[data-rig-list=list]").set_input_files(
        files=[{"name": "ours.csv", "mimeType": "text/csv", "buffer": price_list().encode()}]
    )
    me.settled()
    assert "Read: 56 of 57 rows." in me.region("list")
    page.get_by_role("button", name="Use 56 springs").click()
    me.settled()
    assert "In use: your list, 56 springs." in me.region("list")
    assert "over" in me.region("head-6")
    assert entries <= 40
    assert "do not order" not in me.region("estimate")
    assert "do not order" not in me.region("order")
    assert me.region("head-12").startswith("Ready to order")
    # What the rear took over is told as assumed, where it stands and in the order.
    expect(page.locator('[data-origin-of="rear.tire_rate"]')).to_have_text("assumed")
    assert page.locator('[name="rear.tire_rate"]').input_value() == "1485"
    assert "rear tire rate" in me.region("order")


def test_an_own_list_tells_every_cell_that_cannot_be_used_and_is_there_after_a_reload(
    reader: Callable[..., Any],
) -> None:
    me = reader()
    page = open_wren(me)
    page.locator("[data-rig-list=list]").set_input_files(
        files=[{"name": "ours.csv", "mimeType": "text/csv", "buffer": price_list().encode("utf-16")}]
    )
    me.settled()
    wrong = page.locator('[data-region="list"] details', has_text="1 cell cannot be used")
    expect(wrong).to_contain_text("58")
    expect(wrong).to_contain_text("Rate (lb/in)")
    # Nothing of it is used before the reader agrees, and a unit understood otherwise asks anew.
    assert "SP-" in me.region("order")
    page.locator('[name="list.free_length.unit"]').select_option("cm")
    me.settled()
    page.locator('[name="list.free_length.unit"]').select_option("in")
    me.settled()
    page.get_by_role("button", name="Use 56 springs").click()
    me.settled()
    assert re.search(r"Q\d\d-\d\d\d", me.region("says-6"))
    page.reload()
    expect(page.locator('[data-region="list"]')).to_contain_text("In use: your list, 56 springs.", timeout=60_000)
    me.settled()
    open_all(page)
    assert "SP-" not in me.region("order")
    page.get_by_role("button", name="Go back to the handbook’s list").click()
    me.settled()
    assert "SP-" in me.region("order")
    # Pasted, it is the same.
    page.locator("summary", has_text="Or paste it").click()
    page.locator("[data-rig-paste]").fill(price_list())
    page.get_by_role("button", name="Read what I pasted").click()
    me.settled()
    assert "Read: 56 of 57 rows." in me.region("list")


def test_a_large_list_is_searched_when_asked_shows_how_far_and_stops(reader: Callable[..., Any]) -> None:
    me = reader()
    page = open_wren(me)
    rows = [f"Q-{index:04d},{150 + index * 0.35:.2f},10,3.5,3" for index in range(1000)]
    text = "\n".join(["part,rate lb/in,free length in,solid length in,inside diameter in", *rows])
    page.locator("[data-rig-list=list]").set_input_files(
        files=[{"name": "all.csv", "mimeType": "text/csv", "buffer": text.encode()}]
    )
    me.settled()
    page.get_by_role("button", name="Use 1,000 springs").click()
    me.settled()
    assert me.region("head-6").startswith("Waits for the search")
    page.get_by_role("button", name="Search them").click()
    expect(page.locator('calc-form [data-region="status"]')).to_contain_text("of 1,001,000 sets", timeout=60_000)
    page.get_by_role("button", name="Stop the search").click()
    expect(page.get_by_role("button", name="Search them")).to_be_visible(timeout=60_000)
    assert me.region("head-6").startswith("Waits for the search")
    page.get_by_role("button", name="Search them").click()
    expect(page.locator('[data-region="says-6"]')).to_contain_text("of 1,001,000 sets work", timeout=120_000)


def test_other_dampers_are_tried_when_asked_and_the_next_edit_empties_the_block(reader: Callable[..., Any]) -> None:
    me = reader("host")
    page = open_wren(me)
    page.get_by_text("With another damper", exact=True).click()
    block = page.locator('[data-region="dampers"]')
    expect(block).to_be_empty()
    page.get_by_role("button", name="Try them").click()
    expect(block).to_contain_text("DP-14", timeout=60_000)
    expect(block).to_contain_text("Rear, with another damper")
    page.locator('[name="front.tire_rate"]').fill("1490")
    expect(block).to_be_empty()


def test_an_own_damper_list_asks_for_a_unit_is_tried_kept_and_forgotten(reader: Callable[..., Any]) -> None:
    me = reader()
    page = open_wren(me)
    fold = page.get_by_text("With another damper", exact=True)
    fold.click()
    block = page.locator('[data-region="dampers"]')
    head = "part;stroke;extended (in);spring ID (in);adjuster (in);turns (per in);seat to seat (in)"
    row = "<i>MINE</i>-7;304,8;31;3;4;12;26,5"
    page.locator("[data-rig-list=dampers]").set_input_files(
        files=[{"name": "ours.csv", "mimeType": "text/csv", "buffer": f"{head}\n{row}\n".encode()}]
    )
    expect(block).to_contain_text("The unit is given nowhere in “stroke”: choose it.", timeout=60_000)
    me.settled()
    block.get_by_label("Unit of damper stroke").select_option("mm")
    block.get_by_role("button", name="Use 1 damper").click()
    expect(block).to_contain_text("In use: your list, 1 damper.")
    me.settled()
    page.get_by_role("button", name="Try them").click()
    expect(block).to_contain_text("<i>MINE</i>-7", timeout=60_000)
    expect(block).to_contain_text("Rear, with another damper")
    expect(block).not_to_contain_text("DP-")
    page.reload()
    open_all(page)
    fold.click()
    expect(block).to_contain_text("In use: your list, 1 damper.", timeout=60_000)
    expect(block.get_by_label("Unit of damper stroke")).to_have_value("mm")
    block.get_by_role("button", name="Go back to the handbook’s list").click()
    expect(block).to_be_empty()
    me.settled()
    page.reload()
    open_all(page)
    expect(page.locator('[data-region="head-6"] .ans')).to_be_visible(timeout=60_000)
    me.settled()
    expect(block).to_be_empty()


def test_a_rig_goes_through_file_link_and_undo(reader: Callable[..., Any], tmp_path: Path) -> None:
    me = reader()
    page = open_wren(me)
    me.fill("rig_name", "Wren two")
    me.fill("wheelbase", "120")
    before = me.region("head-1")
    with page.expect_download() as coming:
        page.get_by_role("button", name="Save to a file").click()
    file = tmp_path / "rig.json"
    coming.value.save_as(file)
    kept = json.loads(file.read_text("utf-8"))
    assert kept["name"] == "Wren two"
    assert kept["values"]["wheelbase"] == {"origin": "measured", "value": pytest.approx(120 * 0.0254)}
    page.get_by_role("button", name="Undo").click()
    me.settled()
    assert page.locator('[name="wheelbase"]').input_value() == "112.205"
    page.get_by_role("button", name="New rig").click()
    me.settled()
    assert page.locator('[name="wheelbase"]').input_value() == ""
    assert "Needs" in me.region("head-1")
    page.locator('[data-kept] input[type="file"]').set_input_files(file)
    page.get_by_role("button", name="Replace it").click()
    me.settled()
    assert me.region("head-1") == before
    assert page.locator('[name="wheelbase"]').input_value() == "120"
    page.get_by_role("button", name="Make a link").click()
    link = page.locator("[data-kept-link]")
    expect(link).to_have_value(re.compile(r"#rig="))
    address = link.input_value()
    # Somebody else opens it, and the address forgets it.
    other = reader()
    there = other.page
    there.goto(address.replace(me.base, other.base))
    expect(there.locator('[data-region="head-6"] .ans')).to_be_visible(timeout=60_000)
    other.settled()
    assert other.region("head-1") == before
    assert "#rig" not in there.url


def test_how_sure_a_number_is_can_be_said_and_stays_with_it(reader: Callable[..., Any]) -> None:
    me = reader()
    page = open_wren(me)
    # Nothing of it is on the page until it is asked for.
    lean = page.locator('[name="front.lean.plus_minus"]')
    expect(lean).to_have_count(0)
    page.locator('details[data-rig-do="sure"][data-rig-of="4"] > summary').click()
    expect(lean).to_have_value("0.5")
    before = me.region("says-4")
    me.fill("front.lean.plus_minus", "1.5")
    expect(page.locator('[data-origin-of="front.lean.plus_minus"]')).to_have_text("")
    assert me.region("says-4") != before
    me.fill("front.lean.plus_minus", "-1")
    expect(page.locator('[data-error-of="front.lean.plus_minus"]')).to_contain_text("0 or more")
    me.fill("front.lean.plus_minus", "1.5")
    page.locator('[name="front.lean.origin"]').select_option("assumed")
    me.settled()
    expect(page.locator('[data-origin-of="front.lean"]')).to_have_text("assumed")
    # Emptied and typed anew, the number is as sure as it was said to be; so it is after an undo and a reload.
    me.fill("front.lean", "")
    me.fill("front.lean", "13")
    assert lean.input_value() == "1.5"
    page.get_by_role("button", name="Undo").click()
    me.settled()
    expect(page.locator('[name="front.lean"]')).to_have_value("12")
    expect(lean).to_have_value("1.5")
    page.reload()
    me.settled()
    open_all(page)
    page.locator('details[data-rig-do="sure"][data-rig-of="4"] > summary').click()
    expect(lean).to_have_value("1.5")
    expect(page.locator('[name="front.lean.origin"]')).to_have_value("assumed")


def test_what_cannot_be_opened_says_why_and_changes_nothing(reader: Callable[..., Any]) -> None:
    me = reader()
    page = open_wren(me)
    before = me.region("head-6")

    def bring(content: str) -> str:
        page.locator('[data-kept] input[type="file"]').set_input_files(
            files=[{"name": "rig.json", "mimeType": "application/json", "buffer": content.encode()}]
        )
        me.settled()
        place = page.locator('[data-region="kept-said"]')
        expect(place).not_to_be_empty()
        return place.inner_text()

    assert "Open it with a newer copy" in bring(json.dumps({**WREN, "version": 99}))
    assert "not JSON" in bring("not a rig")
    assert "not a rig file" in bring('{"format": "other"}')
    damaged = write_rig(wren()).replace('"value": 2.85', '"value": "wide"')
    assert "wheelbase" in bring(damaged)
    assert me.region("head-6") == before
    for fragment in ("#rig=AAAA", "#rig=", "#rig=%3Cimg%3E.00000000"):
        page.goto("about:blank")
        page.goto(me.base + PAGE + fragment)
        expect(page.locator('[data-region="kept-said"]')).to_contain_text("cut or damaged", timeout=60_000)
        expect(page.locator('[data-region="head-6"]')).to_have_text(re.compile("over"), timeout=60_000)
        me.settled()
        assert me.region("head-6") == before


def test_what_the_browser_had_kept_and_cannot_be_read_is_told(reader: Callable[..., Any]) -> None:
    me = reader()
    me.visit(PAGE)
    me.page.evaluate("localStorage.setItem('spring-damper-handbook:rigs', '{broken')")
    page = me.visit(PAGE)
    expect(page.locator('[data-region="kept"]')).to_contain_text("could not be read")
    # A rig with a value that cannot be used goes on: the value stands in its field, is told there, and stays kept.
    bad = {**WREN, "values": {**WREN["values"], "wheelbase": {"value": "wide", "origin": "measured"}}}
    book = {"version": 1, "current": "a", "rigs": {"a": bad}}
    page.evaluate("text => localStorage.setItem('spring-damper-handbook:rigs', text)", json.dumps(book))
    page = me.visit(PAGE)
    expect(page.locator('[data-error-of="wheelbase"]')).to_contain_text("wide", timeout=60_000)
    expect(page.locator('[name="wheelbase"]')).to_have_value('"wide"')
    kept = json.loads(page.evaluate("localStorage.getItem('spring-damper-handbook:rigs')"))
    assert kept["rigs"]["a"]["unread"] == {"values": {"wheelbase": {"text": '"wide"'}}}


def test_hostile_names_stay_text(reader: Callable[..., Any]) -> None:
    me = reader()
    naughty = '<img src=x onerror="window.ran=1">'
    rig = {**WREN, "name": naughty, "note": naughty}
    rig["load_cases"] = [{**case, "label": naughty} for case in WREN["load_cases"]]
    me.visit(PAGE)
    me.page.locator('[data-kept] input[type="file"]').set_input_files(
        files=[{"name": "rig.json", "mimeType": "application/json", "buffer": json.dumps(rig).encode()}]
    )
    expect(me.page.locator('[data-region="head-6"] .ans')).to_be_visible(timeout=60_000)
    me.settled()
    assert naughty in me.region("order")
    assert me.page.locator("article img").count() == 0
    assert me.page.evaluate("window.ran") is None


def test_a_field_that_cannot_be_read_is_told_beside_it_and_in_every_heading_that_needs_it(
    reader: Callable[..., Any],
) -> None:
    me = reader()
    page = open_wren(me)
    me.fill("left_front.corner_mass", "14-74 lb")
    expect(page.locator('[data-error-of="left_front.corner_mass"]')).to_contain_text("is not one number")
    for place in ("head-1", "head-6", "estimate"):
        assert "Left front corner weight cannot be read" in me.region(place)
    page.reload()
    expect(page.locator('[name="left_front.corner_mass"]')).to_have_value("14-74 lb", timeout=60_000)
    me.fill("left_front.corner_mass", "1,474")
    assert "cannot be read" not in me.region("head-6")


def test_load_cases_are_added_filled_and_removed(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(PAGE)
    open_all(page)
    for name, text in list(SLIP.items())[:9]:
        page.locator(f'[name="{name}"]').fill(text)
    me.settled()
    page.get_by_role("button", name="Add a load case").click()
    me.settled()
    me.fill("case.1.label", "Full tank")
    me.fill("case.1.items.0.label", "Fuel")
    me.fill("case.1.items.0.mass", "200")
    expect(page.locator('[data-error-of="case.1.items.0.behind_front_axle"]')).to_contain_text("needs its position")
    me.fill("case.1.items.0.behind_front_axle", "112.2")
    table = page.locator('[data-region="says-5"] table')
    expect(table.locator("tr", has_text="Full tank")).to_contain_text("2,590")
    page.get_by_role("button", name="Add a row").nth(2).click()
    me.fill("case.1.items.1.label", "Dog")
    me.fill("case.1.items.1.mass", "60")
    me.fill("case.1.items.1.behind_front_axle", "0")
    expect(table.locator("tr", has_text="Full tank")).to_contain_text("2,960")
    page.locator('[name="reference_case"]').select_option("case 2")
    me.settled()
    page.get_by_role("button", name="Remove this case, load case 2").click()
    me.settled()
    expect(page.locator('[name="case.1.label"]')).to_have_count(0)
    expect(table.locator("tbody tr")).to_have_count(1)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_build_sheet_alone_is_printed_on_two_pages(paper: str, reader: Callable[..., Any]) -> None:
    me = reader()
    page = open_wren(me)
    content = page.pdf(format=paper)
    assert len(re.findall(rb"/Type\s*/Page\b", content)) == 2
    page.emulate_media(media="print")
    expect(page.locator(".hb-ledger").first).to_be_hidden()
    expect(page.locator(".hb-order").first).to_be_visible()
    me.page.evaluate("window.print = () => { window.printed = true; }")
    page.emulate_media(media="screen")
    page.get_by_role("button", name="Print the build sheet").click()
    assert me.page.evaluate("window.printed") is True


def test_a_ranked_set_and_a_kept_rig_stand_beside_what_is_open(reader: Callable[..., Any]) -> None:
    me = reader(viewport={"width": 390, "height": 800})
    page = open_wren(me)
    page.get_by_role("button", name="New rig").click()
    me.settled()
    me.fill("rig_name", "<b>Bare</b>")
    me.fill("front.tire_rate", "1600")
    page.locator("[data-kept-rigs]").select_option(label="Wren")
    me.settled()
    page.locator("summary", has_text="Side by side").click()
    me.settled()
    choice = page.locator("[data-rig-beside]")
    choice.select_option(value="front 1")
    me.settled()
    beside = me.region("beside")
    assert "Front tender, part" in beside
    assert "more answers are the same" in beside
    choice.select_option(label="the rig <b>Bare</b>")
    me.settled()
    beside = me.region("beside")
    assert "Front tire rate" in beside
    assert "1,600.0 lb/in" in beside
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    me.fill("front.tire_rate", "1500")
    assert me.region("beside").startswith("Something was changed.")


def test_the_saved_build_sheet_is_the_terminals(reader: Callable[..., Any], tmp_path: Path) -> None:
    me = reader()
    page = open_wren(me)
    rig = tmp_path / "wren.json"
    rig.write_text(write_rig(wren()), "utf-8")
    for kind in ("csv", "json"):
        with page.expect_download() as download:
            page.get_by_role("button", name=f"Save as {kind.upper()}").click()
        assert download.value.suggested_filename == f"wren-build-sheet.{kind}"
        saved = Path(download.value.path()).read_text("utf-8-sig")
        day = re.search(r"\d{4}-\d\d-\d\d", saved)
        assert day is not None
        words = [str(rig), "--date", day[0], *(["--csv"] if kind == "csv" else [])]
        words += ["--json"] if kind == "json" else []
        out = io.StringIO()
        assert terminal.command("sheet", words, io.StringIO(), out) == 0
        if kind == "csv":
            assert saved.splitlines() == out.getvalue().rstrip("\n").splitlines()
        else:
            _same(json.loads(saved), json.loads(out.getvalue()))


def _same(here: Any, there: Any) -> None:
    assert type(here) is type(there) or {type(here), type(there)} == {int, float}
    if isinstance(here, dict):
        assert here.keys() == there.keys()
        for key, value in here.items():
            _same(value, there[key])
    elif isinstance(here, list):
        assert len(here) == len(there)
        for one, other in zip(here, there, strict=True):
            _same(one, other)
    elif isinstance(here, float):
        assert here == pytest.approx(there, rel=1e-9, abs=1e-12)
    else:
        assert here == there


def test_without_scripts_wrens_answers_are_there_to_read(reader: Callable[..., Any]) -> None:
    me = reader(java_script_enabled=False)
    page = me.visit(PAGE)
    page.locator("summary", has_text="What a filled page says").click()
    example = page.locator(".hb-example")
    expect(example).to_contain_text("5,290")
    expect(example).to_contain_text("Estimate: do not order.")
    expect(example).to_contain_text("SP-0140")


@pytest.mark.parametrize("width", [320, 390, 820])
def test_nothing_is_wider_than_its_screen(width: int, reader: Callable[..., Any]) -> None:
    me = reader(viewport={"width": width, "height": 800})
    page = open_wren(me)
    page.evaluate("document.querySelectorAll('details').forEach((part) => { part.open = true; })")
    me.fill("front.tire_rate", "far too soft to be a number")
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


def test_the_page_in_use_has_no_violation_of_levels_a_and_aa(reader: Callable[..., Any], axe: str) -> None:
    me = reader(viewport={"width": 390, "height": 800})
    page = open_wren(me)
    me.fill("wheelbase", "long")
    page.locator("[data-rig-list=list]").set_input_files(
        files=[{"name": "ours.csv", "mimeType": "text/csv", "buffer": price_list().encode()}]
    )
    me.settled()
    assert me.violations(axe) == []


def test_units_are_switched_without_losing_a_figure(reader: Callable[..., Any]) -> None:
    me = reader()
    page = open_wren(me)
    before = base64.b64encode(page.evaluate("localStorage.getItem('spring-damper-handbook:rigs')").encode())
    page.locator('calc-form [data-system="metric"]').click()
    me.settled()
    assert page.locator('[name="wheelbase"]').input_value() == "2850"
    assert me.region("head-1").startswith("2,399.5 kg")
    assert page.locator('[name="case.1.items.1.mass"]').input_value() == "135"
    page.locator('calc-form [data-system="shop"]').click()
    me.settled()
    assert page.locator('[name="wheelbase"]').input_value() == "112.205"
    after = base64.b64encode(page.evaluate("localStorage.getItem('spring-damper-handbook:rigs')").encode())
    assert after == before
