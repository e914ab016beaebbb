"""Draws bars about a center: what each input's +- does to a result."""

from __future__ import annotations

from calc.chart.description import Bars
from calc.chart.lettering import (
    fitted,
    line,
    named,
    number,
    opening,
    step_decimals,
    text,
    text_width,
    ticks,
    with_unit,
)

_BAR = 18.0
_ROW = 36.0
_ROW_NARROW = 52.0
_TOP = 58.0
_AXIS = 52.0


def draw_bars(bars: Bars, width: float) -> str:
    """Draw bars at one width; deterministic text.

    >>> from calc.chart.description import Bar
    >>> rate = Bar("tire rate", 1.08, 1.13)
    >>> picture = Bars("b", "What matters", "Tire rate most.", "Frequency", 1.11, (rate,))
    >>> draw_bars(picture, 350).count("<rect")
    1
    """
    narrow = width < 600
    ends = [end for bar in bars.bars for end in (bar.low, bar.high)]
    low, high = min(*ends, bars.center), max(*ends, bars.center)
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        reach = 0.1 * abs(high) or 1.0
        low, high = low - reach, high + reach
    values = max(text_width(number(end, bars.decimals), "t2") for end in ends) + 10
    names = 0.0 if narrow else min(260.0, max(text_width(bar.label) for bar in bars.bars) + 16)
    start, end = names + values, width - values
    marks = ticks(low, high, 4 if narrow else 6)
    decimals = step_decimals(marks[1] - marks[0])

    def place(value: float) -> float:
        return start + (value - marks[0]) / (marks[-1] - marks[0]) * (end - start)

    row = _ROW_NARROW if narrow else _ROW
    bottom = _TOP + row * len(bars.bars) + 6
    middle = place(bars.center)
    value = with_unit(number(bars.center, bars.decimals), bars.x_unit)
    # The name of the center line stays in the picture on either side.
    center_text = f"{bars.center_label} {value}".strip()
    half = text_width(center_text, "ta") / 2
    parts = [
        opening(f"{bars.key}-{width:.0f}", bars.title, bars.description, width, bottom + _AXIS),
        text(0, 14, named(bars.x_label, bars.x_unit), "tb"),
    ]
    for mark in marks:
        px = place(mark)
        parts.append(line(px, _TOP, px, bottom, "grid"))
        parts.append(line(px, bottom, px, bottom + 5, "hair"))
        parts.append(text(px, bottom + 21, number(mark, decimals), "t2", "middle"))
    parts.append(line(start, bottom, end, bottom, "hair"))
    lettering = [text(min(max(middle, half), width - half), _TOP - 14, center_text, "ta", "middle", halo=True)]
    for index, bar in enumerate(bars.bars):
        top = _TOP + row * index + (row - _BAR - 4 if narrow else (row - _BAR) / 2)
        left, right = sorted((place(bar.low), place(bar.high)))
        first, last = sorted((bar.low, bar.high))
        base = top + _BAR / 2 + 5
        parts.append(
            f'<rect x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" height="{_BAR:.0f}" class="mass"/>'
        )
        if narrow:
            lettering.append(text(0, top - 8, fitted(bar.label, width), "t", halo=True))
        else:
            lettering.append(text(0, base, fitted(bar.label, names - 16), "t", halo=True))
        lettering.append(text(left - 6, base, number(first, bars.decimals), "t2", "end", halo=True))
        lettering.append(text(right + 6, base, number(last, bars.decimals), "t2", "start", halo=True))
    parts.append(line(middle, _TOP - 6, middle, bottom, "dim"))
    return "".join(parts) + "".join(lettering) + "</svg>"
