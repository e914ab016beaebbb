"""Legal inputs of any step that nobody would think of, and a doubt for each."""

from __future__ import annotations

import random
from typing import Any

from calc.quantity import Choice, Quantity, Table, Text
from calc.step import Step
from tests.property.rigs import a_number, a_plus_minus


def legal_inputs(choose: random.Random, step: Step) -> dict[str, Any]:
    """Return inputs within their limits: what the example has, moved; what may be left out is left out now and then."""
    example = step.example_inputs()
    found: dict[str, Any] = {}
    for name, declared in step.inputs.items():
        if declared.optional and choose.random() < 0.3:
            continue
        is_a, own = declared.is_a, example.get(name)
        if isinstance(is_a, Quantity):
            found[name] = a_number(choose, is_a, own)
        elif isinstance(is_a, Choice):
            found[name] = choose.choice([option.value for option in is_a.options])
        elif isinstance(is_a, Table):
            found[name] = _rows(choose, is_a, own or ())
        elif isinstance(is_a, Text):
            found[name] = "a text"
    return found


def _rows(choose: random.Random, table: Table, rows: Any) -> tuple[Any, ...]:
    kept = [row for row in rows if choose.random() < 0.9]
    found = []
    for row in kept[: table.most]:
        cells = {}
        for name, declared in table.columns().items():
            own = getattr(row, name)
            if isinstance(declared.is_a, Quantity):
                gone = own is None or (declared.optional and choose.random() < 0.2)
                cells[name] = declared.default if gone else a_number(choose, declared.is_a, own)
            elif isinstance(declared.is_a, Choice):
                cells[name] = choose.choice([option.value for option in declared.is_a.options])
            else:
                cells[name] = own
        found.append(table.row(**cells))
    return tuple(found)


def doubts(choose: random.Random, step: Step, inputs: dict[str, Any]) -> dict[str, float]:
    """Return a plus-minus for some of the numbers."""
    return {
        name: a_plus_minus(choose, step.inputs[name].quantity, value)
        for name, value in inputs.items()
        if isinstance(step.inputs[name].is_a, Quantity) and isinstance(value, float) and choose.random() < 0.3
    }
