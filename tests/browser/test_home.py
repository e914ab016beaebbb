"""The first page: an answer from four axle weights, and the example that makes way for them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

FORM = 'calc-form[data-do="home"]'


@pytest.mark.parametrize("where", ["host", "folder"])
def test_four_axle_weights_give_a_first_answer(where: str, reader: Callable[..., Any]) -> None:
    me = reader(where)
    page = me.visit("index.html")
    assert "× 1.12" in me.region("results")
    first = page.locator('[name="front.axle_mass_before"]')
    first.click()
    page.keyboard.type("2600")
    me.settled()
    # One own value, and nothing of the example is left.
    values = [each.input_value() for each in page.locator(f"{FORM} input").all()]
    assert values[0] == "2600"
    assert set(values[1:]) == {""}
    assert "×" not in me.region("results")
    assert "Rear axle: needs its weight before and weight after." in me.region("findings")
    for text in ["3000", "", "", "2000", "2400"]:
        page.keyboard.press("Tab")
        page.keyboard.type(text)
    me.settled()
    # 15 to 35 % unsprung, by hand: 0.65 x 3000 / (0.85 x 2600) and 0.85 x 3000 / (0.65 x 2600)
    assert "× 0.88 to 1.51" in me.region("results")
    assert "× 0.92 to 1.57" in me.region("results")
    assert "assumed" in me.region("results")
    me.fill("front.unsprung_mass_before", "600")
    me.fill("front.unsprung_mass_after", "700")
    # By hand: (3000 - 700) / (2600 - 600)
    assert "× 1.15 ±" in me.region("results")
    assert "Unsprung rear not entered" in me.region("results")


def test_the_example_comes_back_when_asked_for_in_the_units_of_the_reader(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit("index.html")
    again = page.get_by_role("button", name="Show Wren's numbers again")
    expect(again).to_be_hidden()
    me.fill("rear.axle_mass_after", "2000")
    page.locator(f'{FORM} [data-system="metric"]').click()
    me.settled()
    assert page.locator('[name="rear.axle_mass_after"]').input_value() == "907.185"
    again.click()
    me.settled()
    assert page.locator('[name="rear.axle_mass_after"]').input_value() == "1084.086"
    assert page.locator('[data-unit-of="rear.axle_mass_after"]').inner_text() == "kg"
    assert "× 1.12" in me.region("results")
    assert "These are Wren's numbers" in me.region("whose")
    expect(again).to_be_hidden()
    # And makes way again.
    me.fill("rear.axle_mass_after", "1000")
    assert page.locator('[name="front.axle_mass_after"]').input_value() == ""


def test_switching_units_of_the_example_keeps_it_an_example(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit("index.html")
    page.locator(f'{FORM} [data-system="metric"]').click()
    me.settled()
    assert page.locator('[name="front.axle_mass_after"]').input_value() == "1315.418"
    assert "example" in me.region("whose")
    assert "× 1.12" in me.region("results")


def test_a_message_stands_under_its_pair(reader: Callable[..., Any]) -> None:
    me = reader(viewport={"width": 390, "height": 800})
    page = me.visit("index.html")
    me.fill("front.axle_mass_before", "6,125 kg")
    expect(page.locator('[data-error-of="front.axle_mass_before"]')).to_contain_text("can be read in two ways")
    expect(page.locator('[name="front.axle_mass_before"]')).to_have_attribute("aria-invalid", "true")
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    assert page.locator(f"{FORM} .hb-error:visible").count() == 1


def test_the_page_in_use_has_no_violation_of_levels_a_and_aa(reader: Callable[..., Any], axe: str) -> None:
    me = reader(viewport={"width": 390, "height": 800})
    me.visit("index.html")
    me.fill("front.axle_mass_before", "heavy")
    me.fill("rear.axle_mass_before", "2000")
    me.fill("rear.axle_mass_after", "2400")
    assert me.violations(axe) == []


def test_the_calculator_is_made_ready_on_this_page_unasked(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit("index.html")
    for _ in range(600):
        if page.evaluate("workers"):
            break
        page.wait_for_timeout(50)
    assert page.evaluate("workers") == 1
    assert me.region("status") == ""


def test_whoever_saves_data_is_not_made_to_load_it(reader: Callable[..., Any]) -> None:
    me = reader()
    me.page.add_init_script(
        "Object.defineProperty(Navigator.prototype, 'connection', { get: () => ({ saveData: true }) })"
    )
    me.visit("index.html")
    me.page.wait_for_load_state("networkidle")
    assert me.page.evaluate("workers") == 0
