"""What the stack page asks and answers besides the shared quantities, and the stack's results."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc import vocabulary
from calc.limits import LEAST_ADJUSTER_LEFT, LEAST_MAIN_LEFT, LEAST_PRELOAD, LEAST_TENDER_LEFT
from calc.quantity import Choice, Option
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import (
    CALIPER,
    TAPE,
    CrossoverAboveRide,
    StackRate,
    StackRatePastCrossover,
    any_rate,
    force,
    free_length,
    length,
    solid_length,
    spring_rate,
)

_left = length.called("Left", "Δ", low=-60 * INCH, high=60 * INCH, typical=0.6 * INCH)
_limit = length.called("At least", "Δ_min", low=0.0, high=6 * INCH, usual=(0.0, 3 * INCH), typical=0.375 * INCH)
_depth = length.called("Below the adjuster", "h", low=-10 * INCH, high=60 * INCH, typical=7.3 * INCH)
_gap_sum = length.called("Smallest gaps, summed", "S_a", low=0.0, high=10 * INCH, typical=0.6 * INCH)

NO_HELPER, FREE_HELPER, RINGED_HELPER = "none", "free", "ring"
helper_kind = Choice(
    label="Helper",
    options=(
        Option(NO_HELPER, "none"),
        Option(FREE_HELPER, "helper on top, its divider free"),
        Option(RINGED_HELPER, "helper on top, a ring stops its divider"),
    ),
    typical=NO_HELPER,
    help="A spring so soft that it is closed at rest; in droop it opens and keeps the others seated.",
)
HelperKind = Annotated[str, helper_kind]
HelperRate = Annotated[
    float,
    spring_rate.called(
        "Helper rate",
        "k_h",
        "Rate of the soft spring at the adjuster end, above the others.",
        usual=(8 * POUND_FORCE / INCH, 300 * POUND_FORCE / INCH),
        typical=60 * POUND_FORCE / INCH,
    ),
]
HelperFreeLength = Annotated[
    float, free_length.called("Helper free length", "L_0h", usual=(1 * INCH, 12 * INCH), typical=4 * INCH)
]
HelperSolidLength = Annotated[
    float, solid_length.called("Helper solid length", "L_ch", usual=(0.25 * INCH, 6 * INCH), typical=1 * INCH)
]
HelperRingGap = Annotated[
    float,
    vocabulary.ring_gap.called(
        "Helper's ring gap", "g_h", "From the divider under the helper up to its ring, hanging free, preload set."
    ),
]

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
        plus_minus=CALIPER,
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
        plus_minus=TAPE,
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
        plus_minus=TAPE,
    ),
]
LeastPreload = Annotated[
    float,
    _limit.called(
        "Least preload", "p_min", "What keeps the springs seated after tolerance and set.", assumed=LEAST_PRELOAD
    ),
]
LeastTenderLeft = Annotated[
    float,
    _limit.called(
        "Tender, least left",
        "Δ_t,min",
        "Before it binds, where its work ends. Take half the sum of its smallest gaps (coil page) where that is more.",
        assumed=LEAST_TENDER_LEFT,
    ),
]
LeastMainLeft = Annotated[
    float,
    _limit.called(
        "Main, least left",
        "Δ_m,min",
        "Before it binds, at full bump. Take half the sum of its smallest gaps (coil page) where that is more.",
        assumed=LEAST_MAIN_LEFT,
        typical=0.5 * INCH,
    ),
]
LeastAdjusterLeft = Annotated[
    float,
    _limit.called(
        "Adjuster, least left",
        "a_min",
        "Thread kept for the springs' set.",
        assumed=LEAST_ADJUSTER_LEFT,
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
soft_travel = length.called(
    "Travel on both springs", "x_1", "To the crossover, or to full bump where that is first.", high=40 * INCH
)
helper_stroke = length.called("Helper, free less solid", "s_h", "What it can shorten before its coils touch.")
helper_work = length.called("Helper shortened at most", "w_h", "To where its coils touch or its ring holds.")
upper_at_extension = length.called("Helper and tender, shortened by the preload", "u_0", "Both together.")
start = length.called("Shortened at full extension", "x_0", "All springs together; below 0 they hang loose.")
upper_at_ring = length.called("Helper and tender, shortened at the ring", "u_r", "Both together.")
helper_at_bind = length.called("Helper, where the tender is bound, at most", "w_b", "To its end, or to the ring.")
past_bind = length.called("Shortened beside the bound tender", "s_r", "What helper and main have to take.")
upper_at_droop = length.called("Helper and tender, shortened at droop", "u_d", "Both together.")
crossover_force = force.called("Force at the crossover", "F_x", "What all springs carry as the divider meets the ring.")
force_at_droop = force.called("Force at droop", "F_d", "What all springs carry with the strap tight.")
tender_used = length.called("Tender shortened", "s_t", "From its free length, where its work ends.")
shortening = length.called("Stack shortened at full bump", "s_b", "Both springs together, from their free lengths.")


@dataclass(frozen=True, kw_only=True)
class Stack:
    """What the springs of one coil-over do; what was not given, or does not exist on this stack, leaves None."""

    stack_rate: StackRate
    stack_rate_past_crossover: StackRatePastCrossover | None
    crossover_travel: Annotated[float, vocabulary.crossover_travel.within(high=20.0)] | None
    crossover_above_ride: CrossoverAboveRide | None
    tender_left: TenderLeft | None
    main_left: MainLeft | None
    helper_stack_rate: (
        Annotated[
            float,
            any_rate.called(
                "Rate while the helper is open", "k_hs", "All springs in series: near full droop, before it closes."
            ),
        ]
        | None
    )
    helper_closed_travel: (
        Annotated[
            float,
            length.called(
                "Helper closed, from full extension",
                "x_h",
                "Damper travel from which the helper shortens no further; below zero where the preload closes it.",
                low=-20.0,
                high=200.0,
            ),
        ]
        | None
    )
    helper_open_at_rest: (
        Annotated[float, _left.called("Helper open at rest", "Δ_h", "What it is still away from closed.", low=0.0)]
        | None
    )
    preload_force: Annotated[float, force.called("Preload force", "F_p", "At full extension.", low=0.0)]
    tender_bind_travel: (
        Annotated[
            float,
            length.called(
                "Tender coil bind, from full extension",
                "x_t",
                "Damper travel at which its coils touch if no ring stops the divider before.",
                low=-20.0,
                high=20.0,
            ),
        ]
        | None
    )
    shortest_tender: (
        Annotated[
            float,
            free_length.called("Tender free length needed for its limit", "L_0t,min", "At the same solid length."),
        ]
        | None
    )
    shortest_main: (
        Annotated[
            float, free_length.called("Main free length needed for its limit", "L_0m,min", "At the same solid length.")
        ]
        | None
    )
    preload_at_droop: Annotated[
        float,
        vocabulary.preload.called(
            "Preload at full droop", "p_d", "Counted from the strap instead.", low=-2.0, high=2.0
        ),
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
            float,
            _depth.called(
                "Spring seat to underside of ring", "h_s", "At full extension, along the body of the damper."
            ),
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
