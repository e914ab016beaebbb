"""The reader's own spring list on the rig page: proposed, confirmed, and kept in memory while the page is open."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from html import escape
from typing import Any

from calc.errors import DataError
from calc.job.order_findings import count
from calc.quantity import Quantity
from calc.tables import (
    MOST_BYTES,
    NUMBERS,
    WORDS,
    CellError,
    Column,
    SpringList,
    Springs,
    assortment_springs,
    read_spring_list,
    spring_list_slices,
)

# So many rows are read again within an answer when other columns are chosen; more are read in slices.
AT_ONCE = 2_000
_MOST_TOLD = 40
_NONE = ""
_WORDS = {"part": "Part code", "use": "Use: helper or not"}


@dataclass(frozen=True, kw_only=True)
class Held:
    """A list as the reader brought it, how its columns were settled, and what was read."""

    text: str
    listed: SpringList


# One worker serves one reader: the last list is kept, and a page that has another sends its text again.
_held: dict[str, Held] = {}


@dataclass(frozen=True, kw_only=True)
class Listing:
    """Which list the search goes by, and what the page shows and keeps of the reader's own."""

    springs: Springs
    key: str = ""
    html: str = ""
    state: Mapping[str, Any] | None = None
    wanted: bool = False
    problem: str = ""


@lru_cache(maxsize=1)
def handbook_springs() -> Springs:
    """Return the handbook's own invented assortment."""
    return assortment_springs()


def listing(request: Mapping[str, Any], fields: Mapping[str, str], typed: frozenset[str]) -> Listing:
    """Return the list in use for a request.

    The request holds `list_text` once, then `list` with its id, whether it is used, and its columns.
    """
    own = request.get("list")
    state = own if isinstance(own, dict) else {}
    text = request.get("list_text")
    if isinstance(text, str):
        return _read(
            text, _columns(state.get("columns")), use=state.get("use") is True and state.get("id") == _id(text)
        )
    identity = state.get("id")
    if not isinstance(identity, str) or not identity:
        return _example("")
    held = _held.get(identity)
    if held is None:
        return replace(_example(""), wanted=True, state=dict(state))
    if any(name.startswith("list.") for name in typed):
        changed = _chosen(held.listed, fields)
        if changed != held.listed.proposal and held.listed.row_count > AT_ONCE:
            shown = _shown(identity, held, use=False)
            return replace(shown, wanted=True, state={"id": identity, "use": False, "columns": _told(changed)})
        if changed != held.listed.proposal:
            return _read(held.text, changed, use=False)
    return _shown(identity, held, use=state.get("use") is True)


def reading(request: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Read a list in slices: progress after each; the end holds what the page keeps of the list, and no other answer.

    The request holds `list_text`, and `list` where its columns were settled or it was in use before.
    """
    own, text = request.get("list"), request.get("list_text")
    state = own if isinstance(own, dict) else {}
    if not isinstance(text, str):
        yield _unread("There is no list to read.")
        return
    if len(text) > MOST_BYTES:
        yield _unread("This list is too large (5 MB is the limit).")
        return
    parts = spring_list_slices(text, columns=_columns(state.get("columns")))
    try:
        while True:
            done, total = next(parts)
            sentence = f"Reading your list: {done:,} of {total:,} rows."
            yield {"progress": {"done": done, "total": total, "text": sentence}}
    except DataError as problem:
        yield _unread(str(problem))
    except StopIteration as end:
        identity = _hold(text, end.value)
        use = state.get("use") is True and state.get("id") == identity
        yield {"done": {"list": dict(_shown(identity, _held[identity], use=use).state or {}), "problem": None}}


def _unread(problem: str) -> dict[str, Any]:
    return {"done": {"list": None, "regions": {"list": _example(problem).html}, "problem": problem}}


def _hold(text: str, listed: SpringList) -> str:
    identity = _id(text)
    _held.clear()
    _held[identity] = Held(text=text, listed=listed)
    return identity


def _example(problem: str) -> Listing:
    springs = handbook_springs()
    told = f'<p class="hb-note">In use: the handbook’s invented list, {count(len(springs), "spring")}. Nobody sells them.</p>'
    error = f'<p class="hb-error">{escape(problem)}</p>' if problem else ""
    return Listing(springs=springs, html=told + error, problem=problem)


def _id(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()[:16]


def _read(text: str, columns: Mapping[str, Column] | None, *, use: bool) -> Listing:
    if len(text) > MOST_BYTES:
        return _example("This list is too large (5 MB is the limit).")
    try:
        listed = read_spring_list(text, columns=columns)
    except DataError as problem:
        return _example(str(problem))
    identity = _hold(text, listed)
    return _shown(identity, _held[identity], use=use)


def _shown(identity: str, held: Held, *, use: bool) -> Listing:
    listed = held.listed
    used = use and len(listed.springs) > 0
    springs = listed.springs if used else handbook_springs()
    columns = _told(listed.proposal)
    state = {"id": identity, "use": used, "columns": columns}
    key = f"{identity} {columns}" if used else ""
    return Listing(springs=springs, key=key, html=_html(listed, used=used), state=state)


def _told(columns: Mapping[str, Column]) -> dict[str, Any]:
    return {name: {"index": column.index, "unit": column.unit} for name, column in sorted(columns.items())}


def _columns(data: Any) -> Mapping[str, Column] | None:
    if not isinstance(data, dict) or not data:
        return None
    found = {}
    for name, column in data.items():
        index = column.get("index") if isinstance(column, dict) else None
        if isinstance(index, int) and not isinstance(index, bool):
            found[str(name)] = Column(index=index, unit=str(column.get("unit", "")), stated=True)
    return found


def _chosen(listed: SpringList, fields: Mapping[str, str]) -> dict[str, Column]:
    """Return the columns as the reader set them on the page."""
    found: dict[str, Column] = {}
    for name in (*WORDS, *NUMBERS):
        place = fields.get(f"list.{name}.column", _NONE)
        if not place.isdigit() or not 0 <= int(place) < len(listed.headings):
            continue
        unit = ""
        if name in NUMBERS:
            kind = NUMBERS[name].kind
            symbols = [each.symbol for each in kind.units()]
            own = fields.get(f"list.{name}.unit", "")
            unit = own if own in symbols else kind.shop.symbol
        found[name] = Column(index=int(place), unit=unit, heading=listed.headings[int(place)], stated=True)
    return found


# --- what the page shows --------------------------------------------------------------------------------------------------------


def _html(listed: SpringList, *, used: bool) -> str:
    good = len(listed.springs)
    if used:
        told = f"<p>In use: your list, {count(good, 'spring')}.</p>"
        act = '<button type="button" class="hb-more" data-rig-do="list-drop">Go back to the handbook’s list</button>'
    elif good:
        told = (
            f"<p>Read: {good:,} of {count(listed.row_count, 'row')}. "
            "Look whether columns and units are understood, then take them.</p>"
        )
        act = (
            f'<button type="button" class="hb-button" data-rig-do="list-use">Use {count(good, "spring")}</button> '
            '<button type="button" class="hb-more" data-rig-do="list-drop">Leave it</button>'
        )
    else:
        problem = listed.problem or "No row of this list can be used as its columns are understood."
        told = f'<p class="hb-error">{escape(problem)}</p>'
        act = '<button type="button" class="hb-more" data-rig-do="list-drop">Leave it</button>'
    return f"{told}{_proposal(listed)}{errors_table(listed.errors, listed.error_count)}<p>{act}</p>"


def _proposal(listed: SpringList) -> str:
    rows = "".join(_proposed(name, listed) for name in (*WORDS, *NUMBERS))
    unused = f'<p class="hb-note">Not used: {escape(", ".join(listed.unused[:20]))}.</p>' if listed.unused else ""
    return (
        '<div class="hb-rows"><table class="hb-table hb-table--narrow"><thead><tr><th scope="col">What</th><th scope="col">Column of '
        f'your list</th><th scope="col">Unit</th></tr></thead><tbody>{rows}</tbody></table></div>{unused}'
    )


def _proposed(name: str, listed: SpringList) -> str:
    column = listed.proposal.get(name)
    quantity: Quantity | None = NUMBERS.get(name)
    label = escape(_WORDS.get(name, quantity.label if quantity else name))
    options = f'<option value="{_NONE}"{"" if column else " selected"}>none</option>' + "".join(
        f'<option value="{index}"{" selected" if column and column.index == index else ""}>{escape(heading[:60] or f"column {index + 1}")}</option>'
        for index, heading in enumerate(listed.headings[:100])
    )
    chosen = f'<select name="list.{name}.column" aria-label="Column of {label.lower()}">{options}</select>'
    unit = ""
    if quantity is not None:
        units = [each.symbol for each in quantity.kind.units()]
        if any(units):
            own = column.unit if column else quantity.kind.shop.symbol
            choices = "".join(
                f'<option value="{escape(symbol)}"{" selected" if symbol == own else ""}>{escape(symbol)}</option>'
                for symbol in units
            )
            unit = f'<select name="list.{name}.unit" aria-label="Unit of {label.lower()}">{choices}</select>'
            if column and not column.stated:
                unit += ' <span class="hb-origin hb-origin--assumed">assumed</span>'
    return f'<tr><th scope="row">{label}</th><td>{chosen}</td><td>{unit}</td></tr>'


def errors_table(errors: Sequence[CellError], total: int) -> str:
    """Return the cells of a list that cannot be used, by row and column; nothing where all can."""
    if not errors:
        return ""
    rows = "".join(
        f'<tr><td class="n">{error.row}</td><td>{escape(error.column)}</td>'
        f"<td>{escape(error.problem)} {escape(error.allowed)}</td></tr>"
        for error in errors[:_MOST_TOLD]
    )
    more = total - min(len(errors), _MOST_TOLD)
    rest = f'<p class="hb-note">And {more:,} more.</p>' if more else ""
    return (
        f'<details class="hb-open" open><summary>{count(total, "cell")} cannot be used</summary>'
        '<table class="hb-table"><thead><tr><th scope="col" class="n">Row</th><th scope="col">Column</th>'
        f'<th scope="col">What is wrong</th></tr></thead><tbody>{rows}</tbody></table>{rest}</details>'
    )
