"""Budynas and Nisbett, Shigley's Mechanical Engineering Design, chapter 10, and its solutions.

W01, W03 and S01 to S06 were read in the solutions of the 10th and 11th edition.
S07 (8th edition, its inputs inferred), S14 to S16 (9th edition) and B02 are from memory. W08 is an identity of two of the tables.
"""

SOURCE = "shigley"


def test_W01_strength_of_music_wire(check):
    check("W01")


def test_W03_the_constant_in_other_units(check):
    check("W03")


def test_W08_these_constants_exceed_the_minimum_of_thick_wire(check):
    check("W08")


def test_S01_rate_of_a_plain_ground_spring(check):
    check("S01")


def test_S02_the_same_spring_to_solid_and_to_buckling(check):
    check("S02")


def test_S04_a_squared_spring_pressed_solid(check):
    check("S04")


def test_S06_wahl_against_bergstraesser(check):
    check("S06")


def test_S07_rate_buckling_and_deflection(check):
    check("S07")


def test_S14_a_squared_spring_of_music_wire(check):
    check("S14")


def test_S15_a_spring_designed_for_its_load(check):
    check("S15")


def test_S16_surge(check):
    check("S16")


def test_B02_factor_of_absolute_stability(check):
    check("B02")
