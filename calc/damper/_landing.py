"""Force and energy of a corner from full droop until its pad is solid: springs with a crossover, gas, changing ratio, pad.

Travel counts up from ride: `along` the damper, or of the wheel. Every number may be an array; all broadcast together.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.constants import ATMOSPHERE
from calc.heave_path import HeavePath

# Gas that a bump compresses keeps its heat.
QUICK = 1.4


@dataclass(frozen=True, kw_only=True)
class Path:
    """How damper and wheel travel together: by a length that goes with heave, or by a ratio that stays without one."""

    ratio: Any
    length: Any = None
    heave: HeavePath | None = None

    def wheel(self, along: Any) -> Any:
        """Return the wheel travel at a damper travel."""
        if self.heave is None:
            return along / self.ratio
        return self.heave.wheel_travel(self.length, self.length - along)

    def along(self, wheel: Any) -> Any:
        """Return the damper travel at a wheel travel."""
        if self.heave is None:
            return self.ratio * wheel
        left = self.length**2 - 2 * self.length * self.ratio * wheel + self.heave.square * wheel**2
        return self.length - np.sqrt(left)

    def ratio_at(self, along: Any) -> Any:
        """Return the motion ratio at a damper travel."""
        return self.ratio + 0.0 * along if self.heave is None else self.heave.ratio(self.length - along)


@dataclass(frozen=True, kw_only=True)
class Springs:
    """Springs along the damper: one rate up to the crossover, another past it; loose where they would have to pull."""

    at_ride: Any
    rate: Any
    past: Any
    crossover: Any

    @property
    def at_crossover(self) -> Any:
        """The force at the crossover, which may lie below ride."""
        return np.maximum(self.at_ride + np.where(self.crossover >= 0, self.rate, self.past)[()] * self.crossover, 0.0)

    def force(self, along: Any) -> Any:
        """Return the force at a damper travel."""
        beyond = along - self.crossover
        before = np.maximum(self.at_crossover + self.rate * np.minimum(beyond, 0.0), 0.0)
        return before + self.past * np.maximum(beyond, 0.0)

    def energy(self, along: Any) -> Any:
        """Return what is stored at a damper travel; only differences count."""
        beyond = np.maximum(along - self.crossover, 0.0)
        before = np.maximum(self.at_crossover + self.rate * np.minimum(along - self.crossover, 0.0), 0.0)
        return before**2 / (2 * self.rate) + beyond * (self.at_crossover + self.past * beyond / 2)


@dataclass(frozen=True, kw_only=True)
class Gas:
    """The gas on the rod as a bump compresses it quickly, from what it settled at. Without gas the area is 0."""

    pressure: Any = ATMOSPHERE
    volume: Any = 1.0
    area: Any = 0.0

    def force(self, along: Any) -> Any:
        """Return the force at a damper travel."""
        squeezed = self.pressure * (self.volume / (self.volume - self.area * along)) ** QUICK
        return (squeezed - ATMOSPHERE) * self.area

    def energy(self, along: Any) -> Any:
        """Return what is stored at a damper travel; only differences count."""
        squeezed = (self.volume / (self.volume - self.area * along)) ** (QUICK - 1)
        return self.pressure * self.volume * (squeezed - 1.0) / (QUICK - 1) - ATMOSPHERE * self.area * along


@dataclass(frozen=True, kw_only=True)
class Pad:
    """The pad: touched at `gap` of its own travel, solid after `depth`; how it travels, and how much firmer it is hit."""

    gap: Any
    depth: Any
    rate: Any
    cubic: Any
    solid_rate: Any
    factor: Any

    def push(self, travel: Any) -> Any:
        """Return its force at its own travel."""
        squash = np.clip(travel - self.gap, 0.0, self.depth)
        beyond = np.maximum(travel - self.gap - self.depth, 0.0)
        return self.factor * (self.rate * squash + self.cubic * squash**3) + self.solid_rate * beyond

    def energy(self, travel: Any) -> Any:
        """Return what it has taken in at its own travel."""
        squash = np.clip(travel - self.gap, 0.0, self.depth)
        beyond = np.maximum(travel - self.gap - self.depth, 0.0)
        hit = self.rate * squash**2 / 2 + self.cubic * squash**4 / 4
        solid = self.rate * self.depth + self.cubic * self.depth**3
        return self.factor * (hit + solid * beyond) + self.solid_rate * beyond**2 / 2


@dataclass(frozen=True, kw_only=True)
class Corner:
    """A corner on all of them. `pad_ratio` is the pad's travel per wheel travel; None for a pad on the damper's rod."""

    path: Path
    springs: Springs
    gas: Gas
    pad: Pad
    pad_ratio: Any = None

    def pad_wheel(self, travel: Any) -> Any:
        """Return the wheel travel at a travel of the pad."""
        return self.path.wheel(travel) if self.pad_ratio is None else travel / self.pad_ratio

    @property
    def solid(self) -> Any:
        """The wheel travel at which the pad is solid."""
        return self.pad_wheel(self.pad.gap + self.pad.depth)

    def _places(self, wheel: Any) -> tuple[Any, Any, Any]:
        """Return damper travel, its ratio and the pad's travel; past solid, where next to nothing gives, the path is straight."""
        solid = self.solid
        inside = np.minimum(wheel, solid)
        along = self.path.along(inside)
        ratio = self.path.ratio_at(along)
        further = np.maximum(wheel - solid, 0.0)
        pad_ratio = ratio if self.pad_ratio is None else self.pad_ratio
        on_pad = along if self.pad_ratio is None else self.pad_ratio * inside
        return along, ratio, on_pad + pad_ratio * further

    def load(self, wheel: Any) -> Any:
        """Return what springs, gas and pad push at the wheel."""
        along, ratio, on_pad = self._places(wheel)
        further = np.maximum(wheel - self.solid, 0.0)
        pad_ratio = ratio if self.pad_ratio is None else self.pad_ratio
        axial = self.springs.force(along + ratio * further) + self.gas.force(along)
        return axial * ratio + self.pad.push(on_pad) * pad_ratio

    def energy(self, wheel: Any) -> Any:
        """Return what springs, gas and pad have stored; only differences count."""
        along, ratio, on_pad = self._places(wheel)
        further = ratio * np.maximum(wheel - self.solid, 0.0)
        gas = self.gas.energy(along) + self.gas.force(along) * further
        return self.springs.energy(along + further) + gas + self.pad.energy(on_pad)
