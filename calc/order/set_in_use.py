"""What a chosen set does on its axle: heights with their doubt, and the steps run on it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from calc.certainty.trials import FirstOrder, first_order
from calc.damper._knee import bent
from calc.errors import InputError
from calc.order import ground
from calc.order.axle_order import (
    DAMPER_SPEEDS,
    AxleOrder,
    CaseAnswer,
    DampingAnswer,
    DampingRatios,
    DampingShape,
)
from calc.order.findings import set_findings
from calc.order.motions import landing_finding
from calc.quantity import Display
from calc.rig import axle as axles
from calc.rig.fixed import fit
from calc.rig.loads import unsprung_mass
from calc.rig.rig import Rig, axle_doubts
from calc.search.choose import Problem, SpringSet
from calc.step import Outcome, find, run, values_of
from calc.tables import Springs

# What of the rig's numbers the springs' own step takes besides the springs.
_AROUND = ("seat_space", "divider_thickness", "adjuster_range", "thread_length", "body_length")


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
    stack = _stack(rig, task, springs, chosen, display)
    frequency = _frequency(rig, task, springs, chosen, first, display)
    damping = None if frequency is None else _damping(rig, task, frequency, display)
    gas, shape = _gas(rig, task, chosen, display), ground.shape(rig, task.axle)
    fitted = fit(rig, task.axle, task.coilover, display)
    pad = rig.get(f"{task.axle}.pad_touch_before_collapsed")
    clear = None
    if pad is not None:
        clear = rig.get(f"{task.axle}.damper_stroke") - pad - max(chosen.ride_travel)
    before = _forces(damping, "critical_damping", shape)
    made = replace(
        start,
        first=first,
        cases=cases,
        stack=stack,
        frequency=frequency,
        damping=damping,
        damping_before=before,
        damping_past=_forces(damping, "critical_damping_past_crossover", shape),
        ratios=() if before is None else tuple(_ratios(rig, task, springs, chosen, before.coefficient)),
        gas=gas,
        fit=fitted,
        pad_clear=clear,
    )
    made = replace(
        made,
        forces=ground.damper_forces(rig, made, display),
        ground=ground.rough_ground(rig, made, display),
    )
    landed = landing_finding(rig, made, display)
    findings = (
        *set_findings(made, rig, task, doubts, display),
        *(() if landed is None else (landed,)),
        *ground.ground_findings(rig, made),
    )
    return replace(made, findings=findings)


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
    given = _swinging(task, springs, chosen, task.reference)
    if given is None:
        return None
    try:
        doubts = axle_doubts(rig, task.axle, ("motion_ratio", "motion_ratio_slope", "tire_rate"))
        doubts["sprung_mass_on_spring"] = first.plus_minus(first.judged.sprung_mass[task.reference])
        return run(find("natural_frequency"), given, doubts, display)
    except InputError:
        return None


def _swinging(task: Problem, springs: Springs, chosen: SpringSet, index: int) -> dict[str, Any] | None:
    """Return what the ride frequency of one load case is worked out from; None where it does not ride between its ends."""
    coilover, case = task.coilover, task.cases[index]
    travel = chosen.ride_travel[index]
    if not coilover.strap_travel <= travel <= coilover.bump_limit:
        return None
    stack = axles.stack_of(springs, chosen)
    past = chosen.crossover_travel
    return {
        "axial_rate": float(stack.rate(travel) + coilover.gas_rate(travel)),
        "axial_load": chosen.axial_load[index],
        "motion_ratio": float(coilover.motion_ratio(travel)),
        "motion_ratio_slope": float(coilover.motion_ratio_slope(travel)),
        "tire_rate": task.tire_rate,
        "sprung_mass_on_spring": case.sprung_mass,
        "axial_rate_past_crossover": (
            None if past is None else float(springs.rate[chosen.main] + coilover.gas_rate(travel))
        ),
        "ride_travel": travel,
    }


def _ratios(
    rig: Rig, task: Problem, springs: Springs, chosen: SpringSet, coefficient: float
) -> Iterator[DampingRatios]:
    """Yield what one damper, set for the reference load case, comes to in each of them."""
    for index, (case, load_case) in enumerate(zip(task.cases, rig.cases(), strict=True)):
        given = _swinging(task, springs, chosen, index)
        if given is None:
            continue
        try:
            swings = values_of(find("natural_frequency"), given)
            corner = {name: swings[name] for name in ("sprung_mass_on_spring", "motion_ratio")}
            corner |= {"damping_coefficient": coefficient, "tire_rate": task.tire_rate}
            rates = (swings["wheel_rate"], swings["wheel_rate_past_crossover"])
            body = values_of(
                find("critical_damping"), {**corner, "wheel_rate": rates[0], "wheel_rate_past_crossover": rates[1]}
            )
            unsprung = unsprung_mass(rig, task.axle, load_case.items)
            hops = [
                None
                if rate is None or not unsprung
                else values_of(find("corner_modes"), {**corner, "unsprung_mass": unsprung, "wheel_rate": rate})
                for rate in rates
            ]
        except InputError:
            continue
        hop, past = (None if one is None else float(one["hop_damping_ratio"]) for one in hops)
        left = body["damping_ratio_past_crossover"]
        yield DampingRatios(
            name=load_case.name,
            label=case.label,
            body=float(body["damping_ratio"]),
            body_past=None if left is None else float(left),
            hop=hop,
            hop_past=past,
        )


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


def _forces(damping: Outcome | None, critical: str, shape: DampingShape | None) -> DampingAnswer | None:
    """Return the forces that the wanted ratio means in one regime: compression and rebound share the mean."""
    if (
        damping is None
        or shape is None
        or damping.values.get(critical) is None
        or damping.values.get("wanted_damping_ratio") is None
    ):
        return None
    values = damping.values
    mean = values["wanted_damping_ratio"] * values[critical] / values["motion_ratio"] ** 2
    part, slope = shape.rebound_share, shape.slope_past_knee
    counting = [
        speed if shape.knee_speed is None else float(bent(speed, shape.knee_speed, slope)) for speed in DAMPER_SPEEDS
    ]
    return DampingAnswer(
        coefficient=mean,
        compression=tuple(2 * mean * (1 - part) * speed for speed in counting),
        rebound=tuple(2 * mean * part * speed for speed in counting),
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
