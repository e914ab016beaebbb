"""The second page of the build sheet: what every corner will do, and the lines to prove it on the ground."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

from calc import vocabulary
from calc.answer.parts import Columns, signed, signed_text
from calc.answers.build_sheet import card_line
from calc.order.build_sheet import forecast_facts, setting_facts, words
from calc.quantity import EVERY_PLUS_MINUS, Display, Quantity
from calc.rig.ordered import BuildSheet, CaseForecast, CornerForecast
from calc.sheet.answer import NUMBER, TEXT, rows_table
from calc.units import NO_BREAK

# What stands in one row of a load case, so that the sheet keeps to its two pages.
_TOGETHER = (
    ("Damper, eye to eye", "Shaft showing"),
    ("Ring gap at ride", "Shaft left to the bump stop"),
    ("Above (+) the wanted height", "Ride height change, hub to frame mark"),
    ("Bump left", "Droop left"),
    ("Sag", "Ride"),
)
# More load cases than these stand in one table, a line for each axle.
_MOST_IN_FULL = 3
_READ = ("Pushed down", "Lifted", "Scale")


def settings(sheet: BuildSheet, display: Display) -> str:
    """Return how each corner is set on the bench, as one table."""
    corners = tuple((one.corner, setting_facts(one)) for one in sheet.settings)
    names = [corner for corner, _ in corners]
    return _table("Setting", names, Columns(title="", columns=corners).rows(display))


def forecast(sheet: BuildSheet, display: Display) -> str:
    """Return what each corner will do in every load case."""
    alike = "" if sheet.solved else " Left and right are taken alike: the whole rig could not be solved."
    doubt = max(case.plus_minus for case in sheet.cases)
    many = len(sheet.cases) > _MOST_IN_FULL
    tables = _compact(sheet.cases, display) if many else "".join(_case(case, display) for case in sheet.cases)
    return (
        f'<h3>What it will do</h3><p class="hb-note">{escape(card_line(sheet, display))}</p>{tables}'
        f'<p class="hb-note">Damper lengths ±\u00a0{display.text(doubt, vocabulary.length)} from spring rate, spring length '
        f"and weights. {EVERY_PLUS_MINUS}{alike}</p>"
    )


def _compact(cases: tuple[CaseForecast, ...], display: Display) -> str:
    """Return many load cases in one table, a line for each axle with its left and its right, so that it fits the page."""
    columns = (
        *("Tire", "Damper, eye to eye", "Above (+) the wanted height", "Shaft showing", "Ring gap at ride"),
        *("Bump left", "Droop left", "Ride"),
    )
    rows = []
    for case in cases:
        for left, right in zip(case.corners[::2], case.corners[1::2], strict=True):
            texts = (
                f"{escape(case.label)} <small>{left.corner.partition('_')[2]}</small>",
                _both(left.tire_mass, right.tire_mass, vocabulary.corner_mass, display),
                _both(left.damper_length, right.damper_length, vocabulary.damper_length, display),
                _above(left, right, display),
                _known(left.shaft_showing, right.shaft_showing, display),
                _known(left.ring_gap, right.ring_gap, display),
                _both(left.bump_left, right.bump_left, vocabulary.length, display),
                _both(left.droop_left, right.droop_left, vocabulary.length, display),
                display.text(left.ride_frequency, vocabulary.natural_frequency),
            )
            rows.append(texts)
    return rows_table(("Load case, left and right", *columns), rows)


def _both(left: float, right: float, quantity: Quantity, display: Display) -> str:
    return f"{display.number(left, quantity)} and {display.text(right, quantity)}"


def _known(left: float | None, right: float | None, display: Display) -> str:
    return "–" if left is None or right is None else _both(left, right, vocabulary.length, display)


def _above(left: CornerForecast, right: CornerForecast, display: Display) -> str:
    if left.above_wanted is None or right.above_wanted is None:
        return "–"
    return f"{signed(left.above_wanted, vocabulary.length, display)} and {signed_text(right.above_wanted, vocabulary.length, display)}"


def _case(case: CaseForecast, display: Display) -> str:
    corners = tuple((one.corner, forecast_facts(one)) for one in case.corners)
    names = [corner for corner, _ in corners]
    told = joined(Columns(title="", columns=corners).rows(display), _TOGETHER)
    # A phone shows no heads, so there the name stands above.
    return _table(case.label, names, told, case.label)


def joined(
    rows: Iterable[tuple[str, list[str]]], together: Iterable[tuple[str, str]]
) -> Iterator[tuple[str, list[str]]]:
    r"""Yield rows, those that stand together as one.

    >>> list(joined([("Bump left", ["6.37\xa0in"]), ("Droop left", ["5.13\xa0in"])], [("Bump left", "Droop left")]))
    [('Bump left; droop left', ['6.37; 5.13\xa0in'])]
    """
    told = dict(rows)
    partner = {first: second for first, second in together if first in told and second in told}
    for what, cells in told.items():
        if what in partner:
            second = partner[what]
            yield (
                f"{what}; {second[:1].lower()}{second[1:]}",
                [both_cells(cell, other) for cell, other in zip(cells, told[second], strict=True)],
            )
        elif what not in partner.values():
            yield what, cells


def both_cells(one: str, other: str) -> str:
    """Return two values in one cell; a unit that both have stands once."""
    number, _, unit = one.rpartition(NO_BREAK)
    return f"{number if number and other.endswith(f'{NO_BREAK}{unit}') else one}; {other}"


def proving(sheet: BuildSheet, display: Display) -> str:
    """Return the lines to write on: what is expected at each corner, and what is read there."""
    case = next((one for one in sheet.cases if one.reference), sheet.cases[0])
    length, mass = (display.unit(one).symbol for one in (vocabulary.damper_length, vocabulary.corner_mass))
    heads = (f"{name}, {unit}" for name, unit in zip(_READ, (length, length, mass), strict=True))
    rows = [
        (
            words(one.corner),
            display.text(one.damper_length, vocabulary.damper_length),
            display.text(one.tire_mass, vocabulary.corner_mass),
            *("" for _ in _READ),
        )
        for one in case.corners
    ]
    lines = rows_table(
        ("Corner", "Damper", "Tire", *heads),
        rows,
        labels=("Damper", "Tire", *_READ),
        kinds=(NUMBER, NUMBER, *(TEXT for _ in _READ)),
        kind="hb-table--lines",
    )
    return (
        f"<h3>Prove it on the ground</h3><p>{escape(case.label)}. Flat floor, tires at their pressure, roll it to and fro, "
        "brake off. Push each corner down, let it rise, read the damper eye to eye; lift it, let it settle, read again. "
        f"The Prove page says what to turn.</p>{lines}"
    )


def _table(first: str, corners: list[str], rows: Iterable[tuple[str, list[str]]], caption: str = "") -> str:
    told = [[escape(text) for text in (what, *cells)] for what, cells in rows]
    return rows_table((first, *(words(corner) for corner in corners)), told, caption=caption, kind="hb-corners4")
