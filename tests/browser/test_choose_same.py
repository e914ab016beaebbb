"""The browser chooses what CPython chooses: the same sets in the same order, and every number to 1e-9."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import expect

from calc import bridge
from calc.rig.file import rig_to_data, wren

pytestmark = pytest.mark.browser

LISTEN = """() => {
  const form = document.querySelector('calc-form[data-do="rig"]');
  const { answered, extras } = form;
  window.answers = [];
  form.extras = () => ({ ...extras(), data: true });
  form.answered = (answer) => { window.answers.push(answer); answered(answer); };
}"""
TYPED = {"front.tire_rate": "1600", "left_rear.corner_mass": "1250", "least_main_left": "0.75"}


def different(one: Any, other: Any, path: str = "") -> list[str]:
    """Name every place where two answers differ: texts and counts at all, numbers by more than 1e-9."""
    if isinstance(one, dict) and isinstance(other, dict) and set(one) == set(other):
        return [text for key in one for text in different(one[key], other[key], f"{path}/{key}")]
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        pairs = enumerate(zip(one, other, strict=True))
        return [text for index, (left, right) in pairs for text in different(left, right, f"{path}/{index}")]
    numbers = isinstance(one, (int, float)) and isinstance(other, (int, float)) and not isinstance(one, bool)
    if numbers and abs(one - other) <= 1e-9 * max(abs(one), abs(other), 1e-3):
        return []
    return [] if one == other else [f"{path}: {one!r} and {other!r}"]


def test_the_comparison_sees_a_difference() -> None:
    assert different({"a": [1.0, "x"]}, {"a": [1.0 + 1e-12, "x"]}) == []
    assert different({"a": [1.0]}, {"a": [1.0 + 1e-8]}) == ["/a/0: 1.0 and 1.00000001"]
    assert different({"a": 1}, {"b": 1}) != []


def test_the_ranked_sets_of_the_browser_are_those_of_cpython(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit("rig.html")
    page.evaluate(LISTEN)
    page.get_by_role("button", name="Open Wren, the example").click()
    expect(page.locator('[data-region="head-6"] .ans')).to_be_visible(timeout=60_000)
    me.settled()
    there = page.evaluate("window.answers.findLast((answer) => answer.data).data")
    request: dict[str, Any] = {"do": "rig", "open": rig_to_data(wren()), "fields": {}, "typed": []}
    here = json.loads(bridge.call(json.dumps(request)))["data"]
    assert len(here["axles"]["front"]["ranked"]) == 12
    assert different(there, here) == []
    page.evaluate("document.querySelectorAll('details.hb-part').forEach((part) => { part.open = true; })")
    for name, text in TYPED.items():
        page.locator(f'[name="{name}"]').fill(text)
    me.settled()
    there = page.evaluate("window.answers.findLast((answer) => answer.data).data")
    request = {"do": "rig", "rig": rig_to_data(wren()), "fields": TYPED, "typed": list(TYPED)}
    here = json.loads(bridge.call(json.dumps(request)))["data"]
    assert different(there, here) == []
