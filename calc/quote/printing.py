"""What a line of the answer to a quote is, and how its numbers and names are printed."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from calc import units
from calc.quantity import Display, Quantity, join_unit
from calc.quote.entries import keys
from calc.quote.spans_of_unknowns import State
from calc.quote.unknowns import UNKNOWN

# A rate of so many units is printed without decimals.
_WHOLE_FROM = 100.0
# Two ends of a range that are one number but for its last bits.
SAME = 1e-9
# So many places more than usual may be printed where with fewer a number would stand on the wrong side of its limit.
MORE_PLACES = 5


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the answer: a statement about one axle, its state, and what to ask.

    `depends_on` names unknowns, the most influential first; of a line that `waits` it names the entries without which
    it cannot be worked, and `unread` those of them that were typed and cannot be read. `low` and `high` are the least and
    greatest margin over the box, SI. `also_asks` is asked beside the unknowns: of what fails while the ring is not met.
    """

    axle: str
    rule: str
    title: str
    state: State
    depends_on: tuple[str, ...] = ()
    text: str
    question: str = ""
    also_asks: str = ""
    waits: bool = False
    unread: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None


# Entries without which some line cannot be worked at all, and that the shop can tell.
MISSING: Mapping[str, str] = {
    "tender_rate": "What is the rate of the tender spring {at}?",
    "main_rate": "What is the rate of the main spring {at}?",
    "helper_rate": "What is the rate of the helper {at}?",
    "main_free_length": "What is the free length of the main spring {at}?",
    "damper_stroke": "What stroke does the damper have {at}?",
    "preload": UNKNOWN["preload"].question,
}


def question(name: str, axles: Sequence[str]) -> str:
    """Return the question that asks for an unknown or a missing entry at these axles.

    >>> question("main_rate", ("front", "rear"))
    'What is the rate of the main spring at the front and at the rear?'
    """
    template = UNKNOWN[name].question if name in UNKNOWN else MISSING[name]
    return template.replace("{at}", " and ".join(f"at the {axle}" for axle in axles))


def sentence(text: str) -> str:
    """Return a text that begins with a capital."""
    return text[:1].upper() + text[1:]


def bare(text: str) -> str:
    """Return a printed number without its unit."""
    return text.split(units.NO_BREAK)[0]


def to_places(value: float, places: int, rounded: Callable[[float], float]) -> float:
    """Return a value rounded to so many places, up, down or to the nearest."""
    # A value that is a whole number of the last place but for its last bit must not be rounded past it.
    shown: float = rounded(round(value * 10**places, 6)) / 10**places
    return shown


def places_beside(least: int, low: float, high: float, limits: Sequence[float], same: float = SAME) -> int:
    """Return the fewest places, `least` or more, at which both ends, printed outward, stand to each limit as they are.

    >>> places_beside(1, 3.31, 3.32, (10.0 / 3.0,)), places_beside(1, 2.6, 7.2, (2.4,))
    (2, 1)
    """
    down, up = (round, round) if high - low < same else (math.floor, math.ceil)
    for places in range(least, least + MORE_PLACES):
        ends = ((low, to_places(low, places, down)), (high, to_places(high, places, up)))
        shown = [round(limit, max(places, own_places(least, limit))) for limit in limits]
        if all(
            _side(value, limit, same) == _side(told, near, same)
            for value, told in ends
            for limit, near in zip(limits, shown, strict=True)
        ):
            return places
    return least + MORE_PLACES


def own_places(least: int, limit: float) -> int:
    """Return the places that a limit has, where it ends soon."""
    ending = (places for places in range(least, least + MORE_PLACES) if abs(round(limit, places) - limit) < SAME)
    return next(ending, least)


def _side(value: float, limit: float, same: float) -> int:
    return 0 if abs(value - limit) < same else 1 if value > limit else -1


def hertz(low: float, high: float, limits: Sequence[float]) -> str:
    """Print a range of frequencies so that it stands to each limit as it is.

    >>> hertz(0.8204, 1.2496, ()).replace(units.NO_BREAK, " ")
    '0.82 to 1.25 Hz'
    """
    places = places_beside(2, low, high, limits)
    least, most = (f"{value:.{places}f}" for value in (low, high))
    return f"{least if least == most else f'{least} to {most}'}{units.NO_BREAK}Hz"


def exact(value: float, quantity: Quantity, display: Display) -> str:
    """Print a limit with every place that it has."""
    unit = display.unit(quantity)
    shown = units.from_si(value, unit)
    whole = quantity.kind is units.MASS or (quantity.kind is units.RATE and shown >= _WHOLE_FROM)
    text = units.format_entry(shown, 0 if whole else display.decimals(quantity) + 1)
    number, point, decimals = text.partition(".")
    return join_unit(f"{int(number):,}{point}{decimals}" if len(number) > 3 else text, unit.symbol)


def entry(name: str) -> str:
    """Return an entry of the quote as it is named inside a sentence."""
    label = keys()[f"front.{name}"].is_a.label
    return label[:1].lower() + label[1:]


def listed(words: Sequence[str], joined: str = "and") -> str:
    """Return words as a list in a sentence, each once."""
    unique = list(dict.fromkeys(words))
    return unique[0] if len(unique) == 1 else f"{', '.join(unique[:-1])} {joined} {unique[-1]}"
