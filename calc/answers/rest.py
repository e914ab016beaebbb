"""The rig at rest as plain tables: heights and loads of a load case, what a turn does, turns that level it.

A page and a terminal print the same tables.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np

from calc import units, vocabulary
from calc.answer.parts import Grid, Listed, Part, signed
from calc.errors import Needs
from calc.quantity import Display, Quantity
from calc.ride._rest import STANDS
from calc.rig.axle import needs_told
from calc.rig.entries import CORNERS
from calc.rig.loads import corner_masses
from calc.rig.rig import Rig
from calc.step import Finding
from calc.whole.at_rest import ON_DAMPER, ON_PAD, ON_STRAP, AtRest, CaseAtRest, CornerAtRest, words
from calc.whole.leveling import TurnEffect
from calc.whole.on_chosen_springs import Standing

_LENGTH, _MASS = vocabulary.length, vocabulary.corner_mass
TITLE = "THE WHOLE RIG AT REST"
OLD_RULE = "old springs"
HUB_NOTE = "Hub to frame mark counts from the height at which the lean was read, or the travel pairs' ride height."
HEIGHT_NOTE = "Height is the damper's length against the wanted one: + is higher."


def _unit(quantity: Quantity, display: Display) -> str:
    return display.unit(quantity).symbol


def percent(share: float) -> str:
    """Return a share of cross weight as it is read off: one decimal."""
    return f"{100 * share:.1f}{units.NO_BREAK}%"


# --- heights and loads --------------------------------------------------------------------------------------------------------


def case_line(case: CaseAtRest) -> str:
    """Return a load case in one line: how it stands and how sure that is, or why it does not."""
    if case.problem and not case.corners:
        return case.problem
    doubt = case.doubt
    share = percent(case.cross_share)
    if doubt is not None:
        share = f"{share} ±{units.NO_BREAK}{100 * doubt.cross_share:.1f}{units.NO_BREAK}%"
    told = f"{share} on left rear and right front, {_lean(case)}"
    return f"{told}. {case.problem}" if case.problem else told


def _lean(case: CaseAtRest) -> str:
    lean = math.degrees(case.body_roll)
    side = "left" if lean < 0 else "right"
    if case.doubt is None:
        return f"leans {abs(lean):.1f}° to the {side}" if abs(lean) >= 0.05 else "sits level"
    sure = f"±{units.NO_BREAK}{math.degrees(case.doubt.body_roll):.1f}°"
    if abs(case.body_roll) < case.doubt.body_roll:
        return f"sits level as far as is known ({abs(lean):.1f}° {sure} to the {side})"
    return f"leans {abs(lean):.1f}° {sure} to the {side}"


def case_table(case: CaseAtRest, display: Display) -> Grid | None:
    """Return one load case's four corners; None where it does not stand."""
    if not case.corners:
        return None
    length = _unit(_LENGTH, display)
    return Grid(
        caption=f"{case.label}: {case_line(case)}",
        heads=(
            "Corner",
            f"Tire, {_unit(_MASS, display)}",
            f"Hub to frame mark, {length}",
            f"Bump left, {length}",
            f"Droop left, {length}",
            "Sag, %",
        ),
        rows=tuple(_corner_row(corner, display) for corner in case.corners),
        notes=tuple(_states(case.corners)),
    )


def _corner_row(corner: CornerAtRest, display: Display) -> tuple[str, ...]:
    height = corner.ride_height_change
    return (
        words(corner.name).capitalize(),
        display.number(corner.tire_mass, _MASS),
        "–" if height is None else signed(height, _LENGTH, display),
        display.number(corner.bump_left, _LENGTH),
        display.number(corner.droop_left, _LENGTH),
        f"{100 * corner.sag_share:.0f}",
    )


def _states(corners: Iterable[CornerAtRest]) -> Iterator[str]:
    """Say of each state that is no free ride which corners are in it."""
    found: dict[str, list[str]] = {}
    for corner in corners:
        if corner.state:
            found.setdefault(corner.state, []).append(words(corner.name))
    for state, names in found.items():
        yield f"{' and '.join(names).capitalize()}: {state}."


# --- turns ----------------------------------------------------------------------------------------------------------------------


def turn_tables(found: Standing, display: Display) -> tuple[Grid, ...]:
    """Return what one turn does to all four corners: the adjuster's, and the ring's where it does anything."""
    if not found.adjuster:
        return ()
    case = found.rest.cases[found.reference]
    past = [words(corner.name) for corner in case.corners if corner.state == "past the crossover"]
    regime = f"past the crossover at the {' and the '.join(past)}" if past else "every corner before its crossover"
    tables = [
        _turn_table(
            found.adjuster[found.reference],
            f"One adjuster turn down, {case.label}, {regime}: body height, {_unit(_LENGTH, display)}, "
            f"and tire, {_unit(_MASS, display)}",
            display,
            () if past else ("Before the crossover the rings do nothing; past it only the rings change anything.",),
        )
    ]
    for place, effect in enumerate(found.ring):
        if np.abs(effect.frame_height).max() > 1e-9:
            label = found.rest.cases[place].label
            caption = (
                f"One ring turn up, {label}: body height, {_unit(_LENGTH, display)}, and tire, {_unit(_MASS, display)}"
            )
            tables.append(_turn_table(effect, caption, display, ()))
    return tuple(tables)


def _turn_table(effect: TurnEffect, caption: str, display: Display, notes: tuple[str, ...]) -> Grid:
    decimals = 3 if display.system == "shop" else 1

    def cell(answers: int, turned: int) -> str:
        height = signed(float(effect.frame_height[answers, turned]), _LENGTH, display, decimals)
        return f"{height}, {signed(float(effect.tire_mass[answers, turned]), _MASS, display, 1)}"

    return Grid(
        caption=caption,
        heads=("Turned at", *(words(corner).capitalize() for corner in CORNERS)),
        rows=tuple(
            (words(corner).capitalize(), *(cell(answers, turned) for answers in range(len(CORNERS))))
            for turned, corner in enumerate(CORNERS)
        ),
        notes=notes,
    )


def level_table(found: Standing) -> Grid | None:
    """Return the turns that bring the frame level, the dampers to one length, or the cross weight to even.

    No turns are advised for what is off by less than its plus-minus.
    """
    if not found.levels:
        return None
    names = ("Body level", "Dampers of equal length", f"Cross weight {100 * found.cross:.4g}{units.NO_BREAK}%")
    rows, notes = [], []
    for name, one, noise in zip(names, found.levels, found.noise, strict=True):
        if noise and not one.refused:
            notes.append(f"{name}: {noise}")
            continue
        notes.append(f"{name}: {one.refused or one.rule}{f' {one.absurd}' if one.absurd else ''}")
        if not one.refused:
            turns = (f"{turns:+.1f}".replace("-", units.MINUS) for turns in one.turns)
            rows.append((name, *turns, percent(one.cross_share)))
    case = found.rest.cases[found.reference]
    return Grid(
        caption=f"Adjuster turns from these settings, + is down, {case.label}",
        heads=("Target", *(words(corner).capitalize() for corner in CORNERS), "Cross weight"),
        rows=tuple(rows),
        notes=tuple(notes),
    )


# --- old springs ----------------------------------------------------------------------------------------------------------------


def cross_note(rig: Rig, rest: AtRest) -> str:
    """Return what the scales said of the cross weight beside what these springs, alike on both sides, would give.

    And by how much each load case changes it; nothing where no load case is the state that was weighed.
    """
    weighed = next((place for place, case in enumerate(rig.cases()) if not case.items), None)
    masses = None if weighed is None else corner_masses(rig, rig.cases()[weighed])
    if weighed is None or masses is None or not rest.cases[weighed].corners:
        return ""
    read = (masses["left_rear"] + masses["right_front"]) / sum(masses.values())
    here = rest.cases[weighed].cross_share
    text = (
        f"The scales said {percent(read)} on left rear and right front; old springs set alike on both sides would give "
        f"{percent(here)}."
    )
    moved = [
        f"{100 * (case.cross_share - here):+.1f}{units.NO_BREAK}% ({case.label})".replace("-", units.MINUS, 1)
        for place, case in enumerate(rest.cases)
        if place != weighed and case.corners
    ]
    return f"{text} The load changes that by {', '.join(moved)}." if moved else text


_STOPPED = {
    ON_PAD: "rests on a bump stop",
    ON_STRAP: "hangs from a strap",
    ON_DAMPER: "hangs from a damper, fully extended,",
    "tire off the ground": "lifts a tire",
}


def old_finding(rest: AtRest, display: Display) -> Finding:
    """Return whether the old springs hold up the rig as it weighs now."""
    for case in rest.cases:
        if case.status != STANDS:
            return Finding(rule=OLD_RULE, state="fails", text=f"{_lower(case.problem)} Load case: {case.label}.")
    pressed = [
        (words(corner.name), corner.state, case.label)
        for case in rest.cases
        for corner in case.corners
        if corner.state in _STOPPED
    ]
    if pressed:
        label = pressed[-1][2]
        here = [(name, state) for name, state, where in pressed if where == label]
        on = " and ".join(dict.fromkeys(_STOPPED[state] for _, state in here))
        text = f"On its old springs it {on} at the {' and the '.join(name for name, _ in here)}. Load case: {label}."
        return Finding(rule=OLD_RULE, state="fails", text=text)
    least = min((corner.bump_left, words(corner.name), case.label) for case in rest.cases for corner in case.corners)
    text = (
        f"On its old springs it hangs free of its stops; the least bump left is "
        f"{display.text(least[0], _LENGTH)} at the {least[1]}. Load case: {least[2]}."
    )
    return Finding(rule=OLD_RULE, state="holds", text=text)


def _lower(problem: str) -> str:
    return f"On its old springs: {problem[:1].lower()}{problem[1:]}"


# --- the whole of it ------------------------------------------------------------------------------------------------------------


def standing_parts(found: Standing | None, needs: Needs | None, display: Display) -> Iterator[Part]:
    """Yield the rest on the chosen springs: every load case, what a turn does, what levels it."""
    if needs is not None:
        yield Listed(title=TITLE, lines=tuple(needs_told(needs)))
    if found is None:
        return
    yield from rest_parts(TITLE, found.rest, display)
    yield from turn_tables(found, display)
    leveling = level_table(found)
    if leveling is not None:
        yield leveling


def rest_parts(title: str, rest: AtRest, display: Display) -> Iterator[Part]:
    """Yield a title and each load case of a rest."""
    assumed = (f"Assumed: {'; '.join(rest.assumed)}.",) if rest.assumed else ()
    yield Listed(title=title, lines=(HUB_NOTE, *assumed))
    for case in rest.cases:
        table = case_table(case, display)
        yield Listed(title="", lines=(f"{case.label}: {case_line(case)}",)) if table is None else table
