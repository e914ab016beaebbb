"""ASTM A228 and A227, wire strength: secondary, the minimum tables as a wire supplier's table prints them.

The constants set against them are those of Ugural, Table 14.2, in their ksi form (W06, W11: identities, nobody prints how far they lie off) and Shigley (W09, whose exponent is from memory).
"""

import pytest

from calc.desk.validation.coil_rows import minimum_table
from calc.spring.coil import WIRES

SOURCE = "astm_wire"


@pytest.mark.parametrize(("name", "wire", "sizes"), [("W06", "A228", 11), ("W11", "A227", 9)])
def test_W06_and_W11_the_constants_of_the_handbook_fit_the_minimum_tables(check, name, wire, sizes):
    row = check(name)
    assert row.text("constant") == f"{WIRES[wire].constant:g} ksi·in^m"
    assert row.number("exponent") == WIRES[wire].exponent
    assert len(minimum_table(row)) == sizes


def test_W09_hard_drawn_wire_of_a_quarter_inch(check):
    check("W09")
