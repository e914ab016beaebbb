"""Stack, crossover and preload against force balances solved by a root search, and what must hold for every set."""

import math

from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.spring.crossover import crossover
from calc.spring.preload import preload as rest
from calc.spring.stack import stack
from calc.step import find, run

rates = st.floats(1e4, 2e5)
preloads = st.floats(0.0, 0.08)
gaps = st.floats(0.0, 0.15)
lengths = st.floats(0.15, 0.45)
solids = st.floats(0.05, 0.14)
travels = st.floats(0.2, 0.3)
RIGID = 1e14


def spring(rate, free, solid, length):
    """One spring as a line to its solid length and a wall beyond; nothing when it is longer than free."""
    shorter = free - length
    return rate * max(0.0, shorter) + RIGID * max(0.0, shorter - (free - solid))


def divider_height(*, travel, tender, main, preload, ring_gap):
    """Where the divider balances, counted up the body from its place at full extension, and both springs' lengths.

    Written in lengths from seat to seat, as a tape would read them, and not in shares of a shortening.
    """
    tender_rate, tender_free, tender_solid = tender
    main_rate, main_free, main_solid = main
    # At full extension both share the room that the preload leaves; solved from equal forces.
    room = tender_free + main_free - preload
    tender_0 = brentq(
        lambda length: tender_rate * (tender_free - length) - main_rate * (main_free - (room - length)),
        0.0,
        room,
        xtol=1e-15,
    )

    def out_of_balance(rise):
        up = spring(main_rate, main_free, main_solid, room - tender_0 - travel + rise)
        down = spring(tender_rate, tender_free, tender_solid, tender_0 - rise)
        return up - down - RIGID * max(0.0, rise - ring_gap)

    rise = brentq(out_of_balance, -0.5, 1.0, xtol=1e-16, rtol=1e-15, maxiter=400)
    return rise, tender_0 - rise, room - tender_0 - travel + rise


@given(rates, rates, preloads, gaps, lengths, solids, lengths, solids, travels)
def test_what_each_spring_has_left_is_what_a_tape_would_read(
    tender_rate, main_rate, preload, ring_gap, tender_free, tender_solid, main_free, main_solid, bump_limit
):
    assume(tender_free > tender_solid + 0.02 and main_free > main_solid + 0.02)
    found = stack(
        tender_rate=tender_rate,
        tender_free_length=tender_free,
        tender_solid_length=tender_solid,
        main_rate=main_rate,
        main_free_length=main_free,
        main_solid_length=main_solid,
        preload=preload,
        ring_gap=ring_gap,
        bump_limit=bump_limit,
    )
    # Where a spring would have to go beyond solid there is no tape to read; the sign is all that can be compared.
    _, tender_length, main_length = divider_height(
        travel=bump_limit,
        tender=(tender_rate, tender_free, tender_solid),
        main=(main_rate, main_free, main_solid),
        preload=preload,
        ring_gap=ring_gap,
    )
    if found.main_left < -1e-6:
        assert main_length - main_solid < 1e-6
        return
    assert math.isclose(found.main_left, main_length - main_solid, abs_tol=1e-7)
    if found.tender_left < -1e-6:
        assert tender_length - tender_solid < 1e-6
    elif found.main_left > 1e-6:
        assert math.isclose(found.tender_left, tender_length - tender_solid, abs_tol=1e-7)


@given(rates, rates, preloads, st.floats(0.001, 0.15))
def test_the_crossover_is_where_the_divider_has_covered_the_gap(tender_rate, main_rate, preload, ring_gap):
    def short(travel):
        rise, _, _ = divider_height(
            travel=travel,
            tender=(tender_rate, 5.0, 0.0),
            main=(main_rate, 5.0, 0.0),
            preload=preload,
            ring_gap=10.0,
        )
        return rise - ring_gap

    found = stack(tender_rate=tender_rate, main_rate=main_rate, preload=preload, ring_gap=ring_gap, bump_limit=0.3)
    if found.crossover_travel < 0.8:
        assert math.isclose(found.crossover_travel, brentq(short, 0.0, 0.9, xtol=1e-13), rel_tol=1e-8)


@given(rates, rates)
def test_the_stack_is_softer_than_either_spring_and_no_softer_than_half_the_softer(one, other):
    found = stack(tender_rate=one, main_rate=other, preload=0.01, ring_gap=0.1, bump_limit=0.3)
    swapped = stack(tender_rate=other, main_rate=one, preload=0.01, ring_gap=0.1, bump_limit=0.3)
    assert min(one, other) / 2 * (1 - 1e-12) <= found.stack_rate < min(one, other)
    assert math.isclose(found.stack_rate, swapped.stack_rate, rel_tol=1e-12)


@given(rates, rates, preloads, st.floats(0.01, 0.1), st.floats(0.005, 0.05))
def test_an_earlier_crossover_spends_more_of_the_main(tender_rate, main_rate, preload, ring_gap, lower):
    assume(ring_gap * (tender_rate + main_rate) / main_rate < 0.3)
    inputs = {
        "tender_rate": tender_rate,
        "tender_free_length": 0.6,
        "tender_solid_length": 0.1,
        "main_rate": main_rate,
        "main_free_length": 0.6,
        "main_solid_length": 0.1,
        "preload": preload,
        "bump_limit": 0.3,
    }
    late = stack(**inputs, ring_gap=ring_gap)
    early = stack(**inputs, ring_gap=max(ring_gap - lower, 0.0))
    assert early.main_left < late.main_left
    assert early.tender_left > late.tender_left


@given(rates, rates, st.floats(0.0, 0.06), gaps, st.floats(2e3, 2e4), st.floats(0.0, 1.5e3))
def test_ride_is_where_the_forces_balance(tender_rate, main_rate, preload, ring_gap, load, gas):
    """A root search on each spring's own force, the divider ending at the ring."""
    share = main_rate / (tender_rate + main_rate)
    crossover_travel = ring_gap / share

    def carried(travel):
        tender_shorter = min((preload + travel) * share, preload * share + ring_gap)
        return main_rate * (preload + travel - tender_shorter)

    found = rest(
        axial_load=load,
        gas_force=gas,
        stack_rate=tender_rate * share,
        stack_rate_past_crossover=main_rate,
        crossover_travel=crossover_travel,
        preload=preload,
        bump_limit=0.3,
        strap_travel=0.0,
    )
    if load - gas <= carried(0.0):
        assert found.ride_travel == 0.0
        assert found.free_travel <= 1e-12
    elif load - gas >= carried(0.3):
        assert found.ride_travel == 0.3
        assert found.free_travel >= 0.3 - 1e-12
    else:
        ride = brentq(lambda travel: carried(travel) - (load - gas), 0.0, 0.3, xtol=1e-15)
        assert math.isclose(found.ride_travel, ride, rel_tol=1e-9, abs_tol=1e-12)


@given(st.floats(3e3, 2e4), st.floats(1.0, 2e3), st.floats(0.0, 0.06), st.floats(0.0, 0.04))
def test_more_load_sits_lower_and_more_preload_higher(load, more, preload, further):
    def ride(axial_load, preload):
        return rest(
            axial_load=axial_load,
            gas_force=0.0,
            stack_rate=28e3,
            stack_rate_past_crossover=79e3,
            crossover_travel=0.19,
            preload=preload,
            bump_limit=0.3,
            strap_travel=0.0,
        ).ride_travel

    assert ride(load + more, preload) >= ride(load, preload)
    assert ride(load, preload + further) <= ride(load, preload)


@given(rates, rates, preloads, st.floats(0.05, 0.15), st.floats(0.0, 0.1), st.floats(-0.02, 0.05))
def test_after_a_turn_the_same_load_rests_where_the_balance_says(
    tender_rate, main_rate, preload, ride_travel, wanted, move
):
    """The ring stays on the body, the seat above moves: solved in lengths, for the force that ride had before."""
    assume(preload + move >= 0)
    share = main_rate / (tender_rate + main_rate)
    assume((ride_travel + wanted) * share + move * (1 - share) >= 0)
    found = crossover(
        tender_rate=tender_rate,
        main_rate=main_rate,
        preload=preload,
        wanted_crossover_above_ride=wanted,
        ride_travel=ride_travel,
        adjuster_move=move,
    )
    free = 5.0

    def main_force(travel, turned):
        # The ring's depth below the old upper seat stays; the gap that is left follows from where the divider hangs.
        room = 2 * free - preload - turned
        tender_0 = free - (preload + turned) * share
        ring_depth = free - preload * share - found.ring_gap
        gap = tender_0 + turned - ring_depth
        rise = min(travel * share, gap)
        return main_rate * (free - (room - tender_0 - travel + rise))

    load = main_force(ride_travel, 0.0)
    after = brentq(lambda travel: main_force(travel, move) - load, -1.0, 1.0, xtol=1e-14)
    assert math.isclose(found.ride_travel_after, after, rel_tol=1e-9, abs_tol=1e-9)


def test_what_does_not_apply_is_left_out_and_not_called_unchecked() -> None:
    """Without a ring nothing is said of a ring, without a tender nothing of a tender, without a helper nothing of one."""
    step = find("stack")
    example = step.example_inputs()
    texts = {
        kind: {finding.rule: finding.text for finding in run(step, {**example, "stack_kind": kind}).findings}
        for kind in ("single", "no ring", "ring")
    }
    assert not [
        rule for rule in texts["single"] if any(word in rule for word in ("ring", "tender", "helper", "divider"))
    ]
    assert not [rule for rule in texts["no ring"] if "ring" in rule or "crossover" in rule or "helper" in rule]
    assert "helper closed at rest" not in texts["ring"]
    # What applies and cannot be known yet still says what it needs, and nothing that could never be entered.
    unknown = texts["no ring"]["divider on the body"]
    assert unknown == "Whether the divider stays on the body at droop: needs body below the adjuster."
