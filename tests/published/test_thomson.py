"""Thomson, Theory of Vibration with Applications, example 2.7-1: read on the printed page; the ratio 1.54 from memory."""

SOURCE = "thomson"


def test_Z02_critical_damping_and_decrement(check):
    """In the book's own gravity of 386 in/s²."""
    check("Z02")
