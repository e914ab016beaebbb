"""Places of both eyes: from behind their bases and heights, from the side how far they lie behind the hubs."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure the coordinates of the coil-over's eyes",
    "Above, the axle from behind: A is between the two eyes on the body, B between the two eyes on the axle, C and D"
    " are the heights of these eyes above the floor. Below, from the side: E is how far an eye lies behind the line"
    " of the hub centers, F is the pivot of the arms, or the body end of a link, ahead of the hubs and above them.",
    540,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    floor, low, high = 250, 198, 66
    inner, outer = 34, 62
    picture.text(150, 12, "from behind", "t2", "middle")
    picture.ground(4, 296, floor)
    for side in (-1, 1):
        picture.line(150 + side * outer, low, 150 + side * inner, high, "guide")
        picture.eye(150 + side * outer, low, 8)
        picture.eye(150 + side * inner, high, 8)
        picture.tire_end(150 + side * 112, low + 4, 28, 96)
    picture.rect(54, low + 12, 192, 12)
    picture.circle(150, low + 18, 20)
    picture.level(40, 150 - inner, 150 + inner, "A", reach=(high - 8, high - 8))
    picture.level(172, 150 - outer, 150 + outer, "B", reach=(low - 8, low - 8))
    picture.upright(280, high, floor, "C", reach=(150 + inner + 8, None), at=120)
    picture.upright(22, low, floor, "", reach=(150 - outer - 8, None))
    picture.label(16, 192, "D", anchor="end")
    road, hub_x, hub_y = 508, 196, 458
    picture.text(150, 306, "from the side, front to the left", "t2", "middle")
    picture.ground(4, 296, road)
    picture.tire_side(hub_x, hub_y, 50)
    eye_x, eye_y = 226, 446
    picture.line(eye_x, eye_y, 240, 346, "guide")
    picture.eye(eye_x, eye_y, 8)
    picture.eye(240, 346, 8)
    picture.line(hub_x, hub_y, 58, 432)
    picture.eye(58, 432, 7)
    picture.line(hub_x, hub_y, hub_x, 340, "guide")
    picture.level(366, hub_x, eye_x, "", reach=(None, eye_y - 8))
    picture.label(hub_x - 8, 371, "E", "behind", "end")
    picture.label(58, 416, "F", "pivot", "middle")
    picture.level(482, 58, hub_x, "", reach=(440, None))
    picture.text(100, 500, "ahead", "t2", "middle")
