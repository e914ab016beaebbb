"""The rig page's sections, in the order of the job: which entries and tables stand in each."""

from __future__ import annotations

from dataclasses import dataclass

from calc.geometry.travel_table import travel_pairs
from calc.order.order import LIMITS
from calc.quantity import Table
from calc.rig.entries import CORNERS
from calc.weight.weight_change import item_table


@dataclass(frozen=True, kw_only=True)
class Group:
    """Fields under one legend: of the vehicle, or one for each axle."""

    legend: str
    names: tuple[str, ...]
    of_axles: bool = True
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Section:
    """One part of the job on the page: its number, its name, its fields, and its tables to fill in."""

    number: int
    name: str
    groups: tuple[Group, ...] = ()
    tables: tuple[Table, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all its fields."""
        return tuple(name for group in self.groups for name in group.names)


SECTIONS = (
    Section(
        number=1,
        name="Weigh",
        groups=(
            Group(
                legend="The scale slip",
                names=("condition", *(f"{corner}.corner_mass" for corner in CORNERS), "wheelbase"),
                of_axles=False,
            ),
            Group(legend="", names=("track", "axle_rating")),
            Group(
                legend="Without a scale under each wheel",
                names=("axle_mass_after",),
                note="Axle weights alone give a first answer. The four corners take their place.",
            ),
        ),
    ),
    Section(
        number=2,
        name="Split",
        groups=(
            Group(
                legend="What the springs do not carry", names=("axle_kind", "unsprung_mass", "unsprung_left_of_center")
            ),
        ),
    ),
    Section(
        number=3,
        name="Change",
        tables=(item_table,),
        groups=(
            Group(legend="Before the change", names=("axle_mass_before", "unsprung_mass_before")),
            Group(
                legend="The old springs, if known",
                names=(
                    "old_tender_rate",
                    "old_tender_free_length",
                    "old_main_rate",
                    "old_main_free_length",
                    "old_preload",
                ),
            ),
        ),
    ),
    Section(
        number=4,
        name="Motion ratio",
        tables=(travel_pairs,),
        groups=(
            Group(
                legend="From lean and length, at one ride height",
                names=("lean", "damper_length"),
            ),
            Group(
                legend="Or as measured",
                names=("motion_ratio", "motion_ratio_slope"),
                note="A motion ratio given here goes before everything else. If it changes, enter the damper length at which it "
                "was measured.",
            ),
            Group(
                legend="For left and right apart",
                names=("mount_base", "mount_height", "roll_center_height", "bar_roll_stiffness"),
            ),
            Group(
                legend="Track bar of a solid axle, seen from behind",
                names=(
                    "track_bar_frame_left",
                    "track_bar_frame_height",
                    "track_bar_axle_left",
                    "track_bar_axle_height",
                ),
                note="With all four the roll center is where the bar crosses the middle, and goes up and down by half of "
                "what the axle does. Without them it is taken as fixed on the body, at the height above.",
            ),
            Group(
                legend="Or from mount coordinates",
                names=(
                    "upper_mount_base",
                    "upper_mount_height",
                    "upper_mount_back",
                    "mount_back",
                    "path_pivot_ahead",
                    "path_pivot_above",
                ),
                note="With the axle ends above. They go before lean and length. Without a pivot (of arms, or the links' "
                "instant center) the axle goes straight up.",
            ),
            Group(
                legend="Or from a travel table",
                names=("ride_height",),
                note="It goes before the mounts, and before lean and length.",
            ),
        ),
    ),
    Section(
        number=5,
        name="Targets",
        tables=(item_table,),
        groups=(
            Group(
                legend="Ride height",
                names=("wanted_damper_length", "wanted_shaft_showing", "wanted_height_change", "wanted_height_band"),
                note="In the load case of the targets. One of the three is enough; the preload is set for it.",
            ),
            Group(
                legend="Targets",
                names=(
                    "wanted_frequency_low",
                    "wanted_frequency_high",
                    "wanted_frequency_past_crossover_low",
                    "wanted_frequency_past_crossover_high",
                    "wanted_crossover_above_ride",
                    "wanted_step_low",
                    "wanted_step_high",
                    "wanted_bump",
                    "wanted_droop",
                ),
            ),
            Group(legend="Tires", names=("tire_rate", "tire_pressure", "tire_loaded_radius")),
            Group(
                legend="On the road",
                names=("wanted_road_speed",),
                of_axles=False,
            ),
            Group(
                legend="When it is leveled",
                names=("wanted_cross_share",),
                of_axles=False,
                note="How far the adjusters must be turned for it is given with the springs.",
            ),
        ),
    ),
    Section(
        number=6,
        name="Springs",
        groups=(
            Group(
                legend="Damper",
                names=(
                    "damper_extended",
                    "damper_stroke",
                    "damper_collapsed",
                    "solid_before_collapsed",
                    "limit_strap",
                    "strap_travel",
                ),
            ),
            Group(
                legend="Seats, adjuster and ring",
                names=(
                    "seat_space",
                    "divider_thickness",
                    "adjuster_range",
                    "adjuster_turns_per_length",
                    "spring_inside_diameter",
                    "ring_thickness",
                    "thread_length",
                    "body_length",
                ),
            ),
            Group(
                legend="Hard limits, yours to set",
                names=tuple(LIMITS.values()),
                of_axles=False,
                note="Common practice where you set none. They decide what works.",
            ),
        ),
    ),
    Section(
        number=7,
        name="Damper",
        groups=(
            Group(
                legend="Gas and damping",
                names=("gas_pressure", "gas_volume", "rod_diameter", "piston_diameter", "wanted_damping_ratio"),
            ),
            Group(
                legend="Shape of the damping",
                names=("rebound_share", "slope_past_knee", "knee_speed"),
                note="Forces, cavitation and rough ground all go by these. 100\u00a0% past the knee is a straight line: no knee.",
            ),
        ),
    ),
    Section(
        number=8,
        name="Bump stops",
        groups=(
            Group(
                legend="Where the pad is touched", names=("pad_touch_before_collapsed", "pad_rate", "pad_solid_force")
            ),
        ),
    ),
    Section(
        number=9,
        name="Ride check",
        groups=(
            Group(
                legend="The roughest ground that is driven at speed",
                names=("road_class", "road_speed"),
                of_axles=False,
                note="The gas of the dampers is judged on it, at three sigma of the damper speed: an estimate of a linear corner.",
            ),
        ),
    ),
    Section(
        number=10,
        name="Roll",
        groups=(
            Group(
                legend="In a turn",
                names=("driven_on_roads", "lateral_acceleration"),
                of_axles=False,
                note="Left blank, the sideways acceleration is taken as 0.3\u00a0g.",
            ),
            Group(
                legend="Less lean, by bars",
                names=("wanted_roll_gradient", "wanted_front_bar_share"),
                of_axles=False,
                note="What bars must add is worked out in the load case of the targets. Left blank, each axle's bar adds half.",
            ),
            Group(
                legend="A bar that could be fitted",
                names=("bar_length", "bar_arm", "bar_base"),
                note="Enter all three to see the diameter that the bar needs. Once it is on, enter its roll stiffness in section 4.",
            ),
        ),
    ),
    Section(number=11, name="Fit"),
    Section(number=12, name="Order and set"),
    Section(number=13, name="Prove"),
)
