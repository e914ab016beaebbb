"""A set of springs as it is told: its name, its cells in a table, its numbers for a program."""

from __future__ import annotations

from typing import Any

from calc import vocabulary
from calc.quantity import Display
from calc.rig.part_words import rate_text
from calc.search.choose import SpringSet
from calc.tables import Springs


def named_spring(springs: Springs, index: int, display: Display) -> str:
    """Return a spring as a table names it: part code and rate."""
    return f"{springs.part[index][:12]} {rate_text(float(springs.rate[index]), display)}"


def named(one: SpringSet, springs: Springs, display: Display) -> str:
    """Return a set as a table names it, from the adjuster's end."""
    return " over ".join(named_spring(springs, index, display) for index in one.springs())


def past_text(one: SpringSet, display: Display) -> str:
    """Return its frequency past the crossover; a dash where it has none."""
    found = one.frequency_past_crossover
    return "-" if found is None else display.number(found, vocabulary.natural_frequency)


def set_parts(item: SpringSet, springs: Springs) -> dict[str, str | None]:
    """Return the part codes of a set; None for what it has not."""
    return {
        "helper": None if item.helper is None else springs.part[item.helper],
        "tender": None if item.tender is None else springs.part[item.tender],
        "main": springs.part[item.main],
    }


def set_data(item: SpringSet, springs: Springs) -> dict[str, Any]:
    """Return one set for a program."""
    return {
        **set_parts(item, springs),
        "score": item.score,
        "preload": item.preload,
        "wanted_preload": item.wanted_preload,
        "against_height": item.against_height,
        "adjuster": item.adjuster,
        "ring_gap": item.ring_gap,
        "ring_below_backed_off_adjuster": item.ring_below_adjuster,
        "crossover_travel": item.crossover_travel,
        "ride_travel": list(item.ride_travel),
        "ride_frequency": list(item.ride_frequency),
        "frequency_past_crossover": item.frequency_past_crossover,
        "tender_left": item.tender_left,
        "main_left": item.main_left,
    }
