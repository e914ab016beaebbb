"""NCEES FE Reference Handbook, wire strength: an arithmetic check, its MPa constants being lower than the ksi ones."""

from calc import units
from calc.spring.coil import wire_strength

SOURCE = "fe_reference_handbook"


def test_W04_strength_of_music_wire(check):
    row = check("W04")
    number, _ = units.split_number(row.text("constant"))
    exponent = row.number("exponent")
    in_ksi = units.from_si(units.to_si(number, units.STRESS.unit("MPa")), units.STRESS.unit("ksi")) * 25.4**-exponent
    found = wire_strength(wire_diameter=row.given("wire_diameter", units.LENGTH), constant=in_ksi, exponent=exponent)
    row.agrees("tensile strength", found, units.STRESS)
