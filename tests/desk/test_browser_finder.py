"""The browser is the named one, else an installed one, else Debian's, else a sentence."""

import os
from pathlib import Path

import pytest

from calc.desk import browser
from calc.desk.environment import NotReadyError


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A machine with nothing on it but the folder of programs that is returned; the user is not root."""
    programs = tmp_path / "bin"
    programs.mkdir()
    monkeypatch.setenv("PATH", str(programs))
    for name in ("CHROME", *browser.WINDOWS_BASES):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(browser, "PLACES", ())
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    return programs


def program(path: Path, text: str = "") -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!/bin/sh\n{text}\n", encoding="utf-8")
    path.chmod(0o755)
    return path


def refusal() -> str:
    with pytest.raises(NotReadyError) as caught:
        browser.find()
    return str(caught.value)


NONE = (
    "No browser was found: install Chromium, Chrome or Edge, "
    "or set the variable CHROME to its program, then run the same command again."
)


@pytest.mark.parametrize("name", browser.NAMES)
def test_every_usual_name_on_the_path(machine: Path, name: str) -> None:
    installed = program(machine / name)
    assert browser.find() == installed


def test_the_named_one_comes_first(machine: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    program(machine / "chromium")
    own = program(tmp_path / "own" / "my-chrome")
    monkeypatch.setenv("CHROME", str(own))
    assert browser.find() == own


def test_a_named_one_that_is_missing(machine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    program(machine / "chromium")
    monkeypatch.setenv("CHROME", "/no/such/chrome")
    assert refusal() == (
        "The variable CHROME names no program that can be run (/no/such/chrome): "
        "set it to a Chromium, Chrome or Edge program, or unset it."
    )


@pytest.mark.usefixtures("machine")
def test_usual_places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    on_windows = program(tmp_path / "Programs" / "Microsoft/Edge/Application/msedge.exe")
    monkeypatch.setenv("PROGRAMFILES", str(tmp_path / "Programs"))
    assert browser.find() == on_windows
    on_mac = program(tmp_path / "Applications" / "Chromium")
    monkeypatch.setattr(browser, "PLACES", (str(on_mac),))
    assert browser.find() == on_mac


@pytest.mark.usefixtures("machine")
def test_none() -> None:
    assert refusal() == NONE


def test_only_root_installs_one(machine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    program(machine / "apt-get", "exit 1")
    assert refusal() == NONE
    assert capsys.readouterr().err == ""


def test_root_on_debian_installs_one(
    machine: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    new = machine / "chromium"
    program(machine / "apt-get", f'echo "$DEBIAN_FRONTEND $*" >> {machine}/asked\n: > {new}; /bin/chmod 755 {new}')
    assert browser.find() == new
    assert (machine / "asked").read_text(encoding="utf-8").splitlines() == [
        "noninteractive -q update",
        "noninteractive -q install -y --no-install-recommends chromium fonts-liberation",
    ]
    assert capsys.readouterr().err.splitlines() == [
        "No browser was found: installing the system's Chromium for the tests.",
        "  apt-get update",
        "  apt-get install -y --no-install-recommends chromium fonts-liberation",
    ]


def test_root_without_network(machine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    program(machine / "apt-get", 'echo "E: Unable to locate package chromium"; exit 100')
    assert refusal() == (
        "Debian's Chromium could not be installed (E: Unable to locate package chromium): "
        "install a browser by hand or set the variable CHROME to one, then run the same command again."
    )
