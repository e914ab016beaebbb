"""The rig page's block on other dampers: worked out only when asked, in slices, and emptied by the next edit."""

from __future__ import annotations

import json
import re
from html import unescape
from typing import Any

from calc import bridge
from calc.job.bodies import choose_with_dampers
from calc.job.rig import Rig, rig_to_data, wren
from calc.sheet.rig import dampers, rig
from calc.tables import assortment_dampers, assortment_springs

WREN = rig_to_data(wren())


def worked(data: Any) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    work = bridge.begin(json.dumps({"do": "dampers", "name": "rig", "rig": data, "fields": {}, "typed": []}))
    parts = []
    while "done" not in (part := json.loads(work.next())):
        parts.append(part["progress"])
    return parts, part["done"]


def test_the_page_holds_the_block_in_section_six_and_nothing_found_yet() -> None:
    html = rig()
    section = html[html.index('id="s6"') : html.index('id="s7"')]
    assert dampers.box() in section
    assert 'data-long="dampers"' in dampers.box()
    assert '<div data-region="dampers" aria-live="polite"></div>' in dampers.box()


def test_the_block_shows_the_pairs_that_the_search_finds() -> None:
    parts, done = worked(WREN)
    assert [part["done"] <= part["total"] for part in parts] == [True] * len(parts)
    assert parts[0]["text"] == "Trying DP-03 at the front: 0 of 4 dampers done."
    html = done["regions"]["dampers"]
    for axle in ("front", "rear"):
        found = choose_with_dampers(wren(), axle, assortment_dampers(), assortment_springs())
        section = html[html.index(f"<h3>{axle.capitalize()}") :]
        assert re.findall(r'<th scope="row">([^<]*)</th>', section)[: len(found.pairs)] == [
            pair.part for pair in found.pairs
        ]
    assert "DP-09: too long collapsed: it bottoms before the bump stop is solid (by 0.50\xa0in)." in unescape(html)


def test_only_the_block_is_painted_and_the_next_answer_empties_it() -> None:
    _, done = worked(WREN)
    assert set(done) == {"regions", "problem"}
    assert set(done["regions"]) == {"dampers"}
    asked = json.dumps({"do": "rig", "name": "rig", "rig": WREN, "fields": {}, "typed": []})
    assert json.loads(bridge.call(asked))["regions"]["dampers"] == ""


def test_a_blank_rig_is_told_what_is_needed() -> None:
    parts, done = worked(rig_to_data(Rig()))
    assert parts == []
    assert "It needs front extended length." in done["regions"]["dampers"]


def test_a_rig_that_cannot_be_read_says_so() -> None:
    _, done = worked({"format": "another"})
    assert done["problem"]
