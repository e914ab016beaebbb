"""The stack's chart: force and rate through the travel, drawn from its breakpoints."""

from __future__ import annotations

from itertools import pairwise

from calc import units
from calc.chart import Chart, Curve, Dot, Guide, Panel
from calc.quantity import Display
from calc.spring._stack_curve import StackCurve
from calc.step import Values
from calc.vocabulary import any_rate, force, length


def chart(curve: StackCurve, values: Values, display: Display) -> Chart:
    """Return the chart of a stack's curve, with ride, crossover and full bump where they are known."""
    travel_unit, force_unit, rate_unit = (display.unit(of) for of in (length, force, any_rate))
    ends = min(float(values["bump_limit"]), float(curve.solid_travel))
    kinks = [float(kink) for kink, _ in curve.pieces() if 0.0 < float(kink) < ends]
    places = [0.0, *sorted(set(kinks)), max(ends, 0.0)]

    def shown(travel: float) -> float:
        return units.from_si(travel, travel_unit)

    def pushed(travel: float) -> float:
        # At the very end of a bound stack the curve turns upright, so it is read just before.
        return units.from_si(float(curve.force(min(travel, ends * (1 - 1e-12)))), force_unit)

    forces = tuple((shown(place), pushed(place)) for place in places)
    steps = []
    for left, right in pairwise(places):
        rate = float(curve.rate((left + right) / 2))
        height = units.from_si(rate, rate_unit)
        steps.append(Curve(((shown(left), height), (shown(right), height)), label=display.text(rate, any_rate)))
    dots, guides = [], []
    for name, label, accent in (
        ("ride_travel", "ride", False),
        ("crossover_travel", "crossover", True),
        ("bump_limit", "full bump", False),
    ):
        place = values[name]
        if place is not None and 0.0 <= place <= ends:
            guides.append(Guide(shown(place), label, accent=accent))
            at = float(curve.force(min(place, ends * (1 - 1e-12))))
            dots.append(Dot(shown(place), pushed(place), display.number(at, force)))
    return Chart(
        key="stack-chart",
        title="Spring force and rate through the travel",
        description="The springs' force against damper travel from full extension: straight lines that meet where "
        "the rate steps up; beneath it the rate.",
        x_label="Damper travel from full extension",
        x_unit=travel_unit.symbol,
        panels=(
            Panel(
                "Spring force",
                force_unit.symbol,
                curves=(Curve(forces, label="springs"),),
                dots=tuple(dots),
                decimals=display.decimals(force),
                tall=True,
                at_least=(0.0, 0.0),
            ),
            Panel(
                "Rate",
                rate_unit.symbol,
                curves=tuple(steps),
                decimals=display.decimals(any_rate),
                at_least=(0.0, 0.0),
            ),
        ),
        guides=tuple(guides),
        x_decimals=display.decimals(length),
        note="Springs only: gas and bump stop come on top.",
    )
