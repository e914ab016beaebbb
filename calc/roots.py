"""Where functions of one number pass zero, for many at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from calc import alive

_MOST_ROUNDS = 120  # halving alone takes about 60, and every other step is one at worst
_FINEST = 4 * np.finfo(np.float64).eps


def turns_positive(function: Callable[[Any], Any], low: Any, high: Any) -> Any:
    """Return where a function turns positive between two numbers, to the last bits.

    The bounds are numbers or arrays that broadcast together; the function takes and returns such arrays. Where it is
    positive at `low` already, that is returned; where it is nowhere positive, `high`.
    Source: T. R. Chandrupatla, A new hybrid quadratic/bisection algorithm for finding the zero of a nonlinear function
    without using derivatives, Advances in Engineering Software 28 (1997), pages 145 to 149; from memory.

    >>> round(float(turns_positive(lambda x: x**2 - 2, 0.0, 2.0)), 12)
    1.414213562373
    >>> turns_positive(lambda x: x - np.array([-1.0, 0.5, 9.0]), 0.0, 1.0).tolist()
    [0.0, 0.5, 1.0]
    """
    far, at = np.broadcast_arrays(np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64))
    value_far, value = np.asarray(function(far)), np.asarray(function(at))
    shape = np.broadcast_shapes(at.shape, value.shape)
    far, at, value_far, value = (np.array(np.broadcast_to(one, shape)) for one in (far, at, value_far, value))
    found = np.where(value_far > 0, far, at)
    live = (value_far <= 0) & (value > 0)
    third, value_third = far, value_far
    share = np.full(shape, 0.5)
    with np.errstate(all="ignore"):
        for _ in range(_MOST_ROUNDS):
            if not np.any(live):
                break
            alive.beat()
            tried = at + share * (far - at)
            value_tried = np.asarray(function(tried))
            same = (value_tried > 0) == (value > 0)
            third, value_third = np.where(same, at, far), np.where(same, value, value_far)
            far, value_far = np.where(same, far, at), np.where(same, value_far, value)
            at, value = tried, value_tried
            nearer = np.abs(value) < np.abs(value_far)
            found = np.where(live, np.where(nearer, at, far), found)
            finest = _FINEST * np.abs(found) / np.abs(far - at)
            live = live & (finest < 0.5) & (np.where(nearer, value, value_far) != 0)
            # A curve through three points where it runs smoothly between them, else the middle.
            place, height = (at - far) / (third - far), (value - value_far) / (value_third - value_far)
            smooth = (height**2 < place) & ((1 - height) ** 2 < 1 - place)
            bent = value / (value_far - value) * value_third / (value_far - value_third)
            bent += (third - at) / (far - at) * value / (value_third - value) * value_far / (value_third - value_far)
            share = np.clip(np.where(smooth & np.isfinite(bent), bent, 0.5), finest, 1 - finest)
            share = np.where(np.isfinite(share), share, 0.5)
    return found[()]
