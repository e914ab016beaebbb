"""The rig page as a whole: the page that is built, and its live answer.

A request carries the rig as it is kept (`rig`), the texts of the fields, and the names of those that were typed.
Besides: `open` (a rig's data or "blank": its own numbers in every field), `action` (a load case more or less),
`list` and `dampers` (the reader's own), with `list_text` and `dampers_text`. `file` (the text of a rig file) and
`open: "wren"` only bring a rig.
The answer carries the rig to keep, and `edit`, the one thing that was changed.
With `part` ANSWER the sections' working, the order's sheet and the data for a program are left out, and `more` names the
regions that are still to come; REST gives working and sheet alone. The sheet says how sure the sets are, which takes many draws.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from html import escape
from typing import Any

from calc.answers.order_data import data_of
from calc.errors import DataError, FieldError, Needs
from calc.memo import Memo, Same
from calc.order.order import Order, completed, order, task
from calc.order.recording import recorded
from calc.quantity import EVERY_PLUS_MINUS, SHOP, Display, Quantity
from calc.rig.entries import AXLES, keys
from calc.rig.file import read_rig, rig_to_data, unknown, wren
from calc.rig.kept import kept_rig
from calc.rig.rig import Entry, Rig
from calc.rig.unread import Unread
from calc.search.choose import set_count, slices
from calc.search.problem import Choice
from calc.sheet import form, keeping, markup
from calc.sheet.rig import beside, build_paper, dampers, doubt, entries, lists, ordering, ranking, sure, together
from calc.sheet.rig.answers import said
from calc.sheet.rig.own_list import Listing
from calc.sheet.rig.parts import Said, View, working
from calc.sheet.step_sheet import ANSWER, REST
from calc.tables import Springs

# As many sets are searched at once, within the answer; more are searched in slices, when the reader asks.
AT_ONCE = 40_000
_KEPT_SEARCHES = 8
# While either list is read, and what cannot be done with it.
_READING = (
    '<p><button type="button" class="hb-more" data-rig-do="list-stop" hidden>Stop reading</button></p>'
    '<p class="hb-note" data-rig-said role="status"></p>'
)
searches: Memo[Choice] = Memo(room=_KEPT_SEARCHES)
# The rest of the last answer is asked for next.
_said: Memo[Mapping[int, Said]] = Memo()


# --- the page that is built ---------------------------------------------------------------------------------------------------


def rig() -> str:
    """Return the whole page: a blank rig to fill in, and Wren's finished answer to read."""
    blank = Rig()
    made = order(blank, lists.handbook_springs(), {})
    sections = "".join(
        _section(section, blank, told) for section, told in _zipped(said(View(order=made, display=SHOP)))
    )
    listed = lists.listing({}, {}, frozenset())
    return (
        f'<div class="calc">{keeping.bar()}<calc-form data-do="rig" data-name="rig">'
        '<form class="hb-rig" aria-label="Rig" novalidate>'
        f'<div class="hb-rig__name">{_names(blank)}{markup.units_switch(SHOP)}</div>'
        f'<div data-region="estimate" aria-live="polite">{build_paper.estimate(made)}</div>'
        '<p class="hb-status" data-region="status" role="status"></p>'
        f'<p class="hb-note">{EVERY_PLUS_MINUS}</p>'
        f'<div class="hb-ledger">{sections.replace("@list@", _list_box(listed.html) + _READING + dampers.box())}</div>'
        f'{beside.fold()}<p class="hb-rig__end"><button type="button" class="hb-button" data-rig-do="print">Print the build sheet</button></p>'
        f'</form><div data-region="order"></div></calc-form></div>{_example()}'
    )


def _names(blank: Rig) -> str:
    name = form.text_line("Name of the rig", entries.NAME, blank.name, entries.LONGEST_NAME, "r")
    return name + form.text_line("Note", entries.NOTE, blank.note, entries.LONGEST_NOTE, "r")


def _zipped(told: Mapping[int, Said]) -> Iterator[tuple[entries.Section, Said]]:
    for section in entries.SECTIONS:
        yield section, told[section.number]


def _section(section: entries.Section, blank: Rig, answer_: Said) -> str:
    groups = "".join(entries.group(item, blank, SHOP) for item in section.groups)
    if section.number == 3:
        groups += f'<div data-region="changes">{entries.changes(blank, SHOP)}</div>'
    if section.number == 4:
        groups += f'<div data-region="travel">{entries.pairs(blank, SHOP)}</div>'
    if section.number == 5:
        groups += f'<div data-region="cases">{entries.cases(blank, SHOP)}</div>'
    if section.number == 6:
        groups += f"{ranking.fold()}@list@"
    groups += sure.fold(section.number, section.names)
    opened = " open" if section.number == 1 else ""
    return (
        f'<section aria-labelledby="s{section.number}"><details class="hb-part"{opened}><summary>'
        f'<h2 id="s{section.number}"><span class="no">{section.number}</span><span class="name">{section.name}</span>'
        f'<span class="hb-part__said" data-region="head-{section.number}" aria-live="polite">{_head(answer_)}</span></h2>'
        f'</summary><div class="body">{groups}<div data-region="says-{section.number}">{answer_.body}</div>'
        f'<div data-region="work-{section.number}">{working(answer_.outcomes, SHOP)}</div></div>'
        "</details></section>"
    )


def _head(answer_: Said) -> str:
    state = answer_.state or "not checked"
    told = f'<span class="ans">{escape(answer_.answer)}</span>' if answer_.answer else ""
    need = f'<span class="need">{escape(answer_.need)}</span>' if answer_.need and not answer_.answer else ""
    return f'{told or need or "<span></span>"}<span class="state">{markup.mark(state)}{markup.word(state)}</span>'


def _list_box(html: str) -> str:
    return (
        '<fieldset class="hb-group hb-list"><legend>The list to choose from</legend>'
        f'<div data-region="list">{html}</div>'
        '<p class="hb-list__bring"><label class="hb-more">Open your own list, a CSV file'
        '<input type="file" accept=".csv,.txt,.tsv,text/csv" data-rig-list="list" class="hb-sr"></label> '
        '<a href="assets/calc/spring-list.csv" download>Template</a></p>'
        '<details class="hb-open"><summary>Or paste it</summary><textarea data-rig-paste rows="6" spellcheck="false" '
        'aria-label="Your spring list, with its headings"></textarea>'
        '<p><button type="button" class="hb-more" data-rig-do="list-paste">Read what I pasted</button></p></details></fieldset>'
    )


def _example() -> str:
    """Return Wren's answers, to be read without any script."""
    made = order(wren(), lists.handbook_springs())
    lines = "".join(
        f'<section><h3><span class="no">{section.number}</span><span class="name">{section.name}</span>'
        f'<span class="hb-part__said">{_head(answer_)}</span></h3></section>'
        for section, answer_ in _zipped(said(View(order=made, display=SHOP, prefix="wren-")))
    )
    return (
        '<details class="hb-open hb-example"><summary>What a filled page says: Wren, an invented rig</summary>'
        f'<p>{escape(wren().note)}</p><div class="hb-ledger hb-ledger--read">{lines}</div>'
        f"{build_paper.sheet(made, SHOP, 'wren-')}</details>"
    )


# --- the live answer ------------------------------------------------------------------------------------------------------------


def answer(
    request: Mapping[str, Any], fields: Mapping[str, str], typed: frozenset[str], display: Display
) -> dict[str, Any]:
    """Return what the page shows and keeps. Never raises for what a reader typed or opened."""
    try:
        brought = _brought(request)
        if brought is not None:
            return {"rig": rig_to_data(brought), "told": unknown(brought), "problem": None}
        kept = kept_of(request, display)
    except DataError as problem:
        return {"problem": str(problem)}
    return answered(kept, request, fields, typed, display, at_once=True)


def rewritten(request: Mapping[str, Any], fields: Mapping[str, str], old: Display, new: Display) -> Mapping[str, str]:
    """Return, in the new units, the texts of the fields that stand as the page wrote them of the rig in the request."""
    try:
        return entries.rewritten(kept_of(request, old), fields, old, new)
    except DataError:
        return {}


def _brought(request: Mapping[str, Any]) -> Rig | None:
    """Return a rig that is to be kept beside the others: the example, or one from a file's text."""
    if request.get("open") == "wren":
        return wren()
    text = request.get("file")
    return read_rig(text) if isinstance(text, str) else None


def kept_of(request: Mapping[str, Any], display: Display) -> Rig:
    """Return the rig that is open, or the one that is to be opened: of both the browser has the only copy."""
    opened = request.get("open")
    if opened == "blank":
        return Rig()
    data = request.get("rig") if opened is None else opened
    return Rig() if data is None else kept_rig(data, display)


def answered(
    kept: Rig,
    request: Mapping[str, Any],
    fields: Mapping[str, str],
    typed: frozenset[str],
    display: Display,
    *,
    at_once: bool,
) -> dict[str, Any]:
    """Return the live answer for a rig that could be read; `at_once` searches what is short enough within it."""
    read, errors = entries.read_entries(kept, fields, typed, display)
    acted = _acted(read, request.get("action"))
    errors += entries.case_errors(acted)
    listed = lists.listing(request, fields, typed)
    tried = lists.OWN_DAMPERS.listing(request, fields, typed)
    choices, waiting = made_choices(acted, listed, at_once=at_once)
    part, date = request.get("part"), _date(request)
    made, refused = _ordered(acted, request.get("action"), listed, choices, display, date)
    acted = made.entered
    told = _said.of(Same(made), display, make=lambda: said(View(order=made, display=display)))
    rest = {} if part == ANSWER else _rest(made, told, display, date)
    if part == REST:
        return {"regions": rest, "problem": None}
    opens = request.get("open") is not None
    found: dict[str, Any] = {
        # A rig into which nothing was entered yet is not kept.
        "rig": None if acted == kept == Rig() else rig_to_data(acted),
        "edit": _edit(kept, acted),
        "fields": _fields(acted, errors, display),
        "values": entries.texts(acted, display) if opens else entries.untouched(acted, fields, typed, display),
        "regions": {
            "list": listed.html + (_search_button(waiting) if waiting else ""),
            # What was found with other dampers holds for what was entered then; the reader's own list stays.
            "dampers": tried.html,
            **_regions(made, request, told, errors, display, repainted=opens or acted != read),
            **rest,
        },
        "problem": refused or listed.problem or tried.problem or None,
        "list": listed.state,
        "dampers": tried.state,
    }
    if part == ANSWER:
        found["more"] = [*(f"work-{number}" for number in told), "order"]
    # For whoever compares a browser's numbers with another's: the page itself has no use for them.
    if part is None or request.get("data") is True:
        found["data"] = data_of(made)
    if listed.wanted:
        found["want_list"] = True
    if tried.wanted:
        found["want_dampers"] = True
    saved = build_paper.saved(made, display, request.get("action"), date)
    return found if saved is None else {**found, "save": saved}


def _ordered(
    rig: Rig,
    action: Any,
    listed: Listing[Springs],
    choices: Mapping[str, Choice | None],
    display: Display,
    date: str,
) -> tuple[Order, str]:
    """Return the order of a rig, after what the action takes from it, and why it was not recorded."""
    made = order(rig, listed.goods, choices, display)
    if action == together.ACTION:
        return order(together.taken(rig, made), listed.goods, choices, display), ""
    if action == ordering.ACTION:
        try:
            return order(recorded(made, date), listed.goods, choices, display), ""
        except DataError as problem:
            return made, str(problem)
    return made, ""


def _regions(
    made: Order,
    request: Mapping[str, Any],
    told: Mapping[int, Said],
    errors: list[FieldError],
    display: Display,
    *,
    repainted: bool,
) -> dict[str, str]:
    """Return the parts of the page that every answer writes; `repainted` writes the tables of entries too."""
    action = request.get("action")
    regions = {"estimate": build_paper.estimate(made), beside.ACTION: beside.STALE, **doubt.emptied()}
    for section, answer_ in _zipped(told):
        regions[f"head-{section.number}"] = _head(_with_errors(section, answer_, errors))
        regions[f"says-{section.number}"] = answer_.body
    if repainted:
        regions["cases"] = entries.cases(made.entered, display)
        regions["changes"] = entries.changes(made.entered, display)
        regions["travel"] = entries.pairs(made.entered, display)
    regions |= _opened(made.entered, action, display)
    if str(action or "").startswith(beside.ACTION):
        regions[beside.ACTION] = beside.inside(made, request, display)
    return regions


def _rest(made: Order, told: Mapping[int, Said], display: Display, date: str) -> dict[str, str]:
    """Return the regions that can wait: what every section was worked out by, and the order's sheet."""
    worked = {f"work-{number}": working(answer_.outcomes, display) for number, answer_ in told.items()}
    return {**worked, "order": build_paper.sheet(made, display, date=date)}


def _date(request: Mapping[str, Any]) -> str:
    """Return the reader's own date, which only a page knows; nothing where it is none."""
    told = request.get("today")
    return told if isinstance(told, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", told) else ""


def _acted(read: Rig, action: Any) -> Rig:
    """Return the rig after a button: a load case more or less."""
    if not isinstance(action, str):
        return read
    name, _, index = action.partition(" ")
    if name == "add-case":
        return entries.with_case(read)
    if name == "remove-case" and index.isdigit():
        return entries.without_case(read, int(index))
    return read


def _opened(rig: Rig, action: Any, display: Display) -> dict[str, str]:
    """Return what stands behind a quiet line, when that was opened: how sure a section's numbers are, what counts."""
    if action == ranking.ACTION:
        return {ranking.ACTION: ranking.inside(rig, display)}
    return {
        f"{sure.ACTION}-{section.number}": sure.inside(section.names, section.tables, rig, display)
        for section in entries.SECTIONS
        if action == f"{sure.ACTION} {section.number}"
    }


def made_choices(read: Rig, listed: Listing[Springs], *, at_once: bool) -> tuple[dict[str, Choice | None], int]:
    """Return each axle's search: one that was made, one that is small enough to be made now, or none yet."""
    full = completed(read)
    found: dict[str, Choice | None] = {}
    waiting = 0
    for axle in AXLES:
        try:
            problem = task(full, axle)
        except Needs:
            continue
        known = searches.find(problem, listed.key)
        count = set_count(problem, listed.goods)
        if known is None and at_once and count > AT_ONCE:
            waiting += count
        elif known is None:
            for part in slices(problem, listed.goods):
                if isinstance(part, Choice):
                    known = part
                    searches.keep(part, problem, listed.key)
        found[axle] = known
    return found, waiting


def _search_button(sets: int) -> str:
    return (
        f"<p>There are {sets:,} sets to go through, too many to search after every change.</p>"
        '<p><button type="button" class="hb-button" data-long="choose" data-while="Stop the search">Search them</button></p>'
    )


def _with_errors(section: entries.Section, answer_: Said, errors: list[FieldError]) -> Said:
    """Tell in a section's heading that one of its fields cannot be read: its body may be closed."""
    names = set(section.names)
    wrong = sum(_belongs(error.field, section.number, names) for error in errors)
    if not wrong or (not answer_.answer and answer_.need.endswith("cannot be read")):
        return answer_
    told = "1 field cannot be read" if wrong == 1 else f"{wrong} fields cannot be read"
    return (
        Said(answer=answer_.answer, need=told, state=answer_.state, body=answer_.body)
        if not answer_.answer
        else Said(answer=f"{answer_.answer} ({told})", state=answer_.state, body=answer_.body)
    )


def _belongs(field: str, number: int, names: set[str]) -> bool:
    if field.startswith("case."):
        return number == 5
    if field.startswith(f"{entries.CHANGES}."):
        return number == 3
    if field.startswith("rank_"):
        return number == 6
    if f".{entries.PAIRS}" in field:
        return number == 4
    place = field.removesuffix(f".{sure.PLUS_MINUS}")
    return place in names or place.partition(".")[2] in names


def _fields(read: Rig, errors: list[FieldError], display: Display) -> dict[str, Any]:
    numbers = (key for key, item in keys().items() if isinstance(item.is_a, Quantity))
    stands = {key: sure.entry_of(read, key) for key in numbers}
    origins = {key: "" if entry is None else sure.origin_of(entry, key) for key, entry in stands.items()}
    return form.beside({**keys(), **entries.column_cells()}, errors, display, origins, sure.words(read))


def _edit(before: Rig, after: Rig) -> str:
    """Name the one value that was changed, so that a number typed figure by figure is undone at once."""

    def parts(rig: Rig, name: str) -> tuple[Entry | Unread | None, ...]:
        return rig.values.get(name), rig.unread.get(name), rig.unread.get(f"{name}.{sure.PLUS_MINUS}")

    unread = (name.removesuffix(f".{sure.PLUS_MINUS}") for name in (*before.unread, *after.unread))
    names = {*before.values, *after.values, *unread}
    changed = [name for name in names if parts(before, name) != parts(after, name)]
    same = replace(before, values={}, doubts={}, unread={}) == replace(after, values={}, doubts={}, unread={})
    return changed[0] if len(changed) == 1 and same else ""
