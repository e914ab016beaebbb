"""Unsprung weight: what counts whole, what counts half, and where its center lies."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "What counts as unsprung",
    "A solid axle from behind. A, counted whole: wheels, tires, hubs, brakes, housing, gears and shafts."
    " B, counted half: springs, dampers, links and track bar, since their other end is on the frame."
    " C is how far the center of the unsprung weight, drawn toward the gear case, lies from the center line.",
    314,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    center, axle = 150, 226
    picture.line(center, 92, center, 304, "guide")
    for x in (92, 208):
        picture.rect(x - 18, 64, 36, 22)
    for x, lean in ((74, 9), (226, -9)):
        with picture.turned(lean, x, axle - 16):
            picture.coil_back(x, axle - 106, axle - 38, 5, 17)
            picture.damper(x, axle - 134, axle - 16, body=54, half=8, eye=7)
            picture.coil_front(x, axle - 106, axle - 38, 5, 17)
    picture.rect(46, axle - 9, 208, 18)
    picture.circle(184, axle, 27)
    picture.circle(184, axle, 15, "back")
    for x in (30, 270):
        picture.tire_end(x, axle, 36, 104)
    picture.line(184, 100, 106, axle - 15)
    picture.eye(184, 100, 6)
    picture.eye(106, axle - 15, 6)
    picture.label(128, 160, "B", "", "end")
    picture.line(30, 168, 30, 142, "hair")
    picture.label(8, 136, "A", "whole")
    picture.lettered(238, 252, 131, "B", "half")
    picture.text(center, 12, "from behind", "t2", "middle")
    picture.text(150, 80, "frame", "t", "middle")
    picture.level(284, center, 168, "C", "offset", below=True, reach=(None, axle))
    picture.cross(168, axle, 7, "dim")
