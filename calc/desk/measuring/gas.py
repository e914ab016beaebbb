"""A gas damper cut open."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "A gas damper cut open",
    "A single tube, rod down. Gas is above a floating piston, oil below it. A is the diameter of the rod,"
    " B that of the piston, C the length of the gas with the damper fully extended.",
    412,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    x, half = 130, 38
    picture.eye(x, 22, 12)
    picture.path(f"M{x - half} 330 V34 H{x + half} V330", "part")
    picture.path(f"M{x - half - 6} 338 V28 H{x + half + 6} V338 H{x + 9} M{x - half - 6} 338 H{x - 9}", "part")
    picture.rect(x - half, 104, 2 * half, 14)
    for row in range(12):
        y = 130 + row * 16
        if not 206 < y < 280:
            for column in range(3):
                dash = x - half + 8 + column * 22 + (row % 2) * 8
                if y < 240 or not x - 22 < dash < x + 10:
                    picture.line(dash, y, dash + 7, y, "back")
    picture.rect(x - half, 246, 2 * half, 22, "solid")
    picture.rect(x - 9, 268, 18, 112)
    picture.rect(x - half, 316, half - 9, 14)
    picture.rect(x + 9, 316, half - 9, 14)
    picture.eye(x, 392, 12)
    picture.upright(66, 34, 104, "C", "length", reach=(x - half - 6, x - half - 6))
    picture.named(x + half + 10, 203, 68, "gas")
    picture.named(x + half + 10, 203, 111, "floating piston")
    picture.named(x + half + 10, 203, 176, "oil")
    picture.named(x + half + 10, 203, 257, "piston")
    picture.level(230, x - half, x + half, "B", "")
    for side in (-1, 1):
        picture.line(x + side * 26, 358, x + side * 9, 358, "dim")
        picture.line(x + side * 9, 353, x + side * 9, 363, "dim")
    picture.lettered(x + 30, 203, 358, "A", "rod")
