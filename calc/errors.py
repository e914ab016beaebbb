"""What can go wrong, in sentences that a builder understands.

Every message says what is wrong, what is allowed and what to do.
A message that holds numbers keeps them apart from its words, so that it can be printed in the reader's units.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
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


class Needs(HandbookError):
    """What stands in the way of an answer: the keys of entries that are missing, and sentences of what contradicts itself.

    It is raised by whoever misses something, and caught by the stage that tells it.
    """

    def __init__(self, *, keys: Sequence[str] = (), sentences: Sequence[str] = ()) -> None:
        self.keys, self.sentences = tuple(keys), tuple(sentences)
        super().__init__(" ".join((*self.sentences, *self.keys)))

    @classmethod
    def of(cls, wrong: FieldError | InputError) -> Needs:
        """Return what an error of the entries leaves to be put right."""
        errors = wrong.errors if isinstance(wrong, InputError) else (wrong,)
        return cls(sentences=[error.message() for error in errors])

    @classmethod
    def all_of(cls, every: Iterable[Needs]) -> Needs:
        """Return what several need, each once."""
        kept = tuple(every)
        return cls(
            keys=tuple(dict.fromkeys(key for needs in kept for key in needs.keys)),
            sentences=tuple(dict.fromkeys(text for needs in kept for text in needs.sentences)),
        )

    def kept(self) -> Needs:
        """Return it to be kept in an answer, without all that it was raised from."""
        return self.with_traceback(None)


def _fill(template: str, numbers: Mapping[str, str]) -> str:
    # Plain replacement and not str.format: the template may hold text that the reader typed, braces included.
    for name, number in numbers.items():
        template = template.replace("{" + name + "}", number)
    return template
