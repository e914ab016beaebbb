"""The rig page's fields: which stand in which section, and how what was typed into them becomes the rig.

A field that cannot be read is unknown to the rig, which keeps what was typed and shows it again; a value is read anew
only where its text was changed, so nothing that was entered exactly is rounded by being shown.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from html import escape
from typing import Any

from calc.errors import FieldError
from calc.geometry.travel_table import travel_pairs
from calc.json_text import read_json
from calc.order.order import LIMITS
from calc.quantity import (
    SHOP,
    Choice,
    Declared,
    Display,
    Quantity,
    Table,
    Text,
    read,
    read_cell,
    read_plus_minus,
)
from calc.rig import misread
from calc.rig.entries import AS_WEIGHED, AXLES, CORNERS, keys
from calc.rig.file import MOST_CASES
from calc.rig.loads import corner_masses
from calc.rig.misread import LOADS, Misread
from calc.rig.rig import Entry, LoadCase, Rig
from calc.rig.unread import UnreadRow, among, as_typed
from calc.sheet import markup
from calc.sheet.rig import rows, sure
from calc.vocabulary import center_of_gravity_height
from calc.weight.weight_change import Item, item_table

NAME, NOTE = "rig_name", "rig_note"
CHANGES, PAIRS, HEIGHT = "changes", "travel_pairs", "center_of_gravity_height"
_LONGEST_NAME = 80
_LONGEST_NOTE = 400


@dataclass(frozen=True, kw_only=True)
class Group:
    """Fields under one legend: of the vehicle, or one for each axle."""

    legend: str
    names: tuple[str, ...]
    of_axles: bool = True
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Section:
    """One part of the job on the page: its number, its name, its fields, and its tables to fill in."""

    number: int
    name: str
    groups: tuple[Group, ...] = ()
    tables: tuple[Table, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all its fields."""
        return tuple(name for group in self.groups for name in group.names)


SECTIONS = (
    Section(
        number=1,
        name="Weigh",
        groups=(
            Group(
                legend="The scale slip",
                names=("condition", *(f"{corner}.corner_mass" for corner in CORNERS), "wheelbase"),
                of_axles=False,
            ),
            Group(legend="", names=("track", "axle_rating")),
            Group(
                legend="Without a scale under each wheel",
                names=("axle_mass_after",),
                note="Axle weights alone give a first answer. The four corners take their place.",
            ),
        ),
    ),
    Section(
        number=2,
        name="Split",
        groups=(
            Group(
                legend="What the springs do not carry", names=("axle_kind", "unsprung_mass", "unsprung_left_of_center")
            ),
        ),
    ),
    Section(
        number=3,
        name="Change",
        tables=(item_table,),
        groups=(
            Group(legend="Before the change", names=("axle_mass_before", "unsprung_mass_before")),
            Group(
                legend="The old springs, if known",
                names=(
                    "old_tender_rate",
                    "old_tender_free_length",
                    "old_main_rate",
                    "old_main_free_length",
                    "old_preload",
                ),
            ),
        ),
    ),
    Section(
        number=4,
        name="Motion ratio",
        tables=(travel_pairs,),
        groups=(
            Group(
                legend="From lean and length, at one ride height",
                names=("lean", "damper_length"),
            ),
            Group(
                legend="Or as measured",
                names=("motion_ratio", "motion_ratio_slope"),
                note="A motion ratio given here goes before everything else. If it changes, enter the damper length at which it "
                "was measured.",
            ),
            Group(
                legend="For left and right apart",
                names=("mount_base", "mount_height", "roll_center_height", "bar_roll_stiffness"),
            ),
            Group(
                legend="Track bar of a solid axle, seen from behind",
                names=(
                    "track_bar_frame_left",
                    "track_bar_frame_height",
                    "track_bar_axle_left",
                    "track_bar_axle_height",
                ),
                note="With all four the roll center is where the bar crosses the middle, and goes up and down by half of "
                "what the axle does. Without them it is taken as fixed on the body, at the height above.",
            ),
            Group(
                legend="Or from the mounts in space",
                names=(
                    "upper_mount_base",
                    "upper_mount_height",
                    "upper_mount_back",
                    "mount_back",
                    "path_pivot_ahead",
                    "path_pivot_above",
                ),
                note="With the axle ends above. They go before lean and length. Without a pivot (of arms, or the links' "
                "instant center) the axle goes straight up.",
            ),
            Group(
                legend="Or from a travel table",
                names=("ride_height",),
                note="It goes before the mounts, and before lean and length.",
            ),
        ),
    ),
    Section(
        number=5,
        name="Targets",
        tables=(item_table,),
        groups=(
            Group(
                legend="Ride height",
                names=("wanted_damper_length", "wanted_shaft_showing", "wanted_height_change", "wanted_height_band"),
                note="In the load case that the wishes are for. One of the three is enough; the preload is set for it.",
            ),
            Group(
                legend="Wishes",
                names=(
                    "wanted_frequency_low",
                    "wanted_frequency_high",
                    "wanted_frequency_past_crossover_low",
                    "wanted_frequency_past_crossover_high",
                    "wanted_crossover_above_ride",
                    "wanted_step_low",
                    "wanted_step_high",
                    "wanted_bump",
                    "wanted_droop",
                ),
            ),
            Group(legend="Tires", names=("tire_rate", "tire_pressure", "tire_loaded_radius")),
            Group(
                legend="On the road",
                names=("wanted_road_speed",),
                of_axles=False,
            ),
            Group(
                legend="When it is leveled",
                names=("wanted_cross_share",),
                of_axles=False,
                note="How far the adjusters must be turned for it stands with the springs.",
            ),
        ),
    ),
    Section(
        number=6,
        name="Springs",
        groups=(
            Group(
                legend="Damper",
                names=(
                    "damper_extended",
                    "damper_stroke",
                    "damper_collapsed",
                    "solid_before_collapsed",
                    "limit_strap",
                    "strap_travel",
                ),
            ),
            Group(
                legend="Seats, adjuster and ring",
                names=(
                    "seat_space",
                    "divider_thickness",
                    "adjuster_range",
                    "adjuster_turns_per_length",
                    "spring_inside_diameter",
                    "ring_thickness",
                    "thread_length",
                    "body_length",
                ),
            ),
            Group(
                legend="Hard limits, yours to set",
                names=tuple(LIMITS.values()),
                of_axles=False,
                note="Common practice where you set none. They decide what works.",
            ),
        ),
    ),
    Section(
        number=7,
        name="Damper",
        groups=(
            Group(
                legend="Gas and damping",
                names=("gas_pressure", "gas_volume", "rod_diameter", "piston_diameter", "wanted_damping_ratio"),
            ),
            Group(
                legend="Shape of the damping",
                names=("rebound_share", "slope_past_knee", "knee_speed"),
                note="Forces, cavitation and rough ground all go by these. 100\u00a0% past the knee is a straight line: no knee.",
            ),
        ),
    ),
    Section(
        number=8,
        name="Bump stops",
        groups=(
            Group(
                legend="Where the pad is touched", names=("pad_touch_before_collapsed", "pad_rate", "pad_solid_force")
            ),
        ),
    ),
    Section(
        number=9,
        name="Ride check",
        groups=(
            Group(
                legend="The roughest ground that is driven at speed",
                names=("road_class", "road_speed"),
                of_axles=False,
                note="The gas of the dampers is judged on it, at three sigma of the damper speed: an estimate of a linear corner.",
            ),
        ),
    ),
    Section(
        number=10,
        name="Roll",
        groups=(
            Group(
                legend="In a turn",
                names=("driven_on_roads", "lateral_acceleration"),
                of_axles=False,
                note="Left blank, the sideways acceleration is taken as 0.3\u00a0g.",
            ),
            Group(
                legend="Less lean, by bars",
                names=("wanted_roll_gradient", "wanted_front_bar_share"),
                of_axles=False,
                note="What bars must add is worked out in the load case that the wishes are for. Left blank, each axle's bar adds half.",
            ),
            Group(
                legend="A bar that could be fitted",
                names=("bar_length", "bar_arm", "bar_base"),
                note="Enter all three to see the diameter that the bar needs. Once it is on, enter its roll stiffness in section 4.",
            ),
        ),
    ),
    Section(number=11, name="Fit"),
    Section(number=12, name="Order and set"),
    Section(number=13, name="Prove"),
)


# --- the fields as HTML -------------------------------------------------------------------------------------------------------


def group(item: Group, rig: Rig, display: Display) -> str:
    """Return a group of fields; those of the axles stand side by side, front and rear."""
    heads = ""
    if item.of_axles:
        heads = (
            '<p class="hb-pair hb-pair--head" aria-hidden="true"><span></span><span>Front</span><span>Rear</span></p>'
        )
    lines = "".join(
        _line(keys()[f"front.{name}"].is_a, [f"{axle}.{name}" for axle in AXLES], rig, display)
        if item.of_axles
        else _line(keys()[name].is_a, [name], rig, display)
        for name in item.names
    )
    note = f'<p class="hb-note">{escape(item.note)}</p>' if item.note else ""
    return markup.group(item.legend, heads + lines + note)


def _line(is_a: Any, names: Sequence[str], rig: Rig, display: Display) -> str:
    cells = "".join(_cell(is_a, name, rig, display, of_pair=len(names) > 1) for name in names)
    messages = "".join(
        f'<p class="hb-error" id="{_identity(name)}-e" data-error-of="{name}" hidden></p>' for name in names
    )
    title = escape(is_a.help)
    kind = "hb-pair--text" if isinstance(is_a, Text) else "" if len(names) > 1 else "hb-pair--one"
    if len(names) == 1:
        label = f'<label for="{_identity(names[0])}" title="{title}">{escape(is_a.label)}</label>'
    else:
        label = f'<span title="{title}">{escape(is_a.label)}</span>'
    return f'<div class="hb-pair {kind}">{label}{cells}{messages}</div>'


def _identity(name: str) -> str:
    return f"r-{name}"


def _cell(is_a: Any, name: str, rig: Rig, display: Display, *, of_pair: bool) -> str:
    text, came_from = shown(rig, name, display)
    identity = _identity(name)
    if isinstance(is_a, Text):
        return (
            f'<span class="hb-pair__text"><input type="text" autocomplete="off" id="{identity}" name="{name}" '
            f'maxlength="{is_a.longest}" value="{escape(text)}"></span>'
        )
    axle = name.partition(".")[0].capitalize()
    if isinstance(is_a, Choice):
        options = "".join(
            f'<option value="{value}"{" selected" if value == text else ""}>{escape(words)}</option>'
            for value, words in (("", "not said"), *((option.value, option.label) for option in is_a.options))
        )
        told = f'aria-label="{axle}: {escape(is_a.label)}" ' if of_pair else ""
        return (
            f'<span class="hb-pair__choice"><select id="{identity}" name="{name}" {told}'
            f'aria-describedby="{identity}-e">{options}</select></span>'
        )
    label = f"{axle}: {is_a.label}" if of_pair else ""
    entry = markup.number_input(name, text, label=label, identity=identity, described=f"{identity}-e")
    return (
        f'<span class="hb-pair__one">{entry}{markup.unit_of(name, is_a, display)}'
        f"{markup.origin(name, came_from)}</span>"
    )


def shown(rig: Rig, key: str, display: Display) -> tuple[str, str]:
    """Return the text and the origin word that stand in a rig's field."""
    declared = keys()[key]
    typed = rig.unread.get(key)
    if typed is not None:
        unit = display.unit(declared.is_a, key).symbol if isinstance(declared.is_a, Quantity) else ""
        return typed.shown(unit), ""
    entry = sure.entry_of(rig, key)
    if entry is None:
        return "", ""
    text = display.entry(entry.value, declared.is_a, key) if isinstance(declared.is_a, Quantity) else str(entry.value)
    return text, sure.origin_of(entry, key)


# --- tables of items ------------------------------------------------------------------------------------------------------------


def items_table(name: str, items: Sequence[Item | UnreadRow], display: Display, caption: str) -> str:
    """Return a table of things that go on or come off, with one empty row more."""
    return markup.rows(name, item_table, items, display, caption=caption, units_under=rows.place(name))


def pairs(rig: Rig, display: Display) -> str:
    """Return the travel tables of both axles, open when one of them is filled."""
    both = "".join(
        markup.rows(
            f"{axle}.{PAIRS}",
            travel_pairs,
            among(rig.pairs(axle), rig.unread_pairs.get(axle, ())),
            display,
            caption=f"{axle.capitalize()}: springs out, both wheels together, from droop to bump.",
            units_under=PAIRS,
        )
        for axle in AXLES
    )
    opened = " open" if any(rig.travel_pairs.values()) or any(rig.unread_pairs.values()) else ""
    return (
        f'<details class="hb-open hb-travel"{opened}><summary>The pairs of the travel table</summary>'
        '<p class="hb-note">Three wheel heights or more, and the one at ride. '
        '<a href="steps/travel_table.html">What to mark and how to read it</a></p>'
        f'<div class="hb-travel__both">{both}</div></details>'
    )


def cases(rig: Rig, display: Display) -> str:
    """Return the load cases to fill in, each with its items."""
    named = rig.cases()
    blocks = []
    for index, case in enumerate(named):
        prefix = f"case.{index}"
        remove = (
            f'<button type="button" class="hb-more" data-rig-do="remove-case" data-rig-of="{index}" '
            f'aria-label="Remove this case, load case {index + 1}">Remove this case</button>'
            if rig.load_cases
            else ""
        )
        blocks.append(
            f'<fieldset class="hb-group hb-case"><legend>Load case {index + 1}</legend>'
            f'<div class="hb-pair hb-pair--text"><label for="r-{prefix}-label">Name</label><span class="hb-pair__text">'
            f'<input type="text" autocomplete="off" maxlength="80" id="r-{prefix}-label" name="{prefix}.label" '
            f'value="{escape(case.label)}"></span></div>'
            f"{_height(prefix, case, display)}"
            f"{items_table(f'{prefix}.items', among(case.items, case.unread_items), display, 'What is aboard beyond the state it was weighed in.')}"
            f"{remove}</fieldset>"
        )
    options = "".join(
        f'<option value="{escape(case.name)}"{" selected" if case.name == rig.reference().name else ""}>'
        f"{escape(case.label)}</option>"
        for case in named
    )
    chosen = (
        '<div class="hb-pair hb-pair--text"><label for="r-reference_case">The wishes hold for</label>'
        f'<span class="hb-pair__text hb-pair__choice"><select id="r-reference_case" name="reference_case">{options}</select>'
        "</span></div>"
        if len(named) > 1
        else ""
    )
    more = (
        '<button type="button" class="hb-more" data-rig-do="add-case">Add a load case</button>'
        if len(named) < MOST_CASES
        else f'<p class="hb-note">{MOST_CASES} load cases are the most.</p>'
    )
    return f"{''.join(blocks)}{chosen}{more}"


def _height(prefix: str, case: LoadCase, display: Display) -> str:
    """Return the field for how high the center of gravity lies in a load case."""
    name = f"{prefix}.{HEIGHT}"
    declared = column_cells()[rows.place(name)]
    text = _height_text(case, name, display)
    identity = _identity(name)
    return (
        f'<div class="hb-pair hb-pair--one"><label for="{identity}" title="{escape(declared.is_a.help)}">'
        f'{escape(declared.is_a.label)}</label><span class="hb-pair__one">'
        f"{markup.number_input(name, text, identity=identity, described=f'{identity}-e')}"
        f"{markup.unit_of(rows.place(name), declared.quantity, display)}</span>"
        f'<p class="hb-error" id="{identity}-e" data-error-of="{name}" hidden></p></div>'
    )


def changes(rig: Rig, display: Display) -> str:
    """Return the table of what was changed on the vehicle."""
    caption = "Or what went on (and, below zero, came off) since then: weight and the place of its center."
    return items_table(CHANGES, among(rig.changes, rig.unread_changes), display, caption)


def filled_tables(rig: Rig) -> Mapping[str, tuple[Table, Sequence[Any]]]:
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
    """Return the declaration of each column of the page's tables, by the name that its unit is shown under."""
    places = {"case.items": item_table, CHANGES: item_table, PAIRS: travel_pairs}
    cells = {f"{place}.{name}": column for place, table in places.items() for name, column in table.columns().items()}
    height = Declared(name=HEIGHT, is_a=center_of_gravity_height, optional=True)
    return {**cells, f"case.{HEIGHT}": height}


def declared(fields: Mapping[str, str]) -> Mapping[str, Declared]:
    """Return the declaration of every field on the page, the cells of its tables included."""
    found = dict(keys())
    for name in fields:
        cell = column_cells().get(_column(name))
        if cell is not None and any(part.isdigit() for part in name.split(".")):
            found[name] = cell
    return found


def _column(name: str) -> str:
    """Return the name of a cell's column."""
    table, _, column = rows.place(name).rpartition(".")
    return f"{_shown_under(table)}.{column}"


def _shown_under(table: str) -> str:
    """Return the name that a table's units are shown under: those of both axles' travel tables under one."""
    place = rows.place(table)
    return PAIRS if place in [f"{axle}.{PAIRS}" for axle in AXLES] else place


# --- reading ------------------------------------------------------------------------------------------------------------------


def read_entries(
    rig: Rig, fields: Mapping[str, str], typed: frozenset[str], display: Display
) -> tuple[Rig, list[FieldError]]:
    """Return the rig with what was typed, and the messages for what could not be read."""
    errors = list(_unread_errors(rig, typed))
    values, unread = dict(rig.values), dict(rig.unread)
    for key, declared in keys().items():
        if key not in typed or key not in fields:
            continue
        try:
            entry = _entry(declared, fields[key], rig, key, display)
        except FieldError as error:
            errors.append(error)
            values.pop(key, None)
            if fields[key].strip() != _unread_text(rig, key, display):
                unread[key] = as_typed(fields[key], declared, key, display)
            continue
        unread.pop(key, None)
        if entry is None:
            values.pop(key, None)
        else:
            values[key] = entry
    doubted, wrong = sure.read(replace(rig, unread=unread), rig.values, values, fields, typed, display)
    errors += wrong
    values = dict(doubted.values)
    for axle in AXLES:
        if f"{axle}.pick" in typed:
            values |= _pick(axle, fields.get(f"{axle}.pick", ""))
    name, note = (
        _called(kept, fields.get(field, kept) if field in typed else kept, longest)
        for field, kept, longest in ((NAME, rig.name, _LONGEST_NAME), (NOTE, rig.note, _LONGEST_NOTE))
    )
    found, wrong = _read_cases(rig, fields, typed, display)
    errors += wrong
    tables = filled_tables(rig)
    items, unread_items = rig.changes, rig.unread_changes
    if _table_typed(CHANGES, typed):
        kept = tables[CHANGES][1]
        items, unread_items, wrong = rows.read(CHANGES, item_table, kept, fields, display, CHANGES, _placed)
        errors += wrong
    travel, unread_pairs = dict(rig.travel_pairs), dict(rig.unread_pairs)
    for axle in AXLES:
        table = f"{axle}.{PAIRS}"
        if _table_typed(table, typed):
            kept = tables[table][1]
            travel[axle], unread_pairs[axle], wrong = rows.read(table, travel_pairs, kept, fields, display, PAIRS)
            errors += wrong
    return replace(
        doubted,
        values=values,
        load_cases=found,
        changes=items,
        unread_changes=unread_items,
        travel_pairs={axle: read_ for axle, read_ in travel.items() if read_},
        unread_pairs={axle: read_ for axle, read_ in unread_pairs.items() if read_},
        name=name,
        note=note,
    ), errors


def _table_typed(table: str, typed: frozenset[str]) -> bool:
    return any(name.startswith(f"{table}.") for name in typed)


def _unread_text(rig: Rig, key: str, display: Display) -> str | None:
    """Return what stands in a field that could not be read before."""
    return shown(rig, key, display)[0].strip() if key in rig.unread else None


def _unread_errors(rig: Rig, typed: frozenset[str]) -> Iterator[FieldError]:
    """Give the messages of what was typed earlier and cannot be read: it stands there still."""
    for name, one in rig.unread.items():
        key = name.removesuffix(f".{sure.PLUS_MINUS}")
        if name in typed:
            continue
        try:
            if name == key:
                read_cell(keys()[key], one.told(), name, SHOP)
            else:
                read_plus_minus(one.told(), keys()[key].quantity, key, SHOP)
        except FieldError as error:
            yield error
    for index, case in enumerate(rig.cases()):
        name = f"case.{index}.{HEIGHT}"
        if case.unread_height is not None and not _case_typed(index, typed):
            try:
                read(case.unread_height.told(), column_cells()[rows.place(name)].quantity, name, SHOP)
            except FieldError as error:
                yield error
    for name, (table, filled) in filled_tables(rig).items():
        if not _table_typed(name, typed) and not (
            name.startswith("case.") and _case_typed(int(name.split(".")[1]), typed)
        ):
            yield from rows.unread_errors(name, table, filled)


def _case_typed(index: int, typed: frozenset[str]) -> bool:
    return any(name.startswith(f"case.{index}.") for name in typed)


def _called(kept: str, text: str, longest: int) -> str:
    return kept if text.strip() == kept.strip() else text.strip()[:longest]


def _entry(declared: Declared, text: str, rig: Rig, key: str, display: Display) -> Entry | None:
    kept = rig.values.get(key)
    # What still stands there as the page wrote it is what it was: not rounded, nor made one's own where it was assumed.
    if key not in rig.unread and text.strip() == _written(rig, key, display).strip():
        return kept
    text = text.strip()
    if not text:
        return None
    if isinstance(declared.is_a, Quantity):
        # A number that is read again is as sure as the reader said that it is.
        doubt = None if kept is None else kept.plus_minus
        return Entry(value=read(text, declared.is_a, key, display), origin="measured", plus_minus=doubt)
    if isinstance(declared.is_a, (Choice, Text)):
        return Entry(value=declared.is_a.check(text, key), origin="measured")
    return kept


def _written(rig: Rig, key: str, display: Display) -> str:
    """Return what the page writes into a key's field."""
    return rig.reference().name if key == "reference_case" else shown(rig, key, display)[0]


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
    rig: Rig, fields: Mapping[str, str], typed: frozenset[str], display: Display
) -> tuple[tuple[LoadCase, ...], list[FieldError]]:
    touched = {name.split(".")[1] for name in typed if name.startswith("case.") and name in fields}
    if not touched:
        return rig.load_cases, []
    errors: list[FieldError] = []
    found = []
    for index, case in enumerate(rig.cases()):
        if str(index) not in touched:
            found.append(case)
            continue
        table = f"case.{index}.items"
        kept = among(case.items, case.unread_items)
        items, unread, wrong = rows.read(table, item_table, kept, fields, display, rows.place(table), _placed)
        errors += wrong
        height_name, unread_height = f"case.{index}.{HEIGHT}", None
        try:
            height = _read_height(height_name, case, fields, display)
        except FieldError as error:
            errors.append(error)
            height, unread_height = None, case.unread_height
            if unread_height is None or fields.get(height_name, "").strip() != _height_text(case, height_name, display):
                declared = column_cells()[rows.place(height_name)]
                unread_height = as_typed(fields.get(height_name, ""), declared, rows.place(height_name), display)
        label = _called(case.label, fields.get(f"case.{index}.label", case.label), _LONGEST_NAME) or case.label
        case_now = replace(case, label=label, items=items, unread_items=unread)
        found.append(replace(case_now, center_of_gravity_height=height, unread_height=unread_height))
    # A rig whose one case is untouched stays without any.
    if not rig.load_cases and tuple(found) == rig.cases():
        return rig.load_cases, errors
    return tuple(found), errors


def _height_text(case: LoadCase, name: str, display: Display) -> str:
    declared, place = column_cells()[rows.place(name)], rows.place(name)
    if case.unread_height is not None:
        return case.unread_height.shown(display.unit(declared.quantity, place).symbol)
    return rows.cell_text(case.center_of_gravity_height, declared, display, place)


def _read_height(name: str, case: LoadCase, fields: Mapping[str, str], display: Display) -> float | None:
    """Return a load case's height of the center of gravity. Raises FieldError where it cannot be read."""
    text = fields.get(name, _height_text(case, name, display))
    declared = column_cells()[rows.place(name)]
    if case.unread_height is None and text.strip() == _height_text(case, name, display).strip():
        return case.center_of_gravity_height
    shown = rows.of_cell(name, rows.place(name), declared, display)
    return read(text, declared.quantity, name, shown) if text.strip() else None


def _placed(item: Item, name: str) -> None:
    if item.carried == "sprung" and item.behind_front_axle is None:
        raise FieldError(
            f"{name}.behind_front_axle",
            "What the springs carry needs its place along the vehicle.",
            allowed="Measure from the front axle back to its center; ahead of the axle counts below zero.",
        )


def case_errors(rig: Rig) -> Iterable[FieldError]:
    """Tell the load cases that cannot be: a wheel would carry nothing."""
    for index, case in enumerate(rig.cases()):
        try:
            corner_masses(rig, case)
        except FieldError as error:
            yield FieldError(f"case.{index}.items", error.problem, allowed=error.allowed, values=error.values)


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
    found = {NAME: rig.name, NOTE: rig.note}
    for key in keys():
        if key != "reference_case" and not key.endswith(
            ("chosen_helper_part", "chosen_tender_part", "chosen_main_part")
        ):
            found[key] = shown(rig, key, display)[0]
    return found | sure.texts(rig, display)


def rewritten(rig: Rig, fields: Mapping[str, str], old: Display, new: Display) -> dict[str, str]:
    """Return, in the new units, the texts of the fields that stand as the page wrote them in the old ones."""
    before, after = (untouched(rig, fields, frozenset(), display) for display in (old, new))
    return {name: after[name] for name, text in before.items() if fields.get(name, "").strip() == text.strip() != ""}


def untouched(rig: Rig, fields: Mapping[str, str], typed: frozenset[str], display: Display) -> dict[str, str]:
    """Return the texts of the fields that the reader did not type: what they follow may have changed, or the units."""
    found = {key: shown(rig, key, display)[0] for key in keys() if key in fields and key not in typed}
    for name, (table, filled) in filled_tables(rig).items():
        if not any(cell.startswith(f"{name}.") for cell in typed):
            found |= rows.texts(name, table, filled, display, _shown_under(name))
    for index, case in enumerate(rig.cases()):
        name = f"case.{index}.{HEIGHT}"
        if name in fields and name not in typed:
            found[name] = _height_text(case, name, display)
    return found | sure.untouched(rig, fields, typed, display)
