"""The sheet that is printed and ordered from: parts, settings beside their drawing, heights, findings, cautions."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from calc import vocabulary
from calc.drawing.build import build
from calc.job import axle as axles
from calc.job.at_rest import CornerAtRest
from calc.job.axle_order import (
    DAMPER_SPEEDS,
    REBOUND_RATIO,
    AxleOrder,
    CaseAnswer,
    DampingAnswer,
    settings,
    side_settings,
)
from calc.job.doubt import order_line
from calc.job.order import Order
from calc.job.order_findings import count
from calc.job.rank_weights import changed_line
from calc.job.standing import Standing
from calc.quantity import Display
from calc.sheet import markup
from calc.sheet.rig.springs import short_name
from calc.step import Finding, State
from calc.tables import Springs

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


def sheet(made: Order, display: Display, prefix: str = "") -> str:
    """Return the whole sheet; nothing while no axle has a set."""
    if not any(item.chosen is not None for item in made.axles):
        return ""
    name = escape(made.rig.name or "rig without a name")
    condition = made.rig.get("condition")
    weighed = f"Weighed: {escape(str(condition))}" if condition else ""
    return (
        f'<section class="hb-order" aria-label="Order"><div class="hb-order__head"><h2 id="{prefix}order">Order: {name}</h2>'
        f"<p>{weighed}</p></div>{estimate(made)}{_parts(made, display)}{_bench(made, display, prefix)}"
        f"{_settings(made, display)}{_heights(made, display)}{_findings(made)}"
        f'<div class="hb-order__end">{_assumed(made)}{_cautions()}</div>{_SIGNED}</section>'
    )


def _two(made: Order, label: str, cell: Callable[[AxleOrder], str], pieces: str = "", small: str = "") -> str:
    note = f" <small>{small}</small>" if small else ""
    cells = "".join(
        f'<td class="n" data-label="{item.axle.capitalize()}">{cell(item) if item.chosen is not None else "–"}</td>'
        for item in made.axles
    )
    last = f'<td class="n" data-label="Pieces">{pieces}</td>'
    return f'<tr><th scope="row">{label}{note}</th>{cells}{last}</tr>'


def _parts(made: Order, display: Display) -> str:
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
    return f"<span><b>{rate}</b> {length} <small>{escape(springs.part[index])}</small></span>"


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
        )
        on_top = "" if item.chosen.helper is None else ". The helper and its divider stand on top, not drawn."
        figures.append(
            f'<figure class="hb-fig"><figcaption>{item.axle.capitalize()}{on_top}</figcaption>{drawn}</figure>'
        )
        turns.append(_turns(item, values["preload_turns"] or 0.0))
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
    def of(name: str, turns: str = "") -> Callable[[AxleOrder], str]:
        def cell(item: AxleOrder) -> str:
            apart = side_settings(item)
            if name in next(iter(apart.values()), {}):
                return " and ".join(
                    f"{side} <b>{display.text(values[name], _LENGTH)}</b>"
                    + (f" <small>{values[turns]:.1f} turns</small>" if turns else "")
                    for side, values in apart.items()
                )
            values = settings(item)
            value = values.get(name)
            if value is None:
                return "none"
            note = f" <small>{values[turns]:.1f} turns</small>" if turns else ""
            return f"<span><b>{display.text(value, _LENGTH)}</b>{note}</span>"

        return cell

    def gas(item: AxleOrder) -> str:
        value = made.rig.get(f"{item.axle}.gas_pressure")
        return "not given" if value is None else display.text(value, vocabulary.gas_pressure)

    rows = [
        _row(made, "Adjuster, down from fully backed off", of("adjuster", "adjuster_turns")),
        _row(made, "Thread left below the adjuster", of("adjuster_left")),
        _row(made, "Ring, underside below the adjuster seat", of("ring_below_seat")),
        *(
            [_row(made, "Limit strap from eye to eye, unstretched", of("strap_length"))]
            if any(settings(item).get("strap_length") is not None for item in made.axles)
            else []
        ),
        _row(made, "Gas charge, cold, fully extended", gas),
    ]
    for index, speed in enumerate(DAMPER_SPEEDS):
        at = display.text(speed, vocabulary.velocity, decimals=0 if display.system == "shop" else 3)
        rows.append(_row(made, f"Damping part at {at}, compression and rebound", _force(index, display)))
    note = (
        f'<p class="hb-note">Damping before the crossover, rebound {REBOUND_RATIO:g} times compression (assumed).</p>'
    )
    return (
        '<table class="hb-table hb-table--fold"><thead><tr><th scope="col">Setting</th><th scope="col" class="n">Front</th>'
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


def _heights(made: Order, display: Display) -> str:
    columns = ("Axle", "Each spring carries", "Damper, eye to eye", "Bump left", "Droop left", "Ride")
    rows = "".join(
        _height_row(case, item, _corners(made, item, index), columns, display)
        for item in made.axles
        for index, case in enumerate(item.cases)
    )
    head = "".join(f'<th scope="col" class="n">{name}</th>' for name in columns)
    doubt = max((case.ride_travel_plus_minus for item in made.axles for case in item.cases), default=0.0)
    sides = (
        "left and right as the whole rig stands, and the less of both where one is given"
        if any(_corners(made, item, 0) for item in made.axles)
        else "left and right taken alike"
    )
    return (
        '<h3>What it will do</h3><table class="hb-table hb-table--fold"><thead><tr><th scope="col">Load case</th>'
        f'{head}</tr></thead><tbody>{rows}</tbody></table><p class="hb-note">Damper lengths ±\u00a0'
        f"{display.plus_minus(doubt, _LENGTH)} from spring rate, spring length and weights; {sides}.</p>"
    )


def _corners(made: Order, item: AxleOrder, index: int) -> tuple[CornerAtRest, ...]:
    """Return an axle's two corners in a load case; none while the whole rig is not solved or does not stand."""
    if not isinstance(made.standing, Standing):
        return ()
    return tuple(one for one in made.standing.rest.cases[index].corners if one.name.endswith(item.axle))


def _height_row(
    case: CaseAnswer, item: AxleOrder, corners: tuple[CornerAtRest, ...], columns: tuple[str, ...], display: Display
) -> str:
    lengths = [case.damper_length]
    bump, droop = case.bump_left, case.droop_left
    if corners:
        lengths = [one.damper_length for one in corners]
        bump, droop = min(one.bump_left for one in corners), min(one.droop_left for one in corners)
    # Left and right with one unit behind them: "26.1 and 26.5 in".
    eyes = [display.number(one, vocabulary.damper_length) for one in lengths[:-1]]
    texts = (
        display.text(case.axle_mass, vocabulary.axle_mass),
        display.text(case.support_load, vocabulary.support_load),
        " and ".join([*eyes, display.text(lengths[-1], vocabulary.damper_length)]),
        display.text(bump, _LENGTH),
        display.text(droop, _LENGTH),
        display.text(case.ride_frequency, vocabulary.natural_frequency),
    )
    cells = "".join(f'<td class="n" data-label="{name}">{text}</td>' for name, text in zip(columns, texts, strict=True))
    return f'<tr><th scope="row">{escape(case.label)} <small>{item.axle}</small></th>{cells}</tr>'


def _findings(made: Order) -> str:
    """Return what does not plainly hold, once where front and rear say the same, and how much does."""
    every = made.findings()
    places: dict[tuple[int, str], list[str]] = {}
    for finding in (*made.ratings, made.forces, *made.rests):
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


def _cautions() -> str:
    return (
        '<div class="hb-caution"><p><strong>Caution</strong>A compressed coil spring and a gas-charged damper hold enough '
        "energy to kill: a compressor made for the job, gas let out only as the maker says, nobody in line with the part.</p>"
        "<p>A change of springs or load changes braking, steering, stability, headlamp aim and the vehicle’s legal state. "
        "Mounts, brackets and welds are not judged here.</p></div>"
    )
