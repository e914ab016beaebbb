"""Pairs of wheel height and damper length."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure pairs of wheel height and damper length",
    "One side from behind, the spring taken out. A runs upright from the hub center to a mark on the body."
    " B runs along the damper from eye to eye. Both are read with the axle at several heights from bump to droop,"
    " both wheels together.",
    330,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    hub, mark = 214, 55
    picture.text(150, 12, "from behind, spring out", "t2", "middle")
    picture.rect(70, 44, 220, 22)
    picture.rect(74, hub - 9, 226 - 12, 18)
    picture.tire_end(92, hub, 44, 150)
    for y in (hub - 56, hub + 62):
        picture.cross(92, y, 6, "back")
        picture.line(58, y, 86, y, "guide")
    picture.cross(92, hub, 8)
    picture.cross(92, mark, 8)
    for y, word in ((hub - 56, "bump"), (hub, "ride"), (hub + 62, "droop")):
        picture.text(120, y + 5, word, "t2", halo=word != "ride")
    picture.upright(48, mark, hub, "A", reach=(84, 84), at=124)
    with picture.turned(-14, 246, hub - 16):
        picture.damper(246, hub - 152, hub - 16, body=70, half=10, eye=8)
    picture.along((213, 82), (246, hub - 16), -34, "B")
