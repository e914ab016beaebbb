"""The few packages that the build and the tests take from npm, pinned by integrity in data/pins/npm/."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from calc.desk import environment
from calc.desk.places import NODE, PINS
from calc.errors import HandbookError

LOCK = PINS / "npm" / "package-lock.json"
LISTS = ("package.json", LOCK.name)


class NpmError(HandbookError):
    """npm could not do what it was asked."""


def run(*arguments: str, folder: Path) -> str:
    """Run npm in a folder and return what it printed.

    Raises NpmError with npm's own last words.
    """
    command = [*environment.npm(), *arguments, "--fetch-retries=1", "--no-audit", "--no-fund"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False, env=_surroundings())
    if done.returncode:
        said = [line for line in done.stderr.splitlines() if line.strip() and "complete log" not in line]
        raise NpmError(f"npm {arguments[0]} failed ({said[-1].strip() if said else 'no reason given'}).")
    return done.stdout


def modules() -> Path:
    """Return the folder `node_modules` with every pinned package, installed where missing."""
    proof = hashlib.sha256(b"".join((PINS / "npm" / name).read_bytes() for name in LISTS)).hexdigest()[:16]
    home = NODE / proof
    if (home / "node_modules").is_dir():
        return home / "node_modules"
    NODE.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=NODE) as folder:
        made = Path(folder) / "made"
        made.mkdir()
        for name in LISTS:
            shutil.copy(PINS / "npm" / name, made / name)
        run("ci", "--ignore-scripts", folder=made)
        try:
            made.replace(home)
        except OSError:
            # Another process installed the same packages first.
            if not home.is_dir():
                raise
    return home / "node_modules"


def script(package: str, inside: str, *arguments: str, text: str | None = None) -> str:
    """Run a JavaScript file of a package under Node and return what it printed.

    Raises NpmError with what the program said.
    """
    return node(modules() / package / inside, *arguments, text=text)


def node(file: Path, *arguments: str, text: str | None = None) -> str:
    """Run a JavaScript file under Node and return what it printed.

    Raises NpmError with what the program said.
    """
    command = [str(environment.node()), str(file), *arguments]
    done = subprocess.run(command, input=text, capture_output=True, text=True, check=False, env=_surroundings())
    if done.returncode:
        # Node shows the line that failed, and a bundled file is one line.
        said = [line[:400] for line in (done.stdout + done.stderr).splitlines() if line.strip()]
        raise NpmError("\n".join([f"{file.name} failed:", *said[-40:]]))
    return done.stdout


def pin() -> None:
    """Write the lock file anew from package.json, with integrity hashes and without any address."""
    run(
        "install",
        "--package-lock-only",
        "--omit-lockfile-registry-resolved",
        "--ignore-scripts",
        folder=PINS / "npm",
    )


def _surroundings() -> dict[str, str]:
    # npm itself starts `node` by name, so the one in use has to come first on the path.
    home = str(environment.node().parent)
    return {**os.environ, "PATH": home + os.pathsep + os.environ.get("PATH", ""), "NO_COLOR": "1"}
