"""What is judged: one axle with its search, the set in use, what that does and how it is set; and the rig on both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np

from calc.certainty.trials import Bar, FirstOrder
from calc.errors import Needs
from calc.rig import axle as axles
from calc.rig.misread import Misread, unread_findings
from calc.rig.ordered import DampingForecast
from calc.rig.rig import Rig
from calc.search.coilover import ride_frequency
from calc.search.problem import Choice, Problem, SpringSet
from calc.step import Finding, Outcome
from calc.tables import Springs
from calc.whole.at_rest import AtRest
from calc.whole.on_chosen_springs import Standing
from calc.whole.pairs import Pairs
from calc.whole.whole_rig_check import Resolved

DAMPER_SPEEDS = (0.127, 0.254)
_STEPS = 24


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
class ThroughTravel:
    """Force and ride frequency of a set from full extension to full bump, piece by piece between its breakpoints."""

    end: float
    travel: tuple[tuple[float, ...], ...]
    force: tuple[tuple[float, ...], ...]
    frequency: tuple[tuple[float, ...], ...]


def through_travel(task: Problem, springs: Springs, chosen: SpringSet) -> ThroughTravel:
    """Return what a set does through the travel, with the load of the wishes on it."""
    coilover, stack = task.coilover, axles.stack_of(springs, chosen)
    end = min(coilover.bump_limit, float(stack.solid_travel) * (1 - 1e-9))
    kinks = sorted({0.0, end, *(float(at) for at in (place for place, _ in stack.pieces()) if 0.0 < float(at) < end)})
    mass = task.cases[task.reference].sprung_mass
    pieces: list[tuple[Any, Any, Any]] = []
    for left, right in pairwise(kinks):
        travel = left + (right - left) * np.arange(_STEPS + 1) / _STEPS
        force = stack.force(np.minimum(travel, end)) + coilover.gas_force(travel)
        wheel = coilover.wheel_rate(float(stack.rate((left + right) / 2)), force, travel)
        pieces.append((travel, force, ride_frequency(wheel, task.tire_rate, mass)))
    along, forces, frequencies = (tuple(tuple(one.tolist()) for one in each) for each in zip(*pieces, strict=True))
    return ThroughTravel(end=end, travel=along, force=forces, frequency=frequencies)


@dataclass(frozen=True, kw_only=True, eq=False)
class AxleOrder:
    """One axle: what is missing, or the chosen set with all that follows from it.

    `choice` ranks what the whole rig does not contradict. `preload` is each side's own, where the sides are set apart.
    `moved` says how far its preload stands off the one for the wanted height; `landings` has one for each load case;
    `wheel_left` is how far the wheels still go up and down from ride in the load case of the wishes.
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
    curve: ThroughTravel | None = None
    moved: str = ""
    wheel_left: tuple[float, float] | None = None
    findings: tuple[Finding, ...] = ()

    @cached_property
    def moves(self) -> tuple[Bar, ...]:
        """What moves the ride position, in the load case of the wishes, and by how much: most first."""
        return (
            ()
            if self.first is None or self.task is None
            else self.first.bars(self.first.judged.travel[self.task.reference])
        )

    @cached_property
    def narrowest(self) -> tuple[Bar, float] | None:
        """What can be measured again that narrows the ride position most, an assumed value before a reading; and its share."""
        if self.first is None or self.task is None:
            return None
        return self.first.narrowest(self.first.judged.travel[self.task.reference])


@dataclass(frozen=True, kw_only=True)
class JudgedRig:
    """A rig on the sets in use, and how far that may be trusted. `rig` is the one entered, completed."""

    entered: Rig
    rig: Rig
    springs: Springs
    axles: tuple[AxleOrder, ...]
    ratings: tuple[Finding, ...]
    ways: tuple[Finding, ...]
    standing: Standing | None
    old: AtRest | None
    # What stands in the way of the two; nothing while an axle has no set.
    standing_needs: Needs | None
    old_needs: Needs | None
    rests: tuple[Finding, ...]
    motions: Mapping[str, Outcome]
    damping: tuple[DampingForecast, ...]
    pairs: Pairs | None
    assumed: tuple[str, ...]
    examples: int
    misread: tuple[Misread, ...]
    reasons: tuple[str, ...]
    unchecked: int
    next: str

    @property
    def estimate(self) -> bool:
        """Whether nothing may be ordered from this."""
        return bool(self.reasons)

    @property
    def complete(self) -> bool:
        """Whether both axles have a set."""
        return all(item.chosen is not None for item in self.axles)

    @property
    def unread(self) -> tuple[Finding, ...]:
        """What was typed and cannot be read, each as a check that was not made."""
        return unread_findings(self.misread)

    def findings(self) -> tuple[Finding, ...]:
        """Return everything that was checked, or that could not be."""
        return (*self.of_rig(), *(finding for item in self.axles for finding in item.findings))

    def of_rig(self) -> tuple[Finding, ...]:
        """Return what was checked of the rig as a whole, and of what was read of it, what cannot be read first."""
        return (*self.unread, *self.ways, *self.ratings, *self.rests)


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
