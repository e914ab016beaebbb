"""Haringx's buckling formula, evaluated: an identity, the formula from memory."""

import math

from calc.spring.coil import coil
from calc.units import STRESS

SOURCE = "haringx"


def test_B03_deflection_where_the_root_is_that_of_three_quarters(check):
    row = check("B03")
    moduli = {name: row.given(name, STRESS) for name in ("shear_modulus", "youngs_modulus")}
    stable = coil(
        wire_diameter=0.01, mean_coil_diameter=0.1, total_coils=10.0, support="pivots", **moduli
    ).stable_length
    # The printed slenderness is rounded.
    assert math.isclose(2 * stable / 0.1, row.number("slenderness"), abs_tol=0.02)
