"""Damper length against its mounts, articulated, at both ends of the travel; and the limit strap that ends the droop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc import vocabulary
from calc.limits import BUMP_MARGIN, BY_NAME, DROOP_MARGIN
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step
from calc.units import INCH
from calc.vocabulary import CollapsedLength, ExtendedLength, damper_length, share, stroke

_MOST_STRETCH = 0.08
_spare = vocabulary.length.called
_margin = vocabulary.length.called("Margin", low=0.0, high=4 * INCH, usual=(0.05 * INCH, 3 * INCH), typical=0.5 * INCH)


@dataclass(frozen=True, kw_only=True)
class DamperFit:
    """What is spare at both ends, what damper the mounts ask for, and how long the strap is cut."""

    bump_spare: Annotated[
        float, _spare("Spare at bump", "e_b", "Mounts less collapsed length, the bump stop solid, articulated.")
    ]
    droop_spare: Annotated[
        float, _spare("Spare at droop", "e_d", "Extended length less mounts, at the wanted droop, articulated.")
    ]
    stroke: Annotated[float, stroke.within(low=0.0, high=2.0)]
    usable_stroke: Annotated[
        float,
        stroke.called(
            "Usable stroke", "h_u", "Between the mounts at droop and at bump.", plus_minus=0.0, low=0.0, high=3.0
        ),
    ]
    stroke_needed: Annotated[
        float,
        stroke.called("Stroke needed", "h_n", "Usable stroke and both margins.", plus_minus=0.0, low=0.0, high=3.0),
    ]
    longest_collapsed: Annotated[
        float,
        damper_length.called(
            "Collapsed length, at most", "L_col,max", "What still leaves the margin at bump.", low=0.0, high=3.0
        ),
    ]
    shortest_extended: Annotated[
        float,
        damper_length.called(
            "Extended length, at least", "L_ext,min", "What still leaves the margin at droop.", low=0.0, high=3.0
        ),
    ]
    strap_length: (
        Annotated[
            float, vocabulary.length.called("Strap, unstretched", "L_s", "Bolt to bolt, lying straight and slack.")
        ]
        | None
    )
    strap_overreach: (
        Annotated[
            float,
            vocabulary.length.called(
                "Extra droop with the strap stretched",
                "ΔL_s",
                "Beyond the wanted droop, when it stretches by 8 %.",
                low=-1.0,
            ),
        ]
        | None
    )
    strapped_spare: (
        Annotated[
            float,
            _spare(
                "Spare at droop, strap at its longest", "e_s", "With the strap stretched by 8 %, beside the damper."
            ),
        ]
        | None
    )


def length(
    *,
    extended_length: ExtendedLength,
    collapsed_length: CollapsedLength,
    length_at_bump: Annotated[
        float,
        damper_length.called(
            "Mounts, bump stop solid",
            "L_b",
            "Eye to eye on the rig with its bump stop solid, the other wheel hanging: the shorter of what you can make.",
            typical=19.6 * INCH,
        ),
    ],
    length_at_droop: Annotated[
        float,
        damper_length.called(
            "Mounts, full droop",
            "L_d",
            "Eye to eye at the droop that is wanted, the other wheel up on its stop: the longer of what you can make.",
            typical=30.7 * INCH,
        ),
    ],
    bump_margin: Annotated[
        float,
        _margin.called(
            "Margin at bump",
            "e_b,w",
            "What must stay between the damper and its collapsed end.",
            assumed=BUMP_MARGIN,
        ),
    ] = BUMP_MARGIN,
    droop_margin: Annotated[
        float,
        _margin.called(
            "Margin at droop",
            "e_d,w",
            "What must stay between the damper and its extended end.",
            typical=0.25 * INCH,
            assumed=DROOP_MARGIN,
        ),
    ] = DROOP_MARGIN,
    strap_distance: Annotated[
        float,
        damper_length.called(
            "Strap ends, at full droop",
            "D_s",
            "Bolt to bolt where the strap will be, at the droop that is wanted, articulated.",
            low=2 * INCH,
            usual=(4 * INCH, 50 * INCH),
            typical=22 * INCH,
        ),
    ]
    | None = None,
    strap_stretch: Annotated[
        float,
        share.called(
            "Stretch of the strap",
            "q_s",
            "How much longer it gets when an axle hangs in it: 5 to 8 % of its length.",
            high=0.3,
            typical=0.065,
            assumed=0.065,
        ),
    ] = 0.065,
) -> DamperFit:
    """Return what a damper has to spare at both ends of the travel, and the length of its limit strap.

    The mounts are judged articulated, where they come closest and go furthest apart.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the damper or its mounts are longer at bump than at droop.
    Valid for a strap beside the damper, so that both stretch alike; elsewhere the strap's share of the travel counts.
    Source: differences of lengths; margins and stretch are common practice.

    >>> found = length(extended_length=0.80, collapsed_length=0.50, length_at_bump=0.52, length_at_droop=0.78)
    >>> round(found.bump_spare, 3), round(found.droop_spare, 3), round(found.usable_stroke, 3)
    (0.02, 0.02, 0.26)
    """
    # Over 60 lines: most of them declare and explain its inputs, one to a line.
    STEP.refuse(locals())
    usable = length_at_droop - length_at_bump
    droop_spare = extended_length - length_at_droop
    strap = None if strap_distance is None else strap_distance / (1 + strap_stretch)
    over = None if strap is None or strap_distance is None else strap * (1 + _MOST_STRETCH) - strap_distance
    return DamperFit(
        bump_spare=length_at_bump - collapsed_length,
        droop_spare=droop_spare,
        stroke=extended_length - collapsed_length,
        usable_stroke=usable,
        stroke_needed=usable + bump_margin + droop_margin,
        longest_collapsed=length_at_bump - bump_margin,
        shortest_extended=length_at_droop + droop_margin,
        strap_length=strap,
        strap_overreach=over,
        strapped_spare=None if over is None else droop_spare - over,
    )


STEP = Step(
    function=length,
    title="Damper length and limit strap",
    question="Does this damper fit between its mounts at both ends of the travel, and how long must a strap be to protect it?",
    job="7d",
    sources=(
        Source(key="derivation", where="differences of lengths", flag="derivation"),
        PRACTICE,
    ),
    groups={
        "Damper": ("extended_length", "collapsed_length"),
        "Mounts, articulated": ("length_at_bump", "length_at_droop"),
        "Margins": ("bump_margin", "droop_margin"),
        "Limit strap, if any": ("strap_distance", "strap_stretch"),
    },
    equations=(
        Equation(result="bump_spare", text="length_at_bump - collapsed_length", note="stop solid"),
        Equation(result="droop_spare", text="extended_length - length_at_droop", note="at the wanted droop"),
        Equation(result="stroke", text="extended_length - collapsed_length", note="what the damper has"),
        Equation(result="usable_stroke", text="length_at_droop - length_at_bump", note="what the mounts use"),
        Equation(result="stroke_needed", text="usable_stroke + bump_margin + droop_margin"),
        Equation(result="longest_collapsed", text="length_at_bump - bump_margin", note="for choosing another damper"),
        Equation(result="shortest_extended", text="length_at_droop + droop_margin", note="for choosing another damper"),
        Equation(
            result="strap_length",
            text="strap_distance / (1 + strap_stretch)",
            note="it is cut short by what it stretches",
        ),
        Equation(
            result="strap_overreach",
            text=f"strap_length * {1 + _MOST_STRETCH:g} - strap_distance",
            note=f"should it stretch by {100 * _MOST_STRETCH:g} %",
        ),
        Equation(result="strapped_spare", text="droop_spare - strap_overreach"),
    ),
    refusals=(
        Refusal(
            field="collapsed_length",
            when="collapsed_length >= extended_length",
            problem="The damper is {collapsed_length} long collapsed and {extended_length} extended.",
            allowed="Allowed: collapsed shorter than extended.",
        ),
        Refusal(
            field="length_at_bump",
            when="length_at_bump >= length_at_droop",
            problem="The mounts are {length_at_bump} apart with the stop solid and {length_at_droop} at droop.",
            allowed="Allowed: closer together at bump; check that the two are not swapped.",
        ),
    ),
    example=Example(
        inputs={
            "extended_length": "31 in",
            "collapsed_length": "19 in",
            "length_at_bump": "19.6 in",
            "length_at_droop": "30.4 in",
            "bump_margin": "0.5 in",
            "droop_margin": "0.25 in",
            "strap_distance": "21.3 in",
            "strap_stretch": "6.5 %",
        },
        expected={
            "bump_spare": ("0.6 in", 1e-9),
            "droop_spare": ("0.6 in", 1e-9),
            "usable_stroke": ("10.8 in", 1e-9),
            "stroke_needed": ("11.55 in", 1e-9),
            "strap_length": ("20 in", 1e-9),
            "strap_overreach": ("0.3 in", 1e-9),
            "strapped_spare": ("0.3 in", 1e-9),
        },
        source=Source(key="derivation", where="by hand: 21.3/1.065 = 20.0, and 20.0 × 1.08 = 21.6", flag="derivation"),
        name="Wren, front",
    ),
    checks=(
        BY_NAME["stop"].check,
        BY_NAME["strap"].check,
        Check(
            rule="the stroke is enough",
            value="stroke",
            at_least="stroke_needed",
            holds="The stroke, {value}, covers what the mounts use and both margins, {limit}.",
            close="The stroke, {value}, barely covers what the mounts use and both margins, {limit}.",
            fails="The stroke, {value}, is less than what the mounts use and both margins, {limit}: no mount makes this "
            "damper fit.",
        ),
        BY_NAME["strap_stretch"].check,
    ),
    practice=(
        Practice(
            text="The bolts of a strap are {strap_distance} apart at the droop that is wanted, and it stretches by "
            "{strap_stretch}. How long is it cut?",
            asks="strap_length",
            vary=("strap_distance", "strap_stretch"),
        ),
        Practice(
            text="With the stop solid the mounts are {length_at_bump} apart, at full droop {length_at_droop}. With the "
            "margins of the worked example, what stroke is needed?",
            asks="stroke_needed",
            vary=("length_at_bump", "length_at_droop"),
        ),
    ),
    main=("bump_spare", "droop_spare", "strap_length"),
)
