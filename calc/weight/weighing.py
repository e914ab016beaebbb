"""What four scales say: axle weights, shares and the center of gravity along and across."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calc.step import PRACTICE, Check, Equation, Example, Practice, Source, Step
from calc.vocabulary import (
    CROSS_SHARE_SOUND,
    CenterBehindFrontAxle,
    CenterLeftOfCenter,
    CrossShare,
    FrontAxleMass,
    FrontAxleRating,
    FrontShare,
    LeftFrontMass,
    LeftRearMass,
    LeftShare,
    RearAxleMass,
    RearAxleRating,
    RightFrontMass,
    RightRearMass,
    TotalMass,
    TrackFront,
    TrackRear,
    Wheelbase,
)


@dataclass(frozen=True, kw_only=True)
class Weighing:
    """Totals, shares and the place of the center of gravity."""

    total_mass: TotalMass
    front_axle_mass: FrontAxleMass
    rear_axle_mass: RearAxleMass
    front_share: FrontShare
    left_share: LeftShare
    cross_share: CrossShare
    center_behind_front_axle: CenterBehindFrontAxle
    center_left_of_center: CenterLeftOfCenter


def weighing(
    *,
    left_front_mass: LeftFrontMass,
    right_front_mass: RightFrontMass,
    left_rear_mass: LeftRearMass,
    right_rear_mass: RightRearMass,
    wheelbase: Wheelbase,
    track_front: TrackFront,
    track_rear: TrackRear,
    front_axle_rating: FrontAxleRating | None = None,  # noqa: ARG001 - the findings compare with it
    rear_axle_rating: RearAxleRating | None = None,  # noqa: ARG001 - the findings compare with it
) -> Weighing:
    """Return axle weights, shares and the center of gravity from four scale readings.

    The center of gravity follows from moments about the front axle, and about the middle with each axle's own track.
    Takes single values or arrays that broadcast together; the ratings only serve the findings.

    Raises nothing of its own: each reading must be above zero.
    Valid on level pads, brakes off, driveline without wind-up.
    Source: equilibrium of a body on four supports.

    >>> found = weighing(left_front_mass=668.6, right_front_mass=646.8, left_rear_mass=529.8,
    ...     right_rear_mass=554.3, wheelbase=2.85, track_front=1.64, track_rear=1.66)
    >>> round(found.front_share, 4), round(found.cross_share, 4)
    (0.5482, 0.4904)
    >>> round(found.center_behind_front_axle, 3)
    1.288
    """
    front: Any = left_front_mass + right_front_mass
    rear: Any = left_rear_mass + right_rear_mass
    total = front + rear
    side_moment = (
        (left_front_mass - right_front_mass) * track_front + (left_rear_mass - right_rear_mass) * track_rear
    ) / 2
    return Weighing(
        total_mass=total,
        front_axle_mass=front,
        rear_axle_mass=rear,
        front_share=front / total,
        left_share=(left_front_mass + left_rear_mass) / total,
        cross_share=(left_rear_mass + right_front_mass) / total,
        center_behind_front_axle=wheelbase * rear / total,
        center_left_of_center=side_moment / total,
    )


STEP = Step(
    function=weighing,
    title="Weigh the corners",
    question="Four scale readings: how heavy is each axle, how is the weight shared, and where is its center?",
    job="1",
    sources=(
        Source(key="derivation", where="moments of a body on four supports", flag="derivation"),
        Source(key="iso_8855", where="axes and the names of the corners", flag="memory"),
    ),
    groups={
        "Scales": ("left_front_mass", "right_front_mass", "left_rear_mass", "right_rear_mass"),
        "Vehicle": ("wheelbase", "track_front", "track_rear"),
        "Ratings, if known": ("front_axle_rating", "rear_axle_rating"),
    },
    equations=(
        Equation(result="front_axle_mass", text="left_front_mass + right_front_mass", note="both front pads"),
        Equation(result="rear_axle_mass", text="left_rear_mass + right_rear_mass", note="both rear pads"),
        Equation(result="total_mass", text="front_axle_mass + rear_axle_mass"),
        Equation(result="front_share", text="front_axle_mass / total_mass"),
        Equation(result="left_share", text="(left_front_mass + left_rear_mass) / total_mass"),
        Equation(
            result="cross_share",
            text="(left_rear_mass + right_front_mass) / total_mass",
            note="one diagonal, always the same one",
        ),
        Equation(
            result="center_behind_front_axle",
            text="wheelbase * rear_axle_mass / total_mass",
            note="moments about the front axle",
        ),
        Equation(
            result="center_left_of_center",
            text="((left_front_mass - right_front_mass) * track_front"
            " + (left_rear_mass - right_rear_mass) * track_rear) / (2 * total_mass)",
            note="moments about the middle, each axle with its own track",
        ),
    ),
    example=Example(
        inputs={
            "left_front_mass": "1474 lb",
            "right_front_mass": "1426 lb",
            "left_rear_mass": "1168 lb",
            "right_rear_mass": "1222 lb",
            "wheelbase": "2.850 m",
            "track_front": "1.640 m",
            "track_rear": "1.660 m",
            "front_axle_rating": "1500 kg",
            "rear_axle_rating": "1600 kg",
        },
        expected={
            "total_mass": ("5290 lb", 1e-9),
            "front_axle_mass": ("2900 lb", 1e-9),
            "rear_axle_mass": ("2390 lb", 1e-9),
            "front_share": (2900 / 5290, 1e-9),
            "left_share": (2642 / 5290, 1e-9),
            "cross_share": (2594 / 5290, 1e-9),
            "center_behind_front_axle": (1.28762, 5e-6),
            "center_left_of_center": (-0.0010321, 5e-8),
        },
        source=Source(
            key="derivation",
            where="by hand: 2390/5290 × 2.850 m; (48 × 0.820 m − 54 × 0.830 m)/5290",
            flag="derivation",
        ),
        name="Wren, bare with one person",
    ),
    checks=(
        Check(
            rule="the front axle is within its rating",
            value="front_axle_mass",
            at_most="front_axle_rating",
            holds="The front axle weighs {value}; its rating is {limit}.",
            close="The front axle weighs {value} ± {doubt}, too near its rating of {limit} to be sure.",
            fails="The front axle weighs {value}, more than its rating of {limit}. Take weight off it before anything else.",
        ),
        Check(
            rule="the rear axle is within its rating",
            value="rear_axle_mass",
            at_most="rear_axle_rating",
            holds="The rear axle weighs {value}; its rating is {limit}.",
            close="The rear axle weighs {value} ± {doubt}, too near its rating of {limit} to be sure.",
            fails="The rear axle weighs {value}, more than its rating of {limit}. Take weight off it before anything else.",
        ),
        Check(
            rule="the diagonals share the weight",
            value="cross_share",
            at_least=CROSS_SHARE_SOUND[0],
            at_most=CROSS_SHARE_SOUND[1],
            warns=True,
            source=PRACTICE,
            holds="The diagonal left rear and right front carries {value}: no sign of a bound link or a bent frame.",
            close="The diagonal left rear and right front carries {value}, near the limit of {limit}. "
            "Roll off, roll on and weigh again.",
            fails="The diagonal left rear and right front carries {value}; beyond {limit} look for "
            "a bound link, a bent frame or pads that are not level.",
        ),
        Check(
            rule="left and right are alike",
            value="left_share",
            at_least=0.47,
            at_most=0.53,
            warns=True,
            source=PRACTICE,
            holds="The left side carries {value}, near enough to half for the same springs left and right.",
            close="The left side carries {value}, near the limit of {limit}: the sides want different preload.",
            fails="The left side carries {value}, beyond {limit}: look for weight that can move across, "
            "else the two sides need different preload or springs.",
        ),
    ),
    practice=(
        Practice(
            text="Four pads read: left front {left_front_mass}, right front {right_front_mass}, left rear "
            "{left_rear_mass}, right rear {right_rear_mass}. The wheelbase is {wheelbase}. "
            "How far behind the front axle is the center of gravity?",
            asks="center_behind_front_axle",
            vary=("left_front_mass", "right_front_mass", "left_rear_mass", "right_rear_mass", "wheelbase"),
        ),
        Practice(
            text="Four pads read: left front {left_front_mass}, right front {right_front_mass}, left rear "
            "{left_rear_mass}, right rear {right_rear_mass}. "
            "What share does the diagonal left rear and right front carry?",
            asks="cross_share",
            vary=("left_front_mass", "right_front_mass", "left_rear_mass", "right_rear_mass"),
        ),
    ),
    main=("front_axle_mass", "rear_axle_mass", "cross_share"),
)
