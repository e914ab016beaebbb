"""The stack step: hand values, the named findings, refusals with their whole messages, and the loose stack."""

import math

import numpy as np
import pytest

from calc import formula
from calc.errors import ContradictionError, MissingError
from calc.spring.stack import STEP, stack
from calc.step import attempt, run

INCH = 0.0254
LBF = 0.45359237 * 9.80665
LB_IN = LBF / INCH


def wren(**changes):
    """Wren's front set in SI, with changes given in inches and lb/in."""
    inputs = {
        "tender_rate": 250 * LB_IN,
        "tender_free_length": 10 * INCH,
        "tender_solid_length": 3.5 * INCH,
        "main_rate": 450 * LB_IN,
        "main_free_length": 14 * INCH,
        "main_solid_length": 6.3 * INCH,
        "preload": 1.25 * INCH,
        "ring_gap": 4.86 * INCH,
        "bump_limit": 11.5 * INCH,
        "ride_travel": 5.05 * INCH,
        "seat_space": 26.5 * INCH,
        "divider_thickness": 0.8 * INCH,
        "adjuster_range": 4 * INCH,
    }
    for name, value in changes.items():
        scale = LB_IN if name.endswith("_rate") else INCH
        inputs[name] = value * scale if isinstance(value, (int, float)) else value
    return {name: value for name, value in inputs.items() if value is not None}


def finding(rule, **changes):
    outcome = run(STEP, wren(**changes))
    return next(item for item in outcome.findings if item.rule == rule)


def test_series_rate_and_crossover_by_exact_arithmetic():
    """Tender 200 over main 300 lb/in whose tender closes after 2 in: 120 lb/in, 10/3 in, 400 lbf, then 300 lb/in."""
    found = stack(tender_rate=200 * LB_IN, main_rate=300 * LB_IN, preload=0.0, ring_gap=2 * INCH, bump_limit=10 * INCH)
    assert found.stack_rate / LB_IN == pytest.approx(120, abs=1e-9)
    assert found.crossover_travel / INCH == pytest.approx(10 / 3, abs=1e-9)
    assert found.stack_rate * found.crossover_travel / LBF == pytest.approx(400, abs=1e-9)
    assert found.stack_rate_past_crossover / LB_IN == pytest.approx(300, abs=1e-9)


@pytest.mark.parametrize("preload", [0.0, 0.5, 1.25, 3.0])
def test_the_crossover_does_not_depend_on_preload(preload):
    assert stack(**wren(preload=preload)).crossover_travel == stack(**wren()).crossover_travel


def test_a_later_crossover_saves_the_main_and_spends_the_tender():
    early, late = stack(**wren(ring_gap=4.0)), stack(**wren(ring_gap=5.0))
    # 1 in of gap is 14/9 in of travel; of it the tender takes 9/14 and the main no longer takes 1 in of 14/9.
    assert (late.main_left - early.main_left) / INCH == pytest.approx(1.0, abs=1e-9)
    assert (early.tender_left - late.tender_left) / INCH == pytest.approx(1.0, abs=1e-9)


def test_without_a_ring_both_work_all_the_way():
    """(1.25 + 11.5) in shared 9 to 5: tender 8.196, main 4.554."""
    found = stack(**wren(stack_kind="no ring", ring_gap=None))
    assert found.crossover_travel is None
    assert found.stack_rate_past_crossover is None
    assert found.tender_left / INCH == pytest.approx(6.5 - 12.75 * 9 / 14, abs=1e-9)
    # The tender would need more than it has, so it binds and the main takes what is left over.
    assert found.main_left / INCH == pytest.approx(7.7 - (12.75 - 6.5), abs=1e-9)


def test_one_spring_takes_everything():
    found = stack(
        **wren(stack_kind="single", tender_rate=None, ring_gap=None, main_free_length=22, main_solid_length=9)
    )
    assert found.stack_rate / LB_IN == pytest.approx(450)
    assert found.main_left / INCH == pytest.approx(22 - 9 - 12.75, abs=1e-9)
    assert found.adjuster_setting / INCH == pytest.approx(1.25 + 26.5 - 22, abs=1e-9)
    for name in ("crossover_travel", "tender_left", "ring_place", "ring_gap_at_droop", "body_left"):
        assert getattr(found, name) is None


def test_a_strap_counts_the_same_stack_from_another_place():
    """The preload becomes p + x_0, the gap g - x_0 k_m/(k_t + k_m), with 2 in of strap: 3.25 in and 4.86 - 2 × 9/14 = 3.574 in."""
    found = stack(**wren(strap_travel=2))
    assert found.preload_at_droop / INCH == pytest.approx(3.25, abs=1e-9)
    assert found.ring_gap_at_droop / INCH == pytest.approx(4.86 - 18 / 14, abs=1e-9)


def test_the_gap_of_a_turned_adjuster_grows_by_the_mains_share():
    """The ring's height on the body stays; half an inch down takes the gap from 4.86 to 4.86 + 0.5 × 250/700."""
    before = stack(**wren())
    after = stack(**wren(preload=1.75, ring_gap=4.86 + 0.5 * 250 / 700))
    assert after.ring_place == pytest.approx(before.ring_place, rel=1e-12)


@pytest.mark.parametrize(
    ("divider", "gap", "crossover"),
    [
        # Loose by 0.9 in: hanging, 0.9 + 1.8 × 14/9; resting, 0.9 + (1.8 - 0.9) × 14/9; resting and gap below 0.9 in.
        ("tender", 1.8, 0.9 + 2.8),
        ("main", 1.8, 0.9 + 1.4),
        ("main", 0.5, 0.5),
    ],
)
def test_a_loose_stack_crosses_over_later_or_sooner_by_where_its_divider_waits(divider, gap, crossover):
    found = stack(**wren(preload=-0.9, ring_gap=gap, loose_divider=divider))
    assert found.crossover_travel / INCH == pytest.approx(crossover, abs=1e-9)
    assert found.preload_force == 0.0


REGIMES = [
    {},
    {"ring_gap": 9.0},
    {"strap_travel": 1.5},
    {"tender_free_length": 8.5},
    {"stack_kind": "no ring", "ring_gap": None},
    {"stack_kind": "no ring", "ring_gap": None, "tender_free_length": 14, "tender_solid_length": 4},
    {"stack_kind": "single", "tender_rate": None, "ring_gap": None},
    {"preload": -0.9, "ring_gap": 3.0},
    {"preload": -0.9, "ring_gap": 3.0, "strap_travel": 0.4},
    {"preload": -0.9, "ring_gap": 3.0, "strap_travel": 2.0},
    {"preload": -0.9, "ring_gap": 0.5},
    {"preload": -0.9, "ring_gap": 3.0, "loose_divider": "tender"},
    {"preload": -0.9, "ring_gap": 3.0, "loose_divider": "tender", "strap_travel": 2.0},
    {"preload": -0.9, "stack_kind": "no ring", "ring_gap": None},
    {"preload": -0.9, "stack_kind": "single", "tender_rate": None, "ring_gap": None},
]


@pytest.mark.parametrize("changes", REGIMES, ids=[" ".join(f"{k}={v}" for k, v in item.items()) for item in REGIMES])
def test_the_equations_hold_in_every_regime(changes):
    hardware = {"ring_thickness": 1.125, "thread_length": 10, "body_length": 14}
    outcome = run(STEP, wren(**{**hardware, **changes}))
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
        else:
            assert equation.result not in given, f"two lines for {equation.result}"
        given.add(equation.result)
        values[equation.result] = answer
    told = {name for name in STEP.results if outcome.values[name] is not None}
    # Only the divider of a loose stack without a ring, or one that stands on its ring, is left without its own line.
    assert told - given <= {"body_left"}


@pytest.mark.parametrize(
    ("rule", "changes", "state"),
    [
        ("ring reached", {}, "holds"),
        ("ring reached", {"ring_gap": 7.45, "tender_free_length": 14}, "close"),
        ("ring reached", {"ring_gap": 8, "tender_free_length": 14}, "fails"),
        ("past the crossover at rest", {}, "holds"),
        ("past the crossover at rest", {"ring_gap": 2.0}, "fails"),
        ("past the crossover at rest", {"ring_gap": 3.25}, "close"),
        ("tender binds before the ring", {}, "holds"),
        ("tender binds before the ring", {"tender_solid_length": 5}, "fails"),
        ("tender binds before the ring", {"tender_solid_length": None}, "not checked"),
        ("tender left", {}, "holds"),
        ("tender left", {"tender_solid_length": 5}, "fails"),
        ("main left", {}, "close"),
        ("main left", {"main_solid_length": 5}, "holds"),
        ("main left", {"main_solid_length": 7}, "fails"),
        ("main left", {"tender_free_length": None}, "not checked"),
        ("tender works", {}, "holds"),
        ("tender works", {"ring_gap": 0}, "fails"),
        ("tender works", {"preload": -0.9, "ring_gap": 0.5}, "fails"),
        ("preload floor", {}, "holds"),
        ("preload floor", {"preload": 0.36}, "close"),
        ("preload floor", {"preload": 0.2}, "fails"),
        ("loose at droop", {}, "holds"),
        ("loose at droop", {"preload": -0.5}, "fails"),
        ("loose at droop", {"preload": -0.5, "strap_travel": 1}, "holds"),
        ("adjuster backed off", {}, "holds"),
        ("adjuster backed off", {"seat_space": 23}, "fails"),
        ("adjuster backed off", {"seat_space": None}, "not checked"),
        ("adjuster reserve", {}, "holds"),
        ("adjuster reserve", {"tender_free_length": 8.5, "tender_solid_length": 3}, "fails"),
        ("adjuster reserve", {"adjuster_range": None}, "not checked"),
        ("ring inside the tender", {"ring_thickness": 1.125}, "holds"),
        ("ring inside the tender", {"ring_thickness": 4, "ring_gap": 5.2}, "close"),
        ("ring inside the tender", {"ring_thickness": 1.125, "ring_gap": 8.5, "tender_free_length": 10}, "fails"),
        ("ring on its thread", {"thread_length": 9}, "holds"),
        ("ring on its thread", {"thread_length": 6}, "fails"),
        ("divider on the body", {"body_length": 14}, "holds"),
        ("divider on the body", {"body_length": 12}, "fails"),
        ("divider on the body", {}, "not checked"),
        ("tender's coil gaps", {"tender_gap_sum": 0.5}, "holds"),
        ("tender's coil gaps", {"tender_gap_sum": 1.5}, "close"),
        ("main's coil gaps", {"main_gap_sum": 1.5}, "close"),
        ("main's coil gaps", {}, "not checked"),
    ],
)
def test_each_named_finding_in_each_of_its_states(rule, changes, state):
    assert finding(rule, **changes).state == state


def test_findings_say_what_to_do_in_whole_sentences():
    said = {
        finding("main left", main_solid_length=7).text: "At full bump the main has \u22120.09 in left before it binds; "
        "the limit is 0.50 in. With this solid length it needs 14.59 in of free length; a later crossover helps too. "
        "Assumed: main, least left, 0.5 in.",
        finding("ring reached", ring_gap=8, tender_free_length=14).text: "The ring is never reached: the crossover at "
        "12.44 in lies beyond full bump at 11.50 in. Lower the ring.",
        finding("divider on the body").text: "Whether the divider stays on the body at droop: needs body below the "
        "adjuster.",
    }
    for text, wanted in said.items():
        assert text.replace("\u00a0", " ") == wanted


def test_the_lengths_that_keep_the_limits_do_keep_them():
    found = stack(**wren(main_solid_length=7, tender_solid_length=5))
    again = stack(
        **wren(
            main_solid_length=7,
            tender_solid_length=5,
            tender_free_length=found.shortest_tender / INCH,
            main_free_length=stack(
                **wren(main_solid_length=7, tender_solid_length=5, tender_free_length=found.shortest_tender / INCH)
            ).shortest_main
            / INCH,
        )
    )
    assert again.tender_left / INCH == pytest.approx(0.375, abs=1e-9)
    assert again.main_left / INCH == pytest.approx(0.5, abs=1e-9)


def test_a_missing_tender_or_ring_is_told_beside_its_field():
    with pytest.raises(MissingError) as caught:
        stack(**wren(tender_rate=None))
    assert str(caught.value) == (
        "Tender rate is missing. Allowed: from 5.7\u00a0lb/in to 5,710.1\u00a0lb/in. Typical: 250.0\u00a0lb/in."
    )
    with pytest.raises(MissingError) as caught:
        stack(**wren(ring_gap=None))
    assert str(caught.value) == (
        "Ring gap is missing. Allowed: from 0.00\u00a0in to 20.00\u00a0in. Typical: 4.86\u00a0in."
    )


REFUSALS = [
    (
        {"tender_solid_length": 10},
        {"tender_solid_length": 9.99},
        "tender_solid_length",
        "The tender's solid length, 10.00\u00a0in, is not less than its free length, 10.00\u00a0in. "
        "Allowed: below the free length.",
    ),
    (
        {"main_solid_length": 14.5},
        {"main_solid_length": 13.9},
        "main_solid_length",
        "The main's solid length, 14.50\u00a0in, is not less than its free length, 14.00\u00a0in. "
        "Allowed: below the free length.",
    ),
    (
        {"strap_travel": 5, "bump_limit": 5, "ride_travel": None},
        {"strap_travel": 5, "bump_limit": 5.01, "ride_travel": None},
        "strap_travel",
        "Full droop, 5.00\u00a0in from full extension, is not before full bump, 5.00\u00a0in. "
        "Allowed: 0 and more, and below full bump.",
    ),
    (
        {"ride_travel": 11.6},
        {"ride_travel": 11.5},
        "ride_travel",
        "The ride position, 11.60\u00a0in from full extension, is not between full droop, 0.00\u00a0in, "
        "and full bump, 11.50\u00a0in. Allowed: from full droop to full bump.",
    ),
    (
        {"ride_travel": 1.9, "strap_travel": 2},
        {"ride_travel": 2.1, "strap_travel": 2},
        "ride_travel",
        "The ride position, 1.90\u00a0in from full extension, is not between full droop, 2.00\u00a0in, "
        "and full bump, 11.50\u00a0in. Allowed: from full droop to full bump.",
    ),
]


@pytest.mark.parametrize(("wrong", "right", "field", "message"), REFUSALS)
def test_contradictions_are_refused_with_their_whole_message(wrong, right, field, message):
    stack(**wren(**right))
    with pytest.raises(ContradictionError) as caught:
        stack(**wren(**wrong))
    assert caught.value.field == field
    assert str(caught.value) == message


def test_a_field_in_error_leaves_the_other_results_standing():
    done = attempt(STEP, wren(tender_solid_length=10.5))
    assert done.errors[0].field == "tender_solid_length"
    values = done.outcome.values
    assert values["crossover_travel"] / INCH == pytest.approx(7.56)
    assert values["tender_left"] is None
    states = {item.rule: item.state for item in done.outcome.findings}
    assert states["tender binds before the ring"] == "not checked"
    assert states["ring reached"] == "holds"


def test_arrays_give_what_single_values_give_in_every_regime():
    count = 60
    random = np.random.default_rng(11)
    arrays = {
        "tender_rate": random.uniform(100, 400, count) * LB_IN,
        "main_rate": random.uniform(200, 700, count) * LB_IN,
        "preload": random.uniform(-1.5, 4, count) * INCH,
        "ring_gap": random.uniform(0, 9, count) * INCH,
        "strap_travel": random.uniform(0, 3, count) * INCH,
        "bump_limit": random.uniform(8, 13, count) * INCH,
    }
    fixed = {name: value for name, value in wren(ride_travel=None).items() if name not in arrays}
    together = stack(**fixed, **arrays)
    for index in range(count):
        alone = stack(**fixed, **{name: float(values[index]) for name, values in arrays.items()})
        for name in STEP.results:
            value = getattr(alone, name)
            if value is not None:
                column = np.broadcast_to(getattr(together, name), (count,))
                assert math.isclose(column[index], value, rel_tol=1e-12, abs_tol=1e-15), name


def test_an_array_is_refused_where_its_lengths_contradict():
    inputs = wren()
    inputs["tender_solid_length"] = np.array([3.5, 11, 3.5]) * INCH
    with pytest.raises(ContradictionError) as caught:
        stack(**inputs)
    assert str(caught.value) == (
        "The tender's solid length, 11.00\u00a0in, is not less than its free length, 10.00\u00a0in. "
        "Allowed: below the free length."
    )


def test_the_chart_ends_where_the_springs_bind():
    from calc.quantity import SHOP

    outcome = run(STEP, wren(main_solid_length=8))
    chart = STEP.chart(outcome.values, SHOP)
    ends = chart.panels[0].curves[0].points[-1]
    # Tender stopped at (1.25 + 7.56) × 9/14 in, main at its 6 in: together less the preload.
    assert ends[0] == pytest.approx(8.81 * 9 / 14 + 6 - 1.25, abs=1e-9)
    assert ends[1] == pytest.approx(450 * 6, rel=1e-9)
