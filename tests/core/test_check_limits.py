"""Every limit of every check, just inside and just outside: inputs are solved for, and what is said there is read.

The limits themselves stand in check-limits.txt, reviewed: a moved one shows as a difference there. Here each of them is
reached by moving one input of a step until the judged value meets it, and the state must flip there and nowhere else.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from calc import formula
from calc.desk import answers
from calc.errors import HandbookError
from calc.quantity import SHOP, Choice, Display, Quantity, Table
from calc.spring.coil import WIRES
from calc.step import Check, Finding, Step, check_finding, find, step_names, values_of
from calc.units import NO_BREAK, from_si

STEPS = [find(name) for name in step_names()]
WITH_CHECKS = [step for step in STEPS if step.checks]
NEAR = 1e-6
Values = Mapping[str, Any]


def test_the_reviewed_limits_are_todays() -> None:
    kept = answers.LIMITS.read_text(encoding="utf-8")
    assert kept == answers.limits(), "run `python3 -m calc answers --write`, and read the difference"


# Rules that no legal input breaks, and why they are there.
NEVER: Mapping[tuple[str, str], str] = {
    ("travel_table", "change of the motion ratio known"): "it is there to be “not checked” where the change is unknown",
    ("rescaled_rate", "same ride"): "an axle that carries nothing is refused before",
}

# Where the example does not reach a limit by one input: what else is set first.
BESIDE: Mapping[tuple[str, str], tuple[Mapping[str, Any], ...]] = {
    # A later turn of the adjuster is refused where it leaves the springs loose.
    ("crossover", "springs seated"): ({"adjuster_move": None},),
    # With a dynamic index of 1 each motion turns about an axle; beyond it the centers change places. Past the rear axle
    # only a rig that is heavy there pitches.
    ("pitch_bounce", "pitch about a point between the axles"): (
        {"dynamic_index": 1.001},
        {"front_sprung_mass": 700.0, "rear_sprung_mass": 1300.0},
    ),
}


@dataclass(frozen=True, kw_only=True)
class Edge:
    """A place where a finding must change: the check, the side of its limit, and by how much its margin shifts that."""

    check: Check
    low: bool = True
    shift: float = 0.0
    typical: float = 0.0

    @property
    def name(self) -> str:
        side = "" if self.check.condition else (" low" if self.low else " high")
        return f"{self.check.rule}{side}{f' {self.shift:+g}' if self.shift else ''}"

    def inside(self, values: Values) -> float | None:
        """Return how far inside this edge the values are, negative outside; None where it is not judged."""
        if any(values.get(name) is None for name in self.check.names()) or left_out(self.check, values):
            return None
        if self.check.condition:
            return 1.0 if formula.evaluate(self.check.condition, values) else -1.0
        return (worth(self.check.value, values) - self.limit(values)) * (1 if self.low else -1) - self.shift

    def limit(self, values: Values) -> float:
        return self.number(values) * (worth(self.check.times, values) if self.check.times else 1.0)

    def number(self, values: Values) -> float:
        limit = self.check.at_least if self.low else self.check.at_most
        assert limit is not None
        return worth(limit, values)


def worth(what: str | float, values: Values) -> float:
    return float(formula.evaluate(what, values)) if isinstance(what, str) else what


def left_out(check: Check, values: Values) -> bool:
    return bool(check.when) and not formula.evaluate(check.when, values)


def edges(step: Step) -> list[Edge]:
    found = []
    for check in step.checks:
        shifts = (check.margin, -check.margin) if check.margin else (0.0,)
        if check.condition:
            found.append(Edge(check=check))
        for low, limit in ((True, check.at_least), (False, check.at_most)):
            if limit is not None:
                typical = abs((check.of or step.quantity(check.value)).typical)
                found += [Edge(check=check, low=low, shift=shift, typical=typical) for shift in shifts]
    return found


def known(step: Step, inputs: Values) -> dict[str, Any] | None:
    """Return all values that the step gives, those on the way too; None where it refuses."""
    try:
        values = values_of(step, inputs)
    except HandbookError:
        return None
    wanted = {name for check in step.checks for name in check.names() if name not in values}
    for equation in step.equations if wanted else ():
        needed = (*formula.names(equation.text), *(formula.names(equation.when) if equation.when else ()))
        judged = equation.result not in values and all(values.get(name) is not None for name in needed)
        if judged and (not equation.when or formula.evaluate(equation.when, values)):
            values[equation.result] = formula.evaluate(equation.text, values)
    return values


# --- the ways to move ---------------------------------------------------------------------------------------------------

Move = Callable[[float], dict[str, Any] | None]
SHARES = (0.03, 0.2, 0.6, 0.9, 1.1, 1.5, 3.0, 9.0, 30.0)


def places(value: float, quantity: Quantity) -> list[float]:
    """Return where an input is tried, in order: around its value, on both sides of nothing, and through its limits."""
    wanted = [value, 0.0, *(value * share for share in SHARES), *(-value * share for share in SHARES)]
    wanted += [quantity.low + (quantity.high - quantity.low) * step / 8 for step in range(9)]
    return sorted({place for place in wanted if quantity.accepts(place)})


def moves(step: Step, inputs: Values) -> Iterator[tuple[list[float], Move]]:
    """Yield each input, and each cell of each table, with where it is tried and what the inputs are there."""
    for name, declared in step.inputs.items():
        value = inputs.get(name)
        if isinstance(declared.is_a, Quantity):
            value = declared.default if value is None and declared.default is not None else value
            start = declared.is_a.typical if value is None else value
            yield places(start, declared.is_a), lambda place, name=name: {**inputs, name: place}
        elif isinstance(declared.is_a, Table):
            for index, row in enumerate(inputs[name]):
                for column, inner in declared.is_a.columns().items():
                    if isinstance(inner.is_a, Quantity) and getattr(row, column) is not None:

                        def moved(place: float, name: str = name, index: int = index, column: str = column) -> Any:
                            rows = list(inputs[name])
                            rows[index] = replace(rows[index], **{column: place})
                            return {**inputs, name: tuple(rows)}

                        yield places(getattr(row, column), inner.is_a), moved


def bases(step: Step) -> Iterator[dict[str, Any]]:
    """Yield inputs to start from: the example, with what it leaves out filled in, with each other choice, and by hand."""
    example = step.example_inputs()
    typical = {
        name: declared.is_a.typical
        for name, declared in step.inputs.items()
        if isinstance(declared.is_a, Quantity) and example.get(name) is None and declared.default is None
    }
    yield example
    filled = {**example, **typical}
    if typical:
        yield filled
    for name, declared in step.inputs.items():
        if isinstance(declared.is_a, Choice):
            for option in declared.is_a.options:
                if option.value != example.get(name):
                    yield {**example, name: option.value}
                    yield {**filled, name: option.value}
    for (of, _), changes in BESIDE.items():
        if of == step.name:
            yield from ({**example, **change} for change in changes)


@dataclass(frozen=True, kw_only=True)
class Found:
    """The values just inside and just outside of an edge."""

    inside: Values
    outside: Values


def search(step: Step) -> dict[Edge, Found]:
    """Return, for each edge of a step that one moved input crosses, the values on both sides of it."""
    waiting, found = edges(step), {}
    for inputs in bases(step):
        for tried, move in moves(step, inputs):
            if not waiting:
                return found
            # A few places first: an input that moves nothing of what is judged needs no more.
            if not matters(waiting, [known(step, move(place) or {}) for place in tried[:: len(tried) // 4]]):
                continue
            line = [(place, values) for place in tried if (values := known(step, move(place) or {})) is not None]
            for edge in list(waiting):
                if (met := crossing(step, edge, line, move)) is not None:
                    found[edge] = met
                    waiting.remove(edge)
        for edge in list(waiting):
            if (met := counted(step, edge, inputs)) is not None:
                found[edge] = met
                waiting.remove(edge)
    return found


def matters(waiting: list[Edge], few: list[dict[str, Any] | None]) -> bool:
    names = {name for edge in waiting for name in edge.check.names()}
    return len({tuple(None if values is None else values.get(name) for name in names) for values in few}) > 1


def crossing(step: Step, edge: Edge, line: list[tuple[float, Any]], move: Move) -> Found | None:
    sides = [
        (place, values, inside)
        for place, values in line
        if (inside := edge.inside(values)) is not None and not on(edge, values)
    ]
    for (here, near, one), (there, far, two) in pairwise(sides):
        if (one >= 0) != (two >= 0):
            met = bisected(step, edge, (here, near), (there, far), move)
            if met is not None:
                return met
    return None


def bisected(step: Step, edge: Edge, one: tuple[float, Any], two: tuple[float, Any], move: Move) -> Found | None:
    """Return the values on both sides of an edge, near to it; None where they jump across."""
    for turn in range(80):
        if close_to(edge, one[1]) and close_to(edge, two[1]):
            break
        # Not halves each time, so that a middle that hits the edge itself is left again.
        middle = one[0] + (two[0] - one[0]) * (0.5, 0.47)[turn % 2]
        values = known(step, move(middle) or {})
        inside = None if values is None else edge.inside(values)
        if values is None or inside is None:
            return None
        if on(edge, values):
            middle = one[0] + (two[0] - one[0]) * 0.4999
            values = known(step, move(middle) or {})
            inside = None if values is None else edge.inside(values)
            if values is None or inside is None or on(edge, values):
                return None
        if (inside >= 0) == ((edge.inside(one[1]) or 0.0) >= 0):
            one = middle, values
        else:
            two = middle, values
    if not edge.check.condition and not (close_to(edge, one[1]) and close_to(edge, two[1])):
        return None
    here, there = (one[1], two[1]) if (edge.inside(one[1]) or 0.0) >= 0 else (two[1], one[1])
    return Found(inside=here, outside=there)


def scale(edge: Edge, values: Values) -> float:
    return max(abs(edge.limit(values)), abs(worth(edge.check.value, values)), edge.typical)


def close_to(edge: Edge, values: Values) -> bool:
    return not edge.check.condition and abs(edge.inside(values) or 0.0) <= NEAR * scale(edge, values)


def on(edge: Edge, values: Values) -> bool:
    """Whether the value is so near the edge that a step takes it for the limit itself, without being the limit."""
    inside = abs(edge.inside(values) or 0.0)
    at_it = inside == 0 and not edge.shift
    return not edge.check.condition and not at_it and inside <= 2e-9 * scale(edge, values)


def counted(step: Step, edge: Edge, inputs: Values) -> Found | None:
    """Return what a row less in a table makes of an edge that counts."""
    for name, declared in step.inputs.items():
        if not isinstance(declared.is_a, Table):
            continue
        rows = inputs[name]
        sides = [
            (count, values, inside)
            for count in range(len(rows) + 1)
            if (values := known(step, {**inputs, name: rows[:count]})) is not None
            and (inside := edge.inside(values)) is not None
        ]
        for (_, fewer, one), (_, more, two) in pairwise(sides):
            if one < 0 <= two and worth(edge.check.value, more) == edge.limit(more):
                return Found(inside=more, outside=fewer)
    return None


# --- what is said there -------------------------------------------------------------------------------------------------


def judged(step: Step, check: Check, values: Values, doubt: float = 0.0, display: Display = SHOP) -> Finding:
    return check_finding(check, values, {check.value: doubt}, step.quantity, display)


def numbers(text: str) -> list[float]:
    plain = text.replace("\u2212", "-").replace(NO_BREAK, " ")
    return [float(word.replace(",", "")) for word in re.findall(r"-?\d[\d,]*(?:\.\d+)?", plain)]


@pytest.mark.parametrize("step", WITH_CHECKS, ids=[step.name for step in WITH_CHECKS])
def test_every_limit_flips_its_finding_and_is_printed_by_it(step: Step) -> None:
    with np.errstate(all="ignore"):
        met = search(step)
    missing = {(step.name, edge.check.rule) for edge in edges(step) if edge not in met}
    assert missing == {(of, rule) for of, rule in NEVER if of == step.name}
    for edge, found in met.items():
        check = edge.check
        inner, outer = judged(step, check, found.inside), judged(step, check, found.outside)
        worst = "close" if check.warns else "fails"
        if edge.shift > 0:
            assert (inner.state, outer.state) == ("holds", "close"), edge.name
            continue
        assert (inner.state, outer.state) == ("close" if edge.shift else "holds", worst), edge.name
        assert inner.text != outer.text or (edge.shift and not check.close), edge.name
        if check.condition:
            continue
        assert outer.limit == edge.limit(found.outside), edge.name
        if not edge.shift:
            # At the limit itself the plus-minus decides, on either side of it.
            for values in (found.inside, found.outside):
                doubt = (
                    1.0
                    if isinstance(outer.limit, float) and check.value.endswith("_count")
                    else 2 * NEAR * scale(edge, values)
                )
                assert judged(step, check, values, doubt).state == "close", edge.name
        number = edge.number(found.outside)
        if number and check.rule not in ("pulled down by its load",):
            unit = SHOP.unit(check.of or step.quantity(check.value), check.value)
            printed = (from_si(outer.limit or 0.0, unit), number, 100 * number)
            assert any(
                abs(told - wanted) <= 1e-2 * abs(wanted) + 5e-4 for told in numbers(outer.text) for wanted in printed
            ), (edge.name, outer.text)


@pytest.mark.parametrize("material", sorted(WIRES))
def test_a_wire_is_covered_from_its_thinnest_to_its_thickest_and_no_further(material: str) -> None:
    step, wire = find("coil"), WIRES[material]
    check = next(check for check in step.checks if check.rule == "strength published for this wire")
    for edge, outwards in ((wire.thinnest, -1), (wire.thickest, 1)):
        for diameter, state in ((edge * (1 - outwards * NEAR), "holds"), (edge * (1 + outwards * NEAR), "close")):
            found = check_finding(check, {"material": material, "wire_diameter": diameter}, {}, step.quantity)
            assert found.state == state, diameter
