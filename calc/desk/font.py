"""The equation font, cut to the signs that equations use.

The whole font is 400 KB; a page needs Latin and Greek letters, figures and some operators.
The table that lets brackets and roots stretch is kept, and the larger variants of each kept sign with it.
"""

from __future__ import annotations

import io
from pathlib import Path

from fontTools.subset import Options, Subsetter  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

LATIN = "".join(chr(code) for code in range(0x20, 0x7F))
GREEK = "ΓΔΘΛΞΠΣΦΨΩαβγδεζηθικλμνξοπρστυφχψωϑϕϵ"
OPERATORS = "×÷±∓·⋅−≤≥≠≈∝∞∂∑∏∫√′″°…→∈|‖⟨⟩⌊⌋⌈⌉\u00a0\u2061\u2062\u2063"
# A single letter is shown in mathematical italic, which is a sign of its own. The italic h stands elsewhere.
ITALIC_LATIN = "".join(chr(code) for code in range(0x1D434, 0x1D468) if code != 0x1D455) + "ℎ"
ITALIC_GREEK = "".join(chr(code) for code in range(0x1D6E2, 0x1D71C))

SIGNS = frozenset(LATIN + GREEK + OPERATORS + ITALIC_LATIN + ITALIC_GREEK)


def cut(source: Path) -> bytes:
    """Return the font at `source` cut to `SIGNS`, as WOFF2; the same bytes each time."""
    font = TTFont(source, recalcTimestamp=False)
    options = Options()
    options.layout_features = []
    options.notdef_outline = True
    options.hinting = False
    options.desubroutinize = True
    # The copyright and the licence stay in the file; its other names serve nobody on a page.
    options.name_IDs = [0, 13, 14]
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=[ord(sign) for sign in SIGNS])
    subsetter.subset(font)
    font.flavor = "woff2"
    out = io.BytesIO()
    font.save(out, reorderTables=True)
    return out.getvalue()
