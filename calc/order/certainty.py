"""How sure an order's sets are, in words and for a program: chances, ties, and what to measure again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from calc import vocabulary
from calc.certainty.sources import Array
from calc.certainty.trials import (
    APART,
    RULES,
    SETS,
    AxleDoubt,
    Bar,
    SetDoubt,
    study,
    study_slices,
)
from calc.errors import Needs
from calc.memo import Memo, Same
from calc.order.axle_order import AxleOrder, JudgedRig
from calc.quantity import Display, Quantity
from calc.ride._rest import STANDS, Rest
from calc.rig.axle import stack_of
from calc.rig.entries import AXLES
from calc.search.problem import Problem, SpringSet
from calc.units import NO_BREAK
from calc.whole.at_rest import Stand, of_corners, stand

_SURE = 0.995


def compared(item: AxleOrder) -> tuple[SpringSet, ...]:
    """Return the sets whose doubt is told: the first ones of the ranked, and the one in use where it is another."""
    ranked = () if item.choice is None else item.choice.ranked[:SETS]
    own = item.chosen
    return ranked if own is None or any(own is one for one in ranked) else (*ranked, own)


def doubt_slices(made: JudgedRig) -> Iterator[tuple[int, int] | Mapping[str, AxleDoubt]]:
    """Draw for every axle in small parts: yields (draws done, draws in all of that axle) after each, the answers last."""
    found: dict[str, AxleDoubt] = {}
    for item in made.axles:
        sets = compared(item)
        if item.task is None or not sets:
            continue
        beside = [None if item.resolved is None else item.resolved.beside(one) for one in sets]
        adds = [0.0 if one is None else one.adds for one in beside]
        for part in study_slices(made.rig, item.task, made.springs, sets, _asides(made, item, sets), adds=adds):
            if isinstance(part, AxleDoubt):
                found[item.axle] = part
            else:
                yield part
    yield found


def doubts(made: JudgedRig) -> Mapping[str, AxleDoubt]:
    """Return how sure each axle's sets are."""
    return next(part for part in doubt_slices(made) if not isinstance(part, tuple))


@dataclass(frozen=True, kw_only=True, eq=False)
class Weakest:
    """What is most in doubt of the set in use: its rule, its chance, and what is to spare with what moves that.

    `bars` has what moves it most first; `best` is what can be measured again with its share of the doubt.
    """

    rule: str
    chance: float
    spare: float
    plus_minus: float
    bars: tuple[Bar, ...]
    best: tuple[Bar, float] | None


def weakest(made: JudgedRig, item: AxleOrder, found: AxleDoubt) -> Weakest | None:
    """Return what is most in doubt of the set in use on an axle; None where nothing that is judged can move."""
    return None if item.chosen is None else _weakest(item, found, _asides(made, item, (item.chosen,))[0])


def _weakest(item: AxleOrder, found: AxleDoubt, aside: Array | None) -> Weakest | None:
    sure = found.of(item.chosen)
    if item.first is None or sure is None:
        return None
    first = item.first.beside(aside)
    rule = first.closest(sure.chances)
    if not rule:
        return None
    margin = first.judged.margins[rule]
    return Weakest(
        rule=rule,
        chance=sure.chances[rule],
        spare=float(margin[0]),
        plus_minus=first.plus_minus(margin),
        bars=first.bars(margin),
        best=first.narrowest(margin),
    )


# What was drawn last for the sets in use: a sheet is made anew after every edit.
_drawn: Memo[tuple[AxleDoubt, Weakest | None]] = Memo()


def in_use(made: JudgedRig, item: AxleOrder) -> tuple[AxleDoubt, Weakest | None] | None:
    """Return how sure the set in use on one axle is, by itself; None while none is chosen."""
    task, chosen = item.task, item.chosen
    if task is None or chosen is None:
        return None
    # Words do not move a set: the rig without them, and the sets of both axles, are all that is read.
    alone = replace(made.rig, name="", note="", proofs=())
    return _drawn.of(
        alone,
        Same(made.springs),
        item.task,
        tuple(one.chosen for one in made.axles),
        make=lambda: _in_use(made, item, task, chosen),
        place=item.axle,
    )


def _in_use(made: JudgedRig, item: AxleOrder, task: Problem, chosen: SpringSet) -> tuple[AxleDoubt, Weakest | None]:
    asides = _asides(made, item, (chosen,))
    found = study(made.rig, task, made.springs, (chosen,), asides)
    return found, _weakest(item, found, asides[0])


def _asides(made: JudgedRig, item: AxleOrder, sets: tuple[SpringSet, ...]) -> tuple[Array | None, ...]:
    """Return how far each corner stands from its axle's mean, the whole rig solved; None where it does not stand."""
    chosen = [one.chosen for one in made.axles]
    if None in chosen:
        return (None,) * len(sets)
    try:
        ready = stand(made.rig)
    except Needs:
        return (None,) * len(sets)
    first = 2 * AXLES.index(item.axle)
    rest = _rest(made, ready, tuple(tuple(_pair(item, one, chosen)) for one in sets))
    cases = len(ready.cases)
    found: list[Array | None] = []
    for place, one in enumerate(sets):
        mine = slice(place * cases, (place + 1) * cases)
        stands = bool(np.all(np.asarray(rest.status)[mine] == STANDS))
        mean = np.array(one.ride_travel)[:, None]
        found.append(np.asarray(rest.travel)[mine, first : first + 2] - mean if stands else None)
    return tuple(found)


def _pair(item: AxleOrder, one: SpringSet, chosen: Sequence[SpringSet | None]) -> Iterator[SpringSet]:
    """Give the sets of both axles with one of them on this axle."""
    for axle, other in zip(AXLES, chosen, strict=True):
        each = one if axle == item.axle else other
        if each is not None:
            yield each


# Both axles ask for the whole rig on the sets in use.
_rests: Memo[Rest] = Memo()


def _rest(made: JudgedRig, ready: Stand, pairs: tuple[tuple[SpringSet, ...], ...]) -> Rest:
    def make() -> Rest:
        corners = [[stack_of(made.springs, each) for each in pair for _ in range(2)] for pair in pairs]
        return ready.solve(of_corners(*corners))

    return _rests.of(made.rig, Same(made.springs), pairs, make=make)


# --- in words ---------------------------------------------------------------------------------------------------------------


def percent(chance: float) -> str:
    r"""Return a chance in whole percent; what is only nearly sure or impossible is never printed as if it were.

    >>> percent(0.9992), percent(1.0), percent(0.0003), percent(0.42)
    ('over 99\xa0%', '100\xa0%', 'under 1\xa0%', '42\xa0%')
    """
    if 0.0 < chance < 1.0:
        if chance > _SURE:
            return f"over 99{NO_BREAK}%"
        if chance < 1.0 - _SURE:
            return f"under 1{NO_BREAK}%"
    return f"{100 * chance:.0f}{NO_BREAK}%"


def of_100(chance: float) -> str:
    """Return a chance as a share of a hundred draws; what is only nearly sure or impossible is not printed as if it were.

    >>> of_100(0.934), of_100(1.0), of_100(0.9992), of_100(0.0003)
    ('93 of 100', 'all', 'over 99 of 100', 'under 1 of 100')
    """
    if chance == 1.0:
        return "all"
    return f"{percent(chance).partition(NO_BREAK)[0]} of 100"


def rule_quantity(rule: str) -> Quantity:
    """Return what is to spare of a rule, as a quantity."""
    if rule == "rating":
        return vocabulary.axle_mass
    return vocabulary.natural_frequency if "frequency" in rule else vocabulary.length


def order_line(made: JudgedRig, item: AxleOrder) -> str:
    """Return how sure the set in use on an axle is, in one line for the order; nothing while none is chosen."""
    known = in_use(made, item)
    if known is None:
        return ""
    found, weak = known
    line = f"{item.axle.capitalize()}: all limits hold in {of_100(found.sets[0].works)} trials"
    if weak is None:
        return f"{line}."
    again = f"; measure again: {weak.best[0].source.label}" if weak.best else ""
    sure = "" if weak.chance == 1.0 else f", in {of_100(weak.chance)}"
    return f"{line}; {_how(weak)}: it {RULES[weak.rule]}{sure}{again}."


def _how(weak: Weakest) -> str:
    return "nearest to its limit" if weak.chance == 1.0 else "least certain"


def weak_line(weak: Weakest, item: AxleOrder, display: Display) -> str:
    """Return what is most in doubt, by how much, and the one measurement that would settle most of it."""
    quantity = rule_quantity(weak.rule)
    size = display.text(abs(weak.spare), quantity)
    doubt = display.plus_minus(weak.plus_minus, quantity)
    by = f"with {size} to spare" if weak.spare >= 0 else f"which it misses by {size}"
    how = _how(weak)
    text = (
        f"{how[:1].upper()}{how[1:]} at the {item.axle}: it {RULES[weak.rule]}, {by} (±{NO_BREAK}{doubt}); that holds in "
        f"{of_100(weak.chance)} trials."
    )
    if weak.best is None:
        return f"{text} Nothing moves it that could be measured again before ordering."
    bar, share = weak.best
    return f"{text} Measuring {bar.source.label} again would remove {percent(share)} of that uncertainty."


def set_line(one: SetDoubt) -> str:
    """Return one set's doubt in one line."""
    weak = one.least
    weakest = "" if one.chances[weak] == 1.0 else f"; least sure, at {percent(one.chances[weak])}: it {RULES[weak]}"
    if not one.works:
        return f"works in none of the trials{weakest}"
    tied = "; as good as the first" if one.tied else ""
    return f"works in {percent(one.works)} of the trials, best in {percent(one.best)}{tied}{weakest}"


def tie_line(found: AxleDoubt) -> str:
    """Return what the draws say of the first set's place."""
    first = found.sets[0]
    if not any(one.works for one in found.sets):
        if len(found.sets) == 1:
            return "The set works in none of the trials."
        return "None of these sets works in any of the trials."
    if len(found.sets) == 1:
        return f"The only set that was tried works in {percent(first.works)} of the trials."
    if found.tied == 1:
        return f"The first set is the best in {percent(first.best)} of the trials, clearly better than the others."
    return (
        f"{found.tied} of these sets are equally good, within your measuring error: the first is the best in {percent(first.best)} of "
        "the trials. Take the one in stock or at the better price."
    )


def rule_line(found: AxleDoubt) -> str:
    """Return how the chances were found and by which rule sets count as tied."""
    out = f" {found.left_out} more could not be tried and are left out." if found.left_out else ""
    return (
        f"From {found.counted:,} trials of your measuring errors, always the same ones: every number varies within its ±; corners keep their distance "
        f"from the axle's mean.{out} A set counts as better when it is so in at least {100 * APART:.0f} % of paired trials."
    )


def narrow_line(item: AxleOrder, display: Display) -> str:
    """Return the one measurement that narrows the ride height most, and what that is of the doubt."""
    if item.narrowest is None or item.task is None:
        return ""
    bar, share = item.narrowest
    size = display.plus_minus(item.cases[item.task.reference].ride_travel_plus_minus, vocabulary.length)
    unit = display.unit(vocabulary.length).symbol
    return (
        f"Measure again before ordering: {bar.source.label}. It accounts for {percent(share)} of the uncertainty in the {item.axle} ride "
        f"height (± {size} {unit} at the damper)."
    )
