"""The order: what it says of the chosen set against a plain solution, and how far it says that it may be trusted."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.answers.order import order_text
from calc.answers.order_data import data_of, order_data
from calc.order.axle_order import settings as bench_settings
from calc.order.order import Order, completed, order
from calc.quantity import METRIC, SHOP
from calc.rig.entries import keys
from calc.rig.file import wren
from calc.rig.part_words import STRAP
from calc.rig.rig import AS_FRONT, Entry, Rig
from calc.search.choose import at_wanted_height
from calc.sheet.rig.chosen_set import settings_table
from calc.tables import Springs, assortment_springs
from tests.whole.wrens_order import wrens_order

INCH = 0.0254
G = 9.80665
ATMOSPHERE = 101325.0
SPRINGS = assortment_springs()


@pytest.fixture(scope="module")
def made() -> Order:
    return wrens_order()


def sold(springs: Springs) -> Springs:
    """The same springs as if somebody sold them."""
    return replace(springs, note=("",) * len(springs))


def measured(rig: Rig) -> Rig:
    """The same rig as if everything in it had been measured."""
    values = {key: replace(entry, origin="measured") for key, entry in rig.values.items()}
    limits = ("least_preload", "least_adjuster_left", "least_tender_left", "least_main_left")
    own = {key: Entry(value=keys()[key].quantity.assumed) for key in limits}
    strap = {f"{axle}.strap_travel": Entry(value=1.0 * INCH) for axle in ("front", "rear")}
    return replace(rig, values={**values, **own, **strap})


def without(rig: Rig, *names: str) -> Rig:
    return replace(rig, values={key: entry for key, entry in rig.values.items() if key not in names})


def axial_force(travel: float, axle: str, springs: dict[str, float]) -> float:
    """Springs, ring and gas of one coil-over, written out from the balance of the divider."""
    rig = wren()
    tender, main, preload, gap = (springs[name] for name in ("tender", "main", "preload", "gap"))
    series = tender * main / (tender + main)
    crossover = gap * (tender + main) / main
    if travel <= crossover:
        spring = series * (preload + travel)
    else:
        spring = series * (preload + crossover) + main * (travel - crossover)
    area = math.pi / 4 * rig.get(f"{axle}.rod_diameter") ** 2
    pressure = rig.get(f"{axle}.gas_pressure") + ATMOSPHERE
    volume = rig.get(f"{axle}.gas_volume")
    return spring + (pressure * volume / (volume - area * travel) - ATMOSPHERE) * area


def motion_ratio(travel: float, axle: str) -> float:
    """The lower eye moves straight up under an upper eye that stays inboard by the same amount."""
    rig = wren()
    offset = rig.get(f"{axle}.damper_length") * math.sin(rig.get(f"{axle}.lean"))
    length = rig.get(f"{axle}.damper_extended") - travel
    return math.sqrt(length**2 - offset**2) / length


def plain_ride(axle: str, springs: dict[str, float], mass: float) -> float:
    """Where force times motion ratio holds up the weight."""
    return float(
        brentq(lambda x: axial_force(x, axle, springs) * motion_ratio(x, axle) - mass * G, 0.0, 0.25, xtol=1e-14)
    )


def plain_frequency(axle: str, springs: dict[str, float], mass: float) -> float:
    """The root of the slope of the force at the wheel, by central differences over wheel travel, with the tire."""
    ride = plain_ride(axle, springs, mass)
    rig = wren()
    offset = rig.get(f"{axle}.damper_length") * math.sin(rig.get(f"{axle}.lean"))
    extended = rig.get(f"{axle}.damper_extended")
    height = math.sqrt((extended - ride) ** 2 - offset**2)

    def at_wheel(moved: float) -> float:
        travel = extended - math.hypot(height - moved, offset)
        return axial_force(travel, axle, springs) * motion_ratio(travel, axle)

    step = 1e-5
    rate = (at_wheel(step) - at_wheel(-step)) / (2 * step)
    tire = rig.get(f"{axle}.tire_rate")
    return math.sqrt(rate * tire / (rate + tire) / mass) / (2 * math.pi)


# Sprung weight on one spring by hand: corners, and each item split by levers about the axles, less unsprung, halved.
def plain_mass(axle: str, items: list[tuple[float, float]]) -> float:
    rig = wren()
    base = rig.get("wheelbase")
    mass = sum(rig.get(f"{side}_{axle}.corner_mass") for side in ("left", "right"))
    for own, behind in items:
        mass += own * (behind / base if axle == "rear" else 1 - behind / base)
    return (mass - rig.get(f"{axle}.unsprung_mass")) / 2


ITEMS: dict[str, list[tuple[float, float]]] = {
    "Bare with one person, as weighed": [],
    "Crew of two with tools": [(85.0, 1.45), (135.0, 2.55)],
    "Full water and tools": [(85.0, 1.45), (135.0, 2.55), (200.0, 2.45), (70.0, 3.05)],
}


def springs_of(made: Order, axle: str) -> dict[str, float]:
    item = next(one for one in made.axles if one.axle == axle)
    chosen = item.chosen
    assert chosen is not None
    assert chosen.tender is not None
    assert chosen.ring_gap is not None
    return {
        "tender": float(SPRINGS.rate[chosen.tender]),
        "main": float(SPRINGS.rate[chosen.main]),
        "preload": chosen.preload,
        "gap": chosen.ring_gap,
    }


@pytest.mark.parametrize("axle", ["front", "rear"])
def test_every_load_case_agrees_with_a_plain_balance(axle: str, made: Order) -> None:
    item = next(one for one in made.axles if one.axle == axle)
    springs = springs_of(made, axle)
    assert [case.label for case in item.cases] == list(ITEMS)
    limit = wren().get(f"{axle}.damper_stroke") - wren().get(f"{axle}.solid_before_collapsed")
    for case in item.cases:
        mass = plain_mass(axle, ITEMS[case.label])
        ride = plain_ride(axle, springs, mass)
        assert case.support_load == pytest.approx(mass * G, rel=1e-9)
        assert case.ride_travel == pytest.approx(ride, abs=1e-9)
        assert case.bump_left == pytest.approx(limit - ride, abs=1e-9)
        assert case.droop_left == pytest.approx(ride, abs=1e-9)
        assert case.damper_length == pytest.approx(wren().get(f"{axle}.damper_extended") - ride, abs=1e-9)
        assert case.ride_frequency == pytest.approx(plain_frequency(axle, springs, mass), rel=1e-6)


def test_settings_add_up_on_the_bench(made: Order) -> None:
    for item in made.axles:
        values = bench_settings(item)
        rig, chosen = wren(), item.chosen
        assert chosen is not None
        assert chosen.tender is not None
        lengths = float(SPRINGS.free_length[chosen.tender] + SPRINGS.free_length[chosen.main])
        room = rig.get(f"{item.axle}.seat_space") - rig.get(f"{item.axle}.divider_thickness") - values["adjuster"]
        assert lengths - values["preload"] == pytest.approx(room, abs=1e-12)
        assert values["adjuster"] + values["adjuster_left"] == pytest.approx(rig.get(f"{item.axle}.adjuster_range"))
        # 12 turns to the inch; from just seated the preload is set in half turns
        assert values["adjuster_turns"] == pytest.approx(values["adjuster"] / INCH * 12, rel=1e-6)
        turns = values["preload"] / INCH * 12
        assert values["preload_turns"] == pytest.approx(turns, rel=1e-6)
        assert turns * 2 == pytest.approx(round(turns * 2), abs=1e-5)
        # From the seat: the tender, shortened by its share of the preload, less the gap.
        tender, main = (float(SPRINGS.rate[index]) for index in (chosen.tender, chosen.main))
        shortened = float(SPRINGS.free_length[chosen.tender]) - values["preload"] * main / (tender + main)
        assert values["ring_below_seat"] == pytest.approx(shortened - values["ring_gap"], abs=1e-9)


def test_damping_forces_share_the_mean_as_stated(made: Order) -> None:
    for item in made.axles:
        assert item.damping is not None
        assert item.damping_before is not None
        assert item.damping_past is not None
        values = item.damping.values
        # c = 2 zeta sqrt(k m) / MR², rebound 1.5 times compression about that mean
        mean = (
            2 * 0.35 * math.sqrt(values["wheel_rate"] * values["sprung_mass_on_spring"]) / values["motion_ratio"] ** 2
        )
        for speed, compression, rebound in zip(
            (5 * INCH, 10 * INCH), item.damping_before.compression, item.damping_before.rebound, strict=True
        ):
            assert (compression + rebound) / 2 == pytest.approx(mean * speed, rel=1e-9)
            assert rebound == pytest.approx(1.5 * compression)
        stiffer = math.sqrt(values["wheel_rate_past_crossover"] / values["wheel_rate"])
        assert item.damping_past.coefficient == pytest.approx(mean * stiffer, rel=1e-9)


# --- what it rests on -------------------------------------------------------------------------------------------------------


def test_an_example_is_never_an_order(made: Order) -> None:
    assert made.estimate
    assert f"{len(wren().values)} values are examples" in made.reasons
    assert "the spring list is an invented example" in made.reasons


def test_a_measured_rig_with_a_list_that_is_sold_may_be_ordered() -> None:
    found = order(measured(wren()), sold(SPRINGS))
    assert found.reasons == ()
    assert not found.estimate
    assert found.complete
    assert "DO NOT ORDER" not in order_text(measured(wren()), sold(SPRINGS))


@pytest.mark.parametrize(
    ("missing", "reason"),
    [
        (
            "front.axle_rating",
            "whether the front axle stays within its rating in every load case is not checked (needs front axle rating)",
        ),
        ("rear.thread_length", None),
        ("front.seat_space", "no set is chosen for the front and the rear"),
        ("left_rear.corner_mass", "no set is chosen for the front and the rear"),
    ],
)
def test_what_is_missing_makes_it_an_estimate(missing: str, reason: str | None) -> None:
    rig = measured(wren())
    if missing == "front.seat_space":
        rig = without(rig, "rear.seat_space")
    found = order(without(rig, missing), sold(SPRINGS))
    if reason is None:
        # The rear takes the front's: assumed, told, and checked.
        assert "rear.thread_length" in found.assumed
        assert not found.estimate
    else:
        assert found.estimate
        assert any(reason in told for told in found.reasons), found.reasons


def test_an_overloaded_axle_is_told_with_the_load_case_that_overloads_it() -> None:
    rig = measured(wren())
    light = replace(rig, values={**rig.values, "rear.axle_rating": Entry(value=1400.0)})
    found = order(light, sold(SPRINGS))
    rear = found.ratings[1]
    assert rear.state == "fails"
    assert rear.text.endswith("Heaviest: Full water and tools.")
    assert found.estimate


def test_the_rear_takes_over_what_is_built_alike_and_says_so() -> None:
    rig = without(wren(), *(f"rear.{name}" for name in AS_FRONT))
    full = completed(rig)
    assert full.get("rear.tire_rate") == rig.get("front.tire_rate")
    assert full.values["rear.tire_rate"].origin == "assumed"
    assert "rear.tire_rate" in order(rig, SPRINGS, {}).assumed
    own = replace(rig, values={**rig.values, "rear.tire_rate": Entry(value=3e5)})
    assert completed(own).values["rear.tire_rate"] == Entry(value=3e5)
    # Nothing that differs between axles is ever taken over.
    assert full.get("rear.unsprung_mass") == wren().get("rear.unsprung_mass")
    assert completed(without(rig, "rear.lean")).get("rear.lean") is None


def test_the_readers_own_limit_decides() -> None:
    strict = replace(wren(), values={**wren().values, "least_main_left": Entry(value=2.0 * INCH)})
    found = order(strict, SPRINGS).axles[0]
    assert found.choice is not None
    assert found.chosen is not None
    assert found.chosen.main_left >= 2.0 * INCH
    plain = wrens_order().axles[0]
    assert plain.choice is not None
    assert found.choice.working < plain.choice.working


def test_a_set_of_ones_own_is_kept_while_the_list_has_it(made: Order) -> None:
    front = made.axles[0]
    assert front.choice is not None
    third = front.choice.ranked[2]
    assert third.tender is not None
    picked = {
        "front.chosen_tender_part": Entry(value=SPRINGS.part[third.tender]),
        "front.chosen_main_part": Entry(value=SPRINGS.part[third.main]),
    }
    rig = replace(wren(), values={**wren().values, **picked})
    found = order(rig, SPRINGS, {"front": front.choice, "rear": None})
    assert found.axles[0].own_pick
    assert found.axles[0].chosen is not None
    assert found.axles[0].chosen.main == third.main
    assert found.axles[0].chosen.preload == pytest.approx(third.preload, abs=1e-12)
    gone = {**picked, "front.chosen_main_part": Entry(value="SP-9999")}
    lost = order(replace(rig, values={**rig.values, **gone}), SPRINGS, {"front": front.choice, "rear": None}).axles[0]
    assert lost.lost_pick.endswith("over SP-9999 is not in this list")
    assert lost.chosen == front.choice.ranked[0]


def test_a_single_spring_is_not_judged_as_a_pair() -> None:
    names = [f"{axle}.wanted_crossover_above_ride" for axle in ("front", "rear")]
    found = order(without(wren(), *names), SPRINGS).axles[0]
    assert found.choice is not None
    single = next((one for one in found.choice.ranked if one.tender is None), None)
    main = found.choice.ranked[0].main if single is None else single.main
    picked = {"front.chosen_main_part": Entry(value=SPRINGS.part[main])}
    rig = without(replace(wren(), values={**wren().values, **picked}), *names)
    alone = order(rig, SPRINGS, {"front": found.choice, "rear": None}).axles[0]
    assert alone.chosen is not None
    assert alone.chosen.tender is None
    rules = {finding.rule for finding in alone.findings}
    assert "main left" in rules
    assert not rules & {"ring reached", "tender left", "divider on the body"}


def test_the_next_measurement_is_the_one_that_is_missing_else_the_one_that_moves_it_most(made: Order) -> None:
    blank = order(Rig(), SPRINGS, {})
    assert blank.next == "left front corner weight, which the front springs need"
    assert made.next == "front unsprung weight, which moves the front ride height most"
    # By hand: 5 % of 342.5 kg unsprung moves each spring by 8.6 kg, 10 lb on one pad by 2.3 kg.


# --- plain forms --------------------------------------------------------------------------------------------------------------


def test_the_data_is_finite_and_says_what_the_page_says(made: Order) -> None:
    data = json.loads(json.dumps(order_data(wren(), SPRINGS), allow_nan=False))
    assert {"doubt", *data_of(made)} == set(data)
    assert {name: data[name] for name in data_of(made)} == json.loads(json.dumps(data_of(made), allow_nan=False))
    front = data["axles"]["front"]
    assert front["tried"] == 132 * 133
    assert front["working"] + sum(front["rejected"].values()) == front["tried"]
    assert front["chosen"]["main"] == front["ranked"][0]["main"]


@pytest.mark.parametrize("display", [SHOP, METRIC])
@pytest.mark.parametrize("rig", [wren(), Rig(), replace(wren(), name="{x}\n" + "long " * 40)])
def test_the_text_fits_80_columns(rig: Rig, display: Any) -> None:
    text = order_text(rig, SPRINGS, display)
    assert max(len(line) for line in text.split("\n")) <= 80
    assert text.endswith("engineer does that.\n")
    assert "nan" not in text.lower().split()


def test_text_is_in_the_readers_units() -> None:
    assert "mm" in order_text(wren(), SPRINGS, METRIC)
    assert " in," not in order_text(wren(), SPRINGS, METRIC)


WREN_KEYS = sorted(wren().values)


@settings(max_examples=40)
@given(gone=st.sets(st.sampled_from(WREN_KEYS), max_size=30), scale=st.sampled_from([0.5, 0.9, 1.0, 1.1, 2.0]))
def test_nothing_that_a_rig_lacks_or_exaggerates_ends_in_a_crash(gone: set[str], scale: float) -> None:
    values = {}
    for key, entry in wren().values.items():
        if key in gone:
            continue
        quantity = getattr(keys()[key], "is_a", None)
        value = entry.value
        if isinstance(value, float) and len(key) % 3 == 0:
            moved = value * scale
            value = moved if bool(np.all(quantity.accepts(moved))) else value  # type: ignore[union-attr]
        values[key] = replace(entry, value=value)
    rig = replace(wren(), values=values)
    few = replace(
        SPRINGS,
        part=SPRINGS.part[:12],
        helper=SPRINGS.is_helper[:12],
        note=SPRINGS.note[:12],
        known={name: known[:12] for name, known in SPRINGS.known.items()},
        **{
            name: getattr(SPRINGS, name)[:12]
            for name in (
                *("rate", "free_length", "solid_length", "inside_diameter"),
                *("outside_diameter", "wire_diameter", "price", "stock"),
            )
        },
    )
    found = order(rig, few)
    json.dumps(data_of(found), allow_nan=False)
    assert found.estimate


def test_stop_and_strap_spare_the_damper_or_that_is_said() -> None:
    """By hand: the stop is solid 0.5 in before collapsed; a strap at 0.6 in leaves 0.6 in, and is cut short by 6.5 %."""
    rules = ("the stop is solid before the damper is", "the mounts end before the damper does")
    rig = wren()

    def states(given: Rig) -> dict[str, str]:
        made = order(given, assortment_springs())
        return {one.rule: one.state for one in made.axles[0].findings if one.rule in rules}

    assert states(rig) == {rules[0]: "close", rules[1]: "not checked"}
    strapped = replace(rig, values={**rig.values, "front.strap_travel": Entry(value=0.6 * INCH)})
    assert states(strapped)[rules[1]] == "holds"
    front = order(strapped, assortment_springs()).axles[0]
    assert bench_settings(front)["strap_length"] == pytest.approx(30.4 * INCH / 1.065)
    assert STRAP in order_text(strapped, assortment_springs())
    scant = replace(rig, values={**rig.values, "front.strap_travel": Entry(value=0.05 * INCH)})
    assert states(scant)[rules[1]] == "fails"
    long = replace(rig, values={**rig.values, "front.damper_collapsed": Entry(value=19.4 * INCH)})
    assert states(long)[rules[0]] == "fails"


def test_a_preload_that_was_moved_to_keep_a_limit_says_so() -> None:
    rig = wren()
    main_left = replace(rig.values["front.wanted_bump"], value=3.0 * 0.0254)
    moved = replace(rig, values={**rig.values, "least_main_left": main_left})
    item = order(moved, SPRINGS).axles[0]
    assert item.chosen is not None
    assert item.task is not None
    at_height = at_wanted_height(item.task, SPRINGS, item.chosen)
    assert at_height.broken() == ("main_bind",)
    turns = (item.chosen.wanted_preload - item.chosen.preload) / (2.0 * item.task.hardware.adjuster_step)
    told = (
        f"{turns:.1f} turns less than the preload for the wanted ride height, which fails: main binds before full bump."
    )
    assert turns >= 0.5
    assert f"Preload: {told}" in " ".join(order_text(moved, SPRINGS).split())
    assert told in settings_table(item, SHOP)
    data = order_data(moved, SPRINGS)["axles"]["front"]["ranked"]
    assert any(one["preload"] < one["wanted_preload"] for one in data)
    assert "than the preload for the wanted ride height" not in order_text(rig, SPRINGS)
