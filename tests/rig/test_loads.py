"""What a load case puts on each spring: by statics, on a rig whose numbers are known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from calc.constants import GRAVITY
from calc.rig.axle import case_load
from calc.rig.file import wren
from calc.rig.rig import Item


@pytest.mark.parametrize("axle", ["front", "rear"])
@pytest.mark.parametrize(("carried", "on_springs"), [("axle", 0.0), ("sprung", 60.0)])
def test_what_lies_on_an_axle_loads_its_tires_and_not_its_springs(axle: str, carried: str, on_springs: float) -> None:
    rig = wren()
    case = rig.cases()[0]
    item = Item(
        label="Winch",
        mass=60.0,
        carried=f"{axle} axle" if carried == "axle" else carried,
        behind_front_axle=0.0 if axle == "front" else rig.get("wheelbase"),
        left_of_center=0.0,
    )
    before, after = (case_load(rig, axle, each) for each in (case, replace(case, items=(*case.items, item))))
    # Each side carries half of what rests right over its axle.
    assert after.sprung_mass - before.sprung_mass == pytest.approx(on_springs / 2, abs=1e-9)
    assert after.support_load - before.support_load == pytest.approx(on_springs / 2 * GRAVITY, abs=1e-6)
