"""The whole rig at rest: one body on two axles, solved on its true curves for many rigs at once.

Seven unknowns: the body's heave, pitch and roll, and each axle's heave and roll.
Axes: x forward, y left, z up; pitch is positive nose down, roll is positive with the left side up.
Every array has the rigs first; corners are ordered left front, right front, left rear, right rear, axles front, rear.

A solid axle turns about its roll center, which stays with the axle: the coil-over's length follows exactly from its
eyes in the plane across the vehicle. Independent wheels go straight up and down, each on its own.
The rest is where the potential energy is least. It holds springs, stops, straps, gas, bars, tires that cannot pull,
and weight: what stands above a roll center pushes the lean further, which springs must overcome.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property, reduce
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.constants import ATMOSPHERE

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

# A stop that is solid, a bound spring, a taut strap: each gives about a millimeter under the weight of a vehicle.
SOLID_RATE = 1e7
# Below this the finding fails, and below the other it is close. Ours: no published value is known.
ROLL_MARGIN_FAILS = 1.3
ROLL_MARGIN_CLOSE = 2.5

STANDS, ON_STOPS, UNSTABLE, TIPS, NOT_FOUND = range(5)
REFUSALS = {
    ON_STOPS: "It cannot be held up: it sits on its stops.",
    UNSTABLE: "Upright is unstable: the roll stiffness is less than the weight's leverage above the roll axis, "
    "so it falls over to one side.",
    TIPS: "It does not stand: the weight lies outside the tires.",
    NOT_FOUND: "No position of rest was found for these numbers. Check them for a wrong unit.",
}

_MOST_ROUNDS = 200
_MOST_HALVINGS = 40
_PATIENCE = 30
_LENIENCE = 1e3
_WORTHWHILE = 0.8
_MOST_KICKS = 6
_FLAT = 1e-6  # of the weight: a rate below nothing by less than this is rounding
_KICK = 1e-3
_ENOUGH = 1e-10  # of the weight: what may be left over of any force or moment
_LARGEST_STEP = 0.2
_NEAR = 1e-6
_TIPPED = 0.7
_FLATTEST = 0.2  # share of the motion ratio at ride below which a measured one is not carried on
_LEFT_RIGHT = np.array([1.0, -1.0, 1.0, -1.0])
_BODY = slice(0, 3)
_AXLES = ((3, 4), (5, 6))


@dataclass(frozen=True, kw_only=True)
class AxialForces:
    """What pushes each coil-over apart: straight pieces that each begin somewhere, a pad's own curve, and gas.

    `places` and `rates` have one more axis for the pieces: a piece pushes with its rate times the travel beyond its
    place. Travel counts from full extension. Below `strap_travel` a strap, or the damper's own end, pulls.
    Beyond its straight piece a pad pushes with `pad_cubic` times the cube of its squash, from `pad_place` on until
    nothing is left of `pad_depth`.
    The gas stays at the same temperature; `gas_limit` is the travel beyond which its force goes on straight.
    """

    places: Array
    rates: Array
    pad_place: Array
    pad_depth: Array
    pad_cubic: Array
    strap_travel: Array
    gas_pressure: Array
    gas_volume: Array
    rod_area: Array
    gas_limit: Array

    def at(self, travel: Array) -> tuple[Array, Array, Array]:
        """Return force, rate and stored energy at a travel."""
        taut = np.maximum(self.strap_travel - travel, 0.0)
        force = -SOLID_RATE * taut
        energy = -force * taut
        rate: Array = SOLID_RATE * (taut > 0).astype(np.float64)
        for piece in range(self.places.shape[-1]):
            place, added = self.places[..., piece], self.rates[..., piece]
            beyond = np.maximum(travel - place, 0.0)
            pushing = added * beyond
            force = force + pushing
            rate = rate + added * (travel >= place)
            energy = energy + pushing * beyond
        energy = energy / 2
        if np.any(self.pad_cubic):
            beyond = np.maximum(travel - self.pad_place, 0.0)
            squash = np.minimum(beyond, self.pad_depth)
            pushing = self.pad_cubic * squash**3
            force = force + pushing
            rate = rate + np.where(beyond < self.pad_depth, 3 * self.pad_cubic * squash**2, 0.0)
            energy = energy + pushing * (squash / 4 + beyond - squash)
        if not np.any(self.rod_area):
            return force, rate, energy
        inside = np.minimum(travel, self.gas_limit)
        share = self.rod_area / self.gas_volume
        squeeze = 1.0 / (1.0 - share * inside)
        thrust, outside = (self.gas_pressure + ATMOSPHERE) * self.rod_area, ATMOSPHERE * self.rod_area
        gas_force = thrust * squeeze - outside
        gas_rate = thrust * share * squeeze**2
        gas_energy = (self.gas_pressure + ATMOSPHERE) * self.gas_volume * np.log(squeeze) - outside * inside
        past = travel - inside
        if np.any(past):
            gas_energy = gas_energy + past * (gas_force + gas_rate * past / 2)
            gas_force = gas_force + gas_rate * past
        return force + gas_force, rate + gas_rate, energy + gas_energy


@dataclass(frozen=True, kw_only=True)
class RestRigs:
    """Rigs to be solved: scalars per rig (N,), axles (N, 2) or corners (N, 4); a leading axis of 1 serves all.

    Arms are distances from the sprung center of gravity to the axles. Heights count from the ground.
    `lean` (top inward), `eye_length`, `mount_base` and `mount_height` describe the coil-over where the lean was read.
    Where `by_ratio` is set, damper travel follows from the measured motion ratio and its slope instead, from `ratio_travel`
    on; then `mount_base` is the base on which the springs act in roll. Independent wheels act on the track.
    """

    sprung_weight: Array
    front_arm: Array
    rear_arm: Array
    sprung_left: Array
    sprung_height: Array
    roll_center_height: Array
    unsprung_weight: Array
    unsprung_left: Array
    unsprung_height: Array
    track: Array
    independent: Flags
    bar_rate: Array
    tire_rate: Array
    extended_length: Array
    lean: Array
    eye_length: Array
    mount_base: Array
    mount_height: Array
    by_ratio: Flags
    motion_ratio: Array
    motion_ratio_slope: Array
    ratio_travel: Array
    solid_travel: Array
    forces: AxialForces

    @property
    def count(self) -> int:
        """How many rigs there are."""
        own = [np.shape(getattr(self, part.name))[0] for part in fields(self) if part.name != "forces"]
        return int(max(*own, *(np.shape(getattr(self.forces, part.name))[0] for part in fields(AxialForces))))


@dataclass(frozen=True, kw_only=True)
class Rest:
    """Where each rig comes to rest.

    `status` names what kind of rest it is; `REFUSALS` has the sentences. `state` are the seven unknowns.
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
    roll_stiffness: Array
    roll_leverage: Array
    hessian: Array
    length_slope: Array
    tire_slope: Array
    frame_slope: Array

    @cached_property
    def roll_margin(self) -> Array:
        """Roll stiffness over the weight's leverage; infinite where the weight does not push the lean further."""
        pushing = self.roll_leverage > 0
        safe = np.where(pushing, self.roll_leverage, 1.0)
        margin: Array = np.where(pushing, self.roll_stiffness.sum(axis=1) / safe, np.inf)
        return margin

    def influence(self) -> Influence:
        """Return what one unit more force in each coil-over, at its present length, does at all four corners."""
        pushed = np.swapaxes(self.length_slope, 1, 2)
        try:
            moved = np.asarray(np.linalg.solve(self.hessian, pushed), dtype=np.float64)
        except np.linalg.LinAlgError:
            # Something hangs free in one of them, as a wheel in the air without a spring: it does not answer.
            moved = np.asarray(np.linalg.pinv(self.hessian) @ pushed, dtype=np.float64)
        return Influence(
            travel=-self.length_slope @ moved,
            frame_height=self.frame_slope @ moved,
            tire_load=self.tire_slope @ moved,
            body_roll=moved[:, 2, :],
            body_pitch=moved[:, 1, :],
        )


@dataclass(frozen=True, kw_only=True)
class Influence:
    """Changes per unit of force: rigs, corner that answers, corner that is changed. Roll and pitch lack the middle one."""

    travel: Array
    frame_height: Array
    tire_load: Array
    body_roll: Array
    body_pitch: Array


def solve(rigs: RestRigs, start: Array | None = None) -> Rest:
    """Return where each rig rests. Always answers; what cannot be held up is told in `status`."""
    energy = _Energy.of(rigs, rigs.count)
    state = energy.start() if start is None else np.array(np.broadcast_to(start, (rigs.count, 7)))
    state, done = _descend(energy, state)
    first, second = energy.slopes(state)
    for _ in range(_MOST_KICKS):
        tops, away = _balanced_on_a_top(energy, state, done, second)
        if len(tops) == 0:
            break
        state[tops], done[tops] = _descend(energy.only(tops), away)
        first, second = energy.slopes(state)
    return _rest(rigs, energy, state, done, first, second)


# --- energy ---------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Energy:
    """The potential energy of rigs with its first and second derivatives, everything at one shape."""

    weight: Array
    tolerance: Array
    linear: Array
    diagonal: Array
    arms: Array
    half_track: Array
    tire_rate: Array
    bar_rate: Array
    solid: Array
    any_free: bool
    lower: Array
    upper: Array
    extended: Array
    by_ratio: Flags
    any_ratio: bool
    ratio: Array
    slope: Array
    ratio_travel: Array
    lever: Array
    bend: Array
    forces: AxialForces

    @classmethod
    def of(cls, rigs: RestRigs, count: int) -> _Energy:
        def one(value: Any) -> Array:
            return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), (count,)))

        def two(value: Any) -> Array:
            return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), (count, 2)))

        def four(value: Any) -> Array:
            given = np.asarray(value, dtype=np.float64)
            return np.array(np.broadcast_to(_corners(given) if given.shape[1] == 2 else given, (count, 4)))

        sprung, unsprung = one(rigs.sprung_weight), two(rigs.unsprung_weight)
        arms = np.stack([one(rigs.front_arm), -one(rigs.rear_arm)], axis=1)
        center_height = two(rigs.roll_center_height)
        # Of the sprung weight, each axle carries what the other one's arm leaves it.
        shares = np.abs(arms[:, ::-1]) / np.abs(arms).sum(axis=1, keepdims=True)
        carried = sprung[:, None] * shares
        axis_height = (shares * center_height).sum(axis=1)
        independent = two(rigs.independent) > 0
        linear = np.zeros((count, 7))
        linear[:, 0] = sprung
        linear[:, 2] = sprung * one(rigs.sprung_left)
        linear[:, [3, 5]] = unsprung
        linear[:, [4, 6]] = unsprung * two(rigs.unsprung_left)
        diagonal = np.zeros((count, 7))
        diagonal[:, 2] = -sprung * (one(rigs.sprung_height) - axis_height)
        # Independent wheels go straight up and down: their own weight does not push a lean further.
        own = np.where(independent, 0.0, unsprung * two(rigs.unsprung_height))
        diagonal[:, [4, 6]] = -(carried * center_height + own)
        track, base = four(rigs.track), four(rigs.mount_base)
        left_right = np.broadcast_to(_LEFT_RIGHT, (count, 4))
        free = _corners(independent)
        below = four(rigs.mount_height) - _corners(center_height)
        lean, length = four(rigs.lean), four(rigs.eye_length)
        lower = np.stack([left_right * base / 2, below], axis=-1)
        top = np.stack([-left_right * np.sin(lean), np.cos(lean)], axis=-1) * length[..., None]
        slope, ratio = four(rigs.motion_ratio_slope), four(rigs.motion_ratio)
        bent = np.where(slope == 0, 1.0, np.abs(slope))
        by_ratio = four(rigs.by_ratio) > 0
        given = {part.name: np.asarray(getattr(rigs.forces, part.name)) for part in fields(AxialForces)}
        pieces = max(np.shape(given["places"])[-1], np.shape(given["rates"])[-1])
        weight = sprung + unsprung.sum(axis=1)
        return cls(
            weight=weight,
            tolerance=_ENOUGH * np.maximum(weight, 1.0),
            linear=linear,
            diagonal=diagonal,
            arms=arms,
            half_track=track * left_right / 2,
            tire_rate=four(rigs.tire_rate),
            bar_rate=two(rigs.bar_rate),
            solid=np.where(free, 0.0, 1.0),
            any_free=bool(np.any(free)),
            lower=lower,
            upper=lower + top,
            extended=four(rigs.extended_length),
            by_ratio=by_ratio,
            any_ratio=bool(np.any(by_ratio)),
            ratio=ratio,
            slope=slope,
            ratio_travel=four(rigs.ratio_travel),
            lever=left_right * base / 2,
            bend=np.where(slope == 0, np.inf, (1 - _FLATTEST) * ratio / bent),
            forces=AxialForces(
                **{
                    name: np.array(np.broadcast_to(value, (count, 4, pieces)))
                    if name in ("places", "rates")
                    else four(value)
                    for name, value in given.items()
                }
            ),
        )

    def only(self, chosen: Any) -> _Energy:
        """Return some of the rigs."""
        parts: dict[str, Any] = {}
        for part in fields(self):
            value = getattr(self, part.name)
            if isinstance(value, AxialForces):
                value = AxialForces(**{own.name: getattr(value, own.name)[chosen] for own in fields(AxialForces)})
            elif isinstance(value, np.ndarray):
                value = value[chosen]
            parts[part.name] = value
        return _Energy(**parts)

    def start(self) -> Array:
        """Return a first position: tires carrying the weight, coil-overs where the lean was read."""
        state = np.zeros((len(self.weight), 7))
        state[:, [0, 3, 5]] = -(self.weight / self.tire_rate.sum(axis=1))[:, None]
        return state

    # Per axle the body moves by (w, psi) over it: w = z - x pitch - u and psi = roll - axle roll.

    def over(self, state: Array) -> tuple[Array, Array]:
        """Return how far the body has moved up over each axle, and turned over it."""
        lifted = state[:, :1] - self.arms * state[:, 1:2] - state[:, [3, 5]]
        return lifted, state[:, 2:3] - state[:, [4, 6]]

    def lengths(self, lifted: Array, turned: Array, *, curved: bool) -> tuple[Array, ...]:
        """Return each coil-over's length, its two slopes along (lifted, turned), and with `curved` the curvatures."""
        turn, up = _corners(turned), _corners(lifted)
        if self.any_free:
            wheel = (1.0 - self.solid) * self.half_track
            up, turn = up + wheel * turn, self.solid * turn
            cos, sin = np.cos(turn), np.sin(turn)
        else:
            cos, sin = _corners(np.cos(turned)), _corners(np.sin(turned))
        across = cos * self.upper[..., 0] - sin * self.upper[..., 1]
        above = sin * self.upper[..., 0] + cos * self.upper[..., 1]
        side, rise = across - self.lower[..., 0], up + above - self.lower[..., 1]
        length = np.sqrt(side * side + rise * rise)
        by_up, by_turn = rise / length, (rise * across - side * above) / length
        if self.any_ratio:
            wheel_up = -up - self.lever * turn
            bent = np.clip(wheel_up, -self.bend, self.bend)
            travel = self.ratio_travel + self.ratio * wheel_up + self.slope * bent * (wheel_up - bent / 2)
            tangent = self.ratio + self.slope * bent
            length = np.where(self.by_ratio, self.extended - travel, length)
            by_up = np.where(self.by_ratio, tangent, by_up)
            by_turn = np.where(self.by_ratio, tangent * self.lever, by_turn)
        first = by_up, self.solid * by_turn + wheel * by_up if self.any_free else by_turn
        if not curved:
            return length, *first
        up_up = (1.0 - by_up**2) / length
        up_turn = (across - by_up * by_turn) / length
        turn_turn = (across**2 + above**2 - side * across - rise * above - by_turn**2) / length
        if self.any_ratio:
            curve = np.where(np.abs(wheel_up) < self.bend, -self.slope, 0.0)
            up_up = np.where(self.by_ratio, curve, up_up)
            up_turn = np.where(self.by_ratio, curve * self.lever, up_turn)
            turn_turn = np.where(self.by_ratio, curve * self.lever**2, turn_turn)
        if not self.any_free:
            return length, *first, up_up, up_turn, turn_turn
        return (
            length,
            *first,
            up_up,
            self.solid * up_turn + wheel * up_up,
            self.solid * turn_turn + wheel**2 * up_up,
        )

    def value(self, state: Array) -> Array:
        """Return the energy."""
        lifted, turned = self.over(state)
        length = self.lengths(lifted, turned, curved=False)[0]
        stored = self.forces.at(self.extended - length)[2]
        return self._summed(state, turned, stored, self.pressed(state))

    def _summed(self, state: Array, turned: Array, stored: Array, pressed: Array) -> Array:
        weight = (self.linear + self.diagonal * state / 2) * state
        return (
            _across(weight) + _across(stored + self.tire_rate * pressed**2 / 2) + _across(self.bar_rate * turned**2) / 2
        )

    def pressed(self, state: Array) -> Array:
        """Return how far each tire is pressed in."""
        heights = _corners(state[:, [3, 5]]) + self.half_track * _corners(state[:, [4, 6]])
        pressed: Array = np.maximum(-heights, 0.0)
        return pressed

    def over_axles(self, lifted: Array, turned: Array) -> tuple[Array, ...]:
        """Return, by axle, the slopes of the coil-overs' and bars' energy along (lifted, turned) and its curvatures.

        Last, the energy stored in each coil-over.
        """
        length, by_up, by_turn, up_up, up_turn, turn_turn = self.lengths(lifted, turned, curved=True)
        force, rate, stored = self.forces.at(self.extended - length)
        return (
            _axles(-force * by_up),
            _axles(-force * by_turn) + self.bar_rate * turned,
            _axles(rate * by_up**2 - force * up_up),
            _axles(rate * by_up * by_turn - force * up_turn),
            _axles(rate * by_turn**2 - force * turn_turn) + self.bar_rate,
            stored,
        )

    def slopes(self, state: Array) -> tuple[Array, Array]:
        """Return the gradient and the second derivatives."""
        _, first, bends = self.look(state)
        return first, np.moveaxis(bends, 2, 0)

    def look(self, state: Array) -> tuple[Array, Array, Array]:
        """Return the energy, its gradient and its second derivatives, these with the rigs last."""
        lifted, turned = self.over(state)
        by_up, by_turn, ups, boths, turns, stored = self.over_axles(lifted, turned)
        first = self.linear + self.diagonal * state
        # The rigs last, so that each entry lies in one piece.
        bends = np.zeros((7, 7, len(state)))
        pressed = self.pressed(state)
        push = -self.tire_rate * pressed
        stiff = self.tire_rate * (pressed > 0)
        place = np.arange(7)
        bends[place, place] = self.diagonal.T
        first[:, 0] += by_up[:, 0] + by_up[:, 1]
        first[:, 1] -= self.arms[:, 0] * by_up[:, 0] + self.arms[:, 1] * by_up[:, 1]
        first[:, 2] += by_turn[:, 0] + by_turn[:, 1]
        pushed, tilting = _axles(push), _axles(self.half_track * push)
        held, tilt, righting = _axles(stiff), _axles(self.half_track * stiff), _axles(self.half_track**2 * stiff)
        for axle, (heave, roll) in enumerate(_AXLES):
            arm = self.arms[:, axle]
            first[:, heave] += pushed[:, axle] - by_up[:, axle]
            first[:, roll] += tilting[:, axle] - by_turn[:, axle]
            up, both, turn = ups[:, axle], boths[:, axle], turns[:, axle]
            for index, along in ((0, up), (1, -arm * up), (heave, -up)):
                bends[index, 0] += along
                bends[index, 1] -= along * arm
                bends[index, heave] -= along
            for index, along in ((0, both), (1, -arm * both), (heave, -both)):
                bends[index, 2] += along
                bends[index, roll] -= along
                bends[2, index] += along
                bends[roll, index] -= along
            bends[2, 2] += turn
            bends[roll, roll] += turn + righting[:, axle]
            bends[2, roll] -= turn
            bends[roll, 2] -= turn
            bends[heave, heave] += held[:, axle]
            bends[heave, roll] += tilt[:, axle]
            bends[roll, heave] += tilt[:, axle]
        return self._summed(state, turned, stored, pressed), first, bends


def _corners(value: Any) -> Any:
    return np.repeat(value, 2, axis=1)


def _axles(value: Array) -> Array:
    return value[:, ::2] + value[:, 1::2]


# Over a few columns these are many times faster than a sum or a maximum along the axis.


def _across(value: Array) -> Array:
    """Return the sum of each row."""
    found: Array = reduce(np.add, value.T)
    return found


def _largest(value: Array) -> Array:
    """Return the largest size in each row."""
    found: Array = reduce(np.maximum, np.abs(value).T)
    return found


# --- going downhill -----------------------------------------------------------------------------------------------------


def _descend(energy: _Energy, state: Array) -> tuple[Array, Flags]:
    """Newton's method with a line search on the energy; where the ground is not bowl-shaped, its curvature is turned up."""
    done = np.zeros(len(state), dtype=bool)
    places = np.arange(len(state))
    active, now = energy, state
    live = ~done
    seen = active.look(now)
    for turn in range(_MOST_ROUNDS):
        _, first, bends = seen
        # Rounding may hold a rig on a top, where its last step would go up: later on a little more may be left over.
        enough = active.tolerance * (1.0 if turn < _PATIENCE else _LENIENCE)
        still = live & (_largest(first) <= enough)
        if np.any(still):
            # One step more costs little and leaves nothing but rounding.
            last = _newton(first[still], bends[:, :, still])
            near = _largest(last)[:, None] < _NEAR
            state[places[still]] = now[still] + np.where(near, last, 0.0)
            done[places[still]] = True
        live &= ~still & (_largest(now[:, [1, 2]]) <= _TIPPED)
        left = np.count_nonzero(live)
        if left == 0:
            break
        # Leaving rigs out costs more than carrying a few along.
        if left < _WORTHWHILE * len(live):
            places, now, active = places[live], now[live], active.only(live)
            seen, live = (seen[0][live], first[live], bends[:, :, live]), live[live]
        now, seen = _along(active, now, seen, live)
        state[places[live]] = now[live]
    return state, done


def _balanced_on_a_top(energy: _Energy, state: Array, done: Flags, second: Array) -> tuple[NDArray[np.int64], Array]:
    """Return which rigs balance where nothing pushes them back, as on two tires, and each a little way down from there."""
    none = np.zeros(0, dtype=np.int64)
    try:
        np.linalg.cholesky(second)
    except np.linalg.LinAlgError:
        values, vectors = np.linalg.eigh(second)
        tops = np.flatnonzero(done & (values[:, 0] < -_FLAT * energy.weight)).astype(np.int64)
        part, way = energy.only(tops), _KICK * vectors[tops, :, 0]
        lower = part.value(state[tops] + way) <= part.value(state[tops] - way)
        return tops, state[tops] + np.where(lower, 1.0, -1.0)[:, None] * way
    return none, state[none]


def _direction(first: Array, bends: Array) -> Array:
    step = _newton(first, bends)
    downhill = _across(first * step)
    wrong = ~np.isfinite(downhill) | (downhill >= 0)
    if np.any(wrong):
        values, vectors = np.linalg.eigh(np.moveaxis(bends[:, :, wrong], 2, 0))
        size = np.maximum(np.abs(values), 1e-9 * np.abs(values).max(axis=1, keepdims=True))
        along = np.einsum("nij,ni->nj", vectors, first[wrong]) / size
        step[wrong] = -np.einsum("nij,nj->ni", vectors, along)
    largest = _largest(step)[:, None]
    limited: Array = step * np.minimum(1.0, _LARGEST_STEP / np.maximum(largest, 1e-300))
    return limited


def _newton(first: Array, bends: Array) -> Array:
    """Return the step to where the gradient would vanish; not finite where there is none.

    An axle meets the other one only through the body: each is eliminated first, and three unknowns are left. That is
    sound where all that it divides by is positive, which is where the ground is bowl-shaped; elsewhere it is solved whole.
    """
    slopes = first.T
    sound = np.ones(len(first), dtype=bool)
    step = np.empty_like(slopes)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        body = bends[_BODY, _BODY].copy()
        left = slopes[_BODY].copy()
        solved = []
        for heave, roll in _AXLES:
            up, tilt, both = bends[heave, heave], bends[roll, roll], bends[heave, roll]
            area = up * tilt - both * both
            sound &= (up > 0) & (area > _FLAT * up * tilt)
            by_up, by_tilt = bends[_BODY, heave], bends[_BODY, roll]
            # How the axle follows the body, and its own slopes.
            ups, tilts = (tilt * by_up - both * by_tilt) / area, (up * by_tilt - both * by_up) / area
            own = (
                (tilt * slopes[heave] - both * slopes[roll]) / area,
                (up * slopes[roll] - both * slopes[heave]) / area,
            )
            body -= ups[:, None] * by_up + tilts[:, None] * by_tilt
            left -= by_up * own[0] + by_tilt * own[1]
            solved.append((heave, roll, ups, tilts, own))
        moved = step[_BODY]
        second, third = body[1, 0] / body[0, 0], body[2, 0] / body[0, 0]
        middle = body[1, 1] - second * body[1, 0]
        corner = body[2, 1] - third * body[1, 0]
        across = corner / middle
        last = body[2, 2] - third * body[2, 0] - across * corner
        down = left[1] - second * left[0]
        moved[2] = -(left[2] - third * left[0] - across * down) / last
        moved[1] = -down / middle - across * moved[2]
        moved[0] = -left[0] / body[0, 0] - second * moved[1] - third * moved[2]
        sound &= (body[0, 0] > 0) & (middle > 0) & (last > 0)
        for heave, roll, ups, tilts, own in solved:
            step[heave] = -own[0] - _across((ups * moved).T)
            step[roll] = -own[1] - _across((tilts * moved).T)
    if not np.all(sound):
        step[:, ~sound] = _solved_whole(first[~sound], bends[:, :, ~sound]).T
    return step.T


def _solved_whole(first: Array, bends: Array) -> Array:
    try:
        return np.asarray(-np.linalg.solve(np.moveaxis(bends, 2, 0), first[..., None])[..., 0], dtype=np.float64)
    except np.linalg.LinAlgError:
        # One of them cannot be solved: all of them take the other way.
        return np.full_like(first, np.nan)


def _along(
    energy: _Energy, state: Array, seen: tuple[Array, Array, Array], live: Flags
) -> tuple[Array, tuple[Array, Array, Array]]:
    """Go down by a step, halved until it goes down enough; where rounding hides that, until the forces get smaller.

    `seen` is what `look` gives; it is returned for the place that was found. Rigs that are not `live` go anywhere.
    """
    before, first, bends = seen
    step = _direction(first, bends)
    downhill = _across(first * step)
    noise = 1e-12 * (np.abs(before) + energy.weight)
    steepness = _largest(first)
    found = state + step
    values, slopes, rates = energy.look(found)
    size = 1.0
    waiting, part = np.arange(len(state)), energy
    tried: tuple[Array, Array, Array] = (values, slopes, rates)
    for _ in range(_MOST_HALVINGS):
        after, left, _ = tried
        low = before[waiting]
        enough = after <= low + 1e-4 * size * downhill[waiting]
        # Not down enough, but within rounding of it: then the forces decide. What is no number is never enough.
        enough |= (after <= low + noise[waiting]) & (_largest(left) < steepness[waiting])
        short = live[waiting] & ~enough
        if not np.any(short):
            break
        waiting, part = waiting[short], part.only(short)
        size /= 2
        found[waiting] = state[waiting] + size * step[waiting]
        tried = part.look(found[waiting])
        values[waiting], slopes[waiting], rates[:, :, waiting] = tried
    return found, (values, slopes, rates)


# --- what it means ---------------------------------------------------------------------------------------------------------


def _rest(rigs: RestRigs, energy: _Energy, state: Array, done: Flags, first: Array, second: Array) -> Rest:
    lifted, turned = energy.over(state)
    length, by_up, by_turn = energy.lengths(lifted, turned, curved=False)
    travel = energy.extended - length
    force = energy.forces.at(travel)[0]
    pressed = energy.pressed(state)
    loads = energy.tire_rate * pressed
    frame = _corners(lifted + state[:, [3, 5]]) + energy.half_track * state[:, 2:3]
    axles = _corners(state[:, [3, 5]]) + energy.half_track * _corners(state[:, [4, 6]])
    count = len(state)
    length_slope, tire_slope, frame_slope = (np.zeros((count, 4, 7)) for _ in range(3))
    arms = _corners(energy.arms)
    length_slope[:, :, 0] = by_up
    length_slope[:, :, 1] = -by_up * arms
    length_slope[:, :, 2] = by_turn
    frame_slope[:, :, 0] = 1.0
    frame_slope[:, :, 1] = -arms
    frame_slope[:, :, 2] = energy.half_track
    stiff = energy.tire_rate * (pressed > 0)
    for axle, (heave, roll) in enumerate(_AXLES):
        mine = slice(2 * axle, 2 * axle + 2)
        length_slope[:, mine, heave] = -by_up[:, mine]
        length_slope[:, mine, roll] = -by_turn[:, mine]
        tire_slope[:, mine, heave] = -stiff[:, mine]
        tire_slope[:, mine, roll] = -stiff[:, mine] * energy.half_track[:, mine]
    # Upright: both axles as high below the body as they are, but not turned.
    stiffness = energy.over_axles(lifted, np.zeros_like(turned))[4]
    leverage = -energy.diagonal[:, 2]
    total = np.maximum(loads.sum(axis=1), 1e-300)
    return Rest(
        status=_status(energy, state, done, travel, stiffness, np.asarray(rigs.solid_travel)),
        state=state,
        residual=_largest(first),
        travel=travel,
        damper_length=length,
        axial_force=force,
        tire_load=loads,
        frame_height=frame,
        wheel_height=axles - frame,
        cross_share=(loads[:, 1] + loads[:, 2]) / total,
        body_pitch=state[:, 1],
        body_roll=state[:, 2],
        roll_stiffness=stiffness,
        roll_leverage=leverage,
        hessian=second,
        length_slope=length_slope,
        tire_slope=tire_slope,
        frame_slope=frame_slope,
    )


def _status(
    energy: _Energy, state: Array, done: Flags, travel: Array, stiffness: Array, solid_travel: Array
) -> NDArray[np.int64]:
    """Return what kind of rest it is; the gravest reason wins."""
    solid = travel > (_corners(solid_travel) if solid_travel.shape[1] == 2 else solid_travel)
    tires = _axles(energy.tire_rate * energy.half_track**2) + energy.diagonal[:, [4, 6]]
    # Springs over tires, in series: what is left against the weight above the roll axis.
    safe = np.where(stiffness + tires > 0, stiffness + tires, 1.0)
    series = np.where(stiffness + tires > 0, stiffness * tires / safe, -np.inf)
    falls = (series.sum(axis=1) + energy.diagonal[:, 2] <= 0) | np.any(tires <= 0, axis=1)
    status = np.full(len(state), STANDS, dtype=np.int64)
    status[np.any(solid, axis=1)] = ON_STOPS
    status[falls] = UNSTABLE
    status[~done] = NOT_FOUND
    tipped = np.abs(state[:, [1, 2]]).max(axis=1) > _TIPPED
    # With its weight inside the tires it tips only because nothing holds it upright.
    outward = np.abs(energy.linear[:, [2, 4, 6]].sum(axis=1)) >= energy.weight * np.abs(energy.half_track).min(axis=1)
    ahead = np.any(energy.arms * np.array([1.0, -1.0]) <= 0, axis=1)
    status[tipped] = np.where(outward | ahead, TIPS, UNSTABLE)[tipped]
    return status
