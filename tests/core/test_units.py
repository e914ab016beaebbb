"""Units against two other programs, and the reading of numbers against whatever may be typed."""

import math

import pint
import pytest
import scipy.constants
from hypothesis import given
from hypothesis import strategies as st

from calc.errors import NumberError
from calc.units import KINDS, TEMPERATURE, format_entry, format_number, from_si, parse_number, split_number, to_si

REGISTRY = pint.UnitRegistry()
# How another program spells what the handbook shows.
SPELLED = {
    "lb/in": "lbf/inch",
    "lbf/ft": "lbf/foot",
    "kgf/mm": "kgf/millimeter",
    "lb/in²": "lbf/inch**2",
    "lb/in³": "lb/inch**3",
    "lbf·s/in": "lbf*second/inch",
    "lbf·ft": "lbf*foot",
    "ft·lbf": "foot*lbf",
    "lb·in": "lb*inch",
    "ksi": "1000*psi",
    "Mpsi": "1e6*psi",
    "in": "inch",
    "in/s": "inch/second",
    "in/s²": "inch/second**2",
    "in²": "inch**2",
    "in³": "inch**3",
    "ft": "foot",
    "ft/s": "foot/second",
    "ft/s²": "foot/second**2",
    "per in": "1/inch",
    "per m": "1/meter",
    "per mm": "1/millimeter",
    "g": "standard_gravity",
    "t": "metric_ton",
    "°": "degree",
    "cpm": "1/minute",
    "%": "0.01",
    "": "1",
    "N·s/m": "newton*second/meter",
    "N·s/mm": "newton*second/millimeter",
    "N·m": "newton*meter",
    "kg·m": "kilogram*meter",
    "mm²": "millimeter**2",
    "cm²": "centimeter**2",
    "m²": "meter**2",
    "mm³": "millimeter**3",
    "cm³": "centimeter**3",
    "m³": "meter**3",
    "L": "liter",
    "kg/m³": "kilogram/meter**3",
    "m/s²": "meter/second**2",
    "mm/s": "millimeter/second",
    "m/s": "meter/second",
    "°/g": "degree/standard_gravity",
    "rad/(m/s²)": "radian/(meter/second**2)",
    "N/mm²": "newton/millimeter**2",
    "Hz": "1/second",
}
UNITS = [(of, unit) for of in KINDS.values() for unit in of.units() if not of.name.startswith("temperature")]


@pytest.mark.parametrize(("of", "unit"), UNITS, ids=[f"{of.name}-{unit.symbol}" for of, unit in UNITS])
def test_factors_and_dimensions_of_pint(of, unit):
    theirs = (1 * REGISTRY(SPELLED.get(unit.symbol, unit.symbol))) * REGISTRY.dimensionless
    # Both take the exact pound, inch and gravity, so only the last bits may differ.
    assert unit.factor == pytest.approx(theirs.to_base_units().magnitude, rel=1e-14)
    exponents = theirs.dimensionality
    assert (exponents.get("[mass]", 0), exponents.get("[length]", 0), exponents.get("[time]", 0)) == (
        of.dimension.kilogram,
        of.dimension.meter,
        of.dimension.second,
    )


@pytest.mark.parametrize(
    ("name", "symbol", "value"),
    [
        ("mass", "lb", scipy.constants.lb),
        ("mass", "slug", scipy.constants.slug),
        ("mass", "t", scipy.constants.metric_ton),
        ("length", "in", scipy.constants.inch),
        ("length", "ft", scipy.constants.foot),
        ("force", "lbf", scipy.constants.lbf),
        ("pressure", "psi", scipy.constants.psi),
        ("pressure", "bar", scipy.constants.bar),
        ("acceleration", "g", scipy.constants.g),
        ("angle", "°", scipy.constants.degree),
        ("volume", "L", scipy.constants.liter),
        ("rate", "lb/in", scipy.constants.lbf / scipy.constants.inch),
        ("damping coefficient", "lbf·s/in", scipy.constants.lbf / scipy.constants.inch),
    ],
)
def test_factors_of_scipy(name, symbol, value):
    assert KINDS[name].unit(symbol).factor == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize("degrees", [-40.0, 0.0, 32.0, 98.6, 212.0])
def test_temperatures_of_scipy(degrees):
    kelvin = scipy.constants.convert_temperature(degrees, "Fahrenheit", "Kelvin")
    assert to_si(degrees, TEMPERATURE.shop) == pytest.approx(float(kelvin), abs=1e-10)
    celsius = scipy.constants.convert_temperature(degrees, "Fahrenheit", "Celsius")
    assert from_si(to_si(degrees, TEMPERATURE.shop), TEMPERATURE.metric) == pytest.approx(float(celsius), abs=1e-10)


@given(st.floats(-1e6, 1e6).filter(lambda value: value == 0 or abs(value) > 1e-6))
def test_an_entry_reads_back(value):
    assert parse_number(format_entry(value)) == pytest.approx(value, rel=1e-6, abs=1e-12)


@given(st.floats(1000, 1e9), st.integers(1, 6))
def test_a_printed_number_with_decimals_reads_back(value, decimals):
    printed = format_number(value, decimals)
    # Half of the last digit, and the millionth of a millionth by which a half is nudged upward.
    assert parse_number(printed) == pytest.approx(value, abs=0.51 * 10.0**-decimals + 1.1e-12 * value, rel=0)


@given(st.integers(0, 40), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_tape_fractions(whole, top, bottom):
    if top >= bottom:
        top %= bottom
    if top:
        assert parse_number(f"{whole} {top}/{bottom}") == whole + top / bottom
        assert parse_number(f"{whole}-{top}/{bottom}") == whole + top / bottom


@given(st.text(max_size=70) | st.text(alphabet="0123456789.,'/- ½⅛+eElbin", max_size=20))
def test_whatever_is_typed_gives_a_finite_number_or_is_refused(text):
    try:
        number, unit = split_number(text)
    except NumberError:
        return
    assert math.isfinite(number)
    assert unit == unit.strip()


@given(st.integers(1, 999), st.integers(0, 999))
def test_one_comma_before_three_digits_is_always_asked_back(whole, rest):
    with pytest.raises(NumberError, match="can be read in two ways"):
        split_number(f"{whole},{rest:03d}")
