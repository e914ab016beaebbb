"""Two rigs, or two sets on one rig, side by side: what was entered differently, and what that makes different."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from calc import units, vocabulary
from calc.job.axle import label
from calc.job.build_sheet import build_sheet, forecast_values, setting_values, words
from calc.job.choose import SpringSet
from calc.job.order import Order
from calc.job.order_text import listed, with_spaces, wrapped
from calc.job.rig import Entry, Rig, keys
from calc.job.standing import LEAN_RULE, Standing
from calc.quantity import SHOP, Choice, Display, Quantity
from calc.tables import Springs, price

LOAD_CASES = "load cases"
_LABEL = 34


@dataclass(frozen=True, kw_only=True)
class Row:
    """One thing on both sides: numbers in SI with their quantity or unit, or texts; None where a side has none."""

    what: str
    here: float | str | None
    there: float | str | None
    of: Quantity | str | None = None

    @property
    def change(self) -> float | None:
        """How much more it is there; None where one of the two is no number."""
        if isinstance(self.here, str) or isinstance(self.there, str) or self.here is None or self.there is None:
            return None
        return self.there - self.here

    def same(self, display: Display) -> bool:
        """Tell whether both sides read the same."""
        here, there, _ = self.texts(display)
        return here == there

    def texts(self, display: Display) -> tuple[str, str, str]:
        """Return both sides and the difference as they are read; what is not there is a dash."""
        change = self.change
        told = "" if change is None else self._text(change, display)
        sign = "+" if change is not None and change > 0 and told.strip("0., ") and not told.startswith("0 ") else ""
        return self._text(self.here, display), self._text(self.there, display), sign + told

    def _text(self, value: float | str | None, display: Display) -> str:
        if value is None:
            return "–"
        if isinstance(value, str):
            return value
        if isinstance(self.of, Quantity):
            return display.text(value, self.of)
        return f"{value:.1f}{units.NO_BREAK}{self.of}" if self.of else f"{value:g}"


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


def chosen_parts(one: SpringSet, springs: Springs) -> dict[str, str]:
    """Return a set as the rig's entries for an own choice; they are the same on both axles but for the axle's name."""
    indexes = {"helper": one.helper, "tender": one.tender, "main": one.main}
    return {f"chosen_{name}_part": "" if index is None else springs.part[index] for name, index in indexes.items()}


def with_set(rig: Rig, axle: str, one: SpringSet, springs: Springs) -> Rig:
    """Return the rig with a set as the reader's own choice at one axle."""
    picked = {f"{axle}.{key}": Entry(value=part) for key, part in chosen_parts(one, springs).items()}
    return replace(rig, values={**rig.values, **picked})


def compared(here: Order, there: Order, names: tuple[str, str]) -> Comparison:
    """Return two orders side by side. Either may be unfinished: what it has no answer to is told as missing."""
    first, second = dict(_answers(here)), dict(_answers(there))
    answers = []
    for what in dict.fromkeys((*first, *second)):
        value, of = first.get(what) or (None, second[what][1])
        other = second.get(what)
        answers.append(Row(what=what, here=value, there=None if other is None else other[0], of=of))
    return Comparison(names=names, entries=tuple(entered_differently(here.rig, there.rig)), answers=tuple(answers))


def entered_differently(here: Rig, there: Rig) -> Iterator[Row]:
    """Yield what is entered differently in two rigs, by name."""
    for key, declared in keys().items():
        own, other = here.get(key), there.get(key)
        if own != other:
            of = declared.is_a if isinstance(declared.is_a, Quantity) else None
            if isinstance(declared.is_a, Choice):
                own, other = (None if one is None else declared.is_a.text(one) for one in (own, other))
            yield Row(
                what=label(key),
                here=own or None if of is None else own,
                there=other or None if of is None else other,
                of=of,
            )
    for what, own, other in (
        (LOAD_CASES, here.load_cases, there.load_cases),
        ("items changed", here.changes, there.changes),
        ("front travel pairs", here.pairs("front"), there.pairs("front")),
        ("rear travel pairs", here.pairs("rear"), there.pairs("rear")),
    ):
        if own != other:
            yield Row(what=what, here=f"{len(own)} of them", there=f"{len(other)}, not the same")


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
    sheet = build_sheet(made)
    if sheet is None:
        return
    if sheet.total is not None:
        yield "springs together", (sheet.total, price)
    for setting in sheet.settings:
        for what, value, of in setting_values(setting):
            if value is not None:
                yield f"{words(setting.corner)}: {_low(what)}", (value, of)
    for corner in next((case for case in sheet.cases if case.reference), sheet.cases[0]).corners:
        for what, value, of in forecast_values(corner):
            if value is not None:
                yield f"{words(corner.corner)}: {_low(what)}", (value, of)
    if isinstance(made.standing, Standing):
        yield "cross weight", (100 * made.standing.rest.cases[made.standing.reference].cross_share, "%")
        leans = [finding.value for finding in made.rests if finding.rule == LEAN_RULE and finding.value is not None]
        if leans:
            yield "roll gradient, worst load case", (leans[0], vocabulary.roll_gradient)
    counted = Counter(finding.state for finding in made.findings())
    for state in ("holds", "close", "fails", "not checked"):
        yield f"checks: {state}", (float(counted[state]), "")


def _low(text: str) -> str:
    return text[:1].lower() + text[1:]


# --- plain forms ----------------------------------------------------------------------------------------------------------------


def compared_data(found: Comparison) -> dict[str, Any]:
    """Return a comparison for a program, in SI."""

    def rows(of: tuple[Row, ...]) -> list[Mapping[str, Any]]:
        return [{"what": row.what, "here": row.here, "there": row.there, "change": row.change} for row in of]

    return {"names": list(found.names), "entries": rows(found.entries), "answers": rows(found.answers)}


def compared_text(found: Comparison, display: Display = SHOP) -> str:
    """Return a comparison for a person, in 80 columns."""
    here, there = found.names
    blocks = [wrapped(f"First: {here}. Second: {there}.")]
    for title, rows in (("ENTERED DIFFERENTLY", found.entries), ("WHAT IT COMES TO", found.different(display))):
        told = [title, f"  {'':<34}{'first':>15}{'second':>15}{'change':>14}"]
        for row in rows:
            cells = row.texts(display)
            what = row.what
            if len(with_spaces(what)) > _LABEL:
                told.append(f"  {what}")
                what = ""
            told.append(with_spaces(f"  {what:<{_LABEL}}{cells[0][:14]:>15}{cells[1][:14]:>15}{cells[2]:>14}").rstrip())
        blocks.append("\n".join(told) if rows else listed(title, ["Nothing."]))
    return "\n\n".join([*blocks, found.alike(display)]) + "\n"
