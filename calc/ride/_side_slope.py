"""The side slopes at which the uphill tires of a rig on springs and tires leave rigid ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.roots import turns_positive


@dataclass(frozen=True, kw_only=True)
class SlopeAxle:
    """One axle on a slope: the roll stiffness of its springs and of its tires, and what acts on it.

    `holds` is the moment that it resists before a tire leaves level ground; `pushed` is what its own weight and the body's
    sideways push at the roll center make per sine of the slope, `aside` what the weight's offset makes per cosine.
    """

    springs: Any
    tires: Any
    holds: Any
    pushed: Any
    aside: Any

    @property
    def stiffness(self) -> Any:
        """Springs and tires in series."""
        return self.springs * self.tires / (self.springs + self.tires)

    @property
    def gives(self) -> Any:
        """How much of a moment on the axle itself the body feels, because the axle leans on its tires."""
        return self.springs / (self.springs + self.tires)


def side_slopes(axles: tuple[SlopeAxle, SlopeAxle], leverage: Any) -> tuple[Any, Any]:
    """Return the slopes at which the first uphill tire, and both, have left.

    `leverage` is that of the weight above the roll axis; the stiffness of both axles together must outweigh it.
    An axle that has lost its uphill tire holds up no more lean.

    >>> axle = SlopeAxle(springs=20e3, tires=1e12, holds=10e3, pushed=7e3, aside=0.0)
    >>> first, both = side_slopes((axle, axle), 7e3)
    >>> round(float(first), 3), round(float(both), 3)
    (0.737, 0.737)
    """
    parts = (leverage, *(part for axle in axles for part in vars(axle).values()))
    shape = np.broadcast_shapes(*(np.shape(part) for part in parts))
    one, other = axles
    gives = one.gives, other.gives
    together = one.stiffness + other.stiffness

    def each(values: tuple[Any, Any]) -> Any:
        return np.stack([np.broadcast_to(value, shape) for value in values])

    # Both axles' slopes are looked for at once, a row each.
    stiffness, rests = each((one.stiffness, other.stiffness)), each((1 - gives[0], 1 - gives[1]))
    holds = each((one.holds, other.holds))

    def leaving(slope: Any) -> Any:
        sine, cosine = np.sin(slope), np.cos(slope)
        own = [axle.pushed * sine + axle.aside * cosine for axle in axles]
        felt = gives[0] * own[0] + gives[1] * own[1]
        lean = (leverage * sine + felt) / (together - leverage * cosine)
        return stiffness * lean + rests * np.stack([own[0][0], own[1][1]]) - holds * cosine

    flat = np.zeros((2, *shape))
    front, rear = turns_positive(leaving, flat, flat + np.pi / 2)
    first = np.minimum(front, rear)
    front_first = front <= rear
    last = SlopeAxle(**{name: np.where(front_first, getattr(other, name), getattr(one, name)) for name in vars(one)})
    last_stiffness, last_rests = last.stiffness, 1 - last.gives

    def over(slope: Any) -> Any:
        sine, cosine = np.sin(slope), np.cos(slope)
        left = sum(axle.holds * cosine - (axle.pushed * sine + axle.aside * cosine) for axle in axles)
        own = last.pushed * sine + last.aside * cosine
        lean = (last.holds * cosine - last_rests * own) / last_stiffness
        return leverage * (sine + cosine * lean) - left

    both = turns_positive(over, first, np.full(shape, np.pi / 2))
    # An axle that cannot hold the body up alone goes over as soon as the other has lost its tire.
    alone = last_stiffness > leverage * np.cos(first)
    return first[()], np.where(alone, both, first)[()]
