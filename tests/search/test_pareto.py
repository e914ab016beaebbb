"""Pareto set, giving limits and ranks against plain loops: one over every set with the oracle of test_choose.py."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.limits import FIRM, REASONS
from calc.search.choose import choose, evaluate, judged, slices
from calc.search.pareto import unbeaten
from calc.search.problem import Choice, Problem
from tests.conftest import long_run
from tests.search.test_choose import INCH, Judged, assortment, oracle, random_problem, random_rows

Row = tuple[float, ...]


def wide_rows(generator: np.random.Generator, count: int) -> list[Row]:
    """Springs of which few suit one another, so that a plain loop over all pairs ends soon.

    None binds before ride: the oracle does not follow a bound spring any further, which changes the first reason only.
    """
    rows = []
    for rate, _, _, price, stock in random_rows(generator, count):
        free = float(generator.integers(6, 40)) * 0.5 * INCH
        rows.append((rate, free, free * float(generator.uniform(0.15, 0.35)), price, stock))
    return rows


def plain_score(problem: Problem, rows: list[Row], tender: Row | None, main: Row, found: Judged) -> float:
    """The documented sum of weights, one number at a time."""
    weights, wishes, limits, hardware = problem.weights, problem.wishes, problem.limits, problem.hardware

    def off(value: float, wanted: tuple[float, float]) -> float:
        return ((value - (wanted[0] + wanted[1]) / 2) / ((wanted[1] - wanted[0]) / 2)) ** 2

    def lacking(spare: float, enough: float) -> float:
        return max(0.0, 1 - spare / enough) ** 2

    target, band = wishes.height.length, wishes.height.band
    length = problem.coilover.extended_length - found.ride[problem.reference]
    total = weights.ride_height * off(length, (target - band, target + band))
    total += weights.ride_frequency * off(found.frequency, wishes.frequency)
    assert wishes.frequency_past_crossover is not None
    past = 1.0 if found.past is None else off(found.past, wishes.frequency_past_crossover)
    total += weights.frequency_past_crossover * past
    if tender is not None and wishes.crossover_above_ride is not None:
        low, high = wishes.step
        step = 1.0 + main[0] / tender[0]
        total += weights.step * (max(low - step, step - high, 0.0) / ((high - low) / 2)) ** 2
    total += weights.travel * lacking(-costs(problem, found)[1], INCH)
    binds = [found.main_left - limits.main_left]
    if found.tender_left is not None:
        binds.append(found.tender_left - limits.tender_left)
    total += weights.bind * lacking(min(binds), 0.5 * INCH)
    reserve = hardware.adjuster_range - limits.adjuster_reserve - found.adjuster
    total += weights.adjuster * lacking(min(found.adjuster, reserve), 0.5 * INCH)
    every = [row[3] for row in rows]
    price = main[3] + (tender[3] if tender else 0.0)
    total += weights.price * (price - min(every)) / (2 * max(every) - min(every))
    needed = 4 if tender is main else 2
    short = main[4] < needed or (tender is not None and tender[4] < needed)
    return total + weights.stock * float(short)


def costs(problem: Problem, found: Judged) -> tuple[float, float]:
    """How far the ride frequency is off the middle, and the least travel left beyond what is wanted, negative."""
    wishes, coilover = problem.wishes, problem.coilover
    droop = min(found.ride) - coilover.strap_travel - wishes.droop
    bump = coilover.bump_limit - max(found.ride) - wishes.bump
    return abs(found.frequency - sum(wishes.frequency) / 2), -min(droop, bump)


def plain_front(items: list[tuple[tuple[float, ...], Any]]) -> list[tuple[Any, int]]:
    """Return what none of the others beats, first by cost then by name, and how many more cost the same."""
    best = sorted(
        (cost, name)
        for cost, name in items
        if not any(other != cost and all(a <= b for a, b in zip(other, cost, strict=True)) for other, _ in items)
    )
    firsts: dict[tuple[float, ...], list[Any]] = {}
    for cost, name in best:
        firsts.setdefault(cost, []).append(name)
    return [(names[0], len(names) - 1) for names in firsts.values()]


def stepped(error: float, margin: float, price: float) -> tuple[float, ...]:
    return (round(error / 0.01), round(margin / 0.001), round(price / 0.01))


def pair(found: Choice, item: Any) -> tuple[str, str]:
    parts = found.springs.part
    return ("" if item.tender is None else parts[item.tender], parts[item.main])


def test_a_plain_loop_over_every_set_gives_the_same_ranks_rejections_trades_and_giving_limits() -> None:
    generator = np.random.default_rng(6)
    problem = random_problem(generator)
    rows = wide_rows(generator, long_run(80, 300))
    listed = assortment(rows)
    found = choose(problem, listed)
    hardware, limits = problem.hardware, problem.limits
    rejected = dict.fromkeys(REASONS, 0)
    alone: dict[str, list[float]] = {}
    ranked, items = [], []
    order = list(REASONS).index
    for t, tender in [(-1, None), *enumerate(rows)]:
        for m, main in enumerate(rows):
            divider = hardware.divider_thickness if tender else 0.0
            least = (tender[1] if tender else 0.0) + main[1] + divider - hardware.seat_space
            if least + hardware.adjuster_range - limits.adjuster_reserve < limits.preload_floor:
                rejected["too_short"] += 1
                continue
            told = oracle(problem, tender, main)
            if told.broken:
                rejected[min(told.broken, key=order)] += 1
                if len(told.broken) == 1:
                    alone.setdefault(told.broken[0], []).append(0.0)
                continue
            name = ("" if t < 0 else listed.part[t], listed.part[m])
            ranked.append((float(f"{plain_score(problem, rows, tender, main, told):.8e}"), name))
            price = main[3] + (tender[3] if tender else 0.0)
            items.append((stepped(*costs(problem, told), price), name))
    assert len(ranked) == found.working > 20
    assert rejected == dict(found.rejected)
    assert [pair(found, item) for item in found.ranked] == [name for _, name in sorted(ranked)[:12]]
    assert {item.limit: item.admits for item in found.relaxed} == {
        name: len(sets) for name, sets in alone.items() if name not in FIRM
    }
    assert [(pair(found, item.chosen), item.alike) for item in found.trades] == plain_front(items)


@settings(max_examples=6)
@given(seed=st.integers(0, 10_000))
def test_trades_and_giving_limits_are_those_of_every_set_judged_to_its_end(seed: int) -> None:
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    listed = assortment(random_rows(generator, 40))
    found = choose(problem, listed)
    tender, main = (column.ravel() for column in np.meshgrid(np.arange(-1, 40), np.arange(40)))
    batch = evaluate(problem, listed, tender, main)
    names = [("" if t < 0 else listed.part[t], listed.part[m]) for t, m in zip(tender, main, strict=True)]
    alone: dict[str, list[tuple[float, tuple[str, str]]]] = {}
    items = []
    for place, name in enumerate(names):
        broken = [limit for limit in REASONS if batch.shortfall[limit][place] > 0]
        if len(broken) == 1 and broken[0] not in FIRM:
            short = float(f"{batch.shortfall[broken[0]][place]:.8e}")
            alone.setdefault(broken[0], []).append((short, name))
        if not broken:
            ride = float(batch.sets.reference_frequency[place])
            margin = max(float(batch.shortfall[limit][place]) for limit in ("droop", "bump"))
            price = sum(float(listed.price[i]) for i in (tender[place], main[place]) if i >= 0)
            items.append((stepped(abs(ride - sum(problem.wishes.frequency) / 2), margin, price), name))
    assert [(pair(found, item.chosen), item.alike) for item in found.trades] == plain_front(items)
    assert {item.limit: (item.admits, pair(found, item.first)) for item in found.relaxed} == {
        limit: (len(sets), min(sets)[1]) for limit, sets in alone.items()
    }
    admits = [item.admits for item in found.relaxed]
    assert admits == sorted(admits, reverse=True)
    assert "too_long" not in alone


def test_a_giving_limit_admits_its_first_set_when_it_gives_by_what_is_told() -> None:
    generator = np.random.default_rng(4)
    problem = random_problem(generator)
    listed = assortment(random_rows(generator, 60))
    found = choose(problem, listed)
    told = next(item for item in found.relaxed if item.limit == "ride_frequency")
    low, high = problem.wishes.frequency
    given_up = (low - told.by - 1e-9, high + told.by + 1e-9)
    more = choose(replace(problem, wishes=replace(problem.wishes, frequency=given_up)), listed)
    assert more.working > found.working
    # It is told at the preload for the wanted height: another one may let a set in sooner, never later.
    assert not judged(more.problem, listed, told.first.tender, told.first.main).broken()


@settings(max_examples=40)
@given(
    rows=st.lists(st.tuples(*[st.integers(0, 6).map(float)] * 3), min_size=0, max_size=150, unique=True),
)
def test_what_is_unbeaten_is_what_no_other_beats(rows: list[tuple[float, ...]]) -> None:
    rows = sorted(rows)
    beaten = [any(o != r and all(a <= b for a, b in zip(o, r, strict=True)) for o in rows) for r in rows]
    table = np.array(rows, dtype=np.float64).reshape(-1, 3)
    assert unbeaten(table).tolist() == [place for place, lost in enumerate(beaten) if not lost]


def test_chunks_order_and_doubled_rows_change_no_trade(monkeypatch: pytest.MonkeyPatch) -> None:
    import calc.search.choose as module

    generator = np.random.default_rng(3)
    problem = random_problem(generator)
    rows = random_rows(generator, 40)
    codes = [f"T-{index:04d}" for index in range(40)]
    straight = choose(problem, assortment(rows, codes))
    assert straight.trades
    monkeypatch.setattr(module, "CHUNK", 100)
    order = generator.permutation(40)
    parts = list(slices(problem, assortment([rows[i] for i in order], [codes[i] for i in order])))
    shuffled = parts[-1]
    assert isinstance(shuffled, Choice)
    told = [(pair(straight, item.chosen), item.price, item.alike) for item in straight.trades]
    assert told == [(pair(shuffled, item.chosen), item.price, item.alike) for item in shuffled.trades]
    doubled = choose(problem, assortment(rows * 2, codes + [f"U-{index:04d}" for index in range(40)]))
    twice = [(pair(doubled, item.chosen), item.price) for item in doubled.trades]
    assert twice == [(name, price) for name, price, _ in told]
    by_twos = [2 if pair(doubled, item.chosen)[0] == "" else 4 for item in doubled.trades]
    assert [item.alike + 1 for item in doubled.trades] == [
        times * (alike + 1) for times, (_, _, alike) in zip(by_twos, told, strict=True)
    ]


def test_without_prices_the_trade_is_of_frequency_and_travel_alone() -> None:
    generator = np.random.default_rng(3)
    problem = random_problem(generator)
    listed = assortment(random_rows(generator, 40))
    unpriced = replace(listed, known={**listed.known, "price": np.zeros(40, dtype=bool)})
    found = choose(problem, unpriced)
    assert found.trades
    assert all(item.price is None for item in found.trades)
    errors = [math.floor(item.frequency_error / 0.01 + 0.5) for item in found.trades]
    margins = [item.travel_margin for item in found.trades]
    assert errors == sorted(errors)
    assert margins == sorted(margins)


@settings(max_examples=6)
@given(seed=st.integers(0, 10_000))
def test_no_set_of_a_trade_breaks_a_limit_in_the_plain_solution(seed: int) -> None:
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    rows = random_rows(generator, 30)
    found = choose(problem, assortment(rows))
    for one in found.trades:
        item = one.chosen
        judged = oracle(problem, None if item.tender is None else rows[item.tender], rows[item.main])
        edge = abs(abs(judged.half_turns - math.floor(judged.half_turns)) - 0.5) < 1e-4
        assert edge or not judged.broken
