"""CoolProp, a reference library of fluid properties: identities, without a printed answer; run here, in tests only."""

import pytest
from CoolProp.CoolProp import PropsSI

from calc import units
from calc.damper.gas import gas
from calc.desk.validation import find_row

SOURCE = "coolprop"
AIR = 101325.0


def test_G08_nitrogen_is_nearly_ideal_and_has_the_exponent_of_the_step():
    """The library's own values first; then how near to them an ideal gas and an exponent of 1.4 are."""
    row = find_row(SOURCE, "G08")
    pressure = row.given("pressure", units.PRESSURE)
    temperature = row.given("temperature", units.TEMPERATURE)
    compressibility = PropsSI("Z", "T", temperature, "P", pressure, "Nitrogen")
    constant = PropsSI("gas_constant", "Nitrogen") / PropsSI("molar_mass", "Nitrogen") / 1e3
    heats = PropsSI("Cpmass", "T", 300, "P", AIR, "Nitrogen") / PropsSI("Cvmass", "T", 300, "P", AIR, "Nitrogen")
    theirs = {
        "compressibility": compressibility,
        "gas constant": constant,
        "ratio of specific heats": heats,
    }
    assert {printed.quantity for printed in row.expected} == set(theirs)
    for printed in row.expected:
        assert theirs[printed.quantity] == pytest.approx(printed.value, abs=printed.tolerance)
    found = gas(gas_pressure=1e6, gas_volume=3e-4, rod_diameter=0.02, ride_travel=0.1, gas_process="in motion")
    assert found.gas_exponent == pytest.approx(heats, abs=2e-3)


def test_G09_warm_up_at_constant_volume(check):
    """Gay-Lussac; the library's real nitrogen gives half a percent more."""
    row = check("G09")
    cold, warm = (row.given(name, units.TEMPERATURE) for name in ("temperature", "temperature_after"))
    density = PropsSI("D", "T", cold, "P", row.given("pressure", units.PRESSURE), "Nitrogen")
    real = PropsSI("P", "T", warm, "D", density, "Nitrogen")
    assert real == pytest.approx(1.7622e6, rel=1e-4)
    assert real / 1e6 == pytest.approx(row.printed("pressure").value, rel=6e-3)
