"""The contributor guide's four changes: its differences, applied to a copy of the project, do what the guide says they do."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SECTION = re.compile(r"^### (?P<title>[^\n]+)\n(?P<body>.*?)(?=^##)", re.M | re.S)
BLOCK = re.compile(r"^```diff\n(?P<body>.*?)^```$", re.M | re.S)


def guide() -> dict[str, str]:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    start = text.index("## Change what there is")
    part = text[start : text.index("\n## ", start + 3) + 1] + "##"
    return {found["title"]: BLOCK.search(found["body"])["body"] for found in SECTION.finditer(part)}  # type: ignore[index]


def applied(text: str, difference: str, name: str) -> str:
    """Return a file with what a difference changes; its lines must stand there once."""
    for hunk in difference.split("@@\n")[1:]:
        lines = hunk.splitlines(keepends=True)
        before = "".join(line[1:] for line in lines if line[:1] != "+")
        after = "".join(line[1:] for line in lines if line[:1] != "-")
        assert text.count(before) == 1, f"{name} has {text.count(before)} places like this:\n{before}"
        text = text.replace(before, after)
    return text


def changed(folder: Path, block: str) -> list[str]:
    """Apply a block to a copy of the project; return the files that it changes."""
    names = []
    for part in re.split(r"^--- a/", block, flags=re.M)[1:]:
        name, _, difference = part.partition("\n")
        place = folder / name
        place.write_text(applied(place.read_text(encoding="utf-8"), difference, name), encoding="utf-8")
        names.append(name)
    return names


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    for name in ("calc", "data"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path


def say(folder: Path, program: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(folder)},
    )
    assert done.returncode == 0, done.stderr[-3000:]
    return done.stdout


MADE = """
from dataclasses import replace
from calc.order.order import order
from calc.rig.file import wren
from calc.tables import assortment_springs
made = order(wren(), assortment_springs())
"""


def test_the_guide_has_the_four_changes() -> None:
    assert list(guide()) == [
        "A hard limit",
        "A column of the build sheet",
        "An entry of the rig",
        "A step's result on the rig page",
    ]


def test_a_hard_limit_is_kept_by_the_search_counted_and_told(copy: Path) -> None:
    """The example rig's front damper rests 2.30 in short of its crossover, others up to 2.5 in: a limit of 2.4 in rejects some."""
    assert changed(copy, guide()["A hard limit"]) == ["calc/limits.py", "calc/spring/_stack_words.py"]
    told = say(
        copy,
        MADE
        + """
item = made.axles[0]
print(item.choice.rejected["late_crossover"] > 0, item.choice.working > 0)
print([one.state for one in item.findings if one.rule == "crossover in reach of the ride"])
""",
    )
    # Nearer to the limit than the ± of 2.30 in.
    assert told.splitlines() == ["True True", "['close']"]


def test_a_column_of_the_build_sheet_stands_in_every_form(copy: Path) -> None:
    assert changed(copy, guide()["A column of the build sheet"]) == ["calc/rig/ordered.py", "calc/order/build_sheet.py"]
    told = say(
        copy,
        MADE
        + """
from calc.answers.build_sheet import sheet_csv, sheet_data, sheet_text
from calc.quantity import SHOP
from calc.sheet.rig import build_paper
sheet = made.sheet
label = "Along the coil-over"
print(label in sheet_text(sheet), label in sheet_csv(sheet), label in build_paper.sheet(made, SHOP))
print(sheet_data(sheet)["cases"][0]["corners"][0]["axial_force"] > 1000)
""",
    )
    assert told.splitlines() == ["True True True", "True"]


def test_an_entry_of_the_rig_is_read_kept_and_asked(copy: Path) -> None:
    assert changed(copy, guide()["An entry of the rig"]) == ["calc/rig/entries.py", "calc/sheet/rig/sections.py"]
    told = say(
        copy,
        """
from dataclasses import replace
from calc.rig.file import read_rig, wren, write_rig
from calc.rig.rig import Entry
from calc.sheet.rig import page
rig = wren()
rig = replace(rig, values={**rig.values, "front.hose_droop": Entry(value=0.2)})
print(read_rig(write_rig(rig)).get("front.hose_droop"), "Droop that the hoses allow" in page.rig())
""",
    )
    assert told.splitlines() == ["0.2 True"]


def test_a_steps_result_is_told_on_page_terminal_and_in_the_data(copy: Path) -> None:
    assert changed(copy, guide()["A step's result on the rig page"]) == ["calc/order/motions.py"]
    told = say(
        copy,
        MADE
        + """
from calc.answers.order import text_of
from calc.answers.order_data import data_of
from calc.quantity import SHOP
from calc.sheet.rig.answers import said
from calc.sheet.rig.parts import View
from calc.step import find
label = find("pitch_bounce").quantity("sprung_center_behind_front_axle").label
page = said(View(order=made, display=SHOP))[9].body
data = [found for found in data_of(made)["motions"].values() if "sprung_center_behind_front_axle" in found]
print(label in page, label in " ".join(text_of(made, SHOP).split()), len(data))
""",
    )
    assert told.splitlines() == ["True True 1"]
