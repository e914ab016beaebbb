"""Roll: heights of the roll center and of the sprung center of gravity, the track, on a side slope."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "What leans on a side slope",
    "From behind, on a side slope. A is the height of the sprung center of gravity and B that of the roll center, both"
    " square to the ground; between them is the lever of the lean. C is the track. D is the loaded radius, hub to"
    " ground. The upper tire of the slope is the one that leaves the ground.",
    330,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    turn, cx, floor = -12.0, 150.0, 238.0
    with picture.turned(turn, cx, floor):
        picture.line(14, floor, 282, floor)
        for step in range(26):
            picture.line(24 + 10 * step, floor, 17 + 10 * step, floor + 7, "hair")
        picture.rect(cx - 62, 78, 124, 96)
        for x in (cx - 40, cx + 40):
            picture.coil(x, 174, 196, 4, 13)
        picture.rect(cx - 80, 196, 160, 14)
        for x in (cx - 92, cx + 92):
            picture.tire_end(x, floor - 38, 30, 76)
        picture.cross(cx, 116, 8)
        picture.circle(cx, 184, 4, "solid")
        picture.line(cx, 116, cx, 184, "guide")
        picture.line(cx, 116, 24, 116, "guide")
        for x, top in ((24, 116), (cx, 184)):
            picture.line(x, top, x, floor, "dim")
            picture.line(x - 5, top, x + 5, top, "dim")
            picture.line(x - 5, floor, x + 5, floor, "dim")
        picture.line(cx - 92, floor + 28, cx + 92, floor + 28, "dim")
        for x in (cx - 92, cx + 92):
            picture.line(x, floor + 23, x, floor + 33, "dim")
            picture.line(x, floor + 8, x, floor + 28, "guide")
        picture.line(cx + 126, floor - 38, cx + 126, floor, "dim")
        picture.line(cx + 92, floor - 38, cx + 131, floor - 38, "guide")
        picture.line(cx + 121, floor, cx + 131, floor, "dim")
    picture.label(34, 178, "A")
    picture.label(cx - 14, 230, "B", anchor="middle")
    picture.label(150, 292, "C", "track", "middle")
    picture.label(278, 190, "D")
    picture.text(150, 16, "from behind", "t2", "middle")
    picture.text(292, 322, "side slope, for comparing only", "t2", "end")
