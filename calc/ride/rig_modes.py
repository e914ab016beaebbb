"""All seven motions of a rig on its springs and tires: the body's three, and each axle's hop and tramp."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray

from calc import units, vocabulary
from calc.chart import Chart, Dot, Panel
from calc.constants import GRAVITY
from calc.quantity import Choice, Display, Quantity
from calc.step import Check, Equation, Example, Practice, Refusal, Source, Step, Values, refuse
from calc.vocabulary import (
    AxleGyrationShare,
    DynamicIndex,
    FrontBarRollStiffness,
    FrontCoilOverRollStiffness,
    FrontSprungMass,
    FrontTireRate,
    FrontUnsprungMass,
    RearBarRollStiffness,
    RearCoilOverRollStiffness,
    RearSprungMass,
    RearTireRate,
    RearUnsprungMass,
    RollGyrationShare,
    RollLever,
    TrackFront,
    TrackRear,
    Wheelbase,
    axle_roll_stiffness,
    track,
    wheelbase,
)

Array = NDArray[np.float64]
_OLLEY = Source(key="olley", where="as summed up in Gillespie, chapter 5", flag="memory")
_INDEPENDENT = "independent"
# A wheel that moves by itself turns no axle: all of its weight is at the tire.
_AT_THE_TIRES = 0.5

_frequency = vocabulary.natural_frequency.called("Frequency", "f", "Undamped.", low=0.01, high=1e4, usual=None)
_times = Quantity(
    label="Ratio", symbol="n", kind=units.NUMBER, low=0.001, high=100.0, typical=1.0, help="One over the other."
)


def _end(place: str) -> Choice:
    kind = vocabulary.axle_kind
    return Choice(label=f"Kind of axle, {place}", options=kind.options, typical=kind.typical, help=kind.help)


@dataclass(frozen=True, kw_only=True)
class RigModes:
    """The seven frequencies, and how the body's and the axles' lie to each other."""

    rig_bounce_frequency: Annotated[
        float, _frequency.called("Bounce, axles moving too", "f_1", "The body mostly up and down.")
    ]
    rig_pitch_frequency: Annotated[
        float, _frequency.called("Pitch, axles moving too", "f_2", "The body mostly nose up, nose down.")
    ]
    rig_roll_frequency: Annotated[float, _frequency.called("Roll, axles moving too", "f_3", "The body side to side.")]
    front_hop_frequency: Annotated[
        float, _frequency.called("Hop of the front wheels", "f_4", "Both wheels up and down together.", typical=8.0)
    ]
    rear_hop_frequency: Annotated[
        float, _frequency.called("Hop of the rear wheels", "f_5", "Both wheels up and down together.", typical=8.0)
    ]
    front_tramp_frequency: Annotated[
        float,
        _frequency.called("Tramp of the front wheels", "f_6", "One wheel up as the other goes down.", typical=9.0),
    ]
    rear_tramp_frequency: Annotated[
        float, _frequency.called("Tramp of the rear wheels", "f_7", "One wheel up as the other goes down.", typical=9.0)
    ]
    roll_to_bounce: Annotated[float, _times.called("Roll over bounce", "n_31")]
    axles_to_body: Annotated[
        float, _times.called("Slowest of the axles over quickest of the body", "n_min", "How far the two are apart.")
    ]
    pitch_gyration: Annotated[
        float, wheelbase.called("Radius of gyration in pitch", "r_y", "Of what the springs carry.", low=0.0)
    ]
    roll_gyration: Annotated[
        float, track.called("Radius of gyration in roll", "r_x", "Of what the springs carry.", low=0.0)
    ]


def rig_modes(
    *,
    front_sprung_mass: FrontSprungMass,
    rear_sprung_mass: RearSprungMass,
    front_unsprung_mass: FrontUnsprungMass,
    rear_unsprung_mass: RearUnsprungMass,
    wheelbase: Wheelbase,
    track_front: TrackFront,
    track_rear: TrackRear,
    roll_lever: RollLever,
    front_wheel_rate: Annotated[float, vocabulary.wheel_rate.called("Wheel rate, each front wheel", "k_w,F")],
    rear_wheel_rate: Annotated[float, vocabulary.wheel_rate.called("Wheel rate, each rear wheel", "k_w,R")],
    front_tire_rate: FrontTireRate,
    rear_tire_rate: RearTireRate,
    front_coil_over_roll_stiffness: FrontCoilOverRollStiffness,
    rear_coil_over_roll_stiffness: RearCoilOverRollStiffness,
    front_bar_roll_stiffness: FrontBarRollStiffness = 0.0,
    rear_bar_roll_stiffness: RearBarRollStiffness = 0.0,
    front_axle_kind: Annotated[str, _end("front")] = "solid",
    rear_axle_kind: Annotated[str, _end("rear")] = "solid",
    dynamic_index: DynamicIndex = 0.95,
    roll_gyration_share: RollGyrationShare = 0.40,
    axle_gyration_share: AxleGyrationShare = 0.39,
) -> RigModes:
    """Return the seven undamped natural frequencies of a rig: bounce, pitch, roll, and hop and tramp of each end.

    Left and right are alike, so up-and-down motions and rolling ones do not mix: four of one, three of the other.
    A motion is named by what moves most in it: of the two slowest up-and-down ones bounce is the one with more of the
    body's lift, and of the two quickest each is its own axle's.
    Independent wheels tramp with all their weight at the tires; solid axles by their radius of gyration.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the weight's lean outweighs springs and tires in roll, or an axle has no weight.
    Valid for small undamped motion about ride, tires on the ground.
    Source: a body on four springs, two axles on four tires; worked out on the page.

    >>> found = rig_modes(front_sprung_mass=1000.0, rear_sprung_mass=950.0, front_unsprung_mass=340.0,
    ...     rear_unsprung_mass=300.0, wheelbase=2.85, track_front=1.64, track_rear=1.66, roll_lever=0.4,
    ...     front_wheel_rate=27e3, rear_wheel_rate=30e3, front_tire_rate=260e3, rear_tire_rate=260e3,
    ...     front_coil_over_roll_stiffness=14e3, rear_coil_over_roll_stiffness=15e3)
    >>> round(float(found.rig_bounce_frequency), 3), round(float(found.front_hop_frequency), 2)
    (1.123, 6.54)
    """
    # Over 60 lines: 21 inputs and 11 results, one to a line, around the two matrices that belong together.
    STEP.refuse(locals())
    mass = front_sprung_mass + rear_sprung_mass
    ahead = wheelbase * rear_sprung_mass / mass
    pitch_gyration = np.sqrt(dynamic_index * ahead * (wheelbase - ahead))
    weights = front_sprung_mass + front_unsprung_mass, rear_sprung_mass + rear_unsprung_mass
    roll_gyration = (
        roll_gyration_share * (weights[0] * track_front + weights[1] * track_rear) / (weights[0] + weights[1])
    )
    heave = _squares(
        _heave(ahead, wheelbase - ahead, (front_wheel_rate, rear_wheel_rate), (front_tire_rate, rear_tire_rate)),
        (mass, mass * pitch_gyration**2, front_unsprung_mass, rear_unsprung_mass),
    )
    shares = [
        _AT_THE_TIRES if kind == _INDEPENDENT else axle_gyration_share for kind in (front_axle_kind, rear_axle_kind)
    ]
    springs = (
        front_coil_over_roll_stiffness + front_bar_roll_stiffness,
        rear_coil_over_roll_stiffness + rear_bar_roll_stiffness,
    )
    tires = front_tire_rate * track_front**2 / 2, rear_tire_rate * track_rear**2 / 2
    leverage = mass * GRAVITY * roll_lever
    turning = _squares(
        _turning(springs, tires, leverage),
        (
            mass * roll_gyration**2,
            front_unsprung_mass * (shares[0] * track_front) ** 2,
            rear_unsprung_mass * (shares[1] * track_rear) ** 2,
        ),
    )
    stands = sum(spring * tire / (spring + tire) for spring, tire in zip(springs, tires, strict=True))
    refuse(
        stands <= leverage,
        "front_coil_over_roll_stiffness",
        "Upright is unstable: the roll stiffness on the tires, {stiffness} of both axles, is less than the weight's leverage "
        "above the roll axis, {leverage}. The rig falls over to one side.",
        "Allowed: more than that leverage, by stiffer springs, a wider base or a bar.",
        stiffness=(stands, axle_roll_stiffness),
        leverage=(leverage, axle_roll_stiffness),
    )
    bounce, pitch = _named(heave, 0, 1, 0)
    front_hop, rear_hop = _named(heave, 2, 3, 2)
    front_tramp, rear_tramp = _named(turning, 1, 2, 1)
    roll = _in_hertz(turning[0][..., 0])
    slowest = np.minimum(np.minimum(front_hop, rear_hop), np.minimum(front_tramp, rear_tramp))
    return RigModes(
        rig_bounce_frequency=bounce,
        rig_pitch_frequency=pitch,
        rig_roll_frequency=roll,
        front_hop_frequency=front_hop,
        rear_hop_frequency=rear_hop,
        front_tramp_frequency=front_tramp,
        rear_tramp_frequency=rear_tramp,
        roll_to_bounce=roll / bounce,
        axles_to_body=slowest / np.maximum(np.maximum(bounce, pitch), roll),
        pitch_gyration=pitch_gyration,
        roll_gyration=roll_gyration,
    )


def _heave(ahead: Any, behind: Any, springs: tuple[Any, Any], tires: tuple[Any, Any]) -> list[list[Any]]:
    """Stiffness of lift and pitch (nose down positive) of the body, and of the lift of each axle."""
    front, rear = 2 * springs[0], 2 * springs[1]
    mixed = rear * behind - front * ahead
    return [
        [front + rear, mixed, -front, -rear],
        [mixed, front * ahead**2 + rear * behind**2, front * ahead, -rear * behind],
        [-front, front * ahead, front + 2 * tires[0], 0.0],
        [-rear, -rear * behind, 0.0, rear + 2 * tires[1]],
    ]


def _turning(springs: tuple[Any, Any], tires: tuple[Any, Any], leverage: Any) -> list[list[Any]]:
    """Stiffness of the roll of the body and of each axle; the weight above the roll axis takes some off."""
    return [
        [springs[0] + springs[1] - leverage, -springs[0], -springs[1]],
        [-springs[0], springs[0] + tires[0], 0.0],
        [-springs[1], 0.0, springs[1] + tires[1]],
    ]


def _squares(stiffness: list[list[Any]], masses: tuple[Any, ...]) -> tuple[Array, Array]:
    """Return the squares of the angular frequencies, rising, and how much of each motion's energy is in each part."""
    roots = [np.sqrt(mass) for mass in masses]
    shape = np.broadcast_shapes(
        *(np.shape(part) for row in stiffness for part in row), *(np.shape(root) for root in roots)
    )
    matrix = np.zeros((*shape, len(masses), len(masses)))
    for down, row in enumerate(stiffness):
        for across, part in enumerate(row):
            matrix[..., down, across] = part / (roots[down] * roots[across])
    squares, shapes = np.linalg.eigh(matrix)
    return squares, shapes**2


def _in_hertz(square: Any) -> Any:
    return (np.sqrt(np.maximum(square, 0.0)) / (2 * np.pi))[()]


def _named(found: tuple[Array, Array], slower: int, quicker: int, part: int) -> tuple[Any, Any]:
    """Return the frequency of the motion with more of this part in it, and of the other one."""
    squares, energy = found
    mine = energy[..., part, slower] >= energy[..., part, quicker]
    one, other = squares[..., slower], squares[..., quicker]
    return _in_hertz(np.where(mine, one, other)), _in_hertz(np.where(mine, other, one))


_ORDER = (
    ("rig_roll_frequency", "roll"),
    ("rig_bounce_frequency", "bounce"),
    ("rig_pitch_frequency", "pitch"),
    ("front_hop_frequency", "front hop"),
    ("rear_hop_frequency", "rear hop"),
    ("front_tramp_frequency", "front tramp"),
    ("rear_tramp_frequency", "rear tramp"),
)


def _chart(values: Values, display: Display) -> Chart:
    unit = display.unit(_frequency)
    return Chart(
        key="rig-modes-chart",
        title="The seven frequencies",
        description="Roll, bounce and pitch of the body, and hop and tramp of each end, each at its frequency: those of the "
        "body should lie well below those of the axles.",
        x_label="Frequency",
        x_unit=unit.symbol,
        x_decimals=display.decimals(_frequency),
        x_at_least=(0.0, 10.0),
        panels=(
            Panel(
                "Motion, one to a line",
                "",
                dots=tuple(
                    Dot(units.from_si(values[name], unit), float(len(_ORDER) - place), label)
                    for place, (name, label) in enumerate(_ORDER)
                ),
                tall=True,
                at_least=(0.0, 8.0),
            ),
        ),
    )


STEP = Step(
    function=rig_modes,
    title="All motions of the rig",
    question="Body and axles together, what are all the ways in which this rig swings, and do any of them get into step?",
    job="9c",
    sources=(
        Source(key="derivation", where="a body on four springs, two axles on four tires", flag="derivation"),
        Source(
            key="ours",
            where="dynamic index 0.95, radii of gyration 0.40 and 0.39 of the track, assumed",
            flag="practice",
        ),
        _OLLEY,
    ),
    equations=(
        Equation(
            result="front_arm",
            text="wheelbase * rear_sprung_mass / (front_sprung_mass + rear_sprung_mass)",
            note="sprung center of gravity behind the front axle",
            quantity=wheelbase.called("Arm to the front axle", "a"),
        ),
        Equation(
            result="pitch_gyration",
            text="sqrt(dynamic_index * front_arm * (wheelbase - front_arm))",
            note="by the dynamic index, assumed",
        ),
        Equation(
            result="roll_gyration",
            text="roll_gyration_share * ((front_sprung_mass + front_unsprung_mass) * track_front "
            "+ (rear_sprung_mass + rear_unsprung_mass) * track_rear) "
            "/ (front_sprung_mass + front_unsprung_mass + rear_sprung_mass + rear_unsprung_mass)",
            note="of the track under the center of gravity; the frequencies are found together from all of these",
        ),
        Equation(result="roll_to_bounce", text="rig_roll_frequency / rig_bounce_frequency"),
        Equation(
            result="axles_to_body",
            text="minimum(minimum(front_hop_frequency, rear_hop_frequency), minimum(front_tramp_frequency, "
            "rear_tramp_frequency)) / maximum(maximum(rig_bounce_frequency, rig_pitch_frequency), rig_roll_frequency)",
        ),
    ),
    refusals=tuple(
        Refusal(
            field=mass,
            when=f"{mass} <= 0",
            problem="An axle without weight does not hop.",
            allowed="Allowed: above zero.",
        )
        for mass in ("front_unsprung_mass", "rear_unsprung_mass")
    ),
    example=Example(
        inputs={
            "front_sprung_mass": "2268 lb",
            "rear_sprung_mass": "2095 lb",
            "front_unsprung_mass": "755 lb",
            "rear_unsprung_mass": "657 lb",
            "wheelbase": "2.850 m",
            "track_front": "1.640 m",
            "track_rear": "1.660 m",
            "roll_lever": "0.405 m",
            "front_wheel_rate": "157.7 lb/in",
            "rear_wheel_rate": "174.3 lb/in",
            "front_tire_rate": "1485 lb/in",
            "rear_tire_rate": "1485 lb/in",
            "front_coil_over_roll_stiffness": "181 lbf·ft/°",
            "rear_coil_over_roll_stiffness": "187 lbf·ft/°",
            "front_bar_roll_stiffness": "0 lbf·ft/°",
            "rear_bar_roll_stiffness": "0 lbf·ft/°",
            "front_axle_kind": "solid",
            "rear_axle_kind": "solid",
            "dynamic_index": "0.95",
            "roll_gyration_share": "0.40",
            "axle_gyration_share": "0.39",
        },
        expected={
            "rig_roll_frequency": ("0.759272 Hz", 5e-7),
            "rig_bounce_frequency": ("1.118640 Hz", 5e-7),
            "rig_pitch_frequency": ("1.223049 Hz", 5e-7),
            "front_hop_frequency": ("6.534118 Hz", 5e-7),
            "rear_hop_frequency": ("7.041302 Hz", 5e-7),
            "front_tramp_frequency": ("8.111218 Hz", 5e-7),
            "rear_tramp_frequency": ("8.696460 Hz", 5e-7),
        },
        source=Source(
            key="derivation",
            where="scipy's eigh on the heights of four wheels and three motions of the body",
            flag="derivation",
        ),
        name="Wren, crew aboard",
    ),
    checks=(
        Check(
            rule="axles well above the body",
            value="axles_to_body",
            at_least=3.0,
            margin=0.1,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The slowest motion of the axles is {value} times as quick as the quickest of the body: each keeps to itself.",
            close="The slowest motion of the axles is {value} times as quick as the quickest of the body, about {limit}.",
            fails="The slowest motion of the axles is only {value} times as quick as the quickest of the body, less than "
            "{limit}: the axles' motion reaches the body.",
        ),
        Check(
            rule="roll about as quick as bounce",
            value="roll_to_bounce",
            at_least=0.8,
            at_most=1.25,
            margin=0.03,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="Roll is {value} times as quick as bounce: alike, as Olley asks.",
            close="Roll is {value} times as quick as bounce, about {limit}.",
            fails="Roll is {value} times as quick as bounce, outside {limits}. Olley asks for about the same. Much slower, the rig sways; much "
            "quicker, it throws heads from side to side.",
        ),
        Check(
            rule="hop and tramp apart",
            value="minimum(absolute(front_tramp_frequency / front_hop_frequency - 1), "
            "absolute(rear_tramp_frequency / rear_hop_frequency - 1))",
            of=vocabulary.share,
            at_least=0.1,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="At both ends hop and tramp are apart: {front_hop_frequency} and {front_tramp_frequency} at the front, "
            "{rear_hop_frequency} and {rear_tramp_frequency} at the rear.",
            fails="At one end hop and tramp are less than {limit} apart: {front_hop_frequency} and {front_tramp_frequency} at the front, "
            "{rear_hop_frequency} and {rear_tramp_frequency} at the rear. A bump under one wheel soon shakes both.",
        ),
    ),
    practice=(
        Practice(
            text="Take the worked example, with {front_unsprung_mass} of unsprung weight at the front, on tires of {front_tire_rate} and "
            "a wheel rate of {front_wheel_rate}. How often do the front wheels hop in a second? It is near "
            "enough to hold the body still.",
            asks="front_hop_frequency",
            vary=("front_unsprung_mass", "front_tire_rate", "front_wheel_rate"),
        ),
    ),
    chart=_chart,
    groups={
        "Weights": ("front_sprung_mass", "rear_sprung_mass", "front_unsprung_mass", "rear_unsprung_mass"),
        "Lengths": ("wheelbase", "track_front", "track_rear", "roll_lever"),
        "Springs and tires": ("front_wheel_rate", "rear_wheel_rate", "front_tire_rate", "rear_tire_rate"),
        "Roll stiffness": (
            "front_coil_over_roll_stiffness",
            "rear_coil_over_roll_stiffness",
            "front_bar_roll_stiffness",
            "rear_bar_roll_stiffness",
        ),
        "Ends, and what is assumed": (
            "front_axle_kind",
            "rear_axle_kind",
            "dynamic_index",
            "roll_gyration_share",
            "axle_gyration_share",
        ),
    },
    main=("rig_bounce_frequency", "rig_pitch_frequency", "rig_roll_frequency"),
)
