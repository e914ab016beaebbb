"""An anti-roll bar against the energy of its parts, and against twist and bending followed along it by scipy."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from calc.ride.anti_roll_bar import anti_roll_bar

SHEAR, ELASTIC = 79e9, 207e9
bars = st.fixed_dictionaries(
    {
        "bar_diameter": st.floats(0.015, 0.04),
        "bar_length": st.floats(0.5, 1.2),
        "bar_arm": st.floats(0.15, 0.4),
        "bar_base": st.floats(0.6, 1.2),
    }
)


def moments(diameter):
    """Second moments of a solid round section: in twist and in bending."""
    return math.pi * diameter**4 / 32, math.pi * diameter**4 / 64


@settings(max_examples=25)
@given(bars, st.sampled_from(["bent", "plates"]))
def test_the_stiffness_is_that_of_the_energy_of_its_parts(bar, arms):
    """A force in each link, opposite ways: the work of both is the energy of the twist and of the two bent arms."""
    twisted, bent = moments(bar["bar_diameter"])
    force = 700.0
    energy = quad(lambda _: (force * bar["bar_arm"]) ** 2 / (2 * SHEAR * twisted), 0.0, bar["bar_length"])[0]
    if arms == "bent":
        energy += 2 * quad(lambda x: (force * x) ** 2 / (2 * ELASTIC * bent), 0.0, bar["bar_arm"])[0]
    moment = force * bar["bar_base"]
    angle = 2 * energy / moment
    found = anti_roll_bar(**bar, arm_kind=arms, bar_shear_modulus=SHEAR, bar_elastic_modulus=ELASTIC)
    assert found.bar_stiffness == pytest.approx(moment / angle, rel=1e-9)


def test_the_links_move_as_the_bar_and_its_arms_give_way_along_their_length():
    """Followed along the bar as a twisted rod and along an arm as a beam: link force and stress at full articulation."""
    bar = {"bar_diameter": 0.02, "bar_length": 0.9, "bar_arm": 0.28, "bar_base": 0.97}
    found = anti_roll_bar(
        **bar, articulation_angle=math.radians(12), bar_shear_modulus=SHEAR, bar_elastic_modulus=ELASTIC
    )
    twisted, bent = moments(0.02)
    torque = found.link_force * 0.28
    turned = solve_ivp(lambda _, __: [torque / (SHEAR * twisted)], (0.0, 0.9), [0.0], rtol=1e-10).y[0][-1]
    arm = solve_ivp(
        lambda x, y: [y[1], found.link_force * (0.28 - x) / (ELASTIC * bent)], (0.0, 0.28), [0.0, 0.0], rtol=1e-10
    )
    # Each end of the bar turns by half of the twist, and each link moves by that on its arm and by the arm's bending.
    moved = turned / 2 * 0.28 + arm.y[0][-1]
    assert 2 * moved / 0.97 == pytest.approx(math.radians(12), rel=1e-6)
    assert found.bar_shear_stress == pytest.approx(torque * 0.01 / twisted, rel=1e-12)


@settings(max_examples=25)
@given(bars, st.sampled_from(["bent", "plates"]), st.floats(2e3, 5e4))
def test_a_bar_of_the_needed_diameter_has_the_wanted_stiffness(bar, arms, wanted):
    found = anti_roll_bar(**bar, arm_kind=arms, wanted_bar_stiffness=wanted)
    again = anti_roll_bar(**{**bar, "bar_diameter": found.needed_bar_diameter}, arm_kind=arms)
    assert again.bar_stiffness == pytest.approx(wanted, rel=1e-9)
