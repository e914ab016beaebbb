"""The sheet that is printed and ordered from: parts, settings beside their drawing, heights, findings, cautions."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from html import escape

import calc
from calc import vocabulary
from calc.answer.parts import NONE, Columns
from calc.answers.build_sheet import CAUTIONS, sheet_csv, sheet_data
from calc.answers.sets import short_name
from calc.drawing.build import build
from calc.order.axle_order import AxleOrder
from calc.order.build_sheet import fitting_facts, sheet_forces
from calc.order.findings import count
from calc.order.order import Order
from calc.order.recording import sheet_in_force
from calc.quantity import Display
from calc.rig import axle as axles
from calc.rig.entries import AXLES
from calc.rig.ordered import BuildSheet, Part
from calc.rig.part_words import rate_text
from calc.rig.rank_weights import changed_line
from calc.sheet import markup
from calc.sheet.answer import rows_table
from calc.sheet.rig import forecast
from calc.sheet.rig.motion import ratios
from calc.step import Finding, State
from calc.tables import price

_LENGTH = vocabulary.length
_MOST_ASSUMED = 12
_SIGNED = '<p class="hb-sign"><span>Set by</span><span>Checked by</span><span>Date</span></p>'
_STATES: tuple[State, ...] = ("fails", "close", "not checked", "holds")
_ORDER = {state: rank for rank, state in enumerate(_STATES)}


def estimate(made: Order) -> str:
    """Return the frame that heads everything which may not be ordered, or the line that stands in its place."""
    assumed = f"{count(len(made.assumed), 'value')} {'is' if len(made.assumed) == 1 else 'are'} assumed"
    unchecked = f"{count(made.unchecked, 'check')} {'was' if made.unchecked == 1 else 'were'} not made"
    following = f" Measure next: {escape(made.next)}." if made.next else ""
    if made.estimate:
        reasons = escape("; ".join(made.reasons))
        return (
            f'<p class="hb-estimate"><strong>Estimate: do not order.</strong> {reasons[:1].upper()}{reasons[1:]}. '
            f"{assumed}, {unchecked}.{following}</p>"
        )
    return f'<p class="hb-rests">{assumed}, {unchecked}.{following}</p>'


def sheet(made: Order, display: Display, prefix: str = "", date: str = "") -> str:
    """Return the whole sheet on its two pages; nothing while no axle has a set."""
    found = sheet_in_force(made, date, display)
    if found is None:
        return ""
    if found.ordered:
        return _ordered(found, display, prefix)
    weighed = f"Weighed: {escape(found.condition)}. " if found.condition else ""
    made_on = f"{escape(date)}, " if date else ""
    files = _FILES if not prefix else ""
    notes = "".join(_dropped(made, item, display) for item in made.axles)
    own = changed_line(made.rig.ranking())
    notes += f'<p class="hb-note">{escape(own)}</p>' if own else ""
    return (
        f'<section class="hb-order" aria-label="Build sheet"><div class="hb-order__head"><h2 id="{prefix}order">Build sheet: '
        f"{escape(found.rig)}</h2><p>{weighed}{made_on}handbook {calc.__version__}</p></div>{files}{estimate(made)}"
        f"{_parts(found, display)}{notes}{_bench(found, display, prefix)}{forecast.settings(found, display)}"
        f"{_dampers(found, display)}{ratios(found.damping, display)}"
        f'<div class="hb-order__second">{_second_head(found)}'
        f"{forecast.forecast(found, display)}{forecast.proving(found, display)}{_findings(made)}"
        f'<div class="hb-order__end">{_assumed(made, found.chances)}{_caution(*CAUTIONS[1:])}</div>{_SIGNED}</div></section>'
    )


_FILES = (
    '<p class="hb-order__files"><button type="button" class="hb-more" data-rig-do="save csv">Save as CSV</button>'
    '<button type="button" class="hb-more" data-rig-do="save json">Save as JSON</button></p>'
)


def _second_head(found: BuildSheet) -> str:
    """Return what heads the second page on paper, where the two may come apart."""
    what = f"Ordered on {found.ordered}" if found.ordered else "Estimate: do not order" if found.estimate else ""
    told = "".join(f"<span>{escape(one)}</span>" for one in (f"Build sheet: {found.rig}", what, "Page 2 of 2") if one)
    return f'<p class="hb-order__run">{told}</p>'


# --- what was ordered -------------------------------------------------------------------------------------------------------


def _ordered(found: BuildSheet, display: Display, prefix: str) -> str:
    """Return the sheet of an order: everything as it was that day, and what was changed since."""
    weighed = f"Weighed: {escape(found.condition)}. " if found.condition else ""
    since = "".join(f"<li>{escape(line)}</li>" for line in found.since)
    changed = (
        f"<p>Changed since on the rig page; parts and settings here are the ordered ones:</p><ul>{since}</ul>"
        if since
        else "<p>Nothing was changed since.</p>"
    )
    findings = markup.findings(
        Finding(rule="", state=next(one for one in _STATES if one == state), text=text)
        for state, text in found.not_holding
        if state in _STATES
    )
    sure = f"<p>How sure. {escape(' '.join(found.chances))}</p>" if found.chances else ""
    names = "; ".join(found.assumed[:_MOST_ASSUMED])
    more = f"; and {len(found.assumed) - _MOST_ASSUMED} more" if len(found.assumed) > _MOST_ASSUMED else ""
    assumed = f"<h3>Based on</h3><p>Assumed: {escape(names)}{more}.</p>" if names else ""
    return (
        f'<section class="hb-order" aria-label="Build sheet"><div class="hb-order__head"><h2 id="{prefix}order">Build sheet: '
        f"{escape(found.rig)}</h2><p>{weighed}Ordered on {found.ordered}, handbook {escape(found.handbook)}</p></div>{_FILES}"
        f"{changed}{_parts(found, display)}{_bench(found, display, prefix)}"
        f"{forecast.settings(found, display)}{_dampers(found, display)}{ratios(found.damping, display)}"
        f'<div class="hb-order__second">{_second_head(found)}'
        f"{forecast.forecast(found, display)}{forecast.proving(found, display)}"
        f'<h3>Checked when it was ordered</h3>{findings}<div class="hb-order__end"><div>{assumed}{sure}</div>'
        f"{_caution(*CAUTIONS[1:])}</div>{_SIGNED}</div></section>"
    )


# --- both: everything from the build sheet alone ------------------------------------------------------------------------------


def _parts(found: BuildSheet, display: Display) -> str:
    by_name: dict[str, dict[str, Part]] = {}
    for part in found.parts:
        by_name.setdefault(part.what, {})[part.place] = part
    rows = []
    for what, places in by_name.items():
        cells = (_part(places[axle], display) if axle in places else NONE for axle in AXLES)
        pieces = " + ".join(str(places[axle].count) if axle in places else "0" for axle in AXLES)
        note = f" <small>{_WHERE[what]}</small>" if what in _WHERE else ""
        rows.append((f"{escape(what.capitalize())}{note}", *cells, pieces))
    total = (
        ""
        if found.total is None
        else f'<p class="hb-note">The springs together: {display.text(found.total, price)}.</p>'
    )
    heads = ("What", "Front, each side", "Rear, each side", "Pieces")
    return f"<h3>Parts</h3>{rows_table(heads, rows, labels=('Front', 'Rear', 'Pieces'))}{total}"


_WHERE = {"tender": "adjuster end", "damper": "stroke and extended length"}


def _part(part: Part, display: Display) -> str:
    sizes = [display.text(size, _LENGTH) for size in (part.stroke, part.length) if size is not None]
    if part.rate is None:
        return " and ".join(sizes) or "not given"
    cost = "" if part.price is None else f", {display.text(part.price, price)} each"
    rate = rate_text(part.rate, display)
    return f"<span><b>{rate}</b> {' '.join(sizes)} <small>{escape(part.part)}{cost}</small></span>"


def _bench(found: BuildSheet, display: Display, prefix: str) -> str:
    figures, turns = [], []
    for axle in AXLES:
        sides = [one for one in found.settings if one.corner.endswith(axle)]
        if not sides:
            continue
        alike = sides[0].preload == sides[1].preload
        springs = {part.what: part for part in found.parts if part.place == axle and part.rate is not None}
        captions = {what: _caption(part, display) for what, part in springs.items()}
        preload, gap = display.text(sides[0].preload, _LENGTH), sides[0].ring_gap
        ring = None if gap is None else display.text(gap, _LENGTH)
        name = axle.capitalize() if alike else f"Left {axle}"
        drawn = build(
            key=f"{prefix}{axle}",
            title=f"{name} coil-over, hanging free",
            description=f"Preload {preload}" + ("" if ring is None else f", ring gap {ring}") + ".",
            preload=preload,
            ring_gap=ring,
            tender=captions.get("tender"),
            main=captions["main"],
            helper=captions.get("helper"),
        )
        figures.append(f'<figure class="hb-fig"><figcaption>{name}</figcaption>{drawn}</figure>')
        turns += [
            f"<strong>{one.preload_turns:.1f} turns</strong> ({axle if alike else one.corner.replace('_', ' ')})"
            for one in (sides[:1] if alike else sides)
        ]
    steps = (
        "Run the adjuster down until the springs just stop rattling.",
        f"Then screw down {', '.join(turns)} for the preload.",
        "Set the ring to its gap, measured twice; lock it with the jam nut.",
        "Mark adjuster and ring with paint.",
    )
    return (
        '<h3>Set on the bench, damper hanging free</h3><div class="hb-bench">'
        f"{''.join(figures)}<div><ol>{''.join(f'<li>{step}</li>' for step in steps)}</ol>"
        "<p>Preload first, then the ring: each turn of the adjuster moves the gap. "
        f"Past the crossover only the ring changes ride height.</p>{_caution(CAUTIONS[0])}</div></div>"
    )


def _caption(part: Part, display: Display) -> str:
    return f"{rate_text(part.rate or 0.0, display)}, {display.text(part.length or 0.0, _LENGTH)}"


def _dampers(found: BuildSheet, display: Display) -> str:
    """Return what each axle is fitted and filled with, and what its dampers are asked for."""
    rows = []
    axles = tuple((one.axle, fitting_facts(one)) for one in found.fittings)
    if axles:
        told = Columns(title="", columns=axles).rows(display, keep="not given")
        for what, cells in forecast.joined(told, _TOGETHER):
            rows.append(_row(what, dict(zip((axle for axle, _ in axles), cells, strict=True))))
    for regime, forces in sheet_forces(found):
        by_speed: dict[float, dict[str, str]] = {}
        for axle, speed, compression, rebound in forces:
            both = f"{display.number(compression, vocabulary.force)} / {display.text(rebound, vocabulary.force)}"
            by_speed.setdefault(speed, {})[axle] = both
        for speed, by_axle in by_speed.items():
            at = display.text(speed, vocabulary.velocity, decimals=0 if display.system == "shop" else 3)
            rows.append(_row(f"Damping force at {at}, gas not included: compression / rebound, {regime}", by_axle))
    if not rows:
        return ""
    return rows_table(("Fitted, filled and asked of the dampers", "Front", "Rear"), rows)


_TOGETHER = (
    ("Tire pressure", "Gas charge, cold, fully extended"),
    ("Bump stop touches before collapsed", "Bump stop solid before collapsed"),
    ("Slope past the knee", "Knee speed"),
)


def _row(what: str, by_axle: Mapping[str, str]) -> list[str]:
    return [escape(text) for text in (what, *(by_axle.get(axle, NONE) for axle in AXLES))]


def saved(made: Order, display: Display, action: object, date: str) -> dict[str, str] | None:
    """Return the file that a button asks for: its name, its kind and its text; None for any other action."""
    found = sheet_in_force(made, date, display) if action in ("save csv", "save json") else None
    if found is None:
        return None
    name = re.sub(r"[^a-z0-9]+", "-", found.rig.lower()).strip("-") or "rig"
    if action == "save csv":
        # A spreadsheet takes it for what it is only with the mark of its encoding.
        return {"name": f"{name}-build-sheet.csv", "kind": "text/csv", "text": f"\ufeff{sheet_csv(found, display)}"}
    text = json.dumps(sheet_data(found), sort_keys=True, ensure_ascii=False, allow_nan=False, indent=2)
    return {"name": f"{name}-build-sheet.json", "kind": "application/json", "text": text}


def _dropped(made: Order, item: AxleOrder, display: Display) -> str:
    """Say which ranked sets the whole rig contradicts, the first with its reason; nothing where all of them stand."""
    if item.resolved is None or not item.resolved.dropped:
        return ""
    one, wrong = item.resolved.dropped[0]
    name = short_name(one, made.springs, display)
    text = f"{item.axle.capitalize()}: {item.resolved.said(display)} Of {name}: {wrong[0].text(display)}"
    return f'<p class="hb-note">{escape(text)}</p>'


def _findings(made: Order) -> str:
    """Return what does not plainly hold, once where front and rear say the same, and how much does."""
    every = made.findings()
    places: dict[tuple[int, str], list[str]] = {}
    for finding in made.of_rig():
        if finding.state != "holds":
            places.setdefault((_ORDER[finding.state], finding.text), [])
    for item in made.axles:
        for finding in item.findings:
            if finding.state != "holds":
                places.setdefault((_ORDER[finding.state], finding.text), []).append(item.axle)
    told = []
    for (rank, text), axes in sorted(places.items(), key=lambda pair: pair[0][0]):
        where = f"{' and '.join(axes).capitalize()}: {text[:1].lower()}{text[1:]}" if axes else text
        told.append(Finding(rule="", state=_STATES[rank], text=where))
    held = sum(finding.state == "holds" for finding in every)
    head = f"<h3>Checked</h3><p>{count(held, 'check')} {'holds' if held == 1 else 'hold'}.</p>"
    return head + markup.findings(told)


def _assumed(made: Order, chances: Sequence[str]) -> str:
    sure = f"<p>How sure. {escape(' '.join(chances))}</p>" if chances else ""
    if not made.assumed and not made.examples:
        return f"<div>{sure}</div>"
    names = [axles.label(key) for key in made.assumed[:_MOST_ASSUMED]]
    more = f"; and {len(made.assumed) - _MOST_ASSUMED} more" if len(made.assumed) > _MOST_ASSUMED else ""
    examples = f"{count(made.examples, 'value')} of an example. " if made.examples else ""
    assumed = f"Assumed: {escape('; '.join(names))}{more}." if names else ""
    return f"<div><h3>Based on</h3><p>{examples}{assumed}</p>{sure}</div>"


def _caution(*sentences: str) -> str:
    told = "".join(
        f"<p>{'<strong>Caution</strong>' if not place else ''}{text}</p>" for place, text in enumerate(sentences)
    )
    return f'<div class="hb-caution">{told}</div>'
