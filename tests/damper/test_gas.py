"""The gas against published answers, the work it takes (scipy) and real nitrogen (CoolProp, in tests only)."""

import math

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from calc import tables, units
from calc.damper.gas import gas

# A busy machine must not decide a test.
unhurried = settings(deadline=None)

AIR = 101325.0
pressures = st.floats(1e5, 3e6)
volumes = st.floats(1e-4, 6e-4)
rods = st.floats(0.012, 0.03)


def published(source: str, name: str) -> dict:
    rows = tables.read_toml(f"published/{source}.toml")["check"]
    return next(row for row in rows if row["id"] == name)


def si(text: str, kind: units.Kind) -> float:
    number, unit = units.split_number(text)
    return units.to_si(number, kind.unit(unit))


def rod(area: float) -> float:
    return math.sqrt(4 * area / math.pi)


def test_final_pressure_by_boyle():
    """Bird and Ross, problem 2 (read): 110 kPa absolute, 3200 to 2000 mm³; a vacuum around makes gauge absolute."""
    row = published("bird_ross", "G01")
    inputs, expected = row["inputs"], row["expected"][0]
    volume, after = si(inputs["volume"], units.VOLUME), si(inputs["volume_after"], units.VOLUME)
    area = 1e-4
    found = gas(
        gas_pressure=si(inputs["pressure"], units.PRESSURE),
        gas_volume=volume,
        rod_diameter=rod(area),
        ride_travel=(volume - after) / area,
        air_pressure=0.0,
    )
    assert found.gas_pressure_at_ride / 1e3 == pytest.approx(expected["value"], rel=1e-9)


def test_piston_force_by_boyle():
    """Bird and Ross, problem 3 (inputs read, answer computed): no pressure behind the piston."""
    row = published("bird_ross", "G02")
    inputs, expected = row["inputs"], row["expected"][0]
    volume, after = si(inputs["volume"], units.VOLUME), si(inputs["volume_after"], units.VOLUME)
    area = si(inputs["piston_area"], units.AREA)
    found = gas(
        gas_pressure=si(inputs["pressure"], units.PRESSURE),
        gas_volume=volume,
        rod_diameter=rod(area),
        ride_travel=(volume - after) / area,
        air_pressure=0.0,
    )
    assert found.gas_force / 1e3 == pytest.approx(expected["value"], rel=1e-9)


def test_isothermal_volumes_of_a_printed_cycle():
    """Cengel and Boles, problem 4-24 (read): 2 MPa to 0.5 MPa at one temperature grows 0.01341 m³ to 0.05364 m³."""
    row = published("cengel_boles", "G04")
    first, second = row["expected"][0]["value"], row["expected"][1]["value"]
    area = 1.0
    found = gas(
        gas_pressure=0.5e6,
        gas_volume=second,
        rod_diameter=rod(area),
        ride_travel=(second - first) / area,
        air_pressure=0.0,
    )
    assert found.gas_pressure_at_ride == pytest.approx(2e6, rel=2e-4)


def test_rod_force_at_charge():
    """Row G06 (an identity): 200 psi on a 7/8 in rod."""
    row = published("identities", "G06")
    expected = row["expected"][0]
    found = gas(
        gas_pressure=si(row["inputs"]["gauge_pressure"], units.PRESSURE),
        gas_volume=3e-4,
        rod_diameter=si(row["inputs"]["rod_diameter"], units.LENGTH),
        ride_travel=0.0,
    )
    assert units.from_si(found.gas_force, units.FORCE.shop) == pytest.approx(
        expected["value"], abs=expected["tolerance"]
    )


def test_rate_at_the_start():
    """Row G07 (an identity): p A² / V isothermal, 1.4 times that in a fast stroke."""
    row = published("identities", "G07")
    expected = row["expected"][0]
    corner = {
        "gas_pressure": si(row["inputs"]["absolute_pressure"], units.PRESSURE) - AIR,
        "gas_volume": si(row["inputs"]["gas_volume"], units.VOLUME),
        "rod_diameter": rod(si(row["inputs"]["rod_area"], units.AREA)),
        "ride_travel": 0.0,
    }
    slow, fast = (gas(**corner, gas_process=process).gas_rate / 1e3 for process in ("slow", "in motion"))
    assert slow == pytest.approx(expected["value"], abs=expected["tolerance"])
    assert fast == pytest.approx(1.4 * slow)


def test_warm_up_at_constant_volume():
    """Row G09 (Gay-Lussac): 1.480 MPa absolute from 25 to 80 °C."""
    expected = published("coolprop", "G09")["expected"][0]
    found = gas(
        gas_pressure=1.48e6 - AIR,
        gas_volume=3e-4,
        rod_diameter=0.022,
        ride_travel=0.0,
        charge_temperature=298.15,
        gas_temperature=353.15,
    )
    assert (found.gas_pressure_at_ride + AIR) / 1e6 == pytest.approx(expected["value"], abs=expected["tolerance"])
    real = PropsSI("P", "T", 353.15, "D", PropsSI("D", "T", 298.15, "P", 1.48e6, "Nitrogen"), "Nitrogen")
    assert found.gas_pressure_at_ride + AIR == pytest.approx(real, rel=6e-3)


@pytest.mark.parametrize("share", [0.1, 0.3, 0.5])
def test_real_nitrogen_squeezed_slowly_is_within_one_percent(share):
    """CoolProp's equation of state at 20 °C: charged at 1.48 MPa absolute, up to half of the room taken."""
    volume, area = 3e-4, 3.88e-4
    found = gas(gas_pressure=1.48e6 - AIR, gas_volume=volume, rod_diameter=rod(area), ride_travel=share * volume / area)
    dense = PropsSI("D", "T", 293.15, "P", 1.48e6, "Nitrogen") / (1 - share)
    assert found.gas_pressure_at_ride + AIR == pytest.approx(
        PropsSI("P", "T", 293.15, "D", dense, "Nitrogen"), rel=0.01
    )


@pytest.mark.parametrize("share", [0.1, 0.3, 0.5])
def test_real_nitrogen_squeezed_fast_is_within_four_percent(share):
    """CoolProp at constant entropy: real nitrogen at these pressures has an exponent a little above 1.4."""
    volume, area = 3e-4, 3.88e-4
    found = gas(
        gas_pressure=1.48e6 - AIR,
        gas_volume=volume,
        rod_diameter=rod(area),
        ride_travel=share * volume / area,
        gas_process="in motion",
    )
    entropy = PropsSI("S", "T", 293.15, "P", 1.48e6, "Nitrogen")
    dense = PropsSI("D", "T", 293.15, "P", 1.48e6, "Nitrogen") / (1 - share)
    real = PropsSI("P", "S", entropy, "D", dense, "Nitrogen")
    assert found.gas_pressure_at_ride + AIR == pytest.approx(real, rel=0.04)


def test_the_exponents_are_those_of_nitrogen():
    """Row G08: 0.9976 of an ideal gas at 1.48 MPa, and a ratio of specific heats of 1.401 at 300 K and 1 atm."""
    rows = {item["quantity"]: item for item in published("coolprop", "G08")["expected"]}
    factor = PropsSI("Z", "T", 298.15, "P", 1.48e6, "Nitrogen")
    heats = PropsSI("Cpmass", "T", 300, "P", AIR, "Nitrogen") / PropsSI("Cvmass", "T", 300, "P", AIR, "Nitrogen")
    assert factor == pytest.approx(rows["compressibility"]["value"], abs=rows["compressibility"]["tolerance"])
    row = rows["ratio of specific heats"]
    assert heats == pytest.approx(row["value"], abs=row["tolerance"])
    found = gas(gas_pressure=1e6, gas_volume=3e-4, rod_diameter=0.02, ride_travel=0.1, gas_process="in motion")
    assert found.gas_exponent == pytest.approx(heats, abs=2e-3)


@unhurried
@given(pressures, volumes, rods, st.floats(0.05, 0.9))
def test_the_work_of_the_stroke_is_what_the_gas_law_stores(pressure, volume, diameter, share):
    """The integral of the force (scipy.integrate.quad) is p V ln(V / V') less the air's part, in closed form."""
    area = math.pi / 4 * diameter**2
    travel = share * volume / area
    corner = {"gas_pressure": pressure, "gas_volume": volume, "rod_diameter": diameter}
    work, _ = quad(lambda place: gas(**corner, ride_travel=place).gas_force, 0.0, travel, epsrel=1e-10, limit=200)
    stored = (pressure + AIR) * volume * math.log(1 / (1 - share)) - AIR * area * travel
    assert work == pytest.approx(stored, rel=1e-7)


@unhurried
@given(pressures, volumes, rods, st.floats(0.0, 0.8), st.floats(0.01, 0.15))
def test_further_in_the_gas_pushes_harder_and_is_stiffer(pressure, volume, diameter, share, more):
    corner = {"gas_pressure": pressure, "gas_volume": volume, "rod_diameter": diameter}
    reach = volume / (math.pi / 4 * diameter**2)
    near, far = (gas(**corner, ride_travel=place * reach) for place in (share, share + more))
    assert far.gas_force > near.gas_force
    assert far.gas_rate > near.gas_rate
    assert far.gas_volume_left < near.gas_volume_left
