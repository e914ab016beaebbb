"""A spring in a press with a scale under it."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "How to read a spring in a press",
    "A spring between the plate of a press and a scale, with a rod through it. A is the length of the spring from seat"
    " to seat. B is the force that the scale reads.",
    330,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    x, top, bottom = 130.0, 92.0, 262.0
    for side in (28.0, 232.0):
        picture.line(side, 24, side, 306)
    picture.rect(20, 14, 220, 18)
    picture.rect(x - 10, 32, 20, 42)
    picture.coil_back(x, top, bottom, 7, 46)
    picture.rect(x - 9, top, 18, bottom - top)
    picture.coil_front(x, top, bottom, 7, 46)
    picture.rect(x - 66, top - 18, 132, 18, "solid")
    picture.rect(x - 66, bottom, 132, 12, "solid")
    picture.rect(x - 56, bottom + 12, 112, 26)
    picture.ground(4, 296, bottom + 44)
    picture.upright(262, top, bottom, "A", left=False, reach=(x + 66, x + 66))
    picture.label(x, bottom + 31, "B", "scale", "middle", halo=False)
    picture.text(x + 74, 62, "press", "t2", "middle")
