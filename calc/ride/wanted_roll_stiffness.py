"""How much roll stiffness is missing for a wanted roll gradient, what bars would have to add, and what that costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import vocabulary
from calc.constants import GRAVITY
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step
from calc.vocabulary import (
    FrontBarRollStiffness,
    FrontCoilOverRollStiffness,
    FrontSprungMass,
    FrontTireRate,
    RearBarRollStiffness,
    RearCoilOverRollStiffness,
    RearSprungMass,
    RearTireRate,
    TrackFront,
    TrackRear,
    share,
)

_on_tires = vocabulary.coil_over_roll_stiffness.called(
    "Roll stiffness on the tires",
    "K",
    "Coil-overs and bars, in series with the tires.",
    low=0.0,
    high=1e9,
)
_part = _on_tires.called("Roll stiffness", "K", low=-1e9)
_added = vocabulary.bar_roll_stiffness.called("Bar to add", "K_+", low=0.0, high=1e9, assumed=None, typical=5e3)
_left = share.called(
    "Articulation left",
    "q_a",
    "For the same load taken off the hanging tire: how far the axle still turns under the body, of what it did.",
)
# How lopsided the lean may be shared: as the roll step judges it.
_FRONT_SHARE = 0.5


@dataclass(frozen=True, kw_only=True)
class WantedRollStiffness:
    """What is missing for the wanted gradient, on the tires; the bars that give it; and what they cost."""

    needed_roll_stiffness: Annotated[
        float, _on_tires.called("Roll stiffness needed, on the tires", "K_n", "Of both axles together.")
    ]
    missing_roll_stiffness: Annotated[
        float,
        _part.called(
            "Roll stiffness missing, on the tires", "K_m", "Needed less what is there; below zero none is missing."
        ),
    ]
    front_bar_to_add: Annotated[
        float,
        _added.called(
            "Bar to add, front", "K_+F", "Of the body over the axle, besides what is there. The tires give too."
        ),
    ]
    rear_bar_to_add: Annotated[
        float,
        _added.called(
            "Bar to add, rear", "K_+R", "Of the body over the axle, besides what is there. The tires give too."
        ),
    ]
    front_couple_share_with_bars: Annotated[
        float,
        share.called(
            "Front share of the roll couple, with these bars",
            "q_φ+",
            "How much of the lean the front axle then holds up.",
        ),
    ]
    front_articulation_left: Annotated[float, _left.called("Articulation left, front", "q_a,F")]
    rear_articulation_left: Annotated[float, _left.called("Articulation left, rear", "q_a,R")]
    roll_damping_ratio_with_bars: (
        Annotated[
            float,
            vocabulary.damping_ratio.called(
                "Damping ratio in roll, with these bars",
                "ζ_φ+",
                "With the same dampers; tires taken as rigid.",
                high=1e3,
            ),
        ]
        | None
    )


def wanted_roll_stiffness(
    *,
    wanted_roll_gradient: vocabulary.WantedRollGradient,
    front_sprung_mass: FrontSprungMass,
    rear_sprung_mass: RearSprungMass,
    roll_lever: Annotated[float, vocabulary.roll_lever.within(low=0.001)],
    front_coil_over_roll_stiffness: FrontCoilOverRollStiffness,
    rear_coil_over_roll_stiffness: RearCoilOverRollStiffness,
    front_tire_rate: FrontTireRate,
    rear_tire_rate: RearTireRate,
    track_front: TrackFront,
    track_rear: TrackRear,
    front_bar_roll_stiffness: FrontBarRollStiffness = 0.0,
    rear_bar_roll_stiffness: RearBarRollStiffness = 0.0,
    wanted_front_bar_share: vocabulary.WantedFrontBarShare = _FRONT_SHARE,
    roll_damping_ratio: Annotated[
        float,
        vocabulary.damping_ratio.called(
            "Damping ratio in roll",
            "ζ_φ",
            "As it is, without these bars; from the roll step.",
            high=1e3,
        ),
    ]
    | None = None,
) -> WantedRollStiffness:
    """Return the roll stiffness that a wanted roll gradient takes, the bars that would add it, and what they cost.

    The roll gradient is weight times lever over what the stiffness on the tires has left above the weight's leverage; so
    the stiffness follows. What is missing is split between the axles by the stated front share. A bar works over its
    axle, and the axle on its tires, so each bar must be stiffer than its share.
    Takes single values or arrays that broadcast together.

    Raises ContradictionError when the tires of an axle alone are softer in roll than what is asked of it, and when the
    springs do not hold the weight upright without the new bars but with a damping ratio in roll given.
    Valid for springs, bars and tires of constant rate and roll centers that stay.
    Source: moments about the roll axis, springs in series; worked out on the page.

    >>> found = wanted_roll_stiffness(wanted_roll_gradient=0.0178, front_sprung_mass=1028.8, rear_sprung_mass=950.3,
    ...     roll_lever=0.405, front_coil_over_roll_stiffness=14060.0, rear_coil_over_roll_stiffness=14530.0,
    ...     front_tire_rate=260e3, rear_tire_rate=260e3, track_front=1.64, track_rear=1.66)
    >>> round(float(found.missing_roll_stiffness)), round(float(found.front_articulation_left), 2)
    (25410, 0.5)
    """
    # Over 60 lines: most of them declare and explain its inputs, one to a line.
    STEP.refuse(locals())
    leverage: Any = (front_sprung_mass + rear_sprung_mass) * GRAVITY * roll_lever
    needed = leverage * (1.0 + 1.0 / (wanted_roll_gradient * GRAVITY))
    front = _Axle(front_coil_over_roll_stiffness + front_bar_roll_stiffness, front_tire_rate * track_front**2 / 2)
    rear = _Axle(rear_coil_over_roll_stiffness + rear_bar_roll_stiffness, rear_tire_rate * track_rear**2 / 2)
    missing = needed - front.on_tires - rear.on_tires
    asked = np.maximum(missing, 0.0)
    bars = front.bar_for(asked * wanted_front_bar_share), rear.bar_for(asked * (1.0 - wanted_front_bar_share))
    then = [_Axle(axle.springs + bar, axle.tires).on_tires for axle, bar in zip((front, rear), bars, strict=True)]
    damping = None
    if roll_damping_ratio is not None:
        upright = front.springs + rear.springs - leverage
        damping = roll_damping_ratio * np.sqrt(upright / (upright + bars[0] + bars[1]))
    return WantedRollStiffness(
        needed_roll_stiffness=needed,
        missing_roll_stiffness=missing,
        front_bar_to_add=bars[0],
        rear_bar_to_add=bars[1],
        front_couple_share_with_bars=then[0] / (then[0] + then[1]),
        front_articulation_left=front.springs / (front.springs + bars[0]),
        rear_articulation_left=rear.springs / (rear.springs + bars[1]),
        roll_damping_ratio_with_bars=damping,
    )


@dataclass(frozen=True)
class _Axle:
    """Springs and bar over an axle, and the tires under it, each as a roll stiffness."""

    springs: Any
    tires: Any

    @property
    def on_tires(self) -> Any:
        return self.springs * self.tires / (self.springs + self.tires)

    def bar_for(self, more: Any) -> Any:
        """Return the bar that adds so much on the tires."""
        wanted = self.on_tires + more
        return np.maximum(wanted * self.tires / (self.tires - wanted) - self.springs, 0.0)


def _lines(axle: str, letter: str, part: str) -> tuple[Equation, ...]:
    springs = f"({axle}_coil_over_roll_stiffness + {axle}_bar_roll_stiffness)"
    return (
        Equation(
            result=f"{axle}_wanted",
            text=f"{axle}_there + {part} * maximum(missing_roll_stiffness, 0)",
            note="what springs, bar and tires must give together",
            quantity=_on_tires.called(f"Roll stiffness wanted on the tires, {axle}", f"K_w,{letter}"),
        ),
        Equation(
            result=f"{axle}_bar_to_add",
            text=f"maximum({axle}_wanted * {axle}_tires / ({axle}_tires - {axle}_wanted) - {springs}, 0)",
            note="the tires give too, so the bar must be stiffer than its share",
        ),
        Equation(
            result=f"{axle}_articulation_left",
            text=f"{springs} / ({springs} + {axle}_bar_to_add)",
        ),
    )


def _there(axle: str, letter: str) -> tuple[Equation, ...]:
    springs = f"({axle}_coil_over_roll_stiffness + {axle}_bar_roll_stiffness)"
    return (
        Equation(
            result=f"{axle}_tires",
            text=f"{axle}_tire_rate * track_{axle}**2 / 2",
            quantity=_on_tires.called(f"Roll stiffness of the tires, {axle}", f"K_T,{letter}"),
        ),
        Equation(
            result=f"{axle}_there",
            text=f"{springs} * {axle}_tires / ({springs} + {axle}_tires)",
            note="springs and bar in series with the tires",
            quantity=_on_tires.called(f"Roll stiffness on the tires, {axle}", f"K_{letter}"),
        ),
    )


STEP = Step(
    function=wanted_roll_stiffness,
    title="Roll stiffness for a wanted gradient",
    question="How much roll stiffness is missing, what must bars add at each axle, and what do they cost?",
    job="10a",
    sources=(
        Source(key="derivation", where="moments about the roll axis, springs and tires in series", flag="derivation"),
        Source(key="gillespie_1992", where="chapter 6, roll stiffness", flag="memory"),
        PRACTICE,
    ),
    groups={
        "Wanted": ("wanted_roll_gradient", "wanted_front_bar_share"),
        "Weight": ("front_sprung_mass", "rear_sprung_mass", "roll_lever"),
        "Roll stiffness now": (
            "front_coil_over_roll_stiffness",
            "rear_coil_over_roll_stiffness",
            "front_bar_roll_stiffness",
            "rear_bar_roll_stiffness",
            "roll_damping_ratio",
        ),
        "Tires": ("front_tire_rate", "rear_tire_rate", "track_front", "track_rear"),
    },
    equations=(
        Equation(
            result="leverage",
            text="(front_sprung_mass + rear_sprung_mass) * gravity * roll_lever",
            note="moment of the weight per angle of lean",
            quantity=_on_tires.called("Leverage of the weight", "K_g"),
        ),
        Equation(
            result="needed_roll_stiffness",
            text="leverage * (1 + 1 / (wanted_roll_gradient * gravity))",
            note="the roll gradient, solved for the stiffness",
        ),
        *_there("front", "F"),
        *_there("rear", "R"),
        Equation(result="missing_roll_stiffness", text="needed_roll_stiffness - front_there - rear_there"),
        *_lines("front", "F", "wanted_front_bar_share"),
        *_lines("rear", "R", "(1 - wanted_front_bar_share)"),
        Equation(
            result="front_couple_share_with_bars",
            text="front_wanted / (front_wanted + rear_wanted)",
        ),
        Equation(
            result="stiffness_upright",
            text="front_coil_over_roll_stiffness + front_bar_roll_stiffness + rear_coil_over_roll_stiffness "
            "+ rear_bar_roll_stiffness - leverage",
            note="springs and bars less the leverage, the tires taken as rigid",
            quantity=_part.called("Righting stiffness", "K_u"),
        ),
        Equation(
            result="roll_damping_ratio_with_bars",
            text="roll_damping_ratio * sqrt(stiffness_upright / (stiffness_upright + front_bar_to_add + rear_bar_to_add))",
            note="the same dampers against a stiffer rig",
        ),
    ),
    refusals=(
        *(
            Refusal(
                field="wanted_roll_gradient",
                when=f"{axle}_wanted >= {axle}_tires",
                problem=f"No bar does that: the {axle} tires alone give {{{axle}_tires}}, and {{{axle}_wanted}} is asked of "
                "springs, bar and tires.",
                allowed=f"Allowed: more lean, or less of it at the {axle}.",
            )
            for axle in ("front", "rear")
        ),
        Refusal(
            field="roll_damping_ratio",
            when="roll_damping_ratio >= 0 and stiffness_upright <= 0",
            problem="Without the new bars the springs do not hold the weight upright, so there is no damping ratio to begin "
            "with.",
            allowed="Leave it empty.",
        ),
    ),
    example=Example(
        inputs={
            "wanted_roll_gradient": "10 °/g",
            "wanted_front_bar_share": "50 %",
            "front_sprung_mass": "2268 lb",
            "rear_sprung_mass": "2095 lb",
            "roll_lever": "0.4054 m",
            "front_coil_over_roll_stiffness": "181 lbf·ft/°",
            "rear_coil_over_roll_stiffness": "187 lbf·ft/°",
            "front_bar_roll_stiffness": "0 lbf·ft/°",
            "rear_bar_roll_stiffness": "0 lbf·ft/°",
            "front_tire_rate": "1485 lb/in",
            "rear_tire_rate": "1485 lb/in",
            "track_front": "1.640 m",
            "track_rear": "1.660 m",
            "roll_damping_ratio": "0.27",
        },
        expected={
            "needed_roll_stiffness": ("681.5837 lbf·ft/°", 5e-5),
            "missing_roll_stiffness": ("327.8652 lbf·ft/°", 5e-5),
            "front_bar_to_add": ("184.3620 lbf·ft/°", 5e-5),
            "rear_bar_to_add": ("184.3103 lbf·ft/°", 5e-5),
            "front_couple_share_with_bars": ("49.58114 %", 5e-6),
            "front_articulation_left": ("49.53991 %", 1e-5),
            "rear_articulation_left": ("50.36220 %", 5e-6),
            "roll_damping_ratio_with_bars": (0.1749322, 5e-8),
        },
        source=Source(key="derivation", where="by hand, axle by axle", flag="derivation"),
        name="Wren, crew aboard",
    ),
    checks=(
        Check(
            rule="bars are needed",
            value="missing_roll_stiffness",
            at_most=0.0,
            warns=True,
            source=PRACTICE,
            holds="No roll stiffness is missing: the body leans no more than is wanted.",
            close="Hardly any roll stiffness is missing, {value} on the tires: the body leans about as much as is wanted, {limit} to add.",
            fails="On the tires {value} of roll stiffness is missing ({limit} when it leans as wanted). Add a bar of "
            "{front_bar_to_add} at the front and one of {rear_bar_to_add} at the rear.",
        ),
        Check(
            rule="damping in roll that is left",
            value="roll_damping_ratio_with_bars",
            at_least=0.15,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="With these bars the damping ratio in roll is {value}.",
            close="With these bars the damping ratio in roll is {value} ± {doubt}, about {limit}: with less the body rocks on "
            "from side to side.",
            fails="With these bars the damping ratio in roll is {value}, less than {limit}: the body rocks on from side to side. "
            "Ask for more damping, or for less bar.",
            unchecked="What is left of the damping in roll",
        ),
        Check(
            rule="articulation left at the front",
            value="front_articulation_left",
            at_least=0.5,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="For the same load off the hanging tire the front axle still turns {value} as far.",
            close="For the same load off the hanging tire the front axle still turns {value} ± {doubt} as far, about "
            "{at_least}.",
            fails="For the same load off the hanging tire the front axle turns only {value} as far, less than {at_least}: take the "
            "bar's links off on the trail, or let the other axle do more.",
        ),
        Check(
            rule="articulation left at the rear",
            value="rear_articulation_left",
            at_least=0.5,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="For the same load off the hanging tire the rear axle still turns {value} as far.",
            close="For the same load off the hanging tire the rear axle still turns {value} ± {doubt} as far, about "
            "{at_least}.",
            fails="For the same load off the hanging tire the rear axle turns only {value} as far, less than {at_least}: take the "
            "bar's links off on the trail, or let the other axle do more.",
        ),
        Check(
            rule="both axles take part, with these bars",
            value="front_couple_share_with_bars",
            at_least=0.35,
            at_most=0.65,
            margin=0.02,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="With these bars the front axle holds up {value} of the lean, and the rear the rest.",
            fails="With these bars the front axle holds up {value} of the lean, outside {limits}: change the front share of "
            "the bars.",
        ),
    ),
    practice=(
        Practice(
            text="A rig carries {front_sprung_mass} on the front springs and {rear_sprung_mass} on the rear springs, with its "
            "center {roll_lever} above the roll axis. It is to lean by {wanted_roll_gradient}. What roll stiffness, on the "
            "tires, must both axles have together?",
            asks="needed_roll_stiffness",
            vary=("wanted_roll_gradient", "front_sprung_mass", "roll_lever"),
        ),
    ),
    main=("missing_roll_stiffness", "front_bar_to_add", "rear_bar_to_add", "roll_damping_ratio_with_bars"),
)
