"""Where the rig rests on its springs, what travel that leaves, and the preload for a wanted ride."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Guide, Panel
from calc.quantity import Display, Quantity
from calc.spring._stack_curve import preload_for
from calc.step import Check, Equation, Example, Practice, Refusal, Source, Step, Values
from calc.units import INCH
from calc.vocabulary import (
    RING,
    AdjusterTurnsPerLength,
    AxialLoad,
    BumpLeft,
    BumpLimit,
    CrossoverAboveRide,
    CrossoverTravel,
    DroopLeft,
    Preload,
    RideTravel,
    StackKind,
    StackRate,
    StackRatePastCrossover,
    StrapTravel,
    Stroke,
    WantedBump,
    WantedDroop,
    force,
    length,
    share,
)

_AdjusterSetting = Annotated[float, length.called("Adjuster run down now", "a", low=-60 * INCH, high=60 * INCH)]
_AdjusterLeft = Annotated[float, length.called("Adjuster thread left", "a_left", low=-60 * INCH, high=60 * INCH)]
GasForceAtRide = Annotated[
    float,
    vocabulary.gas_force.called(
        "Gas force at ride", "F_g", "What the gas pushes on the rod at ride; 0 without gas.", assumed=0.0
    ),
]
StopTouchTravel = Annotated[
    float,
    vocabulary.bump_limit.called(
        "Bump stop touched, from full extension", "x_s", "Damper travel from full extension to the first touch."
    ),
]
WantedRideTravel = Annotated[
    float,
    vocabulary.ride_travel.called(
        "Wanted ride position, from full extension",
        "x_w",
        "Damper travel from full extension to where the rig should sit.",
        plus_minus=0.0,
    ),
]
_free_travel = length.called(
    "Ride position without stop or strap",
    "x_f",
    "Damper travel from full extension, as if no stop or strap were there.",
    low=-100.0,
    high=1e3,
)


@dataclass(frozen=True, kw_only=True)
class Rest:
    """Where the rig rests and what is left each way; with a wanted ride, the preload for it."""

    ride_travel: RideTravel
    bump_left: BumpLeft
    droop_left: DroopLeft
    sag_share: Annotated[
        float,
        share.called("Sag, share of the usable stroke", "q_s", "From full droop to ride, over droop to full bump."),
    ]
    sag_share_of_stroke: (
        Annotated[float, share.called("Ride, share of the damper's stroke", "q_h", "From full extension.")] | None
    )
    spring_load: Annotated[float, force.called("Load on the springs", "F_s", "The axial load less the gas force.")]
    free_travel: Annotated[float, _free_travel]
    crossover_above_ride: CrossoverAboveRide | None
    wanted_preload: (
        Annotated[
            float,
            vocabulary.preload.called(
                "Preload for the wanted ride",
                "p_w",
                "The crossover staying where it is.",
                low=-60 * INCH,
                high=60 * INCH,
            ),
        ]
        | None
    )
    preload_change: (
        Annotated[
            float,
            length.called(
                "Adjuster, from here", "Δp", "Down is positive: it raises the rig.", low=-60 * INCH, high=60 * INCH
            ),
        ]
        | None
    )
    preload_turns: (
        Annotated[
            float,
            Quantity(
                label="Adjuster turns, from here",
                symbol="n",
                kind=units.NUMBER,
                low=-2000.0,
                high=2000.0,
                typical=3.0,
                help="Down is positive: it raises the rig.",
            ),
        ]
        | None
    )


def preload(
    *,
    axial_load: AxialLoad,
    gas_force: GasForceAtRide = 0.0,
    stack_kind: StackKind = RING,
    stack_rate: StackRate,
    stack_rate_past_crossover: StackRatePastCrossover | None = None,
    crossover_travel: CrossoverTravel | None = None,
    preload: Preload,
    bump_limit: BumpLimit,
    strap_travel: StrapTravel = 0.0,
    stop_touch_travel: StopTouchTravel | None = None,
    stroke: Stroke | None = None,
    wanted_bump: WantedBump | None = None,
    wanted_droop: WantedDroop | None = None,
    wanted_ride_travel: WantedRideTravel | None = None,
    adjuster_turns_per_length: AdjusterTurnsPerLength | None = None,
    adjuster_setting: _AdjusterSetting | None = None,
    adjuster_left: _AdjusterLeft | None = None,
) -> Rest:
    """Return where one corner rests on its springs, the travel left each way, and the preload for a wanted ride.

    All travel counts from the damper fully extended on the bench, and so do preload and crossover.
    A rig that its springs cannot hold, or that its load cannot pull down, rests on its stop or its strap: `free_travel`
    then lies outside them. The bump stop's own force is left out until it is solid.
    The preload for a wanted ride past the crossover holds only if the ring is moved along, so that the crossover stays.
    Takes single values or arrays that broadcast together.

    Raises MissingError when a stack with a ring lacks its crossover or its rate past it.
    Raises ContradictionError when the gas alone carries the load, when full droop is not before full bump,
    when the wanted ride does not lie between them, or when full bump is beyond the damper's stroke.
    Valid corner by corner: the stiff frame ties corners together, so side differences come from the whole rig.
    Source: statics, worked out on the page.

    >>> found = preload(axial_load=5155.5, gas_force=649.4, stack_rate=28145.4, stack_rate_past_crossover=78807.1,
    ...     crossover_travel=0.192, preload=0.03175, bump_limit=0.2921)
    >>> round(float(found.ride_travel), 4), round(float(found.bump_left), 4)
    (0.1284, 0.1637)
    """
    # Over 60 lines: its inputs, its docstring and its results stand one to a line around one formula.
    ring = stack_kind == RING
    STEP.refuse(locals())
    carried = axial_load - gas_force
    both = carried / stack_rate - preload
    free: Any = both
    if crossover_travel is not None and stack_rate_past_crossover is not None and ring:
        before = stack_rate * np.maximum(preload + crossover_travel, 0.0)
        alone = crossover_travel + (carried - before) / stack_rate_past_crossover
        free = np.where(carried <= before, both, alone)[()]
    ride = np.minimum(np.maximum(free, strap_travel), bump_limit)
    wanted = None
    if wanted_ride_travel is not None:
        wanted = preload_for(
            ride_travel=wanted_ride_travel,
            spring_load=carried,
            stack_rate=stack_rate,
            crossover_travel=crossover_travel if ring and crossover_travel is not None else np.inf,
            rate_past_crossover=stack_rate_past_crossover if ring and stack_rate_past_crossover is not None else np.inf,
        )
    change = None if wanted is None else wanted - preload
    return Rest(
        ride_travel=ride,
        bump_left=bump_limit - ride,
        droop_left=ride - strap_travel,
        sag_share=(ride - strap_travel) / (bump_limit - strap_travel),
        sag_share_of_stroke=None if stroke is None else ride / stroke,
        spring_load=carried,
        free_travel=free,
        crossover_above_ride=crossover_travel - ride if ring and crossover_travel is not None else None,
        wanted_preload=wanted,
        preload_change=change,
        preload_turns=(
            None if change is None or adjuster_turns_per_length is None else change * adjuster_turns_per_length
        ),
    )


def _chart(values: Values, display: Display) -> Chart:
    travel_unit, force_unit = display.unit(length), display.unit(force)
    rate, start, end = values["stack_rate"], values["preload"], values["bump_limit"]
    crossover = values["crossover_travel"] if values["stack_kind"] == RING else None

    def pushed(travel: float) -> float:
        both = travel if crossover is None else min(travel, crossover)
        past = 0.0 if crossover is None else max(travel - crossover, 0.0) * values["stack_rate_past_crossover"]
        return float(units.from_si(rate * max(start + both, 0.0) + past, force_unit))

    def shown(travel: float) -> float:
        return float(units.from_si(travel, travel_unit))

    kinks = [place for place in (-start, crossover) if place is not None and 0.0 < place < end]
    places = [0.0, *sorted(kinks), end]
    load = units.from_si(values["spring_load"], force_unit)
    guides = [Guide(shown(values["ride_travel"]), "ride", accent=True)]
    if values["strap_travel"] > 0.0:
        guides.append(Guide(shown(values["strap_travel"]), "full droop"))
    if crossover is not None and crossover <= end:
        guides.append(Guide(shown(crossover), "crossover"))
    guides.append(Guide(shown(end), "full bump"))
    return Chart(
        key="preload-chart",
        title="Where the springs carry the load",
        description="The springs' force against damper travel from full extension, and the load they have to carry: "
        "the rig rests where the two lines meet.",
        x_label="Damper travel from full extension",
        x_unit=travel_unit.symbol,
        panels=(
            Panel(
                "Spring force",
                force_unit.symbol,
                curves=(
                    Curve(tuple((shown(place), pushed(place)) for place in places), label="springs"),
                    Curve(((0.0, load), (shown(end), load)), label="load on the springs", at=0.0, quiet=True),
                ),
                dots=(
                    Dot(
                        shown(values["ride_travel"]),
                        pushed(values["ride_travel"]),
                        units.format_number(pushed(values["ride_travel"]), display.decimals(force)),
                    ),
                ),
                decimals=display.decimals(force),
                tall=True,
                at_least=(0.0, 0.0),
            ),
        ),
        guides=tuple(guides),
        x_decimals=display.decimals(length),
    )


_BEFORE = "spring_load <= stack_rate * maximum(preload + crossover_travel, 0)"
_PAST = "spring_load > stack_rate * maximum(preload + crossover_travel, 0)"

STEP = Step(
    function=preload,
    title="Preload, sag and travel left",
    question="With this load on these springs: where does the corner ride, how much travel is left each way, "
    "and how far must the adjuster go for the height I want?",
    job="6c",
    sources=(
        Source(key="derivation", where="the rig rests where the springs' force equals the load", flag="derivation"),
    ),
    equations=(
        Equation(result="spring_load", text="axial_load - gas_force", note="what the gas does not carry"),
        Equation(
            result="free_travel",
            text="spring_load / stack_rate - preload",
            note="the springs must be shortened this far; the adjuster has done part of it",
            when=f"stack_kind == 'ring' and {_BEFORE}",
        ),
        Equation(
            result="free_travel",
            text="crossover_travel + (spring_load - stack_rate * maximum(preload + crossover_travel, 0))"
            " / stack_rate_past_crossover",
            note="both springs up to the crossover, the main alone from there",
            when=f"stack_kind == 'ring' and {_PAST}",
        ),
        Equation(
            result="free_travel",
            text="spring_load / stack_rate - preload",
            note="the springs must be shortened this far; the adjuster has done part of it",
            when="not (stack_kind == 'ring')",
        ),
        Equation(
            result="ride_travel",
            text="minimum(maximum(free_travel, strap_travel), bump_limit)",
            note="but never beyond strap and stop",
        ),
        Equation(result="bump_left", text="bump_limit - ride_travel", note="up to where the stop is solid"),
        Equation(
            result="droop_left", text="ride_travel - strap_travel", note="down to where the strap or damper ends it"
        ),
        Equation(
            result="sag_share", text="droop_left / (bump_limit - strap_travel)", note="of the stroke that can be used"
        ),
        Equation(result="sag_share_of_stroke", text="ride_travel / stroke", note="of the whole damper"),
        Equation(
            result="crossover_above_ride",
            text="crossover_travel - ride_travel",
            note="both from full extension",
            when="stack_kind == 'ring'",
        ),
        Equation(
            result="wanted_preload",
            text="spring_load / stack_rate - wanted_ride_travel",
            note="the shortening that the load needs, less what the travel gives",
            when="stack_kind == 'ring' and wanted_ride_travel <= crossover_travel",
        ),
        Equation(
            result="wanted_preload",
            text="(spring_load - stack_rate_past_crossover * (wanted_ride_travel - crossover_travel)) / stack_rate"
            " - crossover_travel",
            note="the main alone carries what is past the crossover; the ring is moved along",
            when="stack_kind == 'ring' and wanted_ride_travel > crossover_travel",
        ),
        Equation(
            result="wanted_preload",
            text="spring_load / stack_rate - wanted_ride_travel",
            note="the shortening that the load needs, less what the travel gives",
            when="not (stack_kind == 'ring')",
        ),
        Equation(result="preload_change", text="wanted_preload - preload", note="down is positive"),
        Equation(result="preload_turns", text="preload_change * adjuster_turns_per_length", note="the same in turns"),
    ),
    refusals=(
        *(
            Refusal(field=name, when=f"stack_kind == '{RING}'", absent=True)
            for name in ("crossover_travel", "stack_rate_past_crossover")
        ),
        Refusal(
            field="gas_force",
            when="gas_force >= axial_load",
            problem="The gas force, {gas_force}, is not less than the axial load, {axial_load}: it would hold the damper "
            "fully extended.",
            allowed="Allowed: 0 and more, and below the axial load.",
        ),
        Refusal(
            field="strap_travel",
            when="strap_travel >= bump_limit",
            problem="Full droop, {strap_travel} from full extension, is not before full bump, {bump_limit}.",
            allowed="Allowed: 0 and more, and below full bump.",
        ),
        Refusal(
            field="bump_limit",
            when="bump_limit > stroke",
            problem="Full bump, {bump_limit} from full extension, is beyond the damper's stroke, {stroke}.",
            allowed="Allowed: up to the stroke.",
        ),
        Refusal(
            field="wanted_ride_travel",
            when="wanted_ride_travel < strap_travel or wanted_ride_travel > bump_limit",
            problem="The wanted ride position, {wanted_ride_travel} from full extension, is not between full droop, "
            "{strap_travel}, and full bump, {bump_limit}.",
            allowed="Allowed: from full droop to full bump.",
        ),
    ),
    example=Example(
        inputs={
            "axial_load": "1159 lbf",
            "gas_force": "146 lbf",
            "stack_kind": RING,
            "stack_rate": "160.714 lb/in",
            "stack_rate_past_crossover": "450 lb/in",
            "crossover_travel": "7.56 in",
            "preload": "1.25 in",
            "bump_limit": "11.5 in",
            "stop_touch_travel": "9.5 in",
            "stroke": "12 in",
            "wanted_bump": "4.5 in",
            "wanted_droop": "3 in",
            "wanted_ride_travel": "5.25 in",
            "adjuster_turns_per_length": "12 per in",
            "adjuster_setting": "2.95 in",
            "adjuster_left": "1.05 in",
        },
        expected={
            "spring_load": ("1013 lbf", 1e-9),
            "ride_travel": ("5.053 in", 0.0005),
            "bump_left": ("6.447 in", 0.0005),
            "droop_left": ("5.053 in", 0.0005),
            "sag_share": ("43.9 %", 0.05),
            "sag_share_of_stroke": ("42.1 %", 0.05),
            "crossover_above_ride": ("2.507 in", 0.0005),
            "wanted_preload": ("1.053 in", 0.0005),
            "preload_change": ("-0.197 in", 0.0005),
            "preload_turns": (-2.36, 0.005),
        },
        source=Source(
            key="derivation",
            where="by hand: 1013 ÷ 160.714 = 6.303 in of shortening, less 1.25 in; 11.5 less 5.053; 6.303 less 5.25",
            flag="derivation",
        ),
        name="Wren, front, crew aboard",
    ),
    checks=(
        Check(
            rule="held up",
            value="free_travel",
            at_most="bump_limit",
            holds="The springs hold it up, at {value} of damper travel.",
            fails="The springs cannot hold it up: they would need {value} of damper travel and full bump is at {limit}. "
            "It sits on its bump stops.",
        ),
        Check(
            rule="stop touched at rest",
            value="ride_travel",
            at_most="stop_touch_travel",
            holds="At rest the bump stop is clear: it is touched at {limit}, ride is at {value}.",
            fails="At rest the bump stop is already touched: ride is at {value}, the stop begins at {limit}.",
            unchecked="Whether the bump stop is clear at rest",
        ),
        Check(
            rule="pulled down by its load",
            value="free_travel",
            at_least="strap_travel",
            holds="The load pulls it down off full droop.",
            fails="The load does not shorten the springs: it sits at full droop, with no droop travel at all. "
            "The preload or the rate is too much.",
        ),
        Check(
            rule="bump left",
            value="bump_left",
            at_least="wanted_bump",
            holds="{value} of bump travel is left; at least {limit} is wanted.",
            fails="{value} of bump travel is left; at least {limit} is wanted.",
            unchecked="Whether enough bump travel is left",
        ),
        Check(
            rule="droop left",
            value="droop_left",
            at_least="wanted_droop",
            holds="{value} of droop travel is left; at least {limit} is wanted.",
            fails="{value} of droop travel is left; at least {limit} is wanted.",
            unchecked="Whether enough droop travel is left",
        ),
        Check(
            rule="past the crossover at rest",
            value="crossover_above_ride",
            at_least=0.0,
            holds="At ride {value} of damper travel is left to the crossover.",
            close="At rest the crossover is {value} away: some loads put the rig on the main alone.",
            fails="At rest the rig sits past the crossover ({value} to it): the adjuster no longer sets its height, "
            "only the ring does.",
            unchecked="Whether the rig rests before the crossover",
        ),
        Check(
            rule="wanted ride before the crossover",
            condition="wanted_ride_travel <= crossover_travel",
            warns=True,
            holds="The wanted ride lies before the crossover: the adjuster alone reaches it, then the ring is set again.",
            fails="The wanted ride lies past the crossover at {crossover_travel}: the adjuster alone does not move it. "
            "The ring must move along.",
            unchecked="Whether the adjuster alone reaches the wanted ride",
        ),
        Check(
            rule="wanted preload seats the springs",
            value="wanted_preload",
            at_least=0.0,
            holds="The wanted ride takes a preload of {value}.",
            fails="The wanted ride takes a preload of {value}: the springs would hang loose. Take softer springs.",
            unchecked="What preload the wanted ride takes",
        ),
        Check(
            rule="wanted preload within the adjuster",
            condition="preload_change <= adjuster_left and adjuster_setting + preload_change >= 0",
            holds="The adjuster reaches it: it goes {preload_change} from {adjuster_setting}, and {adjuster_left} is left.",
            fails="The adjuster does not reach it: {preload_change} is wanted, it sits at {adjuster_setting} and "
            "{adjuster_left} of thread is left.",
            unchecked="Whether the adjuster reaches the wanted ride",
        ),
    ),
    practice=(
        Practice(
            text="A coil-over carries {axial_load}, of which the gas carries {gas_force}. Its stack rate is {stack_rate} "
            "and its preload {preload}; the crossover is further up. At what damper travel does it rest?",
            asks="ride_travel",
            vary=("axial_load", "gas_force", "preload"),
        ),
        Practice(
            text="A coil-over carries {axial_load}, of which the gas carries {gas_force}. Its stack rate is {stack_rate}. "
            "What preload lets it rest at {wanted_ride_travel}?",
            asks="wanted_preload",
            vary=("axial_load", "gas_force", "wanted_ride_travel"),
        ),
    ),
    chart=_chart,
    groups={
        "Load along the coil-over": ("axial_load", "gas_force"),
        "Springs": (
            "stack_kind",
            "stack_rate",
            "stack_rate_past_crossover",
            "crossover_travel",
            "preload",
        ),
        "Travel of the damper": ("bump_limit", "strap_travel", "stop_touch_travel", "stroke"),
        "What you want": ("wanted_bump", "wanted_droop", "wanted_ride_travel"),
        "Adjuster, if known": ("adjuster_turns_per_length", "adjuster_setting", "adjuster_left"),
    },
    main=("ride_travel", "bump_left", "droop_left"),
)
