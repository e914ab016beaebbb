"""Roll: plain arithmetic, refusals with their whole messages, symmetry and limits. Numpy only."""

import math

import numpy as np
import pytest

from calc.errors import ContradictionError
from calc.ride.roll import STEP, roll
from calc.step import attempt, run

GRAVITY = 9.80665
DEGREE_PER_G = math.pi / 180 / GRAVITY
RIG = {
    "front_sprung_mass": 1000.0,
    "rear_sprung_mass": 900.0,
    "front_unsprung_mass": 340.0,
    "rear_unsprung_mass": 300.0,
    "sprung_center_height": 0.95,
    "front_roll_center_height": 0.53,
    "rear_roll_center_height": 0.60,
    "front_coil_over_roll_stiffness": 14e3,
    "rear_coil_over_roll_stiffness": 15e3,
    "front_tire_rate": 260e3,
    "rear_tire_rate": 250e3,
    "track_front": 1.64,
    "track_rear": 1.66,
    "front_tire_radius": 0.44,
    "rear_tire_radius": 0.44,
}
LEVER = 0.95 - (1000 * 0.53 + 900 * 0.60) / 1900
LEVERAGE = 1900 * GRAVITY * LEVER
FRONT = 1 / (1 / 14e3 + 1 / (260e3 * 1.64**2 / 2))
REAR = 1 / (1 / 15e3 + 1 / (250e3 * 1.66**2 / 2))


def test_stiffness_gradient_and_share_by_plain_arithmetic():
    found = roll(**RIG)
    assert found.roll_lever == pytest.approx(LEVER)
    assert found.roll_margin == pytest.approx(29e3 / LEVERAGE)
    assert found.front_roll_stiffness == pytest.approx(FRONT)
    assert found.rear_roll_stiffness == pytest.approx(REAR)
    assert found.front_couple_share == pytest.approx(FRONT / (FRONT + REAR))
    # Leaning by one gradient under one m/s²: the springs hold the push and the weight that has moved out.
    lean = found.roll_gradient
    assert (FRONT + REAR) * lean == pytest.approx(1900 * LEVER + LEVERAGE * lean)


def test_a_bar_adds_to_its_axle():
    bare, barred = roll(**RIG), roll(**RIG, front_bar_roll_stiffness=6e3)
    assert barred.front_roll_stiffness == pytest.approx(1 / (1 / 20e3 + 1 / (260e3 * 1.64**2 / 2)))
    assert barred.rear_roll_stiffness == bare.rear_roll_stiffness
    assert barred.roll_margin == pytest.approx(35e3 / LEVERAGE)
    assert barred.front_couple_share > bare.front_couple_share
    assert barred.roll_gradient < bare.roll_gradient


def test_the_rigid_slope_and_the_factor():
    """Height of the whole: (1900 × 0.95 + 640 × 0.44)/2540; track between by the axle weights."""
    found = roll(**RIG, center_left_of_center=0.04)
    height = (1900 * 0.95 + 640 * 0.44) / 2540
    track = (1340 * 1.64 + 1200 * 1.66) / 2540
    assert found.static_stability_factor == pytest.approx(track / 2 / height)
    assert math.tan(found.side_slope_rigid) == pytest.approx((track / 2 - 0.04) / height)


def test_stiff_springs_and_tires_leave_the_rigid_slope():
    """Alike at both ends, so that both uphill tires leave together, as they do when it is rigid."""
    found = roll(
        **{
            **RIG,
            **dict.fromkeys(("front_sprung_mass", "rear_sprung_mass"), 900.0),
            **dict.fromkeys(("front_unsprung_mass", "rear_unsprung_mass"), 300.0),
            **dict.fromkeys(("front_roll_center_height", "rear_roll_center_height"), 0.5),
            **dict.fromkeys(("front_coil_over_roll_stiffness", "rear_coil_over_roll_stiffness"), 1e12),
            **dict.fromkeys(("front_tire_rate", "rear_tire_rate"), 1e12),
            **dict.fromkeys(("track_front", "track_rear"), 1.6),
        },
        center_left_of_center=-0.05,
    )
    assert found.side_slope_first_tire == pytest.approx(found.side_slope_rigid, abs=1e-7)
    assert found.side_slope_both_tires == pytest.approx(found.side_slope_rigid, abs=1e-7)


def test_the_roll_frequency():
    found = roll(**RIG)
    track = (1340 * 1.64 + 1200 * 1.66) / 2540
    inertia = 1900 * (0.4 * track) ** 2
    assert found.roll_frequency == pytest.approx(math.sqrt((FRONT + REAR - LEVERAGE) / inertia) / (2 * math.pi))


def test_left_and_right_offset_do_the_same():
    left, right = (roll(**RIG, center_left_of_center=side) for side in (0.05, -0.05))
    for name in STEP.results:
        assert getattr(left, name) == getattr(right, name)
    assert left.side_slope_first_tire < roll(**RIG).side_slope_first_tire


def test_too_little_stiffness_is_refused_and_the_margin_still_judged():
    """1000 N m/rad per axle on these tires: 998.57 + 1000.00·… beside a leverage of 7.18 kN m."""
    soft = {**RIG, "front_coil_over_roll_stiffness": 1e3, "rear_coil_over_roll_stiffness": 1e3}
    with pytest.raises(ContradictionError) as caught:
        roll(**soft)
    assert caught.value.field == "front_coil_over_roll_stiffness"
    assert str(caught.value) == (
        "Upright is unstable: the roll stiffness on the tires, 26\u00a0lbf·ft/° of both axles, is less than the weight's "
        "leverage above the roll axis, 93\u00a0lbf·ft/°. The rig falls over to one side. Allowed: more than that leverage, by "
        "stiffer springs, a wider base or a bar."
    )
    done = attempt(STEP, soft)
    assert done.outcome.values["side_slope_first_tire"] is None
    enough = LEVERAGE * 1.001 / 2
    both = {**RIG, "front_tire_rate": 1e12, "rear_tire_rate": 1e12}
    stands = roll(**{**both, "front_coil_over_roll_stiffness": enough, "rear_coil_over_roll_stiffness": enough})
    assert stands.roll_margin == pytest.approx(1.001)


def test_a_center_below_the_roll_axis_is_refused():
    axis = (1000 * 0.53 + 900 * 0.60) / 1900
    assert roll(**{**RIG, "sprung_center_height": axis + 0.01}).roll_lever == pytest.approx(0.01)
    with pytest.raises(ContradictionError) as caught:
        roll(**{**RIG, "sprung_center_height": 0.5})
    assert caught.value.field == "sprung_center_height"
    assert str(caught.value) == (
        "The sprung center of gravity at 19.7\u00a0in does not lie above the roll axis, which passes 22.2\u00a0in above the "
        "ground. Allowed: above the roll axis. Check both heights; they count from the ground."
    )


def test_a_weight_outside_of_the_tires_is_refused():
    narrow = {**RIG, "track_front": 0.9, "track_rear": 0.9}
    # Inside by a hair, the lean alone lifts the right tires on level ground.
    assert roll(**narrow, center_left_of_center=0.44).side_slope_first_tire == 0
    with pytest.raises(ContradictionError) as caught:
        roll(**narrow, center_left_of_center=-0.46)
    assert caught.value.field == "center_left_of_center"
    assert str(caught.value) == (
        "The center of gravity lies 18.1\u00a0in from the middle, outside the tires. Allowed: less than half the track."
    )
    # Where the tracks differ, outside of the narrower one is outside.
    with pytest.raises(ContradictionError):
        roll(**{**narrow, "track_rear": 1.6}, center_left_of_center=-0.46)


@pytest.mark.parametrize(("margin", "state"), [(2.0, "holds"), (1.31, "holds"), (1.29, "fails")])
def test_the_roll_margin_is_the_stand_up_check_alone(margin, state):
    soft = dict.fromkeys(("front_coil_over_roll_stiffness", "rear_coil_over_roll_stiffness"), margin * LEVERAGE / 2)
    outcome = run(STEP, {**RIG, **soft}, dict.fromkeys(STEP.inputs, 0.0))
    told = {finding.rule: finding for finding in outcome.findings}
    assert told["stands upright"].state == state
    assert "roll margin" not in told
    # Whatever the margin says of standing, such a rig leans far.
    assert told["roll gradient"].state == "close"


def stiff_for(gradient):
    """Coil-overs at each axle with which the body leans by so many degrees per g, the tires as good as rigid."""
    moment = 1900 * LEVER / (gradient * DEGREE_PER_G) + LEVERAGE
    return {
        **RIG,
        **dict.fromkeys(("front_coil_over_roll_stiffness", "rear_coil_over_roll_stiffness"), moment / 2),
        **dict.fromkeys(("front_tire_rate", "rear_tire_rate"), 2e6),
    }


@pytest.mark.parametrize("roads", ["yes", "no", None])
@pytest.mark.parametrize("gradient", [6.0, 11.9, 12.3, 17.9, 18.9])
def test_the_lean_is_judged_by_where_the_rig_is_driven(gradient, roads):
    inputs = stiff_for(gradient)
    inputs |= {} if roads is None else {"driven_on_roads": roads}
    found = run(STEP, inputs, dict.fromkeys(STEP.inputs, 0.0))
    # Tires of 2 MN/m still give a little.
    real = found.values["roll_gradient"] / DEGREE_PER_G
    assert real == pytest.approx(gradient, rel=0.05)
    assert found.values["lean_in_turn"] == pytest.approx(found.values["roll_gradient"] * 0.3 * GRAVITY)
    told = {finding.rule: finding for finding in found.findings}
    assert told["roll gradient"].state == ("holds" if real <= 12 else "close")
    if roads == "no":
        assert "roll gradient on roads" not in told
    elif roads is None:
        assert told["roll gradient on roads"].state == "not checked"
        assert told["roll gradient on roads"].text == "Whether it leans too far for roads: needs driven on roads."
    else:
        assert told["roll gradient on roads"].state == ("holds" if real <= 18 else "fails")


def test_the_words_of_a_rig_that_leans_too_far_for_roads():
    soft = {**RIG, "driven_on_roads": "yes"}
    told = {finding.rule: finding for finding in run(STEP, soft, dict.fromkeys(STEP.inputs, 0.0)).findings}
    lean = 1900 * LEVER / (FRONT + REAR - LEVERAGE) / DEGREE_PER_G
    assert told["roll gradient"].text.replace("\u00a0", " ") == (
        f"The body leans by {lean:.1f} °/g, {0.3 * lean:.1f}° at 0.30 g: more than the 12.0 °/g that soft rigs with bars "
        "lean. Fit a bar, widen the spring base, or carry the load lower."
    )
    assert told["roll gradient on roads"].text.replace("\u00a0", " ") == (
        f"On roads it leans by {lean:.1f} °/g, more than 18.0 °/g: a swerve at speed can tip it. Do not drive it on roads like "
        "this. Fit a bar, widen the spring base, or carry the load lower."
    )


@pytest.mark.parametrize(("height", "state"), [(0.80, "holds"), (0.90, "close")])
def test_the_static_stability_factor_is_judged_by_the_classes_of_its_source(height, state):
    """The lowest mean of a class there is 1.12: full-size vans of model year 2003."""
    found = run(STEP, {**RIG, "sprung_center_height": height}, dict.fromkeys(STEP.inputs, 0.0))
    told = {finding.rule: finding for finding in found.findings}["static stability factor"]
    assert (found.values["static_stability_factor"] >= 1.12) == (state == "holds")
    assert (told.state, told.limit) == (state, 1.12)


def test_what_a_turn_moves_from_tire_to_tire_balances_the_moment_about_the_ground():
    """Every force times its height, and the sprung weight times how far it has moved out: nothing else turns the rig over."""
    found = roll(**RIG, lateral_acceleration=2.5)
    moved = found.front_load_transfer * 1.64 + found.rear_load_transfer * 1.66
    whole = 2.5 * (1900 * 0.95 + 640 * 0.44)
    assert moved == pytest.approx(whole + 1900 * GRAVITY * LEVER * found.lean_in_turn)
    # A rig that does not lean: m a h / t, to the last newton.
    stiff = {**RIG, **dict.fromkeys(("track_front", "track_rear"), 1.6)}
    stiff |= dict.fromkeys(("front_coil_over_roll_stiffness", "rear_coil_over_roll_stiffness"), 1e13)
    stiff |= dict.fromkeys(("front_tire_rate", "rear_tire_rate"), 1e13)
    rigid = roll(**stiff, lateral_acceleration=2.5)
    assert rigid.front_load_transfer + rigid.rear_load_transfer == pytest.approx(whole / 1.6, rel=1e-6)


def test_a_turn_that_lifts_an_inner_tire_is_told():
    calm, brisk = (run(STEP, {**RIG, "lateral_acceleration": part * GRAVITY}) for part in (0.3, 0.9))
    states = [
        next(finding.state for finding in done.findings if finding.rule == "inner tires stay down")
        for done in (calm, brisk)
    ]
    assert states == ["holds", "close"]
    # The rear is the lighter one, and loses its inner tire.
    assert 2 * brisk.values["rear_load_transfer"] > 1200 * GRAVITY
    assert 2 * calm.values["rear_load_transfer"] < 1200 * GRAVITY


def test_an_axle_that_cannot_hold_alone_gives_no_warning():
    """The front carries nearly all the lean and loses its tire; the rear alone is less than the leverage."""
    inputs = {**RIG, "front_coil_over_roll_stiffness": 30e3, "rear_coil_over_roll_stiffness": 2e3}
    found = roll(**inputs)
    assert found.side_slope_both_tires == found.side_slope_first_tire
    told = {finding.rule: finding for finding in run(STEP, inputs).findings}
    assert told["an axle can hold the body alone"].state == "close"
    assert told["both axles take part"].state == "close"
    assert told["an axle can hold the body alone"].text.endswith("It is for comparing setups, never a safe angle.")


def test_arrays_equal_single_values():
    stiffness = np.array([14e3, 40e3])
    dampers = {"front_damping_coefficient": 3e3, "rear_damping_coefficient": 3e3}
    inputs = {**RIG, **dampers, "front_roll_arm": 0.46, "rear_roll_arm": 0.43, "rear_coil_over_roll_stiffness": 3e3}
    found = roll(**{**inputs, "front_coil_over_roll_stiffness": stiffness})
    for index in (0, 1):
        alone = roll(**{**inputs, "front_coil_over_roll_stiffness": stiffness[index]})
        for name in STEP.results:
            assert np.broadcast_to(getattr(found, name), 2)[index] == pytest.approx(getattr(alone, name), rel=1e-12)


def test_a_rig_that_hardly_stands_still_has_its_chart():
    enough = LEVERAGE * 1.0005 / 2
    both = {**RIG, "front_tire_rate": 2e6, "rear_tire_rate": 2e6}
    half = 1 / (1 / enough - 1 / (2e6 * 1.64**2 / 2))
    inputs = {**both, "front_coil_over_roll_stiffness": half, "rear_coil_over_roll_stiffness": half}
    from calc.quantity import METRIC, SHOP

    for display in (SHOP, METRIC):
        chart = STEP.chart(run(STEP, inputs).values, display)
        assert len(chart.panels[0].curves) == 2
