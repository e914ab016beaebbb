"""What was typed and cannot be read, told: which answers it stands in the way of, and the sentence that says so.

An entry that cannot be read is unknown, and unlike one that is missing nothing else may take its place: neither a default,
nor what the other axle has, nor another way to the same number.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from calc.geometry.travel_table import travel_pairs
from calc.quantity import Table
from calc.rig.entries import AXLES, label
from calc.rig.rig import AS_FRONT, TAKEN, LoadCase, Rig
from calc.rig.unread import Unread, UnreadRow
from calc.step import Finding
from calc.weight.weight_change import item_table

PLUS_MINUS = "plus_minus"
LOADS, HEIGHT, CHANGES, PAIRS = "load case", "height", "changes", "travel pairs"
# What neither the springs of an axle nor the rig on them are worked out from.
_BEFORE = frozenset(
    (
        *("axle_mass_before", "unsprung_mass_before", "axle_mass_after", "axle_rating"),
        *TAKEN,
        *("old_tender_rate", "old_tender_free_length", "old_main_rate", "old_main_free_length", "old_preload"),
    )
)


@dataclass(frozen=True, kw_only=True)
class Misread:
    """One entry that cannot be read. `name` is its field without the axle, or the table that it stands in."""

    name: str
    axle: str
    told: str
    sentence: str
    doubt: bool = False

    def of_axle(self, axle: str) -> bool:
        """Tell whether it is an entry of this axle, or of the whole vehicle."""
        return self.axle in ("", axle)

    @property
    def of_springs(self) -> bool:
        """Whether springs are chosen by it, or judged on the whole rig."""
        return not self.doubt and self.name not in _BEFORE and self.name != CHANGES


def misread(rig: Rig) -> tuple[Misread, ...]:
    """Return every entry of a rig that cannot be read."""
    found = [_of_key(name, one) for name, one in rig.unread.items()]
    for case in rig.cases():
        found += _of_case(case)
    found += [_of_row("What was changed", CHANGES, "", row, item_table) for row in rig.unread_changes]
    for axle in AXLES:
        where = f"{axle.capitalize()} travel pairs"
        found += [_of_row(where, PAIRS, axle, row, travel_pairs) for row in rig.unread_pairs.get(axle, ())]
    return tuple(found)


def _of_key(name: str, one: Unread) -> Misread:
    key, doubt = name.removesuffix(f".{PLUS_MINUS}"), name.endswith(f".{PLUS_MINUS}")
    told = f"{label(key)}, plus or minus" if doubt else label(key)
    told += "," if "," in told else ""
    place, dot, rest = key.partition(".")
    axle = next((axle for axle in AXLES if place == axle or place.endswith(f"_{axle}")), "")
    sentence = f"{told[:1].upper()}{told[1:]} cannot be read: “{one.told()}”."
    return Misread(name=rest if dot else key, axle=axle, told=told, sentence=sentence, doubt=doubt)


def _of_case(case: LoadCase) -> list[Misread]:
    where = f"Load case “{case.label}”"
    found = [_of_row(where, LOADS, "", row, item_table) for row in case.unread_items]
    if case.unread_height is not None:
        told = f"{where}: height of the center of gravity"
        sentence = f"{told} cannot be read: “{case.unread_height.told()}”."
        found.append(Misread(name=HEIGHT, axle="", told=told, sentence=sentence))
    return found


def _of_row(where: str, name: str, axle: str, row: UnreadRow, table: Table) -> Misread:
    told = f"{where}, row {row.place + 1}"
    return Misread(name=name, axle=axle, told=told, sentence=f"{told}: {row.problem(table)}.")


def unread_findings(found: Iterable[Misread]) -> tuple[Finding, ...]:
    """Return each as a check that was not made."""
    return tuple(Finding(rule="cannot be read", state="not checked", text=one.sentence) for one in found)


def in_the_way(rig: Rig, axle: str) -> tuple[str, ...]:
    """Return the sentences of what keeps an axle's springs from being chosen: entries that cannot be read."""
    return tuple(
        one.sentence
        for one in misread(rig)
        if one.of_springs and one.name != HEIGHT and (one.of_axle(axle) or _taken_over(rig, one, axle))
    )


def in_the_way_at_rest(rig: Rig) -> tuple[str, ...]:
    """Return the sentences of what keeps the whole rig from being solved."""
    return tuple(one.sentence for one in misread(rig) if one.of_springs)


def _taken_over(rig: Rig, one: Misread, axle: str) -> bool:
    """Tell whether the rear would take this entry over from the front, were it read."""
    own = f"rear.{one.name}"
    return axle == "rear" and one.name in AS_FRONT and own not in rig.values and own not in rig.unread
