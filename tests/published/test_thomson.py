"""Thomson, Theory of Vibration with Applications.

Example 5.3-2 read on the printed pages; example 2.7-1 (Z02) and the row H02 from memory.
"""

SOURCE = "thomson"


def test_Z02_critical_damping_and_decrement(check):
    """In the book's own gravity of 386 in/s²."""
    check("Z02")


def test_H01_frequencies_of_a_body_on_two_springs(check):
    """The book prints 9.06 rad/s for the faster one, which is 9.0515."""
    check("H01")


def test_H02_cycles_per_second_and_centers_of_motion(check):
    check("H02")
