"""A page's entries: how they are painted, how what was typed into them is read, and what stands beside them.

A page declares its entries by name: numbers, choices, texts, and tables of these, whose cells are called TABLE.ROW.COLUMN.
A number shows its unit under its place, which is its name without the row: a column has one unit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from calc.errors import FieldError, RangeError, ReadError, UnlikelyError
from calc.quantity import (
    Choice,
    Declared,
    Display,
    Option,
    Quantity,
    Table,
    Text,
    place,
    read_cell,
    read_plus_minus,
    read_row,
)
from calc.sheet import markup
from calc.step import Finding

PLUS_MINUS = "plus_minus"
# How wide the entries of a line are: those of a pair, of one number, of words.
PAIR, ONE, TEXT = "", " hb-pair--one", " hb-pair--text"
# Columns of a table to fill in that a phone is wide enough for.
_MOST_ABREAST = 2


# --- reading ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Readings:
    """What stands in the entries: their values in SI, None where nothing is entered; their plus-minus; what cannot be read."""

    values: dict[str, Any]
    plus_minus: dict[str, float]
    errors: list[FieldError]


def read(entries: Mapping[str, Declared], texts: Mapping[str, str], display: Display) -> Readings:
    """Read what was typed into every entry; one that cannot be read has an error and no value."""
    readings = Readings(values={}, plus_minus={}, errors=[])
    for name, item in entries.items():
        if isinstance(item.is_a, Table):
            readings.values[name], wrong = _read_rows(item.is_a, texts, name, display)
            readings.errors.extend(wrong)
            continue
        try:
            readings.values[name] = _read(item, texts.get(name, ""), name, display)
            doubt = texts.get(f"{name}.{PLUS_MINUS}", "")
            if isinstance(item.is_a, Quantity) and doubt.strip():
                readings.plus_minus[name] = read_plus_minus(doubt, item.is_a, name, display)
        except FieldError as error:
            readings.errors.append(error)
    return readings


def _read(item: Declared, text: str, name: str, display: Display) -> Any:
    if not text.strip() and isinstance(item.is_a, Quantity) and item.is_a.assumed is not None:
        # Whoever needs it takes what is assumed, and says so.
        return None
    return read_cell(item, text, name, display)


def _read_rows(
    table: Table, texts: Mapping[str, str], name: str, display: Display
) -> tuple[tuple[Any, ...], list[FieldError]]:
    rows, errors = [], []
    for number, cells in filled_rows(table, texts, name):
        try:
            rows.append(read_row(table, cells, name, number, display))
        except FieldError as error:
            errors.append(error)
    return tuple(rows), errors


def filled_rows(table: Table, texts: Mapping[str, str], name: str) -> Iterator[tuple[int, dict[str, str]]]:
    """Give the number and the texts of each row of a table; a row with nothing but choices in it is empty and left out."""
    prefix, columns = f"{name}.", table.columns()
    parts = {key[len(prefix) :].partition(".")[0] for key in texts if key.startswith(prefix)}
    for number in sorted({int(part) for part in parts if part.isdecimal()}):
        cells = {column: texts.get(f"{prefix}{number}.{column}", "").strip() for column in columns}
        if any(cells[column] for column, item in columns.items() if not isinstance(item.is_a, Choice)):
            yield number, cells


# --- what stands in the entries and beside them -----------------------------------------------------------------------


def texts(entries: Mapping[str, Declared], values: Mapping[str, float], display: Display) -> dict[str, str]:
    """Return what a page writes into the entries of these numbers."""
    return {name: display.entry(values[name], item.quantity, name) for name, item in entries.items() if name in values}


def beside(
    entries: Mapping[str, Declared],
    errors: Iterable[FieldError],
    display: Display,
    origins: Mapping[str, str] | None = None,
    more: Mapping[str, Mapping[str, Any]] | None = None,
) -> dict[str, dict[str, Any]]:
    """Return what a page shows beside its entries: units, where the numbers come from, `more`, and what is wrong."""
    shown: dict[str, dict[str, Any]] = {}
    for name, item in with_columns(entries).items():
        if isinstance(item.is_a, Quantity):
            shown[place(name)] = {"unit": display.unit(item.is_a, name).symbol, "error": None}
            if origins and name in origins:
                shown[name]["origin"] = origins[name]
    shown |= {name: dict(said) for name, said in (more or {}).items()}
    for error in errors:
        shown.setdefault(error.field, {})["error"] = error.parts(display)
    return shown


def with_columns(entries: Mapping[str, Declared]) -> dict[str, Declared]:
    """Return entries with the columns of each table in its stead."""
    columns: dict[str, Declared] = {}
    for name, item in entries.items():
        if isinstance(item.is_a, Table):
            columns |= {f"{name}.{column}": inner for column, inner in item.is_a.columns().items()}
        else:
            columns[name] = item
    return columns


def on_page(entries: Mapping[str, Declared], names: Iterable[str]) -> dict[str, Declared]:
    """Return the declaration of each entry, and of each of these names that is a cell of a table."""
    columns = with_columns(entries)
    cells = {name: columns[place(name)] for name in names if name not in columns and place(name) in columns}
    return {name: item for name, item in columns.items() if name in entries} | cells


def unread(error: FieldError, text: str, label: str) -> Finding | None:
    """Return that something was not checked because what was typed cannot be read; None where that is not what is wrong."""
    if not text.strip() or not isinstance(error, (ReadError, RangeError, UnlikelyError)):
        return None
    return Finding(rule="cannot be read", state="not checked", text=f"{label} cannot be read: “{text.strip()}”.")


# --- painting ---------------------------------------------------------------------------------------------------------


def identity(prefix: str, name: str) -> str:
    """Return the id of an entry on a page."""
    return f"{prefix}-{name.replace('.', '-')}"


def message(name: str, prefix: str) -> str:
    """Return the empty place of an entry's message."""
    return f'<p class="hb-error" id="{identity(prefix, name)}-e" data-error-of="{escape(name)}" hidden></p>'


def unit_of(name: str, quantity: Quantity, display: Display, *, fixed: bool = False) -> str:
    """Return the unit behind an entry: a plain choice where the quantity has several units, unless it is `fixed`."""
    shown = display.unit(quantity, name).symbol
    symbols = [unit.symbol for unit in quantity.kind.units()]
    if fixed or len(symbols) < 2:
        return f'<span class="hb-field__unit" data-unit-of="{escape(place(name))}">{escape(shown)}</span>'
    return (
        f'<span class="hb-field__unit"><select data-unit-of="{escape(place(name))}" '
        f'aria-label="Unit of {escape(quantity.label.lower())}">{options((Option(symbol, symbol) for symbol in symbols), shown)}'
        "</select></span>"
    )


def options(values: Iterable[Option], chosen: str, *, helped: bool = False) -> str:
    """Return the values of a choice, each with its label, and its help where that is wanted."""
    painted = ""
    for option in values:
        title = f' title="{escape(option.help)}"' if helped and option.help else ""
        selected = " selected" if option.value == chosen else ""
        painted += f'<option value="{escape(option.value)}"{selected}{title}>{escape(option.label)}</option>'
    return painted


def control(
    item: Declared, name: str, text: str, *, own_id: str = "", label: str = "", described: str = "", blank: str = ""
) -> str:
    """Return what an entry is typed or chosen in: with an id, for a label of its own, or labelled itself.

    `described` is the id of its message; `blank` is a choice's label while nothing is chosen.
    """
    if isinstance(item.is_a, Quantity):
        return markup.number_input(name, text, label=label, identity=own_id, described=described)
    shown = "".join(
        f' {attribute}="{escape(value)}"'
        for attribute, value in (("id", own_id), ("name", name), ("aria-label", label))
        if value
    )
    if isinstance(item.is_a, Choice):
        by = f' aria-describedby="{escape(described)}"' if described else ""
        values = ((Option("", blank),) if blank else ()) + item.is_a.options
        return f"<select{shown}{by}>{options(values, text)}</select>"
    longest = item.is_a.longest if isinstance(item.is_a, Text) else 0
    return f'<input type="text" autocomplete="off"{shown} maxlength="{longest}" value="{escape(text)}">'


def field(
    item: Declared,
    text: str,
    display: Display,
    *,
    prefix: str,
    name: str = "",
    label: str = "",
    plus_minus: str | None = None,
    came_from: str = "",
    fixed_unit: bool = False,
) -> str:
    """Return one entry on a line of its own: label, value, unit, plus-minus, origin, and the place of its message.

    `label` is HTML in the place of the declared label.
    """
    name = name or item.name
    own_id = identity(prefix, name)
    head = f'<label for="{own_id}" title="{escape(item.is_a.help)}">{label or escape(item.is_a.label)}</label>'
    described = "" if isinstance(item.is_a, Text) else f"{own_id}-e"
    value = f'<span class="hb-field__value">{control(item, name, text, own_id=own_id, described=described)}</span>'
    if isinstance(item.is_a, Quantity):
        look = "" if plus_minus is not None else " hb-field--plain"
        value += unit_of(name, item.is_a, display, fixed=fixed_unit)
        if plus_minus is not None:
            doubt = markup.number_input(f"{name}.{PLUS_MINUS}", plus_minus, label=f"{item.is_a.label}, plus or minus")
            value += f'<span class="hb-field__pm"><span aria-hidden="true">±</span>{doubt}</span>'
        if came_from or plus_minus is not None:
            value += markup.origin(name, came_from)
    else:
        look = " hb-field--choice" if isinstance(item.is_a, Choice) else " hb-field--text"
    return f'<div class="hb-field{look}">{head}{value}{message(name, prefix)}</div>'


def table(
    name: str,
    item: Table,
    filled: Sequence[Mapping[str, str]],
    display: Display,
    *,
    spare: int = 1,
    caption: str = "",
) -> str:
    """Return a table of entries: its rows, filled with these texts, and some empty ones, with a button for one more.

    `caption` takes the place of the table's own.
    """
    columns = item.columns()
    heads = "".join(
        f'<th scope="col"{_numeric(inner)}>{column_head(f"{name}.{column}", inner, display)}</th>'
        for column, inner in columns.items()
    )
    body = ""
    for number in range(len(filled) + spare):
        texts = filled[number] if number < len(filled) else {}
        cells = "".join(_cell(name, number, inner, texts.get(column, ""), display) for column, inner in columns.items())
        body += f'<tr data-row="{number}">{cells}</tr>'
    fold = " hb-rows--fold" if len(columns) > _MOST_ABREAST else ""
    return (
        f'<div class="hb-rows{fold}" data-table="{escape(name)}" data-most="{item.most}">'
        f'<table class="hb-table"><caption>{escape(caption or f"{item.label}. {item.help}")}</caption>'
        f"<thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
        f'<p class="hb-error" data-error-of="{escape(name)}" hidden></p>'
        f'<button type="button" class="hb-more" data-add-row="{escape(name)}">Add a row</button></div>'
    )


def _numeric(item: Declared) -> str:
    return ' class="n"' if isinstance(item.is_a, Quantity) else ""


def column_head(name: str, item: Declared, display: Display) -> str:
    """Return the heading of a column of entries, with its unit."""
    label = escape(item.is_a.label)
    if not isinstance(item.is_a, Quantity):
        return label
    symbol = display.unit(item.is_a, name).symbol
    return f'{label}{", " if symbol else ""}<span data-unit-of="{escape(place(name))}">{escape(symbol)}</span>'


def _cell(table_name: str, number: int, item: Declared, text: str, display: Display) -> str:
    name = f"{table_name}.{number}.{item.name}"
    if isinstance(item.is_a, Choice):
        text = text or item.is_a.typical
    entry = control(item, name, text, label=f"{item.is_a.label}, row {number + 1}")
    # On a phone the columns stand one under the other, each with its own heading.
    head = f'<span class="hb-rows__head" aria-hidden="true">{column_head(name, item, display)}</span>'
    return f'<td{_numeric(item)}>{head}{entry}<p class="hb-error" data-error-of="{escape(name)}" hidden></p></td>'


def row_texts(item: Table, rows: Iterable[Any], display: Display, name: str) -> list[dict[str, str]]:
    """Return what a page writes into the cells of a table's rows."""
    return [
        {
            column: text_of(getattr(row, column), inner, f"{name}.{number}.{column}", display)
            for column, inner in item.columns().items()
        }
        for number, row in enumerate(rows)
    ]


def text_of(value: Any, item: Declared, name: str, display: Display) -> str:
    """Return what a page writes into the entry of a value: nothing for none."""
    if value is None:
        return ""
    return display.entry(value, item.is_a, name) if isinstance(item.is_a, Quantity) else str(value)


def line(label: str, inner: str, *, name: str = "", prefix: str = "", look: str = "", title: str | None = None) -> str:
    """Return entries on one line behind their label, which is that of the entry called `name`, or of none alone."""
    help_text = "" if title is None else f' title="{escape(title)}"'
    head = f'label for="{identity(prefix, name)}"' if name else "span"
    return f'<div class="hb-pair{look}"><{head}{help_text}>{escape(label)}</{head.partition(" ")[0]}>{inner}</div>'


def number_line(
    item: Declared, name: str, text: str, display: Display, prefix: str, *, label: str = "", came_from: str | None = ""
) -> str:
    """Return a line with a number, its unit and where it comes from (None: nothing is said of that)."""
    inner = number(item, name, text, display, prefix, came_from=came_from) + message(name, prefix)
    return line(label or item.is_a.label, inner, name=name, prefix=prefix, look=ONE, title=item.is_a.help)


def number(
    item: Declared, name: str, text: str, display: Display, prefix: str, *, label: str = "", came_from: str | None = ""
) -> str:
    """Return a number of a line."""
    own_id = identity(prefix, name)
    entry = control(item, name, text, own_id=own_id, label=label, described=f"{own_id}-e")
    word = "" if came_from is None else markup.origin(name, came_from)
    return f'<span class="hb-pair__one">{entry}{unit_of(name, item.quantity, display)}{word}</span>'


def text_line(label: str, name: str, text: str, longest: int, prefix: str) -> str:
    """Return a line with a short text."""
    item = Declared(name=name, is_a=Text(label=label, longest=longest), optional=True)
    entry = control(item, name, text, own_id=identity(prefix, name))
    return line(label, f'<span class="hb-pair__text">{entry}</span>', name=name, prefix=prefix, look=TEXT)


def choice_line(choice: Choice, name: str, chosen: str, prefix: str) -> str:
    """Return a line with a choice, each of whose values says what it means."""
    entry = (
        f'<select id="{identity(prefix, name)}" name="{name}">{options(choice.options, chosen, helped=True)}</select>'
    )
    inner = f'<span class="hb-pair__text hb-pair__choice">{entry}</span>'
    return line(choice.label, inner, name=name, prefix=prefix, look=TEXT, title=choice.help or None)
