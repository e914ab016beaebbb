"""What a chosen set does on its axle: heights with their doubt, and the steps run on it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from calc.certainty.trials import FirstOrder, first_order
from calc.damper.bump_stop import LOAD_RULE
from calc.order import ground
from calc.order.axle_order import (
    AxleOrder,
    CaseAnswer,
    through_travel,
)
from calc.order.choice_words import moved_line
from calc.order.findings import set_findings
from calc.quantity import Display
from calc.rig import axle as axles
from calc.rig.fixed import fit
from calc.rig.rig import Rig
from calc.rig.wires import Wires, like, of_axle, of_step, run_on, run_on_each
from calc.search.problem import Problem, SpringSet
from calc.step import Finding, Known, Outcome
from calc.tables import Springs

# What of the rig's numbers the springs' own step takes besides the springs.
_AROUND = ("seat_space", "divider_thickness", "adjuster_range", "thread_length", "body_length", "ring_thickness")


def judged_set(
    start: AxleOrder,
    rig: Rig,
    task: Problem,
    springs: Springs,
    chosen: SpringSet,
    display: Display,
    axle_masses: Sequence[float | None],
) -> AxleOrder:
    """Return the axle with all that follows from the chosen set.

    `axle_masses` are what it carries in each load case: of the other axle's readings nothing more is looked at.
    """
    first = first_order(rig, task, springs, chosen)
    cases, doubts = _cases(task, chosen, first, axle_masses)
    axle, coilover, ride = task.axle, task.coilover, chosen.ride_travel[task.reference]
    swinging = [_swinging(rig, task, springs, chosen, first, index) for index in range(len(task.cases))]
    at_ride = swinging[task.reference]
    frequency = None if at_ride is None else run_on("natural_frequency", at_ride, display)
    swings = {} if frequency is None else of_step(frequency, "sprung_mass_on_spring", "motion_ratio")
    of_gas = {
        **of_axle(rig, axle, "gas_pressure", "gas_volume", "rod_diameter"),
        "ride_travel": chosen.ride_travel[task.reference],
        "bump_limit": task.coilover.bump_limit,
    }
    pad = rig.get(f"{axle}.pad_touch_before_collapsed")
    made = replace(
        start,
        first=first,
        cases=cases,
        stack=_stack(rig, task, springs, chosen, display),
        frequency=frequency,
        gas=run_on("gas", of_gas, display),
        fit=fit(rig, axle, task.coilover, display),
        landings=tuple(run_on_each("bump_stop", list(_landings(rig, task, springs, chosen, swings)), display)),
        pad_clear=None if pad is None else rig.get(f"{axle}.damper_stroke") - pad - max(chosen.ride_travel),
        curve=through_travel(task, springs, chosen),
        moved=moved_line(task, springs, chosen),
        wheel_left=(
            float(coilover.wheel_travel(ride, coilover.bump_limit)),
            float(coilover.wheel_travel(coilover.strap_travel, ride)),
        ),
    )
    landed = tuple(_landing_findings(task, made.landings))
    made = ground.with_damping(rig, made, swinging, display)
    wished = set_findings(made, rig, task, doubts, display)
    return replace(made, findings=(*wished, *landed, *ground.ground_findings(rig, made)))


def _cases(
    task: Problem, chosen: SpringSet, first: FirstOrder, axle_masses: Sequence[float | None]
) -> tuple[tuple[CaseAnswer, ...], Mapping[str, float]]:
    """Return what the set does in each case, with the doubt that all its numbers leave."""
    answers = []
    coilover = task.coilover
    worst: dict[str, float] = {"travel": 0.0, "frequency": 0.0}
    for index, (case, mass) in enumerate(zip(task.cases, axle_masses, strict=True)):
        if mass is None:
            continue
        travel_doubt = first.plus_minus(first.judged.travel[index])
        frequency_doubt = first.plus_minus(first.judged.frequency[index])
        if index == task.reference:
            worst["frequency"] = frequency_doubt
        worst["travel"] = max(worst["travel"], travel_doubt)
        ride = chosen.ride_travel[index]
        answers.append(
            CaseAnswer(
                label=case.label,
                axle_mass=mass,
                support_load=case.support_load,
                ride_travel=ride,
                ride_travel_plus_minus=travel_doubt,
                bump_left=coilover.bump_limit - ride,
                droop_left=ride - coilover.strap_travel,
                ride_frequency=chosen.ride_frequency[index],
                ride_frequency_plus_minus=frequency_doubt,
                damper_length=coilover.extended_length - ride,
                above_wanted=coilover.extended_length - ride - task.wishes.height.length,
            )
        )
    return tuple(answers), worst


def _stack(rig: Rig, task: Problem, springs: Springs, chosen: SpringSet, display: Display) -> Outcome | None:
    """Run the stack's own step on the set, at the heaviest load case: there it comes nearest to its limits."""

    def spring(part: str, index: int | None) -> dict[str, float]:
        names = () if index is None else ("rate", "free_length", "solid_length")
        return {f"{part}_{name}": float(getattr(springs, name)[index]) for name in names}

    wires = {
        "stack_kind": "single" if chosen.tender is None else "no ring" if chosen.ring_gap is None else "ring",
        **spring("tender", chosen.tender),
        **({} if chosen.helper is None else {"helper_kind": "free"}),
        **spring("helper", chosen.helper),
        **spring("main", chosen.main),
        "preload": chosen.preload,
        "ring_gap": chosen.ring_gap,
        "bump_limit": task.coilover.bump_limit,
        "strap_travel": like(rig.known(f"{task.axle}.strap_travel"), task.coilover.strap_travel),
        "ride_travel": max(chosen.ride_travel),
        **of_axle(rig, task.axle, *_AROUND),
        "least_preload": task.limits.preload_floor,
        "least_tender_left": task.limits.tender_left,
        "least_main_left": task.limits.main_left,
        "least_adjuster_left": task.limits.adjuster_reserve,
    }
    return run_on("stack", wires, display)


def _swinging(
    rig: Rig, task: Problem, springs: Springs, chosen: SpringSet, first: FirstOrder, index: int
) -> Wires | None:
    """Return what the ride frequency of one load case is worked out from; None where it does not ride between its ends."""
    coilover, axle = task.coilover, task.axle
    travel = chosen.ride_travel[index]
    if not coilover.strap_travel <= travel <= coilover.bump_limit:
        return None
    stack = axles.stack_of(springs, chosen)
    past = chosen.crossover_travel
    return {
        "axial_rate": float(stack.rate(travel) + coilover.gas_rate(travel)),
        "axial_load": chosen.axial_load[index],
        "motion_ratio": like(rig.known(f"{axle}.motion_ratio"), float(coilover.motion_ratio(travel))),
        "motion_ratio_slope": like(rig.known(f"{axle}.motion_ratio_slope"), float(coilover.motion_ratio_slope(travel))),
        "tire_rate": like(rig.known(f"{axle}.tire_rate"), task.tire_rate),
        "sprung_mass_on_spring": Known(
            value=task.cases[index].sprung_mass,
            origin="derived",
            plus_minus=first.plus_minus(first.judged.sprung_mass[index]),
        ),
        "axial_rate_past_crossover": (
            None if past is None else float(springs.rate[chosen.main] + coilover.gas_rate(travel))
        ),
        "ride_travel": travel,
    }


def _landings(rig: Rig, task: Problem, springs: Springs, chosen: SpringSet, swings: Wires) -> Iterator[Wires]:
    """Yield what the bump stop takes of a fall in each load case, both wheels together; nothing while that is not known.

    On the true curve: springs with their rate on each side of the ring, gas, the ratio as the coil-over leans, and the pad.
    """
    axle, coilover = task.axle, task.coilover
    touched, solid = (rig.get(f"{axle}.{name}_before_collapsed") for name in ("pad_touch", "solid"))
    if not swings or None in (touched, solid):
        return
    stack = axles.stack_of(springs, chosen)
    step = float(stack.step_travel)
    ring = math.isfinite(step)
    gas = ("gas_pressure", "gas_volume", "rod_diameter") if np.any(coilover.rod_area) else ()
    for case, ride in zip(task.cases, chosen.ride_travel, strict=True):
        yield {
            "pad_gap": rig.get(f"{axle}.damper_stroke") - touched - ride,
            "pad_depth": touched - solid,
            **of_axle(rig, axle, "pad_rate", "pad_solid_force", *gas),
            "ride_travel": ride if gas else None,
            "sprung_mass_on_spring": like(swings["sprung_mass_on_spring"], case.sprung_mass),
            "ratio_by": "lean" if coilover.ratio is None else "measured",
            "motion_ratio": like(swings["motion_ratio"], float(coilover.motion_ratio(ride))),
            "motion_ratio_slope": float(coilover.motion_ratio_slope(ride)),
            "damper_length": coilover.extended_length - ride,
            "stack_rate": float(stack.rate(ride)),
            "stack_rate_past_crossover": float(stack.rate(step)) if ring else None,
            "crossover_above_ride": step - ride if ring else None,
            "droop_left": ride - coilover.strap_travel,
            "drop_height": 0.0,
        }


def _landing_findings(task: Problem, landings: Sequence[Outcome | None]) -> Iterator[Finding]:
    """Yield what the mounts bear as the pad goes solid, in the load case in which that is most.

    Of a rig it is judged by that, whatever the fall. Without a landing that is known there is none.
    """
    told = [
        (finding, case.label)
        for landing, case in zip(landings, task.cases, strict=False)
        if landing is not None
        for finding in landing.findings
        if finding.rule == LOAD_RULE
    ]
    if told:
        worst, label = max(told, key=lambda one: -math.inf if one[0].value is None else one[0].value)
        yield replace(worst, text=f"{worst.text} Load case: {label}.") if len(task.cases) > 1 else worst
