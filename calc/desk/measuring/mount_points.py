"""A leaning coil-over: its two eyes, its lean, its length."""

import math

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure the mounts of a leaning coil-over",
    "A coil-over that leans inward. A is the upper eye on the frame, B the lower eye on the axle."
    " C is the lean from a plumb line through the lower eye. D is the length from eye to eye.",
    362,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    x, y, length, lean = 96, 318, 270, 20.0
    across, up = length * math.sin(math.radians(lean)), length * math.cos(math.radians(lean))
    picture.line(x, y, x, 56, "guide")
    with picture.turned(lean, x, y):
        picture.coil_over(x, y - length, y, adjuster=y - 226, seat=y - 40, body=y - 120, half=30, turns=(0, 8))
    picture.rect(x + across + 8, y - up - 22, 84, 22)
    picture.eye(x + across, y - up, 10)
    picture.rect(2, y - 9, 80, 18)
    picture.text(x, 36, "plumb line", "t2", "middle")
    radius = 232
    end_x, end_y = x + radius * math.sin(math.radians(lean)), y - radius * math.cos(math.radians(lean))
    picture.path(f"M{x} {y - radius} A{radius} {radius} 0 0 1 {end_x:.1f} {end_y:.1f}", "dim")
    picture.label(x + 32, y - radius - 8, "C", "lean", "middle")
    picture.label(x + across + 4, y - up - 34, "A", "upper eye")
    picture.label(x, y + 32, "B", "lower eye", "middle")
    picture.along((x + across, y - up), (x, y), -62, "D", "length")
