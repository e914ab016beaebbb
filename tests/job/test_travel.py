"""The rig's travel pairs against numpy's own polynomial fit, and what they go before."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from calc.errors import DataError
from calc.geometry.travel_table import TravelPair
from calc.job.choose import Problem
from calc.job.order import completed, task
from calc.job.rig import Entry, Rig, read_rig, rig_to_data, wren, write_rig
from calc.job.travel import motion, with_motion

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
    fit = np.polynomial.Polynomial.fit(HEIGHTS, [pair.damper_length for pair in PAIRS], 2)
    assert rig.get("front.motion_ratio") == pytest.approx(float(fit.deriv()(RIDE)), rel=1e-9)
    assert rig.values["front.motion_ratio"].origin == "derived"
    # A parabola through a leaning coil-over comes within a thousandth of its cosine.
    assert rig.get("front.motion_ratio") == pytest.approx(math.cos(LEAN), abs=1e-3)
    assert rig.get("rear.motion_ratio") is None


def test_the_pairs_go_before_lean_and_length_and_an_entered_ratio_goes_before_the_pairs() -> None:
    rig = completed(with_pairs(wren(), ride_height=RIDE))
    found = task(rig, "front")
    assert isinstance(found, Problem)
    assert found.coilover.fixed_ratio == rig.get("front.motion_ratio")
    assert found.coilover.fixed_slope == rig.get("front.motion_ratio_slope")
    entered = completed(with_pairs(wren(), ride_height=RIDE, motion_ratio=0.9))
    assert motion(entered, "front") is None
    assert entered.get("front.motion_ratio") == 0.9


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
