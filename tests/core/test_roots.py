"""Where functions pass zero, against scipy's brentq."""

import re
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.desk.places import ROOT
from calc.roots import turns_positive

NUMBERS = st.floats(-0.9, 0.9)


@given(root=NUMBERS, bend=st.floats(0.0, 50.0), steep=st.floats(1e-6, 1e6), kink=NUMBERS)
def test_a_rising_function_passes_where_brentq_finds_it(root: float, bend: float, steep: float, kink: float) -> None:
    def rises(x: Any) -> Any:
        return steep * (x - root + bend * (x**3 - root**3)) + 1e7 * (np.maximum(x - kink, 0) - max(root - kink, 0))

    found = turns_positive(rises, -1.0, 1.0)
    assert found == pytest.approx(brentq(rises, -1.0, 1.0, xtol=1e-15, rtol=1e-14), abs=1e-12)


@given(places=st.lists(st.floats(-2.0, 2.0), min_size=1, max_size=20))
def test_many_at_once_are_those_alone_and_bounds_stand_for_what_lies_outside(places: list[float]) -> None:
    roots = np.array(places)
    together = turns_positive(lambda x: np.expm1(x - roots), -1.0, 1.0)
    assert together == pytest.approx(np.clip(roots, -1.0, 1.0), abs=1e-12)
    alone = [float(turns_positive(lambda x, root=root: np.expm1(x - root), -1.0, 1.0)) for root in places]
    assert together == pytest.approx(alone, abs=1e-12)


def test_a_jump_is_found() -> None:
    assert turns_positive(lambda x: np.where(x > 0.3, 1.0, -2.0), 0.0, 1.0) == pytest.approx(0.3, abs=1e-14)
    assert turns_positive(lambda x: np.where(x >= 0.3, 1e-12, -1e9), -5.0, 1.0) == pytest.approx(0.3, abs=1e-14)


def test_no_page_says_that_the_calculator_halves() -> None:
    pages = {path.name: path.read_text("utf-8") for path in (ROOT / "docs").rglob("*.md")}
    assert [name for name, text in pages.items() if re.search(r"by halving|halves an interval", text)] == []


def test_few_looks_are_needed_where_it_runs_smoothly() -> None:
    looks = []

    def seen(x: Any) -> Any:
        looks.append(x)
        return np.cosh(x) - 2

    assert turns_positive(seen, 0.0, 10.0) == pytest.approx(np.arccosh(2), abs=1e-14)
    assert len(looks) <= 20
