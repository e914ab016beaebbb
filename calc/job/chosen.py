"""What a chosen set does on its axle: heights with their doubt, and the steps run on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from calc.errors import InputError
from calc.job import axle as axles
from calc.job.axle_order import (
    DAMPER_SPEEDS,
    REBOUND_RATIO,
    AxleOrder,
    CaseAnswer,
    DampingAnswer,
)
from calc.job.certain import axle_doubts
from calc.job.choose import Problem, SpringSet
from calc.job.fixed import fit, masses_of
from calc.job.motions import landing, landing_finding
from calc.job.order_findings import set_findings
from calc.job.rig import Rig
from calc.job.uncertainty import FirstOrder, first_order
from calc.quantity import Display
from calc.step import Outcome, find, run
from calc.tables import Springs

# What of the rig's numbers the springs' own step takes besides the springs.
_AROUND = ("seat_space", "divider_thickness", "adjuster_range", "thread_length", "body_length")


def judged_set(
    start: AxleOrder, rig: Rig, task: Problem, springs: Springs, chosen: SpringSet, display: Display
) -> AxleOrder:
    """Return the axle with all that follows from the chosen set."""
    first = first_order(rig, task, springs, chosen)
    cases, doubts = _cases(rig, task, chosen, first)
    stack = _stack(rig, task, springs, chosen, display)
    frequency = _frequency(rig, task, springs, chosen, first, display)
    damping = None if frequency is None else _damping(rig, task, frequency, display)
    gas = _gas(rig, task, chosen, display)
    fitted = fit(rig, task.axle, task.coilover, display)
    pad = rig.get(f"{task.axle}.pad_touch_before_collapsed")
    clear = None
    if pad is not None:
        clear = rig.get(f"{task.axle}.damper_stroke") - pad - max(chosen.ride_travel)
    made = replace(
        start,
        first=first,
        cases=cases,
        stack=stack,
        frequency=frequency,
        damping=damping,
        damping_before=_forces(damping, "critical_damping"),
        damping_past=_forces(damping, "critical_damping_past_crossover"),
        gas=gas,
        fit=fitted,
        pad_clear=clear,
    )
    landed = landing(rig, made, display)
    findings = (
        *set_findings(made, rig, task, doubts, display),
        *(() if landed is None else (landing_finding(landed),)),
    )
    return replace(made, findings=findings)


def _cases(
    rig: Rig, task: Problem, chosen: SpringSet, first: FirstOrder
) -> tuple[tuple[CaseAnswer, ...], Mapping[str, float]]:
    """Return what the set does in each case, with the doubt that all its numbers leave."""
    answers = []
    coilover = task.coilover
    worst: dict[str, float] = {"travel": 0.0, "frequency": 0.0}
    for index, (case, load_case) in enumerate(zip(task.cases, rig.cases(), strict=True)):
        masses = masses_of(rig, task.axle, load_case)
        if masses is None:
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
                axle_mass=sum(masses),
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


def _known(rig: Rig, axle: str, names: Iterable[str]) -> dict[str, Any]:
    return {name: value for name in names if (value := rig.get(f"{axle}.{name}")) is not None}


def _stack(rig: Rig, task: Problem, springs: Springs, chosen: SpringSet, display: Display) -> Outcome | None:
    """Run the stack's own step on the set, at the heaviest load case: there it comes nearest to its limits."""
    tender, main = chosen.tender, chosen.main
    pair: dict[str, Any] = {}
    if tender is not None:
        pair = {
            "tender_rate": float(springs.rate[tender]),
            "tender_free_length": float(springs.free_length[tender]),
            "tender_solid_length": float(springs.solid_length[tender]),
        }
    if chosen.helper is not None:
        pair |= {
            "helper_kind": "free",
            "helper_rate": float(springs.rate[chosen.helper]),
            "helper_free_length": float(springs.free_length[chosen.helper]),
            "helper_solid_length": float(springs.solid_length[chosen.helper]),
        }
    given = {
        "stack_kind": "single" if tender is None else "no ring" if chosen.ring_gap is None else "ring",
        **pair,
        "main_rate": float(springs.rate[main]),
        "main_free_length": float(springs.free_length[main]),
        "main_solid_length": float(springs.solid_length[main]),
        "preload": chosen.preload,
        "ring_gap": chosen.ring_gap,
        "bump_limit": task.coilover.bump_limit,
        "strap_travel": task.coilover.strap_travel,
        "ride_travel": max(chosen.ride_travel),
        **_known(rig, task.axle, _AROUND),
        "ring_thickness": rig.get(f"{task.axle}.ring_thickness"),
        "least_preload": task.limits.preload_floor,
        "least_tender_left": task.limits.tender_left,
        "least_main_left": task.limits.main_left,
        "least_adjuster_left": task.limits.adjuster_reserve,
    }
    try:
        return run(
            find("stack"), given, axle_doubts(rig, task.axle, (*_AROUND, "ring_thickness", "strap_travel")), display
        )
    except InputError:
        return None


def _frequency(
    rig: Rig, task: Problem, springs: Springs, chosen: SpringSet, first: FirstOrder, display: Display
) -> Outcome | None:
    """Run the ride frequency's own step in the reference load case."""
    coilover, case = task.coilover, task.cases[task.reference]
    travel = chosen.ride_travel[task.reference]
    if not coilover.strap_travel <= travel <= coilover.bump_limit:
        return None
    stack = axles.stack_of(springs, chosen)
    past = chosen.crossover_travel
    given = {
        "axial_rate": float(stack.rate(travel) + coilover.gas_rate(travel)),
        "axial_load": chosen.axial_load[task.reference],
        "motion_ratio": float(coilover.motion_ratio(travel)),
        "motion_ratio_slope": float(coilover.motion_ratio_slope(travel)),
        "tire_rate": task.tire_rate,
        "sprung_mass_on_spring": case.sprung_mass,
        "axial_rate_past_crossover": (
            None if past is None else float(springs.rate[chosen.main] + coilover.gas_rate(travel))
        ),
        "ride_travel": travel,
    }
    try:
        doubts = axle_doubts(rig, task.axle, ("motion_ratio", "motion_ratio_slope", "tire_rate"))
        doubts["sprung_mass_on_spring"] = first.plus_minus(first.judged.sprung_mass[task.reference])
        return run(find("natural_frequency"), given, doubts, display)
    except InputError:
        return None


def _damping(rig: Rig, task: Problem, frequency: Outcome, display: Display) -> Outcome | None:
    values = frequency.values
    given = {
        "sprung_mass_on_spring": values["sprung_mass_on_spring"],
        "wheel_rate": values["wheel_rate"],
        "motion_ratio": values["motion_ratio"],
        "wheel_rate_past_crossover": values["wheel_rate_past_crossover"],
        "wanted_damping_ratio": rig.get(f"{task.axle}.wanted_damping_ratio"),
        "tire_rate": task.tire_rate,
    }
    try:
        return run(find("critical_damping"), given, frequency.plus_minus, display)
    except InputError:
        return None


def _forces(damping: Outcome | None, critical: str) -> DampingAnswer | None:
    """Return the forces that the wanted ratio means in one regime: compression and rebound share the mean."""
    if damping is None or damping.values.get(critical) is None or damping.values.get("wanted_damping_ratio") is None:
        return None
    values = damping.values
    mean = values["wanted_damping_ratio"] * values[critical] / values["motion_ratio"] ** 2
    compression = 2 * mean / (1 + REBOUND_RATIO)
    return DampingAnswer(
        coefficient=mean,
        compression=tuple(compression * speed for speed in DAMPER_SPEEDS),
        rebound=tuple(compression * REBOUND_RATIO * speed for speed in DAMPER_SPEEDS),
    )


def _gas(rig: Rig, task: Problem, chosen: SpringSet, display: Display) -> Outcome | None:
    of_rig = ("gas_pressure", "gas_volume", "rod_diameter")
    given = {
        **_known(rig, task.axle, of_rig),
        "ride_travel": chosen.ride_travel[task.reference],
        "bump_limit": task.coilover.bump_limit,
    }
    try:
        return run(find("gas"), given, axle_doubts(rig, task.axle, of_rig), display)
    except InputError:
        return None
