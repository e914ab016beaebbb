"""Force, rate and energy of up to three springs in series, exact between its breakpoints.

Above tender and main stands a helper; each divider is free or stopped by a ring, each spring closes at its own bind.
Springs in series carry the same force F until one of them can shorten no further, so with l_i the most that a spring can
shorten, the whole shortens by the sum of min(F / k_i, l_i): concave in F. Its inverse is therefore the largest of the
straight lines that belong to each choice of springs still at work, and needs neither sorting nor sampling.
"""

from __future__ import annotations

from functools import cached_property
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.spring._stack_curve import Numbers, StackCurve, _array

HELPER, TENDER, MAIN = 0, 1, 2
_ALL = (HELPER, TENDER, MAIN)
_AT_WORK = tuple(some for count in (3, 2, 1) for some in combinations(_ALL, count))


class _Series:
    """Springs in series by softness (1/k) and the most that each can shorten; one that is absent has 0 of both."""

    def __init__(self, softness: Any, most: Any) -> None:
        self.softness, self.most = softness, most

    @cached_property
    def lines(self) -> tuple[tuple[Any, Any], ...]:
        """For each choice of springs at work, their softness and what the others are shortened by at most."""
        return tuple(
            (
                sum(self.softness[index] for index in working),
                sum(self.most[index] for index in _ALL if index not in working),
            )
            for working in _AT_WORK
        )

    @cached_property
    def solid(self) -> Any:
        return sum(self.most)

    def force(self, shortening: Any) -> Any:
        """Return the force; infinite past the shortening at which nothing is left."""
        found: Any = 0.0
        with np.errstate(divide="ignore", invalid="ignore"):
            for softness, ended in self.lines:
                found = np.fmax(found, np.where(softness > 0.0, (shortening - ended) / softness, 0.0))
        return np.where(shortening > self.solid, np.inf, found)[()]

    def each(self, force: Any) -> tuple[Any, Any, Any]:
        """Return what each spring is shortened by under a force."""
        first, second, third = (self._one(index, force) for index in _ALL)
        return first, second, third

    def _one(self, index: int, force: Any) -> Any:
        with np.errstate(invalid="ignore"):
            free = np.where(self.softness[index] > 0.0, self.softness[index] * force, 0.0)
        return np.minimum(free, self.most[index])[()]

    def ends_at(self, index: int) -> Any:
        """Return the force at which a spring has shortened as far as it can; infinite for one that is absent."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.softness[index] > 0.0, self.most[index] / self.softness[index], np.inf)[()]

    def shortened(self, force: Any) -> Any:
        return sum(self.each(force))


def _reached(softness: Any, most: Any, wanted: Any) -> Any:
    """Return the force that shortens the first two springs by so much together; infinite where they bind before."""
    upper = _Series((*softness[:MAIN], np.zeros(())), (*most[:MAIN], np.zeros(())))
    return np.where(wanted >= upper.solid, np.inf, upper.force(wanted))[()]


class HelpedCurve(StackCurve):
    """A stack with a helper at the adjuster end, over tender and main or over one spring alone.

    `helper_ring_gap` is the gap of a ring that stops the helper's divider; None or infinite leaves that divider free.
    Where nothing else is said a name means what it means without a helper; `stack_rate` is the rate with it closed.

    >>> curve = HelpedCurve(helper_rate=50.0, helper_stroke=1.0, tender_rate=200.0, main_rate=300.0, preload=0.5)
    >>> round(float(curve.force(0.0)), 4), round(float(curve.helper_closed_travel), 4), float(curve.rate(3.0))
    (17.6471, 0.9167, 120.0)
    """

    def __init__(
        self,
        *,
        main_rate: Numbers,
        preload: Numbers,
        helper_rate: Numbers | None,
        helper_stroke: Numbers | None = None,
        helper_ring_gap: Numbers | None = None,
        tender_rate: Numbers | None = None,
        ring_gap: Numbers | None = None,
        tender_stroke: Numbers | None = None,
        main_stroke: Numbers | None = None,
        divider_hangs: bool = False,
    ) -> None:
        super().__init__(
            main_rate=main_rate,
            preload=preload,
            tender_rate=tender_rate,
            ring_gap=ring_gap,
            tender_stroke=tender_stroke,
            main_stroke=main_stroke,
            divider_hangs=divider_hangs,
        )
        self.helper_rate = _array(helper_rate, np.inf)
        self.helper_stroke = _array(helper_stroke, np.inf)
        self.helper_ring_gap = _array(helper_ring_gap, np.inf)

    # --- the springs as a series ---

    @cached_property
    def _absent(self) -> tuple[NDArray[np.bool_], NDArray[np.bool_], NDArray[np.bool_]]:
        return np.isinf(self.helper_rate), self.single, np.zeros((), dtype=np.bool_)

    @cached_property
    def _softness(self) -> tuple[Any, Any, Any]:
        return 1.0 / self.helper_rate, 1.0 / self.tender_rate, 1.0 / self.main_rate

    def _most(self, *endless: int) -> tuple[Any, Any, Any]:
        strokes = (self.helper_stroke, self.tender_stroke, self.main_stroke)
        first, second, third = (
            np.where(gone, 0.0, np.inf if index in endless else stroke)
            for index, (gone, stroke) in enumerate(zip(self._absent, strokes, strict=True))
        )
        return first, second, third

    @cached_property
    def _at_extension(self) -> tuple[Any, Any, Any]:
        """What each spring is shortened by at full extension, where every gap is open."""
        free = _Series(self._softness, self._most())
        return free.each(free.force(np.maximum(self.preload, 0.0)))

    @cached_property
    def _gaps(self) -> tuple[Any, Any]:
        helper, tender, _ = self._absent
        return np.where(helper, np.inf, self.helper_ring_gap), np.where(tender, np.inf, self.ring_gap)

    @cached_property
    def seated_travel(self) -> Any:
        """Travel at which the springs first carry: 0 unless the stack hangs loose."""
        slack = np.maximum(-self.preload, 0.0)
        return slack if self.divider_hangs else np.minimum(slack, np.minimum(*self._gaps))[()]

    def _ended(self, *endless: int, ring: bool = True) -> _Series:
        """Return the series with its rings; springs named in `endless` never bind."""
        most = list(self._most(*endless))
        helper_gap, gap = self._gaps
        lifted = 0.0 if self.divider_hangs else self.seated_travel
        helper_0, tender_0, _ = self._at_extension
        most[HELPER] = np.minimum(most[HELPER], np.maximum(helper_gap - lifted, 0.0) + helper_0)
        if ring:
            stop = self._reached_force(most, np.maximum(gap - lifted, 0.0) + helper_0 + tender_0)
            for index in (HELPER, TENDER):
                with np.errstate(invalid="ignore"):
                    own = np.where(self._softness[index] > 0.0, self._softness[index] * stop, 0.0)
                most[index] = np.minimum(most[index], own)
        return _Series(self._softness, tuple(most))

    def _reached_force(self, most: Any, wanted: Any) -> Any:
        return _reached(self._softness, most, wanted)

    @cached_property
    def _series(self) -> _Series:
        return self._ended()

    @cached_property
    def _own_most(self) -> Any:
        return self._ended(TENDER, MAIN, ring=False).most[HELPER]

    @cached_property
    def _never_bound_tender(self) -> _Series:
        return self._ended(TENDER, MAIN)

    @cached_property
    def _never_bound_main(self) -> _Series:
        return self._ended(MAIN)

    # --- where things happen ---

    @cached_property
    def first_rate(self) -> Any:
        """Rate of all springs together, before the helper closes."""
        return 1.0 / sum(self._softness)

    @cached_property
    def helper_closed_travel(self) -> Any:
        """Travel from which the helper shortens no further if the ring under the tender does not come before.

        Below 0 where it is closed at full extension.
        """
        series = self._ended(TENDER, MAIN, ring=False)
        return series.shortened(series.ends_at(HELPER)) - self.start

    @cached_property
    def crossover_travel(self) -> Any:
        """Travel at which the tender's divider meets its ring, if neither tender nor main binds before."""
        series = self._ended(TENDER, MAIN, ring=False)
        helper_0, tender_0, _ = self._at_extension
        lifted = 0.0 if self.divider_hangs else self.seated_travel
        wanted = np.maximum(self._gaps[1] - lifted, 0.0) + helper_0 + tender_0
        stop = self._reached_force(series.most, wanted)
        with np.errstate(invalid="ignore"):
            return np.where(np.isinf(stop), np.inf, series.shortened(stop) - self.start)[()]

    @cached_property
    def tender_bind_travel(self) -> Any:
        """Travel at which the tender would bind, if there were no ring below it; infinite without a solid length."""
        series = self._ended(MAIN, ring=False)
        with np.errstate(invalid="ignore"):
            found = series.shortened(series.ends_at(TENDER)) - self.start
        return np.where(self.single | np.isinf(self.tender_stroke), np.inf, found)[()]

    @cached_property
    def step_travel(self) -> Any:
        """Travel at which the tender's work ends, or the main binds before: past it the rate is another."""
        force = np.minimum(self._series.ends_at(TENDER), self._series.ends_at(MAIN))
        with np.errstate(invalid="ignore"):
            found = self._series.shortened(force) - self.start
        return np.where(self.single | np.isinf(force), np.inf, found)[()]

    @cached_property
    def solid_travel(self) -> Any:
        """Travel at which nothing can shorten any more; infinite without solid lengths."""
        return self._series.solid - self.start

    def pieces(self) -> tuple[tuple[Any, Any], ...]:
        """Return where the stack begins to carry and where it stiffens, each with the rate that is added there."""
        series = self._series
        both = np.broadcast_arrays(*(series.ends_at(index) for index in _ALL), *self._softness)
        ends, softness = np.stack(both[:3]), np.stack(both[3:])
        order = np.argsort(ends, axis=0, kind="stable")
        ends, softness = (np.take_along_axis(values, order, axis=0) for values in (ends, softness))
        found: list[tuple[Any, Any]] = []
        before: Any = 0.0
        for index in _ALL:
            left = np.sum(softness[index:], axis=0)
            # Where nothing is left the stack is solid, which is told apart.
            rate = np.where(left > 0.0, 1.0 / np.where(left > 0.0, left, 1.0), before)
            with np.errstate(invalid="ignore"):
                place = -self.start if index == 0 else series.shortened(ends[index - 1]) - self.start
            found.append((np.where(np.isfinite(place), place, np.inf)[()], (rate - before)[()]))
            before = rate
        return tuple(found)

    # --- along the travel ---

    def force(self, travel: Numbers) -> Any:
        """Return the springs' force at a travel."""
        return self._series.force(self.start + travel)

    def rate(self, travel: Numbers) -> Any:
        """Return the rate at a travel; at a breakpoint, the one that further bump meets."""
        shortening, series = self.start + travel, self._series
        softness: Any = 0.0
        for index in _ALL:
            with np.errstate(invalid="ignore"):
                works = shortening < series.shortened(series.ends_at(index))
            softness = softness + np.where(works, series.softness[index], 0.0)
        with np.errstate(divide="ignore"):
            rate = np.where((softness <= 0.0) | (shortening >= series.solid), np.inf, 1.0 / softness)
        return np.where(shortening < 0.0, 0.0, rate)[()]

    def energy(self, travel: Numbers) -> Any:
        """Return the work put into the springs between full extension and a travel: rings and dividers take none."""
        shortening = self.start + travel
        inside = np.minimum(shortening, self._series.solid)
        stored = self._stored(inside) - self._stored(self.start)
        return np.where(shortening > self._series.solid, np.inf, stored)[()]

    def _stored(self, shortening: Any) -> Any:
        each = self._series.each(self._series.force(np.maximum(shortening, 0.0)))
        rates = (self.helper_rate, self.tender_rate, self.main_rate)
        with np.errstate(invalid="ignore"):
            parts = (
                np.where(gone, 0.0, np.where(gone, 0.0, rate) * one**2 / 2)
                for gone, rate, one in zip(self._absent, rates, each, strict=True)
            )
            return sum(parts)

    def travel_at(self, load: Numbers, extra_force: Numbers = 0.0, extra_rate: Numbers = 0.0) -> Any:
        """Return the travel at which the springs and an extra force carry a load along the coil-over.

        Where the extra force falls with travel faster than some of the springs gain, these hold nothing up.
        """
        carried = np.asarray(load, dtype=np.float64) - extra_force
        found: Any = self.solid_travel
        for softness, ended in self._series.lines:
            gains = 1.0 + extra_rate * softness
            holds = (softness > 0.0) & (gains > 0.0)
            line = (carried * softness + ended - self.start) / np.where(holds, gains, 1.0)
            found = np.minimum(found, np.where(holds, line, np.inf))
        return found[()] if isinstance(found, np.ndarray) else found

    def turned(self, *, adjuster: Numbers = 0.0, ring: Numbers = 0.0) -> HelpedCurve:
        """Return the stack after the adjuster is run down and the tender's ring run up the body, each by a length.

        Running the adjuster down leaves both rings where they stand, so each gap grows by what the springs above it
        are not shortened by. A loose stack's dividers go along with an adjuster that they hang on, and stay on the main.
        """

        def with_gaps(helper_gap: Any, gap: Any) -> HelpedCurve:
            return HelpedCurve(
                helper_rate=self.helper_rate,
                helper_stroke=self.helper_stroke,
                helper_ring_gap=helper_gap,
                tender_rate=self.tender_rate,
                tender_stroke=self.tender_stroke,
                ring_gap=gap,
                main_rate=self.main_rate,
                main_stroke=self.main_stroke,
                preload=self.preload + adjuster,
                divider_hangs=self.divider_hangs,
            )

        helper, tender, _ = (
            after - before
            for after, before in zip(with_gaps(None, None)._at_extension, self._at_extension, strict=True)
        )
        pressed, seated = self._turned_on(adjuster)
        return with_gaps(
            self.helper_ring_gap + pressed + seated - helper,
            self.ring_gap + pressed + seated - helper - tender + ring,
        )

    # --- each spring ---

    def helper_compression(self, travel: Numbers) -> Any:
        """Return how far the helper is shortened from its free length at a travel."""
        return self._series.each(self.force(travel))[HELPER]

    def helper_open(self, travel: Numbers) -> Any:
        """Return how far the helper is from closed, or from its own ring, at a travel; 0 where it is there."""
        return np.maximum(self._own_most - self.helper_compression(travel), 0.0)

    def tender_compression(self, travel: Numbers) -> Any:
        """Return how far the tender is shortened from its free length at a travel."""
        return self._series.each(self.force(travel))[TENDER]

    def main_compression(self, travel: Numbers) -> Any:
        """Return how far the main is shortened from its free length at a travel."""
        helper, tender, _ = self._series.each(self.force(travel))
        return np.maximum(self.start + travel, 0.0) - helper - tender

    def divider_rise(self, travel: Numbers) -> Any:
        """Return how far the divider between tender and main has moved up the body since full extension."""
        lifted = 0.0 if self.divider_hangs else np.minimum(self.seated_travel, travel)
        moved = self.helper_compression(travel) + self.tender_compression(travel)
        return lifted + moved - self.helper_compression(0.0) - self.tender_compression(0.0)

    def seat_to_divider(self, tender_free_length: Numbers) -> Any:
        """Return the distance from the upper spring seat to the divider's top at full extension.

        Given is all that stands above it, unloaded: helper, its divider, and tender.
        """
        fallen = 0.0 if self.divider_hangs else np.maximum(-self.preload, 0.0)
        return tender_free_length - self.helper_compression(0.0) - self.tender_compression(0.0) + fallen

    def tender_left(self, travel: Numbers) -> Any:
        """Return what the tender has left before it binds, at a travel; negative when it falls short of the ring."""
        series = self._never_bound_tender
        return self.tender_stroke - series.each(series.force(self.start + travel))[TENDER]

    def main_left(self, travel: Numbers) -> Any:
        """Return what the main has left before it binds, at a travel; negative when it cannot go so far."""
        series, shortening = self._never_bound_main, np.maximum(self.start + travel, 0.0)
        helper, tender, _ = series.each(series.force(shortening))
        return self.main_stroke - (shortening - helper - tender)


def stack_curve(
    *,
    helper_rate: Numbers | None = None,
    helper_stroke: Numbers | None = None,
    helper_ring_gap: Numbers | None = None,
    **springs: Any,
) -> StackCurve:
    """Return the curve of a stack, with a helper where one is given (None or infinite rates are none).

    >>> type(stack_curve(main_rate=3e4, preload=0.0)).__name__
    'StackCurve'
    """
    if helper_rate is None or np.all(np.isinf(helper_rate)):
        return StackCurve(**springs)
    return HelpedCurve(helper_rate=helper_rate, helper_stroke=helper_stroke, helper_ring_gap=helper_ring_gap, **springs)
