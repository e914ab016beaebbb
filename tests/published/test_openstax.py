"""OpenStax, College Physics, examples 16.4 and 16.6: secondary, the inputs read and the printed answers from memory."""

SOURCE = "openstax"


def test_F08_frequency_period_and_speed_of_a_bouncing_car(check):
    check("F08")
