"""One axle of an order: its search, the set in use, what that does, and what is set on the bench."""

from __future__ import annotations

from dataclasses import dataclass

from calc.certainty.trials import FirstOrder
from calc.errors import Needs
from calc.rig import axle as axles
from calc.search.choose import Choice, Problem, SpringSet
from calc.step import Finding, Outcome
from calc.whole.whole_rig_check import Resolved

DAMPER_SPEEDS = (0.127, 0.254)


@dataclass(frozen=True, kw_only=True)
class CaseAnswer:
    """What the chosen set does in one load case; travel counts from full extension.

    `above_wanted` is by how much the damper is longer than at the wanted ride height: + is higher.
    """

    label: str
    axle_mass: float
    support_load: float
    ride_travel: float
    ride_travel_plus_minus: float
    bump_left: float
    droop_left: float
    ride_frequency: float
    ride_frequency_plus_minus: float
    damper_length: float
    above_wanted: float


@dataclass(frozen=True, kw_only=True)
class DampingShape:
    """How the damping splits into rebound and compression, and how it bends; straight where there is no knee."""

    rebound_share: float
    knee_speed: float | None
    slope_past_knee: float


@dataclass(frozen=True, kw_only=True)
class DampingRatios:
    """What the damping of the wanted ratio comes to in one load case: of the body at ride and past the crossover, of hop."""

    name: str
    label: str
    body: float
    body_past: float | None
    hop: float | None
    hop_past: float | None


@dataclass(frozen=True, kw_only=True)
class DampingAnswer:
    """The damping that a wanted ratio asks for, at the damper, in one regime: coefficient and forces at two speeds."""

    coefficient: float
    compression: tuple[float, ...]
    rebound: tuple[float, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class AxleOrder:
    """One axle: what is missing, or the chosen set with all that follows from it.

    `choice` ranks what the whole rig does not contradict. `landings` has one for each load case. `preload` is each side's own, where the sides are set apart.
    """

    axle: str
    task: Problem | None = None
    needs: Needs | None = None
    choice: Choice | None = None
    chosen: SpringSet | None = None
    own_pick: bool = False
    lost_pick: str = ""
    resolved: Resolved | None = None
    preload: tuple[float, float] | None = None
    first: FirstOrder | None = None
    cases: tuple[CaseAnswer, ...] = ()
    stack: Outcome | None = None
    frequency: Outcome | None = None
    damping: Outcome | None = None
    damping_before: DampingAnswer | None = None
    damping_past: DampingAnswer | None = None
    ratios: tuple[DampingRatios, ...] = ()
    forces: Outcome | None = None
    ground: Outcome | None = None
    gas: Outcome | None = None
    fit: Outcome | None = None
    landings: tuple[Outcome | None, ...] = ()
    pad_clear: float | None = None
    findings: tuple[Finding, ...] = ()


def settings(item: AxleOrder) -> dict[str, float | None]:
    """Return what is set on the bench: lengths in SI, turns as numbers."""
    chosen, task = item.chosen, item.task
    if chosen is None or task is None:
        return {}
    turn = 2.0 * task.hardware.adjuster_step
    below_seat = None if chosen.ring_below_adjuster is None else chosen.ring_below_adjuster - chosen.adjuster
    return {
        "preload": chosen.preload,
        "preload_turns": chosen.preload / turn,
        "adjuster": chosen.adjuster,
        "adjuster_turns": chosen.adjuster / turn,
        "adjuster_left": task.hardware.adjuster_range - chosen.adjuster,
        "ring_gap": chosen.ring_gap,
        "ring_below_backed_off_adjuster": chosen.ring_below_adjuster,
        "ring_below_seat": below_seat,
        "strap_length": None if item.fit is None else item.fit.values["strap_length"],
    }


def side_settings(item: AxleOrder) -> dict[str, dict[str, float]]:
    """Return what is set on each side, where the sides are set apart: lengths in SI, turns as numbers."""
    chosen, task = item.chosen, item.task
    if chosen is None or task is None or item.preload is None or item.choice is None:
        return {}
    turn = 2.0 * task.hardware.adjuster_step
    stack = axles.stack_of(item.choice.springs, chosen)
    below_seat = settings(item)["ring_below_seat"]
    found = {}
    for side, preload in zip(("left", "right"), item.preload, strict=True):
        adjuster = chosen.adjuster + preload - chosen.preload
        found[side] = {
            "preload": preload,
            "preload_turns": preload / turn,
            "adjuster": adjuster,
            "adjuster_turns": adjuster / turn,
            "adjuster_left": task.hardware.adjuster_range - adjuster,
        }
        if below_seat is not None:
            # The gap is the same on both sides, so the ring follows the divider.
            moved = stack.turned(adjuster=preload - chosen.preload)
            found[side]["ring_below_seat"] = below_seat + float(moved.seat_to_divider(0.0) - stack.seat_to_divider(0.0))
    return found
