"""A mass on a spring and a damper, and how its motion dies away."""

import math

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


def _motion(ratio: float, time: float) -> float:
    """Height of a mass let go from 1, its own frequency 1 rad/s."""
    if ratio >= 1:
        return (1 + time) * math.exp(-time)
    wave = math.sqrt(1 - ratio * ratio)
    return math.exp(-ratio * time) * (math.cos(wave * time) + ratio / wave * math.sin(wave * time))


@measuring(
    "How damping ends the motion of the body",
    "Above, A is the sprung mass on B, the wheel rate, and C, the damping. Below, the mass is let go from a height:"
    " lightly damped it swings past rest, D, and back; critically damped it comes to rest without passing it.",
    404,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    picture.rect(62, 22, 176, 44)
    picture.label(150, 49, "A", "sprung mass", "middle", halo=False)
    picture.coil(102, 66, 176, 7, 24)
    picture.rect(180, 116, 36, 60)
    picture.line(198, 66, 198, 134)
    picture.line(184, 134, 212, 134)
    picture.ground(40, 260, 176)
    picture.lettered(72, 52, 120, "B")
    picture.lettered(220, 240, 146, "C")
    left, right, rest, height = 24, 286, 310, 74
    picture.line(left, rest - height - 14, left, rest + 70, "hair")
    picture.line(left, rest, right, rest, "hair")
    for ratio, style in ((1.0, "part"), (0.2, "curve")):
        points = [
            (left + (right - left) * step / 80, rest - height * _motion(ratio, 13 * step / 80)) for step in range(81)
        ]
        picture.polyline(points, style)
    low = rest - height * _motion(0.2, math.pi / math.sqrt(0.96))
    at = left + (right - left) * math.pi / math.sqrt(0.96) / 13
    picture.upright(at, rest, low)
    picture.label(at + 2, low + 22, "D", "overshoot", "middle")
    picture.text(112, 262, "critical", "t")
    picture.line(108, 262, 70, 284, "hair")
    picture.text(right, rest + 20, "time", "t2", "end")
    picture.text(left + 8, rest - height - 12, "height", "t2")
