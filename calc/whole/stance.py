"""How sure the lean, the cross weight and the sides' difference of a rig at rest are: the ± of `CaseAtRest`.

The search's plus-minus regards what both sides of an axle have alike. What makes a rig lean is what its corners do not have
alike: each spring's own rate and length, each adjuster as it is set, each gas charge, each pad of the scale, and what a
load weighs and how far off the middle it lies. Each is moved alone, to first order about where the rig rests, and the
moves are added as squares; a plus-minus is twice a standard deviation.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from calc import vocabulary
from calc.certainty.sources import item_doubt
from calc.constants import GRAVITY
from calc.ride._rest import STANDS, Rest
from calc.ride._rest_energy import Array
from calc.rig.entries import AXLES, CORNERS
from calc.rig.rig import LoadCase, Rig
from calc.spring._helped_curve import stack_curve
from calc.spring._stack_curve import StackCurve

# What a stack is made of; the rates are those that each spring has of its own.
_PARTS = (
    *("main_rate", "preload", "tender_rate", "ring_gap", "tender_stroke", "main_stroke"),
    *("helper_rate", "helper_stroke", "helper_ring_gap"),
)
_RATES = ("main_rate", "tender_rate", "helper_rate")


@dataclass(frozen=True, kw_only=True)
class Stance:
    """The plus-minus of one load case: body roll, cross weight, and left damper less right one at each axle."""

    body_roll: float
    cross_share: float
    apart: tuple[float, float]


def stances(rig: Rig, cases: tuple[LoadCase, ...], springs: StackCurve, rest: Rest) -> tuple[Stance | None, ...]:
    """Return the plus-minus in every load case of a rig at rest on springs of shape (1, 4); None where it does not stand.

    The rig is one that `stand` answered to, and `rest` its rest on these springs.
    """
    length, tire, frame = rest.ways.slopes()
    return tuple(
        _stance(rig, case, springs, rest, place, (length[place], tire[place], frame[place]))
        if rest.status[place] == STANDS
        else None
        for place, case in enumerate(cases)
    )


def _stance(
    rig: Rig, case: LoadCase, springs: StackCurve, rest: Rest, place: int, ways: tuple[Array, Array, Array]
) -> Stance | None:
    length, tire, frame = ways
    loads = rest.tire_load[place]
    total = float(loads.sum())
    share = float(rest.cross_share[place])
    pushes: list[Array] = []
    weights: list[float] = []
    # A coil-over that pushes harder shortens nothing by itself: it acts against its length.
    for force in _forces(rig, springs, rest.travel[place]):
        pushes += [length[corner] * force[corner] for corner in range(len(CORNERS)) if force[corner] != 0.0]
        weights += [0.0 for corner in range(len(CORNERS)) if force[corner] != 0.0]
    for generalized, more in _weights(rig, case, frame):
        pushes.append(generalized)
        weights.append(more)
    if not pushes:
        return None
    try:
        moved = np.linalg.solve(rest.hessian[place], np.array(pushes).T)
    except np.linalg.LinAlgError:
        return None
    on_tires = tire @ moved
    crossed = (on_tires[1] + on_tires[2] - share * np.array(weights)) / total
    travel = length @ moved

    def together(moves: Array) -> float:
        return float(np.sqrt(np.sum(np.square(moves))))

    return Stance(
        body_roll=together(moved[2]),
        cross_share=together(crossed),
        apart=(together(travel[0] - travel[1]), together(travel[2] - travel[3])),
    )


def _forces(rig: Rig, springs: StackCurve, travel: Array) -> Iterator[Array]:
    """Yield what each thing in doubt at a coil-over adds to its force at the travel where it rests, by corner."""
    before = springs.force(travel)
    parts = {name: np.broadcast_to(np.asarray(getattr(springs, name), dtype=np.float64), (1, 4)) for name in _PARTS}
    for name in _RATES:
        rate = parts[name]
        if np.all(np.isinf(rate)):
            continue
        stiffer = stack_curve(**{**parts, name: rate * (1.0 + vocabulary.spring_rate.plus_minus_share)})
        yield _difference(stiffer.force(travel), before)
    springs_in = sum(np.isfinite(parts[name]).astype(np.float64) for name in _RATES)
    lengths = np.sqrt(springs_in * vocabulary.free_length.plus_minus**2 + vocabulary.preload.plus_minus**2)
    yield _difference(springs.turned(adjuster=lengths).force(travel), before)
    charges = []
    for axle in AXLES:
        known, rod = rig.known(f"{axle}.gas_pressure"), rig.get(f"{axle}.rod_diameter")
        charges.append(0.0 if known is None or rod is None else known.plus_minus * np.pi * float(rod) ** 2 / 4)
    yield np.repeat(np.array(charges), 2)


def _difference(after: Array, before: Array) -> Array:
    with np.errstate(invalid="ignore"):
        moved = np.ravel(np.asarray(after - before))
    return np.where(np.isfinite(moved), moved, 0.0)


def _weights(rig: Rig, case: LoadCase, frame: Array) -> Iterator[tuple[Array, float]]:
    """Yield what each weight in doubt does to the seven unknowns, and by how much it makes the whole heavier.

    `frame` has the slopes of the frame's height above each wheel: a reading that is off is weight of the body there.
    """
    tracks = [float(rig.get(f"{axle}.track")) for axle in AXLES]
    middles = [(frame[0] + frame[1]) / 2, (frame[2] + frame[3]) / 2]
    aside = (frame[0] - frame[1]) / tracks[0]
    for place, corner in enumerate(CORNERS):
        known = rig.known(f"{corner}.corner_mass")
        if known is not None and known.plus_minus > 0.0:
            yield -GRAVITY * known.plus_minus * frame[place], GRAVITY * known.plus_minus
    for axle in AXLES:
        known, mass = rig.known(f"{axle}.unsprung_left_of_center"), rig.get(f"{axle}.unsprung_mass")
        if known is not None and known.plus_minus > 0.0 and mass is not None:
            # What of the reading is the axle's own side moment is not the body's.
            yield GRAVITY * float(mass) * known.plus_minus * aside, 0.0
    wheelbase = float(rig.get("wheelbase"))
    for item in case.items:
        if item.carried.endswith("axle"):
            continue
        back = 0.0 if item.behind_front_axle is None else item.behind_front_axle / wheelbase
        here = middles[0] * (1.0 - back) + middles[1] * back + aside * item.left_of_center
        heavier = item_doubt("mass", item.mass)
        yield -GRAVITY * heavier * here, GRAVITY * heavier
        yield -GRAVITY * item.mass * item_doubt("left_of_center", item.left_of_center) * aside, 0.0
