"""Two springs in series with a divider and a stop ring, or one spring: rates, crossover, bind and what must fit."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Guide, Panel
from calc.quantity import Display
from calc.spring._stack_curve import StackCurve, adjuster_setting
from calc.step import PRACTICE, Check, Equation, Example, Good, Mistake, Practice, Source, Step, Values, refuse
from calc.units import INCH
from calc.vocabulary import (
    ON_MAIN,
    ON_TENDER,
    RING,
    SINGLE,
    AdjusterRange,
    BumpLimit,
    CrossoverAboveRide,
    CrossoverTravel,
    DividerThickness,
    LooseDivider,
    MainFreeLength,
    MainRate,
    MainSolidLength,
    Preload,
    RideTravel,
    RingGap,
    SeatSpace,
    StackKind,
    StackRate,
    StackRatePastCrossover,
    StrapTravel,
    TenderFreeLength,
    TenderRate,
    TenderSolidLength,
    any_rate,
    force,
    free_length,
    length,
    solid_length,
)

# Common practice: what tolerance and set use up.
_LEAST_PRELOAD = 0.375 * INCH
_LEAST_TENDER_LEFT = 0.375 * INCH
_LEAST_MAIN_LEFT = 0.5 * INCH
_LEAST_ADJUSTER_LEFT = 0.25 * INCH

_left = length.called("Left", "Δ", low=-60 * INCH, high=60 * INCH, typical=0.6 * INCH)
_limit = length.called("At least", "Δ_min", low=0.0, high=6 * INCH, usual=(0.0, 3 * INCH), typical=0.375 * INCH)
_depth = length.called("Below the adjuster", "h", low=-10 * INCH, high=60 * INCH, typical=7.3 * INCH)
_gap_sum = length.called("Smallest gaps, summed", "S_a", low=0.0, high=10 * INCH, typical=0.6 * INCH)

RingThickness = Annotated[
    float,
    length.called(
        "Ring with its jam nut",
        "t_ring",
        "Height of everything that is clamped to the body as the stop.",
        low=0.0,
        high=4 * INCH,
        usual=(0.25 * INCH, 2.5 * INCH),
        typical=1.125 * INCH,
    ),
]
ThreadLength = Annotated[
    float,
    length.called(
        "Thread below the adjuster",
        "h_thread",
        "From the upper spring seat, adjuster backed off, down to the end of the thread.",
        low=0.0,
        high=40 * INCH,
        usual=(1 * INCH, 30 * INCH),
        typical=10 * INCH,
    ),
]
BodyLength = Annotated[
    float,
    length.called(
        "Body below the adjuster",
        "h_body",
        "From the upper spring seat, adjuster backed off, down to the lower end of the damper's body.",
        low=0.5 * INCH,
        high=50 * INCH,
        usual=(4 * INCH, 40 * INCH),
        typical=14 * INCH,
    ),
]
LeastPreload = Annotated[
    float,
    _limit.called(
        "Least preload", "p_min", "What keeps the springs seated after tolerance and set.", assumed=_LEAST_PRELOAD
    ),
]
LeastTenderLeft = Annotated[
    float,
    _limit.called(
        "Tender, least left",
        "Δ_t,min",
        "Before it binds, where its work ends. Take half the sum of its smallest gaps (coil page) where that is more.",
        assumed=_LEAST_TENDER_LEFT,
    ),
]
LeastMainLeft = Annotated[
    float,
    _limit.called(
        "Main, least left",
        "Δ_m,min",
        "Before it binds, at full bump. Take half the sum of its smallest gaps (coil page) where that is more.",
        assumed=_LEAST_MAIN_LEFT,
        typical=0.5 * INCH,
    ),
]
LeastAdjusterLeft = Annotated[
    float,
    _limit.called(
        "Adjuster, least left",
        "a_min",
        "Thread kept for the springs' set.",
        assumed=_LEAST_ADJUSTER_LEFT,
        typical=0.25 * INCH,
    ),
]
AdjusterSetting = Annotated[
    float,
    length.called(
        "Adjuster run down",
        "a",
        "From backed off to where this preload is.",
        low=-60 * INCH,
        high=60 * INCH,
        typical=3 * INCH,
    ),
]
TenderLeft = Annotated[float, _left.called("Tender left before it binds", "Δ_t", "Where the tender's work ends.")]
MainLeft = Annotated[float, _left.called("Main left before it binds", "Δ_m", "At full bump.")]
TenderGapSum = Annotated[
    float, _gap_sum.called("Tender, smallest gaps summed", "S_at", "What its coils need to stay apart: the coil page.")
]
MainGapSum = Annotated[
    float, _gap_sum.called("Main, smallest gaps summed", "S_am", "What its coils need to stay apart: the coil page.")
]
_soft_travel = length.called(
    "Travel on both springs", "x_1", "To the crossover, or to full bump where that is first.", high=40 * INCH
)
_tender_used = length.called("Tender shortened", "s_t", "From its free length, where its work ends.")
_shortening = length.called("Stack shortened at full bump", "s_b", "Both springs together, from their free lengths.")


@dataclass(frozen=True, kw_only=True)
class Stack:
    """What the springs of one coil-over do; what was not given, or does not exist on this stack, leaves None."""

    stack_rate: StackRate
    stack_rate_past_crossover: StackRatePastCrossover | None
    crossover_travel: CrossoverTravel | None
    crossover_above_ride: CrossoverAboveRide | None
    tender_left: TenderLeft | None
    main_left: MainLeft | None
    preload_force: Annotated[float, force.called("Preload force", "F_p", "At full extension.", low=0.0)]
    tender_bind_travel: (
        Annotated[
            float,
            length.called(
                "Tender would bind, from full extension",
                "x_t",
                "Damper travel at which its coils touch if no ring stops the divider before.",
            ),
        ]
        | None
    )
    shortest_tender: (
        Annotated[
            float,
            free_length.called("Tender free length that keeps its limit", "L_0t,min", "At the same solid length."),
        ]
        | None
    )
    shortest_main: (
        Annotated[
            float, free_length.called("Main free length that keeps its limit", "L_0m,min", "At the same solid length.")
        ]
        | None
    )
    preload_at_droop: Annotated[
        float, vocabulary.preload.called("Preload at full droop", "p_d", "Counted from the strap instead.")
    ]
    ring_gap_at_droop: (
        Annotated[
            float, vocabulary.ring_gap.called("Ring gap at full droop", "g_d", "As it is read with the strap tight.")
        ]
        | None
    )
    adjuster_setting: AdjusterSetting | None
    adjuster_left: Annotated[float, _left.called("Adjuster thread left", "a_left", "Below this setting.")] | None
    ring_below_seat: (
        Annotated[
            float, _depth.called("Ring below the upper seat", "h_s", "From the spring seat to the ring's underside.")
        ]
        | None
    )
    ring_place: (
        Annotated[
            float,
            _depth.called(
                "Ring below the backed-off adjuster",
                "h_r",
                "The ring's height on the body: what stays when others turn.",
            ),
        ]
        | None
    )
    ring_room: (
        Annotated[float, _left.called("Room above the ring", "Δ_ring", "Between the ring stack and the upper seat.")]
        | None
    )
    thread_left: (
        Annotated[float, _left.called("Thread below the ring", "Δ_thread", "What the ring could still go down.")] | None
    )
    body_left: (
        Annotated[float, _left.called("Body below the divider at droop", "Δ_body", "What still guides the divider.")]
        | None
    )


def stack(
    *,
    stack_kind: StackKind = RING,
    tender_rate: TenderRate | None = None,
    tender_free_length: TenderFreeLength | None = None,
    tender_solid_length: TenderSolidLength | None = None,
    main_rate: MainRate,
    main_free_length: MainFreeLength | None = None,
    main_solid_length: MainSolidLength | None = None,
    preload: Preload,
    ring_gap: RingGap | None = None,
    loose_divider: LooseDivider = ON_MAIN,
    bump_limit: BumpLimit,
    strap_travel: StrapTravel = 0.0,
    ride_travel: RideTravel | None = None,
    seat_space: SeatSpace | None = None,
    divider_thickness: DividerThickness | None = None,
    adjuster_range: AdjusterRange | None = None,
    ring_thickness: RingThickness | None = None,
    thread_length: ThreadLength | None = None,
    body_length: BodyLength | None = None,
    least_preload: LeastPreload = _LEAST_PRELOAD,  # noqa: ARG001 - the findings compare with it
    least_tender_left: LeastTenderLeft = _LEAST_TENDER_LEFT,
    least_main_left: LeastMainLeft = _LEAST_MAIN_LEFT,
    least_adjuster_left: LeastAdjusterLeft = _LEAST_ADJUSTER_LEFT,  # noqa: ARG001 - the findings compare with it
    tender_gap_sum: TenderGapSum | None = None,  # noqa: ARG001 - the findings compare with it
    main_gap_sum: MainGapSum | None = None,  # noqa: ARG001 - the findings compare with it
) -> Stack:
    """Return rates, crossover, bind and hardware of the springs on one coil-over.

    Preload, ring gap and travel all count from the damper fully extended on the bench.
    The tender stands next to the body, over the main; a negative preload is a stack that hangs loose by that much.
    The limits, the sums of gaps and the hardware only serve the findings and the lengths that would keep the limits.
    Takes single values or arrays that broadcast together; which inputs are None is the same for all of an array.

    Raises MissingError when the chosen kind of stack needs a tender rate or a ring gap that is not given.
    Raises ContradictionError when a solid length is not below its free length, when full droop is not before
    full bump, or when ride does not lie between them.
    Valid for springs of constant rate; friction and the springs' own weight are left out.
    Source: springs in series and a stop, worked out on the page.

    >>> found = stack(tender_rate=43781.7, main_rate=78807.1, preload=0.03175, ring_gap=0.123444, bump_limit=0.2921)
    >>> round(float(found.stack_rate), 1), round(float(found.crossover_travel), 4)
    (28145.4, 0.1920)
    """
    single, ring = stack_kind == SINGLE, stack_kind == RING
    if not single and tender_rate is None:
        raise STEP.quantity("tender_rate").missing("tender_rate")
    if ring and ring_gap is None:
        raise STEP.quantity("ring_gap").missing("ring_gap")
    _refuse_contradictions(
        lengths=(
            ("tender", tender_free_length, tender_solid_length),
            ("main", main_free_length, main_solid_length),
        ),
        bump_limit=bump_limit,
        strap_travel=strap_travel,
        ride_travel=ride_travel,
    )
    tender_stroke = None if single else _difference(tender_free_length, tender_solid_length)
    main_stroke = _difference(main_free_length, main_solid_length)
    curve = StackCurve(
        tender_rate=None if single else tender_rate,
        main_rate=main_rate,
        preload=preload,
        ring_gap=ring_gap if ring else None,
        tender_stroke=tender_stroke,
        main_stroke=main_stroke,
        divider_hangs=loose_divider == ON_TENDER,
    )
    crossover = curve.crossover_travel if ring else None
    tender_left = None if tender_stroke is None else curve.tender_left(bump_limit)
    # A tender that may bind throws all further travel on the main, so the main is not judged without its lengths.
    main_known = main_stroke is not None and (single or tender_stroke is not None)
    main_left = curve.main_left(bump_limit) if main_known else None

    setting = None
    if single and seat_space is not None and main_free_length is not None:
        setting = adjuster_setting(
            preload=preload, free_lengths=main_free_length, divider_thickness=0.0, seat_space=seat_space
        )
    elif not (
        seat_space is None or tender_free_length is None or main_free_length is None or divider_thickness is None
    ):
        setting = adjuster_setting(
            preload=preload,
            free_lengths=tender_free_length + main_free_length,
            divider_thickness=divider_thickness,
            seat_space=seat_space,
        )
    seat_to_divider = None
    if not single and tender_free_length is not None:
        seat_to_divider = curve.seat_to_divider(tender_free_length)
    below_seat, place = None, None
    if ring_gap is not None and ring and seat_to_divider is not None:
        below_seat = seat_to_divider - ring_gap
        if setting is not None:
            place = setting + below_seat
    divider_at_droop = None
    if seat_to_divider is not None and setting is not None:
        divider_at_droop = setting + seat_to_divider - curve.divider_rise(strap_travel)
    return Stack(
        stack_rate=curve.stack_rate,
        stack_rate_past_crossover=main_rate if ring else None,
        crossover_travel=crossover,
        crossover_above_ride=None if crossover is None or ride_travel is None else crossover - ride_travel,
        tender_left=tender_left,
        main_left=main_left,
        preload_force=curve.stack_rate * np.maximum(preload, 0.0),
        tender_bind_travel=None if tender_stroke is None else tender_stroke / curve.tender_share - preload,
        shortest_tender=(
            None
            if tender_left is None or tender_free_length is None
            else tender_free_length - tender_left + least_tender_left
        ),
        shortest_main=(
            None if main_left is None or main_free_length is None else main_free_length - main_left + least_main_left
        ),
        preload_at_droop=preload + strap_travel,
        ring_gap_at_droop=curve.gap_at(strap_travel) if ring else None,
        adjuster_setting=setting,
        adjuster_left=None if setting is None or adjuster_range is None else adjuster_range - setting,
        ring_below_seat=below_seat,
        ring_place=place,
        ring_room=None if below_seat is None or ring_thickness is None else below_seat - ring_thickness,
        thread_left=None if place is None or thread_length is None else thread_length - place,
        body_left=(
            None
            if divider_at_droop is None or body_length is None or divider_thickness is None
            else body_length - divider_at_droop - divider_thickness
        ),
    )


def _difference(free: Any, solid: Any) -> Any:
    return None if free is None or solid is None else free - solid


def _refuse_contradictions(*, lengths: Any, bump_limit: Any, strap_travel: Any, ride_travel: Any) -> None:
    for name, free, solid in lengths:
        if free is not None and solid is not None:
            refuse(
                solid >= free,
                f"{name}_solid_length",
                f"The {name}'s solid length, {{solid}}, is not less than its free length, {{free}}.",
                "Allowed: below the free length.",
                solid=(solid, solid_length),
                free=(free, free_length),
            )
    refuse(
        strap_travel >= bump_limit,
        "strap_travel",
        "Full droop, {strap} from full extension, is not before full bump, {bump}.",
        "Allowed: 0 and more, and below full bump.",
        strap=(strap_travel, vocabulary.strap_travel),
        bump=(bump_limit, vocabulary.bump_limit),
    )
    if ride_travel is not None:
        refuse(
            (ride_travel < strap_travel) | (ride_travel > bump_limit),
            "ride_travel",
            "The ride position, {ride} from full extension, is not between full droop, {strap}, and full bump, {bump}.",
            "Allowed: from full droop to full bump.",
            ride=(ride_travel, vocabulary.ride_travel),
            strap=(strap_travel, vocabulary.strap_travel),
            bump=(bump_limit, vocabulary.bump_limit),
        )


def _curve(values: Values) -> StackCurve:
    kind = values["stack_kind"]
    return StackCurve(
        tender_rate=None if kind == SINGLE else values["tender_rate"],
        main_rate=values["main_rate"],
        preload=values["preload"],
        ring_gap=values["ring_gap"] if kind == RING else None,
        tender_stroke=None
        if kind == SINGLE
        else _difference(values["tender_free_length"], values["tender_solid_length"]),
        main_stroke=_difference(values["main_free_length"], values["main_solid_length"]),
        divider_hangs=values["loose_divider"] == ON_TENDER,
    )


def _chart(values: Values, display: Display) -> Chart:
    curve = _curve(values)
    travel_unit, force_unit, rate_unit = (display.unit(of) for of in (length, force, any_rate))
    ends = min(float(values["bump_limit"]), float(curve.solid_travel))
    kinks = [float(kink) for kink in (curve.seated_travel, curve.step_travel) if 0.0 < kink < ends]
    places = [0.0, *sorted(set(kinks)), max(ends, 0.0)]

    def shown(travel: float) -> float:
        return units.from_si(travel, travel_unit)

    def pushed(travel: float) -> float:
        # At the very end of a bound stack the curve turns upright, so it is read just before.
        return units.from_si(float(curve.force(min(travel, ends * (1 - 1e-12)))), force_unit)

    forces = tuple((shown(place), pushed(place)) for place in places)
    steps = []
    for left, right in pairwise(places):
        rate = float(curve.rate((left + right) / 2))
        height = units.from_si(rate, rate_unit)
        steps.append(Curve(((shown(left), height), (shown(right), height)), label=display.text(rate, any_rate)))
    dots, guides = [], []
    for name, label, accent in (
        ("ride_travel", "ride", False),
        ("crossover_travel", "crossover", True),
        ("bump_limit", "full bump", False),
    ):
        place = values[name]
        if place is not None and 0.0 <= place <= ends:
            guides.append(Guide(shown(place), label, accent=accent))
            at = float(curve.force(min(place, ends * (1 - 1e-12))))
            dots.append(Dot(shown(place), pushed(place), display.number(at, force)))
    return Chart(
        key="stack-chart",
        title="Spring force and rate through the travel",
        description="The springs' force against damper travel from full extension: straight lines that meet where "
        "the rate steps up; beneath it the rate.",
        x_label="Damper travel from full extension",
        x_unit=travel_unit.symbol,
        panels=(
            Panel(
                "Spring force",
                force_unit.symbol,
                curves=(Curve(forces, label="springs"),),
                dots=tuple(dots),
                decimals=display.decimals(force),
                tall=True,
                at_least=(0.0, 0.0),
            ),
            Panel(
                "Rate",
                rate_unit.symbol,
                curves=tuple(steps),
                decimals=display.decimals(any_rate),
                at_least=(0.0, 0.0),
            ),
        ),
        guides=tuple(guides),
        x_decimals=display.decimals(length),
        note="Springs only: gas and bump stop come on top.",
    )


_TWO = "not (stack_kind == 'single')"
_TIGHT = "preload >= 0"
_LOOSE_ON_MAIN = "preload < 0 and loose_divider == 'main'"
_LOOSE_ON_TENDER = "preload < 0 and loose_divider == 'tender'"
_SHARE = "main_rate / (tender_rate + main_rate)"

STEP = Step(
    function=stack,
    title="Spring stack and crossover",
    question="With these springs, this preload and this ring: how stiff is the corner, where does the rate step up, "
    "and does anything bind, fall loose or not fit?",
    job="6a",
    sources=(
        Source(
            key="derivation",
            where="springs in series carry the same force; a ring that stops the divider leaves the main alone",
            flag="derivation",
        ),
    ),
    equations=(
        Equation(
            result="stack_rate",
            text="tender_rate * main_rate / (tender_rate + main_rate)",
            note="two springs in series carry the same force",
            when=_TWO,
        ),
        Equation(result="stack_rate", text="main_rate", note="one spring", when="stack_kind == 'single'"),
        Equation(
            result="stack_rate_past_crossover",
            text="main_rate",
            note="the ring holds the divider: the main works alone",
            when="stack_kind == 'ring'",
        ),
        Equation(
            result="crossover_travel",
            text="ring_gap * (tender_rate + main_rate) / main_rate",
            note="the divider moves only the tender's share of the travel; preload does not enter",
            when=f"stack_kind == 'ring' and {_TIGHT}",
        ),
        Equation(
            result="crossover_travel",
            text="-preload + ring_gap * (tender_rate + main_rate) / main_rate",
            note="loose at first, the divider waiting with the tender",
            when=f"stack_kind == 'ring' and {_LOOSE_ON_TENDER}",
        ),
        Equation(
            result="crossover_travel",
            text="-preload + (ring_gap + preload) * (tender_rate + main_rate) / main_rate",
            note="loose at first, the divider riding up with the main",
            when=f"stack_kind == 'ring' and {_LOOSE_ON_MAIN} and ring_gap + preload >= 0",
        ),
        Equation(
            result="crossover_travel",
            text="ring_gap",
            note="the divider meets the ring before the tender is touched",
            when=f"stack_kind == 'ring' and {_LOOSE_ON_MAIN} and ring_gap + preload < 0",
        ),
        Equation(
            result="crossover_above_ride",
            text="crossover_travel - ride_travel",
            note="both from full extension",
            when="stack_kind == 'ring'",
        ),
        Equation(
            result="preload_force",
            text="stack_rate * maximum(preload, 0)",
            note="what the preload holds in the springs",
        ),
        Equation(
            result="soft_travel",
            text="minimum(crossover_travel, bump_limit)",
            note="how far both springs work together",
            when="stack_kind == 'ring'",
            quantity=_soft_travel,
        ),
        Equation(
            result="soft_travel",
            text="bump_limit",
            note="without a ring both work together all the way",
            when="stack_kind == 'no ring'",
            quantity=_soft_travel,
        ),
        Equation(
            result="tender_used",
            text=f"maximum(preload + soft_travel, 0) * {_SHARE}",
            note="the tender's share",
            when=_TWO,
            quantity=_tender_used,
        ),
        Equation(
            result="tender_left",
            text="tender_free_length - tender_solid_length - tender_used",
            note="where its work ends",
            when=_TWO,
        ),
        Equation(
            result="tender_bind_travel",
            text="(tender_free_length - tender_solid_length) * (tender_rate + main_rate) / main_rate - preload",
            note="where its coils would touch, if no ring came before",
            when=_TWO,
        ),
        Equation(
            result="shortening",
            text="preload + bump_limit",
            note="preload and all the travel",
            when=_TIGHT,
            quantity=_shortening,
        ),
        Equation(
            result="shortening",
            text="maximum(preload + bump_limit, 0)",
            note="the loose part of the travel shortens nothing",
            when="preload < 0 and not (stack_kind == 'ring')",
            quantity=_shortening,
        ),
        Equation(
            result="shortening",
            text="maximum(bump_limit - minimum(-preload, crossover_travel), 0)",
            note="the loose part of the travel shortens nothing",
            when="preload < 0 and stack_kind == 'ring'",
            quantity=_shortening,
        ),
        Equation(
            result="main_left",
            text="main_free_length - main_solid_length - (shortening - tender_used)",
            note="what the tender does not take, the main must",
            when=f"{_TWO} and tender_left >= 0",
        ),
        Equation(
            result="main_left",
            text="main_free_length - main_solid_length - (shortening - tender_free_length + tender_solid_length)",
            note="the tender is bound, the main takes the rest",
            when=f"{_TWO} and tender_left < 0",
        ),
        Equation(
            result="main_left",
            text="main_free_length - main_solid_length - shortening",
            note="one spring takes all of it",
            when="stack_kind == 'single'",
        ),
        Equation(
            result="shortest_tender",
            text="tender_free_length - tender_left + least_tender_left",
            note="with this solid length",
            when=_TWO,
        ),
        Equation(
            result="shortest_main", text="main_free_length - main_left + least_main_left", note="with this solid length"
        ),
        Equation(
            result="preload_at_droop",
            text="preload + strap_travel",
            note="the strap holds the springs shorter by its travel",
        ),
        Equation(
            result="ring_gap_at_droop",
            text=f"maximum(ring_gap - strap_travel * {_SHARE}, 0)",
            note="the divider has moved up by the tender's share",
            when=f"stack_kind == 'ring' and {_TIGHT}",
        ),
        Equation(
            result="ring_gap_at_droop",
            text=f"maximum(ring_gap - maximum(strap_travel + preload, 0) * {_SHARE}, 0)",
            note="it waits until the main has come up to it",
            when=f"stack_kind == 'ring' and {_LOOSE_ON_TENDER}",
        ),
        Equation(
            result="ring_gap_at_droop",
            text="maximum(ring_gap - minimum(strap_travel, -preload)"
            f" - maximum(strap_travel + preload, 0) * {_SHARE}, 0)",
            note="it rides up on the main, then takes the tender's share",
            when=f"stack_kind == 'ring' and {_LOOSE_ON_MAIN}",
        ),
        Equation(
            result="adjuster_setting",
            text="preload + seat_space - tender_free_length - main_free_length - divider_thickness",
            note="what the springs and the divider leave of the room, plus the preload",
            when=_TWO,
        ),
        Equation(
            result="adjuster_setting",
            text="preload + seat_space - main_free_length",
            note="what the spring leaves of the room, plus the preload",
            when="stack_kind == 'single'",
        ),
        Equation(result="adjuster_left", text="adjuster_range - adjuster_setting", note="thread still below the seat"),
        Equation(
            result="ring_below_seat",
            text=f"tender_free_length - preload * {_SHARE} - ring_gap",
            note="the tender, shortened by its share of the preload, less the gap",
            when=f"stack_kind == 'ring' and {_TIGHT}",
        ),
        Equation(
            result="ring_below_seat",
            text="tender_free_length - ring_gap",
            note="the tender hangs at its free length",
            when=f"stack_kind == 'ring' and {_LOOSE_ON_TENDER}",
        ),
        Equation(
            result="ring_below_seat",
            text="tender_free_length - preload - ring_gap",
            note="the divider has fallen away with the main",
            when=f"stack_kind == 'ring' and {_LOOSE_ON_MAIN}",
        ),
        Equation(
            result="ring_place",
            text="adjuster_setting + ring_below_seat",
            note="this height on the body is what stays",
        ),
        Equation(
            result="ring_room",
            text="ring_below_seat - ring_thickness",
            note="at the crossover the ring stack stands inside the tender",
        ),
        Equation(result="thread_left", text="thread_length - ring_place", note="thread below the ring"),
        Equation(
            result="body_left",
            text="body_length - ring_place - ring_gap_at_droop - divider_thickness",
            note="the divider hangs one gap below the ring",
            when="stack_kind == 'ring' and preload + strap_travel >= 0 and ring_gap_at_droop > 0",
        ),
        Equation(
            result="body_left",
            text="body_length - adjuster_setting - tender_free_length"
            f" + (preload + strap_travel) * {_SHARE} - divider_thickness",
            note="the divider stands below the tender",
            when="stack_kind == 'no ring' and preload >= 0",
        ),
    ),
    example=Example(
        inputs={
            "stack_kind": RING,
            "tender_rate": "250 lb/in",
            "tender_free_length": "10 in",
            "tender_solid_length": "3.5 in",
            "main_rate": "450 lb/in",
            "main_free_length": "14 in",
            "main_solid_length": "6.3 in",
            "preload": "1.25 in",
            "ring_gap": "4.86 in",
            "bump_limit": "11.5 in",
            "ride_travel": "5.05 in",
            "seat_space": "26.5 in",
            "divider_thickness": "0.8 in",
            "adjuster_range": "4 in",
        },
        expected={
            "stack_rate": ("160.71 lb/in", 0.005),
            "stack_rate_past_crossover": ("450 lb/in", 1e-9),
            "crossover_travel": ("7.56 in", 1e-9),
            "crossover_above_ride": ("2.51 in", 1e-9),
            "tender_left": ("0.836 in", 0.0005),
            "main_left": ("0.614 in", 0.0005),
            "preload_force": ("200.9 lbf", 0.05),
            "adjuster_setting": ("2.95 in", 1e-9),
            "adjuster_left": ("1.05 in", 1e-9),
            "ring_below_seat": ("4.336 in", 0.0005),
            "ring_place": ("7.286 in", 0.0005),
        },
        source=Source(
            key="derivation",
            where="by hand: 250 × 450 ÷ 700; 4.86 × 700 ÷ 450; 8.81 in shared as 9 to 5; 26.5 less 10, 14 and 0.8",
            flag="derivation",
        ),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="ring reached",
            value="crossover_travel",
            at_most="bump_limit",
            holds="The divider meets the ring at {value}, before full bump at {limit}.",
            fails="The ring is never reached: the crossover at {value} lies beyond full bump at {limit}. Lower the ring.",
            unchecked="Whether the ring is reached",
        ),
        Check(
            rule="past the crossover at rest",
            value="crossover_above_ride",
            at_least=0.0,
            holds="At rest there is {value} of damper travel to the crossover.",
            close="At rest the crossover is {value} away: some loads put the rig on the main alone.",
            fails="At rest the rig sits past the crossover ({value} to it): it rides on the main alone, and the adjuster "
            "no longer sets its height. Raise the ring.",
            unchecked="Whether the rig rests before the crossover",
        ),
        Check(
            rule="tender binds before the ring",
            condition="tender_left > 0",
            holds="The tender does not bind before its work ends.",
            fails="The tender binds at {tender_bind_travel}, before the ring takes over: the rate steps up there, coil "
            "on coil, and the ring does nothing.",
            unchecked="Whether the tender binds before the ring",
        ),
        Check(
            rule="tender left",
            value="tender_left",
            at_least="least_tender_left",
            holds="Where its work ends the tender has {value} left before it binds; the limit is {limit}.",
            fails="Where its work ends the tender has {value} left before it binds; the limit is {limit}. "
            "With this solid length it needs {shortest_tender} of free length.",
            unchecked="What the tender has left before it binds",
        ),
        Check(
            rule="main left",
            value="main_left",
            at_least="least_main_left",
            holds="At full bump the main has {value} left before it binds; the limit is {limit}.",
            fails="At full bump the main has {value} left before it binds; the limit is {limit}. "
            "With this solid length it needs {shortest_main} of free length; a later crossover helps too.",
            unchecked="What the main has left at full bump",
        ),
        Check(
            rule="tender works",
            condition="crossover_travel > maximum(-preload, 0)",
            holds="The tender works from full extension to the crossover at {crossover_travel}.",
            fails="The tender is never loaded: the divider stands on the ring before the tender can work. Raise the ring.",
            unchecked="Whether the tender works",
        ),
        Check(
            rule="preload floor",
            value="preload",
            at_least="least_preload",
            holds="The preload of {value} is above the floor of {limit}.",
            fails="The preload of {value} is below {limit}: tolerance and set may let the springs rattle.",
            close="The preload of {value} is about the floor of {limit}, which tolerance and set use up.",
        ),
        Check(
            rule="loose at droop",
            value="preload_at_droop",
            at_least=0.0,
            holds="At full droop the springs are still shortened by {value}: nothing falls loose.",
            fails="At full droop the springs hang loose ({value}): they rattle and can jump off their seats.",
        ),
        Check(
            rule="adjuster backed off",
            value="adjuster_setting",
            at_least=0.0,
            holds="The adjuster is run down by {value}.",
            fails="The springs are too long for the seats: the adjuster would stand at {value} on its thread. "
            "Take shorter springs or more preload.",
            unchecked="Whether the springs go in with the adjuster backed off",
        ),
        Check(
            rule="adjuster reserve",
            value="adjuster_left",
            at_least="least_adjuster_left",
            holds="The adjuster has {value} of thread left; {limit} is wanted for set.",
            fails="The adjuster has {value} of thread left; {limit} is wanted for set. Take longer springs.",
            unchecked="What thread the adjuster has left",
        ),
        Check(
            rule="ring inside the tender",
            value="ring_room",
            at_least=0.0,
            holds="At the crossover the ring stack has {value} of room below the upper seat.",
            fails="The ring stack does not fit inside the tender at the crossover: {value} of room is left.",
            unchecked="Whether the ring stack fits inside the tender",
        ),
        Check(
            rule="ring on its thread",
            value="thread_left",
            at_least=0.0,
            holds="The ring stands on its thread, {value} above its end.",
            fails="The ring stands below the end of its thread: {value} is left.",
            unchecked="Whether the ring is on its thread",
        ),
        Check(
            rule="divider on the body",
            value="body_left",
            at_least=0.0,
            holds="At full droop the divider is still on the body, {value} above its end.",
            fails="At full droop the divider comes off the body: {value} is left. It jams when it comes back.",
            unchecked="Whether the divider stays on the body at droop",
        ),
        Check(
            rule="tender's coil gaps",
            value="tender_left",
            at_least="tender_gap_sum",
            warns=True,
            holds="The tender keeps more than the {limit} that its coils need to stay apart.",
            fails="The tender has {value} left, less than the {limit} at which the first coils touch: they will click.",
            unchecked="Whether the tender's coils stay apart",
        ),
        Check(
            rule="main's coil gaps",
            value="main_left",
            at_least="main_gap_sum",
            warns=True,
            holds="The main keeps more than the {limit} that its coils need to stay apart.",
            fails="The main has {value} left, less than the {limit} at which the first coils touch: they will click.",
            unchecked="Whether the main's coils stay apart",
        ),
    ),
    mistakes=(
        Mistake(
            wrong="Counting the ring gap with the rig on its wheels.",
            right="The gap counts from full extension on the bench. At ride most of it is used, and the crossover comes "
            "out far too early.",
        ),
        Mistake(
            wrong="Adding the two rates, or taking the softer one.",
            right="Springs one on the other are softer than either: 250 over 450 lb/in makes 161 lb/in.",
        ),
        Mistake(
            wrong="Turning the adjuster after the ring is set.",
            right="The gap grows with it. Set the preload first, then the ring.",
        ),
        Mistake(
            wrong="Lowering the ring to save the main from binding.",
            right="An earlier crossover spends more of the main, because the tender stops helping sooner.",
        ),
        Mistake(
            wrong="Leaving the tender to bind as the stop.",
            right="It closes at a length that no list keeps, and coil on coil wears through its coating.",
        ),
    ),
    good=(
        Good(text="At least 3/8 in of preload, and no looseness at full droop.", source=PRACTICE),
        Good(text="Before binding: 3/8 in left in the tender, 1/2 in in the main, after tolerance.", source=PRACTICE),
        Good(text="1/8 to 1/4 in of adjuster thread kept for set.", source=PRACTICE),
        Good(
            text="Where the crossover should be is the crew's own choice: no published range exists for such rigs.",
            source=Source(key="ours", flag="practice"),
        ),
    ),
    practice=(
        Practice(
            text="A {tender_rate} tender stands over a {main_rate} main. The ring gap is {ring_gap}, the preload "
            "{preload}. At what damper travel is the crossover?",
            asks="crossover_travel",
            vary=("tender_rate", "main_rate", "ring_gap", "preload"),
        ),
        Practice(
            text="A {tender_rate} tender stands over a {main_rate} main. What is the rate of both together?",
            asks="stack_rate",
            vary=("tender_rate", "main_rate"),
        ),
    ),
    chart=_chart,
    groups={
        "What stands on it": ("stack_kind",),
        "Tender, next to the body": ("tender_rate", "tender_free_length", "tender_solid_length"),
        "Main": ("main_rate", "main_free_length", "main_solid_length"),
        "Setting, damper hanging free": ("preload", "ring_gap", "loose_divider"),
        "Travel of the damper": ("bump_limit", "strap_travel", "ride_travel"),
        "Hardware, if known": (
            "seat_space",
            "divider_thickness",
            "adjuster_range",
            "ring_thickness",
            "thread_length",
            "body_length",
        ),
        "Limits, yours to set": (
            "least_preload",
            "least_tender_left",
            "least_main_left",
            "least_adjuster_left",
            "tender_gap_sum",
            "main_gap_sum",
        ),
    },
    main=("stack_rate", "crossover_travel", "crossover_above_ride"),
)
