"""The build sheet as plain numbers: what to order, how to set each corner, what it will do, and what that rests on.

The page and the print show it beside its drawings; `sheet_data`, `sheet_csv` and `sheet_text` are its plain forms. The JSON
is in SI. The CSV has one row per value, `section, place, what, value, unit`, in the reader's units.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict
from typing import Any

import calc
from calc import vocabulary
from calc.cautions import caution
from calc.job.axle import label, stack_of
from calc.job.axle_order import DAMPER_SPEEDS, AxleOrder, DampingAnswer, settings, side_settings
from calc.job.doubt import order_line
from calc.job.motions import damping_forecast
from calc.job.order import Order
from calc.job.order_text import listed, ratios_text, rows_of, with_spaces, wrapped
from calc.job.ordered import AxleFitting, BuildSheet, CaseForecast, CornerForecast, CornerSetting, Part
from calc.job.part_words import (
    ADJUSTER,
    ADJUSTER_TURNS,
    PRELOAD,
    PRELOAD_TURNS,
    RING_BELOW_SEAT,
    RING_GAP,
    STRAP,
    THREAD_LEFT,
    rate_text,
)
from calc.job.rest_table import signed_text
from calc.job.standing import Standing
from calc.quantity import SHOP, Display, Quantity
from calc.tables import Springs, price

# What is told of one corner: a name, a value in SI, its quantity or its unit.
Values = Iterable[tuple[str, float | None, Quantity | str]]

FORMAT = "spring and damper build sheet"
VERSION = 1
CAUTIONS = (caution("spring_and_gas"), caution("jacking"), caution("driving", "strength"))

# As wide as a name may be beside four corners.
_NAME = 30
_length, _rate, _turns = vocabulary.length, vocabulary.spring_rate, "turns"
# Told with their sign.
above_wanted = _length.called("Above (+) the wanted height", "Δ_w")
_height_change = _length.called("Hub to frame mark, change", "Δ_h")
_SIGNED = (above_wanted, _height_change)
# Entered, and told as it was entered.
_AS_ENTERED = (
    vocabulary.tire_pressure,
    vocabulary.gas_pressure,
    vocabulary.rebound_share,
    vocabulary.slope_past_knee,
    vocabulary.knee_speed,
)
# What a cell of a spreadsheet must not begin with, or it is taken for a formula.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def build_sheet(made: Order, date: str = "") -> BuildSheet | None:
    """Return the build sheet of an order, or None while no axle has a set; an axle without one is left out.

    `date` is the day on which it is made, as the reader writes it.
    """
    if not any(item.chosen is not None for item in made.axles):
        return None
    return BuildSheet(
        rig=made.rig.name or "rig without a name",
        condition=str(made.rig.get("condition") or ""),
        date=date,
        reasons=made.reasons,
        parts=tuple(part for item in made.axles for part in _parts(made, item)),
        settings=tuple(setting for item in made.axles for setting in _settings(item)),
        forces=tuple(force for item in made.axles for force in _forces(item.axle, item.damping_before)),
        forces_past=tuple(force for item in made.axles for force in _forces(item.axle, item.damping_past)),
        fittings=tuple(_fitting(made, item.axle) for item in made.axles if item.chosen is not None),
        cases=tuple(_cases(made)),
        solved=isinstance(made.standing, Standing),
        not_holding=tuple(
            (finding.state, f"{axle.capitalize()}: {finding.text}" if axle else finding.text)
            for axle, found in (
                ("", made.of_rig()),
                *((item.axle, item.findings) for item in made.axles),
            )
            for finding in found
            if finding.state != "holds"
        ),
        chances=tuple(line for line in (order_line(made, item) for item in made.axles) if line),
        assumed=tuple(label(key) for key in made.assumed),
        examples=made.examples,
        damping=damping_forecast(made),
    )


def _parts(made: Order, item: AxleOrder) -> Iterator[Part]:
    chosen, springs = item.chosen, made.springs
    if chosen is None:
        return
    for what, index in (("helper", chosen.helper), ("tender", chosen.tender), ("main", chosen.main)):
        if index is not None:
            yield _spring(what, item.axle, springs, index)

    def known(name: str) -> float | None:
        value = made.rig.get(f"{item.axle}.{name}")
        return None if value is None else float(value)

    yield Part(what="damper", place=item.axle, count=2, length=known("damper_extended"), stroke=known("damper_stroke"))
    dividers = sum(part is not None for part in (chosen.helper, chosen.tender))
    if dividers:
        yield Part(what="divider", place=item.axle, count=2 * dividers, length=known("divider_thickness"))
    if chosen.ring_gap is not None:
        yield Part(what="stop ring with its jam nut", place=item.axle, count=2, length=known("ring_thickness"))


def _spring(what: str, axle: str, springs: Springs, index: int) -> Part:
    priced = bool(springs.known["price"][index])
    return Part(
        what=what,
        place=axle,
        count=2,
        part=springs.part[index],
        rate=float(springs.rate[index]),
        length=float(springs.free_length[index]),
        price=float(springs.price[index]) if priced else None,
        solid_length=float(springs.solid_length[index]),
        inside_diameter=float(springs.inside_diameter[index]),
    )


def _settings(item: AxleOrder) -> Iterator[CornerSetting]:
    if item.chosen is None:
        return
    both, apart = settings(item), side_settings(item)
    for side in ("left", "right"):
        own: dict[str, float | None] = {**both, **apart.get(side, {})}
        yield CornerSetting(
            corner=f"{side}_{item.axle}",
            **{name: own[name] or 0.0 for name in _SET},
            ring_gap=own["ring_gap"],
            ring_below_seat=own["ring_below_seat"],
            strap_length=own["strap_length"],
        )


_SET = ("preload", "preload_turns", "adjuster", "adjuster_turns", "adjuster_left")


def _forces(axle: str, answer: DampingAnswer | None) -> Iterator[tuple[str, float, float, float]]:
    if answer is not None:
        for speed, compression, rebound in zip(DAMPER_SPEEDS, answer.compression, answer.rebound, strict=True):
            yield axle, speed, compression, rebound


def _fitting(made: Order, axle: str) -> AxleFitting:
    def known(name: str) -> float | None:
        value = made.rig.get(f"{axle}.{name}")
        return None if value is None else float(value)

    return AxleFitting(
        axle=axle,
        tire_pressure=known("tire_pressure"),
        gas_pressure=known("gas_pressure"),
        pad_touch=known("pad_touch_before_collapsed"),
        pad_solid=known("solid_before_collapsed"),
        limit_strap=str(made.rig.get(f"{axle}.limit_strap") or ""),
        rebound_share=known("rebound_share"),
        slope_past_knee=known("slope_past_knee"),
        knee_speed=known("knee_speed"),
    )


def _cases(made: Order) -> Iterator[CaseForecast]:
    ready = [item for item in made.axles if item.cases]
    for index, case in enumerate(ready[0].cases):
        yield CaseForecast(
            name=made.rig.cases()[index].name,
            label=case.label,
            reference=any(item.task is not None and index == item.task.reference for item in ready),
            plus_minus=max(item.cases[index].ride_travel_plus_minus for item in ready),
            corners=tuple(_corners(made, index)),
        )


def _corners(made: Order, index: int) -> Iterator[CornerForecast]:
    rest = made.standing.rest.cases[index].corners if isinstance(made.standing, Standing) else ()
    solved = {corner.name: corner for corner in rest}
    for item in made.axles:
        if not item.cases:
            continue
        case = item.cases[index]
        for side in ("left", "right"):
            name = f"{side}_{item.axle}"
            own = solved.get(name)
            if own is not None:
                yield CornerForecast(
                    corner=name,
                    tire_mass=own.tire_mass,
                    damper_length=own.damper_length,
                    bump_left=own.bump_left,
                    droop_left=own.droop_left,
                    sag_share=own.sag_share,
                    hub_to_body_change=own.ride_height_change,
                    ride_frequency=case.ride_frequency,
                    **_at_ride(made, item, side, own.damper_length),
                )
                continue
            yield CornerForecast(
                corner=name,
                tire_mass=case.axle_mass / 2,
                damper_length=case.damper_length,
                bump_left=case.bump_left,
                droop_left=case.droop_left,
                sag_share=case.droop_left / (case.droop_left + case.bump_left),
                hub_to_body_change=None,
                ride_frequency=case.ride_frequency,
                **_at_ride(made, item, side, case.damper_length),
            )


def _at_ride(made: Order, item: AxleOrder, side: str, damper_length: float) -> dict[str, float | None]:
    """Return what can be read at a corner where it rides: shaft showing, its height against the wanted one, and what is left down to divider and bump stop."""
    chosen, task = item.chosen, item.task
    stroke, touched = (made.rig.get(f"{item.axle}.{name}") for name in ("damper_stroke", "pad_touch_before_collapsed"))
    if chosen is None or task is None or stroke is None:
        return {}
    travel = task.coilover.extended_length - damper_length
    stack = stack_of(made.springs, chosen)
    own = side_settings(item).get(side)
    if own is not None:
        # The ring's gap is the same on both sides: it follows the divider.
        turned = stack.turned(adjuster=own["preload"] - chosen.preload)
        stack = turned.turned(ring=stack.ring_gap - turned.ring_gap) if chosen.ring_gap is not None else turned
    return {
        "shaft_showing": float(stroke) - travel,
        "above_wanted": damper_length - task.wishes.height.length,
        "ring_gap": None if chosen.ring_gap is None else float(stack.gap_at(travel)),
        "bump_stop_gap": None if touched is None else float(stroke - touched) - travel,
    }


# --- its plain forms ------------------------------------------------------------------------------------------------------------


def words(corner: str) -> str:
    """Return a corner as a reader says it.

    >>> words("left_front")
    'Left front'
    """
    return corner.replace("_", " ").capitalize()


def sheet_data(sheet: BuildSheet) -> dict[str, Any]:
    """Return the build sheet for a program, in SI."""
    return {
        "format": FORMAT,
        "version": VERSION,
        **asdict(sheet),
        "handbook": sheet.handbook or calc.__version__,
        "estimate": sheet.estimate,
        "total": sheet.total,
        "cautions": list(CAUTIONS),
    }


def lines(sheet: BuildSheet) -> Iterator[tuple[str, str, str, float | str, Quantity | str | None]]:
    """Yield every value once: section, place, what, value in SI or a text, and its quantity or its unit."""
    yield from (("rig", "", what, text, None) for what, text in (("name", sheet.rig), ("condition", sheet.condition)))
    yield "rig", "", "date", sheet.date, None
    if sheet.ordered:
        yield "ordered", "", "date", sheet.ordered, None
        yield from (("changed since it was ordered", "", "", text, None) for text in sheet.since)
    yield from (("estimate: do not order", "", "reason", reason, None) for reason in sheet.reasons)
    for part in sheet.parts:
        place = f"{part.place} {part.what}"
        yield "parts", place, "pieces", float(part.count), ""
        if part.part:
            yield "parts", place, "part code", part.part, None
        for what, value, quantity in (
            ("rate", part.rate, _rate),
            ("length", part.length, _length),
            ("stroke", part.stroke, _length),
            ("price of one", part.price, price),
        ):
            if value is not None:
                yield "parts", place, what, value, quantity
    if sheet.total is not None:
        yield "parts", "springs", "price together", sheet.total, price
    for setting in sheet.settings:
        for what, value, unit in setting_values(setting):
            if value is not None:
                yield "settings", words(setting.corner), what, value, unit
    for fitting in sheet.fittings:
        for what, pressure, unit in fitting_values(fitting):
            if pressure is not None:
                yield "fitting", fitting.axle, what, pressure, unit
        if fitting.limit_strap:
            yield "fitting", fitting.axle, "Limit strap", fitting.limit_strap, None
    for regime, forces in sheet_forces(sheet):
        for axle, speed, compression, rebound in forces:
            for what, force in (("compression", compression), ("rebound", rebound)):
                told = f"{axle}, {SHOP.text(speed, vocabulary.velocity, decimals=0)}, {regime}"
                yield "damping forces", told, what, force, vocabulary.force
    for one in sheet.damping:
        name = one.axle.capitalize()
        for regime, what, ratio in (
            ("at ride", f"{name}, body", one.body),
            ("past the crossover", f"{name}, body", one.body_past),
            ("at ride", f"{name}, hop", one.hop),
            ("past the crossover", f"{name}, hop", one.hop_past),
            ("at ride", "Roll", one.roll if one.axle == sheet.damping[0].axle else None),
        ):
            if ratio is not None:
                yield f"damping ratio: {one.case}", regime, what, ratio, vocabulary.damping_ratio
    for case in sheet.cases:
        for corner in case.corners:
            for what, value, unit in forecast_values(corner):
                if value is not None:
                    yield f"forecast: {case.label}", words(corner.corner), what, value, unit
    yield from (("not holding", "", state, text, None) for state, text in sheet.not_holding)
    yield from (("how sure", "", "", text, None) for text in sheet.chances)
    yield from (("assumed", "", "", text, None) for text in sheet.assumed)
    yield from (("caution", "", "", text, None) for text in CAUTIONS)


def setting_values(setting: CornerSetting) -> Iterator[tuple[str, float | None, Quantity | str]]:
    """Yield what is set at a corner, in the order in which it is done."""
    yield PRELOAD, setting.preload, _length
    yield PRELOAD_TURNS, setting.preload_turns, _turns
    yield ADJUSTER, setting.adjuster, _length
    yield ADJUSTER_TURNS, setting.adjuster_turns, _turns
    yield THREAD_LEFT, setting.adjuster_left, _length
    yield RING_GAP, setting.ring_gap, _length
    yield RING_BELOW_SEAT, setting.ring_below_seat, _length
    yield STRAP, setting.strap_length, _length


def fitting_values(fitting: AxleFitting) -> Iterator[tuple[str, float | None, Quantity | str]]:
    """Yield what an axle is fitted and filled with."""
    yield "Tire pressure", fitting.tire_pressure, vocabulary.tire_pressure
    yield "Gas charge, cold, fully extended", fitting.gas_pressure, vocabulary.gas_pressure
    yield "Bump stop touches before collapsed", fitting.pad_touch, _length
    yield "Bump stop solid before collapsed", fitting.pad_solid, _length
    yield "Rebound share", fitting.rebound_share, vocabulary.rebound_share
    yield "Slope past the knee", fitting.slope_past_knee, vocabulary.slope_past_knee
    yield "Knee speed", fitting.knee_speed, vocabulary.knee_speed


def sheet_forces(sheet: BuildSheet) -> Iterator[tuple[str, tuple[tuple[str, float, float, float], ...]]]:
    """Yield the damping forces of each regime that has some."""
    for regime, forces in (("before the crossover", sheet.forces), ("past the crossover", sheet.forces_past)):
        if forces:
            yield regime, forces


def strap_text(fitting: AxleFitting) -> str:
    """Return what ends an axle's droop, in a word."""
    return {"yes": "a strap", "no": "none: the damper ends the droop"}.get(fitting.limit_strap, "not entered")


def card_line(sheet: BuildSheet, display: Display) -> str:
    """Return the settings that hold in every load case, in a line: what a card of one load case begins with."""
    told = []
    for what, name, of in (("preload", "preload_turns", None), ("ring gap, hanging free,", "ring_gap", _length)):
        texts = {}
        for one in sheet.settings:
            value = getattr(one, name)
            texts[one.corner] = "" if value is None else f"{value:.1f} turns" if of is None else display.text(value, of)
        if any(texts.values()):
            told.append(f"{what} {', '.join(_sides(texts))}")
    pressures = [
        f"{display.plain(one.tire_pressure, vocabulary.tire_pressure)} {one.axle}"
        for one in sheet.fittings
        if one.tire_pressure is not None
    ]
    told += [f"tires {', '.join(pressures)}"] if pressures else []
    return f"Set as on the bench in every load case: {'; '.join(told)}."


def _sides(texts: Mapping[str, str]) -> Iterator[str]:
    """Give each axle's text once where left and right are alike, else each side's."""
    for axle in dict.fromkeys(corner.partition("_")[2] for corner in texts):
        mine = {corner: text for corner, text in texts.items() if corner.endswith(axle) and text}
        if len(set(mine.values())) == 1:
            yield f"{next(iter(mine.values()))} {axle}"
        else:
            yield from (f"{text} {corner.replace('_', ' ')}" for corner, text in mine.items())


def forecast_values(corner: CornerForecast) -> Iterator[tuple[str, float | None, Quantity | str]]:
    """Yield what a corner will do in a load case."""
    yield "Tire", corner.tire_mass, vocabulary.corner_mass
    yield "Damper, eye to eye", corner.damper_length, vocabulary.damper_length
    yield "Above (+) the wanted height", corner.above_wanted, above_wanted
    yield "Shaft showing", corner.shaft_showing, _length
    yield "Ring gap at ride", corner.ring_gap, _length
    yield "Bump stop clear", corner.bump_stop_gap, _length
    yield "Hub to frame mark, change", corner.hub_to_body_change, _height_change
    yield "Bump left", corner.bump_left, _length
    yield "Droop left", corner.droop_left, _length
    yield "Sag", 100 * corner.sag_share, "%"
    yield "Ride", corner.ride_frequency, vocabulary.natural_frequency


def sheet_csv(sheet: BuildSheet, display: Display = SHOP) -> str:
    """Return the build sheet as CSV, one value in a row. A text that a spreadsheet would run is put behind an apostrophe."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(("section", "place", "what", "value", "unit"))
    for section, place, what, value, of in lines(sheet):
        number, unit = _cell(value, of, display)
        writer.writerow((_guarded(section), _guarded(place), _guarded(what), number, unit))
    return out.getvalue()


def _cell(value: float | str, of: Quantity | str | None, display: Display) -> tuple[str, str]:
    if isinstance(value, str):
        return _guarded(value), ""
    if isinstance(of, Quantity):
        # As a program reads it: no thousands, the minus of the keyboard.
        return display.entry(value, of), display.unit(of).symbol
    return f"{value:.4g}", of or ""


def _guarded(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA) else text


def sheet_text(sheet: BuildSheet, display: Display = SHOP) -> str:
    """Return the build sheet for a person, in 80 columns."""
    blocks = [wrapped(f"Build sheet: {sheet.rig}")]
    if sheet.estimate:
        blocks.append(wrapped(f"ESTIMATE: DO NOT ORDER. {'; '.join(sheet.reasons)}."))
    if sheet.ordered:
        blocks.append(
            wrapped(
                f"ORDERED ON {sheet.ordered}, handbook {sheet.handbook}. Parts and settings are those of the order."
            )
        )
        blocks.append(listed("CHANGED SINCE", sheet.since or ["Nothing."]))
    blocks.append(listed("Weighed", [sheet.condition] if sheet.condition else []))
    blocks.append(rows_of("PARTS", [_part_row(part, display) for part in sheet.parts]))
    if sheet.total is not None:
        blocks[-1] += rows_of("", [("Springs together", display.text(sheet.total, price))])
    settings_of = {one.corner: setting_values(one) for one in sheet.settings}
    blocks.append(_corners_text("SET ON THE BENCH, damper hanging free", settings_of, display))
    blocks.append(_fittings_text(sheet, display))
    for regime, forces in sheet_forces(sheet):
        rows = [force_row(force, display) for force in forces]
        blocks.append(rows_of(f"DAMPING FORCES {regime}, gas left out: compression and rebound", rows))
    blocks.append(wrapped(card_line(sheet, display)))
    for case in sheet.cases:
        mark = " (the wishes are for this case)" if case.reference else ""
        title = wrapped(f"FORECAST: {case.label}{mark}")
        blocks.append(_corners_text(title, {one.corner: forecast_values(one) for one in case.corners}, display))
    blocks.append(ratios_text(sheet.damping, display))
    blocks.append(listed("CHECKED AND NOT PLAINLY HOLDING", (f"{state}: {text}" for state, text in sheet.not_holding)))
    blocks.append(listed("HOW SURE", sheet.chances))
    blocks.append(listed("ASSUMED", sheet.assumed))
    blocks.append(listed("CAUTION", CAUTIONS))
    return "\n\n".join(block for block in blocks if block) + "\n"


def _fittings_text(sheet: BuildSheet, display: Display) -> str:
    """Return what the axles are fitted and filled with, a column for each."""
    if not sheet.fittings:
        return ""
    told = ["FITTED AND FILLED", f"  {'':<42}{''.join(f'{one.axle.capitalize():>18}' for one in sheet.fittings)}"]
    for what, cells in told_rows([fitting_values(one) for one in sheet.fittings], display):
        told.append(with_spaces(f"  {what:<42}{''.join(f'{cell:>18}' for cell in cells)}"))
    straps = [f"Limit strap, {one.axle}: {strap_text(one)}." for one in sheet.fittings]
    return "\n".join([*told, *(wrapped(f"  {line}") for line in straps)])


def force_row(force: tuple[str, float, float, float], display: Display) -> tuple[str, str]:
    """Return what a damper is asked for at a speed: where, and compression and rebound."""
    axle, speed, compression, rebound = force
    at = display.text(speed, vocabulary.velocity, decimals=0 if display.system == "shop" else 3)
    both = f"{display.number(compression, vocabulary.force)} and {display.text(rebound, vocabulary.force)}"
    return f"{axle.capitalize()}, at {at}", both


def _corners_text(title: str, corners: Mapping[str, Values], display: Display) -> str:
    """Return a table with a column for each corner."""
    told = [title, f"  {'':<30}{''.join(f'{words(corner):>12}' for corner in corners)}"]
    for what, cells in told_rows(corners.values(), display):
        if len(what) > _NAME:
            told.append(f"  {what}")
            what = ""
        told.append(with_spaces(f"  {what:<{_NAME}}{''.join(f'{cell:>12}' for cell in cells)}"))
    return "\n".join(told)


def told_rows(corners: Iterable[Values], display: Display, *, none: str = "") -> Iterator[tuple[str, list[str]]]:
    """Yield, for each thing that is told of corners, its name and a text per corner.

    What none of them has is left out, or stands as `none` where that is given.
    """
    for line in zip(*corners, strict=True):
        if none or any(value is not None for _, value, _ in line):
            yield line[0][0], [none if none and value is None else _told(value, of, display) for _, value, of in line]


def _part_row(part: Part, display: Display) -> tuple[str, str]:
    sizes = [] if part.rate is None else [rate_text(part.rate, display)]
    named = (("stroke ", part.stroke), ("" if part.stroke is None else "extended ", part.length))
    sizes += [f"{name}{display.text(value, _length)}" for name, value in named if value is not None]
    cost = "" if part.price is None else f", {display.text(part.price, price)} each"
    code = f" {part.part}" if part.part else ""
    return f"{part.count} {part.what}, {part.place}:{code} {', '.join(sizes)}".rstrip(), cost.lstrip(", ")


def _told(value: float | None, of: Quantity | str, display: Display) -> str:
    if value is None:
        return "none"
    if not isinstance(of, Quantity):
        return f"{value:.1f} {of}"
    if of in _SIGNED:
        return signed_text(value, of, display)
    return display.plain(value, of) if of in _AS_ENTERED else display.text(value, of)
