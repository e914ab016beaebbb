"""A damper at both ends of its travel: with the bump stop solid, and at droop with its strap."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "Where to measure the mounts at both ends of the travel",
    "Two dampers between their mounts. On the left the bump stop is solid: A is the length from eye to eye. On the right"
    " the axle hangs at full droop: B is the length from eye to eye, C is between the two bolts of the limit strap.",
    330,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    top, solid, hanging = 62.0, 196.0, 282.0
    for x, bottom, name in ((76.0, solid, "stop solid"), (190.0, hanging, "full droop")):
        picture.text(x, 18, name, "t2", "middle")
        picture.rect(x - 34, top - 30, 98, 18)
        picture.rect(x - 34, bottom + 10, 98, 18)
        picture.damper(x, top, bottom, body=88)
    picture.rect(106, solid - 26, 26, 36)
    picture.rect(106, top - 12, 26, solid - 26 - (top - 12))
    picture.upright(44, top, solid, "A", reach=(67, 67))
    picture.upright(164, top, hanging, "B", reach=(181, 181))
    picture.line(236, top - 12, 236, hanging + 10, "wire")
    picture.text(232, 236, "strap", "t2", "end")
    picture.upright(264, top - 12, hanging + 10, "C", left=False, reach=(238, 238))
