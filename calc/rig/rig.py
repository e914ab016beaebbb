"""The rig: everything that was entered about one vehicle, with where each value comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from calc.geometry.travel_table import TravelPair
from calc.quantity import Choice, Quantity, declared_fields
from calc.rig.entries import AS_WEIGHED, AXLES, keys
from calc.rig.ordered import Ordered
from calc.rig.rank_weights import Ranking
from calc.rig.readings import Proof
from calc.rig.unread import (
    Unread,
    UnreadRow,
)
from calc.step import Known, Origin
from calc.weight.weight_change import Item

# What is built alike on both axles more often than not: typed for the front, it is assumed for the rear until typed there.
AS_FRONT = (
    "tire_rate",
    "tire_pressure",
    "tire_loaded_radius",
    "damper_extended",
    "damper_stroke",
    "damper_collapsed",
    "pad_touch_before_collapsed",
    "pad_rate",
    "pad_solid_force",
    "solid_before_collapsed",
    "limit_strap",
    "strap_travel",
    "rod_diameter",
    "piston_diameter",
    "gas_pressure",
    "gas_volume",
    "seat_space",
    "divider_thickness",
    "adjuster_range",
    "adjuster_turns_per_length",
    "spring_inside_diameter",
    "ring_thickness",
    "thread_length",
    "body_length",
    "wanted_frequency_past_crossover_low",
    "wanted_frequency_past_crossover_high",
    "wanted_crossover_above_ride",
    "wanted_height_band",
    "wanted_step_low",
    "wanted_step_high",
    "wanted_bump",
    "wanted_droop",
    "wanted_damping_ratio",
    "rebound_share",
    "knee_speed",
    "slope_past_knee",
)


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One entered value (SI number or text), where it comes from, and its plus-minus if the reader gave one."""

    value: Any
    origin: Origin = "measured"
    plus_minus: float | None = None


# What the damping and the ground it is judged on take where nothing is entered: common practice, or ours.
TAKEN = ("road_class", "road_speed", "rebound_share", "knee_speed", "slope_past_knee")


def taken_for(rig: Rig, key: str) -> Entry | None:
    """Return what is taken for a key of the damping and its ground where nothing is entered, shown as assumed; else None.

    Only where a damping ratio is wanted, and a knee only where the damper bends. Nothing takes the place of what was typed
    and cannot be read.
    """
    axle, _, name = key.rpartition(".")
    if key in rig.unread or key in rig.values or name not in TAKEN:
        return None
    if all(_with_fronts(rig, axle, "wanted_damping_ratio") is None for axle in ([axle] if axle else AXLES)):
        return None
    bends = _with_fronts(rig, axle, "slope_past_knee")
    if name == "knee_speed" and (bends is None or bends >= 1):
        return None
    is_a = keys()[key].is_a
    value = is_a.assumed if isinstance(is_a, Quantity) else is_a.typical if isinstance(is_a, Choice) else None
    return None if value is None else Entry(value=value, origin="assumed")


def _with_fronts(rig: Rig, axle: str, name: str) -> Any:
    """Return an axle's value, at the rear the front's where it has none of its own."""
    own = rig.get(f"{axle}.{name}")
    return rig.get(f"front.{name}") if own is None and axle == "rear" and f"rear.{name}" not in rig.unread else own


def with_taken(rig: Rig) -> Rig:
    """Return the rig with what is taken for its damping and its ground. The knee goes by the slope, so it comes last."""
    names = [*TAKEN[:2], *(f"{axle}.{name}" for name in (TAKEN[2], TAKEN[4], TAKEN[3]) for axle in AXLES)]
    found = {key: entry for key in names if (entry := taken_for(rig, key)) is not None}
    return replace(rig, values={**rig.values, **found}) if found else rig


@dataclass(frozen=True, kw_only=True)
class LoadCase:
    """A load the rig must work in: what is added to the state it was weighed in."""

    name: str
    label: str
    items: tuple[Item, ...] = ()
    center_of_gravity_height: float | None = None
    unread_items: tuple[UnreadRow, ...] = ()
    unread_height: Unread | None = None


@dataclass(frozen=True, kw_only=True)
class Rig:
    """All that was entered about one vehicle.

    What was typed and cannot be read is unknown: it stands under `unread` and nowhere else.
    """

    name: str = ""
    note: str = ""
    values: Mapping[str, Entry] = field(default_factory=dict)
    load_cases: tuple[LoadCase, ...] = ()
    changes: tuple[Item, ...] = ()
    travel_pairs: Mapping[str, tuple[TravelPair, ...]] = field(default_factory=dict)
    proofs: tuple[Proof, ...] = ()
    doubts: Mapping[str, float] = field(default_factory=dict)
    ordered: tuple[Ordered, ...] = ()
    ignored: tuple[str, ...] = ()
    unread: Mapping[str, Unread] = field(default_factory=dict)
    unread_changes: tuple[UnreadRow, ...] = ()
    unread_pairs: Mapping[str, tuple[UnreadRow, ...]] = field(default_factory=dict)

    def pairs(self, axle: str) -> tuple[TravelPair, ...]:
        """Return an axle's travel pairs; without any there are none."""
        return self.travel_pairs.get(axle, ())

    def get(self, key: str) -> Any:
        """Return an entered value, or None."""
        entry = self.values.get(key)
        return None if entry is None else entry.value

    def ranking(self) -> Mapping[str, float | None]:
        """Return what is entered for the rank, by key."""
        return {key: self.get(key) for key in declared_fields(Ranking)}

    def independent(self, axle: str) -> bool:
        """Tell whether an axle's wheels have links of their own; where nothing is said it is a solid axle."""
        return bool(self.get(f"{axle}.axle_kind") == "independent")

    def known(self, key: str) -> Known | None:
        """Return an entered number with its origin and plus-minus, or None."""
        entry = self.values.get(key)
        if entry is None:
            return None
        doubt = entry.plus_minus
        if doubt is None and isinstance(entry.value, float):
            doubt = keys()[key].quantity.uncertainty(entry.value)
        return Known(value=entry.value, origin=entry.origin, plus_minus=doubt or 0.0)

    def cases(self) -> tuple[LoadCase, ...]:
        """Return the load cases; a rig without any has one, as it was weighed."""
        return self.load_cases or (LoadCase(name=AS_WEIGHED, label="As weighed"),)

    def reference(self) -> LoadCase:
        """Return the load case that the wishes are for: the one named, else the first."""
        wanted = self.get("reference_case")
        return next((case for case in self.cases() if case.name == wanted), self.cases()[0])

    def rests_on_examples(self) -> bool:
        """Tell whether any value is an example: nothing printed from it may be ordered."""
        return any(entry.origin == "example" for entry in self.values.values())
