"""With another damper: what the handbook's dampers would come to on the rig, worked out only when it is asked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

from calc import vocabulary
from calc.answers.dampers import HOW_RANKED, allowed_lines, damper_lines
from calc.answers.sets import named_spring
from calc.order.dampers import Bodies, Pair, Progress, slices_with_dampers
from calc.quantity import Display
from calc.rig.axle import label
from calc.rig.entries import AXLES
from calc.rig.rig import Rig
from calc.sheet.answer import TEXT, rows_table
from calc.tables import Dampers, Springs

_FREQUENCY = vocabulary.natural_frequency


def box() -> str:
    """Return the folded block with its buttons, and the place for what is found."""
    return (
        '<details class="hb-open"><summary>With another damper</summary>'
        "<p>Each damper of the handbook's invented list, or of your own, that goes between the mounts of the one entered, with "
        "each set of springs.</p>"
        '<p><button type="button" class="hb-more" data-long="dampers" data-while="Stop the search">Try them</button> '
        '<label class="hb-more">Open your own list, a CSV file<input type="file" accept=".csv,.txt,.tsv,text/csv" '
        'data-rig-list="dampers" class="hb-sr"></label></p><div data-region="dampers" aria-live="polite"></div></details>'
    )


def found_slices(
    rig: Rig, springs: Springs, display: Display, dampers: Dampers
) -> Iterator[tuple[Progress, str] | str]:
    """Search each axle in slices: yields how far it has come with its axle, and the HTML of what was found last."""
    told: list[str] = []
    for axle in AXLES:
        for part in slices_with_dampers(rig, axle, dampers, springs):
            if isinstance(part, Bodies):
                told.append(_axle(part, display))
            else:
                yield part, axle
    yield f'{"".join(told)}<p class="hb-note">{escape(HOW_RANKED)}</p>'


def _axle(found: Bodies, display: Display) -> str:
    title = f"<h3>{escape(found.axle.capitalize())}, with another damper</h3>"
    if found.needs is not None:
        return title + _list([*found.needs.sentences, *(f"It needs {label(key)}." for key in found.needs.keys)])
    lines = "".join(f"<p>{escape(line)}</p>" for line in allowed_lines(found, display))
    each = _list(damper_lines(found, display))
    return (
        f"{title}{lines}{_table(found, display)}"
        f'<details class="hb-open"><summary>Each damper of the list</summary>{each}</details>'
    )


def _list(lines: Iterable[str]) -> str:
    return f"<ul>{''.join(f'<li>{escape(line)}</li>' for line in lines)}</ul>"


def _table(found: Bodies, display: Display) -> str:
    if not found.pairs:
        return ""
    unit = display.unit(_FREQUENCY).symbol
    heads = ("Damper", "Tender", "Main", f"Ride, {unit}", f"Past crossover, {unit}")
    rows = [[escape(text) for text in _row(pair, found, display)] for pair in found.pairs]
    return rows_table(heads, rows, kinds=(TEXT,) * 4)


def _row(pair: Pair, found: Bodies, display: Display) -> tuple[str, ...]:
    one, springs = pair.springs, found.springs
    problem = next(body.problem for body in found.bodies if body.index == pair.damper)
    ride = one.ride_frequency[problem.reference if problem is not None else 0]
    tender = "none" if one.tender is None else named_spring(springs, one.tender, display)
    if one.helper is not None:
        tender += f", with a helper on top: {named_spring(springs, one.helper, display)}"
    past = "–" if one.frequency_past_crossover is None else display.number(one.frequency_past_crossover, _FREQUENCY)
    return pair.part, tender, named_spring(springs, one.main, display), display.number(ride, _FREQUENCY), past
