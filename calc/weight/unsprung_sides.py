"""Unsprung weight of independent wheels: the parts of each side added up on their own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from calc.quantity import Choice, Option, Table, Text
from calc.step import PRACTICE, Check, Equation, Example, Practice, Source, Step, refuse
from calc.vocabulary import Track, UnsprungLeftOfCenter, UnsprungMass, share, unsprung_mass

_LEFT, _RIGHT, _EACH = "left", "right", "each"

_side = Choice(
    label="Side",
    options=(
        Option(_EACH, "one on each side", "Counts once for the left wheel and once for the right one."),
        Option(_LEFT, "left only"),
        Option(_RIGHT, "right only"),
    ),
    typical=_EACH,
    help="Which wheel carries it.",
)
_part_mass = unsprung_mass.called(
    "Weight of one",
    "m_i",
    "One part on a scale, whole; not both sides together.",
    high=1000.0,
    usual=None,
    typical=20.0,
    plus_minus_share=0.03,
)
_counted_share = share.called(
    "Share counted",
    "q_i",
    "How much of it the wheel carries: 100 % when left blank, 50 % for arms, half shafts, dampers and springs.",
    typical=1.0,
)
_wheel = unsprung_mass.called(
    "Unsprung weight of one wheel", "m_u", "", low=0.0, high=1000.0, usual=None, typical=70.0, plus_minus_share=0.0
)


@dataclass(frozen=True, kw_only=True)
class SidePart:
    """One part that a wheel carries, or shares in carrying."""

    label: Annotated[str, Text(label="Part")] = ""
    mass: Annotated[float, _part_mass]
    counted_share: Annotated[float, _counted_share] = 1.0
    side: Annotated[str, _side] = _EACH


_parts = Table(
    label="Parts at the wheels",
    row=SidePart,
    help="What each wheel carries. The final drive is bolted to the body at such an end and is not among them.",
    least=1,
    most=40,
)


@dataclass(frozen=True, kw_only=True)
class UnsprungSides:
    """The unsprung weight of each wheel, of both, and where their common center is."""

    left_unsprung_mass: Annotated[
        float, _wheel.called("Unsprung, left wheel", "m_u,l", "What the left wheel carries itself.")
    ]
    right_unsprung_mass: Annotated[
        float, _wheel.called("Unsprung, right wheel", "m_u,r", "What the right wheel carries itself.")
    ]
    unsprung_mass: UnsprungMass
    unsprung_left_of_center: UnsprungLeftOfCenter


def unsprung_sides(*, parts: Annotated[tuple[SidePart, ...], _parts], track: Track) -> UnsprungSides:
    """Return the unsprung weight of each independent wheel, from its parts.

    Each part counts by the share that the wheel carries at rest. The common center is given for an axle's total: each
    side's weight at its own tire.
    The parts are one table; the track may be an array.

    Raises ContradictionError when one of the wheels carries nothing.
    Valid at rest, for wheels on links of their own: for wheel hop a third of each spring and arm counts instead.
    Source: center of gravity of two bodies.

    >>> found = unsprung_sides(track=1.6, parts=(SidePart(mass=40.0), SidePart(mass=8.0, side="left")))
    >>> found.left_unsprung_mass, found.right_unsprung_mass, round(float(found.unsprung_left_of_center), 4)
    (48.0, 40.0, 0.0727)
    """
    sides = {
        name: sum((part.mass * part.counted_share for part in parts if part.side in (name, _EACH)), 0.0)
        for name in (_LEFT, _RIGHT)
    }
    for name, mass in sides.items():
        refuse(
            mass <= 0,
            "parts",
            f"The {name} wheel carries nothing: no part is counted there.",
            "Allowed: at least one part with a weight and a share above 0 on each side.",
        )
    total = sides[_LEFT] + sides[_RIGHT]
    half: Any = track / 2
    return UnsprungSides(
        left_unsprung_mass=sides[_LEFT],
        right_unsprung_mass=sides[_RIGHT],
        unsprung_mass=total,
        unsprung_left_of_center=half * (sides[_LEFT] - sides[_RIGHT]) / total,
    )


STEP = Step(
    function=unsprung_sides,
    title="Unsprung weight of independent wheels",
    question="Each wheel on its own links: what does the left one carry itself, and what the right one?",
    job="2c",
    sources=(Source(key="derivation", where="center of gravity of two bodies", flag="derivation"),),
    groups={"At the wheels": ("parts",), "Besides": ("track",)},
    equations=(
        Equation(
            result="unsprung_mass",
            text="left_unsprung_mass + right_unsprung_mass",
            note="each side's weights times shares, added; then both sides",
        ),
        Equation(
            result="unsprung_left_of_center",
            text="track / 2 * (left_unsprung_mass - right_unsprung_mass) / unsprung_mass",
            note="each side's weight is at its own tire",
        ),
    ),
    example=Example(
        inputs={
            "parts": (
                {"label": "Wheel and tire", "mass": "46 kg"},
                {"label": "Knuckle, hub, brake", "mass": "26 kg"},
                {"label": "Lower arm", "mass": "12 kg", "counted_share": 0.5},
                {"label": "Upper arm", "mass": "5 kg", "counted_share": 0.5},
                {"label": "Half shaft", "mass": "9 kg", "counted_share": 0.5},
                {"label": "Damper and spring", "mass": "14 kg", "counted_share": 0.5},
                {"label": "Steering rod with damper", "mass": "6 kg", "counted_share": 0.5, "side": _LEFT},
            ),
            "track": "1.640 m",
        },
        expected={
            "left_unsprung_mass": ("95 kg", 1e-9),
            "right_unsprung_mass": ("92 kg", 1e-9),
            "unsprung_mass": ("187 kg", 1e-9),
            "unsprung_left_of_center": ("13.155 mm", 0.0005),
        },
        source=Source(
            key="derivation",
            where="by hand: 72 kg whole, half of 40 kg, and half of 6 kg on the left; 820 mm × 3/187",
            flag="derivation",
        ),
        name="an invented end; Wren has solid axles",
    ),
    checks=(
        Check(
            rule="the sides are alike",
            value="absolute(left_unsprung_mass - right_unsprung_mass)",
            of=unsprung_mass.called("Difference between the sides", "Δm_u"),
            at_most=0.1,
            times="unsprung_mass / 2",
            warns=True,
            source=PRACTICE,
            holds="The left wheel carries {left_unsprung_mass} itself and the right one {right_unsprung_mass}: alike.",
            fails="The left wheel carries {left_unsprung_mass} itself and the right one {right_unsprung_mass}: more than "
            "{share} of their mean apart. Check that each part is on its side.",
        ),
    ),
    practice=(
        Practice(
            text="The wheels and tires of the worked example are swapped for ones that weigh {parts.0.mass} each. What does "
            "the left wheel carry itself now?",
            asks="left_unsprung_mass",
            vary=("parts.0.mass",),
        ),
    ),
    main=("left_unsprung_mass", "right_unsprung_mass", "unsprung_mass"),
)
