"""Text in pictures: how numbers are written, how wide a text is, where it breaks.

Pictures are drawn without a browser, so widths are estimated from the advance widths of the most common
sans serif faces, with a margin that covers the others named in the style sheet.
"""

from __future__ import annotations

import math
from html import escape

MINUS = "\u2212"
NO_BREAK = "\u00a0"
ELLIPSIS = "\u2026"

# Advance widths in thousandths of the type size, for the characters that labels use.
_REGULAR = {
    278: " ,./:;!|fIijltI\u00a0\u00b7",
    222: "'",
    333: "()-rt",
    355: '"\u00b0',
    500: "cksvxyzJ",
    556: "0123456789abdeghnopqu_L?$",
    584: "+=<>~\u2212\u00b1\u00d7\u00f7",
    611: "FTZ",
    667: "ABEKPSVXY&",
    722: "CDHNRUw",
    778: "GOQ",
    833: "mM",
    889: "%",
    944: "W",
    1000: "\u2026\u2192",
}
_ADVANCE = {character: width / 1000 for width, group in _REGULAR.items() for character in group}
_OTHER = 0.62
_BOLD = 1.08
# Faces differ; this keeps an estimate on the safe side of all that the style sheet names.
_SAFETY = 1.05

SIZES = {"t": 14, "tb": 14, "ta": 14, "t2": 13}
ASCENT = 11.0
DESCENT = 4.0
LINE = 17.0


def text_width(text: str, style: str = "t") -> float:
    """Estimate the width of a text in pixels; never less than what common faces need.

    >>> 20 < text_width("1,159") < 45
    True
    >>> text_width("wide") < text_width("wide", "tb")
    True
    """
    ems = sum(_ADVANCE.get(character, _OTHER) for character in text)
    weight = _BOLD if style in ("tb", "ta") else 1.0
    return ems * SIZES[style] * weight * _SAFETY


def number(value: float, decimals: int) -> str:
    """Write a number with thousands separated and a true minus sign.

    >>> number(1159.2, 0), number(-0.004, 2), number(-3.5, 1)
    ('1,159', '0.00', '\u22123.5')
    """
    text = f"{value:,.{decimals}f}"
    if text.startswith("-"):
        digits = text[1:]
        return digits if not any(character in "123456789" for character in digits) else MINUS + digits
    return text


def with_unit(text: str, unit: str) -> str:
    r"""Join a number and its unit so that they never part.

    >>> with_unit("7.56", "in")
    '7.56\xa0in'
    """
    return f"{text}{NO_BREAK}{unit}" if unit else text


def named(label: str, unit: str) -> str:
    """Write an axis or column name: the name, a comma, the unit.

    >>> named("Ride frequency", "Hz"), named("Damping ratio", "")
    ('Ride frequency, Hz', 'Damping ratio')
    """
    return f"{label}, {unit}" if unit else label


def fitted(text: str, limit: float, style: str = "t") -> str:
    """Cut a text to a width, with an ellipsis where it was cut.

    >>> fitted("a name far too long for its place", 60).endswith("\u2026")
    True
    """
    if text_width(text, style) <= limit:
        return text
    kept = text
    while kept and text_width(kept + ELLIPSIS, style) > limit:
        kept = kept[:-1]
    return kept.rstrip() + ELLIPSIS


def broken(text: str, limit: float, style: str = "t") -> list[str]:
    """Break a text into lines no wider than a limit, between words.

    >>> broken("stop solid", 300)
    ['stop solid']
    >>> broken("damper fully extended", 90)
    ['damper fully', 'extended']
    """
    lines: list[str] = []
    for word in text.split(" "):
        if lines and text_width(f"{lines[-1]} {word}", style) <= limit:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(fitted(word, limit, style))
    return lines


def nice_step(span: float, parts: int) -> float:
    """Choose a tick step of 1, 2, 2.5 or 5 times a power of ten, for at most so many parts.

    >>> nice_step(11.5, 6), nice_step(0.85, 4), nice_step(90, 4)
    (2.0, 0.25, 25.0)
    """
    rough = span / max(parts, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1.0, 2.0, 2.5, 5.0, 10.0):
        if factor * power >= rough * (1 - 1e-9):
            return factor * power
    return 10.0 * power


def step_decimals(step: float) -> int:
    """How many decimals a tick step needs.

    >>> step_decimals(2.5), step_decimals(0.25), step_decimals(500.0)
    (1, 2, 0)
    """
    for decimals in range(9):
        scaled = step * 10**decimals
        if abs(scaled - round(scaled)) < 1e-6 * max(1.0, abs(scaled)):
            return decimals
    return 9


def ticks(low: float, high: float, parts: int) -> tuple[float, ...]:
    """Nice tick values that enclose a range.

    >>> ticks(0.0, 11.5, 6)
    (0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0)
    >>> ticks(1.05, 1.9, 4)
    (1.0, 1.25, 1.5, 1.75, 2.0)
    """
    step = nice_step(high - low, parts)
    first = math.floor(low / step + 1e-9)
    last = math.ceil(high / step - 1e-9)
    return tuple(round(index * step, 12) for index in range(first, last + 1))


def text(x: float, y: float, content: str, style: str, anchor: str = "start", halo: bool = False) -> str:
    """One SVG text element.

    >>> text(1, 2, "a < b", "t")
    '<text x="1.0" y="2.0" class="t">a &lt; b</text>'
    """
    classes = f"{style} halo" if halo else style
    side = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return f'<text x="{x:.1f}" y="{y:.1f}" class="{classes}"{side}>{escape(content)}</text>'


def line(x1: float, y1: float, x2: float, y2: float, style: str) -> str:
    """One SVG line element.

    >>> line(0, 1, 2, 3, "grid")
    '<line x1="0.0" y1="1.0" x2="2.0" y2="3.0" class="grid"/>'
    """
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" class="{style}"/>'


def opening(key: str, title: str, description: str, width: float, height: float) -> str:
    """The opening of an accessible picture: size, title and description.

    >>> opening("k", "T", "D", 350, 90)[:49]
    '<svg viewBox="0 0 350 90" width="350" height="90"'
    """
    return (
        f'<svg viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" height="{height:.0f}" role="img"'
        f' aria-labelledby="{key}-title {key}-desc"><title id="{key}-title">{escape(title)}</title>'
        f'<desc id="{key}-desc">{escape(description)}</desc>'
    )
