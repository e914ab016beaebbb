"""What the bench measures in a browser, with tiny sizes: every row comes, and each was a real answer."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from calc.desk.bench import visit

pytestmark = pytest.mark.browser


def test_a_browser_is_measured(site: Path, tmp_path: Path, chromium: Browser) -> None:
    with visit.opened(tmp_path, site, chromium) as bench:
        rows = [
            *bench.first_answers(rounds=1),
            bench.edits(times=1),
            bench.chain(times=1),
            bench.search(lists=(30,)),
        ]
    assert [row.budget.name for row in rows] == ["boot", "next", "edit", "chain", "browser-search"]
    assert all(math.isfinite(row.measured) and row.against for row in rows)
    assert rows[0].measured > 0
