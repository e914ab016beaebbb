"""The Prove page through its door: what is typed, what is kept with the rig, and what nobody may break."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from calc import bridge
from calc.order.order import order
from calc.prove.prove import prove
from calc.prove.trim import turn_texts
from calc.rig.entries import CORNERS
from calc.rig.file import read_rig, rig_to_data, wren
from calc.rig.readings import CornerReading, Proof, State
from calc.sheet.prove import prove_page
from calc.sheet.prove_form import declared
from calc.tables import assortment_springs
from calc.units import INCH

TODAY = "2026-05-02"
# A tape's readings of Wren with its left front adjuster a turn and a half short: from the rest solve, rounded to 0.01 in.
LOW = {
    "first.0.after_pushed_down": "25.74",
    "first.0.after_lifted": "25.89",
    "first.1.after_pushed_down": "25.89",
    "first.1.after_lifted": "26.02",
    "first.2.after_pushed_down": "30.98",
    "first.2.after_lifted": "31.13",
    "first.3.after_pushed_down": "31.10",
    "first.3.after_lifted": "31.25",
}


def ask(fields: dict[str, str] | None = None, **more: Any) -> dict[str, Any]:
    request = {"do": "prove", "fields": fields or {}, "typed": list(fields or {}), "today": TODAY, **more}
    return dict(json.loads(bridge.call(json.dumps(request))))


def on_wren(fields: dict[str, str] | None = None, **more: Any) -> dict[str, Any]:
    return ask(fields, **{"rig": rig_to_data(wren()), **more})


def test_the_page_is_blank_and_shows_an_example_beside_it() -> None:
    page = prove_page()
    form, _, beside = page.partition("hb-example")
    assert form.count('value=""') >= len(declared())
    assert "example" in beside
    assert "What to turn" in beside
    assert "No rig is open" in form


def test_without_a_rig_nothing_is_said_and_nothing_kept() -> None:
    answer = ask(LOW)
    assert answer["problem"] is None
    assert answer["rig"] is None
    assert answer["regions"]["findings"] == "" == answer["regions"]["results"]
    assert "No rig is open" in answer["regions"]["whose"]


def test_heights_say_what_to_turn_and_are_kept_with_the_rig() -> None:
    answer = on_wren(LOW)
    assert answer["problem"] is None
    assert "Turn the left front up 1.5 turns" in answer["regions"]["head-2"]
    assert answer["proof"] == 0
    kept = read_rig(json.dumps(answer["rig"]))
    assert kept.proofs[0].date == TODAY
    reading = CornerReading(after_pushed_down=25.74 * INCH, after_lifted=25.89 * INCH)
    assert kept.proofs[0].first.at("left_front") == reading
    # The program's own answer is the same.
    found = prove(kept, assortment_springs(), kept.proofs[0], order(wren(), assortment_springs()))
    assert found.trim is not None
    assert turn_texts(found.trim) == ("left front up 1.5 turns",)
    assert answer["data"]["trim"]["turns"] == found.trim.turns.tolist()


def test_no_measurement_says_nothing_and_keeps_nothing() -> None:
    answer = on_wren({})
    assert answer["regions"]["findings"] == ""
    assert answer["proof"] is None
    assert "proofs" not in answer["rig"]
    # What is expected stands there all the same, and on the sheet to print.
    assert "Predicted" in answer["regions"]["results"]
    assert "25.91" in answer["regions"]["sheet"]


def test_a_kept_measurement_is_opened_left_for_a_new_one_and_removed() -> None:
    rig = on_wren(LOW)["rig"]
    opened = ask(rig=rig, open=True)
    assert opened["proof"] == 0
    assert opened["values"]["first.0.after_pushed_down"] == "25.74"
    assert opened["values"]["date"] == TODAY
    # Nothing typed: nothing changes, not even in the last figure.
    again = ask({**opened["values"]}, typed=[], rig=rig, proof=0)
    assert again["rig"] == rig
    new = ask(rig=rig, proof=0, action="new", today="2026-06-01")
    assert new["proof"] is None
    assert new["values"]["first.0.after_pushed_down"] == ""
    assert new["values"]["date"] == "2026-06-01"
    second = ask({**LOW, "date": "2026-06-01"}, rig=rig, proof=None, today="2026-06-01")
    assert second["proof"] == 1
    assert [one["date"] for one in second["rig"]["proofs"]] == [TODAY, "2026-06-01"]
    assert "<svg" in second["regions"]["history"]
    back = ask(rig=second["rig"], proof=1, action="show 0")
    assert back["proof"] == 0
    gone = ask(rig=second["rig"], proof=0, action="remove")
    assert [one["date"] for one in gone["rig"]["proofs"]] == ["2026-06-01"]


def test_units_are_those_of_the_reader_and_switch_back_without_a_loss() -> None:
    millimeters = {name: f"{float(text) * 25.4:.1f}" for name, text in LOW.items()}
    answer = on_wren(millimeters, units={"system": "metric"})
    assert "left front up 1.5 turns" in answer["regions"]["head-2"]
    assert answer["fields"]["first.after_lifted"]["unit"] == "mm"
    converted = json.loads(
        bridge.call(
            json.dumps({"do": "convert", "of": "prove", "fields": LOW, "units": {}, "to": {"system": "metric"}})
        )
    )
    assert converted["values"]["first.0.after_pushed_down"] == "653.796"
    assert converted["units"]["first.after_pushed_down"] == "mm"


def error(answer: dict[str, Any], field: str) -> str:
    found = answer["fields"][field]["error"]
    return " ".join(found.values()).replace("\u00a0", " ")


def test_a_number_of_the_wrong_unit_system_is_asked_back() -> None:
    answer = on_wren({**LOW, "first.0.after_lifted": "656"})
    assert "656 in is far from what is usual; 656 mm would not be" in error(answer, "first.0.after_lifted")
    assert "1 field cannot be read" in answer["regions"]["head-2"]
    # The other corners stay.
    assert "31.06" in answer["regions"]["results"]


@pytest.mark.parametrize(
    ("fields", "field", "said"),
    [
        ({"first.0.after_lifted": "2.5.7"}, "first.0.after_lifted", "is not one number"),
        ({"first.0.after_lifted": "high"}, "first.0.after_lifted", "After it was lifted"),
        ({"first.0.after_lifted": "90 in"}, "first.0.after_lifted", "must be at most 60.00 in"),
        ({"first.0.after_lifted": "25.0"}, "first.0.after_lifted", "the readings are swapped"),
        ({"first.0.pad": "-5"}, "first.0.pad", "must be above 0 lb"),
        ({"second.added.mass": "200 lb"}, "second.added.behind_front_axle", "is missing"),
        ({"date": "tomorrow"}, "date", "The date cannot be read"),
        ({"reading_doubt": "1 in"}, "reading_doubt", "must be at most"),
    ],
)
def test_what_cannot_be_read_is_told_beside_its_field(fields: dict[str, str], field: str, said: str) -> None:
    answer = on_wren({**LOW, **fields})
    assert said in error(answer, field)
    assert answer["problem"] is None


def test_a_reading_that_cannot_be_read_is_unknown_and_told() -> None:
    rig = on_wren(LOW)["rig"]
    answer = ask({**LOW, "first.0.after_lifted": "high"}, rig=rig, proof=0)
    kept = answer["rig"]["proofs"][0]["states"][0]["corners"]["left_front"]
    assert "after_pushed_down" in kept
    assert "after_lifted" not in kept
    assert "cannot be read: “high”." in answer["regions"]["findings"]


def test_what_cannot_be_read_is_kept_with_the_measurement_and_shown_again_as_typed() -> None:
    unread = {"first.0.after_lifted": "25 3/", "first.1.after_lifted": "90", "reading_doubt": "a bit"}
    typed = {**LOW, **unread}
    rig = on_wren(typed)["rig"]
    assert rig["proofs"][0]["unread"] == {
        "first.left_front.after_lifted": {"text": "25 3/"},
        "first.right_front.after_lifted": {"text": "90", "unit": "in"},
        "reading_doubt": {"text": "a bit"},
    }
    assert rig["version"] == 2
    assert read_rig(json.dumps(rig)).proofs[0].unread["reading_doubt"].text == "a bit"
    # After a reload it stands there again, with its message, and unknown still.
    again = ask(rig=rig, open=True)
    assert {name: again["values"][name] for name in unread} == unread
    assert "must be at most 60.00 in" in error(again, "first.1.after_lifted")
    assert "cannot be read: “25 3/”." in again["regions"]["findings"]
    assert again["rig"] == rig
    metric = ask(rig=rig, open=True, units={"system": "metric"})
    assert metric["values"]["first.1.after_lifted"] == "90 in"
    assert metric["rig"] == rig
    # What is typed next leaves it as it is; a good number takes its place.
    other = ask({**typed, "first.0.pad": "1500"}, rig=rig, proof=0)
    assert other["rig"]["proofs"][0]["unread"] == rig["proofs"][0]["unread"]
    mended = ask(
        {**typed, "first.0.after_lifted": "25.89", "first.1.after_lifted": "", "reading_doubt": ""}, rig=rig, proof=0
    )
    assert "unread" not in mended["rig"]["proofs"][0]
    assert mended["rig"]["version"] == 1


@pytest.mark.parametrize(
    "typed",
    [
        {"first.0.after_pushed_down": "25.74", "first.0.after_lifted": "25.0"},
        {"second.added.mass": "200", "second.added.left_of_center": "3"},
        {"first.0.after_lifted": "656"},
        {"first.0.pad": "x" * 200},
    ],
)
def test_what_cannot_be_used_is_not_lost_on_a_reload(typed: dict[str, str]) -> None:
    first = on_wren(typed)
    again = ask(rig=first["rig"], open=True)
    assert {name: again["values"][name] for name in typed} == typed
    assert again["rig"] == first["rig"]
    told = [{name: one["error"] for name, one in answer["fields"].items() if one["error"]} for answer in (first, again)]
    assert told[0]
    assert told[0] == told[1]


def test_a_kept_measurement_out_of_limits_goes_on() -> None:
    data = on_wren(LOW)["rig"]
    data["proofs"][0]["states"][0]["corners"]["left_front"]["after_lifted"] = 25.4
    data["proofs"][0]["states"].append({"corners": {}, "added": {"mass": 1e9, "behind_front_axle": 2.0}})
    answer = ask(rig=data, open=True)
    assert answer["problem"] is None
    assert answer["values"]["first.0.after_lifted"] == "1000 in"
    assert "must be at most" in error(answer, "first.0.after_lifted")
    assert set(answer["rig"]["proofs"][0]["unread"]) == {
        "first.left_front.after_lifted",
        "second.added.mass",
        "second.added.behind_front_axle",
    }
    assert read_rig(json.dumps(answer["rig"])).proofs[0].first.at("left_front").after_pushed_down is not None


def test_a_damaged_rig_is_a_sentence() -> None:
    for rig in ({"format": "other"}, [], 3, {**rig_to_data(wren()), "proofs": [{"date": "never"}]}):
        answer = ask(LOW, rig=rig)
        assert "Nothing was changed" in answer["problem"]
        assert "rig" not in answer


def test_a_kept_rig_with_a_value_out_of_limits_goes_on() -> None:
    data = rig_to_data(wren())
    data["values"]["front.axle_rating"]["value"] = 1e9
    data["values"]["rear.strap_travel"] = {"value": []}
    answer = ask(LOW, rig=data)
    assert answer["problem"] is None
    assert len(answer["rig"]["proofs"]) == 1
    assert set(answer["rig"]["unread"]["values"]) == {"front.axle_rating", "rear.strap_travel"}


HOSTILE = "<img src=x onerror=alert(1)>&\"'"


def test_hostile_text_comes_back_as_text() -> None:
    data = rig_to_data(wren())
    data["name"] = HOSTILE
    data["load_cases"][1]["label"] = HOSTILE
    answer = ask({**LOW, "note": HOSTILE, "case": HOSTILE, "read": HOSTILE, "first.1.pad": HOSTILE}, rig=data)
    text = json.dumps(answer["regions"])
    assert "<img" not in text
    assert "&lt;img" in text
    assert answer["rig"]["proofs"][0]["note"] == HOSTILE


@given(
    fields=some.dictionaries(
        some.sampled_from([*declared(), "date", "note", "case", "read", "first.9.pad", "third"]),
        some.one_of(
            some.text(max_size=20), some.floats().map(str), some.sampled_from(["", "1/2", "1e9", "25.7", "nan"])
        ),
        max_size=12,
    ),
    proof=some.one_of(some.none(), some.integers(-3, 5), some.text(max_size=3), some.booleans()),
    action=some.one_of(
        some.none(), some.sampled_from(["new", "show 0", "show ²", "remove", "show -1"]), some.integers()
    ),
)
@settings(max_examples=40)
def test_rubbish_is_answered(fields: dict[str, str], proof: object, action: object) -> None:
    answer = on_wren(fields, proof=proof, action=action)
    assert isinstance(answer["regions"], dict)
    for text in answer["regions"].values():
        assert "nan" not in text.lower().split()
    assert "Traceback" not in json.dumps(answer)


@pytest.mark.parametrize("action", ["show ²", "show -1", "show 7", "show", "juggle", 3, None])
def test_an_action_that_there_is_not_changes_nothing(action: object) -> None:
    rig = on_wren(LOW)["rig"]
    assert ask(LOW, rig=rig, proof=0, action=action)["rig"] == rig


def test_the_second_state_is_read_and_kept() -> None:
    second = {name.replace("first", "second"): text for name, text in LOW.items()}
    load = {"second.added.mass": "300 lb", "second.added.behind_front_axle": "80 in", "second.0.adjuster_turns": "2"}
    answer = on_wren({**LOW, **second, **load})
    kept = read_rig(json.dumps(answer["rig"])).proofs[0]
    assert len(kept.states) == 2
    assert kept.states[1].at("left_front").adjuster_turns == 2.0
    added = kept.states[1].added
    assert added is not None
    assert added.behind_front_axle == pytest.approx(80 * INCH)
    assert answer["data"]["separates"] == "added load"


def test_an_empty_corner_is_told_by_name() -> None:
    fields = {name: text for name, text in LOW.items() if not name.startswith("first.2")}
    answer = on_wren(fields)
    assert "needs the height at the left rear too" in answer["regions"]["findings"]


def test_a_proof_of_one_state_is_what_the_page_makes_of_its_fields() -> None:
    proof = Proof(date=TODAY, states=(State(corners={CORNERS[0]: CornerReading(pad=600.0)}),))
    rig = {**rig_to_data(wren()), "proofs": []}
    answer = ask({"first.0.pad": "600 kg"}, rig=rig)
    assert read_rig(json.dumps(answer["rig"])).proofs[0] == Proof(
        date=TODAY, case=proof.case, states=proof.states, read=proof.read
    )


def without_a_place(*, all_off: bool = False) -> dict[str, Any]:
    """Wren with an item of a load case whose place nobody entered; or with one that takes all the weight off a tire."""
    data = rig_to_data(wren())
    item = data["load_cases"][1]["items"][1]
    if all_off:
        item["mass"] = -3000.0
    else:
        del item["behind_front_axle"]
    return data


@pytest.mark.parametrize(
    ("all_off", "told"),
    [
        (
            False,
            "Load case “Crew of two with tools”: item 2 is carried by the springs, and its position behind the front",
        ),
        (True, "Load case “Crew of two with tools”: these items together would leave nothing on the"),
    ],
)
def test_a_load_case_that_cannot_be_is_named_and_the_readings_are_kept(all_off: bool, told: str) -> None:
    answer = ask(LOW, rig=without_a_place(all_off=all_off))
    assert answer["problem"] is None
    assert told in answer["regions"]["results"]
    (kept,) = answer["rig"]["proofs"]
    read = kept["states"][0]["corners"]["left_front"]
    assert read == {
        "after_pushed_down": pytest.approx(25.74 * INCH),
        "after_lifted": pytest.approx(25.89 * INCH),
    }


def test_what_contradicts_itself_and_what_is_missing_are_both_told() -> None:
    data = without_a_place()
    del data["values"]["front.lean"], data["values"]["front.unsprung_mass"]
    results = ask(LOW, rig=data)["regions"]["results"]
    assert "Load case “Crew of two with tools”: item 2" in results
    assert "front unsprung weight" in results
