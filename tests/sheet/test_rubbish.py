"""Whatever is typed into a step's fields, the answer is an answer: nothing raises, nothing leaks, nothing is infinite."""

from __future__ import annotations

import html
import json
import random
import re
from itertools import cycle

import pytest

from calc import bridge
from calc.quantity import METRIC, SHOP
from calc.sheet import step_sheet
from calc.step import step_names
from tests.conftest import long_run

RUBBISH = [
    *("", " ", "½", "٣", "0", "-1", "1e-308", "1e-14", "1e14", "1e308", "1,125", "1.125,5", "3 1/2", "250 lb/in"),
    *("9" * 60, "5", "0.001", "100", "1e6", "NaN", "-inf", "{value}", "<b>&", "x" * 400, "\ud800", "\x00", "None"),
]
# Words that only a program says; what was typed stands between quotation marks.
LEAK = re.compile(r"\bNone\b|\bnan\b|\bNaN\b|\binf\b|Infinity|\bnull\b|∞|Traceback|\{\w+\}|<b>&")


def example_texts(name: str) -> dict[str, str]:
    """Return what stands in the fields of a step's page."""
    sheet = step_sheet.sheet(name)
    texts = dict(re.findall(r'<input [^>]*?name="([^"]+)"[^>]*? value="([^"]*)"', sheet))
    for key, options in re.findall(r'<select [^>]*?name="([^"]+)"[^>]*>(.*?)</select>', sheet, re.S):
        chosen = re.search(r'<option value="([^"]*)" selected', options) or re.search(
            r'<option value="([^"]*)"', options
        )
        texts[key] = chosen[1] if chosen else ""
    return {html.unescape(key): html.unescape(text) for key, text in texts.items()}


def trials(texts: dict[str, str]) -> list[dict[str, str]]:
    """All fields alike; each field alone; and some at once, from a fixed seed."""
    found = [dict.fromkeys(texts, rubbish) for rubbish in RUBBISH]
    choice = random.Random(20)
    for name in texts:
        found += [{**texts, name: rubbish} for rubbish in choice.sample(RUBBISH, long_run(2, 5))]
    for _ in range(long_run(25, 60)):
        some = choice.sample(sorted(texts), min(len(texts), choice.randint(2, 4)))
        found.append({**texts, **{name: choice.choice(RUBBISH) for name in some}})
    return found


@pytest.mark.parametrize("name", list(step_names()))
def test_rubbish_in_a_step_gets_messages_and_the_rest_goes_on(name: str) -> None:
    texts = example_texts(name)
    assert texts
    for typed, display in zip(trials(texts), cycle((SHOP, METRIC)), strict=False):
        answer = step_sheet.answer(name, typed, frozenset(typed), display)
        json.dumps(answer, allow_nan=False)
        assert answer["problem"] is None
        shown = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", region)) for region in answer["regions"].values())
        leak = LEAK.search(re.sub(r"“[^”]*”", "", shown))
        assert leak is None, (typed, shown[leak.start() - 60 : leak.end() + 30] if leak else "")
        for field in answer["fields"].values():
            if field.get("error"):
                assert field["error"]["problem"], typed


def test_a_lone_half_of_a_character_comes_back_as_text() -> None:
    request = {"do": "step", "name": "rescaled_rate", "fields": {"axle_mass_after": "\ud800"}, "typed": []}
    answer = json.loads(bridge.call(json.dumps(request)))
    assert "\ud800" in answer["fields"]["axle_mass_after"]["error"]["problem"]


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "null", "1", '"x"', "{}", '{"do": 1}', '{"do": "step"}', '{"do": "step", "name": "nothing"}',
     '{"do": "step", "name": "rescaled_rate", "fields": []}', '{"do": "step", "name": "rescaled_rate", "fields": 3}',
     '{"do": "convert"}', '{"do": "convert", "of": "step", "name": "x"}', '{"do": "practice", "name": "x"}',
     '{"do": "long"}', "[" * 100_000, '{"do": "' + "x" * 9_000_000 + '"}'],
)  # fmt: skip
def test_a_broken_request_is_answered_with_a_sentence(text: str) -> None:
    problem = json.loads(bridge.call(text))["problem"]
    assert problem.endswith(".")
    assert "Traceback" not in problem


@pytest.mark.parametrize(
    "odd",
    [{"units": 3}, {"units": {"system": 4, "fields": []}}, {"units": {"system": "shop", "fields": {"axle_mass_after": "bar"}}},
     {"typed": [1, None, {}]}, {"fields": {"axle_mass_after": ["a"], "x": {}}}, {"extra": {"deep": []}}],
)  # fmt: skip
def test_odd_parts_of_a_request_do_no_harm(odd: dict[str, object]) -> None:
    request = {"do": "step", "name": "rescaled_rate", "fields": {}, "typed": [], **odd}
    assert json.loads(bridge.call(json.dumps(request)))["problem"] is None
