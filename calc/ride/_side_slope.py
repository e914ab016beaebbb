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

    def own(self, slope: Any) -> Any:
        """The moment that does not come through the springs."""
        return self.pushed * np.sin(slope) + self.aside * np.cos(slope)


def side_slopes(axles: tuple[SlopeAxle, SlopeAxle], leverage: Any) -> tuple[Any, Any]:
    """Return the slopes at which the first uphill tire, and both, have left.

    `leverage` is that of the weight above the roll axis; the stiffness of both axles together must outweigh it.
    An axle that has lost its uphill tire holds up no more lean.

    >>> axle = SlopeAxle(springs=20e3, tires=1e12, holds=10e3, pushed=7e3, aside=0.0)
    >>> first, both = side_slopes((axle, axle), 7e3)
    >>> round(float(first), 3), round(float(both), 3)
    (0.737, 0.737)
    """
    together = axles[0].stiffness + axles[1].stiffness

    def leaving(axle: SlopeAxle) -> Any:
        def over(slope: Any) -> Any:
            felt = sum(one.gives * one.own(slope) for one in axles)
            lean = (leverage * np.sin(slope) + felt) / (together - leverage * np.cos(slope))
            return axle.stiffness * lean + (1 - axle.gives) * axle.own(slope) - axle.holds * np.cos(slope)

        return over

    parts = (leverage, *(part for axle in axles for part in vars(axle).values()))
    flat = np.zeros(np.broadcast_shapes(*(np.shape(part) for part in parts)))
    steep = flat + np.pi / 2
    front, rear = (turns_positive(leaving(axle), flat, steep) for axle in axles)
    first = np.minimum(front, rear)
    front_first = front <= rear
    last = SlopeAxle(
        **{name: np.where(front_first, getattr(axles[1], name), getattr(axles[0], name)) for name in vars(axles[0])}
    )

    def over(slope: Any) -> Any:
        left = sum(axle.holds * np.cos(slope) - axle.own(slope) for axle in axles)
        lean = (last.holds * np.cos(slope) - (1 - last.gives) * last.own(slope)) / last.stiffness
        return leverage * (np.sin(slope) + np.cos(slope) * lean) - left

    both = turns_positive(over, first, steep)
    # An axle that cannot hold the body up alone goes over as soon as the other has lost its tire.
    alone = last.stiffness > leverage * np.cos(first)
    return first[()], np.where(alone, both, first)[()]
