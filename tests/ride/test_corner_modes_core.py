"""Two masses on two springs: limits, shapes, damping past critical, tramp. Numpy only."""

import math

import numpy as np
import pytest

from calc.ride.corner_modes import STEP, corner_modes
from calc.step import attempt, run

CORNER = {"sprung_mass_on_spring": 500.0, "unsprung_mass": 300.0, "wheel_rate": 28e3, "tire_rate": 260e3}
DAMPED = {**CORNER, "motion_ratio": 0.9, "damping_coefficient": 2500.0}


def test_a_motion_that_both_share_keeps_each_mass_in_balance():
    """Each mass, at the found frequency and shape: force from its springs is mass times acceleration."""
    found = corner_modes(**CORNER)
    for frequency, body, wheel in (
        (found.body_frequency, 1.0, found.wheel_in_body_mode),
        (found.hop_frequency, found.body_in_hop_mode, 1.0),
    ):
        pace = (2 * math.pi * frequency) ** 2
        assert 500.0 * pace * body == pytest.approx(28e3 * (body - wheel), rel=1e-9)
        assert 150.0 * pace * wheel == pytest.approx(28e3 * (wheel - body) + 260e3 * wheel, rel=1e-9)


def test_a_light_axle_leaves_the_massless_one():
    """With half an axle of 1 g the body bounces on wheel rate and tire in series."""
    found = corner_modes(**{**CORNER, "unsprung_mass": 2e-3})
    series = 28e3 * 260e3 / 288e3
    assert found.body_frequency == pytest.approx(math.sqrt(series / 500.0) / (2 * math.pi), rel=1e-5)
    assert found.wheel_in_body_mode == pytest.approx(28 / 288, rel=1e-5)


def test_a_heavy_body_leaves_the_wheel_between_spring_and_tire():
    found = corner_modes(**{**CORNER, "sprung_mass_on_spring": 5e8})
    assert found.hop_frequency == pytest.approx(math.sqrt(288e3 / 150.0) / (2 * math.pi), rel=1e-6)
    assert found.body_in_hop_mode == pytest.approx(0.0, abs=1e-6)


def test_the_two_lie_outside_of_the_two_held_ones():
    found = corner_modes(**CORNER)
    body_alone, wheel_alone = (math.sqrt(pace) / (2 * math.pi) for pace in (28e3 / 500, 288e3 / 150))
    assert found.body_frequency < body_alone < wheel_alone < found.hop_frequency


def test_light_damping_agrees_with_energy_lost_in_each_motion():
    """To first order the ratio is c (body - wheel)² over 2 w (m_s body² + m_u wheel²)."""
    found = corner_modes(**{**DAMPED, "damping_coefficient": 1.0})
    for frequency, body, wheel, ratio in (
        (found.body_frequency, 1.0, found.wheel_in_body_mode, found.body_damping_ratio),
        (found.hop_frequency, found.body_in_hop_mode, 1.0, found.hop_damping_ratio),
    ):
        lost = 0.81 * (body - wheel) ** 2 / (2 * (2 * math.pi * frequency) * (500 * body**2 + 150 * wheel**2))
        assert ratio == pytest.approx(lost, rel=1e-5)


def test_the_roots_multiply_and_add_up_whatever_the_damping():
    """Sum of all roots: -c (1/m_s + 1/m_u), as 2 ζ w of both; also where a motion only decays."""
    for coefficient in (100.0, 2500.0, 9000.0, 3e4, 1e5):
        found = corner_modes(**{**CORNER, "motion_ratio": 1.0, "damping_coefficient": coefficient})
        roots = np.roots(
            [
                500 * 150,
                coefficient * 650,
                28e3 * 650 + 260e3 * 500,
                coefficient * 260e3,
                28e3 * 260e3,
            ]
        )
        pairs = sorted(
            (
                (abs(one * two) ** 0.5, -(one + two).real / 2 / abs(one * two) ** 0.5)
                for one, two in _factors(roots.tolist())
            )
        )
        assert found.body_damping_ratio == pytest.approx(pairs[0][1], rel=1e-7)
        assert found.hop_damping_ratio == pytest.approx(pairs[1][1], rel=1e-7)


def _factors(roots: list[complex]) -> list[tuple[complex, complex]]:
    """The two real quadratics that make up the equation: conjugates together, what only decays by speed."""
    swinging = [root for root in roots if root.imag > 1e-9 * abs(root)]
    decaying = sorted((root for root in roots if abs(root.imag) <= 1e-9 * abs(root)), key=abs)
    return [(root, root.conjugate()) for root in swinging] + list(zip(decaying[::2], decaying[1::2], strict=True))


def test_no_damper_told_no_ratios():
    found = corner_modes(**CORNER)
    assert found.body_damping_ratio is None
    assert found.hop_damping_ratio is None
    assert corner_modes(**CORNER, damping_coefficient=2000.0).hop_damping_ratio is None
    undamped = corner_modes(**CORNER, damping_coefficient=0.0, motion_ratio=1.0)
    assert undamped.hop_damping_ratio == pytest.approx(0.0, abs=1e-9)


def test_tramp_by_plain_arithmetic():
    """Inertia 300 (0.39 × 1.6)² = 116.8 kg m²; 20 000 + 260 000 × 1.6²/2 = 352 800 N m/rad stand against it."""
    found = corner_modes(**CORNER, track=1.6, coil_over_roll_stiffness=20e3)
    assert found.tramp_frequency == pytest.approx(math.sqrt(352.8e3 / (300 * (0.39 * 1.6) ** 2)) / (2 * math.pi))
    assert corner_modes(**CORNER, track=1.6).tramp_frequency is None
    further = corner_modes(**CORNER, track=1.6, coil_over_roll_stiffness=20e3, axle_gyration_share=0.5)
    assert further.tramp_frequency == pytest.approx(found.tramp_frequency * 0.39 / 0.5)


def test_a_heavy_axle_on_a_soft_damper_is_told():
    outcome = run(STEP, {**DAMPED, "damping_coefficient": 1000.0})
    told = {finding.rule: finding for finding in outcome.findings}
    assert told["damper holds the wheel"].state == "close"
    assert told["damper holds the wheel"].text == (
        "The damper gives wheel hop a ratio of only 0.07, less than 0.15: the wheel keeps hopping. A heavy axle needs more damping than "
        "the body alone."
    )
    assert told["tramp apart from hop"].text == (
        "How the axle tramps: needs roll stiffness of both coil-overs and track."
    )


def test_a_heavy_axle_that_hops_slowly_is_no_alarm_of_its_own():
    """Half of 600 kg between 28 and 260 kN/m: 4.9 Hz, far above the body's 1.1 Hz and well damped."""
    outcome = run(STEP, {**DAMPED, "unsprung_mass": 600.0, "damping_coefficient": 4500.0})
    assert outcome.values["hop_frequency"] == pytest.approx(math.sqrt(288e3 / 300) / (2 * math.pi), rel=0.01)
    told = {finding.rule: finding.state for finding in outcome.findings}
    assert told["hop usual"] == told["damper holds the wheel"] == told["hop well above the ride"] == "holds"


def test_a_slow_hop_is_told_where_it_reaches_the_body():
    outcome = run(STEP, {**DAMPED, "sprung_mass_on_spring": 250.0, "unsprung_mass": 900.0})
    told = {finding.rule: finding.state for finding in outcome.findings}
    assert outcome.values["hop_frequency"] < 4.0 * outcome.values["body_frequency"]
    assert told["hop well above the ride"] == "close"


def test_a_hop_that_no_axle_has_is_told():
    outcome = run(STEP, {**DAMPED, "unsprung_mass": 30.0})
    told = {finding.rule: finding for finding in outcome.findings}
    assert told["hop usual"].state == "close"
    assert told["hop usual"].text == (
        "The wheels hop at 22.06\u00a0Hz, quicker than the 15.00\u00a0Hz of road vehicles: check the axle's weight and the "
        "tire rate."
    )


def test_findings_hold_for_a_light_axle_well_damped():
    outcome = run(STEP, {**DAMPED, "unsprung_mass": 140.0, "damping_coefficient": 3000.0})
    told = {finding.rule: finding.state for finding in outcome.findings}
    assert told["hop usual"] == told["damper holds the wheel"] == told["hop well above the ride"] == "holds"


def test_without_a_tire_rate_the_rest_is_kept():
    done = attempt(STEP, {name: value for name, value in DAMPED.items() if name != "tire_rate"})
    assert done.outcome.values["hop_frequency"] is None
    assert {finding.state for finding in done.outcome.findings} == {"not checked"}


def test_arrays_equal_single_values():
    masses = np.array([200.0, 300.0, 500.0])
    found = corner_modes(**{**DAMPED, "unsprung_mass": masses, "track": 1.6, "coil_over_roll_stiffness": 2e4})
    for index, mass in enumerate(masses):
        alone = corner_modes(**{**DAMPED, "unsprung_mass": mass, "track": 1.6, "coil_over_roll_stiffness": 2e4})
        for name in STEP.results:
            assert np.broadcast_to(getattr(found, name), 3)[index] == pytest.approx(getattr(alone, name), rel=1e-12)
