"""What the best sets of an axle trade: a table and a chart of frequency, spare travel and price, painted on demand."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from calc import units, vocabulary
from calc.answer.parts import NONE
from calc.chart import Chart, Dot, Panel
from calc.chart import page as charts
from calc.order.axle_order import AxleOrder
from calc.order.choice_words import best_of_each, off_height, trade_line
from calc.quantity import Display
from calc.search.problem import SpringSet, Trade
from calc.sheet.answer import NUMBER, WIDE, rows_table

_LENGTH, _FREQUENCY = vocabulary.length, vocabulary.natural_frequency
_SHOWN = 24


def fold(item: AxleOrder, display: Display, name: Callable[[int, SpringSet], str], key: str) -> str:
    """Return the sets that none beats, folded up; nothing where none works. `name` says the set at a place, in markup."""
    choice = item.choice
    if choice is None or not choice.trades:
        return ""
    shown = _thinned(choice.trades)
    ends = {id(one): words for words, one in best_of_each(choice.trades)}
    priced = any(one.price is not None for one in shown)
    rows = [
        _row(name(place, one.chosen), one, ends.get(id(one), ""), display, priced=priced)
        for place, one in enumerate(shown)
    ]
    frequency, length = display.unit(_FREQUENCY).symbol, display.unit(_LENGTH).symbol
    heads = (f"Off the wanted middle, {frequency}", f"Travel to spare, {length}", "Price, both sides")
    labels = (f"Off, {frequency}", f"To spare, {length}", "Price")
    numbers = 3 if priced else 2
    table = rows_table(
        ("Set", *heads[:numbers], "Why here"),
        rows,
        labels=(*labels[:numbers], ""),
        kinds=(*(NUMBER for _ in heads[:numbers]), WIDE),
    )
    drawn = _chart(item, shown, display, key) if len(choice.trades) > 1 else None
    more = len(choice.trades) - len(shown)
    left = f'<p class="hb-note">{more:,} more lie between these.</p>' if more else ""
    return (
        f'<details class="hb-open"><summary>{escape(trade_line(choice))}</summary>'
        '<p class="hb-note">Better in one of these means worse in another. Differences under 0.01 Hz and 1 mm count as none, '
        "and sets that are then alike count as one. By the axle’s mean load; the whole rig is solved with the set you take.</p>"
        f"{table}{left}"
        f"{'' if drawn is None else charts.figure(drawn)}</details>"
    )


def _thinned(trades: tuple[Trade, ...]) -> tuple[Trade, ...]:
    """Return at most `_SHOWN` sets: the ends, and the others evenly between."""
    if len(trades) <= _SHOWN:
        return trades
    ends = {id(one) for _, one in best_of_each(trades)}
    room = _SHOWN - len(ends)
    others = [one for one in trades if id(one) not in ends]
    kept = ends | {id(others[place * len(others) // room]) for place in range(room)}
    return tuple(one for one in trades if id(one) in kept)


def _row(name: str, one: Trade, end: str, display: Display, *, priced: bool) -> list[str]:
    off = "" if one.chosen.against_height == "met" else off_height(one.above_wanted, display)
    why = "; ".join(part for part in (end, off, f"{one.alike:,} more alike" if one.alike else "") if part)
    numbers = [display.number(one.frequency_error, _FREQUENCY, decimals=3), display.number(one.travel_margin, _LENGTH)]
    numbers += [NONE if one.price is None else f"{one.price:,.2f}"] if priced else []
    return [name, *numbers, escape(why[:1].upper() + why[1:])]


def _chart(item: AxleOrder, shown: tuple[Trade, ...], display: Display, key: str) -> Chart:
    ends = {id(one): words for words, one in best_of_each(shown)}
    unit, length = display.unit(_FREQUENCY), display.unit(_LENGTH)

    def x(one: Trade) -> float:
        return units.from_si(one.frequency_error, unit)

    panels = [
        Panel(
            "Travel to spare",
            length.symbol,
            dots=tuple(
                Dot(
                    x(one),
                    units.from_si(one.travel_margin, length),
                    "most travel" if "travel" in ends.get(id(one), "") else "",
                )
                for one in shown
            ),
            decimals=display.decimals(_LENGTH),
            tall=True,
            dots_label="sets",
        )
    ]
    if any(one.price is not None for one in shown):
        dots = tuple(
            Dot(x(one), one.price, "cheapest" if "cheapest" in ends.get(id(one), "") else "")
            for one in shown
            if one.price is not None
        )
        panels.append(Panel("Price, both sides", "", dots=dots, decimals=2, dots_label="sets"))
    return Chart(
        key=key,
        title=f"{item.axle.capitalize()}: what the best sets trade",
        description="Each dot is a set that no other beats: travel to spare, and beneath it the price, against how far the "
        "ride frequency is off the middle of what is wanted.",
        x_label="Ride frequency off the wanted middle",
        x_unit=unit.symbol,
        x_decimals=3,
        x_at_least=(0.0, 0.0),
        panels=tuple(panels),
        note="Left is better, and so is more travel and a lower price.",
    )
