"""Sections 7 to 10 of the rig page: damping, bump stops, how it rides, how it leans."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from html import escape

from calc import vocabulary
from calc.answer.parts import NONE
from calc.answers import damping as damping_answers
from calc.cautions import caution
from calc.damper.bump_stop import LOAD_RULE
from calc.order import motions
from calc.order.axle_order import DAMPER_SPEEDS, AxleOrder
from calc.order.findings import worst
from calc.order.ground import HOLDS_RULE, OTHER_SPEED_RULE, shape_lines
from calc.order.order import MAKERS
from calc.quantity import Display
from calc.rig.ordered import DampingForecast
from calc.sheet.answer import rows_table, table
from calc.sheet.rig import views
from calc.sheet.rig.parts import (
    Said,
    View,
    both,
    fact,
    facts,
    labelled,
    needed,
    state_of,
    text_of,
    told,
    unchecked,
)
from calc.step import Finding, Outcome
from calc.whole.on_chosen_springs import ROLL_RULE

_NO_SAFE_ANGLE = (
    "The slopes compare one setup with another: even ground, standing still. They are no safe angle to drive. "
    "A hole, a rock, a turn or moving load tips a rig long before."
)
_NO_HARD_LANDING = (
    "Both wheels together, without help from tires and dampers: the springs' rate on each side of the crossover, gas that is "
    "compressed quickly, the motion ratio as it changes, and a pad that is hit 1.5 times as firm as it is in a press "
    "(assumed). Brackets and welds must take the load: a qualified fabricator or engineer judges them."
)


def damper(view: View) -> Said:
    """Say the damper forces that are wanted, and what the gas does."""
    heads, rows, lines = [], [], []
    findings: list[Finding] = []
    outcomes: list[tuple[str, Outcome | None]] = []
    for item in view.order.axles:
        if item.damping_before is not None:
            force = vocabulary.force
            push = view.display.number(item.damping_before.compression[0], force)
            heads.append((item.axle, f"{push} and " + view.display.text(item.damping_before.rebound[0], force)))
            rows += _force_rows(item, view.display)
        if item.gas is not None:
            lines.append(fact(item.gas, "gas_force", view.display, f"Gas force at ride, {item.axle}"))
            lines.append(fact(item.gas, "gas_rate", view.display, f"Gas rate at ride, {item.axle}"))
        if item.damping is not None:
            outcomes.append((f"Damping, {item.axle}", item.damping))
        if item.gas is not None:
            findings += labelled(item.gas.findings, item.axle)
        forces = item.forces
        if forces is not None:
            lines += [
                fact(forces, name, view.display, f"{forces.step.quantity(name).label}, {item.axle}")
                for name in motions.TOLD["force_targets"]
                if forces.values[name] is not None
            ]
            findings += labelled((one for one in forces.findings if one.rule != OTHER_SPEED_RULE), item.axle)
            findings += labelled((one for one in item.findings if one.rule == HOLDS_RULE), item.axle)
            outcomes.append((f"Forces, {item.axle}", forces))
    speed = _at(DAMPER_SPEEDS[0], view.display)
    table = ""
    if rows:
        shape = shape_lines(view.rig, view.display)
        caption = f"Compression and rebound for the wanted damping ratio, gas not included; {shape}."
        table = rows_table(("Axle and regime", *_force_columns(view.display)), rows, caption=caption)
    need = "" if heads else _damper_needs(view)
    return Said(
        answer=f"{both(heads)}, at {speed}" if heads else "",
        need=need or "Needs a measured force table",
        state="not checked",
        body=table + ratios(view.order.damping, view.display) + facts(lines) + told(findings) + note(MAKERS[0]),
        outcomes=outcomes,
    )


def ratios(found: Sequence[DampingForecast], display: Display) -> str:
    """Return the damping ratios of every load case as a table; nothing without any."""
    if not found:
        return ""
    told = damping_answers.ratios(found, display).grid(display)
    head = damping_answers.HEAD
    return table(replace(told, caption=head, heads=(head, *told.heads[1:])), kind="hb-ratios")


def note(text: str) -> str:
    """Return what no entry settles, as a note: it is no check."""
    return f'<p class="hb-note">{escape(text)}</p>'


def _damper_needs(view: View) -> str:
    missing = [
        f"{item.axle}.wanted_damping_ratio"
        for item in view.order.axles
        if view.rig.get(f"{item.axle}.wanted_damping_ratio") is None
    ]
    if any(item.chosen is None for item in view.order.axles):
        return "Needs section 6"
    return needed(missing)


def _at(speed: float, display: Display) -> str:
    return display.text(speed, vocabulary.velocity, decimals=0 if display.system == "shop" else 3)


def _force_columns(display: Display) -> tuple[str, ...]:
    """Return what heads each number of the damping forces, on a phone beside it."""
    force = display.unit(vocabulary.force).symbol
    return (
        f"Mean coefficient, {display.unit(vocabulary.damping_coefficient).symbol}",
        *(f"At {_at(speed, display)}, {force}" for speed in DAMPER_SPEEDS),
    )


def _force_rows(item: AxleOrder, display: Display) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    past = None
    if item.damping is not None:
        past = item.damping.values.get("wanted_damping_ratio_past_crossover")
    for regime, answer in (("before the crossover", item.damping_before), ("past the crossover", item.damping_past)):
        if answer is None:
            continue
        note = ""
        if past is not None:
            left = display.number(past, vocabulary.damping_ratio)
            wanted = (
                display.number(item.damping.values["wanted_damping_ratio"], vocabulary.damping_ratio)
                if item.damping
                else ""
            )
            note = f"leaves {left} past it" if regime.startswith("before") else f"to keep {wanted} there too"
        cells = [display.number(answer.coefficient, vocabulary.damping_coefficient)]
        cells += [
            f"{display.number(compression, vocabulary.force)} and {display.number(rebound, vocabulary.force)}"
            for compression, rebound in zip(answer.compression, answer.rebound, strict=True)
        ]
        small = f"<small>{escape(note)}</small>" if note else ""
        rows.append((f"{item.axle.capitalize()}, {regime}{small}", *cells))
    return rows


def bump_stops(view: View) -> Said:
    """Say how far the bump stops are from being touched at rest, and what a landing on them comes to."""
    heads, rows = [], []
    findings: list[Finding] = []
    outcomes: list[tuple[str, Outcome | None]] = []
    for item in view.order.axles:
        own = [finding for finding in item.findings if finding.rule in ("bump stop clear at rest", LOAD_RULE)]
        findings += labelled(own, item.axle)
        if item.pad_clear is not None:
            heads.append((item.axle, view.display.text(item.pad_clear, vocabulary.length)))
        found = view.order.motions.get(f"{item.axle} landing")
        if found is None:
            needs = "the pad's rate and its force when solid" if item.chosen is not None else "a set of springs"
            findings.append(
                unchecked("landing", f"{item.axle.capitalize()}: what the pad absorbs in a landing needs {needs}.")
            )
            continue
        rows += [
            fact(found, name, view.display, f"{found.step.quantity(name).label}, {item.axle}")
            for name in motions.TOLD["bump_stop"]
        ]
        outcomes.append((f"Landing, {item.axle}", found))
    answer = f"Clear by {both(heads)}" if heads else ""
    note = f'<p class="hb-note">{_NO_HARD_LANDING}</p>' if rows else ""
    return Said(
        answer=answer,
        need="Needs the pad: where it is touched, its rate, its force when solid",
        state=worst(findings),
        body=facts(rows) + note + told(findings),
        outcomes=outcomes,
    )


def ride_check(view: View) -> Said:
    """Say how the body and the axles move on the chosen springs."""
    display = view.display
    heads, rows = [], []
    findings: list[Finding] = []
    outcomes: list[tuple[str, Outcome | None]] = []
    whole = view.order.motions.get("body")
    if whole is not None:
        heads = [
            f"{text_of(view, whole.values[name], whole.step.quantity(name))} {word}"
            for name, word in (("bounce_frequency", "bounce"), ("pitch_frequency", "pitch"))
        ]
        rows += [fact(whole, name, display) for name in motions.TOLD["pitch_bounce"] if whole.values[name] is not None]
        findings += whole.findings
        outcomes.append(("Body", whole))
    for item in view.order.axles:
        corner = view.order.motions.get(item.axle)
        if corner is not None:
            rows += [
                fact(corner, name, display, f"{corner.step.quantity(name).label}, {item.axle}")
                for name in motions.TOLD["corner_modes"]
                if corner.values[name] is not None
            ]
            findings += labelled(corner.findings, item.axle)
            outcomes.append((f"Corner, {item.axle}", corner))
    tables = ""
    for item in view.order.axles:
        tables += _alone(view, item)
        travel = view.order.motions.get(f"{item.axle} travel")
        if travel is not None:
            tables += _travel_table(item.axle, travel, display)
            findings += labelled((one for one in travel.findings if one.state != "not checked"), item.axle)
            outcomes.append((f"Wheel travel, {item.axle}", travel))
    for item in view.order.axles:
        if item.ground is None:
            continue
        rows += [
            fact(item.ground, name, display, f"{item.ground.step.quantity(name).label}, {item.axle}")
            for name in motions.TOLD["rough_road"]
            if item.ground.values[name] is not None
        ]
        rules = {check.rule for check in item.ground.step.checks} - {HOLDS_RULE}
        findings += labelled((one for one in item.findings if one.rule in rules), item.axle)
        outcomes.append((f"Rough ground, {item.axle}", item.ground))
    ground = note(caution("ground"))
    drawing = views.side(view.order, display, view.prefix)
    lines = facts(rows)
    both_ = f'<div class="hb-two">{drawing}<div>{lines}</div></div>' if drawing else lines
    return Said(
        answer=", ".join(heads),
        need="" if heads else "Needs section 6",
        state=state_of(findings, ()) if heads else "not checked",
        body=both_ + tables + told(findings) + ground,
        outcomes=outcomes,
    )


def _alone(view: View, item: AxleOrder) -> str:
    """Return the sentence that stands for the table of wheel travel where each wheel goes its own way."""
    if not view.rig.independent(item.axle) or item.wheel_left is None:
        return ""
    bump, droop = (view.display.text(travel, vocabulary.length) for travel in item.wheel_left)
    return (
        f'<p class="hb-note">{item.axle.capitalize()}: independent wheels. From ride each goes {bump} up and {droop} '
        "down, whatever the other one does.</p>"
    )


def _travel_table(axle: str, found: Outcome, display: Display) -> str:
    """Return how far an axle's wheels go from ride, in three ways of moving."""
    unit = display.unit(vocabulary.length).symbol
    kinds = (("heave", "Both wheels together"), ("one_wheel", "One wheel"), ("articulation", "One up, one down"))
    heads = ("Bump", "Droop", "To the crossover")
    rows = []
    for kind, words in kinds:
        values = [found.values[f"{kind}_{end}"] for end in ("bump", "droop", "crossover")]
        told = (NONE if value is None else display.number(value, vocabulary.length) for value in values)
        rows.append((words, *told))
    caption = f"{axle.capitalize()}: wheel travel from ride until a coil-over ends"
    return rows_table(("Motion", *(f"{head}, {unit}" for head in heads)), rows, labels=heads, caption=caption)


def by_hand(text: str, told_: str) -> Callable[[View], Said]:
    """Return the maker of a section that the builder looks after on the rig: nothing is entered for it."""

    def make(_view: View) -> Said:
        return Said(need=text, state="not checked", body=note(told_))

    return make


def roll(view: View) -> Said:
    """Say how far the rig leans in a turn, that it stands up by itself, and how it would stand on a side slope."""
    judged = [finding for finding in view.order.rests if finding.rule in (ROLL_RULE, *motions.WORST_CASE)]
    found = view.order.motions.get("roll")
    if found is None:
        slope = unchecked("side slope", "Side slope: needs the height of the center of gravity and the tires' radius.")
        return Said(
            need="Needs section 6 and the height of the center of gravity",
            state=worst(judged) or "not checked",
            body=told([*judged, slope]),
        )
    findings = [
        *judged,
        *(finding for finding in found.findings if finding.rule not in ("stands upright", *motions.WORST_CASE)),
    ]
    lean, gradient = (
        text_of(view, found.values[name], found.step.quantity(name)) for name in ("lean_in_turn", "roll_gradient")
    )
    turn = text_of(view, found.values["lateral_acceleration"], found.step.quantity("lateral_acceleration"))
    outcomes: list[tuple[str, Outcome | None]] = [("", found)]
    lines = [fact(found, name, view.display) for name in motions.TOLD["roll"] if found.values[name] is not None]
    wanted = view.order.motions.get("wanted roll")
    if wanted is not None:
        outcomes.append(("Roll stiffness for the wanted gradient", wanted))
        findings += wanted.findings
        names = motions.TOLD["wanted_roll_stiffness"]
        lines += [fact(wanted, name, view.display) for name in names if wanted.values[name] is not None]
    for item in view.order.axles:
        bar = view.order.motions.get(f"{item.axle} bar")
        if bar is not None:
            label = f"Bar, {item.axle}: diameter for what it must add"
            lines.append(fact(bar, "needed_bar_diameter", view.display, label))
            outcomes.append((f"Anti-roll bar, {item.axle}", bar))
    return Said(
        answer=f"Leans {gradient}, {lean} at {turn}",
        state=worst(findings),
        body=facts(lines)
        + f'<p class="hb-note">{escape(view.rig.reference().label)}. {_NO_SAFE_ANGLE}</p>'
        + told(findings),
        outcomes=outcomes,
    )
