"""Ride, the divider at the ring, full bump."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "The divider meets the ring",
    "The same coil-over three times, upper eyes level. At ride A is the gap left between divider and ring."
    " B is the damper travel until they meet. Beyond, only the main goes on, through the travel C to full bump.",
    392,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    states = ((54, 334, 172, "ride"), (154, 300, 152, "crossover"), (254, 262, 152, "full bump"))
    for x, lower, divider, word in states:
        picture.coil_over(
            x,
            50,
            lower,
            adjuster=86,
            ring=150,
            divider=divider,
            seat=lower - 26,
            body=190,
            half=24,
            threads=140,
        )
        picture.text(x, 24, word, "t", "middle")
    picture.upright(10, 150, 172, reach=(36, 24))
    picture.label(10, 142, "A", anchor="middle")
    picture.upright(104, 300, 334, "B", reach=(146, 62), left=False)
    picture.upright(204, 262, 300, "C", reach=(246, 162), left=False)
    picture.text(150, 378, "the body stays, the axle comes up", "t2", "middle")
