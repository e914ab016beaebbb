"""Side slopes against a linear solve of body and axles on tires, and the gradient against a rolling body."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.ride.roll import roll

GRAVITY = 9.80665


def squash(slope, rig, on_both):
    """How far the uphill tires are pressed in: axles in `on_both` stand on both tires, others on the downhill one.

    Unknowns: lean of the body, then height and lean of each axle. Nothing of this is in the step.
    """
    matrix, wanted = np.zeros((5, 5)), np.zeros(5)
    matrix[0, 0] = rig["leverage"] * math.cos(slope)
    wanted[0] = -rig["leverage"] * math.sin(slope)
    for axle in (0, 1):
        height, lean = 1 + 2 * axle, 2 + 2 * axle
        tire, track, springs, weight = (rig[name][axle] for name in ("tire", "track", "springs", "weight"))
        matrix[0, 0] -= springs
        matrix[0, lean] += springs
        for side in (1, -1) if axle in on_both else (1,):
            matrix[height, height] -= tire
            matrix[height, lean] += tire * side * track / 2
            matrix[lean, height] -= tire * side * track / 2
            matrix[lean, lean] += tire * track**2 / 4
        wanted[height] = weight * math.cos(slope)
        matrix[lean, lean] += springs
        matrix[lean, 0] -= springs
        wanted[lean] = rig["pushed"][axle] * math.sin(slope) + weight * rig["aside"] * math.cos(slope)
    found = np.linalg.solve(matrix, wanted)
    return [-found[1 + 2 * axle] - rig["track"][axle] / 2 * found[2 + 2 * axle] for axle in (0, 1)]


@given(
    st.floats(500, 2000),
    st.floats(500, 2000),
    st.floats(0.75, 1.3),
    st.floats(0.2, 0.7),
    st.floats(0.2, 0.7),
    st.floats(8e3, 8e4),
    st.floats(8e3, 8e4),
    st.floats(1.3, 2.0),
    st.floats(1.3, 2.0),
    st.floats(0.0, 0.15),
)
def test_slopes_are_those_of_body_and_axles_on_tires(
    front_mass,
    rear_mass,
    height,
    front_center,
    rear_center,
    front_springs,
    rear_springs,
    front_track,
    rear_track,
    aside,
):
    masses, own, centers, tracks = (
        (front_mass, rear_mass),
        (330.0, 290.0),
        (front_center, rear_center),
        (front_track, rear_track),
    )
    lever = height - (front_mass * front_center + rear_mass * rear_center) / (front_mass + rear_mass)
    rig = {
        "leverage": (front_mass + rear_mass) * GRAVITY * lever,
        "tire": (260e3, 240e3),
        "track": tracks,
        "springs": (front_springs, rear_springs),
        "weight": [(masses[axle] + own[axle]) * GRAVITY for axle in (0, 1)],
        "pushed": [(masses[axle] * centers[axle] + own[axle] * 0.44) * GRAVITY for axle in (0, 1)],
        "aside": aside,
    }
    stiffness = [1 / (1 / rig["springs"][axle] + 2 / (rig["tire"][axle] * tracks[axle] ** 2)) for axle in (0, 1)]
    assume(lever > 0.05)
    assume(sum(stiffness) > 1.2 * rig["leverage"])
    found = roll(
        front_sprung_mass=front_mass,
        rear_sprung_mass=rear_mass,
        front_unsprung_mass=330.0,
        rear_unsprung_mass=290.0,
        sprung_center_height=height,
        front_roll_center_height=front_center,
        rear_roll_center_height=rear_center,
        front_coil_over_roll_stiffness=front_springs,
        rear_coil_over_roll_stiffness=rear_springs,
        front_tire_rate=260e3,
        rear_tire_rate=240e3,
        track_front=front_track,
        track_rear=rear_track,
        front_tire_radius=0.44,
        rear_tire_radius=0.44,
        center_left_of_center=aside,
    )
    leaves = [brentq(lambda slope, one=axle: squash(slope, rig, (0, 1))[one], 0.0, 1.57, xtol=1e-14) for axle in (0, 1)]
    first = min(leaves)
    assert found.side_slope_first_tire == pytest.approx(first, abs=1e-9)
    last = 1 if leaves[0] <= leaves[1] else 0
    alone = stiffness[last] - rig["leverage"] * math.cos(first)
    assume(abs(alone) > 1e-3 * stiffness[last])  # on the very edge of holding alone, rounding decides
    if alone < 0:
        assert found.side_slope_both_tires == found.side_slope_first_tire
    else:
        both = brentq(lambda slope: squash(slope, rig, (last,))[last], first, 1.57, xtol=1e-14)
        assert found.side_slope_both_tires == pytest.approx(both, abs=1e-9)
    assert found.side_slope_first_tire <= found.side_slope_both_tires <= found.side_slope_rigid + 1e-9


@given(
    st.floats(500, 2000),
    st.floats(500, 2000),
    st.floats(0.8, 1.2),
    st.floats(0.2, 0.6),
    st.floats(0.2, 0.6),
    st.floats(3e4, 9e4),
    st.floats(3e4, 9e4),
    st.floats(0.5, 5.0),
)
def test_load_transfers_are_those_of_links_springs_and_tires_solved_together(
    front_mass, rear_mass, height, front_center, rear_center, front_springs, rear_springs, sideways
):
    """Body and axles with the side forces of links and tires as unknowns: ten equations, none of the step's.

    Unknowns: lean of the body, lean of each axle, side force of each axle's links, its side force on the ground, its load
    transfer, and the moment of its springs. The tires are as good as rigid, so an axle stays level.
    """
    masses, own, radius = (front_mass, rear_mass), (330.0, 290.0), 0.44
    centers, springs, tracks = (front_center, rear_center), (front_springs, rear_springs), (1.6, 1.7)
    tire = 1e13
    axis = sum(mass * center for mass, center in zip(masses, centers, strict=True)) / sum(masses)
    assume(height - axis > 0.05)
    assume(sum(springs) > 1.2 * sum(masses) * GRAVITY * (height - axis))
    matrix, wanted = np.zeros((11, 11)), np.zeros(11)
    # 0 lean; for each axle i: 1+5i lean of the axle, 2 links, 3 ground, 4 transfer, 5 springs' moment.
    for axle in (0, 1):
        lean, links, ground, transfer, moment = range(1 + 5 * axle, 6 + 5 * axle)
        # The springs' moment by how far the body turns over the axle.
        matrix[lean, [moment, 0, lean]] = 1.0, -springs[axle], springs[axle]
        # The body has no other yaw moment: each axle's links hold what its springs carry.
        matrix[links, links], wanted[links] = 1.0, masses[axle] * sideways
        # Sideways balance of the axle.
        matrix[ground, [ground, links]] = 1.0, -1.0
        wanted[ground] = own[axle] * sideways
        # Moments on the axle about the ground: links at the roll center, its own weight at its hubs, springs, tires.
        matrix[transfer, [transfer, links, moment]] = tracks[axle], -centers[axle], -1.0
        wanted[transfer] = own[axle] * radius * sideways
        # Its lean on its tires.
        matrix[moment, [lean, transfer]] = tire * tracks[axle] ** 2 / 2, -tracks[axle]
    # Moments on the body about the ground: its weight pushed out and leaning out, links and springs against it.
    matrix[0, [2, 7, 5, 10]] = centers[0], centers[1], 1.0, 1.0
    matrix[0, 0] = -sum(masses) * GRAVITY * (height - axis)
    wanted[0] = sum(masses) * sideways * height
    lean, *rest = np.linalg.solve(matrix, wanted)
    found = roll(
        front_sprung_mass=front_mass,
        rear_sprung_mass=rear_mass,
        front_unsprung_mass=own[0],
        rear_unsprung_mass=own[1],
        sprung_center_height=height,
        front_roll_center_height=front_center,
        rear_roll_center_height=rear_center,
        front_coil_over_roll_stiffness=front_springs,
        rear_coil_over_roll_stiffness=rear_springs,
        front_tire_rate=tire,
        rear_tire_rate=tire,
        track_front=tracks[0],
        track_rear=tracks[1],
        front_tire_radius=radius,
        rear_tire_radius=radius,
        lateral_acceleration=sideways,
    )
    assert found.lean_in_turn == pytest.approx(lean, rel=1e-6)
    assert [found.front_load_transfer, found.rear_load_transfer] == pytest.approx([rest[3], rest[8]], rel=1e-6)
    # On the ground: all that pushes sideways, and all moments about it.
    assert rest[2] + rest[7] == pytest.approx((sum(masses) + sum(own)) * sideways, rel=1e-9)


@given(st.floats(1.05, 3.0))
def test_more_height_leans_more_and_tips_earlier(more):
    rig = {
        "front_sprung_mass": 1000.0,
        "rear_sprung_mass": 900.0,
        "front_unsprung_mass": 340.0,
        "rear_unsprung_mass": 300.0,
        "front_roll_center_height": 0.53,
        "rear_roll_center_height": 0.60,
        "front_coil_over_roll_stiffness": 40e3,
        "rear_coil_over_roll_stiffness": 40e3,
        "front_tire_rate": 260e3,
        "rear_tire_rate": 250e3,
        "track_front": 1.64,
        "track_rear": 1.66,
        "front_tire_radius": 0.44,
        "rear_tire_radius": 0.44,
    }
    low, high = (roll(**rig, sprung_center_height=height) for height in (0.8, 0.8 * more**0.5))
    assert high.roll_gradient > low.roll_gradient
    assert high.roll_margin < low.roll_margin
    assert high.side_slope_both_tires < low.side_slope_both_tires


@given(
    st.floats(500, 5000),
    st.floats(500, 5000),
    st.floats(0.2, 0.8),
    st.floats(0.2, 0.8),
    st.floats(1.2e4, 8e4),
    st.floats(0.0, 2e4),
    st.floats(0.75, 1.1),
    st.floats(0.3, 0.5),
)
def test_the_damping_in_roll_is_that_of_the_damped_equation(
    front_coefficient, rear_coefficient, front_arm, rear_arm, springs, bar, height, gyration
):
    """I lean'' + C lean' + (K - W h) lean = 0: the share of critical damping from its own eigenvalues."""
    mass = 1000.0 + 900.0
    lever = height - (1000.0 * 0.53 + 900.0 * 0.6) / mass
    between = (1340.0 * 1.64 + 1200.0 * 1.66) / 2540.0
    inertia = mass * (gyration * between) ** 2
    stiffness = 2 * springs + bar - mass * GRAVITY * lever
    tire = 260e3 * 1.64**2 / 2
    stands = (springs + bar) * tire / (springs + bar + tire) + springs * 260e3 * 1.66**2 / (
        2 * springs + 260e3 * 1.66**2
    )
    assume(stands > 1.01 * mass * GRAVITY * lever)
    # Each damper's force works on its arm, two to an axle.
    damping = sum(
        side * coefficient * arm * side * arm
        for coefficient, arm in ((front_coefficient, front_arm), (rear_coefficient, rear_arm))
        for side in (1, -1)
    )
    roots = np.linalg.eigvals(np.array([[0.0, 1.0], [-stiffness / inertia, -damping / inertia]]))
    assert np.all(roots.real < 0)
    # The product of the two is the square of the undamped frequency, and their sum twice the damping of it.
    expected = -float(np.sum(roots).real) / 2 / math.sqrt(float(np.prod(roots).real))
    given_ = {
        "front_sprung_mass": 1000.0,
        "rear_sprung_mass": 900.0,
        "front_unsprung_mass": 340.0,
        "rear_unsprung_mass": 300.0,
        "sprung_center_height": height,
        "front_roll_center_height": 0.53,
        "rear_roll_center_height": 0.6,
        "front_coil_over_roll_stiffness": springs,
        "rear_coil_over_roll_stiffness": springs,
        "front_bar_roll_stiffness": bar,
        "front_tire_rate": 260e3,
        "rear_tire_rate": 260e3,
        "track_front": 1.64,
        "track_rear": 1.66,
        "front_tire_radius": 0.44,
        "rear_tire_radius": 0.44,
        "roll_gyration_share": gyration,
    }
    dampers = {
        "front_damping_coefficient": front_coefficient,
        "rear_damping_coefficient": rear_coefficient,
        "front_roll_arm": front_arm,
        "rear_roll_arm": rear_arm,
    }
    assert float(roll(**given_, **dampers).roll_damping_ratio) == pytest.approx(expected, rel=1e-8)
    for missing in dampers:
        rest = {name: value for name, value in dampers.items() if name != missing}
        assert roll(**given_, **rest).roll_damping_ratio is None
