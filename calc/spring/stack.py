"""One to three springs in series with dividers and stop rings: rates, crossover, bind and what must fit."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.chart import Chart
from calc.limits import LEAST_ADJUSTER_LEFT, LEAST_MAIN_LEFT, LEAST_PRELOAD, LEAST_TENDER_LEFT
from calc.quantity import Display
from calc.spring._helped_curve import HelpedCurve, stack_curve
from calc.spring._stack_chart import chart
from calc.spring._stack_curve import StackCurve, adjuster_setting
from calc.spring._stack_quantities import (
    NO_HELPER,
    RINGED_HELPER,
    BodyLength,
    HelperFreeLength,
    HelperKind,
    HelperRate,
    HelperRingGap,
    HelperSolidLength,
    LeastAdjusterLeft,
    LeastMainLeft,
    LeastPreload,
    LeastTenderLeft,
    MainGapSum,
    RingThickness,
    Stack,
    TenderGapSum,
    ThreadLength,
)
from calc.spring._stack_words import CHECKS, GROUPS, PRACTICE
from calc.spring._stack_working import EQUATIONS
from calc.step import Example, Refusal, Source, Step, Values
from calc.vocabulary import (
    ON_MAIN,
    ON_TENDER,
    RING,
    SINGLE,
    AdjusterRange,
    BumpLimit,
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
    StrapTravel,
    TenderFreeLength,
    TenderRate,
    TenderSolidLength,
)

# What a rig file declares by these is theirs too.
__all__ = [
    "STEP",
    "BodyLength",
    "LeastAdjusterLeft",
    "LeastMainLeft",
    "LeastPreload",
    "LeastTenderLeft",
    "RingThickness",
    "Stack",
    "ThreadLength",
    "stack",
]


def stack(
    *,
    stack_kind: StackKind = RING,
    helper_kind: HelperKind = NO_HELPER,
    helper_rate: HelperRate | None = None,
    helper_free_length: HelperFreeLength | None = None,
    helper_solid_length: HelperSolidLength | None = None,
    helper_ring_gap: HelperRingGap | None = None,
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
    least_preload: LeastPreload = LEAST_PRELOAD,
    least_tender_left: LeastTenderLeft = LEAST_TENDER_LEFT,
    least_main_left: LeastMainLeft = LEAST_MAIN_LEFT,
    least_adjuster_left: LeastAdjusterLeft = LEAST_ADJUSTER_LEFT,
    tender_gap_sum: TenderGapSum | None = None,
    main_gap_sum: MainGapSum | None = None,
) -> Stack:
    """Return rates, crossover, bind and hardware of the springs on one coil-over.

    Preload, ring gap and travel all count from the damper fully extended on the bench.
    The tender stands at the adjuster end, over the main; a negative preload is a stack that hangs loose by that much.
    A helper stands above both, at the adjuster end, its divider as thick as the other and free or stopped by a ring of its
    own; `stack_rate` is then the rate with the helper closed, as it is at rest.
    The limits, the sums of gaps and the hardware only serve the findings and the lengths that would keep the limits.
    Takes single values or arrays that broadcast together; which inputs are None is the same for all of an array.

    Raises MissingError when the chosen kind of stack needs a tender rate, a ring gap or a helper's rate and lengths that
    are not given.
    Raises ContradictionError when a solid length is not below its free length, when full droop is not before
    full bump, or when ride does not lie between them.
    Valid for springs of constant rate; friction and the springs' own weight are left out.
    Source: springs in series and a stop, worked out on the page.

    >>> found = stack(tender_rate=43781.7, main_rate=78807.1, preload=0.03175, ring_gap=0.123444, bump_limit=0.2921)
    >>> round(float(found.stack_rate), 1), round(float(found.crossover_travel), 4)
    (28145.4, 0.1920)
    """
    # Over 60 lines: 25 inputs and 21 results, one to a line; what is absent decides which of the results there are.
    single, ring, helped = stack_kind == SINGLE, stack_kind == RING, helper_kind != NO_HELPER
    STEP.refuse(locals())
    tender_stroke = None if single else _difference(tender_free_length, tender_solid_length)
    main_stroke = _difference(main_free_length, main_solid_length)
    springs: dict[str, Any] = {
        "tender_rate": None if single else tender_rate,
        "main_rate": main_rate,
        "preload": preload,
        "ring_gap": ring_gap if ring else None,
        "tender_stroke": tender_stroke,
        "main_stroke": main_stroke,
        "divider_hangs": loose_divider == ON_TENDER,
    }
    helper: HelpedCurve | None = None
    if helped:
        helper = HelpedCurve(
            helper_rate=helper_rate,
            helper_stroke=_difference(helper_free_length, helper_solid_length),
            helper_ring_gap=helper_ring_gap if helper_kind == RINGED_HELPER else None,
            **springs,
        )
    curve = helper or StackCurve(**springs)
    crossover = curve.crossover_travel if ring else None
    tender_left = None if tender_stroke is None else curve.tender_left(bump_limit)
    # A tender that may bind throws all further travel on the main, so the main is not judged without its lengths.
    main_known = main_stroke is not None and (single or tender_stroke is not None)
    main_left = curve.main_left(bump_limit) if main_known else None

    # The dividers over the tender and over the main are alike.
    above_tender = _added(helper_free_length, divider_thickness) if helped else 0.0
    dividers = (not single) + helped
    free_lengths = main_free_length if single else _added(tender_free_length, main_free_length)
    free_lengths = _added(free_lengths, helper_free_length) if helped else free_lengths
    setting = None
    if not (seat_space is None or free_lengths is None or (dividers and divider_thickness is None)):
        setting = adjuster_setting(
            preload=preload,
            free_lengths=free_lengths,
            divider_thickness=dividers * divider_thickness if divider_thickness is not None else 0.0,
            seat_space=seat_space,
        )
    seat_to_divider = None
    if not single and tender_free_length is not None and above_tender is not None:
        seat_to_divider = curve.seat_to_divider(tender_free_length + above_tender)
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
        helper_stack_rate=None if helper is None else helper.first_rate,
        helper_closed_travel=None if helper is None else helper.helper_closed_travel,
        helper_open_at_rest=None if helper is None or ride_travel is None else helper.helper_open(ride_travel),
        preload_force=curve.stack_rate * np.maximum(preload, 0.0) if helper is None else helper.preload_force,
        tender_bind_travel=_tender_bind(curve, tender_stroke, helped=helped),
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
        ring_room=_ring_room(helper, below_seat, ring_thickness, above_tender),
        thread_left=None if place is None or thread_length is None else thread_length - place,
        body_left=(
            None
            if divider_at_droop is None or body_length is None or divider_thickness is None
            else body_length - divider_at_droop - divider_thickness
        ),
    )


def _difference(free: Any, solid: Any) -> Any:
    return None if free is None or solid is None else free - solid


def _added(one: Any, other: Any) -> Any:
    return None if one is None or other is None else one + other


def _tender_bind(curve: StackCurve, tender_stroke: Any, *, helped: bool) -> Any:
    if tender_stroke is None:
        return None
    return curve.tender_bind_travel if helped else tender_stroke / curve.tender_share - curve.preload


def _ring_room(helper: HelpedCurve | None, below_seat: Any, ring_thickness: Any, above_tender: Any) -> Any:
    """Return the room above the ring: up to the seat, or up to a helper's divider where that hangs lowest."""
    if below_seat is None or ring_thickness is None:
        return None
    if helper is None:
        return below_seat - ring_thickness
    return below_seat - ring_thickness - (above_tender - helper.helper_compression(0.0))


def _chart(values: Values, display: Display) -> Chart:
    kind, helper = values["stack_kind"], values["helper_kind"]
    single = kind == SINGLE
    springs: dict[str, Any] = {
        "tender_rate": None if single else values["tender_rate"],
        "main_rate": values["main_rate"],
        "preload": values["preload"],
        "ring_gap": values["ring_gap"] if kind == RING else None,
        "tender_stroke": None if single else _difference(values["tender_free_length"], values["tender_solid_length"]),
        "main_stroke": _difference(values["main_free_length"], values["main_solid_length"]),
        "divider_hangs": values["loose_divider"] == ON_TENDER,
    }
    return chart(
        stack_curve(
            helper_rate=None if helper == NO_HELPER else values["helper_rate"],
            helper_stroke=_difference(values["helper_free_length"], values["helper_solid_length"]),
            helper_ring_gap=values["helper_ring_gap"] if helper == RINGED_HELPER else None,
            **springs,
        ),
        values,
        display,
    )


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
    equations=EQUATIONS,
    refusals=(
        Refusal(field="tender_rate", when=f"not (stack_kind == '{SINGLE}')", absent=True),
        Refusal(field="ring_gap", when=f"stack_kind == '{RING}'", absent=True),
        *(
            Refusal(field=name, when=f"not (helper_kind == '{NO_HELPER}')", absent=True)
            for name in ("helper_rate", "helper_free_length", "helper_solid_length")
        ),
        Refusal(field="helper_ring_gap", when=f"helper_kind == '{RINGED_HELPER}'", absent=True),
        *(
            Refusal(
                field=f"{name}_solid_length",
                when=f"{applies}{name}_solid_length >= {name}_free_length",
                problem=f"The {name}'s solid length, {{{name}_solid_length}}, is not less than its free length, "
                f"{{{name}_free_length}}.",
                allowed="Allowed: below the free length.",
            )
            for name, applies in (("helper", f"not (helper_kind == '{NO_HELPER}') and "), ("tender", ""), ("main", ""))
        ),
        Refusal(
            field="strap_travel",
            when="strap_travel >= bump_limit",
            problem="Full droop, {strap_travel} from full extension, is not before full bump, {bump_limit}.",
            allowed="Allowed: 0 and more, and below full bump.",
        ),
        Refusal(
            field="ride_travel",
            when="ride_travel < strap_travel or ride_travel > bump_limit",
            problem="The ride position, {ride_travel} from full extension, is not between full droop, {strap_travel}, and "
            "full bump, {bump_limit}.",
            allowed="Allowed: from full droop to full bump.",
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
    checks=CHECKS,
    practice=PRACTICE,
    chart=_chart,
    groups=GROUPS,
    main=("stack_rate", "crossover_travel", "crossover_above_ride"),
)
