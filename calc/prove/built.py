"""What was built, of which a measurement is read: springs and settings as ordered, and the model that they make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from calc.errors import Needs
from calc.order.axle_order import settings
from calc.order.order import Order, completed, limits
from calc.prove.model import Model, readings, weighed_covariance
from calc.ride._rest_energy import Array
from calc.rig.axle import stack_of
from calc.rig.entries import AXLES, CORNERS
from calc.rig.file import entered_then
from calc.rig.ordered import Ordered, in_force
from calc.rig.readings import RIDE_HEIGHT, Proof, State
from calc.rig.rig import LoadCase, Rig
from calc.spring._helped_curve import stack_curve
from calc.spring._stack_curve import StackCurve
from calc.weight.weight_change import Item
from calc.whole.at_rest import Stand, of_corners, stand
from calc.whole.sides import set_apart


def built_rig(rig: Rig, proof: Proof) -> Rig:
    """Return the rig as it was entered when it was ordered; as it is now where nothing was ordered."""
    record = in_force(rig.ordered, proof.date)
    return rig if record is None else entered_then(record)


def case_of(rig: Rig, proof: Proof) -> LoadCase:
    """Return the load case that was measured: the one named, else the one that the wishes are for."""
    built = built_rig(rig, proof)
    return next((case for case in built.cases() if case.name == proof.case), built.reference())


def heights_read(state: State) -> int:
    """Return at how many corners a height was read."""
    return sum(state.at(corner).height is not None for corner in CORNERS)


@dataclass(frozen=True, kw_only=True, eq=False)
class Basis:
    """What was built, corners in order: the rig as it was ordered from, the springs at the ordered settings, their threads.

    `thread` is what thread each adjuster has left below it, what is to be kept of it included, `slack` how much preload it may lose; infinite where unknown.
    """

    rig: Rig
    springs: StackCurve
    pieces: Array
    thread: Array
    slack: Array


def of_order(made: Order) -> Basis:
    """Return what would be ordered today. Raises Needs."""
    if not made.complete or made.standing is None:
        wanting = [needs for needs in (*(item.needs for item in made.axles), made.standing_needs) if needs is not None]
        if wanting:
            raise Needs.all_of(wanting)
        raise Needs(sentences=("No set of springs works for both axles yet: the rig page says why.",))
    corners, pieces, thread, slack = [], [], [], []
    for item in made.axles:
        chosen, task = item.chosen, item.task
        if chosen is None or task is None:
            continue
        left = settings(item).get("adjuster_left")
        for preload in item.preload or (chosen.preload, chosen.preload):
            corners.append(stack_of(made.springs, replace(chosen, preload=preload)))
            pieces.append(float(len(chosen.springs())))
            thread.append(np.inf if left is None else left - (preload - chosen.preload))
            slack.append(preload - task.limits.preload_floor)
    return Basis(
        rig=made.rig,
        springs=of_corners(corners),
        pieces=np.array(pieces),
        thread=np.array(thread),
        slack=np.array(slack),
    )


def of_record(record: Ordered) -> Basis:
    """Return what was ordered: springs and settings as they stand in the record, whatever the rig page says since."""
    rig = completed(entered_then(record))
    settings_of = {one.corner: one for one in record.sheet.settings}
    corners, pieces, slack = [], [], []
    for corner in CORNERS:
        axle, own = corner.partition("_")[2], settings_of[corner]
        springs = record.springs(axle)
        parts: dict[str, float | None] = {}
        for what in ("helper", "tender", "main"):
            part = springs.get(what)
            parts[f"{what}_rate"] = None if part is None else part.rate
            parts[f"{what}_stroke"] = None if part is None else part.closes
        corners.append(stack_curve(preload=own.preload, ring_gap=own.ring_gap, **parts))
        pieces.append(float(len(springs)))
        slack.append(own.preload - limits(rig, axle).preload_floor)
    return Basis(
        rig=rig,
        springs=of_corners(corners),
        pieces=np.array(pieces),
        thread=np.array([settings_of[corner].adjuster_left for corner in CORNERS]),
        slack=np.array(slack),
    )


def told_by(record: Ordered, case: LoadCase, wanted: Array) -> Array:
    """Return the damper lengths that the order forecast for a load case, corners in order; `wanted` where it did not."""
    forecast = record.case(case.name)
    if forecast is None or not record.sheet.solved:
        return wanted
    lengths = {one.corner: one.damper_length for one in forecast.corners}
    return np.array([lengths[corner] for corner in CORNERS])


def model_of(basis: Basis, proof: Proof) -> tuple[Model, StackCurve, LoadCase]:
    """Return the model of what was measured, the springs as ordered, and the load case. Raises Needs."""
    rig = basis.rig
    heights: tuple[float, float] | None = None
    if proof.read == RIDE_HEIGHT:
        known = [rig.get(f"{axle}.ride_height") for axle in AXLES]
        if None in known:
            missing = (f"{axle}.ride_height" for axle, one in zip(AXLES, known, strict=True) if one is None)
            raise Needs(keys=tuple(missing))
        heights = (float(known[0]), float(known[1]))
    case = case_of(rig, proof)
    states = proof.states[:1] or (State(),)
    second = proof.second
    if second is not None and heights_read(second) > 0:
        states = (*states, second)
    cases = tuple(_with(case, state, number) for number, state in enumerate(states))
    ready = stand(replace(rig, load_cases=cases))
    if heights is not None and not all(ready.read):
        raise Needs(keys=("front.damper_length", "rear.damper_length"))
    ordered = basis.springs
    stacks = _as_set(ordered, states, ready)
    starts = tuple(ready.only(number).solve(one).state for number, one in enumerate(stacks))
    model = Model(
        ready=tuple(ready.only(number) for number in range(len(states))),
        stacks=stacks,
        readings=tuple(readings(state, proof) for state in states),
        ride_heights=heights,
        weighed=weighed_covariance(rig),
        pieces=basis.pieces,
        start=starts,
        gas_temperature=proof.gas_temperature,
    )
    return model, ordered, case


def _with(case: LoadCase, state: State, number: int) -> LoadCase:
    if state.added is None:
        return replace(case, name=f"state {number}")
    added = state.added
    item = Item(
        label="added", mass=added.mass, behind_front_axle=added.behind_front_axle, left_of_center=added.left_of_center
    )
    return replace(case, name=f"state {number}", items=(*case.items, item))


def _as_set(ordered: StackCurve, states: Sequence[State], ready: Stand) -> tuple[StackCurve, ...]:
    """Return the springs of each state at the settings that were read, else at the ordered ones, and as turned since."""
    first = states[0]

    def read(name: str) -> Array:
        values = [getattr(first.at(corner), name) for corner in CORNERS]
        return np.array([[np.nan if value is None else value for value in values]])

    preload, gap = read("preload"), read("ring_gap")
    lengths = np.where(np.isfinite(preload), preload - ordered.preload, 0.0)
    # The ring stands where it is ordered to stand from the divider, unless its gap was read.
    stacks = set_apart(ordered, lengths)
    ringed = np.isfinite(gap) & np.isfinite(stacks.ring_gap)
    with np.errstate(invalid="ignore"):
        stacks = stacks.turned(ring=np.where(ringed, gap - stacks.ring_gap, 0.0))
    found = [stacks]
    for state in states[1:]:
        turns = np.array([[state.at(corner).adjuster_turns or 0.0 for corner in CORNERS]])
        rings = np.array([[state.at(corner).ring_turns or 0.0 for corner in CORNERS]])
        found.append(stacks.turned(adjuster=turns * ready.turn, ring=rings * ready.turn))
    return tuple(found)
