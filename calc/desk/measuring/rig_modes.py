"""All motions of a rig: the body on its springs, two axles on their tires, from the side and from behind."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "What swings on a rig",
    "Above from the side, below from behind: the body on its springs, the axles on their tires. A is the sprung weight, B"
    " the unsprung weight of each axle, C the wheel rate, D the tire rate, and E the roll lever from the roll axis up to the"
    " sprung center of gravity.",
    404,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    front, rear, floor = 62.0, 214.0, 190.0
    picture.ground(14, 270, floor)
    picture.rect(26, 40, 224, 34)
    for x in (front, rear):
        picture.coil(x, 74, 118, 5, 20)
        picture.rect(x - 34, 118, 68, 20)
        picture.coil(x, 138, floor, 3, 16)
    picture.label(138, 62, "A", "body", "middle", halo=False)
    picture.lettered(front + 36, 112, 128, "B", "axle")
    picture.lettered(front + 24, 112, 96, "C", "springs")
    picture.lettered(front + 20, 112, 164, "D", "tires")
    picture.text(138, 18, "from the side", "t2", "middle")
    middle, base = 132.0, 390.0
    picture.text(middle, 226, "from behind", "t2", "middle")
    picture.ground(30, 234, base)
    picture.rect(middle - 60, 244, 120, 56)
    for x in (middle - 36, middle + 36):
        picture.coil(x, 300, 330, 4, 14)
    picture.rect(middle - 78, 330, 156, 16)
    for x in (middle - 66, middle + 66):
        picture.coil(x, 346, base, 3, 14)
    picture.cross(middle, 270, 7)
    picture.circle(middle, 318, 4, "solid")
    picture.line(middle, 270, 226, 270, "guide")
    picture.line(middle, 318, 226, 318, "guide")
    picture.upright(216, 270, 318, "E", left=False)
