"""The set in use of an axle on the rig page: its chart, what it does in each load case, and how it is set."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape

from calc import units, vocabulary
from calc.answer.parts import signed
from calc.answers.rest import HEIGHT_NOTE
from calc.answers.sets import short_name
from calc.chart import Chart, Curve, Dot, Guide, Panel, Wanted
from calc.chart import page as charts
from calc.order.axle_order import AxleOrder, settings
from calc.quantity import Display
from calc.rig.part_words import ADJUSTER, PRELOAD, RING_BELOW_SEAT, RING_GAP, STRAP, THREAD_LEFT
from calc.sheet.answer import rows_table
from calc.step import Finding
from calc.tables import Springs

_LENGTH, _FREQUENCY = vocabulary.length, vocabulary.natural_frequency


def chosen_set(
    item: AxleOrder, springs: Springs, display: Display, told: Callable[[Iterable[Finding]], str], prefix: str
) -> str:
    """Return the set in use of an axle: its chart, what it does in each load case, how it is set, what was checked."""
    chosen = item.chosen
    if chosen is None or item.task is None:
        return ""
    name = short_name(chosen, springs, display)
    drawn = set_chart(item, display, f"{prefix}set-{item.axle}")
    figure = "" if drawn is None else charts.figure(drawn) + charts.table(drawn)
    return (
        f"<h3>{item.axle.capitalize()} with {escape(name)}</h3>"
        f"{figure}{_case_table(item, display)}{settings_table(item, display)}{told(item.findings)}"
    )


def settings_rows(item: AxleOrder, display: Display) -> Iterable[tuple[str, str, str]]:
    """Return what is set on the bench: what, length, and turns or a remark."""
    values = settings(item)
    preload, adjuster, left = values.get("preload"), values.get("adjuster"), values.get("adjuster_left")
    if preload is None or adjuster is None or left is None:
        return
    turns = f"{values['preload_turns']:.1f} turns past just seated"
    turns = f"{turns}; {item.moved}" if item.moved else turns
    yield PRELOAD, display.text(preload, _LENGTH), turns
    yield (
        ADJUSTER,
        display.text(adjuster, _LENGTH),
        f"{values['adjuster_turns']:.1f} turns",
    )
    yield THREAD_LEFT, display.text(left, _LENGTH), ""
    below, gap = values.get("ring_below_seat"), values.get("ring_gap")
    if below is not None and gap is not None:
        yield RING_BELOW_SEAT, display.text(below, _LENGTH), ""
        yield RING_GAP, display.text(gap, _LENGTH), ""
    strap = values.get("strap_length")
    if strap is not None:
        yield STRAP, display.text(strap, _LENGTH), ""


def settings_table(item: AxleOrder, display: Display) -> str:
    """Return the settings as a table."""
    rows = "".join(
        f'<tr><td>{label}</td><td class="n"><b>{text}</b>{f"<small>{note}</small>" if note else ""}</td></tr>'
        for label, text, note in settings_rows(item, display)
    )
    return (
        '<table class="hb-table hb-table--narrow"><thead><tr><th scope="col">Set on the bench, damper hanging free</th>'
        f'<th scope="col" class="n"></th></tr></thead><tbody>{rows}</tbody></table>'
    )


def _case_table(item: AxleOrder, display: Display) -> str:
    length, frequency = display.unit(_LENGTH).symbol, display.unit(_FREQUENCY).symbol
    names = ("Damper", "Height", "Bump left", "Droop left")
    rows = []
    for case in item.cases:
        doubt = display.plus_minus(case.ride_travel_plus_minus, _LENGTH)
        damper = display.number(case.damper_length, vocabulary.damper_length)
        rows.append(
            (
                escape(case.label),
                f"<span>{damper} <small>±\u00a0{doubt}</small></span>",
                signed(case.above_wanted, _LENGTH, display),
                display.number(case.bump_left, _LENGTH),
                display.number(case.droop_left, _LENGTH),
                display.number(case.ride_frequency, _FREQUENCY),
            )
        )
    heads = ("Load case", *(f"{name}, {length}" for name in names), f"Ride, {frequency}")
    return rows_table(heads, rows, caption=f"Damper at ride, eye to eye. {HEIGHT_NOTE}")


def set_chart(item: AxleOrder, display: Display, key: str) -> Chart | None:
    """Return force and ride frequency of the chosen set through the travel."""
    chosen, task, curve = item.chosen, item.task, item.curve
    if chosen is None or task is None or curve is None:
        return None
    coilover, end = task.coilover, curve.end
    forces: list[tuple[float, float] | None] = []
    frequencies: list[tuple[float, float] | None] = []
    travel_unit, force_unit = display.unit(_LENGTH), display.unit(vocabulary.force)
    for piece in zip(curve.travel, curve.force, curve.frequency, strict=True):
        for travel, force, frequency in zip(*piece, strict=True):
            x = units.from_si(travel, travel_unit)
            forces.append((x, units.from_si(force, force_unit)))
            frequencies.append((x, frequency))
        frequencies.append(None)
    ride = chosen.ride_travel[task.reference]
    guides = [Guide(units.from_si(ride, travel_unit), "ride")]
    if chosen.crossover_travel is not None and chosen.crossover_travel < end:
        guides.append(Guide(units.from_si(chosen.crossover_travel, travel_unit), "crossover", accent=True))
    guides.append(Guide(units.from_si(coilover.bump_limit, travel_unit), "full bump"))
    wanted = [Wanted(*task.wishes.frequency, x=units.from_si(ride, travel_unit))]
    if task.wishes.frequency_past_crossover is not None and chosen.crossover_travel is not None:
        wanted.append(Wanted(*task.wishes.frequency_past_crossover, x=units.from_si(end, travel_unit)))
    dots = tuple(
        Dot(units.from_si(travel, travel_unit), units.from_si(load, force_unit))
        for travel, load in zip(chosen.ride_travel, chosen.axial_load, strict=True)
        if 0.0 <= travel <= end
    )
    return Chart(
        key=key,
        title=f"{item.axle.capitalize()}: force and ride frequency through the travel",
        description="Springs and gas against damper travel from full extension, with a dot for each load case; beneath "
        "it the ride frequency that the load case of the targets has there.",
        x_label="Damper travel from full extension",
        x_unit=travel_unit.symbol,
        panels=(
            Panel(
                "Force along the coil-over",
                force_unit.symbol,
                curves=(Curve(tuple(forces), label="springs and gas"),),
                dots=dots,
                decimals=display.decimals(vocabulary.force),
                tall=True,
                at_least=(0.0, 0.0),
                dots_label="load cases",
            ),
            Panel(
                "Ride frequency",
                "Hz",
                curves=(Curve(tuple(frequencies), label="ride frequency"),),
                wanted=tuple(wanted),
                decimals=2,
                at_least=(0.0, 0.0),
            ),
        ),
        guides=tuple(guides),
        x_decimals=display.decimals(_LENGTH),
        note="Dots: the load cases. Brackets: the wanted ranges. The bump stop comes on top.",
    )
