"""Loads at the springs of a solid axle: track, spring base, lean, roll center."""

import math

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure track and spring base",
    "A solid axle from behind. A is the track at the floor. D is the height of the roll center."
    " B is the spring base: the distance between the two coil-over lines at roll-center height."
    " C is the lean of a coil-over from plumb, tops inward.",
    352,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    floor, axle, roll_center = 286, 232, 180
    lean, base = math.tan(math.radians(18)), 62
    picture.text(150, 12, "from behind", "t2", "middle")
    picture.ground(4, 296, floor)
    for side in (-1, 1):
        x, y = 150 + side * base * 1.22, axle - 14
        with picture.turned(-18.0 * side, x, y):
            picture.coil_back(x, y - 150, y - 62, 6, 17)
            picture.damper(x, y - 178, y, body=96, half=8, eye=7)
            picture.coil_front(x, y - 150, y - 62, 6, 17)
    picture.rect(40, axle - 9, 220, 18)
    picture.circle(172, axle, 25)
    for x in (30, 270):
        picture.tire_end(x, axle, 34, 108)
    mount = 150 - base * 1.22
    half = 150 - (mount + (axle - 14 - roll_center) * lean)
    picture.line(20, roll_center, 280, roll_center, "guide")
    picture.level(roll_center, 150 - half, 150 + half, "B", "base")
    picture.circle(150, roll_center, 4, "solid")
    picture.upright(150, roll_center, floor)
    picture.label(162, 270, "D", "height")
    picture.level(318, 30, 270, "A", "track", below=True, reach=(axle + 46, axle + 46))
    picture.line(mount, axle - 14, mount, 78, "guide")
    top = axle - 14 - 122
    picture.path(
        f"M{mount:.1f} {top} A122 122 0 0 1 {mount + 122 * math.sin(math.radians(18)):.1f}"
        f" {axle - 14 - 122 * math.cos(math.radians(18)):.1f}",
        "dim",
    )
    picture.label(mount + 14, 78, "C", anchor="middle")
