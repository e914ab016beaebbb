"""JSON: the one reader of what a stranger may have written (a page's request, a saved rig), and results as plain data."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

_TEXT_IN_JSON = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"', re.DOTALL)
_DEEPEST_JSON = 50
# Up to here every whole number has its float.
_LONGEST_WHOLE = 300


def read_json(text: str) -> Any:
    """Read JSON that a stranger may have written. Raises ValueError when it is none, or nests deeper than any file of ours.

    A whole number that no float can hold is read as infinite, which every quantity refuses by its own name.
    Python in the browser has a small stack: a file of brackets alone would end it, and no exception could tell.

    >>> read_json('{"a": [1, "[[["]}')
    {'a': [1, '[[[']}
    >>> read_json('{"mass": 1' + "0" * 400 + "}")
    {'mass': inf}
    >>> read_json("[" * 60 + "]" * 60)
    Traceback (most recent call last):
        ...
    ValueError: The JSON nests too deeply.
    """
    depth = 0
    for bracket in re.findall(r"[\[\]{}]", _TEXT_IN_JSON.sub("", text)):
        depth += 1 if bracket in "[{" else -1
        if depth > _DEEPEST_JSON:
            raise ValueError("The JSON nests too deeply.")
    return json.loads(text, parse_int=_whole)


def _whole(text: str) -> int | float:
    return int(text) if len(text) <= _LONGEST_WHOLE else float(text)


def plain(thing: Any, *left_out: str) -> Any:
    """Return a result as JSON holds it: of a dataclass its fields by name, without those that are left out.

    >>> plain({"numbers": (1.0, None)})
    {'numbers': [1.0, None]}
    """
    if is_dataclass(thing):
        return {part.name: plain(getattr(thing, part.name)) for part in fields(thing) if part.name not in left_out}
    if isinstance(thing, Mapping):
        return {key: plain(value) for key, value in thing.items()}
    if isinstance(thing, (tuple, list)):
        return [plain(each) for each in thing]
    return thing.tolist() if hasattr(thing, "tolist") else thing


def picked(thing: Any, *names: str) -> dict[str, Any]:
    """Return some of what a result tells of itself, as JSON holds it."""
    return {name: plain(getattr(thing, name)) for name in names}
