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
    helper: str | None = None,
) -> str:
    """The bench drawing of one axle's coil-over; texts come formatted, with their units.

    Without a tender (None) one spring is drawn; without a ring gap (None) no ring; a helper stands on top of them.

    >>> picture = build(key="front", title="Front coil-over", description="Preload 1.25 inches.",
    ...     preload="1.25 in", ring_gap="4.86 in", tender="250 lb/in, 10 in", main="450 lb/in, 14 in")
    >>> "1.25 in" in picture and "ring gap" in picture
    True
    >>> ">helper<" in build(key="rear", title="Rear", description="", preload="1.25 in", ring_gap=None, tender=None,
    ...     main="450 lb/in, 14 in", helper="35 lb/in, 6 in")
    True
    """
    picture = Picture(f"draw-build-{key}", title, description, _WIDTH, 452)
    x, dimension, names = 144, 84, 214
    with_ring = tender is not None and ring_gap is not None
    under = None if helper is None else 100
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
        turns=(6 if under is None else 4, 6 if tender is not None else 11),
        helper_divider=under,
    )
    picture.upright(dimension, 44, 75, preload, "preload", reach=(x + 42, None))
    picture.named(x + 45, names, 62 if helper is not None else 68, "adjuster")
    picture.named(x + 43, names, 308, "main" if tender is not None else "spring", "tb")
    _caption(picture, names, 330, main)
    if helper is not None:
        picture.named(x + 43, names, 88, "helper", "tb")
        picture.text(names, 110, helper, "t2")
    if tender is not None:
        # Under a helper the tender's name stands lower, clear of the helper's.
        height = 90 if helper is None else 172
        picture.named(x + 43, names, height, "tender", "tb")
        _caption(picture, names, height + 22, tender)
        picture.named(x + 47, names, 211, "divider")
    if with_ring and ring_gap is not None:
        picture.upright(dimension, 144, 205, ring_gap, "ring gap", reach=(x - 29, x - 44))
        picture.named(x + 30, names, 141, "stop ring")
    return picture.svg()


def _caption(picture: Picture, x: float, y: float, content: str) -> None:
    """Rate and length under a spring's name, on two lines where they are long."""
    for row, words in enumerate(broken(content, _WIDTH - x, "t2")):
        picture.text(x, y + LINE * row, words, "t2")
