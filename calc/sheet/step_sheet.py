"""The sheet of one step: form, results, findings, working and chart, and the smaller parts of its page."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from html import escape
from typing import Any

import numpy as np

from calc import alive, formula
from calc.errors import FieldError, HandbookError
from calc.quantity import (
    EVERY_PLUS_MINUS,
    METRIC,
    SHOP,
    Declared,
    Display,
    Quantity,
    Table,
)
from calc.sheet import form, markup
from calc.step import Attempt, Equation, Finding, Outcome, Source, Step, after_moves, attempt, find, run


def sheet(name: str) -> str:
    """Return a step's whole sheet with its example filled in. Raises UnknownNameError."""
    step = find(name)
    outcome = run(step, step.example_inputs())
    done = Attempt(outcome=outcome, errors=())
    regions = _regions(step, done, SHOP, {key: _untouched(step, key, outcome.values) for key in step.inputs})
    title = escape(step.title)
    working_open = (
        f'<details class="hb-open"><summary>Working</summary><div data-region="working">{regions["working"]}</div>'
        "</details>"
        if step.equations
        else ""
    )
    drawn = f'<div data-region="chart">{regions["chart"]}</div>' if step.chart else ""
    return (
        f'<div class="calc"><calc-form data-do="step" data-name="{escape(name)}">'
        f'<form class="hb-sheet" aria-label="{title}" novalidate>'
        f'<div class="hb-sheet__head"><p><strong>{title}</strong> <span class="hb-sheet__whose" data-region="whose">'
        f"{regions['whose']}</span></p>{markup.units_switch(SHOP)}</div>"
        f'<div class="hb-sheet__body"><div class="hb-enter">{_form(step, outcome)}'
        f'<p class="hb-note hb-also">{_also(step)}</p></div>'
        f'<div class="hb-says" aria-live="polite"><div data-region="results">{regions["results"]}</div>'
        f'<div data-region="findings">{regions["findings"]}</div></div></div>'
        f'<p class="hb-status" data-region="status" role="status"></p></form>{working_open}{drawn}</calc-form></div>'
    )


def _form(step: Step, outcome: Outcome) -> str:
    groups = dict(step.groups) or {"": tuple(step.inputs)}
    rest = tuple(name for name in step.inputs if not any(name in names for names in groups.values()))
    if rest:
        groups["Besides"] = rest
    return "".join(
        markup.group(legend, "".join(_field(step, step.inputs[name], outcome) for name in names))
        for legend, names in groups.items()
    )


def _field(step: Step, declared: Declared, outcome: Outcome) -> str:
    name, is_a, value = declared.name, declared.is_a, outcome.values.get(declared.name)
    if isinstance(is_a, Table):
        return form.table(name, is_a, form.row_texts(is_a, value or (), SHOP, name), SHOP, spare=2)
    text = form.text_of(value, declared, name, SHOP)
    if not isinstance(is_a, Quantity):
        return form.field(declared, text, SHOP, prefix=step.name)
    doubt = outcome.plus_minus.get(name)
    plus_minus = "" if doubt is None else SHOP.plus_minus(doubt, is_a, name).replace(",", "")
    came_from = _untouched(step, name, outcome.values)
    return form.field(declared, text, SHOP, prefix=step.name, plus_minus=plus_minus, came_from=came_from)


def _also(step: Step) -> str:
    """Say which inputs other steps give, so that a reader can go there."""
    from calc.step import all_steps

    others = [other for other in all_steps() if other.name != step.name]
    found = []
    for name, declared in step.inputs.items():
        makers = [other for other in others if name in other.results]
        if makers:
            links = " or ".join(f'<a href="{maker.name}.html">{escape(maker.title.lower())}</a>' for maker in makers)
            found.append(f"{escape(declared.is_a.label.lower())} from {links}")
    return f"Comes from other steps: {'; '.join(found)}." if found else ""


# --- the live answer -------------------------------------------------------------------------------------------------


# A page asks first for the answer, then for what shows how it came about: that takes longer and can wait.
ANSWER, REST = "answer", "rest"


def answer(
    name: str, fields: Mapping[str, str], typed: frozenset[str], display: Display, part: str = ""
) -> dict[str, Any]:
    """Return what the page shows for these entries: messages beside their fields, and the regions' HTML.

    With `part` ANSWER the working and the chart are left out, and `more` names them; REST gives only them.
    Never raises for what a reader typed. Raises UnknownNameError for a step that does not exist.
    """
    step = find(name)
    given = tuple(sorted(fields.items())), tuple(sorted(typed)), display.system, tuple(sorted(display.fields.items()))
    values, done, errors = _attempted(name, *given)
    done = replace(done, errors=tuple(error for error in errors if not error.field.endswith(".plus_minus")))
    if part == REST:
        return {"regions": _rest_regions(step, done, display), "problem": None}
    origins = {
        key: "measured" if _touched(key, typed) and values.get(key) is not None else _untouched(step, key, values)
        for key in step.inputs
    }
    first = part == ANSWER
    return {
        "fields": form.beside(step.inputs, errors, display, origins),
        "values": _fresh_doubts(step, done.outcome, typed, display),
        "regions": (_first_regions if first else _regions)(step, done, display, origins, _unread(step, errors, fields)),
        "problem": None,
        **({"more": _rest_names(step)} if first else {}),
    }


@lru_cache(maxsize=1)
def _attempted(
    name: str, fields: tuple[Any, ...], typed: tuple[str, ...], system: str, units_of: tuple[Any, ...]
) -> tuple[Mapping[str, Any], Attempt, tuple[FieldError, ...]]:
    """Read the fields and run the step, once for both parts of an answer."""
    step, display = find(name), Display(system, dict(units_of))
    own = {key: text for key, text in fields if not key.endswith(".plus_minus") or key in typed}
    read = form.read(step.inputs, own, display)
    errors = read.errors
    wrong = {error.field.partition(".")[0] for error in errors if not error.field.endswith(".plus_minus")}
    typed_wrong = frozenset(name for name in wrong if _anything(name, own))
    # What was typed and cannot be read is unknown: neither a default nor the rows that can be read stand in for it.
    values = {key: value for key, value in read.values.items() if key not in typed_wrong}
    done = attempt(step, values, read.plus_minus, display, typed_wrong)
    errors += [error for error in done.errors if not any(_same_place(error, other) for other in errors)]
    return {**values, **{key: done.outcome.values[key] for key in done.outcome.assumed}}, done, tuple(errors)


def _anything(name: str, fields: Mapping[str, str]) -> bool:
    """Tell whether anything is typed into a field, or into a cell of a table."""
    cells = (key for key in fields if key == name or key.startswith(f"{name}."))
    return any(fields[key].strip() for key in cells)


def _unread(step: Step, errors: Iterable[FieldError], fields: Mapping[str, str]) -> list[Finding]:
    """Return, for each field that was typed and cannot be read, a check that was not made."""
    found = []
    for error in errors:
        declared = step.inputs.get(error.field.partition(".")[0])
        if declared is not None:
            label = declared.is_a.label + (", plus or minus," if error.field.endswith(".plus_minus") else "")
            found.append(form.unread(error, fields.get(error.field, ""), label))
    return [item for item in found if item is not None]


def _same_place(error: FieldError, other: FieldError) -> bool:
    return error.field.partition(".")[0] == other.field.partition(".")[0]


def _untouched(step: Step, name: str, values: Mapping[str, Any]) -> str:
    """Where a value comes from that the reader has not typed: the example gives it, or it is a stated default."""
    if values.get(name) is None:
        return ""
    return "example" if name in step.example.inputs else "assumed"


def _touched(name: str, typed: frozenset[str]) -> bool:
    return any(item == name or item.startswith(f"{name}.") for item in typed)


def _fresh_doubts(step: Step, outcome: Outcome, typed: frozenset[str], display: Display) -> dict[str, str]:
    """The plus-minus of a field follows its value until the reader sets it."""
    return {
        f"{name}.plus_minus": display.plus_minus(outcome.plus_minus[name], declared.is_a, name).replace(",", "")
        for name, declared in step.inputs.items()
        if isinstance(declared.is_a, Quantity) and name in outcome.plus_minus and f"{name}.plus_minus" not in typed
    }


def _regions(
    step: Step, done: Attempt, display: Display, origins: Mapping[str, str], unread: Sequence[Finding] = ()
) -> dict[str, str]:
    return _first_regions(step, done, display, origins, unread) | _rest_regions(step, done, display)


def _first_regions(
    step: Step, done: Attempt, display: Display, origins: Mapping[str, str], unread: Sequence[Finding] = ()
) -> dict[str, str]:
    outcome = done.outcome
    return {
        "whose": _whose(step, origins),
        "results": _results(step, outcome, display) + _rests(step, outcome, origins),
        "findings": markup.findings([*unread, *outcome.findings]),
        "status": "",
    }


def _rest_names(step: Step) -> list[str]:
    return ["working", "chart"] if step.chart is not None else ["working"]


def _rest_regions(step: Step, done: Attempt, display: Display) -> dict[str, str]:
    regions = {"working": working_lines(step, done.outcome, display)}
    if step.chart is not None:
        regions["chart"] = _chart(step, done, display)
    return regions


def _whose(step: Step, origins: Mapping[str, str]) -> str:
    words = {word for word in origins.values() if word}
    if words <= {"example", "assumed"}:
        return f'<span class="hb-origin hb-origin--example">example</span> {escape(step.example.name)}'
    if "example" in words:
        return "your numbers, with the example's for the rest"
    return "your numbers"


def _results(step: Step, outcome: Outcome, display: Display) -> str:
    large, small = [], []
    for name, declared in step.results.items():
        value = outcome.values.get(name)
        if not isinstance(declared.is_a, Quantity):
            continue
        doubt = outcome.plus_minus.get(name, 0.0)
        if name in step.main_results:
            if value is None:
                large.append(f"<div><dt>{escape(declared.is_a.label)}</dt><dd><b>–</b></dd></div>")
            else:
                large.append(markup.result(declared.is_a, value, doubt, display, name))
        elif value is not None:
            printed = display.doubt(value, doubt, declared.is_a, name)
            small.append(markup.fact(declared.is_a.label, display.text(value, declared.is_a, name), printed))
    facts = f'<dl class="hb-facts">{"".join(small)}</dl>' if small else ""
    sure = f'<p class="hb-note">{EVERY_PLUS_MINUS}</p>' if any(outcome.plus_minus.values()) else ""
    return f'<dl class="hb-results">{"".join(large)}</dl>{facts}{sure}'


def _rests(step: Step, outcome: Outcome, origins: Mapping[str, str]) -> str:
    examples, assumed, measured = (
        sum(1 for word in origins.values() if word == kind) for kind in ("example", "assumed", "measured")
    )
    narrowest = _narrowest(step, outcome)
    counts = [
        f"{count} {word} value{'s' if count > 1 else ''}"
        for count, word in ((examples if measured else 0, "example"), (assumed, "assumed"))
        if count
    ]
    first = f"Rests on {' and '.join(counts)}. " if counts else ""
    return f'<p class="hb-rests">{first}{narrowest}</p>' if first or narrowest else ""


def _narrowest(step: Step, outcome: Outcome) -> str:
    """Name the one entry whose plus-minus makes most of the first result's."""
    target = step.main_results[0]
    base = outcome.values.get(target)
    if not isinstance(base, float) or not outcome.plus_minus.get(target):
        return ""
    worst, largest = "", 0.0
    inputs = {name: outcome.values[name] for name in step.inputs}
    doubted = [
        name
        for name, declared in step.inputs.items()
        if isinstance(declared.is_a, Quantity) and outcome.plus_minus.get(name) and isinstance(inputs[name], float)
    ]
    moves = [{**inputs, name: inputs[name] + outcome.plus_minus[name]} for name in doubted]
    for name, moved in zip(doubted, after_moves(step, moves), strict=True):
        change = abs(moved[target] - base) if moved and moved[target] is not None else 0.0
        if change > largest:
            worst, largest = step.inputs[name].is_a.label, change
    if not worst:
        return ""
    return f"Most of the ± comes from {escape(worst[:1].lower() + worst[1:])}: measure it first."


def _chart(step: Step, done: Attempt, display: Display) -> str:
    if step.chart is None or done.errors:
        return '<p class="hb-note">The chart comes back when every field can be read.</p>'
    # The first part of an answer needs no drawing.
    from calc.chart.page import figure, table

    try:
        drawn = step.chart(done.outcome.values, display)
        return figure(drawn) + table(drawn)
    except HandbookError as problem:
        # What cannot be drawn takes nothing else of the answer with it.
        return f'<p class="hb-note">There is no chart of these values: {escape(str(problem))}</p>'


# --- working -----------------------------------------------------------------------------------------------------------


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


# --- smaller parts of a page ---------------------------------------------------------------------------------------------


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
