"""Body and wheel hop: two masses on two springs, and what of them moves."""

from calc.desk.measuring import measuring
from calc.desk.measuring.corner import CENTER, bobbing, corner
from calc.drawing.pen import Picture


@measuring(
    "What swings on one corner",
    "A is the sprung weight on this spring, on B, the wheel rate. C is half of the axle, with its wheel, on D, the"
    " rate of the tire. Body and axle go up and down, each with its own arrow.",
    366,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    corner(picture)
    bobbing(picture, 24)
    picture.arrow(24, 235, 24, 213)
    picture.arrow(24, 235, 24, 257)
    picture.lettered(CENTER + 68, 200, 72, "A", "sprung")
    picture.lettered(CENTER + 42, 200, 162, "B", "wheel rate")
    picture.lettered(CENTER + 52, 200, 235, "C", "half axle")
    picture.lettered(CENTER + 34, 200, 298, "D", "tire rate")
