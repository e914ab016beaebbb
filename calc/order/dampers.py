"""Choose over damper bodies and springs together: each damper of a list that fits an axle's mounts, with each set on it.

The damper that is entered for the axle tells what its mounts allow. Bump stop and limit strap stay where they are on the
rig, and so do the mounts: what changes with a damper is its lengths, its gas and what the springs stand on.
Each damper that fits is searched by `choose`, and the sets of all are ranked together by the same score.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from calc.errors import FieldError, Needs
from calc.order.order import completed, task
from calc.rig.axle import coilover
from calc.rig.entries import AXLES
from calc.rig.height import CHANGE, LENGTH, SHAFT, past_usual, read_length, with_heights
from calc.rig.rig import Entry, Rig
from calc.search.choose import set_count, slices
from calc.search.problem import Choice, Problem, SpringSet
from calc.search.ranking import KEPT, rank_key
from calc.tables import Dampers, Springs

# Why a damper is not searched, or comes to nothing, in the order in which the first reason is counted.
REASONS: Mapping[str, str] = {
    "bottoms": "Too long collapsed: it bottoms before the bump stop is solid",
    "overlong": "Too long extended: the axle would hang lower, and no limit strap is entered that holds it",
    "short_travel": "Too little travel: less than the wanted bump and droop together",
    "contradiction": "Its numbers and the rig's contradict each other",
    "off_height": "At the ride height that is assumed less than a tenth of its travel is left, or none",
    "bore": "No spring of the list has the inside diameter that it takes",
    "no_set": "No set of springs works on it",
}

# What the rig must tell about the damper that is in, because it tells what the mounts allow.
MOUNTS = ("damper_extended", "damper_stroke", "solid_before_collapsed")
# What a damper brings with it, by the rig's own names; a list may leave the last five out.
BRINGS = (
    *("damper_extended", "damper_stroke", "seat_space", "adjuster_range", "adjuster_turns_per_length"),
    *("spring_inside_diameter", "damper_collapsed", "rod_diameter", "piston_diameter", "gas_pressure", "gas_volume"),
)
# What belongs to the damper that goes out, and which no list tells.
_GOES_OUT = ("thread_length", "body_length", "chosen_helper_part", "chosen_tender_part", "chosen_main_part")
# Lengths that are the same on paper may differ in their last bits.
_SAME = 1e-9
_FIGURES = 12
# How many dampers are held against the mounts in one part, and of how many a search is kept whole.
_LOOKED_AT, _KNOWN = 50, 200


@dataclass(frozen=True, kw_only=True)
class Mounts:
    """What an axle's mounts allow, eye to eye: the length where the bump stop is solid and the one at full droop."""

    shortest: float
    longest: float
    strap: bool
    eye_offset: float
    by_lean: bool
    collapsed: float


@dataclass(frozen=True, kw_only=True)
class Body:
    """One damper of the list: its search, or why there is none. `over` is by how much it misses its limit."""

    index: int
    part: str
    reason: str = ""
    over: float | None = None
    sentence: str = ""
    problem: Problem | None = None
    choice: Choice | None = None


@dataclass(frozen=True, kw_only=True)
class Pair:
    """A damper and a set of springs that work together."""

    part: str
    damper: int
    springs: SpringSet


@dataclass(frozen=True, kw_only=True)
class Progress:
    """Which damper is being searched, how many are done, and how many there are to search."""

    part: str
    done: int
    total: int


@dataclass(frozen=True, kw_only=True)
class Bodies:
    """One axle's answer: the best pairs, and what became of each damper, by part code."""

    axle: str
    rig: Rig
    dampers: Dampers
    springs: Springs
    needs: Needs | None = None
    mounts: Mounts | None = None
    bodies: tuple[Body, ...] = ()
    pairs: tuple[Pair, ...] = ()

    @property
    def searched(self) -> int:
        """How many dampers fit the mounts, so that springs were tried on them."""
        return sum(body.choice is not None for body in self.bodies)

    @property
    def working(self) -> int:
        """How many dampers have a set that works."""
        return sum(not body.reason for body in self.bodies)

    def counts(self) -> dict[str, int]:
        """Return how many dampers each reason stands against, in order."""
        return {name: sum(body.reason == name for body in self.bodies) for name in REASONS}


def mounts(rig: Rig, axle: str) -> Mounts:
    """Return what the entered damper says of the mounts. Raises FieldError where its entries contradict each other.

    >>> from calc.rig.file import wren
    >>> found = mounts(wren(), "front")
    >>> round(found.shortest / 0.0254, 3), round(found.longest / 0.0254, 3), found.strap
    (19.5, 31.0, False)
    """
    found = coilover(rig, axle)
    extended = float(found.extended_length)
    return Mounts(
        shortest=extended - float(found.bump_limit),
        longest=extended - float(found.strap_travel),
        strap=found.strap_travel > 0,
        eye_offset=float(found.eye_offset),
        by_lean=found.ratio is None,
        collapsed=extended - float(rig.get(f"{axle}.damper_stroke")),
    )


def fault(rig: Rig, found: Mounts, axle: str, dampers: Dampers, index: int) -> tuple[str, float]:
    """Return the first reason why a damper does not fit the mounts, and by how much; no reason where it fits.

    >>> from calc.rig.file import wren
    >>> from calc.tables import assortment_dampers
    >>> dampers, rig = assortment_dampers(), wren()
    >>> fault(rig, mounts(rig, "front"), "front", dampers, dampers.part.index("DP-09"))[0]
    'bottoms'
    """
    extended, stroke = float(dampers.damper_extended[index]), float(dampers.damper_stroke[index])
    collapsed = max(float(dampers.damper_collapsed[index]), extended - stroke)
    wanted = sum(rig.get(f"{axle}.{name}") or 0.0 for name in ("wanted_bump", "wanted_droop"))
    longest = min(extended, found.longest)
    misses = {
        "bottoms": collapsed - found.shortest,
        "overlong": -1.0 if found.strap else extended - found.longest,
        "short_travel": wanted - (longest - found.shortest),
    }
    return next(((name, over) for name, over in misses.items() if over > _SAME), ("", 0.0))


def with_damper(rig: Rig, axle: str, dampers: Dampers, index: int) -> Rig:
    """Return the rig with a damper of the list on one axle, its mounts, bump stop and strap where they were.

    Raises FieldError where the damper that is in contradicts itself, or where the other would lie flat between its mounts.

    >>> from calc.rig.file import wren
    >>> from calc.tables import assortment_dampers
    >>> dampers = assortment_dampers()
    >>> other = with_damper(wren(), "front", dampers, dampers.part.index("DP-06"))
    >>> round(other.get("front.damper_extended") / 0.0254, 3), round(other.get("front.solid_before_collapsed") / 0.0254, 3)
    (30.5, 1.0)
    """
    found = mounts(rig, axle)
    values = dict(rig.values)
    origin: Any = "example" if dampers.example else "measured"
    for name in (*BRINGS, *_GOES_OUT):
        values.pop(f"{axle}.{name}", None)
    for name in BRINGS:
        if dampers.gives(name, index):
            # Twelve figures: 12 in is 0.3048 m to the last bit, so a set that is just at a limit is judged as on the rig page.
            value = float(f"{float(getattr(dampers, name)[index]):.{_FIGURES}g}")
            values[f"{axle}.{name}"] = Entry(value=value, origin=origin)
    extended, stroke = float(dampers.damper_extended[index]), float(dampers.damper_stroke[index])
    earlier = round(found.collapsed - (extended - stroke), _FIGURES)

    def moved(name: str, value: float) -> None:
        entry = rig.values.get(f"{axle}.{name}")
        if entry is not None:
            values[f"{axle}.{name}"] = replace(entry, value=value)

    for name in ("solid_before_collapsed", "pad_touch_before_collapsed", SHAFT):
        before = rig.get(f"{axle}.{name}")
        if before is not None:
            moved(name, max(round(before + earlier, _FIGURES), 0.0))
    moved("strap_travel", max(round(extended - found.longest, _FIGURES), 0.0) if found.strap else 0.0)
    lean, length = rig.get(f"{axle}.lean"), rig.get(f"{axle}.damper_length")
    read = lean is not None and length is not None and found.by_lean
    if read and not extended - stroke <= length <= extended:
        # The same mounts, told at a length that this damper has: the eyes stay as far apart sideways.
        reached = min(max(length, extended - stroke), extended)
        sideways = length * math.sin(lean) / reached
        if abs(sideways) >= 1.0:
            raise FieldError(f"{axle}.lean", "With this damper the coil-over would lie flat between its mounts.")
        moved("damper_length", reached)
        moved("lean", math.asin(sideways))
        change = rig.get(f"{axle}.{CHANGE}")
        if change is not None:
            # It counts from where the length is told.
            eyes = length * math.sin(lean)
            moved(CHANGE, change + math.sqrt(length**2 - eyes**2) - math.sqrt(reached**2 - eyes**2))
    return replace(rig, values=values)


def choose_with_dampers(rig: Rig, axle: str, dampers: Dampers, springs: Springs) -> Bodies:
    """Return the best pairs of damper and springs for one axle, and what stands against the other dampers.

    Never raises for what a rig lacks or contradicts: that is told in `needs`.

    >>> from calc.rig.rig import Rig
    >>> from calc.tables import assortment_dampers, assortment_springs
    >>> found = choose_with_dampers(Rig(), "front", assortment_dampers(), assortment_springs())
    >>> found.needs.keys[:3]
    ('front.damper_extended', 'front.damper_stroke', 'front.solid_before_collapsed')
    """
    for part in slices_with_dampers(rig, axle, dampers, springs):
        if isinstance(part, Bodies):
            return part
    raise RuntimeError("The search ended without an answer.")


def slices_with_dampers(rig: Rig, axle: str, dampers: Dampers, springs: Springs) -> Iterator[Progress | Bodies]:
    """Search one axle in small parts: yields how far it has come after each, and the answer last.

    Never raises for what a rig lacks or contradicts: that is told in the answer's `needs`.

    >>> from calc.rig.file import wren
    >>> from calc.tables import assortment_dampers, assortment_springs
    >>> first = next(slices_with_dampers(wren(), "front", assortment_dampers(), assortment_springs()))
    >>> first.part, first.done, first.total
    ('DP-03', 0, 4)
    """
    full = completed(rig)
    start = Bodies(axle=axle, rig=full, dampers=dampers, springs=springs)
    missing = tuple(f"{axle}.{name}" for name in MOUNTS if full.get(f"{axle}.{name}") is None)
    try:
        task(full, axle)
    except Needs as as_it_is:
        brought = {f"{axle}.{name}" for name in BRINGS} - {f"{axle}.{name}" for name in MOUNTS}
        needed = tuple(key for key in as_it_is.keys if key not in (*missing, *brought))
        if missing or needed or as_it_is.sentences:
            yield replace(start, needs=Needs(keys=(*missing, *needed), sentences=as_it_is.sentences))
            return
    try:
        allowed = mounts(full, axle)
    except FieldError as wrong:
        yield replace(start, needs=Needs.of(wrong))
        return
    order = sorted(range(len(dampers)), key=lambda index: dampers.part[index])
    fitted: list[Body] = []
    for place, index in enumerate(order):
        fitted.append(_fitted(full, axle, allowed, dampers, springs, index))
        if place % _LOOKED_AT == _LOOKED_AT - 1:
            yield Progress(part=dampers.part[index], done=0, total=len(dampers))
    total = sum(not body.reason for body in fitted)
    bodies: list[Body] = []
    pairs: list[Pair] = []
    # Dampers that are alike but for their part code, price and stock pose one problem: it is searched once.
    known: dict[Problem, Choice] = {}
    done = 0
    for body in fitted:
        if body.reason or body.problem is None:
            bodies.append(body)
            continue
        choice = known.get(body.problem)
        if choice is None:
            for part in slices(body.problem, springs):
                if isinstance(part, Choice):
                    choice = known[body.problem] = part
                else:
                    yield Progress(part=body.part, done=done, total=total)
            while len(known) > _KNOWN:
                del known[next(iter(known))]
        if choice is None:  # slices always ends with the answer
            raise RuntimeError("The search ended without an answer.")
        done += 1
        made = replace(body, reason="" if choice.ranked else "no_set", choice=choice)
        pairs = _best([*pairs, *_pairs(made)], springs)
        # Of thousands of dampers only the counts are kept.
        bodies.append(made if total <= _KNOWN else replace(made, choice=_counts(choice)))
    yield replace(start, mounts=allowed, bodies=tuple(bodies), pairs=tuple(pairs))


def _counts(choice: Choice) -> Choice:
    """Return a search without its sets."""
    return replace(choice, ranked=(), near=(), relaxed=(), trades=())


def choose_both(rig: Rig, dampers: Dampers, springs: Springs) -> tuple[Bodies, ...]:
    """Return the best pairs of damper and springs for each axle.

    >>> from calc.rig.rig import Rig
    >>> from calc.tables import assortment_dampers, assortment_springs
    >>> [found.axle for found in choose_both(Rig(), assortment_dampers(), assortment_springs())]
    ['front', 'rear']
    """
    return tuple(choose_with_dampers(rig, axle, dampers, springs) for axle in AXLES)


def deciding(found: Bodies) -> Mapping[str, tuple[str, ...]]:
    """Return which of the rig's entries decide the shortest and the longest length, as keys."""
    strapped = found.mounts is not None and found.mounts.strap
    shortest = ("damper_extended", "damper_stroke", "solid_before_collapsed")
    longest = ("damper_extended", "strap_travel") if strapped else ("damper_extended",)
    return {
        name: tuple(f"{found.axle}.{part}" for part in parts)
        for name, parts in (("shortest", shortest), ("longest", longest))
    }


def _fitted(rig: Rig, axle: str, allowed: Mounts, dampers: Dampers, springs: Springs, index: int) -> Body:
    """Return a damper with its search still to be made, or with the reason why there is none."""
    start = Body(index=index, part=dampers.part[index])
    reason, over = fault(rig, allowed, axle, dampers, index)
    if reason:
        return replace(start, reason=reason, over=over)
    try:
        problem = task(_with_own_height(with_damper(rig, axle, dampers, index), axle), axle)
    except FieldError as wrong:
        return replace(start, reason="contradiction", sentence=wrong.message())
    except Needs as lacking:
        return replace(start, reason="contradiction", sentence=" ".join(lacking.sentences))
    assumed = rig.values.get(f"{axle}.{LENGTH}")
    if assumed is not None and assumed.origin == "assumed" and assumed.value == read_length(rig, axle):
        # Nobody would ride there on this damper, so with it in the rig another height were assumed: it is not this one's.
        over = past_usual(problem.coilover, float(assumed.value))
        if over > 0.0:
            return replace(start, reason="off_height", over=over)
    if set_count(problem, springs) == 0:
        return replace(start, reason="bore", problem=problem)
    return replace(start, problem=problem)


def _with_own_height(rig: Rig, axle: str) -> Rig:
    """Return the rig with the height that is wanted with the damper that is in: as the rig page takes it from its entries.

    The rig page keeps neither what is derived nor what is assumed.
    """
    key = f"{axle}.{LENGTH}"
    entry = rig.values.get(key)
    if entry is None or entry.origin not in ("derived", "assumed"):
        return rig
    return with_heights(replace(rig, values={name: one for name, one in rig.values.items() if name != key}))


def _pairs(body: Body) -> Iterator[Pair]:
    for one in body.choice.ranked if body.choice is not None else ():
        yield Pair(part=body.part, damper=body.index, springs=one)


def _best(pairs: Iterable[Pair], springs: Springs) -> list[Pair]:
    """Return the best pairs by the sets' own score, ties by the damper's part code, then the springs'."""

    def key(pair: Pair) -> tuple[float, str, tuple[str, ...]]:
        value, *parts = rank_key(pair.springs, pair.springs.score, springs)
        return value, pair.part, tuple(parts)

    return sorted(pairs, key=key)[:KEPT]
