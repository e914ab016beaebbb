"""Support loads: sums, mirror symmetry and virtual work for any axle."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calc.weight.support_load import support_load

G = 9.80665
axles = st.fixed_dictionaries(
    {
        "axle_left_mass": st.floats(300, 900),
        "axle_right_mass": st.floats(300, 900),
        "unsprung_mass": st.floats(0, 450),
        "unsprung_left_of_center": st.floats(-0.15, 0.15),
        "track": st.floats(1.3, 2.1),
        "mount_base": st.floats(0.7, 1.3),
        "mount_height": st.floats(0.2, 0.8),
        "roll_center_height": st.floats(0.2, 0.8),
        "lean": st.floats(0.0, math.radians(25)),
        "axle_kind": st.sampled_from(["solid", "independent"]),
    }
)


@given(axles)
def test_both_springs_carry_what_is_sprung(axle):
    found = support_load(**axle)
    sprung = (axle["axle_left_mass"] + axle["axle_right_mass"] - axle["unsprung_mass"]) * G
    assert found.support_load_left + found.support_load_right == pytest.approx(sprung, rel=1e-12)
    assert found.support_load_left - found.support_load_right == pytest.approx(
        found.support_load_difference, rel=1e-9, abs=1e-9
    )


@given(axles)
def test_a_mirrored_axle_swaps_its_loads(axle):
    found = support_load(**axle)
    mirror = support_load(
        **{
            **axle,
            "axle_left_mass": axle["axle_right_mass"],
            "axle_right_mass": axle["axle_left_mass"],
            "unsprung_left_of_center": -axle["unsprung_left_of_center"],
        }
    )
    assert mirror.support_load_left == pytest.approx(found.support_load_right, rel=1e-9, abs=1e-6)
    assert mirror.support_load_right == pytest.approx(found.support_load_left, rel=1e-9, abs=1e-6)


@given(axles)
def test_virtual_work_of_a_small_roll(axle):
    """Turn the axle by a small angle about its roll center, body held: tires, weight and coil-overs do no work in sum.

    The lengths of the coil-overs come from the turned mounts and a far frame end, not from any spring base.
    """
    assume(axle["axle_kind"] == "solid")
    lean, height, center = axle["lean"], axle["mount_height"], axle["roll_center_height"]
    half = axle["mount_base"] / 2
    found = support_load(**axle)
    length = 0.6

    def shortening(side, angle):
        eye = (side * half, height - center)
        top = (eye[0] - side * length * math.sin(lean), eye[1] + length * math.cos(lean))
        turned = (
            eye[0] * math.cos(angle) - eye[1] * math.sin(angle),
            eye[0] * math.sin(angle) + eye[1] * math.cos(angle),
        )
        return length - math.hypot(top[0] - turned[0], top[1] - turned[1])

    angle = 1e-6
    work = 0.0
    for side, load in ((1, found.support_load_left), (-1, found.support_load_right)):
        force = load / math.cos(lean)
        work -= force * (shortening(side, angle) - shortening(side, -angle)) / 2
    tires = (axle["axle_left_mass"] - axle["axle_right_mass"]) * axle["track"] / 2
    work += (tires - axle["unsprung_mass"] * axle["unsprung_left_of_center"]) * G * angle
    # Forces of some 5 kN: differences of lengths near 1 m keep 1e-16, so 1e-11 J is their rounding.
    assert work == pytest.approx(0.0, abs=2e-11 + 1e-5 * angle)
