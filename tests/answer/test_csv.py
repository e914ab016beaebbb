"""An answer as CSV: read back by the standard library it holds every value that has a section, and runs nothing."""

from __future__ import annotations

import csv
import io

import pytest

from calc import vocabulary
from calc.answer import csv as answer_csv
from calc.answer.parts import Columns, Fact, Facts, Grid, Listed, Paragraph, Part
from calc.quantity import METRIC, SHOP, Display

PARTS: tuple[Part, ...] = (
    Paragraph(text="only to be read along"),
    Facts(key="rig", title="", facts=(Fact(label="Rig", value="=1+1"), Fact(label="Date", value=None))),
    Columns(
        key="settings",
        title="",
        columns=(
            ("Left front", (Fact(label="Preload", value=0.0381, of=vocabulary.length),)),
            ("Right front", (Fact(label="Preload", value=None, of=vocabulary.length),)),
        ),
        briefly=Grid(caption="", heads=("", "Preload"), rows=()),
    ),
    Listed(key="how sure", title="", lines=("certain",)),
)


@pytest.mark.parametrize(("display", "number", "unit"), [(SHOP, 1.5, "in"), (METRIC, 38.1, "mm")])
def test_every_value_stands_once(display: Display, number: float, unit: str) -> None:
    rows = list(csv.reader(io.StringIO(answer_csv.written(PARTS, display))))
    assert rows[0] == ["section", "place", "what", "value", "unit"]
    assert rows[1] == ["rig", "", "Rig", "'=1+1", ""]
    assert rows[2][:3] == ["settings", "Left front", "Preload"]
    assert float(rows[2][3]) == pytest.approx(number)
    assert rows[2][4] == unit
    assert rows[3] == ["how sure", "", "", "certain", ""]
    assert len(rows) == 4
