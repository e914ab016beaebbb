"""The Prove page: what is measured on the built rig, in the order of the work, and what that says.

A request carries the rig as it is kept (`rig`), which of its measurements is open (`proof`, counted from 0; null is a new
one), `today`, the texts of the fields, and: `open` (show the latest measurement), or `action` ("new", "show 1", "remove").
The answer carries the rig to keep with the measurement in it, and `proof`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from html import escape
from typing import Any

from calc.answers.prove_tables import height_table, tables
from calc.errors import DataError, FieldError, RangeError, ReadError, UnlikelyError
from calc.order.order import order
from calc.prove.findings import basis_line, findings, turn_texts
from calc.prove.prove import ADDED, PADS, Proving, built_rig, case_of, prove, proving_data
from calc.quantity import SHOP, Choice, Declared, Display, Quantity, read
from calc.rig import axle as axles
from calc.rig.entries import CORNERS
from calc.rig.file import rig_to_data, wren
from calc.rig.kept import kept_rig
from calc.rig.readings import (
    DAMPER_TEMPERATURE,
    LONGEST_NOTE,
    MOST_PROOFS,
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
    read_measurements,
    reading_columns,
    reading_doubt,
)
from calc.rig.rig import Rig
from calc.rig.unread import Unread, as_typed
from calc.sheet import markup
from calc.sheet.answer import table as markup_table
from calc.sheet.prove_history import history
from calc.sheet.prove_paper import measuring_sheet
from calc.sheet.rig import lists
from calc.sheet.rig.own_list import Listing
from calc.sheet.rig.page import made_choices
from calc.step import Finding
from calc.tables import DATA, Springs
from calc.whole.at_rest import words

_HEIGHTS, _SETTINGS = ("after_pushed_down", "after_lifted"), ("preload", "ring_gap")
_TURNS, _PAD = ("adjuster_turns", "ring_turns"), ("pad",)
_ADDED = tuple(part.name for part in fields(Added))


# --- the fields -------------------------------------------------------------------------------------------------------


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
        note="Put on a known load, 100 kg (220 lb) or more, where you can measure its place; then read again. "
        "It tells load and rate apart where no scale is at hand.",
    ),
)
_PART_OF = {(block.state, name): part.number for part in PARTS for block in part.blocks for name in block.names}


@lru_cache(maxsize=1)
def declared() -> Mapping[str, Declared]:
    """Return the declaration of every number that may be entered, by the name of its field."""
    found: dict[str, Declared] = {
        READING_DOUBT: Declared(name=READING_DOUBT, is_a=reading_doubt, optional=True),
        DAMPER_TEMPERATURE: Declared(name=DAMPER_TEMPERATURE, is_a=damper_temperature, optional=True),
    }
    for state, name in _PART_OF:
        for place in range(len(CORNERS)):
            found[f"{state}.{place}.{name}"] = replace(reading_columns()[name], optional=True)
    for name in _ADDED:
        found[f"second.added.{name}"] = replace(added_columns()[name], optional=True)
    return found


def _place(name: str) -> str:
    """Return the name that a field's unit is shown under: the same for a column of corners."""
    return ".".join(part for part in name.split(".") if not part.isdigit())


def _part(part: Part) -> str:
    before = _which() if part.number == 1 else ""
    added = _added() if part.number == 4 else ""
    blocks = "".join(_block(block) for block in part.blocks)
    opened = " open" if part.number == 2 else ""
    note = f'<p class="hb-note">{escape(part.note)}</p>' if part.note else ""
    return (
        f'<section aria-labelledby="p{part.number}"><details class="hb-part"{opened}><summary>'
        f'<h2 id="p{part.number}"><span class="no">{part.number}</span><span class="name">{part.name}</span>'
        f'<span class="hb-part__said" data-region="head-{part.number}" aria-live="polite">{_head("", "nothing entered", "")}'
        f'</span></h2></summary><div class="body">{before}{note}{added}{blocks}</div></details></section>'
    )


def _head(answer_: str, need: str, state: str) -> str:
    told = f'<span class="ans">{escape(answer_)}</span>' if answer_ else f'<span class="need">{escape(need)}</span>'
    mark = f"{markup.mark(state)}{markup.word(state)}" if state else ""
    return f'{told}<span class="state">{mark}</span>'


def _which() -> str:
    return (
        '<fieldset class="hb-group"><legend>This measurement</legend>'
        '<div class="hb-pair hb-pair--text"><label for="p-date">Date</label><span class="hb-pair__text">'
        '<input type="date" id="p-date" name="date" autocomplete="off" aria-describedby="p-date-e"></span>'
        '<p class="hb-error" id="p-date-e" data-error-of="date" hidden></p></div>'
        '<div class="hb-pair hb-pair--text"><label for="p-note">Note</label><span class="hb-pair__text">'
        f'<input type="text" autocomplete="off" id="p-note" name="note" maxlength="{LONGEST_NOTE}"></span></div>'
        f'<div data-region="case">{_case(None, Proof())}</div>'
        f"{_select('read', read_choice)}{_single(READING_DOUBT, 'p-doubt')}"
        f"{_select('dampers', dampers_choice)}{_single(DAMPER_TEMPERATURE, 'p-warmth')}</fieldset>"
    )


def _select(name: str, choice: Choice) -> str:
    options = "".join(
        f'<option value="{escape(option.value)}" title="{escape(option.help)}">{escape(option.label)}</option>'
        for option in choice.options
    )
    return (
        f'<div class="hb-pair hb-pair--text"><label for="p-{name}" title="{escape(choice.help)}">{escape(choice.label)}</label>'
        f'<span class="hb-pair__text hb-pair__choice"><select id="p-{name}" name="{name}">{options}</select></span></div>'
    )


def _single(name: str, identity: str) -> str:
    quantity = declared()[name].quantity
    return (
        f'<div class="hb-pair hb-pair--one"><label for="{identity}" title="{escape(quantity.help)}">{escape(quantity.label)}</label>'
        f'<span class="hb-pair__one">{markup.number_input(name, "", identity=identity, described=f"{identity}-e")}'
        f"{markup.unit_of(name, quantity, SHOP)}{markup.origin(name, '')}</span>"
        f'<p class="hb-error" id="{identity}-e" data-error-of="{name}" hidden></p></div>'
    )


def _case(rig: Rig | None, proof: Proof) -> str:
    if rig is None:
        return ""
    # What was ordered is proved in the load cases that it was ordered for.
    rig = built_rig(rig, proof)
    if len(rig.cases()) < 2:
        return ""
    chosen = case_of(rig, proof).name
    options = "".join(
        f'<option value="{escape(case.name)}"{" selected" if case.name == chosen else ""}>{escape(case.label)}</option>'
        for case in rig.cases()
    )
    return (
        '<div class="hb-pair hb-pair--text"><label for="p-case">Load case that is measured</label>'
        f'<span class="hb-pair__text hb-pair__choice"><select id="p-case" name="case">{options}</select></span></div>'
    )


def _added() -> str:
    lines = []
    for name in _ADDED:
        key = f"second.added.{name}"
        quantity = declared()[key].quantity
        label = "Added load" if name == "mass" else quantity.label
        identity = f"p-{name}"
        lines.append(
            f'<div class="hb-pair hb-pair--one"><label for="{identity}" title="{escape(quantity.help)}">{escape(label)}</label>'
            f'<span class="hb-pair__one">{markup.number_input(key, "", identity=identity, described=f"{identity}-e")}'
            f"{markup.unit_of(key, quantity, SHOP)}{markup.origin(key, '')}</span>"
            f'<p class="hb-error" id="{identity}-e" data-error-of="{key}" hidden></p></div>'
        )
    return f'<fieldset class="hb-group"><legend>What was put on</legend>{"".join(lines)}</fieldset>'


def _block(block: Block) -> str:
    columns = [(name, reading_columns()[name].quantity) for name in block.names]
    heads = "".join(
        f'<th scope="col" class="n" title="{escape(quantity.help)}">{escape(quantity.label)}{_unit(block, name, quantity)}</th>'
        for name, quantity in columns
    )
    rows = ""
    for place, corner in enumerate(CORNERS):
        cells = ""
        for name, quantity in columns:
            key = f"{block.state}.{place}.{name}"
            identity = f"p-{key.replace('.', '-')}"
            label = f"{words(corner).capitalize()}: {quantity.label}"
            cells += (
                f'<td class="n">{markup.number_input(key, "", label=label, described=f"{identity}-e")}'
                f'<p class="hb-error" id="{identity}-e" data-error-of="{key}" hidden></p></td>'
            )
        rows += f'<tr><th scope="row">{words(corner).capitalize()}</th>{cells}</tr>'
    return (
        f'<div class="hb-rows hb-corners"><table class="hb-table"><caption>{escape(block.caption)}</caption>'
        f'<thead><tr><th scope="col">Corner</th>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'
    )


def _unit(block: Block, name: str, quantity: Quantity) -> str:
    symbol = SHOP.unit(quantity).symbol
    return f', <span data-unit-of="{block.state}.{name}">{escape(symbol)}</span>' if symbol else ""


# --- the page that is built ---------------------------------------------------------------------------------------------


def prove_page() -> str:
    """Return the page's form, blank, the measuring sheet to print, and Wren's measured example to read."""
    parts = "".join(_part(part) for part in PARTS)
    return (
        '<div class="calc"><calc-form data-do="prove"><form class="hb-prove" aria-label="Measurement" novalidate>'
        f'<div class="hb-sheet__head"><p data-region="whose">{_whose(None)}</p>{markup.units_switch(SHOP)}</div>'
        '<div data-region="kept"></div><p class="hb-status" data-region="status" role="status"></p>'
        '<div data-prove-kept hidden><p class="hb-status" role="status"></p>'
        '<p><button type="button" class="hb-more" data-prove-do="save">Save the rig to a file</button></p></div>'
        f'<div class="hb-ledger">{parts}</div></form>'
        '<div class="hb-proved"><div data-region="results" aria-live="polite"></div>'
        '<div data-region="findings"></div><div data-region="history"></div></div>'
        f'<p class="hb-rig__end" data-region="end">{_end(measured=False)}</p>'
        f'<div data-region="sheet">{measuring_sheet(None, SHOP)}</div></calc-form></div>{_example()}'
    )


def _end(*, measured: bool) -> str:
    what = "Print what it says" if measured else "Print the measuring sheet"
    return f'<button type="button" class="hb-button" data-prove-do="print">{what}</button>'


@lru_cache(maxsize=1)
def example() -> tuple[Proof, ...]:
    """Return the invented measurements of Wren."""
    return read_measurements((DATA / "rigs" / "wren-measured.json").read_text(encoding="utf-8"))


def _example() -> str:
    """Return what Wren's measurements say, to be read without any script."""
    measured = example()
    made = order(wren(), lists.handbook_springs())
    found = prove(wren(), made.springs, measured[-1], made, measured[:-1])
    return (
        '<details class="hb-open hb-example"><summary>What a filled page says: Wren, an invented rig</summary>'
        '<p><span class="hb-origin hb-origin--example">example</span> Every number is invented. '
        f'{escape(measured[-1].note)}</p><div class="hb-proved">{_results(found, SHOP)}</div>'
        f"{markup.findings(findings(found, SHOP))}{history(wren(), measured, SHOP, 'wren-')}</details>"
    )


# --- the live answer ------------------------------------------------------------------------------------------------------


def answer(
    request: Mapping[str, Any], typed_texts: Mapping[str, str], typed: frozenset[str], display: Display
) -> dict[str, Any]:
    """Return what the page shows and keeps. Never raises for what a reader typed or keeps."""
    try:
        data = request.get("rig")
        rig = None if data is None else kept_rig(data, display)
    except DataError as damaged:
        return {"problem": str(damaged)}
    opened, proofs, shows = _opened(rig, request)
    base = Proof() if opened is None else proofs[opened]
    texts = _texts(base, display) if shows else typed_texts
    proof, errors = _read(base, texts, display)
    if not proof.date:
        proof = replace(proof, date=_today(request))
    if rig is not None:
        blank = all(state.blank() for state in proof.states) and not proof.note and not proof.unread
        if opened is None and not blank and len(proofs) < MOST_PROOFS:
            opened, proofs = len(proofs), (*proofs, proof)
        elif opened is not None:
            proofs = (*proofs[:opened], proof, *proofs[opened + 1 :])
        elif not blank:
            errors.append(FieldError("date", f"{MOST_PROOFS} measurements are kept, which is the most. Remove one."))
        rig = replace(rig, proofs=proofs)
    listed = lists.listing(request, {}, frozenset())
    found, problem = (None, "") if rig is None else _proved(rig, proof, listed, display)
    told = (*_unread(errors, texts), *(() if found is None else findings(found, display)))
    regions = {
        "whose": _whose(rig),
        "kept": "" if rig is None else _kept(rig, opened),
        "case": _case(rig, proof),
        "results": _results(found, display) if rig is not None else "",
        "findings": markup.findings(told),
        "history": "" if rig is None else history(rig, rig.proofs, display),
        "end": _end(measured=found is not None and found.measured),
        "sheet": "" if found is not None and found.measured else measuring_sheet(found, display),
    }
    for part in PARTS:
        regions[f"head-{part.number}"] = _said(part, proof, found, told, errors)
    answer_: dict[str, Any] = {
        "rig": None if rig is None else rig_to_data(rig),
        "proof": opened,
        "fields": _fields(proof, errors, display),
        "values": _texts(proof, display) if shows else _untouched(proof, typed_texts, typed, display),
        "regions": regions,
        "problem": problem or listed.problem or None,
        "data": None if found is None else proving_data(found),
    }
    if listed.wanted:
        answer_["want_list"] = True
    return answer_


def _unread(errors: Sequence[FieldError], texts: Mapping[str, str]) -> tuple[Finding, ...]:
    """Return, for each field that was typed and cannot be read, a check that was not made."""
    return tuple(
        Finding(rule="cannot be read", state="not checked", text=f"{_name_of(error.field)} cannot be read: “{text}”.")
        for error in errors
        if isinstance(error, (ReadError, RangeError, UnlikelyError)) and (text := texts.get(error.field, "").strip())
    )


def _name_of(field: str) -> str:
    """Return how a field of a corner is called: "Left front, after it was lifted"."""
    item = declared().get(field)
    if item is None:
        return "The date"
    place = field.split(".")[1:2]
    label = item.quantity.label
    if place and place[0].isdigit():
        return f"{words(CORNERS[int(place[0])]).capitalize()}, {label[:1].lower()}{label[1:]},"
    return label


def _today(request: Mapping[str, Any]) -> str:
    try:
        return check_date(str(request.get("today", "")), "date")
    except FieldError:
        return ""


def _opened(rig: Rig | None, request: Mapping[str, Any]) -> tuple[int | None, tuple[Proof, ...], bool]:
    """Return which measurement is open, all of them, and whether its own numbers are to be shown."""
    proofs = () if rig is None else rig.proofs
    asked = request.get("proof")
    opened = asked if isinstance(asked, int) and not isinstance(asked, bool) and 0 <= asked < len(proofs) else None
    if request.get("open"):
        latest = max(range(len(proofs)), key=lambda place: proofs[place].date, default=None)
        return latest, proofs, True
    action, _, place = str(request.get("action") or "").partition(" ")
    if action == "new":
        return None, proofs, True
    if action == "show" and place.isdecimal() and int(place) < len(proofs):
        return int(place), proofs, True
    if action == "remove" and opened is not None:
        return None, (*proofs[:opened], *proofs[opened + 1 :]), True
    return opened, proofs, False


def _proved(rig: Rig, proof: Proof, listed: Listing[Springs], display: Display) -> tuple[Proving | None, str]:
    earlier = tuple(one for one in rig.proofs if one != proof)
    if rig.ordered:
        return prove(rig, listed.goods, proof, earlier=earlier), ""
    # Most edits here change the measurement and not the rig.
    alone = replace(rig, proofs=())
    choices, waiting = made_choices(alone, listed, at_once=True)
    if waiting:
        return None, (
            f"Your list makes {waiting:,} sets, too many to search here. Take the springs that you did not build out of it."
        )
    made = order(alone, listed.goods, choices, display)
    return prove(rig, made.springs, proof, made, earlier), ""


# --- reading --------------------------------------------------------------------------------------------------------------


def _read(base: Proof, texts: Mapping[str, str], display: Display) -> tuple[Proof, list[FieldError]]:
    """Return the measurement with what stands in the fields; one that cannot be read is unknown."""
    errors: list[FieldError] = []
    values = _kept_values(base)
    unread = dict(base.unread)
    for name, item in declared().items():
        if name not in texts:
            continue
        text, before = texts[name].strip(), values.get(name)
        if before is not None and text == display.entry(before, item.quantity, _place(name)):
            continue
        typed = _typed(name, texts, base, display)
        unread.pop(_kept_name(name), None)
        try:
            value = read(typed.text, item.quantity, name, _in_unit(name, typed, display)) if text else None
        except FieldError as error:
            errors.append(error)
            value = None
            unread[_kept_name(name)] = typed
        if value is None:
            values.pop(name, None)
        else:
            values[name] = value
    date = base.date
    if texts.get("date", "").strip():
        try:
            date = check_date(texts["date"], "date")
        except FieldError as error:
            errors.append(error)
    doubt = values.get(READING_DOUBT)
    found = replace(
        base,
        date=date,
        note=texts.get("note", base.note).strip()[:LONGEST_NOTE],
        case=texts.get("case", base.case)[:120],
        read=_choice(texts.get("read", base.read), base.read, read_choice),
        reading_doubt=doubt,
        dampers=_choice(texts.get("dampers", base.dampers), base.dampers, dampers_choice),
        damper_temperature=values.get(DAMPER_TEMPERATURE),
    )
    refused: list[str] = []
    states = [_state(state, values, found, errors, refused) for state in STATES]
    while states and states[-1].blank():
        states.pop()
    # What cannot be used together is kept as it was typed, too.
    unread |= {_kept_name(name): _typed(name, texts, base, display, values) for name in refused}
    return replace(found, states=tuple(states), unread=unread), errors


def _kept_name(name: str) -> str:
    """Return the name under which a field is kept while it cannot be read: with its corner.

    >>> _kept_name("first.0.after_lifted")
    'first.left_front.after_lifted'
    """
    return ".".join(CORNERS[int(part)] if part.isdigit() else part for part in name.split("."))


def _typed(
    name: str, texts: Mapping[str, str], base: Proof, display: Display, values: Mapping[str, float] | None = None
) -> Unread:
    """Return what stands in a field, as it was typed: what could not be read before keeps its unit."""
    item, place = declared()[name], _place(name)
    kept, text = base.unread.get(_kept_name(name)), texts.get(name, "").strip()
    if kept is not None and text == _shown(kept, name, display):
        return kept
    if not text and values is not None:
        text = display.entry(values[name], item.quantity, place)
    return as_typed(text, item, place, display)


def _shown(kept: Unread, name: str, display: Display) -> str:
    return kept.shown(display.unit(declared()[name].quantity, _place(name)).symbol).strip()


def _in_unit(name: str, typed: Unread, display: Display) -> Display:
    """Return how a text is read: a bare number in the unit that it was typed in."""
    return replace(display, fields={**display.fields, name: typed.unit}) if typed.unit else display


def _choice(text: str, before: str, choice: Choice) -> str:
    return text if text in {option.value for option in choice.options} else before


def _state(
    state: str, values: Mapping[str, float], proof: Proof, errors: list[FieldError], refused: list[str]
) -> State:
    """Return a state; `refused` gets the names of what contradicts itself or lacks its place."""
    corners: dict[str, CornerReading] = {}
    for place, corner in enumerate(CORNERS):
        given = {name: values.get(f"{state}.{place}.{name}") for of, name in _PART_OF if of == state}
        one = CornerReading(**given)
        try:
            check_reading(one, proof.doubt, f"{state}.{place}.after_lifted")
        except FieldError as error:
            errors.append(error)
            one = replace(one, after_pushed_down=None, after_lifted=None)
            refused += [f"{state}.{place}.{name}" for name in _HEIGHTS]
        if one != CornerReading():
            corners[corner] = one
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


def _kept_values(proof: Proof) -> dict[str, float]:
    own = {READING_DOUBT: proof.reading_doubt, DAMPER_TEMPERATURE: proof.damper_temperature}
    values = {name: value for name, value in own.items() if value is not None}
    for state, one in zip(STATES, proof.states, strict=False):
        for place, corner in enumerate(CORNERS):
            for of, name in _PART_OF:
                value = getattr(one.at(corner), name) if of == state else None
                if value is not None:
                    values[f"{state}.{place}.{name}"] = value
        if one.added is not None:
            values |= {f"{state}.added.{name}": getattr(one.added, name) for name in _ADDED}
    return values


def _texts(proof: Proof, display: Display) -> dict[str, str]:
    values = _kept_values(proof)
    found = {
        name: display.entry(values[name], item.quantity, _place(name)) if name in values else ""
        for name, item in declared().items()
    }
    found |= _unread_texts(proof, display)
    return {**found, "date": proof.date, "note": proof.note, "read": proof.read, "dampers": proof.dampers}


def _untouched(proof: Proof, texts: Mapping[str, str], typed: frozenset[str], display: Display) -> dict[str, str]:
    """Return the texts of the fields that the reader did not type: the date of today, and numbers in other units."""
    values = _kept_values(proof)
    found = {
        name: display.entry(values[name], item.quantity, _place(name))
        for name, item in declared().items()
        if name in texts and name not in typed and name in values
    }
    unread = _unread_texts(proof, display)
    found |= {name: text for name, text in unread.items() if name in texts and name not in typed}
    return {**found, "date": proof.date} if "date" not in typed else found


def _unread_texts(proof: Proof, display: Display) -> dict[str, str]:
    named = {_kept_name(name): name for name in declared()}
    return {named[kept]: _shown(one, named[kept], display) for kept, one in proof.unread.items() if kept in named}


def _fields(proof: Proof, errors: Iterable[FieldError], display: Display) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, item in declared().items():
        place = _place(name)
        found[place] = {"unit": display.unit(item.quantity, place).symbol, "error": None}
    found[READING_DOUBT]["origin"] = "assumed" if proof.reading_doubt is None else "measured"
    for error in errors:
        found.setdefault(error.field, {})["error"] = markup.error_texts(error, display)
    return found


# --- what is said ---------------------------------------------------------------------------------------------------------


def _whose(rig: Rig | None) -> str:
    if rig is None:
        return (
            'No rig is open in this browser. Enter yours on the <a href="rig.html">rig page</a>, '
            "or open the example there; its prediction is what is proved here."
        )
    example_ = ' <span class="hb-origin hb-origin--example">example</span>' if rig.rests_on_examples() else ""
    return f"Rig: <strong>{escape(rig.name or 'rig without a name')}</strong>{example_}"


def _kept(rig: Rig, opened: int | None) -> str:
    """Return the measurements that are kept with the rig, as buttons, and what can be done with the open one."""
    if not rig.proofs:
        return ""
    others = "".join(
        f'<button type="button" class="hb-more" data-prove-do="show {place}" '
        f'aria-pressed="{"true" if place == opened else "false"}">{escape(one.date)}</button> '
        for place, one in enumerate(rig.proofs)
    )
    remove = (
        '<button type="button" class="hb-more" data-prove-do="remove">Remove this measurement</button>'
        if opened is not None
        else ""
    )
    return (
        f'<p class="hb-kept__does"><span class="hb-note">Kept with the rig:</span> {others}'
        f'<button type="button" class="hb-more" data-prove-do="new">New measurement</button> {remove}</p>'
    )


def _said(
    part: Part, proof: Proof, found: Proving | None, told: Sequence[Finding], errors: Iterable[FieldError]
) -> str:
    wrong = sum(_part_of(error.field) == part.number for error in errors)
    if wrong:
        return _head("", "1 field cannot be read" if wrong == 1 else f"{wrong} fields cannot be read", "fails")
    by_rule = {one.rule: one for one in reversed(told)}
    if part.number == 1:
        own = [one for one in proof.first.corners.values() if one.preload is not None or one.ring_gap is not None]
        return _head(f"{len(own)} of 4 corners entered" if own else "", "as ordered", "")
    if found is None or not found.measured:
        return _head("", "nothing entered", "")
    if part.number == 2 and found.questioned:
        return _head("", "eye to eye is wanted", "close")
    if part.number == 2:
        finding = by_rule.get("heights as predicted")
        turns = () if found.trim is None else turn_texts(found.trim)
        said = f"Turn the {turns[0]}" + (" and more" if len(turns) > 1 else "") if turns else "Nothing to turn"
        return _head(said if found.trim is not None else "", "needs all four", finding.state if finding else "")
    if part.number == 3:
        finding = by_rule.get("weighed again")
        return _head("Load and rate told apart" if found.separates == PADS else "", "not weighed", _state_of(finding))
    return _head("Load and rate told apart" if found.separates == ADDED else "", "not measured", "")


def _state_of(finding: Finding | None) -> str:
    return "" if finding is None else finding.state


def _part_of(field: str) -> int:
    state, _, name = field.partition(".")
    if state not in STATES:
        return 1
    return 4 if state == "second" else _PART_OF.get((state, name.rpartition(".")[2]), 2)


def _results(found: Proving | None, display: Display) -> str:
    if found is None:
        return ""
    basis = f'<p class="hb-note">{escape(basis_line(found))}</p>'
    if found.needs is not None:
        return basis + "".join(f"<p>{escape(text)}</p>" for text in _needed(found))
    shown = tables(found, display) or (height_table(found, display),)
    return basis + "".join(markup_table(table) for table in shown)


def _needed(found: Proving) -> Iterator[str]:
    if found.needs is None:
        return
    yield from found.needs.sentences
    if found.needs.keys:
        names = [axles.label(key) for key in found.needs.keys]
        more = f" and {len(names) - 5} more" if len(names) > 5 else ""
        yield f"The prediction still needs, on the rig page: {', '.join(names[:5])}{more}."
