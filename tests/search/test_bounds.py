"""A long list is thinned out by bounds that lose nothing: what is left gives the same as judging every set."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import calc.search.choose as module
from calc.limits import REASONS
from calc.order.choice_words import relax_line, ruled_out_line
from calc.quantity import SHOP
from calc.search.bounds import Reach
from calc.search.choose import choose, slices
from calc.search.problem import RULED_OUT, Choice, Problem
from calc.tables import Springs
from tests.conftest import long_run
from tests.search.test_choose import INCH, LB_IN, assortment, random_problem, random_rows
from tests.search.test_pareto import wide_rows


def with_helpers(springs: Springs) -> Springs:
    """The same list, its first six springs soft helpers of several lengths."""
    helper, rate = np.zeros(len(springs), dtype=bool), springs.rate.copy()
    length, solid = springs.free_length.copy(), springs.solid_length.copy()
    helper[:6] = True
    rate[:6] = np.array([10, 20, 30, 40, 50, 60]) * LB_IN
    length[:6] = np.array([1, 1.5, 2, 2.5, 3, 4]) * INCH
    solid[:6] = length[:6] * 0.35
    return replace(springs, helper=helper, rate=rate, free_length=length, solid_length=solid)


def case(seed: int) -> tuple[Problem, Springs]:
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    springs = assortment((random_rows if seed % 2 else wide_rows)(generator, 90))
    wishes = problem.wishes
    if seed % 5 == 4:
        wishes = replace(wishes, crossover_above_ride=None, frequency_past_crossover=None)
    elif seed % 5 == 3:
        wishes = replace(wishes, crossover_above_ride=0.0)
    return replace(problem, wishes=wishes), with_helpers(springs) if seed % 3 == 0 else springs


def thinned(problem: Problem, springs: Springs, monkeypatch: pytest.MonkeyPatch) -> Choice:
    with monkeypatch.context() as patch:
        patch.setattr(module, "JUDGED", 0)
        return choose(problem, springs)


@settings(max_examples=long_run(10, 30))
# Without a crossover single springs may work, and some of these do.
@example(seed=34)
@given(seed=st.integers(0, 100_000))
def test_thinning_out_loses_no_set_that_works(seed: int) -> None:
    problem, springs = case(seed)
    every = choose(problem, springs)
    some = thinned(problem, springs, pytest.MonkeyPatch())
    assert [one.springs() for one in some.ranked] == [one.springs() for one in every.ranked]
    assert [one.score for one in some.ranked] == pytest.approx([one.score for one in every.ranked], rel=1e-12)
    assert (some.working, some.helped.working) == (every.working, every.helped.working)
    assert [(one.chosen.springs(), one.alike) for one in some.trades] == [
        (one.chosen.springs(), one.alike) for one in every.trades
    ]
    # Each set is counted once: it works, is rejected, or was ruled out, and some certainly were.
    assert some.working + sum(some.rejected.values()) + sum(some.ruled_out.values()) == every.tried == some.tried
    assert set(some.ruled_out) == set(RULED_OUT)
    assert sum(some.rejected.values()) < sum(every.rejected.values()) / 3
    for name in REASONS:
        assert some.rejected[name] <= every.rejected[name]


@pytest.mark.parametrize("count", [0, 1])
def test_an_empty_list_and_a_single_spring_are_answered(count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    problem = random_problem(np.random.default_rng(1))
    with monkeypatch.context() as patch:
        patch.setattr(module, "JUDGED", -1)
        found = choose(problem, assortment(random_rows(np.random.default_rng(1), count)))
    assert found.tried == count * (count + 1)
    assert found.working + sum(found.rejected.values()) + sum(found.ruled_out.values()) == found.tried


@pytest.mark.parametrize(
    "row",
    [
        (1e-3, 0.01, 0.009, 0.0, 0.0),
        (1e9, 3.0, 2.9, 1e6, 1e6),
    ],
    ids=["all far too soft", "all far too stiff"],
)
def test_absurd_lists_of_five_thousand_are_answered(row: tuple[float, ...]) -> None:
    problem = random_problem(np.random.default_rng(2))
    found = choose(problem, assortment([row] * 5_000))
    assert found.tried == 5_000 * 5_001
    assert found.working + sum(found.rejected.values()) + sum(found.ruled_out.values()) == found.tried
    assert len(found.ranked) <= 12
    assert "ruled out" in ruled_out_line(found)
    assert relax_line(found, SHOP)


def test_springs_that_are_all_alike_are_told_as_one_trade_and_ranked_by_part_code(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem, springs = case(1)
    best = choose(problem, springs).ranked[0]
    assert best.tender is not None
    rows = [
        tuple(
            float(getattr(springs, name)[index]) for name in ("rate", "free_length", "solid_length", "price", "stock")
        )
        for index in (best.tender, best.main)
    ]
    found = thinned(problem, assortment([rows[0]] * 100 + [rows[1]] * 100), monkeypatch)
    assert found.working >= 100 * 100
    assert [one.springs() for one in found.ranked] == [(0, 100 + place) for place in range(12)]
    assert sum(one.alike + 1 for one in found.trades) >= 100 * 100


def test_wishes_that_leave_no_travel_rule_out_everything(monkeypatch: pytest.MonkeyPatch) -> None:
    problem, springs = case(1)
    greedy = replace(problem, wishes=replace(problem.wishes, bump=0.3, droop=0.3))
    found = thinned(greedy, springs, monkeypatch)
    assert found.working == choose(greedy, springs).working == 0
    assert sum(found.rejected.values()) + sum(found.ruled_out.values()) == found.tried


@pytest.mark.parametrize("seed", [0, 2])
def test_where_no_spring_is_too_stiff_at_ride_the_main_is_not_bound_either(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a tire softer than the wish, with a motion ratio that stays: nothing is worked out of what is not bound."""
    problem, springs = case(seed)
    coilover = replace(problem.coilover, eye_offset=0.0, ratio=0.9, ratio_slope=0.0)
    wishes = replace(problem.wishes, frequency=(problem.wishes.frequency[0], 50.0))
    soft = replace(problem, coilover=coilover, wishes=wishes)
    assert wishes.frequency_past_crossover is not None
    reach = Reach(soft)
    assert reach.common.high == np.inf
    assert (reach.main.low, reach.main.high) == (0.0, np.inf)
    every, some = choose(soft, springs), thinned(soft, springs, monkeypatch)
    assert [one.springs() for one in some.ranked] == [one.springs() for one in every.ranked]
    assert some.working == every.working


def test_a_long_list_is_searched_in_parts_that_tell_how_far_it_has_come() -> None:
    generator = np.random.default_rng(4)
    problem = random_problem(generator)
    springs = assortment(random_rows(generator, 3_500))
    parts = list(slices(problem, springs))
    steps = [part for part in parts if isinstance(part, tuple)]
    assert [total for _, total in steps] == [3_500 * 3_501] * len(steps)
    assert [done for done, _ in steps] == sorted(done for done, _ in steps)
    assert steps[-1][0] == 3_500 * 3_501
    assert len(steps) > 50
    found = parts[-1]
    assert isinstance(found, Choice)
    assert found.working > 30_000
    assert found.working + sum(found.rejected.values()) + sum(found.ruled_out.values()) == found.tried
    told = ruled_out_line(found)
    assert f"{sum(found.ruled_out.values()):,} of 12,253,500 sets" in told


def test_of_many_helpers_the_first_few_are_tried_and_the_rest_told(monkeypatch: pytest.MonkeyPatch) -> None:
    problem, springs = case(0)
    many = replace(springs, helper=np.arange(len(springs)) < 20)
    found = thinned(problem, many, monkeypatch)
    assert found.helpers_left_out == 20 - module.MOST_HELPERS
    assert "8 helpers" in ruled_out_line(found)
