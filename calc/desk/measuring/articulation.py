"""An axle in articulation from behind: what to measure, and what each side can do."""

import math

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "An axle in articulation",
    "A solid axle from behind, its right wheel up and its left wheel down. A is the track, B is between the two lower"
    " eyes on the axle, C is the height of the roll center, all measured at ride. D is how far the wheel in bump goes"
    " until its stop is solid, E how far the other wheel goes until its coil-over is drawn out.",
    372,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    ride, center, half, tilt = 226.0, 196.0, 66.0, 12.0
    picture.text(150, 12, "from behind", "t2", "middle")
    picture.line(14, ride, 286, ride, "guide")
    picture.text(204, ride + 17, "ride", "t2", "middle")
    turn = math.radians(tilt)
    for side in (-1, 1):
        y, z = side * half, center - ride + 10
        x_eye = 150 + y * math.cos(turn) - z * math.sin(turn)
        y_eye = center - (y * math.sin(turn) + z * math.cos(turn))
        top_x, top_y = 150 + side * 40, 70
        reach = math.hypot(x_eye - top_x, y_eye - top_y)
        lean = math.degrees(math.atan2(top_x - x_eye, y_eye - top_y))
        with picture.turned(lean, x_eye, y_eye):
            picture.coil_back(x_eye, y_eye - reach + 22, y_eye - 26, 6, 15)
            picture.damper(x_eye, y_eye - reach, y_eye, body=reach * 0.5, half=8, eye=7)
            picture.coil_front(x_eye, y_eye - reach + 22, y_eye - 26, 6, 15)
    with picture.turned(-tilt, 150, center):
        picture.rect(44, ride - 8, 212, 16)
        picture.circle(150, ride, 21)
        for x in (36, 264):
            picture.tire_end(x, ride, 32, 100)
    picture.rect(92, 46, 116, 18)
    picture.circle(150, center, 4, "solid")
    rise = 114 * math.sin(turn)
    drop = (ride - center) * (1 - math.cos(turn))
    picture.upright(288, ride - rise - drop, ride, "", reach=(262, None))
    picture.label(297, 148, "D", "bump", "end")
    picture.upright(12, ride, ride + rise - drop, "", reach=(None, 40))
    picture.label(4, 196, "E", "droop")
    picture.level(332, 36, 264, "A", "track", below=True)
    picture.level(304, 150 - half, 150 + half, "B", "lower eyes")
    picture.label(160, center - 6, "C")
