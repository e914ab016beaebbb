"""The sheet that is printed and ordered from: parts, settings beside their drawing, heights, findings, cautions."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from html import escape

import calc
from calc import vocabulary
from calc.drawing.build import build
from calc.job import axle as axles
from calc.job.axle_order import (
    DAMPER_SPEEDS,
    REBOUND_RATIO,
    AxleOrder,
    DampingAnswer,
    settings,
    side_settings,
)
from calc.job.build_sheet import CAUTIONS, sheet_csv, sheet_data
from calc.job.doubt import order_line
from calc.job.order import Order
from calc.job.order_findings import count
from calc.job.ordered import BuildSheet, Part
from calc.job.rank_weights import changed_line
from calc.job.recording import sheet_in_force
from calc.job.rig import AXLES
from calc.quantity import Display
from calc.sheet import markup
from calc.sheet.rig import forecast
from calc.sheet.rig.springs import short_name
from calc.step import Finding, State
from calc.tables import Springs, price

_LENGTH, _RATE = vocabulary.length, vocabulary.spring_rate
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
    files = (
        '<p class="hb-order__files"><button type="button" class="hb-more" data-rig-do="save csv">Save as CSV</button>'
        '<button type="button" class="hb-more" data-rig-do="save json">Save as JSON</button></p>'
        if not prefix
        else ""
    )
    return (
        f'<section class="hb-order" aria-label="Build sheet"><div class="hb-order__head"><h2 id="{prefix}order">Build sheet: '
        f"{escape(found.rig)}</h2><p>{weighed}{made_on}handbook {calc.__version__}</p></div>{files}{estimate(made)}"
        f"{_parts(made, found, display)}{_bench(made, display, prefix)}{forecast.settings(found, display)}"
        f'{_settings(made, display)}{_caution(CAUTIONS[0])}<div class="hb-order__second">'
        f"{forecast.forecast(found, display)}{forecast.proving(found, display)}{_findings(made)}"
        f'<div class="hb-order__end">{_assumed(made)}{_caution(*CAUTIONS[1:])}</div>{_SIGNED}</div></section>'
    )


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
    files = (
        '<p class="hb-order__files"><button type="button" class="hb-more" data-rig-do="save csv">Save as CSV</button>'
        '<button type="button" class="hb-more" data-rig-do="save json">Save as JSON</button></p>'
    )
    findings = markup.findings(
        Finding(rule="", state=next(one for one in _STATES if one == state), text=text)
        for state, text in found.not_holding
        if state in _STATES
    )
    sure = f"<p>How sure. {escape(' '.join(found.chances))}</p>" if found.chances else ""
    names = "; ".join(found.assumed[:_MOST_ASSUMED])
    more = f"; and {len(found.assumed) - _MOST_ASSUMED} more" if len(found.assumed) > _MOST_ASSUMED else ""
    assumed = f"<h3>Rests on</h3><p>Assumed: {escape(names)}{more}.</p>" if names else ""
    return (
        f'<section class="hb-order" aria-label="Build sheet"><div class="hb-order__head"><h2 id="{prefix}order">Build sheet: '
        f"{escape(found.rig)}</h2><p>{weighed}Ordered on {found.ordered}, handbook {escape(found.handbook)}</p></div>{files}"
        f"{changed}{_ordered_parts(found, display)}{_ordered_bench(found, display, prefix)}"
        f"{forecast.settings(found, display)}{_ordered_forces(found, display)}{_caution(CAUTIONS[0])}"
        f'<div class="hb-order__second">{forecast.forecast(found, display)}{forecast.proving(found, display)}'
        f'<h3>Checked when it was ordered</h3>{findings}<div class="hb-order__end"><div>{assumed}{sure}</div>'
        f"{_caution(*CAUTIONS[1:])}</div>{_SIGNED}</div></section>"
    )


def _ordered_parts(found: BuildSheet, display: Display) -> str:
    by_name: dict[str, dict[str, Part]] = {}
    for part in found.parts:
        by_name.setdefault(part.what, {})[part.place] = part
    rows = ""
    for what, places in by_name.items():
        cells = "".join(
            f'<td class="n" data-label="{axle.capitalize()}">'
            f"{_ordered_part(places[axle], display) if axle in places else '–'}</td>"
            for axle in AXLES
        )
        pieces = " + ".join(str(places[axle].count) if axle in places else "0" for axle in AXLES)
        rows += (
            f'<tr><th scope="row">{escape(what.capitalize())}</th>{cells}'
            f'<td class="n" data-label="Pieces">{pieces}</td></tr>'
        )
    total = (
        ""
        if found.total is None
        else f'<p class="hb-note">The springs together: {display.text(found.total, price)}.</p>'
    )
    return (
        '<h3>Parts</h3><table class="hb-table hb-table--fold"><thead><tr><th scope="col">What</th>'
        '<th scope="col" class="n">Front, each side</th><th scope="col" class="n">Rear, each side</th>'
        f'<th scope="col" class="n">Pieces</th></tr></thead><tbody>{rows}</tbody></table>{total}'
    )


def _ordered_part(part: Part, display: Display) -> str:
    sizes = [display.text(size, _LENGTH) for size in (part.length, part.stroke) if size is not None]
    if part.rate is None:
        return " and ".join(sizes) or "not given"
    cost = "" if part.price is None else f", {display.text(part.price, price)} each"
    rate = display.text(part.rate, _RATE, decimals=0)
    return f"<span><b>{rate}</b> {' '.join(sizes)} <small>{escape(part.part)}{cost}</small></span>"


def _ordered_bench(found: BuildSheet, display: Display, prefix: str) -> str:
    figures, turns = [], []
    for axle in AXLES:
        sides = [one for one in found.settings if one.corner.endswith(axle)]
        springs = {part.what: part for part in found.parts if part.place == axle and part.rate is not None}
        captions = {what: _ordered_caption(part, display) for what, part in springs.items()}
        preload, gap = display.text(sides[0].preload, _LENGTH), sides[0].ring_gap
        ring = None if gap is None else display.text(gap, _LENGTH)
        drawn = build(
            key=f"{prefix}{axle}",
            title=f"Left {axle} coil-over, hanging free",
            description=f"Preload {preload}" + ("" if ring is None else f", ring gap {ring}") + ".",
            preload=preload,
            ring_gap=ring,
            tender=captions.get("tender"),
            main=captions["main"],
            helper=captions.get("helper"),
        )
        figures.append(f'<figure class="hb-fig"><figcaption>Left {axle}</figcaption>{drawn}</figure>')
        turns += [f"<strong>{one.preload_turns:.1f} turns</strong> {one.corner.replace('_', ' ')}" for one in sides]
    return _bench_steps(figures, turns)


def _ordered_caption(part: Part, display: Display) -> str:
    rate = display.text(part.rate or 0.0, _RATE, decimals=0)
    return f"{rate}, {display.text(part.length or 0.0, _LENGTH)}"


def _ordered_forces(found: BuildSheet, display: Display) -> str:
    rows = ""
    for axle, speed, compression, rebound in found.forces:
        at = display.text(speed, vocabulary.velocity, decimals=0 if display.system == "shop" else 3)
        cell = f"{display.number(compression, vocabulary.force)} and {display.text(rebound, vocabulary.force)}"
        rows += (
            f'<tr><th scope="row">{escape(axle.capitalize())}: damping part at {at}, compression and rebound</th>'
            f'<td class="n" data-label="Force">{cell}</td></tr>'
        )
    return (
        '<table class="hb-table hb-table--fold"><thead><tr><th scope="col">Damper</th>'
        f'<th scope="col" class="n">Force</th></tr></thead><tbody>{rows}</tbody></table>'
        if rows
        else ""
    )


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


def _two(made: Order, label: str, cell: Callable[[AxleOrder], str], pieces: str = "", small: str = "") -> str:
    note = f" <small>{small}</small>" if small else ""
    cells = "".join(
        f'<td class="n" data-label="{item.axle.capitalize()}">{cell(item) if item.chosen is not None else "–"}</td>'
        for item in made.axles
    )
    last = f'<td class="n" data-label="Pieces">{pieces}</td>'
    return f'<tr><th scope="row">{label}{note}</th>{cells}{last}</tr>'


def _parts(made: Order, found: BuildSheet, display: Display) -> str:
    springs = made.springs

    def damper_size(item: AxleOrder) -> str:
        return f"{_known(made, item, 'damper_stroke', display)} and {_known(made, item, 'damper_extended', display)}"

    def length(name: str) -> Callable[[AxleOrder], str]:
        return lambda item: _known(made, item, name, display)

    helped = [item.chosen is not None and item.chosen.helper is not None for item in made.axles]
    top = _two(
        made, "Helper", lambda item: _helper(item, springs, display), " + ".join("2" if one else "0" for one in helped)
    )
    rows = [
        *([top] if any(helped) else []),
        _two(made, "Tender", lambda item: _spring(item, springs, display, tender=True), "2 + 2", "next to the body"),
        _two(made, "Main", lambda item: _spring(item, springs, display, tender=False), "2 + 2"),
        _two(made, "Damper, stroke and extended length", damper_size, "2 + 2"),
        _two(made, "Divider", length("divider_thickness"), str(4 + 2 * sum(helped))),
        _two(made, "Ring with its jam nut", length("ring_thickness"), "4"),
    ]
    dropped = "".join(_dropped(made, item, display) for item in made.axles)
    own = changed_line(made.rig.ranking())
    dropped += f'<p class="hb-note">{escape(own)}</p>' if own else ""
    if found.total is not None:
        dropped = f'<p class="hb-note">The springs together: {display.text(found.total, price)}.</p>{dropped}'
    return (
        '<h3>Parts</h3><table class="hb-table hb-table--fold"><thead><tr><th scope="col">What</th>'
        '<th scope="col" class="n">Front, each side</th><th scope="col" class="n">Rear, each side</th>'
        f'<th scope="col" class="n">Pieces</th></tr></thead><tbody>{"".join(rows)}</tbody></table>{dropped}'
    )


def _dropped(made: Order, item: AxleOrder, display: Display) -> str:
    """Say which ranked sets the whole rig contradicts, the first with its reason; nothing where all of them stand."""
    if item.resolved is None or not item.resolved.dropped:
        return ""
    one, wrong = item.resolved.dropped[0]
    name = short_name(one, made.springs, display)
    text = f"{item.axle.capitalize()}: {item.resolved.said(display)} Of {name}: {wrong[0].text(display)}"
    return f'<p class="hb-note">{escape(text)}</p>'


def _known(made: Order, item: AxleOrder, name: str, display: Display) -> str:
    value = made.rig.get(f"{item.axle}.{name}")
    return "not given" if value is None else display.text(value, _LENGTH)


def _spring(item: AxleOrder, springs: Springs, display: Display, *, tender: bool) -> str:
    index = None if item.chosen is None else item.chosen.tender if tender else item.chosen.main
    return _part(index, springs, display)


def _helper(item: AxleOrder, springs: Springs, display: Display) -> str:
    return _part(None if item.chosen is None else item.chosen.helper, springs, display)


def _part(index: int | None, springs: Springs, display: Display) -> str:
    if index is None:
        return "none"
    rate = display.text(float(springs.rate[index]), _RATE, decimals=0)
    length = display.text(float(springs.free_length[index]), _LENGTH)
    cost = f", {display.text(float(springs.price[index]), price)} each" if springs.known["price"][index] else ""
    return f"<span><b>{rate}</b> {length} <small>{escape(springs.part[index])}{cost}</small></span>"


def _bench(made: Order, display: Display, prefix: str) -> str:
    figures, turns = [], []
    for item in made.axles:
        values = settings(item)
        preload = values.get("preload")
        if item.chosen is None or preload is None:
            continue
        gap = values.get("ring_gap")
        drawn = build(
            key=f"{prefix}{item.axle}",
            title=f"{item.axle.capitalize()} coil-over, hanging free",
            description=f"Preload {display.text(preload, _LENGTH)}"
            + ("" if gap is None else f", ring gap {display.text(gap, _LENGTH)}")
            + ".",
            preload=display.text(preload, _LENGTH),
            ring_gap=None if gap is None else display.text(gap, _LENGTH),
            tender=None if item.chosen.tender is None else _caption(made.springs, item.chosen.tender, display),
            main=_caption(made.springs, item.chosen.main, display),
            helper=None if item.chosen.helper is None else _caption(made.springs, item.chosen.helper, display),
        )
        figures.append(f'<figure class="hb-fig"><figcaption>{item.axle.capitalize()}</figcaption>{drawn}</figure>')
        turns.append(_turns(item, values["preload_turns"] or 0.0))
    return _bench_steps(figures, turns)


def _bench_steps(figures: list[str], turns: list[str]) -> str:
    steps = (
        "Run the adjuster down until the springs just stop rattling.",
        f"Turn on for the preload: {', '.join(turns)}.",
        "Set the ring to its gap, measured twice; lock it with the jam nut.",
        "Mark adjuster and ring with paint.",
    )
    return (
        '<h3>Set on the bench, damper hanging free</h3><div class="hb-bench">'
        f"{''.join(figures)}<div><ol>{''.join(f'<li>{step}</li>' for step in steps)}</ol>"
        "<p>Preload first, then the ring: each turn of the adjuster moves the gap. "
        "Past the crossover only the ring changes ride height.</p></div></div>"
    )


def _turns(item: AxleOrder, both: float) -> str:
    apart = side_settings(item)
    if not apart:
        return f"<strong>{both:.1f} turns</strong> {item.axle}"
    return ", ".join(
        f"<strong>{values['preload_turns']:.1f} turns</strong> {side} {item.axle}" for side, values in apart.items()
    )


def _caption(springs: Springs, index: int, display: Display) -> str:
    rate = display.text(float(springs.rate[index]), _RATE, decimals=0)
    return f"{rate}, {display.text(float(springs.free_length[index]), _LENGTH)}"


def _settings(made: Order, display: Display) -> str:
    """Return what an axle's dampers are charged and asked for; the settings of each corner stand above."""

    def gas(item: AxleOrder) -> str:
        value = made.rig.get(f"{item.axle}.gas_pressure")
        return "not given" if value is None else display.text(value, vocabulary.gas_pressure)

    rows = [_row(made, "Gas charge, cold, fully extended", gas)]
    for index, speed in enumerate(DAMPER_SPEEDS):
        at = display.text(speed, vocabulary.velocity, decimals=0 if display.system == "shop" else 3)
        rows.append(_row(made, f"Damping part at {at}, compression and rebound", _force(index, display)))
    note = (
        f'<p class="hb-note">Damping before the crossover, rebound {REBOUND_RATIO:g} times compression (assumed).</p>'
    )
    return (
        '<table class="hb-table hb-table--fold"><thead><tr><th scope="col">Damper</th><th scope="col" class="n">Front</th>'
        f'<th scope="col" class="n">Rear</th></tr></thead><tbody>{"".join(rows)}</tbody></table>{note}'
    )


def _force(index: int, display: Display) -> Callable[[AxleOrder], str]:
    def cell(item: AxleOrder) -> str:
        answer: DampingAnswer | None = item.damping_before
        if answer is None:
            return "no wanted ratio"
        compression = display.number(answer.compression[index], vocabulary.force)
        return f"{compression} and {display.text(answer.rebound[index], vocabulary.force)}"

    return cell


def _row(made: Order, label: str, cell: Callable[[AxleOrder], str]) -> str:
    cells = "".join(
        f'<td class="n" data-label="{item.axle.capitalize()}">{cell(item) if item.chosen is not None else "–"}</td>'
        for item in made.axles
    )
    return f'<tr><th scope="row">{label}</th>{cells}</tr>'


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


def _assumed(made: Order) -> str:
    lines = " ".join(line for line in (order_line(made, item) for item in made.axles) if line)
    sure = f"<p>How sure. {escape(lines)}</p>" if lines else ""
    if not made.assumed and not made.examples:
        return f"<div>{sure}</div>"
    names = [axles.label(key) for key in made.assumed[:_MOST_ASSUMED]]
    more = f"; and {len(made.assumed) - _MOST_ASSUMED} more" if len(made.assumed) > _MOST_ASSUMED else ""
    examples = f"{count(made.examples, 'value')} of an example. " if made.examples else ""
    assumed = f"Assumed: {escape('; '.join(names))}{more}." if names else ""
    return f"<div><h3>Rests on</h3><p>{examples}{assumed}</p>{sure}</div>"


def _caution(*sentences: str) -> str:
    told = "".join(
        f"<p>{'<strong>Caution</strong>' if not place else ''}{text}</p>" for place, text in enumerate(sentences)
    )
    return f'<div class="hb-caution">{told}</div>'
