"""How much each wish counts in the rank, as entries of the rig: documented where none is given, 0 leaves a wish out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from calc import units
from calc.quantity import Quantity, declared_fields
from calc.search.problem import PairWeights, Weights

HIGHEST = 10.0


def _counts(label: str, symbol: str, usual: float, of: str) -> Quantity:
    return Quantity(
        label=label,
        symbol=f"w_{symbol}",
        kind=units.RATIO,
        low=0.0,
        high=HIGHEST,
        typical=usual,
        help=f"How much it counts in the rank {of}. 0 leaves it out; {usual:g} where you give none.",
    )


_SETS, _PAIRS = "of an axle's sets", "of pairs, front and rear"


@dataclass(frozen=True, kw_only=True)
class Ranking:
    """What is entered for the rank: every entry may be left out."""

    rank_ride_height: (
        Annotated[float, _counts("Ride height off what is wanted", "z", Weights.ride_height, _SETS)] | None
    ) = None
    rank_ride_frequency: (
        Annotated[float, _counts("Ride frequency off its middle", "f", Weights.ride_frequency, _SETS)] | None
    ) = None
    rank_frequency_past_crossover: (
        Annotated[
            float, _counts("Frequency past the crossover off its middle", "f2", Weights.frequency_past_crossover, _SETS)
        ]
        | None
    ) = None
    rank_step: (
        Annotated[float, _counts("Step at the crossover outside its range", "s2", Weights.step, _SETS)] | None
    ) = None
    rank_travel: Annotated[float, _counts("Spare travel under an inch", "x", Weights.travel, _SETS)] | None = None
    rank_bind: Annotated[float, _counts("Little left before binding", "b", Weights.bind, _SETS)] | None = None
    rank_adjuster: Annotated[float, _counts("Little adjuster in reserve", "a", Weights.adjuster, _SETS)] | None = None
    rank_price: Annotated[float, _counts("Price", "p", Weights.price, _SETS)] | None = None
    rank_stock: Annotated[float, _counts("Too few in stock", "s", Weights.stock, _SETS)] | None = None
    rank_helper: Annotated[float, _counts("A helper on top", "h", Weights.helper, _SETS)] | None = None
    rank_chance: Annotated[float, _counts("Trials in which a set does not work", "c", Weights.chance, _SETS)] | None = (
        None
    )
    rank_frequency_ratio: (
        Annotated[float, _counts("Rear over front frequency", "r", PairWeights.frequency_ratio, _PAIRS)] | None
    ) = None
    rank_level: Annotated[float, _counts("Nose up or down", "l", PairWeights.level, _PAIRS)] | None = None
    rank_cross: Annotated[float, _counts("Cross weight off what is wanted", "c", PairWeights.cross, _PAIRS)] | None = (
        None
    )


def _names(kind: type[Any]) -> Mapping[str, str]:
    return {name: f"rank_{name}" for name in kind.__dataclass_fields__}


# What the frequencies front to rear count where a road speed is wanted.
ON_ROAD = 1.0
# The entry of each weight, by the weight's own name.
WEIGHTS, PAIR_WEIGHTS = _names(Weights), _names(PairWeights)


def usual(key: str) -> float:
    """Return what counts where nothing is entered.

    >>> usual("rank_price"), usual("rank_level")
    (0.25, 0.25)
    """
    name = key.removeprefix("rank_")
    return float(getattr(Weights if name in WEIGHTS else PairWeights, name))


def weights(values: Mapping[str, float | None]) -> Weights:
    """Return the weights of an axle's sets, from the entries by key; the documented ones where there are none.

    >>> weights({"rank_price": 2.0}).price, weights({}).price
    (2.0, 0.25)
    """
    return Weights(**_given(WEIGHTS, values))


def pair_weights(values: Mapping[str, float | None], *, road: bool = False) -> PairWeights:
    """Return the weights of a pair of sets, from the entries by key; the documented ones where there are none.

    `road` says that a road speed is wanted: then the frequencies front to rear count.

    >>> pair_weights({}).frequency_ratio, pair_weights({}, road=True).frequency_ratio
    (0.0, 1.0)
    """
    on_road = {"frequency_ratio": ON_ROAD} if road else {}
    return PairWeights(**{**on_road, **_given(PAIR_WEIGHTS, values)})


def _given(names: Mapping[str, str], values: Mapping[str, float | None]) -> dict[str, float]:
    return {name: float(value) for name, key in names.items() if (value := values.get(key)) is not None}


def changed(values: Mapping[str, float | None]) -> Iterator[tuple[str, float, float]]:
    """Give the label, the value and the documented value of each weight that the rig sets apart from it."""
    declared = declared_fields(Ranking)
    for key in (*WEIGHTS.values(), *PAIR_WEIGHTS.values()):
        value = values.get(key)
        if value is not None and value != usual(key):
            yield declared[key].is_a.label, float(value), usual(key)


def changed_line(values: Mapping[str, float | None]) -> str:
    """Say which weights of the rank are the reader's own; nothing while all are the documented ones."""
    told = "; ".join(f"{label.lower()} {value:g}, usually {common:g}" for label, value, common in changed(values))
    return f"The rank counts as you set it: {told}." if told else ""
