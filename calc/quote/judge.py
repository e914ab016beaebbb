"""One axle of a quote under judgement, and what a line of the answer is made of.

Why corners are enough: the force that the springs must give, (weight - unsprung weight) g / (2 motion ratio) - gas,
is monotone in each. Springs in series, with a helper or without, are shortened by so much under a force that the travel
rises with the force, with the ring gap and with what the helper can close, and falls with the preload. What tender and
main are closed by at full bump falls or stays with the helper's closing and rises or stays with preload and full bump;
with the ring gap the tender's grows and the main's falls. The crossover rises or stays with gap and preload, and falls
or stays with the helper's closing. So every margin below moves one way with each unknown.
A ride frequency jumps where a ring is met or a helper opens: there the springs' rate is an unknown of its own, which
spans what any rest in the box may have.

Each line takes one thing for granted, and that is told: no spring binds on the way to where the rig rides.
"""

# Over 400 lines: one axle under judgement; its unknowns, its margins and the words of its numbers go by the same entries.
from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from calc import units, vocabulary
from calc.constants import GRAVITY
from calc.limits import LEAST_ADJUSTER_LEFT, LEAST_MAIN_LEFT, LEAST_PRELOAD, LEAST_TENDER_LEFT
from calc.quantity import Display, Quantity, join_unit
from calc.quote.entries import QuotedAxle
from calc.quote.printing import (
    MISSING,
    MORE_PLACES,
    SAME,
    Line,
    bare,
    entry,
    exact,
    hertz,
    listed,
    own_places,
    places_beside,
    question,
    sentence,
    to_places,
)
from calc.quote.spans_of_unknowns import Spans, State, Values, Verdict, extent, verdict
from calc.quote.unknowns import HELPER, UNKNOWN, has_helper, slope_known, spans
from calc.search.coilover import ride_frequency
from calc.spring._helped_curve import HelpedCurve, stack_curve
from calc.spring._stack_curve import StackCurve
from calc.units import INCH

# Hard limits and yardsticks, which decide the answer and are told with it (common practice, no source).
PROMISE_KEPT = 0.5 * INCH
DROOP_SHARE = 1 / 5
BUMP_SHARE = 1 / 3

LOAD = ("unsprung_mass", "motion_ratio", "gas_force")
RIDE = (*LOAD, "preload", "ring_gap", "helper")
FREQUENCY = ("unsprung_mass", "motion_ratio", "tire_rate", "gas_rate", "damper_length")
# What a spring keeps before it binds, and the adjuster of its thread, where no entry says it: by the name of the entry.
_LEAST = {
    "least_preload": LEAST_PRELOAD,
    "least_tender_left": LEAST_TENDER_LEFT,
    "least_main_left": LEAST_MAIN_LEFT,
    "least_adjuster_left": LEAST_ADJUSTER_LEFT,
}

_length = vocabulary.length


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
        self.has_tender = own.tender_rate is not None or "tender_rate" in unclear
        self.has_helper = has_helper(own) or any(name in unclear for name in HELPER)

    def knows(self, *names: str) -> bool:
        """Tell whether all of these were entered, readable or not."""
        return all(getattr(self.own, name) is not None or name in self.unclear for name in names)

    def least(self, name: str) -> float:
        """Return a limit: the entry, or what is usual."""
        own: float | None = getattr(self.own, name)
        return _LEAST[name] if own is None else own

    def box(self, names: Sequence[str]) -> Spans:
        """Return the spans of unknowns, without those that this stack does not have."""
        named = (self.closing(name) if name in ("main", "tender", "helper") else name for name in names)
        return {name: self.spans[name] for name in named if self._has(name)}

    def _has(self, name: str) -> bool:
        if name.startswith("helper"):
            return self.has_helper
        if name == "divider_thickness":
            return self.has_tender or self.has_helper
        if name == "damper_length":
            return not slope_known(self.own)
        return self.has_tender or not name.startswith(("ring", "tender"))

    def line(self, rule: Rule) -> Line:
        """Return what one rule says over everything that is not known."""
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
        box = rule.box(self)
        count = len(rule.margins(self, {name: span[0] for name, span in box.items()}))
        found = verdict(lambda values: rule.margins(self, values), box)
        margins = [self._margin(rule, box, place) for place in range(count)]
        case = Case(judge=self, box=box, state=found.state)
        text, asked, also = rule.words(case), "", ""
        decided_by = rule.decided_by(self, found)
        if found.state == "depends":
            on_both, also = self._on_both_springs(rule, box)
            text = " ".join(part for part in (text, self._settled(found), on_both) if part)
            asked = " ".join(question(name, (self.axle,)) for name in decided_by)
        elif found.state == "fails":
            asked = rule.ask(case)
        return replace(
            line,
            state=found.state,
            depends_on=decided_by,
            text=text,
            question=" ".join(part for part in (asked, also) if part),
            also_asks=also,
            low=min(low for low, _ in margins),
            high=min(high for _, high in margins),
        )

    def _margin(self, rule: Rule, box: Spans, place: int) -> tuple[float, float]:
        return extent(lambda values: rule.margins(self, values)[place], box)

    def _on_both_springs(self, rule: Rule, box: Spans) -> tuple[str, str]:
        """Say and ask what a line comes to while the ring, whose place is not told, is not met at rest."""
        if not rule.of_ride or not self.has_tender or self.own.ring_gap is not None:
            return "", ""
        unmet = {**box, "ring_gap": (math.inf, math.inf)}
        state = verdict(lambda values: rule.margins(self, values), unmet).state
        if state == "depends":
            return "", ""
        told = f"While it rides on both springs it {state} in every case."
        if state == "holds":
            return told, ""
        asked = rule.ask(Case(judge=self, box=unmet, state=state))
        return told, f"While it rides on both springs: {asked[:1].lower()}{asked[1:]}"

    def _missing(self, rule: Rule) -> tuple[str, ...]:
        helper = HELPER if self.has_helper and rule.takes_helper else ()
        read = (name for name in (*rule.reads, *helper) if name in self.unclear)
        return tuple(
            name
            for name in dict.fromkeys((*rule.needs, *helper[:1], *read))
            if getattr(self.own, name) is None or name in self.unclear
        )

    # --- what the coil-over does ---

    def stack(self, values: Values) -> StackCurve:
        """Return the springs as quoted, with the unknowns at these values."""
        return stack_curve(
            helper_rate=self.own.helper_rate,
            helper_stroke=self.closes(values, "helper") if self.has_helper else None,
            tender_rate=self.own.tender_rate,
            main_rate=self.own.main_rate or math.inf,
            preload=values["preload"],
            ring_gap=values.get("ring_gap"),
        )

    def ride(self, values: Values, mass: float) -> Any:
        """Damper travel from full extension at which springs and gas hold up their half of the axle."""
        return self.stack(values).travel_at(self.spring_force(values, mass))

    def on_both(self, values: Values, mass: float) -> Any:
        """The ride position if the ring is never reached."""
        return self.ride({**values, "ring_gap": math.inf}, mass)

    def spring_force(self, values: Values, mass: float) -> Any:
        """Return what the springs of one side give at rest."""
        load = (mass - values["unsprung_mass"]) * GRAVITY / 2.0 / values["motion_ratio"]
        return load - values["gas_force"]

    def helper_open(self, values: Values, mass: float) -> Any:
        """Return what the helper is away from closed at rest; below 0 what would close it further, could it close so far."""
        return self.closes(values, "helper") - self.spring_force(values, mass) / (self.own.helper_rate or math.inf)

    def crossover_above_ride(self, values: Values, mass: float) -> Any:
        """Return the damper travel between rest on both springs and the crossover."""
        return self.stack(values).crossover_travel - self.on_both(values, mass)

    def full_bump(self, values: Values) -> Any:
        """Return the damper travel at which the bump stop is solid."""
        return self.stroke - values["solid_before_collapsed"]

    def closes(self, values: Values, which: str) -> Any:
        """How far a spring can close: free less solid length."""
        if f"{which}_closing" in values:
            return values[f"{which}_closing"]
        return getattr(self.own, f"{which}_free_length") - values[f"{which}_solid_length"]

    def closing(self, which: str) -> str:
        """Which unknown tells how far a spring can close."""
        return f"{which}_closing" if f"{which}_closing" in self.spans else f"{which}_solid_length"

    @cached_property
    def rates_at_ride(self) -> Mapping[str, float]:
        """The springs' rates that the rig may ride on as weighed, by what carries it; never none."""
        box = self.box(RIDE)
        curve = self.stack({name: span[0] for name, span in box.items()})
        above, still_open = math.inf, (-math.inf, -math.inf)
        least = math.inf
        if self.has_tender:
            least, above = extent(lambda values: self.crossover_above_ride(values, self.light), box)
        if self.has_helper:
            still_open = extent(lambda values: self.helper_open(values, self.light), box)
        found = {}
        if isinstance(curve, HelpedCurve) and still_open[1] > SAME:
            found["with the helper still open"] = float(curve.first_rate)
        if above >= -SAME and still_open[0] <= SAME:
            found["on both springs" if self.has_tender else "on its spring"] = float(curve.stack_rate)
        if least < -SAME:
            found["on the main alone"] = float(curve.main_rate)
        return found

    def frequency(self, values: Values) -> Any:
        """Ride frequency with the springs' rate at ride; the motion ratio changes as told, or as that of a coil-over that leans."""
        load = (self.light - values["unsprung_mass"]) * GRAVITY / 2.0
        ratio = values["motion_ratio"]
        slope = self.own.motion_ratio_slope if slope_known(self.own) else -(1.0 - ratio**2) / values["damper_length"]
        rate = (values["spring_rate"] + values["gas_rate"]) * ratio**2 + load / ratio * slope
        return ride_frequency(rate, values["tire_rate"], load / GRAVITY)

    def frequency_words(self) -> str:
        """Return the ride frequencies as weighed, each with what carries the rig there."""
        told = []
        for carried, rate in self.rates_at_ride.items():
            low, high = extent(self.frequency, {**self.box(FREQUENCY), "spring_rate": (rate, rate)})
            told.append(f"{hertz(low, high, self.limits_of_frequency)} {carried}")
        return listed(told, "or")

    @property
    def limits_of_frequency(self) -> tuple[float, ...]:
        """The ends of the wanted ride frequency, as far as they are entered."""
        ends = (self.own.wanted_frequency_low, self.own.wanted_frequency_high)
        return tuple(end for end in ends if end is not None)

    @property
    def wanted_frequency(self) -> str:
        """The wanted ride frequency, as it was entered."""
        return " to ".join(f"{end:.{own_places(2, end)}f}" for end in self.limits_of_frequency) + f"{units.NO_BREAK}Hz"

    # --- how it is printed ---

    def length(self, value: float, rounded: Callable[[float], float] = round, places: int | None = None) -> str:
        """Print a length to a tenth of an inch or a whole millimeter, rounded the given way, or to more places."""
        return self._number(value, _length, self._places if places is None else places, rounded)

    @property
    def _places(self) -> int:
        return max(0, self.display.decimals(_length) - 1)

    def exact(self, value: float) -> str:
        """Print a length that is a limit, with every place that it has."""
        return exact(value, _length, self.display)

    def between(self, low: float, high: float, places: int | None = None) -> str:
        """Print a range of lengths so that nothing of it is cut off; what is below nothing is left out."""
        if high - low < SAME:
            return self.length(high, places=places)
        most = self.length(max(high, 0.0), math.ceil, places)
        if low <= 0.0:
            return f"up to {most}"
        least = self.length(low, math.floor, places)
        return most if least == most else f"{bare(least)} to {most}"

    def places(self, low: float, high: float, *limits: float) -> int:
        """Return to how many places a range of lengths is printed beside limits, so that it is on the same side of each."""
        unit = self.display.unit(_length)
        low, high, *ends = (units.from_si(value, unit) for value in (low, high, *limits))
        return places_beside(self._places, low, high, ends, units.from_si(SAME, unit))

    def sum_places(self, must: tuple[float, float], can: tuple[float, float], kept: float) -> int:
        """Return to how many places what a spring must close and can close is printed, so that the sums say what is so."""
        unit = self.display.unit(_length)
        least = self._places
        (low, high), (short, long) = ((units.from_si(end, unit) for end in ends) for ends in (must, can))
        keeps = (0.0, units.from_si(kept, unit))
        same = units.from_si(SAME, unit)
        down, up = (round, round) if high - low < same else (math.floor, math.ceil)
        shorter, longer = (round, round) if long - short < same else (math.floor, math.ceil)
        for places in range(least, least + MORE_PLACES):
            worst = to_places(high, places, up) - to_places(short, places, shorter)
            best = to_places(low, places, down) - to_places(long, places, longer)
            if all(
                (told + kept <= same) == (so + kept <= same)
                for kept in keeps
                for told, so in ((worst, high - short), (best, low - long))
            ):
                return places
        return least + MORE_PLACES

    def range(self, low: float, high: float, quantity: Quantity, limits: Sequence[float]) -> str:
        """Print a range of another quantity so that it is on the same side of each limit."""
        unit = self.display.unit(quantity)
        ends = (units.from_si(value, unit) for value in limits)
        least = self.display.decimals(quantity)
        places = places_beside(least, units.from_si(low, unit), units.from_si(high, unit), tuple(ends))
        if high - low < SAME:
            return self._number(high, quantity, places, round)
        first, last = (
            self._number(value, quantity, places, rounded) for value, rounded in ((low, math.floor), (high, math.ceil))
        )
        return last if first == last else f"{bare(first)} to {last}"

    def limit(self, value: float, places: int) -> str:
        """Print a limit beside a length that is printed to these places."""
        own = own_places(self._places, units.from_si(value, self.display.unit(_length)))
        return self.length(value, places=max(places, own))

    def _value(self, value: float, quantity: Quantity, rounded: Callable[[float], float]) -> str:
        if quantity.kind is units.LENGTH:
            return self.length(value, rounded)
        return self._number(value, quantity, self.display.decimals(quantity), rounded)

    def _number(self, value: float, quantity: Quantity, places: int, rounded: Callable[[float], float]) -> str:
        unit = self.display.unit(quantity)
        shown = to_places(units.from_si(value, unit), places, rounded)
        return join_unit(units.format_number(shown, places), unit.symbol)

    def _settled(self, found: Verdict) -> str:
        """Say for which values of the first unknown the line is settled, rounded to the safe side."""
        if found.decided_by[0] not in UNKNOWN:
            return ""
        name = found.decided_by[0]
        unknown = UNKNOWN[name]
        sentences = []
        if found.holds_from is not None or found.holds_to is not None:
            inside = self._inside(unknown.quantity, found.holds_from, found.holds_to)
            none = self._inside(unknown.quantity, None, self.spans[name][0])
            # Printed to the safe side nothing may be left of a sliver.
            if inside != none:
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


def _told(names: Sequence[str], what: str) -> str:
    """Return a sentence that says of these entries what they lack; nothing of none."""
    return f"{sentence(listed([f'the {entry(name)}' for name in names]))} {what}." if names else ""


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
    A line with `only_with` exists only where these were entered. `of_ride` says that its verdict is of where the rig rides.
    """

    name: str
    title: str
    needs: tuple[str, ...] = ("axle_mass", "main_rate", "damper_stroke")
    reads: tuple[str, ...] = ("axle_mass_full", "tender_rate", "preload", "ring_gap")
    meets: tuple[str, ...] = RIDE
    only_with: tuple[str, ...] = ()
    of_tender = False
    of_ride = False
    takes_helper = True
    heaviest = False

    def applies(self, judge: Judge) -> bool:
        """Tell whether the quote says enough for this rule to have a line."""
        return judge.knows(*self.only_with) and (judge.has_tender or not self.of_tender)

    def box(self, judge: Judge) -> Spans:
        """Return the unknowns that the line meets, with their spans."""
        return judge.box(self.meets)

    def decided_by(self, _judge: Judge, found: Verdict) -> tuple[str, ...]:
        """Return the unknowns to ask for."""
        return found.decided_by

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        """Return by how much each of its limits is kept with the unknowns at these values; below zero is a miss."""
        raise NotImplementedError

    def words(self, case: Case) -> str:
        """Return what the line says."""
        raise NotImplementedError

    def ask(self, case: Case) -> str:
        """Return what to ask when the line fails whatever the unknowns are."""
        raise NotImplementedError
