"""A smooth curve through measured points that rises wherever they rise, and the energy that it takes from one swing."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
# Each piece is a cubic of a sine: so many nodes take it to the last bits.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(20)


@dataclass(frozen=True)
class MonotoneCurve:
    """Cubic pieces through points of rising place, with slopes that never let it overshoot.

    Source: Fritsch and Carlson, 1980, with the weighted harmonic mean of Fritsch and Butland, 1984, from memory.

    >>> curve = MonotoneCurve(np.array([0.0, 1.0, 2.0]), np.array([0.0, 1.0, 1.0]))
    >>> float(curve.at(0.5)), float(curve.at(1.5))
    (0.6875, 1.0)
    """

    places: Array
    heights: Array

    @cached_property
    def slopes(self) -> Array:
        """The slope at each point."""
        steps = np.diff(self.places)
        rises = np.diff(self.heights) / steps
        if len(rises) == 1:
            return np.repeat(rises, 2)
        found = np.zeros_like(self.places)
        left, right = rises[:-1], rises[1:]
        same = left * right > 0
        first, second = 2 * steps[1:] + steps[:-1], steps[1:] + 2 * steps[:-1]
        safe_left, safe_right = np.where(same, left, 1.0), np.where(same, right, 1.0)
        found[1:-1] = np.where(same, (first + second) / (first / safe_left + second / safe_right), 0.0)
        found[0] = _end(steps[0], steps[1], rises[0], rises[1])
        found[-1] = _end(steps[-1], steps[-2], rises[-1], rises[-2])
        return found

    def at(self, place: Any) -> Any:
        """Return the height at places between the first and the last point."""
        where = np.asarray(place, dtype=np.float64)
        piece = np.clip(np.searchsorted(self.places, where, side="right") - 1, 0, len(self.places) - 2)
        step = self.places[piece + 1] - self.places[piece]
        along = (where - self.places[piece]) / step
        low, high = self.heights[piece], self.heights[piece + 1]
        rise, fall = self.slopes[piece] * step, self.slopes[piece + 1] * step
        return (
            low * (1 + 2 * along) * (1 - along) ** 2
            + high * along**2 * (3 - 2 * along)
            + rise * along * (1 - along) ** 2
            - fall * along**2 * (1 - along)
        )[()]

    def half_swing_energy(self, amplitude: Any, peak_speed: Any) -> Any:
        """Return what a force of this shape takes out of half of one sine swing, from end to end.

        The places are speeds, from 0 to beyond the peak speed.
        """
        peak = np.asarray(peak_speed, dtype=np.float64)[..., None]
        knots = np.arcsin(np.clip(self.places / peak, 0.0, 1.0))
        middle, half = (knots[..., 1:] + knots[..., :-1]) / 2, (knots[..., 1:] - knots[..., :-1]) / 2
        angles = middle[..., None] + half[..., None] * _NODES
        sines = np.sin(angles)
        parts = (self.at(peak[..., None] * sines) * sines * _WEIGHTS).sum(axis=-1) * half
        return 2 * amplitude * parts.sum(axis=-1)[()]


def _end(near: float, far: float, near_rise: float, far_rise: float) -> float:
    """The slope at an end, from the two pieces next to it, kept from overshooting."""
    slope = ((2 * near + far) * near_rise - near * far_rise) / (near + far)
    if slope * near_rise <= 0:
        return 0.0
    if near_rise * far_rise <= 0 and abs(slope) > 3 * abs(near_rise):
        return 3 * near_rise
    return float(slope)
