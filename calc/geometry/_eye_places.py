"""Where the eyes of a coil-over are in space, and the pivot of the axle's path: for the step and for the rig."""

from __future__ import annotations

from typing import Annotated

from calc.vocabulary import mount_base, mount_height

_mount_back = mount_base.called(
    "Axle end, behind the hubs",
    "x_m",
    "Along the vehicle, from the line of the hub centers to the eye on the axle; negative ahead of it.",
    low=-1.0,
    high=1.0,
    usual=None,
    typical=0.0,
)
pivot_ahead = mount_base.called(
    "Pivot, ahead of the hubs",
    "a_p",
    "Links: their body ends less their axle ends. Arms: their pivot from the hub centers. Negative where it lies behind.",
    low=-4.0,
    high=4.0,
    usual=None,
    typical=0.9,
)
_pivot_above = mount_height.called(
    "Pivot, above",
    "h_p",
    "How much higher the links' body ends lie than their axle ends, or the arms' pivot than the hub centers.",
    low=-1.0,
    high=1.0,
    typical=0.05,
)

UpperMountBase = Annotated[
    float,
    mount_base.called(
        "Body ends, left to right", "s_u", "Between the two coil-over mounts on the body, eye to eye.", low=0.1
    ),
]
UpperMountHeight = Annotated[
    float,
    mount_height.called(
        "Body end, height", "z_u", "From the ground to the coil-over eyes on the body.", high=3.0, typical=1.04
    ),
]
UpperMountBack = Annotated[
    float,
    _mount_back.called(
        "Body end, behind the hubs",
        "x_u",
        "Along the vehicle, from the line of the hub centers to the eye on the body; negative ahead of it.",
    ),
]
MountBack = Annotated[float, _mount_back]
PathPivotAhead = Annotated[float, pivot_ahead]
PathPivotAbove = Annotated[float, _pivot_above]
