"""Where the clone keeps its parts and what its commands make."""

from __future__ import annotations

import hashlib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PINS = ROOT / "data" / "pins"
SOURCES = ROOT / "docs" / "assets" / "calc"
HANDBOOK = ROOT / ".handbook"
CACHE = HANDBOOK / "cache"
PREPARED = HANDBOOK / "prepared"
NODE = HANDBOOK / "node"


def sha256(path: Path) -> str:
    """Return the SHA-256 of a file as hexadecimal text."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
