"""The build sheet: its numbers are those of the order, and its three plain forms say the same."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest

from calc.job.build_sheet import build_sheet, sheet_csv, sheet_data, sheet_text
from calc.job.order import data_of, order
from calc.job.ordered import BuildSheet
from calc.job.rig import CORNERS, Entry, Rig, wren
from calc.quantity import METRIC
from calc.tables import assortment_springs

INCH, POUND = 0.0254, 0.45359237
MADE = order(wren(), assortment_springs())


def sheet(rig: Rig | None = None) -> BuildSheet:
    found = build_sheet(MADE if rig is None else order(rig, assortment_springs()), "2026-11-25")
    assert found is not None
    return found


def rows(found: BuildSheet) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(sheet_csv(found))))


def test_a_blank_rig_has_no_build_sheet() -> None:
    assert build_sheet(order(Rig(), assortment_springs())) is None


def test_its_numbers_are_the_orders() -> None:
    found, told = sheet(), data_of(MADE)
    assert [setting.corner for setting in found.settings] == list(CORNERS)
    for setting in found.settings:
        own = told["axles"][setting.corner.partition("_")[2]]["settings"]
        assert setting.preload == own["preload"]
        assert setting.ring_below_seat == own["ring_below_seat"]
    cases = told["at_rest"]["cases"]
    for case, solved in zip(found.cases, cases, strict=True):
        for corner in case.corners:
            own = next(one for one in solved["corners"] if one["name"] == corner.corner)
            assert corner.tire_mass == own["tire_mass"]
            assert corner.bump_left == own["bump_left"]


def test_pieces_prices_and_gaps_are_those_worked_by_hand() -> None:
    found = sheet()
    springs = [part for part in found.parts if part.part]
    assert [part.count for part in springs] == [2] * 4
    assert found.total == pytest.approx(2 * sum(part.price or 0.0 for part in springs))
    # The pad is touched 2.5 in before the damper is collapsed; 12 in of stroke in front, 31 in extended.
    crew = next(case for case in found.cases if case.reference)
    for setting, corner in zip(found.settings[:2], crew.corners[:2], strict=True):
        assert setting.bump_stop_gap == pytest.approx(9.5 * INCH - (31 * INCH - corner.damper_length))


def test_the_loads_of_a_case_are_the_weight_of_the_rig_in_it() -> None:
    """Bare as weighed, and 220 kg more with the crew, and 270 kg more when full: the example rig's own items."""
    for case, mass in zip(sheet().cases, (2399.5, 2619.5, 2889.5), strict=True):
        assert sum(corner.tire_mass for corner in case.corners) == pytest.approx(mass, abs=1e-3)


def test_the_table_and_the_data_say_the_same() -> None:
    found = sheet()
    data = json.loads(json.dumps(sheet_data(found), allow_nan=False))
    table = rows(found)
    for setting in data["settings"]:
        corner = setting["corner"].replace("_", " ").capitalize()
        own = {row["what"]: row for row in table if row["section"] == "settings" and row["place"] == corner}
        assert float(own["Ring gap, down to the divider"]["value"]) == pytest.approx(
            setting["ring_gap"] / INCH, rel=1e-3
        )
        assert own["Ring gap, down to the divider"]["unit"] == "in"
    crew = next(case for case in data["cases"] if case["reference"])
    loads = [row for row in table if row["section"] == f"forecast: {crew['label']}" and row["what"] == "Tire"]
    assert [float(row["value"]) for row in loads] == pytest.approx(
        [corner["tire_mass"] / POUND for corner in crew["corners"]], rel=1e-3
    )
    assert data["estimate"] is True
    assert data["date"] == "2026-11-25"


def test_no_cell_of_a_strangers_text_is_a_formula() -> None:
    rig = replace(wren(), name='=HYPERLINK("x")')
    rig = replace(rig, values={**rig.values, "condition": Entry(value="@SUM(A1)")})
    for row in rows(sheet(rig)):
        for name in ("section", "place", "what", "value"):
            number = name == "value" and row["unit"]
            assert number or not row[name].startswith(("=", "+", "-", "@", "\t", "\r")), row


@pytest.mark.parametrize("display", [None, METRIC], ids=["shop", "metric"])
def test_the_text_fits_eighty_columns_and_says_the_estimate_first(display: object) -> None:
    found = sheet()
    text = sheet_text(found) if display is None else sheet_text(found, METRIC)
    assert max(map(len, text.splitlines())) <= 80
    assert text.index("ESTIMATE: DO NOT ORDER") < text.index("PARTS")
    assert "CAUTION" in text


def test_with_one_axle_its_half_is_there_and_the_rest_is_a_reason() -> None:
    values = {key: one for key, one in wren().values.items() if not key.startswith("rear.wanted_frequency_")}
    rear_off = replace(wren(), values=values)
    found = sheet(rear_off)
    assert {setting.corner for setting in found.settings} == {"left_front", "right_front"}
    assert any("rear" in reason for reason in found.reasons)
    assert sheet_text(found)
