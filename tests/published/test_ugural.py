"""Ugural, machine design, Table 14.2 and example 14.2: secondary; W10 and W13 are identities of its table."""

from calc.spring.coil import WIRES

SOURCE = "ugural"


def test_W10_strength_of_chrome_silicon_wire(check):
    row = check("W10")
    assert row.text("constant") == f"{WIRES['A401'].constant:g} ksi·in^m"
    assert row.number("exponent") == WIRES["A401"].exponent


def test_W13_the_other_column_of_the_table_does_not_convert(check):
    """The handbook carries the ksi column, which is the one that fits the minimum tables."""
    row = check("W13")
    ours = [WIRES[name] for name in ("A227", "A228", "A229", "A232", "A401")]
    assert row.numbers("constants_ksi") == tuple(wire.constant for wire in ours)
    assert row.numbers("exponents") == tuple(wire.exponent for wire in ours)


def test_S08_load_of_a_small_spring(check):
    """It takes 1 + 0.615/C, which is Wahl's factor less that of the curvature."""
    check("S08")
