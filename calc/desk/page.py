"""Fills the Markdown of a page with what the package computes.

The page of a step, `steps/NAME.md`, begins with its content: title, place in the job and question are put above it.

A fenced block whose first line is three backticks and `calc WHAT [NAME]` is replaced by what that directive renders:

    drawing, sheet, equation, working, practice                          of the page's own step, or of the one named behind
    home, wren, rig, quote, prove                                        the calculators of those pages
    steps, practice                                                      the lists of all steps
    nomenclature, terms, functions, bibliography, validation, licences   the generated reference

Double braces with a space inside print a number in both unit systems; the style sheet shows one:

    {{ stack.stack_rate }}          an input or a result of a step's example
    {{ 2.5 in }}                    a literal quantity
    {{ 300 lb mass }}               a literal whose unit belongs to several kinds of quantity, so the kind is named
    {{ 12 of 18 | 305 of 457 }}     a wording for each unit system

and others print what stands elsewhere:

    {{ caution driving }}                             a caution of `calc.cautions`
    {{ source olley: rear frequency above front }}    a source of `data/sources.toml`, and where in it
    {{ calc.ride.roll.USUAL_ON_ROADS }}               a number or a text that a module declares
    {{ calc.whole.sides.SIDE_LIMIT % share }}         an SI value that a module declares, as if the page had it in this unit

An unknown name breaks the build, with the page and the name.
"""

from __future__ import annotations

import hashlib
import html
import importlib
import pkgutil
import re
from collections.abc import Callable

from calc import tables, units
from calc.cautions import CAUTIONS
from calc.desk.measuring import draw
from calc.desk.two_systems import VALUE, in_both_systems, kind_and_unit
from calc.errors import HandbookError
from calc.sheet.rig.sections import SECTIONS
from calc.sheet.step_working import sources_text
from calc.step import Source, Step, find, step_names

FENCE = re.compile(r"^```calc(?P<words>[^\n`]*)\n(?P<body>.*?)^```[ \t]*$", re.M | re.S)
OTHER_FENCE = re.compile(r"^(?P<ticks>`{3,}|~{3,}).*?^(?P=ticks)[ \t]*$", re.M | re.S)
OF_STEP = re.compile(r"steps/(?P<name>\w+)\.md")


class PageError(HandbookError):
    """A page asks for something that the package does not have."""


def _of_step(name: str) -> Callable[[str], str]:
    def render(step: str) -> str:
        from calc import sheet

        return str(getattr(sheet, name)(step))

    return render


def _whole(module: str, function: str) -> Callable[[], str]:
    def render() -> str:
        return str(getattr(importlib.import_module(module), function)())

    return render


WITH_NAME: dict[str, Callable[[str], str]] = {
    **{name: _of_step(name) for name in ("sheet", "equation", "working", "practice")},
    "drawing": draw,
}
ALONE: dict[str, Callable[[], str]] = {
    "home": _whole("calc.sheet", "home"),
    "wren": _whole("calc.sheet.home", "wren_answer"),
    "rig": _whole("calc.sheet.rig", "rig"),
    "quote": _whole("calc.sheet", "quote"),
    "prove": _whole("calc.sheet.prove", "prove_page"),
    "steps": _whole("calc.desk.reference", "steps"),
    "practice": _whole("calc.desk.reference", "practice"),
    "nomenclature": _whole("calc.desk.reference", "nomenclature"),
    "terms": _whole("calc.desk.reference", "terms"),
    "functions": _whole("calc.desk.reference", "functions"),
    "bibliography": _whole("calc.desk.reference", "bibliography"),
    "validation": _whole("calc.desk.validation.page", "validation"),
    "licences": _whole("calc.desk.licences", "page"),
}


def render(words: str, step: Step | None = None) -> str:
    """Return the HTML of one directive on the page of a step or another, inside a block that Markdown leaves alone.

    Raises PageError when there is no such directive, and whatever the package raises for an unknown step.
    """
    what, *names = words.split() or [""]
    if step and what in WITH_NAME and not names:
        names = [step.name]
    if what in WITH_NAME and len(names) == 1:
        inner = WITH_NAME[what](names[0])
    elif what in ALONE and not names:
        inner = ALONE[what]()
    elif what in WITH_NAME:
        raise PageError(f"“{what}” needs exactly one name behind it.")
    elif what in ALONE:
        raise PageError(f"“{what}” is alone, without a name after it.")
    else:
        raise PageError(f"There is no directive “{what}”. There are: {', '.join(sorted({*WITH_NAME, *ALONE}))}.")
    return inner if inner.startswith('<div class="calc') else f'<div class="calc">{inner}</div>'


def expand(markdown: str, page: str) -> tuple[str, dict[str, str]]:
    """Return a page's Markdown with its values printed, and what stands for each directive in it.

    A directive leaves an empty block in the Markdown, filled by `fill` once Markdown has run: rendered forms are
    long, and nothing in them is Markdown's business. Raises PageError that names the page and what it asked for.

    >>> expand("A gap of {{ 2.5 in }}.", "steps/stack.md")[0].count("hb-metric")
    1
    """
    blocks: dict[str, str] = {}
    of_step = OF_STEP.fullmatch(page)
    step = find(of_step["name"]) if of_step and of_step["name"] in step_names() else None

    def directive(match: re.Match[str]) -> str:
        words = match["words"].strip()
        try:
            if match["body"].strip():
                raise PageError("A directive's block is empty: what it needs is on its first line.")
            filled = render(words, step)
        except HandbookError as error:
            raise PageError(f"{page}: calc {words}: {error}") from error
        key = hashlib.sha256(f"{page} {words} {len(blocks)}".encode()).hexdigest()[:16]
        blocks[key] = filled
        return f'<div class="calc-{key}"></div>'

    def value(match: re.Match[str]) -> str:
        try:
            for form, printed in FORMS.items():
                if said := form.fullmatch(match["inside"]):
                    return printed(**said.groupdict())
            return in_both_systems(match["inside"])
        except HandbookError as error:
            raise PageError(f"{page}: {match[0]}: {error}") from error

    parts: list[str] = []
    text = (_head(step) if step else "") + FENCE.sub(directive, markdown)
    last = 0
    for fence in OTHER_FENCE.finditer(text):
        parts += [VALUE.sub(value, text[last : fence.start()]), fence[0]]
        last = fence.end()
    parts.append(VALUE.sub(value, text[last:]))
    return "".join(parts), blocks


def _head(step: Step) -> str:
    section = SECTIONS[int(re.sub(r"\D", "", step.job)) - 1]
    return (
        f'# {step.title}\n\n<p class="hb-place">{section.name}, step {section.number} of {len(SECTIONS)}</p>\n\n'
        f'<p class="hb-ask">{html.escape(step.question, quote=False)}</p>\n\n'
    )


def fill(content: str, blocks: dict[str, str], page: str) -> str:
    """Return a page's HTML with its directives in place. Raises PageError when Markdown lost one of them."""
    for key, block in blocks.items():
        place = f'<div class="calc-{key}"></div>'
        if content.count(place) != 1:
            raise PageError(f"{page}: a directive is where Markdown does not keep it; begin it in the first column.")
        content = content.replace(place, block)
    return content


def _caution(name: str) -> str:
    if name not in CAUTIONS:
        raise PageError(f"There is no caution “{name}”. There are: {', '.join(sorted(CAUTIONS))}.")
    return html.escape(CAUTIONS[name], quote=False)


def _source(key: str, where: str | None) -> str:
    known = tables.sources().get(key)
    if known is None:
        raise PageError(f"There is no source “{key}” in data/sources.toml.")
    # What was chosen or worked out here has no author: it is told by its place alone.
    ours = known.flag in ("ours", "derivation")
    place = where or ("a choice of this handbook" if ours else "")
    source = Source(key=key, where=place, flag="derivation" if ours else known.flag)  # type: ignore[arg-type]
    return f'<span class="hb-note">{sources_text((source,))}</span>'


def _declared(path: str, unit: str | None) -> str:
    try:
        value = pkgutil.resolve_name(path)
    except (ImportError, AttributeError):
        raise PageError(f"There is no {path}.") from None
    if isinstance(value, str):
        return html.escape(value, quote=False)
    return in_both_systems(f"{units.from_si(value, kind_and_unit(unit)[1]):.6g} {unit}") if unit else f"{value:,g}"


FORMS: dict[re.Pattern[str], Callable[..., str]] = {
    re.compile(r"caution (?P<name>\w+)"): _caution,
    re.compile(r"source (?P<key>\w+)(?:: (?P<where>.+))?"): _source,
    re.compile(r"(?P<path>calc(?:\.\w+)+)(?: (?P<unit>.+))?"): _declared,
}
