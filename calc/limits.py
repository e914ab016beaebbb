"""Every hard limit of a spring set, and every wish that is judged like one, declared once.

A limit is a number of a set against another number: what it keeps is its margin, at or above 0 the limit holds. The search
counts and ranks by that margin, the trials count how often it is kept, and the finding on the sheet prints the two numbers
that it is the difference of. So a limit that is added here is known to the search, to "why not", to the nearest misses, to
the trials, to the findings, and to whether an order may be placed.

Numbers are called as the steps and the search call them; whoever judges gives them by name, for one set or for arrays.
"""

# Over 400 lines: one table, in the order in which the search counts; each limit is declared once, with its words.
from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from calc import units, vocabulary
from calc.quantity import Quantity
from calc.step import PRACTICE, Check, Source
from calc.units import INCH

# --- what is taken where the reader sets no limit: common practice, without a source -----------------------------------------

LEAST_PRELOAD = 0.375 * INCH
LEAST_TENDER_LEFT = 0.375 * INCH
LEAST_MAIN_LEFT = 0.5 * INCH
LEAST_ADJUSTER_LEFT = 0.25 * INCH
BUMP_MARGIN = 0.5 * INCH
DROOP_MARGIN = 0.25 * INCH
# How far the rig may stand off the wanted ride height, along the damper.
HEIGHT_BAND = 0.5 * INCH
# What tolerance and set of all free lengths of a stack together can take of its preload.
LEAST_SEATED = 0.1875 * INCH

# How many times the rate may grow at the crossover: wide, since we know of no published range.
STEP_RATIO = (1.5, 4.0)

step_ratio = Quantity(
    label="Step at the crossover",
    symbol="q_s",
    kind=units.RATIO,
    low=1.0,
    high=20.0,
    typical=2.5,
    help="Rate past the crossover, by the rate before it.",
)

# --- what a limit is --------------------------------------------------------------------------------------------------------

# On which stacks a limit is judged, with the condition that says so in the stack's own step.
Of = Literal["any", "two", "ring", "helper"]
_WHEN: Mapping[Of, str] = {
    "any": "",
    "two": "not (stack_kind == 'single')",
    "ring": "stack_kind == 'ring'",
    "helper": "not (helper_kind == 'none')",
}
LOOSE, SOLID = "a loose spring can leave its seat", "a spring that goes solid can break"
_ENDED = "a damper that ends its own travel breaks its rod, its eye or its mount"


@dataclass(frozen=True, kw_only=True)
class Limit:
    """One limit: which number is held against which, what is said of it, and whether it may give way.

    `value` must be at least `at_least` and at most `at_most`, numbers by name or in SI. `rule` is what its finding is called,
    `reason` what is counted where it rejects a set, `trial` what a set does that keeps it.
    `firm` says why it is never suggested to give way; else `giving` is what gives way, printed as `quantity`, if it can
    give by parts. `scale` is what a miss is measured against where misses of different limits are compared.
    `of` says on which stacks it is judged, `fixed` that no set of springs moves it, `warns` that it is a wish whose miss is
    told and scored, and rejects nothing.
    `entries` are what it needs of an axle's entries besides what a search needs anyway: without one it is not checked.
    `searched` says whether the search judges it. The trials do where it has a `trial`: against `trial_at_least` in place of
    a limit whose margin is there for the tolerances that they draw themselves. `source` says who gives a limit in numbers.
    """

    name: str
    rule: str
    value: str
    at_least: str | float | None = None
    at_most: str | float | None = None
    reason: str = ""
    trial: str = ""
    firm: str = ""
    giving: str = ""
    quantity: Quantity | None = vocabulary.length
    scale: float = 1.0 * INCH
    of: Of = "any"
    fixed: bool = False
    entries: tuple[str, ...] = ()
    searched: bool = True
    trial_at_least: float | None = None
    source: Source | None = None
    holds: str = ""
    close: str = ""
    fails: str = ""
    unchecked: str = ""
    warns: bool = False

    @property
    def check(self) -> Check:
        """The rule as a step judges it."""
        return self.check_with({})

    def check_with(self, words: Mapping[str, str]) -> Check:
        """Return the rule, `[name]` in its sentences replaced by these words."""

        def said(text: str) -> str:
            for name, word in words.items():
                text = text.replace(f"[{name}]", word)
            return text

        return Check(
            rule=self.rule,
            value=self.value,
            at_least=self.at_least,
            at_most=self.at_most,
            source=self.source,
            holds=said(self.holds),
            close=said(self.close),
            fails=said(self.fails),
            unchecked=said(self.unchecked),
            when=_WHEN[self.of],
            warns=self.warns,
        )

    def margin(self, numbers: Any) -> Any:
        """Return what is kept of the limit, for one set or for arrays of sets; below 0 it is broken.

        >>> BY_NAME["main_bind"].margin({"main_left": 0.02, "least_main_left": 0.0127}) > 0
        True
        """
        sides = self.sides(numbers)
        return sides[0] if len(sides) == 1 else np.minimum(*sides)

    def sides(self, numbers: Any) -> tuple[Any, ...]:
        """Return what is kept above the least and below the most, each by itself: the lesser of both is the margin."""
        value, sides = numbers[self.value], []
        if self.at_least is not None:
            sides.append(value - _number(self.at_least, numbers))
        if self.at_most is not None:
            sides.append(_number(self.at_most, numbers) - value)
        return tuple(sides)

    def wanted(self, numbers: Any) -> Any:
        """Return the least that the value may be."""
        return _number(self.at_least or 0.0, numbers)

    def trial_margin(self, numbers: Any) -> Any:
        """Return what a trial keeps of the limit, whose tolerances are drawn."""
        return self.margin(numbers) if self.trial_at_least is None else numbers[self.value] - self.trial_at_least


def _number(limit: str | float, numbers: Any) -> Any:
    return numbers[limit] if isinstance(limit, str) else limit


# --- the limits, in the order in which the search counts its reasons ----------------------------------------------------------

_FREQUENCY = vocabulary.natural_frequency

LIMITS: tuple[Limit, ...] = (
    Limit(
        name="too_long",
        rule="droop left",
        value="backed_off_preload",
        at_most="most_preload",
        reason="Too long: with the adjuster backed off the rig sits too high",
        giving="the room for the springs",
    ),
    Limit(
        name="too_short",
        rule="adjuster reserve",
        value="lowest_preload",
        at_most="highest_preload",
        reason="Too short: the adjuster cannot reach the least preload",
        firm=LOOSE,
    ),
    Limit(
        name="helper_open",
        rule="helper closed at rest",
        value="helper_open_at_rest",
        at_most=0.0,
        reason="The helper is not closed at rest, in some load case",
        trial="keeps the helper closed at rest",
        firm=LOOSE,
        of="helper",
        holds="[At rest] the helper is closed: the rate there is that of the springs under it.",
        fails="[Then] the helper is still open by {value}: the rig rides on all springs in series, far softer. Take a "
        "shorter or a softer helper.",
        unchecked="Whether a helper is closed at rest",
    ),
    Limit(
        name="ride_frequency",
        rule="ride frequency",
        value="ride_frequency",
        at_least="wanted_frequency_low",
        at_most="wanted_frequency_high",
        reason="Ride frequency outside what is wanted",
        trial="rides inside the wanted frequency",
        giving="the wanted ride frequency",
        quantity=_FREQUENCY,
        scale=0.1,
        holds="It rides at {value}, inside the wanted [wanted].",
        close="It rides at {value} ± {doubt}, so it may leave the wanted [wanted].",
        fails="It rides at {value}, outside the wanted [wanted].",
    ),
    Limit(
        name="ride_height",
        rule="ride height as wanted",
        value="damper_length",
        at_least="wanted_length_low",
        at_most="wanted_length_high",
        # A wish: the preload is set for it, and what it is missed by is scored.
        searched=False,
        warns=True,
        quantity=vocabulary.damper_length,
        holds="It rides with the damper at {value} eye to eye; wanted is [wanted].",
        close="It rides with the damper at {value} ± {doubt} eye to eye; wanted is [wanted].[mend]",
        fails="It rides with the damper at {value} eye to eye, [off]; wanted is [wanted].[mend]",
    ),
    Limit(
        name="no_crossover",
        rule="crossover as wanted",
        value="crossovers",
        at_least="crossovers_wanted",
        reason="A single spring has no crossover",
        giving="the wanted crossover",
        quantity=None,
        scale=1e-9,
        holds="It has a crossover, as is wanted.",
        fails="A single spring has no crossover, and one is wanted.",
    ),
    Limit(
        name="frequency_past_crossover",
        rule="frequency past the crossover",
        value="frequency_past_crossover",
        at_least="wanted_frequency_past_crossover_low",
        at_most="wanted_frequency_past_crossover_high",
        reason="Frequency past the crossover outside what is wanted",
        trial="is inside the wanted frequency past the crossover",
        giving="the wanted frequency past the crossover",
        quantity=_FREQUENCY,
        scale=0.1,
        of="two",
        holds="Past the crossover it is {value}, inside the wanted [wanted].",
        close="Past the crossover it is {value} ± {doubt}, so it may leave the wanted [wanted].",
        fails="Past the crossover it is {value}, outside the wanted [wanted].",
    ),
    Limit(
        name="droop",
        rule="droop left",
        value="droop_left",
        at_least="wanted_droop",
        reason="Less droop left than wanted, in some load case",
        trial="keeps the wanted droop in every load case",
        giving="the wanted droop",
        holds="In every load case at least {value} of droop is left at the damper; {limit} is wanted.",
        close="The least droop left is {value} ± {doubt}; {limit} is wanted.",
        fails="In some load case only {value} of droop is left at the damper; {limit} is wanted.",
    ),
    Limit(
        name="bump",
        rule="bump left",
        value="bump_left",
        at_least="wanted_bump",
        reason="Less bump left than wanted, in some load case",
        trial="keeps the wanted bump in every load case",
        giving="the wanted bump",
        holds="In every load case at least {value} of bump is left at the damper; {limit} is wanted.",
        close="The least bump left is {value} ± {doubt}; {limit} is wanted.",
        fails="In some load case only {value} of bump is left at the damper; {limit} is wanted.",
    ),
    Limit(
        name="corners",
        rule="corners at rest",
        value="corner_left",
        at_least=0.0,
        trial="keeps bump, droop and ring at every corner",
        # Only the whole rig solved can break it.
        searched=False,
    ),
    Limit(
        name="ring_at_rest",
        rule="past the crossover at rest",
        value="crossover_above_ride",
        at_least=0.0,
        reason="Past the crossover at rest, in some load case",
        trial="sits short of its crossover in every load case",
        giving="the crossover's distance above ride",
        of="ring",
        holds="At ride {value} of damper travel is left to the crossover.",
        close="At rest the crossover is {value} away: some loads put the rig on the main alone.",
        fails="At rest the rig sits past the crossover ({value} to it): it rides on the main alone, and the adjuster "
        "no longer sets its height. Raise the ring.",
        unchecked="Whether the rig rests before the crossover",
    ),
    Limit(
        name="ring_room",
        rule="ring inside the tender",
        value="ring_room",
        at_least=0.0,
        reason="The ring and its nut do not fit inside the shortened tender",
        trial="has room for the ring inside the tender",
        giving="the room for the ring and its nut",
        of="ring",
        entries=("ring_thickness",),
        holds="At the crossover the ring stack has {value} of room below the upper seat.",
        fails="The ring stack does not fit inside the tender at the crossover: {value} of room is left.",
        unchecked="Whether the ring stack fits inside the tender",
    ),
    Limit(
        name="ring_unreached",
        rule="ring reached",
        value="crossover_travel",
        at_most="bump_limit",
        reason="The ring is not reached before full bump",
        trial="reaches its ring before full bump",
        giving="the crossover's distance below full bump",
        of="ring",
        holds="The divider meets the ring at {value}, before full bump at {limit}.",
        fails="The ring is never reached: the crossover at {value} lies beyond full bump at {limit}. Lower the ring.",
        unchecked="Whether the ring is reached",
    ),
    Limit(
        name="tender_bind",
        rule="tender left",
        value="tender_left",
        at_least="least_tender_left",
        reason="Tender binds before the ring",
        trial="keeps the tender from binding",
        firm=SOLID,
        of="two",
        holds="At the crossover, or at full bump if that comes first, the tender is {value} short of coil bind; the limit is {limit}.",
        fails="At the crossover, or at full bump if that comes first, the tender is {value} short of coil bind; the limit is {limit}. "
        "With this solid length it needs {shortest_tender} of free length.",
        unchecked="What the tender has left before it binds",
    ),
    Limit(
        name="main_bind",
        rule="main left",
        value="main_left",
        at_least="least_main_left",
        reason="Main binds before full bump",
        trial="keeps the main from binding",
        firm=SOLID,
        holds="At full bump the main has {value} left before it binds; the limit is {limit}.",
        fails="At full bump the main has {value} left before it binds; the limit is {limit}. "
        "With this solid length it needs {shortest_main} of free length; a later crossover helps too.",
        unchecked="What the main has left at full bump",
    ),
    Limit(
        name="preload_floor",
        rule="preload floor",
        value="preload",
        at_least="least_preload",
        # The search sets no other preload: where none is left, the springs are too short.
        searched=False,
        holds="The preload of {value} is above the floor of {limit}.",
        fails="The preload of {value} is below {limit}: tolerance and set may let the springs rattle.",
        close="The preload of {value} is about the floor of {limit}, which tolerance and set use up.",
    ),
    Limit(
        name="adjuster_end",
        rule="adjuster backed off",
        value="adjuster_setting",
        at_least=0.0,
        trial="keeps the adjuster down from fully backed off",
        searched=False,
        holds="The adjuster is run down by {value}.",
        fails="The springs are too long for the seats: the adjuster would sit at {value} on its thread. "
        "Take shorter springs or more preload.",
        unchecked="Whether the springs go in with the adjuster backed off",
    ),
    Limit(
        name="adjuster_reserve",
        rule="adjuster reserve",
        value="adjuster_left",
        at_least="least_adjuster_left",
        trial="keeps the adjuster's reserve",
        searched=False,
        holds="The adjuster has {value} of thread left; {limit} is wanted for set.",
        fails="The adjuster has {value} of thread left; {limit} is wanted for set. Take longer springs.",
        unchecked="What thread the adjuster has left",
    ),
    Limit(
        name="loose",
        rule="loose at droop",
        value="preload_at_droop",
        at_least=LEAST_SEATED,
        reason="Loose at droop once tolerance and set of the lengths are used up",
        trial="keeps its springs seated at full droop",
        trial_at_least=0.0,
        firm=LOOSE,
        source=PRACTICE,
        holds="At full droop the springs are still shortened by {value}: no spring comes loose.",
        close="At full droop the springs are shortened by {value}, about the {limit} that tolerance and set can take.",
        fails="At full droop the springs are shortened by {value}; tolerance and set can take {limit}. They may hang loose, "
        "rattle, and jump off their seats.",
    ),
    Limit(
        name="thread",
        rule="ring on its thread",
        value="thread_left",
        at_least=0.0,
        reason="The ring is below the end of its thread",
        trial="keeps the ring on its thread",
        firm="a ring needs its thread",
        of="ring",
        entries=("thread_length",),
        holds="The ring is on its thread, {value} above its end.",
        fails="The ring is below the end of its thread: {value} is left.",
        unchecked="Whether the ring is on its thread",
    ),
    Limit(
        name="body",
        rule="divider on the body",
        value="body_left",
        at_least=0.0,
        reason="The divider comes off the damper's body at full droop",
        trial="keeps the divider on the damper's body at full droop",
        firm="a divider that leaves the body jams",
        of="two",
        entries=("body_length",),
        holds="At full droop the divider is still on the body, {value} above its end.",
        fails="At full droop the divider comes off the body: {value} is left. It jams when it comes back.",
        unchecked="Whether the divider stays on the body at droop",
    ),
    Limit(
        name="pad",
        rule="bump stop clear at rest",
        value="pad_clear",
        at_least=0.0,
        reason="The bump stop is pressed at rest, in some load case",
        trial="stays clear of the bump stop in every load case",
        giving="staying clear of the bump stop",
        entries=("pad_touch_before_collapsed",),
        holds="At rest the bump stop is clear in every load case, by at least {value}.",
        close="At rest the bump stop is clear by {value} ± {doubt} in the heaviest load case.",
        fails="At rest the bump stop is already pressed in some load case ({value}).",
        unchecked="Whether the bump stop is clear at rest",
    ),
    Limit(
        name="stop",
        rule="the stop is solid before the damper is",
        value="bump_spare",
        at_least="bump_margin",
        reason="The damper comes too near its end before its bump stop is solid",
        trial="has its bump stop solid before the damper is",
        trial_at_least=0.0,
        firm=_ENDED,
        fixed=True,
        entries=("damper_collapsed",),
        holds="With the bump stop solid the damper has {value} to spare; {limit} is wanted.",
        close="With the bump stop solid the damper has {value} to spare, give or take {doubt}; {limit} is wanted.",
        fails="With the bump stop solid the damper has only {value} to spare; {limit} is wanted. Space the stop down, or "
        "take a damper that is at most {longest_collapsed} collapsed.",
        unchecked="Whether the bump stop is solid before the damper is",
    ),
    Limit(
        name="strap",
        rule="the mounts end before the damper does",
        value="droop_spare",
        at_least="droop_margin",
        reason="No limit strap ends the droop before the damper does",
        trial="has its droop ended before the damper is",
        trial_at_least=0.0,
        firm=_ENDED,
        fixed=True,
        entries=("limit_strap", "strap_travel"),
        holds="At full droop the damper has {value} to spare; {limit} is wanted.",
        close="At full droop the damper has {value} to spare, give or take {doubt}; {limit} is wanted.",
        fails="At full droop the damper has only {value} to spare; {limit} is wanted. A shorter strap, or a damper that "
        "is at least {shortest_extended} extended.",
        unchecked="Whether a limit strap ends the droop before the damper does",
    ),
    Limit(
        name="strap_stretch",
        rule="the strap spares the damper even at its longest",
        value="strapped_spare",
        at_least=0.0,
        reason="The limit strap, stretched, lets the damper be pulled to its end",
        firm=_ENDED,
        fixed=True,
        holds="Cut to {strap_length}, the strap leaves the damper {value} even at its longest.",
        close="Cut to {strap_length}, the strap leaves the damper about {value} at its longest.",
        fails="Cut to {strap_length}, the strap lets the damper be pulled to its end when it stretches the most: the "
        "damper would be short by that much, {value}.",
        unchecked="Whether the strap spares the damper",
    ),
    Limit(
        name="rating",
        rule="axle rating",
        value="axle_mass",
        at_most="axle_rating",
        reason="The axle carries more than it is rated for, in some load case",
        trial="stays within the axle's rating",
        firm="an axle over its rating can break",
        fixed=True,
        quantity=vocabulary.axle_mass,
        scale=50.0,
        entries=("axle_rating",),
        holds="The [axle] axle carries at most {value}; it is rated for {limit}.",
        close="The [axle] axle carries up to {value} ± {doubt}; it is rated for {limit}.",
        fails="The [axle] axle carries up to {value}, more than the {limit} it is rated for.",
        unchecked="Whether the [axle] axle stays within its rating in every load case",
    ),
    Limit(
        name="step",
        rule="rate step at the crossover",
        value="step_ratio",
        at_least="wanted_step_low",
        at_most="wanted_step_high",
        searched=False,
        warns=True,
        quantity=step_ratio,
        of="ring",
        holds="At the crossover the rate grows {value} times; {limits} is wanted.",
        fails="At the crossover the rate grows {value} times; {limits} is wanted. Nearer to that a step is felt less, or does more.",
    ),
)

BY_NAME: Mapping[str, Limit] = {limit.name: limit for limit in LIMITS}
# What the search counts, in its order, and what keeps a set from counting against a firm limit.
SEARCHED: tuple[Limit, ...] = tuple(limit for limit in LIMITS if limit.searched)
REASONS: Mapping[str, str] = {limit.name: limit.reason for limit in SEARCHED}
FIRM: Mapping[str, str] = {limit.name: limit.firm for limit in SEARCHED if limit.firm}
SCALE: Mapping[str, float] = {limit.name: limit.scale for limit in SEARCHED}
# What the whole rig, solved, judges again at each corner, where the search goes by an axle's mean.
AT_CORNERS: tuple[Limit, ...] = tuple(BY_NAME[name] for name in ("bump", "droop", "ring_at_rest"))
TRIED: tuple[Limit, ...] = tuple(limit for limit in LIMITS if limit.trial)
FIXED: tuple[Limit, ...] = tuple(limit for limit in LIMITS if limit.fixed)
HARD_RULES = frozenset(limit.rule for limit in LIMITS if not limit.warns)


def shortfalls(names: Iterable[str], numbers: Any, judged: Mapping[Of, Any], like: Any) -> dict[str, Any]:
    """Return by how much sets miss some limits; above 0 a limit is broken, and -1 stands where it is not judged.

    `judged` masks the sets that a kind of limit applies to; a kind that it leaves out applies to all. A limit whose number
    is None is not checked. `like` has the shape of the sets.
    """
    found = {}
    for name in names:
        limit = BY_NAME[name]
        if numbers[limit.value] is None:
            found[name] = np.full(np.shape(like), -1.0)
            continue
        missing = -limit.margin(numbers)
        mask = judged.get(limit.of)
        found[name] = missing if mask is None else np.where(mask, missing, -1.0)
    return found
