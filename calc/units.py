"""Units: exact factors, the two display systems, and reading what a builder types.

Inside the handbook every value is in coherent SI units; units exist only where text is read or printed.
The factors are those of NIST SP 811 (2008), appendix B, and are exact except where pi enters.
"""
# Over 400 lines: the tables of all units and kinds, and how a number in them is read and printed.

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from calc.constants import GRAVITY
from calc.errors import NumberError, UnitError, UnknownNameError

POUND = 0.45359237
INCH = 0.0254
FOOT = 0.3048
POUND_FORCE = POUND * GRAVITY

NO_BREAK = "\u00a0"
MINUS = "\u2212"


class Dimension(NamedTuple):
    """Exponents of kilogram, meter, second and kelvin."""

    kilogram: int = 0
    meter: int = 0
    second: int = 0
    kelvin: int = 0


@dataclass(frozen=True)
class Unit:
    """A unit: one of it is `factor` SI units, counted from `offset`."""

    symbol: str
    factor: float
    offset: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Kind:
    """A kind of quantity: its dimension, the unit each system shows, and the units a reader may type.

    `decimals` says how many decimals each shown unit is printed with.
    `aliases` are further spellings of the units, beside those of their words (`lbs` for `lb`, `inch` for `in`).
    """

    name: str
    dimension: Dimension
    shop: Unit
    metric: Unit
    decimals: dict[str, int] = field(hash=False)
    others: tuple[Unit, ...] = ()
    aliases: dict[str, str] = field(default_factory=dict, hash=False)
    difference: str = ""
    """Name of the kind that a difference of two values has, where it is not this one (temperature)."""

    def units(self) -> tuple[Unit, ...]:
        """Every unit that may be typed, the shown ones first, none twice."""
        seen: dict[str, Unit] = {}
        for unit in (self.shop, self.metric, *self.others):
            seen.setdefault(unit.symbol, unit)
        return tuple(seen.values())

    def unit(self, symbol: str) -> Unit:
        """Return the unit with this spelling.

        Raises UnitError when the quantity has no such unit.

        >>> RATE.unit("lbf/in").symbol
        'lb/in'
        """
        wanted = _spelling(symbol)
        wanted = next((_spelling(leads) for alias, leads in self.aliases.items() if _spelling(alias) == wanted), wanted)
        for unit in self.units():
            if _spelling(unit.symbol) == wanted:
                return unit
        allowed = ", ".join(unit.symbol for unit in self.units() if unit.symbol)
        if not allowed:
            raise UnitError(f"“{symbol}” cannot be used here: this value has no unit.")
        raise UnitError(f"“{symbol}” is not a unit of this value. Allowed: {allowed}.")

    def shown(self, system: str) -> Unit:
        """Return the unit that a display system shows."""
        return self.metric if system == "metric" else self.shop


# What one word of a unit is also written as; a whole unit's other spellings are its kind's `aliases`.
_WORDS = {
    **dict.fromkeys(("lbs", "pound", "pounds", "#"), "lb"),
    **dict.fromkeys(("inch", "inches", "ins", '"'), "in"),
    **dict.fromkeys(("foot", "feet", "'"), "ft"),
    **dict.fromkeys(("millimeter", "millimeters", "millimetre", "millimetres"), "mm"),
    **dict.fromkeys(("centimeter", "centimeters", "centimetre", "centimetres"), "cm"),
    **dict.fromkeys(("meter", "meters", "metre", "metres"), "m"),
    **dict.fromkeys(("kgs", "kilo", "kilos", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("sec", "second", "seconds"), "s"),
    **dict.fromkeys(("deg", "degree", "degrees", "º"), "°"),
    **dict.fromkeys(("newton", "newtons"), "n"),
    "per": "/",
}
_WORD = re.compile(r"[a-z]+|[#\"'º]")


@lru_cache(maxsize=1024)
def _spelling(symbol: str) -> str:
    """Return a unit as it is compared: one word for one thing, and neither spaces nor the signs between factors."""
    text = _alike(symbol).lower().replace("²", "2").replace("³", "3")
    text = _WORD.sub(lambda word: _WORDS.get(word[0], word[0]), text)
    return re.sub(r"[\s·⋅•*^-]", "", text).rstrip(".")


_NONE = Unit("", 1.0)
_POUND = Unit("lb", POUND)
_KILOGRAM = Unit("kg", 1.0)
_INCH = Unit("in", INCH)
_MILLIMETER = Unit("mm", 1e-3)
_METER = Unit("m", 1.0)
_FOOT = Unit("ft", FOOT)
_POUND_FORCE = Unit("lbf", POUND_FORCE)
_NEWTON = Unit("N", 1.0)
_POUND_ALIASES = {"lbm": "lb", "tonne": "t", "tonnes": "t"}

MASS = Kind(
    name="mass",
    dimension=Dimension(kilogram=1),
    shop=_POUND,
    metric=_KILOGRAM,
    decimals={"lb": 0, "kg": 1},
    others=(Unit("t", 1000.0), Unit("slug", POUND_FORCE / FOOT)),
    aliases=_POUND_ALIASES,
)
LENGTH = Kind(
    name="length",
    dimension=Dimension(meter=1),
    shop=_INCH,
    metric=_MILLIMETER,
    decimals={"in": 2, "mm": 1, "cm": 2, "m": 4, "ft": 3},
    others=(Unit("cm", 1e-2), _METER, _FOOT),
)
DISTANCE = Kind(
    name="distance",
    dimension=Dimension(meter=1),
    shop=_INCH,
    metric=_MILLIMETER,
    decimals={"in": 1, "mm": 0, "cm": 1, "m": 3, "ft": 2},
    others=(Unit("cm", 1e-2), _METER, _FOOT),
)
# A rod or a wire, whose area or fourth power is taken: a 7/8 in rod is 0.875 in, not 0.88 in.
DIAMETER = Kind(
    name="diameter",
    dimension=Dimension(meter=1),
    shop=_INCH,
    metric=_MILLIMETER,
    decimals={"in": 3, "mm": 2, "cm": 3, "m": 5, "ft": 4},
    others=(Unit("cm", 1e-2), _METER, _FOOT),
)
FORCE = Kind(
    name="force",
    dimension=Dimension(1, 1, -2),
    shop=_POUND_FORCE,
    metric=_NEWTON,
    decimals={"lbf": 0, "N": 0, "kN": 3},
    others=(Unit("kN", 1e3),),
    aliases={"lb": "lbf"},
)
RATE = Kind(
    name="rate",
    dimension=Dimension(1, 0, -2),
    shop=Unit("lb/in", POUND_FORCE / INCH),
    metric=Unit("N/mm", 1e3),
    decimals={"lb/in": 1, "N/mm": 2, "N/m": 0, "kN/m": 2, "lbf/ft": 0, "kgf/mm": 3},
    others=(Unit("N/m", 1.0), Unit("kN/m", 1e3), Unit("lbf/ft", POUND_FORCE / FOOT), Unit("kgf/mm", GRAVITY * 1e3)),
    # A spring list that says kg/mm means the weight of a kilogram.
    aliases={"lbf/in": "lb/in", "lb/ft": "lbf/ft", "kg/mm": "kgf/mm", "kp/mm": "kgf/mm"},
)
RATE_SLOPE = Kind(
    name="rate per length",
    dimension=Dimension(1, -1, -2),
    shop=Unit("lb/in²", POUND_FORCE / INCH**2),
    metric=Unit("N/mm²", 1e6),
    decimals={"lb/in²": 2, "N/mm²": 4},
)
PRESSURE = Kind(
    name="pressure",
    dimension=Dimension(1, -1, -2),
    shop=Unit("psi", POUND_FORCE / INCH**2),
    metric=Unit("bar", 1e5),
    decimals={"psi": 1, "bar": 2, "kPa": 0, "MPa": 3},
    others=(Unit("kPa", 1e3), Unit("MPa", 1e6), Unit("Pa", 1.0)),
    aliases={"lbf/in2": "psi", "psig": "psi", "psia": "psi"},
)
STRESS = Kind(
    name="stress",
    dimension=Dimension(1, -1, -2),
    shop=Unit("ksi", 1e3 * POUND_FORCE / INCH**2),
    metric=Unit("MPa", 1e6),
    decimals={"ksi": 1, "MPa": 0, "GPa": 2, "Mpsi": 3},
    others=(Unit("GPa", 1e9), Unit("psi", POUND_FORCE / INCH**2), Unit("Mpsi", 1e6 * POUND_FORCE / INCH**2)),
    aliases={"n/mm2": "mpa", "kpsi": "ksi"},
)
VELOCITY = Kind(
    name="velocity",
    dimension=Dimension(0, 1, -1),
    shop=Unit("in/s", INCH),
    metric=Unit("m/s", 1.0),
    decimals={"in/s": 1, "m/s": 3, "mm/s": 0},
    others=(Unit("mm/s", 1e-3), Unit("ft/s", FOOT)),
    aliases={"ips": "in/s"},
)
ROAD_SPEED = Kind(
    name="road speed",
    dimension=Dimension(0, 1, -1),
    shop=Unit("mph", 5280 * FOOT / 3600),
    metric=Unit("km/h", 1 / 3.6),
    decimals={"mph": 1, "km/h": 0, "m/s": 2},
    others=(Unit("m/s", 1.0),),
    aliases={"kph": "km/h", "kmh": "km/h"},
)
# The standard counts roughness in 10⁻⁶ m³, which is a cm³, and so does everybody.
ROUGHNESS = Kind(
    name="roughness",
    dimension=Dimension(meter=3),
    shop=Unit("cm³", 1e-6),
    metric=Unit("cm³", 1e-6),
    decimals={"cm³": 0},
    others=(Unit("m³", 1.0),),
)
FREQUENCY = Kind(
    name="frequency",
    dimension=Dimension(0, 0, -1),
    shop=Unit("Hz", 1.0),
    metric=Unit("Hz", 1.0),
    decimals={"Hz": 2},
    others=(Unit("cpm", 1 / 60),),
)
ANGLE = Kind(
    name="angle",
    dimension=Dimension(),
    shop=Unit("°", math.pi / 180),
    metric=Unit("°", math.pi / 180),
    decimals={"°": 1, "rad": 4},
    others=(Unit("rad", 1.0),),
)
RATIO = Kind(name="ratio", dimension=Dimension(), shop=_NONE, metric=_NONE, decimals={"": 3})
NUMBER = Kind(name="number", dimension=Dimension(), shop=_NONE, metric=_NONE, decimals={"": 2})
COUNT = Kind(name="count", dimension=Dimension(), shop=_NONE, metric=_NONE, decimals={"": 0})
MONEY = Kind(name="money", dimension=Dimension(), shop=_NONE, metric=_NONE, decimals={"": 2})
SHARE = Kind(
    name="share",
    dimension=Dimension(),
    shop=Unit("%", 0.01),
    metric=Unit("%", 0.01),
    decimals={"%": 1},
    aliases={"percent": "%"},
)
PER_LENGTH = Kind(
    name="per length",
    dimension=Dimension(meter=-1),
    shop=Unit("per in", 1 / INCH),
    metric=Unit("per m", 1.0),
    decimals={"per in": 4, "per m": 3},
    others=(Unit("per mm", 1e3),),
    aliases={"1/in": "per in", "1/m": "per m", "1/mm": "per mm", "turns/in": "per in", "turns/mm": "per mm"},
)
# A ratio that changes by a few thousandths per inch needs a digit more than turns per inch do.
RATIO_PER_LENGTH = Kind(
    name="ratio per length",
    dimension=Dimension(meter=-1),
    shop=PER_LENGTH.shop,
    metric=PER_LENGTH.metric,
    decimals={"per in": 5, "per m": 4},
    others=PER_LENGTH.others,
    aliases=PER_LENGTH.aliases,
)
DAMPING = Kind(
    name="damping coefficient",
    dimension=Dimension(1, 0, -1),
    shop=Unit("lbf·s/in", POUND_FORCE / INCH),
    metric=Unit("N·s/m", 1.0),
    decimals={"lbf·s/in": 2, "N·s/m": 0, "N·s/mm": 3},
    others=(Unit("N·s/mm", 1e3),),
    aliases={"lb s/in": "lbf·s/in", "kg/s": "N·s/m"},
)
MOMENT = Kind(
    name="moment",
    dimension=Dimension(1, 2, -2),
    shop=Unit("lbf·ft", POUND_FORCE * FOOT),
    metric=Unit("N·m", 1.0),
    decimals={"lbf·ft": 0, "N·m": 0},
    aliases={"ft·lbf": "lbf·ft", "lb·ft": "lbf·ft", "ft·lb": "lbf·ft"},
)
ROLL_RATE = Kind(
    name="moment per angle",
    dimension=Dimension(1, 2, -2),
    shop=Unit("lbf·ft/°", POUND_FORCE * FOOT * 180 / math.pi),
    metric=Unit("N·m/°", 180 / math.pi),
    decimals={"lbf·ft/°": 0, "N·m/°": 0, "N·m/rad": 0},
    others=(Unit("N·m/rad", 1.0),),
    aliases={"lb·ft/°": "lbf·ft/°", "ft·lb/°": "lbf·ft/°", "ft·lbf/°": "lbf·ft/°"},
)
LENGTH_PER_ANGLE = Kind(
    name="length per angle",
    dimension=Dimension(meter=1),
    shop=Unit("in/°", INCH * 180 / math.pi),
    metric=Unit("mm/°", 1e-3 * 180 / math.pi),
    decimals={"in/°": 2, "mm/°": 1},
)
ANGLE_PER_ACCELERATION = Kind(
    name="angle per acceleration",
    dimension=Dimension(0, -1, 2),
    shop=Unit("°/g", math.pi / 180 / GRAVITY),
    metric=Unit("°/g", math.pi / 180 / GRAVITY),
    decimals={"°/g": 1, "rad/(m/s²)": 5},
    others=(Unit("rad/(m/s²)", 1.0),),
)
MASS_MOMENT = Kind(
    name="mass moment",
    dimension=Dimension(1, 1),
    shop=Unit("lb·in", POUND * INCH),
    metric=Unit("kg·m", 1.0),
    decimals={"lb·in": 0, "kg·m": 2},
)
ENERGY = Kind(
    name="energy",
    dimension=Dimension(1, 2, -2),
    shop=Unit("ft·lbf", POUND_FORCE * FOOT),
    metric=Unit("J", 1.0),
    decimals={"ft·lbf": 0, "J": 0},
    aliases={"ft·lb": "ft·lbf", "lb·ft": "ft·lbf", "lbf·ft": "ft·lbf"},
)
AREA = Kind(
    name="area",
    dimension=Dimension(meter=2),
    shop=Unit("in²", INCH**2),
    metric=Unit("cm²", 1e-4),
    decimals={"in²": 3, "cm²": 2},
    others=(Unit("mm²", 1e-6), Unit("m²", 1.0)),
)
VOLUME = Kind(
    name="volume",
    dimension=Dimension(meter=3),
    shop=Unit("in³", INCH**3),
    metric=Unit("cm³", 1e-6),
    decimals={"in³": 1, "cm³": 0},
    others=(Unit("mm³", 1e-9), Unit("L", 1e-3), Unit("m³", 1.0)),
    aliases={"cc": "cm3", "ml": "cm3"},
)
DENSITY = Kind(
    name="density",
    dimension=Dimension(1, -3),
    shop=Unit("lb/in³", POUND / INCH**3),
    metric=Unit("kg/m³", 1.0),
    decimals={"lb/in³": 3, "kg/m³": 0},
)
ACCELERATION = Kind(
    name="acceleration",
    dimension=Dimension(0, 1, -2),
    shop=Unit("ft/s²", FOOT),
    metric=Unit("m/s²", 1.0),
    decimals={"ft/s²": 2, "m/s²": 2, "g": 2},
    others=(Unit("g", GRAVITY), Unit("in/s²", INCH)),
)
LATERAL_ACCELERATION = Kind(
    name="sideways acceleration",
    dimension=Dimension(0, 1, -2),
    shop=Unit("g", GRAVITY),
    metric=Unit("g", GRAVITY),
    decimals={"g": 2, "m/s²": 2, "ft/s²": 2},
    others=(Unit("m/s²", 1.0), Unit("ft/s²", FOOT)),
)
TEMPERATURE = Kind(
    name="temperature",
    dimension=Dimension(kelvin=1),
    shop=Unit("°F", 5 / 9, 459.67 * 5 / 9),
    metric=Unit("°C", 1.0, 273.15),
    decimals={"°F": 0, "°C": 0, "K": 1},
    others=(Unit("K", 1.0),),
    aliases={"f": "°F", "c": "°C", "degf": "°F", "degc": "°C", "℉": "°F", "℃": "°C"},
    difference="temperature difference",
)
TEMPERATURE_DIFFERENCE = Kind(
    name="temperature difference",
    dimension=Dimension(kelvin=1),
    shop=Unit("°F", 5 / 9),
    metric=Unit("°C", 1.0),
    decimals={"°F": 1, "°C": 1},
)

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        *(
            MASS,
            LENGTH,
            DISTANCE,
            DIAMETER,
            FORCE,
            RATE,
            RATE_SLOPE,
            PRESSURE,
            STRESS,
            VELOCITY,
            FREQUENCY,
            ANGLE,
            RATIO,
        ),
        *(
            NUMBER,
            COUNT,
            MONEY,
            SHARE,
            PER_LENGTH,
            RATIO_PER_LENGTH,
            DAMPING,
            MOMENT,
            ROLL_RATE,
            LENGTH_PER_ANGLE,
            ANGLE_PER_ACCELERATION,
            MASS_MOMENT,
            ENERGY,
            AREA,
            VOLUME,
            DENSITY,
        ),
        *(ACCELERATION, LATERAL_ACCELERATION, TEMPERATURE, TEMPERATURE_DIFFERENCE, ROAD_SPEED, ROUGHNESS),
    )
}


def kind(name: str) -> Kind:
    """Return the kind with this name. Raises UnknownNameError.

    >>> kind("rate").metric.symbol
    'N/mm'
    """
    try:
        return KINDS[name]
    except KeyError:
        raise UnknownNameError(f"There is no kind of quantity called {name!r}.") from None


def to_si(value: float, unit: Unit) -> float:
    """Convert a number of units to SI.

    >>> round(to_si(1.0, RATE.unit("lb/in")), 4)
    175.1268
    """
    return value * unit.factor + unit.offset


def from_si(value: float, unit: Unit) -> float:
    """Convert an SI value to a number of units.

    >>> round(from_si(175.1268, RATE.unit("lb/in")), 4)
    1.0
    """
    return (value - unit.offset) / unit.factor


_VULGAR = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅙": "1/6",
    "⅚": "5/6",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅕": "1/5",
    "⅖": "2/5",
    "⅗": "3/5",
    "⅘": "4/5",
    "⅐": "1/7",
    "⅑": "1/9",
    "⅒": "1/10",
}
# Signs that a keyboard, a phone or another page sets in the place of the plain one.
_ALIKE = str.maketrans(
    {
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2212\ufe63\uff0d", "-"),
        **dict.fromkeys("\u2032\u2018\u2019\u02bc\u00b4", "'"),
        **dict.fromkeys("\u2033\u201c\u201d", '"'),
        "\u2044": "/",
        "\u2215": "/",
        # Marks that steer the direction of text or join letters show nothing.
        **dict.fromkeys("\u200b\u200e\u200f\u202a\u202b\u202c\u2060\ufeff", None),
    }
)
_NUMBER = r"(?:\d+[ -])?\d+ ?/ ?\d+|\d+(?:[.,]\d+)?"
_FRACTION = re.compile(r"(?:(\d+)[ -])?(\d+) ?/ ?(\d+)(?!\d)")
_PLAIN = re.compile(r"\d[\d.,' ]*(?:[eE][+-]?\d+)?|[.,]\d+(?:[eE][+-]?\d+)?")
_GROUPED = re.compile(r"\d{1,3}(?:([,.' ])\d{3})(?:\1\d{3})*")
_TWO_WAYS = re.compile(r"[1-9]\d{0,2},\d{3}")
_FEET = re.compile(
    rf"(\d+) ?(?:'(?!\d{{3}}\b)|ft\.?|foot|feet) ?-? ?({_NUMBER}) ?(?:\"|in\.?|inch|inches)?", re.IGNORECASE
)
_LONGEST = 60
# Far beyond what anything on a vehicle reads in any unit, and far from where a computer's numbers end.
_LARGEST_TYPED = 1e15


@dataclass(frozen=True, kw_only=True)
class Typed:
    """A typed text, read: its number, its unit (possibly empty), and the other number that it may stand for.

    "1,125" is 1125 as this handbook prints numbers, and 1.125 to a reader who sets a comma before decimals: `comma`.
    """

    text: str
    number: float
    unit: str
    comma: float | None = None

    def two_ways(self) -> str:
        """Return the sentence that asks which of both readings is meant."""
        return f"“{self.text}” can be read in two ways. Enter {self._both()}."

    def neither_way(self) -> str:
        """Return the sentence for where neither of both readings is allowed."""
        return f"“{self.text}” is {self._both()}, and neither is allowed here."

    def unlikely_way(self) -> str:
        """Return the sentence for where the larger reading is not allowed and the smaller one hardly ever meant."""
        return (
            f"“{self.text}” is {self.number:.0f}, which is not allowed here, or {self.comma:.3f}, which is outside what is "
            "usual. Enter the number that you mean without a comma, with its unit."
        )

    def _both(self) -> str:
        return f"{self.number:.0f} or {self.comma:.3f}"


def read_typed(text: str) -> Typed:
    """Read a typed text: one number, and behind it the unit.

    Reads decimal point and comma, thousands marks, fractions ("3 1/2", "3½"), feet with inches and exponents.
    Raises NumberError with a sentence when the text is not one number.

    >>> read_typed("2,250 lb").number, read_typed("2,250 lb").comma
    (2250.0, 2.25)
    >>> read_typed("8 ft 5 1/2 in").number
    101.5
    """
    typed = " ".join(text.split())
    if not typed:
        raise NumberError("Nothing is entered.")
    if len(typed) > _LONGEST:
        raise NumberError(
            f"The entry is too long ({len(typed)} characters). Enter one number, with its unit if you like."
        )
    body = _alike(typed)
    for sign, plain in _VULGAR.items():
        body = body.replace(sign, f" {plain} ")
    body = " ".join(body.split())
    negative = body.startswith("-")
    if body[:1] in ("-", "+"):
        body = body[1:].lstrip()
    if feet := _FEET.fullmatch(body):
        number, comma, rest = _feet_and_inches(feet, typed), None, "in"
    else:
        number, comma, rest = _number_and_rest(body, typed)
    if not math.isfinite(number) or number > _LARGEST_TYPED:
        raise NumberError(f"“{typed}” is too large a number.")
    if 0 < number < 1 / _LARGEST_TYPED:
        raise NumberError(f"“{typed}” is too small a number. Enter 0 if you mean zero.")
    if negative:
        number, comma = -number, None if comma is None else -comma
    return Typed(text=typed, number=number, unit=rest, comma=comma)


def split_number(text: str) -> tuple[float, str]:
    """Split a text into its number and the rest, which is the unit (possibly empty).

    Raises NumberError as `read_typed` does, and for what could be two different numbers: nothing here can tell which.

    >>> split_number("3 1/2 in")
    (3.5, 'in')
    >>> split_number("12,5")
    (12.5, '')
    """
    typed = read_typed(text)
    if typed.comma is not None:
        raise NumberError(typed.two_ways())
    return typed.number, typed.unit


def parse_number(text: str) -> float:
    """Read a text that holds a number and nothing else. Raises NumberError.

    >>> parse_number("1,125.5")
    1125.5
    """
    value, rest = split_number(text)
    if rest:
        raise NumberError(f"“{' '.join(text.split())}” is not a number. Enter a number such as 3.5 or 3 1/2.")
    return value


def _alike(text: str) -> str:
    """Return a text with one sign for a minus, a foot, an inch and a fraction's line, however they were written."""
    return text.translate(_ALIKE).replace("''", '"')


def _number_and_rest(body: str, typed: str) -> tuple[float, float | None, str]:
    """Return a number without its sign, the other way to read it if there is one, and what stands behind it."""
    comma = None
    if match := _FRACTION.match(body):
        value = _fraction(match, typed)
    elif match := _PLAIN.match(body):
        value, comma = _plain_number(match.group(0).rstrip(" '"), typed)
    else:
        raise NumberError(f"“{typed}” is not a number. Enter a number such as 3.5 or 3 1/2.")
    rest = body[match.end() :].strip()
    if match.group(0).endswith("'"):
        rest = "'" + rest
    if rest and (rest[0].isdigit() or rest[0] in "+-/.,"):
        raise NumberError(f"“{typed}” is not one number. Enter a number such as 3.5 or 3 1/2.")
    return value, comma, rest


def _fraction(match: re.Match[str], typed: str) -> float:
    whole, top, bottom = match.groups()
    if int(bottom) == 0:
        raise NumberError(f"“{typed}” divides by zero. Enter a number such as 3 1/2.")
    if whole and not 0 < int(top) < int(bottom):
        raise NumberError(f"“{typed}” is not one number. Enter a number such as 3.5 or 3 1/2.")
    return (int(whole or 0) * int(bottom) + int(top)) / int(bottom)


def _feet_and_inches(match: re.Match[str], typed: str) -> float:
    """Return feet with inches behind them, in inches."""
    feet, text = match.groups()
    inches, _, _ = _number_and_rest(text, typed)
    if inches >= 12:
        raise NumberError(f"“{typed}” is not one length. After feet come less than 12 inches, as in 8 ft 5 1/2 in.")
    return 12.0 * int(feet) + inches


def _plain_number(digits: str, typed: str) -> tuple[float, float | None]:
    digits = digits.rstrip(".,") if digits[-1:] in ".," and digits.count(digits[-1]) == 1 else digits
    mantissa, exponent = [*re.split("[eE]", digits), "0"][:2]
    power = f"e{exponent}"
    if _TWO_WAYS.fullmatch(mantissa):
        return float(mantissa.replace(",", "") + power), float(mantissa.replace(",", ".") + power)
    if _GROUPED.fullmatch(mantissa) and not re.fullmatch(r"\d+[.,]\d{3}", mantissa):
        return float(re.sub(r"[,.' ]", "", mantissa) + power), None
    last = max(mantissa.rfind("."), mantissa.rfind(","))
    if last < 0:
        if not mantissa.isdigit():
            raise NumberError(f"“{typed}” is not one number. Enter a number such as 3.5 or 3 1/2.")
        return float(mantissa + power), None
    whole, decimals = mantissa[:last], mantissa[last + 1 :]
    mark = mantissa[last]
    other = "," if mark == "." else "."
    whole_ok = whole == "" or whole.isdigit() or re.fullmatch(rf"\d{{1,3}}(?:[{other}' ]\d{{3}})+", whole)
    if not whole_ok or not (decimals == "" or decimals.isdigit()):
        raise NumberError(f"“{typed}” is not one number. Enter a number such as 3.5 or 3 1/2.")
    return float(re.sub(r"[,.' ]", "", whole or "0") + "." + (decimals or "0") + power), None


def format_number(value: float, decimals: int) -> str:
    """Print a number for reading: thousands set apart, a true minus sign, no minus zero.

    >>> format_number(1134.4, 0)
    '1,134'
    >>> format_number(-0.001, 2)
    '0.00'
    """
    if not math.isfinite(value):
        raise NumberError("A result is not a finite number.")
    text = f"{_off_a_half(value, decimals):,.{decimals}f}"
    if text.startswith("-"):
        text = text[1:] if not text.strip("-0.,") else MINUS + text[1:]
    return text


def rounded(value: float, decimals: int) -> float:
    """Return the number that `format_number` prints.

    >>> rounded(1134.4375, 3), rounded(-0.0004, 3)
    (1134.438, 0.0)
    """
    return round(_off_a_half(value, decimals), decimals) + 0.0


def _off_a_half(value: float, decimals: int) -> float:
    # The last bit of a conversion must not decide how a half is rounded: 0.375 prints as 0.38 on every machine.
    return value + math.copysign(10.0 ** -(decimals + 7), value)


def format_entry(value: float, decimals: int | None = None) -> str:
    """Print a number for an entry field: plain digits, no thousands marks, nothing lost that matters.

    >>> format_entry(2453.0)
    '2453'
    >>> format_entry(3.3000000001)
    '3.3'
    """
    if decimals is not None:
        value = round(value, decimals)
    text = f"{value:.7g}"
    if "e" in text:
        text = f"{value:.12f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
