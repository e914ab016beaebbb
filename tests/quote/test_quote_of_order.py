"""What `choose` orders, written down as a quote with every answer given, keeps every line of its own quote check."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from calc import tables
from calc.errors import Needs
from calc.order.order import completed, task
from calc.quote.file import contradictions, quote_from
from calc.quote.lines import judge
from calc.quote.printing import Line
from calc.rig.axle import unsprung_mass
from calc.rig.entries import AXLES
from calc.rig.rig import Rig
from calc.search.choose import choose
from calc.search.problem import Problem, SpringSet
from calc.tables import Springs
from tests.conftest import long_run
from tests.property.rigs import mutated_rig

# The first of these are of every kind.
RIGS = range(3, 3 + long_run(4, 500))


def springs_of(choose_: random.Random) -> Springs:
    """A short list of springs as shops have them, soft long ones among them that carry alone, and helpers."""
    rows: list[tuple[str, float, float, float, str]] = []
    for number in range(16):
        rate, length = (
            choose_.choice((100, 125, 150, 175, 200, 250, 300, 400, 500)),
            choose_.choice((8, 10, 12, 14, 16)),
        )
        rows.append((f"S-{number:02}", rate, length, round(length * choose_.uniform(0.25, 0.4), 2), ""))
    long = ((choose_.choice((120, 130, 140, 150, 160)), choose_.choice((20, 22, 24, 26))) for _ in range(5))
    rows += [(f"L-{number:02}", rate, length, 6, "") for number, (rate, length) in enumerate(long)]
    strokes = choose_.sample((2.0, 2.5, 3.0, 3.5), 2)
    rows += [
        (f"H-{place:02}", choose_.choice((20, 35, 50)), one + 1.0, 1.0, "helper") for place, one in enumerate(strokes)
    ]
    head = "part,rate_lb_per_in,free_length_in,solid_length_in,inside_diameter_in,price,stock,use"
    lines = [f"{part},{rate},{free},{solid},3.0,30,4,{use}" for part, rate, free, solid, use in rows]
    return tables.read_spring_list("\n".join([head, *lines]) + "\n").springs


def rig_of(choose_: random.Random) -> Rig:
    """A rig whose numbers were changed; every other one wishes no crossover, so that single springs work too."""
    rig = mutated_rig(choose_, ways=("change", "ratio", "kind", "add", "changes"), most=6)
    if choose_.random() < 0.5:
        return rig
    return replace(rig, values={key: value for key, value in rig.values.items() if "crossover" not in key})


def quoted(rig: Rig, axle: str, problem: Problem, springs: Springs, one: SpringSet, index: int) -> dict[str, float]:
    """Everything that a shop could say of a set in one load case, by the quote's own keys."""
    case, travel, around, hardware = problem.cases[index], one.ride_travel[index], problem.coilover, problem.hardware
    stroke = rig.get(f"{axle}.damper_stroke")
    unsprung = unsprung_mass(rig, axle, rig.cases()[index].items)
    assert unsprung is not None
    found: dict[str, Any] = {
        "axle_mass": 2.0 * case.sprung_mass + unsprung,
        "unsprung_mass": unsprung,
        "damper_stroke": stroke,
        "preload": one.preload,
        "shaft_showing": stroke - travel,
        "motion_ratio": float(around.motion_ratio(travel)),
        "gas_force": float(around.gas_force(travel)),
        "gas_rate": float(around.gas_rate(travel)),
        "damper_length": around.extended_length - travel,
        "solid_before_collapsed": stroke - around.bump_limit,
        "tire_rate": problem.tire_rate,
        "seat_space": hardware.seat_space,
        "adjuster_range": hardware.adjuster_range,
        "divider_thickness": hardware.divider_thickness,
        "least_preload": problem.limits.preload_floor,
        "least_tender_left": problem.limits.tender_left,
        "least_main_left": problem.limits.main_left,
        "least_adjuster_left": problem.limits.adjuster_reserve,
        "wanted_droop": problem.wishes.droop,
        "wanted_bump": problem.wishes.bump,
    }
    if around.ratio is not None:
        found["motion_ratio_slope"] = float(around.motion_ratio_slope(travel))
    if index == problem.reference:
        found["wanted_frequency_low"], found["wanted_frequency_high"] = problem.wishes.frequency
    for name, spring in (("helper", one.helper), ("tender", one.tender), ("main", one.main)):
        if spring is not None:
            found[f"{name}_rate"] = float(springs.rate[spring])
            found[f"{name}_free_length"] = float(springs.free_length[spring])
            found[f"{name}_solid_length"] = float(springs.solid_length[spring])
    if one.tender is not None:
        # No ring is one that stands further away than the stroke.
        found["ring_gap"] = stroke if one.ring_gap is None else one.ring_gap
    return {f"{axle}.{name}": value for name, value in found.items()}


def lines(rig: Rig, axle: str, problem: Problem, springs: Springs, one: SpringSet) -> Iterator[Line]:
    for index in range(len(problem.cases)):
        quote = quote_from(quoted(rig, axle, problem, springs, one, index))
        assert contradictions(quote) == []
        yield from judge(quote)


def ordered(number: int) -> Iterator[tuple[Rig, str, Problem, Springs, SpringSet]]:
    """The sets that are ranked first for one rig, of each kind of stack, at both axles."""
    choose_ = random.Random(number)
    rig, springs = completed(rig_of(choose_)), springs_of(choose_)
    for axle in AXLES:
        try:
            problem = task(rig, axle)
        except Needs:
            continue
        kinds: dict[tuple[bool, ...], SpringSet] = {}
        for one in choose(problem, springs).ranked:
            kinds.setdefault((one.helper is not None, one.tender is not None, one.ring_gap is not None), one)
        for one in kinds.values():
            yield rig, axle, problem, springs, one


def kind(one: SpringSet) -> str:
    return f"{'single' if one.tender is None else 'pair'}{'' if one.helper is None else ' with a helper'}"


@pytest.fixture(scope="module")
def orders() -> list[tuple[Rig, str, Problem, Springs, SpringSet]]:
    return [found for number in RIGS for found in ordered(number)]


def test_every_order_keeps_every_line_of_its_own_quote_check(orders: list[Any]) -> None:
    for rig, axle, problem, springs, one in orders:
        told = list(lines(rig, axle, problem, springs, one))
        assert {line.state for line in told} == {"holds"}, (
            axle,
            kind(one),
            [line for line in told if line.state != "holds"],
        )
        assert {"carries", "bump", "promise", "main", "tight", "seats", "frequency"} <= {line.rule for line in told}


def test_these_orders_are_of_every_kind(orders: list[Any]) -> None:
    """Else the comparison above would prove little."""
    assert {kind(one) for *_, one in orders} == {"single", "single with a helper", "pair", "pair with a helper"}
    assert {one.ring_gap is None for *_, one in orders if one.tender is not None} == {True, False}
