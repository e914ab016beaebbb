"""The motion ratio through the travel, beside the straight line that its value and its change at ride make."""

from __future__ import annotations

from collections.abc import Sequence

from calc import units
from calc.chart import Chart, Curve, Dot, Panel
from calc.quantity import Display
from calc.vocabulary import motion_ratio, travel_left


def ratio_chart(
    *,
    key: str,
    what: str,
    shown: Sequence[tuple[float, float]],
    ratio: float,
    slope: float,
    top: float,
    display: Display,
) -> Chart:
    """Return the chart of pairs of wheel travel from ride and exact motion ratio, of which ride has `ratio` and `slope`.

    `what` names the ratio in the description; `top` is the least upper end of the axis.
    """
    unit = display.unit(travel_left)
    exact = tuple((units.from_si(travel, unit), at) for travel, at in shown)
    straight = tuple((units.from_si(travel, unit), ratio + slope * travel) for travel in (shown[0][0], shown[-1][0]))
    return Chart(
        key=key,
        title="Motion ratio through the travel",
        description=f"{what} against wheel travel from ride, bump positive, with the straight line that its value and its "
        "change at ride make.",
        x_label="Wheel travel from ride, bump positive",
        x_unit=unit.symbol,
        panels=(
            Panel(
                "Motion ratio",
                curves=(
                    Curve(exact, label="exact", at=exact[-8][0]),
                    Curve(straight, label="value and change at ride", at=straight[0][0], quiet=True),
                ),
                dots=(Dot(0.0, ratio, "ride"),),
                decimals=display.decimals(motion_ratio),
                tall=True,
                at_least=(ratio - 0.02, top),
            ),
        ),
    )
