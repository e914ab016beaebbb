"""Springs of its own for each side of an axle, where the sides' loads are so far apart that preload alone cannot level it.

At each axle one of the two springs stays, and the other gets its own rate on each side at the same length, so that seats,
divider and ring stay alike. Both sides are judged like any set, on their own load with the body level; then the whole rig
is solved on them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc import vocabulary
from calc.constants import GRAVITY
from calc.quantity import Display
from calc.rig.axle import stack_of
from calc.rig.entries import AXLES
from calc.rig.loads import side_loads
from calc.rig.rig import Rig
from calc.search.choose import judged_all
from calc.search.problem import CaseLoad, Problem, SpringSet
from calc.tables import Springs
from calc.units import INCH
from calc.whole.at_rest import Stand, of_corners
from calc.whole.whole_rig_check import contradictions

SIDES = ("left", "right")
# Springs count as equally long within a tape's reading, and so many rates about the wanted one are tried.
_AS_LONG = INCH / 16
_TRIED = 8


@dataclass(frozen=True, kw_only=True, eq=False)
class OwnSides:
    """Left and right sets by axle, of each axle whose sides get their own, and how the whole rig then stands.

    Roll and cross share are those in the load case of the wishes; `lean_alike` is the roll with both sides alike.
    """

    springs: Springs
    sets: Mapping[str, tuple[SpringSet, SpringSet]]
    body_roll: float
    lean_alike: float
    cross_share: float

    def text(self, problems: Sequence[Problem], display: Display) -> str:
        """Return which springs they are, and what they do."""
        told = []
        for axle, pair in self.sets.items():
            problem = problems[AXLES.index(axle)]
            each = []
            for side, one in zip(SIDES, pair, strict=True):
                turns = one.preload / (2 * problem.hardware.adjuster_step)
                pace = display.text(one.ride_frequency[problem.reference], vocabulary.natural_frequency)
                each.append(f"{side} {self._named(one, display)}, {turns:.1f} turns of preload, {pace}")
            told.append(f"at the {axle} {'; '.join(each)}")
        now, alike = (f"{abs(math.degrees(roll)):.1f}°" for roll in (self.body_roll, self.lean_alike))
        cross = display.text(self.cross_share, vocabulary.share)
        return (
            f"Each side on springs of its own would do: {'; '.join(told)}. The body then leans {now} instead of {alike}, with "
            f"{cross} cross weight."
        )

    def _named(self, one: SpringSet, display: Display) -> str:
        rates = (display.text(float(self.springs.rate[index]), vocabulary.spring_rate) for index in one.springs())
        return " over ".join(
            f"{self.springs.part[index]} ({rate})" for index, rate in zip(one.springs(), rates, strict=True)
        )

    def data(self) -> dict[str, Any]:
        """Return it for a program: part codes from the body down, lengths in SI."""
        return {
            "body_roll": self.body_roll,
            "cross_share": self.cross_share,
            "sets": {
                axle: {
                    side: {
                        "springs": [self.springs.part[index] for index in one.springs()],
                        "preload": one.preload,
                        "adjuster": one.adjuster,
                        "ring_gap": one.ring_gap,
                        "ride_travel": list(one.ride_travel),
                        "ride_frequency": list(one.ride_frequency),
                    }
                    for side, one in zip(SIDES, pair, strict=True)
                }
                for axle, pair in self.sets.items()
            },
        }


def own_sides(
    rig: Rig,
    ready: Stand,
    springs: Springs,
    problems: Sequence[Problem],
    sets: Sequence[SpringSet],
    axles: Sequence[str],
    lean_alike: float,
    display: Display,
) -> OwnSides | str:
    """Return left and right sets for some axles, or the sentence that says why there are none.

    The rig is one that `completed` gave; `sets` are the chosen ones, front and rear, and `lean_alike` the body's roll on them.
    """
    found: dict[str, tuple[SpringSet, SpringSet]] = {}
    for axle in axles:
        place = AXLES.index(axle)
        tasks = _side_tasks(rig, problems[place])
        if not tasks:
            return f"what each side of the {axle} carries needs its track and where its coil-overs are."
        both = list(_pairs(tasks, problems[place], springs, sets[place]))
        if not both:
            return f"with one spring of the chosen length changed on each side, no two keep every limit at the {axle}."
        found[axle] = min(both, key=lambda pair: pair[0])[1:]
    if all(left.springs() == right.springs() for left, right in found.values()):
        return "of the chosen lengths it has none that fits either side's load better than the other's."
    pairs = [found.get(axle, (one, one)) for axle, one in zip(AXLES, sets, strict=True)]
    rest = ready.solve(of_corners([stack_of(springs, one) for pair in pairs for one in pair]))
    for place, (task, pair) in enumerate(zip(problems, pairs, strict=True)):
        for index, one in enumerate(pair):
            corner = 2 * place + index
            travel = rest.travel.copy()
            travel[:, 2 * place : 2 * place + 2] = rest.travel[:, corner : corner + 1]
            wrong = contradictions(task, one, rest.status, travel)
            if wrong:
                # Both places hold this side's travel, so that the other side's springs are not asked of this set.
                text = replace(wrong[0], corner=f"{SIDES[index]}_{task.axle}").text(display)
                return f"with springs of its own for each side, {text[:1].lower()}{text[1:]}"
    reference = problems[0].reference
    if abs(float(rest.body_roll[reference])) >= abs(lean_alike):
        return "on the nearest ones for each side the body leans no less."
    return OwnSides(
        springs=springs,
        sets=found,
        body_roll=float(rest.body_roll[reference]),
        lean_alike=lean_alike,
        cross_share=float(rest.cross_share[reference]),
    )


def _side_tasks(rig: Rig, task: Problem) -> list[Problem]:
    """Return the axle's search for each side alone, with the body level; none where the loads are not known."""
    loads = [side_loads(rig, task.axle, case) for case in rig.cases()]
    known = [one for one in loads if one is not None]
    if len(known) < len(loads):
        return []
    return [
        replace(
            task,
            cases=tuple(
                CaseLoad(
                    name=case.name,
                    label=case.label,
                    support_load=one[f"support_load_{side}"],
                    sprung_mass=one[f"support_load_{side}"] / GRAVITY,
                )
                for case, one in zip(task.cases, known, strict=True)
            ),
        )
        for side in SIDES
    ]


def _pairs(
    tasks: Sequence[Problem], mean: Problem, springs: Springs, like: SpringSet
) -> Iterator[tuple[float, SpringSet, SpringSet]]:
    """Yield, for each part that may differ from the axle's, the nearest sets for left and right, where both have one.

    First, how far both are off the rates that the loads ask for.
    """
    left, right = (_nearest(task, mean, springs, like) for task in tasks)
    for part in (part for part in left if part in right):
        yield left[part][0] + right[part][0], left[part][1], right[part][1]


def _nearest(side: Problem, mean: Problem, springs: Springs, like: SpringSet) -> dict[str, tuple[float, SpringSet]]:
    """Return, by the part that differs, the working set whose rate is nearest to as much stiffer as the side is heavier.

    Such a set rides and sags alike.
    """
    share = side.cases[side.reference].support_load / mean.cases[mean.reference].support_load
    if share <= 0:
        return {}
    parts = {"main": like.main} if like.tender is None else {"tender": like.tender, "main": like.main}
    off: list[float] = []
    sets: dict[str, list[int]] = {"tender": [], "main": []}
    changed: list[str] = []
    for part, present in parts.items():
        alike = np.abs(springs.free_length - springs.free_length[present]) <= _AS_LONG
        alike &= np.abs(springs.inside_diameter - springs.inside_diameter[present]) <= side.limits.bore_tolerance
        fitting = np.flatnonzero(alike & ~springs.is_helper)
        soft = sum(1.0 / springs.rate[other] for name, other in parts.items() if name != part)
        away = np.abs(np.log((1.0 / springs.rate[present] + soft) / (1.0 / springs.rate[fitting] + soft) / share))
        for place in np.lexsort((fitting, away))[:_TRIED]:
            off.append(float(away[place]))
            changed.append(part)
            for name, usual in (("tender", -1), ("main", like.main)):
                sets[name].append(int(fitting[place]) if name == part else parts.get(name, usual))
    tender, main = (np.array(sets[name], dtype=np.int64) for name in ("tender", "main"))
    found: dict[str, tuple[float, SpringSet]] = {}
    for part, away_by, one in zip(changed, off, judged_all(side, springs, tender, main, like.helper), strict=True):
        if part not in found and not one.broken():
            found[part] = away_by, one
    return found
