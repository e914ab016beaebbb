"""What each corner and axle of a rig weighs in a load case."""

from __future__ import annotations

from collections.abc import Iterable

from calc.errors import FieldError
from calc.memo import remembered
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
    places = rig.get("wheelbase"), rig.get("front.track"), rig.get("rear.track")
    if case.items and None in places:
        return None
    try:
        after = _after_items(tuple(float(value) for value in readings.values()), places, case.items)
    except FieldError as error:
        # Its fields are those of one step: here there are several load cases, and none of them is an entry of the rig.
        problem = f"Load case “{case.label}”: {error.problem[:1].lower()}{error.problem[1:]}"
        raise FieldError("load_cases", problem, allowed=error.allowed, values=error.values) from None
    return dict(zip(CORNERS, after, strict=True))


# One answer asks for the same few load cases in nearly every of its parts.
@remembered(24)
def _after_items(
    readings: tuple[float, ...], places: tuple[float, float, float], items: tuple[Item, ...]
) -> tuple[float, ...]:
    """Return the four corner weights with some items on, from readings, wheelbase and both tracks."""
    if not items:
        return readings
    wheelbase, track_front, track_rear = places
    result = weight_change(
        **{f"{corner}_mass": reading for corner, reading in zip(CORNERS, readings, strict=True)},
        wheelbase=wheelbase,
        track_front=track_front,
        track_rear=track_rear,
        items=items,
    )
    return tuple(float(getattr(result, f"{corner}_mass_after")) for corner in CORNERS)


def axle_masses(rig: Rig, axle: str, case: LoadCase) -> tuple[float, float] | None:
    """Return the left and right tire's weight of an axle in a load case, or None while something is missing."""
    masses = corner_masses(rig, case)
    return None if masses is None else (masses[f"left_{axle}"], masses[f"right_{axle}"])


def unsprung_mass(rig: Rig, axle: str, items: Iterable[Item]) -> float | None:
    """Return an axle's unsprung weight, with what a load case puts on the axle itself."""
    own = rig.get(f"{axle}.unsprung_mass")
    return None if own is None else float(own) + sum(item.mass for item in items if item.carried == f"{axle} axle")
