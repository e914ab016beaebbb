"""Everything that `python3 -m calc test` checks, in order; pytest comes last and has the last word."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from typing import Protocol

from calc.desk import browser, environment, runtime
from calc.desk.environment import say
from calc.desk.places import ROOT

CHECKS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("ruff check", ("ruff", "check", ".")),
    ("ruff format --check", ("ruff", "format", "--check", ".")),
    ("mypy --strict calc", ("mypy", "--strict", "calc")),
)
BROWSER_TESTS = "tests/browser"
FAILED_CHECKS = "HANDBOOK_FAILED_CHECKS"
LONG_RUN = "HANDBOOK_LONG"


def check(words: Sequence[str], *, quick: bool, long: bool = False) -> int:
    """Run the linter, the formatter, the type checker and pytest; return 0 only when all are content.

    `words` go to pytest. With `quick` the tests in a browser are left out.
    With `long` tests that try cases of a kind try many more of them (`long_run` in tests/conftest.py).

    Raises:
        NotReadyError: no browser or no Node, and none can be installed here.
        HandbookError: the browser's Python cannot be fetched.
    """
    environment.node()
    if not quick:
        say(f"The tests use the browser {browser.find()}.")
    runtime.fetch(say)
    failed = [name for name, command in CHECKS if not _passes(name, command)]
    left_out = [f"--ignore={BROWSER_TESTS}"] if quick else []
    print("pytest", flush=True)
    tests = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", __name__, *left_out, *words],
        cwd=ROOT,
        env={**environment.variables(), FAILED_CHECKS: ", ".join(failed), **({LONG_RUN: "1"} if long else {})},
        check=False,
    )
    return tests.returncode or int(bool(failed))


def _passes(name: str, command: Sequence[str]) -> bool:
    print(name, flush=True)
    done = subprocess.run([sys.executable, "-m", *command], cwd=ROOT, env=environment.variables(), check=False)
    return done.returncode == 0


class _Reporter(Protocol):
    """The part of pytest's reporter that is used here."""

    def write_sep(self, sep: str, title: str, *, red: bool) -> None: ...


def pytest_terminal_summary(terminalreporter: _Reporter) -> None:
    """Name the checks that failed before pytest, so that a passing closing line does not hide them."""
    failed = os.environ.get(FAILED_CHECKS)
    if failed:
        terminalreporter.write_sep("=", f"failed before the tests, see above: {failed}", red=True)
