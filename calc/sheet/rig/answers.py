"""What each section of the rig page says: its answer for the heading, its worst finding, and its body."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from calc import vocabulary
from calc.job.axle_order import AxleOrder
from calc.job.order_findings import worst
from calc.job.standing import Standing
from calc.sheet.rig import choice, loads, motion, ordering
from calc.sheet.rig.parts import (
    Said,
    View,
    facts,
    text_of,
)


def said(view: View) -> Mapping[int, Said]:
    """Return what each of the thirteen sections says."""
    return {number: make(view) for number, make in _MAKERS.items()}


def _order_and_set(view: View) -> Said:
    made = view.order
    if not any(item.chosen is not None for item in made.axles):
        return Said(need="Needs section 6", state="not checked")
    what = ordering.answer(made) or ("Estimate: do not order" if made.estimate else "Ready to order")
    body = (
        '<p>The sheet to print stands <a href="#order">below</a>: parts, settings, heights, and what they rest on.</p>'
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
        '<p>Measure these on the ground once it is built; <a href="prove.html">Prove</a> tells how.</p>' if rows else ""
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
    corners = stands.rest.cases[stands.reference].corners if isinstance(stands, Standing) else ()
    if not corners:
        return [(item.axle, mean)]
    return [
        (corner.name.replace("_", " "), corner.damper_length) for corner in corners if corner.name.endswith(item.axle)
    ]


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
