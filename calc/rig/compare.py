"""Two rigs, or two sets on one rig, beside each other: what was entered differently."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from calc.answer.parts import Fact
from calc.quantity import Choice, Display, Quantity
from calc.rig.axle import label
from calc.rig.entries import keys
from calc.rig.rig import Entry, Rig
from calc.search.problem import SpringSet
from calc.tables import Springs

LOAD_CASES = "load cases"


@dataclass(frozen=True, kw_only=True)
class Row:
    """One thing on both sides: numbers in SI with their quantity or unit, or texts; None where a side has none."""

    what: str
    here: float | str | None
    there: float | str | None
    of: Quantity | str | None = None

    @property
    def change(self) -> float | None:
        """How much more it is there; None where one of the two is no number."""
        if isinstance(self.here, str) or isinstance(self.there, str) or self.here is None or self.there is None:
            return None
        return self.there - self.here

    def same(self, display: Display) -> bool:
        """Tell whether both sides read the same."""
        here, there, _ = self.texts(display)
        return here == there

    def texts(self, display: Display) -> tuple[str, str, str]:
        """Return both sides and the difference as they are read; what is not there is a dash."""
        here, there, change = (
            Fact(label=self.what, value=value, of=self.of).text(display)
            for value in (self.here, self.there, self.change)
        )
        if self.change is None:
            return here, there, ""
        sign = "+" if self.change > 0 and change.strip("0., ") and not change.startswith("0 ") else ""
        return here, there, sign + change


def chosen_parts(one: SpringSet, springs: Springs) -> dict[str, str]:
    """Return a set as the rig's entries for an own choice; they are the same on both axles but for the axle's name."""
    indexes = {"helper": one.helper, "tender": one.tender, "main": one.main}
    return {f"chosen_{name}_part": "" if index is None else springs.part[index] for name, index in indexes.items()}


def with_set(rig: Rig, axle: str, one: SpringSet, springs: Springs) -> Rig:
    """Return the rig with a set as the reader's own choice at one axle."""
    picked = {f"{axle}.{key}": Entry(value=part) for key, part in chosen_parts(one, springs).items()}
    return replace(rig, values={**rig.values, **picked})


def entered_differently(here: Rig, there: Rig) -> Iterator[Row]:
    """Yield what is entered differently in two rigs, by name."""
    for key, declared in keys().items():
        own, other = here.get(key), there.get(key)
        if own != other:
            of = declared.is_a if isinstance(declared.is_a, Quantity) else None
            if isinstance(declared.is_a, Choice):
                own, other = (None if one is None else declared.is_a.text(one) for one in (own, other))
            yield Row(
                what=label(key),
                here=own or None if of is None else own,
                there=other or None if of is None else other,
                of=of,
            )
    for what, own, other in (
        (LOAD_CASES, here.load_cases, there.load_cases),
        ("items changed", here.changes, there.changes),
        ("front travel pairs", here.pairs("front"), there.pairs("front")),
        ("rear travel pairs", here.pairs("rear"), there.pairs("rear")),
    ):
        if own != other:
            yield Row(what=what, here=f"{len(own)} of them", there=f"{len(other)}, not the same")
