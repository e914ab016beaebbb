"""A coil spring, free and pressed solid."""

from collections.abc import Sequence
from itertools import pairwise

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture

_WIRE = 8.0


def _turns(picture: Picture, x: float, half: float, turns: Sequence[tuple[float, float]]) -> None:
    """Thick wire seen from the side: the near half of each turn, the far half between two as a hairline."""
    for (_, end), (start, _) in pairwise(turns):
        picture.line(x + half, end, x - half, start, "back")
    left, right, wire = x - half, x + half, _WIRE
    for start, end in turns:
        picture.path(
            f"M{left:.1f} {start - wire:.1f} L{right:.1f} {end - wire:.1f}"
            f" A{wire} {wire} 0 0 1 {right:.1f} {end + wire:.1f} L{left:.1f} {start + wire:.1f}"
            f" A{wire} {wire} 0 0 1 {left:.1f} {start - wire:.1f} Z",
            "mass",
        )


@measuring(
    "Where to measure a coil spring",
    "On the left the spring is free, on the right its coils touch. A is the diameter of the wire, B the mean"
    " diameter from wire center to wire center, C the free length. D counts the coils that can still move,"
    " without the dead ends. E is the solid length.",
    346,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    top, bottom, half, free, solid = 64.0, 304.0, 36.0, 78.0, 226.0
    first, last = top + _WIRE, bottom - _WIRE
    pitch = (last - first - 2 * _WIRE) / 6
    starts = [first + 2 * _WIRE + turn * pitch for turn in range(6)]
    _turns(picture, free, half, [(first, first), *((y, y + pitch / 2) for y in starts), (last, last)])
    _turns(picture, solid, half, [(last - 2 * _WIRE * turn, last - 2 * _WIRE * turn) for turn in range(7, -1, -1)])
    picture.level(40, free - half, free + half, "B", "mean", reach=(first, first))
    picture.upright(14, top, bottom, reach=(free - half, free - half))
    picture.label(14, top - 8, "C", anchor="middle")
    picture.upright(
        140, first + _WIRE, last - _WIRE, "D", left=False, at=104, reach=(free + half + _WIRE, free + half + _WIRE)
    )
    wire = last - 14 * _WIRE
    picture.upright(178, wire - _WIRE, wire + _WIRE, reach=(solid - half, solid - half))
    picture.label(178, wire - _WIRE - 8, "A", anchor="middle")
    picture.upright(286, bottom - 16 * _WIRE, bottom, reach=(solid + half, solid + half))
    picture.label(286, bottom - 16 * _WIRE - 8, "E", anchor="middle")
    picture.text(free, 332, "free", "t2", "middle")
    picture.text(solid, 332, "pressed solid", "t2", "middle")
