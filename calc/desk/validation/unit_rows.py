"""Factors of units and standard gravity."""

from __future__ import annotations

from collections.abc import Callable

from calc import units
from calc.constants import GRAVITY
from calc.desk.validation.rows import Answers, Row
from calc.errors import UnitError


def converted(row: Row) -> Answers:
    """Return the row's value, through the kind of quantity that has both of its units."""
    number, typed = units.split_number(row.text("value"))
    wanted = row.printed("value").unit
    for kind in units.KINDS.values():
        try:
            unit, _ = kind.unit(typed), kind.unit(wanted)
        except UnitError:
            continue
        return {"value": (units.to_si(number, unit), kind)}
    raise UnitError(f"No kind of quantity has both {typed} and {wanted}.")


def gravity(_row: Row) -> Answers:
    """Return standard gravity."""
    return {"value": (GRAVITY, units.ACCELERATION)}


WORK: dict[str, Callable[[Row], Answers]] = {
    **{f"U{number:02d}": converted for number in (1, 2, 3, 5, 6, 7, 8, 9, 10, 11, 12)},
    "U04": gravity,
}
