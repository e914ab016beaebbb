"""Damping forces: a damper pushed in and pulled out at a speed, and what stands behind its piston."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "What the damping forces act on",
    "A damper cut open, rod down. A is the piston, B the rod, C the gas behind its floating piston. D is the speed of the"
    " rod, in for compression and out for rebound. In compression the oil on the rod's side of the piston loses pressure,"
    " and the gas has to hold it up.",
    340,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    left, right, top, bottom = 92.0, 168.0, 40.0, 250.0
    middle = (left + right) / 2
    picture.eye(middle, top - 18, 10)
    picture.rect(left, top, right - left, bottom - top)
    picture.line(left, 92, right, 92)
    picture.rect(left, 88, right - left, 9, "solid")
    for index in range(9):
        picture.circle(left + 14 + 24 * (index % 3), 52 + 13 * (index // 3), 1.6, "solid")
    picture.rect(left, 168, right - left, 16, "solid")
    picture.rect(middle - 11, 184, 22, 112)
    picture.eye(middle, 306, 10)
    picture.text(middle, 138, "oil", "t2", "middle", halo=False)
    picture.text(right - 12, 222, "oil", "t2", "middle", halo=False)
    picture.lettered(right, 200, 176, "A", "piston")
    picture.lettered(middle + 11, 200, 272, "B", "rod")
    picture.lettered(right, 200, 66, "C", "gas")
    picture.arrow(52, 282, 52, 242)
    picture.arrow(52, 282, 52, 322)
    picture.label(30, 287, "D", anchor="middle")
