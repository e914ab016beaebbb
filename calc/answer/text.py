"""An answer as plain text for a terminal, 80 columns wide."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from calc import units
from calc.answer.parts import Columns, Fact, Facts, Grid, Listed, Paragraph, Part
from calc.quantity import Display

WIDTH = 80
INDENT = "  "
# Between two columns, and the least room for the names of rows.
_GAP = 2
_LEAST_NAME = 8


def written(parts: Iterable[Part], display: Display) -> str:
    """Return the whole answer, a blank line between its parts; what has nothing to say is left out."""
    # All of it is told before any of it is written.
    blocks = [part_text(part, display) for part in tuple(parts)]
    return "\n\n".join(block for block in blocks if block) + "\n"


def part_text(part: Part, display: Display) -> str:
    """Return one part.

    >>> from calc.answer.parts import Fact
    >>> from calc.quantity import SHOP
    >>> print(part_text(Facts(title="TOGETHER", facts=(Fact(label="Springs", value=2.0, of="pieces"),)), SHOP))
    TOGETHER
      Springs                                                             2.0 pieces
    """
    match part:
        case Paragraph(text=text):
            return wrapped(text)
        case Listed(title=title, lines=lines):
            return listed(title, lines)
        case Facts(title=title):
            return rows_of(title, [(fact.label, _sure(fact, display)) for fact in part.there()])
        case Columns():
            table = part.grid(display)
            return grid(table) if table.rows else ""
        case Grid():
            return grid(part)


def _sure(fact: Fact, display: Display) -> str:
    doubt = fact.sure(display)
    return f"{fact.text(display)} ± {doubt}" if doubt else fact.text(display)


def grid(table: Grid) -> str:
    """Return a table: caption, headings, rows and notes; the names of rows at the left, everything else at the right.

    A column is as wide as what stands in it. A name that is longer than its column has a line of its own, and so has each
    cell of a row, with its heading, where one of them is too wide to stand beside the others. Nothing is ever cut.
    """
    lines = wrapped_lines(table.caption, "", INDENT)
    rows = [tuple(with_spaces(cell) for cell in row) for row in table.rows]
    if rows:
        lines += _side_by_side(table.heads, rows)
    lines += [line for note in table.notes for line in wrapped_lines(note, INDENT, 2 * INDENT)]
    return "\n".join(lines)


def _side_by_side(heads: Sequence[str], rows: Sequence[tuple[str, ...]]) -> list[str]:
    plain = [with_spaces(head) for head in heads]
    natural = [max(len(row[place]) for row in rows) for place in range(1, len(plain))]
    room = WIDTH - len(INDENT) - _LEAST_NAME - _GAP * len(natural)
    # While all cells fit beside each other none is too wide; else none may be wider than its share.
    most = max(natural, default=0) if sum(natural) <= room else room // len(natural)
    fits = [all(len(cell) <= most for cell in row[1:]) for row in rows]
    beside = [row for row, one in zip(rows, fits, strict=True) if one]
    widths = [max([1, *(len(row[place]) for row in beside)]) for place in range(1, len(plain))]
    room = WIDTH - len(INDENT) - _LEAST_NAME - sum(_GAP + width for width in widths)
    # A heading takes what the cells leave: its longest word first, then all of it on one line.
    for wanted in ([max(map(len, head.split()), default=0) for head in plain[1:]], [len(head) for head in plain[1:]]):
        for place, width in enumerate(wanted):
            more = width - widths[place]
            if 0 < more <= room:
                widths[place], room = width, room - more
    broken = [textwrap.wrap(head, width) or [""] for head, width in zip(plain[1:], widths, strict=True)]
    tall = max(len(head) for head in broken)
    first = WIDTH - len(INDENT) - sum(_GAP + width for width in widths)
    lines = []
    for level in range(tall) if beside else ():
        name = plain[0] if level == tall - 1 else ""
        above = ((head[level - tall + len(head)] if level >= tall - len(head) else "") for head in broken)
        lines.append(_line(name, above, first, widths))
    for row, one in zip(rows, fits, strict=True):
        if not one:
            lines += _one_by_one(plain, row)
            continue
        name, *own = row
        if len(name) > first:
            lines += wrapped_lines(name, INDENT, INDENT)
            name = ""
        lines.append(_line(name, own, first, widths))
    return lines


def _line(name: str, cells: Iterable[str], first: int, widths: Sequence[int]) -> str:
    told = "".join(f"{cell:>{_GAP + width}}" for cell, width in zip(cells, widths, strict=True))
    return f"{INDENT}{name:<{first}}{told}".rstrip()


def _one_by_one(heads: Sequence[str], row: Sequence[str]) -> list[str]:
    told = wrapped_lines(row[0], INDENT, INDENT)
    for head, cell in zip(heads[1:], row[1:], strict=True):
        told += wrapped_lines(f"{head}: {cell}", 2 * INDENT, 3 * INDENT) if cell else []
    return told


def rows_of(title: str, rows: Sequence[tuple[str, str]]) -> str:
    """Return a title over lines of a name and its value; nothing without any."""
    told = [wrapped(title)] if title and rows else []
    for name, value in rows:
        told += _pair(with_spaces(name), with_spaces(value))
    return "\n".join(told)


def _pair(name: str, value: str) -> list[str]:
    room = WIDTH - len(INDENT) - len(value)
    if len(name) < room:
        return [f"{INDENT}{name}{value:>{WIDTH - len(INDENT) - len(name)}}".rstrip()]
    return [*wrapped_lines(name, INDENT, 2 * INDENT), f"{value:>{WIDTH}}".rstrip()]


def listed(title: str, lines: Iterable[str]) -> str:
    """Return a title with its sentences indented under it; nothing where there are none."""
    told = [line for sentence in lines for line in wrapped_lines(sentence, INDENT, 2 * INDENT)]
    return "\n".join([*wrapped_lines(title, "", INDENT), *told]) if told else ""


def wrapped(text: str) -> str:
    """Return a paragraph."""
    return "\n".join(wrapped_lines(text, "", ""))


def wrapped_lines(text: str, first: str, others: str) -> list[str]:
    """Return a text in lines, the first and the others indented."""
    return textwrap.wrap(
        with_spaces(text), WIDTH, initial_indent=first, subsequent_indent=others, break_on_hyphens=False
    )


def with_spaces(text: str) -> str:
    """Return a text with plain spaces only."""
    # A terminal may count a no-break space as anything; a line of ours is broken by us.
    return text.replace(units.NO_BREAK, " ")
