"""The wanted damping of an axle: its forces, whether the gas holds them up over the ground, and its ratio in every case."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import replace

from calc import vocabulary
from calc.damper._knee import bent
from calc.order.axle_order import DAMPER_SPEEDS, AxleOrder, DampingAnswer, DampingRatios, DampingShape
from calc.quantity import Display
from calc.rig.entries import AXLES, label
from calc.rig.loads import unsprung_mass
from calc.rig.rig import Rig
from calc.rig.wires import Wires, like, of_axle, of_rig, of_step, run_on, values_on
from calc.step import Finding, Outcome, find

HOLDS_RULE = "gas holds up on this ground"
# What the gas is asked for here is three sigma of the ground's damper speed, and not a speed that nobody chose.
OTHER_SPEED_RULE = "gas holds up the compression force"
_SHAPE = ("rebound_share", "knee_speed", "slope_past_knee")
_GAS = ("gas_pressure", "piston_diameter", "rod_diameter")
_WHEEL_RATES = ("wheel_rate", "wheel_rate_past_crossover")
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


def with_damping(rig: Rig, item: AxleOrder, swinging: Sequence[Wires | None], display: Display) -> AxleOrder:
    """Return an axle with all that its wanted damping comes to, by what its ride frequency is found from in each load case."""
    if item.frequency is None:
        return item
    corner = of_step(item.frequency, "sprung_mass_on_spring", "motion_ratio", "tire_rate", *_WHEEL_RATES)
    corner |= of_axle(rig, item.axle, "wanted_damping_ratio")
    damping, bends = run_on("critical_damping", corner, display), shape(rig, item.axle)
    before = _wanted_forces(damping, "critical_damping", bends)
    item = replace(
        item,
        damping=damping,
        damping_before=before,
        damping_past=_wanted_forces(damping, "critical_damping_past_crossover", bends),
        ratios=() if before is None else tuple(_ratios(rig, item.axle, swinging, before.coefficient)),
    )
    item = replace(item, forces=_damper_forces(rig, item, display))
    return replace(item, ground=_rough_ground(rig, item, display))


def _damper_forces(rig: Rig, item: AxleOrder, display: Display) -> Outcome | None:
    """Return the forces of the wanted damping and whether the gas holds them up; None while that is not known."""
    bends = shape(rig, item.axle)
    if item.frequency is None or item.damping is None or bends is None:
        return None
    wires = {
        **of_step(item.frequency, "sprung_mass_on_spring", "wheel_rate", "wheel_rate_past_crossover", "motion_ratio"),
        **of_axle(rig, item.axle, "wanted_damping_ratio", *_GAS),
        **({} if item.gas is None else of_step(item.gas, "gas_force")),
        **_of_shape(bends),
    }
    return run_on("force_targets", wires, display)


def _of_shape(bends: DampingShape) -> dict[str, float]:
    knee = {} if bends.knee_speed is None else {"knee_speed": bends.knee_speed}
    return {"rebound_share": bends.rebound_share, "slope_past_knee": bends.slope_past_knee, **knee}


def _rough_ground(rig: Rig, item: AxleOrder, display: Display) -> Outcome | None:
    """Return what the rig's ground does to a corner with the wanted damping; None while that is not known."""
    forces, bends = item.forces, shape(rig, item.axle)
    unsprung = unsprung_mass(rig, item.axle, rig.reference().items)
    if item.frequency is None or item.task is None or item.chosen is None or forces is None or bends is None:
        return None
    if forces.values["wanted_damping_coefficient"] is None or any(rig.get(name) is None for name in _ASSUMABLE):
        return None
    wires = {
        **of_step(item.frequency, "sprung_mass_on_spring", "wheel_rate", "tire_rate", "motion_ratio"),
        "unsprung_mass": like(rig.known(f"{item.axle}.unsprung_mass"), unsprung),
        "damping_coefficient": forces.values["wanted_damping_coefficient"],
        **of_rig(rig, **{name: name for name in _ASSUMABLE}),
        **{name: value for name, value in _of_shape(bends).items() if name != "rebound_share"},
        **of_step(forces, "cavitation_speed"),
        "bump_left": item.task.coilover.bump_limit - item.chosen.ride_travel[item.task.reference],
    }
    return run_on("rough_road", wires, display)


def _wanted_forces(damping: Outcome | None, critical: str, shape: DampingShape | None) -> DampingAnswer | None:
    """Return the forces that the wanted ratio means in one regime: compression and rebound share the mean."""
    if (
        damping is None
        or shape is None
        or damping.values.get(critical) is None
        or damping.values.get("wanted_damping_ratio") is None
    ):
        return None
    values = damping.values
    mean = values["wanted_damping_ratio"] * values[critical] / values["motion_ratio"] ** 2
    part, slope = shape.rebound_share, shape.slope_past_knee
    counting = [
        speed if shape.knee_speed is None else float(bent(speed, shape.knee_speed, slope)) for speed in DAMPER_SPEEDS
    ]
    return DampingAnswer(
        coefficient=mean,
        compression=tuple(2 * mean * (1 - part) * speed for speed in counting),
        rebound=tuple(2 * mean * part * speed for speed in counting),
    )


def _ratios(rig: Rig, axle: str, swinging: Sequence[Wires | None], coefficient: float) -> Iterator[DampingRatios]:
    """Yield what one damper, set for the reference load case, comes to in each of them."""
    for wires, case in zip(swinging, rig.cases(), strict=True):
        swings = None if wires is None else values_on("natural_frequency", wires)
        if swings is None:
            continue
        corner = {name: swings[name] for name in ("sprung_mass_on_spring", "motion_ratio", "tire_rate")}
        corner["damping_coefficient"] = coefficient
        rates = {name: swings[name] for name in _WHEEL_RATES}
        body = values_on("critical_damping", corner | rates)
        unsprung = unsprung_mass(rig, axle, case.items)
        hops = [
            values_on("corner_modes", {**corner, "unsprung_mass": unsprung, "wheel_rate": rate})
            for rate in rates.values()
            if unsprung and rate is not None
        ]
        if body is None or None in hops:
            continue
        damped = [hop["hop_damping_ratio"] for hop in hops if hop is not None]
        yield DampingRatios(
            name=case.name,
            label=case.label,
            body=body["damping_ratio"],
            body_past=body["damping_ratio_past_crossover"],
            hop=damped[0] if damped else None,
            hop_past=damped[1] if len(damped) > 1 else None,
        )


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
