"""The rig at rest against forces and moments of free bodies, solved by scipy, and against what must be true of any rig."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize

from calc.desk import rest_balance as balance
from calc.ride import _descent, _rest
from calc.ride._rest import solve
from calc.ride._rest_energy import SOLID_RATE, AxialForces, Energy, RestRigs
from calc.spring._stack_curve import StackCurve
from tests.conftest import long_run

GRAVITY = 9.80665
RIGS = long_run(60, 200)
CASES = 3


def _vehicle(random: np.random.Generator, kinds: tuple[bool, bool], load: float) -> balance.Vehicle:
    """One rig, drawn from what trail rigs have; `load` adds to the sprung weight."""
    draw = random.uniform
    first = draw(900, 2200) * GRAVITY
    wheelbase = draw(2.3, 3.3)
    front_arm = wheelbase * draw(0.4, 0.6)
    ends = []
    for independent, ahead in zip(kinds, (front_arm, front_arm - wheelbase), strict=True):
        share = (wheelbase - abs(ahead)) / wheelbase
        each = first * share / 2
        stroke = draw(0.25, 0.40)
        ratio = draw(0.5, 0.8) if independent else 1.0
        lean = draw(0.0, 0.35)
        extended = draw(0.70, 0.95)
        ride = stroke * draw(0.3, 0.5)
        # Springs that hold the mean load near the drawn ride travel; sides differ by their preload.
        axial = each / ratio / (1.0 if independent else np.cos(lean))
        main = axial / (ride + draw(0.05, 0.15)) * draw(1.2, 3.0)
        paired = random.random() < 0.8
        tender = main * draw(0.4, 0.9) if paired else None
        series = main if tender is None else main * tender / (main + tender)
        ring = None
        if tender is not None and random.random() < 0.7:
            ring = (ride + draw(-0.03, 0.10)) * main / (main + tender)
        gas = random.random() < 0.7
        area = np.pi / 4 * 0.022**2
        mean = (axial - (1.4e6 * area if gas else 0.0)) / series - ride
        corners = tuple(
            balance.Corner(
                tire_rate=draw(1.8e5, 3.5e5),
                tender_rate=tender,
                main_rate=main,
                preload=max(mean + draw(-0.01, 0.01), 0.0),
                ring_gap=ring,
                extended=extended,
                strap=0.0 if random.random() < 0.5 else draw(0.0, 0.04),
                pad_touch=stroke - draw(0.04, 0.08),
                pad_rate=draw(5e4, 3e5),
                pad_solid=stroke - 0.0127,
                pad_solid_force=None if random.random() < 0.5 else draw(2.1e4, 6e4),
                gas_pressure=1.38e6,
                gas_volume=3e-4,
                rod_area=area if gas else 0.0,
            )
            for _ in range(2)
        )
        ends.append(
            balance.End(
                independent=independent,
                ahead=ahead,
                track=draw(1.4, 1.9),
                unsprung=draw(150, 400) * GRAVITY,
                unsprung_left=draw(-0.08, 0.08),
                unsprung_height=draw(0.35, 0.5),
                roll_center=draw(0.0, 0.2) if independent else draw(0.4, 0.7),
                bar=0.0 if random.random() < 0.6 else draw(2e3, 3e4),
                base=draw(0.85, 1.2),
                mount_height=draw(0.3, 0.6),
                lean=lean,
                eye_length=extended - ride,
                motion_ratio=ratio,
                ratio_slope=draw(-0.3, 0.3) if independent else 0.0,
                corners=(corners[0], corners[1]),
            )
        )
    return balance.Vehicle(
        sprung=first + load * GRAVITY,
        sprung_left=draw(-0.06, 0.06),
        sprung_height=draw(0.65, 1.05),
        ends=(ends[0], ends[1]),
    )


def _rigs(vehicles: list[balance.Vehicle]) -> RestRigs:
    """The same rigs as the solve takes them."""

    def ends(name: str) -> np.ndarray:
        return np.array([[getattr(end, name) for end in one.ends] for one in vehicles])

    def corners(name: str, absent: float = np.inf) -> np.ndarray:
        found = [[getattr(corner, name) for end in one.ends for corner in end.corners] for one in vehicles]
        return np.array([[absent if value is None else value for value in row] for row in found], dtype=float)

    main, tender, preload, gap = (corners(name) for name in ("main_rate", "tender_rate", "preload", "ring_gap"))
    series = 1 / (1 / main + 1 / tender)
    with np.errstate(invalid="ignore"):
        crossover = np.where(np.isinf(tender) | np.isinf(gap), np.inf, gap * (1 + tender / main))
    solid = corners("pad_solid")
    independent = ends("independent")
    return RestRigs(
        sprung_weight=np.array([one.sprung for one in vehicles]),
        front_arm=ends("ahead")[:, 0],
        rear_arm=-ends("ahead")[:, 1],
        sprung_left=np.array([one.sprung_left for one in vehicles]),
        sprung_height=np.array([one.sprung_height for one in vehicles]),
        roll_center_height=ends("roll_center"),
        unsprung_weight=ends("unsprung"),
        unsprung_left=ends("unsprung_left"),
        unsprung_height=ends("unsprung_height"),
        track=ends("track"),
        independent=independent,
        bar_rate=ends("bar"),
        tire_rate=corners("tire_rate"),
        extended_length=corners("extended"),
        lean=ends("lean"),
        eye_length=ends("eye_length"),
        mount_base=ends("base"),
        mount_height=ends("mount_height"),
        by_ratio=independent,
        motion_ratio=ends("motion_ratio"),
        motion_ratio_slope=ends("ratio_slope"),
        eyes_known=np.zeros((1, 2)),
        track_bar=np.zeros((1, 2, 4)),
        solid_travel=solid,
        forces=AxialForces(
            places=np.stack([-preload, crossover, corners("pad_touch"), solid], axis=-1),
            rates=np.stack([series, main - series, corners("pad_rate"), np.full(solid.shape, balance.STOP)], axis=-1),
            pad_place=corners("pad_touch"),
            pad_depth=solid - corners("pad_touch"),
            pad_cubic=np.where(
                np.isinf(firm := corners("pad_solid_force")),
                0.0,
                (firm - corners("pad_rate") * (solid - corners("pad_touch"))) / (solid - corners("pad_touch")) ** 3,
            ),
            strap_travel=corners("strap"),
            gas_pressure=corners("gas_pressure"),
            gas_volume=corners("gas_volume"),
            rod_area=corners("rod_area"),
            gas_limit=solid,
        ),
    )


def _unknowns(vehicle: balance.Vehicle, state: np.ndarray) -> np.ndarray:
    """Our seven unknowns in the balance's own: an independent end's heave and roll are two wheels' travels there."""
    found = state.copy()
    for end, place in zip(vehicle.ends, (3, 5), strict=True):
        if end.independent:
            found[place : place + 2] = state[place] + np.array([0.5, -0.5]) * end.track * state[place + 1]
    return found


def _fleet(kinds: tuple[bool, bool], rigs: int = RIGS, seed: int = 20) -> list[balance.Vehicle]:
    """Rigs in three load cases each: the load cases of one rig share everything but the sprung weight."""
    fleet = []
    for number in range(rigs):
        fleet += [_vehicle(np.random.default_rng([seed, number]), kinds, load) for load in (0.0, 150.0, 450.0)[:CASES]]
    return fleet


KINDS = {"solid": (False, False), "independent front": (True, False), "independent": (True, True)}


@pytest.mark.parametrize("kind", KINDS)
def test_forces_and_moments_of_free_bodies_balance_on_200_rigs_in_all_load_cases(kind: str) -> None:
    fleet = _fleet(KINDS[kind])
    rest = solve(_rigs(fleet))
    assert np.isin(rest.status, (_rest.STANDS, _rest.ON_STOPS, _rest.UNSTABLE)).all()
    for place, vehicle in enumerate(fleet):
        left = balance.unbalanced(vehicle, _unknowns(vehicle, rest.state[place]))
        assert np.abs(left).max() < 1e-6 * vehicle.sprung


# Where scipy begins, about our answer; its method may stop short at the corner of a curve, then the next one serves.
STARTS = np.array(
    [
        (2, -1, 1, 2, 0.6, 2, -0.6),
        (-1, 1, -1, -2, 0.3, -1, 0.3),
        (1, 0.5, 0.4, 1, -0.5, 1, 0.5),
        (0.2, -0.1, 0.1, 0.2, 0.1, 0.2, -0.1),
    ]
)


@pytest.mark.parametrize("kind", KINDS)
def test_scipys_root_comes_to_the_same_place(kind: str) -> None:
    fleet = _fleet(KINDS[kind])
    rest = solve(_rigs(fleet))
    for place in np.flatnonzero(rest.status == _rest.STANDS):
        vehicle = fleet[place]
        ours = _unknowns(vehicle, rest.state[place])
        tried = (balance.root(vehicle, ours + start / 1000) for start in STARTS)
        theirs = next(answer for answer in tried if answer.success)
        assert theirs.x == pytest.approx(ours, abs=1e-8)


# --- track bars ---------------------------------------------------------------------------------------------------------------

BAR = {"left": 0.52, "height": 0.60, "axle_left": -0.55, "axle_height": 0.50}


def _moved_by_bar(over: float, turned: float, center: float) -> float:
    """How far the body goes to the left over an axle, found by trial: where the bar is as long as ever."""
    long = np.hypot(BAR["left"] - BAR["axle_left"], BAR["height"] - BAR["axle_height"])

    def wrong(across: float) -> float:
        up = BAR["height"] - center
        frame = complex(BAR["left"], up) * np.exp(1j * turned) + complex(across, over)
        return abs(frame - complex(BAR["axle_left"], BAR["axle_height"] - center)) - long

    return float(optimize.brentq(wrong, -0.3, 0.3, xtol=1e-14))


def _with_bars(vehicle: balance.Vehicle, unknowns: np.ndarray) -> np.ndarray:
    """What is left over along each unknown, by the work of all forces over a small step of it, each taken by itself."""

    def places(at: np.ndarray) -> np.ndarray:
        """Every length and height that a force works along: coil-overs, bars, tires, and what weights lift."""
        heave, pitch, roll = at[:3]
        lever = sum(
            abs(other.ahead) * end.roll_center for end, other in zip(vehicle.ends, vehicle.ends[::-1], strict=True)
        ) / sum(abs(end.ahead) for end in vehicle.ends)
        lifted = heave + vehicle.sprung_left * roll - (vehicle.sprung_height - lever) * roll**2 / 2
        found = [vehicle.sprung * lifted]
        for end, up, tilt in zip(vehicle.ends, at[3::2], at[4::2], strict=True):
            over, turned = heave - end.ahead * pitch - up, roll - tilt
            shift = _moved_by_bar(over, turned, end.roll_center)
            carried = vehicle.sprung * balance._share(vehicle, end)
            weight = end.unsprung * (up + end.unsprung_left * tilt - end.unsprung_height * tilt**2 / 2)
            found += [carried * (shift * tilt - end.roll_center * tilt**2 / 2) + weight, turned]
            for side in (1.0, -1.0):
                below, arm = balance._eyes(end, side, turned)
                found += [
                    np.hypot(arm[0] - below[0] + shift, over + arm[1] - below[1]),
                    up + side * end.track / 2 * tilt,
                ]
        return np.array(found)

    now = places(unknowns)
    forces = [1.0]
    for place, end in enumerate(vehicle.ends):
        own = now[1 + 6 * place : 7 + 6 * place]
        forces += [1.0, end.bar * own[1]]
        for corner, long, height in zip(end.corners, own[2::2], own[3::2], strict=True):
            forces += [-balance.axial_force(corner, corner.extended - long), -corner.tire_rate * max(-height, 0.0)]
    steps = 1e-6 * np.eye(7)
    return np.array([(places(unknowns + step) - places(unknowns - step)) @ forces / 2e-6 for step in steps])


def test_track_bars_are_those_of_a_linkage_solved_by_scipy() -> None:
    fleet = _fleet((False, False), 4)
    bars = np.broadcast_to(np.array(list(BAR.values())), (1, 2, 4))
    plain = _rigs(fleet)
    rest, without = solve(replace(plain, track_bar=bars)), solve(plain)
    compared = 0
    for place in np.flatnonzero(rest.status == _rest.STANDS):
        ours = rest.state[place]
        assert np.abs(_with_bars(fleet[place], ours)).max() < 1e-5 * fleet[place].sprung
        answer = optimize.root(lambda at, vehicle=fleet[place]: _with_bars(vehicle, at), ours + STARTS[3] / 1000)
        if answer.success:
            assert answer.x == pytest.approx(ours, abs=1e-6)
            compared += 1
    assert compared >= 4
    # The bars do something: they lean the body and bring the roll centers up or down by half of the heave.
    assert np.abs(rest.state - without.state).max() > 1e-3


def test_a_track_bar_takes_half_of_the_heave_to_the_roll_center() -> None:
    fleet = _fleet((False, False), 4)
    level = np.array([0.5, 0.5, -0.5, 0.5])
    bars = np.stack([level, level])[None] + np.array([0, 1, 0, 1]) * (
        np.array([[end.roll_center for end in fleet[0].ends]])[..., None] - 0.5
    )
    rigs = replace(_rigs(fleet[:3]), track_bar=np.repeat(bars, 3, axis=0))
    rest = solve(rigs)
    over = (
        rest.state[:, :1]
        - np.array([[end.ahead for end in fleet[0].ends]]) * rest.state[:, 1:2]
        - rest.state[:, [3, 5]]
    )
    assert rest.center_rise == pytest.approx(-over / 2 / np.sqrt(1 - over**2), rel=1e-9)
    # The weight's leverage is about where the centers then are, and so is the stiffness: their difference is the same.
    plain = solve(_rigs(fleet[:3]))
    moved = rest.roll_leverage - plain.roll_leverage
    carried = np.array([[balance._share(fleet[0], end) for end in fleet[0].ends]]) * rigs.sprung_weight[:, None]
    assert moved == pytest.approx(-(carried * rest.center_rise).sum(axis=1), rel=1e-9)


def _wild(random: np.random.Generator, count: int) -> RestRigs:
    """Rigs of every number drawn apart from the others, over all that may be entered: most of them are absurd."""

    def draw(low: float, high: float, *shape: int) -> np.ndarray:
        return random.uniform(low, high, (count, *shape))

    def maybe(values: np.ndarray, absent: float) -> np.ndarray:
        return np.where(random.random(values.shape) < 0.5, values, absent)

    stroke, extended = (np.repeat(draw(low, high, 2), 2, axis=1) for low, high in ((0.1, 0.5), (0.55, 1.2)))
    main = draw(5e3, 4e5, 4)
    springs = StackCurve(
        main_rate=main,
        tender_rate=maybe(main * draw(0.2, 1.0, 4), np.inf),
        preload=draw(-0.05, 0.2, 4),
        ring_gap=maybe(draw(0.0, 0.3, 4), np.inf),
        tender_stroke=draw(0.05, 0.3, 4),
        main_stroke=draw(0.05, 0.4, 4),
    )
    solid = stroke - np.minimum(draw(0.0, 0.05, 4), stroke / 2)
    stop = np.full((count, 4), SOLID_RATE)
    area = maybe(draw(1e-4, 8e-4, 4), 0.0)
    return RestRigs(
        sprung_weight=draw(300, 9000) * GRAVITY,
        front_arm=draw(-0.2, 3.0),
        rear_arm=draw(0.3, 3.0),
        sprung_left=draw(-0.6, 0.6),
        sprung_height=draw(0.3, 2.0),
        roll_center_height=draw(-0.2, 1.2, 2),
        unsprung_weight=draw(0, 900, 2) * GRAVITY,
        unsprung_left=draw(-0.3, 0.3, 2),
        unsprung_height=draw(0.2, 0.8, 2),
        track=draw(1.0, 2.5, 2),
        independent=random.random((count, 2)) < 0.3,
        bar_rate=maybe(draw(0, 1e5, 2), 0.0),
        tire_rate=draw(5e4, 1e6, 4),
        extended_length=extended,
        lean=draw(-0.5, 0.8, 2),
        eye_length=(extended - draw(0.0, 1.0, 4) * stroke)[:, ::2],
        mount_base=draw(0.3, 2.0, 2),
        mount_height=draw(0.1, 1.2, 2),
        by_ratio=random.random((count, 2)) < 0.4,
        motion_ratio=draw(0.3, 1.3, 2),
        motion_ratio_slope=maybe(draw(-2.0, 2.0, 2), 0.0),
        eyes_known=random.random((count, 2)),
        track_bar=maybe(_bars(draw), 0.0),
        solid_travel=np.minimum(solid, springs.solid_travel),
        forces=AxialForces(
            places=np.stack(
                [-springs.start, springs.step_travel, springs.solid_travel, solid - draw(0.0, 0.08, 4), solid], axis=-1
            ),
            rates=np.stack(
                [springs.stack_rate, springs.second_rate - springs.stack_rate, stop, draw(1e4, 1e6, 4), stop], axis=-1
            ),
            pad_place=solid - (depth := draw(0.02, 0.08, 4)),
            pad_depth=depth,
            pad_cubic=maybe(draw(0.0, 3e4, 4) / depth**3, 0.0),
            strap_travel=maybe(draw(0.0, 0.1, 4), 0.0),
            gas_pressure=draw(0, 3e6, 4),
            gas_volume=area * stroke * draw(1.02, 3.0, 4) + 1e-5,
            rod_area=area,
            gas_limit=solid,
        ),
    )


def _bars(draw: Callable[..., np.ndarray]) -> np.ndarray:
    """Track bars from left to right: frame end and axle end, each across and above the ground."""
    return np.stack([draw(0.1, 1.0, 2), draw(0.2, 1.0, 2), draw(-1.0, -0.1, 2), draw(0.2, 1.0, 2)], axis=-1)


seeds = st.integers(min_value=0, max_value=2**32 - 1)
# A solve of hundreds of rigs costs about what one of a few does: many rigs in each of few batches.
batches = settings(max_examples=long_run(10, 100))


def _each_corner(of_axles: np.ndarray) -> np.ndarray:
    """Left and right of each axle, where a number is told for axles."""
    return np.repeat(of_axles, 2, axis=1) if of_axles.shape[1] == 2 else of_axles


@batches
@given(seed=seeds)
def test_every_rig_gets_a_position_or_a_named_refusal(seed: int) -> None:
    rigs = _wild(np.random.default_rng(seed), 100)
    rest = solve(rigs)
    assert np.isin(rest.status, (_rest.STANDS, _rest.ON_STOPS, _rest.UNSTABLE, _rest.TIPS)).all()
    assert np.isfinite(rest.state).all()
    found = np.isin(rest.status, (_rest.STANDS, _rest.ON_STOPS))
    weight = rigs.sprung_weight + rigs.unsprung_weight.sum(axis=1)
    assert (rest.residual[found] <= 1e-9 * weight[found]).all()
    # One corner that is solid is enough to sit on the stops.
    solid = (rest.travel > np.broadcast_to(_each_corner(rigs.solid_travel), rest.travel.shape)).any(axis=1)
    assert ((rest.status == _rest.ON_STOPS) == solid)[found].all()
    # What stands comes back when it is pushed.
    stands = rest.status == _rest.STANDS
    assert (np.linalg.eigvalsh(rest.hessian[stands]) > -1e-6 * weight[stands, None]).all()


def _some(rigs: Any, rows: slice) -> Any:
    """Some of the rigs, as if there were no others; what is one for all stays."""
    parts = {part.name: getattr(rigs, part.name) for part in fields(rigs)}
    own = {name: value[rows] for name, value in parts.items() if isinstance(value, np.ndarray) and len(value) > 1}
    return replace(rigs, **own, **{name: _some(value, rows) for name, value in parts.items() if is_dataclass(value)})


def test_no_rig_comes_to_rest_elsewhere_for_what_it_is_solved_with() -> None:
    """Three of these 400 had another status together: where one could not be solved, all of them took another way."""
    rigs = _wild(np.random.default_rng(68), 400)
    together = solve(rigs)
    assert not (together.status == _rest.NOT_FOUND).any()
    for start in range(0, 400, 20):
        rows = slice(start, start + 20)
        few = solve(_some(rigs, rows))
        assert (few.status == together.status[rows]).all()
        stands = few.status == _rest.STANDS
        assert few.state[stands] == pytest.approx(together.state[rows][stands], abs=1e-6)


@batches
@given(seed=seeds)
def test_tire_loads_carry_the_weight_and_its_moments(seed: int) -> None:
    rigs = _wild(np.random.default_rng(seed), 200)
    rest = solve(rigs)
    found = np.isin(rest.status, (_rest.STANDS, _rest.ON_STOPS))
    weight = rigs.sprung_weight + rigs.unsprung_weight.sum(axis=1)
    assert rest.tire_load.sum(axis=1)[found] == pytest.approx(weight[found], rel=1e-8)
    rear = rest.tire_load[:, 2:].sum(axis=1) - rigs.unsprung_weight[:, 1]
    carried = rigs.sprung_weight * rigs.front_arm / (rigs.front_arm + rigs.rear_arm)
    assert rear[found] == pytest.approx(carried[found], rel=1e-7, abs=1e-7 * weight.max())


MIRRORED = [1, 0, 3, 2]


def _mirrored(rigs: RestRigs) -> RestRigs:
    def flipped(value: np.ndarray) -> np.ndarray:
        return value[:, MIRRORED] if value.shape[1:2] == (4,) else value

    forces = AxialForces(**{part.name: flipped(getattr(rigs.forces, part.name)) for part in fields(AxialForces)})
    own = {part.name: flipped(getattr(rigs, part.name)) for part in fields(RestRigs) if part.name != "forces"}
    return RestRigs(**{**own, "sprung_left": -rigs.sprung_left, "unsprung_left": -rigs.unsprung_left}, forces=forces)


@batches
@given(seed=seeds)
def test_the_mirrored_rig_stands_mirrored(seed: int) -> None:
    kinds = list(KINDS.values())[seed % 3]
    rigs = _rigs([_vehicle(np.random.default_rng([seed, part]), kinds, 100.0) for part in range(100)])
    here, there = solve(rigs), solve(_mirrored(rigs))
    stands = here.status == _rest.STANDS
    assert (there.status == here.status).all()
    assert there.travel[stands][:, MIRRORED] == pytest.approx(here.travel[stands], abs=1e-8)
    assert there.tire_load[stands][:, MIRRORED] == pytest.approx(here.tire_load[stands], rel=1e-7)
    assert there.body_roll[stands] == pytest.approx(-here.body_roll[stands], abs=1e-9)


@batches
@given(seed=seeds)
def test_more_force_in_a_coilover_never_lowers_its_own_corner(seed: int) -> None:
    kinds = list(KINDS.values())[seed % 3]
    rest = solve(_rigs([_vehicle(np.random.default_rng([seed, part]), kinds, 100.0) for part in range(100)]))
    stands = rest.status == _rest.STANDS
    influence = rest.influence()
    own = np.arange(4)
    assert (influence.frame_height[stands][:, own, own] > 0).all()
    assert (influence.travel[stands][:, own, own] < 0).all()
    assert influence.tire_load[stands].sum(axis=1) == pytest.approx(0.0, abs=1e-9)


@batches
@given(seed=seeds)
def test_gradient_and_second_derivatives_are_those_of_the_energy(seed: int) -> None:
    random = np.random.default_rng(seed)
    rigs = _wild(random, 50)
    energy = Energy.of(rigs, 50)
    state = energy.start() + random.normal(0.0, 0.02, (50, 7))
    gradient, second = energy.slopes(state)
    step = 1e-6
    units = step * np.eye(7)
    by_value = np.stack([(energy.value(state + unit) - energy.value(state - unit)) / (2 * step) for unit in units], 1)
    # A kink within the step makes the difference of values wrong by at most the stop's rate times the step.
    size = np.abs(second).max(axis=(1, 2))
    kink = 2 * step * size + 1e-9 * np.abs(energy.value(state)) / step
    assert (np.abs(gradient - by_value) <= kink[:, None]).all()
    ahead, behind = (np.stack([energy.slopes(state + way * unit)[0] for unit in units], 1) for way in (1, -1))
    by_slope = (ahead - behind) / (2 * step)
    near = [energy.slopes(state + way * unit)[1] - second for unit in units for way in (1, -1)]
    same = np.max(np.abs(near), axis=(0, 2, 3)) < 1e-3 * size
    assert np.count_nonzero(same) > 10
    assert (np.abs(second - by_slope)[same] <= 1e-4 * size[same, None, None]).all()


def test_influence_is_what_solving_again_gives() -> None:
    fleet = _fleet((False, True), 40)
    rigs = _rigs(fleet)
    rest = solve(rigs)
    influence = rest.influence()
    push = 0.01
    for corner in range(4):
        shift = np.zeros((len(fleet), 4))
        shift[:, corner] = push / rigs.forces.rates[:, corner, 0]
        forces = replace(rigs.forces, places=rigs.forces.places - shift[..., None] * np.array([1.0, 0, 0, 0]))
        again = solve(replace(rigs, forces=forces), rest.state)
        moved = (again.tire_load - rest.tire_load) / push
        smooth = np.abs(again.hessian - rest.hessian).max(axis=(1, 2)) < 1e-4 * np.abs(rest.hessian).max(axis=(1, 2))
        good = smooth & (rest.status == _rest.STANDS) & (rest.travel[:, corner] > -rigs.forces.places[:, corner, 0])
        assert np.count_nonzero(good) > 80
        assert moved[good] == pytest.approx(influence.tire_load[good][:, :, corner], abs=2e-5)
        raised = (again.frame_height - rest.frame_height) / push
        assert raised[good] == pytest.approx(influence.frame_height[good][:, :, corner], rel=1e-3, abs=1e-10)


def test_an_upright_that_cannot_stand_is_named() -> None:
    rigs = _rigs(_fleet((False, False), 5))
    narrow = replace(rigs, mount_base=np.full((15, 2), 0.3), lean=np.zeros((15, 2)), bar_rate=np.zeros((15, 2)))
    rest = solve(replace(narrow, sprung_height=np.full(15, 1.6)))
    assert (rest.status == _rest.UNSTABLE).all()
    assert (rest.roll_margin < 1).all()
    assert _rest.REFUSALS[_rest.UNSTABLE] == (
        "Upright is unstable: the roll stiffness is less than the weight's leverage above the roll axis, "
        "so it falls over to one side."
    )


def test_no_springs_sit_on_the_stops_and_that_is_an_answer() -> None:
    rigs = _rigs(_fleet((False, False), 5))
    nothing, last = np.zeros((15, 4)), np.array([0.0, 0.0, 0.0, 1.0])
    none = replace(rigs.forces, rates=rigs.forces.rates * last, rod_area=nothing, pad_cubic=nothing)
    rest = solve(replace(rigs, forces=none))
    assert (rest.status == _rest.ON_STOPS).all()
    assert rest.travel == pytest.approx(rigs.solid_travel, abs=3e-3)
    weight = rigs.sprung_weight + rigs.unsprung_weight.sum(axis=1)
    assert rest.tire_load.sum(axis=1) == pytest.approx(weight)


def test_weight_outside_the_tires_tips_over() -> None:
    rigs = _rigs(_fleet((False, False), 2))
    rest = solve(replace(rigs, sprung_left=np.full(6, 3.0)))
    assert (rest.status == _rest.TIPS).all()


def test_roll_stiffness_is_the_closed_form_of_the_planar_geometry() -> None:
    """Sum over both sides of k a^2 - F L'', worked out here from the base, the lean and the heights."""
    fleet = _fleet((False, False), 20)
    rigs = _rigs(fleet)
    rest = solve(rigs)
    for place in range(0, 60, 3):
        end = fleet[place].ends[0]
        over, tilt = rest.state[place, 0] - end.ahead * rest.state[place, 1] - rest.state[place, 3], 0.0
        side, rise = -np.sin(end.lean) * end.eye_length, over + np.cos(end.lean) * end.eye_length
        length, lean = np.hypot(side, rise), np.arctan2(-side, rise)
        y, dz = end.base / 2, end.mount_height - end.roll_center - over
        arm = y * np.cos(lean) + dz * np.sin(lean)
        curve = (y**2 + dz**2 - arm**2) / length + dz * np.cos(lean) - y * np.sin(lean)
        expected = end.bar + tilt
        for corner in end.corners:
            travel, step = corner.extended - length, 1e-7
            force = balance.axial_force(corner, travel)
            rate = (balance.axial_force(corner, travel + step) - force) / step
            expected += rate * arm**2 - force * curve
        assert rest.roll_stiffness[place, 0] == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("odd", [np.nan, np.inf])
def test_a_rig_that_went_where_nothing_is_a_number_takes_no_other_with_it(odd: float) -> None:
    """Asked for together the curvatures of none converge; one rig here balances on a top, and is still found."""
    top = np.diag([-4.0, *np.full(6, 2.0)])
    second = np.stack([np.full((7, 7), odd), top])

    class Hill:
        weight = np.ones(2)

        def only(self, _rows: object) -> Hill:
            return self

        def value(self, state: np.ndarray) -> np.ndarray:
            return np.asarray(state.sum(axis=1))

    tops, lower = _descent.balanced_on_a_top(Hill(), np.zeros((2, 7)), np.array([False, True]), second)  # type: ignore[arg-type]
    assert tops.tolist() == [1]
    assert np.isfinite(lower).all()
