"""A chart as it stands in a page: picture at two widths, caption, and the same numbers as a table."""

from __future__ import annotations

from html import escape
from itertools import pairwise

from calc.chart.description import Bars, Chart, Curve, Panel
from calc.chart.lettering import named, number, ticks
from calc.chart.panels import draw_panels
from calc.chart.tornado import draw_bars

WIDE = 900
NARROW = 350
_MOST_ROWS = 24
_MOST_COLUMNS = 4
_EVENT = "Event"


def svg(picture: Chart | Bars, *, width: int) -> str:
    """One accessible picture, `width` pixels wide, as it will be shown.

    Raises ChartError from the description itself; whatever could be described can be drawn.

    >>> chart = Chart("c", "A < B", "Rises.", "Travel", (Panel("Force", "lbf", (Curve(((0, 0), (1, 2))),)),))
    >>> svg(chart, width=350).startswith('<svg viewBox="0 0 350')
    True
    """
    return draw_bars(picture, width) if isinstance(picture, Bars) else draw_panels(picture, width)


def figure(picture: Chart | Bars) -> str:
    """The picture at both widths, of which the style sheet shows one, and the note under it.

    >>> chart = Chart("c", "Force", "Rises.", "Travel", (Panel("Force", "lbf", (Curve(((0, 0), (1, 2))),)),))
    >>> figure(chart).count("<svg")
    2
    """
    note = f"<figcaption>{escape(picture.note)}</figcaption>" if picture.note else ""
    return (
        f'<figure class="hb-fig"><div class="hb-wide">{svg(picture, width=WIDE)}</div>'
        f'<div class="hb-narrow">{svg(picture, width=NARROW)}</div>{note}</figure>'
    )


def values_at(curve: Curve, x: float) -> list[float]:
    """The values of a curve at x, more than one where it steps, in the order drawn; none off its ends.

    >>> values_at(Curve(((0, 1), (2, 1), None, (2, 3), (4, 4))), 2), values_at(Curve(((0, 1), (2, 2))), 1)
    ([1.0, 3.0], [1.5])
    """
    found: list[float] = []
    for piece in curve.pieces():
        if len(piece) == 1 and piece[0][0] == x:
            found.append(piece[0][1])
        for (x1, y1), (x2, y2) in pairwise(piece):
            if not min(x1, x2) <= x <= max(x1, x2):
                continue
            both = [y1, y2] if x1 == x2 else [y1 + (y2 - y1) * (x - x1) / (x2 - x1)]
            found += [y for y in both if y not in found]
    return found


def _loose(panel: Panel) -> bool:
    """Whether some dots of a panel lie on none of its curves, so that only their own column tells them."""
    near = 1e-3 * max((abs(dot.y) for dot in panel.dots), default=0.0)
    for dot in panel.dots:
        on = [y for curve in panel.curves for y in values_at(curve, dot.x)]
        if not any(abs(y - dot.y) <= near for y in on):
            return True
    return False


def _rows(chart: Chart, loose: list[bool]) -> list[tuple[float, str]]:
    """Where the table looks: the events, both ends, the loose dots, and round values between."""
    curves = [curve for panel in chart.panels for curve in panel.curves]
    points = [point[0] for curve in curves for piece in curve.pieces() for point in piece]
    dots = [dot.x for panel in chart.panels for dot in panel.dots]
    everything = [*points, *dots, *(guide.x for guide in chart.guides)]
    low, high = min(everything), max(everything)
    places = [(guide.x, guide.label) for guide in chart.guides]
    others = [low, high]
    for panel, apart in zip(chart.panels, loose, strict=True):
        others += [dot.x for dot in panel.dots if apart]
    if high > low:
        others += [mark for mark in ticks(low, high, 6) if low <= mark <= high]
    for x in others:
        if len(places) < _MOST_ROWS and all(abs(x - place[0]) > _close(chart) for place in places):
            places.append((x, ""))
    return sorted(places)


def _close(chart: Chart) -> float:
    """Two places on the axis that print alike are one row."""
    return float(0.5 * 10.0**-chart.x_decimals)


def table(picture: Chart | Bars) -> str:
    r"""The numbers of a picture as a table behind a disclosure.

    >>> chart = Chart("c", "Force", "Rises.", "Travel", (Panel("Force", "lbf", (Curve(((0, 0), (1, 2))),)),))
    >>> "<td class=\"n\" data-label=\"Force, lbf\">2</td>" in table(chart)
    True
    """
    heads, rows = _bars_table(picture) if isinstance(picture, Bars) else _panels_table(picture)
    # The event column holds words, all others hold numbers.
    words = len(heads) > 1 and heads[1] == _EVENT
    kinds = ["" if words and column == 1 else ' class="n"' for column in range(1, len(heads))]
    fold = " hb-table--fold" if len(heads) > _MOST_COLUMNS else ""
    head = f'<th scope="col">{escape(heads[0])}</th>'
    for kind, name in zip(kinds, heads[1:], strict=True):
        head += f'<th scope="col"{kind}>{escape(name)}</th>'
    body = ""
    for first, *cells in rows:
        body += f'<tr><th scope="row">{escape(first)}</th>'
        for kind, name, cell in zip(kinds, heads[1:], cells, strict=True):
            body += f'<td{kind} data-label="{escape(name)}">{escape(cell)}</td>'
        body += "</tr>"
    return (
        '<details class="hb-open"><summary>The chart as a table</summary>'
        f'<table class="hb-table{fold}"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></details>'
    )


def _panels_table(chart: Chart) -> tuple[list[str], list[list[str]]]:
    loose = [_loose(panel) for panel in chart.panels]
    events = [_EVENT] if chart.guides else []
    heads = [named(chart.x_label, chart.x_unit), *events]
    for panel, apart in zip(chart.panels, loose, strict=True):
        for curve in panel.curves:
            alone = len(panel.curves) == 1 or not curve.label
            label = panel.y_label if alone else f"{panel.y_label}, {curve.label}"
            heads.append(named(label, panel.y_unit))
        if apart:
            heads.append(named(f"{panel.y_label}, {panel.dots_label}", panel.y_unit))
    rows = []
    for x, label in _rows(chart, loose):
        row = [number(x, chart.x_decimals), *([label] if events else [])]
        for panel, apart in zip(chart.panels, loose, strict=True):
            row += [_joined(values_at(curve, x), panel.decimals) for curve in panel.curves]
            if apart:
                here = [dot.y for dot in panel.dots if abs(dot.x - x) <= _close(chart)]
                row.append(_joined(here, panel.decimals))
        rows.append(row)
    return heads, rows


def _joined(values: list[float], decimals: int) -> str:
    return ", then ".join(dict.fromkeys(number(value, decimals) for value in values))


def _bars_table(bars: Bars) -> tuple[list[str], list[list[str]]]:
    heads = [bars.columns[0], *(named(column, bars.x_unit) for column in bars.columns[1:])]
    return heads, [[bar.label, number(bar.low, bars.decimals), number(bar.high, bars.decimals)] for bar in bars.bars]
