"""From a rig and a list of springs to the order: what to buy, how to set it, what it will do, and what that rests on.

A page, a print and a program show the same `Order`; `order_data` and `order_text` are the two plain forms of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from calc import vocabulary
from calc.constants import GRAVITY
from calc.errors import FieldError, InputError
from calc.job import axle as axles
from calc.job.choose import Choice, Limits, Problem, SpringSet, choose, judged
from calc.job.coilover import ride_frequency
from calc.job.resolved import Resolved, resolve
from calc.job.rig import AXLES, Entry, LoadCase, Rig, axle_masses, keys
from calc.job.standing import CORNERS_RULE, ROLL_RULE, Standing, Stands, standing, standing_data
from calc.job.standing import findings as rest_findings
from calc.job.travel import with_motion
from calc.quantity import SHOP, Display, Quantity
from calc.spring._helped_curve import stack_curve
from calc.spring._stack_curve import StackCurve
from calc.step import Check, Finding, Outcome, check_finding, find, run
from calc.tables import Springs

# What is built alike on both axles more often than not: typed for the front, it is assumed for the rear until typed there.
AS_FRONT = (
    "tire_rate",
    "tire_pressure",
    "tire_loaded_radius",
    "damper_extended",
    "damper_stroke",
    "damper_collapsed",
    "pad_touch_before_collapsed",
    "solid_before_collapsed",
    "strap_travel",
    "rod_diameter",
    "piston_diameter",
    "gas_pressure",
    "gas_volume",
    "seat_space",
    "divider_thickness",
    "adjuster_range",
    "adjuster_turns_per_length",
    "spring_inside_diameter",
    "ring_thickness",
    "thread_length",
    "body_length",
    "wanted_frequency_past_crossover_low",
    "wanted_frequency_past_crossover_high",
    "wanted_crossover_above_ride",
    "wanted_bump",
    "wanted_droop",
    "wanted_damping_ratio",
)
# The hard limits that a reader may set, by the search's own name for each.
LIMITS: Mapping[str, str] = {
    "preload_floor": "least_preload",
    "adjuster_reserve": "least_adjuster_left",
    "tender_left": "least_tender_left",
    "main_left": "least_main_left",
}
# Rules that only the whole rig solved can break: where it cannot be solved yet, the search's own limits still hold.
REST_RULES = frozenset((CORNERS_RULE, ROLL_RULE))
# Rules of the stack that a set must not break; an order in which one of them was not checked is an estimate.
HARD_RULES = frozenset(
    (
        "ring reached",
        "past the crossover at rest",
        "tender left",
        "main left",
        "preload floor",
        "loose at droop",
        "adjuster backed off",
        "adjuster reserve",
        "ring inside the tender",
        "ring on its thread",
        "divider on the body",
        "axle rating",
    )
)
_OF_A_PAIR = frozenset(
    (
        "ring reached",
        "past the crossover at rest",
        "tender binds before the ring",
        "tender left",
        "tender works",
        "ring inside the tender",
        "ring on its thread",
        "divider on the body",
        "tender's coil gaps",
    )
)
# Rebound over compression: common practice, without a source.
REBOUND_RATIO = 1.5
DAMPER_SPEEDS = (0.127, 0.254)
_FORCES = Finding(
    rule="damper forces",
    state="not checked",
    text="Whether the dampers give the wanted forces: needs their measured force tables, or the maker's forces.",
)
_WORST = ("fails", "close", "not checked", "holds")


def completed(rig: Rig) -> Rig:
    """Return the rig with what its rear takes over from its front (assumed) and what its travel pairs say (derived)."""
    taken = {
        f"rear.{name}": Entry(value=front.value, origin="assumed", plus_minus=front.plus_minus)
        for name in AS_FRONT
        if (front := rig.values.get(f"front.{name}")) is not None and f"rear.{name}" not in rig.values
    }
    return with_motion(replace(rig, values={**rig.values, **taken}) if taken else rig)


def masses_of(rig: Rig, axle: str, case: LoadCase) -> tuple[float, float] | None:
    """Return an axle's two tire weights in a load case, or None where they are unknown or cannot be."""
    try:
        return axle_masses(rig, axle, case)
    except FieldError:
        return None


def limits(rig: Rig, axle: str) -> Limits:
    """Return the hard limits: the reader's own, else the defaults."""
    own = {name: rig.get(key) for name, key in LIMITS.items() if rig.get(key) is not None}
    ring = rig.get(f"{axle}.ring_thickness")
    return Limits(**own) if ring is None else Limits(**own, ring_height=ring)


def task(rig: Rig, axle: str) -> Problem | axles.Needs:
    """Return an axle's search, or what it still needs. The rig is one that `completed` gave."""
    found = axles.problem(rig, axle)
    return replace(found, limits=limits(rig, axle)) if isinstance(found, Problem) else found


# --- one axle ---------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class CaseAnswer:
    """What the chosen set does in one load case; travel counts from full extension."""

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


@dataclass(frozen=True, kw_only=True)
class DampingAnswer:
    """The damping that a wanted ratio asks for, at the damper, in one regime: coefficient and forces at two speeds."""

    coefficient: float
    compression: tuple[float, ...]
    rebound: tuple[float, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class AxleOrder:
    """One axle: what is missing, or the chosen set with all that follows from it.

    `choice` ranks what the whole rig does not contradict. `preload` is each side's own, where the sides are set apart.
    """

    axle: str
    task: Problem | None = None
    needs: axles.Needs | None = None
    choice: Choice | None = None
    chosen: SpringSet | None = None
    own_pick: bool = False
    lost_pick: str = ""
    resolved: Resolved | None = None
    preload: tuple[float, float] | None = None
    cases: tuple[CaseAnswer, ...] = ()
    stack: Outcome | None = None
    frequency: Outcome | None = None
    damping: Outcome | None = None
    damping_before: DampingAnswer | None = None
    damping_past: DampingAnswer | None = None
    gas: Outcome | None = None
    pad_clear: float | None = None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Order:
    """The whole order, and how far it may be trusted."""

    rig: Rig
    springs: Springs
    axles: tuple[AxleOrder, ...]
    ratings: tuple[Finding, ...]
    forces: Finding
    standing: Stands
    rests: tuple[Finding, ...]
    assumed: tuple[str, ...]
    examples: int
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

    def findings(self) -> tuple[Finding, ...]:
        """Return everything that was checked, or that could not be."""
        return (
            *self.ratings,
            self.forces,
            *self.rests,
            *(finding for item in self.axles for finding in item.findings),
        )


def order(
    rig: Rig, springs: Springs, choices: Mapping[str, Choice | None] | None = None, display: Display = SHOP
) -> Order:
    """Return the order of a rig from a list of springs.

    `choices` are the searches already made, by axle; an axle that stands there as None is not searched.
    Never raises for what a rig lacks: what is missing is told in each axle's `needs`.
    """
    full = completed(rig)
    tasks = {axle: task(full, axle) for axle in AXLES}
    searched = {
        axle: choose(found, springs) if choices is None else choices.get(axle)
        for axle, found in tasks.items()
        if isinstance(found, Problem)
    }
    resolved = resolve(full, springs, tasks, searched)
    made = tuple(_axle_order(full, axle, tasks[axle], springs, resolved[axle], display) for axle in AXLES)
    chosen = tuple((item.task, item.chosen) for item in made)
    stands = standing(full, springs, chosen, display)
    rests = tuple(rest_findings(stands, chosen, display)) if any(one is not None for _, one in chosen) else ()
    found = _with_sides(made, stands)
    ratings = rating_findings(full, display)
    assumed = tuple(key for key, entry in full.values.items() if entry.origin == "assumed")
    assumed += tuple(key for key in LIMITS.values() if full.get(key) is None)
    examples = sum(entry.origin == "example" for entry in full.values.values())
    checks = [*ratings, _FORCES, *rests, *(finding for item in found for finding in item.findings)]
    return Order(
        rig=full,
        springs=springs,
        axles=found,
        ratings=ratings,
        forces=_FORCES,
        standing=stands,
        rests=rests,
        assumed=assumed,
        examples=examples,
        reasons=tuple(_reasons(found, springs, examples, checks)),
        unchecked=sum(finding.state == "not checked" for finding in checks),
        next=_next(full, found),
    )


def _reasons(found: Iterable[AxleOrder], springs: Springs, examples: int, checks: Iterable[Finding]) -> Iterable[str]:
    if examples:
        yield f"{count(examples, 'value')} {'is an example' if examples == 1 else 'are examples'}"
    if springs.example:
        yield "the spring list is an invented example"
    missing = [item.axle for item in found if item.chosen is None]
    if missing:
        yield f"no set is chosen for the {' and the '.join(missing)}"
    unchecked = [finding for finding in checks if finding.state == "not checked" and finding.rule in HARD_RULES]
    if unchecked:
        yield f"{count(len(unchecked), 'hard limit')} {'is' if len(unchecked) == 1 else 'are'} not checked"
    hard = HARD_RULES | REST_RULES
    broken = [finding for finding in checks if finding.state == "fails" and finding.rule in hard]
    if broken:
        yield f"{count(len(broken), 'hard limit')} {'fails' if len(broken) == 1 else 'fail'}"


def count(number: int, what: str) -> str:
    """Return a number with what it counts: "1 value", "3 values"."""
    return f"{number:,} {what}{'' if number == 1 else 's'}"


# What was worked out for each axle last: an edit at one axle leaves the other as it was.
_last: dict[str, tuple[tuple[Any, ...], Springs, Choice | None, AxleOrder]] = {}


def _axle_order(
    rig: Rig, axle: str, found: Problem | axles.Needs, springs: Springs, resolved: Resolved, display: Display
) -> AxleOrder:
    if isinstance(found, axles.Needs):
        return AxleOrder(axle=axle, needs=found)
    choice = resolved.choice
    if choice is None:
        return AxleOrder(axle=axle, task=found)
    other = AXLES[1 - AXLES.index(axle)]
    own = tuple(
        item for item in rig.values.items() if not item[0].startswith(f"{other}.") and f"_{other}." not in item[0]
    )
    asked = (found, own, display.system, tuple(sorted(display.fields.items())))
    kept = _last.get(axle)
    same = kept is not None and kept[0] == asked and kept[1] is springs and kept[2] is choice
    if kept is not None and same and kept[3].resolved == resolved:
        return kept[3]
    chosen, own_pick, lost = _picked(rig, axle, found, springs, choice)
    start = AxleOrder(
        axle=axle, task=found, choice=choice, chosen=chosen, own_pick=own_pick, lost_pick=lost, resolved=resolved
    )
    made = start if chosen is None else _judged(start, rig, found, springs, chosen, display)
    _last[axle] = (asked, springs, choice, made)
    return made


def _with_sides(found: tuple[AxleOrder, ...], stands: Stands) -> tuple[AxleOrder, ...]:
    """Return the axles with each side's own preload, where the whole rig sets them apart."""
    if not isinstance(stands, Standing) or stands.sides is None or stands.sides.preload is None:
        return found
    preload = stands.sides.preload
    return tuple(
        replace(item, preload=(preload[2 * place], preload[2 * place + 1])) for place, item in enumerate(found)
    )


def _picked(rig: Rig, axle: str, task: Problem, springs: Springs, choice: Choice) -> tuple[SpringSet | None, bool, str]:
    """Return the set in use: the reader's own pick while the list has it, else the first of the ranked ones."""
    best = choice.ranked[0] if choice.ranked else None
    parts = [rig.get(f"{axle}.chosen_{name}_part") for name in ("helper", "tender", "main")]
    if not parts[-1]:
        return best, False, ""
    named = [part for part in parts if part]
    if any(part not in springs.part for part in named):
        return best, False, f"{' over '.join(named)} is not in this list"
    helper, tender, main = (springs.part.index(part) if part else None for part in parts)
    return judged(task, springs, tender, main or 0, helper), True, ""


def _judged(
    start: AxleOrder, rig: Rig, task: Problem, springs: Springs, chosen: SpringSet, display: Display
) -> AxleOrder:
    cases, doubts = _cases(rig, task, springs, chosen)
    stack = _stack(rig, task, springs, chosen, display)
    frequency = _frequency(task, springs, chosen, display)
    damping = None if frequency is None else _damping(rig, task, frequency, display)
    gas = _gas(rig, task, chosen, display)
    pad = rig.get(f"{task.axle}.pad_touch_before_collapsed")
    clear = None
    if pad is not None:
        clear = rig.get(f"{task.axle}.damper_stroke") - pad - max(chosen.ride_travel)
    made = replace(
        start,
        cases=cases,
        stack=stack,
        frequency=frequency,
        damping=damping,
        damping_before=_forces(damping, "critical_damping"),
        damping_past=_forces(damping, "critical_damping_past_crossover"),
        gas=gas,
        pad_clear=clear,
    )
    return replace(made, findings=tuple(_findings(made, task, doubts, display)))


def _cases(
    rig: Rig, task: Problem, springs: Springs, chosen: SpringSet
) -> tuple[tuple[CaseAnswer, ...], Mapping[str, float]]:
    """Return what the set does in each case, with the doubt that rates, lengths and weights leave."""
    variants = _variants(springs, chosen)
    answers = []
    coilover = task.coilover
    worst: dict[str, float] = {"travel": 0.0, "frequency": 0.0}
    for index, (case, load_case) in enumerate(zip(task.cases, rig.cases(), strict=True)):
        masses = masses_of(rig, task.axle, load_case)
        if masses is None:
            continue
        doubt = _mass_doubt(rig, task.axle)
        shift = np.zeros(len(variants.preload))
        shift[-2:] = (doubt, -doubt)
        mass = np.maximum(case.sprung_mass + shift, 1.0)
        start = np.full(len(shift), chosen.ride_travel[index])
        travel = np.clip(coilover.ride_travel(variants, mass * GRAVITY, start), 0.0, coilover.bump_limit)
        force = coilover.axial_load(mass * GRAVITY, travel)
        rate = variants.rate(travel)
        wheel = coilover.wheel_rate(np.where(np.isfinite(rate), rate, 0.0), force, travel)
        frequency = ride_frequency(wheel, task.tire_rate, mass)
        travel_doubt, frequency_doubt = _half_spread(travel), _half_spread(frequency)
        if index == task.reference:
            worst["frequency"] = frequency_doubt
        worst["travel"] = max(worst["travel"], travel_doubt)
        ride = chosen.ride_travel[index]
        answers.append(
            CaseAnswer(
                label=case.label,
                axle_mass=sum(masses),
                support_load=case.support_load,
                ride_travel=ride,
                ride_travel_plus_minus=travel_doubt,
                bump_left=coilover.bump_limit - ride,
                droop_left=ride - coilover.strap_travel,
                ride_frequency=chosen.ride_frequency[index],
                ride_frequency_plus_minus=frequency_doubt,
                damper_length=coilover.extended_length - ride,
            )
        )
    return tuple(answers), worst


def _variants(springs: Springs, chosen: SpringSet) -> StackCurve:
    """Return the set with each of its doubtful numbers moved up and down in turn; the last two are for the load."""
    rate_share, length = vocabulary.spring_rate.plus_minus_share, vocabulary.free_length.plus_minus
    tender = np.inf if chosen.tender is None else float(springs.rate[chosen.tender])
    main = float(springs.rate[chosen.main])
    # A helper is closed at rest: of it only the solid length counts there.
    solid = [] if chosen.helper is None else [vocabulary.solid_length.plus_minus, -vocabulary.solid_length.plus_minus]
    rest = [0.0] * (len(solid) + 2)
    tender_moves = [0.0, *((rate_share, -rate_share) if chosen.tender is not None else (0.0, 0.0)), *([0.0] * 6), *rest]
    main_moves = [0.0, 0.0, 0.0, rate_share, -rate_share, *([0.0] * 4), *rest]
    tender_length = length if chosen.tender is not None else 0.0
    preload_moves = [*([0.0] * 5), tender_length, -tender_length, length, -length, *rest]
    helper_moves = np.array([*([0.0] * 9), *solid, 0.0, 0.0])
    base = axles.stack_of(springs, chosen)
    return stack_curve(
        helper_rate=base.helper_rate,
        helper_stroke=base.helper_stroke - helper_moves,
        tender_rate=tender * (1 + np.array(tender_moves)),
        main_rate=main * (1 + np.array(main_moves)),
        preload=chosen.preload + np.array(preload_moves),
        ring_gap=base.ring_gap,
        tender_stroke=base.tender_stroke,
        main_stroke=base.main_stroke,
    )


def _half_spread(values: Any) -> float:
    ups, downs = values[1::2], values[2::2]
    return float(np.sqrt(np.sum(((ups - downs) / 2) ** 2)))


def _mass_doubt(rig: Rig, axle: str) -> float:
    """The plus-minus of the sprung weight on one spring."""
    squares = 0.0
    for key in (f"left_{axle}.corner_mass", f"right_{axle}.corner_mass", f"{axle}.unsprung_mass"):
        known = rig.known(key)
        squares += 0.0 if known is None else known.plus_minus**2
    return float(np.sqrt(squares) / 2)


def _known(rig: Rig, axle: str, names: Iterable[str]) -> dict[str, Any]:
    return {name: value for name in names if (value := rig.get(f"{axle}.{name}")) is not None}


def _stack(rig: Rig, task: Problem, springs: Springs, chosen: SpringSet, display: Display) -> Outcome | None:
    """Run the stack's own step on the set, at the heaviest load case: there it comes nearest to its limits."""
    tender, main = chosen.tender, chosen.main
    pair: dict[str, Any] = {}
    if tender is not None:
        pair = {
            "tender_rate": float(springs.rate[tender]),
            "tender_free_length": float(springs.free_length[tender]),
            "tender_solid_length": float(springs.solid_length[tender]),
        }
    if chosen.helper is not None:
        pair |= {
            "helper_kind": "free",
            "helper_rate": float(springs.rate[chosen.helper]),
            "helper_free_length": float(springs.free_length[chosen.helper]),
            "helper_solid_length": float(springs.solid_length[chosen.helper]),
        }
    given = {
        "stack_kind": "single" if tender is None else "no ring" if chosen.ring_gap is None else "ring",
        **pair,
        "main_rate": float(springs.rate[main]),
        "main_free_length": float(springs.free_length[main]),
        "main_solid_length": float(springs.solid_length[main]),
        "preload": chosen.preload,
        "ring_gap": chosen.ring_gap,
        "bump_limit": task.coilover.bump_limit,
        "strap_travel": task.coilover.strap_travel,
        "ride_travel": max(chosen.ride_travel),
        **_known(rig, task.axle, ("seat_space", "divider_thickness", "adjuster_range", "thread_length", "body_length")),
        "ring_thickness": rig.get(f"{task.axle}.ring_thickness"),
        "least_preload": task.limits.preload_floor,
        "least_tender_left": task.limits.tender_left,
        "least_main_left": task.limits.main_left,
        "least_adjuster_left": task.limits.adjuster_reserve,
    }
    try:
        return run(find("stack"), given, None, display)
    except InputError:
        return None


def _frequency(task: Problem, springs: Springs, chosen: SpringSet, display: Display) -> Outcome | None:
    """Run the ride frequency's own step in the reference load case."""
    coilover, case = task.coilover, task.cases[task.reference]
    travel = chosen.ride_travel[task.reference]
    if not coilover.strap_travel <= travel <= coilover.bump_limit:
        return None
    stack = axles.stack_of(springs, chosen)
    past = chosen.crossover_travel
    given = {
        "axial_rate": float(stack.rate(travel) + coilover.gas_rate(travel)),
        "axial_load": chosen.axial_load[task.reference],
        "motion_ratio": float(coilover.motion_ratio(travel)),
        "motion_ratio_slope": float(coilover.motion_ratio_slope(travel)),
        "tire_rate": task.tire_rate,
        "sprung_mass_on_spring": case.sprung_mass,
        "axial_rate_past_crossover": (
            None if past is None else float(springs.rate[chosen.main] + coilover.gas_rate(travel))
        ),
        "ride_travel": travel,
    }
    try:
        return run(find("natural_frequency"), given, None, display)
    except InputError:
        return None


def _damping(rig: Rig, task: Problem, frequency: Outcome, display: Display) -> Outcome | None:
    values = frequency.values
    given = {
        "sprung_mass_on_spring": values["sprung_mass_on_spring"],
        "wheel_rate": values["wheel_rate"],
        "motion_ratio": values["motion_ratio"],
        "wheel_rate_past_crossover": values["wheel_rate_past_crossover"],
        "wanted_damping_ratio": rig.get(f"{task.axle}.wanted_damping_ratio"),
        "tire_rate": task.tire_rate,
    }
    try:
        return run(find("critical_damping"), given, None, display)
    except InputError:
        return None


def _forces(damping: Outcome | None, critical: str) -> DampingAnswer | None:
    """Return the forces that the wanted ratio means in one regime: compression and rebound share the mean."""
    if damping is None or damping.values.get(critical) is None or damping.values.get("wanted_damping_ratio") is None:
        return None
    values = damping.values
    mean = values["wanted_damping_ratio"] * values[critical] / values["motion_ratio"] ** 2
    compression = 2 * mean / (1 + REBOUND_RATIO)
    return DampingAnswer(
        coefficient=mean,
        compression=tuple(compression * speed for speed in DAMPER_SPEEDS),
        rebound=tuple(compression * REBOUND_RATIO * speed for speed in DAMPER_SPEEDS),
    )


def _gas(rig: Rig, task: Problem, chosen: SpringSet, display: Display) -> Outcome | None:
    given = {
        **_known(rig, task.axle, ("gas_pressure", "gas_volume", "rod_diameter")),
        "ride_travel": chosen.ride_travel[task.reference],
        "bump_limit": task.coilover.bump_limit,
    }
    try:
        return run(find("gas"), given, None, display)
    except InputError:
        return None


# --- findings -----------------------------------------------------------------------------------------------------------------


def _quantities(task: Problem) -> Mapping[str, Quantity]:
    length = vocabulary.length
    return {
        "ride_frequency": vocabulary.natural_frequency.called("Ride frequency", "f"),
        "frequency_past_crossover": vocabulary.natural_frequency.called("Frequency past the crossover", "f_2"),
        "bump_left": length.called("Bump left", "x_bump"),
        "droop_left": length.called("Droop left", "x_droop"),
        "pad_clear": length.called("Room above the bump stop", "x_pad"),
        "pad_touch_before_collapsed": keys()[f"{task.axle}.pad_touch_before_collapsed"].quantity,
    }


def _findings(made: AxleOrder, task: Problem, doubts: Mapping[str, float], display: Display) -> Iterable[Finding]:
    """Judge the chosen set by what was wished, by the stack's own rules, and by the bump stop."""
    chosen, wishes = made.chosen, task.wishes
    if chosen is None:
        return
    low, high = wishes.frequency
    wanted = _span(low, high, display)
    values = {
        "ride_frequency": chosen.ride_frequency[task.reference],
        "frequency_past_crossover": chosen.frequency_past_crossover,
        "bump_left": min(case.bump_left for case in made.cases),
        "droop_left": min(case.droop_left for case in made.cases),
        "pad_clear": made.pad_clear,
    }
    uncertain = {
        "ride_frequency": doubts["frequency"],
        "frequency_past_crossover": doubts["frequency"],
        "bump_left": doubts["travel"],
        "droop_left": doubts["travel"],
        "pad_clear": doubts["travel"],
    }
    checks = [
        Check(
            rule="ride frequency",
            value="ride_frequency",
            at_least=low,
            at_most=high,
            holds=f"It rides at {{value}}, inside the wanted {wanted}.",
            close=f"It rides at {{value}} ± {{doubt}}, so it may leave the wanted {wanted}.",
            fails=f"It rides at {{value}}, outside the wanted {wanted}.",
        )
    ]
    if wishes.frequency_past_crossover is not None and chosen.tender is not None:
        past_low, past_high = wishes.frequency_past_crossover
        past = _span(past_low, past_high, display)
        checks.append(
            Check(
                rule="frequency past the crossover",
                value="frequency_past_crossover",
                at_least=past_low,
                at_most=past_high,
                holds=f"Past the crossover it is {{value}}, inside the wanted {past}.",
                close=f"Past the crossover it is {{value}} ± {{doubt}}, so it may leave the wanted {past}.",
                fails=f"Past the crossover it is {{value}}, outside the wanted {past}.",
            )
        )
    for name, words, limit in (("bump_left", "bump", wishes.bump), ("droop_left", "droop", wishes.droop)):
        checks.append(
            Check(
                rule=f"{words} left",
                value=name,
                at_least=limit,
                holds=f"In every load case at least {{value}} of {words} is left at the damper; {{limit}} is wanted.",
                close=f"The least {words} left is {{value}} ± {{doubt}}; {{limit}} is wanted.",
                fails=f"In some load case only {{value}} of {words} is left at the damper; {{limit}} is wanted.",
            )
        )
    checks.append(
        Check(
            rule="bump stop clear at rest",
            value="pad_clear",
            at_least=0.0,
            holds="At rest the bump stop is clear in every load case, by at least {value}.",
            close="At rest the bump stop is clear by {value} ± {doubt} in the heaviest load case.",
            fails="At rest the bump stop is already pressed in some load case ({value}).",
            unchecked="Whether the bump stop is clear at rest",
        )
    )
    quantities = _quantities(task)

    def missing(name: str) -> tuple[str, ...]:
        return ("pad_touch_before_collapsed",) if name == "pad_clear" else (name,)

    for check in checks:
        yield check_finding(check, values, uncertain, quantities.__getitem__, display, missing)
    if made.stack is not None:
        # The stack is judged in the heaviest load case; a helper is nearest to open in the lightest.
        skipped = (_OF_A_PAIR if chosen.tender is None else frozenset()) | {axles.HELPER_RULE}
        yield from (finding for finding in made.stack.findings if finding.rule not in skipped)
    if chosen.helper is not None:
        yield axles.helper_finding(chosen, display)
    for outcome in (made.frequency, made.gas):
        if outcome is not None:
            yield from (finding for finding in outcome.findings if finding.rule not in _TOLD_ELSEWHERE)


# The steps say these of a corner as a whole; here the wishes say it closer, or it is no question of this rig.
_TOLD_ELSEWHERE = frozenset(("frequency usual", "load and weight agree", "sag is no static deflection"))


def _span(low: float, high: float, display: Display) -> str:
    quantity = vocabulary.natural_frequency
    return f"{display.number(low, quantity)} to {display.text(high, quantity)}"


def rating_findings(rig: Rig, display: Display = SHOP) -> tuple[Finding, ...]:
    """Return, for each axle, whether its load stays within its rating in every load case."""
    return tuple(_rating(rig, axle, display) for axle in AXLES)


def _rating(rig: Rig, axle: str, display: Display) -> Finding:
    loads = [(sum(masses), case) for case in rig.cases() if (masses := masses_of(rig, axle, case)) is not None]
    heaviest: tuple[float | None, LoadCase | None] = max(loads, key=lambda pair: pair[0]) if loads else (None, None)
    check = Check(
        rule="axle rating",
        value="axle_mass",
        at_most="axle_rating",
        holds=f"The {axle} axle carries at most {{value}}; it is rated for {{limit}}.",
        close=f"The {axle} axle carries up to {{value}} ± {{doubt}}; it is rated for {{limit}}.",
        fails=f"The {axle} axle carries up to {{value}}, more than the {{limit}} it is rated for.",
        unchecked=f"Whether the {axle} axle stays within its rating in every load case",
    )
    quantities = {
        "axle_mass": vocabulary.axle_mass.called(f"{axle} corner weights", "m"),
        "axle_rating": vocabulary.axle_rating.called(f"{axle} axle rating", "m_max"),
    }
    values = {"axle_mass": heaviest[0], "axle_rating": rig.get(f"{axle}.axle_rating")}
    doubts = {"axle_mass": vocabulary.axle_mass.plus_minus}
    found = check_finding(check, values, doubts, quantities.__getitem__, display)
    case = heaviest[1]
    if found.state == "not checked" or case is None or len(rig.cases()) < 2:
        return found
    # The label is the reader's own text, so it is put behind the sentence and never into a template.
    return replace(found, text=f"{found.text} Heaviest: {case.label}.")


def worst(findings: Iterable[Finding]) -> str:
    """Return the worst state among findings, or nothing when there are none."""
    states = {finding.state for finding in findings}
    return next((state for state in _WORST if state in states), "")


# --- what to measure next -------------------------------------------------------------------------------------------------------


def _next(rig: Rig, found: Iterable[AxleOrder]) -> str:
    """Name what would narrow the answer most: the first entry that is missing, else the doubt that moves it most."""
    for item in found:
        if item.needs is not None and item.needs.keys and not item.needs.sentences:
            return f"{axles.label(item.needs.keys[0])}, which the {item.axle} springs need"
    for item in found:
        key = _narrowest(rig, item)
        if key:
            return f"{axles.label(key)}, which moves the {item.axle} ride height most"
    return ""


def _narrowest(rig: Rig, item: AxleOrder) -> str:
    """Return the entry whose plus-minus moves the ride position most, an assumed one counted before a measured one."""
    if item.chosen is None or item.task is None:
        return ""
    names = (
        *(f"{side}_{item.axle}.corner_mass" for side in ("left", "right")),
        *(
            f"{item.axle}.{name}"
            for name in ("unsprung_mass", "lean", "damper_length", "motion_ratio", "gas_pressure", "gas_volume")
        ),
        *(f"{item.axle}.{name}" for name in ("rod_diameter", "seat_space", "damper_extended")),
    )
    best, largest = "", 0.0
    for key in names:
        known = rig.known(key)
        if known is None or known.plus_minus <= 0:
            continue
        moved = replace(rig, values={**rig.values, key: replace(rig.values[key], value=known.value + known.plus_minus)})
        task = axles.problem(moved, item.axle)
        if isinstance(task, axles.Needs):
            continue
        shift = abs(_ride_of(task, item) - item.chosen.ride_travel[item.task.reference])
        if key.endswith("seat_space"):
            shift = known.plus_minus
        weighed = shift * (10.0 if known.origin == "assumed" else 1.0)
        if weighed > largest:
            best, largest = key, weighed
    return best


def _ride_of(task: Problem, item: AxleOrder) -> float:
    if item.stack is None or item.chosen is None:
        return 0.0
    values = item.stack.values
    curve = StackCurve(
        tender_rate=None if values["stack_kind"] == "single" else values["tender_rate"],
        main_rate=values["main_rate"],
        preload=values["preload"],
        ring_gap=values["ring_gap"],
    )
    load = task.cases[task.reference].support_load
    return float(task.coilover.ride_travel(curve, load, item.chosen.ride_travel[task.reference]))


# --- plain data -----------------------------------------------------------------------------------------------------------------


def order_data(rig: Rig, springs: Springs) -> dict[str, Any]:
    """Return the order for a program: numbers in SI, sorted by whoever writes it, finite."""
    return data_of(order(rig, springs))


def data_of(made: Order) -> dict[str, Any]:
    """Return an order that was already made as plain data."""
    from calc.job.motions import motions_data

    return {
        "rig": made.rig.name,
        "estimate": made.estimate,
        "reasons": list(made.reasons),
        "assumed": list(made.assumed),
        "examples": made.examples,
        "unchecked": made.unchecked,
        "next": made.next,
        "axles": {item.axle: _axle_data(item, made.springs) for item in made.axles},
        "findings": [_finding_data(finding) for finding in (*made.ratings, made.forces, *made.rests)],
        "at_rest": standing_data(made.standing),
        "motions": motions_data(made),
    }


def _axle_data(item: AxleOrder, springs: Springs) -> dict[str, Any]:
    if item.needs is not None:
        return {"needs": list(item.needs.keys), "problems": list(item.needs.sentences)}
    if item.choice is None or item.task is None:
        return {"needs": [], "problems": []}
    choice = item.choice
    found: dict[str, Any] = {
        "needs": [],
        "problems": [item.lost_pick] if item.lost_pick else [],
        "fitting": choice.fitting,
        "tried": choice.tried,
        "working": choice.working,
        "rejected": dict(choice.rejected),
        "ranked": [set_data(one, springs) for one in choice.ranked],
        "near": [{**set_data(one, springs), "broken": list(one.broken())} for one in choice.near],
        "dropped": [
            {
                **set_data(one, springs),
                "broken": [{part.name: getattr(each, part.name) for part in fields(each)} for each in wrong],
            }
            for one, wrong in (item.resolved.dropped if item.resolved is not None else ())
        ],
        "limits": {part.name: getattr(item.task.limits, part.name) for part in fields(item.task.limits)},
        "findings": [_finding_data(finding) for finding in item.findings],
    }
    if item.chosen is None:
        return found
    return {
        **found,
        "own_pick": item.own_pick,
        "chosen": set_data(item.chosen, springs),
        "settings": settings(item),
        "side_settings": side_settings(item),
        "cases": [{part.name: getattr(case, part.name) for part in fields(case)} for case in item.cases],
        "damping": {
            regime: None
            if answer is None
            else {
                "coefficient": answer.coefficient,
                "speeds": list(DAMPER_SPEEDS),
                "compression": list(answer.compression),
                "rebound": list(answer.rebound),
            }
            for regime, answer in (("before", item.damping_before), ("past", item.damping_past))
        },
    }


def set_data(item: SpringSet, springs: Springs) -> dict[str, Any]:
    """Return one set for a program."""
    return {
        "helper": None if item.helper is None else springs.part[item.helper],
        "tender": None if item.tender is None else springs.part[item.tender],
        "main": springs.part[item.main],
        "score": item.score,
        "preload": item.preload,
        "adjuster": item.adjuster,
        "ring_gap": item.ring_gap,
        "ring_below_backed_off_adjuster": item.ring_below_adjuster,
        "crossover_travel": item.crossover_travel,
        "ride_travel": list(item.ride_travel),
        "ride_frequency": list(item.ride_frequency),
        "frequency_past_crossover": item.frequency_past_crossover,
        "tender_left": item.tender_left,
        "main_left": item.main_left,
    }


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


def _finding_data(finding: Finding) -> dict[str, Any]:
    return {part.name: getattr(finding, part.name) for part in fields(finding)}


def order_text(rig: Rig, springs: Springs, display: Display = SHOP) -> str:
    """Return the order for a person, in 80 columns."""
    from calc.job.order_text import text_of

    return text_of(order(rig, springs, None, display), display)
