"""Barton and Fieldhouse, Automotive Chassis Engineering, Springer (2018), page 209: secondary, the ratio of its printed data."""

SOURCE = "barton_fieldhouse_2018"


def test_Q08_unsprung_over_sprung_mass(check):
    check("Q08")
