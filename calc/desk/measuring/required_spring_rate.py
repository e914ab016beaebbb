"""The rate a wanted ride frequency asks for."""

from calc.desk.measuring import measuring
from calc.desk.measuring.corner import CENTER, bobbing, corner
from calc.drawing.pen import Picture


@measuring(
    "What the wanted frequency asks of the spring",
    "A is the sprung mass on this spring, B how often it should go up and down in a second, C the rate of the"
    " tire. The rate of the spring between body and axle is what is looked for.",
    366,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    corner(picture)
    bobbing(picture, 24)
    picture.label(2, 28, "B", "wanted")
    picture.lettered(CENTER + 68, 200, 72, "A", "sprung mass")
    picture.named(CENTER + 42, 200, 162, "which rate?", "tb")
    picture.lettered(CENTER + 34, 200, 298, "C", "tire rate")
