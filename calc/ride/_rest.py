"""The whole rig at rest: one body on two axles, solved on its true curves for many rigs at once.

Seven unknowns: the body's heave, pitch and roll, and each axle's heave and roll.
Axes: x forward, y left, z up; pitch is positive nose down, roll is positive with the left side up.
Every array has the rigs first; corners are ordered left front, right front, left rear, right rear, axles front, rear.

A solid axle turns about its roll center, which stays on the body's middle at the height where it was entered; with a
track bar it is where the bar crosses the middle, so it moves half of what the axle's heave moves the bar's ends apart,
and the bar pushes the body across. The coil-over's length follows exactly from its eyes, or from a measured ratio.
Independent wheels go straight up and down, each on its own.
The rest is where the potential energy is least. It holds springs, stops, straps, gas, bars, tires that cannot pull,
and weight: what stands above a roll center pushes the lean further, which springs must overcome.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.ride._descent import TIPPED, balanced_on_a_top, descend
from calc.ride._rest_energy import AXLES, Array, Energy, Flags, RestRigs, axles, corners, largest

# Below this it hardly stands up by itself. Ours: we know of no published value.
ROLL_MARGIN_FAILS = 1.3

STANDS, ON_STOPS, UNSTABLE, TIPS, NOT_FOUND = range(5)
REFUSALS = {
    ON_STOPS: "The springs cannot hold it up: it sits on its stops.",
    UNSTABLE: "Upright is unstable: the roll stiffness is less than the weight's leverage above the roll axis, "
    "so it falls over to one side.",
    TIPS: "It does not stand: the weight lies outside the tires.",
    NOT_FOUND: "No position of rest was found for these numbers. Check them for a wrong unit.",
}

_MOST_KICKS = 6


@dataclass(frozen=True, kw_only=True)
class Rest:
    """Where each rig comes to rest.

    `status` names what kind of rest it is; `REFUSALS` has the sentences. `state` are the seven unknowns.
    `center_rise` is how far each roll center has moved up on the body, by a track bar. Stiffness and leverage in roll are
    about these centers; `roll_arm` is how fast an axle's coil-overs get shorter as the body turns over it.
    `frame_height` is the body's height at each wheel, and `wheel_height` the wheel's below the frame, both counted from
    the position in which the lean was read with unloaded tires: only differences mean something.
    """

    status: NDArray[np.int64]
    state: Array
    residual: Array
    travel: Array
    damper_length: Array
    axial_force: Array
    tire_load: Array
    frame_height: Array
    wheel_height: Array
    cross_share: Array
    body_pitch: Array
    body_roll: Array
    center_rise: Array
    roll_stiffness: Array
    roll_leverage: Array
    roll_arm: Array
    hessian: Array
    ways: Ways

    @cached_property
    def roll_margin(self) -> Array:
        """Roll stiffness over the weight's leverage; infinite where the weight does not push the lean further."""
        pushing = self.roll_leverage > 0
        safe = np.where(pushing, self.roll_leverage, 1.0)
        margin: Array = np.where(pushing, self.roll_stiffness.sum(axis=1) / safe, np.inf)
        return margin

    def rows(self, places: Sequence[int]) -> Rest:
        """Return the rest of some of the rigs, in this order."""
        chosen = list(places)
        parts: dict[str, Any] = {
            part.name: getattr(self, part.name)[chosen] for part in fields(self) if part.name != "ways"
        }
        ways = Ways(**{part.name: getattr(self.ways, part.name)[chosen] for part in fields(Ways)})
        return Rest(**parts, ways=ways)

    def influence(self) -> Influence:
        """Return what one unit more force in each coil-over, at its present length, does at all four corners."""
        by_length, by_tire, by_frame = self.ways.slopes()
        pushed = np.swapaxes(by_length, 1, 2)
        try:
            moved = np.asarray(np.linalg.solve(self.hessian, pushed), dtype=np.float64)
        except np.linalg.LinAlgError:
            # Something hangs free in one of them, as a wheel in the air without a spring: it does not answer.
            moved = np.asarray(np.linalg.pinv(self.hessian) @ pushed, dtype=np.float64)
        return Influence(
            travel=-by_length @ moved,
            frame_height=by_frame @ moved,
            tire_load=by_tire @ moved,
            body_roll=moved[:, 2, :],
            body_pitch=moved[:, 1, :],
            state=moved,
        )


@dataclass(frozen=True, kw_only=True)
class Ways:
    """How each corner answers the seven unknowns where the rigs rest: the coil-over's two slopes, and what stands where."""

    by_up: Array
    by_turn: Array
    arms: Array
    half_track: Array
    tire_rate: Array

    def slopes(self) -> tuple[Array, Array, Array]:
        """Return the slopes of coil-over length, tire load and frame height: rigs, corners, unknowns."""
        length, tire, frame = (np.zeros((len(self.arms), 4, 7)) for _ in range(3))
        length[:, :, 0] = self.by_up
        length[:, :, 1] = -self.by_up * self.arms
        length[:, :, 2] = self.by_turn
        frame[:, :, 0] = 1.0
        frame[:, :, 1] = -self.arms
        frame[:, :, 2] = self.half_track
        for axle, (heave, roll) in enumerate(AXLES):
            mine = slice(2 * axle, 2 * axle + 2)
            length[:, mine, heave] = -self.by_up[:, mine]
            length[:, mine, roll] = -self.by_turn[:, mine]
            tire[:, mine, heave] = -self.tire_rate[:, mine]
            tire[:, mine, roll] = -self.tire_rate[:, mine] * self.half_track[:, mine]
        return length, tire, frame


@dataclass(frozen=True, kw_only=True)
class Influence:
    """Changes per unit of force: rigs, corner that answers, corner that is changed. Roll and pitch lack the middle one.

    Of the state it is the seven unknowns that answer.
    """

    travel: Array
    frame_height: Array
    tire_load: Array
    body_roll: Array
    body_pitch: Array
    state: Array


def solve(rigs: RestRigs, start: Array | None = None) -> Rest:
    """Return where each rig rests. Always answers; what cannot be held up is told in `status`."""
    energy = Energy.of(rigs, rigs.count)
    state = energy.start() if start is None else np.array(np.broadcast_to(start, (rigs.count, 7)))
    state, done = descend(energy, state)
    first, second = energy.slopes(state)
    for _ in range(_MOST_KICKS):
        tops, away = balanced_on_a_top(energy, state, done, second)
        if len(tops) == 0:
            break
        state[tops], done[tops] = descend(energy.only(tops), away)
        first, second = energy.slopes(state)
    return _rest(rigs, energy, state, done, first, second)


def _rest(rigs: RestRigs, energy: Energy, state: Array, done: Flags, first: Array, second: Array) -> Rest:
    lifted, turned = energy.over(state)
    length, by_up, by_turn = energy.lengths(lifted, turned, curved=False)
    travel = energy.extended - length
    force = energy.forces.at(travel)[0]
    pressed = energy.pressed(state)
    loads = energy.tire_rate * pressed
    frame = corners(lifted + state[:, [3, 5]]) + energy.half_track * state[:, 2:3]
    wheels = corners(state[:, [3, 5]]) + energy.half_track * corners(state[:, [4, 6]])
    # Upright: both axles as high below the body as they are, but not turned.
    upright = np.zeros_like(turned)
    rise = np.zeros_like(lifted) if energy.bars is None else energy.bars.across(lifted, upright)[2]
    # About a center that has moved up the springs hold the body with less, and the weight leans out with less as well.
    stiffness = energy.over_axles(lifted, upright)[4] - energy.carried * rise
    leverage = -energy.diagonal[:, 2] - (energy.carried * rise).sum(axis=1)
    arm = axles(np.abs(energy.lengths(lifted, upright, curved=False)[2])) / 2
    total = np.maximum(loads.sum(axis=1), 1e-300)
    return Rest(
        status=_status(energy, state, done, travel, rise, stiffness, leverage, np.asarray(rigs.solid_travel)),
        state=state,
        residual=largest(first),
        travel=travel,
        damper_length=length,
        axial_force=force,
        tire_load=loads,
        frame_height=frame,
        wheel_height=wheels - frame,
        cross_share=(loads[:, 1] + loads[:, 2]) / total,
        body_pitch=state[:, 1],
        body_roll=state[:, 2],
        center_rise=rise,
        roll_stiffness=stiffness,
        roll_leverage=leverage,
        roll_arm=arm,
        hessian=second,
        ways=Ways(
            by_up=by_up,
            by_turn=by_turn,
            arms=corners(energy.arms),
            half_track=energy.half_track,
            tire_rate=energy.tire_rate * (pressed > 0),
        ),
    )


def _status(
    energy: Energy,
    state: Array,
    done: Flags,
    travel: Array,
    rise: Array,
    stiffness: Array,
    leverage: Array,
    solid_travel: Array,
) -> NDArray[np.int64]:
    """Return what kind of rest it is; the gravest reason wins."""
    solid = travel > (corners(solid_travel) if solid_travel.shape[1] == 2 else solid_travel)
    tires = axles(energy.tire_rate * energy.half_track**2) + energy.diagonal[:, [4, 6]] - energy.carried * rise
    # Springs over tires, in series: what is left against the weight above the roll axis.
    safe = np.where(stiffness + tires > 0, stiffness + tires, 1.0)
    series = np.where(stiffness + tires > 0, stiffness * tires / safe, -np.inf)
    falls = (series.sum(axis=1) <= leverage) | np.any(tires <= 0, axis=1)
    status = np.full(len(state), STANDS, dtype=np.int64)
    status[np.any(solid, axis=1)] = ON_STOPS
    status[falls] = UNSTABLE
    status[~done] = NOT_FOUND
    tipped = np.abs(state[:, [1, 2]]).max(axis=1) > TIPPED
    # With its weight inside the tires it tips only because nothing holds it upright.
    outward = np.abs(energy.linear[:, [2, 4, 6]].sum(axis=1)) >= energy.weight * np.abs(energy.half_track).min(axis=1)
    ahead = np.any(energy.arms * np.array([1.0, -1.0]) <= 0, axis=1)
    status[tipped] = np.where(outward | ahead, TIPS, UNSTABLE)[tipped]
    return status
