"""The rigs whose answers are kept: Wren, a blank rig, and 20 that a number makes, most of them plausible enough to be built.

A case reads nothing of `calc` but Wren's file and, for the last four, the mutations of `tests/property/rigs.py` that name
no list of entries: it stays the same while the house is redrawn. Each brings its own short list of springs, so that a
search takes no time and an own list is tried at every door.
"""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from tests.property.rigs import mutated_data

DATA = Path(__file__).parents[2] / "data"
AXLES = ("front", "rear")
CORNERS = ("left_front", "right_front", "left_rear", "right_rear")
WREN, BLANK = "wren", "blank"
NUMBERS = range(1, 21)
# The last of them are mutated without regard to what can be built.
MUTATED = range(17, 21)
_MUTATIONS = ("change", "drop", "kind", "ratio", "eyes", "pairs", "cases", "changes", "measured", "proofs")

# A long spring that carries an axle of Wren by itself.
_SINGLE = "SP-SINGLE,150,16,4.9,3.0,3.90,0.450,88.00,4,example,"

Data = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Case:
    """A rig, and what the doors take beside it."""

    name: str
    rig: Data
    # The spring list as CSV; None for the handbook's own.
    springs: str | None
    dampers: str
    other: Data
    measured: Data
    quote: Data


def names() -> tuple[str, ...]:
    """Return the names of all cases, Wren and the blank rig first."""
    return (WREN, BLANK, *(f"rig-{number:02d}" for number in NUMBERS))


@lru_cache(maxsize=4)
def case(name: str) -> Case:
    """Return a case: the same for the same name everywhere."""
    if name in (WREN, BLANK):
        rig = _shipped("wren") if name == WREN else _blank()
        return Case(
            name=name,
            rig=rig,
            springs=None,
            dampers=_dampers(0),
            other=plausible(1) if name == WREN else _shipped("wren"),
            measured=_shipped("wren-measured"),
            quote=_shipped("quote"),
        )
    number = int(name.removeprefix("rig-"))
    choose = random.Random(f"golden {number}")
    return Case(
        name=name,
        rig=mutated_data(random.Random(number), _MUTATIONS, most=5) if number in MUTATED else plausible(number),
        springs=_springs(choose, number),
        dampers=_dampers(number),
        other=_shipped("wren") if number % 2 else plausible(number % 16 + 1),
        measured=_measured(choose),
        quote=_quote(choose),
    )


def _shipped(name: str) -> Data:
    return dict(json.loads((DATA / "rigs" / f"{name}.json").read_text(encoding="utf-8")))


def _blank() -> Data:
    return {"format": "spring and damper rig", "version": 1, "name": "", "note": "", "values": {}, "load_cases": []}


def _rows(name: str) -> tuple[str, list[str]]:
    head, *rows = (DATA / "assortments" / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return head, rows


def _springs(choose: random.Random, number: int) -> str:
    """Every sixth spring of the handbook's list, dearer or cheaper, four of its helpers, and one long spring."""
    head, rows = _rows("springs")
    price = head.split(",").index("price")
    helpers = choose.sample([row for row in rows if row.endswith("helper")], 4)
    taken = []
    for row in [row for row in rows if not row.endswith("helper")][number % 6 :: 6] + helpers:
        cells = row.split(",")
        cells[price] = f"{float(cells[price]) * choose.uniform(0.8, 1.2):.2f}"
        taken.append(",".join(cells))
    return "\n".join([head, *taken, _SINGLE]) + "\n"


def _dampers(number: int) -> str:
    head, rows = _rows("dampers")
    return "\n".join([head, *(rows[(number + step) % len(rows)] for step in (0, 5, 9))]) + "\n"


# --- plausible rigs ---------------------------------------------------------------------------------------------------


def plausible(number: int) -> Data:
    """Return a rig that could be built: Wren, lighter or heavier, uneven, with other hardware, wishes and load cases."""
    choose = random.Random(f"plausible {number}")
    rig = _shipped("wren")
    rig.update(name=f"Rig {number}", note="An invented rig. No such vehicle exists.")
    heavier = choose.uniform(0.85, 1.15)
    for corner in CORNERS:
        _times(rig, f"{corner}.corner_mass", heavier * choose.uniform(0.97, 1.03))
    for axle in AXLES:
        for name, spread in (
            *(("unsprung_mass", 0.08), ("tire_rate", 0.15), ("gas_pressure", 0.2), ("gas_volume", 0.1)),
            *(("seat_space", 0.02), ("roll_center_height", 0.05), ("wanted_crossover_above_ride", 0.15)),
            *(("lean", 0.1), ("mount_base", 0.03), ("adjuster_range", 0.2), ("pad_rate", 0.3)),
        ):
            _times(rig, f"{axle}.{name}", choose.uniform(1 - spread, 1 + spread))
        for name in ("wanted_frequency_low", "wanted_frequency_high"):
            _times(rig, f"{axle}.{name}", {"_low": 0.94, "high": 1.06}[name[-4:]])
        rig["values"][f"{axle}.axle_rating"]["value"] *= heavier
    for load in rig["load_cases"]:
        for item in load["items"]:
            item["mass"] *= choose.uniform(0.5, 1.3)
    _origins(choose, rig)
    # Each of these in every third or fourth rig, in other company each time.
    for place, change in enumerate(_CHANGES):
        if number % (3 + place % 2) == place % (3 + place % 2) and choose.random() < 0.7:
            change(choose, rig, AXLES[(number + place) % 2])
    return _rounded(rig)


def _times(rig: Data, key: str, factor: float) -> None:
    rig["values"][key]["value"] *= factor


def _put(rig: Data, key: str, value: Any, plus_minus: float | None = None) -> None:
    rig["values"][key] = {"value": value, "origin": "measured"}
    if plus_minus is not None:
        rig["values"][key]["plus_minus"] = plus_minus


def _rounded(value: Any) -> Any:
    """Nobody measures to the last bit, and a file is the same on every machine."""
    if isinstance(value, float):
        return float(f"{value:.8g}")
    if isinstance(value, dict):
        return {key: _rounded(inner) for key, inner in value.items()}
    return [_rounded(inner) for inner in value] if isinstance(value, list) else value


def _origins(choose: random.Random, rig: Data) -> None:
    """Measured, all of it or most of it."""
    for entry in rig["values"].values():
        entry["origin"] = choose.choice(("measured", "measured", "measured", "derived", "assumed"))


def _single(choose: random.Random, rig: Data, axle: str) -> None:
    """No crossover is wished for: a single spring may do, and now and then one was picked."""
    for name in ("wanted_crossover_above_ride", "wanted_frequency_past_crossover_low"):
        rig["values"].pop(f"{axle}.{name}", None)
    if choose.random() < 0.7:
        _put(rig, f"{axle}.chosen_main_part", "SP-SINGLE")


def _loose(choose: random.Random, rig: Data, axle: str) -> None:
    """Much seat space: what hangs loose there needs a helper."""
    _times(rig, f"{axle}.seat_space", choose.uniform(1.06, 1.12))


def _independent(choose: random.Random, rig: Data, axle: str) -> None:
    """A wheel by itself, with a motion ratio that was measured."""
    rig["values"][f"{axle}.axle_kind"]["value"] = "independent"
    _put(rig, f"{axle}.motion_ratio", choose.uniform(0.85, 0.98), 0.01)
    _put(rig, f"{axle}.motion_ratio_slope", choose.uniform(-0.3, 0.2))
    for name in ("lean", "damper_length"):
        rig["values"].pop(f"{axle}.{name}", None)


def _eyes(choose: random.Random, rig: Data, axle: str) -> None:
    """The eyes of the coil-overs were measured, so that nobody read the lean."""
    length, lean = (rig["values"][f"{axle}.{name}"]["value"] for name in ("damper_length", "lean"))
    base, height = choose.uniform(0.96, 1.04), choose.uniform(0.38, 0.44)
    upright = length * math.cos(lean)
    across = length * math.sin(lean)
    for name, value in (
        *(("mount_base", base), ("mount_height", height), ("mount_back", choose.uniform(-0.04, 0.0))),
        *(("upper_mount_base", base - 2 * across), ("upper_mount_height", height + upright)),
        ("upper_mount_back", choose.uniform(0.0, 0.05)),
    ):
        _put(rig, f"{axle}.{name}", value, 0.003)
    rig["values"].pop(f"{axle}.lean", None)


def _travel_table(choose: random.Random, rig: Data, axle: str) -> None:
    """A travel table that was read off the axle with its springs out, in place of the lean."""
    at_ride, lean = (rig["values"].pop(f"{axle}.{name}")["value"] for name in ("damper_length", "lean"))
    upright, across = at_ride * math.cos(lean), at_ride * math.sin(lean)
    ride = choose.uniform(0.42, 0.46)
    rig["travel_pairs"] = {
        axle: [
            {
                "wheel_height": ride + 0.03 * step,
                "damper_length": math.hypot(upright + 0.03 * step, across) + choose.uniform(-0.0004, 0.0004),
            }
            for step in range(-4, 4)
        ]
    }
    _put(rig, f"{axle}.ride_height", ride)


def _bars(choose: random.Random, rig: Data, axle: str) -> None:
    """An anti-roll bar and a track bar."""
    _put(rig, f"{axle}.bar_roll_stiffness", choose.uniform(3e3, 2e4))
    for name, value in (("frame_left", 0.42), ("frame_height", 0.6), ("axle_left", -0.44), ("axle_height", 0.52)):
        _put(rig, f"{axle}.track_bar_{name}", value + choose.uniform(-0.03, 0.03))


def _wishes(choose: random.Random, rig: Data, axle: str) -> None:
    """A road vehicle with a wanted height, a strap and wishes of the whole rig."""
    rig["values"]["driven_on_roads"]["value"] = "yes"
    _put(rig, "wanted_road_speed", choose.uniform(15.0, 25.0))
    _put(rig, f"{axle}.wanted_height_change", choose.uniform(-0.02, 0.03))
    _put(rig, f"{axle}.limit_strap", choose.choice(("yes", "no")))
    _put(rig, f"{axle}.strap_travel", choose.uniform(0.0, 0.02))
    _put(rig, "rank_level", choose.choice((0.0, 0.5, 2.0)))


def _cases(choose: random.Random, rig: Data, _axle: str) -> None:
    """Other load cases: one less, or one more with a load on one side, which lacks its place now and then."""
    if choose.random() < 0.5:
        del rig["load_cases"][2]
        return
    winch = {"name": "Spare wheel & “tools”", "mass": 60.0, "carried": "sprung", "left_of_center": 0.5}
    if choose.random() < 0.8:
        winch["behind_front_axle"] = choose.uniform(-0.5, 3.4)
    rig["load_cases"].append({"name": "aside", "label": "Everything on one side <left>", "items": [winch]})


def _doubts(choose: random.Random, rig: Data, axle: str) -> None:
    """What is known well, and what is not."""
    rig["doubts"] = {f"{axle}.tire_rate": choose.uniform(1e4, 4e4), f"{axle}.lean": 0.01}
    for key in (f"{axle}.unsprung_mass", f"{axle}.seat_space", "left_front.corner_mass"):
        entry = rig["values"][key]
        entry["plus_minus"] = entry["value"] * choose.uniform(0.002, 0.03)


def _proofs(choose: random.Random, rig: Data, _axle: str) -> None:
    """It was built and measured."""
    rig["proofs"] = _measured(choose)["proofs"]


def _lacking(choose: random.Random, rig: Data, axle: str) -> None:
    """Something of the hardware was not measured."""
    for name in choose.sample(("pad_rate", "thread_length", "gas_volume", "body_length", "ring_thickness"), 2):
        rig["values"].pop(f"{axle}.{name}", None)


_CHANGES: tuple[Callable[[random.Random, Data, str], None], ...] = (
    _single,
    _loose,
    _independent,
    _bars,
    _wishes,
    _cases,
    _doubts,
    _proofs,
    _lacking,
    # Last, one of them at most: each takes the lean's place.
    lambda choose, rig, axle: _instead_of_lean(choose, rig, axle, _eyes),
    lambda choose, rig, axle: _instead_of_lean(choose, rig, axle, _travel_table),
)


def _instead_of_lean(
    choose: random.Random, rig: Data, axle: str, change: Callable[[random.Random, Data, str], None]
) -> None:
    if f"{axle}.lean" in rig["values"]:
        change(choose, rig, axle)


# --- what is asked beside a rig ---------------------------------------------------------------------------------------


def _measured(choose: random.Random) -> Data:
    """Return Wren's measurements, read again: a little higher or lower at each corner."""
    found = _shipped("wren-measured")
    for proof in found["proofs"]:
        for state in proof["states"]:
            for corner in state["corners"].values():
                moved = choose.uniform(-0.006, 0.006)
                for name in ("after_pushed_down", "after_lifted"):
                    if name in corner:
                        corner[name] = round(corner[name] + moved, 4)
    return found


def _quote(choose: random.Random) -> Data:
    found = _shipped("quote")
    values: Mapping[str, str] = found["values"]
    found["values"] = {
        key: f"{float(text.split()[0]) * choose.choice((1.0, 0.9, 1.1, 1.25)):.6g} {text.split()[1]}"
        for key, text in values.items()
        if choose.random() < 0.9
    }
    return found
