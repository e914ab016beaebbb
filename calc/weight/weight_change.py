"""New corner weights when things go on or come off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from calc import units
from calc.quantity import Choice, Option, Quantity, Table, Text
from calc.step import PRACTICE, Check, Equation, Example, Practice, Source, Step, refuse
from calc.vocabulary import (
    BehindFrontAxle,
    CrossShare,
    FrontAxleRating,
    ItemMass,
    LeftFrontMass,
    LeftOfCenter,
    LeftRearMass,
    RearAxleRating,
    RightFrontMass,
    RightRearMass,
    TrackFront,
    TrackRear,
    Wheelbase,
    axle_mass,
    corner_mass,
    share,
    total_mass,
)

_change = Quantity(
    label="Change",
    symbol="Δm",
    kind=units.MASS,
    low=-8000.0,
    high=8000.0,
    typical=100.0,
    help="Positive when it grew, negative when it shrank.",
)
_side_moment = Quantity(
    label="Side moment of the items",
    symbol="S",
    kind=units.MASS_MOMENT,
    low=-20000.0,
    high=20000.0,
    typical=-20.0,
    help="Every weight times its distance left of center, added; negative to the right.",
)
_front_difference = _change.called("Left less right, front", "d_F", "Left front less right front, afterwards.")
_diagonal_difference = _change.called(
    "One diagonal less the other", "d_x", "Left rear and right front, less left front and right rear, afterwards."
)
_shift = share.called(
    "Change of cross weight on its springs",
    "Δq_x,s",
    "From the rig page, where the springs are known: cross weight at rest with the new load, less that without it. "
    "Zero while it is not known: then the measured share is kept.",
    low=-0.3,
    high=0.3,
    typical=0.0,
    assumed=0.0,
    plus_minus=0.0,
)
_rear_difference = _change.called("Left less right, rear", "d_R", "Left rear less right rear, afterwards.")

carried = Choice(
    label="Carried by",
    options=(
        Option("sprung", "the springs", "Anything on the body or frame."),
        Option("front axle", "the front axle", "Anything on the axle itself: housing, wheels, tires, brakes."),
        Option("rear axle", "the rear axle", "Anything on the axle itself: housing, wheels, tires, brakes."),
    ),
    typical="sprung",
    help="What is bolted to an axle loads its tires and not its springs.",
)


@dataclass(frozen=True, kw_only=True)
class Item:
    """One thing that goes on (positive) or comes off (negative)."""

    label: Annotated[str, Text(label="Item")] = ""
    mass: ItemMass
    behind_front_axle: BehindFrontAxle | None = None
    left_of_center: LeftOfCenter = 0.0
    carried: Annotated[str, carried] = "sprung"


item_table = Table(
    label="What goes on or comes off",
    row=Item,
    help="Weight, and the position of its center. What an axle carries needs no position along the vehicle.",
    least=0,
    most=60,
)
Items = Annotated[tuple[Item, ...], item_table]


@dataclass(frozen=True, kw_only=True)
class WeightChange:
    """The corners, axles and total afterwards, and what changed on each axle."""

    left_front_mass_after: Annotated[float, corner_mass.called("Left front after", "m_LF,after")]
    right_front_mass_after: Annotated[float, corner_mass.called("Right front after", "m_RF,after")]
    left_rear_mass_after: Annotated[float, corner_mass.called("Left rear after", "m_LR,after")]
    right_rear_mass_after: Annotated[float, corner_mass.called("Right rear after", "m_RR,after")]
    front_axle_mass_after: Annotated[float, axle_mass.called("Front axle after", "m_F,after")]
    rear_axle_mass_after: Annotated[float, axle_mass.called("Rear axle after", "m_R,after")]
    total_mass_after: Annotated[float, total_mass.called("Total after", "m_after")]
    front_axle_mass_change: Annotated[float, _change.called("Change on the front axle", "Δm_F")]
    rear_axle_mass_change: Annotated[float, _change.called("Change on the rear axle", "Δm_R")]
    front_unsprung_mass_change: Annotated[float, _change.called("Change unsprung, front", "Δm_u,F")]
    rear_unsprung_mass_change: Annotated[float, _change.called("Change unsprung, rear", "Δm_u,R")]
    side_moment_change: Annotated[float, _side_moment]
    cross_share: CrossShare


def weight_change(
    *,
    left_front_mass: LeftFrontMass,
    right_front_mass: RightFrontMass,
    left_rear_mass: LeftRearMass,
    right_rear_mass: RightRearMass,
    wheelbase: Wheelbase,
    track_front: TrackFront,
    track_rear: TrackRear,
    items: Items,
    cross_share_shift: Annotated[float, _shift] = 0.0,
    front_axle_rating: FrontAxleRating | None = None,  # noqa: ARG001 - the findings compare with it
    rear_axle_rating: RearAxleRating | None = None,  # noqa: ARG001 - the findings compare with it
) -> WeightChange:
    """Return the corner weights after items have gone on or come off.

    Axle totals and the moment about the middle of the vehicle are exact. Four supports under one body leave one
    unknown, how the diagonals share: the whole rig solved on its springs tells by how much their share changes; where
    that is not known the measured share is kept.
    What an axle carries counts at its place along the vehicle where one is given, else at that axle.
    The four readings, the wheelbase and the tracks may be arrays that broadcast together.

    Raises ContradictionError when a sprung item has no place, or when a corner would carry nothing.
    Valid for the vehicle level, as weighed.
    Source: equilibrium of a body on four supports, worked out on the page.

    >>> found = weight_change(left_front_mass=668.6, right_front_mass=646.8, left_rear_mass=529.8,
    ...     right_rear_mass=554.3, wheelbase=2.85, track_front=1.64, track_rear=1.66,
    ...     items=(Item(label="tools", mass=135.0, behind_front_axle=2.55, left_of_center=0.10),))
    >>> round(found.front_axle_mass_change, 2), round(found.rear_axle_mass_change, 2)
    (14.21, 120.79)
    """
    # Over 60 lines: the moments of all items, then the four corners: one balance, its results one to a line.
    front_change: Any = 0.0
    rear_change: Any = 0.0
    side_moment = 0.0
    unsprung = {"front axle": 0.0, "rear axle": 0.0}
    for index, item in enumerate(items):
        place: Any = item.behind_front_axle
        refuse(
            item.carried == "sprung" and place is None,
            f"items.{index}.behind_front_axle",
            f"Item {index + 1} is carried by the springs, and its position behind the front axle is missing.",
            "Allowed: a distance from the front wheel centers, negative ahead of them.",
        )
        if item.carried != "sprung":
            unsprung[item.carried] += item.mass
        if place is None:
            place = wheelbase if item.carried == "rear axle" else 0.0
        rear_part = item.mass * place / wheelbase
        rear_change = rear_change + rear_part
        front_change = front_change + (item.mass - rear_part)
        side_moment += item.mass * item.left_of_center
    before = left_front_mass + right_front_mass + left_rear_mass + right_rear_mass
    cross_share = (left_rear_mass + right_front_mass) / before + cross_share_shift
    front = left_front_mass + right_front_mass + front_change
    rear = left_rear_mass + right_rear_mass + rear_change
    total = front + rear
    # Left less right at each axle: their moments add up, and the share of the diagonal ties one to the other.
    twist = (2 * cross_share - 1) * total
    front_difference = (
        track_front * (left_front_mass - right_front_mass)
        + track_rear * (left_rear_mass - right_rear_mass)
        + 2 * side_moment
        - track_rear * twist
    ) / (track_front + track_rear)
    rear_difference = front_difference + twist
    after = {
        "left_front_mass": (front + front_difference) / 2,
        "right_front_mass": (front - front_difference) / 2,
        "left_rear_mass": (rear + rear_difference) / 2,
        "right_rear_mass": (rear - rear_difference) / 2,
    }
    for name, mass in after.items():
        refuse(
            mass <= 0,
            "items",
            f"These items together would leave nothing on the {name.removesuffix('_mass').replace('_', ' ')} tire "
            "(it would carry {mass}).",
            "Allowed: items that leave weight on every tire. Check the signs and the positions.",
            mass=(mass, _change),
        )
    return WeightChange(
        left_front_mass_after=after["left_front_mass"],
        right_front_mass_after=after["right_front_mass"],
        left_rear_mass_after=after["left_rear_mass"],
        right_rear_mass_after=after["right_rear_mass"],
        front_axle_mass_after=front,
        rear_axle_mass_after=rear,
        total_mass_after=total,
        front_axle_mass_change=front_change,
        rear_axle_mass_change=rear_change,
        front_unsprung_mass_change=unsprung["front axle"],
        rear_unsprung_mass_change=unsprung["rear axle"],
        side_moment_change=side_moment,
        cross_share=cross_share,
    )


STEP = Step(
    function=weight_change,
    title="Weight change",
    question="These things go on and those come off: what will each corner weigh?",
    job="3b",
    sources=(Source(key="derivation", where="moments of a body on four supports", flag="derivation"),),
    groups={
        "Scales, before": ("left_front_mass", "right_front_mass", "left_rear_mass", "right_rear_mass"),
        "Vehicle": ("wheelbase", "track_front", "track_rear"),
        "On and off": ("items",),
        "Springs, if known": ("cross_share_shift",),
        "Ratings, if known": ("front_axle_rating", "rear_axle_rating"),
    },
    equations=(
        Equation(
            result="front_axle_mass_after",
            text="left_front_mass + right_front_mass + front_axle_mass_change",
            note="an item behind the front axle loads it by what is left of the wheelbase behind the item",
        ),
        Equation(
            result="rear_axle_mass_after",
            text="left_rear_mass + right_rear_mass + rear_axle_mass_change",
            note="and the rear axle by the rest: weight × position ÷ wheelbase, added over the items",
        ),
        Equation(result="total_mass_after", text="front_axle_mass_after + rear_axle_mass_after"),
        Equation(
            result="total_mass_before",
            text="left_front_mass + right_front_mass + left_rear_mass + right_rear_mass",
            quantity=total_mass.called("Total before", "m_before"),
        ),
        Equation(
            result="cross_share",
            text="(left_rear_mass + right_front_mass) / total_mass_before + cross_share_shift",
            note="as weighed and kept, but for what the springs are known to change",
        ),
        Equation(
            result="front_difference_before",
            text="left_front_mass - right_front_mass",
            quantity=_change.called("Left less right, front, before", "d_F,before"),
        ),
        Equation(
            result="rear_difference_before",
            text="left_rear_mass - right_rear_mass",
            quantity=_change.called("Left less right, rear, before", "d_R,before"),
        ),
        Equation(
            result="diagonal_difference",
            text="(rear_difference_before - front_difference_before) * total_mass_after / total_mass_before "
            "+ 2 * cross_share_shift * total_mass_after",
            note="one diagonal less the other, which grows with the total",
            quantity=_diagonal_difference,
        ),
        Equation(
            result="side_moment_after",
            text="(track_front * front_difference_before + track_rear * rear_difference_before) / 2 + side_moment_change",
            note="moments about the middle",
            quantity=_side_moment.called("Side moment of the whole", "S_after", "Left positive."),
        ),
        Equation(
            result="front_difference",
            text="(2 * side_moment_after - track_rear * diagonal_difference) / (track_front + track_rear)",
            note="both axles share the moment, each with its own track",
            quantity=_front_difference,
        ),
        Equation(
            result="rear_difference",
            text="front_difference + diagonal_difference",
            note="what the diagonals leave for the rear",
            quantity=_rear_difference,
        ),
        Equation(result="left_front_mass_after", text="(front_axle_mass_after + front_difference) / 2"),
        Equation(result="right_front_mass_after", text="(front_axle_mass_after - front_difference) / 2"),
        Equation(result="left_rear_mass_after", text="(rear_axle_mass_after + rear_difference) / 2"),
        Equation(result="right_rear_mass_after", text="(rear_axle_mass_after - rear_difference) / 2"),
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
            "items": (
                {
                    "label": "Second person",
                    "mass": "85 kg",
                    "behind_front_axle": "1.45 m",
                    "left_of_center": "-0.38 m",
                    "carried": "sprung",
                },
                {
                    "label": "Tools",
                    "mass": "135 kg",
                    "behind_front_axle": "2.55 m",
                    "left_of_center": "0.10 m",
                    "carried": "sprung",
                },
            ),
            "front_axle_rating": "1500 kg",
            "rear_axle_rating": "1600 kg",
        },
        expected={
            "front_axle_mass_change": (55.96491, 5e-6),
            "rear_axle_mass_change": (164.03509, 5e-6),
            "side_moment_change": (-18.8, 1e-9),
            "cross_share": (2594 / 5290, 1e-9),
            "total_mass_after": (2619.50364, 5e-6),
            "front_axle_mass_after": (1371.38279, 5e-6),
            "rear_axle_mass_after": (1248.12085, 5e-6),
            "left_front_mass_after": (691.94756, 5e-6),
            "right_front_mass_after": (679.43523, 5e-6),
            "left_rear_mass_after": (605.06240, 5e-6),
            "right_rear_mass_after": (643.05845, 5e-6),
            "front_unsprung_mass_change": (0.0, 0.0),
            "rear_unsprung_mass_change": (0.0, 0.0),
        },
        source=Source(
            key="derivation",
            where="four equations (total, moments along and across, diagonal share) solved apart from this handbook",
            flag="derivation",
        ),
        name="Wren, crew of two with tools",
    ),
    checks=(
        Check(
            rule="the front axle stays within its rating",
            value="front_axle_mass_after",
            at_most="front_axle_rating",
            holds="The front axle will weigh {value}; its rating is {limit}.",
            close="The front axle will weigh {value} ± {doubt}, too near its rating of {limit} to be sure.",
            fails="The front axle will weigh {value}, more than its rating of {limit}. Leave something off, or move it back.",
        ),
        Check(
            rule="the rear axle stays within its rating",
            value="rear_axle_mass_after",
            at_most="rear_axle_rating",
            holds="The rear axle will weigh {value}; its rating is {limit}.",
            close="The rear axle will weigh {value} ± {doubt}, too near its rating of {limit} to be sure.",
            fails="The rear axle will weigh {value}, more than its rating of {limit}. "
            "Leave something off, or move it forward.",
        ),
        Check(
            rule="the diagonal kept from the scales is plausible",
            value="cross_share",
            at_least=0.45,
            at_most=0.55,
            warns=True,
            source=PRACTICE,
            holds="The diagonal is taken at {value}, from the scales and what the springs are known to change. The springs "
            "fitted later will set their own.",
            close="The diagonal is taken at {value}, near the limit of {limit}. Trust the axle weights more than the corners.",
            fails="The diagonal is taken at {value}, beyond {limit}: the corners carry that twist. "
            "Trust the axle weights only.",
        ),
        Check(
            rule="the change is moderate",
            value="absolute(front_axle_mass_change) + absolute(rear_axle_mass_change)",
            of=_change,
            at_most=0.3,
            times="total_mass_after - front_axle_mass_change - rear_axle_mass_change",
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The change is moderate: weigh again once it is done, and order from these numbers only if you must.",
            fails="The change is more than {share} of the vehicle: estimated positions add up to a large uncertainty. "
            "Weigh again before ordering springs.",
        ),
    ),
    practice=(
        Practice(
            text="To Wren as weighed in the worked example come the second person, who weighs {items.0.mass} and sits "
            "{items.0.behind_front_axle} behind the front axle, and tools of {items.1.mass} at "
            "{items.1.behind_front_axle}. What does the rear axle weigh then?",
            asks="rear_axle_mass_after",
            vary=("items.0.mass", "items.0.behind_front_axle", "items.1.mass", "items.1.behind_front_axle"),
        ),
    ),
    main=("front_axle_mass_after", "rear_axle_mass_after"),
)
