"""The best pair of sets against a plain loop: every pair by itself, solved alone, its sum written out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from calc.job.at_rest import four, stand
from calc.job.axle import Needs, stack_of
from calc.job.choose import Problem
from calc.job.order import completed, order
from calc.job.pair import pair_line
from calc.job.resolved import contradictions
from calc.job.rig import AXLES, Entry, Rig, wren
from calc.quantity import SHOP
from calc.tables import assortment_springs

SPRINGS = assortment_springs()


def with_values(**values: float) -> Rig:
    rig = wren()
    return replace(
        rig, values={**rig.values, **{key.replace("__", "."): Entry(value=value) for key, value in values.items()}}
    )


@pytest.mark.parametrize(
    "rig",
    [wren(), with_values(rank_level=5.0, rank_frequency_ratio=0.0), with_values(front__wanted_droop=0.105)],
    ids=["as it is", "level above all", "short of droop"],
)
def test_every_pair_solved_by_itself_gives_the_same_order_of_pairs(rig: Rig) -> None:
    made = order(rig, SPRINGS)
    found, ready = made.pairs, stand(completed(rig))
    assert found is not None
    assert not isinstance(ready, Needs)
    front, rear = (item.choice for item in made.axles)
    assert front is not None
    assert rear is not None
    tasks = [item.task for item in made.axles]
    weight = {"frequency_ratio": 1.0, "level": 0.25, "cross": 0.25}
    weight |= {name: rig.get(f"rank_{name}") for name in weight if rig.get(f"rank_{name}") is not None}
    wanted = rig.get("wanted_cross_share") or 0.5
    sums = []
    # Every third of either axle: solved one by one it takes its time.
    for one in front.ranked:
        for other in rear.ranked[::3]:
            rest = ready.solve(four(stack_of(SPRINGS, one), stack_of(SPRINGS, other)))
            broken = [
                axle
                for axle, task, mine in zip(AXLES, tasks, (one, other), strict=True)
                if isinstance(task, Problem) and contradictions(task, mine, rest.status, rest.travel)
            ]
            if broken:
                continue
            at = front.problem.reference
            ratio = other.ride_frequency[at] / one.ride_frequency[at]
            heights = rest.frame_height[at]
            nose = (heights[0] + heights[1] - heights[2] - heights[3]) / 2
            total = one.score + other.score
            total += weight["frequency_ratio"] * ((ratio - 1.175) / 0.075) ** 2
            total += weight["level"] * (nose / 0.0254) ** 2
            total += weight["cross"] * ((rest.cross_share[at] - wanted) / 0.01) ** 2
            sums.append((float(total), one.springs(), other.springs()))
    by_name = {(pair.front.springs(), pair.rear.springs()): pair.score for pair in found.ranked}
    for total, one_, other_ in sums:
        if (one_, other_) in by_name:
            assert by_name[one_, other_] == pytest.approx(total, abs=1e-9)
        else:
            assert total >= found.ranked[-1].score - 1e-9
    scores = [pair.score for pair in found.ranked]
    assert scores == sorted(scores)
    assert all(not pair.broken for pair in found.ranked)
    assert found.tried == len(front.ranked) * len(rear.ranked)


def test_the_words_say_what_the_numbers_say() -> None:
    made = order(wren(), SPRINGS)
    found = made.pairs
    assert found is not None
    assert found.best is not None
    sets = [one for pair in (found.firsts, *found.ranked) for one in pair.sets]
    told = pair_line(found, SHOP, {id(one): "A" if one in found.best.sets else "B" for one in sets})
    assert told.startswith("A in front with A behind go together better than the two firsts.")
    best, firsts = (f"{pair.frequency_ratio:.2f}" for pair in (found.best, found.firsts))
    assert f"the rear rides {best} instead of {firsts} times as often as the front" in told.lower()


def test_with_nothing_counting_but_the_sets_themselves_the_two_firsts_go_together_best() -> None:
    made = order(with_values(rank_frequency_ratio=0.0, rank_level=0.0, rank_cross=0.0), SPRINGS)
    found = made.pairs
    assert found is not None
    assert found.best is not None
    assert found.best.sets == found.firsts.sets
    names = {id(one): "X" for pair in (found.firsts, *found.ranked) for one in pair.sets}
    assert pair_line(found, SHOP, names).startswith("The two firsts go together best: X in front with X behind.")
