"""Sets solved again on the whole rig, against free bodies solved by scipy, and what is said of those that drop."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from calc.desk import rest_balance as balance
from calc.order import order
from calc.quantity import SHOP, Display
from calc.ride._rest import ON_STOPS, STANDS, UNSTABLE
from calc.rig.axle import stack_of
from calc.rig.entries import AXLES
from calc.rig.file import wren
from calc.rig.rig import Entry, Item, Rig
from calc.search.choose import choose, judged_at
from calc.search.problem import Choice, Problem, SpringSet
from calc.tables import Springs, assortment_springs
from calc.units import INCH
from calc.whole.at_rest import Stand, four, stand
from calc.whole.pairs import resolve
from calc.whole.whole_rig_check import Contradiction, Resolved, contradictions
from tests.whole.free_bodies import vehicle_of

START = [-0.02, 0.0, 0.0, -0.02, 0.0, -0.02, 0.0]


def _leaning(rig: Rig, mass: float, left: float) -> Rig:
    """The example rig with a load far to one side in every load case."""
    load = Item(label="Tank", mass=mass, carried="sprung", behind_front_axle=1.4, left_of_center=left)
    return replace(rig, load_cases=tuple(replace(case, items=(*case.items, load)) for case in rig.load_cases))


def _wanting(rig: Rig, values: Mapping[str, Any]) -> Rig:
    return replace(rig, values={**rig.values, **{key: Entry(value=value) for key, value in values.items()}})


def _searched(rig: Rig, springs: Springs) -> tuple[dict[str, Problem], dict[str, Choice]]:
    tasks: dict[str, Problem] = {}
    for axle in AXLES:
        found = order.task(rig, axle)
        assert isinstance(found, Problem)
        tasks[axle] = found
    return tasks, {axle: choose(task, springs) for axle, task in tasks.items()}


def _resolved(rig: Rig) -> tuple[dict[str, Problem], dict[str, Choice], Mapping[str, Resolved]]:
    springs = assortment_springs()
    tasks, choices = _searched(rig, springs)
    return tasks, choices, resolve(rig, springs, tasks, choices).axles


def _some_drop() -> tuple[Rig, dict[str, Problem], dict[str, Choice], Mapping[str, Resolved]]:
    """A rig with a load to one side, its front set so much higher that some sets leave a corner just too little droop."""
    rig, springs = _leaning(wren(), 200.0, 0.7), assortment_springs()
    tasks, choices = _searched(rig, springs)
    ranked = tuple(
        judged_at(tasks["front"], springs, one, one.preload + (0.9 + 0.1 * place) * INCH)
        for place, one in enumerate(choices["front"].ranked)
    )
    choices["front"] = replace(choices["front"], ranked=ranked)
    return rig, tasks, choices, resolve(rig, springs, tasks, choices).axles


def _parts(springs: Springs, one: SpringSet) -> dict[str, float | None]:
    return {
        "tender_rate": None if one.tender is None else float(springs.rate[one.tender]),
        "main_rate": float(springs.rate[one.main]),
        "preload": one.preload,
        "ring_gap": one.ring_gap,
        **(
            {}
            if one.helper is None
            else {
                "helper_rate": float(springs.rate[one.helper]),
                "helper_stroke": float(springs.free_length[one.helper] - springs.solid_length[one.helper]),
            }
        ),
    }


def test_what_drops_and_what_stays_is_what_free_bodies_say() -> None:
    springs = assortment_springs()
    rig, tasks, choices, found = _some_drop()
    dropped = [one for one, _ in found["front"].dropped]
    assert 0 < len(dropped) < len(choices["front"].ranked)
    kept, rear = found["front"].choice, found["rear"].choice
    assert kept is not None
    assert rear is not None
    # What hangs loose has a helper, which carries as well.
    beside = rear.ranked[0]
    assert beside.helper is not None
    ready = stand(rig)
    assert isinstance(ready, Stand)
    task = tasks["front"]
    nearest = math.inf
    for one in choices["front"].ranked:
        own = {"front": _parts(springs, one), "rear": _parts(springs, beside)}
        rest = ready.solve(four(stack_of(springs, one), stack_of(springs, beside)))
        short = False
        for place, case in enumerate(rig.cases()):
            vehicle = vehicle_of(rig, case, own)
            answer = balance.root(vehicle, START)
            assert answer.success
            travel = balance.travels(vehicle, list(answer.x))
            assert rest.travel[place] == pytest.approx(travel, abs=1e-5 * INCH)
            left = (
                min(task.coilover.bump_limit - one for one in travel[:2]) - task.wishes.bump,
                min(travel[:2]) - task.wishes.droop,
                (one.crossover_travel or 1.0) - max(travel[:2]),
            )
            short |= min(left) < 0.0
            nearest = min(nearest, *(abs(one) for one in left))
        assert short == (one in dropped)
        assert short != (one in kept.ranked)
    assert nearest < 0.03 * INCH


def test_the_reason_names_corner_load_case_and_both_numbers() -> None:
    wrong = Contradiction(what="droop", case="Bare", corner="right_front", value=2.53 * INCH, limit=3 * INCH)
    assert wrong.text(SHOP).replace("\u00a0", " ") == (
        "The right front keeps 2.53 in of droop at the damper; 3.00 in is wanted. Load case: Bare."
    )
    assert wrong.text(Display(system="metric")).replace("\u00a0", " ") == (
        "The right front keeps 64.3 mm of droop at the damper; 76.2 mm is wanted. Load case: Bare."
    )


def test_how_many_drop_is_said() -> None:
    _, _, choices, found = _some_drop()
    front = found["front"]
    number = len(front.dropped)
    assert 1 < number < len(choices["front"].ranked)
    assert front.said(SHOP) == f"{number} sets drop: the whole rig, solved, contradicts them."
    assert {wrong[0].corner for _, wrong in front.dropped} <= {"left_front", "right_front"}


def test_a_rig_alike_on_both_sides_drops_nothing() -> None:
    """There each corner is what its axle's mean is, which the search already judged."""
    rig = _wanting(
        wren(),
        {
            **{f"{side}_front.corner_mass": 657.7 for side in ("left", "right")},
            **{f"{side}_rear.corner_mass": 542.05 for side in ("left", "right")},
            **{f"{axle}.unsprung_left_of_center": 0.0 for axle in AXLES},
        },
    )
    central = tuple(
        replace(case, items=tuple(replace(item, left_of_center=0.0) for item in case.items)) for case in rig.load_cases
    )
    _, choices, found = _resolved(replace(rig, load_cases=central))
    for axle in AXLES:
        assert found[axle].dropped == ()
        kept = found[axle].choice
        assert kept is not None
        assert {one.code() for one in kept.ranked} == {one.code() for one in choices[axle].ranked}
        assert found[axle].said(SHOP) == (
            "All 12 ranked sets keep every limit with the whole rig solved, every corner in every load case."
        )


def test_where_all_are_contradicted_they_stay_and_what_to_relax_is_said() -> None:
    # Axles that bear it: over its rating no set would be ranked, and none solved again.
    rig = _wanting(_leaning(wren(), 350.0, 0.8), {f"{axle}.axle_rating": 3000.0 for axle in AXLES})
    _, choices, found = _resolved(rig)
    front = found["front"]
    assert front.none_left
    assert front.choice is not None
    assert {one.code() for one in front.choice.ranked} == {one.code() for one in choices["front"].ranked}
    assert len(front.dropped) == len(choices["front"].ranked)
    told = front.said(SHOP).replace("\u00a0", " ")
    admitted = [wrong[0] for _, wrong in front.dropped if {each.what for each in wrong} == {"bump"}]
    assert len(admitted) > 1
    least = min(wrong.value for wrong in admitted)
    assert told == (
        f"The whole rig, solved, contradicts each of the 12 best sets. The other {choices['front'].working - 12} were not "
        f"solved again. With {least / INCH:.2f} in of bump wanted in place of 4.50 in, {len(admitted)} sets work."
    )
    made = order.order(rig, assortment_springs())
    # Set otherwise they come no nearer: what stands there still says what fails.
    again = made.axles[0].resolved
    assert again is not None
    assert again.none_left
    assert again.choice is not None
    assert made.axles[0].chosen == again.choice.ranked[0]
    assert next(iter(made.rests)).state == "fails"
    assert "the check “corners at rest” fails" in made.reasons


def _broken(what: str, value: float, limit: float) -> Contradiction:
    return Contradiction(what=what, case="Full", corner="left_rear", value=value, limit=limit)


def _all_dropped(*wrong: tuple[Contradiction, ...]) -> Resolved:
    _, choices, _ = _resolved(wren())
    some = choices["rear"].ranked[: len(wrong)]
    return Resolved(
        choice=replace(choices["rear"], ranked=some), dropped=tuple(zip(some, wrong, strict=True)), solved=True
    )


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (
            ((_broken("bump", 4.25 * INCH, 4.5 * INCH),), (_broken("bump", 4.0 * INCH, 4.5 * INCH),)),
            "With 4.00 in of bump wanted in place of 4.50 in, 2 sets work.",
        ),
        (
            ((_broken("ring", -0.5 * INCH, 0.0),),),
            "With the crossover wanted 0.50 in higher, 1 set works.",
        ),
        (
            ((_broken("bump", 0.05, 0.1), _broken("droop", 0.01, 0.1)),),
            "Bump and droop come short together: it needs dampers of more stroke, weight moved across, or less between "
            "the lightest and the heaviest load case.",
        ),
        (
            ((Contradiction(what="stands", case="Full", status=UNSTABLE),),),
            "A wider spring base, an anti-roll bar or a lower load is needed before any springs can do.",
        ),
    ],
)
def test_what_to_relax(wrong: tuple[tuple[Contradiction, ...], ...], told: str) -> None:
    assert _all_dropped(*wrong).to_relax(SHOP).replace("\u00a0", " ") == told


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (
            _broken("ring", -0.5 * INCH, 0.0),
            "The left rear sits 0.50 in past its crossover at rest. Load case: Full.",
        ),
        (
            _broken("bump", -0.25 * INCH, 4.5 * INCH),
            "The left rear comes 0.25 in short of any bump at the damper; 4.50 in is wanted. Load case: Full.",
        ),
        (
            Contradiction(what="stands", case="Full", status=UNSTABLE),
            "Upright is unstable: the roll stiffness is less than the weight's leverage above the roll axis, so it falls "
            "over to one side. Load case: Full.",
        ),
    ],
)
def test_every_reason_in_words(wrong: Contradiction, told: str) -> None:
    assert wrong.text(SHOP).replace("\u00a0", " ") == told


def test_stops_are_blamed_on_the_axle_that_sits_on_them() -> None:
    tasks, choices, _ = _resolved(wren())
    limits = [tasks[axle].coilover.bump_limit for axle in AXLES]
    travel = [[0.12, 0.12, limits[1] + 0.001, 0.12]] * 3
    status = [ON_STOPS, STANDS, STANDS]
    assert contradictions(tasks["front"], choices["front"].ranked[0], status, travel) == ()
    rear = contradictions(tasks["rear"], choices["rear"].ranked[0], status, travel)
    assert [(one.what, one.corner) for one in rear] == [("bump", "left_rear"), ("ring", "left_rear")]


def test_nothing_drops_while_the_whole_rig_is_not_known() -> None:
    rig = wren()
    blind = replace(rig, values={key: one for key, one in rig.values.items() if key != "front.mount_base"})
    _, choices, found = _resolved(blind)
    for axle in AXLES:
        kept = found[axle].choice
        assert kept is not None
        assert not found[axle].solved
        assert not found[axle].dropped
        assert {one.code() for one in kept.ranked} == {one.code() for one in choices[axle].ranked}
    assert found["front"].said(SHOP) == ""
    assert resolve(rig, assortment_springs(), {}, {}).axles["rear"].choice is None
