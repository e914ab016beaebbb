"""How the rig stands on the chosen springs: heights and loads in every load case, turns, leveling, and what is checked."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from calc.errors import Needs
from calc.limits import BY_NAME
from calc.quantity import SHOP, Display
from calc.ride._rest import REFUSALS, ROLL_MARGIN_FAILS, UNSTABLE, Rest
from calc.rig import axle as axles
from calc.rig.entries import AXLES, CORNERS
from calc.rig.rig import Rig
from calc.search.problem import Problem, SpringSet
from calc.spring._stack_curve import StackCurve
from calc.step import Finding
from calc.tables import Springs
from calc.whole.at_rest import AtRest, Stand, answer_of, at_rest, four, old_springs, stand
from calc.whole.leveling import CROSS_WEIGHT, LEVEL_DAMPERS, LEVEL_FRAME, Leveling, TurnEffect, levels, turn_effects
from calc.whole.own_sides import own_sides
from calc.whole.sides import SIDE_LIMIT, SIDES_RULE, Sides, sides
from calc.whole.solved import Solved
from calc.whole.whole_rig_check import contradictions

CORNERS_RULE, ROLL_RULE = BY_NAME["corners"].rule, "roll margin"
# The rules of the roll step that are judged in the worst load case.
LEAN_RULE, ROADS_RULE, FACTOR_RULE = "roll gradient", "roll gradient on roads", "static stability factor"
# The cross weight that is leveled for while none is entered: both diagonals alike.
EVEN_CROSS = 0.5


@dataclass(frozen=True, kw_only=True, eq=False)
class Standing:
    """The rig on its chosen springs: its rest in every load case, and turns and leveling in the one of the wishes, for a cross weight."""

    rest: AtRest
    reference: int
    adjuster: tuple[TurnEffect, ...]
    ring: tuple[TurnEffect, ...]
    levels: tuple[Leveling, ...]
    cross: float
    sides: Sides | None

    @property
    def noise(self) -> tuple[str, ...]:
        """What keeps the turns of each leveling from being advised: it would turn out less than what is known.

        Empty texts where they are worth turning.
        """
        case = self.rest.cases[self.reference]
        doubt = case.doubt
        if doubt is None:
            return ("",) * len(self.levels)
        # What is printed decides: nobody turns for 0.4 ± 0.4.
        lean, sure = (round(math.degrees(abs(one)), 1) for one in (case.body_roll, doubt.body_roll))
        lengths = [corner.damper_length for corner in case.corners]
        apart = (abs(lengths[0] - lengths[1]), abs(lengths[2] - lengths[3]))
        off, known = (round(100 * one, 1) for one in (abs(case.cross_share - self.cross), doubt.cross_share))
        told = "No turns: that is no more than the ±."
        return (
            f"it leans {lean:.1f}° ±\u00a0{sure:.1f}°. {told}" if lean <= sure else "",
            f"left and right differ by less than is known. {told}"
            if all(one <= least for one, least in zip(apart, doubt.apart, strict=True))
            else "",
            f"it is {off:.1f}\u00a0% off, ±\u00a0{known:.1f}\u00a0%. {told}" if off <= known else "",
        )


def standing(
    rig: Rig,
    springs: Springs,
    chosen: Sequence[tuple[Problem | None, SpringSet | None]],
    display: Display = SHOP,
    together: Solved | None = None,
) -> Standing | None:
    """Return how the rig stands on the chosen sets, front and rear; None while an axle has none. Raises Needs.

    `together` is the rig solved on all pairs of its ranked sets, where that was done.
    """
    sets = tuple(one for _, one in chosen if one is not None)
    problems = tuple(task for task, _ in chosen if task is not None)
    if len(sets) != len(AXLES) or len(problems) != len(AXLES):
        return None
    return _standing(rig, stand(rig), springs, problems, sets, display, together)


def on_old_springs(rig: Rig, together: Solved | None = None) -> AtRest:
    """Return how the rig, as it weighs now, stands on the springs that it was weighed on. Raises Needs."""
    lacking: list[Needs] = []
    for ask in (stand, old_springs):
        try:
            ask(rig)
        except Needs as needs:
            lacking.append(needs)
    if lacking:
        raise Needs.all_of(lacking)
    springs = old_springs(rig)
    if together is None or together.old is None:
        return at_rest(rig, springs)
    return answer_of(rig, stand(rig), springs, together.old)


def _standing(
    rig: Rig,
    ready: Stand,
    springs: Springs,
    problems: Sequence[Problem],
    sets: Sequence[SpringSet],
    display: Display,
    together: Solved | None,
) -> Standing:
    reference = problems[0].reference
    cross = float(rig.get("wanted_cross_share") or EVEN_CROSS)
    alike = four(*(axles.stack_of(springs, one) for one in sets))
    known = None if together is None else together.on(sets)
    rest = ready.solve(alike) if known is None else known
    answer = answer_of(rig, ready, alike, rest)
    told: Sides | None = None
    stacks = alike
    levels = _levels(ready, alike, rest, answer, reference, cross)
    if levels:
        told, stacks = sides(ready, alike, rest, reference, problems, sets, levels[0], display)
        if told.why_alike:
            told = _with_own(told, rig, ready, springs, problems, sets, float(rest.body_roll[reference]), display)
        if stacks is not alike:
            rest = ready.solve(stacks, start=rest.state)
            answer = answer_of(rig, ready, stacks, rest)
            levels = _levels(ready, stacks, rest, answer, reference, cross)
    adjuster, ring = _turns(ready, stacks, rest, answer)
    return Standing(
        rest=answer,
        reference=reference,
        adjuster=adjuster,
        ring=ring,
        levels=levels,
        cross=cross,
        sides=told,
    )


def _with_own(
    told: Sides,
    rig: Rig,
    ready: Stand,
    springs: Springs,
    problems: Sequence[Problem],
    sets: Sequence[SpringSet],
    lean: float,
    display: Display,
) -> Sides:
    """Return what is said of left and right with the springs that would do what preload cannot."""
    apart = [axle for axle, share in zip(AXLES, told.share, strict=True) if abs(share) > SIDE_LIMIT]
    own = own_sides(rig, ready, springs, problems, sets, apart, lean, display)
    if isinstance(own, str):
        return replace(told, instead=f"This list has none for it: {own}")
    return replace(told, own=own, instead=own.text(problems, display))


def _turns(
    ready: Stand, stacks: StackCurve, rest: Rest, answer: AtRest
) -> tuple[tuple[TurnEffect, ...], tuple[TurnEffect, ...]]:
    if not all(case.corners for case in answer.cases):
        return (), ()
    influence = rest.influence()
    adjuster, ring = (
        tuple(turn_effects(ready, stacks, rest, influence, case, of=of) for case in range(len(ready.cases)))
        for of in ("adjuster", "ring")
    )
    return adjuster, ring


def _levels(
    ready: Stand, stacks: StackCurve, rest: Rest, answer: AtRest, reference: int, cross: float
) -> tuple[Leveling, ...]:
    if not answer.cases[reference].corners:
        return ()
    wanted = ((LEVEL_FRAME, None), (LEVEL_DAMPERS, None), (CROSS_WEIGHT, cross))
    return levels(ready, stacks, reference, wanted=wanted, rest=rest)


# --- what is checked ----------------------------------------------------------------------------------------------------------


def findings(
    found: Standing | None,
    needs: Needs | None,
    chosen: Sequence[tuple[Problem | None, SpringSet | None]],
    display: Display = SHOP,
) -> Iterator[Finding]:
    """Yield whether every corner keeps its travel, whether the springs hold the weight upright, and left and right."""
    if found is None:
        wanting = _wanting(needs)
        for rule, text in (
            (CORNERS_RULE, "Whether every corner keeps its travel, the whole rig solved"),
            (ROLL_RULE, "Whether the springs hold the weight upright"),
            (LEAN_RULE, "How far the body leans in a turn"),
            (SIDES_RULE, "Whether left and right are set alike"),
        ):
            yield Finding(rule=rule, state="not checked", text=f"{text}: {wanting}")
        return
    yield _corners(found.rest, chosen, display)
    yield roll_finding(found.rest)
    if found.sides is not None:
        yield found.sides.finding(display)


def _wanting(found: Needs | None) -> str:
    if found is None:
        return "needs springs at both axles."
    if found.sentences:
        return found.sentences[0]
    names = [axles.label(key) for key in found.keys]
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return f"needs {', '.join(names[:3])}{more}."


def _corners(rest: AtRest, chosen: Sequence[tuple[Problem | None, SpringSet | None]], display: Display) -> Finding:
    status = [case.status for case in rest.cases]
    # A case that does not stand has no corners; its status tells before its travels are looked at.
    travel = [[corner.travel for corner in case.corners] or [0.0] * len(CORNERS) for case in rest.cases]
    for task, one in chosen:
        if task is None or one is None:
            continue
        wrong = contradictions(task, one, status, travel)
        if wrong:
            text = " ".join(each.text(display) for each in wrong)
            return Finding(rule=CORNERS_RULE, state="fails", text=text, value=wrong[0].value, limit=wrong[0].limit)
    text = (
        "With the whole rig solved, every corner keeps the wanted bump and droop in every load case, short of its ring."
    )
    return Finding(rule=CORNERS_RULE, state="holds", text=text)


def roll_finding(rest: AtRest) -> Finding:
    """Return whether the springs hold the weight upright against its own leverage, in the worst load case."""
    fallen = next((case for case in rest.cases if case.status == UNSTABLE), None)
    if fallen is not None:
        return Finding(rule=ROLL_RULE, state="fails", text=f"{REFUSALS[UNSTABLE]} Load case: {fallen.label}.")
    known = [(case.roll_margin, case.label) for case in rest.cases if case.roll_margin is not None]
    if len(known) < len(rest.cases):
        text = (
            "Whether the springs hold the weight upright: needs the height of the center of gravity in every load case, "
            "from a weighing with one axle raised."
        )
        return Finding(rule=ROLL_RULE, state="not checked", text=text)
    least, label = min(known)
    margin = _short_of(least)
    number = f"Roll margin {margin}"
    if least < ROLL_MARGIN_FAILS:
        text = (
            f"{number}, below {ROLL_MARGIN_FAILS:g}: the weight nearly outweighs the springs in roll. "
            f"Do not build it without an anti-roll bar or a wider spring base. Load case: {label}."
        )
        return Finding(rule=ROLL_RULE, state="fails", text=text, value=least, limit=ROLL_MARGIN_FAILS)
    text = (
        f"{number}: the springs resist leaning {margin} times as hard as the weight drives it, so it stands up; below "
        f"{ROLL_MARGIN_FAILS:g} it hardly would. How far it leans is the roll gradient. Load case: {label}."
    )
    return Finding(rule=ROLL_RULE, state="holds", text=text, value=least, limit=ROLL_MARGIN_FAILS)


def _short_of(margin: float) -> str:
    """Print a margin as coarsely as no limit that it stays short of lets it be."""
    for decimals in range(1, 6):
        text = f"{margin:.{decimals}f}"
        if float(text) < ROLL_MARGIN_FAILS or margin >= ROLL_MARGIN_FAILS:
            return text
    return f"{margin:.6f}"


# --- plain data --------------------------------------------------------------------------------------------------------------
