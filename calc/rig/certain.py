"""Which of a rig's numbers can be in doubt, and why the others are taken as they stand."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from calc.quantity import Quantity
from calc.rig.entries import keys
from calc.rig.rig import TAKEN, Rig

_WISH = "a wish or a limit, which is chosen and not measured"
_REASONS = {
    "lateral_acceleration": "of the turn that is worked out, which is chosen and not measured",
    "axle_rating": "stated by whoever rates the axle, not measured",
    "adjuster_turns_per_length": "a count of threads, which is whole",
    "spring_inside_diameter": "a nominal size that only picks which springs fit",
}


def reason(key: str) -> str:
    """Return why a number of the rig has no plus-minus; an empty text for one that can be in doubt.

    >>> reason("front.wanted_bump")
    'a wish or a limit, which is chosen and not measured'
    """
    name = key.rpartition(".")[2]
    return _WISH if name.startswith(("wanted_", "least_", "rank_")) or name in TAKEN else _REASONS.get(name, "")


@lru_cache(maxsize=1)
def doubtful() -> tuple[str, ...]:
    """Return the keys of all numbers of a rig that can be in doubt, in the order of the job."""
    return tuple(key for key, declared in keys().items() if isinstance(declared.is_a, Quantity) and not reason(key))


def doubts_of(rig: Rig, places: Mapping[str, str]) -> dict[str, float]:
    """Return the plus-minus of the rig's own numbers, its own or the usual one, by the names of a step's inputs.

    `places` tells the rig's key of each input; what is not entered is left out.
    """
    known = {name: rig.known(key) for name, key in places.items()}
    return {name: found.plus_minus for name, found in known.items() if found is not None}


def axle_doubts(rig: Rig, axle: str, names: tuple[str, ...]) -> dict[str, float]:
    """Return the plus-minus of an axle's numbers that a step's inputs are called the same as."""
    return doubts_of(rig, {name: f"{axle}.{name}" for name in names})
