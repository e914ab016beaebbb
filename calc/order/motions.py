"""How body and axles move on the chosen springs, by the steps' own functions, in the load case that the wishes hold for."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from calc.order.axle_order import AxleOrder
from calc.quantity import SHOP, Display
from calc.ride._rest import UNSTABLE
from calc.rig import mounts
from calc.rig.entries import AXLES
from calc.rig.loads import axle_masses, centers, unsprung_mass
from calc.rig.ordered import DampingForecast
from calc.rig.rig import Rig
from calc.rig.wires import Wires, like, of_axle, of_rig, of_step, run_on, run_on_each, values_on
from calc.search.coilover import Coilover
from calc.step import Finding, Known, Outcome, find
from calc.whole.at_rest import CaseAtRest
from calc.whole.on_chosen_springs import FACTOR_RULE, LEAN_RULE, ROADS_RULE, Standing

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


def motions(
    rig: Rig,
    items: Sequence[AxleOrder],
    stands: Standing | None,
    rolls: Sequence[Outcome | None],
    display: Display = SHOP,
) -> Mapping[str, Outcome]:
    """Return every motion that can be told: of the body, of each axle's corner, of roll in the load case of the wishes.

    `rolls` are those of `rolling_in_each`.
    """
    case = _upright(stands)
    found = {"body": _body(rig, items, display)}
    found |= {item.axle: _corner(rig, item, case, display) for item in items}
    found |= {f"{item.axle} damper": item.forces for item in items}
    found |= {f"{item.axle} ground": item.ground for item in items}
    places = {f"{item.axle} mounts": mounts.in_space(rig, item.axle) for item in items}
    found |= {name: None if done is None or done.errors else done.outcome for name, done in places.items()}
    found |= {f"{item.axle} travel": wheel_travel(rig, item, case, display) for item in items}
    found |= {
        f"{item.axle} landing": item.landings[item.task.reference] for item in items if item.task and item.landings
    }
    found["roll"] = rolls[stands.reference] if stands is not None else None
    found["wanted roll"] = wanted = _wanted_roll(rig, found["roll"], display)
    found |= {f"{item.axle} bar": _bar(rig, item.axle, wanted, display) for item in items}
    return {name: outcome for name, outcome in found.items() if outcome is not None}


def _body(rig: Rig, items: Sequence[AxleOrder], display: Display) -> Outcome | None:
    """Return bounce and pitch of the body on both axles' sets, or None while one of them has none."""
    wires = of_rig(rig, wheelbase="wheelbase")
    for item in items:
        if item.frequency is None:
            return None
        mass = 2 * item.frequency.values["sprung_mass_on_spring"]
        wires[f"{item.axle}_sprung_mass"] = _sprung_mass(item.frequency, mass)
        wires[f"{item.axle}_ride_rate"] = of_step(item.frequency, "ride_rate")["ride_rate"]
    return run_on("pitch_bounce", wires, display)


def _sprung_mass(frequency: Outcome, mass: float) -> Known:
    """Return an axle's sprung weight, twice as much in doubt as that on one of its springs."""
    plus_minus = 2 * frequency.plus_minus.get("sprung_mass_on_spring", 0.0)
    return Known(value=mass, origin="derived", plus_minus=plus_minus)


def _corner(rig: Rig, item: AxleOrder, case: CaseAtRest | None, display: Display) -> Outcome | None:
    """Return body and hop frequencies of one corner with the wanted damping, or None while its axle has no set."""
    if item.frequency is None:
        return None
    stiffness = None
    if case is not None:
        # How both coil-overs resist the body's lean at rest, with the load along them counted.
        stiffness = case.roll_stiffness[AXLES.index(item.axle)] - (rig.get(f"{item.axle}.bar_roll_stiffness") or 0.0)
    unsprung = unsprung_mass(rig, item.axle, rig.reference().items)
    wires = {
        **of_step(item.frequency, "sprung_mass_on_spring", "wheel_rate", "tire_rate", "motion_ratio"),
        "unsprung_mass": like(rig.known(f"{item.axle}.unsprung_mass"), unsprung),
        "damping_coefficient": None if item.damping_before is None else item.damping_before.coefficient,
        # Wheels that nothing joins do not tramp.
        **({} if rig.independent(item.axle) else of_axle(rig, item.axle, "track")),
        "coil_over_roll_stiffness": stiffness,
    }
    return run_on("corner_modes", wires, display)


def _upright(stands: Standing | None) -> CaseAtRest | None:
    """Return the rig as it stands in the load case of the wishes; None where it is not solved or does not stand.

    What it says of roll is what the whole rig says, so that no motion is told of another rig.
    """
    if stands is None:
        return None
    case = stands.rest.cases[stands.reference]
    return case if case.corners else None


def wheel_travel(rig: Rig, item: AxleOrder, case: CaseAtRest | None, display: Display) -> Outcome | None:
    """Return how far the wheels go from ride in heave, with one wheel and in articulation; None while it is not known.

    Independent wheels go each as far as in heave, whatever the other one does, so there is nothing to tell apart.
    """
    if item.task is None or item.chosen is None or rig.independent(item.axle):
        return None
    coilover, ride = item.task.coilover, item.chosen.ride_travel[item.task.reference]
    long = coilover.extended_length - ride
    wires = of_axle(rig, item.axle, "mount_base", "mount_height", "roll_center_height", "track")
    height, center = wires["mount_height"], wires["roll_center_height"]
    if height is not None:
        # Read at one height: where it rides, the axle stands otherwise below the body and its roll center.
        wires["mount_height"] = like(height, height.value + _risen(rig, item.axle, coilover, long))
    if case is not None and center is not None:
        wires["roll_center_height"] = like(center, center.value + case.center_rise[AXLES.index(item.axle)])
    measured, back = coilover.ratio is not None, mounts.lean_back(rig, item.axle)
    leans = _leans_at(rig, item.axle, coilover, long, back)
    wires |= {
        "ratio_by": "lean" if not measured else "measured" if back is None else "places",
        "measured_motion_ratio": float(coilover.motion_ratio(ride)) if measured else None,
        "measured_motion_ratio_slope": float(coilover.motion_ratio_slope(ride)) if measured else None,
        **leans,
        "lean": like(rig.known(f"{item.axle}.lean"), leans["lean"]),
        "damper_length": long,
        "ride_travel": ride,
        "bump_limit": coilover.bump_limit,
        "strap_travel": like(rig.known(f"{item.axle}.strap_travel"), coilover.strap_travel),
        "crossover_travel": item.chosen.crossover_travel,
    }
    return run_on("articulation", wires, display)


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


def rolling_in_each(
    rig: Rig, items: Sequence[AxleOrder], stands: Standing | None, display: Display = SHOP
) -> tuple[Outcome | None, ...]:
    """Return how the rig holds the body's lean in every load case; None where something is missing in one of them."""
    if stands is None:
        return ()
    wired = [_of_roll(rig, items, stands, index) for index in range(len(rig.cases()))]
    ran = iter(run_on_each("roll", [wires for wires in wired if wires is not None], display))
    return tuple(None if wires is None else next(ran) for wires in wired)


def _of_roll(rig: Rig, items: Sequence[AxleOrder], stands: Standing, index: int) -> Wires | None:
    """Return what the roll step takes in one load case, on the roll stiffness of the whole rig at rest there."""
    case, rest = rig.cases()[index], stands.rest.cases[index]
    found = centers(rig, case)
    if found is None or found.sprung is None:
        return None
    wires = {
        "sprung_center_height": found.sprung.height,
        "center_left_of_center": found.whole.left_of_center,
        **of_rig(rig, track_front="front.track", track_rear="rear.track"),
        "lateral_acceleration": rig.get("lateral_acceleration"),
        "driven_on_roads": rig.get("driven_on_roads"),
    }
    for place, item in enumerate(items):
        axle, masses = item.axle, axle_masses(rig, item.axle, case)
        unsprung = unsprung_mass(rig, axle, case.items)
        if item.frequency is None or masses is None or unsprung is None:
            return None
        own = of_axle(rig, axle, "bar_roll_stiffness", "tire_rate", "roll_center_height", "unsprung_mass")
        bar, height = rig.get(f"{axle}.bar_roll_stiffness"), rig.get(f"{axle}.roll_center_height")
        own |= {
            "sprung_mass": _sprung_mass(item.frequency, sum(masses) - unsprung),
            "unsprung_mass": like(own["unsprung_mass"], unsprung),
            "roll_center_height": like(own["roll_center_height"], height + rest.center_rise[place]),
            "coil_over_roll_stiffness": rest.roll_stiffness[place] - (bar or 0.0),
            "damping_coefficient": None if item.damping_before is None else item.damping_before.coefficient,
            "roll_arm": rest.roll_arm[place],
            "tire_radius": rig.known(f"{axle}.tire_loaded_radius"),
        }
        wires |= {f"{axle}_{name}": wire for name, wire in own.items()}
    return wires


def damping_forecast(
    rig: Rig, items: Sequence[AxleOrder], rolls: Sequence[Outcome | None]
) -> tuple[DampingForecast, ...]:
    """Return what the wanted damping comes to in every load case: body and hop of each axle, and the whole rig's roll."""
    of_roll = {
        case.name: roll.values["roll_damping_ratio"]
        for case, roll in zip(rig.cases(), rolls, strict=False)
        if roll is not None
    }
    return tuple(
        DampingForecast(
            case=one.label,
            axle=item.axle,
            body=one.body,
            body_past=one.body_past,
            hop=one.hop,
            hop_past=one.hop_past,
            roll=of_roll.get(one.name),
        )
        for case in rig.cases()
        for item in items
        for one in item.ratios
        if one.name == case.name
    )


def _wanted_roll(rig: Rig, roll: Outcome | None, display: Display) -> Outcome | None:
    """Return what bars must add for the wanted roll gradient, and what they cost; None while that is not known."""
    if roll is None or rig.get("wanted_roll_gradient") is None:
        return None
    taken = (name for name in find("wanted_roll_stiffness").inputs if name in roll.values)
    wanted = ("wanted_roll_gradient", "wanted_front_bar_share")
    return run_on("wanted_roll_stiffness", of_step(roll, *taken) | {name: rig.get(name) for name in wanted}, display)


def _bar(rig: Rig, axle: str, wanted: Outcome | None, display: Display) -> Outcome | None:
    """Return the bar that gives what an axle's bar must add; None where none is needed or its sizes are not entered."""
    sizes = of_axle(rig, axle, "bar_length", "bar_arm", "bar_base")
    if wanted is None or None in sizes.values() or wanted.values[f"{axle}_bar_to_add"] <= 0:
        return None
    wires = {**sizes, "wanted_bar_stiffness": wanted.values[f"{axle}_bar_to_add"]}
    typical = find("anti_roll_bar").inputs["bar_diameter"].quantity.typical
    first = values_on("anti_roll_bar", {**wires, "bar_diameter": typical})
    if first is None:
        return None
    # By its needed diameter, which is that of any bar: it is worked through as the bar that is to be fitted.
    return run_on("anti_roll_bar", {**wires, "bar_diameter": first["needed_bar_diameter"]}, display)


# What of the roll step is judged in the load case where it is worst.
WORST_CASE = (LEAN_RULE, ROADS_RULE, FACTOR_RULE)


def lean_findings(rig: Rig, rolls: Sequence[Outcome | None], stands: Standing | None) -> Iterator[Finding]:
    """Yield how far the body leans in a turn, and how high the weight lies over the track, in the worst load case."""
    if stands is None:
        return
    known = [(roll, case.label) for roll, case in zip(rolls, rig.cases(), strict=True) if roll is not None]
    if len(known) < len(rolls):
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
