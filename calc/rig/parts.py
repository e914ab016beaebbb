"""A file of ours, read and written by what is declared of its parts.

A part is a number, a choice or a text as its field declares it, or an object, a list, a row or a map of such parts.
What cannot be used is refused with a sentence that says where it stands. A name that is not known is refused too, or, where
a file shall open all the same, left out and told.
"""

from __future__ import annotations

import math
import types
import typing
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import MISSING, dataclass, field, fields, is_dataclass
from functools import cache, cached_property
from typing import Any, Protocol, get_args, get_origin, get_type_hints

from calc.errors import DataError, FieldError, NumberError
from calc.json_text import read_json
from calc.quantity import Choice, Declaration, Quantity, Text, declaration

_MOST_ROWS, _LONGEST_TEXT, _LONGEST_NAME = 400, 1_000, 80
# Further than that nothing on a vehicle is, in SI: newtons a meter, pascals and prices included.
_LARGEST = 1e9


@dataclass(frozen=True, kw_only=True)
class FileKind:
    """One kind of file: what its first lines say, how large it may be, and how a message that refuses it ends."""

    name: str
    format: str
    version: int
    largest: int
    ending: str = ""

    def parsed(self, text: str) -> Any:
        """Return the JSON of a file, whatever kind it is of. Raises DataError."""
        if len(text) > self.largest:
            size = f"{self.largest // 1_000_000} MB" if self.largest >= 1_000_000 else f"{self.largest // 1_000} kB"
            raise DataError(f"This file is too large for a {self.name} file ({size} is the limit).")
        try:
            return read_json(text)
        except ValueError:
            raise DataError(f"This is not a {self.name} file: it is not JSON, or it is damaged.{self.ending}") from None

    def opened(self, data: Any) -> dict[str, Any]:
        """Return parsed JSON that is a file of this kind, and of a version that can be read. Raises DataError."""
        if not isinstance(data, dict) or data.get("format") != self.format:
            raise DataError(f"This is not a {self.name} file of the handbook.{self.ending}")
        version = data.get("version")
        if not isinstance(version, int) or isinstance(version, bool) or version < 1:
            raise DataError(f"This {self.name} file does not say its version, so it cannot be read.{self.ending}")
        if version > self.version:
            raise DataError(
                f"This {self.name} file is of version {version}; this copy of the handbook reads up to version "
                f"{self.version}. Open it with a newer copy.{self.ending}"
            )
        return data


class Place:
    """Where in a file a part stands. What is not known there is put to `unknown`; without such a list it is refused."""

    __slots__ = ("kind", "path", "unknown")

    def __init__(self, kind: FileKind, unknown: list[str] | None = None, path: tuple[str, ...] = ()) -> None:
        self.kind, self.unknown, self.path = kind, unknown, path

    def at(self, word: str) -> Place:
        """Return the place of a part of what stands here."""
        return Place(self.kind, self.unknown, (*self.path, word))

    def row(self, called: str, number: int) -> Place:
        """Return the place of a row of the list that stands here."""
        return Place(self.kind, self.unknown, (*self.path[:-1], f"{called or self.path[-1]} {number}"))

    def words(self) -> str:
        """Return the place in words."""
        return ", ".join(word if "“" in word else word.replace("_", " ") for word in self.path)

    def error(self, problem: str) -> DataError:
        """Return the error that says what is wrong here."""
        where = f"'s {self.words()}" if self.path else ""
        return DataError(f"The {self.kind.name} file{where}{problem}{self.kind.ending}")

    def known(self, data: Any, names: Collection[str]) -> dict[str, Any]:
        """Return what an object holds under known names. Raises DataError."""
        if not isinstance(data, dict):
            raise self.error(" cannot be read.")
        unknown = [str(name)[:_LONGEST_NAME] for name in data if name not in names]
        if not unknown:
            return data
        if self.unknown is None:
            raise self.error(f" has “{unknown[0]}”, which is none of {', '.join(names)}.")
        inside = f" in {self.words()}" if self.path else ""
        self.unknown.extend(f"“{name}”{inside}" for name in unknown)
        return {name: value for name, value in data.items() if name in names}

    def rows(self, data: Any, most: int) -> list[Any]:
        """Return a list. Raises DataError."""
        if not isinstance(data, list) or len(data) > most:
            raise self.error(f" cannot be read: it is a list of at most {most}.")
        return data


class FilePart(Protocol):
    """What can be read from parsed JSON, and written to it so that it reads back the same."""

    def read(self, data: Any, place: Place) -> Any:
        """Return what the data say. Raises DataError."""

    def write(self, value: Any) -> Any:
        """Return the data that say it."""


class _AsItStands:
    def write(self, value: Any) -> Any:
        return value


@dataclass(frozen=True)
class Checked(_AsItStands):
    """A value that a check of its declaration lets pass: a number, a choice, a text."""

    check: Callable[[Any, str], Any]

    def read(self, data: Any, place: Place) -> Any:
        """Return the value as the check gives it. Raises DataError."""
        try:
            return self.check(data, place.path[-1])
        except FieldError as error:
            raise place.error(f": {error.message()}") from None
        except NumberError:
            # Too large to be told in any unit.
            raise place.error(" is no number of a rig.") from None


@dataclass(frozen=True)
class Cut(_AsItStands):
    """A text, of which no more is read than it may be long."""

    longest: int = 120

    def read(self, data: Any, place: Place) -> str:
        """Return the text. Raises DataError."""
        if not isinstance(data, str):
            raise place.error(" is not a text.")
        return data[: self.longest]


@dataclass(frozen=True)
class Size(_AsItStands):
    """A number of 0 or more: a plus-minus, which is no larger than its value may be, or a height."""

    most: float = math.inf

    def read(self, data: Any, place: Place) -> float:
        """Return the number. Raises DataError."""
        if isinstance(data, bool) or not isinstance(data, (int, float)) or not math.isfinite(data) or data < 0:
            raise place.error(" is not a number of 0 or more.")
        if data > self.most:
            raise place.error(" is larger than the value itself may be.")
        return float(data)


@dataclass(frozen=True)
class Plain(_AsItStands):
    """A value that has no declaration but its type: what an order said, for example."""

    of: type

    def read(self, data: Any, place: Place) -> Any:
        """Return a text, a number, or yes and no. Raises DataError."""
        if self.of is str:
            if not isinstance(data, str) or len(data) > _LONGEST_TEXT:
                raise place.error(f" is not a text of at most {_LONGEST_TEXT} characters.")
            return data
        if self.of is bool:
            if not isinstance(data, bool):
                raise place.error(" is neither true nor false.")
            return data
        if isinstance(data, bool) or not isinstance(data, (int, float)) or not -_LARGEST <= data <= _LARGEST:
            raise place.error(" is not a number.")
        if self.of is int and data != int(data):
            raise place.error(" is not a whole number.")
        return int(data) if self.of is int else float(data) + 0.0


@dataclass(frozen=True, kw_only=True)
class ListOf:
    """A list of parts of one kind; `called` is what one of them is called."""

    of: FilePart
    called: str = ""
    most: int = _MOST_ROWS

    def read(self, data: Any, place: Place) -> tuple[Any, ...]:
        """Return all of them. Raises DataError."""
        rows = place.rows(data, self.most)
        return tuple(self.of.read(row, place.row(self.called, number)) for number, row in enumerate(rows, 1))

    def write(self, value: Any) -> list[Any]:
        """Return the list."""
        return [self.of.write(row) for row in value]


@dataclass(frozen=True)
class Fixed:
    """A row of parts, each with its place."""

    parts: tuple[FilePart, ...]

    def read(self, data: Any, place: Place) -> tuple[Any, ...]:
        """Return the row. Raises DataError."""
        row = place.rows(data, len(self.parts))
        if len(row) < len(self.parts):
            raise place.error(" is not complete.")
        return tuple(part.read(value, place) for part, value in zip(self.parts, row, strict=True))

    def write(self, value: Any) -> list[Any]:
        """Return the row."""
        return [part.write(one) for part, one in zip(self.parts, value, strict=True)]


@dataclass(frozen=True, kw_only=True)
class ByName:
    """Parts of one kind under names; what is empty is not written."""

    of: FilePart
    names: Collection[str]

    def read(self, data: Any, place: Place) -> dict[str, Any]:
        """Return each by its name. Raises DataError."""
        return {name: self.of.read(value, place.at(name)) for name, value in place.known(data, self.names).items()}

    def write(self, value: Any) -> dict[str, Any]:
        """Return the object."""
        return {name: written for name, part in value.items() if (written := self.of.write(part))}


@dataclass(frozen=True, kw_only=True)
class Object:
    """A frozen dataclass, each of its fields read by its type.

    `parts` are of fields that are read in another way, `keys` the names of fields that are called something else in the
    file, `quiet` the fields that are not written while they hold their default, `left_out` those that the file has not,
    and `passed` the names of older files that nothing is read from.
    """

    of: type
    parts: Mapping[str, FilePart] = field(default_factory=dict)
    keys: Mapping[str, str] = field(default_factory=dict)
    quiet: Collection[str] = ()
    left_out: Collection[str] = ()
    passed: Collection[str] = ()

    @cached_property
    def _fields(self) -> dict[str, tuple[str, FilePart, bool, Any]]:
        """Each field's name, part, whether it must be there, and its default, by its name in the file."""
        hints = get_type_hints(self.of, include_extras=True)
        return {
            self.keys.get(one.name, one.name): (
                one.name,
                self.parts.get(one.name) or part_of(_without_none(hints[one.name])),
                one.default is MISSING and one.default_factory is MISSING and not _may_be_none(hints[one.name]),
                one.default_factory() if one.default_factory is not MISSING else one.default,
            )
            for one in fields(self.of)
            if one.name not in self.left_out
        }

    @cached_property
    def _names(self) -> tuple[str, ...]:
        return (*self._fields, *self.passed)

    def read(self, data: Any, place: Place) -> Any:
        """Return the dataclass. What is null is absent. Raises DataError."""
        given = place.known(data, self._names)
        values: dict[str, Any] = {}
        for key, (name, part, needed, default) in self._fields.items():
            value = given.get(key)
            if value is not None:
                values[name] = part.read(value, place.at(key))
            elif needed:
                raise place.at(key).error(" is missing.")
            elif default is MISSING:
                values[name] = None
        return self.of(**values)

    def write(self, value: Any) -> dict[str, Any]:
        """Return the object; what is None is not there."""
        given = {
            key: (name, part, getattr(value, name), default) for key, (name, part, _, default) in self._fields.items()
        }
        return {
            key: part.write(one)
            for key, (name, part, one, default) in given.items()
            if one is not None and not (name in self.quiet and one == default)
        }


def of_declaration(is_a: Declaration) -> FilePart:
    """Return the part that a field's declaration says."""
    if isinstance(is_a, (Quantity, Choice)):
        return Checked(is_a.check)
    return Cut(is_a.longest) if isinstance(is_a, Text) else Cut()


@cache
def part_of(hint: Any) -> FilePart:
    """Return the part that a type says: its declaration where it has one."""
    if get_origin(hint) is typing.Annotated:
        return of_declaration(declaration(hint)[0])
    inner = get_args(hint)
    if get_origin(hint) is tuple:
        return ListOf(of=part_of(inner[0])) if inner[-1] is Ellipsis else Fixed(tuple(map(part_of, inner)))
    return Object(of=hint) if isinstance(hint, type) and is_dataclass(hint) else Plain(hint)


def _inner(hint: Any) -> Iterator[Any]:
    yield from get_args(hint) if get_origin(hint) in (typing.Union, types.UnionType) else (hint,)


def _may_be_none(hint: Any) -> bool:
    return any(one is type(None) for one in _inner(hint))


def _without_none(hint: Any) -> Any:
    return next(one for one in _inner(hint) if one is not type(None))
