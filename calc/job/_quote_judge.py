"""One axle of a quote under judgement, and what a line of the answer is made of.

Why corners are enough: the force that the springs must give, (weight - unsprung weight) g / (2 motion ratio) - gas,
is monotone in each; the travel at which a stack gives it is the lesser of two straight lines, each rising with that
force and with the ring gap and falling with the preload; and so is every margin below.

Each line takes the others for granted: where the rig rides is worked as if no spring bound on the way there, and on
both springs while the ring's place is not known, for whether the ring is met at rest is a line of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from calc import units, vocabulary
from calc.constants import GRAVITY
from calc.job.coilover import ride_frequency
from calc.job.quote_entries import QuotedAxle, keys
from calc.job.quote_unknowns import UNKNOWN, spans
from calc.job.unknowns import Spans, State, Values, Verdict, extent, verdict
from calc.limits import LEAST_PRELOAD
from calc.quantity import Display, Quantity, join_unit
from calc.spring._stack_curve import StackCurve
from calc.units import INCH

# Hard limits and yardsticks, which decide the answer and are told with it (common practice, no source).
PROMISE_KEPT = 0.5 * INCH
DROOP_SHARE = 1 / 5
BUMP_SHARE = 1 / 3

FREQUENCY_BOX = ("unsprung_mass", "motion_ratio", "tire_rate", "gas_rate", "damper_length")
RIDE = ("unsprung_mass", "motion_ratio", "gas_force", "preload")


_length = vocabulary.length
# Two ends of a range that are one number but for its last bits.
_SAME = 1e-9


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the answer: a statement about one axle, its state, and what to ask.

    `depends_on` names unknowns, the most influential first; of a line that `waits` it names the entries without which
    it cannot be worked, and `unread` those of them that were typed and cannot be read. `low` and `high` are the least and greatest margin over the box, SI.
    """

    axle: str
    rule: str
    title: str
    state: State
    depends_on: tuple[str, ...] = ()
    text: str
    question: str = ""
    waits: bool = False
    unread: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None


# Entries without which some line cannot be worked at all, and that the shop can tell.
MISSING: Mapping[str, str] = {
    "tender_rate": "What is the rate of the tender spring {at}?",
    "main_rate": "What is the rate of the main spring {at}?",
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


class Judge:
    """One axle under judgement: what its coil-over does for values of the unknowns, and how that is printed."""

    def __init__(self, axle: str, own: QuotedAxle, display: Display, unclear: frozenset[str]) -> None:
        self.axle = axle
        self.own = own
        self.display = display
        self.unclear = unclear
        self.spans = spans(own)
        self.light = own.axle_mass or 0.0
        self.heavy = own.axle_mass_full or self.light
        self.when_full = " when full" if own.axle_mass_full is not None else ""
        self.stroke = own.damper_stroke or 0.0
        self.wanted_droop = DROOP_SHARE * self.stroke if own.wanted_droop is None else own.wanted_droop
        self.wanted_bump = BUMP_SHARE * self.stroke if own.wanted_bump is None else own.wanted_bump
        self.preload_floor = LEAST_PRELOAD
        self.has_tender = own.tender_rate is not None or "tender_rate" in unclear

    def knows(self, *names: str) -> bool:
        """Tell whether all of these were entered, readable or not."""
        return all(getattr(self.own, name) is not None or name in self.unclear for name in names)

    def line(self, rule: Rule) -> Line:
        full = ", full" if rule.heaviest and self.own.axle_mass_full is not None else ""
        line = Line(
            axle=self.axle,
            rule=rule.name,
            title=f"{self.axle.capitalize()}: {rule.title}{full}",
            state="depends",
            text="",
        )
        missing = self._missing(rule)
        if missing:
            unread = tuple(name for name in missing if name in self.unclear)
            absent = tuple(name for name in missing if name not in self.unclear)
            told = (_told(unread, "cannot be read"), _told(absent, "is missing" if len(absent) == 1 else "are missing"))
            return replace(
                line,
                waits=True,
                depends_on=missing,
                unread=unread,
                text=" ".join(text for text in told if text),
                question=" ".join(question(name, (self.axle,)) for name in absent if name in MISSING),
            )
        box = {name: self.spans[name] for name in rule.unknowns(self)}
        count = len(rule.margins(self, {name: span[0] for name, span in box.items()}))
        found = verdict(lambda values: rule.margins(self, values), box)
        margins = [self._margin(rule, box, place) for place in range(count)]
        case = Case(judge=self, box=box, state=found.state)
        text, asked = rule.words(case), ""
        if found.state == "depends":
            text = f"{text} {self._settled(found)}".strip()
            asked = " ".join(question(name, (self.axle,)) for name in found.decided_by)
        elif found.state == "fails":
            asked = rule.ask(case)
        return replace(
            line,
            state=found.state,
            depends_on=found.decided_by,
            text=text,
            question=asked,
            low=min(low for low, _ in margins),
            high=min(high for _, high in margins),
        )

    def _margin(self, rule: Rule, box: Spans, place: int) -> tuple[float, float]:
        return extent(lambda values: rule.margins(self, values)[place], box)

    def _missing(self, rule: Rule) -> tuple[str, ...]:
        read = (name for name in rule.reads if name in self.unclear)
        return tuple(
            name
            for name in dict.fromkeys((*rule.needs, *read))
            if getattr(self.own, name) is None or name in self.unclear
        )

    # --- what the coil-over does ---

    def stack(self, values: Values) -> StackCurve:
        return StackCurve(
            tender_rate=self.own.tender_rate,
            main_rate=self.own.main_rate or math.inf,
            preload=values.get("preload", 0.0),
            ring_gap=values.get("ring_gap", self.own.ring_gap),
        )

    def ride(self, values: Values, mass: float) -> Any:
        """Damper travel from full extension at which springs and gas hold up their half of the axle."""
        load = (mass - values["unsprung_mass"]) * GRAVITY / 2.0 / values["motion_ratio"]
        return self.stack(values).travel_at(load, extra_force=values["gas_force"])

    def full_bump(self, values: Values) -> Any:
        return self.stroke - values["solid_before_collapsed"]

    def closes(self, values: Values, which: str) -> Any:
        """How far a spring can close: free less solid length."""
        if f"{which}_closing" in values:
            return values[f"{which}_closing"]
        return getattr(self.own, f"{which}_free_length") - values[f"{which}_solid_length"]

    def closing(self, which: str) -> str:
        """Which unknown tells how far a spring can close."""
        return f"{which}_closing" if f"{which}_closing" in self.spans else f"{which}_solid_length"

    def frequency(self, values: Values) -> Any:
        """Ride frequency on both springs; the motion ratio changes as that of a leaning coil-over does."""
        load = (self.light - values["unsprung_mass"]) * GRAVITY / 2.0
        ratio = values["motion_ratio"]
        changing = -load / ratio * (1.0 - ratio**2) / values["damper_length"]
        rate = (self.stack(values).stack_rate + values["gas_rate"]) * ratio**2 + changing
        return ride_frequency(rate, values["tire_rate"], load / GRAVITY)

    # --- how it is printed ---

    def length(self, value: float, rounded: Callable[[float], float] = round) -> str:
        """Print a length to a tenth of an inch or a whole millimeter, rounded the given way."""
        return self._number(value, _length, max(0, self.display.decimals(_length) - 1), rounded)

    def exact(self, value: float) -> str:
        """Print a length that is a limit, with every place that it has."""
        return exact(value, _length, self.display)

    def between(self, low: float, high: float) -> str:
        """Print a range of lengths so that nothing of it is cut off; what is below nothing is left out."""
        if high - low < _SAME:
            return self.length(high)
        most = self.length(max(high, 0.0), math.ceil)
        if low <= 0.0:
            return f"up to {most}"
        least = self.length(low, math.floor)
        return most if least == most else f"{bare(least)} to {most}"

    def _value(self, value: float, quantity: Quantity, rounded: Callable[[float], float]) -> str:
        if quantity.kind is units.LENGTH:
            return self.length(value, rounded)
        return self._number(value, quantity, self.display.decimals(quantity), rounded)

    def _number(self, value: float, quantity: Quantity, places: int, rounded: Callable[[float], float]) -> str:
        unit = self.display.unit(quantity)
        # A value that is a whole number of the last place but for its last bit must not be rounded past it.
        shown = rounded(round(units.from_si(value, unit) * 10**places, 6)) / 10**places
        return join_unit(units.format_number(shown, places), unit.symbol)

    def _settled(self, found: Verdict) -> str:
        """Say for which values of the first unknown the line is settled, rounded to the safe side."""
        unknown = UNKNOWN[found.decided_by[0]]
        sentences = []
        if found.holds_from is not None or found.holds_to is not None:
            inside = self._inside(unknown.quantity, found.holds_from, found.holds_to)
            sentences.append(f"It holds with {unknown.with_value.format(inside)}.")
        outside = []
        if found.fails_below is not None:
            outside.append(f"less than {self._value(found.fails_below, unknown.quantity, math.floor)}")
        if found.fails_above is not None:
            outside.append(f"more than {self._value(found.fails_above, unknown.quantity, math.ceil)}")
        if outside:
            sentences.append(f"It fails with {unknown.with_value.format(' or '.join(outside))}.")
        return " ".join(sentences)

    def _inside(self, quantity: Quantity, start: float | None, end: float | None) -> str:
        least = "" if start is None else self._value(start, quantity, math.ceil)
        most = "" if end is None else self._value(end, quantity, math.floor)
        if not most:
            return f"{least} or more"
        return f"{bare(least)} to {most}" if least else f"{most} or less"


def sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def bare(text: str) -> str:
    return text.split(units.NO_BREAK)[0]


def exact(value: float, quantity: Quantity, display: Display) -> str:
    unit = display.unit(quantity)
    places = 0 if quantity.kind is units.MASS else display.decimals(quantity) + 1
    return join_unit(units.format_entry(units.from_si(value, unit), places), unit.symbol)


def _told(names: Sequence[str], what: str) -> str:
    """Return a sentence that says of these entries what they lack; nothing of none."""
    return f"{sentence(listed([f'the {entry(name)}' for name in names]))} {what}." if names else ""


def entry(name: str) -> str:
    label = keys()[f"front.{name}"].is_a.label
    return label[:1].lower() + label[1:]


@dataclass(frozen=True, kw_only=True)
class Case:
    """A line that has been judged, for its words."""

    judge: Judge
    box: Spans
    state: State

    def extent(self, function: Callable[[Values], Any]) -> tuple[float, float]:
        """Return the least and the greatest value over the box."""
        return extent(function, self.box)


class Rule:
    """One kind of line: what it must know, which unknowns it meets, its margins, and its words for an outcome.

    Without one of `needs` it cannot be worked. `reads` are entries that may be absent, but must be readable.
    A line with `only_with` exists only where these were entered.
    """

    name: str
    title: str
    needs: tuple[str, ...] = ("axle_mass", "main_rate", "damper_stroke")
    reads: tuple[str, ...] = ("axle_mass_full", "tender_rate", "preload")
    meets: tuple[str, ...] = RIDE
    only_with: tuple[str, ...] = ()
    of_tender = False
    heaviest = False

    def applies(self, judge: Judge) -> bool:
        return judge.knows(*self.only_with) and (judge.has_tender or not self.of_tender)

    def unknowns(self, judge: Judge) -> tuple[str, ...]:
        named = (judge.closing(name) if name in ("main", "tender") else name for name in self.meets)
        return tuple(name for name in named if judge.has_tender or name not in ("ring_gap", "divider_thickness"))

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        raise NotImplementedError

    def words(self, case: Case) -> str:
        raise NotImplementedError

    def ask(self, case: Case) -> str:
        """Return what to ask when the line fails whatever the unknowns are."""
        raise NotImplementedError


def listed(words: Sequence[str]) -> str:
    unique = list(dict.fromkeys(words))
    return unique[0] if len(unique) == 1 else f"{', '.join(unique[:-1])} and {unique[-1]}"
