"""Which of the handbook's functions work out which row."""

from __future__ import annotations

from collections.abc import Callable

from calc.desk.validation import coil_rows, damper_rows, motion_rows, ride_rows, stack_rows, unit_rows, wire_rows
from calc.desk.validation.rows import Answers, Row
from calc.errors import UnknownNameError

WORK: dict[str, Callable[[Row], Answers]] = {
    **unit_rows.WORK,
    **wire_rows.WORK,
    **coil_rows.WORK,
    **stack_rows.WORK,
    **ride_rows.WORK,
    **motion_rows.WORK,
    **damper_rows.WORK,
}


def work(row: Row) -> Answers:
    """Return the handbook's answers to a row. Raises UnknownNameError when nothing works it out."""
    if row.name not in WORK:
        raise UnknownNameError(f"Nothing in the handbook works out row {row.name}.")
    return WORK[row.name](row)
