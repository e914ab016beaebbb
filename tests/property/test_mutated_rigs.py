"""Rigs that nobody would think of at every door: an answer or a sentence, no warning, nothing infinite, nothing obeyed.

pytest turns every warning into an error, and an undeclared exception fails the test by itself.
"""

from __future__ import annotations

import io
import json
import random
import re
from pathlib import Path
from typing import Any, NoReturn

import pytest

from calc import bridge, tables, terminal
from calc.answers import steps as step_answers
from calc.errors import HandbookError
from calc.quantity import METRIC, SHOP
from calc.sheet.rig import lists
from calc.step import all_steps, attempt, find, run, step_names
from tests.conftest import long_run
from tests.property.rigs import measurements, mutated_data, mutated_quote
from tests.property.steps import doubts, legal_inputs

RIGS = range(long_run(4, 1_000))
QUOTES = range(long_run(6, 1_000))
DRAWS = long_run(6, 500)
OBEYED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
NO_NUMBER = re.compile(r"\b(nan|NaN|inf|Infinity)\b")


@pytest.fixture(autouse=True)
def short_list(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every sixth spring of the handbook's list, and its helpers: as many kinds of sets, in a fraction of the time."""
    lines = (tables.DATA / "assortments" / "springs.csv").read_text("utf-8").splitlines()
    helpers = [line for line in lines[1:] if line.endswith("helper")]
    springs = tables.read_spring_list("\n".join([lines[0], *helpers[:2], *lines[1::6]]) + "\n").springs
    monkeypatch.setattr(tables, "assortment_springs", lambda: springs)
    monkeypatch.setattr(lists, "handbook_springs", lambda: springs)


def refused(constant: str) -> NoReturn:
    raise AssertionError(f"{constant} is no JSON")


def read(text: str) -> Any:
    text.encode("utf-8")
    return json.loads(text, parse_constant=refused)


def terminal_door(name: str, *words: str) -> str:
    out = io.StringIO()
    assert terminal.command(name, words, io.StringIO(), out) in (terminal.DONE, terminal.BAD_INPUT)
    text = out.getvalue()
    assert OBEYED.search(text) is None
    assert NO_NUMBER.search(text) is None
    if "--json" in words:
        assert isinstance(read(text), dict)
    return text


def page_door(**request: Any) -> dict[str, Any]:
    answer: dict[str, Any] = read(bridge.call(json.dumps(request)))
    shown = re.sub(r"<[^>]+>", " ", " ".join(answer.get("regions", {}).values()))
    assert NO_NUMBER.search(shown) is None
    return answer


def long_door(**request: Any) -> dict[str, Any]:
    work = bridge.begin(json.dumps(request))
    while True:
        answer: dict[str, Any] = read(work.next())
        if "done" in answer:
            return dict(answer["done"])


@pytest.mark.parametrize("number", RIGS)
def test_a_mutated_rig_gets_an_answer_or_a_sentence_at_every_door(number: int, tmp_path: Path) -> None:
    choose = random.Random(number)
    data, other = mutated_data(choose), mutated_data(choose, most=3)
    files = {
        "rig": data,
        "other": other,
        "measured": {
            "format": "spring and damper measurements",
            "version": 1,
            "proofs": measurements(choose, ["bare", "crew", "full"]),
        },
    }
    for name, content in files.items():
        (tmp_path / f"{name}.json").write_text(json.dumps(content), encoding="utf-8")
    rig, beside, measured = (str(tmp_path / f"{name}.json") for name in files)
    terminal_door("choose", rig)
    terminal_door("choose", rig, "--json")
    for form in ([], ["--csv"], ["--json"]):
        terminal_door("sheet", rig, *form)
    terminal_door("compare", rig, beside)
    terminal_door("prove", rig, measured)
    terminal_door("prove", rig, measured, "--json")
    if number % 4 == 0:
        terminal_door("choose", rig, "--dampers", "--json")
        assert "dampers" in long_door(do="dampers", rig=data)["regions"]
    units = {"system": "metric"} if number % 2 else None
    assert page_door(do="rig", open=data, units=units)["problem"] is None
    assert page_door(do="rig", rig=data, part="rest", units=units)["problem"] is None
    assert page_door(do="prove", rig=data, units=units)["problem"] is None
    assert long_door(do="doubt", rig=data).get("problem") is None


@pytest.mark.parametrize("number", QUOTES)
def test_a_mutated_quote_gets_an_answer_or_a_sentence_at_every_door(number: int, tmp_path: Path) -> None:
    choose = random.Random(number)
    data = mutated_quote(choose)
    path = tmp_path / "quote.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    told = terminal_door("quote", str(path))
    answer = json.loads(terminal_door("quote", str(path), "--json"))
    opened = page_door(do="quote", file=path.read_text(encoding="utf-8"))
    if "lines" not in answer:
        # What contradicts itself is refused at each door with the same sentence.
        assert answer["errors"]
        assert opened["problem"]
        return
    assert opened["problem"] is None
    page = page_door(do="quote", fields=opened["values"], typed=list(opened["values"]), units={"system": "shop"})
    assert page["problem"] is None
    if set(data["values"]) <= set(opened["values"]):
        counted = re.findall(r"<b>(\d+)</b> (\w+)", page["regions"]["results"])
        words = {"holds": ("hold", "holds"), "fails": ("fail", "fails")}
        for state, either in words.items():
            assert {int(count) for count, word in counted if word in either} <= {answer["tally"][state]}
            assert f"{answer['tally'][state]} {either[answer['tally'][state] == 1]}" in told


@pytest.mark.parametrize("name", list(step_names()))
def test_a_step_with_legal_inputs_answers_or_refuses_with_a_sentence(name: str) -> None:
    step = find(name)
    answered, refusals = 0, []
    for number in range(DRAWS):
        choose = random.Random(f"{name} {number}")
        inputs = legal_inputs(choose, step)
        given = doubts(choose, step, inputs)
        # What a page shows while some fields contradict each other.
        attempt(step, inputs, given, METRIC if number % 2 else SHOP)
        try:
            outcome = run(step, inputs, given)
        except HandbookError as problem:
            refusals.append(str(problem))
            continue
        answered += 1
        read(terminal.escaped(json.dumps(terminal.machine_answer(step, outcome), allow_nan=False)))
        assert NO_NUMBER.search(step_answers.outcome(step, outcome)) is None
    assert answered or DRAWS < 100
    assert [told for told in refusals if not told.endswith(".")] == []


def test_every_step_is_tried() -> None:
    assert {step.name for step in all_steps()} == set(step_names())
