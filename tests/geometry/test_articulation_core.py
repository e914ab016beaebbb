"""Articulation: points in the plane moved one after another, the ends found by halving, refusals and findings."""

import math
from dataclasses import fields

import pytest

from calc.errors import ContradictionError
from calc.geometry.articulation import STEP, articulation
from calc.quantity import METRIC
from calc.step import run

INCH = 0.0254
FRONT = {
    "lean": math.radians(12),
    "damper_length": 25.95 * INCH,
    "mount_base": 1.0,
    "mount_height": 0.4,
    "roll_center_height": 0.53,
    "track": 1.64,
    "ride_travel": 5.05 * INCH,
    "bump_limit": 11.5 * INCH,
    "strap_travel": 0.25 * INCH,
    "crossover_travel": 7.55 * INCH,
}
WAYS = ("heave", "one_wheel", "articulation")


def travel_at(way, wheel, given):
    """Damper travel from full extension, own wheel up by so much: the axle goes up, then turns about a point of the body."""
    left = {"heave": wheel, "one_wheel": wheel, "articulation": wheel}[way]
    right = {"heave": wheel, "one_wheel": 0.0, "articulation": -wheel}[way]
    middle, turn = (left + right) / 2, math.asin((left - right) / given["track"])
    center = given["roll_center_height"]
    side, above = given["mount_base"] / 2, given["mount_height"] - center
    top = (
        side - given["damper_length"] * math.sin(given["lean"]),
        center + above + given["damper_length"] * math.cos(given["lean"]),
    )
    eye = (
        side * math.cos(turn) - (above + middle) * math.sin(turn),
        center + side * math.sin(turn) + (above + middle) * math.cos(turn),
    )
    return given["damper_length"] + given["ride_travel"] - math.dist(eye, top)


@pytest.mark.parametrize("lean", [0.0, 12.0, 25.0])
@pytest.mark.parametrize("center", [0.3, 0.53])
@pytest.mark.parametrize("way", WAYS)
def test_put_at_its_ends_the_axle_gives_the_ends_of_the_damper(way, lean, center):
    given = {**FRONT, "lean": math.radians(lean), "roll_center_height": center}
    found = articulation(**given)
    assert travel_at(way, getattr(found, f"{way}_bump"), given) == pytest.approx(given["bump_limit"], abs=1e-10)
    assert travel_at(way, -getattr(found, f"{way}_droop"), given) == pytest.approx(given["strap_travel"], abs=1e-10)
    assert travel_at(way, getattr(found, f"{way}_crossover"), given) == pytest.approx(
        given["crossover_travel"], abs=1e-10
    )


@pytest.mark.parametrize(
    ("way", "name"),
    [("heave", "motion_ratio"), ("one_wheel", "one_wheel_ratio"), ("articulation", "articulation_ratio")],
)
def test_ratios_are_differences_at_ride(way, name):
    step = 1e-5
    differences = (travel_at(way, step, FRONT) - travel_at(way, -step, FRONT)) / (2 * step)
    assert getattr(articulation(**FRONT), name) == pytest.approx(differences, abs=1e-8)


def test_an_upright_coil_over_over_the_roll_center_is_geometry_by_head():
    """Eyes 0.5 m out at the height of the roll center: damper travel 0.1 m both wheels is 0.1 m."""
    found = articulation(
        lean=0.0,
        damper_length=0.7,
        mount_base=1.0,
        mount_height=0.5,
        roll_center_height=0.5,
        track=1.6,
        ride_travel=0.1,
        bump_limit=0.2,
    )
    assert found.heave_bump == pytest.approx(0.1, abs=1e-12)
    assert found.heave_droop == pytest.approx(0.1, abs=1e-12)
    assert found.motion_ratio == 1.0
    assert found.articulation_ratio == pytest.approx(1.0 / 1.6)
    assert found.heave_crossover is None


def test_the_lesser_side_ends_articulation():
    found = articulation(**FRONT)
    assert found.level_articulation == min(found.articulation_bump, found.articulation_droop)


def refusal(**changes):
    with pytest.raises(ContradictionError) as caught:
        articulation(**{**FRONT, **changes})
    return caught.value.field, str(caught.value).replace("\u00a0", " ")


def test_ride_outside_the_travel_is_refused():
    assert refusal(ride_travel=11.5 * INCH) == (
        "ride_travel",
        "Ride, 11.50 in from full extension, is at or beyond full bump, 11.50 in. Allowed: less than full bump.",
    )
    assert articulation(**{**FRONT, "ride_travel": 11.4 * INCH}).bump_left > 0
    assert refusal(strap_travel=5.1 * INCH) == (
        "strap_travel",
        "Full droop, 5.10 in from full extension, lies beyond ride, 5.05 in. Allowed: at most where the rig sits.",
    )
    assert articulation(**{**FRONT, "strap_travel": 5.05 * INCH}).heave_droop == pytest.approx(0.0, abs=1e-12)


def test_a_coil_over_that_would_lie_flat_is_refused():
    """12 in long at ride and leaning 50 degrees, 9.19 in across."""
    flat = {"lean": math.radians(50), "damper_length": 12 * INCH, "ride_travel": 2 * INCH}
    assert refusal(**flat, bump_limit=5 * INCH) == (
        "bump_limit",
        "At full bump the coil-over is 9.0 in long, and its eyes are 9.2 in apart across the vehicle: it would lie flat. "
        "Allowed: longer than that; check lean, length and full bump.",
    )
    assert articulation(**{**FRONT, **flat, "crossover_travel": None, "bump_limit": 4 * INCH}).heave_bump > 0


def test_coil_overs_that_meet_in_the_middle_are_refused():
    wide = {"lean": math.radians(50), "bump_limit": 9 * INCH}
    assert refusal(**wide, mount_base=1.0) == (
        "lean",
        "The upper eyes would be 0.2 in left of their own middle: the two coil-overs meet. Allowed: less lean, a shorter "
        "coil-over or a wider base.",
    )
    assert articulation(**{**FRONT, **wide, "mount_base": 1.2}).motion_ratio == pytest.approx(math.cos(wide["lean"]))


def test_an_axle_that_would_turn_too_far_is_refused():
    assert refusal(mount_base=0.35, lean=0.0) == (
        "mount_base",
        "In articulation the axle would turn by 45.0° and more before its coil-overs end. Allowed: a wider base between the "
        "lower mounts, or less travel.",
    )
    assert articulation(**{**FRONT, "mount_base": 0.6, "lean": 0.0}).articulation_bump > 0


def told(rule, **changes):
    outcome = run(STEP, {**FRONT, **changes})
    found = next(finding for finding in outcome.findings if finding.rule == rule)
    return found.state, found.text.replace("\u00a0", " ")


def test_findings_tell_which_side_ends_and_what_is_wanted():
    assert told("which side ends articulation")[0] == "holds"
    assert told("which side ends articulation", ride_travel=8 * INCH, crossover_travel=None)[0] == "close"
    assert told("articulation as wanted") == ("not checked", "Articulation as wanted: needs wanted in articulation.")
    assert told("articulation as wanted", wanted_articulation=12 * INCH)[0] == "fails"
    state, text = told("the crossover in articulation", crossover_travel=4 * INCH)
    assert (state, text[:52]) == ("close", "At ride the coil-over is already past its crossover,")


def test_the_chart_ends_where_the_coil_over_does():
    chart = STEP.chart(run(STEP, FRONT).values, METRIC)
    for curve in chart.panels[0].curves[:3]:
        assert curve.points[0][1] == pytest.approx(0.25 * 25.4, abs=1e-6)
        assert curve.points[-1][1] == pytest.approx(11.5 * 25.4, abs=1e-6)


def test_both_leans_tell_the_turning_whatever_the_ratio_in_heave() -> None:
    """Eyes 0.13 m apart across and 0.06 m along the rig: straight up they are as measured; else turning keeps to them."""
    inward, upright, back = 0.13, 0.62, 0.06
    long = math.hypot(inward, upright, back)
    own = {"lean": math.atan2(inward, upright), "damper_length": long, "mount_base": 1.0, "mount_height": 0.4}
    own |= {"roll_center_height": 0.53, "track": 1.64, "ride_travel": 0.12, "bump_limit": 0.29}
    own |= {"strap_travel": 0.01, "crossover_travel": 0.18}
    straight = {
        "measured_motion_ratio": upright / long,
        "measured_motion_ratio_slope": ((upright / long) ** 2 - 1) / long,
    }
    one = articulation(**own, **straight, ratio_by="measured")
    other = articulation(**own, **straight, ratio_by="places", lean_back=math.atan2(back, upright))
    for part in fields(one):
        assert getattr(other, part.name) == pytest.approx(getattr(one, part.name), rel=1e-9), part.name

    def apart(turned: float) -> float:
        cos, sin = math.cos(turned), math.sin(turned)
        lower = 0.5 * cos + 0.13 * sin, 0.5 * sin - 0.13 * cos
        return math.hypot(lower[0] - (0.5 - inward), upright - 0.13 - lower[1], back)

    arms = articulation(
        **own,
        ratio_by="places",
        measured_motion_ratio=1.09,
        measured_motion_ratio_slope=-0.15,
        lean_back=math.atan2(back, upright),
    )
    step = 1e-6
    assert arms.motion_ratio == 1.09
    assert arms.articulation_ratio == pytest.approx((apart(-step) - apart(step)) / step / 1.64, rel=1e-6)
    assert arms.articulation_bump == pytest.approx(one.articulation_bump, rel=1e-9)
    assert arms.heave_bump < one.heave_bump
    with pytest.raises(ContradictionError, match="fore and aft"):
        articulation(**own, **straight, ratio_by="places")
