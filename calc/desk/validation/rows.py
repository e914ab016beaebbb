"""The one reader of data/published: rows whose inputs and answers stay as they are printed."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from calc import tables, units
from calc.errors import DataError, UnknownNameError

FOLDER = "published"
# Each answer of a row in SI, with the kind of quantity that it is.
Answers = Mapping[str, tuple[float, units.Kind]]

# Kinds that only printed answers have.
_SECOND = units.Unit("s", 1.0)
TIME = units.Kind(name="time", dimension=units.Dimension(second=1), shop=_SECOND, metric=_SECOND, decimals={"s": 3})
_RADIAN = units.Unit("rad/s", 1.0)
ANGULAR = units.Kind(
    name="angular frequency", dimension=units.Dimension(second=-1), shop=_RADIAN, metric=_RADIAN, decimals={"rad/s": 2}
)
_KILOJOULE = units.Unit("kJ", 1e3)
HEAT = units.Kind(
    name="heat", dimension=units.Dimension(1, 2, -2), shop=_KILOJOULE, metric=_KILOJOULE, decimals={"kJ": 2}
)
# The constant of a strength A / d^m is the strength of a wire of 1 mm.
_CONSTANT = units.Unit("MPa·mm^m", 1e6)
STRENGTH_CONSTANT = units.Kind(
    name="strength constant",
    dimension=units.Dimension(1, -1, -2),
    shop=_CONSTANT,
    metric=_CONSTANT,
    decimals={"MPa·mm^m": 0},
)


@dataclass(frozen=True, kw_only=True)
class Printed:
    """One printed answer. Its tolerance is half a unit of its last digit, unless the row says another and why."""

    quantity: str
    text: str
    unit: str
    tolerance: float
    because: str = ""

    @property
    def value(self) -> float:
        """The number, in the printed unit."""
        return units.parse_number(self.text)

    @property
    def decimals(self) -> int:
        """How many decimals are printed."""
        return max(0, -_place(self.text))

    def found(self, answers: Answers) -> float:
        """Return our answer in the printed unit. Raises UnknownNameError when there is none."""
        if self.quantity not in answers:
            raise UnknownNameError(f"Nothing works out the {self.quantity}.")
        value, kind = answers[self.quantity]
        return units.from_si(float(value), kind.unit(self.unit))

    def agrees(self, found: float) -> bool:
        """Tell whether an answer in the printed unit is the printed one; where exact, up to the last bits."""
        return abs(found - self.value) <= max(self.tolerance, 1e-12 * abs(self.value))


@dataclass(frozen=True, kw_only=True)
class Row:
    """One check: what goes in, what was printed, where, and how that was read."""

    name: str
    flag: str
    step: str
    quantity: str
    inputs: Mapping[str, str]
    expected: tuple[Printed, ...]
    citation: str
    note: str
    source: str
    file: str

    def text(self, name: str) -> str:
        """Return an input as it is printed."""
        return self.inputs[name]

    def number(self, name: str) -> float:
        """Return an input that has no unit."""
        return units.parse_number(self.inputs[name])

    def numbers(self, name: str) -> tuple[float, ...]:
        """Return an input that is a list."""
        return tuple(units.parse_number(part) for part in self.inputs[name].split(";"))

    def given(self, name: str, kind: units.Kind) -> float:
        """Return an input in SI, through the handbook's own units."""
        number, unit = units.split_number(self.inputs[name])
        return units.to_si(number, kind.unit(unit))

    def of_unit(self, name: str, unit: str) -> float:
        """Return the number of an input whose unit is of no kind that the handbook has. Raises DataError."""
        number, rest = units.split_number(self.inputs[name])
        if rest != unit:
            raise DataError(f"Row {self.name}: {name} is in “{rest}” and not in “{unit}”.")
        return number

    def printed(self, quantity: str) -> Printed:
        """Return what was printed for a quantity. Raises UnknownNameError."""
        for printed in self.expected:
            if printed.quantity == quantity:
                return printed
        raise UnknownNameError(f"Row {self.name} prints no {quantity}.")


def _place(text: str) -> int:
    """Return the power of ten of the last digit of a printed number.

    >>> _place("14.59390"), _place("4.856e4"), _place("35")
    (-5, 1, 0)
    """
    match = re.fullmatch(r"-?\d+(?:\.(\d+))?(?:e(\d+))?", text)
    if match is None:
        return 0
    return int(match[2] or 0) - len(match[1] or "")


def half_a_unit(text: str) -> float:
    """Return half a unit of the last digit of a printed number.

    >>> half_a_unit("1.314"), half_a_unit("129e3")
    (0.0005, 500.0)
    """
    return float(f"5e{_place(text) - 1}")


@lru_cache(maxsize=1)
def all_rows() -> tuple[Row, ...]:
    """Return every row, file after file. Raises DataError when a file is damaged.

    >>> sorted({row.flag for row in all_rows()})
    ['identity', 'memory', 'read', 'secondary']
    """
    return tuple(row for path in sorted((tables.DATA / FOLDER).glob("*.toml")) for row in _rows(path.stem))


def _rows(file: str) -> tuple[Row, ...]:
    content = tables.read_toml(f"{FOLDER}/{file}.toml")
    try:
        return tuple(
            Row(
                name=row["id"],
                expected=tuple(
                    Printed(
                        quantity=one["quantity"],
                        text=one["printed"],
                        unit=one["unit"],
                        tolerance=one.get("tolerance", half_a_unit(one["printed"])),
                        because=one.get("because", ""),
                    )
                    for one in row["expected"]
                ),
                source=content["source"],
                file=file,
                **{key: row[key] for key in ("flag", "step", "quantity", "inputs", "citation", "note")},
            )
            for row in content["check"]
        )
    except (KeyError, TypeError) as error:
        raise DataError(f"data/{FOLDER}/{file}.toml has a row that is not as it should be: {error}.") from None


def find_row(file: str, name: str) -> Row:
    """Return a row of a source by its id. Raises UnknownNameError.

    >>> find_row("walker", "T07").printed("distance").text
    '1.69'
    """
    for row in all_rows():
        if (row.file, row.name) == (file, name):
            return row
    raise UnknownNameError(f"data/{FOLDER}/{file}.toml has no row {name}.")


def root(function: Callable[[float], float], low: float, high: float) -> float:
    """Return where a rising or falling function passes zero, to the last bits, by halving.

    >>> round(root(lambda side: side**2 - 2, 0.0, 2.0), 12)
    1.414213562373
    """
    rising = function(low) < 0
    for _ in range(120):
        middle = (low + high) / 2
        if (function(middle) < 0) == rising:
            low = middle
        else:
            high = middle
    return (low + high) / 2
