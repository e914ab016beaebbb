"""Every worked line as it is printed: its text is read and worked out again, and gives the printed answer."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from calc import formula
from calc.practice import problem
from calc.quantity import METRIC, SHOP, Display
from calc.sheet import worked
from calc.sheet.step_working import working, working_lines
from calc.step import Step, find, run, step_names
from calc.units import NO_BREAK
from tests.conftest import long_run

STEPS = [find(name) for name in step_names()]
PRACTICED = [step for step in STEPS if step.practice]
SYSTEMS = {"shop": SHOP, "metric": METRIC}
SIGNS = {"×": "*", "+": "+", "\u2212": "-", "\u2061": "", "(": "(", ")": ")", ",": ","}
FUNCTIONS: dict[str, Callable[..., Any]] = {
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "arctan": math.atan,
    "exp": math.exp,
    "ln": math.log,
    "erfc": math.erfc,
    "min": min,
    "max": max,
    "absolute": abs,
    "sqrt": math.sqrt,
}
# What may stand behind a number of a line: the sign of an angle, a share, and what gravity is counted in.
MARKS = {"°": "*degree", "%": "/100", "lbf/lb": "", "N/kg": "", "rad": ""}


def python(node: ET.Element) -> str:
    """The printed line as an expression, read only from what stands on the page."""
    tag, inner = node.tag, [python(child) for child in node]
    text = (node.text or "").replace(NO_BREAK, "").strip()
    match tag:
        case "math" | "mrow":
            joined = "".join(inner)
            # A number with its sign is one thing, whatever comes before or behind it.
            bars = joined.split("|")
            return joined if len(bars) == 1 else f"absolute({bars[1]})" if len(bars) == 3 else joined
        case "mfrac":
            return f"(({inner[0]})/({inner[1]}))"
        case "msup":
            return f"(({inner[0]})**({inner[1]}))"
        case "msqrt":
            return f"sqrt({''.join(inner)})"
        case "mn":
            assert re.fullmatch(r"[\d,]+(\.\d+)?(e[+-]?\d+)?", text), text
            return text.replace(",", "")
        case "mi":
            assert text in FUNCTIONS or text == "π", f"a symbol without a number: {text}"
            return "pi" if text == "π" else text
        case "mtext":
            assert text in MARKS, f"a unit that mixes with others: {text}"
            return MARKS[text]
        case "mo":
            if text == "|":
                return "|"
            assert text in SIGNS, text
            return SIGNS[text]
    raise AssertionError(tag)


def lines(step: Step, outcome: Any, display: Display) -> list[tuple[str, str, str]]:
    """The label, the line with numbers, and the answer of every worked line."""
    return re.findall(
        r"<dt>(.*?)(?:<small>.*?)?</dt>.*?</math></p><p[^>]*>(<math.*?</math>)</p><p class=\"ans\">(.*?)</p>",
        working_lines(step, outcome, display),
    )


def worth(math_text: str) -> float:
    tree = ET.fromstring(re.sub(r"<mo>=</mo>", "", math_text, count=1))
    names = {**FUNCTIONS, "pi": math.pi, "degree": math.pi / 180}
    return float(eval(python(tree), {"__builtins__": {}}, names))


def printed(answer: str) -> tuple[float, float]:
    """The printed answer as the line counts it, and half of its last digit; of "under" a value, the middle and half of it."""
    if answer.startswith("under "):
        most = printed(answer.removeprefix("under "))[0]
        return most / 2, most / 2
    number = re.match(r"[\u2212]?[\d,]+(?:\.(\d+))?", answer)
    assert number, answer
    value = float(number[0].replace(",", "").replace("\u2212", "-"))
    factor = {"°": math.pi / 180, "%": 0.01}.get(answer[number.end() :].strip(NO_BREAK), 1.0)
    return value * factor, 0.5 * factor * 10.0 ** -len(number[1] or "")


def wrong(step: Step, outcome: Any, display: Display) -> list[str]:
    found = []
    for label, math_text, answer in lines(step, outcome, display):
        try:
            value, (given, half) = worth(math_text), printed(answer)
        except (AssertionError, SyntaxError, NameError, ZeroDivisionError) as problem_:
            found.append(f"{label}: {problem_} in {re.sub('<[^>]*>', ' ', math_text)}")
            continue
        if abs(value - given) > half * (1 + 1e-5):
            found.append(f"{label}: {re.sub('<[^>]*>', ' ', math_text)} is {value}, printed {answer}")
    return found


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_printed_line_gives_its_printed_answer(system: str) -> None:
    """Of each step's example; a unit behind a number, a symbol without a number and a missing factor are found too."""
    count = 0
    for step in STEPS:
        outcome = run(step, step.example_inputs())
        assert wrong(step, outcome, SYSTEMS[system]) == [], step.name
        # As many lines as the working has: none is left unread.
        read = len(lines(step, outcome, SYSTEMS[system]))
        assert read == working_lines(step, outcome, SYSTEMS[system]).count("<dt>"), step.name
        count += read
    assert count > 250


@pytest.mark.parametrize("step", PRACTICED, ids=[step.name for step in PRACTICED])
def test_the_working_of_a_problem_gives_its_printed_answers(step: Step) -> None:
    for number in range(1, long_run(3, 41)):
        for display in SYSTEMS.values():
            assert wrong(step, problem(step.name, number, display).outcome, display) == [], number


def test_a_factor_between_units_is_named() -> None:
    """Each factor of the lines that is no power of ten stands in the note, with what it is."""
    for system, display in SYSTEMS.items():
        for step in STEPS:
            page = working_lines(step, run(step, step.example_inputs()), display)
            lines_part, _, note = page.partition("</dl>")
            for factor in ("57.29578", "386.0886", "32.17405"):
                assert (f"<mn>{factor}</mn>" in lines_part) <= (factor in note), (system, step.name, factor)


def test_a_line_is_never_right_by_chance_of_which_number_is_the_smaller() -> None:
    """With fields in units of their own: what is compared or added stands in one unit, or with the factor between them."""
    step = find("force_targets")
    display = Display("metric", {"slow_speed": "m/s", "knee_speed": "mm/s"})
    outcome = run(step, step.example_inputs())
    assert outcome.values["slow_speed"] < outcome.values["knee_speed"]
    told = {label: re.sub("<[^>]*>", "", text) for label, text, _ in lines(step, outcome, display)}
    slow = display.plain(outcome.values["slow_speed"], step.quantity("slow_speed")).split(NO_BREAK)[0]
    assert f"min&#8289;({slow},2541,000)" in told["Effective speed, slow"]
    assert wrong(step, outcome, display) == []


def test_an_edit_looks_for_no_new_way_to_work_its_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    """The way depends on the equation and the units alone; and a line is worked out a few times, not at every digit."""
    step = find("natural_frequency")
    inputs = step.example_inputs()
    working_lines(step, run(step, inputs), SHOP)
    looked_for = worked._way.cache_info().misses
    evaluate, asked = formula.evaluate, []
    monkeypatch.setattr(formula, "evaluate", lambda text, values: asked.append(text) or evaluate(text, values))
    edited = {name: value * 1.01 if isinstance(value, float) else value for name, value in inputs.items()}
    outcome = run(step, edited)
    asked.clear()
    shown = lines(step, outcome, SHOP)
    names = sum(len(formula.names(text)) for text in set(asked))
    assert shown != []
    assert worked._way.cache_info().misses == looked_for
    assert len(asked) <= 2 * len(shown) + 2 * names


def test_a_page_works_its_example_in_both_unit_systems() -> None:
    page = working("natural_frequency")
    shop, metric = page.split('<div class="hb-metric">')
    assert "142.6" in shop
    assert "N/mm" not in shop
    assert "24.97" in metric
    assert "lb/in" not in metric


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("<mrow><mn>2</mn><mo>×</mo><mfrac><mn>1,134</mn><mn>4</mn></mfrac></mrow>", 567.0),
        (
            "<mrow><mi>sin</mi><mo>&#8289;</mo><mrow><mo>(</mo><mrow><mn>30</mn><mtext>°</mtext></mrow><mo>)</mo></mrow></mrow>",
            0.5,
        ),
        ("<mrow><mn>50</mn><mtext>%</mtext></mrow>", 0.5),
        ("<mrow><mo>|</mo><mrow><mo>(</mo><mo>−</mo><mn>7.5</mn><mo>)</mo></mrow><mo>|</mo></mrow>", 7.5),
    ],
)
def test_the_reader_of_these_tests_reads_as_a_person_does(text: str, value: float) -> None:
    assert worth(f"<math>{text}</math>") == pytest.approx(value, rel=1e-12)


def test_the_reader_of_these_tests_reads_under_a_value_as_from_nothing_to_it() -> None:
    assert printed("under 0.01\u00a0%") == pytest.approx((0.5e-4, 0.5e-4))
    assert printed("0.01\u00a0%") == pytest.approx((1e-4, 0.5e-4))


def test_the_reader_of_these_tests_finds_a_unit_among_numbers() -> None:
    with pytest.raises(AssertionError, match="a unit that mixes"):
        worth("<math><mrow><mn>2</mn><mtext>&#160;bar</mtext><mo>×</mo><mn>3</mn></mrow></math>")
