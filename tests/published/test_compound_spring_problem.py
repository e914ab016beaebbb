"""A compound spring of the Ryder and Rajput type: inputs read, answer computed, so an identity."""

from scipy.optimize import brentq

from calc import units
from calc.spring.coil import coil

SOURCE = "compound_spring_problem"
LENGTH = units.LENGTH


def test_D05_inner_rate_and_inner_wire(check):
    row = check("D05")
    shear_modulus = row.given("shear_modulus", units.STRESS)

    def rate(name, wire):
        return coil(
            wire_diameter=wire,
            mean_coil_diameter=row.given(f"{name}_mean_coil_diameter", LENGTH),
            total_coils=row.number(f"{name}_active_coils") + 2,
            shear_modulus=shear_modulus,
            youngs_modulus=2.6 * shear_modulus,
        ).spring_rate

    outer = rate("outer", row.given("outer_wire_diameter", LENGTH))
    travel, gap = row.given("deflection", LENGTH), row.given("inner_shorter_by", LENGTH)
    inner = (row.given("force", units.FORCE) - outer * travel) / (travel - gap)
    row.agrees("inner rate", inner, units.RATE)
    row.agrees("inner wire diameter", brentq(lambda wire: rate("inner", wire) - inner, 5e-4, 7e-3), LENGTH)
