"""Weighing: wheelbase, track, pads level."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure when weighing",
    "From the side, two wheels stand on scale pads; A is the wheelbase from hub center to hub center."
    " From behind, B is the track from tire center to tire center at the floor."
    " A straight edge with a level on it lies from pad to pad: C, all pad tops are at one height.",
    386,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    left, right, radius, pad = 62, 238, 40, 11
    floor = 150
    picture.ground(4, 296, floor)
    for x in (left, right):
        picture.rect(x - 30, floor - pad, 60, pad)
        picture.tire_side(x, floor - pad - radius, radius)
    picture.level(42, left, right, "A", "wheelbase", reach=(floor - pad - radius, floor - pad - radius))
    picture.text(150, 12, "from the side", "t2", "middle")
    floor = 334
    picture.ground(4, 296, floor)
    picture.rect(left, floor - pad - 58, right - left, 11)
    for x in (left, right):
        picture.rect(x - 28, floor - pad, 56, pad)
        picture.tire_end(x, floor - pad - 42, 32, 84)
    picture.rect(left + 20, floor - pad - 5, right - left - 40, 5)
    picture.rect(132, floor - pad - 15, 36, 10)
    picture.circle(150, floor - pad - 10, 2.5, "part")
    picture.label(174, floor - pad - 10, "C", "level")
    picture.level(360, left, right, "B", "track", below=True, reach=(floor - pad - 40, floor - pad - 40))
    picture.text(150, 216, "from behind", "t2", "middle")
