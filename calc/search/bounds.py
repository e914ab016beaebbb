"""Which springs can at all work together: bounds that a large list is thinned out by before its sets are judged.

A set that works rides, in every load case, between the strap with the wanted droop and full bump with the wanted bump, short
of its crossover, all springs seated and none bound. So what its springs carry there is their common rate times preload and
travel, and each hard limit bounds rates or lengths by themselves:

- the wanted ride frequency bounds the common rate, over all travels that a ride may have;
- the wanted frequency past the crossover bounds the main's rate, over all travels that a crossover may have;
- droop in the lightest, and bump and a clear bump stop in the heaviest load case, bound the preload, and with the adjuster's range the free lengths
  together;
- what the main must have left at full bump bounds its stroke.

A set outside any of these breaks a hard limit, so none that works is lost. The converse does not hold: what is inside is
then judged as every set is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.search.judging import FloatArray, IntArray
from calc.search.problem import Problem
from calc.tables import Springs

# So many sets are looked at together: a slice stays short in the browser too.
TOGETHER = 100_000
_PLACES = 513
_SLIGHT = 1e-9


@dataclass(frozen=True)
class Found:
    """Sets that may work, by index, of so many that were looked at, and how many of these were ruled out how."""

    tender: IntArray
    main: IntArray
    looked_at: int
    ruled_out: dict[str, int]


@dataclass(frozen=True)
class _Span:
    """What a number must lie within; empty where low is above high."""

    low: float
    high: float


class Reach:
    """What the sets of one axle must lie within to work."""

    def __init__(self, problem: Problem) -> None:
        coilover, wishes = problem.coilover, problem.wishes
        self.problem = problem
        self.low = coilover.strap_travel + wishes.droop
        touched = problem.hardware.pad_touch
        # Nor does the heaviest load case press the bump stop.
        self.high = min(coilover.bump_limit - wishes.bump, np.inf if touched is None else touched)
        loads = [case.support_load for case in problem.cases]
        self.lightest, self.heaviest = (
            self._springs_carry(load, at)
            for load, at in zip((min(loads), max(loads)), (self.low, self.high), strict=True)
        )
        self.common = self._common_rate()
        self.main = self._main_rate()

    def _springs_carry(self, load: float, travel: float) -> float:
        coilover = self.problem.coilover
        inside = min(max(travel, 0.0), coilover.bump_limit)
        return float(coilover.axial_load(load, inside) - coilover.gas_force(inside))

    def _common_rate(self) -> _Span:
        """The rates along the coil-over at which a ride between the two ends may have the wanted frequency."""
        problem = self.problem
        if not 0.0 <= self.low <= self.high:
            return _Span(np.inf, 0.0)
        travel = np.linspace(self.low, self.high, _PLACES)
        force = problem.coilover.axial_load(problem.cases[problem.reference].support_load, travel)
        return self._rates(problem.wishes.frequency, travel, force, force)

    def _main_rate(self) -> _Span:
        """The main's rates at which a crossover may have the wanted frequency past it; any where none is wanted."""
        problem, wishes = self.problem, self.problem.wishes
        above = wishes.crossover_above_ride
        if wishes.frequency_past_crossover is None or above is None or self.common.low > self.common.high:
            return _Span(0.0, np.inf)
        if not np.isfinite(self.common.high):
            # No rate is too stiff at ride, because the tire alone is softer than the wish: then no force is too great either.
            return _Span(0.0, np.inf)
        coilover, case = problem.coilover, problem.cases[problem.reference]
        # Rounding the ring to a tape moves the crossover by no more than one step of it.
        first = min(max(self.low + above - problem.hardware.ring_step, 0.0), coilover.bump_limit)
        travel = np.linspace(first, coilover.bump_limit, _PLACES)
        at_ride = coilover.axial_load(case.support_load, np.linspace(self.low, self.high, _PLACES))
        least = float(np.min(at_ride)) - self.common.high * problem.hardware.ring_step
        most = float(np.max(at_ride)) + self.common.high * (coilover.bump_limit - self.low)
        most += float(coilover.gas_force(coilover.bump_limit) - coilover.gas_force(self.low))
        return self._rates(wishes.frequency_past_crossover, travel, least, most)

    def _rates(self, wanted: tuple[float, float], travel: FloatArray, least: Any, most: Any) -> _Span:
        """The rates that give a wanted frequency at some of these travels, under a force between least and most."""
        problem = self.problem
        coilover, mass = problem.coilover, problem.cases[problem.reference].sprung_mass
        ratio, gas = coilover.motion_ratio(travel), coilover.gas_rate(travel)
        slope = coilover.motion_ratio_slope(travel)
        bent = np.stack([force * slope for force in (least + 0.0 * travel, most + 0.0 * travel)])
        ends = []
        for frequency, pushed in zip(wanted, (bent.max(axis=0), bent.min(axis=0)), strict=True):
            ride = (2.0 * np.pi * frequency) ** 2 * mass
            wheel = ride * problem.tire_rate / (problem.tire_rate - ride) if ride < problem.tire_rate else np.inf
            ends.append((wheel - pushed) / ratio**2 - gas)
        low, high = ends
        # Between two places the rate moves no further than from one of them to the next.
        apart = [float(np.max(np.abs(np.diff(end)), initial=0.0)) if np.all(np.isfinite(end)) else 0.0 for end in ends]
        return _Span(max(float(np.min(low)) - apart[0], 0.0), float(np.max(high)) + apart[1])

    def partners(self, rate: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return from which to which rate a main may have, for tenders of some rates; the low above the high for none."""
        if self.common.low > self.common.high:
            return np.full_like(rate, np.inf), np.zeros_like(rate)
        least, most = (np.float64(end) for end in (self.common.low, self.common.high))
        with np.errstate(divide="ignore"):
            softest = np.where(rate > least, 1.0 / (1.0 / least - 1.0 / rate), np.inf)
            stiffest = np.where(rate > most, 1.0 / (1.0 / most - 1.0 / rate), np.inf)
        low = np.maximum(softest, self.main.low)
        return low * (1.0 - _SLIGHT), np.minimum(stiffest, self.main.high) * (1.0 + _SLIGHT)

    def lengths_fit(
        self,
        *,
        rate: FloatArray,
        main_rate: FloatArray,
        main_stroke: FloatArray,
        length: FloatArray,
        single: bool,
        above: float = 0.0,
        closed: float = 0.0,
    ) -> NDArray[np.bool_]:
        """Tell which sets may reach every travel that is wanted, from common rate and free lengths together.

        `above` is what a helper and its divider add to the length, `closed` what of that is gone once it is closed.
        """
        hardware, limits, coilover = self.problem.hardware, self.problem.limits, self.problem.coilover
        divider = 0.0 if single else hardware.divider_thickness
        least = length + divider + above - hardware.seat_space
        highest = least + hardware.adjuster_range - limits.adjuster_reserve
        # What the preload must be, a helper's stroke apart: droop left in the lightest case, bump in the heaviest.
        most = self.lightest / rate - self.low
        needed = self.heaviest / rate - self.high
        fits: NDArray[np.bool_] = (least - closed <= most + _SLIGHT) & (highest >= limits.preload_floor - _SLIGHT)
        fits &= (highest + hardware.adjuster_step - closed >= needed - _SLIGHT) & (needed <= most + _SLIGHT)
        preload = np.maximum(np.maximum(least, limits.preload_floor) - closed, needed)
        bump = coilover.bump_limit
        wish = self.problem.wishes.crossover_above_ride
        at = bump if wish is None or single else min(bump, self.high + wish + hardware.ring_step)
        closes = rate * (preload + at) / main_rate + (bump - at)
        fits &= main_stroke - closes >= limits.main_left - _SLIGHT
        return fits


def singles(reach: Reach, springs: Springs, fitting: IntArray, *, above: float = 0.0, closed: float = 0.0) -> Found:
    """Return the single springs that may work."""
    rate = springs.rate[fitting]
    none = np.full(len(fitting), -1, dtype=np.int64)
    right = (rate >= reach.common.low * (1 - _SLIGHT)) & (rate <= reach.common.high * (1 + _SLIGHT))
    some = fitting[right]
    rates = springs.rate[some]
    fit = reach.lengths_fit(
        rate=rates,
        main_rate=rates,
        main_stroke=springs.free_length[some] - springs.solid_length[some],
        length=springs.free_length[some],
        single=True,
        above=above,
        closed=closed,
    )
    if reach.problem.wishes.crossover_above_ride is not None:
        fit = np.zeros_like(fit)
    kept = some[fit]
    out = {"rates": len(fitting) - len(some), "lengths": len(some) - len(kept)}
    return Found(none[: len(kept)], kept, len(fitting), out)


def pairs(
    reach: Reach, springs: Springs, fitting: IntArray, *, above: float = 0.0, closed: float = 0.0
) -> Iterator[Found]:
    """Give the pairs that may work, a part of the list at a time; every pair is either among them or counted."""
    order = fitting[np.argsort(springs.rate[fitting], kind="stable")]
    rate, length = springs.rate[order], springs.free_length[order]
    stroke = length - springs.solid_length[order]
    low, high = reach.partners(rate)
    begin = np.searchsorted(rate, low, side="left")
    end = np.maximum(np.searchsorted(rate, high, side="right"), begin)
    widths = end - begin
    sums = np.cumsum(widths)
    start = 0
    while start < len(order):
        spent = int(sums[start - 1]) if start else 0
        # At least one tender, and as many more as keep the part small; many may have no partner at all.
        stop = max(int(np.searchsorted(sums, spent + TOGETHER, side="right")), start + 1)
        stop = min(stop, start + max(TOGETHER // len(order), 1) * 8)
        width = widths[start:stop]
        tender = np.repeat(np.arange(start, stop), width)
        within = np.arange(len(tender)) - np.repeat(np.cumsum(width) - width, width)
        main = np.repeat(begin[start:stop], width) + within
        common = rate[tender] * rate[main] / (rate[tender] + rate[main])
        fit = reach.lengths_fit(
            rate=common,
            main_rate=rate[main],
            main_stroke=stroke[main],
            length=length[tender] + length[main],
            single=False,
            above=above,
            closed=closed,
        )
        looked_at = (stop - start) * len(order)
        inside, kept = int(width.sum()), int(np.count_nonzero(fit))
        yield Found(
            order[tender[fit]],
            order[main[fit]],
            looked_at,
            {"rates": looked_at - inside, "lengths": inside - kept},
        )
        start = stop
