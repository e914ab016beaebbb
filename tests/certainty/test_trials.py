"""How sure a choice is: against closed forms, against a plain loop over the same draws, and where first order is wrong."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from calc import tables
from calc.answers.order import order_text
from calc.answers.order_data import order_data
from calc.certainty.sources import SCALE_GAIN, drawn, sources
from calc.certainty.trials import DRAWS, AxleDoubt, draws, first_order, judge, study, study_slices, tries
from calc.order.certainty import doubts, weakest
from calc.order.order import Order
from calc.rig.file import wren
from calc.rig.rig import Entry, Rig
from calc.search.choose import judged
from calc.search.coilover import Coilover
from calc.search.problem import Problem, SpringSet
from tests.whole.wrens_order import wrens_order

INCH = 0.0254
POUND = 0.45359237
G = 9.80665
ATMOSPHERE = 101325.0
SPRINGS = tables.assortment_springs()


@pytest.fixture(scope="module")
def made() -> Order:
    return wrens_order()


def part_of(made: Order, axle: str) -> tuple[Problem, list[SpringSet]]:
    item = next(one for one in made.axles if one.axle == axle)
    assert item.task is not None
    assert item.choice is not None
    return item.task, list(item.choice.ranked[:5])


def plain(rig: Rig, springs: dict[str, float], mass: float, moved: dict[str, float]) -> tuple[float, float]:
    """Ride travel and frequency of one draw at the front, from a force balance of its own, solved by bisection."""

    def value(name: str) -> float:
        return float(rig.get(f"front.{name}")) + moved.get(name, 0.0)

    offset = value("damper_length") * math.sin(value("lean"))
    rod = math.pi / 4 * value("rod_diameter") ** 2
    absolute = value("gas_pressure") + ATMOSPHERE
    k_t, k_m = springs["tender"], springs["main"]
    series = k_t * k_m / (k_t + k_m)
    crossover = springs["gap"] * (k_t + k_m) / k_m

    def spring(x: float) -> float:
        return series * (springs["preload"] + min(x, crossover)) + k_m * max(x - crossover, 0.0)

    def gas(x: float) -> float:
        return (absolute / (1 - rod * x / value("gas_volume")) - ATMOSPHERE) * rod

    def ratio(x: float) -> float:
        return math.sqrt(1 - (offset / (value("damper_extended") - x)) ** 2)

    ride = brentq(lambda x: (spring(x) + gas(x)) * ratio(x) - mass * G, 0.0, 0.29, xtol=1e-14)
    step = 1e-7
    rate = (series if ride < crossover else k_m) + (gas(ride + step) - gas(ride - step)) / (2 * step)
    length = value("damper_extended") - ride
    wheel = rate * ratio(ride) ** 2 - mass * G / ratio(ride) * (offset / length) ** 2 / length
    tire = value("tire_rate")
    return ride, math.sqrt(wheel * tire / (wheel + tire) / mass) / (2 * math.pi)


def plain_draw(made: Order, chosen: SpringSet, move: dict[str, float]) -> tuple[float, float]:
    """One draw at the front in the crew's load case, every moved number put together by hand."""
    rig = made.rig

    def of(key: str) -> float:
        known = rig.known(key)
        assert known is not None
        return known.plus_minus * move.get(key, 0.0)

    gain = 1 + SCALE_GAIN * move["scale"]
    mass = sum((rig.get(f"{c}.corner_mass") + of(f"{c}.corner_mass")) * gain for c in ("left_front", "right_front"))
    base = rig.get("wheelbase") + of("wheelbase")
    case = rig.cases()[1]
    for item in case.items:
        name = f"item behind_front_axle {item.label} {item.mass:g} {item.behind_front_axle}"
        weight = f"item mass {item.label} {item.mass:g} {item.behind_front_axle}"
        place = item.behind_front_axle + 0.02 * move[name]
        mass += item.mass * (1 + 0.05 * move[weight]) * (1 - place / base)
    unsprung = rig.get("front.unsprung_mass") + of("front.unsprung_mass")
    assert chosen.tender is not None
    assert chosen.ring_gap is not None
    parts = {"tender": SPRINGS.part[chosen.tender], "main": SPRINGS.part[chosen.main]}
    springs = {
        name: float(SPRINGS.rate[index]) * (1 + 0.03 * move[f"rate {parts[name]}"])
        for name, index in (("tender", chosen.tender), ("main", chosen.main))
    }
    longer = {name: INCH / 8 * move[f"length {part}"] for name, part in parts.items()}
    grown = sum(longer.values())
    springs["preload"] = chosen.preload + 0.05 * INCH * move["front preload as set"] + grown
    share = springs["main"] / (springs["tender"] + springs["main"])
    springs["gap"] = chosen.ring_gap + 0.05 * INCH * move["front ring as set"] + longer["tender"] - share * grown
    names = ("lean", "damper_length", "damper_extended", "rod_diameter", "gas_pressure", "gas_volume", "tire_rate")
    return plain(rig, springs, (mass - unsprung) / 2, {name: of(f"front.{name}") for name in names})


def test_the_same_draws_in_a_plain_loop_give_the_same_ride(made: Order) -> None:
    task, ranked = part_of(made, "front")
    chosen = ranked[0]
    names = [source.name for source in sources(made.rig, "front", SPRINGS, (chosen,))]
    moves = draws(names, 40)
    found = judge(made.rig, drawn(made.rig, task, moves, 40), SPRINGS, (chosen,), moves)[0]
    for place in range(40):
        ride, frequency = plain_draw(made, chosen, {name: float(move[place]) for name, move in moves.items()})
        assert found.travel[1][place] == pytest.approx(ride, abs=1e-9)
        assert found.frequency[1][place] == pytest.approx(frequency, rel=1e-6)


def test_the_doubt_of_the_ride_position_is_that_of_moving_each_number_by_itself(made: Order) -> None:
    """Each source up and down by hand through the plain balance; the halves of the differences add up as squares."""
    item = made.axles[0]
    assert item.chosen is not None
    names = [source.name for source in sources(made.rig, "front", SPRINGS, (item.chosen,))]
    squares = [0.0, 0.0]
    for name in names:
        ends = [plain_draw(made, item.chosen, {**dict.fromkeys(names, 0.0), name: sign}) for sign in (1.0, -1.0)]
        squares = [so_far + ((ends[0][of] - ends[1][of]) / 2) ** 2 for of, so_far in enumerate(squares)]
    case = item.cases[1]
    assert case.ride_travel_plus_minus == pytest.approx(math.sqrt(squares[0]), rel=1e-6)
    assert case.ride_frequency_plus_minus == pytest.approx(math.sqrt(squares[1]), rel=1e-5)


def test_without_moves_a_set_is_what_the_search_made_of_it(made: Order) -> None:
    for axle in ("front", "rear"):
        task, ranked = part_of(made, axle)
        for one in ranked:
            found = first_order(made.rig, task, SPRINGS, one).judged
            assert found.score[0] == pytest.approx(one.score, rel=1e-12)
            assert list(found.travel[:, 0]) == pytest.approx(list(one.ride_travel), abs=1e-12)
            assert found.margins["main_bind"][0] == pytest.approx(-one.shortfall["main_bind"], abs=1e-12)


@pytest.mark.parametrize("axle", ["front", "rear"])
def test_first_order_and_draws_agree_where_nothing_kinks(axle: str, made: Order) -> None:
    task, ranked = part_of(made, axle)
    first = first_order(made.rig, task, SPRINGS, ranked[0])
    names = [source.name for source in first.sources]
    moves = draws(names, 20_000)
    found = judge(made.rig, drawn(made.rig, task, moves, 20_000), SPRINGS, (ranked[0],), moves)[0]
    for stated, drawn_ in (
        (first.plus_minus(first.judged.travel[1]), found.travel[1]),
        (first.plus_minus(first.judged.frequency[1]), found.frequency[1]),
        (first.plus_minus(first.judged.margins["main_bind"]), found.margins["main_bind"]),
    ):
        # Twice the spread of 20,000 draws is known to 0.5 %; second order adds a little.
        assert 2 * float(np.std(drawn_)) == pytest.approx(stated, rel=0.03)


def test_pads_share_the_scale_and_an_item_its_load_cases(made: Order) -> None:
    task, ranked = part_of(made, "front")
    count = 50_000
    names = [source.name for source in sources(made.rig, "front", SPRINGS, ranked)]
    found = drawn(made.rig, task, draws(names, count), count)
    rig = made.rig
    readings = [rig.get(f"{side}_front.corner_mass") for side in ("left", "right")]
    # In closed form: two pads' own 10 lb, the gain of both together, 5 % of the unsprung weight; a spring has half.
    squares = 2 * (10 * POUND) ** 2 + (SCALE_GAIN * sum(readings)) ** 2 + (0.05 * rig.get("front.unsprung_mass")) ** 2
    bare = found.problem.cases[0].sprung_mass
    assert 2 * float(np.std(bare)) == pytest.approx(math.sqrt(squares) / 2, rel=0.015)
    # What the tools add stays the same thing in both cases that carry them, so the cases hardly move apart.
    crew, full = (found.problem.cases[place].sprung_mass for place in (1, 2))
    assert float(np.corrcoef(crew, full)[0, 1]) > 0.99


def test_the_stated_doubt_covers_the_truth_as_often_as_it_says(made: Order) -> None:
    """A thousand rigs, each read with errors of the stated size: the truth lies inside the +- in 95.4 % of them."""
    task, ranked = part_of(made, "front")
    chosen = ranked[0]
    names = [source.name for source in sources(made.rig, "front", SPRINGS, (chosen,))]
    moves = draws(names, 1_000, seed=11)
    truth = judge(made.rig, drawn(made.rig, task, moves, 1_000), SPRINGS, (chosen,), moves)[0].travel[1]
    first = first_order(made.rig, task, SPRINGS, chosen)
    stated = first.plus_minus(first.judged.travel[1])
    covered = float(np.mean(np.abs(truth - chosen.ride_travel[1]) <= stated))
    # Three standard errors of a share of 95.4 % in 1,000.
    assert covered == pytest.approx(0.954, abs=0.02)


def test_at_a_kink_the_draws_are_right_and_first_order_is_not(made: Order) -> None:
    """The ring set so that the rig rides on its crossover: half of all rigs stand past it, whatever the plus-minus."""
    task, ranked = part_of(made, "front")
    chosen = ranked[0]
    assert chosen.tender is not None
    assert chosen.ring_gap is not None
    assert chosen.crossover_travel is not None
    ride = chosen.ride_travel[1]
    kinked = replace(chosen, ring_gap=chosen.ring_gap * ride / chosen.crossover_travel, crossover_travel=ride)
    names = [source.name for source in sources(made.rig, "front", SPRINGS, (kinked,))]
    moves = draws(names, 4_000)
    found = judge(made.rig, drawn(made.rig, task, moves, 4_000), SPRINGS, (kinked,), moves)[0]
    soft, hard = chosen.ride_frequency[1], float(found.frequency[1].max())
    middle = (soft + hard) / 2
    # Oracle: the same draws, one by one, through the plain balance.
    past = [
        plain_draw(made, kinked, {name: float(move[place]) for name, move in moves.items()})[1] > middle
        for place in range(300)
    ]
    assert float(np.mean(found.frequency[1][:300] > middle)) == pytest.approx(float(np.mean(past)), abs=1e-12)
    assert float(np.mean(found.frequency[1] > middle)) == pytest.approx(0.5, abs=0.04)
    # First order takes a normal spread about the value at the kink: nothing would lie between the two frequencies.
    first = first_order(made.rig, task, SPRINGS, kinked)
    stated = first.plus_minus(first.judged.frequency[1])
    center = float(first.judged.frequency[1][0])
    normal = NormalDist(center, max(stated, 1e-9) / 2)
    gap = (soft + 0.25 * (hard - soft), soft + 0.75 * (hard - soft))
    inside = float(np.mean((found.frequency[1] > gap[0]) & (found.frequency[1] < gap[1])))
    assert inside == 0.0
    assert normal.cdf(gap[1]) - normal.cdf(gap[0]) > 0.15


# --- what is most in doubt -------------------------------------------------------------------------------------------------


def test_what_stands_nearest_to_its_limit_is_that_of_the_dampers_lengths_in_closed_form(made: Order) -> None:
    """The damper's spare at its end, bump stop solid: extended less stroke and what is left of it, less collapsed."""
    item = made.axles[0]
    weak = weakest(made, item, doubts(made)["front"])
    assert weak is not None
    assert weak.rule == "stop"
    names = ("damper_extended", "damper_stroke", "solid_before_collapsed", "damper_collapsed")
    extended, stroke, solid, collapsed = (made.rig.get(f"front.{name}") for name in names)
    assert weak.spare == pytest.approx(extended - stroke + solid - collapsed, abs=1e-9)
    known = {f"front.{name}": made.rig.known(f"front.{name}") for name in names}
    squares = {key: one.plus_minus**2 for key, one in known.items() if one is not None}
    assert weak.plus_minus == pytest.approx(math.sqrt(sum(squares.values())), rel=1e-9)
    assert weak.best is not None
    assert squares[weak.best[0].source.key] == max(squares.values())
    assert weak.best[1] == pytest.approx(max(squares.values()) / sum(squares.values()))
    # No other rule has less to spare, counted in its own plus-minus.
    first = item.first
    assert first is not None
    for margin in first.judged.margins.values():
        stated = first.plus_minus(margin) if np.all(np.isfinite(margin)) else 0.0
        assert not stated or margin[0] / stated >= weak.spare / weak.plus_minus - 1e-12


def test_the_least_sure_rule_is_named_with_what_would_settle_it(made: Order) -> None:
    item = made.axles[0]
    assert item.task is not None
    assert item.first is not None
    assert item.chosen is not None
    stated = item.first.plus_minus(item.first.judged.margins["main_bind"])
    spare = float(item.first.judged.margins["main_bind"][0])
    limits = replace(item.task.limits, main_left=item.task.limits.main_left + spare - stated / 2)
    task = replace(item.task, limits=limits)
    near = replace(item, task=task, first=first_order(made.rig, task, SPRINGS, item.chosen))
    found = study(made.rig, task, SPRINGS, [item.chosen], count=4_000)
    weak = weakest(replace(made, axles=(near, made.axles[1])), near, found)
    assert weak is not None
    assert weak.rule == "main_bind"
    # One deviation to spare: by the normal spread it holds in 84 of 100.
    assert weak.chance == pytest.approx(NormalDist().cdf(1.0), abs=0.02)
    assert weak.spare == pytest.approx(stated / 2)
    told = order_data(wren(), SPRINGS)["doubt"]
    assert told["front"]["most_in_doubt"]["measure"] == "front collapsed length"
    # The rear's preload is what tolerance and set may take, and no reading of the rig changes that.
    assert (told["rear"]["most_in_doubt"]["rule"], told["rear"]["most_in_doubt"]["measure"]) == ("loose", None)


# --- chances and ties ---------------------------------------------------------------------------------------------------------


def chances(found: AxleDoubt) -> list[tuple[Any, ...]]:
    return [(one.works, one.best, one.tied, dict(one.chances)) for one in found.sets]


def test_the_chance_that_a_margin_holds_is_the_normal_one(made: Order) -> None:
    """The wanted frequency moved to one stated doubt above the ride: it holds with the chance of two deviations."""
    task, ranked = part_of(made, "front")
    first = first_order(made.rig, task, SPRINGS, ranked[0])
    stated = first.plus_minus(first.judged.frequency[1])
    ride = ranked[0].ride_frequency[1]
    for shift in (-1.0, -0.5, 0.0, 0.5):
        wishes = replace(task.wishes, frequency=(ride + shift * stated, ride + 1.0))
        found = study(made.rig, replace(task, wishes=wishes), SPRINGS, ranked[:1], count=4_000)
        assert found.sets[0].chances["ride_frequency"] == pytest.approx(NormalDist().cdf(-2 * shift), abs=0.03)


def test_the_best_share_one_draw_and_ties_follow_the_rule(made: Order) -> None:
    task, ranked = part_of(made, "front")
    found = study(made.rig, task, SPRINGS, ranked)
    assert sum(one.best for one in found.sets) + found.none_works == pytest.approx(1.0, abs=1e-12)
    assert not found.sets[0].tied
    twice = study(made.rig, task, SPRINGS, [ranked[0], ranked[0]])
    assert twice.sets[1].tied
    assert [one.best for one in twice.sets] == pytest.approx([0.5, 0.5])
    worse = replace(ranked[0], preload=ranked[0].preload + 3 * INCH)
    apart = study(made.rig, task, SPRINGS, [ranked[0], worse])
    assert not apart.sets[1].tied


def test_neither_the_order_of_the_list_nor_the_slices_change_a_chance(made: Order) -> None:
    task, ranked = part_of(made, "front")
    found = study(made.rig, task, SPRINGS, ranked)
    back = study(made.rig, task, SPRINGS, ranked[::-1])
    assert [one[:2] for one in chances(found)] == [one[:2] for one in chances(back)][::-1]
    assert chances(study(made.rig, task, SPRINGS, ranked)) == chances(found)
    steps = list(study_slices(made.rig, task, SPRINGS, ranked))
    assert steps[-2] == (DRAWS, DRAWS)
    assert all(isinstance(step, tuple) for step in steps[:-1])


def test_sets_worked_out_together_do_to_the_last_bit_what_each_does_alone(
    made: Order, monkeypatch: pytest.MonkeyPatch
) -> None:
    solved: list[tuple[int, ...]] = []
    ride_travel = Coilover.ride_travel

    def counted(self: Coilover, stack: Any, load: Any, start: Any) -> Any:
        solved.append(np.shape(start))
        return ride_travel(self, stack, load, start)

    monkeypatch.setattr(Coilover, "ride_travel", counted)
    for axle in ("front", "rear"):
        task, ranked = part_of(made, axle)
        main = ranked[0].main
        alone = judged(task, SPRINGS, None, main)
        helped = judged(task, SPRINGS, None, main, next(iter(np.flatnonzero(SPRINGS.is_helper))))
        sets = [ranked[0], helped, alone, *ranked[1:3]]
        moves = draws([source.name for source in sources(made.rig, axle, SPRINGS, sets)], 200)
        found = drawn(made.rig, task, moves, 200)
        solved.clear()
        together = judge(made.rig, found, SPRINGS, sets, moves)
        # Once for those with a helper and once for those without, however many they are.
        assert solved == [(4, 200)] * 3 + [(1, 200)] * 3
        aside = np.full((len(task.cases), 2), (0.004, -0.004))
        for one, mine, tried in zip(sets, together, tries(made.rig, task, SPRINGS, sets, 200), strict=True):
            own = judge(made.rig, found, SPRINGS, (one,), moves)[0]
            assert mine.margins.keys() == own.margins.keys()
            for rule, margin in own.margins.items():
                assert np.array_equal(mine.margins[rule], margin), rule
            for part in ("travel", "frequency", "score", "sprung_mass", "crossover"):
                assert np.array_equal(getattr(mine, part), getattr(own, part)), part
            assert (mine.past is None) == (own.past is None) == (one.tender is None)
            for works, share in ((own, tried.alone), (own.beside(aside), tried.beside(aside))):
                assert share == np.count_nonzero(works.works & found.possible) / np.count_nonzero(found.possible)


def test_doubt_that_cannot_be_is_left_out_and_counted(made: Order) -> None:
    task, ranked = part_of(made, "front")
    key = "front.unsprung_mass"
    wild = replace(made.rig, values={**made.rig.values, key: Entry(value=342.5, plus_minus=1500.0)})
    found = study(wild, task, SPRINGS, ranked[:2])
    # A spring side carries half of what is left: below 5 % of its own weight a draw cannot be. By the normal spread:
    reading = made.rig.get("left_front.corner_mass") + made.rig.get("right_front.corner_mass")
    least = 0.05 * 2 * task.cases[0].sprung_mass
    expected = 1 - NormalDist(342.5, 750.0).cdf(reading - least)
    assert found.left_out / DRAWS == pytest.approx(expected, abs=0.03)
    assert found.counted + found.left_out == DRAWS
    assert all(math.isfinite(chance) for one in found.sets for chance in one.chances.values())


def test_what_narrows_most_can_be_measured_and_an_assumed_value_goes_first(made: Order) -> None:
    task, ranked = part_of(made, "front")
    first = first_order(made.rig, task, SPRINGS, ranked[0])
    found = first.narrowest(first.judged.travel[1])
    assert found is not None
    # By hand: 5 % of 342.5 kg unsprung moves each spring by 8.6 kg, 10 lb on one pad by 2.3 kg.
    assert found[0].source.key == "front.unsprung_mass"
    lean = made.rig.values["front.lean"]
    guessed = replace(made.rig, values={**made.rig.values, "front.lean": replace(lean, origin="assumed")})
    again = first_order(guessed, task, SPRINGS, ranked[0])
    named = again.narrowest(again.judged.travel[1])
    assert named is not None
    assert named[0].source.key == "front.lean"


def test_a_program_and_a_terminal_are_told_the_same_chances(made: Order) -> None:
    found = order_data(wren(), SPRINGS)["doubt"]
    assert found == order_data(wren(), SPRINGS)["doubt"]
    text = " ".join(order_text(wren(), SPRINGS).split())
    for axle in ("front", "rear"):
        sets, told = doubts(made)[axle].sets, found[axle]["sets"]
        assert [one["works"] for one in told] == [one.works for one in sets]
        assert all("corners" in one["chances"] for one in told)
        assert all(0.0 <= chance <= 1.0 for one in told for chance in one["chances"].values())
        assert f"the first is the best in {100 * told[0]['best']:.0f} % of the trials" in text
        assert f"Measure again before ordering: {axle} unsprung weight." in text


def test_the_corners_chance_is_that_of_the_mean_less_the_worst_corner(made: Order) -> None:
    """A corner that stands aside by all the spare bump but one deviation keeps it in 84 % of the draws."""
    task, ranked = part_of(made, "front")
    first = first_order(made.rig, task, SPRINGS, ranked[0])
    deviation = first.plus_minus(first.judged.margins["bump"]) / 2
    aside = np.zeros((3, 2))
    aside[2, 1] = float(first.judged.margins["bump"][0]) - deviation
    found = study(made.rig, task, SPRINGS, ranked[:1], [aside], count=4_000)
    assert found.sets[0].chances["corners"] == pytest.approx(NormalDist().cdf(1.0), abs=0.025)
    assert found.sets[0].chances["bump"] == pytest.approx(1.0)
