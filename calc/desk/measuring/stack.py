"""The coil-over hanging free: preload, ring gap, solid length."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure preload, ring gap and solid length",
    "A coil-over hanging free. A is the distance the adjuster has moved down since the springs were just"
    " seated. B is the gap from the top of the divider to the underside of the stop ring."
    " C is the length of a spring pressed until its coils touch.",
    452,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    x = 126
    picture.coil_over(x, 18, 434, adjuster=62, ring=144, divider=205, seat=400, body=212, threads=146, turns=(6, 6))
    picture.upright(66, 44, 75, "A", "preload", reach=(168, None))
    picture.upright(66, 144, 205, "B", "ring gap", reach=(x - 29, x - 44))
    picture.named(171, 197, 68, "adjuster")
    picture.named(169, 197, 100, "tender", "tb")
    picture.named(156, 197, 138, "stop ring")
    picture.named(173, 197, 211, "divider")
    picture.named(169, 197, 308, "main", "tb")
    height = picture.solid_coil(234, 388, 8, 26)
    picture.upright(274, 388, 388 + height, "C", left=False)
    picture.text(234, 448, "solid length", "t2", "middle")
