"""Cengel and Boles, thermodynamics, solutions, problem 4-24: read."""

SOURCE = "cengel_boles"


def test_G04_volumes_and_work_of_an_isothermal_leg(check):
    check("G04")
