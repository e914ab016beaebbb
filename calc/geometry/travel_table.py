"""Motion ratio from pairs of wheel height and damper length."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from typing import Annotated, Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from calc import units
from calc.chart import Chart, Curve, Dot, Panel
from calc.memo import remembered
from calc.quantity import Display, Quantity, Table
from calc.step import Check, Equation, Example, Practice, Source, Step, Values, refuse
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import (
    AxialLoad,
    DamperLength,
    GeometricRate,
    Lean,
    MotionRatio,
    MotionRatioInverse,
    MotionRatioSlope,
    RideHeight,
    SupportLoadMean,
    WheelHeight,
    any_rate,
    damper_length,
    length,
    motion_ratio,
    motion_ratio_slope,
    ride_height,
    wheel_height,
)

_FEWEST_FOR_SLOPE = 5
_HIGHEST_DEGREE = 4
_FEWEST = 3
_LEAST_SPAN = 16

_reading_doubt = length.called(
    "Plus or minus of one reading",
    "u",
    "How well one tape reading repeats: 1/16 in (1.6 mm) with a tape, less with a long caliper.",
    low=0.1e-3,
    high=0.02,
    typical=INCH / 16,
    assumed=INCH / 16,
)
_doubt_limit = any_rate.called(
    "Largest ± of that rate to accept",
    "Δk_max",
    "When the pairs leave more uncertainty in the wheel rate than this, the lean gives the change of the motion ratio.",
    high=1e5,
    typical=3 * POUND_FORCE / INCH,
    assumed=3 * POUND_FORCE / INCH,
)
_slope = motion_ratio_slope.called
_heights = Quantity(
    label="Different wheel heights",
    symbol="n",
    kind=units.COUNT,
    low=3.0,
    high=24.0,
    typical=7.0,
    help="Pairs at one height count once.",
)


@dataclass(frozen=True, kw_only=True)
class TravelPair:
    """One reading: where the wheel stood and how long the damper was."""

    wheel_height: WheelHeight
    damper_length: DamperLength


travel_pairs = Table(
    label="Pairs",
    row=TravelPair,
    help="Springs out, both wheels of the axle moved together, from droop to bump; uneven steps are fine.",
    least=3,
    most=24,
)


@dataclass(frozen=True, kw_only=True)
class TravelTable:
    """Motion ratio at ride and its change, how well the pairs agree, and what doubt they leave in the wheel rate.

    `motion_ratio_slope` is the one to go on with: that of the pairs, or that of the lean where the pairs leave too
    much doubt; it is None where only the lean could tell and none is given.
    """

    motion_ratio: MotionRatio
    motion_ratio_inverse: MotionRatioInverse
    motion_ratio_slope: MotionRatioSlope | None
    damper_length: Annotated[float, damper_length.called("Damper length at ride")]
    motion_ratio_slope_fitted: Annotated[float, _slope("Change of motion ratio, by the pairs", "R'_pairs")]
    motion_ratio_slope_doubt: Annotated[float, _slope("± of that change", "ΔR'", low=0.0, typical=0.2)]
    motion_ratio_slope_mounts: Annotated[float, _slope("Change of motion ratio, by the lean", "R'_lean")] | None
    axial_load: AxialLoad | None
    geometric_rate: GeometricRate | None
    geometric_rate_doubt: (
        Annotated[
            float,
            any_rate.called(
                "± of the wheel rate from the pairs",
                "Δk",
                "Axial load times the ± of the change of the motion ratio.",
            ),
        ]
        | None
    )
    fit_residual: Annotated[float, length.called("Largest miss of a pair", "ΔL_max", low=0.0)]
    pair_count: Annotated[float, _heights]
    spare_pairs: Annotated[float, _heights.called("More pairs than fix the curve", "n_spare", low=0.0)] | None


@dataclass(frozen=True, kw_only=True)
class _Fit:
    """A curve of the square of the damper length over wheel height that never turns back, and its coefficients' scatter.

    Of a coil-over between axle and body whose eye goes straight up that square is a parabola, however it leans.
    """

    lowest: float
    span: float
    coefficients: NDArray[np.float64]
    covariance: NDArray[np.float64]
    residual: float
    heights: int

    def there(self, height: Any) -> _There:
        """Return what the curve and its scatter say of a height, or of each of an array of heights."""
        powers = ((np.asarray(height) - self.lowest) / self.span)[..., None] ** np.arange(len(self.coefficients))
        # What each coefficient adds to the square of the length, and to its 1st and 2nd derivative.
        square, first, second = (
            powers @ _basis(len(self.coefficients) - 1, derivative) / self.span**derivative for derivative in range(3)
        )
        length = np.sqrt(square @ self.coefficients)
        slope = first @ self.coefficients / (2 * length)
        bend = (second @ self.coefficients / 2 - slope**2) / length
        # How each coefficient moves the length, its slope and its bend.
        long, steep, bent = (np.asarray(value)[..., None] for value in (length, slope, bend))
        longer = square / (2 * long)
        steeper = (first / 2 - steep * longer) / long
        rows = (second / 2 - 2 * steep * steeper - bent * longer) / long
        doubt = 2 * np.sqrt(np.einsum("...i,ij,...j->...", rows, self.covariance, rows))
        return _There(length=length, slope=slope, bend=bend, bend_doubt=doubt)


@dataclass(frozen=True, kw_only=True)
class _There:
    """What a fit says of a height: damper length, its 1st and 2nd derivative with wheel height, and the last one's k = 2."""

    length: Any
    slope: Any
    bend: Any
    bend_doubt: Any


_Told = TypeVar("_Told")


@remembered(16)
def _basis(degree: int, derivative: int) -> NDArray[np.float64]:
    """Return, per power of the place (row) and per coefficient (column), the basis of a curve or of its derivative.

    The coefficients after the first are the steps between the control points of a Bernstein polynomial: the slope is a
    sum of them with weights that are never negative, so the curve rises where none of them is.
    """
    powers = np.zeros((degree + 1, degree + 1))
    powers[0, 0] = 1.0
    for step in range(1, degree + 1):
        for index in range(step, degree + 1):
            for more in range(degree - index + 1):
                sign = (-1) ** more * math.comb(degree, index) * math.comb(degree - index, more)
                powers[index + more, step] += sign
    for _ in range(derivative):
        powers = np.vstack([powers[1:] * np.arange(1, degree + 1)[:, None], np.zeros(degree + 1)])
    return powers


def _rows(place: NDArray[np.float64], degree: int, derivative: int) -> NDArray[np.float64]:
    """Return what each coefficient adds at a place from 0 to 1: to the curve, or to its 1st or 2nd derivative."""
    return np.asarray(place[..., None] ** np.arange(degree + 1) @ _basis(degree, derivative))


# An answer moves every cell of a table in turn; an edit of another field leaves all those tables as they were.
@remembered(128)
def _fit(pairs: tuple[TravelPair, ...], reading_doubt: float) -> _Fit:
    """Fit the lowest degree, from 2 up, that misses no pair by more than the readings explain and leaves pairs spare."""
    heights = np.array([pair.wheel_height for pair in pairs])
    lengths = np.array([pair.damper_length for pair in pairs])
    lowest, span = float(heights.min()), float(np.ptp(heights))
    different = _different(pairs, reading_doubt)
    # Both readings of a pair are in doubt; that of the height counts times the slope of the curve.
    slope = np.ptp(lengths) / span
    sigma = reading_doubt / 2 * math.sqrt(1 + slope**2)
    highest = max(2, min(_HIGHEST_DEGREE, different - 3))
    fits = []
    for degree in range(2, highest + 1):
        # An error of a length counts twice the length in its square.
        whole = _rows((heights - lowest) / span, degree, 0)
        rows = whole / (2 * lengths[:, None])
        coefficients = _rising(rows, lengths / 2)
        missed = lengths - np.sqrt(np.maximum(whole @ coefficients, 0.0))
        spare = len(pairs) - degree - 1
        scatter = max(sigma, math.sqrt(float(missed @ missed) / spare)) if spare else sigma
        fits.append(
            _Fit(
                lowest=lowest,
                span=span,
                coefficients=coefficients,
                covariance=np.asarray(scatter**2 * np.linalg.inv(rows.T @ rows), dtype=np.float64),
                residual=float(np.abs(missed).max()),
                heights=different,
            )
        )
        if fits[-1].residual <= 2 * sigma:
            return fits[-1]
    return min(fits, key=lambda fit: fit.residual)


def _different(pairs: Sequence[TravelPair], reading_doubt: float) -> int:
    """Count the wheel heights that the readings can tell apart."""
    count, last = 0, -math.inf
    for height in sorted(pair.wheel_height for pair in pairs):
        if height > last + reading_doubt:
            count, last = count + 1, height
    return count


def _rising(rows: NDArray[np.float64], lengths: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the least-squares coefficients of which none but the first is negative.

    There are four steps at most, so every set of steps held at zero is tried: exact, and the plain fit comes first.
    """
    steps = rows.shape[1] - 1
    best, least = np.zeros(rows.shape[1]), math.inf
    for kept in sorted(product((True, False), repeat=steps), key=lambda chosen: -sum(chosen)):
        free = np.array([True, *kept])
        trial = np.zeros(rows.shape[1])
        trial[free] = np.linalg.lstsq(rows[:, free], lengths, rcond=None)[0]
        if np.any(trial[1:] < 0):
            continue
        missed = lengths - rows @ trial
        if all(kept):
            return trial
        if float(missed @ missed) < least:
            best, least = trial, float(missed @ missed)
    return best


def travel_table(
    *,
    pairs: Annotated[tuple[TravelPair, ...], travel_pairs],
    ride_height: RideHeight,
    lean: Lean | None = None,
    support_load_mean: SupportLoadMean | None = None,
    reading_doubt: Annotated[float, _reading_doubt] = INCH / 16,
    geometric_rate_doubt_limit: Annotated[float, _doubt_limit] = 3 * POUND_FORCE / INCH,
) -> TravelTable:
    """Return the motion ratio at ride from pairs of wheel height and damper length, with its change through the travel.

    The square of the damper length is fitted over wheel height by the lowest polynomial, from a parabola up, that the
    readings do not contradict; it never turns back, while the motion ratio itself may rise and fall.
    Wheel height shrinks in bump; the change of the motion ratio counts wheel travel upward.
    With fewer than 5 different heights, or when axial load times the doubt of that change exceeds the limit, the lean
    gives the change instead.
    The pairs are one table; the other inputs may be arrays that broadcast together.

    Raises ContradictionError when the pairs have fewer than 3 different heights, hardly differ, or run the wrong way,
    when ride lies outside them, and when the motion ratio comes out below 0.1 or above 2.
    Valid for both wheels of the axle moved together, and for ride inside the pairs.
    Source: least squares with coefficients held from turning the curve back; worked out on the page.

    >>> table = tuple(TravelPair(wheel_height=h / 100, damper_length=0.3 + 0.9 * h / 100) for h in (40, 45, 52, 60))
    >>> round(float(travel_table(pairs=table, ride_height=0.5).motion_ratio), 3)
    0.9
    """
    # Over 60 lines: the fit is read off at ride, value by value, each with the refusal that it alone tells.
    _refuse_pairs(pairs, reading_doubt)
    doubts = np.asarray(reading_doubt)
    fits = {doubt: _fit(pairs, doubt) for doubt in set(doubts.ravel().tolist())}

    def of_fit(told: Mapping[float, _Told], value: Callable[[_Told], Any]) -> Any:
        """Return a value of the fit that belongs to the doubt of the readings, element by element for an array."""
        if not doubts.ndim:
            return value(told[float(doubts)])
        picked: Any = 0.0
        for doubt, of_doubt in told.items():
            picked = np.where(doubts == doubt, value(of_doubt), picked)
        return picked

    lowest, highest = _ends(pairs)
    refuse(
        (ride_height < lowest) | (ride_height > highest),
        "ride_height",
        "Ride height, {ride}, lies outside the pairs, which run from {low} to {high}.",
        "Allowed: inside the pairs; read one more pair beyond ride.",
        ride=(ride_height, wheel_height),
        low=(lowest, wheel_height),
        high=(highest, wheel_height),
    )
    there = {doubt: fit.there(ride_height) for doubt, fit in fits.items()}
    ratio = of_fit(there, lambda ride: ride.slope)
    refuse(
        (ratio < motion_ratio.low) | (ratio > motion_ratio.high),
        "pairs",
        "The pairs give a motion ratio of {ratio} at ride, which no coil-over has.",
        "Allowed: from {low} to {high}; check that the two columns are not swapped.",
        ratio=(ratio, motion_ratio),
        low=(motion_ratio.low, motion_ratio),
        high=(motion_ratio.high, motion_ratio),
    )
    fitted = of_fit(there, lambda ride: -ride.bend)
    doubt = of_fit(there, lambda ride: ride.bend_doubt)
    long = of_fit(there, lambda ride: ride.length)
    heights = of_fit(fits, lambda fit: float(fit.heights))
    spare = of_fit(fits, lambda fit: float(fit.heights - len(fit.coefficients)))
    mounts = None if lean is None else -(np.sin(lean) ** 2) / long
    axial = None if support_load_mean is None else support_load_mean / ratio
    rate_doubt = None if axial is None else axial * doubt
    by_mounts = np.asarray(heights < _FEWEST_FOR_SLOPE)
    if rate_doubt is not None:
        by_mounts = by_mounts | (rate_doubt > geometric_rate_doubt_limit)
    slope = np.where(by_mounts, mounts, fitted) if mounts is not None else None if np.any(by_mounts) else fitted
    return TravelTable(
        motion_ratio=ratio,
        motion_ratio_inverse=1 / ratio,
        motion_ratio_slope=slope,
        damper_length=long,
        motion_ratio_slope_fitted=fitted,
        motion_ratio_slope_doubt=doubt,
        motion_ratio_slope_mounts=mounts,
        axial_load=axial,
        geometric_rate=None if axial is None or slope is None else axial * slope,
        geometric_rate_doubt=rate_doubt,
        fit_residual=of_fit(fits, lambda fit: fit.residual),
        pair_count=heights,
        spare_pairs=spare if np.all(spare) else None,
    )


def _ends(pairs: Sequence[TravelPair]) -> tuple[float, float]:
    heights = [pair.wheel_height for pair in pairs]
    return min(heights), max(heights)


def _refuse_pairs(pairs: Sequence[TravelPair], doubt: Any) -> None:
    """Refuse a table that no curve can stand for."""
    lowest, highest = _ends(pairs)
    span = highest - lowest
    each = [_different(pairs, own) for own in np.ravel(doubt).tolist()]
    different = np.reshape(each, np.shape(doubt))
    refuse(
        different < _FEWEST,
        "pairs",
        "The pairs hold {different} wheel heights that differ.",
        "Allowed: 3 or more, better 7, from droop to bump.",
        different=(different, _heights),
    )
    refuse(
        span < _LEAST_SPAN * doubt,
        "pairs",
        "The wheel heights span only {span}, too little beside readings of ± {doubt}.",
        "Allowed: {least} or more; best the whole travel.",
        span=(span, wheel_height),
        doubt=(doubt, _reading_doubt),
        least=(_LEAST_SPAN * doubt, wheel_height),
    )
    ordered = sorted(range(len(pairs)), key=lambda index: (pairs[index].wheel_height, pairs[index].damper_length))
    most = -2 * float(np.min(doubt))
    for earlier, index in pairwise(ordered):
        before, after = pairs[earlier], pairs[index]
        if after.damper_length - before.damper_length >= most:
            continue
        refuse(
            after.damper_length < before.damper_length - 2 * doubt,
            f"pairs.{index}.damper_length",
            "At wheel height {height} the damper, {length}, is shorter than it is at {other}, {longer}.",
            "Allowed: the damper grows longer as the wheel drops away from the body; read this pair again.",
            height=(after.wheel_height, wheel_height),
            length=(after.damper_length, damper_length),
            other=(before.wheel_height, wheel_height),
            longer=(before.damper_length, damper_length),
        )


def _chart(values: Values, display: Display) -> Chart:
    pairs: tuple[TravelPair, ...] = values["pairs"]
    ride = values["ride_height"]
    fit = _fit(pairs, values["reading_doubt"])
    across = display.unit(ride_height, "ride_height")
    along = display.unit(damper_length, "damper_length")
    heights = np.linspace(fit.lowest, fit.lowest + fit.span, 61)
    curve = fit.there(heights)
    travel = [units.from_si(ride - height, across) for height in heights.tolist()]
    lengths = [units.from_si(value, along) for value in curve.length.tolist()]
    return Chart(
        key="travel-table-chart",
        title="Damper length and motion ratio through the travel",
        description="The pairs as dots on the fitted curve of damper length, and below it the motion ratio, both "
        "against wheel travel from ride with bump positive.",
        x_label="Wheel travel from ride, bump positive",
        x_unit=across.symbol,
        panels=(
            Panel(
                "Damper length",
                along.symbol,
                curves=(Curve(tuple(zip(travel, lengths, strict=True)), label="fitted"),),
                dots=tuple(
                    Dot(units.from_si(ride - pair.wheel_height, across), units.from_si(pair.damper_length, along))
                    for pair in pairs
                ),
                decimals=display.decimals(damper_length, "damper_length"),
                dots_label="measured",
                tall=True,
            ),
            Panel(
                "Motion ratio",
                curves=(Curve(tuple(zip(travel, curve.slope.tolist(), strict=True))),),
                dots=(Dot(0.0, float(fit.there(ride).slope), "ride"),),
                decimals=display.decimals(motion_ratio),
            ),
        ),
    )


STEP = Step(
    function=travel_table,
    title="Motion ratio from a travel table",
    question="From tape readings through the travel: what share of the wheel's travel does the damper move, and how does that "
    "change?",
    job="4a",
    sources=(
        Source(
            key="derivation",
            where="least squares on the pairs; the force along the coil-over by virtual work",
            flag="derivation",
        ),
    ),
    equations=(
        Equation(
            result="motion_ratio_inverse",
            text="1 / motion_ratio",
            note="the motion ratio is the slope of the fitted curve at ride",
        ),
        Equation(result="axial_load", text="support_load_mean / motion_ratio", note="virtual work: the force along it"),
        Equation(
            result="geometric_rate_doubt",
            text="axial_load * motion_ratio_slope_doubt",
            note="what the pairs leave open in the wheel rate",
        ),
        Equation(
            result="motion_ratio_slope_mounts",
            text="-sin(lean)**2 / damper_length",
            note="the same from the mounts",
        ),
        Equation(
            result="motion_ratio_slope",
            text="motion_ratio_slope_mounts",
            note="the lean gives it better than the pairs",
            when="pair_count < 5 or geometric_rate_doubt > geometric_rate_doubt_limit",
        ),
        Equation(
            result="motion_ratio_slope",
            text="motion_ratio_slope_fitted",
            note="the pairs give it well enough",
            when="pair_count >= 5 and geometric_rate_doubt <= geometric_rate_doubt_limit",
        ),
        Equation(
            result="geometric_rate",
            text="axial_load * motion_ratio_slope",
            note="what the changing ratio adds to the wheel rate",
        ),
    ),
    example=Example(
        inputs={
            "pairs": (
                {"wheel_height": "24.50 in", "damper_length": "30.36 in"},
                {"wheel_height": "23.00 in", "damper_length": "28.90 in"},
                {"wheel_height": "21.00 in", "damper_length": "26.93 in"},
                {"wheel_height": "20.00 in", "damper_length": "25.95 in"},
                {"wheel_height": "18.50 in", "damper_length": "24.49 in"},
                {"wheel_height": "17.00 in", "damper_length": "23.02 in"},
                {"wheel_height": "15.00 in", "damper_length": "21.09 in"},
            ),
            "ride_height": "20.00 in",
            "lean": "12°",
            "support_load_mean": "1134 lbf",
            "reading_doubt": "1/16 in",
            "geometric_rate_doubt_limit": "3 lb/in",
        },
        expected={
            "motion_ratio": (0.978, 2e-3),
            "damper_length": ("25.95 in", 0.01),
            "motion_ratio_slope_mounts": ("-0.00167 per in", 5e-6),
            "motion_ratio_slope": ("-0.00167 per in", 5e-6),
        },
        source=Source(
            key="derivation",
            where="readings laid out from mounts that lean 12° at 25.95 in, rounded to 0.01 in; the motion ratio there "
            "is cos 12° and its change -sin² 12° / 25.95 in",
            flag="derivation",
        ),
        name="Wren, front",
    ),
    checks=(
        Check(
            rule="enough pairs",
            value="pair_count",
            at_least=float(_FEWEST_FOR_SLOPE),
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="{value} different heights: enough to see how the motion ratio changes.",
            fails="{value} different heights, fewer than {limit}, are too few to see how the motion ratio changes: the lean must give it.",
        ),
        Check(
            rule="pairs agree",
            condition="fit_residual <= sqrt(1 + motion_ratio**2) * reading_doubt",
            needs=("spare_pairs",),
            holds="No pair misses a smooth curve by more than {fit_residual}: the readings explain that.",
            fails="One pair misses a smooth curve by {fit_residual}, more than readings of ± {reading_doubt} explain: "
            "read that pair again.",
            unchecked="Whether one reading is wrong",
        ),
        Check(
            rule="uncertainty of the wheel rate",
            value="geometric_rate_doubt",
            at_most="geometric_rate_doubt_limit",
            warns=True,
            holds="The pairs leave ± {value} in the wheel rate, within {limit}: they may give the change themselves.",
            fails="The pairs leave ± {value} in the wheel rate, more than {limit}: the lean gives the change of the "
            "motion ratio.",
            unchecked="How much uncertainty the pairs leave in the wheel rate",
        ),
        Check(
            rule="pairs and lean agree",
            condition="absolute(motion_ratio_slope_fitted + sin(lean)**2 / damper_length) <= motion_ratio_slope_doubt",
            warns=True,
            holds="Pairs and lean agree on the change of the motion ratio, within what the pairs can tell.",
            fails="Pairs and lean differ on the change of the motion ratio by more than the readings explain: the axle "
            "does not move straight up, or the lean was not read at ride.",
            unchecked="Whether pairs and lean agree",
        ),
        Check(
            rule="change of the motion ratio known",
            condition="absolute(motion_ratio_slope) >= 0",
            holds="The change of the motion ratio at ride is {motion_ratio_slope}.",
            fails="The change of the motion ratio at ride is not known.",
            needs=("motion_ratio_slope",),
            unchecked="How the motion ratio changes",
        ),
    ),
    practice=(
        Practice(
            text="Take the table of the worked example, on a corner that holds up {support_load_mean} at the wheel. "
            "What load acts along its coil-over at ride?",
            asks="axial_load",
            vary=("support_load_mean",),
        ),
    ),
    chart=_chart,
    groups={
        "Readings, springs out": ("pairs", "reading_doubt"),
        "At ride": ("ride_height", "lean", "support_load_mean"),
        "Limit": ("geometric_rate_doubt_limit",),
    },
    main=("motion_ratio", "motion_ratio_slope", "geometric_rate_doubt"),
)
