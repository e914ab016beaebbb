"""The rig: everything that was entered about one vehicle, with where each value comes from.

The rig file is JSON, versioned, ours:

    {"format": "spring and damper rig", "version": 1, "name": "...", "note": "...",
     "values": {KEY: {"value": SI number or text, "origin": "measured", "plus_minus": SI number or absent}},
     "load_cases": [{"name", "label", "items": [{"name", "mass", "carried", "behind_front_axle", "left_of_center"}]}],
     "changes": [items as above],
     "travel_pairs": {"front": [{"wheel_height", "damper_length"}], "rear": [...]},
     "doubts": {KEY: plus-minus (SI) of a number that is not entered, or not for itself},
     "proofs": [measurements of the built rig, as calc/job/prove_readings.py tells],
     "ordered": [what was ordered, oldest first, as calc/job/ordered.py tells],
     "unread": what was typed and cannot be read, as calc/job/unread.py tells}

Keys are dotted: `wheelbase`, `left_front.corner_mass`, `front.tire_rate`. Everything may be absent: a rig starts blank.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from functools import lru_cache
from typing import Annotated, Any

from calc import vocabulary
from calc.damper._pad import PadForce
from calc.errors import DataError, FieldError, NumberError
from calc.geometry import _eye_places as places
from calc.geometry import _track_bar as track_bars
from calc.geometry.travel_table import TravelPair, travel_pairs
from calc.job.ordered import MOST_ORDERS, Ordered, record_from_data, record_to_data
from calc.job.prove_readings import Proof, proofs_from_data, proofs_to_data
from calc.job.rank_weights import Ranking
from calc.job.unread import (
    Unread,
    UnreadRow,
    rows_from_data,
    rows_to_data,
    texts_from_data,
    texts_to_data,
)
from calc.json_text import read_json
from calc.limits import HEIGHT_BAND, STEP_RATIO, step_ratio
from calc.memo import remembered
from calc.quantity import Choice, Declared, Option, Quantity, Text, declared_fields
from calc.spring import stack as stacks
from calc.step import Known, Origin
from calc.units import INCH
from calc.weight.weight_change import Item, item_table, weight_change

FORMAT = "spring and damper rig"
VERSION = 2
# What a rig needs without an order and without anything unread: an older handbook keeps all of it.
_VERSION_PLAIN = 1
LARGEST_FILE = 1_000_000
MOST_CASES = 8
AXLES = ("front", "rear")
CORNERS = ("left_front", "right_front", "left_rear", "right_rear")
AS_WEIGHED = "as weighed"
# What a rig file may hold; the parts that an unsprung weight was added up from are kept for the reader alone.
_PARTS = (
    *("format", "version", "name", "note", "values", "load_cases", "changes", "travel_pairs", "doubts", "proofs"),
    *("ordered", "unsprung_parts", "unread"),
)
_MOST_NAMED = 5
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

_ORIGINS: tuple[Origin, ...] = ("example", "assumed", "measured", "derived")


@dataclass(frozen=True, kw_only=True)
class Vehicle:
    """What is entered once for the whole vehicle."""

    condition: Annotated[str, Text(label="State it was weighed in", help="Fuel, people and load.")] | None = None
    wheelbase: vocabulary.Wheelbase | None = None
    reference_case: (
        Annotated[str, Text(label="Load case that the wishes are for", help="The name of one of the load cases.")]
        | None
    ) = None
    driven_on_roads: vocabulary.DrivenOnRoads | None = None
    lateral_acceleration: vocabulary.LateralAcceleration | None = None
    wanted_roll_gradient: vocabulary.WantedRollGradient | None = None
    wanted_front_bar_share: vocabulary.WantedFrontBarShare | None = None
    least_preload: stacks.LeastPreload | None = None
    least_adjuster_left: stacks.LeastAdjusterLeft | None = None
    least_tender_left: stacks.LeastTenderLeft | None = None
    least_main_left: stacks.LeastMainLeft | None = None
    wanted_cross_share: (
        Annotated[
            float,
            vocabulary.share.called(
                "Wanted cross weight",
                "q_x,w",
                "Left rear and right front together, of the whole; 50 % while nothing is entered.",
                low=0.4,
                high=0.6,
                typical=0.5,
            ),
        ]
        | None
    ) = None
    wanted_road_speed: (
        Annotated[
            float,
            vocabulary.road_speed.called(
                "Wanted road speed",
                "V_w",
                "The speed at which front and rear are to settle together after a bump. Leave it empty for a rig of slow "
                "trails: then the frequencies of front and rear do not count in the rank.",
                low=30 / 3.6,
                typical=100 / 3.6,
                assumed=None,
            ),
        ]
        | None
    ) = None
    road_class: vocabulary.RoadClass | None = None
    road_speed: Annotated[float, vocabulary.road_speed.called("Road speed over rough ground")] | None = None


@dataclass(frozen=True, kw_only=True)
class Corner:
    """What is entered for each corner."""

    corner_mass: vocabulary.CornerMass | None = None


_rate = vocabulary.spring_rate
_length = vocabulary.length
_wanted = vocabulary.natural_frequency


limit_strap = Choice(
    label="Limit strap",
    options=(
        Option("yes", "yes", "A strap or a chain ends the droop. Then enter the travel at which it is taut."),
        Option("no", "no", "The damper itself ends the droop."),
    ),
    typical="yes",
    help="What ends the droop. Without a strap the damper does, and breaks its rod, its eye or its mount: that fails. Not "
    "said is not known: it is not checked.",
)


@dataclass(frozen=True, kw_only=True)
class Axle:
    """What is entered for each axle; both its coil-overs are alike."""

    axle_mass_before: vocabulary.AxleMassBefore | None = None
    unsprung_mass_before: vocabulary.UnsprungMassBefore | None = None
    axle_mass_after: vocabulary.AxleMassAfter | None = None
    axle_rating: vocabulary.AxleRating | None = None
    track: vocabulary.Track | None = None
    axle_kind: vocabulary.AxleKind | None = None
    unsprung_mass: vocabulary.UnsprungMass | None = None
    unsprung_left_of_center: vocabulary.UnsprungLeftOfCenter | None = None
    mount_base: vocabulary.MountBase | None = None
    mount_height: vocabulary.MountHeight | None = None
    upper_mount_base: places.UpperMountBase | None = None
    upper_mount_height: places.UpperMountHeight | None = None
    upper_mount_back: places.UpperMountBack | None = None
    mount_back: places.MountBack | None = None
    path_pivot_ahead: places.PathPivotAhead | None = None
    path_pivot_above: places.PathPivotAbove | None = None
    roll_center_height: vocabulary.RollCenterHeight | None = None
    bar_roll_stiffness: (
        Annotated[
            float,
            vocabulary.coil_over_roll_stiffness.called(
                "Anti-roll bar",
                "K_b",
                "Righting moment of the bar per angle of roll of the body over the axle; empty without a bar.",
                low=0.0,
                typical=5e3,
                plus_minus_share=0.1,
            ),
        ]
        | None
    ) = None
    track_bar_frame_left: track_bars.TrackBarFrameLeft | None = None
    track_bar_frame_height: track_bars.TrackBarFrameHeight | None = None
    track_bar_axle_left: track_bars.TrackBarAxleLeft | None = None
    track_bar_axle_height: track_bars.TrackBarAxleHeight | None = None
    bar_length: vocabulary.BarLength | None = None
    bar_arm: vocabulary.BarArm | None = None
    bar_base: vocabulary.BarBase | None = None
    lean: vocabulary.Lean | None = None
    damper_length: (
        Annotated[
            float,
            vocabulary.damper_length.called(
                "Damper length where the lean was read", "L_β", "Eye to eye, at the height at which the lean was read."
            ),
        ]
        | None
    ) = None
    ride_height: (
        Annotated[float, vocabulary.ride_height.called("Wheel height at ride, in the travel table", "z_r")] | None
    ) = None
    motion_ratio: vocabulary.MotionRatio | None = None
    motion_ratio_slope: vocabulary.MotionRatioSlope | None = None
    tire_rate: vocabulary.TireRate | None = None
    tire_pressure: vocabulary.TirePressure | None = None
    tire_loaded_radius: (
        Annotated[
            float,
            _length.called(
                "Loaded tire radius",
                "r_T",
                "Ground to wheel center, loaded.",
                low=0.1,
                high=1.2,
                typical=0.44,
                plus_minus=vocabulary.tire_loaded_radius.plus_minus,
            ),
        ]
        | None
    ) = None
    damper_extended: vocabulary.ExtendedLength | None = None
    damper_stroke: vocabulary.Stroke | None = None
    damper_collapsed: vocabulary.CollapsedLength | None = None
    pad_touch_before_collapsed: (
        Annotated[
            float,
            _length.called(
                "Bump stop touches, before collapsed",
                "x_touch",
                "Damper travel that is left when the bump stop is first touched.",
                low=0.0,
                high=20 * INCH,
                typical=2.5 * INCH,
                plus_minus=0.05 * INCH,
            ),
        ]
        | None
    ) = None
    pad_rate: (
        Annotated[
            float,
            vocabulary.any_rate.called(
                "Bump stop rate as it is touched",
                "k_p",
                "Force over the first quarter inch of squash, along the damper, from a press.",
                low=1e3,
                high=1e8,
                typical=1e5,
                plus_minus_share=0.2,
            ),
        ]
        | None
    ) = None
    pad_solid_force: PadForce | None = None
    solid_before_collapsed: (
        Annotated[
            float,
            _length.called(
                "Bump stop solid, before collapsed",
                "x_solid",
                "Damper travel that is left when the bump stop is solid.",
                low=0.0,
                high=10 * INCH,
                typical=0.5 * INCH,
                plus_minus=0.05 * INCH,
            ),
        ]
        | None
    ) = None
    limit_strap: Annotated[str, limit_strap] | None = None
    strap_travel: vocabulary.StrapTravel | None = None
    rod_diameter: vocabulary.RodDiameter | None = None
    piston_diameter: (
        Annotated[
            float, vocabulary.rod_diameter.called("Piston diameter", "d_p", "Bore of the damper.", typical=2 * INCH)
        ]
        | None
    ) = None
    gas_pressure: vocabulary.GasPressure | None = None
    gas_volume: vocabulary.GasVolume | None = None
    seat_space: vocabulary.SeatSpace | None = None
    divider_thickness: vocabulary.DividerThickness | None = None
    adjuster_range: vocabulary.AdjusterRange | None = None
    adjuster_turns_per_length: vocabulary.AdjusterTurnsPerLength | None = None
    spring_inside_diameter: (
        Annotated[
            float,
            _length.called(
                "Spring inside diameter",
                "D_i",
                "The springs' bore that the damper takes.",
                low=1 * INCH,
                high=10 * INCH,
                usual=(1.5 * INCH, 6 * INCH),
                typical=3 * INCH,
            ),
        ]
        | None
    ) = None
    ring_thickness: stacks.RingThickness | None = None
    thread_length: stacks.ThreadLength | None = None
    body_length: stacks.BodyLength | None = None
    chosen_helper_part: (
        Annotated[str, Text(label="Chosen helper", help="Its part code; empty for a set without.")] | None
    ) = None
    chosen_tender_part: (
        Annotated[str, Text(label="Chosen tender", help="Its part code; empty for a single spring.")] | None
    ) = None
    chosen_main_part: Annotated[str, Text(label="Chosen main", help="Its part code.")] | None = None
    wanted_frequency_low: Annotated[float, _wanted.called("Wanted ride frequency, from", "f_low")] | None = None
    wanted_frequency_high: Annotated[float, _wanted.called("Wanted ride frequency, to", "f_high")] | None = None
    wanted_frequency_past_crossover_low: (
        Annotated[float, _wanted.called("Wanted past the crossover, from", "f_2,low", typical=1.4)] | None
    ) = None
    wanted_frequency_past_crossover_high: (
        Annotated[float, _wanted.called("Wanted past the crossover, to", "f_2,high", typical=1.9)] | None
    ) = None
    wanted_crossover_above_ride: vocabulary.WantedCrossoverAboveRide | None = None
    wanted_damper_length: (
        Annotated[
            float,
            vocabulary.damper_length.called(
                "Wanted ride height, damper eye to eye",
                "L_w",
                "In the load case that the wishes are for. One of these three is enough; the preload is set for it. While "
                "none is entered the height at which the lean was read is assumed.",
                plus_minus=0.0,
            ),
        ]
        | None
    ) = None
    wanted_shaft_showing: (
        Annotated[
            float,
            vocabulary.stroke.called(
                "Or wanted ride height, shaft showing",
                "x_w",
                "Shaft between the damper body and the collar that it bottoms on, in the load case that the wishes are for.",
                low=0.0,
                typical=6.5 * INCH,
                plus_minus=0.0,
            ),
        ]
        | None
    ) = None
    wanted_height_change: (
        Annotated[
            float,
            _length.called(
                "Or wanted ride height, hub to frame mark",
                "Δz_w",
                "Against the height at which the lean was read, in the load case that the wishes are for: + is higher.",
                low=-20 * INCH,
                high=20 * INCH,
                usual=(-6 * INCH, 6 * INCH),
                typical=1 * INCH,
            ),
        ]
        | None
    ) = None
    wanted_height_band: (
        Annotated[
            float,
            _length.called(
                "Ride height, give or take",
                "Δ_w",
                "How far the damper may stand off it, either way, before the wish counts as missed.",
                low=0.05 * INCH,
                high=10 * INCH,
                usual=(0.1 * INCH, 2 * INCH),
                typical=HEIGHT_BAND,
                assumed=HEIGHT_BAND,
            ),
        ]
        | None
    ) = None
    wanted_step_low: (
        Annotated[
            float,
            step_ratio.called(
                "Wanted step, from", "q_s,low", "Rate past the crossover by the rate before it.", assumed=STEP_RATIO[0]
            ),
        ]
        | None
    ) = None
    wanted_step_high: (
        Annotated[
            float,
            step_ratio.called(
                "Wanted step, to", "q_s,high", "Rate past the crossover by the rate before it.", assumed=STEP_RATIO[1]
            ),
        ]
        | None
    ) = None
    wanted_bump: vocabulary.WantedBump | None = None
    wanted_droop: vocabulary.WantedDroop | None = None
    wanted_damping_ratio: vocabulary.WantedDampingRatio | None = None
    rebound_share: vocabulary.ReboundShare | None = None
    knee_speed: vocabulary.KneeSpeed | None = None
    slope_past_knee: vocabulary.SlopePastKnee | None = None
    old_tender_rate: Annotated[float, _rate.called("Old tender rate", "k_t,old")] | None = None
    old_tender_free_length: (
        Annotated[float, vocabulary.free_length.called("Old tender free length", "L_0t,old")] | None
    ) = None
    old_main_rate: Annotated[float, _rate.called("Old main or single rate", "k_m,old")] | None = None
    old_main_free_length: Annotated[float, vocabulary.free_length.called("Old main free length", "L_0m,old")] | None = (
        None
    )
    old_preload: Annotated[float, vocabulary.preload.called("Old preload", "p_old")] | None = None


@lru_cache(maxsize=1)
def keys() -> Mapping[str, Declared]:
    """Return the declaration of every key that a rig may hold, in the order of the job."""
    found: dict[str, Declared] = dict(declared_fields(Vehicle))
    found |= declared_fields(Ranking)
    for corner in CORNERS:
        for name, declared in declared_fields(Corner).items():
            own = declared.quantity.called(f"{corner.replace('_', ' ').capitalize()}")
            found[f"{corner}.{name}"] = replace(declared, name=f"{corner}.{name}", is_a=own)
    for axle in AXLES:
        for name, declared in declared_fields(Axle).items():
            found[f"{axle}.{name}"] = replace(declared, name=f"{axle}.{name}")
    return found


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
        return Known(value=entry.value, origin=entry.origin, plus_minus=doubt or 0.0, rests_on=frozenset({key}))

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


# --- the file ------------------------------------------------------------------------------------------------------------


def read_rig(text: str) -> Rig:
    """Read a rig file. Raises DataError with a sentence that says what is wrong and what to do.

    Keys that this handbook does not know are left out and told in `ignored`.
    """
    if len(text) > LARGEST_FILE:
        raise DataError("This file is too large for a rig file (1 MB is the limit).")
    try:
        data = read_json(text, parse_constant=_no_constant)
    except ValueError:
        raise DataError("This is not a rig file: it is not JSON, or it is damaged. Nothing was changed.") from None
    return rig_from_data(data)


def _no_constant(text: str) -> float:
    raise ValueError(text)


def rig_from_data(data: Any) -> Rig:
    """Return the rig in parsed JSON. Raises DataError."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise DataError("This is not a rig file of the handbook. Nothing was changed.")
    version = data.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise DataError("This rig file does not say its version, so it cannot be read. Nothing was changed.")
    if version > VERSION:
        raise DataError(
            f"This rig file is of version {version}; this copy of the handbook reads up to version {VERSION}. "
            "Open it with a newer copy. Nothing was changed."
        )
    values, ignored = _read_values(data.get("values", {}))
    changes, travel = _read_items(data.get("changes", []), "changes"), _read_travel(data.get("travel_pairs", {}))
    doubts, unread = _read_doubts(data.get("doubts", {})), _object(data.get("unread", {}))
    numbers = (key for key, declared in keys().items() if isinstance(declared.is_a, Quantity))
    texts = texts_from_data(unread.get("values", {}), (*keys(), *(f"{key}.plus_minus" for key in numbers)))
    pairs = _object(unread.get("travel_pairs", {}))
    ignored += tuple(str(key)[:80] for key in data.get("doubts", {}) if key not in keys())
    ignored += tuple(str(key)[:80] for key in data.get("travel_pairs", {}) if key not in AXLES)
    ignored += tuple(str(key)[:80] for key in data if key not in _PARTS)
    return Rig(
        name=_text(data.get("name", ""), "name"),
        note=_text(data.get("note", ""), "note", longest=400),
        values=values,
        load_cases=_read_cases(data.get("load_cases", [])),
        changes=changes,
        travel_pairs=travel,
        proofs=_read_proofs(data.get("proofs", [])),
        doubts=doubts,
        ordered=_read_ordered(data.get("ordered", [])),
        ignored=ignored,
        # A key with a value is no unread one, whatever the file says: one of the two is read, and only one.
        unread={name: one for name, one in texts.items() if name not in values},
        unread_changes=rows_from_data(unread.get("changes", []), item_table, len(changes)),
        unread_pairs={
            axle: rows_from_data(pairs[axle], travel_pairs, len(travel.get(axle, ())))
            for axle in AXLES
            if axle in pairs
        },
    )


def _object(data: Any) -> dict[str, Any]:
    if not isinstance(data, dict):
        raise DataError("The rig file's unread entries cannot be read. Nothing was changed.")
    return data


def _read_values(data: Any) -> tuple[dict[str, Entry], tuple[str, ...]]:
    if not isinstance(data, dict) or len(data) > 1000:
        raise DataError("The rig file's values cannot be read. Nothing was changed.")
    values: dict[str, Entry] = {}
    ignored: list[str] = []
    for key, item in data.items():
        declared = keys().get(key)
        if declared is None:
            ignored.append(str(key)[:80])
            continue
        if not isinstance(item, dict):
            raise DataError(f"The rig file's value “{key}” cannot be read. Nothing was changed.")
        values[key] = Entry(
            value=value_from_data(declared, item.get("value")),
            origin=next((origin for origin in _ORIGINS if origin == item.get("origin")), "measured"),
            plus_minus=plus_minus_from_data(item.get("plus_minus"), key),
        )
    return values, tuple(ignored)


def value_from_data(declared: Declared, value: Any) -> Any:
    """Return a value of a rig file, if it is one that its declaration allows. Raises DataError."""
    try:
        if isinstance(declared.is_a, Quantity):
            return declared.is_a.check(value, declared.name)
        if isinstance(declared.is_a, Choice):
            return declared.is_a.check(value, declared.name)
        return _text(value, declared.name)
    except FieldError as error:
        raise DataError(f"The rig file's value “{declared.name}”: {error.message()} Nothing was changed.") from None
    except NumberError:
        # Too large to be told in any unit.
        raise DataError(f"The rig file's value “{declared.name}” is no number of a rig. Nothing was changed.") from None


def _read_doubts(data: Any) -> dict[str, float]:
    if not isinstance(data, dict):
        raise DataError("The rig file's doubts cannot be read. Nothing was changed.")
    known = (key for key in data if key in keys() and isinstance(keys()[key].is_a, Quantity))
    read = {key: plus_minus_from_data(data[key], key) for key in known}
    return {key: size for key, size in read.items() if size is not None}


def plus_minus_from_data(value: Any, key: str) -> float | None:
    """Return the plus-minus of a rig file's value, if it has one. Raises DataError."""
    size, is_a = positive_from_data(value, f"plus-minus of “{key}”"), keys()[key].is_a
    if size is not None and isinstance(is_a, Quantity) and size > is_a.widest:
        raise DataError(
            f"The rig file's plus-minus of “{key}” is larger than the value itself may be. Nothing was changed."
        )
    return size


def positive_from_data(value: Any, what: str) -> float | None:
    """Return a number of 0 or more of a rig file, if there is one. Raises DataError."""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value) or value < 0:
        raise DataError(f"The rig file's {what} is not a number of 0 or more. Nothing was changed.")
    return float(value)


def _text(value: Any, what: str, longest: int = 120) -> str:
    if not isinstance(value, str):
        raise DataError(f"The rig file's “{what}” is not a text. Nothing was changed.")
    return value[:longest]


def _read_cases(data: Any) -> tuple[LoadCase, ...]:
    if not isinstance(data, list) or len(data) > MOST_CASES:
        raise DataError(f"The rig file's load cases cannot be read (at most {MOST_CASES}). Nothing was changed.")
    cases = []
    for item in data:
        if not isinstance(item, dict):
            raise DataError("One of the rig file's load cases cannot be read. Nothing was changed.")
        name = _text(item.get("name", ""), "load case")
        label = _text(item.get("label", name), "load case")
        items, unread = _read_items(item.get("items", []), name), _object(item.get("unread", {}))
        height = texts_from_data(unread, ("center_of_gravity_height",))
        cases.append(
            LoadCase(
                name=name,
                label=label or name,
                items=items,
                unread_items=rows_from_data(unread.get("items", []), item_table, len(items)),
                unread_height=height.get("center_of_gravity_height"),
                center_of_gravity_height=positive_from_data(
                    item.get("center_of_gravity_height"), f"{name}, height of the center"
                ),
            )
        )
    return tuple(cases)


def _read_items(data: Any, where: str) -> tuple[Item, ...]:
    if not isinstance(data, list) or len(data) > item_table.most:
        raise DataError(
            f"The rig file's items of “{where}” cannot be read (at most {item_table.most}). Nothing was changed."
        )
    return tuple(item_from_data(item, where) for item in data)


def item_from_data(data: Any, where: str) -> Item:
    """Return an item of a rig file. Raises DataError."""
    if not isinstance(data, dict):
        raise DataError(f"One of the rig file's items of “{where}” cannot be read. Nothing was changed.")
    values: dict[str, Any] = {}
    for name, declared in declared_fields(Item).items():
        value = data.get("name" if name == "label" else name)
        if value is None:
            continue
        if isinstance(declared.is_a, Quantity):
            values[name] = value_from_data(replace(declared, name=f"{where}, {name}"), value)
        else:
            values[name] = _text(value, f"{where}, {name}")
    try:
        return Item(**values)
    except TypeError:
        raise DataError(f"One of the rig file's items of “{where}” is not complete. Nothing was changed.") from None


def _read_travel(data: Any) -> dict[str, tuple[TravelPair, ...]]:
    wrong = DataError("The rig file's travel pairs cannot be read. Nothing was changed.")
    if not isinstance(data, dict):
        raise wrong
    found = {}
    for axle in AXLES:
        rows = data.get(axle, [])
        if (
            not isinstance(rows, list)
            or len(rows) > travel_pairs.most
            or not all(isinstance(row, dict) for row in rows)
        ):
            raise wrong
        found[axle] = tuple(pair_from_data(row, axle) for row in rows)
    return {axle: pairs for axle, pairs in found.items() if pairs}


def pair_from_data(data: Mapping[str, Any], axle: str) -> TravelPair:
    """Return a pair of a rig file's travel table. Raises DataError."""
    return TravelPair(
        **{
            name: value_from_data(replace(declared, name=f"travel pairs, {axle}, {name}"), data.get(name))
            for name, declared in travel_pairs.columns().items()
        }
    )


def _read_proofs(data: Any) -> tuple[Proof, ...]:
    try:
        return proofs_from_data(data, CORNERS)
    except DataError as problem:
        raise DataError(f"{problem} Nothing was changed.") from None


def unknown(rig: Rig) -> str:
    """Return what a rig's file held that this handbook does not know, as a sentence; empty where it knew everything."""
    if not rig.ignored:
        return ""
    named = ", ".join(f"“{key}”" for key in rig.ignored[:_MOST_NAMED])
    more = f" and {len(rig.ignored) - _MOST_NAMED} more" if len(rig.ignored) > _MOST_NAMED else ""
    return f"Left out of the rig file, because this handbook does not know it: {named}{more}. Check how it is spelled."


def _read_ordered(data: Any) -> tuple[Ordered, ...]:
    if not isinstance(data, list) or len(data) > MOST_ORDERS:
        raise DataError(f"The rig file's orders cannot be read (at most {MOST_ORDERS}). Nothing was changed.")
    found = []
    for number, item in enumerate(data, 1):
        entered = item.get("rig") if isinstance(item, dict) else None
        if isinstance(entered, dict) and ("ordered" in entered or "proofs" in entered):
            raise DataError(f"The rig file's order {number} holds other orders or measurements. Nothing was changed.")
        try:
            text = entered_text(rig_from_data(entered))
            found.append(record_from_data(item, number, CORNERS, text))
        except DataError as problem:
            told = str(problem).removesuffix(" Nothing was changed.")
            raise DataError(f"The rig file's order {number}: {told} Nothing was changed.") from None
    return tuple(found)


def entered_text(rig: Rig) -> str:
    """Return what is entered of a rig, without what was ordered and measured, as a text that an order keeps."""
    return json.dumps(rig_to_data(replace(rig, proofs=(), ordered=())), ensure_ascii=False, allow_nan=False)


@remembered(4)
def entered_then(record: Ordered) -> Rig:
    """Return the rig as it was entered when it was ordered."""
    return rig_from_data(json.loads(record.rig))


def rig_to_data(rig: Rig) -> dict[str, Any]:
    """Return the rig as JSON data, ready to be written."""
    unread = _unread_of_rig(rig)
    later = rig.ordered or unread or any(map(_keeps_unread, rig.load_cases)) or any(one.unread for one in rig.proofs)
    return {
        "format": FORMAT,
        "version": VERSION if later else _VERSION_PLAIN,
        "name": rig.name,
        "note": rig.note,
        "values": {key: _entry_data(rig.values[key]) for key in keys() if key in rig.values},
        "load_cases": [
            {
                "name": case.name,
                "label": case.label,
                "items": [_item_data(item) for item in case.items],
                "center_of_gravity_height": case.center_of_gravity_height,
                **_unread_of_case(case),
            }
            for case in rig.load_cases
        ],
        "changes": [_item_data(item) for item in rig.changes],
        "travel_pairs": {
            axle: [_item_data(pair) for pair in pairs] for axle, pairs in rig.travel_pairs.items() if pairs
        },
        # A rig that is not built yet stays the file that it was.
        **({"doubts": dict(rig.doubts)} if rig.doubts else {}),
        **({"proofs": proofs_to_data(rig.proofs)} if rig.proofs else {}),
        **({"ordered": [record_to_data(one, json.loads(one.rig)) for one in rig.ordered]} if rig.ordered else {}),
        **unread,
    }


def _keeps_unread(case: LoadCase) -> bool:
    return bool(case.unread_items or case.unread_height)


def _unread_of_case(case: LoadCase) -> dict[str, Any]:
    height = {} if case.unread_height is None else texts_to_data({"center_of_gravity_height": case.unread_height})
    items = {"items": rows_to_data(case.unread_items)} if case.unread_items else {}
    return {"unread": {**height, **items}} if height or items else {}


def _unread_of_rig(rig: Rig) -> dict[str, Any]:
    parts = {
        "values": texts_to_data(rig.unread),
        "changes": rows_to_data(rig.unread_changes),
        "travel_pairs": {axle: rows_to_data(rows) for axle, rows in rig.unread_pairs.items() if rows},
    }
    return {"unread": {name: part for name, part in parts.items() if part}} if any(parts.values()) else {}


def _entry_data(entry: Entry) -> dict[str, Any]:
    data = {"value": entry.value, "origin": entry.origin}
    return data if entry.plus_minus is None else {**data, "plus_minus": entry.plus_minus}


def _item_data(item: Item | TravelPair) -> dict[str, Any]:
    data = {("name" if part.name == "label" else part.name): getattr(item, part.name) for part in fields(item)}
    return {name: value for name, value in data.items() if value is not None}


def write_rig(rig: Rig) -> str:
    """Return the text of a rig file. What it says, `read_rig` reads back the same."""
    return json.dumps(rig_to_data(rig), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


@lru_cache(maxsize=1)
def wren() -> Rig:
    """Return Wren, the invented rig that every page shows."""
    from calc.tables import DATA

    return read_rig((DATA / "rigs" / "wren.json").read_text(encoding="utf-8"))


def label(key: str) -> str:
    """Return how a key is called in a sentence: "front tire rate"."""
    place, dot, _ = key.partition(".")
    words = keys()[key].is_a.label
    if key.endswith(".corner_mass"):
        return f"{words[:1].lower()}{words[1:]} corner weight"
    if not dot or words.lower().startswith(place.replace("_", " ")):
        return words[:1].lower() + words[1:]
    return f"{place.replace('_', ' ')} {words[:1].lower()}{words[1:]}"


# --- loads ----------------------------------------------------------------------------------------------------------------


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
