"""What several kinds of test share: the site, built once by the same code as everybody's."""

from __future__ import annotations

from pathlib import Path

import pytest

from calc.desk import build


@pytest.fixture(scope="session")
def site() -> Path:
    """The hosted site, as `python3 -m calc build` makes it."""
    return build.build(False)


@pytest.fixture(scope="session")
def folder(site: Path) -> Path:
    """The copy that opens from a folder, made together with the site."""
    assert site.is_dir()
    return build.OFFLINE
