"""Everything that `python3 -m calc test` checks: side by side, because a browser mostly waits, and told in order."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

from calc.desk import browser, environment, runtime
from calc.desk.environment import say
from calc.desk.places import CACHE, ROOT

CHECKS: Mapping[str, tuple[str, ...]] = {
    "ruff check": ("ruff", "check", "."),
    "ruff format --check": ("ruff", "format", "--check", "."),
    "mypy --strict calc": ("mypy", "--strict", "calc"),
}
BROWSER_TESTS = "tests/browser"
LONG_RUN = "HANDBOOK_LONG"
# Shares of the tests that run beside all others: those that build the site, so that it is built once, and those that
# start programs. The longest of them takes less than half of all the time together, so that two processors never wait.
SHARES: Mapping[str, tuple[str, ...]] = {
    "site and browser": (BROWSER_TESTS, "tests/site"),
    "desk and runtime": ("tests/desk", "tests/pyodide"),
}
# A browser that gets no processor is slow by more than that; what only computes makes up for it.
HURRIED = ("pytest, site and browser",)
GIVES_WAY = 5
PATIENCE = 20.0
LOOK = 0.1


def check(words: Sequence[str], *, quick: bool, long: bool = False) -> int:
    """Run the linter, the formatter, the type checker and pytest; return 0 only when all are content.

    With `quick` the tests in a browser are left out. With `long` tests that try cases of a kind try many more of them
    (`long_run` in tests/conftest.py). `words` go to pytest, which is then one process, so that words
    such as `--pdb`, `-x` and `--durations` mean what they always mean.

    Raises:
        NotReadyError: no browser or no Node, and none can be installed here.
        HandbookError: the browser's Python cannot be fetched.
    """
    environment.node()
    if not quick:
        say(f"The tests use the browser {browser.find()}.")
    runtime.fetch(say)
    surroundings = {LONG_RUN: "1"} if long else {}
    return side_by_side({**CHECKS, **shares(words, quick=quick)}, surroundings, hurried=HURRIED)


def shares(words: Sequence[str], *, quick: bool) -> dict[str, tuple[str, ...]]:
    """Return the processes of pytest by name: some that hold each test once, or one where words say what is wanted."""
    if words:
        return {"pytest": ("pytest", *([f"--ignore={BROWSER_TESTS}"] if quick else []), *words)}
    elsewhere = [place for places in SHARES.values() for place in places]
    found = {"pytest, all other tests": _share("all other tests", *(f"--ignore={place}" for place in elsewhere))}
    for name, places in SHARES.items():
        wanted = (place for place in places if not (quick and place == BROWSER_TESTS))
        found[f"pytest, {name}"] = _share(name, *wanted)
    return found


def _share(name: str, *words: str) -> tuple[str, ...]:
    # Each its own memory of what failed; the temporary folders of several processes pytest keeps apart itself.
    return ("pytest", "-o", f"cache_dir={CACHE / f'pytest-{name}'.replace(' ', '-')}", *words)


def side_by_side(
    programs: Mapping[str, Sequence[str]],
    surroundings: Mapping[str, str] = MappingProxyType({}),
    *,
    hurried: Collection[str] = (),
) -> int:
    """Run Python modules at once, show what each says one after the other, then a line about each.

    Where one of them is `hurried`, the others give way to it, if the system knows of such an order.
    Returns the first exit code that is not 0, else 0. None of them outlives this function.
    """
    running: dict[str, subprocess.Popen[bytes]] = {}
    closing: dict[str, str] = {}
    with tempfile.TemporaryDirectory() as folder:
        try:
            for name, words in programs.items():
                with _told(folder, name).open("wb") as output:
                    running[name] = subprocess.Popen(
                        [sys.executable, "-m", *words],
                        cwd=ROOT,
                        env={**environment.variables(), **surroundings},
                        stdout=output,
                        stderr=subprocess.STDOUT,
                    )
                if name not in hurried and any(each in programs for each in hurried):
                    _let_others_pass(running[name])
            for name, program in running.items():
                print(f"\n{name}", flush=True)
                closing[name] = _follow(program, _told(folder, name))
        finally:
            _end(running.values())
    print()
    for name, line in closing.items():
        code = running[name].returncode
        print(f"{name}: {f'FAILED (exit code {code}): ' if code else ''}{line}", flush=True)
    return next((program.returncode for program in running.values() if program.returncode), 0)


def _let_others_pass(program: subprocess.Popen[bytes]) -> None:
    if hasattr(os, "setpriority"):
        own = os.getpriority(os.PRIO_PROCESS, 0)
        os.setpriority(os.PRIO_PROCESS, program.pid, own + GIVES_WAY)


def _told(folder: str, name: str) -> Path:
    return Path(folder) / f"{name}.txt"


def _follow(program: subprocess.Popen[bytes], told: Path) -> str:
    """Show what a program has said and goes on to say until it ends; return its last line."""
    with told.open("rb") as output:
        ended = False
        while not ended:
            # Asked before the reading, so that nothing said in between is missed.
            ended = program.poll() is not None
            said = output.read()
            sys.stdout.buffer.write(said)
            sys.stdout.flush()
            if not (said or ended):
                time.sleep(LOOK)
    lines = told.read_text("utf-8", "replace").split("\n")
    return next((line.strip("= ") for line in reversed(lines) if line.strip()), "nothing said")


def _end(programs: Collection[subprocess.Popen[bytes]]) -> None:
    """End what still runs, after a Ctrl-C or where nobody reads on; what a test's browser holds open ends with it."""
    for program in programs:
        program.terminate()
    for program in programs:
        try:
            program.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            program.kill()
            program.wait()
