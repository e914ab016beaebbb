"""The order as plain text for a terminal: 80 columns, the same numbers as on the page."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from calc import units, vocabulary
from calc.cautions import caution
from calc.job import rest_text
from calc.job.axle import Needs, label
from calc.job.axle_order import DAMPER_SPEEDS, AxleOrder, DampingAnswer, settings, side_settings
from calc.job.chances import rule_text
from calc.job.choice_words import (
    best_of_each,
    blocked_line,
    height_line,
    moved_line,
    relax_line,
    ruled_out_line,
    trade_line,
    trade_text,
    unchecked_line,
)
from calc.job.choose import REASONS, SpringSet
from calc.job.doubt import doubts, narrow_line, rule_line, set_line, tie_line, weak_line, weakest
from calc.job.ground import RATIO_COLUMNS, RATIO_TITLE, ratio_rows, shape_line
from calc.job.motions import TOLD, damping_forecast, motions
from calc.job.order import MAKERS, Order
from calc.job.ordered import DampingForecast
from calc.job.pair import pair_line, ratio_line
from calc.job.part_words import ADJUSTER, PRELOAD, RING_BELOW_SEAT, RING_GAP, STRAP, THREAD_LEFT, rate_text
from calc.job.rank_weights import changed_line
from calc.job.rest_table import HEIGHT_NOTE, cross_note, signed_text
from calc.job.rig import AXLES, Rig
from calc.job.uncertainty import AxleDoubt
from calc.quantity import EVERY_PLUS_MINUS, Display
from calc.tables import Springs

WIDTH = 80
_RANKED = 5

_LENGTH = vocabulary.length
_LABEL = 21
_FREQUENCY = vocabulary.natural_frequency


def text_of(made: Order, display: Display) -> str:
    """Return the whole order, ready to print."""
    name = made.rig.name or "Rig without a name"
    blocks = ["\n".join(textwrap.wrap(f"Springs for {name}", WIDTH)), _standing(made)]
    unsure = doubts(made)
    for item in made.axles:
        blocks.append(_axle(item, unsure.get(item.axle), made, display))
        blocks.append(_doubt(item, unsure.get(item.axle), made, display))
    blocks.append(_pairs(made, display))
    blocks.extend(rest_text.blocks(made.standing, display))
    old = made.old
    if not isinstance(old, Needs):
        blocks.extend(rest_text.rest_blocks("ON ITS OLD SPRINGS, AS IT WEIGHS NOW", old, display))
        blocks.append(listed("Cross weight", [text for text in (cross_note(made.rig, old),) if text]))
    blocks.append(_motions(made, display))
    blocks.append(ratios_text(damping_forecast(made), display))
    blocks.append(listed("Besides", (f"{finding.state}: {finding.text}" for finding in made.of_rig())))
    if made.complete:
        blocks.append(listed("Left to the makers' documents", MAKERS))
    blocks.append(listed("CAUTION", (caution("spring_and_gas"), caution("driving", "ratings", "strength"))))
    return "\n\n".join(block for block in blocks if block) + "\n"


def _motions(made: Order, display: Display) -> str:
    rows = []
    for place, found in motions(made, display).items():
        axle = place.partition(" ")[0]
        where = f", {axle}" if axle in AXLES else ""
        for name in TOLD[found.step.name]:
            value, quantity = found.values[name], found.step.quantity(name)
            if value is not None:
                rows.append((f"{quantity.label}{where}", display.text(value, quantity, name)))
    return rows_of(f"HOW IT MOVES: {made.rig.reference().label}", rows) if rows else ""


def _standing(made: Order) -> str:
    lines = []
    if made.estimate:
        lines.append(wrapped(f"ESTIMATE: DO NOT ORDER. {_sentence(made.reasons)}"))
    if made.assumed:
        named = "; ".join(label(key) for key in made.assumed[:8])
        more = f"; and {len(made.assumed) - 8} more" if len(made.assumed) > 8 else ""
        lines.append(wrapped(f"Assumed: {named}{more}."))
    told = changed_line(made.rig.ranking())
    if told:
        lines.append(wrapped(told))
    if made.next:
        lines.append(wrapped(f"Measure next: {made.next}."))
    if any(item.chosen is not None for item in made.axles):
        lines.append(wrapped(EVERY_PLUS_MINUS))
    return "\n".join(lines)


def _sentence(reasons: Iterable[str]) -> str:
    text = "; ".join(reasons)
    return f"{text[:1].upper()}{text[1:]}."


def _axle(item: AxleOrder, found: AxleDoubt | None, made: Order, display: Display) -> str:
    springs = made.springs
    head = item.axle.upper()
    if item.needs is not None:
        return listed(head, item.needs.told())
    if item.choice is None:
        return ""
    choice = item.choice
    lines = [f"{choice.working:,} of {choice.tried:,} sets work in every load case."]
    if choice.helped.tried:
        lines.append(
            f"With a helper on what would hang loose: {choice.helped.working:,} of {choice.helped.tried:,} more."
        )
    if item.lost_pick:
        lines.append(f"{item.lost_pick}; the first of the ranked sets stands here instead.")
    if item.resolved is not None:
        lines += [text for text in (item.resolved.said(display),) if text]
        lines += [
            f"Dropped: {_named(one, springs, display)}. {wrong[0].text(display)}"
            for one, wrong in item.resolved.dropped
        ]
    blocks = [listed(head, lines)]
    shown = choice.ranked or choice.blocked
    if shown:
        blocks.append(wrapped(blocked_line(choice)))
        blocks.append("\n".join(_ranked(shown[:_RANKED], item, found, springs, display)))
    if item.chosen is not None and item.task is not None:
        blocks.append(_settings(item, display))
        moved = moved_line(item.task, springs, item.chosen)
        blocks.append(wrapped(f"Preload: {moved}") if moved else "")
        blocks.append("\n".join(_cases(item, display)))
        blocks.append(wrapped(HEIGHT_NOTE))
        blocks.append(_damping(item, made.rig, display))
        blocks.append(listed("Checked", (f"{finding.state}: {finding.text}" for finding in item.findings)))
    blocks.append(listed("What the best sets trade", _trades(item, springs, display)))
    blocks.append(listed("Why not the others", _rejected(item, display)))
    return "\n\n".join(block for block in blocks if block)


def _doubt(item: AxleOrder, found: AxleDoubt | None, made: Order, display: Display) -> str:
    if found is None:
        return ""
    weak = weakest(made, item, found)
    lines = [tie_line(found), "" if weak is None else weak_line(weak, item, display), narrow_line(item, display)]
    lines += [f"{_named(one.chosen, made.springs, display)}: {set_line(one)}." for one in found.sets]
    return listed(f"How sure, {item.axle}", [line for line in (*lines, rule_line(found)) if line])


def _ranked(
    ranked: Iterable[SpringSet], item: AxleOrder, found: AxleDoubt | None, springs: Springs, display: Display
) -> Iterable[str]:
    yield f"  {'Tender':<24}{'Main':<24}{'Ride':>8}{'Past':>9}{'Main left':>12}"
    task = item.task
    for one in ranked:
        tender = "none" if one.tender is None else named_spring(springs, one.tender, display)
        past = "-" if one.frequency_past_crossover is None else display.number(one.frequency_past_crossover, _FREQUENCY)
        ride = display.text(one.ride_frequency[task.reference if task else 0], _FREQUENCY)
        left = display.text(one.main_left, _LENGTH)
        yield with_spaces(f"  {tender:<24}{named_spring(springs, one.main, display):<24}{ride:>8}{past:>9}{left:>12}")
        if one.helper is not None:
            yield with_spaces(f"    with a helper on top: {named_spring(springs, one.helper, display)}")
        sure = None if found is None else found.of(one)
        if sure is not None and sure.tied:
            yield "    tied with the first: what is known does not tell them apart"


def _pairs(made: Order, display: Display) -> str:
    found = made.pairs
    if found is None:
        return ""
    sets = (one for pair in (found.used, *found.ranked) for one in pair.sets)
    names = {id(one): _named(one, made.springs, display) for one in sets}
    counted = f"{found.standing:,} of {found.tried:,} pairs of ranked sets stand, the whole rig solved on each."
    return listed(
        "FRONT AND REAR TOGETHER", [pair_line(found, display, names), ratio_line(found, display), rule_text(), counted]
    )


def _named(one: SpringSet, springs: Springs, display: Display) -> str:
    return " over ".join(named_spring(springs, index, display) for index in one.springs())


def named_spring(springs: Springs, index: int, display: Display) -> str:
    """Return a spring as a table names it: part code and rate."""
    return f"{springs.part[index][:12]} {rate_text(float(springs.rate[index]), display)}"


def _settings(item: AxleOrder, display: Display) -> str:
    values = settings(item)
    preload, adjuster = values["preload"], values["adjuster"]
    if preload is None or adjuster is None:
        return ""
    if item.preload is not None:
        return _settings_apart(item, display)
    rows = [
        (PRELOAD, f"{display.text(preload, _LENGTH)}, {values['preload_turns']:.1f} turns"),
        (ADJUSTER, f"{display.text(adjuster, _LENGTH)}, {values['adjuster_turns']:.1f} turns"),
        (THREAD_LEFT, display.text(values["adjuster_left"] or 0.0, _LENGTH)),
    ]
    if values["ring_below_seat"] is not None and values["ring_gap"] is not None:
        rows += [
            (RING_BELOW_SEAT, display.text(values["ring_below_seat"], _LENGTH)),
            (RING_GAP, display.text(values["ring_gap"], _LENGTH)),
        ]
    return rows_of("Set on the bench, damper hanging free", [*rows, *_strap(item, display)])


def _strap(item: AxleOrder, display: Display) -> list[tuple[str, str]]:
    strap = settings(item)["strap_length"]
    return [] if strap is None else [(STRAP, display.text(strap, _LENGTH))]


def _settings_apart(item: AxleOrder, display: Display) -> str:
    """Return the settings of an axle whose sides are set apart: the ring's gap is the same on both."""
    rows: list[tuple[str, str]] = []
    for side, values in side_settings(item).items():
        rows += [
            (f"{PRELOAD}, {side}", f"{display.text(values['preload'], _LENGTH)}, {values['preload_turns']:.1f} turns"),
            (
                f"{ADJUSTER}, {side}",
                f"{display.text(values['adjuster'], _LENGTH)}, {values['adjuster_turns']:.1f} turns",
            ),
        ]
    gap = settings(item)["ring_gap"]
    if gap is not None:
        rows.append((f"{RING_GAP}, both sides", display.text(gap, _LENGTH)))
    return rows_of("Set on the bench, damper hanging free, left and right apart", [*rows, *_strap(item, display)])


def _cases(item: AxleOrder, display: Display) -> Iterable[str]:
    yield f"  {'Load case':<22}{'Damper at ride':>16}{'Height':>10}{'Bump':>10}{'Droop':>10}{'Ride':>10}"
    for case in item.cases:
        numbers = [display.text(value, _LENGTH) for value in (case.damper_length, case.bump_left, case.droop_left)]
        height = signed_text(case.above_wanted, _LENGTH, display)
        ride = display.text(case.ride_frequency, _FREQUENCY)
        label = case.label
        if len(label) > _LABEL:
            # A name is never cut: it has a line of its own, and so have its numbers.
            yield from (f"  {line}" for line in textwrap.wrap(label, WIDTH - 2))
            label = ""
        yield with_spaces(f"  {label:<22}{numbers[0]:>16}{height:>10}{numbers[1]:>10}{numbers[2]:>10}{ride:>10}")


def _damping(item: AxleOrder, rig: Rig, display: Display) -> str:
    rows: list[tuple[str, str]] = []
    for regime, answer in (("before the crossover", item.damping_before), ("past the crossover", item.damping_past)):
        if answer is not None:
            rows += _forces(regime, answer, display)
    title = f"Damping forces for the wanted ratio, gas left out; {shape_line(rig, item.axle, display)}"
    return rows_of(title, rows) if rows else ""


def ratios_text(found: Sequence[DampingForecast], display: Display) -> str:
    """Return the damping ratios of every load case as a table; nothing without any."""
    if not found:
        return ""
    told = [f"{RATIO_TITLE}:", with_spaces(f"  {'':<18}{''.join(f'{name:>12}' for name in RATIO_COLUMNS)}")]
    for case, cells in ratio_rows(found, display):
        told += [f"  {line}" for line in textwrap.wrap(case, WIDTH - 2)]
        told.append(with_spaces(f"  {'':<18}{''.join(f'{cell:>12}' for cell in cells)}"))
    return "\n".join(told)


def _forces(regime: str, answer: DampingAnswer, display: Display) -> Iterable[tuple[str, str]]:
    for speed, compression, rebound in zip(DAMPER_SPEEDS, answer.compression, answer.rebound, strict=True):
        at = display.text(speed, vocabulary.velocity, decimals=None if display.system == "metric" else 0)
        both = f"{display.number(compression, vocabulary.force)} and {display.text(rebound, vocabulary.force)}"
        yield f"Compression and rebound at {at}, {regime}", both


def _trades(item: AxleOrder, springs: Springs, display: Display) -> Iterable[str]:
    if item.choice is None or not item.choice.trades:
        return
    yield trade_line(item.choice)
    for end, one in best_of_each(item.choice.trades):
        yield f"{end[:1].upper()}{end[1:]}: {_named(one.chosen, springs, display)}; {trade_text(one, display)}."


def _rejected(item: AxleOrder, display: Display) -> Iterable[str]:
    if item.choice is None:
        return
    lines = (
        ruled_out_line(item.choice),
        height_line(item.choice, display),
        relax_line(item.choice, display),
        unchecked_line(item.choice.problem),
    )
    for rejected, where in ((item.choice.rejected, ""), (item.choice.helped.rejected, "With a helper: ")):
        for name, number in sorted(rejected.items(), key=lambda pair: -pair[1]):
            if number:
                reason = REASONS[name]
                yield f"{number:>9,}  {where}{reason[:1].lower() + reason[1:] if where else reason}"
    yield from (line for line in lines if line)


def rows_of(title: str, rows: Iterable[tuple[str, str]]) -> str:
    """Return a title over lines of a name and its value."""
    return "\n".join([wrapped(title), *(with_spaces(f"  {left:<56}{right:>20}") for left, right in rows)])


def listed(title: str, lines: Iterable[str]) -> str:
    """Return a title with its lines indented under it; nothing where there are none."""
    told = [
        "\n".join(textwrap.wrap(with_spaces(line), WIDTH, initial_indent="  ", subsequent_indent="    "))
        for line in lines
    ]
    return "\n".join([title, *told]) if told else ""


def wrapped(text: str) -> str:
    """Return a paragraph."""
    return "\n".join(textwrap.wrap(with_spaces(text), WIDTH))


def with_spaces(text: str) -> str:
    """Return a text with plain spaces only."""
    # A terminal may count a no-break space as anything; a line of ours is broken by us.
    return text.replace(units.NO_BREAK, " ")
