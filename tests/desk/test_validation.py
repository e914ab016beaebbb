"""The page of printed answers shows every row that is worked out, and its numbers are read correctly."""

import dataclasses
import re
from html import unescape

import pytest

from calc.desk.validation import WORK, all_rows, find_row, validation, work
from calc.desk.validation.rows import half_a_unit
from calc.errors import DataError, UnknownNameError

PAGE = validation()


def plain(row: str) -> str:
    """The text of one check, its cells set apart."""
    (body,) = re.findall(rf'<tbody id="{row}">(.*?)</tbody>', PAGE)
    return unescape(re.sub(r"<[^>]+>", "", re.sub(r"<(td|small|tr)[^>]*>", " | ", body))).replace("\u00a0", " ")


def test_every_worked_row_is_shown_once_and_no_other():
    assert sorted(re.findall(r'<tbody id="(\w+)">', PAGE)) == sorted(WORK)


def test_identities_stand_apart_and_are_not_counted():
    published, identities = PAGE.split('<h2 id="identities">')
    flags = {row.name: row.flag for row in all_rows()}
    assert {flags[name] for name in re.findall(r'<tbody id="(\w+)">', identities)} == {"identity"}
    shown = [row for row in all_rows() if f'<tbody id="{row.name}">' in published]
    counted = sum(len(row.expected) for row in shown)
    assert f"<strong>{counted} printed answers from {len({row.source for row in shown})} sources</strong>" in published


def test_a_row_shows_what_was_printed_what_we_answer_and_how_it_was_read():
    """14 × 2.5 mm of wire, a mean diameter of 28.5 mm and 13 coils of 81 GPa: 1.314247 N/mm by the plain formula."""
    ours = 81e3 * 2.5**4 / (8 * 28.5**3 * 13)
    text = plain("S01")
    assert "read Budynas & Nisbett" in text
    assert "wire diameter 2.5 mm" in text
    assert text.endswith(f"| 1.314 N/mm | {ours:.5f} N/mm | +{100 * (ours / 1.314 - 1):.3f} %")


def test_several_answers_have_a_line_each_and_a_wider_tolerance_its_reason():
    text = plain("S02")
    assert "Free length: the book divides its rounded force by its rounded rate." in text
    assert "| Solid length | 35 mm | 35.00 mm | none" in text
    assert "| Free length | 162.8 ± 0.1 mm | 162.720 mm | −0.049 %" in text


def test_large_small_and_broken_numbers_are_printed_for_reading():
    assert "| 129,000 N/m | 128,798.34 N/m | −0.156 %" in plain("F04")
    assert "| 10/3 in | 3.3333 in | none" in plain("D06")
    assert "| 0 ± 0.02 | 0.0137 | +0.0137" in plain("W06")
    assert "| below 0.001 %" in plain("U05")


@pytest.mark.parametrize(("text", "half"), [("0.60", 0.005), ("35", 0.5), ("4.856e4", 5.0), ("129e3", 500.0)])
def test_half_a_unit_of_the_last_digit(text, half):
    assert half_a_unit(text) == half


def test_unknown_rows_quantities_and_units_are_told():
    with pytest.raises(UnknownNameError, match=re.escape("data/published/walker.toml has no row T99.")):
        find_row("walker", "T99")
    row = find_row("walker", "T07")
    with pytest.raises(UnknownNameError, match=r"Row T07 prints no color\."):
        row.printed("color")
    with pytest.raises(UnknownNameError, match=r"Nothing works out the distance\."):
        row.printed("distance").found({})
    with pytest.raises(DataError, match=r"Row T07: wheelbase is in “m” and not in “ft”\."):
        row.of_unit("wheelbase", "ft")
    with pytest.raises(UnknownNameError, match=r"Nothing in the handbook works out row T99\."):
        work(dataclasses.replace(row, name="T99"))
