"""The ring for a wanted crossover: hand values, the ways of counting, the adjuster, findings and refusals."""

import math

import numpy as np
import pytest

from calc import formula
from calc.errors import ContradictionError, MissingError
from calc.spring.crossover import STEP, crossover
from calc.spring.stack import stack
from calc.step import run

INCH = 0.0254
LB_IN = 0.45359237 * 9.80665 / INCH
PURE = ("motion_ratio", "adjuster_turns_per_length")


def wren(**changes):
    """Wren's front in SI, with changes given in inches and lb/in."""
    shop = {
        "tender_rate": 250.0,
        "main_rate": 450.0,
        "preload": 1.25,
        "wanted_crossover_above_ride": 2.5,
        "ride_travel": 5.0,
        "bump_limit": 11.5,
        **changes,
    }
    found = {}
    for name, value in shop.items():
        if isinstance(value, (int, float)) and name not in PURE:
            found[name] = value * (LB_IN if name.endswith("_rate") else INCH)
        elif value is not None:
            found[name] = value
    return found


def finding(rule, **changes):
    return next(item for item in run(STEP, wren(**changes)).findings if item.rule == rule)


def test_from_ride_at_the_damper():
    """7.5 in from full extension, of which the tender takes 9/14."""
    found = crossover(**wren())
    assert found.crossover_travel / INCH == pytest.approx(7.5, abs=1e-12)
    assert found.ring_gap / INCH == pytest.approx(7.5 * 9 / 14, abs=1e-12)


def test_from_full_extension():
    found = crossover(**wren(counted_from="full extension", wanted_crossover_above_ride=7, ride_travel=None))
    assert found.ring_gap / INCH == pytest.approx(4.5, abs=1e-12)
    assert found.crossover_above_ride is None


def test_at_the_wheels_and_at_one_wheel():
    """With a motion ratio of 0.8, 2.5 in at the wheels are 2 in; base over track 0.5 leaves 0.75 of it for one wheel."""
    axle = {"motion_ratio": 0.8, "spring_base": 32.0, "track": 64.0}
    both = crossover(**wren(measured_at="wheels", **axle))
    assert both.crossover_travel / INCH == pytest.approx(7.0, abs=1e-12)
    assert both.crossover_above_ride_wheels / INCH == pytest.approx(2.5, abs=1e-12)
    assert both.crossover_above_ride_one_wheel / INCH == pytest.approx(2.5 / 0.75, abs=1e-12)
    one = crossover(**wren(measured_at="one wheel", **axle))
    assert one.crossover_travel / INCH == pytest.approx(6.5, abs=1e-12)
    assert one.crossover_above_ride_one_wheel / INCH == pytest.approx(2.5, abs=1e-12)


@pytest.mark.parametrize("changes", [{}, {"preload": 0}, {"preload": -1}, {"preload": -1, "loose_divider": "tender"}])
def test_the_stack_with_that_ring_crosses_over_there(changes):
    found = crossover(**wren(**changes))
    inputs = {name: value for name, value in wren(**changes).items() if name in ("tender_rate", "main_rate", "preload")}
    again = stack(
        **inputs,
        ring_gap=float(found.ring_gap),
        bump_limit=11.5 * INCH,
        loose_divider=changes.get("loose_divider", "main"),
    )
    assert again.crossover_travel / INCH == pytest.approx(7.5, abs=1e-9)


def test_an_inch_of_adjuster_moves_the_crossover_away_twice():
    """The gap takes 5/14 of it, the crossover 5/9, and the rig rises by all of it: 14/9 in all."""
    found = crossover(**wren(adjuster_move=1))
    assert found.gap_share == pytest.approx(5 / 14, abs=1e-12)
    assert (found.ring_gap_after - found.ring_gap) / INCH == pytest.approx(5 / 14, abs=1e-12)
    assert (found.crossover_travel_after - found.crossover_travel) / INCH == pytest.approx(5 / 9, abs=1e-12)
    assert found.ride_travel_after / INCH == pytest.approx(4.0, abs=1e-9)
    assert (found.crossover_above_ride_after - found.crossover_above_ride) / INCH == pytest.approx(14 / 9, abs=1e-9)


def test_past_the_crossover_the_adjuster_does_not_move_the_rig():
    found = crossover(
        **wren(counted_from="full extension", wanted_crossover_above_ride=3, ride_travel=5, adjuster_move=0.5)
    )
    assert found.ride_travel_after / INCH == pytest.approx(5.0, abs=1e-9)


def test_a_turn_that_lifts_the_rig_back_before_its_crossover_moves_it_by_the_rest():
    """Ride is 0.2 in past a crossover at 3 in; an inch down moves the crossover 5/9 in up, past ride.

    In lb: at ride 160.714 × (1.25 + 3) + 450 × 0.2 = 773.04; over 160.714 that is 4.810 in, less the new 2.25 in.
    """
    found = crossover(
        **wren(counted_from="full extension", wanted_crossover_above_ride=3, ride_travel=3.2, adjuster_move=1)
    )
    rate = 250 * 450 / 700
    assert found.ride_travel_after / INCH == pytest.approx((rate * 4.25 + 90) / rate - 2.25, abs=1e-9)


REGIMES = [
    {"motion_ratio": 0.9, "spring_base": 37, "track": 64, "adjuster_move": 0.25, "adjuster_turns_per_length": 472.4},
    {"measured_at": "wheels", "motion_ratio": 0.9},
    {"measured_at": "one wheel", "motion_ratio": 0.9, "spring_base": 37, "track": 64},
    {"counted_from": "full extension", "wanted_crossover_above_ride": 3, "adjuster_move": 0.25},
    {"preload": -1},
    {"preload": -1, "loose_divider": "tender"},
    {"preload": -3, "counted_from": "full extension", "wanted_crossover_above_ride": 2, "ride_travel": None},
]


@pytest.mark.parametrize("changes", REGIMES, ids=str)
def test_the_equations_hold_in_every_regime(changes):
    values = dict(run(STEP, wren(**changes)).values)
    given = set()
    for equation in STEP.equations:
        needed = {*formula.names(equation.text), *(formula.names(equation.when) if equation.when else ())}
        if any(values.get(name) is None for name in needed):
            continue
        if equation.when and not formula.evaluate(equation.when, values):
            continue
        assert equation.result not in given
        given.add(equation.result)
        answer = float(formula.evaluate(equation.text, values))
        if equation.result in STEP.results:
            assert answer == pytest.approx(values[equation.result], rel=1e-9)
        values[equation.result] = answer
    assert {name for name in STEP.results if values[name] is not None} <= given


@pytest.mark.parametrize(
    ("rule", "changes", "state"),
    [
        ("ring reached", {}, "holds"),
        ("ring reached", {"wanted_crossover_above_ride": 7}, "fails"),
        ("ring reached", {"bump_limit": None}, "not checked"),
        ("past the crossover at rest", {}, "holds"),
        (
            "past the crossover at rest",
            {"counted_from": "full extension", "wanted_crossover_above_ride": 3},
            "fails",
        ),
        ("springs seated", {}, "holds"),
        ("springs seated", {"preload": -0.5}, "close"),
        ("tender works", {}, "holds"),
        ("tender works", {"preload": -3, "counted_from": "full extension", "ride_travel": None}, "fails"),
        ("adjuster after the ring", {"adjuster_move": 0.1}, "holds"),
        ("adjuster after the ring", {"adjuster_move": 1}, "close"),
        ("adjuster after the ring", {}, "not checked"),
    ],
)
def test_each_finding_in_each_of_its_states(rule, changes, state):
    assert finding(rule, **changes).state == state


@pytest.mark.parametrize(
    ("changes", "field", "message"),
    [
        (
            {"ride_travel": None},
            "ride_travel",
            "Ride position, from full extension is missing. Allowed: from 0.00\u00a0in to 30.00\u00a0in. "
            "Typical: 5.00\u00a0in.",
        ),
        (
            {"measured_at": "wheels"},
            "motion_ratio",
            "Motion ratio is missing. Allowed: from 0.100 to 2.000. Typical: 0.970.",
        ),
        (
            {"measured_at": "one wheel", "motion_ratio": 0.9, "track": 64},
            "spring_base",
            "Effective spring base is missing. Allowed: from 7.9\u00a0in to 102.4\u00a0in. Typical: 39.4\u00a0in.",
        ),
        (
            {"measured_at": "one wheel", "motion_ratio": 0.9, "spring_base": 37},
            "track",
            "Track is missing. Allowed: from 31.5\u00a0in to 118.1\u00a0in. Typical: 64.6\u00a0in.",
        ),
    ],
)
def test_what_a_way_of_counting_needs_is_told_beside_its_field(changes, field, message):
    with pytest.raises(MissingError) as caught:
        crossover(**wren(**changes))
    assert caught.value.field == field
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("wrong", "right", "field", "message"),
    [
        (
            {"ride_travel": 11.6},
            {"ride_travel": 11.5, "wanted_crossover_above_ride": 0},
            "ride_travel",
            "The ride position, 11.60\u00a0in from full extension, is beyond full bump, 11.50\u00a0in. "
            "Allowed: from 0 to full bump.",
        ),
        (
            {"preload": -3, "loose_divider": "tender", "counted_from": "full extension"},
            {"preload": -2.4, "loose_divider": "tender", "counted_from": "full extension"},
            "wanted_crossover_above_ride",
            "The crossover at 2.50\u00a0in from full extension would come before the main reaches the divider at "
            "3.00\u00a0in. Allowed: a crossover after the springs are seated.",
        ),
        (
            {"adjuster_move": -1.5},
            {"adjuster_move": -1.2},
            "adjuster_move",
            "With a preload of 1.25\u00a0in, turning the adjuster by \u22121.50\u00a0in leaves the springs loose at full "
            "extension. Allowed: what keeps the preload at 0 or more.",
        ),
        (
            {"adjuster_move": -3, "preload": 4, "ride_travel": 0.5, "wanted_crossover_above_ride": 1},
            {"adjuster_move": -2.6, "preload": 4, "ride_travel": 0.5, "wanted_crossover_above_ride": 1},
            "adjuster_move",
            "Turning the adjuster by \u22123.00\u00a0in would bring the divider onto the ring before any travel. "
            "Allowed: what leaves a ring gap of 0 or more.",
        ),
    ],
)
def test_contradictions_are_refused_with_their_whole_message(wrong, right, field, message):
    crossover(**wren(**right))
    with pytest.raises(ContradictionError) as caught:
        crossover(**wren(**wrong))
    assert caught.value.field == field
    assert str(caught.value) == message


def test_arrays_give_what_single_values_give():
    count = 40
    random = np.random.default_rng(3)
    arrays = {
        "tender_rate": random.uniform(100, 400, count) * LB_IN,
        "main_rate": random.uniform(200, 700, count) * LB_IN,
        "preload": random.uniform(0.5, 3, count) * INCH,
        "wanted_crossover_above_ride": random.uniform(0, 5, count) * INCH,
        "adjuster_move": random.uniform(-0.5, 2, count) * INCH,
    }
    fixed = {name: value for name, value in wren().items() if name not in arrays}
    together = crossover(**fixed, **arrays)
    for index in range(count):
        alone = crossover(**fixed, **{name: float(values[index]) for name, values in arrays.items()})
        for name in STEP.results:
            value = getattr(alone, name)
            if value is not None:
                assert math.isclose(getattr(together, name)[index], value, rel_tol=1e-12), name
