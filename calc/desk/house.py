"""The drawing of the house in DEVELOPERS.md: which room needs which, made from the imports themselves."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator, Mapping, Sequence
from graphlib import TopologicalSorter
from pathlib import Path

from calc.desk import environment
from calc.desk.places import ROOT
from calc.step import ROOMS

GUIDE = ROOT / "DEVELOPERS.md"
BEGIN, END = "```mermaid\n", "```\n"
STEPS = "steps"


def main(words: Sequence[str]) -> int:
    """Print the drawing; with `--write` put it into DEVELOPERS.md; 2 for any other word."""
    if list(words) == ["--write"]:
        GUIDE.write_text(drawn_into(GUIDE.read_text(encoding="utf-8"), drawing()), encoding="utf-8")
        environment.say(f"The drawing is in {GUIDE.relative_to(ROOT)}.")
        return 0
    if words:
        environment.say(f"“{' '.join(words)}” is not understood; there is only --write.")
        return 2
    sys.stdout.write(drawing())
    return 0


def drawn_into(guide: str, picture: str) -> str:
    r"""Return a guide with its drawing replaced.

    >>> drawn_into("Rooms:\n```mermaid\nold\n```\nEnd.\n", "new\n")
    'Rooms:\n```mermaid\nnew\n```\nEnd.\n'
    """
    before, _, rest = guide.partition(BEGIN)
    _, _, after = rest.partition(END)
    return before + BEGIN + picture + END + after


def drawing() -> str:
    """Return the rooms of `calc` and what each needs directly, as a Mermaid flow chart from top to bottom.

    The rooms of the steps are one, and what needs nothing itself is left out.
    """
    needs = needed()
    lines = [f"  {room} --> {lower}" for room in needs for lower in direct(room, needs) if needs[lower]]
    lines.append(f"  {STEPS}[{', '.join(ROOMS)}]")
    return "\n".join(("flowchart TD", *lines)) + "\n"


def direct(room: str, needs: Mapping[str, Sequence[str]]) -> list[str]:
    """Return what a room needs, without what it reaches through another room that it needs.

    >>> direct("a", {"a": ("b", "c"), "b": ("c",), "c": ()})
    ['b']
    """
    return [lower for lower in needs[room] if not any(lower in _reached(other, needs) for other in needs[room])]


def _reached(room: str, needs: Mapping[str, Sequence[str]]) -> set[str]:
    return {lower for below in needs[room] for lower in (below, *_reached(below, needs))}


def needed() -> dict[str, tuple[str, ...]]:
    """Return the rooms, highest first, each with those that it imports when it runs."""
    found: dict[str, set[str]] = {}
    for path in sorted((ROOT / "calc").rglob("*.py")):
        room = _drawn(path.relative_to(ROOT / "calc").parts[0].removesuffix(".py"))
        if not room.startswith("__"):
            found.setdefault(room, set()).update({_drawn(other) for other in _imported(path)} - {room})
    order = [*TopologicalSorter(found).static_order()][::-1]
    return {room: tuple(lower for lower in order if lower in found[room]) for room in order}


def _drawn(room: str) -> str:
    return STEPS if room in ROOMS else room


def _imported(path: Path) -> Iterator[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    # What only a type checker reads stands in an `if` of the module, and is not needed when it runs.
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    for node in (*tree.body, *(inner for function in functions for inner in ast.walk(function))):
        yield from _rooms(node)


def _rooms(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "calc":
        _, *inside = (node.module or "").split(".")
        yield from inside[:1] or (alias.name for alias in node.names)
    elif isinstance(node, ast.Import):
        yield from (alias.name.split(".")[1] for alias in node.names if alias.name.startswith("calc."))
