"""How body and axles move on the chosen springs, by the steps' own functions, in the load case that the wishes hold for."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from calc.damper.bump_stop import LOAD_RULE
from calc.order.axle_order import AxleOrder
from calc.order.ground import damper_forces, of_ride_doubts, outcome_of, outcomes_of, rough_ground
from calc.quantity import SHOP, Display
from calc.ride._rest import UNSTABLE
from calc.rig import axle as axles
from calc.rig import mounts
from calc.rig.centers import centers
from calc.rig.entries import AXLES
from calc.rig.loads import axle_masses, unsprung_mass
from calc.rig.ordered import DampingForecast
from calc.rig.rig import Rig, axle_doubts, doubts_of
from calc.search.coilover import Coilover
from calc.step import Finding, Outcome, find
from calc.whole.at_rest import CaseAtRest
from calc.whole.on_chosen_springs import FACTOR_RULE, LEAN_RULE, ROADS_RULE, Standing, Stands

if TYPE_CHECKING:
    from calc.order.order import Order

# What is told of each step's results, most wanted first.
TOLD: Mapping[str, tuple[str, ...]] = {
    "force_targets": ("cavitation_speed", "compression_on_bench", "rebound_on_bench"),
    "rough_road": (
        "damper_speed_rms",
        "damper_speed_three_sigma",
        "damper_travel_three_sigma",
        "tire_load_rms",
        "tire_load_three_sigma",
        "body_acceleration_rms",
        "body_acceleration_three_sigma",
        "cavitation_time_share",
        "cavitation_road_speed",
    ),
    "articulation": (
        "heave_bump",
        "heave_droop",
        "one_wheel_bump",
        "one_wheel_droop",
        "articulation_bump",
        "articulation_droop",
        "level_articulation",
    ),
    "mount_places": ("motion_ratio", "damper_length", "lean", "lean_back", "articulation_ratio", "one_wheel_ratio"),
    "bump_stop": ("pad_touch", "pad_solid", "pad_energy", "stop_height", "solid_load_factor"),
    "pitch_bounce": ("bounce_frequency", "pitch_frequency", "frequency_ratio"),
    "corner_modes": ("body_frequency", "hop_frequency", "tramp_frequency", "hop_damping_ratio"),
    "wanted_roll_stiffness": (
        "missing_roll_stiffness",
        "front_bar_to_add",
        "rear_bar_to_add",
        "front_couple_share_with_bars",
        "roll_damping_ratio_with_bars",
        "front_articulation_left",
        "rear_articulation_left",
    ),
    "anti_roll_bar": ("needed_bar_diameter",),
    "roll": (
        "roll_gradient",
        "lean_in_turn",
        "front_load_transfer",
        "rear_load_transfer",
        "roll_margin",
        "front_couple_share",
        "roll_frequency",
        "roll_damping_ratio",
        "static_stability_factor",
        "side_slope_first_tire",
        "side_slope_both_tires",
    ),
}


def motions(made: Order, display: Display = SHOP) -> Mapping[str, Outcome]:
    """Return every motion that can be told: of the body, of each axle's corner, of roll."""
    found = {"body": body_motions(made, display)}
    found |= {item.axle: corner_motions(made, item, display) for item in made.axles}
    found |= {f"{item.axle} damper": damper_forces(made.rig, item, display) for item in made.axles}
    found |= {f"{item.axle} ground": rough_ground(made.rig, item, display) for item in made.axles}
    places = {f"{item.axle} mounts": mounts.in_space(made.rig, item.axle) for item in made.axles}
    found |= {name: None if done is None or done.errors else done.outcome for name, done in places.items()}
    found |= {f"{item.axle} travel": wheel_travel(made, item, display) for item in made.axles}
    found |= {f"{item.axle} landing": landing(made.rig, item, display) for item in made.axles}
    found["roll"] = rolling(made, display)
    found["wanted roll"] = wanted_roll(made, display)
    found |= {f"{item.axle} bar": bar(made.rig, item.axle, found["wanted roll"], display) for item in made.axles}
    return {name: outcome for name, outcome in found.items() if outcome is not None}


def motions_data(made: Order) -> dict[str, dict[str, float]]:
    """Return the told motions as plain data, in SI."""
    return {
        place: {name: float(found.values[name]) for name in TOLD[found.step.name] if found.values[name] is not None}
        for place, found in motions(made).items()
    }


def corner_motions(made: Order, item: AxleOrder, display: Display = SHOP) -> Outcome | None:
    """Return body and hop frequencies of one corner with the wanted damping, or None while its axle has no set."""
    rig = made.rig
    if item.frequency is None or item.task is None:
        return None
    of_ride = item.frequency.values
    coefficient = None if item.damping_before is None else item.damping_before.coefficient
    given = {
        **{name: of_ride[name] for name in ("sprung_mass_on_spring", "wheel_rate", "tire_rate", "motion_ratio")},
        "unsprung_mass": unsprung_mass(rig, item.axle, rig.reference().items),
        "damping_coefficient": coefficient,
        # Wheels that nothing joins do not tramp.
        "track": None if rig.independent(item.axle) else rig.get(f"{item.axle}.track"),
        "coil_over_roll_stiffness": _roll_stiffness(made, item.axle),
    }
    doubts = {
        **of_ride_doubts(item, ("sprung_mass_on_spring", "wheel_rate", "tire_rate", "motion_ratio")),
        **axle_doubts(rig, item.axle, ("unsprung_mass", "track")),
    }
    return outcome_of("corner_modes", given, doubts, display)


def upright(made: Order) -> CaseAtRest | None:
    """Return the rig as it stands in the load case of the wishes; None where it is not solved or does not stand.

    What it says of roll is what the whole rig says, so that no motion is told of another rig.
    """
    if not isinstance(made.standing, Standing):
        return None
    case = made.standing.rest.cases[made.standing.reference]
    return case if case.corners else None


def _roll_stiffness(made: Order, axle: str) -> float | None:
    """Return how both coil-overs of an axle resist the body's lean at rest, with the load along them counted."""
    case = upright(made)
    if case is None:
        return None
    return case.roll_stiffness[AXLES.index(axle)] - (made.rig.get(f"{axle}.bar_roll_stiffness") or 0.0)


def wheel_travel(made: Order, item: AxleOrder, display: Display = SHOP) -> Outcome | None:
    """Return how far the wheels go from ride in heave, with one wheel and in articulation; None while it is not known.

    Independent wheels go each as far as in heave, whatever the other one does, so there is nothing to tell apart.
    """
    rig = made.rig
    if item.task is None or item.chosen is None or rig.independent(item.axle):
        return None
    coilover, ride = item.task.coilover, item.chosen.ride_travel[item.task.reference]
    long = coilover.extended_length - ride
    names = ("mount_base", "mount_height", "roll_center_height", "track")
    given = {name: rig.get(f"{item.axle}.{name}") for name in names}
    if given["mount_height"] is not None:
        # Read at one height: where it rides, the axle stands otherwise below the body and its roll center.
        given["mount_height"] += _risen(rig, item.axle, coilover, long)
    case = upright(made)
    if case is not None and given["roll_center_height"] is not None:
        given["roll_center_height"] += case.center_rise[AXLES.index(item.axle)]
    measured, back = coilover.ratio is not None, mounts.lean_back(rig, item.axle)
    given |= {
        "ratio_by": "lean" if not measured else "measured" if back is None else "places",
        "measured_motion_ratio": float(coilover.motion_ratio(ride)) if measured else None,
        "measured_motion_ratio_slope": float(coilover.motion_ratio_slope(ride)) if measured else None,
        **_leans_at(rig, item.axle, coilover, long, back),
        "damper_length": long,
        "ride_travel": ride,
        "bump_limit": coilover.bump_limit,
        "strap_travel": coilover.strap_travel,
        "crossover_travel": item.chosen.crossover_travel,
    }
    return outcome_of("articulation", given, axle_doubts(rig, item.axle, (*names, "lean", "strap_travel")), display)


def _risen(rig: Rig, axle: str, coilover: Coilover, long: float) -> float:
    """Return how far the axle has risen to where a coil-over is so long, from where its lean was read."""
    read = coilover.ratio_length if coilover.ratio is not None else rig.get(f"{axle}.damper_length")
    return 0.0 if read is None else float(coilover.path.wheel_travel(read, long))


def _leans_at(rig: Rig, axle: str, coilover: Coilover, long: float, back: float | None) -> dict[str, float]:
    """Return the leans where a coil-over is so long: read at one height they are others where it rides.

    Where that fore and aft is known, the eyes are, and what parts them goes up and down alone.
    """
    if coilover.ratio is None:
        return {"lean": math.asin(coilover.eye_offset / long)}
    across = math.tan(rig.get(f"{axle}.lean") or 0.0)
    if back is None:
        read = coilover.ratio * coilover.ratio_length
        return {"lean": math.atan2(read * across, long * float(coilover.path.ratio(long)))}
    along = math.tan(back)
    read = coilover.ratio_length / math.sqrt(1.0 + across**2 + along**2)
    upright = read - _risen(rig, axle, coilover, long)
    return {"lean": math.atan2(read * across, upright), "lean_back": math.atan2(read * along, upright)}


def landing(rig: Rig, item: AxleOrder, display: Display = SHOP, index: int | None = None) -> Outcome | None:
    """Return what the bump stop takes and the fall it stands, both wheels together; None while that is not known.

    In a load case, or in that of the wishes. On the true curve: springs with their rate on each side of the ring, gas, the ratio as the coil-over leans, and the pad.
    """
    touched, solid = (rig.get(f"{item.axle}.{name}_before_collapsed") for name in ("pad_touch", "solid"))
    known = None not in (touched, solid) and item.frequency is not None and item.choice is not None
    if not known or item.frequency is None or item.choice is None or item.task is None or item.chosen is None:
        return None
    coilover, of_ride = item.task.coilover, item.frequency.values
    place = item.task.reference if index is None else index
    ride = item.chosen.ride_travel[place]
    ratio, mass = of_ride["motion_ratio"], of_ride["sprung_mass_on_spring"]
    if place != item.task.reference:
        ratio, mass = float(coilover.motion_ratio(ride)), item.task.cases[place].sprung_mass
    stack = axles.stack_of(item.choice.springs, item.chosen)
    step = float(stack.step_travel)
    gas = ("gas_pressure", "gas_volume", "rod_diameter") if np.any(coilover.rod_area) else ()
    given = {
        "pad_gap": rig.get(f"{item.axle}.damper_stroke") - touched - ride,
        "pad_depth": touched - solid,
        **{name: rig.get(f"{item.axle}.{name}") for name in ("pad_rate", "pad_solid_force", *gas)},
        "ride_travel": ride if gas else None,
        "sprung_mass_on_spring": mass,
        "ratio_by": "lean" if coilover.ratio is None else "measured",
        "motion_ratio": ratio,
        "motion_ratio_slope": float(coilover.motion_ratio_slope(ride)),
        "damper_length": coilover.extended_length - ride,
        "stack_rate": float(stack.rate(ride)),
        "stack_rate_past_crossover": float(stack.rate(step)) if math.isfinite(step) else None,
        "crossover_above_ride": step - ride if math.isfinite(step) else None,
        "droop_left": ride - coilover.strap_travel,
        "drop_height": 0.0,
    }
    doubts = {
        **of_ride_doubts(item, ("sprung_mass_on_spring", "motion_ratio")),
        **axle_doubts(rig, item.axle, ("pad_rate", "pad_solid_force", *gas)),
    }
    return outcome_of("bump_stop", given, doubts, display)


def landing_finding(rig: Rig, item: AxleOrder, display: Display = SHOP) -> Finding | None:
    """Return what the mounts bear as the pad goes solid, in the load case in which that is most; None where no landing is known.

    Of a rig it is judged by that, whatever the fall.
    """
    cases = () if item.task is None else item.task.cases
    landed = [(landing(rig, item, display, index), case.label) for index, case in enumerate(cases)]
    told = [
        (finding, label)
        for found, label in landed
        if found is not None
        for finding in found.findings
        if finding.rule == LOAD_RULE
    ]
    if not told:
        return None
    worst, label = max(told, key=lambda one: -math.inf if one[0].value is None else one[0].value)
    return replace(worst, text=f"{worst.text} Load case: {label}.") if len(cases) > 1 else worst


def rolling(made: Order, display: Display = SHOP) -> Outcome | None:
    """Return how the rig holds the body's lean on both axles' sets, or None while something that it needs is missing."""
    if not isinstance(made.standing, Standing):
        return None
    given = _of_roll(made.rig, made.axles, made.standing, made.standing.reference)
    return None if given is None else outcome_of("roll", *given, display)


def _rolling_in_each(rig: Rig, items: Sequence[AxleOrder], stands: Standing, display: Display) -> list[Outcome | None]:
    """Return how the rig holds the body's lean in every load case; None where something is missing in one of them."""
    given = [_of_roll(rig, items, stands, index) for index in range(len(rig.cases()))]
    known = [one for one in given if one is not None]
    found = iter(outcomes_of("roll", known, display))
    return [None if one is None else next(found) for one in given]


def _of_roll(
    rig: Rig, items: Sequence[AxleOrder], stands: Standing, index: int
) -> tuple[Mapping[str, Any], Mapping[str, float]] | None:
    """Return what the roll step takes in one load case, on the roll stiffness of the whole rig at rest there."""
    case, rest = rig.cases()[index], stands.rest.cases[index]
    found = centers(rig, case)
    if found is None or found.sprung is None:
        return None
    given: dict[str, Any] = {
        "sprung_center_height": found.sprung.height,
        "center_left_of_center": found.whole.left_of_center,
        "track_front": rig.get("front.track"),
        "track_rear": rig.get("rear.track"),
        "lateral_acceleration": rig.get("lateral_acceleration"),
        "driven_on_roads": rig.get("driven_on_roads"),
    }
    doubts = doubts_of(rig, {"track_front": "front.track", "track_rear": "rear.track"})
    for item, stiffness in zip(items, rest.roll_stiffness, strict=True):
        axle, masses = item.axle, axle_masses(rig, item.axle, case)
        unsprung = unsprung_mass(rig, axle, case.items)
        if item.frequency is None or masses is None or unsprung is None:
            return None
        bar, place = rig.get(f"{axle}.bar_roll_stiffness"), AXLES.index(axle)
        given |= {
            f"{axle}_sprung_mass": sum(masses) - unsprung,
            f"{axle}_unsprung_mass": unsprung,
            f"{axle}_roll_center_height": rig.get(f"{axle}.roll_center_height") + rest.center_rise[place],
            f"{axle}_bar_roll_stiffness": bar,
            f"{axle}_coil_over_roll_stiffness": stiffness - (bar or 0.0),
            f"{axle}_damping_coefficient": None if item.damping_before is None else item.damping_before.coefficient,
            f"{axle}_roll_arm": rest.roll_arm[place],
            f"{axle}_tire_rate": rig.get(f"{axle}.tire_rate"),
            f"{axle}_tire_radius": rig.get(f"{axle}.tire_loaded_radius"),
        }
        same = ("unsprung_mass", "roll_center_height", "bar_roll_stiffness", "tire_rate")
        places = {f"{axle}_{name}": f"{axle}.{name}" for name in same}
        doubts |= doubts_of(rig, places | {f"{axle}_tire_radius": f"{axle}.tire_loaded_radius"})
        doubts[f"{axle}_sprung_mass"] = 2 * item.frequency.plus_minus.get("sprung_mass_on_spring", 0.0)
    return given, doubts


def damping_forecast(made: Order) -> tuple[DampingForecast, ...]:
    """Return what the wanted damping comes to in every load case: body and hop of each axle, and the whole rig's roll."""
    rolls: dict[str, float] = {}
    if isinstance(made.standing, Standing):
        every = _rolling_in_each(made.rig, made.axles, made.standing, SHOP)
        for case, found in zip(made.rig.cases(), every, strict=True):
            if found is not None and found.values["roll_damping_ratio"] is not None:
                rolls[case.name] = float(found.values["roll_damping_ratio"])
    return tuple(
        DampingForecast(
            case=one.label,
            axle=item.axle,
            body=one.body,
            body_past=one.body_past,
            hop=one.hop,
            hop_past=one.hop_past,
            roll=rolls.get(one.name),
        )
        for case in made.rig.cases()
        for item in made.axles
        for one in item.ratios
        if one.name == case.name
    )


def wanted_roll(made: Order, display: Display = SHOP) -> Outcome | None:
    """Return what bars must add for the wanted roll gradient, and what they cost; None while that is not known."""
    rig, found = made.rig, rolling(made, display)
    wanted = rig.get("wanted_roll_gradient")
    if found is None or wanted is None:
        return None
    step = find("wanted_roll_stiffness")
    given = {name: found.values[name] for name in step.inputs if name in found.values}
    doubts = {name: found.plus_minus[name] for name in given if name in found.plus_minus}
    given |= {"wanted_roll_gradient": wanted, "wanted_front_bar_share": rig.get("wanted_front_bar_share")}
    return outcome_of(step.name, given, doubts, display)


def bar(rig: Rig, axle: str, wanted: Outcome | None, display: Display = SHOP) -> Outcome | None:
    """Return the bar that gives what an axle's bar must add; None where none is needed or its sizes are not entered."""
    sizes = {name: rig.get(f"{axle}.{name}") for name in ("bar_length", "bar_arm", "bar_base")}
    if wanted is None or None in sizes.values() or wanted.values[f"{axle}_bar_to_add"] <= 0:
        return None
    step, doubts = find("anti_roll_bar"), axle_doubts(rig, axle, tuple(sizes))
    given = {**sizes, "bar_diameter": step.inputs["bar_diameter"].quantity.typical}
    given["wanted_bar_stiffness"] = wanted.values[f"{axle}_bar_to_add"]
    first = outcome_of(step.name, given, doubts, display)
    if first is None:
        return None
    # By its needed diameter, which is that of any bar: it is worked through as the bar that is to be fitted.
    given["bar_diameter"] = float(first.values["needed_bar_diameter"])
    return outcome_of(step.name, given, doubts, display)


# What of the roll step is judged in the load case where it is worst.
WORST_CASE = (LEAN_RULE, ROADS_RULE, FACTOR_RULE)


def lean_findings(rig: Rig, items: Sequence[AxleOrder], stands: Stands, display: Display = SHOP) -> Iterator[Finding]:
    """Yield how far the body leans in a turn, and how high the weight lies over the track, in the worst load case."""
    if not isinstance(stands, Standing):
        return
    cases = _rolling_in_each(rig, items, stands, display)
    known = [(found, case.label) for found, case in zip(cases, rig.cases(), strict=True) if found is not None]
    if len(known) < len(cases):
        falls = any(case.status == UNSTABLE for case in stands.rest.cases)
        needs = (
            "a rig that stands upright"
            if falls
            else "the height of the center of gravity in every load case and the tires' loaded radii"
        )
        text = f"How far the body leans in a turn: needs {needs}."
        yield Finding(rule=LEAN_RULE, state="not checked", text=text)
        return
    for rules, worst in (
        ((LEAN_RULE, ROADS_RULE), max(known, key=lambda one: one[0].values["roll_gradient"])),
        ((FACTOR_RULE,), min(known, key=lambda one: one[0].values["static_stability_factor"])),
    ):
        outcome, label = worst
        # The label is the reader's own text, so it is put behind the sentence and never into a template.
        yield from (
            replace(finding, text=f"{finding.text} Load case: {label}.")
            for finding in outcome.findings
            if finding.rule in rules
        )


def body_motions(made: Order, display: Display = SHOP) -> Outcome | None:
    """Return bounce and pitch of the body on both axles' sets, or None while one of them has none."""
    given: dict[str, Any] = {"wheelbase": made.rig.get("wheelbase")}
    doubts = doubts_of(made.rig, {"wheelbase": "wheelbase"})
    for item in made.axles:
        if item.frequency is None:
            return None
        given[f"{item.axle}_sprung_mass"] = 2 * item.frequency.values["sprung_mass_on_spring"]
        given[f"{item.axle}_ride_rate"] = item.frequency.values["ride_rate"]
        doubts[f"{item.axle}_sprung_mass"] = 2 * item.frequency.plus_minus.get("sprung_mass_on_spring", 0.0)
        doubts[f"{item.axle}_ride_rate"] = item.frequency.plus_minus.get("ride_rate", 0.0)
    return outcome_of("pitch_bounce", given, doubts, display)
