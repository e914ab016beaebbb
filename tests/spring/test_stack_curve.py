"""The stack's curve against a force balance that is solved numerically, from each spring alone."""

import math
from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from calc.spring._helped_curve import HelpedCurve
from calc.spring._stack_curve import StackCurve, preload_for, ring_gap_for

rates = st.floats(5e3, 3e5)
gaps = st.floats(0.0, 0.25)
strokes = st.floats(0.02, 0.4)
preloads = st.floats(0.0, 0.1)
slacks = st.floats(0.0, 0.08)
shares = st.floats(0.0, 1.0)


def balance(*, travel, tender_rate, main_rate, preload, ring_gap, tender_stroke=math.inf, main_stroke=math.inf):
    """Force at a travel, from where the divider must stand so that tender, ring and both solid springs balance.

    The unknown is the divider's height above its place at full extension. Each spring is a straight line with a
    very stiff end where its coils touch; the ring is a very stiff line too. The root is the divider that is in balance.
    """
    rigid = 1e13
    at_rest = preload / tender_rate / (1 / tender_rate + 1 / main_rate)
    tender_0, main_0 = at_rest, preload - at_rest

    def spring(rate, stroke, shortening):
        return max(0.0, rate * shortening) + rigid * max(0.0, shortening - stroke)

    def out_of_balance(rise):
        tender = spring(tender_rate, tender_stroke, tender_0 + rise)
        ring = rigid * max(0.0, rise - ring_gap)
        return spring(main_rate, main_stroke, main_0 + travel - rise) - tender - ring

    rise = brentq(out_of_balance, -0.5, 1.0, xtol=1e-16, rtol=1e-15, maxiter=500)
    return spring(main_rate, main_stroke, main_0 + travel - rise), tender_0 + rise


@given(rates, rates, preloads, gaps, st.floats(0.0, 0.35))
def test_force_is_the_balance_of_springs_and_ring(tender_rate, main_rate, preload, ring_gap, travel):
    given_ = {"tender_rate": tender_rate, "main_rate": main_rate, "preload": preload, "ring_gap": ring_gap}
    force, tender = balance(travel=travel, **given_)
    curve = StackCurve(**given_)
    assert math.isclose(curve.force(travel), force, rel_tol=1e-6, abs_tol=0.01)
    assert math.isclose(curve.tender_compression(travel), tender, rel_tol=1e-6, abs_tol=1e-7)


@given(rates, rates, preloads, gaps, strokes, strokes, shares)
def test_binding_springs_balance_too(tender_rate, main_rate, preload, ring_gap, tender_stroke, main_stroke, share):
    given_ = {
        "tender_rate": tender_rate,
        "main_rate": main_rate,
        "preload": preload,
        "ring_gap": ring_gap,
        "tender_stroke": tender_stroke,
        "main_stroke": main_stroke,
    }
    curve = StackCurve(**given_)
    travel = share * float(curve.solid_travel)
    if travel < 0 or float(curve.step_travel) < 0:
        # A preload that binds a spring at full extension: the ring's gap is then not measured on a working stack.
        return
    force, _ = balance(travel=travel, **given_)
    assert math.isclose(curve.force(travel), force, rel_tol=1e-4, abs_tol=0.5)


@given(rates, rates, st.floats(-0.08, 0.1), gaps, strokes, strokes, shares, st.booleans())
def test_energy_is_the_integral_of_force(
    tender_rate, main_rate, preload, ring_gap, tender_stroke, main_stroke, share, hangs
):
    curve = StackCurve(
        tender_rate=tender_rate,
        main_rate=main_rate,
        preload=preload,
        ring_gap=ring_gap,
        tender_stroke=tender_stroke,
        main_stroke=main_stroke,
        divider_hangs=hangs,
    )
    travel = share * min(float(curve.solid_travel), 0.5)
    if travel <= 0:
        return
    kinks = sorted(kink for kink in (float(curve.seated_travel), float(curve.step_travel)) if 0 < kink < travel)
    # Piece by piece: between two kinks the force is one straight line.
    work = sum(quad(lambda x: float(curve.force(x)), *piece)[0] for piece in pairwise([0.0, *kinks, travel]))
    assert math.isclose(float(curve.energy(travel)), work, rel_tol=1e-8, abs_tol=1e-9)


@given(rates, rates, st.floats(-0.08, 0.1), gaps, st.floats(0.0, 0.3), st.booleans())
def test_rate_is_the_slope_of_force(tender_rate, main_rate, preload, ring_gap, travel, hangs):
    curve = StackCurve(
        tender_rate=tender_rate, main_rate=main_rate, preload=preload, ring_gap=ring_gap, divider_hangs=hangs
    )
    step = 1e-6
    kinks = (float(curve.seated_travel), float(curve.step_travel))
    if any(abs(travel - kink) < 2 * step for kink in kinks):
        return
    slope = (float(curve.force(travel + step)) - float(curve.force(travel - step))) / (2 * step)
    assert math.isclose(float(curve.rate(travel)), slope, rel_tol=1e-5, abs_tol=1e-3)


@given(
    rates,
    rates,
    st.floats(-0.08, 0.1),
    gaps,
    strokes,
    strokes,
    st.floats(0.0, 0.3),
    st.floats(0.0, 0.02),
    st.floats(0.0, 3e4),
    st.floats(0.0, 5e3),
)
def test_force_grows_and_travel_at_inverts_it(
    tender_rate, main_rate, preload, ring_gap, tender_stroke, main_stroke, travel, further, gas, gas_rate
):
    curve = StackCurve(
        tender_rate=tender_rate,
        main_rate=main_rate,
        preload=preload,
        ring_gap=ring_gap,
        tender_stroke=tender_stroke,
        main_stroke=main_stroke,
    )
    assert float(curve.force(travel + further)) >= float(curve.force(travel))
    force = float(curve.force(travel))
    if math.isfinite(force) and force > 0:
        load = force + gas + gas_rate * travel
        found = float(curve.travel_at(load, extra_force=gas, extra_rate=gas_rate))
        assert math.isclose(found, travel, rel_tol=1e-9, abs_tol=1e-9)


@given(rates, rates, slacks, gaps, st.booleans())
def test_a_loose_stack_crosses_over_where_a_divider_that_is_followed_meets_the_ring(
    tender_rate, main_rate, slack, ring_gap, hangs
):
    curve = StackCurve(
        tender_rate=tender_rate, main_rate=main_rate, preload=-slack, ring_gap=ring_gap, divider_hangs=hangs
    )

    def divider_rise(travel):
        # Written out from where each part stands: first the main is lifted, then both springs share what is left.
        both = max(travel - slack, 0.0) * main_rate / (tender_rate + main_rate)
        return both if hangs else min(travel, slack) + both

    expected = brentq(lambda travel: divider_rise(travel) - ring_gap, -1e-9, 60.0, xtol=1e-13) if ring_gap else None
    if expected is not None and not (hangs and ring_gap < 1e-9):
        assert math.isclose(float(curve.crossover_travel), expected, rel_tol=1e-9, abs_tol=1e-9)
    assert float(curve.gap_at(0.0)) == ring_gap
    assert math.isclose(float(curve.gap_at(curve.crossover_travel)), 0.0, abs_tol=1e-12)


@given(rates, rates, preloads, gaps, st.floats(-0.02, 0.02))
def test_past_the_crossover_the_adjuster_moves_nothing(tender_rate, main_rate, preload, ring_gap, turned):
    share = tender_rate / (tender_rate + main_rate)
    if preload + turned < 0 or ring_gap + turned * share < 0:
        return
    before = StackCurve(tender_rate=tender_rate, main_rate=main_rate, preload=preload, ring_gap=ring_gap)
    after = StackCurve(
        tender_rate=tender_rate, main_rate=main_rate, preload=preload + turned, ring_gap=ring_gap + turned * share
    )
    travel = max(float(before.crossover_travel), float(after.crossover_travel)) + 0.03
    assert math.isclose(float(before.force(travel)), float(after.force(travel)), rel_tol=1e-9)


@given(rates, rates, preloads, gaps, st.floats(0.0, 0.1), st.floats(0.0, 0.3))
def test_a_strap_is_the_same_stack_counted_from_the_strap(tender_rate, main_rate, preload, ring_gap, strap, further):
    bench = StackCurve(tender_rate=tender_rate, main_rate=main_rate, preload=preload, ring_gap=ring_gap)
    gap = ring_gap - strap * main_rate / (tender_rate + main_rate)
    if gap < 0:
        return
    strapped = StackCurve(tender_rate=tender_rate, main_rate=main_rate, preload=preload + strap, ring_gap=gap)
    assert math.isclose(float(bench.gap_at(strap)), gap, abs_tol=1e-12)
    assert math.isclose(float(bench.force(strap + further)), float(strapped.force(further)), rel_tol=1e-9)


@given(rates, rates, st.floats(-0.05, 0.1), st.floats(0.0, 0.3), st.booleans())
def test_ring_gap_for_a_wanted_crossover_gives_it_back(tender_rate, main_rate, preload, wanted, hangs):
    if hangs and wanted < -preload:
        return
    gap = ring_gap_for(
        crossover_travel=wanted, tender_rate=tender_rate, main_rate=main_rate, preload=preload, divider_hangs=hangs
    )
    curve = StackCurve(tender_rate=tender_rate, main_rate=main_rate, preload=preload, ring_gap=gap, divider_hangs=hangs)
    assert math.isclose(float(curve.crossover_travel), wanted, rel_tol=1e-9, abs_tol=1e-12)


@given(rates, rates, gaps, st.floats(0.0, 0.3), st.floats(100.0, 3e4))
def test_preload_for_a_wanted_ride_gives_it_back(tender_rate, main_rate, ring_gap, wanted, load):
    """Found by a root search on the curve, the ring being moved along so that the crossover stays."""
    crossover = ring_gap * (tender_rate + main_rate) / main_rate
    stack_rate = tender_rate * main_rate / (tender_rate + main_rate)
    found = preload_for(
        ride_travel=wanted,
        spring_load=load,
        stack_rate=stack_rate,
        crossover_travel=crossover,
        rate_past_crossover=main_rate,
    )

    def short(preload):
        both = stack_rate * (preload + min(wanted, crossover))
        return both + main_rate * max(wanted - crossover, 0.0) - load

    expected = brentq(short, -50.0, 50.0, xtol=1e-14)
    assert math.isclose(float(found), expected, rel_tol=1e-9, abs_tol=1e-9)


@given(rates, strokes, st.floats(0.0, 0.015), shares)
def test_what_is_left_of_each_spring(tender_rate, stroke, preload, share):
    curve = StackCurve(
        tender_rate=tender_rate,
        main_rate=2 * tender_rate,
        preload=preload,
        ring_gap=0.6,
        tender_stroke=stroke,
        main_stroke=stroke,
    )
    travel = share * float(curve.solid_travel)
    force = float(curve.force(travel))
    # Hooke's law spring by spring, the softer one ending at its solid length.
    tender = min(force / tender_rate, stroke)
    assert math.isclose(float(curve.tender_compression(travel)), tender, rel_tol=1e-9, abs_tol=1e-12)
    assert math.isclose(float(curve.main_compression(travel)), force / (2 * tender_rate), rel_tol=1e-9, abs_tol=1e-9)
    assert math.isclose(float(curve.main_left(travel)), stroke - force / (2 * tender_rate), abs_tol=1e-9)


def test_arrays_of_sets_equal_the_sets_one_by_one():
    random = np.random.default_rng(7)
    count = 200
    sets = {
        "tender_rate": np.where(np.arange(count) % 5 == 0, np.inf, random.uniform(1e4, 1e5, count)),
        "main_rate": random.uniform(2e4, 2e5, count),
        "preload": random.uniform(-0.05, 0.1, count),
        "ring_gap": np.where(np.arange(count) % 7 == 0, np.inf, random.uniform(0.0, 0.2, count)),
        "tender_stroke": random.uniform(0.05, 0.3, count),
        "main_stroke": np.where(np.arange(count) % 3 == 0, np.inf, random.uniform(0.1, 0.3, count)),
    }
    together = StackCurve(**sets)
    for index in range(count):
        alone = StackCurve(**{name: float(values[index]) for name, values in sets.items()})
        for travel in (0.0, 0.05, 0.2):
            for of in ("force", "rate", "energy", "tender_compression", "main_compression", "main_left"):
                assert float(getattr(together, of)(travel)[index]) == float(getattr(alone, of)(travel)), of
        assert float(together.travel_at(5000.0)[index]) == float(alone.travel_at(5000.0))


def met_at(*, seat, ring, lower, tender_length, main_length, tender_rate, main_rate):
    """Travel at which the divider, pushed up by the main alone, is at a ring of the body, by lengths along the damper."""
    tender = max(tender_length - (ring - seat), 0.0)
    return lower - ring - main_length + tender * tender_rate / main_rate


@given(
    rates, rates, st.floats(-0.04, 0.05), st.floats(-0.06, 0.06), st.floats(0.005, 0.15), st.booleans(), st.booleans()
)
def test_an_adjuster_turned_past_no_preload_leaves_the_ring_on_the_body(
    tender_rate, main_rate, preload, turned, room, hangs, helped
):
    tender_length, main_length, seat = 0.25, 0.30, 0.05
    lower = seat + tender_length + main_length - preload
    # A ring that even the loosest tender reaches before its divider.
    ring = seat + tender_length - 0.1 - room
    places = {"ring": ring, "lower": lower, "tender_length": tender_length, "main_length": main_length}
    springs = {"tender_rate": tender_rate, "main_rate": main_rate}
    pressed = max(preload, 0.0) * main_rate / (tender_rate + main_rate)
    fallen = 0.0 if hangs else max(-preload, 0.0)
    gap = seat + tender_length - pressed + fallen - ring
    kind = HelpedCurve if helped else StackCurve
    own = {"helper_rate": math.inf} if helped else {}
    curve = kind(**springs, **own, preload=preload, ring_gap=gap, divider_hangs=hangs)
    for by, found in ((0.0, curve), (turned, curve.turned(adjuster=turned))):
        expected = met_at(seat=seat + by, **places, **springs)
        assert math.isclose(float(found.crossover_travel), expected, rel_tol=1e-9, abs_tol=1e-12)


def test_a_loose_stack_crosses_over_where_statics_put_it() -> None:
    """250 over 325 lb/in at 3/8 in of preload, gap 3.6 in; the adjuster is run up until 0.6 in hang loose."""
    given_ = {"tender_rate": 250.0, "main_rate": 325.0, "preload": 0.375, "ring_gap": 3.6}
    # At no preload the divider is 3.437 in from the ring, and the tender comes 0.6 in later.
    expected = 0.6 + (3.6 - 0.375 * 250 / 575 - 0.6) * 575 / 325
    assert round(expected, 2) == 5.62
    for hangs in (False, True):
        for curve in (
            StackCurve(**given_, divider_hangs=hangs),
            HelpedCurve(helper_rate=None, **given_, divider_hangs=hangs),
        ):
            assert math.isclose(float(curve.turned(adjuster=-0.975).crossover_travel), expected, rel_tol=1e-12)
