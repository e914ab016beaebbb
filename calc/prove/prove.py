"""Proving: the built rig's heights against what was ordered, its true loads and rates, and what to turn.

One state gives the load at the assumed rate, or the rate at the assumed load. A second weighing, or a known load added,
tells them apart; turns alone do not, because springs of any rate stand as high once they are turned.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc.damper.gas import ROOM
from calc.errors import Needs
from calc.order.order import Order, limits, order
from calc.prove.built import Basis, case_of, heights_read, model_of, of_order, of_record, told_by
from calc.prove.model import (
    ALL,
    BOTH,
    BOTH_ALIKE,
    COUNT,
    LOADS,
    RATES,
    WARMTH,
    Fit,
    Model,
    Outputs,
    height_doubt,
)
from calc.prove.trim import Room, Trim, trim
from calc.ride._rest import REFUSALS
from calc.ride._rest_energy import Array
from calc.rig.axle import HALF_TURN
from calc.rig.entries import CORNERS
from calc.rig.ordered import in_force
from calc.rig.readings import DAMPER_LENGTH, Proof
from calc.rig.rig import Rig
from calc.spring._stack_curve import StackCurve
from calc.tables import Springs
from calc.units import INCH

# A reading so near the loaded radius of the tire, and so far from the prediction, looks like the height of a hub; and no
# springs stand all corners so far off to one side. Ours, practice.
NEAR_HUB, FAR_OFF, NO_SPRINGS = 0.75 * INCH, 1.5 * INCH, 3.0 * INCH
# What tells load and rate apart.
PADS, ADDED = "pads", "added load"
_APART = 0.15  # a rate share whose plus-minus (k = 2) is larger tells nothing that a builder could use


@dataclass(frozen=True, kw_only=True)
class CornerProof:
    """One corner: its height as read and as predicted, and what lies between. Doubts are plus-minus (k = 2).

    Both heights, `predicted` and `ordered`, are for the gas as warm as it was taken; `warm_lift` is what that adds to them
    over the gas as charged, and `warm_doubt` the part of the predicted plus-minus that its temperature makes.
    """

    name: str
    height: float | None
    height_doubt: float
    friction: float | None
    predicted: float
    predicted_doubt: float
    ordered: float
    warm_lift: float
    warm_doubt: float
    force_predicted: float
    tire_predicted: float
    pad: float | None
    rate: float | None
    past_crossover: bool

    @property
    def difference(self) -> float | None:
        """How much higher it stands than predicted; below 0 lower."""
        return None if self.height is None else self.height - self.predicted

    @property
    def tolerance(self) -> float:
        """What a difference may be and still blame nothing: what rates, lengths, scales, bind and reading leave open."""
        return float(np.hypot(self.predicted_doubt, self.height_doubt))

    @property
    def outside(self) -> bool:
        """Whether the difference is more than tolerances explain."""
        return self.difference is not None and abs(self.difference) > self.tolerance


@dataclass(frozen=True, kw_only=True)
class Sunk:
    """How far each corner has sunk since the first measurement at the same settings and load, with its plus-minus."""

    since: str
    by: tuple[float, ...]
    doubt: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Proving:
    """What the measurements say. `needs` tells what the prediction still lacks; then there is nothing else.

    `loads` holds at the rates as sold, `rates` at the loads as weighed, `both` needs neither; `best` uses everything.
    Each is None where the readings do not settle it. `main_share` is each main's rate over that of the whole stack.
    `against` is the day of the order that it is compared with; without one it is what would be ordered today.
    `questioned` are corners whose reading looks like the height of a hub; then nothing is worked out from it.
    """

    proof: Proof
    needs: Needs | None = None
    case: str = ""
    corners: tuple[CornerProof, ...] = ()
    warp: float | None = None
    warp_doubt: float = 0.0
    loads: Fit | None = None
    rates: Fit | None = None
    both: Fit | None = None
    best: Fit | None = None
    separates: str = ""
    trim: Trim | None = None
    sunk: Sunk | None = None
    main_share: tuple[float, ...] = ()
    against: str = ""
    questioned: tuple[str, ...] = ()

    @property
    def measured(self) -> bool:
        """Whether any height was read."""
        return any(one.height is not None for one in self.corners)

    @property
    def complete(self) -> bool:
        """Whether all four heights were read."""
        return bool(self.corners) and all(one.height is not None for one in self.corners)


def prove(
    rig: Rig, springs: Springs, proof: Proof, made: Order | None = None, earlier: Sequence[Proof] = ()
) -> Proving:
    """Return what a measurement of the built rig says, against what was ordered, else against what would be today.

    `made` is the rig's order of today where it is already there and no order is recorded.

    `earlier` are measurements of the same rig, by which age is told from everything else.

    Never raises for what a rig or a measurement lacks: that is told in `needs` and in what is None.
    """
    record = in_force(rig.ordered, proof.date)
    against = "" if record is None else record.date
    try:
        basis = of_order(made or order(rig, springs)) if record is None else of_record(record)
        model, ordered, case = model_of(basis, proof)
        predicted, doubt = model.predicted()
        if not predicted.stands:
            raise Needs(sentences=(_fallen(model),))
    except Needs as lacking:
        return Proving(proof=proof, needs=lacking.kept(), against=against)
    wanted = model.outputs(np.zeros((1, COUNT)), 0, ordered).height[0]
    lift = _lift(model, predicted)
    if record is not None and proof.read == DAMPER_LENGTH:
        # What was said when it was ordered is what is proved, also where a later handbook would say a little more or less.
        # It was said for the gas as charged.
        told = told_by(record, case, wanted - lift) + lift
        predicted = replace(predicted, height=predicted.height + told - wanted)
        wanted = told
    corners = tuple(_corner(model, proof, place, predicted, doubt, wanted, lift) for place in range(4))
    found = Proving(
        proof=proof, case=case.label, corners=corners, sunk=_sunk(proof, basis.rig, earlier, model), against=against
    )
    questioned = _questioned(basis.rig, proof, corners)
    if questioned or not found.complete:
        return replace(found, questioned=questioned)
    warp, warp_doubt = _warp(model, corners, predicted.height[0])
    separates = _separates(proof)
    best = model.fit(ALL)
    return replace(
        found,
        warp=warp,
        warp_doubt=warp_doubt,
        loads=model.fit(LOADS),
        rates=model.fit(RATES),
        both=_usable(model.fit(BOTH if separates == PADS else BOTH_ALIKE)) if separates else None,
        best=best,
        separates=separates,
        trim=None if best is None else _trim(model, best, corners, wanted, basis, proof),
        main_share=_main_share(model.stacks[0]),
    )


def _questioned(rig: Rig, proof: Proof, corners: Sequence[CornerProof]) -> tuple[str, ...]:
    """Return the corners whose reading can hardly be a damper's, eye to eye: it looks like the height of a hub.

    That is one which its damper cannot have, or which is the loaded radius of its tire and far from the prediction; and all
    of them where each stands so far off to the same side that no springs explain it.
    """
    if proof.read != DAMPER_LENGTH:
        return ()
    read = [one for one in corners if one.difference is not None]
    if len(read) > 1 and (
        all((one.difference or 0.0) > NO_SPRINGS for one in read)
        or all((one.difference or 0.0) < -NO_SPRINGS for one in read)
    ):
        return tuple(one.name for one in read)
    found = []
    for one in read:
        axle, height = one.name.partition("_")[2], one.height or 0.0
        longest, stroke = rig.get(f"{axle}.damper_extended"), rig.get(f"{axle}.damper_stroke")
        radius = rig.get(f"{axle}.tire_loaded_radius")
        cannot = not longest - stroke - one.height_doubt <= height <= longest + one.height_doubt
        like_hub = radius is not None and abs(height - radius) <= NEAR_HUB and abs(one.difference or 0.0) > FAR_OFF
        if cannot or like_hub:
            found.append(one.name)
    return tuple(found)


def _fallen(model: Model) -> str:
    status = int(model.rest(np.zeros((1, COUNT)), 0).status[0])
    return REFUSALS.get(status, "") or "The added load does not let it stand."


def _usable(fit: Fit | None) -> Fit | None:
    return None if fit is None or float(fit.rate_doubt.max()) > _APART else fit


def _separates(proof: Proof) -> str:
    """Return what tells load and rate apart: "pads", "added load", or nothing."""
    if any(state.at(corner).pad is not None for state in proof.states for corner in CORNERS):
        return PADS
    second = proof.second
    if second is not None and second.added is not None and heights_read(second) == len(CORNERS):
        return ADDED
    return ""


def _lift(model: Model, predicted: Outputs) -> Array:
    """Return how much higher the corners stand than they would with the gas as it was charged."""
    temperature, doubt = model.gas_temperature
    if temperature == ROOM:
        return np.zeros(len(CORNERS))
    cold = replace(model, gas_temperature=(ROOM, doubt)).outputs(np.zeros((1, COUNT)), 0)
    return np.asarray(predicted.height[0] - cold.height[0])


def _sunk(proof: Proof, rig: Rig, earlier: Sequence[Proof], model: Model) -> Sunk | None:
    """Return the change since the earliest measurement that differs in nothing but its date and the dampers' warmth.

    None without one. What the warmth of the gas did to the heights is taken off.
    """

    def setting(one: Proof) -> tuple[Any, ...]:
        corners = [one.first.at(corner) for corner in CORNERS]
        return (case_of(rig, one).name, one.read, tuple((each.preload, each.ring_gap) for each in corners))

    now = [proof.first.at(corner).height for corner in CORNERS]
    alike = [
        one
        for one in sorted(earlier, key=lambda one: one.date)
        if one.date < proof.date and setting(one) == setting(proof) and heights_read(one.first) == len(CORNERS)
    ]
    if None in now or not alike:
        return None
    before = [alike[0].first.at(corner).height for corner in CORNERS]
    rise = model.unmoved[0][1]["height"][:, WARMTH]
    (then, then_doubt), (today, today_doubt) = alike[0].gas_temperature, proof.gas_temperature
    by = tuple(
        float(old) - float(new) + float(lifts) * (today - then)
        for old, new, lifts in zip(before, now, rise, strict=True)
        if old is not None and new is not None
    )
    warm = float(np.abs(rise).max()) * float(np.hypot(then_doubt, today_doubt))
    doubts = [
        height_doubt(one.first.at(corner).half_difference, one.doubt) for one in (alike[0], proof) for corner in CORNERS
    ]
    return Sunk(since=alike[0].date, by=by, doubt=float(np.hypot(np.hypot(max(doubts[:4]), max(doubts[4:])), warm)))


def _main_share(stacks: StackCurve) -> tuple[float, ...]:
    return tuple(float(one) for one in (stacks.main_rate / stacks.stack_rate)[0])


# --- what was read --------------------------------------------------------------------------------------------------------


def _corner(
    model: Model, proof: Proof, place: int, predicted: Outputs, doubt: Array, wanted: Array, lift: Array
) -> CornerProof:
    one = proof.first.at(CORNERS[place])
    travel = predicted.travel[:1]
    stacks = model.stacks[0]
    rate = float(stacks.rate(travel)[0, place])
    return CornerProof(
        name=CORNERS[place],
        height=one.height,
        height_doubt=2.0 * float(model.readings[0].height_doubt[place]),
        friction=one.half_difference,
        predicted=float(predicted.height[0, place]),
        predicted_doubt=float(doubt[place]),
        ordered=float(wanted[place]),
        warm_lift=float(lift[place]),
        warm_doubt=float(model.warmth_doubt()[place]),
        force_predicted=float(predicted.force[0, place]),
        tire_predicted=float(predicted.tire[0, place]),
        pad=one.pad,
        # On its stop or bound the springs have no rate.
        rate=rate if math.isfinite(rate) else None,
        past_crossover=bool(travel[0, place] > stacks.step_travel[0, place]),
    )


def _warp(model: Model, corners: Sequence[CornerProof], predicted: Array) -> tuple[float, float]:
    """Return how far the left front and right rear stand above the other two, against the prediction, and its doubt.

    Springs hardly change it: tires on flat ground set it, so it tells a floor or a reading that is not right.
    """
    pattern = np.array([0.25, -0.25, -0.25, 0.25])
    heights = np.array([np.nan if one.height is None else one.height for one in corners])
    _, slopes = model.unmoved[0]
    slope = pattern @ slopes["height"]
    covariance = np.linalg.inv(model.precision(ALL))
    own = (pattern**2 * model.readings[0].height_doubt ** 2).sum()
    return float(pattern @ (heights - predicted)), float(2.0 * np.sqrt(slope @ covariance @ slope + own))


def _trim(
    model: Model, best: Fit, corners: Sequence[CornerProof], wanted: Array, basis: Basis, proof: Proof
) -> Trim | None:
    measured = np.array([np.nan if one.height is None else one.height for one in corners])
    doubts = max(one.height_doubt for one in corners)
    # Nothing is turned for what may be the warmth of the gas, and gone once it is cold.
    wanted = wanted + _warmth_explains(model, measured - wanted, proof)
    cross = float(model.outputs(np.zeros((1, COUNT)), 0, basis.springs).cross[0])
    return trim(
        model, best.values, model.stacks[0], measured, wanted, max(proof.doubt, doubts), _room(model, basis), cross
    )


def _warmth_explains(model: Model, off: Array, proof: Proof) -> Array:
    """Return what of the heights' differences a temperature explains that the gas may have had, and was not taken at."""
    rise = model.unmoved[0][1]["height"][:, WARMTH]
    square = float(rise @ rise)
    if square == 0.0:
        return np.zeros(len(CORNERS))
    least, most = (one - proof.gas_temperature[0] for one in proof.gas_temperatures)
    return np.asarray(rise * min(max(float(rise @ off) / square, least), most))


def _room(model: Model, basis: Basis) -> Room:
    turn = model.ready[0].turn[0]
    moved = model.stacks[0].preload[0] - basis.springs.preload[0]
    # The thread that an order must leave over is no turns to give away here either.
    kept = np.array([limits(basis.rig, corner.partition("_")[2]).adjuster_reserve for corner in CORNERS])
    return Room(
        on=np.array([_whole(each) for each in (basis.thread - kept - moved) / turn]),
        off=np.array([_whole(each) for each in (basis.slack + moved) / turn]),
    )


def _whole(turns: float) -> float:
    """Return what is there in whole half turns; a rounding error of the machine does not cost one."""
    return max(0.0, float(np.floor(turns * HALF_TURN + 1e-6)) / HALF_TURN)
