"""A coil-over on an arm: pivot, lower eye, hub, and the angles of both."""

import math

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure an arm and its coil-over",
    "An arm seen along its pivot axis, the wheel at its outer end, a coil-over on it. A is from the pivot to"
    " the hub center, B from the pivot to the lower eye. C is the angle of the line to the hub from level. D is the"
    " lean of the coil-over from upright, toward the pivot. E is its length from eye to eye.",
    356,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    x, y, tilt, lean, length = 40.0, 232.0, 7.0, 18.0, 172.0
    hub = x + 210 * math.cos(math.radians(tilt)), y + 210 * math.sin(math.radians(tilt))
    eye = x + 138 * math.cos(math.radians(tilt)), y + 138 * math.sin(math.radians(tilt)) - 14
    top = eye[0] - length * math.sin(math.radians(lean)), eye[1] - length * math.cos(math.radians(lean))
    picture.tire_end(hub[0] + 12, hub[1], 44, 124)
    picture.line(x, y, 292, y, "guide")
    picture.line(eye[0], eye[1], eye[0], 60, "guide")
    with picture.turned(tilt, x, y):
        picture.rect(x - 6, y - 7, 216, 14)
    with picture.turned(-lean, *eye):
        picture.coil_over(
            eye[0],
            eye[1] - length,
            eye[1],
            adjuster=eye[1] - 140,
            seat=eye[1] - 30,
            body=eye[1] - 76,
            half=24,
            turns=(0, 7),
        )
    picture.rect(top[0] - 70, top[1] - 26, 92, 18)
    picture.eye(x, y, 9)
    picture.circle(*hub, 5, "solid")
    picture.path(f"M{x + 96} {y} A96 96 0 0 1 {x + 96 * math.cos(0.122):.1f} {y + 96 * math.sin(0.122):.1f}", "dim")
    picture.label(x + 104, y - 5, "C")
    picture.path(
        f"M{eye[0]:.1f} {eye[1] - 156:.1f} A156 156 0 0 0 {eye[0] - 156 * math.sin(math.radians(lean)):.1f}"
        f" {eye[1] - 156 * math.cos(math.radians(lean)):.1f}",
        "dim",
    )
    picture.label(eye[0] + 6, 76, "D", "lean")
    picture.along(top, eye, -46, "E", "length")
    picture.text(x - 8, y - 18, "pivot", "t2")
    picture.level(300, x, eye[0], "", reach=(y + 9, eye[1] + 9))
    picture.label((x + eye[0]) / 2, 292, "B", anchor="middle")
    picture.level(334, x, hub[0], "A", "pivot to hub", below=True, reach=(300, hub[1] + 6))
