"""What the rig page shows of a rig reads back as that rig, whatever it holds, in whatever units it is shown."""

from __future__ import annotations

import json
import random
from html.parser import HTMLParser

import pytest

from calc import bridge
from calc.quantity import METRIC, SHOP, Display, Quantity
from calc.rig.entries import keys
from calc.rig.file import rig_to_data, wren
from calc.rig.rig import Rig
from calc.sheet.rig import entries
from tests.conftest import long_run
from tests.property.rigs import mutated_rig


class Fields(HTMLParser):
    """The names and texts of a page's entries, as a browser would send them."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: dict[str, str] = {}
        self._choice = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if tag == "input" and found.get("type") == "text":
            self.texts[found["name"]] = found["value"]
        elif tag == "select" and "name" in found:
            self._choice = found["name"]
        elif tag == "option" and self._choice and ("selected" in found or self._choice not in self.texts):
            self.texts[self._choice] = found["value"]

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._choice = ""


def page_fields(rig: Rig, display: Display) -> dict[str, str]:
    """Return every entry of the rig page with what stands in it, the tables' cells and the choices included."""
    parser = Fields()
    parser.feed(entries.cases(rig, display) + entries.changes(rig, display) + entries.pairs(rig, display))
    return {**entries.texts(rig, display), **parser.texts}


def any_display(choose: random.Random) -> Display:
    """Return either system, with units of their own for about half of the fields and columns."""
    numbers = {**keys(), **entries.column_cells()}
    own = {
        name: choose.choice(declared.is_a.kind.units()).symbol
        for name, declared in numbers.items()
        if isinstance(declared.is_a, Quantity) and choose.random() < 0.5
    }
    return Display(choose.choice(("shop", "metric")), own)


def rig_of(choose: random.Random, number: int) -> Rig:
    return (Rig(), wren())[number] if number < 2 else mutated_rig(choose)


def read_back(rig: Rig, texts: dict[str, str], display: Display) -> Rig:
    """Return the rig with every entry typed again as it stands."""
    return entries.read_entries(rig, texts, frozenset(texts), display)[0]


@pytest.mark.parametrize("number", range(long_run(40, 3000)))
def test_what_goes_in_comes_out(number: int) -> None:
    choose = random.Random(number)
    rig = rig_of(choose, number)
    for display in (SHOP, METRIC, any_display(choose)):
        texts = page_fields(rig, display)
        assert read_back(rig, texts, display) == rig


@pytest.mark.parametrize("number", range(long_run(20, 1000)))
def test_what_goes_in_comes_out_after_a_switch_of_units(number: int) -> None:
    """Everything was typed in one system; the page turns the texts to the other, and reads them there."""
    choose = random.Random(number)
    rig = rig_of(choose, number)
    old, new = (SHOP, METRIC) if number % 2 else (METRIC, SHOP)
    texts = page_fields(rig, old)
    request = {
        "do": "convert",
        "of": "rig",
        "rig": rig_to_data(rig),
        "fields": texts,
        "units": {"system": old.system},
        "to": {"system": new.system},
    }
    turned = json.loads(bridge.call(json.dumps(request)))["values"]
    assert read_back(rig, {**texts, **turned}, new) == rig
