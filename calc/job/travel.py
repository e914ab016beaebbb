"""An axle's motion ratio from what was entered for it: its travel pairs, or the places of its eyes in space."""

from __future__ import annotations

from dataclasses import replace

from calc.errors import FieldError, MissingError
from calc.geometry.travel_table import TravelPair
from calc.job import mounts
from calc.job.axle import case_load
from calc.job.rig import AXLES, Entry, Rig
from calc.memo import remembered
from calc.quantity import SHOP, Display
from calc.step import Attempt, Finding, attempt, find

_DERIVED: tuple[str, ...] = ("motion_ratio", "motion_ratio_slope")


def motion(rig: Rig, axle: str) -> Attempt | None:
    """Return what an axle's travel pairs say, or None where there are none or a motion ratio was entered itself.

    Its errors name the fields of the step; its findings are in shop units.
    """
    if not rig.pairs(axle) or own_ratio(rig, axle) is not None:
        return None
    try:
        load = case_load(rig, axle, rig.reference()).support_load
    except FieldError:
        # Without the weights the pairs still tell the motion ratio, only not what their doubt weighs.
        load = None
    return _of_pairs(rig.pairs(axle), rig.get(f"{axle}.ride_height"), rig.get(f"{axle}.lean"), load)


@remembered(8)
def _of_pairs(
    pairs: tuple[TravelPair, ...], ride_height: float | None, lean: float | None, support_load_mean: float | None
) -> Attempt:
    """The plus-minus of so many readings takes a while, and most edits change none of them."""
    given = {
        "pairs": pairs,
        "ride_height": ride_height,
        "lean": lean,
        "support_load_mean": support_load_mean,
    }
    return attempt(find("travel_table"), {name: value for name, value in given.items() if value is not None})


def with_motion(rig: Rig) -> Rig:
    """Return the rig with what each axle's travel pairs or the places of its eyes say, as derived values.

    The pairs go before the places, which go before lean and length; a motion ratio that was entered goes before all.
    Pairs or places that cannot be used are passed over, which `findings` tells.
    """
    found: dict[str, Entry] = {}
    for axle in AXLES:
        done, names = motion(rig, axle), _DERIVED
        if (done is None or done.errors) and own_ratio(rig, axle) is None:
            done = mounts.in_space(rig, axle)
            names = () if done is None or done.errors else mounts.derived(done)
        if done is None or done.errors:
            continue
        values, doubts = done.outcome.values, done.outcome.plus_minus
        found |= {
            f"{axle}.{name}": Entry(value=float(values[name]), origin="derived", plus_minus=doubts.get(name))
            for name in names
            if values[name] is not None
        }
    return replace(rig, values={**rig.values, **found}) if found else rig


def findings(rig: Rig, axle: str, display: Display = SHOP) -> tuple[Finding, ...]:
    """Return what of an axle's travel pairs and mounts cannot be used and what stands in its place, and whether both agree."""
    pairs, places = motion(rig, axle), mounts.in_space(rig, axle)
    found = []
    if pairs is not None and pairs.errors:
        usable = places is not None and not places.errors
        found.append(
            _passed_over(
                "the travel table", pairs, axle, "the mounts in space are" if usable else _lean(rig, axle), display
            )
        )
    if places is not None and places.errors and own_ratio(rig, axle) is None:
        usable = pairs is not None and not pairs.errors
        found.append(
            _passed_over(
                "mounts in space", places, axle, "the travel table is" if usable else _lean(rig, axle), display
            )
        )
    agreed = mounts.agreement(axle, places, pairs)
    return tuple(found) if agreed is None else (*found, agreed)


def _lean(rig: Rig, axle: str) -> str:
    read = all(rig.get(f"{axle}.{name}") is not None for name in ("lean", "damper_length"))
    return "the lean read at one height is" if read and not rig.independent(axle) else ""


def _passed_over(what: str, done: Attempt, axle: str, instead: str, display: Display) -> Finding:
    problems = " ".join(error.message(display) for error in done.errors)
    used = f"{instead} used instead" if instead else "nothing else tells the motion ratio"
    return Finding(
        rule=f"{what} can be used",
        state="not checked" if all(isinstance(error, MissingError) for error in done.errors) else "fails",
        text=f"{axle.capitalize()}: {what} cannot be used, and {used}. {problems}",
    )


def own_ratio(rig: Rig, axle: str) -> Entry | None:
    """Return the motion ratio that was entered itself, which goes before everything else."""
    own = rig.values.get(f"{axle}.motion_ratio")
    return None if own is None or own.origin == "derived" else own
