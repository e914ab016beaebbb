"""What was ordered, as a rig file keeps it: the build sheet of that day, the rig as it was entered then, date and handbook.

A rig file keeps the records under `ordered`, oldest first; a new order is a new record and changes no older one:

    {"date": "2026-05-02", "handbook": "0.9.0", "rig": {the rig file's own data, as it was ordered from},
     "sheet": {"rig", "condition", "date", "reasons", "parts", "settings", "forces", "cases", "solved", ...}}

Numbers are in SI. Everything of a record is there, or the record is damaged: nothing is guessed about an order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from calc.rig.entries import AXLES, CORNERS
from calc.rig.parts import Checked, ListOf, Object, Place, Plain
from calc.rig.readings import check_date

MOST_ORDERS = 8
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


@lru_cache(maxsize=1)
def _sheet() -> Object:
    # An order of an older handbook said a gap among a corner's settings, which is no setting.
    settings = Object(of=CornerSetting, passed=("bump_stop_gap",))
    return Object(of=BuildSheet, parts={"settings": ListOf(of=settings)}, left_out=_TOLD_LATER)


def record_to_data(record: Ordered, rig: Any) -> dict[str, Any]:
    """Return a record as JSON data; `rig` is its rig's data, parsed."""
    return {"date": record.date, "handbook": record.handbook, "sheet": _sheet().write(record.sheet), "rig": rig}


def record_from_data(data: Any, rig: str, place: Place) -> Ordered:
    """Return a record from parsed JSON; `rig` is the text of its rig's data, which was read already. Raises DataError."""
    given = place.known(data, ("date", "handbook", "sheet", "rig"))
    date = Checked(lambda value, name: check_date(str(value), name)).read(given.get("date", ""), place.at("date"))
    handbook = Plain(str).read(given.get("handbook"), place.at("handbook"))
    sheet = _sheet().read(given.get("sheet"), place.at("sheet"))
    _whole(sheet, place)
    return Ordered(date=date, handbook=handbook, sheet=sheet, rig=rig)


def _whole(sheet: BuildSheet, place: Place) -> None:
    """Refuse a sheet by which nothing could be built: springs that push, all four corners, in every load case."""
    springs = [part for part in sheet.parts if part.part]
    for axle in AXLES:
        kinds = [part.what for part in springs if part.place == axle]
        if kinds.count("main") != 1 or len(set(kinds)) != len(kinds) or not set(kinds) <= {"helper", "tender", "main"}:
            raise place.error(f" does not say which springs were ordered for the {axle}.")
    for part in springs:
        sizes = (part.rate, part.length, part.solid_length)
        if any(size is None or size <= 0.0 for size in sizes) or (part.length or 0.0) <= (part.solid_length or 0.0):
            raise place.error(f": the rate or the lengths of “{part.part[:40]}” cannot be.")
    told = [[one.corner for one in sheet.settings], *([one.corner for one in case.corners] for case in sheet.cases)]
    if any(sorted(one) != sorted(CORNERS) for one in told) or not sheet.cases:
        raise place.error(" does not have all four corners.")
    if any(one.preload < 0.0 or (one.ring_gap is not None and one.ring_gap < 0.0) for one in sheet.settings):
        raise place.error(": a preload or a ring gap below zero cannot be set.")
