"""Rows of data/published/ for the tests: inputs in their printed units, results compared in theirs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
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

    def _line(self, quantity: str) -> Mapping[str, Any]:
        return next(item for item in self.row["expected"] if item["quantity"] == quantity)

    def printed(self, quantity: str) -> float:
        """Return what was printed for a quantity, in its printed unit."""
        return float(self._line(quantity)["printed"])

    def tolerance(self, quantity: str) -> float:
        """Return half a unit of the last printed digit, or what the row says instead, and why."""
        line = self._line(quantity)
        if "tolerance" in line:
            assert line["because"]
            return float(line["tolerance"])
        return 0.5 * 10.0 ** int(Decimal(line["printed"]).as_tuple().exponent)

    def agrees(self, quantity: str, value: float, kind: units.Kind = units.NUMBER) -> None:
        """Assert that a result in SI is the printed one, within the tolerance of its last digit."""
        found = units.from_si(float(value), kind.unit(self._line(quantity)["unit"]))
        # A tolerance of zero means equal as printed, up to the last bits of the conversion.
        assert found == pytest.approx(self.printed(quantity), rel=1e-12, abs=self.tolerance(quantity)), quantity


@pytest.fixture
def check(request: pytest.FixtureRequest) -> Callable[[str], Row]:
    """Return the function that gives a row of the module's SOURCE by its id."""
    rows = {row["id"]: row for row in read_toml(f"published/{request.module.SOURCE}.toml")["check"]}
    return lambda name: Row(rows[name])
