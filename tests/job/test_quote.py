"""The quote's verdicts against a plain solution written here: a force law of its own, scipy's brentq, and dense sampling.

The spans and limits are written out again in shop units, as the page tells them; all of them are common practice.
"""

from __future__ import annotations

import itertools
import json
import math
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.job.quote import Line, Quote, QuotedAxle, judge, quote_data, quote_text, read_quote
from calc.job.quote_lines import questions
from calc.quantity import METRIC, SHOP
from calc.tables import DATA

unhurried = settings(max_examples=60, suppress_health_check=[HealthCheck.filter_too_much])

INCH = 0.0254
POUND = 0.45359237
LBF = POUND * 9.80665
LB_IN = LBF / INCH
NEVER = 1e9

# Shop units: lb, lbf, in, lb/in. What an entry does not say lies in these.
SPANS = {
    "motion_ratio": (0.85, 1.0),
    "preload": (0.375, 3.0),
    "gas_force": (0.0, 200.0),
    "solid_before_collapsed": (0.25, 1.0),
    "adjuster_range": (2.0, 5.0),
    "divider_thickness": (0.6, 1.0),
}
SI = {
    "axle_mass": POUND,
    "axle_mass_full": POUND,
    "unsprung_mass": POUND,
    "tender_rate": LB_IN,
    "main_rate": LB_IN,
    "gas_force": LBF,
    "motion_ratio": 1.0,
}


def axle(**shop: float) -> QuotedAxle:
    """An axle from numbers in shop units."""
    return QuotedAxle(**{name: value * SI.get(name, INCH) for name, value in shop.items()})


# --- the oracle ----------------------------------------------------------------------------------------------------------


def springs(entered: dict[str, float], at: dict[str, float], shortened: float) -> tuple[float, float]:
    """How far tender and main are closed when both together are shortened by so much."""
    main_rate, tender_rate = entered["main_rate"], entered.get("tender_rate")
    if tender_rate is None:
        return 0.0, shortened
    share = main_rate / (tender_rate + main_rate)
    seated = at["preload"] * share
    tender = min(shortened * share, seated + at["ring_gap"])
    return tender, shortened - tender


def ride(entered: dict[str, float], at: dict[str, float], weight: float) -> float:
    """Where the force of springs and gas balances half of the sprung weight, seen through the motion ratio."""
    load = (weight - at["unsprung_mass"]) / 2.0

    def balance(travel: float) -> float:
        main = springs(entered, at, at["preload"] + travel)[1]
        return (entered["main_rate"] * main + at["gas_force"]) * at["motion_ratio"] - load

    return float(brentq(balance, -300.0, 300.0, xtol=1e-11))


def met(rule: str, entered: dict[str, float], at: dict[str, float]) -> tuple[bool, ...]:
    """Whether each part of a line is met at one point of the box."""
    stroke = entered["damper_stroke"]
    on_ring = {**at, "ring_gap": entered.get("ring_gap", NEVER)}
    bump = stroke - at["solid_before_collapsed"]
    heaviest = entered.get("axle_mass_full", entered["axle_mass"])
    match rule:
        case "carries":
            travel = ride(entered, on_ring, entered["axle_mass"])
            return travel >= stroke / 5.0, travel <= bump
        case "bump":
            return (bump - ride(entered, on_ring, heaviest) >= stroke / 3.0,)
        case "promise":
            above = stroke - ride(entered, on_ring, entered["axle_mass"]) - entered["shaft_showing"]
            return above >= -0.5, above <= 0.5
        case "crossover":
            travel = ride(entered, {**at, "ring_gap": NEVER}, heaviest)
            return (springs(entered, at, at["preload"] + travel)[0] >= springs_free(entered, at, travel) - 1e-12,)
        case "tender":
            needed = springs(entered, at, at["preload"] + bump)[0]
            return (at["tender_closing"] - 0.375 >= needed,)
        case "main":
            needed = springs(entered, at, at["preload"] + bump)[1]
            return (at["main_closing"] - 0.5 >= needed,)
        case "tight":
            return (at["preload"] >= 0.375,)
        case "seats":
            # A quote without a tender rate is of a single spring: no tender and no divider stand between the seats.
            stacked = "tender_rate" in entered
            tender = entered.get("tender_free_length", 0.0) if stacked else 0.0
            divider = at["divider_thickness"] if stacked else 0.0
            turned = at["preload"] + entered["seat_space"] - entered["main_free_length"] - tender - divider
            return turned >= 0.0, turned <= at["adjuster_range"] - 0.25
    raise AssertionError(rule)


def springs_free(entered: dict[str, float], at: dict[str, float], travel: float) -> float:
    """How far the tender would be closed if there were no ring: past the crossover it is closed less than that."""
    return springs(entered, {**at, "ring_gap": NEVER}, at["preload"] + travel)[0]


def box(entered: dict[str, float]) -> dict[str, tuple[float, float]]:
    found = {name: (entered.get(name, low), entered.get(name, high)) for name, (low, high) in SPANS.items()}
    weight = entered["axle_mass"]
    found["unsprung_mass"] = (entered.get("unsprung_mass", 0.15 * weight), entered.get("unsprung_mass", 0.35 * weight))
    found["ring_gap"] = (entered.get("ring_gap", 0.0), entered.get("ring_gap", entered["damper_stroke"]))
    for which, share, closes in (("main", (0.30, 0.55), (3.0, 18.0)), ("tender", (0.20, 0.46), (2.0, 13.0))):
        free, solid = entered.get(f"{which}_free_length"), entered.get(f"{which}_solid_length")
        if free is None:
            found[f"{which}_closing"] = closes
        elif solid is None:
            found[f"{which}_closing"] = (free * (1 - share[1]), free * (1 - share[0]))
        else:
            found[f"{which}_closing"] = (free - solid, free - solid)
    return found


# --- quotes ----------------------------------------------------------------------------------------------------------------


@st.composite
def quoted(draw: st.DrawFn) -> dict[str, float]:
    """A quote for one axle that contradicts nothing, with some of the shop's answers."""
    entered = {
        "axle_mass": draw(st.floats(1500.0, 4500.0)),
        "main_rate": draw(st.floats(150.0, 700.0)),
        "damper_stroke": draw(st.floats(8.0, 16.0)),
    }
    if draw(st.booleans()):
        entered["tender_rate"] = draw(st.floats(80.0, entered["main_rate"]))
    optional = {
        "axle_mass_full": st.floats(entered["axle_mass"], entered["axle_mass"] * 1.4),
        "preload": st.floats(0.0, 4.0),
        "shaft_showing": st.floats(2.0, entered["damper_stroke"]),
        "main_free_length": st.floats(8.0, 20.0),
        "main_solid_length": st.floats(2.5, 7.5),
        "tender_free_length": st.floats(6.0, 16.0),
        "tender_solid_length": st.floats(1.5, 5.5),
        "ring_gap": st.floats(0.0, 8.0),
        "unsprung_mass": st.floats(300.0, 1000.0),
        "motion_ratio": st.floats(0.6, 1.05),
        "gas_force": st.floats(0.0, 300.0),
        "solid_before_collapsed": st.floats(0.0, 1.5),
        "seat_space": st.floats(14.0, 34.0),
        "adjuster_range": st.floats(1.0, 6.0),
        "divider_thickness": st.floats(0.3, 1.2),
    }
    for name in draw(st.sets(st.sampled_from(sorted(optional)), max_size=9)):
        entered[name] = draw(optional[name])
    if "main_free_length" not in entered:
        entered.pop("main_solid_length", None)
    if "tender_free_length" not in entered:
        entered.pop("tender_solid_length", None)
    return entered


def lines_of(entered: dict[str, float]) -> dict[str, Line]:
    return {line.rule: line for line in judge(Quote(front=axle(**entered)))}


@unhurried
@given(quoted(), st.integers(0, 2**32 - 1))
def test_no_point_of_the_box_contradicts_a_verdict(entered, seed):
    """What holds or fails whatever the unknowns are does so at every point; what depends goes either way."""
    verdicts = lines_of(entered)
    assert set(verdicts) >= {"carries", "bump", "main"}
    spans = box(entered)
    for rule, line in verdicts.items():
        matters = MATTERS[rule]
        own = {name: span if name in matters else (span[0], span[0]) for name, span in spans.items()}
        found = [met(rule, entered, at) for at in drawn(own, seed, 60)]
        whole = [all(parts) for parts in found]
        if line.state == "holds":
            assert all(whole), (rule, entered)
        elif line.state == "fails":
            assert not any(whole), (rule, entered)
        else:
            assert not all(whole), (rule, entered)
            # A part that is nowhere met would make the line fail.
            assert all(any(parts[place] for parts in found) for place in range(len(found[0]))), (rule, entered)


_RIDE = {"unsprung_mass", "motion_ratio", "gas_force", "preload"}
# The unknowns that physics lets into each line; for the others any value does.
MATTERS = {
    "carries": _RIDE | {"solid_before_collapsed"},
    "bump": _RIDE | {"solid_before_collapsed"},
    "promise": _RIDE,
    "crossover": _RIDE | {"ring_gap"},
    "tender": {"ring_gap", "preload", "solid_before_collapsed", "tender_closing"},
    "main": {"ring_gap", "preload", "solid_before_collapsed", "main_closing"},
    "tight": {"preload"},
    "seats": {"preload", "adjuster_range", "divider_thickness"},
}


def drawn(spans: dict[str, tuple[float, float]], seed: int, count: int) -> list[dict[str, float]]:
    """All corners of a box, and so many points drawn in it."""
    open_ = [name for name, (low, high) in spans.items() if high > low]
    fixed = {name: low for name, (low, _) in spans.items()}
    ends = itertools.product(*(spans[name] for name in open_))
    draw = np.random.default_rng(seed)
    inside = ({name: float(draw.uniform(*spans[name])) for name in open_} for _ in range(count))
    return [fixed | dict(zip(open_, corner, strict=True)) for corner in ends] + [fixed | point for point in inside]


# --- what must be so for any quote --------------------------------------------------------------------------------------------

# Unknowns that are an entry too: what a shop answers can be entered.
ENTRIES = {item.name for item in fields(QuotedAxle)}


@unhurried
@given(quoted(), st.data())
def test_knowing_more_never_unsettles_a_line_nor_widens_its_margin(entered, data):
    own = axle(**entered)
    before = {line.rule: line for line in judge(Quote(front=own))}
    open_ = sorted({name for line in before.values() for name in line.depends_on} & ENTRIES)
    assume(open_)
    name = data.draw(st.sampled_from(open_))
    low, high = spans_of(own)[name]
    known = replace(own, **{name: data.draw(st.floats(low, high))})
    ring_told = name == "ring_gap"
    for rule, line in {line.rule: line for line in judge(Quote(front=known))}.items():
        if ring_told and rule in ("carries", "bump", "promise"):
            continue  # worked on both springs until the ring's place is known
        if rule not in before:
            continue  # a preload that becomes known adds its own line
        old = before[rule]
        assert line.low >= old.low - 1e-9
        assert line.high <= old.high + 1e-9
        if old.state != "depends":
            assert line.state == old.state


def spans_of(own: QuotedAxle) -> dict[str, tuple[float, float]]:
    from calc.job.quote_unknowns import spans

    return spans(own)


@unhurried
@given(quoted())
def test_an_answer_inside_what_is_told_settles_the_line(entered):
    """“It holds with …”, “It fails with …”: entering such a value makes it so."""
    from calc.job._quote_judge import Judge
    from calc.job._quote_rules import RULES
    from calc.job.unknowns import verdict

    own = axle(**entered)
    judged = Judge("front", own, SHOP, frozenset())
    told = 0
    for rule in (rule for rule in RULES if rule.applies(judged)):
        spans = {name: judged.spans[name] for name in rule.unknowns(judged)}
        found = verdict(lambda values, rule=rule: rule.margins(judged, values), spans)
        if found.state != "depends":
            continue
        name = found.decided_by[0]
        ends = [("holds", found.holds_from), ("holds", found.holds_to)]
        # A hair beyond the edge, for at the edge itself it depends.
        reach = 1e-6 * (spans[name][1] - spans[name][0])
        ends += [("fails", found.fails_below and found.fails_below - reach)]
        ends += [("fails", found.fails_above and found.fails_above + reach)]
        for state, value in ends:
            if value is None or not spans[name][0] <= value <= spans[name][1]:
                continue
            settled = verdict(lambda values, rule=rule: rule.margins(judged, values), spans | {name: (value, value)})
            assert settled.state == state, (rule.name, name, value)
            told += 1
    assume(told)


@unhurried
@given(quoted())
def test_the_units_shown_change_no_verdict(entered):
    quote = Quote(front=axle(**entered), rear=axle(**entered))
    shop, metric = judge(quote, SHOP), judge(quote, METRIC)
    assert [(line.rule, line.state, line.depends_on, line.low, line.high) for line in shop] == [
        (line.rule, line.state, line.depends_on, line.low, line.high) for line in metric
    ]
    half = len(shop) // 2
    assert [replace(line, axle="", title="", question="", text="") for line in shop[:half]] == [
        replace(line, axle="", title="", question="", text="") for line in shop[half:]
    ]


@unhurried
@given(quoted())
def test_every_answer_is_finite_and_every_open_line_asks(entered):
    quote = Quote(front=axle(**entered))
    data = json.loads(json.dumps(quote_data(quote), allow_nan=False))
    for line in data["lines"]:
        assert math.isfinite(line["margin"]["low"])
        assert math.isfinite(line["margin"]["high"])
        assert line["text"].strip()
        assert bool(line["question"]) == (line["state"] != "holds")
    assert sum(data["tally"].values()) == len(data["lines"])
    assert not any(word in quote_text(quote).lower() for word in ("nan", "inf ", "none "))
    assert max(map(len, quote_text(quote).splitlines())) <= 80


@given(st.floats(200.0, 3000.0), st.floats(0.0, 3.0))
def test_more_preload_carries_higher_and_a_heavier_rig_lower(weight, more):
    """Monotone as the page's box needs it: the whole range moves one way."""
    light = lines_of({"axle_mass": 1000.0 + weight, "main_rate": 300.0, "damper_stroke": 12.0, "preload": 1.0})
    raised = lines_of({"axle_mass": 1000.0 + weight, "main_rate": 300.0, "damper_stroke": 12.0, "preload": 1.0 + more})
    heavy = lines_of({"axle_mass": 1100.0 + weight, "main_rate": 300.0, "damper_stroke": 12.0, "preload": 1.0})
    assert raised["bump"].low >= light["bump"].low - 1e-12
    assert heavy["bump"].low < light["bump"].low
    assert heavy["bump"].high < light["bump"].high


@pytest.mark.parametrize("rule", ["carries", "bump", "main"])
def test_random_quotes_meet_every_state(rule):
    """The comparison above would prove nothing if one state never came."""
    draw = np.random.default_rng(20)
    states = set()
    for _ in range(150):
        entered = {
            "axle_mass": float(draw.uniform(1500, 4500)),
            "tender_rate": float(draw.uniform(80, 200)),
            "main_rate": float(draw.uniform(200, 700)),
            "damper_stroke": float(draw.uniform(8, 16)),
            "preload": float(draw.uniform(0.3, 3)),
            "ring_gap": float(draw.uniform(1, 9)),
            "main_free_length": float(draw.uniform(8, 20)),
        }
        states.add(lines_of(entered)[rule].state)
    assert states == {"holds", "depends", "fails"}


def test_questions_are_few_and_none_comes_twice():
    own = axle(axle_mass=3000.0, tender_rate=250.0, main_rate=450.0, damper_stroke=12.0)
    asked = questions(judge(Quote(front=own, rear=own)))
    assert len(asked) == len(set(asked)) <= 7
    both = [item for item in asked if "front" in item]
    assert all("at the front and at the rear" in item for item in both)


def test_at_a_corner_of_the_box_the_ride_is_that_of_a_pocket_calculator() -> None:
    """Front of the example: 3023 lb, 250 over 450 lb/in, preload 2.25 in, by hand in pounds and inches."""
    entered: dict[str, Any] = {"axle_mass": 3023.0, "tender_rate": 250.0, "main_rate": 450.0, "damper_stroke": 12.0}
    stack = 250.0 * 450.0 / 700.0
    least = (3023.0 * (1 - 0.35) / 2 / 1.0 - 200.0) / stack - 2.25
    most = 3023.0 * (1 - 0.15) / 2 / 0.85 / stack - 2.25
    assert (least, most) == pytest.approx((2.619, 7.155), abs=1e-3)
    line = lines_of({**entered, "preload": 2.25})["bump"]
    assert line.low / INCH == pytest.approx(12.0 - 1.0 - most - 4.0)
    assert line.high / INCH == pytest.approx(12.0 - 0.25 - least - 4.0)


def test_the_ride_frequency_covers_every_point_of_its_box() -> None:
    """A leaning coil-over whose motion ratio changes, its tire in series, written out in SI and sampled densely."""
    mass, stack = 3023.0 * POUND, 250.0 * 450.0 / 700.0 * LB_IN
    own = axle(axle_mass=3023.0, tender_rate=250.0, main_rate=450.0, damper_stroke=12.0)
    wanted = replace(own, wanted_frequency_low=0.9, wanted_frequency_high=1.1)
    line = next(line for line in judge(Quote(front=wanted)) if line.rule == "frequency")
    draw = np.random.default_rng(4)
    ends = [(0.15, 0.35), (0.85, 1.0), (200e3, 350e3), (0.0, 10 * LB_IN), (0.5, 0.9)]
    chosen = [*itertools.product(*ends), *(tuple(draw.uniform(*end) for end in ends) for _ in range(2000))]
    found = []
    for share, ratio, tire, gas, length in chosen:
        sprung = mass * (1 - share) / 2
        leaning = -(sprung * 9.80665 / ratio) * (1 - ratio**2) / length
        wheel = (stack + gas) * ratio**2 + leaning
        found.append(math.sqrt(wheel * tire / (wheel + tire) / sprung) / (2 * math.pi))
    margins = [(frequency - 0.9, 1.1 - frequency) for frequency in found]
    assert line.state == "depends"
    assert line.low == pytest.approx(min(map(min, margins)))
    assert line.text.startswith(f"{min(found):.2f} to {max(found):.2f}\u00a0Hz")


@pytest.mark.parametrize("wanted", [f"{hertz:.2f} Hz" for hertz in np.arange(0.9, 1.45, 0.05)])
def test_a_frequency_wanted_to_the_point_is_answered(wanted: str) -> None:
    data = json.loads((DATA / "rigs" / "quote.json").read_text("utf-8"))
    for axle in ("front", "rear"):
        for end in ("low", "high"):
            data["values"][f"{axle}.wanted_frequency_{end}"] = wanted
    assert "frequency" in quote_text(read_quote(json.dumps(data)))
