"""Ride frequency: a mass on the wheel rate on the tire."""

from calc.desk.measuring import measuring
from calc.desk.measuring.corner import CENTER, bobbing, corner
from calc.drawing.pen import Picture


@measuring(
    "What sets the ride frequency of one corner",
    "A is the sprung mass on this spring. It sits on B, the wheel rate. Below, the axle sits on C, the rate"
    " of the tire. The mass goes up and down on both springs, one after the other.",
    366,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    corner(picture)
    bobbing(picture, 24)
    picture.lettered(CENTER + 68, 200, 72, "A", "sprung mass")
    picture.lettered(CENTER + 42, 200, 162, "B", "wheel rate")
    picture.lettered(CENTER + 34, 200, 298, "C", "tire rate")
