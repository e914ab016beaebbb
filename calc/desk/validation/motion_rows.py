"""Body and wheel hop, pitch and bounce, roll."""

from __future__ import annotations

import math
from collections.abc import Callable

from calc.desk.validation.rows import ANGULAR, Answers, Row
from calc.ride.corner_modes import CornerModes, corner_modes
from calc.units import FREQUENCY, MASS, NUMBER, RATE


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


WORK: dict[str, Callable[[Row], Answers]] = {"Q01": two_masses, "Q02": product_and_sum}
