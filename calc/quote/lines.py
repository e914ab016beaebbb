"""The lines of the answer to a quote: each a statement about one axle, judged over everything the quote does not say.

What neither quote nor scale slip tells (unsprung weight, motion ratio, preload, ring, gas, solid lengths) is tried over
its whole plausible span at once, the stop ring's place with the rest. A line then holds whatever the unknowns are, fails whatever they are, or depends on
some of them, and those are what to ask the shop. Left and right are taken alike.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields

from calc.quantity import SHOP, Display, Quantity
from calc.quote.entries import Quote, QuotedAxle
from calc.quote.judge import LOAD, Judge
from calc.quote.printing import MISSING, Line, bare, entry, exact, listed, question
from calc.quote.rules import RULES
from calc.quote.unknowns import UNKNOWN, has_helper, slope_known, spans
from calc.vocabulary import AXLES


def judge(quote: Quote, display: Display = SHOP, unclear: frozenset[str] = frozenset()) -> tuple[Line, ...]:
    """Return every line of the answer, front axle first; an axle of which nothing is entered has none.

    `unclear` are keys of entries that were typed but cannot be used: what needs one of them is not checked.
    """
    found: list[Line] = []
    for axle in AXLES:
        own = quote.axle(axle)
        marked = frozenset(key.partition(".")[2] for key in unclear if key.startswith(f"{axle}."))
        if marked or any(getattr(own, item.name) is not None for item in fields(QuotedAxle)):
            judged = Judge(axle, own, display, marked)
            found += [judged.line(rule) for rule in RULES if rule.applies(judged)]
    return tuple(found)


def questions(lines: Sequence[Line]) -> tuple[str, ...]:
    """Return what to send to the shop: each unknown once, for all axles that need it, then what fails."""
    asked: dict[str, list[str]] = {}
    for line in lines:
        if line.state == "depends" and line.question:
            for name in line.depends_on:
                if name in UNKNOWN or name in MISSING:
                    axles = asked.setdefault(name, [])
                    axles += [line.axle] if line.axle not in axles else []
    merged = {question(name, axles): None for name, axles in asked.items()}
    merged |= dict.fromkeys(line.also_asks for line in lines if line.also_asks)
    merged |= dict.fromkeys(line.question for line in lines if line.state == "fails")
    return tuple(merged)


def tally(lines: Sequence[Line]) -> tuple[tuple[int, str], ...]:
    """Return how many lines hold, are to ask, fail, and wait for an entry, each with its word."""
    waits = sum(line.waits for line in lines)
    count = {state: sum(line.state == state for line in lines) for state in ("holds", "depends", "fails")}
    found = (
        (count["holds"], "holds" if count["holds"] == 1 else "hold"),
        (count["depends"] - waits, "to ask"),
        (count["fails"], "fails" if count["fails"] == 1 else "fail"),
    )
    return (*found, (waits, "waits" if waits == 1 else "wait")) if waits else found


def depends_words(line: Line) -> str:
    """Return what a line depends on, in words.

    >>> one = Line(axle="rear", rule="bump", title="", state="depends", depends_on=("preload", "ring_gap"), text="")
    >>> depends_words(one)
    'the preload and the stop ring'
    """
    return listed([UNKNOWN[name].words if name in UNKNOWN else f"the {entry(name)}" for name in line.depends_on])


def verdict_words(line: Line) -> str:
    """Return a line's verdict: holds, depends on something, fails, or was not checked for what cannot be read."""
    if line.unread:
        return f"Not checked: {listed([entry(name) for name in line.unread])} cannot be read"
    if line.state == "depends":
        return f"{'Waits for' if line.waits else 'Depends on'} {depends_words(line)}"
    return f"{line.state.capitalize()} in every case"


# --- what was assumed -------------------------------------------------------------------------------------------------------


def assumed(quote: Quote, display: Display = SHOP) -> str:
    """Return the sentence that says which unknowns were tried over which span, or nothing while no axle is entered."""
    entered = [axle for axle in AXLES if _entered(quote.axle(axle))]
    if not entered:
        return ""
    parts = []
    for name, is_open in _OPEN.items():
        where = [axle for axle in entered if is_open(quote.axle(axle))]
        unknown = UNKNOWN[name]
        ranges = {axle: _span_text(spans(quote.axle(axle))[name], unknown.quantity, display) for axle in where}
        if len(set(ranges.values())) == 1 and where == entered:
            parts.append(unknown.with_value.format(ranges[where[0]]))
        elif where:
            parts.append(", ".join(f"{unknown.with_value.format(ranges[axle])} at the {axle}" for axle in where))
    ring_unknown = any(
        quote.axle(axle).tender_rate is not None and quote.axle(axle).ring_gap is None for axle in entered
    )
    sentences = []
    if ring_unknown:
        parts.append("a stop ring anywhere")
    if parts:
        listed = "; ".join(parts)
        sentences.append(f"Not on the quote, so tried over a whole range (common practice, no source): {listed}.")
    if not all(slope_known(quote.axle(axle)) for axle in entered):
        sentences.append("The motion ratio is taken to change as that of a coil-over that leans.")
    sentences.append("Where it rides is worked as if no spring bound on the way; whether one binds has its own line.")
    if any(quote.axle(axle).axle_mass_full is not None for axle in entered):
        sentences.append("Motion ratio and gas force count alike at both weights.")
    none = "no limit strap" if any(has_helper(quote.axle(axle)) for axle in entered) else "no limit strap and no helper"
    sentences.append(f"Weights and rates count as entered, left and right as alike, and there is {none}.")
    return " ".join(sentences)


def _entered(own: QuotedAxle) -> bool:
    rates = own.main_rate is not None and (own.helper_rate is not None or not has_helper(own))
    return rates and own.axle_mass is not None and own.damper_stroke is not None


def _lacks(name: str) -> Callable[[QuotedAxle], bool]:
    return lambda own: getattr(own, name) is None


# What is told of an axle as tried over a span, and when.
_OPEN: Mapping[str, Callable[[QuotedAxle], bool]] = {
    **{name: _lacks(name) for name in (*LOAD, "preload", "solid_before_collapsed")},
    **{name: _lacks(name) for name in ("tire_rate", "gas_rate")},
    "damper_length": lambda own: own.damper_length is None and not slope_known(own),
    "adjuster_range": lambda own: own.seat_space is not None and own.adjuster_range is None,
    "divider_thickness": lambda own: (
        own.seat_space is not None
        and own.divider_thickness is None
        and (own.tender_rate is not None or has_helper(own))
    ),
    "main_solid_length": lambda own: own.main_free_length is not None and own.main_solid_length is None,
    "main_closing": _lacks("main_free_length"),
    "tender_solid_length": lambda own: own.tender_free_length is not None and own.tender_solid_length is None,
    "tender_closing": lambda own: own.tender_rate is not None and own.tender_free_length is None,
    "helper_solid_length": lambda own: own.helper_free_length is not None and own.helper_solid_length is None,
    "helper_closing": lambda own: has_helper(own) and own.helper_free_length is None,
}


def _span_text(span: tuple[float, float], quantity: Quantity, display: Display) -> str:
    low, high = (exact(value, quantity, display) for value in span)
    return f"{bare(low)} to {high}"


def frequencies(quote: Quote, display: Display = SHOP, unclear: frozenset[str] = frozenset()) -> str:
    """Return the sentence that tells the ride frequencies, which no line judges unless the reader wishes one.

    `unclear` are keys of entries that cannot be used: of their axle nothing is told.
    """
    found = []
    for axle in AXLES:
        own = quote.axle(axle)
        if _entered(own) and not any(key.startswith(f"{axle}.") for key in unclear):
            found.append(f"{axle} {Judge(axle, own, display, frozenset()).frequency_words()}")
    if not found:
        return ""
    told = f"Ride frequency: {'; '.join(found)}."
    if any(quote.axle(axle).wanted_frequency_low is not None for axle in AXLES):
        return told
    return f"{told} We know of no published range for such rigs, so it is shown and not judged."
