"""What each section of the rig page says: its answer for the heading, its worst finding, and its body."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from html import escape
from typing import Any

from calc import vocabulary
from calc.errors import FieldError, InputError
from calc.job import axle as axles
from calc.job import travel
from calc.job.order import DAMPER_SPEEDS, REBOUND_RATIO, AxleOrder, Order, count, masses_of, worst
from calc.job.rig import AXLES, CORNERS, Rig
from calc.job.spans import UNSPRUNG_SHARE, unsprung_percent
from calc.job.standing import ROLL_RULE, Standing
from calc.quantity import Display, Quantity
from calc.sheet import markup, step_sheet
from calc.sheet.rig import at_rest, springs, views
from calc.step import Attempt, Finding, Outcome, State, find, judge, run
from calc.weight.weight_change import Item

_FEW = 4
_RATING_RULES = frozenset(("the front axle is within its rating", "the rear axle is within its rating"))


@dataclass(frozen=True, kw_only=True)
class Said:
    """A section's answer, or what it needs, with the state for its heading and the HTML of its body."""

    answer: str = ""
    need: str = ""
    state: str = ""
    body: str = ""


@dataclass(frozen=True, kw_only=True)
class View:
    """What every section is made from: the rig as completed, its order, the reader's units, and a prefix for ids."""

    order: Order
    display: Display
    prefix: str = ""

    @property
    def rig(self) -> Rig:
        """The rig with what its rear takes over from its front."""
        return self.order.rig


def said(view: View) -> Mapping[int, Said]:
    """Return what each of the thirteen sections says."""
    return {number: make(view) for number, make in _MAKERS.items()}


# --- small parts ------------------------------------------------------------------------------------------------------------


def _facts(rows: Iterable[tuple[str, str, str]]) -> str:
    lines = "".join(markup.fact(label, text, doubt) for label, text, doubt in rows)
    return f'<dl class="hb-facts">{lines}</dl>' if lines else ""


def _fact(outcome: Outcome, name: str, display: Display, label: str = "") -> tuple[str, str, str]:
    quantity = outcome.step.quantity(name)
    doubt = outcome.plus_minus.get(name, 0.0)
    printed = display.plus_minus(doubt, quantity, name) if doubt else ""
    return label or quantity.label, display.text(outcome.values[name], quantity, name), printed


def _attempted(
    name: str, given: Mapping[str, Any], view: View, doubts: Mapping[str, float] | None = None
) -> Outcome | None:
    """Run a step, or return None while something that it needs is missing or contradicts itself."""
    try:
        return run(find(name), given, doubts, view.display)
    except InputError:
        return None


def _doubt(rig: Rig, key: str) -> float:
    known = rig.known(key)
    return 0.0 if known is None else known.plus_minus


# The last workings by their title, with what they were made from.
_worked: dict[tuple[str, str], tuple[Mapping[str, Any], Display, str]] = {}


def _working(outcomes: Iterable[tuple[str, Outcome | None]], display: Display) -> str:
    blocks = [
        (f"<h4>{escape(name)}</h4>" if name else "") + _lines(name, outcome, display)
        for name, outcome in outcomes
        if outcome is not None
    ]
    return f'<details class="hb-open"><summary>Working</summary>{"".join(blocks)}</details>' if blocks else ""


def _lines(name: str, outcome: Outcome, display: Display) -> str:
    place = (name, outcome.step.name)
    kept = _worked.get(place)
    if kept is not None and kept[0] == outcome.values and kept[1] == display:
        return kept[2]
    lines = step_sheet.working_lines(outcome.step, outcome, display)
    _worked[place] = (outcome.values, display, lines)
    return lines


def _both(texts: Iterable[tuple[str, str]]) -> str:
    """Join what is said of front and rear: "755 lb front, 657 lb rear"."""
    return ", ".join(f"{text} {axle}" for axle, text in texts)


def _labelled(findings: Iterable[Finding], axle: str) -> Iterable[Finding]:
    return (
        replace(finding, text=f"{axle.capitalize()}: {finding.text[:1].lower()}{finding.text[1:]}")
        for finding in findings
    )


def needed(keys: Iterable[str]) -> str:
    """Return what is missing as a short sentence: the first three, and how many more."""
    # A comma inside a label would read like the next of the list.
    names = [axles.label(key).replace(", ", " ") for key in keys]
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return f"Needs {', '.join(names[:3])}{more}" if names else ""


def told(findings: Iterable[Finding]) -> str:
    """Return the list of findings: what needs a look first, and many that hold behind a line of their own."""
    every = list(findings)
    held = [finding for finding in every if finding.state == "holds"]
    if len(held) <= _FEW:
        return markup.findings(every)
    rest = markup.findings(finding for finding in every if finding.state != "holds")
    return (
        f'{rest}<details class="hb-open"><summary>{count(len(held), "check")} that hold</summary>'
        f"{markup.findings(held)}</details>"
    )


def _state(findings: Iterable[Finding], missing: Iterable[str]) -> str:
    """Return the worst state of a section; what holds for one axle only is not checked for the rig."""
    found = worst(findings)
    return "not checked" if found in ("", "holds") and tuple(missing) else found


def _unchecked(rule: str, text: str) -> Finding:
    return Finding(rule=rule, state="not checked", text=text)


def _text(view: View, value: float, quantity: Quantity, decimals: int | None = None) -> str:
    return view.display.text(value, quantity, decimals=decimals)


# --- 1 Weigh ------------------------------------------------------------------------------------------------------------------


def _weigh(view: View) -> Said:
    rig, display = view.rig, view.display
    ratings = view.order.ratings
    given = {
        **{f"{corner}_mass": rig.get(f"{corner}.corner_mass") for corner in CORNERS},
        "wheelbase": rig.get("wheelbase"),
        "track_front": rig.get("front.track"),
        "track_rear": rig.get("rear.track"),
    }
    doubts = {f"{corner}_mass": _doubt(rig, f"{corner}.corner_mass") for corner in CORNERS}
    outcome = _attempted("weighing", given, view, doubts)
    if outcome is None:
        return _weighed_in_part(view)
    findings = [finding for finding in outcome.findings if finding.rule not in _RATING_RULES]
    values = outcome.values
    total = _text(view, values["total_mass"], vocabulary.total_mass)
    share = display.text(values["front_share"], outcome.step.quantity("front_share"))
    names = [
        "total_mass",
        "front_axle_mass",
        "rear_axle_mass",
        "front_share",
        "left_share",
        "cross_share",
        "center_behind_front_axle",
    ]
    note = '<p class="hb-note">Cross weight still carries the settings of the springs that it was weighed on.</p>'
    facts = _facts(_fact(outcome, name, display) for name in names)
    plan = views.plan(view.rig, display, view.prefix)
    body = f'<div class="hb-two">{plan}<div>{facts}{note}</div></div>' if plan else facts + note
    checked = told([*findings, *ratings])
    return Said(
        answer=f"{total}, {share} on the front",
        state=worst([*findings, *ratings]),
        body=body + checked + _working([("", outcome)], display),
    )


def _weighed_in_part(view: View) -> Said:
    rig = view.rig
    loads = [(axle, _axle_mass(rig, axle)) for axle in AXLES]
    known = [(axle, _text(view, mass, vocabulary.axle_mass)) for axle, mass in loads if mass is not None]
    missing = [f"{corner}.corner_mass" for corner in CORNERS] + ["wheelbase", "front.track", "rear.track"]
    need = needed(key for key in missing if rig.get(key) is None)
    body = told(view.order.ratings)
    return Said(answer=_both(known), need=need, state="not checked", body=body)


def _axle_mass(rig: Rig, axle: str) -> float | None:
    corners = [rig.get(f"{side}_{axle}.corner_mass") for side in ("left", "right")]
    if None not in corners:
        return float(sum(corners))
    mass = rig.get(f"{axle}.axle_mass_after")
    return None if mass is None else float(mass)


# --- 2 Split ------------------------------------------------------------------------------------------------------------------


def _split(view: View) -> Said:
    rig, display = view.rig, view.display
    outcomes: list[tuple[str, Outcome | None]] = []
    rows, findings, missing, heads = [], [], [], []
    for axle in AXLES:
        mass, unsprung = _axle_mass(rig, axle), rig.get(f"{axle}.unsprung_mass")
        if mass is None or unsprung is None:
            missing += [f"{axle}.unsprung_mass"] if unsprung is None else [f"left_{axle}.corner_mass"]
            continue
        doubts = {"unsprung_mass": _doubt(rig, f"{axle}.unsprung_mass")}
        outcome = _attempted("unsprung", {"axle_mass": mass, "unsprung_mass": unsprung}, view, doubts)
        if outcome is None:
            text = f"The {axle} unsprung weight is not less than what the axle carries on the scales."
            findings.append(Finding(rule="unsprung", state="fails", text=text))
            continue
        outcomes.append((axle.capitalize(), outcome))
        heads.append((axle, _text(view, unsprung, vocabulary.unsprung_mass)))
        rows.append(_fact(outcome, "sprung_mass", display, f"Sprung weight, {axle}"))
        rows.append(_fact(outcome, "unsprung_share", display, f"Unsprung share, {axle}"))
        findings += _labelled(outcome.findings, axle)
    answer = _both(heads).replace(" front", " unsprung front", 1) if heads else ""
    need = needed(missing)
    state = _state(findings, missing)
    body = _facts(rows) + told(findings) + _working(outcomes, display)
    return Said(answer=answer, need=need, state=state, body=body)


# --- 3 Change -----------------------------------------------------------------------------------------------------------------


def before_change(rig: Rig, axle: str) -> tuple[float, float | None] | None:
    """Return an axle's weight and unsprung weight before the change: as entered, else from what was changed since."""
    mass, unsprung = rig.get(f"{axle}.axle_mass_before"), rig.get(f"{axle}.unsprung_mass_before")
    if mass is not None:
        return mass, unsprung if unsprung is not None else rig.get(f"{axle}.unsprung_mass")
    readings = {f"{corner}_mass": rig.get(f"{corner}.corner_mass") for corner in CORNERS}
    places = {
        "wheelbase": rig.get("wheelbase"),
        "track_front": rig.get("front.track"),
        "track_rear": rig.get("rear.track"),
    }
    if not rig.changes or None in readings.values() or None in places.values():
        return None
    undone: tuple[Item, ...] = tuple(replace(item, mass=-item.mass) for item in rig.changes)
    try:
        outcome = run(find("weight_change"), {**readings, **places, "items": undone})
    except InputError:
        return None
    own = rig.get(f"{axle}.unsprung_mass")
    now = None if own is None else own + outcome.values[f"{axle}_unsprung_mass_change"]
    return outcome.values[f"{axle}_axle_mass_after"], unsprung if unsprung is not None else now


def _change(view: View) -> Said:
    rig, display = view.rig, view.display
    heads, rows, findings, missing = [], [], [], []
    outcomes: list[tuple[str, Outcome | None]] = []
    olds = []
    for axle in AXLES:
        before, after = before_change(rig, axle), _axle_mass(rig, axle)
        if before is None or after is None:
            missing.append(f"{axle}.axle_mass_before" if before is None else f"{axle}.axle_mass_after")
            continue
        mass, unsprung = before
        unsprung_after = rig.get(f"{axle}.unsprung_mass")
        if unsprung is None or unsprung_after is None:
            ratios = _ratio_range(mass, after, view)
            if ratios is not None:
                heads.append((axle, f"× {ratios[0]:.2f} to {ratios[1]:.2f}"))
                text = (
                    f"{axle.capitalize()}: a range only, because the unsprung weight is unknown "
                    f"({unsprung_percent()} of the axle's is assumed, common practice)."
                )
                findings.append(_unchecked("same ride", text))
            continue
        given = {
            "axle_mass_before": mass,
            "unsprung_mass_before": unsprung,
            "axle_mass_after": after,
            "unsprung_mass_after": unsprung_after,
        }
        outcome = _attempted("rescaled_rate", given, view)
        if outcome is None:
            text = f"The {axle} weights contradict each other: unsprung must stay below the axle weight."
            findings.append(Finding(rule="same ride", state="fails", text=text))
            continue
        ratio = outcome.values["load_ratio"]
        heads.append((axle, f"× {ratio:.2f}"))
        outcomes.append((axle.capitalize(), outcome))
        rows.append(_fact(outcome, "load_ratio", display, f"Rates and damper forces, {axle}, times"))
        rows.append(_fact(outcome, "sprung_mass_before", display, f"Sprung weight before, {axle}"))
        rows.append(_fact(outcome, "sprung_mass_after", display, f"Sprung weight now, {axle}"))
        findings += _labelled(outcome.findings, axle)
        olds += _rescaled(rig, axle, ratio, view)
    answer = ", ".join(f"{axle} {text}" for axle, text in heads)
    table = ""
    if olds:
        head = "<thead><tr><th scope='col'>Same ride as before with</th><th scope='col' class='n'>Old</th>"
        table = (
            f'<table class="hb-table hb-table--narrow">{head}<th scope="col" class="n">New</th></tr></thead>'
            f"<tbody>{''.join(olds)}</tbody></table>"
        )
    old, said_of_old = at_rest.old_springs(view.order, display)
    findings += said_of_old
    state = _state(findings, missing)
    return Said(
        answer=answer[:1].upper() + answer[1:],
        need=needed(missing),
        state=state,
        body=_facts(rows) + table + old + told(findings) + _working(outcomes, display),
    )


def _ratio_range(before: float, after: float, view: View) -> tuple[float, float] | None:
    """Return the least and the greatest factor while the unsprung weight is unknown and was not changed."""
    found = []
    for share in UNSPRUNG_SHARE:
        unsprung = share * before
        given = {
            "axle_mass_before": before,
            "unsprung_mass_before": unsprung,
            "axle_mass_after": after,
            "unsprung_mass_after": unsprung,
        }
        outcome = _attempted("rescaled_rate", given, view)
        if outcome is not None:
            found.append(float(outcome.values["load_ratio"]))
    return (min(found), max(found)) if found else None


def _rescaled(rig: Rig, axle: str, ratio: float, view: View) -> list[str]:
    lines = []
    for part in ("tender", "main"):
        old = rig.get(f"{axle}.old_{part}_rate")
        if old is not None:
            texts = [_text(view, rate, vocabulary.spring_rate) for rate in (old, old * ratio)]
            name = f"{axle.capitalize()} {part}"
            lines.append(
                f'<tr><th scope="row">{name}</th><td class="n">{texts[0]}</td><td class="n">{texts[1]}</td></tr>'
            )
    return lines


# --- 4 Motion ratio -------------------------------------------------------------------------------------------------------------


def _motion(view: View) -> Said:
    rig, display = view.rig, view.display
    heads, rows, missing = [], [], []
    findings: list[Finding] = []
    outcomes: list[tuple[str, Outcome | None]] = []
    for axle in AXLES:
        fixed = rig.get(f"{axle}.motion_ratio")
        ratio = fixed
        pairs = travel.motion(rig, axle)
        if pairs is not None:
            outcomes.append((f"{axle.capitalize()}, travel table", pairs.outcome if not pairs.errors else None))
            findings += _travel(pairs, axle, display)
        if pairs is not None and fixed is not None:
            rows.append(_fact(pairs.outcome, "motion_ratio", display, f"Motion ratio, {axle}, from the travel table"))
        elif fixed is None:
            lean, length = rig.get(f"{axle}.lean"), rig.get(f"{axle}.damper_length")
            missing += [
                f"{axle}.{name}" for name, value in (("lean", lean), ("damper_length", length)) if value is None
            ]
            outcome = _attempted("mount_points", {"lean": lean, "damper_length": length}, view)
            if outcome is not None:
                ratio = outcome.values["motion_ratio"]
                outcomes.append((axle.capitalize(), outcome))
                rows.append(_fact(outcome, "motion_ratio", display, f"Motion ratio, {axle}"))
                findings += _labelled((finding for finding in outcome.findings if finding.state != "not checked"), axle)
        else:
            rows.append((f"Motion ratio, {axle}, as measured", display.text(fixed, vocabulary.motion_ratio), ""))
        if ratio is not None:
            heads.append((axle, display.number(ratio, vocabulary.motion_ratio)))
        loads = _side_loads(view, axle)
        if loads is not None:
            rows.append(_fact(loads, "support_load_left", display, f"Support load, left {axle}"))
            rows.append(_fact(loads, "support_load_right", display, f"Support load, right {axle}"))
            outcomes.append((f"{axle.capitalize()}, left and right", loads))
            findings += _labelled(loads.findings, axle)
    state = _state(findings, missing)
    case = escape(rig.reference().label)
    note = f'<p class="hb-note">Support loads: {case}. The search goes by the mean of both sides.</p>' if rows else ""
    return Said(
        answer=_both(heads),
        need=needed(missing),
        state=state,
        body=_facts(rows) + note + told(findings) + _working(outcomes, display),
    )


def _travel(done: Attempt, axle: str, display: Display) -> list[Finding]:
    """Return what an axle's travel table is found to be, or what keeps it from being read."""
    if done.errors:
        return [_unchecked("travel table", f"{axle.capitalize()}: {error.message()}") for error in done.errors]
    return list(_labelled((item for item in judge(done.outcome, display) if item.state != "not checked"), axle))


def _side_loads(view: View, axle: str) -> Outcome | None:
    rig = view.rig
    case = rig.reference()
    masses = masses_of(rig, axle, case)
    own = rig.get(f"{axle}.unsprung_mass")
    if masses is None or own is None:
        return None
    added = sum(item.mass for item in case.items if item.carried == f"{axle} axle")
    names = ("track", "mount_base", "mount_height", "roll_center_height", "lean")
    given = {
        "axle_kind": "solid",
        "axle_left_mass": masses[0],
        "axle_right_mass": masses[1],
        "unsprung_mass": own + added,
        "unsprung_left_of_center": rig.get(f"{axle}.unsprung_left_of_center") or 0.0,
        **{name: rig.get(f"{axle}.{name}") for name in names},
    }
    return _attempted("support_load", given, view)


# --- 5 Targets ----------------------------------------------------------------------------------------------------------------


def _targets(view: View) -> Said:
    rig, display = view.rig, view.display
    heads, missing, ranges = [], [], []
    frequency = vocabulary.natural_frequency
    for axle in AXLES:
        low, high = (rig.get(f"{axle}.wanted_frequency_{end}") for end in ("low", "high"))
        missing += [f"{axle}.wanted_frequency_{end}" for end, value in (("low", low), ("high", high)) if value is None]
        if low is None or high is None:
            continue
        heads.append((axle, f"{display.number(low, frequency)} to {display.text(high, frequency)}"))
        span = _rate_range(rig, axle)
        if span is not None:
            ends = f"{display.number(span.low, vocabulary.spring_rate, decimals=0)} to "
            ends += display.text(span.high, vocabulary.spring_rate, decimals=0)
            rests = f" Assumed: {'; '.join(span.assumed)}." if span.assumed else ""
            ranges.append((f"Rate along the coil-over, {axle}", ends, rests))
    lines = _facts((label, text, "") for label, text, _ in ranges)
    rests = next((rest for _, _, rest in ranges if rest), "")
    note = f'<p class="hb-note">A range to look at, not for ordering.{escape(rests)}</p>' if ranges else ""
    table = _case_loads(view)
    tires = [f"{axle}.tire_rate" for axle in AXLES if rig.get(f"{axle}.tire_rate") is None]
    state: State = "not checked" if missing or tires else "holds"
    return Said(
        answer=_both(heads),
        need=needed([*missing, *tires]),
        state=state,
        body=lines + note + table,
    )


def _rate_range(rig: Rig, axle: str) -> axles.RateRange | None:
    try:
        return axles.rate_range(rig, axle)
    except FieldError:
        return None


def _case_loads(view: View) -> str:
    rig, display = view.rig, view.display
    rows = []
    for case in rig.cases():
        masses = [masses_of(rig, axle, case) for axle in AXLES]
        if masses[0] is None or masses[1] is None:
            return ""
        front, rear = sum(masses[0]), sum(masses[1])
        cells = "".join(
            f'<td class="n" data-label="{name}">{display.number(value, vocabulary.axle_mass)}</td>'
            for name, value in (("Front axle", front), ("Rear axle", rear), ("Total", front + rear))
        )
        rows.append(f'<tr><th scope="row">{escape(case.label)}</th>{cells}</tr>')
    unit = display.unit(vocabulary.axle_mass).symbol
    heads = "".join(f'<th scope="col" class="n">{name}, {unit}</th>' for name in ("Front axle", "Rear axle", "Total"))
    return (
        f'<table class="hb-table hb-table--fold"><thead><tr><th scope="col">Load case</th>{heads}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table>"
    )


# --- 6 Springs ----------------------------------------------------------------------------------------------------------------


def _springs(view: View) -> Said:
    made = view.order
    heads, missing, states, wrong = [], [], [], []
    for item in made.axles:
        if item.chosen is not None:
            heads.append((item.axle, springs.short_name(item.chosen, made.springs, view.display)))
            states.append(worst(item.findings))
        elif item.needs is not None and item.needs.sentences:
            wrong.append(item.needs.sentences[0])
            states.append("fails")
        elif item.needs is not None:
            missing += list(item.needs.keys)
        elif item.choice is not None:
            states.append("fails")
    answer = _both(heads)
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
    body = "".join(springs.axle_body(item, view.order, view.display, told, view.prefix) for item in made.axles)
    body += at_rest.body(made, view.display, told)
    return Said(answer=answer, need=need, state=state, body=body)


# --- 7 Damper to 13 Prove -------------------------------------------------------------------------------------------------------


def _damper(view: View) -> Said:
    heads, rows, facts = [], [], []
    findings: list[Finding] = []
    outcomes: list[tuple[str, Outcome | None]] = []
    for item in view.order.axles:
        if item.damping_before is not None:
            force = vocabulary.force
            both = f"{view.display.number(item.damping_before.compression[0], force)} and "
            heads.append((item.axle, both + view.display.text(item.damping_before.rebound[0], force)))
            rows += _force_rows(item, view.display)
        if item.gas is not None:
            facts.append(_fact(item.gas, "gas_force", view.display, f"Gas force at ride, {item.axle}"))
            facts.append(_fact(item.gas, "gas_rate", view.display, f"Gas rate at ride, {item.axle}"))
        if item.damping is not None:
            outcomes.append((f"Damping, {item.axle}", item.damping))
        if item.gas is not None:
            findings += _labelled(item.gas.findings, item.axle)
    findings.append(view.order.forces)
    speed = _text(view, DAMPER_SPEEDS[0], vocabulary.velocity, 0 if view.display.system == "shop" else 3)
    table = ""
    if rows:
        unit = view.display.unit(vocabulary.force).symbol
        columns = [f"Mean coefficient, {view.display.unit(vocabulary.damping_coefficient).symbol}"]
        columns += [
            f"At {_text(view, at, vocabulary.velocity, 0 if view.display.system == 'shop' else 3)}, {unit}"
            for at in DAMPER_SPEEDS
        ]
        heads_html = "".join(f'<th scope="col" class="n">{escape(column)}</th>' for column in columns)
        table = (
            '<table class="hb-table hb-table--fold"><caption>Compression and rebound for the wanted damping ratio, '
            f"gas left out. Rebound is {REBOUND_RATIO:g} times compression: assumed, common practice.</caption>"
            f'<thead><tr><th scope="col">Axle and regime</th>{heads_html}</tr></thead>'
            f"<tbody>{''.join(rows)}</tbody></table>"
        )
    need = "" if heads else _damper_needs(view)
    return Said(
        answer=f"{_both(heads)}, at {speed}" if heads else "",
        need=need or "Needs a measured force table",
        state="not checked",
        body=table + _facts(facts) + told(findings) + _working(outcomes, view.display),
    )


def _damper_needs(view: View) -> str:
    missing = [
        f"{item.axle}.wanted_damping_ratio"
        for item in view.order.axles
        if view.rig.get(f"{item.axle}.wanted_damping_ratio") is None
    ]
    if any(item.chosen is None for item in view.order.axles):
        return "Needs section 6"
    return needed(missing)


def _force_rows(item: AxleOrder, display: Display) -> list[str]:
    rows = []
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
        labels = ("Mean coefficient", "At the lower speed", "At the higher speed")
        inner = "".join(
            f'<td class="n" data-label="{label}">{cell}</td>' for label, cell in zip(labels, cells, strict=True)
        )
        small = f"<small>{escape(note)}</small>" if note else ""
        rows.append(f'<tr><th scope="row">{item.axle.capitalize()}, {regime}{small}</th>{inner}</tr>')
    return rows


def _bump_stops(view: View) -> Said:
    heads = []
    findings: list[Finding] = []
    for item in view.order.axles:
        own = [finding for finding in item.findings if finding.rule == "bump stop clear at rest"]
        findings += _labelled(own, item.axle)
        if item.pad_clear is not None:
            heads.append((item.axle, view.display.text(item.pad_clear, vocabulary.length)))
    findings.append(_unchecked("landing", "What the pad takes in a landing: needs its force at three heights."))
    answer = f"Clear by {_both(heads)}" if heads else ""
    return Said(
        answer=answer,
        need="Needs the pad: force at three heights",
        state=worst(findings),
        body=told(findings),
    )


def _ride_check(view: View) -> Said:
    ground = _unchecked("rough ground", "Ride over rough ground: needs a damper's force table and the bump stop's pad.")
    return Said(
        need="Needs a damper's force table and the pad",
        state="not checked",
        body=views.side(view.order, view.display, view.prefix) + told([ground]),
    )


def _needs_only(text: str, finding: str) -> Callable[[View], Said]:
    def make(_view: View) -> Said:
        return Said(need=text, state="not checked", body=told([_unchecked("later", finding)]))

    return make


def _roll(view: View) -> Said:
    later = _unchecked("later", "Side slope, and which tires leave the ground first: see the step on roll.")
    margin = [finding for finding in view.order.rests if finding.rule == ROLL_RULE]
    known = [finding for finding in margin if finding.value is not None]
    answer = f"Roll margin {known[0].value:.1f}" if known else ""
    need = "" if known else "Needs section 6 and the height of the center of gravity"
    return Said(answer=answer, need=need, state=worst(margin) or "not checked", body=told([*margin, later]))


def _order_and_set(view: View) -> Said:
    made = view.order
    if not any(item.chosen is not None for item in made.axles):
        return Said(need="Needs section 6", state="not checked")
    what = "Estimate: do not order" if made.estimate else "Ready to order"
    body = (
        '<p>The sheet to print stands <a href="#order">below</a>: parts, settings, heights, and what they rest on.</p>'
    )
    return Said(answer=what, need="", state=worst(made.findings()), body=body)


def _prove(view: View) -> Said:
    rows = []
    for item in view.order.axles:
        if item.chosen is None or item.task is None or not item.cases:
            continue
        case = item.cases[item.task.reference]
        doubt = view.display.plus_minus(case.ride_travel_plus_minus, vocabulary.damper_length)
        for name, length in _damper_lengths(view, item, case.damper_length):
            text = _text(view, length, vocabulary.damper_length)
            rows.append((f"Damper, eye to eye, {name}: {case.label}", text, doubt))
    note = (
        '<p>Measure these on the ground once it is built; <a href="prove.html">Prove</a> tells how.</p>' if rows else ""
    )
    return Said(
        answer="",
        need="Needs the built rig: damper lengths on the ground",
        state="not checked",
        body=note + _facts(rows),
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
    1: _weigh,
    2: _split,
    3: _change,
    4: _motion,
    5: _targets,
    6: _springs,
    7: _damper,
    8: _bump_stops,
    9: _ride_check,
    10: _roll,
    11: _needs_only("Needs the ends of hoses, straps and shafts", "Fit: needs the ends of hoses, straps and shafts."),
    12: _order_and_set,
    13: _prove,
}
