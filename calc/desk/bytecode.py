"""Prepare the browser's Python: stripped of what no page runs, compiled to bytecode, the same bytes every time.

Prepared parts are kept by the hash of everything that went into them, so an edit of `calc` recompiles `calc` only.
"""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import tempfile
import zipfile
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from calc.desk import npm, runtime
from calc.desk.places import PREPARED, ROOT, sha256

HERE = Path(__file__).parent
CORE = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm")
PARTS = ("stdlib.zip", "numpy.zip", "pandas.zip", "calc.zip")
MANIFEST = "runtime.json"
# Beside each part, its SHA-256 as it was made: what was altered since is made again.
RECORD = "sha256"

# Of the standard library: servers, mail, tests, debuggers, processes, XML, and encodings of other platforms.
# `tests/pyodide` runs every step on what is left.
_STDLIB_OUT = re.compile(
    r"""
    (_pyrepl|email|http|idlelib|multiprocessing|sqlite3|unittest|wsgiref|xml|xmlrpc|pydoc_data)/
    | (antigravity|bdb|cProfile|cmd|code|compileall|doctest|fileinput|ftplib|getpass|imaplib|mailbox|modulefinder
      |netrc|nturl2path|optparse|pdb|pickletools|plistlib|poplib|profile|pstats|pty|py_compile|pyclbr|pydoc
      |rlcompleter|sched|shelve|smtplib|socketserver|sre_compile|sre_constants|sre_parse|symtable|tabnanny|this
      |trace|tty|wave|webbrowser|zipapp|_pyio|_pydatetime|__hello__)\.py$
    | __phello__/ | concurrent/(interpreters/|futures/(process|interpreter)\.py) | ctypes/(macholib/|wintypes|_aix)
    | asyncio/(__main__|proactor_events|tools|windows_\w+)\.py | html/parser\.py | logging/(config|handlers)\.py
    | urllib/(request|robotparser|error|response)\.py | pyodide/console\.py | importlib/metadata/
    | encodings/(?!__init__|aliases|ascii|charmap|cp437|cp1252|idna|iso8859_1|latin_1|mac_roman|punycode
      |raw_unicode_escape|unicode_escape|utf_).*
    | .*/__main__\.py$
    """,
    re.VERBOSE,
)
# Of the wheels: tests, tools that build extensions, type stubs, headers, static libraries, the wheels' own records.
_WHEEL_OUT = re.compile(
    r"""
    .*/(tests|include|_pyinstaller)/ | [^/]*\.dist-info/ | .*\.(pyi|pyx|pxd|c|h|a|typed|md|txt|build|ini)$
    | numpy/(f2py|testing|doc|core|lib/_user_array_impl|conftest|matlib) | numpy/linalg/lapack_lite
    | numpy/_core/(_\w*_tests|_simd)\.cpython | numpy/random/(_examples|LICENSE)
    | pandas/conftest | dateutil/zoneinfo/(rebuild|.*\.tar\.gz)
    """,
    re.VERBOSE,
)
# Pins, published check values and the like serve the desk, never a page.
_DATA_OUT = ("pins", "published")


@dataclass(frozen=True, kw_only=True)
class Part:
    """One archive to prepare: its name and its sources."""

    name: str
    members: Callable[[], Mapping[str, bytes]]
    proof: str


def prepare(
    progress: runtime.Progress | None = None,
    *,
    earlier: Path | None = None,
    package: Path = ROOT / "calc",
    data: Path | None = ROOT / "data",
    kept: Path = PREPARED,
) -> Path:
    """Return the folder of the prepared runtime, made where missing.

    It holds the three core files, stdlib.zip, numpy.zip, pandas.zip, calc.zip and runtime.json, which lists
    every file with its size and SHA-256.
    Raises RuntimeFetchError when an official file cannot be had and NpmError when the compiler fails.
    """
    tell = progress or (lambda _: None)
    pinned = runtime.pins()
    official = runtime.fetch(tell, earlier=earlier)
    files = {name: official[name] for name in CORE}
    for part in _parts(official, package=package, data=data):
        files[part.name] = _made(part, official, kept, tell)
    listed = {name: {"size": path.stat().st_size, "sha256": sha256(path)} for name, path in sorted(files.items())}
    manifest = json.dumps({"python": pinned.python, "abi": pinned.abi, "files": listed}, indent=1, sort_keys=True)
    home = kept / hashlib.sha256(manifest.encode()).hexdigest()[:16]
    if home.is_dir() and any(not _is(home / name, str(told["sha256"])) for name, told in listed.items()):
        tell(f"{home.name} was altered since it was prepared, so it is put together again.")
        shutil.rmtree(home)
    if not home.is_dir():
        kept.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=kept) as folder:
            made = Path(folder) / "made"
            made.mkdir()
            for name, path in files.items():
                put(path, made / name)
            (made / MANIFEST).write_text(manifest, encoding="utf-8")
            settle(made, home)
    return home


def put(source: Path, target: Path) -> None:
    """Copy a file to its place, for everybody to read: no two places share one file, so that none alters another."""
    target.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(source, target)
    target.chmod(0o644)


def _parts(official: Mapping[str, Path], *, package: Path, data: Path | None) -> list[Part]:
    wheels = {name: path for name, path in official.items() if name.endswith(".whl")}
    numpy = [path for name, path in wheels.items() if name.startswith("numpy-")]
    others = [path for name, path in wheels.items() if not name.startswith("numpy-")]
    mine = calc_members(package, data)
    return [
        _from_archives("stdlib.zip", [official["python_stdlib.zip"]], _STDLIB_OUT),
        _from_archives("numpy.zip", numpy, _WHEEL_OUT),
        _from_archives("pandas.zip", others, _WHEEL_OUT),
        Part(
            name="calc.zip",
            members=lambda: mine,
            proof=_digest(*(piece for name, content in mine.items() for piece in (name.encode(), content))),
        ),
    ]


def _from_archives(name: str, paths: list[Path], out: re.Pattern[str]) -> Part:
    return Part(
        name=name,
        members=lambda: _stripped(paths, out),
        proof=_digest(*(sha256(path).encode() for path in paths), out.pattern.encode()),
    )


def calc_members(package: Path, data: Path | None) -> dict[str, bytes]:
    """Return what calc.zip is made from: the package without its desk and front door, and the data it reads."""
    members: dict[str, bytes] = {}
    for path in sorted(package.rglob("*.py")):
        inside = path.relative_to(package)
        if inside.parts[0] == "desk" or inside.as_posix() == "__main__.py":
            continue
        members[f"calc/{inside.as_posix()}"] = path.read_bytes()
    if data is not None:
        for path in sorted(data.rglob("*")):
            inside = path.relative_to(data)
            if path.is_file() and inside.parts[0] not in _DATA_OUT:
                members[f"data/{inside.as_posix()}"] = path.read_bytes()
    return members


def _stripped(archives: Iterable[Path], out: re.Pattern[str]) -> dict[str, bytes]:
    members: dict[str, bytes] = {}
    for path in archives:
        with zipfile.ZipFile(path) as archive:
            for name in archive.namelist():
                if not name.endswith("/") and not out.match(name):
                    members[name] = archive.read(name)
    return members


def _made(part: Part, official: Mapping[str, Path], kept: Path, tell: runtime.Progress) -> Path:
    compilers = [HERE / "prepare.mjs", HERE / "pyc.py"]
    proof = _digest(
        part.proof.encode(),
        *(path.read_bytes() for path in compilers),
        *(sha256(official[name]).encode() for name in (*CORE, "python_stdlib.zip")),
    )
    home = kept / "parts" / proof[:16]
    record = home / RECORD
    if home.is_dir() and not (record.is_file() and _is(home / part.name, record.read_text("ascii"))):
        tell(f"{part.name} was altered since it was prepared, so it is prepared again.")
        shutil.rmtree(home)
    if not home.is_dir():
        tell(f"Compiling {part.name} for the browser.")
        home.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=home.parent) as folder:
            core, work, made = (Path(folder) / name for name in ("core", "work", "made"))
            work.mkdir()
            made.mkdir()
            for name in (*CORE, "python_stdlib.zip"):
                put(official[name], core / name)
            shutil.copy(HERE / "pyc.py", work)
            with zipfile.ZipFile(work / "given.zip", "w") as archive:
                for name, content in sorted(part.members().items()):
                    archive.writestr(zipfile.ZipInfo(name), content)
            npm.node(HERE / "prepare.mjs", str(core), str(work), runtime.pins().abi)
            put(work / "made.zip", made / part.name)
            (made / RECORD).write_text(sha256(made / part.name), "ascii")
            settle(made, home)
    return home / part.name


def _is(path: Path, digest: str) -> bool:
    return path.is_file() and sha256(path) == digest


def settle(made: Path, home: Path) -> None:
    """Move a finished folder to its place; another process may have finished the same one first."""
    try:
        made.replace(home)
    except OSError:
        if not home.is_dir():
            raise


def _digest(*pieces: bytes) -> str:
    total = hashlib.sha256()
    for piece in pieces:
        total.update(len(piece).to_bytes(8, "big"))
        total.update(piece)
    return total.hexdigest()
