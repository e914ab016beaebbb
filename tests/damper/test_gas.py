"""The gas against the work it takes (scipy) and real nitrogen (CoolProp, in tests only)."""

import json
import math

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from calc import bridge
from calc.damper.gas import gas
from tests.sheet.test_rubbish import example_texts

AIR = 101325.0
pressures = st.floats(1e5, 3e6)
volumes = st.floats(1e-4, 6e-4)
rods = st.floats(0.012, 0.03)


def rod(area: float) -> float:
    return math.sqrt(4 * area / math.pi)


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


@given(pressures, volumes, rods, st.floats(0.05, 0.9))
def test_the_work_of_the_stroke_is_what_the_gas_law_stores(pressure, volume, diameter, share):
    """The integral of the force (scipy.integrate.quad) is p V ln(V / V') less the air's part, in closed form."""
    area = math.pi / 4 * diameter**2
    travel = share * volume / area
    corner = {"gas_pressure": pressure, "gas_volume": volume, "rod_diameter": diameter}
    work, _ = quad(lambda place: gas(**corner, ride_travel=place).gas_force, 0.0, travel, epsrel=1e-10, limit=200)
    stored = (pressure + AIR) * volume * math.log(1 / (1 - share)) - AIR * area * travel
    assert work == pytest.approx(stored, rel=1e-7)


@given(pressures, volumes, rods, st.floats(0.0, 0.8), st.floats(0.01, 0.15))
def test_further_in_the_gas_pushes_harder_and_is_stiffer(pressure, volume, diameter, share, more):
    corner = {"gas_pressure": pressure, "gas_volume": volume, "rod_diameter": diameter}
    reach = volume / (math.pi / 4 * diameter**2)
    near, far = (gas(**corner, ride_travel=place * reach) for place in (share, share + more))
    assert far.gas_force > near.gas_force
    assert far.gas_rate > near.gas_rate
    assert far.gas_volume_left < near.gas_volume_left


def test_a_gas_room_that_is_typed_figure_by_figure_is_refused_on_the_way_and_never_complex() -> None:
    """18 in³ by way of 1 in³, which the rod would fill: to a power that is no whole number that once was complex."""
    fields = {**example_texts("gas"), "gas_process": "in motion", "gas_volume": "1"}
    answer = json.loads(bridge.call(json.dumps({"do": "step", "name": "gas", "fields": fields, "typed": list(fields)})))
    assert answer["problem"] is None
    told = [field["error"]["problem"] for field in answer["fields"].values() if field.get("error")]
    assert [text for text in told if "of room" in text]
