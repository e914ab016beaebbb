"""Downhill on the energy of rigs to where each of them rests: Newton's method by blocks, for many rigs at once."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc import alive
from calc.ride._rest_energy import AXLES, Array, Energy, Flags, across, largest

TIPPED = 0.7
_MOST_ROUNDS = 200
_MOST_HALVINGS = 40
_TOGETHER = 64
_PATIENCE = 30
_LENIENCE = 1e3
_WORTHWHILE = 0.8
_FLAT = 1e-6  # of the weight: a rate below nothing by less than this is rounding
_KICK = 1e-3
_LARGEST_STEP = 0.2
_NEAR = 1e-6
_BODY = slice(0, 3)


def descend(energy: Energy, state: Array) -> tuple[Array, Flags]:
    """Newton's method with a line search on the energy; where the ground is not bowl-shaped, its curvature is turned up."""
    done = np.zeros(len(state), dtype=bool)
    places = np.arange(len(state))
    active, now = energy, state
    live = ~done
    seen = active.look(now)
    for turn in range(_MOST_ROUNDS):
        alive.beat()
        _, first, bends = seen
        # Rounding may hold a rig on a top, where its last step would go up: later on a little more may be left over.
        enough = active.tolerance * (1.0 if turn < _PATIENCE else _LENIENCE)
        step = _newton(first, bends)
        still = live & (largest(first) <= enough)
        if np.any(still):
            # One step more costs little and leaves nothing but rounding.
            near = largest(step[still])[:, None] < _NEAR
            state[places[still]] = now[still] + np.where(near, step[still], 0.0)
            done[places[still]] = True
        live &= ~still & (largest(now[:, [1, 2]]) <= TIPPED)
        left = np.count_nonzero(live)
        if left == 0:
            break
        # Leaving rigs out costs more than carrying a few along.
        if left < _WORTHWHILE * len(live):
            places, now, step, active = places[live], now[live], step[live], active.only(live)
            seen, live = (seen[0][live], first[live], bends[:, :, live]), live[live]
        now, seen = _along(active, now, seen, _downhill(step, seen, live), live)
        state[places[live]] = now[live]
    return state, done


def balanced_on_a_top(energy: Energy, state: Array, done: Flags, second: Array) -> tuple[NDArray[np.int64], Array]:
    """Return which rigs balance where nothing pushes them back, as on two tires, and each a little way down from there."""
    none = np.zeros(0, dtype=np.int64)
    try:
        np.linalg.cholesky(second)
    except np.linalg.LinAlgError:
        values, vectors = _curvatures(second)
        tops = np.flatnonzero(done & (values[:, 0] < -_FLAT * energy.weight)).astype(np.int64)
        part, way = energy.only(tops), _KICK * vectors[tops, :, 0]
        lower = part.value(state[tops] + way) <= part.value(state[tops] - way)
        return tops, state[tops] + np.where(lower, 1.0, -1.0)[:, None] * way
    return none, state[none]


def _curvatures(bends: Array) -> tuple[Array, Array]:
    """Return the curvatures with their ways; of a rig that went where nothing is a number, no numbers.

    Its own search ends there with a status, and takes none of the others with it: asked for together, the curvatures of
    none would converge.
    """
    known: Flags = np.asarray(np.isfinite(bends).all(axis=(1, 2)))
    values, vectors = np.linalg.eigh(np.where(known[:, None, None], bends, np.eye(bends.shape[-1])))
    values[~known] = np.nan
    return values, vectors


def _downhill(step: Array, seen: tuple[Array, Array, Array], live: Flags) -> Array:
    """Return Newton's step where it leads down, elsewhere one by the curvature turned up; neither longer than is wise."""
    _, first, bends = seen
    slope = across(first * step)
    wrong = live & ~(slope < 0)
    if np.any(wrong):
        values, vectors = _curvatures(np.moveaxis(bends[:, :, wrong], 2, 0))
        size = np.maximum(np.abs(values), 1e-9 * np.abs(values).max(axis=1, keepdims=True))
        along = np.einsum("nij,ni->nj", vectors, first[wrong]) / size
        step[wrong] = -np.einsum("nij,nj->ni", vectors, along)
    size = largest(step)[:, None]
    limited: Array = step * np.minimum(1.0, _LARGEST_STEP / np.maximum(size, 1e-300))
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
        for heave, roll in AXLES:
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
        follow = corner / middle
        last = body[2, 2] - third * body[2, 0] - follow * corner
        down = left[1] - second * left[0]
        moved[2] = -(left[2] - third * left[0] - follow * down) / last
        moved[1] = -down / middle - follow * moved[2]
        moved[0] = -left[0] / body[0, 0] - second * moved[1] - third * moved[2]
        sound &= (body[0, 0] > 0) & (middle > 0) & (last > 0)
        for heave, roll, ups, tilts, own in solved:
            step[heave] = -own[0] - across((ups * moved).T)
            step[roll] = -own[1] - across((tilts * moved).T)
    if not np.all(sound):
        step[:, ~sound] = _solved_whole(first[~sound], bends[:, :, ~sound]).T
    return step.T


def _solved_whole(first: Array, bends: Array) -> Array:
    every = np.moveaxis(bends, 2, 0)
    try:
        return _solved(first, every)
    except np.linalg.LinAlgError:
        # One of them cannot be solved: it alone takes the other way, as it would by itself.
        return np.stack([_solved_alone(one, its) for one, its in zip(first, every, strict=True)])


def _solved_alone(first: Array, bends: Array) -> Array:
    try:
        step: Array = _solved(first[None], bends[None])[0]
    except np.linalg.LinAlgError:
        step = np.full_like(first, np.nan)
    return step


def _solved(first: Array, bends: Array) -> Array:
    return np.asarray(-np.linalg.solve(bends, first[..., None])[..., 0], dtype=np.float64)


def _along(
    energy: Energy, state: Array, seen: tuple[Array, Array, Array], step: Array, live: Flags
) -> tuple[Array, tuple[Array, Array, Array]]:
    """Go down by a step, halved until it goes down enough; where rounding hides that, until the forces get smaller.

    `seen` is what `look` gives; it is returned for the place that was found. Rigs that are not `live` go anywhere.
    """
    before, first, _ = seen
    downhill = across(first * step)
    noise = 1e-12 * (np.abs(before) + energy.weight)
    steepness = largest(first)
    found = state + step
    values, slopes, rates = energy.look(found)

    def enough(rows: Any, size: Any, tried: tuple[Array, Array, Array]) -> Flags:
        after, left, _ = tried
        low = before[rows]
        down = after <= low + 1e-4 * size * downhill[rows]
        # Not down enough, but within rounding of it: then the forces decide. What is no number is never enough.
        down |= (after <= low + noise[rows]) & (largest(left) < steepness[rows])
        return np.asarray(down)

    short = np.flatnonzero(live & ~enough(slice(None), 1.0, (values, slopes, rates)))
    halved = 0
    while len(short) and halved < _MOST_HALVINGS:
        # A look at a few rigs costs nearly as much as one at many: for few, several halvings are looked at together.
        ahead = max(1, min(_TOGETHER // len(short), _MOST_HALVINGS - halved))
        sizes = 0.5 ** np.arange(halved + 1, halved + ahead + 1)
        rows, size = np.repeat(short, ahead), np.tile(sizes, len(short))
        places = state[rows] + size[:, None] * step[rows]
        tried = energy.only(rows).look(places)
        good = enough(rows, size, tried).reshape(len(short), ahead)
        settled = good.any(axis=1)
        taken = np.arange(len(short)) * ahead + np.where(settled, good.argmax(axis=1), ahead - 1)
        found[short] = places[taken]
        values[short], slopes[short], rates[:, :, short] = tried[0][taken], tried[1][taken], tried[2][:, :, taken]
        short, halved = short[~settled], halved + ahead
    return found, (values, slopes, rates)
