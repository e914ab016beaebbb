"""The rig at rest on the rig page: one short table for each load case, turns and leveling folded, what dropped and why."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from html import escape

from calc.answer.parts import Grid
from calc.answers.rest import (
    HUB_NOTE,
    case_line,
    case_table,
    cross_note,
    level_table,
    old_finding,
    turn_tables,
)
from calc.answers.sets import short_name
from calc.errors import Needs
from calc.order.axle_order import AxleOrder
from calc.order.findings import count
from calc.order.order import Order
from calc.quantity import Display
from calc.rig import axle as axles
from calc.sheet import markup
from calc.sheet.answer import table as markup_table
from calc.step import Finding
from calc.whole.at_rest import AtRest
from calc.whole.on_chosen_springs import Standing

_MOST_DROPPED = 3


def body(made: Order, display: Display, told: Callable[[Iterable[Finding]], str]) -> str:
    """Return the end of the springs section: the whole rig on its chosen springs; nothing while neither axle has a set."""
    if not any(item.chosen is not None for item in made.axles):
        return ""
    solved = "".join(_resolved(item, made, display) for item in made.axles)
    head = "<h3>The whole rig at rest</h3>"
    checked = told(made.rests)
    if made.standing is None:
        return head + solved + checked
    found = made.standing
    case = found.rest.cases[found.reference]
    table = case_table(case, display)
    first = markup_table(table) if table is not None else f"<p>{escape(case.label)}: {escape(case_line(case))}</p>"
    others = "".join(_folded(found.rest, index, display) for index in _others(found))
    return (
        f"{head}{solved}{first}{_note(found.rest)}{others}"
        f"{_details('What one turn does', turn_tables(found, display))}{_leveling(found)}{checked}"
    )


def _others(found: Standing) -> Iterable[int]:
    return (index for index in range(len(found.rest.cases)) if index != found.reference)


def _note(rest: AtRest) -> str:
    assumed = f" Assumed: {'; '.join(rest.assumed)}." if rest.assumed else ""
    return f'<p class="hb-note">{escape(HUB_NOTE + assumed)}</p>'


def _resolved(item: AxleOrder, made: Order, display: Display) -> str:
    """Say what solving again did to an axle's ranked sets, and name the first that dropped."""
    if item.resolved is None or not item.resolved.solved:
        return ""
    said = f"<p><strong>{item.axle.capitalize()}.</strong> {escape(item.resolved.said(display))}</p>"
    dropped = item.resolved.dropped
    if not dropped:
        return said
    rows = [
        f"<li>{markup.mark('fails')}<span>{markup.word('fails')} <strong>"
        f"{escape(short_name(one, made.springs, display))}.</strong> "
        f"{escape(' '.join(each.text(display) for each in wrong))}</span></li>"
        for one, wrong in dropped
    ]
    more = rows[_MOST_DROPPED:]
    rest = (
        f'<details class="hb-open"><summary>{count(len(more), "set")} more that dropped</summary>'
        f'<ul class="hb-findings">{"".join(more)}</ul></details>'
        if more
        else ""
    )
    return f'{said}<ul class="hb-findings">{"".join(rows[:_MOST_DROPPED])}</ul>{rest}'


def _folded(rest: AtRest, index: int, display: Display) -> str:
    case = rest.cases[index]
    table = case_table(case, display)
    inner = markup_table(replace(table, caption="")) if table is not None else ""
    summary = f"{escape(case.label)}: {escape(case_line(case))}"
    return f'<details class="hb-open"><summary>{summary}</summary>{inner}</details>' if inner else f"<p>{summary}</p>"


def _details(title: str, tables: Iterable[Grid]) -> str:
    inner = "".join(markup_table(one) for one in tables)
    return f'<details class="hb-open"><summary>{title}</summary>{inner}</details>' if inner else ""


def _leveling(found: Standing) -> str:
    table = level_table(found)
    return "" if table is None else _details("To level it, or to even its cross weight", (table,))


# --- the old springs --------------------------------------------------------------------------------------------------------------


def old_springs(made: Order, display: Display) -> tuple[str, tuple[Finding, ...]]:
    """Return how the rig, as it weighs now, stands on its old springs: the tables, and what is said of it.

    Nothing while no old spring is entered.
    """
    if all(made.rig.get(f"{item.axle}.old_main_rate") is None for item in made.axles):
        return "", ()
    rest = made.old
    if rest is None:
        text = f"How it sits on its old springs as it weighs now: {_wanting(made.old_needs or Needs())}"
        return "", (Finding(rule="old springs", state="not checked", text=text),)
    tables = "".join(_folded(rest, index, display) for index in range(len(rest.cases)))
    cross = cross_note(made.rig, rest)
    tables += f'<p class="hb-note">{escape(cross)}</p>' if cross else ""
    return f"<h3>On its old springs, as it weighs now</h3>{tables}{_note(rest)}", (old_finding(rest, display),)


def _wanting(rest: Needs) -> str:
    if rest.sentences:
        return rest.sentences[0]
    names = [axles.label(key) for key in rest.keys]
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return f"needs {', '.join(names[:3])}{more}."
