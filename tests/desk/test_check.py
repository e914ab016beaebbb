"""The test command runs all its checks, fails when one fails, and leaves the last word to pytest."""

from pathlib import Path

import pytest

from calc.desk import browser, check, environment, runtime
from tests.conftest import long_run

GOOD = ("good", ("this",))
BAD = ("bad", ("no_such_module_at_all",))


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
        ((GOOD,), "assert True", 0, "1 passed"),
        ((GOOD,), "assert False", 1, "1 failed"),
        ((BAD, GOOD), "assert True", 1, "1 passed"),
        ((BAD,), "assert False", 1, "1 failed"),
    ],
)
def test_code_and_last_line(
    checks: tuple[tuple[str, tuple[str, ...]], ...],
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
    shown = capfd.readouterr().out.splitlines()
    assert closing in shown[-1]
    warned = [line for line in shown if "failed before the tests, see above: bad" in line]
    assert len(warned) == (BAD in checks)
    assert machine == ["node", "runtime"]


def test_the_browser_is_looked_for_unless_in_a_hurry(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, machine: list[str]
) -> None:
    monkeypatch.setattr(check, "CHECKS", ())
    assert check.check([str(tmp_path), "--collect-only"], quick=False) == 5
    assert machine == ["node", "browser", "runtime"]


def test_the_checks_in_order() -> None:
    assert [name for name, _ in check.CHECKS] == ["ruff check", "ruff format --check", "mypy --strict calc"]


def test_the_long_run_tries_many_cases(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], machine: list[str]
) -> None:
    monkeypatch.delenv(check.LONG_RUN, raising=False)
    assert long_run(3, 400) == 3
    monkeypatch.setattr(check, "CHECKS", ())
    file = tmp_path / "test_one.py"
    text = "from tests.conftest import long_run\n\ndef test_one():\n    print(long_run(3, 400), 'cases')\n"
    file.write_text(text, encoding="utf-8")
    assert check.check(["-s", str(file)], quick=True, long=True) == 0
    assert "400 cases" in capfd.readouterr().out
    assert machine == ["node", "runtime"]
