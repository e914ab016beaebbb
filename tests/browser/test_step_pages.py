"""A step's page in use: answers, messages, units, practice, tables, and what is left when something fails."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

RESCALED = "steps/rescaled_rate.html"
CHANGE = "steps/weight_change.html"
SHEET = 'calc-form[data-do="step"]'
PRACTICE = 'calc-form[data-do="practice"]'


@pytest.mark.parametrize("where", ["host", "folder"])
def test_a_page_answers_as_one_types(where: str, reader: Callable[..., Any]) -> None:
    me = reader(where)
    me.visit(RESCALED)
    assert "1.125" in me.region("results")
    me.fill("axle_mass_after", "3500")
    # (3500 - 755) / (2453 - 546), by hand
    assert "1.439" in me.region("results")
    assert me.region("whose").startswith("your numbers")
    assert "1.439" in (me.page.locator('calc-form[data-do="step"] [data-region="working"]').first.text_content() or "")
    assert me.region("status") == ""


def test_a_message_stands_beside_its_field_and_the_rest_goes_on(reader: Callable[..., Any]) -> None:
    me = reader()
    me.visit(RESCALED)
    me.fill("axle_mass_after", "heavy")
    field = me.page.locator('[name="axle_mass_after"]')
    message = me.page.locator('[data-error-of="axle_mass_after"]')
    expect(message.locator("strong")).to_have_text(re.compile("“heavy” is not a number"))
    expect(message).to_contain_text("Allowed:")
    expect(message).to_contain_text("Typical:")
    expect(field).to_have_attribute("aria-invalid", "true")
    assert message.get_attribute("id") in (field.get_attribute("aria-describedby") or "")
    expect(me.page.locator(".hb-field--error")).to_have_count(1)
    assert me.page.locator("[data-error-of]:visible").count() == 1
    # What does not need that field is still worked out.
    assert "1,907 lb" in me.region("results")
    assert "not checked" in me.region("findings")
    me.fill("axle_mass_after", "2900")
    expect(message).to_be_hidden()
    expect(field).not_to_have_attribute("aria-invalid", "true")
    assert "1.125" in me.region("results")


def test_a_wrong_plus_minus_is_told_beside_its_value(reader: Callable[..., Any]) -> None:
    me = reader()
    me.visit(RESCALED)
    me.fill("axle_mass_after.plus_minus", "about ten")
    message = me.page.locator('[data-error-of="axle_mass_after"]')
    expect(message).to_be_visible()
    expect(me.page.locator('[name="axle_mass_after.plus_minus"]')).to_have_attribute("aria-invalid", "true")
    expect(me.page.locator('[name="axle_mass_after"]')).not_to_have_attribute("aria-invalid", "true")


def test_the_plus_minus_follows_its_value_until_it_is_typed(reader: Callable[..., Any]) -> None:
    me = reader()
    me.visit("steps/stack.html")
    doubt = me.page.locator('[name="tender_rate.plus_minus"]')
    rate = float(me.page.locator('[name="tender_rate"]').input_value())
    # A rate is known to 3 %.
    assert float(doubt.input_value()) == pytest.approx(0.03 * rate, rel=0.02)
    me.fill("tender_rate", str(rate * 2))
    assert float(doubt.input_value()) == pytest.approx(0.06 * rate, rel=0.02)
    me.fill("tender_rate.plus_minus", "3")
    me.fill("tender_rate", str(rate))
    assert doubt.input_value() == "3"


def test_units_switch_for_the_whole_site_and_back_to_the_same_text(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(RESCALED)
    me.fill("axle_mass_after", "2,931 1/3")
    entries = page.locator(f"{SHEET} input")
    before, results = [each.input_value() for each in entries.all()], me.region("results")
    page.locator(f'{SHEET} [data-system="metric"]').click()
    me.settled()
    assert page.locator('[name="axle_mass_before"]').input_value() == "1112.662"
    assert "lb" not in me.region("results")
    assert "865.0 kg" in me.region("results")
    expect(page.locator(f'{SHEET} [data-system="metric"]')).to_have_attribute("aria-pressed", "true")
    expect(page.locator("article .hb-shop:visible")).to_have_count(0)
    assert page.locator("article .hb-metric:visible").count() > 3
    page.locator(f'{SHEET} [data-system="shop"]').click()
    me.settled()
    assert [each.input_value() for each in entries.all()] == before
    assert me.region("results") == results


def test_metric_is_kept_and_the_next_page_turns_to_it_by_itself(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(RESCALED)
    page.locator(f'{SHEET} [data-system="metric"]').click()
    me.settled()
    page = me.visit(CHANGE)
    assert page.evaluate("document.documentElement.dataset.units") == "metric"
    expect(page.locator('[name="left_front_mass"]')).to_have_value("668.595", timeout=30_000)
    me.settled()
    assert "lb" not in me.region("results")
    # In a form that was not touched, the practice problem follows as well.
    assert " kg" in me.region("problem", PRACTICE)


def test_one_field_may_have_a_unit_of_its_own(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(RESCALED)
    results = me.region("results")
    page.locator('[data-unit-of="axle_mass_after"]').select_option("kg")
    me.settled()
    assert page.locator('[name="axle_mass_after"]').input_value() == "1315.418"
    assert page.locator('[name="axle_mass_before"]').input_value() == "2453"
    assert "1.125" in me.region("results")
    me.fill("axle_mass_after", "1400")
    # (1400 kg = 3086.47 lb; less 755, over 1907), by hand
    assert "1.223" in me.region("results")
    # The next visit begins with the example, in the unit that was chosen.
    page.reload()
    expect(page.locator('[name="axle_mass_after"]')).to_have_value("1315.418", timeout=30_000)
    page.locator('[data-unit-of="axle_mass_after"]').select_option("lb")
    me.settled()
    assert page.locator('[name="axle_mass_after"]').input_value() == "2900"
    assert me.region("results") == results


def test_typed_units_are_read_and_told(reader: Callable[..., Any]) -> None:
    me = reader()
    me.visit(RESCALED)
    me.fill("axle_mass_after", "1.4 t")
    assert "1.223" in me.region("results")
    me.fill("axle_mass_after", "3 furlongs")
    expect(me.page.locator('[data-error-of="axle_mass_after"]')).to_contain_text("furlongs")


def test_practice_tells_right_from_wrong_and_has_more(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(RESCALED)
    text = me.region("problem", PRACTICE)
    before, off, after, off_after = (float(number.replace(",", "")) for number in re.findall(r"([\d,]+) lb", text))
    answer = page.locator(f'{PRACTICE} [name="answer"]')
    answer.fill("7")
    assert me.region("verdict", PRACTICE) == ""
    answer.press("Enter")
    me.settled()
    assert me.region("verdict", PRACTICE).startswith("not yet")
    answer.fill(f"{(after - off_after) / (before - off):.4f}")
    page.get_by_role("button", name="Check").click()
    me.settled()
    assert me.region("verdict", PRACTICE).startswith("right")
    page.get_by_role("button", name="Another problem").click()
    me.settled()
    assert answer.input_value() == ""
    assert me.region("problem", PRACTICE) != text
    assert me.region("verdict", PRACTICE) == ""
    answer.fill("twelve")
    answer.press("Enter")
    me.settled()
    expect(page.locator('[data-error-of="answer"]')).to_contain_text("“twelve” is not a number")


def test_a_table_takes_more_rows_up_to_its_bound(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(CHANGE)
    table = page.locator('[data-table="items"]')
    rows = table.locator("tbody tr")
    there = rows.count()
    numbers = page.locator(f'{SHEET} [data-region="results"] dl')
    results = numbers.all_inner_texts()
    more = table.get_by_role("button", name="Add a row")
    more.click()
    assert rows.count() == there + 1
    assert page.evaluate("document.activeElement.name") == f"items.{there}.label"
    assert (
        page.locator(f'[name="items.{there}.mass"]')
        .get_attribute("aria-label", timeout=1000)
        .endswith(f"row {there + 1}")
    )
    me.fill(f"items.{there}.mass", "100")
    me.fill(f"items.{there}.behind_front_axle", "somewhere")
    expect(page.locator(f'[data-error-of="items.{there}.behind_front_axle"]')).to_contain_text("somewhere")
    me.fill(f"items.{there}.behind_front_axle", "20")
    assert numbers.all_inner_texts() != results
    # A row is taken away by emptying it.
    me.fill(f"items.{there}.mass", "")
    me.fill(f"items.{there}.behind_front_axle", "")
    assert numbers.all_inner_texts() == results
    most = int(table.get_attribute("data-most") or "0")
    page.evaluate("button => { for (let at = 0; at < 100; at++) button.click(); }", more.element_handle())
    assert rows.count() == most
    expect(more).to_be_disabled()


def test_many_edits_in_one_frame_are_one_question_and_the_newest_wins(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(RESCALED)
    me.fill("axle_mass_after", "2900")
    before = page.evaluate("asked")
    page.evaluate(
        """() => {
          const field = document.querySelector('[name="axle_mass_after"]');
          for (let number = 2900; number <= 3500; number += 20) {
            field.value = String(number);
            field.dispatchEvent(new Event("input", { bubbles: true }));
          }
        }"""
    )
    me.settled()
    assert "1.439" in me.region("results")
    assert page.evaluate("asked") == before + 1


def test_the_keyboard_is_enough(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(RESCALED)
    page.locator('[name="axle_mass_before"]').focus()
    for key in ["Shift+Tab", "Space"]:
        page.keyboard.press(key)
    me.settled()
    assert page.evaluate("document.documentElement.dataset.units") == "metric"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.name") == "axle_mass_before"
    page.keyboard.press("Control+A")
    page.keyboard.type("1200")
    me.settled()
    # (1315.42 - 342.46) / (1200 - 247.66), by hand
    assert "1.022" in me.region("results")
    page.keyboard.press("Enter")
    me.settled()
    assert page.url.endswith(RESCALED)
    page.locator(f"{SHEET} summary").first.focus()
    page.keyboard.press("Enter")
    expect(page.locator(f"{SHEET} details").first).to_have_attribute("open", "")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"


def test_what_is_open_stays_open(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(CHANGE)
    inside = page.locator('[data-region="chart"] details')
    if inside.count():
        inside.first.evaluate("details => { details.open = true; }")
    me.fill("wheelbase", "115")
    if inside.count():
        assert inside.first.evaluate("details => details.open")


def test_without_its_worker_a_page_says_so_and_stays_readable(reader: Callable[..., Any], withheld: set[str]) -> None:
    withheld.add("worker.js")
    me = reader(alone=True)
    me.forgiven += ("404", "worker")
    me.visit(RESCALED)
    me.page.locator('[name="axle_mass_after"]').fill("3500")
    status = me.page.locator(f'{SHEET} [data-region="status"]')
    expect(status).to_contain_text("worker.js", timeout=30_000)
    expect(status).to_contain_text("The worked examples on this page are still right.")
    expect(status).to_contain_text("The results shown are not for what you typed.")
    expect(me.page.locator(SHEET)).to_have_attribute("data-stale", "")
    assert "1.125" in me.region("results")


def test_loading_is_told_in_words_and_bytes_while_the_example_stands(reader: Callable[..., Any]) -> None:
    me = reader(alone=True)
    held: list[Any] = []
    # What a shared worker fetches cannot be held back here; tests/browser/test_visit.py has that.
    me.context.add_init_script("delete window.SharedWorker")
    me.context.route("**/calc.zip*", lambda route: held.append(route))
    me.visit(RESCALED)
    me.page.locator('[name="axle_mass_after"]').fill("3500")
    status = me.page.locator(f'{SHEET} [data-region="status"]')
    expect(status).to_have_text(re.compile(r"^Loading the calculator: [\d.]+ of [\d.]+ MB\.$"))
    # The count moves many times a second and is not read out.
    expect(status.locator("[aria-hidden]")).to_contain_text("MB")
    expect(me.page.locator(SHEET)).to_have_attribute("data-stale", "")
    held[0].continue_()
    me.settled()
    assert "1.439" in me.region("results")
    expect(status).to_be_empty()
    expect(me.page.locator(SHEET)).not_to_have_attribute("data-stale", "")


def test_a_page_that_is_only_read_loads_no_calculator(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(RESCALED)
    page.wait_for_load_state("networkidle")
    page.mouse.wheel(0, 2000)
    page.locator("h2").first.click()
    page.wait_for_load_state("networkidle")
    assert page.evaluate("workers") == 0
    me.fill("axle_mass_after", "3500")
    assert page.evaluate("workers") == 1


def test_without_scripts_the_example_is_all_there(reader: Callable[..., Any]) -> None:
    me = reader(java_script_enabled=False)
    me.visit(RESCALED)
    assert "1.125" in me.region("results")
    assert "holds" in me.region("findings")
    assert me.page.locator('[name="axle_mass_after"]').get_attribute("value") == "2900"
    assert "2,145\u00a0lb" in (
        me.page.locator('calc-form[data-do="step"] [data-region="working"]').first.text_content() or ""
    )
    assert me.page.locator("article .hb-metric:visible").count() == 0


@pytest.mark.parametrize("name", [RESCALED, CHANGE])
def test_a_phone_of_320_px_holds_everything_that_can_be_shown(name: str, reader: Callable[..., Any]) -> None:
    me = reader(viewport={"width": 320, "height": 640}, has_touch=True)
    page = me.visit(name)
    page.locator(f"{SHEET} details").evaluate_all("all => all.forEach((one) => { one.open = true; })")
    first = page.locator(f"{SHEET} input").first
    for text in ["1,125", "W" * 60, "1e300", "2500.25"]:
        first.fill(text)
        me.settled()
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert over <= 0, f"{text}: {over} px too wide"
    small = page.evaluate(
        """() => [...document.querySelectorAll("calc-form :is(input, select, button, summary)")]
          .filter((one) => one.checkVisibility() && one.type !== "hidden" && one.getBoundingClientRect().height < 43.5)
          .map((one) => `${one.tagName} ${one.name || one.textContent}`)"""
    )
    assert small == []


@pytest.mark.parametrize("name", [RESCALED, CHANGE])
def test_on_paper_nothing_is_cut(name: str, reader: Callable[..., Any]) -> None:
    me = reader(viewport={"width": 680, "height": 960})
    page = me.visit(name)
    me.fill(page.locator(f"{SHEET} input").first.get_attribute("name"), "heavy")
    page.emulate_media(media="print")
    cut = page.evaluate(
        """() => [...document.querySelectorAll("article *")].filter((one) => {
            if (!one.checkVisibility() || one.closest("svg, math, .hb-sr, select")) return false;
            const { overflowX } = getComputedStyle(one);
            const box = one.getBoundingClientRect();
            return (overflowX !== "visible" && one.scrollWidth > one.clientWidth + 1) || box.right > innerWidth + 1;
          }).map((one) => `${one.tagName}.${one.className} ${one.textContent.slice(0, 40)}`)"""
    )
    assert cut == []
    expect(page.locator(f"{SHEET} [data-system]").first).to_be_hidden()


def test_nothing_moves_for_whoever_asked_for_stillness(reader: Callable[..., Any]) -> None:
    me = reader(reduced_motion="reduce")
    page = me.visit(RESCALED)
    me.fill("axle_mass_after", "heavy")
    assert page.evaluate("document.getAnimations().length") == 0
    moving = page.evaluate(
        """() => [...document.querySelectorAll("*")]
          .filter((one) => getComputedStyle(one).transitionDuration.split(", ").some((time) => time !== "0s"))
          .map((one) => one.className)"""
    )
    assert moving == []


@pytest.mark.parametrize("width", [1440, 390])
def test_a_page_in_use_has_no_violation_of_levels_a_and_aa(width: int, reader: Callable[..., Any], axe: str) -> None:
    me = reader(viewport={"width": width, "height": 900})
    page = me.visit(CHANGE)
    page.locator('[data-table="items"]').get_by_role("button", name="Add a row").click()
    me.fill("items.0.mass", "heavy")
    me.fill("left_front_mass", "-4")
    page.locator(f'{SHEET} [data-system="metric"]').click()
    me.settled()
    page.locator(f'{PRACTICE} [name="answer"]').fill("3")
    page.keyboard.press("Enter")
    me.settled()
    page.evaluate("document.querySelectorAll('article details').forEach((one) => { one.open = true; })")
    assert me.violations(axe) == []


def test_the_next_page_of_a_visit_is_made_ready_while_it_is_read(reader: Callable[..., Any]) -> None:
    """Where the visit has a worker that is up, a page's step is run before its first touch; nothing shows of it."""
    me = reader(alone=True)
    me.page.add_init_script(
        "window.said = []; const post = MessagePort.prototype.postMessage;"
        "MessagePort.prototype.postMessage = function (message) {"
        "  window.said.push(message.kind); return post.apply(this, arguments); };"
    )
    me.visit(RESCALED)
    me.page.wait_for_function("document.readyState === 'complete'")
    me.page.wait_for_timeout(300)
    assert me.page.evaluate("said") == []
    me.fill("axle_mass_after", "3500")
    me.visit(CHANGE)
    before = me.region("results")
    me.page.wait_for_function("said.includes('ask')")
    me.page.wait_for_timeout(500)
    assert me.page.evaluate("said.filter((kind) => kind === 'ask').length") == 1
    assert me.region("results") == before
    assert me.page.locator("calc-form[aria-busy]").count() == 0
