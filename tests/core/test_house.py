"""The house stands: rooms import downward only, pages and words are there, public functions are described."""

from __future__ import annotations

import ast
import csv
import inspect
import re
from pathlib import Path

import pytest

from calc.step import all_steps

ROOT = Path(__file__).parents[2]
CALC = ROOT / "calc"

# Floors, lowest first: a module imports only from its own room and from floors below it.
FLOORS = (
    ("alive",),
    ("cautions", "constants", "errors", "heave_path", "json_text", "memo", "roots"),
    ("units",),
    ("quantity", "formula"),
    ("chart",),
    ("drawing",),
    ("vocabulary",),
    ("step",),
    ("limits",),
    ("tables",),
    ("damper_list",),
    ("weight", "geometry", "spring", "damper", "ride"),
    ("answer",),
    ("search",),
    ("rig",),
    ("certainty",),
    ("whole",),
    ("order", "quote"),
    ("prove", "practice"),
    ("answers",),
    ("sheet",),
    ("bridge",),
    ("terminal",),
    ("desk",),
    ("__main__",),
)
FLOOR = {room: level for level, rooms in enumerate(FLOORS) for room in rooms}
MODULES = sorted(path for path in CALC.rglob("*.py") if path != CALC / "__init__.py")


def room_of(path: Path) -> str:
    return path.relative_to(CALC).parts[0].removesuffix(".py")


def imported_rooms(path: Path) -> set[str]:
    """The rooms that a module imports when it runs; what only a type checker reads does not count."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped = {
        id(node)
        for branch in ast.walk(tree)
        if isinstance(branch, ast.If) and "TYPE_CHECKING" in ast.dump(branch.test)
        for node in ast.walk(branch)
    }
    found: set[str] = set()
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "calc":
            parts = (node.module or "").split(".")
            found |= {parts[1]} if len(parts) > 1 else {alias.name for alias in node.names}
        elif isinstance(node, ast.Import):
            found |= {alias.name.split(".")[1] for alias in node.names if alias.name.startswith("calc.")}
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(CALC)))
def test_imports_run_downward(path: Path) -> None:
    own = room_of(path)
    assert own in FLOOR, f"{own} has no floor"
    for room in imported_rooms(path):
        assert room == own or FLOOR[room] < FLOOR[own], f"{own} imports {room}"


def test_pandas_is_imported_in_one_place() -> None:
    importers = [path for path in MODULES if "import pandas" in path.read_text(encoding="utf-8")]
    assert importers == [CALC / "tables.py"]


@pytest.mark.parametrize("step", all_steps(), ids=lambda step: step.name)
def test_every_step_has_its_page(step: object) -> None:
    page = (ROOT / "docs" / "steps" / f"{step.name}.md").read_text(encoding="utf-8")  # type: ignore[attr-defined]
    heads = re.findall(r"^## (.+)$", page, re.M)
    wanted = [
        "What to measure",
        "Work it out",
        "The equation",
        "Worked example",
        "Does it make sense?",
        "What good looks like",
        "Mistakes people make",
        "Practice",
    ]
    assert [head for head in heads if head in wanted] == wanted
    assert "```calc sheet\n" in page


def _terms() -> list[dict[str, str]]:
    with (ROOT / "data" / "terms.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _aliases() -> dict[str, str]:
    own = {row["term"].lower() for row in _terms()}
    found = {}
    for row in _terms():
        for alias in re.split(r"[;,]", row["also_called"]):
            word = alias.strip().lower()
            if word and word not in own:
                found[word] = row["term"]
    return found


@pytest.mark.parametrize("step", all_steps(), ids=lambda step: step.name)
def test_labels_use_the_handbooks_own_words(step: object) -> None:
    """A word that the glossary only leads on from stands in no label."""
    labels = [item.is_a.label.lower() for item in (*step.inputs.values(), *step.results.values())]  # type: ignore[attr-defined]
    own = [row["term"].lower() for row in _terms() if " " in row["term"]]
    for alias, term in _aliases().items():
        for label in labels:
            if term.lower() in label:
                continue
            # "Stiffness" leads on to rate, but roll stiffness is a word of its own.
            left = label
            for word in own:
                left = left.replace(word, "")
            assert not re.search(rf"\b{re.escape(alias)}\b", left), f"“{label}”: say {term}, not {alias}"


@pytest.mark.parametrize("step", all_steps(), ids=lambda step: step.name)
def test_step_functions_are_described(step: object) -> None:
    text = inspect.getdoc(step.function) or ""  # type: ignore[attr-defined]
    assert text.startswith("Return ")
    for part in ("Source:", ">>> ", "Raises", "Valid"):
        assert part in text, f"{step.name}: the description lacks “{part}”"  # type: ignore[attr-defined]


# What a text can know is what its writer found, never what nobody has published.
_CLAIM = re.compile(
    r"no (?:published )?(?:\w+ )?(?:range|figure|limit|value)s?(?: \w+){0,6}? (?:exists?|(?:has|have) been published|is known)"
    r"|no published (?:range|figure|limit|value) (?:says|exists)"
)


@pytest.mark.parametrize("folder", ["calc", "docs", "data", "README.md", "DEVELOPERS.md"])
def test_no_text_claims_to_know_all_that_was_ever_published(folder: str) -> None:
    paths = [ROOT / folder] if (ROOT / folder).is_file() else sorted((ROOT / folder).rglob("*"))
    read = [path for path in paths if path.suffix in {".py", ".md", ".toml", ".csv"}]
    assert read
    for path in read:
        # As it is read: the halves of a sentence that the source breaks over two lines belong together.
        text = re.sub(r"\"\s*\n\s*f?\"|\s+", lambda match: "" if '"' in match[0] else " ", path.read_text("utf-8"))
        assert not _CLAIM.findall(text.lower()), path
