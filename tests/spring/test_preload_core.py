"""Preload and ride: hand values, both sides of the crossover, findings and refusals with their whole messages."""

import math

import numpy as np
import pytest

from calc import formula
from calc.errors import ContradictionError, MissingError
from calc.spring.preload import STEP, preload
from calc.step import run

INCH = 0.0254
LBF = 0.45359237 * 9.80665
LB_IN = LBF / INCH
SCALES = {"axial_load": LBF, "gas_force": LBF, "stack_rate": LB_IN, "stack_rate_past_crossover": LB_IN}


def wren(**changes):
    """Wren's front with the crew aboard in SI, with changes given in shop units."""
    shop = {
        "axial_load": 1159.0,
        "gas_force": 146.0,
        "stack_rate": 160.0,
        "stack_rate_past_crossover": 450.0,
        "crossover_travel": 7.5,
        "preload": 1.25,
        "bump_limit": 11.5,
        **changes,
    }
    return {
        name: value * SCALES.get(name, INCH) if isinstance(value, (int, float)) else value
        for name, value in shop.items()
        if value is not None
    }


def finding(rule, **changes):
    return next(item for item in run(STEP, wren(**changes)).findings if item.rule == rule)


def test_before_the_crossover_by_hand():
    """1013 / 160 = 6.33125 in of shortening, less 1.25 in."""
    found = preload(**wren())
    assert found.ride_travel / INCH == pytest.approx(5.08125, abs=1e-9)
    assert found.bump_left / INCH == pytest.approx(6.41875, abs=1e-9)
    assert found.droop_left == found.ride_travel
    assert found.sag_share == pytest.approx(5.08125 / 11.5, abs=1e-12)
    assert found.crossover_above_ride / INCH == pytest.approx(7.5 - 5.08125, abs=1e-9)


def test_past_the_crossover_by_hand():
    """At the crossover 160 × 8.75 = 1400 lbf; the other 450 of 1850 lbf take 1 in of the main."""
    found = preload(**wren(axial_load=1996))
    assert found.ride_travel / INCH == pytest.approx(8.5, abs=1e-9)
    assert found.crossover_above_ride / INCH == pytest.approx(-1.0, abs=1e-9)


def test_a_strap_only_ends_droop_sooner():
    plain, strapped = preload(**wren()), preload(**wren(strap_travel=1))
    assert strapped.ride_travel == plain.ride_travel
    assert (plain.droop_left - strapped.droop_left) / INCH == pytest.approx(1.0, abs=1e-12)
    assert strapped.sag_share == pytest.approx(4.08125 / 10.5, abs=1e-12)


def test_what_the_springs_cannot_do_ends_at_stop_and_strap_and_is_said():
    heavy = run(STEP, wren(axial_load=5000)).values
    assert heavy["ride_travel"] / INCH == pytest.approx(11.5)
    # 4854 lbf: 1400 to the crossover, 3454 / 450 in past it.
    assert heavy["free_travel"] / INCH == pytest.approx(7.5 + 3454 / 450, abs=1e-9)
    assert finding("held up", axial_load=5000).state == "fails"
    light = run(STEP, wren(axial_load=250, strap_travel=0.5)).values
    assert light["ride_travel"] / INCH == pytest.approx(0.5)
    assert light["free_travel"] / INCH == pytest.approx(104 / 160 - 1.25, abs=1e-9)
    assert finding("pulled down by its load", axial_load=250, strap_travel=0.5).state == "fails"


@pytest.mark.parametrize("wanted", [3.0, 5.0, 7.5, 8.5, 10.0])
def test_the_preload_for_a_wanted_ride_gives_that_ride(wanted):
    found = preload(**wren(axial_load=2000, wanted_ride_travel=wanted))
    again = preload(**wren(axial_load=2000, preload=float(found.wanted_preload / INCH)))
    assert again.ride_travel / INCH == pytest.approx(wanted, abs=1e-9)


def test_turns_follow_from_the_thread():
    found = preload(**wren(wanted_ride_travel=5.0), adjuster_turns_per_length=12 / INCH)
    # 6.33125 - 5 = 1.33125 in, so 0.08125 in more, times 12.
    assert found.preload_turns == pytest.approx(0.975, abs=1e-9)


def test_one_spring_and_two_without_a_ring_have_no_crossover():
    for kind in ("single", "no ring"):
        found = preload(**wren(stack_kind=kind, crossover_travel=None, stack_rate_past_crossover=None, axial_load=1996))
        assert found.crossover_above_ride is None
        assert found.ride_travel / INCH == pytest.approx(1850 / 160 - 1.25, abs=1e-9)


REGIMES = [
    {"wanted_ride_travel": 5},
    {"axial_load": 1996, "wanted_ride_travel": 9},
    {"axial_load": 5000},
    {"axial_load": 250, "strap_travel": 0.5},
    {"preload": -0.5},
    {"preload": -3, "crossover_travel": 2},
    {
        "stack_kind": "no ring",
        "crossover_travel": None,
        "stack_rate_past_crossover": None,
        "wanted_ride_travel": 5,
    },
]


@pytest.mark.parametrize("changes", REGIMES, ids=str)
def test_the_equations_hold_in_every_regime(changes):
    values = dict(run(STEP, wren(stroke=12, **changes)).values)
    given = set()
    for equation in STEP.equations:
        needed = {*formula.names(equation.text), *(formula.names(equation.when) if equation.when else ())}
        if any(values.get(name) is None for name in needed):
            continue
        if equation.when and not formula.evaluate(equation.when, values):
            continue
        assert equation.result not in given
        given.add(equation.result)
        assert float(formula.evaluate(equation.text, values)) == pytest.approx(values[equation.result], rel=1e-9)
    assert {name for name in STEP.results if values[name] is not None} == given


@pytest.mark.parametrize(
    ("rule", "changes", "state"),
    [
        ("held up", {}, "holds"),
        ("stop touched at rest", {"stop_touch_travel": 9.5}, "holds"),
        ("stop touched at rest", {"stop_touch_travel": 4}, "fails"),
        ("stop touched at rest", {"stop_touch_travel": 5.1}, "close"),
        ("stop touched at rest", {}, "not checked"),
        ("pulled down by its load", {}, "holds"),
        ("bump left", {"wanted_bump": 4.5}, "holds"),
        ("bump left", {"wanted_bump": 7}, "fails"),
        ("bump left", {}, "not checked"),
        ("droop left", {"wanted_droop": 3}, "holds"),
        ("droop left", {"wanted_droop": 6}, "fails"),
        ("past the crossover at rest", {}, "holds"),
        ("past the crossover at rest", {"crossover_travel": 5.1}, "close"),
        ("past the crossover at rest", {"axial_load": 1996}, "fails"),
        ("wanted ride before the crossover", {"wanted_ride_travel": 5}, "holds"),
        ("wanted ride before the crossover", {"wanted_ride_travel": 9}, "close"),
        ("wanted preload seats the springs", {"wanted_ride_travel": 5}, "holds"),
        ("wanted preload seats the springs", {"wanted_ride_travel": 7}, "fails"),
        (
            "wanted preload within the adjuster",
            {"wanted_ride_travel": 5, "adjuster_setting": 2.95, "adjuster_left": 1.05},
            "holds",
        ),
        (
            "wanted preload within the adjuster",
            {"wanted_ride_travel": 3, "adjuster_setting": 2.95, "adjuster_left": 1.05},
            "fails",
        ),
        (
            "wanted preload within the adjuster",
            {"wanted_ride_travel": 6, "adjuster_setting": 0.5, "adjuster_left": 3},
            "fails",
        ),
        ("wanted preload within the adjuster", {"wanted_ride_travel": 5}, "not checked"),
    ],
)
def test_each_finding_in_each_of_its_states(rule, changes, state):
    assert finding(rule, **changes).state == state


def test_a_ring_needs_its_crossover_and_its_rate():
    with pytest.raises(MissingError) as caught:
        preload(**wren(crossover_travel=None))
    assert str(caught.value) == (
        "Crossover, from full extension is missing. Allowed: from 0.00\u00a0in to 40.00\u00a0in. Typical: 7.50\u00a0in."
    )
    with pytest.raises(MissingError) as caught:
        preload(**wren(stack_rate_past_crossover=None))
    assert caught.value.field == "stack_rate_past_crossover"


@pytest.mark.parametrize(
    ("wrong", "right", "field", "message"),
    [
        (
            {"gas_force": 1159},
            {"gas_force": 1150},
            "gas_force",
            "The gas force, 1,159\u00a0lbf, is not less than the axial load, 1,159\u00a0lbf: it would hold the damper fully "
            "extended. Allowed: 0 and more, and below the axial load.",
        ),
        (
            {"strap_travel": 5, "bump_limit": 5},
            {"strap_travel": 5, "bump_limit": 5.01},
            "strap_travel",
            "Full droop, 5.00\u00a0in from full extension, is not before full bump, 5.00\u00a0in. "
            "Allowed: 0 and more, and below full bump.",
        ),
        (
            {"stroke": 11},
            {"stroke": 11.5},
            "bump_limit",
            "Full bump, 11.50\u00a0in from full extension, is beyond the damper's stroke, 11.00\u00a0in. "
            "Allowed: up to the stroke.",
        ),
        (
            {"wanted_ride_travel": 12},
            {"wanted_ride_travel": 11.5},
            "wanted_ride_travel",
            "The wanted ride position, 12.00\u00a0in from full extension, is not between full droop, 0.00\u00a0in, "
            "and full bump, 11.50\u00a0in. Allowed: from full droop to full bump.",
        ),
        (
            {"wanted_ride_travel": 0.9, "strap_travel": 1},
            {"wanted_ride_travel": 1.01, "strap_travel": 1},
            "wanted_ride_travel",
            "The wanted ride position, 0.90\u00a0in from full extension, is not between full droop, 1.00\u00a0in, "
            "and full bump, 11.50\u00a0in. Allowed: from full droop to full bump.",
        ),
    ],
)
def test_contradictions_are_refused_with_their_whole_message(wrong, right, field, message):
    preload(**wren(**right))
    with pytest.raises(ContradictionError) as caught:
        preload(**wren(**wrong))
    assert caught.value.field == field
    assert str(caught.value) == message


def test_arrays_give_what_single_values_give():
    count = 40
    random = np.random.default_rng(5)
    arrays = {
        "axial_load": random.uniform(200, 4000, count) * LBF,
        "preload": random.uniform(-2, 4, count) * INCH,
        "crossover_travel": random.uniform(0, 12, count) * INCH,
        "wanted_ride_travel": random.uniform(0, 11, count) * INCH,
    }
    fixed = {name: value for name, value in wren().items() if name not in arrays}
    together = preload(**fixed, **arrays)
    for index in range(count):
        alone = preload(**fixed, **{name: float(values[index]) for name, values in arrays.items()})
        for name in STEP.results:
            value = getattr(alone, name)
            if value is not None:
                column = np.broadcast_to(getattr(together, name), (count,))
                assert math.isclose(column[index], value, rel_tol=1e-12, abs_tol=1e-15), name


def test_the_chart_meets_the_load_at_ride():
    from calc.quantity import SHOP

    outcome = run(STEP, wren(axial_load=1996))
    chart = STEP.chart(outcome.values, SHOP)
    dot = chart.panels[0].dots[0]
    assert dot.x == pytest.approx(8.5)
    assert dot.y == pytest.approx(1850)
