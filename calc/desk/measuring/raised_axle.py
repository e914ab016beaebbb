"""Weighing with the rear axle raised: radius, rise, angle, reading."""

import math

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure with one axle raised",
    "From the side, the front wheels on a scale pad, the rear wheels on a stand. A is the loaded radius, hub center"
    " to pad, measured level. B is how much higher the rear hubs are than the front hubs. C is the angle of the"
    " frame from level. D is what the pads under the front axle read.",
    312,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    floor, pad, radius, tilt = 276, 11, 34, 12.0
    front_x, front_y = 62.0, floor - pad - radius
    wheelbase = 160.0
    along, up = wheelbase * math.cos(math.radians(tilt)), wheelbase * math.sin(math.radians(tilt))
    rear_x, rear_y = front_x + along, front_y - up
    picture.ground(4, 296, floor)
    picture.text(150, 14, "suspension locked, both axles", "t2", "middle")
    picture.rect(front_x - 28, floor - pad, 56, pad)
    stand = rear_y + radius
    picture.rect(rear_x - 24, stand, 48, 8)
    picture.line(rear_x - 18, stand + 8, rear_x - 24, floor)
    picture.line(rear_x + 18, stand + 8, rear_x + 24, floor)
    with picture.turned(-tilt, front_x, front_y):
        picture.rect(front_x - 34, front_y - 62, wheelbase + 72, 16)
        picture.path(
            f"M{front_x - 34} {front_y - 62} V{front_y - 96} H{front_x + 34} L{front_x + 52} {front_y - 132}"
            f" H{front_x + 104} V{front_y - 62}"
        )
        for x in (front_x, front_x + wheelbase):
            picture.line(x, front_y - 46, x, front_y)
    picture.tire_side(front_x, front_y, radius)
    picture.tire_side(rear_x, rear_y, radius)
    picture.line(front_x, front_y, 290, front_y, "guide")
    picture.upright(272, rear_y, front_y, "B", left=False, reach=(rear_x, None))
    reach = 110
    picture.path(
        f"M{front_x + reach} {front_y} A{reach} {reach} 0 0 0 {front_x + reach * math.cos(math.radians(tilt)):.1f}"
        f" {front_y - reach * math.sin(math.radians(tilt)):.1f}",
        "dim",
    )
    picture.line(front_x, front_y, rear_x, rear_y, "guide")
    picture.label(front_x + reach + 8, front_y - 7, "C")
    picture.upright(18, front_y, floor - pad, "", reach=(front_x, front_x - 28))
    picture.label(12, front_y - 10, "A", anchor="middle")
    picture.lettered(front_x, 112, floor + 22, "D", "front pads read")
    picture.line(front_x, floor - pad + 5, front_x, floor + 22, "hair")
    picture.text(rear_x + 30, floor + 27, "stand", "t2", "middle")
