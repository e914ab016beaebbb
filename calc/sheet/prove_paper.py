"""The measuring sheet: one page of paper to take along, with lines to write on and the heights that are expected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from calc import vocabulary
from calc.cautions import caution
from calc.prove.prove import CornerProof, Proving
from calc.quantity import Display
from calc.rig.entries import CORNERS
from calc.whole.at_rest import words

_FIRST = ("Preload", "Ring gap", "Pushed down", "Lifted", "Scale")
_SECOND = ("Adjuster", "Ring", "Pushed down", "Lifted", "Scale")
_ORDER = (
    "Bench, damper hanging free: preload and ring gap at each corner.",
    "Flat floor, tires at their pressure, fuel and load as in the load case; roll it to and fro, brake off.",
    "Dampers cold, parked for hours; if they are warm, write down the temperature of their bodies (infrared thermometer).",
    "Push each corner down, let it rise, read. Lift it, let it settle, read.",
    "Scale under each tire, if there is one; then put on a known load and read once more.",
)


def measuring_sheet(found: Proving | None, display: Display) -> str:
    """Return the sheet to print; with a prediction it tells what is expected at each corner."""
    expected = {one.name: one for one in found.corners} if found is not None and found.needs is None else {}
    length, mass = display.unit(vocabulary.length).symbol, display.unit(vocabulary.corner_mass).symbol
    first = _state("As built", _FIRST, (length, length, length, length, mass), expected, display)
    second = _state("With a known load on", _SECOND, ("turns", "turns", length, length, mass), {}, display)
    steps = "".join(f"<li>{escape(step)}</li>" for step in _ORDER)
    case = f"Load case: {escape(found.case)}." if found is not None and found.case else "Load case:"
    return (
        '<section class="hb-measuring" aria-label="Measuring sheet"><h2>Measuring sheet</h2>'
        f'<p class="hb-measuring__head"><span>Rig:</span><span>Date:</span><span>Miles:</span></p><p>{case}</p>'
        f"<ol>{steps}</ol>{first}{second}"
        f"<p>{escape(caution('jacking', 'spring_and_gas'))} Heights are never read with the driveline loaded.</p></section>"
    )


def _state(
    name: str, columns: Sequence[str], units: Sequence[str], expected: Mapping[str, CornerProof], display: Display
) -> str:
    heads = "".join(f'<th scope="col">{column}, {unit}</th>' for column, unit in zip(columns, units, strict=True))
    told = f'<th scope="col" class="n">Expected, {display.unit(vocabulary.length).symbol}</th>' if expected else ""
    load = "" if columns == _FIRST else "<p>Load, and its position behind the front axle and left of center:</p>"
    rows = ""
    for corner in CORNERS:
        wanted = display.number(expected[corner].predicted, vocabulary.length) if expected else ""
        cell = f'<td class="n">{wanted}</td>' if expected else ""
        rows += f'<tr><th scope="row">{words(corner).capitalize()}</th>{cell}{"<td></td>" * len(columns)}</tr>'
    return (
        f'<h3>{name}</h3>{load}<table class="hb-table"><thead><tr><th scope="col">Corner</th>{told}{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table>"
    )
