"""Every package is pinned with hashes, and build and browser compute with the same numpy and pandas."""

import json
import re
import tomllib
from pathlib import Path

import pytest

from calc.desk.places import PINS, ROOT

GROUPS = ["site", "test", "node"]


def requirements(group: str) -> list[str]:
    """The requirements of one group, each with its continued lines joined."""
    text = (PINS / f"{group}.txt").read_text(encoding="utf-8").replace("\\\n", " ")
    return [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]


@pytest.mark.parametrize("group", GROUPS)
def test_every_requirement_is_exact_and_hashed(group: str) -> None:
    found = requirements(group)
    assert found
    loose = [line for line in found if not re.match(r"[\w.-]+==[\w.!+]+ .*--hash=sha256:[0-9a-f]{64}", line)]
    assert loose == []


@pytest.mark.parametrize("path", sorted(PINS.glob("*.*")), ids=lambda path: path.name)
def test_no_pin_names_an_address(path: Path) -> None:
    assert "://" not in path.read_text(encoding="utf-8")


def test_the_lock_of_the_javascript_packages_names_no_registry() -> None:
    lock = json.loads((PINS / "npm" / "package-lock.json").read_text(encoding="utf-8"))
    packages = {name: package for name, package in lock["packages"].items() if name}
    assert packages
    assert [name for name, package in packages.items() if "resolved" in package] == []
    assert [name for name, package in packages.items() if "integrity" not in package] == []


def test_the_browser_computes_with_the_same_packages() -> None:
    runtime = tomllib.loads((PINS / "runtime.toml").read_text(encoding="utf-8"))
    wheels = {tuple(file["name"].split("-")[:2]) for file in runtime["file"] if file["kind"] == "wheel"}
    pinned = {tuple(line.split()[0].split("==")) for line in requirements("site")}
    for name in ("numpy", "pandas"):
        assert {version for wheel, version in wheels if wheel == name} == {
            version for package, version in pinned if package == name
        }


def test_groups_agree_on_what_they_share() -> None:
    versions: dict[str, set[str]] = {}
    for group in ("site", "test"):
        for line in requirements(group):
            name, _, version = line.split()[0].partition("==")
            versions.setdefault(f"{name}{line.partition(';')[2].partition('--hash')[0]}", set()).add(version)
    assert {name: found for name, found in versions.items() if len(found) > 1} == {}


def test_the_front_door_admits_what_the_project_declares() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["requires-python"] == ">=3.11,<3.15"
