"""The rig file, read, and written back the same.

It is JSON, versioned, ours:

    {"format": "spring and damper rig", "version": 1, "name": "...", "note": "...",
     "values": {KEY: {"value": SI number or text, "origin": "measured", "plus_minus": SI number or absent}},
     "load_cases": [{"name", "label", "items": [{"name", "mass", "carried", "behind_front_axle", "left_of_center"}]}],
     "changes": [items as above],
     "travel_pairs": {"front": [{"wheel_height", "damper_length"}], "rear": [...]},
     "doubts": {KEY: plus-minus (SI) of a number that is not entered, or not for itself},
     "proofs": [measurements of the built rig, as calc/rig/readings.py tells],
     "ordered": [what was ordered, oldest first, as calc/rig/ordered.py tells],
     "unread": what was typed and cannot be read, as calc/rig/unread.py tells}

Keys are dotted: `wheelbase`, `left_front.corner_mass`, `front.tire_rate`. Everything may be absent: a rig starts blank.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import fields, replace
from functools import lru_cache
from typing import Any

from calc.errors import DataError, FieldError, NumberError
from calc.geometry.travel_table import TravelPair, travel_pairs
from calc.json_text import read_json
from calc.memo import remembered
from calc.quantity import Choice, Declared, Quantity, declared_fields
from calc.rig.entries import AXLES, CORNERS, keys
from calc.rig.ordered import MOST_ORDERS, Ordered, record_from_data, record_to_data
from calc.rig.readings import Proof, proofs_from_data, proofs_to_data
from calc.rig.rig import Entry, LoadCase, Rig
from calc.rig.unread import (
    rows_from_data,
    rows_to_data,
    texts_from_data,
    texts_to_data,
)
from calc.step import Origin
from calc.weight.weight_change import Item, item_table

FORMAT = "spring and damper rig"
VERSION = 2
# What a rig needs without an order and without anything unread: an older handbook keeps all of it.
_VERSION_PLAIN = 1
LARGEST_FILE = 1_000_000
MOST_CASES = 8
# What a rig file may hold; the parts that an unsprung weight was added up from are kept for the reader alone.
_PARTS = (
    *("format", "version", "name", "note", "values", "load_cases", "changes", "travel_pairs", "doubts", "proofs"),
    *("ordered", "unsprung_parts", "unread"),
)
_MOST_NAMED = 5
_ORIGINS: tuple[Origin, ...] = ("example", "assumed", "measured", "derived")


def read_rig(text: str) -> Rig:
    """Read a rig file. Raises DataError with a sentence that says what is wrong and what to do.

    Keys that this handbook does not know are left out and told in `ignored`.
    """
    if len(text) > LARGEST_FILE:
        raise DataError("This file is too large for a rig file (1 MB is the limit).")
    try:
        data = read_json(text, parse_constant=_no_constant)
    except ValueError:
        raise DataError("This is not a rig file: it is not JSON, or it is damaged. Nothing was changed.") from None
    return rig_from_data(data)


def _no_constant(text: str) -> float:
    raise ValueError(text)


def rig_from_data(data: Any) -> Rig:
    """Return the rig in parsed JSON. Raises DataError."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise DataError("This is not a rig file of the handbook. Nothing was changed.")
    version = data.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise DataError("This rig file does not say its version, so it cannot be read. Nothing was changed.")
    if version > VERSION:
        raise DataError(
            f"This rig file is of version {version}; this copy of the handbook reads up to version {VERSION}. "
            "Open it with a newer copy. Nothing was changed."
        )
    values, ignored = _read_values(data.get("values", {}))
    changes, travel = _read_items(data.get("changes", []), "changes"), _read_travel(data.get("travel_pairs", {}))
    doubts, unread = _read_doubts(data.get("doubts", {})), _object(data.get("unread", {}))
    numbers = (key for key, declared in keys().items() if isinstance(declared.is_a, Quantity))
    texts = texts_from_data(unread.get("values", {}), (*keys(), *(f"{key}.plus_minus" for key in numbers)))
    pairs = _object(unread.get("travel_pairs", {}))
    ignored += tuple(str(key)[:80] for key in data.get("doubts", {}) if key not in keys())
    ignored += tuple(str(key)[:80] for key in data.get("travel_pairs", {}) if key not in AXLES)
    ignored += tuple(str(key)[:80] for key in data if key not in _PARTS)
    return Rig(
        name=_text(data.get("name", ""), "name"),
        note=_text(data.get("note", ""), "note", longest=400),
        values=values,
        load_cases=_read_cases(data.get("load_cases", [])),
        changes=changes,
        travel_pairs=travel,
        proofs=_read_proofs(data.get("proofs", [])),
        doubts=doubts,
        ordered=_read_ordered(data.get("ordered", [])),
        ignored=ignored,
        # A key with a value is no unread one, whatever the file says: one of the two is read, and only one.
        unread={name: one for name, one in texts.items() if name not in values},
        unread_changes=rows_from_data(unread.get("changes", []), item_table, len(changes)),
        unread_pairs={
            axle: rows_from_data(pairs[axle], travel_pairs, len(travel.get(axle, ())))
            for axle in AXLES
            if axle in pairs
        },
    )


def _object(data: Any) -> dict[str, Any]:
    if not isinstance(data, dict):
        raise DataError("The rig file's unread entries cannot be read. Nothing was changed.")
    return data


def _read_values(data: Any) -> tuple[dict[str, Entry], tuple[str, ...]]:
    if not isinstance(data, dict) or len(data) > 1000:
        raise DataError("The rig file's values cannot be read. Nothing was changed.")
    values: dict[str, Entry] = {}
    ignored: list[str] = []
    for key, item in data.items():
        declared = keys().get(key)
        if declared is None:
            ignored.append(str(key)[:80])
            continue
        if not isinstance(item, dict):
            raise DataError(f"The rig file's value “{key}” cannot be read. Nothing was changed.")
        values[key] = Entry(
            value=value_from_data(declared, item.get("value")),
            origin=next((origin for origin in _ORIGINS if origin == item.get("origin")), "measured"),
            plus_minus=plus_minus_from_data(item.get("plus_minus"), key),
        )
    return values, tuple(ignored)


def value_from_data(declared: Declared, value: Any) -> Any:
    """Return a value of a rig file, if it is one that its declaration allows. Raises DataError."""
    try:
        if isinstance(declared.is_a, Quantity):
            return declared.is_a.check(value, declared.name)
        if isinstance(declared.is_a, Choice):
            return declared.is_a.check(value, declared.name)
        return _text(value, declared.name)
    except FieldError as error:
        raise DataError(f"The rig file's value “{declared.name}”: {error.message()} Nothing was changed.") from None
    except NumberError:
        # Too large to be told in any unit.
        raise DataError(f"The rig file's value “{declared.name}” is no number of a rig. Nothing was changed.") from None


def _read_doubts(data: Any) -> dict[str, float]:
    if not isinstance(data, dict):
        raise DataError("The rig file's doubts cannot be read. Nothing was changed.")
    known = (key for key in data if key in keys() and isinstance(keys()[key].is_a, Quantity))
    read = {key: plus_minus_from_data(data[key], key) for key in known}
    return {key: size for key, size in read.items() if size is not None}


def plus_minus_from_data(value: Any, key: str) -> float | None:
    """Return the plus-minus of a rig file's value, if it has one. Raises DataError."""
    size, is_a = positive_from_data(value, f"plus-minus of “{key}”"), keys()[key].is_a
    if size is not None and isinstance(is_a, Quantity) and size > is_a.widest:
        raise DataError(
            f"The rig file's plus-minus of “{key}” is larger than the value itself may be. Nothing was changed."
        )
    return size


def positive_from_data(value: Any, what: str) -> float | None:
    """Return a number of 0 or more of a rig file, if there is one. Raises DataError."""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value) or value < 0:
        raise DataError(f"The rig file's {what} is not a number of 0 or more. Nothing was changed.")
    return float(value)


def _text(value: Any, what: str, longest: int = 120) -> str:
    if not isinstance(value, str):
        raise DataError(f"The rig file's “{what}” is not a text. Nothing was changed.")
    return value[:longest]


def _read_cases(data: Any) -> tuple[LoadCase, ...]:
    if not isinstance(data, list) or len(data) > MOST_CASES:
        raise DataError(f"The rig file's load cases cannot be read (at most {MOST_CASES}). Nothing was changed.")
    cases = []
    for item in data:
        if not isinstance(item, dict):
            raise DataError("One of the rig file's load cases cannot be read. Nothing was changed.")
        name = _text(item.get("name", ""), "load case")
        label = _text(item.get("label", name), "load case")
        items, unread = _read_items(item.get("items", []), name), _object(item.get("unread", {}))
        height = texts_from_data(unread, ("center_of_gravity_height",))
        cases.append(
            LoadCase(
                name=name,
                label=label or name,
                items=items,
                unread_items=rows_from_data(unread.get("items", []), item_table, len(items)),
                unread_height=height.get("center_of_gravity_height"),
                center_of_gravity_height=positive_from_data(
                    item.get("center_of_gravity_height"), f"{name}, height of the center"
                ),
            )
        )
    return tuple(cases)


def _read_items(data: Any, where: str) -> tuple[Item, ...]:
    if not isinstance(data, list) or len(data) > item_table.most:
        raise DataError(
            f"The rig file's items of “{where}” cannot be read (at most {item_table.most}). Nothing was changed."
        )
    return tuple(item_from_data(item, where) for item in data)


def item_from_data(data: Any, where: str) -> Item:
    """Return an item of a rig file. Raises DataError."""
    if not isinstance(data, dict):
        raise DataError(f"One of the rig file's items of “{where}” cannot be read. Nothing was changed.")
    values: dict[str, Any] = {}
    for name, declared in declared_fields(Item).items():
        value = data.get("name" if name == "label" else name)
        if value is None:
            continue
        if isinstance(declared.is_a, Quantity):
            values[name] = value_from_data(replace(declared, name=f"{where}, {name}"), value)
        else:
            values[name] = _text(value, f"{where}, {name}")
    try:
        return Item(**values)
    except TypeError:
        raise DataError(f"One of the rig file's items of “{where}” is not complete. Nothing was changed.") from None


def _read_travel(data: Any) -> dict[str, tuple[TravelPair, ...]]:
    wrong = DataError("The rig file's travel pairs cannot be read. Nothing was changed.")
    if not isinstance(data, dict):
        raise wrong
    found = {}
    for axle in AXLES:
        rows = data.get(axle, [])
        if (
            not isinstance(rows, list)
            or len(rows) > travel_pairs.most
            or not all(isinstance(row, dict) for row in rows)
        ):
            raise wrong
        found[axle] = tuple(pair_from_data(row, axle) for row in rows)
    return {axle: pairs for axle, pairs in found.items() if pairs}


def pair_from_data(data: Mapping[str, Any], axle: str) -> TravelPair:
    """Return a pair of a rig file's travel table. Raises DataError."""
    return TravelPair(
        **{
            name: value_from_data(replace(declared, name=f"travel pairs, {axle}, {name}"), data.get(name))
            for name, declared in travel_pairs.columns().items()
        }
    )


def _read_proofs(data: Any) -> tuple[Proof, ...]:
    try:
        return proofs_from_data(data, CORNERS)
    except DataError as problem:
        raise DataError(f"{problem} Nothing was changed.") from None


def unknown(rig: Rig) -> str:
    """Return what a rig's file held that this handbook does not know, as a sentence; empty where it knew everything."""
    if not rig.ignored:
        return ""
    named = ", ".join(f"“{key}”" for key in rig.ignored[:_MOST_NAMED])
    more = f" and {len(rig.ignored) - _MOST_NAMED} more" if len(rig.ignored) > _MOST_NAMED else ""
    return f"Left out of the rig file, because this handbook does not know it: {named}{more}. Check how it is spelled."


def _read_ordered(data: Any) -> tuple[Ordered, ...]:
    if not isinstance(data, list) or len(data) > MOST_ORDERS:
        raise DataError(f"The rig file's orders cannot be read (at most {MOST_ORDERS}). Nothing was changed.")
    found = []
    for number, item in enumerate(data, 1):
        entered = item.get("rig") if isinstance(item, dict) else None
        if isinstance(entered, dict) and ("ordered" in entered or "proofs" in entered):
            raise DataError(f"The rig file's order {number} holds other orders or measurements. Nothing was changed.")
        try:
            text = entered_text(rig_from_data(entered))
            found.append(record_from_data(item, number, CORNERS, text))
        except DataError as problem:
            told = str(problem).removesuffix(" Nothing was changed.")
            raise DataError(f"The rig file's order {number}: {told} Nothing was changed.") from None
    return tuple(found)


def entered_text(rig: Rig) -> str:
    """Return what is entered of a rig, without what was ordered and measured, as a text that an order keeps."""
    return json.dumps(rig_to_data(replace(rig, proofs=(), ordered=())), ensure_ascii=False, allow_nan=False)


@remembered(4)
def entered_then(record: Ordered) -> Rig:
    """Return the rig as it was entered when it was ordered."""
    return rig_from_data(json.loads(record.rig))


def rig_to_data(rig: Rig) -> dict[str, Any]:
    """Return the rig as JSON data, ready to be written."""
    unread = _unread_of_rig(rig)
    later = rig.ordered or unread or any(map(_keeps_unread, rig.load_cases)) or any(one.unread for one in rig.proofs)
    return {
        "format": FORMAT,
        "version": VERSION if later else _VERSION_PLAIN,
        "name": rig.name,
        "note": rig.note,
        "values": {key: _entry_data(rig.values[key]) for key in keys() if key in rig.values},
        "load_cases": [
            {
                "name": case.name,
                "label": case.label,
                "items": [_item_data(item) for item in case.items],
                "center_of_gravity_height": case.center_of_gravity_height,
                **_unread_of_case(case),
            }
            for case in rig.load_cases
        ],
        "changes": [_item_data(item) for item in rig.changes],
        "travel_pairs": {
            axle: [_item_data(pair) for pair in pairs] for axle, pairs in rig.travel_pairs.items() if pairs
        },
        # A rig that is not built yet stays the file that it was.
        **({"doubts": dict(rig.doubts)} if rig.doubts else {}),
        **({"proofs": proofs_to_data(rig.proofs)} if rig.proofs else {}),
        **({"ordered": [record_to_data(one, json.loads(one.rig)) for one in rig.ordered]} if rig.ordered else {}),
        **unread,
    }


def _keeps_unread(case: LoadCase) -> bool:
    return bool(case.unread_items or case.unread_height)


def _unread_of_case(case: LoadCase) -> dict[str, Any]:
    height = {} if case.unread_height is None else texts_to_data({"center_of_gravity_height": case.unread_height})
    items = {"items": rows_to_data(case.unread_items)} if case.unread_items else {}
    return {"unread": {**height, **items}} if height or items else {}


def _unread_of_rig(rig: Rig) -> dict[str, Any]:
    parts = {
        "values": texts_to_data(rig.unread),
        "changes": rows_to_data(rig.unread_changes),
        "travel_pairs": {axle: rows_to_data(rows) for axle, rows in rig.unread_pairs.items() if rows},
    }
    return {"unread": {name: part for name, part in parts.items() if part}} if any(parts.values()) else {}


def _entry_data(entry: Entry) -> dict[str, Any]:
    data = {"value": entry.value, "origin": entry.origin}
    return data if entry.plus_minus is None else {**data, "plus_minus": entry.plus_minus}


def _item_data(item: Item | TravelPair) -> dict[str, Any]:
    data = {("name" if part.name == "label" else part.name): getattr(item, part.name) for part in fields(item)}
    return {name: value for name, value in data.items() if value is not None}


def write_rig(rig: Rig) -> str:
    """Return the text of a rig file. What it says, `read_rig` reads back the same."""
    return json.dumps(rig_to_data(rig), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


@lru_cache(maxsize=1)
def wren() -> Rig:
    """Return Wren, the invented rig that every page shows."""
    from calc.tables import DATA

    return read_rig((DATA / "rigs" / "wren.json").read_text(encoding="utf-8"))
