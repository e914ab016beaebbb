"""Which front set goes with which rear set: the sentence, the best pairs, and a button that takes the best of them."""

from __future__ import annotations

from dataclasses import replace
from html import escape

from calc import vocabulary
from calc.answers.sets import short_name
from calc.certainty.chances import rule_text
from calc.order.order import Order
from calc.quantity import Display
from calc.rig.compare import chosen_parts
from calc.rig.entries import AXLES
from calc.rig.rig import Entry, Rig
from calc.sheet.rig.springs import named_markup
from calc.tables import Springs
from calc.whole.pairs import LEVEL_ENOUGH, NOSE, Pair, nose_text, pair_line, ratio_line

ACTION = "take-pair"
_HEADS = ("Front", "Rear", "Rear over front frequency", "Nose", "Cross weight")


def body(made: Order, display: Display) -> str:
    """Return the part on both axles together; nothing while the whole rig cannot be solved."""
    found = made.pairs
    if found is None:
        return ""
    sets = (one for pair in (found.used, *found.ranked) for one in pair.sets)
    names = {id(one): short_name(one, made.springs, display) for one in sets}
    rows = "".join(_row(pair, made.springs, display, best=pair is found.best) for pair in found.ranked)
    heads = "".join(
        f'<th scope="col"{" class=n" if place > 1 else ""}>{head}</th>' for place, head in enumerate(_HEADS)
    )
    table = (
        f'<details class="hb-open"><summary>{found.standing:,} of {found.tried:,} front-and-rear combinations keep every limit</summary>'
        f'<table class="hb-table hb-table--fold"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'
        f'<p class="hb-note">{escape(_note(display))}</p></details>'
    )
    return f"<h3>Front and rear together</h3><p>{escape(pair_line(found, display, names))}</p><p>{escape(ratio_line(found, display))}</p>{_button(made)}{table if rows else ''}"


def _note(display: Display) -> str:
    return (
        "The whole rig is solved on every pair, in every load case; the values here are for the one of the targets, as the bench "
        f"settings leave it. A pair’s sum is both sets’ own, nose and cross weight ({display.text(NOSE, vocabulary.length)} "
        f"beyond {display.text(LEVEL_ENOUGH, vocabulary.length)} and 1 % count like the end of a wanted range), and how often each set works. {rule_text()}"
    )


def _row(pair: Pair, springs: Springs, display: Display, *, best: bool) -> str:
    cells = (
        ("Rear over front", " · ".join(f"{ratio:.2f}" for ratio in pair.frequency_ratios)),
        ("Nose", "–" if pair.nose is None else nose_text(pair.nose, display)),
        ("Cross weight", display.text(pair.cross_share, vocabulary.share)),
    )
    inner = "".join(f'<td class="n" data-label="{label}">{text}</td>' for label, text in cells)
    front, rear = (named_markup(one, springs, display) for one in pair.sets)
    return (
        f'<tr{" class=best" if best else ""}><th scope="row">{front}</th><td data-label="Rear">{rear}</td>{inner}</tr>'
    )


def _button(made: Order) -> str:
    """Return the button that takes the best pair; a word where it is in use already."""
    best = None if made.pairs is None else made.pairs.best
    if best is None:
        return ""
    used = [item.chosen for item in made.axles]
    if all(one is not None and one.springs() == other.springs() for one, other in zip(used, best.sets, strict=True)):
        return '<p class="hb-note">This pair is in use.</p>'
    return f'<p><button type="button" class="hb-more" data-rig-do="{ACTION}">Take this pair</button></p>'


def taken(rig: Rig, made: Order) -> Rig:
    """Return the rig with the best pair as the reader's own choice; as it is where there is none."""
    best = None if made.pairs is None else made.pairs.best
    if best is None:
        return rig
    values = dict(rig.values)
    for axle, one in zip(AXLES, best.sets, strict=True):
        values |= {f"{axle}.{key}": Entry(value=part) for key, part in chosen_parts(one, made.springs).items()}
    return replace(rig, values=values)
