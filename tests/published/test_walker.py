"""Walker, Physics: axle loads and the center of gravity; secondary, as another source quotes it."""

SOURCE = "walker"


def test_T07_center_of_gravity_from_two_scales(check):
    check("T07")
