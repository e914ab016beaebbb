"""The only reader of data/ and of a reader's own spring list.

The files of the handbook are read with the standard library, so a page needs no pandas before somebody brings a list.
An own list is forgiven much (headings, delimiter, decimal comma, units) and tells every cell that cannot be used.
Text from a list is only ever text: a cell that looks like a formula is kept as it stands and never evaluated.
"""

# Over 400 lines: the handbook's files and a reader's list are read by the same rows, headings and units, in one place.

from __future__ import annotations

import csv
import io
import re
import tomllib
import unicodedata
from collections.abc import Callable, Generator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np
from numpy.typing import NDArray

import calc
from calc import alive, units, vocabulary
from calc.errors import DataError, FieldError, NumberError
from calc.quantity import Display, Quantity, read
from calc.units import INCH

if TYPE_CHECKING:
    import pandas as pd

Answer = TypeVar("Answer")
FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

DATA = Path(calc.__file__).parent.parent / "data"

MOST_BYTES = 5_000_000
MOST_ROWS = 50_000
LONGEST_CELL = 200
MOST_ERRORS = 1_000
# So many rows are split, and so many read, in one part; cells that are not plain numbers take far longer.
_SPLIT_TOGETHER, _READ_TOGETHER, _HARD_TOGETHER = 5_000, 2_500, 400
_HEADING_WITHIN = 20  # rows of title that may stand above the headings

inside_diameter = vocabulary.length.called(
    "Inside diameter",
    "D_i",
    "The bore of the spring, which the damper's body must pass.",
    low=0.5 * INCH,
    high=12 * INCH,
    usual=(1.5 * INCH, 6 * INCH),
    typical=3 * INCH,
)
outside_diameter = inside_diameter.called(
    "Outside diameter", "D_e", "Over the coils, unloaded.", usual=(1.8 * INCH, 8 * INCH), typical=4 * INCH
)
wire_diameter = vocabulary.length.called(
    "Wire diameter",
    "d",
    "Thickness of the wire.",
    low=0.05 * INCH,
    high=2 * INCH,
    usual=(0.1 * INCH, 1.2 * INCH),
    typical=0.5 * INCH,
)
price = Quantity(
    label="Price",
    symbol="",
    kind=units.MONEY,
    low=0.0,
    high=1e6,
    typical=80.0,
    help="Of one spring, in whatever currency the list is.",
)
stock = Quantity(
    label="Stock",
    symbol="",
    kind=units.COUNT,
    low=0.0,
    high=1e6,
    typical=4.0,
    help="How many there are.",
)

REQUIRED: Mapping[str, Quantity] = {
    "rate": vocabulary.spring_rate,
    "free_length": vocabulary.free_length,
    "solid_length": vocabulary.solid_length,
    "inside_diameter": inside_diameter,
}
OPTIONAL: Mapping[str, Quantity] = {
    "outside_diameter": outside_diameter,
    "wire_diameter": wire_diameter,
    "price": price,
    "stock": stock,
}
NUMBERS: Mapping[str, Quantity] = {**REQUIRED, **OPTIONAL}
# A helper is far softer than what is usual for the springs under it.
_helper_rate = replace(vocabulary.spring_rate, usual=(8 * units.RATE.shop.factor, 300 * units.RATE.shop.factor))
# What else a list may hold: the part code, and whether the spring is a helper.
WORDS = ("part", "use")


# --- what the readers give ------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True, eq=False)
class Springs:
    """A list of springs as arrays in SI, one entry per spring, every number finite.

    `known` tells for each optional column which entries the list gives; the others hold 0 and mean nothing.
    `note` holds "example" for an invented spring that cannot be bought, and nothing for a reader's own.
    `helper` marks the springs that only serve on top of others, to keep them seated; None marks none.
    A list is never changed, and compared by being the same one.
    """

    part: tuple[str, ...]
    rate: FloatArray
    free_length: FloatArray
    solid_length: FloatArray
    inside_diameter: FloatArray
    outside_diameter: FloatArray
    wire_diameter: FloatArray
    price: FloatArray
    stock: IntArray
    known: Mapping[str, BoolArray]
    note: tuple[str, ...]
    helper: BoolArray | None = None

    def __len__(self) -> int:
        return len(self.part)

    @property
    def is_helper(self) -> BoolArray:
        """Which of the springs are helpers."""
        return np.zeros(len(self), dtype=np.bool_) if self.helper is None else self.helper

    @property
    def example(self) -> bool:
        """Whether any of the springs is invented, so that nothing chosen from them can be ordered."""
        return "example" in self.note


@dataclass(frozen=True, kw_only=True)
class Dampers:
    """A list of dampers as arrays in SI, one entry per damper.

    `gas_pressure` is by the gauge, cold and fully extended. `seat_space` lies between the spring seats, fully
    extended, with the adjuster backed off. `adjuster_turns_per_length` is in turns per meter.
    `known` tells for optional columns which entries the list gives; a column that is not in it is given throughout.
    """

    part: tuple[str, ...]
    damper_stroke: FloatArray
    damper_extended: FloatArray
    damper_collapsed: FloatArray
    rod_diameter: FloatArray
    piston_diameter: FloatArray
    body_outside_diameter: FloatArray
    gas_pressure: FloatArray
    gas_volume: FloatArray
    spring_inside_diameter: FloatArray
    adjuster_range: FloatArray
    adjuster_turns_per_length: FloatArray
    seat_space: FloatArray
    price: FloatArray
    stock: IntArray
    note: tuple[str, ...]
    known: Mapping[str, BoolArray] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.part)

    def gives(self, name: str, index: int) -> bool:
        """Tell whether the list gives a number for one damper."""
        known = self.known.get(name)
        return known is None or bool(known[index])

    @property
    def example(self) -> bool:
        """Whether any of the dampers is invented, so that nothing chosen from them can be ordered."""
        return "example" in self.note


@dataclass(frozen=True, kw_only=True)
class Column:
    """Which column of a list holds a quantity, and in which unit its bare numbers are.

    `stated` says whether the unit stands in the heading; otherwise it is a guess from the size of the numbers,
    which the reader must confirm.
    """

    index: int
    unit: str = ""
    heading: str = ""
    stated: bool = False


@dataclass(frozen=True, kw_only=True)
class CellError:
    """One cell that cannot be used: its row as the reader's spreadsheet counts, its column, and what is wrong."""

    row: int
    column: str
    problem: str
    allowed: str = ""

    def text(self) -> str:
        """Return the whole message.

        >>> CellError(row=7, column="rate", problem="Spring rate is missing.").text()
        'Row 7, column “rate”: Spring rate is missing.'
        """
        where = f"Row {self.row}, column “{self.column}”" if self.column else f"Row {self.row}"
        return " ".join(part for part in (f"{where}: {self.problem}", self.allowed) if part)


@dataclass(frozen=True, kw_only=True)
class SpringList:
    """What was read from a reader's own list.

    `proposal` is how the columns were understood, to be confirmed (and given back as `columns` when changed).
    `springs` are the good rows and `rows` their numbers; they are to be kept only when the reader agrees.
    `errors` are the cells that cannot be used, at most `MOST_ERRORS` of the `error_count` there are.
    `problem` is set when no row can be read before the columns are settled.
    """

    headings: tuple[str, ...]
    proposal: Mapping[str, Column]
    unused: tuple[str, ...]
    springs: Springs
    rows: tuple[int, ...]
    errors: tuple[CellError, ...]
    error_count: int
    row_count: int
    problem: str = ""


@dataclass(frozen=True, kw_only=True)
class Term:
    """One word of the glossary, with the words that lead to it."""

    term: str
    meaning: str
    symbol: str
    also_called: tuple[str, ...]
    origin: str


@dataclass(frozen=True, kw_only=True)
class Reference:
    """One entry of the list of sources: what it is and how it was read."""

    key: str
    title: str
    flag: str
    author: str = ""
    year: int | None = None
    publisher: str = ""
    edition: str = ""
    note: str = ""


@dataclass
class CellErrors:
    """Errors as they are found: all counted, the first thousand kept, and the rows that must be left out.

    A list is read a part at a time: `start` is the index of the row from which a part counts its own.
    """

    bad: BoolArray
    rows: Sequence[int]
    start: int = 0
    kept: list[CellError] = field(default_factory=list)
    count: int = 0

    def told(self) -> tuple[CellError, ...]:
        """Return the kept errors, by row."""
        return tuple(sorted(self.kept, key=lambda error: error.row))

    def add(self, index: int, column: str, problem: str, allowed: str = "") -> None:
        """Tell one more cell, by the index of its row."""
        self.bad[self.start + index] = True
        self.count += 1
        if len(self.kept) < MOST_ERRORS:
            self.kept.append(
                CellError(row=self.rows[self.start + index], column=column, problem=problem, allowed=allowed)
            )


@dataclass(frozen=True, kw_only=True)
class Layout:
    """What a reader's own list of one thing may hold.

    `words` are the headings that mean a column. The numbers under `sized` tell millimeters from inches by their size.
    `below` holds pairs of which the first must be below the second, with what to say where it is not.
    """

    noun: str
    required: Mapping[str, Quantity]
    optional: Mapping[str, Quantity]
    words: Mapping[str, tuple[str, ...]]
    sized: tuple[str, ...]
    below: tuple[tuple[str, str, str], ...]

    @property
    def numbers(self) -> Mapping[str, Quantity]:
        """Return every column of numbers."""
        return {**self.required, **self.optional}

    @property
    def by_word(self) -> Mapping[str, str]:
        """Return which column each heading means."""
        return {word: name for name, words in self.words.items() for word in words}


@dataclass(frozen=True, kw_only=True)
class Cells:
    """What stands in a reader's own list: each column read, each cell that cannot be used told.

    `problem` is set, and nothing read, when no row can be read before the columns are settled.
    """

    headings: tuple[str, ...]
    proposal: Mapping[str, Column]
    unused: tuple[str, ...]
    row_count: int
    problem: str = ""
    rows: tuple[int, ...] = ()
    part: tuple[str, ...] = ()
    helper: BoolArray = field(default_factory=lambda: np.zeros(0, dtype=np.bool_))
    words: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    values: Mapping[str, FloatArray] = field(default_factory=dict)
    known: Mapping[str, BoolArray] = field(default_factory=dict)
    errors: CellErrors = field(default_factory=lambda: CellErrors(bad=np.zeros(0, dtype=np.bool_), rows=()))


# --- the handbook's own files --------------------------------------------------------------------------------------


_SPRING_HEADS = {
    "rate": ("rate_lb_per_in", units.RATE.unit("lb/in")),
    "free_length": ("free_length_in", units.LENGTH.unit("in")),
    "solid_length": ("solid_length_in", units.LENGTH.unit("in")),
    "inside_diameter": ("inside_diameter_in", units.LENGTH.unit("in")),
    "outside_diameter": ("outside_diameter_in", units.LENGTH.unit("in")),
    "wire_diameter": ("wire_diameter_in", units.LENGTH.unit("in")),
    "price": ("price", units.MONEY.unit("")),
    "stock": ("stock", units.COUNT.unit("")),
}
_DAMPER_HEADS = {
    "damper_stroke": ("stroke_in", units.LENGTH.unit("in")),
    "damper_extended": ("extended_in", units.LENGTH.unit("in")),
    "damper_collapsed": ("collapsed_in", units.LENGTH.unit("in")),
    "rod_diameter": ("rod_in", units.LENGTH.unit("in")),
    "piston_diameter": ("piston_in", units.LENGTH.unit("in")),
    "body_outside_diameter": ("body_outside_in", units.LENGTH.unit("in")),
    "gas_pressure": ("gas_psi", units.PRESSURE.unit("psi")),
    "gas_volume": ("gas_volume_in3", units.VOLUME.unit("in³")),
    "spring_inside_diameter": ("spring_inside_diameter_in", units.LENGTH.unit("in")),
    "adjuster_range": ("adjuster_range_in", units.LENGTH.unit("in")),
    "adjuster_turns_per_length": ("turns_per_in", units.PER_LENGTH.unit("per in")),
    "seat_space": ("seat_space_in", units.LENGTH.unit("in")),
    "price": ("price", units.MONEY.unit("")),
    "stock": ("stock", units.COUNT.unit("")),
}


def assortment_springs(path_or_text: Path | str | None = None) -> Springs:
    """Return the springs of an assortment file, by default the handbook's invented one.

    Raises DataError, naming row and column, when the file is not in the handbook's own form.
    A reader's list goes through `read_spring_list` instead.

    >>> springs = assortment_springs()
    >>> len(springs), springs.part[0], springs.example
    (249, 'SP-0001', True)
    """
    rows = _own_csv(path_or_text, "assortments/springs.csv", ["part", *(head for head, _ in _SPRING_HEADS.values())])
    numbers = {name: _own_numbers(rows, head, unit) for name, (head, unit) in _SPRING_HEADS.items()}
    return _springs(
        part=tuple(row["part"] for row in rows),
        numbers=numbers,
        known={name: np.ones(len(rows), dtype=np.bool_) for name in OPTIONAL},
        note=tuple(row.get("note", "") for row in rows),
        helper=np.array([_is_helper(row.get("use", "")) for row in rows], dtype=np.bool_),
    )


def _is_helper(use: str) -> bool:
    return "helper" in use.lower()


def assortment_dampers(path_or_text: Path | str | None = None) -> Dampers:
    """Return the dampers of an assortment file, by default the handbook's invented one.

    Raises DataError, naming row and column, when the file is not in the handbook's own form.

    >>> dampers = assortment_dampers()
    >>> dampers.part[2], round(float(dampers.damper_stroke[2]), 4)
    ('DP-03', 0.3048)
    """
    rows = _own_csv(path_or_text, "assortments/dampers.csv", ["part", *(head for head, _ in _DAMPER_HEADS.values())])
    numbers: dict[str, Any] = {name: _own_numbers(rows, head, unit) for name, (head, unit) in _DAMPER_HEADS.items()}
    return Dampers(
        part=tuple(row["part"] for row in rows),
        note=tuple(row.get("note", "") for row in rows),
        stock=numbers.pop("stock").astype(np.int64),
        **numbers,
    )


def terms() -> tuple[Term, ...]:
    """Return the glossary in alphabetical order. Raises DataError when its file is damaged.

    >>> next(term.also_called for term in terms() if term.term == "bump")
    ('jounce', 'compression travel')
    """
    rows = _own_csv(None, "terms.csv", ["term", "meaning", "symbol", "also_called", "origin"])
    found = (
        Term(
            term=row["term"],
            meaning=row["meaning"],
            symbol=row["symbol"],
            also_called=tuple(alias.strip() for alias in row["also_called"].split(";") if alias.strip()),
            origin=row["origin"],
        )
        for row in rows
    )
    return tuple(sorted(found, key=lambda term: term.term.lower()))


@lru_cache(maxsize=1)
def sources() -> Mapping[str, Reference]:
    """Return every source that the handbook cites, by key. Raises DataError when the file is damaged.

    >>> sources()["gillespie_1992"].title
    'Fundamentals of Vehicle Dynamics'
    """
    try:
        return {key: Reference(key=key, **entry) for key, entry in read_toml("sources.toml").items()}
    except TypeError as error:
        raise DataError(f"data/sources.toml has an entry that is not as it should be: {error}.") from None


def read_toml(name: str) -> dict[str, Any]:
    """Return the content of a TOML file of the data folder. Raises DataError.

    >>> read_toml("published/walker.toml")["check"][0]["id"]
    'T07'
    """
    try:
        return tomllib.loads(_own_text(name))
    except tomllib.TOMLDecodeError as error:
        raise DataError(f"data/{name} is damaged: {error}.") from None


def _own_text(name: str) -> str:
    try:
        return (DATA / name).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        raise DataError(f"The handbook's file data/{name} is missing or damaged. Get the handbook anew.") from None


def _own_csv(path_or_text: Path | str | None, name: str, heads: Sequence[str]) -> list[dict[str, str]]:
    if isinstance(path_or_text, Path):
        text = decode(path_or_text.read_bytes())
    else:
        text = _own_text(name) if path_or_text is None else path_or_text
    reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    missing = [head for head in heads if head not in (reader.fieldnames or ())]
    if missing:
        raise DataError(f"The list has no column “{missing[0]}”. It needs these columns: {', '.join(heads)}.")
    rows: list[dict[str, str]] = []
    try:
        for row in reader:
            if None in row or None in row.values():
                raise DataError(f"Row {reader.line_num} has another number of cells than the headings.")
            rows.append(row)
    except csv.Error as error:
        raise DataError(f"Row {reader.line_num} cannot be read: {error}.") from None
    return rows


def _own_numbers(rows: Sequence[Mapping[str, str]], head: str, unit: units.Unit) -> FloatArray:
    alive.beat()
    values = np.empty(len(rows), dtype=np.float64)
    for index, row in enumerate(rows):
        try:
            values[index] = units.to_si(units.parse_number(row[head]), unit)
        except NumberError as error:
            raise DataError(CellError(row=index + 2, column=head, problem=str(error)).text()) from None
    return values


def _springs(
    *,
    part: tuple[str, ...],
    numbers: Mapping[str, FloatArray],
    known: Mapping[str, BoolArray],
    note: tuple[str, ...],
    helper: BoolArray,
) -> Springs:
    floats: dict[str, Any] = {name: values for name, values in numbers.items() if name != "stock"}
    return Springs(part=part, stock=numbers["stock"].astype(np.int64), known=known, note=note, helper=helper, **floats)


# --- a reader's own list -------------------------------------------------------------------------------------------


def template() -> str:
    """Return a CSV list to fill in: headings with units, and invented rows to type over.

    >>> read_spring_list(template()).errors
    ()
    """
    return (
        "part,rate (lb/in),free length (in),solid length (in),inside diameter (in),"
        "outside diameter (in),wire diameter (in),price,stock,use\r\n"
        "EXAMPLE-1,250,10,3.57,3.0,3.93,0.465,77.90,6,\r\n"
        "EXAMPLE-2,450,14,6.27,3.0,4.21,0.605,101.90,12,\r\n"
        "EXAMPLE-3,50,4,1.12,3.0,3.50,0.250,34.00,8,helper\r\n"
    )


def decode(content: bytes, noun: str = "spring") -> str:
    """Return the text of a file as spreadsheets save it: UTF-8, UTF-16 with its mark, else Windows-1252.

    Raises DataError for a file that is too big or that is no text, such as a workbook.

    >>> decode("größe".encode("cp1252"))
    'größe'
    """
    if len(content) > MOST_BYTES:
        raise DataError(_too_big(noun))
    encodings = ["utf-16"] if content[:2] in (b"\xff\xfe", b"\xfe\xff") else ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise DataError(_NO_TEXT)


def read_spring_list(text: str, *, columns: Mapping[str, Column] | None = None) -> SpringList:
    r"""Read a reader's own spring list.

    Without `columns` the headings are recognized and a proposal is made, which the reader confirms or changes.
    Comma, semicolon or tab between the cells, decimal point or comma, units in the headings or in the cells.
    Raises DataError when the text as a whole is no list: empty, too big, not a table.

    >>> found = read_spring_list("sku;spring rate (N/mm);free length mm;block height;ID\nA;44,5;250;95;76\n")
    >>> found.springs.part, round(float(found.springs.rate[0]))
    (('A',), 44500)
    >>> found.proposal["inside_diameter"].unit, found.proposal["inside_diameter"].stated
    ('mm', False)
    """
    return to_the_end(spring_list_slices(text, columns=columns))


def spring_list_slices(
    text: str, *, columns: Mapping[str, Column] | None = None
) -> Generator[tuple[int, int], None, SpringList]:
    """Read a reader's own spring list in small parts: yields (rows done, rows in all) after each, and returns the list."""
    return _spring_list((yield from cell_slices(text, SPRINGS, columns)))


def to_the_end(parts: Generator[tuple[int, int], None, Answer]) -> Answer:
    """Do all the parts of a work at once, and return what it ends with."""
    while True:
        try:
            next(parts)
        except StopIteration as end:
            answer: Answer = end.value
            return answer


def _spring_list(cells: Cells) -> SpringList:
    result = SpringList(
        headings=cells.headings,
        proposal=cells.proposal,
        unused=cells.unused,
        springs=_no_springs(),
        rows=(),
        errors=(),
        error_count=0,
        row_count=cells.row_count,
        problem=cells.problem,
    )
    if cells.problem:
        return result
    good = ~cells.errors.bad
    return replace(
        result,
        springs=_springs(
            part=tuple(code for code, is_good in zip(cells.part, good, strict=True) if is_good),
            numbers={name: array[good] for name, array in cells.values.items()},
            known={name: cells.known[name][good] for name in OPTIONAL},
            note=("",) * int(good.sum()),
            helper=cells.helper[good],
        ),
        rows=tuple(number for number, is_good in zip(cells.rows, good, strict=True) if is_good),
        errors=cells.errors.told(),
        error_count=cells.errors.count,
    )


def read_cells(text: str, layout: Layout, columns: Mapping[str, Column] | None = None) -> Cells:
    r"""Read a reader's own list of whatever a layout describes; the guards are the same for each.

    Raises DataError when the text as a whole is no list: empty, too big, not a table.

    >>> read_cells("part,rate\nA,250\n", SPRINGS).problem[:58]
    'No column was recognized as free length, solid length and '
    """
    return to_the_end(cell_slices(text, layout, columns))


def cell_slices(
    text: str, layout: Layout, columns: Mapping[str, Column] | None = None
) -> Generator[tuple[int, int], None, Cells]:
    """Read a reader's own list in small parts: yields (rows done, rows in all) after each, and returns the cells.

    Raises DataError when the text as a whole is no list: empty, too big, not a table.
    """
    # In the browser a package that is not there yet is fetched when the first part asks for it, and only then.
    import pandas as pd  # noqa: F401

    numbered = yield from _numbered_rows(text, layout.noun)
    at = _heading_row(numbered, layout)
    headings = tuple(cell.strip() for cell in numbered[at][1])
    body = numbered[at + 1 :]
    proposal = _propose(headings, body, layout) if columns is None else _confirmed(columns, headings, layout)
    used = {column.index for column in proposal.values()}
    unused = tuple(heading for index, heading in enumerate(headings) if heading and index not in used)
    result = Cells(headings=headings, proposal=proposal, unused=unused, row_count=len(body))
    missing = [quantity.label for name, quantity in layout.required.items() if name not in proposal]
    if missing:
        which = " and ".join([", ".join(missing[:-1]), missing[-1]] if len(missing) > 1 else missing).lower()
        return replace(
            result, problem=f"No column was recognized as {which}. Say which column it is, or add it to the list."
        )
    if not body:
        return replace(result, problem="There are no rows under the headings.")
    return (yield from _read_rows(result, body, layout))


_NO_TEXT = "This is not a text file. Save the list from the spreadsheet as CSV, and bring that."

Row = tuple[int, list[str]]


def _too_big(noun: str) -> str:
    return f"The list is larger than {MOST_BYTES // 1_000_000} MB. Leave out what is no {noun}, or split it."


def _too_many(noun: str) -> str:
    return f"The list has more than {MOST_ROWS:,} rows. Leave out what is no {noun}, or split it."


def _numbered_rows(text: str, noun: str) -> Generator[tuple[int, int], None, list[Row]]:
    """Split the text into rows that are not blank, each with its number in the reader's spreadsheet."""
    if len(text) > MOST_BYTES or len(text.encode("utf-8", "replace")) > MOST_BYTES:
        raise DataError(_too_big(noun))
    if "\0" in text:
        raise DataError(_NO_TEXT)
    text = text.removeprefix("\ufeff")
    first, _, rest = text.partition("\n")
    told = re.fullmatch(r'"?sep=(.)"?', first.strip("\r"))
    delimiter = told[1] if told else _delimiter(text)
    reader = csv.reader(io.StringIO(rest if told else text, newline=""), delimiter=delimiter)
    rows: list[Row] = []
    number = 1 if told else 0
    try:
        for cells in reader:
            number += 1
            if any(cell.strip() for cell in cells):
                rows.append((number, cells))
            if len(rows) > MOST_ROWS + _HEADING_WITHIN:
                raise DataError(_too_many(noun))
            if number % _SPLIT_TOGETHER == 0:
                yield 0, max(text.count("\n"), 1)
    except csv.Error:
        raise DataError(f"Row {number + 1} cannot be read. Is a quotation mark opened and not closed?") from None
    if not rows:
        raise DataError(f"The list is empty. It needs a row of headings and a row for each {noun}.")
    return rows


def _delimiter(text: str) -> str:
    """Return what stands between the cells: the mark that splits the best of the first rows into most cells."""
    lines = [line for line in text[:20_000].splitlines() if line.strip()][:_HEADING_WITHIN]
    outside = [re.sub(r'"[^"]*"', "", line) for line in lines]
    # A semicolon or a tab is never part of a number, so it wins against as many commas.
    return max("\t;,", key=lambda mark: max((line.count(mark) for line in outside), default=0))


def _heading_row(rows: Sequence[Row], layout: Layout) -> int:
    """Return which row holds the headings: the one among the first that says most of the words we know."""
    by_word = layout.by_word
    known = [len({_recognize(cell, by_word)[0] for cell in cells} - {""}) for _, cells in rows[:_HEADING_WITHIN]]
    best = int(np.argmax(known))
    return best if known[best] >= 2 else 0


_WORDS: Mapping[str, tuple[str, ...]] = {
    "part": (
        *("part", "part no", "part nr", "part number", "part code", "code", "sku", "number", "no", "item"),
        *("item number", "item no", "article", "article number", "order number", "ref", "reference", "spring"),
    ),
    "rate": ("rate", "spring rate", "k", "stiffness", "spring constant", "spring stiffness"),
    "free_length": ("free length", "length", "free height", "free", "l0", "unloaded length", "height"),
    "solid_length": (
        *("solid length", "solid", "solid height", "block", "block length", "block height", "bind", "bind height"),
        *("coil bind", "coil bind height", "coil bind length", "bind length", "closed length", "closed height"),
        *("lc", "ls", "fully compressed"),
    ),
    "inside_diameter": ("inside diameter", "id", "inner diameter", "inside dia", "inner dia", "inside", "bore", "di"),
    "outside_diameter": ("outside diameter", "od", "outer diameter", "outside dia", "outer dia", "outside", "de"),
    "wire_diameter": ("wire diameter", "wire", "wire dia", "wire size", "d", "wd"),
    "price": ("price", "cost", "each", "price each", "unit price", "list price"),
    "stock": ("stock", "in stock", "qty", "quantity", "on hand", "available", "count"),
    "use": ("use", "kind", "type", "role", "application"),
}
SPRINGS = Layout(
    noun="spring",
    required=REQUIRED,
    optional=OPTIONAL,
    words=_WORDS,
    sized=("free_length", "solid_length", "inside_diameter", "outside_diameter"),
    below=(
        ("solid_length", "free_length", "Solid length must be below the free length."),
        ("inside_diameter", "outside_diameter", "Inside diameter must be below the outside diameter."),
    ),
)
_BY_WORD = SPRINGS.by_word
_UNIT_SPELLINGS = {
    "lb/in": "lb/in",
    "lbs/in": "lb/in",
    "lbf/in": "lb/in",
    "lb/inch": "lb/in",
    "lbs/inch": "lb/in",
    "lb per in": "lb/in",
    "lbs per in": "lb/in",
    "lbf per in": "lb/in",
    "lb per inch": "lb/in",
    "lbs per inch": "lb/in",
    "#/in": "lb/in",
    "kg/mm": "kgf/mm",
    "kg per mm": "kgf/mm",
    "kgf/mm": "kgf/mm",
    "n/mm": "N/mm",
    "n per mm": "N/mm",
    "n/m": "N/m",
    "n per m": "N/m",
    "kn/m": "kN/m",
    "kn per m": "kN/m",
    "in": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "ft": "ft",
    "psi": "psi",
    "bar": "bar",
    "kpa": "kPa",
    "mpa": "MPa",
    "in3": "in³",
    "in³": "in³",
    "cu in": "in³",
    "cm3": "cm³",
    "cm³": "cm³",
    "cc": "cm³",
    "ml": "cm³",
    "per in": "per in",
    "per inch": "per in",
    "per mm": "per mm",
    "per m": "per m",
}
_UNIT_AT_END = re.compile(
    r"(?:^|[ ,])(" + "|".join(re.escape(s) for s in sorted(_UNIT_SPELLINGS, key=len, reverse=True)) + r")$"
)


def _recognize(heading: str, by_word: Mapping[str, str] = _BY_WORD) -> tuple[str, str]:
    """Return which quantity a heading names and the unit it states, each empty when there is none."""
    text = " ".join(heading.strip().lower().replace("_", " ").split())
    unit = ""
    bracket = re.search(r"[(\[{]([^)\]}]*)[)\]}]", text)
    if bracket:
        unit = _UNIT_SPELLINGS.get(bracket[1].strip(), "")
        text = (text[: bracket.start()] + text[bracket.end() :]).strip()
    elif (end := _UNIT_AT_END.search(text)) and end.start() > 0:
        unit = _UNIT_SPELLINGS[end[1]]
        text = text[: end.start()].strip(" ,")
    words = re.sub(r"[^a-z0-9 ]", "", text.replace("-", " ").replace("/", " ")).strip()
    return by_word.get(" ".join(words.split()), ""), unit


def _propose(headings: Sequence[str], body: Sequence[Row], layout: Layout) -> dict[str, Column]:
    """Return how the columns are understood: the first heading that names a quantity has it."""
    numbers, by_word = layout.numbers, layout.by_word
    found: dict[str, Column] = {}
    for index, heading in enumerate(headings):
        name, unit = _recognize(heading, by_word)
        if name and name not in found:
            fits = name in numbers and any(unit == each.symbol for each in numbers[name].kind.units())
            found[name] = Column(index=index, unit=unit if fits else "", heading=heading, stated=bool(unit and fits))
    lengths = [name for name in found if name in numbers and numbers[name].kind is units.LENGTH]
    system = _system_of_lengths(found, lengths, body, layout.sized)
    for name, column in found.items():
        if name in numbers and not column.stated:
            found[name] = replace(column, unit=numbers[name].kind.shown(system).symbol)
    return found


def _system_of_lengths(
    found: Mapping[str, Column], lengths: Sequence[str], body: Sequence[Row], sized: Sequence[str]
) -> str:
    """Guess the unit system of headings that state none: as the others state, else by the size of the lengths."""
    for name in (*lengths, *(["rate"] if "rate" in found else [])):
        if found[name].stated:
            return "metric" if found[name].unit in ("mm", "cm", "m", "N/mm", "N/m", "kN/m", "kgf/mm") else "shop"
    votes = 0
    for _, cells in body[:200]:
        for name in lengths:
            if name not in sized or found[name].index >= len(cells):
                continue
            try:
                value = units.parse_number(cells[found[name].index])
            except NumberError:
                continue
            votes += 1 if value > 40 else -1
    return "metric" if votes > 0 else "shop"


def _confirmed(columns: Mapping[str, Column], headings: Sequence[str], layout: Layout) -> dict[str, Column]:
    """Return the columns as the reader settled them. Raises DataError for one that cannot be."""
    numbers = layout.numbers
    words = tuple(name for name in layout.words if name not in numbers)
    found: dict[str, Column] = {}
    for name, column in columns.items():
        if name not in words and name not in numbers:
            raise DataError(
                f"“{name}” is nothing that a {layout.noun} list holds. Allowed: {', '.join((*words, *numbers))}."
            )
        if not 0 <= column.index < len(headings):
            raise DataError(f"The list has no column {column.index + 1}; it has {len(headings)}.")
        if name in numbers and column.unit not in [unit.symbol for unit in numbers[name].kind.units()]:
            allowed = ", ".join(unit.symbol for unit in numbers[name].kind.units())
            raise DataError(f"“{column.unit}” is not a unit of {numbers[name].label.lower()}. Allowed: {allowed}.")
        found[name] = replace(column, heading=headings[column.index], stated=True)
    return found


def _read_rows(result: Cells, body: Sequence[Row], layout: Layout) -> Generator[tuple[int, int], None, Cells]:
    """Read the cells under settled columns, a part of the rows at a time, column by column."""
    if len(body) > MOST_ROWS:
        raise DataError(_too_many(layout.noun))
    numbers_of_rows = [number for number, _ in body]
    errors = CellErrors(bad=np.zeros(len(body), dtype=np.bool_), rows=numbers_of_rows)
    first: dict[str, int] = {}
    parts: list[Cells] = []
    for start in range(0, len(body), _READ_TOGETHER):
        errors.start = start
        some = body[start : start + _READ_TOGETHER]
        parts.append((yield from _read_some(result, some, (start, len(body)), layout, errors, first)))
    errors.start = 0
    texts = [name for name in result.proposal if name not in layout.numbers]
    return replace(
        result,
        rows=tuple(numbers_of_rows),
        part=tuple(code for part in parts for code in part.part),
        helper=np.concatenate([part.helper for part in parts]),
        words={name: tuple(cell for part in parts for cell in part.words[name]) for name in texts},
        values={name: np.concatenate([part.values[name] for part in parts]) for name in layout.numbers},
        known={name: np.concatenate([part.known[name] for part in parts]) for name in layout.numbers},
        errors=errors,
    )


def _read_some(
    result: Cells,
    body: Sequence[Row],
    progress: tuple[int, int],
    layout: Layout,
    errors: CellErrors,
    first: dict[str, int],
) -> Generator[tuple[int, int], None, Cells]:
    """Read some rows; `first` holds the part codes so far, each with the number of its row."""
    import pandas as pd

    width = len(result.headings)
    for index, (_, cells) in enumerate(body):
        if any(cell.strip() for cell in cells[width:]):
            errors.add(
                index,
                "",
                f"This row has {len(cells)} cells, the headings have {width}.",
                "A decimal comma needs quotation marks round its cell, or semicolons between the cells.",
            )
    frame = pd.DataFrame(
        [(cells + [""] * width)[:width] for _, cells in body], columns=range(width), dtype=object
    ).apply(lambda cells: cells.str.strip())
    yield progress
    part = _read_parts(frame, result.proposal.get("part"), errors, layout.noun, first)
    helper = _read_uses(frame, result.proposal.get("use"))
    values: dict[str, FloatArray] = {}
    known: dict[str, BoolArray] = {}
    for name, quantity in layout.numbers.items():
        column = result.proposal.get(name)
        if column is None:
            values[name], known[name] = np.zeros(len(body)), np.zeros(len(body), dtype=np.bool_)
        else:
            values[name], known[name] = yield from _read_numbers(
                frame[column.index], quantity, column, name in layout.optional, helper, errors, progress
            )
            yield progress
    _compare(result.proposal, values, known, errors, layout)
    return replace(
        result,
        part=tuple(part),
        helper=helper,
        words={
            name: tuple(frame[column.index]) for name, column in result.proposal.items() if name not in layout.numbers
        },
        values=values,
        known=known,
    )


def _read_uses(frame: pd.DataFrame, column: Column | None) -> BoolArray:
    """Return which rows say that their spring is a helper."""
    if column is None:
        return np.zeros(len(frame), dtype=np.bool_)
    return np.array([_is_helper(cell) for cell in frame[column.index]], dtype=np.bool_)


def _read_parts(
    frame: pd.DataFrame, column: Column | None, errors: CellErrors, noun: str, first: dict[str, int]
) -> list[str]:
    """Return the part codes, which are text and nothing else; rows without such a column are named by their number."""
    rows = errors.rows[errors.start : errors.start + len(frame)]
    if column is None:
        return [f"Row {number}" for number in rows]
    codes: list[str] = frame[column.index].tolist()
    for index, code in enumerate(codes):
        if not code:
            errors.add(index, column.heading, "The part code is missing.", f"Allowed: any text to order the {noun} by.")
        elif len(code) > LONGEST_CELL:
            errors.add(index, column.heading, *_too_long(code))
        elif any(unicodedata.category(character) in ("Cc", "Cf", "Cs") for character in code):
            errors.add(index, column.heading, "The part code holds characters that cannot be seen.", "Type it anew.")
        elif code in first:
            errors.add(
                index,
                column.heading,
                f"“{code}” is in row {first[code]} too.",
                f"Each {noun} needs a code of its own.",
            )
        else:
            first[code] = rows[index]
    return codes


def _too_long(cell: str) -> tuple[str, str]:
    return (
        f"This cell is too long ({len(cell):,} characters).",
        f"Allowed: up to {LONGEST_CELL} characters. Is a quotation mark opened and not closed?",
    )


def _read_numbers(
    cells: pd.Series[Any],
    quantity: Quantity,
    column: Column,
    optional: bool,
    helper: BoolArray,
    errors: CellErrors,
    progress: tuple[int, int],
) -> Generator[tuple[int, int], None, tuple[FloatArray, BoolArray]]:
    """Read one column of numbers: plain usual ones all at once, every other cell by itself, with its message."""
    import pandas as pd

    unit = quantity.kind.unit(column.unit)
    display = Display(
        "metric" if unit == quantity.kind.metric and unit != quantity.kind.shop else "shop", {"cell": unit.symbol}
    )
    plain = cells.str.fullmatch(r"[0-9]{1,15}(?:\.[0-9]{1,15})?").to_numpy(dtype=np.bool_)
    numbers = pd.to_numeric(cells.where(plain, "0")).to_numpy(dtype=np.float64)
    values = np.asarray(units.to_si(1.0, unit) * numbers, dtype=np.float64)
    easy = plain & np.asarray(quantity.accepts(values), dtype=np.bool_)
    if quantity.usual is not None:
        easy &= (values >= quantity.usual[0]) & (values <= quantity.usual[1])
    known = easy.copy()
    prepare: Callable[[str], str] = _without_currency if quantity.kind is units.MONEY else str
    for turn, index in enumerate(np.flatnonzero(~easy)):
        if turn % _HARD_TOGETHER == _HARD_TOGETHER - 1:
            yield progress
        cell = prepare(cells.iloc[index])
        values[index] = 0.0
        if optional and cell in ("", "-", "–", "—"):
            continue
        if len(cell) > LONGEST_CELL:
            errors.add(int(index), column.heading, *_too_long(cell))
            continue
        own = _helper_rate if helper[index] and quantity is vocabulary.spring_rate else quantity
        try:
            values[index] = read(cell, own, "cell", display)
            known[index] = True
        except FieldError as error:
            parts = error.parts(_ColumnPrinter(display))
            errors.add(int(index), column.heading, parts["problem"], parts["allowed"])
    if quantity.kind is units.COUNT:
        for index in np.flatnonzero(values % 1.0):
            errors.add(int(index), column.heading, "Stock must be a whole number.", "Allowed: 0, 1, 2 and so on.")
    return values, known


@dataclass(frozen=True)
class _ColumnPrinter:
    """Prints every number of a cell's message in the unit of its column."""

    display: Display

    def text(self, value: float, quantity: Quantity) -> str:
        return self.display.text(value, quantity, "cell")


def _without_currency(cell: str) -> str:
    """Take a currency sign or code off a price, which has none here."""
    return re.sub(r"^[^\d.,+\-\u2212]{1,4}(?=[\d.,])|(?<=\d)\s*[^\d.,\s]{1,4}$", "", cell).strip()


def _compare(
    proposal: Mapping[str, Column],
    values: Mapping[str, FloatArray],
    known: Mapping[str, BoolArray],
    errors: CellErrors,
    layout: Layout,
) -> None:
    """Find cells that cannot be true together with another cell of their row."""
    for small, large, problem in layout.below:
        if small in proposal and large in proposal:
            wrong = known[small] & known[large] & (values[small] >= values[large])
            for index in np.flatnonzero(wrong):
                display = Display("shop", {"cell": proposal[small].unit})
                limit = display.text(float(values[large][index]), layout.numbers[small], "cell")
                errors.add(int(index), proposal[small].heading, problem, f"Allowed: below {limit}.")


def _no_springs() -> Springs:
    return _springs(
        part=(),
        numbers={name: np.zeros(0) for name in NUMBERS},
        known={name: np.zeros(0, dtype=np.bool_) for name in OPTIONAL},
        note=(),
        helper=np.zeros(0, dtype=np.bool_),
    )
