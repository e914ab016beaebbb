"""Proving: what synthetic measurements of a known rig give back, and how often the stated doubt covers it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy.stats import binom

from calc.answers.prove import answer_data, answer_text, proving_data
from calc.errors import DataError
from calc.order.order import order
from calc.prove.built import model_of, of_order
from calc.prove.findings import findings
from calc.prove.model import (
    ALL,
    BOTH,
    BOTH_ALIKE,
    COUNT,
    LENGTH_TOLERANCE,
    LOADS,
    RATE_TOLERANCE,
    RATES,
    SIDES_TOLERANCE,
    Known,
    Model,
    Readings,
)
from calc.prove.prove import Proving, prove
from calc.prove.trim import turn_texts
from calc.rig.entries import CORNERS
from calc.rig.file import read_rig, wren, write_rig
from calc.rig.readings import (
    COLD,
    FORMAT,
    MOST_PROOFS,
    Added,
    CornerReading,
    Proof,
    State,
    read_measurements,
    write_measurements,
)
from calc.rig.rig import Entry, Rig
from calc.tables import DATA, assortment_springs
from calc.units import INCH, POUND
from tests.conftest import long_run
from tests.whole.wrens_order import wrens_order

SIXTEENTH = INCH / 16
LOAD = Added(mass=150.0, behind_front_axle=1.9, left_of_center=0.1)
ANY = State(corners={corner: CornerReading(after_lifted=0.6) for corner in CORNERS})


@lru_cache(maxsize=4)
def built(second: bool = False) -> Model:
    """The built rig as ordered, in one state or in two."""
    states = (ANY, replace(ANY, added=LOAD)) if second else (ANY,)
    found = model_of(of_order(wrens_order()), Proof(date="2026-05-02", case="crew", dampers=COLD, states=states))
    assert isinstance(found, tuple)
    return found[0]


def unknowns(*, rate: Sequence[float] = (), longer: Sequence[float] = (), load: Sequence[float] = ()) -> np.ndarray:
    found = np.zeros(COUNT)
    found[: len(rate)] = rate
    found[4 : 4 + len(longer)] = longer
    found[8 : 8 + len(load)] = load
    return found


def state_of(
    truth: np.ndarray, *, at: int = 0, second: bool = False, half: float = 0.1 * INCH, pads: bool = False
) -> State:
    """What a perfect tape and perfect scales read of a rig that is truly so."""
    outputs = built(second).outputs(truth[None], at)
    return State(
        corners={
            corner: CornerReading(
                after_pushed_down=float(outputs.height[0, place]) - half,
                after_lifted=float(outputs.height[0, place]) + half,
                pad=float(outputs.tire[0, place]) if pads else None,
            )
            for place, corner in enumerate(CORNERS)
        },
        added=LOAD if at else None,
    )


def proved(*states: State, rig: Rig | None = None, earlier: Sequence[Proof] = ()) -> Proving:
    proof = Proof(date="2026-05-02", case="crew", dampers=COLD, states=states)
    rig = wren() if rig is None else rig
    return prove(rig, assortment_springs(), proof, wrens_order() if rig == wren() else None, earlier)


# --- what comes back --------------------------------------------------------------------------------------------------


def test_the_rig_as_ordered_has_nothing_to_turn_and_nobody_to_blame() -> None:
    found = proved(state_of(unknowns(), pads=True))
    assert found.trim is not None
    assert not found.trim.turns.any()
    assert {one.state for one in findings(found)} == {"holds"}
    # The prediction is the rest solve's own answer, which the order prints.
    case = wrens_order().standing.rest.cases[wrens_order().standing.reference]  # type: ignore[union-attr]
    assert [one.predicted for one in found.corners] == pytest.approx([one.damper_length for one in case.corners])


def test_a_load_at_the_sold_rate_comes_back_from_four_heights() -> None:
    # 40 kg on the front, 25 kg on the rear, and moved to the left.
    truth = unknowns(load=(40.0, 25.0, 18.0))
    found = proved(state_of(truth))
    wanted = built().outputs(truth[None], 0)
    assert found.loads is not None
    assert found.loads.outputs.force[0] == pytest.approx(wanted.force[0], abs=5.0)
    assert found.loads.outputs.tire[0] == pytest.approx(wanted.tire[0], abs=0.5)
    assert found.loads.outputs.tire[0].sum() - sum(one.tire_predicted for one in found.corners) == pytest.approx(
        65.0, abs=0.5
    )
    # At the load that was weighed it is the rate that must have changed: the springs look too soft.
    assert found.rates is not None
    assert np.all(found.rates.rate < 0.99)
    assert found.both is None
    assert not found.separates


def test_a_rate_at_the_weighed_load_comes_back_from_four_heights() -> None:
    # Both springs of an axle are of one batch: 8 % soft in front, 5 % hard at the back.
    truth = unknowns(rate=(-0.08, -0.08, 0.05, 0.05))
    found = proved(state_of(truth))
    assert found.rates is not None
    assert found.rates.rate == pytest.approx(1.0 + truth[:4], abs=0.005)


def test_pads_tell_load_and_rate_apart() -> None:
    truth = unknowns(rate=(-0.10, 0.0, 0.04, 0.0), load=(30.0, -15.0, 10.0))
    found = proved(state_of(truth, pads=True))
    wanted = built().outputs(truth[None], 0)
    assert found.separates == "pads"
    assert found.both is not None
    assert found.both.rate == pytest.approx(1.0 + truth[:4], abs=0.003)
    assert found.both.outputs.force[0] == pytest.approx(wanted.force[0], rel=2e-3)


def test_a_known_load_tells_load_and_rate_apart() -> None:
    truth = unknowns(rate=(-0.09, -0.09, 0.06, 0.06), load=(25.0, 10.0, 0.0))
    found = proved(state_of(truth, second=True), state_of(truth, at=1, second=True))
    wanted = built().outputs(truth[None], 0)
    assert found.separates == "added load"
    # A tape of 1/16 in and 150 kg leave the rate too doubtful to be told; what fits best is the truth all the same.
    fit = _fit(built(True), [built(True).outputs(truth[None], at).height[0] for at in (0, 1)], BOTH_ALIKE, 1e-5)
    assert fit.rate == pytest.approx(1.0 + truth[:4], abs=2e-3)
    assert fit.outputs.force[0] == pytest.approx(wanted.force[0], rel=3e-3)
    if found.both is None:
        assert any("moved the heights too little" in one.text for one in findings(found))


def test_turns_alone_do_not_tell_load_and_rate_apart() -> None:
    first = state_of(unknowns())
    turned = replace(
        first,
        corners={corner: replace(one, adjuster_turns=4.0) for corner, one in first.corners.items()},
    )
    found = proved(first, turned)
    assert found.separates == ""
    assert found.both is None


def _fit(model: Model, heights: Sequence[np.ndarray], known: Known, doubt: float, pads: np.ndarray | None = None):  # type: ignore[no-untyped-def]
    read = tuple(
        Readings(
            height=height,
            height_doubt=np.full(4, doubt),
            pad=np.full(4, np.nan) if pads is None or at else pads,
            pad_doubt=5 * POUND,
        )
        for at, height in enumerate(heights)
    )
    fit = replace(model, readings=read).fit(known)
    assert fit is not None
    return fit


# --- the stated doubt ---------------------------------------------------------------------------------------------------

SEEDS = long_run(250, 1000)
# k = 2 covers 95.45 %; the count of seeds leaves these bounds once in 10,000 tests of a right program.
LEAST, MOST = (int(binom.ppf(chance, SEEDS, 0.9545)) for chance in (5e-5, 1 - 5e-5))


@pytest.mark.parametrize("known", [LOADS, RATES, BOTH], ids=["loads", "rates", "both"])
def test_the_stated_doubt_covers_at_its_stated_rate(known: Known) -> None:
    """Rigs drawn from the tolerances, read by a tape that is off by 1/32 in and scales off by 5 lb (one sigma)."""
    model = built()
    random = np.random.default_rng(20260502)
    weighed = np.linalg.cholesky(model.weighed)
    covered = np.zeros((2, 4), dtype=int)
    truths = np.zeros((SEEDS, COUNT))
    for truth in truths:
        truth[4:8] = random.normal(0.0, LENGTH_TOLERANCE / 2 * np.sqrt(model.pieces))
        if known.rates:
            truth[:4] = random.normal(0.0, RATE_TOLERANCE / 2, 4)
        else:
            # Any rate: 6 % soft or hard of an axle, and both sides apart by the springs of one batch.
            apart = random.normal(0.0, SIDES_TOLERANCE / 2, 2)
            common = random.uniform(-0.06, 0.06, 2)
            truth[:4] = np.repeat(common, 2) + np.array([0.5, -0.5, 0.5, -0.5]) * np.repeat(apart, 2)
        truth[8:11] = weighed @ random.normal(size=3) if known.loads else random.uniform(-40.0, 40.0, 3)
    # A solve of hundreds of rigs costs about what one of a few does.
    true = model.outputs(truths, 0)
    for truth, height, tire, force in zip(truths, true.height, true.tire, true.force, strict=True):
        heights = height + random.normal(0.0, SIXTEENTH / 2, 4)
        pads = tire + random.normal(0.0, 5 * POUND, 4)
        fit = _fit(model, [heights], known, SIXTEENTH / 2, pads)
        covered[0] += np.abs(fit.outputs.force[0] - force) <= fit.doubt("force")
        covered[1] += np.abs(fit.rate - 1.0 - truth[:4]) <= fit.rate_doubt
    assert np.all((covered >= LEAST) & (covered <= MOST)), covered


def test_the_best_estimate_is_the_one_that_linear_algebra_gives() -> None:
    """Near the ordered rig everything is straight: generalized least squares, written out here, gives the same."""
    model = built()
    heights = model.outputs(np.zeros((1, COUNT)), 0).height[0] + np.array([1.0, -0.5, 0.4, 0.2]) * 1e-4
    fit = _fit(model, [heights], ALL, 1e-4)
    _, slopes = model.slopes(np.zeros(COUNT), 0)
    prior = np.zeros((COUNT, COUNT))
    prior[11, 11] = 0.005**2  # cold: the gas is as it was charged
    prior[:4, :4] = np.eye(4) * 0.015**2
    prior[4:8, 4:8] = np.eye(4) * (INCH / 16) ** 2 * 2.0
    prior[8:11, 8:11] = model.weighed
    rows = slopes["height"]
    gain = prior @ rows.T @ np.linalg.inv(rows @ prior @ rows.T + np.eye(4) * 1e-8)
    wanted = gain @ (heights - model.outputs(np.zeros((1, COUNT)), 0).height[0])
    # Each unknown in what it may be off: a share, a length and a mass are of unlike size.
    doubt = np.sqrt(np.diag(prior))
    assert fit.values / doubt == pytest.approx(wanted / doubt, abs=2e-3)
    unit = np.outer(doubt, doubt)
    assert fit.covariance / unit == pytest.approx((prior - gain @ rows @ prior) / unit, abs=2e-3)


def test_the_prediction_may_be_off_by_about_what_tolerances_alone_make() -> None:
    found = proved(ANY)
    for one in found.corners:
        assert 0.15 * INCH < one.predicted_doubt < 0.33 * INCH


def test_what_blames_nothing_is_worked_out_for_each_corner() -> None:
    """Off by a little less than rate, length, scale, bind and reading leave open, all added in squares: inside; more: out."""
    found = proved(ANY)
    assert len({round(one.tolerance, 6) for one in found.corners}) > 1
    for one in found.corners:
        open_ = float(np.hypot(one.predicted_doubt, one.height_doubt))
        for share, outside in ((0.99, False), (1.01, True), (-0.99, False), (-1.01, True)):
            assert replace(one, height=one.predicted + share * open_).outside is outside


# --- what to turn --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("corner", "turns"), [(0, 1.5), (1, 3.0), (2, -2.5), (3, 6.0)])
def test_the_corner_whose_adjuster_is_off_is_named_with_its_turns(corner: int, turns: float) -> None:
    if corner == 2:
        # The rear is ordered at its least preload: there it cannot be turned off, only on.
        turns = -turns
    thread = 1.0 / wrens_order().rig.get(f"{'front' if corner < 2 else 'rear'}.adjuster_turns_per_length")
    longer = [0.0] * 4
    longer[corner] = -turns * thread
    found = proved(state_of(unknowns(longer=longer)))
    assert found.trim is not None
    assert found.trim.reached
    assert found.trim.turns.tolist() == [turns if place == corner else 0.0 for place in range(4)]
    assert found.trim.height == pytest.approx([one.ordered for one in found.corners], abs=1e-4)
    assert turn_texts(found.trim) == (f"{CORNERS[corner].replace('_', ' ')} up {turns:.1f} turns",)


def test_after_the_turns_the_rig_reads_what_was_said() -> None:
    truth = unknowns(rate=(-0.03, 0.01, 0.02, -0.02), longer=(-0.006, 0.002, 0.0, -0.003), load=(12.0, -8.0, 4.0))
    found = proved(state_of(truth))
    assert found.trim is not None
    thread = built().ready[0].turn[0]
    after = built().outputs(truth[None], 0, built().stacks[0].turned(adjuster=(found.trim.turns * thread)[None]))
    assert after.height[0] == pytest.approx(found.trim.height, abs=0.3e-3)
    assert np.all(np.abs(after.height[0] - [one.ordered for one in found.corners]) < SIXTEENTH + 0.3e-3)


def test_past_the_crossover_the_ring_is_turned() -> None:
    first = state_of(unknowns())
    # The rings set so high up the tender that every corner stands past its crossover; the heights follow.
    low = {corner: replace(one, ring_gap=0.04) for corner, one in first.corners.items()}
    proof = Proof(date="2026-05-02", case="crew", dampers=COLD, states=(State(corners=low),))
    found = model_of(of_order(wrens_order()), proof)
    assert isinstance(found, tuple)
    outputs = found[0].outputs(np.zeros((1, COUNT)), 0)
    read = {
        corner: replace(low[corner], after_pushed_down=float(height), after_lifted=float(height))
        for corner, height in zip(CORNERS, outputs.height[0], strict=True)
    }
    proving = proved(State(corners=read))
    assert all(one.past_crossover for one in proving.corners)
    assert proving.trim is not None
    assert all(proving.trim.ring)


def test_what_turning_cannot_do_is_said() -> None:
    found = proved(state_of(unknowns(load=(260.0, 240.0, 0.0))))
    assert found.trim is not None
    assert not found.trim.reached
    told = {one.rule: one for one in findings(found)}
    assert told["what to turn"].state == "fails"
    assert "Turning alone cannot do it" in told["what to turn"].text


def test_an_adjuster_without_thread_left_is_named() -> None:
    setting = wrens_order().axles[0].chosen
    assert setting is not None
    short = Entry(value=setting.adjuster + 0.26 * INCH, origin="example")
    rig = replace(wren(), values={**wren().values, "front.adjuster_range": short})
    left = order(rig, assortment_springs()).axles[0]
    assert left.chosen is not None
    # In half turns of 12 to the inch, what is left of the range at the setting that was ordered, less the 1/4 in to keep.
    turns = np.floor((short.value - left.chosen.adjuster - 0.25 * INCH) / INCH * 24 + 1e-6) / 2
    assert 0 < turns < 6.0
    found = proved(state_of(unknowns(longer=(-(turns + 2.0) * INCH / 12, 0.0, 0.0, 0.0))), rig=rig)
    assert found.trim is not None
    assert found.trim.turns[0] <= turns
    assert found.trim.short == (0,)
    text = next(one.text for one in findings(found) if one.rule == "what to turn")
    assert found.trim.reached or "There is no thread left at the left front." in text


# --- causes ----------------------------------------------------------------------------------------------------------------


def test_a_small_difference_blames_nothing() -> None:
    found = proved(state_of(unknowns(longer=(-0.2 * INCH, 0.0, 0.0, 0.0))))
    assert not any(one.outside for one in found.corners)
    assert "cause" not in {one.rule for one in findings(found)}
    assert "points to no cause" in findings(found)[0].text


def test_one_soft_corner_is_told_with_load_rate_and_set_as_what_it_may_be() -> None:
    found = proved(state_of(unknowns(rate=(-0.12, 0.0, 0.0, 0.0))))
    cause = next(one for one in findings(found) if one.rule == "cause")
    assert cause.state == "not checked"
    for text in ("coil-over carries", "has set by about", "its rate is", "read the scale under each tire"):
        assert text in cause.text
    weighed = next(
        one
        for one in findings(proved(state_of(unknowns(rate=(-0.12, 0.0, 0.0, 0.0)), pads=True)))
        if one.rule == "true rate"
    )
    assert weighed.state == "fails"
    assert "left front are 12.0" in weighed.text


def test_a_seized_divider_is_named_where_the_corner_is_as_stiff_as_its_main_alone() -> None:
    model = built()
    share = float((model.stacks[0].main_rate / model.stacks[0].rate(np.zeros((1, 4))))[0, 2]) - 1.0
    stiff = state_of(unknowns(rate=(0.0, 0.0, share, share)), pads=True)
    text = " ".join(one.text for one in findings(proved(stiff)) if one.rule == "cause")
    assert "its divider is seized" in text


@pytest.mark.parametrize(("half", "state"), [(0.29, "holds"), (0.31, "close"), (0.61, "fails")])
def test_friction_is_half_the_difference_of_both_readings(half: float, state: str) -> None:
    found = proved(state_of(unknowns(), half=half * INCH))
    told = next(one for one in findings(found) if one.rule == "friction")
    assert told.state == state
    assert found.corners[0].friction == pytest.approx(half * INCH)
    if state != "holds":
        assert "seized" in told.text
        assert "bushing" in told.text


def test_a_floor_that_is_not_flat_is_told_from_springs() -> None:
    first = state_of(unknowns())
    tilted = {
        corner: replace(
            one, after_pushed_down=(one.after_pushed_down or 0) + by, after_lifted=(one.after_lifted or 0) + by
        )
        for (corner, one), by in zip(first.corners.items(), (0.004, -0.004, -0.004, 0.004), strict=True)
    }
    told = next(one for one in findings(proved(State(corners=tilted))) if one.rule == "flat floor")
    assert told.state == "close"
    assert "left front and right rear sit" in told.text
    # No spring does that: with one corner 12 % soft the heights still go together.
    soft = findings(proved(state_of(unknowns(rate=(-0.12, 0.0, 0.0, 0.0)))))
    assert next(one for one in soft if one.rule == "flat floor").state == "holds"


def test_a_set_with_age_is_seen_against_the_first_measurement() -> None:
    first = Proof(date="2026-04-01", case="crew", dampers=COLD, states=(state_of(unknowns()),))
    found = proved(state_of(unknowns(longer=(-0.25 * INCH,) * 2)), earlier=(first,))
    told = next(one for one in findings(found) if one.rule == "set with age")
    assert told.state == "close"
    assert "2026-04-01" in told.text
    assert "left front and right front" in told.text
    # At other settings it is no longer the same, and nothing is said.
    moved = replace(
        first,
        states=(replace(first.first, corners={"left_front": replace(first.first.at("left_front"), preload=0.03)}),),
    )
    assert "set with age" not in {one.rule for one in findings(proved(state_of(unknowns()), earlier=(moved,)))}


# --- what holds of any measurement ---------------------------------------------------------------------------------------


def test_no_measurement_says_nothing() -> None:
    found = proved()
    assert not found.measured
    assert findings(found) == ()
    assert found.trim is None
    assert found.loads is None
    assert len(found.corners) == len(CORNERS)


def test_a_rig_that_is_not_ordered_yet_says_what_it_needs() -> None:
    found = prove(Rig(), assortment_springs(), Proof(date="2026-05-02", states=(ANY,)))
    assert found.needs is not None
    assert "left_front.corner_mass" in found.needs.keys
    assert findings(found) == ()
    json.dumps(proving_data(found), allow_nan=False)


@given(
    missing=some.sets(some.sampled_from(CORNERS), min_size=1),
    once=some.sets(some.sampled_from(CORNERS)),
    pads=some.sets(some.sampled_from(CORNERS)),
)
@settings(max_examples=15)
def test_whatever_was_left_out_the_rest_is_said(missing: set[str], once: set[str], pads: set[str]) -> None:
    full = state_of(unknowns(), pads=True)
    corners = {}
    for corner, one in full.corners.items():
        one = replace(one, pad=one.pad if corner in pads else None)
        if corner in once:
            one = replace(one, after_lifted=None)
        if corner in missing:
            one = replace(one, after_pushed_down=None, after_lifted=None)
        corners[corner] = one
    found = proved(State(corners=corners))
    assert found.trim is None
    assert found.loads is None
    told = findings(found)
    if len(missing) < len(CORNERS):
        unchecked = next(one for one in told if one.rule == "all four heights")
        assert all(corner.replace("_", " ") in unchecked.text for corner in missing)
    else:
        assert told == ()
    json.dumps(proving_data(found), allow_nan=False)


@pytest.mark.parametrize("inches", [(20, 20, 20, 20), (31, 31, 35, 35), (20, 31, 21, 35), (4, 60, 4, 60)])
@pytest.mark.parametrize("preload", [None, -0.05, 0.25])
def test_heights_that_cannot_be_are_told_and_break_nothing(inches: tuple[int, ...], preload: float | None) -> None:
    corners = {
        corner: CornerReading(after_pushed_down=one * INCH, after_lifted=one * INCH, preload=preload)
        for corner, one in zip(CORNERS, inches, strict=True)
    }
    found = proved(State(corners=corners))
    told = {one.rule: one for one in findings(found)}
    if found.questioned:
        # Read at a hub or in another unit: that is asked, and nothing else is told.
        assert [one.state for one in told.values()] == ["close"]
        assert told["what was read"].text.startswith("Is this the hub height?")
    else:
        assert told["what to turn"].state in ("fails", "not checked")
        assert told["heights as predicted"].state == "fails"
    text = " ".join(one.text for one in told.values()).split()
    assert "nan" not in text
    assert "inf" not in text
    json.dumps(proving_data(found), allow_nan=False)


def _mirrored(rig: Rig) -> Rig:
    """The same rig as in a mirror: what was left is right, what was left of center is right of it."""
    values = dict(rig.values)
    for axle in ("front", "rear"):
        left, right = f"left_{axle}.corner_mass", f"right_{axle}.corner_mass"
        values[left], values[right] = rig.values[right], rig.values[left]
        aside = f"{axle}.unsprung_left_of_center"
        values[aside] = replace(values[aside], value=-values[aside].value)
    cases = tuple(
        replace(case, items=tuple(replace(item, left_of_center=-item.left_of_center) for item in case.items))
        for case in rig.load_cases
    )
    return replace(rig, values=values, load_cases=cases)


@given(off=some.lists(some.floats(-0.02, 0.02), min_size=4, max_size=4))
@settings(max_examples=long_run(4, 10))
def test_a_rig_in_the_mirror_is_turned_in_the_mirror(off: list[float]) -> None:
    heights = built().outputs(np.zeros((1, COUNT)), 0).height[0] + np.array(off)

    def state(values: Sequence[float]) -> State:
        return State(
            corners={
                corner: CornerReading(after_pushed_down=float(value) - 0.002, after_lifted=float(value) + 0.002)
                for corner, value in zip(CORNERS, values, strict=True)
            }
        )

    swap = [1, 0, 3, 2]
    here = proved(state(heights))
    there = proved(state(heights[swap]), rig=_mirrored(wren()))
    assert [there.corners[place].predicted for place in swap] == pytest.approx(
        [one.predicted for one in here.corners], abs=1e-7
    )
    assert here.loads is not None
    assert there.loads is not None
    assert there.loads.outputs.force[0][swap] == pytest.approx(here.loads.outputs.force[0], rel=1e-5)
    assert there.loads.rate_doubt[swap] == pytest.approx(here.loads.rate_doubt, rel=1e-4)
    assert here.warp == pytest.approx(-there.warp, abs=1e-7)  # type: ignore[operator]
    if here.trim is not None and there.trim is not None and here.trim.reached:
        assert there.trim.reached
        assert np.count_nonzero(there.trim.turns) == np.count_nonzero(here.trim.turns)


def test_ride_heights_say_the_same_as_damper_lengths() -> None:
    """With wheel heights at ride entered, hub-to-mark readings of the same rig give the same loads and turns."""
    values = dict(wren().values)
    for axle in ("front", "rear"):
        values[f"{axle}.ride_height"] = Entry(value=0.5, origin="example")
    rig = replace(wren(), values=values)
    truth = unknowns(rate=(-0.05, 0.0, 0.0, 0.0), load=(10.0, 0.0, 0.0))
    lengths = proved(state_of(truth), rig=rig)
    marks = model_of(
        of_order(order(rig, assortment_springs())),
        Proof(date="2026-05-02", case="crew", read="ride height", dampers=COLD, states=(ANY,)),
    )
    assert isinstance(marks, tuple)
    heights = marks[0].outputs(truth[None], 0).height[0]
    read = State(
        corners={
            corner: CornerReading(after_pushed_down=float(value) - 0.1 * INCH, after_lifted=float(value) + 0.1 * INCH)
            for corner, value in zip(CORNERS, heights, strict=True)
        }
    )
    proof = Proof(date="2026-05-02", case="crew", read="ride height", dampers=COLD, states=(read,))
    found = prove(rig, assortment_springs(), proof)
    assert found.loads is not None
    assert lengths.loads is not None
    assert found.loads.outputs.force[0] == pytest.approx(lengths.loads.outputs.force[0], rel=2e-3)
    assert found.trim is not None
    assert lengths.trim is not None
    assert found.trim.turns[0] == pytest.approx(lengths.trim.turns[0], abs=0.5)


def test_ride_heights_need_the_height_at_which_the_lean_was_read() -> None:
    found = prove(
        wren(), assortment_springs(), Proof(date="2026-05-02", read="ride height", states=(ANY,)), wrens_order()
    )
    assert found.needs is not None
    assert found.needs.keys == ("front.ride_height", "rear.ride_height")


# --- files -------------------------------------------------------------------------------------------------------------------


def example() -> tuple[Proof, ...]:
    return read_measurements((DATA / "rigs" / "wren-measured.json").read_text("utf-8"))


def test_the_example_is_the_rest_solve_with_its_stated_noise() -> None:
    """Springs 2 % and 1 % soft in front, the left front 2.5 turns short, and 1/32 in of tape: nothing was measured."""
    rate = (-0.02, -0.01, 0.005, -0.005)
    turn = INCH / 12
    for proof, longer in zip(
        example(),
        ((-2.5 * turn, 0.0, 0.0, 0.0), (-2.5 * turn - 0.18 * INCH, -0.18 * INCH, -0.05 * INCH, -0.05 * INCH)),
        strict=True,
    ):
        assert "An example, invented" in proof.note
        found = model_of(of_order(wrens_order()), proof)
        assert isinstance(found, tuple)
        for at, state in enumerate(proof.states):
            outputs = found[0].outputs(unknowns(rate=rate, longer=longer, load=(4.0, -3.0))[None], at)
            read = [state.at(corner).height for corner in CORNERS]
            assert read == pytest.approx(outputs.height[0], abs=4 * INCH / 32)
            pads = [state.at(corner).pad for corner in CORNERS]
            if None not in pads:
                assert pads == pytest.approx(outputs.tire[0], abs=4 * 5 * POUND)


def test_a_rig_keeps_its_measurements_in_its_file() -> None:
    rig = replace(wren(), proofs=example())
    assert read_rig(write_rig(rig)) == rig
    assert read_measurements(write_measurements(example())) == example()
    assert "proofs" not in write_rig(wren())


def _file(**changes: object) -> str:
    return json.dumps({"format": FORMAT, "version": 1, "proofs": [], **changes})


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "not JSON"),
        ("[" * 100_000, "not JSON"),
        ("NaN", "not a measurements file of the handbook"),
        ("{}", "not a measurements file"),
        (_file(version=2), "reads up to version 1"),
        (_file(version=True), "does not say its version"),
        (_file(proofs={}), "list of at most"),
        (_file(proofs=[{}] * (MOST_PROOFS + 1)), "list of at most"),
        (_file(proofs=[3]), "measurement 1 cannot be read"),
        (_file(proofs=[{"date": "yesterday"}]), "measurement 1, date: The date cannot be read"),
        (_file(proofs=[{"date": "2026-05-02", "read": "by eye"}]), "not one of its choices"),
        (_file(proofs=[{"date": "2026-05-02", "note": 3}]), "not a text"),
        (_file(proofs=[{"date": "2026-05-02", "states": [1]}]), "state 1 cannot be read"),
        (
            _file(proofs=[{"date": "2026-05-02", "states": [{}] * 3}]),
            "states cannot be read: it is a list of at most 2",
        ),
        (
            _file(proofs=[{"date": "2026-05-02", "states": [{"corners": {"front": {}}}]}]),
            "measurement 1, state 1, corners has “front”, which is none of left_front",
        ),
        (
            _file(proofs=[{"date": "2026-05-02", "states": [{"corners": {"left_front": {"height": 1}}}]}]),
            "“height”, which is none of",
        ),
        (
            _file(proofs=[{"date": "2026-05-02", "states": [{"corners": {"left_front": {"after_lifted": 25.8}}}]}]),
            "must be at most 60.00",
        ),
        (
            _file(proofs=[{"date": "2026-05-02", "states": [{"corners": {"left_front": {"pad": "600"}}}]}]),
            "not a finite number",
        ),
        (
            _file(
                proofs=[
                    {
                        "date": "2026-05-02",
                        "states": [{"corners": {"left_front": {"after_pushed_down": 0.66, "after_lifted": 0.64}}}],
                    }
                ]
            ),
            "the readings are swapped",
        ),
        (
            _file(proofs=[{"date": "2026-05-02", "states": [{"added": {"mass": 100.0, "behind_front_axle": 1.0}}]}]),
            "only the second state",
        ),
        (
            _file(proofs=[{"date": "2026-05-02", "states": [{}, {"added": {"mass": 100.0}}]}]),
            "added, behind front axle is missing",
        ),
    ],
)
def test_a_damaged_file_is_refused_with_a_sentence(text: str, said: str) -> None:
    with pytest.raises(DataError) as caught:
        read_measurements(text)
    assert said in str(caught.value).replace("\u00a0", " ")


def test_a_damaged_measurement_in_a_rig_file_changes_nothing() -> None:
    data = json.loads(write_rig(wren()))
    data["proofs"] = [{"date": "no"}]
    with pytest.raises(DataError, match="Nothing was changed"):
        read_rig(json.dumps(data))


def test_the_answer_for_a_person_fits_its_columns_and_is_that_of_the_program() -> None:
    text = answer_text(wren(), assortment_springs(), example())
    data = answer_data(wren(), assortment_springs(), example())
    assert max(len(line) for line in text.splitlines()) <= 80
    json.dumps(data, allow_nan=False)
    turns = data["proving"]["trim"]["turns"]
    for corner, count in zip(CORNERS, turns, strict=True):
        if count:
            assert f"{corner.replace('_', ' ')} up {count:.1f} turns" in " ".join(text.split())
    assert answer_text(wren(), assortment_springs(), ()) == "Nothing is measured in this file.\n"


def test_a_load_item_without_its_place_is_a_sentence_in_the_terminal_too() -> None:
    crew = wren().load_cases[1]
    nowhere = replace(crew, items=(replace(crew.items[0], behind_front_axle=None),))
    rig = replace(wren(), load_cases=(nowhere,))
    proofs = (Proof(date="2026-05-02", states=(ANY,)),)
    text = " ".join(answer_text(rig, assortment_springs(), proofs).split())
    assert "Load case “Crew of two with tools”: item 1 is carried by the springs, and its position" in text
    found = answer_data(rig, assortment_springs(), proofs)["proving"]
    assert found["needs"] == []
    assert [sentence.partition(":")[0] for sentence in found["problems"]] == ["Load case “Crew of two with tools”"]


def test_heights_that_blame_nothing_do_not_stand_beside_springs_that_fail() -> None:
    found = proved(state_of(unknowns(rate=(-0.05, 0.0, 0.0, 0.0)), pads=True))
    told = {one.rule: one for one in findings(found)}
    assert (told["heights as predicted"].state, told["true rate"].state) == ("holds", "fails")
    assert "this points to no cause" not in told["heights as predicted"].text
    assert "together with the scale readings they do" in told["heights as predicted"].text


def test_a_corner_whose_springs_are_solid_has_no_rate() -> None:
    found = proved(state_of(unknowns()))
    solid = replace(found, corners=tuple(replace(one, rate=None) for one in found.corners))
    json.dumps(proving_data(solid), allow_nan=False)
    told = {one.rule: one.text for one in findings(solid)}
    assert "friction holds" in told["friction"]
    assert "about" not in told["friction"]
