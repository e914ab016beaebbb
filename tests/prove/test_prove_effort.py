"""What proving costs, counted in rest solves and in rounds of its fits: no clock, the same on every machine."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import pytest

from calc.order.order import Order, order
from calc.prove.model import Model
from calc.prove.prove import Proving, prove
from calc.ride import _rest
from calc.rig.entries import CORNERS
from calc.rig.file import wren
from calc.rig.readings import CornerReading, Proof, State, read_measurements
from calc.tables import DATA, assortment_springs
from calc.whole.on_chosen_springs import Standing


@lru_cache(maxsize=1)
def made() -> Order:
    return order(wren(), assortment_springs())


@pytest.fixture
def counts(monkeypatch: pytest.MonkeyPatch) -> dict[str, int]:
    """How often the rig was solved at rest, for any number of unknowns together, and how often a fit went round."""
    made()
    found = {"solves": 0, "rounds": 0}

    def counted(name: str, function: Any) -> Any:
        def wrapped(*given: Any, **more: Any) -> Any:
            found[name] += 1
            return function(*given, **more)

        return wrapped

    monkeypatch.setattr(_rest, "descend", counted("solves", _rest.descend))
    monkeypatch.setattr(Model, "slopes", counted("rounds", Model.slopes))
    return found


def proved(off: Sequence[float]) -> Proving:
    """Wren proved with readings that are so far off what was ordered."""
    standing = made().standing
    assert isinstance(standing, Standing)
    corners = standing.rest.cases[standing.reference].corners
    read = {
        corner: CornerReading(
            after_pushed_down=one.damper_length + more - 0.003, after_lifted=one.damper_length + more + 0.003
        )
        for corner, one, more in zip(CORNERS, corners, off, strict=True)
    }
    proof = Proof(date="2026-05-02", case="crew", dampers="cold", states=(State(corners=read),))
    return prove(wren(), assortment_springs(), proof, made())


@pytest.mark.parametrize(("number", "most"), [(0, 20), (1, 45)])
def test_proving_wren_solves_it_few_times(number: int, most: int, counts: dict[str, int]) -> None:
    """What every fit begins with is worked out once, and what every turn does, all turns together."""
    text = (DATA / "rigs" / "wren-measured.json").read_text("utf-8")
    proof = read_measurements(text)[number]
    found = prove(wren(), assortment_springs(), proof, made())
    assert found.trim is not None
    assert 0 < counts["solves"] <= most


def test_a_fit_that_goes_to_and_fro_ends_soon(counts: dict[str, int]) -> None:
    """No rig on these springs reads so; the fit of everything used to go through all of its 40 rounds."""
    found = proved((0.11, 0.11, -0.11, -0.1))
    assert found.complete
    assert found.best is None
    assert 0 < counts["rounds"] <= 45


def test_a_fit_that_has_far_to_go_still_arrives(counts: dict[str, int]) -> None:
    found = proved((0.03, 0.06, 0.07, 0.11))
    assert found.rates is not None
    assert found.loads is not None
    assert counts["rounds"] > 15
