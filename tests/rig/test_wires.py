"""How a step is run on a rig: each input with the plus-minus that it has there, and nothing where it cannot be run."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from calc.rig.file import wren
from calc.rig.rig import Rig
from calc.rig.wires import like, of_axle, of_rig, of_step, run_on, run_on_each, values_on
from calc.step import Known

WREN = wren()


def entered(key: str, plus_minus: float | None) -> Rig:
    return replace(WREN, values={**WREN.values, key: replace(WREN.values[key], plus_minus=plus_minus)})


def test_an_entry_comes_with_its_own_plus_minus_and_a_wish_with_none() -> None:
    rig = entered("front.tire_rate", 12e3)
    wires = of_axle(rig, "front", "tire_rate", "wanted_bump", "pad_rate")
    assert wires["tire_rate"] == Known(value=rig.get("front.tire_rate"), origin="example", plus_minus=12e3)
    assert wires["wanted_bump"] == rig.get("front.wanted_bump")
    assert of_rig(Rig(), anything="front.tire_rate") == {"anything": None}


def test_what_is_like_an_entry_is_in_doubt_as_it_is() -> None:
    known = Known(value=2.0, origin="measured", plus_minus=0.1)
    assert like(known, 3.0) == Known(value=3.0, origin="measured", plus_minus=0.1)
    assert like(None, 3.0) == 3.0


def test_plus_minus_comes_along_with_the_value() -> None:
    """Sprung weight is axle weight less unsprung weight, so both doubts add in squares; a bare number has the usual one."""
    sure = {"axle_mass": Known(value=600.0, origin="measured", plus_minus=3.0)}
    sure["unsprung_mass"] = Known(value=160.0, origin="measured", plus_minus=4.0)
    outcome = run_on("unsprung", sure)
    assert outcome is not None
    assert (outcome.values["sprung_mass"], outcome.plus_minus["sprung_mass"]) == pytest.approx((440.0, 5.0))
    usual = run_on("unsprung", {**sure, "axle_mass": 600.0})
    assert usual is not None
    assert usual.plus_minus["sprung_mass"] == pytest.approx(math.hypot(usual.plus_minus["axle_mass"], 4.0))
    assert of_step(outcome, "sprung_mass")["sprung_mass"].plus_minus == pytest.approx(5.0)
    assert values_on("unsprung", sure) == dict(outcome.values)


def test_a_step_that_cannot_be_run_is_none_and_the_others_go_on() -> None:
    light, wrong = {"axle_mass": 600.0, "unsprung_mass": 160.0}, {"axle_mass": 600.0, "unsprung_mass": None}
    assert run_on("unsprung", wrong) is None
    assert values_on("unsprung", {"axle_mass": 100.0, "unsprung_mass": 160.0}) is None
    ran = run_on_each("unsprung", [wrong, light])
    assert ran[0] is None
    assert ran[1] == run_on("unsprung", light)
