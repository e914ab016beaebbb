"""What a row of data/published says beyond its printed answers: the same by another road, and what its inputs are."""

import math

import pytest
from CoolProp.CoolProp import PropsSI

from calc import units
from calc.damper.gas import gas
from calc.desk.validation import Row, all_rows, find_row, work
from calc.desk.validation.wire_rows import minimum_table
from calc.spring.coil import WIRES, coil
from calc.units import AREA, FORCE, LENGTH, PRESSURE, RATE, STRESS, VOLUME, from_si, split_number, to_si

AIR = 101325.0


@pytest.mark.parametrize(("name", "wire", "sizes"), [("W06", "A228", 11), ("W11", "A227", 9)])
def test_the_constants_of_the_handbook_fit_the_minimum_tables(name, wire, sizes):
    row = find_row("astm_wire", name)
    assert row.text("constant") == f"{WIRES[wire].constant:g} ksi·in^m"
    assert row.number("exponent") == WIRES[wire].exponent
    assert len(minimum_table(row)) == sizes


@pytest.mark.parametrize(("name", "sizes"), [("W07", 11), ("W12", 9)])
def test_nortons_constants_fit_the_minimum_tables(name, sizes):
    assert len(minimum_table(find_row("norton", name))) == sizes


def test_the_constants_of_chrome_silicon_wire_are_those_of_the_handbook():
    row = find_row("ugural", "W10")
    assert row.text("constant") == f"{WIRES['A401'].constant:g} ksi·in^m"
    assert row.number("exponent") == WIRES["A401"].exponent


def test_the_handbook_carries_the_column_of_ugurals_table_that_fits_the_minimum_tables():
    row = find_row("ugural", "W13")
    ours = [WIRES[name] for name in ("A227", "A228", "A229", "A232", "A401")]
    assert row.numbers("constants_ksi") == tuple(wire.constant for wire in ours)
    assert row.numbers("exponents") == tuple(wire.exponent for wire in ours)


def test_nitrogen_is_nearly_ideal_and_has_the_exponent_of_the_step():
    """CoolProp is run here, in tests only: its own values first, then how near an exponent of 1.4 is to them."""
    row = find_row("coolprop", "G08")
    pressure = row.given("pressure", units.PRESSURE)
    temperature = row.given("temperature", units.TEMPERATURE)
    constant = PropsSI("gas_constant", "Nitrogen") / PropsSI("molar_mass", "Nitrogen") / 1e3
    heats = PropsSI("Cpmass", "T", 300, "P", AIR, "Nitrogen") / PropsSI("Cvmass", "T", 300, "P", AIR, "Nitrogen")
    theirs = {
        "compressibility": PropsSI("Z", "T", temperature, "P", pressure, "Nitrogen"),
        "gas constant": constant,
        "ratio of specific heats": heats,
    }
    assert {printed.quantity for printed in row.expected} == set(theirs)
    for printed in row.expected:
        assert theirs[printed.quantity] == pytest.approx(printed.value, abs=printed.tolerance)
    found = gas(gas_pressure=1e6, gas_volume=3e-4, rod_diameter=0.02, ride_travel=0.1, gas_process="in motion")
    assert found.gas_exponent == pytest.approx(heats, abs=2e-3)


def test_real_nitrogen_that_warms_up_gives_half_a_percent_more():
    row = find_row("coolprop", "G09")
    cold, warm = (row.given(name, units.TEMPERATURE) for name in ("temperature", "temperature_after"))
    density = PropsSI("D", "T", cold, "P", row.given("pressure", units.PRESSURE), "Nitrogen")
    real = PropsSI("P", "T", warm, "D", density, "Nitrogen")
    assert real == pytest.approx(1.7622e6, rel=1e-4)
    assert real / 1e6 == pytest.approx(row.printed("pressure").value, rel=6e-3)


def test_buckling_after_en_13906_is_that_of_shigley():
    """Shigley's equation 10-10 with its two constants, written out."""
    row = find_row("en_13906_1", "B01")
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


def test_the_slenderness_of_haringx_is_that_of_absolute_stability():
    row = find_row("haringx", "B03")
    moduli = {name: row.given(name, STRESS) for name in ("shear_modulus", "youngs_modulus")}
    stable = coil(
        wire_diameter=0.01, mean_coil_diameter=0.1, total_coils=10.0, support="pivots", **moduli
    ).stable_length
    # The printed slenderness is rounded.
    assert math.isclose(2 * stable / 0.1, row.number("slenderness"), abs_tol=0.02)


def test_the_wheel_rate_of_a_leaning_spring_is_the_difference_of_its_upward_force():
    """From the force alone, as the wheel rises and falls by a hundredth of a millimeter."""
    row = find_row("identities", "M01")
    across, upright = 0.150, 0.500
    assert row.text("lower_mount") == "150 mm, 0 mm"
    assert row.text("upper_mount") == "0 mm, 500 mm"
    rate, force, at_rest = row.given("spring_rate", RATE), row.given("static_force", FORCE), math.hypot(0.150, 0.500)

    def upward(travel: float) -> float:
        length = math.hypot(upright - travel, across)
        return (force + rate * (at_rest - length)) * (upright - travel) / length

    step = 1e-5
    printed = row.printed("wheel rate")
    assert (upward(step) - upward(-step)) / (2 * step) / 1e3 == pytest.approx(printed.value, abs=printed.tolerance)


def test_in_a_fast_stroke_the_gas_rate_is_1_4_times_that_of_a_slow_one():
    row = find_row("identities", "G07")
    corner = {
        "gas_pressure": row.given("absolute_pressure", PRESSURE) - AIR,
        "gas_volume": row.given("gas_volume", VOLUME),
        "rod_diameter": math.sqrt(4 * row.given("rod_area", AREA) / math.pi),
        "ride_travel": 0.0,
    }
    slow, fast = (gas(**corner, gas_process=process).gas_rate for process in ("slow", "in motion"))
    assert fast == pytest.approx(1.4 * slow)


FACTORS = [row for row in all_rows() if row.file == "nist_sp811" and "value" in row.inputs]


@pytest.mark.parametrize("row", FACTORS, ids=[row.name for row in FACTORS])
def test_each_factor_goes_there_and_back(row: Row):
    number, typed = split_number(row.text("value"))
    value, kind = work(row)["value"]
    printed = kind.unit(row.printed("value").unit)
    there = from_si(value, printed)
    assert from_si(to_si(there, printed), kind.unit(typed)) == pytest.approx(number, rel=1e-15)
