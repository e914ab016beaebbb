"""An axle's motion ratio from what was entered for it: its travel pairs, or the places of its eyes in space."""

from __future__ import annotations

import math
from dataclasses import replace

from calc.errors import FieldError, MissingError
from calc.geometry.travel_table import TravelPair
from calc.heave_path import HeavePath
from calc.memo import remembered
from calc.quantity import SHOP, Display
from calc.rig import mounts, track_bar
from calc.rig.axle import case_load
from calc.rig.entries import AXLES
from calc.rig.rig import Entry, Rig
from calc.step import Attempt, Finding, Outcome, attempt, find

_RATIO = ("motion_ratio", "motion_ratio_slope")
_READ = ("damper_length", "lean")


def motion(rig: Rig, axle: str) -> Attempt | None:
    """Return what an axle's travel pairs say, or None where there are none or a motion ratio was entered itself.

    Its errors name the fields of the step; its findings are in shop units.
    """
    if not rig.pairs(axle) or own_ratio(rig, axle) is not None:
        return None
    try:
        load = case_load(rig, axle, rig.reference()).support_load
    except FieldError:
        # Without the weights the pairs still tell the motion ratio, only not what their doubt weighs.
        load = None
    return _of_pairs(rig.pairs(axle), rig.get(f"{axle}.ride_height"), rig.get(f"{axle}.lean"), load)


@remembered(8)
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
    """Return the rig with what each axle's travel pairs or the places of its eyes say, as derived values.

    The pairs go before the places, which go before lean and length; a motion ratio that was entered goes before all.
    The ratio counts at the damper's length where the lean was read. Where no lean was read the places tell it beside pairs
    or ratio, so that what is known of the eyes is never lost.
    Pairs or places that cannot be used are passed over, which `findings` tells.
    """
    found: dict[str, Entry] = {}
    for axle in AXLES:
        places, pairs = (_usable(done) for done in (mounts.in_space(rig, axle), motion(rig, axle)))
        measured = pairs is not None or own_ratio(rig, axle) is not None
        read = all(rig.get(f"{axle}.{name}") is not None for name in _READ)
        if places is not None and not (measured and read):
            names = _READ if measured else mounts.derived(places)
            found |= {f"{axle}.{name}": _derived(places, name) for name in names}
        if pairs is not None:
            length = found.get(f"{axle}.damper_length") or rig.values.get(f"{axle}.damper_length")
            lean = found.get(f"{axle}.lean") or rig.values.get(f"{axle}.lean")
            found |= {f"{axle}.{name}": entry for name, entry in _by_pairs(pairs, length, lean).items()}
    return replace(rig, values={**rig.values, **found}) if found else rig


def _usable(done: Attempt | None) -> Outcome | None:
    return None if done is None or done.errors else done.outcome


def _derived(told: Outcome, name: str) -> Entry:
    return Entry(value=float(told.values[name]), origin="derived", plus_minus=told.plus_minus.get(name))


def _by_pairs(told: Outcome, read: Entry | None, lean: Entry | None) -> dict[str, Entry]:
    """Return what travel pairs say where the lean was read, or at their own ride height where that is not known.

    Where the lean tells how the ratio changes, it is that of the eyes as they stand at the pairs' ride height.
    """
    names = [name for name in ("damper_length", *_RATIO) if told.values[name] is not None]
    found = {name: _derived(told, name) for name in names}
    if read is None:
        return found
    length = found["damper_length"].value
    slope = found["motion_ratio_slope"].value if "motion_ratio_slope" in found else 0.0
    if lean is not None and slope == told.values["motion_ratio_slope_mounts"]:
        slope = HeavePath.of_eyes(read.value * math.sin(lean.value)).slope(length)
    path = HeavePath.measured(ratio=found["motion_ratio"].value, slope=slope, length=length)
    if read.value == found.pop("damper_length").value or path.ratio_squared(read.value) <= 0.0:
        return found
    there = {"motion_ratio": path.ratio(read.value), "motion_ratio_slope": path.slope(read.value)}
    return {name: replace(entry, value=float(there[name])) for name, entry in found.items()}


def findings(rig: Rig, axle: str, display: Display = SHOP) -> tuple[Finding, ...]:
    """Return what of an axle's pairs, mounts and track bar cannot be used, what stands in its place, and whether they agree."""
    pairs, places = motion(rig, axle), mounts.in_space(rig, axle)
    found = []
    if pairs is not None and pairs.errors:
        usable = places is not None and not places.errors
        found.append(
            _passed_over(
                "the travel table", pairs, axle, "the mount coordinates are" if usable else _lean(rig, axle), display
            )
        )
    if places is not None and places.errors and own_ratio(rig, axle) is None:
        usable = pairs is not None and not pairs.errors
        found.append(
            _passed_over(
                "mount coordinates", places, axle, "the travel table is" if usable else _lean(rig, axle), display
            )
        )
    also = (mounts.agreement(axle, places, pairs), track_bar.finding(rig, axle, display))
    return (*found, *(one for one in also if one is not None))


def _lean(rig: Rig, axle: str) -> str:
    read = all(rig.get(f"{axle}.{name}") is not None for name in ("lean", "damper_length"))
    return "the lean read at one height is" if read and not rig.independent(axle) else ""


def _passed_over(what: str, done: Attempt, axle: str, instead: str, display: Display) -> Finding:
    problems = " ".join(error.message(display) for error in done.errors)
    used = f"{instead} used instead" if instead else "nothing else gives the motion ratio"
    return Finding(
        rule=f"{what} can be used",
        state="not checked" if all(isinstance(error, MissingError) for error in done.errors) else "fails",
        text=f"{axle.capitalize()}: {what} cannot be used, and {used}. {problems}",
    )


def own_ratio(rig: Rig, axle: str) -> Entry | None:
    """Return the motion ratio that was entered itself, which goes before everything else."""
    own = rig.values.get(f"{axle}.motion_ratio")
    return None if own is None or own.origin == "derived" else own
