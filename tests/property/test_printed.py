"""What a page, a sheet or a terminal prints for a quantity is read back in its field as the same number."""

from __future__ import annotations

import math
import random

import pytest

from calc import units
from calc.errors import ReadError, UnlikelyError
from calc.quantity import METRIC, SHOP, Display, Quantity, Table, read
from calc.rig.entries import keys
from calc.rig.readings import added_columns, reading_columns
from calc.sheet import home, quote
from calc.step import all_steps
from tests.conftest import long_run


def every_quantity() -> dict[str, Quantity]:
    """Return every quantity that is declared anywhere: of the rig, of steps and their tables, of the other pages."""
    declared = {f"rig {key}": each for key, each in keys().items()}
    declared |= {f"home {key}": each for key, each in home.declared().items()}
    declared |= {f"quote {key}": each for key, each in quote.declared().items()}
    declared |= {f"prove {key}": each for key, each in {**reading_columns(), **added_columns()}.items()}
    for step in all_steps():
        declared |= {f"{step.name} {key}": each for key, each in {**step.inputs, **step.results}.items()}
    for name, each in list(declared.items()):
        if isinstance(each.is_a, Table):
            declared |= {f"{name} {column}": cell for column, cell in each.is_a.columns().items()}
    return {name: each.is_a for name, each in declared.items() if isinstance(each.is_a, Quantity)}


QUANTITIES = every_quantity()


def values(quantity: Quantity, choose: random.Random) -> list[float]:
    """Return some values that are allowed: near what is typical, anywhere, and of any size."""
    found = []
    most = max(abs(quantity.low), abs(quantity.high))
    for _ in range(long_run(2, 400)):
        size = math.exp(choose.uniform(math.log(most * 1e-6), math.log(most)))
        found += [
            quantity.typical * choose.uniform(0.5, 2.0),
            choose.uniform(quantity.low, quantity.high),
            choose.choice((-1.0, 1.0)) * size,
        ]
    return [value for value in found if quantity.accepts(value)]


def printed(text: str) -> tuple[float, float]:
    """Return the number in a printed text, without any of the handbook's reading, and half of its last digit."""
    number = "".join(sign for sign in text.split(units.NO_BREAK)[0] if sign in "0123456789.\u2212-").replace(
        "\u2212", "-"
    )
    return float(number), 0.5 * 10.0 ** -len(number.partition(".")[2])


@pytest.mark.parametrize("display", [SHOP, METRIC], ids=["shop", "metric"])
def test_every_printed_quantity_reads_back(display: Display) -> None:
    assert len(QUANTITIES) > 500
    choose = random.Random(8)
    read_back = 0
    for name, quantity in QUANTITIES.items():
        unit = display.unit(quantity)
        for value in values(quantity, choose):
            if quantity.barely(value):
                continue  # told as under a value, which is no number: see below
            text = display.text(value, quantity)
            number, half = printed(text)
            assert abs(number - units.from_si(value, unit)) <= half * (1 + 1e-6) + 1e-9 * abs(number), (name, text)
            if not quantity.accepts(units.to_si(number, unit)):
                continue  # rounded past a limit: refused, as a number that is typed so
            read_back += 1
            # As it stands on the page, and in a terminal, whose spaces are plain.
            for written in (text, text.replace(units.NO_BREAK, " ")):
                assert read(written, quantity, "f", display) == units.to_si(number, unit), (name, written)
                other = METRIC if display is SHOP else SHOP
                assert read(written, quantity, "f", other) == units.to_si(number, unit) or not unit.symbol, (
                    name,
                    written,
                )
    assert read_back > 1000


def read_or_asked(text: str, quantity: Quantity, display: Display) -> float | str:
    """Return what a text is read as, or the sentence that asks what is meant."""
    try:
        return read(text, quantity, "f", display)
    except (ReadError, UnlikelyError) as error:
        return error.problem


@pytest.mark.parametrize("display", [SHOP, METRIC], ids=["shop", "metric"])
def test_a_printed_number_without_its_unit_is_never_read_as_another(display: Display) -> None:
    """Without a unit, and where zeros behind the point are left out, a number may be asked back, naming what it may be."""
    choose = random.Random(9)
    asked = read_back = 0
    for name, quantity in QUANTITIES.items():
        unit = display.unit(quantity)
        for value in values(quantity, choose):
            if quantity.barely(value):
                continue
            for text in (
                display.number(value, quantity),
                display.plain(value, quantity),
                display.entry(value, quantity),
            ):
                number, _ = printed(text)
                if not quantity.accepts(units.to_si(number, unit)):
                    continue
                found = read_or_asked(text, quantity, display)
                if isinstance(found, str):
                    assert "what is usual" in found or f"{number:.0f} or " in found, (name, text, found)
                    asked += 1
                else:
                    assert found == units.to_si(number, unit), (name, text)
                    read_back += 1
    assert 0 < asked < 0.25 * read_back


@pytest.mark.parametrize("display", [SHOP, METRIC], ids=["shop", "metric"])
def test_what_is_told_as_under_a_value_is_asked_back_and_never_taken_for_the_value(display: Display) -> None:
    told_so = {name: quantity for name, quantity in QUANTITIES.items() if quantity.least_told}
    assert told_so
    for name, quantity in told_so.items():
        text = display.text(0.5 * quantity.least_told, quantity)
        assert text.startswith("under "), name
        assert "is not a number" in str(read_or_asked(text, quantity, display)), name
