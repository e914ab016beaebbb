"""What can go wrong, in sentences that a builder understands.

Every message says what is wrong, what is allowed and what to do.
A message that holds numbers keeps them apart from its words, so that it can be printed in the reader's units.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Protocol


class Printed(Protocol):
    """A quantity, as far as a message needs one."""

    def shop_text(self, value: float) -> str:
        """Return a value with its shop unit."""


class Printer(Protocol):
    """Whatever can print a value of a quantity in the reader's units."""

    def text(self, value: float, quantity: Any) -> str:
        """Return the value with its unit."""


class HandbookError(Exception):
    """Base of every error that the handbook raises on purpose."""


class UnknownNameError(HandbookError):
    """A step, field, unit or file was asked for by a name that does not exist."""


class UnitError(HandbookError):
    """A unit was typed that the quantity does not have."""


class NumberError(HandbookError):
    """A text could not be read as one number."""


class DataError(HandbookError):
    """A file of the handbook or of the reader is not what it should be."""


class FieldError(HandbookError):
    """One field cannot be used.

    `problem`, `allowed` and `typical` are templates: `{name}` stands for a value given in `values`
    together with its quantity, so one error prints in either unit system.
    """

    def __init__(
        self,
        field: str,
        problem: str,
        *,
        allowed: str = "",
        typical: str = "",
        values: Mapping[str, tuple[float, Printed]] | None = None,
    ) -> None:
        self.field = field
        self.problem = problem
        self.allowed = allowed
        self.typical = typical
        self.values = dict(values or {})
        super().__init__(self.message())

    def at(self, field: str) -> FieldError:
        """Return the same error for a field of another name."""
        return FieldError(field, self.problem, allowed=self.allowed, typical=self.typical, values=self.values)

    def parts(self, printer: Printer | None = None) -> dict[str, str]:
        """Return the three sentences with their numbers in the printer's units (shop units without one)."""
        numbers = {
            name: quantity.shop_text(value) if printer is None else printer.text(value, quantity)
            for name, (value, quantity) in self.values.items()
        }
        return {
            "problem": _fill(self.problem, numbers),
            "allowed": _fill(self.allowed, numbers),
            "typical": _fill(self.typical, numbers),
        }

    def message(self, printer: Printer | None = None) -> str:
        """Return the whole message as one text."""
        return " ".join(part for part in self.parts(printer).values() if part)


class MissingError(FieldError):
    """A value that the step cannot do without is absent."""


class RangeError(FieldError):
    """A value lies outside what the quantity allows."""


class ReadError(FieldError):
    """The text in a field is not a number, or not one number."""


class UnlikelyError(FieldError):
    """A bare number is plausible only in the other unit system, so it is asked back."""


class ContradictionError(FieldError):
    """A value cannot be true together with another one."""


class InputError(HandbookError):
    """Several fields cannot be used; all are told at once."""

    def __init__(self, errors: Sequence[FieldError]) -> None:
        self.errors = tuple(errors)
        super().__init__(" ".join(error.message() for error in self.errors))


def _fill(template: str, numbers: Mapping[str, str]) -> str:
    # Plain replacement and not str.format: the template may hold text that the reader typed, braces included.
    for name, number in numbers.items():
        template = template.replace("{" + name + "}", number)
    return template
