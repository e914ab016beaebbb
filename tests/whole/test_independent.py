"""A rig with an independent end, from its entries to its answers, by free bodies and by forces written here."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from calc.answers.order import order_text
from calc.answers.order_data import data_of
from calc.desk import rest_balance as balance
from calc.errors import DataError
from calc.order.order import completed, order, task
from calc.rig.axle import needs
from calc.rig.file import read_rig, rig_to_data, wren, write_rig
from calc.rig.loads import side_loads
from calc.rig.rig import Entry, Rig
from calc.search.problem import Problem
from calc.sheet.rig.lists import handbook_springs
from calc.spring._stack_curve import StackCurve
from calc.whole import at_rest
from calc.whole.at_rest import Stand, old_springs, stand
from tests.whole.free_bodies import GRAVITY, vehicle_of

RATIO, SLOPE = 0.72, 0.4


def free(axle: str = "front", rate: float = 2.0) -> Rig:
    """The example rig with one end on links of its own, its old springs as much stiffer as their leverage asks."""
    rig = wren()
    entered = {"axle_kind": "independent", "motion_ratio": RATIO, "motion_ratio_slope": SLOPE}
    entered |= {f"old_{name}_rate": rate * rig.get(f"{axle}.old_{name}_rate") for name in ("main", "tender")}
    values = {**rig.values, **{f"{axle}.{name}": Entry(value=value) for name, value in entered.items()}}
    return replace(rig, values=values)


def without(rig: Rig, *names: str) -> Rig:
    return replace(rig, values={key: entry for key, entry in rig.values.items() if key.partition(".")[2] not in names})


@pytest.mark.parametrize("ends", [("front",), ("rear",), ("front", "rear")])
def test_free_bodies_are_balanced_where_it_rests(ends: tuple[str, ...]) -> None:
    rig = wren()
    for axle in ends:
        rig = replace(rig, values={**rig.values, **{k: v for k, v in free(axle).values.items() if k.startswith(axle)}})
    ready, springs = stand(rig), old_springs(rig)
    assert isinstance(ready, Stand)
    assert isinstance(springs, StackCurve)
    rest = ready.solve(springs)
    for index, case in enumerate(rig.cases()):
        vehicle = vehicle_of(rig, case)
        state = np.array(rest.state[index])
        for end, place in zip(vehicle.ends, (3, 5), strict=True):
            if end.independent:
                state[place : place + 2] = state[place] + np.array([0.5, -0.5]) * end.track * state[place + 1]
        assert np.abs(balance.unbalanced(vehicle, list(state))).max() < 1e-4


def test_neither_base_nor_lean_is_asked_but_the_motion_ratio_is() -> None:
    rig = without(free(), "mount_base", "mount_height", "lean", "damper_length", "motion_ratio_slope")
    assert not [key for key in (*needs(rig, "front"), *at_rest.needs(rig)) if key.startswith("front.")]
    unread = without(rig, "motion_ratio")
    assert needs(unread, "front") == ("front.motion_ratio",)
    assert "front.motion_ratio" in at_rest.needs(unread)
    # A lean alone is no motion ratio of a wheel on an arm.
    assert "front.motion_ratio" in needs(without(free(), "motion_ratio"), "front")


def test_each_wheel_carries_its_own_side() -> None:
    """By hand: the reading less its part of the unsprung weight, of which the offset puts more on one side."""
    rig = free()
    case = rig.cases()[0]
    loads = side_loads(rig, "front", case)
    assert loads is not None
    unsprung, offset, track = 342.5, -0.06, 1.64
    left = (668.6 - unsprung / 2 - unsprung * offset / track) * GRAVITY
    assert loads["support_load_left"] == pytest.approx(left, rel=1e-6)
    assert loads["side_amplification"] == pytest.approx(1.0)


def test_the_search_and_the_roll_go_by_the_wheels() -> None:
    rig = completed(free())
    found = task(rig, "front")
    assert isinstance(found, Problem)
    assert found.coilover.ratio == RATIO
    made = order(free(), handbook_springs())
    front = made.axles[0]
    assert front.chosen is not None
    assert front.frequency is not None
    wheel_rate = front.frequency.values["wheel_rate"]
    rolled = made.motions.get("roll")
    assert rolled is not None
    # Two springs, each half a track from the middle; the rig that leans a little stands nearly at the axle's mean.
    assert rolled.values["front_coil_over_roll_stiffness"] == pytest.approx(wheel_rate * 1.64**2 / 2, rel=2e-3)
    corner = made.motions.get("front")
    assert corner is not None
    assert corner.values["tramp_frequency"] is None
    assert "front travel" not in made.motions
    assert "rear travel" in made.motions
    assert "front travel" not in data_of(made)["motions"]
    assert order_text(free(), handbook_springs())


def test_the_kind_is_kept_in_the_file_and_nothing_else_is_read() -> None:
    assert read_rig(write_rig(free())).values == free().values
    data = rig_to_data(free())
    data["values"]["front.axle_kind"]["value"] = "<b>swing</b>"
    with pytest.raises(DataError, match="axle_kind"):
        read_rig(json.dumps(data))


def test_an_axle_of_no_stated_kind_is_told_as_assumed() -> None:
    ready = stand(without(wren(), "axle_kind"))
    assert isinstance(ready, Stand)
    assert "a solid axle where the kind is not entered" in ready.assumed
    known = stand(wren())
    assert isinstance(known, Stand)
    assert not [text for text in known.assumed if "solid axle" in text]
