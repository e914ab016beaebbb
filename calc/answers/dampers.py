"""What a choice over dampers and springs found, for a program and for a person in 80 columns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from calc import limits, vocabulary
from calc.answer import text
from calc.answer.parts import Grid, Listed, Paragraph, Part, estimate
from calc.answers.order_data import needs_data, set_data
from calc.answers.sets import named, past_text
from calc.cautions import caution
from calc.errors import Needs
from calc.json_text import picked, plain
from calc.order.dampers import REASONS, Bodies, Body, Pair, choose_both, deciding
from calc.order.findings import count
from calc.quantity import SHOP, Display
from calc.rig.axle import label, needs_told
from calc.rig.rig import Rig
from calc.tables import Dampers, Springs

_LENGTH = vocabulary.length
_FREQUENCY = vocabulary.natural_frequency
# How many of the reasons against the sets on one damper are told.
_MOST_TOLD = 60
_MOST_REASONS = 3
HOW_RANKED = (
    "Ranked by the springs' score alone: a damper's price, stock and valving do not count in it. "
    "Bump stop and limit strap stay where they are on the rig. "
    "Before you order, enter the damper you take for its axle and choose again: "
    "only then is the whole rig solved with it."
)


def bodies_data(rig: Rig, dampers: Dampers, springs: Springs) -> dict[str, Any]:
    """Return the choice for a program: SI numbers, part codes instead of places in a list."""
    found = choose_both(rig, dampers, springs)
    reasons = list(_reasons(rig, dampers, springs))
    return {
        "rig": rig.name,
        "estimate": bool(reasons),
        "reasons": reasons,
        "axles": {one.axle: _axle_data(one) for one in found},
    }


def _axle_data(found: Bodies) -> dict[str, Any]:
    if found.needs is not None or found.mounts is None:
        return needs_data(found.needs or Needs())
    return {
        "needs": [],
        "problems": [],
        "mounts": {**picked(found.mounts, "shortest", "longest"), "decided_by": plain(deciding(found))},
        **picked(found, "searched", "working"),
        "rejected": found.counts(),
        "pairs": [{"damper": pair.part, **set_data(pair.springs, found.springs)} for pair in found.pairs],
        "dampers": {body.part: _body_data(body, found.dampers) for body in found.bodies},
    }


def _body_data(body: Body, dampers: Dampers) -> dict[str, Any]:
    def given(name: str) -> Any:
        return getattr(dampers, name)[body.index].item() if dampers.gives(name, body.index) else None

    told: dict[str, Any] = {
        "reason": body.reason or None,
        "over": body.over,
        "problem": body.sentence,
        "price": given("price"),
        "stock": given("stock"),
    }
    if body.choice is None:
        return told
    counted = ("tried", "working", "rejected")
    return {**told, **picked(body.choice, "fitting", *counted), "helped": picked(body.choice.helped, *counted)}


def _reasons(rig: Rig, dampers: Dampers, springs: Springs) -> Iterable[str]:
    """Say why nothing may be ordered from the choice."""
    examples = sum(entry.origin == "example" for entry in rig.values.values())
    if examples:
        yield f"{count(examples, 'value')} {'is an example' if examples == 1 else 'are examples'}"
    if dampers.example:
        yield "the damper list is an invented example"
    if springs.example:
        yield "the spring list is an invented example"


def bodies_text(rig: Rig, dampers: Dampers, springs: Springs, display: Display = SHOP) -> str:
    """Return the choice for a person, in 80 columns."""
    return text.written(bodies_parts(rig, dampers, springs, display), display)


def bodies_parts(rig: Rig, dampers: Dampers, springs: Springs, display: Display) -> Iterator[Part]:
    """Yield what was found at each axle, and how far it may be trusted."""
    yield Paragraph(text=f"Dampers and springs for {rig.name or 'a rig without a name'}")
    yield estimate(tuple(_reasons(rig, dampers, springs)))
    for found in choose_both(rig, dampers, springs):
        yield from _axle(found, display)
    yield Paragraph(text=HOW_RANKED)
    yield Listed(title="CAUTION", lines=(caution("spring_and_gas"), caution("driving", "ratings", "strength")))


def _axle(found: Bodies, display: Display) -> Iterator[Part]:
    head = found.axle.upper()
    if found.needs is not None:
        yield Listed(title=head, lines=tuple(needs_told(found.needs)))
        return
    yield Listed(title=head, lines=tuple(allowed_lines(found, display)))
    if found.pairs:
        yield _pairs(found.pairs, found, display)
    yield Listed(title="Each damper of the list", lines=tuple(damper_lines(found, display)))
    against = tuple((REASONS[name], f"{number:,}") for name, number in found.counts().items() if number)
    yield Grid(caption="Why not the other dampers", heads=("Dampers that", ""), rows=against)


def allowed_lines(found: Bodies, display: Display) -> Iterable[str]:
    """Say what the mounts allow, which entries decide it, and how many dampers come to something."""
    if found.mounts is None:
        return
    allowed = found.mounts
    yield (
        f"Eye to eye the mounts allow from {display.text(allowed.shortest, _LENGTH)}, with the bump stop solid, "
        f"to {display.text(allowed.longest, _LENGTH)}, at full droop."
    )
    for name, entries in deciding(found).items():
        named = [f"“{label(key)}”" for key in entries]
        yield f"The {name} length follows from {_joined(named)}."
    yield (
        f"{count(found.searched, 'damper')} of {len(found.bodies):,} fit between the mounts; "
        f"{found.working:,} of them {'has' if found.working == 1 else 'have'} springs that work in every load case."
    )


def _pairs(pairs: Sequence[Pair], found: Bodies, display: Display) -> Grid:
    rows = []
    for pair in pairs:
        one = pair.springs
        body = next(body for body in found.bodies if body.index == pair.damper)
        ride = one.ride_frequency[body.problem.reference if body.problem else 0]
        name = f"{pair.part}: {named(one, found.springs, display)}"
        rows.append((name, display.text(ride, _FREQUENCY), past_text(one, display)))
    return Grid(
        caption="Best pairs", heads=("Damper, and springs from the adjuster end", "Ride", "Past"), rows=tuple(rows)
    )


def damper_lines(found: Bodies, display: Display) -> Iterable[str]:
    """Say what became of each damper; of a long list, of those that springs were tried on first, and how many are not told."""
    told = found.bodies
    if len(told) > _MOST_TOLD:
        # Those that have springs stand first, then those that fit, each by part code.
        told = tuple(sorted(told, key=lambda body: (bool(body.reason), body.choice is None)))[:_MOST_TOLD]
    for body in told:
        yield damper_line(body, found, display)
    if len(found.bodies) > len(told):
        yield f"And {len(found.bodies) - len(told):,} more."


def damper_line(body: Body, found: Bodies, display: Display) -> str:
    """Say what became of one damper."""
    if body.choice is None:
        by = "" if body.over is None else f" (by {display.text(body.over, _LENGTH)})"
        return f"{body.part}: {_small(REASONS[body.reason])}{by}. {body.sentence}".rstrip()
    choice = body.choice
    text = f"{body.part}: {choice.working:,} of {choice.tried:,} sets work"
    if choice.helped.working:
        text += f", and {choice.helped.working:,} with a helper"
    if found.dampers.gives("stock", body.index):
        text += f"; {int(found.dampers.stock[body.index]):,} in stock"
    if not (choice.problem.coilover.rod_area > 0):
        text += "; its gas is not given, so it is left out"
    most = sorted(choice.rejected.items(), key=lambda item: -item[1])[:_MOST_REASONS]
    told = "; ".join(f"{number:,} {_small(limits.REASONS[name])}" for name, number in most if number)
    return f"{text}. Rejected, mostly: {told}." if told else f"{text}."


def _joined(words: Sequence[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]
