"""The potential energy of rigs on their springs, with its slopes and curvatures: what the rest solve goes down on.

Seven unknowns: the body's heave, pitch and roll, and each axle's heave and roll.
Every array has the rigs first; corners are ordered left front, right front, left rear, right rear, axles front, rear.
"""

# Over 400 lines: one energy with its slopes and its curvature; who changes a term changes it in all three.

from __future__ import annotations

from dataclasses import dataclass, field, fields
from functools import reduce
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.constants import ATMOSPHERE
from calc.heave_path import LongPath

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

# A stop that is solid, a bound spring, a taut strap: each gives about a millimeter under the weight of a vehicle.
SOLID_RATE = 1e7
AXLES = ((3, 4), (5, 6))
_ENOUGH = 1e-10  # of the weight: what may be left over of any force or moment
_UPRIGHT_BAR = 0.9  # share of its length by which a track bar's ends may stand above each other
LEFT_RIGHT = np.array([1.0, -1.0, 1.0, -1.0])


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
            pushing = self.pad_cubic * squash * squash * squash
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
    Where `by_ratio` is set, `motion_ratio` and `motion_ratio_slope` were measured there and say what the damper does in
    heave. What it does as the body turns over the axle is that of its eyes as far as `eyes_known` goes (1: altogether);
    for the rest it acts on the base where its line crosses the roll center's height. Independent wheels act on the track.
    Such eyes stand as upright as the ratio says, on an axle that goes straight up; as `lean_back`, the lean fore and aft,
    says where it is known (not a number: it is not).
    A `track_bar` (frame end's place across and height, axle end's) moves the body across as its ends move; without one,
    both ends alike, the roll center stays on the body.
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
    eyes_known: Array
    track_bar: Array
    solid_travel: Array
    forces: AxialForces
    lean_back: Array = field(default_factory=lambda: np.full((1, 2), np.nan))

    @property
    def count(self) -> int:
        """How many rigs there are."""
        own = [np.shape(getattr(self, part.name))[0] for part in fields(self) if part.name != "forces"]
        return int(max(*own, *(np.shape(getattr(self.forces, part.name))[0] for part in fields(AxialForces))))


@dataclass(frozen=True)
class Energy:
    """The potential energy of rigs with its first and second derivatives, everything at one shape.

    `path` and `lever` are of coil-overs whose ratio was measured, `aside` what the body's shift across counts for there.
    """

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
    aback: Array
    extended: Array
    by_ratio: Flags
    any_ratio: bool
    path: LongPath
    lever: Array
    aside: Array
    eyes: Array
    bars: TrackBars | None
    carried: Array
    forces: AxialForces

    @classmethod
    def of(cls, rigs: RestRigs, count: int) -> Energy:
        # Over 60 lines: each part of the energy is made from the rigs once, one line a part.
        def one(value: Any) -> Array:
            return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), (count,)))

        def two(value: Any) -> Array:
            return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), (count, 2)))

        def four(value: Any) -> Array:
            given = np.asarray(value, dtype=np.float64)
            return np.array(np.broadcast_to(corners(given) if given.shape[1] == 2 else given, (count, 4)))

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
        left_right = np.broadcast_to(LEFT_RIGHT, (count, 4))
        free = corners(independent)
        below = four(rigs.mount_height) - corners(center_height)
        lean, length = four(rigs.lean), four(rigs.eye_length)
        lower = np.stack([left_right * base / 2, below], axis=-1)
        slope, ratio = four(rigs.motion_ratio_slope), four(rigs.motion_ratio)
        by_ratio = four(rigs.by_ratio) > 0
        # Eyes between which the axle goes straight up: the ratio tells how upright the line is, the lean how far across.
        back = four(rigs.lean_back)
        told = 1.0 / np.sqrt(1.0 + np.tan(lean) ** 2 + np.tan(back) ** 2)
        upright = np.where(by_ratio, np.where(np.isnan(back), ratio, told), np.cos(lean)) * length
        inward = np.where(by_ratio, upright * np.tan(lean), np.sin(lean) * length)
        aback = np.where(by_ratio, np.maximum(length**2 - upright**2 - inward**2, 0.0), 0.0)
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
            upper=lower + np.stack([-left_right * inward, upright], axis=-1),
            aback=aback,
            extended=four(rigs.extended_length),
            by_ratio=by_ratio,
            any_ratio=bool(np.any(by_ratio)),
            path=LongPath.of(ratio=ratio, slope=slope, length=length),
            lever=left_right * (base / 2 + below * np.tan(lean)),
            aside=left_right * np.tan(lean),
            eyes=np.where(by_ratio, four(rigs.eyes_known), 1.0),
            bars=TrackBars.of(rigs.track_bar, center_height, independent),
            carried=carried,
            forces=AxialForces(
                **{
                    name: np.array(np.broadcast_to(value, (count, 4, pieces)))
                    if name in ("places", "rates")
                    else four(value)
                    for name, value in given.items()
                }
            ),
        )

    def only(self, chosen: Any) -> Energy:
        """Return some of the rigs."""
        parts: dict[str, Any] = {}
        for part in fields(self):
            value = getattr(self, part.name)
            if isinstance(value, (AxialForces, LongPath, TrackBars)):
                kept = {own.name: getattr(value, own.name)[chosen] for own in fields(value)}
                value = type(value)(**kept)
            elif isinstance(value, np.ndarray):
                value = value[chosen]
            parts[part.name] = value
        return Energy(**parts)

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
        turn, up = corners(turned), corners(lifted)
        if self.any_free:
            wheel = (1.0 - self.solid) * self.half_track
            up, turn = up + wheel * turn, self.solid * turn
            cos, sin = np.cos(turn), np.sin(turn)
        else:
            cos, sin = corners(np.cos(turned)), corners(np.sin(turned))
        bar = None if self.bars is None else tuple(corners(part) for part in self.bars.across(lifted, turned))
        shift = None if bar is None else bar[0]
        found = self._between_eyes(up, cos, sin, shift)
        if self.any_ratio:
            found = self._by_ratio(up, turn, shift, found)
        if bar is not None:
            found = _shifted(found, bar)
        length, by_up, by_turn, up_up, up_turn, turn_turn = found[:6]
        if self.any_free:
            first = by_up, self.solid * by_turn + wheel * by_up
            turn_turn = self.solid * turn_turn + wheel**2 * up_up
            up_turn = self.solid * up_turn + wheel * up_up
        else:
            first = by_up, by_turn
        return (length, *first, up_up, up_turn, turn_turn) if curved else (length, *first)

    def _between_eyes(self, up: Array, cos: Any, sin: Any, shift: Array | None) -> tuple[Array, ...]:
        """Return the length between the eyes with its slopes along (up, turn) and its three curvatures.

        With the body's shift across come its slope along that, and the curvatures that it has part in.
        """
        across = cos * self.upper[..., 0] - sin * self.upper[..., 1]
        above = sin * self.upper[..., 0] + cos * self.upper[..., 1]
        side, rise = across - self.lower[..., 0], up + above - self.lower[..., 1]
        if shift is not None:
            side = side + shift
        length = np.sqrt(side * side + rise * rise + self.aback)
        by_up, by_turn = rise / length, (rise * across - side * above) / length
        found = (
            length,
            by_up,
            by_turn,
            (1.0 - by_up**2) / length,
            (across - by_up * by_turn) / length,
            (across**2 + above**2 - side * across - rise * above - by_turn**2) / length,
        )
        if shift is None:
            return found
        by_shift = side / length
        curves = -by_up * by_shift / length, (-above - by_turn * by_shift) / length, (1.0 - by_shift**2) / length
        return (*found, by_shift, *curves)

    def _by_ratio(self, up: Array, turn: Array, shift: Array | None, turned: tuple[Array, ...]) -> tuple[Array, ...]:
        """Return the same where a ratio was measured: heave by the ratio, what turning adds by the eyes as they are known."""
        upright = self._between_eyes(up, 1.0, 0.0, None)
        heave = self.path.at(-up)
        heaved = (heave[0] - upright[0], -heave[1] - upright[1], 0.0, heave[2] - upright[3])
        acting = -up - self.lever * turn + (0.0 if shift is None else self.aside * shift)
        along, first, second = self.path.at(acting)
        ways = (-1.0, -self.lever, self.aside)
        arm = (along, *(first * way for way in ways[:2]), *(second * one for one in (1.0, self.lever, self.lever**2)))
        if shift is not None:
            arm = (*arm, first * self.aside, *(second * way * self.aside for way in ways))
        found = []
        for place, (eyes, other) in enumerate(zip(turned, arm, strict=True)):
            known = eyes + heaved[place] if place < len(heaved) else eyes
            found.append(np.where(self.by_ratio, self.eyes * known + (1.0 - self.eyes) * other, eyes))
        return tuple(found)

    def value(self, state: Array) -> Array:
        """Return the energy."""
        lifted, turned = self.over(state)
        length = self.lengths(lifted, turned, curved=False)[0]
        stored = self.forces.at(self.extended - length)[2]
        return self._summed(state, lifted, turned, stored, self.pressed(state))

    def _summed(self, state: Array, lifted: Array, turned: Array, stored: Array, pressed: Array) -> Array:
        weight = (self.linear + self.diagonal * state / 2) * state
        if self.bars is not None:
            # What the bar moves across an axle that leans goes up or down with it.
            weight[:, :2] += self.carried * self.bars.across(lifted, turned)[0] * state[:, [4, 6]]
        return across(weight) + across(stored + self.tire_rate * pressed**2 / 2) + across(self.bar_rate * turned**2) / 2

    def pressed(self, state: Array) -> Array:
        """Return how far each tire is pressed in."""
        heights = corners(state[:, [3, 5]]) + self.half_track * corners(state[:, [4, 6]])
        pressed: Array = np.maximum(-heights, 0.0)
        return pressed

    def over_axles(self, lifted: Array, turned: Array) -> tuple[Array, ...]:
        """Return, by axle, the slopes of the coil-overs' and bars' energy along (lifted, turned) and its curvatures.

        Last, the energy stored in each coil-over.
        """
        length, by_up, by_turn, up_up, up_turn, turn_turn = self.lengths(lifted, turned, curved=True)
        force, rate, stored = self.forces.at(self.extended - length)
        return (
            axles(-force * by_up),
            axles(-force * by_turn) + self.bar_rate * turned,
            axles(rate * by_up**2 - force * up_up),
            axles(rate * by_up * by_turn - force * up_turn),
            axles(rate * by_turn**2 - force * turn_turn) + self.bar_rate,
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
        pushed, tilting = axles(push), axles(self.half_track * push)
        held, tilt, righting = axles(stiff), axles(self.half_track * stiff), axles(self.half_track**2 * stiff)
        for axle, (heave, roll) in enumerate(AXLES):
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
        if self.bars is not None:
            self._moved_across(state, lifted, turned, first, bends)
        return self._summed(state, lifted, turned, stored, pressed), first, bends

    def _moved_across(self, state: Array, lifted: Array, turned: Array, first: Array, bends: Array) -> None:
        """Add what the weight that track bars move across does to gradient and second derivatives."""
        if self.bars is None:
            return
        shift, by_up, by_turn, up_up, up_turn, turn_turn = self.bars.across(lifted, turned)
        for axle, (heave, roll) in enumerate(AXLES):
            carried, tilt = self.carried[:, axle], state[:, roll]
            # How far the axle lifts and turns under the body, by each unknown.
            lift, turn = np.zeros((2, 7, len(state)))
            lift[0], lift[1], lift[heave] = 1.0, -self.arms[:, axle], -1.0
            turn[2], turn[roll] = 1.0, -1.0
            slope = by_up[:, axle] * lift + by_turn[:, axle] * turn
            first += (carried * tilt * slope).T
            first[:, roll] += carried * shift[:, axle]
            both = lift[:, None] * turn[None, :]
            curved = (
                up_up[:, axle] * lift[:, None] * lift[None, :]
                + up_turn[:, axle] * (both + both.swapaxes(0, 1))
                + turn_turn[:, axle] * turn[:, None] * turn[None, :]
            )
            bends += carried * tilt * curved
            bends[roll] += carried * slope
            bends[:, roll] += carried * slope


@dataclass(frozen=True)
class TrackBars:
    """Each axle's track bar: a rigid bar from the body to the axle, seen from behind.

    Distances across are to the left; heights are above the roll center as it was entered, which is where the bar crosses
    the middle. Where an axle has none both ends are at one place, and nothing moves across.
    """

    left: Array
    above: Array
    axle_left: Array
    axle_above: Array

    @classmethod
    def of(cls, given: Array, center_height: Array, independent: Flags) -> TrackBars | None:
        """Return the bars of some rigs' solid axles; None where no axle has one."""
        ends = np.broadcast_to(np.asarray(given, dtype=np.float64), (*center_height.shape, 4))
        frame, up, axle, below = np.moveaxis(ends, 2, 0)
        frame = np.where(independent, axle, frame)
        return None if np.all(frame == axle) else cls(frame, up - center_height, np.array(axle), below - center_height)

    def across(self, lifted: Array, turned: Array) -> tuple[Array, ...]:
        """Return how far the body goes to the left over each axle, its slopes along (lifted, turned) and its curvatures.

        The bar stays as long as it is: across it spans what its ends' heights leave of its length. Where it would come to
        stand on end it goes on straight.
        """
        has = self.left != self.axle_left
        cos, sin = np.cos(turned), np.sin(turned)
        place, height = cos * self.left - sin * self.above, sin * self.left + cos * self.above
        rise = height + lifted - self.axle_above
        apart, up = self.left - self.axle_left, self.above - self.axle_above
        long = np.where(has, np.hypot(apart, up), 1.0)
        inside = np.clip(rise, -_UPRIGHT_BAR * long, _UPRIGHT_BAR * long)
        facing = np.sign(apart)
        span = np.sqrt(long**2 - inside**2)
        fall = -inside / span
        bend = np.where(inside == rise, -(long**2) / span**3, 0.0)
        found = (
            self.axle_left - place + facing * (span + fall * (rise - inside)),
            facing * fall,
            height + facing * fall * place,
            facing * bend,
            facing * bend * place,
            place + facing * (bend * place**2 - fall * height),
        )
        return tuple(np.where(has, part, 0.0) for part in found)


def _shifted(found: tuple[Array, ...], bar: tuple[Array, ...]) -> tuple[Array, ...]:
    """Return length, slopes and curvatures along (up, turn) where the shift across follows from both."""
    length, by_up, by_turn, up_up, up_turn, turn_turn, by_shift, up_shift, turn_shift, shift_shift = found
    _, up, turn, bar_up_up, bar_up_turn, bar_turn_turn = bar
    return (
        length,
        by_up + by_shift * up,
        by_turn + by_shift * turn,
        up_up + 2 * up_shift * up + shift_shift * up**2 + by_shift * bar_up_up,
        up_turn + up_shift * turn + turn_shift * up + shift_shift * up * turn + by_shift * bar_up_turn,
        turn_turn + 2 * turn_shift * turn + shift_shift * turn**2 + by_shift * bar_turn_turn,
    )


def corners(value: Any) -> Any:
    return np.repeat(value, 2, axis=1)


def axles(value: Array) -> Array:
    return value[:, ::2] + value[:, 1::2]


# Over a few columns these are many times faster than a sum or a maximum along the axis.


def across(value: Array) -> Array:
    """Return the sum of each row."""
    found: Array = reduce(np.add, value.T)
    return found


def largest(value: Array) -> Array:
    """Return the largest size in each row."""
    found: Array = reduce(np.maximum, np.abs(value).T)
    return found
