"""Critical damping in both regimes: plain arithmetic, the swing it ends, and the findings."""

import math

import pytest

from calc.damper.critical_damping import STEP, critical_damping
from calc.step import run

CORNER = {
    "sprung_mass_on_spring": 500.0,
    "wheel_rate": 28e3,
    "motion_ratio": 0.95,
    "wheel_rate_past_crossover": 76e3,
    "damping_coefficient": 2800.0,
    "wanted_damping_ratio": 0.35,
    "tire_rate": 260e3,
}


def overshoots(*, mass: float, rate: float, damping: float, time_step: float = 2e-4, seconds: float = 8.0) -> bool:
    """Let a mass go from 1 and step its motion (Runge-Kutta, fourth order); tell whether it ever passes its rest."""

    def change(place: float, speed: float) -> tuple[float, float]:
        return speed, -(rate * place + damping * speed) / mass

    place, speed = 1.0, 0.0
    for _ in range(int(seconds / time_step)):
        k1 = change(place, speed)
        k2 = change(place + time_step / 2 * k1[0], speed + time_step / 2 * k1[1])
        k3 = change(place + time_step / 2 * k2[0], speed + time_step / 2 * k2[1])
        k4 = change(place + time_step * k3[0], speed + time_step * k3[1])
        place += time_step / 6 * (k1[0] + 2 * k2[0] + 2 * k3[0] + k4[0])
        speed += time_step / 6 * (k1[1] + 2 * k2[1] + 2 * k3[1] + k4[1])
        if place < 0:
            return True
    return False


def test_critical_damping_is_the_least_that_does_not_swing_back():
    """At 0.98 of it the first overshoot is exp(-π 0.98 / 0.199) = 2e-7 of the push: below 0, but far above rounding."""
    found = critical_damping(**CORNER)
    corner = {"mass": 500.0, "rate": 28e3}
    assert overshoots(**corner, damping=0.98 * found.critical_damping)
    assert not overshoots(**corner, damping=1.0001 * found.critical_damping)


def test_both_ratios_are_printed_and_differ_by_the_root_of_the_rates():
    found = critical_damping(**CORNER)
    at_wheel = 2800.0 * 0.95**2
    assert found.damping_ratio == pytest.approx(at_wheel / (2 * math.sqrt(28e3 * 500.0)))
    assert found.damping_ratio_past_crossover == pytest.approx(at_wheel / (2 * math.sqrt(76e3 * 500.0)))
    assert found.critical_damping_past_crossover == pytest.approx(2 * math.sqrt(76e3 * 500.0))
    assert "damping_ratio" in STEP.main
    assert "damping_ratio_past_crossover" in STEP.main


def test_four_times_the_rate_halves_the_ratio():
    found = critical_damping(**{**CORNER, "wheel_rate_past_crossover": 4 * 28e3})
    assert found.damping_ratio_past_crossover == pytest.approx(found.damping_ratio / 2)
    assert found.wanted_damping_ratio_past_crossover == pytest.approx(0.175)


def test_the_wanted_coefficient_gives_the_wanted_ratio():
    wanted = critical_damping(**CORNER).wanted_damping_coefficient
    back = critical_damping(**{**CORNER, "damping_coefficient": wanted})
    assert back.damping_ratio == pytest.approx(0.35)
    assert back.damping_ratio_past_crossover == pytest.approx(back.wanted_damping_ratio_past_crossover)


def test_half_the_motion_ratio_needs_four_times_the_damper():
    full, half = (critical_damping(**{**CORNER, "motion_ratio": ratio}) for ratio in (1.0, 0.5))
    assert half.wanted_damping_coefficient == pytest.approx(4 * full.wanted_damping_coefficient)
    assert half.damping_ratio == pytest.approx(full.damping_ratio / 4)


def test_what_is_not_given_is_not_answered():
    found = critical_damping(sprung_mass_on_spring=500.0, wheel_rate=28e3, motion_ratio=0.95)
    assert found.critical_damping == pytest.approx(7483.3, abs=0.05)
    absent = [name for name in STEP.results if getattr(found, name) is None]
    assert absent == [
        "critical_damping_past_crossover",
        "damping_ratio",
        "damping_ratio_past_crossover",
        "damping_ratio_on_tire",
        "wanted_damping_coefficient",
        "wanted_damping_ratio_past_crossover",
    ]


@pytest.mark.parametrize(
    ("coefficient", "states"),
    [
        (2800.0, ("holds", "close", "holds")),
        (700.0, ("close", "close", "close")),
        (6500.0, ("close", "holds", "close")),
    ],
)
def test_findings_follow_the_damper(coefficient, states):
    outcome = run(STEP, {**CORNER, "damping_coefficient": coefficient}, dict.fromkeys(CORNER, 0.0))
    assert tuple(finding.state for finding in outcome.findings) == states


def test_a_wanted_ratio_that_is_missed_names_both_coefficients():
    outcome = run(STEP, {**CORNER, "damping_coefficient": 1500.0})
    told = outcome.findings[2]
    assert told.text == (
        "The damper gives 0.18, wanted is 0.35, more than 10\u00a0% away: the damper should give 16.57\u00a0lbf·s/in instead "
        "of 8.57\u00a0lbf·s/in."
    )


def test_findings_without_a_damper_say_what_they_need():
    outcome = run(STEP, {"sprung_mass_on_spring": 500.0, "wheel_rate": 28e3, "motion_ratio": 0.95})
    assert [finding.state for finding in outcome.findings] == ["not checked"] * 3
    assert outcome.findings[0].text == ("Whether the damping ratio is usual: needs damping coefficient at the damper.")
