"""Damping of one mass, the gas, and what falls on a spring or a stop."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from calc.constants import ATMOSPHERE, GRAVITY
from calc.damper.bump_stop import BumpStop, bump_stop
from calc.damper.critical_damping import _let_go, critical_damping
from calc.damper.gas import Gas, gas
from calc.damper.measured_curve import ForcePair, MeasuredCurve, measured_curve
from calc.desk.validation.rows import ANGULAR, HEAT, TIME, Answers, Row, root
from calc.units import (
    ACCELERATION,
    AREA,
    DAMPING,
    ENERGY,
    FORCE,
    FREQUENCY,
    LENGTH,
    MASS,
    NUMBER,
    PRESSURE,
    RATE,
    RATIO,
    TEMPERATURE,
    VOLUME,
)


def _decrement(ratio: float) -> float:
    """The logarithmic decrement, from its definition."""
    return 2 * math.pi * ratio / math.sqrt(1 - ratio**2)


def free_decay(row: Row) -> Answers:
    """Z02: in the book's own gravity."""
    mass = row.given("weight", FORCE) / row.given("gravity", ACCELERATION)
    found = critical_damping(
        sprung_mass_on_spring=mass,
        wheel_rate=row.given("rate", RATE),
        motion_ratio=1.0,
        damping_coefficient=row.given("damping", DAMPING),
    )
    ratio = found.damping_ratio or 0.0
    return {
        "natural frequency": (found.critical_damping / (2 * mass), ANGULAR),
        "critical damping": (found.critical_damping, DAMPING),
        "damping ratio": (ratio, RATIO),
        "logarithmic decrement": (_decrement(ratio), NUMBER),
        "amplitude ratio": (math.exp(_decrement(ratio)), RATIO),
    }


def halving_swings(row: Row) -> Answers:
    """Z04: it takes the undamped period, so that the ratio is ln 2 over 2 pi."""
    mass = row.given("mass_per_wheel", MASS)
    weight = row.given("car_mass", MASS) * row.given("gravity", ACCELERATION)
    rate = weight / 4 / row.given("sag", LENGTH)
    found = critical_damping(
        sprung_mass_on_spring=mass,
        wheel_rate=rate,
        motion_ratio=1.0,
        wanted_damping_ratio=-math.log(row.number("amplitude_ratio_per_cycle")) / (2 * math.pi),
    )
    return {
        "rate": (rate, RATE),
        "period": (2 * math.pi * 2 * mass / found.critical_damping, TIME),
        "damping": (found.wanted_damping_coefficient or 0.0, DAMPING),
    }


def let_go(row: Row) -> Answers:
    """Z06: where the body stands a while after it is let go."""
    mass = row.given("mass", MASS)
    found = critical_damping(
        sprung_mass_on_spring=mass,
        wheel_rate=row.given("rate", RATE),
        motion_ratio=1.0,
        damping_coefficient=row.given("damping", DAMPING),
    )
    angle = found.critical_damping / (2 * mass) * row.given("time", TIME)
    return {"position": (row.given("start", LENGTH) * _let_go(found.damping_ratio or 0.0, angle), LENGTH)}


def decrement_of_a_ratio(row: Row) -> Answers:
    """Z07: of a mass of 1 kg on the spring that makes the printed damping critical."""
    found = critical_damping(
        sprung_mass_on_spring=1.0,
        wheel_rate=(row.given("critical_damping", DAMPING) / 2) ** 2,
        motion_ratio=1.0,
        damping_coefficient=row.given("damping", DAMPING),
    )
    return {"logarithmic decrement": (_decrement(found.damping_ratio or 0.0), NUMBER)}


def _rod(area: float) -> float:
    """The diameter of a rod with this area."""
    return math.sqrt(4 * area / math.pi)


def _squeezed(row: Row, area: float) -> Gas:
    """A gas taken from one printed volume to the other by a rod; with a vacuum around, gauge is absolute."""
    before = row.given("volume", VOLUME)
    return gas(
        gas_pressure=row.given("pressure", PRESSURE),
        gas_volume=before,
        rod_diameter=_rod(area),
        ride_travel=(before - row.given("volume_after", VOLUME)) / area,
        air_pressure=0.0,
    )


def pressure_after_squeezing(row: Row) -> Answers:
    """G01."""
    return {"pressure": (_squeezed(row, 1e-4).gas_pressure_at_ride, PRESSURE)}


def force_after_squeezing(row: Row) -> Answers:
    """G02: no pressure behind the piston."""
    return {"force": (_squeezed(row, row.given("piston_area", AREA)).gas_force, FORCE)}


def isothermal_leg(row: Row) -> Answers:
    """G04: the same air charged looser than both of its states, and squeezed through them."""
    energy = row.given("mass", MASS) * row.of_unit("gas_constant", "kJ/(kg·K)") * row.given("temperature", TEMPERATURE)
    first, second = (row.given(name, PRESSURE) for name in ("first_pressure", "second_pressure"))
    area, charged = 1e-2, 0.8 * second
    known: dict[str, Any] = {
        "gas_pressure": charged,
        "gas_volume": 1e3 * energy / charged,
        "rod_diameter": _rod(area),
        "air_pressure": 0.0,
    }
    full = known["gas_volume"] / area

    def travel_to(pressure: float) -> float:
        return root(lambda travel: gas(**known, ride_travel=travel).gas_pressure_at_ride - pressure, 0.0, 0.99 * full)

    near, far = travel_to(second), travel_to(first)
    # Gauss-Legendre with 40 points: exact to the last bits for a curve as smooth as this one.
    places, weights = np.polynomial.legendre.leggauss(40)
    work = sum(
        weight * gas(**known, ride_travel=float((near + far) / 2 + (far - near) / 2 * place)).gas_force
        for place, weight in zip(places, weights, strict=True)
    )
    return {
        "first volume": (float(gas(**known, ride_travel=far).gas_volume_left), VOLUME),
        "second volume": (float(gas(**known, ride_travel=near).gas_volume_left), VOLUME),
        "isothermal work": (float((far - near) / 2 * work), HEAT),
    }


def rod_force(row: Row) -> Answers:
    """G06."""
    found = gas(
        gas_pressure=row.given("gauge_pressure", PRESSURE),
        gas_volume=3e-4,
        rod_diameter=row.given("rod_diameter", LENGTH),
        ride_travel=0.0,
    )
    return {"force": (found.gas_force, FORCE)}


def rate_at_the_start(row: Row) -> Answers:
    """G07."""
    found = gas(
        gas_pressure=row.given("absolute_pressure", PRESSURE) - ATMOSPHERE,
        gas_volume=row.given("gas_volume", VOLUME),
        rod_diameter=_rod(row.given("rod_area", AREA)),
        ride_travel=0.0,
    )
    return {"rate": (found.gas_rate, RATE)}


def warmed_at_constant_volume(row: Row) -> Answers:
    """G09."""
    found = gas(
        gas_pressure=row.given("pressure", PRESSURE) - ATMOSPHERE,
        gas_volume=3e-4,
        rod_diameter=0.022,
        ride_travel=0.0,
        charge_temperature=row.given("temperature", TEMPERATURE),
        gas_temperature=row.given("temperature_after", TEMPERATURE),
    )
    return {"pressure": (found.gas_pressure_at_ride + ATMOSPHERE, PRESSURE)}


def _bench(row: Row, compression: Callable[[float], float], rebound: Callable[[float], float]) -> MeasuredCurve:
    """A table of many fine rows, as a bench would print it of this damper, up to the fastest of the swing."""
    amplitude, frequency = row.given("amplitude", LENGTH), row.given("frequency", FREQUENCY)
    fastest = 2 * math.pi * frequency * amplitude * 1.001
    speeds = [fastest * step / 1000 for step in range(1, 1001)]
    table = tuple(ForcePair(speed=speed, compression=compression(speed), rebound=rebound(speed)) for speed in speeds)
    return measured_curve(pairs=table, swing_amplitude=amplitude, swing_frequency=frequency)


def quadratic_damper(row: Row) -> Answers:
    """V01."""
    size = row.of_unit("coefficient", "N·s²/m²")
    found = _bench(row, lambda speed: size * speed**2, lambda speed: size * speed**2)
    return {"energy": (found.energy_per_swing, ENERGY)}


def linear_damper(row: Row) -> Answers:
    """V02."""
    size = row.given("coefficient", DAMPING)
    found = _bench(row, lambda speed: size * speed, lambda speed: size * speed)
    return {"energy": (found.energy_per_swing, ENERGY)}


def bilinear_damper(row: Row) -> Answers:
    """V03: two rows are enough for straight lines, and any swing gives the same coefficient."""
    into, out = row.given("compression", DAMPING), row.given("rebound", DAMPING)
    table = tuple(ForcePair(speed=speed, compression=into * speed, rebound=out * speed) for speed in (0.3, 1.0))
    found = measured_curve(pairs=table, swing_amplitude=0.05, swing_frequency=1.5)
    return {"coefficient": (found.equivalent_damping_coefficient, DAMPING)}


def _falling(row: Row) -> tuple[float, BumpStop]:
    """Return the static shortening, and the landing on a spring alone that is free as it is touched."""
    weight, rate = row.given("weight", FORCE), row.given("rate", RATE)
    found = bump_stop(
        pad_gap=1e3,
        pad_depth=1.0,
        pad_rate=1.0,
        pad_solid_force=1.0,
        sprung_mass_on_spring=weight / GRAVITY,
        motion_ratio=1.0,
        stack_rate=rate,
        droop_left=weight / rate,
        drop_height=row.given("height", LENGTH),
    )
    return weight / rate, found


def weight_on_a_spring(row: Row) -> Answers:
    """L01: full droop is where the spring is free, so that the shortening counts from there."""
    static, found = _falling(row)
    return {
        "static shortening": (static, LENGTH),
        "largest shortening": (found.landing_travel + static, LENGTH),
        "impact factor": (found.landing_load_factor, NUMBER),
    }


def let_go_on_a_spring(row: Row) -> Answers:
    """L05."""
    return {"impact factor": (_falling(row)[1].landing_load_factor, NUMBER)}


def progressive_stop(row: Row) -> Answers:
    """L04: the force at full depth is that of both parts."""
    rate, depth = row.given("rate", RATE), row.given("depth", LENGTH)
    found = bump_stop(
        pad_gap=0.1,
        pad_depth=depth,
        pad_rate=rate,
        pad_solid_force=rate * depth + row.given("cubic_force", FORCE),
        sprung_mass_on_spring=500.0,
        motion_ratio=1.0,
        stack_rate=30e3,
        droop_left=0.1,
        drop_height=0.0,
    )
    return {"energy": (found.pad_energy, ENERGY)}


WORK: dict[str, Callable[[Row], Answers]] = {
    "Z02": free_decay,
    "Z04": halving_swings,
    "Z06": let_go,
    "Z07": decrement_of_a_ratio,
    "V01": quadratic_damper,
    "V02": linear_damper,
    "V03": bilinear_damper,
    "L01": weight_on_a_spring,
    "L04": progressive_stop,
    "L05": let_go_on_a_spring,
    "G01": pressure_after_squeezing,
    "G02": force_after_squeezing,
    "G04": isothermal_leg,
    "G06": rod_force,
    "G07": rate_at_the_start,
    "G09": warmed_at_constant_volume,
}
