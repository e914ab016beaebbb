"""Serway, College Physics and Physics for Scientists and Engineers, "helper springs": secondary, read in pages that quote it."""

SOURCE = "serway"


def test_D04_a_helper_spring_that_joins_after_half_a_meter(check):
    check("D04")
