"""Units and numbers: every factor against its printed value, and every way in which a builder writes a number.

Printed values are those of NIST SP 811 (2008), appendix B.8 (U01 to U12 of the handbook's checks).
U01 to U05 were read where other pages quote them; the others are from memory, and say so.
A printed value stands for half of its last digit either way; an exact one for the last bit of a float.
"""

import math
from dataclasses import replace

import pytest

from calc import vocabulary
from calc.errors import MissingError, NumberError, RangeError, ReadError, UnitError, UnknownNameError, UnlikelyError
from calc.quantity import METRIC, SHOP, Display, read, read_plus_minus
from calc.rig.entries import keys
from calc.step import find
from calc.units import (
    DAMPING,
    FORCE,
    KINDS,
    MASS,
    NO_BREAK,
    RATE,
    TEMPERATURE,
    format_entry,
    format_number,
    from_si,
    kind,
    parse_number,
    split_number,
    to_si,
)

EXACT = 0.0
# Unit: SI value, half of the last printed digit, where the value stands.
PRINTED = {
    "lb/in": (175.1268, 5e-5, "U01, secondary"),
    "lbf/ft": (14.59390, 5e-6, "U02, secondary"),
    "lbf": (4.448222, 5e-7, "U03, secondary"),
    "g": (9.80665, EXACT, "U04, secondary"),
    "psi": (6894.757, 5e-4, "U05, secondary"),
    "lb": (0.45359237, EXACT, "U06, memory"),
    "ft·lbf": (1.355818, 5e-7, "U07, memory"),
    "in": (0.0254, EXACT, "U08, memory"),
    "lb/in³": (27679.90, 5e-3, "U10, memory"),
    "slug": (14.59390, 5e-6, "U11, memory"),
    "lbf·s/in": (175.1268, 5e-5, "U12, identity: the ratio of U01"),
    "lbf·ft": (1.355818, 5e-7, "U07 as a moment, memory"),
    "ft": (0.3048, EXACT, "memory"),
    "lb/in²": (6894.757, 5e-4, "identity: the ratio of U05"),
    "ksi": (6894757.0, 0.5, "U05 times a thousand"),
    "Mpsi": (6894757000.0, 500.0, "U05 times a million"),
    "in/s": (0.0254, EXACT, "U08"),
    "ft/s": (0.3048, EXACT, "memory"),
    "mph": (0.44704, EXACT, "1609.344 m in 3600 s, memory"),
    "km/h": (1 / 3.6, EXACT, "a thousand meters in 3600 s"),
    "in/s²": (0.0254, EXACT, "U08"),
    "ft/s²": (0.3048, EXACT, "memory"),
    "in²": (6.4516e-4, EXACT, "U08 squared"),
    "in³": (1.638706e-5, 5e-12, "memory"),
    "per in": (39.37008, 5e-6, "U08 inverted"),
    "lb·in": (0.01152125, 5e-9, "U06 times U08"),
    "°": (0.01745329, 5e-9, "memory"),
    "lbf·ft/°": (77.68265, 1e-4, "U07 over the degree"),
    "N·m/°": (57.29578, 5e-6, "one over the degree"),
    "in/°": (1.455313, 1e-6, "U08 over the degree"),
    "mm/°": (0.05729578, 5e-9, "a thousandth over the degree"),
    "cpm": (0.01666667, 5e-9, "a sixtieth"),
    "%": (0.01, EXACT, "a hundredth"),
    "": (1.0, EXACT, "a plain number"),
    # Metric units are decimal multiples of SI by definition.
    **dict.fromkeys(("kg", "m", "N", "N/m", "Pa", "m/s", "Hz", "rad", "per m", "N·s/m"), (1.0, EXACT, "SI")),
    **dict.fromkeys(("N·m", "N·m/rad", "kg·m", "J", "m²", "m³", "kg/m³", "m/s²", "K"), (1.0, EXACT, "SI")),
    **dict.fromkeys(("t", "kN", "N/mm", "kN/m", "kPa", "N·s/mm", "per mm"), (1000.0, EXACT, "SI")),
    **dict.fromkeys(("mm", "mm/s", "L"), (0.001, EXACT, "SI")),
    **dict.fromkeys(("MPa", "N/mm²"), (1000000.0, EXACT, "SI")),
    "kgf/mm": (9806.65, EXACT, "U04 a thousandfold: a kilogram's weight per millimeter"),
    "cm": (1e-2, EXACT, "SI"),
    "bar": (1e5, EXACT, "SI"),
    "°/g": (math.pi / 180 / 9.80665, 0, "degree and standard gravity"),
    "rad/(m/s²)": (1.0, EXACT, "SI"),
    "GPa": (1e9, EXACT, "SI"),
    "cm²": (1e-4, EXACT, "SI"),
    "mm²": (1e-6, EXACT, "SI"),
    "cm³": (1e-6, EXACT, "SI"),
    "mm³": (1e-9, EXACT, "SI"),
}
LINEAR = [
    (of, unit)
    for of in KINDS.values()
    for unit in of.units()
    if of.name not in ("temperature", "temperature difference")
]


def plain(text):
    """Return a text with its no-break spaces as spaces."""
    return str(text).replace(NO_BREAK, " ")


@pytest.mark.parametrize("unit", [unit for _, unit in LINEAR], ids=[f"{of.name}-{unit.symbol}" for of, unit in LINEAR])
def test_every_factor_both_ways(unit):
    value, half_digit, _ = PRINTED[unit.symbol]
    # A float holds 16 figures, so an exact factor may differ in the last bit of its product.
    tolerance = half_digit or 4e-16 * value
    assert to_si(1.0, unit) == pytest.approx(value, abs=tolerance, rel=0)
    assert from_si(value, unit) == pytest.approx(1.0, abs=tolerance / value * 1.001, rel=0)
    for number in (0.0, 1.0, -3.25, 1234.5):
        assert from_si(to_si(number, unit), unit) == pytest.approx(number, rel=4e-16, abs=0)


def test_standard_gravity_in_inches():
    """U09, from memory: 386.0886 in/s²; textbooks print 386, 386.1 and 386.4."""
    acceleration = kind("acceleration")
    assert from_si(9.80665, acceleration.unit("in/s²")) == pytest.approx(386.0886, abs=5e-5)


def test_temperature_by_its_fixed_points():
    """Water freezes at 0 °C, 32 °F, 273.15 K and boils near 100 °C, 212 °F; −40 is both."""
    shop, metric = TEMPERATURE.shop, TEMPERATURE.metric
    assert (shop.symbol, metric.symbol) == ("°F", "°C")
    for fahrenheit, celsius in ((32.0, 0.0), (212.0, 100.0), (-40.0, -40.0), (68.0, 20.0)):
        assert to_si(fahrenheit, shop) == pytest.approx(celsius + 273.15, abs=1e-10)
        assert to_si(celsius, metric) == pytest.approx(celsius + 273.15, abs=1e-10)
        assert from_si(celsius + 273.15, shop) == pytest.approx(fahrenheit, abs=1e-10)
    difference = kind(TEMPERATURE.difference)
    assert to_si(9.0, difference.shop) == pytest.approx(5.0)
    assert to_si(5.0, difference.metric) == 5.0


def test_the_two_systems_show_what_the_shop_and_the_metric_reader_know():
    shown = {name: (of.shop.symbol, of.metric.symbol) for name, of in KINDS.items()}
    assert shown["mass"] == ("lb", "kg")
    assert shown["length"] == ("in", "mm")
    assert shown["force"] == ("lbf", "N")
    assert shown["rate"] == ("lb/in", "N/mm")
    assert shown["pressure"] == ("psi", "bar")
    assert shown["velocity"] == ("in/s", "m/s")
    assert shown["temperature"] == ("°F", "°C")


def test_pound_is_mass_on_a_scale_and_force_on_a_spring():
    assert to_si(1.0, MASS.unit("lb")) == pytest.approx(0.45359237)
    assert to_si(1.0, FORCE.unit("lb")) == pytest.approx(4.448222, abs=5e-7)
    assert to_si(1.0, RATE.unit("lb/in")) == pytest.approx(175.1268, abs=5e-5)


@pytest.mark.parametrize("of", KINDS.values(), ids=list(KINDS))
def test_every_spelling_leads_to_a_unit_of_its_kind(of):
    for spelling, wanted in of.aliases.items():
        assert of.unit(spelling) in of.units(), spelling
        assert of.unit(spelling) == of.unit(wanted)
    for unit in of.units():
        assert of.unit(unit.symbol) == unit
        assert of.unit(f" {unit.symbol.upper()} ") == unit
        assert unit.symbol in of.decimals or unit not in (of.shop, of.metric)


def test_unknown_units_and_kinds_are_told():
    with pytest.raises(UnitError) as caught:
        RATE.unit("furlong")
    assert (
        str(caught.value) == "“furlong” is not a unit of this value. Allowed: lb/in, N/mm, N/m, kN/m, lbf/ft, kgf/mm."
    )
    with pytest.raises(UnitError) as caught:
        kind("ratio").unit("mm")
    assert str(caught.value) == "“mm” cannot be used here: this value has no unit."
    with pytest.raises(UnknownNameError) as caught:
        kind("smell")
    assert str(caught.value) == "There is no kind of quantity called 'smell'."


# --- reading numbers ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("250", 250.0, ""),
        ("250 lb/in", 250.0, "lb/in"),
        ("250lb/in", 250.0, "lb/in"),
        ("44 N/mm", 44.0, "N/mm"),
        ("12.5", 12.5, ""),
        ("12,5", 12.5, ""),
        ("12,5 mm", 12.5, "mm"),
        (".5", 0.5, ""),
        (",5", 0.5, ""),
        ("5.", 5.0, ""),
        ("0,125", 0.125, ""),
        ("1.125", 1.125, ""),
        ("1,1250", 1.125, ""),
        ("1,12", 1.12, ""),
        ("1,125.5", 1125.5, ""),
        ("1.125,5", 1125.5, ""),
        ("1,234,567", 1234567.0, ""),
        ("1.234.567", 1234567.0, ""),
        ("1 234,5", 1234.5, ""),
        ("1 234", 1234.0, ""),
        ("1'234", 1234.0, ""),
        ("1234,567", 1234.567, ""),
        ("3 1/2", 3.5, ""),
        ("3-1/2", 3.5, ""),
        ("3½", 3.5, ""),
        ("½", 0.5, ""),
        ("7/8 in", 0.875, "in"),
        ('3 1/2"', 3.5, '"'),
        ("1/3", 1 / 3, ""),
        ("-2.5", -2.5, ""),
        ("\u22122.5", -2.5, ""),
        ("+2.5", 2.5, ""),
        ("- 1/2", -0.5, ""),
        ("-3 1/2", -3.5, ""),
        ("1e3", 1000.0, ""),
        ("1.5E-3 m", 0.0015, "m"),
        ("6'", 6.0, "'"),
        ("2 ft", 2.0, "ft"),
        ("  7\u00a0kg ", 7.0, "kg"),
        ("12°", 12.0, "°"),
        ("50%", 50.0, "%"),
        ("101 ½ in", 101.5, "in"),
        ("101½ in", 101.5, "in"),
        ("101 1\u20442 in", 101.5, "in"),
        ("-\u202f½", -0.5, ""),
        ("8' 5 1/2\"", 101.5, "in"),
        ("8' 5½\"", 101.5, "in"),
        ("8\u2019 5 1/2\u201d", 101.5, "in"),
        ("8\u2032 5 1/2\u2033", 101.5, "in"),
        ("8'-5 1/2\"", 101.5, "in"),
        ("8 ft 5 1/2 in", 101.5, "in"),
        ("8 ft. 5 1/2 in.", 101.5, "in"),
        ("8ft5.5in", 101.5, "in"),
        ("8 Feet 5,5 Inches", 101.5, "in"),
        ("4 ft 10 in", 58.0, "in"),
        ("4' 10", 58.0, "in"),
        ("\u22124 ft 10 in", -58.0, "in"),
        ("2' 3/4\"", 24.75, "in"),
        ("1'234 mm", 1234.0, "mm"),
        ("3900#", 3900.0, "#"),
        ("100 ft-lb", 100.0, "ft-lb"),
        ("4.5 kg/mm", 4.5, "kg/mm"),
        ("\u20132.5", -2.5, ""),
        ("12\u202f345 N", 12345.0, "N"),
        ("12\u00a0345,5 N", 12345.5, "N"),
        ("12\u2009345 N", 12345.0, "N"),
        ("\u200e250", 250.0, ""),
        ("\u22120.00167\u00a0per\u00a0in", -0.00167, "per in"),
    ],
)
def test_numbers_as_they_are_written(text, value, unit):
    number, rest = split_number(text)
    assert number == pytest.approx(value, rel=1e-15)
    assert rest == unit


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("1,125", "“1,125” can be read in two ways. Enter 1125 or 1.125."),
        ("1,125 lb", "“1,125 lb” can be read in two ways. Enter 1125 or 1.125."),
        ("-1,125", "“-1,125” can be read in two ways. Enter -1125 or -1.125."),
        ("", "Nothing is entered."),
        ("   ", "Nothing is entered."),
        ("abc", "“abc” is not a number. Enter a number such as 3.5 or 3 1/2."),
        ("nan", "“nan” is not a number. Enter a number such as 3.5 or 3 1/2."),
        ("inf", "“inf” is not a number. Enter a number such as 3.5 or 3 1/2."),
        (".", "“.” is not a number. Enter a number such as 3.5 or 3 1/2."),
        ("3 1/0", "“3 1/0” divides by zero. Enter a number such as 3 1/2."),
        ("1e400", "“1e400” is too large a number."),
        ("12 34.5", "“12 34.5” is not one number. Enter a number such as 3.5 or 3 1/2."),
        ("1.2.3", "“1.2.3” is not one number. Enter a number such as 3.5 or 3 1/2."),
        ("12,345,67", "“12,345,67” is not one number. Enter a number such as 3.5 or 3 1/2."),
        ("5-6", "“5-6” is not one number. Enter a number such as 3.5 or 3 1/2."),
        ("3 - 1/2", "“3 - 1/2” is not one number. Enter a number such as 3.5 or 3 1/2."),
        ("1 125/8", "“1 125/8” is not one number. Enter a number such as 3.5 or 3 1/2."),
        (
            "8 ft 14 in",
            "“8 ft 14 in” is not one length. After feet come less than 12 inches, as in 8 ft 5 1/2 in.",
        ),
        ("8' 5/0\"", "“8' 5/0\"” divides by zero. Enter a number such as 3 1/2."),
        ("8.5' 3\"", "“8.5' 3\"” is not one number. Enter a number such as 3.5 or 3 1/2."),
        ("1/2/3", "“1/2/3” is not one number. Enter a number such as 3.5 or 3 1/2."),
        ("--5", "“--5” is not a number. Enter a number such as 3.5 or 3 1/2."),
        (
            "9" * 61,
            "The entry is too long (61 characters). Enter one number, with its unit if you like.",
        ),
    ],
)
def test_what_is_not_one_number_is_told_in_full(text, message):
    with pytest.raises(NumberError) as caught:
        split_number(text)
    assert str(caught.value) == message


def test_a_number_alone_takes_no_unit():
    assert parse_number(" 3 1/2 ") == 3.5
    with pytest.raises(NumberError) as caught:
        parse_number("3.5 in")
    assert str(caught.value) == "“3.5 in” is not a number. Enter a number such as 3.5 or 3 1/2."


# --- printing -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (1134.4, 0, "1,134"),
        (-0.004, 2, "0.00"),
        (-2.5, 1, "\u22122.5"),
        (0.0, 0, "0"),
        (1e6, 0, "1,000,000"),
        (0.125, 3, "0.125"),
    ],
)
def test_numbers_for_reading(value, decimals, text):
    assert format_number(value, decimals) == text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_never_printed(value):
    with pytest.raises(NumberError) as caught:
        format_number(value, 2)
    assert str(caught.value) == "A result is not a finite number."


@pytest.mark.parametrize(
    ("value", "text"),
    [(2453.0, "2453"), (3.3000000001, "3.3"), (-0.0, "0"), (12345678.0, "12345678"), (0.00001234, "0.00001234")],
)
def test_numbers_for_entry_are_plain_digits(value, text):
    assert format_entry(value) == text
    assert parse_number(format_entry(value)) == pytest.approx(value, rel=1e-6, abs=1e-12)


def test_a_number_never_breaks_from_its_unit_and_never_prints_as_a_bare_zero():
    assert SHOP.text(1000.0, vocabulary.corner_mass) == f"2,205{NO_BREAK}lb"
    assert METRIC.text(1000.0, vocabulary.corner_mass) == f"1,000.0{NO_BREAK}kg"
    assert plain(SHOP.text(0.0001, vocabulary.preload)) == "0.004 in"
    assert plain(SHOP.text(0.0, vocabulary.preload)) == "0.00 in"
    assert SHOP.text(0.2, vocabulary.lean) == "11.5°"


def test_what_is_too_small_to_be_told_prints_as_under_the_least_that_is_and_has_no_plus_minus():
    time = replace(vocabulary.share, least_told=1e-4)
    for display in (SHOP, METRIC):
        for tiny in (9e-5, 5e-10, 1e-40):
            assert plain(display.text(tiny, time)) == "under 0.01 %"
            assert display.doubt(tiny, 1e-9, time) == ""
        assert plain(display.text(1e-4, time)) == "0.01 %"
        assert plain(display.text(0.0, time)) == "0.0 %"
        assert plain(display.text(0.25, time)) == "25.0 %"
        assert display.doubt(0.25, 0.02, time) == "2.0"
        assert display.doubt(0.25, 0.0, time) == ""
        # Every other quantity tells its small values as numbers.
        assert plain(display.text(9e-5, vocabulary.share)) == "0.01 %"
        assert plain(display.text(-3e-6, vocabulary.share)) == "−0.0003 %"


def test_an_entry_survives_a_switch_of_units_and_back():
    for text in ("2453", "668.6", "0.25", "3.125", "1474.4"):
        for quantity in (vocabulary.corner_mass, vocabulary.preload, vocabulary.spring_rate, vocabulary.gas_pressure):
            unit = quantity.kind.shop
            metric = METRIC.entry(to_si(float(text), unit), quantity)
            back = SHOP.entry(to_si(float(metric), quantity.kind.metric), quantity)
            assert float(back) == pytest.approx(float(text), abs=10.0 ** -(quantity.kind.decimals[unit.symbol] + 1))


# --- reading fields ---------------------------------------------------------------------------------------------------


def test_a_bare_number_means_the_shown_unit_and_a_typed_unit_wins():
    rate = vocabulary.spring_rate
    assert read("250", rate, "k") == pytest.approx(250 * 175.126835, rel=1e-8)
    assert read("44", rate, "k", METRIC) == pytest.approx(44e3)
    assert read("44 N/mm", rate, "k", SHOP) == pytest.approx(44e3)
    assert read("250 lb/in", rate, "k", METRIC) == pytest.approx(250 * 175.126835, rel=1e-8)
    assert read("43.78", rate, "k", Display("shop", {"k": "N/mm"})) == pytest.approx(43780.0)


def test_a_number_plausible_only_in_the_other_system_is_asked_back():
    with pytest.raises(UnlikelyError) as caught:
        read("300", vocabulary.spring_rate, "main_rate", METRIC)
    assert plain(caught.value.message(METRIC)) == (
        "Spring rate: 300 N/mm is far from what is usual; 300 lb/in would not be. "
        "Type the number with its unit, so that it is clear. Typical: 43.78 N/mm."
    )
    with pytest.raises(UnlikelyError) as caught:
        read("44", vocabulary.spring_rate, "main_rate", SHOP)
    assert plain(caught.value) == (
        "Spring rate: 44 lb/in is far from what is usual; 44 N/mm would not be. "
        "Type the number with its unit, so that it is clear. Typical: 250.0 lb/in."
    )
    # With its unit it is what it says, however unusual.
    assert read("300 N/mm", vocabulary.spring_rate, "main_rate", METRIC) == pytest.approx(300e3)
    assert read("44 lb/in", vocabulary.spring_rate, "main_rate", SHOP) == pytest.approx(44 * 175.126835, rel=1e-8)


def test_the_other_system_is_that_of_the_fields_own_unit():
    """A field set to N/mm on a shop page: 300 is far too stiff in N/mm and usual in lb/in."""
    with pytest.raises(UnlikelyError) as caught:
        read("300", vocabulary.spring_rate, "k", Display("shop", {"k": "N/mm"}))
    assert "300 lb/in would not be" in plain(caught.value)


def test_a_number_odd_in_both_systems_is_taken_at_its_word():
    assert read("5000", vocabulary.spring_rate, "k", SHOP) == pytest.approx(5000 * 175.126835, rel=1e-8)


def test_a_field_that_cannot_be_read_says_what_is_allowed():
    with pytest.raises(ReadError) as caught:
        read("2 50", vocabulary.spring_rate, "k")
    assert plain(caught.value) == (
        "Spring rate: “2 50” is not one number. Enter a number such as 3.5 or 3 1/2. "
        "Allowed: from 5.7 lb/in to 5,710.1 lb/in. Typical: 250.0 lb/in."
    )
    with pytest.raises(ReadError) as caught:
        read("250 psi", vocabulary.spring_rate, "k")
    assert plain(caught.value).startswith("Spring rate: “psi” is not a unit of this value. Allowed: lb/in, N/mm,")
    with pytest.raises(MissingError) as missing:
        read("  ", vocabulary.spring_rate, "k")
    assert missing.value.field == "k"
    assert plain(missing.value).startswith("Spring rate is missing. Allowed: from 5.7 lb/in")
    with pytest.raises(RangeError) as ranged:
        read("6000 lb/in", vocabulary.spring_rate, "k")
    assert (
        plain(ranged.value.parts(METRIC)["problem"]) == "Spring rate must be at most 1,000.00 N/mm (got 1,050.76 N/mm)."
    )


def test_damping_units_typed_both_ways():
    assert DAMPING.unit("lb s/in") == DAMPING.shop
    assert DAMPING.unit("kg/s") == DAMPING.metric
    assert DAMPING.unit("pound-seconds per inch") == DAMPING.unit("lb-sec/in") == DAMPING.shop


def test_a_tire_takes_the_pressures_of_the_trail():
    """8 to 20 psi is aired down for the trail: never asked back, on the rig as in its step; a damper's charge still is."""
    declared = (keys()["front.tire_pressure"].quantity, find("tire_rate").inputs["tire_pressure"].quantity)
    for quantity in declared:
        for bare in ("6", "8", "12.5", "20", "60"):
            assert read(bare, quantity, "p") == pytest.approx(float(bare) * 6894.757, rel=1e-6)
        for bare in ("0.55", "1.4", "5.5"):
            assert read(bare, quantity, "p", METRIC) == pytest.approx(float(bare) * 1e5)
        with pytest.raises(UnlikelyError, match="far from what is usual"):
            read("26", quantity, "p", METRIC)
        assert "8 to 20 psi (0.55 to 1.4 bar)" in quantity.help
    with pytest.raises(UnlikelyError, match=r"15.psi is far from what is usual; 15.bar would not be"):
        read("15", vocabulary.gas_pressure, "p")


POUND = 0.45359237
_MOMENT = find("support_load").inputs["anti_roll_moment"].quantity
_BETWEEN = vocabulary.length.called("Between", low=1e-3, high=2.0, usual=None)


@pytest.mark.parametrize(
    ("text", "quantity", "display", "meant"),
    [
        # Only one reading is allowed.
        ("1,125", vocabulary.spring_rate, SHOP, 1125 * 175.126835),
        ("2,850", vocabulary.wheelbase, METRIC, 2.85),
        ("9,875", vocabulary.stroke, SHOP, 9.875 * 0.0254),
        # A scale prints no thousandth of a pound: a comma stands before three digits of a thousand.
        ("2,250", vocabulary.corner_mass, SHOP, 2250 * POUND),
        ("2,250 lb", vocabulary.corner_mass, METRIC, 2250 * POUND),
        ("-1,125", _MOMENT, METRIC, -1125.0),
        # Only the thousand is usual.
        ("1,125", vocabulary.corner_mass, METRIC, 1125.0),
    ],
)
def test_the_limits_of_a_field_decide_what_a_comma_is(text, quantity, display, meant):
    assert read(text, quantity, "f", display) == pytest.approx(meant, rel=1e-8)


@pytest.mark.parametrize(
    ("text", "quantity", "display", "readings"),
    [
        ("1,125", _BETWEEN, METRIC, "can be read in two ways. Enter 1125 or 1.125."),
        ("1,125 mm", _BETWEEN, SHOP, "can be read in two ways. Enter 1125 or 1.125."),
        ("3,000", vocabulary.corner_mass, METRIC, "Enter 3000 or 3.000."),
        ("1,125", vocabulary.wheelbase, SHOP, "is 1125 or 1.125, and neither is allowed here."),
    ],
)
def test_where_both_readings_of_a_comma_are_possible_both_are_named(text, quantity, display, readings):
    with pytest.raises(ReadError) as caught:
        read(text, quantity, "f", display)
    assert readings in str(caught.value)


def test_a_comma_is_never_taken_for_a_number_that_is_hardly_ever_meant():
    """1,125 in a field in N/mm: 1125 N/mm is not allowed, 1.125 N/mm is soft beyond use, and 1125 lb/in is usual."""
    with pytest.raises(ReadError) as caught:
        read("1,125", vocabulary.spring_rate, "k", METRIC)
    assert plain(caught.value).startswith(
        "Spring rate: “1,125” is 1125, which is not allowed here, or 1.125, which is outside what is usual. "
        "Enter the number that you mean without a comma, with its unit. Allowed:"
    )


@pytest.mark.parametrize(
    ("text", "quantity", "meant"),
    [
        ("3900#", vocabulary.corner_mass, 3900 * POUND),
        ("3900 lbs.", vocabulary.corner_mass, 3900 * POUND),
        ("668 kilos", vocabulary.corner_mass, 668.0),
        ("250 #/in", vocabulary.spring_rate, 250 * 175.126835),
        ("250 lbs/inch", vocabulary.spring_rate, 250 * 175.126835),
        ("250 pounds per inch", vocabulary.spring_rate, 250 * 175.126835),
        ("4.5 kg/mm", vocabulary.spring_rate, 4.5 * 9806.65),
        ("4.5 kgf/mm", vocabulary.spring_rate, 4.5 * 9806.65),
        ("100 ft-lb", _MOMENT, 135.5818),
        ("100 ft-lbs", _MOMENT, 135.5818),
        ("100 lb-ft", _MOMENT, 135.5818),
        ("4 ft 10 in", vocabulary.mount_base, 58 * 0.0254),
        ("101 ½ in", vocabulary.wheelbase, 101.5 * 0.0254),
        ("8' 5 1/2\"", vocabulary.wheelbase, 101.5 * 0.0254),
        ("15\u00ba", vocabulary.lean, 0.2617994),
        ("15 deg", vocabulary.lean, 0.2617994),
        ("5 in/sec", vocabulary.knee_speed, 0.127),
    ],
)
def test_units_as_a_shop_writes_them(text, quantity, meant):
    for display in (SHOP, METRIC):
        assert read(text, quantity, "f", display) == pytest.approx(meant, rel=1e-6)


def test_a_plus_minus_takes_the_comma_of_its_page_too():
    assert read_plus_minus("1,125", vocabulary.corner_mass, "m") == pytest.approx(1125 * POUND)
    with pytest.raises(ReadError, match=r"Enter 1125 or 1\.125"):
        read_plus_minus("1,125", vocabulary.corner_mass, "m", METRIC)
    with pytest.raises(ReadError, match="plus or minus: “1,125” can be read"):
        read_plus_minus("1,125", _BETWEEN, "m", METRIC)
