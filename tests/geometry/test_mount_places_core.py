"""Motion ratio from mount coordinates: points turned by matrices, differences of the length, refusals and findings."""

import math

import numpy as np
import pytest

from calc.errors import ContradictionError
from calc.geometry.mount_places import STEP, mount_places
from calc.geometry.mount_points import mount_points
from calc.quantity import METRIC
from calc.step import run

FRONT = {
    "upper_mount_base": 0.726,
    "upper_mount_height": 1.044,
    "upper_mount_back": 0.12,
    "mount_base": 1.0,
    "mount_height": 0.4,
    "mount_back": -0.05,
}
PATHS = {
    "straight": {"axle_path": "straight"},
    "parallel": {"axle_path": "parallel", "path_pivot_ahead": -0.9, "path_pivot_above": 0.06},
    "turning ahead": {
        "axle_path": "turning",
        "path_pivot_ahead": 1.1,
        "path_pivot_above": 0.25,
        "tire_loaded_radius": 0.44,
    },
    "turning behind": {
        "axle_path": "turning",
        "path_pivot_ahead": -0.8,
        "path_pivot_above": -0.05,
        "tire_loaded_radius": 0.44,
    },
}


def eye_after(travel, path, mount_back, mount_height):
    """The axle's eye (back, up) once the wheel has gone up by this travel, the arms turned by bisection."""
    if path["axle_path"] == "straight":
        return np.array([mount_back, mount_height + travel])
    hub = np.array([path["path_pivot_ahead"], -path["path_pivot_above"]])

    def turn(angle):
        return np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])

    low, high = -0.5, 0.5
    rising = hub[0] > 0
    for _ in range(100):
        middle = (low + high) / 2
        if ((turn(middle) @ hub - hub)[1] < travel) == rising:
            low = middle
        else:
            high = middle
    if path["axle_path"] == "parallel":
        return np.array([mount_back, mount_height]) + turn(low) @ hub - hub
    pivot = np.array([-path["path_pivot_ahead"], path["tire_loaded_radius"] + path["path_pivot_above"]])
    return pivot + turn(low) @ (np.array([mount_back, mount_height]) - pivot)


def length_after(given, path, travel=0.0, roll=0.0, center=0.53):
    """Eye to eye after the axle has followed its path and turned about its roll center."""
    back, up = eye_after(travel, path, given["mount_back"], given["mount_height"])
    side, above = given["mount_base"] / 2, up - center
    across = side * math.cos(roll) - above * math.sin(roll)
    up = center + side * math.sin(roll) + above * math.cos(roll)
    top = (given["upper_mount_base"] / 2, given["upper_mount_height"], given["upper_mount_back"])
    return math.dist((across, up, back), top)


@pytest.mark.parametrize("name", PATHS)
def test_ratio_and_change_are_differences_of_the_length(name):
    """Central differences with 0.1 mm on 0.7 m: truncation near 1e-8, rounding of the second near 1e-7."""
    path, step = PATHS[name], 1e-4
    before, here, after = (length_after(FRONT, path, move) for move in (-step, 0.0, step))
    found = mount_places(**FRONT, **path)
    assert found.damper_length == pytest.approx(here, abs=1e-12)
    assert found.motion_ratio == pytest.approx((before - after) / (2 * step), abs=1e-7)
    assert found.motion_ratio_slope == pytest.approx(-(before - 2 * here + after) / step**2, abs=2e-6)


def test_every_path_gives_another_ratio():
    """So that the differences above have tested more than one path."""
    ratios = [float(mount_places(**FRONT, **path).motion_ratio) for path in PATHS.values()]
    assert np.diff(sorted(ratios)).min() > 1e-3


@pytest.mark.parametrize("name", PATHS)
@pytest.mark.parametrize("center", [0.3, 0.53])
def test_roll_is_differences_of_the_length_and_of_the_energy(name, center):
    """Moment = dE/d(angle) of two springs on a stiff line, differentiated once more."""
    path, step, rate, load = PATHS[name], 1e-4, 30e3, 5000.0
    found = mount_places(
        **FRONT, **path, track=1.64, roll_center_height=center, support_load_mean=load, axial_rate=rate
    )
    lengths = [length_after(FRONT, path, roll=turn, center=center) for turn in (-step, 0.0, step)]
    arm = (lengths[0] - lengths[2]) / (2 * step)
    assert found.articulation_ratio == pytest.approx(2 * arm / 1.64, abs=1e-7)
    assert found.spring_base == pytest.approx(2 * arm / found.motion_ratio, abs=1e-7)

    def energy(turn):
        return sum(
            found.axial_load * (lengths[1] - long) + rate * (lengths[1] - long) ** 2 / 2
            for long in (length_after(FRONT, path, roll=side * turn, center=center) for side in (-1, 1))
        )

    stiffness = (energy(step) - 2 * energy(0.0) + energy(-step)) / step**2
    assert found.coil_over_roll_stiffness == pytest.approx(stiffness, rel=2e-4)


def test_one_wheel_is_half_heave_and_half_articulation_in_the_lengths_too():
    """One wheel goes up by a little: the axle's middle by half, its angle by that over the track."""
    path, travel = PATHS["parallel"], 1e-5
    found = mount_places(**FRONT, **path, track=1.64, roll_center_height=0.53)
    rest = length_after(FRONT, path)
    own = length_after(FRONT, path, travel / 2, travel / 1.64)
    other = length_after(FRONT, path, travel / 2, -travel / 1.64)
    assert found.one_wheel_ratio == pytest.approx((rest - own) / travel, abs=1e-4)
    assert found.other_wheel_ratio == pytest.approx((rest - other) / travel, abs=1e-4)


def test_in_the_plane_it_is_the_leaning_coil_over():
    """The closed form of lean and length, and the base of the plain formula."""
    lean, length = math.radians(18), 0.79
    found = mount_places(
        upper_mount_base=1.02 - 2 * length * math.sin(lean),
        upper_mount_height=0.42 + length * math.cos(lean),
        upper_mount_back=0.1,
        mount_base=1.02,
        mount_height=0.42,
        mount_back=0.1,
        track=1.66,
        roll_center_height=0.6,
        support_load_mean=4000.0,
    )
    plain = mount_points(lean=lean, damper_length=length, support_load_mean=4000.0)
    for name in ("motion_ratio", "motion_ratio_inverse", "motion_ratio_slope", "axial_load", "geometric_rate"):
        assert getattr(found, name) == pytest.approx(getattr(plain, name), rel=1e-12), name
    assert found.lean == pytest.approx(lean)
    assert found.lean_back == 0.0
    assert found.spring_base == pytest.approx(1.02 - 2 * 0.18 * math.tan(lean), rel=1e-12)


def refusal(**changes):
    with pytest.raises(ContradictionError) as caught:
        mount_places(**{**FRONT, **changes})
    return caught.value.field, str(caught.value).replace("\u00a0", " ")


def test_a_frame_end_no_higher_than_the_axle_end_is_refused():
    assert mount_places(
        **{**FRONT, "upper_mount_back": 0.0, "mount_back": 0.0, "upper_mount_height": 0.4501}
    ).motion_ratio
    assert refusal(upper_mount_height=0.4499) == (
        "upper_mount_height",
        "The body end is 2.0 in above the axle end, as the two heights say. Allowed: 2.0 in or more; both heights count "
        "from the ground.",
    )


def test_places_that_give_no_motion_ratio_are_refused():
    """Flat along the vehicle: 0.06 m up over 0.6 m back make less than a tenth."""
    assert refusal(upper_mount_base=1.0, upper_mount_height=0.46, upper_mount_back=0.6) == (
        "upper_mount_height",
        "These coordinates give a motion ratio of 0.092, which no coil-over has. Allowed: from 0.100 to 2.000; check the signs "
        "of what lies behind and ahead.",
    )
    assert mount_places(**{**FRONT, "upper_mount_base": 1.0, "upper_mount_height": 0.47, "upper_mount_back": 0.6})


@pytest.mark.parametrize("left_out", ["path_pivot_ahead", "path_pivot_above"])
def test_an_arc_needs_its_pivot(left_out):
    assert refusal(**{**PATHS["parallel"], left_out: None}) == (
        left_out,
        "An axle that moves on an arc needs the position of its pivot. Allowed: both, how far it lies ahead and above; or a "
        "straight path.",
    )


def test_a_pivot_at_the_hubs_is_refused():
    assert mount_places(**FRONT, **{**PATHS["parallel"], "path_pivot_ahead": 0.15}).motion_ratio > 0
    assert refusal(**{**PATHS["parallel"], "path_pivot_ahead": -0.1}) == (
        "path_pivot_ahead",
        "The pivot lies −3.9 in ahead of the hubs, too near for an arc that the axle could follow. Allowed: 5.9 in or more, "
        "ahead or (negative) behind.",
    )


def test_an_axle_that_turns_needs_its_radius():
    assert refusal(**{**PATHS["turning ahead"], "tire_loaded_radius": None}) == (
        "tire_loaded_radius",
        "An axle that turns with its arms needs the height of its hubs. Allowed: the loaded radius of its tires; or another "
        "path.",
    )


def test_lines_that_cross_at_the_roll_center_are_refused():
    assert refusal(track=1.6, roll_center_height=2.0, upper_mount_base=0.4) == (
        "roll_center_height",
        "The lines of the two coil-overs come within −19.3 in of each other at the height of the roll center. Allowed: a "
        "base of 2.0 in or more there. Check the coordinates and the roll center.",
    )


def test_what_needs_more_is_none_without_it():
    found = mount_places(**FRONT)
    assert found.articulation_ratio is found.spring_base is found.axial_load is found.coil_over_roll_stiffness is None
    texts = [finding.text for finding in run(STEP, FRONT).findings if finding.state == "not checked"]
    assert texts == [
        "What the changing motion ratio does to the wheel rate: needs support load, mean of both sides.",
        "What the coil-over does in articulation: needs roll-center height and track.",
        "Roll stiffness of the coil-overs: needs rate along the coil-over and roll-center height and support load, "
        "mean of both sides.",
    ]


def test_arrays_give_what_single_values_give():
    heights = np.array([1.044, 0.95])
    found = mount_places(
        **{**FRONT, **PATHS["turning ahead"], "upper_mount_height": heights}, track=1.6, roll_center_height=0.5
    )
    for index in (0, 1):
        alone = mount_places(
            **{**FRONT, **PATHS["turning ahead"], "upper_mount_height": float(heights[index])},
            track=1.6,
            roll_center_height=0.5,
        )
        for name in ("motion_ratio", "motion_ratio_slope", "spring_base", "one_wheel_ratio"):
            assert getattr(found, name)[index] == pytest.approx(getattr(alone, name), rel=1e-13)


@pytest.mark.parametrize("name", PATHS)
def test_the_chart_goes_through_the_travel_exactly(name):
    """Its ends against differences of the length there."""
    outcome = run(STEP, {**FRONT, **PATHS[name]})
    points = STEP.chart(outcome.values, METRIC).panels[0].curves[0].points
    for travel, ratio in (points[0], points[-1]):
        travel, step = travel / 1000, 1e-4
        differences = length_after(FRONT, PATHS[name], travel - step) - length_after(FRONT, PATHS[name], travel + step)
        assert ratio == pytest.approx(differences / (2 * step), abs=1e-7)


def test_wheel_rate_of_a_leaning_spring_by_virtual_work():
    """An identity, no printed answer: 35 N/mm from (0, 500) to (150, 0) mm under 4000 N make 31.4774 N/mm upright."""
    found = mount_places(
        upper_mount_base=0.5,
        upper_mount_height=0.9,
        upper_mount_back=0.0,
        mount_base=0.8,
        mount_height=0.4,
        mount_back=0.0,
    )
    rate = 35e3 * found.motion_ratio**2 + 4000.0 * found.motion_ratio_slope
    assert rate / 1e3 == pytest.approx(31.4774, abs=5e-5)
