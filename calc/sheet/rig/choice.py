"""Sections 4 to 6 of the rig page: motion ratio, targets, springs."""

from __future__ import annotations

from html import escape

from calc import vocabulary
from calc.answers.sets import short_name
from calc.order import motions
from calc.order.findings import worst
from calc.quantity import Display
from calc.rig import mounts, travel
from calc.rig.entries import AXLES
from calc.rig.fixed import masses_of
from calc.rig.loads import side_places, unsprung_mass
from calc.rig.misread import in_the_way
from calc.rig.wires import like, of_axle, run_on
from calc.sheet.answer import rows_table
from calc.sheet.rig import at_rest, doubt, springs, together
from calc.sheet.rig.parts import (
    Said,
    View,
    both,
    doubt_of,
    fact,
    facts,
    labelled,
    needed,
    state_of,
    told,
)
from calc.step import Attempt, Finding, Outcome, State, judge


def motion(view: View) -> Said:
    """Say the motion ratio of each axle, however it was measured, and what each side carries."""
    rig, display = view.rig, view.display
    heads, rows, missing = [], [], []
    findings: list[Finding] = []
    outcomes: list[tuple[str, Outcome | None]] = []
    for axle in AXLES:
        fixed = rig.get(f"{axle}.motion_ratio")
        ratio = fixed
        pairs = travel.motion(rig, axle)
        findings += travel.findings(rig, axle, display)
        if pairs is not None:
            outcomes.append((f"{axle.capitalize()}, travel table", pairs.outcome if not pairs.errors else None))
            findings += _judged(pairs, axle, display)
        places = mounts.in_space(rig, axle)
        if places is not None:
            outcomes.append((f"{axle.capitalize()}, mount coordinates", places.outcome if not places.errors else None))
            rows += _places(places, axle, display)
            findings += _judged(places, axle, display)
        if pairs is not None and not pairs.errors and fixed is not None:
            rows.append(fact(pairs.outcome, "motion_ratio", display, f"Motion ratio, {axle}, from the travel table"))
        elif places is not None and not places.errors and travel.own_ratio(rig, axle) is None:
            ratio = places.outcome.values["motion_ratio"]
        elif fixed is None and rig.independent(axle):
            missing.append(f"{axle}.motion_ratio")
        elif fixed is None:
            points = of_axle(rig, axle, "lean", "damper_length")
            missing += [f"{axle}.{name}" for name, value in points.items() if value is None]
            outcome = run_on("mount_points", points, display)
            if outcome is not None:
                ratio = outcome.values["motion_ratio"]
                outcomes.append((axle.capitalize(), outcome))
                rows.append(fact(outcome, "motion_ratio", display, f"Motion ratio, {axle}"))
                findings += labelled((finding for finding in outcome.findings if finding.state != "not checked"), axle)
        else:
            doubt = display.plus_minus(doubt_of(rig, f"{axle}.motion_ratio"), vocabulary.motion_ratio)
            rows.append((f"Motion ratio, {axle}, as measured", display.text(fixed, vocabulary.motion_ratio), doubt))
        if ratio is not None:
            heads.append((axle, display.number(ratio, vocabulary.motion_ratio)))
        loads = _side_loads(view, axle)
        if loads is not None:
            rows.append(fact(loads, "support_load_left", display, f"Support load, left {axle}"))
            rows.append(fact(loads, "support_load_right", display, f"Support load, right {axle}"))
            outcomes.append((f"{axle.capitalize()}, left and right", loads))
            findings += labelled(loads.findings, axle)
    state = state_of(findings, missing)
    case = escape(rig.reference().label)
    note = f'<p class="hb-note">Support loads: {case}. The search goes by the mean of both sides.</p>' if rows else ""
    return Said(
        answer=both(heads),
        need=needed(missing),
        state=state,
        body=facts(rows) + note + told(findings),
        outcomes=outcomes,
    )


def _places(done: Attempt, axle: str, display: Display) -> list[tuple[str, str, str]]:
    """Return the motion ratios that the places of an axle's eyes give: in heave, with one wheel, in articulation."""
    step = done.outcome.step
    told = [name for name in motions.TOLD["mount_places"] if not done.errors and done.outcome.values[name] is not None]
    return [fact(done.outcome, name, display, f"{step.quantity(name).label}, {axle}, from the mounts") for name in told]


def _judged(done: Attempt, axle: str, display: Display) -> list[Finding]:
    """Return what an axle's readings are found to be; what keeps them from being read is told apart."""
    if done.errors:
        return []
    return list(labelled((item for item in judge(done.outcome, display) if item.state != "not checked"), axle))


def _side_loads(view: View, axle: str) -> Outcome | None:
    rig = view.rig
    case = rig.reference()
    masses = masses_of(rig, axle, case)
    unsprung = unsprung_mass(rig, axle, case.items)
    if masses is None or unsprung is None:
        return None
    sides = ("left", "right")
    wires = {
        **{f"axle_{side}_mass": mass for side, mass in zip(sides, masses, strict=True)},
        "unsprung_mass": unsprung,
        "unsprung_left_of_center": rig.get(f"{axle}.unsprung_left_of_center") or 0.0,
        **side_places(rig, axle),
    }
    keys = {name: f"{axle}.{name}" for name in wires}
    keys |= {f"axle_{side}_mass": f"{side}_{axle}.corner_mass" for side in sides}
    wires = {name: like(rig.known(keys[name]), value) for name, value in wires.items()}
    return run_on("support_load", wires, view.display)


# --- 5 Targets ----------------------------------------------------------------------------------------------------------------


def targets(view: View) -> Said:
    """Say the ride frequency that is wanted, and the rates that it could mean before there is enough to choose."""
    rig, display = view.rig, view.display
    heads, missing, ranges = [], [], []
    frequency = vocabulary.natural_frequency
    for axle in AXLES:
        low, high = (rig.get(f"{axle}.wanted_frequency_{end}") for end in ("low", "high"))
        missing += [f"{axle}.wanted_frequency_{end}" for end, value in (("low", low), ("high", high)) if value is None]
        if low is None or high is None:
            continue
        heads.append((axle, f"{display.number(low, frequency)} to {display.text(high, frequency)}"))
        span = view.order.rate_ranges.get(axle)
        if span is not None:
            ends = f"{display.number(span.low, vocabulary.spring_rate, decimals=0)} to "
            ends += display.text(span.high, vocabulary.spring_rate, decimals=0)
            rests = f" Assumed: {'; '.join(span.assumed)}." if span.assumed else ""
            ranges.append((f"Rate along the coil-over, {axle}", ends, rests))
    lines = facts((label, text, "") for label, text, _ in ranges)
    rests = next((rest for _, _, rest in ranges if rest), "")
    note = f'<p class="hb-note">A range to look at, not for ordering.{escape(rests)}</p>' if ranges else ""
    table = _case_loads(view)
    tires = [f"{axle}.tire_rate" for axle in AXLES if rig.get(f"{axle}.tire_rate") is None]
    state: State = "not checked" if missing or tires else "holds"
    return Said(
        answer=both(heads),
        need=needed([*missing, *tires]),
        state=state,
        body=lines + note + table,
    )


def _case_loads(view: View) -> str:
    rig, rows = view.rig, []
    for case in rig.cases():
        masses = [masses_of(rig, axle, case) for axle in AXLES]
        if masses[0] is None or masses[1] is None:
            return ""
        front, rear = sum(masses[0]), sum(masses[1])
        numbers = (view.display.number(mass, vocabulary.axle_mass) for mass in (front, rear, front + rear))
        rows.append((escape(case.label), *numbers))
    unit, names = view.display.unit(vocabulary.axle_mass).symbol, ("Front axle", "Rear axle", "Total")
    return rows_table(("Load case", *(f"{name}, {unit}" for name in names)), rows, labels=names)


# --- 6 Springs ----------------------------------------------------------------------------------------------------------------


def springs_to_order(view: View) -> Said:
    """Say the first set of each axle, what else works, why not the rest, and the whole rig at rest."""
    made = view.order
    heads, missing, states, wrong = [], [], [], []
    for item in made.axles:
        if item.chosen is not None:
            heads.append((item.axle, short_name(item.chosen, made.springs, view.display)))
            states.append(worst(item.findings))
        elif item.needs is not None and item.needs.sentences:
            wrong.append(item.needs.sentences[0])
            states.append("not checked" if in_the_way(view.rig, item.axle) else "fails")
        elif item.needs is not None:
            missing += list(item.needs.keys)
        elif item.choice is not None:
            states.append("fails")
    answer = both(heads)
    waits = any(item.task is not None and item.choice is None for item in made.axles)
    need = "Waits for the search" if waits else needed(dict.fromkeys(missing))
    if not heads and wrong:
        need = wrong[0]
    elif not heads and "fails" in states:
        need = "No set works: see the nearest misses"
    states += [finding.state for finding in made.rests if finding.state != "not checked"]
    state = next((state for state in ("fails", "close", "not checked", "holds") if state in states), "not checked")
    if missing and state == "holds":
        state = "not checked"
    body = "".join(springs.axle_body(item, made.springs, view.display, told, view.prefix) for item in made.axles)
    body += doubt.fold() if heads and not view.prefix else ""
    body += together.body(made, view.display)
    body += at_rest.body(made, view.display, told)
    return Said(answer=answer, need=need, state=state, body=body)
