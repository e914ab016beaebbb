"""What was measured on the built rig: heights read twice, settings, a second weighing, a second state.

A measurements file is JSON, versioned, ours, numbers in SI; a rig file keeps the same objects under `proofs`:

    {"format": "spring and damper measurements", "version": 1,
     "proofs": [{"date": "2026-05-02", "note": "...", "case": "crew", "read": "damper length", "reading_doubt": 0.0016,
                 "dampers": "warm", "damper_temperature": 338.0,
                 "states": [{"corners": {"left_front": {"after_pushed_down": 0.655, "after_lifted": 0.662, ...}}},
                            {"added": {"mass": 120.0, "behind_front_axle": 2.6, "left_of_center": 0.0}, "corners": {...}}]}]}

Everything but the date may be absent. What was typed and cannot be
read stands beside it, `"unread": {"first.left_front.after_lifted": {"text", "unit"}}`, as calc/rig/unread.py tells.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Annotated, Any

from calc import units, vocabulary
from calc.damper.gas import ROOM
from calc.errors import FieldError
from calc.quantity import Choice, Declared, Option, Quantity, Text, declared_fields
from calc.rig.entries import CORNERS
from calc.rig.parts import ByName, Checked, Cut, FileKind, ListOf, Object, Place, part_of
from calc.rig.unread import UNREAD, Unread
from calc.units import INCH

FORMAT = "spring and damper measurements"
_KIND = FileKind(name="measurements", format=FORMAT, version=1, largest=1_000_000)
MOST_PROOFS = 24
STATES = ("first", "second")
MOST_STATES = len(STATES)
READING_DOUBT, DAMPER_TEMPERATURE, ADDED = "reading_doubt", "damper_temperature", "second.added"
LONGEST_NOTE = 200

DAMPER_LENGTH, RIDE_HEIGHT = "damper length", "ride height"
read_choice = Choice(
    label="What is read at each corner",
    options=(
        Option(DAMPER_LENGTH, "damper, eye to eye", "Between the centers of the two eyes."),
        Option(RIDE_HEIGHT, "hub center to the mark on the body", "The ride height."),
    ),
    typical=DAMPER_LENGTH,
    help="Damper length is the surer one: it does not depend on where the mark was painted.",
)
COLD, WARM, NOT_KNOWN = "cold", "warm", "not known"
dampers_choice = Choice(
    label="Dampers",
    options=(
        Option(NOT_KNOWN, "not known", "Then the ± holds both, cold and warm."),
        Option(COLD, "cold, as the air", "Parked for hours: the gas is as warm as when it was charged."),
        Option(WARM, "warm from driving", "Warm to the hand: the gas pushes harder and lifts the rig."),
    ),
    typical=COLD,
    help="Best read cold: warm gas pushes harder, and the rig sits higher.",
)
# The warmest that dampers come back from a drive, as far as the ± reaches. Common practice, no source.
HOTTEST = 353.15
# How far the gas may be from what an infrared thermometer reads on the damper body (k = 2). Ours, practice.
BODY_DOUBT = 5.0
damper_temperature = Quantity(
    label="Damper temperature",
    symbol="T_d",
    kind=units.TEMPERATURE,
    low=223.15,
    high=423.15,
    typical=ROOM,
    help="By an infrared thermometer on the damper body, as the heights are read. Where it is entered, it is what counts.",
)
_height = vocabulary.damper_length.called
_EYES = "Damper, eye to eye, unless the hub’s height to the mark is chosen above; never ground to hub."
_turns = Quantity(
    label="Turns",
    symbol="n",
    kind=units.NUMBER,
    low=-60.0,
    high=60.0,
    typical=1.5,
    help="Turns.",
)


@dataclass(frozen=True, kw_only=True)
class CornerReading:
    """What was read at one corner in one state; whatever was not read is None.

    `preload` and `ring_gap` are as set, the damper hanging free. Turns count from the settings of the first state:
    the adjuster on, the ring up the body.
    """

    after_pushed_down: (
        Annotated[
            float,
            _height("After it was pushed down", "h_1", f"{_EYES} Push the corner down, let it rise by itself, read."),
        ]
        | None
    ) = None
    after_lifted: (
        Annotated[
            float, _height("After it was lifted", "h_2", f"{_EYES} Lift the corner, let it settle by itself, read.")
        ]
        | None
    ) = None
    preload: Annotated[float, vocabulary.preload.called("Preload as set", "p")] | None = None
    ring_gap: Annotated[float, vocabulary.ring_gap.called("Ring gap as set", "g")] | None = None
    adjuster_turns: (
        Annotated[
            float,
            _turns.called(
                "Turns down at the adjuster", "n_a", "Turns down (more preload) since the first state; below 0 is up."
            ),
        ]
        | None
    ) = None
    ring_turns: (
        Annotated[float, _turns.called("Turns up at the ring", "n_r", "Turns up the body since; below 0 is down.")]
        | None
    ) = None
    pad: Annotated[float, vocabulary.corner_mass.called("Scale reading", "m_c")] | None = None

    @property
    def height(self) -> float | None:
        """The mean of both readings, or the only one."""
        read = [value for value in (self.after_pushed_down, self.after_lifted) if value is not None]
        return sum(read) / len(read) if read else None

    @property
    def half_difference(self) -> float | None:
        """Half of what lies between both readings: friction, as a length. None where it was read once."""
        if self.after_pushed_down is None or self.after_lifted is None:
            return None
        return (self.after_lifted - self.after_pushed_down) / 2


@dataclass(frozen=True, kw_only=True)
class Added:
    """A known load that was put on for the second state, on the body."""

    mass: vocabulary.ItemMass
    behind_front_axle: vocabulary.BehindFrontAxle
    left_of_center: vocabulary.LeftOfCenter = 0.0


@dataclass(frozen=True, kw_only=True)
class State:
    """One state of the built rig, standing on its tires."""

    added: Added | None = None
    corners: Mapping[str, CornerReading] = field(default_factory=dict)

    def at(self, corner: str) -> CornerReading:
        """Return what was read at a corner; nothing where nothing was."""
        return self.corners.get(corner, CornerReading())

    def blank(self) -> bool:
        """Tell whether nothing at all was entered."""
        return self.added is None and all(one == CornerReading() for one in self.corners.values())


reading_doubt = vocabulary.length.called(
    "Plus or minus of one reading",
    "u",
    "How well one reading repeats: 1/16 in (1.6 mm) with a tape, less with a long caliper.",
    low=0.1e-3,
    high=0.02,
    typical=INCH / 16,
    assumed=INCH / 16,
)


@dataclass(frozen=True, kw_only=True)
class Proof:
    """One dated measurement of the built rig: one state, or two."""

    date: Annotated[str, Text(label="Date", help="Year, month, day.", longest=10)] = ""
    note: Annotated[str, Text(label="Note", longest=LONGEST_NOTE)] = ""
    case: str = ""
    read: Annotated[str, read_choice] = DAMPER_LENGTH
    reading_doubt: Annotated[float, reading_doubt] | None = None
    dampers: Annotated[str, dampers_choice] = NOT_KNOWN
    damper_temperature: Annotated[float, damper_temperature] | None = None
    states: tuple[State, ...] = ()
    unread: Mapping[str, Unread] = field(default_factory=dict)

    @property
    def first(self) -> State:
        """The state that is compared with the prediction."""
        return self.states[0] if self.states else State()

    @property
    def second(self) -> State | None:
        """The state that tells load and rate apart, where there is one with a height."""
        return self.states[1] if len(self.states) > 1 else None

    @property
    def doubt(self) -> float:
        """The plus-minus (k = 2) of one reading: the reader's own, else a tape's."""
        return INCH / 16 if self.reading_doubt is None else self.reading_doubt

    @property
    def gas_temperature(self) -> tuple[float, float]:
        """What the gas is taken at, and its plus-minus (k = 2).

        Cold is as it was charged. Warm without a number is the middle between that and the hottest, give or take the
        half; where nothing is known it is taken cold, give or take the whole.

        >>> Proof(dampers="cold").gas_temperature, Proof(dampers="warm").gas_temperature
        ((293.15, 0.0), (323.15, 30.0))
        >>> Proof().gas_temperature, Proof(damper_temperature=353.15).gas_temperature
        ((293.15, 60.0), (353.15, 5.0))
        """
        if self.damper_temperature is not None:
            return self.damper_temperature, BODY_DOUBT
        if self.dampers == COLD:
            return ROOM, 0.0
        if self.dampers == WARM:
            return (ROOM + HOTTEST) / 2, (HOTTEST - ROOM) / 2
        return ROOM, HOTTEST - ROOM

    @property
    def gas_temperatures(self) -> tuple[float, float]:
        """The coldest and the warmest that the gas may have been: what is not known is taken as no colder than charged.

        >>> Proof().gas_temperatures, Proof(dampers="cold").gas_temperatures
        ((293.15, 353.15), (293.15, 293.15))
        """
        temperature, doubt = self.gas_temperature
        known = self.damper_temperature is not None or self.dampers != NOT_KNOWN
        return temperature - doubt if known else temperature, temperature + doubt


@lru_cache(maxsize=1)
def reading_columns() -> Mapping[str, Declared]:
    """Return the declaration of everything that may be read at a corner."""
    return declared_fields(CornerReading)


@lru_cache(maxsize=1)
def added_columns() -> Mapping[str, Declared]:
    """Return the declaration of a load that was added."""
    return declared_fields(Added)


@lru_cache(maxsize=1)
def entries() -> Mapping[str, Declared]:
    """Return the declaration of every number of a proof, by the name under which it stands where it cannot be read."""
    own = {
        READING_DOUBT: Declared(name=READING_DOUBT, is_a=reading_doubt, optional=True),
        DAMPER_TEMPERATURE: Declared(name=DAMPER_TEMPERATURE, is_a=damper_temperature, optional=True),
    }
    read = {
        f"{state}.{corner}.{name}": declared
        for state in STATES
        for corner in CORNERS
        for name, declared in reading_columns().items()
    }
    return {**own, **read, **{f"{ADDED}.{name}": declared for name, declared in added_columns().items()}}


def check_reading(one: CornerReading, doubt: float, field_name: str) -> None:
    """Refuse readings that contradict each other: lifted, a corner stands no lower than pushed down.

    Raises FieldError. Two readings may differ the wrong way by what both of them may be off.

    >>> check_reading(CornerReading(after_pushed_down=0.66, after_lifted=0.65), 0.001, "left_front")
    Traceback (most recent call last):
        ...
    calc.errors.FieldError: After it was lifted, it sits lower than after it was pushed down: the readings are swapped, or it was not let settle. Allowed: at least the reading after it was pushed down.
    """
    half = one.half_difference
    if half is not None and 2 * half < -2 * doubt:
        raise FieldError(
            field_name,
            "After it was lifted, it sits lower than after it was pushed down: the readings are swapped, "
            "or it was not let settle.",
            allowed="Allowed: at least the reading after it was pushed down.",
        )


def check_date(text: str, name: str) -> str:
    """Return a date as year-month-day. Raises FieldError.

    >>> check_date("2026-05-02", "date")
    '2026-05-02'
    """
    try:
        return dt.date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise FieldError(
            name, "The date cannot be read.", allowed="Allowed: year, month and day.", typical="Typical: 2026-05-02."
        ) from None


# --- the file ---------------------------------------------------------------------------------------------------------


def read_measurements(text: str) -> tuple[Proof, ...]:
    """Read a measurements file. Raises DataError with a sentence that says what is wrong."""
    place = Place(_KIND)
    data = place.known(_KIND.opened(_KIND.parsed(text)), ("format", "version", "proofs"))
    return proofs_from_data(data.get("proofs", []), place.at("measurements"))


def write_measurements(proofs: Sequence[Proof]) -> str:
    """Return the text of a measurements file."""
    data = {"format": FORMAT, "version": _KIND.version, "proofs": proofs_to_data(proofs)}
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


@lru_cache(maxsize=1)
def _proofs() -> ListOf:
    states = Object(of=State, parts={"corners": ByName(of=part_of(CornerReading), names=CORNERS)})
    proof = Object(
        of=Proof,
        parts={
            "date": Checked(lambda value, name: check_date(str(value), name)),
            "case": Cut(),
            "states": ListOf(of=states, called="state", most=MOST_STATES),
            "unread": ByName(of=UNREAD, names=entries()),
        },
        quiet=("dampers", "unread"),
    )
    return ListOf(of=proof, called="measurement", most=MOST_PROOFS)


def proofs_from_data(data: Any, place: Place) -> tuple[Proof, ...]:
    """Return the proofs in parsed JSON. Raises DataError."""
    proofs: tuple[Proof, ...] = _proofs().read(data, place)
    for number, proof in enumerate(proofs, 1):
        at = place.row("measurement", number)
        if not proof.date:
            raise at.at("date").error(" is missing.")
        if proof.first.added is not None:
            raise at.error(" has an added load in state 1: only the second state may have one.")
        for count, state in enumerate(proof.states, 1):
            for corner, reading in state.corners.items():
                try:
                    check_reading(reading, proof.doubt, corner)
                except FieldError as error:
                    raise at.at(f"state {count}").at(corner).error(f": {error.message()}") from None
    return proofs


def proofs_to_data(proofs: Sequence[Proof]) -> list[dict[str, Any]]:
    """Return proofs as JSON data, ready to be written."""
    return _proofs().write(proofs)
