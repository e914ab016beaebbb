"""The ends of a solid axle's track bar, as they are measured, and the roll center that it makes."""

from __future__ import annotations

import math
from typing import Annotated

from calc.vocabulary import mount_base, mount_height

_across = mount_base.called(
    "Track bar, end",
    "y_b",
    "Across the vehicle, from its middle; negative to the right.",
    low=-1.5,
    high=1.5,
    usual=None,
    typical=0.5,
)
_WHERE = "At the ride height at which the lean was read, from the ground to the middle of the joint."

TrackBarFrameLeft = Annotated[
    float, _across.called("Track bar, frame end: left of center", "y_bf", "From the middle; negative to the right.")
]
TrackBarFrameHeight = Annotated[
    float, mount_height.called("Track bar, frame end: height", "z_bf", _WHERE, low=-0.5, high=2.0, typical=0.56)
]
TrackBarAxleLeft = Annotated[
    float,
    _across.called(
        "Track bar, axle end: left of center", "y_ba", "From the middle; negative to the right.", typical=-0.5
    ),
]
TrackBarAxleHeight = Annotated[
    float, mount_height.called("Track bar, axle end: height", "z_ba", _WHERE, low=-0.5, high=2.0, typical=0.5)
]

SHORTEST = 0.3  # across the vehicle: with less no bar holds an axle. Ours, no source.
STEEPEST = 1.0  # of that, up or down: steeper it lifts the body more than it holds it. Ours, no source.


def usable(frame_left: float, frame_height: float, axle_left: float, axle_height: float) -> bool:
    """Tell whether a bar with these ends can hold an axle across."""
    across = abs(frame_left - axle_left)
    return across >= SHORTEST and abs(frame_height - axle_height) <= STEEPEST * across


def crossing(
    frame_left: float, frame_height: float, axle_left: float, axle_height: float, doubts: tuple[float, ...] = ()
) -> tuple[float, float]:
    """Return the height where the bar crosses the middle of the vehicle, and its plus-minus from those of the four.

    >>> height, doubt = crossing(0.5, 0.6, -0.5, 0.4, (0.0, 0.01, 0.0, 0.01))
    >>> round(height, 3), round(doubt, 5)
    (0.5, 0.00707)
    """
    apart, fall = frame_left - axle_left, axle_height - frame_height
    share = frame_left / apart
    slopes = (-fall * axle_left / apart**2, 1 - share, fall * frame_left / apart**2, share)
    doubt = math.hypot(*(slope * one for slope, one in zip(slopes, doubts, strict=False)))
    return frame_height + fall * share, doubt
