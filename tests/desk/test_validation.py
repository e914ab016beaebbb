"""The page of printed answers shows every row that is worked out, and its numbers are read correctly."""

import dataclasses
import math
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
    assert "| 1.4 % | 1.373 %" in plain("W06")
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


def test_what_nobody_prints_is_not_counted():
    """Fits, quotients of a book's data and formulas worked out: no book has these numbers."""
    unprinted = {"W06", "W07", "W11", "W12", "S18", "B01", "F03", "H09", "U09", "B04", "Q08"}
    flags = {row.name: row.flag for row in all_rows()}
    assert {flags[name] for name in unprinted} == {"identity"}
    published, identities = PAGE.split('<h2 id="identities">')
    for name in unprinted:
        assert f'<tbody id="{name}">' in identities
        assert f'<tbody id="{name}">' not in published


def test_a_fit_shows_how_far_it_lies_off_and_no_tolerance_made_from_that():
    for name, percent in (("W06", "1.4"), ("W07", "1.3"), ("W11", "2.4"), ("W12", "4.5")):
        (row,) = (row for row in all_rows() if row.name == name)
        (printed,) = row.expected
        assert (printed.text, printed.unit, printed.because) == (percent, "%", "")


def test_what_was_not_read_here_does_not_say_so():
    flags = {row.name: row.flag for row in all_rows()}
    assert flags["Z02"] != "read"
    assert flags["S07"] != "read"
    assert "question bank" in find_row("ncert", "Z04").citation


def test_buckling_is_worked_with_the_steps_own_moduli_and_the_miss_is_shown_with_its_cause():
    """The factor pi sqrt(2 (E - G) / (2 G + E)) with 30 and 11.5 Mpsi is 2.6249; the book has 2.63 for every steel."""
    factor = math.pi * math.sqrt(2 * (30 - 11.5) / (2 * 11.5 + 30))
    for name, mean, unit in (("S02", 28.5, 1e-3), ("S07", 1.120, 0.0254)):
        row = find_row("shigley", name)
        ours, _ = work(row)["free length at buckling"]
        assert ours / unit == pytest.approx(factor * mean / 0.5, rel=1e-9)
        printed = row.printed("free length at buckling")
        assert "2.63" in printed.because
        # Half a unit of the book's factor, and of the last digit: no more.
        assert printed.tolerance == pytest.approx(printed.value * 0.005 / 2.63 + half_a_unit(printed.text), rel=0.01)
        assert abs(ours / unit - printed.value) > half_a_unit(printed.text)
