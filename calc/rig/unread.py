"""What was typed into the rig and cannot be read: kept as it was typed, shown again, and never taken for a number.

In the rig file it stands beside what could be read:

    "unread": {"values": {KEY or KEY.plus_minus: {"text": as typed, "unit": the field's, of a bare number}},
               "changes": [{"place": row, "cells": {COLUMN: {"text", "unit"}}}], "travel_pairs": {AXLE: [rows as these]}}

and in a load case, `"unread": {"center_of_gravity_height": {"text", "unit"}, "items": [rows as these]}`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from calc.errors import FieldError, NumberError
from calc.quantity import SHOP, Declared, Display, Quantity, Table, Text, read_cell
from calc.rig.parts import ByName, Object, Place, Plain
from calc.units import read_typed

LONGEST = 200
_text = Text(label="What was typed", longest=LONGEST)


@dataclass(frozen=True, kw_only=True)
class Unread:
    """A text as it was typed, and the unit that its field showed, where it is a number without one."""

    text: Annotated[str, _text]
    unit: Annotated[str, _text] = ""

    def shown(self, unit: str) -> str:
        """Return what stands in a field that shows this unit: the text as it was typed."""
        return self.text if self.unit in ("", unit) else self.told()

    def told(self) -> str:
        """Return the text with its unit."""
        return f"{self.text} {self.unit}" if self.unit else self.text


@dataclass(frozen=True, kw_only=True)
class UnreadRow:
    """A row of a table of which some cell cannot be read: all its cells as typed, and which row of the table it is."""

    place: int
    cells: tuple[tuple[str, Unread], ...]

    def cell(self, column: str) -> Unread:
        """Return what was typed into a column."""
        return dict(self.cells).get(column, Unread(text=""))

    def problem(self, table: Table) -> str:
        """Return a sentence of what is wrong with its first cell that cannot be read."""
        for column, declared in table.columns().items():
            typed = self.cell(column).told()
            try:
                read_cell(declared, typed, column, SHOP)
            except FieldError:
                label = f"{declared.is_a.label[:1].lower()}{declared.is_a.label[1:]}"
                label += "," if "," in label else ""
                return f"{label} cannot be read: “{typed}”" if typed.strip() else f"{label} is missing"
        return "it cannot be read"


def as_typed(text: str, declared: Declared, name: str, display: Display) -> Unread:
    """Return a text that cannot be read, as it is kept."""
    text = text.strip()[:LONGEST]
    if not isinstance(declared.is_a, Quantity):
        return Unread(text=text)
    try:
        bare = not read_typed(text).unit
    except NumberError:
        bare = False
    return Unread(text=text, unit=display.unit(declared.is_a, name).symbol if bare else "")


def among(rows: Sequence[Any], unread: Sequence[UnreadRow]) -> list[Any]:
    """Return a table's rows in their order: those that could be read, and the unread ones in their places."""
    found = list(rows)
    for row in sorted(unread, key=lambda one: one.place):
        found.insert(row.place, row)
    return found


# --- the file -----------------------------------------------------------------------------------------------------------


UNREAD = Object(of=Unread, quiet=("unit",))


def rows_from_data(data: Any, table: Table, readable: int, place: Place) -> tuple[UnreadRow, ...]:
    """Return a table's unread rows, in their places among so many that could be read. Raises DataError."""
    rows: list[UnreadRow] = []
    for number, row in enumerate(place.rows(data, table.most - readable), 1):
        at = place.row("", number)
        given = at.known(row, ("place", "cells"))
        where = Plain(int).read(given.get("place"), at.at("place"))
        if not 0 <= where < table.most:
            raise at.at("place").error(" is no row of the table.")
        cells = ByName(of=UNREAD, names=table.columns()).read(given.get("cells", {}), at.at("cells"))
        rows.append(UnreadRow(place=where, cells=tuple(cells.items())))
    return placed(rows, readable)


def placed(rows: Iterable[UnreadRow], readable: int) -> tuple[UnreadRow, ...]:
    """Return unread rows with the places that they can have among so many others."""
    found: list[UnreadRow] = []
    for row in sorted(rows, key=lambda one: one.place):
        least = found[-1].place + 1 if found else 0
        found.append(UnreadRow(place=min(max(row.place, least), readable + len(found)), cells=row.cells))
    return tuple(found)


def texts_to_data(texts: Mapping[str, Unread]) -> dict[str, Any]:
    """Return unread texts as JSON data."""
    return {name: UNREAD.write(text) for name, text in texts.items()}


def rows_to_data(rows: Iterable[UnreadRow]) -> list[dict[str, Any]]:
    """Return unread rows as JSON data."""
    return [{"place": row.place, "cells": texts_to_data(dict(row.cells))} for row in rows]
