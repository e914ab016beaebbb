"""Practice problems: a step's own function with other numbers, the same ones for every reader.

A problem is a possible one: no finding of its step is worse than in the worked example. And its answer tells right from
wrong: neither the example's own answer nor a known wrong way lies within the tolerance.
"""

from __future__ import annotations

import math
import re
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc import formula, units
from calc.errors import InputError, UnknownNameError
from calc.quantity import SHOP, Choice, Display, Quantity, Table
from calc.step import Outcome, Practice, Step, find, judge, values_of

_NAMED = re.compile(r"\{([\w.]+)\}")
_TRIES = 200
# So many of the tries look for a problem whose wrong answers are so far off that the usual tolerance does.
_TRIES_FOR_CLEAR = 10
# How far an answer may be off, as a share of it; and at most this share of the way to the nearest wrong answer.
_TOLERANCE = 0.01
_TOWARD_WRONG = 1 / 3
_WORSE = {"holds": 0, "close": 1, "not checked": 2, "fails": 3}


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One problem: its numbers are round in the units that it is printed in."""

    step: Step
    practice: Practice
    number: int
    outcome: Outcome
    display: Display
    tolerance: float

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
        return _NAMED.sub(lambda found: self._told(found[1]), self.practice.text)

    def _told(self, name: str) -> str:
        declared = self.step.inputs.get(name)
        if declared is not None and isinstance(declared.is_a, Choice):
            return str(self.outcome.values[name])
        value, quantity = _place(self.step, self.outcome.values, name)
        return self.display.plain(float(value), quantity, name)

    def right(self, given: float) -> bool:
        """Tell whether an answer agrees, within the problem's tolerance."""
        return abs(given - self.answer) <= self.tolerance


def problem(name: str, number: int = 1, display: Display = SHOP) -> Problem:
    """Return a step's problem with this number; equal numbers give equal problems.

    Raises UnknownNameError when the step does not exist or has no practice, and when its practice never comes out as
    a possible problem whose answer differs from the example's and from the wrong ones.

    >>> problem("rescaled_rate", 1).answer == problem("rescaled_rate", 1).answer
    True
    """
    step = find(name)
    if not step.practice:
        raise UnknownNameError(f"The step {name} has no practice problem.")
    practice = step.practice[(number - 1) % len(step.practice)]
    generator = np.random.default_rng([zlib.crc32(name.encode()), number])
    usual = step.example_inputs()
    given = {**usual, **dict(practice.instead)}
    example = _outcome(step, usual, display)
    for tries in range(_TRIES):
        try:
            outcome = _outcome(step, _varied(step, practice, given, generator, display), display)
        except InputError:
            continue  # a draw that contradicts itself: draw again
        answer = outcome.values.get(practice.asks)
        if not isinstance(answer, float) or not math.isfinite(answer) or _worse(outcome, example):
            continue
        tolerance = _tolerance(step, practice, outcome, example, display)
        if tolerance >= _TOLERANCE * abs(answer) or (tolerance > 0 and tries >= _TRIES_FOR_CLEAR):
            return Problem(
                step=step, practice=practice, number=number, outcome=outcome, display=display, tolerance=tolerance
            )
    raise UnknownNameError(
        f"No practice problem of {name} that asks for {practice.asks} comes out in {_TRIES} tries: with what it varies, a "
        "finding of the step is worse than in its example, or the answer is the example's, or one of its wrong ones. "
        "Vary what belongs together, or widen its spread."
    )


def _outcome(step: Step, inputs: Mapping[str, Any], display: Display) -> Outcome:
    """Run a step without plus-minus: a problem's numbers are exact, and its findings judge them so."""
    outcome = Outcome(step=step, values=values_of(step, inputs), plus_minus={}, findings=())
    return replace(outcome, findings=judge(outcome, display))


def _worse(outcome: Outcome, example: Outcome) -> bool:
    """Tell whether a finding is worse than the example's: such a problem would be of a thing that nobody builds."""
    usual = {finding.rule: finding.state for finding in example.findings}
    return any(_WORSE[finding.state] > _WORSE[usual.get(finding.rule, "holds")] for finding in outcome.findings)


def _tolerance(step: Step, practice: Practice, outcome: Outcome, example: Outcome, display: Display) -> float:
    """Return how far an answer may be off, or zero where print cannot tell a wrong answer from the right one.

    The answer as it is printed must be right, and a wrong one, as it is printed, wrong: so the nearest wrong answer lies
    one and a half printed digits off or more.
    """
    answer, unchanged = float(outcome.values[practice.asks]), float(example.values[practice.asks])
    wrong = [unchanged, *(float(formula.evaluate(text, outcome.values)) for text in practice.astray)]
    digit = _digit(step.quantity(practice.asks), practice.asks, display)
    nearest = min(abs(answer - other) for other in wrong)
    if nearest < 1.5 * digit:
        return 0.0
    return max(digit / 2, min(_TOLERANCE * abs(answer), _TOWARD_WRONG * nearest))


def _digit(quantity: Quantity, name: str, display: Display) -> float:
    """One of the last printed digit, in SI."""
    return float(display.unit(quantity, name).factor * 10.0 ** -display.decimals(quantity, name))


def _varied(
    step: Step, practice: Practice, example: Mapping[str, Any], generator: np.random.Generator, display: Display
) -> dict[str, Any]:
    inputs = dict(example)
    for name in practice.vary:
        value, quantity = _place(step, inputs, name)
        low, high = (round(100 * share) for share in practice.spread)
        factor = float(generator.integers(low, high + 1)) / 100
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
