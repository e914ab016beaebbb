"""A rig that a browser keeps, read so that its reader can go on with it, whatever one of its values is.

A file that is brought from outside is refused as a whole, with a sentence. A kept rig has no other copy: a value that
another handbook wrote, or that damage left, stands as what cannot be read, in its own field, and all the rest goes on.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from calc import units, vocabulary
from calc.errors import DataError, FieldError
from calc.geometry.travel_table import travel_pairs
from calc.quantity import SHOP, Declared, Display, Quantity, Table, Text, read, read_plus_minus
from calc.rig.entries import AXLES, CORNERS, keys
from calc.rig.file import HEIGHT, ITEM, KIND, PAIR, rig_from_data, size_parts, value_parts
from calc.rig.parts import FilePart, Place, Size, of_declaration
from calc.rig.readings import ADDED, STATES, entries
from calc.rig.rig import Rig
from calc.rig.unread import LONGEST, Unread, UnreadRow, among, rows_from_data, rows_to_data, texts_to_data
from calc.rig.wires import doubtful
from calc.weight.weight_change import item_table

# No unit of any kind tells a larger number.
_TOO_LARGE = 1e200
_HEIGHT = "center_of_gravity_height"


def kept_rig(data: Any, display: Display = SHOP) -> Rig:
    """Return the rig in a browser's data; a value that cannot be used stands under `unread`, in these units.

    Raises DataError for what is no rig, or one of a newer handbook.
    """
    try:
        return rig_from_data(data)
    except DataError:
        if not isinstance(data, dict):
            raise
        return rig_from_data(_usable(data, display))


def _usable(data: Mapping[str, Any], display: Display) -> dict[str, Any]:
    """Return a rig's data with what cannot be used moved to what cannot be read. Lists and objects stay as they are."""
    found = dict(data)
    unread = dict(data["unread"]) if isinstance(data.get("unread"), dict) else {}
    texts: dict[str, Unread] = {}
    values, doubts = data.get("values"), data.get("doubts", {})
    if isinstance(values, dict) and isinstance(doubts, dict):
        sound = _sound_doubts(doubts, texts, display)
        found["values"] = _sound_values(values, sound, texts, display)
        found["doubts"] = sound
    if texts and isinstance(unread.get("values", {}), dict):
        unread["values"] = {**unread.get("values", {}), **texts_to_data(texts)}
    for name in ("name", "note"):
        if name in data:
            found[name] = _as_text(data[name])
    if isinstance(data.get("changes"), list):
        found["changes"], unread["changes"] = _rows(
            data["changes"], unread.get("changes", []), item_table, "changes", display, ITEM
        )
    travel, pairs = data.get("travel_pairs"), unread.get("travel_pairs", {})
    if isinstance(travel, dict) and isinstance(pairs, dict):
        both = {
            axle: _rows(travel.get(axle, []), pairs.get(axle, []), travel_pairs, "travel_pairs", display, PAIR)
            for axle in AXLES
        }
        found["travel_pairs"] = {**travel, **{axle: rows for axle, (rows, _) in both.items()}}
        unread["travel_pairs"] = {axle: rows for axle, (_, rows) in both.items() if rows}
    if isinstance(data.get("load_cases"), list):
        found["load_cases"] = [_case(one, display) if isinstance(one, dict) else one for one in data["load_cases"]]
    if isinstance(data.get("proofs"), list):
        found["proofs"] = [_proof(one, display) if isinstance(one, dict) else one for one in data["proofs"]]
    if isinstance(data.get("ordered"), list):
        found["ordered"] = [
            {**one, "rig": _usable(one["rig"], display)}
            if isinstance(one, dict) and isinstance(one.get("rig"), dict)
            else one
            for one in data["ordered"]
        ]
    return {**found, "unread": unread} if unread else found


def _sound_doubts(doubts: Mapping[str, Any], texts: dict[str, Unread], display: Display) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, size in doubts.items():
        if key not in doubtful() or _is(size_parts()[key], size):
            found[key] = size
        else:
            texts[f"{key}.plus_minus"] = _size_text(size, key, display)
    return found


def _sound_values(
    values: Mapping[str, Any], doubts: dict[str, Any], texts: dict[str, Unread], display: Display
) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, item in values.items():
        declared = keys().get(key)
        if declared is None:
            found[key] = item
            continue
        entry = dict(item) if isinstance(item, dict) else {"value": item}
        value, size = entry.get("value"), entry.get("plus_minus")
        if not _is(size_parts().get(key, Size()), size):
            # What cannot be in doubt has no field for it, and nothing asks for it.
            if key in doubtful():
                texts[f"{key}.plus_minus"] = _size_text(size, key, display)
            size = entry["plus_minus"] = None
        if isinstance(declared.is_a, Text):
            found[key] = {**entry, "value": _as_text(value)}
        elif value is not None and _is(value_parts()[key], value):
            found[key] = entry
        else:
            texts[key] = _value_text(value, declared, key, display)
            if size is not None and key in doubtful():
                doubts[key] = size
    return found


def _case(data: Mapping[str, Any], display: Display) -> dict[str, Any]:
    found = dict(data)
    unread = dict(data["unread"]) if isinstance(data.get("unread"), dict) else {}
    for name in ("name", "label"):
        if name in data:
            found[name] = _as_text(data[name])
    if isinstance(data.get("items"), list):
        rows = unread.get("items", [])
        found["items"], unread["items"] = _rows(data["items"], rows, item_table, "case.items", display, ITEM)
    height = data.get(_HEIGHT)
    if not _is(HEIGHT, height):
        declared = Declared(name=_HEIGHT, is_a=vocabulary.center_of_gravity_height, optional=True)
        unread |= texts_to_data({_HEIGHT: _value_text(height, declared, f"case.{_HEIGHT}", display)})
        found[_HEIGHT] = None
    return {**found, "unread": unread}


def _proof(data: Mapping[str, Any], display: Display) -> dict[str, Any]:
    """Return a measurement's data; an added load of which one number cannot be used is unread as a whole."""
    found, declared, texts = dict(data), entries(), dict[str, Unread]()

    def sound(given: Mapping[str, Any], place: str, *, whole: bool = False) -> dict[str, Any]:
        names = {name: f"{place}{name}" for name in given if f"{place}{name}" in declared}
        wrong = [name for name, key in names.items() if not _is(of_declaration(declared[key].is_a), given[name])]
        for name in names if whole and wrong else wrong:
            key = names[name]
            shown_under = ".".join(part for part in key.split(".") if part not in CORNERS)
            texts[key] = _value_text(given[name], declared[key], shown_under, display)
        return {name: value for name, value in given.items() if names.get(name, name) not in texts}

    found = sound(found, "")
    if isinstance(data.get("states"), list):
        states = []
        for state, one in zip(STATES, data["states"], strict=False):
            if isinstance(one, dict) and isinstance(one.get("corners"), dict):
                corners = {
                    corner: sound(read, f"{state}.{corner}.") if isinstance(read, dict) else read
                    for corner, read in one["corners"].items()
                }
                one = {**one, "corners": corners}
                if state == STATES[1] and isinstance(one.get("added"), dict):
                    one["added"] = sound(one["added"], f"{ADDED}.", whole=True) or None
            states.append(one)
        found["states"] = [*states, *data["states"][len(states) :]]
    if texts and isinstance(data.get("unread", {}), dict):
        found["unread"] = {**data.get("unread", {}), **texts_to_data(texts)}
    return found


def _rows(data: Any, unread: Any, table: Table, units_under: str, display: Display, part: FilePart) -> tuple[Any, Any]:
    """Return a table's rows that can be used, and those that cannot be read, in their places."""
    if not isinstance(data, list):
        return data, unread
    sound, wrong = [], []
    for place, row in enumerate(among(data, rows_from_data(unread, table, len(data), _place()))):
        if isinstance(row, UnreadRow):
            wrong.append(UnreadRow(place=place, cells=row.cells))
        elif row is not None and _is(part, row):
            sound.append(row)
        else:
            wrong.append(UnreadRow(place=place, cells=tuple(_cells(row, table, units_under, display))))
    return sound, rows_to_data(wrong)


def _cells(row: Any, table: Table, units_under: str, display: Display) -> list[tuple[str, Unread]]:
    columns = table.columns()
    if not isinstance(row, dict):
        return [(next(iter(columns)), Unread(text=_as_text(row)[:LONGEST]))]
    given = {column: row.get("name" if column == "label" else column) for column in columns}
    return [
        (column, _value_text(value, columns[column], f"{units_under}.{column}", display))
        for column, value in given.items()
        if value is not None
    ]


def _place() -> Place:
    return Place(KIND, [], ("kept",))


def _is(part: FilePart, value: Any) -> bool:
    """Tell whether a part of the file can be read; what is absent can."""
    try:
        if value is not None:
            part.read(value, _place())
    except DataError:
        return False
    return True


# --- as texts ---------------------------------------------------------------------------------------------------------


def _as_text(value: Any) -> str:
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _value_text(value: Any, declared: Declared, name: str, display: Display) -> Unread:
    """Return a value as it may stand in its field."""
    if not isinstance(declared.is_a, Quantity):
        return Unread(text=_as_text(value)[:LONGEST])
    quantity = declared.quantity

    def refused(text: str) -> bool:
        try:
            read(text, quantity, name, SHOP)
        except FieldError:
            return True
        return False

    return _number_text(value, quantity, name, display, units.from_si, refused)


def _size_text(size: Any, key: str, display: Display) -> Unread:
    """Return a plus-minus as it may stand in its field."""
    quantity = keys()[key].quantity

    def refused(text: str) -> bool:
        try:
            read_plus_minus(text, quantity, key, SHOP)
        except FieldError:
            return True
        return False

    return _number_text(size, quantity, key, display, lambda value, unit: value / unit.factor, refused)


def _number_text(
    value: Any,
    quantity: Quantity,
    name: str,
    display: Display,
    convert: Callable[[float, units.Unit], float],
    refused: Callable[[str], bool],
) -> Unread:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return Unread(text=json.dumps(value, ensure_ascii=False)[:LONGEST])
    if not abs(value) < _TOO_LARGE:
        return Unread(text=f"{value!r}?")
    unit = display.unit(quantity, name)
    shown = convert(float(value), unit)
    texts = (units.format_entry(shown), f"{shown:.12g}", f"{shown!r}")
    # The fewest figures that tell it from what is allowed; a value that only its last bits keep out is asked for anew.
    told = next((text for text in texts if len(text) <= LONGEST and refused(f"{text} {unit.symbol}")), f"{shown!r}?")
    return Unread(text=f"{told} {unit.symbol}".strip())
