"""What was measured before, charted: how much higher or lower than ordered each corner stood, by date."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from calc import vocabulary
from calc.chart import Chart, Curve, Dot, Panel
from calc.chart.page import figure, table
from calc.prove.built import case_of
from calc.quantity import Display
from calc.rig.entries import CORNERS
from calc.rig.readings import Proof
from calc.rig.rig import Rig
from calc.units import from_si
from calc.whole.at_rest import words

_LENGTH = vocabulary.length


def history(rig: Rig, proofs: Sequence[Proof], display: Display, prefix: str = "") -> str:
    """Return the chart of a rig's measurements since the first one in the same load case; nothing with fewer than two."""
    alike = _alike(rig, proofs)
    if len(alike) < 2:
        return ""
    unit = display.unit(_LENGTH)
    first = dt.date.fromisoformat(alike[0].date)
    curves = []
    for corner in CORNERS:
        start = alike[0].first.at(corner).height
        points = []
        for one in alike:
            height = one.first.at(corner).height
            if height is not None and start is not None:
                days = float((dt.date.fromisoformat(one.date) - first).days)
                points.append((days, from_si(height - start, unit)))
        if len(points) > 1:
            curves.append((corner, tuple(points)))
    if not curves:
        return ""
    case = case_of(rig, alike[0]).label
    chart = Chart(
        key=f"{prefix}proofs",
        title="Heights since the first measurement",
        description="; ".join(f"{words(corner)} {points[-1][1]:+.2f} {unit.symbol}" for corner, points in curves) + ".",
        x_label="Days",
        x_unit="d",
        x_decimals=0,
        panels=(
            Panel(
                y_label="Higher than at first",
                y_unit=unit.symbol,
                curves=tuple(Curve(points, words(corner).capitalize()) for corner, points in curves),
                dots=tuple(Dot(*point) for _, points in curves for point in points[1:]),
                decimals=display.decimals(_LENGTH),
            ),
        ),
        note=f"{alike[0].read.capitalize()}, {case}, since {alike[0].date}. Turns and loads show here as well as set.",
    )
    return f"<h2>History</h2>{figure(chart)}{table(chart)}"


def _alike(rig: Rig, proofs: Sequence[Proof]) -> list[Proof]:
    """Return the measurements in the load case and of the kind of the latest one, one for each date, oldest first."""
    dated = sorted((one for one in proofs if one.date), key=lambda one: one.date)
    read = [one for one in dated if any(one.first.at(corner).height is not None for corner in CORNERS)]
    if not read:
        return []
    latest = read[-1]
    by_date = {one.date: one for one in read if one.read == latest.read and case_of(rig, one) == case_of(rig, latest)}
    return list(by_date.values())
