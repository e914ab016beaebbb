"""A quote checked on a phone: typed, answered line by line, and its questions copied, online and from a folder."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from calc.quote.file import read_quote

pytestmark = pytest.mark.browser

PAGE = "quote.html"
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
TYPED = {
    "front.axle_mass": "2800",
    "rear.axle_mass": "2500",
    "front.tender_rate": "250",
    "front.main_rate": "450",
    "front.damper_stroke": "12",
    "rear.main_rate": "200",
    "rear.damper_stroke": "14",
    "rear.preload": "1 1/2",
}


@pytest.mark.parametrize("where", ["host", "folder"])
def test_a_quote_is_typed_answered_and_its_questions_copied(where: str, reader: Callable[..., Any]) -> None:
    me = reader(where, **PHONE)
    page = me.visit(PAGE)
    assert "A quote for Wren" in me.region("whose")
    assert me.region("results") == "1 holds 11 to ask 1 fails"
    fields = page.locator("article input[name]")
    assert fields.count() <= 15
    for name, text in TYPED.items():
        me.fill(name, text)
    # The first value of one's own cleared the example's.
    assert me.page.locator('[name="front.preload"]').input_value() == ""
    assert me.region("whose") == "Your quote"
    assert me.region("count") == "8 entries"
    assert me.region("results") == "2 hold 7 to ask 0 fail"
    told = me.region("findings")
    assert "Front: main spring at full bump Depends on the main’s lengths and the stop ring" in told
    assert "Rear: springs tight at full droop Holds in every case" in told

    # What the shop answers settles lines.
    me.fill("front.preload", "2 in")
    assert "Front: springs tight at full droop Holds" in me.region("findings")
    me.fill("front.preload", "lots")
    expect(page.locator('[data-error-of="front.preload"] strong')).to_contain_text("“lots” is not a number")
    assert "Not checked: preload cannot be read" in me.region("findings")
    me.fill("front.preload", "2 in")
    expect(page.locator('[data-error-of="front.preload"]')).to_be_hidden()

    listed = page.locator(".hb-questions li").all_inner_texts()
    if where == "host":
        me.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.get_by_role("button", name="Copy the").tap()
    expect(page.locator("[data-copied]")).to_have_text("Copied.")
    if where == "host":
        copied = page.evaluate("navigator.clipboard.readText()")
        assert copied == "\n".join(f"{number}. {item}" for number, item in enumerate(listed, 1))

    # What was typed is kept, wherever the page is.
    page.reload()
    expect(page.locator('[data-region="whose"]')).to_have_text("Your quote", timeout=60_000)
    me.settled()
    assert entries(page) == {**TYPED, "front.preload": "2 in"}
    assert page.locator(".hb-questions li").all_inner_texts() == listed


def test_copying_works_where_the_browser_has_no_clipboard_for_pages(reader: Callable[..., Any]) -> None:
    me = reader(**PHONE)
    page = me.page
    page.add_init_script("Object.defineProperty(navigator, 'clipboard', { value: undefined })")
    me.visit(PAGE)
    page.evaluate("document.addEventListener('copy', () => { window.selected = document.activeElement.value; })")
    page.get_by_role("button", name="Copy the seven questions").tap()
    expect(page.locator("[data-copied]")).to_have_text("Copied.")
    assert page.evaluate("window.selected").startswith("1. How far from the divider")
    assert page.locator("textarea").count() == 0
    page.evaluate("document.execCommand = () => false")
    page.get_by_role("button", name="Copy the seven questions").tap()
    expect(page.locator("[data-copied]")).to_have_text(
        "This browser does not allow copying: select the text above and copy it by hand."
    )


def test_wrens_quote_comes_back_when_asked_for(reader: Callable[..., Any]) -> None:
    me = reader(**PHONE)
    page = me.visit(PAGE)
    again = page.get_by_role("button", name="Show Wren’s quote again")
    expect(again).to_be_hidden()
    me.fill("front.axle_mass", "2800")
    assert "Front: carries the rig Waits for the main rate and the damper stroke" in me.region("findings")
    again.tap()
    me.settled()
    assert me.region("results") == "1 holds 11 to ask 1 fails"
    assert "A quote for Wren" in me.region("whose")
    assert page.locator('[name="front.axle_mass"]').input_value() == "3023"


def test_metric_is_one_tap_and_changes_no_verdict(reader: Callable[..., Any]) -> None:
    me = reader(**PHONE)
    page = me.visit(PAGE)
    before = page.locator(".verdict").all_inner_texts()
    page.get_by_role("button", name="metric").tap()
    expect(page.locator('[name="front.damper_stroke"]')).to_have_value("304.8", timeout=30_000)
    me.settled()
    assert page.locator(".verdict").all_inner_texts() == before
    assert "into its stroke" in me.region("findings")
    assert " mm " in me.region("findings")


@pytest.mark.parametrize("width", [320, 390])
def test_a_thumb_hits_every_target_and_nothing_is_wider_than_the_phone(width: int, reader: Callable[..., Any]) -> None:
    me = reader(**{**PHONE, "viewport": {"width": width, "height": 844}})
    page = me.visit(PAGE)
    me.fill("front.axle_mass", "far too much to be read as a weight")
    small = page.evaluate(
        """() => [...document.querySelectorAll("calc-form :is(input, button, summary)")]
            .filter((one) => one.checkVisibility())
            .map((one) => [one.outerHTML.slice(0, 90), one.getBoundingClientRect().height])
            .filter(([, height]) => height < 44)"""
    )
    assert small == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.locator('input[type="number"]').count() == 0
    assert page.locator("article input[name]:not([inputmode=decimal])").count() == 0


def test_axe_finds_nothing_on_an_answered_quote(reader: Callable[..., Any], axe: str) -> None:
    me = reader(**PHONE)
    me.visit(PAGE)
    for name, text in TYPED.items():
        me.fill(name, text)
    me.fill("rear.preload", "lots")
    assert me.violations(axe) == []


KEY = "spring-damper-handbook:quote"


def entries(page: Page) -> dict[str, str]:
    """What stands in the fields, without the empty ones."""
    found: dict[str, str] = page.evaluate(
        """() => Object.fromEntries([...document.querySelectorAll('calc-form [name]')]
          .map((field) => [field.name, field.value]).filter(([, text]) => text))"""
    )
    return found


def test_entries_and_their_answer_are_there_after_a_reload_and_on_the_way_back(reader: Callable[..., Any]) -> None:
    me = reader(**PHONE)
    page = me.visit(PAGE)
    for name, text in TYPED.items():
        page.locator(f'[name="{name}"]').fill(text)
    me.settled()
    results, told = me.region("results"), me.region("findings")

    def same(system: str = "shop") -> None:
        expect(page.locator('[data-region="whose"]')).to_have_text("Your quote", timeout=60_000)
        me.settled()
        assert (me.region("results"), me.region("count")) == (results, "8 entries")
        if system == "shop":
            assert entries(page) == TYPED
            assert me.region("findings") == told

    page.reload()
    same()
    me.visit("safety.html")
    page.go_back()
    same()
    # In other units they are the same entries, whatever they were kept in.
    page.locator('[data-system="metric"]').first.click()
    me.settled()
    metric = entries(page)
    assert float(metric["front.axle_mass"]) == pytest.approx(1270.06, abs=0.01)
    page.reload()
    same("metric")
    assert entries(page) == metric
    page.locator('[data-system="shop"]').first.click()
    me.settled()
    assert me.region("findings") == told
    # Who asks for the example has it, and after a reload as well.
    page.get_by_role("button", name="Show Wren’s quote again").click()
    me.settled()
    page.reload()
    assert "A quote for Wren" in me.region("whose")


def test_a_quote_goes_to_a_file_that_the_terminal_reads_and_comes_from_one(
    reader: Callable[..., Any], tmp_path: Path
) -> None:
    me = reader()
    page = me.visit(PAGE)
    for name, text in {**TYPED, "rear.tender_rate": "soft"}.items():
        page.locator(f'[name="{name}"]').fill(text)
    me.settled()
    with page.expect_download() as coming:
        page.get_by_role("button", name="Save to a file").click()
    file = tmp_path / "quote.json"
    coming.value.save_as(file)
    expect(page.locator('calc-form [data-region="status"]')).to_contain_text("1 entry is not in the file")
    saved = read_quote(file.read_text("utf-8"))
    assert saved.rear.preload == pytest.approx(1.5 * 0.0254)
    assert len(saved.values()) == len(TYPED)

    # It takes the place of other entries only when the reader agrees.
    me.fill("rear.tender_rate", "")
    me.fill("front.axle_mass", "3000")
    choose = page.locator('[data-quote-kept] input[type="file"]')
    choose.set_input_files(file)
    page.get_by_role("button", name="Leave it").click()
    me.settled()
    assert entries(page)["front.axle_mass"] == "3000"
    choose.set_input_files(file)
    page.get_by_role("button", name="Replace it").click()
    me.settled()
    assert entries(page) == {**TYPED, "rear.preload": "1.5"}
    # What is no quote file is said so, and changes nothing.
    said = page.locator('[data-quote-kept] [data-region="kept-said"]')
    choose.set_input_files(files=[{"name": "a.json", "mimeType": "application/json", "buffer": b"{}"}])
    expect(said).to_have_text("This is not a quote file of the handbook.")
    page.reload()
    expect(page.locator('[data-region="whose"]')).to_have_text("Your quote", timeout=60_000)
    assert entries(page) == {**TYPED, "rear.preload": "1.5"}


@pytest.mark.parametrize("text", ["torn", '{"version": 1}', '{"version": 1, "fields": {"a": 1}, "units": {}}'])
def test_what_was_kept_and_cannot_be_read_is_set_aside_and_a_newer_copys_left_alone(
    text: str, reader: Callable[..., Any]
) -> None:
    me = reader()
    page = me.visit("assets/calc/handbook.css")
    page.evaluate("([key, text]) => { localStorage[key] = text; }", [KEY, text])
    me.visit(PAGE)
    told = page.locator('[data-quote-kept] [data-region="kept"]')
    expect(told).to_contain_text("It was set aside and not deleted")
    assert page.evaluate(f"localStorage['{KEY}-not-read']") == text
    newer = json.dumps({"version": 2, "something": "else"})
    page.evaluate("([key, text]) => { localStorage[key] = text; }", [KEY, newer])
    me.fill("front.axle_mass", "3000")
    expect(told).to_contain_text("A newer copy of the handbook keeps quotes in this browser")
    assert page.evaluate(f"localStorage['{KEY}']") == newer
