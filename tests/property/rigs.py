"""Legal rigs that nobody would think of: Wren or a blank rig, with entries changed, dropped and added within their limits.

`mutated_rig(random.Random(n))` is the plain generator, the same rig for the same number everywhere.
`mutated_rigs()` is the same as a hypothesis strategy, which makes a failing rig small.
Each takes `ways`, the kinds of change that may be made; all of them where none is named.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from typing import Any

from hypothesis import strategies as st

from calc.geometry.travel_table import travel_pairs
from calc.quantity import Choice, Declared, Quantity, declared_fields
from calc.quote.file import example
from calc.quote.file import keys as quote_entries
from calc.rig.entries import AXLES, CORNERS, keys
from calc.rig.file import MOST_CASES, rig_from_data, rig_to_data, wren
from calc.rig.readings import (
    added_columns,
    read_choice,
    reading_columns,
    reading_doubt,
)
from calc.rig.rig import Rig
from calc.tables import assortment_springs
from calc.weight.weight_change import Item, item_table

ORIGINS = ("example", "assumed", "measured", "derived")
TEXTS = ("", "Heron", "bare", "crew", "x" * 80, "a “quoted” {name} & <b>", "two\nlines", "3 1/2 in", "Größe 軸 🚙")
EYES = ("upper_mount_base", "upper_mount_height", "upper_mount_back", "mount_back", "mount_base", "mount_height")
PIVOT = ("path_pivot_ahead", "path_pivot_above")
# How the eyes of Wren's coil-overs could stand, from which a mutation starts where an eye has no place yet.
EYE_TYPICAL = {
    "upper_mount_base": 0.72,
    "upper_mount_height": 1.05,
    "upper_mount_back": 0.02,
    "mount_back": -0.03,
    "mount_base": 1.0,
    "mount_height": 0.42,
}

Data = dict[str, Any]


def a_number(choose: random.Random, quantity: Quantity, around: float | None = None) -> float:
    """Return a number within a quantity's limits: mostly near what is there or typical, sometimes anywhere, or a limit."""
    start = quantity.typical if around is None else around
    width = quantity.high - quantity.low
    near = start * choose.uniform(0.9, 1.1) if start else choose.uniform(-0.02, 0.02) * width
    kind = choose.randrange(20)
    if kind < 10:
        value = near
    elif kind < 14:
        value = start * choose.uniform(0.5, 2.0)
    elif kind < 16:
        value = choose.uniform(quantity.low, quantity.high)
    elif kind == 16 and quantity.high > 0:
        least = max(quantity.low, quantity.high * 1e-6)
        value = math.exp(choose.uniform(math.log(least), math.log(quantity.high)))
    elif kind == 17:
        value = choose.choice((quantity.low, quantity.high))
    elif kind == 18:
        value = float(f"{start:.2g}")
    else:
        value = 0.0
    value = min(max(value, quantity.low), quantity.high)
    return value if quantity.accepts(value) else quantity.typical


def a_plus_minus(choose: random.Random, quantity: Quantity, value: float) -> float:
    """Return a plus-minus that may be typed beside a value: mostly a small one."""
    most = quantity.high - min(quantity.low, 0.0)
    size = choose.choice((0.0, abs(value) * 0.01, abs(value) * 0.05, abs(value) * 0.2, abs(value), most))
    return min(size * choose.uniform(0.5, 1.0), most)


def a_value(choose: random.Random, declared: Declared, around: Any = None) -> Any:
    """Return something that may be entered for a key."""
    if isinstance(declared.is_a, Quantity):
        return a_number(choose, declared.is_a, around)
    if isinstance(declared.is_a, Choice):
        return choose.choice([option.value for option in declared.is_a.options])
    if declared.name.endswith("_part"):
        return choose.choice([*assortment_springs().part[:200:7], "SP-none", ""])
    return choose.choice(TEXTS)


def _entry(choose: random.Random, declared: Declared, around: Any = None) -> Data:
    value = a_value(choose, declared, around)
    entry = {"value": value, "origin": choose.choice(ORIGINS)}
    if isinstance(declared.is_a, Quantity) and choose.random() < 0.25:
        entry["plus_minus"] = a_plus_minus(choose, declared.is_a, value)
    return entry


# --- the kinds of change ----------------------------------------------------------------------------------------------


def _change(choose: random.Random, rig: Data) -> None:
    """Another value for something that is entered."""
    if rig["values"]:
        key = choose.choice(list(rig["values"]))
        rig["values"][key] = _entry(choose, keys()[key], rig["values"][key]["value"])


def _drop(choose: random.Random, rig: Data) -> None:
    """Something that was entered is missing."""
    if rig["values"]:
        del rig["values"][choose.choice(list(rig["values"]))]


def _add(choose: random.Random, rig: Data) -> None:
    """Something is entered that nobody had to enter."""
    missing = [key for key in keys() if key not in rig["values"]]
    if missing:
        key = choose.choice(missing)
        rig["values"][key] = _entry(choose, keys()[key])


def _kind(choose: random.Random, rig: Data) -> None:
    """An axle of the other kind, as often as not with the motion ratio that it needs."""
    axle = choose.choice(AXLES)
    rig["values"][f"{axle}.axle_kind"] = _entry(choose, keys()[f"{axle}.axle_kind"])
    if choose.random() < 0.5:
        _ratio(choose, rig, axle)


def _ratio(choose: random.Random, rig: Data, axle: str = "") -> None:
    """The motion ratio was measured itself."""
    axle = axle or choose.choice(AXLES)
    rig["values"][f"{axle}.motion_ratio"] = _entry(choose, keys()[f"{axle}.motion_ratio"], choose.uniform(0.5, 1.0))
    if choose.random() < 0.6:
        rig["values"][f"{axle}.motion_ratio_slope"] = _entry(choose, keys()[f"{axle}.motion_ratio_slope"], -0.3)
    for name in ("lean", "damper_length"):
        if choose.random() < 0.5:
            rig["values"].pop(f"{axle}.{name}", None)


def _eyes(choose: random.Random, rig: Data) -> None:
    """The mounts' positions are entered, all or some of them, with or without the pivot of the axle's path."""
    axle = choose.choice(AXLES)
    names = EYES if choose.random() < 0.7 else choose.sample(EYES, 3)
    for name in (*names, *(PIVOT if choose.random() < 0.4 else ())):
        rig["values"][f"{axle}.{name}"] = _entry(choose, keys()[f"{axle}.{name}"], EYE_TYPICAL.get(name))


def _pairs(choose: random.Random, rig: Data) -> None:
    """A travel table: of a coil-over that leans so, with reading errors, sometimes of no coil-over at all."""
    axle = choose.choice(AXLES)
    columns = travel_pairs.columns()
    count = choose.choice((0, 1, 2, 3, 5, 9, travel_pairs.most))
    longest, lean, error = choose.uniform(0.6, 0.9), choose.uniform(0.0, 0.6), choose.choice((0.0, 0.0005, 0.003))
    wheel = [0.3 * place / max(count - 1, 1) for place in range(count)]
    upright, across = longest * math.cos(lean), longest * math.sin(lean)
    rows = [
        {
            "wheel_height": height,
            "damper_length": math.hypot(upright - height, across) + choose.uniform(-error, error),
        }
        for height in wheel
    ]
    if choose.random() < 0.15:
        rows = [{name: a_value(choose, declared) for name, declared in columns.items()} for _ in rows]
    if choose.random() < 0.2 and rows:
        rows[choose.randrange(len(rows))]["damper_length"] = choose.uniform(0.3, 1.0)
    rig["travel_pairs"][axle] = [row for row in rows if all(_fits(columns[name], row[name]) for name in columns)]
    if choose.random() < 0.7:
        rig["values"][f"{axle}.ride_height"] = {"value": choose.uniform(0.0, 0.35), "origin": "measured"}


def _fits(declared: Declared, value: float) -> bool:
    return bool(declared.quantity.accepts(value))


def _items(choose: random.Random, most: int = 5) -> list[Data]:
    columns = declared_fields(Item)
    found = []
    for _ in range(choose.randint(0, most)):
        item: Data = {"name": choose.choice(TEXTS), "mass": a_number(choose, columns["mass"].quantity)}
        item["carried"] = a_value(choose, columns["carried"])
        for name in ("behind_front_axle", "left_of_center"):
            if choose.random() < 0.7:
                item[name] = a_number(choose, columns[name].quantity)
        found.append(item)
    return found


def _cases(choose: random.Random, rig: Data) -> None:
    """A load case more, one less, or one with other items; an item may lack its place."""
    cases = rig["load_cases"]
    what = choose.randrange(4)
    if what == 0 and cases:
        cases.pop(choose.randrange(len(cases)))
    elif what == 1 and cases:
        case = choose.choice(cases)
        for item in case["items"]:
            if choose.random() < 0.5:
                item.pop("behind_front_axle", None)
    elif what == 2 and cases:
        choose.choice(cases)["items"] = _items(choose)
    elif len(cases) < MOST_CASES:
        name = choose.choice(TEXTS)
        cases.append({"name": name, "label": choose.choice((name, "Label")), "items": _items(choose)})
        if choose.random() < 0.6:
            cases[-1]["center_of_gravity_height"] = choose.choice((0.0, 0.84, 1.2, 3.0))


def _changes(choose: random.Random, rig: Data) -> None:
    """Other things that went on or came off."""
    rig["changes"] = _items(choose, choose.choice((3, item_table.most)))


def _certainty(choose: random.Random, rig: Data) -> None:
    """Other plus-minus and origins, of what is entered and of what is not."""
    numbers = [key for key, declared in keys().items() if isinstance(declared.is_a, Quantity)]
    for key in choose.sample(numbers, 3):
        rig["doubts"][key] = a_plus_minus(choose, keys()[key].quantity, keys()[key].quantity.typical)
    for key in [key for key in numbers if key in rig["values"]]:
        if choose.random() < 0.3:
            entry = rig["values"][key]
            entry["origin"] = choose.choice(ORIGINS)
            entry["plus_minus"] = a_plus_minus(choose, keys()[key].quantity, entry["value"])


def _measured(_choose: random.Random, rig: Data) -> None:
    """Everything was measured: nothing assumed, no example left."""
    for entry in rig["values"].values():
        entry["origin"] = "measured"


def _proofs(choose: random.Random, rig: Data) -> None:
    """Measurements of the built rig."""
    rig["proofs"] = measurements(choose, [case["name"] for case in rig["load_cases"]])


WAYS: Mapping[str, Callable[[random.Random, Data], None]] = {
    "change": _change,
    "drop": _drop,
    "add": _add,
    "kind": _kind,
    "ratio": _ratio,
    "eyes": _eyes,
    "pairs": _pairs,
    "cases": _cases,
    "changes": _changes,
    "certainty": _certainty,
    "measured": _measured,
    "proofs": _proofs,
}
# Values are changed more often than the rest: there are more of them.
_WEIGHTS = {"change": 8, "drop": 2, "add": 2, "cases": 2}


# --- quotes -----------------------------------------------------------------------------------------------------------


def mutated_quote(choose: random.Random) -> Data:
    """Return a quote file as JSON data: the shipped one with entries changed, dropped and added within their limits."""
    values: Data = dict(example().values())
    if choose.random() < 0.2:
        values = {}
    declared = quote_entries()
    for _ in range(choose.randint(1, 12)):
        name = choose.choice(list(declared))
        if choose.random() < 0.2:
            values.pop(name, None)
        else:
            values[name] = a_number(choose, declared[name].quantity, values.get(name))
    return {"format": "spring and damper quote", "version": 1, "name": choose.choice(TEXTS), "values": values}


# --- what is proved with ----------------------------------------------------------------------------------------------


def measurements(choose: random.Random, cases: Sequence[str]) -> list[Data]:
    """Return proofs as JSON data, each one such as a measurements file may hold."""
    return [_proof(choose, cases, day) for day in range(1, choose.choice((1, 1, 2, 4)) + 1)]


def _proof(choose: random.Random, cases: Sequence[str], day: int) -> Data:
    doubt = choose.choice((None, reading_doubt.low, reading_doubt.typical, reading_doubt.high))
    proof: Data = {
        "date": f"2026-05-{day:02d}",
        "note": choose.choice(TEXTS),
        "case": choose.choice([*cases, "", "elsewhere"]),
        "read": a_value(choose, Declared(name="read", is_a=read_choice, optional=False)),
        "states": [_state(choose, first=number == 0) for number in range(choose.choice((0, 1, 1, 2)))],
    }
    if doubt is not None:
        proof["reading_doubt"] = doubt
    return proof


def _state(choose: random.Random, *, first: bool) -> Data:
    """What was read: heights near one another, as they are on a rig, and any of the rest."""
    height = choose.uniform(0.4, 0.85)
    corners: Data = {}
    for corner in choose.sample(CORNERS, choose.choice((0, 2, 4, 4, 4, 4))):
        pushed = height + choose.uniform(-0.03, 0.03)
        one = {"after_pushed_down": pushed, "after_lifted": pushed + choose.uniform(0.0, 0.01)}
        for name, declared in reading_columns().items():
            if name not in one and choose.random() < 0.2:
                one[name] = a_number(choose, declared.quantity)
        if choose.random() < 0.2:
            one.pop(choose.choice(list(one)))
        corners[corner] = one
    state: Data = {"corners": corners}
    if not first and choose.random() < 0.8:
        state["added"] = {name: a_number(choose, declared.quantity) for name, declared in added_columns().items()}
    return state


# --- the rigs ---------------------------------------------------------------------------------------------------------


def mutated_data(choose: random.Random, ways: Sequence[str] = tuple(WAYS), most: int = 12) -> Data:
    """Return a legal rig as JSON data, one to `most` changes away from Wren, or from nothing."""
    rig = rig_to_data(Rig() if choose.random() < 0.1 else wren())
    rig = {"doubts": {}, "proofs": [], **deepcopy(rig)}
    weighted = [name for name in ways for _ in range(_WEIGHTS.get(name, 1))]
    for _ in range(choose.randint(1, most)):
        WAYS[choose.choice(weighted)](choose, rig)
    return rig


def mutated_rig(choose: random.Random, ways: Sequence[str] = tuple(WAYS), most: int = 12) -> Rig:
    """Return a legal rig, one to `most` changes away from Wren, or from nothing."""
    return rig_from_data(mutated_data(choose, ways, most))


def mutated_rigs(ways: Sequence[str] = tuple(WAYS), most: int = 12) -> st.SearchStrategy[Rig]:
    """Return the strategy of these rigs."""
    return st.randoms(use_true_random=False).map(lambda choose: mutated_rig(choose, ways, most))
