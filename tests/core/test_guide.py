"""The contributor guide's own example: its blocks, put into a copy of the project, make a working step."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
BLOCK = re.compile(r"^   (?P<ticks>`{3,})(?P<kind>python|markdown)\n(?P<body>.*?)^   (?P=ticks)$", re.M | re.S)
PLACE = re.compile(r"(?:#|<!--) (?P<path>[\w/.]+)(?: -->)?")


def guide_files() -> dict[str, str]:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = {}
    for block in BLOCK.finditer(text):
        body = "".join(line[3:] if line.startswith("   ") else line for line in block["body"].splitlines(keepends=True))
        first, _, rest = body.partition("\n")
        place = PLACE.fullmatch(first)
        assert place, f"the guide's block begins with {first!r}, not with its file's name"
        found[place["path"]] = rest
    return found


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("guide")
    unwanted = shutil.ignore_patterns("__pycache__", "browser", "pyodide", "site", "desk")
    for name in ("calc", "data", "docs", "tests"):
        shutil.copytree(
            ROOT / name, folder / name, ignore=unwanted if name == "tests" else shutil.ignore_patterns("__pycache__")
        )
    for name in ("pyproject.toml", "mkdocs.yml", "DEVELOPERS.md"):
        shutil.copy(ROOT / name, folder / name)
    for path, text in guide_files().items():
        place = folder / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, encoding="utf-8")
    return folder


def run(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *words],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(folder)},
    )


def test_the_guide_has_the_three_files_of_a_step() -> None:
    assert sorted(guide_files()) == [
        "calc/ride/static_deflection.py",
        "docs/steps/static_deflection.md",
        "tests/ride/test_static_deflection_core.py",
    ]


def test_the_new_step_passes_the_generated_tests_and_its_own(copy: Path) -> None:
    done = run(
        copy,
        *("-m", "pytest", "-q", "-k", "static_deflection"),
        *("tests/core/test_every_step_core.py", "tests/core/test_house.py", "tests/ride", "calc/ride"),
    )
    assert done.returncode == 0, done.stdout[-3000:]
    assert int(re.search(r"(\d+) passed", done.stdout)[1]) >= 12  # type: ignore[index]


def test_the_new_steps_page_is_filled(copy: Path) -> None:
    done = run(
        copy,
        "-c",
        "from calc.desk.page import expand\n"
        "text = open('docs/steps/static_deflection.md', encoding='utf-8').read()\n"
        "markdown, blocks = expand(text, 'steps/static_deflection.md')\n"
        "print(len(blocks), any('calc-form' in block for block in blocks.values()), '{{' in markdown)",
    )
    assert done.stdout.split() == ["4", "True", "False"], done.stderr[-2000:]


def test_the_new_step_is_clean(copy: Path) -> None:
    done = run(copy, "-m", "mypy", "--strict", "calc/ride/static_deflection.py")
    assert done.returncode == 0, done.stdout
    done = run(
        copy, "-m", "ruff", "check", "calc/ride/static_deflection.py", "tests/ride/test_static_deflection_core.py"
    )
    assert done.returncode == 0, done.stdout
