"""An answer belongs to the rig and the state that it was asked for; a question to the rig that it names."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from calc.rig.file import rig_to_data, wren

pytestmark = pytest.mark.browser

PAGE = "rig.html"
KEY = "spring-damper-handbook:rigs"
WREN = rig_to_data(wren())


def named(name: str, **values: float) -> dict[str, Any]:
    """Wren under another name, with some of its values otherwise."""
    measured = {key.replace("__", "."): {"origin": "measured", "value": value} for key, value in values.items()}
    return {**WREN, "name": name, "values": {**WREN["values"], **measured}}


ALPHA = named("Alpha", wheelbase=2.80)
BETA = named("Beta", wheelbase=2.70, left_front__corner_mass=640.0)


def springs(count: int) -> str:
    rows = [f"Q-{index:04d},{150 + index * 0.35:.2f},10,3.5,3" for index in range(count)]
    return "\n".join(["part,rate lb/in,free length in,solid length in,inside diameter in", *rows])


def opened(me: Any, *rigs: dict[str, Any]) -> Page:
    """Open the rig page in a browser that keeps these rigs; the first is open."""
    book = {"version": 1, "current": "0", "rigs": {str(place): rig for place, rig in enumerate(rigs)}}
    me.page.add_init_script(f"if (!localStorage['{KEY}']) localStorage['{KEY}'] = {json.dumps(json.dumps(book))};")
    page: Page = me.visit(PAGE)
    shows(page, rigs[0]["name"])
    me.settled()
    return page


def kept(page: Page) -> dict[str, Any]:
    """What the browser keeps, by name; two rigs of one name would be a loss."""
    rigs = list(json.loads(page.evaluate(f"localStorage['{KEY}']"))["rigs"].values())
    found = {rig.get("name", ""): rig for rig in rigs}
    assert len(found) == len(rigs)
    return found


def shows(page: Page, name: str) -> None:
    expect(page.locator('[name="rig_name"]')).to_have_value(name, timeout=60_000)


def choose(page: Page, name: str) -> None:
    page.locator("[data-kept-rigs]").select_option(label=name)


def button(page: Page, name: str) -> Any:
    """Return a button; those that answer a question are pressed by what they do."""
    return page.locator("button:not([data-kept-do=yes], [data-kept-do=no])").get_by_text(name, exact=True)


def test_a_search_that_ends_after_its_rig_was_left_or_changed_touches_nothing(reader: Callable[..., Any]) -> None:
    me = reader()
    page = opened(me, ALPHA, BETA)
    page.evaluate("document.querySelectorAll('details.hb-part').forEach((part) => { part.open = true; })")
    status = page.locator('calc-form [data-region="status"]')
    page.locator("[data-rig-list=list]").set_input_files(
        files=[{"name": "all.csv", "mimeType": "text/csv", "buffer": springs(2_000).encode()}]
    )
    button(page, "Use 2,000 springs").click()
    me.settled()
    alpha, beta = kept(page)["Alpha"], kept(page)["Beta"]
    assert (alpha["values"]["wheelbase"], beta["values"]["wheelbase"]) == (
        ALPHA["values"]["wheelbase"],
        BETA["values"]["wheelbase"],
    )

    def search() -> None:
        button(page, "Search them").click()
        expect(status).to_contain_text("Searching the", timeout=60_000)

    def stopped(why: str) -> None:
        expect(status).to_have_text(why)
        me.settled()
        # Long enough for whatever is still under way to come in.
        page.wait_for_timeout(1_500)
        me.settled()
        expect(button(page, "Search them")).to_be_visible()
        assert me.region("head-6").startswith("Waits for the search")

    # Another rig is chosen: it stays what it was, and so does the first.
    search()
    choose(page, "Beta")
    shows(page, "Beta")
    stopped("Stopped, because another rig was opened.")
    assert kept(page) == {"Alpha": alpha, "Beta": beta}
    assert page.locator('[name="rig_name"]').input_value() == "Beta"
    assert button(page, "Undo").is_disabled()

    # A new one stays blank and is not kept.
    choose(page, "Alpha")
    shows(page, "Alpha")
    me.settled()
    search()
    button(page, "New rig").click()
    shows(page, "")
    expect(status).to_have_text("Stopped, because another rig was opened.")
    page.wait_for_timeout(1_500)
    me.settled()
    assert kept(page) == {"Alpha": alpha, "Beta": beta}
    assert page.locator('[name="wheelbase"]').input_value() == ""

    # An added load case is there.
    choose(page, "Alpha")
    shows(page, "Alpha")
    me.settled()
    search()
    button(page, "Add a load case").click()
    stopped("Stopped, because a value changed.")
    more = kept(page)["Alpha"]
    assert len(more["load_cases"]) == len(alpha["load_cases"]) + 1
    assert kept(page) == {"Alpha": more, "Beta": beta}

    # Undo takes it back, on the page and in what is kept.
    search()
    button(page, "Undo").click()
    stopped("Stopped, because a value changed.")
    assert kept(page) == {"Alpha": alpha, "Beta": beta}
    assert page.locator(f'[name="case.{len(alpha["load_cases"])}.label"]').count() == 0

    # So does an edit, with the old number in reach.
    search()
    me.fill("wheelbase", "111")
    stopped("Stopped, because a value changed.")
    assert kept(page)["Alpha"]["values"]["wheelbase"]["value"] == pytest.approx(111 * 0.0254)
    button(page, "Undo").click()
    me.settled()
    assert kept(page) == {"Alpha": alpha, "Beta": beta}

    # A second tab changes it meanwhile.
    search()
    page.evaluate(
        """([key, rig]) => { const book = JSON.parse(localStorage[key]); book.rigs[0] = rig;
          localStorage[key] = JSON.stringify(book);
          window.dispatchEvent(new StorageEvent("storage", { key })); }""",
        [KEY, {**alpha, "note": "From the other tab"}],
    )
    expect(page.locator('[name="rig_note"]')).to_have_value("From the other tab", timeout=60_000)
    stopped("Stopped, because a value changed.")
    assert kept(page) == {"Alpha": {**alpha, "note": "From the other tab"}, "Beta": beta}

    # The rig itself goes, with its search.
    search()
    button(page, "Remove").click()
    page.locator('[data-kept-do="yes"]').click()
    shows(page, "Beta")
    stopped("Stopped, because another rig was opened.")
    assert kept(page) == {"Beta": beta}

    # After a reload nothing else has come to light.
    search()
    page.reload()
    shows(page, "Beta")
    me.settled()
    assert kept(page) == {"Beta": beta}


def test_a_question_acts_on_the_rig_that_it_names_or_not_at_all(reader: Callable[..., Any]) -> None:
    me = reader()
    page = opened(me, ALPHA, BETA)
    before = kept(page)
    question = page.locator("[data-kept-question]")
    said = page.locator('[data-region="kept-said"]')

    # Whoever opens another rig has declined.
    button(page, "Remove").click()
    expect(question).to_contain_text("Remove “Alpha” from this browser for good?")
    choose(page, "Beta")
    expect(question).to_be_hidden()
    shows(page, "Beta")
    me.settled()
    assert kept(page) == before

    # What was asked about is not what is there any more.
    button(page, "Remove").click()
    page.locator('[name="wheelbase"]').fill("107")
    page.locator('[data-kept-do="yes"]').click()
    expect(said).to_have_text("“Beta” has changed since you were asked, or is gone. Nothing was removed.")
    me.settled()
    assert kept(page)["Alpha"] == before["Alpha"]
    assert kept(page)["Beta"]["values"]["wheelbase"]["value"] == pytest.approx(107 * 0.0254)

    # A second question takes the place of the first and can be answered.
    button(page, "Remove").click()
    button(page, "Remove").click()
    expect(question).to_be_visible()
    page.locator('[data-kept-do="yes"]').click()
    shows(page, "Alpha")
    me.settled()
    assert kept(page) == {"Alpha": before["Alpha"]}


def test_what_was_typed_last_is_kept_with_its_own_rig(reader: Callable[..., Any]) -> None:
    me = reader()
    page = opened(me, ALPHA, BETA)
    beta = kept(page)["Beta"]
    # No answer can have come in between: both happen within one turn of the page.
    page.evaluate(
        """() => {
          const field = document.querySelector('[name="wheelbase"]');
          field.value = "109";
          field.dispatchEvent(new Event("input", { bubbles: true }));
          const rigs = document.querySelector("[data-kept-rigs]");
          rigs.value = [...rigs.options].find((option) => option.text === "Beta").value;
          rigs.dispatchEvent(new Event("change", { bubbles: true }));
        }"""
    )
    shows(page, "Beta")
    me.settled()
    assert kept(page)["Beta"] == beta
    assert kept(page)["Alpha"]["values"]["wheelbase"]["value"] == pytest.approx(109 * 0.0254)
