"""The coil-over as it is set on the bench, with the numbers of the build sheet."""

from __future__ import annotations

from calc.chart.lettering import LINE, broken
from calc.drawing.pen import Picture

_WIDTH = 350.0


def build(
    *,
    key: str,
    title: str,
    description: str,
    preload: str,
    ring_gap: str | None,
    tender: str | None,
    main: str,
) -> str:
    """The bench drawing of one axle's coil-over; texts come formatted, with their units.

    Without a tender (None) one spring is drawn; without a ring gap (None) no ring.

    >>> picture = build(key="front", title="Front coil-over", description="Preload 1.25 inches.",
    ...     preload="1.25 in", ring_gap="4.86 in", tender="250 lb/in, 10 in", main="450 lb/in, 14 in")
    >>> "1.25 in" in picture and "ring gap" in picture
    True
    """
    picture = Picture(f"draw-build-{key}", title, description, _WIDTH, 452)
    x, dimension, names = 144, 84, 214
    with_ring = tender is not None and ring_gap is not None
    picture.coil_over(
        x,
        18,
        434,
        adjuster=62,
        ring=144 if with_ring else None,
        divider=None if tender is None else 205,
        seat=400,
        body=212,
        threads=146,
        turns=(6, 6 if tender is not None else 11),
    )
    picture.upright(dimension, 44, 75, preload, "preload", reach=(x + 42, None))
    picture.named(x + 45, names, 68, "adjuster")
    picture.named(x + 43, names, 308, "main" if tender is not None else "spring", "tb")
    _caption(picture, names, 330, main)
    if tender is not None:
        picture.named(x + 43, names, 90, "tender", "tb")
        _caption(picture, names, 112, tender)
        picture.named(x + 47, names, 211, "divider")
    if with_ring and ring_gap is not None:
        picture.upright(dimension, 144, 205, ring_gap, "ring gap", reach=(x - 29, x - 44))
        picture.named(x + 30, names, 141, "stop ring")
    return picture.svg()


def _caption(picture: Picture, x: float, y: float, content: str) -> None:
    """Rate and length under a spring's name, on two lines where they are long."""
    for row, words in enumerate(broken(content, _WIDTH - x, "t2")):
        picture.text(x, y + LINE * row, words, "t2")
