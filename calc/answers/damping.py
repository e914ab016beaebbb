"""The damping ratios of every load case, as they are told."""

from __future__ import annotations

from collections.abc import Sequence

from calc import vocabulary
from calc.answer.parts import NONE, Columns, Fact, Grid
from calc.quantity import Display
from calc.rig.entries import AXLES
from calc.rig.ordered import DampingForecast

TITLE = "Damping ratio in every load case, at ride / past the crossover"
# Over the load cases of a table.
HEAD = "Damping ratio at ride / past crossover"


def ratios(found: Sequence[DampingForecast], display: Display) -> Columns:
    """Return the damping ratios: a program gets each by load case and regime, a reader one line for each load case."""
    columns = []
    rows = []
    for case in dict.fromkeys(one.case for one in found):
        of = {one.axle: one for one in found if one.case == case}
        at_ride, past = [], []
        for axle in AXLES:
            one = of.get(axle)
            for what, ride, beyond in (
                ("body", None if one is None else one.body, None if one is None else one.body_past),
                ("hop", None if one is None else one.hop, None if one is None else one.hop_past),
            ):
                label = f"{axle.capitalize()}, {what}"
                at_ride.append(Fact(label=label, value=ride, of=vocabulary.damping_ratio))
                past.append(Fact(label=label, value=beyond, of=vocabulary.damping_ratio))
        roll = next((one.roll for one in of.values()), None)
        at_ride.append(Fact(label="Roll", value=roll, of=vocabulary.damping_ratio))
        past.append(Fact(label="Roll", value=None, of=vocabulary.damping_ratio))
        columns += [(f"{case}, at ride", tuple(at_ride)), (f"{case}, past the crossover", tuple(past))]
        rows.append((case, *(_both(*pair, display) for pair in zip(at_ride, past, strict=True))))
    heads = tuple(fact.label for fact in columns[0][1]) if columns else ()
    table = Grid(caption=TITLE, heads=("", *heads), rows=tuple(rows))
    return Columns(key="damping ratio", title=TITLE, columns=tuple(columns), briefly=table)


def _both(ride: Fact, past: Fact, display: Display) -> str:
    return ride.text(display, NONE) if past.value is None else f"{ride.text(display, NONE)} / {past.text(display)}"
