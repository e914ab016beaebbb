"""Line drawings of what to measure on each step's page: one module, one drawing, named for its step.

The letters in it stand for the numbered things beside it on the page, in that order.
Only the build draws them, so none is shipped to a reader.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from calc.drawing.pen import Picture
from calc.errors import UnknownNameError

_WIDTH = 300


def measuring(title: str, description: str, height: float) -> Callable[[Callable[[Picture], None]], Callable[[], str]]:
    """Make SVG text of a function that draws: the picture gets its name from the function's module."""

    def made(drawing: Callable[[Picture], None]) -> Callable[[], str]:
        def drawn() -> str:
            name = drawing.__module__.rpartition(".")[2].replace("_", "-")
            picture = Picture(f"draw-{name}", title, description, _WIDTH, height)
            drawing(picture)
            return picture.svg()

        return drawn

    return made


def draw(name: str) -> str:
    """Return the measuring drawing of one step as SVG text. Raises UnknownNameError.

    >>> draw("stack").startswith('<svg viewBox="0 0 ')
    True
    >>> draw("teapot")
    Traceback (most recent call last):
        ...
    calc.errors.UnknownNameError: There is no drawing named “teapot”.
    """
    try:
        drawing: Callable[[], str] = import_module(f"{__name__}.{name}").drawing
    except (ImportError, AttributeError):
        raise UnknownNameError(f"There is no drawing named “{name}”.") from None
    return drawing()
