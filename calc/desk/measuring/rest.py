"""Turns at rest: which adjuster, the track and the effective spring base."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where the adjusters are turned",
    "From above, front at the top: four tires on their pads, A. Inside each is a coil-over whose adjuster, B, is"
    " turned. C is the track of an axle, D the effective base between the lines of its two coil-overs.",
    330,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    left, right = 62.0, 238.0
    inner = (102.0, 198.0)
    for floor in (84.0, 222.0):
        picture.line(left, floor, right, floor)
        for x in (left, right):
            picture.rect(x - 24, floor - 42, 48, 84, "hair")
            picture.tire_end(x, floor, 28, 64)
        for x in inner:
            picture.circle(x, floor, 11)
            picture.circle(x, floor, 5, "solid")
    picture.rect(88, 48, 124, 212, "guide")
    picture.label(20, 56, "A")
    picture.label(126, 112, "B", "turns")
    picture.level(286, left, right, "C", "track", below=True, reach=(258, 258))
    picture.level(172, *inner, "D", "base", reach=(210, 210))
    picture.text(150, 16, "from above, front at the top", "t2", "middle")
