"""Three springs in series against a force balance at both dividers, solved numerically, from each spring alone."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from calc.spring._helped_curve import HelpedCurve, stack_curve
from calc.spring._stack_curve import StackCurve

INCH = 0.0254
LBF = 0.45359237 * 9.80665
LB_IN = LBF / INCH

soft = st.floats(2e3, 2e4)
rates = st.floats(1e4, 2e5)
preloads = st.floats(0.0, 0.1)
gaps = st.one_of(st.just(math.inf), st.floats(0.0, 0.2))
helper_strokes = st.floats(0.01, 0.1)
strokes = st.one_of(st.just(math.inf), st.floats(0.03, 0.4))
shares = st.floats(0.0, 1.0)
stacks = st.fixed_dictionaries(
    {
        "helper_rate": soft,
        "tender_rate": rates,
        "main_rate": rates,
        "preload": preloads,
        "helper_stroke": helper_strokes,
        "tender_stroke": strokes,
        "main_stroke": strokes,
        "helper_ring_gap": gaps,
        "ring_gap": gaps,
    }
)
loose = stacks.flatmap(lambda item: st.floats(-0.08, 0.0).map(lambda preload: {**item, "preload": preload}))


def springs_of(given_):
    return [
        (given_["helper_rate"], given_["helper_stroke"]),
        (given_["tender_rate"], given_["tender_stroke"]),
        (given_["main_rate"], given_["main_stroke"]),
    ]


RIGID = 1e13


def push(rate, stroke, shortening):
    """A spring as a straight line with a very stiff end where its coils touch; nothing while it is loose."""
    return max(0.0, rate * shortening) + RIGID * max(0.0, shortening - stroke)


def at_extension(given_):
    """What each spring is shortened by before any travel: one force in all, found by its root."""
    most = sum(stroke for _, stroke in springs_of(given_))
    if given_["preload"] >= most:
        return None

    def shortened(force):
        return sum(min(force / rate, stroke) for rate, stroke in springs_of(given_)) - given_["preload"]

    force = brentq(shortened, 0.0, 1e9, xtol=1e-12, rtol=1e-15, maxiter=500)
    return [min(force / rate, stroke) for rate, stroke in springs_of(given_)]


def balance(travel, given_):
    """Force on the lower seat, from where both dividers must stand so that springs and rings balance at each."""
    first = at_extension(given_)
    (helper_rate, helper_stroke), (tender_rate, tender_stroke), (main_rate, main_stroke) = springs_of(given_)

    def upper(rise):
        """Where the helper's divider stands for a place of the lower divider."""

        def out(own):
            helper = push(helper_rate, helper_stroke, first[0] + own)
            ring = RIGID * max(0.0, own - given_["helper_ring_gap"])
            return push(tender_rate, tender_stroke, first[1] + rise - own) - helper - ring

        return brentq(out, -0.5, 1.0, xtol=1e-17, rtol=1e-15, maxiter=500)

    def out_of_balance(rise):
        tender = push(tender_rate, tender_stroke, first[1] + rise - upper(rise))
        ring = RIGID * max(0.0, rise - given_["ring_gap"])
        return push(main_rate, main_stroke, first[2] + travel - rise) - tender - ring

    rise = brentq(out_of_balance, -0.5, 1.0, xtol=1e-17, rtol=1e-15, maxiter=500)
    own = upper(rise)
    return push(main_rate, main_stroke, first[2] + travel - rise), first[0] + own, first[1] + rise - own


@given(stacks, shares)
def test_force_is_the_balance_at_both_dividers(given_, share):
    assume(at_extension(given_) is not None)
    curve = HelpedCurve(**given_)
    travel = share * min(float(curve.solid_travel), 0.4)
    force, helper, tender = balance(travel, given_)
    assert math.isclose(curve.force(travel), force, rel_tol=1e-4, abs_tol=0.5)
    assert math.isclose(curve.helper_compression(travel), helper, abs_tol=2e-6)
    assert math.isclose(curve.tender_compression(travel), tender, abs_tol=2e-6)
    assert math.isclose(curve.main_compression(travel), given_["preload"] + travel - helper - tender, abs_tol=4e-6)


@given(st.one_of(stacks, loose), st.booleans(), shares, st.floats(0.0, 0.02))
def test_force_never_falls_and_its_slope_is_the_rate(given_, hangs, share, further):
    curve = HelpedCurve(**given_, divider_hangs=hangs)
    end = min(float(curve.solid_travel), 0.5)
    assume(end > 0.0)
    travel = share * end
    assert float(curve.force(travel + further)) >= float(curve.force(travel))
    places = [float(place) for place, _ in curve.pieces()]
    step = 1e-7
    if travel > step and all(abs(travel - place) > 2 * step for place in (*places, end)):
        slope = (float(curve.force(travel + step)) - float(curve.force(travel - step))) / (2 * step)
        assert math.isclose(float(curve.rate(travel)), slope, rel_tol=1e-4, abs_tol=0.5)


@given(st.one_of(stacks, loose), st.booleans(), shares)
def test_energy_is_the_integral_of_force(given_, hangs, share):
    curve = HelpedCurve(**given_, divider_hangs=hangs)
    travel = share * min(float(curve.solid_travel), 0.5)
    assume(travel > 0.0)
    kinks = sorted({0.0, travel, *(float(place) for place, _ in curve.pieces() if 0 < float(place) < travel)})
    # Piece by piece: between two kinks the force is one straight line.
    work = sum(quad(lambda x: float(curve.force(x)), *piece)[0] for piece in pairwise(kinks))
    assert math.isclose(float(curve.energy(travel)), work, rel_tol=1e-7, abs_tol=1e-8)


@given(stacks, st.permutations([0, 1, 2]), shares)
def test_without_rings_the_order_of_the_springs_changes_nothing(given_, order, share):
    free = {**given_, "helper_ring_gap": None, "ring_gap": None}
    springs = springs_of(given_)
    names = ("helper", "tender", "main")
    other = {"preload": given_["preload"]}
    for name, index in zip(names, order, strict=True):
        other[f"{name}_rate"], other[f"{name}_stroke"] = springs[index]
    one, two = HelpedCurve(**free), HelpedCurve(**other)
    travel = share * min(float(one.solid_travel), 0.4)
    assert math.isclose(float(one.solid_travel), float(two.solid_travel), rel_tol=1e-12, abs_tol=1e-15)
    assume(travel < float(one.solid_travel))
    for what in ("force", "energy"):
        found = float(getattr(one, what)(travel)), float(getattr(two, what)(travel))
        assert math.isclose(*found, rel_tol=1e-9, abs_tol=1e-6)


@given(rates, rates, st.floats(-0.08, 0.1), st.floats(0.0, 0.2), strokes, strokes, shares, st.booleans())
def test_a_helper_that_does_not_give_is_none(tender, main, preload, gap, tender_stroke, main_stroke, share, hangs):
    springs = {
        "tender_rate": tender,
        "main_rate": main,
        "preload": preload,
        "ring_gap": gap,
        "tender_stroke": tender_stroke,
        "main_stroke": main_stroke,
        "divider_hangs": hangs,
    }
    without = StackCurve(**springs)
    assume(float(without.step_travel) >= 0.0)
    travel = share * min(float(without.solid_travel), 0.4)
    assume(0.0 <= travel < float(without.solid_travel))
    for rate in (math.inf, 1e16):
        helped = HelpedCurve(helper_rate=rate, helper_stroke=0.05, **springs)
        for what in (
            *("force", "energy", "tender_compression", "main_compression", "divider_rise", "gap_at"),
            *("tender_left", "main_left"),
        ):
            one, two = float(getattr(without, what)(travel)), float(getattr(helped, what)(travel))
            assert math.isclose(one, two, rel_tol=1e-7, abs_tol=1e-7), what
        for what in ("crossover_travel", "tender_bind_travel", "step_travel", "solid_travel", "seated_travel"):
            one, two = float(getattr(without, what)), float(getattr(helped, what))
            if what == "solid_travel" and rate < math.inf:
                continue  # this one could still be closed, by a force that nothing reaches
            assert math.isclose(one, two, rel_tol=1e-7, abs_tol=1e-7), what
        # On a breakpoint either of its two rates is right, to the last bit.
        if all(abs(travel - float(place)) > 1e-9 for place, _ in without.pieces()):
            assert math.isclose(float(without.rate(travel)), float(helped.rate(travel)), rel_tol=1e-7)


@given(st.one_of(stacks, loose), shares, st.floats(0.0, 3e4), st.floats(0.0, 5e3))
def test_travel_at_inverts_force(given_, share, gas, gas_rate):
    curve = HelpedCurve(**given_)
    travel = share * min(float(curve.solid_travel), 0.5)
    force = float(curve.force(max(travel, 0.0)))
    assume(travel > 0 and math.isfinite(force) and force > 0)
    found = float(curve.travel_at(force + gas + gas_rate * travel, extra_force=gas, extra_rate=gas_rate))
    assert math.isclose(found, travel, rel_tol=1e-9, abs_tol=1e-9)


@given(stacks, shares)
def test_the_pieces_make_the_force(given_, share):
    curve = HelpedCurve(**given_)
    travel = share * min(float(curve.solid_travel), 0.5) * (1 - 1e-9)
    assume(travel > 0)
    force = sum(
        float(rate) * max(travel - float(place), 0.0) for place, rate in curve.pieces() if math.isfinite(float(place))
    )
    assert math.isclose(float(curve.force(travel)), force, rel_tol=1e-8, abs_tol=1e-4)


def test_a_helper_over_one_spring_alone_by_exact_arithmetic():
    """50 lb/in that closes after 2 in over 150 lb/in, preload 1 in: 37.5 lb/in at first, closed at 100 lbf.

    Both are shortened by 1 in at full extension, a force of 37.5 lbf; closed after 2 + 2/3 in, so at 1.6667 in of travel.
    """
    curve = HelpedCurve(
        helper_rate=50 * LB_IN, helper_stroke=2 * INCH, main_rate=150 * LB_IN, main_stroke=10 * INCH, preload=INCH
    )
    assert curve.preload_force / LBF == pytest.approx(37.5, abs=1e-9)
    assert curve.helper_closed_travel / INCH == pytest.approx(5 / 3, abs=1e-9)
    assert curve.force(5 / 3 * INCH) / LBF == pytest.approx(100, abs=1e-9)
    assert curve.rate(1 * INCH) / LB_IN == pytest.approx(37.5, abs=1e-9)
    assert curve.rate(3 * INCH) / LB_IN == pytest.approx(150, abs=1e-9)
    assert curve.helper_open(0.0) / INCH == pytest.approx(2 - 0.75, abs=1e-9)
    assert curve.helper_open(2 * INCH) == 0.0
    assert curve.main_left(4 * INCH) / INCH == pytest.approx(10 - 3, abs=1e-9)
    assert math.isinf(curve.crossover_travel)
    assert math.isinf(curve.step_travel)


def test_the_crossover_of_three_springs_by_exact_arithmetic():
    """Helper 50 closing after 1 in, tender 200, main 300 lb/in, preload 0.5 in, ring gap 2 in.

    At full extension all carry 0.5 / (1/50 + 1/200 + 1/300) = 17.647 lbf: helper 0.35294 in, tender 0.08824 in.
    The ring is met when both have gone 2.44118 in together: the helper closed (1 in) and the tender 1.44118 in, 288.235 lbf.
    The main is then 0.96078 in shorter, in all 3.40196 in, less the preload: 2.90196 in.
    """
    curve = HelpedCurve(
        helper_rate=50 * LB_IN,
        helper_stroke=INCH,
        tender_rate=200 * LB_IN,
        main_rate=300 * LB_IN,
        preload=0.5 * INCH,
        ring_gap=2 * INCH,
    )
    assert curve.crossover_travel / INCH == pytest.approx(2.9019607843, abs=1e-9)
    assert curve.force(curve.crossover_travel) / LBF == pytest.approx(288.2352941, abs=1e-6)
    assert curve.gap_at(curve.crossover_travel) == pytest.approx(0.0, abs=1e-12)
    assert curve.rate(3.0 * INCH) / LB_IN == pytest.approx(300, abs=1e-9)


def test_arrays_of_sets_equal_the_sets_one_by_one():
    random = np.random.default_rng(7)
    count = 120
    sets = {
        "helper_rate": np.where(np.arange(count) % 4 == 0, np.inf, random.uniform(2e3, 2e4, count)),
        "helper_stroke": random.uniform(0.01, 0.1, count),
        "helper_ring_gap": np.where(np.arange(count) % 3 == 0, 0.02, np.inf),
        "tender_rate": np.where(np.arange(count) % 5 == 0, np.inf, random.uniform(1e4, 1e5, count)),
        "main_rate": random.uniform(2e4, 2e5, count),
        "preload": random.uniform(-0.05, 0.1, count),
        "ring_gap": np.where(np.arange(count) % 7 == 0, np.inf, random.uniform(0.0, 0.2, count)),
        "tender_stroke": random.uniform(0.05, 0.3, count),
        "main_stroke": np.where(np.arange(count) % 3 == 0, np.inf, random.uniform(0.1, 0.3, count)),
    }
    together = HelpedCurve(**sets)
    for index in range(count):
        alone = HelpedCurve(**{name: float(values[index]) for name, values in sets.items()})
        for travel in (0.0, 0.05, 0.2):
            for of in ("force", "rate", "energy", "helper_compression", "tender_compression", "main_left"):
                assert float(getattr(together, of)(travel)[index]) == float(getattr(alone, of)(travel)), of
        assert float(together.travel_at(5000.0)[index]) == float(alone.travel_at(5000.0))


def test_no_helper_gives_the_curve_of_two_springs():
    assert type(stack_curve(main_rate=3e4, preload=0.0)) is StackCurve
    assert type(stack_curve(helper_rate=np.array([np.inf, np.inf]), main_rate=3e4, preload=0.0)) is StackCurve
    assert type(stack_curve(helper_rate=5e3, helper_stroke=0.03, main_rate=3e4, preload=0.0)) is HelpedCurve


@given(stacks, st.floats(-0.02, 0.02), st.floats(-0.02, 0.02))
def test_a_turned_adjuster_leaves_the_rings_where_they_stand(given_, adjuster, ring):
    before = HelpedCurve(**given_)
    assume(given_["preload"] + adjuster >= 0.0)
    after = before.turned(adjuster=adjuster, ring=ring)

    def ring_below_body(curve, moved):
        """Underside of the tender's ring below a mark on the body, the springs above it 1 m long unloaded."""
        return moved + float(curve.seat_to_divider(1.0)) - float(curve.ring_gap)

    if math.isfinite(given_["ring_gap"]):
        assume(float(after.ring_gap) >= 0.0 and float(after.helper_ring_gap) >= 0.0)
        assume(at_extension(given_) is not None)
        assume(at_extension({**given_, "preload": given_["preload"] + adjuster}) is not None)
        assert math.isclose(ring_below_body(before, 0.0) - ring, ring_below_body(after, adjuster), abs_tol=1e-9)
    if math.isfinite(given_["helper_ring_gap"]):
        own = [float(curve.helper_ring_gap) + float(curve._at_extension[0]) for curve in (before, after)]
        assert math.isclose(own[0] + adjuster, own[1], abs_tol=1e-9)


@pytest.mark.parametrize("falls", [500.0, 1000.0, 3000.0])
def test_a_helper_that_the_load_outgrows_holds_nothing_up(falls: float) -> None:
    """A load that grows with travel faster than the helper carries: the balance is found where the springs gain on it."""
    curve = HelpedCurve(
        helper_rate=1000.0, helper_stroke=0.05, tender_rate=25e3, main_rate=60e3, preload=0.06, main_stroke=0.4
    )
    travel = curve.travel_at(4000.0, extra_rate=-falls)
    assert float(curve.force(travel)) == pytest.approx(4000.0 + falls * travel)
    assert float(curve.rate(travel)) > falls
