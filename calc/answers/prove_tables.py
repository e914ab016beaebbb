"""A proving as plain tables of texts, which a page and a terminal print alike."""

from __future__ import annotations

from calc import vocabulary
from calc.answer.parts import NONE, Grid
from calc.answer.parts import signed as signed_length
from calc.prove.findings import percent
from calc.prove.model import Fit
from calc.prove.prove import PADS, Proving
from calc.prove.trim import RULE
from calc.quantity import EVERY_PLUS_MINUS, Display
from calc.rig.readings import RIDE_HEIGHT
from calc.units import MINUS
from calc.whole.at_rest import words

_LENGTH, _FORCE, _MASS = vocabulary.length, vocabulary.force, vocabulary.corner_mass


def height_table(found: Proving, display: Display) -> Grid:
    """Return predicted against measured."""
    unit = display.unit(_LENGTH).symbol
    what = "Ride height" if found.proof.read == RIDE_HEIGHT else "Damper length"
    rows = []
    for one in found.corners:
        read = (
            NONE
            if one.height is None
            else f"{display.number(one.height, _LENGTH)} ± {display.plus_minus(one.height_doubt, _LENGTH)}"
        )
        rows.append(
            (
                words(one.name).capitalize(),
                f"{display.number(one.predicted, _LENGTH)} ± {display.plus_minus(one.predicted_doubt, _LENGTH)}",
                read,
                NONE if one.difference is None else signed_length(one.difference, _LENGTH, display),
                NONE if one.friction is None else display.number(max(one.friction, 0.0), _LENGTH),
            )
        )
    return Grid(
        caption=f"{what}, {found.case}",
        heads=("Corner", f"Predicted, {unit}", f"Read, {unit}", f"Higher, {unit}", f"Friction, {unit}"),
        rows=tuple(rows),
        notes=(EVERY_PLUS_MINUS,),
    )


def turn_table(found: Proving, display: Display) -> Grid | None:
    """Return what to turn and what all four corners then read; None where nothing is to be turned."""
    one = found.trim
    if one is None or not one.turns.any():
        return None
    unit = display.unit(_LENGTH).symbol
    rows = tuple(
        (
            words(corner.name).capitalize(),
            f"{signed(float(one.turns[place]))}{', ring' if one.ring[place] else ''}" if one.turns[place] else NONE,
            display.number(float(one.height[place]), _LENGTH),
            display.number(corner.ordered, _LENGTH),
        )
        for place, corner in enumerate(found.corners)
    )
    return Grid(
        caption="What to turn: + raises the corner, the adjuster or the ring turned down the body",
        heads=("Corner", "Turns", f"Then reads, {unit}", f"Ordered, {unit}"),
        rows=rows,
        notes=(
            f"{RULE} {percent(one.cross_before)} of the weight lies on left rear and right front before, "
            f"{percent(one.cross_after)} after.",
        ),
    )


def load_table(found: Proving, display: Display) -> Grid | None:
    """Return true loads and rates at the corners; None until all four heights are read."""
    if found.loads is None or found.rates is None:
        return None
    unit = display.unit(_FORCE).symbol
    both = found.both
    heads: tuple[str, ...] = ("Corner", f"Predicted, {unit}")
    if both is not None:
        heads = (*heads, f"True load, {unit}", "True rate, % of listed")
        notes = (_how(found),)
    else:
        heads = (*heads, f"Load at the listed rate, {unit}", "Or rate at the weighed load, %")
        notes = (
            "One state gives the one or the other. To tell them apart: read the scale under each tire, or put a known load "
            "on and read again. Turns alone do not.",
        )
    rows: list[tuple[str, ...]] = []
    for place, one in enumerate(found.corners):
        loads, rates = (both, both) if both is not None else (found.loads, found.rates)
        rows.append(
            (
                words(one.name).capitalize(),
                display.number(one.force_predicted, _FORCE),
                _force(loads, place, display),
                f"{100 * float(rates.rate[place]):.1f} ± {100 * float(rates.rate_doubt[place]):.1f}",
            )
        )
    return Grid(caption="Along the coil-over", heads=heads, rows=tuple(rows), notes=notes)


def _force(fit: Fit, place: int, display: Display) -> str:
    force, doubt = float(fit.outputs.force[0, place]), float(fit.doubt("force")[place])
    return f"{display.number(force, _FORCE)} ± {display.plus_minus(doubt, _FORCE)}"


def _how(found: Proving) -> str:
    by = "the scale under each tire" if found.separates == PADS else "the load that was added"
    return f"Load and rate are told apart by {by}. A spring that has set counts as a lower rate here."


def weight_table(found: Proving, display: Display) -> Grid | None:
    """Return tire loads as predicted, as weighed again and as the heights have them; None until heights are read."""
    fit = found.both or found.best
    if fit is None:
        return None
    unit = display.unit(_MASS).symbol
    rows = tuple(
        (
            words(one.name).capitalize(),
            display.number(one.tire_predicted, _MASS),
            NONE if one.pad is None else display.number(one.pad, _MASS),
            f"{display.number(float(fit.outputs.tire[0, place]), _MASS)} ± "
            f"{display.plus_minus(float(fit.doubt('tire')[place]), _MASS)}",
        )
        for place, one in enumerate(found.corners)
    )
    share = float(fit.outputs.cross[0])
    return Grid(
        caption="At the tires",
        heads=("Corner", f"Predicted, {unit}", f"Weighed again, {unit}", f"Best estimate, {unit}"),
        rows=rows,
        notes=(f"Left rear and right front together: {percent(share)}.",),
    )


def tables(found: Proving, display: Display) -> tuple[Grid, ...]:
    """Return every table that there is something to say in."""
    if not found.measured:
        return ()
    more = (turn_table(found, display), load_table(found, display), weight_table(found, display))
    return (height_table(found, display), *(one for one in more if one is not None))


def signed(value: float, decimals: int = 1) -> str:
    """Return a number with its sign, a true minus.

    >>> signed(1.5), signed(-0.5)
    ('+1.5', '−0.5')
    """
    return f"{value:+.{decimals}f}".replace("-", MINUS)
