"""The rig page's tables to fill in: what stands in their cells, and how what was typed becomes rows."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from calc.errors import FieldError
from calc.quantity import Choice, Declared, Display, Quantity, Table, read_cell


def place(name: str) -> str:
    """Return the name that a column's unit is shown under: that of its cells, without row numbers.

    >>> place("case.0.items.2.mass")
    'case.items.mass'
    """
    return ".".join(part for part in name.split(".") if not part.isdigit())


def cell_text(value: Any, declared: Declared, display: Display) -> str:
    """Return the text of one cell."""
    if value is None:
        return ""
    return display.entry(value, declared.is_a) if isinstance(declared.is_a, Quantity) else str(value)


def texts(name: str, table: Table, rows: Sequence[Any], display: Display) -> Iterator[tuple[str, str]]:
    """Give the name and the text of every cell that holds a number."""
    for index, row in enumerate(rows):
        for column, declared in table.columns().items():
            if isinstance(declared.is_a, Quantity):
                yield f"{name}.{index}.{column}", cell_text(getattr(row, column), declared, display)


def read(
    name: str,
    table: Table,
    kept: Sequence[Any],
    fields: Mapping[str, str],
    display: Display,
    check: Callable[[Any, str], None] | None = None,
) -> tuple[tuple[Any, ...], list[FieldError]]:
    """Read a table's rows; a row that cannot be read stays as the rig has it, an empty row is left out.

    `check` raises FieldError for a row whose cells do not go together.
    """
    prefix = f"{name}."
    columns = table.columns()
    numbers = sorted(
        {int(part) for key in fields if key.startswith(prefix) and (part := _row_of(key, prefix)).isdigit()}
    )
    found: list[Any] = []
    errors: list[FieldError] = []
    filled = 0
    for number in numbers[: table.most + 1]:
        cells = {column: fields.get(f"{prefix}{number}.{column}", "").strip() for column in columns}
        if not any(text for column, text in cells.items() if not isinstance(columns[column].is_a, Choice)):
            continue
        own = kept[filled] if filled < len(kept) else None
        filled += 1
        try:
            row = _row(table, cells, own, f"{prefix}{number}", display)
            if check is not None:
                check(row, f"{prefix}{number}")
            found.append(row)
        except FieldError as error:
            errors.append(error)
            if own is not None:
                found.append(own)
    return tuple(found), errors


def _row_of(key: str, prefix: str) -> str:
    return key[len(prefix) :].partition(".")[0]


def _row(table: Table, cells: Mapping[str, str], kept: Any, name: str, display: Display) -> Any:
    values: dict[str, Any] = {}
    for column, declared in table.columns().items():
        own = None if kept is None else getattr(kept, column)
        if own is not None and cells[column] == cell_text(own, declared, display):
            values[column] = own
            continue
        value = read_cell(declared, cells[column], f"{name}.{column}", display)
        if value is not None:
            values[column] = value
    return table.row(**values)
