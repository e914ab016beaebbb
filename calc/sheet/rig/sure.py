"""What stands in a field of the rig page, where it comes from, and how sure it is.

The plus-minus and the origin of each number stand behind one quiet line of its section and are painted when that is
opened. They live in the rig's own entries: a file, a link and an undo carry them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from html import escape

from calc.errors import FieldError
from calc.order.order import LIMITS, completed
from calc.quantity import EVERY_PLUS_MINUS, Display, Quantity, Table, read_plus_minus
from calc.rig.axle import label
from calc.rig.entries import AXLES, keys
from calc.rig.height import LENGTH
from calc.rig.rig import AS_FRONT, TAKEN, Entry, Rig, taken_for
from calc.rig.unread import as_typed
from calc.rig.wires import doubtful, reason
from calc.sheet import markup
from calc.step import Origin

_USUAL = (
    f"{EVERY_PLUS_MINUS} Where you give none, the usual one of such a reading is taken: assumed, common practice. "
    "An emptied field goes back to it."
)
ACTION, PLUS_MINUS, ORIGIN = "sure", "plus_minus", "origin"
_ORIGINS: Mapping[str, Origin] = {
    "measured": "measured",
    "assumed": "assumed",
    "derived": "derived",
    "example": "example",
}


def entry_of(rig: Rig, key: str) -> Entry | None:
    """Return what stands in a field: the rig's own value, else what is assumed in its place.

    Nothing takes the place of what was typed and cannot be read.
    """
    if key in rig.unread:
        return None
    entry = rig.values.get(key)
    if entry is not None:
        return entry
    if key in LIMITS.values():
        return Entry(value=keys()[key].quantity.assumed, origin="assumed")
    taken = taken_for(rig, key)
    axle, _, name = key.partition(".")
    if name == LENGTH:
        return completed(rig).values.get(key)
    front = rig.values.get(f"front.{name}") if axle == "rear" and name in AS_FRONT else None
    return (
        taken if front is None else replace(front, origin="assumed", plus_minus=rig.doubts.get(key, front.plus_minus))
    )


def origin_of(entry: Entry, key: str) -> str:
    """Return the origin word of a field. A wish is nobody's measurement: it is told only where it is not one's own."""
    name = key.rpartition(".")[2]
    wish = name.startswith(("wanted_", "rank_")) or name in TAKEN or key in LIMITS.values()
    return "" if wish and entry.origin == "measured" else entry.origin


def text_of(rig: Rig, key: str, display: Display) -> str:
    """Return what stands in the field of a number's plus-minus: what was typed and cannot be read, else the one in use."""
    typed = rig.unread.get(f"{key}.{PLUS_MINUS}")
    return _in_use(rig, key, display) if typed is None else typed.shown(display.unit(keys()[key].quantity, key).symbol)


def _in_use(rig: Rig, key: str, display: Display) -> str:
    """Return the plus-minus that is in use for a number, its own or the usual one; empty while there is neither."""
    entry, quantity = entry_of(rig, key), keys()[key].quantity
    if entry is None:
        size = rig.doubts.get(key)
    else:
        size = quantity.uncertainty(entry.value) if entry.plus_minus is None else entry.plus_minus
    if size is None:
        return ""
    return display.plus_minus(size, quantity, key).replace(",", "")


# --- as HTML ------------------------------------------------------------------------------------------------------------------


def fold(number: int, names: Iterable[str]) -> str:
    """Return the quiet line of a section; what is behind it is painted when it is opened."""
    if not any(True for _ in _keys(names)):
        return ""
    return (
        f'<details class="hb-open" data-rig-do="{ACTION}" data-rig-of="{number}"><summary>How sure?</summary>'
        f'<div data-region="{ACTION}-{number}"></div></details>'
    )


def _keys(names: Iterable[str]) -> Iterator[str]:
    """Give the keys of a section that can be in doubt: of the vehicle, or of both axles."""
    may = doubtful()
    for name in names:
        yield from (key for key in (name, *(f"{axle}.{name}" for axle in AXLES)) if key in may)


def inside(names: Iterable[str], tables: Iterable[Table], rig: Rig, display: Display) -> str:
    """Return each number's plus-minus and origin, to be changed, and what is taken as it stands."""
    names, said = tuple(names), []
    lines = "".join(_line(key, rig, display) for key in _keys(names))
    certain = {keys().get(name, keys().get(f"front.{name}")): reason(name) for name in names if reason(name)}
    told = [
        f"{declared.is_a.label}: {why}"
        for declared, why in certain.items()
        if declared and not why.startswith("a target")
    ]
    if told:
        said.append(f"Without ±: {'; '.join(told)}.")
    said += [_of_table(table, display) for table in tables]
    notes = "".join(f'<p class="hb-note">{escape(text)}</p>' for text in said if text)
    return f'<p class="hb-note">{_USUAL}</p>{lines}{notes}'


def _line(key: str, rig: Rig, display: Display) -> str:
    quantity = keys()[key].quantity
    entry = entry_of(rig, key)
    name, origin_name = f"{key}.{PLUS_MINUS}", f"{key}.{ORIGIN}"
    identity = f"r-{key}"
    own = "" if entry is None else entry.origin
    doubt = markup.number_input(
        name, text_of(rig, key, display), identity=f"{identity}-pm", described=f"{identity}-pm-e"
    )
    options = "".join(
        f"<option{' selected' if word == (own or 'measured') else ''}>{word}</option>" for word in _ORIGINS
    )
    title = f"{label(key)[:1].upper()}{label(key)[1:]}"
    return (
        f'<div class="hb-pair"><label for="{identity}-pm">{escape(title)}, ±</label>'
        f'<span class="hb-pair__one">{doubt}'
        f'<span class="hb-field__unit" data-unit-of="{key}">{escape(display.unit(quantity, key).symbol)}</span>'
        f"{markup.origin(name, _word(entry))}</span>"
        f'<span class="hb-pair__text hb-pair__choice"><select name="{origin_name}" '
        f'aria-label="{escape(title)}: where it comes from">{options}</select></span>'
        f'<p class="hb-error" id="{identity}-pm-e" data-error-of="{name}" hidden></p></div>'
    )


def _word(entry: Entry | None) -> str:
    return "assumed" if entry is not None and entry.plus_minus is None else ""


def _of_table(table: Table, display: Display) -> str:
    """Say what is taken for the numbers of a table, which have no field for it."""
    found = []
    for declared in table.columns().values():
        quantity = declared.is_a
        if isinstance(quantity, Quantity) and quantity.plus_minus_share:
            found.append(f"{quantity.label.lower()} ± {100 * quantity.plus_minus_share:.0f} %")
        elif isinstance(quantity, Quantity) and quantity.plus_minus:
            size = display.plus_minus(quantity.plus_minus, quantity)
            found.append(f"{quantity.label.lower()} ± {size} {display.unit(quantity).symbol}")
    return f"In the table: {', '.join(found)}, as usual." if found else ""


# --- the live answer ------------------------------------------------------------------------------------------------------------


def texts(rig: Rig, display: Display) -> dict[str, str]:
    """Return what stands in every field of a plus-minus or an origin."""
    found = {}
    for key in doubtful():
        entry = entry_of(rig, key)
        found[f"{key}.{PLUS_MINUS}"] = text_of(rig, key, display)
        found[f"{key}.{ORIGIN}"] = "measured" if entry is None else entry.origin
    return found


def untouched(rig: Rig, fields: Mapping[str, str], typed: frozenset[str], display: Display) -> dict[str, str]:
    """Return the texts of those fields that stand on the page and follow the rig: not typed, or emptied."""
    shown = (key for key in doubtful() if f"{key}.{PLUS_MINUS}" in fields)
    if not any(True for _ in shown):
        return {}
    return {
        name: text
        for name, text in texts(rig, display).items()
        if name in fields and (name not in typed or not fields[name].strip())
    }


def words(rig: Rig) -> dict[str, dict[str, str | None]]:
    """Return, for each plus-minus, whether it is the usual one, for the word behind its field."""
    return {f"{key}.{PLUS_MINUS}": {"origin": _word(entry_of(rig, key)), "error": None} for key in doubtful()}


def read(
    rig: Rig,
    before: Mapping[str, Entry],
    values: Mapping[str, Entry],
    fields: Mapping[str, str],
    typed: frozenset[str],
    display: Display,
) -> tuple[Rig, list[FieldError]]:
    """Return the rig with its values, and with the plus-minus and origins that were typed; and what could not be read.

    `values` are those that the numbers' own fields give; `before` what was kept of them. The plus-minus of a number that
    was emptied, or is not entered yet, waits for the number.
    """
    found, doubts, unread, errors = dict(values), dict(rig.doubts), dict(rig.unread), []
    for key in doubtful():
        kept = before.get(key)
        if key not in found and kept is not None and kept.plus_minus is not None:
            doubts[key] = kept.plus_minus
        elif kept is None and key in found and key in doubts:
            found[key] = replace(found[key], plus_minus=doubts.pop(key))
        name, origin_name = f"{key}.{PLUS_MINUS}", f"{key}.{ORIGIN}"
        if name in typed and name in fields:
            text, shown = fields[name].strip(), replace(rig, values=found, doubts=doubts)
            try:
                if name in unread or text != _in_use(shown, key, display):
                    size = read_plus_minus(text, keys()[key].quantity, key, display) if text else None
                    _put(key, size, found, doubts)
                unread.pop(name, None)
            except FieldError as error:
                errors.append(error)
                _put(key, None, found, doubts)
                if name not in unread or text != text_of(shown, key, display):
                    unread[name] = as_typed(text, keys()[key], key, display)
        if origin_name in typed and key in found and fields.get(origin_name) in _ORIGINS:
            found[key] = replace(found[key], origin=_ORIGINS[fields[origin_name]])
    return replace(rig, values=found, doubts=doubts, unread=unread), errors


def _put(key: str, size: float | None, values: dict[str, Entry], doubts: dict[str, float]) -> None:
    if key in values:
        values[key] = replace(values[key], plus_minus=size)
    elif size is None:
        doubts.pop(key, None)
    else:
        doubts[key] = size
