"""The drawing of the house is that of the imports."""

from __future__ import annotations

from calc.desk import house


def test_the_guide_holds_todays_drawing():
    guide = house.GUIDE.read_text(encoding="utf-8")
    assert house.drawn_into(guide, house.drawing()) == guide, "run `python3 -m calc house --write`"


def test_what_is_drawn_reaches_all_that_is_needed():
    needs = house.needed()
    below = {}
    for room in reversed(needs):
        lowers = house.direct(room, needs)
        below[room] = set(lowers).union(*(below[lower] for lower in lowers))
        assert below[room] >= set(needs[room])
    assert {"step", "units", "errors"} <= below["desk"]
    assert not below["errors"]
