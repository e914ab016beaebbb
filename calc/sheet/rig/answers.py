"""What each section of the rig page says: its answer for the heading, its worst finding, and its body."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from calc import vocabulary
from calc.order.axle_order import AxleOrder
from calc.order.findings import worst
from calc.rig.misread import CHANGES, LOADS, PAIRS, Misread
from calc.sheet.rig import choice, entries, loads, motion, ordering
from calc.sheet.rig.parts import (
    Said,
    View,
    facts,
    text_of,
    told,
    unchecked,
)


def said(view: View) -> Mapping[int, Said]:
    """Return what each of the thirteen sections says."""
    return {number: _marked(number, make, view) for number, make in _MAKERS.items()}


def _marked(number: int, make: Callable[[View], Said], view: View) -> Said:
    """Return what a section says; what cannot be read stands in its place, or above what does not need it.

    The first sections show what was entered in more than one way: there nothing else may take an entry's place.
    """
    wrong = view.order.misread
    reasons = [one for one in wrong if one.name in _FROM.get(number, ()) and not one.doubt]
    if reasons:
        body = told(unchecked("cannot be read", one.sentence) for one in reasons)
        return Said(need=_short(reasons[0]), state="not checked", body=body)
    made = make(view)
    own = [one for one in wrong if entries.section_of(one) == number]
    findings = [unchecked("cannot be read", one.sentence) for one in own]
    springs = [one for one in wrong if one.of_springs]
    if not own and (not springs or made.answer or number not in _ON_SPRINGS):
        return made
    return replace(
        made,
        need=_short((own or springs)[0]),
        state="not checked" if own or not made.state else made.state,
        body=told(findings) + made.body,
    )


def _short(one: Misread) -> str:
    return f"{one.told[:1].upper()}{one.told[1:]} cannot be read"


def _order_and_set(view: View) -> Said:
    made = view.order
    if not any(item.chosen is not None for item in made.axles):
        return Said(need="Needs section 6", state="not checked")
    what = ordering.answer(made) or ("Estimate: do not order" if made.estimate else "Ready to order")
    body = (
        '<p>The sheet to print is <a href="#order">below</a>: parts, settings, heights, and what they are based on.</p>'
    )
    body += ordering.body(made, view.display) if not view.prefix else ""
    return Said(answer=what, need="", state=worst(made.findings()), body=body)


def _prove(view: View) -> Said:
    rows = []
    for item in view.order.axles:
        if item.chosen is None or item.task is None or not item.cases:
            continue
        case = item.cases[item.task.reference]
        doubt = view.display.plus_minus(case.ride_travel_plus_minus, vocabulary.damper_length)
        for name, length in _damper_lengths(view, item, case.damper_length):
            text = text_of(view, length, vocabulary.damper_length)
            rows.append((f"Damper, eye to eye, {name}: {case.label}", text, doubt))
    note = (
        '<p>Measure these on the ground once it is built; <a href="prove.html">Prove</a> says how.</p>' if rows else ""
    )
    return Said(
        answer="",
        need="Needs the built rig: damper lengths on the ground",
        state="not checked",
        body=note + facts(rows),
    )


def _damper_lengths(view: View, item: AxleOrder, mean: float) -> Iterable[tuple[str, float]]:
    """Return an axle's damper lengths to be measured: left and right where the whole rig is solved, else the mean."""
    stands = view.order.standing
    corners = stands.rest.cases[stands.reference].corners if stands is not None else ()
    if not corners:
        return [(item.axle, mean)]
    return [
        (corner.name.replace("_", " "), corner.damper_length) for corner in corners if corner.name.endswith(item.axle)
    ]


_WEIGHED = ("corner_mass", "axle_mass_after")
_PLACED = ("wheelbase", "track")
# What the first sections are worked out from; the others are from the springs in use, of which the order tells.
_FROM: Mapping[int, tuple[str, ...]] = {
    1: (*_WEIGHED, *_PLACED),
    2: (*_WEIGHED, "unsprung_mass"),
    3: (
        *(*_WEIGHED, *_PLACED, "unsprung_mass", "axle_mass_before", "unsprung_mass_before", CHANGES),
        *("old_tender_rate", "old_main_rate"),
    ),
    4: (
        *(*_WEIGHED, *_PLACED, "unsprung_mass", "unsprung_left_of_center", LOADS, PAIRS),
        *next(section.names for section in entries.SECTIONS if section.number == 4),
    ),
    5: (
        *(*_WEIGHED, *_PLACED, "unsprung_mass", LOADS, "lean", "motion_ratio"),
        *("wanted_frequency_low", "wanted_frequency_high", "tire_rate"),
    ),
}
_ON_SPRINGS = (6, 7, 8, 9, 10, 12)
_MAKERS: Mapping[int, Callable[[View], Said]] = {
    1: loads.weigh,
    2: loads.split,
    3: loads.change,
    4: choice.motion,
    5: choice.targets,
    6: choice.springs_to_order,
    7: motion.damper,
    8: motion.bump_stops,
    9: motion.ride_check,
    10: motion.roll,
    11: motion.by_hand(
        "By hand, on the rig",
        "Move each axle from full droop to full bump, springs out, and look whether hoses, cables, straps and shafts reach "
        "and clear everything.",
    ),
    12: _order_and_set,
    13: _prove,
}
