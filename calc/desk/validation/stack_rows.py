"""Two rates with a stop between them: nested springs, a helper spring, a tender over a main, and preload."""

from __future__ import annotations

from collections.abc import Callable

from calc.desk.validation.rows import Answers, Row
from calc.spring._stack_curve import StackCurve
from calc.spring.coil import coil
from calc.spring.preload import preload
from calc.spring.stack import stack
from calc.units import ENERGY, FORCE, LENGTH, RATE, STRESS


def _joining(first: float, second: float, after: float) -> StackCurve:
    """Two springs side by side, the second joining after a travel.

    They push along the same two straight lines as a stack with a ring whose series rate is the first spring's, and
    whose main has both rates together.
    """
    both = first + second
    tender = 1 / (1 / first - 1 / both)
    return StackCurve(tender_rate=tender, main_rate=both, preload=0.0, ring_gap=after * both / (tender + both))


def nested_springs(row: Row) -> Answers:
    """D01."""
    modulus = row.given("shear_modulus", STRESS)
    outer, inner = (
        coil(
            wire_diameter=row.given(f"{name}_wire_diameter", LENGTH),
            mean_coil_diameter=row.given(f"{name}_mean_coil_diameter", LENGTH),
            total_coils=row.number(f"{name}_active_coils") + 2,
            shear_modulus=modulus,
            youngs_modulus=2.6 * modulus,
        ).spring_rate
        for name in ("outer", "inner")
    )
    curve = _joining(outer, inner, row.given("inner_shorter_by", LENGTH))
    travel = float(curve.travel_at(row.given("force", FORCE)))
    joined = travel - float(curve.crossover_travel)
    return {
        "outer compression": (travel, LENGTH),
        "inner compression": (joined, LENGTH),
        "outer force": (outer * travel, FORCE),
        "inner force": (inner * joined, FORCE),
    }


def helper_spring(row: Row) -> Answers:
    """D04."""
    curve = _joining(row.given("main_rate", RATE), row.given("helper_rate", RATE), row.given("engages_at", LENGTH))
    travel = float(curve.travel_at(row.given("load", FORCE)))
    return {"compression": (travel, LENGTH), "work": (float(curve.energy(travel)), ENERGY)}


def tender_over_main(row: Row) -> Answers:
    """D06: the tender closes where the divider meets the ring, without preload."""
    found = stack(
        tender_rate=row.given("tender_rate", RATE),
        main_rate=row.given("main_rate", RATE),
        ring_gap=row.given("tender_closes_after", LENGTH),
        preload=0.0,
        bump_limit=0.3,
    )
    travel = found.crossover_travel or 0.0
    return {
        "series rate": (found.stack_rate, RATE),
        "load at the stop": (found.stack_rate * travel, FORCE),
        "travel at the stop": (travel, LENGTH),
        "rate after": (found.stack_rate_past_crossover or 0.0, RATE),
    }


def force_at_ride(row: Row) -> Answers:
    """P01: the travel that the load takes on the preloaded spring, and the spring's force there."""
    rate, preloaded = row.given("spring_rate", RATE), row.given("preload", LENGTH)
    found = preload(
        axial_load=row.given("load", FORCE) / row.number("motion_ratio"),
        stack_kind="single",
        stack_rate=rate,
        preload=preloaded,
        bump_limit=0.25,
    )
    return {
        "sag": (found.ride_travel, LENGTH),
        "force": (rate * (found.ride_travel + preloaded), FORCE),
    }


WORK: dict[str, Callable[[Row], Answers]] = {
    "D01": nested_springs,
    "D04": helper_spring,
    "D06": tender_over_main,
    "P01": force_at_ride,
}
