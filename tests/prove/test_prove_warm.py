"""Warm dampers: their gas lifts the rig by what statics say, and a warm reading blames no spring and turns nothing."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from calc.errors import DataError
from calc.order.order import limits
from calc.prove.built import Basis, model_of, of_order
from calc.prove.findings import findings
from calc.prove.model import COUNT, RATE_TOLERANCE
from calc.prove.prove import Proving, _room, prove
from calc.rig.entries import CORNERS
from calc.rig.file import read_rig, wren, write_rig
from calc.rig.readings import COLD, FORMAT, WARM, Proof, State, read_measurements, write_measurements
from calc.tables import assortment_springs
from calc.units import INCH, POUND_FORCE
from tests.prove.test_prove import ANY, built, state_of, unknowns
from tests.whole.wrens_order import wrens_order

HOT = 353.15  # 80 °C, 176 °F


def basis() -> Basis:
    found = of_order(wrens_order())
    assert isinstance(found, Basis)
    return found


@lru_cache(maxsize=1)
def warm_state() -> State:
    """What is read of the rig as it was ordered, its dampers at 80 °C."""
    found = model_of(basis(), Proof(case="crew", damper_temperature=HOT, states=(ANY,)))
    assert isinstance(found, tuple)
    heights = found[0].outputs(unknowns()[None], 0).height[0]
    return State(
        corners={
            corner: replace(
                ANY.at(corner), after_pushed_down=float(one) - 0.1 * INCH, after_lifted=float(one) + 0.1 * INCH
            )
            for corner, one in zip(CORNERS, heights, strict=True)
        }
    )


def proved(state: State, dampers: str = "not known", temperature: float | None = None) -> Proving:
    proof = Proof(date="2026-05-02", case="crew", dampers=dampers, damper_temperature=temperature, states=(state,))
    return prove(wren(), assortment_springs(), proof, wrens_order())


def told(found: Proving, rule: str) -> str:
    return next((one.text for one in findings(found) if one.rule == rule), "").replace("\N{NO-BREAK SPACE}", " ")


def test_the_front_lifts_by_what_statics_say() -> None:
    """By hand: 200 psi in 18 in³ behind a 7/8 in rod, 68 to 176 °F; the force that is gained over springs and gas."""
    cold = built().outputs(unknowns()[None], 0)
    area = np.pi / 4 * 0.875**2
    travel = 31.0 - cold.height[0, :2].mean() / INCH
    absolute = 214.696 * 18.0 / (18.0 - area * travel)
    gained = absolute * area * (60.0 / 293.15)
    # What holds against it: the springs, the warm gas, and the lean that straightens as the damper grows longer.
    springs = built().stacks[0].rate(cold.travel)[0, :2].mean() * INCH / POUND_FORCE
    gas = absolute * (HOT / 293.15) * area**2 / (18.0 - area * travel)
    axial = cold.force[0, :2].mean() / POUND_FORCE
    leaning = axial * np.sin(np.radians(12.0)) ** 2 / np.cos(np.radians(12.0)) ** 2 / (31.0 - travel)
    by_hand = gained / (springs + gas + leaning)
    found = proved(warm_state(), temperature=HOT)
    lift = np.mean([one.warm_lift for one in found.corners[:2]]) / INCH
    assert by_hand == pytest.approx(0.19, abs=0.01)
    assert lift == pytest.approx(by_hand, rel=RATE_TOLERANCE)
    assert f"{lift:.2f} in at the front" in told(found, "damper temperature")


def test_a_warm_rig_as_ordered_is_blamed_for_nothing_where_it_is_said() -> None:
    found = proved(warm_state(), temperature=HOT)
    assert [one.difference for one in found.corners] == pytest.approx([0.0] * 4, abs=1e-5)
    assert found.trim is not None
    assert not found.trim.turns.any()
    assert found.trim.reached
    assert {one.state for one in findings(found) if one.rule != "load and rate"} == {"holds"}
    # Taken as cold, the same readings are turned down.
    cold = proved(warm_state(), COLD)
    assert cold.trim is not None
    assert (cold.trim.turns < 0).any() or not cold.trim.reached
    assert cold.corners[0].difference == pytest.approx(found.corners[0].warm_lift, abs=1e-5)


def test_what_is_not_said_widens_and_is_not_turned_back() -> None:
    cold, silent, warm = (proved(warm_state(), one) for one in (COLD, "not known", WARM))
    for place, one in enumerate(silent.corners):
        sure = cold.corners[place]
        assert one.predicted == sure.predicted
        assert one.predicted_doubt == pytest.approx(np.hypot(sure.predicted_doubt, one.warm_doubt), rel=1e-6)
        assert one.tolerance > sure.tolerance
    assert silent.corners[0].warm_doubt == pytest.approx(0.19 * INCH, rel=0.06)
    assert warm.corners[0].warm_doubt == pytest.approx(silent.corners[0].warm_doubt / 2, rel=0.06)
    assert cold.corners[0].predicted < warm.corners[0].predicted < cold.corners[0].height  # type: ignore[operator]
    for found in (silent, warm):
        assert found.trim is not None
        assert not found.trim.turns.any()
        assert "Read the heights with the dampers cold" in told(found, "damper temperature")
    assert told(cold, "damper temperature") == ""


def test_set_is_told_from_dampers_that_were_warm_the_first_time() -> None:
    first = Proof(date="2026-04-01", case="crew", damper_temperature=HOT, states=(warm_state(),))
    today = Proof(date="2026-05-02", case="crew", dampers=COLD, states=(state_of(unknowns()),))
    found = prove(wren(), assortment_springs(), today, wrens_order(), (first,))
    assert found.sunk is not None
    assert max(abs(one) for one in found.sunk.by) < 0.02 * INCH
    assert max(found.sunk.by) <= found.sunk.doubt


def test_files_keep_the_entry_and_old_ones_read_as_not_known() -> None:
    new = Proof(date="2026-05-02", dampers=WARM, damper_temperature=HOT)
    assert read_measurements(write_measurements([new])) == (new,)
    rig = replace(wren(), proofs=(new,))
    assert read_rig(write_rig(rig)) == rig
    old = json.dumps({"format": FORMAT, "version": 1, "proofs": [{"date": "2026-05-02"}]})
    (read,) = read_measurements(old)
    assert (read.dampers, read.damper_temperature) == ("not known", None)
    assert "damper" not in write_measurements([read]).replace("damper length", "").replace("damper measurements", "")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"dampers": "hot"}, "not one of its choices"),
        ({"damper_temperature": 900.0}, "must be at most"),
        ({"damper_temperature": "80"}, "not a finite number"),
    ],
)
def test_an_entry_that_cannot_be_is_refused(given: dict[str, object], said: str) -> None:
    text = json.dumps({"format": FORMAT, "version": 1, "proofs": [{"date": "2026-05-02", **given}]})
    with pytest.raises(DataError, match=said):
        read_measurements(text)


def test_turns_leave_the_thread_that_is_to_be_kept() -> None:
    found = model_of(basis(), Proof(case="crew", dampers=COLD, states=(ANY,)))
    assert isinstance(found, tuple)
    model, turn = found[0], found[0].ready[0].turn[0]
    # Half a turn more than the reserve is half a turn to give; the reserve alone is none.
    reserve = np.array([limits(wrens_order().rig, corner.partition("_")[2]).adjuster_reserve for corner in CORNERS])
    assert np.all(reserve > 0)
    room = _room(model, replace(basis(), thread=reserve + np.array([0.5, 0.0, 2.0, -0.5]) * turn))
    assert room.on.tolist() == [0.5, 0.0, 2.0, 0.0]
    assert model.outputs(np.zeros((1, COUNT)), 0).stands
