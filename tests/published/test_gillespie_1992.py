"""Gillespie, Fundamentals of Vehicle Dynamics (1992), chapter 5: all from memory; F03 and H09 are identities."""

SOURCE = "gillespie_1992"


def test_H05_ride_rates_and_frequencies_of_example_1(check):
    """It prints 0.159 sqrt(K × 386 / W), which rounds both of its constants."""
    check("H05")


def test_F01_frequency_times_root_of_deflection_in_inches(check):
    check("F01")


def test_F02_the_same_law_in_millimeters(check):
    check("F02")


def test_F03_one_hertz_is_a_deflection_of_ten_inches(check):
    """Printed as 10 in; exact 9.78 in."""
    check("F03")


def test_H09_the_highest_comfortable_frequency_in_three_ways(check):
    check("H09")


def test_H06_bounce_and_pitch_of_example_2(check):
    """Its centers of motion hang on the last digit of nearly equal frequencies: they are not compared."""
    check("H06")
