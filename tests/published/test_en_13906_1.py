"""EN 13906-1:2013, compression springs of round wire; formulas from memory, clause list read in a catalog page."""

import math

import numpy as np

from calc import units
from calc.spring.coil import coil

SOURCE = "en_13906_1"
LENGTH, STRESS = units.LENGTH, units.STRESS


def test_S18_its_stress_factor_is_that_of_bergstraesser(check):
    """The other writing, (4w + 2)/(4w - 3), over the whole range of the index."""
    row = check("S18")
    index = np.linspace(4, 20, 161)
    found = coil(wire_diameter=0.01, mean_coil_diameter=index * 0.01, total_coils=10.0)
    row.agrees("difference", np.max(np.abs(found.stress_factor - (4 * index + 2) / (4 * index - 3))))


def test_S19_coefficient_of_the_surge_formula(check):
    """Its f = 3560 d/(n D²) sqrt(G/rho) counts in mm, N/mm² and kg/dm³."""
    row = check("S19")
    found = coil(
        wire_diameter=0.0154, mean_coil_diameter=0.0916, total_coils=11.2, shear_modulus=79.5e9, wire_density=7850.0
    )
    in_its_units = 15.4 / (found.active_coils * 91.6**2) * math.sqrt(79500 / 7.85)
    row.agrees("coefficient", found.surge_frequency / in_its_units)


def test_B01_its_buckling_is_that_of_shigley(check):
    row = check("B01")
    free, mean = row.given("free_length", LENGTH), row.given("mean_coil_diameter", LENGTH)
    shear_modulus, youngs_modulus = row.given("shear_modulus", STRESS), row.given("youngs_modulus", STRESS)
    found = coil(
        wire_diameter=0.008,
        mean_coil_diameter=mean,
        total_coils=10.0,
        free_length=free,
        shear_modulus=shear_modulus,
        youngs_modulus=youngs_modulus,
        support="pivots",
    ).buckling_travel
    # Shigley, equation 10-10, with its two constants.
    first = youngs_modulus / (2 * (youngs_modulus - shear_modulus))
    second = 2 * math.pi**2 * (youngs_modulus - shear_modulus) / (2 * shear_modulus + youngs_modulus)
    shigley = free * first * (1 - math.sqrt(1 - second / (row.number("seating_coefficient") * free / mean) ** 2))
    # EN 13906-1, clause 9.14, in the ratio of the moduli.
    ratio = shear_modulus / youngs_modulus
    inside = 1 - (1 - ratio) / (0.5 + ratio) * (math.pi * mean / (row.number("seating_coefficient") * free)) ** 2
    norm = free * 0.5 / (1 - ratio) * (1 - math.sqrt(inside))
    row.agrees("difference", shigley - norm, LENGTH)
    row.agrees("difference", found - norm, LENGTH)
    assert abs(found * 1e3 - 26.113) < 5e-4


def test_B04_sum_of_the_smallest_gaps(check):
    row = check("B04")
    found = coil(
        wire_diameter=row.given("wire_diameter", LENGTH),
        mean_coil_diameter=row.given("mean_coil_diameter", LENGTH),
        total_coils=row.number("active_coils") + 2,
    )
    row.agrees("sum of minimum gaps", found.gap_sum, LENGTH)
