"""Wahl's stress factor, tabulated in most handbooks; from memory."""

from calc.spring.coil import coil

SOURCE = "wahl"


def test_S17_wahl_factor(check):
    row = check("S17")
    for index in (6, 8, 10):
        found = coil(wire_diameter=0.01, mean_coil_diameter=index * 0.01, total_coils=10.0)
        row.agrees(f"at index {index}", found.wahl_factor)
