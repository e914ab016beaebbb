"""The wanted damping of an axle: its forces, whether the gas holds them up over the ground, and its ratio in every case."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from calc import vocabulary
from calc.memo import Memo
from calc.order.axle_order import AxleOrder, DampingShape
from calc.quantity import SHOP, Display
from calc.rig.entries import AXLES, label
from calc.rig.loads import unsprung_mass
from calc.rig.rig import Rig, axle_doubts
from calc.step import Finding, Outcome, find, run_each

HOLDS_RULE = "gas holds up on this ground"
# What the gas is asked for here is three sigma of the ground's damper speed, and not a speed that nobody chose.
OTHER_SPEED_RULE = "gas holds up the compression force"
_SHAPE = ("rebound_share", "knee_speed", "slope_past_knee")
_GAS = ("gas_pressure", "piston_diameter", "rod_diameter")
_ASSUMABLE = ("road_class", "road_speed")


def shape(rig: Rig, axle: str) -> DampingShape | None:
    """Return how an axle's damping splits and bends, or None where an entry of it cannot be read.

    The rig is a completed one.
    """
    part, knee, slope = (rig.get(f"{axle}.{name}") for name in _SHAPE)
    if part is None or slope is None or (knee is None and slope < 1):
        return None
    return DampingShape(rebound_share=part, knee_speed=knee, slope_past_knee=slope)


def shape_words(bends: DampingShape, display: Display, guessed: Container[str] = ()) -> str:
    """Return how damping splits and bends, in words; what is only `guessed` is marked as assumed."""

    def mark(name: str) -> str:
        return " (assumed)" if name in guessed else ""

    words = f"{display.plain(bends.rebound_share, vocabulary.rebound_share)} of it in rebound{mark('rebound_share')}"
    if bends.slope_past_knee >= 1 or bends.knee_speed is None:
        return f"{words}, no knee{mark('slope_past_knee')}"
    knee = display.plain(bends.knee_speed, vocabulary.knee_speed)
    slope = display.plain(bends.slope_past_knee, vocabulary.slope_past_knee)
    return f"{words}, {slope} of the slope{mark('slope_past_knee')} past {knee}{mark('knee_speed')}"


def shape_line(rig: Rig, axle: str, display: Display) -> str:
    """Return an axle's of a completed rig, with what of it is assumed; empty where it is not known."""
    bends = shape(rig, axle)
    entries = {name: rig.values.get(f"{axle}.{name}") for name in _SHAPE}
    guessed = [name for name, entry in entries.items() if entry is not None and entry.origin == "assumed"]
    return "" if bends is None else shape_words(bends, display, guessed)


def shape_lines(rig: Rig, display: Display) -> str:
    """Return the same for both axles, said once where they are alike."""
    told = {axle: line for axle in AXLES if (line := shape_line(rig, axle, display))}
    if len(set(told.values())) == 1 and len(told) == len(AXLES):
        return next(iter(told.values()))
    return "; ".join(f"{axle} {line}" for axle, line in told.items())


def damper_forces(rig: Rig, item: AxleOrder, display: Display = SHOP) -> Outcome | None:
    """Return the forces of the wanted damping and whether the gas holds them up; None while that is not known."""
    bends = shape(rig, item.axle)
    if item.frequency is None or item.damping is None or bends is None:
        return None
    of_ride = item.frequency.values
    given = {
        **{name: of_ride[name] for name in ("sprung_mass_on_spring", "wheel_rate", "motion_ratio")},
        "wheel_rate_past_crossover": of_ride.get("wheel_rate_past_crossover"),
        **{name: rig.get(f"{item.axle}.{name}") for name in ("wanted_damping_ratio", *_GAS)},
        "gas_force": None if item.gas is None else item.gas.values["gas_force"],
        **_of_shape(bends),
    }
    doubts = {
        **of_ride_doubts(item, ("sprung_mass_on_spring", "wheel_rate", "wheel_rate_past_crossover", "motion_ratio")),
        **axle_doubts(rig, item.axle, _GAS),
    }
    if item.gas is not None:
        doubts["gas_force"] = item.gas.plus_minus.get("gas_force", 0.0)
    return outcome_of("force_targets", given, doubts, display)


def _of_shape(bends: DampingShape) -> dict[str, float]:
    knee = {} if bends.knee_speed is None else {"knee_speed": bends.knee_speed}
    return {"rebound_share": bends.rebound_share, "slope_past_knee": bends.slope_past_knee, **knee}


def rough_ground(rig: Rig, item: AxleOrder, display: Display = SHOP) -> Outcome | None:
    """Return what the rig's ground does to a corner with the wanted damping; None while that is not known."""
    forces, bends = item.forces or damper_forces(rig, item, display), shape(rig, item.axle)
    unsprung = unsprung_mass(rig, item.axle, rig.reference().items)
    if item.frequency is None or item.task is None or item.chosen is None or forces is None or bends is None:
        return None
    of_ride, task = item.frequency.values, item.task
    ways = {name: rig.get(name) for name in _ASSUMABLE}
    if None in ways.values() or forces.values["wanted_damping_coefficient"] is None:
        return None
    own = ("sprung_mass_on_spring", "wheel_rate", "tire_rate", "motion_ratio")
    given = {
        **{name: of_ride[name] for name in own},
        "unsprung_mass": unsprung,
        "damping_coefficient": forces.values["wanted_damping_coefficient"],
        **ways,
        **{name: value for name, value in _of_shape(bends).items() if name != "rebound_share"},
        "cavitation_speed": forces.values["cavitation_speed"],
        "bump_left": task.coilover.bump_limit - item.chosen.ride_travel[task.reference],
    }
    doubts = {
        **of_ride_doubts(item, own),
        **axle_doubts(rig, item.axle, ("unsprung_mass",)),
        **{name: forces.plus_minus.get(name, 0.0) for name in ("cavitation_speed",)},
    }
    return outcome_of("rough_road", given, doubts, display)


def ground_findings(rig: Rig, item: AxleOrder) -> Iterator[Finding]:
    """Yield what is said of the ground; where its gas or its damping is not known, that it was not checked."""
    checks, found = find("rough_road").checks, item.ground
    told = {} if found is None else {one.rule: one for one in found.findings if one.state != "not checked"}
    guessed = [name for name in _ASSUMABLE if (entry := rig.values.get(name)) is not None and entry.origin == "assumed"]
    for check in checks:
        if check.rule in told:
            yield _on_assumed(told[check.rule], guessed)
        elif check.rule == HOLDS_RULE:
            needed = [f"{item.axle}.{name}" for name in ("wanted_damping_ratio", *_GAS, *_SHAPE[::2])]
            missing = [key for key in (*needed, *_ASSUMABLE) if rig.get(key) is None]
            if missing:
                text = f"{check.unchecked}: needs {' and '.join(label(key) for key in missing)}."
                yield Finding(rule=check.rule, state="not checked", text=text)


def _on_assumed(finding: Finding, guessed: Iterable[str]) -> Finding:
    """Return a finding that says on which assumed ground it was judged."""
    names = " and ".join(label(key) for key in guessed)
    return replace(finding, text=f"{finding.text} Assumed: {names}.") if names else finding


def of_ride_doubts(item: AxleOrder, names: Iterable[str]) -> dict[str, float]:
    """Return the plus-minus of what the ride frequency was found from and with."""
    known = {} if item.frequency is None else item.frequency.plus_minus
    return {name: known[name] for name in names if name in known}


def outcome_of(name: str, given: Mapping[str, Any], doubts: Mapping[str, float], display: Display) -> Outcome | None:
    """Run a step; None while something that it needs is missing or contradicts itself."""
    return outcomes_of(name, [(given, doubts)], display)[0]


def outcomes_of(
    name: str, many: Sequence[tuple[Mapping[str, Any], Mapping[str, float]]], display: Display
) -> list[Outcome | None]:
    """Run a step on several inputs with their plus-minus, those that are new together."""
    known = [{key: value for key, value in given.items() if value is not None} for given, _ in many]
    sure = [
        {key: doubt for key, doubt in doubts.items() if key in own}
        for own, (_, doubts) in zip(known, many, strict=True)
    ]
    asked = list(zip(known, sure, strict=True))
    found = [_outcomes.find(one, display, place=name) for one in asked]
    new = [place for place, one in enumerate(found) if one is None]
    if new:
        ran = run_each(find(name), [asked[place] for place in new], display)
        for place, outcome in zip(new, ran, strict=True):
            found[place] = _outcomes.keep((outcome,), asked[place], display, place=name)
    return [None if one is None else one[0] for one in found]


# One answer of the rig page asks for the same motions in several of its sections, and for its data: of both axles or of
# every load case, in shop units and in a reader's own.
_outcomes: Memo[tuple[Outcome | None]] = Memo(room=12)
