"""Wahl's stress correction factor, tabulated in most handbooks: from memory."""

SOURCE = "wahl"


def test_S17_wahl_factor(check):
    check("S17")
