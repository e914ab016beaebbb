"""Two orders side by side: entries that differ, and what that makes different."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from calc import vocabulary
from calc.answer import text
from calc.answer.parts import Fact, Grid, Paragraph, Part
from calc.json_text import picked
from calc.order.build_sheet import forecast_facts, setting_facts, words
from calc.order.order import Order
from calc.quantity import SHOP, Display, Quantity
from calc.rig.compare import Row, entered_differently
from calc.tables import price
from calc.whole.on_chosen_springs import LEAN_RULE


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Two orders side by side: names, entries that differ, answers."""

    names: tuple[str, str]
    entries: tuple[Row, ...]
    answers: tuple[Row, ...]

    def different(self, display: Display) -> tuple[Row, ...]:
        """Return the answers that read differently on the two sides."""
        return tuple(row for row in self.answers if not row.same(display))

    def alike(self, display: Display) -> str:
        """Return how many answers read the same, in a sentence."""
        count = len(self.answers) - len(self.different(display))
        return f"{count} more {'answer is' if count == 1 else 'answers are'} the same."


def compared(here: Order, there: Order, names: tuple[str, str]) -> Comparison:
    """Return two orders side by side. Either may be unfinished: what it has no answer to is told as missing."""
    first, second = dict(_answers(here)), dict(_answers(there))
    answers = []
    for what in dict.fromkeys((*first, *second)):
        value, of = first.get(what) or (None, second[what][1])
        other = second.get(what)
        answers.append(Row(what=what, here=value, there=None if other is None else other[0], of=of))
    return Comparison(names=names, entries=tuple(entered_differently(here.rig, there.rig)), answers=tuple(answers))


def _answers(made: Order) -> Iterator[tuple[str, tuple[float | str, Quantity | str | None]]]:
    frequency, length, rate = vocabulary.natural_frequency, vocabulary.length, vocabulary.spring_rate
    for item in made.axles:
        chosen, axle = item.chosen, item.axle
        if chosen is None or item.task is None:
            continue
        for what, index in (("helper", chosen.helper), ("tender", chosen.tender), ("main", chosen.main)):
            if index is not None:
                yield f"{axle} {what}, part", (made.springs.part[index], None)
                yield f"{axle} {what}, rate", (float(made.springs.rate[index]), rate)
        yield f"{axle} ride", (chosen.ride_frequency[item.task.reference], frequency)
        if chosen.frequency_past_crossover is not None:
            yield f"{axle} past the crossover", (chosen.frequency_past_crossover, frequency)
        yield f"{axle} least bump left", (min(case.bump_left for case in item.cases), length)
        yield f"{axle} least droop left", (min(case.droop_left for case in item.cases), length)
        yield f"{axle} main left before it binds", (chosen.main_left, length)
    sheet = made.sheet
    if sheet is None:
        return
    if sheet.total is not None:
        yield "springs together", (sheet.total, price)
    for setting in sheet.settings:
        yield from _told(setting.corner, setting_facts(setting))
    for corner in next((case for case in sheet.cases if case.reference), sheet.cases[0]).corners:
        yield from _told(corner.corner, forecast_facts(corner))
    if made.standing is not None:
        yield "cross weight", (100 * made.standing.rest.cases[made.standing.reference].cross_share, "%")
        leans = [finding.value for finding in made.rests if finding.rule == LEAN_RULE and finding.value is not None]
        if leans:
            yield "roll gradient, worst load case", (leans[0], vocabulary.roll_gradient)
    counted = Counter(finding.state for finding in made.findings())
    for state in ("holds", "close", "fails", "not checked"):
        yield f"checks: {state}", (float(counted[state]), "")


def _told(corner: str, facts: Iterable[Fact]) -> Iterator[tuple[str, tuple[float | str, Quantity | str | None]]]:
    for fact in facts:
        if fact.value is not None:
            yield f"{words(corner)}: {_low(fact.label)}", (fact.value, fact.of)


def _low(text: str) -> str:
    return text[:1].lower() + text[1:]


# --- plain forms ----------------------------------------------------------------------------------------------------------------


def compared_data(found: Comparison) -> dict[str, Any]:
    """Return a comparison for a program, in SI."""
    rows = {
        name: [picked(row, "what", "here", "there", "change") for row in told]
        for name, told in (("entries", found.entries), ("answers", found.answers))
    }
    return {"names": list(found.names), **rows}


def compared_text(found: Comparison, display: Display = SHOP) -> str:
    """Return a comparison for a person, in 80 columns."""
    return text.written(compared_parts(found, display), display)


def compared_parts(found: Comparison, display: Display) -> Iterator[Part]:
    """Yield what is entered differently, what it comes to, and how much is alike."""
    here, there = found.names
    yield Paragraph(text=f"First: {here}. Second: {there}.")
    for title, rows in (("ENTERED DIFFERENTLY", found.entries), ("WHAT IT COMES TO", found.different(display))):
        told = tuple((row.what, *row.texts(display)) for row in rows)
        yield Grid(
            caption=title, heads=("", "first", "second", "change"), rows=told, notes=() if told else ("Nothing.",)
        )
    yield Paragraph(text=found.alike(display))
