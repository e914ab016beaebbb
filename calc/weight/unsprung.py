"""What the springs of an axle carry: its weight less what rides on the axle itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc.step import Check, Equation, Example, Practice, Refusal, Source, Step
from calc.vocabulary import AxleMass, SprungMass, UnsprungMass, share

_unsprung_share = share.called(
    "Unsprung share of the axle weight", "q_u", "Unsprung weight as a share of the axle weight.", typical=0.26
)


@dataclass(frozen=True, kw_only=True)
class Unsprung:
    """The sprung weight of the axle, and how much of its weight is unsprung."""

    sprung_mass: SprungMass
    unsprung_share: Annotated[float, _unsprung_share]


def unsprung(*, axle_mass: AxleMass, unsprung_mass: UnsprungMass) -> Unsprung:
    """Return the sprung weight of an axle and its unsprung share.

    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the unsprung weight is not less than the axle weight.
    Valid at rest: links, dampers and springs are counted by the share that hangs on the axle.
    Source: definition of sprung and unsprung mass.

    >>> round(unsprung(axle_mass=1315.4, unsprung_mass=342.5).sprung_mass, 1)
    972.9
    """
    STEP.refuse(locals())
    return Unsprung(sprung_mass=axle_mass - unsprung_mass, unsprung_share=unsprung_mass / axle_mass)


STEP = Step(
    function=unsprung,
    title="Sprung and unsprung",
    question="How much of this axle's weight do its springs carry?",
    job="2",
    sources=(
        Source(key="derivation", where="what is on the scales is either sprung or unsprung", flag="derivation"),
        Source(key="iso_8855", where="sprung mass, unsprung mass", flag="memory"),
    ),
    equations=(
        Equation(result="sprung_mass", text="axle_mass - unsprung_mass", note="what both springs carry"),
        Equation(result="unsprung_share", text="unsprung_mass / axle_mass"),
    ),
    refusals=(
        Refusal(
            field="unsprung_mass",
            when="unsprung_mass >= axle_mass",
            problem="Unsprung weight, {unsprung_mass}, is not less than the axle weight, {axle_mass}.",
            allowed="Allowed: 0 and more, and below the axle weight.",
        ),
    ),
    example=Example(
        inputs={"axle_mass": "2900 lb", "unsprung_mass": "755 lb"},
        expected={"sprung_mass": ("2145 lb", 1e-9), "unsprung_share": (755 / 2900, 1e-9)},
        source=Source(key="derivation", where="2900 − 755 and 755/2900, by hand", flag="derivation"),
        name="Wren, front axle",
    ),
    checks=(
        Check(
            rule="the unsprung share is plausible",
            value="unsprung_share",
            at_least=0.10,
            at_most=0.40,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="{value} of the axle weight is unsprung, inside {limits}: no part is plainly left out.",
            close="{value} of the axle weight is unsprung, about at the limit of {limit}: go through the parts again.",
            fails="{value} of the axle weight is unsprung, beyond {limit}: go through the parts again, "
            "or weigh the bare axle with its wheels.",
        ),
    ),
    practice=(
        Practice(
            text="An axle weighs {axle_mass} on the scales, and {unsprung_mass} of that is unsprung. "
            "What do its two springs carry together?",
            asks="sprung_mass",
            vary=("axle_mass", "unsprung_mass"),
        ),
    ),
    main=("sprung_mass", "unsprung_share"),
)
