"""Weight change: four equations solved apart from the step, what must hold exactly, and each refusal."""

import numpy as np
import pytest

from calc.errors import ContradictionError, InputError
from calc.step import run
from calc.units import NO_BREAK
from calc.weight.weight_change import STEP, Item, weight_change

RIG = {
    "left_front_mass": 668.6,
    "right_front_mass": 646.8,
    "left_rear_mass": 529.8,
    "right_rear_mass": 554.3,
    "wheelbase": 2.85,
    "track_front": 1.64,
    "track_rear": 1.66,
}
CREW = (
    Item(label="second person", mass=85.0, behind_front_axle=1.45, left_of_center=-0.38),
    Item(label="tools", mass=135.0, behind_front_axle=2.55, left_of_center=0.10),
)


def plain(text):
    """Return a message with its no-break spaces as spaces."""
    return str(text).replace(NO_BREAK, " ")


def solved(rig, items, shift=0.0):
    """The four corners from total, moment along, moment across and the share of one diagonal, kept or shifted."""
    corners = [rig[name] for name in ("left_front_mass", "right_front_mass", "left_rear_mass", "right_rear_mass")]
    length, front, rear = rig["wheelbase"], rig["track_front"], rig["track_rear"]
    places = {"sprung": None, "front axle": 0.0, "rear axle": length}
    total = along = across = 0.0
    for item in items:
        x = item.behind_front_axle if item.behind_front_axle is not None else places[item.carried]
        total, along, across = total + item.mass, along + item.mass * x, across + item.mass * item.left_of_center
    share = (corners[1] + corners[2]) / sum(corners) + shift
    equations = np.array(
        [
            [1.0, 1.0, 1.0, 1.0],
            [0.0, 0.0, length, length],
            [front / 2, -front / 2, rear / 2, -rear / 2],
            [0.0, 1.0, 1.0, 0.0],
        ]
    )
    return np.linalg.solve(
        equations,
        [
            sum(corners) + total,
            (corners[2] + corners[3]) * length + along,
            (corners[0] - corners[1]) * front / 2 + (corners[2] - corners[3]) * rear / 2 + across,
            share * (sum(corners) + total),
        ],
    )


def corners_of(found):
    return [
        found.left_front_mass_after,
        found.right_front_mass_after,
        found.left_rear_mass_after,
        found.right_rear_mass_after,
    ]


@pytest.mark.parametrize("shift", [-0.013, 0.004])
def test_what_the_springs_change_of_the_diagonal_is_taken_in(shift):
    found = weight_change(**RIG, items=CREW, cross_share_shift=shift)
    assert corners_of(found) == pytest.approx(list(solved(RIG, CREW, shift)), rel=1e-12)
    kept = weight_change(**RIG, items=CREW)
    assert found.cross_share - kept.cross_share == pytest.approx(shift, rel=1e-9)
    assert found.front_axle_mass_after == pytest.approx(kept.front_axle_mass_after, rel=1e-15)


@pytest.mark.parametrize(
    "items",
    [
        CREW,
        (Item(mass=-265.0, behind_front_axle=0.12), Item(mass=372.0, behind_front_axle=0.12)),
        (Item(mass=95.0, carried="front axle", left_of_center=-0.1), Item(mass=85.0, carried="rear axle")),
        (Item(mass=60.0, behind_front_axle=-0.9), Item(mass=150.0, behind_front_axle=3.9, left_of_center=0.2)),
        (Item(mass=30.0, carried="rear axle", behind_front_axle=2.6, left_of_center=0.3),),
    ],
    ids=["crew", "engine swapped", "axles", "winch and tongue", "beside the axle"],
)
def test_corners_by_four_equations(items):
    assert corners_of(weight_change(**RIG, items=items)) == pytest.approx(list(solved(RIG, items)), rel=1e-12)


def test_nothing_changed_changes_nothing():
    found = weight_change(**RIG, items=())
    assert corners_of(found) == pytest.approx([668.6, 646.8, 529.8, 554.3], rel=1e-12)
    assert (found.front_axle_mass_change, found.rear_axle_mass_change) == (0.0, 0.0)


def test_what_goes_on_and_comes_off_again_leaves_nothing():
    off = tuple(
        Item(mass=-item.mass, behind_front_axle=item.behind_front_axle, left_of_center=item.left_of_center)
        for item in CREW
    )
    assert corners_of(weight_change(**RIG, items=CREW + off)) == pytest.approx([668.6, 646.8, 529.8, 554.3])


def test_a_winch_ahead_of_the_axle_lifts_the_rear():
    found = weight_change(**RIG, items=(Item(mass=60.0, behind_front_axle=-0.95),))
    assert found.front_axle_mass_change == pytest.approx(60.0 * (2.85 + 0.95) / 2.85)
    assert found.rear_axle_mass_change == pytest.approx(-60.0 * 0.95 / 2.85)


def test_an_axle_loads_its_own_tires_and_only_it_is_unsprung():
    found = weight_change(**RIG, items=(*CREW, Item(mass=95.0, carried="front axle")))
    crew = weight_change(**RIG, items=CREW)
    assert found.front_axle_mass_change - crew.front_axle_mass_change == pytest.approx(95.0)
    assert found.rear_axle_mass_change == pytest.approx(crew.rear_axle_mass_change)
    assert found.front_unsprung_mass_change == 95.0
    assert found.rear_unsprung_mass_change == 0.0


def test_a_sprung_item_needs_its_place():
    with pytest.raises(ContradictionError) as caught:
        weight_change(**RIG, items=(CREW[0], Item(label="{mass} <b>", mass=10.0)))
    assert caught.value.field == "items.1.behind_front_axle"
    assert plain(caught.value) == (
        "Item 2 is carried by the springs, and its position behind the front axle is missing. "
        "Allowed: a distance from the front wheel centers, negative ahead of them."
    )
    assert weight_change(**RIG, items=(Item(mass=10.0, behind_front_axle=0.0),)).front_axle_mass_change == 10.0


def test_a_tire_that_would_leave_the_ground_is_named():
    lift = Item(mass=-900.0, behind_front_axle=2.85, left_of_center=0.83)
    with pytest.raises(ContradictionError) as caught:
        weight_change(**RIG, items=(lift,))
    assert caught.value.field == "items"
    corner = solved(RIG, (lift,))[2]
    assert corner < 0
    assert plain(caught.value) == (
        f"These items together would leave nothing on the left rear tire (it would carry −{-corner / 0.45359237:.0f} lb). "
        "Allowed: items that leave weight on every tire. Check the signs and the positions."
    )
    smaller = Item(mass=-600.0, behind_front_axle=2.85, left_of_center=0.83)
    assert solved(RIG, (smaller,))[2] > 0
    assert min(corners_of(weight_change(**RIG, items=(smaller,)))) > 0


def test_a_bad_cell_is_named_by_row_and_column():
    with pytest.raises(InputError) as caught:
        run(STEP, {**RIG, "items": (Item(mass=10.0, behind_front_axle=20.0),)})
    assert caught.value.errors[0].field == "items.0.behind_front_axle"
    with pytest.raises(InputError) as caught:
        run(STEP, {**RIG, "items": (Item(mass=10.0, behind_front_axle=1.0, carried="roof"),)})
    assert plain(caught.value) == (
        "Carried by is “roof”, which is not one of its choices. Allowed: “sprung”, “front axle”, “rear axle”."
    )


def test_ratings_are_judged_on_the_new_weights():
    found = run(STEP, {**RIG, "items": CREW, "rear_axle_rating": 1200.0})
    rear = next(finding for finding in found.findings if finding.rule == "the rear axle stays within its rating")
    assert rear.state == "fails"
    assert plain(rear.text) == (
        "The rear axle will weigh 2,752 lb, more than its rating of 2,646 lb. Leave something off, or move it forward."
    )
    front = next(finding for finding in found.findings if finding.rule == "the front axle stays within its rating")
    assert front.state == "not checked"
    assert front.text == "The front axle stays within its rating: needs front axle rating."


def test_a_great_change_is_cautioned():
    heavy = run(STEP, {**RIG, "items": (Item(mass=900.0, behind_front_axle=1.4),)})
    assert next(finding for finding in heavy.findings if finding.rule == "the change is moderate").state == "close"
    light = run(STEP, {**RIG, "items": CREW})
    assert next(finding for finding in light.findings if finding.rule == "the change is moderate").state == "holds"


def test_wren_before_the_work_fits_the_rescaled_rate():
    """Taking every change off the weighed rig gives the front axle that the rescaled-rate page calls "before"."""
    changes = (
        Item(mass=265.0, behind_front_axle=0.12),
        Item(mass=-372.0, behind_front_axle=0.12),
        Item(mass=-155.0, behind_front_axle=2.75),
        Item(mass=-95.0, carried="front axle"),
        Item(mass=-85.0, carried="rear axle"),
    )
    found = weight_change(**RIG, items=changes)
    # 2453 lb is printed in whole pounds, and the parts in whole kilograms.
    assert found.front_axle_mass_after == pytest.approx(2453 * 0.45359237, abs=0.5)
    assert 342.5 + found.front_unsprung_mass_change == pytest.approx(546 * 0.45359237, abs=0.5)
