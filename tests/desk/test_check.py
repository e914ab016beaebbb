"""The test command runs all its checks side by side, tells each one's words whole, and fails when one fails."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Mapping
from pathlib import Path

import pytest

from calc.desk import browser, check, environment, runtime
from calc.desk.places import ROOT
from tests.conftest import long_run

GOOD = {"good": ("this",)}
BAD = {"bad": ("no_such_module_at_all",)}


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A machine that has everything; tells what was asked of it."""
    asked: list[str] = []
    monkeypatch.setattr(environment, "node", lambda: asked.append("node"))
    monkeypatch.setattr(browser, "find", lambda: asked.append("browser"))
    monkeypatch.setattr(runtime, "fetch", lambda _tell: asked.append("runtime"))
    return asked


@pytest.mark.parametrize(
    ("checks", "test", "code", "closing"),
    [
        (GOOD, "assert True", 0, "pytest: 1 passed in "),
        (GOOD, "assert False", 1, "pytest: FAILED (exit code 1): 1 failed in "),
        (BAD | GOOD, "assert True", 1, "pytest: 1 passed in "),
        (BAD, "assert False", 1, "pytest: FAILED (exit code 1): 1 failed in "),
    ],
)
def test_code_and_closing_lines(
    checks: Mapping[str, tuple[str, ...]],
    test: str,
    code: int,
    closing: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
    machine: list[str],
) -> None:
    file = tmp_path / "test_one.py"
    file.write_text(f"def test_one():\n    {test}\n", encoding="utf-8")
    monkeypatch.setattr(check, "CHECKS", checks)
    assert check.check([str(file)], quick=True) == code
    lines = capfd.readouterr().out.splitlines()
    last = lines[-1 - len(checks) :]
    assert last[-1].startswith(closing)
    assert [line.partition(":")[0] for line in last] == [*checks, "pytest"]
    assert ("bad: FAILED (exit code 1): " in "".join(last)) == ("bad" in checks)
    assert machine == ["node", "runtime"]


def test_the_browser_is_looked_for_unless_in_a_hurry(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, machine: list[str]
) -> None:
    monkeypatch.setattr(check, "CHECKS", {})
    assert check.check([str(tmp_path), "--collect-only"], quick=False) == 5
    assert machine == ["node", "browser", "runtime"]


def test_the_checks_in_order() -> None:
    assert list(check.CHECKS) == ["ruff check", "ruff format --check", "mypy --strict calc"]


def test_the_long_run_tries_many_cases(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], machine: list[str]
) -> None:
    monkeypatch.delenv(check.LONG_RUN, raising=False)
    assert long_run(3, 400) == 3
    monkeypatch.setattr(check, "CHECKS", {})
    file = tmp_path / "test_one.py"
    text = "from tests.conftest import long_run\n\ndef test_one():\n    print(long_run(3, 400), 'cases')\n"
    file.write_text(text, encoding="utf-8")
    assert check.check(["-s", str(file)], quick=True, long=True) == 0
    assert "400 cases" in capfd.readouterr().out
    assert machine == ["node", "runtime"]


def test_words_reach_one_pytest() -> None:
    assert check.shares(["tests/desk", "-k", "stack"], quick=False) == {
        "pytest": ("pytest", "tests/desk", "-k", "stack")
    }
    assert check.shares(["--lf"], quick=True) == {"pytest": ("pytest", "--ignore=tests/browser", "--lf")}


def places_of(words: tuple[str, ...], before: str) -> list[str]:
    return [word.removeprefix(before) for word in words if word.startswith(f"{before}tests")]


def test_the_shares_hold_every_test_once() -> None:
    others, *shares = check.shares([], quick=False).values()
    held = [place for words in shares for place in places_of(words, "")]
    assert len(shares) == 2
    assert places_of(others, "--ignore=") == held == sorted({*held}, key=held.index)
    assert all((ROOT / place).is_dir() for place in held)
    assert places_of(others, "") == []
    # Each remembers by itself what failed.
    assert len({words[2] for words in (others, *shares)}) == 3
    hurried = list(check.shares([], quick=True).values())
    assert hurried[0] == others
    assert [place for words in hurried[1:] for place in places_of(words, "")] == [
        place for place in held if place != "tests/browser"
    ]


def meeting(folder: Path, own: str, other: str) -> tuple[str, ...]:
    """A program that ends only when another one runs beside it, and says something before and after."""
    file = folder / f"test_{own}.py"
    file.write_text(
        "import pathlib, time\n\n"
        f"def test_meets():\n    here = pathlib.Path({str(folder)!r})\n"
        f"    print('{own} comes')\n    (here / '{own}').touch()\n"
        f"    for _ in range(6000):\n        if (here / '{other}').exists():\n            break\n        time.sleep(0.01)\n"
        f"    else:\n        raise AssertionError('nobody came')\n    print('{own} — leaves')\n",
        "utf-8",
    )
    return ("pytest", "-s", "-q", "-p", "no:cacheprovider", str(file))


def test_programs_run_at_once_and_each_is_told_whole(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    programs = {"first": meeting(tmp_path, "ann", "ben"), "second": meeting(tmp_path, "ben", "ann")}
    assert check.side_by_side(programs) == 0
    shown = capfd.readouterr().out
    told = ["first\n", "ann comes", "ann — leaves", "1 passed", "second\n", "ben comes", "ben — leaves", "1 passed"]
    places = [shown.index(told[0])]
    for words in told[1:]:
        places.append(shown.index(words, places[-1]))
    assert shown.splitlines()[-2].startswith("first: 1 passed in ")
    assert shown.splitlines()[-1].startswith("second: 1 passed in ")


def test_the_first_failure_is_the_code(capfd: pytest.CaptureFixture[str]) -> None:
    usage = ("pytest", "--no-such-word")
    assert check.side_by_side({"good": ("this",), "usage": usage, "bad": ("no_such_module_at_all",)}) == 4
    assert "usage: FAILED (exit code 4): " in capfd.readouterr().out


def test_others_give_way_to_what_is_hurried(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("first", "second"):
        (tmp_path / f"{name}.py").write_text(
            "import os, pathlib, time\ntime.sleep(0.5)\n"
            "pathlib.Path(__file__).with_suffix('.told').write_text(str(os.getpriority(os.PRIO_PROCESS, 0)))\n",
            encoding="utf-8",
        )
    monkeypatch.setattr(check, "ROOT", tmp_path)
    programs = {"first": ("first",), "second": ("second",)}
    own = os.getpriority(os.PRIO_PROCESS, 0)

    def told(hurried: tuple[str, ...]) -> list[int]:
        assert check.side_by_side(programs, hurried=hurried) == 0
        return [int((tmp_path / f"{name}.told").read_text("utf-8")) - own for name in programs]

    assert told(("first",)) == [0, check.GIVES_WAY]
    assert told(("nothing that runs",)) == [0, 0]


def test_ctrl_c_ends_all_of_them(tmp_path: Path) -> None:
    file = tmp_path / "test_long.py"
    file.write_text(
        "import os, pathlib, time\n\ndef test_long():\n"
        f"    (pathlib.Path({str(tmp_path)!r}) / f'{{os.getpid()}}.runs').touch()\n    time.sleep(600)\n",
        "utf-8",
    )
    words = ("pytest", "-p", "no:cacheprovider", str(file))
    program = subprocess.Popen(
        [sys.executable, "-c", f"from calc.desk import check; check.side_by_side({{'one': {words}, 'two': {words}}})"],
        cwd=ROOT,
        env=environment.variables(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    try:
        while len(runs := list(tmp_path.glob("*.runs"))) < 2:
            assert program.poll() is None
            time.sleep(0.05)
        program.send_signal(signal.SIGINT)
        assert b"KeyboardInterrupt" in program.communicate()[1]
    finally:
        program.kill()
    for run in runs:
        with pytest.raises(ProcessLookupError):
            os.kill(int(run.stem), 0)
