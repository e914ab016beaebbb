"""The built rig as an estimate: how stiff, how long and how heavy it must be for its heights and scale readings.

Unknown at each corner are the rate of its springs, as a share of what they are sold as, and how much longer or shorter
they stand; unknown of the body are the loads on both axles and across, and of the dampers how warm their gas is (one
temperature for all four). The whole rig at rest (calc/whole/at_rest.py) says
what heights and tire loads follow, and weighted least squares asks what fits best. Tolerances and the first weighing
count as readings of their own: which of them are used decides what is asked (`Known`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc import vocabulary
from calc.constants import ATMOSPHERE, GRAVITY
from calc.damper.gas import ROOM
from calc.ride._rest import Rest, solve
from calc.ride._rest_energy import Array
from calc.rig.entries import AXLES, CORNERS
from calc.rig.readings import Proof, State
from calc.rig.rig import Rig
from calc.spring._helped_curve import stack_curve
from calc.spring._stack_curve import StackCurve
from calc.units import INCH
from calc.whole.at_rest import Stand, stands

# Springs of one corner may be that much longer or shorter (k = 2), each; their rates are off by the share of a new spring.
LENGTH_TOLERANCE = vocabulary.free_length.plus_minus
RATE_TOLERANCE = vocabulary.spring_rate.plus_minus_share
# Where the rates are asked, both sides of an axle have the same springs: this much apart (k = 2). Ours, practice.
SIDES_TOLERANCE = 2.0 * RATE_TOLERANCE
# What friction leaves open (k = 2): of half the difference of two readings, and where only one was taken. Ours, practice.
FRICTION_SHARE = 0.5
FRICTION_UNREAD = 0.2 * INCH

RATE, LONGER, LOAD, WARMTH = slice(0, 4), slice(4, 8), slice(8, 11), 11
COUNT = 12
# Steps for the slopes: share of rate, length, mass on the front, on the rear, moment to the left, and warmth of the gas.
_STEP = np.array([1e-4] * 4 + [1e-5] * 4 + [0.2, 0.2, 0.2, 1.0])
_LARGEST = np.array([0.25] * 4 + [0.5 * INCH] * 4 + [200.0, 200.0, 150.0, 40.0])
_SIZES = (1.0, 0.5, 0.25, 0.1, 0.02)
_MOST_ROUNDS = 40
# Between two bends of the springs' curves the steps may go to and fro for ever. So many rounds in which the misfit does not
# become less by this share are the end of a fit that does not settle.
_GAIN, _PATIENCE = 0.999, 5
_STILL = 1e-5
# Beyond these nothing is a rig of these springs any more, and the readings are told to be wrong: shares and a length.
# A seized divider makes a stack several times as stiff.
_LEAST_RATE, _MOST_RATE, _MOST_LOAD, _MOST_LONGER, _MOST_WARMTH = -0.75, 4.0, 0.75, 6 * INCH, 200.0
# A step so short goes its whole way: no breakpoint of a spring is worth a search on it.
_NEAR = 0.05
# A load whose doubt is left at nothing would be known beyond any scale.
_LEAST_DOUBT = 0.5
# What counts as known of the gas of cold dampers: this many degrees move no height that could be read.
_SAME_TEMPERATURE = 0.01


@dataclass(frozen=True, kw_only=True)
class Known:
    """What counts as known: the rates as sold, the loads as first weighed, the readings of the second weighing.

    `alike`: that both sides of an axle have the same springs, whatever their rate is.
    """

    rates: bool
    loads: bool
    pads: bool
    alike: bool


# One state gives the load at the assumed rate, or the rate at the assumed load; two tell them apart; and all together.
LOADS = Known(rates=True, loads=False, pads=False, alike=False)
RATES = Known(rates=False, loads=True, pads=False, alike=True)
BOTH = Known(rates=False, loads=False, pads=True, alike=False)
BOTH_ALIKE = Known(rates=False, loads=False, pads=False, alike=True)
ALL = Known(rates=True, loads=True, pads=True, alike=False)


@dataclass(frozen=True, kw_only=True, eq=False)
class Outputs:
    """What follows at the corners, a row for each set of unknowns: heights as they are read, forces, tire masses."""

    height: Array
    travel: Array
    force: Array
    tire: Array
    cross: Array
    stands: bool


@dataclass(frozen=True, kw_only=True, eq=False)
class Fit:
    """The unknowns that fit best, how sure they are, and what follows from them in the first state."""

    values: Array
    covariance: Array
    outputs: Outputs
    slopes: dict[str, Array]

    def doubt(self, of: str) -> Array:
        """Return the plus-minus (k = 2) of the corners' "height", "force" or "tire"."""
        slope = self.slopes[of]
        return np.asarray(2.0 * np.sqrt(np.einsum("ij,jk,ik->i", slope, self.covariance, slope)))

    @cached_property
    def rate(self) -> Array:
        """Each corner's rate as a share of what its springs are sold as."""
        return np.asarray(1.0 + self.values[RATE])

    @cached_property
    def rate_doubt(self) -> Array:
        """The plus-minus (k = 2) of that share."""
        return np.asarray(2.0 * np.sqrt(np.diag(self.covariance)[RATE]))

    @cached_property
    def longer(self) -> Array:
        """How much longer (or shorter, below 0) each corner's springs stand than they are sold."""
        return np.asarray(self.values[LONGER])


@dataclass(frozen=True, kw_only=True, eq=False)
class Readings:
    """What one state says, corners in order; what was not read is nan. Doubts are standard deviations."""

    height: Array
    height_doubt: Array
    pad: Array
    pad_doubt: float


def readings(state: State, proof: Proof) -> Readings:
    """Return what one state says."""
    heights, doubts, pads = [], [], []
    for corner in CORNERS:
        one = state.at(corner)
        heights.append(np.nan if one.height is None else one.height)
        doubts.append(height_doubt(one.half_difference, proof.doubt) / 2.0)
        pads.append(np.nan if one.pad is None else one.pad)
    return Readings(
        height=np.array(heights),
        height_doubt=np.array(doubts),
        pad=np.array(pads),
        pad_doubt=vocabulary.corner_mass.plus_minus / 2.0,
    )


def height_doubt(half_difference: float | None, reading: float) -> float:
    """Return the plus-minus (k = 2) of a height: of the tape, and of friction that pulls unlike up and down.

    >>> round(height_doubt(0.005, 0.0016), 5), round(height_doubt(None, 0.0016), 5)
    (0.00274, 0.00533)
    """
    if half_difference is None:
        return float(np.hypot(reading, FRICTION_UNREAD))
    return float(np.hypot(reading / np.sqrt(2.0), FRICTION_SHARE * abs(half_difference)))


@dataclass(frozen=True, kw_only=True, eq=False)
class Model:
    """The built rig in its states, ready to be asked what follows from any unknowns.

    `stacks` are the springs of each state at its settings. `ride_heights`, front and rear, is the hub's height at the
    length where the lean was read; None where damper lengths are read. `gas_temperature` is what the gas is taken at, with
    its plus-minus; all of it counts from the temperature at which the dampers were charged.
    """

    ready: tuple[Stand, ...]
    stacks: tuple[StackCurve, ...]
    readings: tuple[Readings, ...]
    ride_heights: tuple[float, float] | None
    weighed: Array
    pieces: Array
    start: tuple[Array, ...]
    gas_temperature: tuple[float, float] = (ROOM, 0.0)

    def outputs(self, unknowns: Array, state: int, stacks: StackCurve | None = None) -> Outputs:
        """Return what follows in one state, a row for each row of unknowns; other settings may be given."""
        rest = self.rest(unknowns, state, stacks)
        if self.ride_heights is None:
            height = rest.damper_length
        else:
            height = np.repeat(np.array([self.ride_heights]), 2, axis=1) - rest.wheel_height
        return Outputs(
            height=height,
            travel=rest.travel,
            force=rest.axial_force,
            tire=rest.tire_load / GRAVITY,
            cross=rest.cross_share,
            stands=all(stands(int(status)) for status in rest.status),
        )

    def rest(self, unknowns: Array, state: int, stacks: StackCurve | None = None) -> Rest:
        """Return the rest of one state, a rig for each row of unknowns."""
        ready = self.ready[state]
        rigs = ready.rigs(changed(self.stacks[state] if stacks is None else stacks, unknowns))
        loads = {name: np.asarray(value[0], dtype=np.float64) for name, value in ready.by_case.items()}
        wheelbase = loads["front_arm"] + loads["rear_arm"]
        weight = loads["sprung_weight"]
        front, rear, moment = (GRAVITY * unknowns[:, 8 + place] for place in range(3))
        total = weight + front + rear
        # Absolute pressure rises with absolute temperature (calc/damper/gas.py).
        warmth = (self.gas_temperature[0] + unknowns[:, WARMTH, None]) / ROOM
        pressure = (rigs.forces.gas_pressure + ATMOSPHERE) * warmth - ATMOSPHERE
        behind = (weight * loads["front_arm"] + rear * wheelbase) / total
        return solve(
            replace(
                rigs,
                sprung_weight=total,
                front_arm=behind,
                rear_arm=wheelbase - behind,
                sprung_left=(weight * loads["sprung_left"] + moment) / total,
                forces=replace(rigs.forces, gas_pressure=pressure),
            ),
            start=self.start[state],
        )

    def slopes(self, values: Array, state: int) -> tuple[Outputs, dict[str, Array]]:
        """Return what follows in one state, and how the corners' answers change with each unknown."""
        moved = np.concatenate([values[None], values + np.diag(_STEP), values - np.diag(_STEP)])
        found = self.outputs(moved, state)
        ups, downs = slice(1, COUNT + 1), slice(COUNT + 1, None)
        slopes = {
            name: (getattr(found, name)[ups] - getattr(found, name)[downs]).T / (2.0 * _STEP)
            for name in ("height", "force", "tire")
        }
        return _first(found), slopes

    @cached_property
    def unmoved(self) -> tuple[tuple[Outputs, dict[str, Array]], ...]:
        """What `slopes` gives where everything is as it was sold and weighed, state by state: every fit begins there."""
        return tuple(self.slopes(np.zeros(COUNT), state) for state in range(len(self.ready)))

    def precision(self, known: Known) -> Array:
        """Return what is known before any height is read, as the inverse of a covariance."""
        found = np.zeros((COUNT, COUNT))
        place = np.arange(COUNT)
        if known.rates:
            found[place[RATE], place[RATE]] = (2.0 / RATE_TOLERANCE) ** 2
        if known.alike:
            for left in (0, 2):
                apart = np.zeros(COUNT)
                apart[left], apart[left + 1] = 2.0 / SIDES_TOLERANCE, -2.0 / SIDES_TOLERANCE
                found += np.outer(apart, apart)
        found[place[LONGER], place[LONGER]] = 4.0 / (LENGTH_TOLERANCE**2 * self.pieces)
        if known.loads:
            found[LOAD, LOAD] = np.linalg.inv(self.weighed)
        found[WARMTH, WARMTH] = (2.0 / max(self.gas_temperature[1], _SAME_TEMPERATURE)) ** 2
        return found

    def predicted(self) -> tuple[Outputs, Array]:
        """Return what follows when everything is as it was sold and weighed, and the heights' plus-minus (k = 2)."""
        outputs, slopes = self.unmoved[0]
        covariance = np.linalg.inv(self.precision(ALL))
        doubt = 2.0 * np.sqrt(np.einsum("ij,jk,ik->i", slopes["height"], covariance, slopes["height"]))
        return outputs, np.asarray(doubt)

    def warmth_doubt(self) -> Array:
        """Return the part of those heights' plus-minus (k = 2) that the warmth of the gas makes."""
        return np.asarray(np.abs(self.unmoved[0][1]["height"][:, WARMTH]) * self.gas_temperature[1])

    def fit(self, known: Known) -> Fit | None:
        """Return what fits best, by weighted least squares; None where the readings do not settle it."""
        prior = self.precision(known)
        values = np.zeros(COUNT)
        least, idle = np.inf, 0
        for _ in range(_MOST_ROUNDS):
            curvature, slope = prior.copy(), prior @ values
            off = float(values @ slope)
            first: tuple[Outputs, dict[str, Array]] | None = None
            for state in range(len(self.ready)):
                outputs, slopes = self.slopes(values, state) if np.any(values) else self.unmoved[state]
                if not outputs.stands:
                    return None
                first = first or (outputs, slopes)
                for name, read, doubt in self._read(state, known):
                    taken = np.isfinite(read)
                    rows = slopes[name][taken] / doubt[taken, None]
                    missed = (getattr(outputs, name)[0] - read)[taken] / doubt[taken]
                    curvature += rows.T @ rows
                    slope += rows.T @ missed
                    off += float(missed @ missed)
            # Unlike units: a share, a length and a mass are compared by what they may be off.
            scale = 1.0 / np.sqrt(np.maximum(np.diag(curvature), 1e-300))
            scaled = curvature * scale[:, None] * scale[None, :]
            if np.linalg.cond(scaled) > 1e12:
                return None
            step = -scale * np.linalg.solve(scaled, scale * slope)
            if np.all(np.abs(step) <= _STILL * _LARGEST) and first is not None:
                covariance = scale[:, None] * np.linalg.inv(scaled) * scale[None, :]
                return Fit(values=values, covariance=covariance, outputs=first[0], slopes=first[1])
            least, idle = (off, 0) if off < _GAIN * least else (least, idle + 1)
            if idle > _PATIENCE:
                return None
            step = step * min(1.0, float(np.min(_LARGEST / np.maximum(np.abs(step), 1e-300))))
            near = bool(np.all(np.abs(step) <= _NEAR * _LARGEST))
            tried = values + np.array((1.0,) if near else _SIZES)[:, None] * step
            tried = tried[self._possible(tried)]
            if len(tried) == 0:
                return None
            values = tried[0] if len(tried) == 1 else self._best(tried, prior, known)
        return None

    def _read(self, state: int, known: Known) -> Sequence[tuple[str, Array, Array]]:
        one = self.readings[state]
        found = [("height", one.height, one.height_doubt)]
        if known.pads:
            found.append(("tire", one.pad, np.full(4, one.pad_doubt)))
        return found

    def _possible(self, tried: Array) -> NDArray[np.bool_]:
        """Tell which rows are rigs at all: springs that push, of some length, under some weight."""
        loads = {name: float(value[0]) for name, value in self.ready[0].by_case.items() if np.ndim(value[0]) == 0}
        wheelbase = loads["front_arm"] + loads["rear_arm"]
        mass = loads["sprung_weight"] / GRAVITY / wheelbase * np.array([loads["rear_arm"], loads["front_arm"]])
        rate = tried[:, RATE]
        found = np.all(
            (rate >= _LEAST_RATE) & (rate <= _MOST_RATE) & (np.abs(tried[:, LONGER]) <= _MOST_LONGER), axis=1
        )
        found &= np.abs(tried[:, WARMTH]) <= _MOST_WARMTH
        return np.asarray(found & np.all(np.abs(tried[:, 8:10]) <= _MOST_LOAD * mass, axis=1))

    def _best(self, tried: Array, prior: Array, known: Known) -> Array:
        """Return the best of some lengths of the step: past a ring or a stop the whole of it may be too far."""
        missed = np.einsum("ij,jk,ik->i", tried, prior, tried)
        for state in range(len(self.ready)):
            outputs = self.outputs(tried, state)
            for name, read, doubt in self._read(state, known):
                taken = np.isfinite(read)
                missed += (((getattr(outputs, name) - read)[:, taken] / doubt[taken]) ** 2).sum(axis=1)
        return np.asarray(tried[int(np.argmin(missed))])


def changed(stacks: StackCurve, unknowns: Array) -> StackCurve:
    """Return the springs of one set (1, 4) as each row of unknowns has them, of shape (rows, 4)."""
    share, longer = 1.0 + unknowns[:, RATE], unknowns[:, LONGER]
    level = np.zeros_like(share)
    values: dict[str, Any] = {
        "main_rate": stacks.main_rate * share,
        "tender_rate": stacks.tender_rate * share,
        "helper_rate": stacks.helper_rate * share,
        "preload": stacks.preload + longer,
    }
    for name in ("ring_gap", "tender_stroke", "main_stroke", "helper_stroke", "helper_ring_gap"):
        values[name] = getattr(stacks, name) + level
    return stack_curve(**values)


def weighed_covariance(rig: Rig) -> Array:
    """Return how sure the first weighing is of the loads on both axles and of the moment to the left."""
    covariance = np.zeros((3, 3))
    for place, axle in enumerate(AXLES):
        half = float(rig.get(f"{axle}.track")) / 2.0
        for side, way in (("left", 1.0), ("right", -1.0)):
            known = rig.known(f"{side}_{axle}.corner_mass")
            slope = np.zeros(3)
            slope[place], slope[2] = 1.0, way * half
            doubt = max(_LEAST_DOUBT, 0.0 if known is None else known.plus_minus) / 2.0
            covariance += doubt**2 * np.outer(slope, slope)
        unsprung = rig.known(f"{axle}.unsprung_mass")
        covariance[place, place] += (0.0 if unsprung is None else unsprung.plus_minus / 2.0) ** 2
    return covariance


def _first(found: Outputs) -> Outputs:
    return Outputs(
        height=found.height[:1],
        travel=found.travel[:1],
        force=found.force[:1],
        tire=found.tire[:1],
        cross=found.cross[:1],
        stands=found.stands,
    )
