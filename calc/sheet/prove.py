"""The Prove page: what is measured on the built rig, in the order of the work, and what that says.

A request carries the rig as it is kept (`rig`), which of its measurements is open (`proof`, counted from 0; null is a new
one), `today`, the texts of the fields, and: `open` (show the latest measurement), or `action` ("new", "show 1", "remove").
The answer carries the rig to keep with the measurement in it, and `proof`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from html import escape
from typing import Any

from calc.answers.prove import proving_data
from calc.answers.prove_tables import height_table, tables
from calc.errors import DataError, FieldError
from calc.order.order import order
from calc.prove.findings import basis_line, findings
from calc.prove.prove import ADDED, PADS, Proving, prove
from calc.prove.trim import turn_texts
from calc.quantity import SHOP, Display
from calc.rig import axle as axles
from calc.rig.file import rig_to_data, wren
from calc.rig.kept import kept_rig
from calc.rig.readings import (
    MOST_PROOFS,
    READING_DOUBT,
    Proof,
    check_date,
    read_measurements,
)
from calc.rig.rig import Rig
from calc.sheet import form, markup
from calc.sheet.answer import table as markup_table
from calc.sheet.prove_form import (
    PARTS,
    Part,
    case_choice,
    declared,
    entries_of,
    label_of,
    part_of,
    read,
    texts_of,
    untouched,
)
from calc.sheet.prove_history import history
from calc.sheet.prove_paper import measuring_sheet
from calc.sheet.rig import lists
from calc.sheet.rig.own_list import Listing
from calc.sheet.rig.page import made_choices
from calc.step import Finding
from calc.tables import DATA, Springs

# --- the page that is built ---------------------------------------------------------------------------------------------


def _part(part: Part) -> str:
    opened = " open" if part.number == 2 else ""
    return (
        f'<section aria-labelledby="p{part.number}"><details class="hb-part"{opened}><summary>'
        f'<h2 id="p{part.number}"><span class="no">{part.number}</span><span class="name">{part.name}</span>'
        f'<span class="hb-part__said" data-region="head-{part.number}" aria-live="polite">{_head("", "nothing entered", "")}'
        f'</span></h2></summary><div class="body">{entries_of(part)}</div></details></section>'
    )


def _head(answer_: str, need: str, state: str) -> str:
    told = f'<span class="ans">{escape(answer_)}</span>' if answer_ else f'<span class="need">{escape(need)}</span>'
    mark = f"{markup.mark(state)}{markup.word(state)}" if state else ""
    return f'{told}<span class="state">{mark}</span>'


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
    texts = texts_of(base, display) if shows else typed_texts
    proof, errors = read(base, texts, display)
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
    unread = (form.unread(error, texts.get(error.field, ""), label_of(error.field)) for error in errors)
    told = [item for item in unread if item is not None]
    told += () if found is None else findings(found, display)
    regions = {
        "whose": _whose(rig),
        "kept": "" if rig is None else _kept(rig, opened),
        "case": case_choice(rig, proof),
        "results": _results(found, display) if rig is not None else "",
        "findings": markup.findings(told),
        "history": "" if rig is None else history(rig, rig.proofs, display),
        "end": _end(measured=found is not None and found.measured),
        "sheet": "" if found is not None and found.measured else measuring_sheet(found, display),
    }
    for part in PARTS:
        regions[f"head-{part.number}"] = _said(part, proof, found, told, errors)
    origins = {READING_DOUBT: "assumed" if proof.reading_doubt is None else "measured"}
    answer_: dict[str, Any] = {
        "rig": None if rig is None else rig_to_data(rig),
        "proof": opened,
        "fields": form.beside(declared(), errors, display, origins),
        "values": texts_of(proof, display) if shows else untouched(proof, typed_texts, typed, display),
        "regions": regions,
        "problem": problem or listed.problem or None,
        "data": None if found is None else proving_data(found),
    }
    if listed.wanted:
        answer_["want_list"] = True
    return answer_


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
    wrong = sum(part_of(error.field) == part.number for error in errors)
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
