"""Entries that keep what was typed: a value, or a text that cannot be read.

What cannot be read is unknown and is shown again as it was typed. A value is read anew only where its text was changed,
so nothing that was entered exactly is rounded by being shown.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any

from calc.errors import FieldError
from calc.quantity import Declared, Display, Quantity, Table, read_cell
from calc.rig.unread import Unread, UnreadRow, as_typed
from calc.sheet import form


@dataclass(frozen=True, kw_only=True)
class Cell:
    """What is kept of one entry: its value, or what was typed and cannot be read; neither of a blank one."""

    name: str
    item: Declared
    value: Any = None
    unread: Unread | None = None

    def text(self, display: Display) -> str:
        """Return what a page writes into the entry."""
        if self.unread is None:
            return form.text_of(self.value, self.item, self.name, display)
        is_number = isinstance(self.item.is_a, Quantity)
        return self.unread.shown(display.unit(self.item.quantity, self.name).symbol if is_number else "")

    def typed(self, text: str, display: Display) -> Cell:
        """Return what is kept when this text stands in the entry: what the page itself wrote there changes nothing."""
        text = text.strip()
        if self.unread is not None and text == self.text(display).strip():
            return self.again()
        if self.value is not None and text == self.text(display).strip():
            return self
        try:
            return replace(self, value=read_cell(self.item, text, self.name, display), unread=None)
        except FieldError:
            return replace(self, value=None, unread=self.as_typed(text, display))

    def again(self) -> Cell:
        """Return what is kept when what was typed is read again: it may be allowed by now."""
        if self.unread is None or self.wrong() is not None:
            return self
        return replace(self, value=self._again(self.unread), unread=None)

    def as_typed(self, text: str, display: Display) -> Unread:
        """Return this text as it is kept where it cannot be read: what stood there before keeps its unit."""
        if self.unread is not None and text.strip() == self.text(display).strip():
            return self.unread
        return as_typed(text, self.item, self.name, display)

    def wrong(self) -> FieldError | None:
        """Return why what was typed cannot be read; None where it can."""
        if self.unread is not None:
            try:
                self._again(self.unread)
            except FieldError as error:
                return error
        return None

    def _again(self, unread: Unread) -> Any:
        # A bare number is in the unit that it was typed in, whatever the page shows by now.
        return read_cell(self.item, unread.text, self.name, Display(fields={self.name: unread.unit}))


def row_cells(table: Table, row: Any, name: str) -> dict[str, Cell]:
    """Return the cells of one row of a table, read or unread; blank ones where there is none."""
    unread = isinstance(row, UnreadRow)
    return {
        column: Cell(
            name=f"{name}.{column}",
            item=item,
            value=None if row is None or unread else getattr(row, column),
            unread=row.cell(column) if unread else None,
        )
        for column, item in table.columns().items()
    }


def row_texts(table: Table, rows: Sequence[Any], name: str, display: Display) -> list[dict[str, str]]:
    """Return what a page writes into the cells of a table's rows."""
    return [
        {column: cell.text(display) for column, cell in row_cells(table, row, f"{name}.{number}").items()}
        for number, row in enumerate(rows)
    ]


def wrong_in(cells: Mapping[str, Cell]) -> FieldError | None:
    """Return what is wrong with the first cell of a row that cannot be read."""
    return next((error for cell in cells.values() if (error := cell.wrong())), None)


@dataclass(frozen=True, kw_only=True)
class Rows:
    """The rows of a table: those that could be read, the others in their places, and what is wrong."""

    read: tuple[Any, ...]
    unread: tuple[UnreadRow, ...]
    errors: tuple[FieldError, ...] = ()


def typed_rows(
    name: str,
    table: Table,
    kept: Sequence[Any],
    texts: Mapping[str, str],
    display: Display,
    check: Callable[[Any, str], None] | None = None,
) -> Rows:
    """Read a table's rows: one that cannot be read is kept as it was typed, an empty one is left out.

    `kept` are the rows that there are, unread ones in their places.
    `check` raises FieldError for a row that still lacks something; it is kept, for whoever needs that to say so.
    """
    read: list[Any] = []
    unread: list[UnreadRow] = []
    errors: list[FieldError] = []
    for number, given in islice(form.filled_rows(table, texts, name), table.most + 1):
        place = len(read) + len(unread)
        before = row_cells(table, kept[place] if place < len(kept) else None, f"{name}.{number}")
        cells = {column: cell.typed(given[column], display) for column, cell in before.items()}
        wrong = wrong_in(cells)
        if wrong is not None:
            typed = {column: before[column].as_typed(text, display) for column, text in given.items() if text}
            unread.append(UnreadRow(place=place, cells=tuple(typed.items())))
        else:
            row = table.row(**{column: cell.value for column, cell in cells.items() if cell.value is not None})
            read.append(row)
            try:
                if check is not None:
                    check(row, f"{name}.{number}")
            except FieldError as error:
                wrong = error
        errors += [] if wrong is None else [wrong]
    return Rows(read=tuple(read), unread=tuple(unread), errors=tuple(errors))
