"""The coil-over as it is set on the bench, with the numbers of the build sheet."""

from __future__ import annotations

from calc.drawing.pen import Picture


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
    picture = Picture(f"draw-build-{key}", title, description, 350, 452)
    x = 150
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
    picture.upright(88, 44, 75, preload, "preload", reach=(192, None))
    picture.named(195, 221, 68, "adjuster")
    picture.named(193, 221, 308, "main" if tender is not None else "spring", "tb")
    picture.text(221, 330, main, "t2")
    if tender is not None:
        picture.named(193, 221, 100, "tender", "tb")
        picture.text(221, 122, tender, "t2")
        picture.named(197, 221, 211, "divider")
    if with_ring and ring_gap is not None:
        picture.upright(88, 144, 205, ring_gap, "ring gap", reach=(x - 29, x - 44))
        picture.named(180, 221, 146, "stop ring")
    return picture.svg()
