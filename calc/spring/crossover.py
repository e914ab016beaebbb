"""The ring gap for a wanted crossover, and what a later turn of the adjuster does to it."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from calc import units, vocabulary
from calc.quantity import Choice, Option, Quantity
from calc.spring._stack_curve import StackCurve, ring_gap_for
from calc.step import Check, Equation, Example, Practice, Refusal, Source, Step, refuse
from calc.units import INCH
from calc.vocabulary import (
    ON_MAIN,
    ON_TENDER,
    AdjusterTurnsPerLength,
    BumpLimit,
    CrossoverAboveRide,
    LooseDivider,
    MainRate,
    MotionRatio,
    RideTravel,
    RingGap,
    SpringBase,
    TenderRate,
    Track,
    WantedCrossoverAboveRide,
    length,
)

FROM_RIDE, FROM_EXTENSION = "ride", "full extension"
AT_DAMPER, AT_WHEELS, AT_ONE_WHEEL = "damper", "wheels", "one wheel"

_counted_from = Choice(
    label="Counted from",
    options=(Option(FROM_RIDE, "ride"), Option(FROM_EXTENSION, "full extension")),
    typical=FROM_RIDE,
    help="Where the wanted travel begins.",
)
_measured_at = Choice(
    label="Measured at",
    options=(
        Option(AT_DAMPER, "the damper"),
        Option(AT_WHEELS, "the wheels, both together"),
        Option(AT_ONE_WHEEL, "one wheel of a solid axle"),
    ),
    typical=AT_DAMPER,
    help="What the wanted travel is a travel of.",
)
PreloadOrSeated = Annotated[float, vocabulary.preload.called("Preload", assumed=0.0)]
AdjusterMove = Annotated[
    float,
    length.called(
        "Adjuster turned afterward",
        "d",
        "How far the adjuster is moved with the ring left alone; down is positive.",
        low=-10 * INCH,
        high=10 * INCH,
        usual=(-4 * INCH, 4 * INCH),
        typical=0.25 * INCH,
    ),
]
_wanted_travel = length.called("Wanted, at the damper", "x_w", "The wanted travel as damper travel.")
_at_wheel = length.called("Crossover above ride", "z_c", low=-60 * INCH, high=200 * INCH, typical=2.6 * INCH)


@dataclass(frozen=True, kw_only=True)
class Crossover:
    """The ring gap, where that puts the crossover, and what the adjuster does to both afterward."""

    ring_gap: RingGap
    crossover_travel: Annotated[float, vocabulary.crossover_travel.within(high=20.0)]
    crossover_above_ride: CrossoverAboveRide | None
    crossover_above_ride_wheels: (
        Annotated[float, _at_wheel.called("Crossover above ride, both wheels", "z_c", "Wheel travel, axle level.")]
        | None
    )
    crossover_above_ride_one_wheel: (
        Annotated[
            float, _at_wheel.called("Crossover above ride, one wheel", "z_c1", "Wheel travel, the other wheel staying.")
        ]
        | None
    )
    gap_share: Annotated[
        float,
        Quantity(
            label="Gap gained per adjuster travel",
            symbol="q_g",
            kind=units.RATIO,
            low=0.0,
            high=1.0,
            typical=0.36,
            help="What turning the adjuster down adds to the ring gap, the ring left alone.",
        ),
    ]
    gap_per_turn: Annotated[float, length.called("Gap gained per turn", "g_n", "For one turn down.", low=0.0)] | None
    ring_gap_after: (
        Annotated[float, vocabulary.ring_gap.called("Ring gap afterward", "g'", "With the adjuster moved.")] | None
    )
    crossover_travel_after: (
        Annotated[
            float, vocabulary.crossover_travel.called("Crossover afterward", "x_c'", "From full extension.", high=20.0)
        ]
        | None
    )
    ride_travel_after: (
        Annotated[
            float,
            vocabulary.ride_travel.called("Ride position afterward", "x_r'", "From full extension.", low=-20 * INCH),
        ]
        | None
    )
    crossover_above_ride_after: (
        Annotated[
            float,
            length.called(
                "Crossover above ride afterward", "x_c,r'", "At the damper.", typical=2.8 * INCH, low=-20.0, high=20.0
            ),
        ]
        | None
    )


def crossover(
    *,
    tender_rate: TenderRate,
    main_rate: MainRate,
    preload: PreloadOrSeated = 0.0,
    loose_divider: LooseDivider = ON_MAIN,
    wanted_crossover_above_ride: WantedCrossoverAboveRide,
    counted_from: Annotated[str, _counted_from] = FROM_RIDE,
    measured_at: Annotated[str, _measured_at] = AT_DAMPER,
    ride_travel: RideTravel | None = None,
    bump_limit: BumpLimit | None = None,
    motion_ratio: MotionRatio | None = None,
    spring_base: SpringBase | None = None,
    track: Track | None = None,
    adjuster_move: AdjusterMove | None = None,
    adjuster_turns_per_length: AdjusterTurnsPerLength | None = None,
) -> Crossover:
    """Return the ring gap that puts the crossover where it is wanted, and what the adjuster then does to it.

    Travel, gap and preload count from the damper fully extended on the bench; the gap is set after the preload.
    A wanted travel at the wheels is turned into damper travel with one motion ratio: that halfway to the crossover.
    One wheel of a solid axle moves the damper on its side by less, because the axle tilts.
    Takes single values or arrays that broadcast together.

    Raises MissingError when the way of counting needs a ride position, a motion ratio, a spring base or a track.
    Raises ContradictionError when the crossover would come before a loose divider that hangs on its tender is touched,
    when ride is beyond full bump, or when the adjuster would be turned until the springs are loose or the divider
    stands on the ring.
    Valid while neither spring binds before the crossover.
    Source: springs in series, worked out on the page.

    >>> found = crossover(tender_rate=43781.7, main_rate=78807.1, preload=0.03175, wanted_crossover_above_ride=0.0635,
    ...     ride_travel=0.12827)
    >>> round(float(found.ring_gap), 5), round(float(found.crossover_travel), 5)
    (0.12328, 0.19177)
    """
    # Over 60 lines: its inputs, its docstring and its results stand one to a line around one formula.
    STEP.refuse(locals())
    wanted: Any = wanted_crossover_above_ride * _damper_per_wanted(measured_at, motion_ratio, spring_base, track)
    travel = wanted if counted_from != FROM_RIDE or ride_travel is None else ride_travel + wanted
    hangs = loose_divider == ON_TENDER
    gap = ring_gap_for(
        crossover_travel=travel, tender_rate=tender_rate, main_rate=main_rate, preload=preload, divider_hangs=hangs
    )
    share = tender_rate / (tender_rate + main_rate)
    above = None if ride_travel is None else travel - ride_travel
    one_wheel = (
        None
        if motion_ratio is None or spring_base is None or track is None
        else (motion_ratio * (1 + spring_base / track) / 2)
    )
    gap_after = travel_after = ride_after = None
    if adjuster_move is not None:
        gap_after = gap + adjuster_move * share
        refuse(
            gap_after < 0,
            "adjuster_move",
            "Turning the adjuster by {move} would bring the divider onto the ring before any travel.",
            "Allowed: what leaves a ring gap of 0 or more.",
            move=(adjuster_move, length),
        )
        after = StackCurve(
            tender_rate=tender_rate, main_rate=main_rate, preload=preload + adjuster_move, ring_gap=gap_after
        )
        travel_after = after.crossover_travel
        if ride_travel is not None:
            # The load stays, so the springs' force at ride does.
            before = StackCurve(tender_rate=tender_rate, main_rate=main_rate, preload=preload, ring_gap=gap)
            ride_after = after.travel_at(before.force(ride_travel))
    return Crossover(
        ring_gap=gap,
        crossover_travel=travel,
        crossover_above_ride=above,
        crossover_above_ride_wheels=None if above is None or motion_ratio is None else above / motion_ratio,
        crossover_above_ride_one_wheel=None if above is None or one_wheel is None else above / one_wheel,
        gap_share=share,
        gap_per_turn=None if adjuster_turns_per_length is None else share / adjuster_turns_per_length,
        ring_gap_after=gap_after,
        crossover_travel_after=travel_after,
        ride_travel_after=ride_after,
        crossover_above_ride_after=None if travel_after is None or ride_after is None else travel_after - ride_after,
    )


def _damper_per_wanted(measured_at: str, motion_ratio: Any, spring_base: Any, track: Any) -> Any:
    if measured_at == AT_DAMPER:
        return 1.0
    if measured_at == AT_WHEELS:
        return motion_ratio
    return motion_ratio * (1 + spring_base / track) / 2


_SHARE = "main_rate / (tender_rate + main_rate)"
_BEFORE = "crossover_above_ride >= 0 and ride_travel - adjuster_move <= crossover_travel_after"
_PAST = "crossover_above_ride < 0 and ride_travel >= crossover_travel_after"

STEP = Step(
    function=crossover,
    title="Ring for a wanted crossover",
    question="How big must the ring gap be, so that the corner turns firm where I want it, and what does a later turn "
    "of the adjuster do to that?",
    job="6b",
    sources=(
        Source(
            key="derivation",
            where="the divider moves up by the tender's share of the travel, and down by the main's share of the preload",
            flag="derivation",
        ),
    ),
    equations=(
        Equation(
            result="wanted_travel",
            text="wanted_crossover_above_ride",
            note="as damper travel",
            when="measured_at == 'damper'",
            quantity=_wanted_travel,
        ),
        Equation(
            result="wanted_travel",
            text="wanted_crossover_above_ride * motion_ratio",
            note="wheels to damper",
            when="measured_at == 'wheels'",
            quantity=_wanted_travel,
        ),
        Equation(
            result="wanted_travel",
            text="wanted_crossover_above_ride * motion_ratio * (1 + spring_base / track) / 2",
            note="one wheel tilts the axle, so its damper moves less",
            when="measured_at == 'one wheel'",
            quantity=_wanted_travel,
        ),
        Equation(
            result="crossover_travel",
            text="ride_travel + wanted_travel",
            note="from full extension",
            when="counted_from == 'ride'",
        ),
        Equation(
            result="crossover_travel",
            text="wanted_travel",
            note="from full extension",
            when="counted_from == 'full extension'",
        ),
        Equation(
            result="ring_gap",
            text=f"crossover_travel * {_SHARE}",
            note="the divider moves only the tender's share of the travel; preload does not enter",
            when="preload >= 0",
        ),
        Equation(
            result="ring_gap",
            text=f"(crossover_travel + preload) * {_SHARE}",
            note="the divider waits until the loose part is taken up",
            when="preload < 0 and loose_divider == 'tender'",
        ),
        Equation(
            result="ring_gap",
            text=f"-preload + (crossover_travel + preload) * {_SHARE}",
            note="the divider first rides up with the main",
            when="preload < 0 and loose_divider == 'main' and crossover_travel + preload >= 0",
        ),
        Equation(
            result="ring_gap",
            text="crossover_travel",
            note="the divider only rides on the main; the tender is never touched",
            when="preload < 0 and loose_divider == 'main' and crossover_travel + preload < 0",
        ),
        Equation(result="crossover_above_ride", text="crossover_travel - ride_travel", note="both from full extension"),
        Equation(
            result="crossover_above_ride_wheels",
            text="crossover_above_ride / motion_ratio",
            note="both wheels together",
        ),
        Equation(
            result="crossover_above_ride_one_wheel",
            text="crossover_above_ride / (motion_ratio * (1 + spring_base / track) / 2)",
            note="one wheel of a solid axle, the other staying",
        ),
        Equation(
            result="gap_share",
            text="tender_rate / (tender_rate + main_rate)",
            note="the adjuster pushes the divider down by the main's share",
        ),
        Equation(result="gap_per_turn", text="gap_share / adjuster_turns_per_length", note="for one turn down"),
        Equation(result="ring_gap_after", text="ring_gap + adjuster_move * gap_share", note="the ring left alone"),
        Equation(
            result="crossover_travel_after",
            text="ring_gap_after * (tender_rate + main_rate) / main_rate",
            note="the crossover moves up",
        ),
        Equation(
            result="ride_travel_after",
            text="ride_travel - adjuster_move",
            note="before the crossover the rig rises by what the adjuster went down",
            when=_BEFORE,
        ),
        Equation(
            result="ride_travel_after",
            text="ride_travel",
            note="past the crossover the adjuster moves nothing",
            when=_PAST,
        ),
        Equation(
            result="crossover_above_ride_after",
            text="crossover_travel_after - ride_travel_after",
            note="both changes add up",
        ),
    ),
    refusals=(
        Refusal(field="motion_ratio", when=f"not (measured_at == '{AT_DAMPER}')", absent=True),
        *(
            Refusal(field=name, when=f"measured_at == '{AT_ONE_WHEEL}'", absent=True)
            for name in ("spring_base", "track")
        ),
        Refusal(field="ride_travel", when=f"counted_from == '{FROM_RIDE}'", absent=True),
        Refusal(
            field="wanted_crossover_above_ride",
            when=f"loose_divider == '{ON_TENDER}' and crossover_travel < -preload",
            problem="The crossover at {crossover_travel} from full extension would come before the main reaches the "
            "divider at {slack}.",
            allowed="Allowed: a crossover after the springs are seated.",
            given=(Equation(result="slack", text="-preload", quantity=length),),
        ),
        Refusal(
            field="ride_travel",
            when="ride_travel > bump_limit",
            problem="The ride position, {ride_travel} from full extension, is beyond full bump, {bump_limit}.",
            allowed="Allowed: from 0 to full bump.",
        ),
        Refusal(
            field="adjuster_move",
            when="preload + minimum(adjuster_move, 0) < 0",
            problem="With a preload of {preload}, turning the adjuster by {adjuster_move} leaves the springs loose at full "
            "extension.",
            allowed="Allowed: what keeps the preload at 0 or more.",
        ),
    ),
    example=Example(
        inputs={
            "tender_rate": "250 lb/in",
            "main_rate": "450 lb/in",
            "preload": "1.25 in",
            "wanted_crossover_above_ride": "2.5 in",
            "counted_from": FROM_RIDE,
            "measured_at": AT_DAMPER,
            "ride_travel": "5.05 in",
            "bump_limit": "11.5 in",
            "motion_ratio": "0.978",
            "spring_base": "37.2 in",
            "track": "64.6 in",
            "adjuster_move": "0.25 in",
            "adjuster_turns_per_length": "12 per in",
        },
        expected={
            "ring_gap": ("4.854 in", 0.0005),
            "crossover_travel": ("7.55 in", 1e-9),
            "crossover_above_ride": ("2.5 in", 1e-9),
            "crossover_above_ride_wheels": ("2.556 in", 0.0005),
            "crossover_above_ride_one_wheel": ("3.244 in", 0.0005),
            "gap_share": (0.3571, 5e-5),
            "gap_per_turn": ("0.0298 in", 5e-5),
            "ring_gap_after": ("4.943 in", 0.0005),
            "crossover_travel_after": ("7.689 in", 0.0005),
            "ride_travel_after": ("4.80 in", 1e-9),
            "crossover_above_ride_after": ("2.889 in", 0.0005),
        },
        source=Source(
            key="derivation",
            where="by hand: 7.55 × 450 ÷ 700; 2.5 ÷ 0.978; 0.978 × (1 + 37.2 ÷ 64.6) ÷ 2 = 0.7706; 0.25 × 250 ÷ 700",
            flag="derivation",
        ),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="ring reached",
            value="crossover_travel",
            at_most="bump_limit",
            holds="The crossover at {value} from full extension comes before full bump at {limit}.",
            fails="The crossover at {value} from full extension lies beyond full bump at {limit}: the ring is "
            "never reached.",
            unchecked="Whether the ring is reached before full bump",
        ),
        Check(
            rule="past the crossover at rest",
            value="crossover_above_ride",
            at_least=0.0,
            holds="At ride {value} of damper travel is left to the crossover.",
            close="At rest the crossover is {value} away: some loads put the rig on the main alone.",
            fails="At rest the rig sits past the crossover ({value} to it): it rides on the main alone.",
            unchecked="Whether the rig rests before the crossover",
        ),
        Check(
            rule="springs seated",
            value="preload",
            at_least=0.0,
            warns=True,
            holds="With a preload of {value} the springs stay seated, and the gap does not depend on it.",
            fails="With a preload of {value} the springs hang loose, and the gap depends on where the divider rests.",
        ),
        Check(
            rule="tender works",
            condition="crossover_travel > maximum(-preload, 0)",
            holds="The tender works before the crossover.",
            fails="The tender is never loaded: the divider sits on the ring before the tender can work.",
        ),
        Check(
            rule="adjuster after the ring",
            value="absolute(crossover_above_ride_after - crossover_above_ride)",
            of=length.called("Move of the crossover", "Δx_c"),
            at_most=INCH / 4,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="The later turn leaves the crossover about where it was: {crossover_above_ride_after} above ride.",
            fails="The later turn moves the crossover from {crossover_above_ride} to {crossover_above_ride_after} above "
            "ride, by more than {limit}: set the ring again.",
            unchecked="Whether a later turn of the adjuster moves the crossover",
        ),
    ),
    practice=(
        Practice(
            text="A {tender_rate} tender sits on a {main_rate} main. The rig rides at {ride_travel} from full "
            "extension, and the crossover is wanted {wanted_crossover_above_ride} of damper travel above that. "
            "What is the ring gap?",
            asks="ring_gap",
            vary=("tender_rate", "main_rate", "ride_travel", "wanted_crossover_above_ride"),
        ),
        Practice(
            text="A {tender_rate} tender sits on a {main_rate} main. What share of "
            "the way that the adjuster goes down goes into the ring gap?",
            asks="gap_share",
            vary=("tender_rate", "main_rate"),
        ),
    ),
    groups={
        "Springs": ("tender_rate", "main_rate", "preload", "loose_divider"),
        "Crossover": ("wanted_crossover_above_ride", "counted_from", "measured_at"),
        "Travel of the damper": ("ride_travel", "bump_limit"),
        "At the wheels": ("motion_ratio", "spring_base", "track"),
        "A later turn of the adjuster": ("adjuster_move", "adjuster_turns_per_length"),
    },
    main=("ring_gap", "crossover_travel", "crossover_above_ride"),
)
