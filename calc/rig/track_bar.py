"""An axle's track bar, where its ends were entered: it tells the roll center, and moves it."""

from __future__ import annotations

from dataclasses import replace

from calc.geometry._track_bar import SHORTEST, crossing, usable
from calc.quantity import SHOP, Display
from calc.rig.entries import AXLES
from calc.rig.rig import Entry, Rig
from calc.step import Finding
from calc.vocabulary import mount_base, roll_center_height

ENDS = ("track_bar_frame_left", "track_bar_frame_height", "track_bar_axle_left", "track_bar_axle_height")
_RULE = "the track bar can be used"


def ends(rig: Rig, axle: str) -> tuple[float, float, float, float] | None:
    """Return where a solid axle's track bar ends: the frame's end across and up, the axle's; None where it has none.

    None too where one of them is missing, or where no bar can be so, which `finding` tells.
    """
    found = _entered(rig, axle)
    return found if found is not None and _good(found) else None


def _entered(rig: Rig, axle: str) -> tuple[float, float, float, float] | None:
    frame_left, frame_height, axle_left, axle_height = (rig.get(f"{axle}.{name}") for name in ENDS)
    if rig.independent(axle) or None in (frame_left, frame_height, axle_left, axle_height):
        return None
    return float(frame_left), float(frame_height), float(axle_left), float(axle_height)


def _good(bar: tuple[float, float, float, float]) -> bool:
    return usable(*bar) and roll_center_height.low <= crossing(*bar)[0] <= roll_center_height.high


def with_track_bars(rig: Rig) -> Rig:
    """Return the rig with the roll centers that its track bars make, as derived values: they go before entered ones."""
    found: dict[str, Entry] = {}
    for axle in AXLES:
        bar = ends(rig, axle)
        if bar is not None:
            known = [rig.known(f"{axle}.{name}") for name in ENDS]
            height, doubt = crossing(*bar, tuple(0.0 if one is None else one.plus_minus for one in known))
            found[f"{axle}.roll_center_height"] = Entry(value=height, origin="derived", plus_minus=doubt)
    return replace(rig, values={**rig.values, **found}) if found else rig


def finding(rig: Rig, axle: str, display: Display = SHOP) -> Finding | None:
    """Return what is wrong with an axle's track bar; None where nothing is, or none is entered."""
    given = [name for name in ENDS if rig.get(f"{axle}.{name}") is not None]
    if not given or rig.independent(axle) or ends(rig, axle) is not None:
        return None
    instead = "the roll center stays on the body at the height that was entered"
    if len(given) < len(ENDS):
        text = f"{axle.capitalize()}: the track bar needs the coordinates of both its ends, across and up. Without them {instead}."
        return Finding(rule=_RULE, state="not checked", text=text)
    least = display.text(SHORTEST, mount_base)
    text = (
        f"{axle.capitalize()}: the track bar cannot be used, and {instead}. Allowed: ends that are {least} and more apart "
        "across the vehicle and at most as far above each other, the bar crossing the middle where a roll center can be. "
        "Check the signs of left and right."
    )
    return Finding(rule=_RULE, state="fails", text=text)
