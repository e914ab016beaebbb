"""ASTM A228 and A227 minimum strengths, read on a wire supplier's page: the handbook's own constants against them."""

import csv

import pytest

from calc import units
from calc.spring.coil import WIRES, wire_strength
from calc.tables import DATA

SOURCE = "astm_wire"
KSI = units.STRESS.unit("ksi")


@pytest.mark.parametrize(("name", "wire", "kind", "sizes"), [("W06", "A228", "", 11), ("W11", "A227", "I", 9)])
def test_W06_and_W11_the_constants_fit_the_minimum_tables(check, name, wire, kind, sizes):
    row = check(name)
    ours = WIRES[wire]
    assert row.text("constant") == f"{ours.constant:g} ksi·in^m"
    assert row.number("exponent") == ours.exponent
    with (DATA / "materials" / "wire_strength_tables.csv").open(encoding="utf-8", newline="") as file:
        table = [line for line in csv.DictReader(file) if (line["wire"], line["class"]) == (wire, kind)]
    assert len(table) == sizes
    deviations = [
        wire_strength(
            wire_diameter=float(line["diameter_in"]) * units.INCH, constant=ours.constant, exponent=ours.exponent
        )
        / units.to_si(float(line["minimum_ksi"]), KSI)
        - 1
        for line in table
    ]
    row.agrees("deviation", max(abs(deviation) for deviation in deviations))


def test_W09_hard_drawn_wire_of_a_quarter_inch(check):
    """The exponent is from memory."""
    row = check("W09")
    number, _ = units.split_number(row.text("constant"))
    found = wire_strength(
        wire_diameter=row.given("wire_diameter", units.LENGTH), constant=number, exponent=row.number("exponent")
    )
    row.agrees("tensile strength", found, units.STRESS)
