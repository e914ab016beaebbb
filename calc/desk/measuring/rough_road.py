"""Rough ground: two masses on spring, damper and tire, carried over ground that swings by chance."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture

_CENTER = 108.0
# The heights of the ground under the drawing, by chance but always the same.
_GROUND = (0, 3, -2, 5, -4, -7, 2, 6, -1, 4, -5, 1, 7, 2, -6, -2, 4, -3, 5, 0)


@measuring(
    "A corner carried over rough ground",
    "A is the sprung weight on this spring, on B, the wheel rate, with C, the damper, beside it. D is half of the axle,"
    " with its wheel, on E, the rate of the tire. F is the road speed, over ground that rises and falls at random.",
    392,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    picture.rect(_CENTER - 62, 40, 124, 64)
    picture.coil(_CENTER - 28, 104, 220, 7, 22)
    picture.rect(_CENTER + 18, 128, 24, 46)
    picture.line(_CENTER + 30, 104, _CENTER + 30, 128)
    picture.line(_CENTER + 30, 174, _CENTER + 30, 220)
    picture.rect(_CENTER - 46, 220, 92, 30)
    picture.coil(_CENTER, 250, 340, 4, 24)
    step = 10.0
    points = [(_CENTER - 95 + step * index, 346.0 + height) for index, height in enumerate(_GROUND)]
    picture.polyline(points, "part")
    for x, y in points[1:]:
        picture.line(x, y, x - 7, y + 7, "hair")
    picture.text(_CENTER, 240, "axle", "t2", "middle", halo=False)
    picture.lettered(_CENTER + 62, 200, 72, "A", "sprung")
    picture.lettered(_CENTER - 50, 40, 196, "B")
    picture.lettered(_CENTER + 42, 200, 150, "C", "damper")
    picture.lettered(_CENTER + 46, 200, 235, "D", "half axle")
    picture.lettered(_CENTER + 24, 200, 296, "E", "tire rate")
    picture.arrow(_CENTER - 30, 376, _CENTER + 30, 376)
    picture.label(_CENTER + 40, 381, "F", "road speed")
