"""Bump stop: a step-by-step fall, textbook limits, refusals on both sides, findings."""

import math

import numpy as np
import pytest

from calc.damper.bump_stop import STEP, bump_stop
from calc.errors import ContradictionError
from calc.quantity import METRIC
from calc.step import masked, run

GRAVITY = 9.80665
PAD = {
    "pad_gap": 0.1,
    "pad_depth": 0.05,
    "pad_rate": 50e3,
    "pad_solid_force": 9000.0,
    "pad_motion_ratio": 0.9,
    "sprung_mass_on_spring": 500.0,
    "wheel_rate": 28e3,
    "droop_travel": 0.13,
    "drop_height": 0.2,
}


def fall(given, step=1e-6):
    """Speed and travel of the body by small steps of travel: what the net force does to the speed's square."""
    mass, height = given["sprung_mass_on_spring"], given["drop_height"]
    z, square, load = -given["droop_travel"], 2 * GRAVITY * height, 0.0
    cubic = (given["pad_solid_force"] - given["pad_rate"] * given["pad_depth"]) / given["pad_depth"] ** 3
    at_pad = None
    while square > 0 or z < 0:
        middle = z + step / 2
        squash = given["pad_motion_ratio"] * middle - given["pad_gap"]
        if squash >= 0 and at_pad is None:
            at_pad = math.sqrt(square)
        inside = min(max(squash, 0.0), given["pad_depth"])
        push = 1.5 * (given["pad_rate"] * inside + cubic * inside**3) + 1e7 * max(squash - given["pad_depth"], 0.0)
        load = mass * GRAVITY + given["wheel_rate"] * middle + given["pad_motion_ratio"] * push
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
        found = bump_stop(**{**PAD, "pad_gap": 1.9, "droop_travel": static, "drop_height": height})
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


def test_a_spring_that_would_pull_is_refused():
    most = 500.0 * GRAVITY / 28e3
    assert bump_stop(**{**PAD, "droop_travel": most}).pad_touch > 0
    assert refusal(droop_travel=0.2) == (
        "droop_travel",
        "By its rate the spring would have to pull with 157 lbf at full droop. Allowed: at most 6.89 in of droop; a stack "
        "that hangs loose ends there.",
    )


def test_arrays_give_what_single_values_give_and_mask_the_rest():
    heights, droops = np.array([0.0, 0.2, 0.5]), np.array([0.13, 0.3, 0.1])
    found = masked(STEP, **{**PAD, "drop_height": heights, "droop_travel": droops})
    assert found.refused.tolist() == [0, 1, 0]
    for index in (0, 2):
        alone = bump_stop(**{**PAD, "drop_height": float(heights[index]), "droop_travel": float(droops[index])})
        assert found.results.landing_travel[index] == pytest.approx(alone.landing_travel, rel=1e-12)
        assert found.results.engagement_speed[index] == pytest.approx(alone.engagement_speed, rel=1e-12)


def told(rule, **changes):
    outcome = run(STEP, {**PAD, **changes})
    return next(finding for finding in outcome.findings if finding.rule == rule).state


def test_findings():
    assert told("room above the pad at ride") == "holds"
    assert told("room above the pad at ride", pad_gap=0.01) == "close"
    assert told("the landing stays off solid", drop_height=0.0) == "holds"
    assert told("the landing stays off solid", drop_height=0.6) == "close"
    assert told("load on the mounts", drop_height=0.6) == "close"


@pytest.mark.parametrize("height", [0.0, 0.1, 0.6])
def test_the_chart_ends_at_the_deepest_travel(height):
    outcome = run(STEP, {**PAD, "drop_height": height})
    last = STEP.chart(outcome.values, METRIC).panels[0].curves[0].points[-1]
    assert last[0] == pytest.approx(1000 * outcome.values["landing_travel"])
    assert last[1] == pytest.approx(outcome.values["landing_load_factor"] * 500.0 * GRAVITY, rel=1e-9)
