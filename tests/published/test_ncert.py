"""NCERT, Physics XI, problem 14.21, by a question bank's answer: secondary. It takes g = 10 m/s² and the undamped period."""

SOURCE = "ncert"


def test_Z04_damping_that_halves_the_swing_each_time(check):
    check("Z04")
