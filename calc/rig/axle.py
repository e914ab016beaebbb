"""From a rig's entries to one axle's search, to what that search needs, and to a rough range before there is enough."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc import vocabulary
from calc.constants import GRAVITY
from calc.errors import FieldError, InputError, Needs
from calc.limits import BY_NAME, STEP_RATIO
from calc.quantity import Display
from calc.ride.required_spring_rate import required_spring_rate
from calc.rig import spans
from calc.rig.entries import label as label
from calc.rig.fixed import missed
from calc.rig.loads import axle_masses, unsprung_mass
from calc.rig.misread import in_the_way
from calc.rig.rig import LoadCase, Rig
from calc.search.coilover import Coilover
from calc.search.problem import CaseLoad, Hardware, Height, Problem, SpringSet, Wishes
from calc.spring._helped_curve import stack_curve
from calc.spring._stack_curve import StackCurve
from calc.step import Finding, check_finding
from calc.tables import Springs

# What a search cannot do without, in the order in which a builder would look for it.
NEEDED = (
    "unsprung_mass",
    "lean",
    "damper_length",
    "tire_rate",
    "damper_extended",
    "damper_stroke",
    "solid_before_collapsed",
    "seat_space",
    "divider_thickness",
    "adjuster_range",
    "adjuster_turns_per_length",
    "spring_inside_diameter",
    "wanted_frequency_low",
    "wanted_frequency_high",
    "wanted_bump",
    "wanted_droop",
)
# What makes the answer complete; without it the answer stands, and says what it left out.
HELPFUL = (
    "gas_pressure",
    "gas_volume",
    "rod_diameter",
    "wanted_frequency_past_crossover_low",
    "wanted_frequency_past_crossover_high",
    "wanted_crossover_above_ride",
)
# Entries that a measured motion ratio stands for.
INSTEAD = ("lean", "damper_length")
# What only a solid axle has.
_OF_SOLID = ("mount_base", "mount_height")

# What makes an axle's coil-over, springs apart.
COILOVER = (
    *("lean", "damper_length", "motion_ratio", "motion_ratio_slope"),
    *("damper_extended", "damper_stroke", "solid_before_collapsed", "strap_travel"),
    *("rod_diameter", "gas_pressure", "gas_volume"),
)

HALF_TURN = 2.0


def needs_told(lacking: Needs) -> list[str]:
    """Return a line for each: what contradicts itself first."""
    return [*lacking.sentences, *(f"needs {label(key)}" for key in lacking.keys)]


def needs(rig: Rig, axle: str) -> tuple[str, ...]:
    """Return the keys that an axle's search still needs."""
    missing = [f"{corner}_{axle}.corner_mass" for corner in ("left", "right")]
    missing += ["wheelbase", "front.track", "rear.track"] if any(case.items for case in rig.cases()) else []
    missing += (f"{axle}.{name}" for name in needed(rig, axle, NEEDED))
    return tuple(key for key in missing if rig.get(key) is None)


def needed(rig: Rig, axle: str, names: Sequence[str]) -> list[str]:
    """Return which of these entries an axle needs.

    Independent wheels have no base but the track, and no lean tells their motion ratio. A measured motion ratio stands for
    lean and length; one that changes counts at the length at which it was measured, so that is asked for.
    """
    measured = rig.get(f"{axle}.motion_ratio") is not None
    unasked = set(INSTEAD) if measured or rig.independent(axle) else set()
    if rig.get(f"{axle}.motion_ratio_slope"):
        unasked.discard("damper_length")
    if rig.independent(axle):
        unasked |= set(_OF_SOLID)
    place = min(names.index(name) for name in INSTEAD)
    own = [name for name in names[:place] if name not in unasked]
    ratio = ["motion_ratio"] if rig.independent(axle) else []
    return [*own, *ratio, *(name for name in names[place:] if name not in unasked)]


def coilover(rig: Rig, axle: str) -> Coilover:
    """Return an axle's coil-over without springs. Raises ContradictionError when its entries contradict each other."""

    def value(name: str) -> Any:
        return rig.get(f"{axle}.{name}")

    found = coilover_of({name: value(name) for name in COILOVER})
    offset, rod_area = found.eye_offset, found.rod_area
    stroke, solid = value("damper_stroke"), value("solid_before_collapsed")
    _refuse(
        solid >= stroke,
        f"{axle}.solid_before_collapsed",
        "The bump stop is solid before the damper has moved at all.",
        "Allowed: less than the damper's stroke.",
    )
    _refuse(
        offset >= value("damper_extended") - stroke,
        f"{axle}.lean",
        "The coil-over leans so far that it would lie flat before it is collapsed.",
        "Measure lean and damper length at the same ride height.",
    )
    if found.ratio is None:
        travel = value("damper_extended") - value("damper_length")
        _refuse(
            not 0.0 <= travel <= stroke,
            f"{axle}.damper_length",
            "The damper's length where its lean was read lies outside the damper's travel.",
            "Allowed: from collapsed to extended length.",
        )
    _refuse(
        bool(found.ratio_left <= 0.0),
        f"{axle}.{'lean' if found.ratio is None else 'motion_ratio_slope'}",
        "With this change the motion ratio would fall to little or nothing before the damper's travel ends.",
        "Allowed: a change of the motion ratio that leaves it above a fifth of what was measured, from full droop to full bump.",
    )
    _refuse(
        rod_area > 0 and rod_area * stroke >= value("gas_volume"),
        f"{axle}.gas_volume",
        "The rod would fill the whole gas room before the damper is collapsed.",
        "Allowed: more than the rod's section times the stroke.",
    )
    return found


def coilover_of(values: Mapping[str, Any]) -> Coilover:
    """Return the coil-over that entries describe, unchecked: single numbers, or arrays of draws."""
    ratio, slope, length = (values[name] for name in ("motion_ratio", "motion_ratio_slope", "damper_length"))
    gas = all(values[name] is not None for name in ("gas_pressure", "gas_volume", "rod_diameter"))
    bump_limit = values["damper_stroke"] - values["solid_before_collapsed"]
    return Coilover(
        extended_length=values["damper_extended"],
        bump_limit=bump_limit,
        strap_travel=0.0 if values["strap_travel"] is None else values["strap_travel"],
        eye_offset=0.0 if ratio is not None else length * np.sin(values["lean"]),
        ratio=ratio,
        ratio_slope=0.0 if slope is None else slope,
        # A ratio that changes is asked where it counts, and one that stays counts anywhere: in the middle of the travel.
        ratio_length=values["damper_extended"] - bump_limit / 2 if length is None else length,
        gas_pressure=values["gas_pressure"] if gas else 0.0,
        gas_volume=values["gas_volume"] if gas else 1.0,
        rod_area=math.pi / 4 * values["rod_diameter"] ** 2 if gas else 0.0,
    )


def _refuse(wrong: bool, field: str, problem: str, allowed: str) -> None:
    if wrong:
        raise FieldError(
            field, f"{field.partition('.')[0].capitalize()}: {problem[:1].lower()}{problem[1:]}", allowed=allowed
        )


def case_load(rig: Rig, axle: str, case: LoadCase) -> CaseLoad:
    """Return what one spring side carries in a load case, the mean of both sides."""
    masses = axle_masses(rig, axle, case)
    unsprung = unsprung_mass(rig, axle, case.items)
    if masses is None or unsprung is None:
        raise FieldError(f"{axle}.unsprung_mass", "The corner weights or the unsprung weight are missing.")
    sprung = (sum(masses) - unsprung) / 2
    if sprung <= 0:
        raise FieldError(
            f"{axle}.unsprung_mass",
            f"The {axle} axle's unsprung weight is not less than what its tires carry"
            f"{'' if not case.items else f' in the load case “{case.label}”'}.",
            allowed="Allowed: 0 and more, and below the axle weight.",
        )
    return CaseLoad(name=case.name, label=case.label, support_load=sprung * GRAVITY, sprung_mass=sprung)


def problem(rig: Rig, axle: str) -> Problem:
    """Return an axle's search. Raises Needs."""
    unread = in_the_way(rig, axle)
    if unread:
        raise Needs(sentences=unread)
    missing = needs(rig, axle)
    if missing:
        raise Needs(keys=missing)
    try:
        return _problem(rig, axle)
    except (InputError, FieldError) as wrong:
        raise Needs.of(wrong) from None


def _problem(rig: Rig, axle: str) -> Problem:
    def value(name: str) -> Any:
        return rig.get(f"{axle}.{name}")

    past = (value("wanted_frequency_past_crossover_low"), value("wanted_frequency_past_crossover_high"))
    for low, high, field in (
        (value("wanted_frequency_low"), value("wanted_frequency_high"), "wanted_frequency_high"),
        (*past, "wanted_frequency_past_crossover_high"),
        (value("wanted_step_low"), value("wanted_step_high"), "wanted_step_high"),
    ):
        _refuse(
            low is not None and high is not None and low > high,
            f"{axle}.{field}",
            f"The wanted {'step' if 'step' in field else 'frequency'} ends below where it begins.",
            "Allowed: from low to high.",
        )
    cases = tuple(case_load(rig, axle, case) for case in rig.cases())
    reference = rig.reference().name
    around, pad = coilover(rig, axle), value("pad_touch_before_collapsed")
    step = tuple(
        usual if own is None else own
        for own, usual in zip((value("wanted_step_low"), value("wanted_step_high")), STEP_RATIO, strict=True)
    )
    return Problem(
        axle=axle,
        coilover=around,
        fixed=missed(rig, axle, around),
        hardware=Hardware(
            seat_space=value("seat_space"),
            divider_thickness=value("divider_thickness"),
            adjuster_range=value("adjuster_range"),
            adjuster_step=1.0 / (HALF_TURN * value("adjuster_turns_per_length")),
            spring_inside_diameter=value("spring_inside_diameter"),
            thread_length=value("thread_length"),
            body_length=value("body_length"),
            pad_touch=None if pad is None else value("damper_stroke") - pad,
        ),
        tire_rate=value("tire_rate"),
        cases=cases,
        reference=next(index for index, case in enumerate(cases) if case.name == reference),
        wishes=Wishes(
            height=_height(rig, axle, around),
            frequency=(value("wanted_frequency_low"), value("wanted_frequency_high")),
            frequency_past_crossover=None if None in past else past,
            crossover_above_ride=value("wanted_crossover_above_ride"),
            bump=value("wanted_bump"),
            droop=value("wanted_droop"),
            step=(step[0], step[1]),
        ),
    )


def _height(rig: Rig, axle: str, around: Coilover) -> Height:
    """Return the wanted ride height. The rig is one that says it as a damper length, entered, derived or assumed."""
    manners = ("wanted_damper_length", "wanted_shaft_showing", "wanted_height_change")
    entries = {name: entry for name in manners if (entry := rig.values.get(f"{axle}.{name}")) is not None}
    own = [name for name, entry in entries.items() if entry.origin not in ("derived", "assumed")]
    _refuse(
        len(own) > 1,
        f"{axle}.{own[-1] if own else manners[0]}",
        "The wanted ride height is entered in more than one manner.",
        "Allowed: one of damper eye to eye, shaft showing, and hub to frame mark. Empty the others.",
    )
    entry = entries.get(manners[0])
    _refuse(
        entry is None and own != [],
        f"{axle}.{own[0] if own else manners[0]}",
        "The wanted ride height counts from the height at which the lean was read, and no damper length was read there.",
        "Enter the damper length where the lean was read, or the wanted ride height as a damper length.",
    )
    longest, shortest = around.extended_length - around.strap_travel, around.extended_length - around.bump_limit
    middle, band = (longest + shortest) / 2, rig.get(f"{axle}.wanted_height_band")
    length = middle if entry is None else float(entry.value)
    outside = not shortest <= length <= longest
    _refuse(
        outside and entry is not None and entry.origin != "assumed",
        f"{axle}.{own[0] if own else manners[0]}",
        "The wanted ride height lies outside the damper's travel.",
        "Allowed: between full droop and where the bump stop is solid.",
    )
    length = middle if outside else length
    return Height(length=length) if band is None else Height(length=length, band=band)


HELPER_RULE = BY_NAME["helper_open"].rule


def helper_finding(chosen: SpringSet, display: Display) -> Finding:
    """Return whether a set's helper is closed at rest in every load case."""
    check = BY_NAME["helper_open"].check_with(
        {"At rest": "At rest in every load case", "Then": "At rest in the lightest load case"}
    )
    still = vocabulary.length.called("Helper open at rest", "Δ_h")
    return check_finding(
        check, {"helper_open_at_rest": max(chosen.shortfall["helper_open"], 0.0)}, {}, lambda _: still, display
    )


def stack_of(springs: Springs, chosen: SpringSet) -> StackCurve:
    """Return the force curve of a chosen set at its settings."""
    tender, helper = chosen.tender, chosen.helper
    return stack_curve(
        helper_rate=None if helper is None else float(springs.rate[helper]),
        helper_stroke=None if helper is None else float(springs.free_length[helper] - springs.solid_length[helper]),
        tender_rate=None if tender is None else float(springs.rate[tender]),
        main_rate=float(springs.rate[chosen.main]),
        preload=chosen.preload,
        ring_gap=chosen.ring_gap,
        tender_stroke=None if tender is None else float(springs.free_length[tender] - springs.solid_length[tender]),
        main_stroke=float(springs.free_length[chosen.main] - springs.solid_length[chosen.main]),
    )


@dataclass(frozen=True, kw_only=True)
class RateRange:
    """The least and greatest rate along the coil-over that a wished frequency could mean, and what was assumed."""

    low: float
    high: float
    assumed: tuple[str, ...]


def rate_range(rig: Rig, axle: str) -> RateRange | None:
    """Return the range of spring rates for an axle of which little more than the weight is known. Not for ordering.

    None while the axle weight or the wished frequency is missing, and where no weight is left for the springs.
    """
    if in_the_way(rig, axle):
        return None
    mass = _axle_mass(rig, axle)
    wanted = [rig.get(f"{axle}.wanted_frequency_{end}") for end in ("low", "high")]
    if mass is None or None in wanted or wanted[0] > wanted[1]:
        return None
    assumed = []
    own = rig.get(f"{axle}.unsprung_mass")
    if own is not None and own >= mass:
        # Nothing is left for springs to carry, which is told where both weights are entered.
        return None
    shares = spans.UNSPRUNG_SHARE if own is None else (own / mass, own / mass)
    if own is None:
        assumed.append(f"unsprung weight {spans.unsprung_percent()} of the axle's")
    tires = _known_or(
        spans.TIRE_RATE, rig.get(f"{axle}.tire_rate"), "tire rate 1,142 to 1,999 lb/in (200 to 350 N/mm)", assumed
    )
    lean = rig.get(f"{axle}.lean")
    ratio = rig.get(f"{axle}.motion_ratio") or (None if lean is None else math.cos(lean))
    ratios = _known_or(spans.MOTION_RATIO, ratio, "motion ratio 0.85 to 1", assumed)
    found = []
    for share in shares:
        sprung = mass * (1 - share) / 2
        for tire in tires:
            for motion in ratios:
                for frequency in wanted:
                    try:
                        rate = required_spring_rate(
                            wanted_frequency=frequency,
                            sprung_mass_on_spring=sprung,
                            tire_rate=tire,
                            motion_ratio=motion,
                            motion_ratio_slope=0.0,
                            axial_load=sprung * GRAVITY / motion,
                        ).stack_rate
                    except FieldError:
                        continue
                    found.append(float(rate))
    return RateRange(low=min(found), high=max(found), assumed=tuple(assumed)) if found else None


def _known_or(span: tuple[float, float], value: float | None, words: str, assumed: list[str]) -> tuple[float, float]:
    if value is not None:
        return value, value
    assumed.append(words)
    return span


def _axle_mass(rig: Rig, axle: str) -> float | None:
    masses = axle_masses(rig, axle, rig.reference()) or axle_masses(rig, axle, replace(rig.reference(), items=()))
    return sum(masses) if masses is not None else rig.get(f"{axle}.axle_mass_after")
