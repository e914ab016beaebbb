"""Height by a raised axle: what must hold for every vehicle, and equilibrium solved by numpy."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.weight.raised_axle import Lift, raised_axle

masses = st.floats(500.0, 3000.0)
bases = st.floats(2.0, 4.5)
radii = st.floats(0.3, 0.6)
angles = st.floats(math.radians(2), math.radians(30))


def readings(front, rear, wheelbase, front_radius, rear_radius, height, angle):
    """Vertical forces on the two hubs of a body turned nose down, by numpy's solver: two equations of equilibrium."""
    total = front + rear
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    hubs = [turn @ [0.0, front_radius], turn @ [-wheelbase, rear_radius]]
    center = turn @ [-wheelbase * rear / total, height]
    return np.linalg.solve([[1.0, 1.0], [hubs[0][0], hubs[1][0]]], [total, total * center[0]])


@given(masses, masses, bases, radii, radii, st.floats(0.05, 1.0), angles)
def test_round_trip_through_the_equilibrium_of_the_raised_body(front, rear, base, r_front, r_rear, above, angle):
    height = max(r_front, r_rear) + above
    on_front, _ = readings(front, rear, base, r_front, r_rear, height, angle)
    if not front < on_front < front + rear:
        return
    found = raised_axle(
        front_axle_mass=front,
        rear_axle_mass=rear,
        wheelbase=base,
        front_tire_radius=r_front,
        rear_tire_radius=r_rear,
        lifts=(Lift(frame_angle=angle, reading=float(on_front)),),
    )
    assert found.center_of_gravity_height == pytest.approx(height, rel=1e-8)


@given(masses, masses, bases, radii, angles, st.floats(1.0, 200.0), st.floats(1.0, 100.0))
def test_more_load_gained_is_a_higher_center(front, rear, base, radius, angle, gained, more):
    heights = [
        raised_axle(
            front_axle_mass=front,
            rear_axle_mass=rear,
            wheelbase=base,
            front_tire_radius=radius,
            rear_tire_radius=radius,
            lifts=(Lift(frame_angle=angle, reading=front + each),),
        ).center_of_gravity_height
        for each in (gained, gained + more)
    ]
    assert radius < heights[0] < heights[1]


@given(masses, masses, bases, radii, radii, st.floats(5.0, 200.0), angles)
def test_ends_may_be_swapped(front, rear, base, r_front, r_rear, gained, angle):
    """The same vehicle turned around: what was front is rear."""
    one = raised_axle(
        front_axle_mass=front,
        rear_axle_mass=rear,
        wheelbase=base,
        front_tire_radius=r_front,
        rear_tire_radius=r_rear,
        axle_raised="rear",
        lifts=(Lift(frame_angle=angle, reading=front + gained),),
    )
    other = raised_axle(
        front_axle_mass=rear,
        rear_axle_mass=front,
        wheelbase=base,
        front_tire_radius=r_rear,
        rear_tire_radius=r_front,
        axle_raised="front",
        lifts=(Lift(frame_angle=angle, reading=front + gained),),
    )
    assert one.center_of_gravity_height == pytest.approx(other.center_of_gravity_height, rel=1e-12)
