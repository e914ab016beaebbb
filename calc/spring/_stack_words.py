"""What the stack step says: its findings and its practice."""

from __future__ import annotations

from collections.abc import Mapping

from calc.limits import BY_NAME
from calc.step import Check, Practice

_RING = "stack_kind == 'ring'"
_TWO = "not (stack_kind == 'single')"

CHECKS: tuple[Check, ...] = (
    BY_NAME["ring_unreached"].check,
    BY_NAME["ring_at_rest"].check,
    Check(
        rule="tender binds before the ring",
        when=_RING,
        condition="tender_left > 0",
        holds="The divider reaches the ring before the tender binds.",
        fails="The tender binds at {tender_bind_travel}, before the ring takes over: the rate steps up there, coil "
        "on coil, and the ring does nothing.",
        unchecked="Whether the tender binds before the ring",
    ),
    BY_NAME["tender_bind"].check,
    BY_NAME["main_bind"].check,
    BY_NAME["helper_open"].check_with({"At rest": "At rest", "Then": "At rest"}),
    Check(
        rule="tender works",
        when=_RING,
        condition="crossover_travel > maximum(-preload, 0)",
        holds="The tender works from full extension to the crossover at {crossover_travel}.",
        fails="The tender is never loaded: the divider sits on the ring before the tender can work. Raise the ring.",
        unchecked="Whether the tender works",
    ),
    BY_NAME["preload_floor"].check,
    BY_NAME["loose"].check,
    BY_NAME["adjuster_end"].check,
    BY_NAME["adjuster_reserve"].check,
    BY_NAME["ring_room"].check,
    BY_NAME["thread"].check,
    BY_NAME["body"].check,
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

PRACTICE: tuple[Practice, ...] = (
    Practice(
        text="A {tender_rate} tender sits on a {main_rate} main. The ring gap is {ring_gap}, the preload "
        "{preload}. At what damper travel is the crossover?",
        asks="crossover_travel",
        vary=("tender_rate", "main_rate", "ring_gap", "preload"),
    ),
    Practice(
        text="A {tender_rate} tender sits on a {main_rate} main. What is the rate of both together?",
        asks="stack_rate",
        vary=("tender_rate", "main_rate"),
    ),
)

GROUPS: Mapping[str, tuple[str, ...]] = {
    "Springs on it": ("stack_kind",),
    "Tender (adjuster end)": ("tender_rate", "tender_free_length", "tender_solid_length"),
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
