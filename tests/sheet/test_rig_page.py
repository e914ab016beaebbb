"""The rig page's answers, without a browser: what is kept, what is told, and that nothing typed becomes markup."""

from __future__ import annotations

import importlib
import json
import math
import re
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Any

import pytest

from calc import bridge, memo
from calc.quantity import SHOP, Quantity
from calc.rig.entries import AXLES, keys
from calc.rig.file import read_rig, rig_from_data, rig_to_data, wren, write_rig
from calc.rig.kept import kept_rig
from calc.rig.rig import Rig
from calc.search.choose import set_count
from calc.sheet.rig import entries, lists, page

INCH = 0.0254
POUND = 0.45359237
WREN = rig_to_data(wren())
BLANK = rig_to_data(Rig())
NAUGHTY = '<img src=x onerror="alert(1)">&\'{case}'


def ask(rig: Any = None, typed: dict[str, str] | None = None, **more: Any) -> dict[str, Any]:
    typed = typed or {}
    request = {"do": "rig", "rig": rig, "fields": typed, "typed": list(typed), **more}
    answer: dict[str, Any] = json.loads(bridge.call(json.dumps(request)))
    return answer


def said(answer: dict[str, Any], region: str) -> str:
    text = re.sub(r"<[^>]+>", " ", answer["regions"][region]).replace("\u00a0", " ")
    return " ".join(text.split())


def errors(answer: dict[str, Any]) -> dict[str, str]:
    return {name: field["error"]["problem"] for name, field in answer["fields"].items() if field["error"]}


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.seen: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))


def tags(html: str) -> list[tuple[str, dict[str, str | None]]]:
    parser = Tags()
    parser.feed(html)
    return parser.seen


# --- the page that is built ---------------------------------------------------------------------------------------------------


def test_every_value_that_a_rig_may_hold_has_its_field() -> None:
    names = {attributes.get("name") for tag, attributes in tags(page.rig()) if tag in ("input", "select")}
    expected = {key for key in keys() if "chosen_" not in key and key != "reference_case"}
    # How sets are ranked is painted when its line is opened.
    opened = ask(WREN, action="ranking")["regions"]["ranking"]
    names |= {attributes.get("name") for tag, attributes in tags(opened) if tag == "input"}
    assert expected <= names
    # And the load case of the wishes, as soon as there is a choice.
    assert 'name="reference_case"' in entries.cases(wren(), SHOP)


def test_the_built_page_is_blank_and_wrens_answers_stand_beside_it() -> None:
    html = page.rig()
    form, example = html.split("</calc-form>")
    filled = [
        attributes
        for tag, attributes in tags(form)
        if tag == "input" and attributes.get("type") == "text" and attributes.get("value")
    ]
    # The hard limits alone have defaults, and the one load case a name.
    assert {attributes["name"] for attributes in filled} == {
        *("least_preload", "least_adjuster_left", "least_tender_left", "least_main_left"),
        "case.0.label",
    }
    text = " ".join(re.sub(r"<[^>]+>", " ", example).replace("\u00a0", " ").split())
    assert "5,290 lb, 54.8 % on the front" in text
    assert "Estimate: do not order." in text
    assert len([tag for tag, _ in tags(form) if tag == "h2"]) == 13


def test_no_id_stands_twice() -> None:
    opened = ask(open=WREN)
    html = page.rig() + opened["regions"]["says-6"] + opened["regions"]["order"] + opened["regions"]["says-1"]
    found = [attributes["id"] for _, attributes in tags(html) if attributes.get("id")]
    assert len(found) == len(set(found))


# --- keeping what was entered ---------------------------------------------------------------------------------------------------


def test_opening_wren_and_reading_it_back_changes_nothing() -> None:
    assert ask(open="wren") == {"rig": WREN, "problem": None, "told": ""}
    opened = ask(open=WREN)
    assert opened["rig"] == WREN
    values = opened["values"]
    assert values["left_front.corner_mass"] == "1474.01"
    # Typed again as they are shown, rounded for the eye, all numbers stay exactly what they were.
    again = ask(WREN, {name: text for name, text in values.items() if text and not name.startswith("least_")})
    assert again["rig"] == WREN
    assert errors(again) == {}


def test_a_blank_rig_is_not_kept_until_something_is_entered() -> None:
    assert ask()["rig"] is None
    assert ask(open="blank")["rig"] is None
    assert ask(None, {"wheelbase": "112"})["rig"]["values"] == {
        "wheelbase": {"origin": "measured", "value": 112 * INCH}
    }


@pytest.mark.parametrize("system", ["shop", "metric"])
def test_an_answer_in_two_parts_is_the_whole_one(system: str) -> None:
    given: dict[str, Any] = {"typed": {"left_front.corner_mass": "1475 lb"}, "units": {"system": system}}
    whole = ask(WREN, **given)
    first, rest = ask(WREN, **given, part="answer"), ask(WREN, **given, part="rest")
    assert set(first.pop("more")) == set(rest["regions"])
    later = {"order", *(f"work-{number}" for number in range(1, 14))}
    assert set(rest["regions"]) == later
    assert not later & set(first["regions"])
    assert "<math" in rest["regions"]["work-1"]
    whole.pop("data")
    assert {**first, "regions": first["regions"] | rest["regions"]} == whole


def test_a_field_that_cannot_be_read_is_unknown_and_everything_else_goes_on() -> None:
    answer = ask(WREN, {"front.wanted_bump": "4 1/", "front.axle_rating": "1,1,1", "rear.lean": "18"})
    assert set(errors(answer)) == {"front.wanted_bump", "front.axle_rating"}
    assert "is not one number" in errors(answer)["front.wanted_bump"]
    values = answer["rig"]["values"]
    assert not {"front.wanted_bump", "front.axle_rating"} & set(values)
    assert answer["rig"]["unread"] == {
        "values": {"front.wanted_bump": {"text": "4 1/"}, "front.axle_rating": {"text": "1,1,1"}}
    }
    assert values["rear.lean"]["value"] == pytest.approx(0.314159, rel=1e-5)
    # What does not need them is still answered; what does says why not, on the page and on the sheet.
    assert answer["data"]["axles"]["rear"]["chosen"]
    assert answer["data"]["axles"]["front"]["problems"] == ["Front wanted bump left, at least, cannot be read: “4 1/”."]
    assert "not checked Front wanted bump left, at least, cannot be read: “4 1/”." in said(answer, "says-6")
    assert "within its rating: Front axle rating cannot be read: “1,1,1”." in said(answer, "says-1")
    for region in ("estimate", "order"):
        assert "Estimate: do not order" in said(answer, region)
        assert "ront wanted bump left, at least, cannot be read" in said(answer, region)
    assert "Front axle rating cannot be read: “1,1,1”." in said(answer, "order")


def test_what_cannot_be_read_is_kept_as_it_was_typed() -> None:
    typed = ask(WREN, {"front.wanted_bump": "4 1/", "wheelbase": "10", "front.lean.plus_minus": "some"})
    assert typed["rig"]["unread"]["values"]["wheelbase"] == {"text": "10", "unit": "in"}
    assert read_rig(write_rig(rig_from_data(typed["rig"]))) == rig_from_data(typed["rig"])
    assert typed["rig"]["version"] == 2
    opened = ask(None, open=typed["rig"])
    assert opened["rig"] == typed["rig"]
    shown = [opened["values"][name] for name in ("front.wanted_bump", "wheelbase", "front.lean.plus_minus")]
    assert shown == ["4 1/", "10", "some"]
    assert set(errors(opened)) == {"front.wanted_bump", "wheelbase", "front.lean.plus_minus"}
    # A bare number keeps the unit that it was typed in.
    assert ask(None, open=typed["rig"], units={"system": "metric"})["values"]["wheelbase"] == "10 in"
    # The usual ± stands in for the one that cannot be read, and nothing is ready to be ordered by it.
    assert "front lean of the coil-over, plus or minus, cannot be read" in said(opened, "estimate")
    assert "front.lean.plus_minus" not in opened["rig"]["values"]
    better = ask(typed["rig"], {"front.wanted_bump": "4 1/2", "wheelbase": "112.2", "front.lean.plus_minus": ""})
    assert "unread" not in better["rig"]
    assert better["rig"]["version"] == 1
    assert ask(WREN, {"front.wanted_bump": "4 1/"})["edit"] == "front.wanted_bump"


def test_a_number_that_is_asked_back_stays_asked_until_its_text_is_changed() -> None:
    asked = ask(WREN, {"front.gas_pressure": "12"})
    question = errors(asked)["front.gas_pressure"]
    assert "12\u00a0psi is far from what is usual; 12\u00a0bar would not be." in question
    for system in ("shop", "metric"):
        later = ask(asked["rig"], {"rear.lean": "18"}, units={"system": system})
        assert errors(later) == {"front.gas_pressure": question}
        assert "front.gas_pressure" not in later["rig"]["values"]
    assert errors(ask(asked["rig"], {"front.gas_pressure": "12 bar"})) == {}


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"front.motion_ratio": "x"}, "Front motion ratio cannot be read: “x”."),
        ({"least_preload": "3/8 inch or so"}, "Least preload cannot be read: “3/8 inch or so”."),
        ({"front.gas_pressure": "full"}, "Front gas charge, by the gauge, cannot be read: “full”."),
        ({"front.strap_travel": "?"}, "Front full droop, from full extension, cannot be read: “?”."),
        ({"front.unsprung_left_of_center": "left"}, "Front unsprung center, left of center, cannot be read: “left”."),
        (
            {"front.travel_pairs.0.wheel_height": "20", "front.travel_pairs.0.damper_length": "long"},
            "Front travel pairs, row 1: damper length, eye to eye, cannot be read: “long”.",
        ),
        (
            {"case.1.items.0.label": "Crew", "case.1.items.0.mass": "lots", "case.1.items.0.carried": "sprung"},
            "Load case “Crew of two with tools”, row 1: weight of the item cannot be read: “lots”.",
        ),
    ],
)
def test_nothing_takes_the_place_of_what_cannot_be_read(typed: dict[str, str], sentence: str) -> None:
    """No default, no other way to the same number, no row less: the front's springs wait for it."""
    answer = ask(WREN, typed)
    assert sentence in answer["data"]["axles"]["front"]["problems"]
    assert "chosen" not in answer["data"]["axles"]["front"]
    assert "Estimate: do not order" in said(answer, "estimate")


def test_the_rear_does_not_take_over_what_cannot_be_read() -> None:
    one = ask(WREN, {"front.tire_rate": "soft", "rear.tire_rate": ""})
    assert one["data"]["axles"]["rear"]["problems"] == ["Front tire rate cannot be read: “soft”."]
    other = ask(WREN, {"rear.tire_rate": "soft"})
    assert other["data"]["axles"]["rear"]["problems"] == ["Rear tire rate cannot be read: “soft”."]
    assert other["data"]["axles"]["front"]["chosen"]


def test_a_height_that_cannot_be_read_keeps_the_rig_from_being_solved() -> None:
    answer = ask(WREN, {"case.0.center_of_gravity_height": "high"})
    assert "height of the center of gravity cannot be read: “high”." in answer["data"]["at_rest"]["problems"][0]
    assert ask(None, open=answer["rig"])["rig"] == answer["rig"]


def test_a_cleared_field_is_blank_and_says_what_needs_it() -> None:
    answer = ask(WREN, {"front.unsprung_mass": ""})
    assert "front.unsprung_mass" not in answer["rig"]["values"]
    assert said(answer, "head-2") == "657 lb rear not checked"
    assert "Needs" in said(answer, "says-6") or "needs front unsprung weight" in said(answer, "says-6").lower()
    assert answer["data"]["axles"]["front"]["needs"] == ["front.unsprung_mass"]
    assert answer["data"]["axles"]["rear"]["chosen"]


def test_one_edit_is_named_so_that_it_is_undone_at_once() -> None:
    assert ask(WREN, {"front.tire_rate": "1500"})["edit"] == "front.tire_rate"
    assert ask(WREN, {"front.tire_rate": "1500", "rear.tire_rate": "1500"})["edit"] == ""
    assert ask(WREN, {"rig_name": "Wren two"})["edit"] == ""


def test_the_rear_follows_the_front_until_it_is_typed() -> None:
    request = {"do": "rig", "rig": BLANK, "fields": {"front.damper_stroke": "12", "rear.damper_stroke": ""}}
    answer = json.loads(bridge.call(json.dumps({**request, "typed": ["front.damper_stroke"]})))
    assert answer["values"]["rear.damper_stroke"] == "12"
    assert answer["fields"]["rear.damper_stroke"]["origin"] == "assumed"
    assert "rear.damper_stroke" not in answer["rig"]["values"]
    own = ask(answer["rig"], {"rear.damper_stroke": "14"})
    assert own["rig"]["values"]["rear.damper_stroke"]["value"] == pytest.approx(14 * INCH)
    assert own["fields"]["rear.damper_stroke"]["origin"] == "measured"


def test_a_wish_is_nobodys_measurement() -> None:
    answer = ask(BLANK, {"front.wanted_bump": "4", "front.lean": "10"})
    assert answer["fields"]["front.wanted_bump"]["origin"] == ""
    assert answer["fields"]["front.lean"]["origin"] == "measured"


def test_metric_entries_are_read_and_shown_in_metric() -> None:
    answer = ask(BLANK, {"wheelbase": "2850"}, units={"system": "metric"})
    assert answer["rig"]["values"]["wheelbase"]["value"] == pytest.approx(2.85)
    assert answer["fields"]["wheelbase"]["unit"] == "mm"
    assert "mm" in said(ask(open=WREN, units={"system": "metric"}), "order")


def test_units_of_every_field_can_be_switched() -> None:
    opened = ask(open=WREN)
    fields = {**opened["values"], "case.1.items.0.mass": "187.39", "changes.0.behind_front_axle": "4.724"}
    request = {"do": "convert", "of": "rig", "fields": fields, "units": {"system": "shop"}, "to": {"system": "metric"}}
    answer = json.loads(bridge.call(json.dumps(request)))
    assert answer["values"]["wheelbase"] == "2850.01"
    assert float(answer["values"]["case.1.items.0.mass"]) == pytest.approx(85.0, abs=0.01)
    assert answer["units"]["case.items.mass"] == "kg"
    assert float(answer["values"]["changes.0.behind_front_axle"]) == pytest.approx(120.0, abs=0.1)
    for key, declared in keys().items():
        if isinstance(declared.is_a, Quantity) and fields.get(key):
            assert key in answer["values"]


# --- load cases -----------------------------------------------------------------------------------------------------------------


def test_a_load_case_is_added_filled_and_taken_away() -> None:
    first = ask(WREN, action="remove-case 2")
    assert [case["name"] for case in first["rig"]["load_cases"]] == ["bare", "crew"]
    assert 'name="case.1.label"' in first["regions"]["cases"]
    blank = ask(BLANK, action="add-case")
    assert [case["label"] for case in blank["rig"]["load_cases"]] == ["As weighed", "Load case 2"]
    typed = {
        "case.1.label": "Full tank",
        "case.1.items.0.label": "Fuel",
        "case.1.items.0.mass": "150",
        "case.1.items.0.behind_front_axle": "90",
        "case.1.items.0.left_of_center": "",
        "case.1.items.0.carried": "sprung",
        "case.1.items.1.label": "",
        "case.1.items.1.carried": "sprung",
    }
    filled = ask(blank["rig"], typed)
    case = filled["rig"]["load_cases"][1]
    assert case["label"] == "Full tank"
    assert case["items"] == [
        {
            "name": "Fuel",
            "mass": pytest.approx(150 * POUND),
            "behind_front_axle": pytest.approx(90 * INCH),
            "left_of_center": 0.0,
            "carried": "sprung",
        }
    ]
    # While it is typed, the table is left alone.
    assert "cases" not in filled["regions"]
    gone = ask(filled["rig"], action="remove-case 1")
    assert gone["rig"]["load_cases"] == []


PAIRS = {0: ("20.0", "24.0"), 1: ("22.0", "25.9"), 2: ("24.0", "27.8"), 3: ("26.0", "29.7"), 4: ("28.0", "31.6")}


def travel(axle: str) -> dict[str, str]:
    """Five pairs on a straight line of 0.95 in of damper per inch of wheel."""
    return {
        f"{axle}.travel_pairs.{row}.{column}": text
        for row, pair in PAIRS.items()
        for column, text in zip(("wheel_height", "damper_length"), pair, strict=True)
    }


def test_travel_pairs_give_the_motion_ratio() -> None:
    answer = ask(BLANK, {**travel("front"), "front.ride_height": "24"})
    assert answer["rig"]["travel_pairs"]["front"][0] == pytest.approx(
        {"wheel_height": 20 * INCH, "damper_length": 24 * INCH}
    )
    assert "0.950 front" in said(answer, "head-4")
    assert "Motion ratio, front, from the travel table 0.950" in said(answer, "says-4")
    opened = ask(None, open=answer["rig"])
    cells = {own["name"]: own["value"] for tag, own in tags(opened["regions"]["travel"]) if tag == "input"}
    assert cells["front.travel_pairs.4.damper_length"] == "31.6"
    assert cells["rear.travel_pairs.0.damper_length"] == ""


def test_travel_pairs_that_do_not_do_say_why_beside_them_and_in_the_heading() -> None:
    answer = ask(BLANK, {**travel("front"), "front.travel_pairs.2.damper_length": "long", "front.ride_height": "40"})
    assert "front.travel_pairs.2.damper_length" in errors(answer)
    assert "Front travel pairs, row 3 cannot be read" in said(answer, "head-4")
    outside = ask(BLANK, {**travel("front"), "front.ride_height": "40"})
    assert "Ride height, 40.00 in, lies outside the pairs" in said(outside, "says-4")
    missing = ask(BLANK, travel("rear"))
    assert "Rear: the travel table cannot be used" in said(missing, "says-4")


def test_the_height_of_the_center_of_gravity_is_entered_for_each_load_case() -> None:
    answer = ask(BLANK, {"case.0.center_of_gravity_height": "33"})
    assert answer["rig"]["load_cases"][0]["center_of_gravity_height"] == pytest.approx(33 * INCH)
    wrong = ask(answer["rig"], {"case.0.center_of_gravity_height": "high"})
    assert "case.0.center_of_gravity_height" in errors(wrong)
    assert wrong["rig"]["load_cases"][0]["center_of_gravity_height"] is None
    assert wrong["rig"]["load_cases"][0]["unread"] == {"center_of_gravity_height": {"text": "high"}}
    cleared = ask(answer["rig"], {"case.0.center_of_gravity_height": " "})
    assert cleared["rig"]["load_cases"][0]["center_of_gravity_height"] is None
    metric = ask(
        answer["rig"],
        {"case.0.center_of_gravity_height": "838.2"},
        units={"system": "metric", "fields": {}},
    )
    assert metric["rig"] == answer["rig"]


def test_eight_load_cases_are_the_most() -> None:
    rig = BLANK
    for _ in range(9):
        rig = ask(rig, action="add-case")["rig"]
    assert len(rig["load_cases"]) == 8
    assert len({case["name"] for case in rig["load_cases"]}) == 8


def test_a_row_that_cannot_be_read_is_unknown_and_kept_as_it_was_typed() -> None:
    opened = ask(open=WREN)
    cells = {
        attributes["name"]: attributes["value"] or ""
        for tag, attributes in tags(opened["regions"]["cases"])
        if tag == "input" and attributes.get("name")
    }
    cells |= {"case.1.items.0.carried": "sprung", "case.1.items.1.carried": "sprung"}
    answer = ask(WREN, {**cells, "case.1.items.1.mass": "lots"})
    assert "case.1.items.1.mass" in errors(answer)
    assert [item["name"] for item in answer["rig"]["load_cases"][1]["items"]] == [
        WREN["load_cases"][1]["items"][0]["name"]
    ]
    opened = ask(None, open=answer["rig"])
    again = {own["name"]: own["value"] for tag, own in tags(opened["regions"]["cases"]) if tag == "input"}
    assert again["case.1.items.1.mass"] == "lots"
    assert again["case.1.items.1.label"] == WREN["load_cases"][1]["items"][1]["name"]
    assert "case.1.items.1.mass" in errors(opened)
    assert "row 2 cannot be read" in said(answer, "head-5")
    without_place = ask(WREN, {**cells, "case.1.items.2.label": "Winch", "case.1.items.2.mass": "80"})
    assert "needs its position" in errors(without_place)["case.1.items.2.behind_front_axle"]
    # It stays in the rig as far as it is known; what needs its position says so.
    assert [item["name"] for item in without_place["rig"]["load_cases"][1]["items"]][2:] == ["Winch"]


def test_a_load_case_that_lifts_a_wheel_is_told_beside_it_and_the_rest_goes_on() -> None:
    typed = {
        "case.0.items.0.label": "Crane",
        "case.0.items.0.mass": "4000",
        "case.0.items.0.behind_front_axle": "240",
        "case.0.items.0.carried": "sprung",
    }
    answer = ask(WREN, typed)
    assert "case.0.items" in errors(answer)
    assert said(answer, "head-1").startswith("5,290 lb")


# --- text of strangers ------------------------------------------------------------------------------------------------------------


def test_no_text_of_a_reader_becomes_markup() -> None:
    rig = json.loads(json.dumps(WREN))
    rig["name"] = rig["note"] = NAUGHTY
    rig["values"]["condition"]["value"] = NAUGHTY
    for case in rig["load_cases"]:
        case["label"] = NAUGHTY
        for item in case["items"]:
            item["name"] = NAUGHTY
    for axle in AXLES:
        rig["values"][f"{axle}.chosen_main_part"] = {"value": NAUGHTY, "origin": "measured"}
    answer = ask(open=rig)
    for name, html in answer["regions"].items():
        seen = tags(html)
        assert "img" not in [tag for tag, _ in seen], name
        assert not [attributes for _, attributes in seen if any(key.startswith("on") for key in attributes)], name
    assert "{case}" in said(answer, "says-5")


def test_a_list_of_strangers_becomes_no_markup() -> None:
    text = f"part,rate (lb/in),free length (in),solid length (in),inside diameter (in),{NAUGHTY}\n{NAUGHTY},250,10,3.5,3,x\n=A1,bad,10,3,3,y\n"
    answer = ask(WREN, list_text=text)
    assert "img" not in [tag for tag, _ in tags(answer["regions"]["list"])]
    assert "bad" not in answer["rig"]["name"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "not JSON"),
        ("{}", "not a rig file"),
        ("[" * 5000, "not JSON"),
        (json.dumps({**WREN, "version": 99}), "Open it with a newer copy"),
        (write_rig(wren()).replace("2.85,", "NaN,"), "Wheelbase is not a finite number"),
        (write_rig(wren()).replace('"value": 2.85', '"value": "wide"'), "wheelbase"),
        (write_rig(wren()).replace('"value": 2.85', '"value": 2850'), "Wheelbase"),
        ("x" * 1_000_001, "too large"),
    ],
)
def test_a_file_that_is_no_rig_says_why_and_opens_nothing(text: str, told: str) -> None:
    answer = ask(WREN, file=text)
    assert told in answer["problem"]
    assert "rig" not in answer


def test_a_kept_rig_that_is_damaged_is_told_and_not_replaced() -> None:
    for damaged in ({"values": []}, {"values": {}, "load_cases": 3}, {"version": 99}, {"format": "other"}):
        answer = ask({"format": "spring and damper rig", "version": 1, **damaged})
        assert "Nothing was changed" in answer["problem"]
        assert "rig" not in answer


def damaged_wren() -> dict[str, Any]:
    """Wren as a browser might keep it, with values that the handbook refuses."""
    data: dict[str, Any] = json.loads(json.dumps(WREN))
    data["values"]["wheelbase"]["value"] = 254.0
    data["values"]["front.tire_rate"]["value"] = "stiff"
    data["values"]["rear.axle_kind"] = {"value": "sled"}
    data["values"]["front.lean"]["plus_minus"] = -0.01745329251994
    data["values"]["condition"]["value"] = 7
    data["travel_pairs"] = {
        "front": [{"wheel_height": 0.5, "damper_length": 0.6}, {"wheel_height": 90, "damper_length": 0.6}]
    }
    data["load_cases"][1]["items"][0]["mass"] = [1]
    data["load_cases"][0]["center_of_gravity_height"] = -2.54
    data["changes"] = [3]
    return data


def test_a_kept_rig_with_values_out_of_limits_goes_on_and_loses_nothing() -> None:
    answer = ask(damaged_wren(), {"rear.lean": "18"})
    assert answer["problem"] is None
    kept = answer["rig"]
    assert kept["values"]["rear.lean"]["value"] == pytest.approx(0.314159, rel=1e-5)
    assert kept["unread"]["values"] == {
        "wheelbase": {"text": "10000 in"},
        "front.tire_rate": {"text": '"stiff"'},
        "rear.axle_kind": {"text": "sled"},
        "front.lean.plus_minus": {"text": "-1 °"},
    }
    assert kept["values"]["front.lean"]["value"] == WREN["values"]["front.lean"]["value"]
    assert kept["values"]["condition"]["value"] == "7"
    assert kept["unread"]["travel_pairs"]["front"][0]["place"] == 1
    assert kept["unread"]["changes"] == [{"place": 0, "cells": {"label": {"text": "3"}}}]
    assert kept["load_cases"][0]["unread"]["center_of_gravity_height"] == {"text": "-100 in"}
    assert kept["load_cases"][1]["unread"]["items"][0]["cells"]["mass"] == {"text": "[1]"}
    # All else is as it was, and what is kept now is a rig like any other.
    for key in set(WREN["values"]) - {"wheelbase", "front.tire_rate", "rear.axle_kind", "condition", "rear.lean"}:
        assert kept["values"][key]["value"] == WREN["values"][key]["value"]
    assert read_rig(json.dumps(kept)) == rig_from_data(kept)
    # It stands in its field, with its limits beside it, and waits to be mended.
    told = answer["fields"]["wheelbase"]["error"]
    assert "must be at most" in told["problem"]
    assert told["allowed"].startswith("Allowed: from")
    assert said(answer, "estimate").startswith("Estimate: do not order. Wheelbase;")
    assert "cannot be read" in said(answer, "estimate")
    opened = ask(None, open=damaged_wren())
    assert opened["values"]["wheelbase"] == "10000 in"
    assert {"wheelbase", "front.tire_rate", "rear.axle_kind", "front.lean.plus_minus"} <= set(errors(opened))
    mended = ask(kept, {"wheelbase": "112.2", "front.tire_rate": "1500", "rear.axle_kind": "solid"})
    assert set(mended["rig"]["unread"]["values"]) == {"front.lean.plus_minus"}


def test_a_value_hardly_out_of_its_limits_is_told_in_as_many_figures_as_that_takes() -> None:
    most = keys()["wheelbase"].quantity.high
    data = {**BLANK, "values": {"wheelbase": {"value": most * (1 + 1e-10), "plus_minus": 0.01}}}
    answer = ask(data, units={"system": "metric"})
    assert "must be at most" in answer["fields"]["wheelbase"]["error"]["problem"]
    assert answer["rig"]["unread"]["values"]["wheelbase"]["text"].endswith(" mm")
    assert answer["rig"]["doubts"] == {"wheelbase": 0.01}
    nearest = ask({**BLANK, "values": {"wheelbase": {"value": math.nextafter(most, 2 * most)}}})
    assert errors(nearest).keys() == {"wheelbase"}


@pytest.mark.parametrize("value", [None, True, {}, [], "0.3", 1e308, -1e308, math.inf, 5e-324, "x" * 500])
def test_no_value_of_a_kept_rig_stops_an_edit(value: object) -> None:
    for key in (key for key, declared in keys().items() if isinstance(declared.is_a, Quantity)):
        kept_rig({**BLANK, "values": {key: {"value": value, "plus_minus": value}}, "doubts": {"wheelbase": value}})
    answer = ask({**BLANK, "values": {"wheelbase": {"value": value}}}, {"front.track": "64"})
    assert answer["problem"] is None
    assert "front.track" in answer["rig"]["values"]
    assert errors(answer).keys() == {"wheelbase"}


def test_a_file_from_outside_is_still_refused_as_a_whole() -> None:
    answer = ask(WREN, file=json.dumps(damaged_wren()))
    assert "Nothing was changed" in answer["problem"]
    assert "rig" not in answer


def test_a_file_is_read_back_the_same() -> None:
    assert ask(BLANK, file=write_rig(wren()))["rig"] == WREN
    assert read_rig(write_rig(wren())) == wren()


# --- the reader's own list -----------------------------------------------------------------------------------------------------------

HEAD = "Code;Rate N/mm;Length mm;Block mm;ID mm;Price"


def own_list(rows: list[str]) -> str:
    return "\n".join([HEAD, *rows])


def rows_of(count: int) -> list[str]:
    """Springs that fit Wren's dampers: as soft and as stiff as its search needs, with a decimal comma."""
    return [f"A-{index:03d};{35 + index},5;254;90;76,2;80" for index in range(count)]


def test_an_own_list_is_proposed_then_used_then_dropped() -> None:
    text = own_list([*rows_of(40), "B-1;fast;254;90;76,2;80"])
    proposed = ask(WREN, list_text=text)
    assert proposed["list"]["use"] is False
    assert "Read: 40 of 41 rows." in said(proposed, "list")
    assert "Row 42" in said(proposed, "list") or " 42 " in said(proposed, "list")
    assert proposed["data"]["axles"]["front"]["chosen"]["main"].startswith("SP-")
    used = ask(WREN, list={**proposed["list"], "use": True})
    assert "In use: your list, 40 springs." in said(used, "list")
    assert used["data"]["axles"]["front"]["tried"] == 40 * 41
    assert "the spring list is an invented example" not in used["data"]["reasons"]
    again = ask(WREN, list=used["list"])
    assert again["data"] == used["data"]
    assert ask(WREN)["data"]["axles"]["front"]["chosen"]["main"].startswith("SP-")


def test_a_column_can_be_understood_otherwise() -> None:
    text = own_list(rows_of(6))
    proposed = ask(WREN, list_text=text)
    assert proposed["list"]["columns"]["rate"] == {"index": 1, "unit": "N/mm"}
    names = {attributes["name"]: "" for tag, attributes in tags(proposed["regions"]["list"]) if tag == "select"}
    chosen = {
        name: str(proposed["list"]["columns"][name.split(".")[1]]["index" if name.endswith("column") else "unit"])
        if name.split(".")[1] in proposed["list"]["columns"]
        else ""
        for name in names
    }
    changed = ask(WREN, {**chosen, "list.rate.unit": "lb/in"}, list=proposed["list"])
    assert changed["list"]["columns"]["rate"] == {"index": 1, "unit": "lb/in"}
    assert changed["list"]["use"] is False
    none = ask(WREN, {**chosen, "list.solid_length.column": ""}, list=proposed["list"])
    assert "solid_length" not in none["list"]["columns"]
    assert "hb-button" not in none["regions"]["list"]


def test_another_worker_asks_for_the_list_again() -> None:
    text = own_list(rows_of(10))
    proposed = ask(WREN, list_text=text)
    used = ask(WREN, list={**proposed["list"], "use": True})
    lists.OWN_SPRINGS.held.clear()
    lost = ask(WREN, list=used["list"])
    assert lost["want_list"] is True
    back = ask(WREN, list=used["list"], list_text=text)
    assert back["list"] == used["list"]
    assert back["data"] == used["data"]


@pytest.mark.parametrize("text", ["", "\0\1", "a,b\n1,2", "x" * 5_000_001])
def test_a_text_that_is_no_list_says_so(text: str) -> None:
    answer = ask(WREN, list_text=text)
    assert said(answer, "list")
    assert answer["data"]["axles"]["front"]["chosen"]["main"].startswith("SP-")


# --- the search ---------------------------------------------------------------------------------------------------------------------


def test_a_large_list_is_searched_in_slices_when_asked() -> None:
    text = own_list([f"A-{index:04d};{30 + index / 8:.3f};254;90;76.2;80" for index in range(240)])
    proposed = ask(WREN, list_text=text)
    used = ask(WREN, list={**proposed["list"], "use": True})
    assert 'data-long="choose"' in used["regions"]["list"]
    assert said(used, "head-6").startswith("Waits for the search")
    work = bridge.begin(json.dumps({"do": "choose", "rig": WREN, "fields": {}, "typed": [], "list": used["list"]}))
    parts = []
    while "done" not in (part := json.loads(work.next())):
        parts.append(part["progress"])
    assert [part["total"] for part in parts] == [240 * 241] * len(parts)
    assert parts[-1]["done"] == 240 * 241
    done = part["done"]
    assert done["data"]["axles"]["rear"]["tried"] == 240 * 241
    assert 'data-long="choose"' not in done["regions"]["list"]
    # What was searched once is known to the next answer.
    assert ask(WREN, list=used["list"])["data"] == done["data"]


def test_a_search_in_slices_finds_what_a_search_at_once_finds() -> None:
    at_once = ask(open=WREN)["data"]
    memo.forget()
    work = bridge.begin(json.dumps({"do": "choose", "rig": WREN, "fields": {}, "typed": []}))
    while "done" not in (part := json.loads(work.next())):
        pass
    assert part["done"]["data"] == at_once
    from calc.order.order import completed, task
    from calc.search.problem import Problem

    problem = task(completed(wren()), "front")
    assert isinstance(problem, Problem)
    assert set_count(problem, lists.handbook_springs()) == at_once["axles"]["front"]["tried"]


def test_an_edit_at_one_axle_works_out_that_axle_alone_and_answers_as_if_all_were_new(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    done: list[tuple[str, str]] = []

    def counted(what: str, module: str, axle_of: Callable[..., str]) -> None:
        work = getattr(importlib.import_module(module), what)

        def counting(*given: Any) -> Any:
            done.append((what, axle_of(*given)))
            return work(*given)

        monkeypatch.setattr(f"{module}.{what}", counting)

    counted("judged_set", "calc.order.order", lambda start, *_: start.axle)
    counted("tries", "calc.certainty.chances", lambda _, task, *__: task.axle)
    counted("_body", "calc.sheet.rig.springs", lambda item, *_: item.axle)
    memo.forget()
    ask(open=WREN)
    assert sorted(done) == [(what, axle) for what in ("_body", "judged_set", "tries") for axle in ("front", "rear")]
    done.clear()
    edited = ask(WREN, {"left_front.corner_mass": "1480 lb"})
    assert sorted(done) == [("_body", "front"), ("judged_set", "front"), ("tries", "front")]
    memo.forget()
    assert ask(WREN, {"left_front.corner_mass": "1480 lb"}) == edited


def test_a_picked_set_is_kept_shown_and_ordered() -> None:
    opened = ask(open=WREN)
    second = opened["data"]["axles"]["front"]["ranked"][1]
    text = entries.pick_text(second["tender"], second["main"])
    assert f'value="{text.replace(chr(34), "&quot;")}"' in opened["regions"]["says-6"]
    picked = ask(WREN, {"front.pick": text})
    assert picked["rig"]["values"]["front.chosen_main_part"]["value"] == second["main"]
    chosen = picked["data"]["axles"]["front"]["chosen"]
    assert (chosen["tender"], chosen["main"]) == (second["tender"], second["main"])
    # The search rounds in another order, so the last bits may differ.
    assert chosen["ride_travel"] == pytest.approx(second["ride_travel"], rel=1e-9)
    assert second["main"] in said(picked, "order")
    for nonsense in ("", "[]", "[1, 2]", "{", '["a"]', "null"):
        assert ask(WREN, {"front.pick": nonsense})["rig"] == WREN


# --- the smallest input first ----------------------------------------------------------------------------------------------------------


def test_two_axle_weights_give_a_first_answer() -> None:
    typed = {"front.axle_mass_before": "2600", "front.axle_mass_after": "3000"}
    few = ask(BLANK, typed)
    # 15 to 35 % unsprung, the same before and after: (3000 - u) / (2600 - u)
    assert said(few, "head-3").startswith("Front × 1.18 to 1.24")
    typed |= {"front.unsprung_mass": "700", "front.unsprung_mass_before": "600"}
    assert said(ask(BLANK, typed), "head-3").startswith("Front × 1.15")


def test_axle_weights_and_a_wish_give_a_range_that_is_not_for_ordering() -> None:
    typed = {
        "front.axle_mass_after": "3000",
        "front.wanted_frequency_low": "1.05",
        "front.wanted_frequency_high": "1.15",
    }
    text = said(ask(BLANK, typed), "says-5")
    assert "not for ordering" in text
    low, high = (float(number) for number in re.findall(r"(\d+) to (\d+) lb/in", text)[0])
    # By hand, extremes: 32 % unsprung, stiffest tire, MR 1, 1.05 Hz; 18 %, softest tire, MR 0.85, 1.15 Hz.
    ends = []
    for share, tire, ratio, frequency in ((0.35, 350e3, 1.0, 1.05), (0.15, 200e3, 0.85, 1.15)):
        ride = (2 * 3.141592653589793 * frequency) ** 2 * 3000 * POUND * (1 - share) / 2
        ends.append(ride * tire / (tire - ride) / ratio**2 / 175.126835)
    assert low == pytest.approx(ends[0], abs=1)
    assert high == pytest.approx(ends[1], abs=1)


def test_the_estimate_frame_counts() -> None:
    text = said(ask(open=WREN), "estimate")
    count = len(wren().values)
    assert text.startswith(
        f"Estimate: do not order. {count} values are examples; the spring list is an invented example; "
        "whether a limit strap ends the droop before the damper does is not checked at the front and at the rear "
        "(needs limit strap, yes or no)."
    )
    assert "8 values are assumed, 2 checks were not made." in text


def test_roll_is_told_without_dampers_and_with_them() -> None:
    data = rig_to_data(wren())
    assert "Damping ratio in roll" in ask(data)["regions"]["says-10"]
    del data["values"]["rear.wanted_damping_ratio"]
    del data["values"]["front.wanted_damping_ratio"]
    says = ask(data)["regions"]["says-10"]
    assert "Damping ratio in roll" not in says.replace("<summary>Working</summary>", "").partition("<details")[0]
    assert "Roll frequency" in says


def test_what_an_opened_file_has_beyond_what_is_known_is_told() -> None:
    text = json.dumps({**WREN, "values": {**WREN["values"], "front.tyre_rate": {"value": 2e5}}})
    answer = ask(file=text)
    assert answer["rig"] == WREN
    assert "“front.tyre_rate”" in answer["told"]
    assert ask(file=json.dumps(WREN))["told"] == ""
