"""A list of 50,000 springs in a browser: read and searched a part at a time, and it chooses what CPython chooses."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import expect

from calc import bridge

pytestmark = pytest.mark.browser

HEAD = "part,rate (lb/in),free length (in),solid length (in),inside diameter (in),price,stock"
# Notes in which order things come to pass: parts of the work, and answers by the name of the rig that they are about.
WATCH = """() => {
  const form = document.querySelector('calc-form[data-do="rig"]');
  const { answered } = form;
  window.order = [];
  window.answers = [];
  const note = (what) => { if (window.order.at(-1) !== what) window.order.push(what); };
  form.answered = (answer, edited) => {
    note(answer.fields ? `answered ${answer.rig?.name}` : "read");
    if (answer.data) window.answers.push(answer.data);
    answered(answer, edited);
  };
  const status = form.querySelector('[data-region="status"]');
  new MutationObserver(() => {
    const [word] = status.textContent.split(" ");
    if (word === "Reading" || word === "Searching") note(word);
  }).observe(status, { childList: true, subtree: true, characterData: true });
}"""


def long_list(rows: int, seed: int) -> str:
    """Springs of twelve bores, of which Wren's dampers take one."""
    lot = random.Random(seed)
    lines = [HEAD]
    for index in range(rows):
        free = lot.randrange(8, 19)
        solid = free * lot.uniform(0.28, 0.5)
        bore = 2.5 + 0.5 * (index % 12)
        lines.append(
            f"L-{index:05d},{lot.randrange(12, 80) * 10},{free},{solid:.2f},{bore},{lot.randrange(60, 120)},{lot.randrange(6)}"
        )
    return "\n".join(lines)


def to_the_end(**request: Any) -> dict[str, Any]:
    work = bridge.begin(json.dumps({"name": "rig", "fields": {}, "typed": [], **request}))
    while "done" not in (part := json.loads(work.next())):
        pass
    done: dict[str, Any] = part["done"]
    return done


def chosen(data: dict[str, Any]) -> dict[str, list[tuple[str, str]]]:
    axles = data["axles"]
    return {axle: [(one["tender"], one["main"]) for one in axles[axle]["ranked"]] for axle in axles}


def test_fifty_thousand_springs_are_read_and_searched_while_the_page_answers(reader: Callable[..., Any]) -> None:
    text = long_list(50_000, seed=50)
    # So long a list stays in the memory of the calculator that read it.
    me = reader(alone=True)
    page = me.visit("rig.html")
    page.get_by_role("button", name="Open Wren, the example").click()
    expect(page.locator('[data-region="head-6"] .ans')).to_be_visible(timeout=60_000)
    me.settled()
    page.evaluate("document.querySelectorAll('details.hb-part').forEach((part) => { part.open = true; })")
    page.evaluate(WATCH)
    status = page.locator('calc-form[data-do="rig"] [data-region="status"]')
    file = {"name": "long.csv", "mimeType": "text/csv", "buffer": text.encode()}
    page.locator("[data-rig-list=list]").set_input_files(files=[file])
    expect(status).to_contain_text("Reading your list")
    expect(page.get_by_role("button", name="Stop reading")).to_be_visible()
    page.locator('[name="rig_name"]').fill("While reading")
    take = page.get_by_role("button", name="Use 50,000 springs")
    expect(take).to_be_visible(timeout=60_000)
    me.settled()
    expect(page.get_by_role("button", name="Stop reading")).to_be_hidden()
    order = page.evaluate("window.order")
    answered, read = order.index("answered While reading"), order.index("read")
    assert "Reading" in order[:answered]
    assert "Reading" in order[answered:read]

    take.click()
    me.settled()
    search = page.locator('[data-long="choose"]')
    search.click()
    expect(status).to_contain_text("Searching the front")
    # The same button stops it, and the page goes on as before.
    search.click()
    me.settled()
    assert page.evaluate("window.answers") == []
    expect(page.locator('[data-region="head-6"]')).to_contain_text("Waits for the search")
    search.click()
    expect(page.locator('[data-region="head-6"] .ans')).to_be_visible(timeout=60_000)
    me.settled()
    [there] = page.evaluate("window.answers")
    rig = page.evaluate("Object.values(JSON.parse(localStorage['spring-damper-handbook:rigs']).rigs)[0]")
    state = to_the_end(do="list", list_text=text)["list"]
    here = to_the_end(do="choose", rig=rig, list={**state, "use": True})["data"]
    assert len(chosen(here)["front"]) == 12
    assert chosen(there) == chosen(here)
