"""The wanted ride height of an axle: however it was entered, as the damper's length eye to eye in the load case of the wishes.

It may be entered in one of three manners: the damper eye to eye, the shaft that shows, or how far the hub is to stand from
the frame mark against the height at which the lean was read. While none is entered, that height itself is assumed; where it
was read near an end of the damper's travel, or was never read, the middle of the travel is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from calc import vocabulary
from calc.errors import FieldError
from calc.quantity import Display
from calc.rig.axle import coilover
from calc.rig.entries import AXLES
from calc.rig.rig import Entry, Rig
from calc.roots import turns_positive
from calc.search.coilover import Coilover
from calc.search.problem import Height
from calc.vocabulary import damper_length

LENGTH, SHAFT, CHANGE = "wanted_damper_length", "wanted_shaft_showing", "wanted_height_change"
MANNERS = (LENGTH, SHAFT, CHANGE)
# So near an end of its travel a damper hangs or is pressed together: nobody rides there, so it was not read at ride.
_END = 0.1


def with_heights(rig: Rig) -> Rig:
    """Return the rig with each axle's wanted ride height as a damper length: derived from how it was entered, or assumed.

    Nothing is assumed where what was typed cannot be read, or contradicts itself: that is told by whoever needs it.
    """
    found: dict[str, Entry] = {}
    for axle in AXLES:
        own = rig.values.get(f"{axle}.{LENGTH}")
        if (own is not None and own.origin != "derived") or any(f"{axle}.{name}" in rig.unread for name in MANNERS):
            continue
        entry = _entry(rig, axle)
        if entry is not None:
            found[f"{axle}.{LENGTH}"] = entry
    return replace(rig, values={**rig.values, **found}) if found else rig


def _entry(rig: Rig, axle: str) -> Entry | None:
    names = ("damper_extended", "damper_stroke", "solid_before_collapsed")
    if any(rig.get(f"{axle}.{name}") is None for name in names):
        return None
    shaft, change = (rig.get(f"{axle}.{name}") for name in (SHAFT, CHANGE))
    if shaft is not None:
        collapsed = rig.get(f"{axle}.damper_extended") - rig.get(f"{axle}.damper_stroke")
        return Entry(value=float(collapsed + shaft), origin="derived")
    if any(rig.get(f"{axle}.{name}") is None for name in ("lean", "damper_length")) and (
        rig.get(f"{axle}.motion_ratio") is None
    ):
        return None
    try:
        around = coilover(rig, axle)
    except FieldError:
        return None
    read = read_length(rig, axle)
    if change is not None:
        return None if read is None else Entry(value=_moved(around, read, change), origin="derived")
    return Entry(value=_assumed(around, read), origin="assumed")


def _moved(around: Coilover, read: float, change: float) -> float:
    """Return the damper's length with the frame so much higher over the hub than where another length was read."""
    start = around.extended_length - read

    def risen(travel: float) -> float:
        return float(around.wheel_travel(start, travel)) + change

    # Further than the damper goes is told by whoever takes it: there it is off by as much as is missing.
    ends = (0.0, around.bump_limit)
    over, under = (risen(travel) for travel in ends)
    if over > 0:
        return around.extended_length + over
    if under < 0:
        return around.extended_length - around.bump_limit + under
    return around.extended_length - float(turns_positive(risen, *ends))


def read_length(rig: Rig, axle: str) -> float | None:
    """Return the damper's length at the height at which the lean was read; None while it is not known."""
    own = rig.get(f"{axle}.damper_length")
    return None if own is None else float(own)


def _assumed(around: Coilover, read: float | None) -> float:
    """Return the damper's length at the ride height that is assumed while none is entered."""
    if read is not None and past_usual(around, read) <= 0.0:
        return read
    longest, shortest = _reach(around)
    return (longest + shortest) / 2


def past_usual(around: Coilover, length: float) -> float:
    """Return by how much a damper's length lies nearer to an end of its travel than anybody rides; negative inside."""
    longest, shortest = _reach(around)
    end = _END * (longest - shortest)
    return max(shortest + end - length, length - (longest - end))


def _reach(around: Coilover) -> tuple[float, float]:
    return around.extended_length - around.strap_travel, around.extended_length - around.bump_limit


def origin(rig: Rig, axle: str) -> str:
    """Return where an assumed ride height comes from, in words; nothing where it was entered.

    The rig is one that `with_heights` gave.
    """
    entry = rig.values.get(f"{axle}.{LENGTH}")
    if entry is None or entry.origin != "assumed":
        return ""
    return ORIGINS["read" if entry.value == read_length(rig, axle) else "middle"]


def wanted_text(rig: Rig, axle: str, height: Height, display: Display) -> str:
    """Return the wanted height with its band, and what of both is assumed: "25.95 ± 0.50 in (assumed: ...)".

    The rig is one that `with_heights` gave.
    """
    length, band = display.text(height.length, damper_length), display.text(height.band, vocabulary.length)
    told, band_assumed = origin(rig, axle), rig.get(f"{axle}.wanted_height_band") is None
    if told:
        return f"{length}, give or take {band} (assumed: {told}{'' if band_assumed else '; the band is yours'})"
    return f"{length}, give or take {band}{' (the band is assumed)' if band_assumed else ''}"


ORIGINS: Mapping[str, str] = {
    "read": "the height at which the lean was read",
    "middle": "the middle of the damper's travel",
}
