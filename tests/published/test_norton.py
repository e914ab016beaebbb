"""Norton, Table 13-4, against the ASTM minimum tables: constants read in a secondary source, its number from memory."""

import csv

import pytest

from calc import units
from calc.spring.coil import wire_strength
from calc.tables import DATA

SOURCE = "norton"


@pytest.mark.parametrize(("name", "wire", "kind"), [("W07", "A228", ""), ("W12", "A227", "I")])
def test_W07_and_W12_its_constants_fit_the_minimum_tables(check, name, wire, kind):
    row = check(name)
    number, _ = units.split_number(row.text("constant"))
    exponent = row.number("exponent")
    in_ksi = units.from_si(units.to_si(number, units.STRESS.unit("MPa")), units.STRESS.unit("ksi")) * 25.4**-exponent
    with (DATA / "materials" / "wire_strength_tables.csv").open(encoding="utf-8", newline="") as file:
        table = [line for line in csv.DictReader(file) if (line["wire"], line["class"]) == (wire, kind)]
    assert len(table) >= 9
    deviations = [
        wire_strength(wire_diameter=float(line["diameter_in"]) * units.INCH, constant=in_ksi, exponent=exponent)
        / units.to_si(float(line["minimum_ksi"]), units.STRESS.unit("ksi"))
        - 1
        for line in table
    ]
    row.agrees("deviation", max(abs(deviation) for deviation in deviations))
