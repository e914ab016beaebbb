"""Which of a rig's numbers can be in doubt, and why the others are taken as they stand."""

from __future__ import annotations

from functools import lru_cache

from calc.quantity import Quantity
from calc.rig.entries import keys
from calc.rig.rig import TAKEN

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
