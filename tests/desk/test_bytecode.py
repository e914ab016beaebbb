"""The prepared runtime is the same every time, holds what a page runs, and nothing else."""

from __future__ import annotations

import hashlib
import json
import marshal
import shutil
import zipfile
from pathlib import Path
from typing import Any

import pytest

from calc.desk import build, bytecode, npm, pyc


@pytest.fixture(scope="module")
def prepared() -> Path:
    return bytecode.prepare()


def members(path: Path) -> set[str]:
    with zipfile.ZipFile(path) as archive:
        return set(archive.namelist())


def hashes(folder: Path) -> dict[str, str]:
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sorted(folder.iterdir())}


def test_the_manifest_lists_every_file_with_size_and_hash(prepared: Path) -> None:
    manifest = json.loads((prepared / "runtime.json").read_text("utf-8"))
    assert manifest["python"] == "3.14"
    assert set(manifest["files"]) == {*bytecode.CORE, *bytecode.PARTS}
    assert set(hashes(prepared)) == {*manifest["files"], "runtime.json"}
    for name, told in manifest["files"].items():
        content = (prepared / name).read_bytes()
        assert told == {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}


def test_preparing_twice_gives_the_same_bytes(prepared: Path, tmp_path: Path) -> None:
    """From nothing, in new processes: pages, caches and releases rest on it."""
    again = bytecode.prepare(kept=tmp_path)
    assert hashes(again) == hashes(prepared)
    assert again.name == prepared.name


def test_everything_is_bytecode_without_sources(prepared: Path) -> None:
    for name in bytecode.PARTS:
        found = members(prepared / name)
        assert [member for member in found if member.endswith((".py", ".pyi", ".h", ".a"))] == []
        assert [member for member in found if member.endswith(".pyc")]


def test_what_no_page_runs_is_left_out(prepared: Path) -> None:
    stdlib = members(prepared / "stdlib.zip")
    for gone in ("unittest/", "email/", "_pyrepl/", "multiprocessing/", "pdb.pyc", "doctest.pyc"):
        assert [name for name in stdlib if name.startswith(gone)] == []
    assert {"json/__init__.pyc", "csv.pyc", "dataclasses.pyc", "_pyodide/_base.pyc"} <= stdlib
    numpy = members(prepared / "numpy.zip")
    assert [name for name in numpy if "/tests/" in name or name.startswith("numpy/f2py")] == []
    pandas = members(prepared / "pandas.zip")
    assert {name.split("/")[0] for name in pandas} == {"pandas", "dateutil", "six.pyc"}


def test_calc_comes_without_its_desk_and_with_its_data(prepared: Path) -> None:
    found = members(prepared / "calc.zip")
    assert {name.split("/")[0] for name in found} == {"calc", "data"}
    assert {"calc/bridge.pyc", "calc/step.pyc", "data/rigs/wren.json"} <= found
    assert [
        name for name in found if name.startswith(("calc/desk", "calc/__main__", "data/pins", "data/published"))
    ] == []


@pytest.mark.usefixtures("prepared")
def test_an_edit_of_calc_compiles_nothing_else(tmp_path: Path) -> None:
    package = tmp_path / "calc"
    package.mkdir()
    kept = tmp_path / "kept"
    shutil.copytree(bytecode.PREPARED / "parts", kept / "parts")
    (package / "bridge.py").write_text(f"answer = 1, {str(tmp_path)!r}\n", "utf-8")
    bytecode.prepare(package=package, data=None, kept=kept)
    (package / "bridge.py").write_text(f"answer = 2, {str(tmp_path)!r}\n", "utf-8")
    said: list[str] = []
    made = bytecode.prepare(said.append, package=package, data=None, kept=kept)
    assert said == ["Compiling calc.zip for the browser."]
    assert members(made / "calc.zip") == {"calc/bridge.pyc"}


def test_a_module_that_does_not_compile_is_named(tmp_path: Path) -> None:
    package = tmp_path / "calc"
    package.mkdir()
    (package / "bridge.py").write_text("answer = = 1\n", "utf-8")
    with pytest.raises(npm.NpmError) as failed:
        bytecode.prepare(package=package, data=None)
    assert 'File "calc/bridge.py", line 1' in str(failed.value)
    assert "SyntaxError: invalid syntax" in str(failed.value)


def test_bytecode_has_no_descriptions_but_the_names_of_dataclasses() -> None:
    """For a dataclass without any, Python writes out its signature at each import, which takes most of the import."""
    source = """
from dataclasses import dataclass

@dataclass(frozen=True)
class Spring:
    "Words."
    rate: float

class Plain:
    "Words."

def told():
    "Words."
"""
    made: dict[str, Any] = {"__name__": __name__}
    exec(marshal.loads(pyc.compiled("calc/spring.py", source.encode())[16:]), made)
    assert (made["Spring"].__doc__, made["Plain"].__doc__, made["told"].__doc__) == ("Spring", None, None)
    assert made["Spring"](2.0).rate == 2.0


def test_of_numpy_nothing_is_left_out_silently_but_descriptions(prepared: Path) -> None:
    """What is compiled as an empty module must still be there under its name, or nothing was left out."""
    assert {f"{name}c" for name in pyc.DESCRIPTIONS} <= members(prepared / "numpy.zip")


def test_what_was_altered_since_it_was_prepared_is_never_used(prepared: Path, tmp_path: Path) -> None:
    """A flipped bit in a part, and one in the folder put together from the parts."""
    package, kept = tmp_path / "calc", tmp_path / "kept"
    package.mkdir()
    (package / "__init__.py").write_text("ANSWER = 1", "utf-8")
    shutil.copytree(prepared.parent / "parts", kept / "parts")
    before = set((kept / "parts").iterdir())
    first = bytecode.prepare(package=package, data=None, kept=kept)
    wanted = hashes(first)
    (part,) = set((kept / "parts").iterdir()) - before
    for altered in (part / "calc.zip", first / "numpy.zip"):
        content = bytearray(altered.read_bytes())
        content[len(content) // 2] ^= 1
        altered.write_bytes(content)
    said: list[str] = []
    assert hashes(bytecode.prepare(said.append, package=package, data=None, kept=kept)) == wanted
    assert sum("was altered since it was prepared" in line for line in said) == 2


def test_a_published_file_is_nobody_elses_and_only_its_owner_writes_it(tmp_path: Path) -> None:
    kept = tmp_path / "kept"
    kept.write_bytes(b"bytes")
    kept.chmod(0o666)
    build.write({"downloads/file.zip": kept}, tmp_path / "site")
    published = tmp_path / "site" / "downloads" / "file.zip"
    assert published.read_bytes() == b"bytes"
    assert published.stat().st_nlink == 1
    assert published.stat().st_mode & 0o777 == 0o644
