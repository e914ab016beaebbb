"""Sections 1 to 3 of the rig page: what it weighs, what the springs carry, what was changed."""

from __future__ import annotations

import math
from dataclasses import replace

from calc import vocabulary
from calc.order.findings import worst
from calc.rig.entries import AXLES, CORNERS
from calc.rig.rig import Rig
from calc.rig.spans import UNSPRUNG_SHARE, unsprung_percent
from calc.rig.wires import like, of_axle, of_rig, run_on, values_on
from calc.sheet.rig import at_rest, views
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
    text_of,
    told,
    unchecked,
)
from calc.step import Finding, Known, Outcome
from calc.weight.weight_change import Item

# What was read on the scales, and where they stood.
_WEIGHED = {
    **{f"{corner}_mass": f"{corner}.corner_mass" for corner in CORNERS},
    "wheelbase": "wheelbase",
    "track_front": "front.track",
    "track_rear": "rear.track",
}
_RATING_RULES = frozenset(("the front axle is within its rating", "the rear axle is within its rating"))


def weigh(view: View) -> Said:
    """Say what the rig weighs and how it stands on its tires."""
    rig, display = view.rig, view.display
    ratings = view.order.ratings
    outcome = run_on("weighing", of_rig(rig, **_WEIGHED), display)
    if outcome is None:
        return _weighed_in_part(view)
    findings = [finding for finding in outcome.findings if finding.rule not in _RATING_RULES]
    values = outcome.values
    total = text_of(view, values["total_mass"], vocabulary.total_mass)
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
    lines = facts(fact(outcome, name, display) for name in names)
    plan = views.plan(view.rig, display, view.prefix)
    body = f'<div class="hb-two">{plan}<div>{lines}{note}</div></div>' if plan else lines + note
    checked = told([*findings, *ratings])
    return Said(
        answer=f"{total}, {share} on the front",
        state=worst([*findings, *ratings]),
        body=body + checked,
        outcomes=[("", outcome)],
    )


def _weighed_in_part(view: View) -> Said:
    rig = view.rig
    loads = [(axle, _axle_mass(rig, axle)) for axle in AXLES]
    known = [(axle, text_of(view, mass, vocabulary.axle_mass)) for axle, mass in loads if mass is not None]
    missing = [f"{corner}.corner_mass" for corner in CORNERS] + ["wheelbase", "front.track", "rear.track"]
    need = needed(key for key in missing if rig.get(key) is None)
    body = told(view.order.ratings)
    return Said(answer=both(known), need=need, state="not checked", body=body)


def _axle_mass(rig: Rig, axle: str) -> float | None:
    corners = [rig.get(f"{side}_{axle}.corner_mass") for side in ("left", "right")]
    if None not in corners:
        return float(sum(corners))
    mass = rig.get(f"{axle}.axle_mass_after")
    return None if mass is None else float(mass)


def _axle_doubt(rig: Rig, axle: str) -> float:
    """Return the plus-minus of what an axle weighs: of both its readings, else of the axle's."""
    corners = [doubt_of(rig, f"{side}_{axle}.corner_mass") for side in ("left", "right")]
    return math.hypot(*corners) if all(corners) else doubt_of(rig, f"{axle}.axle_mass_after")


# --- 2 Split ------------------------------------------------------------------------------------------------------------------


def split(view: View) -> Said:
    """Say what the springs carry of each axle."""
    rig, display = view.rig, view.display
    outcomes: list[tuple[str, Outcome | None]] = []
    rows, findings, missing, heads = [], [], [], []
    for axle in AXLES:
        mass, unsprung = _axle_mass(rig, axle), rig.get(f"{axle}.unsprung_mass")
        if mass is None or unsprung is None:
            missing += [f"{axle}.unsprung_mass"] if unsprung is None else [f"left_{axle}.corner_mass"]
            continue
        weighed = Known(value=mass, origin="derived", plus_minus=_axle_doubt(rig, axle))
        wires = {"axle_mass": weighed, **of_axle(rig, axle, "unsprung_mass")}
        outcome = run_on("unsprung", wires, display)
        if outcome is None:
            text = f"The {axle} unsprung weight is not less than what the axle carries on the scales."
            findings.append(Finding(rule="unsprung", state="fails", text=text))
            continue
        outcomes.append((axle.capitalize(), outcome))
        heads.append((axle, text_of(view, unsprung, vocabulary.unsprung_mass)))
        rows.append(fact(outcome, "sprung_mass", display, f"Sprung weight, {axle}"))
        rows.append(fact(outcome, "unsprung_share", display, f"Unsprung share, {axle}"))
        findings += labelled(outcome.findings, axle)
    answer = both(heads).replace(" front", " unsprung front", 1) if heads else ""
    need = needed(missing)
    state = state_of(findings, missing)
    return Said(answer=answer, need=need, state=state, body=facts(rows) + told(findings), outcomes=outcomes)


# --- 3 Change -----------------------------------------------------------------------------------------------------------------


def before_change(rig: Rig, axle: str) -> tuple[float, float | None] | None:
    """Return an axle's weight and unsprung weight before the change: as entered, else from what was changed since."""
    mass, unsprung = rig.get(f"{axle}.axle_mass_before"), rig.get(f"{axle}.unsprung_mass_before")
    if mass is not None:
        return mass, unsprung if unsprung is not None else rig.get(f"{axle}.unsprung_mass")
    weighed = of_rig(rig, **_WEIGHED)
    if not rig.changes or None in weighed.values():
        return None
    undone: tuple[Item, ...] = tuple(replace(item, mass=-item.mass) for item in rig.changes)
    found = values_on("weight_change", {**weighed, "items": undone})
    if found is None:
        return None
    own = rig.get(f"{axle}.unsprung_mass")
    now = None if own is None else own + found[f"{axle}_unsprung_mass_change"]
    return found[f"{axle}_axle_mass_after"], unsprung if unsprung is not None else now


def change(view: View) -> Said:
    """Say what the change of weight does to rates and damper forces."""
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
            ratios = _ratio_range(mass, after)
            if ratios is not None:
                heads.append((axle, f"× {ratios[0]:.2f} to {ratios[1]:.2f}"))
                text = (
                    f"{axle.capitalize()}: a range only, because the unsprung weight is unknown "
                    f"({unsprung_percent()} of the axle's is assumed, common practice)."
                )
                findings.append(unchecked("same ride", text))
            continue
        wires = {
            "axle_mass_before": like(rig.known(f"{axle}.axle_mass_before"), mass),
            "unsprung_mass_before": like(rig.known(f"{axle}.unsprung_mass_before"), unsprung),
            "axle_mass_after": Known(value=after, origin="derived", plus_minus=_axle_doubt(rig, axle)),
            "unsprung_mass_after": rig.known(f"{axle}.unsprung_mass"),
        }
        outcome = run_on("rescaled_rate", wires, display)
        if outcome is None:
            text = f"The {axle} weights contradict each other: unsprung must stay below the axle weight."
            findings.append(Finding(rule="same ride", state="fails", text=text))
            continue
        ratio = outcome.values["load_ratio"]
        heads.append((axle, f"× {ratio:.2f}"))
        outcomes.append((axle.capitalize(), outcome))
        rows.append(fact(outcome, "load_ratio", display, f"Factor for rates and damper forces, {axle}"))
        rows.append(fact(outcome, "sprung_mass_before", display, f"Sprung weight before, {axle}"))
        rows.append(fact(outcome, "sprung_mass_after", display, f"Sprung weight now, {axle}"))
        findings += labelled(outcome.findings, axle)
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
    state = state_of(findings, missing)
    return Said(
        answer=answer[:1].upper() + answer[1:],
        need=needed(missing),
        state=state,
        body=facts(rows) + table + old + told(findings),
        outcomes=outcomes,
    )


def _ratio_range(before: float, after: float) -> tuple[float, float] | None:
    """Return the least and the greatest factor while the unsprung weight is unknown and was not changed."""
    found = []
    for share in UNSPRUNG_SHARE:
        unsprung = share * before
        wires = {
            "axle_mass_before": before,
            "unsprung_mass_before": unsprung,
            "axle_mass_after": after,
            "unsprung_mass_after": unsprung,
        }
        rescaled = values_on("rescaled_rate", wires)
        if rescaled is not None:
            found.append(float(rescaled["load_ratio"]))
    return (min(found), max(found)) if found else None


def _rescaled(rig: Rig, axle: str, ratio: float, view: View) -> list[str]:
    lines = []
    for part in ("tender", "main"):
        old = rig.get(f"{axle}.old_{part}_rate")
        if old is not None:
            texts = [text_of(view, rate, vocabulary.spring_rate) for rate in (old, old * ratio)]
            name = f"{axle.capitalize()} {part}"
            lines.append(
                f'<tr><th scope="row">{name}</th><td class="n">{texts[0]}</td><td class="n">{texts[1]}</td></tr>'
            )
    return lines
