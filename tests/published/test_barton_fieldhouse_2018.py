"""Barton and Fieldhouse, Automotive Chassis Engineering, Springer (2018).

Pages 174 and 209 read; the ratio Q08 is an identity: made of its printed data.
"""

SOURCE = "barton_fieldhouse_2018"


def test_Q01_both_natural_frequencies_of_a_corner(check):
    """Its polynomial prints 4786 where the data give 4782.9; the frequencies round the same."""
    check("Q01")


def test_Q08_unsprung_over_sprung_mass(check):
    check("Q08")


def test_T01_roll_gradient_with_gravity(check):
    """It takes g as 9.81 m/s²; the difference is far below its last digit."""
    check("T01")
