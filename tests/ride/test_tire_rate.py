"""Tire rate with pressure: the radius against a tire whose load is integrated from its rate, and what must hold always."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from calc.ride.tire_rate import tire_rate

rates = st.floats(1e5, 1e6)
pressures = st.floats(5e4, 5e5)


@given(rates, pressures, pressures, st.floats(100.0, 1500.0))
def test_the_radius_falls_by_where_the_load_is_met(rate, measured, pressure, load):
    """Press each tire until the sum of its rate over the squash is the load; the rule's rate is air and carcass apart."""
    air, carcass = (part / (measured + 34473.786) * rate for part in (pressure, 34473.786))
    found = tire_rate(
        measured_tire_rate=rate,
        measured_tire_pressure=measured,
        tire_pressure=pressure,
        carcass_pressure=34473.786,
        tire_load=load,
        measured_loaded_radius=1.2,
    )
    squashes = [
        brentq(lambda depth, own=own: quad(lambda _: own, 0, depth)[0] - load * 9.80665, 0, 5, xtol=1e-12)
        for own in (rate, air + carcass)
    ]
    assert found.tire_squash == pytest.approx(squashes[1], abs=1e-9)
    assert found.loaded_radius_at_pressure == pytest.approx(1.2 + squashes[0] - squashes[1], abs=1e-9)


@given(rates, pressures, pressures, st.floats(1.05, 2.0))
def test_more_air_is_stiffer_but_by_less_than_its_share(rate, measured, pressure, more):
    tire = {"measured_tire_rate": rate, "measured_tire_pressure": measured}
    low, high = (tire_rate(**tire, tire_pressure=own).tire_rate for own in (pressure, pressure * more))
    assert low < high < low * more
