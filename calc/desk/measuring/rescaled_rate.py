"""The same mounts and length, before and after."""

from calc.desk.measuring import measuring
from calc.drawing.pen import Picture


@measuring(
    "The same ride length under a new load",
    "Two coil-overs of the same length side by side. The left one carries the load before, A; the right one"
    " carries the load after, B. C is the length at ride, which stays the same when the rate grows as the load.",
    360,
)
def drawing(picture: Picture) -> None:
    """The measuring drawing."""
    for x, block, letter, word in ((76, 22, "A", "before"), (224, 40, "B", "after")):
        picture.rect(x - 46, 72 - block, 92, block)
        picture.arrow(x, 84, x, 116)
        picture.label(x, 72 - block - 9, letter, word, "middle")
    picture.line(12, 126, 288, 126, "guide")
    picture.line(12, 308, 288, 308, "guide")
    for x, turns in ((76, 7), (224, 9)):
        picture.coil_over(x, 126, 308, adjuster=150, seat=282, body=208, half=26, turns=(0, turns))
    picture.upright(146, 126, 308, "C", left=False)
    picture.text(76, 342, "old rate", "t", "middle")
    picture.text(224, 342, "old rate × B ÷ A", "t", "middle")
