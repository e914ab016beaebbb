"""Gere, Mechanics of Materials, section 2.8, solution of problem 2.8-4: read."""

SOURCE = "gere"


def test_L01_a_weight_that_falls_on_a_spring(check):
    check("L01")
