"""Where the inputs of a step come from in a rig, which of them can be in doubt, and the one way to run it on them.

A step is wired by one mapping: the name of each input, and what it is. An entry of the rig and a result of another step are
`Known`, with their own plus-minus; a bare number is nobody's reading, and is in doubt as its quantity usually is. None
stands for what is not known: the step goes without it, or cannot be run.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

from calc.errors import InputError
from calc.quantity import SHOP, Display, Quantity
from calc.rig.entries import keys
from calc.rig.rig import TAKEN, Rig
from calc.step import Known, Outcome, find, run_each, values_of

_WISH = "a target or a limit, which is chosen and not measured"
_REASONS = {
    "lateral_acceleration": "of the turn that is worked out, which is chosen and not measured",
    "axle_rating": "stated by whoever rates the axle, not measured",
    "adjuster_turns_per_length": "a count of threads, which is whole",
    "spring_inside_diameter": "a nominal size that only picks which springs fit",
}


def reason(key: str) -> str:
    """Return why a number of the rig has no plus-minus; an empty text for one that can be in doubt.

    >>> reason("front.wanted_bump")
    'a target or a limit, which is chosen and not measured'
    """
    name = key.rpartition(".")[2]
    return _WISH if name.startswith(("wanted_", "least_", "rank_")) or name in TAKEN else _REASONS.get(name, "")


@lru_cache(maxsize=1)
def doubtful() -> tuple[str, ...]:
    """Return the keys of all numbers of a rig that can be in doubt, in the order of the job."""
    return tuple(key for key, declared in keys().items() if isinstance(declared.is_a, Quantity) and not reason(key))


Wires = Mapping[str, Any]


def of_rig(rig: Rig, **places: str) -> dict[str, Any]:
    """Return entries of the rig, by their keys, under the names that a step calls them; what is chosen is no reading."""
    return {name: rig.get(key) if reason(key) else rig.known(key) for name, key in places.items()}


def of_axle(rig: Rig, axle: str, *names: str) -> dict[str, Any]:
    """Return entries of an axle that a step calls by their own names."""
    return of_rig(rig, **{name: f"{axle}.{name}" for name in names})


def of_step(outcome: Outcome, *names: str) -> dict[str, Any]:
    """Return what a step took or gave, with the plus-minus that it had there."""
    return {name: _of_step(outcome, name) for name in names}


def _of_step(outcome: Outcome, name: str) -> Any:
    value, plus_minus = outcome.values.get(name), outcome.plus_minus.get(name)
    return value if plus_minus is None else Known(value=value, origin="derived", plus_minus=plus_minus)


def like(known: Any, value: Any) -> Any:
    """Return a value that is in doubt as one that it was worked out of."""
    return replace(known, value=value) if isinstance(known, Known) else value


def run_on(name: str, wires: Wires, display: Display = SHOP) -> Outcome | None:
    """Run a step; None while something that it needs is missing or contradicts itself."""
    return run_on_each(name, [wires], display)[0]


def run_on_each(name: str, many: Sequence[Wires], display: Display = SHOP) -> list[Outcome | None]:
    """Run a step on several wirings, all together."""
    inputs = [(_values(wires), _doubts(wires)) for wires in many]
    return run_each(find(name), inputs, display)


def values_on(name: str, wires: Wires) -> dict[str, Any] | None:
    """Return what `run_on` gives as values, where neither plus-minus nor findings are asked for."""
    try:
        return values_of(find(name), _values(wires))
    except InputError:
        return None


def _values(wires: Wires) -> dict[str, Any]:
    return {name: wire.value if isinstance(wire, Known) else wire for name, wire in wires.items()}


def _doubts(wires: Wires) -> dict[str, float]:
    return {name: wire.plus_minus for name, wire in wires.items() if isinstance(wire, Known)}
