"""Force, rate and energy of one or two springs in series, exact between its breakpoints.

Everything counts from the damper fully extended on the bench: preload, ring gap and travel.
The tender stands at the adjuster end, over the main; between them slides the divider, which the stop ring on the body ends.
With y the shortening of the whole stack from just seated, the force is the larger of two straight lines:
both springs in series, and the stiffer of what is left once one of them can shorten no further.
All of it works on arrays of sets that broadcast together, so a search and a single page use the same arithmetic.
"""

from __future__ import annotations

from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = float | NDArray[np.float64]


def _array(value: Numbers | None, absent: float) -> NDArray[np.float64]:
    return np.asarray(absent if value is None else value, dtype=np.float64)


def _where(condition: Any, yes: Any, no: Any) -> Any:
    # A single set gives plain numbers, not arrays of no dimension.
    return np.where(condition, yes, no)[()]


class StackCurve:
    """The springs of one coil-over, for one set or for arrays of sets.

    `tender_rate` None or infinite means a single spring; `ring_gap` None or infinite means no ring.
    The strokes are free length less solid length; None or infinite leaves binding out.
    A negative preload is a stack that hangs loose at full extension by that much.
    Then `divider_hangs` says whether the divider stays with the tender or, as without clips, rests on the main.
    Past `solid_travel` both springs are bound: force, rate and energy are infinite there.

    >>> curve = StackCurve(tender_rate=200.0, main_rate=300.0, preload=0.0, ring_gap=2.0)
    >>> float(curve.stack_rate), round(float(curve.crossover_travel), 6), round(float(curve.force(curve.crossover_travel)), 6)
    (120.0, 3.333333, 400.0)
    >>> float(curve.rate(3.0)), float(curve.rate(4.0)), round(float(curve.travel_at(700.0)), 6)
    (120.0, 300.0, 4.333333)
    """

    # No helper: `_helped_curve` has the stack of three springs.
    helper_rate: Any = np.array(np.inf)
    helper_stroke: Any = np.array(np.inf)
    helper_ring_gap: Any = np.array(np.inf)

    def __init__(
        self,
        *,
        main_rate: Numbers,
        preload: Numbers,
        tender_rate: Numbers | None = None,
        ring_gap: Numbers | None = None,
        tender_stroke: Numbers | None = None,
        main_stroke: Numbers | None = None,
        divider_hangs: bool = False,
    ) -> None:
        self.main_rate = _array(main_rate, np.inf)
        self.preload = _array(preload, 0.0)
        self.tender_rate = _array(tender_rate, np.inf)
        self.ring_gap = _array(ring_gap, np.inf)
        self.tender_stroke = _array(tender_stroke, np.inf)
        self.main_stroke = _array(main_stroke, np.inf)
        self.divider_hangs = divider_hangs

    # --- rates and shares ---

    @cached_property
    def single(self) -> NDArray[np.bool_]:
        """Whether there is no tender."""
        return np.isinf(self.tender_rate)

    @cached_property
    def _stiffness_ratio(self) -> Any:
        return self.main_rate / self.tender_rate

    @cached_property
    def stack_rate(self) -> Any:
        """Rate of both springs in series."""
        return self.main_rate / (1.0 + self._stiffness_ratio)

    @cached_property
    def tender_share(self) -> Any:
        """Share of a shortening that the tender takes while both springs work."""
        return self._stiffness_ratio / (1.0 + self._stiffness_ratio)

    @cached_property
    def main_share(self) -> Any:
        """Share of a shortening that the main takes while both springs work."""
        return 1.0 / (1.0 + self._stiffness_ratio)

    # --- where things happen ---

    @cached_property
    def seated_travel(self) -> Any:
        """Travel at which the springs first carry: 0 unless the stack hangs loose."""
        slack = np.maximum(-self.preload, 0.0)
        # A divider that rests on the main may meet the ring before the tender is even touched.
        return slack if self.divider_hangs else _where(self.single, slack, np.minimum(slack, self.ring_gap))

    @cached_property
    def start(self) -> Any:
        """Shortening of the stack at full extension; negative while it hangs loose."""
        return _where(self.preload >= 0.0, self.preload, -self.seated_travel)

    @cached_property
    def _tender_at_ring(self) -> Any:
        loose = self.ring_gap if self.divider_hangs else np.maximum(self.ring_gap + self.preload, 0.0)
        reached = _where(self.preload >= 0.0, self.ring_gap + self.preload * self.tender_share, loose)
        return _where(self.single, np.inf, reached)

    @cached_property
    def _tender_limit(self) -> Any:
        return _where(self.single, np.inf, np.minimum(self._tender_at_ring, self.tender_stroke))

    @cached_property
    def _tender_ends_first(self) -> Any:
        return self.single | (self.tender_rate * self._tender_limit <= self.main_rate * self.main_stroke)

    @cached_property
    def second_rate(self) -> Any:
        """Rate once one spring can shorten no further: the main's, unless the main binds before the tender ends."""
        return _where(self._tender_ends_first, self.main_rate, self.tender_rate)

    @cached_property
    def _ended_at(self) -> Any:
        return _where(self._tender_ends_first, self._tender_limit, self.main_stroke)

    @cached_property
    def _first_break(self) -> Any:
        share = _where(self._tender_ends_first, self.tender_share, self.main_share)
        with np.errstate(divide="ignore", invalid="ignore"):
            return _where(self.single, np.inf, self._ended_at / share)

    @cached_property
    def _last_break(self) -> Any:
        return _where(self.single, 0.0, self._tender_limit) + self.main_stroke

    @cached_property
    def crossover_travel(self) -> Any:
        """Travel at which the divider meets the ring, if nothing binds before; infinite without a ring."""
        # Seated springs: the preload cancels, so it is kept out and cannot leave a trace in the last bit.
        with np.errstate(divide="ignore", invalid="ignore"):
            seated = _where(self.single, np.inf, self.ring_gap / self.tender_share)
        return _where(self.preload >= 0.0, seated, self._travel_with_tender_at(self._tender_at_ring))

    @cached_property
    def tender_bind_travel(self) -> Any:
        """Travel at which the tender would bind, if there were no ring; infinite without a solid length."""
        return self._travel_with_tender_at(self.tender_stroke)

    def _travel_with_tender_at(self, compression: Any) -> Any:
        with np.errstate(divide="ignore", invalid="ignore"):
            return _where(self.single, np.inf, compression / self.tender_share - self.start)

    @cached_property
    def step_travel(self) -> Any:
        """Travel at which the rate steps up: at the ring or where a spring binds, whichever is first."""
        return self._first_break - self.start

    @cached_property
    def solid_travel(self) -> Any:
        """Travel at which nothing can shorten any more; infinite without solid lengths."""
        return self._last_break - self.start

    def pieces(self) -> tuple[tuple[Any, Any], ...]:
        """Return where the stack begins to carry and where it stiffens, each with the rate that is added there."""
        return (-self.start, self.stack_rate), (self.step_travel, self.second_rate - self.stack_rate)

    @cached_property
    def preload_force(self) -> Any:
        """Force at full extension."""
        return self.force(0.0)

    # --- along the travel ---

    def force(self, travel: Numbers) -> Any:
        """Return the springs' force at a travel."""
        shortening = self.start + travel
        lines = np.maximum(self.stack_rate * shortening, self.second_rate * (shortening - self._ended_at))
        return _where(shortening > self._last_break, np.inf, np.maximum(lines, 0.0))

    def rate(self, travel: Numbers) -> Any:
        """Return the rate at a travel; at a breakpoint, the one that further bump meets."""
        shortening = self.start + travel
        springs = _where(shortening < self._first_break, self.stack_rate, self.second_rate)
        return _where(shortening >= self._last_break, np.inf, _where(shortening < 0.0, 0.0, springs))

    def energy(self, travel: Numbers) -> Any:
        """Return the work put into the springs between full extension and a travel."""
        shortening = self.start + travel
        stored = self._stored(shortening) - self._stored(self.start)
        return _where(shortening > self._last_break, np.inf, stored)

    def _stored(self, shortening: Any) -> Any:
        both = np.clip(shortening, 0.0, self._first_break)
        alone = np.maximum(shortening - self._first_break, 0.0)
        return self.stack_rate * both * (both / 2 + alone) + self.second_rate * alone**2 / 2

    def travel_at(self, load: Numbers, extra_force: Numbers = 0.0, extra_rate: Numbers = 0.0) -> Any:
        """Return the travel at which the springs and an extra force carry a load along the coil-over.

        The extra force (gas) is `extra_force` at full extension and grows by `extra_rate` with travel.
        A negative travel means that less than the load at full extension is asked for: the damper is topped out.
        What is beyond the springs' solid length ends at `solid_travel`.
        """
        carried = np.asarray(load, dtype=np.float64) - extra_force
        both = (carried - self.stack_rate * self.start) / (self.stack_rate + extra_rate)
        alone = (carried - self.second_rate * (self.start - self._ended_at)) / (self.second_rate + extra_rate)
        return np.minimum(np.minimum(both, alone), self.solid_travel)

    def turned(self, *, adjuster: Numbers = 0.0, ring: Numbers = 0.0) -> StackCurve:
        """Return the stack after the adjuster is run down and the ring run up the body, each by a length.

        Running the adjuster down leaves the ring where it stands, so the gap grows by the main's share of what seats and
        presses the springs. A loose stack's divider goes along with an adjuster that it hangs on by the tender, and stays
        where it is on the main.
        """
        pressed, seated = self._turned_on(adjuster)
        return StackCurve(
            main_rate=self.main_rate,
            tender_rate=self.tender_rate,
            preload=self.preload + adjuster,
            ring_gap=self.ring_gap + self.main_share * pressed + seated + ring,
            tender_stroke=self.tender_stroke,
            main_stroke=self.main_stroke,
            divider_hangs=self.divider_hangs,
        )

    def _turned_on(self, adjuster: Numbers) -> tuple[Any, Any]:
        """Return what of an adjuster's turning presses the springs, and how far it takes a divider that hangs loose."""
        after = self.preload + np.asarray(adjuster)
        pressed = np.maximum(after, 0.0) - np.maximum(self.preload, 0.0)
        return pressed, (after - self.preload) - pressed if self.divider_hangs else 0.0 * pressed

    # --- each spring ---

    def tender_compression(self, travel: Numbers) -> Any:
        """Return how far the tender is shortened from its free length at a travel."""
        with np.errstate(invalid="ignore"):
            from_force = _where(self.single, 0.0, self.force(travel) / self.tender_rate)
        return np.minimum(from_force, self._tender_limit)

    def main_compression(self, travel: Numbers) -> Any:
        """Return how far the main is shortened from its free length at a travel."""
        return np.maximum(self.start + travel, 0.0) - self.tender_compression(travel)

    def divider_rise(self, travel: Numbers) -> Any:
        """Return how far the divider has moved up the body since full extension."""
        lifted = 0.0 if self.divider_hangs else np.minimum(self.seated_travel, travel)
        return lifted + self.tender_compression(travel) - self.tender_compression(0.0)

    def gap_at(self, travel: Numbers) -> Any:
        """Return the gap between divider and ring at a travel, down to 0 at the crossover."""
        return np.maximum(self.ring_gap - self.divider_rise(travel), 0.0)

    def seat_to_divider(self, tender_free_length: Numbers) -> Any:
        """Return the distance from the upper spring seat to the divider's top at full extension."""
        fallen = 0.0 if self.divider_hangs else np.maximum(-self.preload, 0.0)
        return tender_free_length - np.maximum(self.preload, 0.0) * self.tender_share + fallen

    def tender_left(self, travel: Numbers) -> Any:
        """Return what the tender has left before it binds, at a travel; negative when it falls short of the ring."""
        wanted = np.minimum(np.maximum(self.start + travel, 0.0) * self.tender_share, self._tender_at_ring)
        return self.tender_stroke - wanted

    def main_left(self, travel: Numbers) -> Any:
        """Return what the main has left before it binds, at a travel; negative when it cannot go so far."""
        shortening = np.maximum(self.start + travel, 0.0)
        tender = _where(self.single, 0.0, np.minimum(shortening * self.tender_share, self._tender_limit))
        return self.main_stroke - (shortening - tender)


# --- settings, in closed form ------------------------------------------------------------------------------------


def ring_gap_for(
    *,
    crossover_travel: Numbers,
    tender_rate: Numbers,
    main_rate: Numbers,
    preload: Numbers = 0.0,
    divider_hangs: bool = False,
) -> Any:
    """Return the ring gap that puts the crossover at this travel from full extension.

    >>> round(float(ring_gap_for(crossover_travel=7.56, tender_rate=250.0, main_rate=450.0)), 3)
    4.86
    """
    share = np.asarray(main_rate) / (np.asarray(tender_rate) + main_rate)
    slack = np.maximum(-np.asarray(preload, dtype=np.float64), 0.0)
    both = (crossover_travel - slack) * share
    return both if divider_hangs else _where(crossover_travel >= slack, both + slack, crossover_travel)


def preload_for(
    *,
    ride_travel: Numbers,
    spring_load: Numbers,
    stack_rate: Numbers,
    crossover_travel: Numbers = np.inf,
    rate_past_crossover: Numbers = np.inf,
) -> Any:
    """Return the preload that lets the springs carry a load at this travel, the crossover staying where it is.

    >>> round(float(preload_for(ride_travel=5.05, spring_load=1012.5, stack_rate=160.714)), 3)
    1.25
    """
    past = np.maximum(np.asarray(ride_travel, dtype=np.float64) - crossover_travel, 0.0)
    alone = _where(past > 0.0, past * _where(past > 0.0, rate_past_crossover, 0.0), 0.0)
    return (spring_load - alone) / stack_rate - (ride_travel - past)


def adjuster_setting(
    *,
    preload: Numbers,
    free_lengths: Numbers,
    divider_thickness: Numbers,
    seat_space: Numbers,
) -> Any:
    """Return how far the adjuster is run down from backed off, for a preload.

    >>> round(adjuster_setting(preload=1.25, free_lengths=24.0, divider_thickness=0.8, seat_space=26.5), 3)
    2.95
    """
    return preload + seat_space - free_lengths - divider_thickness


def ring_place(
    *, adjuster_setting: Numbers, tender_free_length: Numbers, tender_compression: Numbers, ring_gap: Numbers
) -> Any:
    """Return how far below the backed-off adjuster the underside of the ring stands on the body.

    This height is what stays put: the gap follows from it and from the adjuster.
    The tender's compression is that at full extension, where the gap counts from.

    >>> round(ring_place(adjuster_setting=2.95, tender_free_length=10.0, tender_compression=0.8036, ring_gap=4.86), 3)
    7.286
    """
    return adjuster_setting + tender_free_length - tender_compression - ring_gap
