"""Preload and the travel it leaves."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Preload, travel used at ride, bump travel left",
    "The same coil-over three times, upper eyes level. Hanging free at full droop, A is how far the adjuster has"
    " come down since the springs were just seated. B is the travel used at ride, C the bump travel left.",
    404,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    for x, lower, word in ((54, 350, "full droop"), (154, 302, "ride"), (254, 234, "full bump")):
        picture.coil_over(x, 50, lower, adjuster=92, seat=lower - 24, body=170, half=24, turns=(0, 8), threads=140)
        picture.text(x, 24, word, "t", "middle")
    picture.upright(14, 74, 101, reach=(42, None))
    picture.label(14, 66, "A", anchor="middle")
    picture.upright(104, 302, 350, "B", reach=(146, 62), left=False)
    picture.upright(204, 234, 302, "C", reach=(246, 162), left=False)
    picture.text(150, 388, "the body stays, the axle comes up", "t2", "middle")
