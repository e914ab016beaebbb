"""Rows of data/published/ for the tests: inputs in their printed units, results compared in theirs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from calc import units
from calc.tables import read_toml


class Row:
    """One published check: what goes in, and what was printed."""

    def __init__(self, row: Mapping[str, Any]) -> None:
        self.row = row

    def text(self, name: str) -> str:
        """Return an input as it is printed."""
        return str(self.row["inputs"][name])

    def number(self, name: str) -> float:
        """Return an input that has no unit."""
        return units.parse_number(self.text(name))

    def given(self, name: str, kind: units.Kind) -> float:
        """Return an input in SI, through the handbook's own units."""
        number, unit = units.split_number(self.text(name))
        return units.to_si(number, kind.unit(unit))

    def printed(self, quantity: str) -> Mapping[str, Any]:
        """Return what was printed for a quantity: value, unit and tolerance."""
        return next(item for item in self.row["expected"] if item["quantity"] == quantity)

    def agrees(self, quantity: str, value: float, kind: units.Kind = units.NUMBER) -> None:
        """Assert that a result in SI is the printed one, within the tolerance of its last digit."""
        printed = self.printed(quantity)
        found = units.from_si(float(value), kind.unit(printed["unit"]))
        # A tolerance of zero means equal as printed, up to the last bits of the conversion.
        assert found == pytest.approx(printed["value"], rel=1e-12, abs=printed["tolerance"]), quantity


@pytest.fixture
def check(request: pytest.FixtureRequest) -> Callable[[str], Row]:
    """Return the function that gives a row of the module's SOURCE by its id."""
    rows = {row["id"]: row for row in read_toml(f"published/{request.module.SOURCE}.toml")["check"]}
    return lambda name: Row(rows[name])
