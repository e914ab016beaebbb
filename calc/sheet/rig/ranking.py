"""How much each wish counts in the rank: fields behind one quiet line, painted when it is opened."""

from __future__ import annotations

from html import escape

from calc.quantity import Display
from calc.rig.entries import keys
from calc.rig.rank_weights import PAIR_WEIGHTS, WEIGHTS, usual
from calc.rig.rig import Rig
from calc.sheet import markup
from calc.sheet.rig import sure

ACTION = "ranking"
_SAID = (
    "The rank adds up, by these, how far a set is off each target; the lowest sum is first. Hard limits are not touched. "
    "0 leaves a target out, 10 is the most. An emptied field goes back to what is usual: common practice, without a source."
)


def fold() -> str:
    """Return the quiet line; what is behind it is painted when it is opened."""
    return (
        f'<details class="hb-open" data-rig-do="{ACTION}"><summary>How sets are ranked</summary>'
        f'<div data-region="{ACTION}"></div></details>'
    )


def inside(rig: Rig, display: Display) -> str:
    """Return a field for every weight, the usual one beside it."""
    sets, pairs = ("".join(_line(key, rig, display) for key in names.values()) for names in (WEIGHTS, PAIR_WEIGHTS))
    return (
        f'<p class="hb-note">{_SAID}</p>{markup.group("Of an axle’s sets", sets)}'
        f"{markup.group('Of pairs, front and rear', pairs)}"
    )


def _line(key: str, rig: Rig, display: Display) -> str:
    quantity, entry = keys()[key].quantity, rig.values.get(key)
    text = "" if entry is None else display.entry(entry.value, quantity, key)
    identity = f"r-{key}"
    field = markup.number_input(key, text, identity=identity, described=f"{identity}-e")
    return (
        f'<div class="hb-pair hb-pair--one"><label for="{identity}" title="{escape(quantity.help)}">'
        f'{escape(quantity.label)}</label><span class="hb-pair__one">{field}'
        f'<span class="hb-field__unit">usually\u00a0{usual(key):g}</span>'
        f"{markup.origin(key, '' if entry is None else sure.origin_of(entry, key))}</span>"
        f'<p class="hb-error" id="{identity}-e" data-error-of="{key}" hidden></p></div>'
    )
