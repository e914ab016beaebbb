"""The damping on the rig's ground: one knee, one rebound share, cavitation at three sigma, and a ratio for every case."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from calc.answers.build_sheet import sheet_csv, sheet_data, sheet_text
from calc.answers.order import text_of
from calc.answers.order_data import data_of
from calc.damper.force_targets import STEP as FORCES
from calc.order.ground import HOLDS_RULE, OTHER_SPEED_RULE
from calc.order.order import order
from calc.quantity import SHOP
from calc.rig.file import read_rig, wren, write_rig
from calc.rig.rig import TAKEN, Entry
from calc.rig.unread import Unread
from calc.sheet.rig.lists import handbook_springs
from calc.step import run
from calc.units import INCH

WREN = wren()


def made_of(**changes):
    """Wren with other entries, by key with a double underscore for the dot; None takes one out."""
    values = dict(WREN.values)
    for name, value in changes.items():
        key = name.replace("__", ".")
        values.pop(key, None)
        if value is not None:
            values[key] = Entry(value=value)
    return order(replace(WREN, values=values), handbook_springs())


MADE = made_of()
SHAPE = [f"{axle}__{name}" for axle in ("front", "rear") for name in TAKEN[2:]]


def gas_finding(made, axle="front"):
    item = next(one for one in made.axles if one.axle == axle)
    return next(one for one in item.findings if one.rule == HOLDS_RULE)


def test_the_gas_is_judged_at_three_sigma_of_the_rigs_ground():
    for item in MADE.axles:
        found = item.ground
        judged = gas_finding(MADE, item.axle)
        assert judged.state == "holds"
        assert judged.limit == found.values["damper_speed_three_sigma"]
        assert judged.value == item.forces.values["cavitation_speed"]
        # White velocity of class D at 30 km/h through tire and damper, at the coefficient that counts.
        spread = math.pi * 0.1 * math.sqrt(1024e-6 * 30 / 3.6 * 260e3 / found.values["effective_coefficient"])
        assert found.values["damper_speed_three_sigma"] == pytest.approx(3 * spread, rel=1e-9)
        assert OTHER_SPEED_RULE not in {one.rule for one in item.findings}
    assert "Assumed: road class and road speed" in gas_finding(MADE).text
    assert "estimate of a linear corner" in gas_finding(MADE).text
    assert {"road_class", "road_speed"} <= set(MADE.assumed)


def test_rougher_ground_fails_the_order_by_name():
    rough = made_of(road_class="F", road_speed=30 / 3.6)
    judged = gas_finding(rough)
    assert judged.state == "fails"
    assert "class F" in judged.text
    assert "Assumed" not in judged.text
    assert any(HOLDS_RULE in reason for reason in rough.reasons)
    assert not any(HOLDS_RULE in reason for reason in MADE.reasons)
    assert not {"road_class", "road_speed"} & set(rough.assumed)
    slow = made_of(road_class="F", road_speed=2 / 3.6)
    assert gas_finding(slow).state == "holds"


def test_without_a_knee_wrens_front_meets_the_published_speeds():
    """Class D at 30 km/h 11 in/s r.m.s., and 67 at three sigma on E; the straight force cavitates at 43.7 in/s."""
    straight = dict.fromkeys(SHAPE)
    for road, spread in (("D", 11.0), ("E", 22.0)):
        front = made_of(**straight, road_class=road).axles[0]
        assert front.ground.values["damper_speed_rms"] / INCH == pytest.approx(spread, abs=0.6)
        assert front.forces.values["cavitation_speed"] / INCH == pytest.approx(43.7, abs=0.05)
    bent = MADE.axles[0].forces.values["cavitation_speed"] / INCH
    assert bent == pytest.approx(10 + (front.forces.values["cavitation_speed"] / INCH - 10) / 0.5, rel=1e-9)


def test_step_and_order_take_one_knee_and_one_rebound_share():
    """What the step says of the order's own numbers is what the order says; its example has Wren's knee."""
    for item in MADE.axles:
        entered = {name: WREN.get(f"{item.axle}.{name}") for name in TAKEN[2:]}
        given = {name: item.frequency.values[name] for name in ("sprung_mass_on_spring", "wheel_rate", "motion_ratio")}
        own = ("wanted_damping_ratio", "gas_pressure", "piston_diameter", "rod_diameter")
        given |= {name: WREN.get(f"{item.axle}.{name}") for name in own} | entered
        there = run(FORCES, {**given, "slow_speed": 5 * INCH, "middle_speed": 10 * INCH}).values
        assert item.forces.values["cavitation_speed"] == pytest.approx(there["cavitation_speed"], rel=1e-12)
        answer = item.damping_before
        assert answer.compression == pytest.approx(
            [there["compression_force_slow"], there["compression_force_middle"]], rel=1e-12
        )
        assert answer.rebound == pytest.approx([there["rebound_force_slow"], there["rebound_force_middle"]], rel=1e-12)
    example = FORCES.example_inputs()
    assert all(WREN.get(f"front.{name}") == pytest.approx(example[name]) for name in TAKEN[2:])


def test_the_rebound_share_is_an_entry_with_todays_default():
    assumed = made_of(**dict.fromkeys(SHAPE))
    for item, own in zip(assumed.axles, MADE.axles, strict=True):
        assert item.damping_before.rebound == pytest.approx([1.5 * one for one in item.damping_before.compression])
        assert item.damping_before.rebound == pytest.approx(own.damping_before.rebound)
        assert {f"{item.axle}.rebound_share", f"{item.axle}.slope_past_knee"} <= set(assumed.assumed)
    assert "60 % of it in rebound (assumed), no knee (assumed)" in " ".join(text_of(assumed, SHOP).split())
    other = made_of(front__rebound_share=0.75, rear__rebound_share=None).axles
    # The rear takes it over from the front.
    for item in other:
        assert item.damping_before.rebound == pytest.approx([3 * one for one in item.damping_before.compression])
        mean = sum(item.damping_before.rebound[:1] + item.damping_before.compression[:1]) / 2
        assert mean == pytest.approx(item.damping_before.coefficient * 5 * INCH)


def test_a_low_knee_takes_from_the_forces_on_the_sheet():
    low = made_of(front__knee_speed=5 * INCH, front__slope_past_knee=0.5).axles[0].damping_before
    assert low.compression[1] == pytest.approx(1.5 * low.compression[0])


def test_what_cannot_be_read_is_not_replaced_by_what_is_assumed():
    values = {key: one for key, one in WREN.values.items() if key != "front.rebound_share"}
    unread = {"front.rebound_share": Unread(text="much", unit="%")}
    front, rear = order(replace(WREN, values=values, unread=unread), handbook_springs()).axles
    assert front.chosen is not None
    assert front.damping_before is None
    assert front.forces is None
    judged = next(one for one in front.findings if one.rule == HOLDS_RULE)
    assert judged.state == "not checked"
    assert "front rebound share" in judged.text
    assert rear.damping_before is not None


def test_no_wanted_ratio_no_ground_and_nothing_assumed_for_it():
    none = made_of(front__wanted_damping_ratio=None, rear__wanted_damping_ratio=None, **dict.fromkeys(SHAPE))
    assert not {key.rpartition(".")[2] for key in none.assumed} & set(TAKEN)
    assert gas_finding(none).state == "not checked"
    assert "front wanted damping ratio" in gas_finding(none).text
    assert none.damping == ()


def test_one_damper_gives_each_load_case_its_own_ratio():
    """Rear 0.39, 0.35, 0.31: wanted with the crew, more of it with less aboard."""
    found = MADE.damping
    rear = [one for one in found if one.axle == "rear"]
    assert [round(one.body, 2) for one in rear] == [0.39, 0.35, 0.31]
    assert [one.case for one in rear] == [case.label for case in WREN.cases()]
    crew = rear[1]
    of = MADE.axles[1].damping.values
    assert crew.body_past == pytest.approx(0.35 * math.sqrt(of["wheel_rate"] / of["wheel_rate_past_crossover"]))
    modes = MADE.motions["rear"].values
    assert crew.hop == pytest.approx(modes["hop_damping_ratio"], rel=1e-9)
    assert crew.roll == pytest.approx(MADE.motions["roll"].values["roll_damping_ratio"], rel=1e-9)
    assert len({round(one.roll, 4) for one in rear}) == len(WREN.cases())
    # A heavier body swings on the same damper with less of a ratio, by the root where the rates are alike.
    items = {one.label: one for one in MADE.axles[1].cases}
    heavy, light = items[rear[2].case].axle_mass, items[rear[0].case].axle_mass
    assert rear[0].body / rear[2].body == pytest.approx(math.sqrt((heavy - 298) / (light - 298)), rel=0.05)


def test_every_door_carries_the_ratios_and_the_ground():
    sheet = MADE.sheet
    assert len(sheet.damping) == 2 * len(WREN.cases())
    for text in (text_of(MADE, SHOP), sheet_text(sheet)):
        assert "Damping ratio in every load case" in text
        assert "0.39 / 0.26" in text
        assert max(map(len, text.splitlines())) <= 80
    assert "Damper speed, three sigma, front" in text_of(MADE, SHOP)
    rows = [line for line in sheet_csv(sheet).splitlines() if line.startswith("damping ratio,")]
    assert len(rows) == 9 * len(WREN.cases())
    assert sheet_data(sheet)["damping"][0]["body"] == sheet.damping[0].body
    data = json.loads(json.dumps(data_of(MADE)))
    assert data["damping_ratios"][0]["body"] == sheet.damping[0].body
    assert data["motions"]["front ground"]["damper_speed_three_sigma"] == pytest.approx(
        MADE.axles[0].ground.values["damper_speed_three_sigma"]
    )


def test_the_entries_survive_the_file():
    entered = {"road_class": "E", "road_speed": 10.0, "front.rebound_share": 0.7, "rear.knee_speed": 0.3}
    rig = replace(WREN, values={**WREN.values, **{key: Entry(value=value) for key, value in entered.items()}})
    back = read_rig(write_rig(rig))
    assert {key: back.get(key) for key in entered} == entered
