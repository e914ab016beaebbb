"""Ranked sets moved off the wanted height by as much as one corner needs: the search goes by the mean of both sides.

With the whole rig solved the sides differ, so a corner may come short of bump or droop where its axle's mean keeps them.
Those are limits like any other: the preload moves by as many half turns as they need, and no further.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from calc.search.choose import judged_at
from calc.search.problem import Choice, Problem, SpringSet
from calc.search.ranking import best
from calc.tables import Springs
from calc.whole.whole_rig_check import Contradiction

Dropped = Sequence[tuple[SpringSet, Sequence[Contradiction]]]
# A half turn moves the ride by a little less than itself, where gas and motion ratio give way to it.
_YIELD = 0.9


def reset(
    problems: Mapping[str, Problem],
    springs: Springs,
    choices: Mapping[str, Choice | None],
    dropped: Mapping[str, Dropped],
) -> dict[str, Choice | None] | None:
    """Return the searches with the sets that a corner contradicts set otherwise, where that may keep every limit.

    None where no set can be.
    """
    found, any_moved = dict(choices), False
    for axle, wrong in dropped.items():
        choice, problem = choices.get(axle), problems.get(axle)
        if choice is None or problem is None:
            continue
        moved = {id(one): other for one, told in wrong if (other := _moved(problem, springs, one, told)) is not None}
        if moved:
            any_moved = True
            ranked = best([moved.get(id(one), one) for one in choice.ranked], springs)
            found[axle] = replace(choice, ranked=tuple(ranked))
    return found if any_moved else None


def _moved(problem: Problem, springs: Springs, one: SpringSet, wrong: Sequence[Contradiction]) -> SpringSet | None:
    """Return a set with the preload that gives its corners what they lack; None where no preload can."""
    short = {"bump": 0.0, "droop": 0.0}
    for told in wrong:
        if told.what not in short:
            return None
        short[told.what] = max(short[told.what], told.limit - told.value)
    if min(short.values()) > 0:
        return None
    step = problem.hardware.adjuster_step
    # More preload lifts the rig: bump grows, droop shrinks.
    turns = math.ceil(max(short.values()) / (step * _YIELD))
    away = turns * step if short["bump"] > 0 else -turns * step
    other = judged_at(problem, springs, one, one.preload + away)
    return None if other.broken() or other.adjuster < 0.0 or other.preload < problem.limits.preload_floor else other
