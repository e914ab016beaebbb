"""Body and wheel hop, pitch and bounce, roll."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from calc.desk.validation.rows import ANGULAR, Answers, Row
from calc.errors import UnknownNameError
from calc.ride.corner_modes import CornerModes, corner_modes
from calc.ride.natural_frequency import natural_frequency
from calc.ride.pitch_bounce import PitchBounce, pitch_bounce
from calc.ride.roll import roll
from calc.units import (
    ANGLE,
    ANGLE_PER_ACCELERATION,
    FREQUENCY,
    LENGTH,
    MASS,
    NUMBER,
    RATE,
    ROLL_RATE,
    from_si,
)

# A coil-over that stands upright over the wheel and carries nothing.
_UPRIGHT: dict[str, Any] = {"axial_load": 0.0, "motion_ratio": 1.0, "motion_ratio_slope": 0.0}


def _corner(row: Row) -> CornerModes:
    """One wheel, as the row gives it: our axle has two."""
    return corner_modes(
        sprung_mass_on_spring=row.given("sprung_mass", MASS),
        unsprung_mass=2 * row.given("unsprung_mass", MASS),
        wheel_rate=row.given("spring_rate", RATE),
        tire_rate=row.given("tire_rate", RATE),
    )


def two_masses(row: Row) -> Answers:
    """Q01."""
    found = _corner(row)
    return {
        "body, angular": (2 * math.pi * found.body_frequency, ANGULAR),
        "wheel, angular": (2 * math.pi * found.hop_frequency, ANGULAR),
        "body": (found.body_frequency, FREQUENCY),
        "wheel": (found.hop_frequency, FREQUENCY),
    }


def product_and_sum(row: Row) -> Answers:
    """Q02."""
    found = _corner(row)
    slow, fast = ((2 * math.pi * pace) ** 2 for pace in (found.body_frequency, found.hop_frequency))
    return {"product, in 1/s to the fourth": (slow * fast, NUMBER), "sum, in 1/s²": (slow + fast, NUMBER)}


def _two_springs(row: Row) -> PitchBounce:
    """A body as the books give it: its mass, two arms, and the rate of each end."""
    mass, front_arm, rear_arm = row.given("mass", MASS), row.given("front_arm", LENGTH), row.given("rear_arm", LENGTH)
    base = front_arm + rear_arm
    if "dynamic_index" in row.inputs:
        index = row.number("dynamic_index")
    else:
        index = row.given("radius_of_gyration", LENGTH) ** 2 / (front_arm * rear_arm)
    return pitch_bounce(
        front_sprung_mass=mass * rear_arm / base,
        rear_sprung_mass=mass * front_arm / base,
        wheelbase=base,
        front_ride_rate=row.given("front_rate", RATE) / 2,
        rear_ride_rate=row.given("rear_rate", RATE) / 2,
        dynamic_index=index,
    )


def _centers(found: PitchBounce) -> tuple[float, float]:
    """Distances of the centers of bounce and of pitch from the center of gravity."""
    bounce, pitch = found.bounce_center_behind_front_axle, found.pitch_center_behind_front_axle
    if bounce is None or pitch is None:
        raise UnknownNameError("A row needs motions that have centers.")
    center = found.sprung_center_behind_front_axle
    return abs(bounce - center), abs(pitch - center)


def body_on_two_springs(row: Row) -> Answers:
    """H01: what is kept level or held is the ride of one mass, and of one lever."""
    found = _two_springs(row)
    rates = [row.given(name, RATE) for name in ("front_rate", "rear_rate")]
    arms = [row.given(name, LENGTH) for name in ("front_arm", "rear_arm")]
    lever = (
        sum(rate * arm**2 for rate, arm in zip(rates, arms, strict=True)) / row.given("radius_of_gyration", LENGTH) ** 2
    )
    return {
        "slower": (2 * math.pi * found.bounce_frequency, ANGULAR),
        "faster": (2 * math.pi * found.pitch_frequency, ANGULAR),
        "kept level": (_alone(sum(rates), row.given("mass", MASS)), ANGULAR),
        "held at the center of gravity": (_alone(lever, row.given("mass", MASS)), ANGULAR),
    }


def _alone(rate: float, mass: float) -> float:
    """Angular frequency of one mass on one rate."""
    return (
        2
        * math.pi
        * natural_frequency(**_UPRIGHT, tire_rate=1e15, axial_rate=rate, sprung_mass_on_spring=mass).natural_frequency
    )


def cycles_and_centers(row: Row) -> Answers:
    """H02."""
    found = _two_springs(row)
    bounce, pitch = _centers(found)
    return {
        "slower": (found.bounce_frequency, FREQUENCY),
        "faster": (found.pitch_frequency, FREQUENCY),
        "center of bounce": (bounce, LENGTH),
        "center of pitch": (pitch, LENGTH),
    }


def bounce_and_pitch_of_a_car(row: Row) -> Answers:
    """H06."""
    rates = {}
    for axle in ("front", "rear"):
        rates[axle] = natural_frequency(
            **_UPRIGHT,
            axial_rate=row.given(f"{axle}_suspension_rate", RATE),
            tire_rate=row.given("tire_rate", RATE),
            sprung_mass_on_spring=row.given(f"{axle}_load", MASS),
        ).ride_rate
    found = pitch_bounce(
        front_sprung_mass=2 * row.given("front_load", MASS),
        rear_sprung_mass=2 * row.given("rear_load", MASS),
        wheelbase=row.given("wheelbase", LENGTH),
        front_ride_rate=rates["front"],
        rear_ride_rate=rates["rear"],
        dynamic_index=row.number("dynamic_index"),
    )
    slower, faster = sorted((found.bounce_frequency, found.pitch_frequency))
    return {"slower": (slower, FREQUENCY), "faster": (faster, FREQUENCY)}


def dynamic_index_of_one(row: Row) -> Answers:
    """H07."""
    found = _two_springs(row)
    centers = sorted(_centers(found))
    slower, faster = sorted((found.bounce_frequency, found.pitch_frequency))
    return {
        "front end": (2 * math.pi * slower, ANGULAR),
        "rear end": (2 * math.pi * faster, ANGULAR),
        "center of one": (centers[0], LENGTH),
        "center of the other": (centers[1], LENGTH),
    }


# A rig for rows that tell one thing of it; the rest does not matter there.
_RIG: dict[str, Any] = {
    "front_sprung_mass": 500.0,
    "rear_sprung_mass": 500.0,
    "front_unsprung_mass": 100.0,
    "rear_unsprung_mass": 100.0,
    "sprung_center_height": 0.7,
    "front_roll_center_height": 0.3,
    "rear_roll_center_height": 0.3,
    "front_coil_over_roll_stiffness": 20e3,
    "rear_coil_over_roll_stiffness": 20e3,
    "front_tire_rate": 1e15,
    "rear_tire_rate": 1e15,
    "track_front": 1.6,
    "track_rear": 1.6,
    "front_tire_radius": 0.3,
    "rear_tire_radius": 0.3,
}


def gradient(row: Row) -> Answers:
    """T01: the whole stiffness as the book gives it, half at each axle, on tires that do not give."""
    stiffness, mass = row.given("roll_stiffness", ROLL_RATE) / 2, row.given("sprung_mass", MASS) / 2
    found = roll(
        **{
            **_RIG,
            "front_sprung_mass": mass,
            "rear_sprung_mass": mass,
            "sprung_center_height": 0.3 + row.given("roll_lever", LENGTH),
            "front_coil_over_roll_stiffness": stiffness,
            "rear_coil_over_roll_stiffness": stiffness,
        }
    ).roll_gradient
    return {"gradient": (found, ANGLE_PER_ACCELERATION), "gradient per g": (found, ANGLE_PER_ACCELERATION)}


def springs_and_tires(row: Row) -> Answers:
    """M03."""
    springs = row.given("spring_rate", RATE) * row.given("spring_base", LENGTH) ** 2 / 2
    found = roll(
        **{
            **_RIG,
            "front_coil_over_roll_stiffness": springs,
            "front_tire_rate": row.given("tire_rate", RATE),
            "track_front": row.given("track", LENGTH),
        }
    )
    return {"roll stiffness": (found.front_roll_stiffness, ROLL_RATE)}


def tilt_of_a_rigid_vehicle(row: Row) -> Answers:
    """T05: everything as high as the factor puts it."""
    track = row.given("track", LENGTH)
    height = track / 2 / row.number("static_stability_factor")
    found = roll(
        **{
            **_RIG,
            "sprung_center_height": height,
            "front_tire_radius": height,
            "rear_tire_radius": height,
            "track_front": track,
            "track_rear": track,
        }
    )
    return {"tilt angle": (found.side_slope_rigid, ANGLE)}


def shop_rule_of_roll_stiffness(row: Row) -> Answers:
    """T04."""
    stiffness = row.given("rate", RATE) * row.given("base", LENGTH) ** 2 / 2
    return {"constant": (1 / from_si(stiffness, ROLL_RATE.unit("lbf·ft/°")), NUMBER)}


WORK: dict[str, Callable[[Row], Answers]] = {
    "Q01": two_masses,
    "Q02": product_and_sum,
    "H01": body_on_two_springs,
    "H02": cycles_and_centers,
    "H06": bounce_and_pitch_of_a_car,
    "H07": dynamic_index_of_one,
    "M03": springs_and_tires,
    "T01": gradient,
    "T04": shop_rule_of_roll_stiffness,
    "T05": tilt_of_a_rigid_vehicle,
}
