"""Ordering on the rig page: the button or what blocks it, what was ordered when, and what was changed since."""

from __future__ import annotations

from html import escape

from calc.order.order import Order
from calc.order.recording import Since, blocks, since
from calc.quantity import Display

ACTION = "order-this"


def body(made: Order, display: Display) -> str:
    """Return what section 12 says of ordering."""
    return _ordered(since(made), display) + _button(made)


def answer(made: Order) -> str:
    """Return the heading's answer where something was ordered; nothing before."""
    return f"Ordered on {made.entered.ordered[-1].date}" if made.entered.ordered else ""


def _button(made: Order) -> str:
    told = blocks(made)
    if told:
        return f'<p class="hb-note">{escape(told)}</p>'
    again = " again, as it is now" if made.entered.ordered else ""
    return (
        f'<p><button type="button" class="hb-button" data-rig-do="{ACTION}">Order this{again}</button></p>'
        '<p class="hb-note">The rig keeps what was ordered: parts, settings and what they will do. The build sheet and '
        "Prove go by that from then on, whatever is changed here afterwards.</p>"
    )


def _ordered(found: Since | None, display: Display) -> str:
    if found is None:
        return ""
    record = found.record
    head = f"<h3>Ordered on {record.date}, handbook {escape(record.handbook)}</h3>"
    lines = found.lines(display)
    if not lines:
        return f"{head}<p>Nothing was changed since. The settings are the ordered ones.</p>"
    rows = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f"{head}<p>Changed since; the build sheet below keeps the ordered settings:</p><ul>{rows}</ul>"
