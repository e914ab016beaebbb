"""The example rig's whole answer as text, kept in the repository so that every change of an answer is read as a change."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from calc.desk import environment
from calc.desk.places import ROOT
from calc.job import order, quote
from calc.job.rig import wren
from calc.sheet import plain
from calc.step import all_steps, run
from calc.tables import assortment_springs

KEPT = ROOT / "tests" / "job" / "wren-answers.txt"


def main(words: Sequence[str]) -> int:
    """Print the answers; with `--write` keep them; 2 for any other word."""
    if list(words) == ["--write"]:
        KEPT.write_text(text(), encoding="utf-8")
        environment.say(f"The answers are in {KEPT.relative_to(ROOT)}.")
        return 0
    if words:
        environment.say(f"“{' '.join(words)}” is not understood; there is only --write.")
        return 2
    sys.stdout.write(text())
    return 0


def text() -> str:
    """Return every step's example, the order of the example rig and the example quote, 80 columns wide."""
    parts = [
        f"{step.job}  {step.example.name}: {plain.outcome(step, run(step, step.example_inputs()))}"
        for step in all_steps()
    ]
    parts.append(order.order_text(wren(), assortment_springs()))
    parts.append(quote.quote_text(quote.example()))
    rule = "\n" + "-" * plain.WIDTH + "\n\n"
    return rule.join(part.rstrip("\n") + "\n" for part in parts)
