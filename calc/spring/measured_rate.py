"""Rate and free length of a spring from pairs of length and force, read in a press with a scale."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any

from calc import units
from calc.chart import Chart, Curve, Dot, Panel
from calc.quantity import Display, Quantity, Table
from calc.step import PRACTICE, Check, Equation, Example, Practice, Source, Step, Values, refuse
from calc.units import INCH, POUND_FORCE
from calc.vocabulary import FreeLength, SpringRate, any_rate, force, free_length, length, spring_rate

_LEAST_SPAN = 0.25 * INCH
_spring_length = free_length.called(
    "Spring length",
    "L_i",
    "Seat to seat in the press, ends included.",
    usual=None,
    typical=11 * INCH,
    plus_minus=INCH / 32,
)
_press_force = force.called(
    "Force",
    "F_i",
    "What the scale under the spring reads, less what it reads with the press just touching.",
    low=0.0,
    high=1e5,
    usual=(50.0, 4e4),
    typical=6000.0,
    plus_minus=5 * POUND_FORCE,
)
_count = Quantity(
    label="Readings", symbol="N", kind=units.COUNT, low=2.0, high=24.0, typical=5.0, help="Rows of the table."
)
_off = Quantity(
    label="Rate against the stamp",
    symbol="q_k",
    kind=units.SHARE,
    low=-1.0,
    high=10.0,
    typical=0.0,
    help="Positive when the spring is stiffer than it is stamped.",
)


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One reading: how long the spring was and how hard it pushed."""

    spring_length: Annotated[float, _spring_length]
    press_force: Annotated[float, _press_force]


_readings = Table(
    label="Readings",
    row=Reading,
    help="From a first light squash to near the shortest length in use, some going in and some coming out.",
    least=2,
    most=24,
)


@dataclass(frozen=True, kw_only=True)
class MeasuredRate:
    """The best straight line through the readings, and how well they lie on it; doubts need three readings or more."""

    spring_rate: SpringRate
    free_length: FreeLength
    rate_doubt: (
        Annotated[float, any_rate.called("± of the rate by scatter", "Δk", "By how far the readings miss the line.")]
        | None
    )
    free_length_doubt: (
        Annotated[float, length.called("± of the free length by scatter", "ΔL_0", low=0.0, high=10.0)] | None
    )
    largest_miss: Annotated[float, force.called("Largest miss of a reading", "ΔF_max", low=0.0, typical=20.0)]
    rate_off: Annotated[float, _off] | None
    free_length_off: (
        Annotated[float, length.called("Free length against the list", "ΔL", "Negative when it has taken a set.")]
        | None
    )
    length_mean: Annotated[float, _spring_length.called("Mean length", "L_mean", "Of all readings.")]
    force_mean: Annotated[float, _press_force.called("Mean force", "F_mean", "Of all readings.")]
    force_span: Annotated[float, _press_force.called("Span of the forces", "F_span", "Largest less smallest.")]
    reading_count: Annotated[float, _count]


def measured_rate(
    *,
    readings: Annotated[tuple[Reading, ...], _readings],
    stamped_rate: Annotated[
        float,
        spring_rate.called("Rate by its stamp", "k_st", "What the spring or its list says.", plus_minus_share=0.0),
    ]
    | None = None,
    stamped_free_length: Annotated[
        float,
        free_length.called("Free length by the list", "L_st", "What the maker's list says.", plus_minus=0.0),
    ]
    | None = None,
) -> MeasuredRate:
    """Return the rate and the free length of a spring from readings of length and force.

    The best straight line through all readings gives the rate, and where it meets no force, the free length.
    The readings are one table; the other inputs may be arrays that broadcast together.

    Raises ContradictionError when the lengths hardly differ, and when the force does not grow as the spring shortens.
    Valid while the same coils work: from a first squash that beds the ends to where coils begin to touch.
    Source: least squares; scatter as the standard deviation of the slope, twice.

    >>> found = measured_rate(readings=(Reading(spring_length=0.30, press_force=1000.0),
    ...     Reading(spring_length=0.25, press_force=4000.0)))
    >>> round(found.spring_rate), round(found.free_length, 4)
    (60000, 0.3167)
    """
    # Over 60 lines: its inputs, its docstring and its results stand one to a line around one formula.
    count = len(readings)
    mean_length = sum(reading.spring_length for reading in readings) / count
    mean_force = sum(reading.press_force for reading in readings) / count
    lengths = [reading.spring_length - mean_length for reading in readings]
    forces = [reading.press_force - mean_force for reading in readings]
    span = max(lengths) - min(lengths)
    refuse(
        span < _LEAST_SPAN,
        "readings",
        "The lengths span only {span}, too little for a rate.",
        "Allowed: {least} or more; best most of the spring's travel.",
        span=(span, length),
        least=(_LEAST_SPAN, length),
    )
    spread = sum(along * along for along in lengths)
    rate = -sum(along * push for along, push in zip(lengths, forces, strict=True)) / spread
    refuse(
        rate <= 0,
        "readings",
        "By these readings the force does not grow as the spring gets shorter.",
        "Allowed: more force at a shorter length; check that the two columns are not swapped.",
    )
    misses = [push + rate * along for along, push in zip(lengths, forces, strict=True)]
    rate_doubt = free_doubt = None
    if count > 2:
        scatter = math.sqrt(sum(miss * miss for miss in misses) / (count - 2))
        rate_doubt = 2 * scatter / math.sqrt(spread)
        free_doubt = 2 * scatter / rate * math.sqrt(1 / count + (mean_force / rate) ** 2 / spread)
    free = mean_length + mean_force / rate
    return MeasuredRate(
        spring_rate=rate,
        free_length=free,
        rate_doubt=rate_doubt,
        free_length_doubt=free_doubt,
        largest_miss=max(abs(miss) for miss in misses),
        rate_off=None if stamped_rate is None else rate / stamped_rate - 1,
        free_length_off=None if stamped_free_length is None else free - stamped_free_length,
        length_mean=mean_length,
        force_mean=mean_force,
        force_span=max(forces) - min(forces),
        reading_count=float(count),
    )


def _chart(values: Values, display: Display) -> Chart:
    along = display.unit(_spring_length, "free_length")
    up = display.unit(_press_force, "force_mean")
    free, rate = values["free_length"], values["spring_rate"]

    def squash(long: float) -> float:
        return units.from_si(free - long, along)

    most = free - min(reading.spring_length for reading in values["readings"])
    shown: Any = ((0.0, 0.0), (units.from_si(most, along), units.from_si(rate * most, up)))
    return Chart(
        key="measured-rate-chart",
        title="Force against squash",
        description="The readings as dots, and the best straight line through them, against the squash from the free "
        "length that the line gives.",
        x_label="Squash from free length",
        x_unit=along.symbol,
        panels=(
            Panel(
                "Force",
                up.symbol,
                curves=(Curve(shown, label="best straight line", at=shown[1][0] * 0.55),),
                dots=tuple(
                    Dot(squash(reading.spring_length), units.from_si(reading.press_force, up))
                    for reading in values["readings"]
                ),
                decimals=display.decimals(_press_force, "force_mean"),
                dots_label="read",
                tall=True,
            ),
        ),
    )


STEP = Step(
    function=measured_rate,
    title="Measured rate",
    question="In a press with a scale: what rate and free length does this spring really have?",
    job="6b",
    sources=(Source(key="derivation", where="least squares of force over length", flag="derivation"),),
    groups={"In the press": ("readings",), "By its stamp, if any": ("stamped_rate", "stamped_free_length")},
    equations=(
        Equation(
            result="free_length",
            text="length_mean + force_mean / spring_rate",
            note="the line, carried on to where nothing pushes",
        ),
        Equation(result="rate_off", text="spring_rate / stamped_rate - 1", note="against the stamp"),
        Equation(result="free_length_off", text="free_length - stamped_free_length", note="against the list"),
    ),
    example=Example(
        inputs={
            "readings": (
                {"spring_length": "13.00 in", "press_force": "441 lbf"},
                {"spring_length": "12.00 in", "press_force": "885 lbf"},
                {"spring_length": "11.00 in", "press_force": "1334 lbf"},
                {"spring_length": "10.00 in", "press_force": "1772 lbf"},
                {"spring_length": "9.00 in", "press_force": "2223 lbf"},
            ),
            "stamped_rate": "450 lb/in",
            "stamped_free_length": "14 in",
        },
        expected={
            "spring_rate": ("445.1 lb/in", 1e-6),
            "free_length": ("13.99034 in", 5e-6),
            "rate_doubt": ("1.99666 lb/in", 5e-6),
            "free_length_doubt": ("0.014839 in", 5e-7),
            "largest_miss": ("4.1 lbf", 1e-6),
            "rate_off": (445.1 / 450 - 1, 1e-9),
        },
        source=Source(
            key="derivation",
            where="numpy's polyfit for the line; its covariance, times four, for the squares of the ±",
            flag="derivation",
        ),
        name="Wren, a main from its front axle",
    ),
    checks=(
        Check(
            rule="readings enough",
            value="reading_count",
            at_least=4.0,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="{value} readings: a wrong one shows.",
            fails="{value} of the {limit} readings that are wanted: with fewer, a wrong one does not show.",
        ),
        Check(
            rule="a straight line",
            value="largest_miss",
            at_most=0.02,
            times="force_span",
            warns=True,
            source=PRACTICE,
            holds="No reading misses the straight line by more than {value}: one rate all the way.",
            fails="A reading misses the straight line by {value}, more than {share} of the span of the forces: coils that "
            "touch, an end that was not bedded, friction in the press, or a spring with two rates. Look at the chart.",
        ),
        Check(
            rule="rate as stamped",
            value="rate_off",
            at_least=-0.03,
            at_most=0.03,
            warns=True,
            source=PRACTICE,
            holds="The rate is {value} off its stamp, inside the usual ± {at_most}.",
            close="The rate is {value} off its stamp, about at the usual {limit}.",
            fails="The rate is {value} off its stamp, beyond the usual {limit}: go on with the measured one.",
            unchecked="The rate against its stamp",
        ),
        Check(
            rule="free length as listed",
            value="free_length_off",
            at_least=-INCH / 8,
            at_most=INCH / 8,
            warns=True,
            source=PRACTICE,
            holds="The free length is {value} off its list.",
            close="The free length is {value} off its list, about at the usual {limit}.",
            fails="The free length is {value} off its list, beyond the usual {limit}: shorter, and it has taken a set; "
            "the preload must make up for it.",
            unchecked="The free length against its list",
        ),
    ),
    practice=(
        Practice(
            text="The spring of the worked example is read again. At {readings.0.spring_length} the scale says "
            "{readings.0.press_force}; the other readings stay. What is its rate now?",
            asks="spring_rate",
            vary=("readings.0.press_force",),
        ),
    ),
    chart=_chart,
    main=("spring_rate", "free_length", "rate_doubt"),
)
