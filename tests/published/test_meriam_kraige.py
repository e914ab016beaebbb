"""Meriam and Kraige, Dynamics, sample problem 8/2: secondary; the five-digit print is from memory."""

SOURCE = "meriam_kraige"


def test_Z06_position_after_two_seconds(check):
    check("Z06")
