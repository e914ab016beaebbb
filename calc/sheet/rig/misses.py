"""Why the other sets are not offered: nearest misses, counted reasons, the limits that might give way, and the rules."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from calc import vocabulary
from calc.limits import FIRM, REASONS
from calc.order.axle_order import AxleOrder
from calc.order.choice_words import given_way, height_line, relax_line, ruled_out_line, unchecked_line
from calc.quantity import Display
from calc.rig import rank_weights
from calc.search.problem import Choice, Problem, SpringSet
from calc.sheet import markup
from calc.sheet.answer import rows_table

_LENGTH, _FREQUENCY = vocabulary.length, vocabulary.natural_frequency
_HEADS = ("Sets", "By itself", "First set when it gives")


def nearest(choice: Choice, display: Display, name: Callable[[SpringSet], str]) -> str:
    """Return the sets that miss one limit by little, and by how much."""
    if not choice.near:
        return ""
    rows = "".join(
        f"<li>{markup.mark('fails')}<span>{markup.word('fails')} <strong>{escape(name(one))}.</strong> "
        f"{escape(_miss(choice.problem, one, display))}</span></li>"
        for one in choice.near
    )
    return f'<h3>Nearest misses</h3><ul class="hb-findings">{rows}</ul>'


def _miss(task: Problem, one: SpringSet, display: Display) -> str:
    """Say by how much a set misses its one broken limit."""
    name = one.broken()[0]
    wishes, limits, coilover = task.wishes, task.limits, task.coilover
    low, high = min(one.ride_travel), max(one.ride_travel)

    def length(value: float) -> str:
        return display.text(value, _LENGTH, decimals=3 if display.system == "shop" else None)

    def span(wanted: tuple[float, float]) -> str:
        return f"{display.number(wanted[0], _FREQUENCY)} to {display.text(wanted[1], _FREQUENCY)}"

    def frequency(value: float) -> str:
        return display.text(value, _FREQUENCY, decimals=4)

    past = one.frequency_past_crossover or 0.0
    sentences = {
        "main_bind": lambda: (
            f"The main has {length(one.main_left)} left at full bump; the limit is {length(limits.main_left)}."
        ),
        "tender_bind": lambda: (
            f"The tender has {length(one.tender_left or 0.0)} left at the ring; the limit is {length(limits.tender_left)}."
        ),
        "ride_frequency": lambda: (
            f"It rides at {frequency(one.ride_frequency[task.reference])}; wanted is {span(wishes.frequency)}."
        ),
        "frequency_past_crossover": lambda: (
            f"Past the crossover it is {frequency(past)}; wanted is {span(wishes.frequency_past_crossover or (0.0, 0.0))}."
        ),
        "droop": lambda: f"It leaves {length(low - coilover.strap_travel)} of droop; wanted is {length(wishes.droop)}.",
        "bump": lambda: f"It leaves {length(coilover.bump_limit - high)} of bump; wanted is {length(wishes.bump)}.",
    }
    if name in sentences:
        return sentences[name]()
    return f"{REASONS[name]}, by {length(one.shortfall[name])}."


def why_not(item: AxleOrder, display: Display) -> str:
    """Return which limit rejects how many sets, which of them might give way, and the rules of the rank."""
    choice = item.choice
    if choice is None:
        return ""
    others = choice.tried - choice.working
    rows = _reasons(choice, display)
    ruled_out = ruled_out_line(choice)
    if not rows and not ruled_out:
        return ""
    return (
        f'<details class="hb-open"><summary>Why not the other {others:,}</summary>'
        f"{f'<p>{escape(ruled_out)}</p>' if ruled_out else ''}{_told(choice, display)}"
        f"{rows_table(('First limit that the set fails', *_HEADS), rows)}"
        '<p class="hb-note">By itself: sets that break this limit and no other, with the settings they were given here, with and without a helper together.</p>'
        f"{_rules(choice.problem, display)}</details>"
    )


def _told(choice: Choice, display: Display) -> str:
    lines = (height_line(choice, display), relax_line(choice, display), unchecked_line(choice.problem))
    return "".join(f"<p>{escape(line)}</p>" for line in lines if line)


def _reasons(choice: Choice, display: Display) -> list[tuple[str, ...]]:
    relaxed = {item.limit: item for item in choice.relaxed}
    rows: list[tuple[str, ...]] = []
    for rejected, where in ((choice.rejected, ""), (choice.helped.rejected, "With a helper: ")):
        for name, number in sorted(rejected.items(), key=lambda pair: (-pair[1], pair[0])):
            if not number:
                continue
            reason = where + (REASONS[name][:1].lower() if where else REASONS[name][:1]) + REASONS[name][1:]
            # Sets with and without a helper are counted together, in the limit's first row.
            item = relaxed.pop(name, None)
            alone, by = ("–", "–") if item is None else (f"{item.admits:,}", given_way(item, display) or "given up")
            if name in FIRM:
                alone, by = "never", FIRM[name]
            rows.append((escape(reason), f"{number:,}", alone, escape(by)))
    return rows


def _rules(task: Problem, display: Display) -> str:
    """Print the limits and the weights, since they decide the answer."""
    limits, weights = task.limits, task.weights

    def length(value: float) -> str:
        return display.text(value, _LENGTH, decimals=3 if display.system == "shop" else None)

    hard = (
        f"Hard limits: preload at least {length(limits.preload_floor)}, adjuster thread kept {length(limits.adjuster_reserve)}, "
        f"tender left {length(limits.tender_left)}, main left {length(limits.main_left)}, "
        f"{'' if limits.ring_height is None else f'ring stack {length(limits.ring_height)}, '}"
        f"bore within {length(limits.bore_tolerance)}."
    )
    own = rank_weights.changed_line({key: getattr(weights, name) for name, key in rank_weights.WEIGHTS.items()})
    scored = (
        f"The rank adds up, each by its weight: ride height off the wanted one {weights.ride_height:g}, ride frequency off the middle of its range {weights.ride_frequency:g}, "
        f"frequency past the crossover {weights.frequency_past_crossover:g}, step at the crossover outside "
        f"{task.wishes.step[0]:g} to {task.wishes.step[1]:g} times {weights.step:g}, spare travel under an inch {weights.travel:g}, "
        f"spare before binding {weights.bind:g}, adjuster in reserve {weights.adjuster:g}, price {weights.price:g}, "
        f"too few in stock {weights.stock:g}, a helper {weights.helper:g}. The lowest sum is first; ties go by part code. "
        f"{own}"
    )
    return f'<p class="hb-note">{escape(hard)}</p><p class="hb-note">{escape(scored)}</p>'
