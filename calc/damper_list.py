"""The reader of a reader's own damper list: the same guards as for springs, forgiving in headings, units and marks."""

from __future__ import annotations

import math
from collections.abc import Generator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from calc import tables, vocabulary
from calc.quantity import Display, Quantity, declaration
from calc.tables import BoolArray, CellError, Cells, Column, Dampers, FloatArray, Layout
from calc.units import INCH


def _declared(annotation: Any) -> Quantity:
    found, _ = declaration(annotation)
    if not isinstance(found, Quantity):
        raise TypeError(f"{annotation!r} is not a number.")
    return found


REQUIRED: Mapping[str, Quantity] = {
    "damper_stroke": _declared(vocabulary.Stroke),
    "damper_extended": _declared(vocabulary.ExtendedLength),
    "spring_inside_diameter": tables.inside_diameter.called(
        "Spring inside diameter", "D_i", "The springs' bore that the damper takes."
    ),
    "adjuster_range": vocabulary.adjuster_range,
    # Turns per meter and per inch are told apart by what is usual: a bare 12 in a metric list is asked back.
    "adjuster_turns_per_length": replace(vocabulary.adjuster_turns_per_length, usual=(4 / INCH, 40 / INCH)),
    "seat_space": vocabulary.seat_space,
}
OPTIONAL: Mapping[str, Quantity] = {
    "damper_collapsed": _declared(vocabulary.CollapsedLength),
    "rod_diameter": vocabulary.rod_diameter,
    "piston_diameter": vocabulary.rod_diameter.called(
        "Piston diameter", "d_p", "Bore of the damper.", usual=(0.8 * INCH, 4 * INCH), typical=2 * INCH, high=6 * INCH
    ),
    "body_outside_diameter": tables.outside_diameter.called(
        "Body outside diameter", "D_b", "Over the body's thread.", usual=(1 * INCH, 6 * INCH), typical=2.65 * INCH
    ),
    "gas_pressure": vocabulary.gas_pressure,
    "gas_volume": vocabulary.gas_volume,
    "price": replace(tables.price, typical=450.0, help="Of one damper, in whatever currency the list is."),
    "stock": tables.stock,
}
# How far the stroke may differ from extended less collapsed length: makers round each of the three.
STROKE_WITHIN = 0.125 * INCH

DAMPERS = Layout(
    noun="damper",
    required=REQUIRED,
    optional=OPTIONAL,
    words={
        "part": (
            *("part", "part no", "part nr", "part number", "part code", "code", "sku", "number", "no", "item"),
            *("item number", "item no", "article", "article number", "order number", "ref", "reference"),
            *("damper", "shock", "coilover", "coil over"),
        ),
        "damper_stroke": ("stroke", "travel", "damper stroke", "damper travel", "shaft travel"),
        "damper_extended": (
            *("extended", "extended length", "length extended", "fully extended", "open length", "ext"),
            *("max length", "maximum length"),
        ),
        "damper_collapsed": (
            *("collapsed", "collapsed length", "length collapsed", "fully collapsed", "compressed"),
            *("compressed length", "length compressed", "closed length", "min length", "minimum length"),
        ),
        "rod_diameter": ("rod", "rod diameter", "rod dia", "shaft", "shaft diameter", "shaft dia"),
        "piston_diameter": ("piston", "piston diameter", "piston dia"),
        "body_outside_diameter": (
            *("body outside", "body outside diameter", "body od", "body diameter", "body dia", "body"),
        ),
        "gas_pressure": ("gas pressure", "gas", "gas charge", "charge", "pressure", "nitrogen pressure"),
        "gas_volume": ("gas volume", "volume", "gas room"),
        "spring_inside_diameter": (
            *("spring inside diameter", "spring inside dia", "spring id", "spring bore", "spring inside"),
            *("inside diameter", "id"),
        ),
        "adjuster_range": ("adjuster range", "adjuster", "adjustment", "adjustment range", "thread range"),
        "adjuster_turns_per_length": (
            *("turns", "adjuster turns", "turns per length", "adjuster turns per length", "threads", "turns in"),
        ),
        "seat_space": ("seat space", "seat to seat", "spring space", "space between seats"),
        "price": ("price", "cost", "each", "price each", "unit price", "list price"),
        "stock": ("stock", "in stock", "qty", "quantity", "on hand", "available", "count"),
        "note": ("note", "notes", "remark", "remarks"),
    },
    sized=("damper_stroke", "spring_inside_diameter", "adjuster_range"),
    below=(
        ("damper_stroke", "damper_extended", "Stroke must be below the extended length."),
        ("damper_collapsed", "damper_extended", "Collapsed length must be below the extended length."),
        ("rod_diameter", "piston_diameter", "Rod diameter must be below the piston diameter."),
    ),
)


@dataclass(frozen=True, kw_only=True)
class DamperList:
    """What was read from a reader's own damper list.

    `proposal` is how the columns were understood. `dampers` are the good rows and `rows` their numbers.
    `errors` are the cells that cannot be used, at most a thousand of the `error_count` there are.
    `problem` is set when no row can be read before the columns are settled.
    """

    headings: tuple[str, ...]
    proposal: Mapping[str, Column]
    unused: tuple[str, ...]
    dampers: Dampers
    rows: tuple[int, ...] = ()
    errors: tuple[CellError, ...] = field(default=())
    error_count: int = 0
    row_count: int = 0
    problem: str = ""


def read_damper_list(text: str, *, columns: Mapping[str, Column] | None = None) -> DamperList:
    r"""Read a reader's own damper list.

    Needed are stroke, extended length, spring inside diameter, adjuster range and turns, and the space from seat to
    seat; the rest may be left out. Without `columns` the headings are recognized, as for springs.
    Raises DataError when the text as a whole is no list: empty, too big, not a table.

    >>> found = read_damper_list(
    ...     "part;stroke (mm);extended (mm);spring ID (mm);adjuster (mm);turns (per in);seat to seat (mm)\n"
    ...     "A;304,8;787,4;76,2;101,6;12;673,1\n"
    ... )
    >>> found.dampers.part, round(float(found.dampers.damper_collapsed[0]), 4), found.dampers.gives("gas_pressure", 0)
    (('A',), 0.4826, False)
    """
    return tables.to_the_end(damper_list_slices(text, columns=columns))


def damper_list_slices(
    text: str, *, columns: Mapping[str, Column] | None = None
) -> Generator[tuple[int, int], None, DamperList]:
    """Read a reader's own damper list in small parts: yields (rows done, rows in all) after each, and returns the list."""
    cells = yield from tables.cell_slices(text, DAMPERS, columns)
    if cells.problem:
        none = np.zeros(0, dtype=np.bool_)
        empty = replace(
            cells,
            values={name: np.zeros(0) for name in DAMPERS.numbers},
            known=dict.fromkeys(DAMPERS.numbers, none),
        )
        return _list_of(empty, none)
    _contradictions(cells)
    return _list_of(cells, ~cells.errors.bad)


def _contradictions(cells: Cells) -> None:
    """Find dampers whose lengths, or whose rod and gas room, cannot be true together."""
    values, known, proposal, errors = cells.values, cells.known, cells.proposal, cells.errors
    whole = known["damper_stroke"] & known["damper_extended"] & known["damper_collapsed"]
    between = values["damper_extended"] - values["damper_collapsed"]
    # A length that is not below the other is told already.
    wrong = whole & (between > 0) & (abs(between - values["damper_stroke"]) > STROKE_WITHIN)
    for index in np.flatnonzero(wrong):
        column = proposal["damper_stroke"]
        told = Display("shop", {"cell": column.unit}).text(float(between[index]), REQUIRED["damper_stroke"], "cell")
        errors.add(
            int(index),
            column.heading,
            f"Extended less collapsed length is {told}, and the stroke differs from it.",
            "Allowed: the same within an eighth of an inch (3 mm).",
        )
    gas = known["rod_diameter"] & known["gas_volume"] & known["damper_stroke"]
    full = math.pi / 4 * values["rod_diameter"] ** 2 * values["damper_stroke"] >= values["gas_volume"]
    for index in np.flatnonzero(gas & full):
        errors.add(
            int(index),
            proposal["gas_volume"].heading,
            "The rod would fill the whole gas room before the damper is collapsed.",
            "Allowed: more than the rod's section times the stroke.",
        )


def _list_of(cells: Cells, good: BoolArray) -> DamperList:
    def kept(name: str) -> FloatArray:
        return cells.values[name][good]

    known = {name: cells.known[name][good] for name in OPTIONAL}
    notes = cells.words.get("note", ("",) * len(cells.part))
    collapsed = np.where(
        known["damper_collapsed"], kept("damper_collapsed"), kept("damper_extended") - kept("damper_stroke")
    )
    numbers: dict[str, Any] = {name: kept(name) for name in DAMPERS.numbers if name != "stock"}
    return DamperList(
        headings=cells.headings,
        proposal=cells.proposal,
        unused=cells.unused,
        dampers=Dampers(
            part=tuple(code for code, is_good in zip(cells.part, good, strict=True) if is_good),
            # Of a note only this word is kept: it marks a damper that cannot be bought.
            note=tuple("example" if notes[index] == "example" else "" for index in np.flatnonzero(good)),
            stock=kept("stock").astype(np.int64),
            known=known | {"damper_collapsed": np.ones(int(good.sum()), dtype=np.bool_)},
            **numbers | {"damper_collapsed": collapsed},
        ),
        rows=tuple(number for number, is_good in zip(cells.rows, good, strict=True) if is_good),
        errors=cells.errors.told(),
        error_count=cells.errors.count,
        row_count=cells.row_count,
        problem=cells.problem,
    )
