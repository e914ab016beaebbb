"""A weight change: where the item stands."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure an added or removed item",
    "From the side, A runs level from the front axle back to the center of the item; ahead of the axle it is"
    " negative. From above, B runs from the center line to the center of the item, left or right.",
    372,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    front, rear, item = 66, 252, 172
    floor = 176
    picture.text(150, 12, "from the side", "t2", "middle")
    picture.ground(4, 296, floor)
    for x in (front, rear):
        picture.tire_side(x, floor - 36, 36)
    picture.line(front, 26, front, floor - 36, "guide")
    picture.line(14, 98, 290, 98)
    picture.rect(item - 26, 62, 52, 36)
    picture.cross(item, 80)
    picture.text(item + 34, 85, "item", "tb")
    picture.level(44, front, item, "A", "", reach=(None, 74))
    picture.text(front - 8, 48, "front", "t2", "end")
    picture.text(150, 222, "from above", "t2", "middle")
    middle = 300
    picture.line(20, middle, 290, middle, "guide")
    for x in (front, rear):
        picture.line(x, middle - 50, x, middle + 50)
        for y in (middle - 50, middle + 50):
            picture.rect(x - 30, y - 11, 60, 22)
    picture.rect(item - 26, middle - 42, 52, 36)
    picture.cross(item, middle - 24)
    picture.upright(118, middle - 24, middle, "B", reach=(item - 6, None))
