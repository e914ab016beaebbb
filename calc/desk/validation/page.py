"""The reader's page: every printed answer beside ours, worked out again whenever the site is built."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from calc import tables, units
from calc.desk.reference import FLAGS
from calc.desk.validation.rows import Answers, Printed, Row, all_rows
from calc.desk.validation.working import WORK, work
from calc.quantity import join_unit
from calc.step import all_steps

IDENTITY = "identity"
_HEADS = ("Quantity", "Printed", "Ours", "Difference")


def validation() -> str:
    """Return the tables: what was published, step by step in the order of the job, and then what is only an identity."""
    rows = [row for row in all_rows() if row.name in WORK]
    published = [row for row in rows if row.flag != IDENTITY]
    sections = [_section("units", "Units", _of_step(published, "units"))]
    for step in all_steps():
        own = _of_step(published, step.name)
        if own:
            sections.append(_section(step.name, f'<a href="../steps/{step.name}.html">{escape(step.title)}</a>', own))
    identities = _section(
        "identities",
        "Identities",
        [row for row in rows if row.flag == IDENTITY],
        "Laws and definitions without a printed answer. The tests assert them; they are not counted above.",
    )
    return _summary(published) + "".join(sections) + identities


def _of_step(rows: Iterable[Row], step: str) -> list[Row]:
    return [row for row in rows if row.step == step]


def _summary(rows: list[Row]) -> str:
    """The count of printed answers, by how each was known."""
    answers = sum(len(row.expected) for row in rows)
    sources = {row.source for row in rows}
    counted = ", ".join(
        f"{sum(len(row.expected) for row in rows if row.flag == flag)} {FLAGS[flag]}"
        for flag in ("read", "secondary", "memory")
    )
    return (
        f"<p><strong>{answers} printed answers from {len(sources)} sources</strong>, by how they were known: {counted}. "
        "Each is reproduced to half a unit of its last printed digit; where more is allowed, the row says why.</p>"
    )


def _section(key: str, title: str, rows: list[Row], note: str = "") -> str:
    heads = "".join(f'<th scope="col"{_right(head)}>{head}</th>' for head in _HEADS)
    told = f"<p>{escape(note)}</p>" if note else ""
    groups = "".join(_group(row) for row in rows)
    return (
        f'<h2 id="{key}">{title}</h2>{told}'
        f'<table class="hb-table hb-table--fold"><thead><tr>{heads}</tr></thead>{groups}</table>'
    )


def _right(head: str) -> str:
    return ' class="n"' if head != _HEADS[0] else ""


def _group(row: Row) -> str:
    """One check: what it is and where it was printed, and its answers; several have a line each."""
    answers = work(row)
    source = tables.sources()[row.source]
    known = "measured" if row.flag == "read" else "assumed"
    head = (
        f'{escape(_sentence(row.quantity))}<small><span class="hb-origin hb-origin--{known}">{FLAGS[row.flag]}</span> '
        f'<a href="sources.html#{source.key}">{escape(_sentence(row.citation))}</a></small>'
        + "".join(f"<small>{escape(text)}.</small>" for text in _remarks(row))
    )
    if len(row.expected) == 1:
        lines = f'<tr><th scope="row">{head}</th>{_cells(row.expected[0], answers)}</tr>'
    else:
        lines = f'<tr><th colspan="{len(_HEADS)}" scope="rowgroup">{head}</th></tr>' + "".join(
            f'<tr><td class="wide">{escape(_sentence(printed.quantity))}</td>{_cells(printed, answers)}</tr>'
            for printed in row.expected
        )
    return f'<tbody id="{row.name}">{lines}</tbody>'


def _remarks(row: Row) -> Iterable[str]:
    """What goes in, what is to be known about it, and why an answer may be further off than half of its last digit."""
    if tuple(row.inputs) not in ((), ("value",)):
        yield "Given: " + ", ".join(
            f"{name.replace('_', ' ').replace('youngs', 'Young’s')} {_spaced(value)}"
            for name, value in row.inputs.items()
        )
    if row.note:
        yield _sentence(row.note)
    for reason in dict.fromkeys(printed.because for printed in row.expected if printed.because):
        names = [printed.quantity for printed in row.expected if printed.because == reason]
        if reason not in row.note:
            yield (
                _sentence(reason) if len(names) == len(row.expected) else f"{_sentence(' and '.join(names))}: {reason}"
            )


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _spaced(value: str) -> str:
    """Keep a number and its unit on one line."""
    return value.replace(" ", units.NO_BREAK) if len(value) < 20 else value


def _cells(printed: Printed, answers: Answers) -> str:
    found = printed.found(answers)
    texts = (_as_printed(printed), _ours(printed, found), _difference(printed, found))
    return "".join(
        f'<td class="n" data-label="{head}">{escape(text)}</td>' for head, text in zip(_HEADS[1:], texts, strict=True)
    )


def _as_printed(printed: Printed) -> str:
    """The printed number, with the tolerance where it is not half a unit of the last digit."""
    number = printed.text if "/" in printed.text else units.format_number(printed.value, printed.decimals)
    # Equal but for the last bits: the remark says so, and a number would say less.
    allowed = f" ± {printed.tolerance:g}" if printed.because and printed.tolerance > 1e-6 else ""
    return join_unit(number + allowed, printed.unit)


def _ours(printed: Printed, found: float) -> str:
    """Our number with two digits more than are printed."""
    more = 4 if "/" in printed.text or (printed.value == 0 and printed.because) else printed.decimals + 2
    return join_unit(units.format_number(found, more), printed.unit)


def _difference(printed: Printed, found: float) -> str:
    """How far ours is from what is printed: in percent of it, or as it is where that is zero."""
    off = found - printed.value
    if abs(off) <= 1e-12 * max(1.0, abs(printed.value)):
        return "none"
    sign = "+" if off > 0 else units.MINUS
    if printed.value == 0:
        return join_unit(sign + units.format_number(abs(off), 4), printed.unit)
    percent = 100 * abs(off / printed.value)
    told = sign + units.format_number(percent, 3) if percent >= 0.0005 else f"below{units.NO_BREAK}0.001"
    return join_unit(told, "%")
