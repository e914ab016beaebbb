"""A measured damper: a bench moves it to and fro, and the sheet tells a force for each speed and direction."""

import math

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "What a bench sheet shows of a damper",
    "Left, a damper on a bench that moves it to and fro by A, half of the swing, to each side. Right, its sheet: force over"
    " speed, B in compression and C in rebound, each through zero at rest.",
    330,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    picture.damper(66, 40, 270, body=120, half=17, eye=10)
    picture.ground(30, 102, 288)
    picture.line(66, 280, 66, 288)
    picture.line(40, 18, 92, 18, "part")
    picture.line(66, 18, 66, 30, "part")
    picture.upright(112, 214, 248, left=False, letter="A", reach=(80, 80))
    left, right, base, top = 168.0, 288.0, 240.0, 60.0
    picture.line(left, base, right, base, "hair")
    picture.line(left, base, left, top, "hair")
    for size in (150.0, 84.0):
        points = [
            (left + (right - left) * step / 40, base - size * math.sqrt(step / 40) * (0.55 + 0.45 * step / 40))
            for step in range(41)
        ]
        picture.polyline(points, "curve")
        for step in (6, 15, 26, 37):
            picture.circle(*points[step], 3, "dot")
    picture.label(right - 44, 112, "C", "rebound", "end")
    picture.label(right - 2, 234, "B", "compression", "end")
    picture.text(right, base + 20, "speed", "t2", "end")
    picture.text(left + 6, top - 6, "force", "t2")
