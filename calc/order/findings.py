"""What is checked of an axle's chosen set: wishes, the stack's own rules, the bump stop, ratings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from calc import vocabulary
from calc.limits import BY_NAME, step_ratio
from calc.order.axle_order import AxleOrder
from calc.order.choice_words import height_mend, off_height
from calc.quantity import SHOP, Display, Quantity
from calc.rig import axle as axles
from calc.rig.entries import AXLES, keys
from calc.rig.fixed import fit_findings, rating
from calc.rig.height import wanted_text
from calc.rig.misread import LOADS, Misread, misread
from calc.rig.rig import Rig
from calc.search.problem import Problem, SpringSet
from calc.step import Finding, check_finding
from calc.whole.on_chosen_springs import CORNERS_RULE, ROLL_RULE

# Rules that only the whole rig solved can break: where it cannot be solved yet, the search's own limits still hold.
REST_RULES = frozenset((CORNERS_RULE, ROLL_RULE))
_WORST = ("fails", "close", "not checked", "holds")


def count(number: int, what: str) -> str:
    """Return a number with what it counts: "1 value", "3 values"."""
    return f"{number:,} {what}{'' if number == 1 else 's'}"


def _quantities(task: Problem) -> Mapping[str, Quantity]:
    length = vocabulary.length
    return {
        "crossovers": step_ratio.called("Crossovers", "n", low=0.0),
        "step_ratio": step_ratio,
        "wanted_step_low": keys()[f"{task.axle}.wanted_step_low"].quantity,
        "wanted_step_high": keys()[f"{task.axle}.wanted_step_high"].quantity,
        **dict.fromkeys(("damper_length", "wanted_length_low", "wanted_length_high"), vocabulary.damper_length),
        "ride_frequency": vocabulary.natural_frequency.called("Ride frequency", "f"),
        "frequency_past_crossover": vocabulary.natural_frequency.called("Frequency past the crossover", "f_2"),
        "bump_left": length.called("Bump left", "x_bump"),
        "droop_left": length.called("Droop left", "x_droop"),
        "pad_clear": length.called("Room above the bump stop", "x_pad"),
        "pad_touch_before_collapsed": keys()[f"{task.axle}.pad_touch_before_collapsed"].quantity,
    }


def _judged_values(made: AxleOrder, task: Problem, chosen: SpringSet) -> dict[str, float | None]:
    """Return what of a chosen set is held against which wishes."""
    wishes, low_high = task.wishes, task.wishes.height.span
    past_low, past_high = wishes.frequency_past_crossover or (None, None)
    return {
        "wanted_frequency_low": wishes.frequency[0],
        "wanted_frequency_high": wishes.frequency[1],
        "wanted_frequency_past_crossover_low": past_low,
        "wanted_frequency_past_crossover_high": past_high,
        "crossovers": 0.0 if chosen.tender is None else 1.0,
        "crossovers_wanted": 0.0 if wishes.crossover_above_ride is None else 1.0,
        "step_ratio": chosen.step_ratio,
        "wanted_step_low": wishes.step[0],
        "wanted_step_high": wishes.step[1],
        "wanted_bump": wishes.bump,
        "wanted_droop": wishes.droop,
        "ride_frequency": chosen.ride_frequency[task.reference],
        "frequency_past_crossover": chosen.frequency_past_crossover,
        "bump_left": min(case.bump_left for case in made.cases),
        "droop_left": min(case.droop_left for case in made.cases),
        "pad_clear": made.pad_clear,
        "damper_length": made.cases[task.reference].damper_length,
        "wanted_length_low": low_high[0],
        "wanted_length_high": low_high[1],
    }


def set_findings(
    made: AxleOrder, rig: Rig, task: Problem, doubts: Mapping[str, float], display: Display
) -> Iterable[Finding]:
    """Judge the chosen set by what was wished, by the stack's own rules, and by the bump stop."""
    chosen, wishes = made.chosen, task.wishes
    if chosen is None:
        return
    height, case = wishes.height, made.cases[task.reference]
    values = _judged_values(made, task, chosen)
    uncertain = {
        **dict.fromkeys(("ride_frequency", "frequency_past_crossover"), doubts["frequency"]),
        **dict.fromkeys(("bump_left", "droop_left", "pad_clear"), doubts["travel"]),
        "damper_length": case.ride_travel_plus_minus,
    }
    mend = "" if made.choice is None else height_mend(task, made.choice.springs, chosen, display)
    words = {
        "wanted": wanted_text(rig, task.axle, height, display),
        "off": off_height(case.above_wanted, display),
        "mend": f" {mend}" if mend else "",
    }
    checks = [BY_NAME["ride_height"].check_with(words)]
    checks += [BY_NAME["ride_frequency"].check_with({"wanted": _span(*wishes.frequency, display)})]
    if wishes.frequency_past_crossover is not None and chosen.tender is not None:
        past = _span(*wishes.frequency_past_crossover, display)
        checks.append(BY_NAME["frequency_past_crossover"].check_with({"wanted": past}))
    if wishes.crossover_above_ride is not None and chosen.tender is None:
        checks.append(BY_NAME["no_crossover"].check)
    if chosen.ring_gap is not None:
        checks.append(BY_NAME["step"].check)
    checks += [BY_NAME[name].check for name in ("bump", "droop", "pad")]
    quantities = _quantities(task)

    def missing(name: str) -> tuple[str, ...]:
        return ("pad_touch_before_collapsed",) if name == "pad_clear" else (name,)

    assumed = tuple(name for name in ("wanted_step_low", "wanted_step_high") if rig.get(f"{task.axle}.{name}") is None)
    for check in checks:
        yield check_finding(check, values, uncertain, quantities.__getitem__, display, missing, assumed)
    if made.stack is not None:
        # The stack is judged in the heaviest load case; a helper is nearest to open in the lightest.
        elsewhere = (axles.HELPER_RULE, *_LEFT_TO_THE_MAKER)
        yield from (finding for finding in made.stack.findings if finding.rule not in elsewhere)
    if chosen.helper is not None:
        yield axles.helper_finding(chosen, display)
    yield from (finding for _, finding in fit_findings(rig, task.axle, made.fit))
    told_elsewhere = _TOLD_ELSEWHERE | (frozenset() if chosen.ring_gap is not None else _OF_A_RING)
    for outcome in (made.frequency, made.gas):
        if outcome is not None:
            yield from (finding for finding in outcome.findings if finding.rule not in told_elsewhere)


# Their numbers come with no list and no entry: order.MAKERS says what to ask.
_LEFT_TO_THE_MAKER = ("tender's coil gaps", "main's coil gaps")
# The steps say these of a corner as a whole; here the wishes say it closer, or it is no question of this rig.
_OF_A_RING = frozenset(("step at the crossover",))
_TOLD_ELSEWHERE = frozenset(("frequency usual", "load and weight agree", "sag is no static deflection"))


def _span(low: float, high: float, display: Display) -> str:
    quantity = vocabulary.natural_frequency
    return f"{display.number(low, quantity)} to {display.text(high, quantity)}"


def rating_findings(rig: Rig, display: Display = SHOP) -> tuple[Finding, ...]:
    """Return, for each axle, whether its load stays within its rating in every load case."""
    return tuple(_rating(rig, axle, display) for axle in AXLES)


def _rating(rig: Rig, axle: str, display: Display) -> Finding:
    wrong = [one.sentence for one in misread(rig) if _weighs(one, axle)]
    if wrong:
        text = f"Whether the {axle} axle is within its rating: {wrong[0]}"
        return Finding(rule=BY_NAME["rating"].check_with({"axle": axle}).rule, state="not checked", text=text)
    return rating(rig, axle, display)


def _weighs(one: Misread, axle: str) -> bool:
    """Tell whether the load of an axle or its rating cannot be told without this entry."""
    weights = ("corner_mass", "wheelbase", "track", LOADS)
    return not one.doubt and (one.name in weights or (one.name == "axle_rating" and one.axle == axle))


def worst(findings: Iterable[Finding]) -> str:
    """Return the worst state among findings, or nothing when there are none."""
    states = {finding.state for finding in findings}
    return next((state for state in _WORST if state in states), "")
