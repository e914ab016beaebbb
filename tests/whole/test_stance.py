"""How sure lean and cross weight are, against rigs drawn one by one and solved whole; and that noise is not turned away."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from calc import vocabulary
from calc.answers.order import text_of
from calc.answers.order_data import data_of
from calc.answers.rest import case_line, level_table
from calc.order.order import completed, order
from calc.quantity import SHOP
from calc.rig.entries import CORNERS
from calc.rig.file import wren
from calc.rig.rig import Entry, Rig
from calc.spring._stack_curve import StackCurve
from calc.tables import assortment_springs
from calc.units import INCH
from calc.whole.at_rest import Stand, of_corners, stand
from calc.whole.on_chosen_springs import Standing
from calc.whole.stance import stances
from tests.whole.wrens_order import wrens_order

RATE = 175.126835
FRONT = StackCurve(main_rate=400 * RATE, tender_rate=260 * RATE, preload=1.333 * INCH, ring_gap=4.6 * INCH)
REAR = StackCurve(main_rate=425 * RATE, tender_rate=350 * RATE, preload=0.375 * INCH, ring_gap=4.43 * INCH)
_DRAWS = 400


def _drawn(draw: np.random.Generator, one: StackCurve) -> StackCurve:
    """One coil-over of its own: rates and lengths of its springs, and its adjuster as somebody sets it."""
    rate = vocabulary.spring_rate.plus_minus_share / 2
    longer = (2 * vocabulary.free_length.plus_minus**2 + vocabulary.preload.plus_minus**2) ** 0.5 / 2
    tender, main, length = draw.standard_normal(3)
    return StackCurve(
        main_rate=one.main_rate * (1 + rate * main),
        tender_rate=one.tender_rate * (1 + rate * tender),
        preload=one.preload + longer * length,
        ring_gap=one.ring_gap + longer * length * one.main_share,
    )


def _certain(rig: Rig) -> Rig:
    """The rig with nothing in doubt but its springs, so that one stand serves all draws."""
    sure = {
        f"{axle}.{name}": replace(rig.values[f"{axle}.{name}"], plus_minus=0.0)
        for axle in ("front", "rear")
        for name in ("gas_pressure", "unsprung_left_of_center")
    }
    pads = {f"{corner}.corner_mass": replace(rig.values[f"{corner}.corner_mass"], plus_minus=0.0) for corner in CORNERS}
    cases = tuple(replace(case, items=()) for case in rig.load_cases[:1])
    return replace(rig, values={**rig.values, **sure, **pads}, load_cases=cases)


def test_springs_of_their_own_at_each_corner_give_the_plus_minus_that_draws_give() -> None:
    rig = completed(_certain(wren()))
    ready = stand(rig)
    assert isinstance(ready, Stand)
    alike = of_corners((FRONT, FRONT, REAR, REAR))
    told = stances(rig, ready.cases, alike, ready.solve(alike))[0]
    assert told is not None
    draw = np.random.default_rng(7)
    rest = ready.solve(of_corners(*([_drawn(draw, one) for one in (FRONT, FRONT, REAR, REAR)] for _ in range(_DRAWS))))
    # Twice the standard deviation of 400 draws is itself known to 7 % (95 %).
    assert told.body_roll == pytest.approx(2 * np.std(rest.body_roll), rel=0.1)
    assert told.cross_share == pytest.approx(2 * np.std(rest.cross_share), rel=0.1)
    for axle in range(2):
        apart = rest.damper_length[:, 2 * axle] - rest.damper_length[:, 2 * axle + 1]
        assert told.apart[axle] == pytest.approx(2 * np.std(apart), rel=0.1)


@pytest.mark.parametrize("corner", CORNERS)
def test_a_pad_that_reads_wrong_moves_them_as_a_rig_read_so_stands(corner: str) -> None:
    """Only this pad is in doubt, and nothing of the springs: solved again on its reading at both ends of its ±."""
    rig = completed(_certain(wren()))
    entry = rig.values[f"{corner}.corner_mass"]
    size = 5.0
    alike = of_corners((FRONT, FRONT, REAR, REAR))
    ends = []
    for sign in (1.0, -1.0):
        moved = {**rig.values, f"{corner}.corner_mass": replace(entry, value=float(entry.value) + sign * size)}
        ready = stand(replace(rig, values=moved))
        assert isinstance(ready, Stand)
        ends.append(ready.solve(alike))
    ready = stand(rig)
    assert isinstance(ready, Stand)
    rest = ready.solve(alike)
    without, with_ = (
        stances(
            replace(rig, values={**rig.values, f"{corner}.corner_mass": replace(entry, plus_minus=plus_minus)}),
            ready.cases,
            alike,
            rest,
        )[0]
        for plus_minus in (0.0, size)
    )
    assert without is not None
    assert with_ is not None
    for name in ("body_roll", "cross_share"):
        alone = math.sqrt(getattr(with_, name) ** 2 - getattr(without, name) ** 2)
        half = abs(float(getattr(ends[0], name)[0] - getattr(ends[1], name)[0])) / 2
        assert alone == pytest.approx(half, rel=0.03, abs=1e-6)


def test_lean_and_cross_weight_carry_their_plus_minus_and_what_is_less_is_not_turned() -> None:
    """Half a degree and 0.4 % are what independent draws of the whole rig give for the example rig."""
    made = wrens_order()
    found = made.standing
    assert isinstance(found, Standing)
    case = found.rest.cases[found.reference]
    assert case.doubt is not None
    assert math.degrees(case.doubt.body_roll) == pytest.approx(0.56, abs=0.03)
    assert 100 * case.doubt.cross_share == pytest.approx(0.4, abs=0.06)
    line = case_line(case).replace("\u00a0", " ")
    assert line.startswith("50.4 % ± 0.4 % on left rear and right front, sits level as far as is known (0.1° ± 0.6°")
    full = case_line(found.rest.cases[-1]).replace("\u00a0", " ")
    assert full.endswith("leans 0.8° ± 0.6° to the right")
    table = level_table(found)
    assert table is not None
    assert table.rows == ()
    assert all("no more than the ±" in note for note in table.notes)
    leveling = data_of(made)["at_rest"]["leveling"]
    assert [one["advised"] for one in leveling] == [False] * 3
    assert "Body level    " not in text_of(made, SHOP)
    assert "Every ± is at 95 %." in text_of(made, SHOP)


def test_what_is_off_by_more_than_its_plus_minus_is_still_turned() -> None:
    rig = wren()
    made = order(replace(rig, values={**rig.values, "wanted_cross_share": Entry(value=0.49)}), assortment_springs())
    assert isinstance(made.standing, Standing)
    table = level_table(made.standing)
    assert table is not None
    assert [row[0] for row in table.rows] == ["Cross weight 49\u00a0%"]
