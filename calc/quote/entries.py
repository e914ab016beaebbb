"""What can be entered of a shop's quote and of the scale slip beside it, and what in it contradicts itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from functools import lru_cache
from typing import Annotated

from calc import vocabulary
from calc.errors import ContradictionError, FieldError
from calc.quantity import Declared, declared_fields
from calc.spring import _stack_quantities as stacks
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import AXLES

_length = vocabulary.length
_frequency = vocabulary.natural_frequency


@dataclass(frozen=True, kw_only=True)
class QuotedAxle:
    """What a slip, a quote and a shop's answers can say of one axle; both its coil-overs are alike."""

    axle_mass: Annotated[float, vocabulary.axle_mass.called("Axle weight", "m_axle")] | None = None
    axle_mass_full: (
        Annotated[
            float,
            vocabulary.axle_mass.called(
                "Axle weight, full", "m_full", "The same axle with everything aboard that the rig will ever carry."
            ),
        ]
        | None
    ) = None
    tender_rate: vocabulary.TenderRate | None = None
    main_rate: vocabulary.MainRate | None = None
    main_free_length: vocabulary.MainFreeLength | None = None
    damper_stroke: Annotated[float, vocabulary.stroke.called("Damper stroke", low=4 * INCH)] | None = None
    preload: Annotated[float, vocabulary.preload.called("Preload", low=0.0)] | None = None
    shaft_showing: (
        Annotated[
            float,
            _length.called(
                "Shaft showing, promised",
                "s_w",
                "Damper travel that the quote promises between ride and fully collapsed.",
                low=0.0,
                high=30 * INCH,
                usual=(1 * INCH, 16 * INCH),
                typical=6.5 * INCH,
            ),
        ]
        | None
    ) = None
    ring_gap: vocabulary.RingGap | None = None
    main_solid_length: vocabulary.MainSolidLength | None = None
    tender_free_length: vocabulary.TenderFreeLength | None = None
    tender_solid_length: vocabulary.TenderSolidLength | None = None
    helper_rate: stacks.HelperRate | None = None
    helper_free_length: stacks.HelperFreeLength | None = None
    helper_solid_length: stacks.HelperSolidLength | None = None
    unsprung_mass: vocabulary.UnsprungMass | None = None
    motion_ratio: vocabulary.MotionRatio | None = None
    motion_ratio_slope: vocabulary.MotionRatioSlope | None = None
    gas_force: (
        Annotated[
            float,
            vocabulary.force.called(
                "Gas force at ride",
                "F_g",
                "What the gas pushes along the damper, at ride height.",
                low=0.0,
                high=1000 * POUND_FORCE,
                typical=140 * POUND_FORCE,
            ),
        ]
        | None
    ) = None
    gas_rate: Annotated[float, vocabulary.gas_rate.called("Gas rate at ride", "k_g", low=0.0)] | None = None
    damper_length: (
        Annotated[
            float,
            vocabulary.damper_length.called("Damper length at ride", "L", "Between the centers of the two eyes."),
        ]
        | None
    ) = None
    solid_before_collapsed: (
        Annotated[
            float,
            _length.called(
                "Bump stop solid, before collapsed",
                "x_solid",
                "Damper travel that is left when the bump stop is solid.",
                low=0.0,
                high=2 * INCH,
                typical=0.5 * INCH,
            ),
        ]
        | None
    ) = None
    tire_rate: vocabulary.TireRate | None = None
    seat_space: vocabulary.SeatSpace | None = None
    adjuster_range: vocabulary.AdjusterRange | None = None
    divider_thickness: vocabulary.DividerThickness | None = None
    least_preload: stacks.LeastPreload | None = None
    least_tender_left: stacks.LeastTenderLeft | None = None
    least_main_left: stacks.LeastMainLeft | None = None
    least_adjuster_left: stacks.LeastAdjusterLeft | None = None
    wanted_droop: vocabulary.WantedDroop | None = None
    wanted_bump: vocabulary.WantedBump | None = None
    wanted_frequency_low: Annotated[float, _frequency.called("Wanted ride frequency, from", "f_low")] | None = None
    wanted_frequency_high: Annotated[float, _frequency.called("Wanted ride frequency, to", "f_high")] | None = None


@dataclass(frozen=True, kw_only=True)
class Quote:
    """A quote with its scale slip."""

    name: str = ""
    note: str = ""
    front: QuotedAxle = field(default_factory=QuotedAxle)
    rear: QuotedAxle = field(default_factory=QuotedAxle)

    def axle(self, name: str) -> QuotedAxle:
        """Return one axle's entries."""
        return self.front if name == "front" else self.rear

    def values(self) -> dict[str, float]:
        """Return everything that is known, by key."""
        return {
            f"{axle}.{item.name}": value
            for axle in AXLES
            for item in fields(QuotedAxle)
            if (value := getattr(self.axle(axle), item.name)) is not None
        }


@lru_cache(maxsize=1)
def keys() -> Mapping[str, Declared]:
    """Return the declaration of everything that a quote file may hold, by dotted key."""
    return {
        f"{axle}.{name}": replace(declared, name=f"{axle}.{name}")
        for axle in AXLES
        for name, declared in declared_fields(QuotedAxle).items()
    }


def quote_from(values: Mapping[str, float], name: str = "", note: str = "") -> Quote:
    """Return the quote with these values by dotted key.

    >>> quote_from({"rear.main_rate": 7e4}).rear.main_rate
    70000.0
    """
    axles = {
        axle: QuotedAxle(
            **{key.partition(".")[2]: value for key, value in values.items() if key.startswith(f"{axle}.")}
        )
        for axle in AXLES
    }
    return Quote(name=name, note=note, **axles)


def contradictions(quote: Quote) -> list[FieldError]:
    """Return the entries that cannot be true together, each told at the entry that is more likely wrong."""
    found: list[FieldError] = []
    for axle in AXLES:
        own = quote.axle(axle)
        for name, other, wrong, problem, allowed in _PAIRS:
            one, two = getattr(own, name), getattr(own, other)
            if one is None or two is None or not wrong(one, two):
                continue
            quantities = {item: keys()[f"{axle}.{item}"].quantity for item in (name, other)}
            found.append(
                ContradictionError(
                    f"{axle}.{name}",
                    problem,
                    allowed=allowed,
                    values={"other": (two, quantities[other]), "value": (one, quantities[name])},
                )
            )
    return found


_PAIRS: tuple[tuple[str, str, Callable[[float, float], bool], str, str], ...] = (
    (
        "axle_mass_full",
        "axle_mass",
        lambda one, two: one < two,
        "The full weight, {value}, is less than the weight as weighed, {other}.",
        "Allowed: from {other}.",
    ),
    (
        "shaft_showing",
        "damper_stroke",
        lambda one, two: one > two,
        "More shaft is promised, {value}, than the damper's stroke has, {other}.",
        "Allowed: up to {other}.",
    ),
    (
        "main_solid_length",
        "main_free_length",
        lambda one, two: one >= two,
        "The main's solid length, {value}, is not below its free length, {other}.",
        "Allowed: below {other}.",
    ),
    (
        "tender_solid_length",
        "tender_free_length",
        lambda one, two: one >= two,
        "The tender's solid length, {value}, is not below its free length, {other}.",
        "Allowed: below {other}.",
    ),
    (
        "helper_solid_length",
        "helper_free_length",
        lambda one, two: one >= two,
        "The helper's solid length, {value}, is not below its free length, {other}.",
        "Allowed: below {other}.",
    ),
    (
        "unsprung_mass",
        "axle_mass",
        lambda one, two: one >= two,
        "The unsprung weight, {value}, is not below the axle weight, {other}.",
        "Allowed: below {other}.",
    ),
    (
        "wanted_frequency_high",
        "wanted_frequency_low",
        lambda one, two: one < two,
        "The wanted ride frequency ends at {value}, below where it begins, {other}.",
        "Allowed: from {other}.",
    ),
)
