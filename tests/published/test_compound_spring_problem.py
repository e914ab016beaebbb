"""A compound spring of the Ryder and Rajput type: inputs read, answer computed, so an identity."""

SOURCE = "compound_spring_problem"


def test_D05_inner_rate_and_inner_wire(check):
    check("D05")
