"""Ugural, Table 14.2 and example 14.2: read in secondary sources; W10 and W13 are identities of its table."""

from calc import units
from calc.spring.coil import WIRES, coil, wire_strength

SOURCE = "ugural"
STRESS = units.STRESS


def test_W10_strength_of_chrome_silicon_wire(check):
    row = check("W10")
    wire = WIRES["A401"]
    assert row.text("constant") == f"{wire.constant:g} ksi·in^m"
    assert row.number("exponent") == wire.exponent
    found = wire_strength(
        wire_diameter=row.given("wire_diameter", units.LENGTH), constant=wire.constant, exponent=wire.exponent
    )
    row.agrees("tensile strength", found, STRESS)


def test_W13_the_other_column_of_the_table_does_not_convert(check):
    row = check("W13")
    for name, other, constant, exponent in zip(
        ("A227", "A228", "A229", "A232", "A401"),
        *(row.text(column).split("; ") for column in ("constants_MPa", "constants_ksi", "exponents")),
        strict=True,
    ):
        assert (WIRES[name].constant, WIRES[name].exponent) == (float(constant), float(exponent))
        ours = wire_strength(wire_diameter=0.001, constant=float(constant), exponent=float(exponent))
        row.agrees(name, units.to_si(float(other), STRESS.unit("MPa")) / ours)


def test_S08_load_of_a_small_spring(check):
    """It takes 1 + 0.615/C, which is Wahl's factor less that of the curvature."""
    row = check("S08")
    wire, mean = (row.given(name, units.LENGTH) for name in ("wire_diameter", "mean_coil_diameter"))
    found = coil(wire_diameter=wire, mean_coil_diameter=mean, total_coils=10.0, spring_force=1.0)
    index = found.spring_index
    factor = 1 + found.wahl_factor - (4 * index - 1) / (4 * index - 4)
    row.agrees("factor", factor)
    stress_of_one_newton = found.stress / found.stress_factor * factor
    row.agrees("load", row.given("shear_stress", STRESS) / stress_of_one_newton, units.FORCE)
