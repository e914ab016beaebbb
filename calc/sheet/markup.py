"""Small parts that every sheet is made of: marks, findings, inputs, results."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from calc.quantity import Display, Quantity
from calc.step import Finding

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


def group(legend: str, inner: str) -> str:
    """Return fields under one legend."""
    head = f"<legend>{escape(legend)}</legend>" if legend else ""
    return f'<fieldset class="hb-group">{head}{inner}</fieldset>'


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
