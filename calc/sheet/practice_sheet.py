"""A practice problem on a page: the reader answers, the page checks and shows the working."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

from calc.practice import Problem, problem
from calc.quantity import SHOP, Declared, Display
from calc.sheet import form, markup, step_working

_MOST = 999


def practice(name: str) -> str:
    """Return a step's first practice problem. Raises UnknownNameError."""
    item = problem(name)
    entry = form.field(_entries(item)["answer"], "", SHOP, prefix=f"practice-{name}")
    return (
        f'<div class="calc"><calc-form data-do="practice" data-name="{escape(name)}">'
        f'<form class="hb-practice" aria-label="Practice" novalidate><div data-region="problem">{_text(item)}</div>'
        f'<input type="hidden" name="number" value="1">'
        f'<div class="hb-practice__answer">{entry}</div><div data-region="verdict" aria-live="polite"></div>'
        '<p class="hb-practice__more"><button type="submit" class="hb-more">Check</button> '
        '<button type="button" class="hb-more" data-next="number">Another problem</button></p>'
        f'</form><details class="hb-open"><summary>Working</summary><div data-region="working">{_working(item)}</div>'
        "</details></calc-form></div>"
    )


def answer(name: str, fields: Mapping[str, str], display: Display, following: bool) -> dict[str, Any]:
    """Return the verdict on a reader's answer, or the next problem. Never raises for what was typed."""
    number = _number(fields.get("number", "1"))
    if following:
        number = number % _MOST + 1
    item = problem(name, number, display)
    entries = _entries(item)
    read = form.read(entries, {} if following else fields, display)
    given = read.values.get("answer")
    values = {"number": str(number), **({"answer": ""} if following else {})}
    return {
        "fields": form.beside(entries, read.errors, display),
        "values": values,
        "regions": {
            "problem": _text(item),
            "verdict": "" if given is None else _verdict(item, given, display),
            "working": _working(item),
        },
        "problem": None,
    }


def _entries(item: Problem) -> Mapping[str, Declared]:
    asked = item.asked.called("Your answer", usual=None)
    return {"answer": Declared(name="answer", is_a=asked, optional=True)}


def _number(text: str) -> int:
    return min(int(text), _MOST) if text.isdigit() and len(text) <= 3 and int(text) >= 1 else 1


def _text(item: Problem) -> str:
    return f"<p>{escape(item.text())}</p>"


def _working(item: Problem) -> str:
    return step_working.working_lines(item.step, item.outcome, item.display)


def _verdict(item: Problem, given: float, display: Display) -> str:
    shown = display.text(item.answer, item.asked, "answer")
    if item.right(given):
        return f'<p>{markup.mark("holds")} <span class="hb-word">right</span> {escape(shown)}.</p>'
    return (
        f'<p>{markup.mark("fails")} <span class="hb-word">not yet</span> '
        "Check the units, then open the working to see each line.</p>"
    )
