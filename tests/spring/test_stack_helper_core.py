"""The stack step with a helper on top: hand values, every regime's working, findings, and refusals with their messages."""

import math
from itertools import product

import numpy as np
import pytest

from calc import formula
from calc.errors import ContradictionError, MissingError
from calc.quantity import SHOP
from calc.spring.stack import STEP, stack
from calc.step import attempt, run

INCH = 0.0254
LBF = 0.45359237 * 9.80665
LB_IN = LBF / INCH


def helped(**changes):
    """A 60 lb/in helper, 4 in long and 1 in solid, over a tender of 250 and a main of 450 lb/in; changes in inches, lb/in."""
    inputs = {
        "helper_kind": "free",
        "helper_rate": 60 * LB_IN,
        "helper_free_length": 4 * INCH,
        "helper_solid_length": 1 * INCH,
        "tender_rate": 250 * LB_IN,
        "tender_free_length": 8 * INCH,
        "tender_solid_length": 2.5 * INCH,
        "main_rate": 450 * LB_IN,
        "main_free_length": 12 * INCH,
        "main_solid_length": 5 * INCH,
        "preload": 1.0 * INCH,
        "ring_gap": 5.5 * INCH,
        "bump_limit": 11.5 * INCH,
        "ride_travel": 6 * INCH,
        "seat_space": 26.5 * INCH,
        "divider_thickness": 0.8 * INCH,
        "adjuster_range": 4 * INCH,
        "ring_thickness": 1.125 * INCH,
        "thread_length": 12 * INCH,
        "body_length": 15 * INCH,
    }
    for name, value in changes.items():
        scale = LB_IN if name.endswith("_rate") else INCH
        inputs[name] = value * scale if isinstance(value, (int, float)) else value
    return {name: value for name, value in inputs.items() if value is not None}


def test_hand_values_of_three_springs():
    """Worked by hand, in inches and lbf.

    Series of all: 1 / (1/60 + 1/250 + 1/450) = 43.6893 lb/in; the pair 160.714. The preload of 1 in holds 43.689 lbf:
    helper 0.72816, tender 0.17476. The helper closes at 3 × 60 = 180 lbf, in all 3 + 0.72 + 0.4 = 4.12 in, less the
    preload 3.12 in. The ring is met when both have gone 0.90291 + 5.5 = 6.40291 in: the tender 3.40291 in, 850.728 lbf,
    the main 1.89051 in; in all 8.29342 in, less the preload 7.29342 in.
    At full bump the main has 7 - (12.5 - 6.40291) = 0.90291 in, the tender 5.5 - 3.40291 = 2.09709 in.
    """
    found = stack(**helped())
    assert found.stack_rate / LB_IN == pytest.approx(160.7143, abs=1e-4)
    assert found.helper_stack_rate / LB_IN == pytest.approx(43.6893, abs=1e-4)
    assert found.preload_force / LBF == pytest.approx(43.6893, abs=1e-4)
    assert found.helper_closed_travel / INCH == pytest.approx(3.12, abs=1e-9)
    assert found.helper_open_at_rest == 0.0
    assert found.crossover_travel / INCH == pytest.approx(7.29342, abs=1e-5)
    assert found.main_left / INCH == pytest.approx(0.90291, abs=1e-5)
    assert found.tender_left / INCH == pytest.approx(2.09709, abs=1e-5)
    # 26.5 + 1 less springs of 4, 8 and 12 in and two dividers of 0.8 in.
    assert found.adjuster_setting / INCH == pytest.approx(1.9, abs=1e-9)
    # Helper 4 in, divider 0.8 in and tender 8 in, both springs 0.90291 in shorter, less the gap.
    assert found.ring_below_seat / INCH == pytest.approx(12.8 - 0.90291 - 5.5, abs=1e-5)
    # The ring's top lies 1.125 in higher; the helper's divider ends 4 - 0.72816 + 0.8 in below the seat.
    assert found.ring_room / INCH == pytest.approx(12.8 - 0.90291 - 5.5 - 1.125 - 4.07184, abs=1e-5)


REGIMES = [
    {},
    {"ride_travel": 2.0},
    {"preload": 5.0, "ring_gap": 3.0},
    {"ring_gap": 2.0},
    {"ring_gap": 12.0},
    {"strap_travel": 1.5},
    {"strap_travel": 4.0},
    {"stack_kind": "no ring", "ring_gap": None},
    {"stack_kind": "no ring", "ring_gap": None, "tender_free_length": 12},
    {"stack_kind": "single", "tender_rate": None, "ring_gap": None, "ride_travel": 3.0},
    {"helper_kind": "ring", "helper_ring_gap": 1.0},
    {"helper_kind": "ring", "helper_ring_gap": 9.0},
    {"helper_kind": "ring", "helper_ring_gap": 1.0, "stack_kind": "single", "tender_rate": None, "ring_gap": None},
]


# Loose or tight, with the dividers on either spring, the rings near and far, the strap short and long: every line at once.
for _kind, _helper, _loose, _place in product(
    ("single", "no ring", "ring"), ("none", "free", "ring"), ("main", "tender"), (-3.5, -1.5, -0.2, 0.0, 4.0)
):
    for _gap, _helper_gap, _strap in ((0.2, 0.4, 0.0), (1.0, 2.6, 0.1), (4.86, 0.1, 2.0), (9.0, 9.0, 3.9)):
        REGIMES.append(
            {
                "stack_kind": _kind,
                "helper_kind": _helper,
                "loose_divider": _loose,
                "preload": _place,
                "helper_ring_gap": _helper_gap,
                "strap_travel": _strap,
                "ride_travel": 4.0,
                **({} if _kind == "single" else {"ring_gap": _gap}),
                **({"tender_rate": None, "ring_gap": None, "main_free_length": 24} if _kind == "single" else {}),
            }
        )


@pytest.mark.parametrize("changes", REGIMES, ids=[" ".join(f"{k}={v}" for k, v in item.items()) for item in REGIMES])
def test_the_equations_hold_in_every_regime(changes):
    outcome = run(STEP, helped(**changes))
    values = dict(outcome.values)
    given = set()
    for equation in STEP.equations:
        needed = {*formula.names(equation.text), *(formula.names(equation.when) if equation.when else ())}
        if any(values.get(name) is None for name in needed):
            continue
        if equation.when and not formula.evaluate(equation.when, values):
            continue
        answer = float(formula.evaluate(equation.text, values))
        if equation.result in STEP.results:
            assert answer == pytest.approx(values[equation.result], rel=1e-9, abs=1e-12), equation.text
        assert equation.result not in given, f"two lines for {equation.result}"
        given.add(equation.result)
        values[equation.result] = answer
    assert {name for name in STEP.results if outcome.values[name] is not None} == given & set(STEP.results)


def test_a_helper_that_does_not_close_says_so():
    outcome = run(STEP, helped(ride_travel=2.0))
    found = next(item for item in outcome.findings if item.rule == "helper closed at rest")
    # All three share 3 in: 131.07 lbf shorten the helper by 2.18 of its 3 in.
    assert found.state == "fails"
    assert found.text.replace("\u00a0", " ") == (
        "At rest the helper is still open by 0.82 in: the rig rides on all springs in series, far softer. "
        "Take a shorter or a softer helper."
    )
    closed = next(item for item in run(STEP, helped()).findings if item.rule == "helper closed at rest")
    assert (closed.state, closed.text) == (
        "holds",
        "At rest the helper is closed: the rate there is that of the springs under it.",
    )


def test_a_helper_without_its_numbers_is_told_beside_its_field():
    wanted = {
        "helper_rate": "Helper rate is missing. Allowed: from 5.7\u00a0lb/in to 5,710.1\u00a0lb/in. "
        "Typical: 60.0\u00a0lb/in.",
        "helper_free_length": "Helper free length is missing. Allowed: from 1.00\u00a0in to 40.00\u00a0in. "
        "Typical: 4.00\u00a0in.",
        "helper_solid_length": "Helper solid length is missing. Allowed: from 0.20\u00a0in to 30.00\u00a0in. "
        "Typical: 1.00\u00a0in.",
    }
    for name, message in wanted.items():
        with pytest.raises(MissingError) as caught:
            stack(**helped(**{name: None}))
        assert str(caught.value) == message
    with pytest.raises(MissingError) as caught:
        stack(**helped(helper_kind="ring"))
    assert caught.value.field == "helper_ring_gap"


def test_a_helper_longer_solid_than_free_is_refused():
    stack(**helped(helper_solid_length=3.9))
    with pytest.raises(ContradictionError) as caught:
        stack(**helped(helper_solid_length=4.0))
    assert caught.value.field == "helper_solid_length"
    assert str(caught.value) == (
        "The helper's solid length, 4.00\u00a0in, is not less than its free length, 4.00\u00a0in. "
        "Allowed: below the free length."
    )
    # What stands in the fields of a helper that is not there is not looked at.
    stack(**helped(helper_kind="none", helper_solid_length=4.0))


def test_without_a_helper_its_entries_change_nothing():
    plain = {name: value for name, value in helped(helper_kind="none").items() if not name.startswith("helper_")}
    assert stack(**plain) == stack(**helped(helper_kind="none"))


def test_arrays_give_what_single_values_give():
    count = 40
    random = np.random.default_rng(5)
    arrays = {
        "helper_rate": random.uniform(20, 100, count) * LB_IN,
        "tender_rate": random.uniform(100, 400, count) * LB_IN,
        "main_rate": random.uniform(200, 700, count) * LB_IN,
        "preload": random.uniform(-1.5, 5, count) * INCH,
        "ring_gap": random.uniform(0, 9, count) * INCH,
    }
    fixed = {name: value for name, value in helped().items() if name not in arrays}
    together = stack(**fixed, **arrays)
    for index in range(count):
        alone = stack(**fixed, **{name: float(values[index]) for name, values in arrays.items()})
        for name in STEP.results:
            value = getattr(alone, name)
            if value is not None:
                column = np.broadcast_to(getattr(together, name), (count,))
                assert math.isclose(column[index], value, rel_tol=1e-12, abs_tol=1e-15), name


def test_the_chart_has_a_kink_where_the_helper_closes():
    outcome = run(STEP, helped())
    points = STEP.chart(outcome.values, SHOP).panels[0].curves[0].points
    assert [round(x, 3) for x, _ in points] == [0.0, 3.12, 7.293, 11.5]
    assert [round(y, 1) for _, y in points] == [43.7, 180.0, 850.7, 2743.7]


def test_findings_of_a_stack_without_a_helper_do_not_ask_for_one():
    done = attempt(
        STEP, {name: value for name, value in helped(helper_kind="none").items() if name != "ring_thickness"}
    )
    texts = {item.rule: item.text for item in done.outcome.findings}
    assert (
        texts["ring inside the tender"] == "Whether the ring stack fits inside the tender: needs ring with its jam nut."
    )
