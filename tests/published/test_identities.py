"""Identities: laws and definitions without a printed answer, asserted but not counted as published evidence."""

import math

import pytest

from calc.damper.gas import gas
from calc.units import AREA, FORCE, PRESSURE, RATE, VOLUME

SOURCE = "identities"
AIR = 101325.0


def test_D06_tender_over_main(check):
    check("D06")


def test_M01_wheel_rate_of_a_leaning_spring_by_the_difference_of_its_upward_force(check):
    """The same from the force alone, as the wheel rises and falls by a hundredth of a millimeter."""
    row = check("M01")
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


def test_M02_wheel_rate_from_ride_and_tire_rate(check):
    check("M02")


def test_P01_force_at_ride(check):
    check("P01")


def test_G06_rod_force_at_charge(check):
    check("G06")


def test_G07_gas_rate_at_the_start(check):
    """In a fast stroke it is 1.4 times that."""
    row = check("G07")
    corner = {
        "gas_pressure": row.given("absolute_pressure", PRESSURE) - AIR,
        "gas_volume": row.given("gas_volume", VOLUME),
        "rod_diameter": math.sqrt(4 * row.given("rod_area", AREA) / math.pi),
        "ride_travel": 0.0,
    }
    slow, fast = (gas(**corner, gas_process=process).gas_rate for process in ("slow", "in motion"))
    assert fast == pytest.approx(1.4 * slow)


def test_T10_height_of_the_center_of_gravity_there_and_back(check):
    check("T10")


def test_Q02_product_and_sum_of_the_squares_of_both_frequencies(check):
    check("Q02")


def test_H07_a_dynamic_index_of_one(check):
    check("H07")


def test_M03_springs_and_tires_of_a_solid_axle_in_series(check):
    check("M03")


def test_T04_constant_of_the_shop_rule_for_roll_stiffness(check):
    check("T04")


def test_V01_energy_of_a_quadratic_damper(check):
    check("V01")


def test_V02_energy_of_a_linear_damper(check):
    check("V02")


def test_V03_equivalent_coefficient_of_a_bilinear_damper(check):
    check("V03")


def test_L04_energy_of_a_progressive_stop(check):
    check("L04")


def test_L05_impact_factor_without_a_fall(check):
    check("L05")
