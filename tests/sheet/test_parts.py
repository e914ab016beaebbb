"""The two parts of a step's answer: together they are the whole, whatever was asked in between."""

from __future__ import annotations

import json
from typing import Any

import pytest

from calc import bridge
from calc.step import Step, all_steps


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
    assert first.pop("more") is True
    assert not set(first["regions"]) & set(rest["regions"])
    assert {**first, "regions": first["regions"] | rest["regions"]} == whole
