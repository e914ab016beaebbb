"""What was ordered stays what was ordered: settings, predictions and proving, whatever is entered afterwards."""

from __future__ import annotations

import io
import json
import math
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

from calc.answers.build_sheet import sheet_csv, sheet_data, sheet_text
from calc.answers.prove import answer_data, answer_text
from calc.errors import DataError
from calc.order.order import Order, order
from calc.order.recording import recorded, sheet_in_force, since
from calc.quantity import METRIC, SHOP
from calc.rig.entries import AXLES, CORNERS
from calc.rig.file import entered_then, read_rig, rig_from_data, wren, write_rig
from calc.rig.ordered import MOST_ORDERS, Part, in_force
from calc.rig.readings import CornerReading, Proof, State
from calc.rig.rig import Entry, Rig
from calc.tables import Springs, assortment_springs
from calc.terminal import command
from calc.units import INCH

DAY, LATER = "2026-05-02", "2026-06-10"


def measured(rig: Rig) -> Rig:
    """The same rig as if everything in it had been measured, with its straps."""
    values = {key: replace(entry, origin="measured") for key, entry in rig.values.items()}
    strap = {f"{axle}.strap_travel": Entry(value=1.0 * INCH) for axle in AXLES}
    return replace(rig, values={**values, **strap})


@lru_cache(maxsize=1)
def sold() -> Springs:
    """The list, as if somebody sold it."""
    springs = assortment_springs()
    return replace(springs, note=("",) * len(springs))


@lru_cache(maxsize=1)
def made() -> Order:
    return order(measured(wren()), sold())


@lru_cache(maxsize=1)
def ordered() -> Rig:
    return recorded(made(), DAY)


def reloaded(rig: Rig) -> Rig:
    """The rig with other loads than it was ordered for: the tools weigh more, and the water is left out."""
    cases = []
    for case in rig.load_cases:
        items = [
            replace(one, mass=225.0) if one.label == "Tools" else one for one in case.items if one.label != "Water"
        ]
        cases.append(replace(case, items=tuple(items)))
    return replace(rig, load_cases=tuple(cases))


def readings() -> Proof:
    """Readings of the rig as it was ordered, in the load case of the wishes: the left front a little low."""
    forecast = next(case for case in ordered().ordered[0].sheet.cases if case.reference)
    corners = {
        one.corner: CornerReading(
            after_pushed_down=one.damper_length - 0.004 - (0.003 if one.corner == "left_front" else 0.0),
            after_lifted=one.damper_length + 0.004 - (0.003 if one.corner == "left_front" else 0.0),
        )
        for one in forecast.corners
    }
    return Proof(date=LATER, case="crew", dampers="cold", states=(State(corners=corners),))


def test_an_order_proves_the_same_after_its_rig_is_loaded_otherwise() -> None:
    before = answer_text(ordered(), sold(), [readings()])
    after = answer_text(reloaded(ordered()), sold(), [readings()])
    assert before == after
    assert f"Compared with the order of {DAY}" in after
    assert answer_data(ordered(), sold(), [readings()]) == answer_data(reloaded(ordered()), sold(), [readings()])
    # Without the record the same edit tells other numbers of the same readings, and says what it compares with.
    loose = replace(reloaded(ordered()), ordered=())
    now = answer_text(loose, sold(), [readings()])
    assert now != before
    assert "No order is recorded: compared with what would be ordered today." in " ".join(now.split())


def test_an_order_proves_as_what_would_be_ordered_that_day() -> None:
    """The record adds nothing of its own: on the day of the order it says what the order itself says."""
    one = answer_data(replace(ordered(), ordered=()), sold(), [readings()])
    other = answer_data(ordered(), sold(), [readings()])
    assert one["proving"]["corners"][0]["predicted"] == pytest.approx(other["proving"]["corners"][0]["predicted"])
    assert [finding["text"] for finding in one["findings"]] == [finding["text"] for finding in other["findings"]]
    assert (one["proving"]["ordered"], other["proving"]["ordered"]) == (None, DAY)


def test_it_proves_without_the_list_that_it_was_ordered_from() -> None:
    parts = {part.part for part in ordered().ordered[0].sheet.parts}
    kept = [place for place, part in enumerate(sold().part) if part not in parts]
    arrays = (
        "rate",
        "free_length",
        "solid_length",
        "inside_diameter",
        "outside_diameter",
        "wire_diameter",
        "price",
        "stock",
    )
    springs = sold()
    other = replace(
        springs,
        part=tuple(springs.part[place] for place in kept),
        note=tuple(springs.note[place] for place in kept),
        known={name: known[kept] for name, known in springs.known.items()},
        helper=None if springs.helper is None else springs.helper[kept],
        **{name: getattr(springs, name)[kept] for name in arrays},
    )
    assert answer_text(ordered(), other, [readings()]) == answer_text(ordered(), springs, [readings()])


def pressed(parts: Mapping[str, Part], by: float) -> float:
    """What springs on top of each other carry, pressed together by a length: a helper closes first, then it is solid."""
    rates = {what: part.rate or 0.0 for what, part in parts.items()}
    alone = 1.0 / sum(1.0 / rate for what, rate in rates.items() if what != "helper")
    if "helper" not in parts:
        return alone * by
    closes = parts["helper"].closes or 0.0
    soft = by / (1.0 / alone + 1.0 / rates["helper"])
    return soft if soft < rates["helper"] * closes else alone * (by - closes)


def test_the_record_alone_carries_the_weight() -> None:
    """Springs of the record, at its settings and at the lengths it forecasts, hold what is sprung: worked by hand."""
    record = ordered().ordered[0]
    rig = entered_then(record)
    settings = {one.corner: one for one in record.sheet.settings}
    for case, forecast in zip(rig.load_cases, record.sheet.cases, strict=True):
        lifted = 0.0
        for one in forecast.corners:
            axle = one.corner.partition("_")[2]
            parts, own = record.springs(axle), settings[one.corner]
            travel = rig.get(f"{axle}.damper_extended") - one.damper_length
            assert own.ring_gap is not None
            force, main = pressed(parts, own.preload + travel), parts["main"].rate
            assert main
            # The divider moves by what the main does not take, and does not come to its ring.
            assert travel - (force - pressed(parts, own.preload)) / main < own.ring_gap, "short of the crossover"
            area = math.pi / 4 * rig.get(f"{axle}.rod_diameter") ** 2
            atmosphere = 101_325.0
            volume = rig.get(f"{axle}.gas_volume")
            gas = (
                (rig.get(f"{axle}.gas_pressure") + atmosphere) * volume / (volume - area * travel) - atmosphere
            ) * area
            # The eyes' distance across stays what it was where the lean was read.
            across = rig.get(f"{axle}.damper_length") * math.sin(rig.get(f"{axle}.lean"))
            upright = math.sqrt(1.0 - (across / one.damper_length) ** 2)
            lifted += (force + gas) * upright
        weight = sum(rig.get(f"{corner}.corner_mass") for corner in CORNERS) + sum(item.mass for item in case.items)
        sprung = 9.80665 * (weight - sum(rig.get(f"{axle}.unsprung_mass") for axle in AXLES))
        assert lifted == pytest.approx(sprung, rel=0.004), case.label


# --- the file -------------------------------------------------------------------------------------------------------------


def test_what_is_written_is_read_back_and_older_copies_know_that_they_cannot_keep_it() -> None:
    rig = ordered()
    text = write_rig(rig)
    assert read_rig(text) == rig
    assert write_rig(read_rig(text)) == text
    assert json.loads(text)["version"] == 2
    assert json.loads(write_rig(made().entered))["version"] == 1
    # The rig as it was ordered from, with the ordered sets as its own choice.
    then = entered_then(rig.ordered[0])
    assert then.load_cases == rig.load_cases
    assert then.get("front.chosen_main_part") == rig.ordered[0].springs("front")["main"].part
    assert (then.ordered, then.proofs) == ((), ())


def damaged(*path: Any, to: Any) -> dict[str, Any]:
    data = json.loads(write_rig(ordered()))
    inner: Any = data
    for name in path[:-1]:
        inner = inner[name]
    if to is ...:
        del inner[path[-1]]
    else:
        inner[path[-1]] = to
    return data


FIRST = ("ordered", 0)
SHEET = (*FIRST, "sheet")


@pytest.mark.parametrize(
    ("path", "to", "told"),
    [
        (("ordered",), {}, "orders cannot be read: it is a list of at most 8"),
        (("ordered",), [{}] * (MOST_ORDERS + 1), "orders cannot be read: it is a list of at most 8"),
        (("ordered",), ["x"], "not a rig file"),
        ((*FIRST, "date"), "yesterday", "date cannot be read"),
        ((*FIRST, "date"), ..., "date cannot be read"),
        ((*FIRST, "handbook"), 3, "handbook is not a text"),
        ((*FIRST, "price"), 3, "has “price”"),
        ((*FIRST, "rig"), ..., "not a rig file"),
        ((*FIRST, "rig", "version"), 99, "version 99"),
        ((*FIRST, "rig", "ordered"), [], "holds other orders"),
        ((*FIRST, "rig", "values", "wheelbase", "value"), -3, "wheelbase"),
        (SHEET, [], "sheet cannot be read"),
        ((*SHEET, "parts"), [], "which springs were ordered for the front"),
        ((*SHEET, "parts"), ["x"], "parts 1 cannot be read"),
        ((*SHEET, "parts", 0, "rate"), 0.0, "cannot be"),
        ((*SHEET, "parts", 0, "rate"), None, "cannot be"),
        ((*SHEET, "parts", 0, "length"), 0.01, "cannot be"),
        ((*SHEET, "parts", 0, "rate"), "soft", "rate is not a number"),
        ((*SHEET, "parts", 0, "color"), "red", "has “color”"),
        ((*SHEET, "settings", 0, "preload"), -0.01, "below zero"),
        ((*SHEET, "settings", 0, "preload"), 1e300, "preload is not a number"),
        ((*SHEET, "settings", 0, "preload"), True, "preload is not a number"),
        ((*SHEET, "settings", 0, "corner"), "left_middle", "all four corners"),
        ((*SHEET, "settings"), ..., "settings is missing"),
        ((*SHEET, "cases"), [], "all four corners"),
        ((*SHEET, "cases", 0, "corners"), [], "all four corners"),
        ((*SHEET, "cases", 0, "label"), "x" * 2_000, "at most 1000 characters"),
        ((*SHEET, "forces"), [["front", 1.0]], "forces 1 is not complete"),
        ((*SHEET, "assumed"), ["x"] * 1_000, "at most 400"),
    ],
)
def test_a_damaged_order_is_told_in_a_sentence(path: tuple[Any, ...], to: Any, told: str) -> None:
    with pytest.raises(DataError) as problem:
        rig_from_data(damaged(*path, to=deepcopy(to)))
    assert told in str(problem.value)
    assert str(problem.value).endswith("Nothing was changed.")
    assert str(problem.value).count("Nothing was changed.") == 1


# --- ordering -------------------------------------------------------------------------------------------------------------


def test_an_estimate_is_not_ordered_and_what_blocks_it_is_named() -> None:
    with pytest.raises(DataError, match=r"Not ready to order: .* are examples; the spring list is an invented example"):
        recorded(order(wren(), assortment_springs()), DAY)
    with pytest.raises(DataError, match="needs its date"):
        recorded(made(), "")


def test_a_new_order_is_a_new_record_and_changes_no_older_one() -> None:
    now = reloaded(ordered())
    free = replace(now, values={key: entry for key, entry in now.values.items() if "chosen_" not in key})
    again = recorded(order(free, sold()), LATER)
    assert [one.date for one in again.ordered] == [DAY, LATER]
    assert again.ordered[0] == ordered().ordered[0]
    assert again.ordered[1].sheet.settings != again.ordered[0].sheet.settings
    # What stood on the ground between the two was built by the first.
    assert [in_force(again.ordered, day) for day in ("2026-05-20", LATER, "2026-01-01")] == [
        again.ordered[0],
        again.ordered[1],
        again.ordered[0],
    ]
    with pytest.raises(DataError, match=f"last order is of {LATER}"):
        recorded(order(again, sold()), DAY)
    many = replace(ordered(), ordered=ordered().ordered * MOST_ORDERS)
    with pytest.raises(DataError, match="8 orders are kept"):
        recorded(order(many, sold()), LATER)


def test_the_sheet_keeps_what_was_ordered_and_names_what_was_changed_since() -> None:
    unchanged = sheet_in_force(order(ordered(), sold()), LATER)
    assert unchanged is not None
    assert (unchanged.ordered, unchanged.since) == (DAY, ())
    now = order(reloaded(ordered()), sold())
    found = sheet_in_force(now, LATER)
    first = made().sheet
    today = now.sheet
    assert found is not None
    assert first is not None
    assert today is not None
    assert found.settings == first.settings
    assert found.settings != today.settings
    assert "Crew of two with tools, Tools: ordered with 298 lb, now 496 lb." in [
        line.replace("\N{NO-BREAK SPACE}", " ") for line in found.since
    ]
    assert any(line.startswith("Full water and tools, Water: ordered with") and "now –" in line for line in found.since)
    # Both, the ordered preload and today's, in the reader's units.
    changed = since(now)
    assert changed is not None
    preload = next(row for row in changed.settings if row.what == "Left front, preload, past just seated")
    assert (preload.here, preload.there) == (first.settings[0].preload, today.settings[0].preload)
    text = " ".join(sheet_text(found).split())
    assert f"ORDERED ON {DAY}" in text
    assert SHOP.text(first.settings[0].preload, preload.of).replace("\N{NO-BREAK SPACE}", " ") in text  # type: ignore[arg-type]
    assert "changed since it was ordered" in sheet_csv(found, METRIC)
    assert sheet_data(found)["ordered"] == DAY


def test_a_spring_that_the_list_has_otherwise_or_not_is_named() -> None:
    part = ordered().ordered[0].springs("front")["main"].part
    springs = sold()
    rates = springs.rate.copy()
    rates[springs.part.index(part)] *= 1.05
    found = since(order(ordered(), replace(springs, rate=rates)))
    assert found is not None
    assert any(row.what == f"rate of {part} in the list" for row in found.entries)


def test_the_terminal_orders_into_another_file_and_goes_by_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig, to, listed = tmp_path / "rig.json", tmp_path / "ordered.json", tmp_path / "list.csv"
    rig.write_text(write_rig(made().entered), encoding="utf-8")
    rows = (Path(__file__).parents[2] / "data" / "assortments" / "springs.csv").read_text(encoding="utf-8")
    listed.write_text(rows.replace(",example,", ",,"), encoding="utf-8")

    def told(*words: str) -> tuple[int, str]:
        out = io.StringIO()
        code = command("sheet", [str(one) for one in words], io.StringIO(), out)
        return code, out.getvalue()

    own = ("--springs", str(listed))
    before = rig.read_text(encoding="utf-8")
    code, text = told(str(rig), *own, "--date", DAY, "--order")
    assert code == 0
    assert read_rig(text).ordered[0].date == DAY
    assert told(str(rig), *own, "--date", DAY, "--order-to", str(to)) == (0, f"Ordered on {DAY}: written to {to}.\n")
    assert rig.read_text(encoding="utf-8") == before, "never in place unasked"
    assert to.read_text(encoding="utf-8") == text
    code, text = told(str(to), *own, "--date", LATER)
    assert code == 0
    assert f"ORDERED ON {DAY}" in text
    assert told(str(rig), "--date", DAY, "--order")[0] == 2
    capsys.readouterr()
    # What is wrong never stands in place of an answer.
    assert told(str(rig), *own, "--date", "May", "--order") == (2, "")
    said = capsys.readouterr().err
    assert said == "--date: The date cannot be read. Allowed: year, month and day. Typical: 2026-05-02.\n"
