"""The reference pages that are made from the package: what is declared there stands nowhere twice."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterable, Mapping
from html import escape

from calc import tables
from calc.desk.places import ROOT
from calc.formula import symbol_mathml
from calc.quantity import Declared, Quantity, Table
from calc.step import Step, all_steps

STEPS = ROOT / "docs" / "steps"

FLAGS = {
    "read": "read",
    "secondary": "secondary",
    "memory": "from memory",
    "practice": "practice",
    "identity": "follows from a definition",
    "ours": "chosen here",
}


def nomenclature() -> str:
    """Return the table of every quantity that a step takes or gives, under its one name."""
    rows: dict[str, tuple[Quantity, list[Step]]] = {}
    for step in all_steps():
        for name, quantity in _quantities({**step.inputs, **step.results}):
            known = rows.setdefault(name, (quantity, []))
            if step not in known[1]:
                known[1].append(step)
    body = "".join(_quantity_row(name, *rows[name]) for name in sorted(rows, key=lambda name: _sorting(rows[name][0])))
    return _table(("Quantity", "Symbol", "Shop unit", "Metric unit", "In the steps"), body)


def _quantities(declared: Mapping[str, Declared]) -> Iterable[tuple[str, Quantity]]:
    for name, one in declared.items():
        if isinstance(one.is_a, Quantity):
            yield name, one.is_a
        elif isinstance(one.is_a, Table):
            yield from _quantities(one.is_a.columns())


def _sorting(quantity: Quantity) -> tuple[str, str]:
    return quantity.label.lower(), quantity.symbol


def _quantity_row(name: str, quantity: Quantity, steps: list[Step]) -> str:
    where = ", ".join(_step_link(step) for step in steps)
    shop, metric = (escape(unit.symbol) or "none" for unit in (quantity.kind.shop, quantity.kind.metric))
    return (
        f'<tr id="{name}"><th scope="row">{escape(quantity.label)}<small><code>{name}</code></small></th>'
        f'<td data-label="Symbol"><math>{symbol_mathml(quantity.symbol)}</math></td>'
        f'<td data-label="Shop unit">{shop}</td><td data-label="Metric unit">{metric}</td>'
        f'<td class="wide" data-label="In the steps">{where}</td></tr>'
    )


def _table(heads: Iterable[str], body: str) -> str:
    cells = "".join(f'<th scope="col">{head}</th>' for head in heads)
    return f'<table class="hb-table hb-table--fold"><thead><tr>{cells}</tr></thead><tbody>{body}</tbody></table>'


def _step_link(step: Step, anchor: str = "") -> str:
    title = escape(step.title)
    return f'<a href="../steps/{step.name}.html{anchor}">{title}</a>' if _has_page(step) else title


def with_page() -> tuple[Step, ...]:
    """Return the steps that have a page, in the order of the job."""
    return tuple(step for step in all_steps() if _has_page(step))


def _has_page(step: Step) -> bool:
    return (STEPS / f"{step.name}.md").is_file()


def terms() -> str:
    """Return the glossary: each word of ours, what it means, and the words that others use for it."""
    return _entries(_term(term) for term in tables.terms())


def _term(term: tables.Term) -> str:
    symbol = f" <math>{symbol_mathml(term.symbol)}</math>" if term.symbol else ""
    also = f" <small>Also called {escape(', '.join(term.also_called))}.</small>" if term.also_called else ""
    origin = f" <small>{escape(term.origin)}</small>" if term.origin else ""
    anchor = re.sub(r"[^a-z0-9]+", "-", term.term.lower()).strip("-")
    return f'<div id="{anchor}"><dt>{escape(term.term)}{symbol}</dt><dd>{escape(term.meaning)}{also}{origin}</dd></div>'


def _entries(entries: Iterable[str]) -> str:
    return f'<dl class="hb-terms">{"".join(entries)}</dl>'


def bibliography() -> str:
    """Return every source with how it was known, and the steps that cite it."""
    cited: dict[str, list[Step]] = {}
    for step in all_steps():
        for key in sorted({source.key for source in step.sources}):
            cited.setdefault(key, []).append(step)
    sources = sorted(tables.sources().values(), key=lambda source: (source.author or "~", source.title))
    return _entries(_source(source, cited.get(source.key, [])) for source in sources)


def _source(source: tables.Reference, steps: list[Step]) -> str:
    parts = (source.author, source.title, source.edition, source.publisher, source.year)
    head = ", ".join(str(part) for part in parts if part)
    known = "measured" if source.flag == "read" else "assumed"
    note = f" {escape(source.note)}" if source.note else ""
    used = f" <small>In {', '.join(_step_link(step) for step in steps)}.</small>" if steps else ""
    return (
        f'<div id="{source.key}"><dt>{escape(head)}</dt>'
        f'<dd><span class="hb-origin hb-origin--{known}">{FLAGS.get(source.flag, source.flag)}</span>{note}{used}</dd></div>'
    )


def functions() -> str:
    """Return every step's function with its signature in SI and what its documentation says."""
    return "".join(_function(step) for step in all_steps())


def _function(step: Step) -> str:
    inputs = "".join(f"\n    {line}" for line in _lines(step.inputs))
    results = "".join(f"\n    {line}" for line in _lines(step.results))
    title = f"{step.function.__module__}.{step.function.__name__}"
    return (
        f'<section class="hb-function" id="{step.name}"><h2>{escape(step.title)}</h2>'
        f'<p class="hb-note"><code>{title}</code>, step {escape(step.job)}, {_step_link(step) if _has_page(step) else "without a page"}</p>'
        f'<pre tabindex="0"><code>{escape(step.function.__name__)}({inputs}\n) gives{results}</code></pre>'
        f"{_documentation(inspect.getdoc(step.function) or '')}</section>"
    )


def _lines(declared: Mapping[str, Declared]) -> list[str]:
    lines = []
    for name, one in declared.items():
        kind = _si(one.is_a.kind.dimension) if isinstance(one.is_a, Quantity) else type(one.is_a).__name__.lower()
        lines.append(f"{name}: {kind}{', may be left out' if one.optional else ''}")
    return lines


def _si(dimension: Iterable[int]) -> str:
    parts = [
        symbol if power == 1 else f"{symbol}^{power}"
        for symbol, power in zip(("kg", "m", "s", "K"), dimension, strict=True)
        if power
    ]
    return " ".join(parts) or "1"


def _documentation(text: str) -> str:
    out: list[str] = []
    for block in re.split(r"\n\s*\n", text.strip()):
        if block.lstrip().startswith(">>>"):
            out.append(f'<pre tabindex="0"><code>{escape(block)}</code></pre>')
        else:
            out.append(f"<p>{escape(' '.join(block.split()))}</p>")
    return "".join(out)


def steps() -> str:
    """Return the steps that have a page, in the order of the job, each with its question."""
    return _step_list(with_page(), "{name}.html")


def practice() -> str:
    """Return the steps that have practice problems, in the order of the job, each leading to them."""
    return _step_list([step for step in with_page() if step.practice], "steps/{name}.html#practice")


def _step_list(listed: Iterable[Step], address: str) -> str:
    rows = "".join(
        f'<li><span class="no">{escape(step.job)}</span><a href="{address.format(name=step.name)}">{escape(step.title)}</a>'
        f"<span>{escape(step.question)}</span></li>"
        for step in listed
    )
    return f'<ol class="hb-steps">{rows}</ol>'
