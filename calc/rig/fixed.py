"""What no set of springs moves on an axle: whether bump stop and limit strap spare the damper, and the axle's rating.

The findings here are those of the sheet, and what fails among them rejects every set: the search takes their outcome.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from calc import vocabulary
from calc.errors import FieldError
from calc.limits import BY_NAME, FIXED
from calc.quantity import SHOP, Display
from calc.rig.loads import axle_masses
from calc.rig.rig import LoadCase, Rig
from calc.rig.wires import like, run_on
from calc.search.coilover import Coilover
from calc.step import Finding, Outcome, check_finding

STRAPPED, STRAPLESS = "yes", "no"


def strap(rig: Rig, axle: str) -> str | None:
    """Return whether an axle has a limit strap: yes, no, or None where it is not known.

    A travel at which it is taut says yes; 0 there, as older rig files have it, says no.
    """
    said, travel = rig.get(f"{axle}.limit_strap"), rig.get(f"{axle}.strap_travel")
    if said is not None or travel is None:
        return None if said is None else str(said)
    return STRAPPED if travel > 0 else STRAPLESS


def fit(rig: Rig, axle: str, coilover: Coilover, display: Display = SHOP) -> Outcome | None:
    """Run the damper length's own step: the coil-over carries stop and strap, so it ends alike in every motion.

    None where the damper's lengths contradict each other.
    """
    long, droop = coilover.extended_length, coilover.extended_length - coilover.strap_travel
    wires = {
        "extended_length": like(rig.known(f"{axle}.damper_extended"), long),
        "collapsed_length": rig.known(f"{axle}.damper_collapsed") or long - rig.get(f"{axle}.damper_stroke"),
        "length_at_bump": long - coilover.bump_limit,
        "length_at_droop": droop,
        # The strap beside the damper, from eye to eye.
        "strap_distance": droop if coilover.strap_travel > 0 else None,
    }
    return run_on("length", wires, display)


def fit_findings(rig: Rig, axle: str, found: Outcome | None) -> Iterator[tuple[str, Finding]]:
    """Yield whether stop and strap spare the damper at both ends, by the limit's name; the stroke follows from the two."""
    told = {} if found is None else {finding.rule: finding for finding in found.findings}
    stop, droop, stretch = (BY_NAME[name] for name in ("stop", "strap", "strap_stretch"))
    if stop.rule in told:
        yield stop.name, told[stop.rule]
    else:
        yield stop.name, _unchecked(stop.name, "a collapsed length that agrees with the extended length and the stroke")
    has, travel = strap(rig, axle), rig.get(f"{axle}.strap_travel")
    if has is None:
        yield droop.name, _unchecked(droop.name, "limit strap, yes or no")
    elif has == STRAPLESS:
        yield (
            droop.name,
            Finding(
                rule=droop.rule,
                state="fails",
                text="There is no limit strap, so the damper ends the droop: pulled to its end it breaks its rod, its eye or "
                "its mount. Fit a strap that is taut before the damper is fully extended.",
                value=0.0,
                limit=None if found is None else float(found.values["droop_margin"]),
            ),
        )
    elif travel is None:
        yield droop.name, _unchecked(droop.name, "full droop, from full extension")
    elif droop.rule in told:
        yield droop.name, told[droop.rule]
        if stretch.rule in told and found is not None and found.values["strap_distance"] is not None:
            yield stretch.name, told[stretch.rule]


def _unchecked(name: str, needs: str) -> Finding:
    limit = BY_NAME[name]
    return Finding(rule=limit.rule, state="not checked", text=f"{limit.unchecked}: needs {needs}.")


def rating(rig: Rig, axle: str, display: Display = SHOP) -> Finding:
    """Return whether an axle's load stays within its rating in every load case."""
    loads = [(sum(masses), case) for case in rig.cases() if (masses := masses_of(rig, axle, case)) is not None]
    heaviest: tuple[float | None, LoadCase | None] = max(loads, key=lambda pair: pair[0]) if loads else (None, None)
    check = BY_NAME["rating"].check_with({"axle": axle})
    quantities = {
        "axle_mass": vocabulary.axle_mass.called(f"{axle} corner weights", "m"),
        "axle_rating": vocabulary.axle_rating.called(f"{axle} axle rating", "m_max"),
    }
    values = {"axle_mass": heaviest[0], "axle_rating": rig.get(f"{axle}.axle_rating")}
    doubts = {"axle_mass": vocabulary.axle_mass.plus_minus}
    found = check_finding(check, values, doubts, quantities.__getitem__, display)
    case = heaviest[1]
    if found.state == "not checked" or case is None or len(rig.cases()) < 2:
        return found
    # The label is the reader's own text, so it is put behind the sentence and never into a template.
    return replace(found, text=f"{found.text} Heaviest: {case.label}.")


def masses_of(rig: Rig, axle: str, case: LoadCase) -> tuple[float, float] | None:
    """Return an axle's two tire weights in a load case, or None where they are unknown or cannot be."""
    try:
        return axle_masses(rig, axle, case)
    except FieldError:
        return None


def missed(rig: Rig, axle: str, coilover: Coilover) -> tuple[tuple[str, float], ...]:
    """Return by how much each limit that was checked is missed: above 0 exactly where its finding fails."""
    findings = {**dict(fit_findings(rig, axle, fit(rig, axle, coilover))), "rating": rating(rig, axle)}
    return tuple(
        (limit.name, _missed(findings[limit.name]))
        for limit in FIXED
        if limit.name in findings and findings[limit.name].state != "not checked"
    )


def _missed(found: Finding) -> float:
    off = abs((found.value or 0.0) - (found.limit or 0.0))
    return max(off, 1e-9) if found.state == "fails" else -off
