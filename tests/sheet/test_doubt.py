"""How sure the choice is, on the rig page: asked for as long work, answered in slices, told in words."""

from __future__ import annotations

import json
from typing import Any

from calc import bridge
from calc.rig.file import rig_to_data, wren
from calc.rig.rig import Rig


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
    for words in ("How sure, front", "How sure, rear", "; as good as the first", "What moves the ride frequency most"):
        assert words.lower() in html.lower()
    assert "Measure again before ordering: front unsprung weight." in html
    assert html.count("<svg") == 12
    assert "what moves what is least certain" in html
    # Which sets the data cannot tell apart stands in words in the ranked table itself.
    ties = {place: text for place, text in done["regions"].items() if place.startswith("tied-")}
    assert ties["tied-front-1"] == " As good as the first."
    request = {"do": "rig", "rig": rig_to_data(wren()), "fields": {}, "typed": []}
    regions = json.loads(bridge.call(json.dumps(request)))["regions"]
    for place in ties:
        assert f'data-region="{place}"' in regions["says-6"]
        # What was found held for what was entered then.
        assert regions[place] == ""
    assert regions["doubt"] == ""
    assert ">nan<" not in html.lower()


def test_the_order_to_print_says_it_in_a_line_for_each_axle() -> None:
    request = {"do": "rig", "rig": rig_to_data(wren()), "fields": {}, "typed": []}
    order = json.loads(bridge.call(json.dumps(request)))["regions"]["order"]
    assert "How sure. Front: all limits hold in all trials; nearest to its limit: it has its bump stop solid" in order
    assert "; measure again: front collapsed length." in order
    wide = {**request, "fields": {"rear.unsprung_mass.plus_minus": "400"}, "typed": ["rear.unsprung_mass.plus_minus"]}
    order = json.loads(bridge.call(json.dumps(wide)))["regions"]["order"]
    assert "least certain: it " in order
    assert " of 100 trials" in order


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
