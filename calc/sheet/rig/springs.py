"""The springs section of the rig page: ranked sets, misses, the chosen set's chart, settings and findings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, replace
from html import escape

from calc import units, vocabulary
from calc.answers.sets import short_name
from calc.certainty.trials import SETS
from calc.limits import REASONS
from calc.memo import Memo, Same
from calc.order.axle_order import AxleOrder
from calc.order.certainty import percent
from calc.order.choice_words import blocked_line
from calc.order.findings import count
from calc.quantity import Display
from calc.rig.axle import needs_told
from calc.rig.part_words import rate_number
from calc.search.problem import Problem, SetCode, SpringSet
from calc.sheet import markup
from calc.sheet.rig import misses, trades
from calc.sheet.rig.chosen_set import chosen_set
from calc.sheet.rig.entries import pick_text
from calc.step import Finding
from calc.tables import Springs

_RANKS = (
    *("First", "Second", "Third", "Fourth", "Fifth", "Sixth"),
    *("Seventh", "Eighth", "Ninth", "Tenth", "Eleventh", "Twelfth"),
)
_SHOWN = 5
_RATE, _LENGTH, _FREQUENCY = vocabulary.spring_rate, vocabulary.length, vocabulary.natural_frequency


def tie_region(axle: str, place: int) -> str:
    """Return the name of the place in a ranked set's row that says whether it is tied with the first."""
    return f"tied-{axle}-{place}"


def named_markup(item: SpringSet, springs: Springs, display: Display) -> str:
    """Return a set by its rates, its part codes small beneath: several may be of the same rates."""
    parts = ", ".join(springs.part[index] for index in item.springs())
    return f"<span>{escape(short_name(item, springs, display))}<small>{escape(parts)}</small></span>"


# Drawing the chart of an axle takes longer than all the rest.
_bodies: Memo[str] = Memo()


def axle_body(
    item: AxleOrder, springs: Springs, display: Display, told: Callable[[Iterable[Finding]], str], prefix: str = ""
) -> str:
    """Return one axle's part of the section."""
    # An edit at the other axle moves what places the sets beside it, and each side's preload: neither is told here, so
    # neither is there to be read.
    shown = replace(item, resolved=None, preload=None)
    works = _works(item)
    goods = (Same(springs), None if item.choice is None else Same(item.choice.springs))
    return _bodies.of(
        goods,
        tuple(getattr(shown, part.name) for part in fields(shown)),
        works,
        display,
        told,
        make=lambda: _body(shown, works, springs, display, told, prefix),
        place=prefix + item.axle,
    )


def _works(item: AxleOrder) -> Mapping[SetCode, str]:
    """Return in which share of the draws each ranked set works, as it is told."""
    ranked = () if item.choice is None else item.choice.ranked
    beside = {one.code(): None if item.resolved is None else item.resolved.beside(one) for one in ranked}
    return {code: percent(1.0 if found is None else found.works) for code, found in beside.items()}


def _body(
    item: AxleOrder,
    works: Mapping[SetCode, str],
    springs: Springs,
    display: Display,
    told: Callable[[Iterable[Finding]], str],
    prefix: str,
) -> str:
    title = item.axle.capitalize()
    if item.needs is not None:
        sentences = needs_told(item.needs)
        rows = (Finding(rule="needs", state="not checked", text=text[:1].upper() + text[1:]) for text in sentences)
        return f"<h3>{title}: {'not yet' if item.needs.sentences else 'still needs'}</h3>{markup.findings(rows)}"
    if item.task is None or item.choice is None:
        return f"<h3>{title}: ready to be searched</h3>"
    choice, task = item.choice, item.task
    cases = "the one load case" if len(task.cases) == 1 else f"all {_number(len(task.cases))} load cases"
    head = f"<h3>{title}: {choice.working:,} of {choice.tried:,} sets work in {cases}</h3>"
    helped = choice.helped
    more = (
        f"<p>With a helper spring added: {helped.working:,} more sets work (of {helped.tried:,}).</p>"
        if helped.tried
        else ""
    )
    lost = f'<p class="hb-note">{escape(item.lost_pick)}; the first set is shown.</p>' if item.lost_pick else ""
    blocked = blocked_line(choice)
    more += f'<p class="hb-note">{escape(blocked)}</p>' if blocked else ""
    table = _ranked(item, works, springs, display) if choice.ranked or item.chosen is not None else ""
    near = misses.nearest(choice, display, lambda one: short_name(one, springs, display))
    chosen = chosen_set(item, springs, display, told, prefix) if item.chosen is not None else ""
    traded = trades.fold(
        item,
        display,
        lambda place, one: _picked(item, place, one, springs, display),
        f"{prefix}trade-{item.axle}",
    )
    return head + more + lost + table + traded + chosen + near + misses.why_not(item, display)


def _number(number: int) -> str:
    return (
        ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")[number] if number <= 8 else str(number)
    )


# --- the ranked sets --------------------------------------------------------------------------------------------------------


def _ranked(item: AxleOrder, works: Mapping[SetCode, str], springs: Springs, display: Display) -> str:
    if item.choice is None or item.task is None:
        return ""
    rate, frequency, length = (display.unit(of).symbol for of in (_RATE, _FREQUENCY, _LENGTH))
    heads = (
        ("Place", ""),
        (f"Tender, {rate}", ""),
        (f"Main, {rate}", ""),
        (f"Ride, {frequency}", "n"),
        (f"Past crossover, {frequency}", "n"),
        (f"Main left, {length}", "n"),
        ("Why here", ""),
    )
    head = "".join(f'<th scope="col"{" class=n" if kind else ""}>{escape(text)}</th>' for text, kind in heads)
    ranked = list(enumerate(item.choice.ranked))
    own = item.chosen
    rows = [_row(item, works, place, one, springs, display) for place, one in ranked[:_SHOWN]]
    more = [_row(item, works, place, one, springs, display) for place, one in ranked[_SHOWN:]]
    if own is not None and not any(_same(own, one) for _, one in ranked):
        rows.insert(0, _row(item, works, -1, own, springs, display))
    table = f'<table class="hb-table hb-table--fold"><thead><tr>{head}</tr></thead><tbody>'
    rest = ""
    if more:
        rest = (
            f'<details class="hb-open"><summary>{count(len(more), "set")} more, in order</summary>'
            f"{table}{''.join(more)}</tbody></table></details>"
        )
    return f"{table}{''.join(rows)}</tbody></table>{rest}"


def _picked(item: AxleOrder, place: int, one: SpringSet, springs: Springs, display: Display) -> str:
    """Return a set of the trade by name, with its button to take it where it does not stand among the ranked."""
    name = named_markup(one, springs, display)
    if item.choice is None or any(_same(one, other) for other in item.choice.ranked) or item.chosen is None:
        return name
    tender, helper = (None if index is None else springs.part[index] for index in (one.tender, one.helper))
    identity = f"pick-{item.axle}-trade-{place}"
    value = escape(pick_text(tender, springs.part[one.main], helper))
    return (
        f'<label class="hb-pick" for="{identity}"><input type="radio" id="{identity}" name="{item.axle}.pick" '
        f'value="{value}">{name}</label>'
    )


def _same(one: SpringSet, other: SpringSet) -> bool:
    return one.springs() == other.springs() and one.tender == other.tender


def _row(
    item: AxleOrder, works: Mapping[SetCode, str], place: int, one: SpringSet, springs: Springs, display: Display
) -> str:
    task, chosen = item.task, item.chosen
    is_chosen = chosen is not None and _same(one, chosen)
    rank = _RANKS[place] if place >= 0 else "Yours" if item.own_pick else "Shown"
    tender, helper = (None if index is None else springs.part[index] for index in (one.tender, one.helper))
    identity = f"pick-{item.axle}-{place if place >= 0 else 'own'}"
    pick = (
        f'<input type="radio" id="{identity}" name="{item.axle}.pick" '
        f'value="{escape(pick_text(tender, springs.part[one.main], helper))}"{" checked" if is_chosen else ""}>'
    )
    past = "–" if one.frequency_past_crossover is None else display.number(one.frequency_past_crossover, _FREQUENCY)
    reference = task.reference if task is not None else 0
    cells = (
        (
            f"Tender, {display.unit(_RATE).symbol}",
            "",
            _spring(springs, one.tender, display) + _helper(one, springs, display),
        ),
        (f"Main, {display.unit(_RATE).symbol}", "", _spring(springs, one.main, display)),
        (f"Ride, {display.unit(_FREQUENCY).symbol}", "n", display.number(one.ride_frequency[reference], _FREQUENCY)),
        (f"Past crossover, {display.unit(_FREQUENCY).symbol}", "n", past),
        (f"Main left, {display.unit(_LENGTH).symbol}", "n", display.number(one.main_left, _LENGTH)),
    )
    inner = "".join(
        f'<td{" class=n" if kind else ""} data-label="{escape(label)}">{text}</td>' for label, kind, text in cells
    )
    why = escape(_why(item, works, place, one, springs))
    if 0 < place < SETS:
        # Empty until the draws were made.
        why += f'<strong data-region="{tie_region(item.axle, place)}"></strong>'
    return (
        f'<tr{" class=best" if is_chosen else ""}><th scope="row"><label class="hb-pick" for="{identity}">{pick}'
        f'<span>{rank}</span></label></th>{inner}<td class="wide">{why}</td></tr>'
    )


def _spring(springs: Springs, index: int | None, display: Display) -> str:
    if index is None:
        return "<span>none</span>"
    rate = rate_number(float(springs.rate[index]), display)
    length = _bare(display.text(float(springs.free_length[index]), _LENGTH))
    return f"<span><b>{rate}</b><small>{length}, {escape(springs.part[index])}</small></span>"


def _helper(one: SpringSet, springs: Springs, display: Display) -> str:
    return (
        ""
        if one.helper is None
        else f"<span><small>helper on top:</small>{_spring(springs, one.helper, display)}</span>"
    )


def _bare(text: str) -> str:
    """Leave out decimals that say nothing: "10.00 in" is "10 in"."""
    number, gap, unit = text.partition(units.NO_BREAK)
    return f"{number.rstrip('0').rstrip('.')}{gap}{unit}" if "." in number else text


def _why(item: AxleOrder, works: Mapping[SetCode, str], place: int, one: SpringSet, springs: Springs) -> str:
    """Say in few words why a set stands where it stands, by comparison with the first."""
    choice, task = item.choice, item.task
    if choice is None or task is None:
        return ""
    if place < 0:
        broken = one.broken()
        return REASONS[broken[0]] + "." if broken else "Your own choice; it works, below the ranked ones."
    first = choice.ranked[0]
    stock = _stock_words(one, springs)
    if place == 0:
        middles = [_middle(one.ride_frequency[task.reference], task.wishes.frequency)]
        past = task.wishes.frequency_past_crossover
        if past is not None and one.frequency_past_crossover is not None:
            middles.append(_middle(one.frequency_past_crossover, past))
        words = "Near the middle of every wanted range" if all(middles) else "Best on all targets together"
        return f"{words}{f'; {stock}' if stock else ''}."
    told = [*_chances(works, one, first), *list(_compared(one, first, task, springs))[:2], *([stock] if stock else [])]
    return f"{'; '.join(told) or 'as the first, by part code'}.".capitalize()


def _chances(works: Mapping[SetCode, str], one: SpringSet, first: SpringSet) -> Iterable[str]:
    """Say how often a set works in the draws, where that is another share than the first one's."""
    told = works[one.code()]
    if told != works[first.code()]:
        yield f"works in {told} of the trials"


def _middle(value: float, wanted: tuple[float, float]) -> bool:
    return abs(value - (wanted[0] + wanted[1]) / 2) <= (wanted[1] - wanted[0]) / 4


def _compared(one: SpringSet, first: SpringSet, task: Problem, springs: Springs) -> Iterable[str]:
    ride = one.ride_frequency[task.reference] - first.ride_frequency[task.reference]
    if abs(ride) >= 0.005:
        yield f"rides {'stiffer' if ride > 0 else 'softer'}"
    if one.frequency_past_crossover is not None and first.frequency_past_crossover is not None:
        past = one.frequency_past_crossover - first.frequency_past_crossover
        if abs(past) >= 0.01:
            yield f"{'stiffer' if past > 0 else 'softer'} past the crossover"
    left = one.main_left - first.main_left
    if abs(left) >= 0.1 * units.INCH:
        yield f"{'more' if left > 0 else 'less'} left in the main"
    if one.helper is not None:
        yield "needs a helper to stay seated"
    price = _price(one, springs), _price(first, springs)
    if price[0] is not None and price[1] is not None and price[0] != price[1]:
        yield f"costs {'more' if price[0] > price[1] else 'less'}"


def _price(one: SpringSet, springs: Springs) -> float | None:
    known = springs.known.get("price")
    if known is None or not known.all():
        return None
    return float(sum(springs.price[index] for index in one.springs()))


def _stock_words(one: SpringSet, springs: Springs) -> str:
    known = springs.known.get("stock")
    if known is None or not known.all():
        return ""
    indexes = one.springs()
    enough = all(int(springs.stock[index]) >= 2 * indexes.count(index) for index in indexes)
    return "in stock" if enough else "too few in stock"
