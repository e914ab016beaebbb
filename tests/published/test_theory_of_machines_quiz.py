"""A theory of machines multiple-choice question: secondary."""

SOURCE = "theory_of_machines_quiz"


def test_Z07_logarithmic_decrement_of_a_ratio(check):
    """The spring is made so that the printed 420 is critical."""
    check("Z07")
