"""Support loads: the axle as a free body, solved with its track bar; the base, its sign, and each refusal.

Signs: x forward, y left, z up; a moment about x is positive when it lifts the left side.
"""

import math

import numpy as np
import pytest

from calc.errors import ContradictionError
from calc.step import run
from calc.units import NO_BREAK
from calc.weight.support_load import STEP, support_load

G = 9.80665
FRONT = {
    "axle_kind": "solid",
    "axle_left_mass": 668.6,
    "axle_right_mass": 646.8,
    "unsprung_mass": 342.5,
    "unsprung_left_of_center": -0.06,
    "track": 1.64,
    "mount_base": 1.0,
    "mount_height": 0.40,
    "roll_center_height": 0.53,
    "lean": math.radians(12),
}


def plain(text):
    """Return a message with its no-break spaces as spaces."""
    return str(text).replace(NO_BREAK, " ")


def free_body(rig, bar=0.0, torque=0.0):
    """Solve the axle: two coil-over forces along their lines and one sideways track-bar force at the roll center.

    Nothing here knows a spring base: the mounts, the directions and three equations of statics are all there is.
    """
    lean = rig["lean"]
    left_at = np.array([rig["mount_base"] / 2, rig["mount_height"]])
    right_at = np.array([-rig["mount_base"] / 2, rig["mount_height"]])
    bar_at = np.array([0.0, rig["roll_center_height"]])
    # The tops lean inward, so each coil-over pushes its end of the axle down and outward.
    left_push = np.array([math.sin(lean), -math.cos(lean)])
    right_push = np.array([-math.sin(lean), -math.cos(lean)])
    sideways = np.array([1.0, 0.0])

    def moment(at, push):
        return at[0] * push[1] - at[1] * push[0]

    columns = [(left_at, left_push), (right_at, right_push), (bar_at, sideways)]
    equations = np.array([[push[0], push[1], moment(at, push)] for at, push in columns]).T
    tires = (rig["axle_left_mass"] * G, rig["axle_right_mass"] * G)
    weight = rig["unsprung_mass"] * G
    known = np.array(
        [
            0.0,
            tires[0] + tires[1] - weight,
            (tires[0] - tires[1]) * rig["track"] / 2 - weight * rig["unsprung_left_of_center"] - bar + torque,
        ]
    )
    left, right, track_bar = np.linalg.solve(equations, -known)
    # The motion ratio of a coil-over that leans by an angle is its cosine: load at the wheel is force times that.
    return left * math.cos(lean), right * math.cos(lean), track_bar


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"lean": 0.0},
        {"lean": math.radians(25)},
        {"mount_height": 0.62},
        {"unsprung_left_of_center": 0.11, "axle_left_mass": 500.0},
        {"track": 1.9, "mount_base": 0.7, "roll_center_height": 0.2},
    ],
)
def test_loads_of_the_free_axle(changes):
    rig = {**FRONT, **changes}
    left, right, _ = free_body(rig)
    found = support_load(**rig)
    assert found.support_load_left == pytest.approx(left, rel=1e-10)
    assert found.support_load_right == pytest.approx(right, rel=1e-10)
    assert found.support_load_mean == pytest.approx((left + right) / 2, rel=1e-10)


def test_bar_and_prop_shaft_turn_the_axle_as_they_say():
    left, right, _ = free_body(FRONT, bar=400.0, torque=650.0)
    found = support_load(**FRONT, anti_roll_moment=400.0, propshaft_torque=650.0)
    assert found.support_load_left == pytest.approx(left, rel=1e-10)
    assert found.support_load_right == pytest.approx(right, rel=1e-10)
    free = support_load(**FRONT)
    # A bar that carries the body's left side takes load off the left spring; a torque that lifts the left end adds it.
    assert support_load(**FRONT, anti_roll_moment=400.0).support_load_left < free.support_load_left
    assert support_load(**FRONT, propshaft_torque=650.0).support_load_left > free.support_load_left


def test_unequal_sides_leave_a_track_bar_force():
    """The springs push sideways by different amounts, so the track bar holds the rest."""
    left, right, track_bar = free_body(FRONT)
    assert track_bar == pytest.approx((right - left) * math.tan(FRONT["lean"]), rel=1e-9)
    assert abs(track_bar) > 100


def test_the_base_is_where_the_lines_cross_the_height_of_the_roll_center():
    """Two points on the left coil-over: its eye, and one a unit of height above, further in by tan(lean)."""
    for height, roll_center in ((0.40, 0.53), (0.70, 0.53), (0.53, 0.53)):
        found = support_load(**{**FRONT, "mount_height": height, "roll_center_height": roll_center})
        inward_per_height = math.tan(FRONT["lean"])
        at_roll_center = 0.5 - inward_per_height * (roll_center - height)
        assert found.spring_base == pytest.approx(2 * at_roll_center, rel=1e-14)
    assert support_load(**FRONT).spring_base < FRONT["mount_base"]
    assert support_load(**{**FRONT, "mount_height": 0.7}).spring_base > FRONT["mount_base"]


def test_plain_base_understates_by_what_the_page_says():
    for degrees, percent in ((12, 5.5), (20, 9.5)):
        base = support_load(**{**FRONT, "lean": math.radians(degrees)}).spring_base
        assert 100 * (1 - base) == pytest.approx(percent, abs=0.05)


def test_amplification_is_track_over_base():
    found = support_load(**{**FRONT, "unsprung_mass": 0.0})
    tires = (FRONT["axle_left_mass"] - FRONT["axle_right_mass"]) * G
    assert found.support_load_difference == pytest.approx(tires * found.side_amplification, rel=1e-12)
    assert found.side_amplification == pytest.approx(1.64 / found.spring_base, rel=1e-14)


def test_independent_wheels_hold_their_own_side():
    """Each reading less its own wheel's unsprung weight; two wheels at half the track give the center that is entered."""
    left_unsprung, right_unsprung = 60.0, 48.0
    total = left_unsprung + right_unsprung
    offset = (left_unsprung - right_unsprung) * (1.64 / 2) / total
    rig = {**FRONT, "axle_kind": "independent", "unsprung_mass": total, "unsprung_left_of_center": offset}
    found = support_load(**rig)
    assert found.support_load_left == pytest.approx((668.6 - left_unsprung) * G, rel=1e-12)
    assert found.support_load_right == pytest.approx((646.8 - right_unsprung) * G, rel=1e-12)
    assert found.spring_base == 1.64
    assert found.side_amplification == 1.0
    moved = support_load(**{**rig, "lean": 0.3, "mount_base": 0.5, "mount_height": 0.1, "roll_center_height": 0.0})
    assert moved == found


def test_the_working_of_both_kinds_agrees():
    """The equations with a condition: each kind has its own line for the base."""
    for kind in ("solid", "independent"):
        outcome = run(STEP, {**FRONT, "axle_kind": kind})
        assert outcome.values["spring_base"] == pytest.approx(0.94474 if kind == "solid" else 1.64, abs=5e-6)


def test_unsprung_must_be_less_than_the_axle():
    with pytest.raises(ContradictionError) as caught:
        support_load(**{**FRONT, "unsprung_mass": 668.6 + 646.8})
    assert caught.value.field == "unsprung_mass"
    assert plain(caught.value) == (
        "Unsprung weight, 2,900 lb, is not less than the axle weight, 2,900 lb. "
        "Allowed: 0 and more, and below the two readings added."
    )
    assert support_load(**{**FRONT, "unsprung_mass": 1315.0}).support_load_mean == pytest.approx(0.2 * G)


def test_lines_that_cross_below_the_roll_center_are_refused():
    rig = {**FRONT, "mount_base": 0.3, "roll_center_height": 1.0, "lean": math.radians(15)}
    with pytest.raises(ContradictionError) as caught:
        support_load(**rig)
    assert caught.value.field == "lean"
    assert plain(caught.value) == (
        "The lines of the two coil-overs come within −0.8 in of each other at the height of the roll center. "
        "Allowed: a base of 2.0 in or more there. Check the lean, the base and the two heights."
    )
    # 0.3 − 1.2 tan 11.7° is 0.0515 m, just above the 0.05 m that is allowed.
    assert support_load(**{**rig, "lean": math.radians(11.7)}).spring_base == pytest.approx(0.0515, abs=5e-5)


def test_torque_on_independent_wheels_is_refused():
    with pytest.raises(ContradictionError) as caught:
        support_load(**{**FRONT, "axle_kind": "independent"}, propshaft_torque=135.58179483314)
    assert caught.value.field == "propshaft_torque"
    assert plain(caught.value) == (
        "Driveshaft torque is 100 lbf·ft, but with independent wheels the final drive is bolted to the frame. "
        "Allowed: 0 for independent wheels."
    )
    assert support_load(**{**FRONT, "axle_kind": "independent"}, propshaft_torque=0.0).spring_base == 1.64


def test_findings():
    def states(changes):
        return {finding.rule: finding for finding in run(STEP, {**FRONT, **changes}).findings}

    level = states({})
    assert {finding.state for finding in level.values()} == {"holds"}
    lopsided = states({"axle_left_mass": 900.0, "axle_right_mass": 250.0})
    assert lopsided["the right spring carries something"].state == "fails"
    assert "would have to pull" in lopsided["the right spring carries something"].text
    assert lopsided["the sides are near enough for equal springs"].state == "close"
    assert states({"propshaft_torque": 500.0})["the driveline is without torque"].state == "close"
    # By hand: the right spring carries nothing at a difference of 535.2 kg between the tires.
    edge = states({"axle_left_mass": 925.3, "axle_right_mass": 390.1})["the right spring carries something"]
    assert edge.state == "close"
    assert abs(edge.value) < 10
    assert "it may carry nothing" in edge.text


@pytest.mark.parametrize("kind", ["solid", "independent"])
@pytest.mark.parametrize("degrees", [0.0, 12.0, 58.0])
def test_the_chart_draws_for_whatever_the_form_accepts(kind, degrees):
    from calc.quantity import METRIC, SHOP

    outcome = run(STEP, {**FRONT, "axle_kind": kind, "lean": math.radians(degrees)})
    for display in (SHOP, METRIC):
        drawn = STEP.chart(outcome.values, display)
        curve = drawn.panels[0].curves[0]
        dot = drawn.panels[0].dots[0]
        xs, ys = zip(*curve.points, strict=True)
        # The dot lies on the curve: its height is what the curve gives at its place.
        assert np.interp(dot.x, xs, ys) == pytest.approx(dot.y, rel=2e-3)
