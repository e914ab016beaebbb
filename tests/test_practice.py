"""Practice problems: possible ones, whose tolerance tells the right answer from an unchanged or a known wrong one."""

from __future__ import annotations

import math
from typing import Any

import pytest

from calc import formula
from calc.constants import ATMOSPHERE
from calc.errors import UnknownNameError
from calc.practice import Problem, problem
from calc.quantity import METRIC, SHOP, read
from calc.step import Step, find, run, step_names
from tests.conftest import long_run

STEPS = [step for step in map(find, step_names()) if step.practice]
COUNT = long_run(12, 200)


def drawn(name: str, count: int = COUNT) -> list[Problem]:
    """The first problems of a step, by turns in both unit systems, each of its texts in both."""
    return [problem(name, number, (SHOP, METRIC)[(number // 4) % 2]) for number in range(1, count + 1)]


def test_every_step_has_practice_that_asks_for_one_of_its_results() -> None:
    for step in map(find, step_names()):
        assert step.practice, step.name
        for practice in step.practice:
            assert practice.asks in step.results, (step.name, practice.asks)


@pytest.mark.parametrize("step", STEPS, ids=[step.name for step in STEPS])
def test_problems_are_possible_and_tell_right_from_wrong(step: Step) -> None:
    """No finding is worse than the example's; neither the example's answer nor a wrong way's is right, exact or printed."""
    rank = {"holds": 0, "close": 1, "not checked": 2, "fails": 3}
    usual = {finding.rule: finding.state for finding in run(step, step.example_inputs()).findings}
    example = run(step, step.example_inputs()).values
    for item in drawn(step.name):
        asked, name = item.asked, item.practice.asks
        for finding in item.outcome.findings:
            assert finding.state != "fails", (item.number, finding.text)
            assert rank[finding.state] <= max(rank[usual.get(finding.rule, "holds")], 1), (item.number, finding.text)
        wrong = [float(example[name])]
        wrong += [float(formula.evaluate(text, item.outcome.values)) for text in item.practice.astray]

        def printed(value: float, item: Problem = item) -> float:
            return read(item.display.text(value, item.asked, item.practice.asks), item.asked.within(-1e300, 1e300), "x")

        assert "{" not in item.text(), item.text()
        assert item.right(item.answer), item.number
        assert item.right(printed(item.answer)), (item.number, item.answer, item.tolerance)
        for other in wrong:
            assert not item.right(other), (item.number, item.text(), asked.label, other)
            assert not item.right(printed(other)), (item.number, item.text(), asked.label, other)


def test_turning_that_changes_nothing_is_not_an_answer() -> None:
    """The cross weight before the turning, from the scale readings alone."""
    for number in range(1, long_run(4, 41)):
        item = problem("rest", number)
        values = item.outcome.values
        diagonal = values["right_front_mass"] + values["left_rear_mass"]
        before = diagonal / (diagonal + values["left_front_mass"] + values["right_rear_mass"])
        assert abs(before - item.answer) > 0.001, number
        assert not item.right(before), number


def test_gauge_pressure_in_the_gas_law_is_not_an_answer() -> None:
    for number in range(1, long_run(21, 201), 2):
        item = problem("gas", number)
        values = item.outcome.values
        assert item.practice.asks == "gas_force"
        area = math.pi / 4 * values["rod_diameter"] ** 2
        squeezed = values["gas_volume"] / (values["gas_volume"] - area * values["ride_travel"])
        assert item.right(((values["gas_pressure"] + ATMOSPHERE) * squeezed - ATMOSPHERE) * area), number
        assert not item.right(values["gas_pressure"] * squeezed * area), number


def test_a_frequency_without_the_tire_is_not_an_answer() -> None:
    for number in range(1, long_run(21, 201), 2):
        item = problem("natural_frequency", number)
        values = item.outcome.values
        assert item.practice.asks == "natural_frequency"
        wheel = values["axial_rate"] * values["motion_ratio"] ** 2
        wheel += values["axial_load"] * values["motion_ratio_slope"]
        assert not item.right(math.sqrt(wheel / values["sprung_mass_on_spring"]) / (2 * math.pi)), number


def test_a_spring_that_is_read_again_pushes_as_its_other_readings_do() -> None:
    """Each reading lies short of the free length that the line gives: no spring pulls on a press."""
    for item in drawn("measured_rate"):
        for reading in item.outcome.values["readings"]:
            assert reading.spring_length < item.outcome.values["free_length"], item.number
            assert reading.press_force > 0, item.number


def test_practice_that_never_comes_out_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    from dataclasses import replace

    import calc.practice as practice

    unsprung = find("unsprung")
    stuck = replace(unsprung, practice=(replace(unsprung.practice[0], vary=()),))

    def found(_name: str) -> Any:
        return stuck

    monkeypatch.setattr(practice, "find", found)
    with pytest.raises(UnknownNameError, match="Vary what belongs together, or widen its spread"):
        problem("unsprung")


@pytest.mark.parametrize("number", [1, 2])
def test_a_problem_of_a_damper_without_a_knee_is_worked_without_one(number: int) -> None:
    values = problem("rough_road", number).outcome.values
    assert "without a knee" in problem("rough_road", number).text()
    assert values["effective_coefficient"] == pytest.approx(values["damping_coefficient"], rel=1e-12)
