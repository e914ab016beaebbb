"""Texts that are true in both unit systems: a number, or a wording, for each, of which the style sheet shows one.

{{ stack.stack_rate }}          an input or a result of a step's example
{{ 2.5 in }}                    a literal quantity
{{ 300 lb mass }}               a literal whose unit belongs to several kinds of quantity, so the kind is named
{{ 12 of 18 | 305 of 457 }}     a wording for shop units and one for metric ones; ~ is a space that never breaks
"""

from __future__ import annotations

import html
import math
import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from calc import quantity, units
from calc.errors import HandbookError, NumberError, UnitError
from calc.step import find, run

VALUE = re.compile(r"\{\{ (?P<inside>.*?) \}\}")
REFERENCE = re.compile(r"(?P<step>[a-z][a-z0-9_]*)\.(?P<field>[a-z][a-z0-9_]*)")


class TextError(HandbookError):
    """A text asks for a value that the package does not have."""


def in_both_systems(inside: str) -> str:
    """Return a value, or a wording for each system, in shop and in metric units, of which the style sheet shows one.

    Between the two stands a word for a reader without the style sheet.
    Raises HandbookError when there is no such step, field, unit or kind.
    """
    reference = REFERENCE.fullmatch(inside)
    worded = inside.split(" | ")
    if len(worded) == 2:
        shop, metric = (part.replace("~", units.NO_BREAK) for part in worded)
    else:
        shop, metric = _of_example(reference["step"], reference["field"]) if reference else _literal(inside)
    if shop == metric:
        return html.escape(shop)
    return (
        f'<span class="hb-shop">{html.escape(shop)}</span><span class="hb-or"> or </span>'
        f'<span class="hb-metric">{html.escape(metric)}</span>'
    )


def _of_example(step_name: str, field: str) -> tuple[str, str]:
    step = find(step_name)
    value = _example_values(step_name).get(field)
    chosen = step.inputs.get(field)
    if chosen is not None and isinstance(chosen.is_a, quantity.Choice):
        return str(value), str(value)
    declared = step.quantity(field)
    if value is None:
        raise TextError(f"The example of {step_name} has no value for {field}.")
    return quantity.SHOP.plain(value, declared), quantity.METRIC.plain(value, declared)


@lru_cache(maxsize=64)
def _example_values(step_name: str) -> Mapping[str, Any]:
    step = find(step_name)
    return run(step, step.example_inputs()).values


def _literal(inside: str) -> tuple[str, str]:
    number, rest = units.split_number(inside)
    kind, unit = kind_and_unit(rest)
    typed = inside[: len(inside) - len(rest)].strip() if rest else inside
    decimals = len(typed.partition(".")[2])
    own = quantity.join_unit(typed if "/" in typed else units.format_number(number, decimals), unit.symbol)
    in_shop = unit in (kind.shop, *(other for other in kind.others if other.symbol in ("ft", "slug")))
    other = kind.metric if in_shop else kind.shop
    if other == unit:
        return own, own
    shown = units.from_si(units.to_si(number, unit), other)
    converted = quantity.join_unit(_as_coarse(shown, typed, kind.decimals.get(other.symbol, 3)), other.symbol)
    return (own, converted) if in_shop else (converted, own)


def _as_coarse(value: float, typed: str, most_decimals: int) -> str:
    """Print a converted number about as coarsely as the typed one: 300 lb is not 136.1 kg."""
    figures = 3 if "/" in typed else max(2, len(re.sub(r"\D", "", typed).lstrip("0")))
    magnitude = math.floor(math.log10(abs(value))) + 1 if value else 1
    decimals = min(most_decimals, max(0, figures - magnitude))
    return units.format_number(value, decimals)


def kind_and_unit(text: str) -> tuple[units.Kind, units.Unit]:
    """Return the kind and the unit that a text such as "in" or "lb mass" names. Raises NumberError and UnitError."""
    matches: list[tuple[units.Kind, units.Unit]] = []
    for kind in units.KINDS.values():
        symbol = text.removesuffix(f" {kind.name}")
        if not symbol:
            continue
        try:
            unit = kind.unit(symbol)
        except UnitError:
            continue
        if symbol != text:
            return kind, unit
        matches.append((kind, unit))
    if not matches:
        raise NumberError(f"“{text}” is not a unit that the handbook knows.")
    if len({(kind.metric, kind.shop) for kind, _ in matches}) > 1:
        kinds = ", ".join(kind.name for kind, _ in matches)
        raise UnitError(f"“{text}” is a unit of several kinds; name one of them behind it: {kinds}.")
    return matches[0]
