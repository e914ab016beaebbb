"""The entries of the Prove page: how they are painted, and how what was typed into them becomes a measurement."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from html import escape

from calc.errors import FieldError
from calc.prove.built import built_rig, case_of
from calc.quantity import SHOP, Choice, Declared, Display, Option
from calc.rig.entries import CORNERS
from calc.rig.readings import (
    DAMPER_TEMPERATURE,
    LONGEST_NOTE,
    READING_DOUBT,
    STATES,
    Added,
    CornerReading,
    Proof,
    State,
    added_columns,
    check_date,
    check_reading,
    damper_temperature,
    dampers_choice,
    read_choice,
    reading_columns,
    reading_doubt,
)
from calc.rig.rig import Rig
from calc.sheet import form, markup
from calc.sheet.cells import Cell
from calc.whole.at_rest import words

_HEIGHTS, _SETTINGS = ("after_pushed_down", "after_lifted"), ("preload", "ring_gap")
_TURNS, _PAD = ("adjuster_turns", "ring_turns"), ("pad",)
_ADDED = tuple(part.name for part in fields(Added))


@dataclass(frozen=True, kw_only=True)
class Block:
    """A table of entries, a row for each corner."""

    state: str
    names: tuple[str, ...]
    caption: str


@dataclass(frozen=True, kw_only=True)
class Part:
    """One part of the work: its number, its name, what is told before its entries, and the entries."""

    number: int
    name: str
    blocks: tuple[Block, ...]
    note: str = ""


PARTS = (
    Part(
        number=1,
        name="Settings",
        blocks=(Block(state="first", names=_SETTINGS, caption="As set on the bench, damper hanging free."),),
        note="What is left empty counts as it was ordered. Pick the springs that you built on the rig page, "
        "so that they stay.",
    ),
    Part(
        number=2,
        name="Heights",
        blocks=(
            Block(
                state="first",
                names=_HEIGHTS,
                caption="Damper, eye to eye, twice at each corner; half the difference is friction.",
            ),
        ),
        note="Read the damper between the centers of its eyes, unless part 1 says hub to mark; not the height of the hub "
        "above the ground. Dampers cold: warm gas lifts the rig (say in part 1 which it is). Flat floor, tires at their pressure, brake off. Never with the driveline loaded: its wind-up moves the heights.",
    ),
    Part(
        number=3,
        name="Weigh again",
        blocks=(Block(state="first", names=_PAD, caption="The scale under each tire, in the same state."),),
        note="If you can: it tells load and rate apart.",
    ),
    Part(
        number=4,
        name="Second state",
        blocks=(
            Block(state="second", names=_HEIGHTS, caption="Damper, eye to eye, once more."),
            Block(state="second", names=_TURNS, caption="What was turned between the two, if anything."),
            Block(state="second", names=_PAD, caption="The scale under each tire, now."),
        ),
        note="Put on a known load, 100 kg (220 lb) or more, where you can measure its position; then read again. "
        "It tells load and rate apart where no scale is at hand.",
    ),
)
_PART_OF = {(block.state, name): part.number for part in PARTS for block in part.blocks for name in block.names}


def part_of(field: str) -> int:
    """Return the number of the part in which a field stands."""
    state, _, name = field.partition(".")
    if state not in STATES:
        return 1
    return 4 if state == "second" else _PART_OF.get((state, name.rpartition(".")[2]), 2)


@lru_cache(maxsize=1)
def declared() -> Mapping[str, Declared]:
    """Return the declaration of every number that may be entered, by the name of its field."""
    entries: dict[str, Declared] = {
        READING_DOUBT: Declared(name=READING_DOUBT, is_a=reading_doubt, optional=True),
        DAMPER_TEMPERATURE: Declared(name=DAMPER_TEMPERATURE, is_a=damper_temperature, optional=True),
    }
    for state, name in _PART_OF:
        for number in range(len(CORNERS)):
            entries[f"{state}.{number}.{name}"] = replace(reading_columns()[name], optional=True)
    for name in _ADDED:
        entries[f"second.added.{name}"] = replace(added_columns()[name], optional=True)
    return entries


def label_of(field: str) -> str:
    """Return how a field is called: of a corner "Left front, after it was lifted,"."""
    item = declared().get(field)
    if item is None:
        return "The date"
    corner, label = field.split(".")[1:2], item.quantity.label
    if corner and corner[0].isdigit():
        return f"{words(CORNERS[int(corner[0])]).capitalize()}, {label[:1].lower()}{label[1:]},"
    return label


# --- painting ---------------------------------------------------------------------------------------------------------


def entries_of(part: Part) -> str:
    """Return the entries of a part, blank."""
    before = _which() if part.number == 1 else ""
    added = _added() if part.number == 4 else ""
    note = f'<p class="hb-note">{escape(part.note)}</p>' if part.note else ""
    return f"{before}{note}{added}{''.join(_block(block) for block in part.blocks)}"


def _which() -> str:
    date = '<input type="date" id="p-date" name="date" autocomplete="off" aria-describedby="p-date-e">'
    inner = f'<span class="hb-pair__text">{date}</span>{form.message("date", "p")}'
    return markup.group(
        "This measurement",
        form.line("Date", inner, name="date", prefix="p", look=form.TEXT)
        + form.text_line("Note", "note", "", LONGEST_NOTE, "p")
        + f'<div data-region="case">{case_choice(None, Proof())}</div>'
        + form.choice_line(read_choice, "read", "", "p")
        + _number(READING_DOUBT)
        + form.choice_line(dampers_choice, "dampers", "", "p")
        + _number(DAMPER_TEMPERATURE),
    )


def _number(name: str, label: str = "") -> str:
    return form.number_line(declared()[name], name, "", SHOP, "p", label=label)


def case_choice(rig: Rig | None, proof: Proof) -> str:
    """Return in which load case is measured, to be chosen where there are several."""
    if rig is None:
        return ""
    # What was ordered is proved in the load cases that it was ordered for.
    rig = built_rig(rig, proof)
    if len(rig.cases()) < 2:
        return ""
    options = tuple(Option(case.name, case.label) for case in rig.cases())
    choice = Choice(label="Load case that is measured", options=options, typical="", help="")
    return form.choice_line(choice, "case", case_of(rig, proof).name, "p")


def _added() -> str:
    labels = {"mass": "Added load"}
    lines = "".join(_number(f"second.added.{name}", labels.get(name, "")) for name in _ADDED)
    return markup.group("What was put on", lines)


def _block(block: Block) -> str:
    columns = [(name, reading_columns()[name]) for name in block.names]
    heads = "".join(
        f'<th scope="col" class="n" title="{escape(item.is_a.help)}">'
        f"{form.column_head(f'{block.state}.{name}', item, SHOP)}</th>"
        for name, item in columns
    )
    rows = ""
    for number, corner in enumerate(CORNERS):
        cells = ""
        for name, item in columns:
            key, label = f"{block.state}.{number}.{name}", f"{words(corner).capitalize()}: {item.is_a.label}"
            entry = form.control(item, key, "", label=label, described=f"{form.identity('p', key)}-e")
            cells += f'<td class="n">{entry}{form.message(key, "p")}</td>'
        rows += f'<tr><th scope="row">{words(corner).capitalize()}</th>{cells}</tr>'
    return (
        f'<div class="hb-rows hb-corners"><table class="hb-table"><caption>{escape(block.caption)}</caption>'
        f'<thead><tr><th scope="col">Corner</th>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'
    )


# --- reading ----------------------------------------------------------------------------------------------------------


def read(base: Proof, texts: Mapping[str, str], display: Display) -> tuple[Proof, list[FieldError]]:
    """Return the measurement with what stands in the fields; one that cannot be read is unknown."""
    errors: list[FieldError] = []
    before = _cells(base)
    cells = {name: cell.typed(texts[name], display) if name in texts else cell for name, cell in before.items()}
    errors += [error for name, cell in cells.items() if name in texts and (error := cell.wrong()) is not None]
    values = {name: cell.value for name, cell in cells.items() if cell.value is not None}
    date = base.date
    if texts.get("date", "").strip():
        try:
            date = check_date(texts["date"], "date")
        except FieldError as error:
            errors.append(error)
    proof = replace(
        base,
        date=date,
        note=texts.get("note", base.note).strip()[:LONGEST_NOTE],
        case=texts.get("case", base.case)[:120],
        read=_choice(texts.get("read", base.read), base.read, read_choice),
        reading_doubt=values.get(READING_DOUBT),
        dampers=_choice(texts.get("dampers", base.dampers), base.dampers, dampers_choice),
        damper_temperature=values.get(DAMPER_TEMPERATURE),
    )
    refused: list[str] = []
    states = [_state(state, values, proof, errors, refused) for state in STATES]
    while states and states[-1].blank():
        states.pop()
    unread = {name: cell.unread for name, cell in cells.items() if cell.unread is not None}
    # What cannot be used together is kept as it was typed, too.
    for name in refused:
        text = texts.get(name, "").strip() or cells[name].text(display)
        unread[name] = before[name].as_typed(text, display)
    kept = {_kept_name(name): typed for name, typed in unread.items()}
    return replace(proof, states=tuple(states), unread=kept), errors


def _kept_name(name: str) -> str:
    """Return the name under which a field is kept while it cannot be read: with its corner.

    >>> _kept_name("first.0.after_lifted")
    'first.left_front.after_lifted'
    """
    return ".".join(CORNERS[int(part)] if part.isdigit() else part for part in name.split("."))


def _choice(text: str, before: str, choice: Choice) -> str:
    return text if text in {option.value for option in choice.options} else before


def _state(
    state: str, values: Mapping[str, float], proof: Proof, errors: list[FieldError], refused: list[str]
) -> State:
    """Return a state; `refused` gets the names of what contradicts itself or lacks its place."""
    corners: dict[str, CornerReading] = {}
    for number, corner in enumerate(CORNERS):
        given = {name: values.get(f"{state}.{number}.{name}") for of, name in _PART_OF if of == state}
        reading = CornerReading(**given)
        try:
            check_reading(reading, proof.doubt, f"{state}.{number}.after_lifted")
        except FieldError as error:
            errors.append(error)
            reading = replace(reading, after_pushed_down=None, after_lifted=None)
            refused += [f"{state}.{number}.{name}" for name in _HEIGHTS]
        if reading != CornerReading():
            corners[corner] = reading
    return State(corners=corners, added=_load(values, errors, refused) if state == "second" else None)


def _load(values: Mapping[str, float], errors: list[FieldError], refused: list[str]) -> Added | None:
    given = {name: value for name in _ADDED if (value := values.get(f"second.added.{name}")) is not None}
    if not given:
        return None
    for name in ("mass", "behind_front_axle"):
        if name not in given:
            errors.append(declared()[f"second.added.{name}"].quantity.missing(f"second.added.{name}"))
            refused += [f"second.added.{part}" for part in given]
            return None
    return Added(**given)


def _cells(proof: Proof) -> dict[str, Cell]:
    """Return what is kept of every entry."""
    values = {READING_DOUBT: proof.reading_doubt, DAMPER_TEMPERATURE: proof.damper_temperature}
    for state, measured in zip(STATES, proof.states, strict=False):
        for number, corner in enumerate(CORNERS):
            for of, name in _PART_OF:
                if of == state:
                    values[f"{state}.{number}.{name}"] = getattr(measured.at(corner), name)
        if measured.added is not None:
            values |= {f"{state}.added.{name}": getattr(measured.added, name) for name in _ADDED}
    return {
        name: Cell(name=name, item=item, value=values.get(name), unread=proof.unread.get(_kept_name(name)))
        for name, item in declared().items()
    }


def texts_of(proof: Proof, display: Display) -> dict[str, str]:
    """Return the text of every field for a measurement that is opened."""
    numbers = {name: cell.text(display) for name, cell in _cells(proof).items()}
    return {**numbers, "date": proof.date, "note": proof.note, "read": proof.read, "dampers": proof.dampers}


def untouched(proof: Proof, texts: Mapping[str, str], typed: frozenset[str], display: Display) -> dict[str, str]:
    """Return the texts of the fields that the reader did not type: the date of today, and numbers in other units."""
    texts_now = {
        name: cell.text(display)
        for name, cell in _cells(proof).items()
        if name in texts and name not in typed and (cell.value is not None or cell.unread is not None)
    }
    return texts_now if "date" in typed else {**texts_now, "date": proof.date}
