"""Charts: a description in display units becomes one accessible SVG text.

The same code draws at build and in the page.
Describe with `Chart` (panels of curves over one axis) or `Bars` (a tornado), then `figure` and
`table` of `calc.chart.page` give the HTML.
Only classes of the style sheet are used, never a color; equal descriptions give equal text.
"""

from calc.chart.description import (
    Bar,
    Bars,
    Chart,
    ChartError,
    Curve,
    Dot,
    Guide,
    Panel,
    Wanted,
)

__all__ = [
    "Bar",
    "Bars",
    "Chart",
    "ChartError",
    "Curve",
    "Dot",
    "Guide",
    "Panel",
    "Wanted",
]
