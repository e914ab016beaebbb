"""A coil-over on an arm: points turned about the pivot, differences of the length, refusals and findings."""

import math

import numpy as np
import pytest

from calc.errors import ContradictionError
from calc.geometry.lever_arm import STEP, lever_arm
from calc.quantity import METRIC
from calc.step import run

ARM = {
    "arm_length": 0.46,
    "arm_angle": math.radians(-6),
    "mount_distance": 0.3,
    "mount_angle": math.radians(5),
    "coil_over_angle": math.radians(18),
    "side_lean": math.radians(8),
    "damper_length": 0.5,
}


def length_at(travel, given):
    """Eye to eye after the hub has gone up by this travel about the pivot, in three dimensions."""

    def eye(angle):
        return given["mount_distance"] * np.array([math.cos(angle), math.sin(angle), 0.0])

    start = given["arm_angle"] + given["mount_angle"]
    line = [
        -math.sin(given["coil_over_angle"]) * math.cos(given["side_lean"]),
        math.cos(given["coil_over_angle"]) * math.cos(given["side_lean"]),
        math.sin(given["side_lean"]),
    ]
    top = eye(start) + given["damper_length"] * np.array(line)
    turned = math.asin(math.sin(given["arm_angle"]) + travel / given["arm_length"]) - given["arm_angle"]
    return math.dist(eye(start + turned), top)


@pytest.mark.parametrize("arm", [-25, -6, 0, 15])
@pytest.mark.parametrize("lean", [-20, 0, 18])
@pytest.mark.parametrize(("offset", "side"), [(0, 0), (5, 8), (-10, 25)])
def test_ratio_and_change_are_differences_of_the_length(arm, lean, offset, side):
    """Central differences with 0.1 mm on 0.5 m: truncation near 1e-7, rounding of the second near 1e-7."""
    angles = {"arm_angle": arm, "coil_over_angle": lean, "mount_angle": offset, "side_lean": side}
    given = {**ARM, **{name: math.radians(value) for name, value in angles.items()}}
    before, here, after = (length_at(travel, given) for travel in (-1e-4, 0.0, 1e-4))
    found = lever_arm(**given)
    assert found.motion_ratio == pytest.approx((before - after) / 2e-4, abs=1e-6)
    assert found.motion_ratio_slope == pytest.approx(-(before - 2 * here + after) / 1e-8, abs=5e-6)


def test_square_to_a_level_arm_it_is_one_length_over_the_other():
    level = {"arm_angle": 0.0, "mount_angle": 0.0, "coil_over_angle": 0.0, "side_lean": 0.0}
    found = lever_arm(**{**ARM, **level}, support_load_mean=4000.0, axial_rate=70e3)
    assert found.motion_ratio == pytest.approx(0.3 / 0.46, rel=1e-12)
    assert found.motion_ratio_slope == pytest.approx(0.0, abs=1e-12)
    assert found.meeting_angle == pytest.approx(math.pi / 2)
    assert found.wheel_rate == pytest.approx(70e3 * (0.3 / 0.46) ** 2, rel=1e-12)


def test_the_wheel_rate_is_the_slope_of_the_load_at_the_wheel():
    """Load = axial force times -dL/dz, its force growing by the rate; differentiated numerically."""
    rate, load = 70e3, 4000.0
    found = lever_arm(**ARM, support_load_mean=load, axial_rate=rate)

    def upward(travel):
        ratio = (length_at(travel - 1e-5, ARM) - length_at(travel + 1e-5, ARM)) / 2e-5
        return (found.axial_load + rate * (length_at(0.0, ARM) - length_at(travel, ARM))) * ratio

    assert upward(0.0) == pytest.approx(load, rel=1e-6)
    assert found.wheel_rate == pytest.approx((upward(1e-3) - upward(-1e-3)) / 2e-3, rel=1e-4)


def refusal(**changes):
    with pytest.raises(ContradictionError) as caught:
        lever_arm(**{**ARM, **changes})
    return caught.value.field, str(caught.value).replace("\u00a0", " ")


def test_a_ratio_that_no_coil_over_has_is_refused():
    level = {"arm_angle": 0.0, "mount_angle": 0.0, "coil_over_angle": 0.0, "side_lean": 0.0}
    assert lever_arm(**{**ARM, **level, "mount_distance": 0.0461}).motion_ratio > 0.1
    assert refusal(**level, mount_distance=0.0414) == (
        "mount_distance",
        "These lengths and angles give a motion ratio of 0.090, which no coil-over has. Allowed: from 0.100 to 2.000; check "
        "the two lengths and the signs of the angles.",
    )
    assert refusal(**level, mount_distance=0.966)[1].startswith(
        "These lengths and angles give a motion ratio of 2.100,"
    )


def told(rule, **changes):
    outcome = run(STEP, {**ARM, **changes})
    found = next(finding for finding in outcome.findings if finding.rule == rule)
    return found.state


def test_findings():
    assert told("the coil-over is near square to the arm") == "holds"
    assert told("the coil-over is near square to the arm", coil_over_angle=math.radians(50)) == "close"
    assert told("the ratio is one of an arm", mount_distance=0.15) == "close"
    assert told("the ratio does not fall in bump", coil_over_angle=math.radians(-20)) == "close"
    assert told("change of the motion ratio") == "not checked"


def test_the_chart_goes_through_the_travel_exactly():
    points = STEP.chart(run(STEP, ARM).values, METRIC).panels[0].curves[0].points
    for travel, ratio in (points[0], points[-1]):
        before, after = (length_at(travel / 1000 + step, ARM) for step in (-1e-5, 1e-5))
        assert ratio == pytest.approx((before - after) / 2e-5, abs=1e-6)
