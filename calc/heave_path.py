"""How long a coil-over is as both wheels of an axle rise: from its eyes, or from a motion ratio that was measured.

Between two eyes of which one goes straight up, the square of the length is a parabola over wheel travel z:
L^2 = L0^2 - 2 L0 R0 z + q z^2 with q = 1. A measured ratio R0 that changes by R' gives q = R0^2 - L0 R'; a ratio that stays
gives q = R0^2, and the parabola is the square of a straight line. So one form serves every way of entering.
The ratio at any length is then sqrt(q - e / L^2) with e = L0^2 (q - R0^2), and its change with wheel travel is -e / L^3.
Everything takes arrays.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = float | NDArray[np.float64]

# Share of the motion ratio where it was measured below which it is not carried on: ours, no source.
FLATTEST = 0.2
# How far a measured ratio may be from that of eyes between which the axle goes straight up (q from 1) and still be theirs,
# and from where on it is not: ours. A tape's readings leave less.
_STRAIGHT, _OTHER = 0.15, 0.35
# Share of the length where it was measured below which no coil-over can be pressed.
_SHORTEST = 0.25


@dataclass(frozen=True, kw_only=True)
class HeavePath:
    """A coil-over's length over wheel travel, by its two numbers."""

    square: Any
    edge: Any

    @classmethod
    def of_eyes(cls, offset: Numbers) -> HeavePath:
        """Return the path of an eye that goes straight up, the other one `offset` aside of it."""
        return cls(square=1.0, edge=offset * offset)

    @classmethod
    def measured(cls, *, ratio: Numbers, slope: Numbers, length: Numbers) -> HeavePath:
        """Return the path of a motion ratio and its change with wheel travel, measured at a length."""
        return cls(square=ratio * ratio - length * slope, edge=-length * length * length * slope)

    def ratio_squared(self, length: Numbers) -> Any:
        """Return the square of the motion ratio at a length; not positive where no such length can be."""
        return self.square - self.edge / (length * length)

    def ratio(self, length: Numbers) -> Any:
        """Return damper travel per wheel travel at a length."""
        return np.sqrt(self.ratio_squared(length))

    def slope(self, length: Numbers) -> Any:
        """Return how the ratio changes with wheel travel at a length."""
        return -self.edge / (length * length * length)

    @property
    def eyes_known(self) -> Any:
        """Return how far lean and length tell where the eyes go as the body turns over its axle: 1 is altogether.

        A measured ratio that is not that of eyes on axle and body, as of a coil-over on an arm, tells nothing of it.

        >>> float(HeavePath.measured(ratio=0.75, slope=0.0, length=0.7).eyes_known)
        0.0
        """
        return np.clip((_OTHER - np.abs(self.square - 1.0)) / (_OTHER - _STRAIGHT), 0.0, 1.0)

    def wheel_travel(self, start: Numbers, end: Numbers) -> Any:
        """Return how far the wheel rises between two lengths."""
        start, end = np.asarray(start), np.asarray(end)
        return (start * start - end * end) / (start * self.ratio(start) + end * self.ratio(end))


@dataclass(frozen=True, kw_only=True)
class LongPath:
    """A heave path from one length on, carried on straight where the ratio would fall to little, so that it never ends.

    `low` and `high` are the wheel travels at its two ends.
    """

    length: Any
    climb: Any
    square: Any
    low: Any
    high: Any

    @classmethod
    def of(cls, *, ratio: Numbers, slope: Numbers, length: Numbers) -> LongPath:
        """Return the path of a measured ratio from the length on at which it was measured."""
        path = HeavePath.measured(ratio=ratio, slope=slope, length=length)
        little = FLATTEST * np.asarray(ratio)
        spare = path.square - little * little
        with np.errstate(divide="ignore", invalid="ignore"):
            flat = np.sqrt(path.edge / spare)
        falling, ending = np.asarray(path.edge) > 0, np.asarray(spare) < 0
        short = np.where(falling, np.maximum(flat, _SHORTEST * length), _SHORTEST * length)
        climb = np.asarray(length * ratio)

        def reached(at: Any) -> Any:
            left = np.sqrt(np.maximum(path.square * at * at - path.edge, 0.0))
            return (length * length - at * at) / (climb + left)

        return cls(
            length=length,
            climb=climb,
            square=path.square,
            low=np.where(ending, reached(np.where(ending, flat, length)), -np.inf),
            high=reached(short),
        )

    def at(self, wheel: Any) -> tuple[Any, Any, Any]:
        """Return the length at a wheel travel, with its first and second derivative."""
        inside = np.clip(wheel, self.low, self.high)
        length = np.sqrt(self.length * self.length + inside * (self.square * inside - 2 * self.climb))
        first = (self.square * inside - self.climb) / length
        second = np.where(inside == wheel, (self.square - first * first) / length, 0.0)
        return length + first * (wheel - inside), first, second
