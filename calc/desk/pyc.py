"""Compile the Python files of a zip into sourceless bytecode; runs inside the browser's own Python under Node.

The same input gives the same bytes: members in order of name, fixed dates, one process per archive,
and the deflate of this Python whatever machine it runs on.
"""

from __future__ import annotations

import zipfile
from importlib import _bootstrap_external as machinery
from importlib.util import source_hash


def compiled(name: str, source: bytes) -> bytes:
    """Return one module's bytecode without docstrings and asserts."""
    code = compile(source, name, "exec", dont_inherit=True, optimize=2)
    return bytes(machinery._code_to_hash_pyc(code, source_hash(source), False))  # type: ignore[attr-defined]


def convert(given: str, made: str) -> None:
    """Copy a zip, with each `name.py` turned into `name.pyc` beside where it was."""
    with zipfile.ZipFile(given) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as new:
        for name in sorted(old.namelist()):
            content = old.read(name)
            if name.endswith(".py"):
                content, name = compiled(name, content), name + "c"
            new.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED, 9)
