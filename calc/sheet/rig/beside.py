"""Side by side on the rig page: another ranked set, or another kept rig, beside what is open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from html import escape
from typing import Any

from calc.answers.compare import Comparison, compared
from calc.answers.sets import short_name
from calc.errors import DataError
from calc.order.order import Order, order
from calc.quantity import Display
from calc.rig.compare import Row, with_set
from calc.rig.entries import AXLES
from calc.rig.kept import kept_rig
from calc.rig.rig import Rig
from calc.sheet.answer import rows_table

ACTION = "beside"
# What was compared is not what stands there any more.
STALE = '<p class="hb-note">Something was changed. Close this line and open it again to compare.</p>'
_MOST_SETS, _MOST_RIGS, _LONGEST = 5, 50, 80


def fold() -> str:
    """Return the closed line; what is in it is painted when it is opened."""
    return (
        f'<details class="hb-open" data-rig-do="{ACTION}"><summary>Side by side</summary>'
        f'<div data-region="{ACTION}" aria-live="polite"></div></details>'
    )


def inside(made: Order, request: Mapping[str, Any], display: Display) -> str:
    """Return what can be set beside the open rig, and the comparison that was asked for."""
    wanted = str(request.get("action", "")).partition(" ")[2]
    options = [("", "choose"), *_sets(made, display), *_rigs(request)]
    chosen = "".join(
        f'<option value="{escape(value)}"{" selected" if value == wanted else ""}>{escape(name)}</option>'
        for value, name in options
    )
    head = (
        '<p class="hb-beside"><label for="beside">What is open, and beside it</label> '
        f'<select id="beside" data-rig-beside>{chosen}</select></p>'
    )
    if not wanted:
        return head
    try:
        other = _other(made, wanted, request)
    except DataError as problem:
        return f"{head}<p>{escape(str(problem))}</p>"
    if other is None:
        return f"{head}<p>This is not there any more. Choose again.</p>"
    rig, name = other
    found = compared(made, order(rig, made.springs, None, display), ("What is open", name))
    # Another set on the same rig: nothing was entered differently but the set itself.
    return head + table(found if wanted.startswith("rig ") else replace(found, entries=()), display)


def _sets(made: Order, display: Display) -> list[tuple[str, str]]:
    found = []
    for item in made.axles:
        if item.choice is None or item.chosen is None:
            continue
        for place, one in enumerate(item.choice.ranked[:_MOST_SETS]):
            if one.springs() != item.chosen.springs():
                codes = ", ".join(made.springs.part[index] for index in one.springs())
                name = f"{item.axle}, place {place + 1}: {short_name(one, made.springs, display)} ({codes})"
                found.append((f"{item.axle} {place}", name))
    return found


def _rigs(request: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the other kept rigs, as the page tells them."""
    told = request.get("rigs")
    rigs = [one for one in told[:_MOST_RIGS] if isinstance(one, dict)] if isinstance(told, list) else []
    return [
        (f"rig {str(one.get('id'))[:_LONGEST]}", f"the rig {str(one.get('name'))[:_LONGEST]}")
        for one in rigs
        if not one.get("chosen")
    ]


def _other(made: Order, wanted: str, request: Mapping[str, Any]) -> tuple[Rig, str] | None:
    kind, _, which = wanted.partition(" ")
    if kind == "rig":
        data = request.get("other")
        if data is None:
            return None
        rig = kept_rig(data)
        return rig, rig.name or "rig without a name"
    item = next((one for one in made.axles if one.axle == kind), None)
    if kind not in AXLES or item is None or item.choice is None or not which.isdigit():
        return None
    ranked = item.choice.ranked
    if int(which) >= len(ranked):
        return None
    # The other axle keeps what it has, also where that is not its first.
    rig = made.rig
    for one in made.axles:
        if one.chosen is not None and one is not item:
            rig = with_set(rig, one.axle, one.chosen, made.springs)
    return with_set(rig, kind, ranked[int(which)], made.springs), f"{kind.capitalize()}, place {int(which) + 1}"


def table(found: Comparison, display: Display) -> str:
    """Return a comparison as two tables: what was entered differently, and what that comes to."""
    heads = ("What", *found.names, "Change")
    tables = "".join(
        rows_table(heads, [_cells(row, display) for row in rows], caption=title)
        for title, rows in (("Entered differently", found.entries), ("What it comes to", found.different(display)))
        if rows
    )
    return f'{tables or "<p>Nothing is different.</p>"}<p class="hb-note">{escape(found.alike(display))}</p>'


def _cells(row: Row, display: Display) -> list[str]:
    return [escape(text) for text in (row.what[:1].upper() + row.what[1:], *row.texts(display))]
