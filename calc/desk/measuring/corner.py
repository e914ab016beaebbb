"""One corner as masses on springs; shared by the two drawings about frequency."""

from calc.drawing.pen import Picture

CENTER = 108
FLOOR = 346


def corner(picture: Picture) -> None:
    """Body on spring, axle on tire, tire on the floor."""
    picture.rect(CENTER - 62, 40, 124, 64)
    picture.coil(CENTER, 104, 220, 7, 32)
    picture.rect(CENTER - 46, 220, 92, 30)
    picture.coil(CENTER, 250, FLOOR, 4, 24)
    picture.ground(CENTER - 90, CENTER + 90, FLOOR)
    picture.text(CENTER, 240, "axle", "t2", "middle", halo=False)


def bobbing(picture: Picture, x: float) -> None:
    """Up and down beside the body."""
    picture.arrow(x, 72, x, 42)
    picture.arrow(x, 72, x, 102)
