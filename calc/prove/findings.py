"""What is said of a measurement: what holds, what fails, which causes it may have, and how to tell them apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from calc import vocabulary
from calc.damper.gas import ROOM
from calc.prove.model import LENGTH_TOLERANCE, RATE_TOLERANCE, Fit
from calc.prove.prove import PADS, CornerProof, Proving
from calc.prove.trim import Trim, turn_texts
from calc.quantity import SHOP, Display
from calc.rig.entries import CORNERS
from calc.rig.readings import HOTTEST, WARM, damper_temperature
from calc.step import Finding
from calc.units import INCH, NO_BREAK
from calc.whole.at_rest import words

PLUS_MINUS = f"{NO_BREAK}±{NO_BREAK}"
# Half the difference of both readings. Ours, practice: gas seals and rubber bushings stay below the first.
FRICTION_CLOSE, FRICTION_FAILS = 0.30 * INCH, 0.60 * INCH
_LENGTH, _FORCE, _MASS, _RATE = vocabulary.length, vocabulary.force, vocabulary.corner_mass, vocabulary.spring_rate
# Nearer than this nothing on a rig can be read.
_FINEST = 0.01 * INCH
_TELL_APART = "Read the scale under each tire, or put a known load on and read the heights again; turns alone do not tell them apart."


def findings(found: Proving, display: Display = SHOP) -> tuple[Finding, ...]:
    """Return everything that is checked of a measurement; nothing where nothing was read."""
    return tuple(_findings(found, display)) if found.measured else ()


def _findings(found: Proving, display: Display) -> Iterator[Finding]:
    if found.questioned:
        yield _question(found, display)
        return
    yield from _heights(found, display)
    yield from _dampers(found, display)
    yield _friction(found, display)
    if not found.complete:
        return
    yield _floor(found, display)
    if found.sunk is not None:
        yield _sunk(found, display)
    yield from _weighed(found, display)
    yield from _apart(found, display)
    if found.trim is not None:
        yield _turn(found, found.trim, display)
    else:
        text = "What to turn: needs heights at which a rig on these springs can stand. Look for a wrong unit or a wrong corner."
        yield Finding(rule="what to turn", state="not checked", text=text)


def basis_line(found: Proving) -> str:
    """Return what the measurement is compared with."""
    if found.against:
        return f"Compared with the order of {found.against}: its springs, settings and load cases."
    return "No order is recorded: compared with what would be ordered today."


def corners_text(names: Sequence[str]) -> str:
    """Return corners as a reader says them: "left front and right rear"."""
    return " and ".join(words(name) for name in names)


def percent(share: float) -> str:
    """Return a share as a reader says it.

    >>> percent(0.0412).replace(chr(160), " ")
    '4.1 %'
    """
    return f"{100 * share:.1f}{NO_BREAK}%"


def _question(found: Proving, display: Display) -> Finding:
    one = next(corner for corner in found.corners if corner.name == found.questioned[0])
    text = (
        f"Is this the hub height? Damper, eye to eye, is wanted: at the {words(one.name)} {display.text(one.height or 0.0, _LENGTH)} "
        f"was read and {display.text(one.predicted, _LENGTH)} is expected. Measure the damper between the centers of its eyes, "
        "or say in part 1 that the hub is read to the mark on the body. Nothing is worked out from it until then."
    )
    return Finding(rule="what was read", state="close", text=text, value=one.height, limit=one.predicted)


# --- heights ----------------------------------------------------------------------------------------------------------


def _heights(found: Proving, display: Display) -> Iterator[Finding]:
    unread = [one.name for one in found.corners if one.height is None]
    if unread:
        yield Finding(
            rule="all four heights",
            state="not checked",
            text=f"Loads, rates and turns: needs the height at the {corners_text(unread)} too.",
        )
    read = [one for one in found.corners if one.difference is not None]
    outside = [one for one in read if one.outside]
    if not outside:
        worst = max(read, key=lambda one: abs(one.difference or 0.0))
        text = (
            f"Every corner that was read is within {display.text(abs(worst.difference or 0.0), _LENGTH)} of the "
            f"prediction. Rate, length, scale, bind and reading leave {display.text(worst.tolerance, _LENGTH)} either way "
            f"open there (95{NO_BREAK}%): {_alone(found, display)}."
        )
        yield Finding(
            rule="heights as predicted", state="holds", text=text, value=worst.difference, limit=worst.tolerance
        )
    for one in outside:
        excess = abs(one.difference or 0.0) - one.tolerance
        # Rounding must not make two equal numbers of what is more and what is less.
        over = "just" if excess < _FINEST else display.text(excess, _LENGTH)
        text = (
            f"The {words(one.name)} sits {_higher(one, display)} than predicted, {over} more than the "
            f"{display.text(one.tolerance, _LENGTH)} that tolerances explain."
        )
        yield Finding(rule="heights as predicted", state="fails", text=text, value=one.difference, limit=one.tolerance)


def _dampers(found: Proving, display: Display) -> Iterator[Finding]:
    """Say what the dampers' warmth did, or what is left open by not knowing it; nothing where it moves nothing."""
    proof = found.proof
    temperature, _ = proof.gas_temperature
    at, charged, hottest = (display.text(one, damper_temperature) for one in (temperature, ROOM, HOTTEST))
    widest = max(one.warm_doubt for one in found.corners)
    largest = max((one.warm_lift for one in found.corners), key=abs)
    if proof.damper_temperature is None and widest > _FINEST:
        asked = "What such warmth explains is not turned back. Read the heights with the dampers cold, or enter their temperature."
        if proof.dampers == WARM:
            text = (
                f"The dampers are warm, but not how warm: they are taken at {at}, between {charged} and {hottest}. That widens "
                f"the ± by {_by_axle(found, 'warm_doubt', display)}. {asked}"
            )
        else:
            text = (
                f"Whether the dampers were cold or warm is not entered. At {hottest} instead of {charged} their gas lifts the "
                f"rig by {_by_axle(found, 'warm_doubt', display)}; the ± is that much wider. {asked}"
            )
        yield Finding(rule="damper temperature", state="not checked", text=text, value=widest)
    elif abs(largest) > _FINEST:
        way = "harder than at" if largest > 0 else "less than at"
        text = (
            f"At {at} the dampers' gas pushes {way} {charged}: the predicted and the ordered heights are "
            f"{'higher' if largest > 0 else 'lower'} for it by {_by_axle(found, 'warm_lift', display)}."
        )
        yield Finding(rule="damper temperature", state="holds", text=text, value=largest)


def _by_axle(found: Proving, name: str, display: Display) -> str:
    """Return what both axles have of a number of the corners: "0.19 in at the front and 0.12 in at the rear"."""
    sizes = [abs(getattr(one, name)) for one in found.corners]
    front, rear = (display.text(sum(pair) / 2, _LENGTH) for pair in (sizes[:2], sizes[2:]))
    return f"{front} at the front and {rear} at the rear"


def _alone(found: Proving, display: Display) -> str:
    """Return what heights inside their tolerance say, beside what load and rate told apart say."""
    told = () if found.both is None else tuple(_settled(found, found.both, display))
    if all(finding.state != "fails" for finding in told):
        return "this points to no cause"
    more = "scale readings" if found.separates == PADS else "added load"
    return f"the heights alone point to no cause, but together with the {more} they do, as stated below"


def _higher(one: CornerProof, display: Display) -> str:
    difference = one.difference or 0.0
    return f"{display.text(abs(difference), _LENGTH)} {'higher' if difference > 0 else 'lower'}"


def _friction(found: Proving, display: Display) -> Finding:
    read = [one for one in found.corners if one.friction is not None]
    if not read:
        return Finding(
            rule="friction",
            state="not checked",
            text="Whether anything binds: needs each corner read twice, after it was pushed down and after it was lifted.",
        )
    worst = max(read, key=lambda one: one.friction or 0.0)
    half = max(worst.friction or 0.0, 0.0)
    force = "" if worst.rate is None else f", about {display.text(half * worst.rate, _FORCE)}"
    held = f"At the {words(worst.name)} friction holds {display.text(half, _LENGTH)} either way{force}"
    if half <= FRICTION_CLOSE:
        return Finding(rule="friction", state="holds", text=f"{held}: nothing binds.", value=half, limit=FRICTION_CLOSE)
    state_fails = half > FRICTION_FAILS
    text = (
        f"{held}: more than {display.text(FRICTION_FAILS if state_fails else FRICTION_CLOSE, _LENGTH)}, so something "
        "binds. How to tell: mark the divider with paint and push the corner down; a divider that does not slide is "
        "seized. Take one end of the damper off: if it moves as hard, a link or a bushing binds (loosen and tighten "
        "them at ride height); if not, it is the damper."
    )
    limit = FRICTION_FAILS if state_fails else FRICTION_CLOSE
    return Finding(rule="friction", state="fails" if state_fails else "close", text=text, value=half, limit=limit)


def _floor(found: Proving, display: Display) -> Finding:
    warp = found.warp or 0.0
    if abs(warp) <= found.warp_doubt:
        text = "The four heights go together, as one stiff frame on a flat floor has them."
        return Finding(rule="flat floor", state="holds", text=text, value=warp, limit=found.warp_doubt)
    higher = "left front and right rear" if warp > 0 else "right front and left rear"
    text = (
        f"The {higher} sit {display.text(2 * abs(warp), _LENGTH)} too high against the other two. Springs hardly do that: "
        "the floor is not flat there, the frame is bent, or one reading is wrong. Roll the rig on by half a wheel turn "
        "and read again."
    )
    return Finding(rule="flat floor", state="close", text=text, value=warp, limit=found.warp_doubt)


def _sunk(found: Proving, display: Display) -> Finding:
    sunk = found.sunk
    if sunk is None:
        raise ValueError("Nothing was measured before.")
    deepest = int(np.argmax(sunk.by))
    most = sunk.by[deepest]
    if most <= sunk.doubt:
        text = f"Since {sunk.since} no corner has sunk by more than the readings may be off: no set shows."
        return Finding(rule="set with age", state="holds", text=text, value=most, limit=sunk.doubt)
    names = [name for name, by in zip(CORNERS, sunk.by, strict=True) if by > sunk.doubt]
    text = (
        f"Since {sunk.since}, at the same settings, the {corners_text(names)} {'has' if len(names) == 1 else 'have'} sunk, by up "
        f"to {display.text(most, _LENGTH)}. New springs take a set in their first weeks; turn it back. If it goes on, "
        "measure the free lengths on the bench."
    )
    return Finding(rule="set with age", state="close", text=text, value=most, limit=sunk.doubt)


# --- loads, rates, causes -------------------------------------------------------------------------------------------------


def _weighed(found: Proving, display: Display) -> Iterator[Finding]:
    pads = [one.pad for one in found.corners]
    known = [pad for pad in pads if pad is not None]
    if len(known) < len(CORNERS):
        return
    total, expected = sum(known), sum(one.tire_predicted for one in found.corners)
    # Eight readings, four then and four now, each with its own doubt.
    doubt = vocabulary.corner_mass.plus_minus * float(np.sqrt(2 * len(CORNERS)))
    share = (known[1] + known[2]) / total
    told = f"It weighs {display.text(total, _MASS)}, {percent(share)} of it on left rear and right front"
    if abs(total - expected) <= doubt:
        text = f"{told}; expected was {display.text(expected, _MASS)}."
        yield Finding(rule="weighed again", state="holds", text=text, value=total - expected, limit=doubt)
        return
    more = "more" if total > expected else "less"
    text = (
        f"{told}: {display.text(abs(total - expected), _MASS)} {more} than the rig page has for this load case. Enter what "
        "came on or off there; until then the prediction is for another weight."
    )
    yield Finding(rule="weighed again", state="fails", text=text, value=total - expected, limit=doubt)


def _apart(found: Proving, display: Display) -> Iterator[Finding]:
    outside = [one for one in found.corners if one.outside]
    both = found.both
    if both is not None:
        yield from _settled(found, both, display)
    elif found.separates:
        yield Finding(
            rule="load and rate",
            state="not checked",
            text="Load and rate: the second state moved the heights too little to tell them apart. Add more.",
        )
    for one in outside:
        yield _cause(found, one, display)


def _settled(found: Proving, both: Fit, display: Display) -> Iterator[Finding]:
    """Say of each, load and rate, whether it is what was weighed and sold."""
    loads = both.outputs.tire[0] - [one.tire_predicted for one in found.corners]
    doubt = np.hypot(both.doubt("tire"), vocabulary.corner_mass.plus_minus)
    worst = int(np.argmax(np.abs(loads) / doubt))
    name, value, limit = words(CORNERS[worst]), float(loads[worst]), float(doubt[worst])
    told = f"{display.text(abs(value), _MASS)}{PLUS_MINUS}{display.plus_minus(limit, _MASS)}"
    if abs(value) <= limit:
        text = f"The loads are those of the prediction: furthest off is the {name}, by {told}."
        yield Finding(rule="true load", state="holds", text=text, value=value, limit=limit)
    else:
        text = f"The tire at the {name} carries {told} {'more' if value > 0 else 'less'} than predicted."
        yield Finding(rule="true load", state="fails", text=text, value=value, limit=limit)
    share = both.rate - 1.0
    allowed = np.hypot(both.rate_doubt, RATE_TOLERANCE)
    worst = int(np.argmax(np.abs(share) / allowed))
    name, value, limit = words(CORNERS[worst]), float(share[worst]), float(allowed[worst])
    told = f"{percent(abs(value))}{PLUS_MINUS}{percent(float(both.rate_doubt[worst]))}"
    if abs(value) <= limit:
        text = f"The rates are as listed, with the {percent(RATE_TOLERANCE)} of new springs: furthest off is the {name}, by {told}."
        yield Finding(rule="true rate", state="holds", text=text, value=value, limit=limit)
    else:
        softer = "softer" if value < 0 else "stiffer"
        text = f"The springs at the {name} are {told} {softer} than listed, or off their free length."
        yield Finding(rule="true rate", state="fails", text=text, value=value, limit=limit)


def _cause(found: Proving, one: CornerProof, display: Display) -> Finding:
    """Name what one corner's height may come from, each with its number and how to tell it."""
    place = CORNERS.index(one.name)
    given = f"The {words(one.name)} sits {_higher(one, display)} than predicted."
    causes = [*_load_causes(found, one, place, display), *_spring_causes(found, one, place, display)]
    if not causes:
        text = f"{given} Load and rate are what they should be there: look for a setting that was read wrong, or for a bind."
        return Finding(rule="cause", state="close", text=text)
    named = f"{given} {'Either ' if len(causes) > 1 else 'That is because '}{'; or '.join(causes)}."
    if found.both is not None:
        return Finding(rule="cause", state="close", text=named)
    return Finding(rule="cause", state="not checked", text=f"{named} Which of them: {_lower(_TELL_APART)}")


def _load_causes(found: Proving, one: CornerProof, place: int, display: Display) -> Iterator[str]:
    fit = found.both or found.loads
    if fit is None:
        return
    force, doubt = float(fit.outputs.force[0, place]) - one.force_predicted, float(fit.doubt("force")[place])
    # Told apart, a load within its doubt is no cause; nor is one that would move the corner the other way.
    if (found.both is not None and abs(force) <= doubt) or (force > 0) == ((one.difference or 0.0) > 0):
        return
    told = f"{display.text(abs(force), _FORCE)}{PLUS_MINUS}{display.plus_minus(doubt, _FORCE)}"
    yield f"its coil-over carries {told} {'more' if force > 0 else 'less'}"


def _spring_causes(found: Proving, one: CornerProof, place: int, display: Display) -> Iterator[str]:
    fit = found.both or found.rates
    if fit is None or one.rate is None:
        return
    low = (one.difference or 0.0) < 0
    share, doubt = float(fit.rate[place]) - 1.0, float(fit.rate_doubt[place])
    if (found.both is not None and abs(share) <= doubt) or (share > 0) == low:
        return
    shorter = display.text(abs(share) * one.force_predicted / one.rate, _LENGTH)
    if low:
        yield (
            f"a spring has set by about {shorter}, or that much less preload was set (hang the wheel free and count the "
            "turns from just seated: both show as fewer)"
        )
    else:
        yield f"about {shorter} more preload was set (hang the wheel free and count the turns from just seated)"
    yield (
        f"its rate is {percent(abs(share))}{PLUS_MINUS}{percent(doubt)} {'lower' if low else 'higher'} (press the springs on the bench)"
    )
    if _like_main(found, place, share, doubt):
        yield (
            "its divider is seized, so that it is as stiff as the main alone (mark the divider with paint and push the "
            "corner down: it must slide)"
        )


def _like_main(found: Proving, place: int, share: float, doubt: float) -> bool:
    stiffer = found.main_share[place] - 1.0
    return stiffer > LENGTH_TOLERANCE and abs(share - stiffer) <= max(doubt, 0.25 * stiffer)


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"


# --- turns ----------------------------------------------------------------------------------------------------------------


def _turn(found: Proving, one: Trim, display: Display) -> Finding:
    turns = turn_texts(one)
    worst = int(np.argmax(np.abs(one.left)))
    left = display.text(max(abs(float(one.left[worst])), _FINEST), _LENGTH)
    value = float(one.left[worst])
    lower = "too low" if value > 0 else "too high"
    if (
        not turns
        and not one.reached
        and not one.short
        and abs(value) <= max(corner.tolerance for corner in found.corners)
    ):
        text = (
            "Nothing to turn: no turns bring the heights nearer by more than they can be read. "
            f"The {words(CORNERS[worst])} sits {left} {lower}; find the cause first, a reading or the floor before all."
        )
        return Finding(rule="what to turn", state="close", text=text, value=value)
    if not turns and one.reached:
        text = f"Nothing to turn: every height is within {left} of the ordered one."
        return Finding(rule="what to turn", state="holds", text=text, value=value)
    moved = (
        f"The weight on left rear and right front goes from {percent(one.cross_before)} to {percent(one.cross_after)}."
        if abs(one.cross_after - one.cross_before) >= 0.0005
        else ""
    )
    ordered = f"Turn the {_joined(turns)}. " if turns else ""
    if one.reached:
        text = f"{ordered}Then every height is within {left} of the ordered one. {moved}"
        return Finding(rule="what to turn", state="close", text=text.strip(), value=value)
    short = [CORNERS[place] for place in one.short]
    why = f"There is no thread left at the {corners_text(short)}. " if short else ""
    text = (
        f"{ordered}Turning alone cannot do it: the {words(CORNERS[worst])} then still sits {left} {lower}. {why}"
        f"Find the cause first, or order other springs for it. {moved}"
    )
    return Finding(rule="what to turn", state="fails", text=text.strip(), value=value)


def _joined(turns: Sequence[str]) -> str:
    return turns[0] if len(turns) == 1 else f"{', the '.join(turns[:-1])} and the {turns[-1]}"
