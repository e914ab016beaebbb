"""No two modules of `calc` need each other, by whatever way round: what is needed lies below whoever needs it.

Every import counts, one inside a function too, which hides a circle from Python and not from a reader. A circle of types
alone (imported for a type checker) runs, and stands in a list of its own, which may only get shorter.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CALC = ROOT / "calc"

# The circles that are left, each as all of its modules; whoever breaks one takes it out here.
CIRCLES: frozenset[frozenset[str]] = frozenset()
CIRCLES_OF_TYPES: frozenset[frozenset[str]] = frozenset()


def module_name(path: Path, root: Path) -> str:
    parts = path.relative_to(root).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def graph(root: Path, *, types: bool) -> Mapping[str, frozenset[str]]:
    """Return which modules each module imports by name, anywhere in it; with `types` for a type checker too.

    The `__init__` of a room counts for what it imports itself, and only where it is imported itself.
    """
    paths = {module_name(path, root): path for path in sorted((root / "calc").rglob("*.py"))}
    return {name: frozenset(_imports(path, paths, types=types)) - {name} for name, path in paths.items()}


def _imports(path: Path, modules: Mapping[str, Path], *, types: bool) -> Iterator[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    typed = {
        id(node)
        for branch in ast.walk(tree)
        if isinstance(branch, ast.If) and "TYPE_CHECKING" in ast.dump(branch.test)
        for part in branch.body
        for node in ast.walk(part)
    }
    for node in ast.walk(tree):
        if not types and id(node) in typed:
            continue
        if isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                # `from calc.order import order` names a module, `from calc.order.order import Order` a part of one.
                inner = f"{node.module}.{alias.name}"
                yield from (name for name in (inner if inner in modules else node.module,) if name in modules)
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in modules)


def circles(imports: Mapping[str, frozenset[str]]) -> frozenset[frozenset[str]]:
    """Return each largest set of modules that reach one another: Tarjan (1972), strongly connected components."""
    number: dict[str, int] = {}
    lowest: dict[str, int] = {}
    stack: list[str] = []
    found: set[frozenset[str]] = set()

    def visit(name: str) -> None:
        number[name] = lowest[name] = len(number)
        stack.append(name)
        for other in imports[name]:
            if other not in number:
                visit(other)
                lowest[name] = min(lowest[name], lowest[other])
            elif other in stack:
                lowest[name] = min(lowest[name], number[other])
        if lowest[name] == number[name]:
            place = stack.index(name)
            if len(stack) - place > 1:
                found.add(frozenset(stack[place:]))
            del stack[place:]

    for name in imports:
        if name not in number:
            visit(name)
    return frozenset(found)


@pytest.mark.parametrize(
    ("types", "known"), [(False, CIRCLES), (True, CIRCLES_OF_TYPES)], ids=["as it runs", "with types"]
)
def test_no_circle_of_imports_but_the_known_ones(types: bool, known: frozenset[frozenset[str]]) -> None:
    found = circles(graph(ROOT, types=types))
    told = [" ".join(sorted(one)) for one in sorted(found - known, key=sorted)]
    assert not told, f"these modules need one another: {told}"
    gone = [" ".join(sorted(one)) for one in sorted(known - found, key=sorted)]
    assert not gone, f"these need one another no more, or fewer of them do: take them out of the list: {gone}"


def test_a_circle_is_found_wherever_it_is_closed(tmp_path: Path) -> None:
    room = tmp_path / "calc" / "room"
    room.mkdir(parents=True)
    for name, text in {
        "__init__": "",
        "one": "from calc.room import two\n",
        "two": "import calc.room.three\n",
        "three": "def late():\n    from calc.room.one import anything\n    return anything\n",
        "four": "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from calc.room.five import Five\n",
        "five": "from calc.room.four import four\nfrom calc.room.one import one\n",
    }.items():
        (room / f"{name}.py").write_text(text, encoding="utf-8")
    late = frozenset({"calc.room.one", "calc.room.two", "calc.room.three"})
    typed = frozenset({"calc.room.four", "calc.room.five"})
    assert circles(graph(tmp_path, types=False)) == {late}
    assert circles(graph(tmp_path, types=True)) == {late, typed}
