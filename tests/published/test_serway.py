"""Serway, College Physics and Physics for Scientists and Engineers, "helper springs": read in secondary pages."""

import pytest

from calc import units
from calc.spring._stack_curve import StackCurve

SOURCE = "serway"


def test_D04_a_helper_spring_that_joins_after_half_a_meter(check):
    """Two rates that add after a gap: the same two straight lines as a stack with a ring."""
    row = check("D04")
    leaf, helper = (row.given(name, units.RATE) for name in ("main_rate", "helper_rate"))
    joins, load = row.given("engages_at", units.LENGTH), row.given("load", units.FORCE)
    both = leaf + helper
    tender = 1 / (1 / leaf - 1 / both)
    curve = StackCurve(tender_rate=tender, main_rate=both, preload=0.0, ring_gap=joins * both / (tender + both))
    assert float(curve.stack_rate) == pytest.approx(leaf)
    travel = float(curve.travel_at(load))
    row.agrees("compression", travel, units.LENGTH)
    row.agrees("work", float(curve.energy(travel)), units.ENERGY)
