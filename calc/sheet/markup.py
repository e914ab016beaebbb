"""Parts that every sheet is made of: fields, results, findings, messages."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Any

from calc.errors import FieldError
from calc.quantity import Choice, Declared, Display, Quantity, Table, Text
from calc.step import Finding

# Columns of a table to fill in that a phone is wide enough for.
_MOST_ABREAST = 2
_WORDS = {"holds": "holds", "close": "close", "fails": "fails", "not checked": "unchecked"}


def mark(state: str) -> str:
    """Return the drawn mark of a finding's state; its word always stands beside it."""
    return f'<svg class="hb-mark" aria-hidden="true" focusable="false"><use href="#hb-{_WORDS[state]}"></use></svg>'


def word(state: str) -> str:
    """Return the word of a finding's state."""
    return f'<span class="hb-word hb-word--{_WORDS[state]}">{state}</span>'


def findings(items: Iterable[Finding]) -> str:
    """Return the list of findings: mark, word, sentence."""
    rows = "".join(f"<li>{mark(item.state)}<span>{word(item.state)} {escape(item.text)}</span></li>" for item in items)
    return f'<ul class="hb-findings">{rows}</ul>' if rows else ""


def units_switch(display: Display) -> str:
    """Return the two buttons that switch the whole site's units."""
    buttons = "".join(
        f'<button type="button" data-system="{system}" aria-pressed="{"true" if display.system == system else "false"}">'
        f"{label}</button>"
        for system, label in (("shop", "shop units"), ("metric", "metric"))
    )
    return f'<span class="hb-units" role="group" aria-label="Units">{buttons}</span>'


def unit_of(name: str, quantity: Quantity, display: Display) -> str:
    """Return the unit behind a field: a plain choice where the quantity has several units."""
    shown = display.unit(quantity, name).symbol
    choices = quantity.kind.units()
    if len(choices) < 2:
        return f'<span class="hb-field__unit" data-unit-of="{escape(name)}">{escape(shown)}</span>'
    options = "".join(
        f'<option value="{escape(unit.symbol)}"{" selected" if unit.symbol == shown else ""}>{escape(unit.symbol)}</option>'
        for unit in choices
    )
    return (
        f'<span class="hb-field__unit"><select data-unit-of="{escape(name)}" '
        f'aria-label="Unit of {escape(quantity.label.lower())}">{options}</select></span>'
    )


def origin(name: str, word: str) -> str:
    """Return the word that says where a value comes from."""
    return f'<span class="hb-origin hb-origin--{word or "none"}" data-origin-of="{escape(name)}">{escape(word)}</span>'


def number_input(name: str, text: str, *, label: str = "", identity: str = "", described: str = "") -> str:
    """Return a text input for a number; it is never a spinner."""
    labelled = f' aria-label="{escape(label)}"' if label else ""
    own = f' id="{escape(identity)}"' if identity else ""
    by = f' aria-describedby="{escape(described)}"' if described else ""
    return (
        f'<input type="text" inputmode="decimal" autocomplete="off" maxlength="60" name="{escape(name)}"{own}'
        f'{labelled}{by} value="{escape(text)}">'
    )


def field(
    declared: Declared,
    text: str,
    display: Display,
    *,
    plus_minus: str | None = None,
    came_from: str = "",
    name: str = "",
    prefix: str = "f",
) -> str:
    """Return one field: label, value, unit, plus-minus, origin, and the empty place of its message."""
    name = name or declared.name
    identity = f"{prefix}-{name.replace('.', '-')}"
    label = f'<label for="{identity}" title="{escape(declared.is_a.help)}">{escape(declared.is_a.label)}</label>'
    message = f'<p class="hb-error" id="{identity}-e" data-error-of="{escape(name)}" hidden></p>'
    if isinstance(declared.is_a, Choice):
        options = "".join(
            f'<option value="{escape(option.value)}"{" selected" if option.value == text else ""}>'
            f"{escape(option.label)}</option>"
            for option in declared.is_a.options
        )
        chosen = f'<select id="{identity}" name="{escape(name)}" aria-describedby="{identity}-e">{options}</select>'
        return f'<div class="hb-field hb-field--choice">{label}<span class="hb-field__value">{chosen}</span>{message}</div>'
    if isinstance(declared.is_a, Text):
        entry = (
            f'<input type="text" autocomplete="off" id="{identity}" name="{escape(name)}" '
            f'maxlength="{declared.is_a.longest}" value="{escape(text)}">'
        )
        return (
            f'<div class="hb-field hb-field--text">{label}<span class="hb-field__value">{entry}</span>{message}</div>'
        )
    quantity = declared.quantity
    value = number_input(name, text, identity=identity, described=f"{identity}-e")
    doubt = ""
    if plus_minus is not None:
        inner = number_input(f"{name}.plus_minus", plus_minus, label=f"{quantity.label}, plus or minus")
        doubt = f'<span class="hb-field__pm"><span aria-hidden="true">±</span>{inner}</span>'
    plain = "" if plus_minus is not None else " hb-field--plain"
    word = origin(name, came_from) if came_from or plus_minus is not None else ""
    return (
        f'<div class="hb-field{plain}">{label}<span class="hb-field__value">{value}</span>'
        f"{unit_of(name, quantity, display)}{doubt}{word}{message}</div>"
    )


def group(legend: str, inner: str) -> str:
    """Return fields under one legend."""
    head = f"<legend>{escape(legend)}</legend>" if legend else ""
    return f'<fieldset class="hb-group">{head}{inner}</fieldset>'


def rows(
    name: str,
    table: Table,
    filled: Sequence[Any],
    display: Display,
    *,
    spare: int = 1,
    caption: str = "",
    units_under: str = "",
) -> str:
    """Return a table of entries: the filled rows and some empty ones, with a button for one more.

    `caption` takes the place of the table's own; `units_under` is the name that the columns' units are shown under,
    where that is not the table's.
    """
    columns = table.columns()
    heads = "".join(
        f'<th scope="col"{_numeric(item)}>{_column_head(units_under or name, item, display)}</th>'
        for item in columns.values()
    )
    body = "".join(
        _entry_row(name, index, columns, filled[index] if index < len(filled) else None, display, units_under or name)
        for index in range(len(filled) + spare)
    )
    fold = " hb-rows--fold" if len(columns) > _MOST_ABREAST else ""
    return (
        f'<div class="hb-rows{fold}" data-table="{escape(name)}" data-most="{table.most}">'
        f'<table class="hb-table"><caption>{escape(caption or f"{table.label}. {table.help}")}</caption>'
        f"<thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
        f'<p class="hb-error" data-error-of="{escape(name)}" hidden></p>'
        f'<button type="button" class="hb-more" data-add-row="{escape(name)}">Add a row</button></div>'
    )


def _numeric(declared: Declared) -> str:
    return ' class="n"' if isinstance(declared.is_a, Quantity) else ""


def _column_head(name: str, declared: Declared, display: Display) -> str:
    label = escape(declared.is_a.label)
    if not isinstance(declared.is_a, Quantity):
        return label
    key = f"{name}.{declared.name}"
    symbol = display.unit(declared.is_a, key).symbol
    return f'{label}{", " if symbol else ""}<span data-unit-of="{escape(key)}">{escape(symbol)}</span>'


def _entry_row(
    name: str, index: int, columns: Mapping[str, Declared], row: Any, display: Display, units_under: str
) -> str:
    # An answer paints no rows: only a whole form has them.
    from calc.rig.unread import UnreadRow

    cells = []
    for column, declared in columns.items():
        key = f"{name}.{index}.{column}"
        typed = row.cell(column) if isinstance(row, UnreadRow) else None
        value = getattr(row, column, None) if row is not None and typed is None else None
        label = f"{declared.is_a.label}, row {index + 1}"
        if isinstance(declared.is_a, Quantity):
            under = f"{units_under}.{column}"
            if typed is not None:
                text = typed.shown(display.unit(declared.is_a, under).symbol)
            else:
                text = "" if value is None else display.entry(value, declared.is_a, under)
            entry = number_input(key, text, label=label)
        elif isinstance(declared.is_a, Choice):
            chosen = (value if typed is None else typed.text) or declared.is_a.typical
            options = "".join(
                f'<option value="{escape(option.value)}"{" selected" if option.value == chosen else ""}>'
                f"{escape(option.label)}</option>"
                for option in declared.is_a.options
            )
            entry = f'<select name="{key}" aria-label="{escape(label)}">{options}</select>'
        else:
            entry = (
                f'<input type="text" autocomplete="off" name="{key}" aria-label="{escape(label)}" '
                f'maxlength="{getattr(declared.is_a, "longest", 80)}" value="{escape(str((value if typed is None else typed.text) or ""))}">'
            )
        # On a phone the columns stand one under the other, each with its own heading.
        head = f'<span class="hb-rows__head" aria-hidden="true">{_column_head(units_under, declared, display)}</span>'
        cells.append(f'<td{_numeric(declared)}>{head}{entry}<p class="hb-error" data-error-of="{key}" hidden></p></td>')
    return f'<tr data-row="{index}">{"".join(cells)}</tr>'


def result(quantity: Quantity, value: float, plus_minus: float, display: Display, name: str) -> str:
    """Return one large result: label, number, unit, plus-minus."""
    unit = display.unit(quantity, name).symbol
    doubt = f"±\u00a0{display.plus_minus(plus_minus, quantity, name)}" if plus_minus > 0 else ""
    return (
        f"<div><dt>{escape(quantity.label)}</dt><dd><b>{escape(display.number(value, quantity, name))}</b>"
        f'<span class="u">{escape(unit)}</span><span class="pm">{doubt}</span></dd></div>'
    )


def fact(label: str, text: str, doubt: str = "") -> str:
    """Return one line of a list of smaller results."""
    small = f" <small>±\u00a0{escape(doubt)}</small>" if doubt else ""
    return f"<div><dt>{escape(label)}</dt><dd>{escape(text)}{small}</dd></div>"


def error_texts(error: FieldError, display: Display) -> dict[str, str]:
    """Return a message in three parts, for the page to set as text beside its field."""
    return error.parts(display)
