"""Where the weight of a rig lies in a load case: the whole, and the part that the springs carry."""

from __future__ import annotations

from dataclasses import dataclass

from calc.errors import FieldError
from calc.rig.entries import AXLES
from calc.rig.loads import corner_masses, unsprung_mass
from calc.rig.rig import LoadCase, Rig


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
