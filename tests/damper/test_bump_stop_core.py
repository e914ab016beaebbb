"""Bump stop: a step-by-step fall, textbook limits, refusals on both sides, findings."""

import math

import numpy as np
import pytest

from calc.damper.bump_stop import STEP, bump_stop
from calc.errors import ContradictionError
from calc.quantity import METRIC
from calc.step import run

GRAVITY = 9.80665
PAD = {
    "pad_gap": 0.1,
    "pad_depth": 0.05,
    "pad_rate": 50e3,
    "pad_solid_force": 9000.0,
    "pad_place": "on the frame",
    "pad_motion_ratio": 0.9,
    "sprung_mass_on_spring": 500.0,
    "motion_ratio": 1.0,
    "stack_rate": 28e3,
    "droop_left": 0.13,
    "drop_height": 0.2,
}


def fall(given, step=1e-6):
    """Speed and travel of the body by small steps of travel: what the net force does to the speed's square."""
    mass, height = given["sprung_mass_on_spring"], given["drop_height"]
    z, square, load = -given["droop_left"], 2 * GRAVITY * height, 0.0
    cubic = (given["pad_solid_force"] - given["pad_rate"] * given["pad_depth"]) / given["pad_depth"] ** 3
    at_pad = None
    while square > 0 or z < 0:
        middle = z + step / 2
        squash = given["pad_motion_ratio"] * middle - given["pad_gap"]
        if squash >= 0 and at_pad is None:
            at_pad = math.sqrt(square)
        inside = min(max(squash, 0.0), given["pad_depth"])
        push = 1.5 * (given["pad_rate"] * inside + cubic * inside**3) + 1e7 * max(squash - given["pad_depth"], 0.0)
        load = mass * GRAVITY + given["stack_rate"] * middle + given["pad_motion_ratio"] * push
        square += 2 * (mass * GRAVITY - load) / mass * step
        z += step
    return z, at_pad, load / (mass * GRAVITY)


@pytest.mark.parametrize("height", [0.1, 0.2])
def test_a_fall_followed_step_by_step_ends_at_the_same_place(height):
    given = {**PAD, "drop_height": height}
    deepest, speed, factor = fall(given)
    found = bump_stop(**given)
    assert found.landing_travel == pytest.approx(deepest, abs=3e-6)
    assert found.engagement_speed == pytest.approx(speed, rel=1e-4)
    assert found.landing_load_factor == pytest.approx(factor, rel=2e-2 if deepest > found.pad_solid else 1e-3)


def test_the_fall_that_just_makes_it_solid_does():
    found = bump_stop(**PAD)
    assert found.stop_height > 0
    again = bump_stop(**{**PAD, "drop_height": float(found.stop_height)})
    assert again.landing_travel == pytest.approx(found.pad_solid, abs=1e-9)
    assert again.landing_load_factor == pytest.approx(found.solid_load_factor, rel=1e-6)


def test_without_a_pad_it_is_the_textbooks_falling_weight():
    """Gere, Mechanics of Materials, section 2.8, from memory: 1 + sqrt(1 + 2 h / static deflection); 2 at no height."""
    static = 500.0 * GRAVITY / 28e3
    for height in (0.0, 0.05, 0.4):
        found = bump_stop(**{**PAD, "pad_gap": 1.9, "droop_left": static, "drop_height": height})
        assert found.landing_load_factor == pytest.approx(1 + math.sqrt(1 + 2 * height / static), rel=1e-9)
        assert found.landing_travel + static == pytest.approx(static * found.landing_load_factor, rel=1e-9)


def test_a_fall_that_does_not_reach_the_pad_meets_it_at_no_speed():
    assert bump_stop(**{**PAD, "pad_gap": 1.9}).engagement_speed == 0.0


def refusal(**changes):
    with pytest.raises(ContradictionError) as caught:
        bump_stop(**{**PAD, **changes})
    return caught.value.field, str(caught.value).replace("\u00a0", " ")


def test_a_pad_that_gets_softer_is_refused():
    assert bump_stop(**{**PAD, "pad_solid_force": 2500.0}).pad_energy == pytest.approx(50e3 * 0.05**2 / 2)
    assert refusal(pad_solid_force=2400.0) == (
        "pad_solid_force",
        "Solid, the pad pushes with 540 lbf; its rate as it is touched makes 562 lbf of its depth already. Allowed: 562 lbf or "
        "more; a pad gets stiffer as it is squashed.",
    )


def test_a_spring_that_would_pull_hangs_loose():
    """Below the droop at which it lets go, the body only falls: so much further, and nothing else."""
    loose = 500.0 * GRAVITY / 28e3
    edge, below = (bump_stop(**{**PAD, "droop_left": droop}) for droop in (loose, loose + 0.03))
    assert below.stop_height == pytest.approx(edge.stop_height - 0.03, abs=1e-12)
    assert below.solid_load_factor == edge.solid_load_factor


LEANING = {**STEP.example_inputs()}


@pytest.mark.parametrize(
    ("changes", "field", "text"),
    [
        (
            {"motion_ratio": 1.02},
            "motion_ratio",
            "A coil-over between two eyes goes 1.000 at most for each wheel travel, and the ratio is 1.020. Allowed: up to "
            "1.000, or the motion ratio by measurement.",
        ),
        (
            {"motion_ratio": 0.6},
            "damper_length",
            "The coil-over would lie flat before the pad is solid. Allowed: a longer damper, a smaller gap, or a motion ratio "
            "that falls less.",
        ),
        (
            {"gas_volume": 6e-5},
            "gas_volume",
            "The rod needs 6.9 in³ of room until the pad is solid, and the gas has only 3.7 in³. Allowed: more gas volume, a "
            "thinner rod or less travel.",
        ),
        (
            {"sprung_mass_on_spring": 40.0},
            "gas_pressure",
            "The gas alone pushes with 147 lbf, more than the weight asks of the whole coil-over, 90 lbf. Allowed: less gas, or "
            "more weight on the spring.",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_whole_sentences(changes, field, text):
    with pytest.raises(ContradictionError) as caught:
        bump_stop(**{**LEANING, **changes})
    assert caught.value.field == field
    assert str(caught.value).replace("\u00a0", " ") == text


def test_a_rig_past_its_crossover_at_ride_lands_on_the_main():
    """With the crossover below ride, only the way down to droop is softer."""
    past = {**LEANING, "crossover_above_ride": -0.02}
    whole = {**LEANING, "stack_rate": LEANING["stack_rate_past_crossover"]}
    assert bump_stop(**past).solid_load_factor == pytest.approx(bump_stop(**whole).solid_load_factor, rel=1e-9)


def test_a_measured_ratio_that_is_that_of_the_eyes_lands_alike():
    """Between eyes the ratio falls with wheel travel by (1 - R squared) over the length: entered as measured, it is one rig."""
    ratio, long = LEANING["motion_ratio"], LEANING["damper_length"]
    measured = {**LEANING, "ratio_by": "measured", "motion_ratio_slope": -(1 - ratio**2) / long}
    eyes, other = bump_stop(**LEANING), bump_stop(**measured)
    for name in STEP.results:
        assert getattr(other, name) == pytest.approx(getattr(eyes, name), rel=1e-9)
    # One that stays, with the length or without it, goes straight.
    flat = bump_stop(**{**measured, "motion_ratio_slope": 0.0})
    straight = bump_stop(**{**measured, "motion_ratio_slope": 0.0, "damper_length": None})
    assert flat.pad_solid == pytest.approx((LEANING["pad_gap"] + LEANING["pad_depth"]) / ratio, rel=1e-9)
    assert straight.solid_load_factor == pytest.approx(flat.solid_load_factor, rel=1e-9)


def test_arrays_give_what_single_values_give():
    heights, volumes = np.array([0.0, 0.1]), np.array([2.9e-4, 3.3e-4])
    found = bump_stop(**{**LEANING, "drop_height": heights, "gas_volume": volumes})
    for index in (0, 1):
        alone = bump_stop(**{**LEANING, "drop_height": float(heights[index]), "gas_volume": float(volumes[index])})
        assert found.landing_travel[index] == pytest.approx(alone.landing_travel, rel=1e-12)
        assert found.engagement_speed[index] == pytest.approx(alone.engagement_speed, rel=1e-12)


def told(rule, **changes):
    outcome = run(STEP, {**PAD, **changes})
    return next(finding for finding in outcome.findings if finding.rule == rule).state


def test_findings():
    assert told("room above the pad at ride") == "holds"
    assert told("room above the pad at ride", pad_gap=0.01) == "close"
    assert told("the landing stays off solid", drop_height=0.0) == "holds"
    assert told("the landing stays off solid", drop_height=0.6) == "close"
    assert told("load on the mounts in this landing", drop_height=0.6) == "close"
    # A pad that is firmer when it is solid loads its bracket more, whatever the fall.
    assert told("load on the mounts as the pad goes solid", pad_solid_force=7000.0) == "holds"
    assert told("load on the mounts as the pad goes solid", pad_solid_force=14000.0) == "close"


@pytest.mark.parametrize("height", [0.0, 0.1, 0.6])
@pytest.mark.parametrize("given", [PAD, {**LEANING, "sprung_mass_on_spring": 500.0}])
def test_the_chart_ends_at_the_deepest_travel(height, given):
    outcome = run(STEP, {**given, "drop_height": height})
    last = STEP.chart(outcome.values, METRIC).panels[0].curves[0].points[-1]
    assert last[0] == pytest.approx(1000 * outcome.values["landing_travel"])
    assert last[1] == pytest.approx(outcome.values["landing_load_factor"] * 500.0 * GRAVITY, rel=1e-9)
