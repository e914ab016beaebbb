"""The sheets of the handbook as HTML text: one code makes them at build and again in the reader's browser.

Every text that comes from a reader or a file passes `html.escape` here; nothing else makes markup from it.
"""

from __future__ import annotations

import importlib
from typing import Any

_PLACES = {
    "sheet": "calc.sheet.step_sheet",
    **dict.fromkeys(("equation", "working"), "calc.sheet.step_working"),
    "practice": "calc.sheet.practice_sheet",
    "home": "calc.sheet.home",
    "rig": "calc.sheet.rig",
    "quote": "calc.sheet.quote",
}


def __getattr__(name: str) -> Any:
    """Import a kind of sheet only when a page asks for it: in the browser each import costs time."""
    if name in _PLACES:
        return getattr(importlib.import_module(_PLACES[name]), name)
    raise AttributeError(name)
