"""One axle's coil-over without its springs: where its eyes are, its gas, its stops and its hardware.

Everything takes arrays: a search gives it thousands of spring sets at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from calc import alive
from calc.constants import ATMOSPHERE
from calc.heave_path import FLATTEST, HeavePath
from calc.spring._stack_curve import Numbers, StackCurve

_MOST_TURNS = 60
_ENOUGH = 1e-12


@dataclass(frozen=True, kw_only=True)
class Coilover:
    """The damper between its mounts, with all lengths in SI, travel counted from full extension.

    `eye_offset` is how far the upper eye stands inboard of the lower one: it stays the same in heave, so the lean
    and with it the motion ratio follow from the damper's length alone.
    A motion ratio measured otherwise is given as `ratio`, with `ratio_slope` as it changes with wheel travel, at the
    damper's length `ratio_length`; at other lengths it follows from these.
    A study of doubt gives each number as an array of draws.
    """

    extended_length: float
    bump_limit: float
    strap_travel: float = 0.0
    eye_offset: float = 0.0
    ratio: float | None = None
    ratio_slope: float = 0.0
    ratio_length: float = 1.0
    gas_pressure: float = 0.0
    gas_volume: float = 1.0
    rod_area: float = 0.0

    @cached_property
    def path(self) -> HeavePath:
        """How its length goes with wheel travel."""
        if self.ratio is None:
            return HeavePath.of_eyes(self.eye_offset)
        return HeavePath.measured(ratio=self.ratio, slope=self.ratio_slope, length=self.ratio_length)

    @property
    def ratio_left(self) -> Any:
        """What the square of the motion ratio, where it is least in the damper's travel, is above what can be: 0 at least."""
        ends = self.extended_length, self.extended_length - self.bump_limit
        least = np.minimum(*(self.path.ratio_squared(length) for length in ends))
        return least if self.ratio is None else least - (FLATTEST * self.ratio) ** 2

    def motion_ratio(self, travel: Numbers) -> Any:
        """Return damper travel per wheel travel at a damper travel."""
        return self.path.ratio(self.extended_length - travel)

    def motion_ratio_slope(self, travel: Numbers) -> Any:
        """Return how the motion ratio changes with wheel travel."""
        return self.path.slope(self.extended_length - travel)

    def wheel_travel(self, start: Numbers, end: Numbers) -> Any:
        """Return how far the wheel rises between two damper travels, both wheels together."""
        return self.path.wheel_travel(self.extended_length - np.asarray(start), self.extended_length - np.asarray(end))

    def gas_force(self, travel: Numbers) -> Any:
        """Return the gas force, slow enough to stay at the same temperature (as for sag)."""
        return self._gas_force(self._squeeze(travel)) if self._gassed else 0.0 * travel

    def gas_rate(self, travel: Numbers) -> Any:
        """Return how the gas force grows with damper travel."""
        return self._gas_rate(self._squeeze(travel)) if self._gassed else 0.0 * travel

    def _gas(self, travel: Numbers) -> tuple[Any, Any]:
        """Return the gas force and how it grows."""
        if not self._gassed:
            return 0.0 * travel, 0.0 * travel
        squeeze = self._squeeze(travel)
        return self._gas_force(squeeze), self._gas_rate(squeeze)

    def _gas_force(self, squeeze: Any) -> Any:
        return (self._absolute * squeeze - ATMOSPHERE) * self.rod_area

    def _gas_rate(self, squeeze: Any) -> Any:
        return self._absolute * squeeze**2 * self._area_squared / self.gas_volume

    @cached_property
    def _gassed(self) -> bool:
        return bool(np.any(self.rod_area))

    @cached_property
    def _absolute(self) -> float:
        return self.gas_pressure + ATMOSPHERE

    @cached_property
    def _area_squared(self) -> Any:
        return self.rod_area**2

    def _squeeze(self, travel: Numbers) -> Any:
        return 1.0 / (1.0 - self.rod_area * np.asarray(travel) / self.gas_volume)

    def axial_load(self, support_load: Numbers, travel: Numbers) -> Any:
        """Return the force along the coil-over that holds up a support load at the wheel."""
        return support_load / self.motion_ratio(travel)

    def spring_force(self, support_load: Numbers, travel: Numbers) -> tuple[Any, Any]:
        """Return what the springs must give at a travel to hold up a support load, and how that grows with travel.

        Beyond the damper's own travel motion ratio and gas rate are held at its ends, where a limit fails anyway.
        """
        inside = np.clip(travel, 0.0, self.bump_limit)
        # The ratio falls with travel by its edge over length cubed and itself, and the force grows as it falls.
        path, length = self.path, self.extended_length - inside
        share = path.edge / (length * length)
        squared = path.square - share
        axial = support_load / np.sqrt(squared)
        gas_force, gas_rate = self._gas(inside)
        force = axial - gas_force - gas_rate * (travel - inside)
        grows = axial * share / (squared * length)
        return force, np.where(inside == travel, grows, 0.0) - gas_rate

    def ride_travel(self, stack: StackCurve, support_load: Numbers, start: Numbers) -> Any:
        """Return the travel at which springs and gas hold up a support load.

        Gas and motion ratio are taken straight at the last estimate and the balance is solved again, until it stands
        still. Beyond the damper's own travel the estimate is held at its ends, where a limit fails anyway.
        Of several sets in rows of draws each row comes to rest by itself, to the last bit as if it were solved alone.
        """
        travel = np.asarray(start, dtype=np.float64)
        steepest = stack.stack_rate / 2
        rests: Any = False
        for _ in range(_MOST_TURNS):
            alive.beat()
            force, slope = self.spring_force(support_load, travel)
            # A line that rises nearly as fast as the springs' own would throw the estimate far off.
            slope = np.minimum(slope, steepest)
            moved = stack.travel_at(force - slope * travel, extra_rate=-slope)
            change = np.abs(moved - travel)
            travel = moved if rests is False else np.where(rests, travel, moved)
            if np.max(change, initial=0.0) <= _ENOUGH:
                break
            if travel.ndim > 1:
                rests = rests | (np.max(change, axis=-1, keepdims=True) <= _ENOUGH)
                if np.all(rests):
                    break
                rests = rests if np.any(rests) else False
        return travel

    def wheel_rate(self, spring_rate: Numbers, force: Numbers, travel: Numbers) -> Any:
        """Return the wheel rate: springs and gas through the motion ratio, and the part that its change brings."""
        axial_rate = spring_rate + self.gas_rate(travel)
        return axial_rate * self.motion_ratio(travel) ** 2 + force * self.motion_ratio_slope(travel)


def ride_frequency(wheel_rate: Numbers, tire_rate: float, sprung_mass: Numbers) -> Any:
    """Return the ride frequency with the tire in series; 0 where the wheel rate is not positive."""
    soft = np.maximum(wheel_rate, 0.0)
    return np.sqrt(soft * tire_rate / (soft + tire_rate) / sprung_mass) / (2.0 * np.pi)
