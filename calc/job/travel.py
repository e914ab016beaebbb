"""An axle's motion ratio from the travel pairs that were entered for it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from calc.errors import FieldError
from calc.geometry.travel_table import TravelPair
from calc.job.axle import case_load
from calc.job.rig import AXLES, Entry, Rig
from calc.step import Attempt, attempt, find

_DERIVED = ("motion_ratio", "motion_ratio_slope")


def motion(rig: Rig, axle: str) -> Attempt | None:
    """Return what an axle's travel pairs say, or None where there are none or a motion ratio was entered itself.

    Its errors name the fields of the step; its findings are in shop units.
    """
    own = rig.values.get(f"{axle}.motion_ratio")
    if not rig.pairs(axle) or (own is not None and own.origin != "derived"):
        return None
    try:
        load = case_load(rig, axle, rig.reference()).support_load
    except FieldError:
        # Without the weights the pairs still tell the motion ratio, only not what their doubt weighs.
        load = None
    return _of_pairs(rig.pairs(axle), rig.get(f"{axle}.ride_height"), rig.get(f"{axle}.lean"), load)


@lru_cache(maxsize=8)
def _of_pairs(
    pairs: tuple[TravelPair, ...], ride_height: float | None, lean: float | None, support_load_mean: float | None
) -> Attempt:
    """The plus-minus of so many readings takes a while, and most edits change none of them."""
    given = {
        "pairs": pairs,
        "ride_height": ride_height,
        "lean": lean,
        "support_load_mean": support_load_mean,
    }
    return attempt(find("travel_table"), {name: value for name, value in given.items() if value is not None})


def with_motion(rig: Rig) -> Rig:
    """Return the rig with the motion ratio of each axle's travel pairs, as derived values."""
    found: dict[str, Entry] = {}
    for axle in AXLES:
        done = motion(rig, axle)
        if done is None:
            continue
        values, doubts = done.outcome.values, done.outcome.plus_minus
        found |= {
            f"{axle}.{name}": Entry(value=float(values[name]), origin="derived", plus_minus=doubts.get(name))
            for name in _DERIVED
            if values[name] is not None and not done.errors
        }
    return replace(rig, values={**rig.values, **found}) if found else rig
