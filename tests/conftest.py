"""What several kinds of test share: the site, built once by the same code as everybody's."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import settings

from calc.desk import build

# How long a case takes on a busy machine says nothing, and the same cases run every time.
settings.register_profile("handbook", deadline=None, derandomize=True)
settings.load_profile("handbook")


@pytest.fixture(scope="session")
def site() -> Path:
    """The hosted site, as `python3 -m calc build` makes it."""
    return build.build(False)


@pytest.fixture(scope="session")
def folder(site: Path) -> Path:
    """The copy that opens from a folder, made together with the site."""
    assert site.is_dir()
    return build.OFFLINE
