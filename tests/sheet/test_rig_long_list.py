"""A list of 50,000 springs on the rig page: read and searched a part at a time, the page answered in between."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from calc import bridge
from calc.rig.file import rig_to_data, wren
from calc.sheet.rig import own_list

WREN = rig_to_data(wren())
HEAD = "part,rate (lb/in),free length (in),solid length (in),inside diameter (in),price,stock"


def long_list(rows: int, seed: int = 1) -> str:
    """Springs of twelve bores, of which Wren's dampers take one."""
    generator = np.random.default_rng(seed)
    lines = [HEAD]
    for index in range(rows):
        free = int(generator.integers(8, 19))
        solid = free * float(generator.uniform(0.28, 0.5))
        bore = 2.5 + 0.5 * (index % 12)
        lines.append(
            f"L-{index:05d},{int(generator.integers(12, 80)) * 10},{free},{solid:.2f},{bore},"
            f"{int(generator.integers(60, 120))},{int(generator.integers(0, 6))}"
        )
    return "\n".join(lines)


def parts_of(**request: Any) -> Iterator[dict[str, Any]]:
    work = bridge.begin(json.dumps({"name": "rig", "fields": {}, "typed": [], **request}))
    while True:
        part: dict[str, Any] = json.loads(work.next())
        yield part
        if "done" in part:
            return


def ask(typed: dict[str, str] | None = None, **more: Any) -> dict[str, Any]:
    typed = typed or {}
    request = {"do": "rig", "rig": WREN, "fields": typed, "typed": list(typed), **more}
    answer: dict[str, Any] = json.loads(bridge.call(json.dumps(request)))
    return answer


def test_fifty_thousand_rows_are_read_in_parts_and_the_page_is_answered_in_between() -> None:
    text = long_list(50_000)
    parts = []
    for part in parts_of(do="list", rig=WREN, list_text=text):
        parts.append(part)
        if len(parts) == 5:
            # The list that is being read is not yet there; what is typed is.
            between = ask({"front.unsprung_mass": "700 lb"})
            assert between["rig"]["values"]["front.unsprung_mass"]["value"] == pytest.approx(700 * 0.45359237)
            assert "handbook’s invented list" in between["regions"]["list"]
    progress = [part["progress"] for part in parts[:-1]]
    assert len(progress) > 100
    assert {one["total"] for one in progress if one["done"]} == {50_000}
    assert [one["done"] for one in progress] == sorted(one["done"] for one in progress)
    assert "of 50,000 rows" in progress[-1]["text"]
    state = parts[-1]["done"]["list"]
    assert parts[-1]["done"]["problem"] is None
    shown = ask(list=state)["regions"]["list"]
    assert "Use 50,000 springs" in shown
    # The page shows how the list was understood, never its rows.
    assert len(shown) < 20_000
    assert "L-00001" not in shown

    used = ask(list={**state, "use": True})
    assert "too many to search after every change" in used["regions"]["list"]
    assert 'data-long="choose"' in used["regions"]["list"]
    steps = list(parts_of(do="choose", rig=WREN, list={**state, "use": True}))
    told = [part["progress"]["text"] for part in steps[:-1]]
    assert told[0].startswith("Searching the front: ")
    assert told[-1].startswith("Searching the rear: ")
    answer = steps[-1]["done"]
    front = answer["data"]["axles"]["front"]
    assert front["tried"] == 4_167 * 4_168
    assert front["working"] + sum(front["rejected"].values()) + sum(front["ruled_out"].values()) == front["tried"]
    assert len(front["ranked"]) == 12
    assert "by bounds that lose none that works" in answer["regions"]["says-6"]
    assert len(answer["regions"]["says-6"]) < 200_000
    assert all(one["main"].startswith("L-") for one in front["ranked"])


def test_a_search_that_is_left_off_leaves_nothing_behind() -> None:
    state = list(parts_of(do="list", rig=WREN, list_text=long_list(45_000)))[-1]["done"]["list"]
    work = parts_of(do="choose", rig=WREN, list={**state, "use": True})
    for _ in range(4):
        assert "progress" in next(work)
    work.close()
    again = ask(list={**state, "use": True})
    assert again["data"]["axles"]["front"] == {"needs": [], "problems": []}
    assert 'data-long="choose"' in again["regions"]["list"]


def test_a_list_that_was_in_use_is_in_use_again_and_another_is_not() -> None:
    text = long_list(100)
    state = list(parts_of(do="list", rig=WREN, list_text=text))[-1]["done"]["list"]
    assert state["use"] is False
    again = list(parts_of(do="list", rig=WREN, list_text=text, list={**state, "use": True}))[-1]["done"]["list"]
    assert again["use"] is True
    other = list(parts_of(do="list", rig=WREN, list_text=long_list(100, seed=2), list={**state, "use": True}))
    assert other[-1]["done"]["list"]["use"] is False


def test_other_columns_of_a_long_list_are_read_in_parts_too() -> None:
    text = long_list(own_list.AT_ONCE + 1)
    state = list(parts_of(do="list", rig=WREN, list_text=text))[-1]["done"]["list"]
    fields = {f"list.{name}.column": str(column["index"]) for name, column in state["columns"].items()}
    fields |= {f"list.{name}.unit": column["unit"] for name, column in state["columns"].items()}
    fields["list.rate.unit"] = "N/mm"
    changed = ask(fields, list=state)
    assert changed["want_list"] is True
    assert changed["list"]["columns"]["rate"]["unit"] == "N/mm"
    read = list(parts_of(do="list", rig=WREN, list_text=text, list=changed["list"]))[-1]["done"]["list"]
    assert read["columns"] == changed["list"]["columns"]
    settled = ask(fields, list=read)
    assert "want_list" not in settled
    assert settled["list"]["columns"]["rate"]["unit"] == "N/mm"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "The list is empty."),
        ("x" * 5_000_001, "This list is too large (5 MB is the limit)."),
        ("\n\n", "The list is empty."),
        ("part,rate\0", "This is not a text file."),
        (HEAD + "\n" + "a\n" * 50_100, "50,000"),
        (None, "There is no list to read."),
        (7, "There is no list to read."),
    ],
    ids=["nothing", "too large", "empty", "no text", "too many", "none", "a number"],
)
def test_what_is_no_list_is_told_and_the_handbooks_own_stays_in_use(text: Any, told: str) -> None:
    done = list(parts_of(do="list", rig=WREN, list_text=text))[-1]["done"]
    assert done["list"] is None
    assert told in done["problem"]
    assert "In use: the handbook’s invented list" in done["regions"]["list"]


def test_thousands_of_rows_of_rubbish_are_told_in_parts_and_few_are_shown() -> None:
    rows = "\n".join(f"<b>{index}</b>,=1+1,,much,NaN,-,1e999" for index in range(4_000))
    parts = list(parts_of(do="list", rig=WREN, list_text=f"{HEAD}\n{rows}"))
    assert len(parts) > 40
    shown = ask(list=parts[-1]["done"]["list"])["regions"]["list"]
    assert "cells cannot be used" in shown
    assert "<b>" not in shown
    assert len(shown) < 40_000


def test_what_the_browser_must_fetch_is_asked_for_in_the_first_part() -> None:
    """Only there does a page wait for a package that is missing."""
    request = {"do": "list", "name": "rig", "fields": {}, "typed": [], "list_text": long_list(6_000)}
    code = (
        "import json, sys; from calc import bridge; work = bridge.begin(sys.stdin.read()); "
        "assert 'pandas' not in sys.modules; assert 'progress' in json.loads(work.next()); print('pandas' in sys.modules)"
    )
    told = subprocess.run(
        [sys.executable, "-c", code], input=json.dumps(request), capture_output=True, text=True, check=True
    )
    assert told.stdout.strip() == "True"
