"""The kinds of line that the answer to a quote may have: what each needs, its margins, and its words."""

from __future__ import annotations

import math
from typing import Any

from calc import units
from calc.job._quote_judge import (
    FREQUENCY_BOX,
    PROMISE_KEPT,
    RIDE,
    Case,
    Judge,
    Rule,
    sentence,
)
from calc.job.unknowns import Values
from calc.limits import BY_NAME, LEAST_ADJUSTER_LEFT, LEAST_MAIN_LEFT, LEAST_TENDER_LEFT


class _Carries(Rule):
    name = "carries"
    title = "carries the rig"
    meets = (*RIDE, "solid_before_collapsed")

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        ride = judge.ride(values, judge.light)
        # Nothing of a strap is told of a quote: its droop is counted from full extension.
        droop = BY_NAME["droop"].margin({"droop_left": ride, "wanted_droop": judge.wanted_droop})
        return droop, judge.full_bump(values) - ride

    def words(self, case: Case) -> str:
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
    meets = (*RIDE, "solid_before_collapsed")
    heaviest = True

    def left(self, judge: Judge, values: Values) -> Any:
        return judge.full_bump(values) - judge.ride(values, judge.heavy)

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        return BY_NAME["bump"].sides({"bump_left": self.left(judge, values), "wanted_bump": judge.wanted_bump})

    def words(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.left(judge, values))
        wanted = f"Wanted: {judge.length(judge.wanted_bump)}{_share(judge.own.wanted_bump, 'a third')}."
        cure = "A stiffer pair, more preload or a longer stroke would change that."
        if high <= 0.0:
            return f"Nothing is left: it sits on its stops. {wanted} {cure}"
        if case.state == "fails":
            return f"At most {judge.length(high, math.ceil)} is left before the stop is solid. {wanted} {cure}"
        return f"{sentence(judge.between(low, min(high, judge.stroke)))} is left before the stop is solid. {wanted}"

    def ask(self, case: Case) -> str:
        judge = case.judge
        _, high = case.extent(lambda values: self.left(judge, values))
        left = judge.length(max(high, 0.0), math.ceil)
        return f"The {judge.axle} has at most {left} of bump left{judge.when_full}: for which weight was it chosen?"


class _Promise(Rule):
    name = "promise"
    title = "rides as promised"
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
        return f"{sentence(judge.between(low, min(high, judge.stroke)))} of shaft shows at ride. {promised}"

    def ask(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.shows(judge, values))
        promised = judge.exact(judge.own.shaft_showing or 0.0)
        showing = judge.between(low, min(high, judge.stroke))
        return f"The {judge.axle} would show {showing} of shaft at ride, not {promised}: for which weight is that?"


class _Frequency(Rule):
    name = "frequency"
    title = "ride frequency as wanted"
    meets = FREQUENCY_BOX
    only_with = ("wanted_frequency_low", "wanted_frequency_high")
    reads = (*Rule.reads, *only_with)

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        numbers = {
            "ride_frequency": judge.frequency(values),
            "wanted_frequency_low": judge.own.wanted_frequency_low or 0.0,
            "wanted_frequency_high": judge.own.wanted_frequency_high or math.inf,
        }
        return BY_NAME["ride_frequency"].sides(numbers)

    def words(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(judge.frequency)
        wanted = f"{judge.own.wanted_frequency_low or 0.0:.2f} to {judge.own.wanted_frequency_high or 0.0:.2f}"
        return f"{low:.2f} to {high:.2f}{units.NO_BREAK}Hz before the crossover. Wanted: {wanted}{units.NO_BREAK}Hz."

    def ask(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(judge.frequency)
        return f"The {judge.axle} would ride at {low:.2f} to {high:.2f}{units.NO_BREAK}Hz: which frequency was it chosen for?"


class _Crossover(Rule):
    name = "crossover"
    title = "crossover above ride"
    meets = ("ring_gap", *RIDE)
    reads = (*Rule.reads, "ring_gap")
    of_tender = True
    heaviest = True

    def on_both(self, judge: Judge, values: Values) -> Any:
        """The ride position if the ring is never met."""
        return judge.ride({**values, "ring_gap": math.inf}, judge.heavy)

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        above = judge.stack(values).crossover_travel - self.on_both(judge, values)
        return BY_NAME["ring_at_rest"].sides({"crossover_above_ride": above})

    def words(self, case: Case) -> str:
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

    def ask(self, case: Case) -> str:
        judge = case.judge
        return (
            f"The {judge.axle} stands on its main spring alone{judge.when_full}: is its ring meant to be met at rest?"
        )


class _Binds(Rule):
    """A spring must not close to its solid length."""

    needs = ("main_rate", "damper_stroke")
    reads: tuple[str, ...] = ("tender_rate", "preload", "ring_gap")
    which: str
    kept: float

    def closed(self, judge: Judge, values: Values) -> Any:
        raise NotImplementedError

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        # By the limit of a set, but in the order of a quote: what is kept is taken off first.
        return (judge.closes(values, self.which) - self.kept - self.closed(judge, values),)

    def can(self, case: Case) -> str:
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
    kept = LEAST_TENDER_LEFT

    def closed(self, judge: Judge, values: Values) -> Any:
        return judge.stack(values).tender_compression(judge.full_bump(values))

    def words(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.closed(judge, values))
        must = (
            f"It must close {judge.between(low, high)} before the ring takes over, and keep {judge.exact(self.kept)}."
        )
        return f"{must} {self.can(case)}"

    def ask(self, case: Case) -> str:
        return f"The {case.judge.axle} tender binds before its ring takes over: is that meant?"


class _MainBinds(_Binds):
    name = "main"
    title = "main spring at full bump"
    meets = ("ring_gap", "main", "preload", "solid_before_collapsed")
    reads = (*_Binds.reads, "main_free_length", "main_solid_length")
    which = "main"
    kept = LEAST_MAIN_LEFT

    def closed(self, judge: Judge, values: Values) -> Any:
        return judge.stack(values).main_compression(judge.full_bump(values))

    def words(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.closed(judge, values))
        included = "ring and preload included" if judge.has_tender else "preload included"
        must = f"It must close {judge.between(low, high)}, {included}, and keep {judge.exact(self.kept)}."
        return f"{must} {self.can(case)}"

    def ask(self, case: Case) -> str:
        return f"The {case.judge.axle} main binds before full bump: what stops the axle before that?"


class _Tight(Rule):
    name = "tight"
    title = "springs tight at full droop"
    needs = ("preload",)
    reads = ()
    meets = ("preload",)
    only_with = ("preload",)

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        return BY_NAME["preload_floor"].sides({"preload": values["preload"], "least_preload": judge.preload_floor})

    def words(self, case: Case) -> str:
        judge = case.judge
        preload, floor = judge.exact(judge.own.preload or 0.0), judge.exact(judge.preload_floor)
        return f"The preload is {preload}. Wanted: {floor} or more, so that nothing falls loose when the springs set."

    def ask(self, case: Case) -> str:
        return f"What keeps the {case.judge.axle} springs in their seats at full droop?"


class _Seats(Rule):
    name = "seats"
    title = "springs fit between their seats"
    needs = ("main_free_length", "seat_space")
    reads = ("tender_rate", "tender_free_length", "adjuster_range", "divider_thickness", "preload")
    meets = ("preload", "adjuster_range", "divider_thickness")
    only_with = ("main_free_length", "seat_space")

    def applies(self, judge: Judge) -> bool:
        return super().applies(judge) and (judge.knows("tender_free_length") or not judge.has_tender)

    def turned(self, judge: Judge, values: Values) -> Any:
        """How far the adjuster is run down for a preload."""
        own = judge.own
        tender = (own.tender_free_length or 0.0) if judge.has_tender else 0.0
        taken = (own.main_free_length or 0.0) + tender + values.get("divider_thickness", 0.0)
        return values["preload"] + (own.seat_space or 0.0) - taken

    def margins(self, judge: Judge, values: Values) -> tuple[Any, ...]:
        turned = self.turned(judge, values)
        end = BY_NAME["adjuster_end"].margin({"adjuster_setting": turned})
        return end, values["adjuster_range"] - LEAST_ADJUSTER_LEFT - turned

    def words(self, case: Case) -> str:
        judge = case.judge
        low, high = case.extent(lambda values: self.turned(judge, values))
        if high < 0.0:
            return f"They are {judge.between(-high, -low)} too long, even with the adjuster backed off."
        least, most = case.box["adjuster_range"]
        return (
            f"The adjuster must be run down {judge.between(low, high)}; it can {judge.between(least, most)}, "
            f"of which {judge.exact(LEAST_ADJUSTER_LEFT)} is kept for set."
        )

    def ask(self, case: Case) -> str:
        return f"The {case.judge.axle} springs do not fit between their seats: which lengths are meant?"


def _share(own: float | None, words: str) -> str:
    return f", {words} of the stroke" if own is None else ""


RULES: tuple[Rule, ...] = (
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
