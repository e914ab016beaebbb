"""A reader's own spring list: what is forgiven, what is told, and that hostile text stays text."""

import math
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import tables
from calc.errors import DataError
from calc.tables import Column, read_spring_list

INCH = 0.0254
LB_IN = 0.45359237 * 9.80665 / INCH
HEAD = "part,rate (lb/in),free length (in),solid length (in),inside diameter (in)\n"


def messages(text: str) -> list[str]:
    return [error.text().replace("\u00a0", " ") for error in read_spring_list(text).errors]


# --- what is forgiven ------------------------------------------------------------------------------------------------


def test_the_template_reads_without_an_error():
    found = read_spring_list(tables.template())
    assert found.errors == ()
    assert found.problem == ""
    assert found.rows == (2, 3, 4)
    assert found.unused == ()
    assert found.springs.rate / LB_IN == pytest.approx([250, 450, 50])
    assert found.springs.solid_length / INCH == pytest.approx([3.57, 6.27, 1.12])
    assert found.springs.stock.tolist() == [6, 12, 8]
    assert found.springs.is_helper.tolist() == [False, False, True]
    assert found.springs.stock.dtype == np.int64
    assert all(column.stated for name, column in found.proposal.items() if name in tables.REQUIRED)


@pytest.mark.parametrize(
    ("heading", "name", "unit"),
    [
        ("rate (N/mm)", "rate", "N/mm"),
        ("Rate lb/in", "rate", "lb/in"),
        ("Spring Rate [lbs/in]", "rate", "lb/in"),
        ("rate_lb_per_in", "rate", "lb/in"),
        ("rate_n_per_mm", "rate", "N/mm"),
        ("K", "rate", ""),
        ("free_length_mm", "free_length", "mm"),
        ("Length, mm", "free_length", "mm"),
        ("FREE LENGTH", "free_length", ""),
        ("Block height (mm)", "solid_length", "mm"),
        ("coil bind height in", "solid_length", "in"),
        ("solid", "solid_length", ""),
        ("I.D.", "inside_diameter", ""),
        ('ID (")', "inside_diameter", "in"),
        ("inside diameter in", "inside_diameter", "in"),
        ("O.D. mm", "outside_diameter", "mm"),
        ("wire dia.", "wire_diameter", ""),
        ("SKU", "part", ""),
        ("Part number", "part", ""),
        ("Part-No.", "part", ""),
        ("Code", "part", ""),
        ("Price (each)", "price", ""),
        ("In stock", "stock", ""),
        ("color", "", ""),
        ("in", "", ""),
    ],
)
def test_headings_are_recognized(heading, name, unit):
    assert tables._recognize(heading) == (name, unit)


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_delimiters_line_ends_marks_quotes_and_blank_lines(delimiter, newline):
    lines = [
        ["Part", "Rate lb/in", "Free length in", "Solid in", "ID in"],
        [],
        ["A1", "250", "10", '"3.57"', "3"],
        ["", "", "", "", ""],
        ['"B ""2"""', "300", "12", "4.63", "3"],
    ]
    text = "\ufeff" + newline.join(delimiter.join(cells) for cells in lines) + newline
    found = read_spring_list(text)
    assert found.springs.part == ("A1", 'B "2"')
    assert found.rows == (3, 5)
    assert found.errors == ()


def test_decimal_comma_with_semicolons():
    found = read_spring_list(
        "Teil;Rate (N/mm);Free length (mm);Solid length (mm);ID (mm);Price\nA;43,8;254,0;90,7;76,2;77,90\n"
    )
    assert found.springs.rate[0] == pytest.approx(43_800)
    assert found.springs.inside_diameter[0] == pytest.approx(0.0762)
    assert found.springs.price[0] == pytest.approx(77.9)
    assert found.unused == ("Teil",)
    assert found.springs.part == ("Row 2",)


def test_a_separator_line_and_a_title_may_stand_above_the_headings():
    found = read_spring_list(
        "sep=;\nSpring list of the winter\n\nsku;rate lb/in;length in;block in;ID in\nA;250;10;3,57;3\n"
    )
    assert found.rows == (5,)
    assert found.springs.part == ("A",)


def test_a_typed_unit_and_a_fraction_win_over_the_column():
    found = read_spring_list(HEAD + "A,44 N/mm,9 1/2,3 1/2,76 mm\n")
    assert found.springs.rate[0] == pytest.approx(44_000)
    assert found.springs.free_length[0] == pytest.approx(9.5 * INCH)
    assert found.springs.inside_diameter[0] == pytest.approx(0.076)


def test_kilograms_per_millimeter_are_the_weight_of_a_kilogram():
    """Read as N/mm, such a list would be 9.8 times too soft."""
    found = read_spring_list("part,rate kg/mm,free length mm,solid mm,id mm\nA,4.5,250,95,76\n")
    assert found.proposal["rate"].unit == "kgf/mm"
    assert found.proposal["rate"].stated
    assert found.springs.rate[0] == pytest.approx(4.5 * 9806.65)


def test_units_that_no_heading_states_are_guessed_and_marked_as_guessed():
    metric = read_spring_list("part,rate,free length,solid length,id\nA,44,250,95,76\nB,60,300,120,76\n")
    assert {name: metric.proposal[name].unit for name in tables.REQUIRED} == {
        "rate": "N/mm",
        "free_length": "mm",
        "solid_length": "mm",
        "inside_diameter": "mm",
    }
    assert not any(column.stated for column in metric.proposal.values())
    shop = read_spring_list("part,rate,free length,solid length,id\nA,250,10,3.5,3\n")
    assert (shop.proposal["rate"].unit, shop.proposal["free_length"].unit) == ("lb/in", "in")
    told_once = read_spring_list("part,rate,free length (mm),solid length,id\nA,44,250,95,76\n")
    assert (told_once.proposal["rate"].unit, told_once.proposal["rate"].stated) == ("N/mm", False)
    assert (told_once.proposal["free_length"].unit, told_once.proposal["free_length"].stated) == ("mm", True)


def test_prices_lose_their_currency_and_may_be_absent():
    head = HEAD.strip() + ",price,stock\n"
    found = read_spring_list(head + "A,250,10,3.5,3,$77.90,4\nB,250,10,3.5,3,77.90 EUR,\nC,250,10,3.5,3,-,0\n")
    assert found.errors == ()
    assert found.springs.price.tolist() == [77.9, 77.9, 0.0]
    assert found.springs.known["price"].tolist() == [True, True, False]
    assert found.springs.known["stock"].tolist() == [True, False, True]
    assert found.springs.known["wire_diameter"].tolist() == [False, False, False]


def test_the_reader_may_change_the_columns():
    text = "a,b,c,d,e\nX,44,250,95,76\n"
    asked = read_spring_list(text)
    assert asked.problem == (
        "No column was recognized as spring rate, free length, solid length and inside diameter. "
        "Say which column it is, or add it to the list."
    )
    assert len(asked.springs) == 0
    found = read_spring_list(
        text,
        columns={
            "part": Column(index=0),
            "rate": Column(index=1, unit="N/mm"),
            "free_length": Column(index=2, unit="mm"),
            "solid_length": Column(index=3, unit="mm"),
            "inside_diameter": Column(index=4, unit="mm"),
        },
    )
    assert found.springs.part == ("X",)
    assert found.springs.rate[0] == pytest.approx(44_000)
    assert found.proposal["rate"].heading == "b"


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        ({"rate": Column(index=9, unit="lb/in")}, "The list has no column 10; it has 5."),
        ({"rate": Column(index=-1, unit="lb/in")}, "The list has no column 0; it has 5."),
        (
            {"rate": Column(index=1, unit="mm")},
            "“mm” is not a unit of spring rate. Allowed: lb/in, N/mm, N/m, kN/m, lbf/ft, kgf/mm.",
        ),
        (
            {"color": Column(index=1)},
            "“color” is nothing that a spring list holds. Allowed: part, use, rate, free_length, solid_length, "
            "inside_diameter, outside_diameter, wire_diameter, price, stock.",
        ),
    ],
)
def test_columns_that_cannot_be_are_refused(columns, message):
    with pytest.raises(DataError) as caught:
        read_spring_list(HEAD + "A,250,10,3.5,3\n", columns=columns)
    assert str(caught.value) == message


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_files_are_decoded_as_spreadsheets_save_them(encoding):
    assert tables.decode("Größe,ø\r\n".encode(encoding)) == "Größe,ø\r\n"


# --- what is told ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        (
            "A,abc,10,3.5,3",
            "Row 2, column “rate (lb/in)”: Spring rate: “abc” is not a number. Enter a number such as 3.5 or 3 1/2. "
            "Allowed: from 5.7 lb/in to 5,710.1 lb/in.",
        ),
        (
            'A,"9,999",10,3.5,3',
            "Row 2, column “rate (lb/in)”: Spring rate: “9,999” is 9999, which is not allowed here, or 9.999, which is outside "
            "what is usual. Enter the number that you mean without a comma, with its unit. "
            "Allowed: from 5.7 lb/in to 5,710.1 lb/in.",
        ),
        (
            "A,,10,3.5,3",
            "Row 2, column “rate (lb/in)”: Spring rate is missing. Allowed: from 5.7 lb/in to 5,710.1 lb/in.",
        ),
        (
            "A,-250,10,3.5,3",
            "Row 2, column “rate (lb/in)”: Spring rate must be at least 5.7 lb/in (got −250.0 lb/in). "
            "Allowed: from 5.7 lb/in to 5,710.1 lb/in.",
        ),
        (
            "A,250,254,3.5,3",
            "Row 2, column “free length (in)”: Free length: 254 in is far from what is usual; 254 mm would not be. "
            "Type the number with its unit, so that it is clear.",
        ),
        (
            "A,250,10,10,3",
            "Row 2, column “solid length (in)”: Solid length must be below the free length. Allowed: below 10.00 in.",
        ),
        (
            ",250,10,3.5,3",
            "Row 2, column “part”: The part code is missing. Allowed: any text to order the spring by.",
        ),
        (
            "A,250,10,3.5,3,9",
            "Row 2: This row has 6 cells, the headings have 5. "
            "A decimal comma needs quotation marks round its cell, or semicolons between the cells.",
        ),
        (
            "A,250,10,3.5",
            "Row 2, column “inside diameter (in)”: Inside diameter is missing. Allowed: from 0.50 in to 12.00 in.",
        ),
        (
            "A," + "9" * 201 + ",10,3.5,3",
            "Row 2, column “rate (lb/in)”: This cell is too long (201 characters). "
            "Allowed: up to 200 characters. Is a quotation mark opened and not closed?",
        ),
        (
            "A\u202eB,250,10,3.5,3",
            "Row 2, column “part”: The part code holds characters that cannot be seen. Type it anew.",
        ),
        (
            "A,nan,10,3.5,3",
            "Row 2, column “rate (lb/in)”: Spring rate: “nan” is not a number. Enter a number such as 3.5 or 3 1/2. "
            "Allowed: from 5.7 lb/in to 5,710.1 lb/in.",
        ),
        (
            "A,=1+1,10,3.5,3",
            "Row 2, column “rate (lb/in)”: Spring rate: “=1+1” is not a number. Enter a number such as 3.5 or 3 1/2. "
            "Allowed: from 5.7 lb/in to 5,710.1 lb/in.",
        ),
    ],
)
def test_a_bad_cell_is_told_by_row_and_column(row, expected):
    assert messages(HEAD + row + "\n") == [expected]


def test_good_rows_are_kept_apart_from_bad_ones():
    found = read_spring_list(HEAD + "A,250,10,3.5,3\n\nB,x,y,3.5,3\nA,300,12,4.6,3\nC,300,12,4.6,3\n")
    assert found.springs.part == ("A", "C")
    assert found.rows == (2, 6)
    assert found.row_count == 4
    assert [(error.row, error.column) for error in found.errors] == [
        (4, "rate (lb/in)"),
        (4, "free length (in)"),
        (5, "part"),
    ]
    assert found.errors[-1].problem == "“A” is in row 2 too."


def test_stock_is_a_whole_number_and_the_coil_fits_its_own_bore():
    head = "part,rate (lb/in),free (in),solid (in),id (in),od (in),stock\n"
    assert messages(head + "A,250,10,3.5,3,2.9,1.5\n") == [
        "Row 2, column “stock”: Stock must be a whole number. Allowed: 0, 1, 2 and so on.",
        "Row 2, column “id (in)”: Inside diameter must be below the outside diameter. Allowed: below 2.90 in.",
    ]


def test_a_price_that_is_no_number_is_told():
    assert messages(HEAD.strip() + ",price\nA,250,10,3.5,3,on request\n")[0].startswith(
        "Row 2, column “price”: Price: “on request” is not a number."
    )


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "The list is empty. It needs a row of headings and a row for each spring."),
        ("\n \n;;\n", "The list is empty. It needs a row of headings and a row for each spring."),
        ("PK\0\1", "This is not a text file. Save the list from the spreadsheet as CSV, and bring that."),
        (HEAD + "A" * 5_000_001, "The list is larger than 5 MB. Leave out what is no spring, or split it."),
        (
            HEAD + "A,250,10,3.5,3\n" * 50_001,
            "The list has more than 50,000 rows. Leave out what is no spring, or split it.",
        ),
        (
            HEAD + 'A,250,10,"3.5,3\n' + "B,250,10,3.5,3\n" * 10_000,
            "Row 2 cannot be read. Is a quotation mark opened and not closed?",
        ),
    ],
)
def test_a_list_that_is_none_is_refused_whole(text, message):
    with pytest.raises(DataError) as caught:
        read_spring_list(text)
    assert str(caught.value) == message


def test_fifty_thousand_rows_are_read():
    rows = "".join(f"P{number},250,10,3.5,3\n" for number in range(50_000))
    found = read_spring_list(HEAD + rows)
    assert len(found.springs) == 50_000
    assert found.errors == ()


def test_errors_are_counted_and_the_first_thousand_kept():
    found = read_spring_list(HEAD + "A,x,x,x,x\n" * 700)
    assert found.error_count == 700 * 4 + 699
    assert len(found.errors) == tables.MOST_ERRORS


def test_a_workbook_and_a_file_too_big_are_refused():
    with pytest.raises(DataError, match=r"^This is not a text file\. Save the list from the spreadsheet as CSV"):
        tables.decode(b"PK\x03\x04\x00\x00")
    with pytest.raises(DataError, match=r"^The list is larger than 5 MB\."):
        tables.decode(b"a" * 5_000_001)


def test_headings_without_rows_are_told():
    assert read_spring_list(HEAD).problem == "There are no rows under the headings."


# --- hostile text ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("code", ['=HYPERLINK("x")', "+1", "@SUM(A1)", "-2", "<b>&amp;</b>", "{value}", "%s", "'; --"])
def test_a_hostile_part_code_is_kept_as_text(code):
    quoted = '"' + code.replace('"', '""') + '"'
    found = read_spring_list(HEAD + f"{quoted},250,10,3.5,3\n")
    assert found.springs.part == (code,)
    assert found.errors == ()


@given(st.text(max_size=400))
def test_no_text_breaks_the_reader(text):
    try:
        found = read_spring_list(text)
    except DataError:
        return
    for error in found.errors:
        assert error.text()


@given(st.lists(st.text(alphabet=st.characters(codec="utf-8"), max_size=30), min_size=5, max_size=7))
def test_no_row_of_cells_passes_a_number_that_is_none(cells):
    row = ",".join('"' + cell.replace('"', '""').replace("\0", "") + '"' for cell in cells)
    found = read_spring_list(HEAD + row + "\n")
    for name in (*tables.REQUIRED, "price"):
        assert np.isfinite(getattr(found.springs, name)).all()
    assert len(found.springs) + (found.error_count > 0) <= 1


@given(
    st.lists(
        st.tuples(st.integers(60, 1300), st.integers(80, 300), st.integers(20, 60)),
        min_size=1,
        max_size=12,
    )
)
def test_the_unit_of_the_list_does_not_matter(springs):
    """A list in inches and the same list in millimeters and N/mm give the same springs."""
    shop = HEAD + "".join(f"S{i},{r},{f / 10},{s / 10},3\n" for i, (r, f, s) in enumerate(springs))
    metric = "part;rate (N/mm);free length (mm);solid length (mm);inside diameter (mm)\n" + "".join(
        f"S{i};{r * LB_IN / 1000:.9f};{f * 2.54:.6f};{s * 2.54:.6f};76,2\n".replace(".", ",")
        for i, (r, f, s) in enumerate(springs)
    )
    one, other = read_spring_list(shop), read_spring_list(metric)
    assert one.rows == other.rows
    for name in tables.REQUIRED:
        np.testing.assert_allclose(getattr(one.springs, name), getattr(other.springs, name), rtol=1e-7)


# --- the handbook's own files ------------------------------------------------------------------------------------------


def test_the_shipped_files_need_no_pandas():
    code = (
        "import sys; from calc import tables; tables.assortment_springs(); tables.assortment_dampers(); "
        "tables.terms(); tables.sources(); sys.exit('pandas' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], cwd=tables.DATA.parent, check=False).returncode == 0


def test_shipped_numbers_are_in_si():
    springs = tables.assortment_springs()
    at = springs.part.index("SP-0147")
    assert springs.rate[at] == pytest.approx(250 * LB_IN)
    assert springs.free_length[at] == pytest.approx(10 * INCH)
    dampers = tables.assortment_dampers()
    at = dampers.part.index("DP-03")
    assert dampers.gas_pressure[at] == pytest.approx(200 * LB_IN / INCH)
    assert dampers.gas_volume[at] == pytest.approx(18 * INCH**3)
    assert dampers.adjuster_turns_per_length[at] == pytest.approx(12 / INCH)


def test_an_assortment_can_come_from_a_path_or_a_text():
    path = tables.DATA / "assortments" / "springs.csv"
    assert tables.assortment_springs(path).part == tables.assortment_springs().part
    assert tables.assortment_springs(path.read_text(encoding="utf-8")).part == tables.assortment_springs().part


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            lambda text: text.replace("rate_lb_per_in", "rate", 1),
            "The list has no column “rate_lb_per_in”. It needs these columns: part, rate_lb_per_in, free_length_in, "
            "solid_length_in, inside_diameter_in, outside_diameter_in, wire_diameter_in, price, stock.",
        ),
        (
            lambda text: text.replace("SP-0001,400,", "SP-0001,many,", 1),
            "Row 2, column “rate_lb_per_in”: “many” is not a number. Enter a number such as 3.5 or 3 1/2.",
        ),
        (
            lambda text: text.replace("SP-0001,400,", "SP-0001,", 1),
            "Row 2 has another number of cells than the headings.",
        ),
    ],
)
def test_a_damaged_assortment_is_refused(change, message):
    text = (tables.DATA / "assortments" / "springs.csv").read_text(encoding="utf-8")
    with pytest.raises(DataError) as caught:
        tables.assortment_springs(change(text))
    assert str(caught.value) == message


def test_a_missing_file_says_so(monkeypatch, tmp_path):
    monkeypatch.setattr(tables, "DATA", tmp_path)
    with pytest.raises(DataError) as caught:
        tables.terms()
    assert str(caught.value) == "The handbook's file data/terms.csv is missing or damaged. Get the handbook anew."


def test_every_column_quantity_is_declared_finite():
    for quantity in tables.NUMBERS.values():
        assert math.isfinite(quantity.low)
        assert math.isfinite(quantity.high)
        assert quantity.accepts(quantity.typical)
