"""Finds the browser that the tests and the pictures are made with."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

from calc.desk.environment import NotReadyError, say

NAMES = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "microsoft-edge",
    "microsoft-edge-stable",
    "msedge",
)
PLACES = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
)
WINDOWS_PLACES = (
    "Google/Chrome/Application/chrome.exe",
    "Chromium/Application/chrome.exe",
    "Microsoft/Edge/Application/msedge.exe",
)
WINDOWS_BASES = ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA")
DEBIAN_PACKAGES = ("chromium", "fonts-liberation")


def find() -> Path:
    """The program of an installed Chromium, Chrome or Edge; on Debian, as root, it is installed if missing.

    The variable CHROME names one outright.

    Raises:
        NotReadyError: there is none and it cannot be installed here.
    """
    named = os.environ.get("CHROME")
    if named:
        program = shutil.which(named)
        if program is None:
            raise NotReadyError(
                f"The variable CHROME names no program that can be run ({named}): "
                "set it to a Chromium, Chrome or Edge program, or unset it."
            )
        return Path(program)
    found = next(_candidates(), None)
    if found is None and _may_install():
        _install()
        found = next(_candidates(), None)
    if found is None:
        raise NotReadyError(
            "No browser was found: install Chromium, Chrome or Edge, "
            "or set the variable CHROME to its program, then run the same command again."
        )
    return found


def _candidates() -> Iterator[Path]:
    for name in NAMES:
        program = shutil.which(name)
        if program:
            yield Path(program)
    bases = [os.environ[name] for name in WINDOWS_BASES if name in os.environ]
    for place in [*map(Path, PLACES), *(Path(base) / place for base in bases for place in WINDOWS_PLACES)]:
        if place.is_file():
            yield place


def _may_install() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get") is not None


def _install() -> None:
    """Install Debian's browser, with fonts, showing what is going on."""
    say("No browser was found: installing the system's Chromium for the tests.")
    for words in (["update"], ["install", "-y", "--no-install-recommends", *DEBIAN_PACKAGES]):
        say(f"  apt-get {' '.join(words)}")
        done = subprocess.run(
            ["apt-get", "-q", *words],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
            env={**os.environ, "DEBIAN_FRONTEND": "noninteractive"},
            check=False,
        )
        if done.returncode and words[0] == "install":
            lines = done.stdout.strip().splitlines()
            raise NotReadyError(
                f"Debian's Chromium could not be installed ({lines[-1] if lines else 'no reason given'}): "
                "install a browser by hand or set the variable CHROME to one, then run the same command again."
            )
