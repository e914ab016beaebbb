"""Two texts that the repository keeps, so that every change of them is read as a change.

The example rig's whole answer, and every limit that a step judges by with its source.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence

from calc.answer.text import WIDTH
from calc.answers.order import order_text
from calc.answers.quote import quote_text
from calc.answers.steps import outcome
from calc.desk import environment
from calc.desk.places import ROOT
from calc.quantity import SHOP
from calc.quote.file import example
from calc.rig.file import wren
from calc.step import Check, Step, all_steps, run
from calc.tables import assortment_springs

KEPT = ROOT / "tests" / "answers" / "wren-answers.txt"
LIMITS = ROOT / "tests" / "core" / "check-limits.txt"


def main(words: Sequence[str]) -> int:
    """Print the answers; with `--write` keep them; 2 for any other word."""
    if list(words) == ["--write"]:
        KEPT.write_text(text(), encoding="utf-8")
        LIMITS.write_text(limits(), encoding="utf-8")
        environment.say(f"The answers are in {KEPT.relative_to(ROOT)}, the limits in {LIMITS.relative_to(ROOT)}.")
        return 0
    if words:
        environment.say(f"“{' '.join(words)}” is not understood; there is only --write.")
        return 2
    sys.stdout.write(text())
    return 0


def text() -> str:
    """Return every step's example, the order of the example rig and the example quote, 80 columns wide."""
    parts = [
        f"{step.job}  {step.example.name}: {outcome(step, run(step, step.example_inputs()))}" for step in all_steps()
    ]
    parts.append(order_text(wren(), assortment_springs()))
    parts.append(quote_text(example()))
    rule = "\n" + "-" * WIDTH + "\n\n"
    return rule.join(part.rstrip("\n") + "\n" for part in parts)


def limits() -> str:
    """Return every check of every step: what it judges, by which limit, how, and who gives the number."""
    lines = [
        "Every limit that a step judges by, in SI and in shop units, with its source.",
        "A number that changes here changes what the handbook says: read the change.",
    ]
    for step in all_steps():
        if step.checks:
            lines += ["", f"{step.name}: {step.title}"]
        for check in step.checks:
            lines += [f"  {check.rule}", *(f"    {line}" for line in _limit_lines(step, check))]
    return "\n".join(lines) + "\n"


def _limit_lines(step: Step, check: Check) -> Iterator[str]:
    for words, limit in (("at least", check.at_least), ("at most", check.at_most)):
        if limit is not None:
            yield f"{check.value} is {words} {_limit(step, check, limit)}"
    if check.condition:
        yield check.condition
    if check.when:
        yield f"where {check.when}"
    worst = "a caution" if check.warns else "fails"
    yield f"beyond: {worst}" + (f"; close within {check.margin:.9g}" if check.margin else "")
    if check.source is not None:
        where = f", {check.source.where}" if check.source.where else ""
        yield f"source: {check.source.key}{where} ({check.source.flag})"


def _limit(step: Step, check: Check, limit: str | float) -> str:
    quantity = check.of or step.quantity(check.value)
    if isinstance(limit, str):
        default = step.inputs[limit].default if limit in step.inputs else None
        return limit if default is None else f"{limit}, assumed {default:.9g} ({SHOP.text(default, quantity)})"
    if check.times:
        return f"{limit:.9g} times {check.times}"
    return f"{limit:.9g} ({SHOP.text(limit, quantity)})"
