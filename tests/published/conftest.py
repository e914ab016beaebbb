"""Every row is asked of the handbook's own functions, and each answer compared with the printed one in its unit."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from calc.desk.validation import Row, find_row, work


@pytest.fixture
def check(request: pytest.FixtureRequest) -> Callable[[str], Row]:
    """Return the function that asserts every printed answer of a row of the module's SOURCE, and returns the row."""

    def agree(name: str) -> Row:
        row = find_row(request.module.SOURCE, name)
        answers = work(row)
        assert row.expected
        for printed in row.expected:
            found = printed.found(answers)
            told = f"{row.name}, {printed.quantity}: printed {printed.text} {printed.unit} ± {printed.tolerance:g}, ours {found!r}"
            assert printed.agrees(found), told
        return row

    return agree
