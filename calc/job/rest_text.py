"""The rig at rest as plain text for a terminal, 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from calc import units
from calc.job.at_rest import AtRest
from calc.job.axle import Needs
from calc.job.rest_table import HUB_NOTE, RestTable, case_line, case_table, level_table, turn_tables
from calc.job.standing import Stands
from calc.quantity import Display

WIDTH = 80
_FIRST = 19


def blocks(found: Stands, display: Display) -> Iterator[str]:
    """Yield the blocks of the rest on the chosen springs."""
    if found is None:
        return
    if isinstance(found, Needs):
        needed = found.told()
        yield "\n".join(["THE WHOLE RIG AT REST", *(f"  {line}" for one in needed for line in _wrap(one, WIDTH - 2))])
        return
    yield from rest_blocks("THE WHOLE RIG AT REST", found.rest, display)
    for table in turn_tables(found, display):
        yield printed(table)
    leveling = level_table(found)
    if leveling is not None:
        yield printed(leveling)


def rest_blocks(title: str, rest: AtRest, display: Display) -> Iterator[str]:
    """Yield a title and each load case of a rest."""
    notes = [f"Assumed: {'; '.join(rest.assumed)}."] if rest.assumed else []
    yield "\n".join([title, *(line for note in (HUB_NOTE, *notes) for line in _indented(note))])
    for case in rest.cases:
        table = case_table(case, display)
        yield printed(table) if table is not None else "\n".join(_indented(f"{case.label}: {case_line(case)}"))


def printed(table: RestTable) -> str:
    """Return one table as text: its caption, headings, rows and notes."""
    columns = len(table.heads) - 1
    room = (WIDTH - 2 - _FIRST) // columns
    lines = _wrap(f"  {table.caption}", WIDTH)
    heads = [textwrap.wrap(head, room - 1) or [""] for head in table.heads[1:]]
    tall = max(len(head) for head in heads) if table.rows else 0
    for index in range(tall):
        cells = "".join(
            f"{head[index - tall + len(head)] if index >= tall - len(head) else '':>{room}}" for head in heads
        )
        first = table.heads[0] if index == tall - 1 else ""
        lines.append(f"  {first:<{_FIRST}}{cells}".rstrip())
    for row in table.rows:
        lines.append(f"  {row[0]:<{_FIRST}}" + "".join(f"{cell:>{room}}" for cell in row[1:]))
    lines += [line for note in table.notes for line in _indented(note)]
    return "\n".join(line.replace(units.NO_BREAK, " ") for line in lines)


def _indented(text: str) -> list[str]:
    return textwrap.wrap(
        text.replace(units.NO_BREAK, " "), WIDTH, initial_indent="  ", subsequent_indent="    ", break_long_words=False
    )


def _wrap(text: str, width: int) -> list[str]:
    return textwrap.wrap(text.replace(units.NO_BREAK, " "), width, subsequent_indent="  ", break_long_words=True)
