"""A quote as it is told: a program gets `quote_data`, a person the verdicts, the questions for the shop and the caution."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from calc import units
from calc.answer import text
from calc.answer.parts import Listed, Paragraph, Part
from calc.cautions import caution
from calc.quantity import SHOP, Display
from calc.quote.entries import Quote
from calc.quote.lines import assumed, frequencies, judge, questions, tally, verdict_words
from calc.quote.printing import Line

# How a line begins on a terminal.
_MARKS = {"holds": "[holds]", "depends": "[ask]", "fails": "[FAILS]", "waits": "[waits]"}


def quote_data(quote: Quote) -> dict[str, Any]:
    """Return the whole answer as plain data, lengths and margins in SI."""
    lines = judge(quote)
    return {
        "name": quote.name,
        "lines": [
            {
                "axle": line.axle,
                "rule": line.rule,
                "title": line.title,
                "state": _state(line),
                "depends_on": list(line.depends_on),
                "text": line.text.replace(units.NO_BREAK, " "),
                "question": line.question.replace(units.NO_BREAK, " "),
                "margin": None if line.low is None else {"low": line.low, "high": line.high},
            }
            for line in lines
        ],
        "tally": {word: sum(_state(line) == word for line in lines) for word in _MARKS},
        "questions": [item.replace(units.NO_BREAK, " ") for item in questions(lines)],
        "assumed": assumed(quote).replace(units.NO_BREAK, " "),
        "frequencies": frequencies(quote).replace(units.NO_BREAK, " "),
    }


def _state(line: Line) -> str:
    return "waits" if line.waits else line.state


def quote_text(quote: Quote, display: Display = SHOP) -> str:
    """Return the whole answer for a terminal, 80 columns wide."""
    return text.written(quote_parts(quote, display), display)


def quote_parts(quote: Quote, display: Display) -> Iterator[Part]:
    """Yield how the quote stands: every line with its verdict, then what to send to the shop."""
    lines = judge(quote, display)
    if not lines:
        yield Paragraph(text="The quote file holds no entries, so there is nothing to judge.")
        return
    counts = ", ".join(f"{count} {word}" for count, word in tally(lines))
    yield Paragraph(text=f"{quote.name or 'Quote'}: {counts}")
    for line in lines:
        verdict = f"{_MARKS[_state(line)]} {line.title}. {verdict_words(line)}."
        yield Listed(title=verdict, lines=(line.text,))
    asked = tuple(f"{number}. {item}" for number, item in enumerate(questions(lines), 1))
    yield Listed(title="To send to the shop", lines=asked)
    yield Paragraph(text=frequencies(quote, display))
    yield Paragraph(text=assumed(quote, display))
    yield Listed(title="CAUTION", lines=(caution("driving", "ratings", "strength"),))
