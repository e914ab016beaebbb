"""Halliday, Resnick and Walker, physics, chapter 15, problem 6: read."""

SOURCE = "halliday_resnick_walker"


def test_F04_rate_of_one_of_four_springs_for_three_hertz(check):
    check("F04")
