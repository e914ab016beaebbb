"""The same answers as plain text, 80 columns wide, for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from calc.quantity import EVERY_PLUS_MINUS, SHOP, Display, Quantity
from calc.step import Finding, Outcome, Step, all_steps
from calc.units import NO_BREAK

WIDTH = 80


def steps() -> str:
    """Return every step with its question."""
    lines = ["The steps, in the order of the job:", ""]
    for step in all_steps():
        lines += [f"{step.job:>4}  {step.name}", *wrapped(step.question, indent=6)]
    return "\n".join(lines) + "\n"


def outcome(step: Step, done: Outcome, display: Display = SHOP) -> str:
    """Return one step's results, findings and working."""
    lines = [step.title, ""]
    for name, declared in step.results.items():
        value = done.values.get(name)
        if isinstance(declared.is_a, Quantity) and value is not None:
            doubt = display.doubt(value, done.plus_minus.get(name, 0.0), declared.is_a, name)
            more = f" ± {doubt}" if doubt else ""
            lines.append(row(declared.is_a.label, display.text(value, declared.is_a, name) + more))
    if any(" ± " in line for line in lines):
        lines += ["", *wrapped(EVERY_PLUS_MINUS)]
    return "\n".join([*lines, "", *findings(done.findings)]) + "\n"


def row(label: str, value: str) -> str:
    """Return a label and a value on one line, the value at the right."""
    value = value.replace(NO_BREAK, " ")
    room = WIDTH - len(value) - 2
    return f"{label[:room]:<{room}}  {value}"


def findings(items: Iterable[Finding]) -> list[str]:
    """Return findings as wrapped lines: the state first."""
    lines: list[str] = []
    for item in items:
        lines += wrapped(f"{item.state}: {item.text}", hanging=4)
    return lines


def wrapped(text: str, indent: int = 0, hanging: int = 0) -> list[str]:
    """Return a text wrapped to the width."""
    return textwrap.wrap(
        text.replace(NO_BREAK, " "),
        WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + hanging),
        break_long_words=False,
    )
