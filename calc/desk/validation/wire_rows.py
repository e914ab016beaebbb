"""Strength of wire."""

from __future__ import annotations

import csv
from collections.abc import Callable

from calc import units
from calc.desk.validation.rows import STRENGTH_CONSTANT, Answers, Row
from calc.spring.coil import WIRES, wire_strength
from calc.tables import DATA
from calc.units import LENGTH, NUMBER, RATIO, SHARE, STRESS


def strength(row: Row, diameter: float) -> float:
    """Return the strength A / d^m of a row, whichever units its constant is printed in."""
    known = "constant" if "constant" in row.inputs else "strength_constant"
    number, unit = units.split_number(row.text(known))
    exponent = row.number(known.replace("constant", "exponent"))
    stress, _, length = unit.partition("·")
    # A in MPa·mm^m is the strength of a wire of 1 mm; in ksi·in^m that of a wire of 1 in.
    of_an_inch = number if length == "in^m" else number * 25.4**-exponent
    in_ksi = units.from_si(units.to_si(of_an_inch, STRESS.unit(stress)), STRESS.unit("ksi"))
    return float(wire_strength(wire_diameter=diameter, constant=in_ksi, exponent=exponent))


def tensile_strength(row: Row) -> Answers:
    """W01, W04, W09, W10: the strength of one wire."""
    return {"tensile strength": (strength(row, row.given("wire_diameter", LENGTH)), STRESS)}


def strength_constant(row: Row) -> Answers:
    """W03: a constant in other units is the strength of a wire of one millimeter."""
    return {"constant": (strength(row, 1e-3), STRENGTH_CONSTANT)}


def strength_over_minimum(row: Row) -> Answers:
    """W08: how far the constants exceed the minimum of thick wire."""
    over = strength(row, row.given("wire_diameter", LENGTH)) / row.given("minimum", STRESS) - 1
    return {"fraction": (over, NUMBER)}


def minimum_table(row: Row) -> list[tuple[float, float]]:
    """Return the diameters and least strengths, in SI, of the table that a row names."""
    file, _, which = row.text("table").partition(", ")
    wire, _, kind = which.partition(" class ")
    with (DATA / file).open(encoding="utf-8", newline="") as opened:
        lines = [line for line in csv.DictReader(opened) if (line["wire"], line["class"]) == (wire, kind)]
    inch, ksi = LENGTH.unit("in"), STRESS.unit("ksi")
    return [
        (units.to_si(float(line["diameter_in"]), inch), units.to_si(float(line["minimum_ksi"]), ksi)) for line in lines
    ]


def fit_of_a_table(row: Row) -> Answers:
    """W06, W07, W11, W12: the largest relative deviation of the constants from a table of least strengths."""
    off = (abs(strength(row, diameter) / least - 1) for diameter, least in minimum_table(row))
    return {"deviation": (max(off), SHARE)}


def columns_that_do_not_convert(row: Row) -> Answers:
    """W13: the constants in MPa over ours in ksi, which are those of the same table."""
    ratios = {}
    for name, constant in zip(("A227", "A228", "A229", "A232", "A401"), row.numbers("constants_MPa"), strict=True):
        ours = wire_strength(wire_diameter=1e-3, constant=WIRES[name].constant, exponent=WIRES[name].exponent)
        ratios[name] = (units.to_si(constant, STRESS.unit("MPa")) / ours, RATIO)
    return ratios


WORK: dict[str, Callable[[Row], Answers]] = {
    **dict.fromkeys(("W01", "W04", "W09", "W10"), tensile_strength),
    **dict.fromkeys(("W06", "W07", "W11", "W12"), fit_of_a_table),
    "W03": strength_constant,
    "W08": strength_over_minimum,
    "W13": columns_that_do_not_convert,
}
