"""EN 13906-1:2013, compression springs of round wire: formulas from memory; S18, B01 and B04 are identities."""

import math

from calc.spring.coil import coil
from calc.units import LENGTH, STRESS

SOURCE = "en_13906_1"


def test_S18_its_stress_factor_is_that_of_bergstraesser(check):
    check("S18")


def test_S19_coefficient_of_the_surge_formula(check):
    check("S19")


def test_B01_its_buckling_is_that_of_shigley(check):
    """Both forms written out: Shigley's equation 10-10 with its two constants, and the row's own comparison."""
    row = check("B01")
    free, mean = row.given("free_length", LENGTH), row.given("mean_coil_diameter", LENGTH)
    shear, youngs = row.given("shear_modulus", STRESS), row.given("youngs_modulus", STRESS)
    first = youngs / (2 * (youngs - shear))
    second = 2 * math.pi**2 * (youngs - shear) / (2 * shear + youngs)
    shigley = free * first * (1 - math.sqrt(1 - second / (row.number("seating_coefficient") * free / mean) ** 2))
    found = coil(
        wire_diameter=0.008,
        mean_coil_diameter=mean,
        total_coils=10.0,
        free_length=free,
        shear_modulus=shear,
        youngs_modulus=youngs,
        support="pivots",
    ).buckling_travel
    assert math.isclose(found, shigley, abs_tol=1e-12)
    assert abs(found * 1e3 - 26.113) < 5e-4


def test_B04_sum_of_the_smallest_gaps(check):
    check("B04")
