"""What the rig page says of a choice besides its ranks: what the best sets trade, and which limit might give way."""

from __future__ import annotations

import json
import re
from html import unescape
from typing import Any

from calc.bridge import call
from calc.job.order import order
from calc.job.rig import rig_to_data, wren
from calc.sheet.rig.lists import handbook_springs


def page(**more: Any) -> dict[str, Any]:
    found = json.loads(
        call(json.dumps({"do": "rig", "name": "rig", "open": rig_to_data(wren()), "fields": {}, **more}))
    )
    assert found["problem"] is None
    return dict(found)


def test_a_set_of_the_trade_can_be_taken_and_is_then_the_one_in_use() -> None:
    shown = page()["regions"]["says-6"]
    picks = re.findall(r'id="pick-front-trade-\d+" name="front.pick" value="([^"]+)"', shown)
    assert picks
    front = order(wren(), handbook_springs()).axles[0].choice
    assert front is not None
    ranked = {one.springs() for one in front.ranked}
    assert len(picks) == sum(one.chosen.springs() not in ranked for one in front.trades)
    taken = page(open=None, rig=rig_to_data(wren()), fields={"front.pick": unescape(picks[0])}, typed=["front.pick"])
    chosen = taken["data"]["axles"]["front"]
    assert chosen["own_pick"] is True
    assert chosen["chosen"]["main"] in picks[0]
    assert 'scope="row"><label class="hb-pick" for="pick-front-own">' in taken["regions"]["says-6"]


def test_the_trade_is_told_in_a_table_and_one_chart_with_its_ends_named() -> None:
    shown = page()["regions"]["says-6"]
    for axle, number in (("front", 5), ("rear", 17)):
        assert f"{number} sets are beaten by no other in frequency, spare travel and price." in shown
        assert f'id="trade-{axle}' in shown
    for end in ("nearest the wanted frequency", "most travel to spare", "cheapest"):
        assert shown.lower().count(end) >= 2


def test_the_limit_that_keeps_out_the_most_is_named_and_safety_is_never_offered() -> None:
    found = page()
    shown = found["regions"]["says-6"]
    assert "Without the wanted ride frequency 573 more sets work" in shown
    assert shown.count("are never suggested") == 2
    relaxed = found["data"]["axles"]["front"]["relaxed"]
    assert [one["admits"] for one in relaxed] == sorted((one["admits"] for one in relaxed), reverse=True)
    assert {one["limit"] for one in relaxed}.isdisjoint(
        {"stiff_tender", "too_short", "helper_open", "tender_bind", "main_bind"}
    )
    assert '<td class="n" data-label="By itself">never</td>' in shown
