"""The rig page's entries: how they are painted, and how what was typed into them becomes the rig."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from html import escape

from calc.errors import FieldError
from calc.geometry.travel_table import travel_pairs
from calc.json_text import read_json
from calc.quantity import SHOP, Choice, Declared, Display, Option, Quantity, Table, Text, place, read_plus_minus
from calc.rig import misread
from calc.rig.entries import AS_WEIGHED, AXLES, keys
from calc.rig.file import MOST_CASES
from calc.rig.loads import corner_masses
from calc.rig.misread import LOADS, Misread
from calc.rig.rig import Entry, LoadCase, Rig
from calc.rig.unread import UnreadRow, among
from calc.sheet import form, markup
from calc.sheet.cells import Cell, Rows, row_cells, row_texts, typed_rows, wrong_in
from calc.sheet.rig import sure
from calc.sheet.rig.sections import SECTIONS as SECTIONS
from calc.sheet.rig.sections import Group
from calc.sheet.rig.sections import Section as Section
from calc.vocabulary import center_of_gravity_height
from calc.weight.weight_change import Item, item_table

NAME, NOTE = "rig_name", "rig_note"
CHANGES, PAIRS, HEIGHT = "changes", "travel_pairs", "center_of_gravity_height"
LONGEST_NAME, LONGEST_NOTE = 80, 400
# What stands on the page only when a set is picked there.
_PICKED = ("chosen_helper_part", "chosen_tender_part", "chosen_main_part")


# --- what stands in an entry ------------------------------------------------------------------------------------------


def cell(rig: Rig, key: str) -> Cell:
    """Return what stands in the entry of a key: the rig's own value, what is assumed in its place, or what was typed."""
    entry = sure.entry_of(rig, key)
    return Cell(name=key, item=keys()[key], value=None if entry is None else entry.value, unread=rig.unread.get(key))


def _height(case: LoadCase, index: int) -> Cell:
    """Return what stands in the entry for how high the center of gravity lies in a load case."""
    name = f"case.{index}.{HEIGHT}"
    item = column_cells()[place(name)]
    return Cell(name=name, item=item, value=case.center_of_gravity_height, unread=case.unread_height)


def filled_tables(rig: Rig) -> Mapping[str, tuple[Table, Sequence[Item | UnreadRow]]]:
    """Return every table of the page with the rows that the rig has, by the name of the table."""
    return {
        **{
            f"case.{index}.items": (item_table, among(case.items, case.unread_items))
            for index, case in enumerate(rig.cases())
        },
        CHANGES: (item_table, among(rig.changes, rig.unread_changes)),
        **{f"{axle}.{PAIRS}": (travel_pairs, among(rig.pairs(axle), rig.unread_pairs.get(axle, ()))) for axle in AXLES},
    }


@lru_cache(maxsize=1)
def column_cells() -> Mapping[str, Declared]:
    """Return the declaration of each column of the page's tables, and of what each load case has beside its table."""
    tables = {"case.items": item_table, CHANGES: item_table, **{f"{axle}.{PAIRS}": travel_pairs for axle in AXLES}}
    declared_tables = {name: Declared(name=name, is_a=table, optional=True) for name, table in tables.items()}
    height = Declared(name=HEIGHT, is_a=center_of_gravity_height, optional=True)
    return {**form.with_columns(declared_tables), f"case.{HEIGHT}": height}


def declared(fields: Iterable[str]) -> Mapping[str, Declared]:
    """Return the declaration of every field on the page, the cells of its tables included."""
    cells = {name: column_cells().get(place(name)) for name in fields if name != place(name)}
    return {**keys(), **{name: item for name, item in cells.items() if item is not None}}


# --- painting ---------------------------------------------------------------------------------------------------------


def group(item: Group, rig: Rig, display: Display) -> str:
    """Return a group of fields; those of the axles stand side by side, front and rear."""
    heads = ""
    if item.of_axles:
        heads = (
            '<p class="hb-pair hb-pair--head" aria-hidden="true"><span></span><span>Front</span><span>Rear</span></p>'
        )
    lines = "".join(
        _line([f"{axle}.{name}" for axle in AXLES] if item.of_axles else [name], rig, display) for name in item.names
    )
    note = f'<p class="hb-note">{escape(item.note)}</p>' if item.note else ""
    return markup.group(item.legend, heads + lines + note)


def _line(names: Sequence[str], rig: Rig, display: Display) -> str:
    is_a = keys()[names[0]].is_a
    inner = "".join(_entry(name, rig, display, of_pair=len(names) > 1) for name in names)
    inner += "".join(form.message(name, "r") for name in names)
    look = form.TEXT if isinstance(is_a, Text) else form.PAIR if len(names) > 1 else form.ONE
    label_of = names[0] if len(names) == 1 else ""
    return form.line(is_a.label, inner, name=label_of, prefix="r", look=look, title=is_a.help)


def _entry(name: str, rig: Rig, display: Display, *, of_pair: bool) -> str:
    kept, entry = cell(rig, name), sure.entry_of(rig, name)
    is_a, text = kept.item.is_a, kept.text(display)
    label = f"{name.partition('.')[0].capitalize()}: {is_a.label}" if of_pair else ""
    if isinstance(is_a, Quantity):
        came_from = "" if entry is None else sure.origin_of(entry, name)
        return form.number(kept.item, name, text, display, "r", label=label, came_from=came_from)
    own_id = form.identity("r", name)
    look = "choice" if isinstance(is_a, Choice) else "text"
    by = f"{own_id}-e" if isinstance(is_a, Choice) else ""
    control = form.control(kept.item, name, text, own_id=own_id, label=label, described=by, blank="not said")
    return f'<span class="hb-pair__{look}">{control}</span>'


def _table(name: str, rig: Rig, display: Display, caption: str) -> str:
    """Return a table with the rows that the rig has, and one empty row more."""
    table, rows = filled_tables(rig)[name]
    return form.table(name, table, row_texts(table, rows, name, display), display, caption=caption)


def pairs(rig: Rig, display: Display) -> str:
    """Return the travel tables of both axles, open when one of them is filled."""
    how = "springs out, both wheels together, from droop to bump."
    both = "".join(_table(f"{axle}.{PAIRS}", rig, display, f"{axle.capitalize()}: {how}") for axle in AXLES)
    opened = " open" if any(rig.travel_pairs.values()) or any(rig.unread_pairs.values()) else ""
    return (
        f'<details class="hb-open hb-travel"{opened}><summary>The pairs of the travel table</summary>'
        '<p class="hb-note">Three wheel heights or more, and the one at ride. '
        '<a href="steps/travel_table.html">What to mark and how to read it</a></p>'
        f'<div class="hb-travel__both">{both}</div></details>'
    )


def changes(rig: Rig, display: Display) -> str:
    """Return the table of what was changed on the vehicle."""
    caption = "Or what went on (and, below zero, came off) since then: weight and the position of its center."
    return _table(CHANGES, rig, display, caption)


def cases(rig: Rig, display: Display) -> str:
    """Return the load cases to fill in, each with its items."""
    named = rig.cases()
    blocks = "".join(_case(rig, index, case, display) for index, case in enumerate(named))
    if len(named) > 1:
        options = tuple(Option(case.name, case.label) for case in named)
        wished = Choice(label="Targets are set for this load case", options=options, typical="", help="")
        blocks += form.choice_line(wished, "reference_case", rig.reference().name, "r")
    more = (
        '<button type="button" class="hb-more" data-rig-do="add-case">Add a load case</button>'
        if len(named) < MOST_CASES
        else f'<p class="hb-note">{MOST_CASES} load cases are the most.</p>'
    )
    return f"{blocks}{more}"


def _case(rig: Rig, index: int, case: LoadCase, display: Display) -> str:
    kept = _height(case, index)
    height = form.number_line(kept.item, kept.name, kept.text(display), display, "r", came_from=None)
    name = form.text_line("Name", f"case.{index}.label", case.label, LONGEST_NAME, "r")
    items = _table(f"case.{index}.items", rig, display, "What is aboard beyond the state it was weighed in.")
    remove = (
        f'<button type="button" class="hb-more" data-rig-do="remove-case" data-rig-of="{index}" '
        f'aria-label="Remove this case, load case {index + 1}">Remove this case</button>'
        if rig.load_cases
        else ""
    )
    return f'<fieldset class="hb-group hb-case"><legend>Load case {index + 1}</legend>{name}{height}{items}{remove}</fieldset>'


# --- reading ----------------------------------------------------------------------------------------------------------


def read_entries(
    rig: Rig, fields: Mapping[str, str], typed: frozenset[str], display: Display
) -> tuple[Rig, list[FieldError]]:
    """Return the rig with what was typed, and the messages for what could not be read."""
    typed &= fields.keys()
    errors = list(_unread_errors(rig, typed))
    values, unread = dict(rig.values), dict(rig.unread)
    for key in keys():
        if key not in typed:
            continue
        kept = _written(rig, key)
        now = kept.typed(fields[key], display)
        wrong = now.wrong()
        errors += [] if wrong is None else [wrong]
        if now == kept:
            continue
        unread.pop(key, None)
        if now.value is not None:
            # A number that is read again is as sure as the reader said that it is.
            before = rig.values.get(key)
            values[key] = Entry(value=now.value, plus_minus=None if before is None else before.plus_minus)
            continue
        values.pop(key, None)
        if now.unread is not None:
            unread[key] = now.unread
    doubted, wrong_doubts = sure.read(replace(rig, unread=unread), rig.values, values, fields, typed, display)
    errors += wrong_doubts
    values = dict(doubted.values)
    for axle in AXLES:
        if f"{axle}.pick" in typed:
            values |= _pick(axle, fields[f"{axle}.pick"])
    rows = {
        name: typed_rows(name, table, kept_rows, fields, display, _placed if table is item_table else None)
        for name, (table, kept_rows) in filled_tables(rig).items()
        if _touched(_part(name), typed)
    }
    load_cases, wrong_cases = _read_cases(rig, rows, fields, typed, display)
    errors += [*wrong_cases, *(error for read in rows.values() for error in read.errors)]
    changed = rows.get(CHANGES, Rows(read=rig.changes, unread=rig.unread_changes))
    travel = {
        axle: rows.get(f"{axle}.{PAIRS}", Rows(read=rig.pairs(axle), unread=rig.unread_pairs.get(axle, ())))
        for axle in AXLES
    }
    return replace(
        doubted,
        values=values,
        load_cases=load_cases,
        changes=changed.read,
        unread_changes=changed.unread,
        travel_pairs={axle: read.read for axle, read in travel.items() if read.read},
        unread_pairs={axle: read.unread for axle, read in travel.items() if read.unread},
        name=_called(rig.name, fields, NAME, typed, LONGEST_NAME),
        note=_called(rig.note, fields, NOTE, typed, LONGEST_NOTE),
    ), errors


def _written(rig: Rig, key: str) -> Cell:
    """Return what the page writes into a key's entry."""
    kept = cell(rig, key)
    return replace(kept, value=rig.reference().name) if key == "reference_case" else kept


def _part(table: str) -> str:
    """Return the part of the page that is read with a table: its load case, or itself."""
    return table.removesuffix(".items")


def _touched(part: str, typed: frozenset[str]) -> bool:
    return any(name.startswith(f"{part}.") for name in typed)


def _unread_errors(rig: Rig, typed: frozenset[str]) -> Iterator[FieldError]:
    """Give the messages of what was typed earlier and cannot be read: it stands there still."""
    for name, kept in rig.unread.items():
        key = name.removesuffix(f".{sure.PLUS_MINUS}")
        if name in typed:
            continue
        try:
            if name != key:
                read_plus_minus(kept.told(), keys()[key].quantity, key, SHOP)
            elif (wrong := cell(rig, key).wrong()) is not None:
                yield wrong
        except FieldError as error:
            yield error
    untouched_cells = [
        {"height": _height(case, index)}
        for index, case in enumerate(rig.cases())
        if not _touched(f"case.{index}", typed)
    ]
    for name, (table, rows) in filled_tables(rig).items():
        if not _touched(_part(name), typed):
            untouched_cells += [row_cells(table, row, f"{name}.{number}") for number, row in enumerate(rows)]
    yield from (wrong for cells in untouched_cells if (wrong := wrong_in(cells)) is not None)


def _called(kept: str, fields: Mapping[str, str], name: str, typed: frozenset[str], longest: int) -> str:
    text = fields[name] if name in typed else kept
    return kept if text.strip() == kept.strip() else text.strip()[:longest]


def _pick(axle: str, text: str) -> dict[str, Entry]:
    try:
        helper, tender, main = read_json(text)
    except (ValueError, TypeError):
        return {}
    parts = {"helper": helper, "tender": tender, "main": main}
    if not all(isinstance(part, str) for part in parts.values()):
        return {}
    return {f"{axle}.chosen_{name}_part": Entry(value=part[:80], origin="measured") for name, part in parts.items()}


def section_of(one: Misread) -> int:
    """Return the number of the section in which an entry that cannot be read stands."""
    tables = {LOADS: 5, misread.HEIGHT: 5, misread.CHANGES: 3, misread.PAIRS: 4}
    if one.name in tables:
        return tables[one.name]
    named = (section.number for section in SECTIONS if one.name in {name.rpartition(".")[2] for name in section.names})
    return next(named, 6)  # what counts in the rank is painted there when it is opened


def pick_text(tender: str | None, main: str, helper: str | None = None) -> str:
    """Return what a radio button of the ranked sets holds."""
    return json.dumps([helper or "", tender or "", main], ensure_ascii=False)


def _read_cases(
    rig: Rig, rows: Mapping[str, Rows], fields: Mapping[str, str], typed: frozenset[str], display: Display
) -> tuple[tuple[LoadCase, ...], list[FieldError]]:
    errors: list[FieldError] = []
    read = []
    for index, case in enumerate(rig.cases()):
        if not _touched(f"case.{index}", typed):
            read.append(case)
            continue
        kept, items = _height(case, index), rows[f"case.{index}.items"]
        height = kept.typed(fields.get(kept.name, kept.text(display)), display)
        wrong = height.wrong()
        errors += [] if wrong is None else [wrong]
        label = f"case.{index}.label"
        named = frozenset((label,)) & fields.keys()
        read.append(
            replace(
                case,
                label=_called(case.label, fields, label, named, LONGEST_NAME) or case.label,
                items=items.read,
                unread_items=items.unread,
                center_of_gravity_height=height.value,
                unread_height=height.unread,
            )
        )
    # A rig whose one case is untouched stays without any.
    return rig.load_cases if not rig.load_cases and tuple(read) == rig.cases() else tuple(read), errors


def _placed(item: Item, name: str) -> None:
    if item.carried == "sprung" and item.behind_front_axle is None:
        raise FieldError(
            f"{name}.behind_front_axle",
            "What the springs carry needs its position along the vehicle.",
            allowed="Measure from the front axle back to its center; ahead of the axle counts below zero.",
        )


def case_errors(rig: Rig) -> Iterable[FieldError]:
    """Tell the load cases that cannot be: a wheel would carry nothing."""
    for index, case in enumerate(rig.cases()):
        try:
            corner_masses(rig, case)
        except FieldError as error:
            yield error.at(f"case.{index}.items")


def with_case(rig: Rig) -> Rig:
    """Return the rig with one more load case; the state as weighed becomes a case of its own."""
    named = rig.load_cases or rig.cases()
    taken = {case.name for case in named}
    number = next(number for number in range(2, MOST_CASES + 3) if f"case {number}" not in taken)
    new = LoadCase(name=f"case {number}", label=f"Load case {len(named) + 1}")
    return rig if len(named) >= MOST_CASES else replace(rig, load_cases=(*named, new))


def without_case(rig: Rig, index: int) -> Rig:
    """Return the rig without one of its load cases."""
    rest = tuple(case for place, case in enumerate(rig.load_cases) if place != index)
    if len(rest) == 1 and rest[0].name == AS_WEIGHED and not rest[0].items:
        rest = ()
    return replace(rig, load_cases=rest)


def texts(rig: Rig, display: Display) -> dict[str, str]:
    """Return the text of every field for a rig that is opened."""
    shown = (key for key in keys() if key != "reference_case" and not key.endswith(_PICKED))
    return {
        NAME: rig.name,
        NOTE: rig.note,
        **{key: cell(rig, key).text(display) for key in shown},
        **sure.texts(rig, display),
    }


def rewritten(rig: Rig, fields: Mapping[str, str], old: Display, new: Display) -> dict[str, str]:
    """Return, in the new units, the texts of the fields that stand as the page wrote them in the old ones."""
    before, after = (untouched(rig, fields, frozenset(), display) for display in (old, new))
    return {name: after[name] for name, text in before.items() if fields.get(name, "").strip() == text.strip() != ""}


def untouched(rig: Rig, fields: Mapping[str, str], typed: frozenset[str], display: Display) -> dict[str, str]:
    """Return the texts of the fields that the reader did not type: what they follow may have changed, or the units."""
    cells = [cell(rig, key) for key in keys() if key in fields and key not in typed]
    for name, (table, rows) in filled_tables(rig).items():
        if not _touched(name, typed):
            every = (row_cells(table, row, f"{name}.{number}") for number, row in enumerate(rows))
            cells += [entry for row in every for entry in row.values() if isinstance(entry.item.is_a, Quantity)]
    heights = (_height(case, index) for index, case in enumerate(rig.cases()))
    cells += [height for height in heights if height.name in fields and height.name not in typed]
    return {entry.name: entry.text(display) for entry in cells} | sure.untouched(rig, fields, typed, display)
