"""Haringx's buckling formula, evaluated: an identity, from memory."""

import math

from scipy.optimize import minimize_scalar

from calc import units
from calc.spring.coil import coil

SOURCE = "haringx"


def test_B03_deflection_where_the_root_is_that_of_three_quarters(check):
    """The slenderness whose formula has a quarter under the difference, between two seats that tilt."""
    row = check("B03")
    mean, slenderness = 0.1, row.number("slenderness")
    moduli = {name: row.given(name, units.STRESS) for name in ("shear_modulus", "youngs_modulus")}

    def wound(length):
        return coil(
            wire_diameter=0.01,
            mean_coil_diameter=mean,
            total_coils=10.0,
            free_length=length,
            support="pivots",
            **moduli,
        )

    # The printed slenderness is rounded, so the place is looked for beside it.
    place = minimize_scalar(
        lambda length: (1 - (wound(length).stable_length / length) ** 2 - 0.75) ** 2,
        bounds=(0.9 * slenderness * mean, 1.1 * slenderness * mean),
        method="bounded",
        options={"xatol": 1e-12},
    ).x
    assert math.isclose(place / mean, slenderness, abs_tol=0.02)
    row.agrees("ratio", wound(place).buckling_travel / place)
