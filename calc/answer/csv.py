"""An answer as CSV: one value in a row, with where it belongs, so that a spreadsheet can sort and look it up."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator

from calc.answer.parts import Columns, Fact, Facts, Listed, Part
from calc.quantity import Display, Quantity

HEADS = ("section", "place", "what", "value", "unit")
# What a cell of a spreadsheet must not begin with, or it is taken for a formula.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def written(parts: Iterable[Part], display: Display) -> str:
    """Return the values of an answer, in the reader's units; a text that a spreadsheet would run is put behind an apostrophe.

    >>> part = Facts(key="parts", title="", facts=(Fact(label="pieces", value=2.0),))
    >>> written([part], Display("shop")).splitlines()
    ['section,place,what,value,unit', 'parts,,pieces,2,']
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    for section, place, fact in values(parts):
        number, unit = _cell(fact, display)
        writer.writerow((_guarded(section), _guarded(place), _guarded(fact.label), number, unit))
    return out.getvalue()


def values(parts: Iterable[Part]) -> Iterator[tuple[str, str, Fact]]:
    """Yield every value once: section, place, fact. What is only there to be read along has no key and is left out."""
    for part in parts:
        if not part.key:
            continue
        match part:
            case Facts():
                yield from ((part.key, "", fact) for fact in part.there())
            case Columns(columns=columns):
                for place, facts in columns:
                    yield from ((part.key, place, fact) for fact in facts if fact.value is not None)
            case Listed(lines=lines):
                yield from ((part.key, "", Fact(label="", value=line)) for line in lines)


def _cell(fact: Fact, display: Display) -> tuple[str, str]:
    value, of = fact.value, fact.of
    if value is None or isinstance(value, str):
        return _guarded(value or ""), ""
    if isinstance(of, Quantity):
        # As a program reads it: no thousands, the minus of the keyboard.
        return display.entry(value, of), display.unit(of).symbol
    return f"{value:.4g}", of or ""


def _guarded(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA) else text
