"""Bounce and pitch: the body on front and rear springs, and its sprung center of gravity between them."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "What sets bounce and pitch",
    "The body from the side, on a front and a rear spring. A is the ride rate at the front, B that at the rear, C the"
    " wheelbase between them, and D the sprung center of gravity. Arrows show each end going up and down.",
    300,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    front, rear, floor, deck = 66.0, 226.0, 226.0, 118.0
    center = 142.0
    picture.ground(20, 280, floor)
    for x in (front, rear):
        picture.coil(x, deck, floor, 6, 24)
    picture.rect(30, deck - 34, 240, 34)
    picture.path(f"M40 {deck - 34} V{deck - 62} H96 L120 {deck - 92} H176 V{deck - 34}")
    picture.cross(center, deck - 48, 8)
    picture.lettered(center + 10, 182, deck - 48, "D", "sprung center")
    picture.lettered(front + 30, 118, 172, "A", "front")
    picture.lettered(rear - 30, 184, 192, "B", "rear")
    picture.level(272, front, rear, "C", "wheelbase", below=True, reach=(floor + 8, floor + 8))
    for x in (14, 286):
        picture.arrow(x, deck - 17, x, deck - 45)
        picture.arrow(x, deck - 17, x, deck + 11)
