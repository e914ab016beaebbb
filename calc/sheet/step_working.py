"""The working of a step line by line, in symbols and in numbers, its equations, and where they come from."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from html import escape
from typing import Any

import numpy as np

from calc import alive, formula
from calc.errors import HandbookError
from calc.quantity import METRIC, SHOP, Display
from calc.step import Equation, Outcome, Source, Step, find, run


def working(name: str) -> str:
    """Return the working of a step's example, every number shown, in both unit systems; the style sheet shows one."""
    step = find(name)
    outcome = run(step, step.example_inputs())
    shop, metric = (working_lines(step, outcome, display) for display in (SHOP, METRIC))
    return shop if shop == metric else f'<div class="hb-shop">{shop}</div><div class="hb-metric">{metric}</div>'


def working_lines(step: Step, outcome: Outcome, display: Display) -> str:
    """Return one row for each equation that applies: name, symbols, numbers, answer."""
    alive.beat()
    with _strictly():
        applying, values = _applying(step, outcome)
        lines = [_line(step, equation, values, display) for equation in applying]
    if not lines:
        return ""
    told = dict.fromkeys(one for _, factors in lines for one in factors)
    factors = f"In the lines: {'; '.join(map(escape, told))}. " if told else ""
    return (
        f'<dl class="hb-working">{"".join(line for line, _ in lines)}</dl><p class="hb-note">{factors}'
        f"Computed unrounded, shown rounded. Source: {sources_text(step.sources)}.</p>"
    )


def _strictly() -> np.errstate:
    """What divides by nothing is left out, like what was refused: neither a reader nor a program gets such a number."""
    return np.errstate(divide="raise", over="raise", invalid="raise")


def _applying(step: Step, outcome: Outcome) -> tuple[list[Equation], dict[str, Any]]:
    """Return the equations that apply, and all values, those of the names on the way among them."""
    values = dict(outcome.values)
    found = []
    for equation in step.equations:
        needed = (*formula.names(equation.text), *(formula.names(equation.when) if equation.when else ()))
        if any(values.get(name) is None for name in needed):
            continue
        try:
            if equation.when and not formula.evaluate(equation.when, values):
                continue
            if values.get(equation.result) is None:
                values[equation.result] = float(formula.evaluate(equation.text, values))
        except (HandbookError, ArithmeticError):
            continue  # the step has refused these values already, and told why beside the field
        found.append(equation)
    return found, values


def _line(step: Step, equation: Equation, values: Mapping[str, Any], display: Display) -> tuple[str, tuple[str, ...]]:
    """Return a line of the working, and what is to be said of the factors in it."""
    # The first part of an answer shows no line.
    from calc.sheet.worked import worked

    alive.beat()
    quantity = step.quantity(equation.result)
    symbols = tuple(step.quantity(name).symbol for name in _names(equation))
    note = f"<small>{escape(equation.note)}</small>" if equation.note else ""
    answer = display.text(float(values[equation.result]), quantity, equation.result)
    numbers = worked(step, equation, values, display, answer)
    line = (
        f"<div><dt>{escape(quantity.label)}{note}</dt><dd>"
        f"{_in_symbols(equation.text, quantity.symbol, symbols)}"
        f"{_math_line('<mo>=</mo>' + numbers.mathml)}"
        f'<p class="ans">{escape(answer)}</p></dd></div>'
    )
    return line, numbers.told


@lru_cache(maxsize=1024)
def _in_symbols(text: str, result: str, symbols: tuple[str, ...]) -> str:
    """Return the line that an equation is in symbols: no number changes it."""
    named = zip(formula.names(text), symbols, strict=True)
    shown = {name: formula.Printed(formula.symbol_mathml(symbol)) for name, symbol in named}
    return _math_line(f"{formula.symbol_mathml(result)}<mo>=</mo>{formula.mathml(text, shown)}")


# So many signs of an equation fit beside its name on the widest page; no browser breaks an equation into lines.
_FITTING = 60
_TAG = re.compile(r"<[^>]*>")


def _math_line(inner: str) -> str:
    """Return one side of a worked line; what may be wider than the page scrolls, by the keyboard too."""
    wide = len(inner) > _FITTING and len(_TAG.sub("", inner)) > _FITTING
    scrolls = ' class="hb-scrolls" tabindex="0"' if wide else ""
    return f"<p{scrolls}>{_math(inner)}</p>"


def _math(inner: str) -> str:
    return f'<math display="block"><mrow>{inner}</mrow></math>'


def _names(equation: Equation) -> tuple[str, ...]:
    return formula.names(equation.text)


def equation(name: str) -> str:
    """Return a step's equations in symbols, with what each symbol means: first those that the example uses."""
    step = find(name)
    used, _ = _applying(step, run(step, step.example_inputs()))
    others = [item for item in step.equations if item not in used]
    rest = (
        f'<details class="hb-open"><summary>In other cases</summary>{_equation_lines(step, others)}</details>'
        if others
        else ""
    )
    return f'<div class="hb-equations">{_equation_lines(step, used)}</div>{rest}'


def _equation_lines(step: Step, equations: Sequence[Equation]) -> str:
    lines, used = [], {}
    for item in equations:
        symbols = {key: formula.Printed(formula.symbol_mathml(step.quantity(key).symbol)) for key in _names(item)}
        left = formula.symbol_mathml(step.quantity(item.result).symbol)
        note = f' <span class="hb-note">{escape(item.note)}</span>' if item.note else ""
        lines.append(f"<p>{_math(left + '<mo>=</mo>' + formula.mathml(item.text, symbols))}{note}</p>")
        used.update(dict.fromkeys((item.result, *_names(item))))
    meanings = "".join(
        f"<div><dt><math>{formula.symbol_mathml(step.quantity(key).symbol)}</math></dt>"
        f"<dd>{escape(step.quantity(key).label)}</dd></div>"
        for key in used
    )
    return f'{"".join(lines)}<dl class="hb-symbols">{meanings}</dl>'


_FLAGS = {
    "read": "",
    "secondary": "as quoted by another source",
    "memory": "from memory",
    "practice": "common practice, no source",
    "derivation": "worked out on this page",
}


def sources_text(items: tuple[Source, ...]) -> str:
    """Return the sources as escaped text, each with how it was read."""
    return "; ".join(escape(_source_text(item)) for item in items)


def _source_text(source: Source) -> str:
    if source.flag == "practice":
        return _FLAGS["practice"]
    if source.flag == "derivation":
        return source.where or _FLAGS["derivation"]
    # Only the build tells sources.
    from calc import tables

    known = tables.sources()[source.key]
    parts = [known.author, known.title, str(known.year or ""), source.where]
    text = ", ".join(part for part in parts if part)
    return f"{text} ({_FLAGS[source.flag]})" if _FLAGS[source.flag] else text


def working_texts(step: Step, outcome: Outcome) -> list[dict[str, str]]:
    """Return the working for a program: each line's result, equation text and printed answer."""
    with _strictly():
        applying, values = _applying(step, outcome)
        return [
            {
                "result": item.result,
                "equation": f"{item.result} = {item.text}",
                "note": item.note,
                "answer": SHOP.text(float(values[item.result]), step.quantity(item.result), item.result),
            }
            for item in applying
        ]
