"""The pair of sets that is ordered, against a plain loop: every pair by itself, solved alone, its sum written out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calc import vocabulary
from calc.answers.order import text_of
from calc.answers.order_data import data_of
from calc.answers.sets import named_spring, short_name
from calc.certainty.chances import FAILING, rule_text
from calc.certainty.trials import study
from calc.order.order import Order, completed, order, task
from calc.quantity import METRIC, SHOP
from calc.rig import rank_weights
from calc.rig.axle import stack_of
from calc.rig.entries import AXLES
from calc.rig.file import wren
from calc.rig.rig import Entry, Rig
from calc.search.choose import choose
from calc.search.problem import Choice, Problem, SpringSet
from calc.sheet.rig import build_paper, springs, together
from calc.sheet.rig.parts import told
from calc.tables import assortment_springs
from calc.units import INCH
from calc.whole.at_rest import Stand, four, stand
from calc.whole.pairs import pair_line, ratio_line, settling_ratio
from calc.whole.whole_rig_check import contradictions

SPRINGS = assortment_springs()


def with_values(**values: float | str) -> Rig:
    rig = wren()
    return replace(
        rig, values={**rig.values, **{key.replace("__", "."): Entry(value=value) for key, value in values.items()}}
    )


# The divider of the search's first set comes off the damper's body at full droop in two of five draws.
SHORT_BODY = {"front__body_length": float(wren().get("front.body_length")) - 1.95 * INCH}
AS_IT_IS, RATIO, SHORT = wren(), with_values(rank_frequency_ratio=1.0), with_values(**SHORT_BODY)


_searches: list[tuple[Problem, Choice]] = []


def ordered(rig: Rig) -> Order:
    """Return the order of a rig; what the search of an axle is asked is asked once, whatever counts in the rank later."""
    choices: dict[str, Choice | None] = {}
    for axle in AXLES:
        problem = task(completed(rig), axle)
        assert isinstance(problem, Problem)
        asked = replace(problem, weights=replace(problem.weights, chance=1.0))
        known = next((choice for one, choice in _searches if one == asked), None)
        found = choose(asked, SPRINGS) if known is None else known
        _searches.append((asked, found))
        choices[axle] = replace(found, problem=problem)
    return order(rig, SPRINGS, choices)


class Alone:
    """One pair at a time, by the functions that know nothing of pairs."""

    def __init__(self, rig: Rig, made: Order) -> None:
        ready = stand(completed(rig))
        assert isinstance(ready, Stand)
        self.rig, self.made, self.ready = rig, made, ready
        self.tasks = [item.task for item in made.axles]
        self.weight = {"frequency_ratio": 0.0, "level": 0.25, "cross": 0.25, "chance": 1.0}
        self.weight |= {name: value for name in self.weight if (value := rig.get(f"rank_{name}")) is not None}

    def sum(self, one: SpringSet, other: SpringSet, *, chances: bool) -> float | None:
        """Return a pair's sum, with or without what the chances add; None where it breaks a limit."""
        rest = self.ready.solve(four(stack_of(SPRINGS, one), stack_of(SPRINGS, other)))
        for problem, mine in zip(self.tasks, (one, other), strict=True):
            if problem is not None and contradictions(problem, mine, rest.status, rest.travel):
                return None
        searched = self.tasks[0]
        assert searched is not None
        at = searched.reference
        ratio = other.ride_frequency[at] / one.ride_frequency[at]
        heights = rest.frame_height[at]
        nose = (heights[0] + heights[1] - heights[2] - heights[3]) / 2
        total = one.score + other.score
        total += self.weight["frequency_ratio"] * ((ratio - 1.175) / 0.075) ** 2
        total += self.weight["level"] * (max(abs(nose) - 0.00635, 0.0) / 0.0254) ** 2
        total += (
            self.weight["cross"] * ((rest.cross_share[at] - (self.rig.get("wanted_cross_share") or 0.5)) / 0.01) ** 2
        )
        if chances:
            for axle, mine in enumerate((one, other)):
                asked = self.tasks[axle]
                assert asked is not None
                aside = rest.travel[:, 2 * axle : 2 * axle + 2] - np.array(mine.ride_travel)[:, None]
                works = study(self.made.rig, asked, SPRINGS, (mine,), (aside,)).sets[0].works
                total += self.weight["chance"] * (1.0 - works) * 10
        return float(total)


@pytest.mark.parametrize(
    "rig",
    [SHORT, with_values(rank_level=5.0, rank_frequency_ratio=0.5, rank_chance=0.0, front__wanted_droop=0.105)],
    ids=["chances", "level above all, short of droop"],
)
def test_every_pair_solved_by_itself_gives_the_same_order_of_pairs(rig: Rig) -> None:
    made = ordered(rig)
    found = made.pairs
    assert found is not None
    front, rear = (item.choice for item in made.axles)
    assert front is not None
    assert rear is not None
    alone = Alone(rig, made)
    for pair in found.ranked:
        assert pair.score == pytest.approx(alone.sum(*pair.sets, chances=True), abs=1e-9)
    ranked = {(pair.front.code(), pair.rear.code()) for pair in found.ranked}
    # Every fourth of either axle: solved one by one it takes its time. The chances only where they may decide.
    for one in front.ranked[::4]:
        for other in rear.ranked[::4]:
            least = alone.sum(one, other, chances=False)
            if (one.code(), other.code()) in ranked or least is None or least >= found.ranked[-1].score:
                continue
            total = alone.sum(one, other, chances=True)
            assert total is not None
            assert total >= found.ranked[-1].score - 1e-9
    scores = [pair.score for pair in found.ranked]
    assert scores == sorted(scores)
    assert all(not pair.broken for pair in found.ranked)
    assert found.tried >= len(front.ranked) * len(rear.ranked)


@pytest.mark.parametrize("rig", [AS_IT_IS, RATIO, SHORT], ids=["as it is", "the ratio counts", "a chance decides"])
def test_the_recommended_pair_is_the_one_that_is_ordered_everywhere(rig: Rig) -> None:
    """Table, sheet, drawing, terminal and JSON: all of them name one pair, and no other is called better."""
    made = ordered(rig)
    found, sheet = made.pairs, made.sheet
    assert found is not None
    assert found.best is not None
    assert sheet is not None
    assert found.used is found.best
    text, data, paper = text_of(made, SHOP), data_of(made), build_paper.sheet(made, SHOP)
    for item, one in zip(made.axles, found.best.sets, strict=True):
        assert item.choice is not None
        assert item.chosen is one
        assert item.choice.ranked[0] is one
        parts = [SPRINGS.part[index] for index in one.springs()]
        assert [part.part for part in sheet.parts if part.place == item.axle and part.part] == parts
        assert data["axles"][item.axle]["chosen"]["main"] == parts[-1]
        assert data["axles"][item.axle]["ranked"][0]["main"] == parts[-1]
        assert data["pairs"]["ranked"][0][item.axle]["main"] == parts[-1]
        table = springs.axle_body(item, SPRINGS, SHOP, told)
        assert f"<h3>{item.axle.capitalize()} with {short_name(one, SPRINGS, SHOP)}</h3>" in table
        assert table.index("checked") < table.index("Second")
        block = text[text.index(item.axle.upper()) :]
        shown = block[block.index("Main left") :].splitlines()[1]
        assert all(part in shown for part in parts)
        # The drawing's caption: the rate as a builder reads it.
        rate = SHOP.text(float(SPRINGS.rate[one.main]), vocabulary.spring_rate, decimals=0)
        assert f"{rate}, " in paper
    assert "the one to order" in " ".join(text.split())
    # The rule by which chances count stands beside it, once, and says the share that the rank counts by.
    assert text.count(rule_text().partition(" counts as far off")[0]) == 1
    assert f"{100 * FAILING:.0f} % of the trials" in rule_text()
    assert "better than" not in together.body(made, SHOP)
    assert "Take this pair" not in together.body(made, SHOP)
    assert "This pair is in use." in together.body(made, SHOP)


def test_a_readers_own_set_keeps_its_place_and_the_other_axle_follows_it() -> None:
    made = ordered(AS_IT_IS)
    front = made.axles[0].choice
    assert front is not None
    mine = front.ranked[-1]
    parts = {
        f"front__chosen_{name}_part": "" if index is None else SPRINGS.part[index]
        for name, index in (("helper", mine.helper), ("tender", mine.tender), ("main", mine.main))
    }
    again = ordered(with_values(**parts))
    found = again.pairs
    assert found is not None
    assert found.best is not None
    assert again.axles[0].chosen is not None
    assert again.axles[0].chosen.code() == mine.code()
    assert again.axles[1].chosen is found.used.rear
    alone = Alone(AS_IT_IS, again)
    rear = again.axles[1].choice
    assert rear is not None
    sums = [alone.sum(found.used.front, other, chances=False) for other in rear.ranked[:4]]
    assert sums[0] == min(one for one in sums if one is not None)
    names = {id(one): named_spring(SPRINGS, one.main, SHOP) for pair in (found.used, found.best) for one in pair.sets}
    told_ = pair_line(found, SHOP, names)
    assert told_.startswith("You chose ")
    assert " ranks first: " in told_
    assert "Take this pair" in together.body(again, SHOP)


def test_the_frequencies_front_to_rear_count_only_where_the_reader_lets_them_and_show_in_every_load_case() -> None:
    assert rank_weights.usual("rank_frequency_ratio") == 0.0
    made = ordered(AS_IT_IS)
    found = made.pairs
    assert found is not None
    assert not found.ratio_counts
    line = ratio_line(found, SHOP)
    for case, ratio in zip(made.rig.cases(), found.used.frequency_ratios, strict=True):
        one, other = (item.chosen for item in made.axles)
        assert one is not None
        assert other is not None
        index = made.rig.cases().index(case)
        assert ratio == pytest.approx(other.ride_frequency[index] / one.ride_frequency[index])
        assert f"{ratio:.2f} ({case.label})" in line
    assert "does not count" in line
    assert line in together.body(made, SHOP)
    counted = ordered(RATIO).pairs
    assert counted is not None
    assert "It counts in the rank" in ratio_line(counted, SHOP)
    # What counts is nearer to the middle of the range than what does not.
    reference = 1
    offs = [abs(one.used.frequency_ratios[reference] - 1.175) for one in (counted, found)]
    assert offs[0] < offs[1]


def test_a_wanted_road_speed_lets_them_count_and_both_ends_settle_together() -> None:
    """Two ends that swing by themselves: at the ratio told, the rear ends its first cycle as the front does."""
    speed, wheelbase, front = 100 / 3.6, 2.85, 1.1
    ratio = settling_ratio(front, wheelbase, speed)
    times = np.linspace(0.0, 2.0, 200_001)
    rear_begins = wheelbase / speed
    ends = []
    for frequency, begins in ((front, 0.0), (front * ratio, rear_begins)):
        swing = np.cos(2 * np.pi * frequency * (times - begins))
        near = np.abs(times - begins - 1 / frequency) < 0.1
        ends.append(times[near][np.argmax(swing[near])])
    assert ends[0] == pytest.approx(ends[1], abs=2e-5)
    found = ordered(with_values(wanted_road_speed=speed)).pairs
    assert found is not None
    assert found.ratio_counts
    one = found.used.front.ride_frequency[1]
    assert found.wanted_ratio == pytest.approx(settling_ratio(one, float(AS_IT_IS.get("wheelbase")), speed))
    line = ratio_line(found, METRIC).replace("\u00a0", " ")
    assert f"at 100 km/h {found.wanted_ratio:.2f} lets both ends finish their first cycle after a bump together" in line
    # The reader's own weight stands above it.
    quiet = ordered(with_values(wanted_road_speed=speed, rank_frequency_ratio=0.0)).pairs
    assert quiet is not None
    assert not quiet.ratio_counts


def test_a_set_that_fails_in_many_draws_does_not_stand_first() -> None:
    """The search's own sums put first what fails in nearly two of five draws, where others fail in one of ten."""
    blind, seeing = (ordered(with_values(**SHORT_BODY, **more)) for more in ({"rank_chance": 0.0}, {}))
    places = {}
    for name, made in (("blind", blind), ("seeing", seeing)):
        item = made.axles[0]
        assert item.choice is not None
        assert item.task is not None
        found = study(made.rig, item.task, SPRINGS, item.choice.ranked[:1])
        places[name] = (item.choice.ranked[0].score, found.sets[0].works)
    assert places["blind"][0] < places["seeing"][0]
    assert places["blind"][1] < 0.7
    assert places["seeing"][1] > 0.9
    # The same again, and whatever was asked before.
    again = ordered(replace(with_values(**SHORT_BODY), name="asked again"))
    codes = [
        [one.code() for one in item.choice.ranked]
        for made in (seeing, again)
        for item in made.axles
        if item.choice is not None
    ]
    assert codes[:2] == codes[2:]


def test_without_the_whole_rig_each_axle_ranks_by_its_sums_and_chances() -> None:
    rig = with_values(**SHORT_BODY)
    values = {key: entry for key, entry in rig.values.items() if not key.startswith("rear.mount_")}
    made = ordered(replace(rig, values=values))
    assert made.pairs is None
    item = made.axles[0]
    assert item.choice is not None
    assert item.resolved is not None
    sums = []
    for one in item.choice.ranked:
        beside = item.resolved.beside(one)
        assert beside is not None
        assert beside.adds == 0.0
        sums.append(one.score + 10 * (1.0 - beside.works))
    assert sums == sorted(sums)
    assert sums[0] != min(one.score for one in item.choice.ranked)
