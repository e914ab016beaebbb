"""Tire rate: a tire on a scale, its load, its squash, its loaded radius."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "How to measure a tire's rate",
    "A tire from the side on a scale pad. A is the weight on it, B the loaded radius from the hub center to the pad, C its"
    " pressure by the gauge, D the squash: how much lower the hub is than without load.",
    296,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    x, floor, radius, squash = 146.0, 248.0, 88.0, 18.0
    hub = floor - radius + squash
    picture.ground(14, 286, floor + 12)
    picture.rect(x - 66, floor, 132, 12)
    picture.path(
        f"M{x - 52} {floor} A{radius} {radius} 0 1 1 {x + 52} {floor} Z",
        "mass",
    )
    picture.circle(x, hub, 42, "back")
    picture.circle(x, hub, 5, "solid")
    picture.arrow(x, 26, x, 84)
    picture.label(x + 12, 44, "A", "weight")
    picture.line(x, hub, 34, hub, "guide")
    picture.upright(34, hub, floor, "", reach=(None, x - 66))
    picture.label(24, (hub + floor) / 2 + 5, "B", anchor="middle")
    picture.line(x, hub - squash, 268, hub - squash, "guide")
    picture.line(x, hub, 268, hub, "guide")
    picture.upright(258, hub - squash, hub, "D", left=False)
    picture.circle(246, 108, 17, "mass")
    picture.line(246, 108, 255, 99)
    picture.line(231, 116, 206, 134)
    picture.label(246, 84, "C", "pressure", "middle")
