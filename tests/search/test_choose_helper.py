"""Sets with a helper on top against a plain, scalar solution: one force, found by a root search, through three springs."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from calc.limits import REASONS
from calc.search.choose import choose, evaluate, judged
from calc.search.problem import Problem
from calc.tables import Springs
from tests.conftest import long_run
from tests.search.test_choose import ATMOSPHERE, INCH, LB_IN, assortment, oracle, random_problem, random_rows

COMPARED = long_run(12, 300)
HELPERS = [
    (20 * LB_IN, 4 * INCH, 0.95 * INCH, 30.0, 8.0),
    (50 * LB_IN, 4 * INCH, 1.12 * INCH, 34.0, 8.0),
    (400 * LB_IN, 6 * INCH, 2.0 * INCH, 40.0, 8.0),
]


def with_helpers(rows: list[tuple[float, ...]]) -> Springs:
    """The rows' springs, and behind them the helpers; the last of these is far too stiff to close at rest."""
    springs = assortment([*rows, *HELPERS])
    return replace(springs, helper=np.arange(len(springs)) >= len(rows))


def helped(problem: Problem, helper: tuple[float, ...], tender: tuple[float, ...] | None, main: tuple[float, ...]):
    """One set: its adjuster, half turns, rides, reference frequency, what is left, and the broken limits."""
    c, hardware, limits, wishes = problem.coilover, problem.hardware, problem.limits, problem.wishes
    kh, free_h, solid_h = helper[:3]
    km, free_m, solid_m = main[:3]
    kt, free_t, solid_t = tender[:3] if tender else (math.inf, 0.0, 0.0)
    dividers = hardware.divider_thickness * (2 if tender else 1)

    def upper(force: float) -> float:
        return min(force / kh, free_h - solid_h) + force / kt

    def springs(x: float, preload: float, most: float) -> float:
        """The one force under which all springs together are shortened by preload and travel."""
        if preload + x <= 0:
            return 0.0
        return float(brentq(lambda force: min(upper(force), most) + force / km - preload - x, 0.0, 1e7, xtol=1e-10))

    def gas(x: float) -> float:
        absolute = (c.gas_pressure + ATMOSPHERE) / (1 - c.rod_area * x / c.gas_volume)
        return (absolute - ATMOSPHERE) * c.rod_area

    def gas_slope(x: float) -> float:
        return (gas(x + 1e-6) - gas(x - 1e-6)) / 2e-6

    def ratio(x: float) -> float:
        return math.cos(math.asin(c.eye_offset / (c.extended_length - x)))

    def ride(load: float, preload: float, most: float) -> float:
        def short(x: float) -> float:
            inside = min(max(x, 0.0), c.bump_limit)
            return springs(x, preload, most) + gas(inside) + gas_slope(inside) * (x - inside) - load / ratio(inside)

        return float(brentq(short, -preload - 1.0, 3.0, xtol=1e-13, rtol=1e-14))

    least = free_h + free_t + free_m + dividers - hardware.seat_space
    lowest = max(least, limits.preload_floor)
    highest = least + hardware.adjuster_range - limits.adjuster_reserve
    loads = [case.support_load for case in problem.cases]
    light, heavy = min(loads), max(loads)

    def closed(load: float, preload: float) -> float:
        """Where the load would rest if the helper were closed throughout, as the preload for the wanted height takes it."""
        series = km if not tender else kt * km / (kt + km)

        def short(x: float) -> float:
            inside = min(max(x, 0.0), c.bump_limit)
            force = series * (preload - (free_h - solid_h) + x)
            return force + gas(inside) + gas_slope(inside) * (x - inside) - load / ratio(inside)

        return float(brentq(short, -99.0, 99.0, xtol=1e-13, rtol=1e-14))

    reference = problem.cases[problem.reference]

    def too_high(preload: float) -> float:
        """How much longer the damper is than wanted."""
        return c.extended_length - closed(reference.support_load, preload) - wishes.height.length

    half_turn = hardware.adjuster_step
    turns = [k for k in range(2000) if lowest - 1e-11 <= k * half_turn <= highest + 1e-11]
    raw = float(brentq(too_high, -9.0, 9.0, xtol=1e-13)) / half_turn

    def at(preload: float):
        most = crossover = math.inf
        if tender and wishes.crossover_above_ride is not None:
            at = ride(reference.support_load, preload, math.inf) + wishes.crossover_above_ride
            most = upper(springs(at, preload, math.inf))
            # The ring stands below the backed-off adjuster, under the helper, its divider and the tender so shortened.
            place = preload - least + free_h + hardware.divider_thickness + free_t - most
            most += place - round(place / hardware.ring_step) * hardware.ring_step
            place = round(place / hardware.ring_step) * hardware.ring_step
            force = brentq(lambda force: upper(force) - most, 0.0, 1e7, xtol=1e-9)
            crossover = most + force / km - preload
        rides = [ride(load, preload, most) for load in loads]
        x = rides[problem.reference]
        series = km if not tender else kt * km / (kt + km)
        force = springs(x, preload, most)
        still_open = force / kh < free_h - solid_h - 1e-12
        rate = km if x >= crossover else 1 / (1 / series + 1 / kh) if still_open else series
        inside = min(max(x, 0.0), c.bump_limit)
        slope = (ratio(inside + 1e-6) - ratio(inside - 1e-6)) / 2e-6 * ratio(inside)
        wheel = (rate + gas_slope(inside)) * ratio(inside) ** 2 + reference.support_load / ratio(inside) * slope
        frequency = (
            math.sqrt(wheel * problem.tire_rate / (wheel + problem.tire_rate) / reference.sprung_mass) / 2 / math.pi
        )
        main_left = free_m - solid_m - springs(c.bump_limit, preload, most) / km
        at_ring = springs(min(crossover, c.bump_limit), preload, most)
        tender_left = free_t - solid_t - at_ring / kt if tender else None
        opened = min(min(springs(x, preload, most) for x in rides) / kh, free_h - solid_h)
        broken = {
            "too_short": not turns,
            "helper_open": opened < free_h - solid_h - 1e-12,
            "ride_frequency": not wishes.frequency[0] <= frequency <= wishes.frequency[1],
            "too_long": closed(light, least) < c.strap_travel + wishes.droop,
            "no_crossover": not tender and wishes.crossover_above_ride is not None,
            "droop": min(rides) - c.strap_travel < wishes.droop,
            "bump": c.bump_limit - max(rides) < wishes.bump,
            "ring_at_rest": bool(tender) and max(rides) > crossover,
            "tender_bind": tender_left is not None and tender_left < limits.tender_left,
            "main_bind": main_left < limits.main_left,
        }
        broken["loose"] = preload + c.strap_travel < 0.1875 * INCH
        broken["pad"] = hardware.pad_touch is not None and max(rides) > hardware.pad_touch
        if tender and hardware.body_length is not None:
            # Down the body: the adjuster, helper, its divider and the tender as they are with the strap taut, the divider.
            taut = springs(c.strap_travel, preload, most)
            hangs = preload - least + free_h + hardware.divider_thickness + free_t - min(upper(taut), most)
            broken["body"] = hangs + hardware.divider_thickness > hardware.body_length
        if crossover < math.inf and hardware.thread_length is not None:
            broken["thread"] = place > hardware.thread_length
        if tender:
            at_start = springs(0.0, preload, most)
            # At full extension the helper's divider is lowest: the ring must be clear of it there.
            room = free_t - at_start / kt - (most - upper(at_start))
            broken["ring_room"] = limits.ring_height is not None and crossover < math.inf and room < limits.ring_height
            broken["ring_unreached"] = crossover > c.bump_limit
        if tender and crossover < math.inf:
            at_ring = min(max(crossover, 0.0), c.bump_limit)
            slope = (ratio(at_ring + 1e-6) - ratio(at_ring - 1e-6)) / 2e-6 * ratio(at_ring)
            force = springs(at_ring, preload, most) + gas(at_ring)
            wheel = max((km + gas_slope(at_ring)) * ratio(at_ring) ** 2 + force * slope, 0.0)
            past = math.sqrt(wheel * problem.tire_rate / (wheel + problem.tire_rate) / reference.sprung_mass)
            low, high = wishes.frequency_past_crossover or (0.0, math.inf)
            broken["frequency_past_crossover"] = not low <= past / (2 * math.pi) <= high
        return (
            raw,
            preload - least,
            rides,
            frequency,
            main_left,
            tender_left,
            {name for name, is_so in broken.items() if is_so},
        )

    first = min(max(round(raw), turns[0]), turns[-1]) if turns else math.ceil(lowest / half_turn - 1e-9)
    found = at(first * half_turn)
    if found[-1] and not found[-1] & {"too_long", "too_short", "no_crossover"}:
        for k in sorted(turns, key=lambda k: (abs(k - first), k)):
            # With the helper closed, as it must be, droop and bump ask for this.
            if (
                closed(light, k * half_turn) < c.strap_travel + wishes.droop - 1e-6
                or closed(heavy, k * half_turn) > c.bump_limit - wishes.bump + 1e-6
            ):
                continue
            other = at(k * half_turn)
            if not other[-1]:
                return other
    return found


@pytest.mark.parametrize("seed", range(4))
def test_every_number_of_a_helped_set_agrees_with_the_plain_solution(seed: int) -> None:
    generator = np.random.default_rng(seed)
    problem = random_problem(generator)
    rows = random_rows(generator, 24)
    springs = with_helpers(rows)
    picks = [(int(t), int(m), 24 + int(h)) for t, m, h in generator.integers((-1, 0, 0), (24, 24, 3), (300, 3))]
    tender, main, helper = (np.array(column) for column in zip(*picks, strict=True))
    batch = evaluate(problem, springs, tender, main, helper)
    compared = 0
    for index, (t, m, h) in enumerate(picks):
        found = helped(problem, HELPERS[h - 24], rows[t] if t >= 0 else None, rows[m])
        raw, adjuster, rides, frequency, main_left, tender_left, broken = found
        if abs(abs(raw - math.floor(raw)) - 0.5) < 1e-4:
            continue  # the setting lies on the edge between two half turns: either is right
        assert float(batch.sets.adjuster[index]) == pytest.approx(adjuster, abs=1e-9)
        judged_ = {name: float(value[index]) for name, value in batch.shortfall.items()}
        inside = all(0.0 <= x <= problem.coilover.bump_limit for x in rides)
        if not inside or main_left <= 0 or (tender_left is not None and tender_left <= 0):
            assert any(value > 0 for value in judged_.values())
            continue
        compared += 1
        assert batch.sets.ride_travel[:, index] == pytest.approx(rides, abs=1e-8)
        assert float(batch.sets.reference_frequency[index]) == pytest.approx(frequency, rel=1e-5)
        assert float(batch.sets.main_left[index]) == pytest.approx(main_left, abs=1e-8)
        if tender_left is not None:
            assert float(batch.sets.tender_left[index]) == pytest.approx(tender_left, abs=1e-8)
        near = {name for name, value in judged_.items() if abs(value) < 1e-7}
        ours = {name for name, value in judged_.items() if value > 0 and name in REASONS}
        assert ours - near == broken - near
        if compared == COMPARED:
            break
    assert compared >= 4


def test_helpers_are_tried_on_what_hangs_loose_and_on_nothing_else() -> None:
    generator = np.random.default_rng(4)
    problem = random_problem(generator)
    rows = random_rows(generator, 14)
    found = choose(problem, with_helpers(rows))
    alone = choose(problem, assortment(rows))
    assert (found.tried, found.working, dict(found.rejected)) == (alone.tried, alone.working, dict(alone.rejected))
    loose = 0
    for main in rows:
        for tender in [None, *rows]:
            broken = oracle(problem, tender, main).broken
            loose += "too_short" in broken and "too_long" not in broken
    assert loose > 0
    assert found.helped.tried == 3 * loose == found.helped.working + sum(found.helped.rejected.values())


def test_a_helped_set_of_the_ranks_is_the_set_that_is_judged_alone() -> None:
    for seed in range(30):
        generator = np.random.default_rng(seed)
        problem = random_problem(generator)
        found = choose(problem, with_helpers(random_rows(generator, 40)))
        ranked = [item for item in found.ranked if item.helper is not None]
        if ranked:
            break
    assert ranked
    for item in ranked:
        again = judged(problem, found.springs, item.tender, item.main, item.helper)
        assert (again.springs(), again.preload, again.broken()) == (item.springs(), item.preload, ())
        # Alone the solve stands still at its own last bit.
        assert again.ride_travel == pytest.approx(item.ride_travel, abs=1e-11)
        assert again.score == pytest.approx(item.score, rel=1e-9)
        assert item.helper_closed_travel is not None
        assert min(item.ride_travel) >= item.helper_closed_travel - 1e-12
