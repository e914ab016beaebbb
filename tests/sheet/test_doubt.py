"""How sure the choice is, on the rig page: asked for as long work, answered in slices, told in words."""

from __future__ import annotations

import json
from typing import Any

from calc import bridge
from calc.job.rig import Rig, rig_to_data, wren


def asked(rig: Any, system: str = "shop") -> tuple[list[dict[str, Any]], dict[str, Any]]:
    request = {"do": "doubt", "rig": rig, "fields": {}, "typed": [], "units": {"system": system, "fields": {}}}
    work = bridge.begin(json.dumps(request))
    told = []
    while True:
        part = json.loads(work.next())
        if "done" in part:
            return told, part["done"]
        told.append(part["progress"])


def test_it_comes_in_slices_and_ends_with_both_axles() -> None:
    told, done = asked(rig_to_data(wren()))
    assert [one["done"] for one in told] == [250, 500, 750, 1000] * 2
    html = done["regions"]["doubt"]
    for words in ("How sure, front", "How sure, rear", "tied with the first", "What moves the ride frequency most"):
        assert words.lower() in html.lower()
    assert "Measure again before ordering: front unsprung weight." in html
    assert html.count("<svg") == 8
    assert ">nan<" not in html.lower()


def test_units_change_no_chance() -> None:
    shop, metric = (asked(rig_to_data(wren()), system)[1]["regions"]["doubt"] for system in ("shop", "metric"))
    chances = [
        [part.split("<")[0] for part in html.split('data-label="Works">')[1:]] + html.split('data-label="Best')[1:2]
        for html in (shop, metric)
    ]
    assert chances[0][:10] == chances[1][:10]
    assert "mm" in metric


def test_a_blank_rig_and_a_hostile_name_are_answered() -> None:
    _, done = asked(rig_to_data(Rig()))
    assert done["regions"]["doubt"] == '<p class="hb-note">No springs are chosen yet.</p>'
    data = rig_to_data(wren())
    for case in data["load_cases"]:
        for item in case["items"]:
            item["name"] = "<b onclick=x>"
    _, done = asked(data)
    assert "<b onclick" not in done["regions"]["doubt"]
