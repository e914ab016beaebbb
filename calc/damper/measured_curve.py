"""What a damper measured on a bench does: its energy, its equivalent coefficient, and how it matches what is wanted."""
# Over 400 lines: one step, and most of it is declared: its quantities, equations, checks and example.

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from calc import units, vocabulary
from calc.chart import Chart, Curve, Dot, Guide, Panel
from calc.damper._knee import bent
from calc.damper._monotone import MonotoneCurve
from calc.quantity import Choice, Display, Option, Quantity, Table
from calc.step import PRACTICE, Check, Equation, Example, Practice, Refusal, Source, Step, Values, refuse
from calc.units import INCH
from calc.vocabulary import (
    GasForce,
    KneeSpeed,
    ReboundShare,
    SlopePastKnee,
    WantedDampingCoefficient,
    damping_coefficient,
    force,
    length,
    share,
    velocity,
)

_OUT, _IN = "out", "in"
_gas_in_table = Choice(
    label="Gas in the table's forces",
    options=(
        Option(_OUT, "no: damping alone", "The bench has taken the gas off."),
        Option(_IN, "yes: as the bench reads", "Compression reads the gas force too much, rebound too little."),
    ),
    typical=_OUT,
    help="Ask whoever ran the bench. A table whose compression does not come near 0 at the slowest speed has it in.",
)
_speed = velocity.called(
    "Speed", "v", "Of the damper, the same in both directions.", low=0.001, high=5.0, plus_minus=0.001
)
_read = force.called("Force", "F", low=-2e4, high=1e5, typical=600.0, plus_minus_share=0.03)
_weight = Quantity(
    label="Weight",
    symbol="w",
    kind=units.NUMBER,
    low=0.0,
    high=1e6,
    typical=1.0,
    help="How much this speed counts in the match: the share of time that a run spends near it. 1 where it is left empty.",
)
_amplitude = length.called(
    "Half of the damper's swing",
    "X",
    "From the middle of the swing to one end, along the damper.",
    low=0.0,
    low_open=True,
    high=0.5,
    typical=2 * INCH,
)
_frequency = vocabulary.natural_frequency.called(
    "Swing frequency", "f_s", "How often it goes there and back.", usual=None
)
_energy = Quantity(
    label="Energy",
    symbol="E",
    kind=units.ENERGY,
    low=0.0,
    high=1e6,
    typical=140.0,
    help="Taken out of the motion and made into heat.",
)
_level = Quantity(
    label="Level", symbol="n_F", kind=units.RATIO, low=0.0, high=100.0, typical=1.0, help="Measured over wanted."
)
_clicks = Quantity(
    label="Clicks", symbol="N", kind=units.COUNT, low=0.0, high=100.0, typical=12.0, help="Counted from fully open."
)


@dataclass(frozen=True, kw_only=True)
class ForcePair:
    """One speed with the force in both directions, told as sizes."""

    speed: Annotated[float, _speed]
    compression: Annotated[float, _read.called("Compression", "F_c", "The force while it gets shorter, as a size.")]
    rebound: Annotated[float, _read.called("Rebound", "F_r", "The force while it gets longer, as a size.")]
    weight: Annotated[float, _weight] | None = None


_pairs = Table(
    label="Measured forces",
    row=ForcePair,
    help="One row for each speed, in any order. Between them the curve is drawn so that it never turns back.",
    least=2,
    most=40,
)


@dataclass(frozen=True, kw_only=True)
class MeasuredCurve:
    """Energy and equivalent coefficient of one steady swing, and how the measured forces stand to the wanted ones."""

    equivalent_damping_coefficient: Annotated[
        float,
        damping_coefficient.called(
            "Equivalent damping coefficient", "c_eq", "Of a plain damper that absorbs as much energy from this swing."
        ),
    ]
    compression_equivalent: Annotated[
        float, damping_coefficient.called("Equivalent in compression", "c_eq,c", "Of the half swing that shortens it.")
    ]
    rebound_equivalent: Annotated[
        float, damping_coefficient.called("Equivalent in rebound", "c_eq,r", "Of the half swing that lengthens it.")
    ]
    measured_rebound_share: Annotated[
        float, share.called("Rebound share, measured", "q_E", "Of the energy of this swing.", typical=0.6)
    ]
    energy_per_swing: Annotated[float, _energy.called("Energy of one swing", "E")]
    compression_energy: Annotated[float, _energy.called("Energy of compression", "E_c")]
    rebound_energy: Annotated[float, _energy.called("Energy of rebound", "E_r")]
    peak_speed: Annotated[float, velocity.called("Greatest speed of the swing", "v_p", "In the middle of the swing.")]
    force_level: (
        Annotated[float, _level.called("Measured forces over wanted ones", "n_F", "The one factor that fits best.")]
        | None
    )
    match_miss: (
        Annotated[
            float,
            share.called(
                "Miss of the wanted forces",
                "q_miss",
                "Weighted root mean square of the differences, by that of the wanted forces.",
                high=100.0,
                typical=0.05,
            ),
        ]
        | None
    )


def measured_curve(
    *,
    pairs: Annotated[tuple[ForcePair, ...], _pairs],
    swing_amplitude: Annotated[float, _amplitude],
    swing_frequency: Annotated[float, _frequency],
    gas_in_table: Annotated[str, _gas_in_table] = _OUT,
    gas_force: GasForce | None = None,
    wanted_damping_coefficient: WantedDampingCoefficient | None = None,
    rebound_share: ReboundShare = 0.6,
    knee_speed: KneeSpeed = 10 * INCH,
    slope_past_knee: SlopePastKnee = 1.0,
    clicks_set: Annotated[float, _clicks.called("Click of this table", "N_s")] | None = None,
    clicks_in_all: Annotated[float, _clicks.called("Clicks in all", "N", low=1.0)] | None = None,
) -> MeasuredCurve:
    """Return what one steady swing takes out of the motion, from measured forces, and how these match the wanted ones.

    Compression and rebound are each a curve through nothing at rest and the measured points; it never turns back.
    The equivalent coefficient is that of a plain damper with the same energy in the same sine swing.
    Wanted forces are those of a mean coefficient, parted by the rebound share, straight up to the knee.
    The table and its gas force are single; the other inputs may be arrays that broadcast together.

    Raises ContradictionError when two rows have one speed, when a force falls as the speed rises or is below nothing once
    the gas is off, when the gas is in but not told, when the swing is faster than what was measured or meets no force, and when
    a click is beyond all clicks.
    Valid for a damper whose force hangs on its speed alone, at the temperature of the bench.
    Source: equivalent viscous damping by equal energy; worked out on the page.

    >>> table = tuple(ForcePair(speed=v, compression=1000 * v, rebound=3000 * v) for v in (0.1, 0.3, 0.8))
    >>> round(float(measured_curve(pairs=table, swing_amplitude=0.05, swing_frequency=1.5).equivalent_damping_coefficient))
    2000
    """
    # Over 60 lines: its inputs, its docstring and its results stand one to a line around one formula.
    STEP.refuse(locals())
    rows = sorted(pairs, key=lambda row: row.speed)
    order = [pairs.index(row) for row in rows]
    _told_once(rows, order)
    gas = _gas_to_take_off(gas_in_table, gas_force)
    both = _forces(rows, order, gas)
    speeds = np.array([0.0, *(row.speed for row in rows)])
    peak = 2 * np.pi * swing_frequency * swing_amplitude
    refuse(
        peak > speeds[-1],
        "swing_amplitude",
        "The swing reaches {peak}, faster than the fastest row of the table, {fastest}.",
        "Allowed: a shorter or slower swing; nothing is guessed beyond what was measured.",
        peak=(peak, _speed),
        fastest=(float(speeds[-1]), _speed),
    )
    energies = [_swing_energy(speeds, forces, swing_amplitude, peak) for forces in both]
    plain = np.pi / 2 * peak * swing_amplitude
    total: Any = energies[0] + energies[1]
    refuse(
        total <= 0,
        "pairs",
        "Up to {peak}, the fastest of the swing, all forces are 0.",
        "Allowed: a damper that damps there, or a faster swing.",
        peak=(peak, _speed),
    )
    level, miss = _match(rows, both, wanted_damping_coefficient, rebound_share, knee_speed, slope_past_knee)
    return MeasuredCurve(
        equivalent_damping_coefficient=total / (2 * plain),
        compression_equivalent=energies[0] / plain,
        rebound_equivalent=energies[1] / plain,
        measured_rebound_share=energies[1] / total,
        energy_per_swing=total,
        compression_energy=energies[0],
        rebound_energy=energies[1],
        peak_speed=peak,
        force_level=level,
        match_miss=miss,
    )


def _swing_energy(speeds: Any, forces: Any, amplitude: Any, peak: Any) -> Any:
    """Return what one swing takes from half of the curve; with several gas forces there are as many curves."""
    if forces.ndim == 1:
        return MonotoneCurve(speeds, forces).half_swing_energy(amplitude, peak)
    wide, fast, _ = np.broadcast_arrays(amplitude, peak, forces[0])
    each = zip(forces.T, wide, fast, strict=True)
    return np.array([MonotoneCurve(speeds, own).half_swing_energy(swing, speed) for own, swing, speed in each])


def _told_once(rows: Sequence[ForcePair], order: Sequence[int]) -> None:
    for (slower, faster), place in zip(itertools.pairwise(rows), order[1:], strict=True):
        refuse(
            slower.speed == faster.speed,
            f"pairs.{place}.speed",
            "Two rows have the speed {speed}.",
            "Allowed: one row for each speed.",
            speed=(faster.speed, _speed),
        )


def _gas_to_take_off(gas_in_table: str, gas_force: Any) -> Any:
    return 0.0 if gas_in_table == _OUT or gas_force is None else gas_force


def _forces(rows: Sequence[ForcePair], order: Sequence[int], gas: Any) -> tuple[Any, Any]:
    """Return compression and rebound with the gas off, from rest on. Refuses what turns back or pushes the wrong way."""
    found = []
    for name, sign in (("compression", -1.0), ("rebound", 1.0)):
        forces = [0.0, *(getattr(row, name) + sign * gas for row in rows)]
        for (before, after), row, place in zip(itertools.pairwise(forces), rows, order, strict=True):
            refuse(
                after < 0,
                f"pairs.{place}.{name}",
                "With the gas off, " + name + " at {speed} is {force}: it pushes the wrong way.",
                "Allowed: 0 or more. Check the gas force, and whether the table has the gas in it.",
                speed=(row.speed, _speed),
                force=(after, _read),
            )
            refuse(
                after < before,
                f"pairs.{place}.{name}",
                name.capitalize() + " falls to {after} at {speed}, from {before} at the speed before.",
                "Allowed: at least as much as at the slower speed. Check the row.",
                after=(after, _read),
                before=(before, _read),
                speed=(row.speed, _speed),
            )
        found.append(np.stack(np.broadcast_arrays(*forces)))
    return found[0], found[1]


def _match(rows: Sequence[ForcePair], both: Any, mean: Any, part: Any, knee: Any, slope: Any) -> tuple[Any, Any]:
    """Return the one factor between measured and wanted forces, and the weighted miss."""
    if mean is None or not np.all(np.asarray(mean) > 0):
        return None, None
    products: Any = 0.0
    squares: Any = 0.0
    misses: Any = 0.0
    for place, row in enumerate(rows, start=1):
        counts = 1.0 if row.weight is None else row.weight
        counting = bent(row.speed, knee, slope)
        for forces, own in ((both[0], 1 - part), (both[1], part)):
            wanted = 2 * mean * own * counting
            products = products + counts * wanted * forces[place]
            squares = squares + counts * wanted**2
            misses = misses + counts * (forces[place] - wanted) ** 2
    if not np.all(np.asarray(squares) > 0):
        return None, None
    return products / squares, np.sqrt(misses / squares)


def _chart(values: Values, display: Display) -> Chart:
    speed_unit, force_unit = display.unit(_speed), display.unit(_read)
    rows = sorted(values["pairs"], key=lambda row: float(row.speed))
    gas = _gas_to_take_off(values["gas_in_table"], values["gas_force"])
    speeds = np.array([0.0, *(row.speed for row in rows)])
    places: Any = np.unique(np.concatenate([np.linspace(0.0, speeds[-1], 60), speeds]))
    shown = [units.from_si(place, speed_unit) for place in places.tolist()]
    curves, dots = [], []
    mean, part = values["wanted_damping_coefficient"], values["rebound_share"]
    for (word, forces), own in zip(
        zip(("compression", "rebound"), _forces(rows, range(len(rows)), gas), strict=True),
        (1 - part, part),
        strict=True,
    ):
        heights = [units.from_si(height, force_unit) for height in MonotoneCurve(speeds, forces).at(places).tolist()]
        curves.append(Curve(tuple(zip(shown, heights, strict=True)), label=word, at=shown[-12]))
        dots += [
            Dot(units.from_si(speed, speed_unit), units.from_si(height, force_unit))
            for speed, height in zip(speeds[1:].tolist(), forces[1:].tolist(), strict=True)
        ]
        if mean is not None and mean > 0:
            counting = bent(places, values["knee_speed"], values["slope_past_knee"])
            wanted = [units.from_si(height, force_unit) for height in (2 * mean * own * counting).tolist()]
            curves.append(
                Curve(tuple(zip(shown, wanted, strict=True)), label=f"{word}, wanted", at=shown[30], quiet=True)
            )
    return Chart(
        key="measured-curve-chart",
        title="Measured damping forces",
        description="Compression and rebound against damper speed, damping alone: the measured points, the curve through them, "
        "and thinner what is wanted.",
        x_label="Damper speed",
        x_unit=speed_unit.symbol,
        x_decimals=display.decimals(_speed),
        guides=(Guide(units.from_si(values["peak_speed"], speed_unit), "fastest of the swing"),),
        panels=(
            Panel(
                "Force, gas not included",
                force_unit.symbol,
                curves=tuple(curves),
                dots=tuple(dots[:40]),
                decimals=display.decimals(_read),
                tall=True,
            ),
        ),
    )


_TABLE = (
    (1, 18, 30, 1.0),
    (2, 34, 55, 2.0),
    (5, 68, 104, 4.0),
    (10, 124, 182, 3.0),
    (15, 160, 235, 2.0),
    (20, 190, 280, 1.0),
    (30, 240, 352, 0.5),
)

STEP = Step(
    function=measured_curve,
    title="Measured damper against the wanted one",
    question="This force table came with the damper: how much does it damp, and is it what I asked for?",
    job="7e",
    sources=(
        Source(key="rao", where="equivalent viscous damping by equal energy", flag="memory"),
        Source(key="dixon", where="damper with different slopes in both directions", flag="memory"),
        PRACTICE,
    ),
    equations=(
        Equation(
            result="peak_speed",
            text="2 * pi * swing_frequency * swing_amplitude",
            note="in the middle of a sine swing",
        ),
        Equation(
            result="compression_equivalent",
            text="2 * compression_energy / (pi * peak_speed * swing_amplitude)",
            note="the energies are summed along the measured curve",
        ),
        Equation(result="rebound_equivalent", text="2 * rebound_energy / (pi * peak_speed * swing_amplitude)"),
        Equation(result="energy_per_swing", text="compression_energy + rebound_energy"),
        Equation(
            result="equivalent_damping_coefficient",
            text="energy_per_swing / (pi * peak_speed * swing_amplitude)",
            note="a plain damper with the same energy",
        ),
        Equation(result="measured_rebound_share", text="rebound_energy / energy_per_swing"),
    ),
    refusals=(
        Refusal(
            field="gas_force",
            when=f"not (gas_in_table == '{_OUT}')",
            absent=True,
            problem="The table's forces have the gas in them, and the gas force is missing.",
            allowed="Allowed: the gas force on the bench, from gas force and rate or half the difference at the slowest speed.",
        ),
        Refusal(
            field="clicks_set",
            when="clicks_set > clicks_in_all",
            problem="Click {clicks_set} is beyond the {clicks_in_all} clicks that there are.",
            allowed="Allowed: up to that many.",
        ),
    ),
    example=Example(
        inputs={
            "pairs": tuple(
                {"speed": f"{speed} in/s", "compression": f"{into} lbf", "rebound": f"{out} lbf", "weight": weight}
                for speed, into, out, weight in _TABLE
            ),
            "swing_amplitude": "2.0 in",
            "swing_frequency": "1.1 Hz",
            "gas_in_table": _OUT,
            "wanted_damping_coefficient": "15.75 lbf·s/in",
            "rebound_share": "60 %",
            "knee_speed": "10 in/s",
            "slope_past_knee": "50 %",
            "clicks_set": 10.0,
            "clicks_in_all": 22.0,
        },
        expected={
            "peak_speed": ("13.82301 in/s", 5e-6),
            "energy_per_swing": ("142.28953 J", 5e-6),
            "compression_energy": ("57.54212 J", 5e-6),
            "rebound_energy": ("84.74741 J", 5e-6),
            "equivalent_damping_coefficient": ("14.50008 lbf·s/in", 5e-6),
            "compression_equivalent": ("11.72771 lbf·s/in", 5e-6),
            "rebound_equivalent": ("17.27245 lbf·s/in", 5e-6),
            "measured_rebound_share": ("59.55983 %", 5e-6),
            "force_level": (0.9917427, 5e-8),
            "match_miss": ("5.752882 %", 5e-7),
        },
        source=Source(
            key="derivation",
            where="scipy's PchipInterpolator and quad; the match by sums over the rows",
            flag="derivation",
        ),
        name="Wren, front, an invented bench sheet",
    ),
    checks=(
        Check(
            rule="matches what is wanted",
            value="match_miss",
            at_most=0.15,
            margin=0.03,
            warns=True,
            source=PRACTICE,
            holds="The measured forces miss the wanted ones by {value}, weighted: a good match.",
            close="The measured forces miss the wanted ones by {value}, weighted, about the {limit} that still counts as a match.",
            fails="The measured forces miss the wanted ones by {value}, weighted, more than {limit}. See whether the level is "
            "off, {force_level} times the wanted, or the shape.",
            unchecked="Whether it matches what is wanted",
        ),
        Check(
            rule="level of the forces",
            value="force_level",
            at_least=0.9,
            at_most=1.1,
            margin=0.02,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="On the whole it gives {value} times the wanted forces.",
            fails="On the whole it gives {value} times the wanted forces, outside {limits}: the adjuster, or other valving, has to "
            "bring it to what is wanted.",
            unchecked="The level of the forces",
        ),
        Check(
            rule="rebound share as wanted",
            value="absolute(measured_rebound_share - rebound_share)",
            of=vocabulary.share.called("Off the wanted share", "Δq"),
            at_most=0.05,
            warns=True,
            source=Source(key="ours", flag="practice"),
            holds="Rebound takes {measured_rebound_share} of the energy of this swing, as wanted.",
            fails="Rebound takes {measured_rebound_share} of the energy of this swing, more than {limit} away from the wanted "
            "{rebound_share}.",
        ),
        Check(
            rule="target in the middle of the clicks",
            value="clicks_set",
            at_least=1 / 3,
            at_most=2 / 3,
            times="clicks_in_all",
            warns=True,
            source=PRACTICE,
            holds="Click {value} of {clicks_in_all} is in the middle: room to tune both ways.",
            fails="Click {value} of {clicks_in_all} is beyond {limit}, where the middle ends: one way little is left to tune. Other "
            "valving should bring the target to the middle.",
            unchecked="Whether the target lies in the middle of the clicks",
        ),
    ),
    practice=(
        Practice(
            text="Take the measured forces of the worked example. The damper swings {swing_amplitude} to each side, "
            "{swing_frequency}. What is its equivalent damping coefficient?",
            asks="equivalent_damping_coefficient",
            vary=("swing_amplitude", "swing_frequency"),
        ),
    ),
    chart=_chart,
    groups={
        "Bench sheet": ("pairs", "gas_in_table", "gas_force"),
        "Swing": ("swing_amplitude", "swing_frequency"),
        "Wanted": ("wanted_damping_coefficient", "rebound_share", "knee_speed", "slope_past_knee"),
        "Adjuster": ("clicks_set", "clicks_in_all"),
    },
    main=("equivalent_damping_coefficient", "force_level", "match_miss"),
)
