"""Bhandari, Design of Machine Elements, chapter 10: secondary, output of the book's computed companion, not its pages."""

SOURCE = "bhandari"


def test_S10_wire_coils_and_free_length(check):
    check("S10")


def test_S12_active_coils_for_an_energy(check):
    check("S12")


def test_D01_two_nested_springs_one_of_them_shorter(check):
    check("D01")
