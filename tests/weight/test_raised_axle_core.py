"""Height by a raised axle: moments worked from coordinates, every refusal, and the findings."""

import math

import numpy as np
import pytest

from calc.errors import ContradictionError
from calc.step import run
from calc.weight.raised_axle import STEP, Lift, raised_axle

WREN = {
    "front_axle_mass": 1315.4,
    "rear_axle_mass": 1084.1,
    "wheelbase": 2.85,
    "front_tire_radius": 0.44,
    "rear_tire_radius": 0.44,
}


def down_reading(*, height, angle, raised, front, rear, wheelbase, front_radius, rear_radius):
    """What the axle that stays down reads: points turned by the angle, moments about its hub.

    Forward is x; the hubs stand at their loaded radii in the level stance, and the wheels take vertical forces only.
    """
    total = front + rear
    center = (-wheelbase * rear / total, height)
    hubs = {"front": (0.0, front_radius), "rear": (-wheelbase, rear_radius)}
    stays = "front" if raised == "rear" else "rear"
    turn = -angle if raised == "rear" else angle

    def along(point):
        x, z = point[0] - hubs[stays][0], point[1] - hubs[stays][1]
        return x * math.cos(turn) - z * math.sin(turn)

    on_raised = total * along(center) / along(hubs[raised])
    return total - on_raised


def lifted(raised, angles, height=0.814, front_radius=0.44, rear_radius=0.44, **changes):
    given = {**WREN, "front_tire_radius": front_radius, "rear_tire_radius": rear_radius, **changes}
    rows = tuple(
        Lift(
            frame_angle=angle,
            reading=down_reading(
                height=height,
                angle=angle,
                raised=raised,
                front=given["front_axle_mass"],
                rear=given["rear_axle_mass"],
                wheelbase=given["wheelbase"],
                front_radius=front_radius,
                rear_radius=rear_radius,
            ),
        )
        for angle in angles
    )
    return {**given, "axle_raised": raised, "lifts": rows}


@pytest.mark.parametrize("raised", ["front", "rear"])
@pytest.mark.parametrize(("front_radius", "rear_radius"), [(0.44, 0.44), (0.40, 0.47), (0.47, 0.40)])
@pytest.mark.parametrize("degrees", [(10,), (4, 9, 14), (3, 7, 7, 12, 20)])
def test_the_height_that_made_the_readings_comes_back(raised, front_radius, rear_radius, degrees):
    """Exact but for rounding, because the correction for unequal radii makes every lift lie on one line."""
    given = lifted(raised, [math.radians(each) for each in degrees], 0.9, front_radius, rear_radius)
    assert raised_axle(**given).center_of_gravity_height == pytest.approx(0.9, abs=1e-12)


def test_equal_radii_leave_no_miss():
    found = raised_axle(**lifted("rear", [0.1, 0.2, 0.3]))
    assert found.line_miss == pytest.approx(0.0, abs=1e-9)
    assert found.tire_radius_mean == pytest.approx(0.44, abs=1e-12)


def test_a_single_lift_is_the_classic_formula():
    """The height is r_m + dW L / (W tan theta), with r_m of the raised readings, written out."""
    given = lifted("rear", [math.radians(12)], 0.95, 0.42, 0.46)
    reading, total = given["lifts"][0].reading, 1315.4 + 1084.1
    mean = (0.42 * reading + 0.46 * (total - reading)) / total
    wanted = mean + (reading - 1315.4) * 2.85 / (total * math.tan(math.radians(12)))
    found = raised_axle(**given)
    assert found.center_of_gravity_height == pytest.approx(wanted, rel=1e-12)
    assert found.reading_raised == pytest.approx(reading, rel=1e-12)
    assert found.line_miss is None
    assert found.lift_count == 1.0


@pytest.mark.parametrize(("front_radius", "rear_radius"), [(0.44, 0.44), (0.40, 0.47)])
@pytest.mark.parametrize("raised", ["front", "rear"])
def test_the_rise_of_the_hubs_says_the_same_as_the_angle(raised, front_radius, rear_radius):
    """The raised hub turned about the other by 11 degrees; its height over the other, less that when level."""
    angle = math.radians(11)
    given = lifted(raised, [angle], 0.85, front_radius, rear_radius)
    down, up = (front_radius, rear_radius) if raised == "rear" else (rear_radius, front_radius)
    rise = 2.85 * math.sin(angle) + (up - down) * math.cos(angle) - (up - down)
    by_rise = raised_axle(**{**given, "lifts": (Lift(hub_rise=rise, reading=given["lifts"][0].reading),)})
    assert by_rise.largest_angle == pytest.approx(angle, abs=1e-12)
    assert by_rise.center_of_gravity_height == pytest.approx(0.85, abs=1e-12)


def test_several_lifts_make_the_least_squares_line():
    """The polyfit of numpy through the same points, the level one included."""
    tangents, readings = np.tan(np.radians([0, 4, 8, 12])), [1315.4, 1338.0, 1359.0, 1383.0]
    slope, constant = np.polyfit(tangents, readings, 1)
    lifts = tuple(
        Lift(frame_angle=math.radians(angle), reading=reading)
        for angle, reading in zip((4, 8, 12), readings[1:], strict=True)
    )
    found = raised_axle(**WREN, lifts=lifts)
    assert found.load_gain == pytest.approx(slope, rel=1e-10)
    assert found.line_miss == pytest.approx(np.abs(readings - constant - slope * tangents).max(), rel=1e-8)


def test_sensitivity_is_the_difference_quotient():
    angle, step = math.radians(10), 1e-6
    heights = [
        raised_axle(**WREN, lifts=(Lift(frame_angle=angle + sign * step, reading=1371.0),)).center_of_gravity_height
        for sign in (-1, 1)
    ]
    found = raised_axle(**WREN, lifts=(Lift(frame_angle=angle, reading=1371.0),))
    assert found.height_sensitivity == pytest.approx((heights[1] - heights[0]) / (2 * step), rel=1e-6)


def test_the_sprung_center_and_the_axles_balance_the_whole():
    found = raised_axle(**lifted("rear", [0.2]), front_unsprung_mass=342.5, rear_unsprung_mass=298.0)
    sprung = 2399.5 - 640.5
    assert sprung * found.sprung_center_height + 640.5 * 0.44 == pytest.approx(2399.5 * 0.814, rel=1e-9)
    assert raised_axle(**lifted("rear", [0.2]), front_unsprung_mass=342.5).sprung_center_height is None


def refusal(**changes):
    with pytest.raises(ContradictionError) as caught:
        raised_axle(**{**WREN, **changes})
    return caught.value.field, str(caught.value).replace("\u00a0", " ")


def test_a_lift_needs_one_way_of_telling_its_angle():
    assert refusal(lifts=(Lift(reading=1370.0),)) == (
        "lifts.0.frame_angle",
        "Lift 1 has neither an angle nor a rise of the hubs. Allowed: one of the two.",
    )
    assert refusal(lifts=(Lift(frame_angle=0.1, hub_rise=0.3, reading=1370.0),)) == (
        "lifts.0.frame_angle",
        "Lift 1 has both an angle and a rise of the hubs. Allowed: one of the two; empty the one that was read less "
        "well.",
    )


def test_an_axle_that_loses_load_is_refused():
    just_above = raised_axle(**WREN, lifts=(Lift(frame_angle=0.2, reading=1315.5),))
    assert just_above.center_of_gravity_height > 0.44
    assert refusal(lifts=(Lift(frame_angle=0.2, reading=1315.4),)) == (
        "lifts.0.reading",
        "Lift 1: the axle that stays down reads 2,900 lb, and level it reads 2,900 lb. Raising the other axle puts load "
        "on it. Allowed: above 2,900 lb; check which axle was raised, and that its wheels were free to roll.",
    )


def test_a_reading_of_the_whole_vehicle_is_refused():
    assert raised_axle(**WREN, lifts=(Lift(frame_angle=0.6, reading=2399.4),)).load_gain > 0
    assert refusal(lifts=(Lift(frame_angle=0.6, reading=2399.5),)) == (
        "lifts.0.reading",
        "Lift 1: the axle that stays down reads 5,290 lb, and the whole vehicle weighs 5,290 lb. Allowed: below 5,290 lb.",
    )


def test_hubs_that_rise_too_far_are_refused():
    """On 2.85 m the sine of 40 degrees makes 1.8319 m."""
    assert raised_axle(**WREN, lifts=(Lift(hub_rise=1.831, reading=1500.0),)).largest_angle < math.radians(40)
    assert refusal(lifts=(Lift(hub_rise=1.832, reading=1500.0),)) == (
        "lifts.0.hub_rise",
        "Lift 1: a rise of the hubs by 72.13 in on a wheelbase of 112.20 in tips the frame beyond 40.0°. Allowed: less; "
        "the angle of the frame must stay below 40.0°.",
    )


def test_axles_heavier_than_the_whole_are_refused():
    lifts = (Lift(frame_angle=0.2, reading=1370.0),)
    near = raised_axle(**WREN, lifts=lifts, front_unsprung_mass=1200.0, rear_unsprung_mass=1199.0)
    assert near.sprung_center_height is not None
    assert refusal(lifts=lifts, front_unsprung_mass=1200.0, rear_unsprung_mass=1199.5) == (
        "rear_unsprung_mass",
        "The axles together weigh 5,290 lb, and the whole vehicle weighs 5,290 lb. Allowed: less than 5,290 lb together.",
    )


def test_arrays_equal_single_values():
    lifts = (Lift(frame_angle=0.15, reading=1370.0), Lift(hub_rise=0.6, reading=1390.0))
    fronts = np.array([1315.4, 1300.0])
    found = raised_axle(**{**WREN, "front_axle_mass": fronts, "rear_tire_radius": np.array([0.44, 0.46])}, lifts=lifts)
    for index, radius in ((0, 0.44), (1, 0.46)):
        alone = raised_axle(
            **{**WREN, "front_axle_mass": float(fronts[index]), "rear_tire_radius": radius}, lifts=lifts
        )
        for name in ("center_of_gravity_height", "load_gain", "tire_radius_mean", "line_miss", "largest_angle"):
            assert getattr(found, name)[index] == pytest.approx(getattr(alone, name), rel=1e-13)


def told(rule, **changes):
    outcome = run(STEP, {**STEP.example_inputs(), **changes})
    found = next(finding for finding in outcome.findings if finding.rule == rule)
    return found.state, found.text.replace("\u00a0", " ")


def test_two_lifts_and_a_low_one_are_cautions():
    two = STEP.example_inputs()["lifts"][:2]
    assert told("lifts enough", lifts=two) == (
        "close",
        "2 of the 3 lifts that are wanted: with fewer, a wrong reading does not show.",
    )
    assert told("lifted far enough", lifts=two)[0] == "close"
    assert told("lifted far enough", lifts=two)[1].startswith("The highest lift is only 8.0°, less than 10.0°:")


def test_a_reading_off_the_line_is_told():
    """Its share in its own place on the line is 0.298, so 20 kg (44.1 lb) more leave 31 lb of miss."""
    lifts = [*STEP.example_inputs()["lifts"]]
    lifts[1] = Lift(frame_angle=lifts[1].frame_angle, reading=lifts[1].reading + 20.0)
    state, text = told("readings lie on a line", lifts=tuple(lifts))
    assert state == "close"
    assert text.startswith("One reading misses the straight line by 31 lb, more than 14 lb: a wheel that did")


def test_the_rating_of_the_axle_that_stays_down_is_held_against_it():
    assert told("rating of the axle that stays down", axle_rating=1300.0)[0] == "fails"
    assert told("rating of the axle that stays down", axle_rating=1500.0)[0] == "holds"
