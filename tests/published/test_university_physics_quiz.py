"""A university physics quiz on a loaded car: secondary."""

SOURCE = "university_physics_quiz"


def test_F06_period_of_a_car_that_sank_under_its_passengers(check):
    check("F06")
