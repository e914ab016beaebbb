"""A bump stop over the axle: the gap at ride and the depth of the pad."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure a bump stop",
    "A pad under the body, over a landing plate on the axle, at ride. A is the gap from the pad to the plate. B is how"
    " far the pad can be squashed before it is solid.",
    290,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    x = 130.0
    picture.rect(x - 70, 30, 140, 24)
    picture.rect(x - 34, 54, 68, 16, "solid")
    picture.path(
        f"M{x - 30} 70 H{x + 30} L{x + 24} 96 H{x + 30} L{x + 18} 142 H{x - 18} L{x - 30} 96 H{x - 24} Z", "mass"
    )
    picture.line(x - 26, 90, x + 60, 90, "guide")
    picture.rect(x - 50, 222, 100, 10, "solid")
    picture.rect(x - 90, 232, 180, 30)
    picture.upright(x + 78, 90, 142, "B", "depth", left=False, reach=(x + 30, x + 18))
    picture.upright(x - 66, 142, 222, "A", "gap", reach=(x - 18, x - 50))
    picture.text(x, 20, "body", "t2", "middle")
    picture.text(x, 252, "axle", "t2", "middle", halo=False)
