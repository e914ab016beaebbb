"""Many spring sets at once, judged in three stages, so that what fails early is not worked out further.

Early needs lengths and rates alone, middle the preload and ring (`_preload`) and the ride in the reference load case, late
the rest.
Each stage gives the shortfall of its limits for every set it is given; above 0 a limit is broken.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.limits import SEARCHED, Of, shortfalls
from calc.search.coilover import ride_frequency
from calc.search.problem import CaseLoad, Problem
from calc.spring._helped_curve import HelpedCurve, stack_curve
from calc.spring._stack_curve import StackCurve, preload_for
from calc.tables import Springs

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
# Of a half turn: so much rounding inside the machine does not cost one.
_SLIGHT = 1e-9
# Which limits each stage judges: what a stage does not name falls to the last one.
EARLY = ("too_long", "too_short")
AT_RIDE = ("ride_frequency",)
LATE = tuple(limit.name for limit in SEARCHED if not limit.fixed and limit.name not in (*EARLY, *AT_RIDE))


@dataclass(frozen=True, kw_only=True)
class Sets:
    """Sets by index into the list (-1 is none), with their springs' numbers and what each stage adds to them.

    Every number is an array, the last axis of which goes along the sets; what no stage has worked out yet is None, and so is
    a helper's rate and stroke where the sets have none.
    """

    helper: IntArray
    tender: IntArray
    main: IntArray
    single: Any
    tender_rate: Any
    tender_length: Any
    tender_solid: Any
    main_rate: Any
    main_length: Any
    main_stroke: Any
    least: Any
    helper_rate: Any = None
    helper_stroke: Any = None
    above_tender: Any = 0.0
    # Early.
    stack_rate: Any = None
    highest: Any = None
    first_turn: Any = None
    last_turn: Any = None
    # Preload and ring.
    wanted_preload: Any = None
    preload: Any = None
    adjuster: Any = None
    ring_gap: Any = None
    ring_below_adjuster: Any = None
    # At ride in the reference load case.
    reference_travel: Any = None
    reference_frequency: Any = None
    # Late; of ride a row for each load case.
    crossover_travel: Any = None
    ride_travel: Any = None
    ride_frequency: Any = None
    axial_load: Any = None
    frequency_past_crossover: Any = None
    tender_left: Any = None
    main_left: Any = None
    helper_closed_travel: Any = None
    preload_at_droop: Any = None
    against_height: Any = None

    @property
    def closes(self) -> Any:
        """By how much a helper closes; nothing where the sets have none."""
        return 0.0 if self.helper_stroke is None else self.helper_stroke

    def only(self, wanted: NDArray[np.bool_] | IntArray) -> Sets:
        """Return some of the sets, told by a mask or by their places."""
        return Sets(
            **{
                name: value if value is None or np.ndim(value) == 0 else value[..., wanted]
                for name, value in vars(self).items()
            }
        )

    def having(self, **numbers: Any) -> Sets:
        """Return the sets with more numbers."""
        return replace(self, **numbers)


def gathered(
    problem: Problem, springs: Springs, tender: IntArray, main: IntArray, helper: IntArray | None = None
) -> Sets:
    """Return sets given by index with their springs' numbers."""
    single, divider = tender < 0, problem.hardware.divider_thickness
    tender_length, main_length = np.where(single, 0.0, springs.free_length[tender]), springs.free_length[main]
    least = tender_length + main_length + np.where(single, 0.0, divider) - problem.hardware.seat_space
    on_top: dict[str, Any] = {}
    if helper is not None:
        length = springs.free_length[helper]
        on_top = {
            "helper_rate": springs.rate[helper],
            "helper_stroke": length - springs.solid_length[helper],
            "above_tender": length + divider,
        }
        least = least + on_top["above_tender"]
    return Sets(
        helper=np.full(np.shape(main), -1, dtype=np.int64) if helper is None else helper,
        tender=tender,
        main=main,
        single=single,
        tender_rate=np.where(single, np.inf, springs.rate[tender]),
        tender_length=tender_length,
        tender_solid=springs.solid_length[tender],
        main_rate=springs.rate[main],
        main_length=main_length,
        main_stroke=main_length - springs.solid_length[main],
        least=least,
        **on_top,
    )


def early(problem: Problem, sets: Sets) -> tuple[Sets, dict[str, FloatArray]]:
    """Judge what rates and lengths alone decide."""
    limits = problem.limits
    rate = StackCurve(tender_rate=sets.tender_rate, main_rate=sets.main_rate, preload=0.0).stack_rate
    highest = sets.least + problem.hardware.adjuster_range - limits.adjuster_reserve
    most = _most_preload(problem, rate) + sets.closes
    lowest, step = np.maximum(sets.least, limits.preload_floor), problem.hardware.adjuster_step
    # Preload comes in half turns, counted as a builder counts them: from where the springs just stop rattling.
    first, last = np.ceil(lowest / step - _SLIGHT), np.floor(highest / step + _SLIGHT)
    found = sets.having(stack_rate=rate, highest=highest, first_turn=first, last_turn=last)
    numbers = {
        "backed_off_preload": sets.least,
        "most_preload": most,
        "lowest_preload": np.where(first <= last, np.minimum(lowest, highest), first * step),
        "highest_preload": highest,
    }
    return found, shortfalls(EARLY, numbers, _applies(sets.single), sets.main)


def at_ride(problem: Problem, sets: Sets, start: FloatArray) -> tuple[Sets, dict[str, FloatArray]]:
    """Judge the ride frequency of the reference load case for sets whose preload and ring are set."""
    stack, reference = stack_of(sets), problem.cases[problem.reference]
    travel = _inside(problem, problem.coilover.ride_travel(stack, reference.support_load, start))
    frequency = _frequency_at(problem, stack, travel, reference)
    found = sets.having(reference_travel=travel, reference_frequency=frequency)
    return found, shortfalls(AT_RIDE, {**_limits(problem), "ride_frequency": frequency}, {}, sets.main)


def late(problem: Problem, sets: Sets, *, limits_alone: bool = False) -> tuple[Sets, dict[str, FloatArray]]:
    """Judge the other load cases, the crossover, and every bind; with what is told of each, unless limits count alone."""
    found, missing, stack = _late(problem, sets)
    if limits_alone:
        return found, missing
    coilover = problem.coilover
    frequencies, loads = [], []
    for index, (case, travel) in enumerate(zip(problem.cases, found.ride_travel, strict=True)):
        at_reference = index == problem.reference
        frequencies.append(sets.reference_frequency if at_reference else _frequency_at(problem, stack, travel, case))
        inside = np.clip(travel, 0.0, coilover.bump_limit)
        loads.append(np.asarray(coilover.axial_load(case.support_load, inside)))
    return found.having(ride_frequency=np.stack(frequencies), axial_load=np.stack(loads)), missing


def _late(problem: Problem, sets: Sets) -> tuple[Sets, dict[str, FloatArray], StackCurve]:
    coilover, wishes, limits, single = problem.coilover, problem.wishes, problem.limits, sets.single
    hardware, stack = problem.hardware, stack_of(sets)
    crossover = stack.crossover_travel
    ride = sets.reference_travel
    travels = [
        ride if index == problem.reference else _inside(problem, coilover.ride_travel(stack, case.support_load, ride))
        for index, case in enumerate(problem.cases)
    ]
    past = _frequency_past(problem, sets.main_rate, stack, crossover, problem.cases[problem.reference])
    low, high = np.minimum.reduce(travels), np.maximum.reduce(travels)
    at_crossover = np.where(single, 0.0, np.minimum(crossover, coilover.bump_limit))
    tender_left = np.where(single, np.inf, stack.tender_left(at_crossover))
    main_left = stack.main_left(coilover.bump_limit)
    shortened = sets.tender_length - np.where(single, 0.0, stack.tender_compression(at_crossover))
    helper_open, closed = np.zeros(np.shape(sets.main)), np.full(np.shape(sets.main), np.inf)
    if isinstance(stack, HelpedCurve):
        helper_open, closed = stack.helper_open(low), stack.helper_closed_travel
        # At full extension the helper's divider hangs lower by what the helper opens: the ring must stand clear of it.
        shortened = shortened - (stack.helper_compression(at_crossover) - stack.helper_compression(0.0))
    found = sets.having(
        crossover_travel=crossover,
        ride_travel=np.stack(travels),
        frequency_past_crossover=past,
        tender_left=tender_left,
        main_left=main_left,
        helper_closed_travel=closed,
        preload_at_droop=sets.preload + coilover.strap_travel,
    )
    numbers = {
        **_limits(problem),
        **standing_numbers(problem, low, high, crossover),
        "helper_open_at_rest": helper_open,
        "crossovers": np.where(single, 0.0, 1.0),
        "crossovers_wanted": 0.0 if wishes.crossover_above_ride is None else 1.0,
        "frequency_past_crossover": past,
        "ring_room": None if limits.ring_height is None else shortened - limits.ring_height,
        "crossover_travel": crossover,
        "tender_left": tender_left,
        "main_left": main_left,
        "preload_at_droop": found.preload_at_droop,
        "thread_left": None if hardware.thread_length is None else hardware.thread_length - found.ring_below_adjuster,
        "body_left": None if hardware.body_length is None else _body_left(problem, found, stack),
        "pad_clear": None if hardware.pad_touch is None else hardware.pad_touch - high,
    }
    missing = shortfalls(LATE, numbers, _applies(single, ~np.isinf(crossover), sets.helper >= 0), sets.main)
    return found, missing, stack


def _body_left(problem: Problem, sets: Sets, stack: StackCurve) -> Any:
    """Return what is left of the damper's body below the divider over the main, at full droop."""
    hardware, droop = problem.hardware, problem.coilover.strap_travel
    above = sets.tender_length + sets.above_tender
    with np.errstate(invalid="ignore"):
        divider = sets.adjuster + stack.seat_to_divider(above) - stack.divider_rise(droop)
    return hardware.body_length - divider - hardware.divider_thickness


def standing_numbers(problem: Problem, low: Any, high: Any, crossover: Any) -> dict[str, Any]:
    """Return what is left where the rig stands between these damper travels, and what is wanted, as the limits call it."""
    return {
        "wanted_droop": problem.wishes.droop,
        "wanted_bump": problem.wishes.bump,
        "droop_left": low - problem.coilover.strap_travel,
        "bump_left": problem.coilover.bump_limit - high,
        "crossover_above_ride": crossover - high,
    }


def _limits(problem: Problem) -> dict[str, Any]:
    """Return the numbers that a problem's sets are held against, as the declared limits call them."""
    wishes, limits = problem.wishes, problem.limits
    past = wishes.frequency_past_crossover or (-np.inf, np.inf)
    return {
        "wanted_frequency_low": wishes.frequency[0],
        "wanted_frequency_high": wishes.frequency[1],
        "wanted_frequency_past_crossover_low": past[0],
        "wanted_frequency_past_crossover_high": past[1],
        "bump_limit": problem.coilover.bump_limit,
        "least_tender_left": limits.tender_left,
        "least_main_left": limits.main_left,
    }


def _applies(single: Any, ringed: Any = True, helped: Any = True) -> dict[Of, Any]:
    """Tell which sets each kind of limit is judged on."""
    return {"two": ~single, "ring": ~single & ringed, "helper": helped}


def rates_of(sets: Sets) -> dict[str, Any]:
    """Return what a curve takes of sets whose preload is set, the ring and every bind but the helper's left out."""
    return {
        name: getattr(sets, name) for name in ("helper_rate", "helper_stroke", "tender_rate", "main_rate", "preload")
    }


def stack_of(sets: Sets) -> StackCurve:
    """Return the curve of sets that are set up."""
    single = sets.single
    return stack_curve(
        **rates_of(sets),
        ring_gap=sets.ring_gap,
        tender_stroke=np.where(single, np.inf, sets.tender_length - sets.tender_solid),
        main_stroke=sets.main_stroke,
    )


def _inside(problem: Problem, travel: Any) -> Any:
    return np.where(np.isfinite(travel), travel, problem.coilover.bump_limit)


def _most_preload(problem: Problem, stack_rate: FloatArray) -> Any:
    """The preload that leaves just the wanted droop in the lightest load case: with more the rig sits too high."""
    coilover = problem.coilover
    lightest = min(case.support_load for case in problem.cases)
    top = coilover.strap_travel + problem.wishes.droop
    load = coilover.axial_load(lightest, top) - coilover.gas_force(top)
    return preload_for(ride_travel=top, spring_load=load, stack_rate=stack_rate)


def _frequency_at(problem: Problem, stack: StackCurve, travel: FloatArray, case: CaseLoad) -> Any:
    inside = np.clip(travel, 0.0, problem.coilover.bump_limit)
    rate = stack.rate(inside)
    force = problem.coilover.axial_load(case.support_load, inside)
    wheel = problem.coilover.wheel_rate(np.where(np.isfinite(rate), rate, 0.0), force, inside)
    return ride_frequency(wheel, problem.tire_rate, case.sprung_mass)


def _frequency_past(
    problem: Problem, main_rate: FloatArray, stack: StackCurve, crossover: FloatArray, case: CaseLoad
) -> Any:
    """The frequency just past the crossover, with the load that is carried there."""
    travel = np.where(np.isfinite(crossover), np.clip(crossover, 0.0, problem.coilover.bump_limit), 0.0)
    force = stack.force(travel) + problem.coilover.gas_force(travel)
    wheel = problem.coilover.wheel_rate(main_rate, np.where(np.isfinite(force), force, 0.0), travel)
    return ride_frequency(wheel, problem.tire_rate, case.sprung_mass)
