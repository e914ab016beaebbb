"""Every part of an answer fits 80 columns and loses nothing, whatever stands in it."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from calc import vocabulary
from calc.answer import text
from calc.answer.parts import Columns, Fact, Facts, Grid, Listed, Paragraph
from calc.quantity import METRIC, SHOP
from tests.conftest import long_run

WORDS = st.text(alphabet="abcdefg hij-\N{NO-BREAK SPACE}", min_size=0, max_size=40)
CELLS = st.text(alphabet="0123456789.±in lb", min_size=0, max_size=34)


def squeezed(told: str) -> str:
    return "".join(told.split())


@st.composite
def grids(draw: st.DrawFn) -> Grid:
    columns = draw(st.integers(1, 7))
    rows = draw(st.lists(st.tuples(WORDS, *[CELLS] * columns), max_size=6))
    heads = draw(st.tuples(*[WORDS] * (columns + 1)))
    return Grid(caption=draw(WORDS), heads=heads, rows=tuple(rows), notes=tuple(draw(st.lists(WORDS, max_size=2))))


@settings(max_examples=long_run(60, 2000), deadline=None)
@given(grids())
def test_a_table_fits_and_loses_no_cell(grid: Grid) -> None:
    told = text.grid(grid)
    assert all(len(line) <= text.WIDTH for line in told.splitlines())
    left = squeezed(told)
    for row in grid.rows:
        for cell in row:
            assert squeezed(cell) in left


@settings(max_examples=long_run(60, 2000), deadline=None)
@given(st.lists(st.tuples(WORDS, WORDS), max_size=5), WORDS)
def test_facts_and_sentences_fit(pairs: list[tuple[str, str]], title: str) -> None:
    for told in (
        text.rows_of(title, pairs),
        text.listed(title, (value for _, value in pairs)),
        text.wrapped(title),
    ):
        assert all(len(line) <= text.WIDTH for line in told.splitlines())
        assert all(squeezed(value) in squeezed(told) for _, value in pairs) or told == text.wrapped(title)


def test_what_has_nothing_to_say_is_left_out() -> None:
    parts = [
        Paragraph(text=""),
        Listed(title="Checked", lines=()),
        Facts(title="Facts", facts=(Fact(label="a", value=None, of=vocabulary.length),)),
        Columns(title="Columns", columns=(("front", (Fact(label="a", value=None),)),)),
    ]
    assert text.written(parts, SHOP) == "\n"


def test_a_fact_reads_as_its_quantity_is_read() -> None:
    length = Fact(label="Preload", value=0.0381, of=vocabulary.length, plus_minus=0.00127)
    assert text.part_text(Facts(title="", facts=(length,)), SHOP).split() == ["Preload", "1.50", "in", "±", "0.05"]
    assert text.part_text(Facts(title="", facts=(length,)), METRIC).split() == ["Preload", "38.1", "mm", "±", "1.3"]
    change = Fact(label="", value=0.0254, of=vocabulary.length, signed=True)
    assert change.text(SHOP) == "+1.00\N{NO-BREAK SPACE}in"
    turns = Fact(label="", value=-2.0, of="turns")
    assert turns.text(SHOP) == "\N{MINUS SIGN}2.0\N{NO-BREAK SPACE}turns"


def test_many_places_of_few_facts_have_a_line_each() -> None:
    places = tuple(
        (name, (Fact(label="pieces", value=2.0), Fact(label="stroke", value=stroke, of=vocabulary.length)))
        for name, stroke in (("front damper", 0.3048), ("front divider", None))
    )
    told = text.part_text(Columns(title="PARTS", columns=places, across=True), SHOP).splitlines()
    assert told[0] == "PARTS"
    assert told[1].split() == ["pieces", "stroke"]
    assert told[2].split() == ["front", "damper", "2", "12.00", "in"]
    assert told[3].split() == ["front", "divider", "2"]
