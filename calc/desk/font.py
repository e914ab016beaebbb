"""The equation font, cut to the signs in use.

The whole font is 400 KB; the pages use a few dozen of its signs.
The table that lets brackets and roots stretch is kept, and the larger variants of each kept sign with it.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from html import unescape
from pathlib import Path
from string import ascii_letters, digits

from fontTools.subset import Options, Subsetter  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

# What an answer in the browser may need beyond what the pages show: any number, and any unit behind it.
# No other bracket than the round one: each would bring all its larger variants.
ALWAYS = frozenset(ascii_letters + digits + " %()*+,-./:<=>×÷±·−≤≥≠≈√°\u00a0")
# A letter alone in <mi> is shown in mathematical italic, which is a sign of its own. The italic h stands elsewhere.
ITALIC = {chr(ord("A") + place): chr(0x1D434 + place) for place in range(26)}
ITALIC |= {chr(ord("a") + place): chr(0x1D44E + place) for place in range(26)} | {"h": "ℎ"}
ITALIC |= {chr(0x391 + place): chr(0x1D6E2 + place) for place in range(25) if place != 17}
ITALIC |= {chr(0x3B1 + place): chr(0x1D6FC + place) for place in range(25)}

MATH = re.compile(r"<math\b.*?</math>", re.S)
TEXT = re.compile(r"<(?P<tag>m\w+)(?P<more>[^>]*)>(?P<text>[^<]+)<")


def signs(html: str) -> frozenset[str]:
    """Return the signs that a page's equations are drawn with.

    >>> sorted(signs("<p>x</p><math><mi>k</mi><mo>=</mo><mtext>LF</mtext></math>"))
    ['=', 'F', 'L', '𝑘']
    """
    found: set[str] = set()
    for equation in MATH.findall(html):
        for part in TEXT.finditer(equation):
            text = unescape(part["text"])
            alone = part["tag"] == "mi" and len(text) == 1 and "normal" not in part["more"]
            found.update({ITALIC.get(text, text)} if alone else set(text))
    return frozenset(sign for sign in found if sign.isprintable() and not sign.isspace())


def cut(source: Path, wanted: Iterable[str]) -> bytes:
    """Return the font at `source` cut to the wanted signs, as WOFF2; the same bytes each time."""
    font = TTFont(source, recalcTimestamp=False)
    options = Options()
    options.layout_features = []
    options.notdef_outline = True
    options.hinting = False
    options.desubroutinize = True
    # The copyright and the licence stay in the file; its other names serve nobody on a page.
    options.name_IDs = [0, 13, 14]
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=sorted(ord(sign) for sign in {*ALWAYS, *wanted}))
    subsetter.subset(font)
    font.flavor = "woff2"
    out = io.BytesIO()
    font.save(out, reorderTables=True)
    return out.getvalue()


def covers(cut_font: Path) -> frozenset[str]:
    """Return the signs that a font file has."""
    return frozenset(chr(code) for code in TTFont(cut_font).getBestCmap())
