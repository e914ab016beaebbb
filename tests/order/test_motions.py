"""The rig's motions against eigenvalues and moments written here from the entries, by scipy and plain arithmetic."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.linalg import eigh

from calc.damper.bump_stop import LOAD_RULE, MOST_LOAD
from calc.order.axle_order import AxleOrder
from calc.order.order import order
from calc.rig.file import wren
from calc.rig.rig import Entry, Rig
from calc.sheet.rig.lists import handbook_springs
from calc.whole.on_chosen_springs import Standing

GRAVITY = 9.80665
WREN = wren()
MADE = order(WREN, handbook_springs())
UNSPRUNG = {"front": 342.5, "rear": 298.0}


def test_body_and_hop_are_the_eigenvalues_of_two_masses() -> None:
    for item in MADE.axles:
        found = MADE.motions.get(item.axle)
        assert found is not None
        assert item.frequency is not None
        wheel, tire = item.frequency.values["wheel_rate"], 260e3
        masses = np.diag([item.frequency.values["sprung_mass_on_spring"], UNSPRUNG[item.axle] / 2])
        squares = eigh(np.array([[wheel, -wheel], [-wheel, wheel + tire]]), masses, eigvals_only=True)
        told = [found.values["body_frequency"], found.values["hop_frequency"]]
        assert told == pytest.approx(np.sqrt(squares) / (2 * math.pi), rel=1e-9)


def test_bounce_and_pitch_are_the_eigenvalues_of_the_half_car() -> None:
    found = MADE.motions.get("body")
    assert found is not None
    rates, masses = [], []
    for item in MADE.axles:
        assert item.frequency is not None
        rates.append(2 * item.frequency.values["ride_rate"])
        masses.append(2 * item.frequency.values["sprung_mass_on_spring"])
    ahead = 2.85 * masses[1] / sum(masses)
    behind = 2.85 - ahead
    stiffness = np.array(
        [
            [rates[0] + rates[1], rates[1] * behind - rates[0] * ahead],
            [rates[1] * behind - rates[0] * ahead, rates[0] * ahead**2 + rates[1] * behind**2],
        ]
    )
    squares = eigh(stiffness, np.diag([sum(masses), 0.95 * sum(masses) * ahead * behind]), eigvals_only=True)
    told = sorted(found.values[name] for name in ("bounce_frequency", "pitch_frequency"))
    assert told == pytest.approx(np.sqrt(squares) / (2 * math.pi), rel=1e-9)


def _stands(axle: str) -> tuple[float, float, float]:
    """Where the whole rig stands: the mean length and load of an axle's coil-overs, and how far the axle has risen."""
    assert isinstance(MADE.standing, Standing)
    corners = MADE.standing.rest.cases[MADE.standing.reference].corners
    both = [corner for corner in corners if corner.name.endswith(axle)]
    long, load = (sum(getattr(one, name) for one in both) / 2 for name in ("damper_length", "axial_force"))
    read, lean = (float(WREN.get(f"{axle}.{name}")) for name in ("damper_length", "lean"))
    across = read * math.sin(lean)
    return long, load, math.sqrt(read**2 - across**2) - math.sqrt(long**2 - across**2)


def energy_of_lean(item_axle: str, lean: float) -> float:
    """Potential energy of both coil-overs as the axle turns by a small angle under the body, ends followed exactly."""
    item = next(one for one in MADE.axles if one.axle == item_axle)
    assert item.frequency is not None
    entry = {
        name: WREN.get(f"{item_axle}.{name}")
        for name in ("mount_base", "mount_height", "roll_center_height", "lean", "damper_length")
    }
    long, load, risen = _stands(item_axle)
    rate, across = item.frequency.values["axial_rate"], entry["damper_length"] * math.sin(entry["lean"])
    total = 0.0
    for side in (1, -1):
        y, z = side * entry["mount_base"] / 2, entry["mount_height"] + risen - entry["roll_center_height"]
        body = (y - side * across, z + math.sqrt(long**2 - across**2))
        turned = (
            y * math.cos(lean) - z * math.sin(lean),
            y * math.sin(lean) + z * math.cos(lean),
        )
        pressed = long - math.dist(body, turned)
        total += load * pressed + rate * pressed**2 / 2
    return total


def test_the_roll_stiffness_is_the_second_difference_of_the_springs_energy() -> None:
    found = MADE.motions.get("roll")
    assert found is not None
    step = 1e-3
    for axle in ("front", "rear"):
        around = energy_of_lean(axle, step) + energy_of_lean(axle, -step) - 2 * energy_of_lean(axle, 0.0)
        assert found.values[f"{axle}_coil_over_roll_stiffness"] == pytest.approx(around / step**2, rel=2e-4)


def test_the_roll_margin_is_that_of_moments() -> None:
    found = MADE.motions.get("roll")
    assert found is not None
    values = found.values
    masses = {"front": values["front_sprung_mass"], "rear": values["rear_sprung_mass"]}
    axis = (masses["front"] * 0.53 + masses["rear"] * 0.60) / sum(masses.values())
    height = ((sum(masses.values()) + sum(UNSPRUNG.values())) * 0.840 - sum(UNSPRUNG.values()) * 0.440) / sum(
        masses.values()
    )
    springs = values["front_coil_over_roll_stiffness"] + values["rear_coil_over_roll_stiffness"]
    assert values["roll_margin"] == pytest.approx(
        springs / (sum(masses.values()) * GRAVITY * (height - axis)), rel=1e-9
    )


def test_wheel_travel_is_that_of_the_eyes_in_the_plane() -> None:
    """Both wheels together: the lower eye goes straight up under the upper one until the stop is solid."""
    for item in MADE.axles:
        found = MADE.motions.get(f"{item.axle} travel")
        assert found is not None
        assert item.task is not None
        assert item.chosen is not None
        offset = WREN.get(f"{item.axle}.damper_length") * math.sin(WREN.get(f"{item.axle}.lean"))
        long = WREN.get(f"{item.axle}.damper_extended")
        ride = long - item.chosen.ride_travel[item.task.reference]
        stop = long - (WREN.get(f"{item.axle}.damper_stroke") - WREN.get(f"{item.axle}.solid_before_collapsed"))
        upright = [math.sqrt(length**2 - offset**2) for length in (ride, stop, long)]
        assert found.values["heave_bump"] == pytest.approx(upright[0] - upright[1], rel=1e-9)
        assert found.values["heave_droop"] == pytest.approx(upright[2] - upright[0], rel=1e-9)


def test_the_gas_holds_up_the_compression_force_as_long_as_pressure_times_area_does() -> None:
    """Cavitation where the damping part reaches absolute pressure on the ring between piston and rod."""
    for item in MADE.axles:
        found = item.forces
        assert found is not None
        assert item.damping_before is not None
        pressure = WREN.get(f"{item.axle}.gas_pressure") + 101325.0
        piston, rod = (WREN.get(f"{item.axle}.{name}") for name in ("piston_diameter", "rod_diameter"))
        most = pressure * math.pi / 4 * (piston**2 - rod**2)
        at_speed = item.damping_before.compression[0] / 0.127
        knee, slope = (WREN.get(f"{item.axle}.{name}") for name in ("knee_speed", "slope_past_knee"))
        assert most / at_speed > knee
        assert found.values["cavitation_speed"] == pytest.approx(knee + (most / at_speed - knee) / slope, rel=1e-6)
        assert found.values["compression_force_slow"] == pytest.approx(at_speed * found.values["slow_speed"], rel=1e-9)


def test_what_is_not_known_is_not_told() -> None:
    blank = order(Rig(), handbook_springs())
    assert not blank.motions
    low = replace(WREN, load_cases=tuple(replace(case, center_of_gravity_height=None) for case in WREN.load_cases))
    made = order(low, handbook_springs())
    assert "roll" not in made.motions
    assert "body" in made.motions


def true_curve(item: AxleOrder, index: int | None = None) -> tuple[Callable[[float], float], float, float, float]:
    """Force along the damper at a travel from full extension, written from the entries and the springs of the set.

    With the gas that settled at ride and is compressed quickly from there, and the pad 1.5 times as firm as in a press.
    Also: where the rig sits, where the pad is touched and where it is solid.
    """
    assert item.chosen is not None
    assert item.task is not None
    assert item.chosen.tender is not None
    assert item.chosen.ring_gap is not None
    springs, chosen = handbook_springs(), item.chosen
    ride = chosen.ride_travel[item.task.reference if index is None else index]
    tender, main = float(springs.rate[chosen.tender]), float(springs.rate[chosen.main])
    both = tender * main / (tender + main)
    # The divider meets the ring as the tender has given way by the gap.
    ring = chosen.ring_gap * (tender + main) / main
    entry = {
        name: float(WREN.get(f"{item.axle}.{name}"))
        for name in (
            "damper_stroke",
            "pad_touch_before_collapsed",
            "solid_before_collapsed",
            "gas_pressure",
            "gas_volume",
        )
    }
    touched, solid = (entry["damper_stroke"] - entry[f"{name}_before_collapsed"] for name in ("pad_touch", "solid"))
    rod = math.pi / 4 * float(WREN.get(f"{item.axle}.rod_diameter")) ** 2
    room = entry["gas_volume"] - rod * ride
    settled = (entry["gas_pressure"] + 101325.0) * entry["gas_volume"] / room
    depth, first, last = 0.0508, 300 * 4.4482216152605 / 0.0254, 2200 * 4.4482216152605

    def force(travel: float) -> float:
        push = both * (chosen.preload + min(travel, ring)) + main * max(travel - ring, 0.0)
        push += (settled * (room / (room - rod * (travel - ride))) ** 1.4 - 101325.0) * rod
        squash = max(travel - touched, 0.0)
        return push + 1.5 * (first * squash + (last - first * depth) * (squash / depth) ** 3)

    return force, ride, touched, solid


def height(axle: str, travel: float) -> float:
    """How high the upper eye stands above the lower one at a damper travel."""
    offset = WREN.get(f"{axle}.damper_length") * math.sin(WREN.get(f"{axle}.lean"))
    return math.sqrt((WREN.get(f"{axle}.damper_extended") - travel) ** 2 - offset**2)


def test_a_landing_takes_what_springs_gas_and_pad_take_on_their_true_curve() -> None:
    """From full droop to the pad solid: the work along the damper, integrated, less the weight's own way, over the weight."""
    for item in MADE.axles:
        found = MADE.motions.get(f"{item.axle} landing")
        assert found is not None
        assert item.frequency is not None
        force, ride, touched, solid = true_curve(item)
        weight = item.frequency.values["sprung_mass_on_spring"] * GRAVITY
        up = {travel: height(item.axle, ride) - height(item.axle, travel) for travel in (touched, solid, 0.0)}
        assert [found.values["pad_touch"], found.values["pad_solid"]] == pytest.approx([up[touched], up[solid]])
        work = quad(force, 0.0, solid, points=[touched, found.values["crossover_above_ride"] + ride], limit=200)[0]
        fall = work / weight - (up[solid] - up[0.0])
        # The ride position balances the springs to a hair, which the preload's turns leave.
        assert found.values["stop_height"] == pytest.approx(fall, abs=2e-5)
        long = WREN.get(f"{item.axle}.damper_extended") - solid
        assert found.values["solid_load_factor"] == pytest.approx(
            force(solid) * height(item.axle, solid) / long / weight, rel=1e-6
        )


def test_the_landing_that_loads_the_mounts_most_is_a_finding_of_the_rig() -> None:
    """The force that makes the pad solid is one, so it is most times the weight where that is least: bare."""
    for item in MADE.axles:
        (found,) = [finding for finding in item.findings if finding.rule == LOAD_RULE]
        landed = item.landings[0]
        assert landed is not None
        assert (found.state, found.limit) == ("close", MOST_LOAD)
        assert found.value == landed.values["solid_load_factor"]
        assert item.task is not None
        factors = []
        for index, case in enumerate(item.task.cases):
            # The gas is at rest where the rig rides, and gets warm from there.
            force, _, _, solid = true_curve(item, index)
            upright = height(item.axle, solid) / (WREN.get(f"{item.axle}.damper_extended") - solid)
            factors.append(force(solid) * upright / (case.sprung_mass * GRAVITY))
        assert found.value == pytest.approx(max(factors), rel=1e-6)
        assert found.value > 1.02 * factors[item.task.reference]
        told = f"{found.value:.2f} times the weight on it, more than 5.00: a fabricator or an engineer must say whether the "
        told += "brackets can take that. Load case: Bare with one person, as weighed."
        assert found.text.replace("\u00a0", " ") == f"As the pad goes solid the wheel's load is {told}"


def test_without_the_pad_no_landing_is_told() -> None:
    bare = replace(WREN, values={key: value for key, value in WREN.values.items() if "pad_solid_force" not in key})
    made = order(bare, handbook_springs())
    assert not any("landing" in place for place in made.motions)


def test_the_damping_in_roll_is_that_of_four_dampers_and_the_body_written_out() -> None:
    """Each damper's length as the axle turns a little under the body, ends followed; power lost at a turning speed."""
    found = MADE.motions.get("roll")
    assert found is not None
    lost = 0.0
    for item in MADE.axles:
        assert item.damping_before is not None
        assert item.task is not None
        assert item.chosen is not None
        base, height, center, lean, read = (
            float(MADE.rig.get(f"{item.axle}.{name}"))
            for name in ("mount_base", "mount_height", "roll_center_height", "lean", "damper_length")
        )
        long, _, risen = _stands(item.axle)
        across = read * math.sin(lean)
        below = complex(base / 2, height + risen - center)
        above = below + complex(-across, math.sqrt(long**2 - across**2))
        step = 1e-6
        speed = (abs(above - below * np.exp(1j * step)) - abs(above - below * np.exp(-1j * step))) / (2 * step)
        lost += 2 * item.damping_before.coefficient * speed**2
    of = found.values
    sprung = of["front_sprung_mass"] + of["rear_sprung_mass"]
    springs = of["front_coil_over_roll_stiffness"] + of["rear_coil_over_roll_stiffness"]
    stiffness = springs - sprung * GRAVITY * of["roll_lever"]
    weights = [of[f"{axle}_sprung_mass"] + UNSPRUNG[axle] for axle in ("front", "rear")]
    gyration = 0.40 * (weights[0] * 1.640 + weights[1] * 1.660) / sum(weights)
    expected = lost / (2 * math.sqrt(stiffness * sprung * gyration**2))
    assert of["roll_damping_ratio"] == pytest.approx(expected, rel=1e-5)
    assert 0.2 < expected < 0.6


def test_the_bars_for_the_wanted_gradient_are_those_that_give_it_in_the_rig() -> None:
    """Wren wants 10 deg/g: with the bars that are told, on the rig itself, it leans so; each by the diameter that is told."""
    bar_of = {"bar_length": 0.9, "bar_arm": 0.28, "bar_base": 0.97}
    rig = replace(WREN, values={**WREN.values, **{f"front.{name}": Entry(value=size) for name, size in bar_of.items()}})
    made = order(rig, handbook_springs())
    wanted = made.motions.get("wanted roll")
    assert wanted is not None
    assert wanted.values["missing_roll_stiffness"] * math.pi / 180 / 1.3558179483 == pytest.approx(328, abs=4)
    fitted = {f"{axle}.bar_roll_stiffness": wanted.values[f"{axle}_bar_to_add"] for axle in ("front", "rear")}
    barred = order(
        replace(rig, values={**rig.values, **{name: Entry(value=value) for name, value in fitted.items()}}),
        handbook_springs(),
    )
    after, before = barred.motions.get("roll"), made.motions.get("roll")
    assert after is not None
    assert before is not None
    assert math.degrees(after.values["roll_gradient"] * GRAVITY) == pytest.approx(10.0, abs=0.05)
    assert after.values["roll_damping_ratio"] == pytest.approx(wanted.values["roll_damping_ratio_with_bars"], rel=0.01)
    assert after.values["roll_damping_ratio"] < 0.7 * before.values["roll_damping_ratio"]
    found = made.motions.get("front bar")
    assert found is not None
    assert found.values["bar_stiffness"] == pytest.approx(wanted.values["front_bar_to_add"], rel=1e-9)
    # Nothing is told of a bar whose sizes nobody entered.
    assert "rear bar" not in made.motions
    again = barred.motions.get("wanted roll")
    assert again is not None
    assert abs(again.values["missing_roll_stiffness"]) < 0.01 * wanted.values["missing_roll_stiffness"]


def test_without_a_wanted_gradient_no_bar_is_told() -> None:
    bare = replace(WREN, values={key: value for key, value in WREN.values.items() if key != "wanted_roll_gradient"})
    assert "wanted roll" not in order(bare, handbook_springs()).motions
