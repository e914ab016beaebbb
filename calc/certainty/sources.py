"""What is in doubt about a rig and its springs, and one axle's search with those numbers moved.

A move of 1 is one plus-minus (k = 2). What must move together has one source: the gain of the scale for every pad,
the batch of a spring for every place that it stands in, an item for every load case that carries it.
Gain, batch and item doubts without an entry of their own are common practice, without a published source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc import vocabulary
from calc.constants import GRAVITY
from calc.quantity import Quantity
from calc.rig.axle import COILOVER, coilover_of, label
from calc.rig.rig import LoadCase, Rig
from calc.search.coilover import Coilover
from calc.search.problem import CaseLoad, Problem, SpringSet
from calc.tables import Springs
from calc.weight.weight_change import Item, item_table

# Share of every reading that all pads of one scale are off together.
SCALE_GAIN = 0.005
SCALE = "scale"

Array = NDArray[np.float64]
Moves = Mapping[str, Array]

_HARDWARE = (
    *("seat_space", "divider_thickness", "adjuster_range", "ring_thickness", "pad_touch_before_collapsed"),
    *("thread_length", "body_length", "damper_collapsed"),
)
# At least this share of its own value must be left of a weight or a travel that is moved.
_LEAST_LEFT = 0.05


@dataclass(frozen=True, kw_only=True)
class Source:
    """One thing that is in doubt.

    `key` is the rig's own key where there is one. What can be measured again before ordering is `measurable`.
    """

    name: str
    label: str
    key: str = ""
    assumed: bool = False
    measurable: bool = True


def sources(rig: Rig, axle: str, springs: Springs, sets: Sequence[SpringSet]) -> tuple[Source, ...]:
    """Return what is in doubt for an axle with some spring sets; what has no plus-minus is left out."""
    return (*_of_rig(rig, axle), *_of_items(rig), *_of_springs(axle, springs, sets))


def _of_rig(rig: Rig, axle: str) -> Iterable[Source]:
    corners = tuple(f"{side}_{axle}.corner_mass" for side in ("left", "right"))
    names = (*corners, *(f"{axle}.{name}" for name in ("unsprung_mass", "tire_rate", *COILOVER, *_HARDWARE)))
    if any(rig.get(key) is not None for key in corners):
        yield Source(name=SCALE, label="the scale itself, all pads alike")
    for key in (*names, *(("wheelbase",) if any(case.items for case in rig.cases()) else ())):
        known = rig.known(key)
        if known is not None and known.plus_minus > 0:
            yield Source(name=key, label=label(key), key=key, assumed=known.origin == "assumed")


def _item_name(item: Item, column: str) -> str:
    return f"item {column} {item.label} {item.mass:g} {item.behind_front_axle}"


def item_doubt(column: str, value: float | None) -> float:
    """Return the plus-minus of an item's value where none is said: that of its column."""
    declared = item_table.columns()[column].is_a
    return 0.0 if value is None or not isinstance(declared, Quantity) else declared.uncertainty(value)


def _of_items(rig: Rig) -> Iterable[Source]:
    found: dict[str, Source] = {}
    for item in (item for case in rig.cases() for item in case.items):
        for column, what in (("mass", "weight"), ("behind_front_axle", "place")):
            if item_doubt(column, getattr(item, column)) > 0:
                name = _item_name(item, column)
                found.setdefault(name, Source(name=name, label=f"{what} of “{item.label or 'an item'}”"))
    return found.values()


def _of_springs(axle: str, springs: Springs, sets: Sequence[SpringSet]) -> Iterable[Source]:
    parts = sorted({springs.part[index] for one in sets for index in one.springs()})
    for part in parts:
        yield Source(name=f"rate {part}", label=f"rate of {part}", measurable=False)
        yield Source(name=f"length {part}", label=f"length and set of {part}", measurable=False)
    for what in ("preload", "ring"):
        yield Source(name=f"{axle} {what} as set", label=f"{axle} {what} as set", measurable=False)


# --- numbers that are moved -----------------------------------------------------------------------------------------------


def _moved(rig: Rig, key: str, moves: Moves) -> Any:
    known = rig.known(key)
    if known is None or not isinstance(known.value, float):
        return None if known is None else known.value
    value = known.value + known.plus_minus * moves.get(key, 0.0)
    return value * (1.0 + SCALE_GAIN * moves.get(SCALE, 0.0)) if key.endswith(".corner_mass") else value


def _axle_mass(rig: Rig, axle: str, case: LoadCase, moves: Moves) -> Any:
    """Return what an axle's tires carry: its readings, and its part of every item by the item's place."""
    mass = _moved(rig, f"left_{axle}.corner_mass", moves) + _moved(rig, f"right_{axle}.corner_mass", moves)
    wheelbase = _moved(rig, "wheelbase", moves)
    for item in case.items:
        place: Any = wheelbase if item.carried == "rear axle" else 0.0
        if item.behind_front_axle is not None:
            place = item.behind_front_axle + _item_move(item, "behind_front_axle", moves)
        rear_share = place / wheelbase
        share = rear_share if axle == "rear" else 1.0 - rear_share
        mass = mass + (item.mass + _item_move(item, "mass", moves)) * share
    return mass


def _item_move(item: Item, column: str, moves: Moves) -> Any:
    return item_doubt(column, getattr(item, column)) * moves.get(_item_name(item, column), 0.0)


def _unsprung_mass(rig: Rig, axle: str, case: LoadCase, moves: Moves) -> Any:
    own = _moved(rig, f"{axle}.unsprung_mass", moves)
    for item in case.items:
        if item.carried == f"{axle} axle":
            own = own + item.mass + _item_move(item, "mass", moves)
    return own


@dataclass(frozen=True, kw_only=True, eq=False)
class Drawn:
    """One axle's search with arrays of draws in place of its numbers, and which of the draws can be at all."""

    problem: Problem
    axle_mass: Array
    collapsed_length: Array
    possible: NDArray[np.bool_]


def drawn(rig: Rig, task: Problem, moves: Moves, count: int) -> Drawn:
    """Return an axle's search for each of some draws. The rig is one that has all that the search needs.

    A draw that cannot be (nothing sprung, no travel, a coil-over that lies flat, a rod that fills its gas room) stands
    as the rig itself does, and is marked.
    """
    axle = task.axle
    values = {name: _moved(rig, f"{axle}.{name}", moves) for name in COILOVER}
    masses = [_axle_mass(rig, axle, case, moves) for case in rig.cases()]
    sprung = [(one - _unsprung_mass(rig, axle, case, moves)) / 2 for one, case in zip(masses, rig.cases(), strict=True)]
    tire_rate = _moved(rig, f"{axle}.tire_rate", moves)
    with np.errstate(all="ignore"):
        coilover = coilover_of(values)
        tests = _above_zero(task, coilover, sprung, tire_rate)
        possible = np.logical_and.reduce([np.broadcast_to(np.asarray(test) > 0.0, count) for test in tests])

    def kept(value: Any, own: Any) -> Any:
        return own if value is None else np.where(possible, value, own)

    names = ("extended_length", "bump_limit", "strap_travel", "eye_offset", "ratio_slope", "ratio_length")
    fields = {
        name: kept(getattr(coilover, name), getattr(task.coilover, name))
        for name in (*names, "ratio", "gas_pressure", "gas_volume", "rod_area")
    }
    hardware = {
        name: kept(_moved(rig, f"{axle}.{name}", moves), getattr(task.hardware, name))
        for name in ("seat_space", "divider_thickness", "adjuster_range", "thread_length", "body_length")
    }
    stroke, collapsed = values["damper_stroke"], _moved(rig, f"{axle}.damper_collapsed", moves)
    pad = _moved(rig, f"{axle}.pad_touch_before_collapsed", moves)
    if pad is not None:
        hardware["pad_touch"] = np.broadcast_to(stroke - pad, count)
    ring = _moved(rig, f"{axle}.ring_thickness", moves)
    cases = [
        CaseLoad(
            name=case.name,
            label=case.label,
            sprung_mass=kept(mass, case.sprung_mass),
            support_load=kept(mass * GRAVITY, case.support_load),
        )
        for mass, case in zip(sprung, task.cases, strict=True)
    ]
    return Drawn(
        problem=replace(
            task,
            coilover=replace(task.coilover, **fields),
            hardware=replace(task.hardware, **hardware),
            limits=task.limits if ring is None else replace(task.limits, ring_height=ring),
            tire_rate=kept(tire_rate, task.tire_rate),
            cases=tuple(cases),
        ),
        axle_mass=np.max([np.broadcast_to(one, count) for one in masses], axis=0),
        collapsed_length=np.broadcast_to(
            kept(values["damper_extended"] - stroke if collapsed is None else collapsed, 0.0), count
        ),
        possible=possible,
    )


def _above_zero(task: Problem, coilover: Coilover, sprung: Sequence[Any], tire_rate: Any) -> Iterator[Any]:
    """Yield what must be above zero for a draw to be possible at all."""
    yield coilover.bump_limit - _LEAST_LEFT * task.coilover.bump_limit
    yield coilover.ratio_left
    yield 1.0 - coilover.rod_area * coilover.bump_limit / coilover.gas_volume
    yield coilover.extended_length - coilover.bump_limit
    for mass, case in zip(sprung, task.cases, strict=True):
        yield mass - _LEAST_LEFT * case.sprung_mass
    yield tire_rate - _LEAST_LEFT * task.tire_rate
    yield coilover.gas_volume


# --- springs and settings that are moved ------------------------------------------------------------------------------------


def set_numbers(
    problem: Problem, springs: Springs, sets: Sequence[SpringSet], moves: Moves, count: int
) -> dict[str, Any]:
    """Return sets as they are set on the bench, a row of draws each, by the names that the search judges by.

    All of them have a helper, or none has. The preload is counted in turns from just seated, so neither the seats' distance
    nor a length in the list moves it; the length's plus-minus stands for what a spring sets by once it works. The ring
    stays where it is on the body.
    """
    main = _Row(springs, [one.main for one in sets], moves, count)
    tender = _Row(springs, [-1 if one.tender is None else one.tender for one in sets], moves, count)
    helper = None
    if sets[0].helper is not None:
        helper = _Row(springs, [-1 if one.helper is None else one.helper for one in sets], moves, count)
    single = tender.absent
    grown = tender.longer + main.longer if helper is None else helper.longer + tender.longer + main.longer
    lengths = tender.length + main.length if helper is None else helper.length + tender.length + main.length
    dividers = _column(len(one.springs()) - 1 for one in sets) * problem.hardware.divider_thickness
    least = lengths + grown + dividers - problem.hardware.seat_space
    preload_move = vocabulary.preload.plus_minus * moves.get(f"{problem.axle} preload as set", 0.0)
    tender_rate = np.where(single, np.inf, tender.rate)
    preload = _column(one.preload for one in sets)
    numbers: dict[str, Any] = {
        "single": single,
        "tender_rate": tender_rate,
        "tender_length": tender.length + tender.longer,
        "tender_solid": tender.solid,
        "main_rate": main.rate,
        "main_length": main.length + main.longer,
        "main_stroke": main.length - main.solid + main.longer,
        "least": least,
        "highest": least + problem.hardware.adjuster_range - problem.limits.adjuster_reserve,
        "preload": preload + preload_move + grown,
        "adjuster": preload - least,
        "ring_below_adjuster": _column(
            np.inf if one.ring_below_adjuster is None else one.ring_below_adjuster for one in sets
        ),
    }
    numbers["stack_rate"] = main.rate / (1.0 + main.rate / tender_rate)
    if helper is not None:
        numbers |= {
            "helper_rate": helper.rate,
            "helper_stroke": helper.length - helper.solid + helper.longer,
            "above_tender": helper.length + problem.hardware.divider_thickness,
        }
    # The divider hangs lower by the tender's growth, less what the greater preload shortens the tender by.
    share = main.rate / (tender_rate + main.rate)
    widened = tender.longer - share * grown if helper is None else 0.0
    as_set = vocabulary.ring_gap.plus_minus * moves.get(f"{problem.axle} ring as set", 0.0)
    gap = _column(np.inf if one.ring_gap is None else one.ring_gap for one in sets)
    numbers["ring_gap"] = np.where(single, np.inf, np.maximum(gap + as_set + widened, 0.0))
    return {name: np.broadcast_to(value, (len(sets), count)) for name, value in numbers.items()}


def _column(values: Iterable[float]) -> Array:
    return np.array(list(values), dtype=np.float64)[:, None]


class _Row:
    """One spring of each of several sets, by its place in the list (-1 is none): its numbers, a row of draws each."""

    def __init__(self, springs: Springs, places: Sequence[int], moves: Moves, count: int) -> None:
        self._springs, self._places, self._moves, self._count = springs, np.array(places), moves, count
        self.absent = self._places[:, None] < 0

    def _moved(self, what: str) -> Array:
        parts, none = self._springs.part, np.zeros(self._count)
        rows = (none if place < 0 else self._moves.get(f"{what} {parts[place]}", none) for place in self._places)
        return np.stack(list(rows))

    def _listed(self, column: Array) -> Array:
        return np.where(self.absent, 0.0, column[self._places][:, None])

    @cached_property
    def rate(self) -> Array:
        share = vocabulary.spring_rate.plus_minus_share * self._moved("rate")
        return self._listed(self._springs.rate) * (1.0 + share)

    @cached_property
    def longer(self) -> Array:
        """What it has grown by, as it sets once it works."""
        return vocabulary.free_length.plus_minus * self._moved("length")

    @cached_property
    def length(self) -> Array:
        return self._listed(self._springs.free_length)

    @cached_property
    def solid(self) -> Array:
        return self._listed(self._springs.solid_length)
