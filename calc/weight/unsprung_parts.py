"""Unsprung weight added up from parts, with the place of its center across the vehicle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc import units
from calc.quantity import Quantity, Table, Text
from calc.step import Check, Equation, Example, Practice, Source, Step, refuse
from calc.vocabulary import LeftOfCenter, UnsprungLeftOfCenter, UnsprungMass, share

_part_mass = Quantity(
    label="Whole weight",
    symbol="m_i",
    kind=units.MASS,
    low=0.0,
    high=1000.0,
    typical=40.0,
    help="The part on a scale, whole; both sides together if there are two.",
    plus_minus_share=0.03,
)
_counted_share = share.called(
    "Share counted",
    "q_i",
    "How much of it the axle carries: 100 % when left blank, 50 % for links, dampers, springs and a shaft.",
    typical=1.0,
)
_side_moment = Quantity(
    label="Side moment of the parts",
    symbol="S",
    kind=units.MASS_MOMENT,
    low=-4000.0,
    high=4000.0,
    typical=-20.0,
    help="Every counted weight times its distance left of center, added; negative to the right.",
)


@dataclass(frozen=True, kw_only=True)
class Part:
    """One part that the axle carries, or shares in carrying."""

    label: Annotated[str, Text(label="Part")] = ""
    mass: Annotated[float, _part_mass]
    counted_share: Annotated[float, _counted_share] = 1.0
    left_of_center: LeftOfCenter = 0.0


Parts = Annotated[
    tuple[Part, ...],
    Table(
        label="Parts of the axle",
        row=Part,
        help="What the axle carries. A part in the middle of the vehicle, or the same on both sides, needs no distance.",
        least=1,
        most=40,
    ),
]


@dataclass(frozen=True, kw_only=True)
class UnsprungParts:
    """The unsprung weight of the axle, and where its center is."""

    unsprung_mass: UnsprungMass
    side_moment: Annotated[float, _side_moment]
    unsprung_left_of_center: UnsprungLeftOfCenter


def unsprung_parts(*, parts: Parts) -> UnsprungParts:
    """Return an axle's unsprung weight and the place of its center, from its parts.

    Each part counts by the share that the axle carries at rest, at its own place across the vehicle.

    Raises ContradictionError when no part is counted.
    Valid at rest: for wheel hop a third of each spring and link counts instead.
    Source: center of gravity of several bodies.

    >>> found = unsprung_parts(parts=(
    ...     Part(label="housing", mass=118.0, left_of_center=-0.174),
    ...     Part(label="links", mass=24.0, counted_share=0.5)))
    >>> found.unsprung_mass, round(found.unsprung_left_of_center, 4)
    (130.0, -0.1579)
    """
    mass = sum((part.mass * part.counted_share for part in parts), 0.0)
    moment = sum((part.mass * part.counted_share * part.left_of_center for part in parts), 0.0)
    refuse(
        mass <= 0,
        "parts",
        "No part is counted: the whole weights times the shares add up to zero.",
        "Allowed: at least one part with a weight and a share above 0.",
    )
    return UnsprungParts(unsprung_mass=mass, side_moment=moment, unsprung_left_of_center=moment / mass)


STEP = Step(
    function=unsprung_parts,
    title="Unsprung weight from parts",
    question="Part by part: what does this axle carry itself, and how far off center is it?",
    job="2b",
    sources=(Source(key="derivation", where="center of gravity of several bodies", flag="derivation"),),
    equations=(
        Equation(
            result="unsprung_left_of_center",
            text="side_moment / unsprung_mass",
            note="weights times shares times distances, over weights times shares",
        ),
    ),
    example=Example(
        inputs={
            "parts": (
                {"label": "Housing and gears", "mass": "118 kg", "left_of_center": "-0.174 m"},
                {"label": "Shafts and joints", "mass": "27 kg"},
                {"label": "Knuckles, hubs, brakes", "mass": "62 kg"},
                {"label": "Wheels and tires", "mass": "92 kg"},
                {"label": "Steering links", "mass": "9 kg"},
                {"label": "Suspension links", "mass": "24 kg", "counted_share": 0.5},
                {"label": "Track bar", "mass": "6 kg", "counted_share": 0.5},
                {"label": "Dampers", "mass": "21 kg", "counted_share": 0.5},
                {"label": "Springs", "mass": "18 kg", "counted_share": 0.5},
            ),
        },
        expected={
            "unsprung_mass": (342.5, 1e-9),
            "side_moment": (-20.532, 1e-9),
            "unsprung_left_of_center": (-0.0599474, 5e-8),
        },
        source=Source(
            key="derivation",
            where="by hand: 308 kg whole and 69 kg by half; 118 kg × 0.174 m over 342.5 kg",
            flag="derivation",
        ),
        name="Wren, front axle",
    ),
    checks=(
        Check(
            rule="the center is plausible",
            value="unsprung_left_of_center",
            at_least=-0.15,
            at_most=0.15,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The unsprung center is at {value}, left being positive: a gear case off to one side gives as much.",
            close="The unsprung center is at {value}, left being positive, near the limit of {limit}: check sides and signs.",
            fails="The unsprung center is at {value}, left being positive, beyond {limit}: "
            "check the distances, and that right of center is entered as negative.",
        ),
    ),
    practice=(
        Practice(
            text="The housing of the worked example is swapped for one that weighs {parts.0.mass} with its gears, its "
            "center {parts.0.left_of_center} left of the middle (negative is right). The other parts stay. "
            "How far left of center is the unsprung center now?",
            asks="unsprung_left_of_center",
            vary=("parts.0.mass", "parts.0.left_of_center"),
        ),
    ),
    main=("unsprung_mass", "unsprung_left_of_center"),
)
