"""The lines of the answer to a quote: each a statement about one axle, judged over everything the quote does not say.

What neither quote nor scale slip tells (unsprung weight, motion ratio, preload, ring, gas, solid lengths) is tried over
its whole plausible span at once. A line then holds whatever the unknowns are, fails whatever they are, or depends on
some of them, and those are what to ask the shop. Left and right are taken alike.

Why corners are enough: the force that the springs must give, (weight - unsprung weight) g / (2 motion ratio) - gas,
is monotone in each; the travel at which a stack gives it is the lesser of two straight lines, each rising with that
force and with the ring gap and falling with the preload; and so is every margin below.

Each line takes the others for granted: where the rig rides is worked as if no spring bound on the way there, and on
both springs while the ring's place is not known, for whether the ring is met at rest is a line of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from calc import units, vocabulary
from calc.constants import GRAVITY
from calc.job.coilover import ride_frequency
from calc.job.quote_entries import AXLES, Quote, QuotedAxle, keys
from calc.job.quote_unknowns import UNKNOWN, spans
from calc.job.unknowns import Spans, State, Values, Verdict, extent, verdict
from calc.quantity import SHOP, Display, Quantity, join_unit
from calc.spring._stack_curve import StackCurve
from calc.units import INCH

_length = vocabulary.length


# Hard limits and yardsticks, which decide the answer and are told with it (common practice, no source).
PRELOAD_FLOOR = 0.375 * INCH
MAIN_LEFT = 0.5 * INCH
TENDER_LEFT = 0.375 * INCH
ADJUSTER_RESERVE = 0.25 * INCH
PROMISE_KEPT = 0.5 * INCH
DROOP_SHARE = 1 / 5
BUMP_SHARE = 1 / 3

FREQUENCY_BOX = ("unsprung_mass", "motion_ratio", "tire_rate", "gas_rate", "damper_length")
_RIDE = ("unsprung_mass", "motion_ratio", "gas_force", "preload")


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the answer: a statement about one axle, its state, and what to ask.

    `depends_on` names unknowns, the most influential first; of a line that `waits` it names the entries without which
    it cannot be worked. `low` and `high` are the least and greatest margin over the box, SI.
    """

    axle: str
    rule: str
    title: str
    state: State
    depends_on: tuple[str, ...] = ()
    text: str
    question: str = ""
    waits: bool = False
    low: float | None = None
    high: float | None = None


# --- the lines ---------------------------------------------------------------------------------------------------------------


_SAME = 1e-9


def judge(quote: Quote, display: Display = SHOP, unclear: frozenset[str] = frozenset()) -> tuple[Line, ...]:
    """Return every line of the answer, front axle first; an axle of which nothing is entered has none.

    `unclear` are keys of entries that were typed but cannot be used: what needs one of them waits for it.
    """
    found: list[Line] = []
    for axle in AXLES:
        own = quote.axle(axle)
        marked = frozenset(key.partition(".")[2] for key in unclear if key.startswith(f"{axle}."))
        if marked or any(getattr(own, item.name) is not None for item in fields(QuotedAxle)):
            judged = _Judge(axle, own, display, marked)
            found += [judged.line(rule) for rule in _RULES if rule.applies(judged)]
    return tuple(found)


class _Judge:
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
        self.preload_floor = PRELOAD_FLOOR
        self.has_tender = own.tender_rate is not None or "tender_rate" in unclear

    def knows(self, *names: str) -> bool:
        """Tell whether all of these were entered, readable or not."""
        return all(getattr(self.own, name) is not None or name in self.unclear for name in names)

    def line(self, rule: _Rule) -> Line:
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
            entries = _listed([f"the {_entry(name)}" for name in missing])
            absent = (name for name in missing if name in MISSING and name not in self.unclear)
            return replace(
                line,
                waits=True,
                depends_on=missing,
                text=f"{_sentence(entries)} {'is' if len(missing) == 1 else 'are'} missing, or cannot be read.",
                question=" ".join(question(name, (self.axle,)) for name in absent),
            )
        box = {name: self.spans[name] for name in rule.unknowns(self)}
        count = len(rule.margins(self, {name: span[0] for name, span in box.items()}))
        found = verdict(lambda values: rule.margins(self, values), box)
        margins = [self._margin(rule, box, place) for place in range(count)]
        case = _Case(judge=self, box=box, state=found.state)
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

    def _margin(self, rule: _Rule, box: Spans, place: int) -> tuple[float, float]:
        return extent(lambda values: rule.margins(self, values)[place], box)

    def _missing(self, rule: _Rule) -> tuple[str, ...]:
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
        return _exact(value, _length, self.display)

    def between(self, low: float, high: float) -> str:
        """Print a range of lengths so that nothing of it is cut off; what is below nothing is left out."""
        if high - low < _SAME:
            return self.length(high)
        most = self.length(max(high, 0.0), math.ceil)
        if low <= 0.0:
            return f"up to {most}"
        least = self.length(low, math.floor)
        return most if least == most else f"{_bare(least)} to {most}"

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
        return f"{_bare(least)} to {most}" if least else f"{most} or less"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _bare(text: str) -> str:
    return text.split(units.NO_BREAK)[0]


def _exact(value: float, quantity: Quantity, display: Display) -> str:
    unit = display.unit(quantity)
    places = 0 if quantity.kind is units.MASS else display.decimals(quantity) + 1
    return join_unit(units.format_entry(units.from_si(value, unit), places), unit.symbol)


def _entry(name: str) -> str:
    label = keys()[f"front.{name}"].is_a.label
    return label[:1].lower() + label[1:]


@dataclass(frozen=True, kw_only=True)
class _Case:
    """A line that has been judged, for its words."""

    judge: _Judge
    box: Spans
    state: State

    def extent(self, function: Callable[[Values], Any]) -> tuple[float, float]:
        """Return the least and the greatest value over the box."""
        return extent(function, self.box)


class _Rule:
    """One kind of line: what it must know, which unknowns it meets, its margins, and its words for an outcome.

    Without one of `needs` it cannot be worked. `reads` are entries that may be absent, but must be readable.
    A line with `only_with` exists only where these were entered.
    """

    name: str
    title: str
    needs: tuple[str, ...] = ("axle_mass", "main_rate", "damper_stroke")
    reads: tuple[str, ...] = ("axle_mass_full", "tender_rate", "preload")
    meets: tuple[str, ...] = _RIDE
    only_with: tuple[str, ...] = ()
    of_tender = False
    heaviest = False

    def applies(self, judge: _Judge) -> bool:
        return judge.knows(*self.only_with) and (judge.has_tender or not self.of_tender)

    def unknowns(self, judge: _Judge) -> tuple[str, ...]:
        named = (judge.closing(name) if name in ("main", "tender") else name for name in self.meets)
        return tuple(name for name in named if judge.has_tender or name not in ("ring_gap", "divider_thickness"))

    def margins(self, judge: _Judge, values: Values) -> tuple[Any, ...]:
        raise NotImplementedError

    def words(self, case: _Case) -> str:
        raise NotImplementedError

    def ask(self, case: _Case) -> str:
        """Return what to ask when the line fails whatever the unknowns are."""
        raise NotImplementedError


class _Carries(_Rule):
    name = "carries"
    title = "carries the rig"
    meets = (*_RIDE, "solid_before_collapsed")

    def margins(self, judge: _Judge, values: Values) -> tuple[Any, ...]:
        ride = judge.ride(values, judge.light)
        return ride - judge.wanted_droop, judge.full_bump(values) - ride

    def words(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: judge.ride(values, judge.light))
        if case.state == "fails" and low > judge.wanted_droop:
            needed = judge.between(low, high)
            return f"It would take {needed} of a stroke of {judge.length(judge.stroke)}, so it sits on its stops."
        wanted = f"Wanted: {judge.length(judge.wanted_droop)} of droop{_share(judge.own.wanted_droop, 'a fifth')}."
        if high <= 0.0:
            return f"The springs at full droop push more than the rig weighs, so it stands topped out. {wanted}"
        only = "only " if case.state == "fails" else ""
        ends = " It could stand topped out." if low < 0.0 else ""
        ends += " It could sit on its stops." if high > judge.stroke else ""
        return f"It rides {only}{judge.between(low, min(high, judge.stroke))} into its stroke.{ends} {wanted}"

    def ask(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: judge.ride(values, judge.light))
        if low > judge.wanted_droop:
            return f"The {judge.axle} springs do not hold the rig off its stops: for which weight were they chosen?"
        left = judge.length(max(high, 0.0), math.ceil)
        return f"The {judge.axle} has at most {left} of droop at ride: for which weight was it chosen?"


class _Bump(_Rule):
    name = "bump"
    title = "bump travel left"
    meets = (*_RIDE, "solid_before_collapsed")
    heaviest = True

    def left(self, judge: _Judge, values: Values) -> Any:
        return judge.full_bump(values) - judge.ride(values, judge.heavy)

    def margins(self, judge: _Judge, values: Values) -> tuple[Any, ...]:
        return (self.left(judge, values) - judge.wanted_bump,)

    def words(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.left(judge, values))
        wanted = f"Wanted: {judge.length(judge.wanted_bump)}{_share(judge.own.wanted_bump, 'a third')}."
        cure = "A stiffer pair, more preload or a longer stroke would change that."
        if high <= 0.0:
            return f"Nothing is left: it sits on its stops. {wanted} {cure}"
        if case.state == "fails":
            return f"At most {judge.length(high, math.ceil)} is left before the stop is solid. {wanted} {cure}"
        return f"{_sentence(judge.between(low, min(high, judge.stroke)))} is left before the stop is solid. {wanted}"

    def ask(self, case: _Case) -> str:
        judge = case.judge
        _, high = case.extent(lambda values: self.left(judge, values))
        left = judge.length(max(high, 0.0), math.ceil)
        return f"The {judge.axle} has at most {left} of bump left{judge.when_full}: for which weight was it chosen?"


class _Promise(_Rule):
    name = "promise"
    title = "rides as promised"
    reads = (*_Rule.reads, "shaft_showing")
    only_with = ("shaft_showing",)

    def shows(self, judge: _Judge, values: Values) -> Any:
        return judge.stroke - judge.ride(values, judge.light)

    def margins(self, judge: _Judge, values: Values) -> tuple[Any, ...]:
        above = self.shows(judge, values) - (judge.own.shaft_showing or 0.0)
        return PROMISE_KEPT + above, PROMISE_KEPT - above

    def words(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.shows(judge, values))
        promised = f"Promised: {judge.exact(judge.own.shaft_showing or 0.0)}, give or take {judge.exact(PROMISE_KEPT)}."
        return f"{_sentence(judge.between(low, min(high, judge.stroke)))} of shaft shows at ride. {promised}"

    def ask(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.shows(judge, values))
        promised = judge.exact(judge.own.shaft_showing or 0.0)
        showing = judge.between(low, min(high, judge.stroke))
        return f"The {judge.axle} would show {showing} of shaft at ride, not {promised}: for which weight is that?"


class _Frequency(_Rule):
    name = "frequency"
    title = "ride frequency as wanted"
    meets = FREQUENCY_BOX
    only_with = ("wanted_frequency_low", "wanted_frequency_high")
    reads = (*_Rule.reads, *only_with)

    def margins(self, judge: _Judge, values: Values) -> tuple[Any, ...]:
        frequency = judge.frequency(values)
        low, high = judge.own.wanted_frequency_low or 0.0, judge.own.wanted_frequency_high or math.inf
        return frequency - low, high - frequency

    def words(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(judge.frequency)
        wanted = f"{judge.own.wanted_frequency_low or 0.0:.2f} to {judge.own.wanted_frequency_high or 0.0:.2f}"
        return f"{low:.2f} to {high:.2f}{units.NO_BREAK}Hz before the crossover. Wanted: {wanted}{units.NO_BREAK}Hz."

    def ask(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(judge.frequency)
        return f"The {judge.axle} would ride at {low:.2f} to {high:.2f}{units.NO_BREAK}Hz: which frequency was it chosen for?"


class _Crossover(_Rule):
    name = "crossover"
    title = "crossover above ride"
    meets = ("ring_gap", *_RIDE)
    reads = (*_Rule.reads, "ring_gap")
    of_tender = True
    heaviest = True

    def on_both(self, judge: _Judge, values: Values) -> Any:
        """The ride position if the ring is never met."""
        return judge.ride({**values, "ring_gap": math.inf}, judge.heavy)

    def margins(self, judge: _Judge, values: Values) -> tuple[Any, ...]:
        return (judge.stack(values).crossover_travel - self.on_both(judge, values),)

    def words(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.on_both(judge, values))
        stands = f"On both springs it rides {judge.between(low, high)} into its stroke"
        if high > judge.stroke:
            stands = (
                f"On both springs it would take {judge.between(low, high)} of its {judge.length(judge.stroke)} stroke"
            )
        if judge.own.ring_gap is None:
            return f"{stands}. Without the ring’s place the firm part could start before that, or never."
        start, end = case.extent(lambda values: judge.stack(values).crossover_travel)
        met = "is never met" if start >= judge.stroke else f"is met at {judge.between(start, end)}"
        return f"{stands}; the ring {met}."

    def ask(self, case: _Case) -> str:
        judge = case.judge
        return (
            f"The {judge.axle} stands on its main spring alone{judge.when_full}: is its ring meant to be met at rest?"
        )


class _Binds(_Rule):
    """A spring must not close to its solid length."""

    needs = ("main_rate", "damper_stroke")
    reads: tuple[str, ...] = ("tender_rate", "preload", "ring_gap")
    which: str
    kept: float

    def closed(self, judge: _Judge, values: Values) -> Any:
        raise NotImplementedError

    def margins(self, judge: _Judge, values: Values) -> tuple[Any, ...]:
        return (judge.closes(values, self.which) - self.kept - self.closed(judge, values),)

    def can(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: judge.closes(values, self.which))
        free = getattr(judge.own, f"{self.which}_free_length")
        if free is None:
            return "A spring can close by its free length less its solid length."
        if getattr(judge.own, f"{self.which}_solid_length") is None:
            return f"A spring {judge.exact(free)} long can close {judge.between(low, high)} or so."
        return f"It can close {judge.exact(high)}."


class _TenderBinds(_Binds):
    name = "tender"
    title = "tender spring at the ring"
    meets = ("ring_gap", "tender", "preload", "solid_before_collapsed")
    reads = (*_Binds.reads, "tender_free_length", "tender_solid_length")
    of_tender = True
    which = "tender"
    kept = TENDER_LEFT

    def closed(self, judge: _Judge, values: Values) -> Any:
        return judge.stack(values).tender_compression(judge.full_bump(values))

    def words(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.closed(judge, values))
        must = (
            f"It must close {judge.between(low, high)} before the ring takes over, and keep {judge.exact(self.kept)}."
        )
        return f"{must} {self.can(case)}"

    def ask(self, case: _Case) -> str:
        return f"The {case.judge.axle} tender binds before its ring takes over: is that meant?"


class _MainBinds(_Binds):
    name = "main"
    title = "main spring at full bump"
    meets = ("ring_gap", "main", "preload", "solid_before_collapsed")
    reads = (*_Binds.reads, "main_free_length", "main_solid_length")
    which = "main"
    kept = MAIN_LEFT

    def closed(self, judge: _Judge, values: Values) -> Any:
        return judge.stack(values).main_compression(judge.full_bump(values))

    def words(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.closed(judge, values))
        included = "ring and preload included" if judge.has_tender else "preload included"
        must = f"It must close {judge.between(low, high)}, {included}, and keep {judge.exact(self.kept)}."
        return f"{must} {self.can(case)}"

    def ask(self, case: _Case) -> str:
        return f"The {case.judge.axle} main binds before full bump: what stops the axle before that?"


class _Tight(_Rule):
    name = "tight"
    title = "springs tight at full droop"
    needs = ("preload",)
    reads = ()
    meets = ("preload",)
    only_with = ("preload",)

    def margins(self, judge: _Judge, values: Values) -> tuple[Any, ...]:
        return (values["preload"] - judge.preload_floor,)

    def words(self, case: _Case) -> str:
        judge = case.judge
        preload, floor = judge.exact(judge.own.preload or 0.0), judge.exact(judge.preload_floor)
        return f"The preload is {preload}. Wanted: {floor} or more, so that nothing falls loose when the springs set."

    def ask(self, case: _Case) -> str:
        return f"What keeps the {case.judge.axle} springs in their seats at full droop?"


class _Seats(_Rule):
    name = "seats"
    title = "springs fit between their seats"
    needs = ("main_free_length", "seat_space")
    reads = ("tender_rate", "tender_free_length", "adjuster_range", "divider_thickness", "preload")
    meets = ("preload", "adjuster_range", "divider_thickness")
    only_with = ("main_free_length", "seat_space")

    def applies(self, judge: _Judge) -> bool:
        return super().applies(judge) and (judge.knows("tender_free_length") or not judge.has_tender)

    def turned(self, judge: _Judge, values: Values) -> Any:
        """How far the adjuster is run down for a preload."""
        own = judge.own
        tender = (own.tender_free_length or 0.0) if judge.has_tender else 0.0
        taken = (own.main_free_length or 0.0) + tender + values.get("divider_thickness", 0.0)
        return values["preload"] + (own.seat_space or 0.0) - taken

    def margins(self, judge: _Judge, values: Values) -> tuple[Any, ...]:
        turned = self.turned(judge, values)
        return turned, values["adjuster_range"] - ADJUSTER_RESERVE - turned

    def words(self, case: _Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.turned(judge, values))
        if high < 0.0:
            return f"They are {judge.between(-high, -low)} too long, even with the adjuster backed off."
        least, most = case.box["adjuster_range"]
        return (
            f"The adjuster must be run down {judge.between(low, high)}; it can {judge.between(least, most)}, "
            f"of which {judge.exact(ADJUSTER_RESERVE)} is kept for set."
        )

    def ask(self, case: _Case) -> str:
        return f"The {case.judge.axle} springs do not fit between their seats: which lengths are meant?"


_RULES: tuple[_Rule, ...] = (
    _Carries(),
    _Bump(),
    _Promise(),
    _Frequency(),
    _Crossover(),
    _TenderBinds(),
    _MainBinds(),
    _Tight(),
    _Seats(),
)


def _share(own: float | None, words: str) -> str:
    return f", {words} of the stroke" if own is None else ""


# --- questions ------------------------------------------------------------------------------------------------------------------

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


def questions(lines: Sequence[Line]) -> tuple[str, ...]:
    """Return what to send to the shop: each unknown once, for all axles that need it, then what fails."""
    asked: dict[str, list[str]] = {}
    for line in lines:
        if line.state == "depends" and line.question:
            for name in line.depends_on:
                if name in UNKNOWN or name in MISSING:
                    axles = asked.setdefault(name, [])
                    axles += [line.axle] if line.axle not in axles else []
    merged = {question(name, axles): None for name, axles in asked.items()}
    merged |= dict.fromkeys(line.question for line in lines if line.state == "fails")
    return tuple(merged)


def tally(lines: Sequence[Line]) -> tuple[tuple[int, str], ...]:
    """Return how many lines hold, are to ask, fail, and wait for an entry, each with its word."""
    waits = sum(line.waits for line in lines)
    count = {state: sum(line.state == state for line in lines) for state in ("holds", "depends", "fails")}
    found = (
        (count["holds"], "holds" if count["holds"] == 1 else "hold"),
        (count["depends"] - waits, "to ask"),
        (count["fails"], "fails" if count["fails"] == 1 else "fail"),
    )
    return (*found, (waits, "waits" if waits == 1 else "wait")) if waits else found


def depends_words(line: Line) -> str:
    """Return what a line depends on, in words.

    >>> one = Line(axle="rear", rule="bump", title="", state="depends", depends_on=("preload", "ring_gap"), text="")
    >>> depends_words(one)
    'the preload and the stop ring'
    """
    return _listed([UNKNOWN[name].words if name in UNKNOWN else f"the {_entry(name)}" for name in line.depends_on])


def verdict_words(line: Line) -> str:
    """Return a line's verdict: holds, depends on something, or fails."""
    if line.state == "depends":
        return f"{'Waits for' if line.waits else 'Depends on'} {depends_words(line)}"
    return f"{line.state.capitalize()}, whatever the rest is"


def _listed(words: Sequence[str]) -> str:
    unique = list(dict.fromkeys(words))
    return unique[0] if len(unique) == 1 else f"{', '.join(unique[:-1])} and {unique[-1]}"


# --- what was assumed -------------------------------------------------------------------------------------------------------


def assumed(quote: Quote, display: Display = SHOP) -> str:
    """Return the sentence that says which unknowns were tried over which span, or nothing while no axle is entered."""
    entered = [axle for axle in AXLES if _entered(quote.axle(axle))]
    if not entered:
        return ""
    parts = []
    for name, is_open in _OPEN.items():
        where = [axle for axle in entered if is_open(quote.axle(axle))]
        unknown = UNKNOWN[name]
        ranges = {axle: _span_text(spans(quote.axle(axle))[name], unknown.quantity, display) for axle in where}
        if len(set(ranges.values())) == 1 and where == entered:
            parts.append(unknown.with_value.format(ranges[where[0]]))
        elif where:
            parts.append(", ".join(f"{unknown.with_value.format(ranges[axle])} at the {axle}" for axle in where))
    ring_unknown = any(
        quote.axle(axle).tender_rate is not None and quote.axle(axle).ring_gap is None for axle in entered
    )
    sentences = []
    if ring_unknown:
        parts.append("a stop ring anywhere")
    if parts:
        listed = "; ".join(parts)
        sentences.append(f"Not on the quote, so tried over a whole range (common practice, no source): {listed}.")
    if ring_unknown:
        sentences.append("Where it rides is worked on both springs; whether the ring is met before has its own line.")
    sentences.append("Weights and rates count as entered, left and right as alike, and there is no limit strap.")
    return " ".join(sentences)


def _entered(own: QuotedAxle) -> bool:
    return own.axle_mass is not None and own.main_rate is not None and own.damper_stroke is not None


def _lacks(name: str) -> Callable[[QuotedAxle], bool]:
    return lambda own: getattr(own, name) is None


# What is told of an axle as tried over a span, and when.
_OPEN: Mapping[str, Callable[[QuotedAxle], bool]] = {
    **{name: _lacks(name) for name in (*_RIDE, "solid_before_collapsed")},
    "main_solid_length": lambda own: own.main_free_length is not None and own.main_solid_length is None,
    "main_closing": _lacks("main_free_length"),
    "tender_solid_length": lambda own: own.tender_free_length is not None and own.tender_solid_length is None,
    "tender_closing": lambda own: own.tender_rate is not None and own.tender_free_length is None,
}


def _span_text(span: tuple[float, float], quantity: Quantity, display: Display) -> str:
    low, high = (_exact(value, quantity, display) for value in span)
    return f"{_bare(low)} to {high}"


def frequencies(quote: Quote, display: Display = SHOP) -> str:
    """Return the sentence that tells the ride frequencies, which no line judges unless the reader wishes one."""
    found = []
    for axle in AXLES:
        own = quote.axle(axle)
        if not _entered(own):
            continue
        judged = _Judge(axle, own, display, frozenset())
        box = {name: judged.spans[name] for name in FREQUENCY_BOX}
        low, high = _Case(judge=judged, box=box, state="holds").extent(judged.frequency)
        found.append(f"{axle} {low:.2f} to {high:.2f}{units.NO_BREAK}Hz")
    if not found:
        return ""
    return (
        f"Ride frequency before the crossover: {', '.join(found)}. "
        "No range for such rigs has been published, so it is told and not judged."
    )
