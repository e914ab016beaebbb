"""The rig at rest by forces and moments of free bodies, in plain Python for one rig: apart from the handbook's own solve.

Body, axles and independent wheels are cut free one by one; every force is a vector at its point. It is what the solve is
tested against and what its speed is measured against, and it shares no code with it.
"""

from __future__ import annotations

import importlib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

ATMOSPHERE = 101325.0
STOP = 1e7
# No coil-over gets that short, from eye to eye, in meters.
_SHORTEST = 0.01


@dataclass(frozen=True, kw_only=True)
class Corner:
    """One corner's coil-over and tire, SI; distances across are to the left, also on the right side."""

    tire_rate: float
    tender_rate: float | None
    main_rate: float
    preload: float
    ring_gap: float | None
    extended: float
    strap: float
    pad_touch: float
    pad_rate: float
    pad_solid: float
    pad_solid_force: float | None = None
    gas_pressure: float
    gas_volume: float
    rod_area: float
    helper_rate: float | None = None
    helper_stroke: float = math.inf


@dataclass(frozen=True, kw_only=True)
class End:
    """One end of the vehicle. An independent end has its measured motion ratio, a solid axle its eyes."""

    independent: bool
    ahead: float
    track: float
    unsprung: float
    unsprung_left: float
    unsprung_height: float
    roll_center: float
    bar: float
    base: float
    mount_height: float
    lean: float
    eye_length: float
    motion_ratio: float
    ratio_slope: float
    corners: tuple[Corner, Corner]


@dataclass(frozen=True, kw_only=True)
class Vehicle:
    """The body and its two ends."""

    sprung: float
    sprung_left: float
    sprung_height: float
    ends: tuple[End, End]


def axial_force(corner: Corner, travel: float) -> float:
    """Return the push of springs, gas, bump stop and strap, each from its own law."""
    squeezed = corner.preload + travel
    if corner.helper_rate is not None:
        springs = _with_helper(corner, squeezed)
    elif corner.tender_rate is None:
        springs = corner.main_rate * max(squeezed, 0.0)
    else:
        series = corner.tender_rate * corner.main_rate / (corner.tender_rate + corner.main_rate)
        springs = series * max(squeezed, 0.0)
        if corner.ring_gap is not None:
            # At the ring the tender is as short as it gets; from there the main alone gives.
            crossover = corner.ring_gap * (corner.tender_rate + corner.main_rate) / corner.main_rate
            if travel > crossover:
                springs = series * (corner.preload + crossover) + corner.main_rate * (travel - crossover)
    gas = 0.0
    if corner.rod_area > 0:
        held = min(travel, corner.pad_solid)
        left = corner.gas_volume - corner.rod_area * held
        pressure = (corner.gas_pressure + ATMOSPHERE) * corner.gas_volume / left
        gas = (pressure - ATMOSPHERE) * corner.rod_area + pressure * corner.rod_area**2 / left * (travel - held)
    pad = corner.pad_rate * max(travel - corner.pad_touch, 0.0) + STOP * max(travel - corner.pad_solid, 0.0)
    if corner.pad_solid_force is not None:
        # What the force when solid is above a straight line, grown with the cube of the squash.
        depth = corner.pad_solid - corner.pad_touch
        squashed = min(max(travel - corner.pad_touch, 0.0), depth) / depth
        pad += (corner.pad_solid_force - corner.pad_rate * depth) * squashed**3
    strap = STOP * max(corner.strap - travel, 0.0)
    return springs + gas + pad - strap


def _with_helper(corner: Corner, squeezed: float) -> float:
    """Return the force under which helper, tender and main give by so much together, found by halving.

    A helper gives until its coils close; the two above the divider no more than from where it stands at full extension to
    its ring.
    """

    def above(force: float) -> float:
        helper = 0.0 if corner.helper_rate is None else min(force / corner.helper_rate, corner.helper_stroke)
        return helper + (0.0 if corner.tender_rate is None else force / corner.tender_rate)

    def under(most: float, length: float) -> float:
        # Main alone can give no more than this under no greater force.
        low, high = 0.0, max(corner.main_rate * length, 0.0)
        while low < (middle := (low + high) / 2) < high:
            given = min(above(middle), most) + middle / corner.main_rate
            low, high = (middle, high) if given < length else (low, middle)
        return high

    most = math.inf
    if corner.ring_gap is not None:
        most = above(under(math.inf, corner.preload)) + corner.ring_gap
    return under(most, squeezed)


def unbalanced(vehicle: Vehicle, unknowns: Sequence[float]) -> list[float]:
    """Return what is left over of each free body's forces and moments; all zero at rest.

    Unknowns: body heave, pitch (nose down), roll (left up); then for a solid axle its heave and roll, for an independent
    end the travel of its left and right wheel.
    """
    heave, pitch, roll = unknowns[:3]
    body_up, body_nose_up = -vehicle.sprung, 0.0
    lever = sum(
        abs(other.ahead) * end.roll_center for end, other in zip(vehicle.ends, reversed(vehicle.ends), strict=True)
    ) / sum(abs(end.ahead) for end in vehicle.ends)
    # The weight stands above the roll axis and moves out over the low side.
    body_left_up = -vehicle.sprung * (vehicle.sprung_left - (vehicle.sprung_height - lever) * roll)
    rest: list[float] = []
    for end, first in zip(vehicle.ends, unknowns[3::2], strict=True):
        second = unknowns[unknowns_place(vehicle, end)]
        station = heave - end.ahead * pitch
        solved = _independent if end.independent else _solid
        up, left_up, own = solved(vehicle, end, station, roll, first, second)
        body_up += up
        body_nose_up += up * end.ahead
        body_left_up += left_up
        rest += own
    return [body_up, body_nose_up, body_left_up, *rest]


def unknowns_place(vehicle: Vehicle, end: End) -> int:
    """Return where an end's second unknown stands."""
    return 4 if end is vehicle.ends[0] else 6


def _solid(
    vehicle: Vehicle, end: End, station: float, roll: float, heave: float, tilt: float
) -> tuple[float, float, list[float]]:
    """The axle's frame: its roll center is the origin, the body's pivot slides up and down in it."""
    over, turned = station - heave, roll - tilt
    body_up = body_across = body_moment = 0.0
    axle_up = axle_moment = axle_across = 0.0
    for side, corner in zip((1.0, -1.0), end.corners, strict=True):
        below, arm = _eyes(end, side, turned)
        line = (arm[0] - below[0], over + arm[1] - below[1])
        length = math.hypot(*line)
        push = axial_force(corner, corner.extended - length)
        force = (push * line[0] / length, push * line[1] / length)
        body_up += force[1]
        body_across += force[0]
        body_moment += arm[0] * force[1] - arm[1] * force[0]
        axle_up -= force[1]
        axle_across -= force[0]
        axle_moment -= below[0] * force[1] - below[1] * force[0]
    # The links hold the body across at its pivot, which stands `over` above the axle's roll center.
    links = -body_across
    axle_moment -= -over * links * 1.0
    bar = -end.bar * turned
    body_moment += bar
    axle_moment -= bar
    # Above the ground the axle leans: its own weight and what stands on its roll center move out over the low side.
    carried = _share(vehicle, end) * vehicle.sprung
    axle_up -= end.unsprung
    axle_moment -= end.unsprung * (end.unsprung_left - end.unsprung_height * tilt)
    axle_moment += carried * end.roll_center * tilt
    for side, corner in zip((1.0, -1.0), end.corners, strict=True):
        tire = corner.tire_rate * max(-(heave + side * end.track / 2 * tilt), 0.0)
        axle_up += tire
        axle_moment += side * end.track / 2 * tire
    return body_up, body_moment, [axle_up, axle_moment]


def _eyes(end: End, side: float, turned: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return where a coil-over's lower and upper eye stand, across and up from the roll center, the axle's and the body's."""
    below = (side * end.base / 2, end.mount_height - end.roll_center)
    first = (
        below[0] - side * math.sin(end.lean) * end.eye_length,
        below[1] + math.cos(end.lean) * end.eye_length,
    )
    return below, (
        math.cos(turned) * first[0] - math.sin(turned) * first[1],
        math.sin(turned) * first[0] + math.cos(turned) * first[1],
    )


def travels(vehicle: Vehicle, unknowns: Sequence[float]) -> list[float]:
    """Return the four coil-overs' travels from full extension; both ends have a solid axle."""
    heave, pitch, roll = unknowns[:3]
    found = []
    for end, axle_heave, tilt in zip(vehicle.ends, unknowns[3::2], unknowns[4::2], strict=True):
        for side, corner in zip((1.0, -1.0), end.corners, strict=True):
            below, arm = _eyes(end, side, roll - tilt)
            over = heave - end.ahead * pitch - axle_heave
            found.append(corner.extended - math.hypot(arm[0] - below[0], over + arm[1] - below[1]))
    return found


def _independent(
    vehicle: Vehicle, end: End, station: float, roll: float, left: float, right: float
) -> tuple[float, float, list[float]]:
    """Each wheel goes straight up and down; the force at the wheel follows from virtual work."""
    half = end.track / 2
    tilt = (left - right) / end.track
    # What stands on the roll center moves out over the low side with the tires; the wheels take it as a couple.
    couple = _share(vehicle, end) * vehicle.sprung * end.roll_center * tilt / end.track
    bar_couple = end.bar * (roll - tilt) / end.track
    body_up = body_moment = 0.0
    own = []
    for side, corner, wheel in zip((1.0, -1.0), end.corners, (left, right), strict=True):
        bump = wheel - (station + side * half * roll)
        # The square of the length is a parabola over wheel travel: one that begins with the ratio, and bends as it changes.
        bend = end.motion_ratio**2 - end.eye_length * end.ratio_slope
        square = end.eye_length**2 - 2 * end.eye_length * end.motion_ratio * bump + bend * bump**2
        # On its way a root finder may try wheels so far up that the eyes would pass each other: no rest is there.
        length = math.sqrt(max(square, _SHORTEST**2))
        ratio = (end.eye_length * end.motion_ratio - bend * bump) / length
        support = axial_force(corner, corner.extended - length) * ratio - side * bar_couple
        body_up += support
        body_moment += side * half * support
        weight = end.unsprung * (0.5 + side * end.unsprung_left / end.track)
        own.append(corner.tire_rate * max(-wheel, 0.0) - support - weight + side * couple)
    return body_up, body_moment, own


def _share(vehicle: Vehicle, end: End) -> float:
    other = vehicle.ends[0] if end is vehicle.ends[1] else vehicle.ends[1]
    return abs(other.ahead) / (abs(other.ahead) + abs(end.ahead))


def root(vehicle: Vehicle, start: Sequence[float]) -> Any:
    """Return scipy's answer to the balance from a start."""
    optimize: Any = importlib.import_module("scipy.optimize")
    return optimize.root(lambda unknowns: unbalanced(vehicle, unknowns), start, method="hybr", options={"xtol": 1e-10})
