"""Motion ratio from the mounts: plain trigonometry, written again here, and the findings."""

import math

import numpy as np
import pytest

from calc.geometry.mount_points import STEP, mount_points
from calc.step import run

INCH = 0.0254
LBF = 0.45359237 * 9.80665
LB_IN = LBF / INCH


def length_at(travel: float, lean: float, length: float) -> float:
    """Length between the eyes after the lower one has gone straight up by this travel."""
    return math.hypot(length * math.cos(lean) - travel, length * math.sin(lean))


def test_an_upright_coil_over_has_a_motion_ratio_of_one():
    found = mount_points(lean=0.0, damper_length=0.6, support_load_mean=5000.0)
    assert found.motion_ratio == 1.0
    assert found.motion_ratio_inverse == 1.0
    assert found.motion_ratio_slope == 0.0
    assert found.axial_load == 5000.0
    assert found.geometric_rate == 0.0


@pytest.mark.parametrize(("degrees", "cosine"), [(12, 0.97815), (18, 0.95106), (30, 0.86603), (45, 0.70711)])
def test_motion_ratio_is_the_cosine_of_a_printed_table(degrees, cosine):
    found = mount_points(lean=math.radians(degrees), damper_length=0.6)
    assert found.motion_ratio == pytest.approx(cosine, abs=5e-6)


def test_a_thousand_pounds_at_twenty_degrees_takes_five_pounds_per_inch_off():
    """The case of the design notes: -4.9 lb/in for 1000 lbf on 24 in at 20 degrees; 1000 × 0.11698 / 24 by hand."""
    lean = math.radians(20)
    found = mount_points(lean=lean, damper_length=24 * INCH, support_load_mean=1000 * LBF * math.cos(lean))
    assert found.axial_load == pytest.approx(1000 * LBF)
    assert found.geometric_rate / LB_IN == pytest.approx(-4.874, abs=5e-4)


@pytest.mark.parametrize("degrees", [1, 12, 18, 35, 60])
def test_ratio_and_its_change_are_differences_of_the_length(degrees):
    """Central differences with a step of 0.1 mm on 0.5 m: truncation near 1e-8, rounding near 1e-7."""
    lean, length, step = math.radians(degrees), 0.5, 1e-4
    before, here, after = (length_at(travel, lean, length) for travel in (-step, 0.0, step))
    found = mount_points(lean=lean, damper_length=length)
    assert found.motion_ratio == pytest.approx((before - after) / (2 * step), abs=1e-7)
    assert found.motion_ratio_slope == pytest.approx(-(before - 2 * here + after) / step**2, abs=1e-6)


def test_without_a_support_load_nothing_is_said_along_the_coil_over():
    found = mount_points(lean=0.2, damper_length=0.6)
    assert found.axial_load is None
    assert found.geometric_rate is None


def test_arrays_give_what_single_values_give():
    leans, lengths, loads = np.array([0.0, 0.1, 0.3, 0.9]), np.array([0.4, 0.5, 0.6, 0.9]), np.full(4, 4500.0)
    together = mount_points(lean=leans, damper_length=lengths, support_load_mean=loads)
    for index in range(4):
        alone = mount_points(lean=leans[index], damper_length=lengths[index], support_load_mean=loads[index])
        for name in STEP.results:
            assert getattr(together, name)[index] == getattr(alone, name)


@pytest.mark.parametrize(("degrees", "state"), [(12, "holds"), (24, "close"), (32, "close")])
def test_a_large_lean_is_a_caution_and_no_failure(degrees, state):
    outcome = run(STEP, {"lean": math.radians(degrees), "damper_length": 0.66})
    assert outcome.findings[0].state == state


def test_the_changing_ratio_is_judged_only_with_a_load():
    outcome = run(STEP, {"lean": 0.2, "damper_length": 0.66})
    assert outcome.findings[1].state == "not checked"
    assert outcome.findings[1].text == (
        "What the changing motion ratio does to the wheel rate: needs support load, mean of both sides."
    )
