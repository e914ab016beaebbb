"""Which front set goes with which rear set: every pair of the ranked sets, the whole rig solved on each.

A pair's sum is both sets' own sums and, by their weights, how far the rear's frequency over the front's is off the middle
of Olley's range, how far the nose stands up or down in the load case of the wishes, and how far the cross weight is off.
A pair in which the whole rig contradicts either set, in any load case, is none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from calc import vocabulary
from calc.job import rank_weights
from calc.job._ranking import rank_key
from calc.job._solved import Solved
from calc.job.at_rest import Stand, of_corners, stand
from calc.job.axle import Needs, stack_of
from calc.job.choose import Choice, Problem, SpringSet
from calc.job.resolved import Resolved, keeping
from calc.job.rig import AXLES, CORNERS, Rig
from calc.job.standing import EVEN_CROSS
from calc.quantity import Display
from calc.tables import Springs
from calc.units import INCH

# The rear meets each bump later and has to be quicker to catch up: Olley's range, as in the step of pitch and bounce.
WANTED_RATIO = (1.1, 1.25)
# What counts as much as the end of that range: an inch of nose, one hundredth of the whole weight on a diagonal.
NOSE, CROSS = 1.0 * INCH, 0.01
_SHOWN = 5


@dataclass(frozen=True, kw_only=True, eq=False)
class Pair:
    """A front and a rear set with what they do together in the load case of the wishes.

    `nose` is how far the frame's front stands higher than its rear, counted from where the lean was read; None where no
    damper length was read with it. `broken` names the axles whose set the whole rig contradicts.
    """

    front: SpringSet
    rear: SpringSet
    score: float
    frequency_ratio: float
    nose: float | None
    cross_share: float
    broken: tuple[str, ...]

    @property
    def sets(self) -> tuple[SpringSet, SpringSet]:
        """Both sets, front and rear."""
        return self.front, self.rear


@dataclass(frozen=True, kw_only=True, eq=False)
class Pairs:
    """The pairs that stand, best first and at most a few of them; the two axles' firsts; how many were tried and stand."""

    ranked: tuple[Pair, ...]
    firsts: Pair
    tried: int
    standing: int
    wanted_cross: float

    @property
    def best(self) -> Pair | None:
        """The pair that is recommended."""
        return self.ranked[0] if self.ranked else None


def pairs(
    rig: Rig,
    springs: Springs,
    tasks: Mapping[str, Problem | Needs],
    resolved: Mapping[str, Resolved],
    together: Solved | None = None,
) -> Pairs | None:
    """Return how the ranked sets of both axles go together; None while the whole rig cannot be solved.

    The rig is one that `completed` gave; `together` is it solved on all pairs, where that was done.
    """
    choices = tuple(choice for axle in AXLES if (choice := resolved[axle].choice) is not None and choice.ranked)
    problems = tuple(one for axle in AXLES if isinstance(one := tasks[axle], Problem))
    if len(choices) < len(AXLES) or len(problems) < len(AXLES):
        return None
    ready = stand(rig)
    return None if isinstance(ready, Needs) else _pairs(rig, ready, springs, problems, choices, together)


def _pairs(
    rig: Rig,
    ready: Stand,
    springs: Springs,
    problems: tuple[Problem, ...],
    choices: tuple[Choice, ...],
    together: Solved | None,
) -> Pairs:
    front, rear = (choice.ranked for choice in choices)
    both = [(one, other) for one in front for other in rear]
    rest = None if together is None else together.on(*both)
    if rest is None:
        stacks = {id(one): stack_of(springs, one) for one in (*front, *rear)}
        rest = ready.solve(of_corners(*([stacks[id(one)] for one in pair for _ in range(2)] for pair in both)))
    cross = float(rig.get("wanted_cross_share") or EVEN_CROSS)
    weights = rank_weights.pair_weights(rig.ranking())
    cases, reference = len(ready.cases), problems[0].reference
    status, travel = rest.status.reshape(-1, cases), rest.travel.reshape(-1, cases, len(CORNERS))
    kept = [keeping(problem, [pair[axle] for pair in both], status, travel) for axle, problem in enumerate(problems)]
    at = slice(reference, None, cases)
    noses = rest.frame_height[at, :2].mean(axis=1) - rest.frame_height[at, 2:].mean(axis=1)
    found = []
    for place, pair in enumerate(both):
        broken = tuple(problem.axle for problem, keeps in zip(problems, kept, strict=True) if not keeps[place])
        ratio = pair[1].ride_frequency[reference] / pair[0].ride_frequency[reference]
        nose = float(noses[place]) if all(ready.read) else None
        share = float(rest.cross_share[place * cases + reference])
        low, high = WANTED_RATIO
        total = sum(one.score for one in pair)
        total += weights.frequency_ratio * ((ratio - (low + high) / 2) / ((high - low) / 2)) ** 2
        total += weights.level * ((nose or 0.0) / NOSE) ** 2 + weights.cross * ((share - cross) / CROSS) ** 2
        found.append(
            Pair(
                front=pair[0],
                rear=pair[1],
                score=total,
                frequency_ratio=ratio,
                nose=nose,
                cross_share=share,
                broken=broken,
            )
        )
    standing = sorted(
        (pair for pair in found if not pair.broken),
        key=lambda pair: (rank_key(pair.front, pair.score, springs), rank_key(pair.rear, 0.0, springs)),
    )
    return Pairs(
        ranked=tuple(standing[:_SHOWN]),
        firsts=found[0],
        tried=len(found),
        standing=len(standing),
        wanted_cross=cross,
    )


# --- in words -----------------------------------------------------------------------------------------------------------------


def nose_text(nose: float, display: Display) -> str:
    """Return how the frame stands, nose against tail: "0.31 in up"."""
    return f"{display.text(abs(nose), vocabulary.length)} {'up' if nose > 0 else 'down'}"


def pair_line(found: Pairs, display: Display, name: Mapping[int, str]) -> str:
    """Say which pair is recommended and why, against the two firsts. `name` has each set's name by its id."""
    best, firsts = found.best, found.firsts
    if best is None:
        return f"None of the {found.tried:,} pairs of ranked sets stands, the whole rig solved: each axle's own list says why."
    named = f"{name[id(best.front)]} in front with {name[id(best.rear)]} behind"
    does = "; ".join(_does(best, display))
    if best.sets == firsts.sets:
        return f"The two firsts go together best: {named}. {does[:1].upper()}{does[1:]}."
    if firsts.broken:
        whose = " and the ".join(firsts.broken)
        return f"{named} go together best. {does[:1].upper()}{does[1:]}. Together the two firsts break a limit at the {whose}."
    gains, losses = _against(best, firsts, found.wanted_cross, display)
    told = f"{'; '.join(gains)}." if gains else "Both their own sums and the whole rig's together are lowest."
    told = f"{told[:1].upper()}{told[1:]}"
    for_it = f" For that, {'; '.join(losses)}." if losses else ""
    return f"{named} go together better than the two firsts. {told}{for_it}"


def _does(pair: Pair, display: Display) -> Iterator[str]:
    yield f"the rear rides {pair.frequency_ratio:.2f} times as often as the front"
    if pair.nose is not None:
        yield f"the nose stands {nose_text(pair.nose, display)}"
    yield f"cross weight {display.text(pair.cross_share, vocabulary.share)}"


def _against(best: Pair, firsts: Pair, cross: float, display: Display) -> tuple[list[str], list[str]]:
    """Return what the best pair does better than the two firsts, and what it does worse: differences that can be read."""
    sides: tuple[list[str], list[str]] = ([], [])

    def compare(sentence: str, mine: str, theirs: str, off: float, instead_off: float) -> None:
        if mine != theirs:
            sides[0 if abs(off) < abs(instead_off) else 1].append(sentence.format(f"{mine} instead of {theirs}"))

    middle = sum(WANTED_RATIO) / 2
    offs = [pair.frequency_ratio - middle for pair in (best, firsts)]
    ratios = [f"{pair.frequency_ratio:.2f}" for pair in (best, firsts)]
    compare("the rear rides {} times as often as the front", ratios[0], ratios[1], offs[0], offs[1])
    if best.nose is not None and firsts.nose is not None:
        noses = [nose_text(nose, display) for nose in (best.nose, firsts.nose)]
        compare("the nose stands {}", noses[0], noses[1], best.nose, firsts.nose)
    shares = [display.text(pair.cross_share, vocabulary.share) for pair in (best, firsts)]
    compare("cross weight {}", shares[0], shares[1], best.cross_share - cross, firsts.cross_share - cross)
    own = [sum(one.score for one in pair.sets) for pair in (best, firsts)]
    if own[0] > own[1]:
        sides[1].append("each axle by itself ranks a little lower")
    return sides


def pairs_data(found: Pairs | None, parts: Mapping[int, Mapping[str, str | None]]) -> dict[str, Any] | None:
    """Return the pairs for a program; `parts` has each set's part codes by its id."""
    if found is None:
        return None

    def told(pair: Pair) -> dict[str, Any]:
        return {
            "front": dict(parts[id(pair.front)]),
            "rear": dict(parts[id(pair.rear)]),
            "score": pair.score,
            "frequency_ratio": pair.frequency_ratio,
            "nose": pair.nose,
            "cross_share": pair.cross_share,
            "broken": list(pair.broken),
        }

    return {
        "tried": found.tried,
        "standing": found.standing,
        "ranked": [told(pair) for pair in found.ranked],
        "firsts": told(found.firsts),
    }
