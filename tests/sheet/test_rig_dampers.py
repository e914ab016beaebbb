"""An own damper list on the rig page: read in parts, told how it was understood, tried in place of the handbook's."""

from __future__ import annotations

import json
from typing import Any

from calc import bridge
from calc.job.rig import rig_to_data, wren

HEAD = "part;stroke (in);extended (in);spring ID (in);adjuster (in);turns (per in);seat to seat (in)"
GOOD = "MINE-7;12;31;3;4;12;26.5"


def tried(text: str) -> tuple[str, list[str]]:
    """The block of the page after a list was tried, and what was told on the way."""
    request: dict[str, Any] = {
        "do": "dampers",
        "rig": rig_to_data(wren()),
        "fields": {},
        "typed": [],
        "dampers_text": text,
    }
    parts = bridge.begin(json.dumps(request))
    on_the_way = []
    while True:
        told = json.loads(parts.next())
        if "done" in told:
            return told["done"]["regions"]["dampers"], on_the_way
        on_the_way.append(told["progress"]["text"])


def test_an_own_damper_is_tried_and_the_list_is_told_as_understood() -> None:
    html, on_the_way = tried(f"{HEAD}\n{GOOD}\n")
    assert "Your list: 1 of 1 rows can be used." in html
    assert "“stroke (in)”: damper stroke, in" in html
    assert "MINE-7" in html
    assert "DP-" not in html
    assert any(text.startswith("Trying MINE-7 at the front") for text in on_the_way)


def test_a_wrong_cell_is_told_by_row_and_column_and_the_rest_is_tried() -> None:
    html, _ = tried(f"{HEAD}\n{GOOD}\nMINE-8;twelve;31;3;4;12;26.5\n")
    assert "Your list: 1 of 2 rows can be used." in html
    assert "1 cell cannot be used" in html
    assert "MINE-8" not in html.split("</details>")[-1]


def test_a_unit_that_stands_nowhere_is_asked_for_and_nothing_is_searched() -> None:
    html, on_the_way = tried(f"{HEAD.replace('stroke (in)', 'stroke')}\n{GOOD}\n")
    assert "The unit stands nowhere in “stroke”." in html
    assert not any(text.startswith("Trying") for text in on_the_way)


def test_what_is_no_list_says_so_and_hostile_text_stays_text() -> None:
    html, _ = tried("")
    assert "hb-error" in html
    html, _ = tried(f"{HEAD}\n{GOOD.replace('MINE-7', '<img src=x onerror=alert(1)>')}\n")
    assert "<img" not in html
    assert "&lt;img" in html
