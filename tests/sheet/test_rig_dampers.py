"""An own damper list on the rig page: read in parts, its columns settled, kept, and tried in place of the handbook's."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

import pytest

from calc import bridge
from calc.rig.file import rig_to_data, wren
from calc.sheet.rig import lists, own_list

WREN = rig_to_data(wren())
HEAD = "part;stroke (in);extended (in);spring ID (in);adjuster (in);turns (per in);seat to seat (in)"
NO_UNIT = HEAD.replace("stroke (in)", "stroke")
GOOD = "MINE-7;12;31;3;4;12;26.5"


def parts_of(do: str, **more: Any) -> Iterator[dict[str, Any]]:
    work = bridge.begin(json.dumps({"do": do, "name": "rig", "rig": WREN, "fields": {}, "typed": [], **more}))
    while True:
        part: dict[str, Any] = json.loads(work.next())
        yield part
        if "done" in part:
            return


def brought(text: Any, **more: Any) -> dict[str, Any]:
    """What becomes of a list that was brought."""
    done: dict[str, Any] = list(parts_of("list", dampers_text=text, **more))[-1]["done"]
    return done


def ask(typed: dict[str, str] | None = None, **more: Any) -> dict[str, Any]:
    typed = typed or {}
    request = {"do": "rig", "rig": WREN, "fields": typed, "typed": list(typed), **more}
    answer: dict[str, Any] = json.loads(bridge.call(json.dumps(request)))
    return answer


def tried(state: dict[str, Any] | None) -> tuple[str, list[str]]:
    """The block of the page after the dampers in use were tried, and what was told on the way."""
    parts = list(parts_of("dampers", dampers=state))
    return parts[-1]["done"]["regions"]["dampers"], [part["progress"]["text"] for part in parts[:-1]]


def settled(html: str) -> dict[str, str]:
    """What stands in the selects of a proposal."""
    found: dict[str, str] = {}

    class Reader(HTMLParser):
        name = ""

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            given = dict(attrs)
            if tag == "select":
                self.name = given["name"] or ""
            if tag == "option" and "selected" in given:
                found[self.name] = given["value"] or ""

    Reader().feed(html)
    return found


def test_an_own_list_is_proposed_then_used_then_tried() -> None:
    done = brought(f"{HEAD}\n{GOOD}\n")
    assert done["problem"] is None
    assert done["dampers"]["use"] is False
    assert "Use 1 damper<" in done["regions"]["dampers"]
    html, _ = tried(done["dampers"])
    # What was not taken is not tried.
    assert "DP-" in html
    used = ask(dampers={**done["dampers"], "use": True})
    assert "In use: your list, 1 damper." in used["regions"]["dampers"]
    assert used["dampers"]["use"] is True
    assert "want_dampers" not in used
    html, on_the_way = tried(used["dampers"])
    assert "MINE-7" in html
    assert "DP-" not in html
    assert "In use: your list, 1 damper." in html
    assert any(text.startswith("Trying MINE-7 at the front") for text in on_the_way)
    # The next answer empties what was found, and the list stays.
    again = ask(dampers=used["dampers"])["regions"]["dampers"]
    assert "MINE-7" not in again
    assert "In use: your list, 1 damper." in again
    assert ask()["regions"]["dampers"] == ""


def test_the_reader_is_asked_for_a_unit_that_stands_nowhere() -> None:
    done = brought(f"{NO_UNIT}\nMINE-7;305;31;3;4;12;26.5\n")
    html = done["regions"]["dampers"]
    [row] = re.findall(r"<tr><th scope=\"row\">Damper stroke</th>.*?</tr>", html)
    assert "assumed" in row
    assert "The unit is given nowhere in “stroke”: choose it." in html
    # As the other columns are in inches, this one would be, and nothing could be used.
    assert settled(html)["dampers.damper_stroke.unit"] == "in"
    assert "1 cell cannot be used" in html
    assert "hb-button" not in html
    named = ask({**settled(html), "dampers.damper_stroke.unit": "mm"}, dampers=done["dampers"])
    html = named["regions"]["dampers"]
    assert named["dampers"]["columns"]["damper_stroke"] == {"index": 1, "unit": "mm"}
    assert "Use 1 damper<" in html
    # The reader has named it.
    assert "assumed" not in html
    assert "is given nowhere" not in html


def test_a_column_that_was_not_recognized_can_be_named() -> None:
    done = brought(f"{HEAD.replace('seat to seat (in)', 'room')}\n{GOOD}\n")
    html = done["regions"]["dampers"]
    assert "No column was recognized as " in html
    named = ask({**settled(html), "dampers.seat_space.column": "6"}, dampers=done["dampers"])
    assert named["dampers"]["columns"]["seat_space"] == {"index": 6, "unit": "in"}
    assert "Use 1 damper<" in named["regions"]["dampers"]


def test_a_list_that_was_in_use_is_in_use_again_and_another_worker_asks_for_it() -> None:
    text = f"{HEAD}\n{GOOD}\n"
    state = {**brought(text)["dampers"], "use": True}
    lists.OWN_DAMPERS.held.clear()
    lost = ask(dampers=state)
    assert lost["want_dampers"] is True
    assert lost["dampers"] == state
    told = list(parts_of("dampers", dampers=state))[-1]["done"]
    assert told["want_dampers"] is True
    assert "Try it when it is read" in told["problem"]
    assert brought(text, dampers=state)["dampers"] == state
    assert "want_dampers" not in ask(dampers=state)


def test_both_lists_are_held_at_once() -> None:
    springs = "part,rate (lb/in),free length (in),solid length (in),inside diameter (in)\nS-1,250,10,3.5,3\n"
    dampers = brought(f"{HEAD}\n{GOOD}\n")["dampers"]
    listed = list(parts_of("list", list_text=springs, dampers=dampers))[-1]["done"]["list"]
    answer = ask(list={**listed, "use": True}, dampers={**dampers, "use": True})
    assert "In use: your list, 1 spring." in answer["regions"]["list"]
    assert "In use: your list, 1 damper." in answer["regions"]["dampers"]


def test_a_wrong_cell_is_told_by_row_and_column_and_the_rest_is_tried() -> None:
    done = brought(f"{HEAD}\n{GOOD}\nMINE-8;twelve;31;3;4;12;26.5\n")
    assert "Read: 1 of 2 rows." in done["regions"]["dampers"]
    assert "1 cell cannot be used" in done["regions"]["dampers"]
    html, _ = tried({**done["dampers"], "use": True})
    assert "MINE-8" not in html.split("</details>", 1)[-1]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "The list is empty. It needs a row of headings and a row for each damper."),
        ("%PDF-1.7\n\0\1\2", "This is not a text file."),
        ("x" * 5_000_001, "This list is too large (5 MB is the limit)."),
        (f"{HEAD}\n" + "a\n" * 50_100, "more than 50,000 rows. Leave out what is no damper"),
        (None, "There is no list to read."),
        (["a"], "There is no list to read."),
    ],
    ids=["empty", "a PDF", "too large", "too many", "none", "an array"],
)
def test_what_is_no_list_says_so(text: Any, told: str) -> None:
    done = brought(text)
    assert done["dampers"] is None
    assert told in done["problem"]
    assert told in done["regions"]["dampers"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("%PDF-1.7 1 0 obj\n<< /Type /Catalog >>\n", "No column was recognized as damper stroke"),
        (HEAD, "There are no rows under the headings."),
        (f"{HEAD.replace(';spring ID (in)', '')}\n", "No column was recognized as spring inside diameter."),
        (f"{HEAD}\nMINE-7;12 psi;31;3;4;12;26.5\n", "No row of this list can be used"),
        (f"{HEAD.replace('(in)', '(mm)')}\n{GOOD}\n", "No row of this list can be used"),
    ],
    ids=["a PDF as text", "headings alone", "a column missing", "a wrong unit in a cell", "wrong units"],
)
def test_a_list_of_which_nothing_can_be_used_says_why_and_cannot_be_taken(text: str, told: str) -> None:
    done = brought(text)
    assert told in done["regions"]["dampers"]
    assert "hb-button" not in done["regions"]["dampers"]
    assert "Leave it" in done["regions"]["dampers"]
    html, _ = tried({**done["dampers"], "use": True})
    assert "DP-" in html


def test_decimal_commas_and_a_column_twice_are_understood() -> None:
    done = brought(f"{HEAD};stroke (in)\nMINE-7;12,5;31,25;3,0;4;12;26,5;99\n")
    assert done["dampers"]["columns"]["damper_stroke"] == {"index": 1, "unit": "in"}
    assert "Not used: stroke (in)." in done["regions"]["dampers"]
    assert "Use 1 damper<" in done["regions"]["dampers"]


def test_text_of_strangers_stays_text() -> None:
    naughty = "<img src=x onerror=alert(1)>"
    done = brought(f"{HEAD};{naughty}\n{GOOD.replace('MINE-7', naughty)};1\n{naughty};{naughty};31;3;4;12;26.5;1\n")
    used = ask(dampers={**done["dampers"], "use": True})
    html, _ = tried(used["dampers"])
    for block in (done["regions"]["dampers"], used["regions"]["dampers"], html):
        assert "<img" not in block
    assert "&lt;img" in html


def test_fifty_thousand_rows_are_read_in_parts_and_the_page_is_answered_in_between() -> None:
    text = "\n".join([HEAD, *(f"D-{index:05d};12;31;3;4;12;26.5" for index in range(50_000))])
    parts = []
    for part in parts_of("list", dampers_text=text):
        parts.append(part)
        if len(parts) == 5:
            assert ask()["regions"]["dampers"] == ""
    progress = [part["progress"] for part in parts[:-1]]
    assert len(progress) > 20
    assert {one["total"] for one in progress if one["done"]} == {50_000}
    assert "Reading your list: " in progress[-1]["text"]
    state = parts[-1]["done"]["dampers"]
    html = parts[-1]["done"]["regions"]["dampers"]
    assert "Use 50,000 dampers" in html
    # The page shows how the list was understood, never its rows.
    assert len(html) < 20_000
    # Other columns of so long a list are read in parts too.
    changed = ask({**settled(html), "dampers.damper_stroke.unit": "mm"}, dampers=state)
    assert own_list.AT_ONCE < 50_000
    assert changed["want_dampers"] is True
    assert changed["dampers"]["columns"]["damper_stroke"]["unit"] == "mm"
