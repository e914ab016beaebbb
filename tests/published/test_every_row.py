"""Every row of data/published is whole, cited and flagged, and what the handbook answers is what is printed there.

A row is asked of the handbook's own functions, and each answer compared with the printed one in its unit.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from calc import tables
from calc.desk.validation import WORK, Printed, all_rows, work
from calc.step import all_steps

FILES = sorted((tables.DATA / "published").glob("*.toml"))
ROWS = all_rows()
# What the handbook does not compute, its rows being the reference library's own values.
REFERENCE = {"G08"}
WORKED = [row for row in ROWS if row.name not in REFERENCE]
# Steps that are still to come; their rows wait in the data.
TO_COME: set[str] = set()
FLAGS = ("read", "secondary", "memory")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_file_is_whole(path):
    content = tables.read_toml(f"published/{path.name}")
    assert set(content) == {"source", "title", "check"}
    assert content["check"]
    for row in content["check"]:
        assert set(row) == {"id", "flag", "step", "quantity", "inputs", "expected", "citation", "note"}
        assert row["flag"] in {*FLAGS, "identity"}
        assert row["quantity"]
        assert row["citation"]
        assert row["expected"]
        for expected in row["expected"]:
            assert set(expected) - {"quantity", "printed", "unit"} in (set(), {"tolerance", "because"})
            assert Decimal(expected["printed"].partition("/")[0]).is_finite()


def test_ids_are_unique():
    ids = [row.name for row in ROWS]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("row", ROWS, ids=[row.name for row in ROWS])
def test_the_tolerance_is_half_a_unit_of_the_last_digit_or_says_why_not(row):
    for printed in row.expected:
        if printed.because:
            assert 0 <= printed.tolerance < float("inf")
        else:
            place = Decimal(printed.text).as_tuple().exponent
            assert printed.tolerance == float(Decimal(5).scaleb(int(place) - 1))


@pytest.mark.parametrize(
    ("text", "inside", "outside"),
    [("1.314", 1.31449, 1.31451), ("129e3", 129499.0, 129501.0), ("-4.65", -4.6549, -4.6551)],
)
def test_the_tolerance_counts_on_both_sides_of_its_end(text, inside, outside):
    tolerance = float(Decimal(5).scaleb(int(Decimal(text).as_tuple().exponent) - 1))
    printed = Printed(quantity="any", text=text, unit="", tolerance=tolerance)
    assert printed.agrees(inside)
    assert not printed.agrees(outside)


def test_an_exact_answer_may_differ_in_the_last_bits_only():
    printed = Printed(quantity="any", text="176", unit="", tolerance=0.0)
    assert printed.agrees(175.99999999999997)
    assert not printed.agrees(176.000000001)


@pytest.mark.parametrize("row", ROWS, ids=[row.name for row in ROWS])
def test_a_row_never_claims_to_be_known_better_than_its_source(row):
    """`read` is better than `secondary`, and that is better than `memory`; an identity needs no source."""
    source = tables.sources()[row.source]
    if row.flag != "identity":
        assert source.flag in FLAGS
        assert FLAGS.index(row.flag) >= FLAGS.index(source.flag)


@pytest.mark.parametrize("row", ROWS, ids=[row.name for row in ROWS])
def test_a_row_whose_step_exists_is_worked_out(row):
    steps = {"units", *(step.name for step in all_steps())}
    if row.step in TO_COME:
        assert row.step not in steps, f"{row.step} exists now: test its rows, and take it out of TO_COME."
        assert row.name not in WORK
        return
    assert row.step in steps
    assert (row.name in WORK) is (row.name not in REFERENCE)


def test_nothing_works_out_a_row_that_is_not_there():
    assert set(WORK) == {row.name for row in ROWS if row.step not in TO_COME} - REFERENCE


@pytest.mark.parametrize("row", WORKED, ids=[f"{row.file}-{row.name}" for row in WORKED])
def test_our_answer_is_the_printed_one(row):
    answers = work(row)
    assert row.expected
    for printed in row.expected:
        found = printed.found(answers)
        said = f"{row.citation}: {printed.quantity}, printed {printed.text} {printed.unit} ± {printed.tolerance:g}, ours {found!r}"
        assert printed.agrees(found), said
