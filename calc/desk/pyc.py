"""Compile the Python files of a zip into sourceless bytecode; runs inside the browser's own Python under Node.

The same input gives the same bytes: members in order of name, fixed dates, one process per archive,
and the deflate of this Python whatever machine it runs on.
"""

from __future__ import annotations

import ast
import zipfile
from importlib import _bootstrap_external as machinery
from importlib.util import source_hash

# All that these do is to hang descriptions on compiled functions, which takes longer than any other import of numpy's.
DESCRIPTIONS = ("numpy/_core/_add_newdocs.py", "numpy/_core/_add_newdocs_scalars.py")


def compiled(name: str, source: bytes) -> bytes:
    """Return one module's bytecode without docstrings and asserts."""
    tree = ast.parse(b"" if name in DESCRIPTIONS else source, name)
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef) and any(_is_dataclass(decorator) for decorator in node.decorator_list):
            _describe(node)
    code = compile(tree, name, "exec", dont_inherit=True, optimize=2)
    return bytes(machinery._code_to_hash_pyc(code, source_hash(source), False))  # type: ignore[attr-defined]


def _is_dataclass(decorator: ast.expr) -> bool:
    called = decorator.func if isinstance(decorator, ast.Call) else decorator
    return (called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")) == "dataclass"


def _describe(node: ast.ClassDef) -> None:
    """Leave a dataclass its name as description: for one without any, Python writes out its signature at each import."""
    description = ast.Assign(targets=[ast.Name("__doc__", ast.Store())], value=ast.Constant(node.name))
    node.body.insert(0, ast.fix_missing_locations(ast.copy_location(description, node)))


def convert(given: str, made: str) -> None:
    """Copy a zip, with each `name.py` turned into `name.pyc` beside where it was."""
    with zipfile.ZipFile(given) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as new:
        for name in sorted(old.namelist()):
            content = old.read(name)
            if name.endswith(".py"):
                content, name = compiled(name, content), name + "c"
            new.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED, 9)
