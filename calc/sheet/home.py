"""The first page's calculator: two axles before and after, and by what factor their springs and dampers grow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from html import escape
from itertools import product
from typing import TYPE_CHECKING, Any

from calc.errors import FieldError
from calc.quantity import EVERY_PLUS_MINUS, METRIC, SHOP, Declared, Display, Quantity
from calc.rig.spans import UNSPRUNG_SHARE, unsprung_percent
from calc.sheet import form, markup
from calc.step import Attempt, Finding, attempt, find
from calc.units import NO_BREAK, RATE
from calc.vocabulary import AXLES, natural_frequency, preload, spring_rate, total_mass

if TYPE_CHECKING:
    from calc.order.axle_order import AxleOrder
    from calc.tables import Springs

_WEIGHTS = ("axle_mass_before", "axle_mass_after")
_UNSPRUNG = ("unsprung_mass_before", "unsprung_mass_after")


@lru_cache(maxsize=1)
def declared() -> Mapping[str, Declared]:
    """Return the declaration of every box, by name."""
    inputs = find("rescaled_rate").inputs
    return {
        f"{axle}.{name}": Declared(
            name=f"{axle}.{name}",
            is_a=inputs[name].quantity.called(f"{axle.capitalize()} {_lower(inputs[name].quantity.label)}"),
            optional=True,
        )
        for axle in AXLES
        for name in (*_WEIGHTS, *_UNSPRUNG)
    }


def _lower(label: str) -> str:
    return label[:1].lower() + label[1:]


@lru_cache(maxsize=1)
def example() -> Mapping[str, float]:
    """Return Wren's weights by box, in SI: as weighed, and with everything that was changed taken back."""
    from calc.rig.file import wren
    from calc.rig.loads import corner_masses, unsprung_mass
    from calc.weight.weight_change import weight_change

    rig = wren()
    corners = corner_masses(rig, rig.cases()[0]) or {}
    before = weight_change(
        **{f"{corner}_mass": mass for corner, mass in corners.items()},
        wheelbase=rig.get("wheelbase"),
        track_front=rig.get("front.track"),
        track_rear=rig.get("rear.track"),
        items=tuple(replace(item, mass=-item.mass) for item in rig.changes),
    )
    found: dict[str, float] = {}
    for axle in AXLES:
        unsprung = unsprung_mass(rig, axle, ()) or 0.0
        found[f"{axle}.axle_mass_before"] = getattr(before, f"{axle}_axle_mass_after")
        found[f"{axle}.axle_mass_after"] = corners[f"left_{axle}"] + corners[f"right_{axle}"]
        found[f"{axle}.unsprung_mass_before"] = unsprung + getattr(before, f"{axle}_unsprung_mass_change")
        found[f"{axle}.unsprung_mass_after"] = unsprung
    return found


def home() -> str:
    """Return the calculator of the first page, with Wren's weights in its boxes."""
    texts = {name: SHOP.number(value, declared()[name].quantity).replace(",", "") for name, value in example().items()}
    regions = answer(texts, frozenset(), SHOP)["regions"]
    return (
        '<div class="calc"><calc-form data-do="home" data-clears-example>'
        '<form class="hb-sheet" aria-label="Rates after a weight change" novalidate>'
        '<div class="hb-sheet__head"><p><strong>First answer: same mounts, same ride</strong></p>'
        f"{markup.units_switch(SHOP)}</div>"
        f'<div class="hb-sheet__body"><div class="hb-enter">{_boxes(texts)}'
        f'<div data-region="whose">{regions["whose"]}</div>'
        '<p class="hb-again"><button type="reset" class="hb-more">Show Wren\'s numbers again</button></p></div>'
        f'<div class="hb-says" aria-live="polite"><div data-region="results">{regions["results"]}</div>'
        f'<div data-region="findings">{regions["findings"]}</div></div></div>'
        '<p class="hb-status" data-region="status" role="status"></p></form></calc-form></div>'
    )


def _boxes(texts: Mapping[str, str]) -> str:
    parts = ['<span></span><span class="hd">before</span><span class="hd">after</span>']
    for axle in AXLES:
        gap = " hb-gap" if axle == "rear" else ""
        parts.append(f'<span class="hb-pairs__row{gap}"><strong>{axle.capitalize()} axle</strong></span>')
        parts += [_box(f"{axle}.{name}", texts, gap) for name in _WEIGHTS]
        parts += [form.message(f"{axle}.{name}", "home") for name in _WEIGHTS]
        parts.append('<span class="hb-pairs__row">unsprung</span>')
        parts += [_box(f"{axle}.{name}", texts, " hb-box--small") for name in _UNSPRUNG]
        parts += [form.message(f"{axle}.{name}", "home") for name in _UNSPRUNG]
    return f'<div class="hb-pairs">{"".join(parts)}</div>'


def _box(name: str, texts: Mapping[str, str], more: str) -> str:
    quantity = declared()[name].quantity
    entry = markup.number_input(name, texts[name], label=quantity.label, described=f"{form.identity('home', name)}-e")
    unit = SHOP.unit(quantity, name).symbol
    return f'<span class="hb-box{more}">{entry}<span data-unit-of="{name}">{escape(unit)}</span></span>'


# --- the live answer -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class _Axle:
    """What can be said of one axle: one factor, or a range of it, or what is missing."""

    name: str
    done: Attempt
    unread: tuple[str, ...]
    span: tuple[float, float] | None
    missing: tuple[str, ...]
    errors: Sequence[FieldError]

    @property
    def factor(self) -> float | None:
        value = self.done.outcome.values.get("load_ratio")
        return None if value is None or self.errors or self.missing else float(value)


def answer(fields: Mapping[str, str], typed: frozenset[str], display: Display) -> dict[str, Any]:
    """Return what the page shows for these boxes: messages beside them, and the regions' HTML.

    Never raises for what a reader typed.
    """
    read = form.read(declared(), fields, display)
    axles = [_axle(axle, read, fields, display) for axle in AXLES]
    blank = all(not fields.get(name, "").strip() for name in declared())
    return {
        "fields": form.beside(declared(), [error for axle in axles for error in axle.errors], display),
        "regions": {
            "whose": _whose(typed, blank),
            "results": _results(axles, display),
            "findings": markup.findings(_findings(axles)),
            "status": "",
        },
        "problem": None,
    }


def _axle(axle: str, read: form.Readings, fields: Mapping[str, str], display: Display) -> _Axle:
    entered = {name: read.values.get(f"{axle}.{name}") for name in (*_WEIGHTS, *_UNSPRUNG)}
    values = {name: value for name, value in entered.items() if value is not None}
    errors: Sequence[FieldError] = [error for error in read.errors if error.field.startswith(f"{axle}.")]
    wrong = [error.field for error in errors]
    unread = [form.unread(error, fields[error.field], declared()[error.field].is_a.label) for error in errors]
    absent = [name for name in entered if name not in values and f"{axle}.{name}" not in wrong]
    missing = tuple(name for name in absent if name in _WEIGHTS)
    unknown = tuple(name for name in absent if name in _UNSPRUNG)
    span = None
    if unknown and not missing and not errors:
        ends, errors = _ends(axle, values, unknown, display)
        span = (min(ends), max(ends)) if ends else None
        # The middle of the assumed shares stands for a reading only in what the findings say.
        values |= {name: _share_of(name, values, sum(UNSPRUNG_SHARE) / 2) for name in unknown}
    done = attempt(find("rescaled_rate"), values, display=display)
    if not missing and not errors:
        errors = _at(axle, done)
    sentences = tuple(item.text for item in unread if item is not None)
    return _Axle(name=axle, done=done, unread=sentences, span=span, missing=missing, errors=errors)


def _at(axle: str, done: Attempt) -> list[FieldError]:
    errors = [error.at(f"{axle}.{error.field}") for error in done.errors]
    return [error for error in errors if error.field in declared()]


def _share_of(unsprung: str, values: Mapping[str, float], share: float) -> float:
    return values[unsprung.replace("unsprung", "axle")] * share


def _ends(
    axle: str, values: Mapping[str, float], unknown: tuple[str, ...], display: Display
) -> tuple[list[float], Sequence[FieldError]]:
    """Return the factors at the corners of what is not known; they are the extremes, as the factor has no turning point."""
    ends: list[float] = []
    for shares in product(UNSPRUNG_SHARE, repeat=len(unknown)):
        assumed = {name: _share_of(name, values, share) for name, share in zip(unknown, shares, strict=True)}
        done = attempt(find("rescaled_rate"), {**values, **assumed}, display=display)
        if done.errors:
            return [], _at(axle, done)
        ends.append(float(done.outcome.values["load_ratio"]))
    return ends, []


def _whose(typed: frozenset[str], blank: bool) -> str:
    unknown = (
        "Unsprung is axle, wheels and tires; leave it empty if you do not know it, and the answer becomes a range."
    )
    if typed or blank:
        return f'<p class="hb-note hb-also">{unknown}</p>'
    word = '<span class="hb-origin hb-origin--example">example</span>'
    return f'<p class="hb-note hb-also">These are Wren\'s numbers, {word}. Type over them. {unknown}</p>'


def _results(axles: list[_Axle], display: Display) -> str:
    ratio = find("rescaled_rate").results["load_ratio"].quantity
    rows = "".join(_result(axle, ratio, display) for axle in axles)
    assumed = [axle.name for axle in axles if axle.span is not None and axle.factor is not None]
    note = ""
    if assumed:
        note = (
            f'<p class="hb-rests">Unsprung {escape(" and ".join(assumed))} not entered: taken as {unsprung_percent()} of the '
            'axle weight, <span class="hb-origin hb-origin--assumed">assumed</span>. Weigh or add up the axle, wheels and '
            "tires to narrow it.</p>"
        )
    if any(axle.factor is not None and axle.span is None for axle in axles):
        note += f'<p class="hb-note">{EVERY_PLUS_MINUS}</p>'
    return f'<dl class="hb-results hb-results--bare">{rows}</dl>{note}'


def _result(axle: _Axle, ratio: Quantity, display: Display) -> str:
    head = f"<dt>{axle.name.capitalize()} rates and damper forces</dt>"
    if axle.factor is None:
        return f'<div>{head}<dd><b>–</b><span class="pm"></span></dd></div>'
    if axle.span is not None:
        low, high = (display.number(end, ratio, decimals=2) for end in axle.span)
        return f'<div class="hb-span">{head}<dd><b>×\u00a0{low} <small>to</small> {high}</b></dd></div>'
    number = display.number(axle.factor, ratio, decimals=2)
    doubt = axle.done.outcome.plus_minus.get("load_ratio", 0.0)
    printed = f"±\u00a0{display.number(doubt, ratio, decimals=2 if doubt >= 0.005 else 3)}" if doubt else ""
    return f'<div>{head}<dd><b>×\u00a0{number}</b><span class="pm">{printed}</span></dd></div>'


def _findings(axles: list[_Axle]) -> list[Finding]:
    found = [_needs(axle) for axle in axles if axle.factor is None]
    ready = [axle for axle in axles if axle.factor is not None]
    for rule in ("same ride", "within what rescaling can say"):
        for axle in ready:
            item = next(item for item in axle.done.outcome.findings if item.rule == rule)
            # One sentence for both axles where both hold, and none for a factor that is nothing out of the ordinary.
            if rule == "same ride" and axle is ready[0]:
                found.append(item)
            elif item.state != "holds" and rule != "same ride":
                found.append(
                    Finding(
                        rule=f"{axle.name}, {rule}",
                        state=item.state,
                        text=f"{axle.name.capitalize()}: {_lower(item.text)}",
                        value=item.value,
                        limit=item.limit,
                    )
                )
    found.append(
        Finding(
            rule="what does not scale",
            state="not checked",
            text="Tire in series, gas force and solid length do not scale: needs the rig.",
        )
    )
    return found


def _needs(axle: _Axle) -> Finding:
    if axle.unread:
        return Finding(rule=f"{axle.name} axle", state="not checked", text=" ".join(axle.unread))
    words = {"axle_mass_before": "weight before", "axle_mass_after": "weight after"}
    if axle.missing:
        wanted = f"needs its {' and '.join(words[name] for name in axle.missing)}"
    else:
        wanted = "needs the box that is marked"
    return Finding(rule=f"{axle.name} axle", state="not checked", text=f"{axle.name.capitalize()} axle: {wanted}.")


def wren_answer() -> str:
    """Return Wren's finished answer: what the search chose, its settings and what it does, in both unit systems."""
    # Only the build asks for this; the browser's home page must not wait for the search.
    from calc.order.order import order
    from calc.rig.file import wren
    from calc.tables import assortment_springs

    rig = wren()
    made = order(rig, assortment_springs())
    rows = "".join(_answer_row(item, made.springs, made.rig.reference().name) for item in made.axles)
    heads = "".join(
        f'<th class="n" scope="col">{what}, {"Hz" if quantity is natural_frequency else _both_units(quantity)}</th>'
        for what, quantity in _COLUMNS
    )
    return (
        '<h2 id="wren">Wren\'s finished answer <span class="hb-origin hb-origin--example">example</span></h2>'
        "<p>Wren is an invented trail-crew truck. A heavier engine, stronger axles, taller tires and a steel bed "
        f"put {_both(sum(item.mass for item in rig.changes), total_mass)} on it, and its old springs sag and bottom.</p>"
        f'<table class="hb-table hb-table--fold"><thead><tr><th scope="col">Axle</th>{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table>"
        f'<p class="hb-note">{escape(made.rig.reference().label)}. Travel at the damper, between strap and solid stop. '
        "The springs are an invented list that cannot be bought.</p>"
    )


def _answer_row(item: AxleOrder, springs: Springs, case_name: str) -> str:
    chosen, task = item.chosen, item.task
    if chosen is None or task is None:
        return ""
    case = item.cases[next(index for index, load in enumerate(task.cases) if load.name == case_name)]
    rates = [springs.rate[index] for index in (chosen.tender, chosen.main) if index is not None]
    over = " over ".join(_both(float(rate), spring_rate, unit=False) for rate in rates)
    past = chosen.frequency_past_crossover
    cells = (
        over,
        _both(chosen.preload, preload, unit=False),
        "–" if chosen.ring_gap is None else _both(chosen.ring_gap, preload, unit=False),
        SHOP.number(case.ride_frequency, natural_frequency),
        "–" if past is None else SHOP.number(past, natural_frequency),
        _both(case.bump_left, preload, unit=False),
        _both(case.droop_left, preload, unit=False),
    )
    # A phone shows no heads: there each number has its unit, of which the style sheet shows one.
    inner = "".join(
        f'<td class="n" data-label="{what}"><span>{text}<span class="hb-fold-unit"> '
        f"{'Hz' if quantity is natural_frequency else _both_units(quantity)}</span></span></td>"
        for (what, quantity), text in zip(_COLUMNS, cells, strict=True)
    )
    return f'<tr><th scope="row">{item.axle.capitalize()}</th>{inner}</tr>'


_COLUMNS = (
    ("Tender over main", spring_rate),
    ("Preload", preload),
    ("Ring gap", preload),
    ("Ride", natural_frequency),
    ("Past crossover", natural_frequency),
    ("Bump left", preload),
    ("Droop left", preload),
)


def _both(value: float, quantity: Quantity, *, unit: bool = True) -> str:
    """Print a value in both unit systems, of which the style sheet shows one."""
    texts = [display.plain(value, quantity) if unit else _bare(display, value, quantity) for display in (SHOP, METRIC)]
    return (
        f'<span class="hb-shop">{escape(texts[0])}</span><span class="hb-or"> or </span>'
        f'<span class="hb-metric">{escape(texts[1])}</span>'
    )


def _bare(display: Display, value: float, quantity: Quantity) -> str:
    # A spring is called by its stamp: 250, not 250.0. A setting stands as on the build sheet: 1.375 in, not 1.38.
    told = display.plain if quantity.kind is RATE else display.text
    return told(value, quantity).split(NO_BREAK)[0]


def _both_units(quantity: Quantity) -> str:
    shop, metric = (quantity.kind.shown(system).symbol for system in ("shop", "metric"))
    return (
        f'<span class="hb-shop">{escape(shop)}</span><span class="hb-or"> or </span>'
        f'<span class="hb-metric">{escape(metric)}</span>'
    )
