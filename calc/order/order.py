"""From a rig and a list of springs to the order: what to buy, how to set it, what it will do, and what that rests on.

A page, a print, a terminal and a program show the same `Order`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import cached_property
from typing import Any, ParamSpec, TypeVar

from calc.errors import FieldError, Needs
from calc.limits import HARD_RULES
from calc.memo import Looked, Memo, Same
from calc.order.axle_order import AxleOrder, JudgedRig
from calc.order.build_sheet import build_sheet
from calc.order.certainty import Weakest, doubts, weakest
from calc.order.findings import REST_RULES, count, rating_findings
from calc.order.motions import damping_forecast, lean_findings, motions, rolling_in_each
from calc.order.set_in_use import judged_set
from calc.quantity import SHOP, Display
from calc.rig import axle as axles
from calc.rig import rank_weights
from calc.rig.entries import AXLES, keys
from calc.rig.fixed import STRAPLESS, masses_of
from calc.rig.height import with_heights
from calc.rig.misread import Misread, misread, unread_findings
from calc.rig.ordered import BuildSheet
from calc.rig.rig import AS_FRONT, Rig, with_taken
from calc.rig.track_bar import with_track_bars
from calc.rig.travel import findings as travel_findings
from calc.rig.travel import with_motion
from calc.search.choose import choose, judged
from calc.search.problem import Choice, Limits, Problem, SpringSet
from calc.step import Finding
from calc.tables import Springs
from calc.whole.corners import reset
from calc.whole.on_chosen_springs import Standing, on_old_springs, standing
from calc.whole.on_chosen_springs import findings as rest_findings
from calc.whole.pairs import Resolution, resolve
from calc.whole.whole_rig_check import Resolved

# The hard limits that a reader may set, by the search's own name for each.
LIMITS: Mapping[str, str] = {
    "preload_floor": "least_preload",
    "adjuster_reserve": "least_adjuster_left",
    "tender_left": "least_tender_left",
    "main_left": "least_main_left",
}
# What no entry of the rig can settle: it is no check, and it is said once.
MAKERS = (
    "Whether the dampers give the wanted forces: hold the maker's force tables against the forces above.",
    "Coil clash: ask the spring maker for the sum of the least coil gaps.",
)


def completed(rig: Rig) -> Rig:
    """Return the rig with what its rear takes over from its front (assumed) and what its travel pairs say (derived).

    So does the ride height that is wanted: derived from how it was entered, or assumed.
    """
    return _full.of(rig, make=lambda: _completed(rig))


# The page's search, its order and its fields ask for the same.
_full: Memo[Rig] = Memo()


def _completed(rig: Rig) -> Rig:
    taken = {
        f"rear.{name}": replace(front, origin="assumed", plus_minus=rig.doubts.get(f"rear.{name}", front.plus_minus))
        for name in AS_FRONT
        if (front := rig.values.get(f"front.{name}")) is not None and f"rear.{name}" not in {**rig.values, **rig.unread}
    }
    values = {**rig.values, **taken}
    # Where there is no strap, a travel that was typed for one ends nothing.
    for axle in AXLES:
        entry = values.get(f"{axle}.limit_strap")
        if entry is not None and entry.value == STRAPLESS:
            values.pop(f"{axle}.strap_travel", None)
    own = replace(rig, values=values) if values != rig.values else rig
    full = with_heights(with_motion(with_track_bars(with_taken(own))))
    # In the order of the job, whatever the order in which they were entered: nothing told of them may depend on that.
    return replace(full, values={key: full.values[key] for key in keys() if key in full.values})


def limits(rig: Rig, axle: str) -> Limits:
    """Return the hard limits: the reader's own, else the defaults."""
    own = {name: rig.get(key) for name, key in LIMITS.items() if rig.get(key) is not None}
    ring = rig.get(f"{axle}.ring_thickness")
    return Limits(**own) if ring is None else Limits(**own, ring_height=ring)


def task(rig: Rig, axle: str) -> Problem:
    """Return an axle's search. The rig is one that `completed` gave. Raises Needs."""
    return _tasks.of(rig, make=lambda: _task(rig, axle), place=axle)


# It is asked for what is searched, and again for the order.
_tasks: Memo[Problem] = Memo()


def _task(rig: Rig, axle: str) -> Problem:
    return replace(axles.problem(rig, axle), limits=limits(rig, axle), weights=rank_weights.weights(rig.ranking()))


class Order(JudgedRig):
    """The whole order: the judged rig with everything that follows from it, each worked out once, when it is first asked for."""

    @cached_property
    def rate_ranges(self) -> Mapping[str, axles.RateRange]:
        """Which rates the wished frequencies could mean, for axles of which little more than the weight is known."""
        return dict(self._rate_ranges())

    def _rate_ranges(self) -> Iterator[tuple[str, axles.RateRange]]:
        for axle in AXLES:
            with suppress(FieldError):
                span = axles.rate_range(self.rig, axle)
                if span is not None:
                    yield axle, span

    doubts = cached_property(doubts)

    @cached_property
    def weakest(self) -> Mapping[str, Weakest | None]:
        """What is most in doubt of each axle's set in use."""
        return {
            item.axle: weakest(self, item, self.doubts[item.axle]) for item in self.axles if item.axle in self.doubts
        }

    @cached_property
    def sheet(self) -> BuildSheet | None:
        """The build sheet, without its date; None while no axle has a set."""
        return build_sheet(self)


def order(
    rig: Rig, springs: Springs, choices: Mapping[str, Choice | None] | None = None, display: Display = SHOP
) -> Order:
    """Return the order of a rig from a list of springs.

    `choices` are the searches already made, by axle; an axle that stands there as None is not searched.
    Never raises for what a rig lacks: what is missing is told in each axle's `needs`.
    """
    searched = None if choices is None else dict(choices)
    return _made.of(rig, Same(springs), searched, display, make=lambda: _order(rig, springs, searched, display))


# A page, a print, the sheet with its draws and a program ask for the same one; proving for the one of its rig.
_made: Memo[Order] = Memo(room=2)


def _order(rig: Rig, springs: Springs, choices: Mapping[str, Choice | None] | None, display: Display) -> Order:
    full = completed(rig)
    asked = {axle: _or_needs(task, full, axle) for axle in AXLES}
    tasks = {axle: found for axle, (found, _) in asked.items() if found is not None}
    searched = {axle: choose(found, springs) if choices is None else choices.get(axle) for axle, found in tasks.items()}
    resolution = _resolution(full, springs, tasks, searched)
    set_again = reset(tasks, springs, searched, {axle: one.dropped for axle, one in resolution.axles.items()})
    if set_again is not None:
        searched = set_again
        resolution = _resolution(full, springs, tasks, searched)
    together = resolution.together
    made = tuple(_axle_order(full, axle, asked[axle], springs, resolution.axles[axle], display) for axle in AXLES)
    chosen = tuple((item.task, item.chosen) for item in made)
    stands, stands_needs = _or_needs(standing, full, springs, chosen, display, together)
    old, old_needs = _or_needs(on_old_springs, full, together)
    any_set = any(one is not None for _, one in chosen)
    rests = tuple(rest_findings(stands, stands_needs, chosen, display)) if any_set else ()
    found = _with_sides(made, stands)
    rolls = rolling_in_each(full, found, stands, display)
    rests += tuple(lean_findings(full, rolls, stands))
    moving, damping = motions(full, found, stands, rolls, display), damping_forecast(full, found, rolls)
    ratings = rating_findings(full, display)
    assumed = tuple(key for key, entry in full.values.items() if entry.origin == "assumed")
    assumed += tuple(key for key in LIMITS.values() if full.get(key) is None and key not in full.unread)
    examples = sum(entry.origin == "example" for entry in full.values.values())
    ways = {axle: tuple(travel_findings(full, axle, display)) for axle in AXLES}
    wrong = misread(full)
    checks = [
        *(("", finding) for finding in (*unread_findings(wrong), *rests)),
        *((axle, finding) for axle in AXLES for finding in ways[axle]),
        *zip(AXLES, ratings, strict=True),
        *((item.axle, finding) for item in found for finding in item.findings),
    ]
    return Order(
        entered=rig,
        rig=full,
        springs=springs,
        axles=found,
        ratings=ratings,
        ways=tuple(finding for axle in AXLES for finding in ways[axle]),
        standing=stands,
        old=old,
        standing_needs=stands_needs,
        old_needs=old_needs,
        rests=rests,
        motions=moving,
        damping=damping,
        pairs=resolution.pairs,
        assumed=assumed,
        examples=examples,
        misread=wrong,
        reasons=tuple(_reasons(found, springs, examples, checks, wrong)),
        unchecked=sum(finding.state == "not checked" for _, finding in checks),
        next=_next(found),
    )


Asked = ParamSpec("Asked")
Stood = TypeVar("Stood")


def _or_needs(
    ask: Callable[Asked, Stood], *args: Asked.args, **kwargs: Asked.kwargs
) -> tuple[Stood | None, Needs | None]:
    """Return an answer, or what stands in its way."""
    try:
        return ask(*args, **kwargs), None
    except Needs as lacking:
        return None, lacking.kept()


def _resolution(
    rig: Rig, springs: Springs, tasks: Mapping[str, Problem], searched: Mapping[str, Choice | None]
) -> Resolution:
    """Return the searches in the order of the pairs, the reader's own picks among them."""
    picks = {
        axle: _own_pick(rig, axle, one, springs, choice)[0]
        for axle, one in tasks.items()
        if (choice := searched.get(axle)) is not None
    }
    return resolve(rig, springs, tasks, searched, picks)


def _reasons(
    found: Iterable[AxleOrder],
    springs: Springs,
    examples: int,
    checks: Sequence[tuple[str, Finding]],
    wrong: Sequence[Misread],
) -> Iterable[str]:
    if wrong:
        yield f"{'; '.join(one.told.rstrip(',') for one in wrong[:-1])}{'; ' if wrong[1:] else ''}{wrong[-1].told} cannot be read"
    if examples:
        yield f"{count(examples, 'value')} {'is an example' if examples == 1 else 'are examples'}"
    if springs.example:
        yield "the spring list is an invented example"
    missing = [item.axle for item in found if item.chosen is None]
    if missing:
        yield f"no set is chosen for the {' and the '.join(missing)}"
    # Where the whole rig cannot be solved yet, the search's own limits still hold.
    hard = HARD_RULES - REST_RULES
    unchecked: dict[tuple[str, str], list[str]] = {}
    broken: dict[str, list[str]] = {}
    for axle, finding in checks:
        if finding.state == "not checked" and finding.rule in hard:
            what, _, needs = finding.text.rstrip(".").partition(": ")
            # Where the statement names its axle, the place is not said again.
            unchecked.setdefault((what, needs), []).append("" if f"{axle} axle" in what else axle)
        elif finding.state == "fails":
            broken.setdefault(finding.rule, []).append(axle)
    for (what, needs), places in unchecked.items():
        yield f"{what[:1].lower()}{what[1:]} is not checked{_at(places)}{f' ({needs})' if needs else ''}"
    for rule, places in broken.items():
        yield f"the check “{rule}” fails{_at(places)}"


def _at(places: Iterable[str]) -> str:
    """Return the axles of a check that failed or was not made; nothing for one of the whole rig.

    >>> _at(["front", "rear"]), _at([""])
    (' at the front and at the rear', '')
    """
    named = " and ".join(f"at the {axle}" for axle in dict.fromkeys(places) if axle)
    return f" {named}" if named else ""


# An edit at one axle leaves the other as it was, where nothing of it was read.
_axles: Memo[AxleOrder] = Memo()


def _axle_order(
    rig: Rig,
    axle: str,
    asked: tuple[Problem | None, Needs | None],
    springs: Springs,
    resolved: Resolved,
    display: Display,
) -> AxleOrder:
    found, needs = asked
    if found is None:
        return AxleOrder(axle=axle, needs=needs)
    choice = resolved.choice
    if choice is None:
        return AxleOrder(axle=axle, task=found)
    chosen, own_pick, lost = _picked(rig, axle, found, springs, choice)
    # What the other axle's set makes of the ranked ones is the order's; what the set in use does is its own.
    searched: dict[str, Any] = {
        "choice": choice,
        "chosen": chosen,
        "own_pick": own_pick,
        "lost_pick": lost,
        "resolved": resolved,
    }
    if chosen is None:
        return AxleOrder(axle=axle, task=found, **searched)
    # Of the rig only its values are looked at one by one; what is not compared whole is not there to be read.
    bare = replace(rig, name="", note="", values={}, proofs=(), ignored=())

    def make(values: Looked) -> AxleOrder:
        # Of the search no more than its springs is read.
        start = AxleOrder(axle=axle, task=found, choice=choice, chosen=chosen)
        return judged_set(start, replace(bare, values=values), found, springs, chosen, display, masses)

    both = [masses_of(rig, axle, case) for case in rig.cases()]
    masses = tuple(None if one is None else sum(one) for one in both)
    goods = (Same(springs), Same(choice.springs))
    judged_ = _axles.looking(goods, found, bare, chosen, display, masses, values=rig.values, make=make, place=axle)
    return replace(judged_, **searched)


def _with_sides(found: tuple[AxleOrder, ...], stands: Standing | None) -> tuple[AxleOrder, ...]:
    """Return the axles with each side's own preload, where the whole rig sets them apart."""
    if stands is None or stands.sides is None or stands.sides.preload is None:
        return found
    preload = stands.sides.preload
    return tuple(
        replace(item, preload=(preload[2 * place], preload[2 * place + 1])) for place, item in enumerate(found)
    )


def _picked(rig: Rig, axle: str, task: Problem, springs: Springs, choice: Choice) -> tuple[SpringSet | None, bool, str]:
    """Return the set in use: the reader's own pick while the list has it, else the first of the ranked ones."""
    own, lost = _own_pick(rig, axle, task, springs, choice)
    # Where what fails is not the springs', the best of them are shown with what fails.
    best = next(iter(choice.ranked or choice.blocked), None)
    return (best, False, lost) if own is None else (own, True, "")


def _own_pick(rig: Rig, axle: str, task: Problem, springs: Springs, choice: Choice) -> tuple[SpringSet | None, str]:
    """Return the set that the reader has chosen, None without one, and what the list does not have of it."""
    parts = [rig.get(f"{axle}.chosen_{name}_part") for name in ("helper", "tender", "main")]
    if not parts[-1]:
        return None, ""
    named = [part for part in parts if part]
    if any(part not in springs.part for part in named):
        return None, f"{' over '.join(named)} is not in this list"
    helper, tender, main = (springs.part.index(part) if part else None for part in parts)
    ranked = (one for one in choice.ranked if (one.helper, one.tender, one.main) == (helper, tender, main))
    return next(ranked, None) or judged(task, springs, tender, main or 0, helper), ""


# --- what to measure next -------------------------------------------------------------------------------------------------------


def _next(found: Iterable[AxleOrder]) -> str:
    """Name what would narrow the answer most: the first entry that is missing, else the doubt that moves it most."""
    for item in found:
        if item.needs is not None and item.needs.keys and not item.needs.sentences:
            return f"{axles.label(item.needs.keys[0])}, which the {item.axle} springs need"
    for item in found:
        if item.narrowest is not None:
            return f"{item.narrowest[0].source.label}, which moves the {item.axle} ride height most"
    return ""
