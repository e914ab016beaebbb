"""What several kinds of test share: the site, built once by the same code as everybody's."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

from calc.desk import build

# How long a case takes on a busy machine says nothing, and the same cases run every time: nothing is kept between runs,
# and a case that fails prints what calls it up again.
settings.register_profile("handbook", deadline=None, derandomize=True, database=None, print_blob=True)
settings.load_profile("handbook")


def long_run(few: int, many: int) -> int:
    """Return how many cases a test tries: few, or many in the long run, `python3 -m calc test --long`.

    This is the one place that reads HANDBOOK_LONG, which that command sets.
    """
    return many if os.environ.get("HANDBOOK_LONG") else few


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The hosted site, as `python3 -m calc build` makes it, in a place where no other build replaces it."""
    return build.build(False, tmp_path_factory.mktemp("handbook"))


@pytest.fixture(scope="session")
def folder(site: Path) -> Path:
    """The copy that opens from a folder, made together with the site."""
    return site.parent / build.OFFLINE
