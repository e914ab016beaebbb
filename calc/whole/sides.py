"""Left and right: whether both sides of an axle are set alike, and if not, each side's own preload.

The same springs and settings on both sides are preferred: a spare fits either side, and people and load change sides.
Where the loads at rest differ by more than `SIDE_LIMIT` in the load case of the wishes, four adjusters level the frame.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calc import vocabulary
from calc.quantity import SHOP, Display
from calc.ride._rest import Rest
from calc.ride._rest_energy import Array
from calc.rig.entries import AXLES, CORNERS
from calc.search.problem import Problem, SpringSet
from calc.spring._stack_curve import StackCurve
from calc.step import Finding
from calc.units import NO_BREAK
from calc.whole.at_rest import Stand, words
from calc.whole.leveling import MOST_TURNED, Leveling
from calc.whole.own_sides import OwnSides
from calc.whole.whole_rig_check import contradictions

# Of the mean: up to this the sides are set alike. Ours: we know of no published value.
SIDE_LIMIT = 0.10
SIDES_RULE = "left and right"
_SLIGHT = 1e-9


@dataclass(frozen=True, kw_only=True)
class Sides:
    """How far apart the sides' loads are at equal settings, front and rear, and each corner's preload where they differ.

    `share` is left less right over their mean, of the force along the coil-over. `why_alike` says why sides that are far
    apart are set alike all the same, and `instead` what springs of their own would do, or why none are offered.
    """

    case: str
    force: tuple[float, ...]
    share: tuple[float, float]
    preload: tuple[float, ...] | None = None
    turns: tuple[float, ...] | None = None
    why_alike: str = ""
    instead: str = ""
    own: OwnSides | None = None

    @property
    def worst(self) -> int:
        """Which axle's sides are further apart, as a place in `AXLES`."""
        return int(abs(self.share[1]) > abs(self.share[0]))

    def finding(self, display: Display = SHOP) -> Finding:
        """Return what is said of left and right."""
        axle, share = self.worst, abs(self.share[self.worst])
        apart, limit = f"{100 * share:.0f}{NO_BREAK}%", f"{100 * SIDE_LIMIT:.0f}{NO_BREAK}%"
        forces = [display.text(force, vocabulary.force) for force in self.force[2 * axle : 2 * axle + 2]]
        carried = (
            f"At the {AXLES[axle]} the left coil-over carries {forces[0]} and the right one {forces[1]}, {apart} apart"
        )
        if share <= SIDE_LIMIT:
            text = (
                f"{carried}. Up to {limit} both sides get the same springs and settings: a spare fits either side, and "
                f"people and load change sides. Load case: {self.case}."
            )
            return Finding(rule=SIDES_RULE, state="holds", text=text, value=share, limit=SIDE_LIMIT)
        heavier = "left" if self.share[axle] > 0 else "right"
        if self.turns is None:
            stiffer = f"{100 * ((2 + share) / (2 - share) - 1):.0f}{NO_BREAK}%"
            text = (
                f"{carried}, more than {limit}, and both sides are set alike all the same: {self.why_alike} A spring about "
                f"{stiffer} stiffer on the {heavier}, or weight moved across, would do it. {self.instead} "
                f"Load case: {self.case}."
            )
            return Finding(rule=SIDES_RULE, state="close", text=text, value=share, limit=SIDE_LIMIT)
        turned = ", ".join(
            f"{words(corner)} {abs(turns):.1f} turns {'more' if turns > 0 else 'less'}"
            for corner, turns in zip(CORNERS, self.turns, strict=True)
            if abs(turns) > 0
        )
        text = (
            f"{carried}, more than {limit}: the same springs, each side with its own preload, level the body ({turned}). "
            f"Load case: {self.case}."
        )
        return Finding(rule=SIDES_RULE, state="close", text=text, value=share, limit=SIDE_LIMIT)


def set_apart(springs: StackCurve, lengths: Array) -> StackCurve:
    """Return the springs with each adjuster run down by its own length and each ring set to the gap that it had."""
    moved = springs.turned(adjuster=lengths)
    ringed = np.isfinite(springs.ring_gap) & np.isfinite(moved.ring_gap)
    with np.errstate(invalid="ignore"):
        back = np.where(ringed, springs.ring_gap - moved.ring_gap, 0.0)
    return moved.turned(ring=back)


def sides(
    ready: Stand,
    springs: StackCurve,
    rest: Rest,
    reference: int,
    problems: Sequence[Problem],
    sets: Sequence[SpringSet],
    found: Leveling,
    display: Display = SHOP,
) -> tuple[Sides, StackCurve]:
    """Return what is said of left and right, and the springs at the settings that follow from it.

    `rest` is that of `springs`, both sides set alike, in all load cases, and `found` what levels their frame.
    """
    force = rest.axial_force[reference]
    pairs = force.reshape(2, 2)
    share = (pairs[:, 0] - pairs[:, 1]) / np.maximum(np.abs(pairs.mean(axis=1)), 1.0)
    alike = Sides(
        case=ready.cases[reference].label,
        force=tuple(float(one) for one in force),
        share=(float(share[0]), float(share[1])),
    )
    if np.abs(share).max() <= SIDE_LIMIT:
        return alike, springs
    step = np.repeat([problem.hardware.adjuster_step for problem in problems], 2)
    floor = np.repeat([problem.limits.preload_floor for problem in problems], 2)
    lengths = _lifted(np.rint(np.array(found.turns) * ready.turn[0] / step) * step, springs.preload[0], floor, step)
    apart = set_apart(springs, lengths[None, :])
    why = (
        found.problem
        or _too_far(lengths, lengths / ready.turn[0])
        or _out_of_reach(lengths, problems, sets)
        or _broken(ready, apart, problems, sets, display)
    )
    if why:
        return Sides(case=alike.case, force=alike.force, share=alike.share, why_alike=why), springs
    turned = Sides(
        case=alike.case,
        force=alike.force,
        share=alike.share,
        preload=tuple(float(one) for one in apart.preload[0]),
        turns=tuple(float(one) for one in lengths / ready.turn[0]),
    )
    return turned, apart


def _lifted(lengths: Array, preload: Array, floor: Array, step: Array) -> Array:
    """Return the lengths with both sides of an axle turned on together as far as one falls below the least preload."""
    missing = np.maximum(floor - preload - lengths, 0.0)
    missing[missing < _SLIGHT] = 0.0
    both = np.repeat(missing.reshape(2, 2).max(axis=1), 2)
    lifted: Array = lengths + np.ceil(both / step - _SLIGHT) * step
    return lifted


def _too_far(lengths: Array, turns: Array) -> str:
    worst = int(np.argmax(np.abs(lengths)))
    if abs(float(lengths[worst])) <= MOST_TURNED:
        return ""
    return f"it would take {abs(float(turns[worst])):.0f} turns at the {words(CORNERS[worst])}, which is absurd."


def _out_of_reach(lengths: Array, problems: Sequence[Problem], sets: Sequence[SpringSet]) -> str:
    """Say at which corner the adjuster has no thread for it; nothing where all can be turned so far."""
    for place, corner in enumerate(CORNERS):
        task, chosen = problems[place // 2], sets[place // 2]
        left = task.hardware.adjuster_range - task.limits.adjuster_reserve - chosen.adjuster
        if lengths[place] > left + _SLIGHT or chosen.adjuster + lengths[place] < -_SLIGHT:
            return f"the adjuster at the {words(corner)} has no thread for it."
    return ""


def _broken(
    ready: Stand, apart: StackCurve, problems: Sequence[Problem], sets: Sequence[SpringSet], display: Display
) -> str:
    """Say what the sides set apart break in some load case; nothing where all is well."""
    rest = ready.solve(apart)
    for place, (task, chosen) in enumerate(zip(problems, sets, strict=True)):
        wrong = contradictions(task, chosen, rest.status, rest.travel)
        if wrong:
            text = wrong[0].text(display)
            return f"set apart, {text[:1].lower()}{text[1:]}"
        left = apart.main_left(task.coilover.bump_limit)[0, 2 * place : 2 * place + 2]
        if float(np.min(left)) < task.limits.main_left - _SLIGHT:
            return "set apart, a main would bind too early at full bump."
    return ""
