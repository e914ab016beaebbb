"""A shop's quote, judged line by line by somebody who knows only what it says and what a scale slip says.

The quote file is JSON, versioned, ours. Keys are dotted, numbers are SI, texts carry their unit:

    {"format": "spring and damper quote", "version": 1, "name": "...", "values": {"front.main_rate": "450 lb/in"}}
"""

from __future__ import annotations

import json
from dataclasses import fields
from functools import lru_cache
from typing import Any

from calc.errors import FieldError, InputError
from calc.quantity import METRIC, read_cell
from calc.quote.entries import Quote, QuotedAxle, contradictions, keys, quote_from
from calc.rig.parts import Cut, FileKind, Place

__all__ = (
    "Quote",
    "QuotedAxle",
    "contradictions",
    "example",
    "keys",
    "quote_from",
    "read_quote",
    "write_quote",
)

FORMAT = "spring and damper quote"
_KIND = FileKind(name="quote", format=FORMAT, version=1, largest=100_000)
_WORDS = Cut(200)


def read_quote(text: str) -> Quote:
    """Read a quote file.

    Raises DataError when it is none, and InputError with every entry that cannot be used.
    """
    place = Place(_KIND)
    data = place.known(_KIND.opened(_KIND.parsed(text)), ("format", "version", "name", "note", "values"))
    given = data.get("values", {})
    if not isinstance(given, dict):
        raise place.at("values").error(" cannot be read.")
    values: dict[str, float] = {}
    errors: list[FieldError] = []
    for key, value in given.items():
        try:
            read = _read_value(str(key)[:80], value)
            if read is not None:
                values[key] = read
        except FieldError as error:
            errors.append(error)
    name, note = (_WORDS.read(data.get(part, ""), place.at(part)) for part in ("name", "note"))
    quote = quote_from(values, name, note)
    errors += contradictions(quote)
    if errors:
        raise InputError(errors)
    return quote


def write_quote(quote: Quote) -> str:
    """Return the text of a quote file that `read_quote` reads back as this quote.

    >>> read_quote(write_quote(quote_from({"rear.main_rate": 7e4}))).rear.main_rate
    70000.0
    """
    words = {name: text for name, text in (("name", quote.name), ("note", quote.note)) if text}
    data = {"format": FORMAT, "version": _KIND.version, **words, "values": quote.values()}
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def _read_value(key: str, value: Any) -> float | None:
    declared = keys().get(key)
    if declared is None:
        names = ", ".join(item.name for item in fields(QuotedAxle))
        raise FieldError(
            key, f"“{key}” is not an entry of a quote.", allowed=f"Allowed: front. or rear. before one of {names}."
        )
    if value is None:
        return None
    if isinstance(value, str):
        read = read_cell(declared, value, key, METRIC)
        return None if read is None else float(read)
    return declared.quantity.check(value, key)


@lru_cache(maxsize=1)
def example() -> Quote:
    """Return the invented quote for Wren that the page shows."""
    from calc.tables import DATA

    return read_quote((DATA / "rigs" / "quote.json").read_text(encoding="utf-8"))
