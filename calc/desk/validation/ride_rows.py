"""Weights, center of gravity, motion ratio from the mounts, ride frequency and its inverse."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from calc import units
from calc.constants import GRAVITY
from calc.desk.validation.rows import TIME, Answers, Row
from calc.geometry.mount_points import mount_points
from calc.ride.natural_frequency import NaturalFrequencyOfCorner, natural_frequency
from calc.ride.required_spring_rate import required_spring_rate
from calc.units import ANGLE, FORCE, FREQUENCY, LENGTH, MASS, NUMBER, RATE, RATIO, VELOCITY
from calc.weight.raised_axle import Lift, raised_axle
from calc.weight.unsprung import unsprung
from calc.weight.weighing import weighing

# An upright coil-over, and a tire that gives nothing where a book leaves it out.
_UPRIGHT: dict[str, Any] = {"axial_load": 0.0, "motion_ratio": 1.0, "motion_ratio_slope": 0.0}
_RIGID = 1e15


def center_from_two_scales(row: Row) -> Answers:
    """T07: each axle's scale is shared by its two wheels."""
    front, rear = (row.given(name, FORCE) / GRAVITY / 2 for name in ("front_scale", "rear_scale"))
    found = weighing(
        left_front_mass=front,
        right_front_mass=front,
        left_rear_mass=rear,
        right_rear_mass=rear,
        wheelbase=row.given("wheelbase", LENGTH),
        track_front=1.5,
        track_rear=1.5,
    )
    return {"distance": (found.center_behind_front_axle, LENGTH)}


def rear_axle_raised(row: Row) -> Answers:
    """T09: the rear hubs go up from their radius to the printed height."""
    radius = row.given("tire_diameter", LENGTH) / 2
    rear = row.given("rear_level", MASS)
    found = raised_axle(
        front_axle_mass=row.given("front_level", MASS),
        rear_axle_mass=rear,
        wheelbase=row.given("wheelbase", LENGTH),
        front_tire_radius=radius,
        rear_tire_radius=radius,
        lifts=(
            Lift(hub_rise=row.given("rear_hubs_raised_to", LENGTH) - radius, reading=row.given("front_raised", MASS)),
        ),
    )
    ahead = row.given("wheelbase", LENGTH) * (1 - rear / found.total_mass)
    return {"ahead of the rear axle": (ahead, LENGTH), "height": (found.center_of_gravity_height, LENGTH)}


def height_there_and_back(row: Row) -> Answers:
    """T10: the printed formula turned round makes the front reading; the height comes back from it."""
    weight, base, ahead = row.given("weight", MASS), row.given("wheelbase", LENGTH), "center_ahead_of_rear_axle"
    radius, angle = row.given("tire_radius", LENGTH), row.given("frame_angle", ANGLE)
    front = weight * row.given(ahead, LENGTH) / base
    raised = front - weight / base * (row.given("height", LENGTH) - radius) * math.tan(angle)
    found = raised_axle(
        front_axle_mass=front,
        rear_axle_mass=weight - front,
        wheelbase=base,
        front_tire_radius=radius,
        rear_tire_radius=radius,
        axle_raised="front",
        lifts=(Lift(frame_angle=angle, reading=weight - raised),),
    )
    return {"height": (found.center_of_gravity_height, LENGTH)}


def unsprung_to_sprung(row: Row) -> Answers:
    """Q08: the corner weighed whole."""
    sprung, carried = row.given("sprung_mass", MASS), row.given("unsprung_mass", MASS)
    found = unsprung(axle_mass=sprung + carried, unsprung_mass=carried)
    return {"ratio": (carried / found.sprung_mass, RATIO)}


def leaning_wheel_rate(row: Row) -> Answers:
    """M01: the spring's own part and the geometric one."""
    (top_across, top_up), (foot_across, foot_up) = (
        [_length(part) for part in row.text(name).split(", ")] for name in ("upper_mount", "lower_mount")
    )
    across, upright = foot_across - top_across, top_up - foot_up
    found = mount_points(lean=math.atan2(across, upright), damper_length=math.hypot(across, upright))
    force = row.given("static_force", FORCE)
    rate = row.given("spring_rate", RATE) * found.motion_ratio**2 + force * found.motion_ratio_slope
    return {"wheel rate": (rate, RATE)}


def _length(text: str) -> float:
    number, unit = units.split_number(text)
    return units.to_si(number, LENGTH.unit(unit))


def _at(frequency: float) -> NaturalFrequencyOfCorner:
    """Any corner that is tuned to a frequency by the one step, and asked by the other."""
    corner: dict[str, Any] = {**_UPRIGHT, "tire_rate": 260e3, "sprung_mass_on_spring": 500.0}
    wanted = required_spring_rate(**corner, wanted_frequency=frequency)
    return natural_frequency(**corner, axial_rate=wanted.stack_rate)


def two_axles(row: Row) -> Answers:
    """H05."""
    found: dict[str, tuple[float, units.Kind]] = {}
    for axle in ("front", "rear"):
        ride = natural_frequency(
            **_UPRIGHT,
            axial_rate=row.given(f"{axle}_suspension_rate", RATE),
            tire_rate=row.given("tire_rate", RATE),
            sprung_mass_on_spring=row.given(f"{axle}_load", MASS),
        )
        found[f"{axle} ride rate"] = (ride.ride_rate, RATE)
        found[f"{axle} frequency"] = (ride.natural_frequency, FREQUENCY)
    return found


def frequency_times_root_of_deflection(row: Row) -> Answers:
    """F01 and F02: of any corner."""
    found = _at(1.2)
    quantity = row.expected[0].quantity
    unit = LENGTH.unit({"inch": "in", "millimeter": "mm"}[quantity.split()[-1]])
    return {quantity: (found.natural_frequency * math.sqrt(units.from_si(found.static_deflection, unit)), NUMBER)}


def deflection_for_a_frequency(row: Row) -> Answers:
    """F03 and H09."""
    found = _at(row.given("frequency", FREQUENCY))
    return {"static deflection": (found.static_deflection, LENGTH)}


def cycles_per_minute(row: Row) -> Answers:
    """H09: a frequency as the older books print it."""
    told = _at(row.given("frequency_told", FREQUENCY)).natural_frequency
    return {**deflection_for_a_frequency(row), "cycles per minute": (told, FREQUENCY)}


def sunk_by_passengers(row: Row) -> Answers:
    """F06: the rate by what they sink it."""
    found = natural_frequency(
        **_UPRIGHT,
        axial_rate=row.given("added_load", FORCE) / row.given("sinks", LENGTH),
        tire_rate=_RIGID,
        sprung_mass_on_spring=row.given("oscillating_mass", MASS),
    )
    return {"period": (1 / found.natural_frequency, TIME)}


def bouncing_car(row: Row) -> Answers:
    """F08."""
    frequency = natural_frequency(
        **_UPRIGHT,
        axial_rate=row.given("rate", RATE),
        tire_rate=_RIGID,
        sprung_mass_on_spring=row.given("mass", MASS),
    ).natural_frequency
    return {
        "frequency": (frequency, FREQUENCY),
        "period": (1 / frequency, TIME),
        "largest speed": (2 * math.pi * frequency * row.given("amplitude", LENGTH), VELOCITY),
    }


def one_of_four_springs(row: Row) -> Answers:
    """F04."""
    found = required_spring_rate(
        **_UPRIGHT,
        wanted_frequency=row.given("frequency", FREQUENCY),
        sprung_mass_on_spring=row.given("mass", MASS) / row.number("springs"),
        tire_rate=_RIGID,
    )
    return {"rate": (found.stack_rate, RATE)}


def ride_rate_there_and_back(row: Row) -> Answers:
    """M02: the wheel rate for a frequency, in series with the tire again."""
    tire = row.given("tire_rate", RATE)
    found = required_spring_rate(
        **_UPRIGHT,
        wanted_frequency=row.given("frequency", FREQUENCY),
        sprung_mass_on_spring=row.given("sprung_mass", MASS),
        tire_rate=tire,
    )
    return {"ride rate": (1 / (1 / found.wheel_rate + 1 / tire), RATE)}


WORK: dict[str, Callable[[Row], Answers]] = {
    "T07": center_from_two_scales,
    "T09": rear_axle_raised,
    "T10": height_there_and_back,
    "Q08": unsprung_to_sprung,
    "M01": leaning_wheel_rate,
    "M02": ride_rate_there_and_back,
    "H05": two_axles,
    "H09": cycles_per_minute,
    "F01": frequency_times_root_of_deflection,
    "F02": frequency_times_root_of_deflection,
    "F03": deflection_for_a_frequency,
    "F04": one_of_four_springs,
    "F06": sunk_by_passengers,
    "F08": bouncing_car,
}
