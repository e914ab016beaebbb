"""Bhandari, Design of Machine Elements, chapter 10: output of the book's computed companion, a secondary source."""

import math

import pytest
from scipy.optimize import brentq

from calc import units
from calc.spring._stack_curve import StackCurve
from calc.spring.coil import coil

SOURCE = "bhandari"
LENGTH, STRESS, FORCE = units.LENGTH, units.STRESS, units.FORCE


def test_S10_wire_coils_and_free_length(check):
    row = check("S10")
    load, index = row.given("force", FORCE), row.number("spring_index")
    shear_modulus = row.given("shear_modulus", STRESS)
    wanted = row.number("shear_stress_share") * row.given("tensile_strength", STRESS)

    def wound(wire, active=8.0):
        return coil(
            wire_diameter=wire,
            mean_coil_diameter=index * wire,
            total_coils=active + 2,
            shear_modulus=shear_modulus,
            youngs_modulus=2.6 * shear_modulus,
            spring_force=load,
        )

    def short(wire):
        # The book takes Wahl's factor where the handbook takes Bergsträsser's.
        found = wound(wire)
        return found.stress * found.wahl_factor / found.stress_factor - wanted

    row.agrees("wire diameter", brentq(short, 0.002, 0.02, xtol=1e-15), LENGTH)
    used = row.given("wire_diameter_used", LENGTH)
    eight = wound(used)
    rate = load / row.given("deflection", LENGTH)
    row.agrees("active coils", eight.spring_rate * eight.active_coils / rate)
    gaps = (8 + 2 - 1) * row.given("gap_between_coils", LENGTH)
    row.agrees("free length", eight.solid_length + load / eight.spring_rate + gaps, LENGTH)


def test_S12_active_coils_for_an_energy(check):
    row = check("S12")
    wire = row.given("wire_diameter", LENGTH)
    shear_modulus = row.given("shear_modulus", STRESS)
    first, second = (row.given(name, LENGTH) for name in ("first_compression", "second_compression"))

    def stored(active):
        rate = coil(
            wire_diameter=wire,
            mean_coil_diameter=row.number("spring_index") * wire,
            total_coils=active + 2,
            shear_modulus=shear_modulus,
            youngs_modulus=2.6 * shear_modulus,
        ).spring_rate
        curve = StackCurve(main_rate=rate, preload=first)
        return float(curve.energy(second - first))

    energy = row.given("energy", units.ENERGY)
    row.agrees("active coils", brentq(lambda active: stored(active) - energy, 2.0, 60.0, xtol=1e-13))


def test_D01_two_nested_springs_one_of_them_shorter(check):
    """Side by side the second joins after a gap: the same two straight lines as a stack with a ring.

    A stack whose series rate is the outer spring's and whose main has both rates together has that force.
    """
    row = check("D01")
    shear_modulus = row.given("shear_modulus", STRESS)
    outer, inner = (
        coil(
            wire_diameter=row.given(f"{name}_wire_diameter", LENGTH),
            mean_coil_diameter=row.given(f"{name}_mean_coil_diameter", LENGTH),
            total_coils=row.number(f"{name}_active_coils") + 2,
            shear_modulus=shear_modulus,
            youngs_modulus=2.6 * shear_modulus,
        ).spring_rate
        for name in ("outer", "inner")
    )
    both = outer + inner
    tender = 1 / (1 / outer - 1 / both)
    joins = row.given("inner_shorter_by", LENGTH)
    curve = StackCurve(tender_rate=tender, main_rate=both, preload=0.0, ring_gap=joins * both / (tender + both))
    assert float(curve.crossover_travel) == pytest.approx(joins)
    travel = float(curve.travel_at(row.given("force", FORCE)))
    row.agrees("outer compression", travel, LENGTH)
    row.agrees("inner compression", travel - joins, LENGTH)
    row.agrees("outer force", outer * travel, FORCE)
    row.agrees("inner force", inner * (travel - joins), FORCE)
    assert math.isclose(float(curve.force(travel)), 1000.0, rel_tol=1e-12)
