"""A limit stands once: what the search counts as working keeps every hard limit that its sheet judges, and nothing else is."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from calc.answers.order import text_of
from calc.answers.order_data import order_data
from calc.certainty.trials import study
from calc.errors import Needs
from calc.limits import AT_CORNERS, BY_NAME, HARD_RULES, LIMITS, REASONS, Limit
from calc.order.choice_words import blocked_line, relax_line, unchecked_line
from calc.order.order import Order, completed, order, task
from calc.quantity import SHOP
from calc.quote.file import example
from calc.quote.lines import judge as judge_quote
from calc.ride._rest import STANDS
from calc.rig import axle as axles
from calc.rig.entries import AXLES, keys
from calc.rig.file import wren
from calc.rig.rig import Entry, Rig
from calc.search.choose import choose, evaluate, judged
from calc.search.problem import Choice, Problem, SpringSet
from calc.step import Finding
from calc.tables import Springs, assortment_springs
from calc.whole.whole_rig_check import contradictions
from tests.conftest import long_run
from tests.order.test_order import measured, sold
from tests.property.rigs import mutated_rig
from tests.search.test_choose import INCH, LB_IN, assortment, random_problem
from tests.whole.wrens_order import wrens_order

SPRINGS = assortment_springs()


def having(rig: Rig, **values: float | str | None) -> Rig:
    """The rig with some entries changed, or left out where None; `__` stands for the dot."""
    found = dict(rig.values)
    for name, value in values.items():
        key = name.replace("__", ".")
        if value is None:
            found.pop(key, None)
        else:
            found[key] = Entry(value=value)
    return replace(rig, values=found)


def both(rig: Rig, **values: float | str | None) -> Rig:
    return having(rig, **{f"{axle}__{name}": value for axle in AXLES for name, value in values.items()})


STRAPPED = both(measured(wren()), limit_strap="yes", strap_travel=1.0 * INCH)


def picked(rig: Rig, axle: str, one: SpringSet, springs: Springs) -> Rig:
    parts = {"helper": one.helper, "tender": one.tender, "main": one.main}
    return having(
        rig, **{f"{axle}__chosen_{name}_part": None if at is None else springs.part[at] for name, at in parts.items()}
    )


def searches(rig: Rig, springs: Springs) -> dict[str, Choice]:
    found = {}
    for axle in AXLES:
        with suppress(Needs):
            found[axle] = choose(task(completed(rig), axle), springs)
    return found


def sheet(rig: Rig, axle: str, one: SpringSet, springs: Springs, known: Mapping[str, Choice]) -> tuple[Finding, ...]:
    """Every finding about an axle with a set of the reader's own choice."""
    # The other axle needs no set for it.
    choices = {name: known.get(name) if name == axle else None for name in AXLES}
    made = order(picked(rig, axle, one, springs), springs, choices)
    place = AXLES.index(axle)
    return (*made.axles[place].findings, made.ratings[place])


def broken(findings: Iterable[Finding]) -> list[str]:
    return [
        f"{finding.rule}: {finding.text}"
        for finding in findings
        if finding.state == "fails" and finding.rule in HARD_RULES
    ]


# --- search and sheet ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "rig",
    [
        pytest.param(both(wren(), wanted_crossover_above_ride=None), id="no crossover wanted"),
        pytest.param(both(wren(), strap_travel=1.5 * INCH), id="a strap at 1.5 in"),
        pytest.param(having(wren(), least_preload=0.0), id="no preload asked for"),
    ],
)
def test_every_ranked_set_keeps_every_hard_limit_on_its_sheet(rig: Rig) -> None:
    known = searches(rig, SPRINGS)
    for axle, choice in known.items():
        assert len(choice.ranked) == 12
        for one in choice.ranked[::3]:
            findings = sheet(rig, axle, one, SPRINGS, known)
            assert not broken(findings)
            assert {"divider on the body", "loose at droop", "bump stop clear at rest"} <= {
                one.rule for one in findings
            }


def test_of_wren_without_a_wished_crossover_no_divider_leaves_the_body() -> None:
    """16 pairs with the tender the softer spring hold, and some more with it the stiffer one; 187 jammed before."""
    found = searches(both(wren(), wanted_crossover_above_ride=None), SPRINGS)["front"]
    assert found.working >= 16
    assert found.rejected["body"] > 150
    assert all(one.shortfall["body"] <= 0 for one in found.ranked)


def test_a_set_that_the_search_rejects_breaks_that_limit_on_its_sheet() -> None:
    rig = having(STRAPPED, least_preload=0.0, front__body_length=12.2 * INCH, front__thread_length=5.8 * INCH)
    known = searches(rig, SPRINGS)
    problem = known["front"].problem
    count = len(SPRINGS)
    tender, main = (column.ravel() for column in np.meshgrid(np.arange(-1, count), np.arange(count)))
    usual = ~SPRINGS.is_helper
    fits = usual[main] & ((tender < 0) | usual[tender])
    tender, main = tender[fits], main[fits]
    batch = evaluate(problem, SPRINGS, tender, main)
    shortfall, ride = batch.shortfall, batch.sets.ride_travel
    # What rides past an end of the travel has no stack to be judged: its sheet says that no bump or droop is left.
    coilover = problem.coilover
    inside = np.all((ride > coilover.strap_travel) & (ride < coilover.bump_limit), axis=0)
    told: dict[str, int] = {}
    for name in REASONS:
        for place in np.flatnonzero(inside & (shortfall[name] > 1e-6))[:: max(len(main) // 5, 1)][:2]:
            one = judged(problem, SPRINGS, None if tender[place] < 0 else int(tender[place]), int(main[place]))
            of_rule = [one for one in sheet(rig, "front", one, SPRINGS, known) if one.rule == BY_NAME[name].rule]
            assert of_rule, name
            # Inside the plus-minus a finding says close; it is on the wrong side of its limit all the same.
            assert of_rule[0].state in ("fails", "close"), (name, of_rule[0])
            told[name] = told.get(name, 0) + 1
    assert {"too_long", "too_short", "ride_frequency", "body", "thread", "main_bind"} <= set(told)


@pytest.mark.parametrize("number", range(long_run(8, 200)))
def test_ranked_sets_of_any_rig_keep_every_hard_limit_on_their_sheets(number: int) -> None:
    rig = mutated_rig(random.Random(1000 + number))
    few = assortment(
        [
            tuple(
                float(getattr(SPRINGS, name)[at]) for name in ("rate", "free_length", "solid_length", "price", "stock")
            )
            for at in range(0, len(SPRINGS), 4)
        ]
    )
    known = searches(rig, few)
    for axle, choice in known.items():
        assert choice.working == 0 or not choice.problem.blocked()
        for one in choice.ranked[:1] + choice.ranked[-1:]:
            assert not broken(sheet(rig, axle, one, few, known))
        assert searches(rig, few)[axle].ranked == choice.ranked


# --- ready to order -----------------------------------------------------------------------------------------------------------


def reasons(rig: Rig) -> tuple[str, ...]:
    return order(rig, sold(SPRINGS)).reasons


def test_a_failing_finding_and_ready_to_order_exclude_each_other() -> None:
    assert reasons(STRAPPED) == ()
    short = having(STRAPPED, front__solid_before_collapsed=0.3 * INCH)
    loose = both(STRAPPED, strap_travel=0.25 * INCH)
    none = having(STRAPPED, rear__limit_strap="no")
    for rig in (short, loose, none):
        found = order(rig, sold(SPRINGS))
        assert any(finding.state == "fails" for finding in found.findings())
        assert found.estimate
        assert {one.rule for one in found.findings() if one.state == "fails"} == {
            one.partition("“")[2].partition("”")[0] for one in found.reasons
        }
    assert "the check “the mounts end before the damper does” fails at the rear" in reasons(none)
    unknown = both(STRAPPED, limit_strap=None, strap_travel=None)
    assert reasons(unknown) == (
        "whether a limit strap ends the droop before the damper does is not checked at the front and at the rear "
        "(needs limit strap, yes or no)",
    )


def test_what_no_springs_mend_rejects_every_set_and_the_best_of_them_is_still_shown() -> None:
    rig = having(STRAPPED, front__limit_strap="no")
    made = order(rig, SPRINGS)
    front, rear = made.axles
    assert front.choice is not None
    assert rear.choice is not None
    assert (front.choice.working, front.choice.ranked, rear.choice.working > 0) == (0, (), True)
    assert front.choice.rejected["strap"] > 100
    assert front.chosen is front.choice.blocked[0]
    assert "No springs cure this: no limit strap ends the droop" in blocked_line(front.choice)
    assert "ever suggested" in relax_line(front.choice, SHOP)
    told = " ".join(text_of(made, SHOP).split())
    assert "No springs cure this" in told
    # None of the draws mends it either: nothing is the best, and nothing is told apart.
    of_front = told.partition("How sure, front")[2].partition("REAR")[0]
    assert of_front.startswith(" The set works in none of the trials. ")
    assert "best in" not in of_front
    assert all(len(line) <= 80 for line in text_of(made, SHOP).splitlines())
    again = order(having(STRAPPED), SPRINGS).axles[0]
    assert again.choice is not None
    assert again.choice.working > 0


# --- the strap ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "travel", "state", "says"),
    [
        (None, None, "not checked", "needs limit strap"),
        ("yes", None, "not checked", "needs full droop, from full extension"),
        ("no", None, "fails", "There is no limit strap"),
        ("no", 1.0, "fails", "There is no limit strap"),
        ("yes", 1.0, "holds", "At full droop the damper has 1.00 in to spare"),
        (None, 1.0, "holds", "At full droop the damper has 1.00 in to spare"),
        (None, 0.0, "fails", "There is no limit strap"),
    ],
)
def test_a_strap_is_there_or_not_or_not_known(said: str | None, travel: float | None, state: str, says: str) -> None:
    rig = both(wren(), limit_strap=said, strap_travel=None if travel is None else travel * INCH)
    front = order(rig, SPRINGS).axles[0]
    found = next(one for one in front.findings if one.rule == BY_NAME["strap"].rule)
    assert (found.state, says in found.text.replace("\u00a0", " ")) == (state, True), found.text
    assert front.task is not None
    known = dict(front.task.fixed)
    assert ("strap" not in known) == (state == "not checked")
    assert (known.get("strap", 0.0) > 0) == (state == "fails")
    assert front.task.coilover.strap_travel == pytest.approx((travel or 0.0) * INCH if said != "no" else 0.0)


# --- tolerance, and what is not known --------------------------------------------------------------------------------------------


def test_a_preload_that_tolerance_uses_up_is_loose_in_the_search_and_in_the_trials() -> None:
    rig = completed(having(wren(), least_preload=0.0))
    problem = task(rig, "front")
    assert isinstance(problem, Problem)
    found = choose(problem, SPRINGS)
    assert found.rejected["loose"] > 0
    assert all(one.preload >= 0.1875 * INCH - 1e-9 for one in found.ranked)
    first = found.ranked[0]
    bare = replace(first, preload=0.0, adjuster=first.adjuster - first.preload)
    chances = study(rig, problem, SPRINGS, (bare, first)).sets
    assert chances[0].chances["loose"] == pytest.approx(0.5, abs=0.06)
    assert chances[1].chances["loose"] > 0.99


def test_what_is_not_entered_is_not_checked_in_search_trials_and_sheet_alike() -> None:
    names = {
        "ring_thickness": "ring_room",
        "thread_length": "thread",
        "body_length": "body",
        "pad_touch_before_collapsed": "pad",
    }
    rig = completed(both(wren(), **dict.fromkeys(names, None)))
    problem = task(rig, "front")
    assert isinstance(problem, Problem)
    assert {limit.name for limit in problem.unchecked()} >= set(names.values())
    found = choose(problem, SPRINGS)
    assert all(found.rejected[name] == 0 for name in names.values())
    line = unchecked_line(problem)
    for entry in names:
        label = keys()[f"front.{entry}"].is_a.label
        assert label[:1].lower() + label[1:] in line
    chances = study(rig, problem, SPRINGS, found.ranked[:1]).sets[0].chances
    assert not set(names.values()) & set(chances)
    states = {one.rule: one.state for one in order(rig, SPRINGS, {"front": found, "rear": None}).axles[0].findings}
    assert {states[BY_NAME[name].rule] for name in names.values()} == {"not checked"}


def unchecked(made: Order) -> list[tuple[str, Finding]]:
    every = [("", one) for one in (*made.ratings, *made.rests)]
    every += [(item.axle, one) for item in made.axles for one in item.findings]
    return [(axle, one) for axle, one in every if one.state == "not checked"]


def test_every_check_that_was_not_made_names_an_entry_of_the_rig() -> None:
    labels = {declared.is_a.label for declared in keys().values()}
    labels |= {axles.label(key) for key in keys()} | {
        "front corner weights",
        "rear corner weights",
        "springs at both axles",
    }
    labels |= {"height of the center of gravity"}
    lowered = {one[:1].lower() + one[1:] for one in labels}
    bare = (
        "ring_thickness",
        "thread_length",
        "body_length",
        "pad_touch_before_collapsed",
        "axle_rating",
        "gas_pressure",
    )
    seen = 0
    for rig in (
        Rig(),
        wren(),
        both(wren(), wanted_crossover_above_ride=None),
        both(wren(), **dict.fromkeys(bare, None)),
    ):
        for axle, finding in unchecked(order(rig, SPRINGS)):
            _, needs, what = finding.text.partition(": needs ")
            assert needs, finding.text
            assert any(label in what for label in lowered), (axle, finding.text)
            assert "smallest gaps" not in finding.text
            seen += 1
    assert seen > 15


# --- a tender stiffer than the main -------------------------------------------------------------------------------------------------


def test_a_tender_stiffer_than_the_main_is_a_set_like_any_other_and_its_step_is_a_wish() -> None:
    """425 over 260 lb/in: the rate grows 1 + 260/425 = 1.61 times at the crossover."""
    choice = searches(wren(), SPRINGS)["front"]
    assert (
        any(
            one.tender is not None and SPRINGS.rate[one.tender] > SPRINGS.rate[one.main]
            for one in choice.ranked[:12] + choice.blocked
        )
        or choice.working > 208
    )
    problem = random_problem(np.random.default_rng(4))
    listed = assortment([(425 * LB_IN, 14 * INCH, 5 * INCH, 1, 9), (260 * LB_IN, 16 * INCH, 6 * INCH, 1, 9)])
    one = judged(problem, listed, 0, 1)
    assert one.step_ratio == pytest.approx(1.0 + 260 / 425)
    narrow = replace(problem, wishes=replace(problem.wishes, step=(2.0, 3.0)))
    off = judged(narrow, listed, 0, 1)
    assert off.broken() == one.broken()
    assert off.score - one.score == pytest.approx(problem.weights.step * ((2.0 - 1.0 - 260 / 425) / 0.5) ** 2)


def test_the_step_at_the_crossover_is_told_with_what_is_assumed_of_it() -> None:
    made = wrens_order().axles[0]
    found = next(one for one in made.findings if one.rule == BY_NAME["step"].rule)
    assert found.state == "holds"
    assert "Assumed: wanted step, from, 1.5" in found.text
    narrow = both(wren(), wanted_step_low=3.5, wanted_step_high=4.0)
    front = order(narrow, SPRINGS).axles[0]
    told = next(one for one in front.findings if one.rule == BY_NAME["step"].rule)
    assert "Assumed" not in told.text
    assert told.state in ("holds", "close")


# --- the declarations ------------------------------------------------------------------------------------------------------------


def test_each_searched_limit_has_its_words_and_either_may_give_way_or_says_why_not() -> None:
    for limit in LIMITS:
        if limit.searched:
            assert limit.reason
            assert bool(limit.firm) != bool(limit.giving), limit.name
        assert not (limit.trial and limit.warns)
        for name in limit.entries:
            assert f"front.{name}" in keys()


def test_a_program_is_told_every_limit_by_the_same_names() -> None:
    data = order_data(wren(), SPRINGS)["axles"]["front"]
    assert list(data["rejected"]) == list(REASONS)


# --- one declaration at every door ------------------------------------------------------------------------------------------------


def test_whole_rig_trials_and_quote_take_their_limits_from_the_declaration(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: set[str] = set()

    def recorded(name: str) -> None:
        own = getattr(Limit, name)

        def asking(limit: Limit, numbers: Any) -> Any:
            asked.add(limit.name)
            return own(limit, numbers)

        monkeypatch.setattr(Limit, name, asking)

    problem = task(completed(wren()), "front")
    assert isinstance(problem, Problem)
    one = choose(problem, SPRINGS).ranked[0]
    made = wrens_order()
    first = made.axles[0].first
    assert first is not None
    recorded("sides")
    recorded("wanted")
    corners = {limit.name for limit in AT_CORNERS}
    assert corners == {"bump", "droop", "ring_at_rest"}
    cases = len(problem.cases)

    # At full bump nothing of it is left, and the ring is long past: what is said names what the limits want.
    travel = np.full((cases, 4), problem.coilover.bump_limit)
    wrong = contradictions(problem, one, [STANDS] * cases, travel)
    assert asked == corners
    assert {each.what: each.limit for each in wrong} == {"bump": problem.wishes.bump, "ring": 0.0}

    asked.clear()
    judged_corners = first.judged.beside(np.zeros((cases, 2))).margins["corners"]
    assert asked == corners
    means = [first.judged.margins[name] for name in ("bump", "droop", "ring_at_rest")]
    assert np.array_equal(judged_corners, np.minimum.reduce(means))

    asked.clear()
    judge_quote(example())
    assert asked >= {"bump", "droop", "ring_at_rest", "tender_bind", "main_bind", "preload_floor"}
