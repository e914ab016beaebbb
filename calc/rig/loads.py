"""What each corner and axle of a rig weighs in a load case, and where the weight lies: the whole, and the part on the springs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from calc.errors import FieldError
from calc.rig.entries import AXLES, CORNERS
from calc.rig.rig import LoadCase, Rig
from calc.rig.wires import values_on
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


@dataclass(frozen=True, kw_only=True)
class Center:
    """A center of gravity: behind the front axle, left of center, and from the ground where that is known."""

    mass: float
    behind_front_axle: float
    left_of_center: float
    height: float | None = None


@dataclass(frozen=True, kw_only=True)
class Centers:
    """The center of the whole rig, and that of its sprung part where the unsprung weights are known."""

    whole: Center
    sprung: Center | None


def unsprung_moment(rig: Rig, axle: str, case: LoadCase) -> float:
    """Return an axle's unsprung weight times its distance left of center, with what a load case puts on the axle."""
    own = float(rig.get(f"{axle}.unsprung_mass") or 0.0) * float(rig.get(f"{axle}.unsprung_left_of_center") or 0.0)
    return own + sum(item.mass * item.left_of_center for item in case.items if item.carried == f"{axle} axle")


def centers(rig: Rig, case: LoadCase) -> Centers | None:
    """Return the centers of gravity in a load case.

    None while a reading, the wheelbase or a track is missing, or where the case would lift a wheel. The height of the
    sprung part needs the case's own height and the tires' loaded radii: an axle's parts lie at its hubs.
    """
    wheelbase = rig.get("wheelbase")
    tracks = {axle: rig.get(f"{axle}.track") for axle in AXLES}
    if wheelbase is None or None in tracks.values():
        return None
    try:
        masses = corner_masses(rig, case)
    except FieldError:
        return None
    if masses is None:
        return None
    loads = {axle: masses[f"left_{axle}"] + masses[f"right_{axle}"] for axle in AXLES}
    moments = {axle: (masses[f"left_{axle}"] - masses[f"right_{axle}"]) * tracks[axle] / 2 for axle in AXLES}
    total = sum(loads.values())
    whole = Center(
        mass=total,
        behind_front_axle=wheelbase * loads["rear"] / total,
        left_of_center=sum(moments.values()) / total,
        height=case.center_of_gravity_height,
    )
    unsprung = {axle: unsprung_mass(rig, axle, case.items) for axle in AXLES}
    parts = {axle: mass for axle, mass in unsprung.items() if mass is not None and mass < loads[axle]}
    if len(parts) < len(AXLES):
        return Centers(whole=whole, sprung=None)
    carried = total - sum(parts.values())
    radii = {axle: rig.get(f"{axle}.tire_loaded_radius") for axle in AXLES}
    height = None
    if whole.height is not None and None not in radii.values():
        height = (total * whole.height - sum(parts[axle] * radii[axle] for axle in AXLES)) / carried
    sprung = Center(
        mass=carried,
        behind_front_axle=wheelbase * (loads["rear"] - parts["rear"]) / carried,
        left_of_center=sum(moments[axle] - unsprung_moment(rig, axle, case) for axle in AXLES) / carried,
        height=height,
    )
    return Centers(whole=whole, sprung=sprung)


def side_places(rig: Rig, axle: str) -> dict[str, Any]:
    """Return what the step for the support loads is told of where an axle's coil-overs act across the vehicle."""
    track = rig.get(f"{axle}.track")
    if rig.independent(axle):
        # Each wheel carries its own side: the step asks for these places and reads none of them.
        unread = {"mount_base": track, "mount_height": 0.4, "roll_center_height": 0.4, "lean": 0.0}
        return {"axle_kind": "independent", "track": track, **unread}
    names = ("mount_base", "mount_height", "roll_center_height", "lean")
    return {"axle_kind": "solid", "track": track, **{name: rig.get(f"{axle}.{name}") for name in names}}


def side_loads(rig: Rig, axle: str, case: LoadCase) -> Mapping[str, float] | None:
    """Return the support loads left and right and how much the springs' narrower base magnifies a side difference.

    None while something that they need is missing or contradicts itself.
    """
    masses = axle_masses(rig, axle, case)
    unsprung = unsprung_mass(rig, axle, case.items)
    if masses is None or unsprung is None:
        return None
    places = side_places(rig, axle)
    if any(value is None for value in places.values()):
        return None
    wires = {
        "axle_left_mass": masses[0],
        "axle_right_mass": masses[1],
        "unsprung_mass": unsprung,
        "unsprung_left_of_center": rig.get(f"{axle}.unsprung_left_of_center") or 0.0,
        **places,
    }
    values = values_on("support_load", wires)
    if values is None:
        return None
    return {name: values[name] for name in ("support_load_left", "support_load_right", "side_amplification")}
