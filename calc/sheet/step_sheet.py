"""The sheet of one step: form, results, findings, working and chart, and the smaller parts of its page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from html import escape
from typing import Any

from calc.errors import FieldError, HandbookError
from calc.quantity import (
    EVERY_PLUS_MINUS,
    SHOP,
    Declared,
    Display,
    Quantity,
    Table,
)
from calc.sheet import form, markup
from calc.step import Attempt, Finding, Outcome, Step, after_moves, attempt, find, run


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
    # The first part of an answer shows no line.
    from calc.sheet.step_working import working_lines

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
    first = f"Uses {' and '.join(counts)}. " if counts else ""
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
    return f"{escape(worst)} contributes most of the ±: improve it first."


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
