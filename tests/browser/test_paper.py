"""On paper: no two texts overprint, no number and no unit is cut, and the working is printed once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.test_prove import open_wren, type_heights
from tests.conftest import long_run

pytestmark = pytest.mark.browser

# The width between the margins of an A4 sheet, 180 mm.
PAPER = {"width": 680, "height": 1000}
# A page of every kind; of the steps those whose entries, units and results are widest.
KINDS = (
    "index.html",
    "rig.html",
    "quote.html",
    "prove.html",
    "practice.html",
    "safety.html",
    "reference/nomenclature.html",
    "steps/index.html",
    "steps/mount_points.html",
    "steps/natural_frequency.html",
    "steps/roll.html",
    "steps/unsprung_sides.html",
    "steps/weighing.html",
)
# Says what overprints, is cut in its box or runs off the sheet.
GEOMETRY = r"""
() => {
  const wrong = [];
  const boxes = [];
  const shown = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const named = (text) => text.trim().replace(/\s+/g, " ").slice(0, 40);
  const root = document.querySelector("article");
  const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const own = node.parentElement;
    if (!node.data.trim() || !shown(own) || own.closest(".hb-sr, script, style, option, textarea")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const rect of range.getClientRects()) boxes.push({ rect, text: named(node.data), math: own.closest("math"), own });
  }
  for (const field of root.querySelectorAll("input, select")) {
    if (!shown(field)) continue;
    boxes.push({ rect: field.getBoundingClientRect(), text: `field ${field.name}`, math: null, own: field });
    const style = getComputedStyle(field);
    const room = field.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
    const ruler = document.createElement("canvas").getContext("2d");
    ruler.font = style.font;
    const text = field instanceof HTMLSelectElement ? field.selectedOptions[0]?.text ?? "" : field.value;
    const width = ruler.measureText(text).width;
    if (width > room + 0.5) wrong.push(`${field.name}: “${text}” is ${width.toFixed(1)} px wide in ${room.toFixed(1)} px`);
  }
  const edge = document.documentElement.clientWidth;
  for (const { rect, text } of boxes) if (rect.right > edge + 1 || rect.left < -1) wrong.push(`“${text}” runs off the paper`);
  // A line's box is taller than its letters: its middle half is where they are.
  const middle = ({ rect }) => ({ left: rect.left + 1, right: rect.right - 1, top: rect.top + rect.height / 4, bottom: rect.bottom - rect.height / 4 });
  const lines = boxes.map((box) => ({ ...box, ...middle(box) })).sort((one, other) => one.top - other.top);
  lines.forEach((one, place) => {
    for (let next = place + 1; next < lines.length && lines[next].top < one.bottom; next += 1) {
      const other = lines[next];
      const apart = one.right <= other.left || other.right <= one.left || (one.math && one.math === other.math);
      if (!apart) wrong.push(`“${one.text}” and “${other.text}” overprint`);
    }
  });
  return wrong;
}
"""


@pytest.fixture(scope="module")
def sheet(chromium: Browser) -> Iterator[Page]:
    """A page that is laid out as on paper."""
    context = chromium.new_context(viewport=PAPER, service_workers="block")
    page = context.new_page()
    yield page
    context.close()


def printed(page: Page) -> list[str]:
    """What is wrong with a page on paper."""
    to_paper(page)
    wrong: list[str] = page.evaluate(GEOMETRY)
    to_screen(page)
    return wrong


def to_paper(page: Page) -> None:
    """Do what a browser does before it prints; the theme then opens what is folded."""
    page.evaluate("document.fonts.ready")
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")


def to_screen(page: Page) -> None:
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    page.emulate_media(media="screen")


def test_nothing_overprints_or_is_cut(sheet: Page, host: str, site: Path) -> None:
    names = {path.relative_to(site).as_posix() for path in site.rglob("*.html")} - {"404.html"}
    assert names.issuperset(KINDS)
    for name in (*KINDS, *sorted(names.difference(KINDS)))[: long_run(len(KINDS), len(names))]:
        sheet.goto(host + name)
        assert printed(sheet) == [], name


def test_the_geometry_tells_what_is_wrong(sheet: Page, host: str) -> None:
    sheet.goto(host + "steps/weighing.html")
    sheet.evaluate("document.querySelector('.hb-ask').style.cssText = 'position: absolute; top: 0'")
    assert any("step 1 of 13" in line and "overprint" in line for line in printed(sheet))
    sheet.goto(host + "steps/weighing.html")
    sheet.evaluate("document.querySelector('article input').style.width = '12px'")
    assert any("px wide in" in line for line in printed(sheet))
    sheet.evaluate("document.querySelector('.hb-ask').style.cssText = 'position: relative; left: 600px'")
    assert any("runs off the paper" in line for line in printed(sheet))


def test_the_order_the_measuring_sheet_and_the_proof_are_whole_on_paper(reader: Callable[..., Any]) -> None:
    me = reader(viewport=PAPER)
    page = open_wren(me)
    expect(page.locator('[data-region="head-6"] .ans')).to_be_visible(timeout=60_000)
    me.settled()
    assert printed(page) == []
    me.visit("prove.html")
    expect(page.locator('[data-region="whose"]')).to_contain_text("Wren", timeout=60_000)
    me.settled()
    assert printed(page) == []
    type_heights(me)
    assert printed(page) == []


def test_the_working_is_printed_once_and_never_the_answer_to_a_problem(reader: Callable[..., Any]) -> None:
    me = reader(viewport=PAPER)
    page = me.visit("steps/weighing.html")
    workings = page.locator(".hb-working:visible")
    to_paper(page)
    expect(workings).to_have_count(1)
    expect(page.locator("h2#worked-example ~ .calc .hb-working").first).to_be_visible()
    to_screen(page)
    # What a reader worked out is printed too, beside the example.
    me.fill("wheelbase", "110")
    to_paper(page)
    expect(workings).to_have_count(2)
    expect(page.locator('[data-do="practice"] .hb-working')).to_be_hidden()
    expect(page.locator('[data-do="practice"]')).not_to_contain_text("Working", use_inner_text=True)
