"""The first answer: how much stiffer the same springs must be after a weight change."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc import units
from calc.quantity import Quantity
from calc.step import Check, Equation, Example, Practice, Refusal, Source, Step
from calc.vocabulary import (
    AxleMassAfter,
    AxleMassBefore,
    UnsprungMassAfter,
    UnsprungMassBefore,
    sprung_mass,
)

_load_ratio = Quantity(
    label="Factor for rates and damper forces",
    symbol="r",
    kind=units.RATIO,
    low=0.0,
    low_open=True,
    high=20.0,
    typical=1.2,
    help="The factor for the spring rates and the damper forces of this axle.",
)


@dataclass(frozen=True, kw_only=True)
class RescaledRate:
    """The factor, and the two sprung weights that it compares."""

    load_ratio: Annotated[float, _load_ratio]
    sprung_mass_before: Annotated[float, sprung_mass.called("Sprung weight before", "m_s,before")]
    sprung_mass_after: Annotated[float, sprung_mass.called("Sprung weight after", "m_s,after")]


def rescaled_rate(
    *,
    axle_mass_before: AxleMassBefore,
    unsprung_mass_before: UnsprungMassBefore,
    axle_mass_after: AxleMassAfter,
    unsprung_mass_after: UnsprungMassAfter,
) -> RescaledRate:
    """Return the factor by which an axle's spring rates and damper forces must grow to keep a ride that was liked.

    With the same mounts, lengths, preload and ring, every part of the wheel rate and the load scale together, so
    height, body frequency, sag, crossover and damping ratio stay, and the motion ratio cancels.
    Tire in series, gas force and solid length do not scale.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when an axle would weigh no more than its unsprung weight.
    Valid for the same mounts only: new brackets end it.
    Source: statics, worked out on the page.

    >>> round(rescaled_rate(axle_mass_before=1112.7, unsprung_mass_before=247.7,
    ...     axle_mass_after=1315.4, unsprung_mass_after=342.5).load_ratio, 3)
    1.125
    """
    STEP.refuse(locals())
    before = axle_mass_before - unsprung_mass_before
    after = axle_mass_after - unsprung_mass_after
    return RescaledRate(load_ratio=after / before, sprung_mass_before=before, sprung_mass_after=after)


STEP = Step(
    function=rescaled_rate,
    title="Rescaled rate",
    question="The axle got heavier and the ride was fine before: by what factor must its springs and dampers grow?",
    job="3a",
    sources=(Source(key="derivation", where="both parts of the wheel rate scale with the load", flag="derivation"),),
    equations=(
        Equation(
            result="sprung_mass_before",
            text="axle_mass_before - unsprung_mass_before",
            note="what the springs carried",
        ),
        Equation(
            result="sprung_mass_after",
            text="axle_mass_after - unsprung_mass_after",
            note="what they carry now",
        ),
        Equation(
            result="load_ratio",
            text="sprung_mass_after / sprung_mass_before",
            note="the motion ratio cancels",
        ),
    ),
    refusals=tuple(
        Refusal(
            field=f"unsprung_mass_{when}",
            when=f"unsprung_mass_{when} >= axle_mass_{when}",
            problem=f"Unsprung weight {when}, {{unsprung_mass_{when}}}, is not less than the axle weight {when}, "
            f"{{axle_mass_{when}}}.",
            allowed="Allowed: 0 and more, and below the axle weight.",
        )
        for when in ("before", "after")
    ),
    example=Example(
        inputs={
            "axle_mass_before": "2453 lb",
            "unsprung_mass_before": "546 lb",
            "axle_mass_after": "2900 lb",
            "unsprung_mass_after": "755 lb",
        },
        expected={"load_ratio": (2145 / 1907, 1e-9)},
        source=Source(key="derivation", where="(2900 - 755) / (2453 - 546), worked by hand", flag="derivation"),
        name="Wren, front axle",
    ),
    checks=(
        Check(
            rule="same ride",
            condition="load_ratio > 0",
            holds="Height, frequency and damping stay as they were, at the same lengths and preload.",
            fails="The axle carries nothing on its springs.",
        ),
        Check(
            rule="within what rescaling can say",
            value="load_ratio",
            at_least=0.6,
            at_most=1.6,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The factor {value} is moderate: tire, gas and solid length change the answer little.",
            fails="The factor {value} is outside {limits}: tire, gas and solid length no longer scale; work through the whole rig.",
        ),
    ),
    practice=(
        Practice(
            text="An axle weighed {axle_mass_before} with {unsprung_mass_before} unsprung. "
            "Now it weighs {axle_mass_after} with {unsprung_mass_after} unsprung. By what factor do its rates grow?",
            asks="load_ratio",
            vary=("axle_mass_before", "unsprung_mass_before", "axle_mass_after", "unsprung_mass_after"),
        ),
    ),
    main=("load_ratio",),
)
