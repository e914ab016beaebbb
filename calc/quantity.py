"""What a field is: a number with its unit and limits, one choice of several, or a table of rows.

A quantity is declared once, in the annotated type of a parameter or of a result.
The form, its messages, the reference, the command-line help and the generated tests all read that declaration.
"""
# Over 400 lines: a quantity, how it is printed and how it is read hold one another: an error prints, a print rounds.

from __future__ import annotations

import math
import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, field, fields, is_dataclass, replace
from functools import cache
from typing import Annotated, Any, get_args, get_origin

from calc import units
from calc.errors import (
    FieldError,
    MissingError,
    NumberError,
    RangeError,
    ReadError,
    UnitError,
    UnlikelyError,
)

# What a plus-minus means, wherever one stands first.
EVERY_PLUS_MINUS = f"Every ± is at 95{units.NO_BREAK}%."


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """A number that a builder enters or reads.

    `low` and `high` are the limits in SI, `low_open` and `high_open` say that the limit itself is refused.
    `usual` is the span in which a value of this kind is found in practice: a bare number outside it, that would lie
    inside it in the other unit system, is asked back.
    `assumed` is a safe default that may be used, always shown as assumed; None means that there is none.
    `plus_minus` (SI) and `plus_minus_share` (of the value) are the uncertainty (k = 2) that is taken when none is given.
    `least_told` is the smallest value that is told as a number: what is above zero and below it prints as under it.
    """

    label: str
    symbol: str
    kind: units.Kind
    low: float
    high: float
    typical: float
    help: str
    low_open: bool = False
    high_open: bool = False
    usual: tuple[float, float] | None = None
    assumed: float | None = None
    plus_minus: float = 0.0
    plus_minus_share: float = 0.0
    least_told: float = 0.0

    def called(self, label: str, symbol: str | None = None, told: str | None = None, **changes: Any) -> Quantity:
        """Return the same quantity under another label, and `told` as its help, for a second value of the same kind."""
        return replace(self, label=label, symbol=symbol or self.symbol, help=told or self.help, **changes)

    def within(self, low: float | None = None, high: float | None = None) -> Quantity:
        """Return the same quantity with other limits: a result may lie where no entry would."""
        return replace(self, low=self.low if low is None else low, high=self.high if high is None else high)

    def uncertainty(self, value: float) -> float:
        """Return the plus-minus (k = 2, SI) that is taken when the reader gives none."""
        return max(self.plus_minus, abs(value) * self.plus_minus_share)

    def barely(self, value: float) -> bool:
        """Tell whether a value is above zero, but too small to be told as a number."""
        return 0.0 < value < self.least_told

    def shop_text(self, value: float) -> str:
        """Print a value in shop units: an error does so where nobody says in which."""
        return SHOP.text(value, self)

    @property
    def widest(self) -> float:
        """The largest plus-minus that says anything (SI): no value lies further from another, or from zero."""
        return self.high - min(self.low, 0.0)

    def accepts(self, value: Any) -> Any:
        """Tell whether a value (or each of an array of values) lies inside the limits."""
        above = value > self.low if self.low_open else value >= self.low
        below = value < self.high if self.high_open else value <= self.high
        return above & below

    def check(self, value: Any, name: str) -> float:
        """Return the value if it is allowed. Raises ReadError, or RangeError that tells the limits and a typical value."""
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
            raise ReadError(name, f"{self.label} is not a finite number.", values=self._numbers(), **self._sentences())
        if not self.accepts(value):
            low = value < self.low or (self.low_open and value <= self.low)
            bound = (
                "above" if low and self.low_open else "at least" if low else "below" if self.high_open else "at most"
            )
            raise RangeError(
                name,
                f"{self.label} must be {bound} {{limit}} (got {{value}}).",
                values={
                    "limit": (self.low if low else self.high, self),
                    "value": (value, self),
                    **self._numbers(),
                },
                **self._sentences(),
            )
        # A zero has no sign: values that are equal are the same, wherever they are compared.
        return float(value) + 0.0

    def holds(self, value: float) -> bool:
        """Tell whether a result lies inside the limits, or on one of them but for the rounding of its last bits."""
        near = 1e-9 * max(abs(self.low), abs(self.high))
        return self.low - near <= value <= self.high + near

    def impossible(self, value: float, advice: str) -> RangeError:
        """Return the error for a result outside the limits, with what to do."""
        return RangeError(
            "",
            f"{self.label} comes out at {{value}}: no such rig is worked with here. {advice}",
            allowed="Possible: from {low} to {high}.",
            values={"value": (value, self), **self._numbers()},
        )

    def missing(self, name: str) -> MissingError:
        """Return the error for an absent value."""
        return MissingError(name, f"{self.label} is missing.", values=self._numbers(), **self._sentences())

    def _sentences(self) -> dict[str, str]:
        low = "above {low}" if self.low_open else "from {low}"
        high = "below {high}" if self.high_open else "to {high}" if not self.low_open else "up to {high}"
        joint = f"{low} and {high}" if self.low_open or self.high_open else f"{low} {high}"
        return {"allowed": f"Allowed: {joint}.", "typical": "Typical: {typical}."}

    def _numbers(self) -> dict[str, tuple[float, Quantity]]:
        return {"low": (self.low, self), "high": (self.high, self), "typical": (self.typical, self)}


@dataclass(frozen=True)
class Option:
    """One of the values that a choice can take."""

    value: str
    label: str
    help: str = ""


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One of several named values."""

    label: str
    options: tuple[Option, ...]
    typical: str
    help: str

    def check(self, value: str, name: str) -> str:
        """Return the value if it is one of the options. Raises RangeError."""
        if value in (option.value for option in self.options):
            return value
        allowed = ", ".join(f"“{option.value}”" for option in self.options)
        raise RangeError(
            name,
            f"{self.label} is “{value}”, which is not one of its choices.",
            allowed=f"Allowed: {allowed}.",
        )

    def text(self, value: str) -> str:
        """Return the label of a value."""
        return next((option.label for option in self.options if option.value == value), value)

    def missing(self, name: str) -> MissingError:
        """Return the error for an absent choice."""
        return MissingError(name, f"{self.label} is not chosen.")


@dataclass(frozen=True, kw_only=True)
class Text:
    """A short text, such as the name of an item. It is only ever shown as text."""

    label: str
    help: str = ""
    longest: int = 80

    def check(self, value: str, name: str) -> str:
        """Return the text if it is short enough. Raises RangeError."""
        if len(value) > self.longest:
            raise RangeError(
                name,
                f"{self.label} is too long ({len(value)} characters).",
                allowed=f"Allowed: up to {self.longest} characters.",
            )
        return value


@dataclass(frozen=True, kw_only=True)
class Table:
    """Rows of one frozen dataclass, whose fields are annotated quantities, choices or texts."""

    label: str
    row: type
    help: str
    least: int = 0
    most: int = 60

    def columns(self) -> dict[str, Declared]:
        """Return the declared fields of a row, by name."""
        return declared_fields(self.row)


Declaration = Quantity | Choice | Text | Table


@dataclass(frozen=True, kw_only=True)
class Declared:
    """A named field: its declaration, whether it may be absent, and what is taken then."""

    name: str
    is_a: Declaration
    optional: bool
    default: Any = None

    @property
    def quantity(self) -> Quantity:
        """The declaration, where it must be a number."""
        if not isinstance(self.is_a, Quantity):
            raise TypeError(f"{self.name} is not a number.")
        return self.is_a


def declaration(annotation: Any) -> tuple[Declaration, bool]:
    """Return the declaration inside an annotated type, and whether the type admits None.

    Raises TypeError when there is none: a field without a declaration is a mistake of the handbook.
    """
    if get_origin(annotation) is Annotated:
        for extra in reversed(get_args(annotation)[1:]):
            if isinstance(extra, (Quantity, Choice, Text, Table)):
                return extra, False
    if get_origin(annotation) in (typing.Union, types.UnionType):
        inner = [part for part in get_args(annotation) if part is not type(None)]
        if len(inner) == 1:
            return declaration(inner[0])[0], True
    raise TypeError(f"{annotation!r} carries no quantity, choice, text or table.")


@cache
def declared_fields(of: type) -> dict[str, Declared]:
    """Return the declared fields of a dataclass, in order: read once, because a page asks for each cell of a table."""
    if not is_dataclass(of):
        raise TypeError(f"{of!r} is not a dataclass.")
    hints = typing.get_type_hints(of, include_extras=True)
    found: dict[str, Declared] = {}
    for item in fields(of):
        is_a, optional = declaration(hints[item.name])
        default = None if item.default is MISSING else item.default
        found[item.name] = Declared(
            name=item.name, is_a=is_a, optional=optional or item.default is not MISSING, default=default
        )
    return found


def declared_parameters(function: Callable[..., Any]) -> dict[str, Declared]:
    """Return the declared keyword parameters of a function, in order."""
    hints = typing.get_type_hints(function, include_extras=True)
    hints.pop("return", None)
    defaults = function.__kwdefaults__ or {}
    found: dict[str, Declared] = {}
    for name, hint in hints.items():
        is_a, optional = declaration(hint)
        found[name] = Declared(name=name, is_a=is_a, optional=optional or name in defaults, default=defaults.get(name))
    return found


def declared_results(function: Callable[..., Any]) -> dict[str, Declared]:
    """Return the declared fields of the frozen dataclass that a function returns, in order."""
    return declared_fields(typing.get_type_hints(function)["return"])


def place(name: str) -> str:
    """Return the name that a field's unit is shown under: a cell of a table has that of its column.

    >>> place("case.0.items.2.mass")
    'case.items.mass'
    """
    return ".".join(part for part in name.split(".") if not part.isdigit())


@dataclass(frozen=True)
class Display:
    """The reader's units: a system, and a unit of their own for single fields."""

    system: str = "shop"
    fields: Mapping[str, str] = field(default_factory=dict)

    def unit(self, quantity: Quantity, name: str = "") -> units.Unit:
        """Return the unit in which this field is shown; a cell of a table is shown in that of its column."""
        chosen = (self.fields.get(name) or self.fields.get(place(name))) if self.fields else None
        if chosen is not None:
            try:
                return quantity.kind.unit(chosen)
            except UnitError:
                pass  # a unit kept from an older page that this field no longer has: show the system's
        return quantity.kind.shown(self.system)

    def decimals(self, quantity: Quantity, name: str = "") -> int:
        """Return with how many decimals this field is printed."""
        return quantity.kind.decimals.get(self.unit(quantity, name).symbol, 3)

    def number(self, value: float, quantity: Quantity, name: str = "", decimals: int | None = None) -> str:
        """Print the value without its unit."""
        places = self.decimals(quantity, name) if decimals is None else decimals
        return units.format_number(units.from_si(float(value), self.unit(quantity, name)), places)

    def text(self, value: float, quantity: Quantity, name: str = "", decimals: int | None = None) -> str:
        """Print the value with its unit, which it never breaks from.

        A value that stands on an eighth prints whole (0.375 in), and a small value never prints as zero; where its
        quantity has a least value that is told, it prints as under that.
        """
        if decimals is None and quantity.barely(value):
            return f"under {self.text(quantity.least_told, quantity, name)}"
        unit = self.unit(quantity, name)
        shown = units.from_si(float(value), unit)
        places = _telling(shown, quantity.kind.decimals.get(unit.symbol, 3)) if decimals is None else decimals
        return join_unit(units.format_number(shown, places), unit.symbol)

    def plain(self, value: float, quantity: Quantity, name: str = "") -> str:
        """Print the value with its unit as a person would write it: no zeros behind the point that say nothing."""
        unit = self.unit(quantity, name)
        whole_at = _whole_at(units.from_si(float(value), unit), quantity.kind.decimals.get(unit.symbol, 3))
        return self.text(value, quantity, name, whole_at)

    def plain_number(self, value: float, quantity: Quantity, name: str = "") -> tuple[float, int]:
        """Return the value in its unit, and with how many decimals `plain` prints it."""
        unit = self.unit(quantity, name)
        shown, most = units.from_si(float(value), unit), quantity.kind.decimals.get(unit.symbol, 3)
        whole_at = _whole_at(shown, most)
        if whole_at is not None:
            return shown, whole_at
        told = units.from_si(quantity.least_told, unit) if quantity.barely(value) else shown
        return shown, _telling(told, most)

    def plus_minus(self, value: float, quantity: Quantity, name: str = "") -> str:
        """Print an uncertainty in the field's unit, without the unit."""
        unit = self.unit(quantity, name)
        shown = float(value) / unit.factor
        places = self.decimals(quantity, name)
        # One place more when the field's own would print a real uncertainty as zero.
        while places < 6 and shown and round(shown, places) == 0:
            places += 1
        return units.format_number(shown, places)

    def apart(self, value: float, limit: float, quantity: Quantity, name: str = "") -> int:
        """Return with how many decimals a value and its limit differ in print: rounding must never make a finding lie."""
        places = self.decimals(quantity, name)
        while (
            places < 6
            and not math.isclose(value, limit, rel_tol=1e-9)
            and self.number(value, quantity, name, places) == self.number(limit, quantity, name, places)
        ):
            places += 1
        return places

    def limit(self, limit: float, quantity: Quantity, name: str, decimals: int) -> str:
        """Print a limit as finely as the value that is held against it, or whole where that takes one decimal more."""
        printed = self.text(limit, quantity, name)
        same = self.text(limit, quantity, name, decimals)
        return printed if len(printed) > len(same) else same

    def limits(self, limits: Mapping[str, float], quantity: Quantity, name: str = "") -> dict[str, str]:
        """Print `at_least` and `at_most` as a person would write them, each alone and both as a span, `limits`."""
        shown = {side: self.plain(limit, quantity, name) for side, limit in limits.items()}
        if len(shown) == 2:
            unit = join_unit("", self.unit(quantity, name).symbol)
            shown["limits"] = f"{shown['at_least'].removesuffix(unit)} to {shown['at_most']}"
        return shown

    def doubt(self, value: float, plus_minus: float, quantity: Quantity, name: str = "") -> str:
        """Print the uncertainty of a result; empty where it has none, and where the result only prints as under a value."""
        return self.plus_minus(plus_minus, quantity, name) if plus_minus and not quantity.barely(value) else ""

    def entry(self, value: float, quantity: Quantity, name: str = "") -> str:
        """Print the value for an entry field: plain digits in the field's unit, two places finer than it is printed.

        Small values keep four figures. So a switch of units there and back loses nothing that was typed.
        """
        shown = units.from_si(float(value), self.unit(quantity, name))
        figures = 3 - math.floor(math.log10(abs(shown))) if shown else 0
        return units.format_entry(shown, max(self.decimals(quantity, name) + 2, figures))


def _whole_at(shown: float, most: int) -> int | None:
    """Return how few decimals print a number whole, None where as many as its field has do not."""
    return next((places for places in range(most) if _exact(shown, places)), None)


def _telling(shown: float, decimals: int) -> int:
    """Return with how many decimals a number is printed that is shown with so many: what is small, or on an eighth, has more."""
    most = decimals + 3
    if not _exact(shown, decimals) and _exact(shown, decimals + 1) and _exact(8 * shown, 0):
        decimals += 1
    while decimals < most and abs(shown) > 1e-9 and round(shown, decimals) == 0:
        decimals += 1
    return decimals


def _exact(shown: float, decimals: int) -> bool:
    """Tell whether so many decimals print a number whole, but for the last bits of its conversion."""
    return math.isclose(shown, round(shown, decimals), rel_tol=1e-9, abs_tol=1e-12)


SHOP = Display("shop")
METRIC = Display("metric")


def join_unit(number: str, symbol: str) -> str:
    """Put a unit behind a number so that a line never breaks between them."""
    if not symbol:
        return number
    return number + symbol if symbol == "°" else number + units.NO_BREAK + symbol.replace(" ", units.NO_BREAK)


def read(text: str, quantity: Quantity, name: str, display: Display = SHOP) -> float:
    """Read what was typed into a field and return it in SI.

    A unit may be typed ("250 lb/in", "44 N/mm"); without one the field's shown unit is meant.
    Raises ReadError, UnlikelyError, RangeError or MissingError, each with the whole message for that field.
    """
    if not text.strip():
        raise quantity.missing(name)
    try:
        typed = units.read_typed(text)
        number, unit = _settled(typed, quantity, name, display, quantity.accepts, units.to_si)
    except (NumberError, UnitError) as problem:
        raise ReadError(
            name, f"{quantity.label}: {problem}", values=quantity._numbers(), **quantity._sentences()
        ) from None
    value = units.to_si(number, unit)
    if not typed.unit:
        _ask_back(number, value, quantity, name, unit)
    return quantity.check(value, name)


def read_in_unit(text: str, quantity: Quantity, name: str, display: Display) -> tuple[float, units.Unit]:
    """Return the number that was typed into a field and the unit that it is in, whatever its limits say of it.

    Raises NumberError or UnitError.
    """
    return _settled(units.read_typed(text), quantity, name, display, quantity.accepts, units.to_si)


def read_plus_minus(text: str, quantity: Quantity, name: str, display: Display = SHOP) -> float:
    """Read the plus-minus that was typed beside a field and return it in SI: a difference, so no offset of its unit counts.

    Raises ReadError or RangeError for the field `name.plus_minus`.

    >>> from calc.vocabulary import lean
    >>> round(read_plus_minus("0.5", lean, "lean"), 6)
    0.008727
    """
    field_name = f"{name}.plus_minus"

    def accepts(size: float) -> bool:
        return 0 <= size <= quantity.widest

    try:
        typed = units.read_typed(text)
        # What is usual is told of values, not of their plus-minus.
        own = quantity if typed.comma is None else replace(quantity, usual=None)
        number, unit = _settled(typed, own, name, display, accepts, _difference)
    except (NumberError, UnitError) as problem:
        raise ReadError(
            field_name, f"{quantity.label}, plus or minus: {problem}", allowed="Allowed: a number of 0 or more."
        ) from None
    size = _difference(number, unit)
    if not accepts(size):
        raise RangeError(
            field_name,
            f"{quantity.label}: the plus or minus must be 0 or more, and smaller than the values themselves.",
            allowed="Allowed: 0 and more; empty takes the usual one.",
        )
    return size


def _difference(number: float, unit: units.Unit) -> float:
    return number * unit.factor


def _settled(
    typed: units.Typed,
    quantity: Quantity,
    name: str,
    display: Display,
    accepts: Callable[[float], bool],
    in_si: Callable[[float, units.Unit], float],
) -> tuple[float, units.Unit]:
    """Return the number that is meant and its unit.

    "1,125" is 1125 where only that is allowed, where the field is printed without decimals, so that a comma never stands
    before them, and where that alone is usual; it is 1.125 where only that is allowed and usual. Else it is asked back.
    """
    unit = quantity.kind.unit(typed.unit) if typed.unit else display.unit(quantity, name)
    if typed.comma is None:
        return typed.number, unit
    whole, split = in_si(typed.number, unit), in_si(typed.comma, unit)
    if accepts(whole):
        if accepts(split) and not _meant_whole(whole, split, quantity, unit):
            raise NumberError(typed.two_ways())
        return typed.number, unit
    if not accepts(split):
        raise NumberError(typed.neither_way())
    if not _usual(split, quantity):
        raise NumberError(typed.unlikely_way())
    return typed.comma, unit


def _meant_whole(whole: float, split: float, quantity: Quantity, unit: units.Unit) -> bool:
    if quantity.kind.decimals.get(unit.symbol) == 0:
        return True
    return quantity.usual is not None and _usual(whole, quantity) and not _usual(split, quantity)


def _usual(value: float, quantity: Quantity) -> bool:
    return quantity.usual is None or quantity.usual[0] <= value <= quantity.usual[1]


def _ask_back(number: float, value: float, quantity: Quantity, name: str, unit: units.Unit) -> None:
    """Ask about a bare number that only the other unit system makes plausible."""
    if _usual(value, quantity):
        return
    # The field may have a unit of its own, so the other system is the one that this unit is not of.
    other = quantity.kind.shop if unit == quantity.kind.metric else quantity.kind.metric
    if other == unit or not _usual(units.to_si(number, other), quantity):
        return
    entered = units.format_entry(number)
    raise UnlikelyError(
        name,
        f"{quantity.label}: {join_unit(entered, unit.symbol)} is far from what is usual; "
        f"{join_unit(entered, other.symbol)} would not be. Type the number with its unit, so that it is clear.",
        typical="Typical: {typical}.",
        values=quantity._numbers(),
    )


def read_row(table: Table, cells: Mapping[str, str], name: str, index: int, display: Display) -> Any:
    """Read one row of typed texts into the table's dataclass. Raises the first FieldError, its field being the cell."""
    values: dict[str, Any] = {}
    for column, declared in table.columns().items():
        cell = f"{name}.{index}.{column}"
        value = read_cell(declared, cells.get(column, ""), cell, display)
        if value is not None:
            values[column] = value
    return table.row(**values)


def read_cell(declared: Declared, text: str, name: str, display: Display) -> Any:
    """Read one typed text as its declaration says. Returns None for an empty field that may be empty."""
    if not text.strip() and declared.optional:
        return None
    if isinstance(declared.is_a, Quantity):
        return read(text, declared.is_a, name, display)
    if isinstance(declared.is_a, Choice):
        if not text.strip():
            raise declared.is_a.missing(name)
        return declared.is_a.check(text.strip(), name)
    if isinstance(declared.is_a, Text):
        return declared.is_a.check(text.strip(), name)
    raise FieldError(name, "A table cannot stand inside a cell.")
