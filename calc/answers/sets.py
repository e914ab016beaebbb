"""A set of springs as it is told: its name, its cells in a table, its numbers for a program."""

from __future__ import annotations

from calc import vocabulary
from calc.quantity import Display
from calc.rig.part_words import rate_number, rate_text
from calc.search.problem import SpringSet
from calc.tables import Springs


def named_spring(springs: Springs, index: int, display: Display) -> str:
    """Return a spring as a table names it: part code and rate."""
    return f"{springs.part[index][:12]} {rate_text(float(springs.rate[index]), display)}"


def named(one: SpringSet, springs: Springs, display: Display) -> str:
    """Return a set as a table names it, from the adjuster end."""
    return " over ".join(named_spring(springs, index, display) for index in one.springs())


def past_text(one: SpringSet, display: Display) -> str:
    """Return its frequency past the crossover; a dash where it has none."""
    found = one.frequency_past_crossover
    return "-" if found is None else display.text(found, vocabulary.natural_frequency)


def short_name(item: SpringSet, springs: Springs, display: Display) -> str:
    """Return a set by its rates from the body down: "250 over 450"."""
    rates = [rate_number(float(springs.rate[index]), display) for index in item.springs()]
    return " over ".join(rates) if len(rates) > 1 else f"{rates[0]} alone"
