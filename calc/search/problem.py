"""One axle's search: what it is asked, and what it answers with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from calc import limits as declared
from calc.limits import REASONS
from calc.search.coilover import Coilover
from calc.tables import Springs
from calc.units import INCH

SetCode = tuple[int | None, int | None, int]


@dataclass(frozen=True, kw_only=True)
class CaseLoad:
    """What one spring side carries in one load case: the mean of left and right."""

    name: str
    label: str
    support_load: float
    sprung_mass: float


@dataclass(frozen=True, kw_only=True)
class Height:
    """The wanted ride height: the damper's length eye to eye, and how far off it counts as met."""

    length: float
    band: float = declared.HEIGHT_BAND

    @property
    def span(self) -> tuple[float, float]:
        """The shortest and the longest length that meet it."""
        return self.length - self.band, self.length + self.band


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """What the rig should do, in its reference load case; travel must be left in every case.

    The height is what the preload is set for; travel is a limit, and moves the height only where it would be broken.
    """

    height: Height
    frequency: tuple[float, float]
    frequency_past_crossover: tuple[float, float] | None
    crossover_above_ride: float | None
    bump: float
    droop: float
    # How many times the rate grows at the crossover: outside, a set is scored down and told of, never rejected.
    step: tuple[float, float] = declared.STEP_RATIO


@dataclass(frozen=True, kw_only=True)
class Limits:
    """The numbers of the hard limits; they decide the answer, so they are printed. Defaults are common practice."""

    preload_floor: float = declared.LEAST_PRELOAD
    adjuster_reserve: float = declared.LEAST_ADJUSTER_LEFT
    tender_left: float = declared.LEAST_TENDER_LEFT
    main_left: float = declared.LEAST_MAIN_LEFT
    bore_tolerance: float = 0.02 * INCH
    ring_height: float | None = None


@dataclass(frozen=True, kw_only=True)
class Weights:
    """How much each wish counts in the rank; a lower sum is better."""

    ride_height: float = 1.0
    ride_frequency: float = 1.0
    frequency_past_crossover: float = 1.0
    step: float = 1.0
    travel: float = 1.0
    bind: float = 0.5
    adjuster: float = 0.25
    price: float = 0.25
    stock: float = 0.5
    helper: float = 0.25
    # Only the ranked sets are tried, so it moves them among themselves: `chances.py` has the rule.
    chance: float = 1.0


@dataclass(frozen=True, kw_only=True)
class PairWeights:
    """How much each wish of the whole rig counts in the rank of a front set with a rear set, besides both sets' own sums."""

    # It is a rule of road cars: it counts where a road speed is wanted, or where the reader gives it a weight.
    frequency_ratio: float = 0.0
    level: float = 0.25
    cross: float = 0.25


@dataclass(frozen=True, kw_only=True)
class Hardware:
    """What the springs must fit: lengths in SI. A helper's divider is as thick as the other.

    Where thread, body or the travel at which the bump stop is touched is None, what they limit is not checked.
    """

    seat_space: float
    divider_thickness: float
    adjuster_range: float
    adjuster_step: float
    spring_inside_diameter: float
    ring_step: float = INCH / 16
    thread_length: float | None = None
    body_length: float | None = None
    pad_touch: float | None = None


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One axle's search.

    `fixed` holds what no set of springs moves: by how much each such limit that was checked is missed, above 0 where its
    finding fails. Then no set works.
    """

    axle: str
    coilover: Coilover
    hardware: Hardware
    tire_rate: float
    cases: tuple[CaseLoad, ...]
    reference: int
    wishes: Wishes
    limits: Limits = field(default_factory=Limits)
    weights: Weights = field(default_factory=Weights)
    fixed: tuple[tuple[str, float], ...] = ()

    def blocked(self) -> tuple[str, ...]:
        """Return the limits that fail whatever the springs."""
        return tuple(name for name, missing in self.fixed if missing > 0)

    def unchecked(self) -> tuple[declared.Limit, ...]:
        """Return the limits that cannot be judged because an entry is missing."""
        numbers = {
            "ring_room": self.limits.ring_height,
            "thread": self.hardware.thread_length,
            "body": self.hardware.body_length,
            "pad": self.hardware.pad_touch,
        }
        known = {name for name, _ in self.fixed}
        return tuple(
            limit
            for limit in declared.SEARCHED
            if limit.entries and (limit.name not in known if limit.fixed else numbers[limit.name] is None)
        )


@dataclass(frozen=True, kw_only=True)
class SpringSet:
    """One set with its settings and what it does: indexes into the list, SI values, one entry per load case.

    `wanted_preload` is what the wanted ride height asks for, exactly; `preload` is that in half turns, moved only as far as
    the adjuster's range or another limit makes it. `against_height` names how it then stands, one of `HEIGHTS`.
    """

    tender: int | None
    main: int
    score: float
    preload: float
    wanted_preload: float
    against_height: str
    adjuster: float
    ring_gap: float | None
    ring_below_adjuster: float | None
    crossover_travel: float | None
    ride_travel: tuple[float, ...]
    ride_frequency: tuple[float, ...]
    frequency_past_crossover: float | None
    axial_load: tuple[float, ...]
    tender_left: float | None
    main_left: float
    shortfall: Mapping[str, float]
    step_ratio: float | None = None
    helper: int | None = None
    helper_closed_travel: float | None = None

    def broken(self) -> tuple[str, ...]:
        """Return the limits that the set breaks, in order."""
        return tuple(name for name in REASONS if self.shortfall[name] > 0)

    def springs(self) -> tuple[int, ...]:
        """Return the set's springs from the body down."""
        return tuple(index for index in (self.helper, self.tender, self.main) if index is not None)

    def code(self) -> SetCode:
        """Return helper, tender and main: by that a set is known, wherever it comes from."""
        return self.helper, self.tender, self.main


@dataclass(frozen=True, kw_only=True)
class Counts:
    """How many sets were gone through, how many of them work, and the first reason against each of the others."""

    tried: int
    working: int
    rejected: Mapping[str, int]


@dataclass(frozen=True, kw_only=True)
class Relaxed:
    """One limit that may give way: how many sets break it and no other, and the one of them that breaks it least.

    Both are told at the preload for the wanted ride height, so the limit admits at least so many and gives way by no more.
    """

    limit: str
    admits: int
    first: SpringSet

    @property
    def by(self) -> float:
        """By how much the limit would have to give for the first set to work, in SI."""
        return self.first.shortfall[self.limit]


@dataclass(frozen=True, kw_only=True)
class Trade:
    """One set that no other beats in frequency error, travel margin and price at once.

    `price` is of the axle, both sides, and None where the list does not price every spring. `alike` counts the other sets
    that are equal in all three. `above_wanted` is by how much it rides higher than wanted.
    """

    chosen: SpringSet
    frequency_error: float
    travel_margin: float
    price: float | None
    alike: int
    above_wanted: float


# How a long list is thinned out before its sets are judged, in the order in which it is told.
RULED_OUT: Mapping[str, str] = {
    "rates": "Rates that no wanted frequency allows",
    "lengths": "Lengths that leave too little bump, droop, adjuster or main for these rates",
}


# Where sets that work stand, against the wanted ride height, and what would bring the others to it.
HEIGHTS: Mapping[str, str] = {
    "met": "ride inside the wanted height",
    "run_down": "too low with the adjuster run down: longer springs, or more thread, would meet it",
    "backed_off": "too high with the adjuster backed off: shorter springs would meet it",
    "floor": "too high with the least preload: softer springs would meet it",
    "limit": "moved off it, so that another limit is kept",
}


@dataclass(frozen=True, kw_only=True)
class Choice:
    """The answer of a search.

    `blocked` are the best sets where a limit fails that no springs move: then none works, and nothing is ranked.
    `tried`, `working` and `rejected` count singles and pairs; `helped` counts those that would be loose, with each of the
    list's helpers on top. `relaxed` and `trades` regard both; `relaxed` starts with the limit that admits the most.
    """

    problem: Problem
    springs: Springs
    fitting: int
    tried: int
    working: int
    ranked: tuple[SpringSet, ...]
    rejected: Mapping[str, int]
    near: tuple[SpringSet, ...]
    helped: Counts = field(default_factory=lambda: Counts(tried=0, working=0, rejected=dict.fromkeys(REASONS, 0)))
    # Of a long list: how many sets were ruled out how, by bounds that lose no set that works; the others were judged one
    # by one, and `rejected`, `near` and `relaxed` regard those. Empty where every set was judged.
    ruled_out: Mapping[str, int] = field(default_factory=dict)
    helpers_left_out: int = 0
    relaxed: tuple[Relaxed, ...] = ()
    trades: tuple[Trade, ...] = ()
    blocked: tuple[SpringSet, ...] = ()
    # How many of all sets that work, with a helper or without, stand how against the wanted height.
    heights: Mapping[str, int] = field(default_factory=lambda: dict.fromkeys(HEIGHTS, 0))
