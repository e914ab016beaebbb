"""The coil's rate by the energy of its twisted wire, its surge by a chain of masses, its buckling coded twice."""

import csv
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.linalg import eigh_tridiagonal

from calc.spring.coil import WIRES, coil
from calc.tables import DATA

wires = st.floats(0.006, 0.02)
indexes = st.floats(3.0, 15.0)
counts = st.floats(4.0, 20.0)


@given(wires, indexes, counts, st.floats(75e9, 82e9))
def test_rate_is_that_of_a_wire_twisted_along_its_length(wire, index, total, shear_modulus):
    """Castigliano: the travel is the integral of T²/(GJ) over the wire, T = F D/2, by quadrature."""
    mean = wire * index
    found = coil(wire_diameter=wire, mean_coil_diameter=mean, total_coils=total, shear_modulus=shear_modulus)
    polar = math.pi * wire**4 / 32
    per_force, _ = quad(lambda _: (mean / 2) ** 2 / (shear_modulus * polar) * mean / 2, 0, 2 * math.pi * (total - 2))
    assert found.spring_rate == pytest.approx(1 / per_force, rel=1e-9)


def test_surge_is_the_first_frequency_of_a_chain_of_masses():
    """200 masses between two fixed ends; the chain's frequency lies within 1e-4 of the continuous one."""
    found = coil(wire_diameter=0.0154, mean_coil_diameter=0.0916, total_coils=11.2)
    pieces = 200
    mass, rate = found.spring_mass / pieces, found.spring_rate * pieces
    square = eigh_tridiagonal(
        np.full(pieces - 1, 2 * rate / mass),
        np.full(pieces - 2, -rate / mass),
        eigvals_only=True,
        select="i",
        select_range=(0, 0),
    )[0]
    assert found.surge_frequency == pytest.approx(math.sqrt(square) / (2 * math.pi), rel=1e-4)


@given(
    wires, st.floats(4.0, 8.0), st.floats(0.5, 1.5), st.floats(2.4, 2.8), st.sampled_from(["flat", "divider", "pivots"])
)
def test_buckling_is_that_of_two_other_ways_to_write_it(wire, index, length, ratio, support):
    """EN 13906-1 from memory, with its slenderness and seating coefficient, written on its own."""
    mean, shear_modulus = wire * index, 79.5e9
    youngs_modulus = ratio * shear_modulus
    found = coil(
        wire_diameter=wire,
        mean_coil_diameter=mean,
        total_coils=6.0,
        shear_modulus=shear_modulus,
        youngs_modulus=youngs_modulus,
        free_length=length,
        support=support,
    )
    seating = {"flat": 0.5, "divider": 0.707, "pivots": 1.0}[support]
    g_e = shear_modulus / youngs_modulus
    inside = 1 - (1 - g_e) / (0.5 + g_e) * (math.pi * mean / (seating * length)) ** 2
    if inside < 0:
        assert found.buckling_travel is None
    else:
        assert found.buckling_travel == pytest.approx(length * 0.5 / (1 - g_e) * (1 - math.sqrt(inside)), rel=1e-9)


@given(wires, indexes, counts)
def test_stress_factors_lie_close_together_and_fall_with_the_index(wire, index, total):
    found = coil(wire_diameter=wire, mean_coil_diameter=wire * index, total_coils=total)
    wider = coil(wire_diameter=wire, mean_coil_diameter=wire * (index + 1), total_coils=total)
    assert 1 < found.direct_factor < found.stress_factor
    assert abs(found.wahl_factor / found.stress_factor - 1) < 0.025
    assert wider.stress_factor < found.stress_factor


def test_the_wire_data_are_those_of_the_data_files():
    with (DATA / "materials" / "wire_strength.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["source"] == "ugural"]
    told = {row["wire"]: (float(row["constant"]), float(row["exponent"])) for row in rows}
    assert {name: (wire.constant, wire.exponent) for name, wire in WIRES.items()} == told
    with (DATA / "materials" / "wire_diameter_range.csv").open(encoding="utf-8", newline="") as file:
        spans = {row["wire"]: (row["diameter_min_mm"], row["diameter_max_mm"]) for row in csv.DictReader(file)}
    for name, wire in WIRES.items():
        assert wire.thinnest * 1e3 == pytest.approx(float(spans[name][0]))
        assert wire.thickest * 1e3 == pytest.approx(float(spans[name][1]))
