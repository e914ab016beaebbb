"""The stack's working: one line for each result, by the kind of stack and where it stands."""
# Over 400 lines: one table of equations, those of every kind of stack.

from __future__ import annotations

from calc.spring import _stack_quantities as own
from calc.step import Equation

_TWO = "not (stack_kind == 'single')"
_PLAIN = "helper_kind == 'none'"
_HELPED = "not (helper_kind == 'none')"
# Loose, with the dividers resting on the main: they ride up with it until the springs are seated or a ring holds one.
_RIDES_UP = f"{_HELPED} and preload < 0 and loose_divider == 'main'"
_STAYS = f"{_HELPED} and not (preload < 0 and loose_divider == 'main')"
_TIGHT = "preload >= 0"
_LOOSE_ON_MAIN = "preload < 0 and loose_divider == 'main'"
_LOOSE_ON_TENDER = "preload < 0 and loose_divider == 'tender'"
_SHARE = "main_rate / (tender_rate + main_rate)"


def _plain(condition: str) -> str:
    return f"{condition} and {_PLAIN}"


_UPPER_SOFTNESS = "(1 / helper_rate + 1 / tender_rate)"
_BELOW = "(helper_free_length + divider_thickness + tender_free_length)"


def _carried(shortening: str) -> str:
    """The force at a shortening: all springs in series, or with the helper closed, whichever is more."""
    return f"maximum(helper_stack_rate * ({shortening}), stack_rate * ({shortening} - helper_work))"


EQUATIONS: tuple[Equation, ...] = (
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
        when=_plain(f"stack_kind == 'ring' and {_TIGHT}"),
    ),
    Equation(
        result="crossover_travel",
        text="-preload + ring_gap * (tender_rate + main_rate) / main_rate",
        note="loose at first, the divider waiting with the tender",
        when=_plain(f"stack_kind == 'ring' and {_LOOSE_ON_TENDER}"),
    ),
    Equation(
        result="crossover_travel",
        text="-preload + (ring_gap + preload) * (tender_rate + main_rate) / main_rate",
        note="loose at first, the divider riding up with the main",
        when=_plain(f"stack_kind == 'ring' and {_LOOSE_ON_MAIN} and ring_gap + preload >= 0"),
    ),
    Equation(
        result="crossover_travel",
        text="ring_gap",
        note="the divider meets the ring before the tender is touched",
        when=_plain(f"stack_kind == 'ring' and {_LOOSE_ON_MAIN} and ring_gap + preload < 0"),
    ),
    Equation(
        result="helper_stack_rate",
        text="helper_rate * stack_rate / (helper_rate + stack_rate)",
        note="the helper in series with the stack under it",
        when="not (helper_kind == 'none')",
    ),
    Equation(
        result="helper_stroke",
        text="helper_free_length - helper_solid_length",
        note="what it can close",
        when="not (helper_kind == 'none')",
        quantity=own.helper_stroke,
    ),
    Equation(
        result="preload_force",
        text="maximum(helper_stack_rate * preload, stack_rate * (preload - helper_stroke))",
        note="with the helper open, or past its closing, whichever is more",
        when=f"{_HELPED} and preload >= 0",
    ),
    Equation(
        result="start",
        text="preload",
        note="what the preload shortens all of them by; below 0 they hang loose",
        when=_STAYS,
        quantity=own.start,
    ),
    Equation(
        result="start",
        text="preload",
        note="no ring is reached while they hang loose",
        when=f"{_RIDES_UP} and helper_kind == 'free' and not (stack_kind == 'ring')",
        quantity=own.start,
    ),
    Equation(
        result="start",
        text="maximum(preload, -ring_gap)",
        note="seated where the main reaches up to them, or at the ring before",
        when=f"{_RIDES_UP} and helper_kind == 'free' and stack_kind == 'ring'",
        quantity=own.start,
    ),
    Equation(
        result="start",
        text="maximum(preload, -helper_ring_gap)",
        note="seated where the main reaches up to them, or at the helper's ring before",
        when=f"{_RIDES_UP} and helper_kind == 'ring' and not (stack_kind == 'ring')",
        quantity=own.start,
    ),
    Equation(
        result="start",
        text="maximum(preload, -minimum(ring_gap, helper_ring_gap))",
        note="seated where the main reaches up to them, or at the nearer ring before",
        when=f"{_RIDES_UP} and helper_kind == 'ring' and stack_kind == 'ring'",
        quantity=own.start,
    ),
    Equation(
        result="helper_work",
        text="helper_stroke",
        note="no ring holds it: its coils touch",
        when="helper_kind == 'free'",
        quantity=own.helper_work,
    ),
    Equation(
        result="helper_work",
        text="minimum(helper_stroke, preload_force / helper_rate + helper_ring_gap)",
        note="to its ring, or until its coils touch",
        when=f"helper_kind == 'ring' and {_STAYS}",
        quantity=own.helper_work,
    ),
    Equation(
        result="helper_work",
        text="minimum(helper_stroke, maximum(helper_ring_gap + start, 0))",
        note="to its ring, which is nearer by what the divider rode up, or until its coils touch",
        when=f"helper_kind == 'ring' and {_RIDES_UP}",
        quantity=own.helper_work,
    ),
    Equation(
        result="helper_closed_travel",
        text="helper_work * (1 + helper_rate / stack_rate) - start",
        note="where the stack under it pushes as hard as the helper can",
        when=_HELPED,
    ),
    Equation(
        result="upper_at_extension",
        text="minimum(preload_force / helper_rate, helper_stroke) + preload_force / tender_rate",
        note="both carry the preload force",
        when=f"{_HELPED} and {_TWO}",
        quantity=own.upper_at_extension,
    ),
    Equation(
        result="upper_at_ring",
        text="upper_at_extension + ring_gap",
        note="as the divider meets the ring",
        when=f"{_STAYS} and stack_kind == 'ring'",
        quantity=own.upper_at_ring,
    ),
    Equation(
        result="upper_at_ring",
        text="maximum(ring_gap + start, 0)",
        note="the ring is nearer by what the divider rode up",
        when=f"{_RIDES_UP} and stack_kind == 'ring'",
        quantity=own.upper_at_ring,
    ),
    Equation(
        result="crossover_force",
        text=f"maximum(upper_at_ring / {_UPPER_SOFTNESS}, (upper_at_ring - helper_work) * tender_rate)",
        note="the force that shortens helper and tender so far",
        when=f"{_HELPED} and stack_kind == 'ring'",
        quantity=own.crossover_force,
    ),
    Equation(
        result="crossover_travel",
        text="upper_at_ring + crossover_force / main_rate - start",
        note="all three, less what they were shortened by at full extension",
        when=f"{_HELPED} and stack_kind == 'ring'",
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
        when=f"{_PLAIN} or preload < 0",
    ),
    Equation(
        result="soft_travel",
        text="minimum(crossover_travel, bump_limit)",
        note="how far both springs work together",
        when="stack_kind == 'ring'",
        quantity=own.soft_travel,
    ),
    Equation(
        result="soft_travel",
        text="bump_limit",
        note="without a ring both work together all the way",
        when="stack_kind == 'no ring'",
        quantity=own.soft_travel,
    ),
    Equation(
        result="tender_used",
        text=f"maximum(preload + soft_travel, 0) * {_SHARE}",
        note="the tender's share",
        when=_plain(_TWO),
        quantity=own.tender_used,
    ),
    Equation(
        result="tender_used",
        text=f"{_carried('maximum(start + soft_travel, 0)')} / tender_rate",
        note="the force there, over its rate",
        when=f"{_HELPED} and {_TWO}",
        quantity=own.tender_used,
    ),
    Equation(
        result="helper_open_at_rest",
        text="maximum(helper_work - helper_stack_rate * maximum(start + minimum(ride_travel, soft_travel), 0)"
        " / helper_rate, 0)",
        note="what the force at ride leaves it open by",
        when=f"{_HELPED} and {_TWO}",
    ),
    Equation(
        result="helper_open_at_rest",
        text="maximum(helper_work - helper_stack_rate * maximum(start + ride_travel, 0) / helper_rate, 0)",
        note="what the force at ride leaves it open by",
        when=f"{_HELPED} and stack_kind == 'single'",
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
        when=_plain(_TWO),
    ),
    Equation(
        result="tender_bind_travel",
        text="minimum((tender_free_length - tender_solid_length) * tender_rate / helper_rate, helper_work)"
        " + (tender_free_length - tender_solid_length) * (tender_rate + main_rate) / main_rate - start",
        note="where its coils would touch, if no ring came before",
        when=f"{_HELPED} and {_TWO}",
    ),
    Equation(
        result="shortening",
        text="preload + bump_limit",
        note="preload and all the travel",
        when=_plain(_TIGHT),
        quantity=own.shortening,
    ),
    Equation(
        result="shortening",
        text="maximum(start + bump_limit, 0)",
        note="from full extension, and all the travel",
        when=_HELPED,
        quantity=own.shortening,
    ),
    Equation(
        result="shortening",
        text="maximum(preload + bump_limit, 0)",
        note="the loose part of the travel shortens nothing",
        when=_plain("preload < 0 and not (stack_kind == 'ring')"),
        quantity=own.shortening,
    ),
    Equation(
        result="shortening",
        text="maximum(bump_limit - minimum(-preload, crossover_travel), 0)",
        note="the loose part of the travel shortens nothing",
        when=_plain("preload < 0 and stack_kind == 'ring'"),
        quantity=own.shortening,
    ),
    Equation(
        result="main_left",
        text="main_free_length - main_solid_length - (shortening - tender_used)",
        note="what the tender does not take, the main must",
        when=_plain(f"{_TWO} and tender_left >= 0"),
    ),
    Equation(
        result="main_left",
        text="main_free_length - main_solid_length - (shortening - tender_free_length + tender_solid_length)",
        note="the tender is bound, the main takes the rest",
        when=_plain(f"{_TWO} and tender_left < 0"),
    ),
    Equation(
        result="main_left",
        text="main_free_length - main_solid_length - shortening",
        note="one spring takes all of it",
        when=_plain("stack_kind == 'single'"),
    ),
    Equation(
        result="main_left",
        text="main_free_length - main_solid_length - (shortening - upper_at_ring)",
        note="what the others did not take before the ring held them, the main must",
        when=f"{_HELPED} and stack_kind == 'ring' and tender_left >= 0 and crossover_travel <= bump_limit",
    ),
    Equation(
        result="main_left",
        text="main_free_length - main_solid_length - tender_used * tender_rate / main_rate",
        note="it carries what the tender carries",
        when=f"{_HELPED} and stack_kind == 'ring' and tender_left >= 0 and crossover_travel > bump_limit",
    ),
    Equation(
        result="main_left",
        text="main_free_length - main_solid_length - tender_used * tender_rate / main_rate",
        note="it carries what the tender carries",
        when=f"{_HELPED} and stack_kind == 'no ring' and tender_left >= 0",
    ),
    Equation(
        result="helper_at_bind",
        text="minimum(helper_work, upper_at_ring - tender_free_length + tender_solid_length)",
        note="the tender bound, the helper goes on to its end or until the divider meets the ring",
        when=f"{_HELPED} and stack_kind == 'ring' and tender_left < 0",
        quantity=own.helper_at_bind,
    ),
    Equation(
        result="helper_at_bind",
        text="helper_work",
        note="the tender bound, the helper goes on to its end",
        when=f"{_HELPED} and stack_kind == 'no ring' and tender_left < 0",
        quantity=own.helper_at_bind,
    ),
    Equation(
        result="past_bind",
        text="shortening - tender_free_length + tender_solid_length",
        note="what helper and main have to take",
        when=f"{_HELPED} and {_TWO} and tender_left < 0",
        quantity=own.past_bind,
    ),
    Equation(
        result="main_left",
        text="main_free_length - main_solid_length"
        " - maximum(past_bind * helper_rate / (helper_rate + main_rate), past_bind - helper_at_bind)",
        note="the tender is bound; the main takes its share with the helper, then the rest",
        when=f"{_HELPED} and {_TWO} and tender_left < 0",
    ),
    Equation(
        result="main_left",
        text=f"main_free_length - main_solid_length - {_carried('shortening')} / main_rate",
        note="the force at full bump, over its rate",
        when=f"{_HELPED} and stack_kind == 'single'",
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
        when=_plain(f"stack_kind == 'ring' and {_TIGHT}"),
    ),
    Equation(
        result="ring_gap_at_droop",
        text=f"maximum(ring_gap - maximum(strap_travel + preload, 0) * {_SHARE}, 0)",
        note="it waits until the main has come up to it",
        when=_plain(f"stack_kind == 'ring' and {_LOOSE_ON_TENDER}"),
    ),
    Equation(
        result="ring_gap_at_droop",
        text=f"maximum(ring_gap - minimum(strap_travel, -preload) - maximum(strap_travel + preload, 0) * {_SHARE}, 0)",
        note="it rides up on the main, then takes the tender's share",
        when=_plain(f"stack_kind == 'ring' and {_LOOSE_ON_MAIN}"),
    ),
    Equation(
        result="force_at_droop",
        text=_carried("maximum(start + strap_travel, 0)"),
        note="all springs in series, or with the helper closed",
        when=f"{_HELPED} and {_TWO}",
        quantity=own.force_at_droop,
    ),
    Equation(
        result="upper_at_droop",
        text="minimum(force_at_droop / helper_rate, helper_work) + force_at_droop / tender_rate",
        note="both carry it",
        when=f"{_HELPED} and {_TWO}",
        quantity=own.upper_at_droop,
    ),
    Equation(
        result="ring_gap_at_droop",
        text="maximum(ring_gap + upper_at_extension - upper_at_droop, 0)",
        note="the divider has moved up by what both were shortened",
        when=f"{_STAYS} and stack_kind == 'ring'",
    ),
    Equation(
        result="ring_gap_at_droop",
        text="maximum(ring_gap - minimum(strap_travel, -start) - upper_at_droop, 0)",
        note="it rides up on the main, then by what both are shortened",
        when=f"{_RIDES_UP} and stack_kind == 'ring'",
    ),
    Equation(
        result="adjuster_setting",
        text="preload + seat_space - tender_free_length - main_free_length - divider_thickness",
        note="what the springs and the divider leave of the room, plus the preload",
        when=_plain(_TWO),
    ),
    Equation(
        result="adjuster_setting",
        text="preload + seat_space - main_free_length",
        note="what the spring leaves of the room, plus the preload",
        when=_plain("stack_kind == 'single'"),
    ),
    Equation(
        result="adjuster_setting",
        text="preload + seat_space - helper_free_length - tender_free_length - main_free_length - 2 * divider_thickness",
        note="what three springs and two dividers leave of the room, plus the preload",
        when=f"not {_PLAIN} and {_TWO}",
    ),
    Equation(
        result="adjuster_setting",
        text="preload + seat_space - helper_free_length - main_free_length - divider_thickness",
        note="what both springs and the divider leave of the room, plus the preload",
        when=f"not {_PLAIN} and stack_kind == 'single'",
    ),
    Equation(result="adjuster_left", text="adjuster_range - adjuster_setting", note="thread still below the seat"),
    Equation(
        result="ring_below_seat",
        text=f"tender_free_length - preload * {_SHARE} - ring_gap",
        note="the tender, shortened by its share of the preload, less the gap",
        when=_plain(f"stack_kind == 'ring' and {_TIGHT}"),
    ),
    Equation(
        result="ring_below_seat",
        text="tender_free_length - ring_gap",
        note="the tender hangs at its free length",
        when=_plain(f"stack_kind == 'ring' and {_LOOSE_ON_TENDER}"),
    ),
    Equation(
        result="ring_below_seat",
        text="tender_free_length - preload - ring_gap",
        note="the divider has fallen away with the main",
        when=_plain(f"stack_kind == 'ring' and {_LOOSE_ON_MAIN}"),
    ),
    Equation(
        result="ring_below_seat",
        text=f"{_BELOW} - upper_at_extension - ring_gap",
        note="helper, its divider and tender, shortened by the preload, less the gap",
        when=f"{_STAYS} and stack_kind == 'ring'",
    ),
    Equation(
        result="ring_below_seat",
        text=f"{_BELOW} - preload - ring_gap",
        note="the dividers have fallen away with the main",
        when=f"{_RIDES_UP} and stack_kind == 'ring'",
    ),
    Equation(
        result="ring_place",
        text="adjuster_setting + ring_below_seat",
        note="this height on the body is what stays",
    ),
    Equation(
        result="ring_room",
        text="ring_below_seat - ring_thickness",
        note="at the crossover the ring stack is inside the tender",
        when=_PLAIN,
    ),
    Equation(
        result="ring_room",
        text="tender_free_length - preload_force / tender_rate - ring_gap - ring_thickness",
        note="at full extension the helper's divider is lowest",
        when=f"{_STAYS} and stack_kind == 'ring'",
    ),
    Equation(
        result="ring_room",
        text="tender_free_length - preload - ring_gap - ring_thickness",
        note="the dividers have fallen away with the main",
        when=f"{_RIDES_UP} and stack_kind == 'ring'",
    ),
    Equation(result="thread_left", text="thread_length - ring_place", note="thread below the ring"),
    Equation(
        result="body_left",
        text="body_length - ring_place - ring_gap_at_droop - divider_thickness",
        note="the divider hangs one gap below the ring",
        when="stack_kind == 'ring'",
    ),
    Equation(
        result="body_left",
        text="body_length - adjuster_setting - tender_free_length"
        f" + maximum(preload + strap_travel, 0) * {_SHARE} - divider_thickness",
        note="the divider is below the tender",
        when=_plain("stack_kind == 'no ring' and not (preload < 0 and loose_divider == 'main')"),
    ),
    Equation(
        result="body_left",
        text="body_length - adjuster_setting - tender_free_length + preload + minimum(strap_travel, -preload)"
        f" + maximum(preload + strap_travel, 0) * {_SHARE} - divider_thickness",
        note="the divider has fallen away with the main, and rides up on it",
        when=_plain("stack_kind == 'no ring' and preload < 0 and loose_divider == 'main'"),
    ),
    Equation(
        result="body_left",
        text=f"body_length - adjuster_setting - {_BELOW} + upper_at_droop - divider_thickness",
        note="the divider is below the tender",
        when=f"{_STAYS} and stack_kind == 'no ring'",
    ),
    Equation(
        result="body_left",
        text=f"body_length - adjuster_setting - {_BELOW} + preload + minimum(strap_travel, -start) + upper_at_droop"
        " - divider_thickness",
        note="the dividers have fallen away with the main, and ride up on it",
        when=f"{_RIDES_UP} and stack_kind == 'no ring'",
    ),
)
