"""What the places of a coil-over's eyes in space say of an axle, where they were entered."""

from __future__ import annotations

from calc.errors import FieldError
from calc.memo import remembered
from calc.rig.axle import case_load
from calc.rig.rig import Rig
from calc.step import Attempt, Finding, Outcome, attempt, find

# Without these four an eye has no place; fore and aft it stands over the hubs where nothing is entered.
NEEDED = ("upper_mount_base", "upper_mount_height", "mount_base", "mount_height")
_ALONG = ("upper_mount_back", "mount_back")
_PIVOT = ("path_pivot_ahead", "path_pivot_above")
_OF_AXLE = ("tire_loaded_radius", "track", "roll_center_height")
# Share by which a measured ratio may be off that of the eyes and still be theirs: ours.
_THEIRS = 0.03
_RULE = "two ways to the motion ratio agree"


def in_space(rig: Rig, axle: str) -> Attempt | None:
    """Return what an axle's eyes say, or None where a place of theirs is missing.

    The wheels of an independent end go round links of their own, which no place of an eye tells.
    Its errors name the fields of the step; its findings are in shop units. A pivot makes the axle go round it.
    """
    if rig.independent(axle) or any(rig.get(f"{axle}.{name}") is None for name in NEEDED):
        return None
    names = (*NEEDED, *_ALONG, *_PIVOT, *_OF_AXLE)
    given = {name: rig.get(f"{axle}.{name}") for name in names} | {
        name: rig.get(f"{axle}.{name}") or 0.0 for name in _ALONG
    }
    turning = any(given[name] is not None for name in _PIVOT)
    given["axle_path"] = "turning" if turning else "straight"
    doubts = {name: known.plus_minus for name in names if (known := rig.known(f"{axle}.{name}")) is not None}
    try:
        given["support_load_mean"] = case_load(rig, axle, rig.reference()).support_load
    except FieldError:
        # Without the weights the places still tell the motion ratio, only not what its change weighs.
        given["support_load_mean"] = None
    return _of_places(tuple(sorted(given.items())), tuple(sorted(doubts.items())))


def derived(told: Outcome) -> tuple[str, ...]:
    """Return which of its results stand for entries of the rig.

    A coil-over that leans only across, on an axle that goes straight up, is exact by its lean through the whole travel.
    """
    values = told.values
    planar = values["axle_path"] == "straight" and values["lean_back"] == 0
    return ("damper_length", "lean") if planar else ("damper_length", "lean", "motion_ratio", "motion_ratio_slope")


@remembered(8)
def _of_places(given: tuple[tuple[str, float | str | None], ...], doubts: tuple[tuple[str, float], ...]) -> Attempt:
    """Most edits of a rig change none of them."""
    return attempt(find("mount_places"), {name: value for name, value in given if value is not None}, dict(doubts))


def lean_back(rig: Rig, axle: str) -> float | None:
    """Return the lean fore and aft of a completed rig's coil-overs where its ratio was measured and its eyes are known.

    With it they are known in roll also on an axle that goes round a pivot, whose ratio in heave tells nothing of that. None
    where lean and length were read apart from the places, or the ratio is not that of these eyes.
    """
    ratio, read = rig.get(f"{axle}.motion_ratio"), rig.values.get(f"{axle}.lean")
    places = None if ratio is None or read is None or read.origin != "derived" else in_space(rig, axle)
    if places is None or places.errors or abs(ratio / places.outcome.values["motion_ratio"] - 1.0) > _THEIRS:
        return None
    return float(places.outcome.values["lean_back"])


def agreement(axle: str, places: Attempt | None, other: Attempt | None) -> Finding | None:
    """Return whether the places and the travel table come to one motion ratio; None where only one of them speaks."""
    if places is None or other is None or places.errors or other.errors:
        return None
    here, there = (float(done.outcome.values["motion_ratio"]) for done in (places, other))
    doubt = sum(done.outcome.plus_minus.get("motion_ratio") or 0.0 for done in (places, other))
    apart = abs(here - there)
    told = (
        f"{axle.capitalize()}: the travel table gives a motion ratio of {there:.3f}, the mount coordinates {here:.3f}"
    )
    if apart <= doubt:
        return Finding(
            rule=_RULE, state="holds", text=f"{told}: the same, within ± {doubt:.3f}.", value=apart, limit=doubt
        )
    return Finding(
        rule=_RULE,
        state="fails",
        text=f"{told}: further apart than their readings allow (± {doubt:.3f}). The table is used; measure one of them again.",
        value=apart,
        limit=doubt,
    )
