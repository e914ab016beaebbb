"""What is checked of an axle's chosen set: wishes, the stack's own rules, the bump stop, ratings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from calc import vocabulary
from calc.job import axle as axles
from calc.job.axle_order import AxleOrder, masses_of
from calc.job.choose import Problem
from calc.job.rig import AXLES, LoadCase, Rig, keys
from calc.job.standing import CORNERS_RULE, ROLL_RULE
from calc.limits import BY_NAME
from calc.quantity import SHOP, Display, Quantity
from calc.step import Finding, check_finding

# Rules that only the whole rig solved can break: where it cannot be solved yet, the search's own limits still hold.
REST_RULES = frozenset((CORNERS_RULE, ROLL_RULE))
# Rules of the stack that a set must not break; an order in which one of them was not checked is an estimate.
HARD_RULES = frozenset(
    (
        "ring reached",
        "past the crossover at rest",
        "tender left",
        "main left",
        "preload floor",
        "loose at droop",
        "adjuster backed off",
        "adjuster reserve",
        "ring inside the tender",
        "ring on its thread",
        "divider on the body",
        "axle rating",
    )
)
_WORST = ("fails", "close", "not checked", "holds")


def count(number: int, what: str) -> str:
    """Return a number with what it counts: "1 value", "3 values"."""
    return f"{number:,} {what}{'' if number == 1 else 's'}"


def _quantities(task: Problem) -> Mapping[str, Quantity]:
    length = vocabulary.length
    return {
        "ride_frequency": vocabulary.natural_frequency.called("Ride frequency", "f"),
        "frequency_past_crossover": vocabulary.natural_frequency.called("Frequency past the crossover", "f_2"),
        "bump_left": length.called("Bump left", "x_bump"),
        "droop_left": length.called("Droop left", "x_droop"),
        "pad_clear": length.called("Room above the bump stop", "x_pad"),
        "pad_touch_before_collapsed": keys()[f"{task.axle}.pad_touch_before_collapsed"].quantity,
    }


def set_findings(made: AxleOrder, task: Problem, doubts: Mapping[str, float], display: Display) -> Iterable[Finding]:
    """Judge the chosen set by what was wished, by the stack's own rules, and by the bump stop."""
    chosen, wishes = made.chosen, task.wishes
    if chosen is None:
        return
    past_low, past_high = wishes.frequency_past_crossover or (None, None)
    values = {
        "wanted_frequency_low": wishes.frequency[0],
        "wanted_frequency_high": wishes.frequency[1],
        "wanted_frequency_past_crossover_low": past_low,
        "wanted_frequency_past_crossover_high": past_high,
        "wanted_bump": wishes.bump,
        "wanted_droop": wishes.droop,
        "ride_frequency": chosen.ride_frequency[task.reference],
        "frequency_past_crossover": chosen.frequency_past_crossover,
        "bump_left": min(case.bump_left for case in made.cases),
        "droop_left": min(case.droop_left for case in made.cases),
        "pad_clear": made.pad_clear,
    }
    uncertain = {
        "ride_frequency": doubts["frequency"],
        "frequency_past_crossover": doubts["frequency"],
        "bump_left": doubts["travel"],
        "droop_left": doubts["travel"],
        "pad_clear": doubts["travel"],
    }
    checks = [BY_NAME["ride_frequency"].check_with({"wanted": _span(*wishes.frequency, display)})]
    if wishes.frequency_past_crossover is not None and chosen.tender is not None:
        past = _span(*wishes.frequency_past_crossover, display)
        checks.append(BY_NAME["frequency_past_crossover"].check_with({"wanted": past}))
    checks += [BY_NAME[name].check for name in ("bump", "droop", "pad")]
    quantities = _quantities(task)

    def missing(name: str) -> tuple[str, ...]:
        return ("pad_touch_before_collapsed",) if name == "pad_clear" else (name,)

    for check in checks:
        yield check_finding(check, values, uncertain, quantities.__getitem__, display, missing)
    if made.stack is not None:
        # The stack is judged in the heaviest load case; a helper is nearest to open in the lightest.
        yield from (finding for finding in made.stack.findings if finding.rule != axles.HELPER_RULE)
    if chosen.helper is not None:
        yield axles.helper_finding(chosen, display)
    yield from _fit_findings(made, task)
    for outcome in (made.frequency, made.gas):
        if outcome is not None:
            yield from (finding for finding in outcome.findings if finding.rule not in _TOLD_ELSEWHERE)


def _fit_findings(made: AxleOrder, task: Problem) -> Iterable[Finding]:
    """Return whether stop and strap spare the damper at both ends; the stroke follows from the two."""
    told = {} if made.fit is None else {finding.rule: finding for finding in made.fit.findings}
    for rule, unchecked in _FIT_RULES.items():
        if rule in told and (task.coilover.strap_travel > 0 or rule == _STOP_RULE):
            yield told[rule]
        elif unchecked:
            yield Finding(rule=rule, state="not checked", text=unchecked)


_STOP_RULE = "the stop is solid before the damper is"
_FIT_RULES = {
    _STOP_RULE: "Whether the bump stop is solid before the damper is: needs damper lengths that agree with each other.",
    "the mounts end before the damper does": "Whether a limit strap ends the droop before the damper does: needs the "
    "damper travel at which the strap is taut.",
    "the strap spares the damper even at its longest": "",
}
# The steps say these of a corner as a whole; here the wishes say it closer, or it is no question of this rig.
_TOLD_ELSEWHERE = frozenset(("frequency usual", "load and weight agree", "sag is no static deflection"))


def _span(low: float, high: float, display: Display) -> str:
    quantity = vocabulary.natural_frequency
    return f"{display.number(low, quantity)} to {display.text(high, quantity)}"


def rating_findings(rig: Rig, display: Display = SHOP) -> tuple[Finding, ...]:
    """Return, for each axle, whether its load stays within its rating in every load case."""
    return tuple(_rating(rig, axle, display) for axle in AXLES)


def _rating(rig: Rig, axle: str, display: Display) -> Finding:
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


def worst(findings: Iterable[Finding]) -> str:
    """Return the worst state among findings, or nothing when there are none."""
    states = {finding.state for finding in findings}
    return next((state for state in _WORST if state in states), "")
