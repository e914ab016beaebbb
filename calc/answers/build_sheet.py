"""The build sheet as it is told: a program gets `sheet_data` in SI, a person the parts in which all of it stands once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import calc
from calc import vocabulary
from calc.answer import csv, text
from calc.answer.parts import Columns, Fact, Facts, Listed, Paragraph, Part
from calc.answers.damping import ratios
from calc.cautions import caution
from calc.json_text import picked, plain
from calc.order.build_sheet import (
    fitting_facts,
    forecast_facts,
    setting_facts,
    sheet_forces,
    words,
)
from calc.quantity import SHOP, Display
from calc.rig.ordered import BuildSheet
from calc.rig.ordered import Part as Bought
from calc.tables import price

FORMAT = "spring and damper build sheet"
VERSION = 1
CAUTIONS = (caution("spring_and_gas"), caution("jacking"), caution("driving", "strength"))
_length = vocabulary.length


def sheet_data(sheet: BuildSheet) -> dict[str, Any]:
    """Return the build sheet for a program, in SI."""
    return {
        "format": FORMAT,
        "version": VERSION,
        **plain(sheet),
        "handbook": sheet.handbook or calc.__version__,
        **picked(sheet, "estimate", "total"),
        "cautions": list(CAUTIONS),
    }


def sheet_csv(sheet: BuildSheet, display: Display = SHOP) -> str:
    """Return the build sheet as CSV, one value in a row."""
    return csv.written(sheet_parts(sheet, display), display)


def sheet_text(sheet: BuildSheet, display: Display = SHOP) -> str:
    """Return the build sheet for a person, in 80 columns."""
    return text.written(sheet_parts(sheet, display), display)


def sheet_parts(sheet: BuildSheet, display: Display) -> Iterator[Part]:
    """Yield everything that the build sheet says, in the order in which it is worked through."""
    yield Paragraph(text=f"Build sheet: {sheet.rig}")
    yield Facts(
        key="rig",
        title="WEIGHED",
        facts=tuple(
            Fact(label=label, value=told or None)
            for label, told in (("Rig", sheet.rig), ("Condition", sheet.condition), ("Date", sheet.date))
        ),
    )
    yield Listed(key="estimate: do not order", title="ESTIMATE: DO NOT ORDER", lines=sheet.reasons)
    if sheet.ordered:
        told = f"ORDERED ON {sheet.ordered}, handbook {sheet.handbook}. Parts and settings are those of the order."
        yield Paragraph(text=told)
        yield Listed(key="changed since it was ordered", title="CHANGED SINCE", lines=sheet.since or ("Nothing.",))
    parts = tuple((f"{part.place} {part.what}", _bought(part)) for part in sheet.parts)
    yield Columns(key="parts", title="PARTS", columns=parts, across=True)
    yield Facts(key="parts", title="", facts=(Fact(label="Springs together", value=sheet.total, of=price),))
    corners = tuple((words(one.corner), setting_facts(one)) for one in sheet.settings)
    yield Columns(key="settings", title="SET ON THE BENCH, damper hanging free", columns=corners)
    axles = tuple((one.axle.capitalize(), fitting_facts(one)) for one in sheet.fittings)
    yield Columns(key="fitted and filled", title="FITTED AND FILLED", columns=axles)
    for regime, forces in sheet_forces(sheet):
        yield Columns(
            key=f"damping forces, {regime}",
            title=f"DAMPING FORCES {regime}, gas not included",
            columns=tuple((place(one[0], one[1], display), force_facts(one)) for one in forces),
            across=True,
        )
    yield Paragraph(text=card_line(sheet, display))
    for case in sheet.cases:
        mark = " (the targets are set for this case)" if case.reference else ""
        yield Columns(
            key=f"forecast: {case.label}",
            title=f"FORECAST: {case.label}{mark}",
            columns=tuple((words(one.corner), forecast_facts(one)) for one in case.corners),
        )
    yield ratios(sheet.damping, display)
    not_holding = tuple(f"{state}: {told}" for state, told in sheet.not_holding)
    yield Listed(key="not holding", title="CHECKED: FAILS, CLOSE OR NOT CHECKED", lines=not_holding)
    yield Listed(key="how sure", title="HOW SURE", lines=sheet.chances)
    yield Listed(key="assumed", title="ASSUMED", lines=sheet.assumed)
    yield Listed(key="caution", title="CAUTION", lines=CAUTIONS)


def _bought(part: Bought) -> tuple[Fact, ...]:
    return (
        Fact(label="pieces", value=float(part.count)),
        Fact(label="part code", value=part.part or None),
        Fact(label="rate", value=part.rate, of=vocabulary.spring_rate, plain=True),
        Fact(label="length", value=part.length, of=_length),
        Fact(label="stroke", value=part.stroke, of=_length),
        Fact(label="price each", value=part.price, of=price),
    )


def place(axle: str, speed: float, display: Display) -> str:
    """Return where a damper force is asked for: the axle, and the speed of the damper."""
    at = display.text(speed, vocabulary.velocity, decimals=0 if display.system == "shop" else 3)
    return f"{axle.capitalize()}, at {at}"


def force_facts(force: tuple[str, float, float, float]) -> tuple[Fact, ...]:
    """Return what a damper is asked for at a speed."""
    _, _, compression, rebound = force
    return (
        Fact(label="compression", value=compression, of=vocabulary.force),
        Fact(label="rebound", value=rebound, of=vocabulary.force),
    )


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
