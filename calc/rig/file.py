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
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from calc.errors import DataError
from calc.geometry.travel_table import TravelPair, travel_pairs
from calc.memo import remembered
from calc.quantity import Quantity
from calc.rig.entries import AXLES, keys
from calc.rig.ordered import MOST_ORDERS, Ordered, record_from_data, record_to_data
from calc.rig.parts import ByName, Cut, FileKind, FilePart, ListOf, Object, Place, Size, of_declaration, part_of
from calc.rig.readings import proofs_from_data, proofs_to_data
from calc.rig.rig import Entry, LoadCase, Rig
from calc.rig.unread import UNREAD, Unread, rows_from_data, rows_to_data, texts_to_data
from calc.step import Origin
from calc.weight.weight_change import Item, item_table

FORMAT = "spring and damper rig"
VERSION = 2
KIND = FileKind(name="rig", format=FORMAT, version=VERSION, largest=1_000_000, ending=" Nothing was changed.")
# What a rig needs without an order and without anything unread: an older handbook keeps all of it.
_VERSION_PLAIN = 1
MOST_CASES = 8
# What a rig file may hold; the parts that an unsprung weight was added up from are kept for the reader alone.
_PARTS = (
    *("format", "version", "name", "note", "values", "load_cases", "changes", "travel_pairs", "doubts", "proofs"),
    *("ordered", "unsprung_parts", "unread"),
)
_MOST_NAMED = 5
_ORIGINS: tuple[Origin, ...] = ("example", "assumed", "measured", "derived")
NAME, NOTE, HEIGHT = Cut(), Cut(400), Size()
ITEM = Object(of=Item, keys={"label": "name"})
_ITEMS = ListOf(of=ITEM, called="item", most=item_table.most)
PAIR = part_of(TravelPair)
_PAIRS = ByName(of=ListOf(of=PAIR, most=travel_pairs.most), names=AXLES)
_HEIGHT = "center_of_gravity_height"


@lru_cache(maxsize=1)
def value_parts() -> Mapping[str, FilePart]:
    """Return the part of every key that a rig may hold."""
    return {key: of_declaration(declared.is_a) for key, declared in keys().items()}


@lru_cache(maxsize=1)
def size_parts() -> Mapping[str, Size]:
    """Return the plus-minus of every key that may have one."""
    return {key: Size(one.is_a.widest) for key, one in keys().items() if isinstance(one.is_a, Quantity)}


@lru_cache(maxsize=1)
def _texts() -> ByName:
    return ByName(of=UNREAD, names=frozenset((*keys(), *(f"{key}.plus_minus" for key in size_parts()))))


def read_rig(text: str) -> Rig:
    """Read a rig file. Raises DataError with a sentence that says what is wrong and what to do.

    Names that this handbook does not know are left out and told in `ignored`.
    """
    return rig_from_data(KIND.parsed(text))


def rig_from_data(data: Any) -> Rig:
    """Return the rig in parsed JSON. Raises DataError."""
    given, ignored = KIND.opened(data), list[str]()
    place = Place(KIND, ignored)
    given = place.known(given, _PARTS)
    unread = place.at("unread").known(given.get("unread", {}), ("values", "changes", "travel_pairs"))
    texts: dict[str, Unread] = _texts().read(unread.get("values", {}), place.at("unread values"))
    changes: tuple[Item, ...] = _ITEMS.read(given.get("changes", []), place.at("changes"))
    pairs: dict[str, tuple[TravelPair, ...]] = _PAIRS.read(given.get("travel_pairs", {}), place.at("travel pairs"))
    name, note = (part.read(given.get(key, ""), place.at(key)) for key, part in (("name", NAME), ("note", NOTE)))
    values, doubts = _read_values(given.get("values", {}), place), _read_doubts(given.get("doubts", {}), place)
    cases = _read_cases(given.get("load_cases", []), place.at("load cases"))
    at = place.at("unread travel pairs")
    unread_pairs = at.known(unread.get("travel_pairs", {}), AXLES)
    return Rig(
        name=name,
        note=note,
        values=values,
        load_cases=cases,
        changes=changes,
        travel_pairs={axle: rows for axle, rows in pairs.items() if rows},
        doubts=doubts,
        # A key with a value is no unread one, whatever the file says: one of the two is read, and only one.
        unread={key: text for key, text in texts.items() if key not in values},
        unread_changes=rows_from_data(unread.get("changes", []), item_table, len(changes), place.at("unread changes")),
        unread_pairs={
            axle: rows_from_data(unread_pairs[axle], travel_pairs, len(pairs.get(axle, ())), at.at(axle))
            for axle in AXLES
            if axle in unread_pairs
        },
        proofs=proofs_from_data(given.get("proofs", []), place.at("measurements")),
        ordered=_read_ordered(given.get("ordered", []), place.at("orders")),
        ignored=tuple(ignored),
    )


def _read_values(data: Any, place: Place) -> dict[str, Entry]:
    entries: dict[str, Entry] = {}
    for key, item in place.known(data, keys()).items():
        at = place.at(f"value “{key}”")
        entry = at.known(item, ("value", "origin", "plus_minus"))
        size = entry.get("plus_minus")
        entries[key] = Entry(
            value=value_parts()[key].read(entry.get("value"), at),
            origin=next((origin for origin in _ORIGINS if origin == entry.get("origin")), "measured"),
            plus_minus=None if size is None else _read_size(size, key, place),
        )
    return entries


def _read_size(data: Any, key: str, place: Place) -> float:
    return size_parts().get(key, Size()).read(data, place.at(f"plus-minus of “{key}”"))


def _read_doubts(data: Any, place: Place) -> dict[str, float]:
    if not isinstance(data, dict):
        raise place.at("doubts").error(" cannot be read.")
    given = place.known(data, size_parts())
    return {key: _read_size(size, key, place) for key, size in given.items() if size is not None}


def _read_cases(data: Any, place: Place) -> tuple[LoadCase, ...]:
    return tuple(
        _read_case(item, place.row("load case", number)) for number, item in enumerate(place.rows(data, MOST_CASES), 1)
    )


def _read_case(data: Any, place: Place) -> LoadCase:
    given = place.known(data, ("name", "label", "items", _HEIGHT, "unread"))
    at = place.at("unread")
    unread = at.known(given.get("unread", {}), ("items", _HEIGHT))
    name, height, typed = NAME.read(given.get("name", ""), place.at("name")), given.get(_HEIGHT), unread.get(_HEIGHT)
    items = _ITEMS.read(given.get("items", []), place.at("items"))
    return LoadCase(
        name=name,
        label=NAME.read(given.get("label", name), place.at("label")) or name,
        items=items,
        unread_items=rows_from_data(unread.get("items", []), item_table, len(items), at.at("items")),
        unread_height=None if typed is None else UNREAD.read(typed, at.at(_HEIGHT)),
        center_of_gravity_height=None if height is None else HEIGHT.read(height, place.at(_HEIGHT)),
    )


def unknown(rig: Rig) -> str:
    """Return what a rig's file held that this handbook does not know, as a sentence; empty where it knew everything."""
    if not rig.ignored:
        return ""
    named = ", ".join(rig.ignored[:_MOST_NAMED])
    more = f" and {len(rig.ignored) - _MOST_NAMED} more" if len(rig.ignored) > _MOST_NAMED else ""
    return f"Left out of the rig file, because this handbook does not know it: {named}{more}. Check how it is spelled."


def _read_ordered(data: Any, place: Place) -> tuple[Ordered, ...]:
    records = []
    for number, item in enumerate(place.rows(data, MOST_ORDERS), 1):
        # An order is whole or damaged: what is not known in it is refused.
        at = Place(KIND, None, place.row("order", number).path)
        entered = item.get("rig") if isinstance(item, dict) else None
        if isinstance(entered, dict) and ("ordered" in entered or "proofs" in entered):
            raise at.error(" holds other orders or measurements.")
        try:
            rig = rig_from_data(entered)
        except DataError as problem:
            raise at.error(f": {str(problem).removesuffix(KIND.ending)}") from None
        records.append(record_from_data(item, entered_text(rig), at))
    return tuple(records)


def entered_text(rig: Rig) -> str:
    """Return what is entered of a rig, without what was ordered and measured, as a text that an order keeps."""
    return json.dumps(rig_to_data(replace(rig, proofs=(), ordered=())), ensure_ascii=False, allow_nan=False)


@remembered(4)
def entered_then(record: Ordered) -> Rig:
    """Return the rig as it was entered when it was ordered."""
    return rig_from_data(json.loads(record.rig))


def rig_to_data(rig: Rig) -> dict[str, Any]:
    """Return the rig as JSON data, ready to be written."""
    unread = {
        "values": texts_to_data(rig.unread),
        "changes": rows_to_data(rig.unread_changes),
        "travel_pairs": {axle: rows_to_data(rows) for axle, rows in rig.unread_pairs.items() if rows},
    }
    cases = [_case_to_data(case) for case in rig.load_cases]
    later = (
        rig.ordered
        or any(unread.values())
        or any("unread" in case for case in cases)
        or any(proof.unread for proof in rig.proofs)
    )
    return {
        "format": FORMAT,
        "version": VERSION if later else _VERSION_PLAIN,
        "name": rig.name,
        "note": rig.note,
        "values": {key: _entry_data(rig.values[key]) for key in keys() if key in rig.values},
        "load_cases": cases,
        "changes": _ITEMS.write(rig.changes),
        "travel_pairs": _PAIRS.write(rig.travel_pairs),
        # A rig that is not built yet stays the file that it was.
        **_holding(
            doubts=dict(rig.doubts),
            proofs=proofs_to_data(rig.proofs),
            ordered=[record_to_data(record, json.loads(record.rig)) for record in rig.ordered],
            unread=_holding(**unread),
        ),
    }


def _holding(**parts: Any) -> dict[str, Any]:
    return {name: part for name, part in parts.items() if part}


def _case_to_data(case: LoadCase) -> dict[str, Any]:
    height = {} if case.unread_height is None else {_HEIGHT: UNREAD.write(case.unread_height)}
    return {
        "name": case.name,
        "label": case.label,
        "items": _ITEMS.write(case.items),
        _HEIGHT: case.center_of_gravity_height,
        **_holding(unread={**height, **_holding(items=rows_to_data(case.unread_items))}),
    }


def _entry_data(entry: Entry) -> dict[str, Any]:
    data = {"value": entry.value, "origin": entry.origin}
    return data if entry.plus_minus is None else {**data, "plus_minus": entry.plus_minus}


def write_rig(rig: Rig) -> str:
    """Return the text of a rig file. What it says, `read_rig` reads back the same."""
    return json.dumps(rig_to_data(rig), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


@lru_cache(maxsize=1)
def wren() -> Rig:
    """Return Wren, the invented rig that every page shows."""
    from calc.tables import DATA

    return read_rig((DATA / "rigs" / "wren.json").read_text(encoding="utf-8"))
