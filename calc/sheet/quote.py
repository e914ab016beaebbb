"""The quote page: what a shop wrote and a scale slip says goes in, an answer line by line and questions come out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from html import escape
from typing import Any

from calc.errors import FieldError
from calc.quantity import SHOP, Declared, Display
from calc.quote.entries import Quote
from calc.quote.file import contradictions, example, keys, quote_from, read_quote, write_quote
from calc.quote.lines import assumed, frequencies, judge, questions, tally, verdict_words
from calc.quote.printing import Line
from calc.sheet import form, markup
from calc.vocabulary import AXLES

MOST_ENTRIES = 15
FILE = "quote.json"
_SLIP = {"front.axle_mass": "Front axle", "rear.axle_mass": "Rear axle", "rear.axle_mass_full": "Rear axle, full"}
_QUOTED = ("tender_rate", "main_rate", "main_free_length", "damper_stroke", "preload", "shaft_showing")
_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_STATES = {"holds": "holds", "depends": "not checked", "fails": "fails"}


@lru_cache(maxsize=1)
def declared() -> Mapping[str, Declared]:
    """Return the declaration of every entry of the page, by name. There are never more than fifteen."""
    found = {name: _called(keys()[name], label) for name, label in _SLIP.items()}
    for axle in AXLES:
        for name in _QUOTED:
            found[f"{axle}.{name}"] = keys()[f"{axle}.{name}"]
    return found


def _called(item: Declared, label: str) -> Declared:
    return Declared(name=item.name, is_a=item.quantity.called(label), optional=True)


def quote() -> str:
    """Return the page's form with the invented quote for Wren in it, and the answer to that quote."""
    values = example().values()
    texts = form.texts(declared(), values, SHOP)
    regions = answer(texts, frozenset(), SHOP)["regions"]
    return (
        '<div class="calc"><calc-form data-do="quote" data-clears-example><div class="hb-quote">'
        '<form aria-label="The quote" novalidate>'
        f'<div class="hb-sheet__head"><p data-region="whose">{regions["whose"]}</p>{markup.units_switch(SHOP)}</div>'
        f'<details class="hb-open" open><summary data-region="count">{regions["count"]}</summary>'
        f'<div class="hb-quoteform">{_form(texts)}</div></details>'
        f'<p class="hb-status" data-region="status" role="status"></p></form>{_keeping()}'
        '<h2 id="line-by-line">Line by line</h2>'
        f'<div data-region="results" aria-live="polite">{regions["results"]}</div>'
        f'<div data-region="findings">{regions["findings"]}</div>'
        '<h2 id="to-send-to-the-shop">To send to the shop</h2>'
        f'<div data-region="questions">{regions["questions"]}</div>'
        '<p class="hb-note" role="status" data-copied></p>'
        '<p class="hb-note">Nothing you type leaves this device.</p>'
        "</div></calc-form></div>"
    )


def _form(texts: Mapping[str, str]) -> str:
    groups = [("From the scale slip", tuple(_SLIP))]
    groups += [(f"From the quote, {axle}", tuple(f"{axle}.{name}" for name in _QUOTED)) for axle in AXLES]
    fields = "".join(
        markup.group(legend, "".join(_field(name, texts.get(name, "")) for name in names)) for legend, names in groups
    )
    return (
        f'{fields}<p class="hb-note">Without a tender, leave its rate out. '
        "Preload counts from springs just seated, the damper hanging free. "
        "Shaft showing counts from fully collapsed. Where the quote promises a rise, take what shows now, add the rise along "
        "the damper and the old damper’s collapsed length, and subtract the new damper’s collapsed length. "
        "A set with a helper spring on top has no entry here: python3 -m calc quote judges it from a file.</p>"
        '<p class="hb-again"><button type="reset" class="hb-more">Show Wren’s quote again</button></p>'
    )


def _keeping() -> str:
    """Return what keeps the entries, hidden until the page's script can do it."""
    return (
        '<div class="hb-kept" data-quote-kept hidden>'
        '<p class="hb-kept__does"><button type="button" class="hb-more" data-quote-do="save">Save to a file</button>'
        '<button type="button" class="hb-more" data-quote-do="open">Open a file</button> '
        '<span class="hb-note" data-region="kept"></span></p>'
        '<input type="file" accept=".json,application/json" aria-label="Quote file" hidden>'
        '<div class="hb-kept__question" data-kept-question role="group" aria-label="Question" hidden><p></p>'
        '<button type="button" class="hb-more" data-quote-do="yes"></button>'
        '<button type="button" class="hb-more" data-quote-do="no"></button></div>'
        '<p class="hb-status" data-region="kept-said" role="status"></p></div>'
    )


def _field(name: str, text: str) -> str:
    item = declared()[name]
    axle = "" if name in _SLIP else f'<span class="hb-sr">{name.partition(".")[0].capitalize()} </span>'
    label = f"{axle}{escape(item.is_a.label)}"
    return form.field(item, text, SHOP, prefix="quote", name=name, label=label, fixed_unit=True)


# --- the live answer -------------------------------------------------------------------------------------------------


def answer(
    fields: Mapping[str, str], typed: frozenset[str], display: Display, *, file: Any = None, action: Any = None
) -> dict[str, Any]:
    """Return what the page shows for these entries: messages beside them, and the regions' HTML.

    With `file`, a quote file's text, only what stands in it, as texts for the fields. Raises what `read_quote` raises.
    With `action` "save" also the quote file of what can be read.
    Never raises for what a reader typed: an entry that cannot be used leaves the lines that need it waiting.
    """
    if isinstance(file, str):
        return _opened(read_quote(file), display)
    entered, errors = _read(fields, display)
    unclear = frozenset(error.field for error in errors)
    lines = judge(entered, display, unclear)
    filled = sum(1 for name in declared() if fields.get(name, "").strip())
    saved = (
        {"save": {"name": FILE, "kind": "application/json", "text": write_quote(entered)}} if action == "save" else {}
    )
    return {
        **saved,
        "fields": form.beside(declared(), errors, display),
        "regions": {
            "whose": _whose(typed),
            "count": f"{filled or 'No'} {'entry' if filled == 1 else 'entries'}",
            "results": _tally(lines),
            "findings": _lines(entered, lines, display, unclear),
            "questions": _questions(lines),
            "status": "",
        },
        "problem": _not_saved(len(errors)) if saved and errors else None,
    }


def _not_saved(count: int) -> str:
    told = "1 entry is" if count == 1 else f"{count} entries are"
    return f"{told} not in the file, because what was typed cannot be used."


def _opened(quote: Quote, display: Display) -> dict[str, Any]:
    values = quote.values()
    others = [item.quantity.label.lower() for name, item in keys().items() if name in values and name not in declared()]
    note = (
        f"This page has no entry for what the file says of {', '.join(dict.fromkeys(others))}: "
        "python3 -m calc quote uses it."
        if others
        else ""
    )
    return {"values": form.texts(declared(), values, display), "note": note, "problem": None}


def _read(fields: Mapping[str, str], display: Display) -> tuple[Quote, list[FieldError]]:
    read = form.read(declared(), fields, display)
    values = {name: value for name, value in read.values.items() if value is not None}
    wrong = contradictions(quote_from(values))
    for contradiction in wrong:
        values.pop(contradiction.field, None)
    return quote_from(values), read.errors + wrong


def _whose(typed: frozenset[str]) -> str:
    if typed:
        return "Your quote"
    return '<span class="hb-origin hb-origin--example">example</span> A quote for Wren, invented'


def _tally(lines: Sequence[Line]) -> str:
    if not lines:
        return ""
    items = "".join(f"<li><b>{count}</b> {word}</li>" for count, word in tally(lines))
    return f'<ul class="hb-tally">{items}</ul>'


def _lines(entered: Quote, lines: Sequence[Line], display: Display, unclear: frozenset[str]) -> str:
    if not lines:
        return (
            "<p>Nothing is entered yet. Type the axle weights, and the main rate and the damper stroke of each axle: "
            "the lines come as you type.</p>"
        )
    silent = [axle for axle in AXLES if not any(line.axle == axle for line in lines)]
    notes = [f"{axle.capitalize()}: nothing is entered yet." for axle in silent]
    notes += [text for text in (frequencies(entered, display, unclear), assumed(entered, display)) if text]
    told = "".join(f'<p class="hb-note">{escape(text)}</p>' for text in notes)
    return (
        '<p class="hb-note">What the quote does not say was tried over its whole range, listed below the lines.</p>'
        f'<div class="hb-lines">{"".join(_line(line) for line in lines)}</div>{told}'
    )


def _line(line: Line) -> str:
    verdict = escape(verdict_words(line))
    if line.state == "fails":
        verdict = verdict.replace("Fails", '<span class="hb-word hb-word--fails">Fails</span>', 1)
    asks = line.question and f'<p class="askit"><strong>Ask the shop:</strong> {escape(line.question)}</p>'
    return (
        f'<section><h3>{escape(line.title)}</h3><p class="verdict">{markup.mark(_STATES[line.state])}'
        f"<span>{verdict}</span></p><p>{escape(line.text)}</p>{asks}</section>"
    )


def _questions(lines: Sequence[Line]) -> str:
    asked = questions(lines)
    if not asked:
        return f"<p>{'Every line is settled: there is nothing to ask.' if lines else 'No questions yet.'}</p>"
    items = "".join(f"<li>{escape(item)}</li>" for item in asked)
    text = "\n".join(f"{number}. {item}" for number, item in enumerate(asked, 1))
    count = _COUNTS[len(asked)] if len(asked) < len(_COUNTS) else str(len(asked))
    label = "Copy the question" if len(asked) == 1 else f"Copy the {count} questions"
    return (
        f'<ol class="hb-questions">{items}</ol>'
        f'<p><button class="hb-button" type="button" data-copy="{escape(text)}">{label}</button></p>'
    )
