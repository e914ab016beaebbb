"""The preload and ring of many spring sets: the preload for the wanted ride height, moved only where that mends a limit.

A builder counts half turns from where the springs just stop rattling, so a set's preloads are the same whatever is wished.
A set works if any of them keeps every limit: so no limit that is loosened ever loses one.
Taken is the one nearest to the preload at which the rig stands at the wanted height in the load case of the wishes; where
none keeps every limit, the one for that height is judged, as near as the adjuster comes to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.limits import LEAST_SEATED
from calc.memo import remembered
from calc.search.bounds import Reach
from calc.search.judging import FloatArray, IntArray, Sets, at_ride, late, rates_of
from calc.search.problem import Problem
from calc.spring._helped_curve import HelpedCurve, stack_curve
from calc.spring._stack_curve import StackCurve, ring_gap_for, ring_place

_SLIGHT = 1e-9
# So many preloads are tried together, and so far from the one that is aimed at, round by round.
_TOGETHER = 4_096
_ROUNDS = ((0.0, 0.0), (1.0, 4.0), (5.0, np.inf))


def middle(problem: Problem, sets: Sets) -> tuple[Sets, dict[str, FloatArray]]:
    """Set preload and ring, and judge the ride frequency of the reference load case."""
    wanted = _wanted_preload(problem, sets)
    turns = _mended(problem, sets, aimed_turns(problem, sets, wanted))
    found, shortfall = at_preload(problem, sets, turns * problem.hardware.adjuster_step)
    return found.having(wanted_preload=wanted), shortfall


def aimed_turns(problem: Problem, sets: Sets, wanted: FloatArray) -> FloatArray:
    """Return the half turns nearest to a wanted preload that the adjuster comes to."""
    first, last = sets.first_turn, sets.last_turn
    turns: FloatArray = np.clip(np.rint(wanted / problem.hardware.adjuster_step), first, np.maximum(first, last))
    return turns


def at_preload(problem: Problem, sets: Sets, preload: FloatArray) -> tuple[Sets, dict[str, FloatArray]]:
    """Set the ring for this preload, and judge the ride frequency of the reference load case."""
    coilover, reference = problem.coilover, problem.cases[problem.reference]
    found = sets.having(preload=preload, adjuster=preload - sets.least)
    # Without ring, of springs that never bind but for the helper.
    free = stack_curve(**rates_of(found))
    ride = coilover.ride_travel(free, reference.support_load, np.full(np.shape(sets.main), coilover.bump_limit / 2))
    gap, below = _ring(problem, found, free, ride)
    return at_ride(problem, found.having(ring_gap=gap, ring_below_adjuster=below), ride)


def doomed(problem: Problem, sets: Sets) -> NDArray[np.bool_]:
    """Tell which sets certainly break a limit after the ride frequency, from their rates alone: see `_reach`."""
    if problem.wishes.crossover_above_ride is None:
        return np.zeros(np.shape(sets.main), dtype=np.bool_)
    main, main_rate = _bounds(problem)[0].main, sets.main_rate
    found: NDArray[np.bool_] = (
        sets.single | (main_rate < main.low * (1 - _SLIGHT)) | (main_rate > main.high * (1 + _SLIGHT))
    )
    return found


# --- which half turn ---------------------------------------------------------------------------------------------


def _mended(problem: Problem, sets: Sets, aimed: FloatArray) -> FloatArray:
    """Return each set's half turns: those nearest to the aimed ones that keep every limit, else the aimed ones."""
    first, last = _window(problem, sets)
    turns = aimed.copy()
    start = np.clip(aimed, first, np.maximum(first, last))
    left = np.flatnonzero(first <= last)
    # Most are mended near by, so the far half turns are tried only for what is left then.
    for near, far in _ROUNDS:
        for owner, tried in _around(left, start[left], first[left], last[left], near, far):
            kept = _keeps(problem, sets, owner, tried)
            owners, candidates = owner[kept], tried[kept]
            # The farthest come first, so that the nearest is what stays; of two as near, the lower.
            order = np.lexsort((candidates <= start[owners], -np.abs(candidates - start[owners])))
            turns[owners[order]] = candidates[order]
            first[owners] = np.inf
        left = left[np.isfinite(first[left])]
    return turns


def _keeps(problem: Problem, sets: Sets, places: IntArray, turns: FloatArray) -> NDArray[np.bool_]:
    """Tell which of some sets keep every limit at these half turns."""
    some, wrong = at_preload(problem, sets.only(places), turns * problem.hardware.adjuster_step)
    kept: NDArray[np.bool_] = wrong["ride_frequency"] <= 0
    _, more = late(problem, some.only(kept), limits_alone=True)
    kept[kept] = np.all([value <= 0 for value in more.values()], axis=0)
    return kept


def _around(
    places: IntArray, start: FloatArray, first: FloatArray, last: FloatArray, near: float, far: float
) -> Iterator[tuple[IntArray, FloatArray]]:
    """Give each set's half turns so near and so far from its start, inside its window, as many together as fit."""
    spans = [(np.maximum(first, start - far), start - near), (start + max(near, 1.0), np.minimum(last, start + far))]
    # As the machine counts, 32 bits in a browser: it repeats by nothing wider.
    widths = np.stack([np.maximum(end - begin + 1.0, 0.0) for begin, end in spans]).astype(np.intp)
    ends = np.cumsum(widths.sum(axis=0))
    begin = 0
    while begin < len(places):
        spent = int(ends[begin - 1]) if begin else 0
        # A set's half turns stay together: the nearest of them all is wanted.
        stop = max(int(np.searchsorted(ends, spent + _TOGETHER, side="right")), begin + 1)
        parts = []
        for (low, _), every in zip(spans, widths, strict=True):
            width = every[begin:stop]
            within = np.arange(int(width.sum())) - np.repeat(np.cumsum(width) - width, width)
            parts.append((np.repeat(places[begin:stop], width), np.repeat(low[begin:stop], width) + within))
        yield np.concatenate([owner for owner, _ in parts]), np.concatenate([tried for _, tried in parts])
        begin = stop


@remembered(8)
def _bounds(problem: Problem) -> tuple[Reach, float, float, float]:
    """Return what sets must lie within to work, and between which forces and how steeply the springs carry the reference."""
    reach = Reach(problem)
    travel = np.linspace(reach.low, max(reach.high, reach.low), 513)
    force, slope = problem.coilover.spring_force(problem.cases[problem.reference].support_load, travel)
    # Between two places neither moves further than from one of them to the next.
    force_apart, slope_apart = (float(np.max(np.abs(np.diff(one)))) for one in (force, slope))
    return (
        reach,
        float(np.min(force)) - force_apart,
        float(np.max(force)) + force_apart,
        float(np.min(slope)) - slope_apart,
    )


def _window(problem: Problem, sets: Sets) -> tuple[FloatArray, FloatArray]:
    """Return the half turns between which a set may keep every limit; the first above the last where none can.

    At rest in the reference load case a set that works carries between the least and the greatest of the forces there; with p
    its preload less a closed helper's stroke, x its travel and K its stack rate, K (p + x) is that force. So:

    - the lightest load case's droop and the heaviest one's bump and bump stop bound p;
    - divider and ring hang lower with more preload, and tolerance takes some of it;
    - tender and main are shortened at the crossover by their shares of p + x and of the height of the crossover over the
      ride, which rounding the ring moves by half a step of it;
    - the heaviest load case rides deeper than the reference by what its load brings along K, and not past the crossover.
    """
    coilover, limits, wish = problem.coilover, problem.limits, problem.wishes.crossover_above_ride
    reach, least_force, most_force, slope = _bounds(problem)
    rate, main_rate, single = sets.stack_rate, sets.main_rate, sets.single
    share = np.where(single, 0.0, rate / np.where(single, 1.0, sets.tender_rate))
    tender_stroke = sets.tender_length - sets.tender_solid
    may = (
        (reach.common.low <= rate)
        & (rate <= reach.common.high)
        & (single | ((reach.main.low <= main_rate) & (main_rate <= reach.main.high)))
    )
    low, high = reach.heaviest / rate - reach.high, reach.lightest / rate - reach.low
    if wish is None:
        most = np.where(single, np.inf, (tender_stroke - limits.tender_left) / np.where(single, 1.0, share))
        most = np.minimum(most, (sets.main_stroke - limits.main_left) / (1.0 - share)) - coilover.bump_limit
    else:
        rounding = problem.hardware.ring_step / 2
        shortened = share * (least_force / rate + wish) - rounding
        may &= ~single & (shortened <= tender_stroke - limits.tender_left + _SLIGHT)
        if limits.ring_height is not None:
            may &= shortened <= sets.tender_length - limits.ring_height + _SLIGHT
        travel = limits.main_left - sets.main_stroke + coilover.bump_limit - rounding
        travel = travel + (1.0 - share) * least_force / rate - share * wish
        most = most_force / rate - travel
        reference = problem.cases[problem.reference].support_load
        more = max(case.support_load for case in problem.cases) - reference
        # Deeper the motion ratio is lower, and the same load at the wheel more along the coil-over.
        deeper = more / float(coilover.motion_ratio(reach.low))
        may &= deeper <= (wish + rounding / np.where(single, 1.0, share) + _SLIGHT) * np.maximum(rate - slope, 0.0)
    if sets.helper_stroke is None:
        most = np.minimum(most, _on_the_body(problem, sets, share, most_force))
    closed, step = sets.closes, problem.hardware.adjuster_step
    low = np.maximum(low + closed, LEAST_SEATED - coilover.strap_travel)
    first = np.maximum(sets.first_turn, np.ceil((low - _SLIGHT) / step))
    last = np.minimum(sets.last_turn, np.floor((np.minimum(high, most) + closed + _SLIGHT) / step))
    return np.where(may, first, 1.0), np.where(may, last, 0.0)


def _on_the_body(problem: Problem, sets: Sets, share: FloatArray, most_force: float) -> FloatArray:
    """Return the most preload with which the divider can stay on the body and the ring on its thread.

    Both hang lower by what the adjuster is run down, less what the tender is shortened by; at the ring that is no more than
    its share of the greatest force at rest and of the height of the crossover.
    """
    hardware, wish, single = problem.hardware, problem.wishes.crossover_above_ride, sets.single
    most = np.full(np.shape(sets.main), np.inf)
    hangs = sets.tender_length - sets.least
    if hardware.body_length is not None:
        room = hardware.body_length - hardware.divider_thickness - hangs + share * problem.coilover.strap_travel
        most = np.where(single, most, room / np.where(single, 1.0, 1.0 - share))
    if hardware.thread_length is not None and wish is not None:
        lifted = share * (most_force / sets.stack_rate + wish) + hardware.ring_step / 2
        most = np.where(single, most, np.minimum(most, hardware.thread_length - hangs + lifted))
    return most


# --- the preload for the wanted height, and the ring ----------------------------------------------------------------


def _wanted_preload(problem: Problem, sets: Sets) -> Any:
    """The preload at which the springs, all of them at work, hold the load of the wishes at the wanted height."""
    travel = problem.coilover.extended_length - problem.wishes.height.length
    force, _ = problem.coilover.spring_force(problem.cases[problem.reference].support_load, travel)
    # A helper that is closed has given its stroke.
    return force / sets.stack_rate - travel + sets.closes


def _ring(problem: Problem, sets: Sets, free: StackCurve, ride: FloatArray) -> tuple[Any, Any]:
    """The ring for the wanted crossover: its gap, and its place below the backed-off adjuster, rounded to a tape."""
    single, wish = sets.single, problem.wishes.crossover_above_ride
    if wish is None:
        return np.full(np.shape(ride), np.inf), np.full(np.shape(ride), np.inf)
    if isinstance(free, HelpedCurve):
        shortened = free.helper_compression(0.0) + free.tender_compression(0.0)
        gap = free.helper_compression(ride + wish) + free.tender_compression(ride + wish) - shortened
    else:
        safe_rate = np.where(single, 1.0, sets.tender_rate)
        gap = ring_gap_for(crossover_travel=ride + wish, tender_rate=safe_rate, main_rate=sets.main_rate)
        shortened = sets.preload * sets.main_rate / (safe_rate + sets.main_rate)
    place = ring_place(
        adjuster_setting=sets.adjuster,
        tender_free_length=sets.tender_length + sets.above_tender,
        tender_compression=shortened,
        ring_gap=gap,
    )
    rounded = _rounded(place, problem.hardware.ring_step)
    return np.where(single, np.inf, gap + place - rounded), np.where(single, np.inf, rounded)


def _rounded(value: Any, step: float) -> Any:
    return np.rint(value / step) * step if step > 0 else value
