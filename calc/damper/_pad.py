"""The curve of a bump stop's pad, for the landing and for the rig at rest."""

from __future__ import annotations

from typing import Annotated, Any

from calc.step import refuse
from calc.vocabulary import force

pad_force = force.called("Force of the pad", "F_p", low=0.0, high=1e6, typical=9000.0, plus_minus_share=0.1)
PadForce = Annotated[
    float, pad_force.called("Force of the pad, solid", "F_s", "In a press, squashed by its whole depth.")
]


def pad_cubic(*, pad_rate: Any, pad_depth: Any, pad_solid_force: Any) -> Any:
    """Return the factor of the cube of the squash that, beside the rate, makes the force that the pad has when solid.

    Raises ContradictionError when the pad would push less when solid than its rate makes of its depth.

    >>> round(float(pad_cubic(pad_rate=50e3, pad_depth=0.04, pad_solid_force=14800.0)))
    200000000
    """
    linear = pad_rate * pad_depth
    refuse(
        pad_solid_force < linear,
        "pad_solid_force",
        "Solid, the pad pushes with {solid}; its rate as it is touched makes {linear} of its depth already.",
        "Allowed: {linear} or more; a pad gets stiffer as it is squashed.",
        solid=(pad_solid_force, pad_force),
        linear=(linear, pad_force),
    )
    return (pad_solid_force - linear) / pad_depth**3
