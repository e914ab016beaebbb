"""The budgets, and what a run says of them: as a table for a person and as data for a program."""

from __future__ import annotations

import statistics
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

WIDTH = 80


@dataclass(frozen=True, kw_only=True)
class Budget:
    """One promise about speed or size: `limit` is the most that is allowed, or the least with `at_least`."""

    name: str
    what: str
    limit: float
    unit: str = ""
    at_least: bool = False

    def met(self, measured: float) -> bool:
        """Tell whether a measurement keeps the promise."""
        return measured >= self.limit if self.at_least else measured <= self.limit

    def in_words(self) -> str:
        """Return the limit as a person writes it.

        >>> Budget(name="import", what="Import", limit=50.0, unit="ms").in_words()
        'at most 50 ms'
        """
        return f"at {'least' if self.at_least else 'most'} {figure(self.limit, self.unit)}"


@dataclass(frozen=True, kw_only=True)
class Row:
    """One budget with what was measured, against what, and how far single measurements lay apart."""

    budget: Budget
    measured: float
    against: str
    samples: tuple[float, ...] = ()
    note: str = ""

    @property
    def met(self) -> bool:
        """Whether the promise is kept."""
        return self.budget.met(self.measured)

    def data(self) -> dict[str, Any]:
        """Return the row for a program."""
        return {
            "name": self.budget.name,
            "what": self.budget.what,
            "limit": self.budget.limit,
            "at_least": self.budget.at_least,
            "unit": self.budget.unit,
            "measured": self.measured,
            "against": self.against,
            "samples": list(self.samples),
            "note": self.note,
            "met": self.met,
        }


def figure(value: float, unit: str = "") -> str:
    """Return a number to three digits, with its unit.

    >>> figure(0.43217), figure(1234567.0, "sets/s"), figure(12.345, "ms")
    ('0.432', '1,230,000 sets/s', '12.3 ms')
    """
    rounded = float(f"{value:.3g}")
    text = f"{rounded:,.0f}" if abs(rounded) >= 100 else f"{rounded:.3g}"
    return f"{text} {unit}".rstrip()


def spread(samples: Sequence[float], unit: str = "ms") -> str:
    """Return the median of several measurements, with the lowest and highest.

    >>> spread([3.0, 1.0, 2.0])
    '2 ms (1 to 3, 3 times)'
    """
    low, high = figure(min(samples)), figure(max(samples))
    return f"{figure(statistics.median(samples), unit)} ({low} to {high}, {len(samples)} times)"


def table(rows: Sequence[Row], machine: Sequence[str]) -> str:
    """Return all rows as text, 80 columns wide."""
    lines = [*machine, ""]
    for row in rows:
        verdict = "met" if row.met else "MISSED"
        budget = row.budget
        head = f"{figure(row.measured, budget.unit)}, {budget.in_words()}: {verdict}"
        lines.append(budget.what)
        lines.append(f"    {head}")
        for text in (row.against, row.note):
            lines += textwrap.wrap(text, WIDTH, initial_indent="    ", subsequent_indent="    ")
        lines.append("")
    missed = [row.budget.name for row in rows if not row.met]
    lines.append(f"{len(rows) - len(missed)} of {len(rows)} budgets are kept.")
    if missed:
        lines.append(f"Missed: {', '.join(missed)}.")
    return "\n".join(lines) + "\n"
