"""The search against a plain, scalar solution of the same question, written here from first principles.

The oracle knows no arrays and no closed forms: it finds every balance with scipy's brentq on a force law of its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.limits import REASONS
from calc.search.choose import choose, evaluate, slices
from calc.search.coilover import Coilover
from calc.search.judging import early, gathered, late
from calc.search.preload import aimed_turns, at_preload
from calc.search.problem import CaseLoad, Choice, Hardware, Height, Limits, Problem, Wishes
from calc.tables import Springs
from tests.conftest import long_run

INCH = 0.0254
LB_IN = 4.4482216152605 / INCH
ATMOSPHERE = 101325.0


def assortment(rows: list[tuple[float, ...]], codes: list[str] | None = None) -> Springs:
    """Springs from rows of rate, free length, solid length, price, stock, all of one bore."""
    table = np.array(rows, dtype=np.float64).reshape(-1, 5)
    count = len(table)
    zero = np.zeros(count)
    every = np.ones(count, dtype=bool)
    return Springs(
        part=tuple(codes or [f"T-{index:04d}" for index in range(count)]),
        rate=table[:, 0],
        free_length=table[:, 1],
        solid_length=table[:, 2],
        inside_diameter=np.full(count, 3.0 * INCH),
        outside_diameter=zero,
        wire_diameter=zero,
        price=table[:, 3],
        stock=table[:, 4].astype(np.int64),
        known={
            "inside_diameter": every,
            "outside_diameter": ~every,
            "wire_diameter": ~every,
            "price": every,
            "stock": every,
        },
        note=("",) * count,
    )


def random_rows(generator: np.random.Generator, count: int) -> list[tuple[float, ...]]:
    rows = []
    for _ in range(count):
        free = float(generator.integers(8, 19)) * INCH
        rows.append(
            (
                float(generator.integers(12, 80)) * 10 * LB_IN,
                free,
                free * float(generator.uniform(0.28, 0.5)),
                float(generator.integers(60, 120)),
                float(generator.integers(0, 6)),
            )
        )
    return rows


def random_problem(generator: np.random.Generator) -> Problem:
    stroke = float(generator.uniform(10, 15)) * INCH
    extended = stroke * float(generator.uniform(2.4, 2.7))
    rod = math.pi / 4 * (float(generator.uniform(0.7, 1.0)) * INCH) ** 2
    base = float(generator.uniform(380, 560))
    cases = tuple(
        CaseLoad(name=name, label=name, support_load=(base + extra) * 9.80665, sprung_mass=base + extra)
        for name, extra in (
            ("light", 0.0),
            ("middle", float(generator.uniform(10, 60))),
            ("heavy", float(generator.uniform(60, 160))),
        )
    )
    middle = float(generator.uniform(1.0, 1.3))
    # Drawn apart, so that what else is drawn stays; one rig in three has not measured its body, thread or bump stop.
    own = np.random.default_rng(int(base * 1e6))

    def measured(low: float, high: float) -> float | None:
        value = float(own.uniform(low, high))
        return None if own.integers(3) == 0 else value

    return Problem(
        axle="front",
        coilover=Coilover(
            extended_length=extended,
            bump_limit=stroke - 0.5 * INCH,
            strap_travel=float(generator.choice([0.0, 0.25 * INCH])),
            eye_offset=float(generator.uniform(0.0, 0.4)) * (extended - stroke),
            gas_pressure=float(generator.uniform(0.5e6, 1.8e6)),
            gas_volume=rod * stroke * float(generator.uniform(2.5, 4.0)),
            rod_area=rod,
        ),
        hardware=Hardware(
            seat_space=extended - float(generator.uniform(3, 6)) * INCH,
            divider_thickness=0.8 * INCH,
            adjuster_range=4 * INCH,
            adjuster_step=INCH / 24,
            spring_inside_diameter=3 * INCH,
            body_length=measured(11.0 * INCH, 15.0 * INCH),
            thread_length=measured(6.0 * INCH, 12.0 * INCH),
            pad_touch=measured(stroke - 4.0 * INCH, stroke - 1.5 * INCH),
        ),
        limits=Limits(ring_height=measured(1.0 * INCH, 1.5 * INCH)),
        tire_rate=260e3,
        cases=cases,
        reference=1,
        wishes=Wishes(
            height=Height(length=extended - float(own.uniform(0.3, 0.6)) * stroke),
            frequency=(middle - 0.12, middle + 0.12),
            frequency_past_crossover=(1.3, 2.0),
            crossover_above_ride=float(generator.uniform(1.5, 3.5)) * INCH,
            bump=float(generator.uniform(3.0, 4.5)) * INCH,
            droop=float(generator.uniform(2.0, 3.0)) * INCH,
        ),
    )


@dataclass
class Judged:
    """What the oracle says of one set."""

    broken: list[str]
    adjuster: float
    half_turns: float
    preload: float
    ride: list[float]
    frequency: float
    past: float | None
    crossover: float | None
    main_left: float
    tender_left: float | None


def oracle(problem: Problem, tender: tuple[float, ...] | None, main: tuple[float, ...]) -> Judged:
    """One set, by scalar root finding."""
    c, hardware, limits, wishes = problem.coilover, problem.hardware, problem.limits, problem.wishes
    km, free_m, solid_m = main[:3]
    main_stroke = free_m - solid_m
    kt, free_t, solid_t = tender[:3] if tender else (math.inf, 0.0, 0.0)
    divider = hardware.divider_thickness if tender else 0.0

    def gas(x: float) -> float:
        absolute = (c.gas_pressure + ATMOSPHERE) / (1 - c.rod_area * x / c.gas_volume)
        return (absolute - ATMOSPHERE) * c.rod_area

    def ratio(x: float) -> float:
        return math.cos(math.asin(c.eye_offset / (c.extended_length - x)))

    def springs(x: float, preload: float, gap: float | None) -> float:
        """Force of the stack: share the shortening between the springs until one of them has come to its end.

        Without a gap given, the springs have neither ring nor end.
        """
        short, end = preload + x, math.inf if gap is None else tender_end(preload, gap)
        together = km * short if not tender else short / (1 / kt + 1 / km)
        if gap is None:
            return max(together, 0.0)
        if tender and together / kt > end and kt * end <= km * main_stroke:
            together = km * (short - end)
        elif tender and together / km > main_stroke:
            together = kt * (short - main_stroke)
        # What is solid gives no more: far stiffer than any spring.
        return max(together, 0.0) + 1e13 * max(short - end - main_stroke, 0.0)

    def tender_end(preload: float, gap: float) -> float:
        """How far the tender shortens until the divider meets the ring, or until it is solid."""
        if not tender:
            return 0.0
        reached = preload / (1 / kt + 1 / km) / kt + gap
        return reached if math.isinf(gap) else min(reached, free_t - solid_t)

    def tender_at(x: float, preload: float, gap: float) -> float:
        return min(springs(x, preload, gap) / kt, tender_end(preload, gap)) if tender else 0.0

    def ride(load: float, preload: float, gap: float | None) -> float:
        def short(x: float) -> float:
            # Outside the damper's travel gas and motion ratio are held at its ends.
            inside = min(max(x, 0.0), c.bump_limit)
            return springs(x, preload, gap) + gas(inside) + gas_slope(inside) * (x - inside) - load / ratio(inside)

        return float(brentq(short, -3.0, 3.0, xtol=1e-13, rtol=1e-14))

    def gas_slope(x: float) -> float:
        h = 1e-6
        return (gas(x + h) - gas(x - h)) / (2 * h)

    def frequency(x: float, rate: float, force: float, mass: float) -> float:
        h = 1e-6
        axial = rate + gas_slope(x)
        slope = (ratio(x + h) - ratio(x - h)) / (2 * h) * ratio(x)
        wheel = max(axial * ratio(x) ** 2 + force * slope, 0.0)
        return (
            math.sqrt(wheel * problem.tire_rate / (wheel + problem.tire_rate) / mass) / (2 * math.pi) if wheel else 0.0
        )

    least = free_t + free_m + divider - hardware.seat_space
    lowest = max(least, limits.preload_floor)
    highest = least + hardware.adjuster_range - limits.adjuster_reserve
    light, heavy = min(case.support_load for case in problem.cases), max(case.support_load for case in problem.cases)

    series = km if not tender else kt * km / (kt + km)

    def resting(load: float, preload: float) -> float:
        """Where the load would rest if the springs stayed in touch whatever happens, as the balance takes it."""

        def short(x: float) -> float:
            inside = min(max(x, 0.0), c.bump_limit)
            return series * (preload + x) + gas(inside) + gas_slope(inside) * (x - inside) - load / ratio(inside)

        return float(brentq(short, -99.0, 99.0, xtol=1e-13, rtol=1e-14))

    reference = problem.cases[problem.reference]

    def too_high(preload: float) -> float:
        """How much longer the damper is than wanted."""
        return c.extended_length - resting(reference.support_load, preload) - wishes.height.length

    def at(preload: float, *, quick: bool) -> Judged:
        """Judge one preload; quick ends at the first limits that are broken."""
        adjuster = preload - least
        first_ride = ride(reference.support_load, preload, None)
        gap, crossover = math.inf, None
        place = None
        if tender and wishes.crossover_above_ride is not None:
            gap = (first_ride + wishes.crossover_above_ride) * km / (kt + km)
            seat_to_divider = free_t - preload * km / (kt + km)
            place = adjuster + seat_to_divider - gap
            gap += place - round(place / hardware.ring_step) * hardware.ring_step
            place = round(place / hardware.ring_step) * hardware.ring_step
            crossover = gap * (kt + km) / km
        tender_left = None
        if quick:
            # Both springs work there, or another limit is broken.
            now = frequency(first_ride, series, reference.support_load / ratio(first_ride), reference.sprung_mass)
            if not wishes.frequency[0] - 1e-9 <= now <= wishes.frequency[1] + 1e-9:
                return Judged(["ride_frequency"], adjuster, raw, preload, [], now, None, crossover, 0.0, None)
        main_left = main_stroke - (preload + c.bump_limit - tender_at(c.bump_limit, preload, gap))
        if quick and main_left < limits.main_left:
            return Judged(["main_bind"], adjuster, raw, preload, [], 0.0, None, crossover, main_left, None)
        rides = [ride(case.support_load, preload, gap) for case in problem.cases]
        x = min(max(rides[problem.reference], 0.0), c.bump_limit)
        short, end = preload + x, tender_end(preload, gap)
        if short >= end + main_stroke - 1e-9:
            rate = 0.0
        elif tender and kt * end > km * main_stroke:
            rate = kt if series * short >= km * main_stroke else series
        else:
            rate = km if tender and series * short >= kt * end else series
        now = frequency(x, rate, reference.support_load / ratio(x), reference.sprung_mass)
        past = None
        if tender and crossover is not None:
            at_ring = min(max(crossover, 0.0), c.bump_limit)
            force = springs(at_ring, preload, gap)
            # Springs that are solid there are rejected; their force is not taken into account.
            past = frequency(at_ring, km, force + gas(at_ring) if force < 1e7 else 0.0, reference.sprung_mass)
            tender_left = free_t - solid_t - min(preload * km / (kt + km) + gap, (preload + at_ring) * km / (kt + km))
        broken = list(early)
        if not wishes.frequency[0] <= now <= wishes.frequency[1]:
            broken.append("ride_frequency")
        if not tender and wishes.crossover_above_ride is not None:
            broken.append("no_crossover")
        if past is not None and not wishes.frequency_past_crossover[0] <= past <= wishes.frequency_past_crossover[1]:  # type: ignore[index]
            broken.append("frequency_past_crossover")
        if min(rides) - c.strap_travel < wishes.droop:
            broken.append("droop")
        if c.bump_limit - max(rides) < wishes.bump:
            broken.append("bump")
        if crossover is not None:
            if max(rides) > crossover:
                broken.append("ring_at_rest")
            shortened = free_t - tender_at(min(crossover, c.bump_limit), preload, gap)
            if limits.ring_height is not None and shortened < limits.ring_height:
                broken.append("ring_room")
            if crossover > c.bump_limit:
                broken.append("ring_unreached")
            if tender_left is not None and tender_left < limits.tender_left:
                broken.append("tender_bind")
        if main_left < limits.main_left:
            broken.append("main_bind")
        if preload + c.strap_travel < 0.1875 * INCH:
            broken.append("loose")
        if hardware.pad_touch is not None and max(rides) > hardware.pad_touch:
            broken.append("pad")
        if hardware.thread_length is not None and place is not None and place > hardware.thread_length:
            broken.append("thread")
        if hardware.body_length is not None and tender:
            # Down the body: the adjuster, then the tender as it is shortened with the strap taut, then the divider.
            lowest_edge = adjuster + free_t - tender_at(c.strap_travel, preload, gap) + divider
            if lowest_edge > hardware.body_length:
                broken.append("body")
        return Judged(broken, adjuster, raw, preload, rides, now, past, crossover, main_left, tender_left)

    half_turn = hardware.adjuster_step
    # Every half turn that keeps the least preload and the adjuster's reserve.
    turns = [k for k in range(2000) if lowest - 1e-11 <= k * half_turn <= highest + 1e-11]
    early = []
    if resting(light, least) < c.strap_travel + wishes.droop:
        early.append("too_long")
    if not turns:
        early.append("too_short")
    raw = float(brentq(too_high, -9.0, 9.0, xtol=1e-13)) / half_turn
    first = min(max(round(raw), turns[0]), turns[-1]) if turns else math.ceil(lowest / half_turn - 1e-9)
    found = at(first * half_turn, quick=False)
    if not found.broken or early or (not tender and wishes.crossover_above_ride is not None):
        return found
    low, high = c.strap_travel + wishes.droop, c.bump_limit - wishes.bump

    def between(preload: float) -> bool:
        """Whether the lightest load rests below the wanted droop and the heaviest above the wanted bump.

        Whoever rests on the ring or on a bound spring breaks another limit, so both springs work here.
        """
        lifted, held = (springs(x, preload, None) + gas(x) for x in (low, high))
        return lifted <= light / ratio(low) + 1e-6 and held >= heavy / ratio(high) - 1e-6

    for k in sorted(turns, key=lambda k: (abs(k - first), k)):
        if not between(k * half_turn):
            continue
        other = at(k * half_turn, quick=True)
        if not other.broken:
            return other
    return found


@pytest.mark.parametrize("seed", range(8))
def test_every_limit_and_number_agrees_with_the_plain_solution(seed: int) -> None:
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    rows = random_rows(generator, 30)
    springs = assortment(rows)
    pairs = [
        (int(t), int(m)) for t, m in zip(generator.integers(-1, 30, 300), generator.integers(0, 30, 300), strict=True)
    ]
    batch = evaluate(problem, springs, np.array([t for t, _ in pairs]), np.array([m for _, m in pairs]))
    compared = full = 0
    for index, (t, m) in enumerate(pairs):
        wanted = oracle(problem, rows[t] if t >= 0 else None, rows[m])
        if abs(abs(wanted.half_turns - math.floor(wanted.half_turns)) - 0.5) < 1e-4:
            continue  # the setting lies on the edge between two half turns: either is right
        compared += 1
        found = {name: float(value[index]) for name, value in batch.shortfall.items()}
        assert float(batch.sets.adjuster[index]) == pytest.approx(wanted.adjuster, abs=1e-9)
        assert float(batch.sets.preload[index]) == pytest.approx(wanted.preload, abs=1e-9)
        # Sets that leave the damper's travel or bind are rejected either way; their numbers are not compared.
        inside = all(0.0 <= x <= problem.coilover.bump_limit for x in wanted.ride)
        near = {name for name in found if abs(found[name]) < 1e-7}
        whole = inside and wanted.main_left > 0 and (wanted.tender_left is None or wanted.tender_left > 0)
        broken = {name for name in found if found[name] > 0}
        if not whole:
            assert broken
            assert wanted.broken
            continue
        full += 1
        assert broken - near == set(wanted.broken) - near
        assert batch.sets.ride_travel[:, index] == pytest.approx(wanted.ride, abs=1e-9)
        assert float(batch.sets.ride_frequency[1, index]) == pytest.approx(wanted.frequency, rel=1e-6)
        assert float(batch.sets.main_left[index]) == pytest.approx(wanted.main_left, abs=1e-9)
        if wanted.past is not None:
            assert float(batch.sets.frequency_past_crossover[index]) == pytest.approx(wanted.past, rel=1e-6)
            assert float(batch.sets.tender_left[index]) == pytest.approx(wanted.tender_left, abs=1e-9)
    assert compared > 280
    assert full > 5


def plain_choice(problem: Problem, rows: list[tuple[float, ...]]) -> tuple[int, dict[str, int]]:
    """Count what the oracle accepts, and the first reason of each rejection."""
    rejected = dict.fromkeys(REASONS, 0)
    working = 0
    for main in rows:
        for tender in [None, *rows]:
            broken = oracle(problem, tender, main).broken
            if broken:
                rejected[min(broken, key=list(REASONS).index)] += 1
            else:
                working += 1
    return working, rejected


def test_counts_agree_with_a_plain_loop_over_every_set() -> None:
    generator = np.random.default_rng(4)
    problem = random_problem(generator)
    rows = random_rows(generator, 16)
    found = choose(problem, assortment(rows))
    working, rejected = plain_choice(problem, rows)
    assert found.tried == 16 * 17 == found.working + sum(found.rejected.values())
    assert (found.working, dict(found.rejected)) == (working, rejected)


def names_of(found: Choice) -> list[tuple[str, str]]:
    parts = found.springs.part
    return [("" if item.tender is None else parts[item.tender], parts[item.main]) for item in found.ranked]


@settings(max_examples=12)
@given(seed=st.integers(0, 10_000))
def test_the_order_of_the_list_changes_nothing(seed: int) -> None:
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    rows = random_rows(generator, 24)
    codes = [f"T-{index:04d}" for index in range(24)]
    order = generator.permutation(24)
    straight = choose(problem, assortment(rows, codes))
    shuffled = choose(problem, assortment([rows[i] for i in order], [codes[i] for i in order]))
    assert names_of(straight) == names_of(shuffled)
    assert straight.rejected == shuffled.rejected
    assert straight.working == shuffled.working


LOOSENED = {
    "frequency": lambda p, by: wished(p, frequency=wider(p.wishes.frequency, by)),
    "frequency_past_crossover": lambda p, by: wished(
        p, frequency_past_crossover=wider(p.wishes.frequency_past_crossover, by)
    ),
    "bump": lambda p, by: wished(p, bump=p.wishes.bump * (1 - by)),
    "droop": lambda p, by: wished(p, droop=p.wishes.droop * (1 - by)),
} | {
    name: lambda p, by, name=name: replace(
        p,
        limits=replace(p.limits, **{name: None if (now := getattr(p.limits, name)) is None else now * (1 - by)}),
    )
    for name in ("preload_floor", "adjuster_reserve", "tender_left", "main_left", "ring_height")
}


def wished(problem: Problem, **wishes: Any) -> Problem:
    return replace(problem, wishes=replace(problem.wishes, **wishes))


def wider(span: tuple[float, float] | None, by: float) -> tuple[float, float]:
    assert span is not None
    return span[0] - by * 0.3, span[1] + by * 0.3


def works(problem: Problem, springs: Springs, helper: np.ndarray | None = None) -> np.ndarray:
    """Whether each single and each pair of a list works, with one of its springs as a helper on top or alone."""
    count = len(springs)
    tender, main = (column.ravel() for column in np.meshgrid(np.arange(-1, count), np.arange(count)))
    top = None if helper is None else np.resize(helper, len(main))
    batch = evaluate(problem, springs, tender, main, top)
    return np.all([value <= 0 for value in batch.shortfall.values()], axis=0)


@settings(max_examples=long_run(5, 25))
@given(seed=st.integers(0, 100_000), by=st.floats(0.0, 1.0), ringed=st.booleans())
def test_loosening_a_limit_never_loses_a_set(seed: int, by: float, ringed: bool) -> None:
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    if not ringed:
        problem = wished(problem, crossover_above_ride=None)
    springs = assortment(
        [*random_rows(generator, 30), *((k * 20 * LB_IN, k * INCH, 0.3 * k * INCH, 0, 0) for k in (1, 2, 4))]
    )
    helpers = (None, np.array([30, 31, 32]))
    alone = [works(problem, springs, helper) for helper in helpers]
    helped = replace(springs, helper=np.arange(33) >= 30)
    tight = choose(problem, helped)
    for name, loosened in LOOSENED.items():
        looser = loosened(problem, by)
        for before, helper in zip(alone, helpers, strict=True):
            assert not np.any(before & ~works(looser, springs, helper)), name
        loose = choose(looser, helped)
        assert loose.working >= tight.working, name
        assert loose.helped.working >= tight.helped.working, name


def test_half_an_inch_less_droop_lost_sets_while_one_preload_was_tried() -> None:
    """Over sixty lists every set that works stays, and some work only at another preload than the wanted height asks for."""
    moved = 0
    for seed in range(60):
        generator = np.random.default_rng(seed)
        problem = random_problem(generator)
        springs = assortment(random_rows(generator, 24))
        before = works(problem, springs)
        less = wished(problem, droop=problem.wishes.droop - 0.5 * INCH)
        assert not np.any(before & ~works(less, springs))
        step = problem.hardware.adjuster_step
        moved += sum(abs(one.preload - one.wanted_preload) > step for one in choose(less, springs).ranked)
    assert moved > 20


@pytest.mark.parametrize("seed", range(4))
def test_the_preload_is_the_nearest_to_the_one_for_the_wanted_height_that_keeps_every_limit(seed: int) -> None:
    """Every half turn of every set, judged one by one at that preload alone."""
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    springs = assortment(random_rows(generator, 40))
    tender, main = (column.ravel() for column in np.meshgrid(np.arange(-1, 40), np.arange(40)))
    batch = evaluate(problem, springs, tender, main)
    step = problem.hardware.adjuster_step
    sets, shortfall = early(problem, gathered(problem, springs, tender, main))
    fit = np.all([value <= 0 for value in shortfall.values()], axis=0)
    nearest_ = np.full(len(main), np.inf)
    aimed = aimed_turns(problem, sets, batch.sets.wanted_preload) * step
    for turns in range(int(sets.first_turn[fit].min()), int(sets.last_turn[fit].max()) + 1):
        these = np.flatnonzero(fit & (sets.first_turn <= turns) & (turns <= sets.last_turn))
        some, wrong = at_preload(problem, sets.only(these), np.full(len(these), turns * step))
        _, more = late(problem, some)
        kept = these[np.all([value <= 0 for value in {**wrong, **more}.values()], axis=0)]
        away = np.abs(turns * step - aimed[kept])
        nearest_[kept] = np.minimum(nearest_[kept], away)
    found = np.all([value <= 0 for value in batch.shortfall.values()], axis=0)
    assert np.array_equal(found, np.isfinite(nearest_))
    moved = np.abs(batch.sets.preload - aimed)
    assert moved[found] == pytest.approx(nearest_[found], abs=1e-9)
    assert not np.any(moved[~found])


@settings(max_examples=10)
@given(seed=st.integers(0, 10_000))
def test_no_ranked_set_breaks_a_limit_in_the_plain_solution(seed: int) -> None:
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    rows = random_rows(generator, 30)
    found = choose(problem, assortment(rows))
    for item in found.ranked:
        judged = oracle(problem, None if item.tender is None else rows[item.tender], rows[item.main])
        edge = abs(abs(judged.half_turns - math.floor(judged.half_turns)) - 0.5) < 1e-4
        assert edge or not judged.broken
    scores = [item.score for item in found.ranked]
    assert scores == sorted(scores)


@pytest.mark.parametrize("count", [0, 1])
def test_an_empty_list_and_a_single_spring_are_answered(count: int) -> None:
    generator = np.random.default_rng(1)
    found = choose(random_problem(generator), assortment(random_rows(generator, count)))
    assert found.tried == count * (count + 1)
    assert found.working + sum(found.rejected.values()) == found.tried


def test_springs_of_another_bore_are_left_out() -> None:
    generator = np.random.default_rng(2)
    problem = random_problem(generator)
    springs = assortment(random_rows(generator, 10))
    other = replace(springs, inside_diameter=np.full(10, 2.5 * INCH))
    found = choose(problem, other)
    assert (found.fitting, found.tried, found.ranked) == (0, 0, ())


def test_slices_report_progress_and_end_with_the_same_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    import calc.search.choose as module

    generator = np.random.default_rng(3)
    problem = random_problem(generator)
    springs = assortment(random_rows(generator, 40))
    whole = choose(problem, springs)
    monkeypatch.setattr(module, "CHUNK", 100)
    parts: list[Any] = list(slices(problem, springs))
    assert [part[0] for part in parts[:-1]] == [min(100 * (i + 1), 1640) for i in range(17)]
    assert names_of(parts[-1]) == names_of(whole)
    assert parts[-1].rejected == whole.rejected
    assert [item.score for item in parts[-1].ranked] == [item.score for item in whole.ranked]


@pytest.mark.parametrize("seed", range(3))
def test_leaving_sets_out_early_changes_neither_ranks_nor_near_misses(seed: int) -> None:
    """Every set judged to its end, then ranked by plain sorting, gives the same as the search in stages."""
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    springs = assortment(random_rows(generator, 40))
    found = choose(problem, springs)
    tender, main = (column.ravel() for column in np.meshgrid(np.arange(-1, 40), np.arange(40)))
    batch = evaluate(problem, springs, tender, main)
    broken = np.stack([batch.shortfall[name] > 0 for name in REASONS])
    works = np.flatnonzero(~broken.any(axis=0))
    names = [("" if tender[i] < 0 else springs.part[tender[i]], springs.part[main[i]]) for i in range(len(main))]
    order = sorted(works, key=lambda i: (float(f"{batch.score[i]:.8e}"), *names[i]))
    assert names_of(found) == [names[i] for i in order[:12]]
    assert found.working == len(works)
    single = np.flatnonzero(broken.sum(axis=0) == 1)
    for item in found.near:
        place = next(
            i
            for i in single
            if (int(tender[i]), int(main[i])) == (-1 if item.tender is None else item.tender, item.main)
        )
        assert [name for index, name in enumerate(REASONS) if broken[index, place]] == list(item.broken())
