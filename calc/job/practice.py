"""Practice problems: a step's own function with other numbers, the same ones for every reader."""

from __future__ import annotations

import math
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc import units
from calc.errors import InputError, UnknownNameError
from calc.quantity import SHOP, Display, Quantity, Table
from calc.step import Outcome, Practice, Step, find, run

_TRIES = 200


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One problem: its numbers are round in the units that it is printed in."""

    step: Step
    practice: Practice
    number: int
    outcome: Outcome
    display: Display

    @property
    def asked(self) -> Quantity:
        """The quantity that is asked for."""
        return self.step.quantity(self.practice.asks)

    @property
    def answer(self) -> float:
        """The answer in SI."""
        return float(self.outcome.values[self.practice.asks])

    def text(self) -> str:
        """Return the problem's text with its numbers."""
        text = self.practice.text
        for name in (*self.step.inputs, *self.practice.vary):
            if "{" + name + "}" in text:
                value, quantity = _place(self.step, self.outcome.values, name)
                if isinstance(value, float):
                    text = text.replace("{" + name + "}", self.display.plain(value, quantity, name))
        return text

    def right(self, given: float) -> bool:
        """Tell whether an answer agrees: within 1 percent, or within the last printed digit."""
        unit = self.display.unit(self.asked, self.practice.asks)
        digit = unit.factor * 10.0 ** -self.display.decimals(self.asked, self.practice.asks)
        return abs(given - self.answer) <= max(0.01 * abs(self.answer), digit)


def problem(name: str, number: int = 1, display: Display = SHOP) -> Problem:
    """Return a step's problem with this number; equal numbers give equal problems.

    Raises UnknownNameError when the step does not exist or has no practice.

    >>> problem("rescaled_rate", 1).answer == problem("rescaled_rate", 1).answer
    True
    """
    step = find(name)
    if not step.practice:
        raise UnknownNameError(f"The step {name} has no practice problem.")
    practice = step.practice[(number - 1) % len(step.practice)]
    generator = np.random.default_rng([zlib.crc32(name.encode()), number])
    example = step.example_inputs()
    for _ in range(_TRIES):
        inputs = _varied(step, practice, example, generator, display)
        try:
            outcome = run(step, inputs, display=display)
        except InputError:
            continue  # a draw that contradicts itself: draw again
        value = outcome.values.get(practice.asks)
        if isinstance(value, float) and math.isfinite(value):
            return Problem(step=step, practice=practice, number=number, outcome=outcome, display=display)
    raise UnknownNameError(f"No practice problem of {name} works with the numbers it varies.")


def _varied(
    step: Step, practice: Practice, example: Mapping[str, Any], generator: np.random.Generator, display: Display
) -> dict[str, Any]:
    inputs = dict(example)
    for name in practice.vary:
        value, quantity = _place(step, inputs, name)
        factor = float(generator.integers(75, 131)) / 100
        varied = _round_in_print(float(value) * factor, quantity, name, display)
        table, _, cell = name.partition(".")
        if cell:
            index, _, column = cell.partition(".")
            rows = list(inputs[table])
            rows[int(index)] = replace(rows[int(index)], **{column: varied})
            inputs[table] = tuple(rows)
        else:
            inputs[name] = varied
    return inputs


def _place(step: Step, values: Mapping[str, Any], name: str) -> tuple[Any, Quantity]:
    """Return the value and the quantity of an input, or of a cell of a table such as `items.0.mass`."""
    table, _, cell = name.partition(".")
    if not cell:
        return values.get(name), step.quantity(name)
    index, _, column = cell.partition(".")
    declared = step.inputs[table].is_a
    if not isinstance(declared, Table):
        raise UnknownNameError(f"The step {step.name} has no table {table!r}.")
    return getattr(values[table][int(index)], column), declared.columns()[column].quantity


def _round_in_print(value: float, quantity: Quantity, name: str, display: Display) -> float:
    """Round to a number that a problem would print: two or three figures, in steps of 1, 2.5 or 5."""
    unit = display.unit(quantity, name)
    number = units.from_si(value, unit)
    if number == 0:
        return value
    step = 10.0 ** (math.floor(math.log10(abs(number))) - 1) / 2
    places = max(0, -math.floor(math.log10(step)) + 1)
    places = min(places, display.decimals(quantity, name))
    return units.to_si(round(round(number / step) * step, places), unit)
