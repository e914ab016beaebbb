"""Measured damper: dampers whose energy has a plain answer, gas taken off, the match, refusals. Numpy only."""

import math

import pytest

from calc.damper.measured_curve import STEP, ForcePair, measured_curve
from calc.errors import ContradictionError
from calc.step import find, run

SWING = {"swing_amplitude": 0.05, "swing_frequency": 1.5}
PACE = 2 * math.pi * 1.5


def table(into, out, speeds=(0.1, 0.2, 0.35, 0.6), **more):
    return tuple(ForcePair(speed=speed, compression=into(speed), rebound=out(speed), **more) for speed in speeds)


STRAIGHT = table(lambda speed: 1200 * speed, lambda speed: 2400 * speed)


def test_a_straight_damper_is_its_own_equivalent():
    found = measured_curve(pairs=STRAIGHT, **SWING)
    assert found.peak_speed == pytest.approx(PACE * 0.05)
    assert found.compression_equivalent == pytest.approx(1200.0)
    assert found.rebound_equivalent == pytest.approx(2400.0)
    assert found.equivalent_damping_coefficient == pytest.approx(1800.0)
    assert found.energy_per_swing == pytest.approx(math.pi * 1800 * PACE * 0.05**2)
    assert found.measured_rebound_share == pytest.approx(2 / 3)


def test_a_force_of_one_size_gives_four_amplitudes_of_work():
    """Dry friction is F × 4 X; the ramp up to 1 mm/s in front of it is all but nothing of a swing at 0.47 m/s."""
    found = measured_curve(pairs=table(lambda _: 300.0, lambda _: 300.0, speeds=(0.001, 0.002, 0.3, 0.6)), **SWING)
    assert found.energy_per_swing == pytest.approx(300 * 4 * 0.05, rel=1e-4)


def test_the_order_of_the_rows_does_not_matter():
    assert measured_curve(pairs=STRAIGHT[::-1], **SWING) == measured_curve(pairs=STRAIGHT, **SWING)


def test_two_rows_are_enough():
    pairs = table(lambda speed: 1000 * speed, lambda speed: 1000 * speed, speeds=(0.2, 0.6))
    assert measured_curve(pairs=pairs, **SWING).equivalent_damping_coefficient == pytest.approx(1000.0)


def test_gas_that_is_in_the_table_comes_off():
    pairs = table(lambda speed: 1200 * speed + 80, lambda speed: 2400 * speed - 80)
    found = measured_curve(pairs=pairs, **SWING, gas_in_table="in", gas_force=80.0)
    bare = measured_curve(pairs=STRAIGHT, **SWING)
    for name in STEP.results:
        if getattr(bare, name) is not None:
            assert getattr(found, name) == pytest.approx(getattr(bare, name))


def test_what_was_asked_for_matches_what_is_measured():
    """A table made by the step that asks for forces is met without a miss; half of it is at half the level."""
    targets = find("force_targets").function(
        sprung_mass_on_spring=500.0,
        wheel_rate=25e3,
        motion_ratio=0.9,
        wanted_damping_ratio=0.4,
        rebound_share=0.65,
        knee_speed=0.2,
        slope_past_knee=0.4,
    )
    rows = [
        (speed, getattr(targets, f"compression_force_{place}"), getattr(targets, f"rebound_force_{place}"))
        for place, speed in (("slow", 0.127), ("middle", 0.254), ("fast", 0.508))
    ]
    wanted = {
        "wanted_damping_coefficient": targets.wanted_damping_coefficient,
        "rebound_share": 0.65,
        "knee_speed": 0.2,
        "slope_past_knee": 0.4,
    }
    for factor in (1.0, 0.5):
        pairs = tuple(ForcePair(speed=v, compression=factor * into, rebound=factor * out) for v, into, out in rows)
        found = measured_curve(pairs=pairs, **SWING, **wanted)
        assert found.force_level == pytest.approx(factor)
        assert found.match_miss == pytest.approx(1 - factor, abs=1e-12)
    assert measured_curve(pairs=STRAIGHT, **SWING).force_level is None


def test_a_row_without_weight_in_the_run_does_not_count():
    off = ForcePair(speed=0.8, compression=9e3, rebound=9e3, weight=0.0)
    wanted = {"wanted_damping_coefficient": 1800.0, "rebound_share": 2 / 3}
    found = measured_curve(pairs=(*STRAIGHT, off), **SWING, **wanted)
    assert found.force_level == pytest.approx(1.0)
    assert found.match_miss == pytest.approx(0.0, abs=1e-12)
    heavy = measured_curve(pairs=(*STRAIGHT, ForcePair(speed=0.8, compression=9e3, rebound=9e3)), **SWING, **wanted)
    assert heavy.match_miss > 1.0
    none = table(lambda speed: 1200 * speed, lambda speed: 2400 * speed, weight=0.0)
    assert measured_curve(pairs=none, **SWING, **wanted).match_miss is None


def refused(field: str, message: str, **inputs) -> None:
    with pytest.raises(ContradictionError) as caught:
        measured_curve(**{**SWING, "pairs": STRAIGHT, **inputs})
    assert caught.value.field == field
    assert str(caught.value).replace("\u00a0", " ") == message


def test_a_swing_faster_than_the_table_is_refused():
    """0.6 m/s is 23.6 in/s; at 1.5 swings in a second that is 63.7 mm."""
    edge = 0.6 / PACE
    measured_curve(pairs=STRAIGHT, swing_amplitude=edge * 0.9999, swing_frequency=1.5)
    refused(
        "swing_amplitude",
        "The swing reaches 24.7 in/s, faster than the fastest row of the table, 23.6 in/s. Allowed: a shorter or slower "
        "swing; nothing is guessed beyond what was measured.",
        swing_amplitude=0.0667,
    )


def test_two_rows_of_one_speed_are_refused():
    refused(
        "pairs.4.speed",
        "Two rows have the speed 13.8 in/s. Allowed: one row for each speed.",
        pairs=(*STRAIGHT, ForcePair(speed=0.35, compression=500.0, rebound=900.0)),
    )


def test_a_force_that_falls_is_refused_at_its_row():
    flat = (*STRAIGHT, ForcePair(speed=0.7, compression=720.0, rebound=1440.0))
    assert measured_curve(pairs=flat, **SWING).equivalent_damping_coefficient == pytest.approx(1800.0, rel=0.05)
    refused(
        "pairs.0.rebound",
        "Rebound falls to 225 lbf at 27.6 in/s, from 324 lbf at the speed before. Allowed: at least as much as at the slower "
        "speed. Check the row.",
        pairs=(ForcePair(speed=0.7, compression=900.0, rebound=1000.0), *STRAIGHT),
    )


def test_gas_that_is_not_told_or_too_large_is_refused():
    refused(
        "gas_force",
        "The table's forces have the gas in them, and the gas force is missing. Allowed: the gas force on the bench, from gas "
        "force and rate or half the difference at the slowest speed.",
        gas_in_table="in",
    )
    refused(
        "pairs.0.compression",
        "With the gas off, compression at 3.9 in/s is −18 lbf: it pushes the wrong way. Allowed: 0 or more. Check the gas "
        "force, and whether the table has the gas in it.",
        gas_in_table="in",
        gas_force=200.0,
    )
    measured_curve(pairs=STRAIGHT, **SWING, gas_in_table="in", gas_force=119.9)


def test_a_damper_that_does_nothing_and_a_click_that_is_not_there_are_refused():
    refused(
        "pairs",
        "Up to 18.6 in/s, the fastest of the swing, all forces are 0. Allowed: a damper that damps there, or a faster swing.",
        pairs=table(lambda _: 0.0, lambda _: 0.0),
    )
    measured_curve(pairs=STRAIGHT, **SWING, clicks_set=22.0, clicks_in_all=22.0)
    refused(
        "clicks_set",
        "Click 23 is beyond the 22 clicks that there are. Allowed: up to that many.",
        clicks_set=23.0,
        clicks_in_all=22.0,
    )


@pytest.mark.parametrize(("click", "state"), [(7.0, "holds"), (14.0, "holds"), (6.0, "close"), (15.0, "close")])
def test_the_middle_third_of_the_clicks(click, state):
    outcome = run(STEP, {**SWING, "pairs": STRAIGHT, "clicks_set": click, "clicks_in_all": 21.0})
    told = next(finding for finding in outcome.findings if finding.rule == "target in the middle of the clicks")
    assert told.state == state


def test_a_poor_match_is_told_with_its_level():
    outcome = run(STEP, {**SWING, "pairs": STRAIGHT, "wanted_damping_coefficient": 3600.0, "rebound_share": 2 / 3})
    told = {finding.rule: finding for finding in outcome.findings}
    assert told["matches what is wanted"].state == told["level of the forces"].state == "close"
    assert told["matches what is wanted"].text == (
        "The measured forces miss the wanted ones by 50.0\u00a0%, weighted, more than 15.0\u00a0%. See whether the level is "
        "off, 0.500 times the wanted, or the shape."
    )
    assert told["rebound share as wanted"].state == "holds"
