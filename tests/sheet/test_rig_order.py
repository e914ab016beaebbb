"""Ordering on the rig page: offered when it is ready, kept with the rig, and shown beside what would be set now."""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import replace
from html import unescape
from typing import Any

import pytest

from calc import bridge, vocabulary
from calc.quantity import SHOP
from calc.rig.entries import AXLES
from calc.rig.file import rig_to_data, wren
from calc.rig.rig import Entry
from calc.sheet.rig import lists
from calc.tables import assortment_springs
from calc.units import INCH

DAY = "2026-05-02"


@pytest.fixture(autouse=True)
def sold(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The handbook's list, as if somebody sold it."""
    springs = assortment_springs()
    springs = replace(springs, note=("",) * len(springs))
    monkeypatch.setitem(vars(lists.OWN_SPRINGS), "handbook", lambda: springs)
    return


def measured() -> dict[str, Any]:
    """Wren as if everything in it had been measured, with its straps."""
    values = {key: replace(entry, origin="measured") for key, entry in wren().values.items()}
    strap = {f"{axle}.strap_travel": Entry(value=1.0 * INCH) for axle in AXLES}
    return rig_to_data(replace(wren(), values={**values, **strap}))


def ask(rig: dict[str, Any], do: str = "rig", **more: Any) -> dict[str, Any]:
    request = {"do": do, "rig": rig, "fields": {}, "typed": [], "today": DAY, **more}
    return dict(json.loads(bridge.call(json.dumps(request))))


def loaded(rig: dict[str, Any]) -> dict[str, Any]:
    """The rig with heavier tools than before, in the load case of the wishes and in the heaviest."""
    found = deepcopy(rig)
    for case in found["load_cases"][1:]:
        case["items"][1]["mass"] = 225.0
    return found


def plain(html: str) -> str:
    return unescape(html).replace("\N{NO-BREAK SPACE}", " ")


def test_an_estimate_offers_no_order_and_says_what_blocks_it() -> None:
    said = ask(rig_to_data(wren()))["regions"]["says-12"]
    assert "Not ready to order:" in said
    assert "values are examples" in said
    assert 'data-rig-do="order-this"' not in said
    # Nor does a page that asks all the same.
    refused = ask(rig_to_data(wren()), action="order-this")
    assert refused["problem"].startswith("Not ready to order:")
    assert "ordered" not in refused["rig"]


def test_an_order_is_kept_and_later_loads_move_nothing_that_was_ordered() -> None:
    first = ask(measured())
    assert 'data-rig-do="order-this"' in first["regions"]["says-12"]
    assert "Ready to order" in first["regions"]["head-12"]
    done = ask(first["rig"], action="order-this")
    assert done["problem"] is None
    assert [one["date"] for one in done["rig"]["ordered"]] == [DAY]
    assert f"Ordered on {DAY}" in done["regions"]["head-12"]
    assert "Nothing was changed since." in done["regions"]["says-12"]

    heavier = loaded(done["rig"])
    now = ask(heavier)
    said, sheet = plain(now["regions"]["says-12"]), plain(now["regions"]["order"])
    assert "Crew of two with tools, Tools: ordered with 298 lb, now 496 lb." in said
    gap = done["rig"]["ordered"][0]["sheet"]["settings"][0]["ring_gap"]
    ordered = plain(SHOP.text(gap, vocabulary.length))
    assert f"Left front, ring gap, down to the divider: ordered {ordered}, now would be" in said
    assert "not the same" not in said, "loads are named one by one"
    # Settings and forecast of the sheet are the ordered ones, to the letter.
    before = plain(done["regions"]["order"])
    assert f"Ordered on {DAY}" in sheet
    begin, end = "<h3>Parts</h3>", "<h3>Checked when it was ordered</h3>"
    assert before[before.index(begin) : before.index(end)] == sheet[sheet.index(begin) : sheet.index(end)]
    assert "Crew of two with tools, Tools: ordered with 298 lb" in sheet
    # Ordered again it is a record of its own, with today's settings.
    # The sets chosen for the lighter load need not bear the heavier one: the search is asked anew.
    for axle in AXLES:
        for part in ("helper", "tender", "main"):
            heavier["values"].pop(f"{axle}.chosen_{part}_part", None)
    again = ask(heavier, action="order-this", today="2026-06-01")
    assert [one["date"] for one in again["rig"]["ordered"]] == [DAY, "2026-06-01"]
    assert again["rig"]["ordered"][0] == done["rig"]["ordered"][0]
    assert again["rig"]["ordered"][1]["sheet"]["settings"][0]["ring_gap"] != gap


def test_what_was_ordered_is_proved_whatever_the_loads_are_now() -> None:
    ordered = ask(measured(), action="order-this")["rig"]
    forecast = next(case for case in ordered["ordered"][0]["sheet"]["cases"] if case["reference"])
    fields = {}
    for place, corner in enumerate(forecast["corners"]):
        inches = (corner["damper_length"] - (0.02 if place == 0 else 0.0)) / 0.0254
        fields |= {
            f"first.{place}.after_pushed_down": f"{inches:.2f}",
            f"first.{place}.after_lifted": f"{inches + 0.1:.2f}",
        }
    heavier = loaded(ordered)
    here, there = (ask(rig, "prove", fields=fields, typed=list(fields)) for rig in (ordered, heavier))
    for region in ("results", "findings", "head-2"):
        assert here["regions"][region] == there["regions"][region]
    assert f"Compared with the order of {DAY}" in there["regions"]["results"]
    assert "fails" in here["regions"]["findings"]
    del heavier["ordered"]
    loose = ask(heavier, "prove", fields=fields, typed=list(fields))
    assert loose["regions"]["results"] != here["regions"]["results"]
    assert "No order is recorded" in loose["regions"]["results"]
