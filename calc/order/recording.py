"""Ordering: the record that a rig keeps of it, what was changed since, and what that would do to the settings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import calc
from calc import vocabulary
from calc.errors import DataError
from calc.order.build_sheet import setting_facts, words
from calc.order.order import Order
from calc.quantity import SHOP, Display
from calc.rig.compare import LOAD_CASES, Row, entered_differently, with_set
from calc.rig.file import entered_text, entered_then
from calc.rig.ordered import MOST_ORDERS, BuildSheet, CornerSetting, Ordered
from calc.rig.part_words import PRELOAD, PRELOAD_TURNS, RING_GAP
from calc.rig.rig import Rig
from calc.weight.weight_change import Item

# Nearer than that two settings are the same: no adjuster is set finer.
_SAME = 1e-6
# The settings that a builder turns; the rest follows from them.
_SET = (PRELOAD, PRELOAD_TURNS, RING_GAP)


def blocks(made: Order) -> str:
    """Return why nothing can be ordered from this yet, in a sentence; nothing where it can."""
    return f"Not ready to order: {'; '.join(made.reasons)}." if made.estimate else ""


def recorded(made: Order, date: str) -> Rig:
    """Return the rig with an order of that day recorded, and the ordered sets as the reader's own choice.

    Raises DataError with a sentence while it is an estimate, without a date, and where no more orders are kept.
    """
    if made.estimate:
        raise DataError(blocks(made))
    if not date:
        raise DataError("An order needs its date.")
    if len(made.entered.ordered) >= MOST_ORDERS:
        raise DataError(
            f"{MOST_ORDERS} orders are kept, which is the most. Save this rig in a file and go on in a copy."
        )
    if made.entered.ordered and made.entered.ordered[-1].date > date:
        raise DataError(
            f"The last order is of {made.entered.ordered[-1].date}: a new one cannot be older. Check the date."
        )
    rig = made.entered
    for item in made.axles:
        if item.chosen is not None:
            rig = with_set(rig, item.axle, item.chosen, made.springs)
    if made.sheet is None:
        raise DataError("There is no set to order yet.")
    sheet = replace(made.sheet, date=date)
    record = Ordered(date=date, handbook=calc.__version__, sheet=sheet, rig=entered_text(rig))
    return replace(rig, ordered=(*rig.ordered, record))


# --- since then -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Since:
    """What is different from what was ordered: entries by name, the list's springs, the settings that now would be.

    `settings` hold the ordered value and today's; `instead` says why there is nothing to compare them with.
    """

    record: Ordered
    entries: tuple[Row, ...]
    settings: tuple[Row, ...]
    instead: str = ""

    def lines(self, display: Display) -> tuple[str, ...]:
        """Return it in sentences; nothing where nothing was changed."""
        found = []
        for row in self.entries:
            then, now, _ = row.texts(display)
            found.append(f"{row.what[:1].upper()}{row.what[1:]}: ordered with {then}, now {now}.")
        for row in self.settings:
            then, now, _ = row.texts(display)
            found.append(f"{row.what}: ordered {then}, now would be {now}.")
        return (*found, *((self.instead,) if self.instead else ()))


def since(made: Order) -> Since | None:
    """Return what was changed since the last order; None where nothing was ordered."""
    if not made.entered.ordered:
        return None
    record = made.entered.ordered[-1]
    then = entered_then(record)
    loads = tuple(_loads(then, made.entered))
    names = {case.name for case in then.load_cases} == {case.name for case in made.entered.load_cases}
    # Where the loads that differ are named, that the load cases do is no news.
    told = (row for row in entered_differently(then, made.entered) if not (loads and names and row.what == LOAD_CASES))
    entries = (*told, *loads, *_listed(record, made))
    settings, instead = _settings(record, made)
    return Since(record=record, entries=entries, settings=settings, instead=instead)


def _loads(then: Rig, now: Rig) -> Iterator[Row]:
    """Name the loads that differ in the load cases that are in both."""
    before = {case.name: case for case in then.load_cases}
    for case in now.load_cases:
        old = before.get(case.name)
        if old is None:
            continue
        if old.center_of_gravity_height != case.center_of_gravity_height:
            yield Row(
                what=f"{case.label}: height of the center of gravity",
                here=old.center_of_gravity_height,
                there=case.center_of_gravity_height,
                of=vocabulary.length,
            )
        mine, theirs = list(case.items), list(old.items)
        for item in old.items:
            if item in mine:
                mine.remove(item)
                theirs.remove(item)
        for item in theirs:
            same = next((one for one in mine if one.label == item.label), None)
            if same is not None:
                mine.remove(same)
            yield from _load(f"{case.label}, {item.label or 'an item'}", item, same)
        for item in mine:
            yield from _load(f"{case.label}, {item.label or 'an item'}", None, item)


def _load(what: str, then: Item | None, now: Item | None) -> Iterator[Row]:
    if then is None or now is None or then.mass != now.mass:
        here, there = (None if one is None else one.mass for one in (then, now))
        yield Row(what=what, here=here, there=there, of=vocabulary.axle_mass)
        return
    yield Row(what=f"{what}, where it is carried", here="another position", there="here")


def _listed(record: Ordered, made: Order) -> Iterator[Row]:
    """Name ordered springs that the list in use does not have, or has otherwise."""
    springs = made.springs
    for part in dict.fromkeys(part for part in record.sheet.parts if part.part):
        if part.part not in springs.part:
            yield Row(what=f"{part.part} in the list", here="listed", there="not listed")
            continue
        index = springs.part.index(part.part)
        for what, then, now, of in (
            ("rate", part.rate, float(springs.rate[index]), vocabulary.spring_rate),
            ("free length", part.length, float(springs.free_length[index]), vocabulary.length),
            ("solid length", part.solid_length, float(springs.solid_length[index]), vocabulary.length),
        ):
            if then != now:
                yield Row(what=f"{what} of {part.part} in the list", here=then, there=now, of=of)


def _settings(record: Ordered, made: Order) -> tuple[tuple[Row, ...], str]:
    for item in made.axles:
        wanted = {what: part.part for what, part in record.springs(item.axle).items()}
        if item.chosen is None:
            return (), f"What the {item.axle} would be set to now is not known: section 6 says why."
        indexes = {"helper": item.chosen.helper, "tender": item.chosen.tender, "main": item.chosen.main}
        if wanted != {what: made.springs.part[index] for what, index in indexes.items() if index is not None}:
            return (), f"Another set than the ordered one is in use at the {item.axle}: its settings are its own."
    if made.sheet is None:
        return (), ""
    today = {one.corner: one for one in made.sheet.settings}
    found = []
    for one in record.sheet.settings:
        found += list(_moved(one, today[one.corner]))
    return tuple(found), ""


def _moved(then: CornerSetting, now: CornerSetting) -> Iterator[Row]:
    pairs = zip(setting_facts(then), setting_facts(now), strict=True)
    for ordered, today in pairs:
        what = ordered.label
        if what in _SET and abs(float(ordered.value or 0.0) - float(today.value or 0.0)) > _SAME:
            told = f"{words(then.corner)}, {what[:1].lower()}{what[1:]}"
            yield Row(what=told, here=ordered.value, there=today.value, of=ordered.of)


def sheet_in_force(made: Order, date: str = "", display: Display = SHOP) -> BuildSheet | None:
    """Return the build sheet that the shop goes by: the ordered one with what was changed since, else today's."""
    changed = since(made)
    if changed is None:
        return None if made.sheet is None else replace(made.sheet, date=date)
    record = changed.record
    return replace(record.sheet, ordered=record.date, handbook=record.handbook, since=changed.lines(display))
