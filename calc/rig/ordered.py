"""What was ordered, as a rig file keeps it: the build sheet of that day, the rig as it was entered then, date and handbook.

A rig file keeps the records under `ordered`, oldest first; a new order is a new record and changes no older one:

    {"date": "2026-05-02", "handbook": "0.9.0", "rig": {the rig file's own data, as it was ordered from},
     "sheet": {"rig", "condition", "date", "reasons", "parts", "settings", "forces", "cases", "solved", ...}}

Numbers are in SI. Everything of a record is there, or the record is damaged: nothing is guessed about an order.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any, TypeVar

from calc.errors import DataError, FieldError
from calc.rig.readings import check_date

MOST_ORDERS = 8
_MOST_ROWS, _MOST_CASES, _MOST_LINES, _LONGEST = 24, 8, 400, 1_000
# Further than that nothing on a vehicle is, in SI: newtons a meter, pascals and prices included.
_LARGEST = 1e9
# What a sheet says of its order: the record holds it beside the sheet, or it follows from the rig.
_TOLD_LATER = ("ordered", "handbook", "since")


@dataclass(frozen=True, kw_only=True)
class Part:
    """One line of the order list: a spring with its code, or what else hangs on the axle. Prices are of one piece."""

    what: str
    place: str
    count: int
    part: str = ""
    rate: float | None = None
    length: float | None = None
    stroke: float | None = None
    price: float | None = None
    solid_length: float | None = None
    inside_diameter: float | None = None

    @property
    def closes(self) -> float | None:
        """How far a spring closes until it binds; None of what is no spring."""
        return None if self.length is None or self.solid_length is None else self.length - self.solid_length


@dataclass(frozen=True, kw_only=True)
class CornerSetting:
    """How one corner is set on the bench, the damper hanging free; what it has not is None."""

    corner: str
    preload: float
    preload_turns: float
    adjuster: float
    adjuster_turns: float
    adjuster_left: float
    ring_gap: float | None
    ring_below_seat: float | None
    strap_length: float | None


@dataclass(frozen=True, kw_only=True)
class AxleFitting:
    """What an axle is fitted and filled with besides its springs; what was not entered is None or an empty text.

    The bump stop's two places count from the damper collapsed. `limit_strap` is "yes" or "no".
    """

    axle: str
    tire_pressure: float | None
    gas_pressure: float | None
    pad_touch: float | None
    pad_solid: float | None
    limit_strap: str
    rebound_share: float | None = None
    slope_past_knee: float | None = None
    knee_speed: float | None = None


@dataclass(frozen=True, kw_only=True)
class CornerForecast:
    """What one corner does in one load case. Without the whole rig solved, left and right are taken alike.

    `ring_gap` is what is left down to the divider at ride, and `bump_stop_gap` what is left until the bump stop is touched;
    an order of an older handbook did not say shaft and gaps.
    """

    corner: str
    tire_mass: float
    damper_length: float
    bump_left: float
    droop_left: float
    sag_share: float
    hub_to_body_change: float | None
    ride_frequency: float
    shaft_showing: float | None = None
    ring_gap: float | None = None
    bump_stop_gap: float | None = None
    # Against the wanted ride height, + is higher; an order of an older handbook did not say it.
    above_wanted: float | None = None


@dataclass(frozen=True, kw_only=True)
class CaseForecast:
    """One load case at all four corners, and the doubt of its lengths. `name` is the load case's own in the rig."""

    name: str
    label: str
    reference: bool
    plus_minus: float
    corners: tuple[CornerForecast, ...]


@dataclass(frozen=True, kw_only=True)
class DampingForecast:
    """The damping ratios of one axle in one load case, with the damper that is ordered; that of roll is the whole rig's.

    None where it is not known or there is no such regime.
    """

    case: str
    axle: str
    body: float
    body_past: float | None
    hop: float | None
    hop_past: float | None
    roll: float | None


@dataclass(frozen=True, kw_only=True)
class BuildSheet:
    """Everything that the shop takes along: nothing on it is computed here, it is all of the order.

    Where it is the record of an order, `ordered` is its day, `handbook` what made it, and `since` what was changed after.
    """

    rig: str
    condition: str
    date: str
    reasons: tuple[str, ...]
    parts: tuple[Part, ...]
    settings: tuple[CornerSetting, ...]
    forces: tuple[tuple[str, float, float, float], ...]
    cases: tuple[CaseForecast, ...]
    solved: bool
    not_holding: tuple[tuple[str, str], ...]
    chances: tuple[str, ...]
    assumed: tuple[str, ...]
    examples: int
    fittings: tuple[AxleFitting, ...] = ()
    forces_past: tuple[tuple[str, float, float, float], ...] = ()
    ordered: str = ""
    handbook: str = ""
    since: tuple[str, ...] = ()
    damping: tuple[DampingForecast, ...] = ()

    @property
    def estimate(self) -> bool:
        """Whether nothing may be ordered from this."""
        return bool(self.reasons)

    @property
    def total(self) -> float | None:
        """What the springs cost together; None while one of them has no price."""
        springs = [part for part in self.parts if part.part]
        prices = [part.price for part in springs]
        return None if not springs or None in prices else sum(one.count * (one.price or 0.0) for one in springs)


@dataclass(frozen=True, kw_only=True)
class Ordered:
    """One order: when, by which handbook, its build sheet, and the rig's own data then as JSON text."""

    date: str
    handbook: str
    sheet: BuildSheet
    rig: str

    def springs(self, axle: str) -> Mapping[str, Part]:
        """Return the springs that were ordered for an axle: helper, tender, main."""
        return {part.what: part for part in self.sheet.parts if part.place == axle and part.part}

    def case(self, name: str) -> CaseForecast | None:
        """Return what was forecast for a load case."""
        return next((case for case in self.sheet.cases if case.name == name), None)


def in_force(records: Sequence[Ordered], date: str) -> Ordered | None:
    """Return the order by which a rig was built on a day: the newest one until then, else the first; None without any."""
    until = [one for one in records if not date or one.date <= date]
    return until[-1] if until else records[0] if records else None


# --- reading and writing --------------------------------------------------------------------------------------------------


def record_to_data(record: Ordered, rig: Any) -> dict[str, Any]:
    """Return a record as JSON data; `rig` is its rig's data, parsed."""
    sheet = {name: value for name, value in asdict(record.sheet).items() if name not in _TOLD_LATER}
    return {"date": record.date, "handbook": record.handbook, "sheet": sheet, "rig": rig}


def record_from_data(data: Any, number: int, corners: Sequence[str], rig: str) -> Ordered:
    """Return a record from parsed JSON; `rig` is the text of its rig's data, which was read already. Raises DataError."""
    where = f"order {number}"
    if not isinstance(data, dict):
        raise DataError(f"The {where} cannot be read.")
    _only(data, ("date", "handbook", "sheet", "rig"), where)
    try:
        date = check_date(str(data.get("date", "")), "date")
    except FieldError as error:
        raise DataError(f"The {where}: {error.message()}") from None
    sheet = _sheet(data.get("sheet"), f"{where}, sheet")
    _whole(sheet, corners, where)
    return Ordered(date=date, handbook=_text(data.get("handbook"), f"{where}, handbook"), sheet=sheet, rig=rig)


Row = TypeVar("Row", Part, CornerSetting, CornerForecast, AxleFitting, DampingForecast)
# What an order of an older handbook said of a corner's settings, which is no setting.
_NO_SETTING = "bump_stop_gap"


def _sheet(data: Any, where: str) -> BuildSheet:
    if not isinstance(data, dict):
        raise DataError(f"The {where} cannot be read.")
    _only(data, [part.name for part in fields(BuildSheet) if part.name not in _TOLD_LATER], where)
    return BuildSheet(
        rig=_text(data.get("rig"), f"{where}, rig"),
        condition=_text(data.get("condition"), f"{where}, condition"),
        date=_text(data.get("date"), f"{where}, date"),
        reasons=_texts(data.get("reasons"), f"{where}, reasons"),
        parts=tuple(_row(Part, item, f"{where}, parts") for item in _list(data.get("parts"), f"{where}, parts")),
        settings=tuple(
            _row(CornerSetting, _without(item, _NO_SETTING), f"{where}, settings")
            for item in _list(data.get("settings"), f"{where}, settings")
        ),
        forces=tuple(_force(item, f"{where}, forces") for item in _list(data.get("forces"), f"{where}, forces")),
        cases=tuple(
            _case(item, f"{where}, cases") for item in _list(data.get("cases"), f"{where}, cases", _MOST_CASES)
        ),
        solved=data.get("solved") is True,
        not_holding=tuple(
            _pair(item, f"{where}, not holding")
            for item in _list(data.get("not_holding"), f"{where}, not holding", _MOST_LINES)
        ),
        chances=_texts(data.get("chances"), f"{where}, chances"),
        assumed=_texts(data.get("assumed"), f"{where}, assumed"),
        examples=int(_number(data.get("examples"), f"{where}, examples")),
        # Orders of an older handbook have none of these.
        fittings=tuple(
            _row(AxleFitting, item, f"{where}, fittings")
            for item in _list(data.get("fittings", []), f"{where}, fittings")
        ),
        forces_past=tuple(
            _force(item, f"{where}, forces") for item in _list(data.get("forces_past", []), f"{where}, forces")
        ),
        damping=tuple(
            _row(DampingForecast, item, f"{where}, damping")
            for item in _list(data.get("damping", []), f"{where}, damping")
        ),
    )


def _without(data: Any, name: str) -> Any:
    return {key: value for key, value in data.items() if key != name} if isinstance(data, dict) else data


def _case(data: Any, where: str) -> CaseForecast:
    if not isinstance(data, dict):
        raise DataError(f"The {where} cannot be read.")
    _only(data, [part.name for part in fields(CaseForecast)], where)
    return CaseForecast(
        name=_text(data.get("name"), where),
        label=_text(data.get("label"), where),
        reference=data.get("reference") is True,
        plus_minus=_number(data.get("plus_minus"), where),
        corners=tuple(_row(CornerForecast, item, where) for item in _list(data.get("corners"), where)),
    )


def _row(of: type[Row], data: Any, where: str) -> Row:
    """Return a row of texts and numbers, by what its dataclass declares."""
    if not isinstance(data, dict):
        raise DataError(f"The {where} cannot be read.")
    declared = {part.name: str(part.type) for part in fields(of)}
    _only(data, tuple(declared), where)
    values: dict[str, Any] = {}
    for name, kind in declared.items():
        value = data.get(name)
        if value is None and kind == "float | None":
            values[name] = None
        elif kind == "str":
            values[name] = _text(value, f"{where}, {name}")
        else:
            number = _number(value, f"{where}, {name}")
            values[name] = int(number) if kind == "int" else number
    return of(**values)


def _only(data: Mapping[str, Any], names: Sequence[str], where: str) -> None:
    unknown = [str(name)[:40] for name in data if name not in names]
    if unknown:
        raise DataError(f"The {where} has “{unknown[0]}”, which this copy of the handbook does not know.")


def _list(data: Any, where: str, most: int = _MOST_ROWS) -> list[Any]:
    if not isinstance(data, list) or len(data) > most:
        raise DataError(f"The {where} cannot be read: it is a list of at most {most}.")
    return data


def _text(value: Any, where: str) -> str:
    if not isinstance(value, str) or len(value) > _LONGEST:
        raise DataError(f"The {where} is not a text of at most {_LONGEST} characters.")
    return value


def _texts(data: Any, where: str) -> tuple[str, ...]:
    return tuple(_text(one, where) for one in _list(data, where, _MOST_LINES))


def _number(value: Any, where: str) -> float:
    known = isinstance(value, (int, float)) and not isinstance(value, bool)
    if not known or not -_LARGEST <= value <= _LARGEST or not math.isfinite(value):
        raise DataError(f"The {where} is not a number.")
    return float(value) + 0.0


def _force(data: Any, where: str) -> tuple[str, float, float, float]:
    row = _list(data, where, 4)
    if len(row) < 4:
        raise DataError(f"The {where} is not complete.")
    speed, compression, rebound = (_number(one, where) for one in row[1:])
    return _text(row[0], where), speed, compression, rebound


def _pair(data: Any, where: str) -> tuple[str, str]:
    row = _list(data, where, 2)
    if len(row) < 2:
        raise DataError(f"The {where} is not complete.")
    return _text(row[0], where), _text(row[1], where)


def _whole(sheet: BuildSheet, corners: Sequence[str], where: str) -> None:
    """Refuse a sheet by which nothing could be built: springs that push, all four corners, in every load case."""
    springs = [part for part in sheet.parts if part.part]
    for axle in dict.fromkeys(corner.partition("_")[2] for corner in corners):
        kinds = [part.what for part in springs if part.place == axle]
        if kinds.count("main") != 1 or len(set(kinds)) != len(kinds) or not set(kinds) <= {"helper", "tender", "main"}:
            raise DataError(f"The {where} does not say which springs were ordered for the {axle}.")
    for part in springs:
        sizes = (part.rate, part.length, part.solid_length)
        if any(size is None or size <= 0.0 for size in sizes) or (part.length or 0.0) <= (part.solid_length or 0.0):
            raise DataError(f"The {where}: the rate or the lengths of “{part.part[:40]}” cannot be.")
    told = [[one.corner for one in sheet.settings], *([one.corner for one in case.corners] for case in sheet.cases)]
    if any(sorted(one) != sorted(corners) for one in told) or not sheet.cases:
        raise DataError(f"The {where} does not tell all four corners.")
    if any(one.preload < 0.0 or (one.ring_gap is not None and one.ring_gap < 0.0) for one in sheet.settings):
        raise DataError(f"The {where}: a preload or a ring gap below zero cannot be set.")
