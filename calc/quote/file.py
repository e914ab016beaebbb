"""A shop's quote, judged line by line by somebody who knows only what it says and what a scale slip says.

The quote file is JSON, versioned, ours. Keys are dotted, numbers are SI, texts carry their unit:

    {"format": "spring and damper quote", "version": 1, "name": "...", "values": {"front.main_rate": "450 lb/in"}}
"""

from __future__ import annotations

import json
from dataclasses import fields
from functools import lru_cache
from typing import Any

from calc.errors import DataError, FieldError, InputError
from calc.json_text import read_json
from calc.quantity import METRIC, read_cell
from calc.quote.entries import AXLES, Quote, QuotedAxle, contradictions, keys, quote_from

__all__ = (
    "AXLES",
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
VERSION = 1
LARGEST_FILE = 100_000


def read_quote(text: str) -> Quote:
    """Read a quote file.

    Raises DataError when it is none, and InputError with every entry that cannot be used.
    """
    if len(text) > LARGEST_FILE:
        raise DataError("This file is too large for a quote file (100 kB is the limit).")
    try:
        data = read_json(text)
    except ValueError:
        raise DataError("This is not a quote file: it is not JSON, or it is damaged.") from None
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise DataError("This is not a quote file of the handbook.")
    version = data.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise DataError("This quote file does not say its version, so it cannot be read.")
    if version > VERSION:
        raise DataError(
            f"This quote file is of version {version}; this copy of the handbook reads up to version {VERSION}. "
            "Open it with a newer copy."
        )
    given = data.get("values", {})
    if not isinstance(given, dict) or len(given) > 500:
        raise DataError("The quote file's values cannot be read.")
    values: dict[str, float] = {}
    errors: list[FieldError] = []
    for key, value in given.items():
        try:
            read = _read_value(str(key)[:80], value)
            if read is not None:
                values[key] = read
        except FieldError as error:
            errors.append(error)
    quote = quote_from(values, _short(data.get("name")), _short(data.get("note")))
    errors += contradictions(quote)
    if errors:
        raise InputError(errors)
    return quote


def write_quote(quote: Quote) -> str:
    """Return the text of a quote file that `read_quote` reads back as this quote.

    >>> read_quote(write_quote(quote_from({"rear.main_rate": 7e4}))).rear.main_rate
    70000.0
    """
    told = {name: text for name, text in (("name", quote.name), ("note", quote.note)) if text}
    data = {"format": FORMAT, "version": VERSION, **told, "values": quote.values()}
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def _short(text: Any) -> str:
    return text[:200] if isinstance(text, str) else ""


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
