"""An order as it is told to a person: the parts in which everything stands once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from calc import vocabulary
from calc.answer import text
from calc.answer.parts import Columns, Fact, Facts, Grid, Listed, Paragraph, Part, estimate, signed_text
from calc.answers import rest
from calc.answers.damping import ratios
from calc.answers.sets import named, past_text
from calc.cautions import caution
from calc.certainty.chances import rule_text
from calc.certainty.trials import AxleDoubt
from calc.limits import REASONS
from calc.order.axle_order import DAMPER_SPEEDS, AxleOrder, settings, side_settings
from calc.order.certainty import narrow_line, rule_line, set_line, tie_line, weak_line
from calc.order.choice_words import (
    best_of_each,
    blocked_line,
    height_line,
    relax_line,
    ruled_out_line,
    trade_line,
    trade_text,
    unchecked_line,
)
from calc.order.ground import shape_line
from calc.order.motions import TOLD
from calc.order.order import MAKERS, Order, order
from calc.quantity import EVERY_PLUS_MINUS, SHOP, Display
from calc.rig.axle import label, needs_told
from calc.rig.entries import AXLES
from calc.rig.part_words import (
    ADJUSTER,
    ADJUSTER_TURNS,
    PRELOAD,
    PRELOAD_TURNS,
    RING_BELOW_SEAT,
    RING_GAP,
    STRAP,
    THREAD_LEFT,
)
from calc.rig.rank_weights import changed_line
from calc.rig.rig import Rig
from calc.tables import Springs
from calc.whole.pairs import pair_line, ratio_line

_RANKED = 5
_MOST_ASSUMED = 8
_LENGTH = vocabulary.length
_FREQUENCY = vocabulary.natural_frequency


def order_text(rig: Rig, springs: Springs, display: Display = SHOP) -> str:
    """Return the order for a person, in 80 columns."""
    return text_of(order(rig, springs, None, display), display)


def text_of(made: Order, display: Display) -> str:
    """Return the whole order of one that was already made, ready to print."""
    return text.written(order_parts(made, display), display)


def order_parts(made: Order, display: Display) -> Iterator[Part]:
    """Yield everything that an order says, in the order of the job."""
    yield Paragraph(text=f"Springs for {made.rig.name or 'Rig without a name'}")
    yield from _standing(made)
    for item in made.axles:
        yield from _axle(item, made, display)
        yield from _doubt(item, made, display)
    yield from _pairs(made, display)
    yield from rest.standing_parts(made.standing, made.standing_needs, display)
    if made.old is not None:
        yield from rest.rest_parts("ON ITS OLD SPRINGS, AS IT WEIGHS NOW", made.old, display)
        cross = rest.cross_note(made.rig, made.old)
        yield Listed(title="Cross weight", lines=(cross,) if cross else ())
    yield from _motions(made)
    yield ratios(made.damping, display)
    yield Listed(title="Besides", lines=tuple(f"{finding.state}: {finding.text}" for finding in made.of_rig()))
    yield Listed(title="Left to the makers' documents", lines=MAKERS if made.complete else ())
    yield Listed(title="CAUTION", lines=(caution("spring_and_gas"), caution("driving", "ratings", "strength")))


def _standing(made: Order) -> Iterator[Part]:
    yield estimate(made.reasons)
    if made.assumed:
        told = "; ".join(label(key) for key in made.assumed[:_MOST_ASSUMED])
        more = f"; and {len(made.assumed) - _MOST_ASSUMED} more" if len(made.assumed) > _MOST_ASSUMED else ""
        yield Paragraph(text=f"Assumed: {told}{more}.")
    yield Paragraph(text=changed_line(made.rig.ranking()))
    if made.next:
        yield Paragraph(text=f"Measure next: {made.next}.")
    if any(item.chosen is not None for item in made.axles):
        yield Paragraph(text=EVERY_PLUS_MINUS)


def _motions(made: Order) -> Iterator[Part]:
    facts = []
    for place, found in made.motions.items():
        axle = place.partition(" ")[0]
        where = f", {axle}" if axle in AXLES else ""
        for name in TOLD[found.step.name]:
            quantity = found.step.quantity(name)
            facts.append(Fact(label=f"{quantity.label}{where}", value=found.values[name], of=quantity))
    yield Facts(title=f"HOW IT MOVES: {made.rig.reference().label}", facts=tuple(facts))


# --- one axle ---------------------------------------------------------------------------------------------------------------


def _axle(item: AxleOrder, made: Order, display: Display) -> Iterator[Part]:
    head = item.axle.upper()
    if item.needs is not None:
        yield Listed(title=head, lines=tuple(needs_told(item.needs)))
    if item.choice is None:
        return
    yield Listed(title=head, lines=tuple(_search(item, made.springs, display)))
    yield from _ranked(item, made.doubts.get(item.axle), made.springs, display)
    if item.chosen is not None and item.task is not None:
        yield from _settings(item)
        yield Paragraph(text=f"Preload: {item.moved}" if item.moved else "")
        yield _cases(item, display)
        yield from _damping(item, made.rig, display)
        yield Listed(title="Checked", lines=tuple(f"{finding.state}: {finding.text}" for finding in item.findings))
    yield Listed(title="What the best sets trade", lines=tuple(_trades(item, made.springs, display)))
    yield from _rejected(item, display)


def _search(item: AxleOrder, springs: Springs, display: Display) -> Iterator[str]:
    """Say how many sets work, and which of the ranked ones the whole rig contradicts."""
    choice = item.choice
    if choice is None:
        return
    yield f"{choice.working:,} of {choice.tried:,} sets work in every load case."
    if choice.helped.tried:
        yield f"With a helper spring added: {choice.helped.working:,} more sets work (of {choice.helped.tried:,})."
    if item.lost_pick:
        yield f"{item.lost_pick}; the first of the ranked sets is used here instead."
    if item.resolved is not None:
        said = item.resolved.said(display)
        yield from [said] if said else []
        for one, wrong in item.resolved.dropped:
            yield f"Dropped: {named(one, springs, display)}. {wrong[0].text(display)}"


def _ranked(item: AxleOrder, found: AxleDoubt | None, springs: Springs, display: Display) -> Iterator[Part]:
    choice, task = item.choice, item.task
    shown = () if choice is None else (choice.ranked or choice.blocked)[:_RANKED]
    if choice is None or not shown:
        return
    yield Paragraph(text=blocked_line(choice))
    rows, tied = [], []
    for one in shown:
        name = named(one, springs, display)
        ride = display.text(one.ride_frequency[task.reference if task else 0], _FREQUENCY)
        rows.append((name, ride, past_text(one, display), display.text(one.main_left, _LENGTH)))
        sure = None if found is None else found.of(one)
        if sure is not None and sure.tied:
            tied.append(name)
    notes = (f"As good as the first, within your measuring error: {'; '.join(tied)}.",) if tied else ()
    heads = ("From the adjuster end", "Ride", "Past crossover", "Main left")
    yield Grid(caption="RANKED", heads=heads, rows=tuple(rows), notes=notes)


def _doubt(item: AxleOrder, made: Order, display: Display) -> Iterator[Part]:
    found, weak = made.doubts.get(item.axle), made.weakest.get(item.axle)
    if found is None:
        return
    lines = [tie_line(found), "" if weak is None else weak_line(weak, item, display), narrow_line(item, display)]
    lines += [f"{named(one.chosen, made.springs, display)}: {set_line(one)}." for one in found.sets]
    told = tuple(line for line in (*lines, rule_line(found)) if line)
    yield Listed(title=f"How sure, {item.axle}", lines=told)


def _pairs(made: Order, display: Display) -> Iterator[Part]:
    found = made.pairs
    if found is None:
        return
    sets = (one for pair in (found.used, *found.ranked) for one in pair.sets)
    names = {id(one): named(one, made.springs, display) for one in sets}
    which = f"All {found.tried:,}" if found.standing == found.tried else f"{found.standing:,} of {found.tried:,}"
    counted = f"{which} front-and-rear combinations keep every limit on the whole rig."
    told = (pair_line(found, display, names), ratio_line(found, display), rule_text(), counted)
    yield Listed(title="FRONT AND REAR TOGETHER", lines=told)


def _settings(item: AxleOrder) -> Iterator[Part]:
    """Yield how an axle is set: once, or a column for each side where they are set apart."""
    both, apart = settings(item), side_settings(item)
    if both["preload"] is None or both["adjuster"] is None:
        return
    title = "Set on the bench, damper hanging free"
    if not apart:
        yield Facts(title=title, facts=_setting_facts(both))
        return
    columns = tuple((side.capitalize(), _setting_facts({**both, **own})) for side, own in apart.items())
    yield Columns(title=f"{title}, left and right apart", columns=columns)


def _setting_facts(values: Mapping[str, float | None]) -> tuple[Fact, ...]:
    return (
        Fact(label=PRELOAD, value=values["preload"], of=_LENGTH),
        Fact(label=PRELOAD_TURNS, value=values["preload_turns"], of="turns"),
        Fact(label=ADJUSTER, value=values["adjuster"], of=_LENGTH),
        Fact(label=ADJUSTER_TURNS, value=values["adjuster_turns"], of="turns"),
        Fact(label=THREAD_LEFT, value=values["adjuster_left"], of=_LENGTH),
        Fact(label=RING_GAP, value=values["ring_gap"], of=_LENGTH),
        Fact(label=RING_BELOW_SEAT, value=values["ring_below_seat"], of=_LENGTH),
        Fact(label=STRAP, value=values["strap_length"], of=_LENGTH),
    )


def _cases(item: AxleOrder, display: Display) -> Grid:
    rows = []
    for case in item.cases:
        numbers = [display.text(value, _LENGTH) for value in (case.damper_length, case.bump_left, case.droop_left)]
        height = signed_text(case.above_wanted, _LENGTH, display)
        ride = display.text(case.ride_frequency, _FREQUENCY)
        rows.append((case.label, numbers[0], height, *numbers[1:], ride))
    return Grid(
        caption="",
        heads=("Load case", "Damper at ride", "Height", "Bump", "Droop", "Ride"),
        rows=tuple(rows),
        notes=(rest.HEIGHT_NOTE,),
    )


def _damping(item: AxleOrder, rig: Rig, display: Display) -> Iterator[Part]:
    columns = []
    for regime, answer in (("before the crossover", item.damping_before), ("past the crossover", item.damping_past)):
        if answer is None:
            continue
        for speed, compression, rebound in zip(DAMPER_SPEEDS, answer.compression, answer.rebound, strict=True):
            at = display.text(speed, vocabulary.velocity, decimals=None if display.system == "metric" else 0)
            both = (
                Fact(label="Compression", value=compression, of=vocabulary.force),
                Fact(label="Rebound", value=rebound, of=vocabulary.force),
            )
            columns.append((f"At {at}, {regime}", both))
    title = f"Damping forces for the wanted ratio, gas not included; {shape_line(rig, item.axle, display)}"
    yield Columns(title=title, columns=tuple(columns), across=True)


def _trades(item: AxleOrder, springs: Springs, display: Display) -> Iterator[str]:
    if item.choice is None or not item.choice.trades:
        return
    yield trade_line(item.choice)
    for end, one in best_of_each(item.choice.trades):
        yield f"{end[:1].upper()}{end[1:]}: {named(one.chosen, springs, display)}; {trade_text(one, display)}."


def _rejected(item: AxleOrder, display: Display) -> Iterator[Part]:
    if item.choice is None:
        return
    rows = []
    for rejected, where in ((item.choice.rejected, ""), (item.choice.helped.rejected, "With a helper: ")):
        for name, number in sorted(rejected.items(), key=lambda pair: -pair[1]):
            if number:
                reason = REASONS[name]
                rows.append((f"{where}{reason[:1].lower() + reason[1:] if where else reason}", f"{number:,}"))
    lines = (
        ruled_out_line(item.choice),
        height_line(item.choice, display),
        relax_line(item.choice, display),
        unchecked_line(item.choice.problem),
    )
    notes = tuple(line for line in lines if line)
    if rows or notes:
        yield Grid(caption="Why not the others", heads=("", "Sets"), rows=tuple(rows), notes=notes)
