"""What a search says besides its ranks, in words: which limit to give up for more sets, and what the best sets trade."""

from __future__ import annotations

from collections.abc import Sequence

from calc import vocabulary
from calc.job.choose import MOST_HELPERS, REASONS, RULED_OUT, Choice, Problem, Relaxed, SpringSet, Trade, at_balance
from calc.job.rig import keys
from calc.limits import BY_NAME
from calc.quantity import Display
from calc.tables import Springs

NEVER = (
    "A spring that would go solid or come loose, a divider or ring off the body, a damper that ends its own travel, and an "
    "axle over its rating are never suggested."
)
_LEAST_TURN = 0.25
_LENGTH, _FREQUENCY = vocabulary.length, vocabulary.natural_frequency


def given_way(item: Relaxed, display: Display) -> str:
    """Return by how much a limit must give for its first set; nothing where a wish can only be given up whole."""
    quantity = BY_NAME[item.limit].quantity
    if quantity is None:
        return ""
    decimals = {_FREQUENCY: 4}.get(quantity, 3 if display.system == "shop" else None)
    return display.text(item.by, quantity, decimals=decimals)


def relax_line(choice: Choice, display: Display) -> str:
    """Say in one sentence which limit keeps out the most sets by itself, and that some are never given up."""
    if not choice.tried:
        return ""
    judged = sum(choice.rejected.values()) + choice.working
    of = f"Of the {judged:,} sets that were judged one by one: " if choice.ruled_out else ""
    if not choice.relaxed:
        return _sentence(f"{of}no limit that may give way keeps out a set by itself. {NEVER}")
    most = choice.relaxed[0]
    # Counted at the balanced preload: at another one some more may work.
    sets = "at least 1 more set works" if most.admits == 1 else f"at least {most.admits:,} more sets work"
    by = given_way(most, display)
    first = f", the first once it gives by {by}" if by else ""
    without = f"without {BY_NAME[most.limit].giving} {sets}{first}; no other limit alone keeps out as many"
    return _sentence(f"{of}{without}. {NEVER}")


def blocked_line(choice: Choice) -> str:
    """Say what rejects every set whatever its springs, and how many sets keep all the rest; nothing where nothing does."""
    blocked = choice.problem.blocked()
    if not blocked:
        return ""
    number = choice.rejected[blocked[0]] + choice.helped.rejected[blocked[0]]
    what = "; ".join(_lowered(REASONS[name]) for name in blocked)
    kept = "1 set keeps" if number == 1 else f"{number:,} sets keep"
    return f"No springs mend this: {what}. {kept} every other limit; the best of them stands here until that is mended."


def unchecked_line(problem: Problem) -> str:
    """Say which hard limits the search did not judge, and which entries they need; nothing where it judged all."""
    told = []
    for limit in problem.unchecked():
        entries = " and ".join(_lowered(keys()[f"{problem.axle}.{name}"].is_a.label) for name in limit.entries)
        told.append(f"{_lowered(limit.reason)} (needs {entries})")
    return f"Not checked here, so sets may still fail it: {'; '.join(told)}." if told else ""


def moved_line(problem: Problem, springs: Springs, chosen: SpringSet) -> str:
    """Say how far a set's preload stands off the balanced one and what that would break; nothing where it is that one."""
    turns = (chosen.preload - chosen.balanced_preload) / (2.0 * problem.hardware.adjuster_step)
    if abs(turns) < _LEAST_TURN:
        return ""
    away = (
        f"{abs(turns):.1f} turns {'more' if turns > 0 else 'less'} than the preload that leaves as much bump as droop"
    )
    broken = at_balance(problem, springs, chosen).broken()
    fails = f", which fails: {'; '.join(_lowered(REASONS[name]) for name in broken)}" if broken else ""
    return f"{away}{fails}."


def _lowered(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def ruled_out_line(choice: Choice) -> str:
    """Say of a long list how many sets were ruled out how before the others were judged; nothing of a short one."""
    if not choice.ruled_out:
        return ""
    reasons = "; ".join(f"{RULED_OUT[name]}: {number:,}" for name, number in choice.ruled_out.items() if number)
    number = sum(choice.ruled_out.values())
    told = (
        f"{number:,} of {choice.tried:,} sets were ruled out before they were set up, by bounds that lose none that works. "
        f"{reasons}."
    )
    if choice.helpers_left_out:
        told += f" Only the first {MOST_HELPERS} helpers by part code were tried; {choice.helpers_left_out:,} helpers were not."
    return told


def best_of_each(trades: Sequence[Trade]) -> tuple[tuple[str, Trade], ...]:
    """Return the ends of a trade: what is best in each of the three; a set that is best in several stands once.

    Of sets that differ by less than can be measured, the one that is better in the rest stands for its end.
    """
    if not trades:
        return ()
    ends = [("nearest the wanted frequency", trades[0]), ("most travel to spare", max(trades, key=_margin))]
    priced = [one for one in trades if one.price is not None]
    if priced:
        ends.append(("cheapest", min(priced, key=_price)))
    found: dict[int, tuple[str, Trade]] = {}
    for name, one in ends:
        known = found.get(id(one))
        found[id(one)] = (name if known is None else f"{known[0]}, {name}", one)
    return tuple(found.values())


def _margin(one: Trade) -> float:
    return one.travel_margin


def _price(one: Trade) -> float:
    return 0.0 if one.price is None else one.price


def trade_text(one: Trade, display: Display) -> str:
    """Return what a set trades: "0.003 Hz off, 1.71 in to spare, 352.80 for the axle"."""
    parts = [
        f"{display.text(one.frequency_error, _FREQUENCY, decimals=3)} off",
        f"{display.text(one.travel_margin, _LENGTH)} to spare",
    ]
    if one.price is not None:
        parts.append(f"{one.price:,.2f} for the axle")
    if one.alike:
        parts.append(f"{one.alike:,} more alike")
    return ", ".join(parts)


def trade_line(choice: Choice) -> str:
    """Say how many sets none beats, and what they are measured by."""
    number = len(choice.trades)
    if not number:
        return ""
    priced = any(one.price is not None for one in choice.trades)
    by = "frequency, spare travel and price" if priced else "frequency and spare travel; the list has no prices"
    sets = "One set is" if number == 1 else f"{number:,} sets are"
    return f"{sets} beaten by no other in {by}."
