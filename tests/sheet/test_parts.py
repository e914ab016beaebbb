"""The two parts of a step's answer: together they are the whole, whatever was asked in between."""

from __future__ import annotations

import json
from typing import Any

import pytest

from calc import bridge
from calc.step import Step, all_steps, find


def asked(step: Step, fields: dict[str, str], **more: str) -> dict[str, Any]:
    request = {"do": "step", "name": step.name, "fields": fields, "typed": list(fields), **more}
    return json.loads(bridge.call(json.dumps(request)))


@pytest.mark.parametrize("step", all_steps(), ids=lambda step: step.name)
@pytest.mark.parametrize("rubbish", [False, True], ids=["example", "rubbish"])
def test_both_parts_are_the_whole(step: Step, rubbish: bool) -> None:
    fields = {name: str(value) for name, value in step.example.inputs.items() if isinstance(value, str)}
    if rubbish:
        fields = dict.fromkeys(fields, "heavy")
    whole = asked(step, fields)
    first = asked(step, fields, part="answer")
    asked(step, {})
    rest = asked(step, fields, part="rest")
    assert set(first.pop("more")) == set(rest["regions"])
    assert not set(first["regions"]) & set(rest["regions"])
    assert {**first, "regions": first["regions"] | rest["regions"]} == whole


def test_a_chart_that_cannot_be_drawn_takes_nothing_else_with_it() -> None:
    """A single spring of 8 in, 5 in solid, under 4 in of preload has no finite curve."""
    lengths = {"main_free_length": "8", "main_solid_length": "5", "preload": "4"}
    fields = {"stack_kind": "single", "main_rate": "450", **lengths}
    for part in ("", "rest"):
        answer = asked(find("stack"), fields, part=part)
        assert answer["problem"] is None
        assert "hb-working" in answer["regions"]["working"]
