"""Hibbeler, Statics, chapter 9: a car weighed level and with its rear axle raised; from memory."""

SOURCE = "hibbeler"


def test_T09_center_of_gravity_along_and_up(check):
    check("T09")
