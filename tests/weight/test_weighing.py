"""Weighing: the center of gravity that was assumed is found again from the pads it gives."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.weight.weighing import weighing


def pads_of(mass, behind, left, wheelbase, track_front, track_rear, twist):
    """Solve the four pads: total, two moments, and the diagonal that only the springs decide."""
    equations = np.array(
        [
            [1.0, 1.0, 1.0, 1.0],
            [0.0, 0.0, wheelbase, wheelbase],
            [track_front / 2, -track_front / 2, track_rear / 2, -track_rear / 2],
            [-1.0, 1.0, 1.0, -1.0],
        ]
    )
    return np.linalg.solve(equations, [mass, mass * behind, mass * left, twist])


@given(
    mass=st.floats(1500, 4000),
    where=st.floats(0.35, 0.65),
    left=st.floats(-0.06, 0.06),
    wheelbase=st.floats(2.2, 4.0),
    track_front=st.floats(1.3, 2.0),
    track_rear=st.floats(1.3, 2.0),
    twist=st.floats(-100, 100),
)
def test_round_trip(mass, where, left, wheelbase, track_front, track_rear, twist):
    pads = pads_of(mass, where * wheelbase, left, wheelbase, track_front, track_rear, twist)
    found = weighing(
        left_front_mass=float(pads[0]),
        right_front_mass=float(pads[1]),
        left_rear_mass=float(pads[2]),
        right_rear_mass=float(pads[3]),
        wheelbase=wheelbase,
        track_front=track_front,
        track_rear=track_rear,
    )
    assert found.total_mass == pytest.approx(mass, rel=1e-12)
    assert found.center_behind_front_axle == pytest.approx(where * wheelbase, rel=1e-9)
    # A solve of four equations: 1e-9 m leaves room for its condition and no more.
    assert found.center_left_of_center == pytest.approx(left, abs=1e-9)
    # The diagonal changes nothing but its own share.
    assert found.cross_share == pytest.approx(0.5 + twist / (2 * mass), rel=1e-9)


@given(st.lists(st.floats(100, 1500), min_size=4, max_size=4))
def test_mirrored_readings_mirror_the_answer(pads):
    geometry = {"wheelbase": 2.85, "track_front": 1.64, "track_rear": 1.66}
    names = ("left_front_mass", "right_front_mass", "left_rear_mass", "right_rear_mass")
    found = weighing(**dict(zip(names, pads, strict=True)), **geometry)
    mirror = weighing(**dict(zip(names, [pads[1], pads[0], pads[3], pads[2]], strict=True)), **geometry)
    assert mirror.center_left_of_center == pytest.approx(-found.center_left_of_center, abs=1e-12)
    assert mirror.left_share == pytest.approx(1 - found.left_share)
    assert mirror.cross_share == pytest.approx(1 - found.cross_share)
    assert mirror.center_behind_front_axle == pytest.approx(found.center_behind_front_axle)
