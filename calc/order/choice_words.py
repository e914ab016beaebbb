"""What a search says besides its ranks, in words: which limit to give up for more sets, and what the best sets trade."""

from __future__ import annotations

from collections.abc import Sequence

from calc import vocabulary
from calc.limits import BY_NAME, REASONS
from calc.quantity import Display
from calc.rig.entries import keys
from calc.search.choose import MOST_HELPERS, at_wanted_height
from calc.search.problem import HEIGHTS, RULED_OUT, Choice, Problem, Relaxed, SpringSet, Trade
from calc.tables import Springs

NEVER = (
    "A spring that would go solid or come loose, a divider or ring off the body, a damper that ends its own travel, and an "
    "axle over its rating are never suggested."
)
_LENGTH, _FREQUENCY = vocabulary.length, vocabulary.natural_frequency
_DAMPER, _RATE = vocabulary.damper_length, vocabulary.spring_rate
_SLIGHT = 1e-6
_CORNERS = "a corner would come short of bump or droop, the whole rig solved"
_LEAST_SHORTENED = 1e-3


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
        return _sentence(f"{of}no limit that may give way shuts out a set by itself. {NEVER}")
    most = choice.relaxed[0]
    # Counted at the preload for the wanted height: at another one some more may work.
    sets = "at least 1 more set works" if most.admits == 1 else f"at least {most.admits:,} more sets work"
    by = given_way(most, display)
    nearest = f", the nearest {by} outside" if by else ""
    return _sentence(
        f"{of}the limit on {BY_NAME[most.limit].giving} shuts out the most: {sets} without it{nearest}. {NEVER}"
    )


def blocked_line(choice: Choice) -> str:
    """Say what rejects every set whatever its springs, and how many sets keep all the rest; nothing where nothing does."""
    blocked = choice.problem.blocked()
    if not blocked:
        return ""
    number = choice.rejected[blocked[0]] + choice.helped.rejected[blocked[0]]
    what = "; ".join(_lowered(REASONS[name]) for name in blocked)
    kept = "1 set keeps" if number == 1 else f"{number:,} sets keep"
    return (
        f"No springs cure this: {what}. {kept} every other limit; the best of them is shown here until that is fixed."
    )


def unchecked_line(problem: Problem) -> str:
    """Say which hard limits the search did not judge, and which entries they need; nothing where it judged all."""
    told = []
    for limit in problem.unchecked():
        entries = " and ".join(_lowered(keys()[f"{problem.axle}.{name}"].is_a.label) for name in limit.entries)
        told.append(f"{_lowered(limit.reason)} (needs {entries})")
    return f"Not checked here, so sets may still fail it: {'; '.join(told)}." if told else ""


def moved_line(problem: Problem, springs: Springs, chosen: SpringSet) -> str:
    """Say how far a set's preload stands off the one for the wanted height, and why; nothing where it is that one."""
    turns = (chosen.preload - chosen.wanted_preload) / (2.0 * problem.hardware.adjuster_step)
    # Half of a half turn: the rounding alone.
    if abs(turns) <= 0.25 * (1 + _SLIGHT):
        return ""
    away = f"{abs(turns):.1f} turns {'more' if turns > 0 else 'less'} than the preload for the wanted ride height"
    nearest = at_wanted_height(problem, springs, chosen)
    if nearest.broken():
        return f"{away}, which fails: {'; '.join(_lowered(REASONS[name]) for name in nearest.broken())}."
    nearer = abs(nearest.preload - chosen.preload) > _SLIGHT
    return f"{away}, {f'where {_CORNERS}' if nearer else 'which the adjuster or the least preload keeps it from'}."


def height_line(choice: Choice, display: Display) -> str:
    """Say how many of the sets that work ride inside the wanted height, and what would bring the others to it."""
    working, met = sum(choice.heights.values()), choice.heights["met"]
    if not working:
        return ""
    height = choice.problem.wishes.height
    wanted = f"{display.text(height.length, _DAMPER)}, give or take {display.text(height.band, _LENGTH)}"
    sets = "The one set that works" if working == 1 else f"Of the {working:,} sets that work {met:,}"
    if working == met:
        one = "rides" if working == 1 else "ride"
        sets = sets if working == 1 else f"All {working:,} sets that work"
        return f"{sets} {one} inside the wanted height, {wanted} eye to eye."
    others = "; ".join(
        f"{number:,} {HEIGHTS[name]}" for name, number in choice.heights.items() if number and name != "met"
    )
    rides = "rides outside" if working == 1 else "ride inside"
    return f"{sets} {rides} the wanted height, {wanted} eye to eye. The others: {others}."


def height_mend(problem: Problem, springs: Springs, chosen: SpringSet, display: Display) -> str:
    """Say what keeps a set from the wanted height, and what would bring it there; nothing where it stands inside."""
    hardware, floor, wanted = problem.hardware, problem.limits.preload_floor, chosen.wanted_preload
    least = chosen.preload - chosen.adjuster
    if chosen.against_height == "met":
        return ""
    if chosen.against_height == "run_down":
        highest = least + hardware.adjuster_range - problem.limits.adjuster_reserve
        by = display.text(wanted - highest, _LENGTH)
        return (
            f"The adjuster ends {by} short of it: springs that are longer by that much together, an adjuster with that much "
            f"more thread, or {_rates(problem, springs, chosen, highest, display)} would bring it there."
        )
    if chosen.against_height == "floor":
        softer = _rates(problem, springs, chosen, floor, display)
        return f"The least preload of {display.text(floor, _LENGTH)} holds it up: {softer} would bring it there."
    if chosen.against_height == "backed_off":
        softer = _rates(problem, springs, chosen, least, display)
        shorter = f"springs that are shorter by {display.text(least - wanted, _LENGTH)} together"
        either = softer if wanted < floor else f"{shorter}, or {softer}"
        return f"Fully backed off, the adjuster still holds it up: {either} would bring it there."
    broken = at_wanted_height(problem, springs, chosen).broken()
    if not broken and abs(chosen.preload - wanted) > hardware.adjuster_step:
        return f"At that height {_CORNERS}."
    if not broken:
        return "Half a turn of the adjuster moves it past what is wanted: give it a wider band."
    fails = "; ".join(_lowered(REASONS[name]) for name in broken)
    return f"At that height it would fail: {fails}. Another pair of springs may keep both."


def _rates(problem: Problem, springs: Springs, chosen: SpringSet, preload: float, display: Display) -> str:
    """Return which common rate would carry the load of the wishes at the wanted height with this preload."""
    coilover = problem.coilover
    travel = coilover.extended_length - problem.wishes.height.length
    force, _ = coilover.spring_force(problem.cases[problem.reference].support_load, travel)
    closed = 0.0
    if chosen.helper is not None:
        closed = float(springs.free_length[chosen.helper] - springs.solid_length[chosen.helper])
    own = 1.0 / sum(1.0 / float(springs.rate[index]) for index in chosen.springs() if index != chosen.helper)
    needed = float(force) / max(preload - closed + travel, _LEAST_SHORTENED)
    kind = "stiffer" if needed > own else "softer"
    return (
        f"{kind} springs, of {display.text(needed, _RATE, decimals=0)} in series in place of "
        f"{display.text(own, _RATE, decimals=0)},"
    )


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
    if one.chosen.against_height != "met":
        parts.append(off_height(one.above_wanted, display))
    if one.alike:
        parts.append(f"{one.alike:,} more alike")
    return ", ".join(parts)


def off_height(above: float, display: Display) -> str:
    """Return how far something rides off the wanted height: "0.62 in lower than wanted"."""
    return f"{display.text(abs(above), _LENGTH)} {'higher' if above > 0 else 'lower'} than wanted"


def trade_line(choice: Choice) -> str:
    """Say how many sets none beats, and what they are measured by."""
    number = len(choice.trades)
    if not number:
        return ""
    priced = any(one.price is not None for one in choice.trades)
    by = "frequency, spare travel and price" if priced else "frequency and spare travel; the list has no prices"
    sets = "One set is" if number == 1 else f"{number:,} sets are"
    return f"{sets} beaten by no other in {by}."
