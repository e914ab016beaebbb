"""What the rig page says of a choice besides its ranks: what the best sets trade, and which limit might give way."""

from __future__ import annotations

import json
import re
from html import unescape
from typing import Any

import pytest

from calc.answers.order import order_text
from calc.bridge import call
from calc.order.order import order
from calc.rig.file import read_rig, rig_to_data, wren, write_rig
from calc.rig.rank_weights import PAIR_WEIGHTS, WEIGHTS, usual
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
    for axle, item in zip(("front", "rear"), order(wren(), handbook_springs()).axles, strict=True):
        assert item.choice is not None
        number = len(item.choice.trades)
        assert number > 2
        assert f"{number} sets are beaten by no other in frequency, spare travel and price." in shown
        assert f'id="trade-{axle}' in shown
    for end in ("nearest the wanted frequency", "most travel to spare", "cheapest"):
        assert shown.lower().count(end) >= 2


def test_the_limit_that_keeps_out_the_most_is_named_and_safety_is_never_offered() -> None:
    found = page()
    shown = found["regions"]["says-6"]
    relaxed = found["data"]["axles"]["front"]["relaxed"]
    assert relaxed[0]["limit"] == "ride_frequency"
    assert f"shuts out the most: at least {relaxed[0]['admits']} more sets work without it" in shown
    assert shown.count("are never suggested") == 2
    assert [one["admits"] for one in relaxed] == sorted((one["admits"] for one in relaxed), reverse=True)
    assert {one["limit"] for one in relaxed}.isdisjoint(
        {"too_short", "helper_open", "tender_bind", "main_bind", "loose", "thread", "body", "strap", "rating"}
    )
    assert '<td class="n" data-label="By itself">never</td>' in shown


def test_what_counts_in_the_rank_is_shown_changed_told_and_kept() -> None:
    shown = page(action="ranking")["regions"]["ranking"]
    for key, common in usuals().items():
        field = re.search(rf'name="{key}"[^>]*value="([^"]*)".*?usually\u00a0([\d.]+)<', shown)
        assert field is not None
        assert field.groups() == ("", f"{common:g}")
    before = page()
    typed = {"rank_price": "10", "rank_stock": "0"}
    after = page(open=None, rig=rig_to_data(wren()), fields=typed, typed=list(typed))
    assert after["rig"]["values"]["rank_price"] == {"value": 10.0, "origin": "measured"}
    assert after["edit"] == ""
    assert (after["data"]["rank"]["price"], after["data"]["rank"]["stock"]) == (10.0, 0.0)
    said = "The rank counts as you set it: price 10, usually 0.25; too few in stock 0, usually 0.5."
    assert said in after["regions"]["order"]
    assert said in after["regions"]["says-6"]
    assert "as you set it" not in before["regions"]["order"] + before["regions"]["says-6"]

    def paid(answer: dict[str, Any]) -> float:
        listed = handbook_springs()
        first = answer["data"]["axles"]["front"]["ranked"][0]
        return sum(float(listed.price[listed.part.index(first[name])]) for name in ("tender", "main"))

    assert paid(after) < paid(before)
    for axle in ("front", "rear"):
        assert after["data"]["axles"][axle]["rejected"] == before["data"]["axles"][axle]["rejected"]
    emptied = page(open=None, rig=after["rig"], fields={"rank_price": "", "rank_stock": ""}, typed=list(typed))
    assert emptied["rig"] == rig_to_data(wren())
    assert emptied["data"]["axles"]["front"]["ranked"] == before["data"]["axles"]["front"]["ranked"]


def usuals() -> dict[str, float]:
    return {key: usual(key) for key in (*WEIGHTS.values(), *PAIR_WEIGHTS.values())}


def test_a_changed_rank_goes_with_the_file_and_the_terminal_tells_it() -> None:
    rig = read_rig(json.dumps(rig_to_data(wren()) | {"values": {"rank_helper": {"value": 3.0, "origin": "measured"}}}))
    assert read_rig(write_rig(rig)).get("rank_helper") == 3.0
    assert "The rank counts as you set it: a helper on top 3, usually 0.25." in order_text(rig, handbook_springs())


@pytest.mark.parametrize("text", ["-1", "11", "nan", "much", "1e999", "2 lb"])
def test_a_weight_that_cannot_be_is_refused_beside_its_field(text: str) -> None:
    answer = page(open=None, rig=rig_to_data(wren()), fields={"rank_travel": text}, typed=["rank_travel"])
    error = answer["fields"]["rank_travel"]["error"]
    assert error["problem"]
    # It changes nothing but itself, and is kept as it was typed.
    kept = {"version": 2, "unread": {"values": {"rank_travel": {"text": text}}}}
    assert answer["rig"] == {**rig_to_data(wren()), **kept}
    assert "cannot be read" in answer["regions"]["head-6"]


def test_with_every_weight_at_nothing_the_sets_go_by_part_code() -> None:
    nothing = dict.fromkeys((*WEIGHTS.values(), *PAIR_WEIGHTS.values()), "0")
    answer = page(open=None, rig=rig_to_data(wren()), fields=nothing, typed=list(nothing))
    ranked = answer["data"]["axles"]["front"]["ranked"]
    names = [(one["tender"] or "", one["main"], one["helper"] or "") for one in ranked]
    assert names == sorted(names)
    assert {one["score"] for one in ranked} == {0.0}


def test_the_recommended_pair_is_in_use_and_is_taken_again_after_another_choice() -> None:
    before = page()
    told = before["regions"]["says-6"]
    assert "This pair is in use." in told
    assert 'data-rig-do="take-pair"' not in told
    best = before["data"]["pairs"]["ranked"][0]
    for axle in ("front", "rear"):
        chosen = before["data"]["axles"][axle]["chosen"]
        assert {name: chosen[name] for name in ("helper", "tender", "main")} == best[axle]
    other = before["data"]["axles"]["front"]["ranked"][-1]
    mine = rig_to_data(wren())
    for name in ("helper", "tender", "main"):
        mine["values"][f"front.chosen_{name}_part"] = {"value": other[name] or "", "origin": "measured"}
    own = page(open=mine)
    assert "You chose " in own["regions"]["says-6"]
    assert 'data-rig-do="take-pair"' in own["regions"]["says-6"]
    after = page(open=None, rig=mine, action="take-pair")
    for axle in ("front", "rear"):
        chosen = after["data"]["axles"][axle]
        assert chosen["own_pick"] is True
        assert {name: chosen["chosen"][name] for name in ("helper", "tender", "main")} == best[axle]
    assert "This pair is in use." in after["regions"]["says-6"]
    assert after["data"]["pairs"] == before["data"]["pairs"]


def test_no_pair_is_told_while_the_whole_rig_cannot_be_solved() -> None:
    data = rig_to_data(wren())
    del data["values"]["front.roll_center_height"]
    answer = page(open=data)
    assert answer["data"]["pairs"] is None
    assert "Front and rear together" not in answer["regions"]["says-6"]
    again = page(open=None, rig=data, action="take-pair")
    assert again["data"]["axles"]["front"]["own_pick"] is False
