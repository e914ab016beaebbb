"""No module and no function grows so long that nobody holds it in the head, unless a line in it says why."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
MOST_OF_A_MODULE, MOST_OF_A_FUNCTION = 400, 60
WHY_A_MODULE = f"# Over {MOST_OF_A_MODULE} lines: "
WHY_A_FUNCTION = f"# Over {MOST_OF_A_FUNCTION} lines: "


def too_long() -> Iterator[tuple[str, bool]]:
    """Every module and function of `calc` that is too long, and whether a line of it says why."""
    for path in sorted((ROOT / "calc").rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        lines, name = text.splitlines(), path.relative_to(ROOT).as_posix()
        if len(lines) > MOST_OF_A_MODULE:
            yield name, any(line.startswith(WHY_A_MODULE) for line in lines)
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef) and node.end_lineno is not None:
                body = lines[node.lineno - 1 : node.end_lineno]
                if len(body) > MOST_OF_A_FUNCTION:
                    yield f"{name}:{node.name}", any(line.strip().startswith(WHY_A_FUNCTION) for line in body)


def test_what_is_too_long_says_why() -> None:
    silent = {name for name, says_why in too_long() if not says_why}
    assert silent == set(), "too long without a line that says why"


def test_nobody_explains_a_length_that_is_none() -> None:
    said = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "calc").rglob("*.py")
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.strip().startswith((WHY_A_MODULE, WHY_A_FUNCTION))
    }
    assert said <= {name.partition(":")[0] for name, _ in too_long()}
