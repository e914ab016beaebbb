"""The quote's verdicts against a plain solution written here: a force law of its own, halving, and dense sampling.

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

from calc.answers.quote import quote_data, quote_text
from calc.quantity import METRIC, SHOP
from calc.quote.file import Quote, QuotedAxle, read_quote
from calc.quote.judge import Line
from calc.quote.lines import judge, questions
from calc.tables import DATA
from tests.conftest import long_run

unhurried = settings(max_examples=long_run(20, 500), suppress_health_check=[HealthCheck.filter_too_much])

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
    "gas_rate": (0.0, 10.0),
    "damper_length": (20.0, 36.0),
    "tire_rate": (200e3 / LB_IN, 350e3 / LB_IN),
}
SI = {
    "axle_mass": POUND,
    "axle_mass_full": POUND,
    "unsprung_mass": POUND,
    "tender_rate": LB_IN,
    "main_rate": LB_IN,
    "helper_rate": LB_IN,
    "gas_rate": LB_IN,
    "tire_rate": LB_IN,
    "gas_force": LBF,
    "motion_ratio": 1.0,
    "wanted_frequency_low": 1.0,
    "wanted_frequency_high": 1.0,
}


def axle(**shop: float) -> QuotedAxle:
    """An axle from numbers in shop units."""
    return QuotedAxle(**{name: value * SI.get(name, INCH) for name, value in shop.items()})


# --- the oracle ----------------------------------------------------------------------------------------------------------


# Numbers of quotes are floats, the unknowns' values arrays with one number for each draw.
Entered = dict[str, float]
At = dict[str, Any]


def upper(entered: Entered, at: At, force: Any) -> Any:
    """How far helper and tender are closed under a force, while no ring ends it."""
    helper = np.minimum(force / entered["helper_rate"], at["helper_closing"]) if "helper_rate" in entered else 0.0
    return helper + (force / entered["tender_rate"] if "tender_rate" in entered else 0.0)


def shortened(entered: Entered, at: At, force: Any, ended: Any) -> Any:
    """How far the springs are closed under a force, what stands above the divider at most by `ended`."""
    return np.minimum(upper(entered, at, force), ended) + force / entered["main_rate"]


def force_at(entered: Entered, at: At, shortening: Any, ended: Any) -> Any:
    """The force at which they are closed by so much, by halving."""
    low = np.full(np.shape(shortening + ended), -1e5)
    high = -low
    for _ in range(90):
        middle = (low + high) / 2.0
        short = shortened(entered, at, middle, ended) < shortening
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return low


def at_ring(entered: Entered, at: At) -> Any:
    """How far what stands above the divider is closed where the ring ends it; the gap counts from hanging free."""
    if "tender_rate" not in entered:
        return NEVER
    hanging = force_at(entered, at, at["preload"], NEVER)
    return upper(entered, at, hanging) + at["ring_gap"]


def met(rule: str, entered: Entered, at: At) -> tuple[Any, ...]:
    """Whether each part of a line is met, at each of many points of the box."""
    stroke = entered["damper_stroke"]
    heaviest = entered.get("axle_mass_full", entered["axle_mass"])
    bump = stroke - at["solid_before_collapsed"]
    ring = at_ring(entered, at)

    def least(name: str, usual: float) -> float:
        return entered.get(f"least_{name}", usual)

    def force(weight: float) -> Any:
        return (weight - at["unsprung_mass"]) / 2.0 / at["motion_ratio"] - at["gas_force"]

    def ride(weight: float) -> Any:
        return shortened(entered, at, force(weight), ring) - at["preload"]

    def past(weight: float) -> Any:
        return upper(entered, at, force(weight)) - ring

    def bumped() -> Any:
        return force_at(entered, at, at["preload"] + bump, ring)

    match rule:
        case "carries":
            return ride(entered["axle_mass"]) - stroke / 5.0, bump - ride(entered["axle_mass"])
        case "bump":
            return (bump - ride(heaviest) - stroke / 3.0,)
        case "promise":
            above = stroke - ride(entered["axle_mass"]) - entered["shaft_showing"]
            return above + 0.5, 0.5 - above
        case "frequency":
            hertz = frequency(entered, at, force(entered["axle_mass"]), past(entered["axle_mass"]))
            return hertz - entered["wanted_frequency_low"], entered["wanted_frequency_high"] - hertz
        case "crossover":
            return (-past(heaviest),)
        case "ring":
            free = force_at(entered, at, at["preload"] + bump, NEVER)
            return (upper(entered, at, free) - ring,)
        case "helper":
            return (force(entered["axle_mass"]) / entered["helper_rate"] - at["helper_closing"],)
        case "tender":
            helper = 0.0
            if "helper_rate" in entered:
                helper = np.minimum(bumped() / entered["helper_rate"], at["helper_closing"])
                # Where the ring ends it, helper and tender share what is above the ring by their rates.
                both = np.minimum(ring, upper(entered, at, bumped()))
                even = both / (1.0 + entered["helper_rate"] / entered["tender_rate"])
                helper = np.minimum(np.minimum(even, at["helper_closing"]), helper)
            closed = np.minimum(upper(entered, at, bumped()), ring) - helper
            return (at["tender_closing"] - least("tender_left", 0.375) - closed,)
        case "main":
            return (at["main_closing"] - least("main_left", 0.5) - bumped() / entered["main_rate"],)
        case "tight":
            return (at["preload"] - least("preload", 0.375),)
        case "seats":
            # A quote without a tender rate is of a single spring: no tender and no divider stand between the seats.
            turned = at["preload"] + entered["seat_space"] - entered["main_free_length"]
            for name in ("tender", "helper"):
                if f"{name}_rate" in entered:
                    turned = turned - entered[f"{name}_free_length"] - at["divider_thickness"]
            return turned, at["adjuster_range"] - least("adjuster_left", 0.25) - turned
    raise AssertionError(rule)


def frequency(entered: Entered, at: At, force: Any, past: Any) -> Any:
    """The ride frequency as weighed, of what carries the rig there, its coil-overs leaning."""
    softness = 1.0 / entered["main_rate"]
    softness = np.where(past >= 0.0, softness, softness + (1.0 / entered.get("tender_rate", np.inf)))
    if "helper_rate" in entered:
        still_open = (force / entered["helper_rate"] < at["helper_closing"]) & (past < 0.0)
        softness = softness + np.where(still_open, 1.0 / entered["helper_rate"], 0.0)
    sprung = (entered["axle_mass"] - at["unsprung_mass"]) / 2.0
    ratio = at["motion_ratio"]
    wheel = (1.0 / softness + at["gas_rate"]) * ratio**2 - sprung / ratio * (1.0 - ratio**2) / at["damper_length"]
    wheel = np.maximum(wheel, 0.0)
    return np.sqrt(wheel * at["tire_rate"] / (wheel + at["tire_rate"]) * LB_IN / (sprung * POUND)) / (2.0 * np.pi)


def box(entered: dict[str, float]) -> dict[str, tuple[float, float]]:
    found = {name: (entered.get(name, low), entered.get(name, high)) for name, (low, high) in SPANS.items()}
    weight = entered["axle_mass"]
    found["unsprung_mass"] = (entered.get("unsprung_mass", 0.15 * weight), entered.get("unsprung_mass", 0.35 * weight))
    found["ring_gap"] = (entered.get("ring_gap", 0.0), entered.get("ring_gap", entered["damper_stroke"]))
    for which, share, closes in (
        ("main", (0.30, 0.55), (3.0, 18.0)),
        ("tender", (0.20, 0.46), (2.0, 13.0)),
        ("helper", (0.15, 0.40), (1.0, 6.0)),
    ):
        free, solid = entered.get(f"{which}_free_length"), entered.get(f"{which}_solid_length")
        if free is None:
            found[f"{which}_closing"] = closes
        elif solid is None:
            found[f"{which}_closing"] = (free * (1 - share[1]), free * (1 - share[0]))
        else:
            found[f"{which}_closing"] = (free - solid, free - solid)
    if "helper_rate" in entered and "preload" not in entered:
        found["preload"] = (0.375, 3.0 + entered.get("helper_free_length", 6.0))
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
        entered["tender_rate"] = draw(st.floats(80.0, 500.0))
    if draw(st.integers(0, 2)) == 0:
        entered["helper_rate"] = draw(st.floats(15.0, 150.0))
    if draw(st.booleans()):
        entered["wanted_frequency_low"] = draw(st.floats(0.7, 1.6))
        entered["wanted_frequency_high"] = entered["wanted_frequency_low"] + draw(st.floats(0.05, 0.8))
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
        "tire_rate": st.floats(900.0, 2500.0),
        "gas_rate": st.floats(0.0, 20.0),
        "damper_length": st.floats(16.0, 40.0),
        "least_preload": st.floats(0.0, 1.0),
        "least_tender_left": st.floats(0.0, 1.0),
        "least_main_left": st.floats(0.0, 1.0),
        "least_adjuster_left": st.floats(0.0, 1.0),
    }
    if "helper_rate" in entered:
        optional["preload"] = st.floats(0.0, 8.0)
        optional["helper_free_length"] = st.floats(2.0, 6.0)
        optional["helper_solid_length"] = st.floats(0.5, 1.5)
    for name in draw(st.sets(st.sampled_from(sorted(optional)), max_size=14)):
        entered[name] = draw(optional[name])
    if "main_free_length" not in entered:
        entered.pop("main_solid_length", None)
    if "tender_free_length" not in entered:
        entered.pop("tender_solid_length", None)
    if "helper_free_length" not in entered:
        entered.pop("helper_solid_length", None)
    return entered


def lines_of(entered: dict[str, float]) -> dict[str, Line]:
    return {line.rule: line for line in judge(Quote(front=axle(**entered)))}


@unhurried
@given(quoted(), st.integers(0, 2**32 - 1))
def test_no_point_of_the_box_contradicts_a_verdict(entered, seed):
    """What holds or fails whatever the unknowns are does so at 2,000 points and all corners; what depends goes either way."""
    verdicts = lines_of(entered)
    assert set(verdicts) >= {"carries", "bump", "main"}
    spans = box(entered)
    for rule, line in verdicts.items():
        matters = MATTERS[rule]
        own = {name: span if name in matters else (span[0], span[0]) for name, span in spans.items()}
        margins = [np.atleast_1d(part) for part in met(rule, entered, drawn(own, seed, 2_000))]
        # Nobody can tell apart what lies closer to a limit than the last bits of a number.
        surely = [part >= 1e-6 for part in margins], [part >= -1e-6 for part in margins]
        if line.state == "holds":
            assert all(part.all() for part in surely[1]), (rule, entered)
        elif line.state == "fails":
            assert not np.logical_and.reduce(np.broadcast_arrays(*surely[0])).any(), (rule, entered)
        elif rule != "frequency":
            # A frequency jumps where the ring is met, so there "depends" is said a little too often, never too seldom.
            assert not all(part.all() for part in surely[0]), (rule, entered)
            # A part that is nowhere met would make the line fail.
            assert all(part.any() for part in surely[1]), (rule, entered)


_LOAD = {"unsprung_mass", "motion_ratio", "gas_force"}
_RIDE = _LOAD | {"preload", "ring_gap", "helper_closing"}
# The unknowns that physics lets into each line; for the others any value does.
MATTERS = {
    "carries": _RIDE | {"solid_before_collapsed"},
    "bump": _RIDE | {"solid_before_collapsed"},
    "promise": _RIDE,
    "frequency": _RIDE | {"gas_rate", "damper_length", "tire_rate"},
    "crossover": _RIDE,
    "ring": {"ring_gap", "preload", "helper_closing", "solid_before_collapsed"},
    "helper": _LOAD | {"helper_closing"},
    "tender": {"ring_gap", "preload", "helper_closing", "solid_before_collapsed", "tender_closing"},
    "main": {"ring_gap", "preload", "helper_closing", "solid_before_collapsed", "main_closing"},
    "tight": {"preload"},
    "seats": {"preload", "adjuster_range", "divider_thickness"},
}


def drawn(spans: dict[str, tuple[float, float]], seed: int, count: int) -> At:
    """All corners of a box, and so many points drawn in it."""
    open_ = [name for name, (low, high) in spans.items() if high > low]
    fixed: At = {name: low for name, (low, _) in spans.items()}
    if not open_:
        return fixed
    corners = np.array(list(itertools.product(*(spans[name] for name in open_)))).T
    ends = np.array([spans[name] for name in open_])
    inside = np.random.default_rng(seed).uniform(ends[:, :1], ends[:, 1:], (len(open_), count))
    return fixed | dict(zip(open_, np.concatenate([corners, inside], axis=1), strict=True))


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
    for rule, line in {line.rule: line for line in judge(Quote(front=known))}.items():
        if rule not in before:
            continue  # a preload or a ring that becomes known adds its own line
        old = before[rule]
        assert line.low >= old.low - 1e-9
        assert line.high <= old.high + 1e-9
        if old.state != "depends":
            assert line.state == old.state


def spans_of(own: QuotedAxle) -> dict[str, tuple[float, float]]:
    from calc.quote.unknowns import spans

    return spans(own)


@unhurried
@given(quoted())
def test_an_answer_inside_what_is_told_settles_the_line(entered):
    """“It holds with …”, “It fails with …”: entering such a value makes it so."""
    from calc.quote.judge import Judge
    from calc.quote.rules import RULES
    from calc.quote.spans_of_unknowns import verdict

    own = axle(**entered)
    judged = Judge("front", own, SHOP, frozenset())
    told = 0
    for rule in (rule for rule in RULES if rule.applies(judged)):
        spans = rule.box(judged)
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


@settings(unhurried, max_examples=long_run(6, 500))
@given(quoted())
def test_the_units_shown_change_no_verdict(entered):
    quote = Quote(front=axle(**entered), rear=axle(**entered))
    shop, metric = judge(quote, SHOP), judge(quote, METRIC)
    assert [(line.rule, line.state, line.depends_on, line.low, line.high) for line in shop] == [
        (line.rule, line.state, line.depends_on, line.low, line.high) for line in metric
    ]
    half = len(shop) // 2
    assert [replace(line, axle="", title="", question="", also_asks="", text="") for line in shop[:half]] == [
        replace(line, axle="", title="", question="", also_asks="", text="") for line in shop[half:]
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
    line = lines_of({**entered, "preload": 2.25, "ring_gap": 12.0})["bump"]
    assert line.low / INCH == pytest.approx(12.0 - 1.0 - most - 4.0)
    assert line.high / INCH == pytest.approx(12.0 - 0.25 - least - 4.0)


def test_the_ride_frequency_covers_every_point_of_its_box() -> None:
    """A leaning coil-over whose motion ratio changes, its tire in series, written out in SI and sampled densely."""
    mass, stack = 3023.0 * POUND, 250.0 * 450.0 / 700.0 * LB_IN
    own = axle(axle_mass=3023.0, tender_rate=250.0, main_rate=450.0, damper_stroke=12.0, preload=2.25, ring_gap=8.0)
    wanted = replace(own, wanted_frequency_low=0.9, wanted_frequency_high=1.1)
    line = next(line for line in judge(Quote(front=wanted)) if line.rule == "frequency")
    draw = np.random.default_rng(4)
    ends = [(0.15, 0.35), (0.85, 1.0), (200e3, 350e3), (0.0, 10 * LB_IN), (20.0 * INCH, 36.0 * INCH)]
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
    assert line.text.startswith(f"{min(found):.2f} to {max(found):.2f}\u00a0Hz on both springs. ")


@pytest.mark.parametrize("wanted", [f"{hertz:.2f} Hz" for hertz in np.arange(0.9, 1.45, 0.05)])
def test_a_frequency_wanted_to_the_point_is_answered(wanted: str) -> None:
    data = json.loads((DATA / "rigs" / "quote.json").read_text("utf-8"))
    for axle in ("front", "rear"):
        for end in ("low", "high"):
            data["values"][f"{axle}.wanted_frequency_{end}"] = wanted
    assert "frequency" in quote_text(read_quote(json.dumps(data)))
