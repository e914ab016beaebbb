"""How sure the springs' choice is, on the rig page: worked out when asked, in slices, beneath the answer that stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from typing import Any

from calc import units, vocabulary
from calc.answers.sets import short_name
from calc.certainty.trials import RULES, SETS, AxleDoubt, SetDoubt
from calc.certainty.trials import Bar as Moved
from calc.chart import Bar, Bars
from calc.chart import page as charts
from calc.order.axle_order import AxleOrder
from calc.order.certainty import (
    Weakest,
    doubt_slices,
    narrow_line,
    percent,
    rule_line,
    rule_quantity,
    tie_line,
    weak_line,
    weakest,
)
from calc.order.order import Order
from calc.quantity import Display, Quantity
from calc.rig.entries import AXLES
from calc.sheet.rig.springs import tie_region
from calc.tables import Springs

REGION = "doubt"
_BARS = 8


def fold() -> str:
    """Return the folded place for it, with the button that has it worked out."""
    return (
        '<details class="hb-open"><summary>How sure is this choice?</summary>'
        '<p><button type="button" class="hb-button" data-long="doubt" data-while="Stop">Work it out</button></p>'
        f'<div data-region="{REGION}" aria-live="polite"></div></details>'
    )


def slices(made: Order, display: Display) -> Iterator[dict[str, Any]]:
    """Yield the progress of the draws, and the finished part of the page last."""
    for part in doubt_slices(made):
        if isinstance(part, tuple):
            done, total = part
            yield {"progress": {"done": done, "total": total, "text": ""}}
            continue
        items = {item.axle: item for item in made.axles}
        weak = {name: weakest(made, items[name], one) for name, one in part.items()}
        html = "".join(axle(one, weak[name], items[name], made, display) for name, one in part.items())
        none = '<p class="hb-note">No springs are chosen yet.</p>'
        ties = {name: text for one in part.values() for name, text in _ties(one, items[one.axle])}
        yield {"done": {"regions": {REGION: html or none, **ties}, "problem": None}}


def emptied() -> dict[str, str]:
    """Return the places of it without what was found: that held for what was entered then."""
    return {REGION: "", **{tie_region(axle_, place): "" for axle_ in AXLES for place in range(1, SETS)}}


def _ties(found: AxleDoubt, item: AxleOrder) -> Iterator[tuple[str, str]]:
    for place, one in enumerate(() if item.choice is None else item.choice.ranked[:SETS]):
        sure = found.of(one)
        if place and sure is not None:
            yield tie_region(found.axle, place), " As good as the first." if sure.tied else ""


def axle(found: AxleDoubt, weak: Weakest | None, item: AxleOrder, made: Order, display: Display) -> str:
    """Return one axle's chances, what to measure again, and what moves what is least certain, ride height and frequency."""
    rows = "".join(_row(one, made.springs, display) for one in found.sets)
    worst = "" if weak is None else f"<p>{escape(weak_line(weak, item, display))}</p>"
    heads = ("Works", "Best of these", "Least sure")
    head = "".join(f'<th scope="col"{" class=n" if name != "Least sure" else ""}>{name}</th>' for name in heads)
    measure = narrow_line(item, display)
    return (
        f"<h3>How sure, {found.axle}</h3><p>{escape(tie_line(found))}</p>{worst}"
        + (f"<p><strong>{escape(measure)}</strong></p>" if measure else "")
        + f'<table class="hb-table hb-table--fold"><thead><tr><th scope="col">Set</th>{head}</tr></thead>'
        f"<tbody>{rows}</tbody></table>"
        + "".join(charts.figure(drawn) + charts.table(drawn) for drawn in tornadoes(item, weak, display))
        + f'<p class="hb-note">{escape(rule_line(found))}</p>'
    )


def _row(one: SetDoubt, springs: Springs, display: Display) -> str:
    parts = ", ".join(springs.part[index] for index in one.chosen.springs())
    tied = f"<small>{escape(parts)}{'; as good as the first' if one.tied else ''}</small>"
    weak = one.least
    least = "–" if one.chances[weak] == 1.0 else f"{percent(one.chances[weak])}: {RULES[weak]}"
    return (
        f'<tr><th scope="row">{escape(short_name(one.chosen, springs, display))} {tied}</th>'
        f'<td class="n" data-label="Works">{percent(one.works)}</td>'
        f'<td class="n" data-label="Best of these">{percent(one.best)}</td>'
        f'<td data-label="Least sure">{escape(least)}</td></tr>'
    )


def tornadoes(item: AxleOrder, weak: Weakest | None, display: Display) -> Iterator[Bars]:
    """Yield what each number's plus-minus does to what is most in doubt, to ride height and to ride frequency."""
    if weak is not None:
        spare = f"to spare: {RULES[weak.rule]}"
        yield from _tornado(item, "doubt", spare, weak.spare, weak.bars, rule_quantity(weak.rule), display)
    if item.first is None or item.task is None:
        return
    judged, reference = item.first.judged, item.task.reference
    results: tuple[tuple[str, str, Any, Quantity], ...] = (
        ("height", "damper travel at ride", judged.travel[reference], vocabulary.length),
        ("frequency", "ride frequency", judged.frequency[reference], vocabulary.natural_frequency),
    )
    for key, name, values, quantity in results:
        yield from _tornado(item, key, name, float(values[0]), item.first.bars(values), quantity, display)


def _tornado(
    item: AxleOrder,
    key: str,
    name: str,
    value: float,
    bars: Sequence[Moved],
    quantity: Quantity,
    display: Display,
) -> Iterator[Bars]:
    if not bars:
        return
    unit = display.unit(quantity)
    yield Bars(
        key=f"sure-{item.axle}-{key}",
        title=f"{item.axle.capitalize()}: what moves the {name} most"
        if key != "doubt"
        else f"{item.axle.capitalize()}: what moves what is least certain",
        description=f"Each number at the ends of its own plus-minus, the others as they are; first "
        f"{bars[0].source.label}.",
        x_label=name.capitalize(),
        x_unit=unit.symbol,
        center=units.from_si(value, unit),
        decimals=display.decimals(quantity) + (1 if quantity is vocabulary.natural_frequency else 0),
        bars=tuple(
            Bar(bar.source.label, units.from_si(bar.low, unit), units.from_si(bar.high, unit)) for bar in bars[:_BARS]
        ),
        note="Springs’ rates and lengths are as listed; the others can be measured again before ordering.",
    )
