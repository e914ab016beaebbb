"""A step as it is told in a terminal and to a program: its results and findings, what it takes, and the list of all steps."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from calc.answer import text
from calc.answer.parts import Fact, Facts, Listed, Paragraph, Part
from calc.quantity import EVERY_PLUS_MINUS, SHOP, Choice, Declared, Display, Quantity, Table
from calc.step import Finding, Outcome, Step, all_steps


def steps() -> str:
    """Return every step with its question."""
    told = (Listed(title=f"{step.job}  {step.name}", lines=(step.question,)) for step in all_steps())
    return text.written([Paragraph(text="The steps, in the order of the job:"), *told], SHOP)


def outcome(step: Step, done: Outcome, display: Display = SHOP) -> str:
    """Return one step's results and findings."""
    return text.written(outcome_parts(step, done), display)


def outcome_parts(step: Step, done: Outcome) -> Iterator[Part]:
    """Yield what a step comes to, and what was checked of it."""
    facts = tuple(
        Fact(key=name, label=of.label, value=value, of=of, plus_minus=done.plus_minus.get(name, 0.0))
        for name, declared in step.results.items()
        if isinstance(of := declared.is_a, Quantity) and (value := done.values.get(name)) is not None
    )
    yield Facts(title=step.title, facts=facts)
    if any(fact.plus_minus for fact in facts):
        yield Paragraph(text=EVERY_PLUS_MINUS)
    yield Listed(title="Checked", lines=tuple(f"{item.state}: {item.text}" for item in done.findings))


# --- for a program ----------------------------------------------------------------------------------------------------------


def describe(step: Step) -> dict[str, Any]:
    """Return what a program needs to know of a step: inputs, outputs, source."""
    return {
        "name": step.name,
        "title": step.title,
        "question": step.question,
        "job": step.job,
        "inputs": [_describe(item) for item in step.inputs.values()],
        "outputs": [_describe(item) for item in step.results.values()],
        "sources": [{"key": item.key, "where": item.where, "flag": item.flag} for item in step.sources],
    }


def _describe(declared: Declared) -> dict[str, Any]:
    is_a = declared.is_a
    common = {"name": declared.name, "label": is_a.label, "help": is_a.help, "required": not declared.optional}
    if isinstance(is_a, Quantity):
        return {
            **common,
            "kind": "number",
            "symbol": is_a.symbol,
            "dimension": dict(is_a.kind.dimension._asdict()),
            "unit": si_unit(is_a),
            "low": is_a.low,
            "high": is_a.high,
            "typical": is_a.typical,
            "assumed": is_a.assumed,
            "required": not declared.optional and is_a.assumed is None,
        }
    if isinstance(is_a, Choice):
        return {**common, "kind": "choice", "options": [option.value for option in is_a.options]}
    if isinstance(is_a, Table):
        return {**common, "kind": "table", "columns": [_describe(item) for item in is_a.columns().values()]}
    return {**common, "kind": "text", "longest": is_a.longest}


def si_unit(quantity: Quantity) -> str:
    """Return the coherent SI unit of a quantity.

    >>> from calc.vocabulary import spring_rate
    >>> si_unit(spring_rate)
    'N/m'
    """
    dimension = quantity.kind.dimension
    named = {
        (1, 1, -2, 0): "N",
        (1, 0, -2, 0): "N/m",
        (1, -1, -2, 0): "Pa",
        (1, 0, -1, 0): "N·s/m",
        (1, 2, -2, 0): "N·m",
        (0, 0, -1, 0): "Hz",
    }.get((dimension.kilogram, dimension.meter, dimension.second, dimension.kelvin))
    if named:
        return named
    if quantity.kind.name == "angle":
        return "rad"
    parts = [
        symbol if power == 1 else f"{symbol}^{power}"
        for symbol, power in zip(("kg", "m", "s", "K"), dimension, strict=True)
        if power
    ]
    return "·".join(parts) or "1"


def finding_answer(finding: Finding) -> dict[str, Any]:
    """Return a finding for a program."""
    return {
        "rule": finding.rule,
        "state": finding.state,
        "text": finding.text,
        "value": finding.value,
        "limit": finding.limit,
    }
