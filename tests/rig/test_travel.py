"""The rig's travel pairs against numpy's own polynomial fit, and what they go before."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from calc.answers.order import text_of
from calc.answers.order_data import data_of
from calc.errors import DataError
from calc.geometry.travel_table import TravelPair
from calc.order.order import completed, order, task
from calc.quantity import SHOP
from calc.rig.axle import needs, rate_range
from calc.rig.file import read_rig, rig_to_data, wren, write_rig
from calc.rig.rig import Entry, Rig
from calc.rig.travel import findings, motion, with_motion
from calc.search.problem import Problem
from calc.tables import assortment_springs
from calc.whole import at_rest

LEAN, LENGTH, RIDE = math.radians(12), 0.66, 0.52
OFFSET = LENGTH * math.sin(LEAN)


def length_at(height: float) -> float:
    """A coil-over whose upper eye stands still while the lower one follows the wheel straight up."""
    return math.hypot(OFFSET, LENGTH * math.cos(LEAN) + (height - RIDE))


HEIGHTS = (0.42, 0.45, 0.48, 0.51, 0.54, 0.57, 0.60)
PAIRS = tuple(TravelPair(wheel_height=height, damper_length=length_at(height)) for height in HEIGHTS)


def with_pairs(rig: Rig, **values: float) -> Rig:
    entries = {f"front.{name}": Entry(value=value) for name, value in values.items()}
    return replace(rig, travel_pairs={"front": PAIRS}, values={**rig.values, **entries})


def test_the_motion_ratio_is_that_of_numpys_fit() -> None:
    rig = with_motion(with_pairs(Rig(), ride_height=RIDE))
    squares = np.array([pair.damper_length for pair in PAIRS]) ** 2
    fit = np.polynomial.Polynomial.fit(HEIGHTS, squares, 2)
    assert rig.get("front.motion_ratio") == pytest.approx(
        float(fit.deriv()(RIDE)) / (2 * math.sqrt(fit(RIDE))), rel=1e-9
    )
    assert rig.values["front.motion_ratio"].origin == "derived"
    assert rig.get("front.motion_ratio") == pytest.approx(math.cos(LEAN), rel=1e-9)
    assert rig.get("rear.motion_ratio") is None


def test_the_pairs_go_before_lean_and_length_and_an_entered_ratio_goes_before_the_pairs() -> None:
    rig = completed(with_pairs(wren(), ride_height=RIDE))
    found = task(rig, "front")
    assert isinstance(found, Problem)
    assert found.coilover.ratio == rig.get("front.motion_ratio")
    assert found.coilover.ratio_slope == rig.get("front.motion_ratio_slope")
    entered = completed(with_pairs(wren(), ride_height=RIDE, motion_ratio=0.9))
    assert motion(entered, "front") is None
    assert entered.get("front.motion_ratio") == 0.9


@pytest.mark.parametrize("kind", ["solid", "independent"])
def test_a_ratio_that_changes_is_asked_for_the_length_at_which_it_was_measured(kind: str) -> None:
    """Without it the ratio counted at mid travel. One that stays is the same anywhere, so nothing is asked."""

    def measured(slope: float, length: float | None) -> Rig:
        rig, own = wren(), {"front.motion_ratio": 0.9, "front.motion_ratio_slope": slope, "front.damper_length": length}
        kept = {key: entry for key, entry in rig.values.items() if key not in (*own, "front.lean")}
        told = {key: Entry(value=value) for key, value in own.items() if value is not None}
        return completed(replace(rig, values={**kept, **told, "front.axle_kind": Entry(value=kind)}))

    assert needs(measured(0.0, None), "front") == at_rest.needs(measured(0.0, None)) == ()
    asked = ("front.damper_length",)
    assert needs(measured(-0.4, None), "front") == at_rest.needs(measured(-0.4, None)) == asked
    for length in (0.6, 0.66):
        found = task(measured(-0.4, length), "front")
        assert isinstance(found, Problem)
        travel = found.coilover.extended_length - length
        assert float(found.coilover.motion_ratio(travel)) == pytest.approx(0.9, rel=1e-12)
        assert float(found.coilover.motion_ratio(travel - 0.02)) > 0.905


def test_pairs_without_ride_height_leave_the_rig_as_it_is() -> None:
    rig = with_pairs(Rig())
    assert with_motion(rig) == rig
    done = motion(rig, "front")
    assert done is not None
    assert [error.field for error in done.errors] == ["ride_height"]


def test_the_rig_file_holds_the_pairs() -> None:
    rig = with_pairs(wren(), ride_height=RIDE)
    assert read_rig(write_rig(rig)) == rig


@pytest.mark.parametrize(
    "pairs",
    [
        [],
        {"front": 3},
        {"front": [3]},
        {"front": [{"wheel_height": 0.5}]},
        {"front": [{"wheel_height": "a", "damper_length": 0.5}]},
        {"rear": [{"wheel_height": 0.5, "damper_length": 0.6}] * 25},
    ],
)
def test_damaged_pairs_are_refused(pairs: object) -> None:
    data = {**rig_to_data(wren()), "travel_pairs": pairs}
    with pytest.raises(DataError, match="Nothing was changed"):
        read_rig(json.dumps(data))


def contradicting(rig: Rig) -> Rig:
    """Pairs whose damper grows shorter and longer again: no coil-over does that."""
    lengths = (0.70, 0.60, 0.70, 0.60, 0.70)
    pairs = tuple(
        TravelPair(wheel_height=0.1 * place, damper_length=length) for place, length in enumerate(lengths, start=3)
    )
    ride = {"front.ride_height": Entry(value=0.45)}
    return replace(rig, travel_pairs={"front": pairs}, values={**rig.values, **ride})


def test_pairs_that_contradict_each_other_are_told_at_every_door_and_what_stands_in_their_place() -> None:
    rig = contradicting(wren())
    asked = motion(rig, "front")
    assert asked is not None
    assert asked.errors
    springs = assortment_springs()
    told = "Front: the travel table cannot be used, and the lean read at one height is used instead."
    made = order(rig, springs)
    (found,) = [finding for finding in made.ways if finding.rule == "the travel table can be used"]
    assert found.state == "fails"
    assert found.text.startswith(told)
    assert any(finding["text"] == found.text for finding in data_of(made)["findings"])
    assert told in " ".join(text_of(made, SHOP).split())
    sheet = made.sheet
    assert sheet is not None
    assert ("fails", found.text) in sheet.not_holding


def test_pairs_that_cannot_be_used_leave_the_word_to_the_mounts() -> None:
    eyes = {
        "front.upper_mount_base": Entry(value=0.72),
        "front.upper_mount_height": Entry(value=1.05),
        "front.upper_mount_back": Entry(value=0.05),
    }
    rig = contradicting(replace(wren(), values={**wren().values, **eyes}))
    without = replace(rig, travel_pairs={})
    assert completed(rig).get("front.motion_ratio") == completed(without).get("front.motion_ratio") is not None
    (told,) = [one.text for one in findings(rig, "front") if one.rule == "the travel table can be used"]
    assert "the mount coordinates are used instead" in told


@pytest.mark.parametrize("unsprung", [500.0, 600.0])
def test_no_rate_is_promised_where_no_weight_is_left_for_the_springs(unsprung: float) -> None:
    """Pytest turns the warning of a root of less than nothing into an error."""
    entered = {"axle_mass_after": 500.0, "unsprung_mass": unsprung, "wanted_frequency_low": 1.0}
    entered["wanted_frequency_high"] = 1.2
    rig = Rig(values={f"front.{name}": Entry(value=value) for name, value in entered.items()})
    assert rate_range(rig, "front") is None
    lighter = replace(rig, values={**rig.values, "front.unsprung_mass": Entry(value=200.0)})
    assert rate_range(lighter, "front") is not None
