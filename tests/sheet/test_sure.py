"""How sure each number of a rig is: shown, changed, said where it comes from, and kept by file, link and undo."""

from __future__ import annotations

import html
import json
import math
import re
from typing import Any

import pytest

from calc import bridge
from calc.quantity import Quantity
from calc.rig.entries import keys
from calc.rig.file import read_rig, rig_from_data, rig_to_data, wren, write_rig
from calc.rig.rig import Rig
from calc.rig.wires import doubtful, reason
from calc.sheet.rig.entries import SECTIONS

INCH = 0.0254


def ask(
    rig: Any, fields: dict[str, str] | None = None, *, typed: list[str] | None = None, **more: Any
) -> dict[str, Any]:
    fields = fields or {}
    request = {"do": "rig", "rig": rig, "fields": fields, "typed": list(fields) if typed is None else typed, **more}
    found: dict[str, Any] = json.loads(bridge.call(json.dumps(request)))
    return found


def painted(html_text: str) -> dict[str, str]:
    """The names and texts of the fields that a region puts on the page."""
    return dict(re.findall(r'<input [^>]*?name="([^"]+)"[^>]*? value="([^"]*)"', html_text))


def test_every_number_of_a_rig_has_a_usual_plus_minus_or_a_reason_why_not() -> None:
    numbers = {key: item.is_a for key, item in keys().items() if isinstance(item.is_a, Quantity)}
    for key, quantity in numbers.items():
        usual = quantity.plus_minus > 0 or quantity.plus_minus_share > 0
        assert usual != bool(reason(key)), key
    assert set(doubtful()) == {key for key in numbers if not reason(key)}


def test_every_number_in_doubt_can_be_said_in_one_section() -> None:
    shown: list[str] = []
    for section in SECTIONS:
        answer = ask(rig_to_data(wren()), action=f"sure {section.number}")
        shown += painted(answer["regions"].get(f"sure-{section.number}", ""))
    assert sorted(shown) == sorted(f"{key}.plus_minus" for key in doubtful())


def test_the_one_in_use_is_shown_and_is_the_usual_one_until_it_is_changed() -> None:
    answer = ask(rig_to_data(wren()), action="sure 4")
    region = answer["regions"]["sure-4"]
    # Half a degree by an angle finder, 0.06 in by a tape, and a share of the reading in section 5.
    assert painted(region)["front.lean.plus_minus"] == "0.5"
    assert painted(region)["front.damper_length.plus_minus"] == "0.06"
    assert answer["fields"]["front.lean.plus_minus"]["origin"] == "assumed"
    assert "<option selected>example</option>" in region
    tire = ask(rig_to_data(wren()), action="sure 5")["regions"]["sure-5"]
    # 10 % of 260 N/mm, in lb/in: 26e3 / 175.1268.
    assert float(painted(tire)["front.tire_rate.plus_minus"]) == pytest.approx(148.5, abs=0.06)
    assert "weight of the item ± 5 %" in html.unescape(tire)


def test_a_changed_plus_minus_moves_the_result_at_once_and_an_emptied_one_is_the_usual_again() -> None:
    usual = ask(rig_to_data(wren()), {}, open=rig_to_data(wren()))
    wide = ask(rig_to_data(wren()), {"front.unsprung_mass.plus_minus": "150"})
    assert wide["fields"]["front.unsprung_mass.plus_minus"]["origin"] == ""

    def doubt(answer: dict[str, Any]) -> float:
        return float(answer["data"]["axles"]["front"]["cases"][1]["ride_travel_plus_minus"])

    assert doubt(wide) > 1.5 * doubt(usual)
    again = ask(wide["rig"], {"front.unsprung_mass.plus_minus": " "})
    assert doubt(again) == doubt(usual)
    # 5 % of 342.5 kg is 37.75 lb, printed whole.
    assert again["values"]["front.unsprung_mass.plus_minus"] == "38"


def test_a_number_that_is_typed_again_keeps_its_plus_minus_even_when_it_was_emptied_first() -> None:
    given = ask(rig_to_data(wren()), {"front.lean.plus_minus": "1.5"})["rig"]
    assert rig_from_data(given).values["front.lean"].plus_minus == pytest.approx(0.0261799, rel=1e-5)
    fields = {"front.lean": "1"}
    once = rig_from_data(ask(given, fields)["rig"])
    entry = once.values["front.lean"]
    assert (entry.value, entry.plus_minus) == pytest.approx((math.pi / 180, 1.5 * math.pi / 180))
    assert entry.origin == "measured"
    empty = ask(given, {"front.lean": ""})
    assert "front.lean" not in rig_from_data(empty["rig"]).values
    back = rig_from_data(ask(empty["rig"], {"front.lean": "13"})["rig"])
    assert back.values["front.lean"].plus_minus == pytest.approx(0.0261799, rel=1e-5)
    assert not back.doubts


def test_it_can_be_said_before_the_number_and_where_the_number_comes_from() -> None:
    fields = {"wheelbase.plus_minus": "10 mm", "wheelbase.origin": "assumed"}
    waits = ask(rig_to_data(Rig()), fields)
    assert not any(answer.get("error") for answer in waits["fields"].values())
    assert rig_from_data(waits["rig"]).doubts == {"wheelbase": pytest.approx(0.01)}
    entry = rig_from_data(ask(waits["rig"], {**fields, "wheelbase": "112.2"})["rig"]).values["wheelbase"]
    assert (entry.origin, entry.plus_minus) == ("assumed", pytest.approx(0.01))
    assert ask(rig_to_data(wren()), {"front.lean.origin": "measured"})["fields"]["front.lean"]["origin"] == "measured"
    nonsense = ask(rig_to_data(wren()), {"front.lean.origin": "<b>"})
    assert nonsense["fields"]["front.lean"]["origin"] == "example"


def test_the_rear_takes_over_the_fronts_until_it_has_its_own() -> None:
    data = rig_to_data(wren())
    del data["values"]["rear.tire_rate"]
    answer = ask(data, {"front.tire_rate.plus_minus": "50"}, action="sure 5")
    assert painted(answer["regions"]["sure-5"])["rear.tire_rate.plus_minus"] == "50.0"
    own = ask(answer["rig"], {"rear.tire_rate.plus_minus": "90"})
    assert own["fields"]["rear.tire_rate"]["origin"] == "assumed"
    assert own["fields"]["rear.tire_rate.plus_minus"]["origin"] == ""
    assert "rear.tire_rate" not in own["rig"]["values"]


@pytest.mark.parametrize("rubbish", ["-1", "nan", "1e400", "x", "5 psi", "9" * 30, "½½", "{value}", "<b>&", "1,1,1"])
def test_rubbish_gets_its_own_message_is_kept_as_typed_and_the_usual_stands_in(rubbish: str) -> None:
    before = rig_to_data(wren())
    for key in ("wheelbase", "front.lean", "rear.tire_rate"):
        name = f"{key}.plus_minus"
        answer = ask(before, {name: rubbish})
        error = answer["fields"][name]["error"]
        assert error["problem"]
        assert error["allowed"]
        kept = answer["rig"]["unread"]["values"][name]
        assert kept["text"] == rubbish
        assert "plus_minus" not in answer["rig"]["values"][key]
        assert "plus or minus" in answer["regions"]["estimate"]
        assert answer["rig"]["load_cases"] == before["load_cases"]
        assert "cannot be read" in "".join(text for place, text in answer["regions"].items() if "head" in place)


def test_a_file_and_a_link_carry_it_and_a_file_without_it_stays_the_file_that_it_was() -> None:
    one = rig_from_data(
        ask(rig_to_data(wren()), {"front.lean.plus_minus": "1.5", "front.lean.origin": "assumed"})["rig"]
    )
    waiting = rig_from_data(ask(rig_to_data(one), {"rear.bar_roll_stiffness.plus_minus": "12"})["rig"])
    assert waiting.doubts
    assert read_rig(write_rig(waiting)) == waiting
    assert "doubts" not in rig_to_data(wren())
    opened = ask(None, {}, open=rig_to_data(waiting))["values"]
    assert opened["front.lean.plus_minus"] == "1.5"
    assert opened["front.lean.origin"] == "assumed"
    assert opened["rear.bar_roll_stiffness.plus_minus"].startswith("12")
    bad = json.loads(write_rig(waiting))
    bad["doubts"] = {"front.lean": -1}
    answer = json.loads(bridge.call(json.dumps({"do": "rig", "file": json.dumps(bad), "fields": {}, "typed": []})))
    assert "plus-minus" in answer["problem"]
    bad["doubts"] = []
    answer = json.loads(bridge.call(json.dumps({"do": "rig", "file": json.dumps(bad), "fields": {}, "typed": []})))
    assert "Nothing was changed" in answer["problem"]


def test_one_edit_is_one_undo_and_units_are_converted_as_a_difference() -> None:
    answer = ask(rig_to_data(wren()), {"front.lean.plus_minus": "1.5"})
    assert answer["edit"] == "front.lean"
    request = {
        "do": "convert", "of": "rig", "name": "rig", "typed": [],
        "fields": {"front.lean.plus_minus": "0.5", "front.damper_length.plus_minus": "1/16 in"},
        "units": {"system": "shop", "fields": {}}, "to": {"system": "metric", "fields": {}},
    }  # fmt: skip
    values = json.loads(bridge.call(json.dumps(request)))["values"]
    assert values["front.lean.plus_minus"] == "0.5"
    assert float(values["front.damper_length.plus_minus"]) == pytest.approx(25.4 / 16, rel=1e-5)


def test_a_difference_of_temperatures_leaves_the_offset_of_the_unit_out() -> None:
    """9 degF is 5 K as a difference, though 9 degF is -12.8 degC on a thermometer."""
    from calc.damper.gas import gas
    from calc.quantity import METRIC, SHOP, declared_parameters, read_plus_minus

    quantity = declared_parameters(gas)["gas_temperature"].quantity
    assert read_plus_minus("9", quantity, "gas_temperature", SHOP) == pytest.approx(5.0)
    assert read_plus_minus("5", quantity, "gas_temperature", METRIC) == pytest.approx(5.0)
    request = {
        "do": "convert", "of": "step", "name": "gas", "typed": [], "fields": {"gas_temperature.plus_minus": "9"},
        "units": {"system": "shop", "fields": {}}, "to": {"system": "metric", "fields": {}},
    }  # fmt: skip
    values = json.loads(bridge.call(json.dumps(request)))["values"]
    assert float(values["gas_temperature.plus_minus"]) == pytest.approx(5.0)


# Every other one shows only where a finding comes close by it, or in what is not told with its doubt (the old springs).
_TOLD = (
    *("wheelbase", "left_front.corner_mass", "right_rear.corner_mass", "front.track", "front.unsprung_mass"),
    *("front.unsprung_left_of_center", "front.mount_base", "front.mount_height", "front.roll_center_height"),
    *("front.lean", "front.tire_rate", "front.tire_loaded_radius", "front.damper_stroke", "front.damper_collapsed"),
    *("front.pad_touch_before_collapsed", "front.pad_rate", "front.solid_before_collapsed", "front.rod_diameter"),
    *("front.piston_diameter", "front.gas_pressure", "front.gas_volume", "front.seat_space", "front.divider_thickness"),
)


def test_every_result_follows_the_plus_minus_that_it_rests_on() -> None:
    def said(fields: dict[str, str]) -> dict[str, str]:
        regions = ask(rig_to_data(wren()), fields)["regions"]
        return {place: text for place, text in regions.items() if place.startswith("says") or place == "order"}

    before = said({})
    usual = ask(None, {}, open=rig_to_data(wren()))["values"]
    for key in _TOLD:
        name = f"{key}.plus_minus"
        assert said({name: f"{20 * float(usual[name]):.6g}"}) != before, key


def test_a_share_of_the_axle_is_as_sure_as_its_readings_say() -> None:
    """Axle less unsprung, both at a chosen plus-minus: squares of two readings and of the unsprung weight."""
    fields = {"left_front.corner_mass.plus_minus": "30 lb", "right_front.corner_mass.plus_minus": "40 lb"}
    says = ask(rig_to_data(wren()), {**fields, "front.unsprung_mass.plus_minus": "120 lb"})["regions"]["says-2"]
    # 50 lb of both pads with 120 lb of the axle: 130 lb.
    assert "±\u00a0130<" in says
