"""What the stack page says: its findings, what goes wrong, what is good, and practice."""

from __future__ import annotations

from collections.abc import Mapping

from calc.step import PRACTICE as COMMON
from calc.step import Check, Good, Mistake, Practice, Source

_RING = "stack_kind == 'ring'"
_TWO = "not (stack_kind == 'single')"
_HELPER = "not (helper_kind == 'none')"

CHECKS: tuple[Check, ...] = (
    Check(
        rule="ring reached",
        when=_RING,
        value="crossover_travel",
        at_most="bump_limit",
        holds="The divider meets the ring at {value}, before full bump at {limit}.",
        fails="The ring is never reached: the crossover at {value} lies beyond full bump at {limit}. Lower the ring.",
        unchecked="Whether the ring is reached",
    ),
    Check(
        rule="past the crossover at rest",
        when=_RING,
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
        when=_RING,
        condition="tender_left > 0",
        holds="The tender does not bind before its work ends.",
        fails="The tender binds at {tender_bind_travel}, before the ring takes over: the rate steps up there, coil "
        "on coil, and the ring does nothing.",
        unchecked="Whether the tender binds before the ring",
    ),
    Check(
        rule="tender left",
        when=_TWO,
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
        rule="helper closed at rest",
        when=_HELPER,
        value="helper_open_at_rest",
        at_most=0.0,
        holds="At rest the helper is closed: the rate there is that of the springs under it.",
        fails="At rest the helper is still open by {value}: the rig rides on all springs in series, far softer. Take a "
        "shorter or a softer helper.",
        unchecked="Whether a helper is closed at rest",
    ),
    Check(
        rule="tender works",
        when=_RING,
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
        when=_RING,
        value="ring_room",
        at_least=0.0,
        holds="At the crossover the ring stack has {value} of room below the upper seat.",
        fails="The ring stack does not fit inside the tender at the crossover: {value} of room is left.",
        unchecked="Whether the ring stack fits inside the tender",
    ),
    Check(
        rule="ring on its thread",
        when=_RING,
        value="thread_left",
        at_least=0.0,
        holds="The ring stands on its thread, {value} above its end.",
        fails="The ring stands below the end of its thread: {value} is left.",
        unchecked="Whether the ring is on its thread",
    ),
    Check(
        rule="divider on the body",
        when=_TWO,
        value="body_left",
        at_least=0.0,
        holds="At full droop the divider is still on the body, {value} above its end.",
        fails="At full droop the divider comes off the body: {value} is left. It jams when it comes back.",
        unchecked="Whether the divider stays on the body at droop",
    ),
    Check(
        rule="tender's coil gaps",
        when=_TWO,
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
)

MISTAKES: tuple[Mistake, ...] = (
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
        wrong="Taking a helper's rate into the ride rate.",
        right="At rest a helper is closed and gives nothing: its length counts, its rate does not. It works near full "
        "droop only.",
    ),
    Mistake(
        wrong="Leaving the tender to bind as the stop.",
        right="It closes at a length that no list keeps, and coil on coil wears through its coating.",
    ),
)

GOOD: tuple[Good, ...] = (
    Good(text="At least 3/8 in of preload, and no looseness at full droop.", source=COMMON),
    Good(text="Before binding: 3/8 in left in the tender, 1/2 in in the main, after tolerance.", source=COMMON),
    Good(text="1/8 to 1/4 in of adjuster thread kept for set.", source=COMMON),
    Good(
        text="Where the crossover should be is the crew's own choice: we know of no published range for such rigs.",
        source=Source(key="ours", flag="practice"),
    ),
)

PRACTICE: tuple[Practice, ...] = (
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
)

GROUPS: Mapping[str, tuple[str, ...]] = {
    "What stands on it": ("stack_kind",),
    "Tender, next to the body": ("tender_rate", "tender_free_length", "tender_solid_length"),
    "Main": ("main_rate", "main_free_length", "main_solid_length"),
    "Helper on top, if there is one": (
        "helper_kind",
        "helper_rate",
        "helper_free_length",
        "helper_solid_length",
        "helper_ring_gap",
    ),
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
}
