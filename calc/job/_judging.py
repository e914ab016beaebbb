"""Many spring sets at once, set up and judged in three stages, so that what fails early is not worked out further.

Early needs lengths and rates alone, middle the preload, the ring and the ride in the reference load case, late the rest.
Each stage gives the shortfall of its limits for every set it is given; above 0 a limit is broken.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.job._problem import CaseLoad, Problem
from calc.job.coilover import ride_frequency
from calc.spring._helped_curve import HelpedCurve, stack_curve
from calc.spring._stack_curve import StackCurve, preload_for, ring_gap_for, ring_place
from calc.tables import Springs

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
_MOST_TURNS = 60
_ENOUGH = 1e-13


@dataclass(frozen=True)
class Sets:
    """Sets by index into the list (-1 is none), with what each stage adds to their numbers."""

    helper: IntArray
    tender: IntArray
    main: IntArray
    numbers: Mapping[str, Any]

    def only(self, wanted: NDArray[np.bool_]) -> Sets:
        """Return some of the sets."""
        return Sets(
            helper=self.helper[wanted],
            tender=self.tender[wanted],
            main=self.main[wanted],
            numbers={name: value[..., wanted] for name, value in self.numbers.items()},
        )

    def __getitem__(self, name: str) -> Any:
        return self.numbers[name]

    def having(self, **numbers: Any) -> Sets:
        """Return the sets with more numbers."""
        return Sets(self.helper, self.tender, self.main, {**self.numbers, **numbers})


def gathered(
    problem: Problem, springs: Springs, tender: IntArray, main: IntArray, helper: IntArray | None = None
) -> Sets:
    """Return sets given by index with their springs' numbers."""
    single = tender < 0
    numbers: dict[str, Any] = {
        "single": single,
        "tender_rate": np.where(single, np.inf, springs.rate[tender]),
        "tender_length": np.where(single, 0.0, springs.free_length[tender]),
        "tender_solid": springs.solid_length[tender],
        "main_rate": springs.rate[main],
        "main_length": springs.free_length[main],
    }
    divider = np.where(single, 0.0, problem.hardware.divider_thickness)
    least = numbers["tender_length"] + numbers["main_length"] + divider - problem.hardware.seat_space
    numbers["main_stroke"] = numbers["main_length"] - springs.solid_length[main]
    if helper is not None:
        length = springs.free_length[helper]
        above = length + problem.hardware.divider_thickness
        least = least + above
        numbers |= {
            "helper_rate": springs.rate[helper],
            "helper_stroke": length - springs.solid_length[helper],
            "above_tender": above,
        }
    none = np.full(np.shape(main), -1, dtype=np.int64) if helper is None else helper
    return Sets(none, tender, main, numbers | {"least": least})


def early(problem: Problem, sets: Sets) -> tuple[Sets, dict[str, FloatArray]]:
    """Judge what rates and lengths alone decide."""
    limits = problem.limits
    rate = StackCurve(tender_rate=sets["tender_rate"], main_rate=sets["main_rate"], preload=0.0).stack_rate
    highest = sets["least"] + problem.hardware.adjuster_range - limits.adjuster_reserve
    most = _most_preload(problem, rate) + sets.numbers.get("helper_stroke", 0.0)
    found = sets.having(stack_rate=rate, highest=highest)
    return found, {
        "stiff_tender": np.where(sets["single"], -1.0, sets["tender_rate"] / sets["main_rate"] - 1.0),
        "too_long": sets["least"] - most,
        "too_short": limits.preload_floor - highest,
    }


def middle(problem: Problem, sets: Sets) -> tuple[Sets, dict[str, FloatArray]]:
    """Set preload and ring, and judge the ride frequency of the reference load case."""
    coilover, reference = problem.coilover, problem.cases[problem.reference]
    lowest = np.maximum(sets["least"], problem.limits.preload_floor)
    closed = sets.numbers.get("helper_stroke", 0.0)
    balanced = _balanced_preload(problem, sets["stack_rate"]) + closed
    preload = np.clip(balanced, lowest, np.maximum(sets["highest"], lowest))
    preload = _in_turns(preload, problem.hardware.adjuster_step, lowest, sets["highest"])
    found = sets.having(preload=preload, adjuster=preload - sets["least"])
    free = _free(found)
    ride = coilover.ride_travel(free, reference.support_load, np.full(np.shape(sets.main), coilover.bump_limit / 2))
    gap, below = _ring(problem, found, free, ride)
    return at_ride(problem, found.having(ring_gap=gap, ring_below_adjuster=below), ride)


def at_ride(problem: Problem, sets: Sets, start: FloatArray) -> tuple[Sets, dict[str, FloatArray]]:
    """Judge the ride frequency of the reference load case for sets whose preload and ring are set."""
    stack, reference = stack_of(sets), problem.cases[problem.reference]
    travel = _inside(problem, problem.coilover.ride_travel(stack, reference.support_load, start))
    frequency = _frequency_at(problem, stack, travel, reference)
    found = sets.having(reference_travel=travel, reference_frequency=frequency)
    return found, {"ride_frequency": _outside(frequency, problem.wishes.frequency)}


def late(problem: Problem, sets: Sets) -> tuple[Sets, dict[str, FloatArray]]:
    """Judge the other load cases, the crossover, and every bind."""
    coilover, wishes, limits, single = problem.coilover, problem.wishes, problem.limits, sets["single"]
    stack = stack_of(sets)
    crossover = stack.crossover_travel
    ride = sets["reference_travel"]
    travels, frequencies = [], []
    for index, case in enumerate(problem.cases):
        if index == problem.reference:
            travels.append(ride)
            frequencies.append(sets["reference_frequency"])
        else:
            travels.append(_inside(problem, coilover.ride_travel(stack, case.support_load, ride)))
            frequencies.append(_frequency_at(problem, stack, travels[-1], case))
    past = _frequency_past(problem, sets["main_rate"], stack, crossover, problem.cases[problem.reference])
    low, high = np.minimum.reduce(travels), np.maximum.reduce(travels)
    at_crossover = np.where(single, 0.0, np.minimum(crossover, coilover.bump_limit))
    tender_left = np.where(single, np.inf, stack.tender_left(at_crossover))
    main_left = stack.main_left(coilover.bump_limit)
    shortened = sets["tender_length"] - np.where(single, 0.0, stack.tender_compression(at_crossover))
    wants_crossover = wishes.crossover_above_ride is not None
    helper_open, closed = np.full(np.shape(sets.main), -1.0), np.full(np.shape(sets.main), np.inf)
    if isinstance(stack, HelpedCurve):
        helper_open, closed = stack.helper_open(low), stack.helper_closed_travel
        # At full extension the helper's divider hangs lower by what the helper opens: the ring must stand clear of it.
        shortened = shortened - (stack.helper_compression(at_crossover) - stack.helper_compression(0.0))
    found = sets.having(
        crossover_travel=crossover,
        ride_travel=np.stack(travels),
        ride_frequency=np.stack(frequencies),
        frequency_past_crossover=past,
        axial_load=np.stack(
            [
                np.asarray(coilover.axial_load(case.support_load, np.clip(travel, 0.0, coilover.bump_limit)))
                for travel, case in zip(travels, problem.cases, strict=True)
            ]
        ),
        tender_left=tender_left,
        main_left=main_left,
        helper_closed_travel=closed,
    )
    return found, {
        "helper_open": helper_open,
        "no_crossover": np.where(single, 1.0 if wants_crossover else -1.0, -1.0),
        "frequency_past_crossover": (
            np.where(single, -1.0, _outside(past, wishes.frequency_past_crossover))
            if wishes.frequency_past_crossover is not None
            else np.full(np.shape(sets.main), -1.0)
        ),
        "droop": wishes.droop - (low - coilover.strap_travel),
        "bump": wishes.bump - (coilover.bump_limit - high),
        "ring_at_rest": np.where(single, -1.0, high - crossover),
        "ring_room": np.where(single, -1.0, limits.ring_height - shortened),
        "ring_unreached": np.where(single | np.isinf(crossover), -1.0, crossover - coilover.bump_limit),
        "tender_bind": np.where(single, -1.0, limits.tender_left - tender_left),
        "main_bind": limits.main_left - main_left,
    }


def stack_of(sets: Sets) -> StackCurve:
    """Return the curve of sets that are set up."""
    single = sets["single"]
    return stack_curve(
        helper_rate=sets.numbers.get("helper_rate"),
        helper_stroke=sets.numbers.get("helper_stroke"),
        tender_rate=sets["tender_rate"],
        main_rate=sets["main_rate"],
        preload=sets["preload"],
        ring_gap=sets["ring_gap"],
        tender_stroke=np.where(single, np.inf, sets["tender_length"] - sets["tender_solid"]),
        main_stroke=sets["main_stroke"],
    )


def _free(sets: Sets) -> StackCurve:
    """Return the curve without ring, of springs that never bind but for the helper."""
    return stack_curve(
        helper_rate=sets.numbers.get("helper_rate"),
        helper_stroke=sets.numbers.get("helper_stroke"),
        tender_rate=sets["tender_rate"],
        main_rate=sets["main_rate"],
        preload=sets["preload"],
    )


def _inside(problem: Problem, travel: Any) -> Any:
    return np.where(np.isfinite(travel), travel, problem.coilover.bump_limit)


def _balanced_preload(problem: Problem, stack_rate: FloatArray) -> Any:
    """The preload that leaves as much spare bump in the heaviest case as spare droop in the lightest one.

    Both rides then lie evenly about one travel, half the difference off on either side, and that half follows from the
    stack's rate alone: the same springs carry both loads.
    """
    loads = [case.support_load for case in problem.cases]
    coilover, wishes = problem.coilover, problem.wishes
    center = (coilover.bump_limit + coilover.strap_travel - wishes.bump + wishes.droop) / 2
    half = np.zeros(np.shape(stack_rate))
    for _ in range(_MOST_TURNS):
        light, light_slope = coilover.spring_force(min(loads), center - half)
        heavy, heavy_slope = coilover.spring_force(max(loads), center + half)
        steepness = np.maximum(2.0 * stack_rate - heavy_slope - light_slope, stack_rate)
        change = (heavy - light - 2.0 * stack_rate * half) / steepness
        half = half + change
        if np.max(np.abs(change), initial=0.0) <= _ENOUGH:
            break
    light, _ = coilover.spring_force(min(loads), center - half)
    return light / stack_rate - (center - half)


def _most_preload(problem: Problem, stack_rate: FloatArray) -> Any:
    """The preload that leaves just the wanted droop in the lightest load case: with more the rig stands too high."""
    coilover = problem.coilover
    lightest = min(case.support_load for case in problem.cases)
    top = coilover.strap_travel + problem.wishes.droop
    load = coilover.axial_load(lightest, top) - coilover.gas_force(top)
    return preload_for(ride_travel=top, spring_load=load, stack_rate=stack_rate)


def _ring(problem: Problem, sets: Sets, free: StackCurve, ride: FloatArray) -> tuple[Any, Any]:
    """The ring for the wanted crossover: its gap, and its place below the backed-off adjuster, rounded to a tape."""
    single, wish = sets["single"], problem.wishes.crossover_above_ride
    if wish is None:
        return np.full(np.shape(ride), np.inf), np.full(np.shape(ride), np.inf)
    if isinstance(free, HelpedCurve):
        shortened = free.helper_compression(0.0) + free.tender_compression(0.0)
        gap = free.helper_compression(ride + wish) + free.tender_compression(ride + wish) - shortened
    else:
        safe_rate = np.where(single, 1.0, sets["tender_rate"])
        gap = ring_gap_for(crossover_travel=ride + wish, tender_rate=safe_rate, main_rate=sets["main_rate"])
        shortened = sets["preload"] * sets["main_rate"] / (safe_rate + sets["main_rate"])
    place = ring_place(
        adjuster_setting=sets["adjuster"],
        tender_free_length=sets["tender_length"] + sets.numbers.get("above_tender", 0.0),
        tender_compression=shortened,
        ring_gap=gap,
    )
    rounded = _rounded(place, problem.hardware.ring_step)
    return np.where(single, np.inf, gap + place - rounded), np.where(single, np.inf, rounded)


def _rounded(value: Any, step: float) -> Any:
    return np.rint(value / step) * step if step > 0 else value


def _in_turns(preload: Any, step: float, lowest: FloatArray, highest: FloatArray) -> Any:
    """Round a preload to half turns, counted as a builder counts them: from where the springs just stop rattling.

    Rounding may neither fall below the least preload nor, where a lower half turn will do, spend the reserve.
    """
    rounded = _rounded(preload, step)
    rounded = np.where(rounded < lowest - 1e-12, rounded + step, rounded)
    lower = rounded - step
    return np.where((rounded > highest + 1e-12) & (lower >= lowest - 1e-12), lower, rounded)


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


def _outside(value: Any, wanted: tuple[float, float]) -> Any:
    return np.maximum(wanted[0] - value, value - wanted[1])
