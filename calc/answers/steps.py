"""A step as it is told in a terminal: its results and findings, and the list of all steps."""

from __future__ import annotations

from collections.abc import Iterator

from calc.answer import text
from calc.answer.parts import Fact, Facts, Listed, Paragraph, Part
from calc.quantity import EVERY_PLUS_MINUS, SHOP, Display, Quantity
from calc.step import Outcome, Step, all_steps


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
