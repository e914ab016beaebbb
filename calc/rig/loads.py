"""What each corner and axle of a rig weighs in a load case."""

from __future__ import annotations

from collections.abc import Iterable

from calc.errors import FieldError
from calc.rig.entries import CORNERS
from calc.rig.rig import LoadCase, Rig
from calc.weight.weight_change import Item, weight_change


def corner_masses(rig: Rig, case: LoadCase) -> dict[str, float] | None:
    """Return the four corner weights of a load case, or None while a reading or a dimension is missing.

    Axle totals and the left-right moment are exact; the measured diagonal share is kept.
    Raises FieldError, with the load case named, where an item lacks its place or a tire would carry nothing.
    """
    readings = {corner: rig.get(f"{corner}.corner_mass") for corner in CORNERS}
    if any(value is None for value in readings.values()) or case.unread_items:
        return None
    if not case.items:
        return {corner: float(value) for corner, value in readings.items()}
    places = {
        "wheelbase": rig.get("wheelbase"),
        "track_front": rig.get("front.track"),
        "track_rear": rig.get("rear.track"),
    }
    if any(value is None for value in places.values()):
        return None
    try:
        result = weight_change(
            **{f"{corner}_mass": float(value) for corner, value in readings.items()}, **places, items=case.items
        )
    except FieldError as error:
        # Its fields are those of one step: here there are several load cases, and none of them is an entry of the rig.
        problem = f"Load case “{case.label}”: {error.problem[:1].lower()}{error.problem[1:]}"
        raise FieldError("load_cases", problem, allowed=error.allowed, values=error.values) from None
    return {corner: float(getattr(result, f"{corner}_mass_after")) for corner in CORNERS}


def axle_masses(rig: Rig, axle: str, case: LoadCase) -> tuple[float, float] | None:
    """Return the left and right tire's weight of an axle in a load case, or None while something is missing."""
    masses = corner_masses(rig, case)
    return None if masses is None else (masses[f"left_{axle}"], masses[f"right_{axle}"])


def unsprung_mass(rig: Rig, axle: str, items: Iterable[Item]) -> float | None:
    """Return an axle's unsprung weight, with what a load case puts on the axle itself."""
    own = rig.get(f"{axle}.unsprung_mass")
    return None if own is None else float(own) + sum(item.mass for item in items if item.carried == f"{axle} axle")
