"""What proving advises: the damper eye to eye and no hub, no turn that a reading cannot tell, cross weight kept."""

from __future__ import annotations

import numpy as np
import pytest

from calc.prove.findings import findings, turn_texts
from calc.prove.prove import Proving
from calc.prove.trim import CROSS_TOLERANCE, Room, Trim, trim
from calc.rig.entries import CORNERS
from calc.rig.readings import CornerReading, State, reading_columns
from calc.units import INCH
from tests.prove.test_prove import built, proved, unknowns

# Left front, right front, left rear, right rear: what a floor that is not flat does.
WARP = np.array([1.0, -1.0, -1.0, 1.0])


def heights(off: np.ndarray) -> State:
    """Readings that lie so far off what was ordered, each taken twice."""
    ordered = built().outputs(unknowns()[None], 0).height[0]
    return State(
        corners={
            corner: CornerReading(
                after_pushed_down=float(ordered[place] + off[place]) - 0.1 * INCH,
                after_lifted=float(ordered[place] + off[place]) + 0.1 * INCH,
            )
            for place, corner in enumerate(CORNERS)
        }
    )


def told(found: Proving, rule: str) -> str:
    return next(one.text for one in findings(found) if one.rule == rule).replace("\N{NO-BREAK SPACE}", " ")


def test_nothing_is_turned_that_a_reading_cannot_tell() -> None:
    """A warp of 0.075 in lies just outside a tape's 1/16 in; tires set it, so turns at all four corners gain 0.01 in."""
    found = proved(heights(0.075 * INCH * WARP))
    assert found.trim is not None
    assert not found.trim.turns.any()
    assert turn_texts(found.trim) == ()
    text = told(found, "what to turn")
    assert text.startswith("Nothing to turn: no turns bring the heights nearer by more than they can be read.")
    assert "order other springs" not in text


def test_a_corner_that_stands_low_is_still_turned_up_alone() -> None:
    """The adjuster of the left front 1.5 turns short, as the model of the springs has it: 1.5 turns are the answer."""
    model = built()
    turn = float(model.ready[0].turn[0, 0])
    short = model.stacks[0].turned(adjuster=np.array([[-1.5 * turn, 0.0, 0.0, 0.0]]))
    low = model.outputs(unknowns()[None], 0, short).height[0] - model.outputs(unknowns()[None], 0).height[0]
    found = proved(heights(low))
    assert found.trim is not None
    assert turn_texts(found.trim) == ("left front up 1.5 turns",)
    assert found.trim.reached


@pytest.mark.parametrize("size", [0.1, 0.2, 0.4])
@pytest.mark.parametrize(
    "pattern", [(1, 0, 0, 0), (0, 0, -1, 0), (1, 1, 0, 0), (1, -1, -1, 1), (1, -1, 1, -1), (0, 1, -1, 1)]
)
def test_turns_gain_what_can_be_read_and_keep_the_cross_weight(size: float, pattern: tuple[int, ...]) -> None:
    found = proved(heights(size * INCH * np.array(pattern, dtype=float)))
    one = found.trim
    assert one is not None
    ordered = float(built().outputs(unknowns()[None], 0).cross[0])
    assert abs(one.cross_after - ordered) <= max(CROSS_TOLERANCE, abs(one.cross_before - ordered)) + 0.0015
    if one.turns.any():
        # Worth at least a sixteenth, the tape's own, to within what half turns leave.
        assert size * INCH - float(np.abs(one.left).max()) > 0.75 * INCH / 16


def test_hub_heights_are_questioned_and_no_spring_is_blamed() -> None:
    """Hub heights of 21 in where the damper is to be 26 to 31 in, eye to eye."""
    read = {corner: CornerReading(after_pushed_down=20.9 * INCH, after_lifted=21.1 * INCH) for corner in CORNERS}
    found = proved(State(corners=read))
    assert found.questioned == CORNERS
    every = findings(found)
    assert [one.rule for one in every] == ["what was read"]
    text = every[0].text.replace("\N{NO-BREAK SPACE}", " ")
    assert text.startswith(
        "Is this the hub height? Damper, eye to eye, is wanted: at the left front 21.00 in was read and 25."
    )
    assert "springs" not in text
    assert found.trim is None
    assert found.best is None


def test_one_corner_read_at_its_hub_is_questioned_alone() -> None:
    """The loaded radius of the front tires, read at one corner among three that are right."""
    from calc.rig.file import wren

    radius = float(wren().get("front.tire_loaded_radius"))
    good = heights(np.zeros(4))
    read = {**good.corners, "right_front": CornerReading(after_lifted=radius + 0.1 * INCH)}
    assert proved(State(corners=read)).questioned == ("right_front",)
    assert proved(good).questioned == ()
    # An inch off is springs, loads or settings: no hub.
    assert proved(heights(np.array([-1.0, 0.0, 0.0, 0.0]) * INCH)).questioned == ()


def test_the_field_says_eye_to_eye() -> None:
    for name in ("after_pushed_down", "after_lifted"):
        assert "Damper, eye to eye" in reading_columns()[name].quantity.help


def test_a_cross_weight_that_is_off_already_is_turned_back_and_no_further_off() -> None:
    """Off counts from the ordered share, wherever the rig stands now."""
    model = built()
    now = model.outputs(unknowns()[None], 0)
    height, cross = now.height[0], float(now.cross[0])
    room = Room(on=np.full(4, np.inf), off=np.full(4, np.inf))

    def asked(ordered: float) -> Trim:
        wanted = height + np.array([0.2, 0.0, 0.0, 0.0]) * INCH
        found = trim(model, unknowns(), model.stacks[0], height, wanted, INCH / 16, room, ordered)
        assert found is not None
        return found

    shift = asked(cross).cross_after - cross
    assert 1e-3 < abs(shift) < CROSS_TOLERANCE
    off = CROSS_TOLERANCE * np.sign(shift)
    assert asked(cross + off).turns == pytest.approx(asked(cross).turns)
    further = asked(cross - off)
    assert abs(further.cross_after - (cross - off)) <= CROSS_TOLERANCE + 1e-4
