"""The words of the handbook: every shared quantity, declared once as an annotated type.

One name means one thing in every step: `motion_ratio` that one step gives is the `motion_ratio` that another takes.
Names follow ISO 8855, SAE J670 and EN 13906-1 as far as these are known from memory; the nomenclature page prints them.
Axes: x forward, y left, z up. Travel, velocity and force of a coil-over are positive in bump (compression).
"""
# Over 400 lines: one table, every shared quantity once.

from __future__ import annotations

import math
from typing import Annotated

from calc import units
from calc.constants import GRAVITY
from calc.quantity import Choice, Option, Quantity
from calc.units import INCH, POUND, POUND_FORCE

_LB_IN = POUND_FORCE / INCH
_PSI = POUND_FORCE / INCH**2
_DEGREE = math.pi / 180

AXLES = ("front", "rear")
CORNERS = ("left_front", "right_front", "left_rear", "right_rear")

# What is taken for a length that is read off the parts: common practice, without a published source.
CALIPER = 0.02 * INCH
TAPE = 0.06 * INCH

# --- masses and loads -------------------------------------------------------------------------------------------

corner_mass = Quantity(
    label="Corner weight",
    symbol="m_c",
    kind=units.MASS,
    low=0.0,
    low_open=True,
    high=4000.0,
    usual=(150.0, 1800.0),
    typical=600.0,
    help="What the scale under this tire reads.",
    plus_minus=10 * POUND,
)
CornerMass = Annotated[float, corner_mass]
LeftFrontMass = Annotated[float, corner_mass.called("Left front", "m_LF")]
RightFrontMass = Annotated[float, corner_mass.called("Right front", "m_RF")]
LeftRearMass = Annotated[float, corner_mass.called("Left rear", "m_LR")]
RightRearMass = Annotated[float, corner_mass.called("Right rear", "m_RR")]

axle_mass = Quantity(
    label="Axle weight",
    symbol="m_axle",
    kind=units.MASS,
    low=0.0,
    low_open=True,
    high=8000.0,
    usual=(300.0, 3500.0),
    typical=1300.0,
    help="Both tires of one axle on the scales, added.",
    plus_minus=14 * POUND,
)
AxleMass = Annotated[float, axle_mass]
AxleMassBefore = Annotated[
    float,
    axle_mass.called("Axle weight before", "m_before", "Both tires of the axle, as it was when the ride was right."),
]
AxleMassAfter = Annotated[
    float, axle_mass.called("Axle weight after", "m_after", "Both tires of the axle, with everything fitted.")
]
FrontAxleMass = Annotated[float, axle_mass.called("Front axle weight", "m_F")]
RearAxleMass = Annotated[float, axle_mass.called("Rear axle weight", "m_R")]
AxleLeftMass = Annotated[float, corner_mass.called("Left tire of the axle", "m_left")]
AxleRightMass = Annotated[float, corner_mass.called("Right tire of the axle", "m_right")]

total_mass = Quantity(
    label="Total weight",
    symbol="m",
    kind=units.MASS,
    low=0.0,
    low_open=True,
    high=16000.0,
    typical=2500.0,
    help="The four corner weights added.",
    plus_minus=20 * POUND,
)
TotalMass = Annotated[float, total_mass]

axle_rating = Quantity(
    label="Axle rating",
    symbol="m_max",
    kind=units.MASS,
    low=100.0,
    high=10000.0,
    usual=(600.0, 5000.0),
    typical=1500.0,
    help="The greatest weight that the axle, its tires and wheels may carry: the lowest of their ratings.",
)
AxleRating = Annotated[float, axle_rating]
FrontAxleRating = Annotated[float, axle_rating.called("Front axle rating", "m_F,max")]
RearAxleRating = Annotated[float, axle_rating.called("Rear axle rating", "m_R,max")]

unsprung_mass = Quantity(
    label="Unsprung weight",
    symbol="m_u",
    kind=units.MASS,
    low=0.0,
    high=2000.0,
    usual=(60.0, 900.0),
    typical=300.0,
    help="What the springs do not carry: axle, wheels, tires, brakes, half of links, dampers and springs.",
    plus_minus_share=0.05,
)
UnsprungMass = Annotated[float, unsprung_mass]
FrontUnsprungMass = Annotated[float, unsprung_mass.called("Unsprung weight, front axle", "m_u,F")]
RearUnsprungMass = Annotated[float, unsprung_mass.called("Unsprung weight, rear axle", "m_u,R")]
UnsprungMassBefore = Annotated[float, unsprung_mass.called("Unsprung weight before", "m_u,before")]
UnsprungMassAfter = Annotated[float, unsprung_mass.called("Unsprung weight after", "m_u,after")]

sprung_mass = Quantity(
    label="Sprung weight of the axle",
    symbol="m_s",
    kind=units.MASS,
    low=0.0,
    low_open=True,
    high=8000.0,
    typical=1000.0,
    help="Axle weight less unsprung weight: what both springs of the axle carry.",
)
SprungMass = Annotated[float, sprung_mass]
FrontSprungMass = Annotated[
    float,
    sprung_mass.called("Sprung weight, front axle", "m_s,F", "What both front springs carry.", plus_minus=40 * POUND),
]
RearSprungMass = Annotated[
    float,
    sprung_mass.called("Sprung weight, rear axle", "m_s,R", "What both rear springs carry.", plus_minus=40 * POUND),
]
sprung_mass_on_spring = Quantity(
    label="Sprung weight on this spring",
    symbol="m_s",
    kind=units.MASS,
    low=10.0,
    high=4000.0,
    usual=(100.0, 1500.0),
    typical=500.0,
    help="The share of the sprung weight that this one spring carries.",
    plus_minus=10 * POUND,
)
SprungMassOnSpring = Annotated[float, sprung_mass_on_spring]

item_mass = Quantity(
    label="Weight of the item",
    symbol="m_i",
    kind=units.MASS,
    low=-3000.0,
    high=3000.0,
    typical=85.0,
    help="Positive for what goes on, negative for what comes off.",
    plus_minus_share=0.05,
)
ItemMass = Annotated[float, item_mass]

force = Quantity(
    label="Force",
    symbol="F",
    kind=units.FORCE,
    low=-2e5,
    high=2e5,
    typical=5000.0,
    help="A force.",
    plus_minus=0.0,
)
support_load = force.called(
    "Support load",
    "P",
    "What the spring side of this corner holds up, counted at the wheel: the virtual-work load.",
    low=0.0,
    high=1e5,
)
SupportLoadMean = Annotated[
    float,
    support_load.called(
        "Support load, mean of both sides",
        "P",
        "What one spring of the axle holds up on the mean, counted at the wheel: half the sprung weight of the axle.",
    ),
]
SupportLoadLeft = Annotated[float, support_load.called("Support load, left", "P_L", low=-1e5)]
SupportLoadRight = Annotated[float, support_load.called("Support load, right", "P_R", low=-1e5)]
axial_load = force.called(
    "Axial load at ride",
    "F",
    "All force along the coil-over at ride: spring, gas and stop together.",
    low=0.0,
    high=1e5,
    usual=(700.0, 2e4),
    typical=5000.0,
)
AxialLoad = Annotated[float, axial_load]

# --- places on the vehicle ----------------------------------------------------------------------------------------

wheelbase = Quantity(
    label="Wheelbase",
    symbol="l",
    kind=units.DISTANCE,
    low=1.2,
    high=6.0,
    usual=(1.8, 4.5),
    typical=2.85,
    help="Front to rear wheel center, straight ahead, the mean of both sides.",
    plus_minus=0.005,
)
Wheelbase = Annotated[float, wheelbase]
track = Quantity(
    label="Track",
    symbol="b",
    kind=units.DISTANCE,
    low=0.8,
    high=3.0,
    usual=(1.2, 2.2),
    typical=1.64,
    help="Between the middles of the two tire treads of the axle, on the ground.",
    plus_minus=0.005,
)
Track = Annotated[float, track]
TrackFront = Annotated[float, track.called("Track, front", "b_F")]
TrackRear = Annotated[float, track.called("Track, rear", "b_R")]
behind_front_axle = Quantity(
    label="Behind the front axle",
    symbol="x",
    kind=units.DISTANCE,
    low=-3.0,
    high=8.0,
    typical=1.45,
    help="Along the vehicle, from the front wheel centers; negative ahead of them.",
    plus_minus=0.02,
)
BehindFrontAxle = Annotated[float, behind_front_axle]
left_of_center = Quantity(
    label="Left of center",
    symbol="y",
    kind=units.DISTANCE,
    low=-2.0,
    high=2.0,
    typical=0.0,
    help="Across the vehicle, from its middle; negative to the right.",
    plus_minus=0.02,
)
LeftOfCenter = Annotated[float, left_of_center]
CenterBehindFrontAxle = Annotated[
    float,
    behind_front_axle.called(
        "Center of gravity behind the front axle", "x_cg", "Along the vehicle, from the front wheel centers."
    ),
]
CenterLeftOfCenter = Annotated[
    float,
    left_of_center.called(
        "Center of gravity left of center", "y_cg", "Across the vehicle, from its middle; negative to the right."
    ),
]
center_of_gravity_height = Quantity(
    label="Center of gravity, height",
    symbol="z_cg",
    kind=units.DISTANCE,
    low=0.0,
    low_open=True,
    high=4.0,
    usual=(0.3, 2.0),
    typical=0.8,
    help="Of the whole vehicle, from level ground, as it stood when weighed.",
    plus_minus=0.05,
)
CenterOfGravityHeight = Annotated[float, center_of_gravity_height]
SprungCenterHeight = Annotated[
    float,
    center_of_gravity_height.called(
        "Sprung center of gravity, height", "z_s", "Of all that the springs carry, from level ground.", typical=0.95
    ),
]
tire_loaded_radius = Quantity(
    label="Loaded radius of the tire",
    symbol="r",
    kind=units.LENGTH,
    low=0.15,
    high=1.2,
    usual=(0.22, 0.75),
    typical=0.44,
    help="Hub center to the ground, at the weight and pressure that it is weighed at.",
    plus_minus=0.003,
)
FrontTireRadius = Annotated[float, tire_loaded_radius.called("Loaded radius, front tires", "r_F")]
RearTireRadius = Annotated[float, tire_loaded_radius.called("Loaded radius, rear tires", "r_R")]
axle_kind = Choice(
    label="Kind of axle",
    options=(
        Option("solid", "solid axle", "One beam joins both wheels."),
        Option("independent", "independent wheels", "Each wheel has its own links."),
    ),
    typical="solid",
    help="A solid axle carries both wheels on one beam; independent wheels each have their own links.",
)
AxleKind = Annotated[str, axle_kind]
unsprung_left_of_center = left_of_center.called(
    "Unsprung center, left of center",
    "y_u",
    "Center of the unsprung weight: negative to the right, as an offset gear case is.",
    kind=units.LENGTH,
)
UnsprungLeftOfCenter = Annotated[float, unsprung_left_of_center]
mount_base = Quantity(
    label="Base between the lower mounts",
    symbol="s_m",
    kind=units.DISTANCE,
    low=0.2,
    high=2.6,
    usual=(0.5, 1.8),
    typical=1.0,
    help="Between the two coil-over mounts on the axle, left to right, eye to eye.",
    plus_minus=0.005,
)
MountBase = Annotated[float, mount_base]
spring_base = mount_base.called(
    "Effective spring base",
    "s",
    "Between the lines of the two coil-overs, at the height of the roll center.",
)
SpringBase = Annotated[float, spring_base]
mount_height = Quantity(
    label="Height of the lower mounts",
    symbol="z_m",
    kind=units.DISTANCE,
    low=0.0,
    high=2.0,
    typical=0.4,
    help="From the ground to the coil-over eyes on the axle.",
    plus_minus=0.01,
)
MountHeight = Annotated[float, mount_height]
roll_center_height = Quantity(
    label="Roll-center height",
    symbol="z_rc",
    kind=units.DISTANCE,
    low=-0.5,
    high=2.0,
    typical=0.55,
    help="From the ground to the axle's roll center: with a track bar, its height at the middle of the vehicle. It is taken "
    "as fixed on the body unless both ends of the bar are entered.",
    plus_minus=0.03,
)
RollCenterHeight = Annotated[float, roll_center_height]
lean = Quantity(
    label="Lean of the coil-over",
    symbol="β",
    kind=units.ANGLE,
    low=0.0,
    high=60 * _DEGREE,
    typical=12 * _DEGREE,
    help="From upright, top toward the middle of the vehicle, read with an angle finder at ride height.",
    plus_minus=0.5 * _DEGREE,
)
Lean = Annotated[float, lean]

# --- motion ratio ----------------------------------------------------------------------------------------------------

motion_ratio = Quantity(
    label="Motion ratio",
    symbol="R",
    kind=units.RATIO,
    low=0.1,
    high=2.0,
    typical=0.97,
    help="Damper travel per wheel travel, both wheels of the axle moving together.",
    plus_minus=0.01,
)
MotionRatio = Annotated[float, motion_ratio]
motion_ratio_slope = Quantity(
    label="Change of motion ratio with wheel travel",
    symbol="R'",
    kind=units.RATIO_PER_LENGTH,
    low=-20.0,
    high=20.0,
    typical=-0.1,
    help="How fast the motion ratio grows as the wheel moves up; negative for a coil-over that leans further in bump.",
    # About 3 lb/in at 1000 lbf: what a table of pairs is trusted with before mount points take its place (practice).
    plus_minus=0.1,
)
MotionRatioSlope = Annotated[float, motion_ratio_slope]
MotionRatioInverse = Annotated[
    float,
    motion_ratio.called(
        "Wheel travel per damper travel", "i", "The inverse of the motion ratio; the trade uses both.", high=10.0
    ),
]
ArticulationRatio = Annotated[
    float,
    motion_ratio.called(
        "Motion ratio in articulation",
        "R_a",
        "Damper travel per wheel travel, one wheel up and the other down by as much.",
        low=0.0,
        typical=0.56,
    ),
]
OneWheelRatio = Annotated[
    float,
    motion_ratio.called(
        "Motion ratio, one wheel, own side", "R_1", "The other wheel stays where it is.", low=0.0, typical=0.77
    ),
]

# --- rates and frequencies ---------------------------------------------------------------------------------------

spring_rate = Quantity(
    label="Spring rate",
    symbol="k",
    kind=units.RATE,
    low=1e3,
    high=1e6,
    usual=(60 * _LB_IN, 1300 * _LB_IN),
    typical=250 * _LB_IN,
    help="Force per length of one spring, as stamped on it or in its list.",
    plus_minus_share=0.03,
)
SpringRate = Annotated[float, spring_rate]
TenderRate = Annotated[
    float, spring_rate.called("Tender rate", "k_t", "Rate of the upper, softer spring, at the adjuster end.")
]
MainRate = Annotated[float, spring_rate.called("Main rate", "k_m", "Rate of the lower spring.", typical=450 * _LB_IN)]
any_rate = spring_rate.called("Rate", "k", low=0.0, high=1e7, usual=None, plus_minus_share=0.0)
axial_rate = any_rate.called(
    "Rate along the coil-over",
    "k_a",
    "Everything that acts along the coil-over added: the spring stack's rate and the gas.",
    low=100.0,
    plus_minus_share=0.03,
)
AxialRate = Annotated[float, axial_rate]
AxialRatePastCrossover = Annotated[
    float,
    axial_rate.called(
        "Rate along the coil-over past the crossover", "k_a2", "The main spring's rate and the gas, added."
    ),
]
geometric_rate = any_rate.called(
    "Rate from the changing motion ratio",
    "k_R'",
    "What the axial load adds to the wheel rate because the motion ratio changes with travel; often negative.",
    low=-1e6,
    high=1e6,
    typical=-2 * _LB_IN,
)
GeometricRate = Annotated[float, geometric_rate]
StackRate = Annotated[float, any_rate.called("Stack rate", "k_s", "The springs of one coil-over in series.", low=100.0)]
StackRatePastCrossover = Annotated[
    float,
    any_rate.called(
        "Rate past the crossover", "k_2", "The main spring alone, the divider resting on the ring.", low=100.0
    ),
]
gas_rate = any_rate.called("Gas rate", "k_g", "How fast the gas force grows with damper travel.")
GasRate = Annotated[float, gas_rate]
wheel_rate = any_rate.called(
    "Wheel rate",
    "k_w",
    "Load at the wheel per wheel travel relative to the body.",
    low=100.0,
    plus_minus_share=0.03,
)
WheelRate = Annotated[float, wheel_rate]
WheelRatePastCrossover = Annotated[float, wheel_rate.called("Wheel rate past the crossover", "k_w2")]
tire_rate = any_rate.called(
    "Tire rate",
    "k_T",
    "Load per squash of one tire at its pressure.",
    low=5e4,
    high=2e6,
    usual=(700 * _LB_IN, 4000 * _LB_IN),
    typical=260e3,
    plus_minus_share=0.10,
)
TireRate = Annotated[float, tire_rate]
tire_pressure = Quantity(
    label="Tire pressure",
    symbol="p_T",
    kind=units.PRESSURE,
    low=0.0,
    high=8e5,
    usual=(6 * _PSI, 90 * _PSI),
    typical=26 * _PSI,
    help="By the gauge, cold. Common practice, no source: 8 to 20 psi (0.55 to 1.4 bar) aired down on the trail, "
    "25 to 80 psi (1.7 to 5.5 bar) on the road. The tire maker's table sets the least for the load.",
    plus_minus=0.5 * _PSI,
)
TirePressure = Annotated[float, tire_pressure]
ride_rate = any_rate.called("Ride rate", "k_r", "Wheel rate and tire rate in series.", low=50.0)
RideRate = Annotated[float, ride_rate]
FrontTireRate = Annotated[float, tire_rate.called("Tire rate, front", "k_T,F")]
RearTireRate = Annotated[float, tire_rate.called("Tire rate, rear", "k_T,R")]
FrontRideRate = Annotated[
    float,
    ride_rate.called(
        "Ride rate, each front wheel",
        "k_r,F",
        "Wheel rate and tire rate in series, of one wheel.",
        plus_minus_share=0.03,
    ),
]
RearRideRate = Annotated[
    float,
    ride_rate.called(
        "Ride rate, each rear wheel",
        "k_r,R",
        "Wheel rate and tire rate in series, of one wheel.",
        plus_minus_share=0.03,
    ),
]
natural_frequency = Quantity(
    label="Ride frequency",
    symbol="f",
    kind=units.FREQUENCY,
    low=0.1,
    high=20.0,
    usual=(0.6, 5.0),
    typical=1.1,
    help="How often the body would bounce in a second on this spring and tire, undamped.",
)
NaturalFrequency = Annotated[float, natural_frequency]
NaturalFrequencyPastCrossover = Annotated[
    float,
    natural_frequency.called(
        "Ride frequency at ride height, on the rate past the crossover",
        "f_2",
        "What the corner would have if the rate past the crossover worked where it rides; at the crossover itself, with the "
        "load and the lean that it has there, it is a little different.",
        low=0.01,
        high=1e3,
    ),
]
WantedFrequency = Annotated[float, natural_frequency.called("Wanted ride frequency", "f_w")]

coil_over_roll_stiffness = Quantity(
    label="Roll stiffness of both coil-overs",
    symbol="K_φs",
    kind=units.ROLL_RATE,
    low=-1e6,
    high=1e6,
    typical=15e3,
    help="Righting moment of the axle's two coil-overs per angle of roll of the body over the axle, upright, tires apart.",
)
CoilOverRollStiffness = Annotated[float, coil_over_roll_stiffness]
axle_roll_stiffness = coil_over_roll_stiffness.called(
    "Roll stiffness of both coil-overs", low=100.0, usual=(1e3, 3e5), plus_minus_share=0.05
)
FrontCoilOverRollStiffness = Annotated[
    float, axle_roll_stiffness.called("Roll stiffness of both coil-overs, front", "K_φs,F")
]
RearCoilOverRollStiffness = Annotated[
    float, axle_roll_stiffness.called("Roll stiffness of both coil-overs, rear", "K_φs,R")
]
bar_roll_stiffness = coil_over_roll_stiffness.called(
    "Anti-roll bar",
    "K_b",
    "Righting moment of the bar per angle of roll of the body over the axle; zero without a bar.",
    low=0.0,
    typical=0.0,
    assumed=0.0,
)
FrontBarRollStiffness = Annotated[float, bar_roll_stiffness.called("Anti-roll bar, front", "K_b,F")]
RearBarRollStiffness = Annotated[float, bar_roll_stiffness.called("Anti-roll bar, rear", "K_b,R")]
roll_gradient = Quantity(
    label="Roll gradient",
    symbol="φ'",
    kind=units.ANGLE_PER_ACCELERATION,
    low=0.0,
    high=1e6,
    typical=10 * _DEGREE / GRAVITY,
    help="How far the body leans for a steady sideways acceleration of 1 g, small angles.",
)
lateral_acceleration = Quantity(
    label="Sideways acceleration",
    symbol="a_y",
    kind=units.LATERAL_ACCELERATION,
    low=0.0,
    high=1.0 * GRAVITY,
    usual=(0.05 * GRAVITY, 0.8 * GRAVITY),
    typical=0.3 * GRAVITY,
    assumed=0.3 * GRAVITY,
    help="Of a steady turn; 0.3 g is a brisk one on a road (common practice, no source).",
)
LateralAcceleration = Annotated[float, lateral_acceleration]
driven_on_roads = Choice(
    label="Driven on roads",
    options=(
        Option("yes", "yes", "It is driven at road speed, between jobs too."),
        Option("no", "no", "It stays on trails, slowly, or is hauled there."),
    ),
    typical="yes",
    help="Whether it is driven at road speed, between jobs too. Then too much lean in a turn fails. Left blank, "
    "it is not checked.",
)
DrivenOnRoads = Annotated[str, driven_on_roads]
roll_lever = center_of_gravity_height.called(
    "Roll lever", "h_a", "From the roll axis up to the sprung center of gravity.", usual=None, typical=0.4
)
RollLever = Annotated[float, roll_lever]

# --- how far out the weight sits: assumed, as hardly anybody can measure it -----------------------------------------

dynamic_index = Quantity(
    label="Dynamic index",
    symbol="DI",
    kind=units.RATIO,
    low=0.3,
    high=2.0,
    usual=(0.5, 1.6),
    typical=0.95,
    assumed=0.95,
    help="Radius of gyration squared over the product of both arms: below 1 the weight sits between the axles, above 1 "
    "beyond them.",
    plus_minus=0.1,
)
DynamicIndex = Annotated[float, dynamic_index]
roll_gyration_share = Quantity(
    label="Radius of gyration in roll, by the track",
    symbol="q_x",
    kind=units.RATIO,
    low=0.2,
    high=0.7,
    typical=0.40,
    assumed=0.40,
    help="How far from the roll axis the sprung weight sits as it rolls.",
    plus_minus=0.04,
)
RollGyrationShare = Annotated[float, roll_gyration_share]
axle_gyration_share = Quantity(
    label="Radius of gyration of the axle, by the track",
    symbol="q_r",
    kind=units.RATIO,
    low=0.2,
    high=0.55,
    typical=0.39,
    assumed=0.39,
    help="How far out the axle's weight sits as it turns about its middle: 0.5 if all of it were at the tires.",
    plus_minus=0.03,
)
AxleGyrationShare = Annotated[float, axle_gyration_share]

# --- springs and their stack --------------------------------------------------------------------------------------

free_length = Quantity(
    label="Free length",
    symbol="L_0",
    kind=units.LENGTH,
    low=1 * INCH,
    high=40 * INCH,
    usual=(4 * INCH, 30 * INCH),
    typical=12 * INCH,
    help="The spring lying on the bench, ends included.",
    plus_minus=INCH / 8,
)
FreeLength = Annotated[float, free_length]
TenderFreeLength = Annotated[float, free_length.called("Tender free length", "L_0t", typical=10 * INCH)]
MainFreeLength = Annotated[float, free_length.called("Main free length", "L_0m", typical=14 * INCH)]
solid_length = Quantity(
    label="Solid length",
    symbol="L_c",
    kind=units.LENGTH,
    low=0.2 * INCH,
    high=30 * INCH,
    usual=(1 * INCH, 20 * INCH),
    typical=5 * INCH,
    help="Coils touching, ends included. The maker's list gives it; otherwise wire diameter times total coils.",
    plus_minus=0.1 * INCH,
)
SolidLength = Annotated[float, solid_length]
TenderSolidLength = Annotated[float, solid_length.called("Tender solid length", "L_ct", typical=3.5 * INCH)]
MainSolidLength = Annotated[float, solid_length.called("Main solid length", "L_cm", typical=6.3 * INCH)]

length = Quantity(
    label="Length",
    symbol="L",
    kind=units.LENGTH,
    low=-2.0,
    high=2.0,
    typical=0.1,
    help="A length.",
    plus_minus=0.0,
)
RING, NO_RING, SINGLE = "ring", "no ring", "single"
stack_kind = Choice(
    label="Springs",
    options=(
        Option(RING, "tender over main, stop ring"),
        Option(NO_RING, "tender over main, no ring"),
        Option(SINGLE, "one spring"),
    ),
    typical=RING,
    help="Which springs are on the coil-over. For one spring fill in the main and leave tender and ring empty.",
)
StackKind = Annotated[str, stack_kind]
ON_MAIN, ON_TENDER = "main", "tender"
loose_divider = Choice(
    label="Divider while loose",
    options=(Option(ON_MAIN, "rests on the main"), Option(ON_TENDER, "hangs from the tender")),
    typical=ON_MAIN,
    help="Counts only with a negative preload: where the divider sits when the ring gap is measured.",
)
LooseDivider = Annotated[str, loose_divider]
preload = length.called(
    "Preload",
    "p",
    "How far the adjuster shortens the stack, damper off the vehicle and fully extended, counted from just seated.",
    low=-4 * INCH,
    high=10 * INCH,
    usual=(0.0, 6 * INCH),
    typical=1.25 * INCH,
    plus_minus=0.05 * INCH,
)
Preload = Annotated[float, preload]
ring_gap = length.called(
    "Ring gap",
    "g",
    "From the divider to the stop ring, damper fully extended, preload set.",
    low=0.0,
    high=20 * INCH,
    usual=(0.0, 12 * INCH),
    typical=4.86 * INCH,
    plus_minus=0.05 * INCH,
)
RingGap = Annotated[float, ring_gap]
crossover_travel = length.called(
    "Crossover, from full extension",
    "x_c",
    "Damper travel from full extension at which the divider meets the stop ring and the rate steps up.",
    low=0.0,
    high=40 * INCH,
    typical=7.5 * INCH,
)
CrossoverTravel = Annotated[float, crossover_travel]
CrossoverAboveRide = Annotated[
    float,
    length.called(
        "Crossover above ride",
        "x_c,r",
        "Damper travel from ride to the crossover.",
        typical=2.5 * INCH,
        low=-20.0,
        high=20.0,
    ),
]
bar_length = length.called(
    "Length of the bar, between the arms",
    "l_b",
    "Of an anti-roll bar, the part that twists: across the vehicle, from arm to arm.",
    low=4 * INCH,
    high=100 * INCH,
    usual=(12 * INCH, 60 * INCH),
    typical=36 * INCH,
    plus_minus=0.1 * INCH,
)
BarLength = Annotated[float, bar_length]
bar_arm = length.called(
    "Arm of the bar",
    "a_b",
    "From the middle of the bar square to its link.",
    low=1 * INCH,
    high=40 * INCH,
    usual=(3 * INCH, 20 * INCH),
    typical=11 * INCH,
    plus_minus=0.06 * INCH,
)
BarArm = Annotated[float, bar_arm]
bar_base = length.called(
    "Base of the bar, link to link",
    "t_b",
    "Between the two links where they meet the part that moves against the bar.",
    low=4 * INCH,
    high=100 * INCH,
    usual=(15 * INCH, 60 * INCH),
    typical=38 * INCH,
    plus_minus=0.1 * INCH,
)
BarBase = Annotated[float, bar_base]
stroke = length.called(
    "Damper stroke",
    "h",
    "Extended less collapsed length of the damper.",
    low=1 * INCH,
    high=30 * INCH,
    usual=(4 * INCH, 22 * INCH),
    typical=12 * INCH,
    plus_minus=0.05 * INCH,
)
Stroke = Annotated[float, stroke]
damper_length = length.called(
    "Damper length, eye to eye",
    "L",
    "Between the centers of the two eyes.",
    low=4 * INCH,
    high=60 * INCH,
    usual=(8 * INCH, 50 * INCH),
    typical=26 * INCH,
    plus_minus=0.06 * INCH,
)
DamperLength = Annotated[float, damper_length]
ExtendedLength = Annotated[float, damper_length.called("Extended length", "L_ext", typical=31 * INCH)]
CollapsedLength = Annotated[float, damper_length.called("Collapsed length", "L_col", typical=19 * INCH)]
ride_travel = length.called(
    "Ride position, from full extension",
    "x_r",
    "Damper travel from full extension to where the rig sits.",
    low=0.0,
    high=30 * INCH,
    typical=5 * INCH,
    plus_minus=0.1 * INCH,
)
RideTravel = Annotated[float, ride_travel]
bump_limit = length.called(
    "Full bump, from full extension",
    "x_b",
    "Damper travel from full extension to where the bump stop is solid.",
    low=0.5 * INCH,
    high=30 * INCH,
    usual=(3 * INCH, 22 * INCH),
    typical=11.5 * INCH,
    plus_minus=0.05 * INCH,
)
BumpLimit = Annotated[float, bump_limit]
strap_travel = length.called(
    "Full droop, from full extension",
    "x_d",
    "Damper travel from full extension to where the limit strap is taut; 0 where the damper itself ends the droop.",
    low=0.0,
    high=10 * INCH,
    typical=0.0,
    assumed=0.0,
    plus_minus=0.05 * INCH,
)
StrapTravel = Annotated[float, strap_travel]
travel_left = length.called("Travel left", "x", low=-40 * INCH, high=40 * INCH, typical=5 * INCH)
BumpLeft = Annotated[
    float,
    travel_left.called(
        "Bump left", "x_bump", "Damper travel from ride to where the bump stop is solid.", typical=6.4 * INCH
    ),
]
DroopLeft = Annotated[
    float,
    travel_left.called("Droop left", "x_droop", "Damper travel from ride to where the strap or the damper ends it."),
]
wheel_height = length.called(
    "Wheel height",
    "z",
    "Wheel-hub center to the marked point on the body; it shrinks as the wheel moves up.",
    low=-1.0,
    high=2.0,
    typical=0.5,
    plus_minus=0.06 * INCH,
)
WheelHeight = Annotated[float, wheel_height]
ride_height = wheel_height.called(
    "Ride height",
    "z_r",
    "Wheel-hub center to the marked point on the body, where the rig sits, tires on the ground.",
)
RideHeight = Annotated[float, ride_height]

# --- the hardware around the springs, and what is wanted of them --------------------------------------------------

seat_space = length.called(
    "Seat to seat, adjuster backed off",
    "S_0",
    "Room for both springs and the divider, damper fully extended, adjuster fully backed off.",
    low=2 * INCH,
    high=60 * INCH,
    usual=(6 * INCH, 50 * INCH),
    typical=26.5 * INCH,
    plus_minus=0.06 * INCH,
)
SeatSpace = Annotated[float, seat_space]
divider_thickness = length.called(
    "Divider thickness",
    "t_div",
    "The sliding ring between the springs, from seat to seat.",
    low=0.0,
    high=4 * INCH,
    usual=(0.0, 2 * INCH),
    typical=0.8 * INCH,
    plus_minus=CALIPER,
)
DividerThickness = Annotated[float, divider_thickness]
adjuster_range = length.called(
    "Adjuster range",
    "a_max",
    "How far the adjuster can be run down its thread.",
    low=0.0,
    high=15 * INCH,
    usual=(0.5 * INCH, 10 * INCH),
    typical=4 * INCH,
    plus_minus=TAPE,
)
AdjusterRange = Annotated[float, adjuster_range]
adjuster_turns_per_length = Quantity(
    label="Adjuster turns per length",
    symbol="N_a",
    kind=units.PER_LENGTH,
    low=10.0,
    high=3000.0,
    typical=12 / INCH,
    help="Count the turns that move the adjuster by 1 in (25.4 mm).",
)
AdjusterTurnsPerLength = Annotated[float, adjuster_turns_per_length]
WantedCrossoverAboveRide = Annotated[
    float,
    length.called(
        "Wanted crossover above ride",
        "x_c,w",
        "Travel from ride to where the rate should step up.",
        low=0.0,
        high=20 * INCH,
        usual=(0.25 * INCH, 10 * INCH),
        typical=2.5 * INCH,
    ),
]
WantedBump = Annotated[
    float,
    length.called(
        "Wanted bump left, at least",
        "x_bump,w",
        "Damper travel from ride to solid, in every load case.",
        low=0.0,
        high=20 * INCH,
        usual=(1 * INCH, 14 * INCH),
        typical=4.5 * INCH,
    ),
]
WantedDroop = Annotated[
    float,
    length.called(
        "Wanted droop left, at least",
        "x_droop,w",
        "Damper travel from ride to full droop, in every load case.",
        low=0.0,
        high=20 * INCH,
        usual=(0.75 * INCH, 12 * INCH),
        typical=3 * INCH,
    ),
]

share = Quantity(
    label="Share", symbol="q", kind=units.SHARE, low=0.0, high=1.0, typical=0.5, help="A share of the whole."
)
Share = Annotated[float, share]
WantedRollGradient = Annotated[
    float,
    roll_gradient.called(
        "Wanted roll gradient",
        "φ'_w",
        "How far the body is to lean for 1 g sideways. Common practice, no source: 8 °/g on roads, 12 °/g for soft rigs with bars.",
        low=0.5 * _DEGREE / GRAVITY,
        high=100 * _DEGREE / GRAVITY,
        usual=(2 * _DEGREE / GRAVITY, 30 * _DEGREE / GRAVITY),
    ),
]
WantedFrontBarShare = Annotated[
    float,
    share.called(
        "Front share of what bars must add",
        "q_b",
        "Of the roll stiffness that is missing; the rear bar adds the rest. 0 % is a bar at the rear alone.",
        typical=0.5,
        assumed=0.5,
    ),
]

FrontShare = Annotated[
    float, share.called("On the front axle", "q_F", "Front axle weight as a share of the total.", typical=0.55)
]
LeftShare = Annotated[float, share.called("On the left side", "q_left", "Both left corners as a share of the total.")]
# As the rig comes to the scales, a diagonal outside the first span points to a fault; set with the adjusters, it is to lie
# in the second. Common practice, no source.
CROSS_SHARE_SOUND = (0.45, 0.55)
CROSS_SHARE_SET = (0.49, 0.51)
CROSS_SHARE_GOOD = (
    "The diagonal left rear and right front between "
    f"{100 * CROSS_SHARE_SOUND[0]:.0f} and {100 * CROSS_SHARE_SOUND[1]:.0f} % as the rig comes to the scales; "
    f"{100 * CROSS_SHARE_SET[0]:.0f} to {100 * CROSS_SHARE_SET[1]:.0f} % once its adjusters are set, on level pads, "
    "everybody aboard who usually is."
)
CrossShare = Annotated[
    float,
    share.called(
        "Cross weight, left rear and right front",
        "q_x",
        "The diagonal left rear plus right front as a share of the total; 50 % when the vehicle sits square.",
    ),
]

# --- damping ----------------------------------------------------------------------------------------------------------

damping_coefficient = Quantity(
    label="Damping coefficient at the damper",
    symbol="c_d",
    kind=units.DAMPING,
    low=0.0,
    high=1e5,
    typical=2500.0,
    help="Force per speed of the damper, the mean of compression and rebound, at the stated speed.",
    plus_minus_share=0.10,
)
DampingCoefficient = Annotated[float, damping_coefficient]
CriticalDamping = Annotated[
    float,
    damping_coefficient.called(
        "Critical damping at the wheel", "c_c", "The damping at which the body would just not swing back.", high=1e7
    ),
]
CriticalDampingPastCrossover = Annotated[
    float,
    damping_coefficient.called(
        "Critical damping past the crossover",
        "c_c2",
        "At the wheel, with the wheel rate past the crossover: the damping at which the body would just not swing back.",
        high=1e7,
    ),
]
WantedDampingCoefficient = Annotated[
    float,
    damping_coefficient.called(
        "Coefficient for the wanted ratio",
        "c_w",
        "At the damper, the mean of compression and rebound.",
        plus_minus_share=0.0,
        high=1e7,
    ),
]
damping_ratio = Quantity(
    label="Damping ratio",
    symbol="ζ",
    kind=units.NUMBER,
    low=0.0,
    high=5.0,
    typical=0.35,
    help="Damping as a share of critical damping, the mean of compression and rebound.",
)
DampingRatio = Annotated[float, damping_ratio]
DampingRatioOnTire = Annotated[
    float,
    damping_ratio.called(
        "Damping ratio of the body on its tire", "ζ_b", "The tire gives way too, so the damper moves less.", high=1e3
    ),
]
DampingRatioPastCrossover = Annotated[float, damping_ratio.called("Damping ratio past the crossover", "ζ_2", high=1e3)]
WantedDampingRatio = Annotated[float, damping_ratio.called("Wanted damping ratio", "ζ_w")]
velocity = Quantity(
    label="Damper speed",
    symbol="v",
    kind=units.VELOCITY,
    low=0.0,
    high=10.0,
    typical=0.254,
    help="Speed along the damper.",
)
Velocity = Annotated[float, velocity]
CavitationSpeed = Annotated[
    float,
    velocity.called(
        "Cavitates above (compression)",
        "v_cav",
        "Where the compression force reaches that limit.",
        high=1e6,
    ),
]

rebound_share = share.called(
    "Rebound share",
    "q",
    "The part of the damping that acts on rebound, of rebound and compression together; 60 % is 1.5 to 1.",
    low=0.3,
    high=0.9,
    typical=0.6,
    assumed=0.6,
)
ReboundShare = Annotated[float, rebound_share]
knee_speed = velocity.called(
    "Knee speed",
    "v_k",
    "The damper speed above which the force grows more slowly.",
    low=0.01,
    high=5.0,
    assumed=10 * INCH,
)
KneeSpeed = Annotated[float, knee_speed]
slope_past_knee = share.called(
    "Slope past the knee",
    "q_k",
    "How fast the force grows past the knee, as a share of before; 100 % is a straight line, without a knee.",
    low=0.05,
    typical=1.0,
    assumed=1.0,
)
SlopePastKnee = Annotated[float, slope_past_knee]

# --- ground ---------------------------------------------------------------------------------------------------------

road_class = Choice(
    label="Road class",
    options=(
        Option("A", "A", "A new, smooth road."),
        Option("B", "B", "A good road."),
        Option("C", "C", "A worn or patched road, a graded dirt road."),
        Option("D", "D", "A rough dirt road, gravel with holes."),
        Option("E", "E", "A very rough trail, open ground."),
        Option("F", "F", "Broken ground; only slowly."),
        Option("G", "G", "Broken ground; hardly driven."),
        Option("H", "H", "The roughest of the standard."),
    ),
    typical="D",
    help="The roughness class of ISO 8608, each four times as rough as the one before. What a class looks like is common "
    "practice, no source.",
)
RoadClass = Annotated[str, road_class]
road_speed = Quantity(
    label="Road speed",
    symbol="V",
    kind=units.ROAD_SPEED,
    low=0.5 / 3.6,
    high=200 / 3.6,
    typical=30 / 3.6,
    assumed=30 / 3.6,
    help="How fast the rig is driven over that ground.",
)
RoadSpeed = Annotated[float, road_speed]

# --- gas --------------------------------------------------------------------------------------------------------------

gas_pressure = Quantity(
    label="Gas charge, by the gauge",
    symbol="p_0",
    kind=units.PRESSURE,
    low=0.0,
    high=4e6,
    usual=(20 * _PSI, 500 * _PSI),
    typical=200 * _PSI,
    help="Gauge pressure, cold, damper fully extended.",
    plus_minus=5 * _PSI,
)
GasPressure = Annotated[float, gas_pressure]
gas_volume = Quantity(
    label="Gas volume",
    symbol="V_0",
    kind=units.VOLUME,
    low=1e-6,
    high=0.01,
    typical=18 * INCH**3,
    help="Room of the gas with the damper fully extended.",
    plus_minus_share=0.10,
)
GasVolume = Annotated[float, gas_volume]
rod_diameter = length.called(
    "Rod diameter",
    "d_rod",
    "Diameter of the damper's rod.",
    kind=units.DIAMETER,
    low=0.2 * INCH,
    high=3 * INCH,
    usual=(0.35 * INCH, 2 * INCH),
    typical=0.875 * INCH,
    plus_minus=0.005 * INCH,
)
RodDiameter = Annotated[float, rod_diameter]
gas_force = force.called("Gas force", "F_g", "What the gas pushes on the rod.", low=0.0, high=1e5, typical=535.0)
GasForce = Annotated[float, gas_force]
