"""Two orders side by side: every number is that of its own order, and what is the same is not told as different."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from pathlib import Path

import pytest

from calc import terminal
from calc.answers.compare import compared, compared_text
from calc.answers.order_data import data_of
from calc.order.order import order
from calc.quantity import METRIC, SHOP
from calc.rig.compare import with_set
from calc.rig.file import wren, write_rig
from calc.rig.rig import Entry, Rig
from calc.tables import assortment_springs
from tests.whole.wrens_order import wrens_order

SPRINGS = assortment_springs()
MADE = wrens_order()


def stiffer() -> Rig:
    rig = replace(wren(), name="Wren on stiffer tires")
    return replace(rig, values={**rig.values, "front.tire_rate": Entry(value=320e3)})


def test_a_rig_beside_itself_differs_in_nothing() -> None:
    found = compared(MADE, order(wren(), SPRINGS), ("a", "b"))
    assert found.entries == ()
    assert found.different(SHOP) == ()
    assert len(found.answers) > 40
    assert "Nothing." in compared_text(found)


def test_entries_and_answers_are_those_of_the_two_orders() -> None:
    other = order(stiffer(), SPRINGS)
    found = compared(MADE, other, ("a", "b"))
    assert [(row.what, row.here, row.there) for row in found.entries] == [("front tire rate", 260e3, 320e3)]
    rows = {row.what: row for row in found.answers}
    here, there = data_of(MADE), data_of(other)
    for axle in ("front", "rear"):
        sets = [one["axles"][axle]["chosen"] for one in (here, there)]
        assert (rows[f"{axle} main, part"].here, rows[f"{axle} main, part"].there) == (sets[0]["main"], sets[1]["main"])
        assert rows[f"{axle} main left before it binds"].change == pytest.approx(
            sets[1]["main_left"] - sets[0]["main_left"]
        )
    corners = [one["at_rest"]["cases"][1]["corners"][0] for one in (here, there)]
    assert rows["Left front: tire"].change == pytest.approx(corners[1]["tire_mass"] - corners[0]["tire_mass"])


def test_two_sets_of_one_axle_differ_in_that_axle() -> None:
    choice = MADE.axles[0].choice
    assert choice is not None
    second = choice.ranked[1]
    found = compared(MADE, order(with_set(wren(), "front", second, SPRINGS), SPRINGS), ("first", "second"))
    rows = {row.what: row for row in found.answers}
    assert rows["front tender, part"].there == SPRINGS.part[second.tender or 0]
    assert rows["front main left before it binds"].there == pytest.approx(second.main_left)
    assert rows["rear tender, part"].same(SHOP)


@pytest.mark.parametrize("display", [SHOP, METRIC], ids=["shop", "metric"])
def test_the_text_fits_eighty_columns(display: object) -> None:
    found = compared(MADE, order(stiffer(), SPRINGS), ("Wren", "Wren on stiffer tires"))
    text = compared_text(found, METRIC if display is METRIC else SHOP)
    assert max(map(len, text.splitlines())) <= 80


def test_an_unfinished_rig_has_dashes_and_no_fault() -> None:
    found = compared(MADE, order(Rig(), SPRINGS), ("a", "b"))
    assert all(row.there is None or "check" in row.what for row in found.answers)
    assert "–" in compared_text(found)


def test_the_terminal_compares_two_files(tmp_path: Path) -> None:
    paths = []
    for name, rig in (("one", wren()), ("two", stiffer())):
        path = tmp_path / f"{name}.json"
        path.write_text(write_rig(rig), "utf-8")
        paths.append(str(path))
    out = io.StringIO()
    assert terminal.command("compare", [*paths, "--json"], io.StringIO(), out) == 0
    found = json.loads(out.getvalue())
    assert found["names"] == ["Wren", "Wren on stiffer tires"]
    assert found["entries"] == [{"what": "front tire rate", "here": 260e3, "there": 320e3, "change": 60e3}]
    assert terminal.command("compare", [paths[0]], io.StringIO(), io.StringIO()) == 2
