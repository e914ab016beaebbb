"""What may be entered of a rig: every key with its quantity, in the order of the job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Annotated

from calc import vocabulary
from calc.damper._pad import PadForce
from calc.geometry import _eye_places as places
from calc.geometry import _track_bar as track_bars
from calc.limits import HEIGHT_BAND, STEP_RATIO, step_ratio
from calc.quantity import Choice, Declared, Option, Text, declared_fields
from calc.rig.rank_weights import Ranking
from calc.spring import stack as stacks
from calc.units import INCH
from calc.vocabulary import AXLES as AXLES
from calc.vocabulary import CORNERS as CORNERS

AS_WEIGHED = "as weighed"


@dataclass(frozen=True, kw_only=True)
class Vehicle:
    """What is entered once for the whole vehicle."""

    condition: Annotated[str, Text(label="State it was weighed in", help="Fuel, people and load.")] | None = None
    wheelbase: vocabulary.Wheelbase | None = None
    reference_case: (
        Annotated[str, Text(label="Targets are set for this load case", help="The name of one of the load cases.")]
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
    help="What ends the droop. Without a strap the damper does, and breaks its rod, its eye or its mount: that fails. Left "
    "blank, it is not checked.",
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
                "In the load case of the targets. One of these three is enough; the preload is set for it. While "
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
                "Shaft between the damper body and the collar that it bottoms on, in the load case of the targets.",
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
                "Against the height at which the lean was read, in the load case of the targets: + is higher.",
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
                "How far the damper may be off it, either way, before the target counts as missed.",
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


def label(key: str) -> str:
    """Return how a key is called in a sentence: "front tire rate"."""
    place, dot, _ = key.partition(".")
    words = keys()[key].is_a.label
    if key.endswith(".corner_mass"):
        return f"{words[:1].lower()}{words[1:]} corner weight"
    if not dot or words.lower().startswith(place.replace("_", " ")):
        return words[:1].lower() + words[1:]
    return f"{place.replace('_', ' ')} {words[:1].lower()}{words[1:]}"
