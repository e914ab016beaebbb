"""How sure an order's sets are, in words and for a program: chances, ties, and what to measure again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from calc import vocabulary
from calc.job._sources import Array
from calc.job.at_rest import of_corners, stand
from calc.job.axle import Needs, stack_of
from calc.job.axle_order import AxleOrder
from calc.job.choose import SpringSet
from calc.job.order import Order
from calc.job.rig import AXLES
from calc.job.uncertainty import APART, RULES, SETS, AxleDoubt, SetDoubt, study_slices
from calc.quantity import Display
from calc.ride._rest import STANDS
from calc.tables import Springs
from calc.units import NO_BREAK

_SURE = 0.995


def compared(item: AxleOrder) -> tuple[SpringSet, ...]:
    """Return the sets whose doubt is told: the first ones of the ranked, and the one in use where it is another."""
    ranked = () if item.choice is None else item.choice.ranked[:SETS]
    own = item.chosen
    return ranked if own is None or any(own is one for one in ranked) else (*ranked, own)


def doubt_slices(made: Order) -> Iterator[tuple[int, int] | Mapping[str, AxleDoubt]]:
    """Draw for every axle in small parts: yields (draws done, draws in all of that axle) after each, the answers last."""
    found: dict[str, AxleDoubt] = {}
    for item in made.axles:
        sets = compared(item)
        if item.task is None or not sets:
            continue
        for part in study_slices(made.rig, item.task, made.springs, sets, _asides(made, item, sets)):
            if isinstance(part, AxleDoubt):
                found[item.axle] = part
            else:
                yield part
    yield found


def doubts(made: Order) -> Mapping[str, AxleDoubt]:
    """Return how sure each axle's sets are."""
    return next(part for part in doubt_slices(made) if not isinstance(part, tuple))


def _asides(made: Order, item: AxleOrder, sets: tuple[SpringSet, ...]) -> tuple[Array | None, ...]:
    """Return how far each corner stands from its axle's mean, the whole rig solved; None where it does not stand."""
    chosen = [one.chosen for one in made.axles]
    ready = None if None in chosen else stand(made.rig)
    if ready is None or isinstance(ready, Needs):
        return (None,) * len(sets)
    first = 2 * AXLES.index(item.axle)
    corners = []
    for one in sets:
        pair = [one if axle == item.axle else other for axle, other in zip(AXLES, chosen, strict=True)]
        corners.append([stack_of(made.springs, each) for each in pair if each is not None for _ in range(2)])
    rest = ready.solve(of_corners(*corners))
    cases = len(ready.cases)
    found: list[Array | None] = []
    for place, one in enumerate(sets):
        mine = slice(place * cases, (place + 1) * cases)
        stands = bool(np.all(np.asarray(rest.status)[mine] == STANDS))
        mean = np.array(one.ride_travel)[:, None]
        found.append(np.asarray(rest.travel)[mine, first : first + 2] - mean if stands else None)
    return tuple(found)


# --- in words ---------------------------------------------------------------------------------------------------------------


def percent(chance: float) -> str:
    r"""Return a chance in whole percent; what is only nearly sure or impossible is never printed as if it were.

    >>> percent(0.9992), percent(1.0), percent(0.0003), percent(0.42)
    ('over 99\xa0%', '100\xa0%', 'under 1\xa0%', '42\xa0%')
    """
    if 0.0 < chance < 1.0:
        if chance > _SURE:
            return f"over 99{NO_BREAK}%"
        if chance < 1.0 - _SURE:
            return f"under 1{NO_BREAK}%"
    return f"{100 * chance:.0f}{NO_BREAK}%"


def set_line(one: SetDoubt) -> str:
    """Return one set's doubt in one line."""
    weak = one.least
    weakest = "" if one.chances[weak] == 1.0 else f"; least sure, at {percent(one.chances[weak])}: it {RULES[weak]}"
    tied = "; tied with the first" if one.tied else ""
    return f"works in {percent(one.works)} of the draws, best in {percent(one.best)}{tied}{weakest}"


def tie_line(found: AxleDoubt) -> str:
    """Return what the draws say of the first set's place."""
    first = found.sets[0]
    if found.tied == 1:
        return f"The first set is the best in {percent(first.best)} of the draws, and told apart from the others."
    return (
        f"What is known does not tell {found.tied} of these sets apart: the first is the best in {percent(first.best)} of "
        "the draws. Take the one in stock or at the better price."
    )


def rule_line(found: AxleDoubt) -> str:
    """Return how the chances were found and by which rule sets count as tied."""
    out = f" {found.left_out} more could not be and are left out." if found.left_out else ""
    return (
        f"From {found.counted:,} draws, always the same ones, of every number within its ±; corners keep their distance "
        f"from the axle's mean.{out} A set is told apart when it is better in at least {100 * APART:.0f} % of paired draws."
    )


def narrow_line(item: AxleOrder, display: Display) -> str:
    """Return the one measurement that narrows the ride height most, and what that is of the doubt."""
    if item.first is None or item.task is None:
        return ""
    travel = item.first.judged.travel[item.task.reference]
    found = item.first.narrowest(travel)
    if found is None:
        return ""
    bar, share = found
    size = display.plus_minus(item.first.plus_minus(travel), vocabulary.length)
    unit = display.unit(vocabulary.length).symbol
    return (
        f"Measure again before ordering: {bar.source.label}. It makes {percent(share)} of the doubt in the {item.axle} ride "
        f"height (± {size} {unit} at the damper)."
    )


def doubt_data(found: AxleDoubt, item: AxleOrder, springs: Springs) -> dict[str, Any]:
    """Return one axle's doubt for a program."""
    task, first = item.task, item.first
    travel = None if first is None or task is None else first.judged.travel[task.reference]
    return {
        "draws": found.counted,
        "left_out": found.left_out,
        "none_works": found.none_works,
        "told_apart_from": APART,
        "sets": [
            {
                "tender": None if one.chosen.tender is None else springs.part[one.chosen.tender],
                "main": springs.part[one.chosen.main],
                "works": one.works,
                "best": one.best,
                "tied": one.tied,
                "chances": dict(one.chances),
                "ride_frequency": list(one.frequency),
                "ride_travel": list(one.travel),
            }
            for one in found.sets
        ],
        "ride_travel_moves": []
        if first is None or travel is None
        else [
            {"source": bar.source.label, "measurable": bar.source.measurable, "low": bar.low, "high": bar.high}
            for bar in first.bars(travel)
        ],
    }
