"""What must be true of every step, read from its declaration: nothing here names a step."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import math
import re
import sys
from typing import Any

import numpy as np
import pytest

from calc import formula
from calc.errors import InputError, MissingError, RangeError
from calc.quantity import METRIC, SHOP, Choice, Quantity, Table, Text, read
from calc.step import ROOMS, Step, all_steps, attempt, find, run, step_names, values_of
from calc.units import split_number

STEPS = [find(name) for name in step_names()]
ODD = {"kilogram": 1.7, "meter": 2.3, "second": 0.83, "kelvin": 1.0}


def by_name(steps: list[Step]) -> Any:
    return pytest.mark.parametrize("step", steps, ids=[step.name for step in steps])


def numbers(step: Step) -> dict[str, Quantity]:
    return {name: item.is_a for name, item in step.inputs.items() if isinstance(item.is_a, Quantity)}


def draws(step: Step, count: int) -> list[dict[str, Any]]:
    """Random inputs around the example that the step accepts."""
    generator = np.random.default_rng([len(step.name), count])
    example = step.example_inputs()
    found: list[dict[str, Any]] = []
    for _ in range(60 * count):
        inputs = dict(example)
        for name in numbers(step):
            if isinstance(inputs.get(name), float):
                inputs[name] = inputs[name] * float(generator.uniform(0.85, 1.15))
        try:
            run(step, inputs)
        except InputError:
            continue
        found.append(inputs)
        if len(found) == count:
            break
    return found


@by_name(STEPS)
def test_example_gives_the_expected_results(step: Step) -> None:
    outcome = run(step, step.example_inputs())
    assert step.example.expected
    for name, (expected, tolerance) in step.example.expected.items():
        declared = step.results[name]
        wanted = expected
        if isinstance(expected, str):
            # A printed result: its tolerance is in the printed unit.
            wanted = read(expected, declared.quantity, name)
            tolerance *= declared.quantity.kind.unit(split_number(expected)[1] or "").factor
        assert outcome.values[name] == pytest.approx(wanted, abs=tolerance), name


@by_name(STEPS)
def test_equations_agree_with_the_function(step: Step) -> None:
    tried = draws(step, 12)
    assert len(tried) == 12
    evaluated = 0
    for inputs in [step.example_inputs(), *tried]:
        values = dict(run(step, inputs).values)
        for equation in step.equations:
            needed = {*formula.names(equation.text), *(formula.names(equation.when) if equation.when else ())}
            if any(values.get(name) is None for name in needed):
                continue
            if equation.when and not formula.evaluate(equation.when, values):
                continue
            answer = float(formula.evaluate(equation.text, values))
            if equation.result in step.results:
                assert answer == pytest.approx(values[equation.result], rel=1e-9, abs=1e-12), equation.text
                evaluated += 1
            values[equation.result] = answer
    assert evaluated or not step.equations


@by_name(STEPS)
def test_limits_are_told_in_full_on_both_sides(step: Step) -> None:
    for name, quantity in numbers(step).items():
        shown = {key: SHOP.text(value, quantity) for key, value in (("low", quantity.low), ("high", quantity.high))}
        low = f"above {shown['low']}" if quantity.low_open else f"from {shown['low']}"
        high = (
            f"below {shown['high']}"
            if quantity.high_open
            else ("up to " if quantity.low_open else "to ") + shown["high"]
        )
        joint = f"{low} and {high}" if quantity.low_open or quantity.high_open else f"{low} {high}"
        tail = f" Allowed: {joint}. Typical: {SHOP.text(quantity.typical, quantity)}."
        span = max(abs(quantity.low), abs(quantity.high))
        for limit, outside, is_open, words in (
            (quantity.low, -span, quantity.low_open, "above" if quantity.low_open else "at least"),
            (quantity.high, span, quantity.high_open, "below" if quantity.high_open else "at most"),
        ):
            beyond = limit + outside * 0.01
            with pytest.raises(RangeError) as caught:
                quantity.check(beyond, name)
            got, bound = SHOP.text(beyond, quantity), SHOP.text(limit, quantity)
            assert str(caught.value) == f"{quantity.label} must be {words} {bound} (got {got}).{tail}"
            if is_open:
                with pytest.raises(RangeError):
                    quantity.check(limit, name)
            else:
                assert quantity.check(limit, name) == limit
        assert isinstance(quantity.missing(name), MissingError)
        assert str(quantity.missing(name)) == f"{quantity.label} is missing.{tail}"


@by_name(STEPS)
def test_declarations_are_whole(step: Step) -> None:
    for name, declared in {**step.inputs, **step.results}.items():
        is_a = declared.is_a
        assert is_a.label[:1] == is_a.label[:1].upper() != "", name
        if isinstance(is_a, Quantity):
            assert is_a.help.endswith("."), name
            assert is_a.symbol, name
            assert is_a.low < is_a.high, name
            assert is_a.accepts(is_a.typical), name
            assert is_a.usual is None or is_a.low <= is_a.usual[0] < is_a.usual[1] <= is_a.high, name
            assert is_a.usual is None or is_a.usual[0] <= is_a.typical <= is_a.usual[1], name
    assert step.room in ROOMS
    assert step.question.endswith("?")
    assert step.sources
    assert set(step.example.inputs) <= set(step.inputs)
    assert {name for names in step.groups.values() for name in names} <= set(step.inputs)
    assert set(step.main_results) <= set(step.results)


@by_name(STEPS)
def test_results_scale_as_their_dimensions(step: Step, monkeypatch: pytest.MonkeyPatch) -> None:
    """Other units of mass, length and time must not change what the function says: only how it is counted."""

    def scaled(value: Any, quantity: Quantity) -> Any:
        if value is None or not isinstance(value, (int, float)):
            return value
        exponents = quantity.kind.dimension._asdict()
        return value * math.prod(ODD[base] ** power for base, power in exponents.items())

    def rescaled(declared: Any, value: Any) -> Any:
        if isinstance(declared.is_a, Table):
            columns = declared.is_a.columns()
            return tuple(
                dataclasses.replace(
                    row,
                    **{
                        key: scaled(getattr(row, key), item.is_a)
                        for key, item in columns.items()
                        if isinstance(item.is_a, Quantity)
                    },
                )
                for row in value
            )
        return scaled(value, declared.is_a) if isinstance(declared.is_a, Quantity) else value

    before = run(step, step.example_inputs()).values
    gravity = ODD["meter"] / ODD["second"] ** 2
    pressure = ODD["kilogram"] / ODD["meter"] / ODD["second"] ** 2
    for module in [item for name, item in sys.modules.items() if name.startswith("calc.")]:
        for constant, factor in (
            ("GRAVITY", gravity),
            ("ATMOSPHERE", pressure),
            ("WAVENUMBER", 1 / ODD["meter"]),
            ("SMOOTHNESS", ODD["meter"] ** 3),
        ):
            if hasattr(module, constant):
                monkeypatch.setattr(module, constant, getattr(module, constant) * factor)
    inputs = {name: rescaled(declared, before[name]) for name, declared in step.inputs.items()}
    after = step.function(**inputs)
    for name, declared in step.results.items():
        if isinstance(declared.is_a, Quantity) and before[name] is not None:
            wanted = scaled(before[name], declared.is_a)
            assert float(getattr(after, name)) == pytest.approx(wanted, rel=1e-7, abs=1e-12), name


@by_name(STEPS)
def test_arrays_give_what_single_values_give(step: Step) -> None:
    tried = draws(step, 5)
    names = [name for name in tried[0] if isinstance(tried[0][name], float)]
    fixed = {name: value for name, value in tried[0].items() if name not in names}
    arrays = {name: np.array([inputs[name] for inputs in tried]) for name in names}
    together = step.function(**fixed, **arrays)
    for index, inputs in enumerate(tried):
        alone = run(step, inputs).values
        for name, declared in step.results.items():
            if isinstance(declared.is_a, Quantity) and alone[name] is not None:
                column = np.broadcast_to(getattr(together, name), (len(tried),))
                assert float(column[index]) == pytest.approx(alone[name], rel=1e-12, abs=1e-12), name


@by_name(STEPS)
def test_every_single_missing_input_leaves_the_rest_standing(step: Step) -> None:
    example = step.example_inputs()
    for name in step.inputs:
        done = attempt(step, {key: value for key, value in example.items() if key != name})
        told = [finding.rule for finding in done.outcome.findings]
        assert [check.rule for check in step.checks if check.rule in told] == told
        assert {check.rule for check in step.checks if not check.when} <= set(told)
        for display in (SHOP, METRIC):
            again = attempt(step, {key: value for key, value in example.items() if key != name}, display=display)
            for finding in again.outcome.findings:
                assert finding.text
                assert "{" not in finding.text
                assert "nan" not in finding.text.lower()


@by_name(STEPS)
def test_findings_differ_by_rule_and_print_in_both_systems(step: Step) -> None:
    rules = [check.rule for check in step.checks]
    assert len(set(rules)) == len(rules)
    for display in (SHOP, METRIC):
        for finding in run(step, step.example_inputs(), display=display).findings:
            assert finding.text.endswith(".")
            assert "{" not in finding.text


# Number words that count something else than a limit.
NO_LIMIT = (
    "which takes two or more",
    "near enough to half",
    "the two sides",
    "a spring with two rates",
    "about two swings",
    "Choose between the two",
    "the two come in and out",
    "as two in series",
    "three sigma",
    "Three sigma",
)
NUMBER = re.compile(
    r"\d|\b(?:two|three|four|five|six|seven|eight|nine|ten|dozen|twice|half|third|quarter|fifth|tenth|an inch|a degree)\b"
    r"|percent|%"
)
PRINTED = re.compile(r"\{(?:limit|limits|at_least|at_most|share|factor)\}")


@by_name(STEPS)
def test_the_words_of_a_check_print_its_limit_and_state_none_by_hand(step: Step) -> None:
    for check in step.checks:
        for words in (check.rule, check.holds, check.close, check.fails, check.unchecked):
            bare = re.sub(r"\{\w+\}", "", words)
            for allowed in NO_LIMIT:
                bare = bare.replace(allowed, "")
            assert not NUMBER.findall(bare.lower()), (check.rule, words)
        assert "{doubt}" not in check.holds + check.fails, check.rule
        numbers = [limit for limit in (check.at_least, check.at_most) if isinstance(limit, float) and limit != 0]
        named = [limit for limit in (check.at_least, check.at_most) if isinstance(limit, str)]
        if numbers:
            assert check.source is not None, check.rule
        if numbers or named:
            for words in filter(None, (check.close, check.fails)):
                by_name = any(f"{{{name}}}" in words for name in named)
                assert PRINTED.search(words) or by_name or check.rule in PLAIN, (check.rule, words)


@by_name(STEPS)
def test_a_refusal_names_what_the_step_knows(step: Step) -> None:
    known = {*step.inputs, *(line.result for line in step.equations)}
    for refusal in step.refusals:
        names = known | {line.result for line in refusal.given}
        told = {part for words in (refusal.problem, refusal.allowed) for part in re.findall(r"\{(\w+)\}", words)}
        used = {part for line in refusal.given for part in formula.names(line.text)}
        assert {*formula.names(refusal.when), *told, *used} <= names, refusal
        assert refusal.field in step.inputs, refusal
        assert all(isinstance(step.quantity(name), Quantity) for name in told), refusal


# Rules whose words need no limit: what they say is that nothing of it is there.
PLAIN = ("pulled down by its load",)


@by_name(STEPS)
def test_a_check_declares_its_limit_as_a_number_and_never_inside_a_text(step: Step) -> None:
    for check in step.checks:
        if check.condition:
            assert (check.value, check.at_least, check.at_most, check.times, check.of) == ("", None, None, "", None)
        else:
            assert check.value
            assert (check.of is None) == (check.value in {**step.inputs, **step.results})
            assert all(limit is None or isinstance(limit, (float, str)) for limit in (check.at_least, check.at_most))
            assert not check.times or not any(isinstance(limit, str) for limit in (check.at_least, check.at_most))
        for text in (check.condition, check.value, check.times):
            numbers = {node.value for node in ast.walk(formula.parse(text)) if is_number(node)} if text else set()
            # Only what belongs to a form counts: nothing, one, half, a square.
            assert numbers <= {0.0, 1.0, 2.0} or check.rule in FROM_DATA, (check.rule, text)


# Its limits are those of the table of wire strengths, and tests/core/test_check_limits.py tries each of them.
FROM_DATA = ("strength published for this wire",)


def is_number(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and not isinstance(node.value, str)


def test_one_name_means_one_thing() -> None:
    seen: dict[str, tuple[str, Any]] = {}
    for step in STEPS:
        for name, declared in {**step.inputs, **step.results}.items():
            if not isinstance(declared.is_a, Quantity):
                continue
            meaning = (declared.is_a.kind.name, declared.is_a.symbol)
            assert seen.setdefault(name, meaning) == meaning, f"{name} differs in {step.name}"


def anywhere(step: Step, generator: np.random.Generator) -> dict[str, Any]:
    """The example with some inputs put anywhere in their limits."""

    def placed(quantity: Quantity, value: float) -> float:
        low, high = quantity.low, quantity.high
        ways = (generator.uniform(low, high), generator.choice([low, high]), value * generator.uniform(0.3, 3.0))
        place = float(ways[generator.integers(3)])
        return place if quantity.accepts(place) else value

    inputs = dict(step.example_inputs())
    for name, declared in step.inputs.items():
        if isinstance(declared.is_a, Quantity) and inputs.get(name) is not None and generator.random() < 0.4:
            inputs[name] = placed(declared.is_a, inputs[name])
        elif isinstance(declared.is_a, Choice):
            inputs[name] = str(generator.choice([option.value for option in declared.is_a.options]))
        elif isinstance(declared.is_a, Table):
            columns = declared.is_a.columns().items()
            inputs[name] = tuple(
                dataclasses.replace(
                    row,
                    **{
                        key: placed(item.is_a, getattr(row, key))
                        for key, item in columns
                        if isinstance(item.is_a, Quantity)
                        and getattr(row, key) is not None
                        and generator.random() < 0.2
                    },
                )
                for row in inputs[name]
            )
    return inputs


@by_name(STEPS)
def test_every_result_lies_in_its_own_limits_or_is_refused_with_what_to_do(step: Step) -> None:
    generator = np.random.default_rng([11, len(step.name)])
    given = 0
    for inputs in [step.example_inputs(), *(anywhere(step, generator) for _ in range(25))]:
        try:
            values = values_of(step, inputs)
        except InputError as problem:
            for told in map(str, problem.errors):
                assert "comes out at" not in told or ("Check: " in told and "Possible: from" in told)
            continue
        for name, declared in step.results.items():
            if isinstance(declared.is_a, Quantity) and values[name] is not None:
                given += 1
                near = 1e-9 * max(abs(declared.is_a.low), abs(declared.is_a.high))
                assert declared.is_a.low - near <= values[name] <= declared.is_a.high + near, (name, values[name])
    assert given


def test_what_no_axle_weighs_is_refused_and_names_the_entries() -> None:
    step = find("unsprung_parts")
    parts = tuple(dataclasses.replace(row, mass=500.0) for row in step.example_inputs()["parts"])
    with pytest.raises(InputError) as caught:
        run(step, {"parts": parts})
    assert [str(error).replace("\u00a0", " ") for error in caught.value.errors] == [
        "Unsprung weight comes out at 7,716 lb: no such rig is worked with here. Check: parts of the axle. "
        "Possible: from 0 lb to 4,409 lb."
    ]


def test_an_arm_with_a_negative_wheel_rate_is_refused_and_the_rest_still_comes() -> None:
    """A soft coil-over leaning away from the arm: what the load does as the arm turns outweighs the springs."""
    step = find("lever_arm")
    done = attempt(step, {**step.example_inputs(), "coil_over_angle": -0.4, "axial_rate": 100.0})
    (error,) = done.errors
    assert str(error).replace("\u00a0", " ").startswith("Wheel rate comes out at −")
    assert "rate along the coil-over" in str(error)
    assert done.outcome.values["wheel_rate"] is None
    assert done.outcome.values["motion_ratio"] is not None


def test_every_room_module_is_a_step_or_a_helper() -> None:
    for name, module in step_names().items():
        assert importlib.import_module(module).STEP.name == name
    assert len(all_steps()) == len(step_names()) == len(STEPS)


@by_name(STEPS)
def test_inputs_are_keyword_only_and_need_no_text_at_run_time(step: Step) -> None:
    code = step.function.__code__
    assert code.co_argcount == 0
    assert code.co_kwonlyargcount == len(step.inputs)
    for declared in step.inputs.values():
        assert isinstance(declared.is_a, (Quantity, Choice, Table, Text))
