"""The build sheet as plain numbers: what to order, how to set each corner, what it will do, and what that rests on."""

from __future__ import annotations

from collections.abc import Iterator

from calc import vocabulary
from calc.answer.parts import Fact
from calc.order.axle_order import DAMPER_SPEEDS, AxleOrder, DampingAnswer, JudgedRig, settings, side_settings
from calc.order.certainty import order_line
from calc.rig.axle import label, stack_of
from calc.rig.ordered import AxleFitting, BuildSheet, CaseForecast, CornerForecast, CornerSetting, Part
from calc.rig.part_words import (
    ADJUSTER,
    ADJUSTER_TURNS,
    PRELOAD,
    PRELOAD_TURNS,
    RING_BELOW_SEAT,
    RING_GAP,
    STRAP,
    THREAD_LEFT,
)
from calc.tables import Springs

_length, _turns = vocabulary.length, "turns"


def build_sheet(made: JudgedRig) -> BuildSheet | None:
    """Return the build sheet of an order without its date, or None while no axle has a set; an axle without one is left out."""
    if not any(item.chosen is not None for item in made.axles):
        return None
    return BuildSheet(
        rig=made.rig.name or "rig without a name",
        condition=str(made.rig.get("condition") or ""),
        date="",
        reasons=made.reasons,
        parts=tuple(part for item in made.axles for part in _parts(made, item)),
        settings=tuple(setting for item in made.axles for setting in _settings(item)),
        forces=tuple(force for item in made.axles for force in _forces(item.axle, item.damping_before)),
        forces_past=tuple(force for item in made.axles for force in _forces(item.axle, item.damping_past)),
        fittings=tuple(_fitting(made, item.axle) for item in made.axles if item.chosen is not None),
        cases=tuple(_cases(made)),
        solved=made.standing is not None,
        not_holding=tuple(
            (finding.state, f"{axle.capitalize()}: {finding.text}" if axle else finding.text)
            for axle, found in (
                ("", made.of_rig()),
                *((item.axle, item.findings) for item in made.axles),
            )
            for finding in found
            if finding.state != "holds"
        ),
        chances=tuple(line for line in (order_line(made, item) for item in made.axles) if line),
        assumed=tuple(label(key) for key in made.assumed),
        examples=made.examples,
        damping=made.damping,
    )


def _parts(made: JudgedRig, item: AxleOrder) -> Iterator[Part]:
    chosen, springs = item.chosen, made.springs
    if chosen is None:
        return
    for what, index in (("helper", chosen.helper), ("tender", chosen.tender), ("main", chosen.main)):
        if index is not None:
            yield _spring(what, item.axle, springs, index)

    def known(name: str) -> float | None:
        value = made.rig.get(f"{item.axle}.{name}")
        return None if value is None else float(value)

    yield Part(what="damper", place=item.axle, count=2, length=known("damper_extended"), stroke=known("damper_stroke"))
    dividers = sum(part is not None for part in (chosen.helper, chosen.tender))
    if dividers:
        yield Part(what="divider", place=item.axle, count=2 * dividers, length=known("divider_thickness"))
    if chosen.ring_gap is not None:
        yield Part(what="stop ring with its jam nut", place=item.axle, count=2, length=known("ring_thickness"))


def _spring(what: str, axle: str, springs: Springs, index: int) -> Part:
    priced = bool(springs.known["price"][index])
    return Part(
        what=what,
        place=axle,
        count=2,
        part=springs.part[index],
        rate=float(springs.rate[index]),
        length=float(springs.free_length[index]),
        price=float(springs.price[index]) if priced else None,
        solid_length=float(springs.solid_length[index]),
        inside_diameter=float(springs.inside_diameter[index]),
    )


def _settings(item: AxleOrder) -> Iterator[CornerSetting]:
    if item.chosen is None:
        return
    both, apart = settings(item), side_settings(item)
    for side in ("left", "right"):
        own: dict[str, float | None] = {**both, **apart.get(side, {})}
        yield CornerSetting(
            corner=f"{side}_{item.axle}",
            **{name: own[name] or 0.0 for name in _SET},
            ring_gap=own["ring_gap"],
            ring_below_seat=own["ring_below_seat"],
            strap_length=own["strap_length"],
        )


_SET = ("preload", "preload_turns", "adjuster", "adjuster_turns", "adjuster_left")


def _forces(axle: str, answer: DampingAnswer | None) -> Iterator[tuple[str, float, float, float]]:
    if answer is not None:
        for speed, compression, rebound in zip(DAMPER_SPEEDS, answer.compression, answer.rebound, strict=True):
            yield axle, speed, compression, rebound


def _fitting(made: JudgedRig, axle: str) -> AxleFitting:
    def known(name: str) -> float | None:
        value = made.rig.get(f"{axle}.{name}")
        return None if value is None else float(value)

    return AxleFitting(
        axle=axle,
        tire_pressure=known("tire_pressure"),
        gas_pressure=known("gas_pressure"),
        pad_touch=known("pad_touch_before_collapsed"),
        pad_solid=known("solid_before_collapsed"),
        limit_strap=str(made.rig.get(f"{axle}.limit_strap") or ""),
        rebound_share=known("rebound_share"),
        slope_past_knee=known("slope_past_knee"),
        knee_speed=known("knee_speed"),
    )


def _cases(made: JudgedRig) -> Iterator[CaseForecast]:
    ready = [item for item in made.axles if item.cases]
    for index, case in enumerate(ready[0].cases):
        yield CaseForecast(
            name=made.rig.cases()[index].name,
            label=case.label,
            reference=any(item.task is not None and index == item.task.reference for item in ready),
            plus_minus=max(item.cases[index].ride_travel_plus_minus for item in ready),
            corners=tuple(_corners(made, index)),
        )


def _corners(made: JudgedRig, index: int) -> Iterator[CornerForecast]:
    rest = made.standing.rest.cases[index].corners if made.standing is not None else ()
    solved = {corner.name: corner for corner in rest}
    for item in made.axles:
        if not item.cases:
            continue
        case = item.cases[index]
        for side in ("left", "right"):
            name = f"{side}_{item.axle}"
            own = solved.get(name)
            if own is not None:
                yield CornerForecast(
                    corner=name,
                    tire_mass=own.tire_mass,
                    damper_length=own.damper_length,
                    bump_left=own.bump_left,
                    droop_left=own.droop_left,
                    sag_share=own.sag_share,
                    hub_to_body_change=own.ride_height_change,
                    ride_frequency=case.ride_frequency,
                    **_at_ride(made, item, side, own.damper_length),
                )
                continue
            yield CornerForecast(
                corner=name,
                tire_mass=case.axle_mass / 2,
                damper_length=case.damper_length,
                bump_left=case.bump_left,
                droop_left=case.droop_left,
                sag_share=case.droop_left / (case.droop_left + case.bump_left),
                hub_to_body_change=None,
                ride_frequency=case.ride_frequency,
                **_at_ride(made, item, side, case.damper_length),
            )


def _at_ride(made: JudgedRig, item: AxleOrder, side: str, damper_length: float) -> dict[str, float | None]:
    """Return what can be read at a corner where it rides: shaft showing, its height against the wanted one, and what is left down to divider and bump stop."""
    chosen, task = item.chosen, item.task
    stroke, touched = (made.rig.get(f"{item.axle}.{name}") for name in ("damper_stroke", "pad_touch_before_collapsed"))
    if chosen is None or task is None or stroke is None:
        return {}
    travel = task.coilover.extended_length - damper_length
    stack = stack_of(made.springs, chosen)
    own = side_settings(item).get(side)
    if own is not None:
        # The ring's gap is the same on both sides: it follows the divider.
        turned = stack.turned(adjuster=own["preload"] - chosen.preload)
        stack = turned.turned(ring=stack.ring_gap - turned.ring_gap) if chosen.ring_gap is not None else turned
    return {
        "shaft_showing": float(stroke) - travel,
        "above_wanted": damper_length - task.wishes.height.length,
        "ring_gap": None if chosen.ring_gap is None else float(stack.gap_at(travel)),
        "bump_stop_gap": None if touched is None else float(stroke - touched) - travel,
    }


# --- what is told of a corner and of an axle ------------------------------------------------------------------------------------------


def words(corner: str) -> str:
    """Return a corner as a reader says it.

    >>> words("left_front")
    'Left front'
    """
    return corner.replace("_", " ").capitalize()


def setting_facts(setting: CornerSetting) -> tuple[Fact, ...]:
    """Return what is set at a corner, in the order in which it is done."""
    return (
        Fact(label=PRELOAD, value=setting.preload, of=_length),
        Fact(label=PRELOAD_TURNS, value=setting.preload_turns, of=_turns),
        Fact(label=ADJUSTER, value=setting.adjuster, of=_length),
        Fact(label=ADJUSTER_TURNS, value=setting.adjuster_turns, of=_turns),
        Fact(label=THREAD_LEFT, value=setting.adjuster_left, of=_length),
        Fact(label=RING_GAP, value=setting.ring_gap, of=_length),
        Fact(label=RING_BELOW_SEAT, value=setting.ring_below_seat, of=_length),
        Fact(label=STRAP, value=setting.strap_length, of=_length),
    )


def fitting_facts(fitting: AxleFitting) -> tuple[Fact, ...]:
    """Return what an axle is fitted and filled with."""
    return (
        Fact(label="Tire pressure", value=fitting.tire_pressure, of=vocabulary.tire_pressure, plain=True),
        Fact(
            label="Gas charge, cold, fully extended", value=fitting.gas_pressure, of=vocabulary.gas_pressure, plain=True
        ),
        Fact(label="Bump stop touches before collapsed", value=fitting.pad_touch, of=_length),
        Fact(label="Bump stop solid before collapsed", value=fitting.pad_solid, of=_length),
        Fact(label="Rebound share", value=fitting.rebound_share, of=vocabulary.rebound_share, plain=True),
        Fact(label="Slope past the knee", value=fitting.slope_past_knee, of=vocabulary.slope_past_knee, plain=True),
        Fact(label="Knee speed", value=fitting.knee_speed, of=vocabulary.knee_speed, plain=True),
        Fact(label="Limit strap", value=strap_text(fitting)),
    )


def strap_text(fitting: AxleFitting) -> str:
    """Return what ends an axle's droop, in a word."""
    return {"yes": "a strap", "no": "none: the damper ends the droop"}.get(fitting.limit_strap, "not entered")


def sheet_forces(sheet: BuildSheet) -> Iterator[tuple[str, tuple[tuple[str, float, float, float], ...]]]:
    """Yield the damping forces of each regime that has some."""
    for regime, forces in (("before the crossover", sheet.forces), ("past the crossover", sheet.forces_past)):
        if forces:
            yield regime, forces


def forecast_facts(corner: CornerForecast) -> tuple[Fact, ...]:
    """Return what a corner will do in a load case."""
    return (
        Fact(label="Tire", value=corner.tire_mass, of=vocabulary.corner_mass),
        Fact(label="Damper, eye to eye", value=corner.damper_length, of=vocabulary.damper_length),
        Fact(label="Above (+) the wanted height", value=corner.above_wanted, of=_length, signed=True),
        Fact(label="Shaft showing", value=corner.shaft_showing, of=_length),
        Fact(label="Ring gap at ride", value=corner.ring_gap, of=_length),
        Fact(label="Shaft left to the bump stop", value=corner.bump_stop_gap, of=_length),
        Fact(label="Ride height change, hub to frame mark", value=corner.hub_to_body_change, of=_length, signed=True),
        Fact(label="Bump left", value=corner.bump_left, of=_length),
        Fact(label="Droop left", value=corner.droop_left, of=_length),
        Fact(label="Sag", value=100 * corner.sag_share, of="%"),
        Fact(label="Ride", value=corner.ride_frequency, of=vocabulary.natural_frequency),
    )
