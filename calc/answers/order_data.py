"""An order as a program gets it: numbers in SI, part codes in place of places in a list."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from calc.certainty.trials import APART, Bar
from calc.errors import Needs
from calc.json_text import picked, plain
from calc.order.axle_order import DAMPER_SPEEDS, AxleOrder, DampingAnswer, settings, side_settings
from calc.order.motions import TOLD
from calc.order.order import Order, order
from calc.rig import rank_weights
from calc.rig.rig import Rig
from calc.search.problem import SpringSet
from calc.tables import Springs
from calc.whole.at_rest import AtRest
from calc.whole.on_chosen_springs import Standing
from calc.whole.pairs import Pair


def order_data(rig: Rig, springs: Springs) -> dict[str, Any]:
    """Return the order for a program, finite, sorted by whoever writes it."""
    made = order(rig, springs)
    data = data_of(made)
    return {**data, "doubt": {item.axle: _doubt_data(item, made) for item in made.axles if item.axle in made.doubts}}


def data_of(made: Order) -> dict[str, Any]:
    """Return an order that was already made, without its draws."""
    ranking = made.rig.ranking()
    pair_weights = rank_weights.pair_weights(ranking, road=made.rig.get("wanted_road_speed") is not None)
    return {
        **picked(made, "reasons", "assumed", "examples", "unchecked", "next", "estimate"),
        "rig": made.rig.name,
        "axles": {item.axle: _axle_data(item, made.springs) for item in made.axles},
        "findings": plain(made.of_rig()),
        "at_rest": standing_data(made.standing, made.standing_needs),
        "on_old_springs": None if made.old is None else _rest_data(made.old),
        "motions": {
            place: {name: float(found.values[name]) for name in TOLD[found.step.name] if found.values[name] is not None}
            for place, found in made.motions.items()
        },
        "damping_ratios": plain(made.damping),
        "pairs": _pairs_data(made),
        "rank": {
            **picked(rank_weights.weights(ranking), *rank_weights.WEIGHTS),
            **picked(pair_weights, *rank_weights.PAIR_WEIGHTS),
        },
    }


def set_parts(item: SpringSet, springs: Springs) -> dict[str, str | None]:
    """Return the part codes of a set; None for what it has not."""
    indexes = {"helper": item.helper, "tender": item.tender, "main": item.main}
    return {what: None if index is None else springs.part[index] for what, index in indexes.items()}


_OF_A_SET = (
    *("score", "preload", "wanted_preload", "against_height", "adjuster", "ring_gap", "crossover_travel"),
    *("ride_travel", "ride_frequency", "frequency_past_crossover", "tender_left", "main_left"),
)


def set_data(item: SpringSet, springs: Springs) -> dict[str, Any]:
    """Return one set."""
    return {
        **set_parts(item, springs),
        **picked(item, *_OF_A_SET),
        "ring_below_backed_off_adjuster": item.ring_below_adjuster,
    }


# --- one axle ---------------------------------------------------------------------------------------------------------


def needs_data(needs: Needs) -> dict[str, Any]:
    """Return what is missing, and what contradicts itself."""
    return {"needs": list(needs.keys), "problems": list(needs.sentences)}


def _axle_data(item: AxleOrder, springs: Springs) -> dict[str, Any]:
    if item.needs is not None or item.choice is None or item.task is None:
        return needs_data(item.needs or Needs())
    choice = item.choice
    dropped = () if item.resolved is None else item.resolved.dropped
    found: dict[str, Any] = {
        "needs": [],
        "problems": [item.lost_pick] if item.lost_pick else [],
        **picked(choice, "fitting", "tried", "working", "rejected", "ruled_out", "heights"),
        "ranked": [{**set_data(one, springs), **_placed(item, one)} for one in choice.ranked],
        "near": [{**set_data(one, springs), "broken": list(one.broken())} for one in choice.near],
        "dropped": [{**set_data(one, springs), "broken": plain(wrong)} for one, wrong in dropped],
        "relaxed": [
            {**picked(one, "limit", "admits", "by"), "first": set_parts(one.first, springs)} for one in choice.relaxed
        ],
        "trades": [{**plain(one, "chosen"), **set_parts(one.chosen, springs)} for one in choice.trades],
        "wanted_height": plain(item.task.wishes.height),
        "limits": plain(item.task.limits),
        "findings": plain(item.findings),
    }
    if item.chosen is None:
        return found
    return {
        **found,
        "own_pick": item.own_pick,
        "chosen": set_data(item.chosen, springs),
        "damping": {"before": _forces_data(item.damping_before), "past": _forces_data(item.damping_past)},
        "settings": settings(item),
        "side_settings": side_settings(item),
        "cases": plain(item.cases),
    }


def _placed(item: AxleOrder, one: SpringSet) -> dict[str, float | None]:
    """Return what places a set besides its own score."""
    found = None if item.resolved is None else item.resolved.beside(one)
    return {"works": None if found is None else found.works, "beside": None if found is None else found.adds}


def _forces_data(answer: DampingAnswer | None) -> dict[str, Any] | None:
    return None if answer is None else {**plain(answer), "speeds": list(DAMPER_SPEEDS)}


def _doubt_data(item: AxleOrder, made: Order) -> dict[str, Any]:
    found, weak = made.doubts[item.axle], made.weakest[item.axle]
    in_doubt = None
    if weak is not None:
        bar, share = weak.best or (None, None)
        in_doubt = {
            **picked(weak, "rule", "chance", "spare", "plus_minus"),
            "measure": None if bar is None else bar.source.label,
            "share": share,
            "moves": list(_moves(weak.bars)),
        }
    return {
        **picked(found, "left_out", "none_works"),
        "draws": found.counted,
        "told_apart_from": APART,
        "sets": [
            {
                **picked(one, "works", "best", "tied", "chances"),
                **{name: code for name, code in set_parts(one.chosen, made.springs).items() if name != "helper"},
                "ride_frequency": list(one.frequency),
                "ride_travel": list(one.travel),
            }
            for one in found.sets
        ],
        "ride_travel_moves": list(_moves(item.moves)),
        "most_in_doubt": in_doubt,
    }


def _moves(bars: tuple[Bar, ...]) -> Iterator[dict[str, Any]]:
    for bar in bars:
        yield {"source": bar.source.label, "measurable": bar.source.measurable, "low": bar.low, "high": bar.high}


# --- the whole rig ----------------------------------------------------------------------------------------------------


def _rest_data(rest: AtRest) -> dict[str, Any]:
    cases = [{**plain(case, "doubt"), "plus_minus": plain(case.doubt)} for case in rest.cases]
    return {"assumed": list(rest.assumed), "cases": cases}


def standing_data(found: Standing | None, needs: Needs | None) -> dict[str, Any] | None:
    """Return the rest on the chosen springs; None while there are none."""
    if found is None:
        return None if needs is None else needs_data(needs)
    return {
        "needs": [],
        "problems": [],
        **_rest_data(found.rest),
        "turns": {"adjuster": plain(found.adjuster), "ring": plain(found.ring)},
        "leveling": [
            {
                **plain(one, "loose", "travel"),
                "problem": one.refused,
                "advised": not (noise or one.refused),
                "noise": noise,
            }
            for one, noise in zip(found.levels, found.noise, strict=True)
        ],
        "sides": None
        if found.sides is None
        else {**plain(found.sides, "own"), "own": None if found.sides.own is None else found.sides.own.data()},
    }


def _pairs_data(made: Order) -> dict[str, Any] | None:
    if made.pairs is None:
        return None

    def told(pair: Pair) -> dict[str, Any]:
        front, rear = (set_parts(one, made.springs) for one in pair.sets)
        return {**plain(pair, "front", "rear", "adds"), "front": front, "rear": rear}

    return {
        **picked(made.pairs, "tried", "standing", "wanted_ratio"),
        "ranked": [told(pair) for pair in made.pairs.ranked],
        "in_use": told(made.pairs.used),
    }
