"""An order is complete before anything is written: no writer searches, solves, draws or runs a step.

What is watched is every function of the rooms that compute, while an order that was asked for all of its parts is written
in every form. What a result says of itself (a set's springs, a pair's sentence) is no computing: it stands in a list here,
which may only get shorter.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from types import FrameType
from typing import Any

import pytest

from calc import memo
from calc.answers.build_sheet import sheet_csv, sheet_data, sheet_text
from calc.answers.order import text_of
from calc.answers.order_data import data_of
from calc.order.order import Order
from calc.order.recording import sheet_in_force
from calc.quantity import SHOP
from calc.sheet.rig import build_paper
from calc.sheet.rig.answers import said
from calc.sheet.rig.parts import View, working
from tests.whole.wrens_order import wrens_order

COMPUTING = tuple(f"calc.{room}." for room in ("search", "whole", "certainty", "ride", "damper", "spring"))
# Results that are asked for what they hold, and words.
READ = frozenset(
    [
        *(
            "SpringSet",
            "Problem",
            "Relaxed",
            "Resolved",
            "Pair",
            "Pairs",
            "Standing",
            "Leveling",
            "AxleDoubt",
            "SetDoubt",
        ),
        *(
            "words",
            "pair_line",
            "ratio_line",
            "nose_text",
            "rule_text",
            "_does",
        ),
        # The old springs' rates for the new weight, which need no spring of the list.
        "rescaled_rate",
    ]
)


def _page(made: Order) -> None:
    told = said(View(order=made, display=SHOP))
    assert all(working(section.outcomes, SHOP) is not None for section in told.values())
    assert build_paper.estimate(made)


def _sheet(made: Order) -> None:
    sheet = sheet_in_force(made, "2026-05-02", SHOP)
    assert sheet is not None
    assert all(write(sheet) for write in (sheet_csv, sheet_text, sheet_data))


WRITERS: dict[str, Callable[[Order], Any]] = {
    "page": _page,
    "paper": lambda made: build_paper.sheet(made, SHOP),
    "text": lambda made: text_of(made, SHOP),
    "JSON": lambda made: json.dumps(data_of(made)),
    "sheet, CSV and JSON of it": _sheet,
}


def complete(made: Order) -> Order:
    """Ask an order for everything that it works out when it is first asked for."""
    for kind in type(made).__mro__:
        for name, part in vars(kind).items():
            if hasattr(part, "attrname"):
                getattr(made, name)
    for item in made.axles:
        assert item.moves
        assert item.narrowest
    return made


@pytest.mark.parametrize("form", WRITERS)
def test_no_writer_of_an_order_computes(form: str) -> None:
    made = complete(wrens_order())
    seen: set[str] = set()

    def called(frame: FrameType, _event: str, _argument: object) -> None:
        module, name = frame.f_globals.get("__name__", ""), frame.f_code.co_qualname
        whose = name.partition(".")[0]
        if module.startswith(COMPUTING) and whose not in READ and whose != "__create_fn__":
            seen.add(f"{module}: {name}")

    # Once for what only a first call does (imports); what that was painted with must not hide what is asked again.
    WRITERS[form](made)
    memo.forget()
    before = sys.gettrace()
    sys.settrace(called)
    try:
        WRITERS[form](made)
    finally:
        sys.settrace(before)
    assert not seen
