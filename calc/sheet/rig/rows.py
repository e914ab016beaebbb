"""The rig page's tables to fill in: what stands in their cells, and how what was typed becomes rows."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from calc.errors import FieldError
from calc.quantity import SHOP, Choice, Declared, Display, Quantity, Table, read_cell
from calc.rig.unread import UnreadRow, as_typed


def place(name: str) -> str:
    """Return the name that a column's unit is shown under: that of its cells, without row numbers.

    >>> place("case.0.items.2.mass")
    'case.items.mass'
    """
    return ".".join(part for part in name.split(".") if not part.isdigit())


def cell_text(value: Any, declared: Declared, display: Display, name: str) -> str:
    """Return the text of one cell, whose column shows its unit under `name`."""
    if value is None:
        return ""
    return display.entry(value, declared.is_a, name) if isinstance(declared.is_a, Quantity) else str(value)


def texts(
    name: str, table: Table, rows: Sequence[Any], display: Display, units_under: str
) -> Iterator[tuple[str, str]]:
    """Give the name and the text of every cell that holds a number, or what was typed for one."""
    for index, row in enumerate(rows):
        for column, declared in table.columns().items():
            if isinstance(declared.is_a, Quantity):
                shown_under = f"{units_under}.{column}"
                if isinstance(row, UnreadRow):
                    text = row.cell(column).shown(display.unit(declared.is_a, shown_under).symbol)
                else:
                    text = cell_text(getattr(row, column), declared, display, shown_under)
                yield f"{name}.{index}.{column}", text


def read(
    name: str,
    table: Table,
    kept: Sequence[Any],
    fields: Mapping[str, str],
    display: Display,
    units_under: str,
    check: Callable[[Any, str], None] | None = None,
) -> tuple[tuple[Any, ...], tuple[UnreadRow, ...], list[FieldError]]:
    """Read a table's rows; a row that cannot be read is kept as it was typed, an empty row is left out.

    `kept` are the rows that the rig has, unread ones in their places.
    `units_under` is the name that the columns' units are shown under.
    `check` raises FieldError for a row that still lacks something; it is kept, for whoever needs that to say so.
    """
    prefix = f"{name}."
    columns = table.columns()
    numbers = sorted(
        {int(part) for key in fields if key.startswith(prefix) and (part := _row_of(key, prefix)).isdigit()}
    )
    found: list[Any] = []
    unread: list[UnreadRow] = []
    errors: list[FieldError] = []
    for number in numbers[: table.most + 1]:
        cells = {column: fields.get(f"{prefix}{number}.{column}", "").strip() for column in columns}
        if not any(text for column, text in cells.items() if not isinstance(columns[column].is_a, Choice)):
            continue
        place = len(found) + len(unread)
        own = kept[place] if place < len(kept) else None
        try:
            of_rig = None if isinstance(own, UnreadRow) else own
            row = _row(table, cells, of_rig, f"{prefix}{number}", display, units_under)
        except FieldError as error:
            errors.append(error)
            unread.append(_unread(table, cells, own, place, display, units_under))
            continue
        found.append(row)
        try:
            if check is not None:
                check(row, f"{prefix}{number}")
        except FieldError as error:
            errors.append(error)
    return tuple(found), tuple(unread), errors


def _unread(
    table: Table, cells: Mapping[str, str], own: Any, place: int, display: Display, units_under: str
) -> UnreadRow:
    """Return a row as it was typed; what stands there as the page wrote it is what was typed before."""
    kept = own if isinstance(own, UnreadRow) else UnreadRow(place=place, cells=())
    typed = []
    for column, declared in table.columns().items():
        under = f"{units_under}.{column}"
        before = kept.cell(column)
        unit = display.unit(declared.is_a, under).symbol if isinstance(declared.is_a, Quantity) else ""
        if cells[column]:
            same = cells[column] == before.shown(unit).strip()
            typed.append((column, before if same else as_typed(cells[column], declared, under, display)))
    return UnreadRow(place=place, cells=tuple(typed))


def unread_errors(name: str, table: Table, rows: Sequence[Any]) -> Iterator[FieldError]:
    """Give the messages of a table's unread rows, each at its first cell that cannot be read."""
    for index, row in enumerate(rows):
        if not isinstance(row, UnreadRow):
            continue
        for column, declared in table.columns().items():
            try:
                read_cell(declared, row.cell(column).told(), f"{name}.{index}.{column}", SHOP)
            except FieldError as error:
                yield error
                break


def _row_of(key: str, prefix: str) -> str:
    return key[len(prefix) :].partition(".")[0]


def _row(table: Table, cells: Mapping[str, str], kept: Any, name: str, display: Display, units_under: str) -> Any:
    values: dict[str, Any] = {}
    for column, declared in table.columns().items():
        own = None if kept is None else getattr(kept, column)
        if own is not None and cells[column] == cell_text(own, declared, display, f"{units_under}.{column}").strip():
            values[column] = own
            continue
        cell = f"{name}.{column}"
        shown = of_cell(cell, f"{units_under}.{column}", declared, display)
        value = read_cell(declared, cells[column], cell, shown)
        if value is not None:
            values[column] = value
    return table.row(**values)


def of_cell(name: str, shown_under: str, declared: Declared, display: Display) -> Display:
    """Return the display for one cell: its unit is the one that its column shows, under a name without row numbers."""
    if not isinstance(declared.is_a, Quantity):
        return display
    return replace(display, fields={name: display.unit(declared.is_a, shown_under).symbol})
