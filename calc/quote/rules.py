"""The kinds of line that the answer to a quote may have: what each needs, its margins, and its words."""

# Over 400 lines: the kinds of line of one answer, each with its margins and its words; they are read side by side.
from __future__ import annotations

import math
from typing import Any

from calc import vocabulary
from calc.limits import BY_NAME
from calc.quote.judge import (
    FREQUENCY,
    LOAD,
    PROMISE_KEPT,
    RIDE,
    Case,
    Judge,
    Rule,
)
from calc.quote.printing import sentence
from calc.quote.spans_of_unknowns import Spans, Values, Verdict, verdict


class _Carries(Rule):
    name = "carries"
    title = "carries the rig"
    of_ride = True
    meets = (*RIDE, "solid_before_collapsed")

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        ride = judge.ride(values, judge.light)
        # Nothing of a strap is told of a quote: its droop is counted from full extension.
        droop = BY_NAME["droop"].margin({"droop_left": ride, "wanted_droop": judge.wanted_droop})
        left = judge.full_bump(values) - ride
        return droop, BY_NAME["bump"].margin({"bump_left": left, "wanted_bump": 0.0})

    def words(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: judge.ride(values, judge.light))
        if case.state == "fails" and low > judge.wanted_droop:
            stop = case.extent(judge.full_bump)
            places = judge.places(low, high, *stop)
            solid = judge.between(*stop, places=places)
            return f"It would take {judge.between(low, high, places)} of stroke; the stop is solid at {solid}, so it sits on it."
        places = judge.places(low, min(high, judge.stroke), judge.wanted_droop)
        wanted = (
            f"Wanted: {judge.limit(judge.wanted_droop, places)} of droop{_share(judge.own.wanted_droop, 'a fifth')}."
        )
        if high <= 0.0:
            return f"The springs at full droop push more than the rig weighs, so it sits topped out. {wanted}"
        only = "only " if case.state == "fails" else ""
        ends = " It could sit topped out." if low < 0.0 else ""
        ends += " It could sit on its stops." if high > judge.stroke else ""
        return f"It rides {only}{judge.between(low, min(high, judge.stroke), places)} into its stroke.{ends} {wanted}"

    def ask(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: judge.ride(values, judge.light))
        if low > judge.wanted_droop:
            return f"The {judge.axle} springs do not hold the rig off its stops: for which weight were they chosen?"
        left = judge.length(max(high, 0.0), math.ceil)
        return f"The {judge.axle} has at most {left} of droop at ride: for which weight was it chosen?"


class _Bump(Rule):
    name = "bump"
    title = "bump travel left"
    of_ride = True
    meets = (*RIDE, "solid_before_collapsed")
    heaviest = True

    def left(self, judge: Judge, values: Values) -> Any:
        return judge.full_bump(values) - judge.ride(values, judge.heavy)

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        return BY_NAME["bump"].sides({"bump_left": self.left(judge, values), "wanted_bump": judge.wanted_bump})

    def words(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.left(judge, values))
        places = judge.places(low, min(high, judge.stroke), judge.wanted_bump)
        wanted = f"Wanted: {judge.limit(judge.wanted_bump, places)}{_share(judge.own.wanted_bump, 'a third')}."
        cure = "A stiffer pair, more preload or a longer stroke would change that."
        if high <= 0.0:
            return f"Nothing is left: it sits on its stops. {wanted} {cure}"
        if case.state == "fails":
            return f"At most {judge.length(high, math.ceil, places)} is left before the stop is solid. {wanted} {cure}"
        left = judge.between(low, min(high, judge.stroke), places)
        return f"{sentence(left)} is left before the stop is solid. {wanted}"

    def ask(self, case: Case) -> str:
        judge = case.judge
        _, high = case.extent(lambda values: self.left(judge, values))
        left = judge.length(max(high, 0.0), math.ceil)
        return f"The {judge.axle} has at most {left} of bump left{judge.when_full}: for which weight was it chosen?"


class _Promise(Rule):
    name = "promise"
    title = "rides as promised"
    of_ride = True
    reads = (*Rule.reads, "shaft_showing")
    only_with = ("shaft_showing",)

    def shows(self, judge: Judge, values: Values) -> Any:
        return judge.stroke - judge.ride(values, judge.light)

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        above = self.shows(judge, values) - (judge.own.shaft_showing or 0.0)
        return PROMISE_KEPT + above, PROMISE_KEPT - above

    def words(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.shows(judge, values))
        promised = f"Promised: {judge.exact(judge.own.shaft_showing or 0.0)}, give or take {judge.exact(PROMISE_KEPT)}."
        return f"{sentence(self._showing(judge, low, high))} of shaft shows at ride. {promised}"

    def _showing(self, judge: Judge, low: float, high: float) -> str:
        promised = judge.own.shaft_showing or 0.0
        most = min(high, judge.stroke)
        return judge.between(low, most, judge.places(low, most, promised - PROMISE_KEPT, promised + PROMISE_KEPT))

    def ask(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.shows(judge, values))
        promised = judge.exact(judge.own.shaft_showing or 0.0)
        showing = self._showing(judge, low, high)
        return f"The {judge.axle} would show {showing} of shaft at ride, not {promised}: for which weight is that?"


class _Frequency(Rule):
    name = "frequency"
    title = "ride frequency as wanted"
    meets = FREQUENCY
    only_with = ("wanted_frequency_low", "wanted_frequency_high")
    reads = (*Rule.reads, *only_with)

    def box(self, judge: Judge) -> Spans:
        rates = judge.rates_at_ride.values()
        return {**super().box(judge), "spring_rate": (min(rates), max(rates))}

    def decided_by(self, judge: Judge, found: Verdict) -> tuple[str, ...]:
        """Name, for the springs' rate at ride, what decides whether the ring is met there and the helper closed."""
        names: dict[str, None] = {}
        for name in found.decided_by:
            names |= dict.fromkeys(_what_carries(judge) if name == "spring_rate" else (name,))
        return tuple(names)

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        numbers = {
            "ride_frequency": judge.frequency(values),
            "wanted_frequency_low": judge.own.wanted_frequency_low or 0.0,
            "wanted_frequency_high": judge.own.wanted_frequency_high or math.inf,
        }
        return BY_NAME["ride_frequency"].sides(numbers)

    def words(self, case: Case) -> str:
        judge = case.judge
        told = judge.frequency_words()
        weighed = ", as weighed" if judge.own.axle_mass_full is not None else ""
        return f"{told}{weighed}. Wanted: {judge.wanted_frequency}."

    def ask(self, case: Case) -> str:
        judge = case.judge
        told = judge.frequency_words()
        return f"The {judge.axle} would ride at {told}: which frequency was it chosen for?"


def _what_carries(judge: Judge) -> tuple[str, ...]:
    """Return the unknowns that decide on which springs the rig rides as weighed."""
    box = judge.box(RIDE)
    names: tuple[str, ...] = ()
    if judge.has_tender:
        names += verdict(lambda values: (judge.crossover_above_ride(values, judge.light),), box).decided_by
    if judge.has_helper:
        names += verdict(lambda values: (-judge.helper_open(values, judge.light),), box).decided_by
    return names


class _Crossover(Rule):
    name = "crossover"
    title = "crossover above ride"
    meets = RIDE
    of_tender = True
    heaviest = True

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        above = judge.crossover_above_ride(values, judge.heavy)
        return BY_NAME["ring_at_rest"].sides({"crossover_above_ride": above})

    def words(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: judge.on_both(values, judge.heavy))
        ring = case.extent(lambda values: judge.stack(values).crossover_travel)
        told = judge.own.ring_gap is not None
        places = judge.places(low, high, *(ring if told else ()))
        stands = f"On both springs it rides {judge.between(low, high, places)} into its stroke"
        if high > judge.stroke:
            whole = judge.length(judge.stroke, places=places)
            stands = f"On both springs it would take {judge.between(low, high, places)} of its {whole} stroke"
        swapped = ""
        if (judge.own.tender_rate or 0.0) > (judge.own.main_rate or math.inf):
            swapped = " The tender is the stiffer of the two: are they swapped?"
        if not told:
            return f"{stands}. Without the ring’s position the firm part could start before that, or never.{swapped}"
        return f"{stands}; {_ring_met(judge, ring, places)}.{swapped}"

    def ask(self, case: Case) -> str:
        judge = case.judge
        return f"The {judge.axle} rides on its main spring alone{judge.when_full}: is its ring meant to be reached at rest?"


def _ring_met(judge: Judge, ring: tuple[float, float], places: int) -> str:
    """Say where in the stroke a ring is met, or that it is not, as far as the bump stop lets that be known."""
    least, most = judge.spans["solid_before_collapsed"]
    stop = (judge.stroke - most, judge.stroke - least)
    if ring[0] > stop[1]:
        return "the ring is never reached"
    maybe = "" if ring[1] <= stop[0] else ", if the bump stop is not solid before"
    return f"the ring is reached at {judge.between(*ring, places=places)}{maybe}"


class _RingReached(Rule):
    """A ring that is told must be met before the stop is solid; one further away than the whole stroke is as good as none."""

    name = "ring"
    title = "stop ring reached before full bump"
    needs = ("main_rate", "damper_stroke")
    meets = ("ring_gap", "preload", "helper", "solid_before_collapsed")
    only_with = ("ring_gap",)
    reads = ("tender_rate", "ring_gap", "preload")
    of_tender = True

    def applies(self, judge: Judge) -> bool:
        gap, stroke = judge.own.ring_gap, judge.own.damper_stroke
        return super().applies(judge) and (gap is None or stroke is None or gap < stroke)

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        crossover = judge.stack(values).crossover_travel
        return BY_NAME["ring_unreached"].sides({"crossover_travel": crossover, "bump_limit": judge.full_bump(values)})

    def words(self, case: Case) -> str:
        judge = case.judge
        ring = case.extent(lambda values: judge.stack(values).crossover_travel)
        stop = case.extent(judge.full_bump)
        places = judge.places(*ring, *stop)
        met, solid = judge.between(*ring, places=places), judge.between(*stop, places=places)
        if case.state == "fails":
            return f"The ring is never reached: it would be at {met}, and the stop is solid at {solid}."
        return f"The ring would be reached at {met}; the stop is solid at {solid}."

    def ask(self, case: Case) -> str:
        return f"The {case.judge.axle} never reaches its ring before full bump: where is the ring meant to sit?"


class _HelperClosed(Rule):
    name = "helper"
    title = "helper closed at ride"
    meets = (*LOAD, "helper")

    def applies(self, judge: Judge) -> bool:
        return judge.has_helper

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        return BY_NAME["helper_open"].sides({"helper_open_at_rest": judge.helper_open(values, judge.light)})

    def words(self, case: Case) -> str:
        judge = case.judge
        rate = judge.own.helper_rate or 0.0
        carried = case.extent(lambda values: judge.spring_force(values, judge.light))
        closed = case.extent(lambda values: rate * judge.closes(values, "helper"))
        force = vocabulary.force
        return (
            f"At ride each coil-over’s springs carry {judge.range(*carried, force, closed)}; "
            f"the helper is closed at {judge.range(*closed, force, carried)}."
        )

    def ask(self, case: Case) -> str:
        return f"The {case.judge.axle} helper is not closed at ride: is the rig meant to ride on it?"


class _Binds(Rule):
    """A spring must not close to its solid length, and keeps something of what it can close."""

    needs = ("main_rate", "damper_stroke")
    reads: tuple[str, ...] = ("tender_rate", "preload", "ring_gap")
    which: str
    limit: str

    def closed(self, judge: Judge, values: Values) -> Any:
        raise NotImplementedError

    def left(self, judge: Judge, values: Values) -> Any:
        """What is left before it binds; negative when it binds."""
        return judge.closes(values, self.which) - self.closed(judge, values)

    def kept(self, judge: Judge) -> float:
        return judge.least(f"least_{self.which}_left")

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        numbers = {f"{self.which}_left": self.left(judge, values), f"least_{self.which}_left": self.kept(judge)}
        return BY_NAME[self.limit].sides(numbers)

    def words(self, case: Case) -> str:
        judge, kept = case.judge, self.kept(case.judge)
        must = case.extent(lambda values: self.closed(judge, values))
        can = case.extent(lambda values: judge.closes(values, self.which))
        left = case.extent(lambda values: self.left(judge, values))
        places = judge.sum_places(must, can, kept)
        told = f"It must close {judge.between(*must, places=places)}{self.where(case)}, and keep {judge.exact(kept)}."
        return f"{told} {self._can(judge, can, places)}{self._short(case, left)}"

    def where(self, case: Case) -> str:
        raise NotImplementedError

    def _can(self, judge: Judge, can: tuple[float, float], places: int) -> str:
        free = getattr(judge.own, f"{self.which}_free_length")
        if free is None:
            return "A spring can close by its free length less its solid length."
        if getattr(judge.own, f"{self.which}_solid_length") is None:
            return f"A spring {judge.exact(free)} long can close {judge.between(*can, places=places)} or so."
        return f"It can close {judge.limit(can[1], places)}."

    def _short(self, case: Case, left: tuple[float, float]) -> str:
        """Say of a line that fails whether the spring binds, or only keeps too little."""
        low, high = left
        if case.state != "fails":
            return ""
        if high < 0.0:
            return " It binds."
        return f" It {'may bind' if low < 0.0 else 'does not bind'}, and keeps {self._most_kept(case.judge, high)}."

    def _most_kept(self, judge: Judge, high: float) -> str:
        return f"at most {judge.length(high, math.ceil, judge.places(high, high, self.kept(judge), 0.0) + 1)}"

    def ask(self, case: Case) -> str:
        judge = case.judge
        _, high = case.extent(lambda values: self.left(judge, values))
        if high < 0.0:
            return self.binds(judge)
        kept = f"{self._most_kept(judge, high)}, where {judge.exact(self.kept(judge))} is usual"
        return f"The {judge.axle} {self.which} does not keep enough before it binds{self.place}: {kept}. Is that meant?"

    place: str

    def binds(self, judge: Judge) -> str:
        raise NotImplementedError


class _TenderBinds(_Binds):
    name = "tender"
    title = "tender spring at the ring"
    meets = ("ring_gap", "tender", "preload", "helper", "solid_before_collapsed")
    reads = (*_Binds.reads, "tender_free_length", "tender_solid_length")
    of_tender = True
    which = "tender"
    limit = "tender_bind"
    place = ""

    def closed(self, judge: Judge, values: Values) -> Any:
        return judge.stack(values).tender_compression(judge.full_bump(values))

    def where(self, case: Case) -> str:
        judge = case.judge
        ring, _ = case.extent(lambda values: judge.stack(values).crossover_travel)
        _, stop = case.extent(judge.full_bump)
        return " before full bump" if ring > stop else " before the ring takes over"

    def binds(self, judge: Judge) -> str:
        return f"The {judge.axle} tender binds before its ring takes over: is that meant?"


class _MainBinds(_Binds):
    name = "main"
    title = "main spring at full bump"
    meets = ("ring_gap", "main", "preload", "helper", "solid_before_collapsed")
    reads = (*_Binds.reads, "main_free_length", "main_solid_length")
    which = "main"
    limit = "main_bind"
    place = " at full bump"

    def closed(self, judge: Judge, values: Values) -> Any:
        return judge.stack(values).main_compression(judge.full_bump(values))

    def where(self, case: Case) -> str:
        return ", ring and preload included" if case.judge.has_tender else ", preload included"

    def binds(self, judge: Judge) -> str:
        return f"The {judge.axle} main binds before full bump: what stops the axle before that?"


class _Tight(Rule):
    name = "tight"
    title = "springs tight at full droop"
    needs = ("preload",)
    reads = ()
    meets = ("preload",)
    only_with = ("preload",)
    takes_helper = False

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        numbers = {"preload": values["preload"], "least_preload": judge.least("least_preload")}
        return BY_NAME["preload_floor"].sides(numbers)

    def words(self, case: Case) -> str:
        judge = case.judge
        preload, floor = judge.exact(judge.own.preload or 0.0), judge.exact(judge.least("least_preload"))
        return f"The preload is {preload}. Wanted: {floor} or more, so that no spring comes loose when the springs set."

    def ask(self, case: Case) -> str:
        return f"What keeps the {case.judge.axle} springs in their seats at full droop?"


class _Seats(Rule):
    name = "seats"
    title = "springs fit between their seats"
    needs = ("main_free_length", "seat_space")
    reads = (
        "tender_rate",
        "tender_free_length",
        "helper_free_length",
        "adjuster_range",
        "divider_thickness",
        "preload",
    )
    meets = ("preload", "adjuster_range", "divider_thickness")
    takes_helper = False
    only_with = ("main_free_length", "seat_space")

    def applies(self, judge: Judge) -> bool:
        upper = [name for name, there in (("tender", judge.has_tender), ("helper", judge.has_helper)) if there]
        return super().applies(judge) and judge.knows(*(f"{name}_free_length" for name in upper))

    def turned(self, judge: Judge, values: Values) -> Any:
        """How far the adjuster is run down for a preload."""
        taken = judge.own.main_free_length or 0.0
        for name, there in (("tender", judge.has_tender), ("helper", judge.has_helper)):
            if there:
                taken = taken + getattr(judge.own, f"{name}_free_length") + values["divider_thickness"]
        return values["preload"] + (judge.own.seat_space or 0.0) - taken

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        turned = self.turned(judge, values)
        end = BY_NAME["adjuster_end"].margin({"adjuster_setting": turned})
        left = {
            "adjuster_left": values["adjuster_range"] - turned,
            "least_adjuster_left": judge.least("least_adjuster_left"),
        }
        return end, BY_NAME["adjuster_reserve"].margin(left)

    def words(self, case: Case) -> str:
        judge = case.judge
        kept = judge.least("least_adjuster_left")
        low, high = case.extent(lambda values: self.turned(judge, values))
        if high < 0.0:
            return f"They are {judge.between(-high, -low)} too long, even with the adjuster backed off."
        least, most = case.box["adjuster_range"]
        places = judge.places(low, high, 0.0, least - kept, most - kept)
        return (
            f"The adjuster must be run down {judge.between(low, high, places)}; it can "
            f"{judge.between(least, most, places)}, of which {judge.exact(kept)} is kept for set."
        )

    def ask(self, case: Case) -> str:
        judge = case.judge
        kept = judge.least("least_adjuster_left")
        _, high = case.extent(lambda values: values["adjuster_range"] - self.turned(judge, values))
        if 0.0 <= high < kept:
            left = judge.length(high, math.ceil, judge.places(high, high, kept))
            return (
                f"The {judge.axle} adjuster has at most {left} of thread left, where {judge.exact(kept)} is kept for set: "
                "is that meant?"
            )
        return f"The {judge.axle} springs do not fit between their seats: which lengths are meant?"


def _share(own: float | None, words: str) -> str:
    return f", {words} of the stroke" if own is None else ""


RULES: tuple[Rule, ...] = (
    _Carries(),
    _Bump(),
    _Promise(),
    _Frequency(),
    _Crossover(),
    _RingReached(),
    _HelperClosed(),
    _TenderBinds(),
    _MainBinds(),
    _Tight(),
    _Seats(),
)
