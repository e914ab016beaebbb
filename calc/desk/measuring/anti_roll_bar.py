"""An anti-roll bar from above: the bar between its arms, the arms, the links at their ends."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "An anti-roll bar from above",
    "From above, front at the top. The bar lies across the vehicle in two bushings on the frame; A is its length between"
    " the arms. B is the length of an arm, from the middle of the bar square to its link. C is the base, from link to"
    " link on the axle. D is the diameter of the bar.",
    250,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    left, right, bar, link = 70.0, 230.0, 70.0, 176.0
    picture.line(left, bar, right, bar, "part")
    picture.rect(left, bar - 5, right - left, 10)
    for x in (left, right):
        picture.rect(x - 5, bar - 5, 10, link - bar + 5)
        picture.circle(x, link, 7, "solid")
    for x in (left + 34, right - 34):
        picture.rect(x - 9, bar - 11, 18, 22)
    picture.line(left, bar - 36, right, bar - 36, "dim")
    for x in (left, right):
        picture.line(x, bar - 41, x, bar - 31, "dim")
        picture.line(x, bar - 36, x, bar - 6, "guide")
    picture.line(left - 32, bar, left - 32, link, "dim")
    for y in (bar, link):
        picture.line(left - 37, y, left - 27, y, "dim")
        picture.line(left - 32, y, left - 6, y, "guide")
    picture.line(left, link + 34, right, link + 34, "dim")
    for x in (left, right):
        picture.line(x, link + 29, x, link + 39, "dim")
        picture.line(x, link + 8, x, link + 34, "guide")
    picture.label(150, bar - 42, "A", "", "middle")
    picture.label(left - 50, 128, "B")
    picture.label(150, link + 52, "C", "links", "middle")
    picture.line(150, bar - 5, 150, bar + 34, "guide")
    picture.label(158, bar + 42, "D")
    picture.text(292, 16, "front at the top", "t2", "end")
