"""The parts of an answer: facts, tables of facts, sentences, under titles. Nothing here computes or knows a door.

A fact is a value in SI with its declared quantity; how it reads is decided by whoever writes it. A text part is what it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from calc.quantity import Display, Quantity, join_unit
from calc.units import format_number

# What a reader sees where there is no value.
NONE = "–"


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One value under its name: in SI with its quantity, a number with a unit of its own, a count, or a text.

    `key` is its name for a program, where it has one. `signed` values are changes, told with their sign; `plain` ones are
    what a part is sold as, without the zeros that nobody writes.
    """

    label: str
    value: float | str | None
    of: Quantity | str | None = None
    plus_minus: float = 0.0
    signed: bool = False
    plain: bool = False
    key: str = ""

    def text(self, display: Display, none: str = NONE) -> str:
        """Return the value with its unit as a reader reads it, without its plus-minus."""
        if self.value is None:
            return none
        if isinstance(self.value, str):
            return self.value
        if not isinstance(self.of, Quantity):
            return join_unit(format_number(self.value, 1), self.of) if self.of else format_number(self.value, 0)
        if self.plain:
            return display.plain(self.value, self.of, self.key)
        return signed_text(self.value, self.of, display) if self.signed else display.text(self.value, self.of, self.key)

    def sure(self, display: Display) -> str:
        """Return the plus-minus as a reader reads it; empty where there is none."""
        if not isinstance(self.of, Quantity) or self.value is None or isinstance(self.value, str):
            return ""
        return display.doubt(self.value, self.plus_minus, self.of, self.key)


@dataclass(frozen=True, kw_only=True)
class Paragraph:
    """Sentences that run on."""

    text: str
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Listed:
    """Sentences one under the other beneath a title; without any there is nothing to say."""

    title: str
    lines: tuple[str, ...]
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Facts:
    """Facts one under the other beneath a title; what is not there is left out."""

    title: str
    facts: tuple[Fact, ...]
    key: str = ""

    def there(self) -> tuple[Fact, ...]:
        """Return the facts that have a value."""
        return tuple(fact for fact in self.facts if fact.value is not None)


@dataclass(frozen=True, kw_only=True)
class Grid:
    """A table of texts: the first cell of a row is its heading. Notes stand beneath it."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Columns:
    """Facts side by side: each column is a place (a corner, an axle, a part) and holds the same facts in the same order.

    Where there are many places of few facts, `across` gives each place a line of its own. `briefly` is the shorter table
    that a reader gets in its place; a program gets the facts.
    """

    title: str
    columns: tuple[tuple[str, tuple[Fact, ...]], ...]
    key: str = ""
    across: bool = False
    briefly: Grid | None = None

    def rows(self, display: Display, *, none: str = "none", keep: str = "") -> Iterator[tuple[str, list[str]]]:
        """Yield each fact's name with its text in every column.

        What no column has is left out, unless `keep` says how it reads; what one column lacks reads as `none`.
        """
        for line in zip(*(facts for _, facts in self.columns), strict=True):
            if keep or any(fact.value is not None for fact in line):
                yield line[0].label, [fact.text(display, keep or none) for fact in line]

    def grid(self, display: Display) -> Grid:
        """Return it as a table of texts."""
        if self.briefly is not None:
            return self.briefly
        places = [place for place, _ in self.columns]
        if not self.across:
            rows = tuple((what, *cells) for what, cells in self.rows(display))
            return Grid(caption=self.title, heads=("", *places), rows=rows)
        told = list(self.rows(display, none=""))
        turned = zip(*(cells for _, cells in told), strict=True)
        rows = tuple((place, *cells) for place, cells in zip(places, turned, strict=True)) if told else ()
        return Grid(caption=self.title, heads=("", *(what for what, _ in told)), rows=rows)


def estimate(reasons: Sequence[str]) -> Paragraph:
    """Return that nothing may be ordered from an answer, and why; nothing to say where it may."""
    text = "; ".join(reasons)
    return Paragraph(text=f"ESTIMATE: DO NOT ORDER. {text[:1].upper()}{text[1:]}." if text else "")


Part = Paragraph | Listed | Facts | Columns | Grid


def signed(value: float, quantity: Quantity, display: Display, decimals: int | None = None) -> str:
    """Return a change as a number with its sign."""
    text = display.number(value, quantity, decimals=decimals)
    return f"+{text}" if value > 0 and text.strip("0.,") else text


def signed_text(value: float, quantity: Quantity, display: Display) -> str:
    """Return a change with its sign and its unit."""
    return join_unit(signed(value, quantity, display), display.unit(quantity).symbol)
