"""The first page's answer, without a browser."""

from __future__ import annotations

import re

import pytest

from calc.order.order import order
from calc.quantity import METRIC, SHOP, Display
from calc.rig.file import wren
from calc.sheet import home
from calc.tables import assortment_springs

WREN = {
    "front.axle_mass_before": "2453",
    "front.unsprung_mass_before": "546",
    "front.axle_mass_after": "2900",
    "front.unsprung_mass_after": "755",
    "rear.axle_mass_before": "1863",
    "rear.unsprung_mass_before": "470",
    "rear.axle_mass_after": "2390",
    "rear.unsprung_mass_after": "657",
}


def said(fields: dict[str, str], display: Display = SHOP, region: str = "results") -> str:
    html = home.answer(fields, frozenset(fields), display)["regions"][region]
    return " ".join(re.sub(r"<[^>]+>", " ", html).replace("\u00a0", " ").split())


def errors(fields: dict[str, str]) -> dict[str, str]:
    answer = home.answer(fields, frozenset(fields), SHOP)
    return {name: field["error"]["problem"] for name, field in answer["fields"].items() if field["error"]}


def test_the_example_is_wren_as_weighed_and_as_it_was() -> None:
    """By hand from the rig file: what was changed is taken off again, each item by its share of the wheelbase 2.85 m."""
    got = home.example()
    engine, tray = 372.0 - 265.0, 155.0
    rear_of_sprung = engine * 0.12 / 2.85 + tray * 2.75 / 2.85
    assert got["front.axle_mass_after"] == pytest.approx(668.6 + 646.8)
    assert got["rear.axle_mass_after"] == pytest.approx(529.8 + 554.3)
    assert got["rear.axle_mass_before"] == pytest.approx(529.8 + 554.3 - 85.0 - rear_of_sprung)
    assert got["front.axle_mass_before"] == pytest.approx(668.6 + 646.8 - 95.0 - (engine + tray - rear_of_sprung))
    assert got["front.unsprung_mass_before"] == pytest.approx(342.5 - 95.0)
    assert got["rear.unsprung_mass_before"] == pytest.approx(298.0 - 85.0)


def test_the_page_comes_with_the_example_worked() -> None:
    html = home.home()
    for text in WREN.values():
        assert f'value="{text}"' in html
    assert "×\u00a01.12" in html  # (2900 - 755) / (2453 - 546) = 1.1248
    assert "×\u00a01.24" in html  # (2390 - 657) / (1863 - 470) = 1.2441


def test_both_unit_systems_say_the_same() -> None:
    metric = {name: f"{float(text) * 0.45359237:.6g}" for name, text in WREN.items()}
    assert said(metric, METRIC) == said(WREN)


def test_without_unsprung_weights_the_answer_is_a_range() -> None:
    """The ends are those of 15 % and 35 % of each weight: 0.65 x 2900 / 0.85 x 2453 and 0.85 x 2900 / 0.65 x 2453."""
    four = {name: text for name, text in WREN.items() if "unsprung" not in name}
    text = said(four)
    low, high = 0.65 * 2900 / (0.85 * 2453), 0.85 * 2900 / (0.65 * 2453)
    assert f"× {low:.2f} to {high:.2f}" in text
    assert "15 to 35 % of the axle weight, assumed" in text


def test_one_known_unsprung_weight_narrows_the_range() -> None:
    some = {name: text for name, text in WREN.items() if name != "front.unsprung_mass_after"}
    low, high = (2900 - 0.35 * 2900) / (2453 - 546), (2900 - 0.15 * 2900) / (2453 - 546)
    text = said(some)
    assert f"× {low:.2f} to {high:.2f}" in text
    assert "Unsprung front not entered" in text
    assert "× 1.24" in text


def test_what_is_missing_is_said_and_never_filled_from_the_example() -> None:
    assert "Front axle: needs its weight before and weight after." in said({}, region="findings")
    findings = said({"front.axle_mass_before": "2453"}, region="findings")
    assert "Front axle: needs its weight after." in findings
    assert "Rear axle: needs its weight before and weight after." in findings
    assert "×" not in said({"front.axle_mass_before": "2453"})
    assert errors({"front.axle_mass_before": "2453"}) == {}


def test_one_bad_box_leaves_the_other_axle_alone() -> None:
    bad = {**WREN, "front.axle_mass_after": "6,125 kg"}
    assert errors(bad) == {
        "front.axle_mass_after": "Front axle weight after: “6,125 kg” can be read in two ways. Enter 6125 or 6.125."
    }
    assert said(bad).count("×") == 1
    assert "not checked Front axle weight after cannot be read: “6,125 kg”." in said(bad, region="findings")


def test_an_axle_lighter_than_what_it_carries_unsprung_is_refused() -> None:
    bad = {**WREN, "rear.unsprung_mass_before": "1863"}
    assert errors(bad) == {
        "rear.unsprung_mass_before": "Unsprung weight before, 1,863\u00a0lb, "
        "is not less than the axle weight before, 1,863\u00a0lb."
    }
    alone = {name: text for name, text in bad.items() if name != "rear.unsprung_mass_after"}
    assert list(errors(alone)) == ["rear.unsprung_mass_before"]


def test_a_large_factor_is_warned_of() -> None:
    heavy = {**WREN, "rear.axle_mass_after": "3900"}
    assert "Rear: the factor" in said(heavy, region="findings")


def test_the_finished_answer_says_what_the_build_sheet_says_and_each_number_has_its_unit() -> None:
    """A phone hides the heads of the table, so a unit stands behind each number; a setting prints as on the sheet."""
    html = home.wren_answer()
    made = order(wren(), assortment_springs())
    for item in made.axles:
        assert item.chosen is not None
        shown, _, unit = SHOP.text(item.chosen.preload, home.preload).partition("\N{NO-BREAK SPACE}")
        assert unit == "in"
        assert f'<span class="hb-shop">{shown}</span>' in html
    cells = re.findall(r'<td class="n" data-label="[^",]+"><span>(.*?)</span></td>', html)
    assert len(cells) == 14
    assert all('<span class="hb-fold-unit">' in cell for cell in cells)
